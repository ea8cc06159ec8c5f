//! Turns what happens when, and how often, into small drawings with their words beside them.
//! Invariant: every drawing is an image with the words that the printed one has in its place; marks differ in form, never by colour.
//! Must not: count, round or work out a date.

use super::markup::Markup;
use crate::compose::document::{ArrayGroup, DayMark, Lane, MarkKind, Phase, TimelinePanel};

/// Marks in a row of an array.
const PER_ROW: u32 = 10;

/// Dates that hold for every area first, each with a letter that stands above its day in the drawings; then one lane for each group
/// of areas.
pub(super) fn timeline(m: &mut Markup, panel: &TimelinePanel) {
    m.element("figure", &[("class", "timeline")], |m| {
        let flags = panel.flags.iter().map(|flag| &flag.mark);
        days(m, flags.zip(LETTERS.iter().map(Some)));
        for lane in &panel.lanes {
            m.element("div", &[("class", "lane")], |m| {
                m.said("p", "t", &lane.name);
                let look = [
                    ("viewBox", "0 0 300 68"),
                    ("role", "img"),
                    ("aria-label", lane.said.as_str()),
                ];
                m.element("svg", &look, |m| course(m, panel, lane));
                let mut marks: Vec<&DayMark> = lane.marks.iter().collect();
                marks.sort_by_key(|mark| mark.first);
                days(m, marks.into_iter().map(|mark| (mark, None)));
            });
        }
        m.element("ul", &[("class", "key")], |m| {
            for (phase, words) in &panel.key {
                m.element("li", &[], |m| {
                    m.element(
                        "svg",
                        &[("viewBox", "0 0 32 20"), ("aria-hidden", "true")],
                        |m| {
                            phase_of(m, *phase, 1.0, 31.0, [4.0, 18.0]);
                        },
                    );
                    m.said("span", "", words);
                });
            }
        });
    });
}

/// What a date is called in a drawing: as many as a panel has at most, and more.
const LETTERS: [&str; 8] = ["A", "B", "C", "D", "E", "F", "G", "H"];

fn days<'d>(m: &mut Markup, marks: impl Iterator<Item = (&'d DayMark, Option<&'d &'static str>)>) {
    let marks: Vec<_> = marks.collect();
    if marks.is_empty() {
        return;
    }
    m.element("ul", &[], |m| {
        for (mark, letter) in marks {
            m.element("li", &[], |m| {
                if let Some(letter) = letter {
                    m.element("span", &[("class", "disc"), ("aria-hidden", "true")], |m| {
                        m.plain(letter)
                    });
                }
                m.element("span", &[], |m| {
                    m.said("strong", "", &mark.title);
                    m.text(" ");
                    m.text(&mark.when);
                });
            });
        }
    });
}

/// Rising, whole, falling: three forms from left to right over the days, below the letters of the dates and above the months.
fn course(m: &mut Markup, panel: &TimelinePanel, lane: &Lane) {
    let (top, foot) = (32.0, 52.0);
    let span = f64::from(panel.span.max(1));
    // letters and names of months stand whole inside the drawing
    let at =
        |day: i32| 8.0 + (f64::from(day.clamp(0, panel.span)) / span).powf(panel.power) * 284.0;
    path(m, "", &format!("M0 {foot} L300 {foot}"));
    let full_to = lane.fall.map_or(300.0, |[first, _]| at(first));
    if let Some([first, last]) = lane.rise {
        phase_of(m, Phase::Starting, at(first), at(last), [top, foot]);
        phase_of(m, Phase::Full, at(last), full_to, [top, foot]);
    }
    if let Some([first, last]) = lane.fall {
        phase_of(m, Phase::Fading, at(first), at(last), [top, foot]);
    }
    let mut before = f64::MIN;
    let mut raised = false;
    for (flag, letter) in panel.flags.iter().zip(LETTERS) {
        let x = at(flag.mark.first);
        // two that are near each other stand one above the other
        raised = x - before < 16.0 && !raised;
        before = x;
        let y = if raised { 8.0 } else { 22.0 };
        path(m, "edge", &format!("M{x:.1} {:.1} L{x:.1} {foot}", y + 7.0));
        let (x, y) = (
            format!("{x:.1}"),
            [format!("{y:.1}"), format!("{:.1}", y + 4.0)],
        );
        m.empty(
            "circle",
            &[("class", "ring"), ("cx", &x), ("cy", &y[0]), ("r", "7")],
        );
        m.element("text", &[("x", &x), ("y", &y[1])], |m| m.plain(letter));
    }
    let mut taken: Vec<[f64; 2]> = Vec::new();
    let months = panel.ticks.iter().filter(|tick| tick.month);
    let others = panel.ticks.iter().filter(|tick| !tick.month);
    for tick in months.chain(others) {
        let half = 3.3 * tick.label.chars().count() as f64;
        let (x, [left, right]) = (at(tick.day), [at(tick.day) - half, at(tick.day) + half]);
        let free = taken
            .iter()
            .all(|other| left >= other[1] + 5.0 || right <= other[0] - 5.0);
        if free && left >= 0.0 && right <= 300.0 {
            taken.push([left, right]);
            path(m, "", &format!("M{x:.1} {foot} L{x:.1} {:.1}", foot + 3.0));
            let x = format!("{x:.1}");
            m.element("text", &[("x", &x), ("y", "66")], |m| m.plain(&tick.label));
        }
    }
}

