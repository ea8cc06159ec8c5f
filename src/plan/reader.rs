//! The one walker of the tree: takes values out by key and collects every mistake on the way.
//!
//! Invariant: whatever cannot be read leaves a diagnostic behind (or was reported by the parser) and yields `None`.
//!
//! Must not: know the keys of a particular file.

use std::collections::BTreeSet;
use std::ops::Range;

use jiff::civil::{Date, Time};

use crate::diagnose::{Code, Diagnostic, SourceFile, is_refused};
use crate::plan::shapes::Shape;
use crate::plan::tree::{self, Node, Table, Value};
use crate::plan::{UserText, Vocabulary, dates};

/// Longest name and free text, in characters.
pub(in crate::plan) const TEXT_MAX: usize = 200;
/// Longest record number, batch number, id, telephone number, in characters.
pub(in crate::plan) const SHORT_MAX: usize = 40;

pub(in crate::plan) struct Reader<'a> {
    pub source: &'a SourceFile,
    pub vocabulary: &'a Vocabulary,
    pub found: Vec<Diagnostic>,
    pub texts: Vec<UserText>,
    /// Part of the file is unreadable: what is missing may only be hidden, so nothing is said about it.
    pub damaged: bool,
    /// `patient.born`: keys whose absence is explained by another mistake already reported.
    pub excused: BTreeSet<String>,
}

/// One table that is being read.
#[derive(Debug, Clone)]
pub(in crate::plan) struct Section<'t> {
    pub table: &'t Table,
    /// Its heading, to point at when something is missing in it.
    pub heading: Range<usize>,
    /// `area[1]`; empty for the file itself.
    pub path: String,
    pub shape: &'static Shape,
}

/// One value that is being read.
#[derive(Debug, Clone)]
pub(in crate::plan) struct Field<'t> {
    pub node: &'t Node,
    pub path: String,
}

/// A value that was read, with its place.
#[derive(Debug, Clone)]
pub(in crate::plan) struct Found<T> {
    pub value: T,
    pub span: Range<usize>,
    pub path: String,
}

impl Field<'_> {
    pub fn found<T>(&self, value: T) -> Found<T> {
        Found {
            value,
            span: self.node.span.clone(),
            path: self.path.clone(),
        }
    }
}

/// The value alone.
pub(in crate::plan) fn value<T>(found: Option<Found<T>>) -> Option<T> {
    found.map(|found| found.value)
}

impl<'a> Reader<'a> {
    pub fn report(
        &mut self,
        code: Code,
        span: Range<usize>,
        path: &str,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        let diagnostic = Diagnostic::new(self.source, code, span, problem, remedy);
        self.found.push(diagnostic.at(path));
    }

    /// What stands at `here` and at `first`, where only one of them may: `named` says what the first does.
    pub fn report_second<T>(
        &mut self,
        code: Code,
        here: &Found<T>,
        (first, named): (Range<usize>, &str),
        problem: &str,
        remedy: &str,
    ) {
        let second = Diagnostic::new(self.source, code, here.span.clone(), problem, remedy);
        let second = second.at(&here.path).also(self.source, first, named);
        self.found.push(second);
    }

    /// All mistakes in the order of the file.
    pub fn finish<T>(mut self, whole: Option<T>) -> Result<T, Vec<Diagnostic>> {
        self.found
            .sort_by_key(|d| (d.span.as_ref().map_or(0, |s| s.start), d.code));
        if !self.found.is_empty() {
            return Err(self.found);
        }
        Ok(whole.expect("whatever cannot be read has left a diagnostic behind"))
    }

