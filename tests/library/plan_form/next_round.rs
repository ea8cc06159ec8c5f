//! What comes along from an earlier plan, and what must be asked again.
//!
//! Must not: let anything clinical through that nobody confirmed.

use beforehand::diagnose::Format;
use beforehand::plan::read_plan;
use beforehand::plan_form::{PlanForm, next_round, write};
use jiff::civil::date;

use super::support::{form, samples, source, vocabulary};

const EARLIER: &str = r#"
[patient]
name = "Ines Aldana (invented)"
born = 1984-02-11
record = "TR-1"
language = "es"
large_print = true
pregnant = false
facial_palsy = "left"
notes = "unknown to the form"

[asked]
on = 2026-05-01
by = "front desk"
no = ["smoking"]

[visit]
date = 2026-05-10
time = 10:00
informed_on = 2026-05-01
practitioner = "m-varga"
prescriber = "t-okello"
revision = 2

[product]
name = "onabotulinumtoxinA"
vial_units = 100
diluent_ml = 2.5
batch = "B-1"

[[area]]
id = "masseter"
side = "both"
units = 25
per = "side"
aim = "slimmer"
reason = "appearance"
round = 2
previous = 2025-11-02
stance = "advise-against"
stance_because = "so"

[[area]]
id = "glabella"
units = 4
per = "point"
points = 5

[[area]]
id = "mentalis"
units = 6
product = "abobotulinumtoxinA"

[[event]]
date = 2026-06-01
what = "wedding"

[[history]]
date = 2025-11-02
product = "onabotulinumtoxinA"
units = 50
areas = ["masseter"]

[[answer]]
to = "speech"
decision = "go-ahead"
because = "so"
by = "m-varga"
on = 2026-05-09
"#;

#[test]
fn only_who_and_what_to_begin_with_comes_along() {
    let earlier = form(EARLIER, Format::Toml, &vocabulary());
    let next = next_round(&earlier, date(2026, 11, 12));
    let pairs: Vec<String> = next
        .pairs()
        .map(|(field, text)| format!("{field} = {text}"))
        .collect();
    insta::assert_snapshot!(pairs.join("\n"));
}

#[test]
fn units_that_cannot_be_added_up_are_left_out() {
    let undecided = EARLIER.replace("points = 5\n", "");
    let next = next_round(
        &form(&undecided, Format::Toml, &vocabulary()),
        date(2026, 11, 12),
    );
    assert_eq!(next.get("history.0.units"), None);
    assert_eq!(next.get("history.1.units"), Some("6"));
}

/// Filled in by whoever treats, the next plan of every sample reads.
#[test]
fn the_next_plan_of_every_sample_reads() {
    for plan in samples() {
        let mut next = next_round(&plan.form(), date(2028, 1, 10));
        let facts = next
            .fields()
            .filter(|field| field.starts_with("fact."))
            .count();
        assert_eq!(facts, 0, "{}", plan.path.display());
        next.set("visit.practitioner", ["m-varga"]);
        let text = write("", Format::Toml, &next, &plan.vocabulary).expect("a new plan");
        let read = read_plan(&source(&text, Format::Toml), &plan.vocabulary, None);
        let is_right = read_plan(&plan.source(), &plan.vocabulary, None).is_ok();
        assert_eq!(read.is_ok(), is_right, "{}: {read:#?}", plan.path.display());
    }
    assert_eq!(
        next_round(&PlanForm::new(), date(2026, 1, 1))
            .pairs()
            .count(),
        1
    );
}
