//! Pages for a telephone in a browser: accessible in every look, never wider than a telephone, valid, complete when printed.
//!
//! Invariant: the pages are those of all areas together, in each place and language; each kind of fault, put in, is found by its name.
//! Must not: open a page itself, or claim more than a machine can see of accessibility.

use std::path::Path;
use std::process::Output;

use beforehand::paper::PaperKind;
use beforehand::typeset::Typesetter;
use serde_json::{Value, json};

use crate::support::catalogue::treatable_ids;
use crate::support::{ClinicFile, Plan, areas, laid_out_at, referee};

const KINDS: [PaperKind; 2] = [PaperKind::Information, PaperKind::Aftercare];

const LOOKS: [&str; 3] = ["light", "dark", "forced"];

/// Place, language, and what is dialled in an emergency there.
const PLACES: [(&str, &str, &str); 4] = [
    ("GB-ENG", "en", "999"),
    ("US", "en", "911"),
    ("ES", "es", "112"),
    ("US", "es", "911"),
];

fn cases(region: &str, language: &str, emergency: &str, plan: &Plan) -> Vec<Value> {
    let clinic = ClinicFile {
        language: language.to_owned(),
        ..ClinicFile::at(region)
    };
    laid_out_at(
        &clinic.toml(),
        &plan.toml(),
        &Typesetter::embedded(),
        |papers| {
            let page = |kind| {
                let paper = papers.paper(kind).expect("areas are planned");
                let numbers = match kind {
                    PaperKind::Aftercare => vec!["01632960101", "01632960199", emergency],
                    _ => vec!["01632960101", emergency],
                };
                json!({
                    "name": format!("{language} in {region}, {kind}"),
                    "page": paper.phone_page,
                    "numbers": numbers,
                })
            };
            KINDS.map(page).to_vec()
        },
    )
}

/// What is put in place of what, in which look it is seen, and what must be said.
type Planted<'f> = (&'f [(&'f str, &'f str)], &'f str, &'f str);

fn ask(python: &Path, cases: &[Value]) -> Output {
    let cases = serde_json::to_string(cases).expect("strings");
    referee::judged(&mut referee::script(python, "browser.py"), &cases)
}

#[test]
fn phone_pages_in_a_browser() {
    let Some(python) = referee::python("playwright") else {
        return;
    };
    let treated = treatable_ids();
    assert_eq!(treated.len(), 12);
    let all = Plan {
        rest: areas(&treated, ""),
        area: String::new(),
        aim: String::new(),
        ..Plan::default()
    };
    let mut pages: Vec<Value> = PLACES
        .iter()
        .flat_map(|(region, language, emergency)| cases(region, language, emergency, &all))
        .collect();
    // the pages of the first place in every look at every width; of the others, which differ in words alone, each in two views
    for (number, page) in pages.iter_mut().enumerate().skip(KINDS.len()) {
        let (one, other) = (LOOKS[number % 3], LOOKS[(number + 1) % 3]);
        page["views"] = json!([["light", 320], [one, 320], [other, 1280]]);
    }
    referee::passes("pages for a phone in a browser", &ask(&python, &pages));
}

#[test]
fn a_fault_of_a_page_is_told() {
    let Some(python) = referee::python("playwright") else {
        return;
    };
    // each fault in one page: what is changed, how it is looked at, and what must be said of it
    let pages = cases("GB-ENG", "en", "999", &Plan::default());
    // the one of the two that has the table, or else the numbers to call
    let of = |wanted: &str| &pages[usize::from(!wanted.starts_with("tables"))];
    let two = "<main><p><a class=\"x\" href=\"tel:1\">1</a><a class=\"x\" href=\"tel:2\">2</a></p>";
    let tiny = ".call{display:inline-block;";
    let picture = "<h1><img src=\"data:image/gif;base64,R0lGODlhAQABAAAAACwAAAAAAQABAAA=\">";
    let outside = "<h1><img alt=\"x\" src=\"http://127.0.0.1:9/x.png\">";
    let faults: &[Planted] = &[
        (
            &[("--soft:#4a5156", "--soft:#aaaaaa")],
            "light",
            "light, 320 px: color-contrast:",
        ),
        (
            &[("--soft:#bcc5c9", "--soft:#555555")],
            "dark",
            "dark, 320 px: color-contrast:",
        ),
        (
            &[("--soft:CanvasText", "--soft:#333333")],
            "forced",
            "forced, 320 px: color-contrast:",
        ),
        (
            &[
                ("<main>", two),
                (tiny, ".x{display:inline-block;width:9px;height:9px}.call{"),
            ],
            "light",
            "target-size:",
        ),
        (
            &[("<html lang=\"en-GB\">", "<html>")],
            "light",
            "html-has-lang:",
        ),
        (
            &[("<tr role=\"row\"", "<tr role=\"none\"")],
            "light",
            "tables:",
        ),
        (
            &[("overflow-wrap:anywhere}", "white-space:nowrap}")],
            "light",
            "sideways:",
        ),
        (
            &[
                ("<h1>", "<h1 class=\"whole\">"),
                (".whole{white-space:normal}", ".whole{white-space:nowrap}"),
            ],
            "light",
            "sideways with letters",
        ),
        (&[("<h1>", picture)], "light", "image-alt:"),
        (&[("<h1>", outside)], "light", "console:"),
        (
            &[("<h1>", outside), ("img-src data:", "img-src *")],
            "light",
            "request:",
        ),
        (
            &[("<main>", "<main><script>document.title = 1</script>")],
            "light",
            "console:",
        ),
        (
            &[("<main>", "<main><p id=\"a\" id=\"b\">x</p>")],
            "light",
            "validator, error:",
        ),
        (
            &[("href=\"tel:999\"", "href=\"tel:99\"")],
            "light",
            "tel: 999 calls 99",
        ),
        (
            &[("href=\"tel:999\"", "href=\"#a\"")],
            "light",
            "tel: 999 cannot be called",
        ),
        (
            &[("<main>", "<main><p style=\"clip-path:inset(50%)\">x</p>")],
            "light",
            "light, 320 px: unseen: x",
        ),
        (
            &[("@media print{", "@media print{main{display:none}")],
            "light",
            "print: ",
        ),
    ];
    let planted: Vec<Value> = faults
        .iter()
        .enumerate()
        .map(|(at, (changes, look, wanted))| {
            let page = of(wanted);
            let mut text = page["page"].as_str().expect("a text").to_owned();
            for (right, wrong) in *changes {
                assert!(text.contains(right), "{right} is not in the page");
                text = text.replace(right, wrong);
            }
            json!({
                "name": format!("fault {at}"), "page": text, "numbers": page["numbers"], "looks": [look], "widths": [320], "print": wanted.starts_with("print"),
            })
        })
        .collect();
    let answer = ask(&python, &planted);
    let said = referee::said(&answer);
    assert!(!answer.status.success());
    for (at, (changes, _, wanted)) in faults.iter().enumerate() {
        let name = format!("fault {at}: ");
        let found: Vec<&str> = said
            .lines()
            .filter_map(|line| line.strip_prefix(&name))
            .collect();
        assert!(
            found.iter().any(|fault| fault.contains(wanted)),
            "{changes:?} was missed: {found:#?}"
        );
    }
}
