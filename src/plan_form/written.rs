//! Turns the text of a plan file into its values as they are written, with the bytes they stand at in TOML.
//! Invariant: what comes out of TOML lies inside the text; entries are in the order of the file, no key twice in one place.
//! Must not: know a key of a plan, or take a value for right.

use std::ops::Range;

use serde::de::{Deserialize, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use toml_edit::{Document, Item, Table as TomlTable, TableLike, Value as TomlValue};

use super::NotReadable;
use crate::diagnose::Format;

/// A value as it is written.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value {
    /// A text, without its quotation marks.
    Text(String),
    /// A number, a date, a time, true, false, null: by its own signs.
    Bare(String),
    List(Vec<Node>),
    Table(Table),
}

/// A value with its place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Node {
    pub value: Value,
    /// Bytes of the value; of a table under a heading, the heading. Empty in JSON.
    pub span: Range<usize>,
}

/// How a table is written in TOML.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Style {
    /// `[name]` or `[[name]]`, and lines below it; or the file itself.
    Heading,
    /// `name.key = …`
    Dotted,
    /// `{ key = … }`
    Inline,
    /// Only the tables inside it are written.
    Implied,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) struct Table {
    pub entries: Vec<Entry>,
    pub style: Style,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entry {
    pub key: String,
    /// Bytes of the key; empty in JSON.
    pub key_span: Range<usize>,
    pub node: Node,
}

impl Table {
    pub fn get(&self, key: &str) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.key == key)
    }

    /// The one table of this name; of a list in its place the first.
    pub fn one(&self, name: &str) -> Option<&Table> {
        match &self.get(name)?.node.value {
            Value::Table(table) => Some(table),
            Value::List(items) => items.first()?.table(),
            Value::Text(_) | Value::Bare(_) => None,
        }
    }

    /// Everything under a name that comes several times; one table in its place is a list of one.
    pub fn several(&self, name: &str) -> Vec<&Node> {
        match self.get(name).map(|entry| &entry.node) {
            None => Vec::new(),
            Some(node) => match &node.value {
                Value::List(items) => items.iter().collect(),
                Value::Table(_) => vec![node],
                Value::Text(_) | Value::Bare(_) => Vec::new(),
            },
        }
    }
}

impl Node {
    pub fn table(&self) -> Option<&Table> {
        match &self.value {
            Value::Table(table) => Some(table),
            _ => None,
        }
    }
}

impl Value {
    /// The value on one line, for somebody who has to mend it; a text without quotation marks.
    pub fn shown(&self) -> String {
        match self {
            Value::Text(text) | Value::Bare(text) => text.clone(),
            Value::List(items) => {
                let items: Vec<String> = items.iter().map(|item| item.value.shown()).collect();
                format!("[{}]", items.join(", "))
            }
            Value::Table(table) => {
                let entries = table.entries.iter();
                let entries: Vec<String> = entries
                    .map(|entry| format!("{} = {}", entry.key, entry.node.value.shown()))
                    .collect();
                format!("{{ {} }}", entries.join(", "))
            }
        }
    }
}

/// Takes a text apart; an empty one has nothing in it.
///
/// # Errors
/// It is not TOML or JSON, or names a key twice in one place.
pub(super) fn read(text: &str, format: Format) -> Result<Table, NotReadable> {
    match format {
        Format::Toml => {
            let document = Document::parse(text).map_err(|_| NotReadable)?;
            Ok(table(document.as_table(), Style::Heading, text))
        }
        Format::Json if text.trim().is_empty() => Ok(Table {
            entries: Vec::new(),
            style: Style::Heading,
        }),
        Format::Json => match serde_json::from_str(text).map_err(|_| NotReadable)? {
            Json(Value::Table(table)) => Ok(table),
            Json(_) => Err(NotReadable),
        },
    }
}

fn table(table: &dyn TableLike, style: Style, text: &str) -> Table {
    let mut entries: Vec<Entry> = table
        .iter()
        .filter_map(|(key, item)| {
            let key_span = table.key(key)?.span().unwrap_or_default();
            Some(Entry {
                key: key.to_owned(),
                key_span,
                node: node(item, text)?,
            })
        })
        .collect();
    entries.sort_by_key(|entry| entry.key_span.start);
    Table { entries, style }
}

fn node(item: &Item, text: &str) -> Option<Node> {
    match item {
        Item::None => None,
        Item::Value(found) => Some(value(found, text)),
        Item::Table(found) => Some(table_node(found, text)),
        Item::ArrayOfTables(list) => {
            let items = list.iter().map(|item| table_node(item, text)).collect();
            Some(Node {
                value: Value::List(items),
                span: list.span().unwrap_or_default(),
            })
        }
    }
}

fn table_node(found: &TomlTable, text: &str) -> Node {
    let style = match (found.is_dotted(), found.is_implicit()) {
        (true, _) => Style::Dotted,
        (false, true) => Style::Implied,
        (false, false) => Style::Heading,
    };
    Node {
        value: Value::Table(table(found, style, text)),
        span: found.span().unwrap_or_default(),
    }
}

fn value(found: &TomlValue, text: &str) -> Node {
    let span = found.span().unwrap_or_default();
    let value = match found {
        TomlValue::String(text) => Value::Text(text.value().clone()),
        TomlValue::Array(list) => Value::List(list.iter().map(|item| value(item, text)).collect()),
        TomlValue::InlineTable(inner) => {
            let style = if inner.is_dotted() {
                Style::Dotted
            } else {
                Style::Inline
            };
            Value::Table(table(inner, style, text))
        }
        TomlValue::Integer(_)
        | TomlValue::Float(_)
        | TomlValue::Boolean(_)
        | TomlValue::Datetime(_) => {
            Value::Bare(text.get(span.clone()).unwrap_or_default().to_owned())
        }
    };
    Node { value, span }
}

/// A value of JSON; an object that names a key twice is none, because one of the two would be lost.
struct Json(Value);

impl<'de> Deserialize<'de> for Json {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Json, D::Error> {
        deserializer.deserialize_any(Seen).map(Json)
    }
}

struct Seen;

fn bare<E>(text: impl std::fmt::Display) -> Result<Value, E> {
    Ok(Value::Bare(text.to_string()))
}

impl<'de> Visitor<'de> for Seen {
    type Value = Value;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("a value of JSON")
    }

    fn visit_bool<E>(self, flag: bool) -> Result<Value, E> {
        bare(flag)
    }

    fn visit_i64<E>(self, number: i64) -> Result<Value, E> {
        bare(number)
    }

    fn visit_u64<E>(self, number: u64) -> Result<Value, E> {
        bare(number)
    }

    fn visit_f64<E>(self, number: f64) -> Result<Value, E> {
        bare(number)
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        bare("null")
    }

    fn visit_str<E>(self, text: &str) -> Result<Value, E> {
        Ok(Value::Text(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Value, A::Error> {
        let mut items = Vec::new();
        while let Some(Json(value)) = list.next_element()? {
            items.push(Node { value, span: 0..0 });
        }
        Ok(Value::List(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Value, A::Error> {
        let mut entries: Vec<Entry> = Vec::new();
        while let Some((key, Json(value))) = map.next_entry::<String, Json>()? {
            if entries.iter().any(|entry| entry.key == key) {
                return Err(A::Error::custom("a key is given twice"));
            }
            entries.push(Entry {
                key,
                key_span: 0..0,
                node: Node { value, span: 0..0 },
            });
        }
        Ok(Value::Table(Table {
            entries,
            style: Style::Inline,
        }))
    }
}
