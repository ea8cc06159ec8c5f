//! The map of zones as drawn and as composed: a zone and a number for every planned side and nowhere else, no line across another.
//!
//! Must not: take a place from the paper it looks at; expectations come from the catalogue and from the drawing.

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

use beforehand::catalogue::marks::{CORNER, SIZE, marks_for, single_sides, zones};
use beforehand::catalogue::{Area, Side};
use beforehand::compose::document::{FaceVariant, FaceView};
use beforehand::compose::map::{APART, Frame, MOST_AREAS, Placed, Wanted, cross, lines_of, place};
use beforehand::paper::PaperKind;
use beforehand::typeset::contrast_of;
use beforehand::wording::Wording;

use crate::support::catalogue::{self, area, side_for, treatable};
use crate::support::pictures::{composed, composed_in, plan, words};
use crate::support::templates::template;
use crate::support::{has_tool, root};

/// What the checker says of a catalogue with one text exchanged for another.
fn with_text(name: &str, from: &str, to: &str) -> Vec<String> {
    let changed = catalogue::with(name, |text| {
        assert!(text.contains(from), "{name} no longer holds {from}");
        text.replacen(from, to, 1)
    });
    changed.err().unwrap_or_default()
}

#[test]
fn a_missing_doubled_or_misplaced_mark_is_noticed() {
    let name = "areas/masseter.toml";
    let said = |from: &str, to: &str| with_text(name, from, to).join("\n");
    let left = "side = \"left\"\nzone = \"jaw\"\nx = 0.6894";
    let with = |to: &str| said(left, to);
    assert!(
        with("side = \"right\"\nzone = \"jaw\"\nx = 0.3").contains("masseter: no mark for left")
    );
    assert!(with("side = \"right\"\nzone = \"jaw\"\nx = 0.3").contains("stands more than once"));
    for x in ["1.01", "nan"] {
        let text = format!("side = \"left\"\nzone = \"jaw\"\nx = {x}");
        assert!(with(&text).contains("lies outside the drawing"), "{x}");
    }
    assert!(with("side = \"left\"\nzone = \"jaw\"\nx = 0.3").contains("lies on the other side"));
    assert!(with("side = \"left\"\nzone = \"jowl\"\nx = 0.6894").contains("has no zone jowl"));
    let chin = with("side = \"left\"\nzone = \"chin\"\nx = 0.6894");
    assert!(chin.contains("the zone chin is not drawn for that side"));
    assert_eq!(with("side = \"left\"\nzone = \"jaw\"\nx = 0.6893"), "");
}

/// Both sides of the drawing are alike: what is marked on the right is marked on the left, mirrored.
#[test]
fn left_and_right_are_mirrored() {
    let mut pairs = 0;
    for area in treatable() {
        for right in area.mark.iter().filter(|m| m.side == Side::Right) {
            let left = area.mark.iter().find(|m| m.side == Side::Left);
            let left = left.expect("a right mark has a left one");
            let ((x, y), (a, b)) = (right.place(), left.place());
            assert!((x + a).hypot(y - b) < 0.1, "{}", area.id);
            assert_eq!(right.zone, left.zone, "{}", area.id);
            pairs += 1;
        }
    }
    assert!(pairs >= 7, "only {pairs} pairs looked at");
}

/// The points of "M1 2 C3 4 5 6 7 8 L9 9 Z", with some between the ends of each curve.
fn points(outline: &str) -> Vec<(f64, f64)> {
    let mut found: Vec<(f64, f64)> = Vec::new();
    for part in outline
        .split_inclusive(|c: char| c.is_whitespace())
        .collect::<String>()
        .split(['M', 'L', 'C', 'Z'])
    {
        let numbers: Vec<f64> = part
            .split_whitespace()
            .map(|n| n.parse().expect("a number"))
            .collect();
        let pairs: Vec<(f64, f64)> = numbers.chunks(2).map(|pair| (pair[0], pair[1])).collect();
        match pairs.as_slice() {
            [a, b, c] => {
                let from = *found.last().expect("a curve starts somewhere");
                for step in 1..=8 {
                    let t = f64::from(step) / 8.0;
                    let u = 1.0 - t;
                    let at = |p: f64, q: f64, r: f64, s: f64| {
                        u * u * u * p + 3.0 * u * u * t * q + 3.0 * u * t * t * r + t * t * t * s
                    };
                    found.push((at(from.0, a.0, b.0, c.0), at(from.1, a.1, b.1, c.1)));
                }
            }
            others => found.extend(others),
        }
    }
    found
}

