//! Turns real tables of risks into ones that meet a check and then miss it by one number, one word or one statement.
//!
//! Invariant: every case mends what the papers do not do yet, so that it holds whether they do it or not.
//! Must not: judge anything but how risks are told.

use beforehand::lint::{
    Line, Marks, PaperUnderReview, Picture, Table, TableRow, Verdict, VisitUnderReview,
};
use beforehand::paper::PaperKind;

use super::bench::{changed, meets, noticed, plain, risk, with};
use super::can_fail::READER;
use super::{cell, judge};

/// Each case under the number of its check.
pub const CASES: &[(&str, fn())] = &[
    ("DC-41", both_ways),
    ("RF-10", both_ways),
    ("RF-9", time_said_once),
    ("RF-9", note_by_name),
    ("RF-7", treatments_said_once),
    ("RF-2", bands_and_comparisons),
    ("RF-8", bands_and_comparisons),
    ("RF-5", none_seen),
    ("RF-6", order),
    ("DC-42", treatments_said_once),
];

const PAPER: PaperKind = PaperKind::Information;
const JAW: &str = "linden-court/jaw-second-round.toml";
const UPPER_FACE: &str = "linden-court/upper-face.json";
const ONCE: &str = "Each number is for a whole study.";

fn row<'s>(sheet: &'s mut PaperUnderReview, mark: &str) -> &'s mut TableRow {
    let rows = sheet.view.tables.iter_mut().flat_map(|t| &mut t.rows);
    let mut rows = rows.filter(|row| row.mark.as_deref() == Some(mark));
    rows.next().expect(mark)
}

/// A drawing of so many out of a hundred with these words in its place.
fn drawn(filled: u32, half: u32, alternative: &str) -> Picture {
    Picture {
        section: 0,
        alternative: alternative.to_owned(),
        marks: Some(Marks {
            filled,
            half,
            per: 100,
            often: String::new(),
        }),
    }
}

fn both_ways() {
    with(JAW, |subject| {
        let draw = |pictures: Vec<Picture>| {
            changed(subject, PAPER, |s| {
                s.view.pictures.retain(|p| p.marks.is_none());
                s.view.pictures.extend(pictures);
            })
        };
        let good = draw(vec![
            drawn(30, 0, "Of 100 people, 30 had it and 70 did not."),
            drawn(
                2,
                3,
                "Of 100 marks, 2 are filled, 3 have a point and 95 are empty.",
            ),
            drawn(0, 0, "Of 100 people, nobody had it."),
        ]);
        for number in ["DC-41", "RF-10"] {
            for (drawing, words) in [
                (drawn(30, 0, "Of 100 people, 30 had it."), "30 had it."),
                (
                    drawn(30, 0, "Of 100 people, 30 had it and 7 did not."),
                    "7 did not",
                ),
                (
                    drawn(30, 0, "Of 100 people, 70 did not have it."),
                    "70 did not have it",
                ),
                (
                    drawn(2, 3, "Of 100 marks, 2 are filled and 95 are empty."),
                    "95 are empty",
                ),
                (
                    drawn(2, 3, "Of 100 marks, 2 are filled and 3 have a point."),
                    "have a point",
                ),
            ] {
                let spoil = |s: &mut PaperUnderReview| s.view.pictures.push(drawing);
                noticed(number, &good, PAPER, spoil, words);
            }
            // a drawing that is not there says nothing
            let none = judge(number, &draw(Vec::new()), PAPER);
            assert_eq!(none.verdict, Verdict::NotApplicable);
        }
        // a drawing that stands alone is held to its own words
        let more = |s: &mut PaperUnderReview| {
            s.view
                .pictures
                .push(drawn(31, 0, "Of 100 people, 30 had it."))
        };
        let alone = draw(vec![drawn(
            30,
            0,
            "Of 100 people, 30 had it and 70 did not.",
        )]);
        noticed("RF-11", &alone, PAPER, more, "31 of 100");
    });
}

/// The one statement that says of all numbers over what time they were counted.
fn said_once<'a>(subject: &VisitUnderReview<'a>, words: &str) -> VisitUnderReview<'a> {
    changed(subject, PAPER, |s| statement(s).text = words.to_owned())
}

fn statement(sheet: &mut PaperUnderReview) -> &mut Line {
    let own = |l: &&mut Line| l.mark.as_deref() == Some("general.figures");
    sheet.view.lines.iter_mut().find(own).expect("printed")
}

/// The phrases for a time of its own, as the papers print them.
fn times(subject: &VisitUnderReview<'_>) -> Vec<String> {
    let ids = subject.wording.statements().keys();
    ids.filter(|id| id.starts_with("figure.time."))
        .map(|id| subject.wording.label(id).expect("a label"))
        .map(|text| text.trim_matches([',', ' ']).to_owned())
        .collect()
}

