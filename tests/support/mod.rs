//! What all test binaries share, a module for each: invented visits (`visit`), samples, runs of the built program (`program`),
//! changed templates and catalogues, outside referees, and what tools read in a paper.
//!
//! Invariant: a missing outside tool skips a test on a desk and fails it when `CI` is set; it never passes unseen.
//! Must not: write anywhere but in temporary folders, or hold an expectation about the papers.
#![allow(dead_code, reason = "each binary uses its own part")]

pub mod boxes;
pub mod calendar_file;
pub mod catalogue;
pub mod composed;
pub mod desk;
pub mod html;
pub mod language_words;
pub mod pictures;
pub mod plan_reader;
pub mod program;
pub mod referee;
pub mod samples;
pub mod stand_in_font;
pub mod templates;
pub mod visit;
pub mod web;
pub mod wording;

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use beforehand::typeset::Pages;

// what nearly every test needs
pub use program::*;
pub use visit::*;

/// That of the program: laying out pages asks for memory so often that a fifth of a run of tests went to finding it.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// The folder of this package.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Text without white space: where lines break is not what is asked.
pub fn squeeze(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

/// What stands on the pages for each statement, all its pieces one after the other.
pub fn printed(pages: &Pages) -> BTreeMap<&str, String> {
    let placed = pages.statements().iter();
    placed
        .map(|(id, placed)| {
            let runs = placed.runs.iter().map(|run| run.text.as_str());
            (id.as_str(), runs.collect())
        })
        .collect()
}

/// Whether an outside tool is here. Without it a test is skipped, which continuous integration does not allow.
pub fn has_tool(tool: &str) -> bool {
    let found = Command::new(tool).arg("--version").output().is_ok();
    if !found {
        assert!(
            std::env::var_os("CI").is_none(),
            "{tool} is not installed, and CI is set"
        );
        eprintln!("skipped: {tool} is not installed");
    }
    found
}

/// The text of a PDF as poppler reads it, page by page; `None` when poppler is not here.
pub fn read_back(pdf: &Path) -> Option<Vec<String>> {
    if !has_tool("pdftotext") {
        return None;
    }
    let output = Command::new("pdftotext")
        .args(["-enc", "UTF-8"])
        .arg(pdf)
        .arg("-")
        .output()
        .expect("pdftotext runs");
    assert!(
        output.status.success(),
        "pdftotext could not read {}",
        pdf.display()
    );
    let text = String::from_utf8(output.stdout).expect("UTF-8 was asked for");
    let mut pages: Vec<String> = text.split('\u{c}').map(str::to_owned).collect();
    // a form feed ends every page, the last one too
    assert_eq!(pages.pop().as_deref().map(str::trim), Some(""));
    Some(pages)
}
