//! The wording as data: every statement the catalogue needs is there, every one that is there is used, none holds a number of its own.
//!
//! Must not: judge style (that is for readers and later checks).

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use beforehand::catalogue::{Catalogue, Function, Restriction};
use beforehand::wording::{Wording, library};

fn english(country: &str) -> Wording {
    Wording::new(&"en".parse().expect("a tag"), country).expect("English is complete")
}

fn rust_sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a source folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            rust_sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

/// Every statement id the catalogue calls for, on the papers and elsewhere.
fn wanted() -> BTreeSet<String> {
    let catalogue = Catalogue::embedded();
    let mut ids = beforehand::papers::wording_ids(catalogue);
    ids.extend(catalogue.facts.iter().map(|f| format!("fact.{}", f.id)));
    ids.extend(catalogue.regions.iter().map(|r| format!("place.{}", r.id)));
    ids.extend(
        Function::ALL
            .iter()
            .map(|f| format!("function.{}", f.key())),
    );
    ids.extend(catalogue.rules.iter().map(|r| format!("rule.{}", r.id)));
    ids.extend(
        catalogue
            .regions
            .iter()
            .filter_map(|r| r.report.as_ref())
            .map(|r| format!("report.{}", r.value)),
    );
    ids
}

#[test]
fn every_wording_file_is_embedded() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("locales");
    let mut on_disk = BTreeSet::new();
    for language in std::fs::read_dir(&root).expect("locales") {
        let language = language.expect("a language").path();
        let tag = language
            .file_name()
            .and_then(|n| n.to_str())
            .expect("a tag")
            .to_owned();
        for folder in ["", "areas"] {
            let Ok(entries) = std::fs::read_dir(language.join(folder)) else {
                continue;
            };
            for entry in entries {
                let path = entry.expect("a file").path();
                if path.extension().is_some_and(|e| e == "md") {
                    let name = path.file_name().and_then(|n| n.to_str()).expect("a name");
                    let name = if folder.is_empty() {
                        name.to_owned()
                    } else {
                        format!("{folder}/{name}")
                    };
                    on_disk.insert((tag.clone(), name));
                }
            }
        }
    }
    let embedded: BTreeSet<(String, String)> = library::FILES
        .iter()
        .map(|(tag, file, _)| ((*tag).to_owned(), (*file).to_owned()))
        .collect();
    assert_eq!(on_disk, embedded);
}

#[test]
fn every_id_of_the_catalogue_is_worded() {
    let wording = english("GB");
    let missing: Vec<String> = wanted().into_iter().filter(|id| !wording.has(id)).collect();
    assert!(missing.is_empty(), "not worded: {missing:#?}");
}

/// What is worded is either called for by the catalogue or named in the program's own source.
#[test]
fn every_worded_id_is_used() {
    let wording = english("GB");
    let wanted = wanted();
    let mut files = Vec::new();
    rust_sources(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("src"),
        &mut files,
    );
    let source: String = files
        .iter()
        .map(|path| std::fs::read_to_string(path).expect("a source file"))
        .collect();
    let mut unused = Vec::new();
    for id in wording.statements().keys() {
        let last = id.rsplit('.').next().expect("an id has a last part");
        let named = source.contains(&format!("\"{id}\""))
            // ids put together from a fixed beginning and a word that stands in the source
            || (id.split_once('.').is_some_and(|(first, _)| source.contains(&format!("\"{first}.")))
                && source.contains(&format!("\"{last}\"")));
        let term = id.strip_prefix("term.").is_some_and(|term| {
            wording
                .statements()
                .values()
                .any(|text| text.contains(&format!("term.{term}")))
        });
        if !wanted.contains(id) && !named && !term {
            unused.push(id.clone());
        }
    }
    assert!(unused.is_empty(), "worded but never used: {unused:#?}");
}

