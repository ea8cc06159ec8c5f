//! Plans that an experienced practitioner would question, each with the cautions that must be raised and those that must not.
//! Expected answers were decided from the facts and the labels before the program was asked.
//!
//! Must not: lay out pages; it works on what `select` finds.

use std::collections::BTreeSet;

use beforehand::catalogue::{Catalogue, Level};
use beforehand::plan::{Clinic, Visit};
use beforehand::select::{AdviceEnd, CautionValue, Selection, select};
use jiff::ToSpan;
use jiff::civil::{Date, date};

use crate::support::{ClinicFile, Plan, areas};

fn clinic(region: &str) -> Clinic {
    ClinicFile::at(region).read()
}

/// A plan from its parts: facts, lines of [visit] beside the practitioner, product, and everything after.
fn visit(clinic: &Clinic, facts: &str, visit: &str, product: &str, rest: &str) -> Visit {
    Plan {
        facts: facts.to_owned(),
        product: product.to_owned(),
        rest: rest.to_owned(),
        ..Plan::when(visit)
    }
    .read(clinic)
}

const DAY: &str = "date = 2026-12-03\ninformed_on = 2026-11-01";
const ONA: &str = "name = \"onabotulinumtoxinA\"";

fn raised(selection: &Selection<'_>) -> BTreeSet<(String, Level)> {
    selection
        .cautions
        .iter()
        .map(|c| (c.id.to_string(), c.level))
        .collect()
}

/// Region, facts, product, areas and the rest; what must be raised, and what must not.
struct Case {
    region: &'static str,
    facts: &'static str,
    product: &'static str,
    rest: &'static str,
    must: &'static [(&'static str, Level)],
    must_not: &'static [&'static str],
}

