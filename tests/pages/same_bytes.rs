//! Turns the same plan into papers again and again, in other processes, threads and surroundings, and compares every byte.
//!
//! Invariant: what is compared are whole PDF files.
//! Must not: compare with files of an earlier version; only with itself.

use std::path::Path;
use std::process::Command;

use crate::support::{
    Plan, clinic, desk, finish, has_tool, laid_out, names_in, program, put, root, run,
};
use beforehand::paper::PaperKind;
use beforehand::typeset::Typesetter;

fn pdfs(plan: &str) -> Vec<Vec<u8>> {
    laid_out(plan, &Typesetter::embedded(), |papers| {
        papers
            .papers
            .iter()
            .map(|made| made.pages.pdf().expect("a good plan"))
            .collect()
    })
}

/// The papers, as names sort.
fn pdfs_in(folder: &Path) -> Vec<Vec<u8>> {
    let papers = made_in(folder, |name| name.ends_with(".pdf"));
    assert_eq!(papers.len(), PaperKind::ALL.len(), "{:?}", names_in(folder));
    papers
}

/// Everything that was made from a plan: the papers, and whatever else goes with them.
fn all_in(folder: &Path) -> Vec<Vec<u8>> {
    let all = made_in(folder, |name| name.starts_with("INV-1-"));
    assert!(all.len() > 4, "{:?}", names_in(folder));
    all
}

fn made_in(folder: &Path, wanted: impl Fn(&str) -> bool) -> Vec<Vec<u8>> {
    let names = names_in(folder);
    let read = |name: &String| std::fs::read(folder.join(name)).expect("it was listed");
    names.iter().filter(|name| wanted(name)).map(read).collect()
}

fn other_plan() -> String {
    Plan {
        area: "id = \"platysma\"\nside = \"both\"\nunits = 30".to_owned(),
        ..Plan::named("Otto Brambling (invented)")
    }
    .toml()
}

#[test]
fn twice_in_one_process() {
    let plan = Plan::default().toml();
    let first = pdfs(&plan);
    assert_eq!(first.len(), PaperKind::ALL.len());
    // what was made in between must leave no trace
    let between = pdfs(&other_plan());
    assert!(first.iter().all(|paper| !between.contains(paper)));
    assert!(first == pdfs(&plan), "the second time differs");
}

#[test]
fn on_four_threads_at_once() {
    let plans = [Plan::default().toml(), other_plan()];
    let alone: Vec<_> = plans.iter().map(|plan| pdfs(plan)).collect();
    std::thread::scope(|scope| {
        let at_once: Vec<_> = (0..4)
            .map(|n| {
                (
                    n % 2,
                    scope.spawn({
                        let plan = &plans[n % 2];
                        move || pdfs(plan)
                    }),
                )
            })
            .collect();
        for (which, thread) in at_once {
            assert!(
                thread.join().expect("no thread panics") == alone[which],
                "a thread's papers differ"
            );
        }
    });
}

#[test]
fn in_two_processes_from_different_folders() {
    let (one, two) = (desk(), desk());
    let deep = two.path().join("another folder");
    std::fs::create_dir(&deep).expect("a temporary folder");
    put(one.path(), "plan.toml", Plan::default().toml());
    put(&deep, "a-different-name.toml", Plan::default().toml());
    put(&deep, "clinic.toml", clinic());
    assert_eq!(run(one.path(), &["make", "plan.toml"]).code, 0);
    assert_eq!(
        run(
            two.path(),
            &[
                "make",
                "another folder/a-different-name.toml",
                "--out",
                "papers"
            ]
        )
        .code,
        0
    );
    assert!(all_in(one.path()) == all_in(&two.path().join("papers")));
}

