//! Turns the areas that can be planned into one drawing in which each can be picked, as SVG.
//! Invariant: the outlines are those of the papers; every area has a number's ring of its own, and no two leaders cross.
//! Must not: say anything in words (what is picked stands beside the drawing in boxes), or know what is planned.

use super::drawing::{circle, outlines_of, path, zone_outlines};
use super::markup::Markup;
use crate::catalogue::{Area, FaceMark, Restriction, Side, marks_for};
use crate::compose::document::Zone;

/// What is seen of the drawing, in its units: room for the rings on both sides.
const FRAME: &str = "-53 -5 106 140";

/// From the middle to a ring.
const RING_AT: f64 = 47.0;

/// Radius of a ring, and the least distance of two.
const RING: f64 = 4.4;
const APART: f64 = 10.5;

/// The marks that can be picked: one for each side where an area has sides, else its only one.
fn marks(area: &Area) -> Vec<&FaceMark> {
    if area.sides.contains(&Side::Left) {
        [Side::Right, Side::Left]
            .into_iter()
            .flat_map(|side| marks_for(area, side))
            .collect()
    } else {
        let side = area.sides.first().copied().unwrap_or(Side::Midline);
        marks_for(area, side)
    }
}

/// A ring in the margin, with the end of its leader.
struct Leader<'a> {
    area: &'a Area,
    end: (f64, f64),
    left: bool,
    y: f64,
}

/// A ring for each area: half of them on each side, in the order in which they lie from the top, so that straight lines to
/// them do not cross.
fn leaders<'a>(areas: &[&'a Area]) -> Vec<Leader<'a>> {
    let mut all: Vec<Leader<'a>> = Vec::new();
    let mut by_height: Vec<(&Area, Vec<&FaceMark>)> = areas
        .iter()
        .map(|area| (*area, marks(area)))
        .filter(|(_, marks)| !marks.is_empty())
        .collect();
    by_height.sort_by(|(_, a), (_, b)| a[0].place().1.total_cmp(&b[0].place().1));
    for (at, (area, marks)) in by_height.into_iter().enumerate() {
        let left = at % 2 == 1;
        let outermost = |a: &&&FaceMark, b: &&&FaceMark| a.place().0.total_cmp(&b.place().0);
        let mark = match left {
            true => marks.iter().min_by(outermost),
            false => marks.iter().max_by(outermost),
        };
        let mark = mark.expect("there is one");
        let (x, y) = mark.place();
        // what lies over the middle is the same on both sides: its leader ends on that of the ring
        let end = match mark.side {
            Side::Midline | Side::Both if left => (-x.abs(), y),
            Side::Midline | Side::Both => (x.abs(), y),
            Side::Left | Side::Right => (x, y),
        };
        all.push(Leader {
            area,
            end,
            left,
            y: end.1,
        });
    }
    for left in [false, true] {
        let mut least = f64::NEG_INFINITY;
        for leader in all.iter_mut().filter(|leader| leader.left == left) {
            leader.y = leader.y.max(least);
            least = leader.y + APART;
        }
        // what was pushed out below is taken up again
        let mut most = 128.0;
        for leader in all.iter_mut().rev().filter(|leader| leader.left == left) {
            leader.y = leader.y.min(most);
            most = leader.y - APART;
        }
    }
    all
}

/// An area that is ticked, its number, and its side as its form has it: empty where none is chosen.
pub struct Picked<'p> {
    pub area: &'p str,
    pub number: usize,
    pub side: &'p str,
}

impl Picked<'_> {
    /// Whether a zone of the area is part of what is ticked; before a side is chosen, the left one stands for it.
    fn covers(&self, area: &Area, side: Side) -> bool {
        let whole = area.sides.len() < 2 || self.side == Side::Both.as_str();
        whole || self.side == side.as_str() || (self.side.is_empty() && side == Side::Left)
    }
}

