//! Turns a typed condition of the catalogue into yes or no for one planned area.
//! Invariant: a condition is judged on the plan alone; what hangs on a fact that was not asked is open, neither yes nor no.
//! Must not: know what follows from the answer.

use jiff::civil::Date;

use crate::catalogue::{
    Area, Condition, Ingredient, Presence, Product, Restriction, Sharing, TimeUnit,
};
use crate::domain::{AreaId, FactId, Formulation, RegionId};
use crate::plan::{FactValue, PlannedArea, Side, Visit};

use super::windows::after;

/// What a condition may look at.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a> {
    pub visit: &'a Visit,
    pub planned: &'a PlannedArea,
    pub area: &'a Area,
    /// Every area of the plan, this one too.
    pub together: &'a [&'a Area],
    pub product: &'a Product,
    pub region: &'a RegionId,
    /// Whose licences apply, if known.
    pub licence_place: Option<&'a str>,
    pub age: i16,
}

/// What is known of a condition.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Truth {
    Yes,
    No,
    /// It hangs on a fact that was not asked, or that the patient is not sure of.
    Open,
}

impl Truth {
    fn all(parts: impl Iterator<Item = Truth>) -> Truth {
        parts.fold(Truth::Yes, |whole, part| match (whole, part) {
            (Truth::No, _) | (_, Truth::No) => Truth::No,
            (Truth::Open, _) | (_, Truth::Open) => Truth::Open,
            (Truth::Yes, Truth::Yes) => Truth::Yes,
        })
    }
}

impl std::ops::Not for Truth {
    type Output = Truth;

    fn not(self) -> Truth {
        match self {
            Truth::Yes => Truth::No,
            Truth::No => Truth::Yes,
            Truth::Open => Truth::Open,
        }
    }
}

impl From<bool> for Truth {
    fn from(so: bool) -> Truth {
        if so { Truth::Yes } else { Truth::No }
    }
}

impl From<Option<bool>> for Truth {
    fn from(known: Option<bool>) -> Truth {
        known.map_or(Truth::Open, Truth::from)
    }
}

