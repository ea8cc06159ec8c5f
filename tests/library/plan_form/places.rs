//! Every place that the plan reader points at in the files of mistakes is one of a field, or known to be none.
//!
//! Must not: pass over a mistake without saying why.

use beforehand::plan::read_plan;
use beforehand::plan_form::field_of;

use super::support::of_tests;
use crate::support::plan_reader::clinic;

#[test]
fn every_mistake_of_a_plan_has_its_field() {
    let (clinic, mut with_field, mut without) = (clinic(), 0, Vec::new());
    for plan in of_tests() {
        let name = plan
            .path
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        if name.starts_with("clinic") {
            continue;
        }
        let source = plan.source();
        for mistake in read_plan(&source, &plan.vocabulary, Some(&clinic))
            .err()
            .unwrap_or_default()
        {
            match field_of(&source, &mistake.path, &plan.vocabulary) {
                Some(field) => {
                    with_field += 1;
                    let part = field.split('.').next().expect("a part");
                    let known = [
                        "patient", "visit", "product", "asked", "area", "event", "history",
                        "answer", "fact",
                    ];
                    assert!(known.contains(&part), "{name}: {field}");
                }
                None => without.push(format!("{name}: {}", mistake.path)),
            }
        }
    }
    assert!(with_field > 90, "{with_field} mistakes have a field");
    insta::assert_snapshot!(without.join("\n"));
}

#[test]
fn the_field_shows_what_stands_at_the_place() {
    let text = "[patient]\nspeaks_publicly = 3\noccupation = \"x\"\ngum_shown_mm = 99\n\n[asked]\nno = [\"plays_wind_instrument\", \"gum_shown_mm\"]\n\n\
                [[area]]\nid = \"masseter\"\n\n[[area]]\nid = \"masseter\"\n\n[[area]]\nunits = 3\n\n[[event]]\nwhat = \"x\"\n";
    let source = super::support::source(text, beforehand::diagnose::Format::Toml);
    let vocabulary = crate::support::plan_reader::vocabulary();
    for (path, field) in [
        ("patient.name", Some("patient.name")),
        ("patient", Some("patient.name")),
        ("visit", Some("visit.date")),
        ("product", Some("product.name")),
        ("asked", Some("asked.on")),
        ("patient.speaks_publicly", Some("fact.speaks_publicly")),
        ("patient.occupation", Some("fact.occupation.said")),
        ("patient.gum_shown_mm", Some("fact.gum_shown_mm.said")),
        ("patient.shoe_size", None),
        ("asked.no[0]", Some("fact.plays_wind_instrument")),
        ("asked.no[7]", None),
        ("area", Some("area")),
        ("area[0]", Some("area")),
        ("area[1].id", Some("area")),
        ("area[0].units", Some("area.masseter.units")),
        ("area[1].units", Some("area.masseter#2.units")),
        ("area[2].stance_because", Some("area.#3.because")),
        ("area[9].units", None),
        ("event[0].date", Some("event.0.date")),
        ("event[0].needs[1]", Some("event.0.needs")),
        ("event[0]", Some("event.0.date")),
        ("history[4].areas[0]", Some("history.4.areas")),
        ("answer[1].decision", Some("answer.1.decision")),
        ("event", None),
        ("", None),
        ("shoes.size", None),
    ] {
        let found = field_of(&source, path, &vocabulary);
        assert_eq!(found.as_deref(), field, "{path}");
    }
}
