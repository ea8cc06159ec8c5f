//! Turns hostile and unusual names and texts into papers, and reads back what was printed.
//!
//! Invariant: a text is printed as typed, whole and on its own place, or refused with the character named; never changed.
//! Must not: put a real name in a plan.

mod support;

use beforehand::diagnose::{character_name, is_refused};
use beforehand::typeset::Typesetter;
use support::{
    Plan, boxes, clinic, clinic_toml, desk, desk_of, has_tool, laid_out, laid_out_at, names_in,
    put, quoted, read_back, run, squeeze, stand_in_font,
};

const PAPERS: [&str; 3] = [
    "INV-1-2026-12-03-consent.pdf",
    "INV-1-2026-12-03-aftercare.pdf",
    "INV-1-2026-12-03-clinician.pdf",
];

/// Points from the edge of the sheet. A quarter of an inch: many desk printers reach no further out (from memory).
const PRINTABLE: f64 = 18.0;

/// Text that means something to the typesetter, to Markdown, to templates, to HTML, or to a shell.
const HOSTILE: [&str; 18] = [
    "#panic(\"x\") *bold* $x$ <b>",
    "{{ 7*7 }} {% for x in y %}",
    "{% raw %}{{ clinic }}{% endraw %} {# gone #}",
    "</script><img src=x>",
    "C:\\temp\\n \\u{41} \\\\",
    "#set page(fill: red)",
    "`code` ```rust``` ~~~",
    "1. list",
    "- x",
    "+ x",
    "# h",
    "**b** __u__ ~~s~~",
    "&amp; &lt;b&gt; &#65;",
    "[link](http://x) <http://x> ![p](x)",
    "> quote | cell | --- |",
    "@ref <label> = head == h / term: x",
    "a -- b --- c ... 'q' \"q\" ~ x",
    "$(id) `id` ; rm x && y % x",
];

/// The whole text of the papers of a plan that must be accepted.
fn texts_of(plan: &str) -> Vec<(&'static str, Vec<String>)> {
    laid_out(plan, &Typesetter::embedded(), |papers| {
        assert!(!papers.is_stopped());
        assert_eq!(papers.made.len(), 3);
        papers
            .made
            .iter()
            .map(|made| (made.paper.as_str(), made.pages.texts()))
            .collect()
    })
}

