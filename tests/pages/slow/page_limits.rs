//! Turns each area alone, in every language and on every paper for the patient, into the number of pages it takes.
//!
//! Invariant: the form that is signed is one sheet; what is read takes no more than it takes today.
//! Whole sentences and every required risk come before a sheet of paper.
//! Must not: hold large print or several areas to it.

use beforehand::paper::PaperKind;
use beforehand::papers::{self, MakeOptions};
use beforehand::plan::{Clinic, Visit};
use beforehand::typeset::Typesetter;
use beforehand::wording::{Approval, Approvals};

use crate::support::catalogue::{treatable, treatable_ids};
use crate::support::{ClinicFile, Plan, areas, make};

fn read(region: &str, training: bool, language: &str, planned: &[&str]) -> (Clinic, Visit) {
    let training = if training {
        "allow_unapproved = \"training\""
    } else {
        ""
    };
    let clinic = ClinicFile {
        name: "Linden Court Practice (invented)".to_owned(),
        address: ["4 Example Row", "Sampleton", "ZZ1 1ZZ"]
            .map(str::to_owned)
            .to_vec(),
        more: training.to_owned(),
        person: "Dr Mira Varga (invented)".to_owned(),
        role: "doctor".to_owned(),
        ..ClinicFile::at(region)
    }
    .read();
    let visit = Plan {
        name: "Ines Aldana (invented)".to_owned(),
        record: "TR-20417".to_owned(),
        facts: format!("language = \"{language}\""),
        rest: areas(
            planned.iter().copied(),
            "units = 20\naim = \"a small change\"\n",
        ),
        ..Plan::when("date = 2026-12-03\ntime = 14:30\ninformed_on = 2026-11-26")
    }
    .read(&clinic);
    (clinic, visit)
}

/// As if somebody had approved every word: a form that can be signed, without a mark on its pages.
fn all_approved(clinic: &Clinic, visit: &Visit) -> Approvals {
    let wording = papers::wording_for(visit, clinic).expect("a wording");
    let statements = wording
        .statements()
        .keys()
        .filter_map(|id| Some((id.clone(), wording.digest(id)?)));
    Approvals {
        approval: vec![Approval {
            language: wording.tag().to_owned(),
            by: "Dr A. Example (invented)".to_owned(),
            registration: "INVENTED-9".to_owned(),
            on: "2026-11-01".to_owned(),
            statements: statements.collect(),
        }],
    }
}

/// What is signed keeps to its sheet, on US letter too, which is 18 mm lower. Whole sentences come before sheets of paper: what
/// is read takes more than it should (DC-32 says so), and this holds it to what it takes today.
fn most(region: &str, kind: PaperKind, language: &str) -> usize {
    let sides = kind.sides(1).expect("a paper with a limit");
    match (region, kind, language) {
        (_, PaperKind::Information, "es") => sides + 6,
        // the lower page
        ("US", PaperKind::Information, _) => sides + 5,
        (_, PaperKind::Information, _) => sides + 4,
        // a course of visits has dates of its own to tell, and the picture of dates is not split
        (_, PaperKind::Aftercare, "es") => sides + 3,
        // both sides of two sheets, the last one a diary
        (_, PaperKind::Aftercare, _) => sides + 2,
        _ => sides,
    }
}

/// What is longer than it may be, for one region in both editions: for training and approved.
fn too_long(region: &str, language: &str, editions: &[bool]) -> Vec<String> {
    let mut found = Vec::new();
    for &training in editions {
        for (area, kind, pages) in sides(region, training, language) {
            let most = most(region, kind, language);
            if pages > most {
                found.push(format!(
                    "{region} {language} {area}: {kind} {pages} sides, {most} at most"
                ));
            }
        }
    }
    found
}

/// How many sides each area's papers take that have a limit.
fn sides(region: &str, training: bool, language: &str) -> Vec<(&'static str, PaperKind, usize)> {
    let typesetter = Typesetter::embedded();
    let mut found = Vec::new();
    for area in treatable_ids() {
        let (clinic, visit) = read(region, training, language, &[area]);
        let approvals = if training {
            Approvals::none()
        } else {
            all_approved(&clinic, &visit)
        };
        let made = make(
            &clinic,
            &visit,
            &approvals,
            &typesetter,
            &MakeOptions::default(),
        )
        .expect("papers");
        let sheets = made.papers.iter().filter(|made| made.kind.is_handed_out());
        for sheet in sheets {
            // marked for training, or ready to be signed; never a draft without the places to sign
            assert_eq!(sheet.document.running_lines.notice.is_some(), training);
        }
        for paper in &made.papers {
            if paper.kind.sides(1).is_some() {
                found.push((area, paper.kind, paper.pages.count()));
            }
        }
    }
    assert_eq!(found.len(), 36, "twelve areas, three papers each");
    found
}

fn assert_keeps_to_its_sheets(language: &str, regions: &[(&str, &[bool])]) {
    let found: Vec<String> = regions
        .iter()
        .flat_map(|(region, editions)| too_long(region, language, editions))
        .collect();
    assert_eq!(found, Vec::<String>::new());
}

#[test]
fn one_area_alone_keeps_to_its_sheets_in_english() {
    assert_keeps_to_its_sheets("en", &[("GB-ENG", &[true, false]), ("US", &[true])]);
}

#[test]
fn one_area_alone_keeps_to_its_sheets_in_spanish() {
    // the mark of a training copy takes a line more, and what is approved was held to its sheets above
    assert_keeps_to_its_sheets("es", &[("ES", &[true]), ("US", &[true])]);
}

/// The four areas with most risks to name, on both sizes of paper, for training and approved: one sheet in English, a third side
/// at most in Spanish, whose names of risks are longer.
#[test]
fn the_form_of_four_areas_keeps_to_its_sheet() {
    let typesetter = Typesetter::embedded();
    let mut longest = treatable();
    longest.sort_by_key(|area| std::cmp::Reverse(area.risk.len()));
    let four: Vec<&str> = longest
        .iter()
        .take(4)
        .map(|area| area.id.as_str())
        .collect();
    let mut found = Vec::new();
    for (region, language) in [("GB-ENG", "en"), ("US", "en"), ("ES", "es"), ("US", "es")] {
        for training in [true, false] {
            let (clinic, visit) = read(region, training, language, &four);
            let approvals = match training {
                true => Approvals::none(),
                false => all_approved(&clinic, &visit),
            };
            let options = MakeOptions::default();
            let made = make(&clinic, &visit, &approvals, &typesetter, &options).expect("papers");
            let form = made.paper(PaperKind::Consent).expect("a form");
            let (sides, most) = (form.pages.count(), PaperKind::Consent.sides(4));
            let longer = usize::from(language == "es");
            if Some(sides) > most.map(|most| most + longer) {
                found.push(format!(
                    "{region} {language}, training {training}: {sides} sides"
                ));
            }
        }
    }
    assert_eq!(found, Vec::<String>::new());
}
