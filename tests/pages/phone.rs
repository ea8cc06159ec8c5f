//! The pages for a telephone: the same words as the printed papers, nothing from outside, nothing of a text taken as code.
//!
//! Invariant: what a page says is compared with what the paper's pages hold, not with what was meant to be written.
//! Must not: judge how it looks.

use std::collections::BTreeMap;

use beforehand::paper::{Edition, PaperKind};
use beforehand::phone_page::{self, CalendarLink};
use beforehand::practice::Content;
use beforehand::record;
use beforehand::typeset::Typesetter;

use crate::support::visit::laid_out;
use crate::support::{self, Plan, desk, printed, put, root, run};

const KINDS: [PaperKind; 2] = [PaperKind::Information, PaperKind::Aftercare];

fn squeeze(text: &str) -> String {
    support::squeeze(text).replace('•', "")
}

/// Everything by which a page could load or run something, but pictures that it holds itself.
fn reaches_out(page: &str) -> Vec<&'static str> {
    let page = page.to_lowercase().replace("src=\"data:", "");
    let wanted = [
        "<script",
        "<link",
        "<iframe",
        "<object",
        "<embed",
        "<form",
        "@import",
        "url(",
        "http://",
        "https://",
        " src=",
        " on",
        "javascript:",
        "<use",
        "<base",
    ];
    // what a text says is no element: only elements are looked at
    let tags: String = page
        .split('<')
        .skip(1)
        .map(|rest| {
            format!(
                "<{}",
                rest.split('>')
                    .next()
                    .unwrap_or_default()
                    .split('"')
                    .step_by(2)
                    .collect::<String>()
            )
        })
        .collect();
    let style = page
        .split("<style>")
        .nth(1)
        .and_then(|rest| rest.split("</style>").next())
        .unwrap_or_default()
        .to_owned();
    wanted
        .into_iter()
        .filter(|word| tags.contains(word) || style.contains(word))
        .collect()
}

#[test]
fn every_statement_is_on_the_page_as_it_is_printed() {
    laid_out(&Plan::default().toml(), &Typesetter::embedded(), |papers| {
        for kind in KINDS {
            let paper = papers.paper(kind).expect("areas are planned");
            let page = paper.phone_page.as_deref().expect("read at home");
            let read = phone_page::read(page);
            let printed: BTreeMap<&str, String> = printed(&paper.pages)
                .into_iter()
                .map(|(id, text)| (id, squeeze(&text)))
                .collect();
            assert!(printed.len() > 20, "{kind}");
            let said: BTreeMap<&str, String> = read
                .statements
                .iter()
                .map(|(id, said)| {
                    (
                        id.as_str(),
                        said.iter().map(|words| squeeze(words)).collect(),
                    )
                })
                .collect();
            assert_eq!(said, printed, "{kind}");
            assert_eq!(paper.lacks, [], "{kind}");
            assert!(page.contains(&paper.record.code().to_string()), "{kind}");
            assert_eq!(record::read(page.as_bytes()).as_ref(), Ok(&paper.record));
        }
        let others = [
            PaperKind::Consent,
            PaperKind::CheckSheet,
            PaperKind::Evidence,
        ];
        assert!(others.iter().all(|kind| {
            papers
                .paper(*kind)
                .is_some_and(|paper| paper.phone_page.is_none())
        }));
    });
}

#[test]
fn what_a_page_loses_or_changes_is_told() {
    laid_out(&Plan::default().toml(), &Typesetter::embedded(), |papers| {
        for kind in KINDS {
            let paper = papers.paper(kind).expect("areas are planned");
            let page = paper.phone_page.as_deref().expect("read at home");
            let required = papers.selection.required(kind);
            let lacks = |page: &str| phone_page::check(&required, &paper.document, page).len();
            assert_eq!(lacks(page), 0);
            for id in &required {
                let mark = format!(" data-statement=\"{id}\"");
                assert_eq!(page.matches(&mark).count(), 1, "{id}");
                assert_eq!(lacks(&page.replace(&mark, "")), 1, "{id} without its mark");
                let more = page.replace(&format!("{mark}>"), &format!("{mark}>x"));
                assert_eq!(lacks(&more), 1, "{id} with another word");
            }
            let title = &paper.document.masthead.phone;
            assert!(lacks(&page.replace(title, "")) == 0 || page.matches(title).count() > 1);
            let name = &paper.document.running_lines.name;
            assert!(
                lacks(&page.replace(name.as_str(), "")) > 0,
                "{kind} without a name"
            );
        }
    });
}

#[test]
fn nothing_is_loaded_and_no_text_is_code() {
    let hostile = [
        "</title><script>alert(1)</script>",
        "\"><img src=x onerror=alert(1)>",
        "</style>@import url(http://x.example)",
        "<!-- --> &amp; &lt;b&gt; ' \"",
        "]]> <svg onload=x>",
        "javascript:alert(1)",
        "} body{background:url(//x)}",
    ];
    for text in hostile {
        let plan = Plan {
            name: text.to_owned(),
            aim: text.to_owned(),
            event: text.to_owned(),
            ..Plan::default()
        };
        laid_out(&plan.toml(), &Typesetter::embedded(), |papers| {
            for kind in KINDS {
                let paper = papers.paper(kind).expect("areas are planned");
                let page = paper.phone_page.as_deref().expect("read at home");
                assert_eq!(reaches_out(page), Vec::<&str>::new(), "{text}");
                let said = squeeze(&phone_page::read(page).text);
                assert!(said.contains(&squeeze(text)), "{text} is not said as typed");
                // the elements are the same whatever the texts say
                assert_eq!(
                    page.matches("<style>").count() + page.matches("</title>").count(),
                    2
                );
            }
        });
    }
    // the look-out can fail
    assert_eq!(
        reaches_out("<p onclick=\"x\"><img src=\"x\">"),
        [" src=", " on"]
    );
    assert_eq!(
        reaches_out("<style>@import url(x)</style>"),
        ["@import", "url("]
    );
}