const CASES: &[Case] = &[
    // a dose far above any label or study, where the place has no label of its own
    Case {
        region: "GB-ENG",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"glabella\"\nunits = 100\n",
        must: &[("dose-above-other-label", Level::Ask)],
        must_not: &["dose-above-label", "dose-above-studies"],
    },
    Case {
        region: "GB-ENG",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"orbicularis-oris\"\nunits = 100\n",
        must: &[("dose-above-studies", Level::Ask)],
        must_not: &["dose-above-label"],
    },
    Case {
        region: "US",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"glabella\"\nunits = 20\n",
        must: &[],
        must_not: &[
            "dose-above-label",
            "dose-above-other-label",
            "dose-above-studies",
        ],
    },
    Case {
        region: "US",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"glabella\"\nunits = 24\n",
        must: &[("dose-above-label", Level::Ask)],
        must_not: &["total-above-label"],
    },
    // label intervals are months of the calendar, not twelve weeks: 86 days after 8 September is too soon, 3 December is not
    Case {
        region: "US",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"glabella\"\nround = 2\nprevious = 2026-09-08\n",
        must: &[("interval", Level::Ask)],
        must_not: &["interval-any", "previous-missing"],
    },
    Case {
        region: "US",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"glabella\"\nround = 2\nprevious = 2026-09-03\n",
        must: &[],
        must_not: &["interval", "interval-any"],
    },
    // twelve weeks for abobotulinumtoxinA in the UK: 84 days after 10 September is just enough
    Case {
        region: "GB-ENG",
        facts: "",
        product: "name = \"abobotulinumtoxinA\"",
        rest: "[[area]]\nid = \"glabella\"\nround = 2\nprevious = 2026-09-10\n",
        must: &[],
        must_not: &["interval"],
    },
    Case {
        region: "GB-ENG",
        facts: "",
        product: "name = \"abobotulinumtoxinA\"",
        rest: "[[area]]\nid = \"glabella\"\nround = 2\nprevious = 2026-09-11\n",
        must: &[("interval", Level::Ask)],
        must_not: &[],
    },
    // the same area in the history is one caution, not two
    Case {
        region: "US",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"glabella\"\n[[history]]\ndate = 2026-10-20\nproduct = \"onabotulinumtoxinA\"\nunits = 20\nareas = [\"glabella\"]\n",
        must: &[("interval", Level::Ask), ("cumulative", Level::Note)],
        must_not: &["interval-any"],
    },
    Case {
        region: "US",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"glabella\"\n[[history]]\ndate = 2026-10-20\nareas = [\"masseter\"]\n",
        must: &[("interval-any", Level::Ask)],
        must_not: &["interval"],
    },
    // type B is a botulinum toxin: its date counts for the intervals, its units are in no sum
    Case {
        region: "US",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"glabella\"\nunits = 20\n[[history]]\ndate = 2026-10-20\nproduct = \"rimabotulinumtoxinB\"\nunits = 5000\nareas = [\"platysma\"]\n",
        must: &[
            ("interval-any", Level::Ask),
            ("earlier-type-b", Level::Note),
            ("cumulative", Level::Note),
        ],
        must_not: &["interval", "cumulative-above", "mixed-products"],
    },
    Case {
        region: "US",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"glabella\"\nunits = 20\n[[history]]\ndate = 2026-10-20\nproduct = \"type B\"\nareas = [\"glabella\"]\n",
        must: &[("interval", Level::Ask), ("earlier-type-b", Level::Note)],
        must_not: &["interval-any"],
    },
    // the weak side of a palsy is not the side to relax
    Case {
        region: "GB-ENG",
        facts: "facial_palsy = \"left\"",
        product: ONA,
        rest: "[[area]]\nid = \"depressor-labii-inferioris\"\nside = \"left\"\nreason = \"asymmetry\"\n",
        must: &[("facial-palsy-same-side", Level::Ask)],
        must_not: &["facial-palsy-balance"],
    },
    Case {
        region: "GB-ENG",
        facts: "facial_palsy = \"left\"",
        product: ONA,
        rest: "[[area]]\nid = \"depressor-labii-inferioris\"\nside = \"right\"\nreason = \"asymmetry\"\n",
        must: &[("facial-palsy-balance", Level::Ask)],
        must_not: &["facial-palsy-same-side", "balance-only"],
    },
    // the forehead alone, and with the frown lines
    Case {
        region: "US",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"forehead\"\nside = \"both\"\nunits = 20\n",
        must: &[("forehead-alone", Level::Ask)],
        must_not: &[],
    },
    Case {
        region: "US",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"forehead\"\nside = \"both\"\nunits = 20\n[[area]]\nid = \"glabella\"\nunits = 20\n",
        must: &[],
        must_not: &["forehead-alone", "total-above-label"],
    },
    // a fact that a rule of the whole visit covers is not said again for an area
    Case {
        region: "GB-ENG",
        facts: "myasthenia_gravis = true\nbreathing_difficulty = true",
        product: ONA,
        rest: "[[area]]\nid = \"platysma\"\nside = \"both\"\n",
        must: &[("myasthenia-gravis", Level::Stop)],
        must_not: &["poor-candidate"],
    },
    // allergies and ingredients
    Case {
        region: "GB-ENG",
        facts: "milk_protein_allergy = true",
        product: "name = \"abobotulinumtoxinA\"",
        rest: "[[area]]\nid = \"glabella\"\n",
        must: &[("milk-protein", Level::Stop)],
        must_not: &["milk-protein-check"],
    },
    // a longer-lasting product away from the frown lines
    Case {
        region: "US",
        facts: "",
        product: "name = \"daxibotulinumtoxinA\"",
        rest: "[[area]]\nid = \"orbicularis-oris\"\n",
        must: &[("long-lasting-function", Level::Ask)],
        must_not: &[],
    },
    // a diary that says nothing, sport the next day, flying the same day
    Case {
        region: "GB-ENG",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"glabella\"\n[[event]]\ndate = 2026-12-20\nwhat = \"party\"\n[[event]]\ndate = 2026-12-04\nwhat = \"race\"\nneeds = [\"sport\"]\n[[event]]\ndate = 2026-12-03\nwhat = \"flight\"\nneeds = [\"flying\"]\n",
        must: &[
            ("diary-no-needs", Level::Note),
            ("diary-advice", Level::Note),
            ("diary-flying", Level::Note),
        ],
        must_not: &["diary"],
    },
    Case {
        region: "GB-ENG",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"masseter\"\nside = \"both\"\nround = 3\n",
        must: &[("previous-missing", Level::Note)],
        must_not: &["interval"],
    },
    // an event that begins before any effect and ends within it; the same without its last days
    Case {
        region: "GB-ENG",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"masseter\"\nside = \"both\"\n[[event]]\ndate = 2026-12-03\nuntil = 2027-01-10\nwhat = \"feast\"\nneeds = [\"chewing\"]\n",
        must: &[("diary", Level::Ask)],
        must_not: &["history-month"],
    },
    Case {
        region: "GB-ENG",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"masseter\"\nside = \"both\"\n[[event]]\ndate = 2026-12-03\nwhat = \"feast\"\nneeds = [\"chewing\"]\n",
        must: &[],
        must_not: &["diary", "diary-late"],
    },
    // of an earlier treatment only the month is known: its last day is within the interval, its first would not be
    Case {
        region: "GB-ENG",
        facts: "",
        product: ONA,
        rest: "[[area]]\nid = \"glabella\"\nround = 2\n[[history]]\ndate = \"2026-09\"\nareas = [\"glabella\"]\n",
        must: &[("history-month", Level::Note), ("interval", Level::Ask)],
        must_not: &["previous-missing"],
    },
];

