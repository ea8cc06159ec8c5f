//! Checks that the dates of one plan can follow each other.
//!
//! Invariant: only dates of the same file are compared; a date that could not be read is not compared at all.
//!
//! Must not: look at a clock. A plan is right or wrong on any day.

use jiff::ToSpan;
use jiff::civil::Date;

use crate::diagnose::Code;
use crate::plan::age_on;
use crate::plan::dates;
use crate::plan::reader::{Field, Found, Reader};
use crate::plan::tree::Value;

/// Oldest patient believed, in years. The oldest age on record is a little above; from memory, no source.
const OLDEST: i16 = 120;
/// Years after the visit beyond which an event is taken for a slip of the keyboard; no source.
const FAR_OFF: i16 = 5;

/// Years a visit can be in: botulinum toxin was not used on faces before, and nobody books later.
const YEARS: std::ops::RangeInclusive<i16> = 1980..=2199;

/// The two dates all others are compared with.
#[derive(Debug, Clone, Default)]
pub(in crate::plan) struct Frame {
    pub born: Option<Found<Date>>,
    pub visit: Option<Found<Date>>,
}

impl Frame {
    fn before_birth(&self, date: Date) -> bool {
        self.born.as_ref().is_some_and(|born| date < born.value)
    }

    /// Birth against visit; and the visit against what a plan can mean, so that dates worked out from it stay in the calendar.
    pub fn check(&self, reader: &mut Reader) {
        if let Some(visit) = &self.visit
            && !YEARS.contains(&visit.value.year())
        {
            reader.report(
                Code::VisitFarOff,
                visit.span.clone(),
                &visit.path,
                format!(
                    "A visit must be between {} and {}.",
                    YEARS.start(),
                    YEARS.end()
                ),
                "Check the year.",
            );
            return;
        }
        let (Some(born), Some(visit)) = (&self.born, &self.visit) else {
            return;
        };
        if visit.value < born.value {
            let source = reader.source;
            reader.report(
                Code::VisitBeforeBirth,
                visit.span.clone(),
                &visit.path,
                "The visit is before the patient's birth.",
                "Check the year of the visit and the date of birth.",
            );
            if let Some(last) = reader.found.pop() {
                reader
                    .found
                    .push(last.also(source, born.span.clone(), "date of birth"));
            }
        } else if age_on(born.value, visit.value) > OLDEST {
            reader.report(
                Code::ImplausibleAge,
                born.span.clone(),
                &born.path,
                format!("The patient would be more than {OLDEST} years old at the visit."),
                "Check the year of birth and the year of the visit.",
            );
        }
    }

    pub fn check_informed(&self, reader: &mut Reader, informed: &Found<Date>) {
        let date = informed.value;
        if self.visit.as_ref().is_some_and(|visit| date > visit.value) {
            self.report(
                reader,
                Code::InformedAfterVisit,
                informed,
                "The information is given after the visit.",
                "Write the day on which the patient was given it, or delete the line.",
            );
        } else if self.before_birth(date) {
            self.report(
                reader,
                Code::InformedBeforeBirth,
                informed,
                "The information is given before the patient's birth.",
                "Check the year.",
            );
        }
    }

    pub fn check_event(&self, reader: &mut Reader, event: &Found<Date>) {
        let Some(visit) = &self.visit else { return };
        if event.value < visit.value {
            self.report(
                reader,
                Code::EventImpossible,
                event,
                "This event is before the visit.",
                "Check the date, or delete the event: only what comes after the visit matters here.",
            );
        } else if visit
            .value
            .checked_add(FAR_OFF.years())
            .is_ok_and(|limit| event.value > limit)
        {
            self.report(
                reader,
                Code::EventImpossible,
                event,
                "This event is years after the visit.",
                "Check the year.",
            );
        }
    }

    /// The end of an event, against its beginning.
    pub fn check_until(
        &self,
        reader: &mut Reader,
        from: Option<&Found<Date>>,
        until: &Found<Date>,
    ) {
        if from.is_some_and(|from| until.value < from.value) {
            self.report(
                reader,
                Code::EventImpossible,
                until,
                "This event ends before it begins.",
                "Check both dates, or delete the end.",
            );
        } else if from.is_some() {
            self.check_event(reader, until);
        }
    }

    /// The last day of a month that is written without a day; of the month of the visit, the day before the visit.
    pub fn last_of_month(&self, field: &Field) -> Option<Found<Date>> {
        let Value::Text(text) = &field.node.value else {
            return None;
        };
        let first = dates::month_of_text(text)?;
        let last = first.last_of_month();
        let visit = self.visit.as_ref().map(|visit| visit.value);
        let before = visit
            .filter(|visit| first < *visit && *visit <= last)
            .and_then(|visit| visit.yesterday().ok());
        Some(field.found(before.unwrap_or(last)))
    }

    /// Something that was asked or decided before the treatment.
    pub fn check_said(&self, reader: &mut Reader, said: &Found<Date>, code: Code, what: &str) {
        let after = self
            .visit
            .as_ref()
            .is_some_and(|visit| said.value > visit.value);
        let problem = if after {
            format!("{what} after the visit.")
        } else if self.before_birth(said.value) {
            format!("{what} before the patient's birth.")
        } else {
            return;
        };
        self.report(
            reader,
            code,
            said,
            &problem,
            "Check the date and the date of the visit.",
        );
    }

    /// The treatment before this one (`previous`), or an entry of the history.
    pub fn check_earlier(&self, reader: &mut Reader, earlier: &Found<Date>, code: Code) {
        if self
            .visit
            .as_ref()
            .is_some_and(|visit| earlier.value >= visit.value)
        {
            self.report(
                reader,
                code,
                earlier,
                "An earlier treatment must be before the visit.",
                "Check the date and the date of the visit.",
            );
        } else if self.before_birth(earlier.value) {
            self.report(
                reader,
                code,
                earlier,
                "An earlier treatment cannot be before the patient's birth.",
                "Check the year.",
            );
        }
    }

    fn report(
        &self,
        reader: &mut Reader,
        code: Code,
        date: &Found<Date>,
        problem: &str,
        remedy: &str,
    ) {
        reader.report(code, date.span.clone(), &date.path, problem, remedy);
    }
}
