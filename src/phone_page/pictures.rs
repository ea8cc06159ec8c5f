//! Turns what happens when, and how often, into small drawings with their words beside them.
//! Invariant: every drawing is an image with the words that the printed one has in its place; marks differ in form, never by colour.
//! Must not: count, round or work out a date.

use super::markup::Markup;
use crate::compose::document::{ArrayGroup, DayMark, Lane, MarkKind, Phase, TimelinePanel};

/// Marks in a row of an array.
const PER_ROW: u32 = 10;

/// Dates that hold for every area first, then one lane for each group of areas.
pub(super) fn timeline(m: &mut Markup, panel: &TimelinePanel) {
    m.element("figure", &[("class", "timeline")], |m| {
        days(m, panel.flags.iter().map(|flag| &flag.mark));
        for lane in &panel.lanes {
            m.element("div", &[("class", "lane")], |m| {
                m.said("p", "t", &lane.name);
                let look = [
                    ("viewBox", "0 0 300 24"),
                    ("preserveAspectRatio", "none"),
                    ("role", "img"),
                    ("aria-label", lane.said.as_str()),
                ];
                m.element("svg", &look, |m| course(m, panel, lane));
                days(m, lane.marks.iter());
            });
        }
        m.element("ul", &[("class", "key")], |m| {
            for (phase, words) in &panel.key {
                m.element("li", &[], |m| {
                    m.element(
                        "svg",
                        &[("viewBox", "0 0 32 20"), ("aria-hidden", "true")],
                        |m| {
                            phase_of(m, *phase, 1.0, 31.0, 18.0);
                        },
                    );
                    m.said("span", "", words);
                });
            }
        });
        if !panel.note.is_empty() {
            m.said("p", "small", &panel.note);
        }
    });
}

fn days<'d>(m: &mut Markup, marks: impl Iterator<Item = &'d DayMark>) {
    let marks: Vec<&DayMark> = marks.collect();
    if marks.is_empty() {
        return;
    }
    m.element("ul", &[], |m| {
        for mark in marks {
            m.element("li", &[], |m| {
                m.said("strong", "", &mark.title);
                m.text(" ");
                m.text(&mark.when);
            });
        }
    });
}

/// Rising, whole, falling: three forms from left to right over the days.
fn course(m: &mut Markup, panel: &TimelinePanel, lane: &Lane) {
    let span = f64::from(panel.span.max(1));
    let at = |day: i32| (f64::from(day.clamp(0, panel.span)) / span).powf(panel.power) * 300.0;
    path(m, "", "M0 23 L300 23");
    let full_to = lane.fall.map_or(300.0, |[first, _]| at(first));
    if let Some([first, last]) = lane.rise {
        phase_of(m, Phase::Starting, at(first), at(last), 22.0);
        phase_of(m, Phase::Full, at(last), full_to, 22.0);
    }
    if let Some([first, last]) = lane.fall {
        phase_of(m, Phase::Fading, at(first), at(last), 22.0);
    }
    for flag in &panel.flags {
        let x = at(flag.mark.first);
        path(m, "", &format!("M{x:.1} 0 L{x:.1} 24"));
    }
}

fn phase_of(m: &mut Markup, phase: Phase, left: f64, right: f64, foot: f64) {
    match phase {
        Phase::Starting => path(
            m,
            "",
            &format!("M{left:.1} {foot} L{right:.1} 4 L{right:.1} {foot} Z"),
        ),
        Phase::Full => path(
            m,
            "solid",
            &format!("M{left:.1} 4 L{right:.1} 4 L{right:.1} {foot} L{left:.1} {foot} Z"),
        ),
        Phase::Fading => path(
            m,
            "",
            &format!("M{left:.1} 4 L{right:.1} {foot} L{left:.1} {foot} Z"),
        ),
    }
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
