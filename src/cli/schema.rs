//! Turns the wish for a schema into one on stdout.
//! Invariant: nothing but the schema goes to stdout, so that it can go straight into a file.
//! Must not: know what is in it.

use std::path::Path;

use clap::ValueEnum;

use super::Outcome;
use super::open::clinic_files;
use super::output::Output;
use crate::practice::{SchemaOf, schema};

/// Which file the schema is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum File {
    Plan,
    Clinic,
}

pub fn run(file: File, clinic: Option<&Path>) -> anyhow::Result<Outcome> {
    let files = match clinic.map(clinic_files).transpose()? {
        Some(None) => return Ok(Outcome::Unsettled),
        given => given.flatten(),
    };
    let file = match file {
        File::Plan => SchemaOf::Plan,
        File::Clinic => SchemaOf::Clinic,
    };
    Output::default().json(&schema(file, files.as_ref())?)?;
    Ok(Outcome::Fine)
}
