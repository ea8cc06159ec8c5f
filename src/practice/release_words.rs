//! Turns the release's wording of a language into files that a clinic can change and put into its overlay.
//! Invariant: nothing that is already there is written over.
//! Must not: change an overlay.

use std::path::{Path, PathBuf};

use super::{Failed, writing};
use crate::overlay::copy;
use crate::wording::library;

/// Why no words were written.
#[derive(Debug)]
pub enum ExportError {
    /// There is no wording in this language.
    UnknownLanguage,
    /// Some of the files are there already.
    AlreadyThere {
        first: PathBuf,
        there: usize,
        of: usize,
    },
    Failed(Failed),
}

impl std::fmt::Display for ExportError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            ExportError::UnknownLanguage => {
                let known: Vec<&str> = library::tags().collect();
                write!(f, "no such wording; available: {}", known.join(", "))
            }
            ExportError::AlreadyThere { first, there, of } => write!(
                f,
                "{} is already there ({there} of {of} files); nothing was written",
                super::shown(first)
            ),
            ExportError::Failed(failed) => failed.fmt(f),
        }
    }
}

impl std::error::Error for ExportError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            ExportError::UnknownLanguage | ExportError::AlreadyThere { .. } => None,
            ExportError::Failed(failed) => failed.source(),
        }
    }
}

/// Writes the words of a language and its countries into a folder; says how many files it wrote.
///
/// # Errors
/// See [`ExportError`]; nothing was written then.
pub fn export_words(out: &Path, language: &str) -> Result<usize, ExportError> {
    if !library::tags().any(|tag| tag == language) {
        return Err(ExportError::UnknownLanguage);
    }
    let files: Vec<_> = copy::files(language)
        .into_iter()
        .map(|(name, text)| (out.join(name), text))
        .collect();
    let there: Vec<&PathBuf> = files
        .iter()
        .map(|(path, _)| path)
        .filter(|path| path.exists())
        .collect();
    if let Some(first) = there.first() {
        return Err(ExportError::AlreadyThere {
            first: (*first).clone(),
            there: there.len(),
            of: files.len(),
        });
    }
    let staged = files
        .iter()
        .map(|(path, text)| (path.as_path(), text.as_bytes()));
    writing::replace_all(staged).map_err(ExportError::Failed)?;
    Ok(files.len())
}
