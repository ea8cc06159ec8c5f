//! The first start in an empty folder: looking around, or a clinic file of one's own, and nothing written over.

use super::{TODAY, open, read};
use crate::support::html::Form;
use crate::support::{names_in, put, root, run};

fn empty() -> tempfile::TempDir {
    tempfile::tempdir().expect("a temporary folder")
}

#[test]
fn an_empty_folder_can_be_looked_around_in() {
    let folder = empty();
    let desk = open(folder.path(), "2027-02-27");
    let page = desk.page("");
    assert!(page.text().contains("Start here"), "{}", page.text());
    assert!(page.path.ends_with("/first"), "{}", page.path);
    let day = desk.submit(&page.form("/first/try"), None);
    assert!(
        day.text().contains("Sunday, 28 February 2027"),
        "{}",
        day.text()
    );
    assert!(
        day.text().contains("Print the 3 ready ones"),
        "{}",
        day.text()
    );
    assert_eq!(day.texts_of("tr", None).len(), 9);
    assert!(day.text().contains("none is for patients"));
    let ran = run(folder.path(), &["check", "ohrn.toml"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);

    // a second press changes nothing
    let before: Vec<(String, String)> = names_in(folder.path())
        .into_iter()
        .map(|name| (name.clone(), read(folder.path(), &name)))
        .collect();
    desk.submit(&page.form("/first/try"), None);
    for (name, text) in &before {
        assert_eq!(read(folder.path(), name), *text, "{name}");
    }
    assert_eq!(names_in(folder.path()).len(), before.len());
}

/// In the language of whoever opens it.
#[test]
fn a_first_start_speaks_the_language_of_the_browser() {
    let folder = empty();
    let mut desk = open(folder.path(), TODAY);
    desk.browser.languages = "ca;q=0.9, es-MX, en;q=0.5";
    let page = desk.page("");
    assert!(page.lang().starts_with("es"), "{}", page.lang());
    let day = desk.submit(&page.form("/first/try"), None);
    assert!(day.lang().starts_with("es"), "{}", day.text());
    assert!(read(folder.path(), "clinic.toml").contains("Patio Verde"));
    let plans: Vec<String> = names_in(folder.path())
        .into_iter()
        .filter(|name| !name.starts_with("clinic"))
        .collect();
    assert!(!plans.is_empty());
    for plan in plans {
        assert!(run(folder.path(), &["check", &plan]).code < 2, "{plan}");
    }
}

/// The plain fields of a clinic that is right.
fn filled(form: &mut Form) -> &mut Form {
    for (field, text) in [
        ("clinic.name", "Sample \"House\" Clinic (invented)"),
        ("clinic.address.0", "1 Example Row"),
        ("clinic.address.1", "Sampleton"),
        ("clinic.phone", "01632 960 101"),
        ("clinic.phone_out_of_hours", "01632 960 199"),
        ("clinic.region", "GB-ENG"),
        ("clinic.time_zone", "Europe/London"),
        ("practitioner.0.name", "Dr Elva Lind-Ørsted (invented)"),
        ("practitioner.0.role", "doctor"),
        ("practitioner.0.registration", "INVENTED-1"),
        ("practitioner.1.name", "Tam Okello (invented)"),
        ("practitioner.1.role", "nurse"),
        ("practitioner.1.registration", "INVENTED-2"),
        ("stock.0.product", "onabotulinumtoxinA"),
        ("stock.0.vial_units", "100"),
        ("stock.0.diluent_ml", "2,5"),
    ] {
        form.set(field, text);
    }
    form
}

#[test]
fn a_clinic_of_ones_own_is_written_once_it_is_right() {
    let folder = empty();
    let desk = open(folder.path(), TODAY);
    let page = desk.page("first");
    let mut form = page.form("/first/clinic");

    let nothing = desk.submit(&form, None);
    assert!(
        nothing.text().contains("Nothing was written."),
        "{}",
        nothing.text()
    );
    for field in ["clinic.name", "clinic.region", "practitioner.0.name"] {
        assert!(
            !nothing.text_of(&format!("{field}-mistake")).is_empty(),
            "{field}: {}",
            nothing.text()
        );
    }
    filled(&mut form)
        .set("clinic.phone", "ring us")
        .set("stock.0.vial_units", "many")
        .set("clinic.time_zone", "Mars");
    let wrong = desk.submit(&form, None);
    for (field, text) in [
        ("clinic.phone", "ring us"),
        ("stock.0.vial_units", "many"),
        ("clinic.time_zone", "Mars"),
    ] {
        assert!(
            wrong.text_of(&format!("{field}-mistake")).len() > 10,
            "{field}: {}",
            wrong.text()
        );
        assert_eq!(
            wrong.form("/first/clinic").get(field).as_deref(),
            Some(text)
        );
    }
    assert!(names_in(folder.path()).is_empty());

    let mut form = wrong.form("/first/clinic");
    let day = desk.submit(filled(&mut form), None);
    assert!(
        day.text().contains("Nobody is expected on this day."),
        "{}",
        day.text()
    );
    assert!(day.text().contains("Sample \"House\" Clinic (invented)"));
    assert_eq!(names_in(folder.path()), ["clinic.toml"]);
    // practitioners have names in plans that tell who is meant
    let clinic = read(folder.path(), "clinic.toml");
    assert!(clinic.contains("id = \"okello-2\""), "{clinic}");

    // the program takes it, with a visit of the page's own
    let mut visit = desk.page("visit/new").form("/visit/save");
    for (field, text) in [
        ("patient.name", "Runa Ashdown (invented)"),
        ("patient.born", "11 Feb 1984"),
        ("patient.record", "TR-7"),
        ("visit.practitioner", "okello-2"),
        ("area.glabella.units", "20"),
    ] {
        visit.set(field, text);
    }
    visit.tick("area", "glabella", true);
    assert_eq!(
        visit.get("product.name").as_deref(),
        Some("onabotulinumtoxinA")
    );
    let saved = desk.submit(&visit, Some("Save the visit"));
    assert!(
        saved.text().contains("Saved in 2026-12-03-ashdown.toml"),
        "{}",
        saved.text()
    );
    let ran = run(folder.path(), &["check", "2026-12-03-ashdown.toml"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);

    // and nothing is written over
    form.set("clinic.name", "Other");
    desk.submit(&form, None);
    desk.submit(&page.form("/first/try"), None);
    assert_eq!(read(folder.path(), "clinic.toml"), clinic);
    assert_eq!(
        names_in(folder.path()),
        ["2026-12-03-ashdown.toml", "clinic.toml"]
    );
}

/// Plans without a clinic file are no place to put an invented practice.
#[test]
fn a_folder_with_plans_is_not_filled_with_invented_ones() {
    let folder = empty();
    let plan =
        std::fs::read_to_string(root().join(super::THURSDAY).join("ohrn.toml")).expect("a plan");
    put(folder.path(), "ohrn.toml", &plan);
    let desk = open(folder.path(), TODAY);
    let page = desk.page("");
    assert!(
        page.text().contains("This folder has 1 plan"),
        "{}",
        page.text()
    );
    assert!(
        !page
            .forms()
            .iter()
            .any(|form| form.action.ends_with("/first/try"))
    );
    let root = desk.root.clone();
    desk.browser
        .try_send(&format!("{root}first/try"), &[])
        .expect("an answer");
    assert_eq!(names_in(folder.path()), ["ohrn.toml"]);
    assert_eq!(read(folder.path(), "ohrn.toml"), plan);
}

#[test]
fn a_clinic_file_with_mistakes_is_shown_with_its_lines() {
    let folder = empty();
    let clinic = std::fs::read_to_string(root().join(super::THURSDAY).join("clinic.toml"))
        .expect("a clinic");
    put(
        folder.path(),
        "clinic.toml",
        clinic.replace("Europe/Stockholm", "Mars"),
    );
    let desk = open(folder.path(), TODAY);
    let page = desk.page("day");
    assert_eq!(page.status, 409);
    assert!(
        page.text().contains("The clinic file has mistakes"),
        "{}",
        page.text()
    );
    assert!(
        page.text().contains("This time zone is not known."),
        "{}",
        page.text()
    );
    // mended, it is seen at once
    put(folder.path(), "clinic.toml", &clinic);
    assert_eq!(desk.page("day").status, 200);
}
