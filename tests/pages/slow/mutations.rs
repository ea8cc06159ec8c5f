//! Breaks what must be printed in every way we could think of, one thing at a time, and shows that each break is noticed.
//! Invariant: every required statement is tried, not a sample; the figure caught / tried is printed and must be all.
//! Must not: count a break as noticed because something else went wrong; the unbroken papers must be whole.

use std::collections::BTreeSet;
use std::io::Write;
use std::path::Path;

use beforehand::catalogue::{Catalogue, Restriction};
use beforehand::diagnose::{Format, SourceFile};
use beforehand::paper::PaperKind;
use beforehand::papers::{self, Inputs, MakeOptions, mismatches};
use beforehand::plan::{self, Clinic, Visit};
use beforehand::select::select;
use beforehand::typeset::Typesetter;
use beforehand::wording::Approvals;
use beforehand::wording::Wording;
use beforehand::wording::library::{self, Statements};

const LOCK: &str = "tests/wording.lock";

/// Every language, each with the differences of one country: the first that has any.
fn languages() -> Vec<&'static str> {
    library::tags()
        .map(|language| {
            library::countries()
                .find(|tag| tag.split('-').next() == Some(language))
                .unwrap_or_else(|| panic!("{language} has no country to be tried in"))
        })
        .collect()
}

fn clinic(tag: &str) -> Clinic {
    let (language, country) = tag.split_once('-').expect("language and country");
    let region = if country == "GB" { "GB-ENG" } else { country };
    let text = format!(
        "[clinic]\nname = \"Invented\"\naddress = [\"Nowhere\"]\nphone = \"555 0101\"\nphone_out_of_hours = \"555 0102\"\n\
         region = \"{region}\"\nlanguage = \"{language}\"\ntime_zone = \"Europe/London\"\n\
         [[practitioner]]\nid = \"p\"\nname = \"P (invented)\"\nrole = \"doctor\"\nregistration = \"0\"\n"
    );
    let source =
        SourceFile::from_bytes("clinic.toml", text.as_bytes(), Format::Toml).expect("text");
    plan::read_clinic(&source, &papers::vocabulary(Catalogue::embedded())).expect("a good clinic")
}

/// Every treatable area, and facts that make the papers say more without stopping them.
fn visit(clinic: &Clinic, product: &str) -> Visit {
    let catalogue = Catalogue::embedded();
    let mut text = format!(
        "[patient]\nname = \"X (invented)\"\nborn = 1980-01-01\nrecord = \"1\"\nspeaks_publicly = true\nsinging = true\n\
         heavy_chewing = true\nanticoagulant_or_antiplatelet = true\nfacial_palsy = \"left\"\n\
         [visit]\ndate = 2026-12-03\ntime = 14:30\ninformed_on = 2026-11-01\npractitioner = \"p\"\n\
         [product]\nname = \"{product}\"\n"
    );
    for area in catalogue
        .areas
        .iter()
        .filter(|a| a.restriction.value != Restriction::DoNotTreat)
    {
        text.push_str(&format!(
            "[[area]]\nid = \"{}\"\nunits = 4\nreason = \"asymmetry\"\n",
            area.id
        ));
        if area.sides.len() > 1 {
            text.push_str("side = \"both\"\n");
        }
    }
    let source = SourceFile::from_bytes("plan.toml", text.as_bytes(), Format::Toml).expect("text");
    plan::read_plan(&source, &papers::vocabulary(catalogue), Some(clinic)).expect("a good plan")
}

fn statements(tag: &str) -> Statements {
    let (language, _) = tag.split_once('-').expect("language and country");
    let mut all = library::statements(language).expect("the language reads");
    all.extend(library::statements(tag).expect("the country reads"));
    all
}

/// The wording ids of everything that must be printed for the patient, over all products.
fn required_wordings(tag: &str) -> BTreeSet<String> {
    let (catalogue, clinic) = (Catalogue::embedded(), clinic(tag));
    let mut ids = BTreeSet::new();
    for product in &catalogue.products {
        let visit = visit(&clinic, product.id.as_str());
        let selection = select(catalogue, &clinic, &visit).expect("a selection");
        ids.extend(
            selection
                .statements
                .iter()
                .filter(|s| s.paper != PaperKind::CheckSheet)
                .map(|s| s.id.wording().to_owned()),
        );
    }
    ids
}

fn tell(line: &str) {
    let _ = writeln!(std::io::stderr(), "{line}");
}

