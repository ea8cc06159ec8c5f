//! Turns finished bytes into files: temporary files beside the targets, then renames.
//! Invariant: a target is either the old file or the whole new one, readable by its owner only; never a half; the files of
//! one visit are all staged before the first is replaced.
//! Must not: decide what is written.

use std::io::Write;
use std::path::Path;

use anyhow::{Context, bail};
use tempfile::NamedTempFile;

/// Writes the files of one visit, replacing older ones: all, or none when any cannot be staged.
///
/// # Errors
/// A folder or file cannot be written; unless a rename itself failed, every target is then as it was.
pub fn replace_all<'f>(files: impl Iterator<Item = (&'f Path, &'f [u8])>) -> anyhow::Result<()> {
    replace_all_noted(files, || Ok(()))
}

/// The same with `noted` called between staging and replacing; when it fails nothing is replaced.
///
/// # Errors
/// As `replace_all`, or `noted` failed.
pub fn replace_all_noted<'f>(
    files: impl Iterator<Item = (&'f Path, &'f [u8])>,
    noted: impl FnOnce() -> anyhow::Result<()>,
) -> anyhow::Result<()> {
    let mut staged = Vec::new();
    for (path, bytes) in files {
        if path.is_dir() {
            bail!(
                "cannot write {}: a folder of that name is there",
                path.display()
            );
        }
        staged.push((path, stage(path, bytes)?));
    }
    noted()?;
    for (path, file) in staged {
        file.persist(path)
            .map_err(|error| error.error)
            .with_context(|| format!("cannot write {}", path.display()))?;
    }
    Ok(())
}

/// Writes a file that is not there yet.
///
/// # Errors
/// The file is there, or cannot be written.
pub fn create(path: &Path, bytes: &[u8]) -> anyhow::Result<()> {
    stage(path, bytes)?
        .persist_noclobber(path)
        .map(drop)
        .map_err(|error| error.error)
        .with_context(|| format!("cannot write {}", path.display()))
}

/// The bytes in a temporary file beside the target.
fn stage(path: &Path, bytes: &[u8]) -> anyhow::Result<NamedTempFile> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    std::fs::create_dir_all(folder)
        .with_context(|| format!("cannot make the folder {}", folder.display()))?;
    // tempfile makes files that only their owner can read
    let mut file = NamedTempFile::new_in(folder)
        .with_context(|| format!("cannot write in the folder {}", folder.display()))?;
    file.write_all(bytes)
        .and_then(|()| file.as_file().sync_all())
        .with_context(|| format!("cannot write {}", path.display()))?;
    Ok(file)
}
