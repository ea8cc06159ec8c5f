//! Turns a clinic's folder into an opened practice that reads plans, says what must be decided and makes papers.
//! Invariant: everything a front end needs is asked for here, and an opened practice holds nothing that a question changes, so
//! that several threads may share one.
//! Must not: print, exit, parse arguments, or know what a front end looks like.
//!
//! ```
//! use beforehand::practice::{MakeOptions, Practice};
//!
//! let practice = Practice::open("samples/linden-court/clinic.toml".as_ref())?;
//! let visit = practice.read_plan("samples/linden-court/news-reader.toml".as_ref())?;
//! for caution in practice.cautions(&visit)? {
//!     println!("{}: {}", caution.level, caution.text);
//! }
//! let papers = practice.make(&visit, &MakeOptions::default())?;
//! for file in papers.files(&[])? {
//!     println!("{}: {} bytes", file.name, file.bytes.len());
//! }
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod approving;
mod book;
mod clinic_files;
mod day;
mod day_pack;
mod day_work;
mod explained;
mod failed;
mod files;
mod mistakes;
mod out_folder;
mod overlay_folder;
mod plan_folder;
mod plan_saving;
mod release_words;
mod report;
mod schemas;
mod starter;
mod tracing;
mod worked_out;
mod workers;
mod writing;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock};

use unic_langid::LanguageIdentifier;

use crate::catalogue::Catalogue;
use crate::compose;
use crate::diagnose::{self, Diagnostic, SourceFile};
use crate::domain::digest;
use crate::overlay::Overlay;
use crate::papers::{self, Inputs};
use crate::plan::{Clinic, UserText, Visit};
use crate::record;
use crate::select::select;
use crate::typeset::{Fonts, Typesetter};
use crate::wording::{Approvals, Wording, WordingError};

pub use crate::select::AnswerStanding;
pub use approving::{ApproveError, Approved, Approver, Read, WordingStatus};
pub use book::WordingBook;
pub use clinic_files::ClinicFiles;
pub use day::{Copies, Day, DayVisit};
pub use day_pack::DayPack;
pub use day_work::Worked;
pub use explained::explained;
pub use failed::{Failed, shown};
pub use files::{Content, PaperFile, Wanted};
pub use mistakes::Mistakes;
pub use out_folder::{OutFolder, Written};
pub use papers::{GivenAnswer, MakeError, MakeOptions, NotAskedLine, Paper, Papers, WordedCaution};
pub use plan_saving::{Saved, new_plan_name, save_plan};
pub use release_words::{ExportError, export_words};
pub use report::{JSON_VERSION, PaperLine, RiskLine, StatementLine, VisitReport};
pub use schemas::{SchemaOf, schema};
pub use starter::starter_plan;
pub use tracing::{Bytes, Change, RegisterLine, Today, Trace, Trouble};
pub use workers::{Job, WorkerProgram, answer_to, work_on};
pub use writing::create;

/// What a practice is opened with besides its own folder.
#[derive(Debug, Clone, Default)]
pub struct OpenOptions {
    /// A folder with fonts for scripts that the built-in fonts lack, in place of the one the clinic file names.
    pub fonts: Option<PathBuf>,
}

/// Why a practice could not be opened.
#[derive(Debug)]
pub enum OpenError {
    /// Its files have mistakes; plans can still be read for theirs.
    Mistakes(Box<ClinicFiles>),
    Failed(Failed),
}

/// Why a plan could not be read.
#[derive(Debug)]
pub enum ReadError {
    Mistakes(Mistakes),
    Failed(Failed),
}

macro_rules! mistakes_or_failed {
    ($error:ident, |$mistakes:ident| $list:expr) => {
        impl std::fmt::Display for $error {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                match self {
                    $error::Mistakes($mistakes) => {
                        f.write_str($list.render(diagnose::Style::Plain).trim_end())
                    }
                    $error::Failed(failed) => failed.fmt(f),
                }
            }
        }

        impl std::error::Error for $error {
            fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
                match self {
                    $error::Mistakes(_) => None,
                    $error::Failed(failed) => failed.source(),
                }
            }
        }

        impl From<Failed> for $error {
            fn from(failed: Failed) -> $error {
                $error::Failed(failed)
            }
        }
    };
}

mistakes_or_failed!(OpenError, |files| files.mistakes);
mistakes_or_failed!(ReadError, |mistakes| mistakes);

