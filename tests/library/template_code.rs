//! Holds the templates, as code, to what makes them fast: a function that holds the document is another function for every patient,
//! and every text set by it is laid out anew.
//!
//! Invariant: the templates are read as the typesetter reads them, not searched as text.
//! Must not: lay out a page, or measure a time.

use beforehand::typeset::Typesetter;
use typst::syntax::ast::{Closure, Ident, Param};
use typst::syntax::{SyntaxKind, SyntaxNode, parse};

/// What holds the whole document in the templates.
const DOCUMENT: &str = "data";
/// Turns the document into content and is imported nowhere.
const ENTRY: &str = "paper.typ";

/// The text of each function of a template that names the document and takes nothing of that name.
fn holding_the_document(template: &str) -> Vec<String> {
    let mut found = Vec::new();
    look(&parse(template), &mut found);
    found
}

fn look(node: &SyntaxNode, found: &mut Vec<String>) {
    // what stands in a `context` is held like the body of a function
    let holds = matches!(node.kind(), SyntaxKind::Closure | SyntaxKind::Contextual);
    if !holds {
        node.children().for_each(|child| look(child, found));
    } else if names_the_document(node) {
        found.push(node.full_text().to_string());
    }
}

fn names_the_document(node: &SyntaxNode) -> bool {
    if node.cast::<Closure>().is_some_and(takes_the_name) {
        return false;
    }
    // the name of a field or of an argument is not the document's
    let (from, until) = match node.kind() {
        SyntaxKind::FieldAccess => (0, 1),
        SyntaxKind::Named => (1, usize::MAX),
        _ => (0, usize::MAX),
    };
    let is_it = |name: Ident<'_>| name.as_str() == DOCUMENT;
    let mut parts = node.children().take(until).skip(from);
    parts.any(|part| part.cast::<Ident>().is_some_and(is_it) || names_the_document(part))
}

fn takes_the_name(closure: Closure<'_>) -> bool {
    closure.params().children().any(|param| {
        let names = match param {
            Param::Pos(pattern) => pattern.bindings(),
            Param::Named(named) => vec![named.name()],
            Param::Spread(spread) => spread.sink_ident().into_iter().collect(),
        };
        names.iter().any(|name| name.as_str() == DOCUMENT)
    })
}

#[test]
fn no_function_that_papers_share_holds_the_document() {
    let shared = Typesetter::templates().iter();
    let shared = shared.filter(|(name, _)| *name != ENTRY);
    let holding: Vec<String> = shared
        .flat_map(|(name, text)| {
            holding_the_document(text)
                .into_iter()
                .map(move |function| format!("{name}: {function}"))
        })
        .collect();
    assert!(
        holding.is_empty(),
        "take what is needed out of the document once: {holding:#?}"
    );
}

#[test]
fn a_function_that_holds_the_document_is_found_wherever_it_stands() {
    for (template, holding) in [
        ("#let raised(size) = size + data.size * 1pt", 1),
        ("#let head = context { data.title }", 1),
        (
            "#show heading: it => { let one = () => data.title; one() }",
            1,
        ),
        ("#let size = data.size * 1pt", 0),
        ("#let raised(size) = size + type-size", 0),
        ("#let panel(data, room) = layout(size => data.title)", 0),
        ("#let table(item) = item.data", 0),
        ("#let table(item) = f(data: item)", 0),
        ("#let table(item) = f(item: data)", 1),
    ] {
        let found = holding_the_document(template);
        assert_eq!(found.len(), holding, "{template}: {found:?}");
    }
}
