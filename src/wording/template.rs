//! Turns a statement into the blanks it uses, or into the place where it is more than blanks and conditions.
//! Invariant: what passes has no loop, no call but `plural`, no filter, no arithmetic but subtraction, and names no other
//! template; filling it always ends and reaches nothing but its values.
//! Must not: fill anything in, or know which blanks a statement may use.

use std::collections::BTreeSet;
use std::ops::Range;

use minijinja::Environment;

/// Words that may open a `{% … %}`.
const TAGS: [&str; 4] = ["if", "elif", "else", "endif"];

/// Something in a statement that is not used in wording.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TemplateFault {
    /// Bytes of the statement.
    pub range: Range<usize>,
    /// One sentence.
    pub problem: &'static str,
}

/// What a statement is made of besides words.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Blanks {
    /// `w.onset`, `side`, `term.painkiller`; conditions count too.
    pub names: BTreeSet<String>,
    /// It calls `plural`.
    pub plural: bool,
}

impl Blanks {
    /// Where a blank is first named in the statement's text; the start when it cannot be found.
    pub fn place(text: &str, name: &str) -> Range<usize> {
        pieces(text)
            .iter()
            .filter(|piece| piece.kind != Kind::Words)
            .find_map(|piece| {
                let inside = &text[piece.range.clone()];
                let at = inside.find(name)?;
                let start = piece.range.start + at;
                Some(start..start + name.len())
            })
            .unwrap_or(0..0)
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Words,
    /// `{{ … }}`
    Blank,
    /// `{% … %}`
    Condition,
    /// `{# … #}`, or a brace that is never closed.
    Other,
}

struct Piece {
    kind: Kind,
    range: Range<usize>,
}

/// The text cut at its braces. Quotation marks inside braces keep what they hold together.
fn pieces(text: &str) -> Vec<Piece> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let rest = &text[at..];
        let next = ["{{", "{%", "{#"]
            .iter()
            .filter_map(|open| rest.find(open))
            .min()
            .unwrap_or(rest.len());
        if next > 0 {
            found.push(Piece {
                kind: Kind::Words,
                range: at..at + next,
            });
            at += next;
            continue;
        }
        let (kind, close) = match &rest[..2] {
            "{{" => (Kind::Blank, "}}"),
            "{%" => (Kind::Condition, "%}"),
            _ => (Kind::Other, "#}"),
        };
        let mut quote = None;
        let mut end = None;
        for (offset, c) in rest.char_indices().skip(2) {
            match quote {
                Some(open) if c == open => quote = None,
                Some(_) => {}
                None if c == '"' || c == '\'' => quote = Some(c),
                None if rest[offset..].starts_with(close) => {
                    end = Some(offset + 2);
                    break;
                }
                None => {}
            }
        }
        found.push(Piece {
            kind: if end.is_some() { kind } else { Kind::Other },
            range: at..at + end.unwrap_or(2),
        });
        at += end.unwrap_or(2);
    }
    found
}

/// The text with every blank and condition replaced by as many `x` as it has bytes: Markdown with every place kept.
pub fn masked(text: &str) -> String {
    pieces(text)
        .iter()
        .map(|piece| match piece.kind {
            Kind::Words => text[piece.range.clone()].to_owned(),
            _ => "x".repeat(piece.range.len()),
        })
        .collect()
}

/// The blanks of a statement.
///
/// # Errors
/// The first thing that is not used in wording.
pub fn examine(text: &str) -> Result<Blanks, TemplateFault> {
    let mut blanks = Blanks::default();
    for piece in pieces(text) {
        let fault = |problem| TemplateFault {
            range: piece.range.clone(),
            problem,
        };
        let inside = match piece.kind {
            Kind::Words => continue,
            Kind::Other => return Err(fault("This opening brace has no end that is used here.")),
            Kind::Blank | Kind::Condition => &text[piece.range.start + 2..piece.range.end - 2],
        };
        if piece.kind == Kind::Condition {
            let first = inside.split_whitespace().next().unwrap_or_default();
            if !TAGS.contains(&first) {
                return Err(fault(
                    "Between {% and %} only if, elif, else and endif are used.",
                ));
            }
        }
        if !is_plain(inside, &mut blanks) {
            return Err(fault(
                "Between braces only names, comparisons and plural(…) are used.",
            ));
        }
    }
    let mut environment = Environment::new();
    if let Err(error) = environment.add_template("statement", text) {
        let range = error.range().unwrap_or(0..0);
        let range = range.start.min(text.len())..range.end.min(text.len());
        return Err(TemplateFault {
            range,
            problem: "The conditions of this statement do not fit together.",
        });
    }
    let template = environment
        .get_template("statement")
        .expect("it was added a moment ago");
    blanks.names = template.undeclared_variables(true).into_iter().collect();
    blanks.names.remove("plural");
    Ok(blanks)
}

