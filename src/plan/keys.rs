//! Knows which keys stand where in the two files, and reports those that do not.
//!
//! Invariant: for every key that looks like a slip or stands in the wrong place, the key it was meant to be is excused, so
//! one mistake is not reported twice.
//!
//! Must not: look at values, beyond whether they are tables.

use crate::diagnose::{Code, Format, SourceFile, closest, echo, hint};
use crate::plan::reader::{Field, Reader, Section, join, opening};
use crate::plan::tree::{Entry, Node, Table, Value};

pub(in crate::plan) use crate::plan::clinic_shapes::{
    AFTERCARE, CLINIC, CLINIC_FILE, EXPERIENCE, FEES, LOOK, PRACTITIONER, STANCE, STOCK,
    TRANSLATION, VISITS,
};
pub(in crate::plan) use crate::plan::shapes::{
    ANSWER, AREA, ASKED, EVENT, HISTORY, More, PATIENT, PLAN, PRODUCT, Shape, VISIT,
};

/// What a JSON file may name at its top beside its parts: where an editor finds the schema.
const SCHEMA: &str = "$schema";

/// Reports every key of the file that is not known where it stands.
///
/// A misspelt heading is reported and then taken for the one it is close to, so that what stands below it is judged too.
pub(in crate::plan) fn check(reader: &mut Reader, root: &mut Table, shapes: &[&'static Shape]) {
    let present: Vec<String> = root.entries.iter().map(|entry| entry.key.clone()).collect();
    for entry in &mut root.entries {
        if entry.key == SCHEMA && reader.source.format() == Format::Json {
            check_schema(reader, entry);
            continue;
        }
        if shapes.iter().all(|shape| shape.name != entry.key) {
            let meant = unknown_at_top(reader, entry, shapes);
            match meant.filter(|meant| present.iter().all(|key| key != meant)) {
                Some(meant) => entry.key = meant.to_owned(),
                None => continue,
            }
        }
        let Some(shape) = shapes.iter().find(|shape| shape.name == entry.key) else {
            continue;
        };
        for (path, table) in tables_of(shape, &entry.node) {
            for inner in &table.entries {
                check_one(reader, shape, &path, inner, shapes);
            }
        }
    }
}

/// An editor's hint is no part of the plan; it only has to be a text.
fn check_schema(reader: &mut Reader, entry: &Entry) {
    if !matches!(entry.node.value, Value::Text(_)) {
        let field = Field {
            node: &entry.node,
            path: SCHEMA.to_owned(),
        };
        reader.wrong_type(
            &field,
            "text in quotation marks",
            "Write the name of the schema file, or delete the entry.",
        );
    }
}

/// The tables under one heading, with their paths; none when the value is something else.
fn tables_of<'t>(shape: &Shape, node: &'t Node) -> Vec<(String, &'t Table)> {
    match &node.value {
        Value::Table(table) => vec![(shape.name.to_owned(), table)],
        Value::List(items) => items
            .iter()
            .enumerate()
            .filter_map(|(n, item)| match &item.value {
                Value::Table(table) => Some((format!("{}[{n}]", shape.name), table)),
                _ => None,
            })
            .collect(),
        _ => Vec::new(),
    }
}

