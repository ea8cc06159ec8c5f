//! Turns real tables of risks into ones that meet a check and then miss it by one number, one word or one statement.
//!
//! Invariant: every case mends what the papers do not do yet, so that it holds whether they do it or not.
//! Must not: judge anything but how risks are told.

use beforehand::lint::{Line, PaperUnderReview, Table, Verdict, VisitUnderReview};
use beforehand::paper::PaperKind;

use super::bench::{changed, meets, noticed, sheet, with};
use super::{cell, judge};

/// Each case under the number of its check.
pub const CASES: &[(&str, fn())] = &[
    ("DC-41", both_ways),
    ("RF-10", both_ways),
    ("RF-9", time_said_once),
    ("RF-7", treatments_said_once),
    ("RF-2", bands_and_comparisons),
    ("RF-8", bands_and_comparisons),
];

const CONSENT: PaperKind = PaperKind::Consent;
const JAW: &str = "linden-court/jaw-second-round.toml";
const UPPER_FACE: &str = "linden-court/upper-face.json";
const ONCE: &str = "Numbers cover a whole study or the time given. A dummy holds no medicine.";

fn row<'s>(sheet: &'s mut PaperUnderReview, mark: &str) -> &'s mut Vec<String> {
    let rows = sheet.view.tables.iter_mut().flat_map(|t| &mut t.rows);
    let mut rows = rows.filter(|(m, _)| m.as_deref() == Some(mark));
    &mut rows.next().expect(mark).1
}

/// "25 in 1,000 treatments": affected and whole of a single number, as these papers print it in English.
fn single(often: &str) -> Option<(u32, u32)> {
    let words: Vec<&str> = often.split_whitespace().collect();
    let number = |word: &str| word.replace(',', "").parse().ok();
    match words.as_slice() {
        [affected, "in", per, ..] => Some((number(affected)?, number(per)?)),
        _ => None,
    }
}

/// Says every single number of the tables both ways.
fn turned_round(sheet: &mut PaperUnderReview) {
    for (mark, cells) in sheet.view.tables.iter_mut().flat_map(|t| &mut t.rows) {
        let risk = mark.as_deref().is_some_and(|m| m.contains(".risk."));
        let often = cells.last().expect("a cell").clone();
        let said = cells[0].contains("Not seen in");
        if let Some((affected, per)) = single(&often).filter(|_| risk && !said) {
            cells[0].push_str(&format!(" Not seen in {} in {per}.", per - affected));
        }
    }
}

fn both_ways() {
    with(JAW, |subject| {
        let good = changed(subject, CONSENT, turned_round);
        for number in ["DC-41", "RF-10"] {
            // of the area and of everybody together: chewing 300 and bruise 25 in 1,000; the third is a range
            for mark in ["masseter.risk.weak-chewing", "masseter.risk.bruise"] {
                let cut = |s: &mut PaperUnderReview| {
                    let text = &mut row(s, mark)[0];
                    let from = text.rfind("Not seen in").expect("turned round");
                    text.truncate(from);
                };
                noticed(number, &good, CONSENT, cut, mark);
                // the right words with a wrong number
                let wrong = |s: &mut PaperUnderReview| {
                    let text = &mut row(s, mark)[0];
                    let from = text.rfind("Not seen in ").expect("turned round") + 12;
                    let until = from + text[from..].find(' ').expect("a number");
                    text.replace_range(from..until, "7");
                };
                noticed(number, &good, CONSENT, wrong, mark);
            }
            // what is less frequent than the top three, a range, and fewer than one may be said one way
            let more = changed(&good, CONSENT, |s| {
                cell(s, "It can be.", "40 to 90 in 100");
                cell(s, "It can be.", "Up to 90 in 100");
                cell(s, "It can be.", "Fewer than 1 in 10");
                cell(s, "It can be.", "1 in 1,000");
            });
            meets(number, &more, CONSENT);
            let top = |s: &mut PaperUnderReview| cell(s, "It can be.", "90 in 100");
            noticed(number, &more, CONSENT, top, "x.risk.y");
        }
    });
    // as frequent as each other: the first three that are printed
    with(JAW, |subject| {
        let equal = changed(subject, CONSENT, |s| {
            let marked = |t: &Table| t.rows.iter().any(|(m, _)| m.is_some());
            s.view.tables.retain(marked);
            s.view.tables.truncate(1);
            let row = |at: usize| {
                let said = "It can be. Not seen in 95 in 100.";
                let said = if at < 3 { said } else { "It can be." };
                let cells = vec![said.to_owned(), "5 in 100".to_owned()];
                (Some(format!("x.risk.{at}")), cells)
            };
            s.view.tables[0].rows = (0..5).map(row).collect();
        });
        let swap = |s: &mut PaperUnderReview| s.view.tables[0].rows.swap(2, 3);
        noticed("DC-41", &equal, CONSENT, swap, "x.risk.3");
    });
}

