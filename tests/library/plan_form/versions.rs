//! Two people change one plan: what each changed is kept, and what both changed is asked.
//!
//! Must not: let a dose come out that neither wrote.

use std::collections::BTreeMap;

use beforehand::diagnose::Format;
use beforehand::plan_form::{
    Choice, Difference, NotMerged, PlanForm, Who, differences, merge, settled,
};
use proptest::prelude::*;
use proptest::sample::select;

use super::support::{form, vocabulary};

const BASE: &str = r#"# Invented.
[patient]
name = "Ines Aldana"
born = 1984-02-11
record = "TR-1"
singing = true

[visit]
date = 2026-12-03
practitioner = "m-varga"

[product]
name = "onabotulinumtoxinA"

[[area]]
id = "masseter"
side = "both"
units = 50

[[area]]
id = "glabella"
units = 20

[[event]]
date = 2026-12-19
what = "wedding"

[[event]]
date = 2026-12-24
what = "dinner"
needs = ["chewing"]
"#;

fn base() -> PlanForm {
    form(BASE, Format::Toml, &vocabulary())
}

fn with(sets: &[(&str, &[&str])]) -> PlanForm {
    let mut form = base();
    for (field, texts) in sets {
        form.set(field, texts.iter().copied());
    }
    form
}

fn found(mine: &PlanForm, theirs: &str) -> Vec<Difference> {
    let theirs = form(theirs, Format::Toml, &vocabulary());
    differences(&base(), mine, &theirs, &vocabulary())
}

fn merged(mine: &PlanForm, theirs: &str, chosen: &[(&str, Choice)]) -> Result<String, NotMerged> {
    let chosen: BTreeMap<String, Choice> = chosen
        .iter()
        .map(|(field, choice)| ((*field).to_owned(), *choice))
        .collect();
    merge(&base(), mine, theirs, Format::Toml, &chosen, &vocabulary())
}

fn who(found: &[Difference]) -> Vec<(&str, Who)> {
    found
        .iter()
        .map(|one| (one.field.as_str(), one.who))
        .collect()
}

#[test]
fn what_only_one_changed_is_kept_and_remarks_on_disk_survive() {
    let mine = with(&[
        ("visit.time", &["9.15"]),
        ("fact.singing", &["no"]),
        ("patient.born", &["11 Feb 1984"]),
    ]);
    let theirs = BASE
        .replace(
            "name = \"Ines Aldana\"",
            "name = \"Inés Aldana\"  # asked how it is spelt",
        )
        .replace("units = 20", "# they thought about it\nunits = 18");
    let differing = found(&mine, &theirs);
    assert_eq!(
        who(&differing),
        [
            ("patient.name", Who::OnlyTheirs),
            ("visit.time", Who::OnlyMine),
            ("fact.singing", Who::OnlyMine),
            ("area.glabella.units", Who::OnlyTheirs),
        ]
    );
    assert_eq!(differing[1].mine, ["09:15"]);
    assert_eq!(differing[1].base, Vec::<String>::new());
    let wanted = theirs
        .replace("date = 2026-12-03\n", "date = 2026-12-03\ntime = 09:15\n")
        .replace("singing = true", "singing = false");
    assert_eq!(merged(&mine, &theirs, &[]), Ok(wanted));
}

#[test]
fn what_both_changed_is_asked() {
    let mine = with(&[
        ("visit.date", &["2026-12-04"]),
        ("patient.record", &["TR-2"]),
    ]);
    let theirs = BASE
        .replace("2026-12-03", "2026-12-05")
        .replace("TR-1", "TR-2");
    let differing = found(&mine, &theirs);
    assert_eq!(who(&differing), [("visit.date", Who::Both)]);
    let open = NotMerged::NotChosen(vec!["visit.date".to_owned()]);
    assert_eq!(merged(&mine, &theirs, &[]), Err(open));
    assert_eq!(
        merged(&mine, &theirs, &[("visit.date", Choice::Theirs)]),
        Ok(theirs.clone())
    );
    let wanted = theirs.replace("2026-12-05", "2026-12-04");
    assert_eq!(
        merged(&mine, &theirs, &[("visit.date", Choice::Mine)]),
        Ok(wanted)
    );
}

