//! Turns the overlay folder that a clinic file names into its files, read and checked.
//!
//! Invariant: no file outside the clinic's own folder is ever opened, whatever links lie in it; all mistakes are handed back.
//!
//! Must not: look at what a file says (that is `crate::overlay`).

use std::ops::Range;
use std::path::{Path, PathBuf};

use super::Failed;
use super::failed::While;
use crate::diagnose::{Code, Diagnostic, MAX_FILE_BYTES, SourceFile};
use crate::overlay::{File, MAX_LOGO_BYTES, Mistakes, Overlay};
use crate::plan;
use crate::typeset::Fonts;

/// Most files an overlay may have; the release's wording has a few dozen.
const MOST_FILES: usize = 400;
/// `wording/en/areas/x.md` lies three folders deep.
const DEEPEST: usize = 4;

/// The overlay of a clinic with its mistakes, or what a clinic without one has.
///
/// # Errors
/// The folder cannot be read.
pub(super) fn read_overlay(
    clinic_source: &SourceFile,
    clinic_path: &Path,
    found: &mut super::Mistakes,
) -> Result<Overlay, Failed> {
    let Some((folder, span)) = plan::overlay_named(clinic_source) else {
        return Ok(Overlay::none());
    };
    let home = match clinic_path.parent() {
        Some(home) if !home.as_os_str().is_empty() => home,
        _ => Path::new("."),
    };
    let mut walk = Walk {
        home: home
            .canonicalize()
            .while_doing(|| format!("cannot read {}", home.display()))?,
        files: Vec::new(),
        refused: Vec::new(),
    };
    let root = clinic_path.with_file_name("").join(&folder);
    if let Some(problem) = walk.stands_outside(&root) {
        found.add(
            clinic_source,
            vec![of_folder(clinic_source, span, &problem)],
        );
        return Ok(Overlay::none());
    }
    walk.folder(&root, "", 0)?;
    let mut overlay = Overlay::read(&walk.files, &Fonts::embedded());
    overlay
        .mistakes
        .extend(walk.refused.into_iter().map(|diagnostic| Mistakes {
            source: None,
            found: vec![diagnostic],
        }));
    Ok(overlay)
}

fn of_folder(source: &SourceFile, span: Range<usize>, problem: &str) -> Diagnostic {
    Diagnostic::new(
        source,
        Code::OverlayFolder,
        span,
        problem,
        "Name a folder that lies beside the clinic file, with the files themselves in it.",
    )
    .at("clinic.overlay")
}

struct Walk {
    /// The clinic's own folder, with all links followed.
    home: PathBuf,
    files: Vec<File>,
    refused: Vec<Diagnostic>,
}

impl Walk {
    /// Why a folder cannot be the overlay.
    fn stands_outside(&self, root: &Path) -> Option<String> {
        match root.canonicalize() {
            Err(_) => Some("This folder is not there.".to_owned()),
            Ok(real) if !real.starts_with(&self.home) => {
                Some("This folder leads out of the clinic's own folder.".to_owned())
            }
            Ok(real) if !real.is_dir() => Some("This is a file, not a folder.".to_owned()),
            Ok(_) => None,
        }
    }

    fn folder(&mut self, folder: &Path, name: &str, depth: usize) -> Result<(), Failed> {
        let cannot = || format!("cannot read the folder {}", folder.display());
        let mut entries: Vec<_> = std::fs::read_dir(folder)
            .and_then(Iterator::collect::<Result<Vec<_>, _>>)
            .while_doing(cannot)?;
        entries.sort_by_key(std::fs::DirEntry::file_name);
        for entry in entries {
            let path = entry.path();
            let last = entry.file_name().to_string_lossy().into_owned();
            let name = format!("{name}{last}");
            let shown = path.to_string_lossy().into_owned();
            let mut refuse = |code, problem: &str, remedy: &str| {
                self.refused
                    .push(Diagnostic::of_file(&shown, code, problem, remedy));
            };
            // a link is followed only as far as the clinic's own folder goes
            let Ok(real) = path.canonicalize() else {
                refuse(
                    Code::OverlayFile,
                    "This link leads nowhere.",
                    "Put the file itself here, or delete the link.",
                );
                continue;
            };
            if !real.starts_with(&self.home) {
                refuse(
                    Code::OverlayFolder,
                    "This leads out of the clinic's own folder.",
                    "Put the file itself here, not a link to it.",
                );
                continue;
            }
            let about = std::fs::metadata(&real).while_doing(|| format!("cannot read {shown}"))?;
            if about.is_dir() {
                if last.starts_with('.') {
                    continue;
                }
                if depth + 1 >= DEEPEST {
                    refuse(
                        Code::OverlayFile,
                        "This folder lies too deep in the overlay.",
                        "Put its files where the overlay looks for them.",
                    );
                    continue;
                }
                self.folder(&path, &format!("{name}/"), depth + 1)?;
                continue;
            }
            let picture = [".svg", ".png"]
                .iter()
                .any(|ending| last.to_ascii_lowercase().ends_with(ending));
            // one byte more than a logo may have, so that its own check can tell
            let most = if picture { u64::MAX } else { MAX_FILE_BYTES };
            if !about.is_file() || about.len() > most {
                let (code, problem) = if about.is_file() {
                    (Code::TooLarge, "The file is larger than 1 MiB.")
                } else {
                    (Code::NotAFile, "This is a device, not a file.")
                };
                refuse(code, problem, "Check that this is the right file.");
                continue;
            }
            if self.files.len() >= MOST_FILES {
                refuse(
                    Code::OverlayFile,
                    "The overlay has more files than are read.",
                    "Put statements together into fewer files.",
                );
                return Ok(());
            }
            let bytes = read_upto(
                &real,
                if picture {
                    MAX_LOGO_BYTES
                } else {
                    MAX_FILE_BYTES
                },
            )
            .while_doing(|| format!("cannot read {shown}"))?;
            self.files.push(File { name, shown, bytes });
        }
        Ok(())
    }
}

/// The bytes of a file, cut off one byte after `most`.
fn read_upto(path: &Path, most: u64) -> std::io::Result<Vec<u8>> {
    use std::io::Read;
    let mut bytes = Vec::new();
    std::fs::File::open(path)?
        .take(most + 1)
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}