#[test]
fn the_first_and_the_last_of_many_plans_are_the_same() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    put(
        desk.path(),
        "other.toml",
        Plan {
            record: "INV-2".to_owned(),
            ..Plan::default()
        }
        .toml(),
    );
    put(
        desk.path(),
        "third.toml",
        Plan {
            record: "INV-3".to_owned(),
            ..Plan::default()
        }
        .toml(),
    );
    assert_eq!(
        run(desk.path(), &["make", "plan.toml", "--out", "first"]).code,
        0
    );
    assert_eq!(
        run(
            desk.path(),
            &[
                "make",
                "other.toml",
                "third.toml",
                "plan.toml",
                "--out",
                "last"
            ]
        )
        .code,
        0
    );
    for name in names_in(&desk.path().join("first")) {
        // the register has a line for every paper of its folder, and the folders differ in that
        if name == "register.jsonl" {
            continue;
        }
        let read = |folder: &str| {
            std::fs::read(desk.path().join(folder).join(&name)).expect("both were written")
        };
        assert!(read("first") == read("last"), "{name}");
    }
}

#[test]
fn the_library_and_the_program_make_the_same() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    assert_eq!(run(desk.path(), &["make", "plan.toml"]).code, 0);
    let mut by_library = pdfs(&Plan::default().toml());
    let mut written = pdfs_in(desk.path());
    by_library.sort();
    written.sort();
    assert!(by_library == written);
}

#[test]
fn another_plan_gives_other_bytes() {
    let same = pdfs(&Plan::default().toml());
    for other in [
        Plan {
            date: "2026-12-04".to_owned(),
            ..Plan::default()
        },
        Plan {
            record: "INV-2".to_owned(),
            ..Plan::default()
        },
        Plan::named("Thea Quillfeather (invented) II"),
    ] {
        let papers = pdfs(&other.toml());
        for (one, two) in same.iter().zip(&papers) {
            assert!(one != two);
        }
    }
}

#[test]
fn clock_zone_language_and_home_of_the_machine_change_nothing() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    assert_eq!(
        run(desk.path(), &["make", "plan.toml", "--out", "as-it-is"]).code,
        0
    );
    let here = all_in(&desk.path().join("as-it-is"));
    for (out, surroundings) in [
        ("epoch", vec![("SOURCE_DATE_EPOCH", "1")]),
        (
            "later",
            vec![
                ("SOURCE_DATE_EPOCH", "4102444800"),
                ("TZ", "Pacific/Kiritimati"),
            ],
        ),
        ("zone", vec![("TZ", "America/Adak")]),
        (
            "language",
            vec![
                ("LANG", "tr_TR.UTF-8"),
                ("LC_ALL", "tr_TR.UTF-8"),
                ("LANGUAGE", "tr"),
            ],
        ),
        (
            "home",
            vec![
                ("HOME", "/nowhere"),
                ("USER", "somebody-else"),
                ("XDG_DATA_HOME", "/nowhere"),
                ("TMPDIR", "/nowhere"),
            ],
        ),
        (
            "typst",
            vec![
                ("TYPST_FONT_PATHS", "/usr/share/fonts"),
                ("TYPST_PACKAGE_PATH", "/nowhere"),
                ("RUST_LOG", "trace"),
            ],
        ),
    ] {
        let ran = finish(
            program(desk.path())
                .args(["make", "plan.toml", "--out", out])
                .envs(surroundings),
        );
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{out}");
        assert!(all_in(&desk.path().join(out)) == here, "{out}");
    }
    let bare =
        finish(
            program(desk.path())
                .env_clear()
                .args(["make", "plan.toml", "--out", "bare"]),
        );
    assert_eq!((bare.code, bare.err.as_str()), (0, ""));
    assert!(
        all_in(&desk.path().join("bare")) == here,
        "without any environment"
    );
}

/// The PDF with nothing compressed, so that it can be searched; `None` when qpdf is not here.
fn unpacked(folder: &Path, name: &str) -> Option<Vec<u8>> {
    if !has_tool("qpdf") {
        return None;
    }
    let open = folder.join(format!("{name}.open"));
    let status = Command::new("qpdf")
        .args(["--qdf", "--object-streams=disable"])
        .args([folder.join(name), open.clone()])
        .status()
        .expect("qpdf runs");
    assert!(status.success(), "qpdf finds fault with {name}");
    Some(std::fs::read(open).expect("qpdf wrote it"))
}

