//! Turns dates, times, numbers and lists into the words of one locale, by CLDR through ICU4X.
//! Invariant: the same value always gives the same words; nothing is taken from the machine's own settings.
//! Must not: know statements or papers.

use icu::calendar::Date as IcuDate;
use icu::datetime::fieldsets;
use icu::datetime::input::Time as IcuTime;
use icu::datetime::{DateTimeFormatter, NoCalendarFormatter};
use icu::decimal::DecimalFormatter;
use icu::decimal::input::Decimal;
use icu::list::ListFormatter;
use icu::list::options::{ListFormatterOptions, ListLength};
use icu::locale::Locale;
use icu::plurals::{PluralCategory, PluralOperands, PluralRules};
use icu_experimental::dimension::currency::CurrencyType;
use icu_experimental::dimension::currency::formatter::CurrencyFormatter;
use jiff::civil::{Date, Time};

/// Languages whose short weekdays can be read as other words: "hasta el mar" goes as far as the sea.
const WEEKDAYS_IN_FULL: &[&str] = &["es"];

/// The formatters of one locale.
pub struct Formats {
    tag: String,
    date: DateTimeFormatter<fieldsets::YMD>,
    weekday_date: DateTimeFormatter<fieldsets::YMDE>,
    day_month: DateTimeFormatter<fieldsets::MD>,
    weekday_day: DateTimeFormatter<fieldsets::MDE>,
    short_date: DateTimeFormatter<fieldsets::YMD>,
    short_day_month: DateTimeFormatter<fieldsets::MD>,
    short_month: DateTimeFormatter<fieldsets::M>,
    short_month_year: DateTimeFormatter<fieldsets::YM>,
    time: NoCalendarFormatter<fieldsets::T>,
    decimal: DecimalFormatter,
    and: ListFormatter,
    or: ListFormatter,
    plural: PluralRules,
}

impl Formats {
    /// Formatters for a tag such as `en-GB`.
    ///
    /// # Errors
    /// The tag, when it is malformed or ICU4X carries no data for it.
    pub fn new(tag: &str) -> Result<Formats, String> {
        let locale: Locale = tag.parse().map_err(|error| format!("{tag}: {error}"))?;
        let fail = |error: &dyn std::fmt::Display| format!("{tag}: {error}");
        let in_full = WEEKDAYS_IN_FULL.contains(&locale.id.language.as_str());
        let weekday_day = match in_full {
            true => fieldsets::MDE::long(),
            false => fieldsets::MDE::medium(),
        };
        let wide = ListFormatterOptions::default().with_length(ListLength::Wide);
        Ok(Formats {
            tag: tag.to_owned(),
            date: DateTimeFormatter::try_new((&locale).into(), fieldsets::YMD::long())
                .map_err(|e| fail(&e))?,
            weekday_date: DateTimeFormatter::try_new((&locale).into(), fieldsets::YMDE::long())
                .map_err(|e| fail(&e))?,
            day_month: DateTimeFormatter::try_new((&locale).into(), fieldsets::MD::long())
                .map_err(|e| fail(&e))?,
            weekday_day: DateTimeFormatter::try_new((&locale).into(), weekday_day)
                .map_err(|e| fail(&e))?,
            short_date: DateTimeFormatter::try_new((&locale).into(), fieldsets::YMD::medium())
                .map_err(|e| fail(&e))?,
            short_day_month: DateTimeFormatter::try_new((&locale).into(), fieldsets::MD::medium())
                .map_err(|e| fail(&e))?,
            short_month: DateTimeFormatter::try_new((&locale).into(), fieldsets::M::medium())
                .map_err(|e| fail(&e))?,
            short_month_year: DateTimeFormatter::try_new((&locale).into(), fieldsets::YM::medium())
                .map_err(|e| fail(&e))?,
            time: NoCalendarFormatter::try_new((&locale).into(), fieldsets::T::hm())
                .map_err(|e| fail(&e))?,
            decimal: DecimalFormatter::try_new((&locale).into(), Default::default())
                .map_err(|e| fail(&e))?,
            and: ListFormatter::try_new_and((&locale).into(), wide).map_err(|e| fail(&e))?,
            or: ListFormatter::try_new_or((&locale).into(), wide).map_err(|e| fail(&e))?,
            plural: PluralRules::try_new_cardinal((&locale).into()).map_err(|e| fail(&e))?,
        })
    }

