//! Turns what a patient said, was treated with and has planned into the questions and entries of a form.
//! Invariant: every fact has a question, and every entry of the file its fields, with room for one more.
//! Must not: judge a value.

use serde_json::json;

use super::fields::{Choice, Entry, Field, Fields, Question};
use crate::catalogue::{Fact, FactKind};
use crate::desk::line;
use crate::domain::LabelId;

impl Fields<'_> {
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
                let day = named.parse().ok();
                let day = day.map(|day| self.words().formats().short_date(day));
                Entry {
                    title: day.unwrap_or_else(|| named.to_owned()),
                    is_new,
                    fields: fields(&at),
                }
            })
            .collect()
    }
}
