//! Turns finished papers into lines at the end of a register file, and remembers what the file already has.
//! Invariant: a line is there whole or not at all, and no line that was there is lost, whatever stops the program; two
//! programs at once wait for each other; what was read once is not read again, however long the file grows.
//! Must not: rewrite lines that stand, or judge what they say.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use super::register::{Entry, Register, RegisterError, SET_ASIDE, is_ordinary};

/// So many bytes before the place that was read to are looked at again: another file of that name has others there.
const TAIL: usize = 256;

/// A register file that papers are added to.
#[derive(Debug)]
pub struct Appender {
    path: PathBuf,
    known: Known,
}

/// What the lines of the file say, as far as it was read.
#[derive(Debug, Default)]
struct Known {
    /// Bytes read so far; whole lines.
    length: u64,
    /// The last of them.
    tail: Vec<u8>,
    /// Lines that need not be added again: code, paper, file, SHA-256, what it was made from.
    lines: BTreeSet<[String; 5]>,
    /// Digests whose words stand in the file.
    words: BTreeSet<String>,
    /// What was made from a digest: file to SHA-256, the latest.
    made: BTreeMap<String, BTreeMap<String, String>>,
}

fn key(entry: &Entry) -> [String; 5] {
    [
        entry.code.clone(),
        entry.paper.clone(),
        entry.file.clone(),
        entry.sha256.clone(),
        entry.made_from.clone().unwrap_or_default(),
    ]
}

impl Known {
    /// Takes in bytes that begin where it had read to; returns how many of them are whole lines.
    fn take_in(&mut self, bytes: &[u8]) -> usize {
        let whole = bytes
            .iter()
            .rposition(|byte| *byte == b'\n')
            .map_or(0, |at| at + 1);
        let register = Register::parse(&bytes[..whole]);
        self.words.extend(register.words.into_keys());
        for (_, entry) in register.entries {
            self.lines.insert(key(&entry));
            if let Some(made_from) = entry.made_from {
                let files = self.made.entry(made_from).or_default();
                files.insert(entry.file, entry.sha256);
            }
        }
        self.length += whole as u64;
        self.tail
            .extend_from_slice(&bytes[whole.saturating_sub(TAIL)..whole]);
        let spare = self.tail.len().saturating_sub(TAIL);
        self.tail.drain(..spare);
        whole
    }

    /// Reads what has been added; starts again when it is not the file it was. Returns the bytes after the last whole line.
    fn catch_up(&mut self, file: &mut File) -> io::Result<Vec<u8>> {
        let mut before = vec![0; self.tail.len()];
        let at = self.length - self.tail.len() as u64;
        file.seek(SeekFrom::Start(at))?;
        let same = match file.read_exact(&mut before) {
            Ok(()) => before == self.tail,
            Err(error) if error.kind() == io::ErrorKind::UnexpectedEof => false,
            Err(error) => return Err(error),
        };
        if !same {
            *self = Known::default();
            file.seek(SeekFrom::Start(0))?;
        }
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes)?;
        let whole = self.take_in(&bytes);
        Ok(bytes.split_off(whole))
    }

    /// The new lines of these papers.
    fn lines_of(&self, entries: &[Entry]) -> Vec<u8> {
        let mut known: BTreeSet<&str> = BTreeSet::new();
        let mut lines = Vec::new();
        for entry in entries
            .iter()
            .filter(|entry| !self.lines.contains(&key(entry)))
        {
            let mut line = entry.clone();
            line.words.retain(|digest, _| {
                !self.words.contains(digest) && !known.contains(digest.as_str())
            });
            known.extend(entry.words.keys().map(String::as_str));
            serde_json::to_writer(&mut lines, &line).expect("an entry is strings and a number");
            lines.push(b'\n');
        }
        lines
    }
}

/// The rest of a file after its last whole line, closed so that lines can follow: a line whose end alone was missing, or what
/// is set aside.
fn closed(half: &[u8]) -> Vec<u8> {
    if half.is_empty() {
        return Vec::new();
    }
    let whole = half.starts_with(b"#") || serde_json::from_slice::<Entry>(half).is_ok();
    let mut closed = if whole { Vec::new() } else { SET_ASIDE.into() };
    closed.extend_from_slice(half);
    closed.push(b'\n');
    closed
}

impl Appender {
    /// Nothing is opened or read before it is needed.
    pub fn new(path: &Path) -> Appender {
        Appender {
            path: path.to_owned(),
            known: Known::default(),
        }
    }

    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The files that were made from this, each with its SHA-256, as the register has them now. A register that is not there
    /// has none.
    ///
    /// # Errors
    /// The file is there and cannot be read.
    pub fn made_from(
        &mut self,
        digest: &str,
    ) -> Result<Option<&BTreeMap<String, String>>, RegisterError> {
        is_ordinary(&self.path)?;
        match File::open(&self.path) {
            Ok(mut file) => {
                match file.lock_shared() {
                    // some network folders know no locks; half a line that is seen then is read again later
                    Err(error) if error.kind() != io::ErrorKind::Unsupported => {
                        return Err(RegisterError::Lock(error));
                    }
                    _ => {}
                }
                self.known
                    .catch_up(&mut file)
                    .map_err(RegisterError::Read)?;
            }
            Err(error) if error.kind() == io::ErrorKind::NotFound => self.known = Known::default(),
            Err(error) => return Err(RegisterError::Open(error)),
        }
        Ok(self.known.made.get(digest))
    }

    /// Adds papers; makes the file if there is none. A paper that is there already is not added again.
    ///
    /// # Errors
    /// The file cannot be locked, read or written. Then it is as it was, unless the error says otherwise.
    pub fn append(&mut self, entries: &[Entry]) -> Result<(), RegisterError> {
        if entries.is_empty() {
            return Ok(());
        }
        is_ordinary(&self.path)?;
        let mut options = OpenOptions::new();
        options.read(true).write(true).create(true).truncate(false);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        let mut file = options.open(&self.path).map_err(RegisterError::Open)?;
        file.lock().map_err(RegisterError::Lock)?;
        let half = self
            .known
            .catch_up(&mut file)
            .map_err(RegisterError::Read)?;
        let from = self.known.length;
        let closed = closed(&half);
        // a line that only lacked its end counts; should the writing fail, the file is found to be another one and read anew
        self.known.take_in(&closed);
        let lines = self.known.lines_of(entries);
        let added = [closed, lines.clone()].concat();
        if added.is_empty() {
            return Ok(());
        }
        let written = write_at(&mut file, from, &added).and_then(|()| file.sync_all());
        if let Err(error) = written {
            // back to what was there: the old bytes first, they have their room on the disk; then the length
            let restored = write_at(&mut file, from, &half)
                .and_then(|()| file.set_len(from + half.len() as u64))
                .and_then(|()| file.sync_all());
            return Err(match restored {
                Ok(()) => RegisterError::Write(error),
                Err(_) => RegisterError::WriteHalf(error),
            });
        }
        if from == 0 {
            sync_folder(&self.path);
        }
        self.known.take_in(&lines);
        Ok(())
    }
}

fn write_at(file: &mut File, from: u64, bytes: &[u8]) -> io::Result<()> {
    file.seek(SeekFrom::Start(from))?;
    file.write_all(bytes)
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
