//! Turns what the TOML parser stumbles over into sentences a receptionist understands.
//!
//! Invariant: one mistake of writing per line; the sentence is chosen by looking at the line, not by repeating the parser.
//!
//! Must not: judge values that were written correctly.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use toml::de::Error;

use crate::diagnose::{Code, Diagnostic, SourceFile, echo};
use crate::plan::dates;
use crate::plan::json_tree::duplicate;
use crate::plan::shapes;
use crate::plan::toml_slips::{self, Slip};

const NEVER_CLOSED: &str = "The bracket opened here is never closed.";

/// The mistakes of writing, in the order of the file, one per line.
pub(in crate::plan) fn explain(source: &SourceFile, errors: &[Error]) -> Vec<Diagnostic> {
    let mut errors: Vec<&Error> = errors.iter().collect();
    errors.sort_by_key(|error| span_of(source, error).start);
    let mut found: Vec<Diagnostic> = Vec::new();
    let mut seen = BTreeSet::new();
    for error in errors {
        let span = span_of(source, error);
        if let Some(open) = never_closed(source, error, &span) {
            found.push(list_never_closed(source, open));
            // everything behind an open bracket is read as part of it
            break;
        }
        let mistake = explain_one(source, error, span);
        if seen.insert(mistake.line()) {
            found.push(mistake);
        }
    }
    add_paths(source, &mut found);
    found
}

/// Gives each mistake the path its line would have had: the heading above it and the key in front of the = sign.
///
/// The tree cannot tell, because what could not be understood is not in it.
fn add_paths(source: &SourceFile, found: &mut [Diagnostic]) {
    let mut heading = String::new();
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let mut rest = found.iter_mut().peekable();
    for (n, line) in source.text().lines().enumerate() {
        let content = line.trim();
        if let Some(name) = content.strip_prefix("[[") {
            let name = name.split(']').next().unwrap_or_default().trim();
            let count = counts.entry(name).or_default();
            heading = format!("{}[{count}]", echo(name));
            *count += 1;
        } else if let Some(name) = content.strip_prefix('[') {
            heading = echo(name.split(']').next().unwrap_or_default().trim());
        }
        let key = match content.split_once('=') {
            Some((key, _)) if !content.starts_with('[') => echo(key.trim()),
            _ => String::new(),
        };
        while let Some(mistake) = rest.next_if(|mistake| mistake.line() == Some(n + 1)) {
            mistake.path = [heading.as_str(), key.as_str()]
                .into_iter()
                .filter(|part| !part.is_empty())
                .collect::<Vec<_>>()
                .join(".");
        }
    }
}

/// The lines on which nothing can be trusted.
#[derive(Debug, Default)]
pub(in crate::plan) struct Damage {
    lines: BTreeSet<usize>,
    /// From this line on, because a bracket is never closed.
    from: Option<usize>,
}

impl Damage {
    /// Of a key given twice the first value is kept and can be judged, so that is no damage.
    pub fn of(mistakes: &[Diagnostic]) -> Damage {
        let mut damage = Damage::default();
        for mistake in mistakes {
            let Some(line) = mistake
                .line()
                .filter(|_| mistake.code != Code::DuplicateKey)
            else {
                continue;
            };
            damage.lines.insert(line);
            if mistake.problem == NEVER_CLOSED {
                damage.from = Some(line);
            }
        }
        damage
    }

    pub fn is_none(&self) -> bool {
        self.lines.is_empty()
    }

    pub fn covers(&self, line: usize) -> bool {
        self.lines.contains(&line) || self.from.is_some_and(|from| from <= line)
    }
}

fn span_of(source: &SourceFile, error: &Error) -> Range<usize> {
    let end = source.text().len();
    error.span().unwrap_or(end..end)
}

