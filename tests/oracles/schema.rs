//! Turns every sample and every mistake file into a case for PyPI jsonschema: right files pass the schema, mistakes of shape fail.
//!
//! Invariant: what the schema lets through is listed here with the reason, and nothing else may be.
//! Must not: pass in CI when the referee is missing, or skip a file that can be read as data.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use beforehand::plan::{SchemaWords, clinic_schema, plan_schema};
use serde_json::{Value, json};

use crate::support::{plan_reader, referee};

/// Mistake files that no schema can refuse, by why. A file of this folder that is not here must fail.
const BEYOND_A_SCHEMA: &[(&str, &[&str])] = &[
    (
        "how dates follow on each other is judged by the reader alone",
        &[
            "answer_after_visit.toml",
            "asked_after_visit.toml",
            "asked_before_birth.toml",
            "clock_skipped.toml",
            "event_before_visit.toml",
            "event_ends_before.toml",
            "event_far_off.toml",
            "history_after_visit.toml",
            "history_month_of_later.toml",
            "implausible_age.toml",
            "informed_after_visit.toml",
            "informed_at_after_visit.toml",
            "informed_before_birth.toml",
            "prescriber_saw_after.toml",
            "previous_before_birth.toml",
            "previous_on_visit.toml",
            "visit_before_birth.toml",
            "visit_far_off.toml",
        ],
    ),
    (
        "whether a month has that day is a matter of the calendar",
        &["date.json", "date_text.toml"],
    ),
    (
        "one entry decides what another may be",
        &[
            "area_twice.toml",
            "asked_told_and_denied.toml",
            "clinic_practitioner_twice.toml",
            "clinic_licence_twice.toml",
            "clinic_translation_of_nothing.toml",
            "clinic_translation_twice.toml",
            "clinic_stock_twice.toml",
            "informed_at_alone.toml",
            "last_time_of_first.toml",
            "per_side_midline.toml",
            "points_missing.toml",
            "side_missing.toml",
            "side_not_allowed.toml",
            "units_missing.toml",
        ],
    ),
    (
        "how many units are a slip depends on product, side and points",
        &[
            "units_absurd.toml",
            "units_absurd_by_point.toml",
            "units_absurd_by_side.toml",
            "units_absurd_history.toml",
        ],
    ),
    (
        "it depends on the clinic file that is read beside it",
        &["zoneless_time.toml"],
    ),
    (
        "what the characters of a text are",
        &[
            "answer_malformed_question.toml",
            "clinic_id.toml",
            "clinic_phone.toml",
            "forbidden.json",
            "forbidden_bom_inside.json",
            "forbidden_escaped.toml",
            "forbidden_in_multiline.toml",
            "forbidden_newline.toml",
            "forbidden_override.toml",
            "forbidden_private_use.toml",
        ],
    ),
    (
        "what a name of a file or folder leads to",
        &["clinic_fonts.toml"],
    ),
    (
        "the script of a language is negotiated",
        &["language_script.toml"],
    ),
    (
        "readers of JSON keep the last of two entries of one name",
        &["duplicate.json"],
    ),
];

