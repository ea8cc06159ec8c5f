//! The words: the book to read, the approval with its code, and what is approved afterwards.

use super::{Opened, THURSDAY, TODAY, copied, open};
use crate::support::html::Page;
use crate::support::wording::{code_of_book, of_other_words};
use crate::support::{names_in, run};

/// The code of a language's book, as the program says it; its bytes.
fn book(language: &str) -> (String, Vec<u8>) {
    let folder = copied(THURSDAY);
    let ran = run(
        folder.path(),
        &["wording", "book", "--language", language, "--out", "books"],
    );
    assert_eq!(ran.code, 0, "{}", ran.err);
    let code = code_of_book(&ran.out);
    let books = folder.path().join("books");
    let mut names = names_in(&books).into_iter();
    let name = names.find(|name| name.ends_with(".pdf")).expect("a book");
    (code, std::fs::read(books.join(name)).expect("a book"))
}

fn approve(desk: &Opened, fields: &[(&str, &str)]) -> Page {
    let mut form = desk.page("words").form("/words/approve");
    form.set("language", "en")
        .set("by", "m-ek")
        .set("on", "1 Dec 2026");
    for (field, text) in fields {
        form.set(field, text);
    }
    desk.submit(&form, None)
}

fn row<'r>(rows: &'r [String], language: &str) -> &'r str {
    rows.iter()
        .find(|row| row.starts_with(language))
        .expect("a row")
}

#[test]
fn a_book_that_was_read_approves_its_words_by_its_code_and_no_other() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), TODAY);
    let page = desk.page("words");
    let rows = page.texts_of("tr", None);
    assert!(row(&rows, "English").contains("Draft"), "{rows:?}");
    let href = page
        .links()
        .into_iter()
        .find(|link| link.href.ends_with("/words/book/en"))
        .expect("a book")
        .href;
    let (code, bytes) = book("en");
    let answer = desk.get(&href);
    assert_eq!(answer.header("content-type"), Some("application/pdf"));
    assert!(
        answer.body == bytes,
        "the book of the page is not the book of the program"
    );

    let (spanish, _) = book("es");
    for (field, typed, words) in [
        ("code", "", "This is no code of a book."),
        ("code", "ABCD", "This is no code of a book."),
        (
            "code",
            spanish.as_str(),
            "or it is the book of another language",
        ),
        ("on", "3 Dec 2026", "it cannot be in the future"),
        (
            "on",
            "01/12/2026",
            "Write the day on which the book was read",
        ),
    ] {
        let page = approve(&desk, &[("code", &code), (field, typed)]);
        assert!(page.text().contains(words), "{typed}: {}", page.text());
        assert_eq!(
            page.form("/words/approve").get(field).as_deref(),
            Some(typed),
            "what was typed is still there"
        );
        assert!(
            !names_in(folder.path()).contains(&"approvals.toml".to_owned()),
            "{typed}"
        );
    }

    let page = approve(&desk, &[("code", &code)]);
    assert!(
        page.text().contains("The approval is recorded."),
        "{}",
        page.text()
    );
    let rows = page.texts_of("tr", None);
    assert!(row(&rows, "English").contains("Approved"), "{rows:?}");
    assert!(!row(&rows, "English").contains("Draft"), "{rows:?}");
    assert!(row(&rows, "Spanish").contains("Draft"), "{rows:?}");
    let approvals = super::read(folder.path(), "approvals.toml");
    assert!(
        approvals.contains("Dr Mats Ek (invented)") && approvals.contains("2026-12-01"),
        "{approvals}"
    );
    assert_eq!(run(folder.path(), &["wording", "status"]).code, 0);
    assert_eq!(desk.get("words/book/xx").status, 404);
}

#[test]
fn changed_words_are_shown_as_they_are_printed() {
    let folder = copied(THURSDAY);
    let approve = [
        "wording",
        "approve",
        "--clinic",
        "clinic.toml",
        "--by",
        "Dr Mats Ek (invented)",
    ];
    let more = ["--registration", "INVENTED-2", "--on", "2026-12-01"];
    let ran = run(folder.path(), &[&approve[..], &more[..]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let approvals = super::read(folder.path(), "approvals.toml");
    let changed = of_other_words(&approvals, &["advice.driving"]);
    crate::support::put(folder.path(), "approvals.toml", changed);
    let page = open(folder.path(), TODAY).page("words");
    let shown = page.text();
    assert!(
        shown.contains("1 changed since they were approved"),
        "{shown}"
    );
    assert!(shown.contains("Do not drive or use machines"), "{shown}");
    assert!(!shown.contains("**"), "{shown}");
}
