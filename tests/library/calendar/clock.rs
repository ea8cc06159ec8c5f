//! Clock changes, and times that are not known.

use beforehand::calendar::zone;
use jiff::civil::{Date, DateTime, date};

use crate::support::calendar_file::{
    VISIT, calendar, clinic_toml, components, events, lines, moment, plan_toml, read, value,
    written,
};

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
        offsets_hold(name, date(9999, 1, 1), date(9999, 12, 28));
        let zone = zone::find(name).expect("a zone");
        assert!(!zone::observances(&zone, date(9999, 1, 1), Date::MAX).is_empty());
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
