//! Turns every sample, and visits at a change of the clock, into calendar files with the built program and lets two parsers judge them.
//! Invariant: no judgement is made here; `icalendar` and `vobject` and the rules in `referee/calendar_file.py` make it.
//! Must not: pass in CI when the referee is missing, or count a referee that looked at nothing.

use std::path::{Path, PathBuf};
use std::process::Output;

use crate::support::referee::{self, passes};
use crate::support::{ClinicFile, Plan, names_in, put, root, run, samples};

/// A Python with both parsers; an installation from before the calendar lacks them.
fn python() -> Option<PathBuf> {
    referee::python("icalendar, vobject")
}

fn judged(python: &Path, command: &str, files: &[PathBuf]) -> Output {
    let mut script = referee::script(python, "calendar_file.py");
    script.arg(command).args(files);
    script.output().expect("Python starts")
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
    for plan in samples::plans() {
        plans += 1;
        let clinic = samples::clinic_beside(&plan);
        let detailed = samples::with_calendar_details(&clinic);
        let detailed = put(folder, "detailed.toml", detailed);
        for (clinic, out) in [
            (&clinic, folder.join("neutral")),
            (&detailed, folder.join("detailed")),
        ] {
            let (clinic, out) = (utf8(clinic), utf8(&out));
            let mut arguments = vec!["make", samples::shown(&plan), "--only", "calendar"];
            arguments.extend(["--clinic", clinic, "--out", out]);
            let ran = run(root(), &arguments);
            assert!(matches!(ran.code, 0 | 1), "{arguments:?}: {}", ran.err);
            stopped += ran.code;
        }
    }
    let mut found = calendars_in(&folder.join("neutral"));
    found.extend(calendars_in(&folder.join("detailed")));
    // one file for each plan and tone that is not stopped; two plans would share a file only with the same record and day
    assert_eq!(
        found.len(),
        2 * plans - usize::try_from(stopped).expect("not negative")
    );
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
            visit: "time = 14:30".to_owned(),
            ..Plan::default()
        };
        // the day of the event in the plan is one of another visit
        put(
            folder,
            "plan.toml",
            plan.toml().replace("2026-12-19", "2027-06-19"),
        );
        let clinic = ClinicFile {
            time_zone: (*zone).to_owned(),
            ..ClinicFile::default()
        };
        put(folder, "clinic.toml", clinic.toml());
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
