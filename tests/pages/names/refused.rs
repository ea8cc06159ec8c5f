//! Text that is refused, with the character named and nothing written: what hides, what turns around, what is too long.

use crate::support::{Plan, clinic, desk, desk_of, names_in, put, run};
use beforehand::diagnose::character_name;

#[test]
fn a_character_that_turns_text_around_is_refused_by_name_and_nothing_is_written() {
    let name = "Ines \u{202E}anadlA <b>";
    let raw = Plan::named(name).toml();
    let escaped = raw.replace('\u{202E}', "\\u202E");
    assert_ne!(raw, escaped);
    for text in [raw, escaped] {
        let desk = desk();
        put(desk.path(), "plan.toml", text);
        let ran = run(desk.path(), &["make", "plan.toml"]);
        assert_eq!((ran.code, ran.out.as_str()), (1, ""));
        assert!(
            ran.err.contains("U+202E RIGHT-TO-LEFT OVERRIDE"),
            "{}",
            ran.err
        );
        assert!(
            !ran.err.contains('\u{202E}'),
            "the character itself must not reach the terminal"
        );
        assert_eq!(names_in(desk.path()), ["clinic.toml", "plan.toml"]);
    }
    let desk = desk_of(&clinic().replace("Fern Bank", "Fern\\u202EBank"));
    put(desk.path(), "plan.toml", Plan::default().toml());
    let ran = run(desk.path(), &["make", "plan.toml"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("clinic.toml:2:") && ran.err.contains("U+202E RIGHT-TO-LEFT OVERRIDE"),
        "{}",
        ran.err
    );
}

#[test]
fn a_name_or_record_that_prints_nothing_is_refused() {
    for nothing in [
        "", " ", "\u{A0}", "\u{3000}", "\u{AD}", "\u{200D}", "\u{34F}", "\u{2800}", "\u{FE0F}",
    ] {
        for plan in [
            Plan::named(nothing),
            Plan {
                record: nothing.to_owned(),
                ..Plan::default()
            },
        ] {
            let desk = desk();
            put(desk.path(), "plan.toml", plan.toml());
            let ran = run(desk.path(), &["make", "plan.toml"]);
            assert_eq!(ran.code, 1, "{nothing:?} is accepted: {}", ran.out);
            assert_eq!(names_in(desk.path()), ["clinic.toml", "plan.toml"]);
        }
    }
}

#[test]
fn a_character_nobody_can_see_is_refused_inside_a_name() {
    // two names that look the same on paper would be two names to every other program
    for hidden in [
        '\u{AD}', '\u{34F}', '\u{2800}', '\u{200B}', '\u{2060}', '\u{FEFF}',
    ] {
        let desk = desk();
        put(
            desk.path(),
            "plan.toml",
            Plan::named(&format!("An{hidden}na")).toml(),
        );
        let ran = run(desk.path(), &["make", "plan.toml"]);
        assert_eq!(ran.code, 1, "{} is accepted", character_name(hidden));
        assert!(ran.err.contains(&character_name(hidden)), "{}", ran.err);
    }
}

#[test]
fn two_hundred_and_one_characters_are_refused() {
    let name = "n".repeat(201);
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::named(&name).toml());
    let ran = run(desk.path(), &["make", "plan.toml"]);
    assert_eq!((ran.code, ran.out.as_str()), (1, ""));
    assert!(
        ran.err.contains("plan.toml:3:8") && ran.err.contains("200"),
        "{}",
        ran.err
    );
    assert_eq!(names_in(desk.path()), ["clinic.toml", "plan.toml"]);
}

#[test]
fn a_script_without_a_font_is_refused_with_the_character_named_and_a_way_out() {
    for (name, character) in [
        ("测试 试验", "U+6D4B CJK UNIFIED IDEOGRAPH-6D4B"),
        ("ทดสอบ", "U+0E17 THAI CHARACTER THO THAHAN"),
        ("आशा", "U+0906 DEVANAGARI LETTER AA"),
    ] {
        let desk = desk();
        put(desk.path(), "plan.toml", Plan::named(name).toml());
        for command in ["make", "check"] {
            let ran = run(desk.path(), &[command, "plan.toml"]);
            assert_eq!((ran.code, ran.out.as_str()), (1, ""), "{name}");
            assert!(
                ran.err.contains(character) && ran.err.contains("--fonts"),
                "{}",
                ran.err
            );
            assert!(ran.err.contains("plan.toml:3:8"), "{}", ran.err);
        }
        assert_eq!(names_in(desk.path()), ["clinic.toml", "plan.toml"]);
    }
}

#[test]
fn a_folder_of_fonts_that_is_not_there_ends_with_2() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    let ran = run(desk.path(), &["make", "plan.toml", "--fonts", "nowhere"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("nowhere"), "{}", ran.err);
}
