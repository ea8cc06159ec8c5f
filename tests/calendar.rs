//! Turns plans into calendar files and holds them against RFC 5545, the clock, and what a lock screen may show.
//!
//! Invariant: expected dates and offsets are written by hand from the IANA time zone data and the calendar, not computed by the program.
//! Must not: need an outside program (those are in `calendar_referee.rs`).

mod support;

use std::collections::BTreeSet;
use std::os::unix::fs::PermissionsExt;

use beforehand::calendar::{self, ical, zone};
use beforehand::catalogue::{Catalogue, Side};
use beforehand::diagnose::{Format, SourceFile};
use beforehand::papers;
use beforehand::plan::{Clinic, Visit, read_clinic, read_plan};
use beforehand::select::select;
use jiff::civil::{Date, DateTime, date};
use support::{desk, finish, names_in, program, put, root, run};

const NAME: &str = "Ottoline Fernsby (invented)";

fn clinic_toml(zone: &str, details: bool) -> String {
    format!(
        "[clinic]\nname = \"Fern Bank Rooms (invented)\"\naddress = [\"1 Example Row\"]\nphone = \"01632 960 101\"\n\
         phone_out_of_hours = \"01632 960 199\"\nregion = \"GB-ENG\"\nlanguage = \"en\"\ntime_zone = \"{zone}\"\n\
         calendar_details = {details}\n\n[[practitioner]]\nid = \"a-one\"\nname = \"Ada One (invented)\"\n\
         role = \"nurse prescriber\"\nregistration = \"INVENTED-1\"\n"
    )
}

fn plan_toml(when: &str, areas: &[&str]) -> String {
    let areas: String = areas
        .iter()
        .map(|id| {
            // areas of the midline have no side to choose, the others are treated on both
            let area = Catalogue::embedded().area(id).expect("a known area");
            let side = if area.sides.contains(&Side::Midline) {
                ""
            } else {
                "side = \"both\"\n"
            };
            format!("[[area]]\nid = \"{id}\"\n{side}")
        })
        .collect();
    format!(
        "# invented\n[patient]\nname = \"{NAME}\"\nborn = 1984-02-11\nrecord = \"INV-77\"\n\n[visit]\n{when}\n\
         practitioner = \"a-one\"\n\n[product]\nname = \"onabotulinumtoxinA\"\n\n{areas}"
    )
}

const VISIT: &str = "date = 2026-12-03\ntime = 14:30\ninformed_on = 2026-11-26";

/// A clinic and a visit, read as a user would write them.
fn read(clinic: &str, plan: &str) -> (Clinic, Visit) {
    let vocabulary = papers::vocabulary(Catalogue::embedded());
    let source = |name: &str, text: &str| {
        SourceFile::from_bytes(name, text.as_bytes(), Format::Toml).expect("not empty")
    };
    let clinic = read_clinic(&source("clinic.toml", clinic), &vocabulary).expect("a good clinic");
    let visit =
        read_plan(&source("plan.toml", plan), &vocabulary, Some(&clinic)).expect("a good plan");
    (clinic, visit)
}

fn written(clinic: &Clinic, visit: &Visit) -> String {
    let selection = select(Catalogue::embedded(), clinic, visit).expect("ids are known");
    let wording = papers::wording_for(visit, clinic).expect("English is complete");
    calendar::write(&selection, &wording).expect("all sentences are there")
}

fn calendar(clinic: &str, plan: &str) -> String {
    let (clinic, visit) = read(clinic, plan);
    written(&clinic, &visit)
}

/// The content lines, unfolded.
fn lines(calendar: &str) -> Vec<String> {
    let text = calendar.strip_suffix("\r\n").expect("ends with CRLF");
    text.replace("\r\n ", "")
        .split("\r\n")
        .map(str::to_owned)
        .collect()
}

/// The content lines of each component of a kind.
fn components(calendar: &str, kind: &str) -> Vec<Vec<String>> {
    let (begin, end) = (format!("BEGIN:{kind}"), format!("END:{kind}"));
    let mut found: Vec<Vec<String>> = Vec::new();
    let mut inside = false;
    for line in lines(calendar) {
        if line == begin {
            inside = true;
            found.push(Vec::new());
        } else if line == end {
            inside = false;
        } else if inside {
            found.last_mut().expect("begun").push(line);
        }
    }
    found
}

