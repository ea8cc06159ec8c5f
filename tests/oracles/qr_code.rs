//! Turns samples into aftercare sheets and calendar files with the built program and lets a camera's reader judge the code on the page.
//! Invariant: no judgement is made here; poppler draws, zbar reads, `icalendar` parses, `referee/qr_code.py` compares bytes.
//! Must not: pass in CI when a referee is missing, or count a code that was not read.

use std::path::{Path, PathBuf};
use std::process::Output;

use crate::support::referee::{self, said};
use crate::support::{has_tool, names_in, put, root, run, samples};

/// From a poor screen copy to a printer's draft; at 72 dots an inch a module is one and a half dots and cannot be told.
const RESOLUTIONS: [&str; 3] = ["125", "150", "200"];

/// A Python with a parser of calendars; nothing when it, poppler or zbar is not here.
fn python() -> Option<PathBuf> {
    let python = referee::python("icalendar")?;
    (has_tool("zbarimg") && has_tool("pdftoppm")).then_some(python)
}

/// The aftercare sheet and the calendar file of a plan.
fn made(plan: &str, clinic: &str, out: &Path) -> (PathBuf, PathBuf) {
    let folder = out.to_str().expect("UTF-8");
    let ran = run(root(), &["make", plan, "--clinic", clinic, "--out", folder]);
    assert_eq!(ran.code, 0, "{plan}: {}{}", ran.out, ran.err);
    let named = |end: &str| {
        let names = names_in(out);
        let name = names.iter().find(|name| name.ends_with(end));
        out.join(name.unwrap_or_else(|| panic!("{plan}: no {end} in {names:?}")))
    };
    (named("aftercare.pdf"), named("calendar.ics"))
}

fn read(python: &Path, name: &str, paper: &Path, calendar: &Path) -> Output {
    let mut script = referee::script(python, "qr_code.py");
    script
        .args(["read", name])
        .args([paper, calendar])
        .args(RESOLUTIONS);
    script.output().expect("Python starts")
}

/// The patient's name in a sample.
fn name_in(plan: &str) -> String {
    let (_, table) = samples::table(Path::new(plan));
    let name = table["patient"]["name"].as_str().expect("a name");
    name.replace("(invented)", "")
}

#[test]
fn the_code_on_the_page_is_the_review_of_the_calendar_file() {
    let Some(python) = python() else { return };
    let folder = tempfile::tempdir().expect("a temporary folder");
    // A4 and US letter, a review of one day and of two weeks, letters beyond ASCII
    let plans = [
        "samples/linden-court/news-reader.toml",
        "samples/linden-court/everything.toml",
        "samples/cedar-hollow/wedding.toml",
        "samples/bjorkviken/repeat-exempt.toml",
    ];
    for (number, plan) in plans.iter().enumerate() {
        let beside = samples::clinic_beside(Path::new(plan));
        let clinic = samples::shown(&beside);
        let detailed = samples::with_calendar_details(&beside);
        let detailed = put(folder.path(), &format!("{number}.toml"), detailed);
        for (tone, clinic) in [
            ("neutral", clinic),
            ("detailed", detailed.to_str().expect("UTF-8")),
        ] {
            let out = folder.path().join(format!("{number}-{tone}"));
            let (paper, calendar) = made(plan, clinic, &out);
            let judged = read(&python, &name_in(plan), &paper, &calendar);
            assert!(judged.status.success(), "{plan}, {tone}: {}", said(&judged));
            assert!(said(&judged).contains("3 readings"), "{}", said(&judged));
        }
    }
}

#[test]
fn another_calendar_and_a_name_in_the_code_are_noticed() {
    let Some(python) = python() else { return };
    let folder = tempfile::tempdir().expect("a temporary folder");
    let of = |plan: &str, out: &str| {
        let clinic = samples::clinic_beside(Path::new(plan));
        made(plan, samples::shown(&clinic), &folder.path().join(out))
    };
    let (paper, calendar) = of("samples/linden-court/news-reader.toml", "one");
    let (_, other) = of("samples/cedar-hollow/wedding.toml", "two");
    let judged = read(&python, "Nobody", &paper, &other);
    assert_eq!(judged.status.code(), Some(1), "{}", said(&judged));
    // words of the title stand in for a name that slipped in
    let judged = read(&python, "Linden Court", &paper, &calendar);
    assert!(said(&judged).contains("names linden"), "{}", said(&judged));
    let moved = std::fs::read_to_string(&calendar).expect("a calendar");
    let moved = moved.replace("DTSTART;VALUE=DATE:2026", "DTSTART;VALUE=DATE:2027");
    let moved = put(folder.path(), "moved.ics", moved);
    let judged = read(&python, "Nobody", &paper, &moved);
    assert!(
        said(&judged).contains("not in the file"),
        "{}",
        said(&judged)
    );
}
