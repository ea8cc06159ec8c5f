//! Dates and times of day: written text into values, and what is wrong with those that cannot be.
//!
//! Invariant: only `YYYY-MM-DD` and `HH:MM` (24 hours, seconds allowed) are read; day and month are never guessed.
//!
//! Must not: repeat the date in a sentence (a date of birth is personal), or look at a clock.

use jiff::civil::{Date, Time};

use crate::diagnose::Code;

const DATE_HELP: &str = "Write it as year-month-day, like 2026-12-03.";
const TIME_HELP: &str = "Write it with 24 hours, like 09:05 or 14:30.";

/// The day, or what is wrong and what to do.
pub(in crate::plan) fn day(year: i16, month: i8, day: i8) -> Result<Date, (String, String)> {
    if !(1..=12).contains(&month) {
        let problem = "This date does not exist: there are only the months 01 to 12.";
        return Err((problem.to_owned(), DATE_HELP.to_owned()));
    }
    Date::new(year, month, day).map_err(|_| {
        // the first of every month exists, in every year of four digits
        let days = Date::new(year, month, 1).map_or(31, |first| first.days_in_month());
        (
            format!("This date does not exist: that month has only {days} days."),
            "Look the date up in a calendar.".to_owned(),
        )
    })
}

/// The time of day, or what is wrong and what to do.
pub(in crate::plan) fn clock(hour: i8, minute: i8, second: i8) -> Result<Time, (String, String)> {
    Time::new(hour, minute, second, 0).map_err(|_| {
        (
            "This time does not exist: hours go from 00 to 23, minutes from 00 to 59.".to_owned(),
            TIME_HELP.to_owned(),
        )
    })
}

/// Reads a date written as text.
pub(in crate::plan) fn day_of_text(text: &str) -> Result<Date, (String, String)> {
    let parts: Vec<&str> = text.split('-').collect();
    if let [y, m, d] = parts[..]
        && let (Some(y), Some(m), Some(d)) = (digits(y, 4), digits(m, 2), digits(d, 2))
    {
        return day(y, m as i8, d as i8);
    }
    let problem = if looks_like_day(text) {
        "This date is not written as year-month-day, with four, two and two digits."
    } else {
        "This is not a date."
    };
    Err((problem.to_owned(), DATE_HELP.to_owned()))
}

/// The first day of a month written as text, as year-month.
pub(in crate::plan) fn month_of_text(text: &str) -> Option<Date> {
    let (year, month) = text.split_once('-')?;
    Date::new(digits(year, 4)?, digits(month, 2)? as i8, 1).ok()
}

/// Reads a time of day written as text.
pub(in crate::plan) fn clock_of_text(text: &str) -> Result<Time, (String, String)> {
    let parts: Vec<Option<i16>> = text.split(':').map(|part| digits(part, 2)).collect();
    match parts[..] {
        [Some(h), Some(m)] => clock(h as i8, m as i8, 0),
        [Some(h), Some(m), Some(s)] => clock(h as i8, m as i8, s as i8),
        _ => Err((
            "This is not a time of day.".to_owned(),
            TIME_HELP.to_owned(),
        )),
    }
}

/// For a value outside quotation marks that the TOML parser refused: if it was meant as a date or a time of day, the code,
/// how many bytes of the value it takes, what is wrong and what to do.
pub(in crate::plan) fn explain_bare(value: &str) -> Option<(Code, usize, String, String)> {
    let word = value.split(['#', ' ', '\t']).next()?;
    if looks_like_day(word) {
        let (problem, remedy) = match day_of_text(word) {
            Err(words) => words,
            // the day is right, so something behind it is wrong
            Ok(_) => (
                "Something stands behind this date.".to_owned(),
                "Write nothing but the date, or put # in front of a remark.".to_owned(),
            ),
        };
        return Some((Code::DateImpossible, word.len(), problem, remedy));
    }
    if looks_like_clock(word) {
        let (problem, remedy) = match clock_of_text(word) {
            Err(words) => words,
            Ok(_) => (
                "Something stands behind this time of day.".to_owned(),
                TIME_HELP.to_owned(),
            ),
        };
        return Some((Code::TimeImpossible, word.len(), problem, remedy));
    }
    None
}

/// Three groups of digits between the same signs, as dates are written anywhere.
fn looks_like_day(word: &str) -> bool {
    ['-', '/', '.'].iter().any(|sign| {
        let parts: Vec<&str> = word.split(*sign).collect();
        parts.len() == 3
            && parts.iter().all(|part| {
                (1..=4).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit())
            })
    })
}

fn looks_like_clock(word: &str) -> bool {
    let bytes = word.as_bytes();
    let colon = word.find(':');
    matches!(colon, Some(1 | 2))
        && bytes[0].is_ascii_digit()
        && bytes
            .get(colon.unwrap_or(0) + 1)
            .is_some_and(u8::is_ascii_digit)
}

fn digits(text: &str, length: usize) -> Option<i16> {
    (text.len() == length && text.bytes().all(|b| b.is_ascii_digit()))
        .then(|| text.parse().ok())
        .flatten()
}

#[cfg(test)]
mod tests {
    use crate::diagnose::Code;
    use crate::plan::dates::{clock_of_text, day_of_text, explain_bare};
    use jiff::civil::{date, time};

    #[test]
    fn days_that_exist_are_read_and_others_say_why_not() {
        assert_eq!(day_of_text("2028-02-29"), Ok(date(2028, 2, 29)));
        assert_eq!(day_of_text("0001-01-01"), Ok(date(1, 1, 1)));
        for (text, why) in [
            ("2026-02-30", "only 28 days"),
            ("2028-02-30", "only 29 days"),
            ("2026-04-31", "only 30 days"),
            ("2026-12-00", "only 31 days"),
            ("2026-13-01", "months 01 to 12"),
            ("03/12/2026", "not written as year-month-day"),
            ("3.12.26", "not written as year-month-day"),
            ("2026-1-5", "not written as year-month-day"),
            ("tomorrow", "not a date"),
            ("2026-12-03 ", "not a date"),
            ("２０２６-12-03", "not a date"),
        ] {
            let (problem, _) = day_of_text(text).expect_err(text);
            assert!(problem.contains(why), "{text}: {problem}");
        }
    }

    #[test]
    fn times_need_two_digits_and_24_hours() {
        assert_eq!(clock_of_text("14:30"), Ok(time(14, 30, 0, 0)));
        assert_eq!(clock_of_text("00:00:59"), Ok(time(0, 0, 59, 0)));
        for text in ["24:00", "14:60", "2:30", "2:30 pm", "1430", "", "14:30:60"] {
            assert!(clock_of_text(text).is_err(), "{text}");
        }
    }

    #[test]
    fn bare_values_are_recognised_by_their_looks() {
        let code = |text| explain_bare(text).map(|(code, length, ..)| (code, length));
        assert_eq!(code("2026-02-30 # x"), Some((Code::DateImpossible, 10)));
        assert_eq!(code("03/12/2026"), Some((Code::DateImpossible, 10)));
        assert_eq!(code("25:10"), Some((Code::TimeImpossible, 5)));
        assert_eq!(code("2:30 pm"), Some((Code::TimeImpossible, 4)));
        assert_eq!(code("2,5"), None);
        assert_eq!(code("“x”"), None);
        assert_eq!(code(""), None);
    }
}
