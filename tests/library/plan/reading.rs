//! What comes out of files that are right: the same from both formats, with the clinic's defaults, to the limits.

use std::path::PathBuf;

use crate::support::plan_reader::{clinic, good, plan, right, source, summary, vocabulary};
use beforehand::diagnose::Code;
use beforehand::plan::{
    FactValue, PageSize, Per, Product, Side, Units, UserText, Visit, read_clinic, read_plan,
};
use jiff::civil::{date, time};

/// Without the places, which differ between the formats.
fn placeless(mut visit: Visit) -> Visit {
    visit.areas.iter_mut().for_each(|area| area.span = 0..0);
    visit.texts.iter_mut().for_each(|text| text.span = 0..0);
    visit
}

#[test]
fn both_formats_give_the_same_visit() {
    let toml = right("plan.toml", &good("plan.toml"));
    let json = right("plan.json", &good("plan.json"));
    assert_eq!(placeless(toml), placeless(json));
}

#[test]
fn windows_line_breaks_change_nothing() {
    for name in ["plan.toml", "plan.json"] {
        let text = good(name).replace("\r\n", "\n");
        let visit = right(name, &text);
        let windows = right(name, &text.replace('\n', "\r\n"));
        assert_eq!(placeless(visit), placeless(windows), "{name}");
    }
}

#[test]
fn every_value_of_the_plan_arrives() {
    let visit = right("plan.toml", &good("plan.toml"));
    assert_eq!(visit.patient.name, "Ines Aldana");
    assert_eq!(visit.patient.born, date(1984, 2, 11));
    assert_eq!(visit.patient.record, "TR-20417");
    let language = visit.patient.language.as_ref().map(ToString::to_string);
    assert_eq!(language.as_deref(), Some("es-MX"));
    assert_eq!(visit.patient.facts["speaks_publicly"], FactValue::Yes);
    assert_eq!(
        visit.patient.facts["lip_filler_side"],
        FactValue::Side(Side::Left)
    );
    assert_eq!(
        visit.patient.facts["occupation"],
        FactValue::Text("flute teacher".to_owned())
    );
    assert_eq!(visit.patient.facts.len(), 3);
    assert_eq!(visit.date, date(2026, 12, 3));
    assert_eq!(visit.time, Some(time(14, 30, 0, 0)));
    assert_eq!(visit.informed_on, Some(date(2026, 11, 26)));
    assert_eq!(visit.practitioner, "m-varga");
    let [masseter, glabella] = &visit.areas[..] else {
        panic!("two areas")
    };
    assert_eq!(
        (masseter.id.as_str(), masseter.side),
        ("masseter", Side::Both)
    );
    let units = masseter.units.expect("units");
    assert_eq!(
        units,
        Units {
            amount: 25.0,
            per: Per::Side,
            points: None
        }
    );
    assert_eq!(units.total(masseter.side), Some(50.0));
    assert_eq!(masseter.aim.as_deref(), Some("slimmer jaw line"));
    assert_eq!(masseter.reason.as_deref(), Some("asymmetry"));
    assert_eq!(
        (masseter.round, masseter.previous),
        (Some(2), Some(date(2026, 5, 20)))
    );
    // one side only, so the plan need not say it
    assert_eq!(glabella.side, Side::Midline);
    assert_eq!(
        glabella.units.expect("units").total(glabella.side),
        Some(20.0)
    );
    assert_eq!(visit.product_of(masseter).name, "onabotulinumtoxinA");
    assert_eq!(visit.product_of(glabella).name, "abobotulinumtoxinA");
    assert_eq!(visit.events[0].needs, ["speech", "smile"]);
    assert_eq!(visit.history[0].areas, ["glabella"]);
    assert_eq!(visit.history[0].units, Some(64.0));
}

#[test]
fn every_free_text_is_kept_with_its_place() {
    for name in ["plan.toml", "plan.json"] {
        let text = good(name);
        let texts = right(name, &text).texts;
        let paths: Vec<_> = texts.iter().map(|t| t.path.as_str()).collect();
        assert_eq!(
            paths,
            [
                "patient.name",
                "patient.record",
                "patient.occupation",
                "product.batch",
                "area[0].aim",
                "event[0].what"
            ]
        );
        for UserText {
            text: said, span, ..
        } in texts
        {
            assert_eq!(text[span], format!("\"{said}\""), "{name}");
        }
    }
}

