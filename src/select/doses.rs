//! Turns planned units and dilution into totals, volumes and comparisons with labels.
//! Invariant: units of one product are never turned into units of another; a rounded volume never hides half a unit.
//! Must not: propose a dose.

use jiff::ToSpan;

use crate::catalogue::{Area, Catalogue, DosePer, Evidence, Level, Product};
use crate::domain::{AreaId, LabelId, ProductId, Trigger};
use crate::plan::{PlannedArea, Side, Visit};

use super::SelectedArea;
use super::cautions::{Caution, Reason};
use super::dilution;
use super::labels::{Basis, LabelComparison, Verdict, compare};

/// The dose of one area. Units are the product's own.
#[derive(Debug, Clone, PartialEq)]
pub struct Dose {
    pub total_units: Option<f64>,
    /// Each side, when both sides are treated.
    pub side_units: Option<f64>,
    pub point_units: Option<f64>,
    pub points: Option<u32>,
    /// Volume of the total in mL, as text rounded for a syringe.
    pub volume_ml: Option<String>,
    /// The same to 0.0001 mL.
    pub volume_ml_exact: Option<String>,
    /// Units in each 0.1 mL at this dilution.
    pub units_per_tenth_ml: Option<f64>,
    pub label: LabelComparison,
}

/// The planned units of several areas held against the labelled total for just those areas.
#[derive(Debug, Clone, PartialEq)]
pub struct TotalComparison {
    pub product: ProductId,
    /// Area ids, in printing order.
    pub areas: Vec<AreaId>,
    pub planned_units: f64,
    pub label_low: f64,
    pub label_high: f64,
    pub evidence: Evidence,
}

/// Rounds a volume half up to 0.01 mL, or finer when 0.01 mL would hide half a unit or more.
pub fn volume_text(units: f64, units_per_ml: f64) -> String {
    let exact = units / units_per_ml;
    for decimals in 2..=4 {
        let scale = 10_f64.powi(decimals);
        // a hair upwards: 0.125 is stored as a little less or a little more, and half goes up
        let text = format!(
            "{:.*}",
            decimals as usize,
            (exact * scale + 0.5 + 1e-9).floor() / scale
        );
        let back = text.parse::<f64>().expect("a formatted number reads back") * units_per_ml;
        if (back - units).abs() < 0.5 {
            return trim(&text);
        }
    }
    trim(&format!("{exact:.4}"))
}

/// The volume to 0.0001 mL.
pub fn exact_volume_text(units: f64, units_per_ml: f64) -> String {
    trim(&format!("{:.4}", units / units_per_ml))
}

fn trim(text: &str) -> String {
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Works out one area's dose.
pub fn dose(
    visit: &Visit,
    planned: &PlannedArea,
    area: &Area,
    product: &Product,
    place: Option<&str>,
) -> Dose {
    let total = planned.units.and_then(|units| units.total(planned.side));
    let used = visit.product_of(planned);
    let per_ml = dilution::units_per_ml(used, product);
    let points = planned
        .points
        .or(planned.units.and_then(|units| units.points));
    Dose {
        total_units: total,
        side_units: total
            .filter(|_| planned.side == Side::Both && area.sides.contains(&Side::Left))
            // an odd number of points cannot be shared out evenly
            .filter(|_| points.is_none_or(|points| points % 2 == 0))
            .map(|t| t / 2.0),
        point_units: total
            .zip(points)
            .map(|(total, points)| total / f64::from(points.max(1))),
        points,
        volume_ml: total
            .zip(per_ml)
            .map(|(total, per_ml)| volume_text(total, per_ml)),
        volume_ml_exact: total
            .zip(per_ml)
            .map(|(total, per_ml)| exact_volume_text(total, per_ml)),
        units_per_tenth_ml: per_ml.map(|per_ml| per_ml / 10.0),
        label: compare(total, planned.side, points, area, product, place),
    }
}

/// For each product, the largest set of planned areas for which the label of the place names a total.
pub fn totals(areas: &[SelectedArea<'_>], place: Option<&str>) -> Vec<TotalComparison> {
    let mut found: Vec<TotalComparison> = Vec::new();
    for selected in areas {
        let product = selected.product;
        if found.iter().any(|known| known.product == product.id) {
            continue;
        }
        let best = product
            .label_total
            .iter()
            .filter(|total| Some(total.place.as_str()) == place && total.areas.len() > 1)
            .filter_map(|total| {
                let planned: Option<Vec<&SelectedArea<'_>>> = total
                    .areas
                    .iter()
                    .map(|id| {
                        areas
                            .iter()
                            .find(|a| a.area.id == *id && a.product.id == product.id)
                    })
                    .collect();
                let planned = planned?;
                let units: Option<Vec<f64>> = planned.iter().map(|a| a.dose.total_units).collect();
                let mut ids: Vec<(u16, AreaId)> = planned
                    .iter()
                    .map(|a| (a.area.order, a.area.id.clone()))
                    .collect();
                ids.sort();
                Some(TotalComparison {
                    product: product.id.clone(),
                    areas: ids.into_iter().map(|(_, id)| id).collect(),
                    planned_units: units?.iter().sum(),
                    label_low: total.low,
                    label_high: total.high,
                    evidence: total.evidence.clone(),
                })
            })
            .max_by_key(|total| total.areas.len());
        found.extend(best);
    }
    found
}

/// So many times the largest known total of one session, and the total is questioned: our own alarm, no source names one.
const SESSION_ALARM: f64 = 2.0;

/// The largest total of this product for one session that a source of ours names: a labelled total for several areas, or
/// what one area got in a label or study. Limits over months are held apart (`cumulative`): they count other illnesses too.
fn largest_session(catalogue: &Catalogue, product: &Product) -> Option<(f64, Evidence)> {
    let totals = product
        .label_total
        .iter()
        .map(|total| (total.high, &total.evidence));
    let areas = catalogue.areas.iter().flat_map(|area| {
        let sides = if area.sides.contains(&Side::Left) {
            2.0
        } else {
            1.0
        };
        area.dose
            .iter()
            .filter(|dose| dose.product == product.id)
            .filter_map(move |dose| {
                let times = match dose.per {
                    DosePer::Session => 1.0,
                    DosePer::Side => sides,
                    DosePer::Point => f64::from(dose.points?),
                    DosePer::Band => return None,
                };
                Some((dose.high * times, &dose.evidence))
            })
    });
    totals
        .chain(areas)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(units, evidence)| (units, evidence.clone()))
}

/// The products of these areas, each once, in order of their names.
fn products_of<'a>(areas: &[SelectedArea<'a>]) -> Vec<&'a Product> {
    let mut products: Vec<&Product> = areas.iter().map(|a| a.product).collect();
    products.sort_by(|a, b| a.id.cmp(&b.id));
    products.dedup_by(|a, b| a.id == b.id);
    products
}

