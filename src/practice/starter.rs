//! Turns a list of areas into a commented plan that `make` accepts once names and dates are filled in.
//! Invariant: what is written is valid TOML, and every blank left in it is one the reader points at by name.
//! Must not: guess a patient, a date or a dose.

use std::fmt::Write as _;

use crate::catalogue::{Area, Catalogue, FactKind, Restriction, Side};
use crate::domain::LabelId;
use crate::select::facts_for;
use crate::wording::{Wording, WordingError};

/// A plan for these areas, to be filled in; the areas are those of the catalogue.
///
/// # Errors
/// A label is missing.
pub fn starter_plan(
    catalogue: &Catalogue,
    wording: &Wording,
    areas: &[String],
) -> Result<String, WordingError> {
    let mut out = String::new();
    out.push_str(
        "# One visit. Fill in what is empty, remove the # from what applies, then run: beforehand make THIS-FILE\n\
         # The clinic file (clinic.toml) belongs beside this one.\n\n\
         [patient]\n\
         name = \"\"                 # as on the record\n\
         born = \"\"                 # year-month-day, for instance 1984-02-11\n\
         record = \"\"               # record number\n\
         # language = \"en\"         # if it is not the clinic's own\n\n\
         # What to ask the patient. Take the # away where you asked, and write true, false or \"not-sure\".\n\
         # What keeps its # counts as not asked, which is never the same as no.\n",
    );
    let planned: Vec<&Area> = match areas {
        [] => catalogue.areas.iter().collect(),
        some => some.iter().filter_map(|id| catalogue.area(id)).collect(),
    };
    for fact in facts_for(catalogue, &planned) {
        let question = wording.label(&LabelId::question(&fact.id))?;
        let instead = match fact.kind {
            FactKind::Flag => "",
            FactKind::Side => " Yes: \"left\", \"right\" or \"both\".",
            FactKind::Number => " Yes: the number.",
            FactKind::Text => " Yes: what happened, in quotation marks.",
        };
        let _ = writeln!(out, "# {question}{instead}\n# {} = false", fact.id);
    }
    out.push_str(
        "\n# Who asked, and when. What was denied can also stand here: no = [\"pregnant\", \"dry_eye\"]\n\
         # [asked]\n\
         # on = \"\"                 # year-month-day\n\
         # by = \"\"                 # a name or a role\n",
    );
    out.push_str(
        "\n[visit]\n\
         date = \"\"                 # year-month-day\n\
         # time = 14:30            # then the aftercare sheet gives hours, not spans\n\
         # informed_on = \"\"        # the day the written information was given\n\
         practitioner = \"\"         # the id from the clinic file\n\n\
         [product]\n\
         name = \"onabotulinumtoxinA\"\n",
    );
    let products: Vec<&str> = catalogue
        .products
        .iter()
        .map(|product| product.id.as_str())
        .collect();
    let _ = writeln!(out, "# one of: {}", products.join(", "));
    out.push_str(
        "# vial_units = 100        # from the clinic's stock if left out\n\
         # diluent_ml = 2.5\n\
         # batch = \"\"\n",
    );
    if areas.is_empty() {
        out.push_str("\n# At least one area:\n# [[area]]\n# id = \"masseter\"\n# side = \"both\"\n# units = 50\n# an id is one of\n");
        for area in &catalogue.areas {
            let name = wording.label(&LabelId::area_name(&area.id))?;
            let _ = writeln!(out, "#   {}: {name}", area.id);
        }
    }
    for id in areas {
        let area = catalogue
            .area(id)
            .expect("unknown areas were refused before");
        let name = wording.label(&LabelId::area_name(&area.id))?;
        let sides: Vec<&str> = area.sides.iter().map(|side| side.as_str()).collect();
        let side = area.sides.first().copied().unwrap_or(Side::Both).as_str();
        let _ = write!(out, "\n[[area]]\nid = \"{id}\"    # {name}\n");
        if sides.len() > 1 {
            let _ = writeln!(out, "side = \"{side}\"    # one of: {}", sides.join(", "));
        }
        out.push_str("# units = 0               # total for the area; or add per = \"side\"\n");
        out.push_str("# aim = \"\"                # in the patient's own words\n");
        match area.restriction.value {
            Restriction::ReconstructiveOnly => {
                out.push_str("# reason = \"asymmetry\"    # required for this area: it is not treated for looks\n");
            }
            Restriction::DoNotTreat => {
                out.push_str("# This area is never treated; `make` will stop here.\n")
            }
            Restriction::None => {}
        }
        out.push_str("# round = 1\n# previous = \"\"           # the day it was treated last\n");
    }
    out.push_str(
        "\n# What the patient has planned; add one block for each.\n\
         # [[event]]\n# date = \"\"\n# what = \"\"\n",
    );
    let needs: Vec<String> = catalogue
        .needs
        .iter()
        .map(|need| format!("\"{}\"", need.id))
        .collect();
    let _ = writeln!(out, "# needs = [{}]", needs.join(", "));
    Ok(out)
}
