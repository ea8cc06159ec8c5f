//! Turns a finished paper, or the code read off one, into which words it was printed in, whether it is as made, and what
//! reads differently today.
//! Invariant: "as made" is said only when the register has these very bytes; old words are shown only when they fit their digest.
//! Must not: write anything, or judge whether a difference matters.

use std::path::Path;

use serde::{Serialize, Serializer};

use super::failed::While;
use super::{Failed, JSON_VERSION, shown};
use crate::domain::digest;
use crate::plan::Branding;
use crate::record::{self, DocumentCode, Record, Register, register};
use crate::wording::Wording;

/// More than any paper has; a larger file is somebody's mistake.
const LARGEST: u64 = 256 * 1024 * 1024;

/// What is known about one paper.
#[derive(Debug, Serialize)]
#[serde(rename_all = "snake_case")]
pub struct Trace {
    /// Of this form of the data.
    pub version: u32,
    /// What was asked about: a file or a code.
    pub asked: String,
    /// Why nothing can be said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub problem: Option<String>,
    /// The same by its kind, for whoever says it in another language.
    #[serde(skip)]
    pub trouble: Option<Trouble>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub code: Option<String>,
    pub bytes: Bytes,
    /// Where the register has papers of this code.
    pub register: Vec<RegisterLine>,
    /// Code of the paper that was made after this one under the same name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub superseded_by: Option<String>,
    /// Lines of the register that could not be read.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub unreadable_lines: Vec<usize>,
    #[serde(
        skip_serializing_if = "Option::is_none",
        serialize_with = "record_as_data"
    )]
    pub record: Option<Record>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub today: Option<Today>,
}

/// Why nothing can be said of what was asked about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Trouble {
    /// It is no code; the one that was meant, where the register has only one that is as close.
    NotACode { meant: Option<String> },
    /// The register has no paper of this code.
    Unknown,
    /// The register has the code with a record that belongs to another.
    Altered { belongs_to: String },
    /// The file carries no record that can be read.
    NoRecord,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bytes {
    /// The register has these bytes.
    AsMade,
    /// The register has this code with other bytes.
    Changed,
    /// The register has this file name with another code: the record was altered, or the paper was made elsewhere.
    OtherOfThisName,
    /// The register has neither: it cannot be told.
    NotInRegister,
    /// There is no register to ask.
    NoRegister,
    /// Only a code was given.
    NoFile,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "snake_case")]
pub struct RegisterLine {
    pub line: usize,
    pub file: String,
    pub sha256: String,
}

/// A record held against the library of this program.
#[derive(Debug, Serialize)]
#[serde(rename_all = "snake_case")]
pub struct Today {
    pub wording: String,
    /// The language of the paper is still in the library.
    pub comparable: bool,
    pub changed: Vec<Change>,
    pub other_words_changed: bool,
    pub catalogue_changed: bool,
    /// The paper's overlay is another one than that of the clinic file given, or none was given.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub overlay_differs: bool,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "snake_case")]
pub struct Change {
    pub id: String,
    pub digest: String,
    /// As printed; none when the register does not have these words.
    pub then: Option<String>,
    /// None when the library has no such statement any more.
    pub now: Option<String>,
}

impl Trace {
    fn new(asked: String, bytes: Bytes) -> Trace {
        Trace {
            version: JSON_VERSION,
            asked,
            problem: None,
            trouble: None,
            code: None,
            bytes,
            register: Vec::new(),
            superseded_by: None,
            unreadable_lines: Vec::new(),
            record: None,
            today: None,
        }
    }

    fn problem(mut self, trouble: Trouble, problem: impl Into<String>) -> Trace {
        self.problem = Some(problem.into());
        self.trouble = Some(trouble);
        self
    }