/// A clinic's folder, opened.
pub struct Practice {
    files: ClinicFiles,
    clinic: Clinic,
    approvals: Approvals,
    typesetter: Typesetter,
    /// Filled on first use; a wording depends on its language and the clinic alone.
    wordings: Mutex<BTreeMap<String, Arc<Wording>>>,
    standing_input: OnceLock<String>,
}

impl Practice {
    /// Opens the practice of a clinic file: the file, its overlay, its approvals, fonts.
    ///
    /// # Errors
    /// Every mistake in these files at once, or what the machine refused.
    pub fn open(clinic_file: &Path) -> Result<Practice, OpenError> {
        Practice::open_with(clinic_file, &OpenOptions::default())
    }

    /// The same with options.
    ///
    /// # Errors
    /// As [`Practice::open`].
    pub fn open_with(clinic_file: &Path, options: &OpenOptions) -> Result<Practice, OpenError> {
        // where there is a second core, the templates are ready when the first plan is read; where no thread can be had, later
        let _ = std::thread::Builder::new().spawn(Typesetter::prepare);
        let mut files = ClinicFiles::read(clinic_file)?;
        let clinic = match files.clinic.take() {
            Some(clinic) if files.mistakes.is_empty() => clinic,
            clinic => {
                files.clinic = clinic;
                return Err(OpenError::Mistakes(Box::new(files)));
            }
        };
        let typesetter = typesetter(options.fonts.as_deref(), &clinic, clinic_file)?;
        files.clinic = Some(clinic.clone());
        if let Some(source) = &files.source {
            let found = unprintable(&clinic.texts, source, typesetter.fonts());
            if !found.is_empty() {
                files.mistakes.add(&source.clone(), found);
                return Err(OpenError::Mistakes(Box::new(files)));
            }
        }
        let approvals = match files.approvals_path() {
            Some(path) => clinic_files::read_approvals(&path)?,
            None => Approvals::none(),
        };
        Ok(Practice {
            files,
            clinic,
            approvals,
            typesetter,
            wordings: Mutex::default(),
            standing_input: OnceLock::new(),
        })
    }

    /// The clinic with its own words and look.
    pub fn clinic(&self) -> &Clinic {
        &self.clinic
    }

    /// The release's catalogue with the clinic's areas and sources.
    pub fn catalogue(&self) -> &Catalogue {
        &self.files.overlay.catalogue
    }

    /// What the clinic's overlay changes.
    pub fn overlay(&self) -> &Overlay {
        &self.files.overlay
    }

    /// The clinic file, as it was named.
    pub fn clinic_file(&self) -> &Path {
        &self.files.path
    }

    /// The wording of the clinic in a language, filled once and then shared.
    ///
    /// # Errors
    /// No wording in that language.
    pub fn wording(&self, language: &LanguageIdentifier) -> Result<Arc<Wording>, WordingError> {
        let key = language.to_string();
        let known = || {
            self.wordings
                .lock()
                .expect("nothing panics while it holds this")
        };
        if let Some(wording) = known().get(&key) {
            return Ok(wording.clone());
        }
        // made outside the lock: two threads may both make the first, and it is the same
        let wording = Arc::new(papers::wording_in(language, &self.clinic)?);
        Ok(known().entry(key).or_insert(wording).clone())
    }

    /// The wording in the practice's own language.
    ///
    /// # Errors
    /// No wording in that language.
    pub fn own_wording(&self) -> Result<Arc<Wording>, WordingError> {
        self.wording(&self.clinic.language)
    }

    /// Reads a plan.
    ///
    /// # Errors
    /// Every mistake in it at once, or what the machine refused.
    pub fn read_plan(&self, path: &Path) -> Result<Visit, ReadError> {
        match clinic_files::open(path)? {
            Ok(source) => self.read_source(&source),
            Err(diagnostic) => {
                let mut mistakes = Mistakes::default();
                mistakes.add_bare(vec![diagnostic]);
                Err(ReadError::Mistakes(mistakes))
            }
        }
    }

    /// Reads a plan that did not come from a file.
    ///
    /// # Errors
    /// Every mistake in it at once.
    pub fn read_source(&self, source: &SourceFile) -> Result<Visit, ReadError> {
        let mut mistakes = Mistakes::default();
        if let Some(visit) = self.files.visit(source, &mut mistakes) {
            let found = unprintable(&visit.texts, source, self.typesetter.fonts());
            if found.is_empty() {
                return Ok(visit);
            }
            mistakes.add(source, found);
        }
        Err(ReadError::Mistakes(mistakes))
    }

