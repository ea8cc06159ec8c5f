//! Turns the word lists of each language into what judges look for.
//! Invariant: a language without a list is not judged by another language's list.
//! Must not: hold a list in the program text.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde::Deserialize;

use super::prose;

/// A technical term and the words by which its explanation is known.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Term {
    pub word: String,
    pub explained: Vec<String>,
}

/// A word for a frequency with the name of its band (`catalogue::Band::as_str`).
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BandWord {
    pub word: String,
    pub band: String,
}

/// By what a passive is guessed: a form of "to be", then a participle.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Passive {
    pub auxiliary: Vec<String>,
    /// May stand between the two.
    pub between: Vec<String>,
    pub endings: Vec<String>,
    pub participles: Vec<String>,
    /// Look like participles and say how something is.
    pub states: Vec<String>,
}

/// The lists of one language.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Words {
    pub language: String,
    /// Between the numbers of a natural frequency.
    pub out_of: Vec<String>,
    pub band: Vec<BandWord>,
    pub words: BTreeMap<String, Vec<String>>,
    pub passive: Passive,
    pub term: Vec<Term>,
}

const FILES: &[&str] = &[include_str!("en.toml"), include_str!("es.toml")];

/// The lists every language has to have.
pub const LISTS: &[&str] = &[
    "bare_ban",
    "bring",
    "calculation",
    "condition",
    "frequency",
    "imperative",
    "interpreter_needed",
    "interpreter_qualification",
    "negation",
    "no_risk",
    "number",
    "observer",
    "observer_refuse",
    "own_words",
    "procedure",
    "promotional",
    "reader",
    "relative",
    "review_by",
    "study",
    "treatments",
    "unit",
    "weeks",
    "whole_study",
];

/// All languages that have lists.
pub fn all() -> &'static [Words] {
    static ALL: OnceLock<Vec<Words>> = OnceLock::new();
    ALL.get_or_init(|| {
        FILES
            .iter()
            .map(|text| toml::from_str(text).expect("the embedded lists are read by a test"))
            .collect()
    })
}

/// The lists for a language tag such as `en-GB`.
pub fn of(tag: &str) -> Option<&'static Words> {
    let language = tag.split('-').next().unwrap_or(tag);
    all().iter().find(|words| words.language == language)
}

impl Words {
    /// An entry of a list stands in the text.
    pub fn has(&self, text: &str, list: &str) -> bool {
        !prose::found(text, self.list(list)).is_empty()
    }

    /// A list by its name.
    pub fn list(&self, name: &str) -> &[String] {
        debug_assert!(LISTS.contains(&name), "{name} is not in LISTS");
        self.words.get(name).map_or(&[], Vec::as_slice)
    }
}
