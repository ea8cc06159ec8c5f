//! A plan opened in the form and saved: what nobody touched stays byte for byte, and what is wrong comes back as it was typed.

use std::path::{Path, PathBuf};

use super::{TODAY, differing, open, read, visit};
use crate::support::html::{Form, Page};
use crate::support::{put, root, run, samples};

/// Every plan of the samples and those that the reader's tests hold for good, with its clinic's folder.
fn plans() -> Vec<PathBuf> {
    let mut plans = samples::plans();
    for day in super::PLANS {
        plans.push(format!("{}/{day}.toml", super::THURSDAY).into());
    }
    plans.extend(["plan.toml", "plan.json"].map(|name| Path::new("tests/plan_good").join(name)));
    plans
}

/// A folder with one plan and what its clinic needs; the plan's name in it.
fn alone(plan: &Path) -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let beside = root().join(plan).with_file_name("clinic.toml");
    let clinic = std::fs::read_to_string(&beside).expect("a clinic");
    // fonts that are not in the samples are not what is asked here
    put(
        folder.path(),
        "clinic.toml",
        clinic.replace("fonts = \"fonts\"\n", ""),
    );
    let ours = beside.with_file_name("ours");
    if ours.is_dir() {
        std::fs::create_dir(folder.path().join("ours")).expect("a temporary folder");
        super::copy_into(&ours, &folder.path().join("ours"));
    }
    let name = plan
        .file_name()
        .and_then(|name| name.to_str())
        .expect("a name");
    std::fs::copy(root().join(plan), folder.path().join(name)).expect("a plan");
    (folder, name.to_owned())
}

/// The day of a plan's visit, from its text.
fn day_of(text: &str) -> String {
    let visit = text
        .find("[visit]")
        .or(text.find("\"visit\""))
        .expect("a visit");
    let at = visit + text[visit..].find("20").expect("a day");
    text[at..at + 10].to_owned()
}

fn name_of(text: &str) -> String {
    let patient = text.find("patient").expect("a patient");
    let at = patient + text[patient..].find("name").expect("a name") + 5;
    let value = text[at..].trim_start_matches([' ', '=', ':', '"']);
    value[..value.find('"').expect("closed")].to_owned()
}

/// Saves, even with mistakes.
fn saved(desk: &super::Opened, form: &Form) -> Page {
    let page = desk.submit(form, Some(&super::addresses::button(form)));
    match page.path.contains("saved=1") {
        true => page,
        false => desk.submit(&page.form("/visit/save"), Some("desk.unfinished")),
    }
}

#[test]
fn a_plan_that_is_opened_and_saved_unchanged_keeps_every_byte() {
    for plan in plans() {
        let (folder, file) = alone(&plan);
        let before = read(folder.path(), &file);
        // as other programs write files, too
        let kinds: &[(&str, String)] = &[
            ("as it is", before.clone()),
            (
                "with a mark and line ends of two",
                format!("\u{feff}{}", before.replace('\n', "\r\n")),
            ),
        ];
        let only_first = !plan.ends_with("everything.toml") && !plan.ends_with("plan.json");
        for (kind, text) in &kinds[..if only_first { 1 } else { 2 }] {
            put(folder.path(), &file, text);
            let desk = open(folder.path(), &day_of(&before));
            let page = visit(&desk, &name_of(&before));
            let page = saved(&desk, &page.form("/visit/save"));
            assert!(
                page.path.contains("saved=1"),
                "{} {kind}: {}",
                plan.display(),
                page.text()
            );
            assert!(
                read(folder.path(), &file) == *text,
                "{} {kind}: {:#?}",
                plan.display(),
                differing(text, &read(folder.path(), &file))
            );
        }
    }
}

#[test]
fn one_changed_field_changes_its_line_and_nothing_else() {
    let plan = Path::new("samples/linden-court/news-reader.toml");
    let (folder, file) = alone(plan);
    let original = read(folder.path(), &file);
    let desk = open(folder.path(), &day_of(&original));
    let name = name_of(&original);
    let place = visit(&desk, &name).path;
    for (field, typed, goes, comes) in [
        (
            "patient.name",
            "Ana Nuñez “Ek”",
            "name = ",
            "name = \"Ana Nuñez “Ek”\"",
        ),
        ("visit.time", "15.45", "time = ", "time = 15:45"),
        ("visit.revision", "2", "", "revision = 2"),
        ("product.batch", "L-1", "batch = ", "batch = \"L-1\""),
        (
            "area.orbicularis-oris.units",
            "7,5",
            "units = ",
            "units = 7.5",
        ),
        (
            "area.orbicularis-oris.because",
            "it changes speech",
            "stance_because = ",
            "stance_because = \"it changes speech\"",
        ),
        (
            "event.0.what",
            "two programmes",
            "what = ",
            "what = \"two programmes\"",
        ),
        ("patient.born", "5 May 1981", "born = ", "born = 1981-05-05"),
    ] {
        put(folder.path(), &file, &original);
        let mut form = desk.page(&place).form("/visit/save");
        form.set(field, typed);
        let page = saved(&desk, &form);
        assert!(page.text().contains("Saved in"), "{field}: {}", page.text());
        let now = read(folder.path(), &file);
        let (gone, come) = differing(&original, &now);
        assert_eq!(come, [comes], "{field}");
        match goes {
            "" => assert!(gone.is_empty(), "{field}: {gone:?}"),
            _ => {
                assert_eq!(gone.len(), 1, "{field}: {gone:?}");
                assert!(gone[0].starts_with(goes), "{field}: {gone:?}");
            }
        }
        // it is shown as it reads now
        let again = desk
            .page(&place)
            .form("/visit/save")
            .get(field)
            .expect("a value");
        let wanted = match typed {
            "15.45" => "15:45",
            "7,5" => "7.5",
            other => other,
        };
        assert_eq!(again, wanted);
    }
}

