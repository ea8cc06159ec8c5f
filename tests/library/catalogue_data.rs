//! The catalogue as data: consistent, complete, every file embedded, every number sourced; and the checker can fail.
//!
//! Must not: repeat published values (those are held in `published_values.rs`).

use std::collections::BTreeSet;

use beforehand::catalogue::{
    Area, Catalogue, Evidence, NumberUnit, Presence, Restriction, Standing, Status, WindowKind,
};

use crate::support::catalogue::with;
use crate::support::root;

#[test]
fn catalogue_is_consistent() {
    let unchanged = with("sources.toml", str::to_owned);
    assert_eq!(unchanged.err(), None);
}

#[test]
fn every_catalogue_file_is_embedded() {
    let mut on_disk = BTreeSet::new();
    for folder in ["", "areas"] {
        for entry in std::fs::read_dir(root().join("src/catalogue").join(folder))
            .expect("the catalogue folder")
        {
            let path = entry.expect("a file").path();
            if path.extension().is_some_and(|e| e == "toml") {
                let name = path
                    .file_name()
                    .and_then(|n| n.to_str())
                    .expect("a plain name");
                on_disk.insert(if folder.is_empty() {
                    name.to_owned()
                } else {
                    format!("{folder}/{name}")
                });
            }
        }
    }
    let embedded: BTreeSet<String> = Catalogue::files()
        .iter()
        .map(|(name, _)| (*name).to_owned())
        .collect();
    assert_eq!(on_disk, embedded);
}

#[test]
fn the_twelve_areas_and_the_no_treat_zone_are_there() {
    let catalogue = Catalogue::embedded();
    let ids: Vec<&str> = catalogue
        .areas
        .iter()
        .map(|area| area.id.as_str())
        .collect();
    assert_eq!(
        ids,
        [
            "glabella",
            "forehead",
            "lateral-canthus",
            "nasalis",
            "levator-labii-superioris-alaeque-nasi",
            "depressor-septi-nasi",
            "orbicularis-oris",
            "depressor-anguli-oris",
            "depressor-labii-inferioris",
            "mentalis",
            "masseter",
            "platysma",
            "zygomaticus",
        ]
    );
    let restricted = |wanted: Restriction| -> Vec<&str> {
        catalogue
            .areas
            .iter()
            .filter(|a| a.restriction.value == wanted)
            .map(|a| a.id.as_str())
            .collect()
    };
    assert_eq!(
        restricted(Restriction::ReconstructiveOnly),
        ["depressor-labii-inferioris"]
    );
    assert_eq!(restricted(Restriction::DoNotTreat), ["zygomaticus"]);
    assert_eq!(catalogue.products.len(), 7, "the seven type A toxins");
    for region in [
        "US", "CA", "GB-ENG", "GB-SCT", "GB-WLS", "GB-NIR", "IE", "SE", "DK", "ES", "FR", "DE",
        "AU", "NZ",
    ] {
        assert!(catalogue.region(region).is_some(), "{region}");
    }
}

#[test]
fn every_muscle_is_named_in_latin() {
    for area in &Catalogue::embedded().areas {
        for muscle in &area.muscle {
            let known = ["musculus ", "venter ", "platysma"];
            assert!(
                known.iter().any(|start| muscle.latin.starts_with(start)),
                "{}: {}",
                area.id,
                muscle.latin
            );
        }
    }
}

/// File, the change that breaks it, and what the checker must say.
type PlantedFault = (&'static str, Box<dyn Fn(&str) -> String>, &'static str);

