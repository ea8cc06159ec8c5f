//! Turns paths from the command line into opened practices and plans; shows what is wrong with their files.
//! Invariant: every mistake of a plan and its clinic is shown in one go; a clinic is opened once for all its plans.
//! Must not: work anything out from a visit.

use std::collections::BTreeMap;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::catalogue::Catalogue;
use crate::diagnose::Style;
use crate::plan::Visit;
use crate::practice::{ClinicFiles, Mistakes, OpenError, OpenOptions, Practice, ReadError};
use crate::wording::Wording;

/// Practices by clinic file, opened on first use.
#[derive(Default)]
pub struct Practices {
    /// The clinic file for all plans; none: the one beside each plan.
    given: Option<PathBuf>,
    options: OpenOptions,
    opened: BTreeMap<PathBuf, Result<Practice, Box<ClinicFiles>>>,
}

/// What came of reading a plan.
pub enum Reading<'p> {
    Fine(&'p Practice, Box<Visit>),
    /// The files have mistakes; they were shown.
    Mistakes(Mistakes),
}

fn style() -> Style {
    if std::io::stderr().is_terminal() {
        Style::Coloured
    } else {
        Style::Plain
    }
}

pub fn show(mistakes: &Mistakes) {
    anstream::eprint!("{}", mistakes.render(style()));
}

impl Practices {
    pub fn new(clinic: Option<&Path>, fonts: Option<&Path>) -> Practices {
        Practices {
            given: clinic.map(Path::to_owned),
            options: OpenOptions {
                fonts: fonts.map(Path::to_owned),
            },
            opened: BTreeMap::new(),
        }
    }

    /// Reads a plan with the practice it belongs to.
    ///
    /// # Errors
    /// A file cannot be read at all, or there is no clinic file.
    pub fn read(&mut self, plan: &Path) -> anyhow::Result<Reading<'_>> {
        let path = match &self.given {
            Some(given) => given.clone(),
            None => ClinicFiles::beside(plan)?,
        };
        if !self.opened.contains_key(&path) {
            let opened = match Practice::open_with(&path, &self.options) {
                Ok(practice) => Ok(practice),
                Err(OpenError::Mistakes(files)) => Err(files),
                Err(OpenError::Failed(failed)) => return Err(failed.into()),
            };
            self.opened.insert(path.clone(), opened);
        }
        match &self.opened[&path] {
            Ok(practice) => match practice.read_plan(plan) {
                Ok(visit) => Ok(Reading::Fine(practice, Box::new(visit))),
                Err(ReadError::Mistakes(mistakes)) => {
                    show(&mistakes);
                    Ok(Reading::Mistakes(mistakes))
                }
                Err(ReadError::Failed(failed)) => Err(failed.into()),
            },
            Err(files) => {
                let mistakes = files.mistakes.clone().and(files.mistakes_of_plan(plan)?);
                show(&mistakes);
                Ok(Reading::Mistakes(mistakes))
            }
        }
    }
}

/// The practice of a command that takes no plan; none when its files have mistakes, which were shown.
///
/// # Errors
/// A file cannot be read at all.
pub fn practice(clinic: &Path) -> anyhow::Result<Option<Practice>> {
    practice_with(clinic, None)
}

/// The same with a folder of fonts in place of the clinic's.
///
/// # Errors
/// As `practice`, and when the fonts cannot be read.
pub fn practice_with(clinic: &Path, fonts: Option<&Path>) -> anyhow::Result<Option<Practice>> {
    let options = OpenOptions {
        fonts: fonts.map(Path::to_owned),
    };
    match Practice::open_with(clinic, &options) {
        Ok(practice) => Ok(Some(practice)),
        Err(OpenError::Mistakes(files)) => {
            show(&files.mistakes);
            Ok(None)
        }
        Err(OpenError::Failed(failed)) => Err(failed.into()),
    }
}

/// The files of a clinic, for a command that needs no fonts; none when they have mistakes, which were shown.
///
/// # Errors
/// A file cannot be read at all.
pub fn clinic_files(clinic: &Path) -> anyhow::Result<Option<ClinicFiles>> {
    Ok(clinic_files_as_they_are(clinic)?.filter(|files| files.mistakes.is_empty()))
}

/// The same, with an overlay that has mistakes as far as it could be read; none only when the clinic file itself has some.
///
/// # Errors
/// A file cannot be read at all.
pub fn clinic_files_as_they_are(clinic: &Path) -> anyhow::Result<Option<ClinicFiles>> {
    let files = ClinicFiles::read(clinic)?;
    show(&files.mistakes);
    Ok(Some(files).filter(|files| files.clinic.is_some()))
}

/// Catalogue and wording of a command that can do without a clinic: the release's in English, or the clinic's own.
/// `None` when the files of the clinic have mistakes, which were shown.
///
/// # Errors
/// A file cannot be read at all.
pub fn catalogue_and_wording(
    clinic: Option<&Path>,
) -> anyhow::Result<Option<(Catalogue, Arc<Wording>)>> {
    let Some(path) = clinic else {
        let language = "en".parse().expect("`en` is a language tag");
        let wording = Wording::new(&language, "GB")?;
        return Ok(Some((Catalogue::embedded().clone(), Arc::new(wording))));
    };
    let Some(practice) = practice(path)? else {
        return Ok(None);
    };
    let wording = practice.own_wording()?;
    Ok(Some((practice.catalogue().clone(), wording)))
}
