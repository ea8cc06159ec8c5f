//! The desk as it stands, held against referees outside: forged requests, what the system is asked for, every screen, whole journeys.
//!
//! Invariant: what is judged is the built program on a copy of a sample; without a referee a test is skipped aloud, and fails in `CI`.
//! Must not: judge a page itself, or write into `samples/`.

mod folders;
mod journeys;
mod network;
mod screens;

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use beforehand::wording::Wording;
use serde_json::Value;

use crate::support::desk::Desk;
use crate::support::{program, put, referee, root};

/// The day before the one that the samples are about.
const TODAY: &str = "2026-12-02";

/// An invented practice in a folder of its own, and the words of its desk.
struct Practice {
    folder: tempfile::TempDir,
    /// What a browser asks for.
    locale: &'static str,
    words: Wording,
    /// The first of its practitioners, in plans.
    first: &'static str,
    /// The product of its stock.
    product: &'static str,
    /// Units of that product between the brows.
    units: &'static str,
}

impl Practice {
    /// The invented Thursday: a visit in every state.
    fn english() -> Practice {
        let practice = Practice::with("en", "en-GB", "e-lind", "abobotulinumtoxinA", "50");
        practice.take("bjorkviken/thursday", |text| text.to_owned());
        practice
    }

    /// The same patients in a practice that reads Spanish.
    fn spanish() -> Practice {
        let practice = Practice::with("es", "es-ES", "e-olmedo", "onabotulinumtoxinA", "20");
        practice.take("bjorkviken/thursday", |text| {
            text.replace("abobotulinumtoxinA", "onabotulinumtoxinA")
                .replace("e-lind\"", "e-olmedo\"")
                .replace("m-ek\"", "b-quiroga\"")
                .replace("units = 50", "units = 20")
        });
        practice.take("patio-verde", str::to_owned);
        practice
    }

    fn with(
        base: &str,
        locale: &'static str,
        first: &'static str,
        product: &'static str,
        units: &'static str,
    ) -> Practice {
        let country = locale.split_once('-').expect("language and country").1;
        let language = base.parse().expect("a tag");
        let words = Wording::new(&language, country).and_then(|words| words.for_the_desk());
        Practice {
            folder: tempfile::tempdir().expect("a folder"),
            locale,
            words: words.expect("the release's words are complete"),
            first,
            product,
            units,
        }
    }

    /// Copies the files of a sample, each as `change` makes it.
    fn take(&self, sample: &str, change: impl Fn(&str) -> String) {
        let from = root().join("samples").join(sample);
        for name in crate::support::names_in(&from) {
            let text = std::fs::read_to_string(from.join(&name)).expect("a sample can be read");
            self.put(&name, change(&text));
        }
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    fn put(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        put(self.path(), name, text)
    }

    fn text(&self, name: &str) -> String {
        std::fs::read_to_string(self.path().join(name)).expect("a file of the practice")
    }

    /// A word of its desk.
    fn word(&self, id: &str) -> String {
        let said = self.words.label(id);
        said.expect("a word of the desk, which needs no values")
    }

    /// A word of its desk with values.
    fn line(&self, id: &str, values: Value) -> String {
        let said = self.words.line(id, values.as_object().expect("values"));
        said.expect("a word of the desk")
    }

    fn open(&self) -> Desk {
        open(self.path())
    }
}

/// A desk on a folder.
fn open(folder: &Path) -> Desk {
    let mut command = program(folder);
    command.args(["desk", "--today", TODAY]);
    Desk::start(command.stderr(Stdio::null()))
}

/// A Python that drives a browser.
fn browser() -> Option<PathBuf> {
    referee::python("playwright")
}

#[test]
fn forged_and_broken_requests_get_nothing_out_of_the_desk() {
    let Some(python) = referee::python("") else {
        return;
    };
    let practice = Practice::english();
    let desk = practice.open();
    let pages = ["day", "to-answer", "look-up", "words", "visit/new"];
    referee::passes(
        "requests to the desk",
        &desk.requests(&python, &pages, "day/lists"),
    );
    let empty = tempfile::tempdir().expect("a folder");
    let desk = open(empty.path());
    referee::passes(
        "requests to an empty desk",
        &desk.requests(&python, &["first"], "first/try"),
    );
}

/// Runs the built program in a folder; it must end well.
fn runs(folder: &Path, arguments: &[&str]) {
    let ran = crate::support::finish(Command::args(&mut program(folder), arguments));
    assert_eq!(ran.code, 0, "{arguments:?}: {}{}", ran.out, ran.err);
}
