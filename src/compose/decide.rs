//! Turns cautions into rows to decide and a short list to know, and gives every caution its sentence, its reasons and its source.
//! Invariant: every caution of level `ask` has a row of its own, strictest first, with its answer where the plan has one.
//! Must not: decide, or be worded for the patient.

use serde_json::json;

use super::Composer;
use super::check_parts::{CheckPart, Decision};
use super::document::Block;
use super::pictures::FOR_PRACTITIONER;
use crate::catalogue::{Evidence, Level};
use crate::domain::{Decision as Decided, FactId, LabelId, SourceId, StatementId};
use crate::plan::{FactValue, Side};
use crate::select::{AnswerStanding, Caution, CautionValue, Reason, SelectedArea};
use crate::wording::{Context, RecordedWording, WordingError};

/// So many areas are named in a question by their numbers.
const MOST_NUMBERS: usize = 12;

impl Composer<'_, '_> {
    /// The rows to decide beside the drawing of the plan.
    pub(super) fn decide(&self) -> Result<Block, WordingError> {
        let cautions = &self.selection.cautions;
        let of_level = |level| cautions.iter().filter(move |c| c.level == level);
        let rows: Vec<Decision> = of_level(Level::Ask)
            .map(|caution| self.to_decide(caution))
            .collect::<Result<_, _>>()?;
        let notes: Vec<String> = of_level(Level::Note)
            .map(|caution| self.caution_text(caution))
            .collect::<Result<_, WordingError>>()?;
        let not_asked = self.selection.not_asked.len();
        let none = match (rows.is_empty(), cautions.is_empty() && not_asked == 0) {
            (true, true) => self.label("clinician.cautions.none")?,
            (true, false) => {
                self.line("clinician.decide.none", json!({ "not_asked": not_asked }))?
            }
            (false, _) => String::new(),
        };
        let choices = [Decided::GoAhead, Decided::Change, Decided::DoNotTreat];
        let choices = choices.map(|choice| self.label(&LabelId::choice(choice)));
        Ok(Block::Check(CheckPart::Decide {
            heading: self.label("clinician.decide.heading")?,
            rows,
            none,
            choices: choices.into_iter().collect::<Result<_, _>>()?,
            note: self.label("clinician.decide.note")?,
            notes_lead: match notes.is_empty() {
                true => String::new(),
                false => self.label("clinician.decide.notes")?,
            },
            notes,
            said: self.what_was_said()?,
            circumstances: self.circumstances()?,
            overleaf: self.label("clinician.decide.overleaf")?,
            all_overleaf: self.label("clinician.decide.all-overleaf")?,
            onward: self.label("clinician.decide.onward")?,
            picture: self.face(&FOR_PRACTITIONER)?.map(Box::new),
        }))
    }

    fn to_decide(&self, caution: &Caution) -> Result<Decision, WordingError> {
        let question = self
            .wording
            .line(&LabelId::ask(&caution.id), &self.caution_context(caution)?)?;
        // the question says what the first sentence says; both, and what it rests on, stand in the annex
        let (_, reason) = in_two(&self.caution_text(caution)?);
        let evidence = json!({ "evidence": self.evidence(&caution.evidence)? });
        let evidence = self.line("clinician.decide.evidence", evidence)?;
        let mut why = self.told_of(caution)?;
        why.extend([reason, evidence]);
        why.retain(|said| !said.is_empty());
        let counts = |standing| standing == AnswerStanding::Counts;
        let answered = caution.given.is_some_and(|given| counts(given.standing));
        let (answer, open) = match answered {
            true => (self.answer_rich(caution)?, None),
            false => (None, self.answer_text(caution)?),
        };
        // an answer that no longer counts is told, and the boxes stand there again
        why.extend(open);
        Ok(Decision {
            question,
            why: why.join(" "),
            answer,
        })
    }

    /// What the patient said in words of their own of what the question is about.
    fn told_of(&self, caution: &Caution) -> Result<Vec<String>, WordingError> {
        let told = &self.selection.visit.patient.facts;
        let facts = facts_of(caution).into_iter();
        let said = facts.filter_map(|fact| match told.get(&fact) {
            Some(FactValue::Text(said)) => Some(json!({ "said": said })),
            _ => None,
        });
        said.map(|said| self.line("clinician.decide.told", said))
            .collect()
    }

