//! Turns a statement's template into its parts: words, blanks and conditions, and what stands inside the braces.
//! Invariant: the only scanner of templates; the parts laid end to end are the text, byte for byte.
//! Must not: refuse anything, fill anything in, or know which names a statement may use.

use std::ops::Range;

/// What a part of a statement is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartKind {
    Words,
    /// `{{ … }}`
    Blank,
    /// `{% … %}`
    Condition,
    /// `{# … #}`, or a brace that is never closed.
    Other,
}

/// A part of a statement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part<'t> {
    pub kind: PartKind,
    /// With its braces.
    pub text: &'t str,
    /// Bytes before it in the statement.
    start: usize,
}

/// A sign or a word inside braces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Token<'t> {
    /// `side`, `w.onset`; also words of the template language, such as `if`.
    Name(&'t str),
    /// What stands between quotation marks.
    Text(&'t str),
    Number(&'t str),
    /// Anything else, a quotation mark that is never closed too.
    Sign(char),
}

/// Words of the template language, which name no value.
const RESERVED: [&str; 16] = [
    "if", "elif", "else", "endif", "and", "or", "not", "is", "in", "defined", "plural", "true",
    "false", "none", "True", "False",
];

/// The text cut at its braces. Quotation marks inside braces keep what they hold together.
pub fn parts(text: &str) -> Vec<Part<'_>> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let rest = &text[at..];
        let next = ["{{", "{%", "{#"]
            .iter()
            .filter_map(|open| rest.find(open))
            .min()
            .unwrap_or(rest.len());
        let (kind, length) = match next {
            0 => braces(rest),
            words => (PartKind::Words, words),
        };
        found.push(Part {
            kind,
            text: &rest[..length],
            start: at,
        });
        at += length;
    }
    found
}

/// Kind and length of what begins with these braces.
fn braces(rest: &str) -> (PartKind, usize) {
    let (kind, close) = match &rest[..2] {
        "{{" => (PartKind::Blank, "}}"),
        "{%" => (PartKind::Condition, "%}"),
        _ => (PartKind::Other, "#}"),
    };
    let mut quote = None;
    for (offset, c) in rest.char_indices().skip(2) {
        match quote {
            Some(open) if c == open => quote = None,
            Some(_) => {}
            None if c == '"' || c == '\'' => quote = Some(c),
            None if rest[offset..].starts_with(close) => return (kind, offset + 2),
            None => {}
        }
    }
    (PartKind::Other, 2)
}

impl<'t> Part<'t> {
    /// Bytes of the statement.
    pub fn range(&self) -> Range<usize> {
        self.start..self.start + self.text.len()
    }

    /// What stands between the braces of a blank or a condition, without the room around it; nothing for any other part.
    pub fn inside(&self) -> &'t str {
        match self.kind {
            PartKind::Blank | PartKind::Condition => self.text[2..self.text.len() - 2].trim(),
            PartKind::Words | PartKind::Other => "",
        }
    }

    /// The tokens of a blank or a condition with their bytes in the statement; none for any other part.
    pub fn tokens(&self) -> Vec<(Token<'t>, Range<usize>)> {
        let inside = self.inside();
        let base = self.start + self.text.find(inside).unwrap_or_default();
        let mut found = Vec::new();
        let mut rest = inside;
        while let Some(c) = rest.chars().next() {
            let (token, length) = token(rest, c);
            let start = base + (inside.len() - rest.len());
            found.extend(token.map(|token| (token, start..start + length)));
            rest = &rest[length..];
        }
        found
    }

    /// The names of values in a blank or a condition, in the order they stand there.
    pub fn names(&self) -> impl Iterator<Item = &'t str> {
        let tokens = self.tokens();
        let sign = |at: usize| match tokens.get(at) {
            Some((Token::Sign(sign), _)) => Some(*sign),
            _ => None,
        };
        let names: Vec<&str> = tokens
            .iter()
            .enumerate()
            .filter_map(|(at, (token, _))| match token {
                Token::Name(name) if !RESERVED.contains(name) => {
                    // `one="vial"` names an argument, `side == "left"` a value
                    let is_argument = sign(at + 1) == Some('=') && sign(at + 2) != Some('=');
                    (!is_argument).then_some(*name)
                }
                _ => None,
            })
            .collect();
        names.into_iter()
    }

    /// The text given for an argument of `plural`.
    pub fn argument(&self, wanted: &str) -> Option<&'t str> {
        self.tokens().windows(3).find_map(|three| match three {
            [
                (Token::Name(name), _),
                (Token::Sign('='), _),
                (Token::Text(text), _),
            ] if *name == wanted => Some(*text),
            _ => None,
        })
    }
}

/// The token that begins with `c`, and its length in bytes; white space is none.
fn token(rest: &str, c: char) -> (Option<Token<'_>>, usize) {
    let until = |ends: fn(char) -> bool| rest.find(ends).unwrap_or(rest.len());
    if c.is_whitespace() {
        return (None, c.len_utf8());
    }
    if c == '"' || c == '\'' {
        return match rest[1..].find(c) {
            Some(end) => (Some(Token::Text(&rest[1..=end])), end + 2),
            None => (Some(Token::Sign(c)), 1),
        };
    }
    if c.is_alphabetic() || c == '_' {
        let end = until(|c| !(c.is_alphanumeric() || c == '_' || c == '.'));
        return (Some(Token::Name(&rest[..end])), end);
    }
    if c.is_ascii_digit() {
        let end = until(|c| !(c.is_ascii_digit() || c == '.'));
        return (Some(Token::Number(&rest[..end])), end);
    }
    (Some(Token::Sign(c)), c.len_utf8())
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "Ä {{ w.onset }}, {% if side == \"}}\" %}x{%endif%}{{ plural(n, one=\"a\", other='b') }} {{ open";

    #[test]
    fn the_parts_are_the_text() {
        let all = parts(TEXT);
        let joined: String = all.iter().map(|part| part.text).collect();
        assert_eq!(joined, TEXT);
        for part in &all {
            assert_eq!(&TEXT[part.range()], part.text);
            for (token, range) in part.tokens() {
                let (Token::Name(text) | Token::Number(text)) = token else {
                    continue;
                };
                assert_eq!(&TEXT[range], text);
            }
        }
        let kinds: Vec<PartKind> = all.iter().map(|part| part.kind).collect();
        use PartKind::{Blank, Condition, Other, Words};
        assert_eq!(
            kinds,
            [
                Words, Blank, Words, Condition, Words, Condition, Blank, Words, Other, Words
            ]
        );
    }

    #[test]
    fn arguments_and_words_of_the_language_are_no_names() {
        let all = parts(TEXT);
        let names: Vec<&str> = all.iter().flat_map(Part::names).collect();
        assert_eq!(names, ["w.onset", "side", "n"]);
        assert_eq!(all[6].argument("other"), Some("b"));
        assert_eq!(all[6].argument("few"), None);
    }
}
