//! Turns a selection into what a person at a screen needs beside a plan: what to decide, doses and volumes, dates.
//! Invariant: the same sentences, doses and dates as on the papers, in the practice's language.
//! Must not: be a paper, or know what a screen looks like.

use serde::Serialize;

use super::Composer;
use super::check_parts::CheckPart;
use super::decide::in_two;
use super::document::Block;
use crate::catalogue::Level;
use crate::domain::{CautionId, Decision, FactId, LabelId};
use crate::select::explain;
use crate::select::{AnswerStanding, Caution, DateRange, Given, Selection};
use crate::wording::{RecordedWording, WordingError, rich};

/// What follows from a plan.
#[derive(Debug, Clone, Serialize)]
pub struct WorkedOut {
    /// What forbids the visit as planned.
    pub stops: Vec<ToDecide>,
    /// Questions, open or answered.
    pub questions: Vec<ToDecide>,
    /// What only has to be known.
    pub notes: Vec<ToDecide>,
    /// Facts that matter here and nobody asked about.
    pub not_asked: Vec<Unasked>,
    pub doses: Vec<DoseLine>,
    /// Product and units of several areas together.
    pub totals: Vec<(String, String)>,
    pub dose_notes: Vec<String>,
    /// What happens when, and to which areas.
    pub dates: Vec<DateGroup>,
    /// In a sentence, how far the plan is from being treated.
    pub readiness: String,
    /// A sentence for each answer that nothing asks for.
    pub idle_answers: Vec<String>,
}

/// A caution, for somebody who decides.
#[derive(Debug, Clone, Serialize)]
pub struct ToDecide {
    pub caution: CautionId,
    /// Its first sentence, and the rest.
    pub text: String,
    pub more: String,
    pub because: String,
    /// "C22, C3; published".
    pub source: String,
    /// Code of the question; only questions have one.
    pub question: Option<String>,
    /// The answer that counts.
    pub answered: Option<Answered>,
    /// Why an answer does not count, or that there is none.
    pub open: String,
}

impl ToDecide {
    /// The answer that counts asks for another plan.
    pub fn asks_for_a_change(&self) -> bool {
        self.answered.as_ref().is_some_and(|answer| answer.changes)
    }
}

/// An answer that counts.
#[derive(Debug, Clone, Serialize)]
pub struct Answered {
    /// Place among the answers of the plan.
    pub place: usize,
    pub decision: String,
    /// It asks for another plan.
    #[serde(skip)]
    pub changes: bool,
    pub because: String,
    pub by: String,
    pub on: String,
}

#[derive(Debug, Clone, Serialize)]
pub struct Unasked {
    pub fact: FactId,
    pub text: String,
}

/// One area with its dose.
#[derive(Debug, Clone, Serialize)]
pub struct DoseLine {
    pub number: String,
    pub area: String,
    pub side: String,
    pub units: String,
    pub parted: String,
    pub volume: String,
    pub label: String,
}

/// The days of one area.
#[derive(Debug, Clone, Serialize)]
pub struct DateGroup {
    pub area: String,
    pub lines: Vec<DateLine>,
}

#[derive(Debug, Clone, Serialize)]
pub struct DateLine {
    pub what: String,
    pub when: String,
}

/// What follows from the plan of a selection.
///
/// # Errors
/// A sentence is missing or cannot be filled.
pub fn worked_out(
    selection: &Selection<'_>,
    wording: RecordedWording<'_>,
) -> Result<WorkedOut, WordingError> {
    let composer = Composer { selection, wording };
    let of_level = |level: Level| {
        let cautions = selection.cautions.iter().filter(move |c| c.level == level);
        cautions
            .map(|caution| composer.decided(caution))
            .collect::<Result<Vec<ToDecide>, WordingError>>()
    };
    let (doses, totals, dose_notes) = composer.dose_lines()?;
    Ok(WorkedOut {
        stops: of_level(Level::Stop)?,
        questions: of_level(Level::Ask)?,
        notes: of_level(Level::Note)?,
        not_asked: composer.unasked()?,
        doses,
        totals,
        dose_notes,
        dates: composer.date_groups()?,
        readiness: composer.readiness_text()?,
        idle_answers: composer.idle_answers()?,
    })
}

