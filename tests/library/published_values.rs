//! Outside check values: what labels, trials and guidelines say, held against what the catalogue holds (what is printed: `tests/pages/published_figures.rs`).
//! Each source is named beside its check, by its number in `src/catalogue/sources.toml`.
//!
//! Must not: take a value from the catalogue and compare it with itself; every expected value is written out here.

use beforehand::catalogue::{
    Band, Catalogue, DoseKind, DosePer, Level, Presence, Standing, Status, TimeUnit,
};

const ONA: &str = "onabotulinumtoxinA";

fn label_doses(area: &str, product: &str, place: &str) -> Vec<(f64, f64, DosePer, Option<u32>)> {
    let area = Catalogue::embedded().area(area).expect("a known area");
    area.dose
        .iter()
        .filter(|d| {
            d.kind == DoseKind::Label && d.product == product && d.place.as_deref() == Some(place)
        })
        .map(|d| (d.low, d.high, d.per, d.points))
        .collect()
}

/// US label of onabotulinumtoxinA (C1, rev. 10/2024; C2, rev. 2019; published) and UK text of incobotulinumtoxinA (C12, published).
#[test]
fn label_doses_of_the_upper_face() {
    assert_eq!(
        label_doses("glabella", ONA, "US"),
        [(20.0, 20.0, DosePer::Session, Some(5))]
    );
    assert_eq!(
        label_doses("forehead", ONA, "US"),
        [(20.0, 20.0, DosePer::Session, Some(5))]
    );
    assert_eq!(
        label_doses("lateral-canthus", ONA, "US"),
        [(12.0, 12.0, DosePer::Side, Some(3))]
    );
    assert_eq!(
        label_doses("glabella", "incobotulinumtoxinA", "UK"),
        [(20.0, 30.0, DosePer::Session, Some(5))]
    );
    assert_eq!(
        label_doses("forehead", "incobotulinumtoxinA", "UK"),
        [(10.0, 20.0, DosePer::Session, Some(5))]
    );
    assert_eq!(
        label_doses("lateral-canthus", "incobotulinumtoxinA", "UK"),
        [(12.0, 12.0, DosePer::Side, Some(3))]
    );
    // C9 and C113, published
    assert_eq!(
        label_doses("glabella", "daxibotulinumtoxinA", "US"),
        [(40.0, 40.0, DosePer::Session, Some(5))]
    );
    // C7 and C8, published
    assert_eq!(
        label_doses("glabella", "prabotulinumtoxinA", "US"),
        [(20.0, 20.0, DosePer::Session, Some(5))]
    );
    assert_eq!(
        label_doses("glabella", "letibotulinumtoxinA", "US"),
        [(20.0, 20.0, DosePer::Session, Some(5))]
    );
}

/// Session totals of the US label of onabotulinumtoxinA: 20, 24, 44, 40, 64 and 26 to 36 units (C1 published, C6 second-hand).
#[test]
fn labelled_session_totals() {
    let totals = &Catalogue::embedded()
        .product(ONA)
        .expect("a known product")
        .label_total;
    let total = |areas: &[&str]| {
        let found: Vec<_> = totals
            .iter()
            .filter(|t| {
                t.place == "US"
                    && t.areas.len() == areas.len()
                    && areas.iter().all(|a| t.areas.iter().any(|x| x == a))
            })
            .collect();
        assert_eq!(found.len(), 1, "{areas:?}");
        (found[0].low, found[0].high)
    };
    assert_eq!(total(&["glabella"]), (20.0, 20.0));
    assert_eq!(total(&["lateral-canthus"]), (24.0, 24.0));
    assert_eq!(total(&["glabella", "lateral-canthus"]), (44.0, 44.0));
    assert_eq!(total(&["glabella", "forehead"]), (40.0, 40.0));
    assert_eq!(
        total(&["glabella", "forehead", "lateral-canthus"]),
        (64.0, 64.0)
    );
    assert_eq!(total(&["platysma"]), (26.0, 36.0));
}

/// 50 units in 1.25 mL and 100 units in 2.5 mL both give 4 units in 0.1 mL (C4, published).
#[test]
fn us_label_dilution() {
    let dilutions = &Catalogue::embedded()
        .product(ONA)
        .expect("a known product")
        .dilution;
    for (vial, ml) in [(50.0, 1.25), (100.0, 2.5)] {
        let found = dilutions
            .iter()
            .find(|d| d.vial_units == Some(vial) && d.diluent_ml == Some(ml));
        assert_eq!(
            found.map(|d| d.units_per_tenth_ml),
            Some(4.0),
            "{vial} units in {ml} mL"
        );
    }
}

