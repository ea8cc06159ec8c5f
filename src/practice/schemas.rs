//! Turns the words of the release, or of one clinic, into a JSON Schema of the plan or the clinic file.
//! Invariant: the lists in it are those the reader itself uses, the clinic's own areas among them.
//! Must not: know a key of either file (the table of the reader does).

use std::collections::BTreeMap;

use serde_json::Value;

use super::ClinicFiles;
use crate::catalogue::Catalogue;
use crate::domain::LabelId;
use crate::papers;
use crate::plan::{SchemaWords, clinic_schema, plan_schema};
use crate::wording::{Wording, WordingError};

/// Which file a schema is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SchemaOf {
    /// The plan of one visit.
    Plan,
    /// A clinic file.
    Clinic,
}

/// The schema (JSON Schema draft-07) of a file of the release, or of this clinic: then it also lists the clinic's own areas,
/// its practitioners and its stock.
///
/// # Errors
/// A label is missing.
pub fn schema(file: SchemaOf, clinic: Option<&ClinicFiles>) -> Result<Value, WordingError> {
    let own = clinic.and_then(|files| files.clinic.as_ref());
    let catalogue = clinic.map_or(Catalogue::embedded(), |files| &files.overlay.catalogue);
    let vocabulary = clinic.map_or_else(
        || papers::vocabulary(catalogue),
        |files| files.vocabulary.clone(),
    );
    let wording = match own {
        Some(clinic) => papers::wording_in(&clinic.language, clinic)?,
        None => Wording::new(&"en".parse().expect("`en` is a language tag"), "GB")?,
    };
    let words = SchemaWords {
        vocabulary: &vocabulary,
        clinic: own,
        names: names(catalogue, &wording)?,
    };
    Ok(match file {
        SchemaOf::Plan => plan_schema(&words),
        SchemaOf::Clinic => clinic_schema(&words),
    })
}

/// What areas and facts are called, by id.
fn names(
    catalogue: &Catalogue,
    wording: &Wording,
) -> Result<BTreeMap<String, String>, WordingError> {
    let mut names = BTreeMap::new();
    for area in &catalogue.areas {
        let name = wording.label(&LabelId::area_name(&area.id))?;
        names.insert(area.id.to_string(), name);
    }
    for fact in &catalogue.facts {
        let name = wording.label(&LabelId::fact(&fact.id))?;
        names.insert(fact.id.to_string(), name);
    }
    Ok(names)
}
