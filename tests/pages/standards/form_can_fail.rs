//! Turns a real form into one that meets a check on what is signed and then misses it by one thing.
//!
//! Invariant: every case mends what the form does not do yet, so that it holds whether it does it or not.
//! Must not: judge what is only read.

use beforehand::lint::{Kind, Line, PaperUnderReview, Sign};
use beforehand::paper::PaperKind;

use super::bench::{changed, noticed, paragraph, with, with_changed};
use super::can_fail::{READER, SPANISH};

/// Each case under the number of its check.
pub const CASES: &[(&str, fn())] = &[
    ("DC-17", day_of_information),
    ("DC-20", interpreter),
    ("DC-23", what_was_given),
    ("DC-25", representative),
];

/// The first sentence to tick of a form.
fn first_tick(sheet: &mut PaperUnderReview) -> &mut Line {
    let mut lines = sheet.view.lines.iter_mut();
    lines
        .find(|line| line.kind == Kind::Tick)
        .expect("a sentence to tick")
}

fn day_of_information() {
    let paper = PaperKind::Consent;
    let untold = |s: &mut PaperUnderReview| {
        let ticks = s.view.lines.iter_mut().filter(|l| l.kind == Kind::Tick);
        ticks.for_each(|l| l.text = "I know what this can do.".to_owned());
    };
    with(READER, |subject| {
        let day = subject.selection.visit.informed_on.expect("it has a day");
        let said = format!("I was given it on {}.", subject.wording.formats().date(day));
        let good = changed(subject, paper, |s| {
            untold(s);
            first_tick(s).text.clone_from(&said);
        });
        noticed("DC-17", &good, paper, untold, "the day of information");
        let undated = |s: &mut PaperUnderReview| s.view.signs.clear();
        noticed("DC-17", &good, paper, undated, "the day of consent");
    });
    with_changed(
        READER,
        |_, visit| visit.informed_on = None,
        |subject| {
            let good = changed(subject, paper, |s| {
                untold(s);
                first_tick(s).text = "I was given it on ________.".to_owned();
            });
            noticed("DC-17", &good, paper, untold, "room for the day");
        },
    );
}

fn what_was_given() {
    for plan in [READER, SPANISH] {
        with(plan, |subject| {
            let paper = PaperKind::Consent;
            let review = subject.review(PaperKind::Information).expect("made");
            let running = review.paper.document.running_lines.code.clone();
            let code = running.split(' ').next_back().expect("a code").to_owned();
            assert_eq!(code.len(), "ABCD-EFGH-JKLM".len());
            let sheet = subject
                .wording
                .label("aftercare.short-title")
                .expect("a label");
            let good = changed(subject, paper, |s| {
                let tick = Line {
                    kind: Kind::Tick,
                    ..paragraph(&format!("{sheet}; {code}"))
                };
                s.view.lines.retain(|l| l.kind != Kind::Tick);
                s.view.lines.push(tick);
            });
            let other =
                |s: &mut PaperUnderReview| first_tick(s).text = format!("{sheet}; ABCD-EFGH-JKLM");
            noticed("DC-23", &good, paper, other, &code);
            let unnamed = |s: &mut PaperUnderReview| first_tick(s).text.clone_from(&code);
            noticed("DC-23", &good, paper, unnamed, &sheet.to_lowercase());
        });
    }
}

fn interpreter() {
    with(READER, |subject| {
        let label = |id: &str| subject.wording.label(id).expect("a label");
        let title = label("consent.sign.interpreter");
        let parts = ["language", "name", "qualification", "signature", "date"];
        let fields = parts.map(|part| label(&format!("consent.sign.{part}")));
        let paper = PaperKind::Consent;
        let good = changed(subject, paper, |s| {
            s.view.signs.retain(|sign| sign.title != title);
            s.view.signs.push(Sign {
                section: 0,
                title: title.clone(),
                text: "Needed: yes / no".to_owned(),
                fields: fields.to_vec(),
            });
        });
        fn own(s: &mut PaperUnderReview) -> &mut Sign {
            s.view.signs.last_mut().expect("the block")
        }
        for (at, named) in ["language", "name", "qualification", "signature", "day"]
            .into_iter()
            .enumerate()
        {
            let spoil = |s: &mut PaperUnderReview| {
                own(s).fields.remove(at);
            };
            noticed("DC-20", &good, paper, spoil, named);
        }
        // its title says that it is for when one is needed
        let spoil = |s: &mut PaperUnderReview| own(s).title.clear();
        noticed("DC-20", &good, paper, spoil, "no place for an interpreter");
    });
}

fn representative() {
    with(READER, |subject| {
        let paper = PaperKind::Consent;
        let basis = subject
            .wording
            .label("consent.sign.name-and-basis")
            .expect("a label");
        let spoil = |s: &mut PaperUnderReview| {
            let signs = s.view.signs.iter_mut();
            signs.for_each(|sign| sign.fields.retain(|field| *field != basis));
        };
        noticed("DC-25", subject, paper, spoil, "the basis");
    });
}

#[test]
fn each_part_of_the_form_can_fail_by_one_thing() {
    for (_, case) in CASES {
        case();
    }
}
