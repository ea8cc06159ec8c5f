//! Turns an id into the answer to "why is this in?" or "why not?".
//! Invariant: the answer is worked out from the same catalogue and plan as the papers; nothing is explained from memory.
//! Must not: change a selection, or hold sentences for patients.

use crate::catalogue::{Catalogue, Condition, Ingredient, Restriction, Rule};

use super::cautions::{Caution, Reason};
use super::conditions::{Facts, told};
use super::{Selection, Statement};

/// Why something is in, or why not.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer<'s> {
    /// A statement that is printed on these papers.
    Printed {
        statements: Vec<&'s Statement>,
        reasons: Vec<Reason>,
    },
    /// A caution that is raised, once for each place it concerns.
    Raised(Vec<&'s Caution>),
    /// A rule of the catalogue that does not hold, with each of its parts and whether it holds, for each planned area.
    RuleRests {
        rule: String,
        parts: Vec<(String, Vec<(String, bool)>)>,
    },
    /// The catalogue has it, but this plan does not call for it.
    NotCalledFor(String),
    /// Nothing is called that.
    Unknown,
}

/// Every id that can be asked about: statements and cautions of the plan first, then what the catalogue could have said.
pub fn known_ids(selection: &Selection<'_>) -> Vec<String> {
    let catalogue = selection.catalogue;
    let mut ids: Vec<String> = selection.statements.iter().map(|s| s.id.clone()).collect();
    ids.extend(selection.cautions.iter().map(|c| c.id.clone()));
    ids.extend(catalogue.rules.iter().map(|r| r.id.clone()));
    for area in &catalogue.areas {
        ids.extend(
            area.risk
                .iter()
                .map(|r| format!("{}.risk.{}", area.id, r.id)),
        );
        ids.extend(
            area.statement
                .iter()
                .map(|s| format!("{}.{}", area.id, s.id)),
        );
        ids.extend(
            area.poor_candidate
                .iter()
                .map(|p| format!("{}.poor.{}", area.id, p.id)),
        );
    }
    ids.extend(catalogue.advice.iter().map(|a| format!("advice.{}", a.id)));
    ids.sort();
    ids.dedup();
    ids
}

/// Answers for one id: of a statement, a caution or a rule.
pub fn explain<'s>(selection: &'s Selection<'_>, id: &str) -> Answer<'s> {
    let raised: Vec<&Caution> = selection.cautions.iter().filter(|c| c.id == id).collect();
    if !raised.is_empty() {
        return Answer::Raised(raised);
    }
    let statements: Vec<&Statement> = selection
        .statements
        .iter()
        .filter(|s| s.id == id || s.wording == id)
        .collect();
    if let Some(first) = statements.first() {
        let reasons = reasons(selection, first);
        return Answer::Printed {
            statements,
            reasons,
        };
    }
    if let Some(rule) = selection
        .catalogue
        .rules
        .iter()
        .find(|r| r.id == id || format!("because.{}", r.id) == id)
    {
        return Answer::RuleRests {
            rule: rule.id.clone(),
            parts: rests(selection, rule),
        };
    }
    match id.split_once('.') {
        Some(("advice", name)) if selection.catalogue.advice(name).is_some() => {
            Answer::NotCalledFor(advice_rests(selection.catalogue, name))
        }
        Some((area, _)) if selection.catalogue.area(area).is_some() => {
            if !known_ids(selection).iter().any(|known| known == id) {
                return Answer::Unknown;
            }
            let restriction = selection.catalogue.area(area).map(|a| a.restriction.value);
            Answer::NotCalledFor(if restriction == Some(Restriction::DoNotTreat) {
                format!("{area} is never treated; planning it is a caution that says stop")
            } else {
                format!("the area {area} is not planned at this visit")
            })
        }
        _ => Answer::Unknown,
    }
}

fn advice_rests(catalogue: &Catalogue, name: &str) -> String {
    let opposed = catalogue.advice.iter().find(|a| {
        a.opposes.as_deref() == Some(name)
            || catalogue.advice(name).and_then(|x| x.opposes.as_deref()) == Some(&a.id)
    });
    match opposed {
        Some(other) => format!(
            "`{}` says the opposite and is given in its place; a clinic chooses with `instead` under [aftercare]",
            other.id
        ),
        None => "no planned area and no zone of the face calls for it".to_owned(),
    }
}

