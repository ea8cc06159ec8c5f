//! `make` and the disk: whole papers or none, other people's papers left alone, one plan's trouble kept to itself.

use crate::support::{Plan, desk, finish, names_in, program, put, run};

/// What a plan under no stop leaves in a folder, as names sort; beside these there is the register.
const FILES: [&str; 8] = [
    AFTERCARE_PAGE,
    AFTERCARE,
    CALENDAR,
    CLINICIAN,
    CONSENT,
    EVIDENCE,
    INFORMATION_PAGE,
    INFORMATION,
];
const REGISTER: &str = "register.jsonl";
const AFTERCARE_PAGE: &str = "INV-1-2026-12-03-aftercare.html";
const AFTERCARE: &str = "INV-1-2026-12-03-aftercare.pdf";
const CALENDAR: &str = "INV-1-2026-12-03-calendar.ics";
const CLINICIAN: &str = "INV-1-2026-12-03-clinician.pdf";
const CONSENT: &str = "INV-1-2026-12-03-consent.pdf";
const EVIDENCE: &str = "INV-1-2026-12-03-evidence.pdf";
const INFORMATION_PAGE: &str = "INV-1-2026-12-03-information.html";
const INFORMATION: &str = "INV-1-2026-12-03-information.pdf";

fn with_register() -> Vec<&'static str> {
    FILES.into_iter().chain([REGISTER]).collect()
}

fn stopped() -> Plan {
    Plan {
        area: "id = \"zygomaticus\"\nside = \"both\"".to_owned(),
        ..Plan::default()
    }
}

#[test]
fn only_writes_the_papers_that_were_asked_for() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    let ran = run(
        desk.path(),
        &[
            "make",
            "plan.toml",
            "--only",
            "aftercare,clinician",
            "--out",
            "a/b/papers",
        ],
    );
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(
        names_in(&desk.path().join("a/b/papers")),
        [AFTERCARE_PAGE, AFTERCARE, CLINICIAN, REGISTER]
    );
}

#[test]
fn only_does_not_open_a_way_round_a_stop() {
    let desk = desk();
    let mixed = Plan {
        facts: "pregnant = true".to_owned(),
        area: format!(
            "{}\n[[area]]\nid = \"zygomaticus\"\nside = \"both\"",
            Plan::default().area
        ),
        ..Plan::default()
    };
    put(desk.path(), "plan.toml", mixed.toml());
    for only in [
        "consent",
        "aftercare",
        "calendar",
        "consent,aftercare,calendar",
    ] {
        let ran = run(
            desk.path(),
            &["make", "plan.toml", "--only", only, "--out", "papers"],
        );
        assert_eq!(ran.code, 1, "{}", ran.out);
        assert_eq!(
            names_in(&desk.path().join("papers")),
            Vec::<String>::new(),
            "{only}"
        );
    }
}

#[test]
fn a_bad_plan_does_not_hold_up_a_good_one() {
    let desk = desk();
    put(
        desk.path(),
        "bad.toml",
        Plan::default().toml().replace("masseter", "maseter"),
    );
    put(desk.path(), "good.toml", Plan::default().toml());
    let ran = run(
        desk.path(),
        &["make", "bad.toml", "good.toml", "--out", "papers"],
    );
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(
        ran.err.contains("bad.toml") && ran.err.contains("Did you mean `masseter`?"),
        "{}",
        ran.err
    );
    assert_eq!(names_in(&desk.path().join("papers")), with_register());
    let ran = run(
        desk.path(),
        &[
            "make",
            "missing.toml",
            "bad.toml",
            "good.toml",
            "--out",
            "again",
        ],
    );
    assert_eq!(ran.code, 2, "the worst counts");
    assert_eq!(names_in(&desk.path().join("again")), with_register());
}

#[test]
fn a_file_in_place_of_the_folder_ends_with_2_and_is_left_as_it_is() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    put(desk.path(), "papers", "somebody's file");
    for out in ["papers", "papers/below", "/dev/null/papers"] {
        let ran = run(desk.path(), &["make", "plan.toml", "--out", out]);
        assert_eq!(ran.code, 2, "{out}: {}", ran.out);
        assert!(ran.err.contains(out), "{out}: {}", ran.err);
        assert!(!ran.out.contains("wrote"), "{out}: {}", ran.out);
    }
    assert_eq!(
        std::fs::read_to_string(desk.path().join("papers")).expect("still there"),
        "somebody's file"
    );
    assert_eq!(
        names_in(desk.path()),
        ["clinic.toml", "papers", "plan.toml"]
    );
}

