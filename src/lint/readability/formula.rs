//! Turns counts into the figures of published readability formulas.
//!
//! Invariant: the coefficients are those of the publication named beside each; nothing is rounded.
//! S… are rows of the register of document standards; a status is never better than there.
//!
//! Must not: decide whether a text is good enough (see [`super::Target`]); give a figure for no words: the result is then
//! not a number, and [`super::measure`] reports no score.

use super::Counts;

/// Reading ease, 206.835 − 1.015 · words/sentence − 84.6 · syllables/word. More is easier.
/// Flesch; S06 (US VA HSR&D instrument page), published.
pub fn flesch_reading_ease(c: &Counts) -> f64 {
    206.835 - 1.015 * c.words_per_sentence() - 84.6 * c.syllables_per_word()
}

/// US school grade, 0.39 · words/sentence + 11.8 · syllables/word − 15.59. Less is easier.
/// Flesch and Kincaid; S06 (US VA HSR&D instrument page), published.
pub fn flesch_kincaid(c: &Counts) -> f64 {
    0.39 * c.words_per_sentence() + 11.8 * c.syllables_per_word() - 15.59
}

/// School grade by the **exact** SMOG formula, 1.0430 · √(polysyllables · 30/sentences) + 3.1291.
/// McLaughlin 1969; S09, published second hand.
///
/// It can stand up to 1.3 grades above the conversion table (S09), so a figure must say which of the two it is.
pub fn smog(c: &Counts) -> f64 {
    1.0430 * smog_count(c).sqrt() + 3.1291
}

/// School grade by the hand rule: the root of the perfect square nearest to the words of three or more syllables in 30
/// sentences, + 3. S09, published. The conversion table agrees with it except for 1 and 2 such words, where it says 5.
pub fn smog_hand(c: &Counts) -> f64 {
    let count = smog_count(c);
    let below = count.sqrt().floor();
    let above = below + 1.0;
    let root = if count - below * below <= above * above - count {
        below
    } else {
        above
    };
    root + 3.0
}

/// Words of three or more syllables as if there were 30 sentences: with fewer, polysyllables/sentences · (30 − sentences)
/// is added to the count (S09, published). That is the same as multiplying by 30/sentences, which longer texts get too.
pub fn smog_count(c: &Counts) -> f64 {
    let (found, sentences) = (c.polysyllables as f64, c.sentences as f64);
    if c.sentences < 30 {
        found + found / sentences * (30.0 - sentences)
    } else {
        found * 30.0 / sentences
    }
}

/// Szigriszt-Pazos 1993, the figure read on the INFLESZ scale: 206.835 − 62.3 · syllables/word − words/sentence.
/// More is easier: below 40 very hard, 40–55 somewhat hard, 55–65 normal, 65–80 fairly easy, above 80 very easy.
/// S12 (Barrio-Cantalejo et al. 2008), published.
pub fn szigriszt_pazos(c: &Counts) -> f64 {
    206.835 - 62.3 * c.syllables_per_word() - c.words_per_sentence()
}

/// Fernández-Huerta 1959 in its right form: 206.84 − 60 · syllables/word − 1.02 · words/sentence. More is easier.
/// Form of the sentence term: S13 (Law, LINGUIST List 22.2332), published; 60 for each word: seen in independent code.
///
/// Two wrong forms are printed more often than the right one: 0.60 with syllables per word, and 1.02 times the sentences in
/// 100 words, by which shorter sentences are worse. `tests/library/readability.rs` keeps both away.
pub fn fernandez_huerta(c: &Counts) -> f64 {
    206.84 - 60.0 * c.syllables_per_word() - 1.02 * c.words_per_sentence()
}
