//! What was told, denied, left open or never asked, and what was answered, into what is still open about a plan.
//!
//! Must not: take an expectation from the rules' own words; each table of truth stands beside the claim it holds.

use std::collections::{BTreeMap, BTreeSet};

use beforehand::catalogue::{Area, Catalogue, FactKind, Level};
use beforehand::domain::{FactId, QuestionCode};
use beforehand::plan::{Clinic, FactValue, Side, Visit};
use beforehand::practice::starter_plan;
use beforehand::select::{AnswerStanding, Idle, Selection, select};
use beforehand::wording::Wording;
use proptest::prelude::*;
use proptest::sample::subsequence;

use crate::support::catalogue::{treatable, treatable_ids};
use crate::support::{ClinicFile, Plan, areas};

fn chosen<'a>(clinic: &'a Clinic, visit: &'a Visit) -> Selection<'a> {
    select(Catalogue::embedded(), clinic, visit).expect("a selection")
}

fn plan(area: &str, product: &str) -> Plan {
    Plan {
        product: format!("name = \"{product}\""),
        rest: areas([area], ""),
        ..Plan::bare()
    }
}

/// The ids of everything that is raised because of this fact.
fn raised_for(selection: &Selection<'_>, fact: &FactId) -> BTreeSet<String> {
    let reason = beforehand::select::Reason::Fact(fact.clone());
    let cautions = selection.cautions.iter();
    cautions
        .filter(|caution| caution.reasons.contains(&reason))
        .map(|caution| caution.id.to_string())
        .collect()
}

/// The ids of everything that is raised, as often as it is.
fn raised(selection: &Selection<'_>) -> Vec<String> {
    let cautions = selection.cautions.iter();
    let mut ids: Vec<String> = cautions.map(|caution| caution.id.to_string()).collect();
    ids.sort();
    ids
}

fn said(kind: FactKind) -> FactValue {
    match kind {
        FactKind::Flag => FactValue::Yes,
        FactKind::Side => FactValue::Side(Side::Both),
        FactKind::Text => FactValue::Text("a rash (invented)".to_owned()),
        // beyond every limit that a poor-candidate entry names
        FactKind::Number => FactValue::Number(50),
    }
}

fn speaks_when_denied(area: &Area, fact: &FactId) -> bool {
    let mut poor = area.poor_candidate.iter();
    area.needs_sign.iter().any(|sign| sign.fact == *fact)
        || poor.any(|poor| poor.denied.contains(fact))
}

/// The truth table of every fact in every area: what a yes raises, a no and a silence do not; silence about it is told; and
/// "not sure" asks. Facts that matter only together with another are tried with the others told.
#[test]
fn nothing_is_raised_by_silence_and_silence_is_never_passed_over() {
    let catalogue = Catalogue::embedded();
    let clinic = ClinicFile::default().read();
    let mut tried = BTreeMap::new();
    for area in treatable() {
        for product in ["onabotulinumtoxinA", "abobotulinumtoxinA"] {
            let visit = plan(area.id.as_str(), product).read(&clinic);
            for others in [false, true] {
                let mut base = visit.clone();
                for fact in &catalogue.facts {
                    let value = if others {
                        said(fact.kind)
                    } else {
                        FactValue::No
                    };
                    base.patient.facts.insert(fact.id.clone(), value);
                }
                for fact in &catalogue.facts {
                    let with = |value: Option<FactValue>| {
                        let mut visit = base.clone();
                        visit.patient.facts.remove(&fact.id);
                        visit
                            .patient
                            .facts
                            .extend(value.map(|value| (fact.id.clone(), value)));
                        visit
                    };
                    let (yes, no) = (with(Some(said(fact.kind))), with(Some(FactValue::No)));
                    let (unsure, silent) = (with(Some(FactValue::NotSure)), with(None));
                    let [yes, no, unsure, silent] =
                        [&yes, &no, &unsure, &silent].map(|visit| chosen(&clinic, visit));
                    let name = format!("{} {product} {} {others}", area.id, fact.id);
                    // only a sign that an area needs speaks when it is denied
                    let needed = speaks_when_denied(area, &fact.id);
                    assert_eq!(raised_for(&no, &fact.id).is_empty(), !needed, "{name}");
                    assert_eq!(raised_for(&silent, &fact.id), BTreeSet::new(), "{name}");
                    let asked: Vec<&FactId> = silent.not_asked.iter().map(|n| &n.fact).collect();
                    assert!(
                        no.not_asked.is_empty() && unsure.not_asked.is_empty(),
                        "{name}"
                    );
                    let matters = needed || raised(&yes) != raised(&no);
                    if matters {
                        assert_eq!(asked, [&fact.id], "{name}");
                    }
                    let asks = raised_for(&unsure, &fact.id);
                    let expected: BTreeSet<String> =
                        asked.iter().map(|_| "not-sure".to_owned()).collect();
                    assert_eq!(asks, expected, "{name}");
                    *tried.entry(fact.id.clone()).or_insert(false) |= matters;
                }
            }
        }
    }
    let never: Vec<&FactId> = tried
        .iter()
        .filter(|(_, matters)| !**matters)
        .map(|(id, _)| id)
        .collect();
    assert!(never.is_empty(), "nothing hangs on {never:?}");
}

