//! Turns a TOML list and a word into the list with or without it, in the list's own lines.
//! Invariant: the other items and every remark between them stay.
//! Must not: know what the list is for.

use std::ops::Range;

use super::toml_lines::Lines;
use super::toml_look::{IN_A_LINE, INDENT, WIDEST};
use super::written::Node;

/// The text with `new`, already written as TOML, at the end of a list.
pub(super) fn with_item(text: &str, list: &Range<usize>, items: &[Node], new: &str) -> String {
    let Some(last) = items.last().map(|item| item.span.clone()) else {
        return splice(text, list.clone(), &format!("[{new}]"));
    };
    let lines = Lines(text);
    let closing = list.end - 1;
    let line = lines.start(last.start);
    let comma = comma_behind(text, last.end, closing);
    let is_spread = text[list.clone()].contains('\n');
    if !is_spread {
        let wide = lines.end(last.end) - line + new.len() + 2;
        if wide <= WIDEST || items.len() < IN_A_LINE {
            return splice(text, last.end..last.end, &format!(", {new}"));
        }
        return splice(
            text,
            list.clone(),
            &spread(text, items, new, lines.newline()),
        );
    }
    let on_line = items.iter().filter(|item| item.span.start >= line).count();
    let closes_here = lines.end(last.end) >= closing && lines.start(closing) <= last.end;
    if (on_line < IN_A_LINE && line > list.start) || closes_here {
        return splice(text, last.end..last.end, &format!(", {new}"));
    }
    let own = &text[line..last.start];
    let own: String = own.chars().take_while(|c| c.is_whitespace()).collect();
    let indent = if own.is_empty() { INDENT } else { &own };
    let at = lines.end(comma.unwrap_or(last.end));
    let newline = lines.newline();
    let with_line = splice(text, at..at, &format!("{newline}{indent}{new},"));
    match comma {
        Some(_) => with_line,
        None => splice(&with_line, last.end..last.end, ","),
    }
}

/// The text without the item of this number.
pub(super) fn without_item(text: &str, list: &Range<usize>, items: &[Node], n: usize) -> String {
    let item = items[n].span.clone();
    let closing = list.end - 1;
    let comma = comma_behind(text, item.end, closing);
    match comma {
        Some(comma) => {
            let rest = &text[comma + 1..];
            let spaces = rest.len() - rest.trim_start_matches([' ', '\t']).len();
            // a remark between an item and its comma stays
            let text = if text[item.end..comma].trim().is_empty() {
                splice(text, item.start..comma + 1 + spaces, "")
            } else {
                let without = splice(text, comma..comma + 1, "");
                splice(&without, item.clone(), "")
            };
            tidy(&text, item.start)
        }
        None => {
            let before = n.checked_sub(1).map(|before| items[before].span.end);
            let from = match before {
                // the comma in front of it goes too, when nothing but it is between
                Some(end) if text[end..item.start].trim() == "," => end,
                _ => item.start,
            };
            let text = splice(text, from..item.end, "");
            tidy(&text, from)
        }
    }
}

/// Takes away a line, or spaces at the end of one, that an item has left.
fn tidy(text: &str, at: usize) -> String {
    let lines = Lines(text);
    let (start, end) = (lines.start(at), lines.end(at));
    let line = &text[start..end];
    if line.trim().is_empty() && start > 0 {
        return splice(text, start..lines.next(at), "");
    }
    if text[at..end].trim().is_empty() {
        let kept = start + line.trim_end().len();
        return splice(text, kept..end, "");
    }
    text.to_owned()
}

/// The items of a list on lines of their own, and one more.
fn spread(text: &str, items: &[Node], new: &str, newline: &str) -> String {
    let written = items.iter().map(|item| &text[item.span.clone()]);
    let written: Vec<&str> = written.chain(std::iter::once(new)).collect();
    let mut out = format!("[{newline}");
    for group in written.chunks(IN_A_LINE) {
        out.push_str(&format!("{INDENT}{},{newline}", group.join(", ")));
    }
    out + "]"
}

/// The comma between `from` and `to`, where only white space and remarks stand in front of it.
fn comma_behind(text: &str, from: usize, to: usize) -> Option<usize> {
    let mut in_remark = false;
    for (at, c) in text[from..to].char_indices() {
        match c {
            '\n' => in_remark = false,
            _ if in_remark => {}
            '#' => in_remark = true,
            ',' => return Some(from + at),
            c if c.is_whitespace() => {}
            _ => return None,
        }
    }
    None
}

/// The text with something else in a place.
pub(super) fn splice(text: &str, place: Range<usize>, new: &str) -> String {
    format!("{}{new}{}", &text[..place.start], &text[place.end..])
}
