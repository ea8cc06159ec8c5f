//! Turns a composed paper into the small record it carries for good, and a record into what reads differently today.
//! Invariant: the same paper gives the same record, byte for byte; no name, birth date or record number stands in it, and
//! nothing from which one of them could be worked out.
//! Must not: ask the clock, typeset, or decide whether a difference matters.

mod appending;
pub mod book;
mod canonical;
pub mod code;
pub mod reading;
pub mod register;

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

use crate::catalogue::Catalogue;
use crate::compose::Document;
use crate::domain::{digest, wording_of};
use crate::paper::PaperKind;
use crate::plan::{Patient, Visit};
use crate::select::Selection;
use crate::wording::{Approvals, Wording, template};

pub use appending::Appender;
pub use code::{CodeError, DocumentCode};
pub use reading::{ReadError, read};
pub use register::{Entry, Register, RegisterError};

/// Format of the record; a program refuses a later one.
pub const FORMAT: u64 = 1;

/// What a paper says about itself. Written as one line of compact JSON.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Record {
    #[serde(rename = "beforehand-record")]
    pub format: u64,
    /// Version of the program.
    pub program: String,
    /// `consent`, `aftercare`, `clinician`; `consent-staff` and `aftercare-staff` for reading copies.
    pub paper: String,
    pub region: String,
    pub wording: WordingRecord,
    /// Digest of the catalogue: numbers, dates, sources.
    pub catalogue: String,
    /// Digest of everything the plan says. It shows whether two plans are the same; it does not lead back to one.
    pub plan: String,
    /// Three hexadecimal digits of a digest of record number, name and birth date: too few to find a birth date by trying all
    /// of them, enough to tell a patient from nearly every other. Papers of older programs have none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub patient: Option<String>,
    /// Digest of everything composed for this paper, so that no two papers that differ share a code.
    pub content: String,
    /// Digest of the clinic's overlay, when it had one: own words, areas, sources, look.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub overlay: Option<String>,
    /// The day given in the plan, never the clock's.
    pub made_on: String,
    /// Required statement to the digest of its words.
    pub statements: BTreeMap<String, String>,
    /// Words that differ by country and stand inside these statements, to their digests.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub terms: BTreeMap<String, String>,
    /// One line for each approval that covers these words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub approvals: Option<Vec<String>>,
}

/// Which wording was printed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct WordingRecord {
    pub version: String,
    /// Language and country: `en-GB`.
    pub language: String,
    /// Digest of all sentences of that language and country, headings and labels too.
    pub digest: String,
}

impl Record {
    /// The record of a composed paper that is not yet stamped with one.
    pub fn of(
        paper: PaperKind,
        selection: &Selection<'_>,
        wording: &Wording,
        approvals: &Approvals,
        document: &Document,
    ) -> Record {
        let mut statements = BTreeMap::new();
        let mut terms = BTreeMap::new();
        for statement in selection.statements.iter().filter(|s| s.paper == paper) {
            // a statement without words never gets this far: composing it fails
            let Some(digest) = wording.digest(statement.id.wording()) else {
                continue;
            };
            statements.insert(statement.id.to_string(), digest);
            for term in template::taken_in(&wording.statements()[statement.id.wording()]) {
                if let Some(digest) = wording.digest(&term) {
                    terms.insert(term, digest);
                }
            }
        }
        let plan = canonical::canonical(selection.visit).to_string();
        let content =
            serde_json::to_vec(document).expect("a document is strings, numbers and lists");
        Record {
            format: FORMAT,
            program: env!("CARGO_PKG_VERSION").to_owned(),
            paper: document.paper.to_owned(),
            region: selection.region.id.to_string(),
            wording: WordingRecord {
                version: wording.version().to_owned(),
                language: wording.tag().to_owned(),
                digest: wording.whole_digest().to_owned(),
            },
            catalogue: catalogue_digest().to_owned(),
            plan: digest::of_parts([plan.as_bytes()]),
            patient: Some(patient_mark(&selection.visit.patient)),
            content: digest::of_parts([content.as_slice()]),
            overlay: Some(selection.clinic.branding.digest.clone())
                .filter(|digest| !digest.is_empty()),
            made_on: selection.made_on().to_string(),
            approvals: approved_by(approvals, wording, &statements),
            statements,
            terms,
        }
    }