fn explain_one(source: &SourceFile, error: &Error, span: Range<usize>) -> Diagnostic {
    if error.message().starts_with("duplicate key") {
        let key = source.text().get(span.clone()).unwrap_or_default();
        let first = first_given(source, key, &span);
        return duplicate(source, key.trim_matches(['"', '\'']), span, first);
    }
    // an error at the very end of a line belongs to that line, one behind the last line break to the line before it
    let text = source.text();
    let at = if span.start > 0 && span.start >= text.trim_end().len() {
        text.trim_end().len().saturating_sub(1)
    } else {
        span.start
    };
    let line = source.line_span(at);
    let content = &text[line.clone()];
    let message = error.message();
    if message.contains("multi-line")
        && let Some(open) = ["\"\"\"", "'''"]
            .iter()
            .filter_map(|quotes| text[..span.start].rfind(quotes))
            .max()
    {
        return Diagnostic::new(
            source,
            Code::Syntax,
            open..open + 3,
            "A text begun with three quotation marks is never closed.",
            "Write it on one line, between single quotation marks at either end.",
        );
    }
    let syntax = |span, problem: &str, remedy: &str| {
        Diagnostic::new(source, Code::Syntax, span, problem, remedy)
    };

    if let Some(Slip {
        span,
        problem,
        remedy,
    }) = toml_slips::of_line(content)
    {
        let span = line.start + span.start..line.start + span.end;
        return syntax(span, &problem, &remedy);
    }
    if content.trim_start().starts_with('[') && !content.contains('=') {
        return syntax(
            trimmed(&line, content),
            "This heading is not written correctly.",
            "Write it as [patient], with double brackets for what may come more than once: [[area]].",
        );
    }
    if message.contains("missing comma") {
        return syntax(
            span,
            "A comma is missing here.",
            "Put a comma between the two values.",
        );
    }
    let Some((key, value)) = content.split_once('=') else {
        return syntax(
            trimmed(&line, content),
            "This line has no = sign.",
            "Write it as name = value, or put # in front if it is a remark.",
        );
    };
    let value_start = line.start + key.len() + 1;
    let value_span = trimmed(&(value_start..line.end), value);
    let value = &text[value_span.clone()];
    if key.trim().is_empty() {
        return syntax(
            trimmed(&line, content),
            "Nothing stands in front of the = sign.",
            "Write it as name = value.",
        );
    }
    if value.is_empty() || value.starts_with('#') {
        let key_span = trimmed(&(line.start..line.start + key.len()), key);
        return syntax(
            key_span,
            "This line has no value.",
            "Write a value behind the = sign, or delete the line.",
        );
    }
    if let Some((code, length, problem, remedy)) = dates::explain_bare(value) {
        let span = value_span.start..value_span.start + length;
        return Diagnostic::new(source, code, span, problem, remedy);
    }
    let (problem, remedy) = explain_value(value, message, key.trim());
    Diagnostic::new(source, Code::Syntax, value_span, problem, remedy)
}

/// The sentence for a value that is neither a date nor a time of day.
fn explain_value(value: &str, message: &str, key: &str) -> (String, String) {
    let own = |problem: &str, remedy: &str| (problem.to_owned(), remedy.to_owned());
    let word = value
        .split(['#', ' ', '\t'])
        .next()
        .unwrap_or_default()
        .to_lowercase();
    match word.as_str() {
        "true" | "yes" | "y" | "on" => {
            return own(
                "This is not how yes is written.",
                "Write true, in small letters and without quotation marks.",
            );
        }
        "false" | "no" | "n" | "off" => {
            return own(
                "This is not how no is written.",
                "Write false, in small letters and without quotation marks.",
            );
        }
        _ => {}
    }
    if let Some((whole, rest)) = word.split_once(',')
        && is_digits(whole)
        && rest.chars().next().is_some_and(|c| c.is_ascii_digit())
    {
        return own(
            "A number is written with a comma.",
            "Write the decimal point as a point, like 2.5, and nothing between thousands.",
        );
    }
    if is_digits(&word) && word.len() > 1 && word.starts_with('0') {
        return own(
            "A number begins with a zero.",
            "Put it between quotation marks if it is a record or telephone number, or else leave the leading zero out.",
        );
    }
    if value.starts_with('"') || value.starts_with('\'') {
        let quote = value.chars().next().unwrap_or('"');
        if value.matches(quote).count() < 2 {
            return own(
                "The quotation mark is never closed.",
                "Put a quotation mark behind the text too.",
            );
        }
        if value.contains('\\') {
            return own(
                "A backslash between double quotation marks has a meaning of its own.",
                "Write it as two backslashes, or put the text between single quotation marks.",
            );
        }
        return own(
            "Something stands behind the closing quotation mark.",
            "If a quotation mark belongs to the text, put the text between single quotation marks.",
        );
    }
    if word.chars().next().is_some_and(|c| c.is_ascii_digit()) && !message.contains("quoted") {
        return own(
            "This is neither a number nor a date.",
            "Write a plain number like 2.5, a date like 2026-12-03, or text in quotation marks.",
        );
    }
    let is_word = message.contains("quoted") || value.starts_with(char::is_alphabetic);
    if is_word && shapes::takes_a_number(key) {
        return (
            "This is no number.".to_owned(),
            format!("Write it in digits, like {} = 2.5.", echo(key)),
        );
    }
    if is_word {
        return (
            "Text must stand in quotation marks.".to_owned(),
            format!("Write it as {} = \"…\".", echo(key)),
        );
    }
    own(
        "The value on this line cannot be understood.",
        "Compare the line with a sample; look for a missing quotation mark, comma or bracket.",
    )
}