#[test]
fn a_page_has_the_marks_of_its_paper_and_what_can_be_touched() {
    laid_out(&Plan::default().toml(), &Typesetter::embedded(), |papers| {
        let paper = papers
            .paper(PaperKind::Aftercare)
            .expect("areas are planned");
        let page = paper.phone_page.as_deref().expect("read at home");
        let notice = paper
            .document
            .running_lines
            .notice
            .as_deref()
            .expect("nobody approved the words");
        assert!(page.contains(&format!("<title>{notice} ")));
        assert!(page.contains(&format!("<p class=\"notice\">{notice}</p>")));
        assert!(page.contains("href=\"tel:01632960101\"") && page.contains("href=\"tel:999\""));
        // the calendar is in the page itself, as it is in the file beside it
        let calendar = papers
            .calendar()
            .expect("fills")
            .expect("areas are planned");
        let coded = held(page, "data:text/calendar;charset=utf-8;base64,");
        assert_eq!(String::from_utf8(coded).expect("text"), calendar);
        assert!(page.contains("download=\"INV-1-2026-12-03-calendar.ics\""));
        // every part that the list names is there to be gone to
        let (listed, parts) = (page.matches("href=\"#part-"), page.matches(" id=\"part-"));
        // the list is there to be gone to as well, from the bar that stays in sight
        let (listed, list) = (listed.count(), 1);
        assert_eq!(listed, parts.count());
        assert!((3..30).contains(&(listed - list)), "{listed} parts");
        assert!(page.contains(&format!("href=\"#part-{}\"", listed - list)));
        for band in [
            "Call at once",
            "You need a doctor today: call us",
            "Call us",
        ] {
            assert!(page.contains(&format!("\">{band}</a>")), "{band}");
        }
        let bar = page.split("class=\"bar screen\"").nth(1).expect("a bar");
        assert!(bar.starts_with("><a href=\"tel:01632960101\">"), "{bar}");
        assert!(page.starts_with("<!doctype html>\n<html lang=\"en-GB\">"));
        let odd = CalendarLink {
            file: "a b\"é.ics",
            calendar: "",
            words: "x",
        };
        let page = phone_page::render(&paper.document, "x", Some(&odd));
        assert!(page.contains("download=\"a b&quot;é.ics\""));
    });
}

#[test]
fn pages_are_written_beside_the_papers_and_never_under_a_stop() {
    let sample = root().join("samples/linden-court/news-reader.toml");
    let sample = sample.to_str().expect("UTF-8");
    let made = |plan: &str, more: &[&str]| {
        let desk = desk();
        let mut arguments = vec!["make", plan, "--out", "."];
        arguments.extend(more);
        let stopped = Plan {
            facts: "pregnant = true".to_owned(),
            ..Plan::default()
        };
        put(desk.path(), "stopped.toml", stopped.toml());
        let ran = run(desk.path(), &arguments);
        let mut names: Vec<String> = std::fs::read_dir(desk.path())
            .expect("a folder")
            .map(|entry| {
                entry
                    .expect("an entry")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .filter(|name| name.ends_with(".html"))
            .collect();
        names.sort();
        let register =
            std::fs::read_to_string(desk.path().join("register.jsonl")).unwrap_or_default();
        for name in &names {
            assert!(
                register.contains(&format!("\"file\":\"{name}\"")),
                "{name} is not in the register"
            );
            let traced = run(desk.path(), &["trace", name]);
            assert_eq!(traced.code, 0, "{}{}", traced.out, traced.err);
        }
        (names, ran)
    };
    let both = ["aftercare", "information"].map(|kind| format!("TR-20417-2026-12-03-{kind}.html"));
    let (names, ran) = made(sample, &[]);
    assert_eq!(names, both, "{}{}", ran.out, ran.err);
    assert_eq!(made(sample, &["--only", "aftercare"]).0, both[..1]);
    assert_eq!(made(sample, &["--large-print"]).0, Vec::<String>::new());
    let (names, ran) = made("stopped.toml", &[]);
    assert!(
        ran.code == 1 && ran.out.contains("stopped"),
        "{}{}",
        ran.out,
        ran.err
    );
    assert_eq!(names, Vec::<String>::new());
}

#[test]
fn what_the_terminal_calls_a_page() {
    assert_eq!(
        Content::PhonePage(PaperKind::Aftercare).to_string(),
        "aftercare sheet, page for a phone"
    );
    assert!(!PaperKind::Consent.has_phone_page(Edition::Ordinary));
}

/// The bytes of an address that holds them itself, by the alphabet of RFC 4648.
fn held(page: &str, scheme: &str) -> Vec<u8> {
    let coded = page
        .split(scheme)
        .nth(1)
        .and_then(|rest| rest.split('"').next());
    let digit = |c: u8| match c {
        b'A'..=b'Z' => c - b'A',
        b'a'..=b'z' => c - b'a' + 26,
        b'0'..=b'9' => c - b'0' + 52,
        b'+' => 62,
        _ => 63,
    };
    let coded = coded.expect("an address that holds something");
    let four = coded.as_bytes().chunks(4);
    four.flat_map(|four| {
        let digits = four.iter().take_while(|c| **c != b'=');
        let digits: Vec<u32> = digits.map(|c| u32::from(digit(*c))).collect();
        let all = digits.iter().chain([0; 4].iter()).take(4);
        let bits = all.fold(0_u32, |bits, six| bits << 6 | six);
        bits.to_be_bytes()[1..digits.len()].to_vec()
    })
    .collect()
}
