//! What the tests of the plan reader share: an invented vocabulary, clinic and plan.
//!
//! Must not: be taken for the catalogue; the limits of absurdity here are invented.

use std::path::{Path, PathBuf};

use beforehand::diagnose::{Diagnostic, Format, SourceFile};
use beforehand::domain::{CautionId, Trigger};
use beforehand::plan::{
    AreaWord, CautionWord, Clinic, FactKind, FactWord, OtherToxinWord, ProductWord, Side, Visit,
    Vocabulary, read_clinic, read_plan,
};

use super::root;
use super::visit::read_right;

pub fn folder() -> PathBuf {
    root().join("tests")
}

pub fn vocabulary() -> Vocabulary {
    let sided = [Side::Both, Side::Left, Side::Right];
    let area = |id: &str, sides: &[Side]| AreaWord {
        id: id.into(),
        sides: sides.to_vec(),
    };
    let fact = |id: &str, kind| FactWord {
        id: id.into(),
        kind,
    };
    let product = |id: &str, absurd_above| ProductWord {
        id: id.into(),
        absurd_above,
    };
    let words = |list: &[&str]| list.iter().map(|word| (*word).to_owned()).collect();
    Vocabulary {
        areas: vec![
            area("glabella", &[Side::Midline]),
            area("forehead", &[Side::Midline]),
            area("lateral_canthus", &sided),
            area("masseter", &sided),
            area("mentalis", &[Side::Midline]),
        ],
        facts: vec![
            fact("speaks_publicly", FactKind::Flag),
            fact("plays_wind_instrument", FactKind::Flag),
            fact("lip_filler_side", FactKind::Side),
            fact("occupation", FactKind::Text),
            fact("gum_shown_mm", FactKind::Number),
        ],
        products: vec![
            product("onabotulinumtoxinA", 200.0),
            product("abobotulinumtoxinA", 500.0),
            product("incobotulinumtoxinA", 200.0),
        ],
        other_toxins: vec![OtherToxinWord {
            id: "rimabotulinumtoxinB".into(),
            serotype: "B".to_owned(),
            also: words(&["botulinum toxin type B", "type B"]),
            absurd_above: 20_000.0,
        }],
        cautions: vec![
            CautionWord {
                id: CautionId::Rule("interval".into()),
                stops: false,
            },
            CautionWord {
                id: CautionId::Rule("pregnant".into()),
                stops: true,
            },
            CautionWord {
                id: Trigger::Diary.into(),
                stops: false,
            },
        ],
        regions: ["GB-ENG", "GB-SCT", "ES", "US-CA"].map(Into::into).into(),
        languages: words(&["en", "es", "fr", "ar"]),
        needs: words(&["speech", "smile", "photographs"]),
        reasons: words(&["asymmetry", "bruxism"]),
        advice: ["stay-upright", "rest-muscles", "no-ice"]
            .map(Into::into)
            .into(),
    }
}

pub fn source(name: &str, text: &str) -> SourceFile {
    let format = Format::of(Path::new(name)).expect("test names end in .toml or .json");
    SourceFile::from_bytes(name, text.as_bytes(), format).expect("test texts are not empty")
}

pub fn good(name: &str) -> String {
    std::fs::read_to_string(folder().join("plan_good").join(name))
        .expect("a file of this repository")
}

pub fn clinic() -> Clinic {
    let source = source("clinic.toml", &good("clinic.toml"));
    read_right(read_clinic(&source, &vocabulary()), &source)
}

/// Reads a plan with the test clinic.
pub fn plan(name: &str, text: &str) -> Result<Visit, Vec<Diagnostic>> {
    read_plan(&source(name, text), &vocabulary(), Some(&clinic()))
}

/// Reads a plan that must be right.
pub fn right(name: &str, text: &str) -> Visit {
    let source = source(name, text);
    read_right(read_plan(&source, &vocabulary(), Some(&clinic())), &source)
}

/// `P401 4:8` for each mistake.
pub fn summary(found: &[Diagnostic]) -> Vec<String> {
    found
        .iter()
        .map(|d| {
            let place = |n: Option<usize>| n.map_or("-".to_owned(), |n| n.to_string());
            format!(
                "{} {}:{}",
                d.code.as_str(),
                place(d.line()),
                place(d.column())
            )
        })
        .collect()
}
