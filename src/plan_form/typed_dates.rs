//! Turns dates and times as people type them into dates and times as files hold them.
//! Invariant: only what can be read in one way is read: a month is in letters, or the date is year-month-day.
//! Must not: take `03/12/2026` for either of the two days it can be, or look at a clock.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use jiff::civil::{Date, date};

use crate::wording::{Formats, library};

/// Letters that a shortened month needs at least.
const LEAST_LETTERS: usize = 3;

/// Words that may stand in any date, beside those that stand in every date of a language ("de").
const FILLERS: [&str; 2] = ["of", "the"];
/// Behind a day: 1st, 2nd, 3rd, 4th.
const ORDINALS: [&str; 4] = ["st", "nd", "rd", "th"];

/// What dates are written with in the languages of the release.
struct Names {
    /// Every name of a month in small letters, and its number.
    months: BTreeMap<String, i8>,
    fillers: Vec<String>,
}

/// A day: `2026-12-03`, `3 December 2026`, `3 Dec 2026`, `Dec 3, 2026`, `3 de diciembre de 2026`, with the month in any language that
/// there are words in.
///
/// ```
/// use beforehand::plan_form::typed_date;
///
/// assert_eq!(typed_date("3 Dec. 2026"), typed_date("2026-12-03"));
/// assert_eq!(typed_date("3 de diciembre de 2026"), typed_date("2026-12-03"));
/// assert_eq!(typed_date("03/12/2026"), None);
/// ```
pub fn typed_date(text: &str) -> Option<Date> {
    if let Some(day) = iso(text) {
        return Some(day);
    }
    let (month, numbers) = in_letters(text)?;
    let (day, year) = match numbers[..] {
        [(day, 1 | 2), (year, 4)] | [(year, 4), (day, 1 | 2)] => (day, year),
        _ => return None,
    };
    Date::new(year, month, i8::try_from(day).ok()?).ok()
}

/// A month as `2026-12`, from `2026-12`, `December 2026` or `dic 2026`.
pub fn typed_month(text: &str) -> Option<String> {
    let first = iso(&format!("{}-01", text.trim()));
    let first = first.or_else(|| match in_letters(text)? {
        (month, numbers) if matches!(numbers[..], [(_, 4)]) => {
            Date::new(numbers[0].0, month, 1).ok()
        }
        _ => None,
    })?;
    Some(format!("{:04}-{:02}", first.year(), first.month()))
}

/// A time of day as `14:30`, from `14:30`, `9:15`, `9.15`, `2:30 pm` or `2 p.m.`; seconds are kept.
pub fn typed_time(text: &str) -> Option<String> {
    let small: String = text
        .to_lowercase()
        .chars()
        .filter(|c| !c.is_whitespace())
        .collect();
    let (clock, half) = split_half(&small);
    let parts: Vec<&str> = clock.split([':', '.']).collect();
    let parts: Vec<i8> = parts
        .iter()
        .enumerate()
        .map(|(place, part)| digits(part, if place == 0 { 1 } else { 2 }, 2))
        .map(|number| number.and_then(|number| i8::try_from(number).ok()))
        .collect::<Option<_>>()?;
    let (hour, minute, second) = match (parts[..].as_ref(), half) {
        ([hour, minute], _) => (*hour, *minute, None),
        ([hour, minute, second], _) => (*hour, *minute, Some(*second)),
        // "2 pm" is a time; "2" may be anything
        ([hour], Some(_)) => (*hour, 0, None),
        _ => return None,
    };
    let hour = match half {
        None => hour,
        Some(_) if !(1..=12).contains(&hour) => return None,
        Some(Half::Morning) => hour % 12,
        Some(Half::Afternoon) => hour % 12 + 12,
    };
    jiff::civil::Time::new(hour, minute, second.unwrap_or(0), 0).ok()?;
    Some(match second {
        Some(second) => format!("{hour:02}:{minute:02}:{second:02}"),
        None => format!("{hour:02}:{minute:02}"),
    })
}

#[derive(Debug, Clone, Copy)]
enum Half {
    Morning,
    Afternoon,
}

fn split_half(small: &str) -> (&str, Option<Half>) {
    for (words, half) in [
        (["am", "a.m.", "a.m"], Half::Morning),
        (["pm", "p.m.", "p.m"], Half::Afternoon),
    ] {
        for word in words {
            if let Some(clock) = small.strip_suffix(word) {
                return (clock, Some(half));
            }
        }
    }
    (small, None)
}

fn iso(text: &str) -> Option<Date> {
    let parts: Vec<&str> = text.trim().split('-').collect();
    let [year, month, day] = parts[..] else {
        return None;
    };
    let small = |part| i8::try_from(digits(part, 2, 2)?).ok();
    Date::new(digits(year, 4, 4)?, small(month)?, small(day)?).ok()
}

fn digits(text: &str, least: usize, most: usize) -> Option<i16> {
    let fits = (least..=most).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    fits.then(|| text.parse().ok()).flatten()
}

/// The month of a date in letters, and its numbers with how many digits each has; none when anything else is in it.
fn in_letters(text: &str) -> Option<(i8, Vec<(i16, usize)>)> {
    let names = names();
    let (mut month, mut numbers) = (None, Vec::new());
    for token in tokens(text)? {
        let length = token.len() - token.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        let (number, rest) = token.split_at(length);
        if length > 0 && (rest.is_empty() || (length <= 2 && ORDINALS.contains(&rest))) {
            numbers.push((digits(number, 1, 4)?, length));
        } else if length > 0 {
            return None;
        } else if names.is_filler(&token) {
        } else if month.replace(names.month(&token)?).is_some() {
            return None;
        }
    }
    Some((month?, numbers))
}

