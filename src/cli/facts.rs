//! Turns the closed list of patient facts into text: what each is called, and what each answer changes.
//! Invariant: every rule and every poor-candidate entry that uses a fact is named, with level, source and status.
//! Must not: decide anything.

use std::fmt::Write as _;
use std::path::Path;

use super::Outcome;
use super::open::catalogue_and_wording;
use super::output::Output;
use crate::catalogue::{Catalogue, Fact, FactGroup, FactKind};
use crate::diagnose;
use crate::domain::{LabelId, StatementId};
use crate::plan::FactValue;
use crate::select::explain::describe;
use crate::select::facts_named;
use crate::wording::{Wording, rich};

pub fn run(wanted: Option<&str>, clinic: Option<&Path>) -> anyhow::Result<Outcome> {
    let Some((catalogue, wording)) = catalogue_and_wording(clinic)? else {
        return Ok(Outcome::Unsettled);
    };
    let catalogue = &catalogue;
    let text = match wanted {
        None => list(catalogue, &wording)?,
        Some(id) => match catalogue.facts.iter().find(|fact| fact.id == id) {
            Some(fact) => describe_fact(fact, catalogue, &wording)?,
            None => {
                let known = catalogue.facts.iter().map(|fact| fact.id.as_str());
                anstream::eprintln!(
                    "no fact is called `{}`; {}",
                    diagnose::echo(id),
                    diagnose::hint(id, known, "fact")
                );
                return Ok(Outcome::Unsettled);
            }
        },
    };
    Output::default().say(&text)?;
    Ok(Outcome::Fine)
}

fn kind(kind: FactKind) -> &'static str {
    match kind {
        FactKind::Flag => "true",
        FactKind::Side => "\"left\", \"right\" or \"both\"",
        FactKind::Text => "a text",
        FactKind::Number => "a whole number",
    }
}

fn list(catalogue: &Catalogue, wording: &Wording) -> anyhow::Result<String> {
    let width = catalogue
        .facts
        .iter()
        .map(|fact| fact.id.as_str().len())
        .max()
        .unwrap_or(0);
    let mut out = String::new();
    for (group, title) in [
        (FactGroup::Daily, "Daily life"),
        (FactGroup::Health, "Health"),
        (FactGroup::Medicines, "Medicines"),
        (FactGroup::Face, "Face and neck"),
        (FactGroup::Signs, "Signs to look for"),
        (FactGroup::Feelings, "Feelings and earlier treatment"),
    ] {
        writeln!(out, "{title}")?;
        for fact in catalogue.facts.iter().filter(|fact| fact.group == group) {
            let label = wording.label(&LabelId::fact(&fact.id))?;
            writeln!(
                out,
                "  {:<width$}  {label} (write {})",
                fact.id,
                kind(fact.kind)
            )?;
        }
    }
    writeln!(
        out,
        "\nUnder [patient] in a plan; false for what was asked and denied, \"not-sure\" for what the patient does not know.\n\
         What a plan does not name was not asked. `beforehand facts FACT` shows what one of them changes."
    )?;
    Ok(out)
}

fn describe_fact(fact: &Fact, catalogue: &Catalogue, wording: &Wording) -> anyhow::Result<String> {
    let mut out = String::new();
    writeln!(
        out,
        "{}: {}",
        fact.id,
        wording.label(&LabelId::fact(&fact.id))?
    )?;
    writeln!(
        out,
        "Asked as: {}",
        wording.label(&LabelId::question(&fact.id))?
    )?;
    writeln!(
        out,
        "In a plan, under [patient]: {} = {}; false when it was asked and denied, \"{}\" when the patient does not know",
        fact.id,
        kind(fact.kind),
        FactValue::NOT_SURE,
    )?;
    for rule in catalogue
        .rules
        .iter()
        .filter(|rule| facts_named(&rule.when).contains(&fact.id))
    {
        writeln!(out, "\n{} (rule {})", rule.level.as_str(), rule.id)?;
        writeln!(out, "  when: {}", describe(&rule.when))?;
        writeln!(
            out,
            "  the practitioner reads: {}",
            words(wording, StatementId::caution(&(&rule.id).into()).wording())
        )?;
        if rule.tells_patient {
            writeln!(
                out,
                "  the patient reads: {}",
                words(wording, StatementId::because(&rule.id).wording())
            )?;
        }
        for authority in &rule.authority {
            writeln!(
                out,
                "  {}: {} [{}; {}]",
                authority.place,
                authority.level.as_str(),
                authority.evidence.source.join(", "),
                authority.evidence.status.as_str()
            )?;
        }
        writeln!(
            out,
            "  [{}; {}]",
            rule.evidence.source.join(", "),
            rule.evidence.status.as_str()
        )?;
    }
    for area in &catalogue.areas {
        for sign in area.needs_sign.iter().filter(|sign| sign.fact == fact.id) {
            writeln!(
                out,
                "\nask ({}: no benefit is to be expected, when denied)\n  [{}; {}]",
                area.id,
                sign.evidence.source.join(", "),
                sign.evidence.status.as_str()
            )?;
        }
        for poor in area
            .poor_candidate
            .iter()
            .filter(|poor| poor.facts.contains(&fact.id) || poor.denied.contains(&fact.id))
        {
            let denied = match (poor.denied.contains(&fact.id), poor.above) {
                (true, _) => ", when denied".to_owned(),
                (false, Some(above)) => format!(", above {above}"),
                (false, None) => String::new(),
            };
            writeln!(
                out,
                "\nask ({}: may not be a good candidate{denied})",
                area.id
            )?;
            writeln!(
                out,
                "  the patient reads: {}",
                words(
                    wording,
                    StatementId::poor_candidate(&area.id, &poor.id).wording()
                )
            )?;
            writeln!(
                out,
                "  [{}; {}]",
                poor.evidence.source.join(", "),
                poor.evidence.status.as_str()
            )?;
        }
    }
    Ok(out)
}

/// A sentence with its blanks as they stand in the wording.
fn words(wording: &Wording, id: &str) -> String {
    let template = wording.statements().get(id).map_or("", String::as_str);
    match rich::parse(template) {
        Ok(pieces) => rich::text_of_pieces(&pieces).replace('\n', " "),
        Err(_) => template.replace('\n', " "),
    }
}