#[test]
fn the_clinic_file_arrives_too() {
    let clinic = clinic();
    assert_eq!(clinic.address, ["4 Example Row", "Sampleton"]);
    assert_eq!(clinic.paper, Some(PageSize::A4));
    assert_eq!(clinic.time_zone.as_deref(), Some("Europe/London"));
    assert_eq!(clinic.fonts, Some(PathBuf::from("fonts")));
    assert_eq!(clinic.practitioners.len(), 2);
    assert_eq!(clinic.stock.len(), 3);
    let fees = clinic.fees.expect("fees");
    assert_eq!(
        (fees.currency.as_str(), fees.area["glabella"]),
        ("GBP", 180.5)
    );
    assert_eq!(clinic.texts.len(), 5 + 2 * 3);
}

#[test]
fn a_clinic_in_json_is_read_and_may_have_its_address_on_one_line() {
    let text = r#"{ "clinic": { "name": "A (invented)", "address": "4 Example Row", "phone": "111",
        "phone_out_of_hours": "112", "region": "ES", "language": "es-ES" },
        "practitioner": [ { "id": "a", "name": "b", "role": "c", "registration": "d" } ] }"#;
    let clinic = read_clinic(&source("clinic.json", text), &vocabulary()).expect("right");
    assert_eq!(clinic.address, ["4 Example Row"]);
    assert!(clinic.stock.is_empty() && clinic.fees.is_none() && clinic.paper.is_none());
}

/// A history tells what was given, whatever it was; a plan is made with type A only.
#[test]
fn an_earlier_treatment_with_type_b_is_read_as_what_it_is() {
    let base = good("plan.toml");
    let history = "product = \"onabotulinumtoxinA\"\nunits = 64";
    for name in ["rimabotulinumtoxinB", "botulinum toxin type B", "type B"] {
        // thousands of units are usual for it, so that the limit of another product would be wrong
        let lines = format!("product = \"{name}\"\nunits = 10000");
        let visit = right("plan.toml", &base.replace(history, &lines));
        let earlier = &visit.history[0];
        assert_eq!(earlier.product, Some("rimabotulinumtoxinB".into()));
        assert_eq!(earlier.units, Some(10_000.0));
    }
    let absurd = base.replace(history, "product = \"type B\"\nunits = 100000");
    let found = plan("plan.toml", &absurd).expect_err("a slip of the keyboard");
    assert_eq!(summary(&found), ["P503 48:9"]);
}

#[test]
fn no_other_product_is_put_forward_for_type_b() {
    let base = good("plan.toml");
    let (planned, earlier) = (
        "name = \"onabotulinumtoxinA\"",
        "product = \"onabotulinumtoxinA\"\nunits = 64",
    );
    for name in [
        "rimabotulinumtoxinB",
        "rimabotulinumtoxinb",
        "Rimabotulinumtoxin B",
        "rimabotulinumtoxin",
        "onabotulinumtoxinB",
        "Type B",
        "botulinum toxin, type B",
        "botulinumtoxinB",
    ] {
        let in_plan = base.replace(planned, &format!("name = \"{name}\""));
        let in_history = base.replace(earlier, &format!("product = \"{name}\""));
        for text in [in_plan, in_history] {
            assert_ne!(text, base);
            for mistake in plan("plan.toml", &text).err().unwrap_or_default() {
                let said = format!("{} {}", mistake.problem, mistake.remedy);
                assert!(
                    said.contains("type B") || said.contains("Type B"),
                    "{name}: {said}"
                );
                let remedy = &mistake.remedy;
                assert!(
                    !remedy.contains("toxinA") && !remedy.contains("mean"),
                    "{name}: {remedy}"
                );
            }
        }
    }
}

#[test]
fn a_minus_in_front_of_nothing_is_not_kept() {
    let text = good("clinic.toml").replace("masseter = 250", "masseter = -0.0");
    let clinic = read_clinic(&source("clinic.toml", &text), &vocabulary()).expect("right");
    let fee = clinic.fees.expect("fees").area["masseter"];
    assert_eq!((fee, fee.is_sign_negative()), (0.0, false));
}

