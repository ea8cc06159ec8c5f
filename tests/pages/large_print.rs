//! The large-print edition of every sample, held statement by statement against the ordinary one.
//!
//! Sources: UKAAF clear and large print minimum standards (16 pt or more; D35), APH (18 pt; D38); re-set, not enlarged (D35).
//! Must not: compare what was composed only; the words are read back from the laid-out pages.

use std::collections::BTreeMap;
use std::path::Path;

use beforehand::compose::Block;
use beforehand::paper::Edition;
use beforehand::papers::{MakeOptions, Paper};
use beforehand::typeset::{Placed, Typesetter};
use beforehand::wording::{Approvals, rich};

use crate::support::{ClinicFile, Plan, make, papers_of, root, run, samples, squeeze};

/// Plan and size of type; one of each language and paper size, one area and all.
const SAMPLES: &[(&str, f64)] = &[
    ("samples/linden-court/news-reader.toml", 16.0),
    ("samples/linden-court/everything.toml", 16.0),
    ("samples/cedar-hollow/wedding.toml", 18.0),
    ("samples/cedar-hollow/en-espanol.toml", 18.0),
    ("samples/patio-verde/mandibula.toml", 18.0),
];

/// Points of whatever stands in the body, labels and notes too, and of what stands on every page.
const LEAST: f64 = 16.0;
const RUNNING: f64 = 14.0;

/// Signs of an emergency that are not on the first page, or what to say far from them, signs that are parted from whom to call, and a picture of dates without
/// its heading.
fn out_of_place(paper: &Paper) -> Vec<String> {
    let page_of = |words: &str| {
        let words = squeeze(words);
        (1..=paper.pages.count()).find(|page| {
            let runs = paper.pages.content().body();
            let text: String = runs
                .filter(|run| run.page == *page)
                .map(|run| squeeze(&run.text))
                .collect();
            text.contains(&words)
        })
    };
    let (mut found, mut heading) = (Vec::new(), String::new());
    for block in &paper.document.blocks {
        match block {
            Block::Bands { bands } => {
                let first = rich::text_of(&bands[0].signs[0].text);
                let lead = &bands[0].sayings[0].lead;
                // what to say follows the first frame at once
                for (words, pages) in [(&first, 1..=1), (lead, 1..=2)] {
                    if !page_of(words).is_some_and(|page| pages.contains(&page)) {
                        found.push(words.clone());
                    }
                }
                for band in bands {
                    let signs = band.signs.iter().map(|sign| rich::text_of(&sign.text));
                    let signs: Vec<String> = signs.collect();
                    let mut others = signs.iter();
                    found.extend(
                        others
                            .find(|sign| page_of(sign) != page_of(&signs[0]))
                            .cloned(),
                    );
                }
            }
            Block::Heading { text, .. } => heading.clone_from(text),
            Block::Timeline(panel) if !heading.is_empty() => {
                let name = std::mem::take(&mut heading);
                if page_of(&name) != page_of(&panel.flags[0].mark.title) {
                    found.push(name);
                }
            }
            _ => {}
        }
    }
    found
}

fn words(placed: &BTreeMap<String, Placed>) -> BTreeMap<String, String> {
    placed
        .iter()
        .map(|(id, placed)| {
            let text: String = placed.runs.iter().map(|run| run.text.as_str()).collect();
            (id.clone(), squeeze(&text))
        })
        .collect()
}

#[test]
fn every_statement_is_the_same_and_as_large_as_the_place_asks() {
    let mut compared = 0;
    for (plan, size) in SAMPLES {
        let (clinic, visit) = samples::read(Path::new(plan));
        let made = |large_print| {
            let options = MakeOptions {
                large_print,
                ..MakeOptions::default()
            };
            let (none, typesetter) = (Approvals::none(), Typesetter::embedded());
            make(&clinic, &visit, &none, &typesetter, &options).expect("papers")
        };
        let (ordinary, large) = (made(false), made(true));
        for (one, other) in ordinary.papers.iter().zip(&large.papers) {
            assert_eq!(one.kind, other.kind);
            let at = format!("{plan}, {}", one.kind.as_str());
            assert!(
                other.coverage.is_complete(),
                "{at}: {:?}",
                other.coverage.faults
            );
            let (a, b) = (one.pages.statements(), other.pages.statements());
            if !one.kind.comes_in(Edition::LargePrint) {
                assert_eq!(other.document.type_size, 12.0, "{at}");
                continue;
            }
            assert_eq!(words(a), words(b), "{at}");
            compared += a.len();
            // set again at its own size: no run of a statement is smaller, lines are not as long, and there are more pages
            let smallest = b
                .values()
                .flat_map(|placed| &placed.runs)
                .map(|run| run.size)
                .fold(f64::INFINITY, f64::min);
            assert!(smallest >= size - 1e-6, "{at}: {smallest} pt");
            assert!(other.pages.count() > one.pages.count(), "{at}");
            for run in &other.pages.content().runs {
                let least = if run.part.is_running() {
                    RUNNING
                } else {
                    LEAST
                };
                let is_large = run.size >= least - 1e-6 || run.text.trim().is_empty();
                assert!(is_large, "{at}: {} pt: {:?}", run.size, run.text);
            }
            assert_eq!(out_of_place(other), Vec::<String>::new(), "{at}");
            let (paper, large_paper) = (one.pages.sizes()[0], other.pages.sizes()[0]);
            assert!(
                (paper.0 - large_paper.0).abs() + (paper.1 - large_paper.1).abs() < 0.01,
                "{at}: another paper"
            );
        }
    }
    assert!(compared > 500, "{compared} statements");
}

#[test]
fn a_plan_can_ask_for_large_print_itself() {
    let clinic = ClinicFile::default().read();
    for (lines, edition) in [
        ("large_print = true", Edition::LargePrint),
        ("large_print = false", Edition::Ordinary),
    ] {
        let plan = Plan {
            facts: lines.to_owned(),
            ..Plan::default()
        };
        let visit = plan.read(&clinic);
        let papers = papers_of(&clinic, &visit, &Typesetter::embedded());
        let handed_out = papers
            .papers
            .iter()
            .filter(|made| made.kind.is_handed_out());
        let editions: Vec<Edition> = handed_out.map(|made| made.edition).collect();
        assert_eq!(editions, [edition; 3], "{lines}");
    }
}

#[test]
fn the_files_are_named_and_the_pages_of_the_large_edition_are_the_ones_listed() {
    let out = tempfile::tempdir().expect("a temporary folder");
    let shown = out.path().to_str().expect("UTF-8");
    let plan = "samples/linden-court/news-reader.toml";
    let ran = run(root(), &["make", plan, "--out", shown, "--large-print"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    for name in [
        "information-large-print",
        "consent-large-print",
        "aftercare-large-print",
        "clinician",
    ] {
        let file = out.path().join(format!("TR-20417-2026-12-03-{name}.pdf"));
        assert!(file.is_file(), "{name}: {}", ran.out);
    }
    assert!(ran.out.contains("in large print (16 pt)"), "{}", ran.out);
}
