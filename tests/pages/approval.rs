//! Who approved which words decides whether a paper can be signed, as a practice would try it.
//!
//! Must not: approve anything in the repository itself; every clinic here lives in a temporary folder.

use std::path::Path;

use beforehand::paper::PaperKind;
use beforehand::papers::MakeOptions;
use beforehand::typeset::Typesetter;
use beforehand::wording::{Approvals, Standing, Wording};

use crate::support::program::Ran;
use crate::support::visit::{read_clinic, read_visit};
use crate::support::wording::statements;
use crate::support::{ClinicFile, Plan, desk_of, make, paper, put, run};

fn desk(extra: &str) -> tempfile::TempDir {
    let clinic = ClinicFile {
        more: extra.to_owned(),
        ..ClinicFile::default()
    };
    let desk = desk_of(&clinic.toml());
    let plan = Plan {
        record: "R-1".to_owned(),
        area: "id = \"mentalis\"\nunits = 6".to_owned(),
        ..Plan::when("date = 2026-12-03\ninformed_on = 2026-11-20")
    };
    put(desk.path(), "plan.toml", plan.toml());
    desk
}

fn approve(desk: &Path, statements: &[&str]) -> Ran {
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
fn pages(desk: &Path, kind: PaperKind) -> Vec<String> {
    let read = |name: &str| std::fs::read_to_string(desk.join(name));
    let clinic = read_clinic(&read("clinic.toml").expect("a clinic file"));
    let visit = read_visit(&read("plan.toml").expect("a plan file"), &clinic);
    let approvals = match read("approvals.toml") {
        Ok(text) => toml::from_str(&text).expect("approvals"),
        Err(_) => Approvals::none(),
    };
    let typesetter = Typesetter::embedded();
    let papers = make(
        &clinic,
        &visit,
        &approvals,
        &typesetter,
        &MakeOptions::default(),
    )
    .expect("papers");
    paper(&papers, kind)
        .pages
        .texts()
        .iter()
        .map(|text| text.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect()
}

#[test]
fn what_nobody_approved_is_marked_on_every_page_and_cannot_be_signed() {
    let desk = desk("");
    for paper in PaperKind::ALL {
        let pages = pages(desk.path(), paper);
        assert!(
            pages
                .iter()
                .all(|page| page.contains("Draft. Nobody has approved it.")),
            "{paper:?}"
        );
    }
    let consent = pages(desk.path(), PaperKind::Consent).join("\n");
    assert!(consent.contains("There is no place to sign here."));
    for signing in ["Signature", "Initials", "Copy given to"] {
        assert!(!consent.contains(signing), "{signing} is still there");
    }
    assert_eq!(run(desk.path(), &["make", "plan.toml"]).code, 0);
}

#[test]
fn for_training_there_is_room_to_sign_and_a_mark_that_says_so() {
    let desk = desk("allow_unapproved = \"training\"");
    for paper in PaperKind::ALL {
        let pages = pages(desk.path(), paper);
        assert!(
            pages.iter().all(|page| page.contains("Not for patients.")),
            "{paper:?}"
        );
    }
    let consent = pages(desk.path(), PaperKind::Consent).join("\n");
    for signing in ["Signature", "Initials", "Copy given to"] {
        assert!(consent.contains(signing), "{signing} is missing");
    }
    assert!(!consent.contains("There is no place to sign here."));
}

/// Pages that a folder holds apart are found again: the annex says of which sheet it is.
#[test]
fn the_annex_names_the_code_of_its_check_sheet() {
    let desk = desk("");
    let sheet = pages(desk.path(), PaperKind::CheckSheet).join(" ");
    let (_, after) = sheet.split_once(" Code ").expect("a code at the foot");
    let code = after.split(' ').next().expect("a code");
    let annex = pages(desk.path(), PaperKind::Evidence).join(" ");
    let said = format!("This annex belongs to check sheet {code}.");
    assert_eq!((code.len(), annex.contains(&said)), (14, true), "{annex}");
}

#[test]
fn approved_words_print_without_a_mark_and_can_be_signed() {
    let desk = desk("");
    let ran = approve(desk.path(), &[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for paper in PaperKind::ALL {
        let text = pages(desk.path(), paper).join("\n");
        assert!(
            !text.contains("Draft. Nobody") && !text.contains("Not for patients"),
            "{paper:?}"
        );
    }
    assert!(
        pages(desk.path(), PaperKind::Consent)
            .join("\n")
            .contains("Signature")
    );
    let status = run(desk.path(), &["wording", "status"]);
    assert_eq!(status.code, 0);
    assert!(status.out.contains("never approved: 0"));
}

#[test]
fn approving_some_statements_leaves_the_others_unapproved() {
    let desk = desk("");
    let ran = approve(desk.path(), &["mentalis.can", "mentalis.cannot"]);
    assert_eq!(ran.code, 0);
    let status = run(desk.path(), &["wording", "status"]);
    assert_eq!(status.code, 1);
    assert!(status.out.contains("approved: 2\n"), "{}", status.out);
    assert!(
        pages(desk.path(), PaperKind::Consent)
            .iter()
            .all(|page| page.contains("Draft. Nobody has approved it."))
    );
}

#[test]
fn a_changed_statement_is_unapproved_again_and_only_it() {
    let desk = desk("");
    assert_eq!(approve(desk.path(), &[]).code, 0);
    let text = std::fs::read_to_string(desk.path().join("approvals.toml")).expect("approvals");
    let approvals: Approvals = toml::from_str(&text).expect("approvals");
    let mut statements = statements("en-GB");
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
    assert_eq!(approve(desk.path(), &[]).code, 0);
    let path = desk.path().join("approvals.toml");
    let text = std::fs::read_to_string(&path).expect("approvals");
    std::fs::write(
        &path,
        text.replacen("language = \"en-GB\"", "langauge = \"en-GB\"", 1),
    )
    .expect("written");
    let ran = run(desk.path(), &["make", "plan.toml"]);
    assert_eq!(ran.code, 2);
    assert!(
        ran.err
            .contains("approvals.toml is not a list of approvals")
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
        assert_eq!(run(desk.path(), &arguments).code, 2, "{arguments:?}");
    }
    let ran = approve(desk.path(), &["mentalis.kan"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("mentalis.can"));
    assert!(!desk.path().join("approvals.toml").exists());
}
