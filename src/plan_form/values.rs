//! Turns what is typed into a field into the value that is written, and a value as it is written into what its field shows.
//! Invariant: what a value shows, typed in again, is the same value; what cannot be what it should be is written as a text.
//! Must not: guess (a date with slashes, a number with two separators), or judge whether a value makes sense.

use super::fields::Kind;
use super::typed_dates::{typed_date, typed_month, typed_time};
use super::written::Value;
use crate::plan::{FactKind, FactValue};

/// A value that is to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Typed {
    Text(String),
    /// A number, true or false: without quotation marks everywhere.
    Bare(String),
    /// A date or a time: without quotation marks in TOML, with them in JSON.
    Moment(String),
    Words(Vec<String>),
}

/// What is to be written about a fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum FactTyped {
    NotAsked,
    No,
    Value(Typed),
}

pub(super) const YES: &str = "yes";
pub(super) const NO: &str = "no";
pub(super) const NOT_ASKED: &str = "not-asked";

/// The value of a field; none when nothing is typed.
pub(super) fn typed(kind: Kind, texts: &[String]) -> Option<Typed> {
    let texts: Vec<&str> = texts.iter().map(|text| text.trim()).collect();
    let texts: Vec<&str> = texts.into_iter().filter(|text| !text.is_empty()).collect();
    let text = *texts.first()?;
    let own = || Typed::Text(text.to_owned());
    Some(match kind {
        Kind::Text => own(),
        Kind::Date => typed_date(text).map_or_else(own, |day| Typed::Moment(day.to_string())),
        Kind::DateOrMonth => match (typed_date(text), typed_month(text)) {
            (Some(day), _) => Typed::Moment(day.to_string()),
            (None, Some(month)) => Typed::Text(month),
            (None, None) => own(),
        },
        Kind::Time => typed_time(text).map_or_else(own, Typed::Moment),
        Kind::Number => number(text).map_or_else(own, Typed::Bare),
        Kind::Flag if text == YES => Typed::Bare("true".to_owned()),
        Kind::Flag => own(),
        Kind::Words => {
            let mut words: Vec<String> = Vec::new();
            for text in texts {
                if words.iter().all(|word| word != text) {
                    words.push(text.to_owned());
                }
            }
            Typed::Words(words)
        }
    })
}

/// What the field of a value that was typed shows.
pub(super) fn shown_again(kind: Kind, typed: &Typed) -> Vec<String> {
    match typed {
        Typed::Bare(_) if kind == Kind::Flag => vec![YES.to_owned()],
        Typed::Text(text) | Typed::Bare(text) | Typed::Moment(text) => vec![text.clone()],
        Typed::Words(words) => words.clone(),
    }
}

/// What the field of a value in a file shows.
pub(super) fn shown(kind: Kind, value: &Value) -> Vec<String> {
    match (kind, value) {
        (Kind::Flag, Value::Bare(flag)) if flag == "true" => vec![YES.to_owned()],
        (Kind::Flag, Value::Bare(flag)) if flag == "false" => Vec::new(),
        (Kind::Words, Value::List(items)) => items.iter().map(|item| item.value.shown()).collect(),
        _ => vec![value.shown()],
    }
}

/// What is to be written about a fact, from its field and the field of its words.
pub(super) fn fact_typed(kind: FactKind, answer: Option<&str>, said: Option<&str>) -> FactTyped {
    let said = said.map(str::trim).filter(|said| !said.is_empty());
    let text = |text: &str| FactTyped::Value(Typed::Text(text.to_owned()));
    match (answer.map(str::trim).unwrap_or(NOT_ASKED), kind, said) {
        (NOT_ASKED | "", ..) => FactTyped::NotAsked,
        (NO, ..) => FactTyped::No,
        (YES, FactKind::Text, Some(said)) => text(said),
        (YES, FactKind::Number, Some(said)) => match number(said) {
            Some(digits) if is_zero(&digits) => FactTyped::No,
            Some(digits) => FactTyped::Value(Typed::Bare(digits)),
            None => text(said),
        },
        // without its side, words or number it is no answer yet, and the reader says so at this place
        (YES, ..) => FactTyped::Value(Typed::Bare("true".to_owned())),
        (other, ..) => text(other),
    }
}

/// What the two fields of a fact show of a value in a file.
pub(super) fn fact_shown(kind: FactKind, value: &Value) -> (String, Option<String>) {
    let yes = |said: String| (YES.to_owned(), Some(said));
    match (kind, value) {
        (_, Value::Bare(flag)) if flag == "false" => (NO.to_owned(), None),
        (_, Value::Bare(flag)) if flag == "true" => (YES.to_owned(), None),
        (_, Value::Text(word)) if word == FactValue::NOT_SURE => (word.clone(), None),
        (FactKind::Number, Value::Bare(digits)) if is_zero(digits) => (NO.to_owned(), None),
        (FactKind::Text | FactKind::Number, value) => yes(value.shown()),
        (FactKind::Flag | FactKind::Side, value) => (value.shown(), None),
    }
}

