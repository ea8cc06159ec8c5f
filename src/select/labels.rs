//! Turns a planned dose into how it stands against a dose that a source gives: the label of the place, else another label, else studies.
//! Invariant: what it is held against is named (whose label, or a study), with its own source and status; products are never mixed.
//! Must not: call a dose right; it only says above, below or within.

use crate::catalogue::{Area, Dose as KnownDose, DoseKind, DosePer, Evidence, Product};
use crate::plan::Side;

/// What a planned dose is held against.
#[derive(Debug, Clone, PartialEq)]
pub enum Basis {
    /// The label of the clinic's own place.
    OwnLabel,
    /// The label of another place, because the own one names no dose that we know: `US`, `UK`.
    OtherLabel(String),
    /// Doses used in studies or named by experts; there is no label.
    Studies,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    Within,
    Above,
    Below,
}

/// A planned dose beside what a source gives. Units are the product's own, for the whole area as planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    pub basis: Basis,
    pub verdict: Verdict,
    pub low: f64,
    pub high: f64,
    pub evidence: Evidence,
}

/// A planned dose held against a label.
#[derive(Debug, Clone, PartialEq)]
pub enum LabelComparison {
    /// The plan names no units.
    NotPlanned,
    /// No source of ours gives a dose of this product for this area.
    NothingKnown,
    Compared(Comparison),
}

/// Order in which labels of other places are looked at.
const PLACES: [&str; 4] = ["US", "UK", "EU", "CN"];

/// Holds a total against the label of the place, else of another place, else against studies and experts.
pub fn compare(
    total: Option<f64>,
    side: Side,
    points: Option<u32>,
    area: &Area,
    product: &Product,
    place: Option<&str>,
) -> LabelComparison {
    let Some(total) = total else {
        return LabelComparison::NotPlanned;
    };
    let of_product = |kind: DoseKind| {
        area.dose
            .iter()
            .filter(move |d| d.kind == kind && d.product == product.id)
    };
    let label_of = |wanted: &str| -> Vec<&KnownDose> {
        of_product(DoseKind::Label)
            .filter(|d| d.place.as_deref() == Some(wanted))
            .collect()
    };
    let own = place.map(label_of).unwrap_or_default();
    let candidates = std::iter::once((Basis::OwnLabel, own))
        .chain(
            PLACES
                .iter()
                .filter(|other| Some(**other) != place)
                .map(|other| (Basis::OtherLabel((*other).to_owned()), label_of(other))),
        )
        .chain(std::iter::once((
            Basis::Studies,
            of_product(DoseKind::Study)
                .chain(of_product(DoseKind::Expert))
                .collect(),
        )));
    for (basis, doses) in candidates {
        if let Some(held) = hold(total, side, points, area, basis, &doses) {
            return LabelComparison::Compared(held);
        }
    }
    LabelComparison::NothingKnown
}

fn hold(
    total: f64,
    side: Side,
    points: Option<u32>,
    area: &Area,
    basis: Basis,
    doses: &[&KnownDose],
) -> Option<Comparison> {
    let sides = if side == Side::Both { 2.0 } else { 1.0 };
    // doses for a whole session of a paired area are for both sides; one side alone is held against half
    let paired = area.sides.contains(&Side::Left);
    let share = if paired && side != Side::Both {
        0.5
    } else {
        1.0
    };
    // a total for the session says it all; the parts beside it are only how that total is shared out
    let has_session = doses.iter().any(|d| d.per == DosePer::Session);
    let mut range: Option<(f64, f64)> = None;
    let mut known = Vec::new();
    for dose in doses
        .iter()
        .filter(|d| !has_session || d.per == DosePer::Session)
    {
        let times = match dose.per {
            DosePer::Session => share,
            DosePer::Side => sides,
            DosePer::Point => match dose.points.or(points) {
                Some(points) => f64::from(points),
                None => continue,
            },
            DosePer::Band => continue,
        };
        let (low, high) = (dose.low * times, dose.high * times);
        range = Some(range.map_or((low, high), |(l, h)| (l.min(low), h.max(high))));
        known.push(&dose.evidence);
    }
    let (low, high) = range?;
    let verdict = if total > high + 1e-9 {
        Verdict::Above
    } else if total < low - 1e-9 {
        Verdict::Below
    } else {
        Verdict::Within
    };
    Some(Comparison {
        basis,
        verdict,
        low,
        high,
        // the weakest speaks for the whole range
        evidence: Evidence::together(known),
    })
}
