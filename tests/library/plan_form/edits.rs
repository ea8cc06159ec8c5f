//! One change of a form changes that place of the file and no other.
//!
//! Must not: compare with a text that was written by the code under test, but where the text stands here in full.

use std::collections::BTreeMap;

use beforehand::diagnose::Format;
use beforehand::plan::FactKind;
use beforehand::plan_form::{PlanForm, settled, write};
use proptest::prelude::*;
use proptest::sample::{Index, select};

use super::support::{Plan, form, of_tests, remarks, samples, vocabulary};

/// What somebody does to one field.
#[derive(Debug, Clone)]
enum Edit {
    Empty,
    Type(String),
}

/// What somebody does to a form.
#[derive(Debug, Clone)]
enum Act {
    Field(Index, Edit),
    Fact(Index, Index, String),
    Untick(Index),
    Tick(Index, String),
    Drop(Index),
    Event(String, String),
}

fn typed() -> impl Strategy<Value = String> {
    prop_oneof![
        select(vec![
            "20",
            "2,5",
            "20 units",
            "1,000",
            "3 Dec 2026",
            "31.2.2026",
            "2026-12-03",
            "9.15",
            "2:30 pm",
            "yes",
            "true",
            "\"quoted\"",
            "back\\slash",
            "# no remark",
            "two\nlines",
            "left",
            "not-sure",
            "Åsa Öhrn",
            "[x]",
            "{ y = 1 }",
            "'single'",
            "\u{202e}turned",
            "tab\there",
            "0",
            "-3",
        ])
        .prop_map(str::to_owned),
        "[a-zA-Z0-9 .,:-]{1,12}",
        "\\PC{1,20}",
    ]
}

fn act() -> impl Strategy<Value = Act> {
    let edit = prop_oneof![Just(Edit::Empty), typed().prop_map(Edit::Type)];
    prop_oneof![
        4 => (any::<Index>(), edit).prop_map(|(at, edit)| Act::Field(at, edit)),
        3 => (any::<Index>(), any::<Index>(), typed()).prop_map(|(at, answer, said)| Act::Fact(at, answer, said)),
        1 => any::<Index>().prop_map(Act::Untick),
        1 => (any::<Index>(), typed()).prop_map(|(at, units)| Act::Tick(at, units)),
        1 => any::<Index>().prop_map(Act::Drop),
        1 => (typed(), typed()).prop_map(|(date, what)| Act::Event(date, what)),
    ]
}

/// Fields that a page has although the file says nothing there.
const EMPTY_FIELDS: &[&str] = &[
    "patient.language",
    "patient.large_print",
    "visit.time",
    "visit.informed_at",
    "visit.prescriber",
    "visit.prescriber_saw_on",
    "visit.revision",
    "product.vial_units",
    "product.diluent_ml",
    "product.formulation",
    "product.batch",
    "asked.on",
    "asked.by",
];
/// Parts of a plan that may stand in it more than once.
const REPEATED: [&str; 4] = ["answer", "area", "event", "history"];
const OF_AREA: &[&str] = &[
    "side",
    "units",
    "per",
    "points",
    "aim",
    "reason",
    "round",
    "previous",
    "last_time",
    "stance",
    "because",
    "product",
];

/// Every field that a page of this form has, but for facts.
fn fields(form: &PlanForm) -> Vec<String> {
    let own = form
        .fields()
        .filter(|field| *field != "area" && !field.starts_with("fact."));
    let mut fields: Vec<String> = own.map(str::to_owned).collect();
    fields.extend(EMPTY_FIELDS.iter().map(|field| (*field).to_owned()));
    for handle in form.all("area") {
        fields.extend(OF_AREA.iter().map(|key| format!("area.{handle}.{key}")));
    }
    for n in form.numbers("event") {
        fields.extend(["until", "needs"].map(|key| format!("event.{n}.{key}")));
    }
    for n in form.numbers("history") {
        fields.extend(
            ["reason", "product", "units", "areas"].map(|key| format!("history.{n}.{key}")),
        );
    }
    for n in form.numbers("answer") {
        fields.push(format!("answer.{n}.question"));
    }
    fields.sort();
    fields.dedup();
    fields
}

