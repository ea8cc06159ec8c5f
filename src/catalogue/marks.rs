//! Turns the `[[mark]]` entries of the areas into places on our own drawing of a face and neck, and checks them.
//! Invariant: every treatable area has a mark on the front view for each side it may be planned on; all lie inside the drawing.
//! Must not: know the lines of the drawing, or which areas a plan holds.

use serde::{Deserialize, Serialize};

use super::{Area, Restriction, Side};

/// A view of the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum View {
    /// From the front; the patient's right is on the left of the paper.
    Front,
    /// From one side, the patient's right one; mirrored for the left.
    Profile,
}

impl View {
    /// Width and height of its frame in units of the drawing; the same sizes stand in `templates/face.typ`.
    pub fn size(self) -> (f64, f64) {
        match self {
            View::Front => (132.0, 143.0),
            View::Profile => (96.0, 143.0),
        }
    }
}

/// Diameter of a ring, in units of the drawing.
pub const RING: f64 = 12.0;

/// Where an area lies on the drawing. All places are parts of the view's width (from the left) and height (from the top).
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct FaceMark {
    pub view: View,
    /// The patient's own side; never `both`.
    pub side: Side,
    pub x: f64,
    pub y: f64,
    /// Where the numbered ring stands; on the place itself unless given.
    pub ring: Option<(f64, f64)>,
    /// Where it stands when another planned area's ring would be in its way; where `ring` says unless given.
    pub crowded: Option<(f64, f64)>,
}

impl FaceMark {
    /// The place, in units of the drawing.
    pub fn place(&self) -> (f64, f64) {
        self.in_units((self.x, self.y))
    }

    /// The middle of the ring, in units of the drawing.
    pub fn ring_at(&self, crowded: bool) -> (f64, f64) {
        let near = self.ring.unwrap_or((self.x, self.y));
        self.in_units(self.crowded.filter(|_| crowded).unwrap_or(near))
    }

    fn in_units(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let (width, height) = self.view.size();
        (x * width, y * height)
    }
}

/// The sides a planned side is made of: both is left and right.
pub fn single_sides(side: Side) -> &'static [Side] {
    match side {
        Side::Both => &[Side::Right, Side::Left],
        Side::Left => &[Side::Left],
        Side::Right => &[Side::Right],
        Side::Midline => &[Side::Midline],
    }
}

/// Missing, doubled or misplaced marks of one area.
pub(super) fn problems(area: &Area) -> Vec<String> {
    let id = area.id.as_str();
    let mut found = Vec::new();
    for mark in &area.mark {
        let at = format!("{id} mark {:?} {}", mark.view, mark.side.as_str());
        if mark.side == Side::Both {
            found.push(format!("{at}: a mark is for one side"));
        }
        let (width, height) = mark.view.size();
        let half = (RING / 2.0 / width, RING / 2.0 / height);
        if !inside((mark.x, mark.y), (0.0, 0.0)) {
            found.push(format!("{at}: lies outside the drawing"));
        }
        let rings = [Some(mark.ring.unwrap_or((mark.x, mark.y))), mark.crowded];
        if rings.into_iter().flatten().any(|ring| !inside(ring, half)) {
            found.push(format!("{at}: its ring leaves the drawing"));
        }
        let same = |m: &&super::FaceMark| m.view == mark.view && m.side == mark.side;
        if area.mark.iter().filter(same).count() > 1 {
            found.push(format!("{at}: stands more than once"));
        }
    }
    let has = |view, side| area.mark.iter().any(|m| m.view == view && m.side == side);
    let has_profile = area.mark.iter().any(|m| m.view == View::Profile);
    let views: &[View] = match (area.restriction.value, has_profile) {
        // never planned, so never drawn
        (Restriction::DoNotTreat, _) => &[],
        (_, true) => &[View::Front, View::Profile],
        (_, false) => &[View::Front],
    };
    for side in area.sides.iter().flat_map(|side| single_sides(*side)) {
        for view in views {
            if !has(*view, *side) {
                found.push(format!("{id}: no {view:?} mark for {}", side.as_str()));
            }
        }
    }
    found.sort();
    found.dedup();
    found
}

/// Whether a point of a view lies in it, at least `half` from each edge. False for what is not a number.
fn inside((x, y): (f64, f64), half: (f64, f64)) -> bool {
    x >= half.0 && x <= 1.0 - half.0 && y >= half.1 && y <= 1.0 - half.1
}
