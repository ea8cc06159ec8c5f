//! Turns a visit and what a file is into the file's name, without its ending.
//! Invariant: no two record numbers give the same name; the patient's name is in it only where the clinic's pattern asks for it.
//! Must not: know a folder.

use crate::select::Selection;

/// What stands for `{paper}` in the name of a calendar file.
pub const CALENDAR: &str = "calendar";

/// Record number, date and paper, or the clinic's own pattern. Letters, digits and hyphens are kept; anything else becomes its
/// code between underscores.
pub fn stem(selection: &Selection<'_>, paper: &str) -> String {
    let visit = selection.visit;
    let pattern = selection.clinic.file_names.as_deref();
    pattern
        .unwrap_or("{record}-{date}-{paper}")
        .replace("{date}", &visit.date.to_string())
        .replace("{paper}", paper)
        .replace("{record}", &plain(&visit.patient.record))
        .replace("{name}", &plain(&visit.patient.name))
}

/// The name of the calendar file.
pub fn calendar(selection: &Selection<'_>) -> String {
    format!("{}.ics", stem(selection, CALENDAR))
}

fn plain(text: &str) -> String {
    let mut plain = String::new();
    for c in text.chars() {
        if c.is_alphanumeric() || c == '-' {
            plain.push(c);
        } else {
            plain.push_str(&format!("_{:x}_", u32::from(c)));
        }
    }
    plain
}