/// With this product, food in the airway forbids only together with trouble swallowing (C11); alone it asks.
#[test]
fn what_a_fact_could_come_to_depends_on_what_was_said_of_others() {
    let clinic = ClinicFile::default().read();
    let level = |facts: &str| {
        let plan = Plan {
            facts: facts.to_owned(),
            ..plan("glabella", "abobotulinumtoxinA")
        };
        let visit = plan.read(&clinic);
        let selection = chosen(&clinic, &visit);
        let mut open = selection.not_asked.iter();
        open.find(|open| open.fact == "aspiration")
            .map(|open| open.level)
    };
    assert_eq!(level(""), Some(Level::Stop));
    assert_eq!(level("swallowing_difficulty = true\n"), Some(Level::Stop));
    assert_eq!(
        level("swallowing_difficulty = \"not-sure\"\n"),
        Some(Level::Stop)
    );
    assert_eq!(level("swallowing_difficulty = false\n"), Some(Level::Ask));
    assert_eq!(level("aspiration = \"not-sure\"\n"), None);
}

#[test]
fn what_nobody_asked_stands_with_the_worst_it_could_be() {
    let clinic = ClinicFile::default().read();
    let visit = plan("masseter", "onabotulinumtoxinA").read(&clinic);
    let selection = chosen(&clinic, &visit);
    let of = |id: &str| {
        let open = selection.not_asked.iter().find(|open| open.fact == id);
        open.map(|open| (open.level, open.areas.len()))
    };
    assert_eq!(of("pregnant"), Some((Level::Stop, 0)));
    assert_eq!(of("dentures"), Some((Level::Ask, 1)));
    assert_eq!(of("fear_of_needles"), Some((Level::Note, 0)));
    // of the eyes nothing hangs at the jaw
    assert_eq!(of("dry_eye"), None);
}

/// The jaw, a short interval, and one answer to the question about it.
fn answered(answer: &str, more: &str) -> Plan {
    Plan {
        area: format!(
            "id = \"masseter\"\nside = \"both\"\nunits = 50\nprevious = 2026-10-20\n{more}"
        ),
        rest: answer.to_owned(),
        ..Plan::bare()
    }
}

fn answer(to: &str, question: Option<QuestionCode>, decision: &str) -> String {
    let question = question.map_or(String::new(), |code| format!("question = \"{code}\"\n"));
    format!(
        "\n[[answer]]\nto = \"{to}\"\n{question}decision = \"{decision}\"\nbecause = \"Seen today; the muscle is strong.\"\n\
         by = \"a-one\"\non = 2026-12-01\n"
    )
}

/// The code of a plan's question.
fn code(plan: &Plan, clinic: &Clinic, id: &str) -> QuestionCode {
    let visit = plan.read(clinic);
    let selection = chosen(clinic, &visit);
    let caution = selection.cautions.iter().find(|caution| caution.id == *id);
    caution
        .unwrap_or_else(|| panic!("{id} is raised"))
        .question
        .expect("an ask has a code")
}

fn standing(plan: &Plan, clinic: &Clinic) -> Option<AnswerStanding> {
    let visit = plan.read(clinic);
    let selection = chosen(clinic, &visit);
    let caution = selection
        .cautions
        .iter()
        .find(|caution| caution.id == "interval");
    caution
        .expect("it is raised")
        .given
        .map(|given| given.standing)
}