    /// The value of a required key.
    pub fn required<'t>(
        &mut self,
        section: &Section<'t>,
        key: &str,
        example: &str,
    ) -> Option<Field<'t>> {
        debug_assert!(section.shape.key(key).is_some_and(|known| known.needed));
        let field = self.optional(section, key);
        if field.is_none() {
            self.missing(section, key, example);
        }
        field
    }

    /// The value of a key, if it is there.
    pub fn optional<'t>(&self, section: &Section<'t>, key: &str) -> Option<Field<'t>> {
        let entry = section.table.get(key)?;
        Some(Field {
            node: &entry.node,
            path: join(&section.path, key),
        })
    }

    fn missing(&mut self, section: &Section, key: &str, example: &str) {
        let excused = self.excused.contains(&join(section.shape.name, key))
            || self.excused.contains(&join(&section.path, key));
        if self.damaged || excused {
            return;
        }
        let json = self.source.format() == crate::diagnose::Format::Json;
        let line = if json {
            format!("\"{key}\": {example}")
        } else {
            format!("{key} = {example}")
        };
        self.report(
            Code::MissingKey,
            section.heading.clone(),
            &join(&section.path, key),
            format!("`{key}` is missing here."),
            format!("Add it, like: {line}."),
        );
    }

    /// A text that stands for itself: not empty, not too long, without refused characters. Noted among the user's texts.
    pub fn free_text(&mut self, field: &Field, longest: usize) -> Option<Found<String>> {
        let text = self.text(field, longest)?;
        self.texts.push(UserText {
            path: text.path.clone(),
            text: text.value.clone(),
            span: text.span.clone(),
        });
        Some(text)
    }

    /// A text, checked the same way, but not noted: it is a word of some list.
    pub fn text(&mut self, field: &Field, longest: usize) -> Option<Found<String>> {
        let Value::Text(text) = &field.node.value else {
            self.wrong_type(field, "text in quotation marks", "Write it as \"…\".");
            return None;
        };
        self.checked_text(field, text, longest)
            .then(|| field.found(text.trim().to_owned()))
    }

    fn checked_text(&mut self, field: &Field, text: &str, longest: usize) -> bool {
        let span = field.node.span.clone();
        if let Some(c) = text.chars().find(|c| is_refused(*c)) {
            let span = self.place_of(c, &span);
            let diagnostic = tree::forbidden(self.source, span, c);
            self.found.push(diagnostic.at(&field.path));
            return false;
        }
        // joiners and variation selectors alone print as nothing
        let seen = |c: char| {
            !c.is_whitespace() && !matches!(c, '\u{200C}' | '\u{200D}' | '\u{FE00}'..='\u{FE0F}')
        };
        if !text.chars().any(seen) {
            self.report(
                Code::TextEmpty,
                span,
                &field.path,
                "Nothing is written between the quotation marks.",
                "Write the text, or delete the line if it is not required.",
            );
            return false;
        }
        let length = text.chars().count();
        if length > longest {
            self.report(
                Code::TextTooLong,
                span,
                &field.path,
                format!("This text has {length} characters; {longest} is the most that fits."),
                "Shorten it.",
            );
            return false;
        }
        true
    }

    /// Where the character stands in the source, or the whole value when it was written as an escape.
    fn place_of(&self, c: char, span: &Range<usize>) -> Range<usize> {
        let written = self.source.text().get(span.clone()).unwrap_or_default();
        written.find(c).map_or(span.clone(), |at| {
            span.start + at..span.start + at + c.len_utf8()
        })
    }

    pub fn date(&mut self, field: &Field) -> Option<Found<Date>> {
        let read = match &field.node.value {
            Value::Date { year, month, day } => dates::day(*year, *month, *day),
            Value::Text(text) => dates::day_of_text(text),
            _ => {
                self.wrong_type(
                    field,
                    "a date",
                    "Write it as year-month-day, like 2026-12-03.",
                );
                return None;
            }
        };
        self.settle(field, Code::DateImpossible, read)
    }

    /// True or false.
    pub fn flag(&mut self, field: &Field) -> Option<bool> {
        if let Value::Flag(flag) = field.node.value {
            return Some(flag);
        }
        self.wrong_type(
            field,
            "true or false",
            "Write true or false, without quotation marks.",
        );
        None
    }

    pub fn time(&mut self, field: &Field) -> Option<Found<Time>> {
        let read = match &field.node.value {
            Value::Time {
                hour,
                minute,
                second,
            } => dates::clock(*hour, *minute, *second),
            Value::Text(text) => dates::clock_of_text(text),
            _ => {
                self.wrong_type(
                    field,
                    "a time of day",
                    "Write it with 24 hours, like 14:30.",
                );
                return None;
            }
        };
        self.settle(field, Code::TimeImpossible, read)
    }

    fn settle<T>(
        &mut self,
        field: &Field,
        code: Code,
        read: Result<T, (String, String)>,
    ) -> Option<Found<T>> {
        match read {
            Ok(value) => Some(field.found(value)),
            Err((problem, remedy)) => {
                self.report(code, field.node.span.clone(), &field.path, problem, remedy);
                None
            }
        }
    }

    /// The fields of a list.
    pub fn list<'t>(&mut self, field: &Field<'t>, most: usize, example: &str) -> Vec<Field<'t>> {
        let Value::List(items) = &field.node.value else {
            self.wrong_type(
                field,
                "a list",
                &format!("Write it in square brackets: {example}."),
            );
            return Vec::new();
        };
        if items.len() > most {
            self.too_many(field.node.span.clone(), &field.path, items.len(), most);
        }
        items
            .iter()
            .take(most)
            .enumerate()
            .map(|(n, node)| Field {
                node,
                path: format!("{}[{n}]", field.path),
            })
            .collect()
    }

    pub fn too_many(&mut self, span: Range<usize>, path: &str, count: usize, most: usize) {
        self.report(
            Code::TooMany,
            span,
            path,
            format!("There are {count} entries here; {most} is the most."),
            "Check that this is the right file, and delete what does not belong.",
        );
    }

    pub fn wrong_type(&mut self, field: &Field, wanted: &str, remedy: &str) {
        let kind = match &field.node.value {
            Value::Broken => return,
            Value::Text(_) => "text",
            Value::Number { .. } => "a number",
            Value::Flag(_) => "true or false",
            Value::Date { .. } => "a date",
            Value::Time { .. } => "a time of day",
            Value::DateAndTime => "a date with a time of day",
            Value::Null => "nothing (null)",
            Value::List(_) => "a list",
            Value::Table(_) => "a group of values",
        };
        let remedy = if field.node.value == Value::Null {
            "Leave the whole entry out when there is nothing to say."
        } else {
            remedy
        };
        let span = opening(self.source, &field.node.span);
        self.report(
            Code::WrongType,
            span,
            &field.path,
            format!("This should be {wanted}, but is {kind}."),
            remedy,
        );
    }
}

/// The part of a span on its first line, so that a caret never covers a whole group.
pub(in crate::plan) fn opening(source: &SourceFile, span: &Range<usize>) -> Range<usize> {
    let line = source.line_span(span.start);
    span.start..span.end.min(line.end).max(span.start)
}

pub(in crate::plan) fn join(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_owned()
    } else {
        format!("{path}.{key}")
    }
}
