//! Turns the plan of one visit into a form beside what follows from it, and the form back into the plan's file.
//! Invariant: nothing is written over that somebody else has changed meanwhile; what was typed comes back with every mistake.
//! Must not: judge a plan, or hold a rule about areas, doses or questions.

mod area_fields;
mod beside;
mod draft;
mod entries;
mod fields;
mod preview;
mod saving;

use std::collections::BTreeMap;

use axum::http::StatusCode;
use serde::Serialize;
use serde_json::{Value, json};

use super::asking::{Answer, Asked};
use super::house::Opened;
use super::{Desk, capital, label, line, mistake_in_file, mistake_said};
use crate::diagnose::{Code, SourceFile};
use crate::phone_page::{Picked, face_to_pick};
use crate::plan_form::{self, PlanForm};
use crate::practice::explained;
use draft::{Draft, Judged};
use fields::{Field, Fields};

pub(super) use preview::{Previews, at, page, preview};
pub(super) use saving::{merge, save};

/// One mistake, for the list over the form.
#[derive(Debug, Serialize)]
struct Mistake {
    /// Its field; empty where it has none.
    field: String,
    label: String,
    what: String,
    line: Option<usize>,
}

/// How a form is shown.
#[derive(Debug, Clone, Copy, Default)]
struct Shown {
    /// It was saved a moment ago.
    saved: bool,
    /// Somebody tried to save it, and it has mistakes.
    refused: bool,
    /// Only what the front desk may change.
    part: bool,
    /// With the pages of its papers.
    papers: bool,
    /// It begins from an earlier visit.
    next_round: bool,
    /// Its file was taken away while it was open.
    gone: bool,
}

/// Mistakes of a draft, told.
struct Told {
    by_field: BTreeMap<String, Vec<String>>,
    /// In the order of the file.
    all: Vec<Mistake>,
}

/// The mistakes of a draft by field.
fn by_field(opened: &Opened, draft: &Draft, judged: &Judged) -> Told {
    let mut told = Told {
        by_field: BTreeMap::new(),
        all: Vec::new(),
    };
    for found in &judged.found {
        let what = mistake_said(&opened.words, found);
        let field = draft.field_of(judged, opened, found).unwrap_or_default();
        if !field.is_empty() {
            let of_field = told.by_field.entry(field.clone()).or_default();
            of_field.push(what.clone());
        }
        told.all.push(Mistake {
            field,
            label: String::new(),
            what,
            line: found.line(),
        });
    }
    told
}

pub(super) fn show(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let code = asked.named.first().map_or("", String::as_str);
        let Some(file) = desk.file_of(code) else {
            let what = label(&opened.words, "desk.visit.gone");
            return desk.sorry(opened, StatusCode::NOT_FOUND, &what);
        };
        let path = desk.house.folder().join(&file);
        let source = match SourceFile::open(&path) {
            Ok(source) => source,
            Err(error) => {
                let what = explained(&error);
                return desk.sorry(opened, StatusCode::CONFLICT, &what);
            }
        };
        let shown = Shown {
            saved: asked.field("saved").is_some(),
            part: asked.field("part").is_some(),
            papers: asked.field("papers").is_some(),
            ..Shown::default()
        };
        match Draft::of_file(opened, code, &file, &source) {
            Ok(draft) => screen(desk, opened, &draft, shown),
            Err(_) => as_text(desk, opened, &file, &source, shown.part),
        }
    })
}

/// A file whose lines cannot be understood is shown as it is, with what is wrong in it; to the front desk only
/// which lines are wrong: what they say may be anything, and so may be what is asked for in their place.
fn as_text(desk: &Desk, opened: &Opened, file: &str, source: &SourceFile, part: bool) -> Answer {
    let judged = draft::judged(opened, file, source.text().to_owned(), source.format());
    let mistakes: Vec<Value> = judged
        .found
        .iter()
        .filter(|found| !part || matches!(found.code, Code::Syntax | Code::DuplicateKey))
        .map(|found| match part {
            true => {
                let what = mistake_said(&opened.words, found);
                json!({ "line": found.line(), "what": what, "exactly": null })
            }
            false => mistake_in_file(&opened.words, found),
        })
        .collect();
    let lines: Vec<&str> = source.text().lines().filter(|_| !part).collect();
    let place = if part { "day" } else { "to-answer" };
    let frame = desk.frame(opened, place, file.to_owned());
    let data = json!({ "file": file, "mistakes": mistakes, "lines": lines });
    opened.pages.page("as-text.html", &frame, data)
}

