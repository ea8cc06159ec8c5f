//! Where everything on every screen leads: nowhere but to this desk, and never by what a patient or a file is called.

use std::collections::BTreeMap;

use super::{Opened, THURSDAY, TODAY, copied, open, read, visit};
use crate::support::html::Page;
use crate::support::{put, run};

/// Every kind of screen of a folder: by name, for who reads a failure. `visits`: the patients whose visits are opened.
pub fn screens(folder: &std::path::Path, desk: &Opened, visits: &[&str]) -> BTreeMap<String, Page> {
    let mut screens = BTreeMap::new();
    let mut keep = |name: &str, page: Page| screens.insert(name.to_owned(), page);
    for path in [
        "",
        "day",
        "to-answer",
        "look-up",
        "words",
        "visit/new",
        "first",
        "day?date=nonsense",
        "visit/0000",
        "look-up?x=1",
    ] {
        keep(path, desk.page(path));
    }
    let to_answer = desk.page("to-answer");
    for link in to_answer
        .links()
        .iter()
        .filter(|link| link.href.contains("?by="))
    {
        keep(&link.text, desk.page(&link.href));
    }
    for link in desk.page("day").links() {
        if link.href.contains("part=desk") || link.href.contains("date=") {
            keep(&link.text, desk.page(&link.href));
        }
    }
    for patient in visits {
        let page = visit(desk, patient);
        let place = page.path.clone();
        keep(patient, page.clone());
        keep(
            &format!("{patient}: papers"),
            desk.page(&format!("{place}?papers=1")),
        );
        keep(
            &format!("{patient}: desk"),
            desk.page(&format!("{place}?part=desk")),
        );
        keep(
            &format!("{patient}: next"),
            desk.page(&format!("{place}/next")),
        );
        keep(
            &format!("{patient}: next, no day"),
            desk.page(&format!("{place}/next?date=1/2/3")),
        );
        keep(
            &format!("{patient}: next, day"),
            desk.page(&format!("{place}/next?date=2027-03-04")),
        );
    }
    // saved, refused, and changed meanwhile
    let mut form = visit(desk, visits[0]).form("/visit/save");
    form.set("visit.time", "25:00");
    keep("refused", desk.submit(&form, None));
    form.set("visit.time", "16:10");
    keep("saved", desk.submit(&form, Some(&button(&form))));
    form.set("visit.time", "16:20");
    let changed = desk.submit(&form, Some(&button(&form)));
    changed.form("/visit/merge");
    keep("changed", changed);
    // a file that cannot be understood
    put(folder, "zz.toml", "[patient\nname = \"Zed Zimmer\"");
    keep(
        "as text",
        desk.page(&desk.page("to-answer").link("zz.toml")),
    );
    std::fs::remove_file(folder.join("zz.toml")).expect("it was there");
    let mut words = desk.page("words").form("/words/approve");
    keep("words, refused", desk.submit(words.set("code", "x"), None));
    screens
}

/// The button that saves: the last one of the form.
pub fn button(form: &crate::support::html::Form) -> String {
    form.buttons.last().expect("a button").2.clone()
}

#[test]
fn no_address_holds_a_name_a_record_number_or_a_file() {
    let folder = copied(THURSDAY);
    let ran = run(folder.path(), &["make", "ohrn.toml", "--out", "papers"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let register = read(&folder.path().join("papers"), "register.jsonl");
    let entry = register
        .lines()
        .find(|line| line.contains("-consent.pdf"))
        .expect("an entry");
    let entry: serde_json::Value = serde_json::from_str(entry).expect("JSON");
    let desk = open(folder.path(), TODAY);
    let mut screens = screens(
        folder.path(),
        &desk,
        &["Åsa Öhrn", "Rosa Lindqvist", "Tobias Renn"],
    );
    let mut form = desk
        .page("look-up")
        .forms()
        .into_iter()
        .find(|form| form.has("code"))
        .expect("a form");
    form.set("code", entry["code"].as_str().expect("a code"));
    screens.insert("looked up".to_owned(), desk.submit(&form, None));
    let mut told: Vec<String> = vec![
        "consent".into(),
        ".toml".into(),
        "invented".into(),
        "bv-1".into(),
    ];
    let names = ["hrn", "rosa", "signe", "tobias", "zimmer"];
    told.extend(super::PLANS.into_iter().chain(names).map(str::to_owned));
    let mut read = 0;
    for (name, page) in &screens {
        for address in page.addresses().into_iter().chain([page.path.clone()]) {
            let own = address.starts_with(&desk.root) || address.starts_with('#');
            let of_the_head =
                ["width=device-width, initial-scale=1", "1", ""].contains(&address.as_str());
            let refresh = address.starts_with(&format!("0;url={}", desk.root));
            assert!(own || of_the_head || refresh, "{name}: {address}");
            // the pages of a paper are named by the paper
            let lower = address.to_lowercase().replace("/consent/", "//");
            for word in told.iter().filter(|_| !address.starts_with('#')) {
                assert!(!lower.contains(word), "{name}: {address} holds {word}");
            }
            read += 1;
        }
    }
    assert!(read > 500, "only {read} addresses were read");
}