fn phase_of(m: &mut Markup, phase: Phase, left: f64, right: f64, [top, foot]: [f64; 2]) {
    let (look, outline) = match phase {
        Phase::Starting => (
            "",
            format!("M{left:.1} {foot} L{right:.1} {top} L{right:.1} {foot} Z"),
        ),
        Phase::Full => (
            "solid",
            format!("M{left:.1} {top} L{right:.1} {top} L{right:.1} {foot} L{left:.1} {foot} Z"),
        ),
        Phase::Fading => (
            "",
            format!("M{left:.1} {top} L{right:.1} {foot} L{left:.1} {foot} Z"),
        ),
    };
    path(m, look, &outline);
}

/// What the marks mean, then each risk with its arrays.
pub(super) fn arrays(m: &mut Markup, key: &[(MarkKind, String)], groups: &[ArrayGroup]) {
    m.element("ul", &[("class", "key")], |m| {
        for (kind, words) in key {
            m.element("li", &[], |m| {
                m.element(
                    "svg",
                    &[("viewBox", "0 0 10 10"), ("aria-hidden", "true")],
                    |m| mark(m, *kind, 5.0, 5.0),
                );
                m.said("span", "", words);
            });
        }
    });
    for group in groups {
        m.said("p", "t", &group.name);
        m.element("div", &[("class", "marks")], |m| {
            for array in &group.arrays {
                m.element("figure", &[], |m| {
                    m.said("p", "", &array.caption);
                    m.said("p", "t", &array.number);
                    let rows = group.per.div_ceil(PER_ROW);
                    let frame = format!("0 0 {} {}", PER_ROW * 10, rows * 10);
                    let look = [
                        ("viewBox", frame.as_str()),
                        ("role", "img"),
                        ("aria-label", &array.alt),
                    ];
                    m.element("svg", &look, |m| {
                        for index in 0..group.per {
                            let kind = if index < array.filled {
                                MarkKind::Filled
                            } else if index < array.filled + array.some {
                                MarkKind::Some
                            } else {
                                MarkKind::Empty
                            };
                            let middle = |place: u32| f64::from(place * 10 + 5);
                            mark(m, kind, middle(index % PER_ROW), middle(index / PER_ROW));
                        }
                    });
                });
            }
            if let Some(said) = &group.said {
                m.said("p", "", said);
            }
        });
    }
}

fn mark(m: &mut Markup, kind: MarkKind, x: f64, y: f64) {
    let (x, y) = (x.to_string(), y.to_string());
    let mut dot = |class: &str, radius: &str, stroke: &str| {
        m.empty(
            "circle",
            &[
                ("class", class),
                ("cx", &x),
                ("cy", &y),
                ("r", radius),
                ("stroke-width", stroke),
            ],
        );
    };
    match kind {
        MarkKind::Filled => dot("mark", "4", "1"),
        MarkKind::Some => {
            dot("", "3.6", "1.1");
            dot("mark", "1.7", "1");
        }
        MarkKind::Empty => dot("", "3.6", "0.6"),
    }
}

/// A code for another telephone's camera: printed with the page, of no use on the screen it would be read from.
pub(super) fn code(m: &mut Markup, caption: &str, alt: &str, side: usize, outline: &str) {
    m.element("figure", &[("class", "code print")], |m| {
        let frame = format!("-4 -4 {} {}", side + 8, side + 8);
        let look = [
            ("viewBox", frame.as_str()),
            ("role", "img"),
            ("aria-label", alt),
        ];
        m.element("svg", &look, |m| path(m, "solid", outline));
        m.said("figcaption", "", caption);
    });
}

fn path(m: &mut Markup, class: &str, outline: &str) {
    m.element("path", &[("class", class), ("d", outline)], |_| {});
}
