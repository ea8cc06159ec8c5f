//! The book of words as it is composed: whole, in the order of papers, and true about where statements are used.
//!
//! Must not: lay out pages.

use std::collections::{BTreeMap, BTreeSet};

use beforehand::catalogue::Catalogue;
use beforehand::compose::check_parts::{BookRow, CheckPart};
use beforehand::compose::{Block, BookOfWords, Document, wording_book};
use beforehand::practice::Practice;
use beforehand::record::book::BookRecord;
use beforehand::select::{papers_of, select};
use beforehand::wording::{Approval, Approvals, Wording, library, rich};

use crate::support::{ClinicFile, samples, wording};

fn composed(wording: &Wording, approvals: &Approvals) -> Document {
    wording_book(BookOfWords {
        catalogue: Catalogue::embedded(),
        clinic: &ClinicFile::default().read(),
        wording: &wording.recorded(),
        approvals,
        code: &BookRecord::of(wording).code().to_string(),
    })
    .expect("a book")
}

fn rows(document: &Document) -> Vec<&BookRow> {
    let tables = document.blocks.iter().filter_map(|block| match block {
        Block::Check(CheckPart::Book { rows, .. }) => Some(rows),
        _ => None,
    });
    tables.flatten().collect()
}

fn of(tag: &str) -> Wording {
    Wording::from_statements(tag, wording::statements(tag)).expect("a wording")
}

#[test]
fn every_statement_stands_in_the_book_once_in_every_language_and_country() {
    let tags: Vec<&str> = library::countries().collect();
    assert!(tags.len() >= 4, "{tags:?}");
    for tag in tags {
        let wording = of(tag);
        let document = composed(&wording, &Approvals::none());
        let mut found: Vec<&str> = rows(&document).iter().map(|row| row.id.as_str()).collect();
        found.sort_unstable();
        let all: Vec<&str> = wording.statements().keys().map(String::as_str).collect();
        assert_eq!(found, all, "{tag}");
        for row in rows(&document) {
            let words = rich::text_of_pieces(&row.words);
            assert!(!words.trim().is_empty(), "{tag} {}", row.id);
            assert!(
                !words.contains("{{ ") && !words.contains("{%"),
                "{tag}: {words}"
            );
        }
    }
}

#[test]
fn numbers_and_times_are_those_of_the_catalogue_and_visits_leave_brackets() {
    let wording = of("en-GB");
    let document = composed(&wording, &Approvals::none());
    let words: BTreeMap<&str, String> = rows(&document)
        .iter()
        .map(|row| (row.id.as_str(), rich::text_of_pieces(&row.words)))
        .collect();
    let catalogue = Catalogue::embedded();
    let area = catalogue.area("masseter").expect("an area");
    let narrower = area.number.iter().find(|n| n.id == "narrower");
    let narrower = wording
        .number(narrower.expect("a number"))
        .expect("a phrase");
    assert!(
        words["masseter.can"].contains(&narrower),
        "{}",
        words["masseter.can"]
    );
    assert_eq!(words["identity.visit"].matches('[').count(), 1);
    // both choices of a sentence that goes by the side
    let aim = &words["masseter.aim"];
    assert!(aim.contains("match better | to make"), "{aim}");
    // no statement for patients is left with a blank of an unknown name
    let families = [
        "general", "choice", "redflag", "normal", "alike", "advice", "because",
    ];
    for (id, words) in &words {
        let family = id.split('.').next().expect("a first part");
        if families.contains(&family) || catalogue.area(family).is_some() {
            assert!(!words.contains("[…]"), "{id}: {words}");
        }
    }
}

#[test]
fn a_statement_is_on_the_papers_that_the_book_names() {
    let mut seen = BTreeSet::new();
    for plan in samples::plans() {
        let practice = Practice::open(&samples::clinic_beside(&plan)).expect("a good clinic");
        let visit = practice.read_plan(&plan).expect("a good plan");
        let selection = select(practice.catalogue(), practice.clinic(), &visit);
        let selection = selection.expect("a selection");
        for statement in &selection.statements {
            let named = papers_of(&statement.id);
            assert!(
                named.contains(&statement.paper),
                "{}: {named:?}",
                statement.id
            );
            seen.insert((statement.id.wording().to_owned(), statement.paper));
        }
    }
    assert!(seen.len() > 150, "{}", seen.len());
}

#[test]
fn what_has_changed_since_an_approval_is_said_first_and_beside_the_words() {
    let mut older = wording::statements("en-GB");
    older.insert("normal.bumps".to_owned(), "Other words.".to_owned());
    let older = Wording::from_statements("en-GB", older).expect("a wording");
    let digests = ["normal.bumps", "normal.tender"].map(|id| {
        let digest = older.digest(id).expect("a statement");
        (id.to_owned(), digest)
    });
    let approvals = Approvals {
        approval: vec![Approval {
            language: "en-GB".to_owned(),
            by: "Dr A. Example".to_owned(),
            registration: "INVENTED-9".to_owned(),
            on: "2026-11-01".to_owned(),
            statements: digests.into_iter().collect(),
        }],
    };
    let document = composed(&of("en-GB"), &approvals);
    let about = |id: &str| {
        let rows = rows(&document);
        let row = rows.iter().find(|row| row.id == id).expect("a row");
        row.about.last().expect("how it stands").clone()
    };
    assert_eq!(
        about("normal.bumps"),
        "Changed since Dr A. Example approved it on 1 Nov 2026."
    );
    assert_eq!(
        about("normal.tender"),
        "Approved by Dr A. Example on 1 Nov 2026."
    );
    assert_eq!(about("masseter.can"), "Never approved.");
    let listed = document.blocks.iter().find_map(|block| match block {
        Block::List { items, .. } => Some(items),
        _ => None,
    });
    let listed: Vec<String> = listed
        .expect("a list")
        .iter()
        .map(|item| rich::text_of(&item.text))
        .collect();
    assert_eq!(
        listed,
        ["normal.bumps. Changed since Dr A. Example approved it on 1 Nov 2026."]
    );
}

#[test]
fn the_code_goes_by_language_country_and_every_word() {
    let code = |wording: &Wording| BookRecord::of(wording).code();
    let release = of("en-GB");
    assert_eq!(code(&release), code(&of("en-GB")));
    let mut codes = BTreeSet::from([code(&release), code(&of("en-US")), code(&of("es-ES"))]);
    let some = release.statements().keys().step_by(40);
    let mut changed = 3;
    for id in some {
        let mut other = wording::statements("en-GB");
        other.get_mut(id).expect("a statement").push('!');
        let other = Wording::from_statements("en-GB", other).expect("a wording");
        codes.insert(code(&other));
        changed += 1;
    }
    assert!(changed > 20, "{changed}");
    assert_eq!(codes.len(), changed);
}