/// Why a statement is there.
fn reasons(selection: &Selection<'_>, statement: &Statement) -> Vec<Reason> {
    if let Some(rule) = statement.id.strip_prefix("because.") {
        let facts = selection
            .because
            .iter()
            .filter(|b| b.rule == rule)
            .flat_map(|b| b.facts.iter());
        let mut reasons: Vec<Reason> = facts.map(|fact| Reason::Fact(fact.clone())).collect();
        reasons.push(Reason::Rule(rule.to_owned()));
        return reasons;
    }
    if let Some(name) = statement.id.strip_prefix("advice.") {
        return selection
            .advice
            .iter()
            .filter(|a| a.advice.id == name)
            .flat_map(|a| a.reasons.clone())
            .collect();
    }
    match &statement.area {
        Some(owner) if selection.catalogue.product(owner).is_some() => {
            vec![Reason::Product(owner.clone())]
        }
        Some(owner) => vec![Reason::Area(owner.clone())],
        None => Vec::new(),
    }
}

/// Each part of a rule's condition, area by area.
fn rests(selection: &Selection<'_>, rule: &Rule) -> Vec<(String, Vec<(String, bool)>)> {
    let visit = selection.visit;
    visit
        .areas
        .iter()
        .filter_map(|planned| {
            let area = selection.catalogue.area(&planned.id)?;
            let product = selection
                .catalogue
                .product(&visit.product_of(planned).name)?;
            let facts = Facts {
                visit,
                planned,
                area,
                product,
                region: &selection.region.id,
                age: selection.age,
            };
            let mut parts = Vec::new();
            collect(&facts, &rule.when, &mut parts);
            Some((area.id.clone(), parts))
        })
        .collect()
}

fn collect(facts: &Facts<'_>, condition: &Condition, parts: &mut Vec<(String, bool)>) {
    match condition {
        Condition::All(inner) => inner.iter().for_each(|part| collect(facts, part, parts)),
        other => parts.push((describe(other), facts.holds(other))),
    }
}

/// A condition in plain words.
pub fn describe(condition: &Condition) -> String {
    let list =
        |parts: &[Condition], word: &str| parts.iter().map(describe).collect::<Vec<_>>().join(word);
    match condition {
        Condition::All(parts) => format!("({})", list(parts, " and ")),
        Condition::Any(parts) => format!("({})", list(parts, " or ")),
        Condition::Not(part) => format!("not {}", describe(part)),
        Condition::Fact(id) => format!("the patient told us {id}"),
        Condition::Area(id) => format!("the area is {id}"),
        Condition::Zone(zone) => format!("the area lies in the zone {}", zone.as_str()),
        Condition::Function(function) => format!("the area can affect {}", function.key()),
        Condition::Product(id) => format!("the product is {id}"),
        Condition::Contains(Ingredient::HumanAlbumin) => {
            "the product contains, or may contain, human albumin".to_owned()
        }
        Condition::Contains(Ingredient::MilkProtein) => {
            "the product contains milk protein".to_owned()
        }
        Condition::Region(id) => format!("the clinic is in {id}"),
        Condition::AgeUnder(years) => format!("the patient is under {years}"),
        Condition::AgeAtLeast(years) => format!("the patient is {years} or older"),
        Condition::Reason(id) => format!("the plan gives the reason {id}"),
        Condition::Restriction(Restriction::DoNotTreat) => "the area is never treated".to_owned(),
        Condition::Restriction(Restriction::ReconstructiveOnly) => {
            "the area is treated only to balance an asymmetry".to_owned()
        }
        Condition::Restriction(Restriction::None) => "the area has no restriction".to_owned(),
        Condition::RoundAtLeast(round) => format!("it is round {round} or later"),
        Condition::WeeksSincePreviousUnder(weeks) => {
            format!("the area was treated fewer than {weeks} weeks ago")
        }
        Condition::WeeksSinceAnyUnder(weeks) => {
            format!("some area was treated fewer than {weeks} weeks ago")
        }
        Condition::UnitsAbove(units) => format!("more than {units} units are planned"),
    }
}

/// Facts the patient told us that no rule and no poor-candidate entry of this plan uses.
pub fn unused_facts(selection: &Selection<'_>) -> Vec<String> {
    let used = |id: &str| {
        selection
            .cautions
            .iter()
            .any(|c| c.reasons.contains(&Reason::Fact(id.to_owned())))
            || selection
                .because
                .iter()
                .any(|b| b.facts.iter().any(|f| f == id))
    };
    selection
        .visit
        .patient
        .facts
        .keys()
        .filter(|id| told(selection.visit, id) && !used(id))
        .cloned()
        .collect()
}
