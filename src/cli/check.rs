//! Turns plans into a report of cautions and, area by area, the page on which each required risk will be printed.
//! Invariant: nothing is written; the pages come from a real layout in memory.
//! Must not: leave out a required risk because it is printed where it should be.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use anyhow::Context;
use serde_json::json;

use super::Outcome;
use super::output::{Output, shown};
use super::read::{Read, Reading, read};
use super::standards::DocumentChecks;
use crate::compose;
use crate::papers::{self, Papers};
use crate::select::Paper;

pub fn run(
    plans: &[PathBuf],
    json: bool,
    clinic: Option<&Path>,
    fonts: Option<&Path>,
) -> anyhow::Result<Outcome> {
    let mut output = Output::default();
    let mut worst = Outcome::Fine;
    let mut reports = Vec::new();
    for plan in plans {
        let name = shown(plan);
        let (outcome, said, text) = match one(plan, clinic, fonts, json) {
            Ok(checked) => checked,
            Err(error) => {
                anstream::eprintln!("could not run: {name}: {error:#}");
                let said = json!({ "plan": name, "error": format!("{error:#}") });
                (Outcome::CouldNotRun, said, String::new())
            }
        };
        reports.push(said);
        output.say(&text)?;
        worst = worst.max(outcome);
    }
    if json {
        let mut text = serde_json::to_string_pretty(&reports)?;
        text.push('\n');
        output.say(&text)?;
    }
    Ok(worst)
}

/// What came of one plan: outcome, report for a program, report for reading.
fn one(
    plan: &Path,
    clinic: Option<&Path>,
    fonts: Option<&Path>,
    json: bool,
) -> anyhow::Result<(Outcome, serde_json::Value, String)> {
    let name = shown(plan);
    let read = match read(plan, clinic, fonts)? {
        Reading::Mistakes(mistakes) => {
            let said = json!({ "plan": name, "mistakes": mistakes });
            return Ok((Outcome::Unsettled, said, String::new()));
        }
        Reading::Fine(read) => read,
    };
    let Read {
        visit,
        clinic,
        catalogue,
        typesetter,
        approvals,
    } = &*read;
    let papers = papers::make(catalogue, clinic, visit, approvals, typesetter)
        .context("the papers could not be made")?;
    let checks = DocumentChecks::of(&papers);
    // a check that is not met is a note for whoever writes the words, unless the paper lacks what it must have
    let outcome = if papers.is_stopped() || checks.is_lacking() {
        Outcome::Unsettled
    } else {
        Outcome::Fine
    };
    if json {
        Ok((outcome, report(&name, &papers, &checks)?, String::new()))
    } else {
        Ok((
            outcome,
            serde_json::Value::Null,
            print(&name, &papers, &checks)?,
        ))
    }
}

fn report(
    name: &str,
    papers: &Papers<'_>,
    checks: &DocumentChecks,
) -> anyhow::Result<serde_json::Value> {
    let selection = &papers.selection;
    let consent = papers.made.iter().find(|made| made.paper == Paper::Consent);
    let mut risks = Vec::new();
    for statement in selection.statements.iter().filter(|s| s.risk) {
        let place = consent.and_then(|made| made.coverage.printed.get(&statement.id));
        risks.push(json!({
            "area": statement.area,
            "statement": statement.id,
            "text": compose::lead(selection, papers.practice.recorded(), statement)?,
            "page": place.map(|place| place.first_page),
            "source": statement.source,
            "status": statement.status.as_str(),
        }));
    }
    let statements: Vec<_> = selection
        .statements
        .iter()
        .map(|statement| {
            let made = papers
                .made
                .iter()
                .find(|made| made.paper == statement.paper);
            let place = made.and_then(|made| made.coverage.printed.get(&statement.id));
            json!({
                "paper": statement.paper,
                "area": statement.area,
                "statement": statement.id,
                "wording": statement.wording,
                "page": place.map(|place| place.first_page),
            })
        })
        .collect();
    let made: Vec<_> = papers
        .made
        .iter()
        .map(|made| {
            json!({
                "paper": made.paper,
                "pages": made.pages.count(),
                "required": selection.required(made.paper).len(),
                "faults": made.coverage.faults.iter().map(|(id, fault)| json!({ "statement": id, "fault": fault.to_string() })).collect::<Vec<_>>(),
                "lost": made.coverage.lost.iter().map(|(text, fault)| json!({ "text": text, "fault": fault.to_string() })).collect::<Vec<_>>(),
            })
        })
        .collect();
    Ok(json!({
        "plan": name,
        "stopped": papers.is_stopped(),
        "language": papers.wording.tag(),
        "practice_language": papers.practice.tag(),
        "region": selection.region.id,
        "cautions": papers.cautions()?,
        "required_risks": risks,
        "required_statements": statements,
        "papers": made,
        "document_checks": checks.json(),
    }))
}

