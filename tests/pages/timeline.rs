//! Turns plans into aftercare sheets and holds the pictures of what happens when against their own words: nothing overlaps, nothing
//! is missing, everything is large and dark enough, at every size of type and on both papers.
//!
//! Invariant: positions come from the finished pages; a picture counts only when all its labels were found there.
//! Must not: know how labels are placed.

use beforehand::compose::Block;
use beforehand::compose::document::TimelinePanel;
use beforehand::coverage::{LEAST_CONTRAST, LEAST_MARGIN, LEAST_SIZE};
use beforehand::paper::PaperKind;
use beforehand::papers::Paper;
use beforehand::typeset::{TextRun, Typesetter};

use crate::support::catalogue::treatable_ids;
use crate::support::templates::with_changes;
use crate::support::{ClinicFile, Plan, areas, clinic, laid_out_at, paper, quoted, squeeze};

/// Most of a page that the picture of one area may take, in points: three tenths of A4.
const MOST_HEIGHT: f64 = 250.0;

/// A plan with these areas and events.
fn plan(ids: &[&str], events: &[(&str, &str)]) -> String {
    let mut rest = areas(ids, "");
    for (date, what) in events {
        rest.push_str(&format!(
            "\n[[event]]\ndate = {date}\nwhat = {}\nneeds = [\"smile\"]\n",
            quoted(what)
        ));
    }
    let when = "date = 2026-12-03\ntime = 14:30\ninformed_on = 2026-11-26";
    Plan {
        rest,
        ..Plan::when(when)
    }
    .toml()
}

fn panels(blocks: &[Block]) -> Vec<&TimelinePanel> {
    let mut found = Vec::new();
    for block in blocks {
        match block {
            Block::Timeline(panel) => found.push(panel),
            Block::Together { blocks } | Block::Panel { blocks, .. } => {
                found.extend(panels(blocks));
            }
            _ => {}
        }
    }
    found
}

fn overlap(one: &TextRun, other: &TextRun) -> bool {
    let across = one.right.min(other.right) - one.left.max(other.left);
    let down = (one.baseline - other.baseline).abs();
    one.page == other.page
        && across > 0.5
        && down < 0.75 * one.size.min(other.size)
        && !one.text.trim().is_empty()
        && !other.text.trim().is_empty()
}

/// The words of the labels of a picture.
fn labels(panel: &TimelinePanel) -> Vec<String> {
    let flags = panel.flags.iter().map(|flag| &flag.mark);
    let marks = panel.lanes.iter().flat_map(|lane| &lane.marks);
    let mut found: Vec<String> = flags
        .chain(marks)
        .flat_map(|mark| [mark.title.clone(), mark.when.clone()])
        .collect();
    found.extend(panel.lanes.iter().map(|lane| lane.name.clone()));
    found
}

/// What is wrong with the pictures of a sheet.
fn faults(made: &Paper) -> Vec<String> {
    let mut found = Vec::new();
    let runs = made.pages.runs();
    let panels = panels(&made.document.blocks);
    if panels.is_empty() {
        found.push("no picture".to_owned());
    }
    let all: String = runs.iter().map(|run| squeeze(&run.text)).collect();
    let drawn: String = panels
        .iter()
        .flat_map(|panel| labels(panel))
        .map(|label| squeeze(&label))
        .collect();
    for panel in &panels {
        for label in labels(panel) {
            if !all.contains(&squeeze(&label)) {
                found.push(format!("not printed: {label}"));
            }
        }
    }
    for (at, one) in runs.iter().enumerate() {
        for other in &runs[at + 1..] {
            if overlap(one, other) {
                found.push(format!("{:?} on {:?}", other.text, one.text));
            }
        }
        let (width, _) = made.pages.sizes()[one.page - 1];
        if one.left < LEAST_MARGIN || one.right > width - LEAST_MARGIN {
            found.push(format!("off the page: {:?}", one.text));
        }
        let in_picture = drawn.contains(&squeeze(&one.text));
        if in_picture && one.size < LEAST_SIZE - 0.01 && !one.text.trim().is_empty() {
            found.push(format!("{} pt: {:?}", one.size, one.text));
        }
        if one.contrast < LEAST_CONTRAST {
            found.push(format!("faint: {:?}", one.text));
        }
    }
    found
}

