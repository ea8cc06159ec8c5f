//! Turns the text of a plan into its file, unless the file is another one by now.
//! Invariant: a file is replaced only while it holds exactly what the writer had read, and whole or not at all; nothing outside its
//! folder is written.
//! Must not: read the text.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use jiff::civil::Date;

use super::Failed;
use super::failed::{While, shown};
use super::writing::stage;
use crate::diagnose::MAX_FILE_BYTES;

/// What became of a plan that was to be saved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Saved {
    Written,
    /// Somebody else has saved it since; nothing was written.
    ChangedMeanwhile {
        /// What the file holds now, up to the size that a plan can have.
        now: String,
    },
    /// There is no such file any more; nothing was written.
    Gone,
    /// A file of this name is there, and there should be none; nothing was written.
    AlreadyThere,
}

/// A plan that is being written begins with this, until it is whole and has its name.
const UNFINISHED: &str = ".beforehand-plan-";

/// One save at a time in this program, on systems too that cannot lock a folder.
static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());

/// Writes a plan. `expected` is what the file must hold, byte for byte (a byte order mark is one of them); `None`: there must be no
/// such file yet.
///
/// Between comparing and replacing, the folder is locked, so that of two programs that save at the same time one is told of the
/// other. The lock binds only programs that ask for it. It does not protect from an editor that saves in the moment between the
/// comparison and the renaming, nor where a system or a network folder knows no such lock; there, programs are told of each other
/// only if the other has finished.
///
/// # Errors
/// The folder or the file cannot be read or written, or the file is a link to somewhere outside its folder.
pub fn save_plan(path: &Path, expected: Option<&str>, text: &str) -> Result<Saved, Failed> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let doing = || format!("cannot write {}", shown(path));
    // a panic while it was held has left nothing half-done that matters here
    let _one = ONE_AT_A_TIME
        .lock()
        .unwrap_or_else(std::sync::PoisonError::into_inner);
    let folder = match folder.canonicalize() {
        Ok(folder) => folder,
        Err(error) if error.kind() == ErrorKind::NotFound && expected.is_some() => {
            return Ok(Saved::Gone);
        }
        Err(error) => return Err(Failed::doing(doing(), error)),
    };
    let name = path
        .file_name()
        .ok_or_else(|| Failed::because(format!("{} names no file", shown(path))))?;
    let locked = locked(&folder);
    if locked.is_some() {
        sweep(&folder);
    }
    let path = folder.join(name);
    match (expected, path.symlink_metadata()) {
        (None, Ok(_)) => Ok(Saved::AlreadyThere),
        (None, Err(error)) if error.kind() == ErrorKind::NotFound => {
            match stage(&path, text.as_bytes(), UNFINISHED)?.persist_noclobber(&path) {
                Ok(_) => Ok(Saved::Written),
                Err(error) if error.error.kind() == ErrorKind::AlreadyExists => {
                    Ok(Saved::AlreadyThere)
                }
                Err(error) => Err(Failed::doing(doing(), error.error)),
            }
        }
        (Some(_), Err(error)) if error.kind() == ErrorKind::NotFound => Ok(Saved::Gone),
        (_, Err(error)) => Err(Failed::doing(doing(), error)),
        (Some(expected), Ok(_)) => replace(&folder, &path, expected, text),
    }
}

/// Replaces a file that is there, while it holds what is expected.
fn replace(folder: &Path, path: &Path, expected: &str, text: &str) -> Result<Saved, Failed> {
    let doing = || format!("cannot write {}", shown(path));
    // what is renamed into place takes the place of a link, so the file behind it is the one that is replaced
    let target = match path.canonicalize() {
        Ok(target) => target,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Saved::Gone),
        Err(error) => return Err(Failed::doing(doing(), error)),
    };
    if target.parent() != Some(folder) {
        return Err(Failed::because(format!(
            "{} is a link to a file in another folder, which is not written",
            shown(path)
        )));
    }
    let metadata = target.metadata().while_doing(doing)?;
    if !metadata.is_file() {
        return Err(Failed::because(format!("{} is not a file", shown(path))));
    }
    let mut bytes = Vec::new();
    File::open(&target)
        .and_then(|file| file.take(MAX_FILE_BYTES + 1).read_to_end(&mut bytes))
        .while_doing(|| format!("cannot read {}", shown(path)))?;
    if bytes != expected.as_bytes() {
        let now = String::from_utf8_lossy(&bytes).into_owned();
        return Ok(Saved::ChangedMeanwhile { now });
    }
    if text == expected {
        return Ok(Saved::Written);
    }
    let file = stage(&target, text.as_bytes(), UNFINISHED)?;
    file.as_file()
        .set_permissions(metadata.permissions())
        .while_doing(doing)?;
    file.persist(&target)
        .map_err(|error| error.error)
        .while_doing(doing)?;
    Ok(Saved::Written)
}

