//! Turns rules, place, doses and diary into the list of what the practitioner must look at, and what the patient is told because of it.
//! Invariant: every caution names its reason, its source and its status; where authorities differ the strictest wins and all are listed.
//! Must not: decide for the practitioner, or hold sentences (worded as `rule.<id>` and `because.<id>`).

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::catalogue::{Area, Authority, Catalogue, Evidence, Level, Product, Region, Rule};
use crate::domain::{
    AreaId, CautionId, FactId, LabelId, ProductId, QuestionCode, RegionId, RuleId, Trigger,
};
use crate::plan::{Clinic, PlannedArea, Visit};

use super::conditions::{Facts, last_other, last_treated, named_facts, told};
use super::doses::TotalComparison;
use super::questions::{self, Given, Idle, NotAsked};
use super::{
    SelectedAdvice, SelectedArea, advice, course, diary, dilution, doses, place, responsibility,
    sides, signs,
};

/// Why something is there.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// A planned area.
    Area(AreaId),
    /// Something the patient told us.
    Fact(FactId),
    /// A rule of the catalogue.
    Rule(RuleId),
    /// A rule of the place.
    Region(RegionId),
    /// A product.
    Product(ProductId),
    /// An event of the patient's diary, by its place in the plan (from 0).
    Event(usize),
}

impl std::fmt::Display for Reason {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Reason::Area(id) => write!(f, "area {id}"),
            Reason::Fact(id) => write!(f, "fact {id}"),
            Reason::Rule(id) => write!(f, "rule {id}"),
            Reason::Region(id) => write!(f, "region {id}"),
            Reason::Product(id) => write!(f, "product {id}"),
            Reason::Event(index) => write!(f, "event {}", index + 1),
        }
    }
}

/// A value of a caution's sentence: known now, or a date that the wording will write.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    Plain(serde_json::Value),
    Date(Date),
}

/// Something the practitioner must look at; worded as `rule.<id>`.
#[derive(Debug, Clone, PartialEq)]
pub struct Caution {
    pub id: CautionId,
    pub level: Level,
    /// Area ids it concerns; empty: the whole visit.
    pub areas: Vec<AreaId>,
    pub reasons: Vec<Reason>,
    pub values: BTreeMap<String, Value>,
    /// What each authority says, where they were found to differ.
    pub authorities: Vec<Authority>,
    pub evidence: Evidence,
    /// The code of what it asks; only an `ask` has one.
    pub question: Option<QuestionCode>,
    /// The answer of the plan, whether it still counts or not.
    pub given: Option<Given>,
}

impl Caution {
    pub fn new(id: impl Into<CautionId>, level: Level, evidence: &Evidence) -> Caution {
        Caution {
            id: id.into(),
            level,
            areas: Vec::new(),
            reasons: Vec::new(),
            values: BTreeMap::new(),
            authorities: Vec::new(),
            evidence: evidence.clone(),
            question: None,
            given: None,
        }
    }

    pub fn because(mut self, reason: Reason) -> Caution {
        if let Reason::Area(id) = &reason {
            self.areas.push(id.clone());
        }
        self.reasons.push(reason);
        self
    }

    pub fn with(mut self, name: &str, value: serde_json::Value) -> Caution {
        self.values.insert(name.to_owned(), Value::Plain(value));
        self
    }

    pub fn with_date(mut self, name: &str, date: Date) -> Caution {
        self.values.insert(name.to_owned(), Value::Date(date));
        self
    }
}

/// A sentence the patient's own facts add, worded as `because.<id>`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Because {
    pub rule: RuleId,
    /// Area ids it concerns; empty: the whole visit.
    pub areas: Vec<AreaId>,
    pub facts: Vec<FactId>,
    /// The day until which the official advice is to wait, where it is about that.
    pub earliest: Option<Date>,
    pub evidence: Evidence,
}

/// What cautions are worked out from.
pub struct Case<'c, 'a> {
    pub catalogue: &'a Catalogue,
    pub clinic: &'a Clinic,
    pub visit: &'a Visit,
    pub region: &'a Region,
    /// Every planned area, also one that must not be treated.
    pub planned: &'c [(&'a PlannedArea, &'a Area, &'a Product)],
    /// The same areas alone.
    pub together: &'c [&'a Area],
    pub areas: &'c [SelectedArea<'a>],
    pub advice: &'c [SelectedAdvice<'a>],
    pub totals: &'c [TotalComparison],
    pub age: i16,
}

