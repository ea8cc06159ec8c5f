//! Turns the text of a TOML plan into its lines and blocks: where a line ends, which remarks belong to which heading.
//! Invariant: every place that is returned lies in the text, at the beginning or the end of a line.
//! Must not: change anything.

use super::written::{Node, Style, Table, Value};

/// A text that is looked at by lines.
#[derive(Clone, Copy)]
pub(super) struct Lines<'t>(pub &'t str);

impl<'t> Lines<'t> {
    /// How lines end in it.
    pub fn newline(self) -> &'static str {
        if self.0.contains("\r\n") {
            "\r\n"
        } else {
            "\n"
        }
    }

    pub fn start(self, at: usize) -> usize {
        self.0[..at].rfind('\n').map_or(0, |end| end + 1)
    }

    /// The end of the line that holds this place, in front of its line break.
    pub fn end(self, at: usize) -> usize {
        let end = self.0[at..].find('\n').map_or(self.0.len(), |n| at + n);
        match self.0[at..end].ends_with('\r') {
            true => end - 1,
            false => end,
        }
    }

    /// The beginning of the next line, or the end of the text.
    pub fn next(self, at: usize) -> usize {
        self.0[at..].find('\n').map_or(self.0.len(), |n| at + n + 1)
    }

    /// The line that begins here, without spaces around it.
    pub fn line(self, start: usize) -> &'t str {
        self.0[start..self.end(start)].trim()
    }

    pub fn is_blank(self, start: usize) -> bool {
        start < self.0.len() && self.line(start).is_empty()
    }

    fn is_remark(self, start: usize) -> bool {
        start < self.0.len() && self.line(start).starts_with('#')
    }

    /// White space in front of what stands on the line of this place.
    pub fn indent(self, at: usize) -> &'t str {
        let start = self.start(at);
        let before = &self.0[start..at];
        match before.trim().is_empty() {
            true => before,
            false => "",
        }
    }

    /// Where the remarks begin that stand right above a heading; those at the top of the file belong to the file.
    pub fn lead(self, heading: usize) -> usize {
        let own = self.start(heading);
        let mut start = own;
        while start > 0 {
            let above = self.start(start - 1);
            if !self.is_remark(above) {
                return start;
            }
            start = above;
        }
        // remarks up to the top are about the whole file
        own
    }

    /// The end of the remarks that follow right behind the line of this place, at the beginning of a line; `most` is where the next
    /// block begins.
    pub fn tail(self, at: usize, most: usize) -> usize {
        let mut end = self.next(at);
        while end < most && self.is_remark(end) {
            end = self.next(end);
        }
        end.min(most)
    }
}

/// Whom a heading belongs to: the name of a part, and which of several.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Owner {
    pub name: String,
    pub entry: Option<usize>,
}

/// The lines of one part, or of one entry of it.
#[derive(Debug, Clone)]
pub(super) struct Block {
    pub owner: Owner,
    /// Where its remarks begin, or else its heading.
    pub lead: usize,
    /// Behind its last line and the remarks right below it, at the beginning of a line.
    pub end: usize,
    /// Where the lead of the next block begins, or the end of the text.
    pub next: usize,
}

/// The blocks of a file in its order.
pub(super) fn blocks(root: &Table, text: &str) -> Vec<Block> {
    let lines = Lines(text);
    let mut headings: Vec<(usize, usize, Owner)> = Vec::new();
    for entry in &root.entries {
        let owner = |entry_at| Owner {
            name: entry.key.clone(),
            entry: entry_at,
        };
        match &entry.node.value {
            Value::List(items) => {
                for (n, item) in items.iter().enumerate() {
                    collect(item, &owner(Some(n)), &mut headings);
                }
            }
            _ => collect(&entry.node, &owner(None), &mut headings),
        }
    }
    headings.sort_by_key(|(start, ..)| *start);
    let mut blocks: Vec<Block> = Vec::new();
    for (at, (start, end, owner)) in headings.iter().enumerate() {
        let next = headings.get(at + 1);
        let next = next.map_or(text.len(), |(start, ..)| lines.lead(*start));
        let end = lines.tail(*end, next);
        match blocks.last_mut() {
            Some(last) if last.owner == *owner => {
                last.end = end;
                last.next = next;
            }
            _ => blocks.push(Block {
                owner: owner.clone(),
                lead: lines.lead(*start),
                end,
                next,
            }),
        }
    }
    blocks
}

/// The headings of a table and of those inside it: where each begins, and where the last value below it ends.
fn collect(node: &Node, owner: &Owner, headings: &mut Vec<(usize, usize, Owner)>) {
    let Value::Table(table) = &node.value else {
        return;
    };
    if table.style == Style::Heading {
        headings.push((node.span.start, end_of_values(node), owner.clone()));
    }
    for entry in &table.entries {
        match &entry.node.value {
            Value::Table(_) => collect(&entry.node, owner, headings),
            Value::List(items) => {
                for item in items {
                    collect(item, owner, headings);
                }
            }
            Value::Text(_) | Value::Bare(_) => {}
        }
    }
}

/// The end of the last value that is written below a heading, or of the heading.
fn end_of_values(node: &Node) -> usize {
    let Value::Table(table) = &node.value else {
        return node.span.end;
    };
    let below = table.entries.iter();
    let ends = below.filter_map(|entry| end_on_lines(&entry.node));
    ends.max().unwrap_or(node.span.end).max(node.span.end)
}

/// The end of a value that stands on lines of the table it is in; none for one that has headings of its own.
pub(super) fn end_on_lines(node: &Node) -> Option<usize> {
    match &node.value {
        Value::Table(table) => match table.style {
            Style::Heading | Style::Implied => None,
            Style::Inline => Some(node.span.end),
            Style::Dotted => table
                .entries
                .iter()
                .filter_map(|entry| end_on_lines(&entry.node))
                .max(),
        },
        Value::List(items) if has_headings(items) => None,
        Value::List(_) | Value::Text(_) | Value::Bare(_) => Some(node.span.end),
    }
}

/// The list is written with headings, `[[name]]`.
pub(super) fn has_headings(items: &[Node]) -> bool {
    let mut tables = items.iter().map(|item| item.table());
    tables.any(|table| table.is_some_and(|table| table.style == Style::Heading))
}
