//! What the machine or somebody else does to a day while it runs: a full disk, a folder that vanishes, plans exchanged meanwhile,
//! a pack that cannot be written.
//!
//! Invariant: whatever happened, nothing is there by half, the exit status says so, and the next run ends with the same bytes as
//! a day that nobody disturbed.

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use beforehand::record::Register;

use super::broken_off::{children_of, files};
use super::{DATE, day, folder, put_ready, ready, started};
use crate::support::{Ran, finish, names_in, put};

/// The day in a shell, with commands before it; `$0` is the program.
fn in_shell(folder: &Path, commands: &str) -> Ran {
    let mut shell = Command::new("bash");
    shell
        .args(["-c", commands])
        .arg(env!("CARGO_BIN_EXE_beforehand"))
        .current_dir(folder)
        .stdin(Stdio::null());
    finish(&mut shell)
}

/// The day with no file longer than so many kibibytes: beyond it writing fails.
fn limited(folder: &Path, kibibytes: usize, arguments: &str) -> Ran {
    in_shell(
        folder,
        &format!(
            "trap '' XFSZ; ulimit -c 0; ulimit -f {kibibytes}; exec \"$0\" day . --date {DATE} {arguments}"
        ),
    )
}

/// One error with its chain, and no list of a day that was not made.
fn failed_once(ran: &Ran, said: &[&str]) {
    assert_eq!(ran.code, 2, "{}{}", ran.out, ran.err);
    assert_eq!(ran.err.matches("could not run").count(), 1, "{}", ran.err);
    assert_eq!(ran.out, "");
    for words in said {
        assert!(ran.err.contains(words), "{words}: {}", ran.err);
    }
}

/// Every paper that is there is one of the undisturbed day, is noted, and nothing else is there.
fn nothing_half(out: &Path, whole: &Path) {
    let (wanted, there) = (files(whole), files(out));
    for (name, bytes) in &there {
        assert!(wanted.get(name) == Some(bytes), "{name} is not whole");
    }
    let register = std::fs::read(out.join("register.jsonl")).unwrap_or_default();
    let register = Register::parse(&register);
    assert!(register.unreadable.is_empty(), "{:?}", register.unreadable);
    for name in there.keys().filter(|name| !name.ends_with(".ics")) {
        let mut entries = register.entries.iter();
        assert!(entries.any(|(_, entry)| entry.file == *name), "{name}");
    }
}