/// Outlines and hatch of every piece of every zone, as the template has them.
fn drawn() -> BTreeMap<(String, String), BTreeMap<String, Vec<String>>> {
    let text = template("drawing.typ");
    let (_, zones) = text
        .split_once("#let zones = (")
        .expect("the drawing has zones");
    let (mut zone, mut piece) = (String::new(), String::new());
    let mut found: BTreeMap<(String, String), BTreeMap<String, Vec<String>>> = BTreeMap::new();
    for line in zones.lines() {
        let Some((key, rest)) = line.trim().split_once(": (") else {
            continue;
        };
        if key.starts_with('"') {
            zone = key.trim_matches('"').to_owned();
        } else if rest.is_empty() {
            piece = key.to_owned();
        } else {
            let paths = rest.split('"').skip(1).step_by(2).map(str::to_owned);
            let at = (zone.clone(), piece.clone());
            found
                .entry(at)
                .or_default()
                .insert(key.to_owned(), paths.collect());
        }
    }
    found
}

fn inside(polygon: &[(f64, f64)], (x, y): (f64, f64)) -> bool {
    let next = polygon.iter().cycle().skip(1);
    let crossed = polygon
        .iter()
        .zip(next)
        .filter(|(a, b)| (a.1 > y) != (b.1 > y) && x < (b.0 - a.0) * (y - a.1) / (b.1 - a.1) + a.0);
    crossed.count() % 2 == 1
}

/// The drawing has every zone that the catalogue may name, in the pieces it may ask for, and no other.
#[test]
fn drawing_and_catalogue_have_the_same_zones() {
    let wanted: BTreeSet<(String, String)> = zones()
        .flat_map(|(name, sides)| {
            let sides = sides.into_iter();
            sides.map(move |side| (name.to_owned(), side.as_str().to_owned()))
        })
        .collect();
    let shown: BTreeSet<(String, String)> = drawn().into_keys().collect();
    assert_eq!(shown, wanted);
    let named = treatable().into_iter().flat_map(|area| &area.mark);
    let named: BTreeSet<(String, String)> = named
        .filter_map(|m| Some((m.zone.clone()?, m.side.as_str().to_owned())))
        .collect();
    assert_eq!(
        named, wanted,
        "a zone that no area uses, or the other way round"
    );
}

/// Every zone lies inside the lines of face and neck, its hatch inside its outline, and the line to its number ends in it.
#[test]
fn zones_lie_on_the_face_and_leaders_end_in_them() {
    let text = template("drawing.typ");
    // the line from the temple to the chin, on both sides: the widest at each height is the edge of the face
    let edges: Vec<(f64, f64)> = text
        .split('"')
        .filter(|path| path.starts_with('M'))
        .map(points)
        .filter(|points| {
            let far = |to: (f64, f64)| {
                points
                    .iter()
                    .any(|p| (p.0.abs() - to.0).hypot(p.1 - to.1) < 1.0)
            };
            far((31.3, 42.0)) && far((0.0, 102.1))
        })
        .flatten()
        .collect();
    assert!(edges.len() > 100, "the outline of the face was not found");
    let half_width = |y: f64| {
        let near = edges.iter().filter(|p| (p.1 - y).abs() < 1.5);
        near.map(|p| p.0.abs()).fold(0.0, f64::max)
    };
    let drawn = drawn();
    for ((zone, side), paths) in &drawn {
        let outlines: Vec<Vec<(f64, f64)>> =
            paths["outline"].iter().map(|path| points(path)).collect();
        let in_zone = |p| outlines.iter().filter(|outline| inside(outline, p)).count() % 2 == 1;
        for (x, y) in outlines.iter().flatten() {
            assert!((CORNER.1..=CORNER.1 + SIZE.1).contains(y), "{zone} {side}");
            let free = if *y < 42.0 {
                31.0
            } else if *y < 100.0 {
                half_width(*y)
            } else {
                19.0
            };
            assert!(x.abs() < free, "{zone} {side}: {x} {y} is off the face");
        }
        for (density, least) in [("wide", 3), ("close", 4)] {
            let hatch = &paths[density];
            assert!(hatch.len() >= least, "{zone} {side}: {} lines", hatch.len());
            for line in hatch {
                let ends = points(line);
                let middle = ((ends[0].0 + ends[1].0) / 2.0, (ends[0].1 + ends[1].1) / 2.0);
                assert!(in_zone(middle), "{zone} {side}: {line} leaves the zone");
            }
        }
        assert!(paths["close"].len() > paths["wide"].len(), "{zone} {side}");
    }
    for area in treatable() {
        for mark in &area.mark {
            let zone = mark
                .zone
                .clone()
                .expect("every area of the release has a zone");
            let paths = &drawn[&(zone, mark.side.as_str().to_owned())];
            let outlines = paths["outline"].iter().map(|path| points(path));
            let within = outlines
                .filter(|outline| inside(outline, mark.place()))
                .count();
            assert_eq!(
                within,
                1,
                "{} {}: the line ends outside",
                area.id,
                mark.side.as_str()
            );
        }
    }
}

