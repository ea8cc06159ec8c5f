//! `check`: writes nothing, and its JSON is something another program can rely on.

use beforehand::catalogue::Catalogue;
use serde_json::Value;

use crate::support::{Plan, desk, names_in, put, root, run};

fn json(text: &str) -> Vec<Value> {
    let said: Value = serde_json::from_str(text).expect("JSON");
    assert_eq!(said["version"], beforehand::JSON_VERSION);
    match &said["plans"] {
        Value::Array(reports) => reports.clone(),
        other => panic!("not a list: {other:?}\n{text}"),
    }
}

#[test]
fn nothing_is_written_in_either_format() {
    for format in ["text", "json"] {
        let desk = desk();
        put(desk.path(), "plan.toml", Plan::default().toml());
        let ran = run(desk.path(), &["check", "plan.toml", "--format", format]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""));
        assert!(!ran.out.is_empty());
        assert_eq!(
            names_in(desk.path()),
            ["clinic.toml", "plan.toml"],
            "{format}"
        );
    }
}

#[test]
fn every_required_risk_of_every_sample_has_a_page_of_the_consent_form() {
    for plan in [
        "linden-court/everything.toml",
        "linden-court/news-reader.toml",
        "linden-court/upper-face.json",
        "cedar-hollow/wedding.toml",
    ] {
        let path = root().join("samples").join(plan);
        let ran = run(
            root(),
            &["check", path.to_str().expect("UTF-8"), "--format", "json"],
        );
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{plan}");
        let reports = json(&ran.out);
        assert_eq!(reports.len(), 1);
        let report = &reports[0];
        assert_eq!(report["stopped"], false, "{plan}");
        let pages = |paper: &str| {
            let papers = report["papers"].as_array().expect("papers");
            papers
                .iter()
                .find(|p| p["paper"] == paper)
                .and_then(|p| p["pages"].as_u64())
                .expect("a number of pages")
        };
        assert!(pages("aftercare") >= 1 && pages("clinician") >= 1, "{plan}");
        let risks = report["required_risks"].as_array().expect("a list");
        assert!(risks.len() > 10, "{plan}: {}", risks.len());
        for risk in risks {
            let page = risk["page"]
                .as_u64()
                .unwrap_or_else(|| panic!("{plan}: no page: {risk}"));
            assert!(page >= 1 && page <= pages("information"), "{plan}: {risk}");
            let named = risk["named_on_page"].as_u64();
            let form = 1..=pages("consent");
            assert!(
                named.is_some_and(|page| form.contains(&page)),
                "{plan}: {risk}"
            );
            let said = |key: &str| risk[key].as_str().is_some_and(|text| !text.is_empty());
            assert!(
                said("statement") && said("text") && said("status"),
                "{plan}: {risk}"
            );
            assert!(
                risk["source"]
                    .as_array()
                    .is_some_and(|list| !list.is_empty()),
                "{plan}: {risk}"
            );
        }
        for paper in report["papers"].as_array().expect("papers") {
            assert_eq!(paper["faults"], Value::Array(Vec::new()), "{plan}: {paper}");
        }
    }
}

#[test]
fn the_pages_it_says_are_the_pages_that_are_made() {
    let Some(_) = crate::support::has_tool("pdftotext").then_some(()) else {
        return;
    };
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    let ran = run(desk.path(), &["check", "plan.toml", "--format", "json"]);
    let report = &json(&ran.out)[0];
    assert_eq!(run(desk.path(), &["make", "plan.toml"]).code, 0);
    for paper in report["papers"].as_array().expect("papers") {
        let name = format!(
            "INV-1-2026-12-03-{}.pdf",
            paper["paper"].as_str().expect("a name")
        );
        let pages = crate::support::read_back(&desk.path().join(&name)).expect("poppler is here");
        assert_eq!(paper["pages"].as_u64(), Some(pages.len() as u64), "{name}");
        // told in full on one paper, named on the other
        let key = match paper["paper"].as_str() {
            Some("information") => "page",
            Some("consent") => "named_on_page",
            _ => continue,
        };
        {
            for risk in report["required_risks"].as_array().expect("a list") {
                let lead = crate::support::squeeze(risk["text"].as_str().expect("text"));
                let lead = lead.to_lowercase();
                let page = usize::try_from(risk[key].as_u64().expect("a page")).expect("small");
                let said = crate::support::squeeze(&pages[page - 1]).to_lowercase();
                assert!(said.contains(&lead), "{risk} is not on page {page}");
            }
        }
    }
}

