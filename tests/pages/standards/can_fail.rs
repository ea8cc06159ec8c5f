//! Turns real papers into ones that meet a document check and then miss it by one thing: pages, parts of a paper, what must stand together.
//!
//! Invariant: every case mends what the papers do not do yet, so that it holds whether they do it or not.
//! Must not: judge the form that is signed (that is `form_can_fail`), how lines are set (`setting_can_fail`), risks (`risks_can_fail`), or items of the PEMAT-style score (that is `items_can_fail`).

use beforehand::compose::document::{Sign as Mark, Tone};
use beforehand::lint::{
    Line, PaperUnderReview, Verdict, VisitUnderReview, month_of, review_has_passed,
};
use beforehand::paper::PaperKind;
use beforehand::plan::Fees;
use beforehand::typeset::{PagePart, TextRun};

use super::bench::{changed, foot, meets, noticed, paragraph, with, with_changed};
use super::{HARD, judge};

/// Each case under the number of its check.
pub const CASES: &[(&str, fn())] = &[
    ("DC-2", identity_in_the_body),
    ("DC-4", version_and_dates),
    ("DC-4", version_in_large_print),
    ("DC-16", cost),
    ("DC-27", observers),
    ("DC-30", readability_by_section),
    ("DC-32", length),
    ("DC-48", bands),
    ("DC-52", areas_whole),
    ("DC-56", marks),
];

pub const READER: &str = "linden-court/news-reader.toml";
pub const SPANISH: &str = "patio-verde/mandibula.toml";
const TWO_LANGUAGES: &str = "cedar-hollow/en-espanol.toml";

/// Writes the month of review in the foot of every page.
fn reviewed<'a>(
    subject: &VisitUnderReview<'a>,
    paper: PaperKind,
    words: &str,
) -> VisitUnderReview<'a> {
    changed(subject, paper, |s| {
        for page in 1..=s.content.sizes.len() {
            s.content.runs.push(foot(page, words));
        }
    })
}

/// Takes words out of the running head and foot of one page.
fn unsaid(sheet: &mut PaperUnderReview, page: usize, words: &str) {
    let stretches = sheet.content.runs.iter_mut();
    for stretch in stretches.filter(|s| s.part.is_running() && s.page == page) {
        stretch.text = stretch.text.replace(words, "");
    }
}

fn version_and_dates() {
    let paper = PaperKind::Consent;
    with(READER, |subject| {
        let good = reviewed(subject, paper, "use until Nov 2028");
        noticed(
            "DC-4",
            &good,
            paper,
            |s| unsaid(s, 2, "use until"),
            "to be reviewed: on",
        );
        let found = changed(&good, paper, |s| unsaid(s, 2, "use until"));
        let places = judge("DC-4", &found, paper).places;
        assert!(places.iter().all(|p| p.page == Some(2)), "{places:?}");
        noticed(
            "DC-4",
            &good,
            paper,
            |s| unsaid(s, 1, "2026-11"),
            "month of issue",
        );
        // the same paper at a visit after the month of review, and in that month
        for (day, verdict) in [
            (jiff::civil::date(2028, 11, 30), Verdict::Met),
            (jiff::civil::date(2028, 12, 1), Verdict::NotMet),
        ] {
            let mut visit = good.selection.visit.clone();
            visit.date = day;
            let mut later = good.selection.clone();
            later.visit = &visit;
            let at = VisitUnderReview {
                selection: &later,
                ..good.clone()
            };
            let found = judge("DC-4", &at, paper);
            assert_eq!(found.verdict, verdict, "{day}");
            let named = |p: &beforehand::lint::Place| p.found.contains("2028-12-01");
            assert_eq!(found.places.iter().any(named), verdict == Verdict::NotMet);
        }
    });
    with(SPANISH, |subject| {
        let good = reviewed(subject, paper, "revisar antes de nov 2028");
        meets("DC-4", &good, paper);
        // words without a month are not enough
        let words = "revisar antes de que caduque";
        let vague = changed(subject, paper, |s| {
            s.content.runs.retain(|x| !x.text.contains("hasta"));
        });
        let found = judge("DC-4", &reviewed(&vague, paper, words), paper);
        let unread = |p: &beforehand::lint::Place| p.found.contains("to be reviewed: on 0");
        assert!(found.places.iter().any(unread), "{:?}", found.places);
    });
}

