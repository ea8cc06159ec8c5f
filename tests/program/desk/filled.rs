//! A visit filled in from nothing, questions answered and taken back, and what the front desk may change.

use super::{THURSDAY, TODAY, copied, differing, open, read, visit};
use crate::support::html::Form;
use crate::support::{names_in, put, run};

/// The question of the first answer that is asked for.
pub fn open_question(form: &Form) -> String {
    let names = form.names();
    let of_answer = |name: &String| {
        Some(
            name.strip_prefix("decide.")?
                .strip_suffix(".because")?
                .to_owned(),
        )
    };
    names
        .iter()
        .find_map(of_answer)
        .unwrap_or_else(|| panic!("no question is open: {names:?}"))
}

const BY_HAND: &str = r#"[patient]
name = "Runa Ashdown (invented)"
born = 1984-02-11
record = "TR-7"
large_print = true
speaks_publicly = true
previous_unwanted_effect = "a brow that sat low"
frown_lines_on_frowning = true
dry_eye = "not-sure"

[asked]
on = 2026-11-30
by = "front desk"
no = ["pregnant", "breastfeeding", "smoking"]

[visit]
date = 2026-12-10
time = 14:30
informed_on = 2026-11-26
practitioner = "t-okello"

[product]
name = "incobotulinumtoxinA"
vial_units = 50
diluent_ml = 1.25
batch = "INVENTED-7"

[[area]]
id = "glabella"
units = 4
per = "point"
points = 5
aim = "to look less cross"

[[area]]
id = "masseter"
side = "left"
units = 22.5
reason = "asymmetry"
round = 2
previous = 2026-06-02

[[event]]
date = 2026-12-19
what = "a wedding speech"
needs = ["speech", "smile"]

[[history]]
date = 2026-06-02
product = "incobotulinumtoxinA"
units = 20
areas = ["masseter"]
"#;

#[test]
fn a_visit_filled_in_from_nothing_gives_the_papers_of_a_plan_written_by_hand() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let by_hand = tempfile::tempdir().expect("a temporary folder");
    let clinic = std::fs::read(crate::support::root().join("samples/linden-court/clinic.toml"))
        .expect("a clinic");
    for folder in [&folder, &by_hand] {
        put(folder.path(), "clinic.toml", &clinic);
    }
    put(by_hand.path(), "plan.toml", BY_HAND);

    let desk = open(folder.path(), TODAY);
    let page = desk.page(&desk.page("to-answer").link("A new visit"));
    let mut form = page.form("/visit/save");
    for (field, text) in [
        ("patient.name", "Runa Ashdown (invented)"),
        ("patient.born", "11 Feb 1984"),
        ("patient.record", "TR-7"),
        ("visit.date", "10 Dec 2026"),
        ("visit.time", "2.30 pm"),
        ("visit.informed_on", "26 November 2026"),
        ("visit.practitioner", "t-okello"),
        ("product.name", "incobotulinumtoxinA"),
        ("product.vial_units", "50"),
        ("product.diluent_ml", "1,25"),
        ("product.batch", "INVENTED-7"),
        ("area.glabella.units", "4"),
        ("area.glabella.per", "point"),
        ("area.glabella.points", "5"),
        ("area.glabella.aim", "to look less cross"),
        ("area.masseter.side", "left"),
        ("area.masseter.units", "22.5"),
        ("area.masseter.reason", "asymmetry"),
        ("area.masseter.round", "2"),
        ("area.masseter.previous", "2 June 2026"),
        ("event.0.what", "a wedding speech"),
        ("event.0.date", "19 Dec 2026"),
        ("history.0.date", "2 Jun 2026"),
        ("history.0.product", "incobotulinumtoxinA"),
        ("history.0.units", "20"),
        ("asked.by", "front desk"),
        ("asked.on", "30 Nov 2026"),
        ("fact.pregnant", "no"),
        ("fact.breastfeeding", "no"),
        ("fact.smoking", "no"),
        ("fact.speaks_publicly", "yes"),
        ("fact.frown_lines_on_frowning", "yes"),
        ("fact.dry_eye", "not-sure"),
        ("fact.previous_unwanted_effect", "yes"),
        ("fact.previous_unwanted_effect.said", "a brow that sat low"),
    ] {
        form.set(field, text);
    }
    form.tick("patient.large_print", "yes", true);
    for (field, value) in [
        ("area", "glabella"),
        ("area", "masseter"),
        ("event.0.needs", "speech"),
        ("event.0.needs", "smile"),
        ("history.0.areas", "masseter"),
    ] {
        form.tick(field, value, true);
    }
    // worked out first, without script, which saves nothing
    let worked_out = desk.submit(&form, Some("desk.work-out"));
    assert_eq!(names_in(folder.path()), ["clinic.toml"]);
    assert!(worked_out.text().contains("22.5"), "{}", worked_out.text());
    let saved = desk.submit(&worked_out.form("/visit/save"), Some("Save the visit"));
    assert!(
        saved.text().contains("Saved in 2026-12-10-ashdown.toml"),
        "{}",
        saved.text()
    );

    let make = |folder: &std::path::Path, plan: &str| {
        let ran = run(folder, &["make", plan, "--out", "papers"]);
        assert!(ran.code < 2, "{}", ran.err);
        ran.code
    };
    let code = make(folder.path(), "2026-12-10-ashdown.toml");
    assert_eq!(code, make(by_hand.path(), "plan.toml"));
    let names = names_in(&by_hand.path().join("papers"));
    assert!(
        names.iter().filter(|name| name.ends_with(".pdf")).count() >= 4,
        "{names:?}"
    );
    assert_eq!(names_in(&folder.path().join("papers")), names);
    for name in names.iter().filter(|name| *name != "register.jsonl") {
        let bytes = |folder: &tempfile::TempDir| {
            std::fs::read(folder.path().join("papers").join(name)).expect("a paper")
        };
        assert!(bytes(&folder) == bytes(&by_hand), "{name} differs");
    }
}

