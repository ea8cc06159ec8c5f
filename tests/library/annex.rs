//! What the evidence annex says of each statement, each source and each answer.
//!
//! Invariant: whoever reads the annex alone can follow every code in it to its source, and knows what each row is about.
//! Must not: lay out pages; the annex is looked at as it is composed.

use std::collections::BTreeSet;
use std::path::Path;

use beforehand::compose::check_parts::{CheckPart, StatementRow};
use beforehand::compose::{Block, Document};
use beforehand::paper::PaperKind;

use crate::support::composed::composed;
use crate::support::{ClinicFile, Plan, areas, samples};

fn rows(document: &Document) -> Vec<&StatementRow> {
    let rows = document.blocks.iter().filter_map(|block| match block {
        Block::Check(CheckPart::Statements { rows, .. }) => Some(rows),
        _ => None,
    });
    rows.flatten().collect()
}

fn texts(document: &Document) -> Vec<String> {
    document.lines().into_iter().map(|line| line.text).collect()
}

/// A letter of a list of sources and a number: `C22`, `D60`.
fn is_source(word: &str) -> bool {
    let number = word.strip_prefix(['C', 'D']).unwrap_or_default();
    !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit())
}

/// Spain has sources of its own, and claims for which only sources of other places are held.
#[test]
fn every_source_that_is_cited_is_listed() {
    let mut cited = 0;
    // a clinic with areas of its own is read with its folder
    let plans = samples::plans().into_iter();
    for plan in plans.filter(|plan| !plan.to_string_lossy().contains("rowan-quay")) {
        let (clinic, visit) = samples::read(Path::new(&plan));
        composed(PaperKind::Evidence, &clinic, &visit, |_, document| {
            let of_rows: BTreeSet<&str> = rows(document)
                .into_iter()
                .flat_map(|row| row.source.split([',', ';', ' ']))
                .filter(|word| is_source(word))
                .collect();
            let lines = texts(document);
            let listed: BTreeSet<&str> = lines
                .iter()
                .filter_map(|line| line.split(' ').next())
                .filter(|word| is_source(word))
                .collect();
            let missing: Vec<&&str> = of_rows.difference(&listed).collect();
            assert!(missing.is_empty(), "{}: {missing:?}", plan.display());
            cited += of_rows.len();
        });
    }
    assert!(cited > 200, "{cited}");
}

/// "Do not" and "You may" say nothing alone.
#[test]
fn every_statement_is_named_by_words_that_say_what_it_is_about() {
    for language in ["en", "es"] {
        let clinic = ClinicFile {
            language: language.to_owned(),
            ..ClinicFile::default()
        }
        .read();
        let visit = Plan {
            rest: areas(["glabella", "orbicularis-oris"], ""),
            ..Plan::bare()
        }
        .read(&clinic);
        composed(PaperKind::Evidence, &clinic, &visit, |_, document| {
            let advice = rows(document).into_iter();
            let advice = advice.filter(|row| row.id.starts_with("advice."));
            let advice: Vec<&StatementRow> = advice.collect();
            assert!(advice.len() > 8, "{}", advice.len());
            for row in advice {
                let words = row.words.split_whitespace().count();
                assert!(words > 1, "{row:?}");
                let orders = ["do not", "you may", "for pain,", "para el dolor,"];
                assert!(
                    !orders.contains(&row.words.to_lowercase().as_str()),
                    "{row:?}"
                );
            }
        });
    }
}

/// The annex holds what was answered yes, what nobody is sure of, and what was denied.
#[test]
fn every_answer_stands_in_the_annex() {
    let clinic = ClinicFile::default().read();
    let visit = Plan {
        facts: "speaks_publicly = true\nheart_disease = \"not-sure\"\nsmoking = false".to_owned(),
        rest: areas(["glabella"], ""),
        ..Plan::bare()
    }
    .read(&clinic);
    composed(PaperKind::Evidence, &clinic, &visit, |_, document| {
        let all = texts(document).join("\n");
        for answer in [
            "Speaks, teaches or presents for work",
            "Heart disease: not sure",
            "Smokes",
        ] {
            assert!(all.contains(answer), "{answer}: {all}");
        }
    });
}

/// What a product holds, and how long its label asks to wait, rest on what was read of that product.
#[test]
fn what_holds_for_a_product_rests_on_its_own_sources() {
    for (product, albumin) in [
        ("onabotulinumtoxinA", "C112"),
        ("incobotulinumtoxinA", "C12"),
    ] {
        let clinic = ClinicFile::default().read();
        let visit = Plan {
            product: format!("name = \"{product}\""),
            rest: areas(["glabella"], ""),
            ..Plan::bare()
        }
        .read(&clinic);
        composed(PaperKind::Evidence, &clinic, &visit, |_, document| {
            let of = |name: &str| {
                let id = format!("{product}/general.{name}");
                let row = rows(document).into_iter().find(|row| row.id == id);
                row.unwrap_or_else(|| panic!("{id} is in the annex"))
                    .source
                    .clone()
            };
            assert!(of("albumin").contains(albumin), "{}", of("albumin"));
            // C8 is the label of another product
            assert!(!of("product-label-interval").contains("C8"), "{product}");
        });
    }
}