#[test]
fn an_answer_counts_until_what_it_rested_on_changes() {
    let clinic = ClinicFile::default().read();
    let code = code(&answered("", ""), &clinic, "interval");
    let go = answer("interval", Some(code), "go-ahead");
    assert_eq!(
        standing(&answered(&go, ""), &clinic),
        Some(AnswerStanding::Counts)
    );
    let without = answer("interval", None, "go-ahead");
    assert_eq!(
        standing(&answered(&without, ""), &clinic),
        Some(AnswerStanding::WithoutCode)
    );
    // the day, the units, the side, the number of points, the last treatment, the product, an earlier treatment
    let plan = || answered(&go, "");
    let with_area = |from: &str, to: &str| Plan {
        area: plan().area.replace(from, to),
        ..plan()
    };
    let changed = [
        Plan {
            date: "2026-12-04".to_owned(),
            ..plan()
        },
        with_area("units = 50", "units = 51"),
        with_area("\"both\"", "\"left\""),
        with_area("units = 50", "units = 50\npoints = 6"),
        with_area("2026-10-20", "2026-10-21"),
        Plan {
            product: "name = \"letibotulinumtoxinA\"".to_owned(),
            ..plan()
        },
        Plan {
            rest: format!("{go}\n[[history]]\ndate = 2026-09-01\nareas = [\"glabella\"]\n"),
            ..plan()
        },
    ];
    for (at, plan) in changed.iter().enumerate() {
        assert_eq!(
            standing(plan, &clinic),
            Some(AnswerStanding::Changed),
            "change {at}"
        );
    }
    // what the question does not rest on
    let same = [
        Plan {
            batch: "INVENTED-2".to_owned(),
            ..plan()
        },
        Plan {
            aim: "a softer line".to_owned(),
            ..plan()
        },
        with_area("units = 50", "units = 50\nlast_time = \"It went well.\""),
        Plan {
            facts: "singing = false\n".to_owned(),
            ..plan()
        },
        Plan {
            rest: format!("{go}{}", areas(["glabella"], "units = 20\n")),
            ..plan()
        },
    ];
    for (at, plan) in same.iter().enumerate() {
        assert_eq!(
            standing(plan, &clinic),
            Some(AnswerStanding::Counts),
            "same {at}"
        );
    }
}

#[test]
fn readiness_counts_what_is_open_answered_and_not_asked() {
    let clinic = ClinicFile::default().read();
    let everything: String = Catalogue::embedded()
        .facts
        .iter()
        .map(|fact| format!("{} = false\n", fact.id))
        .collect();
    let ready = |plan: &Plan| {
        let visit = plan.read(&clinic);
        chosen(&clinic, &visit).readiness()
    };
    let base = |answer: &str| Plan {
        facts: everything.clone(),
        ..answered(answer, "")
    };
    let codes: Vec<(String, QuestionCode)> = {
        let visit = base("").read(&clinic);
        let selection = chosen(&clinic, &visit);
        let asks = selection
            .cautions
            .iter()
            .filter_map(|c| Some((c.id.to_string(), c.question?)));
        asks.collect()
    };
    let open = ready(&base(""));
    assert!(
        !open.ready && open.open == codes.len() && open.open > 0,
        "{open:?}"
    );
    assert_eq!((open.not_asked, open.answered), (0, 0));
    let all = |decision: &str| -> String {
        codes
            .iter()
            .map(|(id, code)| answer(id, Some(*code), decision))
            .collect()
    };
    let done = ready(&base(&all("go-ahead")));
    assert!(done.ready, "{done:?}");
    assert_eq!((done.open, done.answered), (0, codes.len()));
    let change = ready(&base(&all("change")));
    assert!(
        !change.ready && change.to_change == codes.len(),
        "{change:?}"
    );
    let silent = ready(&Plan {
        facts: String::new(),
        ..base(&all("go-ahead"))
    });
    assert!(!silent.ready && silent.not_asked > 20, "{silent:?}");
}

#[test]
fn a_decision_not_to_treat_forbids_what_the_plan_still_lists() {
    let clinic = ClinicFile::default().read();
    let code = code(&answered("", ""), &clinic, "interval");
    let visit = answered(&answer("interval", Some(code), "do-not-treat"), "").read(&clinic);
    let selection = chosen(&clinic, &visit);
    let stop = &selection.cautions[0];
    assert_eq!(
        (stop.id.as_str(), stop.level),
        ("decided-against", Level::Stop)
    );
    assert_eq!(stop.areas, ["masseter"]);
}

#[test]
fn an_answer_that_nothing_asks_for_is_told() {
    let clinic = ClinicFile::default().read();
    let idle = |plan: Plan| {
        let visit = plan.read(&clinic);
        chosen(&clinic, &visit).idle_answers.clone()
    };
    let other = answer("heart-disease", None, "go-ahead");
    assert_eq!(idle(answered(&other, "")), [(0, Idle::NothingAsks)]);
    let codes = answer("interval", None, "go-ahead");
    assert_eq!(idle(answered(&codes, "")), []);
    // under the least age of the place it is a stop, and stays one
    let child = Plan {
        born: "2010-01-01".to_owned(),
        ..answered(&answer("age-under-minimum", None, "go-ahead"), "")
    };
    let visit = child.read(&clinic);
    let selection = chosen(&clinic, &visit);
    assert_eq!(selection.idle_answers, [(0, Idle::Stop)]);
    assert_eq!(selection.strictest(), Some(Level::Stop));
}

