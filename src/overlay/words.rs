//! Turns a wording file of an overlay into statements with their places.
//!
//! Invariant: a statement's span is its text in the file, byte for byte.
//!
//! Must not: judge what a statement says, or whether anything prints it.

use std::ops::Range;

use crate::diagnose::{Code, Diagnostic, SourceFile, echo};
use crate::wording::library;

/// Opens the line under a heading that says which words of the release were copied.
pub const COPY: &str = "<!-- beforehand copy ";
/// Opens the line of a file that says which release it was copied from.
pub const RELEASE: &str = "<!-- beforehand release ";
const CLOSE: &str = " -->";

/// One statement of an overlay.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// `en`, `en-GB`.
    pub tag: String,
    pub id: String,
    pub text: String,
    /// Digest of the release's words when they were copied; `None`: written without a copy.
    pub copied: Option<String>,
    /// The release they were copied from, where the file says so.
    pub release: Option<String>,
    pub file: String,
    pub heading: Range<usize>,
    pub span: Range<usize>,
}

impl Entry {
    /// An untouched copy of the release's words. It changes nothing, so that later releases come through.
    pub fn is_copy(&self) -> bool {
        self.copied.as_deref() == Some(library::digest(&self.text).as_str())
    }
}

/// Reads a file: comment lines and a title, then `## id` headings with their text.
pub fn read(source: &SourceFile, tag: &str) -> (Vec<Entry>, Vec<Diagnostic>) {
    let text = source.text();
    let mut entries: Vec<Entry> = Vec::new();
    let mut mistakes = Vec::new();
    let mut release = None;
    // the statement whose text has not begun yet, or goes on
    let mut open = false;
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let start = at;
        at += line.len();
        let bare = line.trim_end();
        let span = start..start + bare.len();
        if let Some(id) = bare.strip_prefix("## ") {
            let id = id.trim();
            let id_start = start + line.find(id).unwrap_or(0);
            entries.push(Entry {
                tag: tag.to_owned(),
                id: id.to_owned(),
                text: String::new(),
                copied: None,
                release: release.clone(),
                file: source.name().to_owned(),
                heading: id_start..id_start + id.len(),
                span: at..at,
            });
            open = true;
            continue;
        }
        if bare.trim().is_empty() {
            continue;
        }
        let wrong = |problem: &str| {
            Diagnostic::new(
                source,
                Code::WordingShape,
                span.clone(),
                problem,
                "Write ## and the name of a statement on a line of its own, and its text below.",
            )
            .at(tag)
        };
        match entries.last_mut().filter(|_| open) {
            None => {
                if let Some(of) = comment(bare, RELEASE) {
                    release = Some(of.to_owned());
                } else if !bare.starts_with("# ") && !bare.starts_with("<!--") {
                    mistakes.push(wrong("This text stands before the first statement."));
                }
            }
            Some(entry) if entry.span.is_empty() && comment(bare, COPY).is_some() => {
                entry.copied = comment(bare, COPY).map(str::to_owned);
            }
            Some(_) if bare.starts_with("##") || bare.starts_with("# ") => {
                mistakes.push(wrong("This line looks like a heading but is none."));
            }
            Some(entry) => {
                let begin = if entry.span.is_empty() {
                    start + (bare.len() - bare.trim_start().len())
                } else {
                    entry.span.start
                };
                entry.span = begin..span.end;
            }
        }
    }
    for entry in &mut entries {
        entry.text = text[entry.span.clone()].replace('\r', "");
        if entry.span.is_empty() {
            mistakes.push(
                Diagnostic::new(
                    source,
                    Code::WordingShape,
                    entry.heading.clone(),
                    format!("`{}` has no text.", echo(&entry.id)),
                    "Write its text below, or delete the heading to keep the release's words.",
                )
                .at(echo(&entry.id)),
            );
        }
    }
    entries.retain(|entry| !entry.span.is_empty());
    (entries, mistakes)
}

fn comment<'l>(line: &'l str, open: &str) -> Option<&'l str> {
    line.strip_prefix(open)?.strip_suffix(CLOSE)
}

/// The comment line for a copy of these words.
pub fn copy_line(text: &str) -> String {
    format!("{COPY}{}{CLOSE}", library::digest(text))
}

/// The comment line for a file copied from this release.
pub fn release_line(version: &str) -> String {
    format!("{RELEASE}{version}{CLOSE}")
}
