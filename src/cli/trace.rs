//! Turns a finished paper, or the code read off one, into which words it was printed in, whether it is as made, and what
//! reads differently today.
//! Invariant: "as made" is said only when the register has these very bytes; old words are shown only when they fit their digest.
//! Must not: write anything, or judge whether a difference matters.

use std::fmt::Write as _;
use std::path::Path;

use anyhow::{Context, bail};
use serde::Serialize;

use super::Outcome;
use super::output::{Output, shown};
use super::read::read_clinic_only;
use crate::plan::Own;
use crate::record::{self, DocumentCode, Record, Register, register};
use crate::wording::Wording;

/// More than any paper has; a larger file is somebody's mistake.
const LARGEST: u64 = 256 * 1024 * 1024;

pub fn run(
    file: Option<&Path>,
    code: Option<&str>,
    register: Option<&Path>,
    clinic: Option<&Path>,
    json: bool,
) -> anyhow::Result<Outcome> {
    let own = match clinic.map(read_clinic_only).transpose()? {
        None => Own::default(),
        Some(Some(read)) => read.clinic.own,
        Some(None) => return Ok(Outcome::Unsettled),
    };
    let report = match (file, code) {
        (Some(file), _) => of_file(file, register, &own)?,
        (None, Some(code)) => of_code(code, register, &own)?,
        (None, None) => unreachable!("clap asks for one of the two"),
    };
    let outcome = report.outcome();
    let mut text = if json {
        serde_json::to_string_pretty(&report)?
    } else {
        report.text()?
    };
    if !text.ends_with('\n') {
        text.push('\n');
    }
    Output::default().say(&text)?;
    Ok(outcome)
}

/// What is known about one paper.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Report {
    /// What was asked about: a file or a code.
    asked: String,
    /// Why nothing can be said.
    #[serde(skip_serializing_if = "Option::is_none")]
    problem: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    code: Option<String>,
    bytes: Bytes,
    /// Where the register has papers of this code.
    register: Vec<Line>,
    /// Lines of the register that could not be read.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    unreadable_lines: Vec<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    record: Option<Record>,
    #[serde(skip_serializing_if = "Option::is_none")]
    today: Option<Today>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
enum Bytes {
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
#[serde(rename_all = "kebab-case")]
struct Line {
    line: usize,
    file: String,
    sha256: String,
}

/// A record held against the library of this program.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Today {
    wording: String,
    /// The language of the paper is still in the library.
    comparable: bool,
    changed: Vec<Change>,
    other_words_changed: bool,
    catalogue_changed: bool,
    /// The paper's overlay is another one than that of the clinic file given, or none was given.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    overlay_differs: bool,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
struct Change {
    id: String,
    digest: String,
    /// As printed; none when the register does not have these words.
    then: Option<String>,
    /// None when the library has no such statement any more.
    now: Option<String>,
}

impl Report {
    fn new(asked: String, bytes: Bytes) -> Report {
        Report {
            asked,
            problem: None,
            code: None,
            bytes,
            register: Vec::new(),
            unreadable_lines: Vec::new(),
            record: None,
            today: None,
        }
    }

    fn problem(mut self, problem: impl Into<String>) -> Report {
        self.problem = Some(problem.into());
        self
    }

    fn fill(&mut self, code: DocumentCode, record: Record, register: Option<&Register>, own: &Own) {
        let code = code.to_string();
        if let Some(register) = register {
            self.register = register
                .entries
                .iter()
                .filter(|(_, entry)| entry.code == code)
                .map(|(line, entry)| Line {
                    line: *line,
                    file: entry.file.clone(),
                    sha256: entry.sha256.clone(),
                })
                .collect();
        }
        self.code = Some(code);
        self.today = Some(Today::of(&record, register, own));
        self.record = Some(record);
    }

