//! A plan that is made from nothing says the same visit as one written by hand, and looks like our samples.
//!
//! Must not: compare what was written with itself; the plan reader reads both.

use std::path::Path;

use beforehand::diagnose::{Format, SourceFile};
use beforehand::plan::{PlannedArea, Visit, read_clinic, read_plan};
use beforehand::plan_form::{PlanForm, write};

use super::support::{Plan, samples, vocabulary};

/// A visit without its places in a file.
fn without_places(visit: Visit) -> Visit {
    let areas = visit.areas.into_iter();
    let mut texts = visit.texts;
    for text in &mut texts {
        text.span = 0..0;
    }
    texts.sort_by(|one, other| one.path.cmp(&other.path));
    Visit {
        areas: areas
            .map(|area| PlannedArea { span: 0..0, ..area })
            .collect(),
        texts,
        ..visit
    }
}

fn visit(plan: &Plan, text: &str, format: Format) -> Visit {
    let clinic = SourceFile::open(plan.path.with_file_name("clinic.toml")).expect("a clinic file");
    let clinic = read_clinic(&clinic, &plan.vocabulary).expect("a good clinic file");
    let source = SourceFile::from_bytes("plan", text.as_bytes(), format).expect("a text");
    let visit = read_plan(&source, &plan.vocabulary, Some(&clinic));
    without_places(visit.unwrap_or_else(|found| panic!("{found:#?}\n{text}")))
}

#[test]
fn a_plan_made_from_a_form_is_the_plan_written_by_hand() {
    let mut read = 0;
    for plan in samples() {
        let clinic =
            SourceFile::open(plan.path.with_file_name("clinic.toml")).expect("a clinic file");
        let clinic = read_clinic(&clinic, &plan.vocabulary).expect("a good clinic file");
        // samples that are there to be wrong have no visit
        if read_plan(&plan.source(), &plan.vocabulary, Some(&clinic)).is_err() {
            continue;
        }
        read += 1;
        let by_hand = visit(&plan, &plan.text, plan.format);
        for format in [Format::Toml, Format::Json] {
            let made = write("", format, &plan.form(), &plan.vocabulary).expect("a new plan");
            assert_eq!(
                visit(&plan, &made, format),
                by_hand,
                "{}",
                plan.path.display()
            );
        }
    }
    assert!(read >= 18, "{read} samples were read");
}

/// Our samples without their first remark, and with the facts in the order of the catalogue, come out as they are.
#[test]
fn a_new_plan_looks_like_our_samples() {
    let sample = samples()
        .into_iter()
        .find(|plan| {
            plan.path
                .ends_with(Path::new("linden-court/news-reader.toml"))
        })
        .expect("the sample");
    let made = write("", Format::Toml, &sample.form(), &sample.vocabulary).expect("a new plan");
    let lines = |text: &str| -> Vec<String> {
        // the order of denied facts is no look
        let is_listed = |line: &&str| !line.starts_with("    ");
        text.lines().filter(is_listed).map(str::to_owned).collect()
    };
    let (_, without_remark) = sample.text.split_once('\n').expect("lines");
    assert_eq!(lines(&made), lines(without_remark));
    let listed = |text: &str| text.lines().filter(|line| line.starts_with("    ")).count();
    assert_eq!(listed(&made), listed(&sample.text));
}

#[test]
fn what_is_typed_wrong_is_there_for_the_reader_to_point_at() {
    let mut form = PlanForm::new();
    for (field, text) in [
        ("patient.name", "Ines Aldana (invented)"),
        ("patient.born", "31.2.1984"),
        ("patient.record", "TR-1"),
        ("visit.date", "03/12/2026"),
        ("visit.time", "half past two"),
        ("visit.practitioner", "m-varga"),
        ("product.name", "onabotulinumtoxinA"),
        ("product.diluent_ml", "2,5 ml"),
        ("area", "masseter"),
        ("area.masseter.side", "both"),
        ("area.masseter.units", "20 units"),
        ("area.masseter.round", "2nd"),
        ("fact.pregnant", "no"),
        ("fact.gum_shown_mm", "yes"),
        ("fact.facial_palsy", "yes"),
    ] {
        form.set(field, [text]);
    }
    for format in [Format::Toml, Format::Json] {
        let vocabulary = vocabulary();
        let text = write("", format, &form, &vocabulary).expect("a new plan");
        let source = SourceFile::from_bytes("plan", text.as_bytes(), format).expect("a text");
        let found = read_plan(&source, &vocabulary, None).expect_err("it is wrong");
        let mut fields: Vec<String> = found
            .iter()
            .map(|mistake| {
                beforehand::plan_form::field_of(&source, &mistake.path, &vocabulary)
                    .expect("a field")
            })
            .collect();
        fields.sort();
        assert_eq!(
            fields,
            [
                "area.masseter.round",
                "area.masseter.units",
                "fact.facial_palsy",
                "fact.gum_shown_mm",
                "patient.born",
                "product.diluent_ml",
                "visit.date",
                "visit.time",
            ],
            "{text}"
        );
        // nobody says who asked, so the fact stands under the patient
        let denied = if format == Format::Toml {
            "pregnant = false"
        } else {
            "\"pregnant\": false"
        };
        assert!(text.contains(denied), "{text}");
    }
}

#[test]
fn nothing_makes_an_empty_file() {
    let made = write("", Format::Toml, &PlanForm::new(), &vocabulary());
    assert_eq!(made.as_deref(), Ok(""));
}
