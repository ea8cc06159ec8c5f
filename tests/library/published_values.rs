//! Outside check values: what labels, trials and guidelines say, held against what the program holds and prints.
//! Each source is named beside its check, by its number in `src/catalogue/sources.toml`.
//!
//! Must not: take a value from the catalogue and compare it with itself; every expected value is written out here.

use beforehand::catalogue::{Band, Catalogue, DoseKind, DosePer, Level, Presence, TimeUnit};
use beforehand::diagnose::{Format, SourceFile};
use beforehand::paper::PaperKind;
use beforehand::papers::{self, Inputs, MakeOptions};
use beforehand::plan::{self, Clinic, Visit};
use beforehand::typeset::Typesetter;
use beforehand::wording::Approvals;

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
            .find(|d| d.vial_units == vial && d.diluent_ml == ml);
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

fn clinic(region: &str) -> Clinic {
    let text = format!(
        "[clinic]\nname = \"Invented\"\naddress = [\"Nowhere\"]\nphone = \"555 0101\"\nphone_out_of_hours = \"555 0102\"\nregion = \"{region}\"\nlanguage = \"en\"\n\
         [[practitioner]]\nid = \"p\"\nname = \"P (invented)\"\nrole = \"doctor\"\nregistration = \"0\"\n"
    );
    let source =
        SourceFile::from_bytes("clinic.toml", text.as_bytes(), Format::Toml).expect("text");
    plan::read_clinic(&source, &papers::vocabulary(Catalogue::embedded())).expect("a good clinic")
}

fn visit(clinic: &Clinic, product: &str, areas: &str) -> Visit {
    let text = format!(
        "[patient]\nname = \"X (invented)\"\nborn = 1980-01-01\nrecord = \"1\"\n[visit]\ndate = 2026-12-03\npractitioner = \"p\"\n\
         [product]\nname = \"{product}\"\n{areas}"
    );
    let source = SourceFile::from_bytes("plan.toml", text.as_bytes(), Format::Toml).expect("text");
    plan::read_plan(
        &source,
        &papers::vocabulary(Catalogue::embedded()),
        Some(clinic),
    )
    .expect("a good plan")
}

/// The consent form as laid out, without white space.
fn consent(region: &str, product: &str, areas: &str) -> String {
    let clinic = clinic(region);
    let visit = visit(&clinic, product, areas);
    let made = papers::make(
        Inputs {
            catalogue: Catalogue::embedded(),
            clinic: &clinic,
            visit: &visit,
            approvals: &Approvals::none(),
            typesetter: &Typesetter::embedded(),
        },
        &MakeOptions::default(),
    )
    .expect("papers");
    let consent = made
        .papers
        .iter()
        .find(|m| m.kind == PaperKind::Consent)
        .expect("a consent form");
    consent
        .pages
        .texts()
        .concat()
        .chars()
        .filter(|c| !c.is_whitespace())
        .collect()
}

fn assert_says(text: &str, sentence: &str, source: &str) {
    let squeezed: String = sentence.chars().filter(|c| !c.is_whitespace()).collect();
    assert!(
        text.contains(&squeezed),
        "not printed: {sentence} ({source})"
    );
}

/// Masseter figures as printed: C53 (90.6 and 91.3 against 21.7; 56.6 and 71.7 against 26.1), C18 (5.2 mm),
/// C54 (2,036 sessions: chewing 30 in 100, bruise 2.5, bulging 0.49, sunken cheek 0.44, smile 0.15 in 100). All published.
#[test]
fn masseter_figures_reach_the_page() {
    let text = consent(
        "GB-ENG",
        ONA,
        "[[area]]\nid = \"masseter\"\nside = \"both\"\nunits = 50\n",
    );
    assert_says(&text, "91 in 100 people met its goal after 90 days", "C53");
    assert_says(&text, "With a dummy injection: 22 in 100 people", "C53");
    assert_says(
        &text,
        "57 to 72 in 100 people still met the goal after 180 days",
        "C53",
    );
    assert_says(&text, "With a dummy injection: 26 in 100 people", "C53");
    assert_says(&text, "5.2 mm narrower than with a dummy", "C18");
    for share in [
        "300 in 1,000",
        "25 in 1,000",
        "5 in 1,000",
        "4 in 1,000",
        "2 in 1,000",
    ] {
        assert_says(&text, share, "C54");
    }
    assert_says(&text, "2,036 treatments", "C54");
}

