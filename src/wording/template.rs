//! Turns a statement into the blanks it uses, or into the place where it is more than blanks and conditions.
//! Invariant: what passes has no loop, no call but `plural`, no filter, no arithmetic but subtraction, and names no other
//! template; filling it always ends and reaches nothing but its values.
//! Must not: fill anything in, or know which blanks a statement may use.

use std::collections::BTreeSet;
use std::ops::Range;

use minijinja::Environment;

use super::scan::{Part, PartKind, Token, parts};
use crate::domain::term_of;

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
        parts(text)
            .iter()
            .flat_map(Part::tokens)
            .find(|(token, _)| *token == Token::Name(name))
            .map_or(0..0, |(_, range)| range)
    }
}

/// The statements that a statement takes in by name: terms of the country, and the one phrase that sentences use.
pub fn taken_in(text: &str) -> BTreeSet<String> {
    parts(text)
        .iter()
        .flat_map(Part::names)
        .filter_map(|name| match name {
            "sounds" => Some("phrase.sounds".to_owned()),
            name => term_of(name).map(|_| name.to_owned()),
        })
        .collect()
}

/// The text with every blank and condition replaced by as many `x` as it has bytes: Markdown with every place kept.
pub fn masked(text: &str) -> String {
    parts(text)
        .iter()
        .map(|part| match part.kind {
            PartKind::Words => part.text.to_owned(),
            _ => "x".repeat(part.text.len()),
        })
        .collect()
}

/// The blanks of a statement.
///
/// # Errors
/// The first thing that is not used in wording.
pub fn examine(text: &str) -> Result<Blanks, TemplateFault> {
    let mut blanks = Blanks::default();
    for part in parts(text) {
        let fault = |problem| TemplateFault {
            range: part.range(),
            problem,
        };
        match part.kind {
            PartKind::Words => continue,
            PartKind::Other => {
                return Err(fault("This opening brace has no end that is used here."));
            }
            PartKind::Condition => {
                let first = part.inside().split_whitespace().next().unwrap_or_default();
                if !TAGS.contains(&first) {
                    return Err(fault(
                        "Between {% and %} only if, elif, else and endif are used.",
                    ));
                }
            }
            PartKind::Blank => {}
        }
        if !is_plain(&part, &mut blanks) {
            return Err(fault(
                "Between braces only names, comparisons and plural(…) are used.",
            ));
        }
        blanks.names.extend(part.names().map(str::to_owned));
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
    Ok(blanks)
}

/// Names, texts in quotation marks, numbers, comparisons, `and`, `or`, `not`, `is defined`, subtraction, and `plural(…)`.
fn is_plain(part: &Part<'_>, blanks: &mut Blanks) -> bool {
    let mut last_word = "";
    for (token, _) in part.tokens() {
        let is_used = match token {
            // a backslash could open an escape, and braces another template
            Token::Text(text) => !text.contains(['\\', '{', '}', '%']),
            Token::Name(name) => !name.contains("__") && name != "in",
            Token::Number(_) => true,
            Token::Sign('(') if last_word == "plural" => {
                blanks.plural = true;
                true
            }
            Token::Sign('(') => ["", "if", "elif", "and", "or", "not"].contains(&last_word),
            Token::Sign(sign) => "=!<>),-".contains(sign),
        };
        if !is_used {
            return false;
        }
        last_word = match token {
            Token::Name(name) => name,
            _ => "",
        };
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
    fn the_names_are_those_that_the_template_engine_asks_for() {
        for (tag, ..) in library::files() {
            for (id, text) in library::statements(tag).expect("the release reads") {
                let environment = Environment::new();
                let template = environment.template_from_str(&text).expect("it reads");
                let mut asked: BTreeSet<String> =
                    template.undeclared_variables(true).into_iter().collect();
                asked.remove("plural");
                let found = examine(&text).expect("plain").names;
                assert_eq!(found, asked, "{tag} {id}");
            }
        }
    }

    #[test]
    fn words_that_only_look_like_a_term_take_nothing_in() {
        let taken = taken_in(
            "In the long term.cold {{ term.painkiller }}{% if term.a_b %}, {{sounds}}{% endif %} \"term.x\"",
        );
        let taken: Vec<&str> = taken.iter().map(String::as_str).collect();
        assert_eq!(taken, ["phrase.sounds", "term.a_b", "term.painkiller"]);
    }

    #[test]
    fn a_blank_is_found_by_its_whole_name() {
        let text = "The area {{ areas }}, {{ area }}";
        assert_eq!(Blanks::place(text, "area"), 25..29);
        assert_eq!(Blanks::place(text, "side"), 0..0);
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
