//! Turns the words of a document into what the templates must look for in them: each look at every letter costs time.
//! Invariant: whatever a template would find is said here to be there; it may be said of words that have none.
//! Must not: change a word.

use serde::Serialize;
use serde_json::Value;

/// What has to be looked for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub(super) struct Needs {
    /// Characters that the first family draws over the next letter.
    accents: bool,
    /// Scripts that are written from right to left.
    turned: bool,
    /// Words that could be too long for a line.
    breaks: bool,
}

/// A word with fewer letters finds room on a line, with what a template puts around it.
const LONG: usize = 18;

/// What no reader sees.
pub(super) const UNSEEN: [&str; 4] = ["record", "sha256", "file", "outline"];

impl Needs {
    /// What the texts of this data need.
    pub(super) fn of(data: &Value) -> Needs {
        let mut needs = Needs::default();
        needs.look(data);
        needs
    }

    fn look(&mut self, data: &Value) {
        match data {
            Value::String(text) => self.read(text),
            Value::Array(items) => items.iter().for_each(|item| self.look(item)),
            Value::Object(entries) => entries
                .iter()
                .filter(|(key, _)| !UNSEEN.contains(&key.as_str()))
                .for_each(|(_, value)| self.look(value)),
            Value::Null | Value::Bool(_) | Value::Number(_) => {}
        }
    }

    fn read(&mut self, text: &str) {
        let mut word = 0;
        for c in text.chars() {
            word = if c.is_whitespace() { 0 } else { word + 1 };
            self.breaks |= word >= LONG;
            self.accents |= is_accent(c);
            self.turned |= is_turned(c);
        }
    }
}

fn is_accent(c: char) -> bool {
    matches!(
        c,
        '\u{60}' | '\u{a8}' | '\u{b4}' | '\u{b8}' | '\u{2b9}'..='\u{2ff}' | '\u{374}' | '\u{375}'
    )
}

/// The same ranges as in `theme.typ`.
fn is_turned(c: char) -> bool {
    matches!(c,
        '\u{590}'..='\u{8ff}'
        | '\u{fb1d}'..='\u{fdff}'
        | '\u{fe70}'..='\u{fefe}'
        | '\u{10800}'..='\u{10fff}'
        | '\u{1e800}'..='\u{1efff}'
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn needs(text: &str) -> Needs {
        Needs::of(&serde_json::json!({ "blocks": [{ "text": text }] }))
    }

    #[test]
    fn ordinary_words_need_nothing() {
        assert_eq!(
            needs("Dr Mira Varga, 01632 960 101, “p” ½"),
            Needs::default()
        );
        let unseen =
            serde_json::json!({ "record": "a".repeat(100), "logo": { "sha256": "b".repeat(64) } });
        assert_eq!(Needs::of(&unseen), Needs::default());
        let drawn = serde_json::json!({ "blocks": [{ "outline": "h".repeat(100) }] });
        assert_eq!(Needs::of(&drawn), Needs::default());
    }

    #[test]
    fn what_a_template_would_find_is_seen() {
        assert!(needs("O´Brien").accents);
        assert!(needs("Kaʻiulani").accents);
        assert!(needs("رانيا").turned && needs("x רות y").turned);
        assert!(needs(&"a".repeat(18)).breaks && !needs(&"a".repeat(17)).breaks);
    }
}