#[test]
fn a_folder_that_may_not_be_written_ends_with_2() {
    use std::os::unix::fs::PermissionsExt;
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    let out = desk.path().join("locked");
    std::fs::create_dir(&out).expect("a temporary folder");
    std::fs::set_permissions(&out, PermissionsExt::from_mode(0o555)).expect("our own folder");
    if std::fs::write(out.join("probe"), "").is_ok() {
        eprintln!("skipped: this user may write anywhere");
        return;
    }
    let ran = run(desk.path(), &["make", "plan.toml", "--out", "locked"]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(ran.err.contains("locked"), "{}", ran.err);
    assert_eq!(names_in(&out), Vec::<String>::new());
}

/// A folder where one of the papers belongs, so that this one cannot be written.
fn blocked(at: &str) -> tempfile::TempDir {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    std::fs::create_dir_all(desk.path().join("papers").join(at)).expect("a temporary folder");
    desk
}

#[test]
fn no_temporary_file_is_left_when_a_paper_cannot_be_written() {
    for at in FILES {
        let desk = blocked(at);
        let ran = run(desk.path(), &["make", "plan.toml", "--out", "papers"]);
        assert_eq!(ran.code, 2, "{}", ran.out);
        assert!(ran.err.contains(at), "{}", ran.err);
        for name in names_in(&desk.path().join("papers")) {
            assert!(FILES.contains(&name.as_str()), "{name} was left behind");
        }
    }
}

#[test]
fn papers_of_one_visit_are_never_of_two_versions() {
    // when one file cannot be replaced, the others must not be newer than it
    let desk = desk();
    let papers = desk.path().join("papers");
    put(
        desk.path(),
        "plan.toml",
        Plan {
            aim: "the first aim".to_owned(),
            ..Plan::default()
        }
        .toml(),
    );
    assert_eq!(
        run(desk.path(), &["make", "plan.toml", "--out", "papers"]).code,
        0
    );
    std::fs::remove_file(papers.join(CALENDAR)).expect("it was written");
    std::fs::create_dir(papers.join(CALENDAR)).expect("a temporary folder");
    let before: Vec<_> = [AFTERCARE, CLINICIAN, CONSENT, EVIDENCE]
        .iter()
        .map(|name| std::fs::read(papers.join(name)).expect("a paper"))
        .collect();

    put(
        desk.path(),
        "plan.toml",
        Plan {
            aim: "the second aim".to_owned(),
            ..Plan::default()
        }
        .toml(),
    );
    assert_eq!(
        run(desk.path(), &["make", "plan.toml", "--out", "papers"]).code,
        2
    );
    let after: Vec<_> = [AFTERCARE, CLINICIAN, CONSENT, EVIDENCE]
        .iter()
        .map(|name| std::fs::read(papers.join(name)).expect("a paper"))
        .collect();
    assert!(
        before == after,
        "papers are of the second plan, the calendar is not"
    );
}

#[test]
fn a_plan_whose_papers_cannot_be_written_does_not_hold_up_the_next() {
    let desk = blocked(CONSENT);
    put(
        desk.path(),
        "next.toml",
        Plan {
            record: "INV-2".to_owned(),
            ..Plan::default()
        }
        .toml(),
    );
    let ran = run(
        desk.path(),
        &["make", "plan.toml", "next.toml", "--out", "papers"],
    );
    assert_eq!(ran.code, 2, "{}", ran.out);
    let next: Vec<String> = names_in(&desk.path().join("papers"))
        .into_iter()
        .filter(|name| name.starts_with("INV-2"))
        .collect();
    assert_eq!(
        next.len(),
        FILES.len(),
        "the second plan was not worked on: {}",
        ran.err
    );
}

#[test]
fn a_run_under_a_stop_leaves_earlier_papers_for_the_patient_untouched() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    assert_eq!(
        run(desk.path(), &["make", "plan.toml", "--out", "papers"]).code,
        0
    );
    let read = |name: &str| {
        let path = desk.path().join("papers").join(name);
        let changed = path
            .metadata()
            .and_then(|m| m.modified())
            .expect("it is there");
        (std::fs::read(&path).expect("it is there"), changed)
    };
    let calendar = read(CALENDAR);
    let (consent, aftercare, clinician) = (read(CONSENT), read(AFTERCARE), read(CLINICIAN));

    put(desk.path(), "plan.toml", stopped().toml());
    let ran = run(desk.path(), &["make", "plan.toml", "--out", "papers"]);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    assert!(
        ran.out.contains("No papers for the patient were written"),
        "{}",
        ran.out
    );
    assert!(
        read(CONSENT) == consent && read(AFTERCARE) == aftercare && read(CALENDAR) == calendar,
        "a paper for the patient was touched"
    );
    assert!(
        read(CLINICIAN).0 != clinician.0,
        "the practitioner's sheet must show the stop"
    );
}

