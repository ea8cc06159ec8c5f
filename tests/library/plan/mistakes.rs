//! Every mistake has a file that makes it: the reader must find exactly those that the file expects, where it expects them.
//!
//! Must not: take an expectation from the reader's own output; places were marked by hand in the text.

use std::collections::BTreeSet;
use std::fs;

use crate::support::plan_reader::{clinic, folder, summary, vocabulary};
use beforehand::diagnose::{Code, Diagnostic, OpenError, SourceFile, Style, render};
use beforehand::plan::{read_clinic, read_plan};

/// Name and expectation of every case: the first line of a TOML file, the list beside the JSON files.
fn cases() -> Vec<(String, Vec<String>)> {
    let folder = folder().join("mistakes");
    let split = |text: &str| text.split(", ").map(str::to_owned).collect::<Vec<_>>();
    let mut cases: Vec<_> = fs::read_to_string(folder.join("json_expected.txt"))
        .expect("the list of JSON cases")
        .lines()
        .map(|line| {
            let (name, expected) = line.split_once(": ").expect("name: codes");
            (name.to_owned(), split(expected))
        })
        .collect();
    for entry in fs::read_dir(&folder).expect("the folder of cases") {
        let name = entry
            .expect("a case")
            .file_name()
            .into_string()
            .expect("ASCII");
        if name.ends_with(".toml") {
            let text = fs::read_to_string(folder.join(&name)).expect("a case");
            let expected = text
                .lines()
                .next()
                .and_then(|line| line.strip_prefix("# expects: "))
                .expect("an expectation");
            cases.push((name, split(expected)));
        }
    }
    cases.sort();
    cases
}

fn mistakes_of(name: &str) -> (SourceFile, Vec<Diagnostic>) {
    let source = SourceFile::open(folder().join("mistakes").join(name)).expect("a readable case");
    let found = if name.starts_with("clinic") {
        read_clinic(&source, &vocabulary()).err()
    } else {
        let mut clinic = clinic();
        if name.starts_with("zoneless") {
            clinic.time_zone = None;
        }
        read_plan(&source, &vocabulary(), Some(&clinic)).err()
    };
    (source, found.unwrap_or_default())
}

#[test]
fn every_case_yields_exactly_what_it_expects() {
    let mut wrong = String::new();
    let cases = cases();
    assert!(cases.len() > 100, "the cases were not found");
    for (name, expected) in cases {
        let (source, found) = mistakes_of(&name);
        if summary(&found) != expected {
            wrong += &format!(
                "{name}: expected {expected:?}, found {:?}\n",
                summary(&found)
            );
            wrong += &render(&found, &source, Style::Plain);
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn every_json_case_is_listed() {
    let listed: BTreeSet<String> = cases().into_iter().map(|(name, _)| name).collect();
    for entry in fs::read_dir(folder().join("mistakes")).expect("the folder of cases") {
        let name = entry
            .expect("a case")
            .file_name()
            .into_string()
            .expect("ASCII");
        assert!(
            // cases of whole folders are run by tests/overlay
            listed.contains(&name) || name == "json_expected.txt" || name == "overlay",
            "{name}"
        );
    }
}

#[test]
fn every_code_is_made_by_some_file() {
    let mut made: BTreeSet<Code> = cases()
        .iter()
        .flat_map(|(name, _)| mistakes_of(name).1)
        .map(|d| d.code)
        .collect();
    // those that concern a file as a whole are made, one by one, in plan_source.rs
    let of_files = [
        Code::NotUtf8,
        Code::EmptyFile,
        Code::NotAFile,
        Code::TooLarge,
        Code::UnknownExtension,
    ];
    for code in of_files {
        assert!(
            made.insert(code),
            "{code:?} is no longer a matter of the whole file"
        );
    }
    // made where the fonts are known, far behind the reader; to be tested there
    let of_fonts = Code::UnprintableCharacter;
    assert!(
        made.insert(of_fonts),
        "{of_fonts:?} is now made by the reader"
    );
    let missing: Vec<_> = Code::all()
        .iter()
        // an overlay is a folder; tests/overlay holds that each of its codes is made
        .filter(|code| !made.contains(code) && !code.as_str().starts_with("P8"))
        .collect();
    assert!(missing.is_empty(), "no file makes {missing:?}");
}

/// Sentences end in one full stop or question mark, name no machinery, and every mistake inside a file has a path.
#[test]
fn sentences_are_plain() {
    let jargon = [
        "TOML",
        "parse",
        "token",
        "string",
        "integer",
        "float",
        "boolean",
        "array",
        "object",
        "enum",
        "None",
        "Some(",
        "UTF-8 sequence",
        "invalid",
        "unexpected",
    ];
    for (name, _) in cases() {
        for d in mistakes_of(&name).1 {
            for sentence in [&d.problem, &d.remedy] {
                assert!(
                    sentence.ends_with(['.', '?', '!', '…']),
                    "{name}: {sentence}"
                );
                assert!(!sentence.ends_with(".."), "{name}: {sentence}");
                assert!(
                    sentence.starts_with(|c: char| c.is_uppercase() || c == '`'),
                    "{name}: {sentence}"
                );
                for word in jargon {
                    assert!(!sentence.contains(word), "{name}: {word} in {sentence}");
                }
            }
            // the path of a mistake of writing is not always known
            let writing = matches!(
                d.code,
                Code::Syntax
                    | Code::DuplicateKey
                    | Code::DateImpossible
                    | Code::TimeImpossible
                    | Code::ForbiddenCharacter
            );
            assert!(
                writing || !d.path.is_empty(),
                "{name}: {} without a path",
                d.code.as_str()
            );
        }
    }
}

/// What the line shows is personal; the sentences around it must not repeat it.
#[test]
fn sentences_do_not_repeat_what_is_personal() {
    for (name, _) in cases() {
        for d in mistakes_of(&name).1 {
            let said = format!("{} {}", d.problem, d.remedy);
            for personal in [
                "Ines", "Aldana", "TR-204", "1984", "jaw", "wedding", "flute",
            ] {
                // the example of a missing date of birth is an example
                let example = d.code == Code::MissingKey;
                assert!(example || !said.contains(personal), "{name}: {said}");
            }
        }
    }
}

#[test]
fn a_refused_file_is_no_failure_of_the_machine() {
    let missing = SourceFile::open(folder().join("mistakes/not-there.toml"));
    assert!(matches!(missing, Err(OpenError::Io { .. })));
}
