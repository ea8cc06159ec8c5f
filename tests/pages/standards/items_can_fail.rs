//! Turns real papers into ones that meet an item of the PEMAT-style score and then miss it by one thing.
//!
//! Invariant: every case mends what the papers do not do yet, so that it holds whether they do it or not.
//! Must not: call a score a rating by people.

use beforehand::lint::{Kind, Line, List, PaperUnderReview};
use beforehand::paper::PaperKind;

use super::bench::{changed, meets, noticed, paragraph, with};
use super::can_fail::{READER, SPANISH};

/// Each case under the number of its item.
pub const CASES: &[(&str, fn())] = &[
    ("PM-8", short_pieces),
    ("PM-9", headings),
    ("PM-12", visual_cues),
    ("PM-15", pictures_used),
];

fn short_pieces() {
    with(READER, |subject| {
        let paper = PaperKind::Aftercare;
        let words = |count: usize| "word ".repeat(count).trim_end().to_owned() + ".";
        let first = |s: &mut PaperUnderReview, count: usize| {
            let own = |l: &&mut Line| l.mark.as_deref() == Some("advice.no-rubbing");
            let mut lines = s.view.lines.iter_mut();
            lines.find(own).expect("advice").text = words(count);
        };
        meets("PM-8", &changed(subject, paper, |s| first(s, 60)), paper);
        noticed(
            "PM-8",
            subject,
            paper,
            |s| first(s, 61),
            "advice.no-rubbing",
        );
        let list = |s: &mut PaperUnderReview, points: usize| {
            s.view.lists.push(List {
                section: 2,
                items: vec!["A point.".to_owned(); points],
                ..s.view.lists[0].clone()
            });
        };
        meets("PM-8", &changed(subject, paper, |s| list(s, 7)), paper);
        let subject_sections = subject.review(paper).expect("made").view().sections.clone();
        noticed("PM-8", subject, paper, |s| list(s, 8), &subject_sections[2]);
    });
}

fn headings() {
    with(READER, |subject| {
        let paper = PaperKind::Aftercare;
        let words = "word ".repeat(121);
        // a section of one paragraph
        let good = changed(subject, paper, |s| {
            let heading = |text: &str| Line {
                kind: Kind::Heading(2),
                ..paragraph(text)
            };
            s.view.lines = vec![
                heading("First"),
                paragraph(&words[..5 * 100]),
                Line {
                    lead: true,
                    ..paragraph(&format!("How long it lasts. {}", &words[..5 * 110]))
                },
                heading("Second"),
                paragraph("The end."),
            ];
        });
        noticed(
            "PM-9",
            &good,
            paper,
            |s| s.view.lines[1].text.clone_from(&words),
            "First",
        );
        // the heading in the line is what keeps the section short
        noticed(
            "PM-9",
            &good,
            paper,
            |s| s.view.lines[2].lead = false,
            "First",
        );
        noticed(
            "PM-9",
            &good,
            paper,
            |s| s.view.lines[2].text.push_str(&words),
            "How long it lasts",
        );
    });
    // what the real form counts as such a heading
    with(READER, |subject| {
        let review = subject.review(PaperKind::Consent).expect("made");
        let lead = |mark: &str| {
            let of = |l: &&Line| l.mark.as_deref() == Some(mark);
            review.view().lines.iter().find(of).expect(mark).lead
        };
        assert!(lead("orbicularis-oris.lasts"));
        assert!(!lead("orbicularis-oris.risk.drooling"), "a list entry");
        assert!(!lead("general.risk.bruise"), "a table row");
        assert!(!lead("general.how-it-works"), "plain words");
        let labelled = |l: &&Line| l.kind == Kind::Title && l.lead;
        let named = |text: &str| {
            review
                .view()
                .lines
                .iter()
                .filter(labelled)
                .any(|l| l.text == text)
        };
        assert!(named("Patient") && !named("Date of birth"));
    });
}

