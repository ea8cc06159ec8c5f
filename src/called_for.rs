//! Turns a catalogue into the ids of all words that it calls for, and tells where a wording differs.
//! Invariant: what papers print of a catalogue has its id here.
//! Must not: read a wording's sentences, or know a paper.

use std::collections::BTreeSet;

use crate::catalogue::Catalogue;
use crate::domain::{LabelId, StatementId, StatementKind, Trigger, family};
use crate::wording::Wording;

/// The ids of all words the catalogue calls for on the papers.
pub fn wording_ids(catalogue: &Catalogue) -> BTreeSet<String> {
    let mut wanted = BTreeSet::new();
    for area in &catalogue.areas {
        wanted.extend(LabelId::of_area(&area.id).map(String::from));
        wanted.extend(area.statement_ids().map(|id| id.to_string()));
    }
    let advice = catalogue.advice.iter();
    let told = catalogue.rules.iter().filter(|rule| rule.tells_patient);
    let stops = Trigger::ALL.into_iter().filter(|t| t.may_stop());
    let others = catalogue
        .general
        .statement_ids()
        .chain(advice.map(|advice| StatementId::advice(&advice.id)))
        .chain(told.map(|rule| StatementId::because(&rule.id)))
        .chain(stops.map(|trigger| StatementId::because_of(&trigger.into())));
    wanted.extend(others.map(|id| id.to_string()));
    wanted
}

/// What does not fit between a catalogue and a wording: entries without words, and words without an entry.
pub fn mismatches(catalogue: &Catalogue, wording: &Wording) -> Vec<String> {
    let wanted = wording_ids(catalogue);
    let owned = |id: &str| {
        StatementKind::FOR_PATIENTS.contains(&family(id)) || catalogue.area(family(id)).is_some()
    };
    let unworded = wanted
        .iter()
        .filter(|id| !wording.has(id))
        .map(|id| format!("{id} has no words"));
    let unwanted = wording
        .statements()
        .keys()
        .filter(|id| owned(id) && !wanted.contains(*id))
        .map(|id| format!("{id} is worded, but nothing in the catalogue calls for it"));
    unworded.chain(unwanted).collect()
}
