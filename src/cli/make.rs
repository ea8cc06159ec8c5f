//! Turns plans into papers on disk and a short report: what was written, and what the practitioner must look at.
//! Invariant: one plan's trouble does not hold up the others.
//! Must not: decide what may be written, or what files are called.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use super::Outcome;
use super::open::{Practices, Reading};
use super::output::{Output, shown};
use crate::practice::{AnswerStanding, MakeOptions, OutFolder, Wanted, Written, explained};

/// What to make of the plans, and where it goes.
pub struct Request<'r> {
    pub plans: &'r [PathBuf],
    pub out: &'r Path,
    /// Empty: all.
    pub only: &'r [Wanted],
    pub options: MakeOptions,
    /// The register, when it is not in the folder of the papers.
    pub register: Option<&'r Path>,
}

pub fn run(request: &Request<'_>, mut practices: Practices) -> anyhow::Result<Outcome> {
    let mut output = Output::default();
    let mut worst = Outcome::Fine;
    let mut out = OutFolder::new(request.out, request.register);
    for plan in request.plans {
        let outcome = match one(plan, request, &mut practices, &mut out) {
            Ok((outcome, report)) => {
                // the files are there whether or not anybody reads about them
                output.say(&report)?;
                outcome
            }
            Err(error) => {
                anstream::eprintln!(
                    "could not run: {}: {}",
                    shown(plan),
                    explained(error.as_ref())
                );
                Outcome::CouldNotRun
            }
        };
        worst = worst.max(outcome);
    }
    Ok(worst)
}

fn one(
    plan: &Path,
    request: &Request<'_>,
    practices: &mut Practices,
    out: &mut OutFolder,
) -> anyhow::Result<(Outcome, String)> {
    let name = shown(plan);
    let (practice, visit) = match practices.read(plan)? {
        Reading::Fine(practice, visit) => (practice, visit),
        Reading::Mistakes(mistakes) => {
            let count = mistakes.count();
            let noun = if count == 1 { "mistake" } else { "mistakes" };
            anstream::eprintln!("{name}: {count} {noun}; nothing was written for this plan");
            return Ok((Outcome::Unsettled, String::new()));
        }
    };
    let papers = practice.make(&visit, &request.options)?;
    let (files, outdated) = match out.write(&name, &papers, request.only)? {
        Written::Files { files, outdated } => (files, outdated),
        Written::SameNames { plan: other } => {
            anstream::eprintln!(
                "{name}: the same record number and date as {other}; nothing was written for this plan. Put one visit into one plan."
            );
            return Ok((Outcome::Unsettled, String::new()));
        }
        Written::OtherPatient { paper } => {
            anstream::eprintln!(
                "{name}: {} has the same record number and date, and another name or date of birth; nothing was written for this plan. If these are two people, give one of them another record number, or another folder (--out DIR). If the name or the date was put right, move the earlier papers away first.",
                shown(&paper)
            );
            return Ok((Outcome::Unsettled, String::new()));
        }
    };
    let mut report = String::new();
    let heading = match papers.is_stopped() {
        true => ": stopped. No papers for the patient were written.",
        false => ":",
    };
    writeln!(report, "{name}{heading}")?;
    for (path, content) in &files {
        writeln!(report, "  wrote {} ({content})", shown(path))?;
    }
    if papers.needs_no_copy {
        writeln!(
            report,
            "  no reading copy: the patient's own papers are in this language ({})",
            papers.wording.tag()
        )?;
    }
    for path in &outdated {
        writeln!(
            report,
            "  an earlier file is still there, do not use it: {}",
            shown(path)
        )?;
    }
    for fault in papers.faults() {
        writeln!(report, "  stop  {fault}")?;
    }
    let cautions = papers.cautions()?;
    if !cautions.is_empty() {
        writeln!(report, "  for the practitioner to look at:")?;
        for caution in &cautions {
            let answered = match &caution.answer {
                Some(answer) if answer.standing == AnswerStanding::Counts => " (answered)",
                _ => "",
            };
            writeln!(
                report,
                "    {:<4}  {}{answered}",
                caution.level, caution.text
            )?;
        }
    }
    let language = papers.wording.base();
    if language != papers.practice.base() {
        let person = papers.selection.practitioner;
        let words = practice.clinic().untranslated(language, person);
        let words: Vec<String> = words.iter().map(|words| format!("\"{words}\"")).collect();
        if !words.is_empty() {
            writeln!(
                report,
                "  printed as they stand in the clinic file, not in the patient's language ({language}): {} (see [[translation]] in the guide)",
                words.join(", ")
            )?;
        }
    }
    if !practice.clinic().training && papers.has_draft() {
        writeln!(
            report,
            "  The words are a draft: nobody has approved them, and no paper has a place to sign (see `beforehand wording book`)."
        )?;
    }
    let (readiness, idle) = papers.readiness()?;
    writeln!(report, "  {readiness}")?;
    for line in idle {
        writeln!(report, "  {line}")?;
    }
    Ok((Outcome::settled(!papers.is_stopped()), report))
}
