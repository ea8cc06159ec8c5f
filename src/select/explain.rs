//! Turns an id into the answer to "why is this in?" or "why not?".
//! Invariant: the answer is worked out from the same catalogue and plan as the papers; nothing is explained from memory.
//! Must not: change a selection, or hold sentences for patients.

use crate::catalogue::{Catalogue, Condition, Ingredient, Restriction, Rule};

use crate::domain::{AreaId, FactId, Owner, RuleId, StatementId, StatementKind, Trigger};

use super::cautions::{Caution, Reason};
use super::conditions::{Facts, told};

pub use super::conditions::Truth;
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
        rule: RuleId,
        parts: Vec<(AreaId, Vec<(String, Truth)>)>,
    },
    /// The catalogue has it, but this plan does not call for it.
    NotCalledFor(String),
    /// Nothing is called that.
    Unknown,
}

/// Every id that can be asked about: statements and cautions of the plan first, then what the catalogue could have said.
pub fn known_ids(selection: &Selection<'_>) -> Vec<String> {
    let catalogue = selection.catalogue;
    let mut ids: Vec<String> = selection
        .statements
        .iter()
        .map(|s| s.id.to_string())
        .collect();
    ids.extend(selection.cautions.iter().map(|c| c.id.to_string()));
    ids.extend(catalogue.rules.iter().map(|r| r.id.to_string()));
    ids.extend(Trigger::ALL.map(|trigger| trigger.to_string()));
    for area in &catalogue.areas {
        ids.extend(area.statement_ids().map(|id| id.to_string()));
    }
    let advice = catalogue.advice.iter();
    ids.extend(advice.map(|a| StatementId::advice(&a.id).to_string()));
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
        .filter(|s| s.id == id || s.id.wording() == id)
        .collect();
    if let Some(first) = statements.first() {
        let reasons = reasons(selection, first);
        return Answer::Printed {
            statements,
            reasons,
        };
    }
    let asked = id.parse::<StatementId>().ok();
    if let Some(rule) = selection
        .catalogue
        .rules
        .iter()
        .find(|rule| rule.id == id || asked.as_ref() == Some(&StatementId::because(&rule.id)))
    {
        return Answer::RuleRests {
            rule: rule.id.clone(),
            parts: rests(selection, rule),
        };
    }
    if let Some(trigger) = Trigger::from_word(id) {
        let when = trigger.raised_when();
        return Answer::NotCalledFor(format!("it is raised only when {when}"));
    }
    let Some(asked) = asked else {
        return Answer::Unknown;
    };
    if asked.kind() == StatementKind::Advice && selection.catalogue.advice(asked.name()).is_some() {
        return Answer::NotCalledFor(advice_rests(selection.catalogue, asked.name()));
    }
    let area = asked
        .owner()
        .area()
        .and_then(|id| selection.catalogue.area(id));
    match area.filter(|area| area.statement_ids().any(|known| known == asked)) {
        Some(area) if area.restriction.value == Restriction::DoNotTreat => {
            Answer::NotCalledFor(format!(
                "{} is never treated; planning it is a caution that says stop",
                area.id
            ))
        }
        Some(area) => {
            Answer::NotCalledFor(format!("the area {} is not planned at this visit", area.id))
        }
        None => Answer::Unknown,
    }
}

fn advice_rests(catalogue: &Catalogue, name: &str) -> String {
    let opposed = catalogue.advice.iter().find(|a| {
        a.opposes.as_ref().is_some_and(|other| *other == *name)
            || catalogue.advice(name).and_then(|x| x.opposes.as_ref()) == Some(&a.id)
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
pub fn reasons(selection: &Selection<'_>, statement: &Statement) -> Vec<Reason> {
    let id = &statement.id;
    match (id.kind(), id.owner()) {
        (StatementKind::Because, _) => selection
            .because
            .iter()
            .filter(|b| b.rule == *id.name())
            .flat_map(|b| {
                let facts = b.facts.iter().cloned().map(Reason::Fact);
                facts.chain([Reason::Rule(b.rule.clone())])
            })
            .collect(),
        (StatementKind::Advice, _) => selection
            .advice
            .iter()
            .filter(|a| a.advice.id == *id.name())
            .flat_map(|a| a.reasons.clone())
            .collect(),
        (_, Owner::Product(product)) => vec![Reason::Product(product.clone())],
        (_, Owner::Area(area)) => vec![Reason::Area(area.clone())],
        (_, Owner::Everyone) => Vec::new(),
    }
}

/// Each part of a rule's condition, area by area.
fn rests(selection: &Selection<'_>, rule: &Rule) -> Vec<(AreaId, Vec<(String, Truth)>)> {
    let visit = selection.visit;
    let together: Vec<_> = visit
        .areas
        .iter()
        .filter_map(|planned| selection.catalogue.area(&planned.id))
        .collect();
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
                together: &together,
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

fn collect(facts: &Facts<'_>, condition: &Condition, parts: &mut Vec<(String, Truth)>) {
    match condition {
        Condition::All(inner) => inner.iter().for_each(|part| collect(facts, part, parts)),
        other => parts.push((describe(other), facts.judge(other, &[]))),
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
        Condition::Denied(id) => format!("the patient was asked and denied {id}"),
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
        Condition::SharesFunction(sharing) => {
            let functions: Vec<_> = sharing.functions.iter().map(|f| f.as_str()).collect();
            let zones: Vec<_> = sharing.zones.iter().map(|zone| zone.as_str()).collect();
            let place = match zones.as_slice() {
                [] => String::new(),
                zones => format!(" of the zone {}", zones.join(" or ")),
            };
            format!(
                "another planned area{place} can affect {} as well",
                functions.join(" or ")
            )
        }
        Condition::UnitsAbove(units) => format!("more than {units} units are planned"),
        Condition::EarlierTreatmentNamed(named) => format!(
            "the plan {} an earlier treatment",
            if *named { "names" } else { "does not name" }
        ),
        Condition::EarlierProduct(id) => format!("an earlier treatment used {id}"),
    }
}

/// Facts the patient told us that no rule and no poor-candidate entry of this plan uses.
pub fn unused_facts(selection: &Selection<'_>) -> Vec<FactId> {
    // a sign that is there, and so speaks for the area, was used as well
    let looked_for = |id: &FactId| {
        let mut areas = selection.areas.iter();
        areas.any(|selected| selected.area.speaking_facts().any(|fact| fact == id))
    };
    let used = |id: &FactId| {
        looked_for(id)
            || selection
                .cautions
                .iter()
                .any(|c| c.reasons.contains(&Reason::Fact(id.clone())))
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
