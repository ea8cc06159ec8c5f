//! Which language each paper is in: the patient's for the patient, the practice's for the practice, and never another one.
//!
//! Invariant: needs no second complete language: stand-in words, told apart by a mark behind each sentence, serve for one.
//! Must not: judge a translation.

use crate::support::wording::statements;
use crate::support::{self, ClinicFile, Plan, desk, in_words, make, names_in, paper, put, run};
use beforehand::compose::Block;
use beforehand::compose::document::ListStyle;
use beforehand::paper::PaperKind;
use beforehand::papers::{MakeOptions, Paper, Papers};
use beforehand::plan::{Clinic, Visit};
use beforehand::typeset::Typesetter;
use beforehand::wording::{Approvals, Wording, serves};

/// Stands behind every sentence of the stand-in language.
const MARK: &str = "qqq";

fn clinic(training: bool) -> Clinic {
    let training = match training {
        true => "allow_unapproved = \"training\"",
        false => "",
    };
    ClinicFile {
        time_zone: "America/New_York".to_owned(),
        more: training.to_owned(),
        ..ClinicFile::at("US")
    }
    .read()
}

/// A visit of a patient who reads Spanish.
fn visit(clinic: &Clinic) -> Visit {
    let plan = Plan {
        facts: "speaks_publicly = true".to_owned(),
        area: "id = \"glabella\"\nunits = 20".to_owned(),
        rest: "[[area]]\nid = \"orbicularis-oris\"\nunits = 4\n".to_owned(),
        ..Plan::when("date = 2026-12-03\ntime = 14:30\ninformed_on = 2026-11-01")
    };
    let mut visit = plan.read(clinic);
    visit.patient.language = Some("es-MX".parse().expect("a tag"));
    visit
}

/// English with a mark behind every sentence, as if it were the Spanish of the United States.
fn stand_in() -> Wording {
    let mut statements = statements("en-US");
    for (id, text) in &mut statements {
        // these are put inside other sentences, where a mark of their own would be counted twice
        if !id.starts_with("term.") && !id.starts_with("phrase.") {
            text.push(' ');
            text.push_str(MARK);
        }
    }
    Wording::from_statements("es-US", statements).expect("the stand-in is whole")
}

