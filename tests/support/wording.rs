//! Turns the wording of the release into statements that a test may change.
//!
//! Must not: hold an expectation about words.

use beforehand::wording::library::{self, Statements};

/// Every statement of a language with what differs in a country (`en-GB`).
pub fn statements(tag: &str) -> Statements {
    let (language, _) = tag.split_once('-').expect("language and country");
    let mut all = library::statements(language).expect("the language reads");
    all.extend(library::statements(tag).expect("the country reads"));
    all
}
