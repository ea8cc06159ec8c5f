//! Beforehand: turns one visit's plan into the consent form, the aftercare sheet and the clinician's check sheet.
//!
//! Invariant: modules use each other in one direction only, in the order below; the test `layers_import_one_way` holds it.
//! Must not: print or exit anywhere but in `cli`.

pub mod calendar;
pub mod catalogue;
pub mod cli;
pub mod compose;
pub mod contrast;
pub mod coverage;
pub mod diagnose;
pub mod overlay;
pub mod paper;
pub mod papers;
pub mod plan;
pub mod practice;
pub mod readability;
pub mod record;
pub mod select;
pub mod standards;
pub mod typeset;
pub mod wording;
