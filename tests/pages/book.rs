//! The book of words as it is laid out.

use std::collections::BTreeSet;

use beforehand::compose::Block;
use beforehand::coverage;
use beforehand::practice::Practice;

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
