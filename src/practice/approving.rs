//! Turns a clinic's list of approvals into what it says of today's words, and an approval into a line of that list.
//! Invariant: an approval holds the digest of the very words that were approved; its date is given, never taken from a clock.
//! Must not: approve what nobody asked to approve.

use std::collections::BTreeMap;
use std::path::PathBuf;

use serde::Serialize;
use unic_langid::LanguageIdentifier;

use super::clinic_files::read_approvals;
use super::{Failed, JSON_VERSION, Practice, writing};
use crate::diagnose;
use crate::record::DocumentCode;
use crate::record::book::BookRecord;
use crate::wording::{Approval, Standing, Wording, WordingError, library};

/// Who approves, and when.
#[derive(Debug, Clone)]
pub struct Approver {
    pub by: String,
    /// Number at the professional register.
    pub registration: String,
    pub on: jiff::civil::Date,
}

/// What somebody has read and approves.
#[derive(Debug, Clone)]
pub enum Read {
    /// Every statement as it stands today.
    All,
    /// These statements, by their ids.
    Statements(Vec<String>),
    /// Every statement of the book with this code.
    Book(DocumentCode),
}

/// What of a wording is approved today.
#[derive(Debug, Clone, Serialize)]
pub struct WordingStatus {
    pub version: u32,
    /// Language and country: `en-GB`.
    pub wording: String,
    pub approvals: PathBuf,
    pub approved: usize,
    /// Approved once, in other words than today's: statement, by whom, on which day.
    pub changed: Vec<ChangedStatement>,
    pub never: Vec<String>,
}

/// A statement whose words have changed since somebody approved it.
#[derive(Debug, Clone, Serialize)]
pub struct ChangedStatement {
    pub statement: String,
    pub by: String,
    pub on: String,
}

/// What was approved.
#[derive(Debug, Clone, Serialize)]
pub struct Approved {
    pub version: u32,
    pub wording: String,
    pub statements: usize,
    pub by: String,
    pub approvals: PathBuf,
}

/// Why nothing was approved.
#[derive(Debug)]
pub enum ApproveError {
    /// The name or the number is empty or holds characters that cannot be printed; which of the two.
    NotPlain(&'static str),
    /// There are no such statements in this wording.
    Unknown {
        statements: Vec<String>,
        known: Vec<String>,
    },
    /// The book was made of other words than today's: the code that a book has today, and what is not approved as it stands.
    OtherWords {
        today: DocumentCode,
        status: Box<WordingStatus>,
    },
    Wording(WordingError),
    Failed(Failed),
}

impl std::fmt::Display for ApproveError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            ApproveError::NotPlain(what) => write!(f, "the {what} must be in plain letters"),
            ApproveError::Unknown { statements, .. } => {
                write!(f, "there is no statement {}", statements.join(", "))
            }
            ApproveError::OtherWords { today, .. } => {
                write!(
                    f,
                    "the words have changed since that book was made; a book of today has the code {today}"
                )
            }
            ApproveError::Wording(error) => error.fmt(f),
            ApproveError::Failed(failed) => failed.fmt(f),
        }
    }
}

impl std::error::Error for ApproveError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            ApproveError::NotPlain(_)
            | ApproveError::Unknown { .. }
            | ApproveError::OtherWords { .. }
            | ApproveError::Wording(_) => None,
            ApproveError::Failed(failed) => failed.source(),
        }
    }
}

impl From<WordingError> for ApproveError {
    fn from(error: WordingError) -> ApproveError {
        ApproveError::Wording(error)
    }
}

impl From<Failed> for ApproveError {
    fn from(failed: Failed) -> ApproveError {
        ApproveError::Failed(failed)
    }
}

impl Practice {
    /// The words this practice uses in its own language, or in another one that its patients read.
    pub(super) fn words_in(
        &self,
        language: Option<&LanguageIdentifier>,
    ) -> Result<std::sync::Arc<Wording>, WordingError> {
        self.wording(language.unwrap_or(&self.clinic().language))
    }

