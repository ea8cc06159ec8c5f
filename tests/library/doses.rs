//! Planned units, vials, dilutions, sides and points: what must be questioned, what must not, and at which threshold.
//! Published values stand beside the source that gives them; thresholds of our own are marked as such.
//!
//! Must not: lay out pages; it works on what `select` finds.

use beforehand::catalogue::{Catalogue, Level, Status};
use beforehand::domain::Formulation;
use beforehand::plan::{Clinic, Visit};
use beforehand::select::{CautionValue, Selection, select};

use crate::support::{ClinicFile, Plan};

const ONA: &str = "name = \"onabotulinumtoxinA\"";

fn clinic(region: &str, rest: &str) -> Clinic {
    ClinicFile {
        rest: rest.to_owned(),
        ..ClinicFile::at(region)
    }
    .read()
}

fn plan(clinic: &Clinic, product: &str, areas: &str) -> Visit {
    Plan {
        product: product.to_owned(),
        visit: "informed_on = 2026-11-01".to_owned(),
        rest: areas.to_owned(),
        ..Plan::bare()
    }
    .read(clinic)
}

/// The level of each caution of this name.
fn levels(selection: &Selection<'_>, id: &str) -> Vec<Level> {
    let of_id = selection.cautions.iter().filter(|c| c.id == id);
    of_id.map(|c| c.level).collect()
}

fn raised(region: &str, stock: &str, product: &str, areas: &str, id: &str) -> Vec<Level> {
    let clinic = clinic(region, stock);
    let visit = plan(&clinic, product, areas);
    let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
    levels(&selection, id)
}

fn area(id: &str, more: &str) -> String {
    format!("[[area]]\nid = \"{id}\"\n{more}\n")
}

/// No source gives a dose of any product for the lower lip (C69 does not name its product), nor of prabo for the forehead.
#[test]
fn a_dose_that_cannot_be_checked_is_questioned() {
    let lip = area(
        "depressor-labii-inferioris",
        "side = \"left\"\nreason = \"asymmetry\"\nunits = 10",
    );
    let unchecked =
        |product: &str, areas: &str| raised("GB-ENG", "", product, areas, "dose-not-checked");
    assert_eq!(unchecked(ONA, &lip), [Level::Ask]);
    let forehead = area("forehead", "side = \"both\"\nunits = 20");
    assert_eq!(
        unchecked("name = \"prabotulinumtoxinA\"", &forehead),
        [Level::Ask]
    );
    assert_eq!(unchecked(ONA, &forehead), []);
    // without units nothing is planned that could be checked
    assert_eq!(
        unchecked(
            ONA,
            &area(
                "depressor-labii-inferioris",
                "side = \"left\"\nreason = \"asymmetry\""
            )
        ),
        []
    );
}

/// Doses of studies below the mouth: C128 three points of 1.5 units on each side, C129 12 to 15 units at the chin (published).
#[test]
fn study_doses_of_mouth_corners_and_chin_are_held() {
    let above = |areas: &str| raised("GB-ENG", "", ONA, areas, "dose-above-studies");
    assert_eq!(above(&area("mentalis", "units = 15")), []);
    assert_eq!(above(&area("mentalis", "units = 16")), [Level::Ask]);
    let corners = |units: f64| {
        above(&area(
            "depressor-anguli-oris",
            &format!("side = \"both\"\nunits = {units}"),
        ))
    };
    // 4.5 on each side is below the 5 of the widest range held
    assert_eq!(corners(9.0), []);
    assert_eq!(corners(11.0), [Level::Ask]);
}

/// The largest ona total of one session in our sources is 96 units, at the jaw (C52). Twice that is our own line.
#[test]
fn a_session_total_is_questioned_beyond_twice_the_largest_known() {
    let total = |units: f64| {
        let areas = area("masseter", "side = \"both\"\nunits = 96")
            + &area("platysma", &format!("side = \"both\"\nunits = {units}"));
        raised("US", "", ONA, &areas, "session-total-high")
    };
    assert_eq!(total(96.0), []);
    assert_eq!(total(96.5), [Level::Ask]);
    // prabo: 20 units (C7), so 40 are not questioned and 41 are
    let prabo = |units: f64| {
        let areas = area("glabella", &format!("units = {units}"));
        raised(
            "US",
            "",
            "name = \"prabotulinumtoxinA\"",
            &areas,
            "session-total-high",
        )
    };
    assert_eq!((prabo(40.0), prabo(41.0)), (vec![], vec![Level::Ask]));
}

