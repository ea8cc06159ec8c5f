//! Turns the table of keys and the words in use into a JSON Schema, for editors and other programs that write plans.
//!
//! Invariant: every key the reader takes is in it and no other; whatever the reader accepts in a sample, it accepts.
//!
//! Must not: promise what it cannot say. How dates follow on each other, and which side an area has, only the reader judges.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use crate::domain::EarlierReason;
use crate::domain::{Decision, FactKind, Formulation, PageSize, Per, Side};
use crate::plan::clinic_shapes::{ALLOWANCES, CLINIC_FILE};
use crate::plan::reader::TEXT_MAX;
use crate::plan::shapes::{Holds, Key, List, MOST_OF_A_FACT, More, PLAN, SIDES_OF_FACTS, Shape};
use crate::plan::{Clinic, FactValue, Stance, Vocabulary};

/// The words a schema lists.
#[derive(Debug)]
pub struct SchemaWords<'a> {
    pub vocabulary: &'a Vocabulary,
    /// With a clinic, a plan names one of its practitioners, and a product of its stock when it lists any.
    pub clinic: Option<&'a Clinic>,
    /// What areas and facts are called in plain words, by id; none for those that are not here.
    pub names: BTreeMap<String, String>,
}

/// The schema of a plan file (JSON Schema draft-07).
pub fn plan_schema(words: &SchemaWords) -> Value {
    words.schema("The plan of one visit", "plan", &PLAN)
}

/// The schema of a clinic file (JSON Schema draft-07).
pub fn clinic_schema(words: &SchemaWords) -> Value {
    words.schema(
        "A clinic, its practitioners and its habits",
        "clinic",
        &CLINIC_FILE,
    )
}