/// What must be looked at, and what is still open.
pub struct Collected {
    /// Strictest first.
    pub cautions: Vec<Caution>,
    /// What the patient is told.
    pub because: Vec<Because>,
    pub not_asked: Vec<NotAsked>,
    /// Answers without a question, by their place in the plan.
    pub idle: Vec<(usize, Idle)>,
}

/// All cautions with their answers, what the patient is told, and what nobody asked.
pub fn collect(case: &Case<'_, '_>) -> Collected {
    let mut cautions = Vec::new();
    let mut because = Vec::new();
    for rule in &case.catalogue.rules {
        apply(case, rule, &mut cautions, &mut because);
    }
    cautions.extend(signs::no_benefit(case));
    let uncovered: Vec<Caution> = signs::poor_candidates(case)
        .into_iter()
        .filter(|poor| !covered(&cautions, poor))
        .collect();
    cautions.extend(uncovered);
    cautions.extend(case.areas.iter().filter_map(|selected| {
        let round = selected.planned.round.filter(|round| *round > 1)?;
        last_treated(case.visit, selected.planned)
            .is_none()
            .then(|| {
                Caution::new(
                    Trigger::PreviousMissing,
                    Level::Note,
                    &Evidence::common_practice(),
                )
                .because(Reason::Area(selected.area.id.clone()))
                .with("round", round.into())
            })
    }));
    cautions.extend(history_months(case.visit));
    cautions.extend(place::age_caution(case.region, case.age));
    cautions.extend(place::time_caution(case.region, case.visit, case.age));
    cautions.extend(place::licence_cautions(case.areas));
    cautions.extend(doses::cautions(case.areas, case.totals));
    cautions.extend(doses::session_totals(case.areas, case.catalogue));
    cautions.extend(sides::cautions(case.areas));
    cautions.extend(dilution::cautions(
        case.visit,
        case.clinic,
        case.areas,
        case.region.licence_place.as_deref(),
    ));
    cautions.extend(doses::cumulative(
        case.visit,
        case.areas,
        case.region.licence_place.as_deref(),
    ));
    cautions.extend(advice::cautions(case.advice, case.clinic));
    for selected in case.areas {
        let label = selected
            .product
            .label_interval(case.region.licence_place.as_deref());
        cautions.extend(course::caution(
            selected.area,
            &selected.rounds,
            label,
            case.visit.date,
        ));
    }
    cautions.extend(diary::cautions(
        case.visit,
        case.areas,
        case.advice,
        case.catalogue,
        place::soonest(case.region, case.visit, case.age),
        label_over(case),
    ));
    let planned = case.planned.iter().map(|(planned, _, _)| *planned);
    cautions.extend(responsibility::stances(planned, case.clinic, case.region));
    cautions.extend(responsibility::prescriber(
        case.visit,
        case.clinic,
        case.region,
    ));
    cautions.extend(questions::not_sure(case));
    let idle = questions::answered(case, &mut cautions);
    cautions.sort_by_key(|caution| (std::cmp::Reverse(caution.level), turn(case, caution)));
    Collected {
        cautions,
        because,
        not_asked: questions::not_asked(case),
        idle,
    }
}

/// The last day of the labels' intervals since earlier treatments; none where none is known.
fn label_over(case: &Case<'_, '_>) -> Option<Date> {
    let planned = case.planned.iter();
    let over = planned.filter_map(|one| Some(interval(case, *one)?.1));
    over.max()
}

/// When a planned area, or any other, was treated last, and the day on which the label's interval since then ends.
fn interval(
    case: &Case<'_, '_>,
    (planned, area, product): (&PlannedArea, &Area, &Product),
) -> Option<(Date, Date)> {
    let earlier = last_treated(case.visit, planned).into_iter();
    let last = earlier.chain(last_other(case.visit)).max()?;
    let facts = facts_of(case, planned, area, product);
    Some((last, facts.label_allows(last)))
}

/// Which of what is asked comes first: whether to treat at all, then whether on this day, for no other question matters where one
/// of those is answered with no; then too many units; then what the patient told; then what only this plan raises.
fn turn(case: &Case<'_, '_>, caution: &Caution) -> u8 {
    use Trigger::*;
    let interval = |id| {
        let rules = case.catalogue.rules.iter();
        rules
            .filter(|rule| rule.id == id)
            .any(|rule| rule.when.is_about_interval())
    };
    let told = |reason: &Reason| matches!(reason, Reason::Fact(_));
    match &caution.id {
        CautionId::Trigger(AdvisedAgainst | NoBenefit) => 0,
        CautionId::Trigger(Diary) => 1,
        CautionId::Rule(id) if interval(id.clone()) => 1,
        CautionId::Trigger(
            DoseAboveLabel | DoseAboveOtherLabel | DoseAboveStudies | TotalAboveLabel
            | SessionTotalHigh | CumulativeAbove,
        ) => 2,
        _ if caution.reasons.iter().any(told) => 3,
        _ => 4,
    }
}

