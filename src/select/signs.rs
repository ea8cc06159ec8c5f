//! Turns what was seen or told of a face into questions whether an area is worth treating at all.
//! Invariant: only what was told or denied speaks; a sign that nobody looked for says nothing here.
//! Must not: decide that an area is not treated.

use crate::catalogue::{Level, PoorCandidate};
use crate::domain::{FactId, LabelId, StatementId, Trigger};
use crate::plan::{FactValue, Visit};

use super::cautions::{Case, Caution, Reason};
use super::conditions::{is_so, told};

/// A question for each sign that an area needs and that was looked for and denied.
pub fn no_benefit(case: &Case<'_, '_>) -> Vec<Caution> {
    let mut found = Vec::new();
    for selected in case.areas {
        for sign in &selected.area.needs_sign {
            if is_so(case.visit, &sign.fact) != Some(false) {
                continue;
            }
            let label = LabelId::fact(&sign.fact);
            found.push(
                Caution::new(Trigger::NoBenefit, Level::Ask, &sign.evidence)
                    .because(Reason::Area(selected.area.id.clone()))
                    .because(Reason::Fact(sign.fact.clone()))
                    .with("sign", serde_json::json!([label.as_str()])),
            );
        }
    }
    found
}

/// Whether what was told or seen shows that it is true of this patient.
pub fn is_shown(visit: &Visit, poor: &PoorCandidate) -> bool {
    !shown(visit, poor).is_empty()
}

/// The facts of this plan that show it.
fn shown<'p>(visit: &Visit, poor: &'p PoorCandidate) -> Vec<&'p FactId> {
    let enough = |fact: &FactId| match (visit.patient.facts.get(fact), poor.above) {
        (Some(FactValue::Number(number)), Some(above)) => *number > above,
        _ => told(visit, fact),
    };
    let told = poor.facts.iter().filter(|fact| enough(fact));
    let denied = poor.denied.iter();
    told.chain(denied.filter(|fact| is_so(visit, fact) == Some(false)))
        .collect()
}

/// "May not be a good candidate" entries that the patient's facts show.
pub fn poor_candidates(case: &Case<'_, '_>) -> Vec<Caution> {
    let mut found = Vec::new();
    for selected in case.areas {
        for poor in &selected.area.poor_candidate {
            let facts = shown(case.visit, poor);
            if facts.is_empty() {
                continue;
            }
            let mut caution = Caution::new(Trigger::PoorCandidate, Level::Ask, &poor.evidence)
                .because(Reason::Area(selected.area.id.clone()))
                .with(
                    "poor",
                    StatementId::poor_candidate(&selected.area.id, &poor.id)
                        .as_str()
                        .into(),
                );
            for fact in facts {
                caution = caution.because(Reason::Fact(fact.clone()));
            }
            found.push(caution);
        }
    }
    found
}
