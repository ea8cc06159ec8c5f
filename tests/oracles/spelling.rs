//! Turns every sentence of every language into single words and lets hunspell find those that no dictionary has.
//! Invariant: a word passes because a dictionary has it or because it stands in a small, reviewed list; the list holds nothing idle.
//! Must not: pass in CI when hunspell is missing, or count a language that was not looked at.

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

use beforehand::wording::library;

use crate::support::language_words::without_templates;
use crate::support::wording::statements;
use crate::support::{has_tool, referee, root};

/// The dictionary for a language in a country.
fn dictionary(tag: &str) -> &'static str {
    match tag {
        "en-GB" => "en_GB",
        "en-US" => "en_US",
        // one for both: the wording is written for readers everywhere, and the other lists are made from this one
        "es-ES" | "es-US" => "es_ES",
        other => panic!("no dictionary is named for {other}"),
    }
}

/// Words of a sentence as it may be printed: outside the templates, and the plural forms inside them.
fn words_in(text: &str) -> Vec<String> {
    let mut said = without_templates(text);
    for inside in text.split("{{").skip(1) {
        let inside = inside.split("}}").next().unwrap_or_default();
        for form in inside.split("=\"").skip(1) {
            said.push(' ');
            said.push_str(form.split('"').next().unwrap_or_default());
        }
    }
    said.replace('’', "'")
        .split(|c: char| !c.is_alphabetic() && c != '\'')
        .map(|word| word.trim_matches('\'').to_owned())
        .filter(|word| word.chars().count() > 1)
        .collect()
}

/// Every word of a language as used in a country, with a statement that has it.
fn words_of(tag: &str) -> BTreeMap<String, String> {
    let mut words = BTreeMap::new();
    let language = tag.split('-').next().unwrap_or(tag);
    let desk = library::desk(language).expect("the words of the desk can be read");
    for (id, text) in statements(tag).into_iter().chain(desk) {
        for word in words_in(&text) {
            words.entry(word).or_insert_with(|| id.clone());
        }
    }
    assert!(words.len() > 1000, "{tag}: only {} words", words.len());
    words
}

/// The words that a dictionary does not have.
fn unknown<'w>(dictionary: &str, words: impl Iterator<Item = &'w String>) -> BTreeSet<String> {
    let lines: Vec<&str> = words.map(String::as_str).collect();
    let output = referee::judged(
        Command::new("hunspell").args(["-i", "UTF-8", "-d", dictionary, "-l"]),
        &(lines.join("\n") + "\n"),
    );
    assert!(
        output.status.success(),
        "hunspell has no dictionary {dictionary}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout)
        .expect("UTF-8 was asked for")
        .lines()
        .map(str::to_owned)
        .collect()
}

/// The reviewed list of a language, in small letters.
fn reviewed(language: &str) -> BTreeSet<String> {
    let path = root().join(format!("tests/referee/words/{language}.txt"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let mut words = BTreeSet::new();
    for line in text.lines().map(str::trim) {
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        assert_eq!(line, line.to_lowercase(), "{language}: in small letters");
        assert!(
            words.insert(line.to_owned()),
            "{language}: {line} stands twice"
        );
    }
    words
}

#[test]
fn every_word_is_in_a_dictionary_or_was_reviewed_and_no_review_is_idle() {
    if !has_tool("hunspell") {
        return;
    }
    for language in library::tags() {
        let list = reviewed(language);
        let (mut wrong, mut needed, mut looked_at) = (Vec::new(), BTreeSet::new(), 0);
        let tags = library::countries().filter(|tag| tag.split('-').next() == Some(language));
        for tag in tags {
            let words = words_of(tag);
            looked_at += words.len();
            for word in unknown(dictionary(tag), words.keys()) {
                let small = word.to_lowercase();
                if list.contains(&small) {
                    needed.insert(small);
                } else {
                    let id = words.get(&word).map_or("?", String::as_str);
                    wrong.push(format!("{tag}: {word} ({id})"));
                }
            }
        }
        assert!(looked_at > 0, "{language} was not looked at");
        assert!(wrong.is_empty(), "in no dictionary: {wrong:#?}");
        let idle: Vec<_> = list.difference(&needed).collect();
        assert!(
            idle.is_empty(),
            "{language}: reviewed but not needed: {idle:?}"
        );
        referee::tell(&format!(
            "spelling, {language}: {looked_at} words looked at, {} reviewed by hand",
            list.len()
        ));
    }
}

#[test]
fn a_misspelt_word_is_noticed() {
    if !has_tool("hunspell") {
        return;
    }
    for (dictionary, right, wrong) in [
        ("en_GB", "bruise", "briuse"),
        ("en_US", "swelling", "sweling"),
        ("es_ES", "hinchazón", "hinchason"),
    ] {
        let words = [right.to_owned(), wrong.to_owned()];
        let found = unknown(dictionary, words.iter());
        assert_eq!(found, BTreeSet::from([wrong.to_owned()]));
    }
    // a word inside a plural form is looked at, a value's name is not
    let text = "**Look:** {{ vials }} {{ plural(vials, one=\"vial\", other=\"vails\") }} can’t.";
    assert_eq!(words_in(text), ["Look", "can't", "vial", "vails"]);
}
