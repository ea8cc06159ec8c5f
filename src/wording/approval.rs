//! Turns the list of who approved which words into the standing of a paper: approved, or draft.
//! Invariant: an approval counts only for the words that were read: when they change, the statement is unapproved again.
//! Must not: read files, look at a clock, or judge whether somebody was fit to approve.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::Wording;

/// One person's approval of statements of one language and country.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Approval {
    /// Language and country: `en-GB`.
    pub language: String,
    pub by: String,
    /// Number at the professional register.
    pub registration: String,
    /// Year-month-day, as given; never taken from a clock.
    pub on: String,
    /// Statement id to the digest of the words that were read.
    pub statements: BTreeMap<String, String>,
}

/// All approvals of a clinic, in the order they were given.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Approvals {
    #[serde(default)]
    pub approval: Vec<Approval>,
}

/// How one statement stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing<'a> {
    /// These very words were approved; the latest approval counts.
    Approved(&'a Approval),
    /// Other words were approved under this id.
    Changed(&'a Approval),
    Never,
}

impl Approvals {
    /// No approval at all: what the program ships with.
    pub fn none() -> Approvals {
        Approvals::default()
    }

    /// How the words of a statement stand in this wording.
    pub fn standing(&self, wording: &Wording, id: &str) -> Standing<'_> {
        let digest = wording.digest(id);
        let mut standing = Standing::Never;
        for approval in self.approval.iter().filter(|a| a.language == wording.tag()) {
            match approval.statements.get(id) {
                Some(read) if Some(read) == digest.as_ref() => {
                    standing = Standing::Approved(approval)
                }
                Some(_) if standing == Standing::Never => standing = Standing::Changed(approval),
                _ => {}
            }
        }
        standing
    }

    /// The ids among `used` whose words nobody has approved as they are.
    pub fn unapproved<'u>(
        &self,
        wording: &Wording,
        used: impl Iterator<Item = &'u String>,
    ) -> Vec<String> {
        used.filter(|id| !matches!(self.standing(wording, id), Standing::Approved(_)))
            .cloned()
            .collect()
    }
}