    fn fill(
        &mut self,
        code: DocumentCode,
        record: Record,
        register: Option<&Register>,
        branding: &Branding,
    ) {
        let code = code.to_string();
        if let Some(register) = register {
            self.register = register
                .entries
                .iter()
                .filter(|(_, entry)| entry.code == code)
                .map(|(line, entry)| RegisterLine {
                    line: *line,
                    file: entry.file.clone(),
                    sha256: entry.sha256.clone(),
                })
                .collect();
            let last = self.register.last();
            self.superseded_by = last.and_then(|last| {
                let mut later = register.entries.iter().rev();
                let newest = later.find(|(_, entry)| entry.file == last.file);
                let newer = newest.filter(|(_, entry)| entry.code != code);
                newer.map(|(_, entry)| entry.code.clone())
            });
        }
        self.code = Some(code);
        self.today = Some(Today::of(&record, register, branding));
        self.record = Some(record);
    }

    /// As made, and every statement reads the same today.
    pub fn is_settled(&self) -> bool {
        let same = self
            .today
            .as_ref()
            .is_some_and(|today| today.comparable && today.changed.is_empty());
        let made = matches!(self.bytes, Bytes::AsMade | Bytes::NoFile);
        self.problem.is_none() && same && made
    }
}

impl Today {
    fn of(record: &Record, register: Option<&Register>, branding: &Branding) -> Today {
        let mut today = Today {
            wording: String::new(),
            comparable: false,
            changed: Vec::new(),
            other_words_changed: false,
            catalogue_changed: record.catalogue_differs(),
            overlay_differs: record.overlay.as_deref().unwrap_or_default() != branding.digest,
        };
        let wording = record
            .wording
            .language
            .split_once('-')
            .and_then(|(language, country)| {
                Wording::with(&language.parse().ok()?, country, &branding.words).ok()
            });
        let Some(wording) = wording else {
            return today;
        };
        today.comparable = true;
        today.wording = wording.version().to_owned();
        today.other_words_changed = record.other_words_differ(&wording);
        today.changed = record
            .differences(&wording)
            .into_iter()
            .map(|difference| Change {
                then: register.and_then(|register| register.words.get(&difference.was).cloned()),
                id: difference.id,
                digest: difference.was,
                now: difference.now,
            })
            .collect();
        today
    }
}

impl Trace {
    /// What is known of a paper as a file; `given` names the register, else the one beside the file is asked.
    ///
    /// # Errors
    /// The file or the register cannot be read.
    pub fn of_file(
        file: &Path,
        given: Option<&Path>,
        branding: &Branding,
    ) -> Result<Trace, Failed> {
        let cannot = || format!("cannot read {}", shown(file));
        let metadata = file.metadata().while_doing(cannot)?;
        if !metadata.is_file() || metadata.len() > LARGEST {
            let what = format!("{}: this is not a file a paper could be in", cannot());
            return Err(Failed::because(what));
        }
        let bytes = std::fs::read(file).while_doing(cannot)?;
        let beside = file.with_file_name(register::FILE_NAME);
        let register = match given {
            Some(given) => Some(open(given)?),
            None if beside.exists() => Some(open(&beside)?),
            None => None,
        };
        Ok(Trace::of_opened(file, &bytes, register.as_ref(), branding))
    }

    /// The same of a paper whose bytes are in memory; it is called `file` and nothing is read from there.
    ///
    /// # Errors
    /// The register is there and cannot be read.
    pub fn of_bytes(
        file: &Path,
        bytes: &[u8],
        register: &Path,
        branding: &Branding,
    ) -> Result<Trace, Failed> {
        let register = match register.exists() {
            true => Some(open(register)?),
            false => None,
        };
        Ok(Trace::of_opened(file, bytes, register.as_ref(), branding))
    }

    fn of_opened(
        file: &Path,
        bytes: &[u8],
        register: Option<&Register>,
        branding: &Branding,
    ) -> Trace {
        let mut report = Trace::new(shown(file), Bytes::NoRegister);
        report.unreadable_lines = register.map_or(Vec::new(), |r| r.unreadable.clone());
        let record = match record::read(bytes) {
            Ok(record) => record,
            Err(error) => return report.problem(Trouble::NoRecord, error.to_string()),
        };
        let code = record.code();
        report.fill(code, record, register, branding);
        if let Some(register) = register {
            let sha256 = digest::sha256(bytes);
            report.bytes = if report.register.iter().any(|line| line.sha256 == sha256) {
                Bytes::AsMade
            } else if !report.register.is_empty() {
                Bytes::Changed
            } else if has_its_name(register, file) {
                Bytes::OtherOfThisName
            } else {
                Bytes::NotInRegister
            };
        }
        report
    }

