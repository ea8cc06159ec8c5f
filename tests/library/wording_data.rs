//! The wording as data, in every language: every statement the catalogue needs is there, every one that is there is used, none
//! holds a number of its own, and all languages say the same things with the same values.
//!
//! Must not: judge style (that is for readers and later checks).

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use crate::support::language_words::{LanguageWords, of_language, without_templates, words_of};
use beforehand::catalogue::{Catalogue, Function, Restriction};
use beforehand::domain::{Blank, LabelId, Side, Status};
use beforehand::wording::{Wording, library};

fn wording(tag: &str) -> Wording {
    let (language, country) = tag.split_once('-').expect("language and country");
    Wording::new(&language.parse().expect("a tag"), country).expect("the language is complete")
}

/// Each language in each country that says something differently, and one that says nothing differently.
fn everywhere() -> Vec<(&'static LanguageWords, Wording)> {
    library::tags()
        .flat_map(|tag| {
            let countries: Vec<String> = library::countries()
                .filter(|country| country.split('-').next() == Some(tag))
                .map(str::to_owned)
                .chain([format!("{tag}-IE")])
                .collect();
            countries
                .into_iter()
                .map(move |country| (of_language(tag), wording(&country)))
        })
        .collect()
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
    let mut ids = beforehand::called_for::wording_ids(catalogue);
    ids.extend(catalogue.facts.iter().map(|f| format!("fact.{}", f.id)));
    ids.extend(catalogue.facts.iter().map(|f| format!("question.{}", f.id)));
    let points = catalogue.checkpoints.iter();
    ids.extend(points.map(|point| format!("clinician.check.{}", point.id)));
    ids.extend(catalogue.areas.iter().map(|a| format!("muscle.{}", a.id)));
    ids.extend(catalogue.regions.iter().map(|r| format!("place.{}", r.id)));
    ids.extend(
        Function::ALL
            .iter()
            .map(|f| format!("function.{}", f.as_str())),
    );
    ids.extend(catalogue.rules.iter().map(|r| format!("rule.{}", r.id)));
    ids.extend(
        catalogue
            .regions
            .iter()
            .filter_map(|r| r.report.as_ref())
            .map(|r| format!("report.{}", r.value)),
    );
    ids.extend(Side::ALL.map(|side| LabelId::side(side).into()));
    ids.extend(
        [
            Status::Published,
            Status::PublishedSecondHand,
            Status::Calculated,
            Status::CommonPractice,
            Status::FromMemory,
        ]
        .map(|status| LabelId::status(status).into()),
    );
    // whose licences hold, and whose labels doses are held against
    let licences = catalogue.regions.iter().flat_map(|r| &r.licence_place);
    let doses = catalogue.areas.iter().flat_map(|area| &area.dose);
    let named = catalogue.areas.iter().flat_map(|area| &area.licence);
    let named = named
        .map(|licence| &licence.place)
        .filter(|place| *place != "any");
    let places = licences
        .chain(doses.flat_map(|dose| &dose.place))
        .chain(named);
    ids.extend(places.map(|place| LabelId::licence_place(place).into()));
    // each language can be named in each
    ids.extend(library::tags().map(|tag| format!("language.{tag}")));
    ids
}

fn is_medical(id: &str) -> bool {
    [
        "general.", "redflag.", "normal.", "alike.", "choice.", "because.", "advice.",
    ]
    .iter()
    .any(|p| id.starts_with(p))
        || Catalogue::embedded()
            .areas
            .iter()
            .any(|area| id.starts_with(&format!("{}.", area.id)))
}

/// A file that lies under `locales/` but is not in the program would be read by nobody; one language may still be on its way.
#[test]
fn every_file_of_a_complete_language_is_embedded() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("locales");
    let complete: BTreeSet<&str> = library::tags().collect();
    let mut on_disk = BTreeSet::new();
    for language in std::fs::read_dir(&root).expect("locales") {
        let language = language.expect("a language").path();
        let tag = language
            .file_name()
            .and_then(|n| n.to_str())
            .expect("a tag")
            .to_owned();
        if !complete.contains(tag.split('-').next().expect("a tag")) {
            continue;
        }
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
    let embedded: BTreeSet<(String, String)> = library::files()
        .map(|(tag, file, _)| (tag.to_owned(), file.to_owned()))
        .collect();
    // the words of the desk are read apart from those of the papers
    let desk = library::tags().map(|tag| (tag.to_owned(), "desk.md".to_owned()));
    let embedded: BTreeSet<_> = embedded.into_iter().chain(desk).collect();
    assert_eq!(on_disk, embedded);
}