/// The drawing: a group `zone` for each place, with `data-area` and `data-side`; a group `pointer` for each area. What is
/// picked is `on` and has its number, for browsers that run no script.
pub fn face_to_pick<'a>(areas: impl Iterator<Item = &'a Area>, picked: &[Picked<'_>]) -> String {
    let of = |area: &Area| picked.iter().find(|picked| area.id == *picked.area);
    let areas: Vec<&Area> = areas
        .filter(|area| area.restriction.value != Restriction::DoNotTreat)
        .collect();
    let mut m = Markup::default();
    let look = [
        ("class", "face"),
        ("viewBox", FRAME),
        ("aria-hidden", "true"),
        ("focusable", "false"),
    ];
    m.element("svg", &look, |m| {
        for part in ["shade", "thin", "line", "light"] {
            path(
                m,
                &[("class", part)],
                &outlines_of(&format!("front/{part}")),
            );
        }
        for area in &areas {
            for mark in marks(area) {
                let (x, y) = mark.place();
                let zone = Zone {
                    name: mark.zone.clone(),
                    side: mark.side,
                    x,
                    y,
                };
                let [outline, hatch] = zone_outlines(&zone, "close");
                let is_on = of(area).is_some_and(|picked| picked.covers(area, mark.side));
                let data = [
                    ("class", if is_on { "zone on" } else { "zone" }),
                    ("data-area", area.id.as_str()),
                    ("data-side", mark.side.as_str()),
                ];
                m.element("g", &data, |m| {
                    path(m, &[("class", "hatch")], &hatch);
                    path(m, &[("class", "hit"), ("fill-rule", "evenodd")], &outline);
                });
            }
        }
        for leader in leaders(&areas) {
            let ring = if leader.left { -RING_AT } else { RING_AT };
            let (x, y) = leader.end;
            let line = format!("M{ring:.2} {:.2} L{x:.2} {y:.2}", leader.y);
            let number = of(leader.area).map(|picked| picked.number.to_string());
            let look = match number {
                Some(_) => "pointer on",
                None => "pointer",
            };
            let data = [("class", look), ("data-pointer", leader.area.id.as_str())];
            m.element("g", &data, |m| {
                path(m, &[("class", "under")], &line);
                path(m, &[("class", "lead")], &line);
                circle(m, ("dot", x, y, 1.1));
                circle(m, ("ring", ring, leader.y, RING));
                let (x, y) = (format!("{ring:.2}"), format!("{:.2}", leader.y + 2.1));
                m.element("text", &[("x", &x), ("y", &y)], |m| {
                    m.text(&number.unwrap_or_default());
                });
            });
        }
    });
    m.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;

    #[test]
    fn rings_stand_apart_and_leaders_do_not_cross() {
        let areas: Vec<&Area> = Catalogue::embedded().areas.iter().collect();
        let all = leaders(&areas);
        assert!(all.len() >= 12, "{}", all.len());
        for left in [false, true] {
            let mut side: Vec<&Leader<'_>> = all.iter().filter(|l| l.left == left).collect();
            side.sort_by(|a, b| a.y.total_cmp(&b.y));
            for pair in side.windows(2) {
                assert!(pair[1].y - pair[0].y >= APART - 1e-9);
                assert!(
                    pair[1].end.1 >= pair[0].end.1,
                    "the order of the rings is that of the places"
                );
                assert!(pair[0].y > -1.0 && pair[1].y < 129.0);
            }
        }
    }

    #[test]
    fn every_area_that_may_be_treated_can_be_picked() {
        let catalogue = Catalogue::embedded();
        let drawing = face_to_pick(catalogue.areas.iter(), &[]);
        for area in &catalogue.areas {
            let named = drawing.contains(&format!("data-area=\"{}\"", area.id));
            let may = area.restriction.value != Restriction::DoNotTreat;
            assert_eq!(named, may, "{}", area.id);
        }
    }

    #[test]
    fn what_is_picked_is_drawn_without_a_script() {
        let catalogue = Catalogue::embedded();
        let count = |drawing: &str, what: &str| drawing.matches(what).count();
        let of = |side: &str| {
            let masseter = Picked {
                area: "masseter",
                number: 2,
                side,
            };
            let brow = Picked {
                area: "glabella",
                number: 1,
                side: "",
            };
            face_to_pick(catalogue.areas.iter(), &[masseter, brow])
        };
        let on = |drawing: &str| {
            let zones = drawing.split("<g ").filter(|zone| zone.contains("zone on"));
            zones.filter(|zone| zone.contains("masseter")).count()
        };
        for (side, zones) in [("left", 1), ("right", 1), ("", 1), ("both", 2)] {
            assert_eq!(on(&of(side)), zones, "{side}");
        }
        let drawing = of("both");
        assert_eq!(count(&drawing, "pointer on"), 2);
        assert!(drawing.contains(">1</text>") && drawing.contains(">2</text>"));
        assert_eq!(
            count(&face_to_pick(catalogue.areas.iter(), &[]), " on\""),
            0
        );
    }
}
