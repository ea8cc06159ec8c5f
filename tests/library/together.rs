//! Areas that act on the same, and events that several areas touch: one question for what is shared, one answer for an event.
//!
//! Must not: lay out pages; it works on what `select` finds.

use beforehand::catalogue::{Area, Catalogue, Function, Level, Zone};
use beforehand::plan::Visit;
use beforehand::select::{Caution, CautionValue, Selection, select};
use jiff::ToSpan;
use jiff::civil::{Date, date};

use crate::support::{ClinicFile, Plan, areas, catalogue};

const SHARED: [Function; 6] = [
    Function::LipSeal,
    Function::Speech,
    Function::Suction,
    Function::Chewing,
    Function::Swallowing,
    Function::Voice,
];

fn visit(day: Date, informed: Option<Date>, rest: &str) -> Visit {
    let informed = informed.map(|day| format!("informed_on = {day}"));
    Plan {
        date: day.to_string(),
        visit: informed.unwrap_or_default(),
        rest: rest.to_owned(),
        ..Plan::bare()
    }
    .read(&ClinicFile::default().read())
}

fn with<R>(visit: &Visit, look: impl FnOnce(&Selection<'_>) -> R) -> R {
    let clinic = ClinicFile::default().read();
    look(&select(Catalogue::embedded(), &clinic, visit).expect("a selection"))
}

fn event(day: Date, needs: &str) -> String {
    format!("[[event]]\ndate = {day}\nwhat = \"day\"\nneeds = [{needs}]\n")
}

fn date_of(caution: &Caution, name: &str) -> Option<Date> {
    match caution.values.get(name) {
        Some(CautionValue::Date(date)) => Some(*date),
        None => None,
        other => panic!("{name} is {other:?}"),
    }
}

fn touches(area: &Area, function: Function) -> bool {
    area.effect.iter().any(|effect| effect.kind == function)
}

/// Every pair of areas, judged from what the areas' own data say they touch and where they lie, not from a list of names.
#[test]
fn every_pair_that_shares_a_function_is_questioned_and_no_other() {
    let treated = catalogue::treatable();
    let mut asked = 0;
    for (at, one) in treated.iter().enumerate() {
        for other in &treated[at + 1..] {
            let plan = visit(
                date(2026, 12, 3),
                None,
                &areas([&one.id, &other.id].map(|id| id.as_str()), ""),
            );
            let raised = with(&plan, |selection| {
                let of = |id: &str| selection.cautions.iter().any(|c| c.id == id);
                (of("mouth-together"), of("smile-together"))
            });
            let both = |function| touches(one, function) && touches(other, function);
            let mouth = |area: &Area| area.zone == Zone::LowerFace;
            let upper = one.zone == Zone::UpperFace || other.zone == Zone::UpperFace;
            let smile = both(Function::Smile);
            let expected =
                SHARED.into_iter().any(both) || smile && !upper && (mouth(one) || mouth(other));
            assert_eq!(raised.0, expected, "{} and {}", one.id, other.id);
            assert_eq!(
                raised.1,
                smile && (upper || !mouth(one) && !mouth(other)),
                "{} and {}",
                one.id,
                other.id
            );
            asked += usize::from(expected);
        }
    }
    assert!(asked > 15, "only {asked} pairs");
}

/// An area that nobody thought of when the rules were written is part of them by what it touches.
#[test]
fn a_new_area_that_shares_a_function_is_part_of_it() {
    let changed = catalogue::with("areas/nasalis.toml", |text| {
        text.replacen("[[effect]]", "[[effect]]\nkind = \"speech\"\nsource = [\"practice\"]\nstatus = \"common-practice\"\n\n[[effect]]", 1)
    });
    let plan = visit(
        date(2026, 12, 3),
        None,
        &areas(["nasalis", "levator-labii-superioris-alaeque-nasi"], ""),
    );
    let clinic = ClinicFile::default().read();
    let raised = |catalogue: &Catalogue| {
        let selection = select(catalogue, &clinic, &plan).expect("a selection");
        selection.cautions.iter().any(|c| c.id == "mouth-together")
    };
    assert!(!raised(Catalogue::embedded()));
    assert!(raised(&changed.expect("the catalogue is right")));
}

/// One event, three areas, one answer: its dates are those of a visit with all three.
#[test]
fn an_event_gets_one_answer_that_clears_every_area() {
    let three = areas(
        ["orbicularis-oris", "masseter", "depressor-anguli-oris"],
        "",
    );
    let needs = "\"speech\", \"smile\", \"chewing\"";
    let day = date(2027, 3, 20);
    let informed = date(2026, 1, 5);
    let told = |on: Date| visit(on, Some(informed), &(three.clone() + &event(day, needs)));
    let collides = |on: Date| {
        with(&told(on), |selection| {
            let of_event = selection
                .cautions
                .iter()
                .filter(|c| c.id == "diary" || c.id == "diary-late");
            let found: Vec<Caution> = of_event.cloned().collect();
            assert!(found.len() <= 1, "{} answers to one event", found.len());
            found.into_iter().next()
        })
    };
    let caution = collides(date(2027, 2, 20)).expect("it collides");
    assert_eq!((caution.level, caution.areas.len()), (Level::Ask, 3));
    let latest = date_of(&caution, "latest_before").expect("a way out");
    assert!(
        collides(latest).is_none(),
        "{latest} is said to be clear and is not"
    );
    assert!(collides(latest.tomorrow().expect("a date")).is_some());
    // usually and at the longest: of all areas, and of the one that lasts longest
    let (to, longest) = (date_of(&caution, "to"), date_of(&caution, "longest"));
    with(&told(date(2027, 2, 20)), |selection| {
        let last = |of: fn(&beforehand::select::WindowDates) -> Option<Date>| {
            selection
                .areas
                .iter()
                .filter_map(|area| of(&area.windows))
                .max()
        };
        assert_eq!(
            to,
            last(|windows| windows.wears_off.map(|range| range.last))
        );
        assert_eq!(
            longest,
            last(|windows| windows.may_last.map(|range| range.last))
        );
        let first = selection
            .areas
            .iter()
            .filter_map(|area| area.windows.onset)
            .map(|range| range.first)
            .min();
        assert_eq!(date_of(&caution, "from"), first);
    });
}

/// A day before the information was given is no way out; where nobody says when it was given, no day before the visit is.
#[test]
fn no_day_in_the_past_is_offered() {
    let plan = |informed: Option<Date>| {
        let rest = areas(["orbicularis-oris"], "")
            + &event(date(2026, 12, 19), "\"speech\", \"photographs\"");
        visit(date(2026, 12, 10), informed, &rest)
    };
    let offered = |informed: Option<Date>| {
        with(&plan(informed), |selection| {
            let of = |id: &str| {
                selection
                    .cautions
                    .iter()
                    .find(|c| c.id == id)
                    .expect("raised")
            };
            let diary = of("diary");
            assert_eq!(date_of(diary, "earliest_after"), Some(date(2026, 12, 20)));
            (
                date_of(diary, "latest_before"),
                date_of(of("diary-bruise"), "clear"),
            )
        })
    };
    assert_eq!(offered(None), (None, None));
    assert_eq!(offered(Some(date(2026, 12, 6))), (None, None));
    assert_eq!(offered(Some(date(2026, 12, 5))).1, Some(date(2026, 12, 5)));
    let (Some(latest), _) = offered(Some(date(2026, 1, 5))) else {
        panic!("a visit long before would be clear");
    };
    // the last day that can be offered is the day of information itself
    assert_eq!(offered(Some(latest)).0, Some(latest));
    assert_eq!(offered(Some(latest.tomorrow().expect("a date"))).0, None);
}

/// Three months on the label of onabotulinumtoxinA in England (C11): a day before they are over is no way out of another date.
#[test]
fn no_day_within_the_labels_interval_is_offered() {
    let offered = |previous: &str| {
        let rest =
            areas(["orbicularis-oris"], previous) + &event(date(2027, 1, 9), "\"wind-playing\"");
        with(&visit(date(2026, 12, 14), None, &rest), |selection| {
            let mut cautions = selection.cautions.iter();
            let diary = cautions.find(|c| c.id == "diary").expect("raised");
            date_of(diary, "earliest_after")
        })
    };
    assert_eq!(offered(""), Some(date(2027, 1, 10)));
    assert_eq!(offered("previous = 2026-10-30\n"), Some(date(2027, 1, 30)));
    assert_eq!(offered("previous = 2026-09-30\n"), Some(date(2027, 1, 10)));
}

/// Another area may only make an answer stricter and its dates wider.
#[test]
fn adding_an_area_never_makes_the_answer_milder() {
    let ids = [
        "orbicularis-oris",
        "masseter",
        "platysma",
        "lateral-canthus",
    ];
    for weeks in [2, 8, 12, 16, 20, 26] {
        let day = date(2026, 12, 3);
        let when = day.checked_add((weeks * 7).days()).expect("a date");
        let strictest = |count: usize| {
            let rest = areas(&ids[..count], "") + &event(when, "\"smile\"");
            with(&visit(day, None, &rest), |selection| {
                let diary = selection
                    .cautions
                    .iter()
                    .find(|c| c.id == "diary" || c.id == "diary-late");
                diary.map(|c| (c.level, date_of(c, "to")))
            })
        };
        for count in 1..ids.len() {
            assert!(
                strictest(count + 1) >= strictest(count),
                "{weeks} weeks, {count} areas"
            );
        }
    }
}
