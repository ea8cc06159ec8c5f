//! Turns the place of a mistake, as the plan reader names it, into the name of a field.
//! Invariant: a name that is returned is one of a field that the form of this file can have.
//! Must not: read the mistake.

use super::PlanForm;
use super::fields::{
    AREA, ASKED, COUNTED, DENIED, ID, ONCE, PATIENT, Part, fact as fact_field, said as said_field,
};
use super::reading::handles;
use super::values::fact_shown;
use super::written::{self, Table, Value};
use crate::diagnose::SourceFile;
use crate::plan::Vocabulary;

/// The field that shows what stands at this `path` of a diagnostic: `area[1].units` is `area.masseter.units`, `area[1].id` and `area`
/// are `area`, `event[0].needs[1]` is `event.0.needs`, `patient.pregnant` and the place of `pregnant` in `asked.no` are
/// `fact.pregnant`, a part that is missing (`visit`) is its first field. None for what no field shows.
pub fn field_of(source: &SourceFile, path: &str, vocabulary: &Vocabulary) -> Option<String> {
    let (head, rest) = match path.split_once('.') {
        Some((head, rest)) => (head, Some(rest)),
        None => (path, None),
    };
    let (name, entry) = numbered(head);
    let rest = rest.map(numbered);
    let key = rest.map(|(key, _)| key);
    if let Some(part) = ONCE.into_iter().find(|part| part.name == name) {
        let Some(key) = key else {
            return part.keys.first().map(|shown| part.field(shown));
        };
        if let Some(shown) = part.keys.iter().find(|shown| shown.key == key) {
            return Some(part.field(shown));
        }
        return match (
            part.name == PATIENT.name,
            part.name == ASKED.name && key == DENIED,
        ) {
            (true, _) => fact_told(source, key, vocabulary),
            (_, true) => fact_denied(source, rest?.1?, vocabulary),
            _ => None,
        };
    }
    if name == AREA.name {
        let (Some(n), Some(key)) = (entry, key.filter(|key| *key != ID)) else {
            return Some(AREA.name.to_owned());
        };
        let root = root(source)?;
        let handles = handles(&root.several(AREA.name));
        return field_of_entry(&AREA, handles.get(n)?, key);
    }
    let part = COUNTED.into_iter().find(|part| part.name == name)?;
    let n = entry?.to_string();
    match key {
        Some(key) => field_of_entry(part, &n, key),
        None => part.keys.first().map(|shown| part.field_of(&n, shown)),
    }
}

fn field_of_entry(part: &'static Part, entry: &str, key: &str) -> Option<String> {
    let shown = part.keys.iter().find(|shown| shown.key == key)?;
    Some(part.field_of(entry, shown))
}

/// `needs[1]` as `needs` and 1.
fn numbered(name: &str) -> (&str, Option<usize>) {
    let split = || {
        let (name, number) = name.strip_suffix(']')?.split_once('[')?;
        Some((name, Some(number.parse().ok()?)))
    };
    split().unwrap_or((name, None))
}

fn root(source: &SourceFile) -> Option<Table> {
    written::read(source.text(), source.format()).ok()
}

/// The field of a fact under `[patient]`: that of its words, where it has some.
fn fact_told(source: &SourceFile, id: &str, vocabulary: &Vocabulary) -> Option<String> {
    let fact = vocabulary.facts.iter().find(|fact| fact.id == id)?;
    let root = root(source)?;
    let told = root.one(PATIENT.name).and_then(|patient| patient.get(id));
    let said = told.and_then(|told| fact_shown(fact.kind, &told.node.value).1);
    Some(match said {
        Some(_) => said_field(id),
        None => fact_field(id),
    })
}

fn fact_denied(source: &SourceFile, n: usize, vocabulary: &Vocabulary) -> Option<String> {
    let root = root(source)?;
    let list = &root.one(ASKED.name)?.get(DENIED)?.node.value;
    let Value::List(items) = list else {
        return None;
    };
    let Value::Text(word) = &items.get(n)?.value else {
        return None;
    };
    let fact = vocabulary
        .facts
        .iter()
        .find(|fact| fact.id == word.trim())?;
    Some(fact_field(fact.id.as_str()))
}

impl PlanForm {
    /// How each area of the form is called: its handles with the id that stands in the file.
    pub fn areas(&self) -> impl Iterator<Item = (&str, &str)> {
        let handles = self.all(AREA.name).iter();
        handles.map(|handle| (handle.as_str(), super::reading::id_of(handle)))
    }
}
