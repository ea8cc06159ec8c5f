//! The words of the desk as data: the same in every language, each used, each that is used there, and one for every mistake.
//!
//! Must not: judge style, or fill a page (the screens are filled where the program runs).

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use beforehand::diagnose::Code;
use beforehand::wording::library::{self, Statements};

use crate::support::root;

fn words(tag: &str) -> Statements {
    library::desk(tag).unwrap_or_else(|problems| panic!("{tag}: {problems:#?}"))
}

/// What a text is filled with. Whether it needs plural forms is a language's own matter; the number itself is not.
fn values_of(id: &str, text: &str) -> BTreeSet<String> {
    let mut environment = minijinja::Environment::new();
    environment
        .add_template(id, text)
        .unwrap_or_else(|error| panic!("{id}: {error}"));
    let template = environment.get_template(id).expect("it was just added");
    let mut values: BTreeSet<String> = template.undeclared_variables(true).into_iter().collect();
    values.remove("plural");
    values
}

#[test]
fn every_language_says_the_same_of_the_desk_with_the_same_values() {
    let english = words("en");
    assert!(english.len() > 300, "{}", english.len());
    for tag in library::tags() {
        let own = words(tag);
        let ids = |words: &Statements| words.keys().cloned().collect::<BTreeSet<String>>();
        assert_eq!(ids(&own), ids(&english), "{tag}");
        for (id, text) in &own {
            assert!(!text.trim().is_empty(), "{tag} {id}");
            assert_eq!(
                values_of(id, text),
                values_of(id, &english[id]),
                "{tag} {id}"
            );
        }
    }
}

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        match path.is_dir() {
            true => files(&path, found),
            false => found.push(path),
        }
    }
}

/// The sources and templates of the desk, by name.
fn sources() -> BTreeMap<PathBuf, String> {
    let mut found = Vec::new();
    files(&root().join("src/desk"), &mut found);
    files(&root().join("templates/desk"), &mut found);
    let read = |path: PathBuf| {
        let text = std::fs::read_to_string(&path).expect("a text");
        (path, text)
    };
    found.into_iter().map(read).collect()
}

/// The ids that a source names whole, and the beginnings of those that it puts together.
fn named(text: &str) -> (BTreeSet<String>, BTreeSet<String>) {
    let (mut whole, mut beginnings) = (BTreeSet::new(), BTreeSet::new());
    for (at, _) in text.match_indices("\"desk.") {
        let rest = &text[at + 1..];
        let end = rest.find('"').expect("a closed text");
        let (id, behind) = (&rest[..end], rest[end + 1..].trim_start());
        // ours are small letters, digits of codes, hyphens and dots; a name that ends in a dot is put together with `~`
        match id.find('{') {
            Some(brace) => drop(beginnings.insert(id[..brace].to_owned())),
            None if id.ends_with('.') || behind.starts_with('~') => {
                beginnings.insert(id.to_owned());
            }
            None => drop(whole.insert(id.to_owned())),
        }
    }
    (whole, beginnings)
}

/// Names of fields and files that look like ids: what a form sends, and this folder's own files.
const FIELDS: &[&str] = &[
    "desk.",
    "desk.base",
    "desk.choose.",
    "desk.code",
    "desk.do",
    "desk.forget",
    "desk.part",
    "desk.record",
    "desk.theirs",
    "desk.unfinished",
    "desk.work-out",
];

#[test]
fn every_word_of_the_desk_is_named_and_every_one_that_is_named_exists() {
    let english = words("en");
    let (mut whole, mut beginnings) = (BTreeSet::new(), BTreeSet::new());
    for (path, text) in sources() {
        let (own, parts) = named(&text);
        for id in &own {
            let known = english.contains_key(id) || FIELDS.contains(&id.as_str());
            assert!(
                known,
                "{} names {id}, which nobody has worded",
                path.display()
            );
        }
        for part in &parts {
            let known = english.keys().any(|id| id.starts_with(part.as_str()))
                || FIELDS.contains(&part.as_str());
            assert!(
                known,
                "{} begins {part}, and nothing begins so",
                path.display()
            );
        }
        whole.extend(own);
        beginnings.extend(parts);
    }
    // a beginning of two letters would excuse everything
    beginnings.retain(|part| !FIELDS.contains(&part.as_str()));
    assert!(whole.len() > 200, "{}", whole.len());
    let beginnings: Vec<&String> = beginnings
        .iter()
        .filter(|part| part.matches('.').count() > 1)
        .collect();
    let sources: String = sources().into_values().collect();
    for id in english.keys() {
        // `format!("desk.look.{id}")` is called with the ends of its ids
        let is_row = |end: &str| sources.contains(&format!("\"{end}\","));
        let used = match id.strip_prefix("desk.look.") {
            Some(end) if !end.contains('.') => whole.contains(id) || is_row(end),
            _ => whole.contains(id) || beginnings.iter().any(|part| id.starts_with(part.as_str())),
        };
        assert!(used, "{id} is worded, and nothing of the desk names it");
    }
}

#[test]
fn every_mistake_is_said_in_words_of_the_desk() {
    let english = words("en");
    let worded: BTreeSet<&str> = english
        .keys()
        .filter_map(|id| id.strip_prefix("desk.mistake."))
        .collect();
    let codes: BTreeSet<&str> = Code::all().iter().map(|code| code.as_str()).collect();
    assert_eq!(worded, codes);
}
