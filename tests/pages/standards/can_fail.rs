//! Turns real papers into ones that meet a document check and then miss it by one thing: pages, parts of the form, how lines are set.
//!
//! Invariant: every case mends what the papers do not do yet, so that it holds whether they do it or not.
//! Must not: judge risks (that is `risks_can_fail`), or items of the PEMAT-style score (that is `items_can_fail`).

use beforehand::compose::document::{Sign as Mark, Tone};
use beforehand::lint::{
    Kind, Line, PaperUnderReview, Sign, Verdict, VisitUnderReview, month_of, review_has_passed,
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
    ("DC-17", day_of_information),
    ("DC-20", interpreter),
    ("DC-23", what_was_given),
    ("DC-25", representative),
    ("DC-27", observers),
    ("DC-30", readability_by_section),
    ("DC-32", length),
    ("DC-43", small_type),
    ("DC-45", line_length),
    ("DC-45", one_pitch),
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
        let spoil = |s: &mut PaperUnderReview| own(s).text.clear();
        noticed("DC-20", &good, paper, spoil, "whether one is needed");
        let spoil = |s: &mut PaperUnderReview| own(s).title.clear();
        noticed("DC-20", &good, paper, spoil, "no place for an interpreter");
    });
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

fn bands() {
    with(READER, |subject| {
        let paper = PaperKind::Aftercare;
        let review = subject.review(paper).expect("made");
        let bands = &review.view().bands;
        assert_eq!(bands.len(), 3);
        for at in 0..bands.len() {
            let unnamed = |s: &mut PaperUnderReview| s.view.bands[at].action.clear();
            noticed(
                "DC-48",
                subject,
                paper,
                unnamed,
                &format!("band {}", at + 1),
            );
            let bare = |s: &mut PaperUnderReview| s.view.bands[at].signs.clear();
            noticed("DC-48", subject, paper, bare, &bands[at].action);
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
