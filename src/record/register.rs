//! Turns finished papers into lines of the register file, and the register file back into entries.
//! Invariant: whatever a register file holds is read as far as it can be, and what cannot is listed.
//! Must not: hold a name or birth date (file names carry the record number), or write into the file (that is `appending`).

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::Record;
use crate::domain::digest;
use crate::wording::{Wording, library};

/// Name of the register in the folder of the papers.
pub const FILE_NAME: &str = "register.jsonl";

/// Opens a line that the program left unfinished when it was stopped.
pub(super) const SET_ASIDE: &str = "# cut off, set aside: ";

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
    /// Digest of everything the papers of this visit were made from. Where it is the same again, and the file is still the
    /// file, there is nothing to make. Papers of older programs have none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub made_from: Option<String>,
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
            sha256: digest::sha256(bytes),
            made_on: record.made_on.clone(),
            made_from: None,
            record: record.clone(),
            words: record.words(wording),
        }
    }
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
    pub(super) half: Option<usize>,
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
}

/// A pipe or a device would be read for ever. A file that is not there yet is fine.
pub(super) fn is_ordinary(path: &Path) -> Result<(), RegisterError> {
    match path.metadata() {
        Ok(metadata) if !metadata.is_file() => Err(RegisterError::NotAFile),
        _ => Ok(()),
    }
}
