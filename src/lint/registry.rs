//! Turns `registry.toml` into the list of every check: what it asks, who says so, and how it is judged.
//! Invariant: every number from DC-1 to DC-60, PM-1 to PM-26 and RF-1 to RF-14 stands in it once; nothing is left out silently.
//! Must not: judge anything.

use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

use crate::catalogue::Status;
use crate::paper::PaperKind;

/// Which papers a check is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scope {
    /// What is explained at home.
    Information,
    /// What is signed.
    Consent,
    Aftercare,
    /// What is read: information and aftercare.
    Reading,
    /// Whatever is handed out.
    All,
}

impl Scope {
    pub fn covers(self, paper: PaperKind) -> bool {
        match self {
            Scope::Information => paper == PaperKind::Information,
            Scope::Consent => paper == PaperKind::Consent,
            Scope::Aftercare => paper == PaperKind::Aftercare,
            Scope::Reading => paper.is_handed_out() && !paper.is_signed(),
            Scope::All => paper.is_handed_out(),
        }
    }

    pub fn as_str(self) -> &'static str {
        match self {
            Scope::Information => "information",
            Scope::Consent => "consent",
            Scope::Aftercare => "aftercare",
            Scope::Reading => "information, aftercare",
            Scope::All => "information, consent, aftercare",
        }
    }
}

/// How a check is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum How {
    /// On our source sentences, by `wording check`.
    Text,
    /// On a finished paper, by `check`.
    Paper,
    /// By the gate: no paper is handed out without it.
    Gate,
    /// By the test that is named.
    Elsewhere,
    /// A program cannot; why not is said.
    Person,
    /// A program could; this one does not yet.
    Open,
    /// Does not concern these papers; why not is said.
    NotApplicable,
}

impl How {
    pub fn as_str(self) -> &'static str {
        match self {
            How::Text => "our text",
            How::Paper => "finished paper",
            How::Gate => "the gate",
            How::Elsewhere => "a test of its own",
            How::Person => "a person",
            How::Open => "not built yet",
            How::NotApplicable => "does not concern these papers",
        }
    }
}

/// The two scales of a PEMAT-style score.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scale {
    Understandability,
    Actionability,
}

/// One check of the registry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Check {
    /// `DC-33`.
    pub number: String,
    /// `sentence-length`.
    pub id: String,
    /// What it asks, in one sentence.
    pub says: String,
    pub scope: Scope,
    pub judged: Vec<How>,
    /// Ids of `src/catalogue/sources.toml`.
    pub sources: Vec<String>,
    pub status: Status,
    /// The part of a limit that nobody published.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ours: Option<String>,
    /// File and name of the test that holds it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub test: Option<String>,
    /// Why a program does not judge it, or not all of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
    /// How the gate holds it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gate: Option<String>,
    /// The part that no paper of ours could meet, and why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub taken_out: Option<String>,
    /// Only items of the PEMAT-style score.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scale: Option<Scale>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    check: Vec<Check>,
}

/// All checks in the order of their numbers.
pub fn checks() -> &'static [Check] {
    static CHECKS: OnceLock<Vec<Check>> = OnceLock::new();
    CHECKS.get_or_init(|| {
        let file: File = toml::from_str(include_str!("registry.toml"))
            .expect("the embedded registry is read by a test");
        let mut checks = file.check;
        checks.sort_by_key(|check| order(&check.number));
        checks
    })
}

/// The check with a number.
pub fn check(number: &str) -> Option<&'static Check> {
    checks().iter().find(|check| check.number == number)
}

/// DC before PM before RF, then by number.
pub fn order(number: &str) -> (String, u32) {
    let (letters, digits) = number.split_once('-').unwrap_or((number, "0"));
    (letters.to_owned(), digits.parse().unwrap_or(0))
}
