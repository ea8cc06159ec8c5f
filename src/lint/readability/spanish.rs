//! Turns a Spanish word into its number of syllables, by the rules of written Spanish.
//!
//! Invariant: counts as the orthography does (Ortografía de la lengua española, 2010; from memory): a closed vowel without
//! an accent beside another vowel is one syllable with it, with one it is two; two open vowels are two; an h between
//! vowels changes nothing. "guion" and "cons-truir" are so, however they are spoken.
//! How right it is, held by `tests/oracles/readability.rs` against silabeador: see [`super`].
//!
//! Must not: split consonants (they do not change the number), or need a word list.

/// Syllables of one word of small letters.
///
/// Each open vowel (a, e, o) and each closed vowel with an accent (í, ú) is the heart of a syllable of its own; closed
/// vowels without one lean on a neighbour, and only a run of nothing but these ("muy", "viu-da") makes one together.
/// So neither the silent u of "que" and "guerra" nor the spoken one of "pingüino" needs a rule of its own.
pub fn syllables(word: &str) -> usize {
    // "vi-hue-la", "Chi-hua-hua": hu before a vowel opens a syllable like a consonant; any other h is silent
    let letters: Vec<char> = onsets(word).chars().filter(|c| *c != 'h').collect();
    let mut count = 0;
    let mut hearts = 0;
    let mut in_run = false;
    for (at, letter) in letters.iter().enumerate() {
        let before = at.checked_sub(1).map(|at| letters[at]);
        match kind(before, *letter, letters.get(at + 1).copied()) {
            Kind::Consonant => {
                if in_run {
                    count += hearts.max(1);
                }
                (hearts, in_run) = (0, false);
            }
            Kind::Heart => (hearts, in_run) = (hearts + 1, true),
            Kind::Leaning => in_run = true,
        }
    }
    if in_run {
        count += hearts.max(1);
    }
    count.max(1)
}

/// "hu" before a vowel written as "w".
fn onsets(word: &str) -> String {
    let letters: Vec<char> = word.chars().collect();
    let mut out = String::with_capacity(word.len());
    let mut at = 0;
    while at < letters.len() {
        let onset = letters[at] == 'h'
            && letters.get(at + 1) == Some(&'u')
            && letters.get(at + 2).is_some_and(|c| VOWELS.contains(*c));
        out.push(if onset { 'w' } else { letters[at] });
        at += 1 + usize::from(onset);
    }
    out
}

const VOWELS: &str = "aeiouáéíóúü";

enum Kind {
    Consonant,
    /// Always a syllable.
    Heart,
    /// A syllable only when no heart is beside it.
    Leaning,
}

fn kind(before: Option<char>, letter: char, next: Option<char>) -> Kind {
    let doubled =
        |accented: char| before == Some(letter) || next == Some(letter) || next == Some(accented);
    match letter {
        'a' | 'e' | 'o' | 'á' | 'é' | 'ó' | 'í' | 'ú' | 'à' | 'è' | 'ò' | 'â' | 'ê' | 'ô' | 'ä'
        | 'ë' | 'ö' | 'ï' => Kind::Heart,
        // twice the same vowel is two syllables: "du-un-vi-ro", "fri-í-si-mo"
        'i' if doubled('í') => Kind::Heart,
        'u' if doubled('ú') => Kind::Heart,
        'i' | 'u' | 'ü' => Kind::Leaning,
        // "rey", "muy", the word "y", but "le-yes", "yo"
        'y' if !next.is_some_and(|n| VOWELS.contains(n)) => Kind::Leaning,
        _ => Kind::Consonant,
    }
}