pub(super) fn new(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let mut form = PlanForm::new();
        let clinic = opened.practice.clinic();
        let day = asked.filled("date").and_then(plan_form::typed_date);
        let day = day.or(desk.today().tomorrow().ok());
        form.set("visit.date", day.map(|day| day.to_string()));
        if let [only] = clinic.practitioners.as_slice() {
            form.set("visit.practitioner", [only.id.to_string()]);
        }
        if let [only] = fields::stocked(clinic).as_slice() {
            form.set("product.name", [only.clone()]);
        }
        screen(desk, opened, &Draft::new(form), Shown::default())
    })
}

/// A new visit from an earlier one; first on which day.
pub(super) fn next_round(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let code = asked.named.first().map_or("", String::as_str);
        let gone = || {
            let what = label(&opened.words, "desk.visit.gone");
            desk.sorry(opened, StatusCode::NOT_FOUND, &what)
        };
        let Some(file) = desk.file_of(code) else {
            return gone();
        };
        let Ok(source) = SourceFile::open(desk.house.folder().join(&file)) else {
            return gone();
        };
        let Ok(earlier) = PlanForm::of(&source, opened.practice.vocabulary()) else {
            return as_text(desk, opened, &file, &source, false);
        };
        let day = asked.filled("date").and_then(plan_form::typed_date);
        match day {
            Some(day) => {
                let form = plan_form::next_round(&earlier, day);
                let shown = Shown {
                    next_round: true,
                    ..Shown::default()
                };
                screen(desk, opened, &Draft::new(form), shown)
            }
            None => {
                let name = earlier.get("patient.name").unwrap_or_default();
                let title = line(&opened.words, "desk.next.title", json!({ "name": name }));
                let frame = desk.frame(opened, "to-answer", title);
                let again = asked.filled("date").map(|text| {
                    line(&opened.words, "desk.day.no-day", json!({ "text": text }))
                });
                let data = json!({ "code": code, "mistake": again, "typed": asked.field("date").unwrap_or_default() });
                opened.pages.page("next-round.html", &frame, data)
            }
        }
    })
}

/// What follows from a form while it is being filled in.
pub(super) fn work_out(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let draft = Draft::sent(desk, opened, asked);
        let judged = draft.judge(opened);
        let Told {
            by_field: mistakes,
            all,
        } = by_field(opened, &draft, &judged);
        let fields = Fields::new(opened, &draft, &mistakes);
        let beside = beside::of(desk, opened, &draft, &judged);
        let frame = desk.frame(opened, "", String::new());
        let all_fields = [fields.patient(), fields.visit()].concat();
        let notes: BTreeMap<String, String> = all_fields
            .into_iter()
            .chain(fields.events().into_iter().flat_map(|entry| entry.fields))
            .filter(|field| !field.note.is_empty())
            .map(|field| (field.name, field.note))
            .collect();
        let matter = opened.practice.facts_for(draft.form.all("area"));
        let matter: Vec<&str> = matter.iter().map(|fact| fact.id.as_str()).collect();
        match opened.pages.fill(
            "beside.html",
            &frame,
            json!({ "beside": beside, "code": draft.code }),
        ) {
            Ok(html) => Answer::Data(json!({
                "beside": html,
                "state": beside.state,
                "frame": beside.frame,
                "mistakes": mistakes,
                "count": all.len(),
                "notes": notes,
                "matter": matter,
            })),
            Err(error) => Answer::Sorry(StatusCode::INTERNAL_SERVER_ERROR, error.to_string()),
        }
    })
}