/// Numbers reach medical sentences only through the catalogue.
#[test]
fn medical_statements_hold_no_number_of_their_own() {
    let medical = |id: &str| {
        let catalogue = Catalogue::embedded();
        [
            "general.", "redflag.", "normal.", "choice.", "because.", "advice.",
        ]
        .iter()
        .any(|p| id.starts_with(p))
            || catalogue
                .areas
                .iter()
                .any(|area| id.starts_with(&format!("{}.", area.id)))
    };
    // "two" is left out: two fingers, two sides, two grades are no findings
    let words = [
        "three", "four", "five", "six", "seven", "eight", "nine", "ten", "twelve", "percent",
        "per cent", "%",
    ];
    let mut said = Vec::new();
    for (id, text) in english("GB")
        .statements()
        .iter()
        .filter(|(id, _)| medical(id))
    {
        let outside = without_templates(text);
        assert!(
            !outside.chars().any(|c| c.is_ascii_digit()),
            "{id} holds a digit: {text}"
        );
        let lower = outside.to_lowercase();
        for word in words {
            if lower
                .split(|c: char| !c.is_alphabetic() && c != '%')
                .any(|w| w == word)
            {
                said.push(format!("{id} says `{word}`: {text}"));
            }
        }
    }
    assert!(
        said.is_empty(),
        "numbers in words belong in the catalogue: {said:#?}"
    );
}

/// The words outside `{{ }}` and `{% %}`.
fn without_templates(text: &str) -> String {
    let mut outside = String::new();
    let mut depth = 0_i32;
    for c in text.chars() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            c if depth == 0 => outside.push(c),
            _ => {}
        }
    }
    outside
}

/// Words for frequency are read far too high (document-standards K4 to K8): a risk says its number, or that none is known.
#[test]
fn risks_use_no_word_for_a_frequency() {
    for (id, text) in english("GB")
        .statements()
        .iter()
        .filter(|(id, _)| id.contains(".risk.") || id.contains(".serious."))
    {
        let lower = without_templates(text).to_lowercase();
        for word in [
            "rare",
            "rarely",
            "uncommon",
            "frequent",
            "frequently",
            "occasionally",
            "unlikely",
            "likely",
        ] {
            let found = lower.split(|c: char| !c.is_alphabetic()).any(|w| w == word);
            let more_likely = word == "likely" && lower.contains("more likely");
            assert!(!found || more_likely, "{id} says `{word}`: {text}");
        }
    }
}

/// No promise, no italics, no capitals, no exclamation mark in what patients read.
#[test]
fn the_tone_is_plain() {
    for country in ["GB", "US"] {
        for (id, text) in english(country).statements() {
            let plain = without_templates(text);
            for forbidden in [
                "!",
                ";",
                "guarantee",
                "painless",
                "anti-ageing",
                "amazing",
                "youthful",
                "perfect",
            ] {
                assert!(
                    !plain.contains(forbidden),
                    "{id} ({country}) has {forbidden:?}: {text}"
                );
            }
        }
    }
}

#[test]
fn countries_change_only_what_english_has() {
    let base = library::statements("en").expect("English reads");
    for tag in ["en-US", "en-GB"] {
        for (id, text) in library::statements(tag).expect("the country reads") {
            assert!(
                base.contains_key(&id),
                "{tag} words {id}, which English does not have"
            );
            assert_ne!(base[&id], text, "{tag} repeats {id} unchanged");
        }
    }
}

#[test]
fn terms_differ_between_the_united_states_and_britain() {
    let terms = |country: &str| -> BTreeMap<String, String> {
        let wording = english(country);
        wording
            .statements()
            .iter()
            .filter(|(id, _)| id.starts_with("term."))
            .map(|(id, text)| (id.clone(), text.clone()))
            .collect()
    };
    assert_eq!(terms("US")["term.painkiller"], "acetaminophen");
    assert_eq!(terms("GB")["term.painkiller"], "paracetamol");
    assert_eq!(terms("GB")["term.emergency_department"], "A&E");
    assert_eq!(
        terms("IE")["term.emergency_department"],
        "the emergency department"
    );
}

/// A zone that is never treated has no benefit to word.
#[test]
fn the_no_treat_zone_promises_nothing() {
    for area in Catalogue::embedded()
        .areas
        .iter()
        .filter(|a| a.restriction.value == Restriction::DoNotTreat)
    {
        let wording = english("GB");
        for part in ["can", "cannot", "lasts"] {
            assert!(
                !wording.has(&format!("{}.{part}", area.id)),
                "{}.{part}",
                area.id
            );
        }
    }
}