/// Label dilution of ona: 4 units in 0.1 mL (C4, published). One and a half times either way is our own line.
#[test]
fn a_dilution_far_from_the_label_is_questioned() {
    let unusual = |place: &str, product: &str| {
        let areas = area("glabella", "");
        raised(place, "", product, &areas, "dilution-unusual")
    };
    let ona = |vial: f64, ml: f64| {
        unusual(
            "US",
            &format!("{ONA}\nvial_units = {vial}\ndiluent_ml = {ml}"),
        )
    };
    assert_eq!(ona(100.0, 2.5), []);
    assert_eq!(ona(50.0, 1.25), []);
    // 5 units, 6.25 units; then 2.94 and 2.5
    assert_eq!(
        (ona(100.0, 2.0), ona(100.0, 1.6)),
        (vec![], vec![Level::Ask])
    );
    assert_eq!(
        (ona(100.0, 3.4), ona(100.0, 4.0)),
        (vec![], vec![Level::Ask])
    );
    // prabo and leti: 4 units in 0.1 mL, the vial not said (C7, C8)
    for id in ["prabotulinumtoxinA", "letibotulinumtoxinA"] {
        let of = |ml: f64| {
            unusual(
                "US",
                &format!("name = \"{id}\"\nvial_units = 100\ndiluent_ml = {ml}"),
            )
        };
        assert_eq!((of(2.5), of(1.0)), (vec![], vec![Level::Ask]), "{id}");
    }
    // abo: 12 and 20 on the US label, 10 in its trial (C32, C114); 20 in the UK text (C11)
    let abo = |place: &str, ml: f64| {
        unusual(
            place,
            &format!("name = \"abobotulinumtoxinA\"\nvial_units = 300\ndiluent_ml = {ml}"),
        )
    };
    assert_eq!(
        (abo("US", 2.5), abo("US", 1.5), abo("US", 3.0)),
        (vec![], vec![], vec![])
    );
    assert_eq!(
        (abo("GB-ENG", 1.5), abo("GB-ENG", 3.0)),
        (vec![], vec![Level::Ask])
    );
}

#[test]
fn a_dilution_that_is_not_the_clinics_own_is_said() {
    let stock = "[[stock]]\nproduct = \"onabotulinumtoxinA\"\nvial_units = 100\ndiluent_ml = 2.5\n\
                 [[stock]]\nproduct = \"onabotulinumtoxinA\"\nvial_units = 50\ndiluent_ml = 1\n";
    let other = |ml: f64| {
        let product = format!("{ONA}\nvial_units = 100\ndiluent_ml = {ml}");
        raised(
            "US",
            stock,
            &product,
            &area("glabella", ""),
            "dilution-not-stock",
        )
    };
    // 4 and 5 units in 0.1 mL are in stock
    assert_eq!((other(2.5), other(2.0)), (vec![], vec![]));
    assert_eq!(other(1.8), [Level::Note]);
    assert_eq!(
        (other(1.0), other(4.0)),
        (vec![Level::Ask], vec![Level::Ask])
    );
}

#[test]
fn a_vial_of_a_size_that_no_source_names_is_questioned() {
    let unknown = |product: &str| {
        raised(
            "US",
            "",
            product,
            &area("glabella", ""),
            "vial-size-unknown",
        )
    };
    // C4: 50 and 100
    assert_eq!(unknown(&format!("{ONA}\nvial_units = 50")), []);
    assert_eq!(unknown(&format!("{ONA}\nvial_units = 100")), []);
    assert_eq!(unknown(&format!("{ONA}\nvial_units = 10")), [Level::Ask]);
    // every product has a size, so none passes unseen
    for product in &Catalogue::embedded().products {
        let odd = format!("name = \"{}\"\nvial_units = 77", product.id);
        assert_eq!(unknown(&odd), [Level::Ask], "{}", product.id);
    }
}

/// relabotulinumtoxinA is a liquid (C33), and so is one form of abobotulinumtoxinA (C43, C124).
#[test]
fn nothing_is_put_into_a_liquid() {
    let ready = |product: &str| {
        raised(
            "GB-ENG",
            "",
            product,
            &area("glabella", "units = 50"),
            "diluent-ready",
        )
    };
    assert_eq!(ready("name = \"relabotulinumtoxinA\""), []);
    assert_eq!(
        ready("name = \"relabotulinumtoxinA\"\ndiluent_ml = 2.5"),
        [Level::Ask]
    );
    let liquid = "name = \"abobotulinumtoxinA\"\nformulation = \"liquid\"";
    assert_eq!(ready(liquid), []);
    assert_eq!(ready(&format!("{liquid}\ndiluent_ml = 1")), [Level::Ask]);
    assert_eq!(ready("name = \"abobotulinumtoxinA\"\ndiluent_ml = 1"), []);
    // no volume is worked out from a diluent that is not there
    let clinic = clinic("GB-ENG", "");
    let visit = plan(
        &clinic,
        &format!("{liquid}\nvial_units = 125\ndiluent_ml = 1"),
        &area("glabella", "units = 50"),
    );
    let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
    assert_eq!(selection.areas[0].dose.volume_ml, None);
    // the stock's diluent for the powder is not the liquid's
    let stock = "[[stock]]\nproduct = \"abobotulinumtoxinA\"\nvial_units = 300\ndiluent_ml = 1.5\n";
    assert_eq!(
        raised(
            "GB-ENG",
            stock,
            liquid,
            &area("glabella", ""),
            "diluent-ready"
        ),
        []
    );
    // a form nobody sells, as far as we know
    let odd = format!("{ONA}\nformulation = \"liquid\"");
    assert_eq!(
        raised("GB-ENG", "", &odd, &area("glabella", ""), "form-unlisted"),
        [Level::Ask]
    );
}

