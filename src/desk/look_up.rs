//! Turns a code read off a paper, or the paper itself, into what is known of it, in plain words.
//! Invariant: the paper that was dropped here is read in memory and not kept; "as made" is said only of the very bytes.
//! Must not: say more than the register knows.

use std::path::Path;

use axum::http::StatusCode;
use serde_json::{Value, json};

use super::asking::{Answer, Asked};
use super::house::Opened;
use super::{Desk, label, line};
use crate::paper::PaperKind;
use crate::practice::{Bytes, Trace, Trouble, explained};
use crate::record::register;

pub(super) fn show(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| page(desk, opened, "", None))
}

pub(super) fn look(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let register = desk.house.papers().join(register::FILE_NAME);
        let branding = &opened.practice.clinic().branding;
        let code = asked.filled("code").unwrap_or_default();
        let traced = match &asked.file {
            Some((name, bytes)) => {
                let name = Path::new(name).file_name().unwrap_or_default();
                Trace::of_bytes(Path::new(name), bytes, &register, branding)
            }
            None if code.is_empty() => return page(desk, opened, "", None),
            None if !register.exists() => {
                let what = label(&opened.words, "desk.look.no-register");
                return page(desk, opened, code, Some(json!({ "problem": what })));
            }
            None => Trace::of_code(code, Some(&register), branding),
        };
        match traced {
            Ok(trace) => page(desk, opened, code, Some(said(opened, &trace))),
            Err(failed) => desk.sorry(
                opened,
                StatusCode::INTERNAL_SERVER_ERROR,
                &explained(&failed),
            ),
        }
    })
}

fn page(desk: &Desk, opened: &Opened, code: &str, found: Option<Value>) -> Answer {
    let frame = desk.frame(opened, "look-up", label(&opened.words, "desk.look.title"));
    let data = json!({ "code": code, "found": found });
    opened.pages.page("look-up.html", &frame, data)
}

/// What a trace says, in words.
fn said(opened: &Opened, trace: &Trace) -> Value {
    let words = &opened.words;
    if let Some(trouble) = &trace.trouble {
        let problem = match trouble {
            Trouble::NotACode { meant: Some(meant) } => {
                line(words, "desk.look.meant", json!({ "meant": meant }))
            }
            Trouble::NotACode { meant: None } => label(words, "desk.look.no-code"),
            Trouble::Unknown => label(words, "desk.look.unknown"),
            Trouble::Altered { belongs_to } => {
                line(words, "desk.look.altered", json!({ "code": belongs_to }))
            }
            Trouble::NoRecord => label(words, "desk.look.no-record"),
        };
        return json!({ "problem": problem });
    }
    let formats = words.formats();
    let mut rows: Vec<(String, String, &str)> = Vec::new();
    let mut row = |id: &str, said: String, frame: &'static str| {
        rows.push((label(words, &format!("desk.look.{id}")), said, frame));
    };
    let mut title = trace.asked.clone();
    if let Some(record) = &trace.record {
        let kind = record
            .paper
            .split([' ', '-'])
            .next()
            .and_then(|word| word.parse::<PaperKind>().ok());
        let paper = kind.map(|kind| label(words, kind.short_title()));
        let paper = paper.unwrap_or_else(|| record.paper.clone());
        let day = record.made_on.parse().map(|day| formats.date(day));
        let day = day.unwrap_or_else(|_| record.made_on.clone());
        title = line(
            words,
            "desk.look.what",
            json!({ "paper": paper, "day": day }),
        );
        let files: Vec<String> = trace
            .register
            .iter()
            .map(|line| line.file.clone())
            .collect();
        let mut files = files;
        files.dedup();
        row(
            "file",
            if files.is_empty() {
                trace.asked.clone()
            } else {
                files.join(", ")
            },
            "",
        );
        row("code", trace.code.clone().unwrap_or_default(), "");
        let values =
            json!({ "language": record.wording.language, "version": record.wording.version });
        row("words-then", line(words, "desk.look.words", values), "");
        row(
            "statements",
            line(
                words,
                "desk.look.printed",
                json!({ "count": record.statements.len() }),
            ),
            "",
        );
    }
    let bytes = match trace.bytes {
        Bytes::AsMade => ("as-made", "clear"),
        Bytes::Changed => ("changed", "heavy"),
        Bytes::OtherOfThisName => ("other", "heavy"),
        Bytes::NotInRegister => ("not-in-register", "open"),
        Bytes::NoRegister => ("no-register", "open"),
        Bytes::NoFile => ("only-code", "open"),
    };
    row(
        "whole",
        label(words, &format!("desk.look.bytes.{}", bytes.0)),
        bytes.1,
    );
    match &trace.superseded_by {
        Some(code) => row(
            "valid",
            line(words, "desk.look.newer", json!({ "code": code })),
            "heavy",
        ),
        None if trace.register.is_empty() => {}
        None => row("valid", label(words, "desk.look.newest"), "clear"),
    }
    let today = trace.today.as_ref();
    let nothing = label(words, "desk.look.no-words");
    let changes: Vec<Value> = today
        .map_or(&[][..], |today| today.changed.as_slice())
        .iter()
        .map(|change| {
            json!({
                "id": change.id,
                "then": change.then.as_ref().unwrap_or(&nothing),
                "now": change.now.as_ref().unwrap_or(&nothing),
            })
        })
        .collect();
    let comparable = today.is_none_or(|today| today.comparable);
    json!({
        "title": title,
        "rows": rows,
        "changes": changes,
        "comparable": comparable,
        "language": trace.record.as_ref().map(|record| record.wording.language.clone()),
    })
}
