//! Turns finished papers into lines of the register file, and the register file back into entries.
//! Invariant: a line is there whole or not at all, and no line that was there is lost, whatever stops the program; two
//! programs at once wait for each other.
//! Must not: hold a name or birth date (file names carry the record number), or rewrite lines that stand.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::Path;

use serde::{Deserialize, Serialize};

use sha2::{Digest, Sha256};

use super::Record;
use crate::wording::{Wording, library};

/// Name of the register in the folder of the papers.
pub const FILE_NAME: &str = "register.jsonl";

/// Opens a line that the program left unfinished when it was stopped.
const SET_ASIDE: &str = "# cut off, set aside: ";

/// One paper that was made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Entry {
    /// As printed on its pages.
    pub code: String,
    pub paper: String,
    /// File name without the folder.
    pub file: String,
    /// SHA-256 of the whole file, in hexadecimal digits.
    pub sha256: String,
    /// The day given in the plan.
    pub made_on: String,
    pub record: Record,
    /// Digest to words, for those digests of the record that no earlier line has the words of.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub words: BTreeMap<String, String>,
}

impl Entry {
    /// The line of a finished paper.
    pub fn of(record: &Record, wording: &Wording, file: String, bytes: &[u8]) -> Entry {
        Entry {
            code: record.code().to_string(),
            paper: record.paper.clone(),
            file,
            sha256: sha256(bytes),
            made_on: record.made_on.clone(),
            record: record.clone(),
            words: record.words(wording),
        }
    }
}

/// SHA-256 (FIPS 180-4) in hexadecimal digits.
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// What a register file holds.
#[derive(Debug, Clone, Default)]
pub struct Register {
    /// In the order they were made, each with the number of its line.
    pub entries: Vec<(usize, Entry)>,
    /// Numbers of lines that are neither an entry nor set aside: somebody else's, or damaged.
    pub unreadable: Vec<usize>,
    /// Digest to words, from all lines. Words that do not fit their digest are not here.
    pub words: BTreeMap<String, String>,
    /// Where the last line begins if it has no end, in bytes.
    half: Option<usize>,
}

/// Why the register could not be used.
#[derive(Debug)]
pub enum RegisterError {
    /// A folder, a device or a pipe.
    NotAFile,
    Open(io::Error),
    Lock(io::Error),
    Read(io::Error),
    /// Nothing was added.
    Write(io::Error),
    /// Nothing could be added, and what was added halfway could not be taken back.
    WriteHalf(io::Error),
}

impl std::fmt::Display for RegisterError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            RegisterError::NotAFile => "it is not an ordinary file",
            RegisterError::Open(_) => "it cannot be opened",
            RegisterError::Lock(_) => "it cannot be locked, so another program could write into it",
            RegisterError::Read(_) => "it cannot be read",
            RegisterError::Write(_) => "it cannot be written; it was left as it was",
            RegisterError::WriteHalf(_) => {
                "it cannot be written, and its end may hold half a line; the next paper sets that aside"
            }
        })
    }
}

impl std::error::Error for RegisterError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            RegisterError::NotAFile => None,
            RegisterError::Open(error)
            | RegisterError::Lock(error)
            | RegisterError::Read(error)
            | RegisterError::Write(error)
            | RegisterError::WriteHalf(error) => Some(error),
        }
    }
}

impl Register {
    /// Reads the lines of a register. Never fails: what cannot be read is listed.
    pub fn parse(bytes: &[u8]) -> Register {
        let mut register = Register::default();
        let mut start = 0;
        for (index, line) in bytes.split_inclusive(|byte| *byte == b'\n').enumerate() {
            let begin = start;
            start += line.len();
            if !line.ends_with(b"\n") {
                register.half = Some(begin);
            }
            let line = line.trim_ascii();
            if line.is_empty() || line.starts_with(b"#") {
                continue;
            }
            match serde_json::from_slice::<Entry>(line) {
                Ok(entry) => {
                    for (digest, words) in &entry.words {
                        if library::digest(words) == *digest {
                            register.words.insert(digest.clone(), words.clone());
                        }
                    }
                    register.entries.push((index + 1, entry));
                }
                // a line that is being written or was cut off is the next append's business
                Err(_) if register.half.is_some() => {}
                Err(_) => register.unreadable.push(index + 1),
            }
        }
        register
    }

