//! Turns JSON text into the tree.
//!
//! Invariant: strict JSON only: no comments, no trailing commas, no loose words; a key given twice is reported.
//!
//! Must not: report more than the first mistake of writing; behind it nothing in JSON can be trusted.

use std::collections::HashMap;
use std::ops::Range;

use jsonc_parser::ast::{ObjectProp, Value as Json};
use jsonc_parser::common::Ranged;
use jsonc_parser::errors::{ParseError, ParseErrorKind};
use jsonc_parser::{CollectOptions, ParseOptions, parse_to_ast};

use crate::diagnose::{Code, Diagnostic, SourceFile, echo};
use crate::plan::tree::{Entry, Node, Parsed, Table, Value};

const STRICT: ParseOptions = ParseOptions {
    allow_comments: false,
    allow_loose_object_property_names: false,
    allow_trailing_commas: false,
    allow_missing_commas: false,
    allow_single_quoted_strings: false,
    allow_hexadecimal_numbers: false,
    allow_unary_plus_numbers: false,
    allow_bare_decimal_point_numbers: false,
    allow_non_finite_numbers: false,
    allow_extended_string_escapes: false,
};

pub(in crate::plan) fn parse(source: &SourceFile) -> Parsed {
    let mut mistakes = Vec::new();
    let mut damaged = true;
    let mut root = Table::default();
    match parse_to_ast(source.text(), &CollectOptions::default(), &STRICT) {
        Err(error) => mistakes.push(syntax(source, &error)),
        Ok(result) => match result.value {
            Some(value) => {
                let node = convert(source, &value, "", &mut mistakes);
                match node.value {
                    Value::Table(table) => {
                        root = table;
                        damaged = false;
                    }
                    _ => mistakes.push(not_an_object(source, node.span)),
                }
            }
            None => mistakes.push(not_an_object(source, 0..source.text().len())),
        },
    }
    Parsed {
        root,
        mistakes,
        damaged,
    }
}

fn not_an_object(source: &SourceFile, span: Range<usize>) -> Diagnostic {
    Diagnostic::new(
        source,
        Code::Syntax,
        span.start..span.start + 1,
        "The file is not a set of named values.",
        "Let the whole file begin with { and end with }.",
    )
}

fn convert(source: &SourceFile, value: &Json, path: &str, mistakes: &mut Vec<Diagnostic>) -> Node {
    let range = value.range();
    let converted = match value {
        Json::StringLit(text) => Value::Text(text.value.to_string()),
        Json::NumberLit(number) => Value::Number {
            // a number too large for the machine becomes infinite and is refused as no number
            amount: number.value.parse().unwrap_or(f64::NAN),
            whole: !number.value.contains(['.', 'e', 'E']),
        },
        Json::BooleanLit(flag) => Value::Flag(flag.value),
        Json::NullKeyword(_) => Value::Null,
        Json::Array(list) => Value::List(
            list.elements
                .iter()
                .enumerate()
                .map(|(n, element)| convert(source, element, &format!("{path}[{n}]"), mistakes))
                .collect(),
        ),
        Json::Object(object) => {
            Value::Table(convert_object(source, &object.properties, path, mistakes))
        }
    };
    Node {
        span: range.start..range.end,
        value: converted,
    }
}

fn convert_object(
    source: &SourceFile,
    properties: &[ObjectProp],
    path: &str,
    mistakes: &mut Vec<Diagnostic>,
) -> Table {
    let mut table = Table::default();
    // a map beside the table, so that a file of many keys is not searched through for each of them
    let mut first_spans: HashMap<String, Range<usize>> = HashMap::new();
    for property in properties {
        let key = property.name.as_str().to_owned();
        let range = property.name.range();
        let key_span = range.start..range.end;
        let at = if path.is_empty() {
            key.clone()
        } else {
            format!("{path}.{key}")
        };
        let node = convert(source, &property.value, &at, mistakes);
        if let Some(first) = first_spans.get(&key) {
            let twice = duplicate(source, &key, key_span, Some(first.clone()));
            mistakes.push(twice.at(echo(&at)));
            continue;
        }
        first_spans.insert(key.clone(), key_span.clone());
        table.entries.push(Entry {
            key,
            key_span,
            node,
        });
    }
    table
}

