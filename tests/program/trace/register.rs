//! The register: nothing lost and nothing half, with two programs at once, after a crash, and on a full disk.

use std::collections::{BTreeMap, BTreeSet};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::Command;

use beforehand::record::{Appender, Entry, Record, Register};

use super::{CONSENT, lines, made, trace};
use crate::support::{Plan, desk, names_in, program, put, run};

const FILE: &str = "BEFOREHAND_TEST_REGISTER";
const WHO: &str = "BEFOREHAND_TEST_WHO";

/// A small entry; words of its own so that lines differ in length.
fn entry(number: usize, who: &str) -> Entry {
    let record: Record = serde_json::from_value(serde_json::json!({
        "beforehand-record": 1, "program": "0.1.0", "paper": "consent", "region": "GB-ENG",
        "wording": { "version": "1", "language": "en-GB", "digest": "0" },
        "catalogue": "0", "plan": format!("{number}"), "content": "0", "made-on": "2026-11-26", "statements": {},
    }))
    .expect("a record");
    let words = "word ".repeat(number % 7 + 1) + who;
    Entry {
        code: record.code().to_string(),
        paper: "consent".to_owned(),
        file: format!("{who}-{number}.pdf"),
        sha256: beforehand::domain::digest::sha256(who.as_bytes()),
        made_on: "2026-11-26".to_owned(),
        made_from: None,
        record,
        words: BTreeMap::from([(beforehand::wording::library::digest(&words), words)]),
    }
}

#[test]
#[ignore = "run by `two_processes_at_once_lose_nothing`, in processes of their own"]
fn append_fifty() {
    let (path, who) = (
        std::env::var(FILE).expect("a register"),
        std::env::var(WHO).expect("a name"),
    );
    for number in 0..50 {
        Appender::new(Path::new(&path))
            .append(&[entry(number, &who)])
            .expect("appended");
    }
}

#[test]
fn two_processes_at_once_lose_nothing() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("register.jsonl");
    let children: Vec<_> = ["one", "other"]
        .into_iter()
        .map(|who| {
            Command::new(std::env::current_exe().expect("this test"))
                .args(["trace::register::append_fifty", "--exact", "--ignored"])
                .env(FILE, &path)
                .env(WHO, who)
                .stdout(std::process::Stdio::null())
                .spawn()
                .expect("this test runs again")
        })
        .collect();
    for mut child in children {
        assert!(child.wait().expect("it ends").success());
    }
    let files: BTreeSet<String> = lines(&path)
        .iter()
        .map(|line| line["file"].as_str().expect("a file").to_owned())
        .collect();
    assert_eq!((files.len(), lines(&path).len()), (100, 100));
}

#[test]
fn two_runs_of_make_at_once_note_all_papers() {
    let desk = desk();
    let mut plans: [Vec<String>; 2] = Default::default();
    for n in 0..6 {
        let name = format!("plan-{n}.toml");
        let plan = Plan {
            record: format!("INV-{n}"),
            ..Plan::default()
        };
        put(desk.path(), &name, plan.toml());
        plans[n % 2].push(name);
    }
    let children: Vec<_> = plans
        .iter()
        .map(|plans| {
            program(desk.path())
                .arg("make")
                .args(plans)
                .args(["--out", "papers"])
                .stdout(std::process::Stdio::null())
                .spawn()
                .expect("it was built")
        })
        .collect();
    for mut child in children {
        assert!(child.wait().expect("it ends").success());
    }
    let noted: BTreeSet<String> = lines(&desk.path().join("papers/register.jsonl"))
        .iter()
        .map(|line| line["file"].as_str().expect("a file").to_owned())
        .collect();
    let written: BTreeSet<String> = names_in(&desk.path().join("papers"))
        .into_iter()
        .filter(|name| name.ends_with(".pdf") || name.ends_with(".html"))
        .collect();
    assert_eq!((noted.len(), &noted), (42, &written));
}