/// The next run ends well, with the same bytes as the undisturbed day.
fn mended(folder: &Path) {
    let ran = day(folder, &["--out", "papers"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let (wanted, now) = (files(&folder.join("whole")), files(&folder.join("papers")));
    assert!(!wanted.is_empty());
    assert_eq!(
        now.keys().collect::<Vec<_>>(),
        wanted.keys().collect::<Vec<_>>()
    );
    assert!(now == wanted, "the same bytes");
}

/// A folder with so many plans, and what comes of them when nothing disturbs.
fn undisturbed(count: usize) -> tempfile::TempDir {
    let folder = folder();
    put_ready(folder.path(), count);
    let ran = day(folder.path(), &["--out", "whole"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    folder
}

#[test]
fn a_paper_that_finds_no_room_stops_the_day_once_and_leaves_nothing() {
    let folder = undisturbed(3);
    let ran = limited(folder.path(), 40, "--out papers");
    failed_once(&ran, &["cannot write papers", "too large", "another disk"]);
    let papers = folder.path().join("papers");
    assert_eq!(names_in(&papers), Vec::<String>::new());
    mended(folder.path());
}

#[test]
fn a_register_that_finds_no_room_keeps_what_was_made_before() {
    let folder = undisturbed(3);
    let papers = folder.path().join("papers");
    // no paper is as long; there is room for the lines of one visit and not of two
    let limit = 400;
    let of_one = std::fs::read(folder.path().join("whole/register.jsonl")).expect("a register");
    let of_one = of_one.len() / 3;
    std::fs::create_dir(&papers).expect("a folder");
    let filled = "# filled\n".repeat((limit * 1024 - 2 * of_one) / 9);
    put(&papers, "register.jsonl", &filled);
    let ran = limited(folder.path(), limit, "--out papers --workers 1");
    failed_once(&ran, &["cannot use the register", "it was left as it was"]);
    nothing_half(&papers, &folder.path().join("whole"));
    let made = names_in(&papers);
    assert!(
        made.iter().any(|name| name.starts_with("BV-0-")),
        "{made:?}"
    );
    assert!(
        !made.iter().any(|name| name.starts_with("BV-2-")),
        "{made:?}"
    );
    mended(folder.path());
    let register = std::fs::read_to_string(papers.join("register.jsonl")).expect("a register");
    assert!(register.starts_with(&filled), "what stood there stays");
}

/// A disk of its own that is really full, where the system lets us have one.
#[test]
fn a_full_disk_is_said_once_and_with_room_the_day_goes_on() {
    let folder = undisturbed(3);
    let whole = files(&folder.path().join("whole"));
    let of_one: usize = whole.values().map(Vec::len).sum::<usize>() / 3 / 1024;
    // room for one visit and a half; what is there is carried out before the disk goes with its shell
    let script = format!(
        "mkdir disk && mount -t tmpfs -o size={}k none disk 2>/dev/null || exit 77
\"$0\" day . --date {DATE} --out disk --workers 1 >said 2>&1; echo $? >code
cp -r disk half && mount -o remount,size=64m disk && \"$0\" day . --date {DATE} --out disk >again 2>&1; echo $? >>code
cp -r disk papers",
        of_one + of_one / 2
    );
    put(folder.path(), "script.sh", script);
    let mut shell = Command::new("unshare");
    shell
        .args(["--mount", "--map-root-user", "bash", "-c", ". ./script.sh"])
        .arg(env!("CARGO_BIN_EXE_beforehand"))
        .current_dir(folder.path())
        .stdin(Stdio::null());
    match shell.output() {
        Ok(output) if output.status.success() => {}
        other => {
            // the limits on the size of a file above try the same with another refusal
            eprintln!("skipped: this system gives us no disk of our own: {other:?}");
            return;
        }
    }
    let read = |name: &str| std::fs::read_to_string(folder.path().join(name)).expect("written");
    let said = read("said");
    assert_eq!(read("code"), "2\n0\n", "{said}{}", read("again"));
    assert_eq!(said.matches("could not run").count(), 1, "{said}");
    assert!(said.contains("the disk is full. Make room on it"), "{said}");
    let half = folder.path().join("half");
    nothing_half(&half, &folder.path().join("whole"));
    assert!(
        names_in(&half).iter().any(|name| name.starts_with("BV-0-")),
        "the first visit had room"
    );
    mended(folder.path());
}

fn until(what: &str, mut there: impl FnMut() -> bool) {
    for _ in 0..6000 {
        if there() {
            return;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    panic!("waited in vain: {what}");
}

fn signal(process: u32, name: &str) {
    let sent = Command::new("kill")
        .args([name, &process.to_string()])
        .status()
        .expect("kill is there");
    assert!(sent.success());
}

#[test]
fn a_folder_of_papers_that_vanishes_is_noticed_and_the_next_run_mends_it() {
    let folder = undisturbed(4);
    let papers = folder.path().join("papers");
    let child = started(folder.path());
    let first = || {
        names_in(&papers)
            .iter()
            .any(|name| name.ends_with("calendar.ics"))
    };
    until("the papers of the first visit", first);
    // a file may come while others go
    until("an empty place", || {
        std::fs::remove_dir_all(&papers).is_ok()
    });
    let ended = child.wait_with_output().expect("it ends");
    let (out, err) = (
        String::from_utf8_lossy(&ended.stdout).into_owned(),
        String::from_utf8_lossy(&ended.stderr).into_owned(),
    );
    nothing_half(&papers, &folder.path().join("whole"));
    match ended.status.code() {
        // the folder went between two visits and was made again: those that are gone are named
        Some(1) => {
            let said: serde_json::Value = serde_json::from_str(&out).expect("JSON");
            let visits = said["visits"].as_array().expect("a list");
            let gone = visits
                .iter()
                .filter(|visit| visit["papers"] == serde_json::json!([]));
            let gone: Vec<&str> = gone
                .filter_map(|visit| visit["needs"][0].as_str())
                .collect();
            assert!(!gone.is_empty(), "{out}");
            assert!(gone.iter().all(|why| why.contains("are gone")), "{gone:?}");
            let there = visits
                .iter()
                .flat_map(|visit| visit["papers"].as_array().expect("a list"));
            for paper in there {
                let path = paper["file"].as_str().or(paper.as_str()).expect("a path");
                assert!(folder.path().join(path).exists(), "{path}");
            }
        }
        // it went while a visit was being written
        Some(2) => assert_eq!(err.matches("could not run").count(), 1, "{err}"),
        other => panic!("{other:?}: {out}{err}"),
    }
    mended(folder.path());
}

#[test]
fn a_plan_exchanged_after_the_day_was_looked_through_makes_nothing() {
    let folder = undisturbed(4);
    let child = started(folder.path());
    // the day is looked through before the first worker starts
    let mut worker = Vec::new();
    until("a worker", || {
        worker = children_of(child.id());
        !worker.is_empty()
    });
    signal(worker[0], "-STOP");
    let exchanged = [
        (
            "plan-0001.toml",
            ready(1).replace("units = 50", "units = 40"),
        ),
        ("plan-0002.toml", ready(99)),
        ("plan-0003.toml", ready(3)[..200].to_owned()),
    ];
    for (name, text) in &exchanged {
        put(folder.path(), name, text);
    }
    signal(worker[0], "-CONT");
    let ended = child.wait_with_output().expect("it ends");
    assert_eq!(ended.status.code(), Some(1));
    let said: serde_json::Value = serde_json::from_slice(&ended.stdout).expect("JSON");
    let visits = said["visits"].as_array().expect("a list");
    let papers = |visit: &serde_json::Value| visit["papers"].as_array().expect("a list").len();
    assert!(papers(&visits[0]) > 0, "{said}");
    for visit in &visits[1..] {
        assert_eq!(papers(visit), 0, "{visit}");
        let why = visit["needs"][0].as_str().expect("a reason");
        assert!(why.contains("changed meanwhile"), "{why}");
    }
    let out = folder.path().join("papers");
    nothing_half(&out, &folder.path().join("whole"));
    assert!(names_in(&out).iter().all(|name| !name.starts_with("BV-99")));
    // with the plans as they were, the day comes to its end
    put_ready(folder.path(), 4);
    mended(folder.path());
}

#[test]
fn a_pack_that_cannot_be_written_leaves_the_papers_and_the_older_pack() {
    let folder = undisturbed(6);
    let at = |name: &str| folder.path().join(name);
    let packed = |name: &str| day(folder.path(), &["--out", "papers", "--pack", name]);
    assert_eq!(packed("pack.pdf").code, 0);
    let older = std::fs::read(at("pack.pdf")).expect("a pack");

    // a folder of that name, a file where its folder should be, no room
    std::fs::create_dir(at("folder")).expect("a folder");
    put(folder.path(), "file", "somebody's");
    failed_once(
        &packed("folder"),
        &["cannot write folder", "a folder of that name"],
    );
    failed_once(
        &packed("file/pack.pdf"),
        &["cannot make the folder file", "already there"],
    );
    let longest = files(&at("papers")).values().map(Vec::len).max();
    let limit = longest.expect("papers") / 1024 + 2;
    assert!(
        older.len() > limit * 1024,
        "papers have room and the pack has none"
    );
    let ran = limited(folder.path(), limit, "--out papers --pack pack.pdf");
    failed_once(&ran, &["cannot write pack.pdf", "too large"]);

    assert!(std::fs::read(at("pack.pdf")).expect("a pack") == older);
    assert_eq!(std::fs::read(at("file")).expect("a file"), b"somebody's");
    let names = names_in(folder.path());
    assert!(
        !names.iter().any(|name| name.starts_with(".tmp")),
        "{names:?}"
    );
    nothing_half(&at("papers"), &at("whole"));
    mended(folder.path());
    std::fs::remove_file(at("pack.pdf")).expect("it was there");
    assert_eq!(packed("pack.pdf").code, 0);
    assert!(std::fs::read(at("pack.pdf")).expect("a pack") == older);
}
