//! Turns finished papers into files of one folder, each in its register.
//! Invariant: a paper is never there without its line in the register; files of two visits never share a name in one run, and
//! another patient's papers of an earlier run are never replaced; the files of a visit are all staged before the first older one is replaced.
//! Must not: decide what may be written (that is `Papers::files`).

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::{Content, Failed, Papers, Wanted, shown, writing};
use crate::domain::digest;
use crate::paper::PaperKind;
use crate::record::{self, Appender, Entry, RegisterError, register};

/// A folder that papers go to.
///
/// ```
/// use std::path::Path;
///
/// use beforehand::{MakeOptions, OutFolder, PaperKind, Practice, Trace, Wanted, Written};
///
/// let practice = Practice::open(Path::new("samples/linden-court/clinic.toml"))?;
/// let visit = practice.read_plan(Path::new("samples/linden-court/jaw-second-round.toml"))?;
/// let papers = practice.make(&visit, &MakeOptions::default())?;
///
/// let folder = tempfile::tempdir()?;
/// let mut out = OutFolder::new(folder.path(), None);
/// let only = [Wanted::Paper(PaperKind::Aftercare), Wanted::Calendar];
/// let Written::Files { files, .. } = out.write("jaw-second-round.toml", &papers, &only)? else {
///     unreachable!("no other plan was written into this folder");
/// };
/// // the sheet to take home, the same as a page for a telephone, and the dates for a calendar
/// assert_eq!(files.len(), 3);
///
/// // the register beside them knows the paper again
/// let trace = Trace::of_file(&files[0].0, None, &practice.clinic().branding)?;
/// assert!(trace.is_settled());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug)]
pub struct OutFolder {
    folder: PathBuf,
    register: Appender,
    swept: bool,
    /// What the files of a visit are called, to the plan they were written for.
    taken: BTreeMap<String, String>,
}

/// What came of writing the papers of one visit.
#[derive(Debug)]
pub enum Written {
    /// Files in the order they were written, and files of an earlier run that must not be used any more.
    Files {
        files: Vec<(PathBuf, Content)>,
        outdated: Vec<PathBuf>,
    },
    /// Nothing was written: this plan of the same run has the same record number and date.
    SameNames { plan: String },
    /// Nothing was written: this paper of an earlier run has the same record number and date, and another patient's name or
    /// date of birth.
    OtherPatient { paper: PathBuf },
}

fn cannot_use(register: &Appender, error: RegisterError) -> Failed {
    let name = shown(register.path());
    let doing = format!("cannot use the register {name} (--register FILE names another)");
    Failed::doing(doing, error)
}

impl OutFolder {
    /// Papers go to `folder`, which is made when it is not there, and are noted in `register`, or in the folder's own.
    pub fn new(folder: &Path, register: Option<&Path>) -> OutFolder {
        let own = || folder.join(register::FILE_NAME);
        OutFolder {
            folder: folder.to_owned(),
            register: Appender::new(&register.map_or_else(own, Path::to_owned)),
            swept: false,
            taken: BTreeMap::new(),
        }
    }

    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Removes what a run that was killed has left half written here, unless another run is writing.
    pub fn sweep(&mut self) {
        if !std::mem::replace(&mut self.swept, true) {
            writing::sweep(&self.folder);
        }
    }

    /// The papers that this folder already has of a visit, where all of them were made from `made_from` and each is still the
    /// file that was noted; none where anything has to be made. `calendar` is the visit's calendar as it is today.
    ///
    /// # Errors
    /// The register is there and cannot be read.
    pub(super) fn finished(
        &mut self,
        made_from: &str,
        names: &[(PaperKind, String)],
        calendar: Option<(&str, &[u8])>,
    ) -> Result<Option<Vec<(PaperKind, PathBuf)>>, Failed> {
        let noted = match self.register.made_from(made_from) {
            Ok(noted) => noted.cloned(),
            Err(error) => return Err(cannot_use(&self.register, error)),
        };
        let Some(noted) = noted else {
            return Ok(None);
        };
        let as_noted = |(_, name): &(PaperKind, String)| {
            let bytes = std::fs::read(self.folder.join(name)).ok();
            bytes.is_some_and(|bytes| noted.get(name) == Some(&digest::sha256(&bytes)))
        };
        let as_today = |(name, today): (&str, &[u8])| {
            std::fs::read(self.folder.join(name)).is_ok_and(|bytes| bytes == today)
        };
        if !names.iter().all(as_noted) || !calendar.is_none_or(as_today) {
            return Ok(None);
        }
        let paths = names
            .iter()
            .map(|(kind, name)| (*kind, self.folder.join(name)));
        Ok(Some(paths.collect()))
    }

    /// Writes the papers of one visit; `plan` is what its file is called in messages.
    ///
    /// # Errors
    /// Nothing is replaced unless everything could be staged and noted in the register.
    pub fn write(
        &mut self,
        plan: &str,
        papers: &Papers<'_>,
        only: &[Wanted],
    ) -> Result<Written, Failed> {
        let stem = papers.visit_stem();
        if let Some(other) = self.taken.get(&stem) {
            return Ok(Written::SameNames {
                plan: other.clone(),
            });
        }
        self.taken.insert(stem, plan.to_owned());
        self.sweep();
        if let Some(paper) = self.paper_of_another(papers) {
            return Ok(Written::OtherPatient { paper });
        }
        // everything is finished in memory before the first file is written
        let files = papers.files(only)?;
        let entries: Vec<Entry> = files.iter().filter_map(|file| file.entry.clone()).collect();
        let paths: Vec<PathBuf> = files
            .iter()
            .map(|file| self.folder.join(&file.name))
            .collect();
        let staged = paths
            .iter()
            .zip(&files)
            .map(|(path, file)| (path.as_path(), file.bytes.as_slice()));
        let register = &mut self.register;
        writing::replace_papers(&self.folder, staged, || {
            let appended = register.append(&entries);
            appended.map_err(|error| cannot_use(register, error))
        })?;
        let outdated = match papers.is_stopped() {
            false => Vec::new(),
            true => papers
                .names_under_no_stop()
                .into_iter()
                .map(|name| self.folder.join(name))
                .filter(|path| path.exists())
                .collect(),
        };
        let contents = files.into_iter().map(|file| file.content);
        Ok(Written::Files {
            files: paths.into_iter().zip(contents).collect(),
            outdated,
        })
    }

    /// A paper in the folder that has a name of this visit and says itself that it is another patient's. A file that says
    /// nothing of the kind (of an older program, or none of ours) is replaced as before.
    fn paper_of_another(&self, papers: &Papers<'_>) -> Option<PathBuf> {
        let own = record::patient_mark(&papers.selection.visit.patient);
        let there = papers.names_of_papers().into_iter();
        there.map(|name| self.folder.join(name)).find(|path| {
            let bytes = std::fs::read(path).ok();
            let record = bytes.and_then(|bytes| record::read(&bytes).ok());
            record
                .and_then(|record| record.patient)
                .is_some_and(|mark| mark != own)
        })
    }
}
