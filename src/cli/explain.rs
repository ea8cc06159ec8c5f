//! Turns "why is this in?" into an answer: area, fact, rule, source; or what would have to hold.
//! Invariant: the answer comes from the same selection the papers are made of.
//! Must not: write papers.

use std::fmt::Write;
use std::path::Path;

use super::Outcome;
use super::open::{Practices, Reading};
use super::output::Output;
use crate::catalogue::Evidence;
use crate::diagnose;
use crate::practice::{MakeOptions, WordedCaution};
use crate::select::explain::{Answer, Truth, explain, known_ids, unused_facts};
use crate::select::{Reason, Selection};

pub fn run(plan: &Path, id: Option<&str>, mut practices: Practices) -> anyhow::Result<Outcome> {
    let (practice, visit) = match practices.read(plan)? {
        Reading::Fine(practice, visit) => (practice, visit),
        Reading::Mistakes(_) => return Ok(Outcome::Unsettled),
    };
    let papers = practice.make(&visit, &MakeOptions::default())?;
    let selection = &papers.selection;
    let mut out = String::new();
    let Some(id) = id else {
        list(selection, &mut out)?;
        Output::default().say(&out)?;
        return Ok(Outcome::Fine);
    };
    match explain(selection, id) {
        Answer::Printed {
            statements,
            reasons,
        } => {
            for statement in statements {
                let page = papers
                    .page_of(statement)
                    .map_or("not printed".to_owned(), |page| format!("page {page}"));
                writeln!(
                    out,
                    "{}: in, on the {} paper, {page}",
                    statement.id,
                    statement.paper.as_str()
                )?;
                because(&reasons, &mut out)?;
                sources(selection, &statement.evidence, &mut out)?;
            }
        }
        Answer::Raised(cautions) => {
            let said = papers.cautions()?;
            for caution in cautions {
                writeln!(
                    out,
                    "{}: raised, level {}",
                    caution.id,
                    caution.level.as_str()
                )?;
                let same = |s: &&WordedCaution| s.id == caution.id && s.areas == caution.areas;
                if let Some(said) = said.iter().find(same) {
                    writeln!(out, "  says: {}", said.text)?;
                }
                because(&caution.reasons, &mut out)?;
                for authority in &caution.authorities {
                    writeln!(
                        out,
                        "  {}: {} ({})",
                        authority.place,
                        authority.level.as_str(),
                        authority.evidence.source.join(", ")
                    )?;
                }
                sources(selection, &caution.evidence, &mut out)?;
            }
        }
        Answer::RuleRests { rule, parts } => {
            writeln!(out, "{rule}: not raised")?;
            for (area, parts) in parts {
                writeln!(out, "  for {area}:")?;
                for (part, holds) in parts {
                    let said = match holds {
                        Truth::Yes => "yes      ",
                        Truth::No => "no       ",
                        Truth::Open => "not asked",
                    };
                    writeln!(out, "    {said} {part}")?;
                }
            }
        }
        Answer::NotCalledFor(why) => writeln!(out, "{id}: not in, because {why}")?,
        Answer::Unknown => {
            let known = known_ids(selection);
            anstream::eprintln!(
                "nothing is called `{}`; {}",
                diagnose::echo(id),
                diagnose::hint(id, known.iter().map(String::as_str), "name")
            );
            return Ok(Outcome::Unsettled);
        }
    }
    Output::default().say(&out)?;
    Ok(Outcome::Fine)
}

fn because(reasons: &[Reason], out: &mut impl Write) -> std::fmt::Result {
    if reasons.is_empty() {
        return writeln!(out, "  because: it is said at every visit");
    }
    let said: Vec<String> = reasons.iter().map(ToString::to_string).collect();
    writeln!(out, "  because: {}", said.join(", "))
}

fn sources(
    selection: &Selection<'_>,
    evidence: &Evidence,
    out: &mut impl Write,
) -> std::fmt::Result {
    writeln!(out, "  status: {}", evidence.status.as_str())?;
    for id in &evidence.source {
        if let Some(source) = selection.catalogue.sources.get(id) {
            writeln!(out, "  source: {} {}", source.id, source.title)?;
        }
    }
    Ok(())
}

fn list(selection: &Selection<'_>, out: &mut impl Write) -> std::fmt::Result {
    writeln!(out, "Cautions")?;
    for caution in &selection.cautions {
        let said: Vec<String> = caution.reasons.iter().map(ToString::to_string).collect();
        writeln!(
            out,
            "  {:<4}  {}  ({})",
            caution.level.as_str(),
            caution.id,
            said.join(", ")
        )?;
    }
    writeln!(out, "\nStatements")?;
    for statement in &selection.statements {
        let owner = statement.id.owner().as_str().unwrap_or("every visit");
        writeln!(
            out,
            "  {:<9}  {}  ({owner})",
            statement.paper.as_str(),
            statement.id
        )?;
    }
    let unused = unused_facts(selection);
    if !unused.is_empty() {
        writeln!(
            out,
            "\nFacts that change nothing in this plan: {}",
            unused.join(", ")
        )?;
    }
    Ok(())
}
