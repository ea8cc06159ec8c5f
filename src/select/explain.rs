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

/// Cautions that come from dates, doses and places rather than from the rule file, and when each is raised.
const BUILT_IN: &[(&str, &str)] = &[
    (
        "age-under-minimum",
        "the patient is younger than the least age our sources name for the place",
    ),
    (
        "time-too-short",
        "the place asks for more days between the written information and the visit",
    ),
    (
        "time-not-recorded",
        "the place asks for a wait and the plan does not say when the information was given",
    ),
    (
        "time-same-day",
        "the information was given on the day of the visit",
    ),
    (
        "dose-above-label",
        "more units are planned than the label of the place names",
    ),
    (
        "dose-above-other-label",
        "no label of the place names a dose and more units are planned than another label names",
    ),
    (
        "dose-above-studies",
        "no label names a dose and more units are planned than any study or expert we know used",
    ),
    (
        "total-above-label",
        "several areas together exceed the total the label names for them",
    ),
    (
        "mixed-products",
        "more than one product is planned for one visit",
    ),
    (
        "cumulative",
        "the plan lists earlier treatments in the last months",
    ),
    (
        "cumulative-above",
        "earlier and planned units together exceed what the label names",
    ),
    (
        "course-before-label",
        "the next round of a course comes sooner than the label allows",
    ),
    (
        "previous-missing",
        "a later round is planned and the plan does not say when the area was treated last",
    ),
    (
        "poor-candidate",
        "the patient told us something that speaks against an area and no rule says it already",
    ),
    (
        "advice-length",
        "the clinic asks for a time outside the range met in practice",
    ),
    (
        "diary",
        "an event falls between first effect and wear-off of an area that touches what it needs",
    ),
    (
        "diary-late",
        "an event falls between the usual and the longest known wear-off",
    ),
    ("diary-bruise", "photographs are planned within two weeks"),
    (
        "diary-advice",
        "an event falls into the time of an instruction that speaks against it",
    ),
    ("diary-flying", "flying is planned within a day"),
    ("diary-no-needs", "an event names nothing it needs"),
];

/// Every id that can be asked about: statements and cautions of the plan first, then what the catalogue could have said.
pub fn known_ids(selection: &Selection<'_>) -> Vec<String> {
    let catalogue = selection.catalogue;
    let mut ids: Vec<String> = selection.statements.iter().map(|s| s.id.clone()).collect();
    ids.extend(selection.cautions.iter().map(|c| c.id.clone()));
    ids.extend(catalogue.rules.iter().map(|r| r.id.clone()));
    ids.extend(BUILT_IN.iter().map(|(id, _)| (*id).to_owned()));
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
    if let Some((_, when)) = BUILT_IN.iter().find(|(known, _)| *known == id) {
        return Answer::NotCalledFor(format!("it is raised only when {when}"));
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
                licence_place: selection.region.licence_place.as_deref(),
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
        Condition::Function(function) => format!("the area can affect {}", function.as_str()),
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
        Condition::PreviousWithinLabel(true) => {
            "the area was treated more recently than the label interval".to_owned()
        }
        Condition::PreviousWithinLabel(false) => {
            "the area was not treated within the label interval".to_owned()
        }
        Condition::OtherWithinLabel(true) => {
            "another area was treated more recently than the label interval".to_owned()
        }
        Condition::OtherWithinLabel(false) => {
            "no other area was treated within the label interval".to_owned()
        }
        Condition::SameSide(id) => format!("the planned side is the side of {id}"),
        Condition::AlsoPlanned(id) => format!("{id} is planned too"),
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
