//! Pages for a telephone, read by a parser that shares no code with ours.
//!
//! Invariant: the referee is told what was printed, statement by statement, and it finds a fault that is put in.
//! Must not: read a page itself.

use beforehand::practice::{MakeOptions, Practice};
use serde_json::json;

use crate::support::referee;
use crate::support::{printed, root};

#[test]
fn an_independent_parser_finds_every_statement() {
    let Some(python) = referee::python("") else {
        return;
    };
    let practice =
        Practice::open(&root().join("samples/linden-court/clinic.toml")).expect("a clinic");
    let visit = practice
        .read_plan(&root().join("samples/linden-court/news-reader.toml"))
        .expect("a plan");
    let papers = practice
        .make(&visit, &MakeOptions::default())
        .expect("papers");
    let cases: Vec<_> = papers
        .papers
        .iter()
        .filter_map(|paper| {
            let printed = printed(&paper.pages);
            let page = paper.phone_page.as_ref()?;
            Some(json!({ "name": paper.kind.as_str(), "page": page, "statements": printed }))
        })
        .collect();
    assert_eq!(cases.len(), 2);
    let ask = |cases: &[serde_json::Value]| {
        let cases = serde_json::to_string(cases).expect("strings");
        referee::judged(&mut referee::script(&python, "phone_page.py"), &cases)
    };
    referee::passes("pages for a phone by html.parser", &ask(&cases));
    for (wrong, told) in [
        ("<h1>", "<h3>"),
        ("</main>", ""),
        ("<main>", "<main><script>x</script>"),
        (" scope=\"col\"", ""),
        ("data-statement=\"advice.", "data-statement=\"x."),
    ] {
        let page = cases[1]["page"]
            .as_str()
            .expect("a text")
            .replacen(wrong, told, 1);
        let mut case = cases[1].clone();
        assert_ne!(case["page"], page, "{wrong}");
        case["page"] = page.into();
        assert!(!ask(&[case]).status.success(), "{wrong} was not missed");
    }
}