    /// The one line of JSON that a paper carries.
    pub fn line(&self) -> String {
        serde_json::to_string(self).expect("a record is strings and a number")
    }

    /// The code printed on the paper's pages.
    pub fn code(&self) -> DocumentCode {
        DocumentCode::of(&self.line())
    }

    /// The words behind this record's digests, by digest, as far as this wording still has them.
    pub fn words(&self, wording: &Wording) -> BTreeMap<String, String> {
        let statements = self
            .statements
            .iter()
            .map(|(id, was)| (wording_of(id), was));
        let terms = self.terms.iter().map(|(id, was)| (id.clone(), was));
        statements
            .chain(terms)
            .filter(|(id, was)| wording.digest(id).as_ref() == Some(was))
            .map(|(id, was)| (was.clone(), wording.statements()[&id].clone()))
            .collect()
    }

    /// What was printed in other words than this wording has.
    pub fn differences(&self, wording: &Wording) -> Vec<Difference> {
        let statements = self
            .statements
            .iter()
            .map(|(id, was)| (id, wording_of(id), was));
        let terms = self.terms.iter().map(|(id, was)| (id, id.clone(), was));
        statements
            .chain(terms)
            .filter(|(_, wording_id, was)| wording.digest(wording_id).as_ref() != Some(was))
            .map(|(id, wording_id, was)| Difference {
                id: id.clone(),
                was: was.clone(),
                now: wording.statements().get(&wording_id).cloned(),
            })
            .collect()
    }

    /// Sentences changed that are no required statement of this paper: headings, labels, statements of other papers.
    pub fn other_words_differ(&self, wording: &Wording) -> bool {
        self.differences(wording).is_empty() && self.wording.digest != wording.whole_digest()
    }

    /// The numbers, dates or sources behind the sentences have changed since.
    pub fn catalogue_differs(&self) -> bool {
        self.catalogue != catalogue_digest()
    }
}

/// Who approved how many of these statements in these very words.
fn approved_by(
    approvals: &Approvals,
    wording: &Wording,
    statements: &BTreeMap<String, String>,
) -> Option<Vec<String>> {
    let lines: Vec<String> = approvals
        .approval
        .iter()
        .filter(|approval| approval.language == wording.tag())
        .filter_map(|approval| {
            let covered = statements
                .iter()
                .filter(|(id, digest)| approval.statements.get(&wording_of(id)) == Some(digest))
                .count();
            (covered > 0).then(|| {
                format!(
                    "{} (registration {}) on {}: {covered} of {}",
                    approval.by,
                    approval.registration,
                    approval.on,
                    statements.len()
                )
            })
        })
        .collect();
    (!lines.is_empty()).then_some(lines)
}

/// A statement that reads differently in another wording.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Difference {
    pub id: String,
    /// Digest of the words that were printed.
    pub was: String,
    /// Today's words; none when there is no such statement any more.
    pub now: Option<String>,
}

/// Digest of everything that papers are made from: the program, its catalogue, the plan, both wordings, and `others`.
pub fn made_from(visit: &Visit, wordings: [&Wording; 2], others: &[&[u8]]) -> String {
    let plan = canonical::canonical(visit).to_string();
    let wordings = wordings.map(|wording| format!("{} {}", wording.tag(), wording.whole_digest()));
    let own = [
        env!("CARGO_PKG_VERSION"),
        catalogue_digest(),
        &plan,
        &wordings[0],
        &wordings[1],
    ];
    let own = own.map(str::as_bytes);
    digest::of_parts(own.into_iter().chain(others.iter().copied()))
}

/// What tells a patient from others without saying who it is (the field `patient` of a record).
pub fn patient_mark(patient: &Patient) -> String {
    let born = patient.born.to_string();
    let mut mark =
        digest::of_parts([&patient.record, &patient.name, &born].map(|part| part.as_bytes()));
    mark.truncate(3);
    mark
}

fn catalogue_digest() -> &'static str {
    static DIGEST: OnceLock<String> = OnceLock::new();
    DIGEST.get_or_init(|| {
        digest::of_parts(
            Catalogue::files()
                .iter()
                .flat_map(|(name, text)| [name.as_bytes(), text.as_bytes()]),
        )
    })
}