fn made<R>(training: bool, look: impl FnOnce(&Papers<'_>) -> R) -> R {
    made_with_copy(training, None, look)
}

/// The same with reading copies in another language.
fn made_with_copy<R>(
    training: bool,
    staff_copy: Option<&str>,
    look: impl FnOnce(&Papers<'_>) -> R,
) -> R {
    let clinic = clinic(training);
    let visit = visit(&clinic);
    let typesetter = Typesetter::embedded();
    let staff_copy = staff_copy.map(|tag| tag.parse().expect("a tag"));
    let options = MakeOptions {
        staff_copy,
        ..in_words(stand_in())
    };
    let papers = make(&clinic, &visit, &Approvals::none(), &typesetter, &options).expect("papers");
    look(&papers)
}

/// The composed paper as text, without the record that it carries for programs.
fn said(made: &Paper) -> String {
    let mut document = made.document.clone();
    document.record.clear();
    serde_json::to_string(&document).expect("plain data")
}

#[test]
fn the_patient_gets_papers_in_their_language_and_the_practice_in_its_own() {
    made(true, |papers| {
        assert_eq!(papers.wording.tag(), "es-US");
        assert_eq!(papers.practice.tag(), "en-US");
        for kind in [PaperKind::Consent, PaperKind::Aftercare] {
            let made = paper(papers, kind);
            assert!(said(made).matches(MARK).count() > 50, "{kind:?}");
            assert_eq!(made.document.language, "es-US");
            assert_eq!(made.record.wording.language, "es-US");
            assert!(made.coverage.is_complete(), "{:?}", made.coverage.faults);
        }
        let sheet = paper(papers, PaperKind::CheckSheet);
        assert!(
            !said(sheet).contains(MARK),
            "the sheet has the patient's words"
        );
        assert_eq!(sheet.document.language, "en-US");
        assert_eq!(sheet.record.wording.language, "en-US");
        // it names pages of the patient's papers
        let consent = paper(papers, PaperKind::Consent);
        let (_, place) = consent.coverage.printed.iter().next().expect("printed");
        assert!(place.first_page >= 1);
        let cautions = papers.cautions().expect("worded");
        assert!(!cautions.is_empty(), "the plan raises something");
        for caution in cautions {
            assert!(!format!("{} {}", caution.text, caution.because).contains(MARK));
        }
        let calendar = papers.calendar().expect("worded").expect("not stopped");
        assert!(calendar.contains(MARK) && calendar.contains("//ES"));
    });
}

/// A patient who gets no papers hears why in their own language; the practitioner, who may not speak it, sees both.
#[test]
fn what_is_said_to_a_stopped_patient_is_in_both_languages() {
    let clinic = clinic(true);
    let mut visit = visit(&clinic);
    let allergy = (
        "allergy_to_toxin_or_ingredient".into(),
        beforehand::plan::FactValue::Yes,
    );
    visit.patient.facts.extend([allergy]);
    let typesetter = Typesetter::embedded();
    let options = in_words(stand_in());
    let papers = make(&clinic, &visit, &Approvals::none(), &typesetter, &options).expect("papers");
    let said_to = papers.say_to_patient().expect("worded");
    let [one] = said_to.as_slice() else {
        panic!("one caution stops: {said_to:?}");
    };
    let own = one.practice_text.as_deref().expect("two languages");
    assert_eq!(one.language, "es-US");
    assert_eq!(one.text, format!("{own} {MARK}"));
    let sheet = paper(&papers, PaperKind::CheckSheet);
    assert_eq!(said(sheet).matches(own).count(), 2, "once in each language");
    // tagged as what it is, so that a screen reader does not read it as English
    let runs = &sheet.pages.content().runs;
    let mark = runs.iter().find(|run| run.text.contains(MARK));
    assert_eq!(mark.expect("it is printed").language, "es");
}

#[test]
fn the_check_sheet_names_the_patients_language() {
    if serves(&"es".parse().expect("a tag")).is_none() {
        return;
    }
    made(true, |papers| {
        let sheet = said(paper(papers, PaperKind::CheckSheet));
        assert!(sheet.contains("papers are in Spanish"), "{sheet}");
        assert!(sheet.contains("es-US"));
    });
}

/// Blocks by kind, signing and ticking left out: what a reader goes by when holding two papers side by side.
fn outline(blocks: &[Block], found: &mut Vec<String>) {
    for block in blocks {
        match block {
            Block::Heading { level, text, .. } => {
                let text = text.replace(MARK, "");
                found.push(format!("{level} {}", text.trim().replace("  ", " ")));
            }
            Block::Together { blocks } | Block::Panel { blocks, .. } => outline(blocks, found),
            _ => {}
        }
    }
}

/// Anything that is filled in by hand.
fn blanks(blocks: &[Block]) -> usize {
    blocks
        .iter()
        .map(|block| match block {
            Block::Sign { .. }
            | Block::Lines { .. }
            | Block::Fill { .. }
            | Block::Questions { .. }
            | Block::Diary { .. } => 1,
            Block::List {
                style: ListStyle::Tick,
                ..
            } => 1,
            Block::Together { blocks } | Block::Panel { blocks, .. } => self::blanks(blocks),
            _ => 0,
        })
        .sum()
}

#[test]
fn a_reading_copy_is_the_same_paper_without_a_place_to_sign() {
    for training in [true, false] {
        made_with_copy(training, Some("en"), |papers| {
            assert!(!papers.needs_no_copy);
            assert_eq!(papers.reading_copies().count(), 3);
            for copy in papers.reading_copies() {
                let own = paper(papers, copy.kind);
                assert_eq!(copy.document.paper, format!("{}-staff", own.document.paper));
                assert_eq!(copy.document.language, "en-US");
                assert!(
                    !said(copy).contains(MARK),
                    "the copy has the patient's words"
                );
                assert!(copy.coverage.is_complete(), "{:?}", copy.coverage.faults);
                // same statements in the same order, same headings with the same numbers
                assert_eq!(copy.document.statements(), own.document.statements());
                let (mut ours, mut theirs) = (Vec::new(), Vec::new());
                outline(&copy.document.blocks, &mut ours);
                outline(&own.document.blocks, &mut theirs);
                let has_parts = ours.iter().any(|line| line.starts_with("3 "));
                assert!(has_parts || own.kind != PaperKind::Information);
                // a draft has lost the sections that only had places to sign
                if !training {
                    ours.retain(|line| theirs.contains(line));
                }
                assert_eq!(ours, theirs);
                assert_eq!(blanks(&copy.document.blocks), 0);
                if training {
                    assert!(
                        blanks(&own.document.blocks) > 0,
                        "the copy had nothing to leave out"
                    );
                }
                let notice = copy
                    .document
                    .running_lines
                    .notice
                    .as_deref()
                    .expect("a notice");
                assert!(
                    notice.contains(
                        "Reading copy for the practice. The patient’s copy is in Spanish."
                    ),
                    "{notice}"
                );
                assert!(copy.document.title.contains("reading copy"));
                assert_ne!(copy.record.code(), own.record.code());
                assert_eq!(copy.record.paper, copy.document.paper);
            }
        });
    }
}

#[test]
fn a_reading_copy_in_the_patients_own_language_is_not_made() {
    made_with_copy(true, Some("es-419"), |papers| {
        assert!(papers.needs_no_copy);
        assert_eq!(papers.reading_copies().count(), 0);
    });
}

#[test]
fn no_wording_is_made_in_a_language_that_is_not_there() {
    for tag in ["pt", "pt-BR", "und", "en-Shaw"] {
        let error = Wording::new(&tag.parse().expect("a tag"), "GB")
            .err()
            .unwrap_or_else(|| panic!("{tag} was served"));
        assert!(
            error.to_string().contains("available: en"),
            "{error} does not say what is available"
        );
    }
}

#[test]
fn the_command_line_refuses_other_languages_with_what_is_available() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    for tag in ["pt", "klingonese please", "und"] {
        let ran = run(
            desk.path(),
            &["make", "plan.toml", "--out", "out", "--staff-copy", tag],
        );
        assert_eq!(ran.code, 2, "{tag}: {}", ran.out);
        assert!(ran.err.contains("available: en"), "{tag}: {}", ran.err);
    }
    assert_eq!(names_in(&desk.path().join("out")), Vec::<String>::new());
    let ran = run(desk.path(), &["wording", "status", "--language", "pt"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("available: en"), "{}", ran.err);
}

/// In the plan it is a mistake of the plan, with its place; in the clinic file of the clinic file.
#[test]
fn a_language_that_is_not_there_is_shown_where_it_stands() {
    let desk = desk();
    let plan = Plan {
        facts: "language = \"pt\"".to_owned(),
        ..Plan::default()
    };
    put(desk.path(), "plan.toml", plan.toml());
    let ran = run(desk.path(), &["make", "plan.toml", "--out", "out"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("plan.toml:6:12"), "{}", ran.err);
    assert!(ran.err.contains("Available: `en`"), "{}", ran.err);

    let other = support::clinic().replace("language = \"en\"", "language = \"pt\"");
    put(desk.path(), "clinic.toml", other);
    put(desk.path(), "plan.toml", Plan::default().toml());
    let ran = run(desk.path(), &["make", "plan.toml", "--out", "out"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("clinic.toml:"), "{}", ran.err);
    assert!(ran.err.contains("Available: `en`"), "{}", ran.err);
    assert_eq!(names_in(&desk.path().join("out")), Vec::<String>::new());
}

#[test]
fn a_reading_copy_for_a_patient_who_reads_the_same_language_is_noted_as_needless() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    let ran = run(
        desk.path(),
        &["make", "plan.toml", "--out", "out", "--staff-copy", "en-AU"],
    );
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(ran.out.contains("no reading copy"), "{}", ran.out);
    let written = names_in(&desk.path().join("out"));
    assert!(
        !written.iter().any(|name| name.contains("staff")),
        "{written:?}"
    );
}

/// The whole way, once there is a second language: file names, register, and which words each file has.
#[test]
fn reading_copies_are_written_beside_the_papers_and_noted() {
    if serves(&"es".parse().expect("a tag")).is_none() {
        return;
    }
    let out = tempfile::tempdir().expect("a temporary folder");
    let folder = out.path().to_str().expect("UTF-8");
    let sample = "samples/cedar-hollow/en-espanol.toml";
    let ran = run(
        support::root(),
        &["make", sample, "--out", folder, "--staff-copy", "en"],
    );
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert_eq!(
        names_in(out.path()),
        [
            "CH-3417-2026-12-09-aftercare-staff-en.pdf",
            "CH-3417-2026-12-09-aftercare.html",
            "CH-3417-2026-12-09-aftercare.pdf",
            "CH-3417-2026-12-09-calendar.ics",
            "CH-3417-2026-12-09-clinician.pdf",
            "CH-3417-2026-12-09-consent-staff-en.pdf",
            "CH-3417-2026-12-09-consent.pdf",
            "CH-3417-2026-12-09-evidence.pdf",
            "CH-3417-2026-12-09-information-staff-en.pdf",
            "CH-3417-2026-12-09-information.html",
            "CH-3417-2026-12-09-information.pdf",
            "register.jsonl",
        ]
    );
    let register = std::fs::read_to_string(out.path().join("register.jsonl")).expect("noted");
    let mut codes = std::collections::BTreeSet::new();
    for line in register.lines() {
        let entry: serde_json::Value = serde_json::from_str(line).expect("a line of JSON");
        let language = match entry["paper"].as_str().expect("a paper") {
            "information" | "consent" | "aftercare" => "es-US",
            "clinician" | "evidence" => "en-US",
            "information-staff" | "consent-staff" | "aftercare-staff" => "en-US",
            other => panic!("{other}"),
        };
        assert_eq!(entry["record"]["wording"]["language"], language, "{line}");
        // a page for a telephone is the same paper, with the same code
        let page = entry["file"]
            .as_str()
            .is_some_and(|file| file.ends_with(".html"));
        let code = entry["code"].as_str().expect("a code").to_owned();
        assert!(codes.insert((code, page)));
        let traced = run(
            out.path(),
            &["trace", entry["file"].as_str().expect("a name")],
        );
        assert_eq!(traced.code, 0, "{}{}", traced.out, traced.err);
    }
    assert_eq!(codes.len(), 10);
    let only = tempfile::tempdir().expect("a temporary folder");
    let folder = only.path().to_str().expect("UTF-8");
    let arguments = [
        "make",
        sample,
        "--out",
        folder,
        "--staff-copy",
        "en",
        "--only",
        "consent",
    ];
    assert_eq!(run(support::root(), &arguments).code, 0);
    assert_eq!(
        names_in(only.path()).len(),
        3,
        "{:?}",
        names_in(only.path())
    );
}