    /// What is known of the paper with this code; the register is `given`, or the one in this folder.
    ///
    /// # Errors
    /// The register cannot be read.
    pub fn of_code(code: &str, given: Option<&Path>, branding: &Branding) -> Result<Trace, Failed> {
        let path = given.unwrap_or(Path::new(register::FILE_NAME));
        let asked = shown(Path::new(code));
        match DocumentCode::read(code) {
            Ok(code) => {
                let register = open(path)?;
                let mut report = Trace::new(asked, Bytes::NoFile);
                report.unreadable_lines = register.unreadable.clone();
                let wanted = code.to_string();
                let found = register.entries.iter().find(|(_, e)| e.code == wanted);
                let Some((line, entry)) = found else {
                    return Ok(report.problem(
                        Trouble::Unknown,
                        format!("the register {} has no paper of this code", shown(path)),
                    ));
                };
                if entry.record.code() != code {
                    let belongs_to = entry.record.code().to_string();
                    let problem = format!(
                        "line {line} of the register has this code, but its record was altered: it belongs to {belongs_to}"
                    );
                    return Ok(report.problem(Trouble::Altered { belongs_to }, problem));
                }
                let record = entry.record.clone();
                report.fill(code, record, Some(&register), branding);
                Ok(report)
            }
            Err(error) => {
                let mut problem = error.to_string();
                // without a register the slip is explained all the same
                let register = if given.is_some() || path.exists() {
                    Some(open(path)?)
                } else {
                    None
                };
                let mut near: Vec<&str> = register
                    .iter()
                    .flat_map(|register| &register.entries)
                    .map(|(_, entry)| entry.code.as_str())
                    .filter(|known| {
                        DocumentCode::read(known).is_ok_and(|known| known.is_one_slip_from(code))
                    })
                    .collect();
                near.sort_unstable();
                near.dedup();
                let mut meant = None;
                if let [only] = near[..] {
                    problem.push_str(&format!(". Did you mean {only}? Look at the paper again"));
                    meant = Some(only.to_owned());
                }
                Ok(Trace::new(asked, Bytes::NoFile).problem(Trouble::NotACode { meant }, problem))
            }
        }
    }
}

/// The register has a paper of this name.
fn has_its_name(register: &Register, file: &Path) -> bool {
    let name = file.file_name().and_then(|name| name.to_str());
    register
        .entries
        .iter()
        .any(|(_, entry)| Some(entry.file.as_str()) == name)
}

fn open(path: &Path) -> Result<Register, Failed> {
    Register::open(path).while_doing(|| format!("cannot use the register {}", shown(path)))
}

/// The record with the names that all our JSON has. On paper and in the register its names keep their hyphens, because
/// printed papers carry them.
fn record_as_data<S: Serializer>(
    record: &Option<Record>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    #[derive(Serialize)]
    struct AsData<'r> {
        format: u64,
        program: &'r str,
        paper: &'r str,
        region: &'r str,
        wording: WordingAsData<'r>,
        catalogue: &'r str,
        plan: &'r str,
        content: &'r str,
        overlay: &'r Option<String>,
        made_on: &'r str,
        statements: &'r std::collections::BTreeMap<String, String>,
        terms: &'r std::collections::BTreeMap<String, String>,
        approvals: &'r Option<Vec<String>>,
    }
    #[derive(Serialize)]
    struct WordingAsData<'r> {
        version: &'r str,
        language: &'r str,
        digest: &'r str,
    }
    let data = record.as_ref().map(|record| {
        let Record {
            format,
            program,
            paper,
            region,
            wording,
            catalogue,
            plan,
            // for comparing with a plan, not for reading
            patient: _,
            content,
            overlay,
            made_on,
            statements,
            terms,
            approvals,
        } = record;
        AsData {
            format: *format,
            program,
            paper,
            region,
            wording: WordingAsData {
                version: &wording.version,
                language: &wording.language,
                digest: &wording.digest,
            },
            catalogue,
            plan,
            content,
            overlay,
            made_on,
            statements,
            terms,
            approvals,
        }
    });
    data.serialize(serializer)
}