/// Can the papers that need this statement be made with these words?
fn can_be_made(tag: &str, changed: Statements) -> bool {
    let (catalogue, clinic) = (Catalogue::embedded(), clinic(tag));
    catalogue.products.iter().all(|product| {
        let visit = visit(&clinic, product.id.as_str());
        let Ok(wording) = Wording::from_statements(tag, changed.clone()) else {
            return false;
        };
        let selection = select(catalogue, &clinic, &visit).expect("a selection");
        [PaperKind::Consent, PaperKind::Aftercare]
            .into_iter()
            .all(|paper| {
                beforehand::compose::compose(
                    paper,
                    beforehand::paper::Edition::Ordinary,
                    &selection,
                    &wording,
                    &Default::default(),
                    &Approvals::none(),
                )
                .is_ok()
            })
    })
}

#[test]
fn every_statement_deleted_blanked_doubled_or_swapped_is_noticed_in_every_language() {
    for tag in languages() {
        try_every_statement(tag);
    }
}

fn try_every_statement(tag: &str) {
    let original = statements(tag);
    assert!(
        can_be_made(tag, original.clone()),
        "the unbroken papers can be made"
    );
    let ids = required_wordings(tag);
    assert!(ids.len() > 200, "only {} statements", ids.len());
    let lock = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(LOCK))
        .expect("the lock file");
    let (mut caught, mut tried) = (0, 0);
    let mut missed = Vec::new();
    let mut count = |what: &str, id: &str, noticed: bool| {
        tried += 1;
        if noticed {
            caught += 1
        } else {
            missed.push(format!("{what} {id}"))
        }
    };
    let order: Vec<&String> = ids.iter().collect();
    for (index, id) in order.iter().enumerate() {
        // words of a country may lie over words of the language: what counts is what would be printed
        let mut without = original.clone();
        without.remove(*id);
        count("deleted", id, !can_be_made(tag, without));

        let mut blank = original.clone();
        blank.insert((*id).clone(), "{{ '' }}".to_owned());
        count("blanked", id, !can_be_made(tag, blank));
        let mut problems = Vec::new();
        library::read(
            "x.md",
            &format!("# x\n\n## {id}\n\n \n"),
            &mut Statements::new(),
            &mut problems,
        );
        count("emptied", id, !problems.is_empty());

        let twice = format!("# x\n\n## {id}\n\n{0}\n\n## {id}\n\n{0}\n", original[*id]);
        let mut problems = Vec::new();
        library::read("x.md", &twice, &mut Statements::new(), &mut problems);
        count("doubled", id, !problems.is_empty());

        // two statements exchanged still print; their words no longer match the lock that a person signed off
        let other = order[(index + 1) % order.len()];
        let exchanged = library::digest(&original[other]);
        let locked = lock
            .lines()
            .any(|line| line == format!("{tag} {id} {exchanged}"));
        count("swapped", id, !locked);
    }
    tell(&format!(
        "mutations of statements, {tag}: {caught} caught / {tried} tried"
    ));
    assert!(missed.is_empty(), "{tag}: not noticed: {missed:#?}");
}

/// The words of every statement as they were last read by a person. Changing words means changing this file, knowingly:
/// run the tests once with BEFOREHAND_LOCK=write.
#[test]
fn the_wording_is_the_one_that_was_read_last() {
    let mut current = String::from(
        "# Digest of every statement by country. Written by: BEFOREHAND_LOCK=write cargo test --test pages mutations\n",
    );
    // the oldest first, so that a new language is added at the end
    let mut tags: Vec<&str> = library::countries().collect();
    tags.sort_unstable();
    for tag in tags {
        for (id, text) in statements(tag) {
            current.push_str(&format!("{tag} {id} {}\n", library::digest(&text)));
        }
    }
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(LOCK);
    if std::env::var("BEFOREHAND_LOCK").as_deref() == Ok("write") {
        std::fs::write(&path, &current).expect("the lock file is written");
    }
    let locked = std::fs::read_to_string(&path).expect("the lock file");
    let changed: Vec<&str> = current
        .lines()
        .filter(|line| !locked.lines().any(|l| l == *line))
        .collect();
    assert!(
        changed.is_empty(),
        "words changed since they were last read: {changed:#?}"
    );
    assert_eq!(
        current.lines().count(),
        locked.lines().count(),
        "statements went away since they were last read"
    );
}

#[test]
fn every_required_entry_taken_out_of_an_area_is_noticed() {
    for tag in languages() {
        try_every_entry(tag);
    }
}