/// Least time between treatments: C6 (second-hand), C7, C8, C12 (published), C11 (second-hand).
#[test]
fn label_intervals() {
    let interval = |product: &str, place: &str| {
        let product = Catalogue::embedded()
            .product(product)
            .expect("a known product");
        product
            .interval
            .iter()
            .find(|i| i.place == place)
            .map(|i| (i.least, i.unit))
    };
    for (product, place) in [
        (ONA, "US"),
        ("prabotulinumtoxinA", "US"),
        ("letibotulinumtoxinA", "US"),
        ("incobotulinumtoxinA", "UK"),
    ] {
        assert_eq!(
            interval(product, place),
            Some((3.0, TimeUnit::Months)),
            "{product} {place}"
        );
    }
    assert_eq!(
        interval("abobotulinumtoxinA", "UK"),
        Some((12.0, TimeUnit::Weeks))
    );
    // read later: C121 (published), C123, C126, C127 (second-hand)
    for (product, place) in [
        ("letibotulinumtoxinA", "UK"),
        ("relabotulinumtoxinA", "EU"),
        ("prabotulinumtoxinA", "EU"),
        (ONA, "EU"),
    ] {
        assert_eq!(
            interval(product, place),
            Some((3.0, TimeUnit::Months)),
            "{product} {place}"
        );
    }
}

/// Doses of studies of the lower face: C128 (3 points of 1.5 units on each side), C129 (12 to 15 units), C65 (7.5 and 12 units).
#[test]
fn study_doses_of_the_lower_face() {
    let study = |area: &str| -> Vec<(f64, f64, DosePer, Option<u32>)> {
        let area = Catalogue::embedded().area(area).expect("a known area");
        let of_ona = area
            .dose
            .iter()
            .filter(|d| d.kind == DoseKind::Study && d.product == ONA);
        of_ona.map(|d| (d.low, d.high, d.per, d.points)).collect()
    };
    assert!(study("depressor-anguli-oris").contains(&(4.5, 4.5, DosePer::Side, Some(3))));
    assert_eq!(study("mentalis"), [(12.0, 15.0, DosePer::Session, None)]);
    assert_eq!(
        study("orbicularis-oris"),
        [(7.5, 12.0, DosePer::Session, Some(4))]
    );
    // the study of the lower lip (C69) does not name its product, so it gives no dose
    assert_eq!(study("depressor-labii-inferioris"), []);
}

/// CIOMS III bands with the boundary set of the EU guideline on product texts (D21, published).
#[test]
fn frequency_bands_and_their_boundaries() {
    let cases = [
        (1.0, 10, Band::VeryCommon),
        (99.0, 1_000, Band::Common),
        (1.0, 100, Band::Common),
        (1.0, 101, Band::Uncommon),
        (1.0, 1_000, Band::Uncommon),
        (1.0, 1_001, Band::Rare),
        (1.0, 10_000, Band::Rare),
        (1.0, 10_001, Band::VeryRare),
        (5.0, 1_000, Band::Uncommon),
        (21.0, 100, Band::VeryCommon),
        (75.0, 1_000, Band::Common),
    ];
    for (affected, per, band) in cases {
        assert_eq!(Band::of(affected, per), Some(band), "{affected} in {per}");
    }
    assert_eq!(Band::of(0.0, 100), None, "none seen does not mean never");
}

/// What each authority says of a contraindication: A6 of the clinical facts (C2, C7, C8, C10, C11, C12).
#[test]
fn contraindications_by_authority() {
    let says = |rule: &str, place: &str| {
        let rule = Catalogue::embedded()
            .rules
            .iter()
            .find(|r| r.id == rule)
            .expect("a known rule");
        (
            rule.level,
            rule.authority
                .iter()
                .find(|a| a.place == place)
                .map(|a| a.level),
        )
    };
    // contraindicated in both
    for rule in ["toxin-allergy", "infection-at-site"] {
        for place in ["US", "UK"] {
            assert_eq!(
                says(rule, place),
                (Level::Stop, Some(Level::Stop)),
                "{rule} {place}"
            );
        }
    }
    // a warning in the US, contraindicated in the UK: the stricter one wins
    for rule in [
        "myasthenia-gravis",
        "lambert-eaton",
        "motor-neurone-disease",
    ] {
        assert_eq!(says(rule, "US"), (Level::Stop, Some(Level::Ask)), "{rule}");
        assert_eq!(says(rule, "UK"), (Level::Stop, Some(Level::Stop)), "{rule}");
    }
    assert_eq!(says("milk-protein", "US"), (Level::Stop, Some(Level::Stop)));
    assert_eq!(says("pregnant", "US"), (Level::Stop, Some(Level::Stop)));
    assert_eq!(
        says("breastfeeding", "UK"),
        (Level::Stop, Some(Level::Stop))
    );
}

/// Human albumin and milk protein by product: C10, C12, C113 (published), C112 (second-hand).
#[test]
fn ingredients_of_products() {
    let product = |id: &str| Catalogue::embedded().product(id).expect("a known product");
    for id in [
        ONA,
        "incobotulinumtoxinA",
        "abobotulinumtoxinA",
        "prabotulinumtoxinA",
    ] {
        assert_eq!(product(id).human_albumin.value, Presence::Yes, "{id}");
    }
    assert_eq!(
        product("daxibotulinumtoxinA").human_albumin.value,
        Presence::No
    );
    assert_eq!(
        product("abobotulinumtoxinA").milk_protein.value,
        Presence::Yes
    );
}

