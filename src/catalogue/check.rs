//! Turns a read catalogue into the list of what is wrong with it.
//! Invariant: an empty list means every id leads somewhere and every number has a unit, a source and a status.
//! Must not: repair anything.

use std::collections::BTreeSet;

use crate::domain::{Level, Trigger};

use super::{
    Area, Catalogue, Condition, Evidence, FactId, Number, ProductId, REASONS, Restriction,
    SourceId, Status, Urgency, WindowKind,
};

/// Statements every treatable area must have, worded as `<area>.<id>`.
pub const AREA_STATEMENTS: &[&str] = &[
    "can",
    "cannot",
    "lasts",
    "candid",
    "normal",
    "other-choices",
];

/// When to call the clinic because of an area, where the signs that are named to everybody do not say it.
pub const AREA_CALL: &str = "call";

/// Places whose licences the catalogue knows.
pub const PLACES: &[&str] = &["US", "UK", "EU", "CN"];

/// Every dangling id, doubled id, missing part or impossible number, one sentence each.
pub fn problems(catalogue: &Catalogue) -> Vec<String> {
    let mut check = Check {
        catalogue,
        found: Vec::new(),
    };
    check.areas();
    check.general();
    check.advice();
    check.rules();
    check.checkpoints();
    check.needs();
    check.products();
    check.regions();
    check.found
}

pub(super) struct Check<'a> {
    pub(super) catalogue: &'a Catalogue,
    found: Vec<String>,
}

