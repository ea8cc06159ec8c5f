//! Turns the planned areas into hatched zones on the drawing that the printed papers have, as SVG.
//! Invariant: the outlines are those of `templates/drawing.typ`, so paper and page show the same face.
//! Must not: hold an outline of its own but the round spot, or words for readers.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::markup::Markup;
use crate::catalogue::Side;
use crate::compose::document::{FaceVariant, FaceView, Zone};
use crate::wording::Rich;

/// Written by `templates/drawing.py`: names with parentheses around what they hold, and outlines in quotation marks.
const SOURCE: &str = include_str!("../../templates/drawing.typ");
/// Radius of the spot for a place without a zone of its own, in units of the drawing; as in `face.typ`.
const SPOT: f64 = 4.5;
/// What is seen of the drawing to both sides of the middle.
const HALF: f64 = 41.0;

/// Outlines by the names around them: `front/line`, `zones/jaw/left/outline`.
fn outlines() -> &'static BTreeMap<String, Vec<&'static str>> {
    static OUTLINES: OnceLock<BTreeMap<String, Vec<&'static str>>> = OnceLock::new();
    OUTLINES.get_or_init(|| {
        let mut found: BTreeMap<String, Vec<&str>> = BTreeMap::new();
        let mut names: Vec<&str> = Vec::new();
        for line in SOURCE.lines().map(str::trim) {
            let paths = line.split('"').filter(|part| part.starts_with('M'));
            let opened = line
                .split_once('(')
                .map(|(name, _)| {
                    name.trim_start_matches("#let ")
                        .trim_end_matches([' ', '=', ':'])
                })
                .map(|name| name.trim_matches('"'));
            if line.starts_with("//") {
                continue;
            }
            if let Some(name) = opened {
                names.push(name);
            }
            found.entry(names.join("/")).or_default().extend(paths);
            if line.ends_with("),") || line == ")" {
                names.pop();
            }
        }
        found
    })
}

/// The outlines of one part of the drawing.
pub(super) fn outlines_of(name: &str) -> String {
    part(name).join(" ")
}

fn part(name: &str) -> &'static [&'static str] {
    outlines().get(name).map_or(&[], Vec::as_slice)
}

/// The outline and the hatch of one zone.
pub(super) fn zone_outlines(zone: &Zone, hatch: &str) -> [String; 2] {
    match &zone.name {
        Some(name) => ["outline", hatch]
            .map(|what| part(&format!("zones/{name}/{}/{what}", side(zone.side))).join(" ")),
        None => {
            let (x, y) = (zone.x, zone.y);
            let rows = (SPOT / 2.0).floor() as i32;
            let lines = (-rows..=rows).map(|row| {
                let down = f64::from(row) * 2.0;
                let across = (SPOT * SPOT - down * down).sqrt();
                format!(
                    "M{:.2} {:.2} L{:.2} {:.2}",
                    x - across,
                    y + down,
                    x + across,
                    y + down
                )
            });
            let (left, right) = (x - SPOT, x + SPOT);
            let ring = format!(
                "M{left:.2} {y:.2} A{SPOT} {SPOT} 0 1 1 {right:.2} {y:.2} A{SPOT} {SPOT} 0 1 1 {left:.2} {y:.2} Z"
            );
            [ring, lines.collect::<Vec<_>>().join(" ")]
        }
    }
}

fn side(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
        Side::Both => "both",
        Side::Midline => "midline",
    }
}

