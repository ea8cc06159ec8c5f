//! Who approved which words decides whether a paper can be signed, as a practice would try it.
//!
//! Must not: approve anything in the repository itself; every clinic here lives in a temporary folder.

use std::path::Path;
use std::process::{Command, Output};

use beforehand::papers::{Inputs, MakeOptions};
use beforehand::wording::{Approvals, Standing, Wording, library};

const PLAN: &str = "[patient]\nname = \"X (invented)\"\nborn = 1980-01-01\nrecord = \"R-1\"\n[visit]\ndate = 2026-12-03\n\
                    informed_on = 2026-11-20\npractitioner = \"p\"\n[product]\nname = \"onabotulinumtoxinA\"\n\
                    [[area]]\nid = \"mentalis\"\nunits = 6\n";

fn clinic(extra: &str) -> String {
    format!(
        "[clinic]\nname = \"Invented\"\naddress = [\"Nowhere\"]\nphone = \"555 0101\"\nphone_out_of_hours = \"555 0102\"\n\
         region = \"GB-ENG\"\nlanguage = \"en\"\n{extra}\n\
         [[practitioner]]\nid = \"p\"\nname = \"P (invented)\"\nrole = \"doctor\"\nregistration = \"0\"\n"
    )
}

fn desk(extra: &str) -> tempfile::TempDir {
    let desk = tempfile::tempdir().expect("a temporary folder");
    std::fs::write(desk.path().join("clinic.toml"), clinic(extra)).expect("written");
    std::fs::write(desk.path().join("plan.toml"), PLAN).expect("written");
    desk
}

fn run(desk: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_beforehand"))
        .args(arguments)
        .current_dir(desk)
        .output()
        .expect("the program starts")
}

fn approve(desk: &Path, statements: &[&str]) -> Output {
    let mut arguments = vec![
        "wording",
        "approve",
        "--by",
        "Dr A. Example (invented)",
        "--registration",
        "INVENTED-9",
        "--on",
        "2026-11-01",
    ];
    arguments.extend(statements);
    run(desk, &arguments)
}