/// What is wrong with the numbers of one face.
fn faults(placed: &[Placed], frame: &Frame) -> Vec<String> {
    let apart = APART * 25.4 / 72.0 / frame.unit;
    let mut found = Vec::new();
    for (at, one) in placed.iter().enumerate() {
        let (x, y) = one.ring;
        if (x.abs() - frame.column).abs() > 1e-9 || x * one.end.0 < 0.0 {
            found.push(format!("{} stands in no column of its side", one.number));
        }
        if y - one.half < frame.free_from - 1e-6 || y + one.half > frame.bottom + 1e-6 {
            found.push(format!("{} leaves the drawing", one.number));
        }
        for other in &placed[at + 1..] {
            let distance = (x - other.ring.0).hypot(y - other.ring.1);
            if distance < (one.half + other.half).max(apart) - 1e-6 {
                found.push(format!("{} stands on {}", one.number, other.number));
            }
            if cross(one, other) {
                found.push(format!("{} crosses {}", one.number, other.number));
            }
        }
    }
    found
}

/// Every choice of the areas, on both sides and on one: up to six beside the plan, and any number across pages, with names.
#[test]
fn no_choice_of_areas_makes_numbers_touch_or_lines_cross() {
    let areas = treatable();
    let mut choices = 0;
    for wanted in [Side::Both, Side::Right, Side::Left] {
        for chosen in 1_u32..1 << areas.len() {
            let planned: Vec<(usize, &Area)> = (1..)
                .zip(&areas)
                .filter(|(at, _)| chosen >> (at - 1) & 1 == 1)
                .map(|(at, area)| (at, *area))
                .collect();
            let variants: &[FaceVariant] = if planned.len() > MOST_AREAS {
                &[FaceVariant::Page]
            } else {
                &[FaceVariant::Beside, FaceVariant::Page]
            };
            for variant in variants {
                let each = planned.len().div_ceil(planned.len().div_ceil(MOST_AREAS));
                for part in planned.chunks(each) {
                    let marks: Vec<Wanted<'_>> = part
                        .iter()
                        .flat_map(|(number, area)| {
                            let lines = match variant {
                                FaceVariant::Beside => 0,
                                FaceVariant::Page => lines_of(&name_of(area)) + 1,
                            };
                            let marks = marks_for(area, side_for(area, wanted));
                            marks.into_iter().map(move |mark| Wanted {
                                number: *number,
                                mark,
                                lines,
                            })
                        })
                        .collect();
                    for wide_words in [false, true] {
                        let frame = Frame::around(*variant, &marks, wide_words);
                        let placed = place(&marks, &frame);
                        let placed = placed.unwrap_or_else(|| {
                            panic!("{variant:?}, choice {chosen:b} does not fit")
                        });
                        assert_eq!(placed.len(), marks.len());
                        let faults = faults(&placed, &frame);
                        assert!(
                            faults.is_empty(),
                            "{variant:?}, choice {chosen:b}: {faults:?}"
                        );
                    }
                }
            }
            choices += 1;
        }
    }
    assert_eq!(choices, 3 * ((1 << areas.len()) - 1));
}

