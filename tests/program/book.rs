//! The book of words as somebody makes it, reads it and approves it with its code.

use std::path::Path;

use crate::support::wording::code_of_book;
use crate::support::{Ran, clinic, desk_of, names_in, put, read_back, run, squeeze};

/// A desk with an empty overlay.
fn desk() -> tempfile::TempDir {
    let clinic = clinic().replacen(
        "language = \"en\"",
        "language = \"en\"\noverlay = \"ours\"",
        1,
    );
    let desk = desk_of(&clinic);
    std::fs::create_dir_all(desk.path().join("ours/wording/en")).expect("a temporary folder");
    desk
}

/// Makes the book and reads its code off the terminal.
fn code_of_the_book(desk: &Path, more: &[&str]) -> String {
    let mut arguments = vec!["wording", "book"];
    arguments.extend(more);
    let ran = run(desk, &arguments);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    code_of_book(&ran.out)
}

fn approve(desk: &Path, more: &[&str]) -> Ran {
    let by = "Dr A. Example (invented)";
    let mut arguments = vec!["wording", "approve", "--by", by];
    arguments.extend(["--registration", "INVENTED-9", "--on", "2026-11-01"]);
    arguments.extend(more);
    run(desk, &arguments)
}

#[test]
fn a_book_is_one_file_for_each_language_and_the_same_every_time() {
    let desk = desk();
    let code = code_of_the_book(desk.path(), &["--out", "one"]);
    assert_eq!(code_of_the_book(desk.path(), &["--out", "two"]), code);
    let spanish = code_of_the_book(desk.path(), &["--out", "one", "--language", "es"]);
    assert_ne!(spanish, code);
    let (names, spanish) = (
        ["wording-book-en-GB.pdf", "wording-book-en-GB.html"],
        ["wording-book-es-GB.html", "wording-book-es-GB.pdf"],
    );
    let mut all = [names, spanish].concat();
    all.sort();
    assert_eq!(names_in(&desk.path().join("one")), all);
    let page = std::fs::read_to_string(desk.path().join("one").join(names[1]));
    let page = page.expect("a page");
    assert!(page.contains(&code) && !page.contains("<script"), "{code}");
    let bytes = |folder: &str| std::fs::read(desk.path().join(folder).join(names[0]));
    assert!(bytes("one").expect("a book") == bytes("two").expect("a book"));
    let again = std::fs::read_to_string(desk.path().join("two").join(names[1]));
    assert!(page == again.expect("a page"));
    let Some(pages) = read_back(&desk.path().join("one").join(names[0])) else {
        return;
    };
    // on every page, so that no page of another book slips in
    assert!(pages.len() > 20, "{}", pages.len());
    for page in &pages {
        assert!(page.contains(&code), "{page}");
    }
    let text = squeeze(&pages.concat());
    for id in ["masseter.risk.bruise", "general.cost", "rule.toxin-allergy"] {
        assert!(text.contains(id), "{id}");
    }
}

#[test]
fn the_code_of_a_book_approves_what_is_in_it_as_long_as_the_words_are_the_same() {
    let desk = desk();
    let old = code_of_the_book(desk.path(), &[]);
    let ran = approve(desk.path(), &["--book", &old]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert_eq!(run(desk.path(), &["wording", "status"]).code, 0);
    let approvals = || std::fs::read_to_string(desk.path().join("approvals.toml"));
    let before = approvals().expect("a list");

    put(
        desk.path(),
        "ours/wording/en/a.md",
        "## advice.no-rubbing\n\nHands off.\n",
    );
    let refused = approve(desk.path(), &["--book", &old]);
    assert_eq!((refused.code, refused.out.as_str()), (1, ""));
    let changed =
        "advice.no-rubbing (approved in other words by Dr A. Example (invented) on 2026-11-01)";
    assert!(refused.err.contains(changed), "{}", refused.err);
    assert_eq!(approvals().expect("a list"), before);

    let new = code_of_the_book(desk.path(), &[]);
    assert_ne!(new, old);
    assert!(refused.err.contains(&new), "{}", refused.err);
    // small letters and no hyphens, as somebody types it
    let typed = new.replace('-', "").to_lowercase();
    assert_eq!(approve(desk.path(), &["--book", &typed]).code, 0);
    assert_eq!(run(desk.path(), &["wording", "status"]).code, 0);
}

#[test]
fn a_book_of_one_language_approves_no_other() {
    let desk = desk();
    let spanish = code_of_the_book(desk.path(), &["--language", "es"]);
    let refused = approve(desk.path(), &["--book", &spanish]);
    assert_eq!(refused.code, 1, "{}", refused.out);
    assert!(refused.err.contains("(never approved)"), "{}", refused.err);
    assert!(!desk.path().join("approvals.toml").exists());
    let fine = approve(desk.path(), &["--language", "es", "--book", &spanish]);
    assert_eq!(fine.code, 0, "{}", fine.err);
    let status = |more: &[&str]| run(desk.path(), &[&["wording", "status"], more].concat()).code;
    assert_eq!((status(&["--language", "es"]), status(&[])), (0, 1));
}

#[test]
fn a_misread_code_and_a_book_beside_single_statements_are_not_run() {
    let desk = desk();
    let code = code_of_the_book(desk.path(), &[]);
    let last = if code.ends_with('7') { "8" } else { "7" };
    let misread = format!("{}{last}", &code[..code.len() - 1]);
    let ran = approve(desk.path(), &["--book", &misread]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(ran.err.contains("misread"), "{}", ran.err);
    let both = approve(desk.path(), &["--book", &code, "normal.bumps"]);
    assert_eq!(both.code, 2, "{}", both.out);
    assert!(!desk.path().join("approvals.toml").exists());
}

#[test]
fn a_clinic_file_with_a_mistake_ends_with_1_and_makes_no_book() {
    let desk = desk_of(&clinic().replace("language = \"en\"", "language = 7"));
    let ran = run(desk.path(), &["wording", "book", "--out", "p"]);
    assert_eq!((ran.code, ran.out.as_str()), (1, ""), "{}", ran.err);
    assert_eq!(names_in(desk.path()), ["clinic.toml"]);
}
