//! The form of the file: folding, escaping, and whole days that end on the day after.

use beforehand::calendar::ical;

use crate::support::calendar_file::{
    VISIT, calendar, clinic_toml, events, lines, plan_toml, read, value, written,
};

// RFC 5545, section 3.1: at most 75 octets before the line break; the space of a continuation counts.
#[test]
fn lines_are_folded_between_characters_at_75_octets() {
    let exact = "x".repeat(75);
    assert_eq!(ical::fold(&exact), format!("{exact}\r\n"));
    assert_eq!(
        ical::fold(&format!("{exact}y")),
        format!("{exact}\r\n y\r\n")
    );
    // a continuation has room for 74
    let long = "z".repeat(75 + 74 + 1);
    assert_eq!(
        ical::fold(&long),
        format!("{}\r\n {}\r\n z\r\n", "z".repeat(75), "z".repeat(74))
    );
    // characters of two, three and four octets, at every distance from the limit
    for wide in ["é", "’", "😀"] {
        for before in 70..=75 {
            let line = format!("{}{}", "a".repeat(before), wide.repeat(60));
            let folded = ical::fold(&line);
            let physical: Vec<&str> = folded
                .strip_suffix("\r\n")
                .expect("CRLF")
                .split("\r\n")
                .collect();
            assert!(physical.iter().all(|part| part.len() <= 75), "{folded}");
            // nothing shorter than need be: the next character would not have fitted
            assert!(
                physical[..physical.len() - 1]
                    .iter()
                    .all(|part| part.len() + wide.len() > 75)
            );
            assert_eq!(folded.replace("\r\n ", ""), format!("{line}\r\n"));
        }
    }
}

// RFC 5545, section 3.3.11.
#[test]
fn text_is_escaped() {
    assert_eq!(ical::escape(r"a\b;c,d"), r"a\\b\;c\,d");
    assert_eq!(
        ical::escape("one\ntwo\r\nthree\rfour"),
        r"one\ntwo\nthree\nfour"
    );
    assert_eq!(ical::escape("a: \"b\"\tc"), "a: \"b\"\tc");
    assert_eq!(ical::escape("a\u{0}b\u{7f}c\u{85}d"), "abcd");
}

#[test]
fn a_text_cannot_start_a_line_of_its_own() {
    let (mut clinic, visit) = read(
        &clinic_toml("Europe/London", true),
        &plan_toml(VISIT, &["masseter"]),
    );
    let events_before = events(&written(&clinic, &visit)).len();
    clinic.phone = "1, 2; 3\\".to_owned();
    clinic.name = format!("A\r\nEND:VEVENT\r\nBEGIN:VEVENT\nX:{}", "’".repeat(90));
    let calendar = written(&clinic, &visit);
    assert_eq!(events(&calendar).len(), events_before);
    assert!(lines(&calendar).iter().all(|line| !line.starts_with("X:")));
    assert!(calendar.split("\r\n").all(|line| line.len() <= 75));
    assert!(
        !calendar.replace("\r\n", "").contains(['\r', '\n']),
        "a bare line break"
    );
    for event in events(&calendar) {
        assert!(
            value(&event, "DESCRIPTION").contains(r"1\, 2\; 3\\"),
            "{event:#?}"
        );
    }
}

// RFC 5545, section 3.6.1: DTEND is the first day that is no longer part of the event.
#[test]
fn the_end_of_whole_days_is_exclusive() {
    let calendar = calendar(
        &clinic_toml("Europe/London", true),
        &plan_toml(VISIT, &["forehead"]),
    );
    let days: Vec<(String, String, String)> = events(&calendar)
        .iter()
        .filter(|event| {
            event
                .iter()
                .any(|line| line.starts_with("DTSTART;VALUE=DATE:"))
        })
        .map(|event| {
            let text = |property| value(event, property).to_owned();
            (
                text("SUMMARY"),
                text("DTSTART;VALUE=DATE"),
                text("DTEND;VALUE=DATE"),
            )
        })
        .collect();
    let on = |title: &str| {
        let found: Vec<_> = days
            .iter()
            .filter(|(summary, ..)| summary.contains(title))
            .collect();
        assert!(!found.is_empty(), "no {title} in {days:#?}");
        found
            .iter()
            .map(|(_, first, end)| (first.as_str(), end.as_str()))
            .collect::<Vec<_>>()
    };
    // two and seven days, counted from the visit, the last day included
    assert_eq!(
        on("some instructions"),
        [("20261205", "20261206"), ("20261210", "20261211")]
    );
    // two weeks
    assert_eq!(on("Your review"), [("20261217", "20261218")]);
    // three to four months
    assert_eq!(on("wear off"), [("20270303", "20270404")]);
    assert_eq!(on("another treatment"), [("20270303", "20270304")]);
}

#[test]
fn days_end_over_the_end_of_months_and_years() {
    // seven days after 24 December end with the year, two days after 26 February 2028 with the leap day
    for (day, expected) in [
        ("2026-12-24", ("20261231", "20270101")),
        ("2028-02-27", ("20280229", "20280301")),
    ] {
        let when = format!("date = {day}\ntime = 14:30");
        let calendar = calendar(
            &clinic_toml("Europe/London", true),
            &plan_toml(&when, &["forehead"]),
        );
        let found = events(&calendar).iter().any(|event| {
            event.contains(&format!("DTSTART;VALUE=DATE:{}", expected.0))
                && event.contains(&format!("DTEND;VALUE=DATE:{}", expected.1))
        });
        assert!(found, "{day}: {calendar}");
    }
}
