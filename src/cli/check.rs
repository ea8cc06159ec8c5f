//! Turns plans into a report of cautions and, area by area, the page on which each required risk will be printed.
//! Invariant: nothing is written; the pages come from a real layout in memory.
//! Must not: leave out a required risk because it is printed where it should be.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::Outcome;
use super::lint::DocumentChecks;
use super::open::{Practices, Reading};
use super::output::{Output, shown};
use crate::compose;
use crate::domain::{AreaId, LabelId};
use crate::practice::{JSON_VERSION, MakeOptions, Mistakes, Papers, VisitReport, explained};

pub fn run(plans: &[PathBuf], json: bool, mut practices: Practices) -> anyhow::Result<Outcome> {
    let mut output = Output::default();
    let mut worst = Outcome::Fine;
    let mut checked = Checked {
        version: JSON_VERSION,
        plans: Vec::new(),
    };
    for plan in plans {
        let name = shown(plan);
        let (outcome, said, text) = match one(plan, &mut practices, json) {
            Ok(checked) => checked,
            Err(error) => {
                let error = explained(error.as_ref());
                anstream::eprintln!("could not run: {name}: {error}");
                let said = Said::Error(error);
                (Outcome::CouldNotRun, Some(said), String::new())
            }
        };
        checked
            .plans
            .extend(said.map(|said| PlanChecked { plan: name, said }));
        output.say(&text)?;
        worst = worst.max(outcome);
    }
    if json {
        output.json(&checked)?;
    }
    Ok(worst)
}

/// What `--format json` prints.
#[derive(Serialize)]
struct Checked {
    version: u32,
    plans: Vec<PlanChecked>,
}

#[derive(Serialize)]
struct PlanChecked {
    plan: String,
    #[serde(flatten)]
    said: Said,
}

#[derive(Serialize)]
#[serde(rename_all = "snake_case")]
enum Said {
    Error(String),
    Mistakes(Mistakes),
    #[serde(untagged)]
    Report {
        #[serde(flatten)]
        report: Box<VisitReport>,
        /// Notes for whoever writes the words; they decide nothing.
        lint: serde_json::Value,
    },
}

/// What came of one plan: outcome, data for a program, or text for reading.
fn one(
    plan: &Path,
    practices: &mut Practices,
    json: bool,
) -> anyhow::Result<(Outcome, Option<Said>, String)> {
    let (practice, visit) = match practices.read(plan)? {
        Reading::Fine(practice, visit) => (practice, visit),
        Reading::Mistakes(mistakes) => {
            let said = Said::Mistakes(mistakes);
            return Ok((Outcome::Unsettled, Some(said), String::new()));
        }
    };
    let papers = practice.make(&visit, &MakeOptions::default())?;
    let checks = DocumentChecks::of(&papers);
    // a check of the lint that is not met is a note for whoever writes the words, and never the outcome
    let outcome = Outcome::settled(papers.verdict().is_open());
    if json {
        let said = Said::Report {
            report: Box::new(papers.report()?),
            lint: checks.json(),
        };
        Ok((outcome, Some(said), String::new()))
    } else {
        Ok((outcome, None, print(&shown(plan), &papers, &checks)?))
    }
}

/// The required statements of an area (or of everybody) that are not risks, with paper and page.
fn others(out: &mut String, papers: &Papers<'_>, area: Option<&AreaId>) -> anyhow::Result<()> {
    let selection = &papers.selection;
    let mut said = Vec::new();
    for statement in selection.statements.iter().filter(|s| !s.id.is_risk()) {
        if statement.id.owner().area() != area {
            continue;
        }
        let page = match papers.page_of(statement) {
            Some(page) => page.to_string(),
            None => "MISSING".to_owned(),
        };
        // a product's stand with everybody's, so they keep their product's name
        let id = match area {
            Some(_) => statement.id.short(),
            None => statement.id.as_str(),
        };
        said.push(format!("{id} ({} {page})", statement.paper.as_str()));
    }
    writeln!(out, "  also required: {}", said.join(", "))?;
    Ok(())
}

/// What nobody asked, by what it could come to.
fn not_asked(out: &mut String, papers: &Papers<'_>) -> anyhow::Result<()> {
    let lines = papers.not_asked()?;
    if lines.is_empty() {
        return Ok(());
    }
    writeln!(
        out,
        "\nNot asked (write true, false or \"not-sure\" under [patient])"
    )?;
    let width = lines.iter().map(|line| line.fact.as_str().len()).max();
    for line in &lines {
        let width = width.unwrap_or_default();
        writeln!(
            out,
            "  {:<4}  {:<width$}  {}",
            line.level, line.fact, line.text
        )?;
    }
    Ok(())
}

fn print(name: &str, papers: &Papers<'_>, checks: &DocumentChecks) -> anyhow::Result<String> {
    let selection = &papers.selection;
    let mut out = String::new();
    writeln!(out, "{name}")?;
    let (readiness, idle) = papers.readiness()?;
    writeln!(out, "\n{readiness}")?;
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
        if !caution.state.is_empty() {
            writeln!(out, "        {}", caution.state)?;
        }
    }
    for line in idle {
        writeln!(out, "  {line}")?;
    }
    not_asked(&mut out, papers)?;
    let said = papers.say_to_patient()?;
    if !said.is_empty() {
        writeln!(out, "\nSay to the patient")?;
    }
    for said in &said {
        writeln!(out, "  {}", said.text)?;
        if let Some(own) = &said.practice_text {
            writeln!(out, "        {own}")?;
        }
    }
    if !selection.areas.is_empty() {
        let areas = selection
            .areas
            .iter()
            .map(|selected| Some(&selected.area.id));
        for area in areas.chain([None]) {
            let title = match area {
                Some(id) => format!("{} ({id})", papers.practice.label(&LabelId::area_name(id))?),
                None => papers.practice.label("consent.risks.everyone")?,
            };
            writeln!(
                out,
                "\n{title}: required risks and their page in the information paper and in the consent form"
            )?;
            let of_area = papers.risks().filter(|s| s.id.owner().area() == area);
            for statement in of_area {
                let lead = compose::lead(selection, papers.practice.recorded(), statement)?;
                match (papers.page_of(statement), papers.named_on(statement)) {
                    (Some(page), Some(form)) => {
                        writeln!(out, "  page {page:>2}, {form:>2}  {lead}")?
                    }
                    _ => writeln!(out, "  MISSING  {lead} ({})", statement.id)?,
                }
            }
            others(&mut out, papers, area)?;
        }
    }
    writeln!(out, "\nPapers")?;
    for paper in &papers.papers {
        let required = selection.required(paper.kind).len();
        let language = match paper.wording.tag() {
            tag if tag == papers.practice.tag() => String::new(),
            tag => format!(", in {tag}"),
        };
        writeln!(
            out,
            "  {}{language}: {} pages, {} of {required} required statements printed",
            paper.kind,
            paper.pages.count(),
            required - paper.coverage.faults.len(),
        )?;
    }
    let verdict = papers.verdict();
    if !verdict.is_open() {
        writeln!(
            out,
            "\nStopped: `make` will not write papers for the patient."
        )?;
        for reason in &verdict.reasons {
            writeln!(out, "  {reason}")?;
        }
    }
    checks.print(&mut out)?;
    writeln!(out)?;
    Ok(out)
}