/// The folder, locked for whoever saves; none where there is no such lock.
fn locked(folder: &Path) -> Option<File> {
    let folder = File::open(folder).ok()?;
    folder.lock().is_ok().then_some(folder)
}

/// Removes what a save left that was killed. Only under the lock: whoever else saves holds it as long as its own file is there.
fn sweep(folder: &Path) {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return;
    };
    for entry in entries.filter_map(Result::ok) {
        if entry
            .file_name()
            .to_str()
            .is_some_and(|name| name.starts_with(UNFINISHED))
        {
            // the next save tries again
            let _ = std::fs::remove_file(entry.path());
        }
    }
}

/// Letters of the longest name that is taken into a file name.
const LONGEST: usize = 30;

/// A name that is free in the folder, for the plan of a visit: `2026-12-03-lindqvist.toml`, with `-2` behind it when that is taken.
///
/// It holds the day and the last word of the patient's name in plain letters, and nothing about the treatment: names of files are
/// seen by more people than files. Whoever writes says that the file must not be there yet ([`save_plan`]), as it may be taken meanwhile.
pub fn new_plan_name(folder: &Path, date: Option<Date>, patient: &str) -> PathBuf {
    let outside_brackets = patient.split('(').next().unwrap_or(patient);
    let mut words = outside_brackets.split_whitespace().map(plain);
    let last = words.rfind(|word| !word.is_empty());
    let last = last.unwrap_or_else(|| "patient".to_owned());
    let stem = match date {
        Some(date) => format!("{date}-{last}"),
        None => format!("visit-{last}"),
    };
    let is_free = |path: &PathBuf| path.symlink_metadata().is_err();
    let first = folder.join(format!("{stem}.toml"));
    if is_free(&first) {
        return first;
    }
    (2_u32..)
        .map(|n| folder.join(format!("{stem}-{n}.toml")))
        .find(is_free)
        .expect("no folder holds as many files as there are numbers")
}

/// Letters with marks, and what is written for them where only plain letters may stand.
const PLAIN: [(&str, &str); 23] = [
    ("àáâãäåāăą", "a"),
    ("çćĉċč", "c"),
    ("ďđð", "d"),
    ("èéêëēĕėęě", "e"),
    ("ĝğġģ", "g"),
    ("ĥħ", "h"),
    ("ìíîïĩīĭįı", "i"),
    ("ĵ", "j"),
    ("ķ", "k"),
    ("ĺļľŀł", "l"),
    ("ñńņňŋ", "n"),
    ("òóôõöøōŏő", "o"),
    ("ŕŗř", "r"),
    ("śŝşšș", "s"),
    ("ţťŧț", "t"),
    ("ùúûüũūŭůűų", "u"),
    ("ŵ", "w"),
    ("ýÿŷ", "y"),
    ("źżž", "z"),
    ("æ", "ae"),
    ("œ", "oe"),
    ("ß", "ss"),
    ("þ", "th"),
];

/// Small plain letters, digits and single hyphens; every other letter is left out.
fn plain(word: &str) -> String {
    let mut out = String::new();
    for c in word.to_lowercase().chars() {
        match c {
            'a'..='z' | '0'..='9' => out.push(c),
            '-' if !out.is_empty() && !out.ends_with('-') => out.push('-'),
            _ => {
                let known = PLAIN.iter().find(|(marked, _)| marked.contains(c));
                out.push_str(known.map_or("", |(_, plain)| plain));
            }
        }
        if out.len() >= LONGEST {
            break;
        }
    }
    out.trim_matches('-').to_owned()
}