impl Check<'_> {
    pub(super) fn say(&mut self, text: String) {
        self.found.push(text);
    }

    pub(super) fn evidence(&mut self, at: &str, evidence: &Evidence) {
        let Evidence { source, status } = evidence;
        if source.is_empty() {
            self.say(format!("{at}: no source"));
        }
        for id in source {
            if !self.catalogue.sources.contains_key(id) {
                self.say(format!("{at}: source {id} is not in sources.toml"));
            }
        }
        let published = evidence.publications().next().is_some();
        match *status {
            Status::Published | Status::PublishedSecondHand | Status::Calculated if !published => {
                self.say(format!("{at}: called published but names no publication"));
            }
            Status::FromMemory if !source.contains(&SourceId::memory()) => {
                self.say(format!(
                    "{at}: from memory, but `memory` is not among its sources"
                ));
            }
            Status::CommonPractice if !source.contains(&SourceId::practice()) => {
                self.say(format!(
                    "{at}: common practice, but `practice` is not among its sources"
                ));
            }
            _ => {}
        }
    }

    pub(super) fn unique<'i>(&mut self, at: &str, ids: impl Iterator<Item = &'i str>) {
        let mut seen = BTreeSet::new();
        for id in ids {
            if id.is_empty()
                || !id
                    .chars()
                    .all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_')
            {
                self.say(format!("{at}: `{id}` is not a plain id"));
            }
            if !seen.insert(id.to_owned()) {
                self.say(format!("{at}: id `{id}` stands twice"));
            }
        }
    }

    pub(super) fn range(&mut self, at: &str, low: f64, high: f64) {
        if !(low.is_finite() && high.is_finite() && low >= 0.0 && low <= high) {
            self.say(format!("{at}: {low} to {high} is not a range"));
        }
    }

    pub(super) fn product_id<Id: PartialEq<ProductId> + std::fmt::Display + ?Sized>(
        &mut self,
        at: &str,
        id: &Id,
    ) {
        if self.catalogue.product(id).is_none() {
            self.say(format!("{at}: product {id} is not in products.toml"));
        }
    }

    fn numbers(&mut self, at: &str, numbers: &[Number]) {
        self.unique(
            &format!("{at} number"),
            numbers.iter().map(|n| n.id.as_str()),
        );
        for n in numbers {
            let at = format!("{at} number {}", n.id);
            self.range(&at, n.low, n.high);
            self.evidence(&at, &n.evidence);
        }
    }

    fn areas(&mut self) {
        let catalogue = self.catalogue;
        self.unique("areas", catalogue.areas.iter().map(|a| a.id.as_str()));
        let mut orders = BTreeSet::new();
        for area in &catalogue.areas {
            if !orders.insert(area.order) {
                self.say(format!("{}: order {} is taken", area.id, area.order));
            }
            self.area(area);
            self.instead_of(area);
        }
    }

    fn area(&mut self, area: &Area) {
        let id = area.id.as_str();
        let treatable = area.restriction.value != Restriction::DoNotTreat;
        self.evidence(&format!("{id} restriction"), &area.restriction.evidence);
        if area.sides.is_empty()
            || area.muscle.is_empty()
            || area.risk.is_empty()
            || area.licence.is_empty()
        {
            self.say(format!(
                "{id}: needs at least one side, muscle, risk and licence entry"
            ));
        }
        for muscle in &area.muscle {
            self.evidence(&format!("{id} muscle {}", muscle.latin), &muscle.evidence);
        }
        for window in &area.window {
            let at = format!("{id} window {}", window.kind.key());
            self.range(&at, window.low, window.high);
            self.evidence(&at, &window.evidence);
            window.products.iter().for_each(|p| self.product_id(&at, p));
        }
        if treatable {
            for kind in WindowKind::REQUIRED {
                if !area
                    .window
                    .iter()
                    .any(|w| w.kind == kind && w.products.is_empty())
                {
                    self.say(format!(
                        "{id}: no {} window that holds for any product",
                        kind.key()
                    ));
                }
            }
            for wanted in AREA_STATEMENTS {
                if !area.statement.iter().any(|s| s.id == *wanted) {
                    self.say(format!("{id}: statement `{wanted}` has no source entry"));
                }
            }
        }
        for effect in &area.effect {
            self.evidence(&format!("{id} effect"), &effect.evidence);
        }
        self.found.extend(super::marks::problems(area));
        self.risk_list(id, &area.risk);
        self.numbers(id, &area.number);
        self.unique(
            &format!("{id} statement"),
            area.statement.iter().map(|s| s.id.as_str()),
        );
        for claim in &area.statement {
            self.evidence(&format!("{id} statement {}", claim.id), &claim.evidence);
        }
        self.unique(
            &format!("{id} advice"),
            area.advice.iter().map(|a| a.id.as_str()),
        );
        for advice in &area.advice {
            self.evidence(&format!("{id} advice {}", advice.id), &advice.evidence);
            if self.catalogue.advice(&advice.id).is_none() {
                self.say(format!("{id}: advice {} is not in advice.toml", advice.id));
            }
        }
        self.unique(
            &format!("{id} poor candidate"),
            area.poor_candidate.iter().map(|p| p.id.as_str()),
        );
        for poor in &area.poor_candidate {
            let at = format!("{id} poor candidate {}", poor.id);
            self.evidence(&at, &poor.evidence);
            let facts = poor.facts.iter().chain(&poor.denied);
            facts.for_each(|f| self.fact_id(&at, f));
        }
        for sign in &area.needs_sign {
            let at = format!("{id} sign {}", sign.fact);
            self.evidence(&at, &sign.evidence);
            self.fact_id(&at, &sign.fact);
        }
        for dose in &area.dose {
            let at = format!("{id} dose of {}", dose.product);
            self.evidence(&at, &dose.evidence);
            self.range(&at, dose.low, dose.high);
            self.product_id(&at, &dose.product);
        }
        for licence in &area.licence {
            let at = format!("{id} licence {} {}", licence.product, licence.place);
            self.evidence(&at, &licence.evidence);
            if licence.product != "any" {
                self.product_id(&at, &licence.product);
            }
            if licence.place != "any" && !PLACES.contains(&licence.place.as_str()) {
                self.say(format!("{at}: unknown place"));
            }
        }
        if let Some(course) = &area.course {
            let at = format!("{id} course");
            self.evidence(&at, &course.evidence);
            self.range(
                &at,
                f64::from(course.rounds_low),
                f64::from(course.rounds_high),
            );
            self.range(&at, course.interval_low, course.interval_high);
        }
    }

    fn fact_id(&mut self, at: &str, id: &FactId) {
        if !self.catalogue.facts.iter().any(|f| f.id == *id) {
            self.say(format!("{at}: fact {id} is not in facts.toml"));
        }
    }

    fn general(&mut self) {
        let general = &self.catalogue.general;
        self.risk_list("general", &general.risk);
        self.risk_list("general serious", &general.serious);
        self.where_said(general);
        self.numbers("general", &general.number);
        for (list, claims) in [
            ("normal", &general.normal),
            ("statement", &general.statement),
        ] {
            self.unique(
                &format!("general {list}"),
                claims.iter().map(|c| c.id.as_str()),
            );
            for claim in claims {
                self.evidence(&format!("general {list} {}", claim.id), &claim.evidence);
            }
        }
        self.unique("choices", general.choice.iter().map(|c| c.id.as_str()));
        for choice in &general.choice {
            self.evidence(&format!("choice {}", choice.id), &choice.evidence);
        }
        self.unique("red flags", general.red_flag.iter().map(|f| f.id.as_str()));
        self.unique(
            "signs of the red flags",
            general
                .red_flag
                .iter()
                .flat_map(|f| f.signs.iter().map(String::as_str)),
        );
        for flag in &general.red_flag {
            self.evidence(&format!("red flag {}", flag.id), &flag.evidence);
        }
        self.unique("alike", general.alike.iter().map(|a| a.id.as_str()));
        for alike in &general.alike {
            let at = format!("alike {}", alike.id);
            self.evidence(&at, &alike.evidence);
            if alike.functions.is_empty() {
                self.say(format!("{at}: no function that a treatment takes away"));
            }
            match general.urgency_of(&alike.sign) {
                Some(Urgency::Emergency) => {}
                Some(_) => self.say(format!("{at}: {} is no emergency", alike.sign)),
                None => self.say(format!("{at}: {} is no sign of a red flag", alike.sign)),
            }
        }
    }

    fn advice(&mut self) {
        let advice = &self.catalogue.advice;
        self.unique("advice", advice.iter().map(|a| a.id.as_str()));
        for item in advice {
            let at = format!("advice {}", item.id);
            self.evidence(&at, &item.evidence);
            if let Some(length) = &item.length {
                self.range(&at, length.low, length.high);
                if length.default < length.low || length.default > length.high {
                    self.say(format!(
                        "{at}: default {} is outside its own range",
                        length.default
                    ));
                }
            }
            if item.length.is_some() && item.anchor.is_some() {
                self.say(format!("{at}: has both a length and an anchor"));
            }
            for other in item.opposes.iter().chain(&item.instead_of) {
                if self.catalogue.advice(other).is_none() {
                    self.say(format!("{at}: names {other}, which is not in advice.toml"));
                }
            }
            item.facts.iter().for_each(|fact| self.fact_id(&at, fact));
            if item.facts.is_empty() && !item.functions.is_empty() {
                self.say(format!(
                    "{at}: names functions, but no fact that they go with"
                ));
            }
            let used = item.every_visit
                || !item.facts.is_empty()
                || !item.zones.is_empty()
                || self
                    .catalogue
                    .areas
                    .iter()
                    .any(|area| area.advice.iter().any(|a| a.id == item.id));
            if !used {
                self.say(format!("{at}: nothing calls for it"));
            }
        }
    }

    fn rules(&mut self) {
        self.unique("facts", self.catalogue.facts.iter().map(|f| f.id.as_str()));
        self.unique("rules", self.catalogue.rules.iter().map(|r| r.id.as_str()));
        for rule in &self.catalogue.rules {
            let at = format!("rule {}", rule.id);
            if Trigger::from_word(rule.id.as_str()).is_some() {
                self.say(format!("{at}: a trigger has that name"));
            }
            self.evidence(&at, &rule.evidence);
            self.condition(&at, &rule.when);
            if rule.level == Level::Stop && !rule.tells_patient {
                self.say(format!("{at}: it stops, and says nothing to the patient"));
            }
            for authority in &rule.authority {
                self.evidence(
                    &format!("{at} authority {}", authority.place),
                    &authority.evidence,
                );
                if authority.level > rule.level {
                    self.say(format!(
                        "{at}: {} is stricter than the rule itself",
                        authority.place
                    ));
                }
            }
        }
    }

    fn needs(&mut self) {
        self.unique("needs", self.catalogue.needs.iter().map(|n| n.id.as_str()));
        for need in &self.catalogue.needs {
            self.evidence(&format!("need {}", need.id), &need.evidence);
            for advice in &need.advice {
                if self.catalogue.advice(advice).is_none() {
                    self.say(format!(
                        "need {}: advice {advice} is not in advice.toml",
                        need.id
                    ));
                }
            }
        }
    }

    fn condition(&mut self, at: &str, condition: &Condition) {
        match condition {
            Condition::All(parts) | Condition::Any(parts) => {
                if parts.is_empty() {
                    self.say(format!("{at}: an empty condition"));
                }
                parts.iter().for_each(|part| self.condition(at, part));
            }
            Condition::Not(part) => self.condition(at, part),
            Condition::Fact(id) | Condition::Denied(id) | Condition::SameSide(id) => {
                self.fact_id(at, id)
            }
            Condition::Area(id) | Condition::AlsoPlanned(id) => {
                if self.catalogue.area(id).is_none() {
                    self.say(format!("{at}: area {id} is not in the catalogue"));
                }
            }
            Condition::Product(id) => self.product_id(at, id),
            Condition::EarlierProduct(id) => {
                if self
                    .catalogue
                    .other_toxins
                    .iter()
                    .all(|toxin| toxin.id != *id)
                {
                    self.product_id(at, id);
                }
            }
            Condition::Region(id) => {
                if self.catalogue.region(id).is_none() {
                    self.say(format!("{at}: region {id} is not in regions.toml"));
                }
            }
            Condition::Reason(id) => {
                if !REASONS.contains(&id.as_str()) {
                    self.say(format!("{at}: reason {id} is not known"));
                }
            }
            Condition::SharesFunction(sharing) => {
                if sharing.functions.is_empty() {
                    self.say(format!("{at}: no function is named that areas share"));
                }
            }
            Condition::Zone(_)
            | Condition::Function(_)
            | Condition::Contains(_)
            | Condition::AgeUnder(_)
            | Condition::AgeAtLeast(_)
            | Condition::Restriction(_)
            | Condition::RoundAtLeast(_)
            | Condition::WeeksSincePreviousUnder(_)
            | Condition::PreviousWithinLabel(_)
            | Condition::EarlierTreatmentNamed(_)
            | Condition::OtherWithinLabel(_)
            | Condition::WeeksSinceAnyUnder(_)
            | Condition::UnitsAbove(_) => {}
        }
    }

    fn products(&mut self) {
        self.unique(
            "products",
            (self.catalogue.products.iter().map(|p| p.id.as_str()))
                .chain(self.catalogue.other_toxins.iter().map(|t| t.id.as_str())),
        );
        for toxin in &self.catalogue.other_toxins {
            self.evidence(&format!("other toxin {}", toxin.id), &toxin.evidence);
        }
        for product in &self.catalogue.products {
            let at = format!("product {}", product.id);
            for (what, evidence) in [
                ("units", &product.units_interchangeable.evidence),
                ("albumin", &product.human_albumin.evidence),
                ("milk protein", &product.milk_protein.evidence),
            ] {
                self.evidence(&format!("{at} {what}"), evidence);
            }
            self.unique(
                &at,
                product.form.iter().map(|form| form.formulation.as_str()),
            );
            if product.form.is_empty() {
                self.say(format!("{at}: no form it is sold in"));
            }
            for form in &product.form {
                self.evidence(&format!("{at} form"), &form.evidence);
                for claim in form.human_albumin.iter().chain(&form.milk_protein) {
                    self.evidence(&format!("{at} form"), &claim.evidence);
                }
            }
            for vial in &product.vial {
                self.evidence(&format!("{at} vial"), &vial.evidence);
                self.range(&at, vial.units, vial.units);
            }
            for interval in &product.interval {
                self.evidence(&format!("{at} interval"), &interval.evidence);
                self.range(&at, interval.least, interval.least);
            }
            for dilution in &product.dilution {
                self.evidence(&format!("{at} dilution"), &dilution.evidence);
                let Some((vial, ml)) = dilution.vial_units.zip(dilution.diluent_ml) else {
                    continue;
                };
                let worked = vial / ml / 10.0;
                if (worked - dilution.units_per_tenth_ml).abs() > 0.05 {
                    self.say(format!(
                        "{at}: dilution gives {worked:.2} units in 0.1 mL, the entry says otherwise"
                    ));
                }
            }
            if let Some(longest) = &product.longest {
                self.evidence(&format!("{at} longest"), &longest.evidence);
            }
            for limit in &product.cumulative {
                self.evidence(&format!("{at} cumulative"), &limit.evidence);
                if limit.months == 0 {
                    self.say(format!("{at}: a cumulative limit over no time"));
                }
            }
            for total in &product.label_total {
                self.evidence(&format!("{at} label total"), &total.evidence);
                self.range(&at, total.low, total.high);
                for area in &total.areas {
                    if self.catalogue.area(area).is_none() {
                        self.say(format!("{at}: label total for unknown area {area}"));
                    }
                }
            }
        }
    }

    fn regions(&mut self) {
        self.unique(
            "regions",
            self.catalogue.regions.iter().map(|r| r.id.as_str()),
        );
        for region in &self.catalogue.regions {
            let at = format!("region {}", region.id);
            self.evidence(&format!("{at} emergency"), &region.emergency.evidence);
            self.evidence(&format!("{at} paper"), &region.paper.evidence);
            self.evidence(&format!("{at} date order"), &region.date_order.evidence);
            if region.emergency.value.is_empty() {
                self.say(format!("{at}: no emergency number"));
            }
            if let Some(urgent) = &region.urgent {
                self.evidence(&format!("{at} urgent"), &urgent.evidence);
            }
            if let Some(age) = &region.minimum_age {
                self.evidence(&format!("{at} minimum age"), &age.evidence);
            }
            if let Some(time) = &region.time_to_think {
                self.evidence(&format!("{at} time to think"), &time.evidence);
            }
            for rule in [&region.face_to_face, &region.against_advice]
                .into_iter()
                .flatten()
            {
                self.evidence(&format!("{at} guidance"), &rule.evidence);
            }
            if let Some(report) = &region.report {
                self.evidence(&format!("{at} report"), &report.evidence);
            }
        }
    }
}