/// The form after somebody did that, and whether a whole entry went, with the remarks that belong to it.
fn after(plan: &Plan, form: &PlanForm, act: &Act) -> (PlanForm, bool) {
    let mut new = form.clone();
    let mut whole = false;
    match act {
        Act::Field(at, edit) => {
            let fields = fields(form);
            let field = at.get(&fields);
            match edit {
                Edit::Empty => new.set(field, None::<String>),
                Edit::Type(text) => new.set(field, [text.clone()]),
            }
            // the last field of an event that is emptied takes the event with it
            let entry = field.rsplit_once('.').map_or("", |(entry, _)| entry);
            let counted = ["event.", "history.", "answer."]
                .iter()
                .any(|part| entry.starts_with(part));
            whole = counted && new.part(entry).is_empty();
            whole |= field.starts_with("asked.");
        }
        Act::Fact(at, answer, said) => {
            if plan.vocabulary.facts.is_empty() {
                return (new, false);
            }
            let fact = at.get(&plan.vocabulary.facts);
            let answers = ["not-asked", "yes", "no", "not-sure", "left"];
            let answer = *answer.get(&answers);
            let field = format!("fact.{}", fact.id);
            new.set(&field, [answer]);
            let has_words = matches!(fact.kind, FactKind::Text | FactKind::Number);
            let said = (answer == "yes" && has_words).then(|| said.clone());
            new.set(&format!("{field}.said"), said);
        }
        Act::Untick(at) => {
            let ticked = form.all("area");
            if !ticked.is_empty() {
                let gone = at.get(ticked).clone();
                new.set(
                    "area",
                    ticked.iter().filter(|handle| **handle != gone).cloned(),
                );
                new.clear(&format!("area.{gone}"));
                whole = true;
            }
        }
        Act::Tick(at, units) => {
            let id = at.get(&plan.vocabulary.areas).id.to_string();
            let mut ticked = form.all("area").to_vec();
            if !ticked.contains(&id) {
                ticked.push(id.clone());
                new.set("area", ticked);
                new.set(&format!("area.{id}.units"), [units.clone()]);
            }
        }
        Act::Drop(at) => {
            let entries: Vec<String> = ["event", "history", "answer"]
                .iter()
                .flat_map(|part| {
                    form.numbers(part)
                        .into_iter()
                        .map(move |n| format!("{part}.{n}"))
                })
                .collect();
            if !entries.is_empty() {
                let gone: &String = at.get(&entries);
                new.clear(gone);
                whole = true;
            }
        }
        Act::Event(date, what) => {
            let n = form.numbers("event").last().map_or(0, |last| last + 1);
            new.set(&format!("event.{n}.date"), [date.clone()]);
            new.set(&format!("event.{n}.what"), [what.clone()]);
        }
    }
    (new, whole)
}

/// A form with its events, earlier treatments and answers counted anew from 0, and with areas that stand twice by their ids.
fn renumbered(form: &PlanForm) -> PlanForm {
    let mut out = form.clone();
    for part in ["event", "history", "answer"] {
        let numbers = form.numbers(part);
        numbers
            .iter()
            .for_each(|n| out.clear(&format!("{part}.{n}")));
        for (new, old) in numbers.iter().enumerate() {
            for (key, texts) in form.part(&format!("{part}.{old}")) {
                out.set(&format!("{part}.{new}.{key}"), texts.iter().cloned());
            }
        }
    }
    out
}

