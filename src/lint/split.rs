//! Turns plain text into its sentences and words, each as the stretch of text it is: the one splitter of the lint.
//!
//! Invariant: a paragraph, a list item and a line after a colon each end a sentence, even without a full stop; a decimal
//! point, an abbreviation and an initial do not. Where it cannot be told, the sentence goes on: the figure gets worse, never
//! better.
//!
//! Must not: read Markdown or templates (plain text comes in), drop a word, or know how a word is spoken.

/// What ends no sentence in a language, though a full stop stands behind it.
pub struct Marks {
    pub abbreviations: &'static [Abbreviation],
    /// Words after which a capital with a full stop is not an initial: "type A."
    pub before_a_letter: &'static [&'static str],
}

/// For a language we know nothing of.
pub static PLAIN: Marks = Marks {
    abbreviations: &[],
    before_a_letter: &[],
};

/// When an entry of the table is an abbreviation and not a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use {
    Always,
    Capitals,
    AfterNumeral,
    BeforeNumeral,
    Dotted,
}

/// How it is written (small letters, without the last full stop), how it is spoken.
pub struct Abbreviation {
    pub written: &'static str,
    pub spoken: &'static str,
    pub used: Use,
    /// Its full stop can also be the end of a sentence, when a capital follows.
    pub may_end: bool,
}

/// Closing marks that may stand behind the end of a sentence.
const CLOSERS: &[char] = &['"', '\'', '”', '’', '»', ')', ']', '*', '_'];
/// Opening marks that may stand before its beginning.
const OPENERS: &[char] = &['"', '\'', '“', '‘', '«', '(', '[', '¿', '¡', '*', '_'];
/// Signs that are spoken and so belong to the word or number they stand at.
const SIGNS: &[char] = &['%', '£', '$', '€', '°', '&', '+', '=', '×', '<', '>'];
/// Spaces that do not part the digits of one number.
const THIN: &[char] = &['\u{a0}', '\u{202f}', '\u{2009}'];

/// The sentences of a text in the order they stand; each has a word.
pub fn sentences<'t>(marks: &Marks, text: &'t str) -> Vec<&'t str> {
    let mut found = Vec::new();
    for piece in pieces(text) {
        let raw = tokens(piece);
        let plain: Vec<String> = raw.iter().map(|token| written(token)).collect();
        let mut start = 0;
        for at in 0..raw.len() {
            if at + 1 == raw.len() || ends(marks, &plain, start, at) {
                let has_a_word = raw[start..=at].iter().any(|token| core(token).is_some());
                if has_a_word {
                    let (first, last) = (offset(piece, raw[start]), raw[at]);
                    found.push(&piece[first..offset(piece, last) + last.len()]);
                }
                start = at + 1;
            }
        }
    }
    found
}

/// The words of a text without the punctuation around them; a number with its groups, or with its sign, is one.
pub fn words(text: &str) -> Vec<&str> {
    tokens(text).into_iter().filter_map(core).collect()
}

/// A token without the punctuation at its edges; none where it is nothing else.
pub fn core(token: &str) -> Option<&str> {
    let core = token.trim_matches(|c: char| !(c.is_alphanumeric() || SIGNS.contains(&c)));
    (!core.is_empty()).then_some(core)
}

/// As it is looked up: without marks for breaking it, with straight apostrophes.
pub fn written(token: &str) -> String {
    token
        .chars()
        .filter(|c| !matches!(c, '\u{ad}' | '\u{200b}' | '\u{2060}' | '\u{feff}'))
        .filter(|c| !c.is_whitespace())
        .map(|c| match c {
            '’' | 'ʼ' | '`' => '\'',
            other => other,
        })
        .collect()
}

/// Where a part of a text begins in it.
fn offset(text: &str, part: &str) -> usize {
    part.as_ptr() as usize - text.as_ptr() as usize
}

/// Lines that belong together: a blank line, a colon at the end of a line and a bullet begin a new piece.
fn pieces(text: &str) -> Vec<&str> {
    let mut out: Vec<(usize, usize)> = Vec::new();
    let mut fresh = true;
    for line in text.lines() {
        let line = line.trim();
        let from = offset(text, line);
        let bullets = ["- ", "* ", "• ", "– "];
        let bullet = bullets.iter().any(|mark| line.starts_with(mark));
        if line.is_empty() {
            fresh = true;
            continue;
        }
        match out.last_mut() {
            Some(last) if !fresh && !bullet => last.1 = from + line.len(),
            _ => out.push((from, from + line.len())),
        }
        fresh = line.ends_with(':');
    }
    out.into_iter().map(|(from, to)| &text[from..to]).collect()
}