/// Names, texts in quotation marks, numbers, comparisons, `and`, `or`, `not`, `is defined`, subtraction, and `plural(…)`.
fn is_plain(expression: &str, blanks: &mut Blanks) -> bool {
    let mut rest = expression;
    let mut last_word = "";
    while let Some(c) = rest.chars().next() {
        if c == '"' || c == '\'' {
            let Some(end) = rest[1..].find(c) else {
                return false;
            };
            // a backslash could open an escape, and braces another template
            if rest[1..=end].contains(['\\', '{', '}', '%']) {
                return false;
            }
            rest = &rest[end + 2..];
            last_word = "";
        } else if c.is_alphabetic() || c == '_' {
            let end = rest
                .find(|c: char| !(c.is_alphanumeric() || c == '_' || c == '.'))
                .unwrap_or(rest.len());
            last_word = &rest[..end];
            if last_word.contains("__") || last_word == "in" {
                return false;
            }
            rest = &rest[end..];
        } else if c.is_ascii_digit() {
            rest = rest.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
            last_word = "";
        } else if c == '(' {
            if last_word == "plural" {
                blanks.plural = true;
            } else if !["", "if", "elif", "and", "or", "not"].contains(&last_word) {
                return false;
            }
            rest = &rest[1..];
            last_word = "";
        } else if c.is_whitespace() || "=!<>),-".contains(c) {
            rest = &rest[c.len_utf8()..];
            if !c.is_whitespace() {
                last_word = "";
            }
        } else {
            return false;
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wording::library;

    #[test]
    fn every_statement_of_the_release_is_plain() {
        let mut seen = 0;
        for (tag, ..) in library::files() {
            for (id, text) in library::statements(tag).expect("the release reads") {
                let blanks = examine(&text);
                assert!(blanks.is_ok(), "{tag} {id}: {blanks:?}");
                seen += 1;
            }
        }
        assert!(seen > 300, "{seen}");
    }

    #[test]
    fn blanks_are_named_with_their_parts() {
        let blanks = examine(
            "After {{ w.onset }}{% if side == \"left\" %} on {{ area }}{% endif %}, {{ plural(n, one=\"a\", other=\"b\") }}.",
        )
        .expect("plain");
        let names: Vec<&str> = blanks.names.iter().map(String::as_str).collect();
        assert_eq!(names, ["area", "n", "side", "w.onset"]);
        assert!(blanks.plural);
        assert!(!examine("{{ area }}").expect("plain").plural);
    }

    #[test]
    fn what_is_more_than_a_blank_is_refused() {
        for text in [
            "{{ 7*7 }}",
            "{{ \"x\" * 1000000000 }}",
            "{% include \"paper.draft\" %}",
            "{% for i in range(1000000000) %}x{% endfor %}",
            "{% set x = 1 %}",
            "{% macro m() %}{% endmacro %}",
            "{{ range(9) }}",
            "{{ area|upper }}",
            "{{ area.upper() }}",
            "{{ [1] }}",
            "{{ area ~ side }}",
            "{{ __class__ }}",
            "{{ debug() }}",
            "{# hidden #}",
            "{{ area",
            "{% if side %}never closed",
            "{% endif %}",
            "{{ self.x() }}",
            "{{ \"{{ x }}\" }}",
            "{%- if side %}x{% endif %}",
        ] {
            assert!(examine(text).is_err(), "{text}");
        }
    }

    #[test]
    fn masks_keep_every_place() {
        let text = "**Ä {{ w.onset }}** {% if x == \"%}\" %}y{% endif %} *z*";
        let masked = masked(text);
        assert_eq!(masked.len(), text.len());
        assert_eq!(masked.find("*z*"), text.find("*z*"));
        assert!(!masked.contains('{'));
    }
}