    pub fn tag(&self) -> &str {
        &self.tag
    }

    /// "3 December 2026".
    pub fn date(&self, date: Date) -> String {
        self.date.format(&icu_date(date)).to_string()
    }

    /// "3 December", where the year is said elsewhere.
    pub fn day_month(&self, date: Date) -> String {
        self.day_month.format(&icu_date(date)).to_string()
    }

    /// "Thu 3 Dec", "jueves, 3 de diciembre": for a column of days that are all near the visit.
    pub fn weekday_day(&self, date: Date) -> String {
        self.weekday_day.format(&icu_date(date)).to_string()
    }

    /// "3 Dec 2026", for pictures.
    pub fn short_date(&self, date: Date) -> String {
        self.short_date.format(&icu_date(date)).to_string()
    }

    /// "3 Dec".
    pub fn short_day_month(&self, date: Date) -> String {
        self.short_day_month.format(&icu_date(date)).to_string()
    }

    /// "Dec".
    pub fn short_month(&self, date: Date) -> String {
        self.short_month.format(&icu_date(date)).to_string()
    }

    /// "Dec 2026".
    pub fn short_month_year(&self, date: Date) -> String {
        self.short_month_year.format(&icu_date(date)).to_string()
    }

    /// "Thursday, 3 December 2026".
    pub fn weekday_date(&self, date: Date) -> String {
        self.weekday_date.format(&icu_date(date)).to_string()
    }

    /// "14:30", "2:30 PM".
    pub fn time(&self, time: Time) -> String {
        let time = IcuTime::try_new(time.hour() as u8, time.minute() as u8, 0, 0)
            .expect("a civil time has hours below 24 and minutes below 60");
        // CLDR puts a narrow no-break space before AM and PM; a plain no-break space exists in every font
        self.time
            .format(&time)
            .to_string()
            .replace('\u{202f}', "\u{a0}")
    }

    /// A number already written with a point, with all its digits, in the signs of the locale: "0,125".
    pub fn digits(&self, text: &str) -> String {
        match text.parse::<Decimal>() {
            Ok(number) => self.decimal.format_to_string(&number),
            Err(_) => text.to_owned(),
        }
    }

    /// Up to two decimals, none that are zero: "7.5", "2,036". What rounds to nothing has no minus in front of it.
    pub fn number(&self, value: f64) -> String {
        let rounded = format!("{value:.2}");
        let trimmed = match rounded.trim_end_matches('0').trim_end_matches('.') {
            "-0" => "0",
            trimmed => trimmed,
        };
        let decimal: Decimal = trimmed
            .parse()
            .expect("a finite float prints as a decimal number");
        self.decimal.format(&decimal).to_string()
    }

    /// "£320", "£312.50": an amount in a currency of ISO 4217, by CLDR; a whole one without its hundredths.
    pub fn money(&self, amount: f64, currency: &str) -> String {
        let plain = || format!("{} {currency}", self.number(amount));
        let Ok(locale) = self.tag.parse::<Locale>() else {
            return plain();
        };
        let Ok(code) = currency.parse::<CurrencyType>() else {
            return plain();
        };
        let Ok(formatter) =
            CurrencyFormatter::try_new_symbol((&locale).into(), code, Default::default())
        else {
            return plain();
        };
        let Ok(value) = format!("{amount:.2}").parse::<Decimal>() else {
            return plain();
        };
        let said = formatter.format_fixed_decimal(&value).to_string();
        if amount.fract() != 0.0 {
            return said;
        }
        // the formatter always writes the hundredths of the currency
        let point: String = self.number(1.5).chars().skip(1).take(1).collect();
        said.replacen(&format!("{point}00"), "", 1)
    }

