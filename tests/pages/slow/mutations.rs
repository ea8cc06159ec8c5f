//! Breaks what must be printed in every way we could think of, one thing at a time, and shows that each break is noticed.
//! Invariant: every required statement is tried, not a sample; the figure caught / tried is printed and must be all.
//! Must not: count a break as noticed because something else went wrong; the unbroken papers must be whole.

use std::collections::BTreeMap;

use beforehand::called_for::mismatches;
use beforehand::catalogue::Catalogue;
use beforehand::paper::PaperKind;
use beforehand::papers::MakeOptions;
use beforehand::plan::{Clinic, Visit};
use beforehand::select::{Selection, select};
use beforehand::typeset::Typesetter;
use beforehand::wording::Approvals;
use beforehand::wording::Wording;
use beforehand::wording::library::{self, Statements};

use crate::support::catalogue::treatable_ids;
use crate::support::referee::tell;
use crate::support::templates::with_changes;
use crate::support::wording::statements;
use crate::support::{ClinicFile, Plan, areas, in_words, make, root};

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
    ClinicFile {
        language: language.to_owned(),
        ..ClinicFile::at(region)
    }
    .read()
}

/// Every treatable area, and facts that make the papers say more without stopping them.
fn visit(clinic: &Clinic, product: &str) -> Visit {
    visit_of(clinic, product, &treatable_ids())
}

fn visit_of(clinic: &Clinic, product: &str, planned: &[&str]) -> Visit {
    let facts = "speaks_publicly = true\nsinging = true\nheavy_chewing = true\nanticoagulant_or_antiplatelet = true\n\
                 facial_palsy = \"left\"";
    Plan {
        facts: facts.to_owned(),
        product: format!("name = \"{product}\""),
        rest: areas(
            planned.iter().copied(),
            "units = 4\nreason = \"asymmetry\"\n",
        ),
        ..Plan::when("date = 2026-12-03\ntime = 14:30\ninformed_on = 2026-11-01")
    }
    .read(clinic)
}

/// The plan with each product of the vocabulary.
fn visits(clinic: &Clinic) -> Vec<Visit> {
    let products = Catalogue::embedded().products.iter();
    products
        .map(|product| visit(clinic, product.id.as_str()))
        .collect()
}

