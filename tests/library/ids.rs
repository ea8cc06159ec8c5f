//! Ids of statements and labels are put together and taken apart in the domain module alone; the sources are read for it.
//!
//! Must not: take file names or places in a plan for ids (they are listed, each with what it is).

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use beforehand::called_for::wording_ids;
use beforehand::catalogue::Catalogue;
use beforehand::domain::{Formulation, Standing, StatementId, family};
use beforehand::select::product_statements;
use beforehand::wording::library;

/// Formats of this shape that are no ids.
const NO_IDS: &[(&str, &str)] = &[
    ("logo.{}", "the name of a file"),
    ("{}.pdf", "the name of a file"),
    ("{stem}.pdf", "the name of a file"),
    ("{}.ics", "the name of a file"),
    ("{}.html", "the name of a file"),
    ("{stem}.html", "the name of a file"),
    ("zones/{name}/{}/{what}", "a part of the drawing"),
    ("front/{part_of}", "a part of the drawing"),
    ("front/{part}", "a part of the drawing"),
    ("{tag}/{file}", "the name of a file"),
    ("{tag}/desk.md", "the name of a file"),
    ("{stem}.toml", "the name of a file"),
    ("{stem}-{n}.toml", "the name of a file"),
    ("{}.{n}", "a place in a plan"),
    ("{path}.{key}", "a place in a plan"),
];

/// Files that cut names of files at their dots and folders.
const CUT_FILE_NAMES: &[&str] = &["overlay/mod.rs"];

/// Layers that put together and take apart the names of a form's fields (`area.masseter.units`) and of the desk's words, which
/// are no ids of statements.
const NAME_FIELDS: &[&str] = &["plan_form/", "desk/"];

/// Parts of ids below the family: of an area's risks and labels.
const PARTS: [&str; 6] = ["risk", "poor", "serious", "name", "where", "aim"];

/// Ways to cut a text that ids could be cut in.
const CUTS: [&str; 9] = [
    "split('.')",
    "split_once('.')",
    "rsplit('.')",
    "rsplit_once('.')",
    "split('/')",
    "split_once('/')",
    "rsplit('/')",
    "rsplit_once('/')",
    "['.', '/']",
];

/// A text in quotation marks, and the code before it on the way there.
struct Literal<'t> {
    line: usize,
    before: &'t str,
    text: &'t str,
}

/// Every plain text in quotation marks of a source, comments and the module of tests left out.
fn literals(source: &str) -> Vec<Literal<'_>> {
    let source = source
        .split("#[cfg(test)]\nmod tests")
        .next()
        .unwrap_or_default();
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(c) = source[at..].chars().next() {
        let rest = &source[at..];
        at += if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("'\"'") {
            3
        } else if rest.starts_with("'\\\"'") {
            4
        } else if rest.starts_with("r#\"") {
            rest.find("\"#").map_or(rest.len(), |end| end + 2)
        } else if c == '"' {
            let mut escaped = false;
            let end = rest[1..].find(|c| {
                let ends = c == '"' && !escaped;
                escaped = c == '\\' && !escaped;
                ends
            });
            let end = end.map_or(rest.len(), |end| end + 1);
            found.push(Literal {
                line: source[..at].matches('\n').count() + 1,
                before: source[..at].trim_end(),
                text: &rest[1..end],
            });
            end + 1
        } else {
            c.len_utf8()
        };
        at = at.min(source.len());
    }
    found
}

/// A format made of words and values between full stops or slashes, as ids are.
fn builds_an_id(literal: &Literal<'_>) -> bool {
    let mut shape = String::new();
    let mut rest = literal.text;
    while let Some((before, value)) = rest.split_once('{') {
        shape.push_str(before);
        shape.push('#');
        rest = value.split_once('}').map_or("", |(_, after)| after);
    }
    shape.push_str(rest);
    let word = |part: &str| {
        let allowed = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || "-_#".contains(c);
        !part.is_empty() && part.chars().all(allowed)
    };
    literal.before.ends_with("format!(")
        && shape.contains('#')
        && shape.contains(['.', '/'])
        && shape.split(['.', '/']).all(word)
}

/// A part of an id with a full stop at one of its ends: only good for gluing ids together or for cutting them.
fn is_a_part(literal: &Literal<'_>, families: &BTreeSet<String>) -> bool {
    let bare = literal.text.trim_matches(['.', '/']);
    bare.len() < literal.text.len() && (families.contains(bare) || PARTS.contains(&bare))
}

