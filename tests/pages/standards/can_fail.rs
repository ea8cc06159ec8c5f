//! Turns real papers into ones that meet a document check and then miss it by one thing: pages, parts of the form, how lines are set.
//!
//! Invariant: every case mends what the papers do not do yet, so that it holds whether they do it or not.
//! Must not: judge risks (that is `risks_can_fail`), or items of the PEMAT-style score (that is `items_can_fail`).

use beforehand::lint::{
    Line, PaperUnderReview, Sign, Verdict, VisitUnderReview, month_of, review_has_passed,
};
use beforehand::paper::PaperKind;
use beforehand::plan::Fees;
use beforehand::typeset::{PagePart, TextRun};

use super::bench::{changed, foot, meets, noticed, paragraph, with, with_changed};
use super::{HARD, judge};

/// Each case under the number of its check.
pub const CASES: &[(&str, fn())] = &[
    ("DC-4", version_and_dates),
    ("DC-16", cost),
    ("DC-20", interpreter),
    ("DC-27", observers),
    ("DC-30", readability_by_section),
    ("DC-32", length),
    ("DC-45", line_length),
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
        let good = reviewed(subject, paper, "review by Nov 2028");
        noticed(
            "DC-4",
            &good,
            paper,
            |s| unsaid(s, 2, "review by"),
            "to be reviewed: on",
        );
        let found = changed(&good, paper, |s| unsaid(s, 2, "review by"));
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
            s.content.runs.retain(|x| !x.text.contains("revisar"));
        });
        let found = judge("DC-4", &reviewed(&vague, paper, words), paper);
        let unread = |p: &beforehand::lint::Place| p.found.contains("to be reviewed: on 0");
        assert!(found.places.iter().any(unread), "{:?}", found.places);
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
            noticed("DC-16", good, PaperKind::Consent, spoil, both[0]);
        },
    );
    // a price for one of two areas
    with_changed(
        plan,
        |clinic, _| clinic.fees = fees(&both[..1]),
        |subject| {
            let found = judge("DC-16", subject, PaperKind::Consent);
            assert_eq!(found.verdict, Verdict::NotMet);
            let at: Vec<&str> = found.places.iter().map(|p| p.at.as_str()).collect();
            assert_eq!(at, [both[1]]);
        },
    );
}

fn interpreter() {
    with(READER, |subject| {
        let label = |id: &str| subject.wording.label(id).expect("a label");
        let (title, language) = (
            label("consent.sign.interpreter"),
            label("consent.sign.language"),
        );
        let paper = PaperKind::Consent;
        let good = changed(subject, paper, |s| {
            s.view.signs.retain(|sign| sign.title != title);
            s.view.signs.push(Sign {
                title: title.clone(),
                text: "Needed: yes / no".to_owned(),
                fields: vec![language.clone(), "Name and qualification".to_owned()],
            });
        });
        let own = |s: &mut PaperUnderReview, change: fn(&mut Sign)| {
            change(s.view.signs.last_mut().expect("the block"));
        };
        for (named, change) in [
            ("language", (|x| x.fields.truncate(0)) as fn(&mut Sign)),
            ("qualification", |x| x.fields.truncate(1)),
        ] {
            noticed("DC-20", &good, paper, |s| own(s, change), named);
        }
    });
}

fn observers() {
    with(READER, |subject| {
        let paper = PaperKind::Consent;
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
        let paper = PaperKind::Consent;
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
    with(READER, |subject| {
        let good = changed(subject, PaperKind::Aftercare, |s| {
            s.content.sizes.truncate(2)
        });
        noticed(
            "DC-32",
            &good,
            PaperKind::Aftercare,
            |s| s.content.sizes.push(s.content.sizes[0]),
            "3 pages",
        );
    });
}

/// Body text that keeps every rule on lines: the real lines, those in tables left out and each shorter by a fifth of its letters.
fn shorter(sheet: &mut PaperUnderReview) {
    let stretches = &mut sheet.content.runs;
    stretches.retain(|s| s.part.is_running() || !s.inside.contains(&"table"));
    for stretch in stretches.iter_mut().filter(|s| !s.part.is_running()) {
        let keep = stretch.text.chars().count() * 4 / 5;
        let cut: String = stretch.text.chars().take(keep).collect();
        // whole words only: halves would look like words split over two lines
        stretch.text = cut
            .rsplit_once(' ')
            .map_or(cut.clone(), |(whole, _)| whole.to_owned());
    }
}

/// A stretch that is a whole line of running text by itself, at the place in the order of pages.
fn whole_line(sheet: &mut PaperUnderReview, skip: usize) -> &mut TextRun {
    let widest = |s: &&mut TextRun| {
        !s.part.is_running() && s.inside.contains(&"par") && s.right - s.left > 420.0
    };
    let mut lines = sheet.content.runs.iter_mut().filter(widest);
    lines.nth(skip).expect("a full line")
}

fn line_length() {
    with(READER, |subject| {
        let paper = PaperKind::Consent;
        let good = changed(subject, paper, shorter);
        noticed(
            "DC-45",
            &good,
            paper,
            |s| {
                for x in &mut s.content.runs {
                    x.text = x.text.chars().take(10).collect();
                }
            },
            "mean",
        );
        // what stands under a line a little nearer to it: a line in the middle of its paragraph, whichever that is
        let places: Vec<(usize, f64)> = (0..10)
            .map(|skip| {
                let mut good = good.clone();
                let line = whole_line(super::bench::sheet(&mut good, paper), skip);
                (line.page, line.baseline)
            })
            .collect();
        let nearer_at = |s: &mut PaperUnderReview, (page, baseline): (usize, f64)| {
            let here = |x: &&mut TextRun| {
                x.page == page && x.baseline > baseline + 1.0 && !x.part.is_running()
            };
            let below = s.content.runs.iter_mut().filter(here);
            below.for_each(|x| x.baseline -= 2.0);
        };
        let in_paragraph = |place: &&(usize, f64)| {
            let moved = changed(&good, paper, |s| nearer_at(s, **place));
            judge("DC-45", &moved, paper).verdict == Verdict::NotMet
        };
        let place = *places
            .iter()
            .find(in_paragraph)
            .expect("a paragraph of several lines");
        let nearer = |s: &mut PaperUnderReview| nearer_at(s, place);
        noticed("DC-45", &good, paper, nearer, "type sizes apart");
        // labels in a picture and headings may stand closer: they are no running text
        let labels = changed(&good, paper, |s| {
            nearer(s);
            for x in s.content.runs.iter_mut().filter(|x| !x.part.is_running()) {
                x.inside.push("figure");
            }
            let line = |y: f64| TextRun {
                part: PagePart::Body,
                baseline: y,
                right: 480.0,
                inside: vec!["par"],
                ..foot(
                    1,
                    "running text of this paper, which is as long as it should be",
                )
            };
            s.content
                .runs
                .extend([line(300.0), line(314.5), line(329.0)]);
        });
        meets("DC-45", &labels, paper);
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
    for plan in [SPANISH, TWO_LANGUAGES] {
        with(plan, |subject| {
            meets("DC-58", subject, PaperKind::Aftercare);
            let spoilt = changed(subject, PaperKind::CheckSheet, |s| {
                s.view
                    .lines
                    .retain(|l| !l.text.contains("palabras") && !l.text.contains("words"));
            });
            let found = judge("DC-58", &spoilt, PaperKind::Aftercare);
            assert_eq!(found.verdict, Verdict::NotMet, "{plan}");
            assert!(found.places[0].found.contains("clinician's sheet"));
        });
    }
}