#[test]
fn the_stock_fills_what_the_plan_leaves_out_but_never_guesses_a_dilution() {
    let base = good("plan.toml");
    let product_of = |lines: &str| -> Product {
        let text = base.replace(
            "name = \"onabotulinumtoxinA\"\nvial_units = 100\ndiluent_ml = 2.5",
            lines,
        );
        assert_ne!(text, base, "the test changes nothing");
        right("plan.toml", &text).product
    };
    let one = product_of("name = \"onabotulinumtoxinA\"");
    assert_eq!((one.vial_units, one.diluent_ml), (Some(100.0), Some(2.5)));
    // the plan's own word stands
    let own = product_of("name = \"onabotulinumtoxinA\"\ndiluent_ml = 4");
    assert_eq!((own.vial_units, own.diluent_ml), (Some(100.0), Some(4.0)));
    // two vial sizes in stock: nothing is filled in
    let two = product_of("name = \"abobotulinumtoxinA\"");
    assert_eq!((two.vial_units, two.diluent_ml), (None, None));
    let chosen = product_of("name = \"abobotulinumtoxinA\"\nvial_units = 300");
    assert_eq!(
        (chosen.vial_units, chosen.diluent_ml),
        (Some(300.0), Some(1.5))
    );
    // a vial the clinic does not list: its dilution is not known
    let other = product_of("name = \"onabotulinumtoxinA\"\nvial_units = 50");
    assert_eq!((other.vial_units, other.diluent_ml), (Some(50.0), None));
}

#[test]
fn the_language_is_the_patients_or_else_the_clinics() {
    let base = good("plan.toml");
    let said = |text: &str| {
        right("plan.toml", text)
            .patient
            .language
            .map(|l| l.to_string())
    };
    let without = base.replace("language = \"es-MX\"\n", "");
    assert_eq!(said(&without).as_deref(), Some("en"));
    assert_eq!(
        said(&base.replace("es-MX", "en-AU")).as_deref(),
        Some("en-AU")
    );
    let alone = read_plan(&source("plan.toml", &without), &vocabulary(), None).expect("right");
    assert_eq!(alone.patient.language, None);
}

#[test]
fn without_a_clinic_neither_practitioner_nor_stock_is_judged() {
    let text = good("plan.toml")
        .replace("\"m-varga\"", "\"somebody\"")
        .replace(
            "name = \"onabotulinumtoxinA\"",
            "name = \"incobotulinumtoxinA\"",
        );
    let visit = read_plan(&source("plan.toml", &text), &vocabulary(), None).expect("right");
    assert_eq!(visit.practitioner, "somebody");
    let with = plan("plan.toml", &text).expect_err("not of this clinic");
    let codes: Vec<_> = with.iter().map(|d| d.code).collect();
    assert_eq!(codes, [Code::UnknownPractitioner, Code::ProductNotInStock]);
}

#[test]
fn text_that_looks_like_a_program_is_text() {
    let written = r#"#panic("x") *bold* $x$ <b> {{ 7 }} \ ' é 王 محمد"#;
    let toml = good("plan.toml").replace("\"Ines Aldana\"", &format!("'''{written}'''"));
    assert_eq!(right("plan.toml", &toml).patient.name, written);
    let escaped = written.replace('\\', "\\\\").replace('"', "\\\"");
    let json = good("plan.json").replace("Ines Aldana", &escaped);
    assert_eq!(right("plan.json", &json).patient.name, written);

    let hidden = toml.replace("*bold*", "\u{202E}*bold*");
    let found = plan("plan.toml", &hidden).expect_err("a hidden character");
    assert_eq!(found.len(), 1, "{:?}", summary(&found));
    assert!(found[0].problem.contains("U+202E RIGHT-TO-LEFT OVERRIDE"));
    assert_eq!(found[0].path, "patient.name");
}

/// At the limit accepted, one beyond refused; counted in characters, not bytes.
#[test]
fn limits_are_where_they_are_said_to_be() {
    let base = good("plan.toml");
    let accepts = |from: &str, to: &str| {
        let text = base.replacen(from, to, 1);
        assert_ne!(text, base, "{from} is not in the plan");
        plan("plan.toml", &text)
            .map_err(|found| found[0].code)
            .err()
    };
    let name = |n: usize| format!("\"{}\"", "ü".repeat(n));
    assert_eq!(accepts("\"Ines Aldana\"", &name(200)), None);
    assert_eq!(
        accepts("\"Ines Aldana\"", &name(201)),
        Some(Code::TextTooLong)
    );
    assert_eq!(accepts("\"TR-20417\"", &name(40)), None);
    assert_eq!(accepts("\"TR-20417\"", &name(41)), Some(Code::TextTooLong));
    assert_eq!(accepts("round = 2", "round = 20"), None);
    assert_eq!(accepts("round = 2", "round = 20.0"), None);
    assert_eq!(
        accepts("round = 2", "round = 21"),
        Some(Code::RoundOutOfRange)
    );
    // 200 units in this vocabulary, and this amount is per side
    assert_eq!(accepts("units = 25", "units = 100"), None);
    assert_eq!(
        accepts("units = 25", "units = 100.5"),
        Some(Code::UnitsAbsurd)
    );
    assert_eq!(accepts("units = 25", "units = 0.1"), None);
    assert_eq!(accepts("born = 1984-02-11", "born = 1906-12-03"), None);
    assert_eq!(accepts("born = 1984-02-11", "born = 1905-12-04"), None);
    assert_eq!(
        accepts("born = 1984-02-11", "born = 1905-12-03"),
        Some(Code::ImplausibleAge)
    );
    assert_eq!(
        accepts("informed_on = 2026-11-26", "informed_on = 2026-12-03"),
        None
    );
    assert_eq!(accepts("date = 2026-12-19", "date = 2026-12-03"), None);
    assert_eq!(
        accepts("previous = 2026-05-20", "previous = 2026-12-02"),
        None
    );
    // a later round without the date of the earlier one is an ordinary plan
    assert_eq!(accepts("previous = 2026-05-20\n", ""), None);
}