/// Why a statement is on a paper.
#[derive(Debug, Clone, Serialize)]
pub struct WhyPrinted {
    /// As it is marked on its page.
    pub statement: String,
    /// What of the plan calls for it; empty: it is said at every visit.
    pub because: String,
    pub source: String,
}

/// Why each statement of a selection is on its paper.
///
/// # Errors
/// A label is missing.
pub fn why_printed(
    selection: &Selection<'_>,
    wording: RecordedWording<'_>,
) -> Result<Vec<WhyPrinted>, WordingError> {
    let composer = Composer { selection, wording };
    selection
        .statements
        .iter()
        .map(|statement| {
            let reasons = explain::reasons(selection, statement);
            Ok(WhyPrinted {
                statement: statement.id.to_string(),
                because: match reasons.is_empty() {
                    true => String::new(),
                    false => composer.reasons_text(&reasons)?,
                },
                source: composer.evidence(&statement.evidence)?,
            })
        })
        .collect()
}

impl Composer<'_, '_> {
    fn decided(&self, caution: &Caution) -> Result<ToDecide, WordingError> {
        let (text, more) = in_two(&self.caution_text(caution)?);
        let counts = |given: &Given| given.standing == AnswerStanding::Counts;
        let answered = match caution.given.filter(counts) {
            Some(given) => Some(self.given(given.answer)?),
            None => None,
        };
        let open = match answered {
            Some(_) => String::new(),
            None => self.answer_text(caution)?.unwrap_or_default(),
        };
        Ok(ToDecide {
            caution: caution.id.clone(),
            text,
            more,
            because: self.reasons_text(&caution.reasons)?,
            source: self.evidence(&caution.evidence)?,
            question: caution.question.map(|code| code.to_string()),
            answered,
            open,
        })
    }

    /// Strictest first.
    fn unasked(&self) -> Result<Vec<Unasked>, WordingError> {
        let open = self.selection.not_asked.iter().zip(self.not_asked()?);
        let mut lines: Vec<(Level, Unasked)> = open
            .map(|(open, (level, text))| {
                let fact = open.fact.clone();
                (level, Unasked { fact, text })
            })
            .collect();
        lines.sort_by_key(|(level, _)| std::cmp::Reverse(*level));
        Ok(lines.into_iter().map(|(_, line)| line).collect())
    }

    fn given(&self, place: usize) -> Result<Answered, WordingError> {
        let answer = &self.selection.visit.answers[place];
        let by = self.selection.clinic.practitioner(&answer.by);
        Ok(Answered {
            place,
            decision: self.label(&LabelId::choice(answer.decision))?,
            changes: answer.decision == Decision::Change,
            because: answer.because.clone(),
            by: by.map_or_else(|| answer.by.to_string(), |person| person.name.clone()),
            on: self.wording.formats().date(answer.on),
        })
    }

    #[allow(
        clippy::type_complexity,
        reason = "three parts of one table, taken apart at once"
    )]
    fn dose_lines(
        &self,
    ) -> Result<(Vec<DoseLine>, Vec<(String, String)>, Vec<String>), WordingError> {
        let Some(Block::Check(CheckPart::Doses {
            rows,
            totals,
            notes,
            ..
        })) = self.doses()?
        else {
            return Ok(Default::default());
        };
        let lines = rows.into_iter().map(|row| DoseLine {
            number: row.number,
            area: row.area,
            side: row.side,
            units: row.units,
            parted: row.parted,
            volume: row.volume,
            label: rich::text_of(&row.label),
        });
        Ok((lines.collect(), totals, notes))
    }

    fn date_groups(&self) -> Result<Vec<DateGroup>, WordingError> {
        let mut groups = Vec::new();
        for selected in &self.selection.areas {
            let windows = &selected.windows;
            let repeat = selected.earliest_repeat.map(|day| DateRange {
                first: day,
                last: day,
            });
            let mut lines = Vec::new();
            for (id, range) in [
                ("aftercare.when.onset", windows.onset),
                ("aftercare.when.full", windows.full_effect),
                ("aftercare.when.gone", windows.wears_off),
                ("aftercare.when.repeat", repeat),
            ] {
                if range.is_some() {
                    lines.push(DateLine {
                        what: self.label(id)?,
                        when: self.cell(range)?,
                    });
                }
            }
            groups.push(DateGroup {
                area: self.area_name(&selected.area.id)?,
                lines,
            });
        }
        Ok(groups)
    }
}