pub(super) fn path(m: &mut Markup, look: &[(&'static str, &str)], outline: &str) {
    if outline.is_empty() {
        return;
    }
    let mut attributes = look.to_vec();
    attributes.push(("d", outline));
    m.element("path", &attributes, |_| {});
}

/// One face with its numbers; the names of the areas below it.
pub(super) fn face(m: &mut Markup, variant: FaceVariant, view: &FaceView) {
    // radius of a number's ring, its size, and the hatch: the drawing beside text is smaller
    let (ring, size, hatch) = match variant {
        FaceVariant::Beside => (6.2, 8.4, "wide"),
        FaceVariant::Page => (3.9, 5.4, "close"),
    };
    m.element("figure", &[("class", "face")], |m| {
        m.element("p", &[("class", "sides"), ("aria-hidden", "true")], |m| {
            for words in &view.words {
                m.element("span", &[], |m| plain(m, words));
            }
        });
        let reach = view
            .rings
            .iter()
            .map(|one| one.ring_x.abs() + ring + 1.0)
            .fold(HALF, f64::max);
        let height = view.bottom - view.top;
        let frame = format!(
            "{:.2} {:.2} {:.2} {:.2}",
            -reach,
            view.top - 1.0,
            2.0 * reach,
            height + 2.0
        );
        let look = [
            ("viewBox", frame.as_str()),
            ("role", "img"),
            ("aria-label", &view.alt),
        ];
        m.element("svg", &look, |m| drawn(m, view, hatch, ring, size));
        let mut named: Vec<_> = view
            .rings
            .iter()
            .filter_map(|ring| Some((&ring.number, ring.label.as_ref()?)))
            .collect();
        // in the order of the headings; the drawing has them in the order of its columns
        named.sort_by_key(|(number, _)| (number.len(), *number));
        if !named.is_empty() {
            // the drawing's own words say the same to who hears them
            m.element("ul", &[("class", "named"), ("aria-hidden", "true")], |m| {
                for (number, label) in named {
                    m.element("li", &[], |m| {
                        m.said("span", "disc", number);
                        m.text(" ");
                        m.said("strong", "", &label.name);
                        m.text(" ");
                        plain(m, &label.side);
                    });
                }
            });
        }
    });
}

fn drawn(m: &mut Markup, view: &FaceView, hatch: &str, radius: f64, size: f64) {
    let zones: Vec<[String; 2]> = view
        .zones
        .iter()
        .map(|zone| zone_outlines(zone, hatch))
        .collect();
    for [_, lines] in &zones {
        path(m, &[("stroke-width", "0.5")], lines);
    }
    let face = |part_of: &str| part(&format!("front/{part_of}")).join(" ");
    path(m, &[("class", "soft")], &face("shade"));
    path(m, &[("stroke-width", "0.6")], &face("thin"));
    for [outline, _] in &zones {
        path(
            m,
            &[("stroke-width", "0.8"), ("stroke-dasharray", "2 1.2")],
            outline,
        );
    }
    path(m, &[("class", "solid")], &face("line"));
    path(m, &[("class", "white")], &face("light"));
    for ring in &view.rings {
        let line = format!(
            "M{:.2} {:.2} L{:.2} {:.2}",
            ring.ring_x, ring.ring_y, ring.x, ring.y
        );
        path(m, &[("class", "edge"), ("stroke-width", "2")], &line);
        path(m, &[("stroke-width", "0.6")], &line);
        circle(m, ("solid", ring.x, ring.y, 1.0));
    }
    for ring in &view.rings {
        circle(m, ("ring", ring.ring_x, ring.ring_y, radius));
        // two digits keep clear of the ring
        let size = size * if ring.number.len() > 1 { 0.9 } else { 1.0 };
        let (x, y) = (
            format!("{:.2}", ring.ring_x),
            format!("{:.2}", ring.ring_y + size * 0.35),
        );
        let size = format!("{size}");
        let look = [
            ("x", x.as_str()),
            ("y", &y),
            ("font-size", &size),
            ("font-weight", "700"),
            ("text-anchor", "middle"),
        ];
        m.element("text", &look, |m| m.text(&ring.number));
    }
}

pub(super) fn circle(m: &mut Markup, (class, x, y, radius): (&str, f64, f64, f64)) {
    let [x, y, radius] = [x, y, radius].map(|number| format!("{number:.2}"));
    m.empty(
        "circle",
        &[("class", class), ("cx", &x), ("cy", &y), ("r", &radius)],
    );
}

fn plain(m: &mut Markup, rich: &Rich) {
    rich.iter().for_each(|run| m.text(&run.text));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_whole_drawing_is_read() {
        for name in ["shade", "thin", "line", "light"] {
            assert!(!part(&format!("front/{name}")).is_empty(), "{name}");
        }
        let read: usize = outlines().values().map(Vec::len).sum();
        assert_eq!(read, SOURCE.matches("\"M").count());
        assert!(!part("zones/jaw/left/outline").is_empty());
        assert!(!part("zones/crows-feet/right/close").is_empty());
    }
}
