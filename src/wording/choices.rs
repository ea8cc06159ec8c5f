//! Turns a statement into its words with every choice in view: what is printed only sometimes in curly brackets, blanks filled.
//! Invariant: every word of the statement's text is in the result, whatever its conditions ask for.
//! Must not: decide a condition, or know what fills a blank.

use super::scan::{Part, PartKind, Token, parts};
use super::{Piece, rich};

/// Where a run of parts ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum End {
    Statement,
    /// `elif` or `else`: another choice follows.
    Choice,
    Close,
}

/// The words of a statement with its choices: `{one | other}`, `{only sometimes}`. `value` says what stands for a blank, as
/// plain text.
pub fn with_choices(statement: &str, value: impl Fn(&str) -> String) -> Vec<Piece> {
    let parts = parts(statement);
    let mut at = 0;
    let mut markdown = String::new();
    // what no `if` opened closes nothing: the words after it are read on
    while at < parts.len() {
        let (words, _) = sequence(&parts, &mut at, &value);
        markdown.push_str(&words);
    }
    rich::parse(&markdown).unwrap_or_else(|_| {
        // brackets can come between a list and its words; then the words stand without their form
        vec![Piece::Para {
            text: rich::plain(markdown),
        }]
    })
}

fn sequence(parts: &[Part<'_>], at: &mut usize, value: &impl Fn(&str) -> String) -> (String, End) {
    let mut words = String::new();
    while let Some(part) = parts.get(*at) {
        *at += 1;
        match part.kind {
            PartKind::Words | PartKind::Other => words.push_str(part.text),
            PartKind::Blank => words.push_str(&rich::escape(&filled(part, value))),
            PartKind::Condition => match part.inside().split_whitespace().next() {
                Some("if") => words.push_str(&choices(parts, at, value)),
                Some("elif" | "else") => return (words, End::Choice),
                _ => return (words, End::Close),
            },
        }
    }
    (words, End::Statement)
}

/// Everything up to the end of an `if`, in one pair of brackets.
fn choices(parts: &[Part<'_>], at: &mut usize, value: &impl Fn(&str) -> String) -> String {
    let mut all = Vec::new();
    loop {
        let (words, end) = sequence(parts, at, value);
        all.push(words);
        if end != End::Choice {
            break;
        }
    }
    // the room between words belongs outside the brackets
    let room = |is: bool| if is { " " } else { "" };
    let before = room(all.iter().any(|words| words.starts_with(' ')));
    let after = room(all.iter().any(|words| words.ends_with(' ')));
    let shown: Vec<&str> = all
        .iter()
        .map(|words| words.trim())
        .filter(|words| !words.is_empty())
        .collect();
    match shown.as_slice() {
        [] => before.to_owned(),
        // brackets within brackets would say nothing more
        [only] if is_one_choice(only) => format!("{before}{only}{after}"),
        shown => format!("{before}{{{}}}{after}", shown.join(" | ")),
    }
}

/// Whether a text is a pair of brackets with what stands in them, and nothing else.
fn is_one_choice(text: &str) -> bool {
    let mut depth = 0_usize;
    let closes = text.char_indices().find_map(|(at, c)| {
        match c {
            '{' => depth += 1,
            '}' => depth = depth.saturating_sub(1),
            _ => {}
        }
        (depth == 0).then_some(at + 1)
    });
    text.starts_with('{') && closes == Some(text.len())
}

/// What stands for a blank: its value, the forms of a plural, or a number that is written out.
fn filled(part: &Part<'_>, value: &impl Fn(&str) -> String) -> String {
    let tokens = part.tokens();
    if tokens
        .iter()
        .any(|(token, _)| *token == Token::Name("plural"))
    {
        let forms = tokens.iter().filter_map(|(token, _)| match token {
            Token::Text(form) => Some(*form),
            _ => None,
        });
        return forms.collect::<Vec<_>>().join("/");
    }
    match part.names().next() {
        Some(name) => value(name),
        None => part.inside().to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wording::library;

    fn shown(statement: &str) -> String {
        rich::text_of_pieces(&with_choices(statement, |name| format!("[{name}]")))
    }

    #[test]
    fn every_choice_is_in_view() {
        for (statement, expected) in [
            ("Plain.", "Plain."),
            (
                "{% if about %}about {% endif %}{{ low }} {{ plural(low, one=\"day\", other=\"days\") }}",
                "{about} [low] day/days",
            ),
            ("It lasts{% if w %} long{% endif %}.", "It lasts {long}."),
            (
                "{% if a == 1 %}one{% elif a == 2 %}two{% else %}three{% if b %} or {{ b }}{% endif %}{% endif %} end",
                "{one | two | three {or [b]}} end",
            ),
            (
                "{% if a %}{% if b %}one{% else %}two{% endif %}{% endif %}, {% if a %}{% if b %}x{% endif %}{% if c %}y{% endif %}{% endif %}",
                "{one | two}, {{x}{y}}",
            ),
            ("**Bold.** {{ 14 }} days", "Bold. 14 days"),
            ("{{ name }} *", "[name] *"),
        ] {
            assert_eq!(shown(statement), expected, "{statement}");
        }
    }

    #[test]
    fn no_word_of_the_release_is_lost() {
        let squeezed = |text: &str| -> String {
            let kept = text.chars().filter(|c| c.is_alphanumeric());
            kept.collect()
        };
        for (tag, ..) in library::files() {
            for (id, text) in library::statements(tag).expect("the release reads") {
                let shown = squeezed(&shown(&text));
                for part in parts(&text).iter().filter(|p| p.kind == PartKind::Words) {
                    let words = squeezed(part.text);
                    assert!(shown.contains(&words), "{tag} {id}: {words}");
                }
            }
        }
    }
}