/// The identity stands on every page of every paper, and once more in the body of each.
fn is_on_every_page(name: &str, papers: &[(&'static str, Vec<String>)]) {
    let name = squeeze(name);
    for (paper, pages) in papers {
        let mut times = 0;
        for (index, page) in pages.iter().enumerate() {
            let found = squeeze(page).matches(&name).count();
            assert!(
                found > 0,
                "{name} is not on page {} of {paper}:\n{page}",
                index + 1
            );
            times += found;
        }
        assert!(times > pages.len(), "{name} is not in the body of {paper}");
    }
}

#[test]
fn a_hostile_name_is_printed_as_typed_on_every_page() {
    for name in HOSTILE {
        is_on_every_page(name, &texts_of(&Plan::named(name).toml()));
    }
}

#[test]
fn an_independent_reader_finds_the_hostile_name_as_typed() {
    if !has_tool("pdftotext") {
        return;
    }
    let name = HOSTILE[0];
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::named(name).toml());
    let ran = run(desk.path(), &["make", "plan.toml"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    for paper in PAPERS {
        for (index, page) in read_back(&desk.path().join(paper))
            .expect("poppler is here")
            .iter()
            .enumerate()
        {
            assert!(
                squeeze(page).contains(&squeeze(name)),
                "page {} of {paper}:\n{page}",
                index + 1
            );
        }
    }
}

/// A plan and a clinic with a text in every free field, each with the field's name at its end, so that one field's text
/// does not answer for another's; and what each field says.
fn in_every_field(text: &str) -> (String, String, Vec<String>) {
    let said = |field: &str| format!("{text} {field}");
    let lot: Vec<char> = said("lot").chars().collect();
    let plan = Plan {
        batch: lot[lot.len().saturating_sub(40)..].iter().collect(),
        aim: said("aim"),
        event: said("event"),
        ..Plan::default()
    };
    let clinic = clinic_toml(
        &said("clinic"),
        &said("address"),
        &said("person"),
        &said("role"),
    );
    let mut all: Vec<String> = ["aim", "event", "clinic", "address", "person", "role"]
        .map(said)
        .to_vec();
    all.push(plan.batch.clone());
    (plan.toml(), clinic, all)
}

#[test]
fn hostile_text_in_every_free_field_is_laid_out_literally() {
    for text in HOSTILE {
        let (plan, clinic, said) = in_every_field(text);
        let laid_out = laid_out_at(&clinic, &plan, &Typesetter::embedded(), |papers| {
            papers
                .made
                .iter()
                .flat_map(|made| made.pages.texts())
                .collect::<String>()
        });
        let laid_out = squeeze(&laid_out);
        for text in said {
            assert!(
                laid_out.contains(&squeeze(&text)),
                "{text} is not laid out as typed"
            );
        }
    }
}

#[test]
fn an_independent_reader_finds_the_hostile_text_of_every_field() {
    if !has_tool("pdftotext") {
        return;
    }
    for text in HOSTILE {
        let (plan, clinic, said) = in_every_field(text);
        let desk = desk_of(&clinic);
        put(desk.path(), "plan.toml", plan);
        let ran = run(desk.path(), &["make", "plan.toml"]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{text}");
        let papers: Vec<String> = PAPERS
            .iter()
            .map(|paper| {
                squeeze(
                    &read_back(&desk.path().join(paper))
                        .expect("poppler is here")
                        .concat(),
                )
            })
            .collect();
        for text in &said {
            let text = squeeze(text);
            assert!(
                papers.iter().any(|paper| paper.contains(&text)),
                "poppler does not find {text} as typed"
            );
        }
        // nor is it changed on the terminal
        assert!(ran.out.contains(&format!("{text} event")), "{}", ran.out);
    }
}

#[test]
fn marks_that_stand_alone_are_not_drawn_over_the_next_letter() {
    if !has_tool("pdftotext") {
        return;
    }
    // people write ` and ´ for an apostrophe; ʻ and ʼ are letters of Hawaiian and Uzbek names, ʾ and ʿ of Arabic ones
    for mark in [
        '`', '´', '¨', '¸', 'ʻ', 'ʼ', 'ʽ', 'ʾ', 'ʿ', 'ˈ', 'ˆ', 'ˇ', '˜', '\'', '’', '^', '~',
    ] {
        let wide = |name: &str| {
            let desk = desk();
            put(desk.path(), "plan.toml", Plan::named(name).toml());
            assert_eq!(
                run(desk.path(), &["make", "plan.toml", "--only", "consent"]).code,
                0,
                "{name}"
            );
            let pages = boxes::pages(&desk.path().join(PAPERS[0])).expect("poppler is here");
            // everything between the left edge and the dot after the name, in the first line of the page
            let line = pages[0].words.iter().filter(|word| word.top < 45.0);
            line.clone()
                .find(|word| word.text == "·")
                .map(|dot| dot.left)
                .expect("a dot after the name")
        };
        let (with, without) = (
            wide(&format!("O{mark}a{mark}a{mark}a{mark}a")),
            wide("Oaaaa"),
        );
        // a mark of its own is a tenth of an em wide at least: four of them at 10.5 points
        assert!(
            with - without > 4.0 * 1.05,
            "{} takes {:.2} points in the name",
            character_name(mark),
            (with - without) / 4.0
        );
    }
}

#[test]
fn what_the_patient_told_is_printed_for_the_practitioner() {
    for text in HOSTILE {
        let plan = Plan {
            facts: format!("previous_unwanted_effect = {}", quoted(text)),
            ..Plan::default()
        };
        let papers = texts_of(&plan.toml());
        let (_, clinician) = papers
            .iter()
            .find(|(paper, _)| *paper == "clinician")
            .expect("three papers");
        assert!(
            squeeze(&clinician.concat()).contains(&squeeze(text)),
            "{text} is not on the practitioner's sheet"
        );
    }
}

#[test]
fn a_hostile_record_number_is_printed_on_every_page() {
    for record in [
        "#1 *2* $3$",
        "{{ 7 }}",
        "<b>&amp;",
        "\\1 `2`",
        "1. x",
        "- x",
    ] {
        let papers = texts_of(
            &Plan {
                record: record.to_owned(),
                ..Plan::default()
            }
            .toml(),
        );
        for (paper, pages) in &papers {
            assert!(
                pages
                    .iter()
                    .all(|page| squeeze(page).contains(&squeeze(record))),
                "{record} in {paper}"
            );
        }
    }
}

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
    let desk = desk_of(&clinic_toml(&word('c'), &word('a'), &word('p'), &word('r')));
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
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
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
fn names_in_scripts_the_program_carries_are_printed() {
    for name in [
        "سلمى التجريبية",
        "נועה בדיקה",
        "Ελένη Δοκιμή",
        "Анна Примерова",
        "Đỗ Thị Thử",
        "Žofie Ångström-Łącka",
        "O’Nolan–Sørbø (née Ñuñez)",
        "Mixed سلمى and נועה 12",
    ] {
        let desk = desk();
        put(desk.path(), "plan.toml", Plan::named(name).toml());
        // PDF/A forbids characters without a glyph, so a paper that is written has none
        let ran = run(desk.path(), &["make", "plan.toml"]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{name}");
        laid_out(
            &Plan::named(name).toml(),
            &Typesetter::embedded(),
            |papers| {
                for made in &papers.made {
                    for page in made.pages.texts() {
                        for word in name.split_whitespace() {
                            assert!(
                                squeeze(&page).contains(word),
                                "{word} of {name} is not on a page of {}",
                                made.paper.as_str()
                            );
                        }
                    }
                }
            },
        );
        if !has_tool("pdftotext") {
            continue;
        }
        for paper in PAPERS {
            for page in read_back(&desk.path().join(paper)).expect("poppler is here") {
                // poppler may put marks of direction around the words
                let page: String = page.chars().filter(|c| !is_refused(*c)).collect();
                for word in name.split_whitespace() {
                    assert!(
                        page.contains(word),
                        "poppler does not find {word} of {name} in {paper}:\n{page}"
                    );
                }
            }
        }
    }
}

#[test]
fn a_name_from_right_to_left_leaves_the_dates_after_it_in_order() {
    if !has_tool("pdftotext") {
        return;
    }
    let desk = desk();
    put(
        desk.path(),
        "plan.toml",
        Plan::named("سلمى التجريبية").toml(),
    );
    assert_eq!(run(desk.path(), &["make", "plan.toml"]).code, 0);
    for paper in PAPERS {
        for page in boxes::pages(&desk.path().join(paper)).expect("poppler is here") {
            let at = |wanted: &str| {
                page.words
                    .iter()
                    .filter(|word| word.top < 90.0)
                    .find(|word| word.text == wanted)
                    .map(|word| word.left)
            };
            let (day, month, year) = (at("11"), at("February"), at("1984"));
            assert!(
                day.is_some() && day < month && month < year,
                "{paper}: {day:?} {month:?} {year:?}"
            );
        }
    }
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
fn the_same_name_is_printed_with_a_font_that_has_the_script() {
    let name = "测试 试验";
    let desk = desk();
    let fonts = desk.path().join("fonts");
    std::fs::create_dir(&fonts).expect("a temporary folder");
    put(&fonts, "stand-in.ttf", stand_in_font::chinese());
    put(desk.path(), "plan.toml", Plan::named(name).toml());
    let ran = run(
        desk.path(),
        &[
            "make",
            "plan.toml",
            "--fonts",
            "fonts",
            "--out",
            "by-option",
        ],
    );
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    // the clinic file may name the folder instead; the papers are the same
    put(
        desk.path(),
        "clinic.toml",
        clinic().replace("[clinic]", "[clinic]\nfonts = \"fonts\""),
    );
    let ran = run(desk.path(), &["make", "plan.toml", "--out", "by-clinic"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    for paper in PAPERS {
        let read = |folder: &str| {
            std::fs::read(desk.path().join(folder).join(paper)).expect("it was written")
        };
        assert!(read("by-option") == read("by-clinic"), "{paper}");
        if !has_tool("pdftotext") {
            continue;
        }
        for page in read_back(&desk.path().join("by-option").join(paper)).expect("poppler is here")
        {
            assert!(squeeze(&page).contains(&squeeze(name)), "{paper}:\n{page}");
        }
    }
    // what the font lacks is still refused
    put(desk.path(), "plan.toml", Plan::named("测试 ทดสอบ").toml());
    let ran = run(desk.path(), &["make", "plan.toml", "--out", "by-clinic"]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("U+0E17 THAI"), "{}", ran.err);
}

#[test]
fn a_folder_of_fonts_that_is_not_there_ends_with_2() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    let ran = run(desk.path(), &["make", "plan.toml", "--fonts", "nowhere"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("nowhere"), "{}", ran.err);
}

#[test]
fn every_character_that_is_accepted_can_be_printed() {
    let typesetter = Typesetter::embedded();
    let accepted: Vec<char> = ('!'..=char::MAX)
        .filter(|c| {
            !c.is_whitespace()
                && !is_refused(*c)
                && typesetter.fonts().missing(&c.to_string()).is_none()
        })
        .collect();
    assert!(accepted.len() > 4000, "{}", accepted.len());
    // a letter before each, so that marks have something to stand on
    for some in accepted.chunks(66) {
        let name: String = some.iter().flat_map(|c| ['x', *c, ' ']).collect();
        laid_out(&Plan::named(name.trim()).toml(), &typesetter, |papers| {
            for made in &papers.made {
                // the standards refuse a character without a glyph
                if let Err(error) = made.pages.pdf() {
                    let names: Vec<String> = some.iter().map(|c| character_name(*c)).collect();
                    panic!("{}: {error}\none of {names:?}", made.paper.as_str());
                }
            }
            let page = papers.made[0].pages.texts().swap_remove(0);
            for c in some {
                assert!(
                    page.contains(*c),
                    "{} is accepted but not printed",
                    character_name(*c)
                );
            }
        });
    }
}