#[test]
fn every_language_has_a_version_and_words_of_its_own_to_be_judged_by() {
    assert!(library::tags().any(|tag| tag == "en"));
    let mut versions = BTreeSet::new();
    for language in library::LANGUAGES {
        assert!(
            language
                .tag
                .parse::<unic_langid::LanguageIdentifier>()
                .is_ok()
                && !language.tag.contains('-'),
            "{}",
            language.tag
        );
        let words = of_language(language.tag);
        assert_eq!(
            language.version.contains(words.draft),
            language.review == library::Review::Draft,
            "{}: the version says whether it is a draft: {}",
            language.tag,
            language.version
        );
        assert!(
            versions.insert(language.version),
            "two languages share a version, so one was not written out"
        );
    }
}

#[test]
fn every_id_of_the_catalogue_is_worded() {
    for (_, wording) in everywhere() {
        let missing: Vec<String> = wanted().into_iter().filter(|id| !wording.has(id)).collect();
        assert!(
            missing.is_empty(),
            "{}: not worded: {missing:#?}",
            wording.tag()
        );
    }
}

/// What is worded is either called for by the catalogue or named in the program's own source.
#[test]
fn every_worded_id_is_used() {
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
    for (_, wording) in everywhere() {
        let mut unused = Vec::new();
        // the catalogue first: the sources are long to look through
        let not_wanted = wording
            .statements()
            .keys()
            .filter(|id| !wanted.contains(*id));
        for id in not_wanted {
            let last = id.rsplit('.').next().expect("an id has a last part");
            let named = source.contains(&format!("\"{id}\""))
                // ids put together from a fixed beginning and a word that stands in the source
                || (id.split_once('.').is_some_and(|(first, _)| source.contains(&format!("\"{first}.")))
                    && source.contains(&format!("\"{last}\"")))
                // a fixed end behind the name of a paper
                || source.contains(&format!("}}.{last}\""))
                // held against the rules and triggers that can ask by `asks`
                || id.starts_with("ask.")
                // languages that are on their way can already be named
                || id.starts_with("language.");
            let term = id.strip_prefix("term.").is_some_and(|term| {
                wording
                    .statements()
                    .values()
                    .any(|text| text.contains(&format!("term.{term}")))
            });
            if !named && !term {
                unused.push(id.clone());
            }
        }
        assert!(
            unused.is_empty(),
            "{}: worded but never used: {unused:#?}",
            wording.tag()
        );
    }
}

/// A number that no sentence says is one that nobody checks any more. What practitioners see of the jaw is held beside what was published
/// and said in the course alone.
#[test]
fn every_number_of_an_area_is_said() {
    let held = [("masseter", "practice-lasts")];
    let wording = wording("en-GB");
    for area in &Catalogue::embedded().areas {
        let of_area = format!("{}.", area.id);
        let statements = wording.statements().iter();
        let words: String = statements
            .filter(|(id, _)| id.starts_with(&of_area))
            .map(|(_, text)| text.as_str())
            .collect();
        for number in &area.number {
            let blank = String::from(Blank::number(&number.id));
            let known = held.contains(&(area.id.as_str(), number.id.as_str()));
            assert!(
                words.contains(&blank) != known,
                "{}: {}",
                area.id,
                number.id
            );
        }
    }
}

/// Same statements in every language: none left out, none added.
#[test]
fn every_language_words_the_same_ids() {
    let english: BTreeSet<String> = library::statements("en")
        .expect("English reads")
        .into_keys()
        .collect();
    for tag in library::tags() {
        let own: BTreeSet<String> = library::statements(tag)
            .unwrap_or_else(|problems| panic!("{tag}: {problems:#?}"))
            .into_keys()
            .collect();
        let missing: Vec<_> = english.difference(&own).collect();
        let added: Vec<_> = own.difference(&english).collect();
        assert!(missing.is_empty(), "{tag} does not word {missing:#?}");
        assert!(
            added.is_empty(),
            "{tag} words what English does not: {added:#?}"
        );
    }
}