/// What a field means once it is written, where it is another than before.
fn meant(before: &PlanForm, new: &PlanForm, plan: &Plan) -> PlanForm {
    let all = settled(new, &plan.vocabulary);
    let mut out = all.clone();
    for field in new.fields() {
        // a fact and its words are one value
        let (fact, said) = (field.trim_end_matches(".said"), format!("{field}.said"));
        let same = [field, fact, &said]
            .iter()
            .all(|field| before.all(field) == new.all(field));
        if same && all.fields().any(|known| known == field) {
            out.set(field, new.all(field).iter().cloned());
        }
    }
    out
}

fn plans() -> Vec<Plan> {
    // areas that stand twice or have no name lose and gain their numbers; they are tried by hand below
    let is_plain = |plan: &Plan| !plan.form().pairs().any(|(_, text)| text.contains('#'));
    let plans = samples().into_iter().chain(of_tests());
    plans
        .filter(is_plain)
        .filter(|plan| plan.form().get("patient.name").is_some())
        .collect()
}

/// How many lines of a text are not in the other one, in their order.
fn lines_lost(old: &str, new: &str) -> usize {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    // the longest common subsequence, row by row
    let mut row = vec![0; new.len() + 1];
    for line in &old {
        let before = row.clone();
        for (at, other) in new.iter().enumerate() {
            row[at + 1] = match line == other {
                true => before[at] + 1,
                false => before[at + 1].max(row[at]),
            };
        }
    }
    old.len() - row[new.len()]
}

fn table(plan: &Plan, text: &str) -> serde_json::Value {
    match plan.format {
        Format::Toml => {
            let table: toml::Table = toml::from_str(text).expect("TOML");
            serde_json::to_value(table).expect("plain values")
        }
        Format::Json => serde_json::from_str(text).expect("JSON"),
    }
}

/// Everything outside the parts of a plan.
fn unknown(plan: &Plan, text: &str) -> BTreeMap<String, serde_json::Value> {
    let known = [
        "patient", "asked", "visit", "product", "area", "event", "history", "answer",
    ];
    let all = table(plan, text);
    let all = all.as_object().expect("a table").clone();
    all.into_iter()
        .filter(|(key, _)| !known.contains(&key.as_str()))
        .collect()
}

/// What the form does not know, part by part and entry by entry.
fn unknown_keys(plan: &Plan, text: &str) -> serde_json::Value {
    let mut all = table(plan, text);
    let facts: Vec<&str> = plan
        .vocabulary
        .facts
        .iter()
        .map(|fact| fact.id.as_str())
        .collect();
    let known = |key: &str| {
        OF_AREA.contains(&key)
            || facts.contains(&key)
            || EMPTY_FIELDS
                .iter()
                .any(|field| field.rsplit('.').next() == Some(key))
            || [
                "name",
                "born",
                "record",
                "on",
                "by",
                "no",
                "date",
                "informed_on",
                "practitioner",
                "id",
                "stance_because",
                "until",
                "what",
                "needs",
                "areas",
                "to",
                "question",
                "decision",
                "because",
            ]
            .contains(&key)
    };
    let strip = |part: &mut serde_json::Value| {
        if let Some(table) = part.as_object_mut() {
            table.retain(|key, _| !known(key));
        }
    };
    for (name, part) in all.as_object_mut().expect("a table") {
        // a second entry makes of a table the list that it stands for
        if REPEATED.contains(&name.as_str()) && part.is_object() {
            *part = serde_json::Value::Array(vec![part.take()]);
        }
        match part {
            serde_json::Value::Array(items) => items.iter_mut().for_each(strip),
            part => strip(part),
        }
    }
    // a part or an entry in which nothing is unknown is none
    let is_none = |part: &serde_json::Value| match part {
        serde_json::Value::Object(table) => table.is_empty(),
        serde_json::Value::Array(items) => items.is_empty(),
        _ => false,
    };
    for part in all.as_object_mut().expect("a table").values_mut() {
        if let serde_json::Value::Array(items) = part {
            items.retain(|item| !is_none(item));
        }
    }
    all.as_object_mut()
        .expect("a table")
        .retain(|_, part| !is_none(part));
    all
}

