//! Turns `wording status` and `wording approve` into words on the terminal.
//! Invariant: what is shown is what the practice says of its words today.
//! Must not: decide what counts as approved.

use std::fmt::Write as _;
use std::path::Path;

use anyhow::bail;
use unic_langid::LanguageIdentifier;

use super::Outcome;
use super::open::practice;
use super::output::{Output, shown};
use crate::diagnose;
use crate::practice::{ApproveError, Approver};
use crate::wording::library::Review;

/// Shows what is approved, changed or missing.
pub fn status(
    clinic: &Path,
    language: Option<&LanguageIdentifier>,
    all: bool,
) -> anyhow::Result<Outcome> {
    let Some(practice) = practice(clinic)? else {
        return Ok(Outcome::Unsettled);
    };
    let status = practice.wording_status(language)?;
    let mut out = String::new();
    writeln!(
        out,
        "Wording {} of {}",
        status.wording,
        shown(&status.approvals)
    )?;
    if let Some(language) = status.language() {
        let review = match language.review {
            Review::Draft => "a draft, read by no qualified person before it came to you",
            Review::Reviewed => "read by a qualified person before it came to you",
        };
        writeln!(out, "  version: {} ({review})", language.version)?;
    }
    writeln!(out, "  approved: {}", status.approved)?;
    writeln!(out, "  changed since: {}", status.changed.len())?;
    for changed in &status.changed {
        writeln!(
            out,
            "    {} (approved in other words by {} on {})",
            changed.statement, changed.by, changed.on
        )?;
    }
    let never = &status.never;
    writeln!(out, "  never approved: {}", never.len())?;
    let most = if all { never.len() } else { 10 };
    for id in never.iter().take(most) {
        writeln!(out, "    {id}")?;
    }
    if never.len() > most {
        writeln!(out, "    and {} more; --all shows them", never.len() - most)?;
    }
    Output::default().say(&out)?;
    Ok(Outcome::settled(status.is_settled()))
}

/// Records an approval of the named statements, or of all.
pub fn approve(
    clinic: &Path,
    language: Option<&LanguageIdentifier>,
    approver: &Approver,
    statements: &[String],
) -> anyhow::Result<Outcome> {
    let Some(practice) = practice(clinic)? else {
        return Ok(Outcome::Unsettled);
    };
    let approved = match practice.approve(language, approver, statements) {
        Ok(approved) => approved,
        Err(ApproveError::Unknown { statements, known }) => {
            for id in &statements {
                anstream::eprintln!(
                    "no statement is called `{}`; {}",
                    diagnose::echo(id),
                    diagnose::hint(id, known.iter().map(String::as_str), "statement")
                );
            }
            return Ok(Outcome::Unsettled);
        }
        Err(ApproveError::NotPlain(what)) => {
            let option = match what {
                "name" => "--by",
                _ => "--registration",
            };
            bail!("{option} needs a name or number in plain letters");
        }
        Err(error) => return Err(error.into()),
    };
    Output::default().say(&format!(
        "{} statements of {} approved by {} in {}\n",
        approved.statements,
        approved.wording,
        approved.by,
        shown(&approved.approvals)
    ))?;
    Ok(Outcome::Fine)
}