fn time_said_once() {
    with(UPPER_FACE, |subject| {
        let good = said_once(subject, ONCE);
        let why = "does not say over what time";
        for (number, named) in [("DC-40", why), ("RF-9", "time or group missing")] {
            for spoil in [
                (|s| {
                    statement(s).text = "Numbers come from studies.".to_owned();
                }) as fn(&mut PaperUnderReview),
                |s| {
                    s.view
                        .lines
                        .retain(|l| l.mark.as_deref() != Some("general.figures"));
                },
                // composed and not laid out
                |s| {
                    s.content.statements.remove("general.figures");
                },
                // below the tables
                |s| {
                    let line = statement(s).clone();
                    s.view.lines.retain(|l| l.mark != line.mark);
                    s.view.lines.push(line);
                },
            ] {
                noticed(number, &good, PAPER, spoil, named);
            }
        }
        // a number that the catalogue has for another time must say its own
        let times = times(subject);
        let untimed = |s: &mut PaperUnderReview| {
            for table in &mut s.view.tables {
                for time in &times {
                    table.below = table.below.replace(time, "");
                }
            }
        };
        noticed("DC-40", &good, PAPER, untimed, "counts another time");
    });
    // in Spanish, by the Spanish words
    with("patio-verde/mandibula.toml", |subject| {
        let good = said_once(
            subject,
            "Cada cifra es de todo el estudio, salvo que se diga un plazo.",
        );
        let times = times(subject);
        let spoil = |s: &mut PaperUnderReview| {
            statement(s).text = "Las cifras vienen de estudios.".to_owned();
            for table in &mut s.view.tables {
                for time in &times {
                    table.below = table.below.replace(time, "");
                }
            }
        };
        noticed("DC-40", &good, PAPER, spoil, "does not say over what time");
    });
}

/// A table of these rows in place of all others, with this note below it.
fn only(sheet: &mut PaperUnderReview, rows: Vec<TableRow>, below: &str) {
    let table = Table {
        name: "Risks".to_owned(),
        section: 0,
        above: String::new(),
        below: below.to_owned(),
        header: vec![
            "What".to_owned(),
            "How often".to_owned(),
            "Dummy".to_owned(),
        ],
        rows,
        writing: false,
    };
    sheet.view.tables = vec![table];
}

/// What the note below a table says of one risk is not said of another.
fn note_by_name() {
    with(UPPER_FACE, |subject| {
        let subject = &said_once(subject, ONCE);
        let two = || {
            vec![
                risk("Bruise", &["It is a bruise.", "5 in 100", ""]),
                risk("Droop", &["A lid hangs.", "2 in 100", ""]),
            ]
        };
        let named = "Bruise: counted in a trial. Droop: counted in a review.";
        let good = changed(subject, PAPER, |s| only(s, two(), named));
        // a note that names none is about all
        let all = changed(subject, PAPER, |s| only(s, two(), "Counted in a trial."));
        meets("RF-9", &all, PAPER);
        for (note, mark) in [
            ("Bruise: counted in a trial.", "x.risk.Droop"),
            ("Droop: counted in a review.", "x.risk.Bruise"),
            (
                "Bruise: counted somewhere. Droop: counted in a review.",
                "x.risk.Bruise",
            ),
            ("", "x.risk.Droop"),
        ] {
            let spoil = |s: &mut PaperUnderReview| only(s, two(), note);
            noticed("RF-9", &good, PAPER, spoil, mark);
        }
    });
}

/// "300 in 1,000" where what is said around the table says that treatments were counted.
fn treatments_said_once() {
    with(READER, |subject| {
        for number in ["DC-38", "RF-7"] {
            for cell in [1, 2] {
                let spoil = |s: &mut PaperUnderReview| {
                    row(s, "general.risk.headache").cells[cell] = "3 in 77".to_owned();
                };
                noticed(number, subject, PAPER, spoil, "77");
            }
        }
    });
    with(JAW, |subject| {
        let bare = changed(&said_once(subject, ONCE), PAPER, |s| {
            for table in &mut s.view.tables {
                table.above = "Treatments were counted.".to_owned();
                for row in &mut table.rows {
                    for cell in row.cells.iter_mut().skip(1) {
                        *cell = cell.replace(" treatments", "");
                    }
                }
            }
        });
        let all = said_once(subject, ONCE);
        for good in [&all, &bare] {
            for number in ["DC-38", "RF-7"] {
                let spoil = |s: &mut PaperUnderReview| {
                    row(s, "masseter.risk.bruise").cells[1] = "3 in 77".to_owned();
                };
                noticed(number, good, PAPER, spoil, "77");
            }
        }
        // and nowhere said, it would be read as people
        let spoil = |s: &mut PaperUnderReview| {
            for table in &mut s.view.tables {
                for text in [&mut table.above, &mut table.below] {
                    *text = text.to_lowercase().replace("treatments", "people");
                }
                for row in &mut table.rows {
                    row.cells[0] = row.cells[0].replace("treatments", "people");
                }
            }
        };
        noticed("DC-42", &bare, PAPER, spoil, "masseter.risk.weak-chewing");
    });
}