/// The form with everything around it.
fn screen(desk: &Desk, opened: &Opened, draft: &Draft, shown: Shown) -> Answer {
    let words = &opened.words;
    let judged = draft.judge(opened);
    let Told {
        by_field: mistakes,
        all,
    } = by_field(opened, draft, &judged);
    // a new form is not scolded before anybody has written in it
    let tell = shown.refused || draft.code.is_some();
    let none = BTreeMap::new();
    let fields = Fields::new(opened, draft, if tell { &mistakes } else { &none });
    let matter = opened.practice.facts_for(draft.form.all("area"));
    let sections = Sections::of(&fields);
    let (areas, questions) = (fields.areas(), fields.questions(&matter));
    let (events, history) = (fields.events(), fields.history());
    let mut labels = labels_of(&sections, &areas, &questions, &events, &history);
    labels.insert("area".to_owned(), label(words, "desk.jump.areas"));
    // in a list it stands without its heading, beside the name of the patient
    let product = label(words, "desk.visit.product-heading");
    labels.insert("product.name".to_owned(), product);
    let told = all.into_iter().filter(|_| tell).map(|mut mistake| {
        match labels.get(&mistake.field) {
            Some(label) => mistake.label = label.clone(),
            // it has no place on the screen
            None => mistake.field.clear(),
        }
        mistake
    });
    // what is clinical is not the front desk's to see; how much of it there is, is
    let (mut told, elsewhere): (Vec<Mistake>, Vec<Mistake>) = told
        .partition(|mistake| !shown.part || fields::OF_THE_DESK.contains(&mistake.field.as_str()));
    if let Some(question) = &draft.incomplete {
        told.push(Mistake {
            field: format!("decide.{question}.because"),
            label: label(words, "desk.beside.your-answer"),
            what: label(words, "desk.beside.incomplete"),
            line: None,
        });
    }
    let beside = beside::of(desk, opened, draft, &judged);
    let name = draft.form.get("patient.name");
    let title = match name {
        Some(name) => name.to_owned(),
        None => label(words, "desk.visit.new"),
    };
    let formats = words.formats();
    let mut when: Vec<String> = Vec::new();
    when.extend(
        fields
            .date("visit.date")
            .map(|day| capital(&formats.weekday_date(day))),
    );
    when.extend(draft.form.get("visit.time").map(str::to_owned));
    let papers = match (shown.papers, &judged.visit) {
        (true, Some(visit)) => Some(preview::papers(desk, opened, visit)),
        _ => None,
    };
    let place = if shown.part { "day" } else { "to-answer" };
    let frame = desk.frame(opened, place, title);
    let side = |id: &str| draft.form.get(&format!("area.{id}.side")).unwrap_or("");
    let picked: Vec<Picked<'_>> = areas
        .iter()
        .filter_map(|area| {
            Some(Picked {
                area: &area.id,
                number: area.number?,
                side: side(&area.id),
            })
        })
        .collect();
    let data = json!({
        "code": draft.code,
        "file": draft.file,
        "base": Value::from(draft.base.as_str()).to_string(),
        "when": when.join(", "),
        "shown": { "saved": shown.saved, "refused": shown.refused, "part": shown.part, "next_round": shown.next_round, "gone": shown.gone },
        "mistakes": told,
        "elsewhere": elsewhere.len(),
        "sections": sections,
        "areas": areas,
        "face": face_to_pick(opened.practice.catalogue().areas.iter(), &picked),
        "questions": questions,
        "matter": questions.iter().filter(|question| question.matters).count(),
        "events": events,
        "history": history,
        "answers": kept_answers(draft),
        "beside": beside,
        "papers": papers,
        "training": opened.practice.clinic().training,
    });
    opened.pages.page("visit.html", &frame, data)
}

#[derive(Debug, Serialize)]
struct Sections {
    patient: Vec<Field>,
    visit: Vec<Field>,
    prescribing: Vec<Field>,
    product: Vec<Field>,
    asked: Vec<Field>,
}

