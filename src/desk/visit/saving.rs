//! Turns a form into the file of its plan, or into the two versions of it that somebody must choose from.
//! Invariant: a file is written only where it still holds what the form began from; what was typed is in the answer otherwise.
//! Must not: choose between two versions.

use std::collections::BTreeMap;

use axum::http::StatusCode;
use serde::Serialize;
use serde_json::{Value, json};

use super::draft::{Draft, form_of};
use super::fields::OF_THE_DESK;
use super::{Shown, Spoken, screen};
use crate::desk::asking::{Answer, Asked};
use crate::desk::capital;
use crate::desk::house::{Opened, code_of};
use crate::desk::{Desk, label};
use crate::diagnose::{Diagnostic, Format};
use crate::plan_form::{self, Choice, NotMerged, Who};
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
            Some(file) => {
                let file = file.clone();
                write_over(desk, opened, asked, draft, &file, &judged.text)
            }
            None if draft.code.is_some() => gone(desk, opened, asked, draft),
            None => write_new(desk, opened, asked, &draft, &judged.text),
        }
    })
}

/// The file is not there any more: what was typed stands in the form of a new one.
fn gone(desk: &Desk, opened: &Opened, asked: &Asked, draft: Draft) -> Answer {
    let draft = Draft {
        code: None,
        file: None,
        format: Format::Toml,
        base: match draft.format {
            Format::Toml => draft.base,
            // a new file is TOML
            Format::Json => String::new(),
        },
        ..draft
    };
    let shown = Shown {
        gone: true,
        part: asked.field("desk.part").is_some(),
        ..Shown::default()
    };
    screen(desk, opened, &draft, shown)
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
    draft: Draft,
    file: &str,
    text: &str,
) -> Answer {
    let path = desk.house.folder().join(file);
    match save_plan(&path, Some(&draft.base), text) {
        Ok(Saved::Written) => after(desk, asked, file),
        Ok(Saved::ChangedMeanwhile { now }) => {
            changed(desk, opened, asked, &draft, file, &now, &[])
        }
        Ok(Saved::Gone | Saved::AlreadyThere) => gone(desk, opened, asked, draft),
        Err(failed) => desk.sorry(
            opened,
            StatusCode::INTERNAL_SERVER_ERROR,
            &explained(&failed),
        ),
    }
}