/// A mistake in any file must be found: each change breaks one thing the checker is there for.
#[test]
fn the_checker_finds_planted_faults() {
    let area = "areas/masseter.toml";
    let cases: Vec<PlantedFault> = vec![
        (
            area,
            Box::new(|t| t.replacen("source = [\"C54\"", "source = [\"C9999\"", 1)),
            "not in sources.toml",
        ),
        (
            area,
            Box::new(|t| t.replacen("status = \"published\"", "status = \"sure\"", 1)),
            "sure",
        ),
        (
            area,
            Box::new(|t| t.replacen("kind = \"wears-off\"", "kind = \"repeat\"", 1)),
            "no wears_off window",
        ),
        (
            area,
            Box::new(|t| t.replacen("unit = \"months\"\n", "", 1)),
            "unit",
        ),
        (
            area,
            Box::new(|t| t.replacen("id = \"cannot\"", "id = \"cannott\"", 1)),
            "statement `cannot`",
        ),
        (
            area,
            Box::new(|t| t.replacen("order = 110", "order = 10", 1)),
            "order 10 is taken",
        ),
        (
            "advice.toml",
            Box::new(|t| t.replacen("id = \"soft-food\"", "id = \"soft-foods\"", 1)),
            "soft-food",
        ),
        (
            "facts.toml",
            Box::new(|t| t.replacen("id = \"heavy_chewing\"", "id = \"chewing\"", 1)),
            "heavy_chewing",
        ),
        (
            "products.toml",
            Box::new(|t| t.replacen("units-per-tenth-ml = 4", "units-per-tenth-ml = 5", 1)),
            "dilution",
        ),
        (
            "products.toml",
            Box::new(|t| {
                t.replacen(
                    "source = [\"C112\"], status = \"published-second-hand\"",
                    "source = [\"memory\"], status = \"published\"",
                    1,
                )
            }),
            "called published",
        ),
        (
            "general.toml",
            Box::new(|t| t.replacen("\"red-eye\"", "\"hoarse-voice\"", 1)),
            "`hoarse-voice` stands twice",
        ),
        (
            "regions.toml",
            Box::new(|t| t.replacen("value = [\"911\"]", "value = []", 1)),
            "no emergency number",
        ),
        (
            "rules.toml",
            Box::new(|t| t.replacen("fact = \"pregnant\"", "fact = \"pregnent\"", 1)),
            "pregnent",
        ),
        (
            "sources.toml",
            Box::new(|t| t.replacen("id = \"C54\"", "id = \"C55\"", 1)),
            "C5",
        ),
    ];
    for (file, change, expected) in cases {
        let original = Catalogue::files()
            .iter()
            .find(|(name, _)| *name == file)
            .expect("a catalogue file")
            .1;
        assert_ne!(
            change(original),
            original,
            "{file}: the planted fault did not take ({expected})"
        );
        let said = with(file, &change).err();
        let said = said.unwrap_or_else(|| panic!("{file}: the fault was not found ({expected})"));
        assert!(
            said.iter().any(|fault| fault.contains(expected)),
            "{file}: expected {expected:?} in:\n{said:#?}"
        );
    }
}

/// Taking away any source line, status line or unit line anywhere in an area file is noticed.
#[test]
fn no_entry_of_an_area_can_lose_its_source_status_or_unit() {
    let mut tried = 0;
    for (name, text) in Catalogue::files()
        .iter()
        .filter(|(name, _)| name.starts_with("areas/"))
    {
        for key in ["source = ", "status = ", "unit = "] {
            let lines: Vec<&str> = text.lines().collect();
            for (index, line) in lines.iter().enumerate() {
                if !line.starts_with(key) {
                    continue;
                }
                let without: Vec<&str> = lines
                    .iter()
                    .enumerate()
                    .filter(|(i, _)| *i != index)
                    .map(|(_, l)| *l)
                    .collect();
                tried += 1;
                let parsed = toml::from_str::<Area>(&without.join("\n"));
                assert!(
                    parsed.is_err(),
                    "{name}:{}: `{line}` could be taken away",
                    index + 1
                );
            }
        }
    }
    assert!(tried > 500, "only {tried} lines were tried");
}

