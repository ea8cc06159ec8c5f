//! Turns plans into PDF files, a calendar file and a short report: what was written, and what the practitioner must look at.
//! Invariant: under a `stop` nothing for the patient is written; one plan's trouble does not hold up the others.
//! Must not: overwrite with a half, or put a patient's name into a file name.

use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::Context;

use super::read::{Read, Reading, read};
use super::{Outcome, PaperName, write};
use crate::catalogue::Catalogue;
use crate::papers::{self, Papers};
use crate::select::Paper;

pub fn run(
    plans: &[PathBuf],
    out: &Path,
    only: &[PaperName],
    clinic: Option<&Path>,
    fonts: Option<&Path>,
) -> anyhow::Result<Outcome> {
    let catalogue = Catalogue::embedded();
    let vocabulary = papers::vocabulary(catalogue);
    let mut worst = Outcome::Fine;
    for plan in plans {
        let outcome = match read(plan, clinic, fonts, &vocabulary) {
            Ok(Reading::Mistakes(mistakes)) => {
                let count = mistakes.len();
                let noun = if count == 1 { "mistake" } else { "mistakes" };
                anstream::eprintln!(
                    "{}: {count} {noun}; nothing was written for this plan",
                    plan.display()
                );
                Outcome::Unsettled
            }
            Ok(Reading::Fine(read)) => one(catalogue, &read, plan, out, only)?,
            Err(error) => {
                anstream::eprintln!("could not run: {}: {error:#}", plan.display());
                Outcome::CouldNotRun
            }
        };
        worst = worst.max(outcome);
    }
    Ok(worst)
}

fn one(
    catalogue: &Catalogue,
    read: &Read,
    plan: &Path,
    out: &Path,
    only: &[PaperName],
) -> anyhow::Result<Outcome> {
    let papers = papers::make(catalogue, &read.clinic, &read.visit, &read.typesetter)
        .with_context(|| format!("{}: the papers could not be made", plan.display()))?;
    let mut stdout = std::io::stdout().lock();
    let stopped = papers.is_stopped();
    if stopped {
        writeln!(
            stdout,
            "{}: stopped. No papers for the patient were written.",
            plan.display()
        )?;
    } else {
        writeln!(stdout, "{}:", plan.display())?;
    }
    let wanted = |name: PaperName| only.is_empty() || only.contains(&name);
    let mut files = Vec::new();
    for made in papers.writable().filter(|made| wanted(made.paper.into())) {
        let bytes = made.pages.pdf().with_context(|| {
            format!(
                "{}: the {} could not be written as PDF",
                plan.display(),
                name(made.paper)
            )
        })?;
        let file = format!("{}-{}.pdf", file_stem(&papers), made.paper.as_str());
        files.push((out.join(file), bytes, made));
    }
    let calendar = if wanted(PaperName::Calendar) {
        papers
            .calendar()
            .with_context(|| format!("{}: the calendar could not be written", plan.display()))?
    } else {
        None
    };
    // everything is finished in memory before the first file is written
    for (path, bytes, made) in &files {
        write::replace(path, bytes)?;
        let pages = made.pages.count();
        let noun = if pages == 1 { "page" } else { "pages" };
        writeln!(
            stdout,
            "  wrote {} ({}, {pages} {noun})",
            path.display(),
            name(made.paper)
        )?;
    }
    if let Some(calendar) = &calendar {
        let path = out.join(format!("{}-calendar.ics", file_stem(&papers)));
        write::replace(&path, calendar.as_bytes())?;
        writeln!(stdout, "  wrote {} (calendar)", path.display())?;
    }
    for made in &papers.made {
        for id in &made.coverage.missing {
            writeln!(
                stdout,
                "  stop  {}: the required statement {id} is not printed",
                name(made.paper)
            )?;
        }
    }
    let cautions = papers.cautions().context("a caution could not be worded")?;
    if !cautions.is_empty() {
        writeln!(stdout, "  for the practitioner to look at:")?;
        for caution in &cautions {
            writeln!(stdout, "    {:<4}  {}", caution.level, caution.text)?;
        }
    }
    Ok(if stopped {
        Outcome::Unsettled
    } else {
        Outcome::Fine
    })
}

fn name(paper: Paper) -> &'static str {
    match paper {
        Paper::Consent => "consent form",
        Paper::Aftercare => "aftercare sheet",
        Paper::Clinician => "clinician's check sheet",
    }
}

/// Record number and visit date, never the name. Letters and digits of the record are kept, anything else becomes a hyphen.
fn file_stem(papers: &Papers<'_>) -> String {
    let visit = papers.selection.visit;
    let record: String = visit
        .patient
        .record
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
        .collect();
    format!("{record}-{}", visit.date)
}
