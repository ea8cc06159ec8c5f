//! A plan that somebody else saved, renamed or took away while it was open: nothing is written over, nothing that was typed is lost.

use std::sync::{Arc, Barrier};

use super::{Opened, THURSDAY, TODAY, copied, open, read, visit};
use crate::support::html::{Form, Page};
use crate::support::{names_in, put};

const FILE: &str = "ohrn.toml";
const CHANGED: &str = "This file was changed while you were writing";

/// A folder, a desk, and the form of a visit as somebody has it open.
fn opened() -> (tempfile::TempDir, Opened, Form) {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), TODAY);
    let form = visit(&desk, "Åsa Öhrn").form("/visit/save");
    (folder, desk, form)
}

/// Somebody else saves: other units, and a remark.
fn meanwhile(folder: &tempfile::TempDir) -> String {
    let text = read(folder.path(), FILE).replace("units = 50", "units = 45 # less, she asked");
    put(folder.path(), FILE, &text);
    text
}

fn rows(page: &Page) -> Vec<String> {
    page.texts_of("tr", None).split_off(1)
}

fn save(desk: &Opened, form: &Form) -> Page {
    desk.submit(form, Some("Save the visit"))
}

#[test]
fn both_versions_are_shown_and_what_is_chosen_is_saved_with_the_remarks_of_the_file() {
    let (folder, desk, mut form) = opened();
    let now = meanwhile(&folder);
    form.set("visit.time", "09:10");
    let page = save(&desk, &form);
    assert!(page.text().contains(CHANGED), "{}", page.text());
    assert_eq!(read(folder.path(), FILE), now);
    let rows = rows(&page);
    assert_eq!(rows.len(), 2, "{rows:?}");
    for part in ["45", "50", "only the file changed"] {
        assert!(
            rows.iter().any(|row| row.contains(part)),
            "{part}: {rows:?}"
        );
    }
    for part in ["Time", "09:10", "09:00", "only you changed it"] {
        assert!(
            rows.iter().any(|row| row.contains(part)),
            "{part}: {rows:?}"
        );
    }
    let saved = desk.submit(&page.form("/visit/merge"), Some("Save what I chose"));
    assert!(
        saved.text().contains("Saved in ohrn.toml"),
        "{}",
        saved.text()
    );
    assert_eq!(
        read(folder.path(), FILE),
        now.replace("time = 09:00", "time = 09:10")
    );
}

#[test]
fn a_place_that_both_changed_must_be_chosen() {
    let (folder, desk, mut form) = opened();
    let now = meanwhile(&folder);
    form.set("area.glabella.units", "40")
        .set("visit.time", "09:10");
    let page = save(&desk, &form);
    let merge = page.form("/visit/merge");
    assert_eq!(merge.get("desk.choose.area.glabella.units"), None);
    let again = desk.submit(&merge, Some("Save what I chose"));
    assert!(
        again.text().contains("1 place is not chosen yet"),
        "{}",
        again.text()
    );
    assert_eq!(read(folder.path(), FILE), now);
    let mut merge = again.form("/visit/merge");
    merge.set("desk.choose.area.glabella.units", "mine");
    let saved = desk.submit(&merge, Some("Save what I chose"));
    assert!(saved.text().contains("Saved in"), "{}", saved.text());
    let wanted = now
        .replace("units = 45", "units = 40")
        .replace("time = 09:00", "time = 09:10");
    assert_eq!(read(folder.path(), FILE), wanted);
}