impl Sections {
    fn of(fields: &Fields<'_>) -> Sections {
        Sections {
            patient: fields.patient(),
            visit: fields.visit(),
            prescribing: fields.prescribing(),
            product: fields.product(),
            asked: fields.asked(),
        }
    }

    fn all(&self) -> impl Iterator<Item = &Field> {
        [
            &self.patient,
            &self.visit,
            &self.prescribing,
            &self.product,
            &self.asked,
        ]
        .into_iter()
        .flatten()
    }
}

/// How the fields of a draft are spoken of where they do not stand in their form.
struct Spoken {
    labels: BTreeMap<String, String>,
    /// By what the field is, whichever entry it is of, and the value chosen in it.
    choices: BTreeMap<(String, String), String>,
}

impl Spoken {
    fn of(opened: &Opened, draft: &Draft) -> Spoken {
        let none = BTreeMap::new();
        let fields = Fields::new(opened, draft, &none);
        let sections = Sections::of(&fields);
        let (areas, questions) = (fields.areas(), fields.questions(&[]));
        let (events, history) = (fields.events(), fields.history());
        let entries = events
            .iter()
            .chain(&history)
            .flat_map(|entry| &entry.fields);
        let all = sections.all().chain(entries);
        let all = all.chain(areas.iter().flat_map(|area| &area.fields));
        let fields = all.map(|field| (field.name.clone(), &field.options));
        let sides = areas
            .iter()
            .map(|area| (format!("area.{}.side", area.id), &area.sides));
        let answers = questions
            .iter()
            .map(|question| (format!("fact.{}", question.fact), &question.choices));
        let mut choices: BTreeMap<(String, String), String> = fields
            .chain(sides)
            .chain(answers)
            .flat_map(|(name, options)| {
                let of = move |one: &fields::Choice| {
                    (
                        (without_number(&name), one.value.clone()),
                        one.label.clone(),
                    )
                };
                options.iter().map(of).collect::<Vec<_>>()
            })
            .collect();
        for area in &areas {
            choices.insert(("area".to_owned(), area.id.clone()), area.name.clone());
        }
        Spoken {
            labels: labels_of(&sections, &areas, &questions, &[], &[]),
            choices,
        }
    }

    fn choice(&self, field: &str, value: &str) -> Option<&str> {
        let key = (without_number(field), value.to_owned());
        self.choices.get(&key).map(String::as_str)
    }
}

/// `history.2.product` as `history.product`.
fn without_number(field: &str) -> String {
    let is_number = |part: &&str| part.parse::<usize>().is_ok();
    let parts: Vec<&str> = field.split('.').filter(|part| !is_number(part)).collect();
    parts.join(".")
}

/// What every field is called in a list of mistakes.
fn labels_of(
    sections: &Sections,
    areas: &[fields::AreaFields],
    questions: &[fields::Question],
    events: &[fields::Entry],
    history: &[fields::Entry],
) -> BTreeMap<String, String> {
    let mut labels = BTreeMap::new();
    let entries = events.iter().chain(history).flat_map(|entry| &entry.fields);
    for field in sections.all().chain(entries) {
        labels.insert(field.name.clone(), field.label.clone());
    }
    for area in areas {
        for field in &area.fields {
            labels.insert(
                field.name.clone(),
                format!("{}: {}", area.name, field.label),
            );
        }
        labels.insert(format!("area.{}.side", area.id), area.name.clone());
    }
    for question in questions {
        labels.insert(format!("fact.{}", question.fact), question.short.clone());
        if let Some(more) = &question.more {
            labels.insert(more.name.clone(), question.short.clone());
        }
    }
    labels
}

/// The answers that the plan has, carried along as they are.
fn kept_answers(draft: &Draft) -> Vec<(String, String)> {
    let of_answers = |(name, _): &(&str, &str)| name.starts_with("answer.");
    let pairs = draft.form.pairs().filter(of_answers);
    pairs
        .map(|(name, value)| (name.to_owned(), value.to_owned()))
        .collect()
}