#[test]
fn a_second_run_replaces_the_papers_with_the_new_plans() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    run(desk.path(), &["make", "plan.toml"]);
    let before = std::fs::read(desk.path().join(CONSENT)).expect("a paper");
    put(
        desk.path(),
        "plan.toml",
        Plan {
            aim: "a jaw that rests at night".to_owned(),
            ..Plan::default()
        }
        .toml(),
    );
    assert_eq!(run(desk.path(), &["make", "plan.toml"]).code, 0);
    assert!(std::fs::read(desk.path().join(CONSENT)).expect("a paper") != before);
    assert_eq!(names_in(desk.path()).len(), 2 + with_register().len());
}

#[test]
fn another_patients_papers_of_an_earlier_run_are_never_replaced() {
    let plan = Plan::default();
    let others = [
        Plan::named("Somebody Else (invented)"),
        Plan {
            born: "1984-02-12".to_owned(),
            ..Plan::default()
        },
    ];
    for other in others {
        let desk = desk();
        put(desk.path(), "plan.toml", plan.toml());
        put(desk.path(), "other.toml", other.toml());
        let make = |arguments: &[&str]| run(desk.path(), &[&["make"], arguments].concat());
        assert_eq!(make(&["plan.toml", "--out", "papers"]).code, 0);
        let papers = desk.path().join("papers");
        let held = |name: &str| std::fs::read(papers.join(name)).expect("it is there");
        let before = with_register().into_iter().map(held).collect::<Vec<_>>();
        // one paper, or all, or papers that are not there yet: nothing is written beside somebody else's
        for more in [&[][..], &["--only", "calendar"], &["--large-print"]] {
            let ran = make(&[&["other.toml", "--out", "papers"], more].concat());
            assert_eq!((ran.code, ran.out.as_str()), (1, ""), "{more:?}");
            for said in [
                "another name or date of birth",
                AFTERCARE_PAGE,
                "record number",
                "--out",
            ] {
                assert!(ran.err.contains(said), "{said}: {}", ran.err);
            }
            assert!(!ran.err.contains("Somebody"), "{}", ran.err);
            assert_eq!(names_in(&papers), with_register());
            assert!(
                with_register()
                    .into_iter()
                    .map(held)
                    .eq(before.iter().cloned())
            );
        }
        // the ways out
        assert_eq!(make(&["other.toml", "--out", "theirs"]).code, 0);
        put(
            desk.path(),
            "renumbered.toml",
            other.toml().replace("INV-1", "INV-2"),
        );
        assert_eq!(make(&["renumbered.toml", "--out", "papers"]).code, 0);
        // the same patient's papers are replaced as ever
        assert_eq!(make(&["plan.toml", "--out", "papers"]).code, 0);
        for name in FILES {
            std::fs::remove_file(papers.join(name)).expect("it was there");
        }
        assert_eq!(make(&["other.toml", "--out", "papers"]).code, 0);
    }
}

#[test]
fn two_patients_never_share_a_file_name() {
    // records that differ only in what a file name cannot hold
    for (one, other) in [
        ("12/3", "12-3"),
        ("12 3", "12-3"),
        ("Ж7", "Я7"),
        ("٤٢", "٤٣"),
    ] {
        let desk = desk();
        let plan = |name: &str, record: &str| Plan {
            record: record.to_owned(),
            ..Plan::named(name)
        };
        put(
            desk.path(),
            "one.toml",
            plan("Thea Quillfeather (invented)", one).toml(),
        );
        put(
            desk.path(),
            "other.toml",
            plan("Otto Brambling (invented)", other).toml(),
        );
        let ran = run(
            desk.path(),
            &["make", "one.toml", "other.toml", "--out", "papers"],
        );
        let written = names_in(&desk.path().join("papers"));
        assert!(
            written.len() == 2 * FILES.len() + 1 || ran.code != 0,
            "{one} and {other}: one patient's papers were replaced by the other's without a word: {written:?}"
        );
    }
}

