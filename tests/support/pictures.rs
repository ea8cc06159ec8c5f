//! Turns areas and sides into plans, and plans into the pictures of their papers.
//!
//! Invariant: composes with the program's own catalogue and wording; nothing is drawn here.
//! Must not: hold an expectation about the pictures.

use beforehand::catalogue::{Area, Catalogue, Restriction, Side};
use beforehand::compose::document::{Block, FaceView, IconArray};
use beforehand::diagnose::{Format, SourceFile};
use beforehand::paper::{Edition, PaperKind};
use beforehand::plan::{read_clinic, read_plan};
use beforehand::select::select;
use beforehand::typeset::Typesetter;
use beforehand::wording::{Approvals, Wording};

use super::{Plan, clinic};

/// Each thread of the test runner has its own: a wording notes what was taken from it.
pub fn words() -> &'static Wording {
    thread_local! {
        static WORDS: &'static Wording = Box::leak(Box::new(
            Wording::new(&"en".parse().expect("a tag"), "GB").expect("English is complete"),
        ));
    }
    WORDS.with(|words| *words)
}

pub fn treatable() -> Vec<&'static Area> {
    Catalogue::embedded()
        .areas
        .iter()
        .filter(|area| area.restriction.value != Restriction::DoNotTreat)
        .collect()
}

/// The wanted side of an area, or the nearest it allows.
pub fn side_for(area: &Area, wanted: Side) -> Side {
    if area.sides.contains(&wanted) {
        wanted
    } else {
        area.sides[0]
    }
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

pub fn pictures(blocks: &[Block], faces: &mut Vec<FaceView>, arrays: &mut Vec<(u32, IconArray)>) {
    for block in blocks {
        match block {
            Block::Face { views, .. } => faces.extend(views.iter().cloned()),
            Block::Table { rows, .. } => {
                let drawn = rows.iter().filter_map(|row| row.array.as_ref());
                arrays.extend(drawn.map(|array| (array.per, array.clone())));
            }
            Block::Beside { blocks, picture } => {
                pictures(blocks, faces, arrays);
                pictures(std::slice::from_ref(picture), faces, arrays);
            }
            Block::Together { blocks } | Block::Panel { blocks, .. } => {
                pictures(blocks, faces, arrays);
            }
            _ => {}
        }
    }
}

/// The pictures of one composed paper, without setting it.
pub fn composed(
    paper: PaperKind,
    plan: &str,
) -> (Vec<FaceView>, Vec<(u32, IconArray)>, Vec<Block>) {
    let catalogue = Catalogue::embedded();
    let vocabulary = beforehand::papers::vocabulary(catalogue);
    let source = |name: &str, text: &str| {
        SourceFile::from_bytes(name, text.as_bytes(), Format::Toml).expect("not empty")
    };
    let (clinic_file, plan_file) = (source("clinic.toml", &clinic()), source("plan.toml", plan));
    let clinic = read_clinic(&clinic_file, &vocabulary).expect("the clinic of the tests reads");
    let visit = read_plan(&plan_file, &vocabulary, Some(&clinic)).expect("the plan reads");
    let selection = select(catalogue, &clinic, &visit).expect("the plan fits its clinic");
    let document = beforehand::compose::compose(
        paper,
        Edition::Ordinary,
        &selection,
        words(),
        &Default::default(),
        &Approvals::none(),
    )
    .expect("the paper can be composed");
    let (mut faces, mut arrays) = (Vec::new(), Vec::new());
    pictures(&document.blocks, &mut faces, &mut arrays);
    (faces, arrays, document.blocks)
}

/// Name and text of an embedded template.
pub fn template(name: &str) -> (&'static str, &'static str) {
    *Typesetter::templates()
        .iter()
        .find(|(template, _)| *template == name)
        .expect("an embedded template")
}
