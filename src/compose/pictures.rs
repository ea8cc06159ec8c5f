//! Turns the planned areas into rings on the drawing of a face and neck, and published shares into arrays of marks.
//! Invariant: a ring for every planned side of every area and none besides; an array's filled marks are the number in the table.
//! Must not: draw, or show a number that has no published figure.

use serde_json::json;

use super::document::{Block, FaceView, IconArray, Ring, Row};
use super::figures::{chosen, placebo, together};
use super::{Composer, values};
use crate::catalogue::marks::{RING, single_sides};
use crate::catalogue::{Counted, FaceMark, Risk, Side, View};
use crate::domain::ProductId;
use crate::select::SelectedArea;
use crate::wording::WordingError;

/// Room between two rings, or between a ring and another ring's line, in units of the drawing.
pub const GAP: f64 = 0.15;
/// Marks of the largest array; rarer things are left to the table.
pub const MOST_MARKS: u32 = 100;

/// A mark with the area's number and whether its ring has been moved out of the way.
#[derive(Debug, Clone)]
pub struct Placed<'m> {
    pub number: usize,
    pub mark: &'m FaceMark,
    pub crowded: bool,
}

impl Placed<'_> {
    /// The place and the middle of the ring, in units of the drawing.
    pub fn ends(&self) -> ((f64, f64), (f64, f64)) {
        (self.mark.place(), self.mark.ring_at(self.crowded))
    }

    /// Whether the ring stands so far off that a line must lead to the place.
    pub fn has_leader(&self) -> bool {
        let (place, ring) = self.ends();
        distance(place, ring) > RING / 2.0
    }

    /// Whether the two would touch: ring on ring, or one's line or dot on the other's ring.
    pub fn collides(&self, other: &Placed<'_>) -> bool {
        let ((place, ring), (other_place, other_ring)) = (self.ends(), other.ends());
        distance(ring, other_ring) < RING + GAP
            || (self.has_leader() && to_line(other_ring, place, ring) < RING / 2.0 + GAP)
            || (other.has_leader() && to_line(ring, other_place, other_ring) < RING / 2.0 + GAP)
    }
}

fn distance(a: (f64, f64), b: (f64, f64)) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// How far a point is from the stretch between two others.
fn to_line(point: (f64, f64), from: (f64, f64), to: (f64, f64)) -> f64 {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = dx * dx + dy * dy;
    let along = if length > 0.0 {
        (((point.0 - from.0) * dx + (point.1 - from.1) * dy) / length).clamp(0.0, 1.0)
    } else {
        0.0
    };
    distance(point, (from.0 + along * dx, from.1 + along * dy))
}

/// The rings of one view: near their places, and out of each other's way where they would collide.
/// Both sides of an area move together, so that the drawing stays even.
pub fn place<'m>(wanted: impl Iterator<Item = (usize, &'m FaceMark)>) -> Vec<Placed<'m>> {
    let mut placed: Vec<Placed<'m>> = wanted
        .map(|(number, mark)| Placed {
            number,
            mark,
            crowded: false,
        })
        .collect();
    loop {
        let moved: Vec<usize> = placed
            .iter()
            .enumerate()
            .filter(|(at, one)| {
                !one.crowded
                    && one.mark.crowded.is_some()
                    && placed
                        .iter()
                        .enumerate()
                        .any(|(other_at, other)| *at != other_at && one.collides(other))
            })
            .map(|(_, one)| one.number)
            .collect();
        if moved.is_empty() {
            return placed;
        }
        for one in &mut placed {
            one.crowded |= moved.contains(&one.number);
        }
    }
}

/// The marks of an area in a view for the sides planned.
fn marks_of<'a>(
    selected: &SelectedArea<'a>,
    view: View,
    only: Option<Side>,
) -> impl Iterator<Item = (usize, &'a FaceMark)> {
    let number = selected.number;
    let sides = single_sides(selected.planned.side);
    let area = selected.area;
    area.mark
        .iter()
        .filter(move |mark| mark.view == view && sides.contains(&mark.side))
        .filter(move |mark| only.is_none_or(|side| mark.side == side))
        .map(move |mark| (number, mark))
}

/// The words around the drawing: a patient reads "your left", a practitioner "the patient's left".
pub(super) struct FaceWords {
    seen_front: &'static str,
    seen_left: &'static str,
    seen_right: &'static str,
    right: &'static str,
    left: &'static str,
    right_side: &'static str,
    left_side: &'static str,
    ring: &'static str,
}

pub(super) const FOR_PATIENT: FaceWords = FaceWords {
    seen_front: "picture.face.seen-front",
    seen_left: "picture.face.seen-left",
    seen_right: "picture.face.seen-right",
    right: "picture.face.your-right",
    left: "picture.face.your-left",
    right_side: "picture.face.your-right-side",
    left_side: "picture.face.your-left-side",
    ring: "picture.face.ring",
};

pub(super) const FOR_PRACTITIONER: FaceWords = FaceWords {
    seen_front: "picture.patient.seen-front",
    seen_left: "picture.patient.seen-left",
    seen_right: "picture.patient.seen-right",
    right: "picture.patient.right",
    left: "picture.patient.left",
    right_side: "picture.patient.right",
    left_side: "picture.patient.left",
    ring: "picture.patient.ring",
};

