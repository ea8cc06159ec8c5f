//! Properties that must hold for any plan, tried on many made-up plans.
//!
//! Must not: lay out pages (that is slow and held elsewhere); it works on what `select` says must be printed.

use std::collections::{BTreeMap, BTreeSet};

use beforehand::catalogue::{Catalogue, Level, Status};
use beforehand::domain::{RegionId, StatementId};
use beforehand::plan::{Clinic, Side, Visit};
use beforehand::select::{AdviceEnd, Selection, TotalComparison, select};
use beforehand::wording::phrases::Share;
use proptest::prelude::*;
use proptest::sample::subsequence;

use crate::support::catalogue::treatable;
use crate::support::{ClinicFile, Plan, areas};

fn clinic(region: &str) -> Clinic {
    let stock = "[[stock]]\nproduct = \"onabotulinumtoxinA\"\nvial_units = 100\ndiluent_ml = 2.5\n";
    ClinicFile {
        rest: stock.to_owned(),
        ..ClinicFile::at(region)
    }
    .read()
}

/// What a made-up plan may hold.
#[derive(Debug, Clone)]
struct Draft {
    areas: Vec<usize>,
    facts: Vec<String>,
    product: String,
    born: i16,
    informed_days: i64,
    hour: Option<u8>,
}

fn draft() -> impl Strategy<Value = Draft> {
    let catalogue = Catalogue::embedded();
    let indices: Vec<usize> = (0..treatable().len()).collect();
    let flags: Vec<String> = catalogue
        .facts
        .iter()
        .filter(|f| f.kind == beforehand::catalogue::FactKind::Flag)
        .map(|f| f.id.to_string())
        .collect();
    let products: Vec<String> = catalogue
        .products
        .iter()
        .map(|p| p.id.to_string())
        .collect();
    (
        subsequence(indices.clone(), 1..indices.len()).prop_shuffle(),
        subsequence(flags, 0..5),
        proptest::sample::select(products),
        1940..2012_i16,
        0..40_i64,
        proptest::option::of(0..24_u8),
    )
        .prop_map(|(areas, facts, product, born, informed_days, hour)| Draft {
            areas,
            facts,
            product,
            born,
            informed_days,
            hour,
        })
}

fn read(draft: &Draft, clinic: &Clinic) -> Visit {
    use jiff::ToSpan;
    let day = jiff::civil::date(2026, 12, 3);
    let informed = day.checked_sub(draft.informed_days.days()).expect("a date");
    let facts = draft.facts.iter().map(|fact| format!("{fact} = true\n"));
    let time = draft.hour.map(|hour| format!("time = {hour:02}:15\n"));
    let planned = draft.areas.iter().map(|index| &treatable()[*index].id);
    let plan = Plan {
        born: format!("{}-05-17", draft.born),
        facts: facts.collect(),
        date: day.to_string(),
        visit: format!("informed_on = {informed}\n{}", time.unwrap_or_default()),
        product: format!("name = \"{}\"", draft.product),
        rest: areas(planned, "units = 4\n"),
        ..Plan::bare()
    };
    // the clinic of these tests lists stock of one product only, so products are read without it
    let without_stock = Clinic {
        stock: Vec::new(),
        ..clinic.clone()
    };
    plan.read(&without_stock)
}

/// Rules that ask for an area *not* to be planned beside this one (the forehead without the frown lines, bleeding without
/// the jaw, which has a rule of its own) give way when it is added; so does a poor-candidate entry that a rule now covers.
fn gives_way(rule: &str) -> bool {
    use beforehand::catalogue::Condition;
    fn refuses(condition: &Condition) -> bool {
        match condition {
            Condition::All(parts) | Condition::Any(parts) => parts.iter().any(refuses),
            Condition::Not(part) => matches!(**part, Condition::AlsoPlanned(_)),
            _ => false,
        }
    }
    rule == "poor-candidate"
        || Catalogue::embedded()
            .rules
            .iter()
            .any(|r| r.id == rule && refuses(&r.when))
}

fn ids(selection: &Selection<'_>) -> BTreeSet<String> {
    selection
        .statements
        .iter()
        .map(|s| format!("{}:{}", s.paper.as_str(), s.id))
        .collect()
}

