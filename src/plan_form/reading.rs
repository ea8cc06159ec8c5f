//! Turns the values of a plan file, right or wrong, into the fields of a form.
//! Invariant: every key that a plan can have comes out, a wrong value as it is written.
//! Must not: judge a value.

use super::fields::{
    AREA, ASKED, COUNTED, DENIED, ID, ONCE, PATIENT, Part, fact as fact_field, said as said_field,
};
use super::values::{NO, fact_shown, shown};
use super::written::{self, Node, Table, Value};
use super::{NotReadable, PlanForm};
use crate::diagnose::SourceFile;
use crate::plan::Vocabulary;

impl PlanForm {
    /// The form that shows a plan file. Works for a file with mistakes; a wrong value stands in its field as it is written.
    ///
    /// # Errors
    /// The text cannot be taken apart.
    pub fn of(source: &SourceFile, vocabulary: &Vocabulary) -> Result<PlanForm, NotReadable> {
        let root = written::read(source.text(), source.format())?;
        Ok(form_of(&root, vocabulary))
    }
}

/// The form that shows these values.
pub(super) fn form_of(root: &Table, vocabulary: &Vocabulary) -> PlanForm {
    let mut form = PlanForm::new();
    for part in ONCE {
        if let Some(table) = root.one(part.name) {
            read_keys(&mut form, part, table, |key| part.field(key));
        }
    }
    read_facts(&mut form, root, vocabulary);
    let areas = root.several(AREA.name);
    let handles = handles(&areas);
    for (node, handle) in areas.iter().zip(&handles) {
        if let Some(table) = node.table() {
            read_keys(&mut form, &AREA, table, |key| AREA.field_of(handle, key));
        }
    }
    form.set(AREA.name, handles);
    for part in COUNTED {
        for (n, node) in root.several(part.name).iter().enumerate() {
            if let Some(table) = node.table() {
                read_keys(&mut form, part, table, |key| {
                    part.field_of(&n.to_string(), key)
                });
            }
        }
    }
    form
}

fn read_keys(
    form: &mut PlanForm,
    part: &'static Part,
    table: &Table,
    name: impl Fn(&'static super::fields::Shown) -> String,
) {
    for key in part.keys {
        if let Some(entry) = table.get(key.key) {
            form.set(&name(key), shown(key.kind, &entry.node.value));
        }
    }
}

/// Facts under `[patient]`, and those that `[asked]` lists as denied; what is told goes before.
fn read_facts(form: &mut PlanForm, root: &Table, vocabulary: &Vocabulary) {
    let denied = denied(root);
    let patient = root.one(PATIENT.name);
    for fact in &vocabulary.facts {
        let id = fact.id.as_str();
        let told = patient.and_then(|patient| patient.get(id));
        if let Some(told) = told {
            let (answer, said) = fact_shown(fact.kind, &told.node.value);
            form.set(&fact_field(id), [answer]);
            form.set(&said_field(id), said);
        } else if denied.iter().any(|word| word == id) {
            form.set(&fact_field(id), [NO]);
        }
    }
}

/// The words of the list of denied facts.
pub(super) fn denied(root: &Table) -> Vec<String> {
    let list = root.one(ASKED.name).and_then(|asked| asked.get(DENIED));
    let Some(Value::List(items)) = list.map(|entry| &entry.node.value) else {
        return Vec::new();
    };
    let words = items.iter().filter_map(|item| match &item.value {
        Value::Text(word) => Some(word.trim().to_owned()),
        _ => None,
    });
    words.collect()
}

/// A name for each area of the file: its id, with `#2` behind it the second time; without one its place.
pub(super) fn handles(areas: &[&Node]) -> Vec<String> {
    let mut handles: Vec<String> = Vec::new();
    for (n, node) in areas.iter().enumerate() {
        let id = node.table().and_then(|table| table.get(ID));
        let id = match id.map(|entry| &entry.node.value) {
            Some(Value::Text(id)) if can_be_a_handle(id.trim()) => id.trim(),
            _ => {
                handles.push(format!("#{}", n + 1));
                continue;
            }
        };
        let before = handles.iter().filter(|handle| id_of(handle) == id).count();
        handles.push(match before {
            0 => id.to_owned(),
            some => format!("{id}#{}", some + 1),
        });
    }
    handles
}

/// The id in a handle.
pub(super) fn id_of(handle: &str) -> &str {
    handle.split('#').next().unwrap_or(handle)
}

fn can_be_a_handle(id: &str) -> bool {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
    !id.is_empty() && id.chars().all(plain)
}