fn check_one(
    reader: &mut Reader,
    shape: &'static Shape,
    path: &str,
    entry: &Entry,
    shapes: &[&'static Shape],
) {
    let key = entry.key.as_str();
    let vocabulary = reader.vocabulary;
    let facts = || vocabulary.facts.iter().map(|fact| fact.id.as_str());
    let is_patient = shape.name == PATIENT.name;
    if shape.key(key).is_some() || (is_patient && facts().any(|fact| fact == key)) {
        return;
    }
    let span = entry.key_span.clone();
    let at = echo(&join(path, key));
    if matches!(shape.more, More::Areas(_)) {
        let areas = || vocabulary.areas.iter().map(|area| area.id.as_str());
        if !areas().any(|area| area == key) {
            let problem = format!("`{}` is not a known area.", echo(key));
            reader.report(
                Code::UnknownArea,
                span,
                &at,
                problem,
                hint(key, areas(), "area"),
            );
        }
        return;
    }
    let homes = homes_of(key, shapes, reader);
    if !homes.is_empty() {
        misplaced(reader, entry, &at, &homes);
        return;
    }
    if let Some(meant) = closest(key, shape.names()) {
        reader.excused.insert(join(path, meant));
        reader.report(
            Code::UnknownKey,
            span,
            &at,
            format!(
                "`{}` is not known under {}.",
                echo(key),
                shape.shown(reader.source)
            ),
            format!("Did you mean `{meant}`?"),
        );
    } else if is_patient && !matches!(entry.node.value, Value::Table(_)) {
        reader.report(
            Code::UnknownFact,
            span,
            &at,
            format!("`{}` is not a known fact about a patient.", echo(key)),
            hint(key, facts(), "fact"),
        );
    } else {
        reader.report(
            Code::UnknownKey,
            span,
            &at,
            format!(
                "`{}` is not known under {}.",
                echo(key),
                shape.shown(reader.source)
            ),
            hint(key, shape.names(), "entry"),
        );
    }
}

/// Reports the entry; what it was probably meant to be.
fn unknown_at_top(
    reader: &mut Reader,
    entry: &Entry,
    shapes: &[&'static Shape],
) -> Option<&'static str> {
    let key = entry.key.as_str();
    let span = entry.key_span.clone();
    let at = echo(key);
    let homes = homes_of(key, shapes, reader);
    if !homes.is_empty() && !matches!(entry.node.value, Value::Table(_)) {
        misplaced(reader, entry, &at, &homes);
        return None;
    }
    let names = shapes.iter().map(|shape| shape.name);
    let meant = closest(key, names.clone());
    if let Some(meant) = meant {
        reader.excused.insert(meant.to_owned());
    }
    reader.report(
        Code::UnknownKey,
        span,
        &at,
        format!("`{}` is not a known part of this file.", echo(key)),
        hint(key, names, "part"),
    );
    meant
}

/// The tables in which this key is known.
fn homes_of(key: &str, shapes: &[&'static Shape], reader: &Reader) -> Vec<&'static Shape> {
    shapes
        .iter()
        .copied()
        .filter(|shape| {
            let fact = || reader.vocabulary.facts.iter().any(|fact| fact.id == key);
            shape.key(key).is_some() || (shape.name == PATIENT.name && fact())
        })
        .collect()
}

fn misplaced(reader: &mut Reader, entry: &Entry, at: &str, homes: &[&'static Shape]) {
    for home in homes {
        reader.excused.insert(join(home.name, &entry.key));
        // the key that is elsewhere may be the only one its table would have had
        reader.excused.insert(home.name.to_owned());
    }
    let labels: Vec<String> = homes.iter().map(|home| home.shown(reader.source)).collect();
    let labels = labels.join(" or ");
    reader.report(
        Code::MisplacedKey,
        entry.key_span.clone(),
        at,
        format!("`{}` belongs under {}, not here.", echo(&entry.key), labels),
        format!("Move it to {labels}."),
    );
}

/// The table under a heading that comes once. When it is required and not there, that is reported at the start of the file.
pub(in crate::plan) fn one<'t>(
    reader: &mut Reader,
    root: &'t Table,
    shape: &'static Shape,
    required: bool,
) -> Option<Section<'t>> {
    let Some(entry) = root.get(shape.name) else {
        if required && !reader.damaged && !reader.excused.contains(shape.name) {
            let start = start_of(reader.source);
            reader.report(
                Code::MissingKey,
                start,
                shape.name,
                format!("The part {} is missing.", shape.shown(reader.source)),
                format!("Add {}.", shape.written(reader.source)),
            );
        }
        return None;
    };
    let node = match &entry.node.value {
        Value::Table(table) => return Some(section(reader, table, entry, shape, None)),
        // [[patient]] in place of [patient]: said once, and read all the same
        Value::List(items) if items.len() == 1 => &items[0],
        _ => &entry.node,
    };
    let field = Field {
        node: &entry.node,
        path: shape.name.to_owned(),
    };
    reader.wrong_type(
        &field,
        "one group of values",
        &format!("Write {}, once.", shape.written(reader.source)),
    );
    match &node.value {
        Value::Table(table) => Some(section(reader, table, entry, shape, None)),
        _ => None,
    }
}

/// The tables under a heading that may come more than once, at most as many as its shape allows.
pub(in crate::plan) fn several<'t>(
    reader: &mut Reader,
    root: &'t Table,
    shape: &'static Shape,
) -> Vec<Section<'t>> {
    let most = shape.most;
    let Some(entry) = root.get(shape.name) else {
        return Vec::new();
    };
    let field = Field {
        node: &entry.node,
        path: shape.name.to_owned(),
    };
    let remedy = format!("Write {}.", shape.written(reader.source));
    let Value::List(items) = &entry.node.value else {
        reader.wrong_type(&field, "a list of groups of values", &remedy);
        return match &entry.node.value {
            Value::Table(table) => {
                vec![section(reader, table, entry, shape, Some((0, &entry.node)))]
            }
            _ => Vec::new(),
        };
    };
    if items.len() > most {
        let span = opening(reader.source, &entry.key_span);
        reader.too_many(span, shape.name, items.len(), most);
    }
    let mut sections = Vec::new();
    for (n, item) in items.iter().take(most).enumerate() {
        match &item.value {
            Value::Table(table) => {
                sections.push(section(reader, table, entry, shape, Some((n, item))))
            }
            _ => {
                let field = Field {
                    node: item,
                    path: format!("{}[{n}]", shape.name),
                };
                reader.wrong_type(&field, "a group of values", &remedy);
            }
        }
    }
    sections
}

fn section<'t>(
    reader: &Reader,
    table: &'t Table,
    entry: &'t Entry,
    shape: &'static Shape,
    item: Option<(usize, &Node)>,
) -> Section<'t> {
    let text = reader.source.text();
    // a TOML table's own span is its heading; that of a JSON object or inline table begins with a brace
    let (place, path) = match item {
        Some((n, node)) => (&node.span, format!("{}[{n}]", shape.name)),
        None => (&entry.node.span, shape.name.to_owned()),
    };
    let heading = match text.get(place.start..).and_then(|rest| rest.chars().next()) {
        Some('[') => opening(reader.source, place),
        _ if item.is_none() => entry.key_span.clone(),
        _ => place.start..place.start + 1,
    };
    Section {
        table,
        heading,
        path,
        shape,
    }
}

/// The first thing written in the file.
pub(in crate::plan) fn start_of(source: &SourceFile) -> std::ops::Range<usize> {
    let text = source.text();
    let start = text.len() - text.trim_start().len();
    let width = text[start..].chars().next().map_or(0, char::len_utf8);
    start..start + width
}
