//! Turns areas and sides into plans, and plans into the pictures of their papers.
//!
//! Invariant: composes with the program's own catalogue and wording; nothing is drawn here.
//! Must not: hold an expectation about the pictures.

use beforehand::catalogue::{Area, Catalogue, Side};
use beforehand::compose::document::{ArrayGroup, Block, FaceView};
use beforehand::paper::PaperKind;
use beforehand::select::select;
use beforehand::wording::{Approvals, Wording};

use super::Plan;
use super::composed::document;
use super::visit::{ClinicFile, read_visit};

/// Each thread of the test runner has its own: a wording notes what was taken from it.
pub fn words() -> &'static Wording {
    thread_local! {
        static WORDS: &'static Wording = Box::leak(Box::new(
            Wording::new(&"en".parse().expect("a tag"), "GB").expect("English is complete"),
        ));
    }
    WORDS.with(|words| *words)
}

pub fn plan(areas: &[(&Area, Side)]) -> Plan {
    let entries: Vec<String> = areas
        .iter()
        .map(|(area, side)| {
            format!(
                "id = \"{}\"\nside = \"{}\"\nreason = \"asymmetry\"",
                area.id,
                side.as_str()
            )
        })
        .collect();
    Plan {
        area: entries.join("\n\n[[area]]\n"),
        ..Plan::default()
    }
}

/// All faces and all groups of arrays among blocks, in reading order.
pub fn pictures(blocks: &[Block], faces: &mut Vec<FaceView>, arrays: &mut Vec<ArrayGroup>) {
    for block in blocks {
        match block {
            Block::Face { views, .. } => faces.extend(views.iter().cloned()),
            Block::Arrays { groups, .. } => arrays.extend(groups.iter().cloned()),
            Block::Beside { blocks, picture } => {
                pictures(blocks, faces, arrays);
                pictures(std::slice::from_ref(picture), faces, arrays);
            }
            Block::Together { blocks } | Block::Panel { blocks, .. } => {
                pictures(blocks, faces, arrays);
            }
            Block::Check(part) => {
                let inside = part.picture().map_or(&[][..], std::slice::from_ref);
                pictures(inside, faces, arrays);
            }
            _ => {}
        }
    }
}

/// The pictures of one composed paper, without setting it.
pub fn composed(paper: PaperKind, plan: &str) -> (Vec<FaceView>, Vec<ArrayGroup>, Vec<Block>) {
    composed_in(words(), paper, plan)
}

/// The same in the words of another language.
pub fn composed_in(
    words: &Wording,
    paper: PaperKind,
    plan: &str,
) -> (Vec<FaceView>, Vec<ArrayGroup>, Vec<Block>) {
    let catalogue = Catalogue::embedded();
    let clinic = ClinicFile::default().read();
    let visit = read_visit(plan, &clinic);
    let selection = select(catalogue, &clinic, &visit).expect("the plan fits its clinic");
    let document = document(paper, &selection, words, &Approvals::none());
    let (mut faces, mut arrays) = (Vec::new(), Vec::new());
    pictures(&document.blocks, &mut faces, &mut arrays);
    (faces, arrays, document.blocks)
}
