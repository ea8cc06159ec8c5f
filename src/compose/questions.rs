//! Turns what is still open about a plan into words for the check sheet: readiness, answers, and what nobody asked.
//! Invariant: every relevant fact is somewhere: told, denied, not sure, or not asked.
//! Must not: be worded for, or handed to, the patient.

use serde_json::{Value, json};

use super::Composer;
use super::document::{Block, Item, ListStyle, Tone};
use crate::catalogue::Level;
use crate::domain::LabelId;
use crate::plan::{Answer, FactValue};
use crate::select::{AnswerStanding, Caution, Idle};
use crate::wording::{Piece, WordingError, rich};

impl Composer<'_, '_> {
    /// In a sentence or two, whether the plan can be treated as it stands.
    pub(super) fn readiness(&self) -> Result<Block, WordingError> {
        let (id, said) = self.readiness_words();
        Ok(Block::Panel {
            tone: Tone::Note,
            title: String::new(),
            blocks: vec![self.note(id, said)?],
        })
    }

    /// The same as plain text.
    pub(super) fn readiness_text(&self) -> Result<String, WordingError> {
        let (id, said) = self.readiness_words();
        let pieces = self.wording.pieces(id, &super::values(said))?;
        Ok(rich::text_of_pieces(&pieces))
    }

    fn readiness_words(&self) -> (&'static str, Value) {
        let readiness = self.selection.readiness();
        let id = match readiness {
            ready if ready.stops > 0 => "clinician.ready.stopped",
            ready if ready.ready => "clinician.ready.yes",
            _ => "clinician.ready.no",
        };
        let said = json!({
            "open": readiness.open,
            "to_change": readiness.to_change,
            "not_asked": readiness.not_asked,
        });
        (id, said)
    }

    /// Whether a question was answered, and how; nothing where nothing is asked.
    pub(super) fn answer(&self, caution: &Caution) -> Result<Vec<Piece>, WordingError> {
        match self.answer_words(caution)? {
            Some((id, said)) => self.wording.pieces(id, &super::values(said)),
            None => Ok(Vec::new()),
        }
    }

    /// The same in one line of plain text.
    pub(crate) fn answer_text(&self, caution: &Caution) -> Result<Option<String>, WordingError> {
        Ok(match self.answer_words(caution)? {
            Some((id, said)) => {
                let pieces = self.wording.pieces(id, &super::values(said))?;
                Some(rich::text_of_pieces(&pieces))
            }
            None => None,
        })
    }

    fn answer_words(
        &self,
        caution: &Caution,
    ) -> Result<Option<(&'static str, Value)>, WordingError> {
        let Some(question) = caution.question else {
            return Ok(None);
        };
        let mut said = json!({ "caution": caution.id.as_str(), "question": question.to_string() });
        let Some(given) = caution.given else {
            return Ok(Some(("clinician.answer.open", said)));
        };
        self.add_answer(&mut said, &self.selection.visit.answers[given.answer])?;
        let id = match given.standing {
            AnswerStanding::Counts => "clinician.answer.counts",
            AnswerStanding::Changed => "clinician.answer.changed",
            AnswerStanding::WithoutCode => "clinician.answer.without-code",
        };
        Ok(Some((id, said)))
    }

    fn add_answer(&self, said: &mut Value, answer: &Answer) -> Result<(), WordingError> {
        let by = self.selection.clinic.practitioner(&answer.by);
        said["by"] = by.map_or(answer.by.as_str(), |by| by.name.as_str()).into();
        said["on"] = self.wording.formats().date(answer.on).into();
        said["decision"] = self.label(&LabelId::decision(answer.decision))?.into();
        said["because"] = answer.because.as_str().into();
        Ok(())
    }

    /// A sentence for each answer that no question of this plan asks for.
    pub(crate) fn idle_answers(&self) -> Result<Vec<String>, WordingError> {
        let mut lines = Vec::new();
        for (at, idle) in &self.selection.idle_answers {
            let answer = &self.selection.visit.answers[*at];
            let mut said = json!({ "caution": answer.to.as_str() });
            self.add_answer(&mut said, answer)?;
            let id = match idle {
                Idle::NothingAsks => "clinician.answer.nothing-asks",
                Idle::Stop => "clinician.answer.stop",
            };
            lines.push(self.line(id, said)?);
        }
        Ok(lines)
    }

    /// Who asked the patient and when, what was denied, and what nobody asked, strictest first.
    pub(super) fn asked(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.note_of_asking()?);
        let mut denied = Vec::new();
        let mut unsure = Vec::new();
        for (id, value) in &self.selection.visit.patient.facts {
            let label = self.label(&LabelId::fact(id))?;
            match value {
                FactValue::No => denied.push(label),
                FactValue::NotSure => unsure.push(bullet(
                    self.line("clinician.asked.not-sure", json!({ "fact": label }))?,
                )),
                FactValue::Yes | FactValue::Side(_) | FactValue::Text(_) | FactValue::Number(_) => {
                }
            }
        }
        if !unsure.is_empty() {
            blocks.push(Block::bullets(unsure));
        }
        if !denied.is_empty() {
            let denied = json!({ "facts": denied.join("; ") });
            blocks.push(self.note("clinician.asked.denied", denied)?);
        }
        if self.selection.not_asked.is_empty() {
            return Ok(());
        }
        blocks.push(self.heading(2, "clinician.asked.heading")?);
        blocks.push(self.note("clinician.asked.why", json!({}))?);
        let open = self.not_asked()?;
        for (level, title) in [
            (Level::Stop, "clinician.asked.could-stop"),
            (Level::Ask, "clinician.asked.could-ask"),
            (Level::Note, "clinician.asked.could-note"),
        ] {
            let of_level = open.iter().filter(|(of, _)| *of == level);
            let items: Vec<Item> = of_level.map(|(_, text)| bullet(text.clone())).collect();
            if !items.is_empty() {
                blocks.push(self.heading(3, title)?);
                blocks.push(Block::List {
                    style: ListStyle::Tick,
                    columns: 2,
                    items,
                });
            }
        }
        Ok(())
    }

    fn note_of_asking(&self) -> Result<Block, WordingError> {
        match &self.selection.visit.asked {
            Some(asked) => {
                let on = self.wording.formats().date(asked.on);
                self.note("clinician.asked.by", json!({ "by": asked.by, "on": on }))
            }
            None => self.note("clinician.asked.by-nobody", json!({})),
        }
    }

    /// What nobody asked, as it is asked of a patient, with what it could raise.
    pub(crate) fn not_asked(&self) -> Result<Vec<(Level, String)>, WordingError> {
        let mut said = Vec::new();
        for open in &self.selection.not_asked {
            let question = self.label(&LabelId::question(&open.fact))?;
            let all = self.selection.areas.len();
            let text = if open.areas.is_empty() || open.areas.len() == all {
                question
            } else {
                let areas = self.area_names(&open.areas)?;
                self.line(
                    "clinician.asked.for",
                    json!({ "question": question, "areas": areas }),
                )?
            };
            said.push((open.level, text));
        }
        Ok(said)
    }
}

fn bullet(text: String) -> Item {
    Item {
        mark: None,
        text: rich::plain(text),
    }
}
