//! `areas`: the list, and everything known about one, each number with source and status.

use std::collections::BTreeSet;

use crate::support::catalogue::area_ids;
use crate::support::{desk, run};

/// How far a fact was checked, as the program words it; written out here so that a changed word is noticed.
const STATUSES: [&str; 5] = [
    "published",
    "published, read second-hand",
    "calculated from a published figure",
    "from memory, not checked",
    "common practice, no source",
];

#[test]
fn the_list_has_thirteen_areas_each_with_a_patients_word() {
    let ran = run(desk().path(), &["areas"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let lines: Vec<&str> = ran.out.lines().collect();
    assert_eq!(lines.len(), 13, "{}", ran.out);
    let ids: Vec<&str> = lines
        .iter()
        .filter_map(|line| line.split_whitespace().next())
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
    assert!(
        lines.iter().all(|line| line.split_whitespace().count() > 1),
        "{}",
        ran.out
    );
    let line_of = |id: &str| {
        lines
            .iter()
            .find(|line| line.starts_with(id))
            .copied()
            .unwrap_or_default()
    };
    assert!(line_of("zygomaticus").contains("do not treat"));
    assert!(line_of("depressor-labii-inferioris").contains("only to balance an asymmetry"));
    assert!(!line_of("masseter").contains('('));
}

/// `[C18, C55; published]` at the end of a line, as source ids and status.
fn evidence(line: &str) -> Option<(Vec<&str>, &str)> {
    let (_, tail) = line.rsplit_once('[')?;
    let (sources, status) = tail.strip_suffix(']')?.split_once("; ")?;
    Some((sources.split(", ").collect(), status))
}

#[test]
fn every_number_of_every_area_stands_beside_its_source_and_status() {
    let desk = desk();
    for area in area_ids() {
        let ran = run(desk.path(), &["areas", &area]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{area}");
        let (facts, register) = ran
            .out
            .split_once("\nSources\n")
            .expect("a list of sources at the end");
        let listed: BTreeSet<&str> = register
            .lines()
            .filter_map(|line| line.split_whitespace().next())
            .collect();
        let mut numbers = 0;
        let mut cited = BTreeSet::new();
        for line in facts.lines() {
            let found = evidence(line);
            let words = line.rsplit_once("  [").map_or(line, |(before, _)| before);
            if words.contains(|c: char| c.is_ascii_digit()) {
                numbers += 1;
                assert!(found.is_some(), "{area}: no source beside: {line}");
            }
            if let Some((sources, status)) = found {
                assert!(STATUSES.contains(&status), "{area}: {line}");
                assert!(
                    sources.iter().all(|id| listed.contains(id)),
                    "{area}: a source is not in the register: {line}"
                );
                cited.extend(sources);
            }
        }
        assert_eq!(
            cited, listed,
            "{area}: the register lists exactly what is cited"
        );
        // the area that is never treated has no windows and no doses
        assert!(
            numbers > 0 || area == "zygomaticus",
            "{area} has no number at all"
        );
    }
}

#[test]
fn masseter_shows_windows_risks_doses_and_licence() {
    let ran = run(desk().path(), &["areas", "masseter"]);
    for part in [
        "Muscles",
        "Windows after treatment",
        "Required risks",
        "Doses",
        "Licence",
        "musculus masseter",
    ] {
        assert!(ran.out.contains(part), "{part} is missing in\n{}", ran.out);
    }
    // the range for which no source exists is said to have none
    let lasting = ran
        .out
        .lines()
        .find(|line| line.contains("6 to 12 months"))
        .expect("how long it lasts");
    assert!(
        lasting.ends_with("[practice; common practice, no source]"),
        "{lasting}"
    );
}

#[test]
fn a_slip_is_answered_with_the_area_that_was_meant_and_a_stranger_with_the_list() {
    let desk = desk();
    let ran = run(desk.path(), &["areas", "maseter"]);
    assert_eq!((ran.code, ran.out.as_str()), (1, ""));
    assert!(
        ran.err.contains("`maseter`") && ran.err.contains("did you mean `masseter` (Jaw muscle)?"),
        "{}",
        ran.err
    );
    let ran = run(desk.path(), &["areas", "knee"]);
    assert_eq!((ran.code, ran.out.as_str()), (1, ""));
    assert!(
        area_ids().iter().all(|id| ran.err.contains(id.as_str())),
        "{}",
        ran.err
    );
}
