//! What a receptionist sees: whole outputs, and what must hold for each of them.

use crate::support::plan_reader::{good, plan, source};
use beforehand::diagnose::{Diagnostic, Style, render};

fn shown(name: &str, text: &str) -> String {
    let found = plan(name, text).expect_err("a mistake");
    render(&found, &source(name, text), Style::Plain)
}

fn edited(from: &str, to: &str) -> String {
    let text = good("plan.toml").replacen(from, to, 1);
    assert_ne!(text, good("plan.toml"), "{from} is not in the plan");
    text
}

#[test]
fn a_word_that_is_not_known() {
    let text = edited("id = \"masseter\"", "id = \"masetter\"");
    insta::assert_snapshot!(shown("plan.toml", &text));
}

#[test]
fn an_area_twice_points_at_both_places() {
    let text = edited("id = \"glabella\"", "id = \"masseter\"\nside = \"left\"");
    insta::assert_snapshot!(shown("plan.toml", &text));
}

#[test]
fn several_mistakes_at_once() {
    let text = edited("date = 2026-12-03", "date = 2026-02-30")
        .replace("\"Ines Aldana\"", "Ines Aldana")
        .replace("units = 25", "units = 2,5")
        .replace("[[event]]", "[event");
    insta::assert_snapshot!(shown("plan.toml", &text));
}

#[test]
fn a_hidden_character_is_named_and_not_shown() {
    let text = edited("Ines Aldana", "Ines \u{202E}Al\u{FEFF}dana");
    let shown = shown("plan.toml", &text);
    assert!(
        !shown.contains('\u{202E}') && !shown.contains('\u{FEFF}'),
        "{shown:?}"
    );
    insta::assert_snapshot!(shown);
}

#[test]
fn something_missing_in_json() {
    let text = good("plan.json").replace("\"name\": \"Ines Aldana\",", "");
    insta::assert_snapshot!(shown("plan.json", &text));
}

#[test]
fn a_comma_too_many_in_json() {
    let text = good("plan.json").replace("\"flute teacher\"", "\"flute teacher\",");
    insta::assert_snapshot!(shown("plan.json", &text));
}

#[test]
fn machine_readable() {
    let text =
        edited("per = \"point\"\npoints = 5", "per = \"points\"").replace("m-varga", "m-vagra");
    let found = plan("plan.toml", &text).expect_err("mistakes");
    insta::assert_snapshot!(serde_json::to_string_pretty(&found).expect("plain data"));
}

#[test]
fn colours_are_only_there_when_asked_for() {
    let text = edited("round = 2", "round = 99");
    let found = plan("plan.toml", &text).expect_err("a mistake");
    let source = source("plan.toml", &text);
    assert!(!render(&found, &source, Style::Plain).contains('\u{1B}'));
    assert!(render(&found, &source, Style::Coloured).contains('\u{1B}'));
}

/// The place in the heading of the output is the place of the diagnostic.
#[test]
fn the_place_shown_is_the_place_meant() {
    for (from, to) in [
        ("round = 2", "round = 99"),
        ("\"Ines Aldana\"", "\"Ines 王明 é\u{202E}\""),
        ("round = 2", "\tround = 99"),
        ("round = 2", "round = 99\r"),
    ] {
        let text = edited(from, to);
        let found = plan("plan.toml", &text).expect_err("a mistake");
        let (line, column) = (
            found[0].line().expect("a line"),
            found[0].column().expect("a column"),
        );
        let shown = shown("plan.toml", &text);
        assert!(
            shown.contains(&format!("plan.toml:{line}:{column}\n")),
            "{shown}"
        );
    }
}

#[test]
fn of_a_file_on_one_line_only_a_part_is_shown() {
    let text = good("plan.json")
        .replace("\"smile\"", "\"sing\"")
        .replace('\n', " ");
    let shown = shown("plan.json", &text);
    assert!(
        shown.contains("sing") && !shown.contains("Aldana"),
        "{shown}"
    );
}

#[test]
fn no_more_than_fifty_are_shown_and_the_rest_is_counted() {
    let areas: String = (0..40)
        .map(|n| format!("[[area]]\nid = \"x{n}\"\nround = 0\n"))
        .collect();
    let text = good("plan.toml") + &areas;
    let found = plan("plan.toml", &text).expect_err("mistakes");
    assert_eq!(found.len(), 80);
    let shown = shown("plan.toml", &text);
    assert_eq!(shown.matches("= help:").count(), 50);
    assert!(shown.ends_with("… and 30 more; settle these first, then check again.\n"));
}

#[test]
fn nothing_wrong_shows_nothing() {
    let none: [Diagnostic; 0] = [];
    assert_eq!(
        render(&none, &source("plan.toml", "a = 1"), Style::Plain),
        ""
    );
}

#[test]
fn slips_that_beginners_make() {
    let text = edited("units = 25", "units = 25 units // each")
        .replace("round = 2", "round: 2")
        .replace("diluent_ml = 2.5", "diluent_ml =\u{a0}2.5")
        .replace("reason = \"asymmetry\"", "masseter\tboth\t25");
    insta::assert_snapshot!(shown("plan.toml", &text));
}
