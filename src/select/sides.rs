//! Turns sides and points of planned areas into questions where they do not fit together.
//! Invariant: a pattern that a source itself gives is never questioned.
//! Must not: choose a side, or move a point.

use crate::catalogue::{DosePer, Evidence, Level, Restriction};
use crate::domain::Trigger;
use crate::plan::Side;

use super::SelectedArea;
use super::cautions::{Caution, Reason};

/// The reason that explains one side alone.
const ASYMMETRY: &str = "asymmetry";

/// Points that cannot be shared out, and one side alone without a reason.
pub fn cautions(areas: &[SelectedArea<'_>]) -> Vec<Caution> {
    areas
        .iter()
        .flat_map(|selected| uneven(selected).into_iter().chain(one_sided(selected)))
        .collect()
}

fn ask(trigger: Trigger, selected: &SelectedArea<'_>) -> Caution {
    Caution::new(trigger, Level::Ask, &Evidence::common_practice())
        .because(Reason::Area(selected.area.id.clone()))
}

/// An odd number of points on both sides, unless a source gives just that number for the whole area, one in the midline.
fn uneven(selected: &SelectedArea<'_>) -> Option<Caution> {
    let points = selected.dose.points?;
    let paired = selected.planned.side == Side::Both && selected.area.sides.contains(&Side::Left);
    let given = selected
        .area
        .dose
        .iter()
        .any(|dose| dose.per == DosePer::Session && dose.points == Some(points));
    (paired && points % 2 == 1 && !given)
        .then(|| ask(Trigger::PointsNotEven, selected).with("points", points.into()))
}

/// One side of an area that has two. An area that is treated only to balance a face has its own rule.
fn one_sided(selected: &SelectedArea<'_>) -> Option<Caution> {
    let side = selected.planned.side;
    let one = matches!(side, Side::Left | Side::Right) && selected.area.sides.contains(&Side::Both);
    let said = selected.planned.reason.as_deref() == Some(ASYMMETRY)
        || selected.area.restriction.value == Restriction::ReconstructiveOnly;
    (one && !said).then(|| ask(Trigger::OneSided, selected).with("side", side.as_str().into()))
}
