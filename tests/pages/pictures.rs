//! The drawing and the arrays as composed: rings at every planned side and nowhere else, none touching another; marks as many as the
//! published numbers say.
//!
//! Must not: take a place or a number from the paper it looks at; expectations come from the catalogue.

use std::collections::BTreeSet;
use std::process::Command;

use beforehand::catalogue::marks::{RING, single_sides};
use beforehand::catalogue::{Area, Catalogue, FaceMark, Side, View};
use beforehand::compose::document::{Block, IconArray};
use beforehand::compose::pictures::{GAP, Placed, place};
use beforehand::domain::ProductId;
use beforehand::paper::PaperKind;
use beforehand::typeset::contrast_of;

use crate::support::catalogue::{self, area, side_for, treatable};
use crate::support::pictures::{composed, plan, words};
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
    let said = |from, to| with_text(name, from, to).join("\n");
    assert!(
        said(
            "side = \"left\"\nx = 0.6788",
            "side = \"right\"\nx = 0.6788"
        )
        .contains("masseter: no Front mark for left")
    );
    assert!(said("x = 0.6788", "x = 1.01").contains("lies outside the drawing"));
    assert!(said("x = 0.6788", "x = nan").contains("lies outside the drawing"));
    assert!(said("crowded = [0.8485,", "crowded = [0.99,").contains("its ring leaves the drawing"));
    assert!(
        said(
            "view = \"profile\"\nside = \"left\"",
            "view = \"front\"\nside = \"left\""
        )
        .contains("stands more than once")
    );
    assert!(said("side = \"left\"\nx", "side = \"both\"\nx").contains("is for one side"));
    assert_eq!(said("x = 0.6788", "x = 0.6787"), "");
}

/// Both sides of the drawing are alike: what is marked on the right is marked on the left, mirrored.
#[test]
fn left_and_right_are_mirrored() {
    let mut pairs = 0;
    for area in treatable() {
        for right in area.mark.iter().filter(|m| m.side == Side::Right) {
            let left = area
                .mark
                .iter()
                .find(|m| m.side == Side::Left && m.view == right.view)
                .expect("a right mark has a left one");
            let mirrored = |(x, y): (f64, f64)| (1.0 - x, y);
            let near = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).hypot(a.1 - b.1) < 0.001;
            assert!(
                near(mirrored((right.x, right.y)), (left.x, left.y)),
                "{}",
                area.id
            );
            // on the front view the patient's right is on the left of the paper
            assert!(right.view == View::Profile || right.x < 0.5, "{}", area.id);
            for (a, b) in [(right.ring, left.ring), (right.crowded, left.crowded)] {
                assert_eq!(a.is_some(), b.is_some(), "{}", area.id);
                if let (Some(a), Some(b)) = (a, b) {
                    assert!(near(mirrored(a), b), "{}", area.id);
                }
            }
            pairs += 1;
        }
    }
    assert!(pairs >= 10, "only {pairs} pairs looked at");
}

fn marks(view: View) -> Vec<(usize, &'static FaceMark)> {
    treatable()
        .into_iter()
        .enumerate()
        .flat_map(|(at, area)| area.mark.iter().map(move |mark| (at + 1, mark)))
        .filter(|(_, mark)| mark.view == view)
        .collect()
}

/// A ring that is in the way moves to its last place, and stays where it is when it has no other. So any plan at all is free
/// of collisions when no two last places collide: this looks at every pair.
#[test]
fn no_two_rings_touch_at_their_last_places() {
    // the view from a side shows one side at a time
    for (view, hidden) in [
        (View::Front, None),
        (View::Profile, Some(Side::Left)),
        (View::Profile, Some(Side::Right)),
    ] {
        let last: Vec<Placed<'_>> = marks(view)
            .into_iter()
            .filter(|(_, mark)| Some(mark.side) != hidden)
            .map(|(number, mark)| Placed {
                number,
                mark,
                crowded: true,
            })
            .collect();
        assert!(last.len() >= 2);
        for (at, one) in last.iter().enumerate() {
            for other in &last[at + 1..] {
                assert!(
                    !one.collides(other),
                    "{view:?}: {} {:?} and {} {:?}",
                    one.number,
                    one.mark.side,
                    other.number,
                    other.mark.side
                );
            }
        }
    }
}