fn flags() -> Vec<String> {
    let facts = Catalogue::embedded().facts.iter();
    let flags = facts.filter(|fact| fact.kind == FactKind::Flag);
    flags.map(|fact| fact.id.to_string()).collect()
}

fn stops(selection: &Selection<'_>) -> BTreeSet<String> {
    let stops = selection
        .cautions
        .iter()
        .filter(|caution| caution.level == Level::Stop);
    stops.map(|caution| caution.id.to_string()).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    /// Another area leaves nothing unasked that was to be asked, and the order of areas does not matter.
    #[test]
    fn another_area_never_takes_a_question_away(
        planned in subsequence(treatable_ids(), 2..6).prop_shuffle(),
        told in subsequence(flags(), 0..6),
        denied in subsequence(flags(), 0..12),
    ) {
        let clinic = ClinicFile::default().read();
        let facts = |ids: &[&str]| {
            let told: BTreeMap<&String, bool> = denied.iter().map(|f| (f, false)).chain(told.iter().map(|f| (f, true))).collect();
            let facts: String = told.iter().map(|(fact, so)| format!("{fact} = {so}\n")).collect();
            Plan { facts, rest: areas(ids, ""), ..Plan::bare() }.read(&clinic)
        };
        let open = |visit: &Visit| -> BTreeSet<(FactId, Level)> {
            chosen(&clinic, visit).not_asked.iter().map(|n| (n.fact.clone(), n.level)).collect()
        };
        let (fewer, all) = (facts(&planned[1..]), facts(&planned));
        let ids: BTreeSet<FactId> = open(&all).into_iter().map(|(fact, _)| fact).collect();
        for (fact, _) in open(&fewer) {
            prop_assert!(ids.contains(&fact), "{fact} is no longer asked");
        }
        let mut turned = planned.clone();
        turned.reverse();
        prop_assert_eq!(open(&all), open(&facts(&turned)));
    }

    /// Whatever is answered, and however: a stop stays.
    #[test]
    fn answering_never_removes_a_stop(
        planned in subsequence(treatable_ids(), 1..4),
        told in subsequence(flags(), 0..8),
        decisions in proptest::collection::vec(0..3_usize, 40),
    ) {
        let clinic = ClinicFile::default().read();
        let facts: String = told.iter().map(|fact| format!("{fact} = true\n")).collect();
        let plan = Plan { facts, rest: areas(&planned, ""), ..Plan::bare() };
        let visit = plan.read(&clinic);
        let before = chosen(&clinic, &visit);
        let answers: String = before
            .cautions
            .iter()
            .filter_map(|caution| Some((caution.id.to_string(), caution.question?)))
            .zip(decisions.iter().cycle())
            .map(|((id, code), decision)| answer(&id, Some(code), ["go-ahead", "change", "do-not-treat"][*decision]))
            .take(50)
            .collect();
        let plan = Plan { rest: format!("{}{answers}", plan.rest), ..plan };
        let visit = plan.read(&clinic);
        let after = chosen(&clinic, &visit);
        prop_assert!(stops(&after).is_superset(&stops(&before)));
        prop_assert!(after.idle_answers.is_empty(), "{:?}", after.idle_answers);
    }
}

/// Whatever product is chosen then, a starter has every question that its plan will ask; with all of them denied nothing is open.
#[test]
fn a_starter_carries_every_question_its_plan_asks() {
    let catalogue = Catalogue::embedded();
    let wording =
        Wording::new(&"en".parse().expect("a tag"), "GB").expect("the release's own words");
    for area in treatable_ids() {
        let starter = starter_plan(catalogue, &wording, &[area.to_owned()]).expect("a starter");
        let denied: String = starter
            .lines()
            .filter_map(|line| line.strip_prefix("# "))
            .filter(|line| line.ends_with(" = false"))
            .map(|line| format!("{line}\n"))
            .collect();
        assert!(denied.lines().count() > 20, "{area}: {denied}");
        for product in &catalogue.products {
            for region in ["GB-ENG", "US", "SE"] {
                let clinic = ClinicFile::at(region).read();
                let plan = Plan {
                    facts: denied.clone(),
                    ..plan(area, product.id.as_str())
                };
                let visit = plan.read(&clinic);
                let selection = chosen(&clinic, &visit);
                assert!(
                    selection.not_asked.is_empty(),
                    "{area} {}: {:?}",
                    product.id,
                    selection.not_asked
                );
            }
        }
    }
}
