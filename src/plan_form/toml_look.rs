//! Turns values into TOML as our samples look: a key and its value on a line, long lists in threes.
//! Invariant: what is written reads back as the value.
//! Must not: know where it will stand.

use super::values::Typed;

/// Characters of the longest line that a list stands on.
pub(super) const WIDEST: usize = 80;
/// Words on a line of a longer list.
pub(super) const IN_A_LINE: usize = 3;
/// In front of such a line.
pub(super) const INDENT: &str = "    ";

/// `key = value`; a list may go over several lines, which end with `newline`.
pub(super) fn line(key: &str, value: &Typed, newline: &str) -> String {
    format!("{} = {}", name(key), self::value(key, value, newline))
}

/// The value alone; the width of its key decides whether a list fits on one line.
pub(super) fn value(key: &str, value: &Typed, newline: &str) -> String {
    match value {
        Typed::Text(words) => text(words),
        Typed::Bare(plain) | Typed::Moment(plain) => plain.clone(),
        Typed::Words(words) => list(key, words, newline),
    }
}

/// An entry of a list of groups: `{ id = "glabella", units = 20 }`.
pub(super) fn inline(entries: &[(String, Typed)]) -> String {
    let entries: Vec<String> = entries
        .iter()
        .map(|(key, value)| match value {
            Typed::Words(words) => format!("{} = {}", name(key), on_one_line(words)),
            value => line(key, value, "\n"),
        })
        .collect();
    format!("{{ {} }}", entries.join(", "))
}

/// A text in quotation marks.
pub(super) fn text(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

fn name(key: &str) -> String {
    let plain = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_');
    if !key.is_empty() && key.bytes().all(plain) {
        key.to_owned()
    } else {
        text(key)
    }
}

fn list(key: &str, words: &[String], newline: &str) -> String {
    let one = on_one_line(words);
    if key.chars().count() + " = ".len() + one.chars().count() <= WIDEST {
        return one;
    }
    let mut out = format!("[{newline}");
    for group in words.chunks(IN_A_LINE) {
        let group: Vec<String> = group.iter().map(|word| text(word)).collect();
        out.push_str(&format!("{INDENT}{},{newline}", group.join(", ")));
    }
    out + "]"
}

fn on_one_line(words: &[String]) -> String {
    let words: Vec<String> = words.iter().map(|word| text(word)).collect();
    format!("[{}]", words.join(", "))
}