fn bands_and_comparisons() {
    with(JAW, |subject| {
        let calm = changed(subject, PAPER, |s| {
            plain(s, "Rest.");
            let rows = s.view.tables.iter_mut().flat_map(|t| &mut t.rows);
            rows.for_each(|row| row.cells[0] = "It can be.".to_owned());
        });
        let spoil = |s: &mut PaperUnderReview| cell(s, "It is rare.", "9 in 100 people");
        noticed("RF-2", &calm, PAPER, spoil, "x.risk.y");
        let spoil = |s: &mut PaperUnderReview| super::sentence(s, "It is twice as frequent.");
        noticed("RF-8", &calm, PAPER, spoil, "twice as");
    });
}

/// A risk that was counted and seen in nobody says how many it may still be.
fn none_seen() {
    with(UPPER_FACE, |subject| {
        let quiet = changed(subject, PAPER, |s| plain(s, "Rest."));
        meets("RF-5", &quiet, PAPER);
        let found = judge("RF-5", &quiet, PAPER);
        let count: usize = found
            .figure
            .split(' ')
            .next()
            .and_then(|n| n.parse().ok())
            .expect("a count");
        let safe = |s: &mut PaperUnderReview| super::sentence(s, "It cannot happen.");
        noticed("RF-5", &quiet, PAPER, safe, "promises safety");
        let silent = changed(&quiet, PAPER, |s| {
            let rows = s.view.tables.iter_mut().flat_map(|t| &mut t.rows);
            // what nobody-had-it does not mean stands with the words of the risk
            rows.filter(|row| row.cells.len() > 1).for_each(|row| {
                row.cells[0] = "A risk.".to_owned();
                row.cells[1] = "None".to_owned();
            });
        });
        assert_eq!(judge("RF-5", &silent, PAPER).places.len(), count);
    });
}

/// The most frequent first, then what nobody counted; and what needs action at once before them all.
fn order() {
    with(READER, |subject| {
        let no_count = subject
            .wording
            .label("consent.risks.no-figure")
            .expect("a label");
        let tables = |s: &mut PaperUnderReview, order: [usize; 2]| {
            let counted = [
                risk("a", &["A.", "Up to 9 in 100", ""]),
                risk("b", &["B.", "1 to 4 in 100", ""]),
            ];
            only(s, order.map(|at| counted[at].clone()).to_vec(), "");
            let mut other = s.view.tables[0].clone();
            other.header = vec![no_count.clone()];
            other.rows = vec![risk("c", &["C."])];
            s.view.tables.push(other);
        };
        let good = changed(subject, PAPER, |s| tables(s, [0, 1]));
        let swapped = |s: &mut PaperUnderReview| tables(s, [1, 0]);
        noticed("RF-6", &good, PAPER, swapped, "x.risk.a");
        let uncounted_first = |s: &mut PaperUnderReview| s.view.tables.reverse();
        noticed("RF-6", &good, PAPER, uncounted_first, "x.risk.a");
        let late = |s: &mut PaperUnderReview| {
            let serious = |l: &Line| l.mark.as_deref().is_some_and(|m| m.contains(".serious."));
            let moved: Vec<Line> = s
                .view
                .lines
                .iter()
                .filter(|l| serious(l))
                .cloned()
                .collect();
            s.view.lines.retain(|l| !serious(l));
            s.view.lines.extend(moved);
        };
        noticed("RF-6", &good, PAPER, late, "stands after other risks");
    });
    // what nobody counted stands in the order of how much it matters
    with(READER, |subject| {
        let swap = |s: &mut PaperUnderReview| {
            let uncounted = |t: &&mut Table| t.header.len() == 1 && t.rows.len() > 1;
            let table = s
                .view
                .tables
                .iter_mut()
                .find(uncounted)
                .expect("two that nobody counted");
            table.rows.swap(0, 1);
        };
        noticed("RF-6", subject, PAPER, swap, ".risk.");
    });
}

#[test]
fn each_way_to_tell_a_risk_can_fail_by_one_thing() {
    for (_, case) in CASES {
        case();
    }
}
