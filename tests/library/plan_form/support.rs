//! The plans that forms are tried on, each with the vocabulary it is read with.
//!
//! Must not: leave out a plan because its form is hard.

use std::path::{Path, PathBuf};

use beforehand::diagnose::{Format, SourceFile};
use beforehand::overlay::Overlay;
use beforehand::plan::{AreaWord, Side, Vocabulary};
use beforehand::plan_form::PlanForm;
use beforehand::{catalogue::Catalogue, papers};

use crate::support::{plan_reader, root};

/// A plan as it lies on disk.
pub struct Plan {
    pub path: PathBuf,
    pub text: String,
    pub format: Format,
    pub vocabulary: Vocabulary,
}

impl Plan {
    pub fn read(path: PathBuf, vocabulary: Vocabulary) -> Plan {
        let text = std::fs::read_to_string(&path).expect("a file of this repository");
        let format = Format::of(&path).expect("a plan");
        Plan {
            path,
            text,
            format,
            vocabulary,
        }
    }

    pub fn source(&self) -> SourceFile {
        source(&self.text, self.format)
    }

    pub fn form(&self) -> PlanForm {
        form(&self.text, self.format, &self.vocabulary)
    }
}

pub fn source(text: &str, format: Format) -> SourceFile {
    SourceFile::from_bytes("plan", text.as_bytes(), format).expect("a text")
}

pub fn form(text: &str, format: Format, vocabulary: &Vocabulary) -> PlanForm {
    PlanForm::of(&source(text, format), vocabulary).expect("it can be taken apart")
}

/// The words of the release, and the area that one of the sample clinics has of its own.
pub fn vocabulary() -> Vocabulary {
    let mut vocabulary = papers::vocabulary(Catalogue::embedded());
    assert!(Overlay::none().areas.is_empty());
    vocabulary.areas.push(AreaWord {
        id: "risorius".into(),
        sides: vec![Side::Both, Side::Left, Side::Right],
    });
    vocabulary
}

fn plans_under(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            plans_under(&path, found);
        } else if Format::of(&path).is_some() {
            found.push(path);
        }
    }
}

/// Every plan under `samples/`.
pub fn samples() -> Vec<Plan> {
    let mut paths = Vec::new();
    plans_under(&root().join("samples"), &mut paths);
    paths.sort();
    let plans: Vec<Plan> = paths
        .into_iter()
        .map(|path| Plan::read(path, vocabulary()))
        .filter(|plan| {
            let names = |what: &str| plan.text.contains(what);
            names("[patient]") || names("\"patient\"")
        })
        .collect();
    assert!(plans.len() >= 20, "{} sample plans", plans.len());
    plans
}

/// The good plans of the tests, and every file of mistakes that can be taken apart; clinic files among them hold nothing a form
/// knows.
pub fn of_tests() -> Vec<Plan> {
    let mut paths = Vec::new();
    for folder in ["tests/plan_good", "tests/mistakes"] {
        for entry in std::fs::read_dir(root().join(folder)).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_file() && Format::of(&path).is_some() {
                paths.push(path);
            }
        }
    }
    paths.sort();
    let plans = paths
        .into_iter()
        .map(|path| Plan::read(path, plan_reader::vocabulary()));
    let plans: Vec<Plan> = plans
        .filter(|plan| PlanForm::of(&plan.source(), &plan.vocabulary).is_ok())
        .collect();
    assert!(
        plans.len() >= 100,
        "{} plans can be taken apart",
        plans.len()
    );
    plans
}

/// The lines of a text that are remarks, and the remarks behind values, in order.
pub fn remarks(text: &str) -> Vec<String> {
    let found = text.lines().filter_map(|line| {
        let mut in_text = false;
        let at = line.char_indices().find_map(|(at, c)| {
            match c {
                '"' => in_text = !in_text,
                '#' if !in_text => return Some(at),
                _ => {}
            }
            None
        })?;
        Some(line[at..].to_owned())
    });
    found.collect()
}
