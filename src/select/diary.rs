//! Turns the patient's own events into cautions where an effect may be at work on that day.
//! Invariant: an event collides when it falls between the earliest onset and the longest known effect of an area that touches what it needs.
//! Must not: judge how much the event matters.

use crate::catalogue::{Catalogue, Function, Level, TimeUnit};
use crate::plan::Visit;

use super::SelectedArea;
use super::cautions::{Caution, Reason};
use super::conditions::days_between;
use super::windows::after;

/// One caution for each event and area that collide.
pub fn cautions(visit: &Visit, areas: &[SelectedArea<'_>], catalogue: &Catalogue) -> Vec<Caution> {
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
                ("diary", Level::Ask)
            } else {
                ("diary-late", Level::Note)
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
            // had the whole effect been over by the event, the visit would have been this long before it
            let length = days_between(visit.date, longest);
            let latest_before = after_back(event.date, length + 1);
            let earliest_after = after(event.date, 1.0, TimeUnit::Days);
            let evidence = selected
                .area
                .effect
                .iter()
                .find(|effect| effect.kind == touched[0]);
            let (source, status) = evidence
                .map(|e| (e.source.clone(), e.status))
                .expect("touched functions come from these effects");
            let functions: Vec<serde_json::Value> = touched
                .iter()
                .map(|f| serde_json::Value::String(format!("function.{}", f.key())))
                .collect();
            found.push(
                Caution::new(id, level, &source, status)
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
        // bruises show before any effect does
        let bruise_shows = needs.iter().any(|need| need.bruise)
            && days_between(visit.date, event.date) <= i64::from(BRUISE_DAYS)
            && event.date >= visit.date;
        if bruise_shows {
            found.push(
                Caution::new(
                    "diary-bruise",
                    Level::Note,
                    &["C76".to_owned()],
                    crate::catalogue::Status::Published,
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

/// Bruises usually settle within one to two weeks (C76, published).
const BRUISE_DAYS: u16 = 14;

fn after_back(day: jiff::civil::Date, days: i64) -> jiff::civil::Date {
    use jiff::ToSpan;
    day.checked_sub(days.days())
        .expect("an event date less a catalogue window is a date")
}
