//! Turns the folder that was opened into its practice, opened anew when one of its files has changed.
//! Invariant: nothing outside the folder is read or written but the clinic file that was named with it.
//! Must not: keep what belongs to one visit.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::SystemTime;

use sha2::{Digest, Sha256};

use super::page::Pages;
use crate::domain::digest::hexadecimal;
use crate::practice::{ClinicFiles, Failed, OpenError, Practice};
use crate::wording::{Wording, WordingError};

/// The folder that papers and packs go to, in the folder of the plans.
const PAPERS: &str = "papers";

/// The opened folder.
pub(super) struct House {
    folder: PathBuf,
    clinic: Option<PathBuf>,
    opened: Mutex<Option<Arc<Opened>>>,
}

/// A practice with the words of its desk.
pub(super) struct Opened {
    pub practice: Practice,
    pub words: Arc<Wording>,
    pub pages: Pages,
    /// The files that it was read from, as they were.
    pub stamp: Stamp,
}

/// Why there is no practice.
pub(super) enum Closed {
    /// The folder has no clinic file.
    Empty,
    Mistakes(Box<ClinicFiles>),
    Failed(Failed),
}

/// Tells whether files have changed: name, size and time of each.
pub(super) type Stamp = Vec<(PathBuf, u64, Option<SystemTime>)>;

impl House {
    pub fn new(folder: &Path, clinic: Option<&Path>) -> House {
        House {
            folder: folder.to_owned(),
            clinic: clinic.map(Path::to_owned),
            opened: Mutex::default(),
        }
    }

    /// The same folder, for work that goes on behind an answer.
    pub fn again(&self) -> House {
        House::new(&self.folder, self.clinic.as_deref())
    }

    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// What the folder is called, for the foot of a page.
    pub fn name(&self) -> String {
        let whole = self.folder.canonicalize().ok();
        let name = whole.as_deref().and_then(Path::file_name);
        crate::practice::shown(Path::new(name.unwrap_or(self.folder.as_os_str())))
    }

    pub fn papers(&self) -> PathBuf {
        self.folder.join(PAPERS)
    }

    /// The clinic file, where there is one.
    pub fn clinic_file(&self) -> Option<PathBuf> {
        let named = self.clinic.clone();
        named.or_else(|| ClinicFiles::in_folder(&self.folder))
    }

    /// The practice as its files are now.
    ///
    /// # Errors
    /// See [`Closed`].
    pub fn open(&self) -> Result<Arc<Opened>, Closed> {
        let clinic = self.clinic_file().ok_or(Closed::Empty)?;
        let mut opened = self
            .opened
            .lock()
            .unwrap_or_else(|broken| broken.into_inner());
        if let Some(known) = opened.as_ref()
            && known.stamp == stamp_of(&clinic, Some(&known.practice))
        {
            return Ok(known.clone());
        }
        // taken before the files are read: what changes in between is seen the next time
        let before = stamp_of(&clinic, None);
        let practice = Practice::open(&clinic).map_err(|error| match error {
            OpenError::Mistakes(files) => Closed::Mistakes(files),
            OpenError::Failed(failed) => Closed::Failed(failed),
        })?;
        let fail =
            |error: WordingError| Closed::Failed(Failed::doing("the desk has no words", error));
        let words = Arc::new(
            practice
                .own_wording()
                .map_err(fail)?
                .for_the_desk()
                .map_err(fail)?,
        );
        let pages = Pages::new(words.clone());
        let stamp = stamp_of(&clinic, Some(&practice));
        let new = Arc::new(Opened {
            practice,
            words,
            pages,
            stamp,
        });
        let unchanged = before.iter().all(|file| new.stamp.contains(file));
        *opened = unchanged.then(|| new.clone());
        Ok(new)
    }

    /// The plans of the folder by name, and nothing else of it.
    ///
    /// # Errors
    /// The folder cannot be read.
    pub fn plan_files(&self) -> std::io::Result<Vec<String>> {
        let clinic = self.clinic_file();
        let clinic = clinic.as_deref().and_then(Path::file_name);
        let mut names = Vec::new();
        for entry in std::fs::read_dir(&self.folder)? {
            let name = entry?.file_name();
            let path = Path::new(&name);
            let is_plan =
                crate::diagnose::Format::of(path).is_some() && Some(name.as_os_str()) != clinic;
            if let Some(name) = name
                .to_str()
                .filter(|name| is_plan && !name.starts_with('.'))
            {
                names.push(name.to_owned());
            }
        }
        names.sort();
        Ok(names)
    }
}

/// The clinic file, and with its practice what else that was read from.
fn stamp_of(clinic: &Path, practice: Option<&Practice>) -> Stamp {
    let mut files = vec![clinic.to_owned()];
    if let Some(practice) = practice {
        files.extend(practice.files_read());
    }
    let mut stamp: Stamp = files
        .into_iter()
        .map(|path| {
            let known = std::fs::metadata(&path).ok();
            let size = known.as_ref().map_or(0, std::fs::Metadata::len);
            let time = known.and_then(|known| known.modified().ok());
            (path, size, time)
        })
        .collect();
    stamp.sort();
    stamp.dedup();
    stamp
}

/// How a file is called in an address: no name of a file, which may be that of a patient, stands in one.
pub(super) fn code_of(secret: &str, name: &str) -> String {
    let digest = Sha256::new()
        .chain_update(secret)
        .chain_update("\0")
        .chain_update(name);
    hexadecimal(&digest.finalize()[..10])
}
