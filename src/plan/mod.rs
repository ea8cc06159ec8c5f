//! Turns a plan file, with the clinic file it belongs to, into a [`Visit`]; or into every mistake it holds.
//!
//! Invariant: a `Visit` or `Clinic` that comes out of here holds only words of the vocabulary, dates in a possible order,
//! positive finite numbers and text without hidden characters.
//!
//! Must not: know a risk, a dose or a sentence of any document; open files; guess what a mistaken value meant.
//!
//! ```text
//! SourceFile ─ toml_tree / json_tree ─► Node tree ─ keys (are all keys known?) ─ plan_file / clinic_file ─► Visit / Clinic
//! ```

mod asked;
mod branding;
mod clinic;
mod clinic_file;
mod clinic_shapes;
mod dates;
mod habits;
mod json_tree;
mod keys;
pub mod language;
mod look_file;
mod numbers;
mod order;
mod plan_area;
mod plan_file;
mod reader;
mod schema;
mod shapes;
mod stock_file;
mod toml_slips;
mod toml_tree;
mod toml_words;
mod translation_file;
mod tree;
mod visit;
mod vocabulary;
mod words;

pub use crate::domain::{FactKind, PageSize, Per, Side, Stance};
pub use branding::{Branding, Logo, LogoKind};
pub use clinic::{Clinic, Experience, Fees, Licences, Practitioner, Stock, Translation};
pub use clinic_file::read_clinic;
pub use habits::{AftercareHabits, VisitHabits};
pub use look_file::{LookWords, overlay_named, read_look};
pub use plan_file::read_plan;
pub use schema::{SchemaWords, clinic_schema, plan_schema};
pub use visit::{
    Answer, Asked, EarlierTreatment, Event, FactValue, Patient, PlannedArea, Product, Units,
    UserText, Visit, age_on,
};
pub use vocabulary::{AreaWord, CautionWord, FactWord, OtherToxinWord, ProductWord, Vocabulary};