/// The text of each page of a paper, as the library lays it out from the files of a desk.
fn pages(desk: &Path, paper: &str) -> Vec<String> {
    use beforehand::catalogue::Catalogue;
    use beforehand::diagnose::SourceFile;
    let vocabulary = beforehand::papers::vocabulary(Catalogue::embedded());
    let clinic = SourceFile::open(desk.join("clinic.toml")).expect("a clinic file");
    let clinic = beforehand::plan::read_clinic(&clinic, &vocabulary).expect("a good clinic");
    let plan = SourceFile::open(desk.join("plan.toml")).expect("a plan file");
    let visit =
        beforehand::plan::read_plan(&plan, &vocabulary, Some(&clinic)).expect("a good plan");
    let approvals: Approvals = match std::fs::read_to_string(desk.join("approvals.toml")) {
        Ok(text) => toml::from_str(&text).expect("approvals"),
        Err(_) => Approvals::none(),
    };
    let typesetter = beforehand::typeset::Typesetter::embedded();
    let papers = beforehand::papers::make(
        Inputs {
            catalogue: Catalogue::embedded(),
            clinic: &clinic,
            visit: &visit,
            approvals: &approvals,
            typesetter: &typesetter,
        },
        &MakeOptions::default(),
    )
    .expect("papers");
    let made = papers
        .papers
        .iter()
        .find(|made| made.kind.as_str() == paper)
        .expect("the paper");
    made.pages
        .texts()
        .iter()
        .map(|text| text.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect()
}

#[test]
fn what_nobody_approved_is_marked_on_every_page_and_cannot_be_signed() {
    let desk = desk("");
    for paper in ["consent", "aftercare"] {
        let pages = pages(desk.path(), paper);
        assert!(
            pages
                .iter()
                .all(|page| page.contains("Draft. Nobody has approved it.")),
            "{paper}"
        );
    }
    let consent = pages(desk.path(), "consent").join("\n");
    assert!(consent.contains("There is no place to sign here."));
    for signing in ["Name in print", ", initials", "Copy given to"] {
        assert!(!consent.contains(signing), "{signing} is still there");
    }
    assert_eq!(
        run(desk.path(), &["make", "plan.toml"]).status.code(),
        Some(0)
    );
}

#[test]
fn for_training_there_is_room_to_sign_and_a_mark_that_says_so() {
    let desk = desk("allow_unapproved = \"training\"");
    for paper in ["consent", "aftercare"] {
        let pages = pages(desk.path(), paper);
        assert!(
            pages.iter().all(|page| page.contains("Not for patients.")),
            "{paper}"
        );
    }
    let consent = pages(desk.path(), "consent").join("\n");
    for signing in ["Name in print", ", initials", "Copy given to"] {
        assert!(consent.contains(signing), "{signing} is missing");
    }
    assert!(!consent.contains("There is no place to sign here."));
}

#[test]
fn approved_words_print_without_a_mark_and_can_be_signed() {
    let desk = desk("");
    let ran = approve(desk.path(), &[]);
    assert_eq!(
        ran.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    for paper in ["consent", "aftercare"] {
        let text = pages(desk.path(), paper).join("\n");
        assert!(
            !text.contains("Draft. Nobody") && !text.contains("Not for patients"),
            "{paper}"
        );
    }
    assert!(
        pages(desk.path(), "consent")
            .join("\n")
            .contains("Name in print")
    );
    let status = run(desk.path(), &["wording", "status"]);
    assert_eq!(status.status.code(), Some(0));
    assert!(String::from_utf8_lossy(&status.stdout).contains("never approved: 0"));
}

#[test]
fn approving_some_statements_leaves_the_others_unapproved() {
    let desk = desk("");
    assert_eq!(
        approve(desk.path(), &["mentalis.can", "mentalis.cannot"])
            .status
            .code(),
        Some(0)
    );
    let status = run(desk.path(), &["wording", "status"]);
    let said = String::from_utf8_lossy(&status.stdout).into_owned();
    assert_eq!(status.status.code(), Some(1));
    assert!(said.contains("approved: 2\n"), "{said}");
    assert!(
        pages(desk.path(), "consent")
            .iter()
            .all(|page| page.contains("Draft. Nobody has approved it."))
    );
}

#[test]
fn a_changed_statement_is_unapproved_again_and_only_it() {
    let desk = desk("");
    assert_eq!(approve(desk.path(), &[]).status.code(), Some(0));
    let text = std::fs::read_to_string(desk.path().join("approvals.toml")).expect("approvals");
    let approvals: Approvals = toml::from_str(&text).expect("approvals");
    let mut statements = library::statements("en").expect("English");
    statements.extend(library::statements("en-GB").expect("Britain"));
    statements.insert("mentalis.can".to_owned(), "Other words.".to_owned());
    let wording = Wording::from_statements("en-GB", statements).expect("a wording");
    let not: Vec<&String> = wording
        .statements()
        .keys()
        .filter(|id| !matches!(approvals.standing(&wording, id), Standing::Approved(_)))
        .collect();
    assert_eq!(not, ["mentalis.can"]);
    assert!(
        matches!(approvals.standing(&wording, "mentalis.can"), Standing::Changed(by) if by.registration == "INVENTED-9")
    );
    // the approval of one country says nothing about another
    let us = Wording::new(&"en".parse().expect("a tag"), "US").expect("a wording");
    assert_eq!(approvals.standing(&us, "mentalis.can"), Standing::Never);
}

#[test]
fn a_list_that_was_changed_by_hand_is_not_trusted_blindly() {
    let desk = desk("");
    assert_eq!(approve(desk.path(), &[]).status.code(), Some(0));
    let path = desk.path().join("approvals.toml");
    let text = std::fs::read_to_string(&path).expect("approvals");
    std::fs::write(
        &path,
        text.replacen("language = \"en-GB\"", "langauge = \"en-GB\"", 1),
    )
    .expect("written");
    let ran = run(desk.path(), &["make", "plan.toml"]);
    assert_eq!(ran.status.code(), Some(2));
    assert!(
        String::from_utf8_lossy(&ran.stderr).contains("approvals.toml is not a list of approvals")
    );
    assert!(!desk.path().join("R-1-2026-12-03-consent.pdf").exists());
}

#[test]
fn approving_needs_a_name_a_number_a_day_and_known_statements() {
    let desk = desk("");
    for arguments in [
        vec!["wording", "approve"],
        vec![
            "wording",
            "approve",
            "--by",
            "A",
            "--registration",
            "1",
            "--on",
            "2026-02-30",
        ],
        vec![
            "wording",
            "approve",
            "--by",
            " ",
            "--registration",
            "1",
            "--on",
            "2026-02-03",
        ],
    ] {
        assert_eq!(
            run(desk.path(), &arguments).status.code(),
            Some(2),
            "{arguments:?}"
        );
    }
    let ran = approve(desk.path(), &["mentalis.kan"]);
    assert_eq!(ran.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&ran.stderr).contains("mentalis.can"));
    assert!(!desk.path().join("approvals.toml").exists());
}