#[test]
fn each_plan_raises_what_a_practitioner_would_raise() {
    let mut wrong = Vec::new();
    for (index, case) in CASES.iter().enumerate() {
        let clinic = clinic(case.region);
        let visit = visit(
            &clinic,
            case.facts,
            &format!("{DAY}\ntime = 10:00"),
            case.product,
            case.rest,
        );
        let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
        let raised = raised(&selection);
        for (id, level) in case.must {
            if !raised.contains(&((*id).to_owned(), *level)) {
                wrong.push(format!(
                    "case {index}: {id} ({level:?}) is not raised: {raised:?}"
                ));
            }
        }
        for id in case.must_not {
            if raised.iter().any(|(found, _)| found == id) {
                wrong.push(format!("case {index}: {id} is raised and should not be"));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

fn date_of(selection: &Selection<'_>, id: &str, name: &str) -> Date {
    let caution = selection
        .cautions
        .iter()
        .find(|c| c.id == id)
        .expect("the caution");
    match caution.values.get(name) {
        Some(CautionValue::Date(date)) => *date,
        other => panic!("{name} is {other:?}"),
    }
}

/// The date the diary names, put back in as the visit date, clears the event; one day later does not.
#[test]
fn the_latest_clear_visit_is_clear_and_the_next_day_is_not() {
    let clinic = clinic("GB-ENG");
    for (area, side, need) in [
        ("masseter", "side = \"both\"\n", "chewing"),
        ("orbicularis-oris", "", "speech"),
        ("glabella", "", "photographs"),
        (
            "levator-labii-superioris-alaeque-nasi",
            "side = \"both\"\n",
            "smile",
        ),
    ] {
        for offset in [20, 45, 80] {
            let event = date(2027, 1, 31)
                .checked_add((offset - 20).days())
                .expect("a date");
            let rest = format!(
                "[[area]]\nid = \"{area}\"\n{side}[[event]]\ndate = {event}\nwhat = \"day\"\nneeds = [\"{need}\"]\n"
            );
            let collides = |day: Date| {
                // told long before, so that no day in question lies in the past
                let lines = format!("date = {day}\ninformed_on = 2025-01-02");
                let visit = visit(&clinic, "", &lines, ONA, &rest);
                let selection =
                    select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
                let hit = selection
                    .cautions
                    .iter()
                    .any(|c| c.id == "diary" || c.id == "diary-late");
                let latest = hit.then(|| {
                    let id = if selection.cautions.iter().any(|c| c.id == "diary") {
                        "diary"
                    } else {
                        "diary-late"
                    };
                    date_of(&selection, id, "latest_before")
                });
                (hit, latest)
            };
            let first = event.checked_sub(i64::from(offset).days()).expect("a date");
            let (hit, latest) = collides(first);
            assert!(hit, "{area}: {first} should collide with {event}");
            let latest = latest.expect("a date");
            assert!(
                !collides(latest).0,
                "{area}: {latest} is said to be clear of {event} and is not"
            );
            let next = latest.tomorrow().expect("a date");
            assert!(
                collides(next).0,
                "{area}: {next} would have been clear of {event} too"
            );
        }
    }
}

/// The visit's own product named again in an area keeps the visit's dilution; nobody draws up from the wrong vial.
#[test]
fn naming_the_same_product_again_keeps_its_dilution() {
    let clinic = Clinic {
        stock: vec![beforehand::plan::Stock {
            product: "onabotulinumtoxinA".into(),
            vial_units: Some(100.0),
            formulation: None,
            diluent_ml: Some(2.5),
        }],
        ..clinic("US")
    };
    let product = "name = \"onabotulinumtoxinA\"\nvial_units = 50\ndiluent_ml = 0.5";
    let rest = "[[area]]\nid = \"glabella\"\nunits = 20\n[[area]]\nid = \"forehead\"\nside = \"both\"\nunits = 20\nproduct = \"onabotulinumtoxinA\"\n";
    let visit = visit(&clinic, "", DAY, product, rest);
    let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
    for area in &selection.areas {
        assert_eq!(area.dose.units_per_tenth_ml, Some(10.0), "{}", area.area.id);
        assert_eq!(
            area.dose.volume_ml.as_deref(),
            Some("0.2"),
            "{}",
            area.area.id
        );
    }
}

/// What a dose is held against is named with its own evidence (abobotulinumtoxinA, UK glabella: C11 and memory).
#[test]
fn a_dose_caution_cites_the_label_it_names() {
    let clinic = clinic("GB-ENG");
    let rest = "[[area]]\nid = \"glabella\"\nunits = 60\n";
    let visit = visit(&clinic, "", DAY, "name = \"abobotulinumtoxinA\"", rest);
    let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
    let caution = selection
        .cautions
        .iter()
        .find(|c| c.id == "dose-above-label")
        .expect("the caution");
    assert_eq!(caution.evidence.source, ["C11", "memory"]);
    assert_eq!(
        caution.evidence.status,
        beforehand::catalogue::Status::FromMemory
    );
}

/// Sweden: two full days, unless every area was treated within six months. Australia: seven days under 18. From D61, D57, C107.
#[test]
fn waiting_times_of_places() {
    let earliest = |region: &str, born: &str, informed: &str, rest: &str| {
        let clinic = clinic(region);
        let visit = Plan {
            born: born.to_owned(),
            visit: format!("informed_on = {informed}"),
            area: format!("id = \"glabella\"\n{rest}"),
            ..Plan::bare()
        }
        .read(&clinic);
        let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
        selection
            .cautions
            .iter()
            .any(|c| c.id == "time-too-short")
            .then(|| date_of(&selection, "time-too-short", "earliest"))
    };
    assert_eq!(
        earliest("SE", "1980-01-01", "2026-12-01", ""),
        Some(date(2026, 12, 4))
    );
    assert_eq!(earliest("SE", "1980-01-01", "2026-11-30", ""), None);
    assert_eq!(
        earliest("SE", "1980-01-01", "2026-12-02", "previous = 2026-06-03\n"),
        None
    );
    assert_eq!(
        earliest("SE", "1980-01-01", "2026-12-02", "previous = 2026-06-02\n"),
        Some(date(2026, 12, 5))
    );
    assert_eq!(
        earliest("AU", "2010-01-01", "2026-11-27", ""),
        Some(date(2026, 12, 4))
    );
    assert_eq!(earliest("AU", "2010-01-01", "2026-11-26", ""), None);
    assert_eq!(earliest("AU", "1980-01-01", "2026-12-03", ""), None);
    assert_eq!(earliest("GB-ENG", "1980-01-01", "2026-12-03", ""), None);
}

/// Nothing planned and nothing counted is nothing, without a minus in front.
#[test]
fn sums_of_no_units_are_nothing() {
    let clinic = clinic("US");
    let rest =
        "[[area]]\nid = \"glabella\"\n[[history]]\ndate = 2026-10-20\nareas = [\"masseter\"]\n";
    let visit = visit(&clinic, "", DAY, ONA, rest);
    let selection = select(Catalogue::embedded(), &clinic, &visit).expect("it fits");
    let cumulative = selection
        .cautions
        .iter()
        .find(|caution| caution.id == "cumulative")
        .expect("an earlier treatment is added up");
    for sum in ["earlier", "today", "sum"] {
        let CautionValue::Plain(value) = &cumulative.values[sum] else {
            panic!("{sum} is a number");
        };
        assert_eq!(value.to_string(), "0.0", "{sum}");
    }
}

#[test]
fn rest_for_the_day_of_the_treatment_ends_with_that_day() {
    let clinic = ClinicFile {
        rest: "[aftercare]\ninstead = [\"rest-muscles\"]\n".to_owned(),
        ..ClinicFile::default()
    };
    let clinic = clinic.read();
    let visit = Plan::default().read(&clinic);
    let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
    let mut rest = selection.advice.iter();
    let rest = rest.find(|item| item.advice.id == "rest-muscles");
    assert_eq!(
        rest.expect("the clinic chose it").end,
        AdviceEnd::Day(visit.date)
    );
}

/// The first day on which anything may be treated again is said for the whole visit, and that some areas wait longer: the jaw waits for
/// months (C18, C54), the frown lines less.
#[test]
fn the_next_treatment_waits_for_the_first_area_and_says_that_others_wait_longer() {
    let clinic = ClinicFile::default().read();
    let visit = Plan {
        rest: areas(["glabella", "masseter"], ""),
        ..Plan::bare()
    }
    .read(&clinic);
    let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
    let earliest: Vec<_> = selection.areas.iter().map(|a| a.earliest_repeat).collect();
    let [Some(one), Some(other)] = earliest.as_slice() else {
        panic!("both areas have a day: {earliest:?}");
    };
    assert_ne!(one, other, "this visit could not tell");
    let next = selection
        .advice
        .iter()
        .find(|a| a.advice.id == "next-treatment");
    let end = next.expect("said at every visit").end;
    assert_eq!(end, AdviceEnd::Day(*one.min(other)));
    assert!(
        selection.waits_differ(),
        "nothing would say that the other waits"
    );
}
