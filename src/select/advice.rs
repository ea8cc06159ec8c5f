//! Turns what every area, zone and visit asks for into one list of aftercare instructions.
//! Invariant: an instruction stands once, with the longest time anybody asks for; of two that contradict each other only one stands.
//! Must not: hold sentences (worded as `advice.<id>`).

use jiff::civil::{Date, DateTime};
use jiff::tz::TimeZoneDatabase;

use crate::catalogue::{Advice, Anchor, Catalogue, Level, TimeUnit};
use crate::domain::{AdviceId, StatementId, Trigger};
use crate::plan::{Clinic, Visit};

use super::SelectedArea;
use super::cautions::{Caution, Reason};
use super::conditions::is_so;
use super::windows::{DateRange, after};

/// When an instruction ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AdviceEnd {
    /// No end is given.
    Open,
    /// So long after treatment; the time of treatment is not known.
    Span { amount: f64, unit: TimeUnit },
    /// A day.
    Day(Date),
    /// A day and an hour, in the clinic's own time.
    Clock(DateTime),
    /// Something to be done within these days.
    Within(DateRange),
}

#[derive(Debug, Clone, PartialEq)]
pub struct SelectedAdvice<'a> {
    pub advice: &'a Advice,
    pub end: AdviceEnd,
    /// Areas that ask for it; empty when every visit does, or a fact about the patient.
    pub reasons: Vec<Reason>,
}

/// One list, in the order of the catalogue.
pub fn merge<'a>(
    catalogue: &'a Catalogue,
    clinic: &Clinic,
    visit: &Visit,
    areas: &[SelectedArea<'a>],
) -> Vec<SelectedAdvice<'a>> {
    let mut chosen: Vec<SelectedAdvice<'a>> = Vec::new();
    for advice in &catalogue.advice {
        let reasons: Vec<Reason> = areas
            .iter()
            .filter(|selected| {
                advice.zones.contains(&selected.area.zone)
                    || selected.area.advice.iter().any(|used| used.id == advice.id)
            })
            .map(|selected| Reason::Area(selected.area.id.clone()))
            .collect();
        let touched = |selected: &SelectedArea<'_>| selected.area.touches_any(&advice.functions);
        let is_told = (advice.functions.is_empty() || areas.iter().any(touched))
            && advice
                .facts
                .iter()
                .any(|fact| is_so(visit, fact) == Some(true));
        if !advice.every_visit && reasons.is_empty() && !is_told {
            continue;
        }
        if contradicted(advice, catalogue, clinic) {
            continue;
        }
        let end = match (&advice.length, advice.anchor) {
            (Some(length), _) => match clinic.aftercare.hours.get(&advice.id) {
                Some(hours) => own_length(clinic, visit, *hours),
                None => end_of(clinic, visit, length.default, length.unit),
            },
            (None, Some(Anchor::Visit)) => AdviceEnd::Day(visit.date),
            (None, Some(Anchor::Review)) => {
                review(areas).map_or(AdviceEnd::Open, AdviceEnd::Within)
            }
            (None, Some(Anchor::EarliestRepeat)) => areas
                .iter()
                .filter_map(|a| a.earliest_repeat)
                // before the first of them nothing may be added; the words say that other areas have to wait longer
                .min()
                .map_or(AdviceEnd::Open, AdviceEnd::Day),
            (None, None) => AdviceEnd::Open,
        };
        chosen.push(SelectedAdvice {
            advice,
            end,
            reasons: if advice.every_visit {
                Vec::new()
            } else {
                reasons
            },
        });
    }
    let displaced = chosen
        .iter()
        .filter_map(|item| item.advice.instead_of.clone());
    let displaced: Vec<AdviceId> = displaced.collect();
    chosen.retain(|item| !displaced.contains(&item.advice.id));
    chosen
}

/// Of two instructions that say the opposite one is given: the one the clinic chose, or else the one that names the
/// other in the catalogue (the stated default).
fn contradicted(advice: &Advice, catalogue: &Catalogue, clinic: &Clinic) -> bool {
    let chosen = |id: &AdviceId| clinic.aftercare.instead.contains(id);
    let names_this = catalogue
        .advice
        .iter()
        .find(|other| other.opposes.as_ref() == Some(&advice.id));
    let named_by_this = advice.opposes.as_ref();
    match (names_this, named_by_this) {
        (Some(default), _) => !chosen(&advice.id) || chosen(&default.id),
        (None, Some(other)) => chosen(other) && !chosen(&advice.id),
        (None, None) => false,
    }
}

