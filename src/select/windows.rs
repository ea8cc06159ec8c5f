//! Turns catalogue windows into dates after a visit.
//! Invariant: a range stays a range; whole months follow the calendar and end on the last day of a shorter month.
//! Must not: round a window to look tidier.

use jiff::ToSpan;
use jiff::civil::Date;

use crate::catalogue::{Area, Product, TimeUnit, Window, WindowKind};

/// From `first` to `last`, both included; the same day twice when there is no range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DateRange {
    pub first: Date,
    pub last: Date,
}

/// The dates of one area after one visit.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct WindowDates {
    pub onset: Option<DateRange>,
    pub full_effect: Option<DateRange>,
    pub review: Option<DateRange>,
    pub wears_off: Option<DateRange>,
    pub repeat: Option<DateRange>,
    /// The longest it is known to last, where that is longer than `wears_off`.
    pub may_last: Option<DateRange>,
    /// When some see it end, where that is sooner than `wears_off`.
    pub may_end: Option<DateRange>,
}

/// `amount` of `unit` after a day. Parts of a day count as the day they fall on; halves of months as fifteen days.
pub fn after(day: Date, amount: f64, unit: TimeUnit) -> Date {
    let moved = match unit {
        TimeUnit::Hours => day.checked_add(((amount / 24.0).floor() as i64).days()),
        TimeUnit::Days => day.checked_add((amount.floor() as i64).days()),
        TimeUnit::Weeks => day.checked_add(((amount * 7.0).floor() as i64).days()),
        TimeUnit::Months => {
            let whole = amount.floor();
            let rest = ((amount - whole) * 30.0).round() as i64;
            day.checked_add((whole as i64).months())
                .and_then(|d| d.checked_add(rest.days()))
        }
    };
    // the plan reader keeps the year of a visit below 2200 and the catalogue's spans are months, so this stays in the calendar
    moved.expect("a visit date plus a catalogue window is a date")
}

fn range(day: Date, window: &Window) -> DateRange {
    DateRange {
        first: after(day, window.low, window.unit),
        last: after(day, window.high, window.unit),
    }
}

/// All windows of an area as dates.
pub fn dates(area: &Area, product: &Product, day: Date) -> WindowDates {
    let of = |kind| {
        area.window(kind, &product.id)
            .map(|window| range(day, window))
    };
    WindowDates {
        onset: of(WindowKind::Onset),
        full_effect: of(WindowKind::FullEffect),
        review: of(WindowKind::Review),
        wears_off: of(WindowKind::WearsOff),
        repeat: of(WindowKind::Repeat),
        may_last: longest(of(WindowKind::MayLast), product, day),
        may_end: of(WindowKind::MayEnd),
    }
}

/// The later of what is known of the area and what is known of the product.
fn longest(area: Option<DateRange>, product: &Product, day: Date) -> Option<DateRange> {
    let known = product
        .longest
        .as_ref()
        .map(|longest| after(day, f64::from(longest.weeks), TimeUnit::Weeks));
    match (area, known) {
        (Some(area), Some(known)) => Some(DateRange {
            first: area.first,
            last: area.last.max(known),
        }),
        (None, Some(known)) => Some(DateRange {
            first: known,
            last: known,
        }),
        (area, None) => area,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn months_end_on_the_last_day_of_a_shorter_month() {
        assert_eq!(
            after(date(2026, 1, 31), 1.0, TimeUnit::Months),
            date(2026, 2, 28)
        );
        assert_eq!(
            after(date(2028, 1, 31), 1.0, TimeUnit::Months),
            date(2028, 2, 29)
        );
        assert_eq!(
            after(date(2026, 12, 3), 2.0, TimeUnit::Weeks),
            date(2026, 12, 17)
        );
        assert_eq!(
            after(date(2026, 12, 3), 36.0, TimeUnit::Hours),
            date(2026, 12, 4)
        );
        assert_eq!(
            after(date(2026, 12, 3), 1.5, TimeUnit::Months),
            date(2027, 1, 18)
        );
    }
}