/// What every id may begin with: areas, and the families of the wording.
fn families() -> BTreeSet<String> {
    let words = library::statements("en").expect("English words");
    let areas = Catalogue::embedded().areas.iter().map(|a| a.id.as_str());
    words
        .keys()
        .map(|id| family(id))
        .chain(areas)
        .map(str::to_owned)
        .collect()
}

/// What a source does with ids that only the domain module may.
fn found_in(name: &str, source: &str, families: &BTreeSet<String>) -> Vec<String> {
    let mut found = Vec::new();
    for literal in literals(source) {
        let (line, text) = (literal.line, literal.text);
        let known = NO_IDS.iter().any(|(allowed, _)| *allowed == text);
        if builds_an_id(&literal) && !known {
            found.push(format!("{name}:{line}: `{text}` builds an id"));
        }
        if is_a_part(&literal, families) {
            found.push(format!("{name}:{line}: `{text}` is a part of an id"));
        }
    }
    if !CUT_FILE_NAMES.contains(&name) {
        for (number, line) in source.lines().enumerate() {
            let code = !line.trim_start().starts_with("//");
            if code && CUTS.iter().any(|cut| line.contains(cut)) {
                found.push(format!("{name}:{}: takes an id apart", number + 1));
            }
        }
    }
    found
}

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

#[test]
fn only_the_domain_puts_ids_together_and_takes_them_apart() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let (mut paths, families) = (Vec::new(), families());
    sources(&root, &mut paths);
    let mut found = Vec::new();
    let mut domain = 0;
    for path in &paths {
        let name = path.strip_prefix(&root).expect("under src");
        let name = name.to_str().expect("a plain name").replace('\\', "/");
        if NAME_FIELDS.iter().any(|layer| name.starts_with(layer)) {
            continue;
        }
        let source = std::fs::read_to_string(path).expect("a source file");
        let said = found_in(&name, &source, &families);
        if name.starts_with("domain/") {
            domain += said.len();
        } else {
            found.extend(said);
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
    assert!(domain > 10, "in the domain itself only {domain} were seen");
}

#[test]
fn what_it_looks_for_is_seen() {
    let families = families();
    let seen = |code: &str| !found_in("cli/x.rs", code, &families).is_empty();
    for planted in [
        r#"let id = format!("{}.risk.{}", area.id, risk.id);"#,
        r#"let id = format!("general.{name}");"#,
        r#"self.label(&format!("side.{}", side.as_str()))"#,
        r#"let id = format!(
            "{}/general.{}", area, name);"#,
        r#"format!("n.{}", number.id)"#,
        r#"let id = area.to_owned() + ".name";"#,
        r#"["general.", "risk"].concat()"#,
        r#"id.starts_with("advice.")"#,
        r#"mark.contains(".risk.")"#,
        r#"id.strip_prefix("term.")"#,
        r#"id.strip_prefix("masseter.")"#,
        "let (owner, rest) = id.split_once('/')?;",
        "id.split('.').next()",
    ] {
        assert!(seen(planted), "{planted}");
    }
    for fine in [
        r#"let name = format!("{}.pdf", stem);"#,
        r#"format!("{}. ", number)"#,
        r#"format!("Write {}.", shape)"#,
        r#"self.label("consent.title")"#,
        r#"// format!("general.{}", id)"#,
        "let parts = date.split('-');",
    ] {
        assert!(!seen(fine), "{fine}");
    }
}

/// Every id the catalogue calls for, as text, leads back to the same parts.
#[test]
fn every_statement_of_the_catalogue_is_read_back() {
    let catalogue = Catalogue::embedded();
    let of_areas = catalogue.areas.iter().flat_map(|area| area.statement_ids());
    let mut tried = 0;
    let of_products = catalogue.products.iter().flat_map(|product| {
        let forms = [None, Some(Formulation::Powder), Some(Formulation::Liquid)];
        let names = forms.map(|form| product_statements(product, form));
        let of_product = |name| StatementId::of_product(&product.id, name);
        names.into_iter().flatten().map(of_product)
    });
    let standings =
        Standing::ALL.map(|standing| StatementId::standing(&"onabotulinumtoxinA".into(), standing));
    for id in of_areas
        .chain(catalogue.general.statement_ids())
        .chain(of_products)
        .chain(standings)
    {
        let back: StatementId = id.to_string().parse().expect("a statement");
        assert_eq!(
            (back.owner(), back.kind(), back.name(), back.wording()),
            (id.owner(), id.kind(), id.name(), id.wording()),
            "{id}"
        );
        assert!(wording_ids(catalogue).contains(id.wording()), "{id}");
        tried += 1;
    }
    assert!(tried > 200, "only {tried} statements");
}
