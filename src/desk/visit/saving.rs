//! Turns a form into the file of its plan, or into the two versions of it that somebody must choose from.
//! Invariant: a file is written only where it still holds what the form began from; what was typed is in the answer otherwise.
//! Must not: choose between two versions.

use std::collections::BTreeMap;

use axum::http::StatusCode;
use serde::Serialize;
use serde_json::{Value, json};

use super::draft::{Draft, judged};
use super::fields::OF_THE_DESK;
use super::{Shown, screen};
use crate::desk::asking::{Answer, Asked};
use crate::desk::house::{Opened, code_of};
use crate::desk::{Desk, label};
use crate::diagnose::{Diagnostic, SourceFile};
use crate::plan_form::{self, Choice, NotMerged, PlanForm, Who};
use crate::practice::{Saved, explained, new_plan_name, save_plan};

/// A name for a new file is looked for so often; each time somebody else has just taken it.
const TRIES: usize = 5;

pub(in crate::desk) fn save(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let draft = Draft::sent(desk, opened, asked);
        if asked.field("desk.work-out").is_some() {
            return screen(desk, opened, &draft, Shown::default());
        }
        let judged = draft.judge(opened);
        let unfinished = asked.field("desk.unfinished").is_some();
        let part = asked.field("desk.part").is_some();
        // the front desk is not held up by what is not its own
        let own = |found: &&Diagnostic| {
            let field = draft.field_of(&judged, opened, found);
            !part || field.is_some_and(|field| OF_THE_DESK.contains(&field.as_str()))
        };
        let mistaken = judged.found.iter().any(|found| own(&found));
        if (mistaken && !unfinished) || draft.incomplete.is_some() {
            let shown = Shown {
                refused: true,
                part,
                ..Shown::default()
            };
            return screen(desk, opened, &draft, shown);
        }
        match &draft.file {
            Some(file) => write_over(desk, opened, asked, &draft, file, &judged.text),
            None if draft.code.is_some() => {
                let what = label(&opened.words, "desk.visit.gone");
                desk.sorry(opened, StatusCode::CONFLICT, &what)
            }
            None => write_new(desk, opened, &draft, &judged.text),
        }
    })
}

fn after(desk: &Desk, asked: &Asked, file: &str) -> Answer {
    let code = code_of(desk.gateway.secret(), file);
    match asked.field("desk.part") {
        Some(_) => Answer::See(format!("visit/{code}?part=desk&saved=1")),
        None => Answer::See(format!("visit/{code}?saved=1")),
    }
}

fn write_over(
    desk: &Desk,
    opened: &Opened,
    asked: &Asked,
    draft: &Draft,
    file: &str,
    text: &str,
) -> Answer {
    let path = desk.house.folder().join(file);
    match save_plan(&path, Some(&draft.base), text) {
        Ok(Saved::Written) => after(desk, asked, file),
        Ok(Saved::ChangedMeanwhile { now }) => changed(desk, opened, draft, file, &now, &[]),
        Ok(Saved::Gone | Saved::AlreadyThere) => {
            let what = label(&opened.words, "desk.visit.gone");
            desk.sorry(opened, StatusCode::CONFLICT, &what)
        }
        Err(failed) => desk.sorry(
            opened,
            StatusCode::INTERNAL_SERVER_ERROR,
            &explained(&failed),
        ),
    }
}

fn write_new(desk: &Desk, opened: &Opened, draft: &Draft, text: &str) -> Answer {
    let settled = plan_form::settled(&draft.form, opened.practice.vocabulary());
    let day = settled.get("visit.date").and_then(|day| day.parse().ok());
    let name = settled.get("patient.name").unwrap_or_default();
    for _ in 0..TRIES {
        let path = new_plan_name(desk.house.folder(), day, name);
        match save_plan(&path, None, text) {
            Ok(Saved::Written) => {
                let file = path
                    .file_name()
                    .and_then(|name| name.to_str())
                    .unwrap_or_default();
                let code = code_of(desk.gateway.secret(), file);
                return Answer::See(format!("visit/{code}?saved=1"));
            }
            Ok(Saved::AlreadyThere | Saved::ChangedMeanwhile { .. } | Saved::Gone) => {}
            Err(failed) => {
                let what = explained(&failed);
                return desk.sorry(opened, StatusCode::INTERNAL_SERVER_ERROR, &what);
            }
        }
    }
    let what = label(&opened.words, "desk.visit.no-name");
    desk.sorry(opened, StatusCode::CONFLICT, &what)
}

