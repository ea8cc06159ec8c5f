//! The drawing and the arrays in the finished file: an outside reader counts rings and marks, and reads the alternative texts.
//!
//! Must not: pass in CI when the reader is missing, or let the reader know what to find.

use beforehand::catalogue::marks::marks_for;
use beforehand::catalogue::{Area, Side};
use beforehand::paper::PaperKind;
use beforehand::papers::Papers;
use beforehand::typeset::Typesetter;

use crate::support::catalogue::{area, side_for, treatable};
use crate::support::pictures::{pictures, plan};
use crate::support::templates::with_changes;
use crate::support::{laid_out, paper, referee};

/// What an outside reader counts in the finished file: nothing where the referees are not installed.
fn read_back(papers: &Papers<'_>, name: &str) -> Option<serde_json::Value> {
    let python = referee::python("")?;
    let pdf = paper(papers, PaperKind::Information)
        .pages
        .pdf()
        .expect("the standards are met");
    let file = referee::scratch(&format!("pictures-{name}.pdf"));
    std::fs::write(&file, pdf).expect("the scratch folder can be written");
    Some(referee::read_file(&python, "pictures.py", &file))
}

#[test]
fn the_finished_file_shows_the_same_rings_and_marks() {
    let all = treatable();
    let every: Vec<(&Area, Side)> = all.iter().map(|a| (*a, side_for(a, Side::Both))).collect();
    let one = |id: &str, side| vec![(area(id), side)];
    for (name, areas) in [
        ("all", every),
        ("jaw-left", one("masseter", Side::Left)),
        ("brows", one("glabella", Side::Midline)),
    ] {
        laid_out(&plan(&areas).toml(), &Typesetter::embedded(), |papers| {
            let Some(shown) = read_back(papers, name) else {
                return;
            };
            let information = &paper(papers, PaperKind::Information).document;
            let (mut faces, mut arrays) = (Vec::new(), Vec::new());
            pictures(&information.blocks, &mut faces, &mut arrays);
            assert!(!faces.is_empty() && !arrays.is_empty());
            let alts: Vec<&str> = faces
                .iter()
                .map(|f| f.alt.as_str())
                .chain(
                    arrays
                        .iter()
                        .flat_map(|group| &group.arrays)
                        .map(|array| array.alt.as_str()),
                )
                .collect();
            let number = |value: &serde_json::Value| value.as_u64().expect("a count") as u32;
            let list = |key: &str| shown[key].as_array().expect("a list").clone();
            let said: Vec<String> = list("alts")
                .iter()
                // dates and measures are held together in the file
                .map(|alt| alt.as_str().expect("text").replace('\u{a0}', " "))
                .collect();
            for alt in alts {
                assert!(
                    said.iter().any(|said| said == alt),
                    "{name}: no figure says {alt}"
                );
            }
            let drawn: Vec<(u32, u32, u32)> = list("arrays")
                .iter()
                .map(|a| {
                    (
                        number(&a["marks"]),
                        number(&a["filled"]),
                        number(&a["some"]),
                    )
                })
                .collect();
            let wanted: Vec<(u32, u32, u32)> = arrays
                .iter()
                .flat_map(|group| group.arrays.iter().map(|a| (group.per, a.filled, a.some)))
                .collect();
            assert_eq!(drawn, wanted, "{name}");

            let rings = list("rings");
            let mut numbers: Vec<String> = rings
                .iter()
                .map(|ring| ring["number"].as_str().expect("text").to_owned())
                .collect();
            let mut planned: Vec<String> = areas
                .iter()
                .enumerate()
                .flat_map(|(at, (area, side))| {
                    let count = marks_for(area, *side).len();
                    std::iter::repeat_n((at + 1).to_string(), count)
                })
                .collect();
            numbers.sort();
            planned.sort();
            assert_eq!(numbers, planned, "{name}");
            let at = |ring: &serde_json::Value, key: &str| ring[key].as_f64().expect("a number");
            for (index, ring) in rings.iter().enumerate() {
                assert!(
                    at(ring, "size") >= 11.0 - 1e-6,
                    "{name}: a number of {ring}"
                );
                assert_eq!(ring["white"], true, "{name}");
                for other in &rings[index + 1..] {
                    let apart =
                        (at(ring, "x") - at(other, "x")).hypot(at(ring, "y") - at(other, "y"));
                    assert!(
                        ring["page"] != other["page"] || apart > 20.0 - 0.01,
                        "{name}: {ring} on {other}"
                    );
                }
            }
        });
    }
}

/// The reader counts what is drawn, not what is meant: with a template that draws one mark too many filled, or leaves a ring out,
/// it says so.
#[test]
fn a_template_that_draws_wrongly_is_noticed() {
    let text = plan(&[(area("glabella"), Side::Midline)]).toml();
    let counts = |shown: &serde_json::Value| -> (u64, usize) {
        let arrays = shown["arrays"].as_array().expect("a list");
        let filled = arrays
            .iter()
            .map(|a| a["filled"].as_u64().expect("a count"))
            .sum();
        (filled, shown["rings"].as_array().expect("a list").len())
    };
    let read = |name: &str, file: &str, from: &str, to: &str| {
        let typesetter = with_changes(&[(file, from, to)]);
        laid_out(&text, &typesetter, |papers| read_back(papers, name)).map(|shown| counts(&shown))
    };
    let sound = "if index < filled {";
    let Some((filled, rings)) = read("sound", "icons.typ", sound, sound) else {
        return;
    };
    assert!(filled > 0 && rings == 1);
    let more = read("filled", "icons.typ", sound, "if index <= filled {");
    assert!(more.expect("referees are here").0 > filled);
    let fewer = read(
        "rings",
        "face.typ",
        "let radius = disc * grown / 2\n  for ring in view.rings {",
        "let radius = disc * grown / 2\n  for ring in view.rings.slice(1) {",
    );
    assert_eq!(fewer.expect("referees are here").1, 0);
}
