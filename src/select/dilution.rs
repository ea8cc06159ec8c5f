//! Turns vial, diluent and form of each product into the strength that is drawn up, and into questions where that is unusual.
//! Invariant: strengths of one product are compared with those of the same product only; a ready-made liquid has no dilution.
//! Must not: propose a dilution, or take one that the plan and the stock leave out.

use crate::catalogue::{Evidence, Level, Product};
use crate::domain::{Formulation, LabelId, Trigger};
use crate::plan::{self, Clinic, Visit};

use super::SelectedArea;
use super::cautions::{Caution, Reason};

/// So many times stronger or weaker than what is known, and a dilution is questioned: our own alarm, no source names one.
const UNUSUAL: f64 = 1.5;

/// Units in each mL as made up; none of a liquid, whose strength stands on the pack.
pub fn units_per_ml(used: &plan::Product, product: &Product) -> Option<f64> {
    if is_ready(used, product) {
        return None;
    }
    strength(used.vial_units, used.diluent_ml)
}

/// It is ready to use: nothing is put in.
pub fn is_ready(used: &plan::Product, product: &Product) -> bool {
    product.formulation(used.formulation) == Some(Formulation::Liquid)
}

fn strength(vial: Option<f64>, ml: Option<f64>) -> Option<f64> {
    let (vial, ml) = vial.zip(ml)?;
    (ml > 0.0).then_some(vial / ml)
}

/// How many times one of two strengths is the other, the greater above; 1 when they are the same.
fn times(one: f64, other: f64) -> f64 {
    (one / other).max(other / one)
}

fn same(one: f64, other: f64) -> bool {
    times(one, other) < 1.0 + 1e-6
}

/// Questions about the form, the vial and the dilution of each product that is used.
pub fn cautions(
    visit: &Visit,
    clinic: &Clinic,
    areas: &[SelectedArea<'_>],
    place: Option<&str>,
) -> Vec<Caution> {
    let mut used: Vec<(&plan::Product, &Product)> = areas
        .iter()
        .map(|selected| (visit.product_of(selected.planned), selected.product))
        .collect();
    used.sort_by(|a, b| a.0.name.cmp(&b.0.name));
    used.dedup_by(|a, b| a.0 == b.0);
    let mut found = Vec::new();
    for (used, product) in used {
        found.extend(form(used, product));
        found.extend(vial(used, product));
        if is_ready(used, product) {
            found.extend(used.diluent_ml.map(|ml| {
                ask(Trigger::DiluentReady, &Evidence::common_practice(), product)
                    .with("ml", ml.into())
            }));
            continue;
        }
        if let Some(tenth) = units_per_ml(used, product).map(|units| units / 10.0) {
            found.extend(unusual(tenth, product, place));
            found.extend(not_stock(tenth, used, clinic, product));
        }
    }
    found
}

fn ask(trigger: Trigger, evidence: &Evidence, product: &Product) -> Caution {
    Caution::new(trigger, Level::Ask, evidence)
        .because(Reason::Product(product.id.clone()))
        .with("product", product.id.as_str().into())
}

/// A form that no source names, or none where it matters which it is.
fn form(used: &plan::Product, product: &Product) -> Option<Caution> {
    if product.is_form_open(used.formulation) {
        let practice = Evidence::common_practice();
        return Some(
            Caution::new(Trigger::FormOpen, Level::Note, &practice)
                .because(Reason::Product(product.id.clone()))
                .with("product", product.id.as_str().into()),
        );
    }
    let said = used.formulation?;
    let known = product.form.iter().any(|form| form.formulation == said);
    let evidence = Evidence::together(product.form.iter().map(|form| &form.evidence));
    (!known)
        .then(|| ask(Trigger::FormUnlisted, &evidence, product).with("form", said.as_str().into()))
}

/// A vial of a size that no source names for the product.
fn vial(used: &plan::Product, product: &Product) -> Option<Caution> {
    let units = used.vial_units?;
    let of_dilutions = product
        .dilution
        .iter()
        .filter_map(|dilution| Some((dilution.vial_units?, &dilution.evidence)));
    let sold = product.vial.iter().map(|vial| (vial.units, &vial.evidence));
    let mut known: Vec<(f64, &Evidence)> = of_dilutions.chain(sold).collect();
    if known.is_empty() || known.iter().any(|(size, _)| same(*size, units)) {
        return None;
    }
    known.sort_by(|a, b| a.0.total_cmp(&b.0));
    let evidence = Evidence::together(known.iter().map(|(_, evidence)| *evidence));
    known.dedup_by(|a, b| same(a.0, b.0));
    let sizes: Vec<f64> = known.into_iter().map(|(size, _)| size).collect();
    Some(
        ask(Trigger::VialSizeUnknown, &evidence, product)
            .with("vial", units.into())
            .with("sizes", sizes.into()),
    )
}

/// A strength far from every one that the label of the place names; without one there, from those of other places.
fn unusual(tenth: f64, product: &Product, place: Option<&str>) -> Option<Caution> {
    let own: Vec<_> = product
        .dilution
        .iter()
        .filter(|dilution| Some(dilution.place.as_str()) == place)
        .collect();
    let held = if own.is_empty() {
        product.dilution.iter().collect()
    } else {
        own
    };
    let nearest = held.into_iter().min_by(|a, b| {
        let far = |of: &crate::catalogue::Dilution| times(tenth, of.units_per_tenth_ml);
        far(a).total_cmp(&far(b))
    })?;
    (times(tenth, nearest.units_per_tenth_ml) >= UNUSUAL).then(|| {
        let practice = Evidence::common_practice();
        let evidence = Evidence::together([&nearest.evidence, &practice]);
        ask(Trigger::DilutionUnusual, &evidence, product)
            .with("tenth", tenth.into())
            .with("known", nearest.units_per_tenth_ml.into())
            .with(
                "place",
                serde_json::json!([LabelId::licence_place(&nearest.place).as_str()]),
            )
            .with("stronger", (tenth > nearest.units_per_tenth_ml).into())
            .with("times", UNUSUAL.into())
    })
}

/// A strength that the clinic does not use elsewhere: a question when it is far off, else worth knowing.
fn not_stock(
    tenth: f64,
    used: &plan::Product,
    clinic: &Clinic,
    product: &Product,
) -> Option<Caution> {
    let nearest = clinic
        .stock
        .iter()
        .filter(|stock| stock.product == product.id)
        .filter(|stock| {
            stock.formulation.is_none()
                || used.formulation.is_none()
                || stock.formulation == used.formulation
        })
        .filter_map(|stock| strength(stock.vial_units, stock.diluent_ml))
        .map(|units| units / 10.0)
        .min_by(|a, b| times(tenth, *a).total_cmp(&times(tenth, *b)))?;
    if same(tenth, nearest) {
        return None;
    }
    let level = if times(tenth, nearest) >= UNUSUAL {
        Level::Ask
    } else {
        Level::Note
    };
    Some(
        Caution::new(
            Trigger::DilutionNotStock,
            level,
            &Evidence::common_practice(),
        )
        .because(Reason::Product(product.id.clone()))
        .with("product", product.id.as_str().into())
        .with("tenth", tenth.into())
        .with("stock", nearest.into()),
    )
}
