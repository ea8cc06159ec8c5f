//! Text that is code to a typesetter, to Markdown, to templates, to HTML or to a shell, in every field: printed as typed.

use super::{PAPERS, is_on_every_page, texts_of};
use crate::support::{
    ClinicFile, Plan, desk, desk_of, has_tool, laid_out_at, put, quoted, read_back, run, squeeze,
};
use beforehand::typeset::Typesetter;

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
    let clinic = ClinicFile {
        name: said("clinic"),
        address: vec![said("address")],
        person: said("person"),
        role: said("role"),
        ..ClinicFile::default()
    }
    .toml();
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
                .papers
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
            .expect("a check sheet");
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
