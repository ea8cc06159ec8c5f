//! Turns `wording status` and `wording approve` into words on the terminal.
//! Invariant: what is shown is what the practice says of its words today.
//! Must not: decide what counts as approved.

use std::fmt::Write as _;
use std::path::Path;

use anyhow::bail;
use unic_langid::LanguageIdentifier;

use super::Outcome;
use super::open::{practice, practice_with};
use super::output::{Output, shown};
use crate::diagnose;
use crate::practice::{ApproveError, Approver, Read, WordingStatus};
use crate::record::DocumentCode;
use crate::wording::library::Review;

/// Statements that a message names before it counts the others.
const MOST: usize = 20;

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

/// Makes the book of words and says what to do with it.
pub fn book(
    clinic: &Path,
    fonts: Option<&Path>,
    language: Option<&LanguageIdentifier>,
    out: &Path,
) -> anyhow::Result<Outcome> {
    let Some(practice) = practice_with(clinic, fonts)? else {
        return Ok(Outcome::Unsettled);
    };
    let book = practice.wording_book(language)?;
    let [paper, page] = book.write(out)?;
    let pages = book.pages.count();
    Output::default().say(&format!(
        "wrote {} ({} statements of {}, {pages} pages, document code {})\n\
         wrote {} (the same book as one page to read on a screen)\n\
         Whoever has read it and approves all of it: beforehand wording approve --book {} …\n",
        shown(&paper),
        book.statements,
        book.wording,
        book.code,
        shown(&page),
        book.code,
    ))?;
    Ok(Outcome::Fine)
}

/// Records an approval of what was read.
pub fn approve(
    clinic: &Path,
    language: Option<&LanguageIdentifier>,
    approver: &Approver,
    read: &Read,
) -> anyhow::Result<Outcome> {
    let Some(practice) = practice(clinic)? else {
        return Ok(Outcome::Unsettled);
    };
    let approved = match practice.approve(language, approver, read) {
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
        Err(ApproveError::OtherWords { today, status }) => {
            anstream::eprintln!("{}", other_words(today, &status));
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

/// Why a book cannot be approved, and what is not approved as it stands today.
fn other_words(today: DocumentCode, status: &WordingStatus) -> String {
    let mut said = format!(
        "nothing was approved: the words of {} are not those of that book. A book of today has the code {today}.",
        status.wording
    );
    let unsettled = status.changed.iter().map(|changed| {
        format!(
            "{} (approved in other words by {} on {})",
            changed.statement, changed.by, changed.on
        )
    });
    let unsettled = unsettled.chain(
        status
            .never
            .iter()
            .map(|id| format!("{id} (never approved)")),
    );
    let lines: Vec<String> = unsettled.collect();
    if !lines.is_empty() {
        said.push_str("\nNot approved as they stand today:");
    }
    for line in lines.iter().take(MOST) {
        said.push_str(&format!("\n  {line}"));
    }
    if lines.len() > MOST {
        said.push_str(&format!("\n  and {} more", lines.len() - MOST));
    }
    said.push_str("\nMake the book anew with `beforehand wording book`; it says of every statement whether it has changed.");
    said
}
