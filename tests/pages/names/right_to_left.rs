//! Words written from right to left: found again as typed in every paper, and nothing around them turned around.

use super::is_on_every_page;
use crate::support::{ClinicFile, Plan, clinic, desk_of, laid_out_at, put, run, squeeze};
use beforehand::paper::PaperKind;
use beforehand::typeset::Typesetter;

/// One word, several, with a hyphen, brackets, numbers, Latin letters and marks; all invented.
const NAMES: [&str; 9] = [
    "בדיקה",
    "נועה בדיקה",
    "سلمى التجريبية",
    "נועה בדיקה (invented)",
    "א׳ נועה בן-בדיקה",
    "נועה (בדיקה) המצאה",
    "רות 12 בדיקה 3,5 המצאה",
    "Mixed سلمى التجريبية and נועה בדיקה 12",
    "سلمى 12 ١٢ التجريبية، 7",
];

#[test]
fn such_a_name_is_found_as_typed_in_every_paper_of_every_kind() {
    for name in NAMES {
        let papers = laid_out_at(
            &clinic(),
            &Plan::named(name).toml(),
            &Typesetter::embedded(),
            |papers| {
                assert_eq!(papers.faults(), Vec::<String>::new(), "{name}");
                assert_eq!(papers.papers.len(), PaperKind::ALL.len());
                let texts = papers.papers.iter();
                Vec::from_iter(texts.map(|made| (made.kind.as_str(), made.pages.texts())))
            },
        );
        is_on_every_page(name, &papers);
    }
}

#[test]
fn make_and_check_accept_such_words_in_every_field() {
    let plan = Plan {
        aim: "לסת צרה יותר, עד 3".to_owned(),
        event: "خطاب الزفاف الكبير".to_owned(),
        facts: "previous_unwanted_effect = \"עפעף צנוח 2 שבועות\"".to_owned(),
        ..Plan::named("נועה בדיקה")
    };
    let there = ClinicFile {
        name: "מרפאת בדיקה (invented)".to_owned(),
        address: vec!["רחוב הבדיקה 12".to_owned()],
        person: "ד״ר סלמה המצאה".to_owned(),
        role: "أخصائية تمريض".to_owned(),
        ..ClinicFile::default()
    };
    let desk = desk_of(&there.toml());
    put(desk.path(), "plan.toml", plan.toml());
    for arguments in [
        &["check", "plan.toml"][..],
        &["make", "plan.toml"],
        &["make", "plan.toml", "--large-print"],
        &["make", "plan.toml", "--staff-copy", "es"],
    ] {
        let ran = run(desk.path(), arguments);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{arguments:?}");
    }
}

#[test]
fn words_too_long_for_a_line_are_found_whole() {
    let long = "מילים רבות מאוד ".repeat(12);
    let plan = Plan {
        aim: long.trim().to_owned(),
        ..Plan::default()
    };
    laid_out_at(&clinic(), &plan.toml(), &Typesetter::embedded(), |papers| {
        assert_eq!(papers.faults(), Vec::<String>::new());
        let information = papers.paper(PaperKind::Information);
        let information = information.expect("it is made");
        let text = squeeze(&information.pages.texts().concat());
        assert!(text.contains(&squeeze(&plan.aim)));
    });
}

#[test]
fn what_stands_after_such_a_name_in_the_same_sentence_keeps_its_order() {
    let there = ClinicFile {
        person: "סלמה המצאה".to_owned(),
        ..ClinicFile::default()
    };
    let papers = (there.toml(), Plan::default().toml());
    laid_out_at(&papers.0, &papers.1, &Typesetter::embedded(), |papers| {
        let sheet = papers.papers.iter();
        let mut sheet = sheet.filter(|made| made.kind == PaperKind::Aftercare);
        let runs = sheet.next().expect("it is made").pages.runs();
        // "Your review with NAME is planned between 17 December and 31 December 2026."
        let at = runs.iter().position(|run| run.text.contains("סלמה"));
        let at = at.expect("the name is in the sentence");
        let (first, rest) = runs[at..].split_first().expect("it begins there");
        let last = rest.iter().find(|run| run.text.contains("המצאה"));
        let after = rest.iter().find(|run| run.text.contains("is planned"));
        let (last, after) = last
            .zip(after)
            .expect("the rest of the name, and of the sentence");
        assert_eq!(first.baseline, after.baseline, "one line");
        // the name from the right to the left, and the sentence behind all of it
        assert!(last.right <= first.left && first.right <= after.left);
    });
}