fn try_every_entry(tag: &str) {
    let wording = Wording::from_statements(tag, statements(tag)).expect("a complete language");
    assert!(
        mismatches(Catalogue::embedded(), &wording).is_empty(),
        "the unbroken catalogue fits its wording"
    );
    let (mut caught, mut tried) = (0, 0);
    for (index, area) in Catalogue::embedded().areas.iter().enumerate() {
        for risk in 0..area.risk.len() {
            let mut changed = Catalogue::embedded().clone();
            changed.areas[index].risk.remove(risk);
            tried += 1;
            caught += usize::from(!mismatches(&changed, &wording).is_empty());
        }
    }
    for risk in 0..Catalogue::embedded().general.risk.len() {
        let mut changed = Catalogue::embedded().clone();
        changed.general.risk.remove(risk);
        tried += 1;
        caught += usize::from(!mismatches(&changed, &wording).is_empty());
    }
    for flag in 0..Catalogue::embedded().general.red_flag.len() {
        let mut changed = Catalogue::embedded().clone();
        changed.general.red_flag.remove(flag);
        tried += 1;
        caught += usize::from(!mismatches(&changed, &wording).is_empty());
    }
    tell(&format!(
        "mutations of required entries, {tag}: {caught} caught / {tried} tried"
    ));
    assert!(tried > 60);
    assert_eq!(caught, tried);
}

/// Each break of a template: the file, the words taken out, the words put in.
const TEMPLATE_BREAKS: &[(&str, &str, &str)] = &[
    // the loops
    (
        "parts.typ",
        "for (index, item) in blocks.enumerate() {",
        "for (index, item) in blocks.slice(1).enumerate() {",
    ),
    (
        "parts.typ",
        "for (index, item) in blocks.enumerate() {",
        "for (index, item) in blocks.slice(0, calc.max(0, blocks.len() - 1)).enumerate() {",
    ),
    (
        "parts.typ",
        "for run in rich {",
        "for run in rich.slice(0, calc.max(0, rich.len() - 1)) {",
    ),
    (
        "parts.typ",
        "for (index, piece) in list-of-pieces.enumerate() {",
        "for (index, piece) in list-of-pieces.slice(0, calc.max(0, list-of-pieces.len() - 1)).enumerate() {",
    ),
    (
        "parts.typ",
        "..items.map(item-of)",
        "..items.slice(1).map(item-of)",
    ),
    (
        "parts.typ",
        "for (index, entry) in items.enumerate() {",
        "for (index, entry) in items.slice(1).enumerate() {",
    ),
    (
        "parts.typ",
        "..timed.map(row => (",
        "..timed.slice(calc.min(1, timed.len())).map(row => (",
    ),
    (
        "parts.typ",
        "for row in rows.filter(row => not row.timed) {",
        "for row in () {",
    ),
    (
        "parts.typ",
        "..block-data.rows.map(",
        "..block-data.rows.slice(1).map(",
    ),
    (
        "parts.typ",
        "..block-data.rows.map(",
        "..block-data.rows.rev().slice(1).map(",
    ),
    (
        "parts.typ",
        "row.cells.enumerate().map(",
        "row.cells.slice(0, 1).enumerate().map(",
    ),
    (
        "parts.typ",
        "            render(item.blocks)\n",
        "            render(item.blocks.slice(1))\n",
    ),
    (
        "parts.typ",
        "for inner in item.blocks {",
        "for inner in item.blocks.slice(1) {",
    ),
    (
        "paper.typ",
        "#render(data.blocks, large: is-large(data), head: head)",
        "#render(data.blocks.slice(0, 20))",
    ),
    (
        "paper.typ",
        "#render(data.blocks, large: is-large(data), head: head)",
        "#render(data.blocks)\n#render(data.blocks)",
    ),
    (
        "paper.typ",
        "#render(data.blocks, large: is-large(data), head: head)",
        "",
    ),
    // what is no statement
    (
        "parts.typ",
        "      heading(level: item.level, item.text)",
        "      none",
    ),
    ("parts.typ", "let pair = strong(label)", "let pair = none"),
    (
        "parts.typ",
        "text(size: 1.4em, weight: \"bold\", row.at(1))",
        "none",
    ),
    ("parts.typ", "  field.label\n", "  none\n"),
    (
        "parts.typ",
        "table.header(..block-data.header.map(cell => table.cell(breakable: false, strong(cell)))),",
        "table.header(..block-data.header.map(cell => table.cell(breakable: false, none))),",
    ),
    // the marks
    (
        "parts.typ",
        "#let begin(id) = metadata((statement: id, edge: \"begin\"))",
        "#let begin(id) = none",
    ),
    (
        "parts.typ",
        "#let end(id) = metadata((statement: id, edge: \"end\"))",
        "#let end(id) = none",
    ),
    (
        "parts.typ",
        "begin(mark) + body + end(mark)",
        "begin(mark) + end(mark) + body",
    ),
    // what can be seen
    ("parts.typ", "strong(run.t)", "hide(strong(run.t))"),
    (
        "parts.typ",
        "} else { run.t }",
        "} else { text(fill: white, run.t) }",
    ),
    (
        "parts.typ",
        "} else { run.t }",
        "} else { text(fill: rgb(\"#999999\"), run.t) }",
    ),
    (
        "parts.typ",
        "} else { run.t }",
        "} else { text(size: 6pt, run.t) }",
    ),
    (
        "parts.typ",
        "} else { run.t }",
        "} else { text(lang: \"de\", run.t) }",
    ),
    (
        "parts.typ",
        "} else { run.t }",
        "} else { move(dx: 30cm, run.t) }",
    ),
    (
        "parts.typ",
        "} else { run.t }",
        "} else { box(width: 1cm, clip: true, run.t) }",
    ),
    ("parts.typ", "} else { run.t }", "} else { upper(run.t) }"),
    ("theme.typ", "    size: size,", "    size: 8pt,"),
    (
        "theme.typ",
        "#let ink = rgb(\"#1b1f23\")",
        "#let ink = rgb(\"#8a8f93\")",
    ),
    (
        "theme.typ",
        "let side = (width - room) / 2",
        "let side = 0.6cm",
    ),
    ("theme.typ", "lang: parts.at(0)", "lang: \"fr\""),
];