    /// "a, b and c".
    pub fn and(&self, items: &[String]) -> String {
        self.and.format(items.iter()).to_string()
    }

    /// "a, b or c".
    pub fn or(&self, items: &[String]) -> String {
        self.or.format(items.iter()).to_string()
    }

    /// The CLDR plural category of a number as printed by `number`: `one`, `other`...
    pub fn plural(&self, value: f64) -> &'static str {
        let printed = format!("{value:.2}");
        let trimmed = printed.trim_end_matches('0').trim_end_matches('.');
        let decimal: Decimal = trimmed
            .parse()
            .expect("a finite float prints as a decimal number");
        match self.plural.category_for(PluralOperands::from(&decimal)) {
            PluralCategory::Zero => "zero",
            PluralCategory::One => "one",
            PluralCategory::Two => "two",
            PluralCategory::Few => "few",
            PluralCategory::Many => "many",
            PluralCategory::Other => "other",
        }
    }
}

fn icu_date(date: Date) -> IcuDate<icu::calendar::Iso> {
    IcuDate::try_new_iso(i32::from(date.year()), date.month() as u8, date.day() as u8)
        .expect("a civil date is a valid ISO date")
}

#[cfg(test)]
mod tests {
    use super::*;

    // Expected strings: what Node 20 `Intl` with CLDR 48 prints for `month: "short"` with and without day and year.
    #[test]
    fn short_dates_by_locale() {
        let september = jiff::civil::date(2027, 9, 1);
        let short = |tag: &str| {
            let formats = Formats::new(tag).expect("known locale");
            [
                formats.short_date(september),
                formats.short_day_month(september),
                formats.short_month(september),
                formats.short_month_year(september),
            ]
            .join("|")
        };
        assert_eq!(short("en-GB"), "1 Sept 2027|1 Sept|Sept|Sept 2027");
        assert_eq!(short("en-US"), "Sep 1, 2027|Sep 1|Sep|Sep 2027");
        assert_eq!(short("es-ES"), "1 sept 2027|1 sept|sept|sept 2027");
        assert_eq!(short("sv"), "1 sep. 2027|1 sep.|sep.|sep. 2027");
    }

    // Expected strings: what Node 20 `Intl` with CLDR 48 prints for `dateStyle` "full" and "long", `timeStyle` "short", and for a
    // short weekday with day and month.
    #[test]
    fn dates_and_times_by_locale() {
        let (date, time) = (
            jiff::civil::date(2026, 12, 3),
            jiff::civil::time(14, 30, 0, 0),
        );
        let gb = Formats::new("en-GB").expect("known locale");
        assert_eq!(gb.date(date), "3 December 2026");
        assert_eq!(gb.weekday_date(date), "Thursday, 3 December 2026");
        assert_eq!(gb.time(time), "14:30");
        let us = Formats::new("en-US").expect("known locale");
        assert_eq!(us.date(date), "December 3, 2026");
        assert_eq!(us.weekday_date(date), "Thursday, December 3, 2026");
        assert_eq!(us.time(time), "2:30\u{a0}PM");
        assert_eq!(gb.weekday_day(date), "Thu 3 Dec");
        let es = Formats::new("es-US").expect("known locale");
        assert_eq!(es.weekday_day(date), "jueves, 3 de diciembre");
    }

    #[test]
    fn numbers_lists_and_plurals() {
        let gb = Formats::new("en-GB").expect("known locale");
        assert_eq!(gb.number(7.5), "7.5");
        assert_eq!(gb.number(2036.0), "2,036");
        for nothing in [0.0, -0.0, -0.004] {
            assert_eq!(gb.number(nothing), "0");
        }
        assert_eq!(gb.number(-0.01), "-0.01");
        assert_eq!(gb.and(&["a".into(), "b".into(), "c".into()]), "a, b and c");
        assert_eq!(gb.plural(1.0), "one");
        assert_eq!(gb.plural(1.5), "other");
    }
}