/// The values a sentence is filled with: `w.onset`, `area`, `plural`.
fn values_of(id: &str, text: &str) -> BTreeSet<String> {
    let mut environment = minijinja::Environment::new();
    environment
        .add_template(id, text)
        .unwrap_or_else(|error| panic!("{id}: {error}"));
    let mut values: BTreeSet<String> = environment
        .get_template(id)
        .expect("it was just added")
        .undeclared_variables(true)
        .into_iter()
        .collect();
    // whether a language needs plural forms here is its own matter; the number itself is not
    values.remove("plural");
    values
}

/// (language, id, value): uses or leaves out a value that English leaves out or uses, and why that is right.
const OTHER_VALUES: &[(&str, &str, &str, &str)] = &[];

/// A sentence that leaves out a value says less than the English one; a value it adds may not be there when it is filled.
#[test]
fn every_language_says_the_same_values() {
    let english = library::statements("en").expect("English reads");
    let mut excused = BTreeSet::new();
    let mut wrong = Vec::new();
    for tag in library::tags().chain(library::countries()) {
        for (id, text) in library::statements(tag).expect("the language reads") {
            // an id that English does not have is another test's business
            let Some(original) = english.get(&id) else {
                continue;
            };
            let (ours, theirs) = (values_of(&id, &text), values_of(&id, original));
            for value in ours.symmetric_difference(&theirs) {
                let known = OTHER_VALUES
                    .iter()
                    .position(|(t, i, v, _)| *t == tag && *i == id && v == value);
                match known {
                    Some(index) => drop(excused.insert(index)),
                    None => wrong.push(format!("{tag} {id}: {value}: {text}")),
                }
            }
        }
    }
    assert!(wrong.is_empty(), "other values than in English: {wrong:#?}");
    let idle: Vec<_> = (0..OTHER_VALUES.len())
        .filter(|index| !excused.contains(index))
        .map(|index| OTHER_VALUES[index])
        .collect();
    assert!(idle.is_empty(), "exceptions that excuse nothing: {idle:#?}");
}

/// Numbers reach medical sentences only through the catalogue.
#[test]
fn medical_statements_hold_no_number_of_their_own() {
    let mut said = Vec::new();
    for (language, wording) in everywhere() {
        for (id, text) in wording.statements().iter().filter(|(id, _)| is_medical(id)) {
            let outside = without_templates(text);
            assert!(
                !outside.chars().any(|c| c.is_ascii_digit()),
                "{} {id} holds a digit: {text}",
                wording.tag()
            );
            let lower = outside.to_lowercase();
            for word in language.numbers {
                let found = if word.contains(|c: char| !c.is_alphabetic()) {
                    lower.contains(word)
                } else {
                    words_of(&lower).any(|w| w == *word)
                };
                if found {
                    said.push(format!("{} {id} says `{word}`: {text}", wording.tag()));
                }
            }
        }
    }
    assert!(
        said.is_empty(),
        "numbers in words belong in the catalogue: {said:#?}"
    );
}

/// Words for frequency are read far too high (document-standards K4 to K8): a risk says its number, or that none is known.
/// An instruction is read on many days; which of them it is for, the date beside it says.
#[test]
fn no_instruction_names_a_day_of_its_own() {
    let mut judged = 0;
    for (language, wording) in everywhere() {
        let days: &[&str] = match language.tag {
            "en" => &["today", "tonight", "tomorrow", "yesterday"],
            "es" => &["hoy", "mañana", "ayer"],
            tag => panic!("which words name a day in {tag}?"),
        };
        for (id, text) in wording.statements() {
            if !id.starts_with("advice.") {
                continue;
            }
            judged += 1;
            let text = text.to_lowercase();
            let named = words_of(&text).find(|word| days.contains(word));
            assert_eq!(named, None, "{id} in {}: {text}", wording.tag());
        }
    }
    assert!(judged > 100, "{judged} instructions");
}

