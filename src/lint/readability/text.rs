//! Turns plain text into sentences of words, each with its syllables.
//!
//! Invariant: a paragraph, a list item and a line after a colon each end a sentence, even without a full stop; a decimal
//! point, an abbreviation and an initial do not. Where it cannot be told, the sentence goes on: the figure gets worse, never
//! better.
//!
//! Must not: read Markdown or templates (plain text comes in), or drop a word.

use super::language::Rules;
use super::spoken::{self, Around};

/// One word as it was written, in small letters and without the punctuation around it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Word {
    pub text: String,
    pub syllables: usize,
}

/// The sentences of a text; none is empty.
pub fn sentences(rules: &Rules, text: &str) -> Vec<Vec<Word>> {
    let mut out = Vec::new();
    for piece in pieces(text) {
        let tokens = tokens(&piece);
        let mut start = 0;
        for at in 0..tokens.len() {
            if at + 1 == tokens.len() || ends(rules, &tokens, start, at) {
                let sentence = words(rules, &tokens[start..=at]);
                if !sentence.is_empty() {
                    out.push(sentence);
                }
                start = at + 1;
            }
        }
    }
    out
}

/// Lines of their own: behind a blank line, behind a colon at the end of a line, at a bullet.
fn pieces(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut fresh = true;
    for line in text.lines() {
        let line = line.trim();
        let bullet = ["- ", "* ", "• ", "– "]
            .iter()
            .any(|mark| line.starts_with(mark));
        if line.is_empty() {
            fresh = true;
            continue;
        }
        match out.last_mut() {
            Some(last) if !fresh && !bullet => {
                last.push(' ');
                last.push_str(line);
            }
            _ => out.push(line.to_owned()),
        }
        fresh = line.ends_with(':');
    }
    out
}

/// What stands between spaces; a space inside a number ("10 000", "5 %") is none, a long dash and a slash between words are.
fn tokens(piece: &str) -> Vec<String> {
    let letters: Vec<char> = piece
        .chars()
        .filter(|c| !matches!(c, '\u{ad}' | '\u{200b}' | '\u{2060}' | '\u{feff}'))
        .collect();
    let mut joined = String::with_capacity(piece.len());
    for (at, letter) in letters.iter().enumerate() {
        let digit = |at: usize| letters.get(at).is_some_and(char::is_ascii_digit);
        let thin = matches!(letter, '\u{a0}' | '\u{202f}' | '\u{2009}');
        let after_digit = at > 0 && digit(at - 1);
        let group = digit(at + 1) && digit(at + 2) && digit(at + 3) && !digit(at + 4);
        if after_digit && thin && group
            || after_digit && letter.is_whitespace() && letters.get(at + 1) == Some(&'%')
        {
            continue;
        }
        let by_letters = at > 0
            && letters[at - 1].is_alphabetic()
            && letters.get(at + 1).is_some_and(|c| c.is_alphabetic());
        match letter {
            '—' => joined.push_str(" — "),
            '–' | '/' if by_letters => joined.push(' '),
            '’' | 'ʼ' | '`' => joined.push('\''),
            other => joined.push(*other),
        }
    }
    joined.split_whitespace().map(str::to_owned).collect()
}

/// Closing marks that may stand behind the end of a sentence.
const CLOSERS: &[char] = &['"', '\'', '”', '’', '»', ')', ']', '*', '_'];
/// Opening marks that may stand before its beginning.
const OPENERS: &[char] = &['"', '\'', '“', '‘', '«', '(', '[', '¿', '¡', '*', '_'];

/// Whether a sentence that began at `start` ends with the token at `at`, which is not the last.
fn ends(rules: &Rules, tokens: &[String], start: usize, at: usize) -> bool {
    let token = tokens[at].trim_end_matches(CLOSERS);
    let next = tokens[at + 1].trim_start_matches(OPENERS);
    let first = next.chars().next();
    let small_next = first.is_some_and(char::is_lowercase);
    match token.chars().last() {
        // “Stop!” he said
        Some('!' | '?') => !(small_next && token.len() < tokens[at].len()),
        Some('…') => !small_next,
        Some('.') if token.ends_with("..") => !small_next,
        Some('.') => full_stop_ends(rules, tokens, start, at, token, next),
        _ => false,
    }
}

fn full_stop_ends(
    rules: &Rules,
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
        return before.is_some_and(|before| rules.before_a_letter.contains(&before.as_str()));
    }
    // "1. First" numbers a list
    if at == start && !core.is_empty() && core.chars().all(|c| c.is_ascii_digit()) {
        return false;
    }
    let Some(entry) = rules
        .abbreviations
        .iter()
        .find(|a| a.written == core.to_lowercase())
    else {
        return true;
    };
    let around = around(rules, tokens, at);
    use super::language::Use;
    let is_one = match entry.used {
        Use::Always | Use::Dotted => true,
        Use::Capitals => core.chars().all(char::is_uppercase),
        Use::AfterNumeral => around.after_numeral,
        Use::BeforeNumeral => around.before_numeral,
    };
    let capital = next
        .chars()
        .next()
        .is_some_and(|c| c.is_uppercase() || c.is_ascii_digit());
    !is_one || entry.may_end && capital
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

fn words(rules: &Rules, tokens: &[String]) -> Vec<Word> {
    let mut out = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        // signs that are spoken belong to the number; a full stop tells an abbreviation from a word
        let spoken =
            |c: char| c.is_alphanumeric() || rules.signs.iter().any(|(sign, _)| *sign == c);
        let core = token.trim_matches(|c| !spoken(c));
        if core.is_empty() {
            continue;
        }
        let stop = token[token.find(core).expect("cut out of it") + core.len()..].starts_with('.');
        let dotted = if stop {
            format!("{core}.")
        } else {
            core.to_owned()
        };
        out.push(Word {
            syllables: spoken::syllables(rules, &dotted, around(rules, tokens, at)),
            text: core.to_lowercase(),
        });
    }
    out
}