/// The wording ids of everything that must be printed for the patient, over all products, and a paper that needs each.
fn required_wordings(selections: &[Selection<'_>]) -> BTreeMap<String, PaperKind> {
    let all = selections
        .iter()
        .flat_map(|selection| &selection.statements);
    all.filter(|s| s.paper != PaperKind::CheckSheet)
        .map(|s| (s.id.wording().to_owned(), s.paper))
        .collect()
}

/// Can the papers be made with these words? The one that needs the changed words is tried first.
fn can_be_made(
    tag: &str,
    selections: &[Selection<'_>],
    first: PaperKind,
    changed: Statements,
) -> bool {
    let Ok(wording) = Wording::from_statements(tag, changed) else {
        return false;
    };
    let made = |paper, selection| {
        beforehand::compose::compose(
            paper,
            beforehand::paper::Edition::Ordinary,
            selection,
            wording.recorded(),
            &Default::default(),
            &Approvals::none(),
        )
        .is_ok()
    };
    let others = [
        PaperKind::Information,
        PaperKind::Consent,
        PaperKind::Aftercare,
    ];
    let mut kinds = std::iter::once(first).chain(others.into_iter().filter(|kind| *kind != first));
    kinds.all(|paper| selections.iter().all(|selection| made(paper, selection)))
}

#[test]
fn every_statement_deleted_blanked_doubled_or_swapped_is_noticed_in_every_language() {
    for tag in languages() {
        try_every_statement(tag);
    }
}

fn try_every_statement(tag: &str) {
    let original = statements(tag);
    let clinic = clinic(tag);
    let visits = visits(&clinic);
    let selected = |visit| select(Catalogue::embedded(), &clinic, visit).expect("a selection");
    let selections: Vec<_> = visits.iter().map(selected).collect();
    let can_be_made = |first, changed| can_be_made(tag, &selections, first, changed);
    assert!(
        can_be_made(PaperKind::Information, original.clone()),
        "the unbroken papers can be made"
    );
    let ids = required_wordings(&selections);
    assert!(ids.len() > 200, "only {} statements", ids.len());
    let lock = std::fs::read_to_string(root().join("tests/wording.lock")).expect("the lock file");
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
    let order: Vec<&String> = ids.keys().collect();
    for (index, (id, paper)) in ids.iter().enumerate() {
        // words of a country may lie over words of the language: what counts is what would be printed
        let mut without = original.clone();
        without.remove(id);
        count("deleted", id, !can_be_made(*paper, without));

        let mut blank = original.clone();
        blank.insert(id.clone(), "{{ '' }}".to_owned());
        count("blanked", id, !can_be_made(*paper, blank));
        let mut problems = Vec::new();
        library::read(
            "x.md",
            &format!("# x\n\n## {id}\n\n \n"),
            &mut Statements::new(),
            &mut problems,
        );
        count("emptied", id, !problems.is_empty());

        let twice = format!("# x\n\n## {id}\n\n{0}\n\n## {id}\n\n{0}\n", original[id]);
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
        "rich.typ",
        "for run in rich {",
        "for run in rich.slice(0, calc.max(0, rich.len() - 1)) {",
    ),
    (
        "rich.typ",
        "for (index, piece) in list-of-pieces.enumerate() {",
        "for (index, piece) in list-of-pieces.slice(0, calc.max(0, list-of-pieces.len() - 1)).enumerate() {",
    ),
    (
        "parts.typ",
        "..items.map(entry => block(breakable: false, item-of(entry))))",
        "..items.slice(1).map(entry => block(breakable: false, item-of(entry))))",
    ),
    (
        "parts.typ",
        "par(for (index, entry) in item.items.enumerate() {",
        "par(for (index, entry) in item.items.slice(1).enumerate() {",
    ),
    (
        "parts.typ",
        "for (index, row) in item.rows.enumerate() {",
        "for (index, row) in item.rows.slice(1).enumerate() {",
    ),
    (
        "parts.typ",
        "let cells = range(row.cells.len()).map(",
        "let cells = range(1).map(",
    ),
    (
        "parts.typ",
        "..statements.map(inner => grid.cell(breakable: false",
        "..statements.slice(1).map(inner => grid.cell(breakable: false",
    ),
    (
        "parts.typ",
        "grid.header({ head(raised(13.5pt)); part(lead) }),",
        "grid.header({ head(raised(13.5pt)) }),",
    ),
    (
        "parts.typ",
        "    cells.chunks(2).enumerate()",
        "    cells.chunks(2).slice(1).enumerate()",
    ),
    (
        "parts.typ",
        "    pieces(cell.pieces, mark: cell.mark)",
        "    []",
    ),
    (
        "parts.typ",
        "let cells = item.rows.map(row =>",
        "let cells = item.rows.slice(1).map(row =>",
    ),
    (
        "forms.typ",
        "all.map(item => { band(",
        "all.slice(1).map(item => { band(",
    ),
    (
        "forms.typ",
        "list(tight: false, ..item.signs.map(item-of))",
        "list(tight: false, ..item.signs.slice(1).map(item-of))",
    ),
    (
        "forms.typ",
        "for number in item.numbers {",
        "for number in item.numbers.slice(0, 1) {",
    ),
    ("forms.typ", "all.slice(first.len()).map(of).join()", ""),
    (
        "forms.typ",
        "first.map(of).join()",
        "first.slice(1).map(of).join()",
    ),
    (
        "forms.typ",
        "{ saying.lead; [ ]; text(lang: saying.language, saying.words); if",
        "{ saying.lead; if",
    ),
    ("forms.typ", "{ [ ]; saying.to-write.first() }", "{ }"),
    (
        "forms.typ",
        "{ set text(fill: ink); sayings-of(item) }",
        "none",
    ),
    ("forms.typ", "{ saying.lead; [ ]; text", "{ text"),
    (
        "forms.typ",
        "let entries = row.items.map(",
        "let entries = row.items.slice(1).map(",
    ),
    (
        "forms.typ",
        "let rows = item.rows.map(row => (",
        "let rows = item.rows.slice(1).map(row => (",
    ),
    (
        "forms.typ",
        "  for note in after { [ ]; strong(box(note)) }",
        "",
    ),
    (
        "forms.typ",
        "for (index, name) in named.names.enumerate() {",
        "for (index, name) in named.names.slice(1).enumerate() {",
    ),
    (
        "forms.typ",
        "for named in item.every { names-of(",
        "for named in item.every.slice(1) { names-of(",
    ),
    (
        "forms.typ",
        r##"  for row in rows {
    block(above: 0pt, below: spaced(3pt)"##,
        r##"  for row in rows.slice(1) {
    block(above: 0pt, below: spaced(3pt)"##,
    ),
    (
        "paper.typ",
        "} else { render(body) }",
        "} else { render(body.slice(0, 20)) }",
    ),
    (
        "paper.typ",
        "} else { render(body) }",
        "} else { render(body); render(body) }",
    ),
    ("paper.typ", "} else { render(body) }", "}"),
    (
        "parts.typ",
        "} else { heading(level: item.level, item.text) }",
        "} else { none }",
    ),
    (
        "parts.typ",
        "pair(small(name), if first { strong(value) } else { value })",
        "pair(none, if first { strong(value) } else { value })",
    ),
    (
        "parts.typ",
        "pair(small(name), if first { strong(value) } else { value })",
        "small(name)",
    ),
    (
        "forms.typ",
        r##"if number.large { to-call(number.text) } else { number.text }"##,
        "if number.large { none } else { number.text }",
    ),
    (
        "forms.typ",
        r##"  small(field.label)
"##,
        r##"  none
"##,
    ),
    (
        "parts.typ",
        "pair(spacing: 1pt, strong(cell), small(below))",
        "pair(spacing: 1pt, none, small(below))",
    ),
    ("paper.typ", "block(spacing: 4pt, note(address))", "none"),
    (
        "rich.typ",
        r##"#let begin(id) = metadata((statement: id, edge: "begin"))"##,
        "#let begin(id) = none",
    ),
    (
        "rich.typ",
        r##"#let end(id) = metadata((statement: id, edge: "end"))"##,
        "#let end(id) = none",
    ),
    (
        "rich.typ",
        "begin(mark) + runs(entry.text) + end(mark)",
        "begin(mark) + end(mark) + runs(entry.text)",
    ),
    ("rich.typ", "strong(run.t)", "hide(strong(run.t))"),
    (
        "rich.typ",
        "} else { run.t }",
        "} else { text(fill: white, run.t) }",
    ),
    (
        "rich.typ",
        "} else { run.t }",
        r##"} else { text(fill: rgb("#999999"), run.t) }"##,
    ),
    (
        "rich.typ",
        "} else { run.t }",
        "} else { text(size: 6pt, run.t) }",
    ),
    (
        "rich.typ",
        "} else { run.t }",
        r##"} else { text(lang: "de", run.t) }"##,
    ),
    (
        "rich.typ",
        "} else { run.t }",
        "} else { move(dx: 30cm, run.t) }",
    ),
    (
        "rich.typ",
        "} else { run.t }",
        "} else { box(width: 1cm, clip: true, run.t) }",
    ),
    ("rich.typ", "} else { run.t }", "} else { upper(run.t) }"),
    ("theme.typ", "    size: type-size,", "    size: 8pt,"),
    (
        "theme.typ",
        r##"#let ink = rgb("#000000")"##,
        r##"#let ink = rgb("#8a8f93")"##,
    ),
    (
        "theme.typ",
        "#let side = (page-width - field) / 2",
        "#let side = 0.6cm",
    ),
    ("theme.typ", "lang: parts.at(0)", r##"lang: "fr""##),
];

/// Breaks of what only large print does.
const LARGE_BREAKS: &[(&str, &str, &str)] = &[
    (
        "forms.typ",
        "  if large { block(width: 100%, above: half, below: half, every) }",
        "",
    ),
    (
        "forms.typ",
        "gap, area, grid(columns: (1fr, 2fr)",
        "gap, none, grid(columns: (1fr, 2fr)",
    ),
    (
        "forms.typ",
        "list(grid.header(grid.cell(colspan: 2, strong(row.lead))))",
        "list()",
    ),
    ("forms.typ", " if large { sayings-of(item) }", ""),
    (
        "forms.typ",
        "block(above: half, below: 0pt, signs) }) }",
        "none }) }",
    ),
    ("parts.typ", "  block(spacing: 0pt, cells.first())", ""),
    (
        "parts.typ",
        "inset: (top: gap), ..cells.slice(1))",
        "inset: (top: gap), ..cells.slice(2))",
    ),
    (
        "parts.typ",
        "    cells.enumerate().map(((index, cell)) => block(",
        "    cells.slice(1).enumerate().map(((index, cell)) => block(",
    ),
    (
        "parts.typ",
        "    block(above: spaced(12pt), below: spaced(12pt), width: 100%, render((picture,)))",
        "    none",
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
fn try_breaks(breaks: &[(&str, &str, &str)], large_print: bool) -> (usize, Vec<String>) {
    // in large print the box of warning signs needs a page of its own in Spanish in the US, where the type is largest
    let tag = match large_print {
        false => "en-GB",
        true => "es-US",
    };
    let clinic = clinic(tag);
    // in ordinary print four areas already have every part of every paper
    let planned: Vec<&str> = match large_print {
        false => vec!["masseter", "orbicularis-oris", "platysma", "glabella"],
        true => treatable_ids(),
    };
    let visit = visit_of(&clinic, "onabotulinumtoxinA", &planned);
    let noticed = |typesetter: &Typesetter| {
        let wording = Wording::from_statements(tag, statements(tag)).expect("English");
        let options = MakeOptions {
            large_print,
            ..in_words(wording)
        };
        match make(&clinic, &visit, &Approvals::none(), typesetter, &options) {
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
        assert_ne!(from, to, "{file}: the break does nothing");
        if noticed(&with_changes(&[(file, from, to)])) {
            caught += 1
        } else {
            missed.push(format!("{file}: {from} -> {to}"))
        }
    }
    (caught, missed)
}