    fn approvals_path(&self) -> PathBuf {
        self.files
            .approvals_path()
            .expect("an opened practice has a clinic")
    }

    /// What is approved, changed since, or was never approved.
    ///
    /// # Errors
    /// No wording in that language.
    pub fn wording_status(
        &self,
        language: Option<&LanguageIdentifier>,
    ) -> Result<WordingStatus, WordingError> {
        let wording = self.words_in(language)?;
        let mut status = WordingStatus {
            version: JSON_VERSION,
            wording: wording.tag().to_owned(),
            approvals: self.approvals_path(),
            approved: 0,
            changed: Vec::new(),
            never: Vec::new(),
        };
        for id in wording.statements().keys() {
            match self.approvals.standing(&wording, id) {
                Standing::Approved(_) => status.approved += 1,
                Standing::Changed(approval) => status.changed.push(ChangedStatement {
                    statement: id.clone(),
                    by: approval.by.clone(),
                    on: approval.on.clone(),
                }),
                Standing::Never => status.never.push(id.clone()),
            }
        }
        Ok(status)
    }

    /// Records the approval of what was read. Papers of this opened practice do not know of it: open the practice again.
    ///
    /// # Errors
    /// See [`ApproveError`]; the list is then as it was.
    pub fn approve(
        &self,
        language: Option<&LanguageIdentifier>,
        approver: &Approver,
        read: &Read,
    ) -> Result<Approved, ApproveError> {
        for (what, text) in [
            ("name", &approver.by),
            ("registration number", &approver.registration),
        ] {
            if text.trim().is_empty() || text.chars().any(diagnose::is_refused) {
                return Err(ApproveError::NotPlain(what));
            }
        }
        let wording = self.words_in(language)?;
        let statements = match read {
            Read::All => &[],
            Read::Statements(statements) => statements.as_slice(),
            Read::Book(code) => {
                let today = BookRecord::of(&wording).code();
                if *code != today {
                    let status = Box::new(self.wording_status(language)?);
                    return Err(ApproveError::OtherWords { today, status });
                }
                &[]
            }
        };
        let unknown: Vec<String> = statements
            .iter()
            .filter(|id| !wording.has(id))
            .cloned()
            .collect();
        if !unknown.is_empty() {
            return Err(ApproveError::Unknown {
                statements: unknown,
                known: wording.statements().keys().cloned().collect(),
            });
        }
        let digests: BTreeMap<String, String> = wording
            .statements()
            .keys()
            .filter(|id| statements.is_empty() || statements.contains(id))
            .filter_map(|id| Some((id.clone(), wording.digest(id)?)))
            .collect();
        let path = self.approvals_path();
        // read anew: somebody may have approved since the practice was opened
        let mut approvals = read_approvals(&path)?;
        let approved = Approved {
            version: JSON_VERSION,
            wording: wording.tag().to_owned(),
            statements: digests.len(),
            by: approver.by.trim().to_owned(),
            approvals: path.clone(),
        };
        approvals.approval.push(Approval {
            language: wording.tag().to_owned(),
            by: approved.by.clone(),
            registration: approver.registration.trim().to_owned(),
            on: approver.on.to_string(),
            statements: digests,
        });
        let mut text = String::from(
            "# Who read and approved which words. Written by `beforehand wording approve`; a change of words makes a statement\n\
             # unapproved again.\n\n",
        );
        text.push_str(&toml::to_string(&approvals).map_err(|error| {
            Failed::doing(format!("cannot write {}", super::shown(&path)), error)
        })?);
        writing::replace_all(std::iter::once((path.as_path(), text.as_bytes())))?;
        Ok(approved)
    }
}

impl WordingStatus {
    /// Every statement is approved in today's words.
    pub fn is_settled(&self) -> bool {
        self.changed.is_empty() && self.never.is_empty()
    }

    /// What is known of the wording before it came to the clinic; none for a language that is not in the library.
    pub fn language(&self) -> Option<&'static library::Language> {
        library::language(&self.wording)
    }
}