/// A total of one product far above anything our sources name for one session. What was planned for every area counts.
pub fn session_totals(areas: &[SelectedArea<'_>], catalogue: &Catalogue) -> Vec<Caution> {
    let mut found = Vec::new();
    for product in products_of(areas) {
        let planned: f64 = areas
            .iter()
            .filter(|a| a.product.id == product.id)
            .filter_map(|a| a.dose.total_units)
            .sum();
        let Some((known, evidence)) = largest_session(catalogue, product) else {
            continue;
        };
        if planned > known * SESSION_ALARM + 1e-9 {
            // the alarm is ours, whatever the status of the total it starts from
            let practice = Evidence::common_practice();
            let evidence = Evidence::together([&evidence, &practice]);
            found.push(
                Caution::new(Trigger::SessionTotalHigh, Level::Ask, &evidence)
                    .because(Reason::Product(product.id.clone()))
                    .with("product", product.id.as_str().into())
                    .with("planned", planned.into())
                    .with("known", known.into())
                    .with("times", SESSION_ALARM.into()),
            );
        }
    }
    found
}

/// Whole vials of a product that the planned areas use up, where units and vial size are known.
pub fn vials(visit: &Visit, areas: &[SelectedArea<'_>], product: &ProductId) -> Option<u32> {
    let of_product = || areas.iter().filter(|a| a.product.id == *product);
    let vial = of_product().find_map(|a| visit.product_of(a.planned).vial_units)?;
    let units: Option<f64> = of_product().map(|a| a.dose.total_units).sum();
    Some((units? / vial - 1e-9).ceil().max(1.0) as u32)
}

/// Units of the last months added to today's, held against what the label says about adding up.
pub fn cumulative(visit: &Visit, areas: &[SelectedArea<'_>], place: Option<&str>) -> Vec<Caution> {
    let mut found = Vec::new();
    for product in products_of(areas) {
        let limit = product
            .cumulative
            .iter()
            .find(|limit| Some(limit.place.as_str()) == place);
        let months = limit.map_or(3, |limit| limit.months);
        let Ok(since) = visit.date.checked_sub(i64::from(months).months()) else {
            continue;
        };
        let recent: Vec<_> = visit.history.iter().filter(|h| h.date > since).collect();
        if recent.is_empty() {
            continue;
        }
        let same = |name: &Option<ProductId>| name.as_ref() == Some(&product.id);
        // both sums start at plus nothing: an empty sum of floats is minus nothing, and would be printed as -0
        let earlier: f64 = recent
            .iter()
            .filter(|h| same(&h.product))
            .filter_map(|h| h.units)
            .fold(0.0, |a, b| a + b);
        let unknown = recent
            .iter()
            .any(|h| h.units.is_none() || !same(&h.product));
        let open = areas
            .iter()
            .any(|a| a.product.id == product.id && a.dose.total_units.is_none());
        let today: f64 = areas
            .iter()
            .filter(|a| a.product.id == product.id)
            .filter_map(|a| a.dose.total_units)
            .fold(0.0, |a, b| a + b);
        let sum = earlier + today;
        let (id, level) = match limit.and_then(|limit| limit.units) {
            Some(most) if sum > most + 1e-9 => (Trigger::CumulativeAbove, Level::Ask),
            _ => (Trigger::Cumulative, Level::Note),
        };
        let evidence = limit.map_or_else(Evidence::common_practice, |limit| limit.evidence.clone());
        found.push(
            Caution::new(id, level, &evidence)
                .because(Reason::Product(product.id.clone()))
                .with("product", product.id.as_str().into())
                .with("months", months.into())
                .with("earlier", earlier.into())
                .with("today", today.into())
                .with("sum", sum.into())
                .with("unknown", unknown.into())
                .with("open", open.into())
                .with("label", limit.and_then(|limit| limit.units).into())
                .with(
                    "version",
                    limit
                        .map_or(String::new(), |limit| limit.label_version.clone())
                        .into(),
                ),
        );
    }
    found
}

/// Doses above a label, and several products in one visit.
pub fn cautions(areas: &[SelectedArea<'_>], totals: &[TotalComparison]) -> Vec<Caution> {
    let mut found = Vec::new();
    for selected in areas {
        let held = match &selected.dose.label {
            LabelComparison::Compared(held) => held,
            LabelComparison::NotPlanned => continue,
            LabelComparison::NothingKnown => {
                found.push(
                    Caution::new(
                        Trigger::DoseNotChecked,
                        Level::Ask,
                        &Evidence::common_practice(),
                    )
                    .because(Reason::Area(selected.area.id.clone()))
                    .because(Reason::Product(selected.product.id.clone()))
                    .with("product", selected.product.id.as_str().into())
                    .with(
                        "planned",
                        selected.dose.total_units.unwrap_or_default().into(),
                    ),
                );
                continue;
            }
        };
        if held.verdict != Verdict::Above {
            continue;
        }
        let (id, whose) = match &held.basis {
            Basis::OwnLabel => (Trigger::DoseAboveLabel, None),
            Basis::OtherLabel(place) => (Trigger::DoseAboveOtherLabel, Some(place)),
            Basis::Studies => (Trigger::DoseAboveStudies, None),
        };
        // the name of the place, not its code, is for people to read
        let whose = whose.map(|place| LabelId::licence_place(place).as_str().to_owned());
        found.push(
            Caution::new(id, Level::Ask, &held.evidence)
                .because(Reason::Area(selected.area.id.clone()))
                .because(Reason::Product(selected.product.id.clone()))
                .with(
                    "planned",
                    selected.dose.total_units.unwrap_or_default().into(),
                )
                .with("label", held.high.into())
                .with("place", whose.into_iter().collect())
                .with("product", selected.product.id.as_str().into()),
        );
    }
    let already = |total: &TotalComparison| {
        found
            .iter()
            .filter(|c: &&Caution| c.id != Trigger::DoseNotChecked.as_str())
            .any(|c| c.areas.iter().any(|area| total.areas.contains(area)))
    };
    let totals: Vec<&TotalComparison> = totals.iter().filter(|total| !already(total)).collect();
    for total in totals
        .into_iter()
        .filter(|total| total.planned_units > total.label_high + 1e-9)
    {
        let mut caution = Caution::new(Trigger::TotalAboveLabel, Level::Ask, &total.evidence)
            .with("planned", total.planned_units.into())
            .with("label", total.label_high.into())
            .with("product", total.product.as_str().into());
        for area in &total.areas {
            caution = caution.because(Reason::Area(area.clone()));
        }
        found.push(caution);
    }
    let products = products_of(areas);
    if let [first, _, ..] = products.as_slice() {
        let evidence = &first.units_interchangeable;
        let mut caution = Caution::new(Trigger::MixedProducts, Level::Ask, &evidence.evidence);
        for product in &products {
            caution = caution.because(Reason::Product(product.id.clone()));
        }
        found.push(caution);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// US label of onabotulinumtoxinA as restated by C1 (published): 26, 31, 36 and 24 units at 4 units in 0.1 mL.
    /// The source gives 0.65, 0.78, 0.9 and 0.6 mL.
    #[test]
    fn volumes_equal_the_us_label() {
        for (units, ml) in [
            (26.0, "0.65"),
            (31.0, "0.78"),
            (36.0, "0.9"),
            (24.0, "0.6"),
            (20.0, "0.5"),
        ] {
            assert_eq!(volume_text(units, 40.0), ml);
        }
    }

    #[test]
    fn a_volume_never_hides_half_a_unit() {
        for concentration in [20.0, 40.0, 83.3, 100.0, 200.0, 400.0] {
            for half_units in 1..200 {
                let units = f64::from(half_units) / 2.0;
                let back = volume_text(units, concentration)
                    .parse::<f64>()
                    .expect("a number")
                    * concentration;
                assert!(
                    (back - units).abs() < 0.5,
                    "{units} units at {concentration} per mL became {back}"
                );
            }
        }
    }
}
