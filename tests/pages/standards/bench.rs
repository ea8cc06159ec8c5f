//! Turns a sample into papers that a test may mend and then spoil in one place, and holds the verdict before and after.
//!
//! Invariant: the mended paper meets the check, the spoilt one does not, and a place that was not there before names the fault.
//! Must not: know what a check asks.

use beforehand::lint::{Kind, Line, PaperUnderReview, TableRow, Verdict, VisitUnderReview};
use beforehand::paper::PaperKind;
use beforehand::plan::{Clinic, Visit};
use beforehand::typeset::{PagePart, TextRun};

use super::{judge, made, read, subject};

/// A real paper of a sample with everything that was made beside it.
pub fn with(plan: &str, test: impl FnOnce(&VisitUnderReview<'_>)) {
    with_changed(plan, |_, _| {}, test);
}

/// The same, from a clinic or a visit that differs.
pub fn with_changed(
    plan: &str,
    change: impl FnOnce(&mut Clinic, &mut Visit),
    test: impl FnOnce(&VisitUnderReview<'_>),
) {
    let (mut clinic, mut visit) = read(plan);
    change(&mut clinic, &mut visit);
    let papers = made(&clinic, &visit);
    test(&subject(&papers));
}

pub fn sheet<'s>(
    subject: &'s mut VisitUnderReview<'_>,
    paper: PaperKind,
) -> &'s mut PaperUnderReview {
    let mut sheets = subject.papers.iter_mut();
    sheets.find(|sheet| sheet.kind == paper).expect("made")
}

/// The subject with one paper changed.
pub fn changed<'a>(
    subject: &VisitUnderReview<'a>,
    paper: PaperKind,
    change: impl FnOnce(&mut PaperUnderReview),
) -> VisitUnderReview<'a> {
    let mut other = subject.clone();
    change(sheet(&mut other, paper));
    other
}

pub fn meets(number: &str, subject: &VisitUnderReview<'_>, paper: PaperKind) {
    let found = judge(number, subject, paper);
    assert_eq!(
        found.verdict,
        Verdict::Met,
        "{number}: {}; {:?}",
        found.figure,
        found.places
    );
}

/// Spoils a paper that meets the check; a place of the finding has to name the fault (at, page or what was found).
pub fn noticed(
    number: &str,
    good: &VisitUnderReview<'_>,
    paper: PaperKind,
    spoil: impl FnOnce(&mut PaperUnderReview),
    named: &str,
) {
    meets(number, good, paper);
    let found = judge(number, &changed(good, paper, spoil), paper);
    assert_eq!(found.verdict, Verdict::NotMet, "{number}: {}", found.figure);
    let says = |text: &str| text.contains(named);
    assert!(
        found.places.iter().any(|p| says(&p.at) || says(&p.found)),
        "{number} does not name {named}: {:?}",
        found.places
    );
}

/// A paragraph without a statement.
pub fn paragraph(text: &str) -> Line {
    Line {
        kind: Kind::Paragraph,
        text: text.to_owned(),
        bold_words: 0,
        mark: None,
        section: 0,
        paragraph: usize::MAX,
        urgent: false,
        lead: false,
        note: false,
    }
}

/// Takes every sentence of a paper out of the question: whether they are good is not what a test of a judge asks.
pub fn plain(sheet: &mut PaperUnderReview, text: &str) {
    let lines = sheet.view.lines.iter_mut();
    let said = lines.filter(|line| line.is_prose() || line.mark.is_some());
    said.for_each(|line| line.text = text.to_owned());
}

/// A row of a table of risks.
pub fn risk(name: &str, cells: &[&str]) -> TableRow {
    TableRow {
        mark: Some(format!("x.risk.{name}")),
        name: name.to_owned(),
        cells: cells.iter().map(|cell| (*cell).to_owned()).collect(),
    }
}

/// Words in the running foot of a page.
pub fn foot(page: usize, text: &str) -> TextRun {
    TextRun {
        text: text.to_owned(),
        page,
        left: 54.0,
        right: 200.0,
        baseline: 800.0,
        size: 12.0,
        x_height: 6.4,
        contrast: 16.0,
        part: PagePart::Foot,
        ..TextRun::default()
    }
}
