//! What the practitioner's page must show: every question with its boxes, every side in words, what nobody asked, every reason to stop.
//!
//! Must not: lay out pages; the sheet is looked at as it is composed.

use beforehand::catalogue::Level;
use beforehand::compose::Block;
use beforehand::compose::check_parts::CheckPart;
use beforehand::paper::PaperKind;
use beforehand::select::Selection;
use beforehand::wording::rich;

use crate::support::composed::composed;
use crate::support::{ClinicFile, Plan};

fn with(plan: &Plan, look: impl FnOnce(&Selection<'_>, &[CheckPart])) {
    let clinic = ClinicFile::at("US").read();
    let visit = plan.read(&clinic);
    composed(
        PaperKind::CheckSheet,
        &clinic,
        &visit,
        |selection, document| {
            let parts = document.blocks.iter().filter_map(|block| match block {
                Block::Check(part) => Some(part.clone()),
                _ => None,
            });
            look(selection, &parts.collect::<Vec<_>>());
        },
    );
}

fn lip(side: &str) -> Plan {
    Plan {
        facts: "facial_palsy = \"left\"\nspeaks_publicly = true".to_owned(),
        area: format!(
            "id = \"depressor-labii-inferioris\"\nside = \"{side}\"\nunits = 4\nreason = \"asymmetry\""
        ),
        ..Plan::default()
    }
}

#[test]
fn every_question_has_a_row_with_three_empty_boxes() {
    with(&lip("right"), |selection, parts| {
        let asks = selection.cautions.iter().filter(|c| c.level == Level::Ask);
        let asks = asks.count();
        assert!(asks >= 3, "{:?}", selection.cautions);
        let decide = parts.iter().find_map(|part| match part {
            CheckPart::Decide { rows, choices, .. } => Some((rows, choices)),
            _ => None,
        });
        let (rows, choices) = decide.expect("rows to decide");
        assert_eq!((rows.len(), choices.len()), (asks, 3));
        assert!(rows.iter().all(|row| row.answer.is_none()));
        let CheckPart::Head { status, .. } = &parts[0] else {
            panic!("the sheet begins with its head: {parts:?}");
        };
        let status = status.as_ref().expect("a status");
        assert_eq!(status.number, asks.to_string());
    });
}

#[test]
fn the_side_is_said_in_words_on_its_row() {
    for (side, said) in [("left", "patient’s LEFT"), ("right", "patient’s RIGHT")] {
        with(&lip(side), |_, parts| {
            let rows = parts.iter().find_map(|part| match part {
                CheckPart::Doses { rows, .. } => Some(rows),
                _ => None,
            });
            let rows = rows.expect("a table of doses");
            assert_eq!(rows.len(), 1);
            assert_eq!((&*rows[0].side, &*rows[0].units), (said, "4"));
            assert_eq!(rows[0].muscles, "depressor labii inferioris");
        });
    }
}

/// What does not fit is counted, so that nobody takes the list for all of it.
#[test]
fn what_nobody_asked_is_shown_strictest_first_and_the_rest_counted() {
    with(&lip("right"), |selection, parts| {
        let shown = parts.iter().find_map(|part| match part {
            CheckPart::Asked {
                rows, more, first, ..
            } => Some((rows, more, *first)),
            _ => None,
        });
        let (rows, more, first) = shown.expect("something was not asked");
        let left = selection.not_asked.len() - rows.len();
        // fewer on the first page where there is more to decide, and always two lines of two
        assert!((4..=8).contains(&first) && left > 0, "{first}");
        assert!(more.starts_with(&format!("{left} more")), "{more}");
        // whatever could forbid the treatment is on the sheet itself, on its second page at the latest
        let could_stop = selection.not_asked.iter();
        let could_stop = could_stop.filter(|open| open.level == Level::Stop);
        let could_stop: Vec<&str> = could_stop.map(|open| open.fact.as_str()).collect();
        assert!(could_stop.len() > first, "{could_stop:?}");
        // so is trouble with swallowing and breathing, and toxin before, which need not forbid it
        let always = [
            "Trouble swallowing",
            "Food or drink",
            "Trouble breathing",
            "Had botulinum toxin before",
        ];
        for label in always {
            assert!(
                rows.iter().any(|row| row.starts_with(label)),
                "{label}: {rows:?}"
            );
        }
        let not_stops = rows.len() - could_stop.len();
        assert!((1..=always.len()).contains(&not_stops), "{rows:?}");
        assert!(rows.iter().any(|row| row.starts_with("Allergy to toxin")));
        // the first of those that could forbid the treatment
        assert_eq!(rows[0], "Pregnant");
        let first = selection.not_asked.iter().map(|open| open.level).max();
        assert_eq!(first, Some(Level::Stop));
    });
}

#[test]
fn a_stopped_visit_gets_its_reasons_and_nothing_to_sign() {
    let plan = Plan {
        facts: "pregnant = true\nallergy_to_toxin_or_ingredient = true".to_owned(),
        ..Plan::default()
    };
    with(&plan, |selection, parts| {
        let stops = selection.stops().count();
        assert!(stops >= 2, "{:?}", selection.cautions);
        let [CheckPart::Stop { .. }, CheckPart::Reasons { rows }] = parts else {
            panic!("only why it is stopped: {parts:?}");
        };
        let numbers: Vec<&str> = rows.iter().map(|row| row.number.as_str()).collect();
        let wanted: Vec<String> = (1..=stops).map(|number| number.to_string()).collect();
        assert_eq!(numbers, wanted);
        assert!(rows.iter().all(|row| !row.mend.is_empty()), "{rows:?}");
    });
}

/// What to do about a note stands in its later sentences: that a medicine is not to be stopped, that sooner is not the label.
#[test]
fn what_is_to_be_kept_in_mind_is_said_whole() {
    let plan = Plan {
        facts: "anticoagulant_or_antiplatelet = true".to_owned(),
        area: "id = \"orbicularis-oris\"\nside = \"both\"\nunits = 6".to_owned(),
        ..Plan::default()
    };
    with(&plan, |_, parts| {
        let notes = parts.iter().find_map(|part| match part {
            CheckPart::Decide { notes, .. } => Some(notes.join("\n")),
            _ => None,
        });
        let notes = notes.expect("something to keep in mind");
        for said in [
            "must not be stopped without the prescriber",
            "Record why, if you plan it sooner.",
        ] {
            assert!(notes.contains(said), "{said}: {notes}");
        }
    });
}

/// With two products in the room, a row that does not name its own is an invitation to mix them up.
#[test]
fn of_several_products_each_area_names_its_own() {
    let second = "[[area]]\nid = \"glabella\"\nunits = 20\nproduct = \"incobotulinumtoxinA\"\n";
    for (rest, named) in [("", false), (second, true)] {
        let plan = Plan {
            rest: rest.to_owned(),
            ..Plan::default()
        };
        with(&plan, |_, parts| {
            let rows = parts.iter().find_map(|part| match part {
                CheckPart::Doses { rows, .. } => Some(rows),
                _ => None,
            });
            for row in rows.expect("areas are planned") {
                let own = match row.area.as_str() {
                    "Frown lines" => "incobotulinumtoxinA",
                    _ => "onabotulinumtoxinA",
                };
                let wanted = if named { own } else { "" };
                assert_eq!(row.product, wanted);
            }
        });
    }
}

/// Sides are in the question itself: whoever decides about a weak face must not look for them.
#[test]
fn a_question_about_a_weak_face_names_both_sides() {
    with(&lip("right"), |_, parts| {
        let rows = parts.iter().find_map(|part| match part {
            CheckPart::Decide { rows, .. } => Some(rows),
            _ => None,
        });
        let mut rows = rows.expect("rows to decide").iter();
        let asked = rows.find(|row| row.question.contains("facial palsy"));
        let question = &asked.expect("a question about the palsy").question;
        let said = "Lower lip balance (patient’s RIGHT), facial palsy (patient’s LEFT):";
        assert!(question.starts_with(said), "{question}");
    });
}

/// A tick under what was never asked would be a lie, and a head that does not say so an invitation to it.
#[test]
fn what_was_not_asked_stands_in_the_head_and_where_it_is_signed() {
    with(&Plan::default(), |selection, parts| {
        let count = selection.not_asked.len();
        assert!(count > 20, "{count}");
        let said = parts
            .iter()
            .flat_map(CheckPart::words)
            .map(|words| words.text);
        let said = said.collect::<Vec<_>>().join(" ");
        assert!(said.contains(&format!("{count} not asked")), "{said}");
        assert!(
            said.contains("I have asked what was open here and in the annex."),
            "{said}"
        );
    });
}

/// Nobody can draw up units in an unknown dilution.
#[test]
fn a_product_whose_dilution_is_not_said_has_a_line_for_it() {
    for (product, open) in [
        ("name = \"onabotulinumtoxinA\"", true),
        (
            "name = \"onabotulinumtoxinA\"\nvial_units = 100\ndiluent_ml = 2.5",
            false,
        ),
    ] {
        let plan = Plan {
            product: product.to_owned(),
            ..Plan::default()
        };
        with(&plan, |_, parts| {
            let notes = parts.iter().find_map(|part| match part {
                CheckPart::Doses { notes, .. } => Some(notes.join(" ")),
                _ => None,
            });
            let notes = notes.expect("areas are planned");
            assert_eq!(
                notes.contains("does not say how it is made up"),
                open,
                "{notes}"
            );
        });
    }
}

/// A sum of units and an interval are checked against what they rest on.
#[test]
fn every_earlier_treatment_is_on_the_sheet_the_latest_first() {
    let plan = Plan {
        rest:
            "[[history]]\ndate = 2026-08-01\nreason = \"illness\"\n[[history]]\ndate = 2026-10-10\n\
               product = \"onabotulinumtoxinA\"\nunits = 40\nareas = [\"masseter\"]"
                .to_owned(),
        ..Plan::default()
    };
    with(&plan, |_, parts| {
        let said = circumstances(parts).join(" ");
        assert!(
            said.contains(
                "Earlier treatments: Oct 10, 2026, onabotulinumtoxinA, 40 units (jaw muscle); \
                 Aug 1, 2026, product not known, units not known (for an illness)."
            ),
            "{said}"
        );
    });
    with(&Plan::default(), |_, parts| {
        assert!(!circumstances(parts).join(" ").contains("Earlier"));
    });
}

fn circumstances(parts: &[CheckPart]) -> Vec<String> {
    let said = parts.iter().find_map(|part| match part {
        CheckPart::Decide { circumstances, .. } => Some(circumstances),
        _ => None,
    });
    let said = said.expect("what holds for the visit");
    said.iter().map(rich::text_of).collect()
}

#[test]
fn what_is_given_on_each_side_has_a_box_of_its_own() {
    let boxes = |area: &str| {
        let plan = Plan {
            area: area.to_owned(),
            ..Plan::default()
        };
        let mut given = Vec::new();
        with(&plan, |_, parts| {
            let rows = parts.iter().find_map(|part| match part {
                CheckPart::Doses { rows, .. } => Some(rows),
                _ => None,
            });
            given = rows.expect("a table of doses")[0].given.clone();
        });
        given
    };
    let both = boxes("id = \"masseter\"\nside = \"both\"\nunits = 40");
    assert_eq!(both, ["right", "left"]);
    // one side, and a ring of muscle that has none
    let one = boxes(
        "id = \"depressor-labii-inferioris\"\nside = \"left\"\nunits = 4\nreason = \"asymmetry\"",
    );
    assert_eq!(one, [""]);
    let ring = boxes("id = \"orbicularis-oris\"\nside = \"both\"\nunits = 4");
    assert_eq!(ring, [""]);
}

/// A wish that is not written down is not one that was forgotten to be printed.
#[test]
fn that_no_wish_is_noted_is_said() {
    let plan = Plan {
        aim: String::new(),
        ..Plan::default()
    };
    with(&plan, |_, parts| {
        let said = parts.iter().find_map(|part| match part {
            CheckPart::Decide { said, .. } => Some(said),
            _ => None,
        });
        let said: Vec<String> = said
            .expect("what was said")
            .iter()
            .map(rich::text_of)
            .collect();
        assert!(
            said.iter().any(|line| line == "Wish: none noted."),
            "{said:?}"
        );
    });
}

/// How the last round went is what the next dose is decided on.
#[test]
fn what_the_patient_said_of_the_last_round_is_on_the_sheet() {
    let plan = Plan {
        area: "id = \"masseter\"\nside = \"both\"\nunits = 50\nround = 2\nprevious = 2026-05-20\n\
               last_time = \"Tough food was hard.\""
            .to_owned(),
        ..Plan::default()
    };
    with(&plan, |_, parts| {
        let said = parts.iter().flat_map(CheckPart::words);
        let said: Vec<String> = said.map(|words| words.text).collect();
        let last = said
            .iter()
            .any(|line| line == "Last time: “Tough food was hard.”");
        assert!(last, "{said:?}");
    });
}

/// Whether to treat at all and on this day, before how much: no other question matters where one of those is answered with no.
#[test]
fn what_could_end_the_visit_is_asked_first() {
    let plan = Plan {
        facts: "speaks_publicly = true".to_owned(),
        area: "id = \"glabella\"\nunits = 90".to_owned(),
        rest: "[[area]]\nid = \"orbicularis-oris\"\nside = \"both\"\nunits = 4\nprevious = 2026-11-01\n\
               stance = \"advise-against\"\nstance_because = \"Your voice.\""
            .to_owned(),
        ..Plan::default()
    };
    with(&plan, |_, parts| {
        let rows = parts.iter().find_map(|part| match part {
            CheckPart::Decide { rows, .. } => Some(rows),
            _ => None,
        });
        let asked: Vec<&str> = rows
            .expect("rows")
            .iter()
            .map(|row| &*row.question)
            .collect();
        let place = |words: &str| {
            let found = asked.iter().position(|asked| asked.contains(words));
            found.unwrap_or_else(|| panic!("{words}: {asked:?}"))
        };
        assert_eq!(place("you advise against it"), 0);
        assert!(place("label interval") < place("90 units"), "{asked:?}");
        assert!(place("90 units") < place("Speaks in public"), "{asked:?}");
    });
}