/// Evidence is read as part of each entry; that must not make the entry take keys it does not know.
#[test]
fn no_entry_takes_a_key_it_does_not_know() {
    let mut tried = BTreeSet::new();
    for (name, text) in Catalogue::files() {
        let headings = text.lines().filter(|line| line.starts_with('['));
        for heading in headings.collect::<BTreeSet<_>>() {
            let family = name.split_once('/').map_or(*name, |(folder, _)| folder);
            if !tried.insert((family, heading)) {
                continue;
            }
            let odd = |text: &str| text.replacen(heading, &format!("{heading}\nodd = 1"), 1);
            let said = with(name, odd).expect_err("a key nobody reads");
            assert!(
                said.join("\n").contains("unknown field `odd`"),
                "{name} {heading}: {said:?}"
            );
        }
    }
    assert!(
        tried.len() > 25,
        "only {} kinds of entry were tried",
        tried.len()
    );
}

#[test]
fn status_is_never_better_than_the_sources_allow() {
    // `practice` and `memory` are not publications, whatever else is named beside them
    for area in &Catalogue::embedded().areas {
        for risk in &area.risk {
            for figure in &risk.figure {
                assert!(
                    !matches!(
                        figure.evidence.status,
                        Status::CommonPractice | Status::FromMemory
                    ),
                    "{} {}: a frequency shown to patients must come from a publication",
                    area.id,
                    risk.id
                );
            }
        }
    }
}

/// Common practice without a published source, as practitioners tell it; each stays marked as such.
#[test]
fn practice_facts_are_encoded_and_marked() {
    let catalogue = Catalogue::embedded();
    let window = |area: &str, kind: WindowKind| {
        let area = catalogue.area(area).expect("a known area");
        area.window(kind, "").cloned().expect("a window")
    };
    // what practice sees stands beside the published or general figure, never instead of it
    let sooner = |area: &str| {
        let window = window(area, WindowKind::MayEnd);
        assert_eq!(window.evidence.status, Status::CommonPractice, "{area}");
        (window.low, window.high, window.unit.as_str())
    };
    assert_eq!(sooner("orbicularis-oris"), (6.0, 6.0, "weeks"));
    for area in ["depressor-anguli-oris", "mentalis"] {
        assert_eq!(sooner(area), (6.0, 7.0, "weeks"), "{area}");
        let window = window(area, WindowKind::WearsOff);
        assert_eq!(
            (window.low, window.high, window.unit.as_str()),
            (3.0, 4.0, "months"),
            "{area}"
        );
        assert_eq!(window.evidence.status, Status::CommonPractice, "{area}");
    }
    let jaw = catalogue.area("masseter").expect("a known area");
    let lasts = jaw.number.iter().find(|n| n.id == "practice-lasts");
    let lasts = lasts.expect("a number from practice");
    assert_eq!(lasts.evidence.status, Status::CommonPractice);
    assert_eq!(
        (lasts.low, lasts.high, lasts.unit),
        (6.0, 12.0, NumberUnit::Months)
    );
    let course = |area: &str| {
        catalogue
            .area(area)
            .and_then(|a| a.course.clone())
            .expect("a course")
    };
    assert_eq!(
        (
            course("orbicularis-oris").rounds_low,
            course("orbicularis-oris").rounds_high
        ),
        (2, 3)
    );
    let jaw = course("masseter");
    assert_eq!(
        (
            jaw.rounds_low,
            jaw.rounds_high,
            jaw.interval_low,
            jaw.interval_high
        ),
        (2, 3, 6.0, 9.0)
    );
    assert_eq!(jaw.evidence.status, Status::CommonPractice);
}