fn sized(points: &str, page: &str) -> (Typesetter, String) {
    let size = format!("#let body-size = {points}");
    let typesetter = with_changes(&[("theme.typ", "#let body-size = 12pt", &size)]);
    let region = if page == "a4" { "GB-ENG" } else { "US" };
    (typesetter, ClinicFile::at(region).toml())
}

fn aftercare<R>(
    clinic: &str,
    plan: &str,
    typesetter: &Typesetter,
    look: impl FnOnce(&Paper) -> R,
) -> R {
    laid_out_at(clinic, plan, typesetter, |papers| {
        look(paper(papers, PaperKind::Aftercare))
    })
}

const LONG: &str =
    "my sister’s three-day wedding in the mountains, with a speech, a choir and many photographs";

/// Events that are hard to place: next to each other, on the day of the review, very long, in one word, far away.
fn hard_events() -> Vec<(&'static str, &'static str)> {
    vec![
        ("2026-12-04", "a walk"),
        ("2026-12-17", "choir"),
        ("2026-12-18", "Großelternjubiläumsfestveranstaltung"),
        ("2026-12-18", "choir again"),
        ("2026-12-19", LONG),
        ("2027-03-02", "演奏会と結婚式と誕生日のお祝いの会"),
        ("2029-01-01", "far away"),
    ]
}

fn hold(what: &str, plan: &str, sizes: &[&str]) {
    for page in ["a4", "us-letter"] {
        for size in sizes {
            let (typesetter, clinic) = sized(size, page);
            aftercare(&clinic, plan, &typesetter, |made| {
                let faults = faults(made);
                assert!(faults.is_empty(), "{what}, {page}, {size}: {faults:#?}");
            });
        }
    }
}

#[test]
fn every_area_alone_has_a_clear_picture() {
    for area in treatable_ids() {
        hold(area, &plan(&[area], &[]), &["12pt"]);
    }
}

#[test]
fn all_areas_at_once_have_clear_pictures_in_large_print_too() {
    let ids = treatable_ids();
    hold("all", &plan(&ids, &[]), &["12pt", "16pt", "18pt"]);
}

#[test]
fn hard_events_find_room() {
    let latin: Vec<(&str, &str)> = hard_events()
        .into_iter()
        .filter(|(_, what)| what.chars().all(|c| c < '\u{1100}'))
        .collect();
    for ids in [&["orbicularis-oris"][..], &["masseter", "glabella"]] {
        let text = plan(ids, &latin);
        hold("hard events", &text, &["12pt", "16pt", "18pt"]);
        for start in 0..latin.len() {
            hold("some events", &plan(ids, &latin[start..]), &["12pt"]);
        }
    }
}

#[test]
fn spanish_pictures_are_clear_too() {
    let clinic = ClinicFile {
        language: "es".to_owned(),
        ..ClinicFile::at("ES")
    };
    let ids = treatable_ids();
    let own = [("2026-12-19", "cena de Nochebuena con la familia")];
    for (text, size) in [
        (plan(&ids, &own), "12pt"),
        (plan(&ids[..1], &own), "12pt"),
        (plan(&["masseter", "glabella"], &own), "18pt"),
    ] {
        let (typesetter, _) = sized(size, "a4");
        aftercare(&clinic.toml(), &text, &typesetter, |made| {
            assert_eq!(made.document.language, "es-ES");
            let faults = faults(made);
            assert!(faults.is_empty(), "{size}: {faults:#?}");
        });
    }
}

/// A text as it is read, whichever spaces hold it together.
fn said(text: &str) -> String {
    text.trim().replace('\u{a0}', " ")
}