#[test]
fn remarks_stay_where_they_are() {
    let plan = Path::new("samples/bjorkviken/thursday/ohrn.toml");
    let (folder, file) = alone(plan);
    let remarked = read(folder.path(), &file)
        .replace("units = 50", "units = 50   # as last time\n# end of areas")
        .replace("[visit]", "# rang to move it\n[visit] # moved once")
        .replace("time = 09:00", "time    =    09:00    # early");
    put(folder.path(), &file, &remarked);
    let desk = open(folder.path(), TODAY);
    let mut form = visit(&desk, "Åsa Öhrn").form("/visit/save");
    form.set("area.glabella.units", "40")
        .set("visit.time", "09:30");
    let page = desk.submit(&form, Some("Save the visit"));
    assert!(
        page.text().contains("Saved in ohrn.toml"),
        "{}",
        page.text()
    );
    let now = read(folder.path(), &file);
    let (gone, come) = differing(&remarked, &now);
    assert_eq!(
        gone,
        [
            "time    =    09:00    # early",
            "units = 50   # as last time"
        ]
    );
    assert_eq!(
        come,
        [
            "time    =    09:30    # early",
            "units = 40   # as last time"
        ]
    );
}

/// A fact moves between "no" and "yes" and nothing else does.
#[test]
fn an_answer_of_the_patient_is_changed_where_it_stands() {
    let (folder, file) = alone(Path::new("samples/bjorkviken/thursday/ohrn.toml"));
    let original = read(folder.path(), &file);
    let desk = open(folder.path(), TODAY);
    let page = visit(&desk, "Åsa Öhrn");
    let mut form = page.form("/visit/save");
    assert_eq!(form.get("fact.dry_eye").as_deref(), Some("no"));
    form.set("fact.dry_eye", "not-sure");
    let saved = desk.submit(&form, Some("Save the visit"));
    assert!(saved.text().contains("Saved in"), "{}", saved.text());
    let now: toml::Table = read(folder.path(), &file).parse().expect("TOML");
    assert_eq!(now["patient"]["dry_eye"].as_str(), Some("not-sure"));
    let no = now["asked"]["no"].as_array().expect("a list");
    let before: toml::Table = original.parse().expect("TOML");
    assert_eq!(
        no.len() + 1,
        before["asked"]["no"].as_array().expect("a list").len()
    );
    let mut form = saved.form("/visit/save");
    form.set("fact.dry_eye", "not-asked");
    desk.submit(&form, Some("Save the visit"));
    let now: toml::Table = read(folder.path(), &file).parse().expect("TOML");
    assert_eq!(now["patient"].get("dry_eye"), None);
}