/// Breaks of what only large print does.
const LARGE_BREAKS: &[(&str, &str, &str)] = &[
    (
        "parts.typ",
        "if high(before) + box + 2em.to-absolute() <= whole { return render((warning,)) + render(after) }",
        "if true { return render((warning,)) }",
    ),
    (
        "parts.typ",
        "render(after.map(raised)) + render((",
        "render((",
    ),
    (
        "parts.typ",
        "render((if box > whole { splitting(warning) } else { warning },))",
        "[]",
    ),
    (
        "parts.typ",
        "done = index + 1 + after.len()",
        "done = index + 3 + after.len()",
    ),
];

#[test]
fn every_broken_template_is_noticed() {
    let (caught, missed) = try_breaks(TEMPLATE_BREAKS, false);
    tell(&format!(
        "mutations of templates: {caught} caught / {} tried",
        TEMPLATE_BREAKS.len()
    ));
    assert!(missed.is_empty(), "not noticed: {missed:#?}");
}

#[test]
fn every_break_of_large_print_is_noticed() {
    let (caught, missed) = try_breaks(LARGE_BREAKS, true);
    tell(&format!(
        "mutations of templates, large print: {caught} caught / {} tried",
        LARGE_BREAKS.len()
    ));
    assert!(missed.is_empty(), "not noticed: {missed:#?}");
}

/// How many breaks were noticed, and those that were not.
fn try_breaks(breaks: &[(&str, &str, &str)], print: bool) -> (usize, Vec<String>) {
    // in large print the box of warning signs needs a page of its own in Spanish in the US, where the type is largest
    let tag = match print {
        false => "en-GB",
        true => "es-US",
    };
    let (catalogue, clinic) = (Catalogue::embedded(), clinic(tag));
    let visit = visit(&clinic, "onabotulinumtoxinA");
    let noticed = |typesetter: &Typesetter| {
        let wording = Wording::from_statements(tag, statements(tag)).expect("English");
        match papers::make(
            Inputs {
                catalogue,
                clinic: &clinic,
                visit: &visit,
                approvals: &Approvals::none(),
                typesetter,
            },
            &MakeOptions {
                wording: Some(std::sync::Arc::new(wording)),
                large_print: print,
                ..MakeOptions::default()
            },
        ) {
            Err(_) => true,
            Ok(papers) => papers
                .papers
                .iter()
                .any(|made| !made.coverage.is_complete()),
        }
    };
    assert!(
        !noticed(&Typesetter::embedded()),
        "the unbroken templates print everything"
    );
    let (mut caught, mut missed) = (0, Vec::new());
    for (file, from, to) in breaks {
        let templates: Vec<(&str, String)> = Typesetter::templates()
            .iter()
            .map(|(name, text)| {
                let changed = if name == file {
                    text.replacen(from, to, 1)
                } else {
                    (*text).to_owned()
                };
                assert!(
                    name != file || changed != *text,
                    "{file}: the break did not take: {from}"
                );
                (*name, changed)
            })
            .collect();
        let typesetter =
            Typesetter::with_templates(templates.iter().map(|(name, text)| (*name, text.as_str())));
        if noticed(&typesetter) {
            caught += 1
        } else {
            missed.push(format!("{file}: {from} -> {to}"))
        }
    }
    (caught, missed)
}
