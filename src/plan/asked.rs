//! Reads who asked the patient (`[asked]`) and what the practitioner decided (`[[answer]]`).
//!
//! Invariant: no fact is both told and denied; an answer is to a caution that can ask, never to one that forbids.
//!
//! Must not: know whether a question is raised, or what it rests on (the selection does).

use std::collections::BTreeMap;

use crate::diagnose::{Code, Diagnostic, echo, hint};
use crate::domain::{CautionId, Decision, FactId, PractitionerId, QuestionCode};
use crate::plan::order::Frame;
use crate::plan::reader::{Field, Found, Reader, SHORT_MAX, Section, TEXT_MAX, value};
use crate::plan::{Answer, Asked, Clinic, FactValue};

/// Who asked and when. What the list `no` denies is added to the facts.
pub(in crate::plan) fn read_asked(
    reader: &mut Reader,
    section: &Section,
    frame: &Frame,
    patient: Option<&Section>,
    facts: &mut BTreeMap<FactId, FactValue>,
) -> Option<Asked> {
    let on = day(reader, section);
    if let Some(on) = &on {
        frame.check_said(
            reader,
            on,
            Code::AskedImpossible,
            "The patient cannot have been asked",
        );
    }
    let by = reader
        .required(section, "by", "\"…\"")
        .and_then(|field| reader.free_text(&field, TEXT_MAX));
    if let Some(field) = reader.optional(section, "no") {
        let vocabulary = reader.vocabulary;
        let known = vocabulary.facts.iter().map(|fact| fact.id.as_str());
        for item in reader.list(&field, usize::MAX, "[\"…\", \"…\"]") {
            let word = reader.word(&item, known.clone(), Code::UnknownFact, "fact");
            let Some(word) = word else { continue };
            let id = FactId::from(word.value.clone());
            match facts.get(&id) {
                None | Some(FactValue::No) => {
                    facts.insert(id, FactValue::No);
                }
                Some(_) => told_and_denied(reader, &word, patient),
            }
        }
    }
    Some(Asked {
        on: value(on)?,
        by: value(by)?,
    })
}

fn told_and_denied(reader: &mut Reader, denied: &Found<String>, patient: Option<&Section>) {
    let mut diagnostic = Diagnostic::new(
        reader.source,
        Code::ToldAndDenied,
        denied.span.clone(),
        format!(
            "`{}` is denied here and told under [patient].",
            echo(&denied.value)
        ),
        "Ask again, and delete one of the two.",
    )
    .at(&denied.path);
    if let Some(told) = patient.and_then(|section| section.table.get(&denied.value)) {
        diagnostic = diagnostic.also(reader.source, told.key_span.clone(), "told here");
    }
    reader.found.push(diagnostic);
}

/// One answer of the practitioner.
pub(in crate::plan) fn read_answer(
    reader: &mut Reader,
    section: &Section,
    frame: &Frame,
    clinic: Option<&Clinic>,
) -> Option<Answer> {
    let to = reader
        .required(section, "to", "\"…\"")
        .and_then(|field| read_caution(reader, &field));
    let question = reader
        .optional(section, "question")
        .and_then(|field| read_question(reader, &field));
    let decision = reader
        .required(section, "decision", "\"go-ahead\"")
        .and_then(|field| {
            let words = Decision::ALL.map(Decision::as_str);
            let word = reader.word(&field, words, Code::UnknownDecision, "decision")?;
            Decision::from_word(&word.value)
        });
    let because = reader
        .required(section, "because", "\"…\"")
        .and_then(|field| reader.free_text(&field, TEXT_MAX));
    let by = reader
        .required(section, "by", "\"…\"")
        .and_then(|field| practitioner(reader, &field, clinic));
    let on = day(reader, section);
    if let Some(on) = &on {
        frame.check_said(
            reader,
            on,
            Code::AnsweredImpossible,
            "This cannot have been decided",
        );
    }
    Some(Answer {
        to: to?,
        question,
        decision: decision?,
        because: value(because)?,
        by: value(by).map(PractitionerId::from)?,
        on: value(on)?,
    })
}

fn day(reader: &mut Reader, section: &Section) -> Option<Found<jiff::civil::Date>> {
    let field = reader.required(section, "on", "2026-12-01")?;
    reader.date(&field)
}

/// A caution that can ask something.
fn read_caution(reader: &mut Reader, field: &Field) -> Option<CautionId> {
    let vocabulary = reader.vocabulary;
    let known = vocabulary.cautions.iter().map(|word| word.id.as_str());
    let word = reader.word(field, known, Code::UnknownCaution, "caution")?;
    let caution = vocabulary.caution(&word.value)?;
    if caution.stops {
        reader.report(
            Code::AnswerToStop,
            word.span,
            &word.path,
            format!("`{}` forbids the treatment; it asks nothing.", word.value),
            "Change the plan so that it is no longer raised, and delete this answer.",
        );
        return None;
    }
    Some(caution.id.clone())
}

fn read_question(reader: &mut Reader, field: &Field) -> Option<QuestionCode> {
    let text = reader.text(field, SHORT_MAX)?;
    let code = QuestionCode::read(&text.value);
    if code.is_none() {
        reader.report(
            Code::MalformedQuestion,
            text.span,
            &text.path,
            format!("`{}` is not the code of a question.", echo(&text.value)),
            "Copy the four letters or digits that `check` prints beside the question.",
        );
    }
    code
}

/// The id of somebody in the clinic file.
pub(in crate::plan) fn practitioner(
    reader: &mut Reader,
    field: &Field,
    clinic: Option<&Clinic>,
) -> Option<Found<String>> {
    let id = reader.text(field, SHORT_MAX)?;
    if let Some(clinic) = clinic
        && clinic
            .practitioners
            .iter()
            .all(|person| person.id != id.value)
    {
        let known = clinic.practitioners.iter().map(|person| person.id.as_str());
        reader.report(
            Code::UnknownPractitioner,
            id.span.clone(),
            &id.path,
            format!(
                "The clinic file lists no practitioner `{}`.",
                echo(&id.value)
            ),
            hint(&id.value, known, "practitioner"),
        );
    }
    Some(id)
}