/// The foot of large print has no room: what is not the code stands once, at the end.
fn version_in_large_print() {
    let paper = PaperKind::Aftercare;
    with(READER, |subject| {
        let good = changed(subject, paper, |s| {
            let running = s.document.running_lines.clone();
            let last = s.content.sizes.len();
            s.document.large = true;
            s.content.runs.retain(|x| !x.part.is_running());
            let code = |page| foot(page, &running.code);
            s.content.runs.extend((1..=last).map(code));
            s.content.runs.push(TextRun {
                part: PagePart::Body,
                ..foot(last, &running.wording)
            });
        });
        let unsaid = |s: &mut PaperUnderReview| {
            s.content.runs.pop();
        };
        noticed("DC-4", &good, paper, unsaid, "version of the words: on 0");
        let uncoded = |s: &mut PaperUnderReview| {
            s.content
                .runs
                .retain(|x| !x.part.is_running() || x.page > 1)
        };
        noticed("DC-4", &good, paper, uncoded, "document code");
        // ordinary print has the room
        let ordinary = |s: &mut PaperUnderReview| s.document.large = false;
        noticed("DC-4", &good, paper, ordinary, "version of the words");
    });
}

fn identity_in_the_body() {
    with(READER, |subject| {
        let patient = subject.selection.visit.patient.clone();
        for paper in super::HANDED_OUT {
            let without = |s: &mut PaperUnderReview, text: &str| {
                let body = s.content.runs.iter_mut().filter(|x| x.page == 1);
                body.for_each(|x| x.text = x.text.replace(text, ""));
            };
            let nameless = |s: &mut PaperUnderReview| {
                for part in patient.name.split(' ') {
                    without(s, part);
                }
            };
            noticed("DC-2", subject, paper, nameless, "the name");
        }
        // two identifiers are enough here, and one is not
        let paper = PaperKind::Information;
        let record = changed(subject, paper, |s| {
            let body = s.content.runs.iter_mut();
            body.for_each(|x| x.text = x.text.replace(&patient.record, ""));
        });
        let born = subject.wording.formats().short_date(patient.born);
        let both = |s: &mut PaperUnderReview| {
            let year = born.split(' ').next_back().expect("a year");
            let body = s.content.runs.iter_mut();
            body.for_each(|x| x.text = x.text.replace(year, ""));
        };
        noticed("DC-2", &record, paper, both, "date of birth");
    });
}

#[test]
fn months_are_read_and_compared() {
    assert_eq!(month_of("2026-11, draft 1"), Some((2026, 11)));
    for text in ["2026-13", "2026-1", "26-11", "draft 1", "2026-111"] {
        assert_eq!(month_of(text), None, "{text}");
    }
    let visit = jiff::civil::date(2026, 12, 3);
    for (review, passed) in [
        ((2026, 11), true),
        ((2026, 12), false),
        ((2027, 1), false),
        ((2025, 12), true),
    ] {
        assert_eq!(review_has_passed(review, visit), passed, "{review:?}");
    }
}

fn cost() {
    let fees = |areas: &[&str]| {
        Some(Fees {
            currency: "USD".to_owned(),
            area: areas.iter().map(|a| ((*a).into(), 613.0)).collect(),
        })
    };
    let plan = "cedar-hollow/wedding.toml";
    let both = [
        "levator-labii-superioris-alaeque-nasi",
        "depressor-septi-nasi",
    ];
    with_changed(
        plan,
        |clinic, _| clinic.fees = fees(&both),
        |good| {
            let spoil = |s: &mut PaperUnderReview| s.view.lines.retain(|l| !l.text.contains("613"));
            noticed("DC-16", good, PaperKind::Information, spoil, both[0]);
        },
    );
    // a price for one of two areas
    with_changed(
        plan,
        |clinic, _| clinic.fees = fees(&both[..1]),
        |subject| {
            let found = judge("DC-16", subject, PaperKind::Information);
            assert_eq!(found.verdict, Verdict::NotMet);
            let at: Vec<&str> = found.places.iter().map(|p| p.at.as_str()).collect();
            assert_eq!(at, [both[1]]);
        },
    );
}