/// Every place has a name that somebody who fills in forms knows.
#[test]
fn places_that_differ_are_called_as_in_the_form() {
    let (folder, desk, mut form) = opened();
    let text = read(folder.path(), FILE).replace("by = \"front desk\"", "by = \"somebody\"");
    put(folder.path(), FILE, &text);
    form.set("patient.name", "Åsa Ek")
        .set("patient.born", "9 Sep 1991")
        .set("patient.record", "BV-9");
    form.set("visit.date", "4 Dec 2026")
        .set("visit.informed_on", "28 Nov 2026")
        .set("product.batch", "L-1");
    form.set("visit.practitioner", "m-ek")
        .set("visit.prescriber", "m-ek")
        .set("product.vial_units", "300");
    form.set("area.glabella.aim", "calm")
        .set("event.0.what", "a trip")
        .set("event.0.date", "24 Dec 2026");
    form.set("fact.dry_eye", "not-sure")
        .set("history.0.date", "2026-05")
        .tick("patient.large_print", "yes", true);
    form.set("asked.on", "28 Nov 2026")
        .set("visit.revision", "2")
        .set("visit.time", "10:00");
    form.set("patient.language", "es")
        .set("area.glabella.stance", "advise-against")
        .tick("event.0.needs", "wind-playing", true)
        .tick("history.0.areas", "glabella", true)
        .set("history.0.reason", "appearance");
    let page = save(&desk, &form);
    assert!(page.text().contains(CHANGED), "{}", page.text());
    let rows = rows(&page);
    assert_eq!(rows.len(), 20, "{rows:#?}");
    for row in rows {
        let (name, values) = row.split_once(" changed it ").expect("who changed it");
        assert!(
            !name.contains(['.', '_']) && name.starts_with(char::is_uppercase),
            "{row}"
        );
        // days as they are typed, people by their names, answers in words
        for raw in [
            "2026-1",
            "1991-",
            "m-ek",
            "e-lind",
            "not-sure",
            "date:",
            "what:",
            "glabella",
            "advise-against",
            "wind-playing",
            "(es)",
            " es ",
        ] {
            assert!(!values.contains(raw), "{row}");
        }
    }
}

#[test]
fn mine_can_be_dropped_or_kept_as_a_second_file() {
    let (folder, desk, mut form) = opened();
    let original = read(folder.path(), FILE);
    let now = meanwhile(&folder);
    form.set("visit.time", "09:10");
    let page = save(&desk, &form);
    let names = names_in(folder.path());
    let theirs = desk.submit(&page.form("/visit/merge"), Some("Drop mine, take the file"));
    assert_eq!(
        theirs
            .form("/visit/save")
            .get("area.glabella.units")
            .as_deref(),
        Some("45")
    );
    assert_eq!(read(folder.path(), FILE), now);
    assert_eq!(names_in(folder.path()), names);

    let second = desk.submit(
        &page.form("/visit/merge"),
        Some("Keep mine as a second file"),
    );
    assert!(
        second.text().contains("Saved in 2026-12-03-ohrn.toml"),
        "{}",
        second.text()
    );
    assert_eq!(read(folder.path(), FILE), now);
    let mine = read(folder.path(), "2026-12-03-ohrn.toml");
    assert_eq!(mine, original.replace("time = 09:00", "time = 09:10"));
}

/// While somebody chooses between two versions, a third comes.
#[test]
fn a_file_that_changes_again_while_somebody_chooses_is_shown_again() {
    let (folder, desk, mut form) = opened();
    meanwhile(&folder);
    form.set("visit.time", "09:10");
    let page = save(&desk, &form);
    let third = read(folder.path(), FILE).replace("BV-118", "BV-119");
    put(folder.path(), FILE, &third);
    let again = desk.submit(&page.form("/visit/merge"), Some("Save what I chose"));
    assert!(again.text().contains(CHANGED), "{}", again.text());
    assert_eq!(read(folder.path(), FILE), third);
    let saved = desk.submit(&again.form("/visit/merge"), Some("Save what I chose"));
    assert!(saved.text().contains("Saved in"), "{}", saved.text());
    assert_eq!(
        read(folder.path(), FILE),
        third.replace("time = 09:00", "time = 09:10")
    );
}

#[test]
fn a_file_that_cannot_be_understood_any_more_is_not_written_over() {
    let (folder, desk, mut form) = opened();
    put(folder.path(), FILE, "[patient\nname =");
    form.set("visit.time", "09:10");
    let page = save(&desk, &form);
    assert_eq!(page.status, 409);
    assert!(
        page.text().contains("its lines cannot be understood now"),
        "{}",
        page.text()
    );
    assert_eq!(read(folder.path(), FILE), "[patient\nname =");
}