#[test]
fn mistakes_come_back_in_their_fields_with_words_and_the_file_is_untouched() {
    let (folder, file) = alone(Path::new("samples/bjorkviken/thursday/ohrn.toml"));
    let original = read(folder.path(), &file);
    let desk = open(folder.path(), TODAY);
    let mut form = visit(&desk, "Åsa Öhrn").form("/visit/save");
    let typed = [
        ("area.glabella.units", "twenty"),
        ("visit.date", "03/12/2026"),
        ("patient.born", "9 Sept 2030"),
        ("visit.time", "25:10"),
        ("area.glabella.round", "0"),
        ("event.0.what", "a wedding <b>& more</b>"),
    ];
    for (field, text) in typed {
        form.set(field, text);
    }
    let page = desk.submit(&form, Some("Save the visit"));
    assert_eq!(page.status, 200);
    assert!(page.text().contains("in this visit"), "{}", page.text());
    assert!(page.text().contains("What you typed is still here."));
    assert_eq!(read(folder.path(), &file), original);
    let again = page.form("/visit/save");
    for (field, text) in typed {
        assert_eq!(again.get(field).as_deref(), Some(text), "{field}");
    }
    for field in [
        "area.glabella.units",
        "visit.date",
        "visit.time",
        "area.glabella.round",
        "event.0.date",
    ] {
        let words = page.text_of(&format!("{field}-mistake"));
        assert!(words.len() > 10, "{field}: {words:?}");
        assert!(
            page.links()
                .iter()
                .any(|link| link.href == format!("#{field}")),
            "{field}"
        );
    }
    // it can wait
    let saved = desk.submit(&again, Some("desk.unfinished"));
    assert!(
        saved.text().contains("Saved in ohrn.toml"),
        "{}",
        saved.text()
    );
    let unfinished = read(folder.path(), &file);
    for (_, text) in typed.iter().filter(|(field, _)| *field != "patient.born") {
        assert!(unfinished.contains(text), "{text}: {unfinished}");
    }
    assert!(unfinished.contains("born = 2030-09-09"), "{unfinished}");
    assert_eq!(run(folder.path(), &["check", &file]).code, 1);
    let reopened = desk.page(&saved.path).form("/visit/save");
    assert_eq!(
        reopened.get("area.glabella.units").as_deref(),
        Some("twenty")
    );
    // and be mended
    let mut form = reopened;
    form.set("area.glabella.units", "50")
        .set("visit.date", "3 Dec 2026")
        .set("patient.born", "9 Sep 1990");
    form.set("visit.time", "09:00")
        .set("area.glabella.round", "")
        .set("event.0.what", "");
    let mended = desk.submit(&form, Some("Save the visit"));
    assert!(mended.text().contains("Saved in"), "{}", mended.text());
    let parsed = |text: &str| text.parse::<toml::Table>().expect("TOML");
    assert_eq!(parsed(&read(folder.path(), &file)), parsed(&original));
}

/// Numbers and days that stand in quotation marks look right in their fields; saving makes them right.
#[test]
fn a_number_in_quotation_marks_is_mended_by_saving() {
    let (folder, file) = alone(Path::new("samples/bjorkviken/thursday/ohrn.toml"));
    let original = read(folder.path(), &file);
    let slipped = original
        .replace("units = 50", "units = \"50\"")
        .replace("date = 2026-12-03", "date = \"2026-12-03\"");
    put(folder.path(), &file, &slipped);
    let desk = open(folder.path(), TODAY);
    let page = visit(&desk, "Åsa Öhrn");
    let page = desk.submit(&page.form("/visit/save"), Some("Save the visit"));
    assert!(page.text().contains("Saved in"), "{}", page.text());
    assert_eq!(run(folder.path(), &["check", &file]).code, 0);
}

/// A file whose lines cannot be understood is shown with what is wrong, and cannot be saved over.
#[test]
fn a_file_that_cannot_be_understood_is_shown_as_text() {
    let (folder, file) = alone(Path::new("samples/bjorkviken/thursday/ohrn.toml"));
    let broken = read(folder.path(), &file).replace("units = 50", "units = = 50");
    put(folder.path(), &file, &broken);
    let desk = open(folder.path(), TODAY);
    let page = desk.page(&desk.page("to-answer").link("ohrn.toml"));
    assert!(
        page.text().contains("cannot be understood"),
        "{}",
        page.text()
    );
    let line = 1 + broken
        .lines()
        .position(|line| line.contains("= ="))
        .expect("a line");
    assert_eq!(page.text_of(&format!("line-{line}")), "units = = 50");
    assert!(
        page.links()
            .iter()
            .any(|link| link.href == format!("#line-{line}"))
    );
    assert!(page.forms().is_empty());
    // the front desk sees where the mistakes are, and none of the lines
    let mend = desk.page("day").link("See the mistakes");
    assert!(mend.ends_with("?part=desk"), "{mend}");
    let part = desk.page(&mend);
    assert!(
        part.text().contains(&format!("Line {line}")),
        "{}",
        part.text()
    );
    for clinical in ["units", "glabella", "pregnant"] {
        assert!(!part.text().contains(clinical), "{}", part.text());
    }
}

/// A save that was killed leaves a hidden file; the next one takes it away, and nothing else that is hidden.
#[test]
fn what_a_killed_save_left_goes_with_the_next() {
    let (folder, _) = alone(Path::new("samples/bjorkviken/thursday/ohrn.toml"));
    put(
        folder.path(),
        ".beforehand-plan-a1B2",
        "[patient]\nname = \"half",
    );
    put(folder.path(), ".own", "mine");
    let desk = open(folder.path(), TODAY);
    let mut form = visit(&desk, "Åsa Öhrn").form("/visit/save");
    form.set("visit.time", "09:30");
    let page = desk.submit(&form, Some("Save the visit"));
    assert!(page.text().contains("Saved in"), "{}", page.text());
    let names = crate::support::names_in(folder.path());
    assert_eq!(names, [".own", "clinic.toml", "ohrn.toml"]);
}