    /// Reads a register file, waiting for whoever is writing into it.
    ///
    /// # Errors
    /// The file is not there, is no file, or cannot be read.
    pub fn open(path: &Path) -> Result<Register, RegisterError> {
        is_ordinary(path)?;
        let mut file = File::open(path).map_err(RegisterError::Open)?;
        match file.lock_shared() {
            // some network folders know no locks; then half a line may be seen, which does no harm in reading
            Err(error) if error.kind() != io::ErrorKind::Unsupported => {
                return Err(RegisterError::Lock(error));
            }
            _ => {}
        }
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).map_err(RegisterError::Read)?;
        Ok(Register::parse(&bytes))
    }

    fn has(&self, wanted: &Entry) -> bool {
        self.entries.iter().any(|(_, entry)| {
            entry.code == wanted.code
                && entry.paper == wanted.paper
                && entry.file == wanted.file
                && entry.sha256 == wanted.sha256
        })
    }
}

/// Adds papers to a register file; makes the file if there is none. A paper that is there already is not added again.
///
/// # Errors
/// The file cannot be locked, read or written. Then it is as it was, unless the error says otherwise.
pub fn append(path: &Path, entries: &[Entry]) -> Result<(), RegisterError> {
    if entries.is_empty() {
        return Ok(());
    }
    is_ordinary(path)?;
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(path).map_err(RegisterError::Open)?;
    file.lock().map_err(RegisterError::Lock)?;
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes).map_err(RegisterError::Read)?;

    let (from, added) = addition(&bytes, entries);
    if added.is_empty() {
        return Ok(());
    }
    let written = write_at(&mut file, from, &added).and_then(|()| file.sync_all());
    if let Err(error) = written {
        // back to what was there: the old bytes first, they have their room on the disk; then the length
        let restored = write_at(&mut file, from, &bytes[from..])
            .and_then(|()| file.set_len(bytes.len() as u64))
            .and_then(|()| file.sync_all());
        return Err(match restored {
            Ok(()) => RegisterError::Write(error),
            Err(_) => RegisterError::WriteHalf(error),
        });
    }
    if bytes.is_empty() {
        sync_folder(path);
    }
    Ok(())
}

/// Where to write, and what: the new lines, after a half line has been set aside.
fn addition(bytes: &[u8], entries: &[Entry]) -> (usize, Vec<u8>) {
    let register = Register::parse(bytes);
    let mut known: BTreeSet<&str> = register.words.keys().map(String::as_str).collect();
    let mut lines = Vec::new();
    for entry in entries.iter().filter(|entry| !register.has(entry)) {
        let mut line = entry.clone();
        line.words
            .retain(|digest, _| !known.contains(digest.as_str()));
        known.extend(entry.words.keys().map(String::as_str));
        serde_json::to_writer(&mut lines, &line).expect("an entry is strings and a number");
        lines.push(b'\n');
    }
    let Some(begin) = register.half else {
        return (bytes.len(), lines);
    };
    let half = &bytes[begin..];
    let whole = half.starts_with(b"#") || serde_json::from_slice::<Entry>(half).is_ok();
    let mut added = if whole { Vec::new() } else { SET_ASIDE.into() };
    added.extend_from_slice(half);
    added.push(b'\n');
    added.extend(lines);
    (begin, added)
}

fn write_at(file: &mut File, from: usize, bytes: &[u8]) -> io::Result<()> {
    file.seek(SeekFrom::Start(from as u64))?;
    file.write_all(bytes)
}

/// A pipe or a device would be read for ever. A file that is not there yet is fine.
fn is_ordinary(path: &Path) -> Result<(), RegisterError> {
    match path.metadata() {
        Ok(metadata) if !metadata.is_file() => Err(RegisterError::NotAFile),
        _ => Ok(()),
    }
}

/// A new file's name is safe on the disk once its folder is.
fn sync_folder(path: &Path) {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    // not every system lets a folder be opened and synced; the line itself is safe already
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
}
