//! Turns the mistakes of several files into one list that can be shown, counted and handed on as data.
//! Invariant: every mistake keeps the text it points into, so that it can be shown with its line.
//! Must not: print, or decide what a mistake is.

use crate::diagnose::{self, Diagnostic, SourceFile, Style};
use crate::overlay;

/// Every mistake that was found in the files of a clinic or a plan, in the order of the files.
///
/// Serializes as a list of diagnostics.
#[derive(Debug, Clone, Default)]
pub struct Mistakes {
    files: Vec<overlay::Mistakes>,
}

impl Mistakes {
    pub fn is_empty(&self) -> bool {
        self.files.iter().all(|file| file.found.is_empty())
    }

    /// How many mistakes there are.
    pub fn count(&self) -> usize {
        self.files.iter().map(|file| file.found.len()).sum()
    }

    pub fn iter(&self) -> impl Iterator<Item = &Diagnostic> {
        self.files.iter().flat_map(|file| &file.found)
    }

    /// Every mistake with its line and a caret, in the order of the files.
    pub fn render(&self, style: Style) -> String {
        self.files
            .iter()
            .filter(|file| !file.found.is_empty())
            .map(|file| match &file.source {
                Some(source) => diagnose::render(&file.found, source, style),
                None => diagnose::render_bare(&file.found, style),
            })
            .collect()
    }

    /// Mistakes that point into a text.
    pub(super) fn add(&mut self, source: &SourceFile, found: Vec<Diagnostic>) {
        self.files.push(overlay::Mistakes {
            source: Some(source.clone()),
            found,
        });
    }

    /// Mistakes of which there is no line.
    pub(super) fn add_bare(&mut self, found: Vec<Diagnostic>) {
        self.files.push(overlay::Mistakes {
            source: None,
            found,
        });
    }

    pub(super) fn extend(&mut self, other: impl IntoIterator<Item = overlay::Mistakes>) {
        self.files.extend(other);
    }

    /// The mistakes of both, these first.
    pub fn and(mut self, other: Mistakes) -> Mistakes {
        self.files.extend(other.files);
        self
    }
}

impl serde::Serialize for Mistakes {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.iter())
    }
}
