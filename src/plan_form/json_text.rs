//! Turns the text of a JSON plan and one change into the changed text.
//! Invariant: everything else keeps its value and its place in the order.
//! Must not: keep the spaces of the text; JSON has no remarks, and is written anew.

use serde_json::{Map, Value as Json};

use super::NotReadable;
use super::changes::{Behind, Change, Place};
use super::fields::{ASKED, DENIED, Part};
use super::values::Typed;

/// The text with these changes made, in their order.
///
/// # Errors
/// It is no JSON object, or something stands where a change has to be made that cannot take it.
pub(super) fn apply(text: &str, changes: &[Change]) -> Result<String, NotReadable> {
    let mut root: Map<String, Json> = match text.trim() {
        "" => Map::new(),
        text => serde_json::from_str(text).map_err(|_| NotReadable)?,
    };
    for change in changes {
        one(&mut root, change)?;
    }
    let written = serde_json::to_string_pretty(&root).expect("text keys and plain values");
    let end = if text.is_empty() || text.ends_with('\n') {
        "\n"
    } else {
        ""
    };
    Ok(written + end)
}

fn one(root: &mut Map<String, Json>, change: &Change) -> Result<(), NotReadable> {
    match change {
        Change::Set {
            place,
            key,
            value,
            behind,
        } => set(table(root, *place)?, key, json(value), behind),
        Change::Remove { place, key } => {
            table(root, *place)?.shift_remove(key);
        }
        Change::Deny(fact) => {
            let asked = once(root, &ASKED)?;
            let list = asked
                .entry(DENIED)
                .or_insert_with(|| Json::Array(Vec::new()));
            let list = list.as_array_mut().ok_or(NotReadable)?;
            list.push(Json::String(fact.clone()));
        }
        Change::NotDenied(fact) => {
            let list = once(root, &ASKED)?.get_mut(DENIED);
            let list = list.and_then(Json::as_array_mut).ok_or(NotReadable)?;
            list.retain(|word| word.as_str().map(str::trim) != Some(fact));
        }
        Change::RemoveWhole(Place {
            part,
            entry: Some(n),
        }) => match root.get_mut(part.name) {
            Some(Json::Array(list)) if *n < list.len() => {
                list.remove(*n);
                // an empty list of areas is told of by its place; of the others nothing is left
                if list.is_empty() && part.name != super::fields::AREA.name {
                    root.shift_remove(part.name);
                }
            }
            _ => {
                root.shift_remove(part.name);
            }
        },
        Change::RemoveWhole(Place { part, entry: None }) => {
            root.shift_remove(part.name);
        }
        Change::Add { part, entries } => add(root, part, entries),
    }
    Ok(())
}

fn add(root: &mut Map<String, Json>, part: &'static Part, entries: &[(String, Typed)]) {
    let new = entries
        .iter()
        .map(|(key, value)| (key.clone(), json(value)));
    let new = Json::Object(new.collect());
    if !part.repeated {
        let before = part.before();
        return set(root, part.name, new, &Behind::Keys(before));
    }
    match root.get_mut(part.name) {
        Some(Json::Array(list)) => list.push(new),
        Some(single) => {
            let first = single.take();
            *single = Json::Array(vec![first, new]);
        }
        None => {
            let before = part.before();
            set(
                root,
                part.name,
                Json::Array(vec![new]),
                &Behind::Keys(before),
            );
        }
    }
}

/// Puts a value under a key: in its place, or behind the last of those that go before it.
fn set(table: &mut Map<String, Json>, key: &str, value: Json, behind: &Behind) {
    if let Some(old) = table.get_mut(key) {
        *old = value;
        return;
    }
    let last = table.keys().rposition(|known| behind.takes(known));
    table.shift_insert(last.map_or(0, |at| at + 1), key.to_owned(), value);
}

fn table(
    root: &mut Map<String, Json>,
    place: Place,
) -> Result<&mut Map<String, Json>, NotReadable> {
    let Some(n) = place.entry else {
        return once(root, place.part);
    };
    let found = match root.get_mut(place.part.name).ok_or(NotReadable)? {
        Json::Array(list) => list.get_mut(n).ok_or(NotReadable)?,
        single => single,
    };
    found.as_object_mut().ok_or(NotReadable)
}

fn once<'r>(
    root: &'r mut Map<String, Json>,
    part: &Part,
) -> Result<&'r mut Map<String, Json>, NotReadable> {
    let found = match root.get_mut(part.name).ok_or(NotReadable)? {
        Json::Array(list) => list.first_mut().ok_or(NotReadable)?,
        single => single,
    };
    found.as_object_mut().ok_or(NotReadable)
}

fn json(value: &Typed) -> Json {
    match value {
        Typed::Text(text) | Typed::Moment(text) => Json::String(text.clone()),
        // digits, true or false: always a value of JSON
        Typed::Bare(text) => {
            serde_json::from_str(text).unwrap_or_else(|_| Json::String(text.clone()))
        }
        Typed::Words(words) => words.iter().cloned().map(Json::String).collect(),
    }
}
