//! Turns a path into checked text: one plain UTF-8 file of sensible size, in a format known by its name.
//!
//! Invariant: the text of a [`SourceFile`] holds something besides white space, is at most [`MAX_FILE_BYTES`] long when it
//! came from disk, and has no byte order mark at its start.
//!
//! Must not: interpret the text, or read a file before its size is known.

use std::fs::File;
use std::io::Read;
use std::ops::Range;
use std::path::{Path, PathBuf};

use crate::diagnose::{Code, Diagnostic, Position, is_refused};

/// Largest file that is read, in bytes. A plan is a few hundred; a megabyte is some other file.
pub const MAX_FILE_BYTES: u64 = 1024 * 1024;

/// The two ways a plan or clinic file can be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// `.toml`
    Toml,
    /// `.json`
    Json,
}

impl Format {
    /// The format a file name stands for; `None` when it ends in neither `.toml` nor `.json` (in any case).
    pub fn of(path: &Path) -> Option<Format> {
        let extension = path.extension()?.to_str()?.to_ascii_lowercase();
        match extension.as_str() {
            "toml" => Some(Format::Toml),
            "json" => Some(Format::Json),
            _ => None,
        }
    }
}

/// Why a file could not be opened.
#[derive(Debug)]
pub enum OpenError {
    /// The machine failed: no such file, no permission, a broken disk. Nothing is wrong with the content.
    Io {
        /// The path as it was given.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The file is there but is not one that can be a plan.
    Refused(Box<Diagnostic>),
}

impl std::fmt::Display for OpenError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            OpenError::Io { path, .. } => {
                write!(f, "cannot read {}", printable(&path.to_string_lossy()))
            }
            OpenError::Refused(diagnostic) => {
                write!(
                    f,
                    "{}: {} {}",
                    diagnostic.file, diagnostic.problem, diagnostic.remedy
                )
            }
        }
    }
}

impl std::error::Error for OpenError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            OpenError::Io { source, .. } => Some(source),
            OpenError::Refused(_) => None,
        }
    }
}

impl From<Diagnostic> for OpenError {
    fn from(diagnostic: Diagnostic) -> Self {
        OpenError::Refused(Box::new(diagnostic))
    }
}

/// The text of one file with what is needed to point into it.
#[derive(Debug, Clone)]
pub struct SourceFile {
    name: String,
    text: String,
    /// It began with a byte order mark.
    is_marked: bool,
    format: Format,
    line_starts: Vec<usize>,
    /// Every so often a byte, and how many characters stand before it: a file on a single line with thousands of mistakes
    /// would otherwise be counted through for each of them.
    counted: Vec<(usize, usize)>,
}

impl SourceFile {
    /// Reads a file from disk.
    ///
    /// # Errors
    /// [`OpenError::Io`] when the system cannot deliver the file; [`OpenError::Refused`] when it is a folder, larger than
    /// [`MAX_FILE_BYTES`] (then it is not read), named neither `.toml` nor `.json`, not UTF-8, or empty.
    pub fn open(path: impl AsRef<Path>) -> Result<SourceFile, OpenError> {
        let path = path.as_ref();
        let name = path.to_string_lossy();
        let io = |source| OpenError::Io {
            path: path.to_owned(),
            source,
        };
        let metadata = std::fs::metadata(path).map_err(io)?;
        if !metadata.is_file() {
            let what = if metadata.is_dir() {
                "folder"
            } else {
                "device"
            };
            return Err(Diagnostic::of_file(
                &name,
                Code::NotAFile,
                format!("This is a {what}, not a file."),
                "Give the name of one plan or clinic file.",
            )
            .into());
        }
        let format = Format::of(path).ok_or_else(|| unknown_extension(&name))?;
        if metadata.len() > MAX_FILE_BYTES {
            return Err(too_large(&name).into());
        }
        let file = File::open(path).map_err(io)?;
        let mut bytes = Vec::new();
        // one byte more than allowed: a file may grow between the look at its size and the reading
        file.take(MAX_FILE_BYTES + 1)
            .read_to_end(&mut bytes)
            .map_err(io)?;
        if bytes.len() as u64 > MAX_FILE_BYTES {
            return Err(too_large(&name).into());
        }
        SourceFile::from_bytes(&name, &bytes, format).map_err(OpenError::Refused)
    }

    /// Makes a source of bytes that are already in memory; `name` is only shown. The size is the caller's business.
    ///
    /// # Errors
    /// A diagnostic when the bytes are not UTF-8, or hold nothing but white space.
    pub fn from_bytes(
        name: &str,
        bytes: &[u8],
        format: Format,
    ) -> Result<SourceFile, Box<Diagnostic>> {
        // before the mark is taken away, so that the byte named is the byte of the file
        let text = std::str::from_utf8(bytes)
            .map_err(|error| Box::new(not_utf8(name, bytes, error.valid_up_to())))?;
        let unmarked = text.strip_prefix('\u{FEFF}');
        let (text, is_marked) = (unmarked.unwrap_or(text), unmarked.is_some());
        if text.chars().all(|c| c.is_whitespace() || c == '\u{FEFF}') {
            return Err(Box::new(Diagnostic::of_file(
                name,
                Code::EmptyFile,
                "The file is empty.",
                "Check that the right file was saved, or start from a sample.",
            )));
        }
        let mut line_starts = vec![0];
        line_starts.extend(text.match_indices('\n').map(|(at, _)| at + 1));
        Ok(SourceFile {
            name: printable(name),
            text: text.to_owned(),
            is_marked,
            format,
            line_starts,
            counted: count_characters(text),
        })
    }