#[test]
fn a_slip_in_a_heading_does_not_hide_what_stands_below_it() {
    let text = good("plan.toml")
        .replace("[patient]", "[pateint]")
        .replace("1984-02-11", "1984-02-31");
    let found = plan("plan.toml", &text).expect_err("two mistakes");
    let codes: Vec<_> = found.iter().map(|d| d.code).collect();
    assert_eq!(codes, [Code::UnknownKey, Code::DateImpossible]);
}

#[test]
fn what_one_broken_line_hides_is_not_called_missing() {
    let text = good("plan.toml").replace("record = \"TR-20417\"", "record = TR-20417\nborn 1984");
    let found = plan("plan.toml", &text).expect_err("broken lines");
    assert!(
        found.iter().all(|d| d.code == Code::Syntax),
        "{:?}",
        summary(&found)
    );
    assert_eq!(found.len(), 2);
}

#[test]
fn the_sentences_fit_the_format() {
    for (name, text) in [
        (
            "plan.json",
            r#"{ "patient": [], "visit": 7, "event": {}, "date": "2026-01-01" }"#,
        ),
        (
            "plan.json",
            r#"{ "visit": { "name": "x", "units": 1 }, "area": [] }"#,
        ),
    ] {
        for d in plan(name, text).expect_err("mistakes") {
            let said = format!("{} {}", d.problem, d.remedy);
            for toml in ["[[", "[patient]", "[visit]", "heading", " = "] {
                assert!(!said.contains(toml), "{said}");
            }
        }
    }
}

#[test]
fn a_line_that_cannot_be_understood_still_has_its_path() {
    let text = good("plan.toml")
        .replace("points = 5", "points = five")
        .replace("what = \"wedding speech\"", "what = wedding speech")
        .replace(
            "record = \"TR-20417\"",
            "record = \"TR-20417\"\nrecord = \"TR-20418\"",
        );
    let found = plan("plan.toml", &text).expect_err("three mistakes");
    let paths: Vec<_> = found.iter().map(|d| d.path.as_str()).collect();
    assert_eq!(paths, ["patient.record", "area[1].points", "event[0].what"]);
}

#[test]
fn a_month_counts_as_its_last_day_that_is_before_the_visit() {
    for (month, last) in [
        ("2026-05", date(2026, 5, 31)),
        ("2026-02", date(2026, 2, 28)),
        ("2024-02", date(2024, 2, 29)),
        // the month of the visit, which is on the third
        ("2026-12", date(2026, 12, 2)),
    ] {
        let written = format!("date = \"{month}\"");
        let text = good("plan.toml").replace("date = 2026-09-01", &written);
        let visit = right("plan.toml", &text);
        assert_eq!(visit.history[0].date, last, "{month}");
        assert!(visit.history[0].month_only);
    }
    let visit = right("plan.toml", &good("plan.toml"));
    assert!(!visit.history[0].month_only);
}

#[test]
fn large_print_the_end_of_an_event_and_an_earlier_reason_arrive() {
    let text = good("plan.toml")
        .replace("born = ", "large_print = true\nborn = ")
        .replace("date = 2026-12-19", "date = 2026-12-19\nuntil = 2026-12-21")
        .replace(
            "date = 2026-09-01",
            "date = 2026-09-01\nreason = \"illness\"",
        );
    let visit = right("plan.toml", &text);
    assert!(visit.patient.large_print);
    assert_eq!(visit.events[0].last(), date(2026, 12, 21));
    let reason = visit.history[0].reason.map(|reason| reason.as_str());
    assert_eq!(reason, Some("illness"));
    let visit = right("plan.toml", &good("plan.toml"));
    assert!(!visit.patient.large_print);
    assert_eq!(visit.events[0].last(), date(2026, 12, 19));
}