/// The same by trying: every choice of the areas, on both sides and on one.
#[test]
fn no_choice_of_areas_makes_rings_touch() {
    let areas = treatable();
    let mut choices = 0;
    for wanted in [Side::Both, Side::Right, Side::Left] {
        for view in [View::Front, View::Profile] {
            for chosen in 1_u32..1 << areas.len() {
                let planned = areas
                    .iter()
                    .enumerate()
                    .filter(|(at, _)| chosen >> at & 1 == 1);
                let wanted = planned.flat_map(|(at, area)| {
                    let sides = single_sides(side_for(area, wanted));
                    let sides = if view == View::Profile {
                        &sides[..1]
                    } else {
                        sides
                    };
                    area.mark
                        .iter()
                        .filter(move |m| m.view == view && sides.contains(&m.side))
                        .map(move |mark| (at + 1, mark))
                });
                let placed = place(wanted);
                for (at, one) in placed.iter().enumerate() {
                    for other in &placed[at + 1..] {
                        assert!(!one.collides(other), "{view:?}, choice {chosen:b}");
                    }
                }
                choices += 1;
            }
        }
    }
    assert_eq!(choices, 6 * ((1 << areas.len()) - 1));
}

#[test]
fn every_planned_side_has_its_ring_and_its_words() {
    for wanted in [Side::Both, Side::Left, Side::Right] {
        let areas: Vec<(&Area, Side)> = treatable()
            .into_iter()
            .map(|area| (area, side_for(area, wanted)))
            .collect();
        for paper in [PaperKind::Consent, PaperKind::CheckSheet] {
            let (faces, ..) = composed(paper, &plan(&areas).toml());
            let [front, profile] = faces.as_slice() else {
                panic!("{wanted:?}: {} views", faces.len());
            };
            assert_eq!((front.view, profile.view), (View::Front, View::Profile));
            assert_eq!(profile.mirrored, wanted == Side::Left);
            for (at, (area, side)) in areas.iter().enumerate() {
                let number = (at + 1).to_string();
                let rings = front.rings.iter().filter(|ring| ring.number == number);
                let drawn: Vec<bool> = rings.map(|ring| ring.x < 0.5).collect();
                let expected: Vec<bool> = match side {
                    // the patient's right is on the left of the paper
                    Side::Both => vec![true, false],
                    Side::Right => vec![true],
                    Side::Left => vec![false],
                    Side::Midline => vec![false],
                };
                assert_eq!(drawn, expected, "{} {side:?}", area.id);
                let name = name_of(area);
                let words = match (side, paper.is_handed_out()) {
                    (Side::Both, _) => "on both sides",
                    (Side::Left, true) => "on your left side",
                    (Side::Right, true) => "on your right side",
                    (Side::Left, false) => "on the patient’s left",
                    (Side::Right, false) => "on the patient’s right",
                    (Side::Midline, _) => "in the middle",
                };
                let said = format!("Ring {number}, {words}: {name}.");
                assert!(front.alt.contains(&said), "{said} is not in: {}", front.alt);
                let beside = area.mark.iter().any(|m| m.view == View::Profile);
                let ring = profile.rings.iter().any(|ring| ring.number == number);
                assert_eq!(beside, ring, "{}", area.id);
                assert_eq!(
                    beside,
                    profile.alt.contains(&format!("Ring {number},")),
                    "{}",
                    area.id
                );
            }
        }
    }
}

fn name_of(area: &Area) -> String {
    words()
        .label(&format!("{}.name", area.id))
        .expect("every area has a name")
}