/// Labels of a lane that do not stand beside their own bracket.
fn astray(made: &Paper) -> Vec<String> {
    // half an em, and what a dot is wide
    let near = 10.0;
    let mut found = Vec::new();
    let runs = made.pages.runs();
    for panel in panels(&made.document.blocks) {
        // the picture is as wide as the text of its page: the visit's line is at its left edge
        let visit = &panel.flags[0].mark.title;
        let flag = runs.iter().find(|run| run.text.trim() == visit);
        let Some(flag) = flag else {
            found.push(format!("no {visit}"));
            continue;
        };
        let on_page = |run: &&&TextRun| run.page == flag.page && !run.text.trim().is_empty();
        let left = runs.iter().filter(on_page).map(|run| run.left);
        let left = left.fold(f64::INFINITY, f64::min);
        let (page_width, _) = made.pages.sizes()[flag.page - 1];
        let x = |day: i32| {
            let part = f64::from(day.clamp(0, panel.span)) / f64::from(panel.span);
            left + part.powf(panel.power) * (page_width - 2.0 * left)
        };
        for mark in panel.lanes.iter().flat_map(|lane| &lane.marks) {
            let title = |run: &&&TextRun| on_page(run) && said(&run.text) == said(&mark.title);
            let Some(title) = runs.iter().find(title) else {
                found.push(format!("no {}", mark.title));
                continue;
            };
            // the same days may stand beside other marks
            let when = runs.iter().filter(on_page).find(|run| {
                said(&run.text) == said(&mark.when)
                    && (run.baseline - title.baseline).abs() < 1.0
                    && (run.left - title.right).abs() < near
            });
            let Some(when) = when else {
                found.push(format!("no days beside {}", mark.title));
                continue;
            };
            let after = (title.left - x(mark.last)).abs() < near;
            let before = (x(mark.first) - when.right).abs() < near;
            if !after && !before {
                found.push(format!("{} is not beside its bracket", mark.title));
            }
        }
    }
    found
}

/// One area of each course of dates: what the label of one bracket says is never read of another.
#[test]
fn labels_stand_beside_their_own_brackets() {
    for area in ["glabella", "depressor-septi-nasi", "masseter", "platysma"] {
        let text = plan(&[area], &[("2026-12-19", "live election programme")]);
        aftercare(&clinic(), &text, &Typesetter::embedded(), |made| {
            let astray = astray(made);
            assert!(astray.is_empty(), "{area}: {astray:#?}");
        });
    }
    let moved = (
        "timeline.typ",
        "std.place(dx: mark.left, dy: row.down, mark.body)",
        "std.place(dx: mark.left + 30pt, dy: row.down, mark.body)",
    );
    aftercare(
        &clinic(),
        &plan(&["orbicularis-oris"], &[]),
        &with_changes(&[moved]),
        |made| assert!(!astray(made).is_empty(), "moved labels were not noticed"),
    );
}

#[test]
fn one_area_takes_little_of_the_page() {
    for area in treatable_ids() {
        let text = plan(&[area], &[("2026-12-19", "live election programme")]);
        aftercare(&clinic(), &text, &Typesetter::embedded(), |made| {
            let panels = panels(&made.document.blocks);
            let runs = made.pages.runs();
            let line = |words: &str| {
                // the picture stands behind the signs and what is normal, which begin with the same words
                let begins =
                    |run: &TextRun| run.text.trim().len() > 3 && words.starts_with(run.text.trim());
                let found = runs.iter().rfind(|run| begins(run));
                found.map(|run| (run.page, run.baseline))
            };
            let flag = &panels[0].flags[0].mark.title;
            let (page, top) = line(flag).expect("the flag of the visit");
            let (last, bottom) = line(&panels[0].key[0].1).expect("what the hatch means");
            assert_eq!(page, last, "{area}: torn apart");
            assert!(bottom - top < MOST_HEIGHT, "{area}: {} pt", bottom - top);
        });
    }
}

#[test]
fn areas_with_the_same_dates_share_a_lane_and_none_is_left_out() {
    let ids = treatable_ids();
    let text = plan(&ids, &[]);
    laid_out_at(&clinic(), &text, &Typesetter::embedded(), |papers| {
        let panels = panels(&paper(papers, PaperKind::Aftercare).document.blocks);
        let lanes: Vec<_> = panels.iter().flat_map(|panel| &panel.lanes).collect();
        assert!(lanes.len() < ids.len(), "{} lanes", lanes.len());
        for one in &ids {
            let name = papers.wording.label(&format!("{one}.name"));
            let name = name.expect("areas have names").to_lowercase();
            let drawn = lanes
                .iter()
                .filter(|lane| lane.name.to_lowercase().contains(&name));
            assert_eq!(drawn.count(), 1, "{name}");
        }
        for (at, lane) in lanes.iter().enumerate() {
            let same = lanes[at + 1..]
                .iter()
                .any(|other| other.marks == lane.marks);
            assert!(!same, "{} is drawn like another", lane.name);
        }
    });
}