/// What stands between spaces; a space inside a number ("10 000", "5 %") is none, a long dash and a slash between words are.
pub fn tokens(piece: &str) -> Vec<&str> {
    let letters: Vec<(usize, char)> = piece.char_indices().collect();
    let at = |index: usize| letters.get(index).map(|(_, c)| *c);
    let digit = |index: usize| at(index).is_some_and(|c| c.is_ascii_digit());
    let alphabetic = |index: usize| at(index).is_some_and(char::is_alphabetic);
    let mut out = Vec::new();
    let mut start = 0;
    for (index, (byte, letter)) in letters.iter().enumerate() {
        // asked of spaces and signs alone: most of a text is letters
        let inside = || {
            let group = || (1..=3).all(|step| digit(index + step)) && !digit(index + 4);
            index > 0
                && digit(index - 1)
                && (THIN.contains(letter) && group() || at(index + 1) == Some('%'))
        };
        let between = || index > 0 && alphabetic(index - 1) && alphabetic(index + 1);
        let parts = match letter {
            '—' => true,
            '–' | '/' => between(),
            other => other.is_whitespace() && !inside(),
        };
        if parts {
            out.push(&piece[start..*byte]);
            start = byte + letter.len_utf8();
        }
    }
    out.push(&piece[start..]);
    out.retain(|token| !token.is_empty());
    out
}

/// Whether a sentence that began at `start` ends with the token at `at`, which is not the last.
fn ends(marks: &Marks, tokens: &[String], start: usize, at: usize) -> bool {
    let token = tokens[at].trim_end_matches(CLOSERS);
    let next = tokens[at + 1].trim_start_matches(OPENERS);
    let first = next.chars().next();
    let small_next = first.is_some_and(char::is_lowercase);
    match token.chars().last() {
        // “Stop!” he said
        Some('!' | '?') => !(small_next && token.len() < tokens[at].len()),
        Some('…') => !small_next,
        Some('.') if token.ends_with("..") => !small_next,
        Some('.') => full_stop_ends(marks, tokens, start, at, token, next),
        _ => false,
    }
}

fn full_stop_ends(
    marks: &Marks,
    tokens: &[String],
    start: usize,
    at: usize,
    token: &str,
    next: &str,
) -> bool {
    let core = token.trim_end_matches('.').trim_start_matches(OPENERS);
    let mut letters = core.chars();
    let only = letters.next().filter(|_| letters.next().is_none());
    if let Some(letter) = only
        && letter.is_uppercase()
        && letter != 'I'
    {
        // "J. Smith", but "type A. It"
        let before = (at > start).then(|| tokens[at - 1].to_lowercase());
        return before.is_some_and(|before| marks.before_a_letter.contains(&before.as_str()));
    }
    // "1. First" numbers a list
    if at == start && !core.is_empty() && core.chars().all(|c| c.is_ascii_digit()) {
        return false;
    }
    let Some(entry) = marks
        .abbreviations
        .iter()
        .find(|a| a.written == core.to_lowercase())
    else {
        return true;
    };
    let before = at.checked_sub(1).and_then(|at| tokens.get(at));
    let is_one = match entry.used {
        Use::Always | Use::Dotted => true,
        Use::Capitals => core.chars().all(char::is_uppercase),
        Use::AfterNumeral => before.is_some_and(|t| t.ends_with(|c: char| c.is_ascii_digit())),
        Use::BeforeNumeral => tokens[at + 1].starts_with(|c: char| c.is_ascii_digit()),
    };
    let first = next.chars().next();
    let capital = first.is_some_and(|c| c.is_uppercase() || c.is_ascii_digit());
    !is_one || entry.may_end && capital
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_are_stretches_of_the_text() {
        assert_eq!(
            sentences(
                &PLAIN,
                "Call us. Say: “I had it.” Ask A. Example about 2.5 mm."
            ),
            [
                "Call us.",
                "Say: “I had it.”",
                "Ask A. Example about 2.5 mm."
            ]
        );
        assert_eq!(
            sentences(&PLAIN, "¿Duele? No. ¡Llame!"),
            ["¿Duele?", "No.", "¡Llame!"]
        );
        assert_eq!(
            sentences(&PLAIN, "one\ntwo\n\nthree. – "),
            ["one\ntwo", "three."]
        );
    }

    #[test]
    fn a_number_with_its_groups_or_its_sign_is_one_word() {
        assert_eq!(
            words("“10\u{202f}000 people”, 5 %, off-label and/or 2.5 — it’s."),
            [
                "10\u{202f}000",
                "people",
                "5 %",
                "off-label",
                "and",
                "or",
                "2.5",
                "it’s"
            ]
        );
    }
}