/// Plans that are damaged in some place, most of them still TOML: whatever is written says what the form says, or nothing is written.
#[test]
fn a_damaged_plan_is_changed_safely_or_not_at_all() {
    let plans = plans();
    let pieces = [
        "\n",
        "\r\n",
        "#",
        "# x\n",
        "[",
        "]",
        "[[area]]\n",
        "[patient.more]\nx = 1\n",
        "\"",
        "'",
        "é",
        "{",
        "}",
        ",",
        ".",
        "=",
        "x = 1\n",
        "extra = [1, # why\n 2]\n",
        "\"\"\"",
        " ",
        "\t",
        "\u{feff}",
        "[[event]]\n",
        "area = []\n",
        "a.b = 2\n",
        "  ",
        "0",
        "-",
    ];
    let damage = (any::<Index>(), 0_usize..3, select(pieces.to_vec()));
    let config = ProptestConfig {
        cases: 1000,
        failure_persistence: None,
        ..ProptestConfig::default()
    };
    let (written, left) = (std::cell::Cell::new(0), std::cell::Cell::new(0));
    proptest!(config, |(which in any::<Index>(), damage in proptest::collection::vec(damage, 1..4), act in act())| {
        let plan: &Plan = which.get(&plans);
        let mut text = plan.text.clone();
        for (at, cut, piece) in damage {
            let places: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
            let start = at.index(places.len());
            let (from, to) = (places[start], places.get(start + cut).copied().unwrap_or(text.len()));
            text.replace_range(from..to, piece);
        }
        let text = text.trim_start_matches('\u{feff}').to_owned();
        let damaged = Plan { path: plan.path.clone(), text, format: plan.format, vocabulary: plan.vocabulary.clone() };
        let Ok(before) = PlanForm::of(&damaged.source(), &damaged.vocabulary) else {
            return Ok(());
        };
        let same = write(&damaged.text, damaged.format, &before, &damaged.vocabulary);
        prop_assert_eq!(same.as_ref(), Ok(&damaged.text));
        let (new, whole) = after(&damaged, &before, &act);
        match write(&damaged.text, damaged.format, &new, &damaged.vocabulary) {
            Ok(text) => {
                written.set(written.get() + 1);
                if !whole {
                    prop_assert_eq!(unknown_keys(&damaged, &text), unknown_keys(&damaged, &damaged.text), "{}", text);
                }
            }
            Err(_) => left.set(left.get() + 1),
        }
    });
    assert!(
        written.get() > 20 * left.get(),
        "{} written, {} left to hands",
        written.get(),
        left.get()
    );
}

#[test]
fn one_change_reads_back_and_nothing_else_moves() {
    let plans = plans();
    assert!(plans.len() > 100, "{} plans", plans.len());
    let config = ProptestConfig {
        cases: 600,
        failure_persistence: None,
        ..ProptestConfig::default()
    };
    proptest!(config, |(which in any::<Index>(), act in act())| {
        let plan = which.get(&plans);
        let before = plan.form();
        let (new, whole) = after(plan, &before, &act);
        let Ok(text) = write(&plan.text, plan.format, &new, &plan.vocabulary) else {
            // only a file that is written in a way nobody writes a plan may be left to hands
            prop_assert!(false, "{} was not written: {:?}", plan.path.display(), act);
            unreachable!();
        };
        let again = form(&text, plan.format, &plan.vocabulary);
        prop_assert_eq!(&again, &renumbered(&meant(&before, &new, plan)), "{}\n{}", plan.path.display(), &text);
        prop_assert_eq!(unknown(plan, &text), unknown(plan, &plan.text));
        if plan.format == Format::Toml && !whole {
            let (old, new) = (remarks(&plan.text), remarks(&text));
            let lost = old.iter().find(|remark| !new.contains(remark));
            prop_assert!(lost.is_none(), "{}: lost {:?}\n{}", plan.path.display(), lost, text);
            prop_assert!(lines_lost(&plan.text, &text) <= 3, "{}\n{}", plan.path.display(), text);
        }
        // and the same form changes nothing more
        prop_assert_eq!(write(&text, plan.format, &again, &plan.vocabulary), Ok(text.clone()));
    });
}

