//! Turns the wording of the release into statements that a test may change, and approvals of it into those of other words.
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

/// The document code in what the program says of a book it made.
pub fn code_of_book(said: &str) -> String {
    let (_, rest) = said.split_once("document code ").expect("a code");
    rest.split(')').next().expect("a code").to_owned()
}

/// An approvals file as if these statements had been approved in other words.
pub fn of_other_words(approvals: &str, ids: &[&str]) -> String {
    let changed = ids.iter().fold(approvals.to_owned(), |text, id| {
        let line = text
            .lines()
            .find(|line| line.starts_with(&format!("\"{id}\"")));
        let line = line.expect("an approval").to_owned();
        text.replace(&line, &format!("\"{id}\" = \"0000000000000000\""))
    });
    assert_ne!(changed, approvals);
    changed
}
