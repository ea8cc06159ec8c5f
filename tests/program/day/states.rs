//! The state of a visit, held against a table that was written down by hand before the program was asked.

use serde_json::{Value, json};

use super::{folder, ready, sample_plan, visits};
use crate::support::put;

/// What is changed in a plan that is ready.
#[derive(Clone, Copy)]
enum Change {
    /// The patient is pregnant: nobody may treat.
    Pregnant,
    /// The information was given yesterday, where two full days are asked for.
    Late,
    /// A drooping lid: a question for the practitioner.
    Question,
    /// A thing that matters is left out of what was denied.
    Unasked,
    /// An area that nobody knows.
    Mistake,
    /// The practitioner has answered the question with "go ahead".
    Answered,
    /// The practitioner wants another plan, and the plan is as it was.
    OtherPlanWanted,
}

use Change::*;

fn changed(changes: &[Change]) -> String {
    let mut plan = ready(1);
    let swap = |plan: &str, from: &str, to: &str| {
        assert!(plan.contains(from), "{from} is not in the plan");
        plan.replacen(from, to, 1)
    };
    let answer = |plan: &str, decision: &str| {
        format!(
            "{plan}\n[[answer]]\nto = \"drooping-lid\"\nquestion = \"CODE\"\ndecision = \"{decision}\"\nbecause = \"Talked over.\"\nby = \"e-lind\"\non = 2026-12-01\n"
        )
    };
    for change in changes {
        plan = match change {
            Pregnant => swap(
                &swap(&plan, "\"pregnant\", ", ""),
                "frown_lines",
                "pregnant = true\nfrown_lines",
            ),
            Late => swap(
                &plan,
                "informed_on = 2026-11-27",
                "informed_on = 2026-12-02",
            ),
            Question => swap(
                &swap(&plan, "\"drooping_lid\",", ""),
                "frown_lines",
                "drooping_lid = true\nfrown_lines",
            ),
            Unasked => swap(&plan, "\"heart_disease\", ", ""),
            Mistake => swap(&plan, "id = \"glabella\"", "id = \"glabela\""),
            Answered => answer(&plan, "go-ahead"),
            OtherPlanWanted => answer(&plan, "change"),
        };
    }
    plan
}

/// The state of each plan alone, with what it counts and the first possible day.
#[test]
fn a_visit_has_the_state_of_what_stands_against_it_most() {
    let table: &[(&[Change], &str, Value, Value)] = &[
        (&[], "ready", json!(null), json!(null)),
        (&[Unasked], "not-asked", json!(1), json!(null)),
        (&[Question], "to-answer", json!(1), json!(null)),
        (&[Question, Answered], "ready", json!(null), json!(null)),
        (
            &[Question, OtherPlanWanted],
            "to-answer",
            json!(1),
            json!(null),
        ),
        (&[Question, Unasked], "to-answer", json!(1), json!(null)),
        (
            &[Question, Answered, Unasked],
            "not-asked",
            json!(1),
            json!(null),
        ),
        (&[Late], "not-before", json!(null), json!("2026-12-05")),
        (
            &[Late, Question],
            "not-before",
            json!(null),
            json!("2026-12-05"),
        ),
        (
            &[Late, Unasked],
            "not-before",
            json!(null),
            json!("2026-12-05"),
        ),
        (&[Pregnant], "stopped", json!(null), json!(null)),
        (&[Pregnant, Late], "stopped", json!(null), json!(null)),
        (
            &[Pregnant, Question, Unasked],
            "stopped",
            json!(null),
            json!(null),
        ),
        (&[Mistake], "mistakes", json!(1), json!(null)),
        (&[Mistake, Pregnant], "mistakes", json!(1), json!(null)),
    ];
    for (row, (changes, state, count, not_before)) in table.iter().enumerate() {
        let folder = folder();
        let mut plan = changed(changes);
        if plan.contains("\"CODE\"") {
            let asked = changed(&[Question]);
            put(folder.path(), "plan.toml", &asked);
            plan = plan.replace("CODE", &code_of_question(folder.path()));
        }
        put(folder.path(), "plan.toml", plan);
        let visits = visits(folder.path(), &[]);
        assert_eq!(visits.len(), 1, "row {row}");
        assert_eq!(visits[0]["state"], *state, "row {row}: {}", visits[0]);
        assert_eq!(visits[0]["count"], *count, "row {row}");
        assert_eq!(visits[0]["not_before"], *not_before, "row {row}");
        let needs = visits[0]["needs"].as_array().expect("a list");
        assert_eq!(needs.is_empty(), *state == "ready", "row {row}: {needs:?}");
    }
}

/// The code under which the one open question of a plan is answered.
fn code_of_question(folder: &std::path::Path) -> String {
    let ran = crate::support::run(folder, &["check", "plan.toml", "--format", "json"]);
    let said: Value = serde_json::from_str(&ran.out).expect("JSON");
    let cautions = said["plans"][0]["cautions"].as_array().expect("a list");
    let open = cautions
        .iter()
        .find_map(|caution| caution["question"].as_str());
    open.expect("a question").to_owned()
}

/// A clinic that does not train prints nothing in words that nobody has approved.
#[test]
fn words_that_nobody_approved_are_not_printed() {
    let folder = folder();
    let clinic = sample_plan("clinic.toml");
    let allowed = "allow_unapproved = \"training\"";
    assert!(clinic.contains(allowed));
    put(folder.path(), "clinic.toml", clinic.replace(allowed, ""));
    put(folder.path(), "plan.toml", ready(1));
    let out = visits(folder.path(), &["--out", "papers"]);
    assert_eq!(out[0]["state"], "unapproved");
    assert!(crate::support::names_in(&folder.path().join("papers")).is_empty());
}

/// Two files for one visit would write the same papers.
#[test]
fn a_second_file_of_the_same_visit_waits() {
    let folder = folder();
    put(folder.path(), "a.toml", ready(1));
    put(folder.path(), "b.toml", ready(1));
    let visits = visits(folder.path(), &[]);
    let states: Vec<&Value> = visits.iter().map(|visit| &visit["state"]).collect();
    assert_eq!(states, ["ready", "twice"]);
    assert!(
        visits[1]["needs"][0]
            .as_str()
            .expect("text")
            .contains("a.toml")
    );
}