/// What the two fields of a fact show of what was typed.
pub(super) fn fact_shown_again(kind: FactKind, typed: &FactTyped) -> (String, Option<String>) {
    match typed {
        FactTyped::NotAsked => (String::new(), None),
        FactTyped::No => (NO.to_owned(), None),
        FactTyped::Value(Typed::Bare(text)) => fact_shown(kind, &Value::Bare(text.clone())),
        FactTyped::Value(Typed::Text(text) | Typed::Moment(text)) => {
            fact_shown(kind, &Value::Text(text.clone()))
        }
        FactTyped::Value(Typed::Words(words)) => (words.join(", "), None),
    }
}

fn is_zero(digits: &str) -> bool {
    digits.parse::<f64>().is_ok_and(|number| number == 0.0)
}

/// Digits of the longest number that is written without quotation marks, in front of the point and behind it: more were not
/// meant, and no format would keep them all.
const MOST_DIGITS: usize = 9;
const MOST_DECIMALS: usize = 4;

/// A number as both formats write it, from one with a decimal point or comma; without zeros that say nothing.
///
/// A comma or a point in front of exactly three digits separates thousands for some and decimals for others, and a dose would be a
/// thousand times another: `1,000` and `5.000` are not read, but `0,125` is.
pub(super) fn number(text: &str) -> Option<String> {
    let (sign, digits) = match text.strip_prefix('-') {
        Some(rest) => ("-", rest),
        None => ("", text),
    };
    let (whole, decimals) = match digits.split_once([',', '.']) {
        Some((whole, decimals)) => (whole, Some(decimals)),
        None => (digits, None),
    };
    let all_digits =
        |part: &str, most: usize| part.len() <= most && part.bytes().all(|b| b.is_ascii_digit());
    let is_decimals = |part: &str| !part.is_empty() && all_digits(part, MOST_DECIMALS);
    let is_empty = whole.is_empty() && decimals.is_none();
    if is_empty || !all_digits(whole, MOST_DIGITS) || !decimals.is_none_or(is_decimals) {
        return None;
    }
    let plain = match whole.trim_start_matches('0') {
        "" => "0",
        rest => rest,
    };
    if plain != "0" && decimals.is_some_and(|d| d.len() == 3) {
        return None;
    }
    Some(
        match decimals.map(|decimals| decimals.trim_end_matches('0')) {
            None | Some("") if plain == "0" => "0".to_owned(),
            None | Some("") => format!("{sign}{plain}"),
            Some(decimals) => format!("{sign}{plain}.{decimals}"),
        },
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_with_point_or_comma_and_never_guessed() {
        for (typed, written) in [
            ("20", "20"),
            ("2,5", "2.5"),
            ("2.5", "2.5"),
            ("05", "5"),
            (",5", "0.5"),
            (".5", "0.5"),
            ("0,125", "0.125"),
            ("1.1250", "1.125"),
            ("-3", "-3"),
            ("0", "0"),
            ("4.0", "4"),
            ("2,50", "2.5"),
            ("-0", "0"),
            ("0,0001", "0.0001"),
        ] {
            assert_eq!(number(typed).as_deref(), Some(written), "{typed}");
        }
        for typed in [
            "",
            "-",
            ".",
            "5.",
            "1,000",
            "5.000",
            "1.125",
            "12,500",
            "1.000,5",
            "1,000.5",
            "20 units",
            "twenty",
            "1e3",
            "inf",
            "nan",
            "+5",
            "2 5",
            "٢",
            "1234567890",
            "0.12345",
        ] {
            assert_eq!(number(typed), None, "{typed}");
        }
    }

    #[test]
    fn a_value_shows_what_was_typed_for_it() {
        let texts = |text: &str| vec![text.to_owned()];
        for kind in [
            Kind::Text,
            Kind::Date,
            Kind::DateOrMonth,
            Kind::Time,
            Kind::Number,
            Kind::Flag,
        ] {
            for text in [
                "yes",
                "20",
                "2,5",
                "20 units",
                "2026-12-03",
                "3 Dec 2026",
                "31.2.2026",
                "9.15",
            ] {
                let once = shown_again(kind, &typed(kind, &texts(text)).expect("a text"));
                let twice = shown_again(kind, &typed(kind, &once).expect("a text"));
                assert_eq!(once, twice, "{kind:?} {text}");
            }
        }
    }
}
