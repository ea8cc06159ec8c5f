//! The one shape both file formats become: values with the place they stand at.
//!
//! Invariant: every span lies inside the source text; entries of a table are in the order of the file, no key twice.
//!
//! Must not: know any key of a plan or clinic file.

use std::collections::BTreeSet;
use std::ops::Range;

use crate::diagnose::{Code, Diagnostic, Format, SourceFile, character_name, is_refused};
use crate::plan::{json_tree, toml_tree};

/// A value and the bytes it stands at.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::plan) struct Node {
    pub span: Range<usize>,
    pub value: Value,
}

#[derive(Debug, Clone, PartialEq)]
pub(in crate::plan) enum Value {
    Text(String),
    /// `whole`: written as an integer, without point or exponent.
    Number {
        amount: f64,
        whole: bool,
    },
    Flag(bool),
    /// A bare TOML date.
    Date {
        year: i16,
        month: i8,
        day: i8,
    },
    /// A bare TOML time of day.
    Time {
        hour: i8,
        minute: i8,
        second: i8,
    },
    /// A bare TOML date with a time of day: never wanted, but known by sight.
    DateAndTime,
    /// JSON's `null`.
    Null,
    List(Vec<Node>),
    Table(Table),
    /// Already reported as a mistake of writing: not to be judged again.
    Broken,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub(in crate::plan) struct Table {
    pub entries: Vec<Entry>,
}

#[derive(Debug, Clone, PartialEq)]
pub(in crate::plan) struct Entry {
    pub key: String,
    pub key_span: Range<usize>,
    pub node: Node,
}

impl Table {
    pub fn get(&self, key: &str) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.key == key)
    }
}

/// A file as far as it can be understood.
#[derive(Debug)]
pub(in crate::plan) struct Parsed {
    pub root: Table,
    /// Mistakes of writing, in the order of the file.
    pub mistakes: Vec<Diagnostic>,
    /// Some of the file could not be understood: what seems to be missing may only be hidden.
    pub damaged: bool,
}

/// Takes the file apart, whichever format it is in.
pub(in crate::plan) fn parse(source: &SourceFile) -> Parsed {
    let controls = raw_control_characters(source);
    let mut parsed = match source.format() {
        Format::Toml => toml_tree::parse(source),
        Format::Json => json_tree::parse(source),
    };
    if !controls.is_empty() {
        // the parser stumbles over the same characters in its own words
        let lines: BTreeSet<_> = controls.iter().filter_map(Diagnostic::line).collect();
        parsed
            .mistakes
            .retain(|m| m.line().is_none_or(|line| !lines.contains(&line)));
        parsed.damaged = true;
        parsed.mistakes.extend(controls);
        parsed
            .mistakes
            .sort_by_key(|m| m.span.clone().map_or(0, |s| s.start));
    }
    parsed
}

/// Control characters that neither format allows anywhere, one per line.
fn raw_control_characters(source: &SourceFile) -> Vec<Diagnostic> {
    let mut found: Vec<Diagnostic> = Vec::new();
    for (at, c) in source.text().char_indices() {
        let line_break = c == '\n' || (c == '\r' && source.text()[at..].starts_with("\r\n"));
        if c.is_ascii_control() && c != '\t' && !line_break {
            let mistake = forbidden(source, at..at + c.len_utf8(), c);
            if found.last().and_then(Diagnostic::line) != mistake.line() {
                found.push(mistake);
            }
        }
    }
    found
}

/// The diagnostic for a character that may not be used.
pub(in crate::plan) fn forbidden(source: &SourceFile, span: Range<usize>, c: char) -> Diagnostic {
    debug_assert!(is_refused(c));
    let remedy = match c {
        '\n' | '\r' | '\t' => "Write it on one line, with single spaces between the words.",
        '\u{FFFD}' => {
            "It stands where text was damaged on its way here; type the word again by hand."
        }
        _ => {
            "It cannot be seen, and was probably copied along from elsewhere; delete the text and type it again by hand."
        }
    };
    Diagnostic::new(
        source,
        Code::ForbiddenCharacter,
        span,
        format!(
            "This text holds a character that may not be used: {}.",
            character_name(c)
        ),
        remedy,
    )
}
