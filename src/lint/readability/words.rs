//! Turns plain text into sentences of words, each with its syllables.
//!
//! Invariant: the sentences and words are those of [`split`]; every word has at least one syllable.
//!
//! Must not: split text in a way of its own.

use super::language::Rules;
use super::spoken::{self, Around};
use crate::lint::split;

/// One word as it was written, in small letters and without the punctuation around it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Word {
    pub text: String,
    pub syllables: usize,
}

/// The sentences of a text; none is empty.
pub fn sentences(rules: &Rules, text: &str) -> Vec<Vec<Word>> {
    let sentences = split::sentences(&rules.marks, text).into_iter();
    sentences.map(|sentence| words(rules, sentence)).collect()
}

fn around(rules: &Rules, tokens: &[String], at: usize) -> Around {
    let bare = |token: &String| {
        token
            .trim_matches(|c: char| !c.is_alphanumeric())
            .to_owned()
    };
    let shouts = |token: Option<&String>| {
        token.map(bare).is_some_and(|t| {
            t.chars().filter(|c| c.is_uppercase()).count() > 1 && !t.chars().any(char::is_lowercase)
        })
    };
    let before = at.checked_sub(1).and_then(|at| tokens.get(at));
    let after = tokens.get(at + 1);
    Around {
        after_numeral: before.is_some_and(|t| t.ends_with(|c: char| c.is_ascii_digit())),
        before_numeral: after.is_some_and(|t| t.starts_with(|c: char| c.is_ascii_digit())),
        before_hours: after
            .map(bare)
            .is_some_and(|t| rules.hours.contains(&t.to_lowercase().as_str())),
        shouted: shouts(before) || shouts(after),
    }
}

fn words(rules: &Rules, sentence: &str) -> Vec<Word> {
    let tokens: Vec<String> = split::tokens(sentence)
        .into_iter()
        .map(split::written)
        .collect();
    let mut out = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        let Some(core) = split::core(token) else {
            continue;
        };
        // a full stop tells an abbreviation from a word
        let stop = token[token.find(core).expect("cut out of it") + core.len()..].starts_with('.');
        let dotted = if stop {
            format!("{core}.")
        } else {
            core.to_owned()
        };
        out.push(Word {
            syllables: spoken::syllables(rules, &dotted, around(rules, &tokens, at)),
            text: core.to_lowercase(),
        });
    }
    out
}
