//! `new`: a starter plan that `make` accepts once the blanks are filled in, and that never lands on another file.

use beforehand::paper::PaperKind;

use crate::support::catalogue::area_ids;
use crate::support::{desk, names_in, put, run};

/// Fills in the blanks a person is asked to fill in, and nothing else.
fn filled(starter: &str) -> String {
    let mut text = starter.to_owned();
    for (blank, value) in [
        ("\nname = \"\"", "\nname = \"Ada Invented\""),
        ("\nborn = \"\"", "\nborn = 1984-02-11"),
        ("\nrecord = \"\"", "\nrecord = \"INV-7\""),
        ("\ndate = \"\"", "\ndate = 2026-12-03"),
        ("\npractitioner = \"\"", "\npractitioner = \"a-one\""),
    ] {
        assert_eq!(
            text.matches(blank).count(),
            1,
            "one blank {blank:?} in\n{text}"
        );
        text = text.replacen(blank, value, 1);
    }
    text
}

#[test]
fn a_starter_for_every_area_is_toml_and_is_accepted_once_filled_in() {
    for area in area_ids() {
        let desk = desk();
        let ran = run(desk.path(), &["new", "--area", &area]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{area}");
        let table: toml::Table = ran
            .out
            .parse()
            .unwrap_or_else(|error| panic!("{area}: {error}\n{}", ran.out));
        assert_eq!(table["area"].as_array().map(Vec::len), Some(1), "{area}");
        assert_eq!(table["area"][0]["id"].as_str(), Some(area.as_str()));

        put(desk.path(), "plan.toml", filled(&ran.out));
        let made = run(desk.path(), &["make", "plan.toml", "--out", "papers"]);
        assert_eq!(made.err, "", "{area}: no mistake in a starter");
        let papers = names_in(&desk.path().join("papers"));
        // one is never treated, the other only with a reason
        if area == "zygomaticus" || area == "depressor-labii-inferioris" {
            assert_eq!(made.code, 1, "{area}: {}", made.out);
            assert!(made.out.contains("\n    stop  "), "{area}: {}", made.out);
            assert_eq!(
                papers,
                ["INV-7-2026-12-03-clinician.pdf", "register.jsonl"],
                "{area}"
            );
        } else {
            assert_eq!(made.code, 0, "{area}: {}", made.out);
            let pdfs = papers.iter().filter(|name| name.ends_with(".pdf")).count();
            assert_eq!(pdfs, PaperKind::ALL.len(), "{area}: {papers:?}");
        }
    }
}

#[test]
fn the_reason_the_starter_offers_opens_the_lower_lip() {
    let desk = desk();
    let starter = run(
        desk.path(),
        &["new", "--area", "depressor-labii-inferioris"],
    )
    .out;
    assert_eq!(
        starter.matches("\n# reason = \"asymmetry\"").count(),
        1,
        "{starter}"
    );
    put(
        desk.path(),
        "plan.toml",
        filled(&starter).replace("\n# reason", "\nreason"),
    );
    let made = run(desk.path(), &["make", "plan.toml"]);
    assert_eq!((made.code, made.err.as_str()), (0, ""), "{}", made.out);
}

#[test]
fn nothing_opens_the_area_that_is_never_treated() {
    let desk = desk();
    let starter = run(desk.path(), &["new", "--area", "zygomaticus"]).out;
    for reason in ["asymmetry", "appearance"] {
        put(
            desk.path(),
            "plan.toml",
            filled(&starter).replace("\nside = ", &format!("\nreason = \"{reason}\"\nside = ")),
        );
        let made = run(desk.path(), &["make", "plan.toml", "--out", "papers"]);
        assert_eq!((made.code, made.err.as_str()), (1, ""), "{}", made.out);
        assert!(
            !names_in(&desk.path().join("papers"))
                .iter()
                .any(|name| name.contains("consent"))
        );
    }
}

#[test]
fn several_areas_stand_in_one_starter() {
    let desk = desk();
    let all = area_ids();
    let mut arguments = vec!["new"];
    for area in &all {
        arguments.extend(["--area", area.as_str()]);
    }
    let ran = run(desk.path(), &arguments);
    let table: toml::Table = ran.out.parse().expect("valid TOML");
    let ids: Vec<&str> = table["area"]
        .as_array()
        .expect("areas")
        .iter()
        .filter_map(|a| a["id"].as_str())
        .collect();
    assert_eq!(ids, all);
}

#[test]
fn every_line_the_starter_offers_is_accepted_when_its_mark_is_taken_away() {
    let desk = desk();
    let starter = filled(&run(desk.path(), &["new", "--area", "orbicularis-oris"]).out);
    // lines that are an offer look like `# key = value`; each is tried alone, the example values for blanks filled in
    let offers: Vec<&str> = starter
        .lines()
        .filter(|line| {
            line.strip_prefix("# ")
                .and_then(|l| l.split_once(" = "))
                .is_some_and(|(key, _)| key.chars().all(|c| c.is_ascii_lowercase() || c == '_'))
        })
        .collect();
    assert!(offers.len() > 40, "{}", offers.len());
    let mut plans = Vec::new();
    for offer in offers {
        let elsewhere = ["# date", "# what", "# needs", "# on", "# by"];
        if elsewhere.iter().any(|key| offer.starts_with(key)) {
            continue; // they belong under a heading of their own; see the next test
        }
        let own = offer[2..]
            .replace("units = 0 ", "units = 6 ")
            .replace("informed_on = \"\"", "informed_on = 2026-11-20")
            .replace("previous = \"\"", "previous = 2026-06-01")
            .replace("batch = \"\"", "batch = \"INVENTED\"")
            .replace("aim = \"\"", "aim = \"softer lines\"");
        let plan = format!("plan-{}.toml", plans.len());
        put(desk.path(), &plan, starter.replace(offer, &own));
        plans.push(plan);
    }
    assert!(plans.len() > 30, "{}", plans.len());
    // by one process, which reads each plan by itself; what it has against a line names the plan and shows the line
    let asked: Vec<&str> = std::iter::once("check")
        .chain(plans.iter().map(String::as_str))
        .collect();
    let checked = run(desk.path(), &asked);
    assert_eq!(checked.err, "");
    assert!(checked.code < 2, "{}", checked.code);
    for plan in &plans {
        assert!(checked.out.contains(plan), "{plan} was not checked");
    }
}

#[test]
fn the_event_the_starter_offers_is_accepted_with_every_need() {
    let desk = desk();
    let starter = filled(&run(desk.path(), &["new", "--area", "masseter"]).out);
    let (head, event) = starter
        .split_once("# [[event]]")
        .expect("an event is offered");
    let event = format!("# [[event]]{event}")
        .replace("\n# ", "\n")
        .replacen("# ", "", 1);
    let event = event
        .replace("date = \"\"", "date = 2026-12-19")
        .replace("what = \"\"", "what = \"a feast\"");
    put(desk.path(), "plan.toml", format!("{head}{event}"));
    let checked = run(desk.path(), &["check", "plan.toml"]);
    assert_eq!((checked.code, checked.err.as_str()), (0, ""), "{event}");
    assert!(checked.out.contains("a feast"), "{}", checked.out);
}

#[test]
fn a_starter_as_it_is_points_at_every_blank_by_name() {
    let desk = desk();
    let starter = run(desk.path(), &["new", "--area", "masseter"]).out;
    put(desk.path(), "plan.toml", &starter);
    let ran = run(desk.path(), &["make", "plan.toml"]);
    assert_eq!(ran.code, 1);
    for blank in [
        "name = \"\"",
        "born = \"\"",
        "record = \"\"",
        "date = \"\"",
        "practitioner = \"\"",
    ] {
        assert!(
            ran.err.contains(blank),
            "{blank} is not pointed at in\n{}",
            ran.err
        );
    }
    assert!(ran.err.contains("5 mistakes"), "{}", ran.err);
}

#[test]
fn a_starter_without_areas_is_toml_and_make_asks_for_an_area() {
    let desk = desk();
    let ran = run(desk.path(), &["new"]);
    assert_eq!(ran.code, 0);
    ran.out.parse::<toml::Table>().expect("valid TOML");
    put(desk.path(), "plan.toml", filled(&ran.out));
    let made = run(desk.path(), &["make", "plan.toml"]);
    assert_eq!(made.code, 1);
    assert!(made.err.contains("area"), "{}", made.err);
}

#[test]
fn out_writes_what_would_have_been_printed_and_never_over_another_file() {
    let desk = desk();
    let printed = run(desk.path(), &["new", "--area", "masseter"]).out;
    let ran = run(
        desk.path(),
        &["new", "--area", "masseter", "--out", "tomorrow.toml"],
    );
    assert_eq!((ran.code, ran.out.as_str()), (0, ""), "{}", ran.err);
    let path = desk.path().join("tomorrow.toml");
    assert_eq!(
        std::fs::read_to_string(&path).expect("it was written"),
        printed
    );

    put(desk.path(), "tomorrow.toml", "mine");
    let ran = run(
        desk.path(),
        &["new", "--area", "platysma", "--out", "tomorrow.toml"],
    );
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(ran.err.contains("tomorrow.toml"), "{}", ran.err);
    assert_eq!(
        std::fs::read_to_string(&path).expect("it is still there"),
        "mine"
    );
    assert_eq!(names_in(desk.path()), ["clinic.toml", "tomorrow.toml"]);
}

#[test]
fn areas_that_are_not_known_or_named_twice_are_all_said_at_once() {
    let desk = desk();
    let ran = run(
        desk.path(),
        &[
            "new", "--area", "maseter", "--area", "knee", "--area", "mentalis", "--area",
            "mentalis", "--out", "x.toml",
        ],
    );
    assert_eq!((ran.code, ran.out.as_str()), (1, ""));
    for said in [
        "did you mean `masseter` (Jaw muscle)?",
        "`knee`",
        "`mentalis`",
    ] {
        assert!(ran.err.contains(said), "{said}: {}", ran.err);
    }
    assert_eq!(names_in(desk.path()), ["clinic.toml"]);
}

#[test]
fn everyday_names_stand_beside_the_latin_ones() {
    let desk = desk();
    let starter = run(desk.path(), &["new"]).out;
    let list = run(desk.path(), &["areas"]).out;
    let strange = run(desk.path(), &["new", "--area", "knee"]).err;
    for (id, name) in [
        ("masseter", "Jaw muscle"),
        ("orbicularis-oris", "Lines around the lips"),
        ("levator-labii-superioris-alaeque-nasi", "Gummy smile"),
    ] {
        assert!(
            starter.contains(&format!("#   {id}: {name}\n")),
            "{starter}"
        );
        assert!(
            list.lines()
                .any(|line| line.starts_with(id) && line.ends_with(name)),
            "{list}"
        );
        assert!(strange.contains(&format!("`{id}` ({name})")), "{strange}");
        let chosen = run(desk.path(), &["new", "--area", id]).out;
        assert!(
            chosen.contains(&format!("id = \"{id}\"    # {name}")),
            "{chosen}"
        );
        // asked for by its everyday name, it is found
        let asked = run(desk.path(), &["areas", &name.to_lowercase()]);
        assert_eq!(asked.code, 1);
        assert!(
            asked
                .err
                .contains(&format!("did you mean `{id}` ({name})?")),
            "{}",
            asked.err
        );
    }
}