/// Mistake files that are no data, so that no schema is asked: TOML or JSON refuses them, or JSON has no such number.
const NO_DATA: &[&str] = &[
    "comment.json",
    "date_bare.toml",
    "date_month.toml",
    "date_short.toml",
    "date_slashes.toml",
    "duplicate_heading.toml",
    "duplicate_inline.toml",
    "duplicate_key.toml",
    "forbidden_raw_control.toml",
    "history_month_bare.toml",
    "loose_word.json",
    "missing_comma.json",
    "slip_colon.toml",
    "slip_curly_list.toml",
    "slip_decimal_comma.toml",
    "slip_odd_space.toml",
    "slip_remark.toml",
    "slip_table_row.toml",
    "slip_unit_behind_number.toml",
    "syntax_backslash.toml",
    "syntax_comma.toml",
    "syntax_curly_quotes.toml",
    "syntax_heading.toml",
    "syntax_leading_zero.toml",
    "syntax_list_never_closed.toml",
    "syntax_many_at_once.toml",
    "syntax_no_equals.toml",
    "syntax_no_quotes.toml",
    "syntax_no_value.toml",
    "syntax_open_quote.toml",
    "syntax_yes.toml",
    "time_bare.toml",
    "time_pm.toml",
    "trailing_comma.json",
    "unclosed.json",
    "units_huge.json",
    "units_inf.toml",
    "units_nan.toml",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The data of a file as a schema sees it: dates and times of TOML are texts. None when it is no data.
fn data(path: &Path) -> Option<Value> {
    let text = std::fs::read_to_string(path).expect("a file of this repository");
    if path.extension().is_some_and(|ending| ending == "json") {
        return serde_json::from_str(&text).ok();
    }
    as_json(toml::Value::Table(text.parse().ok()?))
}

fn as_json(value: toml::Value) -> Option<Value> {
    Some(match value {
        toml::Value::String(text) => json!(text),
        toml::Value::Integer(number) => json!(number),
        toml::Value::Float(number) if number.is_finite() => json!(number),
        toml::Value::Float(_) => return None,
        toml::Value::Boolean(flag) => json!(flag),
        toml::Value::Datetime(moment) => json!(moment.to_string()),
        toml::Value::Array(items) => {
            Value::Array(items.into_iter().map(as_json).collect::<Option<Vec<_>>>()?)
        }
        toml::Value::Table(table) => Value::Object(
            table
                .into_iter()
                .map(|(key, value)| Some((key, as_json(value)?)))
                .collect::<Option<_>>()?,
        ),
    })
}

/// What the judge says of each case: no line when it passes.
fn judged(python: &Path, cases: &[(String, Value, Value)]) -> BTreeMap<String, Vec<Value>> {
    let mut judge = Command::new(python)
        .arg("-B")
        .arg(root().join("tests/referee/schema.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the judge starts");
    let lines: String = cases
        .iter()
        .map(|(_, schema, data)| format!("{}\n", json!({ "schema": schema, "data": data })))
        .collect();
    let mut input = judge.stdin.take().expect("a pipe was asked for");
    let writer = std::thread::spawn(move || input.write_all(lines.as_bytes()));
    let output = judge.wait_with_output().expect("the judge ends");
    // what it could not read to its end is shown by the answers it did not give
    let _ = writer.join();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let answers: Vec<Vec<Value>> = String::from_utf8(output.stdout)
        .expect("UTF-8")
        .lines()
        .map(|line| serde_json::from_str(line).expect("a list of errors"))
        .collect();
    assert_eq!(answers.len(), cases.len(), "one answer for each case");
    let names = cases.iter().map(|(name, ..)| name.clone());
    names.zip(answers).collect()
}

fn schema_of(arguments: &[&str]) -> Value {
    let output = Command::new(env!("CARGO_BIN_EXE_beforehand"))
        .current_dir(root())
        .arg("schema")
        .args(arguments)
        .output()
        .expect("the program was built before its tests");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).expect("JSON")
}

fn samples() -> Vec<PathBuf> {
    let mut found = Vec::new();
    for clinic in std::fs::read_dir(root().join("samples")).expect("the samples") {
        let Ok(files) = std::fs::read_dir(clinic.expect("an entry").path()) else {
            continue;
        };
        let files = files.map(|file| file.expect("an entry").path());
        found.extend(files.filter(|path| {
            let text = path.to_string_lossy();
            text.ends_with(".toml") || (text.ends_with(".json") && !text.contains(".schema."))
        }));
    }
    found.sort();
    found
}

#[test]
fn every_sample_passes_the_schema_of_its_clinic_and_of_the_release() {
    let Some(python) = referee::python("jsonschema") else {
        return;
    };
    let mut cases = Vec::new();
    for path in samples() {
        let clinic = path.with_file_name("clinic.toml");
        let clinic = clinic.to_str().expect("ASCII");
        let file = if path.ends_with("clinic.toml") {
            "clinic"
        } else {
            "plan"
        };
        let name = path.display().to_string();
        let data = data(&path).expect("a sample is data");
        let own = schema_of(&[file, "--clinic", clinic]);
        cases.push((format!("{name} of its clinic"), own, data.clone()));
        // areas that only this clinic has are no words of the release
        if !clinic.contains("rowan-quay") {
            cases.push((name, schema_of(&[file]), data));
        }
    }
    assert!(cases.len() > 30, "only {} cases", cases.len());
    for (name, errors) in judged(&python, &cases) {
        assert!(errors.is_empty(), "{name}: {errors:#?}");
    }
}

/// The areas of one clinic are refused by the schema of the release, and by that of another clinic.
#[test]
fn areas_of_a_clinic_are_in_its_own_schema_only() {
    let Some(python) = referee::python("jsonschema") else {
        return;
    };
    let plan = data(&root().join("samples/rowan-quay/smile-balance.toml")).expect("data");
    let cases = [
        ("release".to_owned(), schema_of(&["plan"]), plan.clone()),
        (
            "another".to_owned(),
            schema_of(&["plan", "--clinic", "samples/linden-court/clinic.toml"]),
            plan,
        ),
    ];
    for (name, errors) in judged(&python, &cases) {
        assert!(!errors.is_empty(), "{name}: a foreign area passes");
    }
}

#[test]
fn every_structural_mistake_fails() {
    let Some(python) = referee::python("jsonschema") else {
        return;
    };
    let (vocabulary, clinic) = (plan_reader::vocabulary(), plan_reader::clinic());
    let words = SchemaWords {
        vocabulary: &vocabulary,
        clinic: Some(&clinic),
        names: BTreeMap::new(),
    };
    let (plan, clinic) = (plan_schema(&words), clinic_schema(&words));
    let mut cases = Vec::new();
    let mut no_data = BTreeSet::new();
    for entry in std::fs::read_dir(root().join("tests/mistakes")).expect("the folder of cases") {
        let path = entry.expect("a case").path();
        let name = path
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        if !name.ends_with(".toml") && !name.ends_with(".json") {
            continue;
        }
        let schema = if name.starts_with("clinic") {
            &clinic
        } else {
            &plan
        };
        match data(&path) {
            Some(data) => cases.push((name, schema.clone(), data)),
            None => {
                no_data.insert(name);
            }
        }
    }
    // the files the mistakes were made in are right
    for (name, schema) in [
        ("plan.toml", &plan),
        ("plan.json", &plan),
        ("clinic.toml", &clinic),
    ] {
        let right = data(&root().join("tests/plan_good").join(name)).expect("data");
        cases.push((format!("right {name}"), schema.clone(), right));
    }
    let answers = judged(&python, &cases);
    let passed: BTreeSet<&str> = answers
        .iter()
        .filter(|(_, errors)| errors.is_empty())
        .map(|(name, _)| name.as_str())
        .collect();
    let right = ["right plan.toml", "right plan.json", "right clinic.toml"];
    let beyond = BEYOND_A_SCHEMA.iter().flat_map(|(_, files)| files.iter());
    let expected: BTreeSet<&str> = beyond.copied().chain(right).collect();
    let let_through: Vec<_> = passed.difference(&expected).collect();
    let refused: Vec<_> = expected.difference(&passed).collect();
    assert!(
        let_through.is_empty() && refused.is_empty(),
        "let through: {let_through:#?}\nlisted as beyond a schema, but refused: {refused:#?}"
    );
    let no_data: Vec<&str> = no_data.iter().map(String::as_str).collect();
    assert_eq!(no_data, NO_DATA);
    assert!(
        answers.len() > passed.len() + 50,
        "few mistakes were judged"
    );
}
