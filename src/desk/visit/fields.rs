//! Turns a draft and what was found in it into fields with their labels, values, notes and mistakes.
//! Invariant: every field of a plan has one place on the screen, and shows what is in it even when that is on none of its lists.
//! Must not: judge a value.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::json;

use super::draft::Draft;
use crate::desk::house::Opened;
use crate::desk::{label, line};
use crate::domain::{Formulation, LabelId};
use crate::plan::Clinic;
use crate::plan_form::{PlanForm, settled};
use crate::wording::Wording;

/// What the front desk may change: who comes and when.
pub(super) const OF_THE_DESK: &[&str] = &[
    "patient.name",
    "patient.born",
    "patient.record",
    "patient.language",
    "patient.large_print",
    "visit.date",
    "visit.time",
    "visit.informed_on",
    "visit.informed_at",
    "visit.practitioner",
];

/// The products that a clinic stocks, each once.
pub(super) fn stocked(clinic: &Clinic) -> Vec<String> {
    let all = clinic.stock.iter().map(|stock| stock.product.to_string());
    let mut names: Vec<String> = all.collect();
    names.sort();
    names.dedup();
    names
}

/// One field.
#[derive(Debug, Clone, Serialize)]
pub(super) struct Field {
    pub name: String,
    pub label: String,
    pub kind: &'static str,
    pub value: String,
    pub options: Vec<Choice>,
    pub note: String,
    pub mistakes: Vec<String>,
    /// Columns of twelve.
    pub wide: u8,
}

#[derive(Debug, Clone, Serialize)]
pub(super) struct Choice {
    pub value: String,
    pub label: String,
    pub chosen: bool,
}

/// One area with its box and its fields.
#[derive(Debug, Serialize)]
pub(super) struct AreaFields {
    pub id: String,
    pub name: String,
    pub muscles: String,
    pub planned: bool,
    /// Of those that are planned, from 1.
    pub number: Option<usize>,
    pub sides: Vec<Choice>,
    pub side_mistakes: Vec<String>,
    pub fields: Vec<Field>,
}

/// One question about the patient.
#[derive(Debug, Serialize)]
pub(super) struct Question {
    pub fact: String,
    pub text: String,
    /// What it is called when it stands in a list.
    pub short: String,
    /// Matters for what is planned.
    pub matters: bool,
    pub said: &'static str,
    pub choices: Vec<Choice>,
    /// The words or the number that go with a yes; none where there are none.
    pub more: Option<Field>,
    pub mistakes: Vec<String>,
}

/// An earlier treatment, or something planned.
#[derive(Debug, Serialize)]
pub(super) struct Entry {
    pub title: String,
    pub is_new: bool,
    pub fields: Vec<Field>,
}

/// Makes the fields of one draft.
pub(super) struct Fields<'f> {
    pub opened: &'f Opened,
    pub draft: &'f Draft,
    /// As it reads once it is written.
    settled: PlanForm,
    /// By field.
    mistakes: &'f BTreeMap<String, Vec<String>>,
}

