//! An area whose licence nobody knows: somebody is asked, the practice can close it once for all its patients, and never against a source.
//!
//! Invariant: places and products whose licence is known or not are those of `published_values.rs` and `catalogue_data.rs`.
//! Must not: lay out pages; it works on what `select` finds.

use beforehand::catalogue::{Catalogue, Level};
use beforehand::domain::Standing;
use beforehand::select::select;

use crate::support::{ClinicFile, Plan};

const FOREHEAD: &str = "[[area]]\nid = \"forehead\"\nside = \"both\"\nunits = 20\n";

/// How the forehead stands with a product, and at which level it is asked about.
fn forehead(region: &str, stock: &str) -> (Standing, Vec<Level>) {
    let clinic = ClinicFile {
        rest: format!("[[stock]]\nproduct = \"onabotulinumtoxinA\"\n{stock}\n"),
        ..ClinicFile::at(region)
    }
    .read();
    let visit = Plan {
        product: "name = \"onabotulinumtoxinA\"".to_owned(),
        visit: "informed_on = 2026-11-01".to_owned(),
        rest: FOREHEAD.to_owned(),
        ..Plan::bare()
    }
    .read(&clinic);
    let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
    let asked = selection.cautions.iter();
    let asked = asked.filter(|caution| caution.id == "licence-not-known");
    (
        selection.areas[0].standing(),
        asked.map(|caution| caution.level).collect(),
    )
}

#[test]
fn a_licence_that_nobody_knows_is_asked_about() {
    for place in ["ES", "AU"] {
        assert_eq!(
            forehead(place, ""),
            (Standing::Unknown, vec![Level::Ask]),
            "{place}"
        );
    }
    for place in ["US", "GB-ENG"] {
        assert_eq!(forehead(place, ""), (Standing::Licensed, vec![]), "{place}");
    }
}

#[test]
fn what_the_practice_looked_up_closes_it() {
    let licensed = "licensed_for = [\"forehead\", \"glabella\"]";
    assert_eq!(forehead("ES", licensed), (Standing::Licensed, vec![]));
    let off_label = "off_label_for = [\"forehead\"]";
    assert_eq!(forehead("AU", off_label), (Standing::OffLabel, vec![]));
    // said of another area
    let other = "licensed_for = [\"glabella\"]";
    assert_eq!(forehead("ES", other), (Standing::Unknown, vec![Level::Ask]));
}

/// A slip in the clinic file must not turn a licensed area into another one, or the other way round.
#[test]
fn it_does_not_count_against_a_source() {
    let off_label = "off_label_for = [\"forehead\"]";
    assert_eq!(forehead("US", off_label), (Standing::Licensed, vec![]));
}