/// Any number of changes one after the other, and all of them back again: the plan says what it said.
#[test]
fn changes_that_are_taken_back_leave_the_plan_as_it_was_read() {
    let plans = samples();
    let config = ProptestConfig {
        cases: 150,
        failure_persistence: None,
        ..ProptestConfig::default()
    };
    proptest!(config, |(which in any::<Index>(), acts in proptest::collection::vec(act(), 1..6))| {
        let plan = which.get(&plans);
        let first = plan.form();
        let mut text = plan.text.clone();
        for act in &acts {
            let now = form(&text, plan.format, &plan.vocabulary);
            let (new, _) = after(plan, &now, act);
            let written = write(&text, plan.format, &new, &plan.vocabulary);
            prop_assert!(written.is_ok(), "{:?}\n{}", act, text);
            text = written.expect("asserted");
        }
        let back = write(&text, plan.format, &first, &plan.vocabulary);
        prop_assert!(back.is_ok(), "back\n{}", text);
        let back = back.expect("asserted");
        let mut again = form(&back, plan.format, &plan.vocabulary);
        // an area that was taken out and put back stands last
        let sorted = |form: &PlanForm| {
            let mut areas = form.all("area").to_vec();
            areas.sort();
            areas
        };
        prop_assert_eq!(sorted(&again), sorted(&first));
        again.set("area", first.all("area").iter().cloned());
        prop_assert_eq!(again, first);
    });
}

fn edited(base: &str, sets: &[(&str, &[&str])]) -> String {
    let vocabulary = vocabulary();
    let mut form = form(base, Format::Toml, &vocabulary);
    for (field, texts) in sets {
        form.set(field, texts.iter().copied());
    }
    write(base, Format::Toml, &form, &vocabulary).expect("it can be changed")
}

const BASE: &str = "\
# Invented. What stands at the top is about the file.

[patient]
name   = 'Ines Aldana'          # as on the record
born = 1984-02-11
record = \"TR-1\"
speaks_publicly = true          # the news
notes = \"nobody knows this key\"

[asked]
on = 2026-11-26
by = \"front desk\"
no = [
    \"pregnant\", \"breastfeeding\", \"myasthenia_gravis\",
    # asked twice
    \"dry_eye\", \"smoking\",
]

[visit]
date = 2026-12-03
practitioner = \"m-varga\"

[product]
name = \"onabotulinumtoxinA\"

# --- areas ---

# the one that matters
[[area]]
id = \"orbicularis-oris\"
units = 6                       # low

[[area]]
id = \"glabella\"
units = 20
# a remark below its last line

# --- diary ---

