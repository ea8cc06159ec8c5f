//! Finds the outside referees that `tests/referee/install.sh` sets up.
//!
//! Invariant: without them a test is skipped on a desk, aloud, and fails when `CI` is set; it never passes unseen.
//! Must not: know what a referee judges.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

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
    let said = Command::new(python)
        .arg("-B")
        .arg(
            Path::new(env!("CARGO_MANIFEST_DIR"))
                .join("tests/referee")
                .join(script),
        )
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

/// Says it past the test runner, which hides the output of tests that pass.
pub fn tell(line: &str) {
    let _ = writeln!(std::io::stderr(), "{line}");
}