/// Crossing and crowding are seen where they are.
#[test]
fn crossing_lines_and_crowded_numbers_are_noticed() {
    let areas = [area("masseter"), area("mentalis")];
    let marks: Vec<Wanted<'_>> = (1..)
        .zip(areas)
        .flat_map(|(number, area)| {
            let marks = marks_for(area, side_for(area, Side::Left));
            marks.into_iter().map(move |mark| Wanted {
                number,
                mark,
                lines: 0,
            })
        })
        .collect();
    let frame = Frame::around(FaceVariant::Beside, &marks, false);
    let mut placed = place(&marks, &frame).expect("two numbers fit");
    assert_eq!(faults(&placed, &frame), Vec::<String>::new());
    // both into one column, the upper number with the line to the lower zone
    placed.sort_by_key(|one| one.number);
    for (one, height) in placed.iter_mut().zip([100.0, 80.0]) {
        one.ring = (frame.column, height);
        one.end.0 = one.end.0.abs();
    }
    assert_eq!(faults(&placed, &frame), ["1 crosses 2"]);
    placed[0].ring.1 = 81.0;
    assert!(faults(&placed, &frame).contains(&"1 stands on 2".to_owned()));
}

#[test]
fn every_planned_side_has_its_zone_its_number_and_its_words() {
    for wanted in [Side::Both, Side::Left, Side::Right] {
        let areas: Vec<(&Area, Side)> = treatable()
            .into_iter()
            .map(|area| (area, side_for(area, wanted)))
            .collect();
        for paper in [PaperKind::Information, PaperKind::CheckSheet] {
            let (faces, ..) = composed(paper, &plan(&areas).toml());
            assert_eq!(faces.len(), 2, "{wanted:?}");
            for (at, (area, side)) in areas.iter().enumerate() {
                let face = &faces[at / 6];
                let number = (at + 1).to_string();
                let rings: Vec<_> = face
                    .rings
                    .iter()
                    .filter(|ring| ring.number == number)
                    .collect();
                let marks = marks_for(area, *side);
                assert_eq!(rings.len(), marks.len(), "{} {side:?}", area.id);
                for mark in &marks {
                    let (x, y) = mark.place();
                    let zones = face.zones.iter().filter(|zone| (zone.x, zone.y) == (x, y));
                    assert_eq!(zones.count(), 1, "{} {side:?}", area.id);
                    let near = |ring: &&&_| {
                        let ring: &beforehand::compose::document::Ring = ring;
                        (ring.x.abs() - x.abs()).hypot(ring.y - y) < 1e-9
                            // the patient's right is on the left of the paper
                            && (mark.side != Side::Right || ring.ring_x < 0.0)
                            && (mark.side != Side::Left || ring.ring_x > 0.0)
                    };
                    assert_eq!(rings.iter().filter(near).count(), 1, "{} {side:?}", area.id);
                }
                let labels: Vec<_> = rings
                    .iter()
                    .filter_map(|ring| ring.label.as_ref())
                    .collect();
                assert_eq!(labels.len(), 1, "{}: its name stands once", area.id);
                assert_eq!(labels[0].name, name_of(area));
                assert_eq!(
                    labels[0].side.iter().all(|run| run.bold),
                    matches!(side, Side::Left | Side::Right)
                );
                let words = match (side, paper.is_handed_out()) {
                    (Side::Both, _) => "both sides",
                    (Side::Left, true) => "your left side",
                    (Side::Right, true) => "your right side",
                    (Side::Left, false) => "the patient’s left",
                    (Side::Right, false) => "the patient’s right",
                    (Side::Midline, _) => "in the middle",
                };
                let said = format!("Area {number}, {}, {words}, is hatched.", name_of(area));
                assert!(face.alt.contains(&said), "{said} is not in: {}", face.alt);
            }
            let rings: usize = faces.iter().map(|face| face.rings.len()).sum();
            let zones: usize = faces.iter().map(|face| face.zones.len()).sum();
            assert_eq!(rings, zones);
        }
    }
}

/// Up to six areas have one face with numbers only; more have their names beside whole faces.
#[test]
fn the_number_of_areas_decides_on_the_map() {
    let all: Vec<(&Area, Side)> = treatable()
        .into_iter()
        .map(|a| (a, side_for(a, Side::Both)))
        .collect();
    for count in 1..=all.len() {
        let (faces, ..) = composed(PaperKind::Information, &plan(&all[..count]).toml());
        let named = faces
            .iter()
            .flat_map(|face| &face.rings)
            .filter(|ring| ring.label.is_some());
        let wanted = if count > MOST_AREAS {
            (2, count)
        } else {
            (1, 0)
        };
        assert_eq!((faces.len(), named.count()), wanted, "{count} areas");
    }
}