#[test]
fn risks_use_no_word_for_a_frequency() {
    let mut said = Vec::new();
    for (language, wording) in everywhere() {
        let risks = wording
            .statements()
            .iter()
            .filter(|(id, _)| id.contains(".risk.") || id.contains(".serious."));
        for (id, text) in risks {
            let mut lower = without_templates(text).to_lowercase();
            for allowed in language.not_frequencies {
                lower = lower.replace(allowed, "");
            }
            for word in language.frequencies {
                if words_of(&lower).any(|w| w == *word) {
                    said.push(format!("{} {id} says `{word}`: {text}", wording.tag()));
                }
            }
        }
    }
    assert!(said.is_empty(), "{said:#?}");
}

/// No promise, no capitals, no exclamation mark in what patients read; in Spanish one form of address throughout.
#[test]
fn the_tone_is_plain() {
    let mut said = Vec::new();
    for (language, wording) in everywhere() {
        for (id, text) in wording.statements() {
            let plain = without_templates(text);
            for sign in ["!", "¡", ";"] {
                if plain.contains(sign) {
                    said.push(format!("{} {id} has {sign:?}: {text}", wording.tag()));
                }
            }
            let lower = plain.to_lowercase();
            for word in language.promises {
                if lower.contains(word) {
                    said.push(format!("{} {id} promises {word:?}: {text}", wording.tag()));
                }
            }
            for word in language.wrong_address {
                if words_of(&lower).any(|w| w == *word) {
                    said.push(format!(
                        "{} {id} addresses with {word:?}: {text}",
                        wording.tag()
                    ));
                }
            }
        }
    }
    assert!(said.is_empty(), "{said:#?}");
}

/// The lists themselves can find something.
#[test]
fn every_language_has_words_to_look_for() {
    for tag in library::tags() {
        let language = of_language(tag);
        assert!(language.numbers.len() >= 10, "{tag}");
        assert!(language.frequencies.len() >= 5, "{tag}");
        assert!(language.promises.len() >= 4, "{tag}");
        for word in language
            .numbers
            .iter()
            .chain(language.frequencies)
            .chain(language.promises)
            .chain(language.wrong_address)
        {
            assert_eq!(
                *word,
                word.to_lowercase(),
                "{tag}: {word} could never be found"
            );
        }
    }
}

#[test]
fn countries_change_only_what_their_language_has() {
    for tag in library::countries() {
        let (language, _) = tag.split_once('-').expect("language and country");
        let base = library::statements(language).expect("the language reads");
        if base.is_empty() {
            panic!("{tag} changes a language that is not there");
        }
        for (id, text) in library::statements(tag).expect("the country reads") {
            assert!(
                base.contains_key(&id),
                "{tag} words {id}, which {language} does not have"
            );
            assert_ne!(base[&id], text, "{tag} repeats {id} unchanged");
        }
    }
}

#[test]
fn terms_differ_from_country_to_country() {
    let terms = |tag: &str| -> BTreeMap<String, String> {
        wording(tag)
            .statements()
            .iter()
            .filter(|(id, _)| id.starts_with("term."))
            .map(|(id, text)| (id.clone(), text.clone()))
            .collect()
    };
    assert_eq!(terms("en-US")["term.painkiller"], "acetaminophen");
    assert_eq!(terms("en-GB")["term.painkiller"], "paracetamol");
    assert_eq!(terms("en-GB")["term.emergency_department"], "A&E");
    assert_eq!(
        terms("en-IE")["term.emergency_department"],
        "the emergency department"
    );
    if library::tags().any(|tag| tag == "es") {
        assert_eq!(terms("es-US")["term.painkiller"], "acetaminofén");
        assert_eq!(terms("es-ES")["term.painkiller"], "paracetamol");
    }
}

/// A zone that is never treated has no benefit to word.
#[test]
fn the_no_treat_zone_promises_nothing() {
    for area in Catalogue::embedded()
        .areas
        .iter()
        .filter(|a| a.restriction.value == Restriction::DoNotTreat)
    {
        for (_, wording) in everywhere() {
            for part in ["can", "cannot", "lasts"] {
                assert!(
                    !wording.has(&format!("{}.{part}", area.id)),
                    "{} {}.{part}",
                    wording.tag(),
                    area.id
                );
            }
        }
    }
}
