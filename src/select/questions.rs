//! Turns what nobody asked, what the patient is not sure of and what the practitioner answered into what is still open.
//! Invariant: a question counts as answered only while everything it rests on is as it was; nothing answers a `stop`.
//! Must not: take "not asked" for "no", or decide anything.

use serde::Serialize;
use serde_json::json;

use crate::catalogue::{Area, Evidence, Fact, Level, Restriction, Rule};
use crate::domain::{AreaId, Decision, FactId, LabelId, QuestionCode, Trigger};
use crate::plan::FactValue;

use super::Selection;
use super::cautions::{Case, Caution, Reason, Value, facts_of};
use super::conditions::{Facts, facts_named, is_so};

/// A fact that matters for this plan and that nobody asked about.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NotAsked {
    pub fact: FactId,
    /// Areas for which it matters; empty: the whole visit.
    pub areas: Vec<AreaId>,
    /// The strictest caution it could raise.
    pub level: Level,
}

/// Whether an answer still counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// It was given to just this question.
    Counts,
    /// What the question rests on has changed since.
    Changed,
    /// It does not say which question it was given to.
    WithoutCode,
}

/// An answer beside the question it was given to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Given {
    /// Place among the answers of the plan, from 0.
    pub answer: usize,
    pub standing: Standing,
}

/// Why an answer has no question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Idle {
    /// Nothing in this plan asks it.
    NothingAsks,
    /// It is a `stop` here, and a `stop` is not answered.
    Stop,
}

/// How far a plan is from being treated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Readiness {
    /// Nothing below is open.
    pub ready: bool,
    pub stops: usize,
    /// Questions without an answer that counts.
    pub open: usize,
    /// Questions answered with the decision to change the plan.
    pub to_change: usize,
    pub answered: usize,
    /// Relevant facts that nobody asked about.
    pub not_asked: usize,
}

/// Facts that could change what is said of this plan, in the order of the catalogue, and what they could raise.
pub(super) fn relevant(case: &Case<'_, '_>, asked: impl Fn(&FactId) -> bool) -> Vec<NotAsked> {
    let mut found = Vec::new();
    for fact in case.catalogue.facts.iter().filter(|fact| asked(&fact.id)) {
        let mut areas = Vec::new();
        let mut whole_visit = false;
        let mut level = None;
        for rule in &case.catalogue.rules {
            let mut hit = false;
            for (planned, area, product) in case.planned.iter().copied() {
                let facts = facts_of(case, planned, area, product);
                if hangs_on(rule, &facts, &fact.id) {
                    hit = true;
                    if !rule.once && !areas.contains(&area.id) {
                        areas.push(area.id.clone());
                    }
                }
            }
            if hit {
                whole_visit |= rule.once;
                level = level.max(Some(rule.strictest()));
            }
        }
        for (_, area, _) in case.planned.iter().copied() {
            if speaks_against(area, fact) {
                level = level.max(Some(Level::Ask));
                if !areas.contains(&area.id) {
                    areas.push(area.id.clone());
                }
            }
        }
        if let Some(level) = level {
            found.push(NotAsked {
                fact: fact.id.clone(),
                areas: if whole_visit { Vec::new() } else { areas },
                level,
            });
        }
    }
    found
}

pub(super) fn speaks_against(area: &Area, fact: &Fact) -> bool {
    area.restriction.value != Restriction::DoNotTreat
        && area.speaking_facts().any(|id| *id == fact.id)
}

/// Whether, with some answers to the other open facts, the rule comes out otherwise for a yes than for a no.
pub(super) fn hangs_on(rule: &Rule, facts: &Facts<'_>, fact: &FactId) -> bool {
    let named = facts_named(&rule.when);
    if !named.contains(fact) {
        return false;
    }
    let mut open: Vec<&FactId> = named
        .iter()
        .filter(|id| *id != fact && is_so(facts.visit, id).is_none())
        .collect();
    open.sort_unstable();
    open.dedup();
    // rules name two or three facts, so this is a handful of cases
    (0..1_u32 << open.len()).any(|case| {
        let with = |so: bool| {
            let mut supposed: Vec<(&FactId, bool)> = open
                .iter()
                .enumerate()
                .map(|(at, id)| (*id, case & (1 << at) != 0))
                .collect();
            supposed.push((fact, so));
            facts.judge(&rule.when, &supposed)
        };
        with(true) != with(false)
    })
}

/// Relevant facts that nobody asked about.
pub(super) fn not_asked(case: &Case<'_, '_>) -> Vec<NotAsked> {
    relevant(case, |fact| !case.visit.patient.facts.contains_key(fact))
}

/// A question for each relevant fact the patient is not sure of.
pub(super) fn not_sure(case: &Case<'_, '_>) -> Vec<Caution> {
    let unsure = |fact: &FactId| case.visit.patient.facts.get(fact) == Some(&FactValue::NotSure);
    relevant(case, unsure)
        .into_iter()
        .map(|matter| {
            let mut caution =
                Caution::new(Trigger::NotSure, Level::Ask, &Evidence::common_practice())
                    .because(Reason::Fact(matter.fact.clone()))
                    .with("level", matter.level.as_str().into())
                    .with("facts", json!([LabelId::fact(&matter.fact).as_str()]));
            for area in matter.areas {
                caution = caution.because(Reason::Area(area));
            }
            caution
        })
        .collect()
}

