//! Whole journeys through the desk in a browser: the day's minute, a visit made from nothing in three ways, an answer, the drawing.
//!
//! Invariant: a journey is told only what a person reads, in the practice's language; the files that three ways lead to are one file,
//! and their papers those of a plan that was written by hand.
//! Must not: walk a journey itself, or hold a word of the desk.

use std::path::Path;
use std::process::Output;

use beforehand::catalogue::Side;
use beforehand::domain::LabelId;
use jiff::civil::{Date, date};
use serde_json::{Value, json};

use super::{Practice, browser, runs};
use crate::support::catalogue::treatable;
use crate::support::desk::Desk;
use crate::support::{names_in, put, referee};

/// A visit as somebody has it in mind who fills in the form; the record number stands for `RECORD`.
const BY_HAND: &str = include_str!("by-hand.toml");

const NAME: &str = "Ada Ferrow (invented)";
const AIM: &str = "a softer frown";
const ASKED_BY: &str = "Kim (invented)";

/// Days that are typed: born, visit, information and questions.
const BORN: Date = date(1984, 2, 11);
const VISIT: Date = date(2026, 12, 8);
const BEFORE: Date = date(2026, 11, 27);
const TOMORROW: Date = date(2026, 12, 3);

/// One visit in the words of the practice.
fn visit(practice: &Practice, record: &str) -> Value {
    let word = |id: &str| practice.word(id);
    let day = |day: Date| practice.words.formats().short_date(day);
    let clinic: toml::Table = practice.text("clinic.toml").parse().expect("a clinic file");
    let people = clinic["practitioner"].as_array().expect("practitioners");
    let first = people.first().and_then(|person| person["name"].as_str());
    let first = first.expect("a name");
    let area = |id: &str| {
        let id = id.parse().expect("an area");
        word(LabelId::area_name(&id).as_str())
    };
    let question = |fact: &str| {
        let fact = fact.parse().expect("a fact");
        word(LabelId::question(&fact).as_str())
    };
    let frown = question("frown_lines_on_frowning");
    let jaw = question("muscle_bulges_on_clenching");
    json!({
        "place": word("desk.place.to-answer"),
        "new": word("desk.visit.new"),
        "save": word("desk.visit.save"),
        "work-out": word("desk.visit.work-out"),
        "no": word("desk.said.no"),
        "texts": [
            [word("desk.jump.patient"), word("desk.visit.name"), NAME],
            [word("desk.jump.patient"), word("desk.visit.born"), day(BORN)],
            [word("desk.jump.patient"), word("desk.visit.record"), record],
            [word("desk.jump.visit"), word("desk.visit.day"), day(VISIT)],
            [word("desk.jump.visit"), word("desk.visit.time"), "10:40"],
            [word("desk.jump.visit"), word("desk.visit.informed"), day(BEFORE)],
            [word("desk.asked.heading"), word("desk.asked.by"), ASKED_BY],
            [word("desk.asked.heading"), word("desk.asked.on"), day(BEFORE)],
        ],
        "choices": [
            [word("desk.jump.visit"), word("desk.visit.practitioner"), first],
            [word("desk.visit.product-heading"), word("desk.visit.product"), practice.product],
        ],
        "keyed": [
            ["patient.name", NAME],
            ["patient.born", day(BORN)],
            ["patient.record", record],
            ["visit.date", day(VISIT)],
            ["visit.time", "10:40"],
            ["visit.informed_on", day(BEFORE)],
            ["visit.practitioner", first],
            ["product.name", practice.product],
            ["asked.by", ASKED_BY],
            ["asked.on", day(BEFORE)],
        ],
        "areas": [
            { "id": "glabella", "name": area("glabella"),
              "texts": [[word("desk.area.units"), practice.units], [word("desk.area.aim"), AIM]],
              "keyed": [["area.glabella.units", practice.units], ["area.glabella.aim", AIM]] },
            { "id": "masseter", "name": area("masseter"), "side": word("desk.side.both"),
              "texts": [[word("desk.area.units"), "40"]],
              "keyed": [["area.masseter.side", "both"], ["area.masseter.units", "40"]] },
        ],
        "said": [[frown, word("desk.said.yes")], [jaw, word("desk.said.yes")]],
        "said-values": [[frown, "yes"], [jaw, "yes"]],
    })
}