#[test]
fn a_plan_with_mistakes_and_a_missing_one_leave_the_json_whole() {
    let desk = desk();
    put(desk.path(), "good.toml", Plan::default().toml());
    put(
        desk.path(),
        "bad.toml",
        Plan::default()
            .toml()
            .replace("units = 50", "units = 0\nround = \"two\""),
    );
    let ran = run(
        desk.path(),
        &[
            "check",
            "good.toml",
            "bad.toml",
            "missing.toml",
            "--format",
            "json",
        ],
    );
    assert_eq!(ran.code, 2, "{}", ran.err);
    let reports = json(&ran.out);
    assert_eq!(reports[0]["plan"], "good.toml");
    assert_eq!(reports[1]["plan"], "bad.toml");
    let mistakes = reports[1]["mistakes"].as_array().expect("mistakes");
    assert_eq!(mistakes.len(), 2, "{mistakes:?}");
    assert_eq!(
        (&mistakes[0]["line"], &mistakes[0]["column"]),
        (&20.into(), &9.into())
    );
    // people read the same on stderr
    assert!(
        ran.err.contains("bad.toml:20:9") && ran.err.contains("missing.toml"),
        "{}",
        ran.err
    );
    // another program must be able to tell which plan was not looked at
    assert_eq!(reports.len(), 3, "one report for each plan: {}", ran.out);
    assert_eq!(reports[2]["plan"], "missing.toml");
}

#[test]
fn a_stop_is_in_the_json_and_in_the_exit_code() {
    let path = root().join("samples/linden-court/must-be-refused.toml");
    let ran = run(
        root(),
        &["check", path.to_str().expect("UTF-8"), "--format", "json"],
    );
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    let report = &json(&ran.out)[0];
    assert_eq!(report["stopped"], true);
    let cautions = report["cautions"].as_array().expect("cautions");
    assert_eq!(
        cautions
            .iter()
            .filter(|caution| caution["level"] == "stop")
            .count(),
        3,
        "{cautions:?}"
    );
    // nobody is sent away without a word
    let said = report["say_to_patient"].as_array().expect("a list");
    assert_eq!(said.len(), 3, "{said:?}");
    for said in said {
        let text = said["text"].as_str().expect("a text");
        assert!(!text.is_empty() && !text.contains('{'), "{said}");
        assert_eq!(said["practice_text"], Value::Null, "one language: {said}");
    }
    let ran = run(root(), &["check", path.to_str().expect("UTF-8")]);
    let (_, after) = ran
        .out
        .split_once("Say to the patient\n")
        .unwrap_or_else(|| panic!("no words for the patient: {}", ran.out));
    assert!(after.contains("allergic to cow’s milk protein"), "{after}");
}

/// What is said once for each product is not said to be an area's.
#[test]
fn an_area_is_never_a_product() {
    let desk = desk();
    put(desk.path(), "plan.toml", Plan::default().toml());
    let ran = run(desk.path(), &["check", "plan.toml", "--format", "json"]);
    let said: Value = serde_json::from_str(&ran.out).expect("JSON");
    let statements = said["plans"][0]["required_statements"].as_array();
    let catalogue = Catalogue::embedded();
    let (mut areas, mut products) = (0, 0);
    for statement in statements.expect("a list") {
        if let Some(area) = statement["area"].as_str() {
            assert!(catalogue.area(area).is_some(), "{statement}");
            areas += 1;
        }
        if let Some(product) = statement["product"].as_str() {
            assert!(catalogue.product(product).is_some(), "{statement}");
            assert!(statement["area"].is_null(), "{statement}");
            products += 1;
        }
    }
    assert!(areas > 5 && products > 1, "{areas} and {products}");
}
