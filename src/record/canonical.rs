//! Turns a visit as it was read into one fixed form, so that two plans have one digest exactly when they say the same.
//! Invariant: every field of a visit is in it or named here as left out; a new field does not compile until it is.
//! Must not: leave this module other than as a digest (it holds the patient's name).

use serde_json::{Value, json};

use crate::plan::{
    Answer, Asked, EarlierTreatment, Event, FactValue, Patient, PlannedArea, Product, Units, Visit,
};

/// The visit as JSON with fixed keys in a fixed order. Comments, spelling of numbers and places in the file are not in it.
pub fn canonical(visit: &Visit) -> Value {
    let Visit {
        patient,
        date,
        time,
        informed_on,
        informed_at,
        practitioner,
        prescriber,
        prescriber_saw_on,
        revision,
        product,
        areas,
        events,
        history,
        asked,
        answers,
        // the same texts again, with their places in the file
        texts: _,
    } = visit;
    json!([
        self::patient(patient),
        date.to_string(),
        time.map(|time| time.to_string()),
        informed_on.map(|date| date.to_string()),
        informed_at.map(|time| time.to_string()),
        practitioner,
        prescriber,
        prescriber_saw_on.map(|date| date.to_string()),
        revision,
        self::product(product),
        areas.iter().map(area).collect::<Vec<_>>(),
        events.iter().map(event).collect::<Vec<_>>(),
        history.iter().map(earlier).collect::<Vec<_>>(),
        asked.as_ref().map(self::asked),
        answers.iter().map(answer).collect::<Vec<_>>(),
    ])
}

fn asked(asked: &Asked) -> Value {
    let Asked { on, by } = asked;
    json!([on.to_string(), by])
}

fn answer(answer: &Answer) -> Value {
    let Answer {
        to,
        question,
        decision,
        because,
        by,
        on,
    } = answer;
    json!([to, question, decision, because, by, on.to_string()])
}

fn patient(patient: &Patient) -> Value {
    let Patient {
        name,
        born,
        record,
        language,
        large_print,
        facts,
    } = patient;
    let facts: Vec<Value> = facts
        .iter()
        .map(|(id, value)| {
            let value = match value {
                FactValue::No => json!(false),
                FactValue::NotSure => json!({ "sure": false }),
                FactValue::Yes => json!(true),
                FactValue::Side(side) => json!({ "side": side.as_str() }),
                FactValue::Text(text) => json!(text),
                FactValue::Number(number) => json!(number),
            };
            json!([id, value])
        })
        .collect();
    let language = language.as_ref().map(ToString::to_string);
    json!([name, born.to_string(), record, language, large_print, facts])
}

fn product(product: &Product) -> Value {
    let Product {
        name,
        vial_units,
        formulation,
        diluent_ml,
        batch,
    } = product;
    match formulation {
        // as digests were taken before the form could be said
        None => json!([name, vial_units, diluent_ml, batch]),
        Some(form) => json!([name, vial_units, diluent_ml, batch, form.as_str()]),
    }
}

fn area(area: &PlannedArea) -> Value {
    let PlannedArea {
        id,
        side,
        units,
        points,
        aim,
        reason,
        round,
        previous,
        last_time,
        stance,
        stance_because,
        product,
        // where the entry stands in the file
        span: _,
    } = area;
    let units = units.map(|units| {
        let Units {
            amount,
            per,
            points,
        } = units;
        json!([amount, per.as_str(), points])
    });
    let mut said = json!([
        id,
        side.as_str(),
        units,
        points,
        aim,
        reason,
        round,
        previous.map(|date| date.to_string()),
        stance.map(|stance| stance.as_str()),
        stance_because,
        product.as_ref().map(self::product),
    ]);
    // left out, so that a digest is what it was before this could be said
    if let (Some(last_time), Value::Array(said)) = (last_time, &mut said) {
        said.push(json!(last_time));
    }
    said
}

fn event(event: &Event) -> Value {
    let Event {
        date,
        until,
        what,
        needs,
    } = event;
    let until = until.map(|until| until.to_string());
    json!([date.to_string(), until, what, needs])
}

fn earlier(earlier: &EarlierTreatment) -> Value {
    let EarlierTreatment {
        date,
        month_only,
        reason,
        product,
        units,
        areas,
    } = earlier;
    let reason = reason.map(|reason| reason.as_str());
    json!([date.to_string(), month_only, reason, product, units, areas])
}