    /// The file as the user named it, printable.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text, without a byte order mark.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The whole text as it is on disk, with a byte order mark where it has one.
    pub fn on_disk(&self) -> String {
        let mark = if self.is_marked { "\u{FEFF}" } else { "" };
        format!("{mark}{}", self.text)
    }

    /// How the text is written.
    pub fn format(&self) -> Format {
        self.format
    }

    /// Line and column of a byte. A byte outside the text counts as its end.
    pub fn position(&self, byte: usize) -> Position {
        let byte = self.boundary(byte);
        let line = self.line_index(byte);
        let column =
            self.characters_before(byte) - self.characters_before(self.line_starts[line]) + 1;
        Position {
            line: line + 1,
            column,
        }
    }

    /// The bytes of the line that holds `byte`, without its line break.
    pub fn line_span(&self, byte: usize) -> Range<usize> {
        let line = self.line_index(self.boundary(byte));
        let start = self.line_starts[line];
        let end = self
            .line_starts
            .get(line + 1)
            .map_or(self.text.len(), |next| next - 1);
        let end = if self.text[start..end].ends_with('\r') {
            end - 1
        } else {
            end
        };
        start..end
    }

    /// The nearest range inside the text that cuts no character.
    pub(in crate::diagnose) fn clamp(&self, span: Range<usize>) -> Range<usize> {
        let start = self.boundary(span.start);
        let end = self.boundary(span.end.max(span.start));
        start..end
    }

    fn line_index(&self, byte: usize) -> usize {
        // line_starts begins with 0, so at least one start is not after `byte`
        self.line_starts.partition_point(|start| *start <= byte) - 1
    }

    fn characters_before(&self, byte: usize) -> usize {
        // the first entry is (0, 0), so there is one at or before any byte
        let (start, count) =
            self.counted[self.counted.partition_point(|(start, _)| *start <= byte) - 1];
        count + self.text[start..byte].chars().count()
    }

    fn boundary(&self, byte: usize) -> usize {
        let mut byte = byte.min(self.text.len());
        while !self.text.is_char_boundary(byte) {
            byte -= 1;
        }
        byte
    }
}

fn count_characters(text: &str) -> Vec<(usize, usize)> {
    let mut counted = vec![(0, 0)];
    let mut next = 512;
    for (count, (at, _)) in text.char_indices().enumerate() {
        if at >= next {
            counted.push((at, count));
            next = at + 512;
        }
    }
    counted
}

/// A file name safe to print: what could hide or reorder text is escaped.
pub(in crate::diagnose) fn printable(name: &str) -> String {
    let mut out = String::with_capacity(name.len());
    for c in name.chars() {
        if is_refused(c) && c != '\u{FFFD}' {
            out.extend(c.escape_unicode());
        } else {
            out.push(c);
        }
    }
    out
}

fn unknown_extension(name: &str) -> Diagnostic {
    Diagnostic::of_file(
        name,
        Code::UnknownExtension,
        "The file name does not say how the file is written.",
        "Use a file whose name ends in .toml or .json.",
    )
}

fn too_large(name: &str) -> Diagnostic {
    Diagnostic::of_file(
        name,
        Code::TooLarge,
        "The file is larger than 1 MiB, so it cannot be a plan or a clinic file.",
        "Check that this is the right file.",
    )
}

fn not_utf8(name: &str, bytes: &[u8], offset: usize) -> Diagnostic {
    let line = bytes[..offset].iter().filter(|b| **b == b'\n').count() + 1;
    let mut diagnostic = Diagnostic::of_file(
        name,
        Code::NotUtf8,
        format!(
            "The file is not UTF-8 text: line {line} holds a byte that belongs to another encoding (byte {offset} of the file, counted from 0)."
        ),
        "Open it in an editor and save it again with the encoding UTF-8.",
    );
    let start = bytes[..offset]
        .iter()
        .rposition(|b| *b == b'\n')
        .map_or(0, |at| at + 1);
    // everything before `offset` is valid text, so its characters can be counted by their first bytes
    let column = bytes[start..offset]
        .iter()
        .filter(|b| **b & 0xC0 != 0x80)
        .count()
        + 1;
    diagnostic.position = Some(Position { line, column });
    diagnostic
}

#[cfg(test)]
mod tests {
    use crate::diagnose::{Format, Position, SourceFile};

    #[test]
    fn places_are_counted_in_characters_on_long_and_short_lines() {
        let text = format!("é王\r\n{}x\n\nlast", "é".repeat(3000));
        let source = SourceFile::from_bytes("x.toml", text.as_bytes(), Format::Toml).expect("text");
        for (byte, c) in text.char_indices() {
            let before = &text[..byte];
            let line = before.matches('\n').count() + 1;
            let column = before.chars().rev().take_while(|c| *c != '\n').count() + 1;
            assert_eq!(
                source.position(byte),
                Position { line, column },
                "{c:?} at {byte}"
            );
        }
        assert_eq!(source.position(usize::MAX), Position { line: 4, column: 5 });
        // inside a character: the place of that character
        assert_eq!(source.position(1), Position { line: 1, column: 1 });
        assert_eq!(&text[source.line_span(0)], "é王");
        assert_eq!(&text[source.line_span(text.len())], "last");
    }
}