/// Answers tried out for facts that are open.
pub type Supposed<'s> = &'s [(&'s FactId, bool)];

impl Facts<'_> {
    /// The condition is known to hold.
    pub fn holds(&self, condition: &Condition) -> bool {
        self.judge(condition, &[]) == Truth::Yes
    }

    /// What is known of the condition, if open facts were as supposed.
    pub fn judge(&self, condition: &Condition, supposed: Supposed<'_>) -> Truth {
        let judge = |part: &Condition| self.judge(part, supposed);
        let fact = |id: &FactId| match is_so(self.visit, id) {
            Some(so) => Truth::from(so),
            None => {
                let supposed = supposed.iter().find(|(fact, _)| *fact == id);
                Truth::from(supposed.map(|(_, so)| *so))
            }
        };
        match condition {
            Condition::All(parts) => Truth::all(parts.iter().map(judge)),
            // some part holds: not all fail
            Condition::Any(parts) => !Truth::all(parts.iter().map(|part| !judge(part))),
            Condition::Not(part) => !judge(part),
            Condition::Fact(id) => fact(id),
            Condition::Denied(id) => !fact(id),
            Condition::SameSide(id) => self.same_side(id, fact(id)),
            known => self.is_so(known).into(),
        }
    }

    /// A one-sided fact against the planned side; of a fact that is only supposed, nobody knows the side.
    fn same_side(&self, id: &FactId, so: Truth) -> Truth {
        match (self.visit.patient.facts.get(id), self.planned.side) {
            (Some(FactValue::Side(Side::Both)), _) | (Some(FactValue::Side(_)), Side::Both) => {
                Truth::Yes
            }
            (Some(FactValue::Side(side)), planned) => Truth::from(*side == planned),
            _ if so == Truth::No => Truth::No,
            _ => Truth::Open,
        }
    }

    /// Conditions on plan, place and product, which are always known.
    fn is_so(&self, condition: &Condition) -> bool {
        match condition {
            Condition::Area(id) => self.area.id == *id,
            Condition::Zone(zone) => self.area.zone == *zone,
            Condition::Function(function) => self.area.touches(*function),
            Condition::Product(id) => self.product.id == *id,
            Condition::Contains(Ingredient::HumanAlbumin) => {
                self.product.human_albumin(self.form()).value != Presence::No
            }
            Condition::Contains(Ingredient::MilkProtein) => {
                self.product.milk_protein(self.form()).value == Presence::Yes
            }
            Condition::Region(id) => self.region == id,
            Condition::AgeUnder(years) => i32::from(self.age) < i32::from(*years),
            Condition::AgeAtLeast(years) => i32::from(self.age) >= i32::from(*years),
            Condition::Reason(id) => self.planned.reason.as_deref() == Some(id),
            Condition::Restriction(restriction) => self.area.restriction.value == *restriction,
            Condition::RoundAtLeast(round) => self.planned.round.unwrap_or(1) >= *round,
            Condition::WeeksSincePreviousUnder(weeks) => last_treated(self.visit, self.planned)
                .is_some_and(|last| days_between(last, self.visit.date) < i64::from(*weeks) * 7),
            Condition::WeeksSinceAnyUnder(weeks) => last_other(self.visit)
                .is_some_and(|last| days_between(last, self.visit.date) < i64::from(*weeks) * 7),
            Condition::PreviousWithinLabel(wanted) => {
                let within = last_treated(self.visit, self.planned)
                    .is_some_and(|last| self.visit.date < self.label_allows(last));
                within == *wanted
            }
            Condition::OtherWithinLabel(wanted) => {
                let within = last_other(self.visit)
                    .is_some_and(|last| self.visit.date < self.label_allows(last));
                within == *wanted
            }
            Condition::AlsoPlanned(id) => self.visit.areas.iter().any(|area| area.id == *id),
            Condition::SharesFunction(sharing) => self.shares(sharing),
            Condition::UnitsAbove(units) => self
                .planned
                .units
                .and_then(|planned| planned.total(self.planned.side))
                .is_some_and(|total| total > *units),
            Condition::EarlierTreatmentNamed(wanted) => {
                let areas = &self.visit.areas;
                let named = !self.visit.history.is_empty()
                    || areas.iter().any(|area| area.previous.is_some());
                named == *wanted
            }
            Condition::EarlierProduct(id) => {
                let of_history = self.visit.history.iter();
                of_history
                    .filter_map(|earlier| earlier.product.as_ref())
                    .any(|product| product == id)
            }
            Condition::All(_)
            | Condition::Any(_)
            | Condition::Not(_)
            | Condition::Fact(_)
            | Condition::Denied(_)
            | Condition::SameSide(_) => unreachable!("judged before, part by part or by fact"),
        }
    }

    /// Another area of the plan touches what this one touches. An area that is never treated touches nothing.
    fn shares(&self, sharing: &Sharing) -> bool {
        let treated = |area: &Area| area.restriction.value != Restriction::DoNotTreat;
        let others = self
            .together
            .iter()
            .filter(|other| other.id != self.area.id && treated(other))
            .filter(|other| sharing.zones.is_empty() || sharing.zones.contains(&other.zone));
        treated(self.area)
            && others.into_iter().any(|other| {
                sharing
                    .functions
                    .iter()
                    .any(|function| self.area.touches(*function) && other.touches(*function))
            })
    }

    /// Powder or liquid, where the plan or the stock says it.
    fn form(&self) -> Option<Formulation> {
        self.visit.product_of(self.planned).formulation
    }

    /// First day on which the product's label allows another treatment; three months where we know no interval.
    pub fn label_allows(&self, last: Date) -> Date {
        let place = self.licence_place;
        match self.product.label_interval(place) {
            Some(interval) => after(last, interval.least, interval.unit),
            None => after(last, 3.0, TimeUnit::Months),
        }
    }
}

/// What the patient said of a fact; `None` when it was not asked, or the patient is not sure.
pub fn is_so(visit: &Visit, fact: &FactId) -> Option<bool> {
    visit.patient.facts.get(fact).and_then(FactValue::is_so)
}

/// The patient told us that it is so.
pub fn told(visit: &Visit, fact: &FactId) -> bool {
    is_so(visit, fact) == Some(true)
}

/// The last day this area was treated: `previous` of the area, or the latest matching entry of the history.
pub fn last_treated(visit: &Visit, planned: &PlannedArea) -> Option<Date> {
    let from_history = visit
        .history
        .iter()
        .filter(|h| h.areas.contains(&planned.id))
        .map(|h| h.date);
    planned.previous.into_iter().chain(from_history).max()
}

/// The last day another area than those planned was treated, or an area that is not named.
pub fn last_other(visit: &Visit) -> Option<Date> {
    let planned = |id: &AreaId| visit.areas.iter().any(|area| area.id == *id);
    visit
        .history
        .iter()
        .filter(|h| !h.areas.iter().any(planned))
        .map(|h| h.date)
        .max()
}

/// Whole days from one date to a later one.
pub fn days_between(earlier: Date, later: Date) -> i64 {
    i64::from((later - earlier).get_days())
}

/// Every fact a condition names, also under "not".
pub fn facts_named(condition: &Condition) -> Vec<FactId> {
    let mut found = Vec::new();
    fn walk(condition: &Condition, found: &mut Vec<FactId>) {
        match condition {
            Condition::All(parts) | Condition::Any(parts) => {
                parts.iter().for_each(|part| walk(part, found))
            }
            Condition::Not(part) => walk(part, found),
            Condition::Fact(id) | Condition::Denied(id) | Condition::SameSide(id) => {
                found.push(id.clone())
            }
            _ => {}
        }
    }
    walk(condition, &mut found);
    found
}

/// The facts a condition names, in order.
pub fn named_facts(condition: &Condition, found: &mut Vec<FactId>) {
    match condition {
        Condition::All(parts) | Condition::Any(parts) => {
            parts.iter().for_each(|part| named_facts(part, found));
        }
        Condition::Not(_) => {}
        Condition::Fact(id) | Condition::Denied(id) | Condition::SameSide(id) => {
            found.push(id.clone())
        }
        _ => {}
    }
}
