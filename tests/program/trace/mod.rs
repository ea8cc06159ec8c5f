//! Turns papers, registers and codes into what `trace` says of them, years later and after every kind of mishap.
//!
//! Invariant: "as made" is expected only of the very bytes that were made; every mishap has its own test.
//! Must not: trust the program's own reading alone where an outside tool is here to ask.

mod foreign;
mod papers;
mod register;
mod words;

use std::path::Path;

use crate::support::{Plan, desk, put, run};

const CONSENT: &str = "INV-1-2026-12-03-consent.pdf";

/// A folder with a plan whose papers are made in `papers`.
fn made() -> tempfile::TempDir {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    let ran = run(desk.path(), &["make", "plan.toml", "--out", "papers"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    desk
}

/// What `trace --format json` says, and its exit code.
fn trace(folder: &Path, arguments: &[&str]) -> (i32, serde_json::Value) {
    let mut all = vec!["trace"];
    all.extend(arguments);
    all.extend(["--format", "json"]);
    let ran = run(folder, &all);
    assert_eq!(ran.err, "", "{arguments:?}");
    let report = serde_json::from_str(&ran.out)
        .unwrap_or_else(|error| panic!("{arguments:?}: {error}\n{}", ran.out));
    (ran.code, report)
}

/// The entries of a register, without the help of the program.
fn lines(register: &Path) -> Vec<serde_json::Value> {
    let text = std::fs::read_to_string(register).expect("a register");
    assert!(text.ends_with('\n'), "the register ends in half a line");
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| serde_json::from_str(line).unwrap_or_else(|error| panic!("{error}: {line}")))
        .collect()
}
