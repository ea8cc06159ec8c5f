//! Turns runs of text into the lines a reader sees, and says which of them were filled to their end.
//! Invariant: a line ends where the next word did not fit; list bullets, boxes to tick, headings and labels in pictures belong to no line.
//! Must not: know statements or words of a language.

use crate::typeset::{PageContent, TextRun};

/// Elements whose words are not running text.
const ASIDE: [&str; 2] = ["heading", "figure"];

/// Runs that stand on one line without a gap.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    pub text: String,
    pub page: usize,
    pub left: f64,
    pub right: f64,
    pub baseline: f64,
    pub size: f64,
    pub inside: Vec<&'static str>,
}

/// Lines of the body's running text, page by page from top to bottom and left to right.
pub fn of(content: &PageContent) -> Vec<Line> {
    let mut runs: Vec<&TextRun> = content
        .runs
        .iter()
        .filter(|s| !s.part.is_running() && !["•", "\u{2610}", ""].contains(&s.text.trim()))
        .filter(|s| !s.inside.iter().any(|name| ASIDE.contains(name)))
        .collect();
    runs.sort_by(|a, b| {
        (a.page, a.baseline.round() as i64)
            .cmp(&(b.page, b.baseline.round() as i64))
            .then(a.left.total_cmp(&b.left))
    });
    let mut lines: Vec<Line> = Vec::new();
    for run in runs {
        let joins = lines.iter_mut().rev().take(4).find(|line| {
            line.page == run.page
                && (line.baseline - run.baseline).abs() < 1.0
                && (-1.0..run.size * 0.45).contains(&(run.left - line.right))
        });
        match joins {
            Some(line) => {
                // a space between two statements is a run of its own, which was left out above
                let gap = run.left - line.right > run.size * 0.15;
                if gap && !line.text.ends_with(' ') && !run.text.starts_with(' ') {
                    line.text.push(' ');
                }
                line.text.push_str(&run.text);
                line.right = line.right.max(run.right);
                line.size = line.size.max(run.size);
            }
            None => lines.push(Line {
                text: run.text.clone(),
                page: run.page,
                left: run.left,
                right: run.right,
                baseline: run.baseline,
                size: run.size,
                inside: run.inside.clone(),
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
fn ruled(content: &PageContent, line: &Line, next: &Line) -> bool {
    content.shapes.iter().any(|shape| {
        shape.page == line.page
            && shape.bottom - shape.top < 2.0
            && (line.baseline..next.baseline).contains(&shape.top)
            && shape.left <= line.left
            && shape.right >= line.left
    })
}

/// Lines that end because the next word had no room, each with the next of the same paragraph.
pub fn filled<'l>(lines: &'l [Line], content: &PageContent) -> Vec<Pair<'l>> {
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
        let Some(next) = next.filter(|next| !ruled(content, line, next)) else {
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
    use crate::typeset::Shape;

    /// A run of 12 pt from 50 pt to 300 pt.
    fn run(text: &str, baseline: f64, inside: &[&'static str]) -> TextRun {
        TextRun {
            text: text.to_owned(),
            page: 1,
            left: 50.0,
            right: 300.0,
            baseline,
            size: 12.0,
            inside: inside.to_vec(),
            ..TextRun::default()
        }
    }

    fn content(runs: Vec<TextRun>) -> PageContent {
        PageContent {
            runs,
            ..PageContent::default()
        }
    }

    #[test]
    fn pictures_and_headings_are_no_running_text_and_spaces_stay() {
        let mut second = run("Second.", 100.0, &["par"]);
        (second.left, second.right) = (303.0, 340.0);
        let all = of(&content(vec![
            run("First.", 100.0, &["par"]),
            second,
            run("A heading", 120.0, &["heading"]),
            run("right", 140.0, &["figure", "place"]),
        ]));
        let texts: Vec<&str> = all.iter().map(|line| line.text.as_str()).collect();
        assert_eq!(texts, ["First. Second."]);
    }

    #[test]
    fn lines_of_two_rows_or_two_elements_are_no_pair() {
        let two = |second: &[&'static str]| {
            content(vec![
                run("one line of a cell", 100.0, &["table", "cell", "strong"]),
                run("and the next", 113.5, second),
            ])
        };
        let pairs = |content: &PageContent| filled(&of(content), content).len();
        let same = two(&["table", "cell"]);
        assert_eq!(pairs(&same), 1);
        assert_eq!(pairs(&two(&["par"])), 0);
        let mut ruled = same.clone();
        ruled.shapes.push(Shape {
            page: 1,
            left: 50.0,
            top: 104.0,
            right: 400.0,
            bottom: 104.0,
            stroke: Some((0.6, 4.7)),
            fill: None,
            part: Default::default(),
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