/// Glabella with onabotulinumtoxinA: lid droop 2.4 (C22), 3 (C3) and 5.4 in 100 (C63, second-hand), rounded outward.
#[test]
fn lid_droop_is_shown_as_the_range_of_the_trials() {
    let text = consent("GB-ENG", ONA, "[[area]]\nid = \"glabella\"\nunits = 20\n");
    assert_says(&text, "2 to 6 in 100", "C22, C3, C63");
    // daxibotulinumtoxinA: 2 in 100 on the label (C9), 0.9 in 100 treatments in the long-term study (C36): one denominator
    let text = consent(
        "US",
        "daxibotulinumtoxinA",
        "[[area]]\nid = \"glabella\"\nunits = 40\n",
    );
    assert_says(&text, "Up to 2 in 100", "C9, C36");
}

/// Platysma: at least one grade better 76.7 against 21.2, two grades 41.0 against 2.2 in 100 on day 14 (C46, published).
#[test]
fn platysma_figures_reach_the_page() {
    let text = consent(
        "US",
        ONA,
        "[[area]]\nid = \"platysma\"\nside = \"both\"\nunits = 36\n",
    );
    assert_says(
        &text,
        "77 in 100 people were at least one grade better after 14 days",
        "C46",
    );
    assert_says(&text, "21 in 100", "C46");
    assert_says(&text, "41 in 100", "C46");
}

/// Chin: 5 spreads to the lower lip in 120 treatments, 4.2 in 100 (C67, calculated).
#[test]
fn chin_figure_reaches_the_page() {
    let text = consent("GB-ENG", ONA, "[[area]]\nid = \"mentalis\"\nunits = 6\n");
    assert_says(&text, "4 in 100 treatments", "C67");
}

/// Gummy smile: 3.42 mm less gum at 2 weeks (C59, published); lip lines: 16 to 20 weeks in a trial of 60 (C65, published).
#[test]
fn lip_and_gum_figures_reach_the_page() {
    let text = consent(
        "GB-ENG",
        ONA,
        "[[area]]\nid = \"levator-labii-superioris-alaeque-nasi\"\nside = \"both\"\n[[area]]\nid = \"orbicularis-oris\"\n",
    );
    assert_says(&text, "3 mm", "C59");
    assert_says(&text, "In one trial with 60 people", "C65");
    assert_says(&text, "16 to 20 weeks", "C65");
}

/// Upper face, onabotulinumtoxinA 20 to 64 units: headache 11.3 against 11.4 in 100 in the glabella trials (C22, published).
#[test]
fn headache_comes_with_the_dummy_injections_number() {
    let text = consent("GB-ENG", ONA, "[[area]]\nid = \"glabella\"\nunits = 20\n");
    assert_says(&text, "11 in 100", "C22");
    assert_says(&text, "Dummy: 11 in 100 had it", "C22");
}

/// Mouth corners: at week 12 still better for 9 of 10 as an evaluator saw it, for 6 as they saw it themselves (C128, published).
#[test]
fn mouth_corner_study_reaches_the_page_before_what_practice_sees() {
    let text = consent(
        "GB-ENG",
        ONA,
        "[[area]]\nid = \"depressor-anguli-oris\"\nside = \"both\"\n",
    );
    assert_says(&text, "after 12 weeks in 9 people", "C128");
    assert_says(&text, "In their own eyes it was 6 people", "C128");
    let at = |words: &str| text.find(&words.replace(' ', "")).expect("printed");
    assert!(at("after 12 weeks in") < at("about 6 to 7 weeks"));
}

/// Antibodies that block the effect: none of 916 people (C3, published); 14 had antibodies that only bind, which is not said here.
#[test]
fn antibodies_are_counted_as_those_that_block() {
    let text = consent("GB-ENG", ONA, "[[area]]\nid = \"glabella\"\nunits = 20\n");
    assert_says(&text, "None of 916 people", "C3");
    let general = &Catalogue::embedded().general;
    let pain = general
        .risk
        .iter()
        .find(|r| r.id == "pain")
        .expect("a risk");
    assert!(
        pain.figure.is_empty(),
        "pain of the face (C3) is no figure for the needle"
    );
}