/// Where a list or `{` group that is never closed was opened, if this error comes of one.
fn never_closed(source: &SourceFile, error: &Error, span: &Range<usize>) -> Option<Range<usize>> {
    let message = error.message();
    let inside = ["array", "inline table"]
        .iter()
        .any(|what| message.contains(what));
    if !inside {
        return None;
    }
    let here = source.position(span.start).line;
    // the opening line: the nearest one above (or this one) that opens more than it closes
    let mut offset = span.start.min(source.text().len());
    for _ in 0..=here {
        let line = source.line_span(offset);
        let content = &source.text()[line.clone()];
        if let Some((key, value)) = content.split_once('=') {
            let open = value.trim_start();
            if open.starts_with(['[', '{']) {
                let opened = open.matches(['[', '{']).count();
                let closed = open.matches([']', '}']).count();
                let start = line.start + key.len() + 1 + (value.len() - open.len());
                let behind = here > source.position(line.start).line;
                let hidden = span.start >= source.text().trim_end().len();
                return (opened > closed && (behind || hidden)).then_some(start..line.end);
            }
        }
        if line.start == 0 {
            break;
        }
        offset = line.start - 1;
    }
    None
}

fn list_never_closed(source: &SourceFile, open: Range<usize>) -> Diagnostic {
    Diagnostic::new(
        source,
        Code::Syntax,
        open,
        NEVER_CLOSED,
        "Put the matching closing bracket behind the last value of the list.",
    )
}

/// The line above on which the same key or heading stands, as far as that can be told from the text alone.
fn first_given(source: &SourceFile, key: &str, span: &Range<usize>) -> Option<Range<usize>> {
    let text = source.text();
    let own = source.line_span(span.start);
    let heading = text[own.clone()].trim_start().starts_with('[');
    let inline = text[own.start..span.start].rfind(key);
    if let Some(at) = inline.filter(|_| !key.is_empty() && !heading) {
        let start = own.start + at;
        return Some(start..start + key.len());
    }
    let mut end = own.start;
    while end > 0 {
        let line = source.line_span(end - 1);
        let content = &text[line.clone()];
        let trimmed_line = content.trim_start();
        let indent = content.len() - trimmed_line.len();
        if heading {
            let name = trimmed_line.trim_start_matches('[');
            if trimmed_line.starts_with('[')
                && name.split(']').next().is_some_and(|n| n.trim() == key)
            {
                return Some(trimmed(&line, content));
            }
        } else if trimmed_line
            .split_once('=')
            .is_some_and(|(name, _)| name.trim() == key)
        {
            let start = line.start + indent;
            return Some(start..start + key.len());
        } else if trimmed_line.starts_with('[') {
            return None;
        }
        end = line.start;
    }
    None
}

/// `span` without the white space at either end of its text.
fn trimmed(span: &Range<usize>, text: &str) -> Range<usize> {
    let start = span.start + (text.len() - text.trim_start().len());
    start.min(span.end)..(span.start + text.trim_end().len()).max(start)
}

fn is_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit())
}