/// The diagnostic for a key that was there before.
pub(in crate::plan) fn duplicate(
    source: &SourceFile,
    key: &str,
    span: Range<usize>,
    first: Option<Range<usize>>,
) -> Diagnostic {
    let place = first.as_ref().map_or(String::new(), |first| {
        format!(" (also on line {})", source.position(first.start).line)
    });
    let mut diagnostic = Diagnostic::new(
        source,
        Code::DuplicateKey,
        span,
        format!("`{}` is given twice in the same place{place}.", echo(key)),
        "Keep the right one and delete the other.",
    );
    if let Some(first) = first {
        diagnostic = diagnostic.also(source, first, "given here before");
    }
    diagnostic
}

fn syntax(source: &SourceFile, error: &ParseError) -> Diagnostic {
    use ParseErrorKind as Kind;
    let range = error.range();
    let written = source
        .text()
        .get(range.start..range.end)
        .unwrap_or_default();
    let (problem, remedy) = match error.kind() {
        Kind::UnexpectedWord | Kind::UnexpectedToken | Kind::ExpectedObjectValue
            if matches!(
                written.to_lowercase().as_str(),
                "yes" | "no" | "true" | "false"
            ) =>
        {
            (
                "This is not how yes or no is written.",
                "Write true or false, in small letters and without quotation marks.",
            )
        }
        Kind::UnexpectedToken if written.starts_with(['“', '”', '„', '‘', '’', '«']) => {
            (
                "The quotation marks are the curved ones of a word processor.",
                "Type them again as straight ones: \".",
            )
        }
        Kind::UnexpectedToken if written.starts_with(char::is_alphabetic) => (
            "This word is not in quotation marks.",
            "Put text and dates in double quotation marks; only true and false stand without.",
        ),
        Kind::CommentsNotAllowed | Kind::UnterminatedCommentBlock => (
            "JSON has no remarks.",
            "Delete the remark, or write the plan as a .toml file, where a remark begins with #.",
        ),
        Kind::TrailingCommasNotAllowed => (
            "A comma stands behind the last value.",
            "Delete this comma.",
        ),
        Kind::ExpectedComma => (
            "A comma is missing here.",
            "Put a comma between the two values.",
        ),
        Kind::ExpectedColonAfterObjectKey => (
            "A colon is missing between the name and its value.",
            "Write it as \"name\": value.",
        ),
        Kind::ExpectedObjectValue => (
            "This name has no value.",
            "Write a value behind the colon, or delete the line.",
        ),
        Kind::ExpectedStringObjectProperty => (
            "A name must stand in double quotation marks.",
            "Write it as \"name\": value.",
        ),
        Kind::SingleQuotedStringsNotAllowed => (
            "Text must stand in double quotation marks.",
            "Replace ' by \".",
        ),
        Kind::UnterminatedObject | Kind::UnterminatedArray => (
            "This bracket is never closed.",
            "Put the matching } or ] behind the last value that belongs to it.",
        ),
        Kind::UnexpectedCloseBrace | Kind::UnexpectedCloseBracket => (
            "This closing bracket has no opening one.",
            "Delete it, or put the opening bracket where it belongs.",
        ),
        Kind::UnexpectedWord => (
            "This word is not in quotation marks.",
            "Put text and dates in double quotation marks; only true and false stand without.",
        ),
        Kind::MultipleRootJsonValues => (
            "Something stands behind the end of the file's content.",
            "Delete everything behind the last }.",
        ),
        Kind::String(_) => (
            "This text is not closed, or holds a backslash that means nothing.",
            "End it with \" and write a backslash as two: \\\\.",
        ),
        Kind::HexadecimalNumbersNotAllowed
        | Kind::UnaryPlusNumbersNotAllowed
        | Kind::BareDecimalPointNumbersNotAllowed
        | Kind::NonFiniteNumbersNotAllowed
        | Kind::ExpectedDigit
        | Kind::ExpectedDigitFollowingNegativeSign
        | Kind::ExpectedPlusMinusOrDigitInNumberLiteral => (
            "This number is not written as JSON wants it.",
            "Write it with plain digits and a decimal point, like 2.5.",
        ),
        Kind::NestingDepthExceeded => (
            "Brackets stand inside brackets far too deep.",
            "Check that this is the right file.",
        ),
        _ => (
            "The file cannot be understood from here on.",
            "Compare this place with a sample plan; look for a missing quotation mark, comma or bracket.",
        ),
    };
    Diagnostic::new(
        source,
        Code::Syntax,
        range.start..range.end,
        problem,
        remedy,
    )
}
