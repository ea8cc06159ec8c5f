//! Turns the text of a plan into its file, unless the file is another one by now.
//! Invariant: a file is replaced only while it holds exactly what the writer had read, and whole or not at all.
//! Must not: read the text.

use std::path::{Path, PathBuf};

use jiff::civil::Date;

use super::Failed;

/// What became of a plan that was to be saved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Saved {
    Written,
    /// Somebody else has saved it since; nothing was written.
    ChangedMeanwhile {
        /// What the file holds now.
        now: String,
    },
    /// There is no such file any more; nothing was written.
    Gone,
    /// A file of this name is there, and there should be none; nothing was written.
    AlreadyThere,
}

/// Writes a plan. `expected` is what the file must hold, byte for byte; `None`: there must be no such file yet.
///
/// # Errors
/// The folder or the file cannot be read or written.
pub fn save_plan(path: &Path, expected: Option<&str>, text: &str) -> Result<Saved, Failed> {
    let _ = (path, expected, text);
    unimplemented!()
}

/// A name that is free in the folder, for the plan of a visit: `2026-12-03-lindqvist.toml`.
pub fn new_plan_name(folder: &Path, date: Option<Date>, patient: &str) -> PathBuf {
    let _ = (date, patient);
    folder.to_owned()
}
