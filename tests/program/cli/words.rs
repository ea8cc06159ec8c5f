//! Help, and the three exit codes: 0 fine, 1 something the user must settle, 2 could not run.

use crate::support::{Plan, clinic, desk, names_in, put, run};

#[test]
fn the_help_of_every_command_has_an_example_that_names_the_command() {
    let desk = desk();
    let general = run(desk.path(), &["--help"]);
    assert_eq!((general.code, general.err.as_str()), (0, ""));
    assert!(
        general.out.contains("Example") && general.out.contains("\n  beforehand make "),
        "{}",
        general.out
    );
    let (_, list) = general
        .out
        .split_once("\nCommands:\n")
        .expect("a list of commands");
    let commands: Vec<&str> = list
        .lines()
        .take_while(|line| line.starts_with("  "))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|command| *command != "help")
        .collect();
    for command in ["make", "check", "areas", "new"] {
        assert!(commands.contains(&command), "{}", general.out);
    }
    for command in commands {
        for ask in [vec![command, "--help"], vec!["help", command]] {
            let ran = run(desk.path(), &ask);
            assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{ask:?}");
            assert!(ran.out.contains("Example"), "{}", ran.out);
            assert!(
                ran.out.contains(&format!("\n  beforehand {command} ")),
                "{}",
                ran.out
            );
        }
    }
}

#[test]
fn the_help_says_what_the_exit_codes_mean() {
    let help = run(desk().path(), &["--help"]).out;
    assert!(
        help.contains("0 fine; 1 something you must settle; 2 could not run"),
        "{help}"
    );
}

#[test]
fn a_fine_plan_ends_with_0() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    for command in ["make", "check"] {
        let ran = run(desk.path(), &[command, "plan.toml"]);
        assert_eq!(
            (ran.code, ran.err.as_str()),
            (0, ""),
            "{command}: {}",
            ran.out
        );
    }
}

#[test]
fn a_mistake_in_a_file_ends_with_1_and_is_shown_with_its_place() {
    let desk = desk();
    put(
        desk.path(),
        "plan.toml",
        Plan::default().toml().replace("units = 50", "units = -50"),
    );
    for command in ["make", "check"] {
        let ran = run(desk.path(), &[command, "plan.toml"]);
        assert_eq!(ran.code, 1, "{command}: {}", ran.err);
        assert!(ran.err.contains("plan.toml:20:9"), "{}", ran.err);
        assert_eq!(names_in(desk.path()), ["clinic.toml", "plan.toml"]);
    }
}

#[test]
fn mistakes_of_plan_and_clinic_are_shown_together() {
    let desk = desk();
    put(
        desk.path(),
        "clinic.toml",
        clinic().replace("GB-ENG", "GB-EMG"),
    );
    put(
        desk.path(),
        "plan.toml",
        Plan::default()
            .toml()
            .replace("units = 50", "units = \"many\""),
    );
    let ran = run(desk.path(), &["make", "plan.toml"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("clinic.toml:6:") && ran.err.contains("plan.toml:20:"),
        "{}",
        ran.err
    );
    assert!(ran.err.contains("Did you mean `GB-ENG`?"), "{}", ran.err);
    assert!(ran.err.contains("2 mistakes"), "{}", ran.err);
}

#[test]
fn files_that_cannot_be_worked_on_are_told_apart() {
    let desk = desk();
    std::fs::create_dir(desk.path().join("folder.toml")).expect("a temporary folder");
    put(desk.path(), "empty.toml", "");
    put(
        desk.path(),
        "latin1.toml",
        b"[patient]\nname = \"Zo\xeb\"\n",
    );
    put(desk.path(), "big.toml", vec![b'#'; 50 * 1024 * 1024]);
    put(desk.path(), "plan.docx", "x");
    for name in [
        "folder.toml",
        "empty.toml",
        "latin1.toml",
        "big.toml",
        "plan.docx",
        "missing.toml",
    ] {
        let ran = run(desk.path(), &["make", name]);
        // a file that is not there could not be worked on; one that is there but no plan is the user's to settle
        let wanted: &[i32] = match name {
            "missing.toml" => &[2],
            "empty.toml" | "latin1.toml" => &[1],
            _ => &[1, 2],
        };
        assert!(
            wanted.contains(&ran.code),
            "{name}: {} {}",
            ran.code,
            ran.err
        );
        assert!(ran.err.contains(name), "{name}: {}", ran.err);
        assert_eq!(ran.out, "", "{name}");
    }
}

#[test]
fn a_missing_clinic_file_ends_with_2_and_says_where_it_belongs() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    put(folder.path(), "plan.toml", Plan::default().toml());
    let ran = run(folder.path(), &["make", "plan.toml"]);
    assert_eq!(ran.code, 2);
    assert!(
        ran.err.contains("clinic.toml") && ran.err.contains("--clinic"),
        "{}",
        ran.err
    );
    let ran = run(
        folder.path(),
        &["make", "plan.toml", "--clinic", "nowhere.toml"],
    );
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("nowhere.toml"), "{}", ran.err);
}

#[test]
fn a_clinic_file_may_lie_elsewhere() {
    let (desk, other) = (desk(), tempfile::tempdir().expect("a temporary folder"));
    put(other.path(), "plan.toml", Plan::default().toml());
    let clinic = desk.path().join("clinic.toml");
    let ran = run(
        other.path(),
        &[
            "make",
            "plan.toml",
            "--clinic",
            clinic.to_str().expect("UTF-8"),
        ],
    );
    assert_eq!(ran.code, 0, "{}", ran.err);
    // the plan, five papers, two of them as pages too, the calendar and the register
    assert_eq!(names_in(other.path()).len(), 10);
}

#[test]
fn a_command_line_that_makes_no_sense_ends_with_2() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    for wrong in [
        vec![],
        vec!["make"],
        vec!["mkae", "plan.toml"],
        vec!["make", "plan.toml", "--only", "receipt"],
        vec!["make", "plan.toml", "--colour"],
        vec!["check", "plan.toml", "--format", "xml"],
        vec!["areas", "masseter", "mentalis"],
    ] {
        let ran = run(desk.path(), &wrong);
        assert_eq!(ran.code, 2, "{wrong:?}");
        assert!(ran.out.is_empty() && !ran.err.is_empty(), "{wrong:?}");
    }
    assert_eq!(names_in(desk.path()), ["clinic.toml", "plan.toml"]);
}
