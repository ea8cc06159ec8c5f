//! Turns cautions, what nobody asked and how ready a plan is into plain lines for reports and front ends.
//! Invariant: every caution and every open fact of the selection is in them, in the practice's language.
//! Must not: leave one out because it was answered.

use serde::Serialize;

use super::Composer;
use crate::domain::{AreaId, CautionId, Decision, FactId, PractitionerId, QuestionCode, SourceId};
use crate::select::{AnswerStanding, Selection};
use crate::wording::{RecordedWording, WordingError};

/// A caution in words.
#[derive(Debug, Clone, serde::Serialize)]
pub struct WordedCaution {
    pub level: &'static str,
    pub id: CautionId,
    pub areas: Vec<AreaId>,
    pub text: String,
    /// What it rests on in this plan.
    pub because: String,
    pub source: Vec<SourceId>,
    pub status: &'static str,
    /// The code of what it asks; only an `ask` has one.
    pub question: Option<QuestionCode>,
    /// What the plan answers, whether it still counts or not.
    pub answer: Option<GivenAnswer>,
    /// In a sentence, whether the question is open; empty where nothing is asked.
    pub state: String,
}

/// An answer of the plan.
#[derive(Debug, Clone, Serialize)]
pub struct GivenAnswer {
    pub standing: AnswerStanding,
    pub decision: Decision,
    pub because: String,
    pub by: PractitionerId,
    pub on: String,
}

/// What nobody asked, in words.
#[derive(Debug, Clone, Serialize)]
pub struct NotAskedLine {
    /// The strictest caution it could raise.
    pub level: &'static str,
    pub fact: FactId,
    /// Empty: the whole visit.
    pub areas: Vec<AreaId>,
    /// As it is asked of the patient.
    pub text: String,
}

/// What nobody asked of what matters for a selection, strictest first.
///
/// # Errors
/// A label is missing.
pub fn not_asked_said(
    selection: &Selection<'_>,
    wording: RecordedWording<'_>,
) -> Result<Vec<NotAskedLine>, WordingError> {
    let composer = Composer { selection, wording };
    let mut lines = Vec::new();
    for (open, (level, text)) in selection.not_asked.iter().zip(composer.not_asked()?) {
        lines.push((
            level,
            NotAskedLine {
                level: level.as_str(),
                fact: open.fact.clone(),
                areas: open.areas.clone(),
                text,
            },
        ));
    }
    lines.sort_by_key(|(level, _)| std::cmp::Reverse(*level));
    Ok(lines.into_iter().map(|(_, line)| line).collect())
}

/// A sentence for each answer that no question asks for, and one on how far the plan is from being treated.
///
/// # Errors
/// A label is missing.
pub fn readiness_said(
    selection: &Selection<'_>,
    wording: RecordedWording<'_>,
) -> Result<(String, Vec<String>), WordingError> {
    let composer = Composer { selection, wording };
    Ok((composer.readiness_text()?, composer.idle_answers()?))
}

/// Every caution of a selection in words, strictest first.
///
/// # Errors
/// A sentence is missing or cannot be filled.
pub fn cautions_said(
    selection: &Selection<'_>,
    wording: RecordedWording<'_>,
) -> Result<Vec<WordedCaution>, WordingError> {
    let composer = Composer { selection, wording };
    selection
        .cautions
        .iter()
        .map(|caution| {
            Ok(WordedCaution {
                level: caution.level.as_str(),
                id: caution.id.clone(),
                areas: caution.areas.clone(),
                text: composer.caution_text(caution)?,
                because: composer.reasons_text(&caution.reasons)?,
                source: caution.evidence.source.clone(),
                status: caution.evidence.status.as_str(),
                question: caution.question,
                answer: caution.given.map(|given| {
                    let answer = &selection.visit.answers[given.answer];
                    GivenAnswer {
                        standing: given.standing,
                        decision: answer.decision,
                        because: answer.because.clone(),
                        by: answer.by.clone(),
                        on: answer.on.to_string(),
                    }
                }),
                state: composer.answer_text(caution)?.unwrap_or_default(),
            })
        })
        .collect()
}