/// One place that differs.
#[derive(Debug, Serialize)]
struct Differs {
    field: String,
    label: String,
    mine: String,
    theirs: String,
    /// `mine` or `theirs` where only one side changed it, or somebody has chosen; empty: to be chosen.
    chosen: String,
    who: &'static str,
}

/// Both versions side by side; nothing is saved.
fn changed(
    desk: &Desk,
    opened: &Opened,
    draft: &Draft,
    file: &str,
    now: &str,
    chosen: &[(String, Choice)],
) -> Answer {
    let vocabulary = opened.practice.vocabulary();
    let form_of = |text: &str| {
        SourceFile::from_bytes(file, text.as_bytes(), draft.format)
            .ok()
            .and_then(|source| PlanForm::of(&source, vocabulary).ok())
    };
    let (Some(base), Some(theirs)) = (form_of(&draft.base), form_of(now)) else {
        let what = label(&opened.words, "desk.changed.not-readable");
        return desk.sorry(opened, StatusCode::CONFLICT, &what);
    };
    let differences = plan_form::differences(&base, &draft.form, &theirs, vocabulary);
    let nothing = label(&opened.words, "desk.changed.nothing");
    let shown = |texts: &[String]| match texts {
        [] => nothing.clone(),
        some => some.join(", "),
    };
    let rows: Vec<Differs> = differences
        .iter()
        .map(|differs| {
            let picked = chosen.iter().find(|(field, _)| *field == differs.field);
            let chosen = match (differs.who, picked) {
                (_, Some((_, Choice::Mine))) | (Who::OnlyMine, None) => "mine",
                (_, Some((_, Choice::Theirs))) | (Who::OnlyTheirs, None) => "theirs",
                (Who::Both, None) => "",
            };
            Differs {
                label: name_of(opened, &differs.field),
                field: differs.field.clone(),
                mine: shown(&differs.mine),
                theirs: shown(&differs.theirs),
                chosen: chosen.to_owned(),
                who: match differs.who {
                    Who::OnlyMine => "mine",
                    Who::OnlyTheirs => "theirs",
                    Who::Both => "both",
                },
            }
        })
        .collect();
    let open = rows.iter().filter(|row| row.chosen.is_empty()).count();
    let mine: Vec<(String, String)> = draft
        .form
        .pairs()
        .map(|(name, value)| (name.to_owned(), value.to_owned()))
        .collect();
    let title = draft.form.get("patient.name").unwrap_or(file).to_owned();
    let frame = desk.frame(opened, "to-answer", title);
    let data = json!({
        "code": draft.code,
        "base": Value::from(draft.base.as_str()).to_string(),
        "theirs": Value::from(now).to_string(),
        "rows": rows,
        "open": open,
        "mine": mine,
    });
    opened.pages.page("changed.html", &frame, data)
}

/// What a field is called; a part of an area or an entry is called after both.
fn name_of(opened: &Opened, field: &str) -> String {
    let words = &opened.words;
    let own = |id: &str| words.has(id).then(|| label(words, id));
    let parts: Vec<&str> = field.split('.').collect();
    match parts.as_slice() {
        ["area", area] | ["area", area, _] => {
            let known = opened
                .practice
                .catalogue()
                .areas
                .iter()
                .find(|known| known.id == **area);
            let area = known.map_or_else(
                || (*area).to_owned(),
                |area| label(words, crate::domain::LabelId::area_name(&area.id).as_str()),
            );
            match parts
                .get(2)
                .and_then(|key| own(&format!("desk.area.{key}")))
            {
                Some(key) => format!("{area}: {key}"),
                None => area,
            }
        }
        ["fact", fact, ..] => own(&format!("fact.{fact}")).unwrap_or_else(|| field.to_owned()),
        ["answer", _, key] => {
            let part = match *key {
                "because" => "desk.beside.reason",
                "by" => "desk.beside.by",
                "on" => "desk.beside.on",
                _ => "desk.beside.your-answer",
            };
            label(words, part)
        }
        ["patient" | "visit" | "product" | "asked", _] => match of_the_form(field) {
            Some(id) => label(words, id),
            None => field.to_owned(),
        },
        [group, _, key] => own(&format!("desk.{group}.{key}")).unwrap_or_else(|| field.to_owned()),
        _ => own(&format!("desk.changed.{field}")).unwrap_or_else(|| field.to_owned()),
    }
}