pub(super) fn facts_of<'x>(
    case: &'x Case<'_, '_>,
    planned: &'x PlannedArea,
    area: &'x Area,
    product: &'x Product,
) -> Facts<'x> {
    Facts {
        visit: case.visit,
        planned,
        area,
        together: case.together,
        product,
        region: &case.region.id,
        licence_place: case.region.licence_place.as_deref(),
        age: case.age,
    }
}

fn apply(
    case: &Case<'_, '_>,
    rule: &Rule,
    cautions: &mut Vec<Caution>,
    because: &mut Vec<Because>,
) {
    let hit: Vec<&AreaId> = case
        .planned
        .iter()
        .filter(|(planned, area, product)| facts_of(case, planned, area, product).holds(&rule.when))
        .map(|(_, area, _)| &area.id)
        .collect();
    if hit.is_empty() {
        return;
    }
    let mut facts = Vec::new();
    named_facts(&rule.when, &mut facts);
    facts.retain(|fact| told(case.visit, fact));
    // a rule that holds for the visit as a whole would name every area; naming none says it better
    let whole_visit = rule.once;
    let mut caution = Caution::new(&rule.id, rule.strictest(), &rule.evidence);
    for fact in &facts {
        caution = caution.because(Reason::Fact(fact.clone()));
    }
    if !whole_visit {
        for area in &hit {
            caution = caution.because(Reason::Area((*area).clone()));
        }
    }
    caution = caution.because(Reason::Rule(rule.id.clone()));
    caution.authorities = rule.authority.clone();
    let shared: Vec<serde_json::Value> = rule
        .when
        .shared_functions()
        .into_iter()
        .filter(|function| {
            let touching = case.together.iter().filter(|area| hit.contains(&&area.id));
            touching.filter(|area| area.touches(*function)).count() > 1
        })
        .map(|function| LabelId::function(function).as_str().into())
        .collect();
    if !shared.is_empty() {
        caution = caution.with("functions", shared.into());
    }
    let mut wait_until = None;
    if rule.when.is_about_interval() {
        let dates = case
            .planned
            .iter()
            .filter(|(_, area, _)| hit.contains(&&area.id))
            .filter_map(|one| interval(case, *one));
        if let Some((last, earliest)) = dates.max_by_key(|(_, earliest)| *earliest) {
            wait_until = Some(earliest);
            caution = caution
                .with_date("last", last)
                .with_date("earliest", earliest);
        }
    }
    if whole_visit && rule.when.is_about_product() {
        let mut products: Vec<&ProductId> = case
            .planned
            .iter()
            .filter(|(_, area, _)| hit.contains(&&area.id))
            .map(|(_, _, product)| &product.id)
            .collect();
        products.sort_unstable();
        products.dedup();
        for product in products {
            caution = caution.because(Reason::Product(product.clone()));
        }
    }
    cautions.push(caution);
    if rule.tells_patient {
        because.push(Because {
            rule: rule.id.clone(),
            areas: if whole_visit {
                Vec::new()
            } else {
                hit.iter().map(|id| (*id).clone()).collect()
            },
            facts,
            earliest: wait_until,
            evidence: rule.evidence.clone(),
        });
    }
}

/// Rules already say it: for each fact of the other there is a caution of the same area, or of the whole visit.
fn covered(rules: &[Caution], poor: &Caution) -> bool {
    poor.reasons
        .iter()
        .filter(|reason| matches!(reason, Reason::Fact(_)))
        .all(|fact| {
            rules.iter().any(|rule| {
                rule.reasons.contains(fact)
                    && (rule.areas.is_empty()
                        || rule.areas.iter().any(|area| poor.areas.contains(area)))
            })
        })
}

/// Earlier treatments of which the plan names the month and not the day.
fn history_months(visit: &Visit) -> impl Iterator<Item = Caution> {
    let months = visit.history.iter().filter(|earlier| earlier.month_only);
    months.map(|earlier| {
        let evidence = Evidence::common_practice();
        Caution::new(Trigger::HistoryMonth, Level::Note, &evidence).with_date("date", earlier.date)
    })
}
