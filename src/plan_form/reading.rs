//! Turns the values of a plan file, right or wrong, into the fields of a form.
//! Invariant: every key that a plan can have comes out, a wrong value as it is written.
//! Must not: judge a value.

use super::{NotReadable, PlanForm};
use crate::diagnose::SourceFile;
use crate::plan::Vocabulary;

impl PlanForm {
    /// The form that shows a plan file. Works for a file with mistakes; a wrong value stands in its field as it is written.
    ///
    /// # Errors
    /// The text cannot be taken apart.
    pub fn of(source: &SourceFile, vocabulary: &Vocabulary) -> Result<PlanForm, NotReadable> {
        let _ = (source, vocabulary);
        unimplemented!()
    }
}