/// The word that stands beside a field of the form.
fn of_the_form(field: &str) -> Option<&'static str> {
    Some(match field {
        "patient.name" => "desk.visit.name",
        "patient.born" => "desk.visit.born",
        "patient.record" => "desk.visit.record",
        "patient.language" => "desk.visit.language",
        "patient.large_print" => "desk.visit.large-print",
        "visit.date" => "desk.visit.day",
        "visit.time" => "desk.visit.time",
        "visit.informed_on" => "desk.visit.informed",
        "visit.informed_at" => "desk.visit.informed-at",
        "visit.practitioner" => "desk.visit.practitioner",
        "visit.prescriber" => "desk.visit.prescriber",
        "visit.prescriber_saw_on" => "desk.visit.prescriber-saw",
        "visit.revision" => "desk.visit.revision",
        "product.name" => "desk.visit.product-heading",
        "product.vial_units" => "desk.visit.vial",
        "product.diluent_ml" => "desk.visit.diluent",
        "product.formulation" => "desk.visit.formulation",
        "product.batch" => "desk.visit.batch",
        "asked.by" => "desk.asked.by",
        "asked.on" => "desk.asked.on",
        _ => return None,
    })
}

/// Saves what was chosen of two versions.
pub(in crate::desk) fn merge(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let draft = Draft::sent(desk, opened, asked);
        let theirs = super::draft::carried(asked.field("desk.theirs"));
        let gone = || {
            let what = label(&opened.words, "desk.visit.gone");
            desk.sorry(opened, StatusCode::CONFLICT, &what)
        };
        let Some(file) = draft.file.clone() else {
            return gone();
        };
        match asked.field("desk.do") {
            Some("take-theirs") => {
                let code = code_of(desk.gateway.secret(), &file);
                return Answer::See(format!("visit/{code}"));
            }
            Some("second-file") => {
                let text = draft.judge(opened).text;
                return write_new(desk, opened, &draft, &text);
            }
            _ => {}
        }
        let vocabulary = opened.practice.vocabulary();
        let base = SourceFile::from_bytes(&file, draft.base.as_bytes(), draft.format)
            .ok()
            .and_then(|source| PlanForm::of(&source, vocabulary).ok());
        let Some(base) = base else {
            return gone();
        };
        let chosen: BTreeMap<String, Choice> = asked
            .fields
            .iter()
            .filter_map(|(name, value)| {
                let field = name.strip_prefix("desk.choose.")?;
                let choice = match value.as_str() {
                    "mine" => Choice::Mine,
                    "theirs" => Choice::Theirs,
                    _ => return None,
                };
                Some((field.to_owned(), choice))
            })
            .collect();
        let merged = plan_form::merge(
            &base,
            &draft.form,
            &theirs,
            draft.format,
            &chosen,
            vocabulary,
        );
        match merged {
            Ok(text) => {
                // what was chosen may go together badly; it is saved all the same, and the form says what is wrong
                let text = judged(opened, &file, text, draft.format).text;
                let draft = Draft {
                    base: theirs,
                    ..draft
                };
                write_over(desk, opened, asked, &draft, &file, &text)
            }
            Err(NotMerged::NotChosen(_)) => {
                let chosen: Vec<(String, Choice)> = chosen.into_iter().collect();
                changed(desk, opened, &draft, &file, &theirs, &chosen)
            }
            Err(NotMerged::NotReadable) => gone(),
        }
    })
}
