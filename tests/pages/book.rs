//! The book of words as it is laid out, and as a page for a browser.

use std::collections::{BTreeMap, BTreeSet};

use beforehand::compose::Block;
use beforehand::compose::Document;
use beforehand::compose::check_parts::CheckPart;
use beforehand::coverage::{self, squeeze};
use beforehand::phone_page;
use beforehand::practice::Practice;
use beforehand::wording::rich::text_of_pieces;

use crate::support::root;

#[test]
fn every_word_of_the_book_is_on_its_pages_clear_of_their_edges() {
    for (clinic, language, size) in [
        ("linden-court", "en", "a4"),
        ("cedar-hollow", "es", "us-letter"),
    ] {
        let clinic = root().join("samples").join(clinic).join("clinic.toml");
        let practice = Practice::open(&clinic).expect("a good clinic");
        let language = language.parse().expect("a tag");
        let book = practice.wording_book(Some(&language)).expect("a book");
        assert_eq!(book.document.page_size, size);
        let coverage = coverage::check(&BTreeSet::new(), &book.document, &book.pages);
        assert!(coverage.lost.is_empty(), "{:?}", coverage.lost);
        // it would be seen if some were lost
        let mut longer = book.document.clone();
        let heading = "Words that were never set".to_owned();
        longer.blocks.push(Block::heading(2, heading));
        let coverage = coverage::check(&BTreeSet::new(), &longer, &book.pages);
        assert_eq!(coverage.lost.len(), 1, "{:?}", coverage.lost);
    }
}

/// Statement id to its words, as the book composes them.
fn composed(document: &Document) -> BTreeMap<String, String> {
    let parts = document.blocks.iter().filter_map(|block| match block {
        Block::Check(CheckPart::Book { rows, .. }) => Some(rows),
        _ => None,
    });
    parts
        .flatten()
        .map(|row| (row.id.clone(), squeeze(&text_of_pieces(&row.words))))
        .collect()
}

#[test]
fn the_page_of_the_book_has_every_statement_once_and_loads_nothing() {
    for (clinic, language) in [("linden-court", "en"), ("cedar-hollow", "es")] {
        let clinic = root().join("samples").join(clinic).join("clinic.toml");
        let practice = Practice::open(&clinic).expect("a good clinic");
        let language = language.parse().expect("a tag");
        let book = practice.wording_book(Some(&language)).expect("a book");
        let wanted = composed(&book.document);
        assert_eq!(wanted.len(), book.statements);
        let read = |page: &str| -> BTreeMap<String, String> {
            let read = phone_page::read(page);
            let said = read.statements.into_iter();
            said.map(|(id, said)| (id, squeeze(&said.concat())))
                .collect()
        };
        assert!(read(&book.page) == wanted, "{language}");
        // headings, sources, what is signed, the code: every other composed word too
        let lacks = phone_page::check(&BTreeSet::new(), &book.document, &book.page);
        assert!(lacks.is_empty(), "{lacks:?}");
        assert!(book.page.contains(&book.code.to_string()));
        for never in ["<script", "src=", "href=\"http", "@import", "url("] {
            assert!(!book.page.contains(never), "{never}");
        }
        // it would be seen if one were lost
        let lost = book.page.replacen("data-statement=\"general.cost\"", "", 1);
        assert!(read(&lost) != wanted);
    }
}
