//! Turns a text and a form into the text with those places changed where the form says something else.
//! Invariant: `write(text, of(text))` is `text`, byte for byte.
//! Must not: change what the form does not know.

use super::{NotReadable, PlanForm};
use crate::diagnose::Format;
use crate::plan::Vocabulary;

/// The base text with those places changed where the form says something other than the base said.
///
/// An empty base is a new plan, in the order and look of our samples. An empty field takes its key away, an area that is no longer
/// ticked or an `event`, `history` or `answer` without a field takes its whole entry away, with the remarks that belong to it. A
/// remark behind a key that is taken away stays, on its own line. JSON is written anew when anything in it changes: in the same order, but with our spaces.
///
/// # Errors
/// The base cannot be taken apart.
pub fn write(
    base: &str,
    format: Format,
    form: &PlanForm,
    vocabulary: &Vocabulary,
) -> Result<String, NotReadable> {
    let _ = (base, format, form, vocabulary);
    unimplemented!()
}

/// The text with these fields written anew, as they are shown: a number that stood in quotation marks becomes a number, a date
/// that was a text a date, a key with nothing behind it goes.
///
/// The form cannot tell `20` from `"20"`, so [`write`] leaves such a place alone. Whoever saves a file with mistakes gives the fields
/// of those mistakes ([`field_of`](super::field_of)) here first.
///
/// # Errors
/// The text cannot be taken apart.
pub fn mend<'f>(
    base: &str,
    format: Format,
    fields: impl IntoIterator<Item = &'f str>,
    vocabulary: &Vocabulary,
) -> Result<String, NotReadable> {
    let _ = (base, format, fields.into_iter().count(), vocabulary);
    unimplemented!()
}

/// The form as it will read once it is written: `3 Dec 2026` as `2026-12-03`, `2,5` as `2.5`, `not-asked` as nothing, without the
/// fields of areas that are not ticked.
pub fn settled(form: &PlanForm, vocabulary: &Vocabulary) -> PlanForm {
    let _ = vocabulary;
    form.clone()
}
