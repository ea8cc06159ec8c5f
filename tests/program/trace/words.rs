//! A paper made before the wording changed: exactly the changed statements are named, old words beside new ones.

use std::collections::BTreeSet;

use beforehand::paper::PaperKind;
use beforehand::record::{Appender, Entry};
use beforehand::typeset::Typesetter;
use beforehand::wording::library::{self, Statements};
use beforehand::wording::{Approval, Approvals, Wording};

use super::trace;
use crate::support::{ClinicFile, Plan, in_words, laid_out, make, names_in, run, wording};

fn statements() -> Statements {
    wording::statements("en-GB")
}

/// Makes the papers of the standing plan in an older wording and notes them in a register, as the program of that day did.
fn made_in(older: Statements, folder: &std::path::Path) {
    made_approved(older, &Approvals::none(), folder);
}

fn made_approved(older: Statements, approvals: &Approvals, folder: &std::path::Path) {
    let clinic = ClinicFile::default().read();
    let visit = Plan::default().read(&clinic);
    let wording = Wording::from_statements("en-GB", older).expect("a wording");
    let papers = make(
        &clinic,
        &visit,
        approvals,
        &Typesetter::embedded(),
        &in_words(wording),
    )
    .expect("papers");
    for made in &papers.papers {
        let bytes = made.pages.pdf().expect("a PDF");
        let name = format!("{}.pdf", made.kind.as_str());
        std::fs::write(folder.join(&name), &bytes).expect("our own folder");
        let entry = Entry::of(&made.record, &papers.wording, name, &bytes);
        Appender::new(&folder.join("register.jsonl"))
            .append(&[entry])
            .expect("our own folder");
    }
}

fn changed(report: &serde_json::Value) -> BTreeSet<String> {
    let changes = report["today"]["changed"].as_array().expect("a list");
    changes
        .iter()
        .map(|change| change["id"].as_str().expect("an id").to_owned())
        .collect()
}

#[test]
fn exactly_the_changed_statements_are_named_with_old_and_new_words() {
    let today = statements();
    let mut older = today.clone();
    let (risk, general) = ("masseter.risk.bruise", "general.stop-any-time");
    for id in [risk, general] {
        older.insert(id.to_owned(), format!("Older words of {id}."));
    }
    // not in the information of this plan
    older.insert("platysma.can".to_owned(), "Other words.".to_owned());
    let folder = tempfile::tempdir().expect("a temporary folder");
    made_in(older, folder.path());

    let (code, report) = trace(folder.path(), &["information.pdf"]);
    assert_eq!(code, 1);
    assert_eq!(report["bytes"], "as-made", "{report:#}");
    assert_eq!(
        changed(&report),
        BTreeSet::from([risk.to_owned(), general.to_owned()])
    );
    for change in report["today"]["changed"].as_array().expect("a list") {
        let id = change["id"].as_str().expect("an id");
        assert_eq!(change["then"], format!("Older words of {id}."));
        assert_eq!(change["now"], today[id].as_str());
    }
    // the same by the code from the page
    let shown = report["code"].as_str().expect("a code");
    let (code, by_code) = trace(folder.path(), &["--code", shown]);
    assert_eq!((code, changed(&by_code)), (1, changed(&report)));
    // the aftercare sheet has none of them, but other words of the language did change
    let (code, aftercare) = trace(folder.path(), &["aftercare.pdf"]);
    assert_eq!((code, changed(&aftercare)), (0, BTreeSet::new()));
    assert_eq!(aftercare["today"]["other_words_changed"], true);

    let said = run(folder.path(), &["trace", "information.pdf"]);
    assert_eq!((said.code, said.err.as_str()), (1, ""));
    for line in [
        format!("then  Older words of {risk}."),
        format!("then  Older words of {general}."),
    ] {
        assert!(said.out.contains(&line), "{}", said.out);
    }

    // when the register lost those words, it says so and still names the statements
    std::fs::remove_file(folder.path().join("register.jsonl")).expect("it was written");
    let (code, report) = trace(folder.path(), &["information.pdf"]);
    assert_eq!((code, changed(&report).len()), (1, 2));
    assert_eq!(
        report["today"]["changed"][0]["then"],
        serde_json::Value::Null
    );
    let said = run(folder.path(), &["trace", "information.pdf"]);
    assert!(
        said.out.contains("does not have these words"),
        "{}",
        said.out
    );
}

#[test]
fn words_that_do_not_fit_their_digest_are_not_shown_as_old_words() {
    let mut older = statements();
    let id = "masseter.risk.bruise";
    older.insert(id.to_owned(), "What was printed.".to_owned());
    let folder = tempfile::tempdir().expect("a temporary folder");
    made_in(older, folder.path());
    let path = folder.path().join("register.jsonl");
    let text = std::fs::read_to_string(&path).expect("a register");
    assert!(text.contains("What was printed."));
    std::fs::write(
        &path,
        text.replace("What was printed.", "What was not said"),
    )
    .expect("our own folder");
    let (code, report) = trace(folder.path(), &["information.pdf"]);
    assert_eq!(code, 1);
    assert_eq!(report["today"]["changed"][0]["id"], id);
    assert_eq!(
        report["today"]["changed"][0]["then"],
        serde_json::Value::Null
    );
}