impl<'f> Fields<'f> {
    pub fn new(
        opened: &'f Opened,
        draft: &'f Draft,
        mistakes: &'f BTreeMap<String, Vec<String>>,
    ) -> Fields<'f> {
        Fields {
            opened,
            draft,
            settled: settled(&draft.form, opened.practice.vocabulary()),
            mistakes,
        }
    }

    pub(super) fn words(&self) -> &Wording {
        &self.opened.words
    }

    pub(super) fn label(&self, id: &str) -> String {
        label(self.words(), id)
    }

    pub(super) fn mistakes_of(&self, name: &str) -> Vec<String> {
        self.mistakes.get(name).cloned().unwrap_or_default()
    }

    pub(super) fn field(&self, name: &str, label: &str, kind: &'static str, wide: u8) -> Field {
        Field {
            name: name.to_owned(),
            label: self.label(label),
            kind,
            value: self.draft.form.get(name).unwrap_or_default().to_owned(),
            options: Vec::new(),
            note: String::new(),
            mistakes: self.mistakes_of(name),
            wide,
        }
    }

    pub(super) fn text(&self, name: &str, label: &str, wide: u8) -> Field {
        self.field(name, label, "text", wide)
    }

    pub(super) fn number(&self, name: &str, label: &str, wide: u8) -> Field {
        self.field(name, label, "number", wide)
    }

    /// A day, written with the month in letters; its weekday stands above.
    pub(super) fn day(&self, name: &str, label: &str, wide: u8) -> Field {
        let mut field = self.field(name, label, "text", wide);
        if let Some(day) = self.date(name) {
            let formats = self.words().formats();
            field.value = formats.short_date(day);
            let weekday = formats.weekday_date(day);
            field.note = match weekday.split_once([',', ' ']) {
                Some((weekday, _)) => weekday.to_owned(),
                None => weekday,
            };
        }
        field
    }

    /// The day in a field, where there is one.
    pub fn date(&self, name: &str) -> Option<jiff::civil::Date> {
        self.settled.get(name)?.parse().ok()
    }

    pub(super) fn select(
        &self,
        name: &str,
        label: &str,
        wide: u8,
        options: impl IntoIterator<Item = (String, String)>,
    ) -> Field {
        let mut field = self.field(name, label, "select", wide);
        field.options = self.choices(name, options);
        field
    }

    /// What can be chosen; what stands in the field and is on no list stays, so that it is not lost and can be mended.
    pub(super) fn choices(
        &self,
        name: &str,
        options: impl IntoIterator<Item = (String, String)>,
    ) -> Vec<Choice> {
        let chosen = self.draft.form.get(name).unwrap_or_default();
        let mut options: Vec<Choice> = options
            .into_iter()
            .map(|(value, label)| Choice {
                chosen: value == chosen,
                value,
                label,
            })
            .collect();
        if !options.iter().any(|option| option.chosen) && !chosen.is_empty() {
            options.push(Choice {
                value: chosen.to_owned(),
                label: chosen.to_owned(),
                chosen: true,
            });
        }
        options
    }

    /// An empty choice first.
    pub(super) fn or_none(&self, none: &str) -> std::iter::Once<(String, String)> {
        std::iter::once((String::new(), self.label(none)))
    }

    pub fn patient(&self) -> Vec<Field> {
        let languages = crate::wording::library::tags()
            .map(|tag| (tag.to_owned(), self.label(LabelId::language(tag).as_str())));
        let own = self.label(LabelId::language(self.words().base()).as_str());
        let own = line(
            self.words(),
            "desk.visit.own-language",
            json!({ "language": own }),
        );
        let mut born = self.day("patient.born", "desk.visit.born", 12);
        if let (Some(day), Some(visit)) = (self.date("patient.born"), self.date("visit.date")) {
            let age = crate::plan::age_on(day, visit);
            born.note = line(self.words(), "desk.visit.age", json!({ "years": age }));
        }
        let mut large = self.field("patient.large_print", "desk.visit.large-print", "check", 12);
        large.value = "yes".to_owned();
        large.options = vec![Choice {
            value: "yes".to_owned(),
            label: large.label.clone(),
            chosen: self.draft.form.get("patient.large_print") == Some("yes"),
        }];
        vec![
            self.text("patient.name", "desk.visit.name", 12),
            born,
            self.text("patient.record", "desk.visit.record", 12),
            self.select(
                "patient.language",
                "desk.visit.language",
                12,
                std::iter::once((String::new(), own)).chain(languages),
            ),
            large,
        ]
    }

    pub(super) fn people(&self) -> impl Iterator<Item = (String, String)> {
        let people = &self.opened.practice.clinic().practitioners;
        people
            .iter()
            .map(|person| (person.id.to_string(), person.name.clone()))
    }

    pub fn visit(&self) -> Vec<Field> {
        let mut informed = self.day("visit.informed_on", "desk.visit.informed", 7);
        if let (Some(given), Some(visit)) =
            (self.date("visit.informed_on"), self.date("visit.date"))
        {
            let days = (visit - given).get_days();
            if days >= 0 {
                informed.note = line(
                    self.words(),
                    "desk.visit.days-before",
                    json!({ "day": informed.note, "days": days }),
                );
            }
        }
        vec![
            self.day("visit.date", "desk.visit.day", 7),
            self.text("visit.time", "desk.visit.time", 5),
            informed,
            self.text("visit.informed_at", "desk.visit.informed-at", 5),
            self.select(
                "visit.practitioner",
                "desk.visit.practitioner",
                12,
                self.or_none("desk.visit.choose").chain(self.people()),
            ),
        ]
    }

    /// What stands under "more" of the visit.
    pub fn prescribing(&self) -> Vec<Field> {
        vec![
            self.select(
                "visit.prescriber",
                "desk.visit.prescriber",
                12,
                self.or_none("desk.visit.prescriber-same")
                    .chain(self.people()),
            ),
            self.day("visit.prescriber_saw_on", "desk.visit.prescriber-saw", 12),
            self.number("visit.revision", "desk.visit.revision", 12),
        ]
    }

    pub(super) fn products(&self) -> Vec<(String, String)> {
        let clinic = self.opened.practice.clinic();
        let mut names = stocked(clinic);
        if names.is_empty() {
            let all = self.opened.practice.catalogue().products.iter();
            names = all.map(|product| product.id.to_string()).collect();
            names.sort();
            names.dedup();
        }
        names.into_iter().map(|name| (name.clone(), name)).collect()
    }

    pub fn product(&self) -> Vec<Field> {
        let formulations = Formulation::ALL.map(|form| {
            let id = format!("desk.formulation.{}", form.as_str());
            (form.as_str().to_owned(), self.label(&id))
        });
        vec![
            self.select(
                "product.name",
                "desk.visit.product",
                12,
                self.or_none("desk.visit.choose").chain(self.products()),
            ),
            self.number("product.vial_units", "desk.visit.vial", 6),
            self.number("product.diluent_ml", "desk.visit.diluent", 6),
            self.select(
                "product.formulation",
                "desk.visit.formulation",
                12,
                self.or_none("desk.visit.from-stock").chain(formulations),
            ),
            self.text("product.batch", "desk.visit.batch", 12),
        ]
    }

    pub fn asked(&self) -> Vec<Field> {
        vec![
            self.text("asked.by", "desk.asked.by", 8),
            self.day("asked.on", "desk.asked.on", 4),
        ]
    }
}