fn events(calendar: &str) -> Vec<Vec<String>> {
    components(calendar, "VEVENT")
}

/// The value of the only such property of an event itself (not of its alarm).
fn value<'e>(event: &'e [String], property: &str) -> &'e str {
    event
        .iter()
        .take_while(|line| *line != "BEGIN:VALARM")
        .find_map(|line| line.strip_prefix(property)?.strip_prefix(':'))
        .unwrap_or_else(|| panic!("no {property} in {event:#?}"))
}

fn uids(calendar: &str) -> Vec<String> {
    events(calendar)
        .iter()
        .map(|e| value(e, "UID").to_owned())
        .collect()
}

fn moment(text: &str) -> DateTime {
    DateTime::strptime("%Y%m%dT%H%M%S", text).unwrap_or_else(|e| panic!("{text}: {e}"))
}

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
    assert_eq!(on("Review visit"), [("20261217", "20261218")]);
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

#[test]
fn a_re_issue_updates_instead_of_duplicating() {
    let clinic = clinic_toml("Europe/London", true);
    let first = calendar(&clinic, &plan_toml(VISIT, &["forehead"]));
    let before = uids(&first);
    assert_eq!(before.iter().collect::<BTreeSet<_>>().len(), before.len());
    assert!(
        events(&first)
            .iter()
            .all(|event| value(event, "SEQUENCE") == "0")
    );
    assert!(
        before
            .iter()
            .all(|uid| uid.len() == 40 && uid.chars().all(|c| c.is_ascii_hexdigit()))
    );

    let changes = [
        (
            "revision",
            plan_toml(&format!("{VISIT}\nrevision = 3"), &["forehead"]),
        ),
        (
            "area",
            plan_toml(VISIT, &["glabella", "forehead", "platysma"]),
        ),
        (
            "hour",
            plan_toml(&VISIT.replace("14:30", "09:15"), &["forehead"]),
        ),
    ];
    for (what, plan) in &changes {
        let again = calendar(&clinic, plan);
        let after = uids(&again);
        assert_eq!(
            after.iter().collect::<BTreeSet<_>>().len(),
            after.len(),
            "{what}"
        );
        let wanted = if *what == "revision" { "3" } else { "0" };
        for event in events(&first) {
            let uid = value(&event, "UID");
            let same = events(&again);
            let same = same.iter().find(|e| value(e, "UID") == uid);
            let same = same.unwrap_or_else(|| panic!("{what}: lost {event:#?}"));
            assert_eq!(value(same, "SEQUENCE"), wanted);
            // it is still about the same thing: the kind and, where there is one, the area
            let about = |event: &[String]| {
                let title = value(event, "SUMMARY").split(':').next().map(str::to_owned);
                (title, event.contains(&"BEGIN:VALARM".to_owned()))
            };
            assert_eq!(about(same), about(&event), "{what}");
        }
    }
    assert_eq!(
        calendar(
            &clinic_toml("Europe/London", false),
            &plan_toml(VISIT, &["forehead"])
        )
        .lines()
        .filter(|line| line.starts_with("UID:"))
        .count(),
        before.len()
    );

    // another patient's and another day's visit share nothing with it
    let others = [
        plan_toml(VISIT, &["forehead"]).replace("INV-77", "INV-78"),
        plan_toml(&VISIT.replace("12-03", "12-04"), &["forehead"]),
    ];
    for other in others {
        assert!(
            uids(&calendar(&clinic, &other))
                .iter()
                .all(|uid| !before.contains(uid))
        );
    }
}

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
    // also stems: "treat" stands for treated and treatment
    let medical = [
        "treat",
        "aftercare",
        "inject",
        "toxin",
        "botulin",
        "medicine",
        "medical",
        "effect",
        "wear off",
        "muscle",
        "wrinkle",
        "lines",
        "face",
        "facial",
        "lip",
        "brow",
        "eye",
        "neck",
        "jaw",
        "nose",
        "chin",
        "forehead",
        "massage",
        "alcohol",
        "exercise",
        "make-up",
        "upright",
        "units",
        "dose",
        "skin",
        "bruise",
        "doctor",
        "nurse",
        "clinic ",
        "patient",
    ];
    let plain = calendar(&clinic_toml("Europe/London", false), &plan);
    for text in shown(&plain) {
        for word in medical {
            assert!(!text.contains(word), "“{word}” in: {text}");
        }
    }
    // the same list does find words when the clinic wants details, so it can fail
    let detailed = calendar(&clinic_toml("Europe/London", true), &plan);
    let said = shown(&detailed).join(" ");
    let found = medical.iter().filter(|word| said.contains(**word)).count();
    assert!(
        found > 15,
        "only {found} of the words occur in the detailed calendar"
    );
    assert!(said.contains("forehead lines") && said.contains("do not rub"));

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

