//! A run that is broken off goes on where it stopped; one that goes wrong costs what went wrong and nothing else.

use std::collections::BTreeMap;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

use beforehand::record::Register;

use super::{DATE, day, folder, put_ready, ready, started, visits};
use crate::support::{names_in, program, put};

/// Every file of a folder but the register, with its bytes.
pub(super) fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    names_in(folder)
        .into_iter()
        .filter(|name| name != "register.jsonl")
        .map(|name| {
            let bytes = std::fs::read(folder.join(&name)).expect("a file of ours");
            (name, bytes)
        })
        .collect()
}

/// Kills runs of a day at moments spread over it, then lets one come to its end: the same files as without a kill, nothing half
/// in between, no line of the register lost or torn.
fn kill_and_resume(visits: usize, kills: u32, whole: Duration) {
    let folder = folder();
    put_ready(folder.path(), visits);
    let undisturbed = day(folder.path(), &["--out", "whole"]);
    assert_eq!(undisturbed.code, 0, "{}", undisturbed.err);
    let wanted = files(&folder.path().join("whole"));

    let out = folder.path().join("papers");
    let mut lines_before = 0;
    for kill in 0..kills {
        let mut child = program(folder.path())
            .args(["day", ".", "--date", DATE, "--out", "papers"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program was built");
        // moments that a run does not know: a golden step through its time
        let share = (f64::from(kill) * 0.618_034 + 0.1).fract();
        std::thread::sleep(whole.mul_f64(share));
        let _ = child.kill();
        let _ = child.wait();
        // its workers see that nobody asks any more; what they had in hand they bring to an end
        for (name, bytes) in files(&out) {
            if name.starts_with(".beforehand-") {
                continue;
            }
            assert!(
                wanted.get(&name) == Some(&bytes),
                "kill {kill}: {name} is not whole"
            );
        }
        let register = std::fs::read(out.join("register.jsonl")).unwrap_or_default();
        let register = Register::parse(&register);
        assert!(
            register.unreadable.is_empty(),
            "kill {kill}: {:?}",
            register.unreadable
        );
        assert!(
            register.entries.len() >= lines_before,
            "kill {kill}: lines are lost"
        );
        lines_before = register.entries.len();
    }
    // workers of the last run may still hold the folder
    std::thread::sleep(Duration::from_millis(1500));
    let resumed = day(folder.path(), &["--out", "papers"]);
    assert_eq!(resumed.code, 0, "{}", resumed.err);
    let now = files(&out);
    assert_eq!(
        now.keys().collect::<Vec<_>>(),
        wanted.keys().collect::<Vec<_>>()
    );
    assert!(now == wanted, "the same bytes");
    let register = Register::parse(&std::fs::read(out.join("register.jsonl")).expect("a register"));
    for name in wanted.keys().filter(|name| !name.ends_with(".ics")) {
        assert!(
            register
                .entries
                .iter()
                .any(|(_, entry)| entry.file == *name),
            "{name}"
        );
    }
}

#[test]
fn a_killed_day_goes_on_where_it_stopped() {
    kill_and_resume(3, 5, Duration::from_millis(4000));
}

/// The long run: `cargo test --release --test program -- --ignored a_hundred_kills`.
#[test]
#[ignore = "takes a quarter of an hour"]
fn a_hundred_kills_of_a_day_of_two_hundred_leave_nothing_half() {
    kill_and_resume(200, 100, Duration::from_secs(20));
}

#[test]
fn what_was_made_is_not_made_again_unless_something_changed() {
    let folder = folder();
    put_ready(folder.path(), 2);
    let made = |arguments: &[&str]| -> Vec<bool> {
        visits(folder.path(), arguments)
            .iter()
            .map(|visit| visit["made_before"].as_bool().expect("yes or no"))
            .collect()
    };
    let out = ["--out", "papers"];
    assert_eq!(made(&out), [false, false]);
    assert_eq!(made(&out), [true, true]);

    // a file that is not the one that was made
    let paper = folder.path().join("papers/BV-1-2026-12-03-consent.pdf");
    let whole = std::fs::read(&paper).expect("a paper");
    std::fs::write(&paper, &whole[..whole.len() - 1]).expect("written");
    assert_eq!(made(&out), [true, false]);
    assert!(std::fs::read(&paper).expect("a paper") == whole);

    // the calendar has no line in the register and is compared all the same
    let calendar = folder.path().join("papers/BV-1-2026-12-03-calendar.ics");
    std::fs::remove_file(&calendar).expect("it was there");
    assert_eq!(made(&out), [true, false]);

    // another plan, another clinic
    put(
        folder.path(),
        "plan-0000.toml",
        ready(0).replace("units = 50", "units = 40"),
    );
    assert_eq!(made(&out), [false, true]);
    let clinic = std::fs::read_to_string(folder.path().join("clinic.toml")).expect("a clinic");
    put(
        folder.path(),
        "clinic.toml",
        clinic.replace("070-174 06 05", "070-174 06 07"),
    );
    assert_eq!(made(&out), [false, false]);
    assert_eq!(made(&out), [true, true]);
}

#[test]
fn two_runs_at_once_on_one_folder_make_one_days_papers() {
    let folder = folder();
    put_ready(folder.path(), 3);
    let start = || {
        program(folder.path())
            .args([
                "day", ".", "--date", DATE, "--out", "papers", "--pack", "pack.pdf",
            ])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program was built")
    };
    let (mut one, mut other) = (start(), start());
    assert!(one.wait().expect("it ends").success());
    assert!(other.wait().expect("it ends").success());
    let papers = folder.path().join("papers");
    assert!(
        !names_in(&papers)
            .iter()
            .any(|name| name.starts_with(".beforehand-"))
    );
    let register =
        Register::parse(&std::fs::read(papers.join("register.jsonl")).expect("a register"));
    assert!(register.unreadable.is_empty());
    // no paper is noted twice
    let mut files: Vec<&str> = register
        .entries
        .iter()
        .map(|(_, entry)| entry.file.as_str())
        .collect();
    let all = files.len();
    files.sort_unstable();
    files.dedup();
    assert_eq!(files.len(), all);
}

#[test]
fn what_a_killed_run_left_is_swept_away_by_the_next() {
    let folder = folder();
    put_ready(folder.path(), 1);
    let papers = folder.path().join("papers");
    std::fs::create_dir(&papers).expect("a folder");
    put(&papers, ".beforehand-abc123", "half a pap");
    put(&papers, "notes.txt", "ours");
    assert_eq!(day(folder.path(), &["--out", "papers"]).code, 0);
    let names = names_in(&papers);
    assert!(
        !names.iter().any(|name| name.starts_with(".beforehand")),
        "{names:?}"
    );
    assert!(names.contains(&"notes.txt".to_owned()));
}

#[test]
fn a_folder_that_cannot_be_written_is_said_once_and_nothing_is_made() {
    let folder = folder();
    put_ready(folder.path(), 3);
    put(folder.path(), "papers", "a file where the folder should be");
    let ran = day(folder.path(), &["--out", "papers"]);
    assert_eq!(ran.code, 2);
    assert_eq!(ran.err.matches("could not run").count(), 1, "{}", ran.err);
    assert!(ran.err.contains("papers"), "{}", ran.err);
}

#[test]
fn a_register_that_cannot_be_written_stops_the_day() {
    let folder = folder();
    put_ready(folder.path(), 2);
    std::fs::create_dir_all(folder.path().join("papers/register.jsonl")).expect("a folder");
    let ran = day(folder.path(), &["--out", "papers"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(ran.err.contains("register"), "{}", ran.err);
    let papers = names_in(&folder.path().join("papers"));
    assert_eq!(papers, ["register.jsonl"]);
}

/// A plan that one may not read costs itself.
#[test]
fn an_unreadable_plan_costs_itself() {
    let folder = folder();
    put_ready(folder.path(), 1);
    let locked = put(folder.path(), "locked.toml", ready(7));
    std::fs::set_permissions(&locked, std::fs::Permissions::from_mode(0o000)).expect("ours");
    if std::fs::read(&locked).is_ok() {
        // the superuser reads everything
        return;
    }
    let visits = visits(folder.path(), &["--out", "papers"]);
    let states: Vec<&str> = visits.iter().filter_map(|v| v["state"].as_str()).collect();
    assert!(states.contains(&"mistakes") && states.contains(&"ready"));
}

/// The processes that a process has started.
pub(super) fn children_of(parent: u32) -> Vec<u32> {
    let mut found = Vec::new();
    for name in names_in(Path::new("/proc")) {
        let Ok(stat) = std::fs::read_to_string(format!("/proc/{name}/stat")) else {
            continue;
        };
        // the name of the program stands in brackets and may hold anything; state and parent follow it
        let after = stat.rsplit(')').next().unwrap_or_default();
        if after.split_whitespace().nth(1) == Some(&parent.to_string()) {
            found.extend(name.parse::<u32>());
        }
    }
    found
}

#[test]
fn a_worker_that_dies_costs_its_plan_and_the_rest_goes_on() {
    let folder = folder();
    put_ready(folder.path(), 3);
    let child = started(folder.path());
    let mut worker = Vec::new();
    for _ in 0..2000 {
        worker = children_of(child.id());
        if !worker.is_empty() {
            break;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    assert_eq!(worker.len(), 1, "one worker was asked for");
    let killed = std::process::Command::new("kill")
        .args(["-9", &worker[0].to_string()])
        .status()
        .expect("kill is there");
    assert!(killed.success());
    let ended = child.wait_with_output().expect("it ends");
    assert_eq!(ended.status.code(), Some(1));
    let said: serde_json::Value = serde_json::from_slice(&ended.stdout).expect("JSON");
    let visits = said["visits"].as_array().expect("a list");
    let lost: Vec<&serde_json::Value> = visits
        .iter()
        .filter(|visit| visit["papers"].as_array().expect("a list").is_empty())
        .collect();
    assert_eq!(lost.len(), 1, "{said}");
    let why = lost[0]["needs"][0].as_str().expect("a reason");
    assert!(why.contains("stopped"), "{why}");
    // and the next run makes up for it
    assert_eq!(day(folder.path(), &["--out", "papers"]).code, 0);
}