#[test]
fn a_line_cut_off_anywhere_is_set_aside_and_nothing_else_is_lost() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("register.jsonl");
    Appender::new(&path)
        .append(&[entry(1, "a"), entry(2, "b")])
        .expect("appended");
    let two = std::fs::read(&path).expect("a register");
    let begin = two.iter().position(|byte| *byte == b'\n').expect("a line") + 1;
    for end in begin + 1..two.len() {
        let half = &two[begin..end];
        std::fs::write(&path, &two[..end]).expect("our own folder");
        // reading passes over the half line
        let seen = Register::open(&path).expect("it reads");
        let whole = end == two.len() - 1;
        assert_eq!(seen.entries.len(), 1 + usize::from(whole), "cut at {end}");
        assert!(seen.unreadable.is_empty());

        Appender::new(&path)
            .append(&[entry(3, "c")])
            .expect("appended");
        let after = std::fs::read(&path).expect("a register");
        assert!(after.starts_with(&two[..begin]), "cut at {end}");
        let text = String::from_utf8_lossy(&after[begin..]).into_owned();
        let (second, third) = text.split_once('\n').expect("two lines");
        if whole {
            assert_eq!(second.as_bytes(), half, "only the line's end was missing");
        } else {
            assert!(second.starts_with("# "), "{second}");
            assert!(second.as_bytes().ends_with(half), "{second}");
        }
        let third: serde_json::Value = serde_json::from_str(third).expect("a whole line");
        assert_eq!(third["file"], "c-3.pdf");
        assert!(after.ends_with(b"\n"));
    }
}

/// Runs a command under a limit on the size of files, in kibibytes: beyond it writing fails, or ends the program.
fn limited(desk: &Path, kibibytes: usize, dies: bool, arguments: &str) -> std::process::Output {
    let trap = if dies { "" } else { "trap '' XFSZ; " };
    Command::new("bash")
        .args([
            "-c",
            &format!("{trap}ulimit -c 0; ulimit -f {kibibytes}; exec \"$0\" {arguments}"),
        ])
        .arg(env!("CARGO_BIN_EXE_beforehand"))
        .current_dir(desk)
        .output()
        .expect("bash runs")
}

/// A register that leaves room for a few hundred bytes below a limit well above the size of a paper.
fn nearly_full(desk: &Path, kibibytes: usize) -> Vec<u8> {
    let mut text = "# filled\n".repeat(kibibytes * 1024 / 9 - 60).into_bytes();
    let first = serde_json::to_string(&entry(1, "first")).expect("an entry");
    text.splice(0..0, format!("{first}\n").into_bytes());
    let room = (kibibytes * 1024).checked_sub(text.len()).expect("room");
    // the first write goes through in part
    assert!(room > 10 && room < 2000, "{room}");
    put(desk, "register.jsonl", &text);
    text
}

#[test]
fn a_full_disk_leaves_the_register_and_the_papers_as_they_were() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    let limit = 600;
    for half in ["", "{\"code\":\"half a line"] {
        let mut before = nearly_full(desk.path(), limit);
        before.extend(half.as_bytes());
        put(desk.path(), "register.jsonl", &before);
        let arguments = "make plan.toml --out papers --register register.jsonl";
        let ran = limited(desk.path(), limit, false, arguments);
        let said = String::from_utf8_lossy(&ran.stderr).into_owned();
        assert_eq!(ran.status.code(), Some(2), "{said}");
        assert!(said.contains("it was left as it was"), "{said}");
        assert!(said.contains("register.jsonl"), "{said}");
        let after = std::fs::read(desk.path().join("register.jsonl")).expect("a register");
        assert!(after == before, "the register changed");
        assert_eq!(names_in(&desk.path().join("papers")), Vec::<String>::new());
    }
    // with room it goes through, and the half line is set aside
    let ran = run(
        desk.path(),
        &[
            "make",
            "plan.toml",
            "--out",
            "papers",
            "--register",
            "register.jsonl",
        ],
    );
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert_eq!(lines(&desk.path().join("register.jsonl")).len(), 1 + 7);
}

#[test]
fn a_program_killed_while_it_writes_costs_no_earlier_line() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    let limit = 600;
    let before = nearly_full(desk.path(), limit);
    let arguments = "make plan.toml --out papers --register register.jsonl";
    let ran = limited(desk.path(), limit, true, arguments);
    assert_eq!(ran.status.code(), None, "the limit ends the program");
    let crashed = std::fs::read(desk.path().join("register.jsonl")).expect("a register");
    assert!(crashed.starts_with(&before));
    assert!(crashed.len() > before.len() && !crashed.ends_with(b"\n"));
    assert!(!names_in(&desk.path().join("papers")).contains(&CONSENT.to_owned()));

    let ran = run(
        desk.path(),
        &[
            "make",
            "plan.toml",
            "--out",
            "papers",
            "--register",
            "register.jsonl",
        ],
    );
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let register = desk.path().join("register.jsonl");
    assert_eq!(lines(&register).len(), 1 + 7);
    let text = std::fs::read_to_string(&register).expect("a register");
    let half = String::from_utf8_lossy(&crashed[before.len()..]).into_owned();
    assert!(
        text.lines()
            .any(|line| line.starts_with("# ") && line.ends_with(&half))
    );
    let (code, report) = trace(
        desk.path(),
        &[&format!("papers/{CONSENT}"), "--register", "register.jsonl"],
    );
    assert_eq!((code, &report["bytes"]), (0, &"as-made".into()));
}

