//! Names and words as long as they may be: whole, on the sheet, on nothing else.

use super::{PAPERS, is_on_every_page, texts_of};
use crate::support::{ClinicFile, Plan, boxes, desk, desk_of, has_tool, put, quoted, run};

/// Points from the edge of the sheet. A quarter of an inch: many desk printers reach no further out (from memory).
const PRINTABLE: f64 = 18.0;

/// Names of exactly 200 characters: many words, one word, wide letters, hyphens.
fn long_names() -> [String; 4] {
    let of_length = |unit: &str| {
        unit.chars()
            .cycle()
            .take(199)
            .chain(['Z'])
            .collect::<String>()
    };
    [
        of_length("Featherstone Oyelaran "),
        of_length("abcdefghijklmnopqrstuvwxyz"),
        of_length("W"),
        of_length("Abc-Def-"),
    ]
}

#[test]
fn two_hundred_characters_are_printed_whole_on_every_page() {
    for name in long_names() {
        assert_eq!(name.chars().count(), 200);
        is_on_every_page(&name, &texts_of(&Plan::named(&name).toml()));
    }
}

#[test]
fn two_hundred_characters_stay_on_the_page_and_off_the_text() {
    if !has_tool("pdftotext") {
        return;
    }
    for name in long_names() {
        let desk = desk();
        put(desk.path(), "plan.toml", Plan::named(&name).toml());
        assert_eq!(run(desk.path(), &["make", "plan.toml"]).code, 0);
        for paper in PAPERS {
            for (index, page) in boxes::pages(&desk.path().join(paper))
                .expect("poppler is here")
                .iter()
                .enumerate()
            {
                let place = format!("page {} of {paper}, name {:.20}...", index + 1, name);
                let beyond = page.beyond(PRINTABLE);
                assert!(beyond.is_empty(), "{place}: beyond the page: {beyond:?}");
                let collisions = page.collisions();
                assert!(
                    collisions.is_empty(),
                    "{place}: printed on each other: {collisions:?}"
                );
            }
        }
    }
}

#[test]
fn a_long_word_in_any_field_stays_on_the_page() {
    if !has_tool("pdftotext") {
        return;
    }
    let word = |end: char| "m".repeat(199) + &end.to_string();
    let desk = desk_of(
        &ClinicFile {
            name: word('c'),
            address: vec![word('a')],
            person: word('p'),
            role: word('r'),
            ..ClinicFile::default()
        }
        .toml(),
    );
    let plan = Plan {
        record: "W".repeat(40),
        facts: format!("previous_unwanted_effect = {}", quoted(&word('f'))),
        batch: "W".repeat(40),
        aim: word('i'),
        event: word('e'),
        ..Plan::default()
    };
    put(desk.path(), "plan.toml", plan.toml());
    let ran = run(desk.path(), &["make", "plan.toml"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    for paper in ["consent", "aftercare", "clinician"] {
        let name = format!("{}-2026-12-03-{paper}.pdf", "W".repeat(40));
        for (index, page) in boxes::pages(&desk.path().join(name))
            .expect("poppler is here")
            .iter()
            .enumerate()
        {
            let beyond = page.beyond(PRINTABLE);
            assert!(
                beyond.is_empty(),
                "page {} of {paper}: beyond the page: {beyond:?}",
                index + 1
            );
            let collisions = page.collisions();
            assert!(
                collisions.is_empty(),
                "page {} of {paper}: printed on each other: {collisions:?}",
                index + 1
            );
        }
    }
}

#[test]
fn the_finder_of_collisions_finds_one() {
    let word = |left: f64, top: f64| boxes::Word {
        left,
        top,
        right: left + 30.0,
        bottom: top + 12.0,
        text: "x".into(),
    };
    let page = |words| boxes::Page {
        width: 595.0,
        height: 842.0,
        words,
    };
    assert_eq!(
        page(vec![word(50.0, 50.0), word(60.0, 53.0)])
            .collisions()
            .len(),
        1
    );
    assert_eq!(
        page(vec![word(50.0, 50.0), word(50.0, 62.0), word(81.0, 50.0)])
            .collisions()
            .len(),
        0
    );
    assert_eq!(
        page(vec![word(570.0, 50.0), word(50.0, 50.0)])
            .beyond(PRINTABLE)
            .len(),
        1
    );
}
