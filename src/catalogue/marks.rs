//! Turns the `[[mark]]` entries of the areas into zones of our own drawing of a face and neck, and checks them.
//! Invariant: every treatable area has a mark for each side it may be planned on; all lie inside the drawing, and every zone they name is drawn.
//! Must not: know the lines of the drawing, or which areas a plan holds.

use serde::{Deserialize, Serialize};

use super::{Area, Restriction, Side};

/// Width and height of the drawing in its units: about 104 from the crown to the chin.
pub const SIZE: (f64, f64) = (132.0, 143.0);
/// Its left upper corner: x counts from the middle of the face, y from the top of the hairline.
pub const CORNER: (f64, f64) = (-66.0, -5.0);

/// The pieces a zone is drawn in: one over the middle, one on each side, or both of these.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Pieces {
    Midline,
    Both,
    Sides,
    BothOrSides,
}

impl Pieces {
    fn has(self, side: Side) -> bool {
        match side {
            Side::Midline => self == Pieces::Midline,
            Side::Both => matches!(self, Pieces::Both | Pieces::BothOrSides),
            Side::Left | Side::Right => matches!(self, Pieces::Sides | Pieces::BothOrSides),
        }
    }
}

/// The zones that `templates/drawing.typ` holds.
const ZONES: &[(&str, Pieces)] = &[
    ("brows", Pieces::Midline),
    ("forehead", Pieces::BothOrSides),
    ("crows-feet", Pieces::Sides),
    ("nose-sides", Pieces::Sides),
    ("nose-wings", Pieces::Sides),
    ("nose-tip", Pieces::Midline),
    ("lips", Pieces::Both),
    ("mouth-corners", Pieces::Sides),
    ("lower-lip", Pieces::Sides),
    ("chin", Pieces::Midline),
    ("jaw", Pieces::Sides),
    ("neck", Pieces::Sides),
];

/// Every zone with the sides it is drawn for.
pub fn zones() -> impl Iterator<Item = (&'static str, Vec<Side>)> {
    ZONES.iter().map(|(name, pieces)| {
        let all = [Side::Midline, Side::Both, Side::Left, Side::Right];
        let drawn = all.into_iter().filter(|side| pieces.has(*side));
        (*name, drawn.collect())
    })
}

/// Where an area lies on the drawing.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct FaceMark {
    /// The patient's own side. `both` is one zone over the middle for who is treated on both sides.
    pub side: Side,
    /// The zone that is hatched; a round spot about the place where none is named.
    pub zone: Option<String>,
    /// Where the line from the number ends, as a part of the drawing's width from the left: the patient's right is on the left.
    pub x: f64,
    /// The same as a part of its height from the top.
    pub y: f64,
}

impl FaceMark {
    /// The place in units of the drawing.
    pub fn place(&self) -> (f64, f64) {
        (CORNER.0 + self.x * SIZE.0, CORNER.1 + self.y * SIZE.1)
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

/// The marks of an area for a planned side: one over both sides where there is one, else one for each.
pub fn marks_for(area: &Area, side: Side) -> Vec<&FaceMark> {
    let of = |side| area.mark.iter().find(|mark| mark.side == side);
    match of(side) {
        Some(mark) => vec![mark],
        None => single_sides(side).iter().filter_map(|s| of(*s)).collect(),
    }
}

/// Missing, doubled or misplaced marks of one area.
pub(super) fn problems(area: &Area) -> Vec<String> {
    let id = area.id.as_str();
    let mut found = Vec::new();
    for mark in &area.mark {
        let at = format!("{id} mark {}", mark.side.as_str());
        let inside = |part: f64| (0.0..=1.0).contains(&part);
        if !(inside(mark.x) && inside(mark.y)) {
            found.push(format!("{at}: lies outside the drawing"));
        }
        // the patient's right is on the left of the paper
        let own_side = match mark.side {
            Side::Right => mark.x < 0.5,
            Side::Left => mark.x > 0.5,
            Side::Midline | Side::Both => true,
        };
        if !own_side {
            found.push(format!("{at}: lies on the other side of the drawing"));
        }
        if area.mark.iter().filter(|m| m.side == mark.side).count() > 1 {
            found.push(format!("{at}: stands more than once"));
        }
        let Some(zone) = &mark.zone else { continue };
        match ZONES.iter().find(|(name, _)| name == zone) {
            None => found.push(format!("{at}: the drawing has no zone {zone}")),
            Some((_, pieces)) if !pieces.has(mark.side) => {
                found.push(format!("{at}: the zone {zone} is not drawn for that side"));
            }
            Some(_) => {}
        }
    }
    // what must not be treated is never planned, so never drawn
    if area.restriction.value != Restriction::DoNotTreat {
        for side in &area.sides {
            let marked = marks_for(area, *side);
            let whole = marked.iter().any(|mark| mark.side == *side);
            if !whole && marked.len() < single_sides(*side).len() {
                found.push(format!("{id}: no mark for {}", side.as_str()));
            }
        }
    }
    found.sort();
    found.dedup();
    found
}
