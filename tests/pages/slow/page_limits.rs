//! Turns each area alone, in every language and on both papers, into the number of pages it takes.
//!
//! Invariant: a consent form of one area is two sheets of paper at most, its aftercare sheet one, printed on both sides.
//! Must not: hold large print or several areas to it.

use beforehand::catalogue::{Catalogue, Restriction, Side};
use beforehand::diagnose::{Format, SourceFile};
use beforehand::paper::PaperKind;
use beforehand::papers::{self, Inputs, MakeOptions};
use beforehand::plan::{self, Clinic, Visit};
use beforehand::typeset::Typesetter;
use beforehand::wording::{Approval, Approvals};

fn read(region: &str, training: bool, language: &str, area: &str, side: &str) -> (Clinic, Visit) {
    let vocabulary = papers::vocabulary(Catalogue::embedded());
    let training = if training {
        "allow_unapproved = \"training\"\n"
    } else {
        ""
    };
    let clinic = format!(
        "[clinic]\nname = \"Linden Court Practice (invented)\"\naddress = [\"4 Example Row\", \"Sampleton\", \"ZZ1 1ZZ\"]\n\
         phone = \"01632 960 101\"\nphone_out_of_hours = \"01632 960 199\"\nregion = \"{region}\"\nlanguage = \"en\"\ntime_zone = \"Europe/London\"\n{training}\
         [[practitioner]]\nid = \"p\"\nname = \"Dr Mira Varga (invented)\"\nrole = \"doctor\"\nregistration = \"INVENTED-0001\"\n"
    );
    let clinic =
        SourceFile::from_bytes("clinic.toml", clinic.as_bytes(), Format::Toml).expect("text");
    let clinic = plan::read_clinic(&clinic, &vocabulary).expect("a good clinic");
    let plan = format!(
        "[patient]\nname = \"Ines Aldana (invented)\"\nborn = 1984-02-11\nrecord = \"TR-20417\"\nlanguage = \"{language}\"\n\
         [visit]\ndate = 2026-12-03\ntime = 14:30:00\ninformed_on = 2026-11-26\npractitioner = \"p\"\n\
         [product]\nname = \"onabotulinumtoxinA\"\n[[area]]\nid = \"{area}\"\nunits = 20\naim = \"a small change\"\n{side}"
    );
    let plan = SourceFile::from_bytes("plan.toml", plan.as_bytes(), Format::Toml).expect("text");
    let visit = plan::read_plan(&plan, &vocabulary, Some(&clinic)).expect("a good plan");
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
    for area in &Catalogue::embedded().areas {
        if area.restriction.value == Restriction::DoNotTreat {
            continue;
        }
        let side = match area.sides.first() {
            Some(Side::Midline) | None => "",
            Some(Side::Both) => "side = \"both\"\n",
            Some(_) => "side = \"left\"\nreason = \"asymmetry\"\n",
        };
        let (clinic, visit) = read(region, training, language, area.id.as_str(), side);
        let approvals = if training {
            Approvals::none()
        } else {
            all_approved(&clinic, &visit)
        };
        let made = papers::make(
            Inputs {
                catalogue: Catalogue::embedded(),
                clinic: &clinic,
                visit: &visit,
                approvals: &approvals,
                typesetter: &typesetter,
            },
            &MakeOptions::default(),
        )
        .expect("papers");
        let sheets = made.papers.iter().filter(|made| made.kind.is_handed_out());
        for sheet in sheets {
            // marked for training, or ready to be signed; never a draft without the places to sign
            assert_eq!(sheet.document.furniture.notice.is_some(), training);
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
                    "{region} {language} {}: {name} {pages} pages, {most} at most",
                    area.id
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
