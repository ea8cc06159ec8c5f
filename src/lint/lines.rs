//! Turns stretches of text into the lines a reader sees, and says which of them were filled to their end.
//! Invariant: a line ends where the next word did not fit; list bullets, boxes to tick, headings and labels in pictures belong to no line.
//! Must not: know statements or words of a language.

use crate::typeset::{Geometry, Line, Stretch};

/// Elements whose words are not running text.
const ASIDE: [&str; 2] = ["heading", "figure"];

/// Lines of the body's running text, page by page from top to bottom and left to right.
pub fn of(geometry: &Geometry) -> Vec<Line> {
    let mut stretches: Vec<&Stretch> = geometry
        .stretches
        .iter()
        .filter(|s| !s.furniture && !["•", "\u{2610}", ""].contains(&s.text.trim()))
        .filter(|s| !s.inside.iter().any(|name| ASIDE.contains(name)))
        .collect();
    stretches.sort_by(|a, b| {
        (a.page, a.baseline.round() as i64)
            .cmp(&(b.page, b.baseline.round() as i64))
            .then(a.left.total_cmp(&b.left))
    });
    let mut lines: Vec<Line> = Vec::new();
    for stretch in stretches {
        let joins = lines.iter_mut().rev().take(4).find(|line| {
            line.page == stretch.page
                && (line.baseline - stretch.baseline).abs() < 1.0
                && (-1.0..stretch.size * 0.45).contains(&(stretch.left - line.right))
        });
        match joins {
            Some(line) => {
                // a space between two statements is a stretch of its own, which was left out above
                let gap = stretch.left - line.right > stretch.size * 0.15;
                if gap && !line.text.ends_with(' ') && !stretch.text.starts_with(' ') {
                    line.text.push(' ');
                }
                line.text.push_str(&stretch.text);
                line.right = line.right.max(stretch.right);
                line.size = line.size.max(stretch.size);
            }
            None => lines.push(Line {
                text: stretch.text.clone(),
                page: stretch.page,
                left: stretch.left,
                right: stretch.right,
                baseline: stretch.baseline,
                size: stretch.size,
                inside: stretch.inside.clone(),
            }),
        }
    }
    lines
}

/// A line that was filled, with the line that follows it.
pub struct Pair<'l> {
    pub line: &'l Line,
    pub next: &'l Line,
    /// The furthest right that any line of its column reaches.
    pub edge: f64,
}

/// What a line stands in; whether it begins in bold type makes no difference.
fn place(line: &Line) -> Vec<&'static str> {
    let names = line.inside.iter().copied();
    names.filter(|name| *name != "strong").collect()
}

/// A drawn line runs between two lines of text: they stand in two rows of a table.
fn ruled(geometry: &Geometry, line: &Line, next: &Line) -> bool {
    geometry.shapes.iter().any(|shape| {
        shape.page == line.page
            && shape.bottom - shape.top < 2.0
            && (line.baseline..next.baseline).contains(&shape.top)
            && shape.left <= line.left
            && shape.right >= line.left
    })
}

/// Lines that end because the next word had no room, each with the next of the same paragraph.
pub fn filled<'l>(lines: &'l [Line], geometry: &Geometry) -> Vec<Pair<'l>> {
    let mut pairs = Vec::new();
    for line in lines {
        let column =
            |other: &&Line| other.page == line.page && (other.left - line.left).abs() < 1.0;
        let next = lines
            .iter()
            .filter(column)
            .filter(|other| place(other) == place(line))
            .filter(|other| {
                (line.size * 0.8..line.size * 2.2).contains(&(other.baseline - line.baseline))
                    && (other.size - line.size).abs() < 0.2
            })
            .min_by(|a, b| a.baseline.total_cmp(&b.baseline));
        let Some(next) = next.filter(|next| !ruled(geometry, line, next)) else {
            continue;
        };
        let edge = lines
            .iter()
            .filter(column)
            .map(|other| other.right)
            .fold(0.0_f64, f64::max);
        let letters = next.text.trim().chars().count().max(1) as f64;
        let first = next.text.split_whitespace().next().unwrap_or_default();
        let wide = (next.right - next.left) / letters * first.chars().count() as f64;
        if line.right + wide + line.size * 0.2 > edge - 1.0 {
            pairs.push(Pair { line, next, edge });
        }
    }
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::typeset::Drawn;

    /// A stretch of 12 pt from 50 pt to 300 pt.
    fn stretch(text: &str, baseline: f64, inside: &[&'static str]) -> Stretch {
        Stretch {
            text: text.to_owned(),
            page: 1,
            left: 50.0,
            right: 300.0,
            baseline,
            size: 12.0,
            x_height: 6.0,
            italic: false,
            bold: false,
            contrast: 16.0,
            furniture: false,
            inside: inside.to_vec(),
        }
    }

    fn geometry(stretches: Vec<Stretch>) -> Geometry {
        Geometry {
            stretches,
            ..Geometry::default()
        }
    }

    #[test]
    fn pictures_and_headings_are_no_running_text_and_spaces_stay() {
        let mut second = stretch("Second.", 100.0, &["par"]);
        (second.left, second.right) = (303.0, 340.0);
        let all = of(&geometry(vec![
            stretch("First.", 100.0, &["par"]),
            second,
            stretch("A heading", 120.0, &["heading"]),
            stretch("right", 140.0, &["figure", "place"]),
        ]));
        let texts: Vec<&str> = all.iter().map(|line| line.text.as_str()).collect();
        assert_eq!(texts, ["First. Second."]);
    }

    #[test]
    fn lines_of_two_rows_or_two_elements_are_no_pair() {
        let two = |second: &[&'static str]| {
            geometry(vec![
                stretch("one line of a cell", 100.0, &["table", "cell", "strong"]),
                stretch("and the next", 113.5, second),
            ])
        };
        let pairs = |geometry: &Geometry| filled(&of(geometry), geometry).len();
        let same = two(&["table", "cell"]);
        assert_eq!(pairs(&same), 1);
        assert_eq!(pairs(&two(&["par"])), 0);
        let mut ruled = same.clone();
        ruled.shapes.push(Drawn {
            page: 1,
            left: 50.0,
            top: 104.0,
            right: 400.0,
            bottom: 104.0,
            stroke: Some((0.6, 4.7)),
            fill: None,
            furniture: false,
            inside: vec!["table"],
        });
        assert_eq!(pairs(&ruled), 0);
        // a rule on another page or below both lines parts nothing
        for (page, top) in [(2, 104.0), (1, 120.0)] {
            (ruled.shapes[0].page, ruled.shapes[0].top) = (page, top);
            ruled.shapes[0].bottom = top;
            assert_eq!(pairs(&ruled), 1, "page {page}, {top}");
        }
    }
}
