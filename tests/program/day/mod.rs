//! A day at the front desk: a folder of plans, who is ready, what is printed, and what a run that was broken off leaves.
//!
//! Must not: look at pages (that is `oracles`).

mod broken_off;
mod faults;
mod list;
mod states;

use std::path::Path;
use std::process::{Child, Stdio};

use serde_json::Value;

use crate::support::{Ran, program, put, root, run};

const DATE: &str = "2026-12-03";

/// The plans of one day that the README shows.
fn sample() -> std::path::PathBuf {
    root().join("samples/bjorkviken/thursday")
}

/// A plan of the sample.
fn sample_plan(name: &str) -> String {
    std::fs::read_to_string(sample().join(name)).expect("a sample can be read")
}

/// A folder with the sample's clinic.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    put(folder.path(), "clinic.toml", sample_plan("clinic.toml"));
    folder
}

/// A plan that is ready, of the patient with this number.
fn ready(number: usize) -> String {
    sample_plan("ohrn.toml")
        .replace("BV-118", &format!("BV-{number}"))
        .replace("Åsa Öhrn", &format!("Patient {number}"))
}

/// So many plans that are ready.
fn put_ready(folder: &Path, count: usize) {
    for number in 0..count {
        put(folder, &format!("plan-{number:04}.toml"), ready(number));
    }
}

fn day(folder: &Path, arguments: &[&str]) -> Ran {
    let mut all = vec!["day", ".", "--date", DATE];
    all.extend(arguments);
    run(folder, &all)
}

/// A run with one worker that goes on while the test does something else.
fn started(folder: &Path) -> Child {
    program(folder)
        .args(["day", ".", "--date", DATE, "--out", "papers"])
        .args(["--workers", "1", "--format", "json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program was built")
}

/// The visits as another program gets them.
fn visits(folder: &Path, arguments: &[&str]) -> Vec<Value> {
    let mut all = vec!["--format", "json"];
    all.extend(arguments);
    let ran = day(folder, &all);
    let said: Value = serde_json::from_str(&ran.out).expect("JSON");
    said["visits"].as_array().expect("a list").clone()
}
