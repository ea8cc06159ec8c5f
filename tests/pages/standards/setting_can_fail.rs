//! Turns real pages into ones that are set as they should be and then differ in one size, one length or one distance.
//!
//! Invariant: every case mends what the papers do not do yet, so that it holds whether they do it or not.
//! Must not: judge words.

use beforehand::lint::{Kind, Line, PaperUnderReview, Verdict};
use beforehand::paper::PaperKind;
use beforehand::typeset::{PagePart, TextRun};

use super::bench::{changed, foot, meets, noticed, paragraph, with};
use super::can_fail::READER;
use super::judge;

/// Each case under the number of its check.
pub const CASES: &[(&str, fn())] = &[
    ("DC-43", small_type),
    ("DC-45", line_length),
    ("DC-45", one_pitch),
];

/// Labels and notes may be smaller than what is read, and not smaller than 9 pt.
fn small_type() {
    with(READER, |subject| {
        let paper = PaperKind::Information;
        let run = |text: &str, size: f64| TextRun {
            part: PagePart::Body,
            size,
            x_height: size * 0.536,
            ..foot(1, text)
        };
        let good = changed(subject, paper, |s| {
            let label = Line {
                kind: Kind::Label,
                ..paragraph("A label")
            };
            let note = Line {
                note: true,
                ..paragraph("A note that goes over two lines")
            };
            s.view.lines = vec![label, note, paragraph("Something to read")];
            s.content.runs = vec![
                run("A label", 9.5),
                run("A note that goes", 10.0),
                run("over two lines", 10.0),
                run("Something to read", 12.0),
                foot(1, "A running line"),
            ];
            s.content.runs[4].size = 9.0;
        });
        for (at, size) in [(0, 8.9), (2, 8.9), (3, 11.9), (4, 8.9)] {
            let smaller = |s: &mut PaperUnderReview| s.content.runs[at].size = size;
            noticed("DC-43", &good, paper, smaller, &format!("{size:.1} pt"));
        }
        // a statement is always read, whatever the words
        let spoil =
            |s: &mut PaperUnderReview| s.content.runs[1].statements = vec!["general.x".to_owned()];
        noticed("DC-43", &good, paper, spoil, "10.0 pt");
        let large = |s: &mut PaperUnderReview| s.document.large = true;
        noticed("DC-43", &good, paper, large, "9.5 pt");
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
        !s.part.is_running() && s.inside.contains(&"par") && s.right - s.left > 340.0
    };
    let mut lines = sheet.content.runs.iter_mut().filter(widest);
    lines.nth(skip).expect("a full line")
}

fn line_length() {
    with(READER, |subject| {
        let paper = PaperKind::Information;
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

/// Lines of one paragraph at these heights, each as wide as the last.
fn set_at(sheet: &mut PaperUnderReview, heights: &[f64], words: &str) {
    let text = vec![words; heights.len()].join(" ");
    sheet.view.lines = vec![paragraph(&text)];
    let line = |y: &f64| TextRun {
        part: PagePart::Body,
        baseline: *y,
        right: 480.0,
        inside: vec!["par"],
        ..foot(1, words)
    };
    sheet.content.runs = heights.iter().map(line).collect();
}

fn one_pitch() {
    let words = "running text of this paper, which is as long as it should be";
    with(READER, |subject| {
        for paper in super::HANDED_OUT {
            let good = changed(subject, paper, |s| set_at(s, &[300.0, 316.0, 332.0], words));
            let wider = |s: &mut PaperUnderReview| set_at(s, &[300.0, 316.0, 333.0], words);
            noticed("DC-45", &good, paper, wider, "17.0 pt apart, not 16.0");
            // between two paragraphs there may be more room
            let parted = changed(&good, paper, |s| {
                set_at(s, &[300.0, 316.0, 340.0], words);
                s.view.lines = vec![
                    paragraph(&format!("{words} {words}")),
                    Line {
                        paragraph: 1,
                        ..paragraph(&words.replace("running", "other"))
                    },
                ];
                s.content.runs[2].text = words.replace("running", "other");
            });
            meets("DC-45", &parted, paper);
        }
        // long lines are for a form, not for what is read
        let long = format!("{words}, and a little longer than that");
        let good = |paper| changed(subject, paper, |s| set_at(s, &[300.0, 316.0], words));
        let longer = |s: &mut PaperUnderReview| set_at(s, &[300.0, 316.0], &long);
        noticed(
            "DC-45",
            &good(PaperKind::Aftercare),
            PaperKind::Aftercare,
            longer,
            "mean",
        );
        let form = changed(subject, PaperKind::Consent, longer);
        meets("DC-45", &form, PaperKind::Consent);
    });
}

#[test]
fn each_measure_can_fail_by_one_thing() {
    for (_, case) in CASES {
        case();
    }
}