#[test]
fn a_new_visit_is_not_scolded_and_an_empty_one_is_not_saved() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), TODAY);
    let before = names_in(folder.path());
    let page = desk.page("visit/new");
    assert!(
        page.texts_of("span", Some("mistake")).is_empty(),
        "{}",
        page.text()
    );
    let refused = desk.submit(&page.form("/visit/save"), Some("Save the visit"));
    assert!(
        refused.text().contains("This is missing."),
        "{}",
        refused.text()
    );
    assert_eq!(names_in(folder.path()), before);
    assert_eq!(
        page.form("/visit/save").get("visit.date").as_deref(),
        Some("3 Dec 2026")
    );
}

/// How many answers `check` counts.
fn answers(folder: &std::path::Path, plan: &str) -> usize {
    let ran = run(folder, &["check", plan, "--format", "json"]);
    let said: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let plans = said["plans"]
        .as_array()
        .cloned()
        .unwrap_or_else(|| vec![said.clone()]);
    let cautions = plans[0]["cautions"].as_array().expect("cautions").clone();
    cautions
        .iter()
        .filter(|caution| !caution["answer"].is_null())
        .count()
}

#[test]
fn a_recorded_answer_counts_and_can_be_taken_back() {
    let folder = copied(THURSDAY);
    let original = read(folder.path(), "lindqvist.toml");
    let desk = open(folder.path(), TODAY);
    let mut form = visit(&desk, "Rosa Lindqvist").form("/visit/save");
    let key = open_question(&form);
    let record = format!("desk.record={key}");

    // half an answer is none, and is not lost
    form.set(&format!("decide.{key}.because"), "One lid only, for years");
    let half = desk.submit(&form, Some(&record));
    assert!(
        half.text().contains("An answer needs a decision"),
        "{}",
        half.text()
    );
    assert_eq!(read(folder.path(), "lindqvist.toml"), original);
    let mut form = half.form("/visit/save");
    assert_eq!(
        form.get(&format!("decide.{key}.because")).as_deref(),
        Some("One lid only, for years")
    );

    form.set(&format!("decide.{key}.decision"), "go-ahead");
    form.set(&format!("decide.{key}.by"), "m-ek");
    let saved = desk.submit(&form, Some(&record));
    assert!(
        saved.text().contains("Saved in lindqvist.toml"),
        "{}",
        saved.text()
    );
    let now = read(folder.path(), "lindqvist.toml");
    let (gone, come) = differing(&original, &now);
    assert!(gone.is_empty(), "{gone:?}");
    assert!(
        come.contains(&"[[answer]]") && come.contains(&"decision = \"go-ahead\""),
        "{come:?}"
    );
    assert!(
        come.contains(&"on = 2026-12-02") && come.contains(&"by = \"m-ek\""),
        "{come:?}"
    );
    assert_eq!(answers(folder.path(), "lindqvist.toml"), 1);
    assert!(saved.text().contains("One lid only, for years"));

    // saved again, it stays once
    let again = desk.submit(&saved.form("/visit/save"), Some("Save the visit"));
    assert_eq!(answers(folder.path(), "lindqvist.toml"), 1);
    let taken = desk.submit(&again.form("/visit/save"), Some("Take this answer back"));
    assert!(taken.text().contains("Saved in"), "{}", taken.text());
    assert_eq!(answers(folder.path(), "lindqvist.toml"), 0);
    assert_eq!(
        read(folder.path(), "lindqvist.toml").trim_end(),
        original.trim_end()
    );
    open_question(&taken.form("/visit/save"));
}