/// The front desk's minute.
fn the_day(practice: &Practice, visits: usize, ready: usize) -> Value {
    let day = practice.words.formats().weekday_date(TOMORROW);
    json!({
        "day": day,
        "visits": visits,
        "lists": practice.line("desk.day.put", json!({ "count": 3 })),
        "listed": practice.word("desk.day.put-done"),
        "print": practice.line("desk.day.print", json!({ "count": ready })),
        "open": practice.word("desk.printing.open"),
    })
}

fn an_answer(practice: &Practice) -> Value {
    let go_ahead = practice.word(LabelId::choice(beforehand::domain::Decision::GoAhead).as_str());
    // on a paper it stands inside a sentence, here it begins one
    let mut letters = go_ahead.chars();
    let first = letters.next().expect("a word").to_uppercase();
    json!({
        "place": practice.word("desk.place.to-answer"),
        "who": "Rosa Lindqvist",
        "decision": format!("{first}{}", letters.as_str()),
        "reason-label": practice.word("desk.beside.reason"),
        "reason": "The lid was looked at (invented).",
        "record": practice.word("desk.beside.record"),
    })
}

fn walked(python: &Path, desk: &Desk, practice: &Practice, journeys: &[Value]) -> Output {
    let journeys: Vec<Value> = journeys
        .iter()
        .map(|journey| {
            let mut journey = journey.clone();
            journey["locale"] = practice.locale.into();
            journey
        })
        .collect();
    let picture = referee::scratch(&format!("desk-journey-{}.png", practice.locale));
    let case = json!({ "address": desk.address, "browser": "/usr/bin/chromium", "picture": picture, "journeys": journeys });
    referee::judged(
        &mut referee::script(python, "desk_journeys.py"),
        &case.to_string(),
    )
}

/// The plan files that are new in a folder, by the record number in them: each with `RECORD` in its place.
fn plan_of(practice: &Practice, record: &str) -> String {
    let mut found = names_in(practice.path())
        .into_iter()
        .filter(|name| name.ends_with(".toml"))
        .map(|name| practice.text(&name))
        .filter(|text| text.contains(record));
    let text = found.next().expect("a file with this record number");
    assert_eq!(found.next(), None, "{record} has a second file");
    text.replace(record, "RECORD")
}

/// Names and bytes of the papers of a plan.
fn papers_of(practice: &Practice, plan: &str) -> Vec<(String, Vec<u8>)> {
    let folder = tempfile::tempdir().expect("a folder");
    put(folder.path(), "clinic.toml", practice.text("clinic.toml"));
    put(folder.path(), "plan.toml", plan.replace("RECORD", "BV-999"));
    runs(folder.path(), &["make", "plan.toml", "--out", "papers"]);
    let papers = folder.path().join("papers");
    let names = names_in(&papers).into_iter();
    names
        .filter(|name| !name.ends_with(".jsonl"))
        .map(|name| {
            let bytes = std::fs::read(papers.join(&name)).expect("a paper");
            (name, bytes)
        })
        .collect()
}

