//! A form that says what its file says changes nothing; every key of a plan has a field.
//!
//! Must not: pass because a form is empty.

use std::collections::BTreeSet;

use beforehand::diagnose::Format;
use beforehand::plan::{SchemaWords, plan_schema};
use beforehand::plan_form::{NotReadable, PlanForm, mend, write};

use super::support::{form, of_tests, samples, source, vocabulary};

#[test]
fn a_form_that_says_the_same_changes_no_byte() {
    let mut fields = 0;
    for plan in samples().into_iter().chain(of_tests()) {
        let form = plan.form();
        fields += form.pairs().count();
        for mark in ["", "\u{feff}"] {
            let text = format!("{mark}{}", plan.text);
            let written = write(&text, plan.format, &form, &plan.vocabulary);
            assert_eq!(written.as_ref(), Ok(&text), "{}", plan.path.display());
        }
        let crlf = plan.text.replace('\n', "\r\n");
        let form = self::form(&crlf, plan.format, &plan.vocabulary);
        let written = write(&crlf, plan.format, &form, &plan.vocabulary);
        assert_eq!(written, Ok(crlf), "{}", plan.path.display());
    }
    assert!(fields > 3000, "only {fields} fields were read");
}

#[test]
fn what_cannot_be_taken_apart_is_told_of() {
    for (text, format) in [
        ("[patient\n", Format::Toml),
        ("born = 1984-02-31\n", Format::Toml),
        ("a = 1\na = 2\n", Format::Toml),
        ("{\"patient\": {}, \"patient\": {}}", Format::Json),
        ("{\"patient\": {\"name\": 1, \"name\": 2}}", Format::Json),
        ("[1]", Format::Json),
        ("{", Format::Json),
    ] {
        let vocabulary = vocabulary();
        let form = PlanForm::of(&source(text, format), &vocabulary);
        assert_eq!(form, Err(NotReadable), "{text}");
        let written = write(text, format, &PlanForm::new(), &vocabulary);
        assert_eq!(written, Err(NotReadable), "{text}");
    }
}

/// The schema is written from the table of keys that the reader has; a key that it gets, the form must get.
#[test]
fn every_key_of_a_plan_has_a_field() {
    let vocabulary = vocabulary();
    let words = SchemaWords {
        vocabulary: &vocabulary,
        clinic: None,
        names: Default::default(),
    };
    let schema = plan_schema(&words);
    let parts = schema["properties"].as_object().expect("parts");
    let facts: BTreeSet<&str> = vocabulary
        .facts
        .iter()
        .map(|fact| fact.id.as_str())
        .collect();
    let mut tried = 0;
    for (name, part) in parts.iter().filter(|(name, _)| *name != "$schema") {
        let (table, repeated) = match part.get("items") {
            Some(items) => (items, true),
            None => (part, false),
        };
        let keys = table["properties"].as_object().expect("keys");
        for key in keys.keys().filter(|key| !facts.contains(key.as_str())) {
            let value = match key.as_str() {
                "no" => "[\"pregnant\"]",
                "id" => "\"glabella\"",
                "large_print" => "true",
                _ => "\"something\"",
            };
            let heading = if repeated {
                format!("[[{name}]]")
            } else {
                format!("[{name}]")
            };
            let id = if name == "area" && key != "id" {
                "id = \"glabella\"\n"
            } else {
                ""
            };
            let text = format!("{heading}\n{id}{key} = {value}\n");
            let without = format!("{heading}\n{id}");
            let shown = form(&text, Format::Toml, &vocabulary);
            let other = form(&without, Format::Toml, &vocabulary);
            assert_ne!(shown, other, "no field shows {name}.{key}");
            tried += 1;
        }
    }
    assert!(tried > 45, "only {tried} keys were tried");
}

#[test]
fn a_wrong_value_stands_in_its_field_and_is_mended_there() {
    let base = "[patient]\nname = 2026 # so\nborn = \"1984-2-3\"\nrecord = \"\"\nlarge_print = \"yes\"\ngum_shown_mm = \"4\"\n\n\
                [[area]]\nid = \"masseter\"\nunits = \"20\"\n\n[[area]]\nid = \"masseter\"\n\n[[area]]\nunits = 3\n\n\
                [[event]]\nneeds = \"smile\"\n";
    let vocabulary = vocabulary();
    let form = form(base, Format::Toml, &vocabulary);
    let get = |field: &str| form.get(field);
    assert_eq!(get("patient.name"), Some("2026"));
    assert_eq!(get("patient.born"), Some("1984-2-3"));
    assert_eq!(get("patient.record"), None);
    assert_eq!(form.all("area"), ["masseter", "masseter#2", "#3"]);
    assert_eq!(get("area.masseter.units"), Some("20"));
    assert_eq!(get("area.#3.units"), Some("3"));
    assert_eq!(
        (get("fact.gum_shown_mm"), get("fact.gum_shown_mm.said")),
        (Some("yes"), Some("4"))
    );
    assert_eq!(
        write(base, Format::Toml, &form, &vocabulary).as_deref(),
        Ok(base)
    );
    let mended = mend(
        base,
        Format::Toml,
        [
            "patient.name",
            "patient.born",
            "patient.record",
            "patient.large_print",
            "fact.gum_shown_mm.said",
            "area.masseter.units",
            "event.0.needs",
        ],
        &vocabulary,
    );
    assert_eq!(
        mended.as_deref(),
        Ok(
            "[patient]\nname = \"2026\" # so\nborn = \"1984-2-3\"\nlarge_print = true\ngum_shown_mm = 4\n\n\
            [[area]]\nid = \"masseter\"\nunits = 20\n\n[[area]]\nid = \"masseter\"\n\n[[area]]\nunits = 3\n\n\
            [[event]]\nneeds = [\"smile\"]\n"
        )
    );
}