impl SchemaWords<'_> {
    fn schema(&self, title: &str, file: &str, shapes: &[&Shape]) -> Value {
        let mut properties = Map::new();
        let hint =
            "Where an editor finds this schema; in TOML it is a comment at the top, #:schema FILE.";
        properties.insert(
            "$schema".to_owned(),
            described(json!({"type": "string"}), hint),
        );
        for shape in shapes {
            properties.insert(shape.name.to_owned(), self.table(shape));
        }
        let needed: Vec<&str> = shapes.iter().filter(|s| s.needed).map(|s| s.name).collect();
        json!({
            "$schema": "http://json-schema.org/draft-07/schema#",
            "$comment": format!("Written by: beforehand schema {file}"),
            "title": title,
            "type": "object",
            "properties": properties,
            "required": needed,
            "additionalProperties": false,
        })
    }

    /// What may stand under one heading.
    fn table(&self, shape: &Shape) -> Value {
        let mut properties = Map::new();
        for Key {
            name, holds, about, ..
        } in shape.keys
        {
            properties.insert(
                (*name).to_owned(),
                described(self.value(holds), &self.about(holds, about)),
            );
        }
        match &shape.more {
            More::No => {}
            More::Facts => {
                for fact in &self.vocabulary.facts {
                    let value = match fact.kind {
                        FactKind::Flag => json!({"enum": [true, false, FactValue::NOT_SURE]}),
                        FactKind::Side => {
                            let sides = SIDES_OF_FACTS.map(|side| json!(side.as_str()));
                            let rest = [json!(false), json!(FactValue::NOT_SURE)];
                            let words = [&sides[..], &rest[..]].concat();
                            json!({ "enum": words })
                        }
                        FactKind::Number => json!({"anyOf": [
                            {"type": "integer", "minimum": 0, "maximum": MOST_OF_A_FACT},
                            {"enum": [false, FactValue::NOT_SURE]},
                        ]}),
                        FactKind::Text => {
                            json!({"anyOf": [text(TEXT_MAX), {"const": false}]})
                        }
                    };
                    properties.insert(
                        fact.id.to_string(),
                        described(value, self.name(fact.id.as_str())),
                    );
                }
            }
            More::Areas(holds) => {
                for area in &self.vocabulary.areas {
                    let value = described(self.value(holds), self.name(area.id.as_str()));
                    properties.insert(area.id.to_string(), value);
                }
            }
        }
        let needed: Vec<&str> = shape
            .keys
            .iter()
            .filter(|key| key.needed)
            .map(|key| key.name)
            .collect();
        let mut table = json!({
            "type": "object",
            "properties": properties,
            "additionalProperties": false,
        });
        if !needed.is_empty() {
            table["required"] = json!(needed);
        }
        if !shape.is_repeated() {
            return described(table, shape.about);
        }
        let mut list = json!({"type": "array", "items": table, "maxItems": shape.most});
        if shape.needed {
            list["minItems"] = json!(1);
        }
        described(list, shape.about)
    }

    fn value(&self, holds: &Holds) -> Value {
        match holds {
            Holds::Text(longest) => text(*longest),
            Holds::Date => {
                json!({"type": "string", "format": "date", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"})
            }
            Holds::DateOrMonth => {
                json!({"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}(-[0-9]{2})?$"})
            }
            // no "format": that of the standard asks for seconds and a zone
            Holds::Time => {
                json!({"type": "string", "pattern": "^([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?$"})
            }
            Holds::Flag => json!({"type": "boolean"}),
            Holds::Units => json!({"type": "number", "exclusiveMinimum": 0}),
            Holds::Number(range) => number(range.0, range.1),
            Holds::Count(most) => json!({"type": "integer", "minimum": 1, "maximum": most}),
            Holds::Word(list) => self.word(*list),
            Holds::Words(list, most) => {
                let mut words = json!({"type": "array", "items": self.word(*list)});
                if *most < usize::MAX {
                    words["maxItems"] = json!(most);
                }
                words
            }
            Holds::SpanOrText(range) => json!({"anyOf": [
                text(TEXT_MAX),
                {"type": "array", "items": number(range.0, range.1), "minItems": 2, "maxItems": 2},
            ]}),
            Holds::Lines(most) => json!({"anyOf": [
                text(TEXT_MAX),
                {"type": "array", "items": text(TEXT_MAX), "minItems": 1, "maxItems": most},
            ]}),
            Holds::Language => json!({"type": "string", "pattern": self.languages()}),
            Holds::Currency => json!({"type": "string", "pattern": "^[A-Z]{3}$"}),
            Holds::Numbers(list, range) => {
                let each: Map<String, Value> = self
                    .words(*list)
                    .into_iter()
                    .flatten()
                    .map(|word| {
                        let value = described(number(range.0, range.1), self.name(&word));
                        (word, value)
                    })
                    .collect();
                json!({"type": "object", "properties": each, "additionalProperties": false})
            }
        }
    }

    fn word(&self, list: List) -> Value {
        match self.words(list) {
            Some(words) => word(words),
            None => text(crate::plan::reader::SHORT_MAX),
        }
    }

    /// The words of a list; none when they are not known.
    fn words(&self, list: List) -> Option<Vec<String>> {
        let owned = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect();
        let vocabulary = self.vocabulary;
        let products = || {
            vocabulary
                .products
                .iter()
                .map(|product| product.id.to_string())
        };
        Some(match list {
            List::Areas => vocabulary
                .areas
                .iter()
                .map(|area| area.id.to_string())
                .collect(),
            List::Products => products().collect(),
            List::Stocked => {
                let stock = self.clinic.map_or(&[][..], |clinic| &clinic.stock);
                let has = |id: &String| stock.iter().any(|stock| stock.product == *id);
                products()
                    .filter(|id| stock.is_empty() || has(id))
                    .collect()
            }
            List::EarlierProducts => {
                let others = vocabulary.other_toxins.iter();
                let others = others.flat_map(|toxin| {
                    std::iter::once(toxin.id.to_string()).chain(toxin.also.iter().cloned())
                });
                products().chain(others).collect()
            }
            List::Practitioners => {
                let clinic = self.clinic?;
                clinic
                    .practitioners
                    .iter()
                    .map(|person| person.id.to_string())
                    .collect()
            }
            List::Regions => vocabulary.regions.iter().map(ToString::to_string).collect(),
            List::Needs => vocabulary.needs.clone(),
            List::Reasons => vocabulary.reasons.clone(),
            List::EarlierReasons => owned(&EarlierReason::ALL.map(EarlierReason::as_str)),
            List::Advice => vocabulary.advice.iter().map(ToString::to_string).collect(),
            List::Sides => owned(&Side::ALL.map(Side::as_str)),
            List::Stances => owned(&Stance::ALL.map(Stance::as_str)),
            List::Formulations => owned(&Formulation::ALL.map(Formulation::as_str)),
            List::Counting => owned(&Per::ALL.map(Per::as_str)),
            List::PaperSizes => owned(&PageSize::ALL.map(PageSize::as_str)),
            List::TimeZones => {
                let database = jiff::tz::TimeZoneDatabase::bundled();
                database.available().map(|zone| zone.to_string()).collect()
            }
            List::Allowances => owned(&ALLOWANCES),
            List::Facts => vocabulary
                .facts
                .iter()
                .map(|fact| fact.id.to_string())
                .collect(),
            List::Cautions => {
                let asks = vocabulary.cautions.iter().filter(|word| !word.stops);
                asks.map(|word| word.id.to_string()).collect()
            }
            List::Decisions => owned(&Decision::ALL.map(Decision::as_str)),
        })
    }

    /// The sentence of a key, and beside each area it may name what that area is called.
    fn about(&self, holds: &Holds, about: &str) -> String {
        let (Holds::Word(List::Areas) | Holds::Words(List::Areas, _)) = holds else {
            return about.to_owned();
        };
        let called = self.vocabulary.areas.iter().filter_map(|area| {
            let name = self.names.get(area.id.as_str())?;
            Some(format!("{}: {name}", area.id))
        });
        let called: Vec<String> = called.collect();
        if called.is_empty() {
            return about.to_owned();
        }
        format!("{about}\n\n{}", called.join("\n"))
    }

    fn name(&self, id: &str) -> &str {
        self.names.get(id).map_or("", String::as_str)
    }

    /// A tag whose first part is a language with wording. Capitals do not count in tags.
    fn languages(&self) -> String {
        let primary = |tag: &String| -> String {
            let letters = tag.split('-').next().unwrap_or_default().chars();
            letters
                .map(|c| format!("[{}{}]", c.to_ascii_uppercase(), c.to_ascii_lowercase()))
                .collect()
        };
        let mut known: Vec<String> = self.vocabulary.languages.iter().map(primary).collect();
        known.sort();
        known.dedup();
        format!("^({})([-_][A-Za-z0-9]+)*$", known.join("|"))
    }
}

/// Something must be written, and no more than fits.
fn text(longest: usize) -> Value {
    json!({"type": "string", "pattern": "\\S", "maxLength": longest})
}

fn number(low: f64, high: f64) -> Value {
    json!({"type": "number", "minimum": low, "maximum": high})
}

fn word<W: Into<String>>(words: impl IntoIterator<Item = W>) -> Value {
    let words: Vec<String> = words.into_iter().map(Into::into).collect();
    json!({"type": "string", "enum": words})
}

/// The same with a sentence about it in front; without one as it is.
fn described(value: Value, about: &str) -> Value {
    let Value::Object(rest) = value else {
        return value;
    };
    let mut whole = Map::new();
    if !about.is_empty() {
        whole.insert("description".to_owned(), json!(about));
    }
    whole.extend(rest);
    Value::Object(whole)
}