fn walk(practice: &Practice, what: &str, ready: usize) {
    let Some(python) = browser() else {
        return;
    };
    let desk = practice.open();
    let journeys = [
        json!({ "name": "print the day", "journey": "print-the-day", "words": the_day(practice, 8, ready) }),
        json!({ "name": "by mouse", "journey": "by-mouse", "words": visit(practice, "BV-901") }),
        json!({ "name": "an answer", "journey": "answer", "words": an_answer(practice) }),
    ];
    // each of the other ways in one of the languages
    let others = match practice.locale {
        "en-GB" => vec![
            json!({ "name": "by keyboard", "journey": "by-keyboard", "words": visit(practice, "BV-902") }),
            json!({ "name": "without script", "journey": "by-boxes", "words": visit(practice, "BV-903"), "script": false }),
            json!({ "name": "on a telephone, by mouse", "journey": "by-mouse", "words": visit(practice, "BV-904"), "width": 390 }),
        ],
        _ => vec![
            json!({ "name": "on a telephone, without script", "journey": "by-boxes", "words": visit(practice, "BV-902"), "script": false, "width": 390 }),
            json!({ "name": "on a telephone, by keyboard", "journey": "by-keyboard", "words": visit(practice, "BV-903"), "width": 390 }),
        ],
    };
    let ways = others.len();
    let journeys: Vec<Value> = journeys.into_iter().chain(others).collect();
    referee::passes(what, &walked(&python, &desk, practice, &journeys));

    let by_mouse = plan_of(practice, "BV-901");
    for record in ["BV-902", "BV-903", "BV-904"].iter().take(ways) {
        assert_eq!(plan_of(practice, record), by_mouse, "{record} and by mouse");
    }
    let by_hand = BY_HAND
        .replace("PRACTITIONER", practice.first)
        .replace("PRODUCT", practice.product)
        .replace("UNITS", practice.units);
    let (ours, theirs) = (
        papers_of(practice, &by_mouse),
        papers_of(practice, &by_hand),
    );
    let names = |papers: &[(String, Vec<u8>)]| -> Vec<String> {
        papers.iter().map(|(name, _)| name.clone()).collect()
    };
    assert_eq!(names(&ours), names(&theirs));
    assert!(ours.len() > 4, "{:?}", names(&ours));
    for ((name, ours), (_, theirs)) in ours.iter().zip(&theirs) {
        assert!(
            ours == theirs,
            "{name} differs from that of the plan written by hand:\n{by_mouse}"
        );
    }
    let answered = practice.text("lindqvist.toml");
    assert!(
        answered.contains("The lid was looked at (invented)."),
        "{answered}"
    );

    // the front desk's minute on a telephone, without script, on the same day of another folder
    let fresh = if practice.locale == "en-GB" {
        Practice::english()
    } else {
        Practice::spanish()
    };
    let desk = fresh.open();
    let day = json!({ "name": "print the day on a telephone", "journey": "print-the-day", "words": the_day(&fresh, 8, ready), "width": 390, "script": false });
    referee::passes(
        &format!("{what}, on a telephone"),
        &walked(&python, &desk, &fresh, &[day]),
    );
}

#[test]
fn by_mouse_by_keyboard_and_without_script_lead_to_one_plan() {
    walk(&Practice::english(), "journeys in English", 3);
}

#[test]
fn the_same_journeys_in_spanish() {
    walk(&Practice::spanish(), "journeys in Spanish", 4);
}

/// The areas as they are named, and where each is drawn.
fn the_face(practice: &Practice) -> Value {
    let areas: Vec<Value> = treatable()
        .into_iter()
        .map(|area| {
            let zones: Vec<&str> = match area.sides.contains(&Side::Left) {
                true => vec![Side::Left.as_str(), Side::Right.as_str()],
                false => vec![area.sides[0].as_str()],
            };
            json!({ "id": area.id.as_str(), "name": practice.word(LabelId::area_name(&area.id).as_str()),
                "zones": zones, "choice": area.sides.len() > 1 })
        })
        .collect();
    json!({ "place": practice.word("desk.place.to-answer"), "new": practice.word("desk.visit.new"),
        "legend": practice.word("desk.area.which"), "areas": areas })
}

fn walk_the_face(practice: &Practice) {
    let Some(python) = browser() else {
        return;
    };
    let desk = practice.open();
    let journey = json!({ "name": "the face", "journey": "the-face", "words": the_face(practice) });
    let answer = walked(&python, &desk, practice, &[journey]);
    referee::passes(&format!("the face, {}", practice.locale), &answer);
}

#[test]
fn every_zone_of_the_face_ticks_its_box_and_every_box_is_named() {
    walk_the_face(&Practice::english());
}

/// The same zones of the same picture under other names, which every screen in Spanish is read for anyway.
#[test]
#[ignore = "takes long"]
fn every_zone_of_the_face_in_spanish() {
    walk_the_face(&Practice::spanish());
}

#[test]
fn a_wrong_expectation_ends_a_journey() {
    let Some(python) = browser() else {
        return;
    };
    let practice = Practice::english();
    let desk = practice.open();
    let fails = |name: &str, words: Value, wanted: &str| {
        let journey = json!({ "name": "wrong", "journey": name, "words": words });
        let answer = walked(&python, &desk, &practice, &[journey]);
        let said = referee::said(&answer);
        assert_eq!(answer.status.code(), Some(1), "{name}: {said}");
        assert!(said.contains(wanted), "{name}: {said}");
    };
    fails("print-the-day", the_day(&practice, 9, 3), "wrong: 8");
    let mut face = the_face(&practice);
    face["areas"][0]["name"] = "Something else".into();
    fails("the-face", face, "Something else");
    let mut face = the_face(&practice);
    face["areas"][0]["zones"] = json!(["left"]);
    fails("the-face", face, "is drawn on");
}