fn observers() {
    with(READER, |subject| {
        let paper = PaperKind::Information;
        let good = changed(subject, paper, |s| {
            let about = |l: &Line| {
                ["student", "observer", "watch", "trainee", "in the room"]
                    .iter()
                    .any(|word| l.text.to_lowercase().contains(word))
            };
            s.view.lines.retain(|l| !about(l));
            let text = "A student may watch the treatment. You may say no.";
            s.view.lines.push(paragraph(text));
        });
        let last = |s: &mut PaperUnderReview, text: &str| {
            s.view.lines.last_mut().expect("the line").text = text.to_owned();
        };
        noticed(
            "DC-27",
            &good,
            paper,
            |s| last(s, "A student may watch the treatment."),
            "no right to refuse",
        );
        noticed(
            "DC-27",
            &good,
            paper,
            |s| last(s, "You may say no."),
            "nothing about people who watch",
        );
    });
}

fn readability_by_section() {
    with(READER, |subject| {
        let paper = PaperKind::Information;
        let easy = "You can ask us. We will help you. Take your time with it.";
        let good = changed(subject, paper, |s| {
            let lines = s.view.lines.iter_mut().filter(|line| line.is_prose());
            lines.for_each(|line| line.text = easy.to_owned());
        });
        let harden = |s: &mut PaperUnderReview, own: fn(&str) -> bool| {
            let of = |l: &&mut Line| l.mark.as_deref().is_some_and(own);
            let lines = s.view.lines.iter_mut().filter(of);
            lines.for_each(|line| line.text = HARD.to_owned());
        };
        let what = subject
            .wording
            .label("consent.what.heading")
            .expect("label");
        noticed(
            "DC-30",
            &good,
            paper,
            |s| harden(s, |mark| mark.starts_with("general.how-")),
            &format!("section {what}"),
        );
        noticed(
            "DC-30",
            &good,
            paper,
            |s| harden(s, |mark| mark.starts_with("orbicularis-oris.")),
            "area orbicularis-oris",
        );
    });
}

fn length() {
    for (paper, sides) in [
        (PaperKind::Information, 4),
        (PaperKind::Consent, 2),
        (PaperKind::Aftercare, 2),
    ] {
        with(READER, |subject| {
            let page = subject.review(paper).expect("made").paper.content.sizes[0];
            let good = changed(subject, paper, |s| s.content.sizes = vec![page; sides]);
            let more = |s: &mut PaperUnderReview| s.content.sizes.push(page);
            noticed("DC-32", &good, paper, more, &format!("{} sides", sides + 1));
        });
    }
    // several areas are explained at whatever length they need
    with("linden-court/everything.toml", |subject| {
        let found = judge("DC-32", subject, PaperKind::Information);
        assert_eq!(found.verdict, Verdict::NotApplicable);
    });
}

fn bands() {
    with(READER, |subject| {
        let paper = PaperKind::Aftercare;
        let review = subject.review(paper).expect("made");
        let bands = &review.view().bands;
        assert_eq!(bands.len(), 3);
        for (at, band) in bands.iter().enumerate() {
            let unnamed = |s: &mut PaperUnderReview| s.view.bands[at].action.clear();
            noticed(
                "DC-48",
                subject,
                paper,
                unnamed,
                &format!("band {}", at + 1),
            );
            let bare = |s: &mut PaperUnderReview| s.view.bands[at].signs.clear();
            noticed("DC-48", subject, paper, bare, &band.action);
        }
        // pale frames and grounds are seen by few
        let pale = |s: &mut PaperUnderReview| {
            for shape in &mut s.content.shapes {
                shape.fill = shape.fill.map(|_| 1.5);
                shape.stroke = shape.stroke.map(|(thickness, _)| (thickness, 1.5));
            }
        };
        noticed("DC-48", subject, paper, pale, "neither a frame");
        // and a number in each
        let good = changed(subject, paper, |s| {
            let urgent = s.view.panels.iter_mut().find(|p| p.tone == Tone::Urgent);
            urgent.expect("the box").text = "999, even weeks later".to_owned();
        });
        let numbers = |s: &mut PaperUnderReview| s.view.bands[2].numbers.clear();
        noticed("DC-53", &good, paper, numbers, "no number to call");
    });
}

