//! Scripts and marks: what the built-in fonts carry is drawn in its own room, what they lack comes from a folder of fonts.

use super::PAPERS;
use crate::support::{
    Plan, boxes, clinic, desk, has_tool, laid_out, put, quoted, read_back, run, squeeze,
    stand_in_font,
};
use beforehand::diagnose::{character_name, is_refused};
use beforehand::typeset::Typesetter;

#[test]
fn marks_that_stand_alone_are_not_drawn_over_the_next_letter() {
    if !has_tool("pdftotext") {
        return;
    }
    let wide = |name: &str| {
        let desk = desk();
        put(desk.path(), "plan.toml", Plan::named(name).toml());
        assert_eq!(
            run(desk.path(), &["make", "plan.toml", "--only", "consent"]).code,
            0,
            "{name}"
        );
        let pages = boxes::pages(&desk.path().join(PAPERS[1])).expect("poppler is here");
        // everything between the left edge and the word after the name, in the running head of the back
        let line = pages[1].words.iter().filter(|word| word.top < 90.0);
        line.clone()
            .find(|word| word.text == "born")
            .map(|word| word.left)
            .expect("the date of birth after the name")
    };
    let without = wide("Oaaaa");
    // people write ` and ´ for an apostrophe; ʻ and ʼ are letters of Hawaiian and Uzbek names, ʾ and ʿ of Arabic ones
    for mark in [
        '`', '´', '¨', '¸', 'ʻ', 'ʼ', 'ʽ', 'ʾ', 'ʿ', 'ˈ', 'ˆ', 'ˇ', '˜', '\'', '’', '^', '~',
    ] {
        let with = wide(&format!("O{mark}a{mark}a{mark}a{mark}a"));
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
                for made in &papers.papers {
                    for page in made.pages.texts() {
                        for word in name.split_whitespace() {
                            assert!(
                                squeeze(&page).contains(word),
                                "{word} of {name} is not on a page of {}",
                                made.kind.as_str()
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
                    // in the running head, and on the first page in its own grid or line
                    .filter(|word| word.top < 220.0)
                    .find(|word| word.text.trim_end_matches(',') == wanted)
                    .map(|word| word.left)
            };
            let (day, month, year) = (at("11"), at("Feb"), at("1984"));
            assert!(
                day.is_some() && day < month && month < year,
                "{paper}: {day:?} {month:?} {year:?}"
            );
        }
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

/// Characters, each with a letter and a space, that a field has room for.
const FIELD: usize = 66;

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
    let words = |some: &[char]| -> String {
        let all: String = some.iter().flat_map(|c| ['x', *c, ' ']).collect();
        all.trim().to_owned()
    };
    // as many as a field holds, and as many fields as make one visit dear: each character costs less than with a visit of its own
    for some in accepted.chunks(FIELD * 8) {
        let mut fields = some.chunks(FIELD).map(words);
        let name = fields.next().expect("a chunk is not empty");
        let events = fields.enumerate().map(|(at, what)| {
            let (day, what) = (10 + at, quoted(&what));
            format!("[[event]]\ndate = 2026-12-{day}\nwhat = {what}\n")
        });
        let plan = Plan {
            rest: events.collect(),
            event: String::new(),
            ..Plan::named(&name)
        };
        laid_out(&plan.toml(), &typesetter, |papers| {
            for made in &papers.papers {
                // the standards refuse a character without a glyph
                if let Err(error) = made.pages.pdf() {
                    let names: Vec<String> = some.iter().map(|c| character_name(*c)).collect();
                    panic!("{}: {error}\none of {names:?}", made.kind.as_str());
                }
            }
            let pages = papers.papers[0].pages.texts().concat();
            for c in some {
                assert!(
                    pages.contains(*c),
                    "{} is accepted but not printed",
                    character_name(*c)
                );
            }
        });
    }
}
