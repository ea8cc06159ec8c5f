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
    let stem = file_stem(&papers);
    // path, bytes, what it is
    let mut files = Vec::new();
    for made in papers.writable().filter(|made| wanted(made.paper.into())) {
        let what = name(made.paper);
        let bytes = made.pages.pdf().with_context(|| {
            format!("{}: the {what} could not be written as PDF", plan.display())
        })?;
        let pages = made.pages.count();
        let noun = if pages == 1 { "page" } else { "pages" };
        files.push((
            out.join(format!("{stem}-{}.pdf", made.paper.as_str())),
            bytes,
            format!("{what}, {pages} {noun}"),
        ));
    }
    if wanted(PaperName::Calendar) {
        let calendar = papers
            .calendar()
            .with_context(|| format!("{}: the calendar could not be worded", plan.display()))?;
        files.extend(calendar.map(|calendar| {
            (
                out.join(format!("{stem}-calendar.ics")),
                calendar.into_bytes(),
                "calendar".to_owned(),
            )
        }));
    }
    // everything is finished in memory before the first file is written
    for (path, bytes, what) in &files {
        write::replace(path, bytes)?;
        writeln!(stdout, "  wrote {} ({what})", path.display())?;
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
