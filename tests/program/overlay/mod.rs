//! A clinic's overlay as a practice would try it: the built program in temporary folders, its papers and what it says.
//!
//! Invariant: every P8 mistake is made by some case.
//! Must not: write into `samples/`, or take an expectation from the program's own output.

mod hostile;
mod mistakes;
mod papers;
mod release;

use std::path::Path;

use crate::support;

/// A desk whose clinic file names the overlay `ours`, with the standard plan and these files in the overlay.
fn desk(files: &[(&str, &str)]) -> tempfile::TempDir {
    let clinic = support::clinic().replacen(
        "language = \"en\"",
        "language = \"en\"\noverlay = \"ours\"\nallow_unapproved = \"training\"",
        1,
    );
    let desk = support::desk_of(&clinic);
    std::fs::create_dir_all(desk.path().join("ours")).expect("a temporary folder");
    support::put(desk.path(), "plan.toml", support::Plan::default().toml());
    for (name, text) in files {
        put(desk.path(), name, text.as_bytes());
    }
    desk
}

/// Writes a file into the overlay of a desk.
fn put(desk: &Path, name: &str, bytes: &[u8]) {
    let path = desk.join("ours").join(name);
    std::fs::create_dir_all(path.parent().expect("inside ours")).expect("a temporary folder");
    std::fs::write(path, bytes).expect("a temporary folder");
}

/// `FILE CODE line:column` of each mistake that `check` reports of the plan.
fn mistakes_at(desk: &Path) -> Vec<String> {
    let ran = support::run(desk, &["check", "plan.toml", "--format", "json"]);
    let report: serde_json::Value = serde_json::from_str(&ran.out)
        .unwrap_or_else(|error| panic!("{error}\n{}\n{}", ran.out, ran.err));
    let Some(found) = report["plans"][0]["mistakes"].as_array() else {
        return Vec::new();
    };
    assert_eq!(ran.code, 1, "{}", ran.err);
    found
        .iter()
        .map(|mistake| {
            let text = |key: &str| mistake[key].as_str().expect("a text").to_owned();
            for sentence in ["problem", "remedy"] {
                let said = text(sentence);
                assert!(said.ends_with(['.', '?']), "{said}");
                assert!(
                    ran.err.contains(&said) || ran.err.contains("more;"),
                    "{said}\n{}",
                    ran.err
                );
            }
            let number = |key: &str| {
                mistake[key]
                    .as_u64()
                    .map_or("-".to_owned(), |n| n.to_string())
            };
            format!(
                "{} {} {}:{}",
                text("file"),
                text("code"),
                number("line"),
                number("column")
            )
        })
        .collect()
}

const SQUARE: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 9 9\" width=\"9\" height=\"9\">\
                      <path d=\"M1 1h7v7h-7z\" fill=\"#123456\"/></svg>\n";