/// Rows without the words for the whole study, and the one statement that says it for all of them.
fn said_once<'a>(subject: &VisitUnderReview<'a>) -> VisitUnderReview<'a> {
    changed(subject, CONSENT, |s| {
        for table in &mut s.view.tables {
            table.above = table.above.replace(", whole study", "");
            for text in table.rows.iter_mut().flat_map(|(_, cells)| cells) {
                *text = text.replace(", whole study", "");
            }
        }
        statement(s).text = ONCE.to_owned();
    })
}

fn statement(sheet: &mut PaperUnderReview) -> &mut Line {
    let own = |l: &&mut Line| l.mark.as_deref() == Some("general.figures");
    sheet.view.lines.iter_mut().find(own).expect("printed")
}

fn time_said_once() {
    with(UPPER_FACE, |subject| {
        let good = said_once(subject);
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
                noticed(number, &good, CONSENT, spoil, named);
            }
        }
        // a number that the catalogue has for another time must say its own
        let mut untimed = good.clone();
        let tables = &mut sheet(&mut untimed, CONSENT).view.tables;
        let mut rows = tables.iter_mut().flat_map(|t| &mut t.rows);
        let (mark, cells) = rows
            .find(|(_, cells)| cells[0].contains(", in the first "))
            .expect("a number of another time");
        let at = cells[0].rfind(", in the first ").expect("found above");
        cells[0].truncate(at);
        let mark = mark.clone().expect("a risk");
        let found = judge("DC-40", &untimed, CONSENT);
        assert_eq!(found.verdict, Verdict::NotMet);
        assert!(found.places[0].found.starts_with("counts another time"));
        assert_eq!(found.places[0].at, mark);
    });
    // in Spanish, by the Spanish words
    with("patio-verde/locutora.toml", |subject| {
        let strip = |s: &mut PaperUnderReview| {
            for table in &mut s.view.tables {
                table.above = table.above.replace(", todo el estudio", "");
                for text in table.rows.iter_mut().flat_map(|(_, cells)| cells) {
                    *text = text
                        .replace(", en todo el estudio", "")
                        .replace(", todo el estudio", "");
                }
            }
        };
        let good = changed(subject, CONSENT, |s| {
            strip(s);
            let said = "Las cifras vienen de estudios y cuentan todo el estudio, salvo que se diga un plazo.";
            statement(s).text = said.to_owned();
        });
        let spoil = |s: &mut PaperUnderReview| {
            statement(s).text = "Las cifras vienen de estudios.".to_owned()
        };
        noticed(
            "DC-40",
            &good,
            CONSENT,
            spoil,
            "does not say over what time",
        );
    });
}

/// "300 in 1,000" where the line above the table says that treatments were counted.
fn treatments_said_once() {
    with(JAW, |subject| {
        let bare = changed(subject, CONSENT, |s| {
            for (_, cells) in s.view.tables.iter_mut().flat_map(|t| &mut t.rows) {
                let often = cells.last_mut().expect("a cell");
                *often = often.replace(" treatments", "");
            }
        });
        for good in [subject, &bare] {
            let good = &said_once(good);
            for number in ["DC-38", "RF-7"] {
                meets(number, good, CONSENT);
                let spoil = |s: &mut PaperUnderReview| {
                    row(s, "masseter.risk.bruise")[1] = "3 in 100".to_owned()
                };
                noticed(number, good, CONSENT, spoil, "Jaw muscle");
            }
        }
        // and nowhere said, it would be read as people
        let good = said_once(&bare);
        meets("DC-42", &good, CONSENT);
        let spoil = |s: &mut PaperUnderReview| {
            for table in &mut s.view.tables {
                table.above = table.above.replace("treatments", "people");
                for (_, cells) in &mut table.rows {
                    cells[0] = cells[0].replace("treatments", "people");
                }
            }
        };
        noticed("DC-42", &good, CONSENT, spoil, "masseter.risk.weak-chewing");
    });
}

fn bands_and_comparisons() {
    with(JAW, |subject| {
        let spoil = |s: &mut PaperUnderReview| cell(s, "It is rare.", "9 in 100 people");
        noticed("RF-2", subject, CONSENT, spoil, "x.risk.y");
        let spoil = |s: &mut PaperUnderReview| super::sentence(s, "It is twice as frequent.");
        noticed("RF-8", subject, CONSENT, spoil, "twice as");
    });
}

#[test]
fn each_way_to_tell_a_risk_can_fail_by_one_thing() {
    for (_, case) in CASES {
        case();
    }
}
