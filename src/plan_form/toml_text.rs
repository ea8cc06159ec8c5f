//! Turns the text of a TOML plan and one change into the changed text.
//! Invariant: every byte that the change is not about stays where it is.
//! Must not: make a change in a place that it does not understand; then the file is for hands only.

use std::ops::Range;

use super::NotReadable;
use super::changes::{Behind, Change, Place};
use super::fields::{ASKED, DENIED, ORDER, Part};
use super::toml_lines::{Block, Lines, Owner, blocks, end_on_lines, has_headings};
use super::toml_list::{splice, with_item, without_item};
use super::toml_look;
use super::values::Typed;
use super::written::{self, Entry, Node, Style, Table, Value};
use crate::diagnose::Format;

/// The text with these changes made, in their order.
///
/// # Errors
/// It is not TOML, or something stands where a change has to be made that cannot take it.
pub(super) fn apply(text: &str, changes: &[Change]) -> Result<String, NotReadable> {
    let mut text = text.to_owned();
    for change in changes {
        let root = written::read(&text, Format::Toml)?;
        text = File {
            text: &text,
            root: &root,
        }
        .with(change)?;
    }
    Ok(text)
}

struct File<'t> {
    text: &'t str,
    root: &'t Table,
}

impl File<'_> {
    fn with(&self, change: &Change) -> Result<String, NotReadable> {
        match change {
            Change::Set {
                place,
                key,
                value,
                behind,
            } => {
                let (table, node) = self.table(*place)?;
                match table.get(key) {
                    Some(entry) => self.with_value(entry, value),
                    None => self.with_key(place.part, table, node, key, value, behind),
                }
            }
            Change::Remove { place, key } => {
                let (table, _) = self.table(*place)?;
                self.without_key(table, key)
            }
            Change::Deny(fact) => {
                let place = Place {
                    part: &ASKED,
                    entry: None,
                };
                let (table, node) = self.table(place)?;
                match table.get(DENIED).map(|entry| &entry.node) {
                    Some(list) => {
                        let Value::List(items) = &list.value else {
                            return Err(NotReadable);
                        };
                        let word = toml_look::text(fact);
                        Ok(with_item(self.text, &list.span, items, &word))
                    }
                    None => {
                        let value = Typed::Words(vec![fact.clone()]);
                        self.with_key(&ASKED, table, node, DENIED, &value, &Behind::Everything)
                    }
                }
            }
            Change::NotDenied(fact) => self.without_word(fact),
            Change::RemoveWhole(place) => self.without(*place),
            Change::Add { part, entries } => self.with_part(part, entries),
        }
    }

    /// The table of a place, and the node that holds it.
    fn table(&self, place: Place) -> Result<(&Table, &Node), NotReadable> {
        let node = match place.entry {
            Some(n) => {
                let nodes = self.root.several(place.part.name);
                *nodes.get(n).ok_or(NotReadable)?
            }
            None => {
                let entry = self.root.get(place.part.name).ok_or(NotReadable)?;
                match &entry.node.value {
                    Value::List(items) => items.first().ok_or(NotReadable)?,
                    _ => &entry.node,
                }
            }
        };
        Ok((node.table().ok_or(NotReadable)?, node))
    }

    fn with_value(&self, entry: &Entry, value: &Typed) -> Result<String, NotReadable> {
        // what has headings or keys of its own is not one value
        let is_one = match &entry.node.value {
            Value::Table(table) => table.style == Style::Inline,
            Value::List(items) => !has_headings(items),
            Value::Text(_) | Value::Bare(_) => true,
        };
        if !is_one {
            return Err(NotReadable);
        }
        if let (Value::List(items), Typed::Words(words)) = (&entry.node.value, value)
            && let Some(changed) = self.with_words(entry, items, words)
        {
            return Ok(changed);
        }
        let newline = Lines(self.text).newline();
        let new = toml_look::value(&entry.key, value, newline);
        Ok(splice(self.text, entry.node.span.clone(), &new))
    }

    /// The list with other words in its own lines, where words only go or come behind the others.
    fn with_words(&self, entry: &Entry, items: &[Node], words: &[String]) -> Option<String> {
        let old: Vec<&String> = items
            .iter()
            .map(|item| match &item.value {
                Value::Text(word) => Some(word),
                _ => None,
            })
            .collect::<Option<_>>()?;
        let kept: Vec<&String> = old
            .iter()
            .copied()
            .filter(|word| words.contains(word))
            .collect();
        let new: Vec<&String> = words.iter().filter(|word| !old.contains(word)).collect();
        let in_this_order = [kept.as_slice(), &new].concat();
        if kept.is_empty() || in_this_order.iter().copied().ne(words) {
            return None;
        }
        let mut text = self.text.to_owned();
        let mut span = entry.node.span.clone();
        let gone = (0..items.len()).rev().filter(|n| !words.contains(old[*n]));
        for n in gone {
            let without = without_item(&text, &span, items, n);
            span.end -= text.len() - without.len();
            text = without;
        }
        // the items have moved: the next words are put in by a fresh look at the list
        for word in new {
            let root = written::read(&text, Format::Toml).ok()?;
            let list = list_at(&root, span.start)?;
            let Value::List(items) = &list.value else {
                return None;
            };
            text = with_item(&text, &list.span, items, &toml_look::text(word));
        }
        Some(text)
    }

    fn with_key(
        &self,
        part: &Part,
        table: &Table,
        node: &Node,
        key: &str,
        value: &Typed,
        behind: &Behind,
    ) -> Result<String, NotReadable> {
        let lines = Lines(self.text);
        let newline = lines.newline();
        let line = toml_look::line(key, value, newline);
        let reference = table
            .entries
            .iter()
            .filter(|entry| behind.takes(&entry.key))
            .filter_map(|entry| Some((entry, end_on_lines(&entry.node)?)))
            .max_by_key(|(_, end)| *end);
        match table.style {
            Style::Inline => {
                let line = toml_look::inline(&[(key.to_owned(), value.clone())]);
                let line = line.trim_matches(['{', '}', ' ']).to_owned();
                Ok(match (reference, table.entries.first()) {
                    (Some((_, end)), _) => splice(self.text, end..end, &format!(", {line}")),
                    (None, Some(first)) => {
                        let at = first.key_span.start;
                        splice(self.text, at..at, &format!("{line}, "))
                    }
                    (None, None) => splice(self.text, node.span.clone(), &format!("{{ {line} }}")),
                })
            }
            Style::Heading => {
                let (at, indent) = match reference {
                    Some((entry, end)) => (lines.end(end), lines.indent(entry.key_span.start)),
                    None => (lines.end(node.span.end), lines.indent(node.span.start)),
                };
                Ok(splice(
                    self.text,
                    at..at,
                    &format!("{newline}{indent}{line}"),
                ))
            }
            Style::Dotted => {
                let last = table
                    .entries
                    .iter()
                    .filter_map(|e| end_on_lines(&e.node))
                    .max();
                let end = reference.map(|(_, end)| end).or(last).ok_or(NotReadable)?;
                let at = lines.end(end);
                let line = format!("{newline}{}.{line}", part.name);
                Ok(splice(self.text, at..at, &line))
            }
            Style::Implied => Err(NotReadable),
        }
    }

    fn without_key(&self, table: &Table, key: &str) -> Result<String, NotReadable> {
        let at = table.entries.iter().position(|entry| entry.key == key);
        let Some(at) = at else {
            return Ok(self.text.to_owned());
        };
        let entry = &table.entries[at];
        let end = end_on_lines(&entry.node).ok_or(NotReadable)?;
        if table.style != Style::Inline {
            return Ok(without_line(self.text, entry.key_span.start..end));
        }
        let before = at.checked_sub(1).map(|n| table.entries[n].node.span.end);
        let range = match (table.entries.get(at + 1), before) {
            (Some(next), _) => entry.key_span.start..next.key_span.start,
            (None, Some(before)) => before..end,
            (None, None) => entry.key_span.start..end,
        };
        Ok(splice(self.text, range, ""))
    }

    fn without_word(&self, fact: &str) -> Result<String, NotReadable> {
        let place = Place {
            part: &ASKED,
            entry: None,
        };
        let (table, _) = self.table(place)?;
        let list = &table.get(DENIED).ok_or(NotReadable)?.node;
        let Value::List(items) = &list.value else {
            return Err(NotReadable);
        };
        let is_it = |node: &Node| matches!(&node.value, Value::Text(word) if word.trim() == fact);
        let mut text = self.text.to_owned();
        let mut span = list.span.clone();
        // the last first, so that the places of the others stay
        for n in (0..items.len()).rev().filter(|n| is_it(&items[*n])) {
            let without = without_item(&text, &span, items, n);
            span.end -= text.len() - without.len();
            text = without;
        }
        Ok(text)
    }

    fn without(&self, place: Place) -> Result<String, NotReadable> {
        let name = place.part.name;
        let entry = self.root.get(name).ok_or(NotReadable)?;
        let owner = match &entry.node.value {
            Value::List(items) if has_headings(items) => Owner {
                name: name.to_owned(),
                entry: Some(place.entry.unwrap_or(0)),
            },
            Value::List(items) => {
                let n = place.entry.unwrap_or(0);
                return match (items.len(), items.get(n)) {
                    // nothing is left of a list that is no list of areas
                    (1, Some(_)) if name != super::fields::AREA.name => Ok(without_line(
                        self.text,
                        entry.key_span.start..entry.node.span.end,
                    )),
                    (_, Some(_)) => Ok(without_item(self.text, &entry.node.span, items, n)),
                    (_, None) => Ok(without_line(
                        self.text,
                        entry.key_span.start..entry.node.span.end,
                    )),
                };
            }
            Value::Table(table) if table.style == Style::Dotted => return Err(NotReadable),
            Value::Table(table) if table.style != Style::Inline => Owner {
                name: name.to_owned(),
                entry: None,
            },
            _ => {
                return Ok(without_line(
                    self.text,
                    entry.key_span.start..entry.node.span.end,
                ));
            }
        };
        let blocks = blocks(self.root, self.text);
        let mut own = blocks.iter().filter(|block| block.owner == owner);
        match (own.next(), own.next()) {
            (Some(block), None) => Ok(self.without_block(block)),
            // in several places: not ours to take apart
            _ => Err(NotReadable),
        }
    }

    /// Takes the lines of a block away with the blank ones behind it; at the end of the file those in front of it.
    fn without_block(&self, block: &Block) -> String {
        let lines = Lines(self.text);
        let (mut start, mut end) = (block.lead, block.end);
        while end < block.next && lines.is_blank(end) {
            end = lines.next(end);
        }
        if end == self.text.len() {
            let before = &self.text[..start];
            let kept = before.trim_end().len();
            start = lines.next(kept).min(start);
        }
        splice(self.text, start..end, "")
    }

    fn with_part(&self, part: &Part, entries: &[(String, Typed)]) -> Result<String, NotReadable> {
        let newline = Lines(self.text).newline();
        if part.repeated
            && let Some(entry) = self.root.get(part.name)
        {
            match &entry.node.value {
                Value::List(items) if !has_headings(items) => {
                    let new = toml_look::inline(entries);
                    return Ok(with_group(self.text, &entry.node.span, items, &new));
                }
                Value::List(_) => {}
                // [area] is the first of several now
                Value::Table(table) if table.style == Style::Heading => {
                    let span = entry.node.span.clone();
                    let heading = format!("[{}]", &self.text[span.clone()]);
                    let text = splice(self.text, span, &heading);
                    let root = written::read(&text, Format::Toml)?;
                    let file = File {
                        text: &text,
                        root: &root,
                    };
                    return file.with_part(part, entries);
                }
                _ => return Err(NotReadable),
            }
        }
        let heading = match part.repeated {
            true => format!("[[{}]]", part.name),
            false => format!("[{}]", part.name),
        };
        let mut new = heading + newline;
        for (key, value) in entries {
            new.push_str(&toml_look::line(key, value, newline));
            new.push_str(newline);
        }
        Ok(self.with_block(part, &new))
    }

    /// Puts lines behind the last block that is written before this part, or at the end.
    fn with_block(&self, part: &Part, new: &str) -> String {
        let newline = Lines(self.text).newline();
        let blocks = blocks(self.root, self.text);
        let place = |name: &str| ORDER.iter().position(|known| known.name == name);
        let own = place(part.name);
        let known = |block: &&Block| place(&block.owner.name).is_some();
        let before = blocks.iter().filter(known);
        let mut before = before.rev();
        if let Some(last) = before.find(|block| place(&block.owner.name) <= own) {
            let at = last.end;
            let missing = at > 0 && !self.text[..at].ends_with('\n');
            let (line, blank) = (if missing { newline } else { "" }, newline);
            let follows = at < self.text.len() && !Lines(self.text).is_blank(at);
            let end = if follows { newline } else { "" };
            return splice(self.text, at..at, &format!("{line}{blank}{new}{end}"));
        }
        if let Some(first) = blocks.iter().find(known) {
            let at = first.lead;
            return splice(self.text, at..at, &format!("{new}{newline}"));
        }
        match self.text {
            "" => new.to_owned(),
            text if text.ends_with('\n') => format!("{text}{newline}{new}"),
            text => format!("{text}{newline}{newline}{new}"),
        }
    }
}

