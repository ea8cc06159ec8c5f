//! Turns real papers into ones that meet an item of the PEMAT-style score and then miss it by one thing.
//!
//! Invariant: every case mends what the papers do not do yet, so that it holds whether they do it or not.
//! Must not: call a score a rating by people.

use beforehand::compose::document::Tone;
use beforehand::lint::{Kind, Line, List, PaperUnderReview};
use beforehand::paper::PaperKind;
use beforehand::typeset::{PagePart, TextRun};

use super::bench::{changed, foot, meets, noticed, paragraph, plain, with};
use super::can_fail::{READER, SPANISH};

/// Each case under the number of its item.
pub const CASES: &[(&str, fn())] = &[
    ("PM-8", short_pieces),
    ("PM-9", headings),
    ("PM-10", warnings_first),
    ("PM-11", summary),
    ("PM-12", visual_cues),
    ("PM-15", pictures_used),
];

fn short_pieces() {
    with(READER, |subject| {
        let paper = PaperKind::Aftercare;
        let subject = &changed(subject, paper, |s| {
            plain(s, "Rest.");
            s.view
                .lists
                .iter_mut()
                .for_each(|list| list.items.truncate(7));
        });
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
        let review = subject.review(PaperKind::Information).expect("made");
        let lead = |mark: &str| {
            let of = |l: &&Line| l.mark.as_deref() == Some(mark);
            review.view().lines.iter().find(of).expect(mark).lead
        };
        assert!(!lead("orbicularis-oris.lasts"), "its name stands over it");
        assert!(!lead("general.risk.bruise"), "a table row");
        assert!(!lead("general.how-it-works"), "plain words");
        let label = |id: &str| subject.wording.label(id).expect("a label");
        let named = |text: &str| {
            let mut lines = review.view().lines.iter();
            lines.any(|l| l.kind == Kind::Title && l.lead && l.text == text)
        };
        assert!(named(&label("consent.lead.lasts")) && !named(&label("label.born")));
    });
}

fn warnings_first() {
    with(READER, |subject| {
        let paper = PaperKind::Aftercare;
        let until = subject
            .wording
            .label("aftercare.until.heading")
            .expect("a label");
        let early = |s: &mut PaperUnderReview| {
            let at = s
                .view
                .lines
                .iter()
                .position(|l| l.text == until)
                .expect("printed");
            let heading = s.view.lines.remove(at);
            s.view.lines.insert(0, heading);
        };
        noticed("PM-10", subject, paper, early, "before the warning signs");
        let none =
            |s: &mut PaperUnderReview| s.view.lines.iter_mut().for_each(|l| l.urgent = false);
        noticed("PM-10", subject, paper, none, "no warning signs");
    });
}

fn summary() {
    with(READER, |subject| {
        for (paper, most) in [(PaperKind::Information, 120), (PaperKind::Aftercare, 60)] {
            let of = |s: &mut PaperUnderReview, words: usize| {
                let mut panels = s.view.panels.iter_mut();
                let own = panels
                    .find(|panel| panel.tone == Tone::Note)
                    .expect("a summary");
                own.text = "word ".repeat(words);
            };
            let good = changed(subject, paper, |s| of(s, most));
            let long = |s: &mut PaperUnderReview| of(s, most + 1);
            noticed("PM-11", &good, paper, long, &format!("{} words", most + 1));
            // what comes after a heading sums up nothing
            let late =
                |s: &mut PaperUnderReview| s.view.lines.iter_mut().for_each(|l| l.section = 1);
            noticed("PM-11", &good, paper, late, "no summary");
        }
    });
}

/// A paper with a bold word on each page and none anywhere else.
fn cued(sheet: &mut PaperUnderReview) {
    sheet.view.lines.iter_mut().for_each(|l| l.bold_words = 0);
    let runs = &mut sheet.content.runs;
    runs.retain(|x| x.part.is_running());
    runs.extend((1..=sheet.content.sizes.len()).map(|page| TextRun {
        part: PagePart::Body,
        bold: true,
        ..foot(page, "Cue")
    }));
}

fn visual_cues() {
    with(READER, |subject| {
        let paper = PaperKind::Aftercare;
        let good = changed(subject, paper, cued);
        // the bands of warning signs and what to remember may be bold from end to end
        let urgent = changed(&good, paper, |s| {
            let first = s.view.panels.iter().find(|p| p.tone == Tone::Note);
            let from = first.expect("what to remember").from;
            let lines = s.view.lines.iter_mut().enumerate();
            let whole = lines.filter(|(at, l)| l.urgent || (from..from + 3).contains(at));
            whole.for_each(|(_, l)| l.bold_words = l.text.split(' ').count());
        });
        meets("PM-12", &urgent, paper);
        let bold = |s: &mut PaperUnderReview| {
            let lines = s
                .view
                .lines
                .iter_mut()
                .filter(|l| l.is_prose() && !l.urgent);
            lines.for_each(|l| l.bold_words = l.text.split(' ').count());
        };
        noticed("PM-12", &good, paper, bold, "words are bold");
        let plain = |s: &mut PaperUnderReview| s.content.runs.retain(|x| x.page != 2 || !x.bold);
        noticed("PM-12", &good, paper, plain, "no box, bold words or list");
        // numbers in table cells are bold words like others
        let cell = |s: &mut PaperUnderReview| {
            let cell = Line {
                kind: Kind::Cell,
                bold_words: 200,
                ..paragraph(&"12 ".repeat(200))
            };
            s.view.lines.push(cell);
        };
        noticed("PM-12", &good, paper, cell, "words are bold");
        // in an information paper the name of every risk is bold
        let read = changed(subject, PaperKind::Information, |s| {
            cued(s);
            bold(s);
        });
        meets("PM-12", &read, PaperKind::Information);
    });
}

fn pictures_used() {
    with(READER, |subject| {
        for paper in [PaperKind::Information, PaperKind::Aftercare] {
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
        let paper = PaperKind::Information;
        let good = changed(subject, paper, |s| {
            s.document.title = "Toxina botulínica".to_owned();
            plain(s, "En casa.");
            let mut lines = s.view.lines.iter_mut().filter(|l| l.is_prose());
            lines.next().expect("a sentence").text = "Léalo en casa antes de decidir.".to_owned();
        });
        noticed(
            "PM-1",
            &good,
            paper,
            |s| plain(s, "En casa."),
            "ask for nothing",
        );
    });
}

/// Number words are misses before a unit only, and two wholes in one table are a miss as well.
#[test]
fn numbers_in_words_are_misses_before_a_unit() {
    with(SPANISH, |subject| {
        let paper = PaperKind::Aftercare;
        let sides = changed(subject, paper, |s| plain(s, "Los dos lados con dos dedos."));
        noticed(
            "PM-6",
            &sides,
            paper,
            |s| plain(s, "Espere dos días."),
            "dos días",
        );
    });
    with(READER, |subject| {
        let paper = PaperKind::Information;
        let good = changed(subject, paper, |s| plain(s, "Rest."));
        let spoil = |s: &mut PaperUnderReview| super::cell(s, "It can be.", "9 in 1,000 people");
        noticed("PM-6", &good, paper, spoil, "out of");
        let broken = |s: &mut PaperUnderReview| plain(s, "By 5.2 on average.");
        noticed("PM-6", &good, paper, broken, "5.2 is not whole");
    });
}