    /// The side that all of these areas have; empty where they differ.
    fn planned_side(&self, concerned: &[&SelectedArea<'_>]) -> Result<String, WordingError> {
        let sides = concerned.iter().map(|selected| selected.planned.side);
        let mut sides: Vec<Side> = sides.collect();
        sides.dedup();
        match sides[..] {
            [side] => self.side_words(side),
            _ => Ok(String::new()),
        }
    }

    /// "Because of: facial palsy. C69, C70; published."
    pub(super) fn rests_on(&self, caution: &Caution) -> Result<String, WordingError> {
        let reasons = self.reasons_text(&caution.reasons)?;
        let evidence = self.evidence(&caution.evidence)?;
        let said = json!({ "reasons": reasons, "evidence": evidence });
        self.line("clinician.decide.rests-on", said)
    }

    /// The sentence of a caution.
    pub(crate) fn caution_text(&self, caution: &Caution) -> Result<String, WordingError> {
        let context = self.caution_context(caution)?;
        self.wording
            .line(StatementId::caution(&caution.id).wording(), &context)
    }

    /// What the sentences of a caution may use: the areas and products it concerns, and its values.
    pub(super) fn caution_context(&self, caution: &Caution) -> Result<Context, WordingError> {
        let formats = self.wording.formats();
        let mut context = self.general_context()?;
        let areas = self.concerned_area_names(&caution.areas)?;
        context.insert("area".to_owned(), areas.clone().into());
        context.insert("areas".to_owned(), areas.into());
        let told_side = self.told_side(&facts_of(caution));
        let told_side = told_side.map_or(Ok(String::new()), |side| self.side_words(side))?;
        context.insert("told_side".to_owned(), told_side.into());
        let areas = self.selection.areas.iter();
        let concerned = areas.filter(|selected| caution.areas.contains(&selected.area.id));
        let concerned: Vec<&SelectedArea<'_>> = concerned.collect();
        let numbers = concerned.iter().map(|selected| selected.number.to_string());
        let numbers: Vec<String> = numbers.collect();
        // more of them are read no better than "these"
        let numbers = match numbers.len() {
            1..=MOST_NUMBERS => formats.and(&numbers),
            _ => String::new(),
        };
        context.insert("numbers".to_owned(), numbers.into());
        let planned_side = self.planned_side(&concerned)?;
        context.insert("planned_side".to_owned(), planned_side.into());
        let products: Vec<String> = caution
            .reasons
            .iter()
            .filter_map(|reason| match reason {
                Reason::Product(id) => Some(id.to_string()),
                _ => None,
            })
            .collect();
        if !products.is_empty() {
            context.insert("products".to_owned(), formats.and(&products).into());
        }
        for (name, value) in &caution.values {
            let said = match value {
                CautionValue::Date(date) => formats.date(*date).into(),
                CautionValue::Plain(serde_json::Value::Array(numbers))
                    if numbers.iter().all(serde_json::Value::is_number) =>
                {
                    let numbers: Vec<String> = numbers
                        .iter()
                        .filter_map(serde_json::Value::as_f64)
                        .map(|number| formats.number(number))
                        .collect();
                    formats.and(&numbers).into()
                }
                CautionValue::Plain(serde_json::Value::Array(ids)) => {
                    let labels: Result<Vec<String>, _> = ids
                        .iter()
                        .filter_map(|id| id.as_str())
                        // an instruction may say whom to call
                        .map(|id| self.wording.line(id, &context))
                        .collect();
                    formats.and(&labels?).into()
                }
                CautionValue::Plain(other) => other.clone(),
            };
            context.insert(name.clone(), said);
        }
        if let Some(CautionValue::Plain(serde_json::Value::String(id))) = caution.values.get("poor")
            && let Some(selected) = concerned.first()
        {
            context.insert(
                "poor".to_owned(),
                self.wording.line(id, &self.area_context(selected)?)?.into(),
            );
        }
        Ok(context)
    }

    /// Why a caution is there, in words: areas by their names, facts by their labels.
    pub(crate) fn reasons_text(&self, reasons: &[Reason]) -> Result<String, WordingError> {
        let mut said = Vec::new();
        for reason in reasons {
            said.push(match reason {
                Reason::Area(id) => self.area_name(id)?,
                Reason::Fact(id) => self.label(&LabelId::fact(id))?,
                Reason::Region(id) => self.label(&LabelId::place(id))?,
                Reason::Product(id) => id.to_string(),
                Reason::Event(index) => self.selection.visit.events[*index].what.clone(),
                // the sentence itself is the rule's; its id adds nothing for a reader
                Reason::Rule(_) => continue,
            });
        }
        Ok(said.join(", "))
    }

    /// "C22, C3; published", in the practice's language. What holds in another place alone is not cited, unless there is
    /// nothing else.
    pub(super) fn evidence(&self, evidence: &Evidence) -> Result<String, WordingError> {
        evidence_said(&self.wording, evidence, |id| self.is_cited(id))
    }

    /// Whether a source is one that papers of this place cite.
    pub(super) fn is_cited(&self, id: &SourceId) -> bool {
        let source = self.selection.catalogue.sources.get(id);
        source.is_none_or(|source| source.is_cited_in(&self.selection.region.id))
    }
}

/// The facts that raised a caution.
fn facts_of(caution: &Caution) -> Vec<FactId> {
    let reasons = caution.reasons.iter();
    let facts = reasons.filter_map(|reason| match reason {
        Reason::Fact(id) => Some(id.clone()),
        _ => None,
    });
    facts.collect()
}

/// Sources and status, as in "C22; published".
pub(super) fn evidence_said(
    wording: &RecordedWording<'_>,
    evidence: &Evidence,
    is_cited: impl Fn(&SourceId) -> bool,
) -> Result<String, WordingError> {
    let status = wording.label(&LabelId::status(evidence.status))?;
    let cited: Vec<&str> = cited(evidence, is_cited)
        .into_iter()
        .map(SourceId::as_str)
        .collect();
    Ok(if cited.is_empty() {
        status
    } else {
        format!("{}; {status}", cited.join(", "))
    })
}

/// The publications of a claim that are cited in this place; where none is, all of them.
pub(super) fn cited(evidence: &Evidence, is_cited: impl Fn(&SourceId) -> bool) -> Vec<&SourceId> {
    let named: Vec<&SourceId> = evidence.publications().collect();
    let here: Vec<&SourceId> = named.iter().copied().filter(|id| is_cited(id)).collect();
    if here.is_empty() { named } else { here }
}

/// A text cut after its first sentence.
pub(super) fn in_two(text: &str) -> (String, String) {
    let ends = text.match_indices(['.', '?']).map(|(at, _)| at + 1);
    let cut = ends
        .filter(|at| text[*at..].starts_with(' '))
        .find(|at| text[*at..].trim_start().starts_with(starts_sentence));
    match cut {
        Some(at) => (text[..at].to_owned(), text[at..].trim().to_owned()),
        None => (text.to_owned(), String::new()),
    }
}

fn starts_sentence(letter: char) -> bool {
    letter.is_uppercase() || matches!(letter, '“' | '«' | '¿' | '¡')
}
