//! Turns a draft and what was found in it into fields with their labels, values, notes and mistakes.
//! Invariant: every field of a plan has one place on the screen, and shows what is in it even when that is on none of its lists.
//! Must not: judge a value.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::json;

use super::draft::Draft;
use crate::catalogue::{Fact, FactKind, REASONS, Restriction};
use crate::desk::house::Opened;
use crate::desk::{label, line};
use crate::domain::{Formulation, LabelId, Per, Side, Stance};
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
    /// It can never be treated; it stands here only because the file has it.
    pub forbidden: bool,
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

    fn words(&self) -> &Wording {
        &self.opened.words
    }

    fn label(&self, id: &str) -> String {
        label(self.words(), id)
    }

    fn mistakes_of(&self, name: &str) -> Vec<String> {
        self.mistakes.get(name).cloned().unwrap_or_default()
    }

    fn field(&self, name: &str, label: &str, kind: &'static str, wide: u8) -> Field {
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

    fn text(&self, name: &str, label: &str, wide: u8) -> Field {
        self.field(name, label, "text", wide)
    }

    fn number(&self, name: &str, label: &str, wide: u8) -> Field {
        self.field(name, label, "number", wide)
    }

    /// A day, written with the month in letters; its weekday stands above.
    fn day(&self, name: &str, label: &str, wide: u8) -> Field {
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

    fn select(
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
    fn choices(
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
    fn or_none(&self, none: &str) -> std::iter::Once<(String, String)> {
        std::iter::once((String::new(), self.label(none)))
    }

    pub fn patient(&self) -> Vec<Field> {
        let clinic = self.opened.practice.clinic();
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
        let _ = clinic;
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

    fn people(&self) -> impl Iterator<Item = (String, String)> {
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

    fn products(&self) -> Vec<(String, String)> {
        let clinic = self.opened.practice.clinic();
        let mut names: Vec<String> = clinic
            .stock
            .iter()
            .map(|stock| stock.product.to_string())
            .collect();
        if names.is_empty() {
            let all = self.opened.practice.catalogue().products.iter();
            names = all.map(|product| product.id.to_string()).collect();
        }
        names.sort();
        names.dedup();
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

    pub fn areas(&self) -> Vec<AreaFields> {
        let planned = self.draft.form.all("area");
        let catalogue = self.opened.practice.catalogue();
        let mut areas: Vec<AreaFields> = catalogue
            .areas
            .iter()
            .filter(|area| {
                area.restriction.value != Restriction::DoNotTreat
                    || planned.iter().any(|id| area.id == *id)
            })
            .map(|area| self.area(area.id.as_str(), &area.sides, area.restriction.value))
            .collect();
        // what the file names and nobody knows stays, with its mistake
        for id in planned {
            if !areas.iter().any(|area| area.id == *id) {
                areas.push(self.area(id, &Side::ALL, Restriction::None));
            }
        }
        areas
    }

    fn area(&self, id: &str, sides: &[Side], restriction: Restriction) -> AreaFields {
        let at = |key: &str| format!("area.{id}.{key}");
        let words = self.words();
        let known = self
            .opened
            .practice
            .catalogue()
            .areas
            .iter()
            .find(|area| area.id == *id);
        let name = match known {
            Some(area) => self.label(LabelId::area_name(&area.id).as_str()),
            None => id.to_owned(),
        };
        let muscles = known
            .map(|area| LabelId::muscles(&area.id))
            .filter(|id| words.has(id.as_str()));
        let side = |side: &Side| {
            let id = format!("desk.side.{}", side.as_str());
            (side.as_str().to_owned(), self.label(&id))
        };
        let mut chosen = self.choices(&at("side"), sides.iter().map(side));
        if let [only] = chosen.as_mut_slice() {
            // the same for the only side there is
            if !only.chosen {
                only.value = String::new();
            }
            only.chosen = true;
        }
        let per = Per::ALL.map(|per| {
            let id = format!("desk.per.{}", per.as_str());
            (per.as_str().to_owned(), self.label(&id))
        });
        let per = per.into_iter().filter(|(value, _)| {
            value != Per::Side.as_str() || sides.iter().any(|side| *side != Side::Midline)
        });
        let mut counted = self.select(&at("per"), "desk.area.per", 3, per);
        // what is usual is not written into a file that does not say it
        if !counted.options.iter().any(|option| option.chosen)
            && let Some(usual) = counted.options.first_mut()
        {
            usual.chosen = true;
            usual.value = String::new();
        }
        let reasons = REASONS.iter().map(|reason| {
            (
                (*reason).to_owned(),
                self.label(&format!("desk.reason.{reason}")),
            )
        });
        let stances = Stance::ALL.map(|stance| {
            let id = format!("desk.stance.{}", stance.as_str());
            (stance.as_str().to_owned(), self.label(&id))
        });
        let own = self
            .or_none("desk.area.product-same")
            .chain(self.products());
        let mut fields = vec![
            self.number(&at("units"), "desk.area.units", 3),
            counted,
            self.number(&at("points"), "desk.area.points", 3),
            self.number(&at("round"), "desk.area.round", 3),
            self.text(&at("aim"), "desk.area.aim", 12),
            self.select(
                &at("stance"),
                "desk.area.stance",
                5,
                self.or_none("desk.area.stance-none").chain(stances),
            ),
            self.text(&at("because"), "desk.area.because", 7),
            self.day(&at("previous"), "desk.area.previous", 4),
            self.text(&at("last_time"), "desk.area.last_time", 8),
            self.select(
                &at("reason"),
                "desk.area.reason",
                6,
                self.or_none("desk.area.reason-none").chain(reasons),
            ),
            self.select(&at("product"), "desk.area.product", 6, own),
        ];
        if restriction == Restriction::ReconstructiveOnly
            && let Some(reason) = fields.iter_mut().find(|field| field.name == at("reason"))
        {
            reason.note = self.label("desk.area.reason-needed");
        }
        AreaFields {
            id: id.to_owned(),
            name,
            muscles: muscles
                .map(|id| self.label(id.as_str()))
                .unwrap_or_default(),
            planned: self
                .draft
                .form
                .all("area")
                .iter()
                .any(|planned| planned == id),
            forbidden: restriction == Restriction::DoNotTreat,
            sides: chosen,
            side_mistakes: self.mistakes_of(&at("side")),
            fields,
        }
    }

    pub fn asked(&self) -> Vec<Field> {
        vec![
            self.text("asked.by", "desk.asked.by", 8),
            self.day("asked.on", "desk.asked.on", 4),
        ]
    }

    /// Every question there is; those that matter for what is planned say so.
    pub fn questions(&self, matter: &[&Fact]) -> Vec<Question> {
        let facts = self.opened.practice.catalogue().facts.iter();
        facts
            .map(|fact| {
                let matters = matter.iter().any(|other| other.id == fact.id);
                self.question(fact, matters)
            })
            .collect()
    }

    fn question(&self, fact: &Fact, matters: bool) -> Question {
        let name = format!("fact.{}", fact.id);
        let value = self.draft.form.get(&name).unwrap_or("not-asked");
        let mut answers: Vec<&str> = match fact.kind {
            FactKind::Side => vec!["left", "right", "both"],
            FactKind::Flag | FactKind::Text | FactKind::Number => vec!["yes"],
        };
        answers.extend(["no", "not-sure", "not-asked"]);
        if !answers.contains(&value) {
            answers.insert(0, value);
        }
        let choices = answers.iter().map(|answer| Choice {
            value: (*answer).to_owned(),
            label: match *answer {
                known @ ("yes" | "no" | "not-sure" | "not-asked" | "left" | "right" | "both") => {
                    self.label(&format!("desk.said.{known}"))
                }
                other => other.to_owned(),
            },
            chosen: *answer == value,
        });
        let more = match fact.kind {
            FactKind::Flag | FactKind::Side => None,
            FactKind::Text => Some(self.text(&format!("{name}.said"), "desk.said.words", 12)),
            FactKind::Number => Some(self.number(&format!("{name}.said"), "desk.said.number", 4)),
        };
        Question {
            fact: fact.id.to_string(),
            text: self.label(LabelId::question(&fact.id).as_str()),
            short: self.label(LabelId::fact(&fact.id).as_str()),
            matters,
            said: match value {
                "not-asked" => "not-asked",
                "no" => "no",
                _ => "yes",
            },
            choices: choices.collect(),
            more,
            mistakes: self.mistakes_of(&name),
        }
    }

    fn all_checked(
        &self,
        name: &str,
        label: &str,
        options: impl IntoIterator<Item = (String, String)>,
    ) -> Field {
        let mut field = self.field(name, label, "checks", 12);
        let chosen = self.draft.form.all(name);
        field.options = options
            .into_iter()
            .map(|(value, label)| Choice {
                chosen: chosen.contains(&value),
                value,
                label,
            })
            .collect();
        let unknown = chosen
            .iter()
            .filter(|value| !field.options.iter().any(|o| o.value == **value));
        let unknown: Vec<Choice> = unknown
            .map(|value| Choice {
                value: value.clone(),
                label: value.clone(),
                chosen: true,
            })
            .collect();
        field.options.extend(unknown);
        field
    }

    /// What the patient has planned, and room for one thing more.
    pub fn events(&self) -> Vec<Entry> {
        let needs: Vec<(String, String)> = self
            .opened
            .practice
            .catalogue()
            .needs
            .iter()
            .map(|need| {
                (
                    need.id.clone(),
                    self.label(&format!("desk.need.{}", need.id)),
                )
            })
            .collect();
        self.entries("event", "what", |at| {
            let mut day = self.day(&format!("{at}.date"), "desk.event.date", 6);
            if let (Some(date), Some(visit)) =
                (self.date(&format!("{at}.date")), self.date("visit.date"))
            {
                let days = (date - visit).get_days();
                if days >= 0 {
                    day.note = line(
                        self.words(),
                        "desk.event.days-after",
                        json!({ "day": day.note, "days": days }),
                    );
                }
            }
            vec![
                self.text(&format!("{at}.what"), "desk.event.what", 12),
                day,
                self.day(&format!("{at}.until"), "desk.event.until", 6),
                self.all_checked(&format!("{at}.needs"), "desk.event.needs", needs.clone()),
            ]
        })
    }

    /// Earlier treatments, and room for one more.
    pub fn history(&self) -> Vec<Entry> {
        let vocabulary = self.opened.practice.vocabulary();
        let products: Vec<(String, String)> = vocabulary
            .products
            .iter()
            .map(|product| product.id.to_string())
            .chain(
                vocabulary
                    .other_toxins
                    .iter()
                    .map(|toxin| toxin.id.to_string()),
            )
            .map(|name| (name.clone(), name))
            .collect();
        let areas: Vec<(String, String)> = self
            .opened
            .practice
            .catalogue()
            .areas
            .iter()
            .map(|area| {
                (
                    area.id.to_string(),
                    self.label(LabelId::area_name(&area.id).as_str()),
                )
            })
            .collect();
        let reasons: Vec<(String, String)> = crate::domain::EarlierReason::ALL
            .iter()
            .map(|reason| {
                let id = format!("desk.earlier.{}", reason.as_str());
                (reason.as_str().to_owned(), self.label(&id))
            })
            .collect();
        self.entries("history", "date", |at| {
            let mut when = self.day(&format!("{at}.date"), "desk.history.date", 12);
            if when.note.is_empty() {
                when.note = self.label("desk.history.month");
            }
            vec![
                when,
                self.select(
                    &format!("{at}.product"),
                    "desk.history.product",
                    12,
                    self.or_none("desk.history.not-known")
                        .chain(products.clone()),
                ),
                self.number(&format!("{at}.units"), "desk.history.units", 5),
                self.select(
                    &format!("{at}.reason"),
                    "desk.history.reason",
                    7,
                    self.or_none("desk.history.not-known")
                        .chain(reasons.clone()),
                ),
                self.all_checked(&format!("{at}.areas"), "desk.history.areas", areas.clone()),
            ]
        })
    }

    fn entries(
        &self,
        group: &str,
        named_by: &str,
        fields: impl Fn(&str) -> Vec<Field>,
    ) -> Vec<Entry> {
        let numbers = self.draft.form.numbers(group);
        let next = numbers.last().map_or(0, |last| last + 1);
        numbers
            .iter()
            .map(|number| (*number, false))
            .chain([(next, true)])
            .map(|(number, is_new)| {
                let at = format!("{group}.{number}");
                let named = self
                    .draft
                    .form
                    .get(&format!("{at}.{named_by}"))
                    .unwrap_or_default();
                Entry {
                    title: named.to_owned(),
                    is_new,
                    fields: fields(&at),
                }
            })
            .collect()
    }
}