[[event]]
date = 2026-12-19
what = \"live programme\"
needs = [\"speech\"]
";

#[test]
fn places_are_changed_where_they_stand() {
    let text = edited(
        BASE,
        &[
            ("patient.name", &["Ines \"Q\" Aldana"]),
            ("patient.record", &[]),
            ("patient.language", &["es"]),
            ("visit.time", &["2:30 pm"]),
            ("visit.date", &["4 de diciembre de 2026"]),
            ("area.orbicularis-oris.units", &["5,5"]),
            ("area.glabella.units", &["20 units"]),
            ("event.0.needs", &["speech", "smile"]),
        ],
    );
    let wanted = BASE
        .replace("'Ines Aldana' ", "\"Ines \\\"Q\\\" Aldana\" ")
        .replace("record = \"TR-1\"\n", "language = \"es\"\n")
        .replace("2026-12-03\n", "2026-12-04\ntime = 14:30\n")
        .replace("units = 6 ", "units = 5.5 ")
        .replace("units = 20\n", "units = \"20 units\"\n")
        .replace("[\"speech\"]", "[\"speech\", \"smile\"]");
    assert_eq!(text, wanted);
}

#[test]
fn facts_stay_where_the_file_has_them() {
    let text = edited(
        BASE,
        &[
            ("fact.speaks_publicly", &["no"]),
            ("fact.breastfeeding", &["yes"]),
            ("fact.smoking", &["not-asked"]),
            ("fact.singing", &["no"]),
            ("fact.heart_disease", &["no"]),
            ("fact.keloid_tendency", &["not-sure"]),
            ("fact.facial_palsy", &["left"]),
            ("fact.gum_shown_mm", &["yes"]),
            ("fact.gum_shown_mm.said", &["4"]),
        ],
    );
    let wanted = BASE
        .replace("speaks_publicly = true ", "speaks_publicly = false ")
        .replace(
            "notes = \"nobody knows this key\"\n",
            "notes = \"nobody knows this key\"\nbreastfeeding = true\nkeloid_tendency = \"not-sure\"\nfacial_palsy = \"left\"\ngum_shown_mm = 4\n",
        )
        .replace("\"pregnant\", \"breastfeeding\", \"myasthenia_gravis\"", "\"pregnant\", \"myasthenia_gravis\"")
        .replace("    \"dry_eye\", \"smoking\",\n", "    \"dry_eye\", \"singing\", \"heart_disease\",\n");
    let same_lines = |text: &str| {
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        lines.sort();
        lines
    };
    // which of several new facts comes first is the catalogue's order
    assert_eq!(same_lines(&text), same_lines(&wanted), "{text}");
}

#[test]
fn a_removed_area_takes_its_own_remarks_and_no_other() {
    let without_second = edited(BASE, &[("area", &["orbicularis-oris"])]);
    let wanted = BASE.replace(
        "[[area]]\nid = \"glabella\"\nunits = 20\n# a remark below its last line\n\n",
        "",
    );
    assert_eq!(without_second, wanted);
    let without_first = edited(BASE, &[("area", &["glabella"])]);
    let wanted = BASE.replace(
        "# the one that matters\n[[area]]\nid = \"orbicularis-oris\"\nunits = 6                       # low\n\n",
        "",
    );
    assert_eq!(without_first, wanted);
    let without_event = edited(
        BASE,
        &[
            ("event.0.date", &[]),
            ("event.0.what", &[]),
            ("event.0.needs", &[]),
        ],
    );
    let wanted = BASE.split("\n[[event]]").next().expect("a head");
    assert_eq!(without_event, wanted);
}

#[test]
fn a_new_area_comes_behind_the_last_one() {
    let text = edited(
        BASE,
        &[
            ("area", &["orbicularis-oris", "glabella", "masseter"]),
            ("area.masseter.side", &["both"]),
            ("area.masseter.units", &["50"]),
            ("area.platysma.units", &["not ticked, so not there"]),
        ],
    );
    let wanted = BASE.replace(
        "# a remark below its last line\n",
        "# a remark below its last line\n\n[[area]]\nid = \"masseter\"\nside = \"both\"\nunits = 50\n",
    );
    assert_eq!(text, wanted);
}

#[test]
fn a_remark_behind_a_value_that_goes_stays() {
    let text = edited(BASE, &[("area.orbicularis-oris.units", &[])]);
    assert_eq!(
        text,
        BASE.replace("units = 6                       # low\n", "# low\n")
    );
}

/// Plans need not look like our samples.
#[test]
fn other_ways_of_writing_are_kept() {
    let inline = "patient = { name = \"I\", born = 1984-02-11 }\nvisit.date = 2026-12-03\nvisit.practitioner = \"m\"\n\
                  area = [\n  { id = \"glabella\", units = 20 },\n  { id = \"masseter\" },\n]\nevent = []\n";
    let text = edited(
        inline,
        &[
            ("patient.record", &["R"]),
            ("patient.name", &[]),
            ("visit.time", &["9:15"]),
            ("area", &["masseter", "forehead"]),
            ("area.masseter.units", &["50"]),
            ("area.forehead.units", &["10"]),
            ("fact.singing", &["no"]),
        ],
    );
    let table: toml::Table = toml::from_str(&text).expect("TOML");
    let value = serde_json::to_value(&table).expect("plain values");
    assert_eq!(value["patient"]["record"], "R", "{text}");
    assert_eq!(value["patient"]["singing"], false);
    assert!(value["patient"].get("name").is_none());
    assert_eq!(value["area"][0]["id"], "masseter");
    assert_eq!(value["area"][0]["units"], 50);
    assert_eq!(value["area"][1]["units"], 10);
    assert!(
        text.contains("visit.date = 2026-12-03\nvisit.time = 09:15\nvisit.practitioner"),
        "{text}"
    );

    let single = "[patient]\nname = \"I\"\n\n[area]\nid = \"glabella\"";
    let text = edited(single, &[("area", &["glabella", "forehead"])]);
    assert_eq!(
        text,
        "[patient]\nname = \"I\"\n\n[[area]]\nid = \"glabella\"\n\n[[area]]\nid = \"forehead\"\n"
    );

    let windows = BASE.replace('\n', "\r\n");
    let text = edited(
        &windows,
        &[
            ("visit.time", &["9.15"]),
            ("area", &["glabella", "masseter"]),
        ],
    );
    assert_eq!(
        text.matches('\n').count(),
        text.matches("\r\n").count(),
        "{text}"
    );
    assert!(text.contains("date = 2026-12-03\r\ntime = 09:15\r\n"));
    assert!(
        text.contains("\r\n\r\n[[area]]\r\nid = \"masseter\"\r\n"),
        "{text}"
    );
}

#[test]
fn an_area_that_stands_twice_can_be_taken_out_once() {
    let base = "[[area]]\nid = \"masseter\"\nunits = 1\n\n[[area]]\nid = \"masseter\"\nunits = 2\n\n[[area]]\nunits = 3\n";
    assert_eq!(
        edited(base, &[("area", &["masseter"])]),
        "[[area]]\nid = \"masseter\"\nunits = 1\n"
    );
    assert_eq!(
        edited(base, &[("area", &["masseter#2"])]),
        "[[area]]\nid = \"masseter\"\nunits = 2\n"
    );
}

#[test]
fn json_keeps_its_order_and_what_the_form_does_not_know() {
    let base = "{\n  \"$schema\": \"plan.schema.json\",\n  \"visit\": {\"date\": \"2026-12-03\", \"room\": 4.0},\n  \"patient\": {\"name\": \"I\", \"singing\": true},\n  \"area\": [{\"units\": 4.50, \"id\": \"glabella\"}]\n}\n";
    let vocabulary = vocabulary();
    let mut form = form(base, Format::Json, &vocabulary);
    form.set("visit.time", ["9:15"]);
    form.set("visit.date", ["4 Dec 2026"]);
    form.set("fact.singing", ["not-sure"]);
    form.set("area", ["glabella", "forehead"]);
    form.set("area.forehead.units", ["2,5"]);
    form.set("event.0.what", ["x"]);
    let text = write(base, Format::Json, &form, &vocabulary).expect("it can be changed");
    let wanted = r#"{
  "$schema": "plan.schema.json",
  "visit": {
    "date": "2026-12-04",
    "time": "09:15",
    "room": 4.0
  },
  "patient": {
    "name": "I",
    "singing": "not-sure"
  },
  "area": [
    {
      "units": 4.5,
      "id": "glabella"
    },
    {
      "id": "forehead",
      "units": 2.5
    }
  ],
  "event": [
    {
      "what": "x"
    }
  ]
}
"#;
    assert_eq!(text, wanted);
}