#[test]
fn a_side_view_is_drawn_only_where_one_is_needed() {
    let sides = |areas: &[(&str, Side)]| -> Vec<(View, bool, usize)> {
        let areas: Vec<(&Area, Side)> = areas.iter().map(|(id, side)| (area(id), *side)).collect();
        let (faces, ..) = composed(PaperKind::Consent, &plan(&areas).toml());
        faces
            .iter()
            .map(|f| (f.view, f.mirrored, f.rings.len()))
            .collect()
    };
    assert_eq!(
        sides(&[("mentalis", Side::Midline)]),
        [(View::Front, false, 1)]
    );
    assert_eq!(
        sides(&[("masseter", Side::Left)]),
        [(View::Front, false, 1), (View::Profile, true, 1)]
    );
    // each side where the areas differ; what is on both sides shows in each
    assert_eq!(
        sides(&[("masseter", Side::Left), ("platysma", Side::Both)]),
        [(View::Front, false, 3), (View::Profile, true, 2)]
    );
    assert_eq!(
        sides(&[("masseter", Side::Left), ("platysma", Side::Right)]),
        [
            (View::Front, false, 2),
            (View::Profile, false, 1),
            (View::Profile, true, 1)
        ]
    );
}

/// Filled, half-filled and all marks of a risk worked out from its figures, by another way than the program's.
fn expected(area: &Area, product: &str, name: &str) -> Vec<(u32, u32, u32)> {
    let general = &Catalogue::embedded().general.risk;
    let mut found = Vec::new();
    for (owner, risk) in area
        .risk
        .iter()
        .map(|r| (area.id.as_str(), r))
        .chain(general.iter().map(|r| ("general", r)))
    {
        if lead(owner, &risk.id) != name {
            continue;
        }
        let own = |p: &[ProductId]| p.iter().any(|p| p == product);
        let any_own = risk.figure.iter().any(|f| own(&f.products));
        let figures = risk.figure.iter().filter(|f| !any_own || own(&f.products));
        // in millionths, so that whole numbers are compared
        let parts: Vec<(i64, i64)> = figures
            .map(|f| {
                let millionths = |n: f64| (n / f64::from(f.per) * 1e6).round() as i64;
                (
                    millionths(f.affected),
                    millionths(f.affected_high.unwrap_or(f.affected)),
                )
            })
            .collect();
        let low = parts
            .iter()
            .map(|p| p.0)
            .min()
            .expect("a shown risk has a figure");
        let high = parts
            .iter()
            .map(|p| p.1)
            .max()
            .expect("a shown risk has a figure");
        for per in [100_i64, 1_000] {
            let (low, high) = if low == high {
                let nearest = (low * per + 500_000) / 1_000_000;
                (nearest, nearest)
            } else {
                (low * per / 1_000_000, (high * per + 999_999) / 1_000_000)
            };
            found.push((per as u32, low as u32, (high - low) as u32));
        }
    }
    found
}

/// The bold beginning of a risk's sentence.
fn lead(owner: &str, risk: &str) -> String {
    let text = &words().statements()[&format!("{owner}.risk.{risk}")];
    let bold = text.split("**").nth(1).unwrap_or_default();
    bold.trim().trim_end_matches('.').to_owned()
}

/// Every area with every product: as many marks as the published figures say, and the same number as in the table.
#[test]
fn every_array_shows_the_number_of_its_table_row() {
    let (mut seen, mut ranges, mut dens) = (0, 0, BTreeSet::new());
    for product in &Catalogue::embedded().products {
        for area in treatable() {
            let text = plan(&[(area, area.sides[0])])
                .toml()
                .replace("onabotulinumtoxinA", product.id.as_str());
            let (_, arrays, blocks) = composed(PaperKind::Consent, &text);
            for (per, array) in &arrays {
                let at = format!("{} with {}: {}", area.id, product.id, array.name);
                assert_eq!(*per, 100, "{at}: not out of a hundred");
                let wanted = expected(area, product.id.as_str(), &array.name);
                assert!(
                    wanted.contains(&(*per, array.filled, array.half)),
                    "{at}: {} and {} of {per}, wanted one of {wanted:?}",
                    array.filled,
                    array.half
                );
                assert!(array.filled + array.half >= 1 && array.filled + array.half <= *per);
                let (low, high) = (array.filled, array.filled + array.half);
                let group = |n: u32| {
                    if n < 1_000 {
                        n.to_string()
                    } else {
                        "1,000".to_owned()
                    }
                };
                let range = match (low == high, low) {
                    (true, _) => high.to_string(),
                    (false, 0) => format!("Up to {high}"),
                    (false, _) => format!("{low} to {high}"),
                };
                let cell = format!("{range} in {}", group(*per));
                assert!(
                    rows(&blocks)
                        .iter()
                        .any(|(lead, number)| *lead == array.name && number.starts_with(&cell)),
                    "{at}: no table row says {cell}"
                );
                let without = match low == high {
                    true => (per - high).to_string(),
                    false => format!("{} to {}", per - high, per - low),
                };
                let said = &array.alt;
                assert!(
                    said.contains(&format!("{range} of {}", group(*per))),
                    "{at}: {said}"
                );
                assert!(
                    said.ends_with(&format!("{without} did not.")),
                    "{at}: {said}"
                );
                assert!(array.alt.starts_with(&format!(
                    "{}: {} circles.",
                    array.name,
                    group(*per)
                )));
                seen += 1;
                ranges += u32::from(low != high);
                dens.insert(*per);
            }
        }
    }
    assert!(
        seen >= 100 && ranges >= 10,
        "{seen} arrays, {ranges} ranges"
    );
    assert_eq!(dens, BTreeSet::from([100]));
}