/// A clinic's own length: whole days are said as days.
fn own_length(clinic: &Clinic, visit: &Visit, hours: f64) -> AdviceEnd {
    if hours >= 48.0 && hours % 24.0 == 0.0 {
        end_of(clinic, visit, hours / 24.0, TimeUnit::Days)
    } else {
        end_of(clinic, visit, hours, TimeUnit::Hours)
    }
}

/// Instructions whose length the clinic set outside the range met in practice.
pub fn cautions(chosen: &[SelectedAdvice<'_>], clinic: &Clinic) -> Vec<Caution> {
    chosen
        .iter()
        .filter_map(|item| {
            let (hours, length) = (
                clinic.aftercare.hours.get(&item.advice.id)?,
                item.advice.length.as_ref()?,
            );
            let per = length.unit.hours();
            let (low, high) = (length.low * per, length.high * per);
            (*hours < low || *hours > high).then(|| {
                Caution::new(Trigger::AdviceLength, Level::Note, &item.advice.evidence)
                    .with(
                        "advice",
                        serde_json::json!([StatementId::advice(&item.advice.id)]),
                    )
                    .with("hours", (*hours).into())
                    .with("low", low.into())
                    .with("high", high.into())
            })
        })
        .collect()
}

/// The days on which every planned area can be looked at: from the latest first day to the latest last day.
pub fn review(areas: &[SelectedArea<'_>]) -> Option<DateRange> {
    let windows = || areas.iter().filter_map(|a| a.windows.review);
    Some(DateRange {
        first: windows().map(|w| w.first).max()?,
        last: windows().map(|w| w.last).max()?,
    })
}

/// The end of `amount` `unit` after the treatment.
pub fn end_of(clinic: &Clinic, visit: &Visit, amount: f64, unit: TimeUnit) -> AdviceEnd {
    match unit {
        TimeUnit::Hours => match visit.time {
            None => AdviceEnd::Span { amount, unit },
            Some(time) => {
                let start = visit.date.to_datetime(time);
                let seconds = (amount * 3600.0).round() as i64;
                AdviceEnd::Clock(add_elapsed(clinic.time_zone.as_deref(), start, seconds))
            }
        },
        _ => AdviceEnd::Day(after(visit.date, amount, unit)),
    }
}

/// Adds elapsed seconds to a wall-clock time; where the clinic names its time zone, across a clock change too.
fn add_elapsed(zone: Option<&str>, start: DateTime, seconds: i64) -> DateTime {
    use jiff::ToSpan;
    let zoned = zone
        // the bundled data, so that the same plan gives the same hours on every machine
        .and_then(|name| TimeZoneDatabase::bundled().get(name).ok())
        .and_then(|zone| start.to_zoned_datetime(zone).ok())
        .and_then(|zoned| zoned.checked_add(seconds.seconds()).ok())
        .map(|zoned| zoned.datetime());
    zoned
        .or_else(|| start.checked_add(seconds.seconds()).ok())
        .expect("a visit time plus some hours is a time")
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    /// Clock changes of 2026 and 2027 in `Europe/London` and `America/New_York`, from the IANA time zone data.
    #[test]
    fn clock_changes_and_midnight() {
        // ordinary afternoon into the evening
        let start = date(2026, 12, 3).at(14, 30, 0, 0);
        assert_eq!(
            add_elapsed(Some("Europe/London"), start, 4 * 3600),
            date(2026, 12, 3).at(18, 30, 0, 0)
        );
        // over midnight
        let late = date(2026, 12, 3).at(21, 0, 0, 0);
        assert_eq!(
            add_elapsed(Some("Europe/London"), late, 4 * 3600),
            date(2026, 12, 4).at(1, 0, 0, 0)
        );
        // 24 hours over the end of summer time end an hour earlier on the clock
        let autumn = date(2026, 10, 24).at(16, 0, 0, 0);
        assert_eq!(
            add_elapsed(Some("Europe/London"), autumn, 24 * 3600),
            date(2026, 10, 25).at(15, 0, 0, 0)
        );
        // and over its start an hour later
        let spring = date(2027, 3, 13).at(16, 0, 0, 0);
        assert_eq!(
            add_elapsed(Some("America/New_York"), spring, 24 * 3600),
            date(2027, 3, 14).at(17, 0, 0, 0)
        );
        // no zone: plain clock arithmetic
        assert_eq!(
            add_elapsed(None, autumn, 24 * 3600),
            date(2026, 10, 25).at(16, 0, 0, 0)
        );
    }
}