fn visual_cues() {
    with(READER, |subject| {
        let paper = PaperKind::Aftercare;
        let good = changed(subject, paper, |s| {
            s.view
                .lines
                .iter_mut()
                .filter(|l| !l.urgent)
                .for_each(|l| l.bold_words = 0);
        });
        // the box of warning signs may be bold from end to end
        meets("PM-12", &good, paper);
        let review = good.review(paper).expect("made");
        let urgent = review
            .view()
            .lines
            .iter()
            .filter(|l| l.urgent && l.bold_words > 0);
        assert!(urgent.count() > 3, "the box has bold words");
        let bold = |s: &mut PaperUnderReview| {
            let lines = s
                .view
                .lines
                .iter_mut()
                .filter(|l| l.is_prose() && !l.urgent);
            lines
                .take(10)
                .for_each(|l| l.bold_words = l.text.split(' ').count());
        };
        noticed("PM-12", &good, paper, bold, "words are bold");
        let plain = |s: &mut PaperUnderReview| {
            s.content
                .runs
                .retain(|x| x.page != 2 || x.part.is_running() || !x.bold && !x.text.contains('•'));
        };
        noticed("PM-12", &good, paper, plain, "no box, bold words or list");
    });
    // numbers in table cells are bold words like others
    with(READER, |subject| {
        let paper = PaperKind::Aftercare;
        let good = changed(subject, paper, |s| {
            s.view.lines.iter_mut().for_each(|l| l.bold_words = 0);
        });
        let bold = |s: &mut PaperUnderReview| {
            let cell = Line {
                kind: Kind::Cell,
                bold_words: 200,
                ..paragraph(&"12 ".repeat(200))
            };
            s.view.lines.push(cell);
        };
        noticed("PM-12", &good, paper, bold, "words are bold");
    });
}

fn pictures_used() {
    with(READER, |subject| {
        for paper in [PaperKind::Consent, PaperKind::Aftercare] {
            let spoil = |s: &mut PaperUnderReview| s.view.pictures.clear();
            noticed("PM-15", subject, paper, spoil, "no picture");
        }
    });
}

#[test]
fn each_item_can_fail_by_one_thing() {
    for (_, case) in CASES {
        case();
    }
}

/// The first 50 words are those of sentences, and a Spanish request counts as one.
#[test]
fn a_spanish_request_is_one() {
    with(SPANISH, |subject| {
        let paper = PaperKind::Consent;
        let own = |s: &mut PaperUnderReview, text: &str| {
            let read_first = |l: &&mut Line| l.text.starts_with("Léalo en casa");
            let mut lines = s.view.lines.iter_mut();
            lines.find(read_first).expect("the first request").text = text.to_owned();
        };
        let good = changed(subject, paper, |s| {
            own(s, "Léalo en casa antes de decidir.")
        });
        noticed(
            "PM-1",
            &good,
            paper,
            |s| own(s, "En casa."),
            "ask for nothing",
        );
    });
}

/// Number words are misses before a unit only, and two wholes in one table are a miss as well.
#[test]
fn numbers_in_words_are_misses_before_a_unit() {
    with("patio-verde/locutora.toml", |subject| {
        let paper = PaperKind::Aftercare;
        let first = |s: &mut PaperUnderReview, text: &str| {
            let mut lines = s.view.lines.iter_mut().filter(|l| l.is_prose());
            lines.next().expect("a sentence").text = text.to_owned();
        };
        let sides = changed(subject, paper, |s| first(s, "Los dos lados con dos dedos."));
        noticed(
            "PM-6",
            &sides,
            paper,
            |s| first(s, "Espere dos días."),
            "dos días",
        );
    });
    with(READER, |subject| {
        let spoil = |s: &mut PaperUnderReview| super::cell(s, "It can be.", "9 in 1,000 people");
        noticed("PM-6", subject, PaperKind::Consent, spoil, "out of");
    });
}