/// The UTC time of a local time by the file's own VTIMEZONE: the last observance that began before it.
fn utc_by_file(calendar: &str, local: DateTime) -> DateTime {
    let offset = |text: &str| {
        let number = |range: std::ops::Range<usize>| text[range].parse::<i64>().expect("digits");
        let seconds = number(1..3) * 3600 + number(3..5) * 60;
        if text.starts_with('-') {
            -seconds
        } else {
            seconds
        }
    };
    let all: Vec<_> = ["STANDARD", "DAYLIGHT"]
        .iter()
        .flat_map(|kind| components(calendar, kind))
        .map(|part| {
            (
                moment(value(&part, "DTSTART")),
                offset(value(&part, "TZOFFSETTO")),
            )
        })
        .collect();
    let (_, seconds) = all
        .into_iter()
        .filter(|(onset, _)| *onset <= local)
        .max_by_key(|(onset, _)| *onset)
        .expect("an observance covers every event");
    local - jiff::SignedDuration::from_secs(seconds)
}

/// Clock changes by the IANA time zone data: London 25 October 2026, 02:00 to 01:00; New York 14 March 2027, 02:00 to 03:00;
/// Sydney 4 April 2027, 03:00 to 02:00; Kolkata none since 1945.
#[test]
fn twenty_four_hours_over_a_clock_change() {
    let cases = [
        (
            "Europe/London",
            "2026-10-24",
            "20261025T150000",
            "2026-10-25T15:00:00",
            Some(("STANDARD", "20261025T020000", "+0100", "+0000", "GMT")),
        ),
        (
            "America/New_York",
            "2027-03-13",
            "20270314T170000",
            "2027-03-14T21:00:00",
            Some(("DAYLIGHT", "20270314T020000", "-0500", "-0400", "EDT")),
        ),
        (
            "Australia/Sydney",
            "2027-04-03",
            "20270404T150000",
            "2027-04-04T05:00:00",
            Some(("STANDARD", "20270404T030000", "+1100", "+1000", "AEST")),
        ),
        (
            "Asia/Kolkata",
            "2026-12-03",
            "20261204T160000",
            "2026-12-04T10:30:00",
            None,
        ),
    ];
    for (zone, day, local, utc, change) in cases {
        let plan = plan_toml(&format!("date = {day}\ntime = 16:00"), &["masseter"]);
        let calendar = calendar(&clinic_toml(zone, true), &plan);
        let event = events(&calendar)
            .into_iter()
            .find(|event| event.contains(&format!("DTSTART;TZID={zone}:{local}")))
            .unwrap_or_else(|| panic!("{zone}: nothing at {local}\n{calendar}"));
        assert!(
            value(&event, "DESCRIPTION").contains("Do not rub"),
            "{event:#?}"
        );
        let utc: DateTime = utc.parse().expect("a time");
        assert_eq!(utc_by_file(&calendar, moment(local)), utc, "{zone}");

        let zones = components(&calendar, "VTIMEZONE");
        assert_eq!(zones.len(), 1);
        assert_eq!(zones[0][0], format!("TZID:{zone}"));
        match change {
            Some((kind, onset, from, to, name)) => {
                let expected = [
                    format!("DTSTART:{onset}"),
                    format!("TZOFFSETFROM:{from}"),
                    format!("TZOFFSETTO:{to}"),
                    format!("TZNAME:{name}"),
                ];
                assert!(
                    components(&calendar, kind)
                        .iter()
                        .any(|part| part[..] == expected),
                    "{calendar}"
                );
                // a year before the first and a year after the last event hold at least two changes each
                assert!(
                    components(&calendar, "DAYLIGHT").len()
                        + components(&calendar, "STANDARD").len()
                        >= 4
                );
            }
            None => {
                let only = components(&calendar, "STANDARD");
                assert_eq!(
                    only,
                    [[
                        "DTSTART:19700101T000000",
                        "TZOFFSETFROM:+0530",
                        "TZOFFSETTO:+0530",
                        "TZNAME:IST"
                    ]]
                );
                assert_eq!(components(&calendar, "DAYLIGHT").len(), 0);
            }
        }
    }
}

