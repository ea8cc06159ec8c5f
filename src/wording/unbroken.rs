//! Turns the spaces inside a date, and beside the number of a frequency or a measure, into spaces at which no line ends.
//! Invariant: only spaces are changed, each into one no-break space; what a reader reads is the same.
//! Must not: know what a text is printed on.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock};

use jiff::civil::date;
use regex::Regex;

use super::Formats;

/// "12 in 100 people", "3 de cada 100": a number that stands alone on the next line is read as another one.
const FREQUENCY: &str = r"(?:\d+ )?(?:in|de cada|cada) \d+";

/// "2 weeks", "2 to 5 days", "1 o 2 semanas", "20 unidades", in every language of the release.
const MEASURE: &str = r"(?:\d+ (?:to|or|a|o|y) )?\d+ (?:mm|minutes?|hours?|days?|weeks?|months?|years?|units?|people|minutos?|horas?|días?|semanas?|mes(?:es)?|años?|unidad(?:es)?|personas?)";

/// "Round 2", "sesión 2".
const ROUND: &str = r"(?:[Rr]ound|[Ss]esión) \d+";

/// "999 or 112", "2 o 3".
const CHOICE: &str = r"\d+ (?:or|o) \d+";

/// What may stand before a day and a month, in short: "Mon, Dec 14", "jue 10 dic".
const WEEKDAY: &str = r"(?:(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun|lun|mar|mié|jue|vie|sáb|dom),? )?";

/// What may follow a day and a month. Not after words like "17 de diciembre de", which hold a quarter of a line together already.
const YEAR: &str = r"(?:,? \d{4})?";

/// What stays in one piece in a language; found once for a document.
#[derive(Clone, Default)]
pub struct Unbroken(Option<Arc<Regex>>);

impl Unbroken {
    /// A language that the release does not speak has no dates of ours: its texts stay.
    pub fn of(language: &str) -> Unbroken {
        static KNOWN: OnceLock<Mutex<BTreeMap<String, Unbroken>>> = OnceLock::new();
        let known = KNOWN.get_or_init(Mutex::default);
        let mut known = known.lock().expect("nobody panics while holding it");
        let entry = known.entry(language.to_owned());
        // shared: a copy of a pattern would begin without what it has learnt of texts
        entry
            .or_insert_with(|| Unbroken(pattern(language).map(Arc::new)))
            .clone()
    }

    /// A text, each date and each number with its measure in one piece.
    pub fn text<'t>(&self, text: &'t str) -> Cow<'t, str> {
        match &self.0 {
            Some(found) => found.replace_all(text, |words: &regex::Captures<'_>| held(&words[0])),
            None => Cow::Borrowed(text),
        }
    }
}

/// Words in one piece.
pub fn held(words: &str) -> String {
    words.replace(' ', "\u{a0}")
}

/// A day as this language writes it, in either length, with its year or without.
fn pattern(language: &str) -> Option<Regex> {
    let formats = Formats::new(language).ok()?;
    let mut forms = [FREQUENCY, MEASURE, ROUND, CHOICE]
        .map(str::to_owned)
        .to_vec();
    for month in 1..=12 {
        let day = date(2026, month, 3);
        for said in [formats.day_month(day), formats.short_day_month(day)] {
            let day_month = regex::escape(&said).replacen('3', r"\d{1,2}", 1);
            forms.push(format!("{WEEKDAY}{day_month}{YEAR}"));
        }
    }
    let all = format!(r"\b(?:{})\b", forms.join("|"));
    Some(Regex::new(&all).expect("escaped words and digits are a pattern"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_stays_with_its_month_and_year_in_each_language() {
        for (language, text, wanted) in [
            (
                "en-GB",
                "Call 999 or 112 from 17 December 2026, or 3 Sept 2027.",
                "Call 999~or~112 from 17~December~2026, or 3~Sept~2027.",
            ),
            (
                "en-US",
                "until December 17, 2026",
                "until December~17,~2026",
            ),
            (
                "es-ES",
                "el 17 de diciembre de 2026, o 3 sept 2027",
                "el 17~de~diciembre de 2026, o 3~sept~2027",
            ),
            (
                "en-GB",
                "9 to 12 in 100 people, in March, after 2 weeks",
                "9 to 12~in~100 people, in March, after 2~weeks",
            ),
            (
                "en-US",
                "until 2:30 PM on Mon, Dec 14, round 2, after 2 to 5 days",
                "until 2:30 PM on Mon,~Dec~14, round~2, after 2~to~5~days",
            ),
            (
                "es-US",
                "de 9 a 12 de cada 100, 20 unidades",
                "de 9 a 12~de~cada~100, 20~unidades",
            ),
        ] {
            assert_eq!(
                Unbroken::of(language).text(text).replace('\u{a0}', "~"),
                wanted
            );
        }
    }

    #[test]
    fn words_of_a_language_that_is_not_ours_stay() {
        assert_eq!(Unbroken::of("not a tag").text("17 December"), "17 December");
    }
}