/// Minimum ages and waiting times: D61, D62, D65, D57 (statuses in `regions.toml`).
#[test]
fn rules_of_places() {
    let region = |id: &str| Catalogue::embedded().region(id).expect("a known region");
    for id in ["GB-ENG", "SE", "DK"] {
        let age = region(id).minimum_age.as_ref().expect("a minimum age");
        assert_eq!((age.years, age.below), (18, Level::Stop), "{id}");
    }
    let sweden = region("SE").time_to_think.as_ref().expect("a waiting time");
    assert_eq!((sweden.days, sweden.exempt_repeat_months), (2, Some(6)));
    let australia = region("AU").time_to_think.as_ref().expect("a waiting time");
    assert_eq!((australia.days, australia.only_under), (7, Some(18)));
    assert!(
        region("GB-ENG").time_to_think.is_none(),
        "no number is set in the UK"
    );
    let emergency = |id: &str| region(id).emergency.value.clone();
    assert_eq!(emergency("US"), ["911"]);
    assert_eq!(emergency("GB-ENG"), ["999", "112"]);
    assert_eq!(emergency("SE"), ["112"]);
    assert_eq!(emergency("AU"), ["000"]);
    assert_eq!(emergency("NZ"), ["111"]);
}

/// Scotland: an Act of 2026 prohibits it under 18 (C132), not seen in force, so it is asked and said. The Act of 2021 is for England (D65).
#[test]
fn least_ages_in_the_nations_of_the_uk() {
    let region = |id: &str| Catalogue::embedded().region(id).expect("a known region");
    let scotland = region("GB-SCT").minimum_age.as_ref().expect("a least age");
    assert_eq!(
        (scotland.years, scotland.below, scotland.proposal),
        (18, Level::Ask, true)
    );
    for id in ["GB-WLS", "GB-NIR"] {
        assert!(region(id).minimum_age.is_none(), "{id}");
        assert_eq!(region(id).licence_place.as_deref(), Some("UK"), "{id}");
    }
}

/// EU texts: rela frown lines and crow's feet (C122), prabo (C126), abo (C124, C125) and ona (C127) frown lines, second-hand; inco's upper
/// face is in the UK text (C12) and from memory for the EU. No EU text on the neck, or of leti and daxi, was read.
#[test]
fn licences_of_eu_regions() {
    let licence = |area: &str, product: &str| {
        let area = Catalogue::embedded().area(area).expect("a known area");
        let licence = area.licence(&product.into(), Some("EU")).expect("an entry");
        (licence.standing, licence.evidence.status)
    };
    for (area, product) in [
        ("glabella", "relabotulinumtoxinA"),
        ("lateral-canthus", "relabotulinumtoxinA"),
        ("glabella", "prabotulinumtoxinA"),
        ("glabella", "abobotulinumtoxinA"),
        ("glabella", ONA),
    ] {
        let second_hand = (Standing::Licensed, Status::PublishedSecondHand);
        assert_eq!(licence(area, product), second_hand, "{area} {product}");
    }
    for area in ["glabella", "forehead", "lateral-canthus"] {
        let from_memory = (Standing::Licensed, Status::FromMemory);
        assert_eq!(licence(area, "incobotulinumtoxinA"), from_memory, "{area}");
    }
    for (area, product) in [
        ("platysma", ONA),
        ("glabella", "letibotulinumtoxinA"),
        ("glabella", "daxibotulinumtoxinA"),
    ] {
        assert_eq!(
            licence(area, product).0,
            Standing::Unknown,
            "{area} {product}"
        );
    }
    for place in ["IE", "SE", "DK", "ES", "FR", "DE"] {
        let region = Catalogue::embedded().region(place).expect("a known region");
        assert_eq!(region.licence_place.as_deref(), Some("EU"), "{place}");
    }
}

/// Where side effects are reported: the US and UK bodies are on labels (C2, C11, published), all others are from memory and say so.
#[test]
fn every_region_names_where_side_effects_are_reported() {
    for region in &Catalogue::embedded().regions {
        let report = region.report.as_ref().expect("a body");
        let (body, status) = match region.id.as_str() {
            "US" => ("us", Status::Published),
            id if id.starts_with("GB-") => ("uk", Status::Published),
            id => (id, Status::FromMemory),
        };
        assert_eq!(report.value, body.to_lowercase(), "{}", region.id);
        assert_eq!(report.evidence.status, status, "{}", region.id);
    }
}

/// The urgent line of England, Scotland (NHS 24) and Wales is 111, from memory; none is known to us for any other region.
#[test]
fn urgent_lines_are_named_only_where_they_are_known() {
    for region in &Catalogue::embedded().regions {
        let urgent = region.urgent.as_ref().map(|urgent| urgent.value.as_str());
        let known = ["GB-ENG", "GB-SCT", "GB-WLS"].contains(&region.id.as_str());
        assert_eq!(urgent, known.then_some("111"), "{}", region.id);
    }
}