/// Holds the offsets written for some days of a zone against the data, hour by hour, and counts the changes of the clock.
fn offsets_hold(name: &str, first: Date, last: Date) -> usize {
    let zone = zone::find(name).expect("a zone");
    let observances = zone::observances(&zone, first, last);
    let mut hour = first.at(0, 30, 0, 0);
    while hour < last.at(0, 0, 0, 0) {
        // the hours that exist twice or never have no single answer
        if !zone.to_ambiguous_timestamp(hour).is_ambiguous() {
            let expected = zone.to_timestamp(hour).expect("in range");
            let offset = observances.iter().rfind(|o| o.onset <= hour);
            let offset = offset
                .unwrap_or_else(|| panic!("{name}: {hour} is not covered"))
                .to;
            assert_eq!(
                offset.to_timestamp(hour).expect("in range"),
                expected,
                "{name} {hour}"
            );
        }
        hour = hour.checked_add(jiff::ToSpan::hours(1)).expect("in range");
    }
    // to a reader daylight time is the later clock
    for observance in &observances[1..] {
        assert!(
            !observance.daylight || observance.to > observance.from,
            "{name} {observance:?}"
        );
    }
    observances.len() - 1
}

#[test]
fn what_is_written_of_a_zone_holds_on_every_day_it_covers() {
    let mut changes = 0;
    for name in [
        "Europe/London",
        "Europe/Dublin",
        "Africa/Casablanca",
        "America/New_York",
        "America/St_Johns",
        "America/Sao_Paulo",
        "Asia/Kolkata",
        "Asia/Kathmandu",
        "Asia/Tehran",
        "Australia/Sydney",
        "Australia/Lord_Howe",
        "Pacific/Chatham",
        "Pacific/Apia",
        "Etc/GMT+5",
        "UTC",
    ] {
        changes += offsets_hold(name, date(2026, 1, 1), date(2028, 1, 1));
    }
    // seven of them change four times in two years; what Morocco does has changed before and may again
    assert!(changes >= 28, "{changes}");
    // a slip of the finger in the year is no reason for a wrong or broken file
    for name in ["Asia/Kolkata", "Europe/Paris", "UTC"] {
        offsets_hold(name, date(1903, 1, 1), date(1904, 1, 1));
        offsets_hold(name, date(1969, 7, 1), date(1970, 7, 1));
        offsets_hold(name, date(9999, 1, 1), date(9999, 12, 31));
    }
    assert_eq!(zone::utc_offset(jiff::tz::Offset::constant(0)), "+0000");
    assert_eq!(
        zone::utc_offset(jiff::tz::Offset::from_seconds(-12_600).expect("small")),
        "-0330"
    );
    assert_eq!(
        zone::utc_offset(jiff::tz::Offset::from_seconds(20_476).expect("small")),
        "+054116"
    );
}

#[test]
fn without_a_time_of_treatment_or_a_zone_nothing_is_made_up() {
    // the hour is not known: whole days stay, hours are left to the sheet
    let calendar = calendar(
        &clinic_toml("Europe/London", true),
        &plan_toml("date = 2026-12-03", &["forehead"]),
    );
    assert!(
        !calendar.contains("VTIMEZONE") && !calendar.contains("TZID"),
        "{calendar}"
    );
    assert_eq!(components(&calendar, "VALARM").len(), 2);
    assert_eq!(events(&calendar).len(), 5);
    // the zone is not known: the clock where the telephone is
    let (mut clinic, visit) = read(
        &clinic_toml("Europe/London", true),
        &plan_toml(VISIT, &["forehead"]),
    );
    clinic.time_zone = None;
    let calendar = written(&clinic, &visit);
    assert!(!calendar.contains("TZID"), "{calendar}");
    assert!(lines(&calendar).contains(&"DTSTART:20261203T183000".to_owned()));
}

