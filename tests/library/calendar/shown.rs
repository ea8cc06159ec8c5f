//! What a telephone shows to whoever is near.

use beforehand::catalogue::Catalogue;
use beforehand::wording::library;

use crate::support::calendar_file::{
    VISIT, calendar, clinic_toml, events, lines, plan_toml, value,
};
use crate::support::language_words::of_language;

/// What a telephone may show to anybody: titles, texts, alarms.
fn shown(calendar: &str) -> Vec<String> {
    let shown: Vec<String> = lines(calendar)
        .into_iter()
        .filter_map(|line| {
            let (name, text) = line.split_once(':')?;
            ["SUMMARY", "DESCRIPTION"]
                .contains(&name)
                .then(|| text.to_lowercase())
        })
        .collect();
    assert!(shown.len() > 10, "{shown:?}");
    shown
}

#[test]
fn without_details_nothing_medical_and_never_the_patient() {
    let catalogue = Catalogue::embedded();
    let areas: Vec<&str> = catalogue
        .areas
        .iter()
        .map(|area| area.id.as_str())
        .filter(|id| !["zygomaticus", "depressor-septi-nasi"].contains(id))
        .collect();
    let plan = plan_toml(VISIT, &areas);
    for tag in library::tags() {
        one_language(tag, &plan);
    }
}

fn clinic_of(tag: &str, details: bool) -> String {
    let english = clinic_toml("Europe/London", details);
    let clinic = english.replace("language = \"en\"", &format!("language = \"{tag}\""));
    assert!(tag == "en" || clinic != english);
    clinic
}

fn one_language(tag: &str, plan: &str) {
    let medical = of_language(tag).medical;
    let plain = calendar(&clinic_of(tag, false), plan);
    for text in shown(&plain) {
        for word in medical {
            assert!(!text.contains(word), "{tag}: “{word}” in: {text}");
        }
    }
    // the same list does find words when the clinic wants details, so it can fail
    let detailed = calendar(&clinic_of(tag, true), plan);
    let said = shown(&detailed).join(" ");
    let found = medical.iter().filter(|word| said.contains(**word)).count();
    assert!(
        found > 15,
        "{tag}: only {found} of the words occur in the detailed calendar"
    );
    if tag == "en" {
        assert!(said.contains("forehead lines") && said.contains("do not rub"));
    }

    for calendar in [&plain, &detailed] {
        let text = lines(calendar).join("\n").to_lowercase();
        for part in [
            "ottoline",
            "fernsby",
            "inv-77",
            "1984",
            "onabotulinumtoxina",
        ] {
            assert!(!text.contains(part), "{part} in the calendar");
        }
        let uid_and_time = |calendar: &str| {
            events(calendar)
                .iter()
                .map(|e| {
                    (
                        value(e, "UID").to_owned(),
                        e.iter().find(|l| l.starts_with("DTSTART")).cloned(),
                    )
                })
                .collect::<Vec<_>>()
        };
        // what is shown changes with the setting, not which events there are
        assert_eq!(uid_and_time(calendar), uid_and_time(&plain));
        assert!(
            events(calendar)
                .iter()
                .all(|e| value(e, "CLASS") == "PRIVATE")
        );
        assert!(
            events(calendar)
                .iter()
                .all(|e| value(e, "TRANSP") == "TRANSPARENT")
        );
    }
}
