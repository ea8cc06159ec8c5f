//! Turns finished bytes into files: a temporary file beside the target, then a rename.
//! Invariant: a target is either the old file or the whole new one, readable by its owner only; never a half.
//! Must not: decide what is written.

use std::io::Write;
use std::path::Path;

use anyhow::Context;

/// Writes a file, replacing an older one.
///
/// # Errors
/// The folder or the file cannot be written; the target is then as it was.
pub fn replace(path: &Path, bytes: &[u8]) -> anyhow::Result<()> {
    persist(path, bytes, |file, path| {
        file.persist(path).map(drop).map_err(|error| error.error)
    })
}

/// Writes a file that is not there yet.
///
/// # Errors
/// The file is there, or cannot be written.
pub fn create(path: &Path, bytes: &[u8]) -> anyhow::Result<()> {
    persist(path, bytes, |file, path| {
        file.persist_noclobber(path)
            .map(drop)
            .map_err(|error| error.error)
    })
}

fn persist(
    path: &Path,
    bytes: &[u8],
    finish: impl FnOnce(tempfile::NamedTempFile, &Path) -> std::io::Result<()>,
) -> anyhow::Result<()> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    std::fs::create_dir_all(folder)
        .with_context(|| format!("cannot make the folder {}", folder.display()))?;
    // tempfile makes files that only their owner can read
    let mut file = tempfile::NamedTempFile::new_in(folder)
        .with_context(|| format!("cannot write in the folder {}", folder.display()))?;
    file.write_all(bytes)
        .and_then(|()| file.as_file().sync_all())
        .and_then(|()| finish(file, path))
        .with_context(|| format!("cannot write {}", path.display()))
}