fn cautions(selection: &Selection<'_>) -> BTreeSet<(String, Level, BTreeSet<String>)> {
    selection
        .cautions
        .iter()
        .map(|c| {
            (
                c.id.to_string(),
                c.level,
                c.areas.iter().map(ToString::to_string).collect(),
            )
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Every required risk of every planned area, the general and the serious ones are on the list; nothing is there twice.
    #[test]
    fn every_required_risk_is_listed_once(draft in draft()) {
        let (catalogue, clinic) = (Catalogue::embedded(), clinic("GB-ENG"));
        let visit = read(&draft, &clinic);
        let selection = select(catalogue, &clinic, &visit).expect("a selection");
        let listed = ids(&selection);
        for caution in selection.stops() {
            let worded = beforehand::called_for::wording_ids(catalogue)
                .contains(StatementId::because_of(&caution.id).as_str());
            prop_assert!(worded, "{} stops and has nothing to say to the patient", caution.id);
        }
        prop_assert_eq!(listed.len(), selection.statements.len(), "a statement is listed twice");
        for index in &draft.areas {
            let area = treatable()[*index];
            for risk in &area.risk {
                let id = format!("consent:{}.risk.{}", area.id, risk.id);
                prop_assert!(listed.contains(&id), "{} is missing", id);
            }
        }
        for risk in catalogue.general.risk.iter() {
            let id = format!("consent:general.risk.{}", risk.id);
            // said by every planned area with figures of its own
            let said = draft.areas.iter().all(|index| {
                let own = &treatable()[*index].risk;
                own.iter().any(|r| r.instead_of.as_ref() == Some(&risk.id) && !r.figure.is_empty())
            });
            prop_assert_eq!(listed.contains(&id), !said, "{}", id);
            let id = format!("information:general.risk.{}", risk.id);
            prop_assert_eq!(listed.contains(&id), !said, "{}", id);
        }
        for flag in &catalogue.general.red_flag {
            let id = format!("aftercare:redflag.{}", flag.id);
            let can_come = flag.functions.is_empty() || draft.areas.iter().any(|index| {
                treatable()[*index].effect.iter().any(|effect| flag.functions.contains(&effect.kind))
            });
            prop_assert_eq!(listed.contains(&id), can_come, "{}", id);
        }
    }

    /// Adding an area never removes a statement that was required before.
    #[test]
    fn adding_an_area_never_removes_a_required_statement(draft in draft()) {
        prop_assume!(draft.areas.len() > 1);
        let (catalogue, clinic) = (Catalogue::embedded(), clinic("GB-ENG"));
        let fewer = Draft { areas: draft.areas[1..].to_vec(), ..draft.clone() };
        let (all, part) = (read(&draft, &clinic), read(&fewer, &clinic));
        let all = select(catalogue, &clinic, &all).expect("a selection");
        let part = select(catalogue, &clinic, &part).expect("a selection");
        let gone: Vec<String> = ids(&part).difference(&ids(&all)).cloned().collect();
        let lost: Vec<&String> = gone.iter().filter(|id| !gives_way(id.rsplit('.').next().unwrap_or_default())).collect();
        prop_assert!(lost.is_empty(), "lost: {lost:?}");
        // no caution gets milder either
        for (id, level, _) in cautions(&part) {
            let kept = all.cautions.iter().any(|c| c.id == id && c.level >= level);
            prop_assert!(kept || gives_way(&id), "caution {} was lost", id);
        }
    }

    /// The order of areas in the plan changes nothing.
    #[test]
    fn the_order_of_areas_changes_nothing(draft in draft()) {
        let (catalogue, clinic) = (Catalogue::embedded(), clinic("GB-ENG"));
        let turned = Draft { areas: draft.areas.iter().rev().copied().collect(), ..draft.clone() };
        let (one, other) = (read(&draft, &clinic), read(&turned, &clinic));
        let one = select(catalogue, &clinic, &one).expect("a selection");
        let other = select(catalogue, &clinic, &other).expect("a selection");
        let order = |s: &Selection<'_>| -> Vec<String> { s.statements.iter().map(|s| s.id.to_string()).collect() };
        prop_assert_eq!(order(&one), order(&other));
        prop_assert_eq!(cautions(&one), cautions(&other));
        let numbers = |s: &Selection<'_>| -> Vec<(usize, String)> {
            s.areas.iter().map(|a| (a.number, a.area.id.to_string())).collect()
        };
        prop_assert_eq!(numbers(&one), numbers(&other));
        let totals = |s: &Selection<'_>| -> Vec<TotalComparison> { s.totals.clone() };
        prop_assert_eq!(totals(&one), totals(&other));
    }

    /// An instruction never gets shorter, and never goes away, because another area is treated too.
    #[test]
    fn merging_advice_never_shortens_it(draft in draft()) {
        let (catalogue, clinic) = (Catalogue::embedded(), clinic("GB-ENG"));
        let together = read(&draft, &clinic);
        let together = select(catalogue, &clinic, &together).expect("a selection");
        for index in &draft.areas {
            let alone = read(&Draft { areas: vec![*index], ..draft.clone() }, &clinic);
            let alone = select(catalogue, &clinic, &alone).expect("a selection");
            for item in &alone.advice {
                let merged = together.advice.iter().find(|a| a.advice.id == item.advice.id);
                let merged = merged.unwrap_or_else(|| panic!("{} went away", item.advice.id));
                if item.advice.anchor.is_none() {
                    prop_assert!(not_sooner(merged.end, item.end), "{}: {:?} after {:?}", item.advice.id, merged.end, item.end);
                }
            }
        }
        // each stands once, and no two contradict each other
        let given: BTreeSet<&str> = together.advice.iter().map(|a| a.advice.id.as_str()).collect();
        prop_assert_eq!(given.len(), together.advice.len());
        for item in &together.advice {
            if let Some(other) = &item.advice.opposes {
                prop_assert!(!given.contains(other.as_str()), "{} and {} contradict", item.advice.id, other);
            }
        }
    }

    /// Where authorities differ the strictest wins, wherever the clinic is.
    #[test]
    fn the_strictest_authority_wins_everywhere(draft in draft(), region in proptest::sample::select(vec!["US", "GB-ENG", "SE", "AU", "NZ"])) {
        let catalogue = Catalogue::embedded();
        let clinic = clinic(region);
        let visit = read(&draft, &clinic);
        let selection = select(catalogue, &clinic, &visit).expect("a selection");
        for caution in &selection.cautions {
            for authority in &caution.authorities {
                prop_assert!(caution.level >= authority.level, "{} is milder than {}", caution.id, authority.place);
            }
        }
    }

    /// A place that asks for more never raises fewer cautions than one under the same licences that asks for less:
    /// Sweden (age, two days) against Ireland (neither in our sources).
    #[test]
    fn a_stricter_place_never_raises_fewer_cautions(draft in draft()) {
        let catalogue = Catalogue::embedded();
        let of = |region: &str| {
            let clinic = clinic(region);
            let visit = read(&draft, &clinic);
            let selection = select(catalogue, &clinic, &visit).expect("a selection");
            cautions(&selection)
        };
        let (strict, mild) = (of("SE"), of("IE"));
        for (id, level, areas) in mild {
            let age = |id: &str| id == "label-age-18" || id == "age-under-minimum";
            let time = |id: &str| id.starts_with("time-");
            let kept = strict.iter().any(|(other, l, a)| {
                (*other == id && *a == areas || age(&id) && age(other) || time(&id) && time(other)) && *l >= level
            });
            prop_assert!(kept, "{} ({:?}) is missing in the stricter place", id, level);
        }
    }

    /// Units add up, each side is half, and the printed volume gives the units back.
    #[test]
    fn doses_add_up(tenths in 1..4000_u32, both in any::<bool>()) {
        let units = f64::from(tenths) / 10.0;
        let (catalogue, clinic) = (Catalogue::embedded(), clinic("GB-ENG"));
        prop_assume!(units <= 400.0);
        let side = if both { "both" } else { "left" };
        let plan = Plan { area: format!("id = \"masseter\"\nside = \"{side}\"\nunits = {units}"), ..Plan::bare() };
        let visit = plan.read(&clinic);
        let selection = select(catalogue, &clinic, &visit).expect("a selection");
        let dose = &selection.areas[0].dose;
        prop_assert_eq!(dose.total_units, Some(units));
        prop_assert_eq!(dose.side_units, both.then_some(units / 2.0));
        prop_assert_eq!(visit.areas[0].side == Side::Both, both);
        let volume: f64 = dose.volume_ml.as_deref().expect("stock has a dilution").parse().expect("a number");
        prop_assert!((volume * 40.0 - units).abs() < 0.5, "{volume} mL for {units} units");
        let vials = beforehand::select::vials(&visit, &selection.areas, &"onabotulinumtoxinA".into()).expect("vials");
        prop_assert!(f64::from(vials) * 100.0 >= units && f64::from(vials - 1) * 100.0 < units);
    }

    /// A place whose law on age and waiting is at least as strict as another's never asks less of the same visit.
    #[test]
    fn a_stricter_place_never_asks_less(draft in draft()) {
        let catalogue = Catalogue::embedded();
        let levels = |ids: &[&str]| -> BTreeMap<RegionId, Option<Level>> {
            let of = |region: &RegionId| {
                let clinic = clinic(region.as_str());
                let visit = read(&draft, &clinic);
                let selection = select(catalogue, &clinic, &visit).expect("a selection");
                let about = selection.cautions.iter().filter(|c| ids.contains(&c.id.as_str()));
                about.map(|c| c.level).max()
            };
            let ruled = catalogue.regions.iter().filter(|r| r.minimum_age.is_some() || r.time_to_think.is_some());
            ruled.map(|region| (region.id.clone(), of(&region.id))).collect()
        };
        let (age, time) = (levels(&["age-under-minimum"]), levels(&["time-too-short", "time-not-recorded"]));
        for one in &catalogue.regions {
            for other in &catalogue.regions {
                if let (Some(a), Some(b)) = (&one.minimum_age, &other.minimum_age)
                    && a.years >= b.years
                    && a.below >= b.below
                {
                    prop_assert!(age[&one.id] >= age[&other.id], "{} {}", one.id, other.id);
                }
                if let (Some(a), Some(b)) = (&one.time_to_think, &other.time_to_think)
                    && a.days >= b.days
                    && a.full_days >= b.full_days
                    && (a.only_under.is_none() || a.only_under >= b.only_under && b.only_under.is_some())
                    && (a.exempt_repeat_months.is_none() || a.exempt_repeat_months == b.exempt_repeat_months)
                {
                    prop_assert!(time[&one.id] >= time[&other.id], "{} {}", one.id, other.id);
                }
            }
        }
    }

    /// A share for a reader is never more than half away from the published one, and what is more than nothing is never said to be nothing.
    #[test]
    fn shares_are_the_nearest_whole_numbers(low in 0.0..60.0_f64, more in 0.0..40.0_f64) {
        let share = Share::whole(low, low + more, 100, 100);
        prop_assert!(share.low <= share.high);
        prop_assert!(share.high > 0.0 || share.below_one || low + more == 0.0);
        if !share.below_one {
            prop_assert!((share.low - low).abs() <= 0.5 && (share.high - low - more).abs() <= 0.5);
        }
    }
}

/// `a` ends no sooner than `b`.
fn not_sooner(a: AdviceEnd, b: AdviceEnd) -> bool {
    match (a, b) {
        (AdviceEnd::Open, AdviceEnd::Open) => true,
        (AdviceEnd::Span { amount: x, unit: u }, AdviceEnd::Span { amount: y, unit: v }) => {
            u == v && x >= y
        }
        (AdviceEnd::Day(x), AdviceEnd::Day(y)) => x >= y,
        (AdviceEnd::Clock(x), AdviceEnd::Clock(y)) => x >= y,
        (AdviceEnd::Within(x), AdviceEnd::Within(y)) => x.last >= y.last,
        _ => false,
    }
}

/// The statement list is worth nothing if the status of a risk could be lost on the way.
#[test]
fn statements_carry_the_catalogues_evidence() {
    let (catalogue, clinic) = (Catalogue::embedded(), clinic("GB-ENG"));
    let all: Vec<usize> = (0..treatable().len()).collect();
    let draft = Draft {
        areas: all,
        facts: Vec::new(),
        product: "onabotulinumtoxinA".to_owned(),
        born: 1980,
        informed_days: 7,
        hour: None,
    };
    let visit = read(&draft, &clinic);
    let selection = select(catalogue, &clinic, &visit).expect("a selection");
    for area in treatable() {
        for risk in &area.risk {
            let id = format!("{}.risk.{}", area.id, risk.id);
            let statement = selection
                .statements
                .iter()
                .find(|s| s.id == id)
                .expect("a statement");
            assert_eq!(statement.evidence, risk.evidence);
        }
    }
    assert!(
        selection
            .statements
            .iter()
            .any(|s| s.evidence.status == Status::CommonPractice)
    );
}
