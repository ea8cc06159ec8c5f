//! Turns the bytes of any file into the record that a paper of this program carries, or into why there is none.
//! Invariant: no input makes it panic, and what it returns was read whole.
//! Must not: judge whether the file is as made (the register does that), or read a file itself.

use super::{FORMAT, Record};

/// How a record begins, in every version of its format.
const OPENING: &str = "{\"beforehand-record\":";

/// Why no record could be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ReadError {
    /// The bytes begin neither as a PDF does nor as a page for a telephone.
    NotPdf,
    /// A PDF without a record of this program.
    NoRecord,
    /// A record written in a later format than this program knows.
    Newer(u64),
    /// A record that is cut off or altered so that it cannot be read.
    Damaged(String),
}

impl std::fmt::Display for ReadError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            ReadError::NotPdf => write!(f, "this is not a PDF file"),
            ReadError::NoRecord => write!(
                f,
                "this file carries no record: it was not made by this program, or another program has taken the record out"
            ),
            ReadError::Newer(format) => write!(
                f,
                "its record has format {format}; this program knows {FORMAT} and needs to be a later version"
            ),
            ReadError::Damaged(what) => write!(f, "its record is damaged: {what}"),
        }
    }
}

impl std::error::Error for ReadError {}

/// How a page for a telephone begins, and what stands before its record.
const PAGE: (&[u8], &str) = (
    b"<!doctype html>",
    "<meta name=\"beforehand-record\" content=\"",
);

/// The record of a PDF, from its XMP packet, or else from its information dictionary; or that of a page for a telephone.
///
/// # Errors
/// See [`ReadError`].
pub fn read(bytes: &[u8]) -> Result<Record, ReadError> {
    if bytes.starts_with(PAGE.0) {
        return parse(&in_page(bytes).ok_or(ReadError::NoRecord)?);
    }
    // ISO 32000-1, 7.5.2, and common practice of readers: the header may stand anywhere in the first 1024 bytes
    if find(&bytes[..bytes.len().min(1024)], b"%PDF-", 0).is_none() {
        return Err(ReadError::NotPdf);
    }
    // a file that was changed by adding to its end holds several: the last one counts
    let found = last(&in_xmp(bytes)).or_else(|| last(&in_information(bytes)));
    parse(&found.ok_or(ReadError::NoRecord)?)
}

/// Reads a record from its one line of JSON.
///
/// # Errors
/// See [`ReadError`].
pub fn parse(line: &str) -> Result<Record, ReadError> {
    let damaged = |error: serde_json::Error| ReadError::Damaged(error.to_string());
    let value: serde_json::Value = serde_json::from_str(line).map_err(damaged)?;
    match value["beforehand-record"].as_u64() {
        Some(FORMAT) => serde_json::from_value(value).map_err(damaged),
        Some(newer) if newer > FORMAT => Err(ReadError::Newer(newer)),
        _ => Err(ReadError::Damaged("it has no format number".to_owned())),
    }
}

fn last(found: &[String]) -> Option<String> {
    found
        .iter()
        .rev()
        .find(|text| text.starts_with(OPENING))
        .cloned()
}

/// The keywords of every XMP packet, written as an element or as an attribute.
fn in_xmp(bytes: &[u8]) -> Vec<String> {
    let mut found = Vec::new();
    for (open, close) in [("<pdf:Keywords>", '<'), ("pdf:Keywords=\"", '"')] {
        let mut from = 0;
        while let Some(at) = find(bytes, open.as_bytes(), from) {
            let start = at + open.len();
            let end = bytes[start..]
                .iter()
                .position(|byte| char::from(*byte) == close)
                .map_or(bytes.len(), |length| start + length);
            found.push(unescape(&String::from_utf8_lossy(&bytes[start..end])));
            from = end;
        }
    }
    found
}

/// The first such element: it stands before any text of others.
fn in_page(bytes: &[u8]) -> Option<String> {
    let start = find(bytes, PAGE.1.as_bytes(), 0)? + PAGE.1.len();
    let end = find(bytes, b"\"", start)?;
    // the record is escaped, so the first mark ends it
    let line = unescape(&String::from_utf8_lossy(&bytes[start..end]));
    line.starts_with(OPENING).then_some(line)
}

/// XML text without its escapes (XML 1.0, 4.6, and numbers by 4.1); an escape that is none stays as it stands.
fn unescape(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find('&') {
        plain.push_str(&rest[..at]);
        rest = &rest[at..];
        let named = rest.find(';').and_then(|end| {
            let name = &rest[1..end];
            let character = match name {
                "lt" => '<',
                "gt" => '>',
                "amp" => '&',
                "apos" => '\'',
                "quot" => '"',
                _ => {
                    let number = name.strip_prefix('#')?;
                    let code = match number.strip_prefix('x') {
                        Some(hexadecimal) => u32::from_str_radix(hexadecimal, 16),
                        None => number.parse(),
                    };
                    char::from_u32(code.ok()?)?
                }
            };
            Some((character, end + 1))
        });
        let (character, length) = named.unwrap_or(('&', 1));
        plain.push(character);
        rest = &rest[length..];
    }
    plain.push_str(rest);
    plain
}

/// The keywords of every information dictionary that stands in the open (ISO 32000-1, 14.3.3 and 7.3.4.2).
fn in_information(bytes: &[u8]) -> Vec<String> {
    let mut found = Vec::new();
    let mut from = 0;
    while let Some(at) = find(bytes, b"/Keywords", from) {
        from = at + b"/Keywords".len();
        let blanks = bytes[from..]
            .iter()
            .take_while(|byte| byte.is_ascii_whitespace())
            .count();
        if bytes.get(from + blanks) == Some(&b'(') {
            found.push(literal(&bytes[from + blanks + 1..]));
        }
    }
    found
}

/// A literal string of a PDF, from behind its opening parenthesis.
fn literal(bytes: &[u8]) -> String {
    let mut text = Vec::new();
    let mut depth = 0_usize;
    let mut rest = bytes.iter().copied().peekable();
    while let Some(byte) = rest.next() {
        match byte {
            b'(' => depth += 1,
            b')' if depth == 0 => break,
            b')' => depth -= 1,
            b'\\' => {
                match rest.next() {
                    Some(b'n') => text.push(b'\n'),
                    Some(b'r') => text.push(b'\r'),
                    Some(b't') => text.push(b'\t'),
                    Some(b'\n') | None => {}
                    Some(digit @ b'0'..=b'7') => {
                        let mut code = u32::from(digit - b'0');
                        for _ in 0..2 {
                            let Some(digit) = rest.next_if(|byte| (b'0'..=b'7').contains(byte))
                            else {
                                break;
                            };
                            code = code * 8 + u32::from(digit - b'0');
                        }
                        // a code above 255 loses its high bits, says the standard
                        text.push((code & 0xff) as u8);
                    }
                    Some(other) => text.push(other),
                }
                continue;
            }
            _ => {}
        }
        text.push(byte);
    }
    String::from_utf8_lossy(&text).into_owned()
}

fn find(bytes: &[u8], wanted: &[u8], from: usize) -> Option<usize> {
    bytes
        .get(from..)?
        .windows(wanted.len())
        .position(|window| window == wanted)
        .map(|at| from + at)
}
