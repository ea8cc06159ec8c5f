//! Reads `[[stock]]` of a clinic file: what is kept, how it is made up, and for which areas the practice found it licensed.
//!
//! Invariant: no product stands twice with one vial size; no area is both licensed and not.
//!
//! Must not: know what the catalogue holds of a licence; whose word counts is decided where areas are selected.

use std::collections::BTreeMap;

use crate::diagnose::Code;
use crate::domain::{AreaId, ProductId, Standing};
use crate::plan::clinic_shapes::MOST_IN_CLINIC;
use crate::plan::keys::{self, STOCK};
use crate::plan::reader::{Found, Reader, Section};
use crate::plan::tree::Table;
use crate::plan::{Licences, Stock};

/// What is in stock, `None` for an entry that cannot be read; and the licences that the practice looked up itself.
pub(in crate::plan) fn read_stock(
    reader: &mut Reader,
    root: &Table,
) -> (Vec<Option<Stock>>, Licences) {
    let sections = keys::several(reader, root, &STOCK);
    let mut seen: Vec<(Stock, Found<ProductId>)> = Vec::new();
    let mut all = Vec::new();
    let mut licences = LookedUp::new();
    for section in &sections {
        let product = reader
            .required(section, "product", "\"…\"")
            .and_then(|field| reader.product(&field, None));
        let vial_units = reader
            .optional(section, "vial_units")
            .and_then(|field| reader.vial(&field));
        let formulation = reader
            .optional(section, "formulation")
            .and_then(|field| reader.formulation(&field));
        let diluent_ml = reader
            .optional(section, "diluent_ml")
            .and_then(|field| reader.diluent(&field));
        let Some(product) = product else {
            all.push(None);
            continue;
        };
        read_licences(reader, section, &product.value, &mut licences);
        let stock = Stock {
            product: product.value.clone(),
            vial_units,
            formulation,
            diluent_ml,
        };
        let same = |(first, _): &&(Stock, Found<ProductId>)| {
            first.product == stock.product
                && first.vial_units == stock.vial_units
                && first.formulation == stock.formulation
        };
        match seen.iter().find(same) {
            Some((_, first)) => {
                reader.report_second(
                    Code::StockTwice,
                    &product,
                    (first.span.clone(), "listed here first"),
                    "This product is in stock twice with the same vial size.",
                    "Keep one entry, so that it is clear how the product is made up.",
                );
            }
            None => seen.push((stock.clone(), product)),
        }
        all.push(Some(stock));
    }
    let said = licences
        .into_iter()
        .map(|(key, (standing, _))| (key, standing));
    (all, said.collect())
}

/// Each area with where it was first named.
type LookedUp = BTreeMap<(ProductId, AreaId), (Standing, std::ops::Range<usize>)>;

fn read_licences(
    reader: &mut Reader,
    section: &Section,
    product: &ProductId,
    known: &mut LookedUp,
) {
    for (key, standing) in [
        ("licensed_for", Standing::Licensed),
        ("off_label_for", Standing::OffLabel),
    ] {
        let Some(field) = reader.optional(section, key) else {
            continue;
        };
        for area in reader.areas(&field, MOST_IN_CLINIC) {
            let place = (product.clone(), area.value.clone());
            match known.get(&place) {
                Some((other, first)) if *other != standing => {
                    let first = (first.clone(), "named here first");
                    reader.report_second(
                        Code::LicenceTwice,
                        &area,
                        first,
                        "This product is called licensed for this area, and not licensed for it.",
                        "Keep the area in one of the two lists; its official product information says in which.",
                    );
                }
                Some(_) => {}
                None => {
                    known.insert(place, (standing, area.span.clone()));
                }
            }
        }
    }
}
