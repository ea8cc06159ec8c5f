//! Turns the planned areas into hatched zones with numbers on the drawing of a face and neck, and published shares into arrays of marks.
//! Invariant: a zone and a number for every planned side of every area and none besides; an array's marks are the published number.
//! Must not: draw, place a number (that is `map`), or show a share that has no published figure.

use std::collections::BTreeSet;

use serde_json::json;

use super::document::{
    ArrayGroup, Block, FaceVariant, FaceView, IconArray, MarkKind, Ring, RingLabel, Zone,
};
use super::lead::lead_of;
use super::map::{self, Frame, Wanted};
use super::risk_lists::{RiskList, ToldRisk};
use super::{Composer, values};
use crate::catalogue::marks::marks_for;
use crate::catalogue::{Counted, Side};
use crate::domain::StatementId;
use crate::select::SelectedArea;
use crate::wording::phrases::Share;
use crate::wording::{Piece, Rich, WordingError, rich};

/// Marks of an array; rarer things are left to the table.
pub const MARKS: u32 = 100;
/// Risks drawn on one form: more would be counted by nobody (ours).
pub const MOST_RISKS: usize = 3;
/// Columns of the one row of pictures; a risk that is compared with a dummy takes two.
pub const COLUMNS: usize = 4;
/// Of a hundred: what is rarer is as easily read as a number (ours).
pub const LEAST_DRAWN: f64 = 2.0;

/// The words around the drawing: a patient reads "your left", a practitioner "the patient's LEFT".
pub(super) struct FaceWords {
    seen: &'static str,
    right: &'static str,
    left: &'static str,
    side: &'static str,
    zone: &'static str,
}

pub(super) const FOR_PATIENT: FaceWords = FaceWords {
    seen: "picture.face.seen-front",
    right: "picture.map.your-right",
    left: "picture.map.your-left",
    side: "picture.map.your-side",
    zone: "picture.map.your-zone",
};

pub(super) const FOR_PRACTITIONER: FaceWords = FaceWords {
    seen: "picture.patient.seen-front",
    right: "picture.map.patients-right",
    left: "picture.map.patients-left",
    side: "picture.map.patients-side",
    zone: "picture.map.patients-zone",
};

impl Composer<'_, '_> {
    /// The map of the planned areas as their number asks for: beside the plan, or across the page where there are more than
    /// a column holds. None where nothing may be treated.
    pub(super) fn face(&self, words: &FaceWords) -> Result<Option<Block>, WordingError> {
        let few = self.selection.areas.len() <= map::MOST_AREAS;
        let variant = if few {
            FaceVariant::Beside
        } else {
            FaceVariant::Page
        };
        self.face_as(variant, words)
    }

    /// The map as asked for; more areas than a column holds still get whole faces across the page.
    pub(super) fn face_as(
        &self,
        asked: FaceVariant,
        words: &FaceWords,
    ) -> Result<Option<Block>, WordingError> {
        let areas: Vec<&SelectedArea<'_>> = self.selection.areas.iter().collect();
        if areas.is_empty() {
            return Ok(None);
        }
        let variant = if areas.len() > map::MOST_AREAS {
            FaceVariant::Page
        } else {
            asked
        };
        // as few faces as there is room for all names beside
        let mut faces = areas.len().div_ceil(map::MOST_AREAS);
        loop {
            let each = areas.len().div_ceil(faces);
            let views: Option<Vec<FaceView>> = areas
                .chunks(each)
                .map(|part| self.face_view(part, variant, words))
                .collect::<Result<_, _>>()?;
            if let Some(views) = views {
                return Ok(Some(Block::Face { variant, views }));
            }
            faces += 1;
            assert!(each > 1, "the numbers of one area fit beside its face");
        }
    }