fn write_new(desk: &Desk, opened: &Opened, asked: &Asked, draft: &Draft, text: &str) -> Answer {
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
                return after(desk, asked, file);
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

/// Both versions side by side; nothing is saved. Of the front desk's part only that: what is clinical is taken from the file.
fn changed(
    desk: &Desk,
    opened: &Opened,
    asked: &Asked,
    draft: &Draft,
    file: &str,
    now: &str,
    chosen: &[(String, Choice)],
) -> Answer {
    let vocabulary = opened.practice.vocabulary();
    let as_form = |text: &str| form_of(opened, Some(file), text, draft.format);
    let (Some(base), Some(theirs)) = (as_form(&draft.base), as_form(now)) else {
        let what = label(&opened.words, "desk.changed.not-readable");
        return desk.sorry(opened, StatusCode::CONFLICT, &what);
    };
    let part = asked.field("desk.part").is_some();
    let shows = |field: &str| !part || OF_THE_DESK.contains(&field);
    let differences = plan_form::differences(&base, &draft.form, &theirs, vocabulary);
    let spoken = Spoken::of(opened, draft);
    let shown = |field: &str, texts: &[String]| match texts {
        [] => label(&opened.words, "desk.changed.nothing"),
        some => {
            let some = some.iter().map(|text| said(opened, &spoken, field, text));
            some.collect::<Vec<_>>().join(", ")
        }
    };
    let rows: Vec<Differs> = differences
        .iter()
        .filter(|differs| shows(&differs.field))
        .map(|differs| {
            let picked = chosen.iter().find(|(field, _)| *field == differs.field);
            let chosen = match (differs.who, picked) {
                (_, Some((_, Choice::Mine))) | (Who::OnlyMine, None) => "mine",
                (_, Some((_, Choice::Theirs))) | (Who::OnlyTheirs, None) => "theirs",
                (Who::Both, None) => "",
            };
            Differs {
                label: name_of(opened, &spoken.labels, &differs.field),
                field: differs.field.clone(),
                mine: shown(&differs.field, &differs.mine),
                theirs: shown(&differs.field, &differs.theirs),
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
        .filter(|(name, _)| shows(name))
        .map(|(name, value)| (name.to_owned(), value.to_owned()))
        .collect();
    let title = draft.form.get("patient.name").unwrap_or(file).to_owned();
    let frame = desk.frame(opened, if part { "day" } else { "to-answer" }, title);
    let data = json!({
        "part": part,
        "code": draft.code,
        "base": Value::from(draft.base.as_str()).to_string(),
        "theirs": Value::from(now).to_string(),
        "rows": rows,
        "open": open,
        "mine": mine,
    });
    opened.pages.page("changed.html", &frame, data)
}

/// What stands in a field, as its form would say it; of a whole area or entry with the name of each field.
fn said(opened: &Opened, spoken: &Spoken, field: &str, text: &str) -> String {
    let parts: Vec<&str> = field.split('.').collect();
    if let ([group @ ("area" | "event" | "history" | "answer"), _], Some((key, value))) =
        (parts.as_slice(), text.split_once(": "))
    {
        let of = format!("{field}.{key}");
        let name = match *group {
            "answer" => of_answer(key).to_owned(),
            group => format!("desk.{group}.{key}"),
        };
        return format!(
            "{}: {}",
            label(&opened.words, &name),
            said(opened, spoken, &of, value)
        );
    }
    let words = &opened.words;
    if let Some(known) = spoken.choice(field, text) {
        return known.to_owned();
    }
    if let Ok(day) = text.parse() {
        return words.formats().short_date(day);
    }
    let known = match parts.as_slice() {
        ["answer", _, "decision"] => format!("clinician.decide.{text}"),
        [.., key] => format!("desk.{key}.{text}"),
        [] => String::new(),
    };
    let people = &opened.practice.clinic().practitioners;
    match people.iter().find(|person| person.id.as_str() == text) {
        Some(person) => person.name.clone(),
        None if words.has(&known) => label(words, &known),
        None => text.to_owned(),
    }
}

/// What a part of an answer is called.
fn of_answer(key: &str) -> &'static str {
    match key {
        "decision" => "desk.beside.your-answer",
        "because" => "desk.beside.reason",
        "by" => "desk.beside.by",
        "on" => "desk.beside.on",
        _ => "desk.beside.because",
    }
}

/// What a field is called where it does not stand in its form: with what it is a part of.
fn name_of(opened: &Opened, labels: &BTreeMap<String, String>, field: &str) -> String {
    let say = |id: &str| label(&opened.words, id);
    let parts: Vec<&str> = field.split('.').collect();
    let of = |whole: &str, id: &str| format!("{}: {}", say(whole), say(id));
    let name = match parts.as_slice() {
        ["area"] => say("desk.changed.area"),
        ["event", _, key] => of("desk.event.heading", &format!("desk.event.{key}")),
        ["history", _, key] => of("desk.history.heading", &format!("desk.history.{key}")),
        ["answer", _, key] => of("desk.jump.decide", of_answer(key)),
        ["area", area] => {
            let mut known = opened.practice.catalogue().areas.iter();
            match known.find(|known| known.id == **area) {
                Some(known) => say(crate::domain::LabelId::area_name(&known.id).as_str()),
                None => (*area).to_owned(),
            }
        }
        ["event", _] => say("desk.event.heading"),
        ["history", _] => say("desk.history.heading"),
        ["answer", _] => say("desk.jump.decide"),
        ["asked", key] => of("desk.asked.heading", &format!("desk.asked.{key}")),
        _ => match labels.get(field) {
            Some(label) => label.clone(),
            None => field.to_owned(),
        },
    };
    capital(&name)
}

/// Saves what was chosen of two versions.
pub(in crate::desk) fn merge(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let draft = Draft::sent(desk, opened, asked);
        let theirs = super::draft::carried(asked.field("desk.theirs"));
        let Some(file) = draft.file.clone() else {
            return gone(desk, opened, asked, draft);
        };
        match asked.field("desk.do") {
            Some("take-theirs") => {
                let code = code_of(desk.gateway.secret(), &file);
                let part = asked.field("desk.part").map_or("", |_| "?part=desk");
                return Answer::See(format!("visit/{code}{part}"));
            }
            Some("second-file") => {
                let text = draft.judge(opened).text;
                return write_new(desk, opened, asked, &draft, &text);
            }
            _ => {}
        }
        let vocabulary = opened.practice.vocabulary();
        let as_form = |text: &str| form_of(opened, Some(&file), text, draft.format);
        let Some(base) = as_form(&draft.base) else {
            return gone(desk, opened, asked, draft);
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
                // should it have changed again, mine is what was chosen: what it began with is no choice any more
                let form = as_form(&text);
                let draft = Draft {
                    base: theirs,
                    form: form.unwrap_or(draft.form),
                    ..draft
                };
                write_over(desk, opened, asked, draft, &file, &text)
            }
            Err(NotMerged::NotChosen(_)) => {
                let chosen: Vec<(String, Choice)> = chosen.into_iter().collect();
                changed(desk, opened, asked, &draft, &file, &theirs, &chosen)
            }
            Err(NotMerged::NotReadable) => {
                let what = label(&opened.words, "desk.changed.not-readable");
                desk.sorry(opened, StatusCode::CONFLICT, &what)
            }
        }
    })
}