/// Gives every question its code and the answer that was given to it, and says which answers have no question.
pub(super) fn answered(case: &Case<'_, '_>, cautions: &mut Vec<Caution>) -> Vec<(usize, Idle)> {
    for caution in cautions
        .iter_mut()
        .filter(|caution| caution.level == Level::Ask)
    {
        caution.question = Some(code_of(case, caution));
    }
    let mut idle = Vec::new();
    let mut decided = Vec::new();
    // answers with the right code first, so that an outdated one never takes their place
    let mut order: Vec<usize> = (0..case.visit.answers.len()).collect();
    let fits = |caution: &Caution, at: usize| {
        let answer = &case.visit.answers[at];
        caution.id == answer.to && caution.question.is_some() && caution.question == answer.question
    };
    order.sort_by_key(|at| !cautions.iter().any(|caution| fits(caution, *at)));
    for at in order {
        let answer = &case.visit.answers[at];
        let free = |caution: &Caution| {
            caution.id == answer.to && caution.question.is_some() && caution.given.is_none()
        };
        if let Some(caution) = cautions.iter_mut().find(|caution| fits(caution, at)) {
            caution.given = Some(Given {
                answer: at,
                standing: Standing::Counts,
            });
            if answer.decision == Decision::DoNotTreat {
                decided.push(against(caution, at, &answer.because));
            }
        } else if let Some(caution) = cautions.iter_mut().find(|caution| free(caution)) {
            let standing = match answer.question {
                Some(_) => Standing::Changed,
                None => Standing::WithoutCode,
            };
            caution.given = Some(Given {
                answer: at,
                standing,
            });
        } else {
            let stops = cautions
                .iter()
                .any(|caution| caution.id == answer.to && caution.level == Level::Stop);
            idle.push((at, if stops { Idle::Stop } else { Idle::NothingAsks }));
        }
    }
    cautions.extend(decided);
    idle.sort_unstable_by_key(|(at, _)| *at);
    idle
}

/// The practitioner decided not to treat: what the plan still lists must not be treated.
fn against(question: &Caution, answer: usize, because: &str) -> Caution {
    let mut caution = Caution::new(
        Trigger::DecidedAgainst,
        Level::Stop,
        &Evidence::common_practice(),
    )
    .with("because", because.into())
    .with("question", question.id.as_str().into());
    for reason in &question.reasons {
        caution = caution.because(reason.clone());
    }
    caution.given = Some(Given {
        answer,
        standing: Standing::Counts,
    });
    caution
}

/// Everything the question rests on: what raised it, the day, and what is planned where.
fn code_of(case: &Case<'_, '_>, caution: &Caution) -> QuestionCode {
    let concerned = |area: &AreaId| caution.areas.is_empty() || caution.areas.contains(area);
    let planned: Vec<_> = case
        .planned
        .iter()
        .filter(|(_, area, _)| concerned(&area.id))
        .map(|(planned, area, product)| {
            json!([
                area.id,
                planned.side,
                product.id,
                planned.points,
                planned.reason,
                planned.round,
                planned.units.and_then(|units| units.total(planned.side)),
                planned.previous.map(|day| day.to_string()),
                case.visit.product_of(planned).formulation,
            ])
        })
        .collect();
    let reasons: Vec<_> = caution
        .reasons
        .iter()
        .map(|reason| match reason {
            Reason::Fact(id) => {
                json!([
                    reason.to_string(),
                    format!("{:?}", case.visit.patient.facts.get(id))
                ])
            }
            Reason::Event(index) => {
                let event = &case.visit.events[*index];
                json!([
                    "event",
                    event.what,
                    event.date.to_string(),
                    event.last().to_string(),
                    event.needs
                ])
            }
            other => json!(other.to_string()),
        })
        .collect();
    let values: Vec<_> = caution
        .values
        .iter()
        .map(|(name, value)| match value {
            Value::Plain(plain) => json!([name, plain]),
            Value::Date(date) => json!([name, date.to_string()]),
        })
        .collect();
    let history: Vec<_> = case
        .visit
        .history
        .iter()
        .map(|earlier| {
            json!([
                earlier.date.to_string(),
                earlier.product,
                earlier.units,
                earlier.areas
            ])
        })
        .collect();
    let rests_on = json!([
        caution.id,
        case.visit.date.to_string(),
        planned,
        reasons,
        values,
        history,
    ]);
    QuestionCode::of(&rests_on.to_string())
}

impl Caution {
    /// It asks something, and no answer that counts has been given.
    pub fn is_open(&self) -> bool {
        self.level == Level::Ask
            && self
                .given
                .is_none_or(|given| given.standing != Standing::Counts)
    }
}

impl Selection<'_> {
    /// What was decided about a caution, where that still counts.
    pub fn decision(&self, caution: &Caution) -> Option<Decision> {
        let given = caution
            .given
            .filter(|given| given.standing == Standing::Counts)?;
        Some(self.visit.answers[given.answer].decision)
    }

    /// How far this plan is from being treated.
    pub fn readiness(&self) -> Readiness {
        let of = |level: Level| {
            self.cautions
                .iter()
                .filter(move |caution| caution.level == level)
        };
        let stops = of(Level::Stop).count();
        let open = of(Level::Ask).filter(|caution| caution.is_open()).count();
        let decided = |wanted: Decision| {
            of(Level::Ask)
                .filter(|caution| self.decision(caution) == Some(wanted))
                .count()
        };
        let to_change = decided(Decision::Change);
        let not_asked = self.not_asked.len();
        Readiness {
            ready: stops + open + to_change + not_asked == 0,
            stops,
            open,
            to_change,
            answered: of(Level::Ask).count() - open,
            not_asked,
        }
    }
}