    /// One face; none where its numbers and names do not all fit beside it.
    fn face_view(
        &self,
        areas: &[&SelectedArea<'_>],
        variant: FaceVariant,
        words: &FaceWords,
    ) -> Result<Option<FaceView>, WordingError> {
        let (mut wanted, mut labels, mut zones) = (Vec::new(), Vec::new(), Vec::new());
        let mut said = vec![self.label(words.seen)?];
        for selected in areas {
            let name = self.area_name(&selected.area.id)?;
            let side = selected.planned.side;
            let side_words = self.line(words.side, json!({ "side": side.as_str() }))?;
            let lines = match variant {
                FaceVariant::Beside => 0,
                FaceVariant::Page => map::lines_of(&name) + map::lines_of(&side_words),
            };
            for mark in marks_for(selected.area, side) {
                wanted.push(Wanted {
                    number: selected.number,
                    mark,
                    lines,
                });
                let (x, y) = mark.place();
                zones.push(Zone {
                    name: mark.zone.clone(),
                    side: mark.side,
                    x,
                    y,
                });
            }
            said.push(self.line(
                words.zone,
                json!({ "number": selected.number, "side": side.as_str(), "area": name }),
            )?);
            let one_side = matches!(side, Side::Left | Side::Right);
            labels.push((
                selected.number,
                RingLabel {
                    name,
                    side: if one_side {
                        rich::bold(side_words)
                    } else {
                        rich::plain(side_words)
                    },
                },
            ));
        }
        let edges = [self.edge_words(words.right)?, self.edge_words(words.left)?];
        let frame = Frame::around(variant, &wanted, edges.iter().any(map::are_wide));
        let Some(placed) = map::place(&wanted, &frame) else {
            return Ok(None);
        };
        let rings = placed.into_iter().map(|one| Ring {
            number: one.number.to_string(),
            x: one.end.0,
            y: one.end.1,
            ring_x: one.ring.0,
            ring_y: one.ring.1,
            label: labels
                .iter()
                .find(|(number, _)| one.named && *number == one.number)
                .map(|(_, label)| label.clone()),
        });
        Ok(Some(FaceView {
            alt: said.join(" "),
            top: frame.top,
            bottom: frame.bottom,
            words: edges,
            zones,
            rings: rings.collect(),
        }))
    }

    /// What stands at an edge of the drawing, with its bold words.
    fn edge_words(&self, id: &str) -> Result<Rich, WordingError> {
        self.wording.rich(id, &values(json!({})))
    }

    /// The key risks of a form as marks: as many as stand in a row, those that were also counted with a dummy first, then the most
    /// frequent. None where no risk of at least two in a hundred has been counted in the areas planned.
    pub(super) fn arrays(
        &self,
        lists: &[RiskList<'_>],
        per: u32,
    ) -> Result<Option<Block>, WordingError> {
        let mut found = Vec::new();
        // what every treatment risks was counted in the upper face, and a picture shows only what was counted where it is planned
        let counted_there = match self.is_all_upper_face() {
            true => lists,
            false => &lists[..self.selection.areas.len()],
        };
        for list in counted_there.iter().filter(|_| per == MARKS) {
            for told in &list.risks {
                // what an area counts itself is drawn of that area
                let mut areas = self.selection.areas.iter();
                let told_above = told.id.owner().area().is_none()
                    && areas.any(|area| area.tells_itself(&told.risk.id));
                if told_above {
                    continue;
                }
                let drawn = self.counts(told)?;
                let drawn = drawn.filter(|counts| counts.treated.high >= LEAST_DRAWN);
                found.extend(drawn.map(|counts| (counts, &told.id)));
            }
        }
        found.sort_by(|(a, _), (b, _)| {
            let first = b.dummy.is_some().cmp(&a.dummy.is_some());
            first.then(b.treated.high.total_cmp(&a.treated.high))
        });
        // what several areas share is drawn once, where it is most frequent
        let mut names = BTreeSet::new();
        let (mut groups, mut kinds) = (Vec::new(), BTreeSet::new());
        let (mut treatments, mut taken) = (0, 0);
        for (counts, id) in found {
            let name = self.risk_name(id)?;
            let columns = 1 + usize::from(counts.dummy.is_some());
            let full = groups.len() == MOST_RISKS || taken + columns > COLUMNS;
            if full || !names.insert(name.clone()) {
                continue;
            }
            taken += columns;
            treatments += usize::from(counts.counted == Counted::Treatments);
            kinds.extend(counts.kinds());
            groups.push(self.array_group(id, &name, &counts)?);
        }
        if groups.is_empty() {
            return Ok(None);
        }
        let counted = match treatments {
            0 => "people",
            all if all == groups.len() => "treatments",
            _ => "mixed",
        };
        let mut key = Vec::new();
        for (kind, id) in [
            (MarkKind::Filled, "picture.arrays.filled"),
            (MarkKind::Some, "picture.arrays.some"),
            (MarkKind::Empty, "picture.arrays.empty"),
        ] {
            if kinds.contains(id) {
                key.push((kind, self.label(id)?));
            }
        }
        let about = json!({ "per": MARKS, "counted": counted });
        let intro: Vec<Piece> = self
            .wording
            .pieces("picture.arrays.intro", &values(about))?;
        Ok(Some(Block::Arrays { intro, key, groups }))
    }

    /// The bold lead of a risk's sentence.
    fn risk_name(&self, id: &StatementId) -> Result<String, WordingError> {
        let area = id.owner().area();
        let selected = area.and_then(|id| self.selection.areas.iter().find(|a| a.area.id == *id));
        let context = match selected {
            Some(selected) => self.area_context(selected)?,
            None => self.general_context()?,
        };
        Ok(lead_of(&self.wording.pieces(id.wording(), &context)?))
    }

    /// What may be drawn of a risk; nothing where no figure is published or less than one mark would be filled.
    fn counts(&self, told: &ToldRisk<'_>) -> Result<Option<Counts>, WordingError> {
        let treated = told.share(MARKS);
        let Some(treated) = treated.filter(|share| !share.below_one && share.high >= 1.0) else {
            return Ok(None);
        };
        Ok(Some(Counts {
            treated,
            dummy: told.dummy(MARKS),
            counted: told.counted(),
            other_product: self.other_product(told)?,
        }))
    }

    fn array_group(
        &self,
        id: &StatementId,
        risk: &str,
        counts: &Counts,
    ) -> Result<ArrayGroup, WordingError> {
        // with one area there is nothing to tell apart
        let name = match self.selection.areas.len() {
            1 => risk.to_owned(),
            _ => {
                let area = match id.owner().area() {
                    Some(area) => self.area_name(area)?,
                    None => self.label("consent.risks.everyone-short")?,
                };
                self.line(
                    "picture.arrays.name",
                    json!({ "risk": risk, "area": self.wording.inside_sentence(&area) }),
                )?
            }
        };
        let with = |caption, share| self.icon_array(&name, caption, share, counts.counted);
        let treated = match counts.other_product.as_str() {
            "" => self.label("picture.arrays.medicine")?,
            other => other.to_owned(),
        };
        let mut arrays = vec![with(treated, counts.treated)?];
        let mut said = None;
        match counts.dummy {
            Some(dummy) if dummy == counts.treated => {
                said = Some(self.label("picture.arrays.same")?);
            }
            // less than one mark cannot be drawn
            Some(dummy) if dummy.below_one => {
                let share = self.wording.share(dummy, counts.counted)?;
                let share = self.wording.inside_sentence(&share);
                said = Some(self.line("picture.arrays.rarer", json!({ "share": share }))?);
            }
            Some(dummy) => arrays.push(with(self.label("picture.arrays.dummy")?, dummy)?),
            None => {}
        }
        Ok(ArrayGroup {
            per: MARKS,
            name,
            arrays,
            said,
        })
    }

    fn icon_array(
        &self,
        name: &str,
        caption: String,
        share: Share,
        counted: Counted,
    ) -> Result<IconArray, WordingError> {
        let (filled, some) = marks(share);
        let number = self.wording.share(share, counted)?;
        let alt = self.line(
            "picture.arrays.alt",
            json!({
                "name": name,
                "caption": caption,
                "number": number,
                "filled": filled,
                "some": some,
                "empty": MARKS - filled - some,
                "per": MARKS,
            }),
        )?;
        Ok(IconArray {
            caption,
            number,
            filled,
            some,
            alt,
        })
    }
}

/// What was counted of one risk, out of a hundred.
struct Counts {
    treated: Share,
    /// Where every figure has a comparison.
    dummy: Option<Share>,
    counted: Counted,
    /// "another product", where it was counted with none that the patient has.
    other_product: String,
}

impl Counts {
    /// Labels of the kinds of marks that are drawn.
    fn kinds(&self) -> Vec<&'static str> {
        let mut kinds = vec!["picture.arrays.empty"];
        let drawn = self.dummy.filter(|dummy| !dummy.below_one);
        for (filled, some) in std::iter::once(self.treated).chain(drawn).map(marks) {
            if filled > 0 {
                kinds.push("picture.arrays.filled");
            }
            if some > 0 {
                kinds.push("picture.arrays.some");
            }
        }
        kinds
    }
}

/// Marks that are filled, and those with a point, of a share of at least one in a hundred, or of none.
pub fn marks(share: Share) -> (u32, u32) {
    // shares are whole numbers from 0 to `per`
    (share.low as u32, (share.high - share.low) as u32)
}