#[test]
fn what_cannot_be_a_register_is_refused_and_no_paper_is_written() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    std::fs::create_dir(desk.path().join("folder")).expect("a temporary folder");
    put(desk.path(), "file", "somebody's file");
    for register in [
        "folder",
        "/dev/full",
        "/dev/zero",
        "nowhere/register.jsonl",
        "file/x",
    ] {
        let ran = run(
            desk.path(),
            &[
                "make",
                "plan.toml",
                "--out",
                "papers",
                "--register",
                register,
            ],
        );
        assert_eq!(ran.code, 2, "{register}: {}", ran.out);
        assert!(ran.err.contains(register), "{register}: {}", ran.err);
        assert!(!ran.out.contains("wrote"), "{register}: {}", ran.out);
        let left = names_in(&desk.path().join("papers"));
        assert_eq!(left, Vec::<String>::new(), "{register}");
        let asked = run(
            desk.path(),
            &["trace", "--code", "8ZJM-TYW6-09EC", "--register", register],
        );
        assert_eq!(asked.code, 2, "{register}: {}", asked.out);
    }
}

#[test]
fn a_register_that_may_not_be_written_stops_the_papers() {
    let desk = made();
    let path = desk.path().join("papers/register.jsonl");
    std::fs::set_permissions(&path, PermissionsExt::from_mode(0o400)).expect("our own file");
    if std::fs::OpenOptions::new().append(true).open(&path).is_ok() {
        eprintln!("skipped: this user may write anywhere");
        return;
    }
    let before = std::fs::read(desk.path().join("papers").join(CONSENT)).expect("a paper");
    put(
        desk.path(),
        "plan.toml",
        Plan {
            aim: "fewer quibbles (invented)".to_owned(),
            ..Plan::default()
        }
        .toml(),
    );
    let ran = run(desk.path(), &["make", "plan.toml", "--out", "papers"]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(before == std::fs::read(desk.path().join("papers").join(CONSENT)).expect("a paper"));
}

#[test]
fn the_same_papers_again_add_no_line_and_others_do() {
    let desk = made();
    let path = desk.path().join("papers/register.jsonl");
    let mode = path.metadata().expect("a register").permissions().mode();
    assert_eq!(mode & 0o777, 0o600);
    let first = std::fs::read(&path).expect("a register");
    assert_eq!(lines(&path).len(), 7);
    assert_eq!(
        run(desk.path(), &["make", "plan.toml", "--out", "papers"]).code,
        0
    );
    assert!(
        first == std::fs::read(&path).expect("a register"),
        "lines were added"
    );

    put(
        desk.path(),
        "plan.toml",
        Plan {
            aim: "fewer quibbles (invented)".to_owned(),
            ..Plan::default()
        }
        .toml(),
    );
    assert_eq!(
        run(desk.path(), &["make", "plan.toml", "--out", "papers"]).code,
        0
    );
    let second = std::fs::read(&path).expect("a register");
    assert!(second.starts_with(&first), "earlier lines were touched");
    let all = lines(&path);
    assert_eq!(all.len(), 14);
    // words stand once
    assert!(
        all[0]["words"]
            .as_object()
            .is_some_and(|words| words.len() > 40)
    );
    assert!(all[4].get("words").is_none(), "{}", all[4]);
    // and no name
    let text = String::from_utf8(second).expect("UTF-8");
    for name in ["Thea", "Quillfeather", "quibbles", "1984"] {
        assert!(!text.contains(name), "{name}");
    }
}

#[test]
fn the_register_may_lie_elsewhere_and_a_calendar_alone_needs_none() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    let make = |arguments: &[&str]| {
        let mut all = vec!["make", "plan.toml"];
        all.extend(arguments);
        let ran = run(desk.path(), &all);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{arguments:?}");
    };
    make(&["--out", "papers", "--register", "all.jsonl"]);
    assert!(!names_in(&desk.path().join("papers")).contains(&"register.jsonl".to_owned()));
    assert_eq!(lines(&desk.path().join("all.jsonl")).len(), 7);
    make(&["--out", "one", "--only", "consent"]);
    assert_eq!(
        names_in(&desk.path().join("one")),
        [CONSENT, "register.jsonl"]
    );
    make(&["--out", "none", "--only", "calendar"]);
    assert_eq!(names_in(&desk.path().join("none")).len(), 1);
    let paper = format!("papers/{CONSENT}");
    let (code, report) = trace(desk.path(), &[&paper, "--register", "all.jsonl"]);
    assert_eq!((code, &report["bytes"]), (0, &"as-made".into()));
}

