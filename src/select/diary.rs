//! Turns the patient's own events into cautions where an effect may be at work on that day.
//! Invariant: an event collides when a day of it falls between the earliest onset and the longest known effect of an area that touches what it needs;
//! it then gets one answer for all areas, and no way out that lies in the past.
//! Must not: judge how much the event matters.

use jiff::civil::Date;

use crate::catalogue::{Catalogue, Evidence, Function, Level, Need, TimeUnit};
use crate::domain::{LabelId, StatementId, Trigger};
use crate::plan::{Event, Visit};

use super::cautions::{Caution, Reason};
use super::conditions::days_between;
use super::windows::after;
use super::{AdviceEnd, SelectedAdvice, SelectedArea, windows};

/// What the areas of a plan do to one event.
struct Collision<'s, 'a> {
    /// Areas that touch what the event needs, whether at work on that day or not: another day has to clear them all.
    touching: Vec<&'s SelectedArea<'a>>,
    /// Those that may be at work on that day, in printing order.
    at_work: Vec<&'s SelectedArea<'a>>,
    functions: Vec<Function>,
    /// The first day on which any of them may be felt.
    from: Date,
    /// The last day on which all of them have usually gone.
    usually: Date,
    /// The last day on which any of them was ever known to last.
    longest: Date,
}

/// The last day of the usual effect, and the last day on which it was ever known to last.
fn ends(selected: &SelectedArea<'_>) -> Option<(Date, Date)> {
    let gone = selected.windows.wears_off?.last;
    let longest = selected.windows.may_last.map_or(gone, |range| range.last);
    Some((gone, longest.max(gone)))
}

fn collision<'s, 'a>(
    areas: &'s [SelectedArea<'a>],
    needed: &[Function],
    event: &Event,
) -> Option<Collision<'s, 'a>> {
    let touching: Vec<&SelectedArea<'a>> = areas
        .iter()
        .filter(|selected| {
            needed
                .iter()
                .any(|function| selected.area.touches(*function))
        })
        .collect();
    let mut at_work = Vec::new();
    let mut span: Option<(Date, Date, Date)> = None;
    for selected in touching.iter().copied() {
        let (Some(onset), Some((usually, longest))) = (selected.windows.onset, ends(selected))
        else {
            continue;
        };
        if event.last() < onset.first || event.date > longest {
            continue;
        }
        at_work.push(selected);
        span = Some(match span {
            None => (onset.first, usually, longest),
            Some((f, u, l)) => (f.min(onset.first), u.max(usually), l.max(longest)),
        });
    }
    let (from, usually, longest) = span?;
    let functions = needed
        .iter()
        .copied()
        .filter(|function| at_work.iter().any(|area| area.area.touches(*function)))
        .collect();
    Some(Collision {
        touching,
        at_work,
        functions,
        from,
        usually,
        longest,
    })
}

/// One caution for each event that collides, whatever number of areas it collides with.
///
/// `soonest` is the first day on which the visit could be at all; no day before it is offered as a way out. Nor is one offered
/// before `label_over`, on which the label's interval since an earlier treatment ends.
pub fn cautions(
    visit: &Visit,
    areas: &[SelectedArea<'_>],
    advice: &[SelectedAdvice<'_>],
    catalogue: &Catalogue,
    soonest: Date,
    label_over: Option<Date>,
) -> Vec<Caution> {
    let mut found = Vec::new();
    for (index, event) in visit.events.iter().enumerate() {
        let needs: Vec<_> = catalogue
            .needs
            .iter()
            .filter(|need| event.needs.contains(&need.id))
            .collect();
        let mut needed: Vec<Function> = needs
            .iter()
            .flat_map(|need| need.functions.iter().copied())
            .collect();
        needed.sort_unstable();
        needed.dedup();
        if let Some(collision) = collision(areas, &needed, event) {
            let next = after(event.last(), 1.0, TimeUnit::Days);
            let next = label_over.map_or(next, |over| next.max(over));
            let caution = collides(visit, index, &collision, soonest);
            found.push(caution.with_date("earliest_after", next));
        }
        found.extend(soon(visit, advice, index, &needs));
        // bruises show before any effect does
        let bruise_shows = needs.iter().any(|need| need.bruise)
            && days_between(visit.date, event.date) < i64::from(BRUISE_DAYS)
            && event.date >= visit.date;
        if bruise_shows {
            let mut caution = Caution::new(
                Trigger::DiaryBruise,
                Level::Note,
                &Evidence::published("C76"),
            )
            .because(Reason::Event(index))
            .with("what", event.what.clone().into())
            .with_date("event", event.date);
            let clear = after_back(event.date, i64::from(BRUISE_DAYS));
            if clear >= soonest {
                caution = caution.with_date("clear", clear);
            }
            found.push(caution);
        }
    }
    found
}

/// The one answer to an event: what may be touched, from when, usually until when, at the longest until when, and which
/// earlier visit would be clear of it.
fn collides(visit: &Visit, index: usize, collision: &Collision<'_, '_>, soonest: Date) -> Caution {
    let event = &visit.events[index];
    // past the usual wear-off it is worth knowing, not asking
    let (id, level) = if event.date <= collision.usually {
        (Trigger::Diary, Level::Ask)
    } else {
        (Trigger::DiaryLate, Level::Note)
    };
    let evidence = Evidence::together(collision.at_work.iter().flat_map(|selected| {
        let effects = selected.area.effect.iter();
        effects
            .filter(|effect| collision.functions.contains(&effect.kind))
            .map(|effect| &effect.evidence)
    }));
    let functions: Vec<serde_json::Value> = collision
        .functions
        .iter()
        .map(|f| LabelId::function(*f).as_str().into())
        .collect();
    let mut caution = Caution::new(id, level, &evidence).because(Reason::Event(index));
    for selected in &collision.at_work {
        caution = caution.because(Reason::Area(selected.area.id.clone()));
    }
    let latest_before = latest_clear(&collision.touching, event.date, visit.date);
    if latest_before >= soonest {
        caution = caution.with_date("latest_before", latest_before);
    }
    if collision.longest > collision.usually {
        caution = caution.with_date("longest", collision.longest);
    }
    caution
        .with("what", event.what.clone().into())
        .with("functions", functions.into())
        .with_date("event", event.date)
        .with_date("from", collision.from)
        .with_date("to", collision.usually)
}

/// The latest visit after which the whole effect of all these areas would have been over before the event: stepped back day
/// by day, because months are not all of one length.
fn latest_clear(areas: &[&SelectedArea<'_>], event: Date, visit: Date) -> Date {
    let over = |day: Date| {
        areas.iter().all(|selected| {
            let windows = windows::dates(selected.area, selected.product, day);
            let ends = windows
                .wears_off
                .into_iter()
                .chain(windows.may_last)
                .map(|range| range.last);
            ends.max().is_none_or(|last| last < event)
        })
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
