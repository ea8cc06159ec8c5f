//! Turns "something in this file is wrong" into words, a place and a way out.
//!
//! Invariant: every [`Diagnostic`] carries a code, says in one sentence what is wrong and in one sentence what to do;
//! when it has a span, the span lies inside the text of its [`SourceFile`], on character boundaries.
//!
//! Must not: know anything about plans, clinics or medicine; print; exit; repeat personal data in `problem` or `remedy`
//! (the line of the file is shown by [`render`] only, from the source itself).

mod character;
mod code;
mod render;
mod source;
mod suggest;

use std::ops::Range;

use serde::ser::{Serialize, SerializeStruct, Serializer};

pub use character::{character_name, is_refused};
pub use code::Code;
pub use render::{Style, render, render_bare};
pub use source::{Format, MAX_FILE_BYTES, OpenError, SourceFile};
pub use suggest::{closest, echo, hint};

/// A place in a file as a person counts it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// Line, counted from 1.
    pub line: usize,
    /// Column in characters (Unicode scalar values), counted from 1.
    pub column: usize,
}

/// One mistake in one file of the user.
///
/// Not an error type of the program: a file with mistakes is an ordinary outcome, and a reader returns all of them.
/// Serializes as `code`, `file`, `line`, `column`, `path`, `problem`, `remedy` (line and column `null` for a mistake of
/// the whole file).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// Which kind of mistake.
    pub code: Code,
    /// The file as the user named it, with unprintable characters escaped.
    pub file: String,
    /// Bytes of the source text (after a byte order mark, which is not counted); `None`: the file as a whole.
    pub span: Option<Range<usize>>,
    /// Where the span begins, worked out when the diagnostic was made.
    pub position: Option<Position>,
    /// Where in the structure, e.g. `area[1].units` (counted from 0); empty for the file as a whole.
    pub path: String,
    /// One sentence: what is wrong.
    pub problem: String,
    /// One sentence: what to do about it.
    pub remedy: String,
    /// Other places that belong to this mistake, each with a short note.
    pub also: Vec<(Range<usize>, String)>,
}

impl Diagnostic {
    /// A mistake at `span` of `source`. A span that is out of bounds or cuts a character is moved to the nearest place.
    pub fn new(
        source: &SourceFile,
        code: Code,
        span: Range<usize>,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        let span = source.clamp(span);
        Diagnostic {
            code,
            file: source.name().to_owned(),
            position: Some(source.position(span.start)),
            span: Some(span),
            path: String::new(),
            problem: problem.into(),
            remedy: remedy.into(),
            also: Vec::new(),
        }
    }

    /// A mistake of a whole file, of which no text can be shown.
    pub fn of_file(
        file: &str,
        code: Code,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Diagnostic {
            code,
            file: source::printable(file),
            span: None,
            position: None,
            path: String::new(),
            problem: problem.into(),
            remedy: remedy.into(),
            also: Vec::new(),
        }
    }

    /// The same, at this path of the structure.
    pub fn at(mut self, path: impl Into<String>) -> Self {
        self.path = path.into();
        self
    }

    /// The same, pointing at a second place too. A place outside the text is moved to the nearest one inside.
    pub fn also(
        mut self,
        source: &SourceFile,
        span: Range<usize>,
        note: impl Into<String>,
    ) -> Self {
        self.also.push((source.clamp(span), note.into()));
        self
    }

    /// Line of the mistake, from 1; `None` when it is the file as a whole.
    pub fn line(&self) -> Option<usize> {
        self.position.map(|p| p.line)
    }

    /// Column of the mistake in characters, from 1; `None` when it is the file as a whole.
    pub fn column(&self) -> Option<usize> {
        self.position.map(|p| p.column)
    }
}

impl Serialize for Diagnostic {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut out = serializer.serialize_struct("Diagnostic", 7)?;
        out.serialize_field("code", self.code.as_str())?;
        out.serialize_field("file", &self.file)?;
        out.serialize_field("line", &self.line())?;
        out.serialize_field("column", &self.column())?;
        out.serialize_field("path", &self.path)?;
        out.serialize_field("problem", &self.problem)?;
        out.serialize_field("remedy", &self.remedy)?;
        out.end()
    }
}