/// The powder holds cow's milk protein and human albumin (C10, published); that the liquid holds neither is from memory.
#[test]
fn what_a_product_holds_depends_on_its_form() {
    let of = |form: &str, facts: &str| {
        let clinic = clinic("GB-ENG", "");
        let visit = Plan {
            facts: facts.to_owned(),
            product: format!("name = \"abobotulinumtoxinA\"\n{form}"),
            area: "id = \"glabella\"".to_owned(),
            ..Plan::bare()
        }
        .read(&clinic);
        let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
        let ids = selection.cautions.iter().map(|c| c.id.to_string());
        ids.collect::<Vec<_>>()
    };
    let (powder, liquid) = ("formulation = \"powder\"", "formulation = \"liquid\"");
    let has = |ids: &[String], id: &str| ids.iter().any(|known| known == id);
    for (fact, holds, free) in [
        (
            "milk_protein_allergy = true",
            "milk-protein",
            "milk-protein-check",
        ),
        ("objects_to_albumin = true", "albumin", "albumin-check"),
    ] {
        // not said: the one that holds more, and that is said
        for form in [powder, ""] {
            let ids = of(form, fact);
            assert!(has(&ids, holds) && !has(&ids, free), "{form} {ids:?}");
            assert_eq!(has(&ids, "form-open"), form.is_empty());
        }
        // never silent: what is from memory is still asked about
        let ids = of(liquid, fact);
        assert!(has(&ids, free) && !has(&ids, holds), "{ids:?}");
    }
    let product = Catalogue::embedded()
        .product("abobotulinumtoxinA")
        .expect("known");
    assert_eq!(
        product
            .milk_protein(Some(Formulation::Liquid))
            .evidence
            .status,
        Status::FromMemory
    );
}

/// The forehead's own pattern on two labels is five points in a line (C1, C12): that one is not questioned.
#[test]
fn points_that_cannot_be_shared_out_are_questioned() {
    let uneven = |areas: &str| raised("US", "", ONA, areas, "points-not-even");
    let jaw = |side: &str, points: u32| {
        uneven(&area(
            "masseter",
            &format!("side = \"{side}\"\nunits = 25\nper = \"side\"\npoints = {points}"),
        ))
    };
    assert_eq!((jaw("both", 6), jaw("both", 5)), (vec![], vec![Level::Ask]));
    assert_eq!(jaw("left", 5), []);
    let forehead = |points: u32| {
        uneven(&area(
            "forehead",
            &format!("side = \"both\"\nunits = 20\npoints = {points}"),
        ))
    };
    assert_eq!((forehead(5), forehead(7)), (vec![], vec![Level::Ask]));
    assert_eq!(uneven(&area("glabella", "units = 20\npoints = 5")), []);
}

#[test]
fn one_side_alone_needs_a_reason() {
    let one = |id: &str, more: &str| raised("US", "", ONA, &area(id, more), "one-sided");
    assert_eq!(one("masseter", "side = \"left\""), [Level::Ask]);
    assert_eq!(
        one("masseter", "side = \"right\"\nreason = \"appearance\""),
        [Level::Ask]
    );
    assert_eq!(
        one("masseter", "side = \"left\"\nreason = \"asymmetry\""),
        []
    );
    assert_eq!(one("masseter", "side = \"both\""), []);
    assert_eq!(one("glabella", ""), []);
}

/// A threshold of ours is never dressed up as a source's.
#[test]
fn our_own_thresholds_are_marked_as_practice() {
    let clinic = clinic("US", "");
    let product = format!("{ONA}\nvial_units = 100\ndiluent_ml = 1");
    let visit = plan(
        &clinic,
        &product,
        &area("platysma", "side = \"both\"\nunits = 300"),
    );
    let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
    for id in ["session-total-high", "dilution-unusual"] {
        let caution = selection
            .cautions
            .iter()
            .find(|c| c.id == id)
            .expect("raised");
        assert!(caution.evidence.status >= Status::CommonPractice, "{id}");
    }
    let caution = selection
        .cautions
        .iter()
        .find(|c| c.id == "dilution-unusual")
        .expect("raised");
    let CautionValue::Plain(known) = &caution.values["known"] else {
        panic!("a number");
    };
    assert_eq!(known.as_f64(), Some(4.0));
}