#[test]
fn a_misread_code_is_refused_and_the_right_one_offered_only_when_there_is_no_doubt() {
    let desk = made();
    let papers = desk.path().join("papers");
    let codes: Vec<String> = lines(&papers.join("register.jsonl"))
        .iter()
        .map(|line| line["code"].as_str().expect("a code").to_owned())
        .collect();
    for code in &codes {
        let last = code.chars().next_back().expect("a sign");
        let other = if last == 'A' { 'B' } else { 'A' };
        let misread = format!("{}{other}", &code[..code.len() - 1]);
        let ran = run(&papers, &["trace", "--code", &misread]);
        assert_eq!((ran.code, ran.err.as_str()), (1, ""));
        assert!(ran.out.contains("a check on the others"), "{}", ran.out);
        assert!(
            ran.out.contains(&format!("Did you mean {code}?")),
            "{}",
            ran.out
        );
        // without a register it is refused all the same
        let ran = run(desk.path(), &["trace", "--code", &misread]);
        assert_eq!(ran.code, 1, "{}", ran.err);
        assert!(!ran.out.contains("Did you mean"), "{}", ran.out);
    }
    // no paper has this code, and none is near
    let (code, report) = trace(&papers, &["--code", "8zjm tyw6 o9ec"]);
    assert_eq!(code, 1);
    let problem = report["problem"].as_str().expect("a problem");
    assert!(problem.contains("no paper of this code"), "{problem}");
    let ran = run(&papers, &["trace", "--code", "8ZJM-TYW6-09ED"]);
    assert!(!ran.out.contains("Did you mean"), "{}", ran.out);
    // a whole code, but no register to look in
    let ran = run(desk.path(), &["trace", "--code", &codes[0]]);
    assert_eq!(ran.code, 2, "{}", ran.out);

    // two codes one slip away: neither is put forward
    let near = |number: u64| beforehand::record::DocumentCode::numbered(number);
    let (one, two) = (0..40)
        .flat_map(|n| (n + 1..40).map(move |m| (n, m)))
        .filter_map(|(n, m)| Some((near(n)?, near(m)?)))
        .find(|(one, two)| two.is_one_slip_from(&slip(&one.to_string())))
        .expect("such a pair");
    let mut entries = [entry(1, "a"), entry(2, "b")];
    entries[0].code = one.to_string();
    entries[1].code = two.to_string();
    Appender::new(&papers.join("two.jsonl"))
        .append(&entries)
        .expect("appended");
    let misread = slip(&one.to_string());
    let ran = run(
        &papers,
        &["trace", "--code", &misread, "--register", "two.jsonl"],
    );
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(!ran.out.contains("Did you mean"), "{misread}: {}", ran.out);
}

/// A code with its eleventh sign misread.
fn slip(code: &str) -> String {
    let mut signs: Vec<char> = code.chars().collect();
    let at = signs.len() - 2;
    signs[at] = if signs[at] == 'Z' { 'Y' } else { 'Z' };
    signs.into_iter().collect()
}

#[test]
fn damaged_lines_are_told_and_the_others_still_count() {
    let desk = made();
    let path = desk.path().join("papers/register.jsonl");
    let text = std::fs::read_to_string(&path).expect("a register");
    std::fs::write(&path, format!("not a line of ours\n# a remark\n\n{text}"))
        .expect("our own folder");
    let (code, report) = trace(desk.path(), &[&format!("papers/{CONSENT}")]);
    assert_eq!((code, &report["bytes"]), (0, &"as-made".into()));
    assert_eq!(report["unreadable_lines"], serde_json::json!([1]));
    // an altered record no longer fits its code
    let shown = report["code"].as_str().expect("a code").to_owned();
    std::fs::write(
        &path,
        text.replace("\"region\":\"GB-ENG\"", "\"region\":\"GB-SCT\""),
    )
    .expect("our own folder");
    let (code, report) = trace(&desk.path().join("papers"), &["--code", &shown]);
    assert_eq!(code, 1);
    let problem = report["problem"].as_str().expect("a problem");
    assert!(problem.contains("was altered"), "{problem}");
}

#[test]
fn the_same_papers_have_the_same_register_in_any_folder() {
    let (one, two) = (made(), made());
    put(two.path(), "other-name.toml", Plan::default().toml());
    let ran = run(
        two.path(),
        &["make", "other-name.toml", "--out", "another folder"],
    );
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let read = |path: std::path::PathBuf| std::fs::read(path).expect("a register");
    let first = read(one.path().join("papers/register.jsonl"));
    assert!(first == read(two.path().join("papers/register.jsonl")));
    assert!(first == read(two.path().join("another folder/register.jsonl")));
}
