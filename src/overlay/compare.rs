//! Turns a clinic's wording files into what they change against this release.
//!
//! Invariant: every statement of the overlay is changed, extra, gone, or an untouched copy; a copy whose original has
//! changed is told apart from one that has not.
//!
//! Must not: decide which words are better.

use crate::overlay::{Entry, Overlay};
use crate::wording::library;

/// How a clinic's statement stands to this release.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// The clinic's words in place of the release's, which are still those it copied.
    Changed,
    /// The same, and the release's own words have changed since.
    ReleaseChanged,
    /// The same, and nobody can tell: the clinic wrote it without a copy.
    CopyUnknown,
    /// Only the clinic has it.
    Extra,
    /// The release had it once, or never; nothing prints it.
    Gone,
}

/// One statement that a clinic has in other words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference<'o> {
    pub entry: &'o Entry,
    pub standing: Standing,
    pub release: Option<String>,
}

/// Every statement that differs, in the order of the files.
pub fn differences(overlay: &Overlay) -> Vec<Difference<'_>> {
    let called_for = crate::called_for::wording_ids(&overlay.catalogue);
    overlay
        .entries
        .iter()
        .filter_map(|entry| {
            let release = released(&entry.tag, &entry.id);
            let own = called_for.contains(&entry.id) || super::HOOKS.contains(&entry.id.as_str());
            let standing = match (&release, &entry.copied) {
                (None, _) if own => Standing::Extra,
                (None, _) => Standing::Gone,
                (Some(_), _) if entry.is_copy() => return None,
                (Some(now), _) if *now == entry.text => return None,
                (Some(_), None) => Standing::CopyUnknown,
                (Some(now), Some(copied)) if library::digest(now) == *copied => Standing::Changed,
                (Some(_), Some(_)) => Standing::ReleaseChanged,
            };
            Some(Difference {
                entry,
                standing,
                release,
            })
        })
        .collect()
}

/// The release's words of a tag, or of its language where the country has none of its own.
fn released(tag: &str, id: &str) -> Option<String> {
    let base = tag.split('-').next().unwrap_or(tag);
    [tag, base].iter().find_map(|tag| {
        library::statements(tag)
            .ok()
            .and_then(|words| words.get(id).cloned())
    })
}