/// Rounds of the lips stand inside an effect that a trial saw last for months (C65): the picture says why, and "In short" that it may
/// end before its day. What some see end is common practice, no source.
#[test]
fn what_some_see_end_sooner_is_drawn_beside_the_round_that_follows() {
    let ends = |ids: &[&str]| -> (Vec<(String, i32, i32)>, bool) {
        laid_out_at(
            &clinic(),
            &plan(ids, &[]),
            &Typesetter::embedded(),
            |papers| {
                let title = papers.wording.label("timeline.sooner").expect("a label");
                let panels = panels(&paper(papers, PaperKind::Aftercare).document.blocks);
                let lanes = panels.iter().flat_map(|panel| &panel.lanes);
                let marked = lanes.flat_map(|lane| lane.marks.iter().map(move |mark| (lane, mark)));
                let marked = marked.filter(|(_, mark)| mark.title == title);
                let marked = marked.map(|(lane, mark)| (lane.name.clone(), mark.first, mark.last));
                let text = paper(papers, PaperKind::Information)
                    .pages
                    .texts()
                    .join(" ");
                let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
                let sooner =
                    text.contains(", or sooner.") || text.contains(", in some of them sooner.");
                (marked.collect(), sooner)
            },
        )
    };
    let at_the_lips = ("Lines around the lips".to_owned(), 42, 42);
    assert_eq!(
        ends(&["orbicularis-oris"]),
        (vec![at_the_lips.clone()], true)
    );
    assert_eq!(ends(&["glabella"]), (vec![], false));
    assert_eq!(
        ends(&["glabella", "orbicularis-oris"]),
        (vec![at_the_lips], true)
    );
}

#[test]
fn the_description_holds_every_date_and_whole_events() {
    let text = plan(&["masseter", "glabella"], &hard_events()[..5]);
    aftercare(&clinic(), &text, &Typesetter::embedded(), |made| {
        for panel in panels(&made.document.blocks) {
            assert!(panel.alt.contains(LONG), "{}", panel.alt);
            let marks = panel.lanes.iter().flat_map(|lane| &lane.marks);
            let visit = jiff::civil::date(2026, 12, 3);
            let formats = beforehand::wording::locale::Formats::new("en-GB").expect("known");
            for mark in marks.chain(panel.flags.iter().map(|flag| &flag.mark)) {
                for day in [mark.first, mark.last] {
                    let day = visit.saturating_add(jiff::Span::new().days(day));
                    // the year stands once where both ends of a time lie in it
                    let date = formats.day_month(day);
                    assert!(panel.alt.contains(&date), "{date}: {}", panel.alt);
                    let year = day.year().to_string();
                    assert!(panel.alt.contains(&year), "{year}: {}", panel.alt);
                }
            }
        }
        let cut = panels(&made.document.blocks)[0]
            .flags
            .iter()
            .any(|flag| flag.mark.title.ends_with('…'));
        assert!(cut, "the long event is cut in the picture");
        let printed: String = made
            .pages
            .runs()
            .iter()
            .map(|run| squeeze(&run.text))
            .collect();
        assert!(printed.contains(&squeeze(LONG)), "the list holds it whole");
    });
}

#[test]
fn labels_put_on_each_other_are_noticed() {
    let text = plan(&["masseter", "glabella"], &hard_events()[..5]);
    let broken = [
        (
            "as far to the left as can be",
            "      chosen.push(left)\n",
            "      chosen.push(item.lo)\n",
        ),
        (
            "all on one row",
            "  (placed, row)\n",
            "  (placed.map(one => (row: 0, left: one.left)), 1)\n",
        ),
        (
            "too small",
            "#let label-size = 1em",
            "#let label-size = 0.7em",
        ),
        (
            "faint",
            "strong(title)),\n    when,\n",
            "strong(text(fill: luma(150), title))),\n    when,\n",
        ),
        (
            "left out",
            "strong(title)),\n    when,\n",
            "[]),\n    when,\n",
        ),
        (
            "all marks in one row",
            "if at == none { rows.push((mark,)) }",
            "if rows.len() == 0 { rows.push((mark,)) } else if at == none { rows.first().push(mark) }",
        ),
    ];
    for (what, from, to) in broken {
        let typesetter = with_changes(&[("timeline.typ", from, to)]);
        aftercare(&clinic(), &text, &typesetter, |made| {
            assert!(!faults(made).is_empty(), "{what} was not noticed");
        });
    }
}
