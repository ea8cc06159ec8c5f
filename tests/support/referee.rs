//! Finds the outside referees that `tests/referee/install.sh` sets up.
//!
//! Invariant: without them a test is skipped on a desk, aloud, and fails when `CI` is set; it never passes unseen.
//! Must not: know what a referee judges.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use super::root;

/// The folder of the referees; nothing when the installer has not run, or not since what `is_ready` looks for was added.
pub fn installed(is_ready: impl FnOnce(&Path) -> bool) -> Option<PathBuf> {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .parent()
        .expect("cargo's scratch folder is inside its target")
        .join("referee");
    if folder.join("stamp").is_file() && is_ready(&folder) {
        return Some(folder);
    }
    assert!(
        std::env::var("CI").as_deref() != Ok("true"),
        "the referees are not installed: run tests/referee/install.sh"
    );
    tell("skipped: run tests/referee/install.sh");
    None
}

/// The Python of the referees, where it has these modules (`icalendar, vobject`; empty: any).
pub fn python(modules: &str) -> Option<PathBuf> {
    let python = |folder: &Path| folder.join("venv/bin/python");
    installed(|folder| {
        modules.is_empty()
            || Command::new(python(folder))
                .args(["-c", &format!("import {modules}")])
                .output()
                .is_ok_and(|asked| asked.status.success())
    })
    .map(|folder| python(&folder))
}

/// What a script of `tests/referee` says of a finished file, in one line of JSON.
pub fn read_file(python: &Path, script: &str, file: &Path) -> serde_json::Value {
    let said = self::script(python, script)
        .arg(file)
        .output()
        .expect("the reader starts");
    assert!(
        said.status.success(),
        "{}",
        String::from_utf8_lossy(&said.stderr)
    );
    serde_json::from_slice(&said.stdout).expect("one line of JSON")
}

/// A script of `tests/referee`, to be given its arguments.
pub fn script(python: &Path, name: &str) -> Command {
    let mut command = Command::new(python);
    command
        .args(["-B", "-W", "ignore"])
        .arg(root().join("tests/referee").join(name));
    command
}

/// Lets a referee read `cases` and answer.
pub fn judged(referee: &mut Command, cases: &str) -> Output {
    let mut child = referee
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the referee starts");
    let mut pipe = child.stdin.take().expect("a pipe");
    std::thread::scope(|scope| {
        // written from beside: some answer while they read, some answer without reading
        scope.spawn(move || {
            let _ = pipe.write_all(cases.as_bytes());
        });
        child.wait_with_output().expect("the referee ends")
    })
}

/// What a referee said, on one channel or the other.
pub fn said(output: &Output) -> String {
    let errors = String::from_utf8_lossy(&output.stderr);
    format!("{}{errors}", String::from_utf8_lossy(&output.stdout))
}

/// Prints what a referee counted; panics with its faults.
pub fn passes(what: &str, output: &Output) -> String {
    let said = said(output);
    assert!(output.status.success(), "{what}:\n{said}");
    let counted = String::from_utf8_lossy(&output.stdout);
    let counted = counted.trim_end().lines().last().unwrap_or_default();
    tell(&format!("{what}: {counted}"));
    said
}

/// A folder for files that a referee reads; it stays after the test, to be looked at.
pub fn scratch(name: &str) -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join(name)
}

/// Says it past the test runner, which hides the output of tests that pass.
pub fn tell(line: &str) {
    let _ = writeln!(std::io::stderr(), "{line}");
}
