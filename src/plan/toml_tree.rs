//! Turns TOML text into the tree, past as many mistakes of writing as possible.
//!
//! Invariant: a value on a line with a mistake is `Broken`, so nothing is said about it twice.
//!
//! Must not: word mistakes; `toml_words` does.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::diagnose::SourceFile;
use crate::plan::toml_slips;
use crate::plan::toml_words::{self, Damage};
use crate::plan::tree::{Entry, Node, Parsed, Table, Value};

pub(in crate::plan) fn parse(source: &SourceFile) -> Parsed {
    let (document, errors) = DeTable::parse_recoverable(source.text());
    let mistakes = toml_words::explain(source, &errors);
    let damage = Damage::of(&mistakes);
    let damaged = !damage.is_none();
    let is_broken = |at: usize| damaged && damage.covers(source.position(at).line);
    let root = table(document.get_ref(), &is_broken);
    Parsed {
        root,
        mistakes,
        damaged,
    }
}

fn table(table: &DeTable, is_broken: &dyn Fn(usize) -> bool) -> Table {
    let mut entries: Vec<Entry> = table
        .iter()
        // an odd space that was taken for part of a name has been told of
        .filter(|(key, _)| {
            !(is_broken(key.span().start) && key.get_ref().contains(toml_slips::is_odd_space))
        })
        .map(|(key, value)| Entry {
            key: key.get_ref().to_string(),
            key_span: key.span(),
            node: node(value, is_broken),
        })
        .collect();
    // the parser sorts by name
    entries.sort_by_key(|entry| entry.key_span.start);
    Table { entries }
}

fn node(value: &Spanned<DeValue>, is_broken: &dyn Fn(usize) -> bool) -> Node {
    let span = value.span();
    let converted = match value.get_ref() {
        _ if is_broken(span.start) => Value::Broken,
        DeValue::Table(inner) => Value::Table(table(inner, is_broken)),
        DeValue::Array(list) => {
            Value::List(list.iter().map(|item| node(item, is_broken)).collect())
        }
        DeValue::String(text) => Value::Text(text.to_string()),
        DeValue::Integer(number) => Value::Number {
            amount: integer(number.as_str(), number.radix()),
            whole: true,
        },
        DeValue::Float(number) => Value::Number {
            amount: number.as_str().parse().unwrap_or(f64::NAN),
            whole: false,
        },
        DeValue::Boolean(flag) => Value::Flag(*flag),
        DeValue::Datetime(moment) => match (moment.date, moment.time) {
            (Some(date), None) => Value::Date {
                // four digits, two digits, two digits: all fit
                year: date.year as i16,
                month: date.month as i8,
                day: date.day as i8,
            },
            (None, Some(time)) => Value::Time {
                hour: time.hour as i8,
                minute: time.minute as i8,
                second: time.second.unwrap_or(0) as i8,
            },
            (Some(_), Some(_)) => Value::DateAndTime,
            (None, None) => Value::Broken,
        },
    };
    Node {
        span,
        value: converted,
    }
}

fn integer(digits: &str, radix: u32) -> f64 {
    // an integer beyond i64 is nonsense here; as a decimal it becomes a huge number and is refused by size
    i64::from_str_radix(digits, radix).map_or_else(
        |_| digits.parse().unwrap_or(f64::NAN),
        |number| number as f64,
    )
}
