//! Turns three versions of one plan (the one two people began with, mine, theirs) into what differs, and into one again.
//! Invariant: what only one side changed is kept; what both changed differently is never decided here.
//! Must not: write anything but onto their text, so that the remarks of the file now on disk survive.

use std::collections::BTreeMap;

use super::{NotReadable, PlanForm};
use crate::diagnose::Format;
use crate::plan::Vocabulary;

/// Who changed a field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Who {
    OnlyMine,
    OnlyTheirs,
    /// Both, and not to the same.
    Both,
}

/// One field in three versions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// Its name; `area.masseter` or `event.0` alone where one side has added or removed the whole of it.
    pub field: String,
    /// Its texts; of a whole area or entry its fields, each as `units: 20`, and none where it is not there.
    pub base: Vec<String>,
    pub mine: Vec<String>,
    pub theirs: Vec<String>,
    pub who: Who,
}

/// Which side counts where both changed a field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    Mine,
    Theirs,
}

/// Why versions could not be made one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotMerged {
    NotReadable,
    /// Fields that both changed and of which nobody has said which counts.
    NotChosen(Vec<String>),
}

/// What differs between three versions, by field; nothing for what both changed to the same.
///
/// `mine` is the form that began as the form of the base. Entries that are counted (`event`, `history`, `answer`) keep the base's numbers: theirs are
/// matched by what they say, and what each side added has a number of its own.
pub fn differences(
    base: &PlanForm,
    mine: &PlanForm,
    theirs: &PlanForm,
    vocabulary: &Vocabulary,
) -> Vec<Difference> {
    let _ = (base, mine, theirs, vocabulary);
    unimplemented!()
}

/// My changes written onto their text. `chosen` names the side for each field of [`differences`] that both changed.
///
/// # Errors
/// The fields that both changed and that are not chosen; or their text cannot be taken apart.
pub fn merge(
    base: &PlanForm,
    mine: &PlanForm,
    theirs: &str,
    format: Format,
    chosen: &BTreeMap<String, Choice>,
    vocabulary: &Vocabulary,
) -> Result<String, NotMerged> {
    let _ = (base, mine, theirs, format, chosen, vocabulary);
    Err(NotMerged::from(NotReadable))
}

impl From<NotReadable> for NotMerged {
    fn from(_: NotReadable) -> NotMerged {
        NotMerged::NotReadable
    }
}
