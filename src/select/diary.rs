//! Turns the patient's own events into cautions where an effect may be at work on that day.
//! Invariant: an event collides when it falls between the earliest onset and the longest known effect of an area that touches what it needs.
//! Must not: judge how much the event matters.

use jiff::civil::Date;

use crate::catalogue::{Catalogue, Evidence, Function, Level, Need, TimeUnit};
use crate::domain::{LabelId, StatementId, Trigger};
use crate::plan::Visit;

use super::cautions::{Caution, Reason};
use super::conditions::days_between;
use super::windows::after;
use super::{AdviceEnd, SelectedAdvice, SelectedArea, windows};

/// One caution for each event and area that collide.
pub fn cautions(
    visit: &Visit,
    areas: &[SelectedArea<'_>],
    advice: &[SelectedAdvice<'_>],
    catalogue: &Catalogue,
) -> Vec<Caution> {
    let mut found = Vec::new();
    for (index, event) in visit.events.iter().enumerate() {
        let needs: Vec<_> = catalogue
            .needs
            .iter()
            .filter(|need| event.needs.contains(&need.id))
            .collect();
        for selected in areas {
            let (Some(onset), Some(gone)) = (selected.windows.onset, selected.windows.wears_off)
            else {
                continue;
            };
            let longest = selected
                .windows
                .may_last
                .map_or(gone.last, |range| range.last.max(gone.last));
            if event.date < onset.first || event.date > longest {
                continue;
            }
            // past the usual wear-off it is worth knowing, not asking
            let (id, level) = if event.date <= gone.last {
                (Trigger::Diary, Level::Ask)
            } else {
                (Trigger::DiaryLate, Level::Note)
            };
            let mut touched: Vec<Function> = needs
                .iter()
                .flat_map(|need| need.functions.iter().copied())
                .filter(|function| {
                    selected
                        .area
                        .effect
                        .iter()
                        .any(|effect| effect.kind == *function)
                })
                .collect();
            touched.sort();
            touched.dedup();
            if touched.is_empty() {
                continue;
            }
            let latest_before = latest_clear(selected, event.date, visit.date);
            let earliest_after = after(event.date, 1.0, TimeUnit::Days);
            let effects = selected.area.effect.iter();
            let evidence = Evidence::together(
                effects
                    .filter(|effect| touched.contains(&effect.kind))
                    .map(|effect| &effect.evidence),
            );
            let functions: Vec<serde_json::Value> = touched
                .iter()
                .map(|f| LabelId::function(*f).as_str().into())
                .collect();
            found.push(
                Caution::new(id, level, &evidence)
                    .because(Reason::Event(index))
                    .because(Reason::Area(selected.area.id.clone()))
                    .with("what", event.what.clone().into())
                    .with("functions", functions.into())
                    .with_date("event", event.date)
                    .with_date("from", onset.first)
                    .with_date("to", gone.last)
                    .with_date("longest", longest)
                    .with_date("latest_before", latest_before)
                    .with_date("earliest_after", earliest_after),
            );
        }
        found.extend(soon(visit, advice, index, &needs));
        // bruises show before any effect does
        let bruise_shows = needs.iter().any(|need| need.bruise)
            && days_between(visit.date, event.date) <= i64::from(BRUISE_DAYS)
            && event.date >= visit.date;
        if bruise_shows {
            found.push(
                Caution::new(
                    Trigger::DiaryBruise,
                    Level::Note,
                    &Evidence::published("C76"),
                )
                .because(Reason::Event(index))
                .with("what", event.what.clone().into())
                .with_date("event", event.date)
                .with_date("clear", after_back(event.date, i64::from(BRUISE_DAYS))),
            );
        }
    }
    found
}

/// The latest visit after which the whole effect would have been over before the event: stepped back day by day, because
/// months are not all of one length.
fn latest_clear(selected: &SelectedArea<'_>, event: Date, visit: Date) -> Date {
    let over = |day: Date| {
        let windows = windows::dates(selected.area, selected.product, day);
        let ends = windows
            .wears_off
            .into_iter()
            .chain(windows.may_last)
            .map(|range| range.last);
        ends.max().is_some_and(|last| last < event)
    };
    let mut day = after_back(event, 1);
    // effects last months, so this ends; two years is far beyond any window
    let floor = after_back(event.min(visit), 730);
    while !over(day) && day > floor {
        day = after_back(day, 1);
    }
    day
}

/// What matters in the first days: advice that still holds, flying, and an event that says nothing about its needs.
fn soon(
    visit: &Visit,
    advice: &[SelectedAdvice<'_>],
    index: usize,
    needs: &[&Need],
) -> Vec<Caution> {
    let event = &visit.events[index];
    let practice = Evidence::common_practice();
    let base = |id: Trigger| {
        Caution::new(id, Level::Note, &practice)
            .because(Reason::Event(index))
            .with("what", event.what.clone().into())
            .with_date("event", event.date)
    };
    let mut found = Vec::new();
    if needs.is_empty() {
        found.push(base(Trigger::DiaryNoNeeds));
    }
    if needs.iter().any(|need| need.id == "flying") && days_between(visit.date, event.date) <= 1 {
        found.push(base(Trigger::DiaryFlying));
    }
    for item in advice.iter().filter(|item| {
        needs
            .iter()
            .any(|need| need.advice.contains(&item.advice.id))
    }) {
        let last = match item.end {
            AdviceEnd::Clock(moment) => moment.date(),
            AdviceEnd::Day(day) => day,
            AdviceEnd::Span { amount, unit } => after(visit.date, amount, unit),
            AdviceEnd::Open | AdviceEnd::Within(_) => continue,
        };
        if event.date <= last {
            found.push(base(Trigger::DiaryAdvice).with(
                "advice",
                serde_json::json!([StatementId::advice(&item.advice.id)]),
            ));
        }
    }
    found
}

/// Bruises usually settle within one to two weeks (C76, published).
const BRUISE_DAYS: u16 = 14;

fn after_back(day: Date, days: i64) -> Date {
    use jiff::ToSpan;
    day.checked_sub(days.days())
        .expect("an event date less a catalogue window is a date")
}