/// Bold lead and number of every table row.
fn rows(blocks: &[Block]) -> Vec<(String, String)> {
    use beforehand::wording::{Piece, rich};
    let text = |pieces: &[Piece]| match pieces.first() {
        Some(Piece::Para { text }) => rich::text_of(text),
        _ => String::new(),
    };
    blocks
        .iter()
        .filter_map(|block| match block {
            Block::Table { rows, .. } => Some(rows),
            _ => None,
        })
        .flatten()
        .map(|row| {
            let lead = text(&row.cells[0]);
            let lead = lead.split('.').next().unwrap_or_default().to_owned();
            (
                lead,
                row.cells.last().map(|cell| text(cell)).unwrap_or_default(),
            )
        })
        .collect()
}

/// Published values: eyelid droop after frown-line treatment with onabotulinumtoxinA, 2.4 (C22) to 5.4 (C63, second-hand) in 100;
/// Nothing out of a thousand is drawn (jaw treatment, C54), and no picture for headache, where a dummy injection did as much (C22).
#[test]
fn published_shares_as_marks() {
    let arrays = |id: &str| {
        let area = area(id);
        composed(PaperKind::Consent, &plan(&[(area, area.sides[0])]).toml()).1
    };
    let of = |arrays: &[(u32, IconArray)], name: &str| {
        arrays
            .iter()
            .find(|(_, array)| array.name == name)
            .map(|(per, array)| (*per, array.filled, array.half))
    };
    let frown = arrays("glabella");
    assert_eq!(of(&frown, "Drooping eyelid"), Some((100, 2, 4)));
    assert_eq!(of(&frown, "Headache"), None);
    assert_eq!(of(&arrays("masseter"), "Weaker bite"), None);
}

/// Lines of figures need 3 to 1 against the paper (WCAG 2, success criterion 1.4.11): the two inks of the drawing have it.
#[test]
fn the_lines_of_the_drawing_are_dark_enough() {
    let theme = template("theme.typ");
    let face = template("face.typ");
    assert!(face.contains("fill: rule-ink") && face.contains("fill: ink"));
    for name in ["ink", "rule-ink"] {
        let hex = theme
            .split_once(&format!("#let {name} = rgb(\"#"))
            .expect("the theme names its inks")
            .1;
        let part = |at: usize| u8::from_str_radix(&hex[at..at + 2], 16).expect("a colour");
        assert!(contrast_of(part(0), part(2), part(4)) >= 3.0, "{name}");
    }
}

/// The template draws rings of the size the catalogue's distances are held against, in frames of the same size.
#[test]
fn template_and_catalogue_agree_on_the_frame() {
    let face = template("face.typ");
    for (name, view) in [("front", View::Front), ("profile", View::Profile)] {
        let (width, height) = view.size();
        assert!(
            face.contains(&format!("{name}: (width: {width}, height: {height},")),
            "{name}: {width} x {height}"
        );
    }
    const { assert!(GAP > 0.0 && RING > 0.0) };
}

/// `drawing.typ` is what `drawing.py` writes.
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
    let written = std::fs::read_to_string(folder.path().join("drawing.typ")).expect("written");
    assert!(
        written == template("drawing.typ"),
        "run python3 templates/drawing.py"
    );
}
