//! Turns each area alone, in every language and on both papers, into the number of pages it takes.
//!
//! Invariant: a consent form of one area is two sheets of paper at most, its aftercare sheet one, printed on both sides.
//! Must not: hold large print or several areas to it.

use beforehand::paper::PaperKind;
use beforehand::papers::{self, MakeOptions};
use beforehand::plan::{Clinic, Visit};
use beforehand::typeset::Typesetter;
use beforehand::wording::{Approval, Approvals};

use crate::support::catalogue::treatable_ids;
use crate::support::{ClinicFile, Plan, areas, make};

fn read(region: &str, training: bool, language: &str, area: &str) -> (Clinic, Visit) {
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
        rest: areas([area], "units = 20\naim = \"a small change\"\n"),
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

/// Every paper that takes too many pages.
fn too_long(region: &str, training: bool, language: &str) -> Vec<String> {
    let typesetter = Typesetter::embedded();
    let mut found = Vec::new();
    let mut tried = 0;
    for area in treatable_ids() {
        let (clinic, visit) = read(region, training, language, area);
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
            let most = match paper.kind {
                PaperKind::Consent => 4,
                PaperKind::Aftercare => 2,
                PaperKind::CheckSheet | PaperKind::Evidence => continue,
            };
            tried += 1;
            let pages = paper.pages.count();
            if pages > most {
                let name = paper.kind.as_str();
                found.push(format!(
                    "{region} {language} {area}: {name} {pages} pages, {most} at most"
                ));
            }
        }
    }
    assert_eq!(tried, 24, "twelve areas, two papers each");
    found
}

#[test]
fn one_area_alone_keeps_to_its_sheets_in_english() {
    for (region, training) in [("GB-ENG", true), ("GB-ENG", false), ("US", true)] {
        assert_eq!(too_long(region, training, "en"), Vec::<String>::new());
    }
}

#[test]
fn one_area_alone_keeps_to_its_sheets_in_spanish() {
    for (region, training) in [("ES", true), ("ES", false), ("US", true)] {
        assert_eq!(too_long(region, training, "es"), Vec::<String>::new());
    }
}
