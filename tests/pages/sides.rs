//! How the papers of every sample fill their sides: the form's one sheet, the check sheet's questions, no sentence alone at the end.
//!
//! Invariant: what is held here is where things stand on finished pages, of every sample plan in ordinary print; names above answers in large print too.
//! Must not: count the sides of papers that are as long as their words (`samples/checks.md` shows those).

use std::collections::BTreeSet;
use std::path::Path;

use beforehand::PaperKind;
use beforehand::compose::Block;
use beforehand::compose::check_parts::CheckPart;
use beforehand::paper::Edition;
use beforehand::papers::{Paper, Papers};
use beforehand::practice::{MakeOptions, Practice};

use crate::support::templates::with_changes;
use crate::support::{papers_of, samples};

/// Points.
const MILLIMETRE: f64 = 72.0 / 25.4;

fn of_each_sample(look: impl FnMut(&str, &Papers<'_>)) {
    of_each_sample_in(Edition::Ordinary, look);
}

fn of_each_sample_in(edition: Edition, mut look: impl FnMut(&str, &Papers<'_>)) {
    let options = MakeOptions {
        large_print: edition == Edition::LargePrint,
        ..MakeOptions::default()
    };
    let mut seen = 0;
    for plan in samples::plans() {
        // with the words and areas of its own, where the clinic has any
        let practice = Practice::open(&samples::clinic_beside(&plan)).expect("a good clinic");
        let visit = practice.read_plan(&plan).expect("a good plan");
        if edition == Edition::Ordinary && visit.patient.large_print {
            continue;
        }
        let made = practice.make(&visit, &options);
        look(samples::shown(&plan), &made.expect("papers"));
        seen += 1;
    }
    assert!(seen > 12, "{seen} samples");
}

/// The lowest line or letter of the last page's own content, and where the foot begins, in points from the top.
fn end_of(paper: &Paper) -> (f64, f64) {
    let content = paper.pages.content();
    let last = paper.pages.count();
    let shapes = content.shapes.iter().filter(|shape| shape.page == last);
    let runs = content.runs.iter().filter(|run| run.page == last);
    let (height, mut end, mut foot) = (content.sizes[last - 1].1, 0.0_f64, f64::INFINITY);
    for (is_running, top, bottom) in shapes
        .map(|shape| (shape.part.is_running(), shape.top, shape.bottom))
        .chain(runs.map(|run| (run.part.is_running(), run.baseline - run.size, run.baseline)))
    {
        match is_running {
            true if top > height / 2.0 => foot = foot.min(top),
            true => {}
            false => end = end.max(bottom),
        }
    }
    (end, foot)
}

#[test]
fn the_form_is_one_sheet_for_four_areas_and_a_side_more_for_every_four() {
    of_each_sample(|plan, papers| {
        let Some(form) = papers.paper(PaperKind::Consent) else {
            return;
        };
        let areas = papers.selection.areas.len();
        let (sides, most) = (form.pages.count(), PaperKind::Consent.sides(areas));
        assert!(
            Some(sides) <= most,
            "{plan}: {sides} sides for {areas} areas"
        );
    });
}

/// What is overleaf cannot be forgotten: the first page asks every question, and who signs has come past every box.
#[test]
fn the_check_sheet_asks_everything_on_its_first_page_and_is_signed_at_its_end() {
    let (mut overleaf, mut questions) = (0, 0);
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    of_each_sample(|plan, papers| {
        let Some(sheet) = papers.paper(PaperKind::CheckSheet) else {
            return;
        };
        // a stopped visit has nothing to decide and nothing to sign
        if papers.selection.stops().next().is_some() {
            return;
        }
        let content = sheet.pages.content();
        let texts: Vec<String> = content.texts().iter().map(|text| words(text)).collect();
        // more areas than find room beside a face have a page of faces
        let faces = papers.selection.areas.len() > 6;
        assert!(texts.len() <= 2 + usize::from(faces), "{plan}");
        for block in &sheet.document.blocks {
            let Block::Check(CheckPart::Decide { rows, .. }) = block else {
                continue;
            };
            for row in rows {
                let question = words(&row.question);
                assert!(texts[0].contains(&question), "{plan}: {question}");
                questions += 1;
            }
        }
        let places = |label: &str| -> Vec<(usize, f64)> {
            let said = papers.practice.label(label).expect("a label");
            let runs = content.runs.iter().filter(|run| run.text.trim() == said);
            runs.map(|run| (run.page, run.baseline)).collect()
        };
        let signed = places("clinician.record.date");
        assert!(
            matches!(signed[..], [(page, _)] if page == texts.len()),
            "{plan}: {signed:?}"
        );
        let boxes = [
            places("clinician.decide.note"),
            places("clinician.asked.yes"),
        ]
        .concat();
        assert!(boxes.iter().all(|at| *at < signed[0]), "{plan}: {boxes:?}");
        let told = papers
            .practice
            .label("clinician.record.overleaf")
            .expect("a label");
        let goes_on = texts.len() == 2 && !faces;
        assert_eq!(texts[0].contains(&told), goes_on, "{plan}: {told}");
        overleaf += usize::from(goes_on);
    });
    assert!(overleaf >= 3, "{overleaf} sheets go on");
    assert!(questions >= 20, "{questions} questions");
}

#[test]
fn papers_to_write_in_end_in_lines_to_the_foot_where_their_last_side_has_room() {
    of_each_sample(|plan, papers| {
        for kind in [PaperKind::Information, PaperKind::Aftercare] {
            let Some(paper) = papers.paper(kind) else {
                continue;
            };
            let (end, foot) = end_of(paper);
            let empty = (foot - end) / MILLIMETRE;
            let title = match kind {
                PaperKind::Information => "information.questions",
                _ => "aftercare.diary.notice",
            };
            let title = papers.wording.label(title).expect("a label");
            let mut runs = paper.pages.content().body();
            let last = paper.pages.count();
            let lines = runs.any(|run| run.page == last && run.text.trim() == title);
            // without lines there is no room for their title and three of them, below the space that what stands above asks for
            let most = if lines { 20.0 } else { 48.0 };
            assert!(
                (0.0..most).contains(&empty),
                "{plan}, {kind}: {empty:.1} mm below the last line"
            );
        }
    });
}

#[test]
fn a_summary_stands_on_the_first_page() {
    of_each_sample(|plan, papers| {
        let Some(information) = papers.paper(PaperKind::Information) else {
            return;
        };
        let heading = papers
            .wording
            .label("information.short.choice")
            .expect("a label");
        let mut runs = information.pages.content().body();
        let found = runs.find(|run| run.text.trim() == heading);
        assert_eq!(found.map(|run| run.page), Some(1), "{plan}: {heading}");
    });
}

/// Answers of an area that no name of it stands above, by their first words, and how many areas go on overleaf.
fn nameless_answers(papers: &Papers<'_>) -> (Vec<String>, usize) {
    let (mut nameless, mut parted) = (Vec::new(), 0);
    let paper = papers.paper(PaperKind::Information).expect("it is made");
    let mut above = None;
    for block in &paper.document.blocks {
        let name = above.take();
        match (block, name) {
            (Block::Heading { level: 3, text, .. }, _) => above = Some(text.clone()),
            (Block::Quarters { cells }, Some(name)) => {
                let placed = cells.iter().map(|cell| {
                    let first = &paper.pages.statements()[&cell.mark.to_string()].runs[0];
                    (first, cell)
                });
                let sides: BTreeSet<usize> = placed.clone().map(|(first, _)| first.page).collect();
                parted += usize::from(sides.len() > 1);
                for (first, cell) in placed {
                    let mut names = paper.pages.content().body();
                    let named = names.any(|run| {
                        let here = run.page == first.page && run.baseline < first.baseline;
                        here && run.text.trim() == name
                    });
                    if !named {
                        nameless.push(format!("{name}: {}", cell.title));
                    }
                }
            }
            _ => {}
        }
    }
    (nameless, parted)
}

#[test]
fn an_areas_answers_stand_below_its_name_on_every_side() {
    for edition in [Edition::Ordinary, Edition::LargePrint] {
        let mut parted = 0;
        of_each_sample_in(edition, |plan, papers| {
            let (nameless, here) = nameless_answers(papers);
            assert!(nameless.is_empty(), "{plan}, {edition:?}: {nameless:?}");
            parted += here;
        });
        assert!(parted >= 3, "{edition:?}: {parted} areas go on overleaf");
    }
}

#[test]
fn answers_that_go_on_overleaf_without_a_name_are_noticed() {
    let typesetter = with_changes(&[("parts.typ", "grid.header(again), ..rows", "..rows")]);
    let (clinic, visit) = samples::read(Path::new("samples/linden-court/everything.toml"));
    let (nameless, parted) = nameless_answers(&papers_of(&clinic, &visit, &typesetter));
    assert!(parted > 0 && !nameless.is_empty(), "{parted}");
}

#[test]
fn a_sheet_without_lines_at_its_end_is_noticed() {
    let typesetter = with_changes(&[(
        "paper.typ",
        "lines-to-the-foot(heading(level: 3, last.title), last.count)",
        "",
    )]);
    let (clinic, visit) = samples::read(Path::new("samples/linden-court/palsy-balance.toml"));
    let papers = papers_of(&clinic, &visit, &typesetter);
    let (end, foot) = end_of(papers.paper(PaperKind::Information).expect("it is made"));
    assert!((foot - end) / MILLIMETRE > 45.0, "{end} {foot}");
}
