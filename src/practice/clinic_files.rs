//! Turns the path of a clinic file into what it and its overlay say, right or wrong.
//! Invariant: every mistake of every file is found in one go, and plans can be read for their own mistakes all the same.
//! Must not: print, or make anything from files that have mistakes.

use std::path::{Path, PathBuf};

use super::failed::While;
use super::overlay_folder::read_overlay;
use super::{Failed, Mistakes};
use crate::diagnose::{Diagnostic, OpenError as FileError, SourceFile};
use crate::overlay::Overlay;
use crate::papers;
use crate::plan::{self, Clinic, Visit, Vocabulary};
use crate::wording::{Approvals, serves};

/// What the files of a clinic say.
#[derive(Debug)]
pub struct ClinicFiles {
    pub(super) path: PathBuf,
    pub(super) source: Option<SourceFile>,
    /// None: the clinic file has mistakes.
    pub clinic: Option<Clinic>,
    /// As far as it could be read.
    pub overlay: Overlay,
    /// What is wrong with the clinic file, the overlay, or both together.
    pub mistakes: Mistakes,
    pub(super) vocabulary: Vocabulary,
}

/// A file, or the mistakes that keep it from being one.
pub(super) fn open(path: &Path) -> Result<Result<SourceFile, Diagnostic>, Failed> {
    match SourceFile::open(path) {
        Ok(source) => Ok(Ok(source)),
        Err(FileError::Refused(diagnostic)) => Ok(Err(*diagnostic)),
        Err(FileError::Io { path, source }) => {
            let name = super::shown(&path);
            Err(Failed::doing(format!("cannot read {name}"), source))
        }
    }
}

impl ClinicFiles {
    /// Reads a clinic file and its overlay.
    ///
    /// # Errors
    /// A file or folder cannot be read at all.
    pub fn read(path: &Path) -> Result<ClinicFiles, Failed> {
        let mut mistakes = Mistakes::default();
        let source = match open(path)? {
            Ok(source) => source,
            Err(diagnostic) => {
                mistakes.add_bare(vec![diagnostic]);
                let overlay = Overlay::none();
                return Ok(ClinicFiles {
                    path: path.to_owned(),
                    source: None,
                    clinic: None,
                    vocabulary: vocabulary(&overlay),
                    overlay,
                    mistakes,
                });
            }
        };
        let mut overlay = read_overlay(&source, path, &mut mistakes)?;
        mistakes.extend(overlay.mistakes.iter().cloned());
        let vocabulary = vocabulary(&overlay);
        let clinic = match plan::read_clinic(&source, &vocabulary) {
            Ok(mut clinic) => {
                let found = serves(&clinic.language)
                    .map_or(Vec::new(), |base| overlay.unworded(base, None));
                if !found.is_empty() {
                    mistakes.add_bare(found.clone());
                    overlay.mistakes.push(crate::overlay::Mistakes {
                        source: None,
                        found,
                    });
                }
                clinic.branding = overlay.branding.clone();
                Some(clinic)
            }
            Err(found) => {
                mistakes.add(&source, found);
                None
            }
        };
        Ok(ClinicFiles {
            path: path.to_owned(),
            source: Some(source),
            clinic,
            overlay,
            mistakes,
            vocabulary,
        })
    }

    /// The clinic file that belongs to a plan: `clinic.toml` or `clinic.json` beside it.
    ///
    /// # Errors
    /// There is no such plan, or no clinic file beside it.
    pub fn beside(plan: &Path) -> Result<PathBuf, Failed> {
        let name = super::shown(plan);
        std::fs::metadata(plan).while_doing(|| format!("cannot read {name}"))?;
        let folder = plan.parent().unwrap_or(Path::new(""));
        ClinicFiles::in_folder(folder).ok_or_else(|| {
            Failed::because(format!(
                "no clinic file: put clinic.toml beside {name} or name one with --clinic FILE; `beforehand desk` writes a first one into an empty folder"
            ))
        })
    }

    /// The clinic file of a folder, where it has one: `clinic.toml` or `clinic.json`.
    pub fn in_folder(folder: &Path) -> Option<PathBuf> {
        let names = ["clinic.toml", "clinic.json"].iter();
        names
            .map(|name| folder.join(name))
            .find(|path| path.exists())
    }

    /// The clinic file, as it was named.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Reads a plan as far as the clinic's files allow, for its own mistakes.
    pub(super) fn visit(&self, source: &SourceFile, mistakes: &mut Mistakes) -> Option<Visit> {
        let visit = match plan::read_plan(source, &self.vocabulary, self.clinic.as_ref()) {
            Ok(visit) => visit,
            Err(found) => {
                mistakes.add(source, found);
                return None;
            }
        };
        // areas of the clinic's own must have words in the patient's language too
        let of_clinic = self
            .clinic
            .as_ref()
            .and_then(|clinic| serves(&clinic.language));
        if let Some(base) = visit.patient.language.as_ref().and_then(serves)
            && Some(base) != of_clinic
        {
            let planned = visit.areas.iter().map(|area| area.id.clone()).collect();
            let found = self.overlay.unworded(base, Some(&planned));
            if !found.is_empty() {
                mistakes.add_bare(found);
                return None;
            }
        }
        Some(visit)
    }

    /// The mistakes of a plan that show although the clinic's files have some of their own.
    ///
    /// # Errors
    /// The plan cannot be read at all.
    pub fn mistakes_of_plan(&self, plan: &Path) -> Result<Mistakes, Failed> {
        let mut mistakes = Mistakes::default();
        match open(plan)? {
            Ok(source) => {
                self.visit(&source, &mut mistakes);
            }
            Err(diagnostic) => mistakes.add_bare(vec![diagnostic]),
        }
        Ok(mistakes)
    }

    /// Where the clinic's approvals are kept; none when the clinic file has mistakes.
    pub fn approvals_path(&self) -> Option<PathBuf> {
        let named = self.clinic.as_ref()?.approvals.as_deref();
        let folder = self.path.parent().unwrap_or(Path::new(""));
        Some(folder.join(named.unwrap_or(Path::new("approvals.toml"))))
    }
}

/// The words of plan and clinic files, the names of the clinic's own areas among them even when they have mistakes.
fn vocabulary(overlay: &Overlay) -> Vocabulary {
    let mut vocabulary = papers::vocabulary(&overlay.catalogue);
    for area in &overlay.areas {
        if vocabulary.area(area).is_none() {
            vocabulary.areas.push(plan::AreaWord {
                id: area.clone(),
                sides: plan::Side::ALL.to_vec(),
            });
        }
    }
    vocabulary
}

/// The approvals of a clinic; none when the file is not there.
///
/// # Errors
/// The file is there but cannot be read, or is not what `wording approve` writes.
pub(super) fn read_approvals(path: &Path) -> Result<Approvals, Failed> {
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Approvals::none()),
        Err(error) => {
            return Err(Failed::doing(
                format!("cannot read {}", super::shown(path)),
                error,
            ));
        }
    };
    toml::from_str(&text)
        .while_doing(|| format!("{} is not a list of approvals", super::shown(path)))
}
