//! Turns finished bytes into files: temporary files beside the targets, then renames.
//! Invariant: a target is either the old file or the whole new one, readable by its owner only; never a half; the files of
//! one visit are all staged before the first is replaced; a temporary file of a run that was killed goes when the next begins,
//! and never one that another run still needs.
//! Must not: decide what is written.

use std::fs::File;
use std::io::Write;
use std::path::Path;

use tempfile::{Builder, NamedTempFile};

use super::Failed;
use super::failed::{While, shown};

/// Temporary files of papers begin with this.
const TEMPORARY: &str = ".beforehand-";

/// Other temporary files begin with this; nobody sweeps them.
pub(super) const PRIVATE: &str = ".tmp";

/// Keeps the temporary files of a folder from being swept away while it is open: a shared lock on the folder itself. None
/// where a system or a network folder knows no such lock; there nothing is ever swept.
fn in_use(folder: &Path) -> Option<File> {
    let folder = File::open(folder).ok()?;
    folder.lock_shared().is_ok().then_some(folder)
}

/// Removes the temporary files that a killed run left in a folder; does nothing while any run is writing there.
pub(super) fn sweep(folder: &Path) {
    let left = |name: &str| name.starts_with(TEMPORARY);
    let Ok(entries) = std::fs::read_dir(folder) else {
        return;
    };
    let entries: Vec<_> = entries
        .filter_map(Result::ok)
        .filter(|entry| entry.file_name().to_str().is_some_and(left))
        .collect();
    if entries.is_empty() {
        return;
    }
    let alone = File::open(folder).ok();
    let Some(alone) = alone.filter(|folder| folder.try_lock().is_ok()) else {
        return;
    };
    for entry in entries {
        // one that cannot be removed does no harm, and the next run tries again
        let _ = std::fs::remove_file(entry.path());
    }
    drop(alone);
}

/// Writes files, replacing older ones: all, or none when any cannot be staged.
///
/// # Errors
/// A folder or file cannot be written; unless a rename itself failed, every target is then as it was.
pub(super) fn replace_all<'f>(
    files: impl Iterator<Item = (&'f Path, &'f [u8])>,
) -> Result<(), Failed> {
    put(staged(files, PRIVATE)?)
}

/// Writes the papers of one visit in the same way, with `before` called between staging and replacing; when it fails nothing is
/// replaced. The folder they go to may be swept at any time.
///
/// # Errors
/// As `replace_all`, or `before` failed.
pub(super) fn replace_papers<'f>(
    folder: &Path,
    files: impl Iterator<Item = (&'f Path, &'f [u8])>,
    before: impl FnOnce() -> Result<(), Failed>,
) -> Result<(), Failed> {
    make_folder(folder)?;
    let in_use = in_use(folder);
    let staged = staged(files, TEMPORARY)?;
    before()?;
    put(staged)?;
    drop(in_use);
    Ok(())
}

type Staged<'f> = Vec<(&'f Path, NamedTempFile)>;

fn staged<'f>(
    files: impl Iterator<Item = (&'f Path, &'f [u8])>,
    prefix: &str,
) -> Result<Staged<'f>, Failed> {
    let mut staged = Vec::new();
    for (path, bytes) in files {
        if path.is_dir() {
            return Err(Failed::because(format!(
                "cannot write {}: a folder of that name is there",
                shown(path)
            )));
        }
        staged.push((path, stage(path, bytes, prefix)?));
    }
    Ok(staged)
}

fn put(staged: Staged<'_>) -> Result<(), Failed> {
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
    stage(path, bytes, PRIVATE)?
        .persist_noclobber(path)
        .map(drop)
        .map_err(|error| error.error)
        .while_doing(|| format!("cannot write {}", shown(path)))
}

fn make_folder(folder: &Path) -> Result<(), Failed> {
    std::fs::create_dir_all(folder)
        .while_doing(|| format!("cannot make the folder {}", shown(folder)))
}

/// The bytes in a temporary file beside the target.
pub(super) fn stage(path: &Path, bytes: &[u8], prefix: &str) -> Result<NamedTempFile, Failed> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    make_folder(folder)?;
    // tempfile makes files that only their owner can read
    let mut file = Builder::new()
        .prefix(prefix)
        .tempfile_in(folder)
        .while_doing(|| format!("cannot write in the folder {}", shown(folder)))?;
    file.write_all(bytes)
        .and_then(|()| file.as_file().sync_all())
        .while_doing(|| format!("cannot write {}", shown(path)))?;
    Ok(file)
}
