//! Turns catalogue numbers into phrases of one language: "2 to 5 days", "about 6 weeks", "3 in 100 people".
//! Invariant: a range stays a range; a part in a hundred is never shown as nothing when it is more than nothing.
//! Must not: choose which number is shown.

use serde_json::json;

use super::{Context, RecordedWording, Wording, WordingError};
use crate::catalogue::{Counted, Course, Number, NumberUnit, TimeUnit, Window};
use crate::domain::LabelId;

/// A frequency ready to be said: whole numbers out of `per`, each the nearest, so that one figure is said alike wherever it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    pub low: f64,
    pub high: f64,
    pub per: u32,
    /// All of it is above zero and less than one.
    pub below_one: bool,
}

impl Share {
    /// Rescales `low..=high` out of `from` to whole numbers out of `per`.
    pub fn whole(low: f64, high: f64, from: u32, per: u32) -> Share {
        let scale = f64::from(per) / f64::from(from);
        let (low, high) = (low * scale, high * scale);
        // a hair of tolerance: 0.01 * 100 is one
        let below_one = high > 0.0 && high < 1.0 - 1e-9;
        let whole = |share: f64| if below_one { 0.0 } else { share.round() };
        Share {
            low: whole(low),
            high: whole(high),
            per,
            below_one,
        }
    }
}

fn context(value: serde_json::Value) -> Context {
    match value {
        serde_json::Value::Object(map) => map,
        _ => unreachable!("contexts are written as objects in this file"),
    }
}

impl RecordedWording<'_> {
    /// "2 to 5 days", "about 6 weeks".
    ///
    /// # Errors
    /// As `line`.
    pub fn span(
        &self,
        low: f64,
        high: f64,
        unit: TimeUnit,
        about: bool,
    ) -> Result<String, WordingError> {
        self.line(
            &LabelId::span(unit),
            &context(json!({ "low": low, "high": high, "about": about })),
        )
    }

    /// A catalogue window as a phrase.
    ///
    /// # Errors
    /// As `line`.
    pub fn window(&self, window: &Window) -> Result<String, WordingError> {
        self.span(window.low, window.high, window.unit, window.about)
    }

    /// A quoted catalogue number with its unit.
    ///
    /// # Errors
    /// As `line`.
    pub fn number(&self, number: &Number) -> Result<String, WordingError> {
        let (unit, low, high) = match number.unit {
            NumberUnit::In100 => {
                let share = Share::whole(number.low, number.high, 100, 100);
                return self.line(
                    "phrase.number.in-100",
                    &context(json!({
                        "low": share.low, "high": share.high, "per": 100, "below_one": share.below_one,
                        "about": number.about,
                    })),
                );
            }
            NumberUnit::Hours => {
                return self.span(number.low, number.high, TimeUnit::Hours, number.about);
            }
            NumberUnit::Days => {
                return self.span(number.low, number.high, TimeUnit::Days, number.about);
            }
            NumberUnit::Weeks => {
                return self.span(number.low, number.high, TimeUnit::Weeks, number.about);
            }
            NumberUnit::Months => {
                return self.span(number.low, number.high, TimeUnit::Months, number.about);
            }
            NumberUnit::Millimetres => ("millimetres", number.low, number.high),
            NumberUnit::Units => ("units", number.low, number.high),
            NumberUnit::People => ("people", number.low, number.high),
            NumberUnit::Years => ("years", number.low, number.high),
            NumberUnit::Rounds => ("rounds", number.low, number.high),
        };
        self.line(
            &LabelId::number(unit),
            &context(json!({ "low": low, "high": high, "about": number.about })),
        )
    }

    /// "3 in 100 people", "fewer than 1 in 100 treatments".
    ///
    /// # Errors
    /// As `line`.
    pub fn share(&self, share: Share, counted: Counted) -> Result<String, WordingError> {
        self.line(
            "figure.share",
            &context(json!({
                "low": share.low, "high": share.high, "per": share.per, "below_one": share.below_one,
                "counted": match counted { Counted::People => "people", Counted::Treatments => "treatments" },
            })),
        )
    }

    /// The rounds of a course and the time between them, as the values `course.rounds` and `course.interval`.
    ///
    /// # Errors
    /// As `line`.
    pub fn course(&self, course: &Course) -> Result<serde_json::Value, WordingError> {
        let rounds = self.line(
            "phrase.rounds",
            &context(json!({ "low": course.rounds_low, "high": course.rounds_high })),
        )?;
        let interval = self.span(
            course.interval_low,
            course.interval_high,
            course.interval_unit,
            true,
        )?;
        Ok(json!({ "rounds": rounds, "interval": interval }))
    }
}

/// The same where nobody asks what was filled.
impl Wording {
    /// As `RecordedWording::span`.
    ///
    /// # Errors
    /// As `line`.
    pub fn span(
        &self,
        low: f64,
        high: f64,
        unit: TimeUnit,
        about: bool,
    ) -> Result<String, WordingError> {
        self.recorded().span(low, high, unit, about)
    }

    /// As `RecordedWording::window`.
    ///
    /// # Errors
    /// As `line`.
    pub fn window(&self, window: &Window) -> Result<String, WordingError> {
        self.recorded().window(window)
    }

    /// As `RecordedWording::number`.
    ///
    /// # Errors
    /// As `line`.
    pub fn number(&self, number: &Number) -> Result<String, WordingError> {
        self.recorded().number(number)
    }

    /// As `RecordedWording::share`.
    ///
    /// # Errors
    /// As `line`.
    pub fn share(&self, share: Share, counted: Counted) -> Result<String, WordingError> {
        self.recorded().share(share, counted)
    }

    /// As `RecordedWording::course`.
    ///
    /// # Errors
    /// As `line`.
    pub fn course(&self, course: &Course) -> Result<serde_json::Value, WordingError> {
        self.recorded().course(course)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_the_nearest_whole_people() {
        assert_eq!(
            Share::whole(2.4, 2.4, 100, 100),
            Share {
                low: 2.0,
                high: 2.0,
                per: 100,
                below_one: false
            }
        );
        assert_eq!(
            Share::whole(0.0, 5.4, 100, 100),
            Share {
                low: 0.0,
                high: 5.0,
                per: 100,
                below_one: false
            }
        );
        assert_eq!(
            Share::whole(1.3, 4.0, 100, 100),
            Share {
                low: 1.0,
                high: 4.0,
                per: 100,
                below_one: false
            }
        );
        assert_eq!(
            Share::whole(1.5, 1.5, 1000, 100),
            Share {
                low: 0.0,
                high: 0.0,
                per: 100,
                below_one: true
            }
        );
        assert_eq!(
            Share::whole(2.3, 2.3, 100, 1000),
            Share {
                low: 23.0,
                high: 23.0,
                per: 1000,
                below_one: false
            }
        );
        assert_eq!(
            Share::whole(0.0, 0.0, 100, 100),
            Share {
                low: 0.0,
                high: 0.0,
                per: 100,
                below_one: false
            }
        );
    }
}