/// 50 in all, halved by one; "per side" by the other: put together it would be a dose that nobody wrote.
#[test]
fn parts_of_one_dose_are_never_put_together_silently() {
    let mine = with(&[("area.masseter.units", &["25"])]);
    let theirs = BASE.replace("units = 50", "units = 50\nper = \"side\"");
    let differing = found(&mine, &theirs);
    assert_eq!(
        who(&differing),
        [
            ("area.masseter.units", Who::Both),
            ("area.masseter.per", Who::Both)
        ]
    );
    assert!(
        matches!(merged(&mine, &theirs, &[]), Err(NotMerged::NotChosen(open)) if open.len() == 2)
    );
}

/// Both halved the number, but one of them for each side.
#[test]
fn the_same_number_counted_in_two_ways_is_asked() {
    let mine = with(&[
        ("area.masseter.units", &["25"]),
        ("area.masseter.per", &["side"]),
    ]);
    let theirs = BASE.replace("units = 50", "units = 25");
    let differing = found(&mine, &theirs);
    assert_eq!(who(&differing), [("area.masseter.per", Who::Both)]);
}

#[test]
fn answers_of_one_are_not_put_under_the_name_of_another() {
    let mine = with(&[
        ("asked.on", &["2026-12-01"]),
        ("asked.by", &["front desk"]),
        ("fact.pregnant", &["no"]),
    ]);
    let theirs = BASE.replace("singing = true", "singing = false");
    let differing = found(&mine, &theirs);
    assert_eq!(
        who(&differing),
        [
            ("asked.on", Who::Both),
            ("asked.by", Who::Both),
            ("fact.pregnant", Who::OnlyMine),
            ("fact.singing", Who::OnlyTheirs),
        ]
    );
}

#[test]
fn a_whole_area_is_one_difference() {
    let mine = with(&[
        ("area", &["masseter", "forehead"]),
        ("area.forehead.units", &["10"]),
    ]);
    let untouched = found(&mine, BASE);
    assert_eq!(
        who(&untouched),
        [
            ("area.glabella", Who::OnlyMine),
            ("area.forehead", Who::OnlyMine)
        ]
    );
    assert_eq!(untouched[0].base, ["id: glabella", "units: 20"]);
    assert_eq!(untouched[0].mine, Vec::<String>::new());
    assert_eq!(untouched[1].mine, ["id: forehead", "units: 10"]);
    let theirs = BASE.replace("units = 20", "units = 18");
    let differing = found(&mine, &theirs);
    assert_eq!(
        who(&differing),
        [
            ("area.glabella", Who::Both),
            ("area.forehead", Who::OnlyMine)
        ]
    );
    let kept = merged(&mine, &theirs, &[("area.glabella", Choice::Theirs)]).expect("chosen");
    let kept = form(&kept, Format::Toml, &vocabulary());
    assert_eq!(kept.all("area"), ["masseter", "glabella", "forehead"]);
    assert_eq!(kept.get("area.glabella.units"), Some("18"));
    let gone = merged(&mine, &theirs, &[("area.glabella", Choice::Mine)]).expect("chosen");
    let gone = form(&gone, Format::Toml, &vocabulary());
    assert_eq!(gone.all("area"), ["masseter", "forehead"]);
}

#[test]
fn events_are_matched_by_what_they_say() {
    // they took the first out and added one; I changed the second and added one
    let theirs = BASE.replace("[[event]]\ndate = 2026-12-19\nwhat = \"wedding\"\n\n", "")
        + "\n[[event]]\ndate = 2026-12-31\nwhat = \"party\"\n";
    let mine = with(&[
        ("event.1.what", &["big dinner"]),
        ("event.2.date", &["2027-01-05"]),
        ("event.2.what", &["photographs"]),
    ]);
    let differing = found(&mine, &theirs);
    assert_eq!(
        who(&differing),
        [
            ("event.0", Who::OnlyTheirs),
            ("event.1.what", Who::OnlyMine),
            ("event.2", Who::OnlyMine),
            ("event.3", Who::OnlyTheirs),
        ]
    );
    let text = merged(&mine, &theirs, &[]).expect("nothing is open");
    let whole = form(&text, Format::Toml, &vocabulary());
    let what: Vec<&str> = whole
        .numbers("event")
        .iter()
        .filter_map(|n| whole.get(&format!("event.{n}.what")))
        .collect();
    assert_eq!(what, ["big dinner", "party", "photographs"], "{text}");
    assert_eq!(whole.get("event.0.needs"), Some("chewing"));
}