/// The words and numbers of a text in small letters; none when signs stand in it that no date in letters has.
fn tokens(text: &str) -> Option<Vec<String>> {
    let mut tokens = Vec::new();
    for piece in text.split(|c: char| c.is_whitespace() || matches!(c, ',' | '.')) {
        if !piece.chars().all(char::is_alphanumeric) {
            return None;
        }
        if !piece.is_empty() {
            tokens.push(piece.to_lowercase());
        }
    }
    Some(tokens)
}

impl Names {
    fn is_filler(&self, word: &str) -> bool {
        FILLERS.contains(&word) || self.fillers.iter().any(|filler| filler == word)
    }

    /// The month that a word names: whole, or by its first letters where they begin no other month of any language.
    fn month(&self, word: &str) -> Option<i8> {
        if let Some(month) = self.months.get(word) {
            return Some(*month);
        }
        if word.chars().count() < LEAST_LETTERS {
            return None;
        }
        let mut meant = self
            .months
            .iter()
            .filter(|(name, _)| name.starts_with(word));
        let (_, first) = meant.next()?;
        meant.all(|(_, other)| other == first).then_some(*first)
    }
}

/// The names of months in every language of the release, as its own formats write them.
fn names() -> &'static Names {
    static NAMES: OnceLock<Names> = OnceLock::new();
    NAMES.get_or_init(|| {
        let mut known = Names {
            months: BTreeMap::new(),
            fillers: Vec::new(),
        };
        for tag in library::tags().chain(library::countries()) {
            let formats =
                Formats::new(tag).expect("the release formats dates in its own languages");
            known.learn(&formats);
        }
        known
    })
}

impl Names {
    /// The words of dates: those in all twelve months are fillers, the others name the month.
    fn learn(&mut self, formats: &Formats) {
        let words = |month: i8| -> Vec<String> {
            let day = date(2026, month, 3);
            [
                formats.date(day),
                formats.short_date(day),
                formats.short_month(day),
            ]
            .iter()
            .flat_map(|text| tokens(text).unwrap_or_default())
            .filter(|token| token.chars().all(char::is_alphabetic))
            .collect()
        };
        let by_month: Vec<(i8, Vec<String>)> = (1..=12).map(|m| (m, words(m))).collect();
        for (month, words) in &by_month {
            for word in words {
                if by_month.iter().all(|(_, others)| others.contains(word)) {
                    if !self.fillers.contains(word) {
                        self.fillers.push(word.clone());
                    }
                } else {
                    self.months.insert(word.clone(), *month);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_read_in_words_and_never_from_three_numbers() {
        let day = Some(date(2026, 12, 3));
        for text in [
            "2026-12-03",
            " 2026-12-03 ",
            "3 Dec 2026",
            "3 dec. 2026",
            "03 December 2026",
            "3 DICIEMBRE 2026",
            "3 dic 2026",
            "3 dic. 2026",
            "3 de diciembre de 2026",
            "December 3, 2026",
            "3rd of December 2026",
            "3rd\u{a0}December\u{a0}2026",
            "3 decem 2026",
        ] {
            assert_eq!(typed_date(text), day, "{text}");
        }
        for text in [
            "03/12/2026",
            "3.12.2026",
            "3-12-2026",
            "2026-12-3",
            "2026/12/03",
            "31.2.2026",
            "31 Feb 2026",
            "2026-02-31",
            "3 Dec 26",
            "3 De 2026",
            "3 ju 2026",
            "3 2026",
            "Dec 2026",
            "3 Dec Dec 2026",
            "3 Dec 2026 2027",
            "3 Dec 2026 at noon",
            "tomorrow",
            "",
            "3 Brumaire 2026",
            "2026-12-03T10:00",
        ] {
            assert_eq!(typed_date(text), None, "{text}");
        }
        assert_eq!(typed_date("3 mar 2026"), Some(date(2026, 3, 3)));
        assert_eq!(typed_date("3 ene 2026"), Some(date(2026, 1, 3)));
        assert_eq!(typed_date("3 sept 2026"), Some(date(2026, 9, 3)));
    }

    #[test]
    fn months_and_times_are_read_in_their_usual_forms() {
        for text in ["2026-12", "Dec 2026", "december 2026", "diciembre de 2026"] {
            assert_eq!(typed_month(text).as_deref(), Some("2026-12"), "{text}");
        }
        for text in ["12/2026", "2026", "Dec", "3 Dec 2026", "Dec 26"] {
            assert_eq!(typed_month(text), None, "{text}");
        }
        for (text, time) in [
            ("9:15", "09:15"),
            ("09:15", "09:15"),
            ("9.15", "09:15"),
            ("14:30", "14:30"),
            ("14:30:05", "14:30:05"),
            ("2:30 pm", "14:30"),
            ("2.30PM", "14:30"),
            ("2:30\u{202f}p.\u{a0}m.", "14:30"),
            ("2 pm", "14:00"),
            ("12:05 am", "00:05"),
            ("12 p.m.", "12:00"),
            ("0:00", "00:00"),
        ] {
            assert_eq!(typed_time(text).as_deref(), Some(time), "{text}");
        }
        for text in [
            "24:00",
            "9:60",
            "14:30 pm",
            "0:30 am",
            "9",
            "915",
            "9:5",
            "9:15:7",
            "half past nine",
            "",
            "9h15",
            "-9:15",
        ] {
            assert_eq!(typed_time(text), None, "{text}");
        }
    }
}
