//! Turns areas alone into the facts to ask a patient about, before there is a plan.
//! Invariant: a fact that could matter for these areas with any product in any place is in it.
//! Must not: be used once a plan is there (then product and place decide).

use std::collections::BTreeMap;

use jiff::civil::date;

use crate::catalogue::{Area, Catalogue, Fact};
use crate::domain::{PractitionerId, ProductId, Side};
use crate::plan::{Patient, PlannedArea, Visit, age_on};

use super::conditions::Facts;
use super::questions::{hangs_on, speaks_against};

/// Facts that could matter for these areas, with whatever product and in whatever place; in the order of the catalogue.
pub fn facts_for<'a>(catalogue: &'a Catalogue, areas: &[&Area]) -> Vec<&'a Fact> {
    let visit = nobody(areas);
    let matters = |fact: &Fact| {
        visit.areas.iter().zip(areas).any(|(planned, area)| {
            speaks_against(area, fact)
                || catalogue.products.iter().any(|product| {
                    catalogue.regions.iter().any(|region| {
                        let facts = Facts {
                            visit: &visit,
                            planned,
                            area,
                            together: areas,
                            product,
                            region: &region.id,
                            licence_place: region.licence_place.as_deref(),
                            age: age_on(visit.patient.born, visit.date),
                        };
                        let mut rules = catalogue.rules.iter();
                        rules.any(|rule| hangs_on(rule, &facts, &fact.id))
                    })
                })
        })
    };
    catalogue
        .facts
        .iter()
        .filter(|fact| matters(fact))
        .collect()
}

/// A visit of which only the areas are known.
fn nobody(areas: &[&Area]) -> Visit {
    let product = crate::plan::Product {
        name: ProductId::from(""),
        vial_units: None,
        formulation: None,
        diluent_ml: None,
        batch: None,
    };
    let planned = areas.iter().map(|area| PlannedArea {
        id: area.id.clone(),
        side: area.sides.first().copied().unwrap_or(Side::Midline),
        units: None,
        points: None,
        aim: None,
        reason: None,
        round: None,
        previous: None,
        last_time: None,
        stance: None,
        stance_because: None,
        product: None,
        span: 0..0,
    });
    Visit {
        patient: Patient {
            name: String::new(),
            born: date(1980, 1, 1),
            record: String::new(),
            language: None,
            large_print: false,
            facts: BTreeMap::new(),
        },
        date: date(2026, 1, 1),
        time: None,
        informed_on: None,
        informed_at: None,
        prescriber: None,
        prescriber_saw_on: None,
        practitioner: PractitionerId::from(""),
        revision: None,
        product,
        areas: planned.collect(),
        events: Vec::new(),
        history: Vec::new(),
        asked: None,
        answers: Vec::new(),
        texts: Vec::new(),
    }
}
