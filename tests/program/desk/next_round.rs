//! The next round of an earlier visit: what comes along, what is asked again, and that the earlier plan stays as it is.

use super::{THURSDAY, TODAY, copied, open, read, visit};
use crate::support::{names_in, run};

/// The next round is begun weeks or months after the visit it follows.
#[test]
fn a_visit_of_months_ago_is_opened_by_its_day() {
    let folder = copied(THURSDAY);
    let desk = open(folder.path(), "2027-02-01");
    let page = desk.page("to-answer");
    assert!(!page.text().contains("Åsa Öhrn"), "{}", page.text());
    let mut another = page.form("/to-answer");
    let wrong = desk.submit(another.set("date", "03/12/2026"), None);
    let told = "“03/12/2026” is no day that can be told";
    assert!(wrong.text().contains(told), "{}", wrong.text());
    let nobody = desk.submit(another.set("date", "5 Dec 2026"), None);
    assert!(
        nobody.text().contains("Nobody is expected"),
        "{}",
        nobody.text()
    );
    let of_day = desk.submit(another.set("date", "3 Dec 2026"), None);
    assert!(
        of_day.text().contains("Thursday, 3 December 2026"),
        "{}",
        of_day.text()
    );
    let visits = of_day
        .links()
        .into_iter()
        .filter(|link| link.href.contains("/visit/"));
    let visits = visits.filter(|link| !link.href.ends_with("/visit/new"));
    assert_eq!(visits.count(), super::PLANS.len(), "{}", of_day.text());
    let opened = desk.page(&of_day.link("Åsa Öhrn"));
    assert_eq!(opened.status, 200);
    opened.link("Begin the next round");
}

#[test]
fn the_next_round_takes_over_who_and_what_and_no_answer() {
    let folder = copied(THURSDAY);
    let before = read(folder.path(), "ohrn.toml");
    let desk = open(folder.path(), TODAY);
    let page = desk.page(&visit(&desk, "Åsa Öhrn").link("Begin the next round"));
    let mut form = page.form("/next");
    let again = desk.submit(form.set("date", "03/04/2027"), None);
    assert!(
        again
            .text()
            .contains("“03/04/2027” is no day that can be told"),
        "{}",
        again.text()
    );
    let page = desk.submit(again.form("/next").set("date", "4 March 2027"), None);
    assert_eq!(page.status, 200);
    assert!(
        page.text().contains("correct it to what was given"),
        "{}",
        page.text()
    );
    let mut form = page.form("/visit/save");
    for (field, value) in [
        ("patient.name", "Åsa Öhrn (invented)"),
        ("patient.record", "BV-118"),
        ("patient.born", "9 Sept 1990"),
        ("visit.date", "4 Mar 2027"),
        ("visit.time", ""),
        ("visit.practitioner", ""),
        ("visit.informed_on", ""),
        ("product.name", "abobotulinumtoxinA"),
        ("area", "glabella"),
        ("area.glabella.units", "50"),
        ("area.glabella.previous", "3 Dec 2026"),
        ("history.0.date", "3 Dec 2026"),
        ("history.0.units", "50"),
        ("history.0.areas", "glabella"),
        ("asked.by", ""),
        ("desk.code", ""),
    ] {
        assert_eq!(form.get(field).as_deref(), Some(value), "{field}");
    }
    let said: Vec<(String, String)> = form
        .sent(None)
        .into_iter()
        .filter(|(name, _)| name.starts_with("fact.") && !name.ends_with(".said"))
        .collect();
    assert!(said.len() > 30, "{}", said.len());
    assert!(
        said.iter().all(|(_, value)| value == "not-asked"),
        "{said:?}"
    );

    let names = names_in(folder.path());
    let refused = desk.submit(&form, Some("Save the visit"));
    assert!(
        refused.text().contains("in this visit"),
        "{}",
        refused.text()
    );
    assert_eq!(names_in(folder.path()), names);
    form.set("visit.practitioner", "e-lind")
        .set("history.0.units", "45");
    let saved = desk.submit(&form, Some("Save the visit"));
    assert!(
        saved.text().contains("Saved in 2027-03-04-ohrn.toml"),
        "{}",
        saved.text()
    );
    assert_eq!(
        run(folder.path(), &["check", "2027-03-04-ohrn.toml"]).code,
        0
    );
    assert_eq!(read(folder.path(), "ohrn.toml"), before);
    // a second one of the same day does not take its place
    let second = desk.submit(&form, Some("Save the visit"));
    assert!(
        second.text().contains("Saved in 2027-03-04-ohrn-2.toml"),
        "{}",
        second.text()
    );
}