/// What was typed is not lost with the file.
#[test]
fn a_file_that_was_taken_away_is_said_and_what_was_typed_can_be_saved_anew() {
    let (folder, desk, mut form) = opened();
    let original = read(folder.path(), FILE);
    std::fs::rename(
        folder.path().join(FILE),
        folder.path().join("ohrn.toml.old"),
    )
    .expect("it was there");
    let names = names_in(folder.path());
    form.set("visit.time", "09:10");
    let page = save(&desk, &form);
    assert_eq!(page.status, 200);
    assert!(
        page.text().contains("not in the folder any more"),
        "{}",
        page.text()
    );
    assert_eq!(names_in(folder.path()), names);
    let form = page.form("/visit/save");
    assert_eq!(form.get("visit.time").as_deref(), Some("09:10"));
    let saved = save(&desk, &form);
    assert!(
        saved.text().contains("Saved in 2026-12-03-ohrn.toml"),
        "{}",
        saved.text()
    );
    let mine = read(folder.path(), "2026-12-03-ohrn.toml");
    assert_eq!(mine, original.replace("time = 09:00", "time = 09:10"));
}

#[test]
fn of_two_desks_that_save_at_once_one_wins_and_the_other_is_shown_both() {
    let folder = copied(THURSDAY);
    let desks = [open(folder.path(), TODAY), open(folder.path(), TODAY)];
    for round in 0..8 {
        let before = read(folder.path(), FILE);
        let barrier = Arc::new(Barrier::new(2));
        let sending: Vec<_> = desks
            .iter()
            .enumerate()
            .map(|(who, desk)| {
                let mut form = visit(desk, "Åsa Öhrn").form("/visit/save");
                form.set("area.glabella.aim", &format!("round {round} desk {who}"));
                let (browser, barrier) = (desk.browser.clone(), barrier.clone());
                std::thread::spawn(move || {
                    barrier.wait();
                    browser.submit(&form, Some("Save the visit"))
                })
            })
            .collect();
        let pages: Vec<Page> = sending
            .into_iter()
            .map(|one| one.join().expect("sent"))
            .collect();
        let won: Vec<usize> = (0..2)
            .filter(|who| pages[*who].text().contains("Saved in"))
            .collect();
        assert_eq!(
            won.len(),
            1,
            "round {round}: {} {}",
            pages[0].text(),
            pages[1].text()
        );
        let lost = &pages[1 - won[0]];
        assert!(lost.text().contains(CHANGED), "{}", lost.text());
        let now = read(folder.path(), FILE);
        assert!(
            now.contains(&format!("aim = \"round {round} desk {}\"", won[0])),
            "{now}"
        );
        assert_ne!(now, before);
    }
}

/// Of two versions the front desk sees only its own part; the rest is as in the file.
#[test]
fn the_front_desk_is_shown_nothing_clinical_of_two_versions() {
    let (folder, desk, form) = opened();
    let code = form.get("desk.code").expect("a code");
    let part = format!("visit/{code}?part=desk");
    let mut form = desk.page(&part).form("/visit/save");
    let now = meanwhile(&folder);
    form.set("visit.time", "09:10");
    let page = save(&desk, &form);
    assert!(page.text().contains(CHANGED), "{}", page.text());
    assert_eq!(rows(&page).len(), 1, "{}", page.text());
    let merge = page.form("/visit/merge");
    let clinical = |name: &String| name.starts_with("area") || name.starts_with("fact");
    assert!(!merge.names().iter().any(clinical), "{:?}", merge.names());
    let saved = desk.submit(&merge, Some("Save what I chose"));
    assert!(saved.path.contains("part=desk"), "{}", saved.path);
    let wanted = now.replace("time = 09:00", "time = 09:10");
    assert_eq!(read(folder.path(), FILE), wanted);

    // taken away: what was typed stays, and so does what is not the front desk's to see
    std::fs::remove_file(folder.path().join(FILE)).expect("it was there");
    let mut form = saved.form("/visit/save");
    form.set("visit.time", "09:20");
    let page = save(&desk, &form);
    assert!(!page.form("/visit/save").names().iter().any(clinical));
    let saved = save(&desk, &page.form("/visit/save"));
    assert!(saved.path.contains("part=desk"), "{}", saved.path);
    let wanted = wanted.replace("time = 09:10", "time = 09:20");
    assert_eq!(read(folder.path(), "2026-12-03-ohrn.toml"), wanted);
}