    fn outcome(&self) -> Outcome {
        let same = self
            .today
            .as_ref()
            .is_some_and(|today| today.comparable && today.changed.is_empty());
        let made = matches!(self.bytes, Bytes::AsMade | Bytes::NoFile);
        if self.problem.is_none() && same && made {
            Outcome::Fine
        } else {
            Outcome::Unsettled
        }
    }
}

impl Today {
    fn of(record: &Record, register: Option<&Register>, own: &Own) -> Today {
        let mut today = Today {
            wording: String::new(),
            comparable: false,
            changed: Vec::new(),
            other_words_changed: false,
            catalogue_changed: record.catalogue_differs(),
            overlay_differs: record.overlay.as_deref().unwrap_or_default() != own.digest,
        };
        let wording = record
            .wording
            .language
            .split_once('-')
            .and_then(|(language, country)| {
                Wording::with(&language.parse().ok()?, country, &own.words).ok()
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

fn of_file(file: &Path, given: Option<&Path>, own: &Own) -> anyhow::Result<Report> {
    let cannot = || format!("cannot read {}", shown(file));
    let metadata = file.metadata().with_context(cannot)?;
    if !metadata.is_file() || metadata.len() > LARGEST {
        bail!("{}: this is not a file a paper could be in", cannot());
    }
    let bytes = std::fs::read(file).with_context(cannot)?;
    let beside = file.with_file_name(register::FILE_NAME);
    let register = match given {
        Some(given) => Some(open(given)?),
        None if beside.exists() => Some(open(&beside)?),
        None => None,
    };
    let register = register.as_ref();
    let mut report = Report::new(shown(file), Bytes::NoRegister);
    report.unreadable_lines = register.map_or(Vec::new(), |r| r.unreadable.clone());
    let record = match record::read(&bytes) {
        Ok(record) => record,
        Err(error) => return Ok(report.problem(error.to_string())),
    };
    let code = record.code();
    report.fill(code, record, register, own);
    if let Some(register) = register {
        let sha256 = register::sha256(&bytes);
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
    Ok(report)
}

/// The register has a paper of this name.
fn has_its_name(register: &Register, file: &Path) -> bool {
    let name = file.file_name().and_then(|name| name.to_str());
    register
        .entries
        .iter()
        .any(|(_, entry)| Some(entry.file.as_str()) == name)
}

fn of_code(code: &str, given: Option<&Path>, own: &Own) -> anyhow::Result<Report> {
    let path = given.unwrap_or(Path::new(register::FILE_NAME));
    let asked = shown(Path::new(code));
    match DocumentCode::read(code) {
        Ok(code) => {
            let register = open(path)?;
            let mut report = Report::new(asked, Bytes::NoFile);
            report.unreadable_lines = register.unreadable.clone();
            let wanted = code.to_string();
            let found = register.entries.iter().find(|(_, e)| e.code == wanted);
            let Some((line, entry)) = found else {
                return Ok(report.problem(format!(
                    "the register {} has no paper of this code",
                    shown(path)
                )));
            };
            if entry.record.code() != code {
                return Ok(report.problem(format!(
                    "line {line} of the register has this code, but its record was altered: it belongs to {}",
                    entry.record.code()
                )));
            }
            let record = entry.record.clone();
            report.fill(code, record, Some(&register), own);
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
            if let [only] = near[..] {
                write!(problem, ". Did you mean {only}? Look at the paper again")?;
            }
            Ok(Report::new(asked, Bytes::NoFile).problem(problem))
        }
    }
}

fn open(path: &Path) -> anyhow::Result<Register> {
    Register::open(path).with_context(|| format!("cannot use the register {}", shown(path)))
}

/// Text from a file, for people: control characters are shown as escapes.
fn plain(text: &str) -> String {
    shown(Path::new(text))
}

/// Several lines, set in under a label.
fn block(text: &str) -> String {
    let lines: Vec<String> = text.lines().map(plain).collect();
    lines.join("\n          ")
}

impl Report {
    fn text(&self) -> Result<String, std::fmt::Error> {
        let mut out = String::new();
        if let Some(problem) = &self.problem {
            writeln!(out, "{}: {}.", self.asked, plain(problem))?;
        } else {
            writeln!(out, "{}", self.asked)?;
        }
        if let Some(record) = &self.record {
            self.printed(record, &mut out)?;
        }
        let bytes = match self.bytes {
            Bytes::AsMade => "as made",
            Bytes::Changed => {
                "CHANGED since it was made: the register has this paper with other bytes"
            }
            Bytes::OtherOfThisName => {
                "NOT as made here: the register has a paper of this name, but with another code"
            }
            Bytes::NotInRegister => "no register entry: cannot tell whether it is as made",
            Bytes::NoRegister => "no register: cannot tell whether it is as made (--register FILE)",
            Bytes::NoFile => "",
        };
        if self.record.is_some() && !bytes.is_empty() {
            writeln!(out, "  bytes          {bytes}")?;
        }
        for line in &self.register {
            let file = plain(&line.file);
            writeln!(out, "  in register    line {}: {file}", line.line)?;
        }
        for line in &self.unreadable_lines {
            writeln!(out, "  in register    line {line} cannot be read")?;
        }
        if let (Some(record), Some(today)) = (&self.record, &self.today) {
            today.text(record, &mut out)?;
        }
        Ok(out)
    }

    fn printed(&self, record: &Record, out: &mut String) -> std::fmt::Result {
        if let Some(code) = &self.code {
            writeln!(out, "  document code  {code}")?;
        }
        let wording = &record.wording;
        for (label, value) in [
            ("paper", record.paper.clone()),
            ("made on", format!("{} (as given)", record.made_on)),
            ("made by", format!("beforehand {}", record.program)),
            (
                "wording",
                format!("{} ({})", wording.version, wording.language),
            ),
            ("region", record.region.clone()),
        ] {
            writeln!(out, "  {label:<13}  {}", plain(&value))?;
        }
        if let Some(overlay) = &record.overlay {
            writeln!(out, "  overlay        {} (digest)", plain(overlay))?;
        }
        match &record.approvals {
            Some(approvals) => {
                for approval in approvals {
                    writeln!(out, "  approved       {}", plain(approval))?;
                }
            }
            None if record.statements.is_empty() => {}
            None => writeln!(out, "  approved       by nobody")?,
        }
        Ok(())
    }
}

impl Today {
    fn text(&self, record: &Record, out: &mut String) -> std::fmt::Result {
        if !self.comparable {
            return writeln!(
                out,
                "  today          no wording {}: cannot compare",
                plain(&record.wording.language)
            );
        }
        let count = record.statements.len();
        let changed = self.changed.len();
        if count == 0 {
            writeln!(
                out,
                "  today          this paper has no required statements to compare (wording {})",
                self.wording
            )?;
        } else if changed == 0 {
            writeln!(
                out,
                "  today          all {count} required statements read the same (wording {})",
                self.wording
            )?;
        } else {
            writeln!(
                out,
                "  today          {changed} of {count} required statements and their terms read differently (wording {})",
                self.wording
            )?;
        }
        if self.other_words_changed {
            writeln!(
                out,
                "  note           other words of this language have changed: headings, labels or sentences of other papers"
            )?;
        }
        if self.catalogue_changed {
            writeln!(
                out,
                "  note           the catalogue has changed: numbers and dates that sentences are filled with may differ"
            )?;
        }
        if self.overlay_differs && record.overlay.is_some() {
            writeln!(
                out,
                "  note           this paper was made with a clinic's overlay, and not with the words it is compared with; --clinic FILE compares with that clinic's words of today"
            )?;
        } else if self.overlay_differs {
            writeln!(
                out,
                "  note           this paper was made without an overlay; it is compared with the words of one"
            )?;
        }
        for change in &self.changed {
            let then = match &change.then {
                Some(words) => block(words),
                None => format!(
                    "(the register does not have these words; digest {})",
                    plain(&change.digest)
                ),
            };
            let now = match &change.now {
                Some(words) => block(words),
                None => "(no such statement today)".to_owned(),
            };
            writeln!(out, "\n  {}", plain(&change.id))?;
            writeln!(out, "    then  {then}\n    now   {now}")?;
        }
        Ok(())
    }
}
