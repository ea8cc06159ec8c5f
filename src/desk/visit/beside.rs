//! Turns a draft into what stands beside its form: what forbids it, what is to be answered, doses, dates, what is missing.
//! Invariant: it says what the papers of this very draft would say, or that it cannot be told while there are mistakes.
//! Must not: lay anything out.

use serde::Serialize;
use serde_json::json;

use super::draft::{Draft, Judged};
use crate::compose::{DateGroup, DoseLine, ToDecide, WorkedOut};
use crate::desk::house::Opened;
use crate::desk::{Desk, capital, line};
use crate::domain::{Decision, LabelId};
use crate::plan_form::PlanForm;

/// What follows from a draft.
#[derive(Debug, Serialize)]
pub(super) struct Beside {
    /// In one line, how far it is; and how that is framed.
    pub state: String,
    pub frame: &'static str,
    /// Nothing can be said while there are mistakes.
    pub mistakes: usize,
    pub not_asked: usize,
    pub open: usize,
    pub stops: Vec<ToDecide>,
    pub to_answer: Vec<Asks>,
    pub answered: Vec<ToDecide>,
    pub notes: Vec<ToDecide>,
    pub unasked: Vec<String>,
    pub doses: Vec<DoseLine>,
    pub totals: Vec<(String, String)>,
    pub dose_notes: Vec<String>,
    pub dates: Vec<DateGroup>,
    pub idle_answers: Vec<String>,
    /// What can be decided, and by whom.
    pub decisions: Vec<(String, String)>,
    pub people: Vec<(String, String)>,
}

/// A question with what was typed for its answer so far.
#[derive(Debug, Serialize)]
pub(super) struct Asks {
    pub asks: ToDecide,
    /// Stands for it in the names of its fields.
    pub key: String,
    pub decision: String,
    pub because: String,
    pub by: String,
    pub on: String,
}

pub(super) fn of(desk: &Desk, opened: &Opened, draft: &Draft, judged: &Judged) -> Beside {
    let practice = &opened.practice;
    let words = &opened.words;
    let worked_out = judged
        .visit
        .as_ref()
        .and_then(|visit| practice.worked_out(visit).ok());
    let decisions = Decision::ALL.iter().map(|decision| {
        let said = words
            .label(LabelId::choice(*decision).as_str())
            .unwrap_or_default();
        (decision.as_str().to_owned(), capital(&said))
    });
    let people = practice.clinic().practitioners.iter();
    let people: Vec<(String, String)> = people
        .map(|person| (person.id.to_string(), person.name.clone()))
        .collect();
    let Some(WorkedOut {
        stops,
        questions,
        notes,
        not_asked,
        doses,
        totals,
        dose_notes,
        dates,
        readiness: _,
        idle_answers,
    }) = worked_out
    else {
        let mistakes = judged.found.len();
        return Beside {
            state: line(words, "desk.state.mistakes", json!({ "count": mistakes })),
            frame: "heavy",
            mistakes,
            not_asked: 0,
            open: 0,
            stops: Vec::new(),
            to_answer: Vec::new(),
            answered: Vec::new(),
            notes: Vec::new(),
            unasked: Vec::new(),
            doses: Vec::new(),
            totals: Vec::new(),
            dose_notes: Vec::new(),
            dates: Vec::new(),
            idle_answers: Vec::new(),
            decisions: decisions.collect(),
            people,
        };
    };
    let (answered, open): (Vec<ToDecide>, Vec<ToDecide>) = questions
        .into_iter()
        .partition(|asks| asks.answered.is_some());
    let change = answered
        .iter()
        .filter(|asks| asks.asks_for_a_change())
        .count();
    let counts = json!({ "asked": not_asked.len(), "open": open.len(), "change": change });
    let (state, frame) = match (stops.len(), not_asked.len() + open.len() + change) {
        (0, 0) => (line(words, "desk.state.ready", json!({})), "clear"),
        (0, _) => (line(words, "desk.state.open", counts), "open"),
        _ => (line(words, "desk.state.stopped", json!({})), "stop"),
    };
    let today = words.formats().short_date(desk.today());
    let treats = draft.form.get("visit.practitioner").unwrap_or_default();
    let to_answer: Vec<Asks> = open
        .into_iter()
        .map(|asks| {
            let key = asks
                .question
                .clone()
                .unwrap_or_else(|| asks.caution.as_str().to_owned());
            let none = PlanForm::new();
            let typed = draft.deciding.get(&key).unwrap_or(&none);
            let part =
                |part: &str, otherwise: &str| typed.get(part).unwrap_or(otherwise).to_owned();
            Asks {
                decision: part("decision", ""),
                because: part("because", ""),
                by: part("by", treats),
                on: part("on", &today),
                key,
                asks,
            }
        })
        .collect();
    Beside {
        state,
        frame,
        mistakes: 0,
        not_asked: not_asked.len(),
        open: to_answer.len(),
        stops,
        to_answer,
        answered,
        notes,
        unasked: not_asked.into_iter().map(|fact| fact.text).collect(),
        doses,
        totals,
        dose_notes,
        dates,
        idle_answers,
        decisions: decisions.collect(),
        people,
    }
}