fn holds(bytes: &[u8], wanted: &str) -> bool {
    bytes
        .windows(wanted.len())
        .any(|window| window == wanted.as_bytes())
}

#[test]
fn no_path_of_the_machine_stands_in_a_paper() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    assert_eq!(
        run(desk.path(), &["make", "plan.toml", "--out", "papers"]).code,
        0
    );
    let papers = desk.path().join("papers");
    let temporary = desk.path().to_str().expect("UTF-8");
    // a home directory of "/" would be in every file
    let home = std::env::var("HOME").ok().filter(|home| home.len() > 1);
    let home = home.as_deref().unwrap_or(temporary);
    for name in names_in(&papers) {
        let mut forms = vec![std::fs::read(papers.join(&name)).expect("it was listed")];
        if name.ends_with(".pdf")
            && let Some(open) = unpacked(&papers, &name)
        {
            // what is looked for would be found: the title is there in plain letters
            assert!(holds(&open, "/Title"), "{name} was not opened up");
            forms.push(open);
        }
        for bytes in forms {
            for path in [
                temporary,
                root().to_str().expect("UTF-8"),
                home,
                "plan.toml",
                ".typ",
                ".cargo",
                "data.json",
            ] {
                assert!(!holds(&bytes, path), "{name} holds {path}");
            }
        }
    }
}

#[test]
fn every_date_in_the_papers_own_data_comes_from_the_plan() {
    let desk = desk();
    put(
        desk.path(),
        "plan.toml",
        Plan {
            date: "2031-05-06".to_owned(),
            ..Plan::default()
        }
        .toml()
        .replace("2026-12-19", "2031-06-01"),
    );
    let ran = run(desk.path(), &["make", "plan.toml", "--out", "papers"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let papers = desk.path().join("papers");
    for name in names_in(&papers) {
        if !name.ends_with(".pdf") {
            continue;
        }
        let Some(bytes) = unpacked(&papers, &name) else {
            return;
        };
        let text = String::from_utf8_lossy(&bytes);
        let mut dates = Vec::new();
        // `(D:20310506…)` in the information dictionary, `<xmp:CreateDate>2031-05-06…` in the metadata
        for mark in ["(D:", "CreateDate>", "ModifyDate>", "MetadataDate>"] {
            for (at, _) in text.match_indices(mark) {
                let date: String = text[at + mark.len()..]
                    .chars()
                    .filter(char::is_ascii_digit)
                    .take(8)
                    .collect();
                if !text[at + mark.len()..].starts_with('<') && !text[..at].ends_with("</xmp:") {
                    dates.push(date);
                }
            }
        }
        assert!(!dates.is_empty(), "{name} carries no date");
        // the information was given on 2026-11-26, before the visit
        assert!(
            dates
                .iter()
                .all(|date| date == "20310506" || date == "20261126"),
            "{name}: {dates:?}"
        );
    }
}

#[test]
fn no_socket_is_opened_and_no_font_of_the_machine_is_read() {
    if !has_tool("strace") {
        return;
    }
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    let log = desk.path().join("calls");
    let status = Command::new("strace")
        .args(["-f", "-qq", "-e", "trace=%network,%file", "-o"])
        .arg(&log)
        .arg(env!("CARGO_BIN_EXE_beforehand"))
        .args(["make", "plan.toml"])
        .current_dir(desk.path())
        .output()
        .expect("strace was found")
        .status;
    let calls = std::fs::read_to_string(&log).unwrap_or_default();
    if !calls.contains("plan.toml") {
        let in_ci = std::env::var("CI").as_deref() == Ok("true");
        assert!(!in_ci, "strace may not watch processes here ({status})");
        eprintln!("skipped: strace may not watch processes here ({status})");
        return;
    }
    assert!(status.success());
    for line in calls.lines() {
        for forbidden in [
            "socket(",
            "connect(",
            "sendto(",
            "/fonts/",
            "fontconfig",
            "resolv.conf",
        ] {
            assert!(!line.contains(forbidden), "{line}");
        }
    }
}
