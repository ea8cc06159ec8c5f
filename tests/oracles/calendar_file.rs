//! Turns every sample, and visits at a change of the clock, into calendar files with the built program and lets two parsers judge them.
//! Invariant: no judgement is made here; `icalendar` and `vobject` and the rules in `referee/calendar_file.py` make it.
//! Must not: pass in CI when the referee is missing, or count a referee that looked at nothing.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use crate::support::{self, Plan, clinic, names_in, put, root, run};

/// A Python with both parsers; an installation from before the calendar lacks them.
fn python() -> Option<PathBuf> {
    support::referee::python("icalendar, vobject")
}

fn judged(python: &Path, command: &str, files: &[PathBuf]) -> Output {
    Command::new(python)
        .arg("-B")
        .arg(root().join("tests/referee/calendar_file.py"))
        .arg(command)
        .args(files)
        .output()
        .expect("Python starts")
}

/// Prints what the referee counted; panics with its faults.
fn passes(what: &str, output: &Output) -> String {
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{what}:\n{said}{errors}");
    eprintln!("{what}: {}", said.lines().last().unwrap_or_default());
    said
}

fn calendars_in(folder: &Path) -> Vec<PathBuf> {
    names_in(folder)
        .into_iter()
        .filter(|name| name.ends_with(".ics"))
        .map(|name| folder.join(name))
        .collect()
}

fn utf8(path: &Path) -> &str {
    path.to_str().expect("paths are UTF-8")
}

/// The calendars of every sample, as it is and with details switched on.
fn of_samples(folder: &Path) -> Vec<PathBuf> {
    let (mut plans, mut stopped) = (0, 0);
    for clinic in names_in(&root().join("samples")) {
        let place = root().join("samples").join(&clinic);
        let Ok(text) = std::fs::read_to_string(place.join("clinic.toml")) else {
            continue;
        };
        let zone = text
            .find("time_zone")
            .expect("the samples name their time zone");
        let chosen = format!(
            "{}calendar_details = true\n{}",
            &text[..zone],
            &text[zone..]
        );
        put(folder, &format!("{clinic}.toml"), chosen);
        for name in names_in(&place) {
            let plan = place.join(&name);
            if name.starts_with("clinic.") || !(name.ends_with(".toml") || name.ends_with(".json"))
            {
                continue;
            }
            plans += 1;
            for (clinic, out) in [
                (place.join("clinic.toml"), folder.join("neutral")),
                (
                    folder.join(format!("{clinic}.toml")),
                    folder.join("detailed"),
                ),
            ] {
                let arguments = [
                    "make",
                    utf8(&plan),
                    "--only",
                    "calendar",
                    "--clinic",
                    utf8(&clinic),
                    "--out",
                    utf8(&out),
                ];
                let ran = run(root(), &arguments);
                assert!(matches!(ran.code, 0 | 1), "{arguments:?}: {}", ran.err);
                stopped += ran.code;
            }
        }
    }
    let mut found = calendars_in(&folder.join("neutral"));
    found.extend(calendars_in(&folder.join("detailed")));
    // one file for each plan and tone that is not stopped; two plans would share a file only with the same record and day
    assert_eq!(
        found.len(),
        2 * plans - usize::try_from(stopped).expect("not negative")
    );
    assert!(plans >= 8, "{plans} samples");
    found
}

/// Calendars of visits on the day before a change of the clock, in zones that change differently or not at all.
fn of_clock_changes(folder: &Path) -> Vec<PathBuf> {
    let visits = [
        ("Europe/London", "2026-10-24"),
        ("Europe/London", "2027-03-27"),
        ("Europe/Dublin", "2026-10-24"),
        ("America/New_York", "2027-03-13"),
        ("America/St_Johns", "2026-10-31"),
        ("Australia/Sydney", "2027-04-03"),
        ("Australia/Lord_Howe", "2026-10-03"),
        ("Asia/Kolkata", "2026-12-03"),
        ("Asia/Kathmandu", "2026-12-03"),
        ("UTC", "2026-12-03"),
    ];
    let out = folder.join("zones");
    for (number, (zone, day)) in visits.iter().enumerate() {
        let plan = Plan {
            record: format!("INV-{number}"),
            date: (*day).to_owned(),
            ..Plan::default()
        };
        // the days of the information and of the event in the plan are those of another visit
        let plan = plan.toml().replace("informed_on = 2026-11-26\n", "");
        put(
            folder,
            "plan.toml",
            plan.replace("2026-12-19", "2027-06-19"),
        );
        put(
            folder,
            "clinic.toml",
            clinic().replace("Europe/London", zone),
        );
        let ran = run(
            folder,
            &["make", "plan.toml", "--only", "calendar", "--out", "zones"],
        );
        assert_eq!(ran.code, 0, "{zone}: {}{}", ran.out, ran.err);
    }
    let found = calendars_in(&out);
    assert_eq!(found.len(), visits.len());
    found
}

#[test]
fn two_parsers_accept_every_calendar_and_agree_with_zoneinfo() {
    let Some(python) = python() else { return };
    let folder = tempfile::tempdir().expect("a temporary folder");
    let mut files = of_samples(folder.path());
    files.extend(of_clock_changes(folder.path()));
    let said = passes("calendars", &judged(&python, "check", &files));
    assert!(said.contains(&format!("{} files", files.len())), "{said}");
}

#[test]
fn planted_faults_in_a_calendar_are_noticed() {
    let Some(python) = python() else { return };
    let folder = tempfile::tempdir().expect("a temporary folder");
    let out = utf8(folder.path());
    let plan = "samples/linden-court/news-reader.toml";
    let ran = run(root(), &["make", plan, "--only", "calendar", "--out", out]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = passes(
        "planted",
        &judged(&python, "damage", &calendars_in(folder.path())),
    );
    assert!(said.contains("13 planted"), "{said}");
}