#[test]
fn a_record_number_cannot_lead_out_of_the_folder() {
    for record in [
        "../../escape",
        "/tmp/escape",
        "..",
        "a\\b",
        "C:x",
        "-rf",
        "CON",
    ] {
        let desk = desk();
        put(
            desk.path(),
            "plan.toml",
            Plan {
                record: record.to_owned(),
                ..Plan::default()
            }
            .toml(),
        );
        let ran = run(desk.path(), &["make", "plan.toml", "--out", "deep/papers"]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{record}");
        assert_eq!(
            names_in(&desk.path().join("deep/papers")).len(),
            with_register().len(),
            "{record}"
        );
        assert_eq!(
            names_in(desk.path()),
            ["clinic.toml", "deep", "plan.toml"],
            "{record}"
        );
        assert_eq!(names_in(&desk.path().join("deep")), ["papers"], "{record}");
    }
}

#[test]
fn a_clinic_can_name_its_files_in_its_own_way() {
    let text = crate::support::clinic().replace(
        "[clinic]\n",
        "[clinic]\nfile_names = \"{date} {paper} {record}\"\n",
    );
    let desk = crate::support::desk_of(&text);
    put(desk.path(), "plan.toml", Plan::default().toml());
    assert_eq!(run(desk.path(), &["make", "plan.toml"]).code, 0);
    let names = names_in(desk.path());
    for paper in ["aftercare", "clinician", "consent", "evidence"] {
        let wanted = format!("2026-12-03 {paper} INV-1.pdf");
        assert!(names.contains(&wanted), "{wanted}: {names:?}");
    }
}

/// What the system refuses is said in a sentence with something to do, never by the system's own number.
#[test]
fn a_refusal_of_the_system_says_what_to_do() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    put(desk.path(), "taken", "somebody's file");
    std::fs::create_dir(desk.path().join("folder")).expect("a temporary folder");
    std::fs::create_dir(desk.path().join("blocked")).expect("a temporary folder");
    put(desk.path(), "approvals.toml", "");
    let with_fonts = ["check", "plan.toml", "--fonts", "nowhere"];
    let long = "x".repeat(300);
    let cases: &[(&[&str], &str)] = &[
        (
            &["make", "missing.toml"],
            "there is no such file or folder. Check the name",
        ),
        (
            &["check", "missing.toml"],
            "there is no such file or folder. Check the name",
        ),
        (&["make", "plan.toml", "--out", "taken"], ". "),
        (
            &["make", "plan.toml", "--out", "taken/below"],
            "a file, not a folder. Check the path",
        ),
        (
            &["make", "plan.toml", "--out", &long],
            "takes no such name. Use a shorter name",
        ),
        (
            &with_fonts,
            "there is no such file or folder. Check the name",
        ),
        (
            &["trace", "missing.pdf"],
            "there is no such file or folder. Check the name",
        ),
        (
            &[
                "trace",
                "--code",
                "8ZJM-TYW6-09EC",
                "--register",
                "none.jsonl",
            ],
            "Check the name",
        ),
        (&["areas", "--clinic", "missing.toml"], "Check the name"),
        (
            &["new", "--out", "taken"],
            "already there. Name another one",
        ),
        (
            &["wording", "status", "--clinic", "missing.toml"],
            "Check the name",
        ),
        (&["wording", "export", "--out", "taken/below"], ". "),
        (
            &["schema", "plan", "--clinic", "missing.toml"],
            "Check the name",
        ),
    ];
    for (arguments, wanted) in cases {
        let ran = run(desk.path(), arguments);
        assert_eq!(ran.code, 2, "{arguments:?}: {}{}", ran.out, ran.err);
        let said = format!("{}{}", ran.out, ran.err);
        assert!(!said.contains("os error"), "{arguments:?}: {said}");
        assert!(said.contains(wanted), "{arguments:?}: {said}");
        assert!(
            ran.err.trim_end().ends_with('.'),
            "{arguments:?}: {}",
            ran.err
        );
    }
}

#[test]
fn a_full_disk_says_that_it_is_full() {
    let Ok(full) = std::fs::OpenOptions::new().write(true).open("/dev/full") else {
        eprintln!("skipped: this system has no /dev/full");
        return;
    };
    let ran = finish(program(desk().path()).arg("areas").stdout(full));
    assert_eq!(ran.code, 2);
    assert!(
        ran.err.contains("the disk is full. Make room"),
        "{}",
        ran.err
    );
}
