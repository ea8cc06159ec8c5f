//! Looking up a paper: by the code at its foot, or by the file itself, whatever happened to it.

use std::path::Path;

use super::{Opened, THURSDAY, TODAY, copied, open, read};
use crate::support::html::Page;
use crate::support::{put, run};

const CONSENT: &str = "BV-118-2026-12-03-consent.pdf";

/// A folder with the papers of one visit, and the code of its consent form as the register has it.
fn made() -> (tempfile::TempDir, Opened, String, Vec<u8>) {
    let folder = copied(THURSDAY);
    let ran = run(folder.path(), &["make", "ohrn.toml", "--out", "papers"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let desk = open(folder.path(), TODAY);
    let code = code_of(folder.path());
    let bytes = std::fs::read(folder.path().join("papers").join(CONSENT)).expect("a paper");
    (folder, desk, code, bytes)
}

/// The newest code of the consent form in the register.
fn code_of(folder: &Path) -> String {
    let register = read(&folder.join("papers"), "register.jsonl");
    let lines = register.lines().rev().filter(|line| line.contains(CONSENT));
    let entry: serde_json::Value =
        serde_json::from_str(lines.into_iter().next().expect("an entry")).expect("JSON");
    entry["code"].as_str().expect("a code").to_owned()
}

fn by_code(desk: &Opened, code: &str) -> Page {
    let form = desk
        .page("look-up")
        .forms()
        .into_iter()
        .find(|form| form.has("code"));
    let page = desk.submit(form.expect("a form").set("code", code), None);
    assert_eq!(page.status, 200, "{}", page.text());
    page
}

fn by_file(desk: &Opened, name: &str, bytes: &[u8]) -> Page {
    let page = desk.send_file("look-up", "pdf", name, bytes);
    assert_eq!(page.status, 200, "{}", page.text());
    page
}

#[test]
fn a_code_is_known_however_it_is_typed_and_a_mistyped_one_is_said() {
    let (_folder, desk, code, _) = made();
    for typed in [
        code.clone(),
        format!("  {} ", code.to_lowercase()),
        code.replace('-', " "),
    ] {
        let page = by_code(&desk, &typed);
        for words in [
            "Consent form of 27 November 2026",
            code.as_str(),
            CONSENT,
            "A code alone cannot tell",
            "are on the paper",
        ] {
            assert!(
                page.text().contains(words),
                "{typed}: {words}: {}",
                page.text()
            );
        }
        assert!(
            page.text().contains("Every statement reads the same today"),
            "{}",
            page.text()
        );
    }
    // one sign is another one
    let wrong: String = code
        .chars()
        .enumerate()
        .map(|(at, c)| {
            if at == 2 {
                if c == '7' { '8' } else { '7' }
            } else {
                c
            }
        })
        .collect();
    let page = by_code(&desk, &wrong);
    assert!(
        page.text().contains("This is no code of a paper")
            || page.text().contains("No paper with this code"),
        "{}",
        page.text()
    );
    assert!(
        !page.text().contains("statements read differently"),
        "{}",
        page.text()
    );
    let page = by_code(&desk, "hello");
    assert!(
        page.text().contains("This is no code of a paper"),
        "{}",
        page.text()
    );
    // what was typed stands in the field
    let form = page
        .forms()
        .into_iter()
        .find(|form| form.has("code"))
        .expect("a form");
    assert_eq!(form.get("code").as_deref(), Some("hello"));
}

#[test]
fn as_made_is_said_of_the_very_bytes_only() {
    let (folder, desk, code, bytes) = made();
    let page = by_file(&desk, CONSENT, &bytes);
    assert!(
        page.text().contains("Yes: nothing in it was changed."),
        "{}",
        page.text()
    );
    assert!(page.text().contains(&code));
    // under another name they are the same bytes
    let page = by_file(&desk, "scan (1).pdf", &bytes);
    assert!(
        page.text().contains("Yes: nothing in it was changed."),
        "{}",
        page.text()
    );
    for at in [bytes.len() / 3, bytes.len() / 2, bytes.len() - 20] {
        let mut flipped = bytes.clone();
        flipped[at] ^= 1;
        let page = by_file(&desk, CONSENT, &flipped);
        assert!(
            !page.text().contains("Yes: nothing in it was changed."),
            "byte {at}: {}",
            page.text()
        );
        let told = [
            "No: the file differs",
            "does not say what it is",
            "its entry was altered",
        ];
        assert!(
            told.iter().any(|words| page.text().contains(words)),
            "byte {at}: {}",
            page.text()
        );
    }
    // a paper of another program, and no paper at all
    for foreign in [
        &b"%PDF-1.4\n1 0 obj<</Type/Catalog>>endobj\ntrailer<</Root 1 0 R>>\n%%EOF"[..],
        b"\x00\x01\x02",
        b"text",
    ] {
        let page = by_file(&desk, "other.pdf", foreign);
        assert!(
            page.text().contains("This file does not say what it is"),
            "{}",
            page.text()
        );
    }
    // nothing of what was looked at stays
    let papers = crate::support::names_in(&folder.path().join("papers"));
    assert!(
        !papers
            .iter()
            .any(|name| name.contains("other") || name.contains("scan")),
        "{papers:?}"
    );
}

#[test]
fn a_paper_that_was_made_anew_names_its_newer_one() {
    let (folder, desk, old, bytes) = made();
    put(
        folder.path(),
        "ohrn.toml",
        read(folder.path(), "ohrn.toml").replace("time = 09:00", "time = 09:10"),
    );
    let ran = run(folder.path(), &["make", "ohrn.toml", "--out", "papers"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let new = code_of(folder.path());
    assert_ne!(old, new);
    for page in [by_code(&desk, &old), by_file(&desk, CONSENT, &bytes)] {
        assert!(
            page.text()
                .contains(&format!("No: a newer one was made. Its code is {new}.")),
            "{}",
            page.text()
        );
    }
    assert!(
        by_code(&desk, &new).text().contains("Still the newest Yes"),
        "{}",
        by_code(&desk, &new).text()
    );
}

#[test]
fn before_any_paper_was_made_it_says_so() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), TODAY);
    let page = by_code(&desk, "ABCD-EFGH-JKLM");
    assert!(
        page.text()
            .contains("No papers have been made from here yet"),
        "{}",
        page.text()
    );
    let (_other, _desk, _, bytes) = made();
    let page = by_file(&desk, CONSENT, &bytes);
    assert!(
        page.text()
            .contains("It cannot be told: no papers have been made from here yet."),
        "{}",
        page.text()
    );
}
