//! Courses, upkeep, costs and the first day of another treatment: worked out by hand, and the same on every paper.
//!
//! Must not: lay out pages; papers are composed as text.

use beforehand::catalogue::Catalogue;
use beforehand::paper::PaperKind;
use beforehand::plan::{Clinic, Visit};
use beforehand::select::{AdviceEnd, Selection, select};
use jiff::civil::{Date, date};

use crate::support::calendar_file::written;
use crate::support::composed::composed;
use crate::support::{ClinicFile, Plan, areas};

const LIPS: &str = "orbicularis-oris";

fn clinic(more: &str) -> Clinic {
    ClinicFile {
        rest: more.to_owned(),
        ..ClinicFile::at("US")
    }
    .read()
}

fn visit(clinic: &Clinic, rest: &str) -> Visit {
    Plan {
        rest: rest.to_owned(),
        ..Plan::when("date = 2026-12-03\ninformed_on = 2026-11-01")
    }
    .read(clinic)
}

fn with<R>(clinic: &Clinic, rest: &str, look: impl FnOnce(&Selection<'_>) -> R) -> R {
    let visit = visit(clinic, rest);
    look(&select(Catalogue::embedded(), clinic, &visit).expect("a selection"))
}

/// Everything a paper says, as one text.
fn said(clinic: &Clinic, rest: &str, kind: PaperKind) -> String {
    let visit = visit(clinic, rest);
    composed(kind, clinic, &visit, |_, document| {
        serde_json::to_string(document).expect("plain data")
    })
}

/// Six weeks apart, two or three rounds (practice); the product's label asks for three months (C6): 3 March.
#[test]
fn a_course_counts_its_rounds_and_then_ends() {
    let clinic = clinic("");
    let course = |round: u32| {
        let rest = format!("[[area]]\nid = \"{LIPS}\"\nround = {round}\n");
        with(&clinic, &rest, |selection| {
            let course = selection.areas[0].course;
            course.map(|c| {
                (
                    c.treatments_low,
                    c.treatments_high,
                    c.look.first,
                    c.look.last,
                )
            })
        })
    };
    // three rounds: 18 weeks, or nine months if each keeps the label's interval
    assert_eq!(course(1), Some((2, 3, date(2027, 4, 8), date(2027, 9, 3))));
    assert_eq!(course(2), Some((1, 2, date(2027, 2, 25), date(2027, 6, 3))));
    assert_eq!(course(3), Some((1, 1, date(2027, 1, 14), date(2027, 3, 3))));
    assert_eq!(course(4), None);
    // an area without a course has none
    with(&clinic, &areas(["glabella"], ""), |selection| {
        assert_eq!(selection.areas[0].course, None);
    });
}

/// 200 for each: two or three rounds cost 400 to 600; keeping the effect up is another sum, on another line.
#[test]
fn the_cost_of_a_course_and_of_upkeep_are_two_sums() {
    let fees = "[fees]\ncurrency = \"USD\"\narea = { orbicularis-oris = 200, glabella = 100 }\n";
    let clinic = clinic(fees);
    let consent = said(&clinic, &areas([LIPS], ""), PaperKind::Information);
    assert!(
        consent.contains("2 or 3 visits, this one included."),
        "{consent}"
    );
    assert!(consent.contains("so $400 to $600 in all."), "{consent}");
    assert!(
        consent.contains("Only if you then want to go on, it takes about"),
        "{consent}"
    );
    let consent = said(&clinic, &areas(["glabella"], ""), PaperKind::Information);
    assert!(!consent.contains("this one included"), "{consent}");
    assert!(
        consent.contains("To keep the effect, it takes about"),
        "{consent}"
    );
}

/// The jaw not before six months (C18), the brows not before three (C6): nothing at all before three, and that the jaw waits longer is said
/// beside it.
#[test]
fn the_first_day_of_another_treatment_is_that_of_the_first_area() {
    let clinic = clinic("");
    let next = |ids: &[&str]| {
        with(&clinic, &areas(ids, ""), |selection| {
            let mut advice = selection.advice.iter();
            let item = advice.find(|item| item.advice.id == "next-treatment");
            match item.expect("every visit has it").end {
                AdviceEnd::Day(day) => day,
                other => panic!("{other:?}"),
            }
        })
    };
    assert_eq!(next(&["glabella"]), date(2027, 3, 3));
    assert_eq!(next(&["masseter"]), date(2027, 6, 3));
    assert_eq!(next(&["glabella", "masseter"]), date(2027, 3, 3));
    assert_eq!(next(&[LIPS, "glabella"]), date(2027, 3, 3));
    let longer = "Some areas have to wait longer";
    let aftercare = |ids: &[&str]| said(&clinic, &areas(ids, ""), PaperKind::Aftercare);
    assert!(aftercare(&["glabella", "masseter"]).contains(longer));
    assert!(!aftercare(&["glabella"]).contains(longer));
}

/// Each area's first day of another treatment, and the end of each course, in every paper that speaks of it.
#[test]
fn every_paper_names_the_same_days() {
    let clinic = clinic("");
    let rest = areas(["glabella", LIPS, "masseter"], "");
    let consent = said(&clinic, &rest, PaperKind::Information);
    let aftercare = said(&clinic, &rest, PaperKind::Aftercare);
    let annex = said(&clinic, &rest, PaperKind::Evidence);
    let file = written(&clinic, &visit(&clinic, &rest)).replace("\r\n ", "");
    let days: Vec<(Date, Option<Date>)> = with(&clinic, &rest, |selection| {
        let of = selection.areas.iter();
        of.map(|area| {
            let course = area.course.map(|course| course.look.first);
            (area.earliest_repeat.expect("each has one"), course)
        })
        .collect()
    });
    let english = |day: Date| day.strftime("%B %-d, %Y").to_string();
    let stamp = |day: Date| day.strftime("DTSTART;VALUE=DATE:%Y%m%d").to_string();
    for (repeat, look) in days {
        let again = format!("ot before {}.", english(repeat));
        let day = english(repeat);
        let first = [
            format!("The official advice is to wait until {day}"),
            format!("In your plan, the earliest day for another treatment is {day}."),
            // a round that is planned for that day says it
            format!("is planned between {}", repeat.strftime("%B %-d")),
        ];
        assert!(
            first.iter().any(|first| consent.contains(first)) && annex.contains(&again),
            "{again}"
        );
        assert!(aftercare.contains(&english(repeat)), "{again}");
        assert!(file.contains(&stamp(repeat)), "{again}");
        if let Some(look) = look {
            // the year is said once when both ends lie in it
            let day = look.strftime("%B %-d").to_string();
            for (paper, text) in [
                ("consent", &consent),
                ("aftercare", &aftercare),
                ("annex", &annex),
            ] {
                let together = text.contains("look at the result together");
                assert!(
                    (together || text.contains("stop and look")) && text.contains(&day),
                    "{paper} {day}"
                );
            }
            assert!(file.contains(&stamp(look)), "{day}");
        }
    }
    // a round that custom puts sooner than the label says that it is, with the label's day and its own, wherever it is named
    for paper in [&consent, &aftercare] {
        // the rounds first: nobody is told to wait until a day and then of a round before it
        let mut rest = paper.as_str();
        for said in [
            "Round 2 of your course is planned around January 14, 2027.",
            "If we both think that you need it, round 3 is planned around February 25, 2027.",
            "The official advice is to wait longer: until March 3, 2027",
            "you would rather wait, tell us",
        ] {
            let at = rest.find(said).unwrap_or_else(|| panic!("{said}: {paper}"));
            rest = &rest[at..];
        }
    }
}

/// The sentence that quotes studies stays as it is, and the clinic's own experience stands after it, as such.
#[test]
fn a_clinics_own_experience_stands_beside_what_studies_found() {
    let own = clinic(
        "[experience]\norbicularis-oris = [6, 8]\nmasseter = \"Seven months in most people (invented).\"\n",
    );
    let rest = areas([LIPS, "masseter", "glabella"], "");
    let (with_own, without) = (
        said(&own, &rest, PaperKind::Information),
        said(&clinic(""), &rest, PaperKind::Information),
    );
    let lead = "Our clinic’s own experience: ";
    assert!(!without.contains(lead));
    assert_eq!(with_own.matches(lead).count(), 2);
    assert!(with_own.contains(&format!(
        "{lead}it lasts 6 to 8 weeks. This is what we see here. It is not a study."
    )));
    assert!(with_own.contains(&format!(
        "{lead}Seven months in most people (invented). This is what we see"
    )));
    // 16 to 20 weeks in the trial (C65)
    for paper in [&with_own, &without] {
        assert!(paper.contains("lines stayed better for 16 to 20 weeks"));
    }
    // no date, no window and no upkeep changes
    let dates = |clinic: &Clinic| {
        with(clinic, &rest, |selection| {
            let of = selection.areas.iter();
            of.map(|area| (area.windows, area.earliest_repeat, area.upkeep))
                .collect::<Vec<_>>()
        })
    };
    assert_eq!(dates(&own), dates(&clinic("")));
}
