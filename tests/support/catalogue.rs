//! Turns the embedded catalogue into the areas a test asks for, and into a catalogue with one thing changed.
//!
//! Invariant: a change that finds nothing to change fails.
//! Must not: hold an expectation about an area.

use beforehand::catalogue::{Area, Catalogue, Restriction, Side};

/// The ids of all areas, the one that is never treated among them.
pub fn area_ids() -> Vec<String> {
    let areas = Catalogue::embedded().areas.iter();
    areas.map(|area| area.id.to_string()).collect()
}

pub fn area(id: &str) -> &'static Area {
    Catalogue::embedded().area(id).expect("a known area")
}

pub fn treatable() -> Vec<&'static Area> {
    Catalogue::embedded()
        .areas
        .iter()
        .filter(|area| area.restriction.value != Restriction::DoNotTreat)
        .collect()
}

pub fn treatable_ids() -> Vec<&'static str> {
    treatable().iter().map(|area| area.id.as_str()).collect()
}

/// The wanted side of an area, or the nearest it allows.
pub fn side_for(area: &Area, wanted: Side) -> Side {
    if area.sides.contains(&wanted) {
        wanted
    } else {
        area.sides[0]
    }
}

/// The catalogue with one of its files changed, or what its checker finds wrong with it.
pub fn with(name: &str, change: impl Fn(&str) -> String) -> Result<Catalogue, Vec<String>> {
    let mut found = false;
    let files: Vec<(&str, String)> = Catalogue::files()
        .iter()
        .map(|(file, text)| {
            found |= *file == name;
            let text = if *file == name {
                change(text)
            } else {
                (*text).to_owned()
            };
            (*file, text)
        })
        .collect();
    assert!(found, "{name} is no file of the catalogue");
    Catalogue::from_files(files.iter().map(|(file, text)| (*file, text.as_str())))
        .map_err(|error| error.0)
}
