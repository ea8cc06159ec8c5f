//! Turns a visit, or a plan on disk, into what follows from it for somebody at a screen, before any paper is made.
//! Invariant: nothing is laid out for it, so that it can be asked for at every keystroke.
//! Must not: read a plan otherwise than the papers do, or write anything.

use std::path::{Path, PathBuf};

use super::{Failed, MakeError, Practice, ReadError};
use crate::catalogue::Fact;
use crate::compose::{self, WhyPrinted, WorkedOut};
use crate::plan::{Visit, Vocabulary};
use crate::select::{facts_for, select};

impl Practice {
    /// What follows from a visit, in the practice's language.
    ///
    /// # Errors
    /// The visit was read by another practice, or a sentence cannot be filled.
    pub fn worked_out(&self, visit: &Visit) -> Result<WorkedOut, MakeError> {
        let selection = select(self.catalogue(), &self.clinic, visit)?;
        let wording = self.own_wording()?;
        Ok(compose::worked_out(&selection, wording.recorded())?)
    }

    /// The same of a plan on disk; none where it has mistakes.
    ///
    /// # Errors
    /// The file cannot be read, or a sentence cannot be filled.
    pub fn worked_out_of(&self, plan: &Path) -> Result<Option<WorkedOut>, Failed> {
        match self.read_plan(plan) {
            Ok(visit) => Ok(Some(self.worked_out(&visit)?)),
            Err(ReadError::Mistakes(_)) => Ok(None),
            Err(ReadError::Failed(failed)) => Err(failed),
        }
    }

    /// Why each statement of a visit's papers is there.
    ///
    /// # Errors
    /// As [`Practice::worked_out`].
    pub fn why_printed(&self, visit: &Visit) -> Result<Vec<WhyPrinted>, MakeError> {
        let selection = select(self.catalogue(), &self.clinic, visit)?;
        let wording = self.own_wording()?;
        Ok(compose::why_printed(&selection, wording.recorded())?)
    }

    /// What can matter for these areas, whatever else is planned; areas that are not known are passed over.
    pub fn facts_for(&self, areas: &[String]) -> Vec<&Fact> {
        let known = areas.iter().filter_map(|id| self.catalogue().area(id));
        facts_for(self.catalogue(), &known.collect::<Vec<_>>())
    }

    /// The words that a plan of this practice may use.
    pub fn vocabulary(&self) -> &Vocabulary {
        &self.files.vocabulary
    }

    /// Every file that this practice was opened from besides its clinic file, those that are not there among them.
    pub fn files_read(&self) -> Vec<PathBuf> {
        let mut files: Vec<PathBuf> = self.files.approvals_path().into_iter().collect();
        if let Some(overlay) = &self.clinic.overlay {
            let home = self.files.path.parent().unwrap_or(Path::new(""));
            add_files(&home.join(overlay), &mut files);
        }
        files
    }
}

/// The files of a folder and of those in it; what cannot be listed is left out, as opening has judged it already.
fn add_files(folder: &Path, files: &mut Vec<PathBuf>) {
    files.push(folder.to_owned());
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        match entry.file_type() {
            Ok(kind) if kind.is_dir() => add_files(&path, files),
            _ => files.push(path),
        }
    }
}