impl Composer<'_, '_> {
    /// The drawing with its rings: the front view, and the view from a side where an area is better seen from there.
    /// None where nothing may be treated.
    pub(super) fn face(&self, words: &FaceWords) -> Result<Option<Block>, WordingError> {
        if self.selection.areas.is_empty() {
            return Ok(None);
        }
        let mut views = vec![self.face_view(View::Front, None, words)?];
        // an area on both sides is shown from the right, unless another one calls for the left anyway
        let planned: Vec<Side> = self
            .selection
            .areas
            .iter()
            .filter(|selected| selected.area.mark.iter().any(|m| m.view == View::Profile))
            .map(|selected| selected.planned.side)
            .collect();
        let mut sides: Vec<Side> = [Side::Right, Side::Left]
            .into_iter()
            .filter(|side| planned.contains(side))
            .collect();
        if sides.is_empty() && !planned.is_empty() {
            sides.push(Side::Right);
        }
        for side in sides {
            views.push(self.face_view(View::Profile, Some(side), words)?);
        }
        Ok(Some(Block::Face { views, ring: RING }))
    }

    fn face_view(
        &self,
        view: View,
        only: Option<Side>,
        for_whom: &FaceWords,
    ) -> Result<FaceView, WordingError> {
        let wanted = self
            .selection
            .areas
            .iter()
            .flat_map(|selected| marks_of(selected, view, only));
        let (width, height) = view.size();
        let rings = place(wanted)
            .iter()
            .map(|placed| {
                let (place, ring) = placed.ends();
                Ring {
                    number: placed.number.to_string(),
                    x: place.0 / width,
                    y: place.1 / height,
                    ring_x: ring.0 / width,
                    ring_y: ring.1 / height,
                    leader: placed.has_leader(),
                }
            })
            .collect();
        let (seen, words) = match (view, only) {
            (View::Front, _) => (
                for_whom.seen_front,
                vec![self.label(for_whom.right)?, self.label(for_whom.left)?],
            ),
            (View::Profile, Some(Side::Left)) => {
                (for_whom.seen_left, vec![self.label(for_whom.left_side)?])
            }
            (View::Profile, _) => (for_whom.seen_right, vec![self.label(for_whom.right_side)?]),
        };
        let mut said = vec![self.label(seen)?];
        for selected in &self.selection.areas {
            let mut shown: Vec<Side> = marks_of(selected, view, only)
                .map(|(_, mark)| mark.side)
                .collect();
            shown.dedup();
            let side = match shown.as_slice() {
                [] => continue,
                [one] => *one,
                _ => Side::Both,
            };
            said.push(self.line(
                for_whom.ring,
                json!({
                    "number": selected.number,
                    "side": side.as_str(),
                    "area": self.area_name(&selected.area.id)?,
                }),
            )?);
        }
        Ok(FaceView {
            view,
            mirrored: view == View::Profile && only == Some(Side::Left),
            alt: said.join(" "),
            words,
            rings,
        })
    }

    /// The marks of one table row; none where less than one would be filled, or a dummy injection did as much.
    pub(super) fn array(
        &self,
        name: String,
        risk: &Risk,
        product: &ProductId,
        per: u32,
    ) -> Result<Option<IconArray>, WordingError> {
        match shown(risk, product, per) {
            Some(marks) => self.icon_array(name, marks, per, risk, product).map(Some),
            None => Ok(None),
        }
    }

    /// What one mark is, said once on a form: in words that fit every array after it too.
    pub(super) fn array_key(&self, rows: &[Row]) -> Result<Block, WordingError> {
        let mut counted = rows
            .iter()
            .filter_map(|row| row.array.as_ref())
            .map(|a| a.counted);
        let first = counted.next().unwrap_or("mixed");
        let counted = if counted.all(|one| one == first) {
            first
        } else {
            "mixed"
        };
        self.note(
            "picture.icons.key",
            json!({ "per": MOST_MARKS, "half": true, "counted": counted }),
        )
    }

    fn icon_array(
        &self,
        name: String,
        (filled, half): (u32, u32),
        per: u32,
        risk: &Risk,
        product: &ProductId,
    ) -> Result<IconArray, WordingError> {
        let figures = chosen(risk, product);
        let counted = if figures.iter().all(|f| f.counted == Counted::Treatments) {
            "treatments"
        } else {
            "people"
        };
        let mut counts = values(json!({
            "name": name,
            "low": filled,
            "high": filled + half,
            "per": per,
            "without_low": per - filled - half,
            "without_high": per - filled,
            "counted": counted,
        }));
        let sentence = self.wording.line("picture.icons.sentence", &counts)?;
        counts.insert("sentence".to_owned(), sentence.into());
        Ok(IconArray {
            per,
            alt: self.wording.line("picture.icons.alt", &counts)?,
            name,
            counted,
            filled,
            half,
        })
    }
}

/// Filled and half-filled marks of a risk out of `per`; nothing where no figure is published, where less than one mark would
/// be filled, or where a dummy injection did as much.
pub fn shown(risk: &Risk, product: &ProductId, per: u32) -> Option<(u32, u32)> {
    if per > MOST_MARKS {
        return None;
    }
    let figures = chosen(risk, product);
    let share = together(&figures, per)?;
    if share.below_one || share.high < 1.0 {
        return None;
    }
    if placebo(&figures, per).is_some_and(|dummy| dummy.high >= share.high) {
        return None;
    }
    // shares are whole numbers from 0 to `per`
    Some((share.low as u32, (share.high - share.low) as u32))
}