#[test]
fn the_same_event_added_by_both_is_there_once() {
    let theirs = format!("{BASE}\n[[event]]\ndate = 2026-12-31\nwhat = \"party\"\n");
    let mine = with(&[
        ("event.2.date", &["31 Dec 2026"]),
        ("event.2.what", &["party"]),
    ]);
    assert_eq!(found(&mine, &theirs), []);
    assert_eq!(merged(&mine, &theirs, &[]), Ok(theirs));
}

#[test]
fn a_file_that_cannot_be_taken_apart_is_told_of() {
    assert_eq!(
        merged(&base(), "[patient", &[]),
        Err(NotMerged::NotReadable)
    );
}

fn change() -> impl Strategy<Value = (&'static str, Vec<&'static str>)> {
    select(vec![
        ("patient.name", vec!["I. Aldana"]),
        ("patient.language", vec!["es"]),
        ("visit.date", vec!["2026-12-04"]),
        ("visit.date", vec!["2026-12-05"]),
        ("visit.time", vec!["10:00"]),
        ("fact.singing", vec!["no"]),
        ("fact.singing", vec!["not-sure"]),
        ("fact.pregnant", vec!["no"]),
        ("area", vec!["masseter"]),
        ("area", vec!["masseter", "glabella", "forehead"]),
        ("area.glabella.units", vec!["18"]),
        ("area.masseter.per", vec!["side"]),
        ("event.0.what", vec!["big wedding"]),
        ("event.1.until", vec!["2026-12-26"]),
    ])
}

/// With everything chosen to be mine, what I changed is there; with theirs, what they changed; and nothing else has changed.
#[test]
fn every_field_comes_from_somebody() {
    let config = ProptestConfig {
        cases: 120,
        failure_persistence: None,
        ..ProptestConfig::default()
    };
    let changes = || proptest::collection::vec(change(), 0..5);
    proptest!(config, |(of_mine in changes(), of_theirs in changes(), choice in any::<bool>())| {
        let apply = |changes: &[(&'static str, Vec<&'static str>)]| {
            let sets: Vec<(&str, &[&str])> = changes.iter().map(|(field, texts)| (*field, texts.as_slice())).collect();
            with(&sets)
        };
        let vocabulary = vocabulary();
        let mine = settled(&apply(&of_mine), &vocabulary);
        let theirs = beforehand::plan_form::write(BASE, Format::Toml, &apply(&of_theirs), &vocabulary).expect("written");
        let theirs_form = form(&theirs, Format::Toml, &vocabulary);
        let choice = if choice { Choice::Mine } else { Choice::Theirs };
        let differing = found(&mine, &theirs);
        let chosen: Vec<(&str, Choice)> = differing.iter().map(|one| (one.field.as_str(), choice)).collect();
        let whole = merged(&mine, &theirs, &chosen).expect("everything is chosen");
        let whole = form(&whole, Format::Toml, &vocabulary);
        for field in ["patient.name", "patient.language", "visit.date", "visit.time", "fact.singing", "fact.pregnant"] {
            let [old, own, other, new] = [&base(), &mine, &theirs_form, &whole].map(|form| form.all(field).to_vec());
            let wanted = match (own != old, other != old) {
                (true, false) => own,
                (false, _) => other,
                (true, true) if choice == Choice::Mine => own,
                (true, true) => other,
            };
            // date and time are one question when each changed one of them
            let together = ["visit.date", "visit.time"].contains(&field)
                && differing.iter().any(|one| one.field.starts_with("visit.") && one.who == Who::Both);
            if !together {
                prop_assert_eq!(new, wanted, "{}", field);
            }
        }
        // no dose that neither wrote
        if whole.all("area").iter().any(|area| area == "masseter") {
            let dose = |form: &PlanForm| ["units", "per"].map(|key| form.all(&format!("area.masseter.{key}")).to_vec());
            prop_assert!([dose(&mine), dose(&theirs_form)].contains(&dose(&whole)));
        }
    });
}
