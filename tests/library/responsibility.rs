//! The practitioner's own view, who prescribes, and hours of information and visit, into what is raised in each place.
//!
//! Must not: take an expectation from the rules' own words; sources stand beside each case.

use beforehand::catalogue::{Catalogue, Level};
use beforehand::paper::PaperKind;
use beforehand::plan::{Clinic, Visit};
use beforehand::select::{Selection, select};

use crate::support::composed::composed;
use crate::support::{ClinicFile, Plan, areas};

fn raised(clinic: &Clinic, visit: &Visit, id: &str) -> Option<Level> {
    let selection: Selection<'_> =
        select(Catalogue::embedded(), clinic, visit).expect("a selection");
    let mut cautions = selection.cautions.iter();
    cautions
        .find(|caution| caution.id == *id)
        .map(|caution| caution.level)
}

fn viewed(stance: &str) -> Plan {
    Plan {
        rest: areas(
            ["masseter"],
            &format!("stance = \"{stance}\"\nstance_because = \"Invented.\"\n"),
        ),
        ..Plan::bare()
    }
}

/// Whoever wrote "I would not advise it" for the patient is asked the same, everywhere; what guidance says is told where it holds: GMC,
/// Cosmetic interventions, paragraph 18, as the summaries read give it (C93).
#[test]
fn advising_against_asks_everywhere_and_names_the_guidance_of_the_place() {
    for (region, stance, expected, guided) in [
        ("GB-ENG", "advise-against", Some(Level::Ask), true),
        ("GB-SCT", "advise-against", Some(Level::Ask), true),
        ("GB-ENG", "neutral", None, false),
        ("GB-ENG", "advise", None, false),
        ("US", "advise-against", Some(Level::Ask), false),
        ("SE", "advise-against", Some(Level::Ask), false),
    ] {
        let clinic = ClinicFile::at(region).read();
        let visit = viewed(stance).read(&clinic);
        assert_eq!(
            raised(&clinic, &visit, "advised-against"),
            expected,
            "{region} {stance}"
        );
        let said = composed(PaperKind::Evidence, &clinic, &visit, |_, document| {
            let lines = document.lines().into_iter().map(|line| line.text);
            lines.collect::<Vec<_>>().join(" ")
        });
        let against = said.contains("the plan says that you advise against it");
        assert_eq!(against, expected.is_some(), "{region} {stance}: {said}");
        let guidance = said.contains("Guidance for doctors in the United Kingdom");
        assert_eq!(guidance, guided, "{region} {stance}: {said}");
    }
}

#[test]
fn what_will_not_be_done_is_in_no_paper() {
    let clinic = ClinicFile {
        rest: "[stance]\nplatysma = \"will-not-do\"\n".to_owned(),
        ..ClinicFile::default()
    }
    .read();
    let both = |rest: String| Plan {
        rest,
        ..Plan::bare()
    };
    let plan = both(format!(
        "{}{}",
        viewed("will-not-do").rest,
        areas(["glabella"], "")
    ));
    let visit = plan.read(&clinic);
    let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
    assert_eq!(raised(&clinic, &visit, "will-not-do"), Some(Level::Stop));
    assert!(
        selection
            .areas
            .iter()
            .all(|selected| selected.area.id != "masseter")
    );
    assert!(
        selection.statements.iter().all(|s| s
            .id
            .owner()
            .area()
            .is_none_or(|area| *area != "masseter"))
    );
    // the clinic's own view holds unless the plan has another
    let clinics = both(areas(["platysma"], "")).read(&clinic);
    assert_eq!(raised(&clinic, &clinics, "will-not-do"), Some(Level::Stop));
    let plans = both(areas(["platysma"], "stance = \"neutral\"\n")).read(&clinic);
    assert_eq!(raised(&clinic, &plans, "will-not-do"), None);
}

