//! The referees of a page on loopback, held against a server that takes no care: they must find what it does wrong.
//!
//! Invariant: each kind of fault is looked for by its name, so that a referee that went blind fails here.
//! Must not: say anything about our own server.

use serde_json::json;

use crate::support::desk::Desk;
use crate::support::referee;

/// Scripts that keep and ask, a line wider than a telephone, a colour that is hard to see, a field without a name, no language.
const CARELESS: &str = "<!doctype html><html><head><meta charset=\"utf-8\"><title>Today</title></head><body><h1>Thea Quillfeather (invented)</h1>\
    <p style=\"width:2000px;color:#bbb\">wide</p><form><input name=\"a\"></form>\
    <script>localStorage.a = 1; sessionStorage.b = 2; document.cookie = 'c=3'; fetch('http://127.0.0.1:9/x').catch(() => 0); nonsense()</script>\
    </body></html>";

#[test]
fn a_careless_server_is_caught() {
    let Some(python) = referee::python("playwright") else {
        return;
    };
    let folder = tempfile::tempdir().expect("a folder");
    let token = "0123456789abcdefghij";
    let inside = folder.path().join(token);
    std::fs::create_dir(&inside).expect("a folder");
    // below the token, and without it
    for place in [&inside, folder.path()] {
        std::fs::write(place.join("index.html"), CARELESS).expect("a file");
    }
    let mut desk = Desk::careless(&python, folder.path());
    desk.address = format!("{}{token}/", desk.address);

    let answer = desk.requests(&python, &[""], "");
    let said = referee::said(&answer);
    assert_eq!(answer.status.code(), Some(1), "{said}");
    for wanted in [
        "page first: its policy lacks default-src 'none'",
        "page first: cache-control is",
        "page first: tells what it is made with",
        "Host, example.org: status 200",
        "Host, two Hosts: a page is in the answer",
        "GET, origin cross-site: status 200",
        "token, none: the first page: status 200",
        "POST, origin foreign: status 501",
        "while fifty lines are slow: its policy lacks",
    ] {
        assert!(said.contains(wanted), "{wanted} was missed:\n{said}");
    }

    let more = json!({ "screens": [{ "name": "first", "path": "" }], "widths": [390], "looks": ["light"] });
    let answer = desk.screens(&python, &more);
    let said = referee::said(&answer);
    assert_eq!(answer.status.code(), Some(1), "{said}");
    for wanted in [
        "first, 390 px, light: color-contrast:",
        "first, 390 px, light: label:",
        "first, 390 px, light: html-has-lang:",
        "first, 390 px, light: sideways:",
        "first, 390 px, light: request: http://127.0.0.1:9/x",
        "first, 390 px, light: script: nonsense",
        "first, 390 px, light: kept: cookie c",
        "first, 390 px, light: kept: localStorage",
        "first, 390 px, light: kept: sessionStorage",
        "first, 640 px, light, without scripts: label:",
    ] {
        assert!(said.contains(wanted), "{wanted} was missed:\n{said}");
    }
    assert!(!said.contains("without scripts: kept"), "{said}");
}