#[test]
fn a_term_inside_a_sentence_counts_as_a_change() {
    let mut older = statements();
    let sentence = "Call us when it hurts. {{ term.painkiller }} may help.";
    older.insert("masseter.call".to_owned(), sentence.to_owned());
    let mut newer = older.clone();
    newer.insert("term.painkiller".to_owned(), "another word".to_owned());
    let folder = tempfile::tempdir().expect("a temporary folder");
    made_in(older, folder.path());
    assert_eq!(names_in(folder.path()).len(), 6);
    let pdf = std::fs::read(folder.path().join("aftercare.pdf")).expect("a paper");
    let record = beforehand::record::read(&pdf).expect("a record");
    let newer = Wording::from_statements("en-GB", newer).expect("a wording");
    let ids: Vec<String> = record
        .differences(&newer)
        .into_iter()
        .map(|difference| difference.id)
        .collect();
    assert_eq!(ids, ["term.painkiller"]);
}

#[test]
fn every_statement_of_the_paper_is_missed_and_found_changed() {
    laid_out(&Plan::default().toml(), &Typesetter::embedded(), |papers| {
        let made = &papers.papers[0];
        assert_eq!(made.kind, PaperKind::Information);
        let record = &made.record;
        assert_eq!(record.differences(&papers.wording), []);
        assert!(!record.other_words_differ(&papers.wording));
        let mut tried = 0;
        for statement in papers
            .selection
            .statements
            .iter()
            .filter(|statement| statement.paper == PaperKind::Information)
        {
            for now in [None, Some("Other words.".to_owned())] {
                let mut words = statements();
                match &now {
                    None => words.remove(statement.id.wording()),
                    Some(text) => words.insert(statement.id.wording().to_owned(), text.clone()),
                };
                let wording = Wording::from_statements("en-GB", words).expect("a wording");
                let found = record.differences(&wording);
                let wanted: Vec<&str> = papers
                    .selection
                    .statements
                    .iter()
                    .filter(|s| {
                        s.paper == PaperKind::Information
                            && s.id.wording() == statement.id.wording()
                    })
                    .map(|s| s.id.as_str())
                    .collect();
                let mut ids: Vec<&str> = found.iter().map(|found| found.id.as_str()).collect();
                ids.sort_unstable();
                assert_eq!(ids, wanted);
                assert!(found.iter().all(|found| found.now == now));
                tried += 1;
            }
        }
        assert!(tried > 80, "{tried}");
    });
}

#[test]
fn a_language_that_is_gone_cannot_be_compared() {
    laid_out(&Plan::default().toml(), &Typesetter::embedded(), |papers| {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let mut record = papers.papers[0].record.clone();
        record.wording.language = "tlh-GB".to_owned();
        let bytes = format!("%PDF-1.7\n<</Keywords({})>>", record.line());
        std::fs::write(folder.path().join("x.pdf"), &bytes).expect("our own folder");
        let entry = Entry::of(
            &record,
            &papers.wording,
            "x.pdf".to_owned(),
            bytes.as_bytes(),
        );
        Appender::new(&folder.path().join("register.jsonl"))
            .append(&[entry])
            .expect("our own folder");
        let (code, report) = trace(folder.path(), &["x.pdf"]);
        assert_eq!((code, &report["bytes"]), (1, &"as-made".into()));
        assert_eq!(report["today"]["comparable"], false);
        let said = run(folder.path(), &["trace", "x.pdf"]);
        assert!(said.out.contains("cannot compare"), "{}", said.out);
    });
}

#[test]
fn what_trace_says_of_a_changed_paper() {
    let mut older = statements();
    older.insert(
        "masseter.risk.bruise".to_owned(),
        "Older words.\n\nIn two paragraphs.".to_owned(),
    );
    let folder = tempfile::tempdir().expect("a temporary folder");
    made_in(older, folder.path());
    let said = run(folder.path(), &["trace", "information.pdf"]).out;
    // the code follows every change of the library; its form is judged elsewhere
    let shown: Vec<String> = said
        .lines()
        .map(|line| match line.strip_prefix("  document code  ") {
            Some(code) => format!(
                "  document code  {}",
                code.replace(char::is_alphanumeric, "X")
            ),
            None => line.replace(env!("CARGO_PKG_VERSION"), "VERSION"),
        })
        .collect();
    insta::assert_snapshot!(shown.join("\n"));
}

#[test]
fn the_record_says_who_approved_how_many_of_the_words() {
    let today = statements();
    let approval = |language: &str, by: &str, ids: &[&str], changed: bool| Approval {
        language: language.to_owned(),
        by: by.to_owned(),
        registration: "INVENTED-7".to_owned(),
        on: "2026-11-20".to_owned(),
        statements: ids
            .iter()
            .map(|id| {
                let words = format!("{}{}", today[*id], if changed { "!" } else { "" });
                ((*id).to_owned(), library::digest(&words))
            })
            .collect(),
    };
    let ids = ["masseter.risk.bruise", "general.stop-any-time"];
    let approvals = Approvals {
        approval: vec![
            approval("en-GB", "Ada One (invented)", &ids, false),
            approval("en-US", "Bo Two (invented)", &ids, false),
            approval("en-GB", "Cy Three (invented)", &ids, true),
        ],
    };
    let folder = tempfile::tempdir().expect("a temporary folder");
    made_approved(statements(), &approvals, folder.path());
    let (code, report) = trace(folder.path(), &["information.pdf"]);
    assert_eq!(code, 0, "{report:#}");
    let count = report["record"]["statements"]
        .as_object()
        .expect("statements")
        .len();
    let line = format!("Ada One (invented) (registration INVENTED-7) on 2026-11-20: 2 of {count}");
    assert_eq!(report["record"]["approvals"], serde_json::json!([line]));
    let said = run(folder.path(), &["trace", "information.pdf"]).out;
    assert!(said.contains(&format!("approved       {line}")), "{said}");
    let (_, aftercare) = trace(folder.path(), &["aftercare.pdf"]);
    assert!(aftercare["record"]["approvals"].is_null(), "{aftercare:#}");
}
