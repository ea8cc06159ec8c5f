//! Turns the folder of samples into its plans, their texts and what the library reads in them.
//!
//! Invariant: every plan file under `samples/` is found; a new sample is tested without a word here.
//! Must not: write into `samples/`.

use std::path::{Path, PathBuf};

use beforehand::plan::{Clinic, Visit};

use beforehand::catalogue::Catalogue;
use beforehand::diagnose::SourceFile;
use beforehand::papers;
use beforehand::plan;

use super::{names_in, root};

/// Every plan under `samples/`, relative to the package, sorted.
pub fn plans() -> Vec<PathBuf> {
    let mut found = Vec::new();
    for clinic in names_in(&root().join("samples")) {
        let folder = PathBuf::from("samples").join(clinic);
        for name in names_in(&root().join(&folder)) {
            let is_plan = name.ends_with(".toml") || name.ends_with(".json");
            // approvals of a clinic are no plans
            if is_plan && !name.starts_with("clinic.") && !name.starts_with("approvals.") {
                found.push(folder.join(name));
            }
        }
    }
    assert!(
        found.len() >= 8,
        "eight sample plans at least, found {found:?}"
    );
    found
}

/// A path that is relative to the package, as an argument of the program.
pub fn shown(path: &Path) -> &str {
    path.to_str().expect("sample names are ASCII")
}

/// The clinic file that stands beside a plan.
pub fn clinic_beside(plan: &Path) -> PathBuf {
    plan.with_file_name("clinic.toml")
}

/// The text of a sample file, and what it says.
pub fn table(file: &Path) -> (String, toml::Table) {
    let text = std::fs::read_to_string(root().join(file)).expect("a sample can be read");
    let table = if file.extension().is_some_and(|e| e == "json") {
        serde_json::from_str(&text).expect("a sample is valid JSON")
    } else {
        text.parse().expect("a sample is valid TOML")
    };
    (text, table)
}

/// A clinic file with what a telephone may show switched on.
pub fn with_calendar_details(clinic: &Path) -> String {
    let (text, _) = table(clinic);
    let zone = text
        .find("time_zone")
        .expect("the samples name their time zone");
    let (before, after) = text.split_at(zone);
    format!("{before}calendar_details = true\n{after}")
}

/// Clinic and visit of a plan, relative to the package.
pub fn read(plan: &Path) -> (Clinic, Visit) {
    let open = |path: &Path| SourceFile::open(root().join(path)).expect("a sample can be read");
    let vocabulary = papers::vocabulary(Catalogue::embedded());
    let clinic =
        plan::read_clinic(&open(&clinic_beside(plan)), &vocabulary).expect("a good clinic");
    let visit = plan::read_plan(&open(plan), &vocabulary, Some(&clinic)).expect("a good plan");
    (clinic, visit)
}