#[test]
fn the_front_desk_changes_who_comes_and_when_and_nothing_clinical() {
    let folder = copied(THURSDAY);
    let original = read(folder.path(), "renn.toml");
    let desk = open(folder.path(), TODAY);
    let page = desk.page(&desk.page("day").link("See the mistakes"));
    let mut form = page.form("/visit/save");
    form.set("visit.practitioner", "e-lind")
        .set("visit.time", "14:40");
    for (name, text) in [
        ("area", "masseter"),
        ("area.glabela.units", "999"),
        ("area.masseter.units", "12"),
        ("fact.pregnant", "yes"),
        ("product.name", "onabotulinumtoxinA"),
        ("asked.by", "nobody"),
        ("event.0.what", "forged"),
        ("history.0.date", "2026-01-01"),
        ("visit.prescriber", "m-ek"),
        ("answer.0.to", "speech"),
        ("desk.unfinished", "1"),
    ] {
        form.forge(name, text);
    }
    let saved = desk.submit(&form, Some("Save the visit"));
    assert!(
        saved.text().contains("Saved in renn.toml"),
        "{}",
        saved.text()
    );
    let now = read(folder.path(), "renn.toml");
    let (gone, come) = differing(&original, &now);
    assert_eq!(gone, ["time = 14:20", "practitioner = \"e-lindt\""]);
    assert_eq!(come, ["time = 14:40", "practitioner = \"e-lind\""]);
    // what is left is for whoever treats, and the front desk is not held up
    assert!(!saved.text().contains("glabel"), "{}", saved.text());
}

/// Deciding is not the front desk's.
#[test]
fn the_front_desk_cannot_answer_or_take_back_an_answer() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), TODAY);
    let page = visit(&desk, "Rosa Lindqvist");
    let key = open_question(&page.form("/visit/save"));
    let original = read(folder.path(), "lindqvist.toml");
    let part = desk.page(&format!("{}?part=desk", page.path));
    let mut form = part.form("/visit/save");
    let whole = page.form("/visit/save");
    for part in ["to", "question", "by", "on"] {
        let name = format!("decide.{key}.{part}");
        form.forge(&name, &whole.get(&name).expect("a value"));
    }
    form.forge(&format!("decide.{key}.decision"), "go-ahead");
    form.forge(&format!("decide.{key}.because"), "forged");
    form.forge("desk.record", &key);
    desk.submit(&form, Some("Save the visit"));
    assert_eq!(read(folder.path(), "lindqvist.toml"), original);

    let answered = format!(
        "{original}\n[[answer]]\nto = \"ptosis\"\nquestion = \"{key}\"\ndecision = \"go-ahead\"\nbecause = \"seen\"\nby = \"m-ek\"\non = {TODAY}\n"
    );
    put(folder.path(), "lindqvist.toml", &answered);
    let mut form = desk
        .page(&format!("{}?part=desk", page.path))
        .form("/visit/save");
    form.forge("desk.forget", "0").forge("desk.unfinished", "1");
    desk.submit(&form, Some("Save the visit"));
    assert_eq!(read(folder.path(), "lindqvist.toml"), answered);
}

/// The pages of the papers stand under the form, also without script, and nothing of them is on disk.
#[test]
fn the_pages_of_the_papers_are_shown_and_leave_nothing_behind() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), TODAY);
    let page = visit(&desk, "Åsa Öhrn");
    let before = names_in(folder.path());
    let shown = desk.page(&page.link("Show the pages"));
    let pictures: Vec<String> = shown
        .addresses()
        .into_iter()
        .filter(|at| at.ends_with(".svg") && at.contains("/visit/page/"))
        .collect();
    assert!(pictures.len() >= 8, "{pictures:?}");
    for picture in [&pictures[0], &pictures[pictures.len() - 1]] {
        let answer = desk.get(picture);
        assert_eq!(
            (answer.status, answer.header("content-type")),
            (200, Some("image/svg+xml"))
        );
        assert!(answer.text().starts_with("<svg"));
    }
    assert_eq!(names_in(folder.path()), before);
    assert_eq!(desk.get("visit/page/0123/consent/1.svg").status, 404);
}