/// The required statements of an area (or of everybody) that are not risks, with paper and page.
fn others(out: &mut String, papers: &Papers<'_>, area: Option<&str>) -> anyhow::Result<()> {
    let selection = &papers.selection;
    let is_area = |owner: &&str| selection.catalogue.area(owner).is_some();
    let mut said = Vec::new();
    for statement in selection.statements.iter().filter(|s| !s.risk) {
        if statement.area.as_deref().filter(is_area) != area {
            continue;
        }
        let made = papers
            .made
            .iter()
            .find(|made| made.paper == statement.paper);
        let page = match made.and_then(|made| made.coverage.printed.get(&statement.id)) {
            Some(place) => place.first_page.to_string(),
            None => "MISSING".to_owned(),
        };
        let short = area
            .and_then(|area| statement.id.strip_prefix(area))
            .unwrap_or(&statement.id);
        said.push(format!(
            "{} ({} {page})",
            short.trim_start_matches(['.', '/']),
            statement.paper.as_str()
        ));
    }
    writeln!(out, "  also required: {}", said.join(", "))?;
    Ok(())
}

fn print(name: &str, papers: &Papers<'_>, checks: &DocumentChecks) -> anyhow::Result<String> {
    let selection = &papers.selection;
    let mut out = String::new();
    writeln!(out, "{name}")?;
    writeln!(out, "\nCautions")?;
    let cautions = papers.cautions()?;
    if cautions.is_empty() {
        writeln!(out, "  none found; that is not proof that there is none")?;
    }
    for caution in &cautions {
        writeln!(out, "  {:<4}  {}", caution.level, caution.text)?;
        let source = caution.source.join(", ");
        if caution.because.is_empty() {
            writeln!(out, "        source: {source} ({})", caution.status)?;
        } else {
            writeln!(
                out,
                "        because of {}; source: {source} ({})",
                caution.because, caution.status
            )?;
        }
    }
    if let Some(consent) = papers.made.iter().find(|made| made.paper == Paper::Consent) {
        let areas = selection
            .areas
            .iter()
            .map(|selected| Some(selected.area.id.as_str()));
        for area in areas.chain([None]) {
            let title = match area {
                Some(id) => format!("{} ({id})", papers.practice.label(&format!("{id}.name"))?),
                None => papers.practice.label("consent.risks.everyone")?,
            };
            writeln!(
                out,
                "\n{title}: required risks and their page in the consent form"
            )?;
            for statement in selection
                .statements
                .iter()
                .filter(|s| s.risk && s.area.as_deref() == area)
            {
                let lead = compose::lead(selection, papers.practice.recorded(), statement)?;
                match consent.coverage.printed.get(&statement.id) {
                    Some(place) => writeln!(out, "  page {:>2}  {lead}", place.first_page)?,
                    None => writeln!(out, "  MISSING  {lead} ({})", statement.id)?,
                }
            }
            others(&mut out, papers, area)?;
        }
    }
    writeln!(out, "\nPapers")?;
    for made in &papers.made {
        let required = selection.required(made.paper).len();
        let language = match made.wording.tag() {
            tag if tag == papers.practice.tag() => String::new(),
            tag => format!(", in {tag}"),
        };
        writeln!(
            out,
            "  {}{language}: {} pages, {} of {required} required statements printed",
            made.paper.as_str(),
            made.pages.count(),
            required - made.coverage.faults.len(),
        )?;
        for (text, fault) in &made.coverage.lost {
            writeln!(out, "    `{text}` {fault}")?;
        }
    }
    checks.print(&mut out)?;
    if papers.is_stopped() {
        writeln!(
            out,
            "\nStopped: `make` will not write papers for the patient."
        )?;
    }
    writeln!(out)?;
    Ok(out)
}
