//! Turns `wording status` and `wording approve` into a clinic's list of approvals and what it says today.
//! Invariant: an approval holds the digest of the very words that were approved; the date is given, never taken from a clock.
//! Must not: approve what nobody asked to approve.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use anyhow::bail;
use unic_langid::LanguageIdentifier;

use super::output::{Output, shown};
use super::read::{ClinicRead, approvals_path, read_approvals, read_clinic_only};
use super::{Outcome, write};
use crate::diagnose;
use crate::papers;
use crate::wording::library::Review;
use crate::wording::{Approval, Standing, Wording, library};

/// Who approves, and when, as given on the command line.
pub struct Approver {
    pub by: String,
    pub registration: String,
    pub on: jiff::civil::Date,
}

/// The wording of a clinic in its own language, or in another one that its patients read.
fn wording_of(
    clinic: &crate::plan::Clinic,
    language: Option<&LanguageIdentifier>,
) -> anyhow::Result<Wording> {
    let language = language.unwrap_or(&clinic.language);
    Ok(papers::wording_in(language, clinic)?)
}

/// Shows what is approved, changed or missing.
pub fn status(
    clinic_path: &Path,
    language: Option<&LanguageIdentifier>,
    all: bool,
) -> anyhow::Result<Outcome> {
    let Some(ClinicRead { clinic, .. }) = read_clinic_only(clinic_path)? else {
        return Ok(Outcome::Unsettled);
    };
    let wording = wording_of(&clinic, language)?;
    let path = approvals_path(&clinic, clinic_path);
    let approvals = read_approvals(&path)?;
    let (mut approved, mut changed, mut never) = (0, Vec::new(), Vec::new());
    for id in wording.statements().keys() {
        match approvals.standing(&wording, id) {
            Standing::Approved(_) => approved += 1,
            Standing::Changed(approval) => {
                changed.push(format!(
                    "{id} (approved in other words by {} on {})",
                    approval.by, approval.on
                ));
            }
            Standing::Never => never.push(id.clone()),
        }
    }
    let mut out = String::new();
    writeln!(out, "Wording {} of {}", wording.tag(), shown(&path))?;
    if let Some(language) = library::language(wording.tag()) {
        let review = match language.review {
            Review::Draft => "a draft, read by no qualified person before it came to you",
            Review::Reviewed => "read by a qualified person before it came to you",
        };
        writeln!(out, "  version: {} ({review})", language.version)?;
    }
    writeln!(out, "  approved: {approved}")?;
    writeln!(out, "  changed since: {}", changed.len())?;
    for line in &changed {
        writeln!(out, "    {line}")?;
    }
    writeln!(out, "  never approved: {}", never.len())?;
    let most = if all { never.len() } else { 10 };
    for id in never.iter().take(most) {
        writeln!(out, "    {id}")?;
    }
    if never.len() > most {
        writeln!(out, "    and {} more; --all shows them", never.len() - most)?;
    }
    Output::default().say(&out)?;
    Ok(if changed.is_empty() && never.is_empty() {
        Outcome::Fine
    } else {
        Outcome::Unsettled
    })
}

/// Records an approval of the named statements, or of all.
pub fn approve(
    clinic_path: &Path,
    language: Option<&LanguageIdentifier>,
    approver: &Approver,
    ids: &[String],
) -> anyhow::Result<Outcome> {
    let Some(ClinicRead { clinic, .. }) = read_clinic_only(clinic_path)? else {
        return Ok(Outcome::Unsettled);
    };
    for (what, text) in [
        ("--by", &approver.by),
        ("--registration", &approver.registration),
    ] {
        if text.trim().is_empty() || text.chars().any(diagnose::is_refused) {
            bail!("{what} needs a name or number in plain letters");
        }
    }
    let wording = wording_of(&clinic, language)?;
    let unknown: Vec<&String> = ids.iter().filter(|id| !wording.has(id)).collect();
    for id in &unknown {
        let known = wording.statements().keys().map(String::as_str);
        anstream::eprintln!(
            "no statement is called `{}`; {}",
            diagnose::echo(id),
            diagnose::hint(id, known, "statement")
        );
    }
    if !unknown.is_empty() {
        return Ok(Outcome::Unsettled);
    }
    let statements: BTreeMap<String, String> = wording
        .statements()
        .keys()
        .filter(|id| ids.is_empty() || ids.contains(id))
        .filter_map(|id| Some((id.clone(), wording.digest(id)?)))
        .collect();
    let count = statements.len();
    let path = approvals_path(&clinic, clinic_path);
    let mut approvals = read_approvals(&path)?;
    approvals.approval.push(Approval {
        language: wording.tag().to_owned(),
        by: approver.by.trim().to_owned(),
        registration: approver.registration.trim().to_owned(),
        on: approver.on.to_string(),
        statements,
    });
    let mut text = String::from(
        "# Who read and approved which words. Written by `beforehand wording approve`; a change of words makes a statement\n\
         # unapproved again.\n\n",
    );
    text.push_str(&toml::to_string(&approvals)?);
    write::replace_all(std::iter::once((path.as_path(), text.as_bytes())))?;
    Output::default().say(&format!(
        "{count} statements of {} approved by {} in {}\n",
        wording.tag(),
        approver.by.trim(),
        shown(&path)
    ))?;
    Ok(Outcome::Fine)
}
