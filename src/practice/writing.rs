//! Turns finished bytes into files: temporary files beside the targets, then renames.
//! Invariant: a target is either the old file or the whole new one, readable by its owner only; never a half; the files of
//! one visit are all staged before the first is replaced.
//! Must not: decide what is written.

use std::io::Write;
use std::path::Path;

use tempfile::NamedTempFile;

use super::Failed;
use super::failed::{While, shown};

/// Writes the files of one visit, replacing older ones: all, or none when any cannot be staged.
///
/// # Errors
/// A folder or file cannot be written; unless a rename itself failed, every target is then as it was.
pub(super) fn replace_all<'f>(
    files: impl Iterator<Item = (&'f Path, &'f [u8])>,
) -> Result<(), Failed> {
    replace_all_after(files, || Ok(()))
}

/// The same with `before` called between staging and replacing; when it fails nothing is replaced.
///
/// # Errors
/// As `replace_all`, or `before` failed.
pub(super) fn replace_all_after<'f>(
    files: impl Iterator<Item = (&'f Path, &'f [u8])>,
    before: impl FnOnce() -> Result<(), Failed>,
) -> Result<(), Failed> {
    let mut staged = Vec::new();
    for (path, bytes) in files {
        if path.is_dir() {
            return Err(Failed::because(format!(
                "cannot write {}: a folder of that name is there",
                shown(path)
            )));
        }
        staged.push((path, stage(path, bytes)?));
    }
    before()?;
    for (path, file) in staged {
        file.persist(path)
            .map_err(|error| error.error)
            .while_doing(|| format!("cannot write {}", shown(path)))?;
    }
    Ok(())
}

/// Writes a file that is not there yet.
///
/// # Errors
/// The file is there, or cannot be written.
pub fn create(path: &Path, bytes: &[u8]) -> Result<(), Failed> {
    stage(path, bytes)?
        .persist_noclobber(path)
        .map(drop)
        .map_err(|error| error.error)
        .while_doing(|| format!("cannot write {}", shown(path)))
}

/// The bytes in a temporary file beside the target.
fn stage(path: &Path, bytes: &[u8]) -> Result<NamedTempFile, Failed> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    std::fs::create_dir_all(folder)
        .while_doing(|| format!("cannot make the folder {}", shown(folder)))?;
    // tempfile makes files that only their owner can read
    let mut file = NamedTempFile::new_in(folder)
        .while_doing(|| format!("cannot write in the folder {}", shown(folder)))?;
    file.write_all(bytes)
        .and_then(|()| file.as_file().sync_all())
        .while_doing(|| format!("cannot write {}", shown(path)))?;
    Ok(file)
}
