//! Turns a plan file into the fields of a form, and what somebody typed into them into changes of the file's text.
//! Invariant: a place of the text is changed only where the form says something other than the text said; remarks, order,
//! spaces and everything the form does not know stay as they are written.
//! Must not: judge a plan (a value that cannot be right is written as typed, so that the reader points at it), open files, or
//! know what a page looks like.
//!
//! ```text
//! text ─ written ─► values as written ─ reading ─► PlanForm ─► (a page) ─► PlanForm
//!                                                                            │ changes (what differs, as values)
//!                                    text with these changes ◄─ toml_text / json_text
//! ```
//!
//! The fields: `patient.name|born|record|language|large_print`, `visit.date|time|informed_on|informed_at|practitioner|prescriber|
//! prescriber_saw_on|revision`, `product.name|vial_units|formulation|diluent_ml|batch`, `asked.on|by`; `area` (the ids that are
//! ticked), `area.<id>.side|units|per|points|aim|reason|round|previous|product|stance|because`; `event.<n>.date|until|what|needs`,
//! `history.<n>.date|reason|product|units|areas`, `answer.<n>.to|question|decision|because|by|on`, each `n` from 0 in the order of
//! the file; `fact.<id>` with `not-asked` (or nothing), `yes`, `no`, `not-sure`, or `left`, `right`, `both`, and
//! `fact.<id>.said` with the words or the number.
//!
//! A value that is wrong stands in its field as it is written, without quotation marks if it is a text: a page must show a
//! text that is on none of its lists, or it cannot be kept. An area that stands twice in the file is `masseter#2` the second time; one
//! without a name is `#` and its place, counted from 1.
//!
//! ```
//! use beforehand::catalogue::Catalogue;
//! use beforehand::diagnose::{Format, SourceFile};
//! use beforehand::papers::vocabulary;
//! use beforehand::plan_form::{PlanForm, write};
//!
//! let text = "[patient]\nname = \"Ines Aldana (invented)\"  # as on the record\n\n[[area]]\nid = \"masseter\"\nunits = 50\n";
//! let source = SourceFile::from_bytes("plan.toml", text.as_bytes(), Format::Toml).expect("a text");
//! let vocabulary = vocabulary(Catalogue::embedded());
//!
//! let mut form = PlanForm::of(&source, &vocabulary)?;
//! assert_eq!(form.get("area.masseter.units"), Some("50"));
//! form.set("area.masseter.units", ["47,5"]);
//! form.set("patient.born", ["11 Feb 1984"]);
//! let changed = write(text, Format::Toml, &form, &vocabulary)?;
//! assert_eq!(
//!     changed,
//!     "[patient]\nname = \"Ines Aldana (invented)\"  # as on the record\nborn = 1984-02-11\n\n[[area]]\nid = \"masseter\"\nunits = 47.5\n"
//! );
//! # Ok::<(), beforehand::plan_form::NotReadable>(())
//! ```

mod aligning;
mod changes;
mod fields;
mod form;
mod json_text;
mod next_round;
mod places;
mod reading;
mod toml_lines;
mod toml_list;
mod toml_look;
mod toml_text;
mod typed_dates;
mod values;
mod versions;
mod writing;
mod written;

pub use form::PlanForm;
pub use next_round::next_round;
pub use places::field_of;
pub use typed_dates::{typed_date, typed_month, typed_time};
pub use versions::{Choice, Difference, NotMerged, Who, differences, merge};
pub use writing::{mend, settled, write};

/// The text is not TOML or JSON, or names a key twice in one place, so that nothing in it can be changed safely. The plan reader
/// says what is wrong and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotReadable;

impl std::fmt::Display for NotReadable {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("the file is not written as its ending says, so it can be mended by hand only")
    }
}

impl std::error::Error for NotReadable {}
