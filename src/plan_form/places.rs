//! Turns the place of a mistake, as the plan reader names it, into the name of a field.
//! Invariant: a name that is returned is one of a field that the form of this file can have.
//! Must not: read the mistake.

use crate::diagnose::SourceFile;
use crate::plan::Vocabulary;

/// The field that shows what stands at this `path` of a diagnostic: `area[1].units` is `area.masseter.units`, `area[1].id` and `area`
/// are `area`, `event[0].needs[1]` is `event.0.needs`, `patient.pregnant` and the place of `pregnant` in `asked.no` are
/// `fact.pregnant`, a part that is missing (`visit`) is its first field. None for what no field shows.
pub fn field_of(source: &SourceFile, path: &str, vocabulary: &Vocabulary) -> Option<String> {
    let _ = (source, path, vocabulary);
    unimplemented!()
}
