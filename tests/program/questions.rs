//! Plans with questions answered, open and never asked, into what `check`, `make` and the check sheet say of them.
//!
//! Must not: work out what a question rests on (that is held in the library's tests).

use crate::support::{Plan, desk, put, root, run};

fn check(desk: &std::path::Path, plan: &Plan) -> serde_json::Value {
    put(desk, "plan.toml", plan.toml());
    let ran = run(desk, &["check", "plan.toml", "--format", "json"]);
    let whole: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    whole["plans"][0].clone()
}

fn ask<'r>(report: &'r serde_json::Value, id: &str) -> &'r serde_json::Value {
    let cautions = report["cautions"].as_array().expect("cautions");
    let found = cautions.iter().find(|caution| caution["id"] == id);
    found.unwrap_or_else(|| panic!("{id} is raised: {report:#}"))
}

fn answered(question: &str, decision: &str) -> String {
    format!(
        "[[answer]]\nto = \"speech\"\nquestion = \"{question}\"\ndecision = \"{decision}\"\n\
         because = \"No broadcasts until *January* (invented).\"\nby = \"a-one\"\non = 2026-12-01\n"
    )
}

fn speaker() -> Plan {
    Plan {
        facts: "speaks_publicly = true\npregnant = false\nheart_disease = \"not-sure\"\n\n\
                [asked]\non = 2026-11-20\nby = \"front desk\"\nno = [\"singing\"]"
            .to_owned(),
        area: "id = \"orbicularis-oris\"\nunits = 6".to_owned(),
        ..Plan::default()
    }
}

#[test]
fn an_answer_is_printed_beside_its_question_and_the_next_change_opens_it_again() {
    let desk = desk();
    let open = check(desk.path(), &speaker());
    let code = ask(&open, "speech")["question"]
        .as_str()
        .expect("a code")
        .to_owned();
    assert_eq!(
        ask(&open, "speech")["state"],
        format!("No answer yet (code for the plan: speech {code})")
    );
    assert!(
        open["readiness"]["open"].as_u64() >= Some(2),
        "{}",
        open["readiness"]
    );

    let plan = Plan {
        rest: answered(&code.to_lowercase(), "go-ahead"),
        ..speaker()
    };
    let done = check(desk.path(), &plan);
    let answer = &ask(&done, "speech")["answer"];
    assert_eq!(
        (&answer["standing"], &answer["decision"]),
        (&"counts".into(), &"go-ahead".into())
    );
    assert_eq!(
        ask(&done, "speech")["state"],
        "Answered: go ahead. “No broadcasts until *January* (invented).” (Ada One (invented), 1 December 2026)"
    );
    let less = |report: &serde_json::Value| report["readiness"]["open"].as_u64().expect("a number");
    assert_eq!(less(&done) + 1, less(&open));

    let other = Plan {
        area: plan.area.replace("units = 6", "units = 7"),
        ..plan
    };
    let again = check(desk.path(), &other);
    assert_eq!(ask(&again, "speech")["answer"]["standing"], "changed");
    assert_eq!(less(&again), less(&open));
    let state = ask(&again, "speech")["state"].as_str().expect("a sentence");
    assert!(state.starts_with("Open again: speech "), "{state}");
}

#[test]
fn what_was_asked_denied_unsure_and_never_asked_is_told_apart() {
    let desk = desk();
    let report = check(desk.path(), &speaker());
    let open: Vec<&str> = report["not_asked"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|line| line["fact"].as_str())
        .collect();
    for asked in ["pregnant", "singing", "speaks_publicly", "heart_disease"] {
        assert!(!open.contains(&asked), "{asked}: {open:?}");
    }
    assert!(open.contains(&"breastfeeding"), "{open:?}");
    assert_eq!(report["readiness"]["not_asked"], open.len());
    let unsure = ask(&report, "not-sure");
    assert_eq!(
        (&unsure["level"], &unsure["because"]),
        (&"ask".into(), &"Heart disease".into())
    );

    let ran = run(desk.path(), &["check", "plan.toml"]);
    assert_eq!(ran.code, 0, "papers can be taken home: {}", ran.err);
    assert!(ran.out.contains("\nNot ready to treat. "), "{}", ran.out);
    assert!(ran.out.contains("  stop  breastfeeding "), "{}", ran.out);
    let made = run(desk.path(), &["make", "plan.toml"]);
    assert_eq!(made.code, 0, "{}", made.err);
    assert!(made.out.contains("Not ready to treat. "), "{}", made.out);
}

#[test]
fn a_decision_against_stops_the_papers() {
    let desk = desk();
    let open = check(desk.path(), &speaker());
    let code = ask(&open, "speech")["question"]
        .as_str()
        .expect("a code")
        .to_owned();
    let plan = Plan {
        rest: answered(&code, "do-not-treat"),
        ..speaker()
    };
    let report = check(desk.path(), &plan);
    assert_eq!(report["stopped"], true);
    assert_eq!(ask(&report, "decided-against")["level"], "stop");
    let made = run(desk.path(), &["make", "plan.toml"]);
    assert_eq!(made.code, 1, "{}", made.out);
    assert!(made.out.contains("stopped"), "{}", made.out);
}

/// What the guide says of the samples: ready, answered and open, not asked, not sure, denied.
#[test]
fn the_samples_show_every_state_of_a_question() {
    let report = |plan: &str| {
        let plan = format!("samples/{plan}");
        let ran = run(root(), &["check", &plan, "--format", "json"]);
        let whole: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
        whole["plans"][0].clone()
    };
    let ready = report("linden-court/jaw-second-round.toml");
    assert_eq!(ready["readiness"]["ready"], true, "{}", ready["readiness"]);
    let news = report("linden-court/news-reader.toml");
    assert_eq!(ask(&news, "speech")["answer"]["standing"], "counts");
    assert!(ask(&news, "diary")["answer"].is_null());
    assert_eq!(news["not_asked"][0]["fact"], "dental_work_planned");
    assert_eq!(news["readiness"]["not_asked"], 1);
    let flute = report("linden-court/flute-player.toml");
    assert!(flute["readiness"]["not_asked"].as_u64() > Some(20));
    ask(&report("linden-court/neck-lax-skin.toml"), "no-benefit");
    ask(&report("cedar-hollow/en-espanol.toml"), "not-sure");
    let hollow = run(
        root(),
        &[
            "wording",
            "diff",
            "--clinic",
            "samples/rowan-quay/hollow/clinic.toml",
        ],
    );
    assert!(hollow.err.contains("error[P821]"), "{}", hollow.err);
}