/// The neck is part of the drawing only where it is planned, so that the face has its size.
#[test]
fn a_face_is_cut_off_below_the_chin_unless_the_neck_is_planned() {
    let bottom = |id| {
        let area = area(id);
        let (faces, ..) = composed(
            PaperKind::Information,
            &plan(&[(area, area.sides[0])]).toml(),
        );
        faces[0].bottom
    };
    assert!(bottom("mentalis") < 120.0 && bottom("platysma") > 126.6);
}

/// Spanish names are longer; they find room all the same.
#[test]
fn every_language_finds_room_for_its_names() {
    let spanish = Wording::new(&"es".parse().expect("a tag"), "US").expect("Spanish is complete");
    for wanted in [Side::Both, Side::Left, Side::Right] {
        let areas: Vec<(&Area, Side)> = treatable()
            .into_iter()
            .map(|a| (a, side_for(a, wanted)))
            .collect();
        for paper in [PaperKind::Information, PaperKind::CheckSheet] {
            let (faces, ..) = composed_in(&spanish, paper, &plan(&areas).toml());
            let rings = faces.iter().flat_map(|face: &FaceView| &face.rings);
            assert_eq!(
                rings.filter(|ring| ring.label.is_some()).count(),
                areas.len()
            );
        }
    }
}

fn name_of(area: &Area) -> String {
    words()
        .label(&format!("{}.name", area.id))
        .expect("every area has a name")
}

/// Lines of figures need 3 to 1 against the paper (WCAG 2, success criterion 1.4.11): both colours of the drawing have it.
#[test]
fn the_lines_of_the_drawing_are_dark_enough() {
    let (theme, face) = (template("theme.typ"), template("face.typ"));
    assert!(face.contains("fill: soft") && face.contains("fill: ink"));
    for (name, text) in [("ink", theme), ("soft", face)] {
        let hex = text
            .split_once(&format!("#let {name} = rgb(\"#"))
            .expect("the drawing names its colours")
            .1;
        let part = |at: usize| u8::from_str_radix(&hex[at..at + 2], 16).expect("a colour");
        assert!(contrast_of(part(0), part(2), part(4)) >= 3.0, "{name}");
    }
}

/// The template draws in the measures that the numbers were placed for.
#[test]
fn template_and_map_agree_on_their_measures() {
    let face = template("face.typ");
    let any = [Wanted {
        number: 1,
        mark: &area("mentalis").mark[0],
        lines: 0,
    }];
    for (name, variant) in [("beside", FaceVariant::Beside), ("page", FaceVariant::Page)] {
        let frame = Frame::around(variant, &any, false);
        let (unit, column) = (frame.unit, frame.column);
        let line = face
            .lines()
            .find(|line| line.trim().starts_with(&format!("{name}: (")));
        let line = line.expect("the template names both variants");
        assert!(
            line.contains(&format!("unit: {unit}mm"))
                && line.contains(&format!("column: {column}")),
            "{line}"
        );
        // ring and distance: no number reaches its neighbour
        assert!(face.contains("#let disc = 17pt") && 17.0 < APART);
    }
    assert_eq!(single_sides(Side::Both), [Side::Right, Side::Left]);
}

/// `drawing.typ` and `outlines.typ` are what `drawing.py` writes.
#[test]
fn the_drawing_is_written_by_its_own_script() {
    if !has_tool("python3") {
        return;
    }
    let folder = tempfile::tempdir().expect("a temporary folder can be made");
    let script = folder.path().join("drawing.py");
    std::fs::copy(root().join("templates/drawing.py"), &script).expect("a copy");
    let ran = Command::new("python3")
        .arg("-B")
        .arg(&script)
        .output()
        .expect("python3 runs");
    assert!(
        ran.status.success(),
        "{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    for name in ["drawing.typ", "outlines.typ"] {
        let written = std::fs::read_to_string(folder.path().join(name)).expect("written");
        assert!(
            written == template(name),
            "run python3 templates/drawing.py"
        );
    }
}
