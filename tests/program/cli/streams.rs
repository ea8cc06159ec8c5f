//! What goes to stdout and what to stderr, colour, and readers that go away early.

use std::process::Stdio;

use crate::support::{Plan, desk, finish, names_in, program, put, run};

#[test]
fn without_a_terminal_nothing_is_coloured() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    put(
        desk.path(),
        "bad.toml",
        Plan::default().toml().replace("masseter", "maseter"),
    );
    for arguments in [
        vec!["--help"],
        vec!["make", "--help"],
        vec!["mkae"],
        vec!["areas"],
        vec!["areas", "masseter"],
        vec!["areas", "maseter"],
        vec!["new", "--area", "masseter"],
        vec!["check", "plan.toml", "bad.toml", "missing.toml"],
        vec!["check", "plan.toml", "bad.toml", "--format", "json"],
        vec!["make", "plan.toml", "bad.toml", "missing.toml"],
    ] {
        let ran = finish(
            program(desk.path())
                .args(&arguments)
                .env("TERM", "xterm-256color"),
        );
        assert!(
            !ran.out.contains('\u{1b}') && !ran.err.contains('\u{1b}'),
            "{arguments:?}: {ran:?}"
        );
        assert!(!(ran.out.is_empty() && ran.err.is_empty()), "{arguments:?}");
    }
}

#[test]
fn mistakes_go_to_stderr_and_papers_to_stdout() {
    let desk = desk();
    put(desk.path(), "good.toml", Plan::default().toml());
    put(
        desk.path(),
        "bad.toml",
        Plan::default().toml().replace("masseter", "maseter"),
    );
    let ran = run(desk.path(), &["make", "good.toml", "bad.toml"]);
    assert!(
        ran.out.contains("good.toml") && !ran.out.contains("bad.toml"),
        "{}",
        ran.out
    );
    assert!(
        ran.err.contains("bad.toml") && !ran.err.contains("good.toml"),
        "{}",
        ran.err
    );
}

/// Runs with nobody reading what is written to stdout or to stderr; exit code and what the other stream got.
fn unread(
    folder: &std::path::Path,
    arguments: &[&str],
    stdout_unread: bool,
) -> (Option<i32>, String) {
    let mut child = program(folder)
        .args(arguments)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program was built before its tests");
    if stdout_unread {
        drop(child.stdout.take());
    } else {
        drop(child.stderr.take());
    }
    let output = child.wait_with_output().expect("the program ends");
    let read = if stdout_unread {
        output.stderr
    } else {
        output.stdout
    };
    (
        output.status.code(),
        String::from_utf8_lossy(&read).into_owned(),
    )
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    for arguments in [
        vec!["areas"],
        vec!["areas", "platysma"],
        vec!["new"],
        vec!["check", "plan.toml"],
        vec!["check", "plan.toml", "--format", "json"],
        vec!["--help"],
        vec!["--version"],
    ] {
        let (code, said) = unread(desk.path(), &arguments, true);
        assert_eq!((code, said.as_str()), (Some(0), ""), "{arguments:?}");
    }
}

#[test]
fn papers_are_written_even_when_nobody_reads_the_report() {
    let desk = desk();
    put(desk.path(), "one.toml", Plan::default().toml());
    put(
        desk.path(),
        "two.toml",
        Plan {
            record: "INV-2".to_owned(),
            ..Plan::default()
        }
        .toml(),
    );
    let (code, said) = unread(
        desk.path(),
        &["make", "one.toml", "two.toml", "--out", "papers"],
        true,
    );
    assert!(!said.contains("panicked"), "{said}");
    let written = names_in(&desk.path().join("papers"));
    assert!(
        code != Some(0) || written.len() == 2 * 8 + 1,
        "it ended with 0 but wrote only {written:?}"
    );
}

#[test]
fn a_stop_keeps_its_exit_code_when_nobody_reads_the_report() {
    let desk = desk();
    put(
        desk.path(),
        "plan.toml",
        Plan {
            area: "id = \"zygomaticus\"\nside = \"both\"".to_owned(),
            ..Plan::default()
        }
        .toml(),
    );
    for command in ["make", "check"] {
        let (code, said) = unread(desk.path(), &[command, "plan.toml"], true);
        assert!(!said.contains("panicked"), "{said}");
        assert_eq!(code, Some(1), "{command}: a stop must not look fine");
    }
}

#[test]
fn mistakes_nobody_reads_still_end_with_1() {
    let desk = desk();
    put(
        desk.path(),
        "bad.toml",
        Plan::default().toml().replace("masseter", "maseter"),
    );
    for arguments in [
        vec!["make", "bad.toml"],
        vec!["check", "bad.toml"],
        vec!["areas", "maseter"],
    ] {
        let (code, _) = unread(desk.path(), &arguments, false);
        assert_eq!(code, Some(1), "{arguments:?}");
    }
}

#[test]
fn a_full_disk_behind_stdout_ends_with_2() {
    let Ok(full) = std::fs::OpenOptions::new().write(true).open("/dev/full") else {
        eprintln!("skipped: this system has no /dev/full");
        return;
    };
    let output = program(desk().path())
        .arg("areas")
        .stdout(full)
        .output()
        .expect("the program runs");
    assert_eq!(
        output.status.code(),
        Some(2),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}
