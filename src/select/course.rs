//! Turns an area's course into proposed dates for the rounds still to come, and what keeping the effect takes in a year.
//! Invariant: a proposed date is a range where the course is one; a round sooner than the label allows is said to be so.
//! Must not: book anything, or propose more rounds than the course has.

use jiff::civil::Date;

use crate::catalogue::{Area, Course, LabelInterval, Level, Product, TimeUnit, WindowKind};
use crate::domain::{AreaId, Trigger};
use crate::plan::{Clinic, PlannedArea};

use super::cautions::{Caution, Reason};
use super::windows::{DateRange, after};

/// A round still to come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ProposedRound {
    /// 2, 3...
    pub round: u32,
    pub when: DateRange,
}

/// A course that is meant to end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CourseToEnd {
    /// Treatments from this one to the last, both counted; least and most.
    pub treatments_low: u32,
    pub treatments_high: u32,
    /// When one more round would be due after the last: the time to stop and look instead.
    pub look: DateRange,
    /// Fee for one treatment, in the clinic's currency.
    pub fee: Option<f64>,
}

/// What keeping one area's effect takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Upkeep {
    /// Visits in a year, least and most.
    pub visits_low: u32,
    pub visits_high: u32,
    /// Fee for one treatment, in the clinic's currency.
    pub fee: Option<f64>,
}

/// The rounds of the course that come after this one.
pub fn proposed(course: Option<&Course>, planned: &PlannedArea, day: Date) -> Vec<ProposedRound> {
    let Some(course) = course else {
        return Vec::new();
    };
    let this = this_round(planned);
    (this + 1..=course.rounds_high)
        .map(|round| {
            let times = f64::from(round - this);
            ProposedRound {
                round,
                when: DateRange {
                    first: after(day, course.interval_low * times, course.interval_unit),
                    last: after(day, course.interval_high * times, course.interval_unit),
                },
            }
        })
        .collect()
}

/// Which round this is: a plan that says when the area was treated last, but not which round this is, is at least at its
/// second.
pub fn this_round(planned: &PlannedArea) -> u32 {
    planned
        .round
        .unwrap_or(if planned.previous.is_some() { 2 } else { 1 })
}

/// The rest of a course, and when to stop and look; none where the area has no course, or it has had its rounds.
pub fn to_end(
    course: Option<&Course>,
    planned: &PlannedArea,
    clinic: &Clinic,
    label: Option<&LabelInterval>,
    day: Date,
) -> Option<CourseToEnd> {
    let course = course?;
    let this = this_round(planned);
    let treatments_high = (course.rounds_high + 1)
        .checked_sub(this)
        .filter(|n| *n > 0)?;
    let times = f64::from(treatments_high);
    let usual = |amount: f64| after(day, amount * times, course.interval_unit);
    // rounds that keep the label's interval take longer
    let labelled = label.map(|label| after(day, label.least * times, label.unit));
    Some(CourseToEnd {
        treatments_low: (course.rounds_low + 1).saturating_sub(this).max(1),
        treatments_high,
        look: DateRange {
            first: usual(course.interval_low),
            last: usual(course.interval_high).max(labelled.unwrap_or(day)),
        },
        fee: fee(clinic, &planned.id),
    })
}

fn fee(clinic: &Clinic, area: &AreaId) -> Option<f64> {
    let fees = clinic.fees.as_ref()?;
    fees.area.get(area).copied()
}

/// A course whose next round comes sooner than the product's label allows.
pub fn caution(
    area: &Area,
    rounds: &[ProposedRound],
    label: Option<&LabelInterval>,
    day: Date,
) -> Option<Caution> {
    let (next, label) = (rounds.first()?, label?);
    let earliest = after(day, label.least, label.unit);
    (next.when.first < earliest).then(|| {
        Caution::new(Trigger::CourseBeforeLabel, Level::Note, &label.evidence)
            .because(Reason::Area(area.id.clone()))
            .with_date("next", next.when.first)
            .with_date("earliest", earliest)
    })
}

/// Visits a year that keep the effect up, the fee, and the practitioner's own view.
pub fn upkeep(
    area: &Area,
    product: &Product,
    clinic: &Clinic,
    label: Option<&LabelInterval>,
) -> Option<Upkeep> {
    let repeat = area.window(WindowKind::Repeat, &product.id)?;
    let label_weeks = label.map_or(0.0, |label| weeks(label.least, label.unit));
    let lasts = area.window(WindowKind::WearsOff, &product.id);
    let (lasts_low, lasts_high) = lasts.map_or((0.0, 0.0), |w| {
        (weeks(w.low, w.unit), weeks(w.high, w.unit))
    });
    // as often as the effect needs, but no sooner than it is usual to repeat or the label allows
    let shortest = weeks(repeat.low, repeat.unit)
        .max(label_weeks)
        .max(lasts_low);
    let longest = weeks(repeat.high, repeat.unit)
        .max(label_weeks)
        .max(lasts_high);
    Some(Upkeep {
        visits_low: (52.0 / longest).floor().max(1.0) as u32,
        visits_high: (52.0 / shortest).round().max(1.0) as u32,
        fee: fee(clinic, &area.id),
    })
}

fn weeks(amount: f64, unit: TimeUnit) -> f64 {
    match unit {
        TimeUnit::Hours => amount / 168.0,
        TimeUnit::Days => amount / 7.0,
        TimeUnit::Weeks => amount,
        TimeUnit::Months => amount * 52.0 / 12.0,
    }
}
