//! Beforehand: turns one visit's plan into the consent form, the aftercare sheet, the clinician's check sheet with its evidence
//! annex, and a calendar file.
//!
//! A front end opens a clinic's folder once, as a [`Practice`], and asks it for everything else:
//!
//! ```
//! use std::path::Path;
//!
//! use beforehand::{MakeOptions, PaperKind, Practice, ReadError};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! // the clinic file with everything it names: overlay, approvals, fonts
//! let practice = Practice::open(Path::new("samples/linden-court/clinic.toml"))?;
//!
//! // a plan is read whole, or every mistake in it is told at once, with line and column
//! let visit = match practice.read_plan(Path::new("samples/linden-court/news-reader.toml")) {
//!     Ok(visit) => visit,
//!     Err(ReadError::Mistakes(mistakes)) => {
//!         for mistake in mistakes.iter() {
//!             eprintln!("{:?}: {} {}", mistake.line(), mistake.problem, mistake.remedy);
//!         }
//!         return Ok(());
//!     }
//!     Err(ReadError::Failed(failed)) => return Err(failed.into()),
//! };
//!
//! // what the practitioner must decide, before anything is laid out
//! for caution in practice.cautions(&visit)? {
//!     println!("{}: {} ({})", caution.level, caution.text, caution.because);
//! }
//!
//! // the papers in memory, each held against what it must contain
//! let papers = practice.make(&visit, &MakeOptions::default())?;
//! assert!(!papers.is_stopped());
//! let consent = papers.paper(PaperKind::Consent).expect("areas are planned");
//! println!("{} pages, {} statements", consent.pages.count(), consent.coverage.printed.len());
//! for file in papers.files(&[])? {
//!     println!("{}: {}, {} bytes", file.name, file.content, file.bytes.len());
//! }
//! # Ok(())
//! # }
//! ```
//!
//! Invariant: modules use each other in one direction only; the test `layers_import_one_way` holds it. What is exported here is
//! what a front end needs; the modules are public for the tests of this package and may change.
//!
//! Must not: print or exit anywhere but in `cli`.

pub use paper::{Edition, PaperKind};
pub use practice::{
    ApproveError, Approver, ClinicFiles, Failed, JSON_VERSION, MakeError, MakeOptions, Mistakes,
    OpenError, OpenOptions, OutFolder, Paper, PaperFile, Papers, Practice, ReadError, Trace,
    VisitReport, Wanted, WordedCaution, Written,
};

#[doc(hidden)]
pub mod calendar;
#[doc(hidden)]
pub mod called_for;
#[doc(hidden)]
pub mod catalogue;
#[doc(hidden)]
pub mod cli;
#[doc(hidden)]
pub mod compose;
#[doc(hidden)]
pub mod contrast;
#[doc(hidden)]
pub mod coverage;
#[cfg(feature = "desk")]
#[doc(hidden)]
pub mod desk;
#[doc(hidden)]
pub mod diagnose;
pub mod domain;
#[doc(hidden)]
pub mod file_names;
#[doc(hidden)]
pub mod gate;
#[doc(hidden)]
pub mod lint;
#[doc(hidden)]
pub mod overlay;
pub mod paper;
#[doc(hidden)]
pub mod papers;
#[doc(hidden)]
pub mod phone_page;
#[doc(hidden)]
pub mod plan;
pub mod plan_form;
pub mod practice;
#[doc(hidden)]
pub mod print_pack;
#[doc(hidden)]
pub mod record;
#[doc(hidden)]
pub mod select;
#[doc(hidden)]
pub mod typeset;
#[doc(hidden)]
pub mod wording;