    /// What the practitioner must look at before this visit, strictest first, in the practice's language.
    ///
    /// # Errors
    /// The visit was read by another practice, or a sentence cannot be filled.
    pub fn cautions(&self, visit: &Visit) -> Result<Vec<WordedCaution>, MakeError> {
        let selection = select(self.catalogue(), &self.clinic, visit)?;
        let wording = self.own_wording()?;
        Ok(compose::cautions_said(&selection, wording.recorded())?)
    }

    /// Makes the papers of a visit in memory: laid out, and each held against what it must contain.
    ///
    /// # Errors
    /// See [`MakeError`]; never a mistake of the plan.
    pub fn make<'p>(
        &'p self,
        visit: &'p Visit,
        options: &MakeOptions,
    ) -> Result<Papers<'p>, MakeError> {
        let made_from = self.made_from(visit, options)?;
        self.make_from(visit, options, made_from)
    }

    /// The same where it was worked out already what they are made from.
    fn make_from<'p>(
        &'p self,
        visit: &'p Visit,
        options: &MakeOptions,
        made_from: String,
    ) -> Result<Papers<'p>, MakeError> {
        let mut options = options.clone();
        if options.wording.is_none() {
            options.wording = Some(self.wording(self.language_of(visit))?);
        }
        if options.practice_wording.is_none() {
            options.practice_wording = Some(self.own_wording()?);
        }
        let inputs = Inputs {
            catalogue: self.catalogue(),
            clinic: &self.clinic,
            visit,
            approvals: &self.approvals,
            typesetter: &self.typesetter,
        };
        let mut papers = papers::make(inputs, &options)?;
        papers.made_from = Some(made_from);
        Ok(papers)
    }

    /// The language that the patient reads.
    fn language_of<'p>(&'p self, visit: &'p Visit) -> &'p LanguageIdentifier {
        let own = visit.patient.language.as_ref();
        own.unwrap_or(&self.clinic.language)
    }

    /// Digest of everything that the papers of a visit are made from: two visits with the same one have the same papers.
    ///
    /// # Errors
    /// No wording in a language of the visit.
    pub fn made_from(&self, visit: &Visit, options: &MakeOptions) -> Result<String, WordingError> {
        let given = |wording: &Option<Arc<Wording>>, language| match wording {
            Some(wording) => Ok(wording.clone()),
            None => self.wording(language),
        };
        let patients = given(&options.wording, self.language_of(visit))?;
        let own = given(&options.practice_wording, &self.clinic.language)?;
        let options = format!("{} {:?}", options.large_print, options.staff_copy);
        let others = [self.standing_input(), &options].map(str::as_bytes);
        Ok(record::made_from(visit, [&patients, &own], &others))
    }

    /// Digest of what papers are made from and no visit changes, worked out once.
    fn standing_input(&self) -> &str {
        self.standing_input.get_or_init(|| {
            let approvals =
                serde_json::to_string(&self.approvals).expect("approvals are strings in lists");
            let clinic = self.files.source.as_ref().map_or("", SourceFile::text);
            let own = [
                clinic,
                &self.clinic.branding.digest,
                &approvals,
                self.typesetter.fonts().digest(),
            ];
            let templates = Typesetter::templates().iter().map(|(_, text)| *text);
            digest::of_parts(own.into_iter().chain(templates).map(str::as_bytes))
        })
    }
}

fn typesetter(
    fonts: Option<&Path>,
    clinic: &Clinic,
    clinic_path: &Path,
) -> Result<Typesetter, Failed> {
    let folder = match (fonts, &clinic.fonts) {
        (Some(given), _) => given.to_owned(),
        (None, Some(own)) => clinic_path.parent().unwrap_or(Path::new("")).join(own),
        (None, None) => return Ok(Typesetter::embedded()),
    };
    Typesetter::with_fonts(&folder).map_err(|error| {
        let doing = format!("cannot read the fonts in {}", shown(&folder));
        Failed::doing(doing, error)
    })
}

/// Every text with a character that no loaded font can draw.
fn unprintable(texts: &[UserText], source: &SourceFile, fonts: &Fonts) -> Vec<Diagnostic> {
    texts
        .iter()
        .filter_map(|text| Some((text, fonts.missing(&text.text)?)))
        .map(|(text, character)| {
            Diagnostic::new(
                source,
                diagnose::Code::UnprintableCharacter,
                text.span.clone(),
                format!(
                    "No loaded font can print {} in this text.",
                    diagnose::character_name(character)
                ),
                "Put a font that has it into a folder and name the folder with --fonts DIR, or as `fonts` in the clinic file.",
            )
            .at(text.path.clone())
        })
        .collect()
}
