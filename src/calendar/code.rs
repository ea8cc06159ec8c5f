//! Turns the review visit into a QR code that a telephone takes as a calendar entry (RFC 5545 in the modules of ISO/IEC 18004).
//! Invariant: every line in the code stands byte for byte in the review event of the calendar file; the description stays out,
//! so that the code can be read from a small print. The patient's name is never in it.
//! Must not: hold a date or a sentence that the calendar file does not.

use qrcode::bits::Bits;
use qrcode::types::{Color, QrError};
use qrcode::{EcLevel, QrCode, Version};

use super::{Kind, entries, ical::Lines, review_lines};
use crate::select::{DateRange, Selection, review};
use crate::wording::{RecordedWording, WordingError};

/// A code of dark and light modules.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// What the telephone will be given.
    pub content: String,
    /// The event's title.
    pub title: String,
    /// The event's days.
    pub days: DateRange,
    /// Modules across, without the quiet zone.
    pub side: usize,
    /// The dark modules as one path in the notation of SVG, a module being one unit.
    pub outline: String,
}

/// The code for the review visit; none when the plan has no review, or when it would not fit into a code.
///
/// # Errors
/// A sentence is missing or cannot be filled.
pub fn review_code(
    selection: &Selection<'_>,
    wording: &RecordedWording<'_>,
) -> Result<Option<Code>, WordingError> {
    let Some(days) = review(&selection.areas) else {
        return Ok(None);
    };
    let entries = entries::of(selection, wording)?;
    let Some(entry) = entries.iter().find(|entry| entry.kind == Kind::Review) else {
        return Ok(None);
    };
    let mut lines = Lines::default();
    review_lines(&mut lines, selection, wording, entry);
    // folding is for lines in files; a code with folded lines would only be larger
    let content = lines.finish().replace("\r\n ", "");
    let Some(code) = encoded(content.as_bytes()) else {
        return Ok(None);
    };
    Ok(Some(Code {
        title: entry.title.clone(),
        days,
        side: code.width(),
        outline: outline(&code),
        content,
    }))
}

/// The smallest code that holds the bytes with error correction level M (15 % of the code may be lost).
fn encoded(content: &[u8]) -> Option<QrCode> {
    (1..=40).find_map(|version| at_version(content, version).ok())
}

fn at_version(content: &[u8], version: i16) -> Result<QrCode, QrError> {
    let mut bits = Bits::new(Version::Normal(version));
    if !content.is_ascii() {
        // says that the bytes are UTF-8; without it the standard's default is Latin-1
        bits.push_eci_designator(26)?;
    }
    bits.push_optimal_data(content)?;
    bits.push_terminator(EcLevel::M)?;
    QrCode::with_bits(bits, EcLevel::M)
}

/// Each run of dark modules in a row is a rectangle of the path.
fn outline(code: &QrCode) -> String {
    let mut path = String::new();
    for y in 0..code.width() {
        let mut x = 0;
        while x < code.width() {
            let start = x;
            while x < code.width() && code[(x, y)] == Color::Dark {
                x += 1;
            }
            if x > start {
                let length = x - start;
                path.push_str(&format!("M{start} {y}h{length}v1h-{length}z"));
            }
            x += 1;
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_outline_covers_exactly_the_dark_modules() {
        let code = encoded("BEGIN:VCALENDAR é".as_bytes()).expect("a short text fits");
        let mut drawn = vec![vec![false; code.width()]; code.width()];
        let outline = outline(&code);
        for rectangle in outline.split_terminator('z') {
            let numbers: Vec<usize> = rectangle
                .split(['M', ' ', 'h', 'v', '-'])
                .filter(|part| !part.is_empty())
                .map(|part| part.parse().expect("a whole number"))
                .collect();
            let [x, y, length, 1, back] = numbers[..] else {
                panic!("no rectangle one module high: {rectangle}");
            };
            assert_eq!(length, back, "{rectangle}");
            for module in &mut drawn[y][x..x + length] {
                assert!(!*module, "drawn twice");
                *module = true;
            }
        }
        for (y, row) in drawn.iter().enumerate() {
            for (x, dark) in row.iter().enumerate() {
                assert_eq!(*dark, code[(x, y)] == Color::Dark, "{x} {y}");
            }
        }
    }

    #[test]
    fn what_does_not_fit_gives_no_code() {
        assert!(encoded(&[b'a'; 4000]).is_none());
    }
}