fn areas_whole() {
    with(READER, |subject| {
        let paper = PaperKind::Consent;
        let mark = |s: &PaperUnderReview| s.view.agreed[0].marks[0].clone();
        let over = |s: &mut PaperUnderReview| {
            let mark = mark(s);
            s.content
                .statements
                .get_mut(&mark)
                .expect("printed")
                .last_page = 2;
        };
        noticed("DC-52", subject, paper, over, "on one page");
        let elsewhere =
            |s: &mut PaperUnderReview| s.view.agreed[0].area = "Somewhere else".to_owned();
        noticed("DC-52", subject, paper, elsewhere, "Somewhere else");
    });
}

fn marks() {
    with(READER, |subject| {
        let paper = PaperKind::Aftercare;
        let good = changed(subject, paper, |s| super::bench::plain(s, "Rest."));
        let swapped = |s: &mut PaperUnderReview| {
            let mut all = s.view.instructions.iter_mut();
            all.find(|one| one.sign == Mark::DoNot)
                .expect("something not to do")
                .sign = Mark::Do;
        };
        noticed("DC-56", &good, paper, swapped, "has not the mark");
        let nothing =
            |s: &mut PaperUnderReview| s.view.instructions.retain(|one| one.sign != Mark::Do);
        noticed(
            "DC-56",
            &good,
            paper,
            nothing,
            "nothing in the table is to do",
        );
    });
}

#[test]
fn each_check_can_fail_by_one_thing() {
    for (_, case) in CASES {
        case();
    }
}

/// The practice's sheet is in the practice's language, the patient's papers in another.
#[test]
fn saying_it_back_is_looked_for_in_the_sheets_own_language() {
    for plan in [READER, SPANISH, TWO_LANGUAGES] {
        with(plan, |subject| {
            let own = |l: &Line| l.text.contains("palabras") || l.text.contains("words");
            let sheet = subject.review(PaperKind::CheckSheet).expect("made");
            let said = match sheet.paper.document.language.starts_with("es") {
                true => "Con sus propias palabras:",
                false => "In your own words:",
            };
            let good = changed(subject, PaperKind::CheckSheet, |s| {
                s.view.lines.retain(|l| !own(l));
                s.view.lines.push(paragraph(said));
            });
            meets("DC-58", &good, PaperKind::Aftercare);
            let spoilt = changed(&good, PaperKind::CheckSheet, |s| {
                s.view.lines.retain(|l| !own(l))
            });
            let found = judge("DC-58", &spoilt, PaperKind::Aftercare);
            assert_eq!(found.verdict, Verdict::NotMet, "{plan}");
            assert!(found.places[0].found.contains("clinician's sheet"));
            // three things, and before them only whose sheet it is
            let paper = PaperKind::Aftercare;
            let late = |s: &mut PaperUnderReview| s.view.lines.insert(0, paragraph("Read this."));
            let shifted = |s: &mut PaperUnderReview| {
                late(s);
                s.view.panels.iter_mut().for_each(|panel| panel.from += 1);
            };
            noticed("DC-58", &good, paper, shifted, "stands before the box");
            let fourth = |s: &mut PaperUnderReview| {
                let mut panels = s.view.panels.iter_mut();
                let own = panels
                    .find(|panel| panel.tone == Tone::Note)
                    .expect("the box");
                own.text.push_str("\nA fourth thing.");
            };
            noticed("DC-58", &good, paper, fourth, "4 points");
        });
    }
}
