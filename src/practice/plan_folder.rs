//! Turns a folder into the plans in it that can belong to one day, or to one of several.
//! Invariant: a file is passed over only when it says itself that it is no plan or that its visit is on another day.
//! Must not: judge a plan (that is the reader), or look into folders of the folder.

use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

use jiff::civil::Date;

use super::clinic_files;
use super::failed::While;
use super::{Failed, shown};
use crate::diagnose::{Diagnostic, Format, SourceFile, is_refused};

/// A file that may be a plan of the day.
pub(super) struct Candidate {
    pub path: PathBuf,
    pub source: Result<SourceFile, Unread>,
    /// What it says without being judged, for a list.
    pub said: Said,
}

/// Why a file has no text to judge.
pub(super) enum Unread {
    Refused(Diagnostic),
    Failed(Failed),
}

/// Who comes when, as far as a file with mistakes says it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Said {
    pub name: Option<String>,
    pub record: Option<String>,
    pub time: Option<String>,
    pub date: Option<String>,
}

/// The plans of a folder.
pub(super) struct PlanFolder {
    /// In the order of their names.
    pub candidates: Vec<Candidate>,
    /// Plans of other days.
    pub others: usize,
}

/// What a file is, before anybody judges it.
enum Glance {
    NoPlan,
    Plan(Said),
}

impl PlanFolder {
    /// Looks at the TOML and JSON files of a folder but `not`, a clinic file for instance.
    ///
    /// # Errors
    /// The folder cannot be read.
    pub fn read(
        folder: &Path,
        days: &RangeInclusive<Date>,
        not: &[PathBuf],
    ) -> Result<PlanFolder, Failed> {
        let reading = || format!("cannot read the folder {}", shown(folder));
        let mut paths = Vec::new();
        for entry in std::fs::read_dir(folder).while_doing(reading)? {
            let path = entry.while_doing(reading)?.path();
            let hidden = path
                .file_name()
                .is_none_or(|name| name.as_encoded_bytes().starts_with(b"."));
            if !hidden && Format::of(&path).is_some() && path.is_file() && !is_one_of(&path, not) {
                paths.push(path);
            }
        }
        paths.sort();
        let mut plans = PlanFolder {
            candidates: Vec::new(),
            others: 0,
        };
        for path in paths {
            let source = match clinic_files::open(&path) {
                Ok(source) => source.map_err(Unread::Refused),
                // taken away since the folder was listed
                Err(_) if !path.exists() => continue,
                Err(failed) => Err(Unread::Failed(failed)),
            };
            let said = match source.as_ref().map(glance) {
                Ok(Glance::NoPlan) => continue,
                Ok(Glance::Plan(said)) => said,
                Err(_) => Said::default(),
            };
            if said
                .date
                .as_deref()
                .is_some_and(|said| is_another(said, days))
            {
                plans.others += 1;
                continue;
            }
            plans.candidates.push(Candidate { path, source, said });
        }
        Ok(plans)
    }
}

/// Whether a date as written is a day, and none of these.
fn is_another(said: &str, days: &RangeInclusive<Date>) -> bool {
    said.parse::<Date>().is_ok_and(|said| !days.contains(&said))
}

fn is_one_of(path: &Path, files: &[PathBuf]) -> bool {
    let whole = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let named = path.file_name();
    files
        .iter()
        .any(|file| file.file_name() == named && whole(file) == whole(path))
}

fn glance(source: &SourceFile) -> Glance {
    let tree = match source.format() {
        Format::Toml => toml::from_str::<toml::Table>(source.text())
            .ok()
            .and_then(|table| serde_json::to_value(table).ok()),
        Format::Json => serde_json::from_str(source.text()).ok(),
    };
    // what cannot be read is the reader's to judge: it may be the plan of somebody who comes that day
    let Some(tree) = tree else {
        return Glance::Plan(Said::default());
    };
    if tree.get("visit").is_none() && tree.get("patient").is_none() {
        return Glance::NoPlan;
    }
    let text = |table: &str, key: &str| {
        let value = tree.get(table)?.get(key)?;
        // a date or time of TOML is an object of one entry in JSON
        let value = match value {
            serde_json::Value::Object(map) if map.len() == 1 => map.values().next()?,
            value => value,
        };
        value.as_str().map(plain)
    };
    Glance::Plan(Said {
        name: text("patient", "name"),
        record: text("patient", "record"),
        time: text("visit", "time"),
        date: text("visit", "date"),
    })
}

/// Text of a file that nobody has judged, on one line of a list: at most 60 characters, and none that no plan may hold, because
/// it steers a terminal or turns what follows.
fn plain(text: &str) -> String {
    text.chars()
        .map(|c| if is_refused(c) { '\u{fffd}' } else { c })
        .take(60)
        .collect()
}