#[test]
fn licences_name_what_is_known_and_nothing_more() {
    let catalogue = Catalogue::embedded();
    let standing = |area: &str, product: &str, place: Option<&str>| {
        catalogue
            .area(area)
            .expect("a known area")
            .licence(&product.into(), place)
            .map(|l| l.standing)
    };
    assert_eq!(
        standing("glabella", "onabotulinumtoxinA", Some("US")),
        Some(Standing::Licensed)
    );
    assert_eq!(
        standing("orbicularis-oris", "onabotulinumtoxinA", Some("US")),
        Some(Standing::OffLabel)
    );
    assert_eq!(
        standing("platysma", "onabotulinumtoxinA", Some("US")),
        Some(Standing::Licensed)
    );
    assert_eq!(
        standing("masseter", "onabotulinumtoxinA", Some("CN")),
        Some(Standing::Licensed)
    );
    assert_eq!(
        standing("masseter", "onabotulinumtoxinA", Some("US")),
        Some(Standing::OffLabel)
    );
    // places and products whose texts were read later: C121 (leti, UK), C126 (prabo, EU), C124 (abo, UK), C122 (rela, UK)
    for (product, place) in [
        ("letibotulinumtoxinA", "UK"),
        ("prabotulinumtoxinA", "EU"),
        ("abobotulinumtoxinA", "UK"),
        ("abobotulinumtoxinA", "EU"),
        ("relabotulinumtoxinA", "UK"),
    ] {
        assert_eq!(
            standing("glabella", product, Some(place)),
            Some(Standing::Licensed),
            "{product} {place}"
        );
    }
    assert_eq!(
        standing("lateral-canthus", "relabotulinumtoxinA", Some("UK")),
        Some(Standing::Licensed)
    );
    // no text was read
    assert_eq!(
        standing("glabella", "letibotulinumtoxinA", Some("EU")),
        Some(Standing::Unknown)
    );
    // a place whose licences our sources do not name
    assert_eq!(standing("glabella", "onabotulinumtoxinA", None), None);
    assert_eq!(
        catalogue.region("AU").and_then(|r| r.licence_place.clone()),
        None
    );
}

#[test]
fn ingredients_are_known_for_the_products_whose_texts_were_read() {
    let of = |id: &str| {
        let product = Catalogue::embedded().product(id).expect("a known product");
        (product.human_albumin.value, product.milk_protein.value)
    };
    assert_eq!(of("abobotulinumtoxinA"), (Presence::Yes, Presence::Yes));
    assert_eq!(of("onabotulinumtoxinA").0, Presence::Yes);
    assert_eq!(of("incobotulinumtoxinA").0, Presence::Yes);
    assert_eq!(of("daxibotulinumtoxinA").0, Presence::No);
    for product in &Catalogue::embedded().products {
        assert!(!product.units_interchangeable.value, "{}", product.id);
    }
}

/// Sources that are news or trade pages: what rests on them alone was read second-hand (key of the facts file).
const NEWS: &[&str] = &["C13", "C14", "C15", "C16", "C17", "C18", "C19"];

/// Sources that studied the upper face, or the face in general.
const UPPER_FACE: &[&str] = &["C27", "C28", "C29", "C30", "C31"];

#[test]
fn what_rests_on_news_or_on_another_area_is_not_called_published() {
    let mut said = Vec::new();
    let only = |evidence: &Evidence, these: &[&str]| {
        let mut source = evidence.source.iter();
        !evidence.source.is_empty() && source.all(|id| these.contains(&id.as_str()))
    };
    for area in &Catalogue::embedded().areas {
        let upper = area.zone == beforehand::catalogue::Zone::UpperFace;
        for window in &area.window {
            if window.evidence.status == Status::Published
                && !upper
                && only(&window.evidence, UPPER_FACE)
            {
                said.push(format!("{} {:?}", area.id, window.kind));
            }
        }
        let entries = (area.licence.iter().map(|l| &l.evidence))
            .chain(area.dose.iter().map(|d| &d.evidence))
            .chain(area.number.iter().map(|n| &n.evidence))
            .chain(area.window.iter().map(|w| &w.evidence))
            .chain(area.statement.iter().map(|s| &s.evidence));
        for evidence in entries {
            if evidence.status == Status::Published && only(evidence, NEWS) {
                said.push(format!("{}: {:?}", area.id, evidence.source));
            }
        }
    }
    assert!(said.is_empty(), "{said:#?}");
}