/// Face to face before prescribing: NMC position from 1 June 2025 and an indemnity guide for doctors (C98, C99), second-hand.
#[test]
fn whoever_prescribes_has_to_be_named_and_to_have_seen_the_patient() {
    let clinic = |region: &str, prescribes: &str| {
        ClinicFile {
            rest: format!(
                "{prescribes}\n[[practitioner]]\nid = \"b-two\"\nname = \"Bo Two (invented)\"\nrole = \"doctor\"\nregistration = \"INVENTED-2\"\n"
            ),
            ..ClinicFile::at(region)
        }
        .read()
    };
    let no = "prescribes = false";
    for (region, prescribes, visit, named, seen) in [
        ("GB-ENG", no, "", Some(Level::Ask), None),
        ("US", no, "", Some(Level::Ask), None),
        ("GB-ENG", "prescribes = true", "", None, None),
        ("GB-ENG", "", "", None, None),
        (
            "GB-ENG",
            no,
            "prescriber = \"a-one\"\n",
            Some(Level::Ask),
            None,
        ),
        (
            "GB-ENG",
            no,
            "prescriber = \"b-two\"\n",
            None,
            Some(Level::Ask),
        ),
        ("US", no, "prescriber = \"b-two\"\n", None, None),
        (
            "GB-WLS",
            no,
            "prescriber = \"b-two\"\nprescriber_saw_on = 2026-12-01\n",
            None,
            None,
        ),
    ] {
        let clinic = clinic(region, prescribes);
        let visit = Plan {
            visit: visit.to_owned(),
            rest: areas(["masseter"], ""),
            ..Plan::bare()
        }
        .read(&clinic);
        let found =
            ["prescriber-not-named", "prescriber-not-seen"].map(|id| raised(&clinic, &visit, id));
        assert_eq!(
            found,
            [named, seen],
            "{region} {prescribes} {}",
            visit.prescriber.is_some()
        );
    }
}

/// Sweden: two full days (D61, C104); Denmark: two days (D62); Australia: seven days under 18 (D57, C107); England: none.
#[test]
fn the_hours_of_information_and_visit_count_where_days_are_not_full_ones() {
    let wait = |region: &str, born: &str, informed: &str, at: &str, time: &str| {
        let clinic = ClinicFile::at(region).read();
        let line = |key: &str, value: &str| match value {
            "" => String::new(),
            value => format!("{key} = {value}\n"),
        };
        let plan = Plan {
            born: born.to_owned(),
            visit: format!(
                "informed_on = {informed}\n{}{}",
                line("informed_at", at),
                line("time", time)
            ),
            rest: areas(["masseter"], ""),
            ..Plan::bare()
        };
        let visit = plan.read(&clinic);
        raised(&clinic, &visit, "time-too-short").is_some()
    };
    let adult = "1984-02-11";
    // the visit is on 3 December
    assert!(!wait("DK", adult, "2026-12-01", "", ""));
    assert!(!wait("DK", adult, "2026-12-01", "14:30", ""));
    assert!(!wait("DK", adult, "2026-12-01", "14:30", "14:30"));
    assert!(wait("DK", adult, "2026-12-01", "14:31", "14:30"));
    assert!(!wait("DK", adult, "2026-11-30", "18:00", "09:00"));
    assert!(wait("DK", adult, "2026-12-02", "09:00", "18:00"));
    // full days do not look at the hour
    assert!(wait("SE", adult, "2026-12-01", "09:00", "18:00"));
    assert!(!wait("SE", adult, "2026-11-30", "18:00", "09:00"));
    let young = "2009-06-01";
    assert!(wait("AU", young, "2026-11-26", "15:00", "14:00"));
    assert!(!wait("AU", young, "2026-11-26", "14:00", "15:00"));
    assert!(!wait("AU", adult, "2026-12-02", "15:00", "14:00"));
    assert!(!wait("GB-ENG", adult, "2026-12-02", "15:00", "14:00"));
}
