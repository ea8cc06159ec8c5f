//! Turns arguments into runs of the built program in a temporary folder, and into what it said and left there.
//!
//! Invariant: a run has nothing to read and no wish for colour from the environment.
//! Must not: write anywhere but in temporary folders.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use super::clinic;

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
