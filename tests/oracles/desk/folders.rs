//! Turns an invented practice into the folders that its screens need: every state of a visit, and folders in which something is wrong.
//!
//! Invariant: a folder is new for each test; what is in it comes from the samples, with the change that its name says.
//! Must not: know what a screen shows.

use std::path::Path;

use serde_json::Value;

use super::{Practice, open, runs};
use crate::support::desk::Desk;
use crate::support::wording::of_other_words;

/// The plans that the samples do not have: twice, broken, of other days.
pub(super) fn complete(practice: &Practice) {
    practice.put(
        "ohrn-again.toml",
        practice.text("ohrn.toml").replace("Öhrn", "Öhrn-Berg"),
    );
    practice.put("broken.toml", "[visit\ndate = 2026-12-03\n");
    let asks = practice.text("lindqvist.toml");
    let on = |day: &str, name: &str| {
        asks.replace("Rosa Lindqvist", name)
            .replace("2026-12-03", day)
            .replace("BV-131", &format!("BV-{}", name.len()))
    };
    practice.put("answered.toml", on("2026-12-05", "Ylva Sand"));
    practice.put("two-at-it.toml", on("2026-12-06", "Ebba Strand"));
    practice.put(
        "printed.toml",
        practice
            .text("ohrn.toml")
            .replace("2026-12-03", "2026-12-07")
            .replace("Åsa Öhrn", "Tuva Myr"),
    );
    // made twice: the paper of the first time is out of date
    let make = || {
        runs(
            practice.path(),
            &["make", "printed.toml", "--out", "papers"],
        )
    };
    make();
    let other = practice
        .text("printed.toml")
        .replace(&format!("units = {}", practice.units), "units = 15");
    practice.put("printed.toml", other);
    make();
}

/// Code and file of a paper that was made twice: the first and the second time.
pub(super) fn codes_in(register: &Path) -> [(String, String); 2] {
    let text = std::fs::read_to_string(register).expect("a register");
    let lines: Vec<(String, String)> = text
        .lines()
        .map(|line| {
            let line: Value = serde_json::from_str(line).expect("lines of JSON");
            let text = |key: &str| line[key].as_str().unwrap_or_default().to_owned();
            (text("code"), text("file"))
        })
        .filter(|(_, file)| file.ends_with("information.pdf"))
        .collect();
    <[_; 2]>::try_from(lines).expect("a paper that was made twice")
}

/// A desk on this practice and those on folders in which something is wrong.
pub(super) struct Desks {
    pub main: Desk,
    pub everything: Desk,
    pub many: Desk,
    pub failed: Desk,
    pub alone: Desk,
    pub empty: Desk,
    pub plans_only: Desk,
    pub mistaken: Desk,
    /// Approved words, of which two have changed since.
    pub approved: Desk,
    _folders: Vec<tempfile::TempDir>,
}

pub(super) fn desks(practice: &Practice) -> Desks {
    let folder = |files: &[(&str, String)]| {
        let folder = tempfile::tempdir().expect("a folder");
        for (name, text) in files {
            crate::support::put(folder.path(), name, text);
        }
        folder
    };
    let clinic = practice.text("clinic.toml");
    let ready = practice.text("ohrn.toml");
    let everything = super::root().join("samples/linden-court");
    let read = |name: &str| std::fs::read_to_string(everything.join(name)).expect("a sample");
    let of_everything = match practice.locale {
        "en-GB" => [
            ("clinic.toml", read("clinic.toml")),
            ("everything.toml", read("everything.toml")),
        ],
        _ => [
            ("clinic.toml", clinic.clone()),
            (
                "everything.toml",
                read("everything.toml").replace("m-varga", practice.first),
            ),
        ],
    };
    let many = folder(&[("clinic.toml", clinic.clone())]);
    for number in 0..60 {
        let one = ready.replace("BV-118", &format!("BV-{number:03}"));
        crate::support::put(many.path(), &format!("{number}.toml"), one);
    }
    let folders = vec![
        folder(&of_everything),
        many,
        folder(&[
            ("clinic.toml", clinic.clone()),
            ("ohrn.toml", ready.clone()),
            ("papers", String::new()),
        ]),
        folder(&[("clinic.toml", clinic.clone())]),
        folder(&[]),
        folder(&[("ohrn.toml", ready)]),
        folder(&[(
            "clinic.toml",
            clinic
                .replace("region", "regoin")
                .replace("time_zone = \"", "time_zone = \"Nowhere/"),
        )]),
        folder(&[("clinic.toml", clinic)]),
    ];
    approve_and_change(folders[7].path());
    let at = |number: usize| open(folders[number].path());
    Desks {
        main: practice.open(),
        everything: at(0),
        many: at(1),
        failed: at(2),
        alone: at(3),
        empty: at(4),
        plans_only: at(5),
        mistaken: at(6),
        approved: at(7),
        _folders: folders,
    }
}

/// Records an approval of all words, and makes it one of other words of two statements.
fn approve_and_change(folder: &Path) {
    let by = ["--by", "Dr Ada Ferrow (invented)", "--registration", "1"];
    let what = ["wording", "approve", "--clinic", "clinic.toml"];
    runs(
        folder,
        &[&what[..], &by[..], &["--on", "2026-12-01"]].concat(),
    );
    let file = folder.join("approvals.toml");
    let text = std::fs::read_to_string(&file).expect("approvals");
    let text = of_other_words(&text, &["advice.driving", "advice.no-heat"]);
    std::fs::write(file, text).expect("approvals");
}