/// A list of groups with one more, on a line of its own where the others have one.
fn with_group(text: &str, list: &Range<usize>, items: &[Node], new: &str) -> String {
    let lines = Lines(text);
    let own_lines = items
        .last()
        .is_some_and(|last| lines.start(last.span.start) > list.start);
    if !own_lines {
        return match items.last() {
            Some(last) => splice(text, last.span.end..last.span.end, &format!(", {new}")),
            None => splice(text, list.clone(), &format!("[{new}]")),
        };
    }
    let last = items
        .last()
        .map_or(list.start..list.start, |item| item.span.clone());
    let indent = lines.indent(last.start);
    let new = format!(",{}{indent}{new}", lines.newline());
    splice(text, last.end..last.end, &new)
}

/// The list whose bracket opens here.
fn list_at(root: &Table, start: usize) -> Option<&Node> {
    root.entries
        .iter()
        .find_map(|entry| in_node(&entry.node, start))
}

fn in_node(node: &Node, start: usize) -> Option<&Node> {
    match &node.value {
        Value::List(items) if node.span.start == start && !has_headings(items) => Some(node),
        Value::List(items) => items.iter().find_map(|item| in_node(item, start)),
        Value::Table(table) => list_at(table, start),
        Value::Text(_) | Value::Bare(_) => None,
    }
}

/// The text without the lines of a value; a remark behind it stays, on a line of its own.
fn without_line(text: &str, value: Range<usize>) -> String {
    let lines = Lines(text);
    let start = lines.start(value.start);
    let end = lines.end(value.end);
    let remark = text[value.end..end].trim();
    if remark.starts_with('#') {
        let indent = lines.indent(value.start);
        return splice(text, start..end, &format!("{indent}{remark}"));
    }
    splice(text, start..lines.next(value.end), "")
}
