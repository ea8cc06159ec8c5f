//! Pages as a copier without colour gives them: what a picture tells apart, and every letter, must still be told apart in grey.
//!
//! Must not: pass in CI when the reader is missing. The thresholds are ours; nobody has published any for marks like these.

use std::path::PathBuf;

use beforehand::catalogue::Side;
use beforehand::paper::PaperKind;
use beforehand::typeset::Typesetter;
use serde_json::Value;

use crate::support::catalogue::{area, side_for};
use crate::support::pictures::plan;
use crate::support::templates::with_changes;
use crate::support::{laid_out, referee};

/// Darkness from 0 (paper) to 1 (black).
const FILLED: f64 = 0.75;
const SOME: (f64, f64) = (0.2, 0.65);
const EMPTY: f64 = 0.15;
/// The solid part of a lane is nearly as dark as ink; the upright strokes before it are much lighter on the whole, with white
/// between them.
const FLAT: f64 = 0.6;
const UPRIGHT: (f64, f64) = (0.08, 0.45);
/// Between the darkest and the lightest place of the strokes.
const STROKES: f64 = 0.5;
const LETTER: f64 = 0.7;

const ALL: [PaperKind; 4] = [
    PaperKind::Information,
    PaperKind::Consent,
    PaperKind::Aftercare,
    PaperKind::Evidence,
];

/// What a reader sees in grey of these papers of two visits; nothing where the referees are not installed.
fn in_grey(name: &str, kinds: &[PaperKind], typesetter: &Typesetter) -> Option<Vec<Value>> {
    let python = referee::python("pypdfium2, pdfplumber")?;
    // frown lines and jaw have a lane each; of frown lines alone a risk with a range is drawn
    let visits = [vec!["glabella", "masseter"], vec!["glabella"]];
    let mut files = Vec::new();
    for (visit, ids) in visits.iter().enumerate() {
        let areas = ids
            .iter()
            .map(|id| (area(id), side_for(area(id), Side::Both)));
        let areas: Vec<_> = areas.collect();
        files.extend(laid_out(&plan(&areas).toml(), typesetter, |papers| {
            let sheets = papers
                .papers
                .iter()
                .filter(|made| kinds.contains(&made.kind));
            let written = sheets.map(|made| {
                let kind = made.kind.as_str();
                let file = referee::scratch(&format!("grey-{name}-{visit}-{kind}.pdf"));
                let pdf = made.pages.pdf().expect("the standards are met");
                std::fs::write(&file, pdf).expect("the scratch folder can be written");
                file
            });
            written.collect::<Vec<_>>()
        }));
    }
    let read = |file: &PathBuf| referee::read_file(&python, "grey.py", file);
    Some(files.iter().map(read).collect())
}

/// Everything that a copier would blur, in words.
fn blurred(papers: &[Value]) -> Vec<String> {
    let number = |value: &Value| value.as_f64().expect("a darkness");
    let mut found = Vec::new();
    let mut kinds = std::collections::BTreeSet::new();
    let mut lanes = 0;
    for paper in papers {
        for page in paper["marks"].as_array().expect("a list") {
            for (kind, range) in page.as_object().expect("kinds of marks") {
                let (least, most) = (number(&range[0]), number(&range[1]));
                kinds.insert(kind.clone());
                let good = match kind.as_str() {
                    "filled" => least >= FILLED,
                    "some" => least >= SOME.0 && most <= SOME.1,
                    _ => most <= EMPTY,
                };
                if !good {
                    found.push(format!("{kind} marks are {least} to {most} dark"));
                }
            }
        }
        for lane in paper["lanes"].as_array().expect("a list") {
            lanes += 1;
            let flat = number(&lane["flat"]);
            if flat < FLAT {
                found.push(format!("the solid part of a lane is {flat} dark"));
            }
            let upright = number(&lane["upright"]);
            if !(UPRIGHT.0..=UPRIGHT.1).contains(&upright) {
                found.push(format!("the strokes before a lane are {upright} dark"));
            }
            if number(&lane["contrast"]) < STROKES {
                found.push(format!(
                    "the strokes before a lane differ by {}",
                    lane["contrast"]
                ));
            }
        }
        for letter in paper["letters"].as_array().expect("a list") {
            if number(&letter[0]) < LETTER {
                found.push(format!("the letter {} is {} dark", letter[1], letter[0]));
            }
        }
    }
    if kinds.len() < 3 {
        found.push(format!("only {kinds:?} marks are there"));
    }
    if lanes < 2 {
        found.push(format!("{lanes} lanes have a solid part"));
    }
    found
}

#[test]
fn grey_still_tells_everything_apart() {
    let Some(papers) = in_grey("sound", &ALL, &Typesetter::embedded()) else {
        return;
    };
    assert_eq!(blurred(&papers), Vec::<String>::new());
}

#[test]
fn what_grey_would_blur_is_noticed() {
    for (name, kind, file, from, to, said) in [
        (
            "marks",
            PaperKind::Information,
            "icons.typ",
            "fill: if kind == \"filled\" { ink }",
            "fill: if kind == \"filled\" { rgb(\"#777777\") }",
            "filled marks",
        ),
        (
            "some",
            PaperKind::Information,
            "icons.typ",
            "let point = 0.45 * r",
            "let point = 0.1 * r",
            "some marks",
        ),
        (
            "lanes",
            PaperKind::Aftercare,
            "timeline.typ",
            "std.place(dx: b, rect(width: c - b, height: height, fill: accent))",
            "std.place(dx: b, rect(width: c - b, height: height, fill: rgb(\"#bbbbbb\")))",
            "solid part",
        ),
        (
            "strokes",
            PaperKind::Aftercare,
            "timeline.typ",
            "#let hatch-stroke = 0.05",
            "#let hatch-stroke = 0.28",
            "strokes before a lane",
        ),
        (
            "letters",
            PaperKind::Consent,
            "theme.typ",
            "#let ink = rgb(\"#000000\")",
            "#let ink = rgb(\"#8fa0b0\")",
            "letter",
        ),
    ] {
        let typesetter = with_changes(&[(file, from, to)]);
        let Some(papers) = in_grey(name, &[kind], &typesetter) else {
            return;
        };
        let found = blurred(&papers);
        assert!(
            found.iter().any(|fault| fault.contains(said)),
            "{name}: {found:?}"
        );
    }
}