#[test]
fn every_area_gives_a_calendar() {
    for area in &Catalogue::embedded().areas {
        if area.id == "zygomaticus" {
            continue;
        }
        let calendar = calendar(
            &clinic_toml("Europe/London", true),
            &plan_toml(VISIT, &[&area.id]),
        );
        assert!(events(&calendar).len() >= 6, "{}", area.id);
        assert_eq!(
            components(&calendar, "VALARM").len(),
            events(&calendar)
                .iter()
                .filter(|event| value(event, "SUMMARY").contains("instructions"))
                .count()
        );
    }
}

#[test]
fn make_writes_the_calendar_beside_the_papers_and_alone() {
    let desk = desk();
    put(
        desk.path(),
        "clinic.toml",
        clinic_toml("Europe/London", false),
    );
    put(desk.path(), "plan.toml", plan_toml(VISIT, &["forehead"]));
    let all = run(desk.path(), &["make", "plan.toml", "--out", "all"]);
    assert_eq!(all.code, 0, "{}", all.err);
    let names = [
        "aftercare.pdf",
        "calendar.ics",
        "clinician.pdf",
        "consent.pdf",
    ]
    .map(|end| format!("INV-77-2026-12-03-{end}"));
    assert_eq!(names_in(&desk.path().join("all")), names);

    let other = ["TZ", "TZDIR", "LANG"];
    let alone = finish(
        program(desk.path())
            .args(["make", "plan.toml", "--only", "calendar", "--out", "alone"])
            .envs(other.map(|name| (name, "Asia/Tokyo"))),
    );
    assert_eq!(alone.code, 0, "{}", alone.err);
    assert_eq!(names_in(&desk.path().join("alone")), [names[1].clone()]);
    assert!(
        alone.out.contains("-calendar.ics (calendar)"),
        "{}",
        alone.out
    );
    let path = desk.path().join("alone").join(&names[1]);
    assert_eq!(
        path.metadata().expect("written").permissions().mode() & 0o777,
        0o600
    );
    // the same bytes, whatever the machine is set to, and those of the library
    let bytes = std::fs::read(&path).expect("written");
    assert_eq!(
        bytes,
        std::fs::read(desk.path().join("all").join(&names[1])).expect("written")
    );
    let (clinic, visit) = read(
        &clinic_toml("Europe/London", false),
        &plan_toml(VISIT, &["forehead"]),
    );
    assert_eq!(
        String::from_utf8(bytes).expect("UTF-8"),
        written(&clinic, &visit)
    );

    // named papers only: no calendar
    let papers = run(
        desk.path(),
        &["make", "plan.toml", "--only", "consent", "--out", "papers"],
    );
    assert_eq!(papers.code, 0, "{}", papers.err);
    assert_eq!(names_in(&desk.path().join("papers")), [names[3].clone()]);
}

#[test]
fn under_a_stop_there_is_no_calendar() {
    let desk = desk();
    put(
        desk.path(),
        "clinic.toml",
        clinic_toml("Europe/London", false),
    );
    put(
        desk.path(),
        "plan.toml",
        plan_toml(VISIT, &["forehead", "zygomaticus"]),
    );
    for only in ["calendar", "calendar,consent"] {
        let ran = run(
            desk.path(),
            &["make", "plan.toml", "--only", only, "--out", "out"],
        );
        assert_eq!(ran.code, 1, "{}", ran.out);
        assert_eq!(names_in(&desk.path().join("out")), Vec::<String>::new());
    }
}

#[test]
fn the_calendar_of_the_news_reader_with_details() {
    let text = |name: &str| {
        std::fs::read_to_string(root().join("samples/linden-court").join(name)).expect("a sample")
    };
    let (mut clinic, visit) = read(&text("clinic.toml"), &text("news-reader.toml"));
    clinic.calendar_details = true;
    let calendar = lines(&written(&clinic, &visit)).join("\n");
    insta::assert_snapshot!(calendar.replace(env!("CARGO_PKG_VERSION"), "VERSION"));
}
