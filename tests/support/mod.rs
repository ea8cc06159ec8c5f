//! Turns a few words about an invented visit into plan files, runs of the built program, laid-out papers and text read back.
//!
//! Invariant: a missing outside tool skips a test on a desk and fails it when `CI` is set; it never passes unseen.
//! Must not: write anywhere but in temporary folders, or hold an expectation about the papers.
#![allow(dead_code, reason = "each test file uses its own part")]

pub mod boxes;
pub mod calendar_file;
pub mod language_words;
pub mod pictures;
pub mod plan_reader;
pub mod referee;
pub mod stand_in_font;

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use beforehand::catalogue::Catalogue;
use beforehand::diagnose::{Format, SourceFile, Style, render};
use beforehand::papers::{self, Inputs, MakeOptions, Papers};
use beforehand::plan::{read_clinic, read_plan};
use beforehand::typeset::Typesetter;
use beforehand::wording::Approvals;

/// The folder of this package.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The ids of all areas, the one that is never treated among them.
pub fn area_ids() -> Vec<String> {
    Catalogue::embedded()
        .areas
        .iter()
        .map(|area| area.id.to_string())
        .collect()
}

/// How a run of the program ended and what it said.
#[derive(Debug)]
pub struct Ran {
    pub code: i32,
    pub out: String,
    pub err: String,
}

/// The built program, in a folder, with nothing to read and no wish for colour from the environment.
pub fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_beforehand"));
    command.current_dir(folder).stdin(Stdio::null());
    for wish in ["CLICOLOR", "CLICOLOR_FORCE", "NO_COLOR"] {
        command.env_remove(wish);
    }
    command
}

/// Runs the program in a folder.
pub fn run(folder: &Path, arguments: &[&str]) -> Ran {
    finish(program(folder).args(arguments))
}

/// Runs a prepared command.
pub fn finish(command: &mut Command) -> Ran {
    let output = command
        .output()
        .expect("the program was built before its tests");
    let text = |bytes| String::from_utf8(bytes).expect("the program writes UTF-8");
    Ran {
        code: output
            .status
            .code()
            .expect("the program is not killed by a signal"),
        out: text(output.stdout),
        err: text(output.stderr),
    }
}

/// A text as a TOML string.
pub fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

/// What an invented plan says; the rest is the same in all.
pub struct Plan {
    pub name: String,
    pub record: String,
    pub date: String,
    /// Further lines of `[patient]`.
    pub facts: String,
    pub batch: String,
    /// The lines of `[[area]]`.
    pub area: String,
    pub aim: String,
    pub event: String,
}

impl Default for Plan {
    fn default() -> Plan {
        Plan {
            name: "Thea Quillfeather (invented)".to_owned(),
            record: "INV-1".to_owned(),
            date: "2026-12-03".to_owned(),
            facts: String::new(),
            batch: "INVENTED-9".to_owned(),
            area: "id = \"masseter\"\nside = \"both\"\nunits = 50".to_owned(),
            aim: "a slimmer jaw line".to_owned(),
            event: "a walk in the hills".to_owned(),
        }
    }
}

impl Plan {
    pub fn named(name: &str) -> Plan {
        Plan {
            name: name.to_owned(),
            ..Plan::default()
        }
    }

    pub fn toml(&self) -> String {
        let Plan {
            record,
            date,
            facts,
            area,
            ..
        } = self;
        let [name, record, batch, aim, event] =
            [&self.name, record, &self.batch, &self.aim, &self.event].map(|t| quoted(t));
        format!(
            "# invented\n[patient]\nname = {name}\nborn = 1984-02-11\nrecord = {record}\n{facts}\n\
             [visit]\ndate = {date}\ntime = 14:30\ninformed_on = 2026-11-26\npractitioner = \"a-one\"\n\n\
             [product]\nname = \"onabotulinumtoxinA\"\nbatch = {batch}\n\n\
             [[area]]\n{area}\naim = {aim}\n\n\
             [[event]]\ndate = 2026-12-19\nwhat = {event}\nneeds = [\"chewing\", \"speech\", \"smile\"]\n"
        )
    }
}

/// An invented clinic; every free text of it can be chosen.
pub fn clinic_toml(name: &str, address: &str, person: &str, role: &str) -> String {
    let [name, address, person, role] = [name, address, person, role].map(quoted);
    format!(
        "[clinic]\nname = {name}\naddress = [{address}]\nphone = \"01632 960 101\"\nphone_out_of_hours = \"01632 960 199\"\n\
         region = \"GB-ENG\"\nlanguage = \"en\"\ntime_zone = \"Europe/London\"\n\n\
         [[practitioner]]\nid = \"a-one\"\nname = {person}\nrole = {role}\nregistration = \"INVENTED-1\"\n"
    )
}

pub fn clinic() -> String {
    clinic_toml(
        "Fern Bank Rooms (invented)",
        "1 Example Row",
        "Ada One (invented)",
        "nurse prescriber",
    )
}

/// A temporary folder with a clinic file.
pub fn desk() -> tempfile::TempDir {
    desk_of(&clinic())
}

/// A temporary folder with this clinic file.
pub fn desk_of(clinic: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    put(folder.path(), "clinic.toml", clinic);
    folder
}

/// Writes a file into a folder.
pub fn put(folder: &Path, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, text).expect("a temporary folder can be written");
    path
}

/// The names of everything in a folder, sorted; empty when there is no such folder.
pub fn names_in(folder: &Path) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut names: Vec<String> = entries
        .map(|entry| {
            entry
                .expect("a readable folder")
                .file_name()
                .into_string()
                .expect("names are UTF-8")
        })
        .collect();
    names.sort();
    names
}

/// Lays the papers of a plan out through the library and shows them to `look`.
pub fn laid_out<R>(plan: &str, typesetter: &Typesetter, look: impl FnOnce(&Papers<'_>) -> R) -> R {
    laid_out_at(&clinic(), plan, typesetter, look)
}

/// The same at a clinic of the test's own.
pub fn laid_out_at<R>(
    clinic: &str,
    plan: &str,
    typesetter: &Typesetter,
    look: impl FnOnce(&Papers<'_>) -> R,
) -> R {
    let catalogue = Catalogue::embedded();
    let vocabulary = papers::vocabulary(catalogue);
    let source = |name: &str, text: &str| {
        SourceFile::from_bytes(name, text.as_bytes(), Format::Toml)
            .expect("test files are not empty")
    };
    let (clinic_file, plan_file) = (source("clinic.toml", clinic), source("plan.toml", plan));
    let clinic = read_clinic(&clinic_file, &vocabulary)
        .unwrap_or_else(|found| panic!("{}", render(&found, &clinic_file, Style::Plain)));
    let visit = read_plan(&plan_file, &vocabulary, Some(&clinic))
        .unwrap_or_else(|found| panic!("{}", render(&found, &plan_file, Style::Plain)));
    let papers = papers::make(
        Inputs {
            catalogue,
            clinic: &clinic,
            visit: &visit,
            approvals: &Approvals::none(),
            typesetter,
        },
        &MakeOptions::default(),
    )
    .unwrap_or_else(|error| panic!("{error}"));
    look(&papers)
}

/// Text without white space: where lines break is not what is asked.
pub fn squeeze(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
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
