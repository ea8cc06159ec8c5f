//! Turns the visits of one day into the words of a list for the front desk: who, when, how far, what is still needed.
//! Invariant: whatever stands against printing a visit's papers has a sentence here.
//! Must not: name anything clinical, or know a folder.

use jiff::civil::{Date, Time};
use serde_json::json;

use super::values;
use crate::domain::LabelId;
use crate::paper::PaperKind;
use crate::select::{Selection, VisitState};
use crate::wording::{RecordedWording, WordingError};

/// One visit in a list of a day; what a file with mistakes does not say is none.
#[derive(Debug, Clone)]
pub struct DayRow {
    /// The plan, without a folder.
    pub file: String,
    pub name: Option<String>,
    pub record: Option<String>,
    pub time: Option<Time>,
    /// Who treats.
    pub practitioner: Option<String>,
    /// What the patient reads, without a country: `es`.
    pub language: Option<String>,
    pub large_print: bool,
    /// The day before the visit on which the patient was given the information paper.
    pub informed_before: Option<Date>,
    pub state: VisitState,
    /// What stands against printing; empty where it is ready.
    pub needs: Vec<Need>,
}

/// One thing that a visit still needs, told to the front desk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Need {
    /// Questions of the papers wait for whoever treats.
    Answer { who: String, questions: usize },
    /// Questions were answered with "change the plan", and the plan still raises them.
    Change { who: String, questions: usize },
    /// Things that matter were not asked of the patient.
    Ask { questions: usize },
    /// The time to think is not over.
    Wait {
        informed: Option<Date>,
        earliest: Date,
        /// From this time of that day.
        hour: Option<Time>,
    },
    /// It may not be treated as it is planned.
    Look { who: String },
    /// Nobody has approved the words in this language.
    Unapproved { language: String },
    /// Mistakes in its file.
    Mend { mistakes: usize },
    /// Its file could not be read.
    Unreadable { why: String },
    /// Another file has the same record number for this day.
    Twice { other: String },
    /// The papers were begun and could not be made.
    NotMade { why: String },
}

/// What a selection says that stands against printing; `state` is its own ([`Selection::visit_state`]).
pub fn needs_of(selection: &Selection<'_>, state: VisitState) -> Vec<Need> {
    let who = || selection.practitioner.name.clone();
    let readiness = selection.readiness();
    let mut needs = Vec::new();
    match state {
        VisitState::NotBefore(earliest) => needs.push(Need::Wait {
            informed: selection.visit.informed_on,
            earliest,
            hour: selection
                .visit
                .informed_at
                .filter(|_| earliest == selection.visit.date),
        }),
        VisitState::Stopped => needs.push(Need::Look { who: who() }),
        _ => {}
    }
    if readiness.open > 0 {
        needs.push(Need::Answer {
            who: who(),
            questions: readiness.open,
        });
    }
    if readiness.to_change > 0 {
        needs.push(Need::Change {
            who: who(),
            questions: readiness.to_change,
        });
    }
    if readiness.not_asked > 0 {
        needs.push(Need::Ask {
            questions: readiness.not_asked,
        });
    }
    needs
}

/// The words of lists of a day.
pub struct DayWords<'w> {
    pub wording: &'w RecordedWording<'w>,
}

impl DayWords<'_> {
    pub(super) fn label(&self, id: &str) -> Result<String, WordingError> {
        self.wording.label(id)
    }

    pub(super) fn line(
        &self,
        id: &str,
        context: serde_json::Value,
    ) -> Result<String, WordingError> {
        self.wording.line(id, &values(context))
    }

    /// "3 to answer".
    ///
    /// # Errors
    /// A label is missing.
    pub fn state(&self, state: VisitState) -> Result<String, WordingError> {
        let id = LabelId::visit_state(state.as_str());
        let date = state.not_before();
        let date = date.map(|date| self.wording.formats().weekday_day(date));
        self.line(&id, json!({ "count": state.count(), "date": date }))
    }

    /// What a visit needs, in a sentence.
    ///
    /// # Errors
    /// A label is missing.
    pub fn need(&self, need: &Need) -> Result<String, WordingError> {
        let formats = self.wording.formats();
        let day = |date: &Date| formats.weekday_day(*date);
        match need {
            Need::Answer { who, questions } => {
                self.line("day.need.answer", json!({ "who": who, "count": questions }))
            }
            Need::Change { who, questions } => {
                self.line("day.need.change", json!({ "who": who, "count": questions }))
            }
            Need::Ask { questions } => self.line("day.need.ask", json!({ "count": questions })),
            Need::Wait {
                informed,
                earliest,
                hour,
            } => self.line(
                "day.need.wait",
                json!({
                    "informed": informed.as_ref().map(day).unwrap_or_default(),
                    "earliest": day(earliest),
                    "hour": hour.map(|hour| formats.time(hour)).unwrap_or_default(),
                }),
            ),
            Need::Look { who } => self.line("day.need.look", json!({ "who": who })),
            Need::Unapproved { language } => {
                let language = self.label(&LabelId::language(language))?;
                self.line("day.need.approve", json!({ "language": language }))
            }
            Need::Mend { mistakes } => self.line("day.need.mend", json!({ "count": mistakes })),
            Need::Unreadable { why } => self.line("day.need.unreadable", json!({ "why": why })),
            Need::Twice { other } => self.line("day.need.twice", json!({ "other": other })),
            Need::NotMade { why } => self.line("day.need.not-made", json!({ "why": why })),
        }
    }

    /// All that a visit needs, one sentence after the other; empty where it needs nothing.
    ///
    /// # Errors
    /// A label is missing.
    pub fn needs(&self, row: &DayRow) -> Result<String, WordingError> {
        let needs: Result<Vec<String>, _> = row.needs.iter().map(|need| self.need(need)).collect();
        Ok(needs?.join(" "))
    }

    /// The name of a paper as it is printed at its foot.
    ///
    /// # Errors
    /// A label is missing.
    pub fn paper(&self, kind: PaperKind) -> Result<String, WordingError> {
        self.label(kind.short_title())
    }
}
