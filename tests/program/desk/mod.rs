//! The page in the browser, as the front desk and whoever treats meet it, without script: forms filled in and sent, files afterwards.
//!
//! Must not: know how the page is made; what a file must hold afterwards is said by the command line, or by hand.

mod addresses;
mod changed;
mod day;
mod filled;
mod first;
mod killed;
mod lists;
mod look_up;
mod next_round;
mod saving;
mod spanish;
mod words;

use std::path::Path;

use crate::support::desk::Desk;
use crate::support::html::Page;
use crate::support::web::Browser;
use crate::support::{program, root};

/// The day that the samples of one day are of.
const DATE: &str = "2026-12-03";
/// The day before.
const TODAY: &str = "2026-12-02";
/// The samples of one day.
const THURSDAY: &str = "samples/bjorkviken/thursday";
/// The plans among them that are of that day.
const PLANS: [&str; 8] = [
    "brattland",
    "castellan",
    "lindqvist",
    "ohrn",
    "oyelowo",
    "quintana",
    "renn",
    "vanterpool",
];

/// A desk that is open, and somebody at it.
struct Opened {
    browser: Browser,
    _desk: Desk,
}

impl std::ops::Deref for Opened {
    type Target = Browser;

    fn deref(&self) -> &Browser {
        &self.browser
    }
}

/// Opens a folder as a desk on a day.
fn open(folder: &Path, today: &str) -> Opened {
    let desk = Desk::start(program(folder).args(["desk", ".", "--today", today]));
    let browser = Browser::at(&desk.address);
    Opened {
        browser,
        _desk: desk,
    }
}

/// A copy of a folder of the package.
fn copied(folder: &str) -> tempfile::TempDir {
    let copy = tempfile::tempdir().expect("a temporary folder");
    copy_into(&root().join(folder), copy.path());
    copy
}

fn copy_into(from: &Path, to: &Path) {
    for entry in std::fs::read_dir(from).expect("a folder") {
        let from = entry.expect("an entry").path();
        let to = to.join(from.file_name().expect("a name"));
        if from.is_dir() {
            std::fs::create_dir(&to).expect("a temporary folder");
            copy_into(&from, &to);
        } else {
            std::fs::copy(&from, &to).expect("a file");
        }
    }
}

fn read(folder: &Path, name: &str) -> String {
    std::fs::read_to_string(folder.join(name)).expect("a text")
}

/// The visit of a patient, opened from the list of those that can be opened.
fn visit(browser: &Browser, name: &str) -> Page {
    let page = browser.page(&browser.page("to-answer").link(name));
    assert_eq!(page.status, 200, "{}", page.text());
    page
}

/// The lines that differ between two texts: those of the first, those of the second.
fn differing<'t>(before: &'t str, after: &'t str) -> (Vec<&'t str>, Vec<&'t str>) {
    let only = |one: &'t str, other: &'t str| -> Vec<&'t str> {
        let mut left: Vec<&str> = other.lines().collect();
        let mut own = Vec::new();
        for line in one.lines() {
            match left.iter().position(|other| *other == line) {
                Some(at) => drop(left.remove(at)),
                None => own.push(line),
            }
        }
        own
    };
    (only(before, after), only(after, before))
}
