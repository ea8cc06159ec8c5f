//! Turns the words of the papers into what of them is approved, the book to read, and the record that somebody has read it.
//! Invariant: an approval is recorded for the book whose code was typed, and for no other words.
//! Must not: change a word.

use axum::body::Bytes;
use axum::http::StatusCode;
use serde_json::{Value, json};
use unic_langid::LanguageIdentifier;

use super::asking::{Answer, Asked};
use super::house::Opened;
use super::{Desk, label, line};
use crate::domain::LabelId;
use crate::practice::{ApproveError, Approver, Read, WordingStatus, explained};
use crate::record::DocumentCode;
use crate::wording::library;
use crate::wording::rich::{self, Piece};

/// Changed statements that are shown without asking for more.
const SHOWN: usize = 30;

pub(super) fn show(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| screen(desk, opened, asked, None))
}

fn screen(desk: &Desk, opened: &Opened, asked: &Asked, mistake: Option<(&str, String)>) -> Answer {
    let words = &opened.words;
    let mut languages = Vec::new();
    let mut changed = Vec::new();
    for tag in library::tags() {
        let language: LanguageIdentifier = tag.parse().expect("a tag of the library");
        let status = match opened.practice.wording_status(Some(&language)) {
            Ok(status) => status,
            Err(error) => {
                return desk.sorry(
                    opened,
                    StatusCode::INTERNAL_SERVER_ERROR,
                    &error.to_string(),
                );
            }
        };
        languages.push(about(opened, tag, &status));
        let now = opened.practice.wording(&language).ok();
        for statement in status.changed.iter().take(SHOWN) {
            let text = now
                .as_ref()
                .and_then(|now| now.statements().get(&statement.statement));
            let on = statement.on.parse().map(|day| words.formats().date(day));
            changed.push(json!({
                "id": statement.statement,
                "lang": status.wording,
                "language": label(words, LabelId::language(tag).as_str()),
                "now": text.map(|text| rich::parse(text).unwrap_or_else(|_| vec![Piece::Para { text: rich::plain(text) }])),
                "since": line(words, "desk.words.since", json!({
                    "by": statement.by, "on": on.unwrap_or_else(|_| statement.on.clone()),
                })),
            }));
        }
    }
    let clinic = opened.practice.clinic();
    let people: Vec<Value> = clinic
        .practitioners
        .iter()
        .map(|person| json!({ "id": person.id.as_str(), "name": person.name, "chosen": asked.field("by") == Some(person.id.as_str()) }))
        .collect();
    let typed = |name: &str| asked.field(name).unwrap_or_default().to_owned();
    // at first that of the practice, whose own people read it
    let language = match asked.filled("language") {
        Some(language) => language.to_owned(),
        None => clinic.language.language.to_string(),
    };
    let on = match asked.filled("on") {
        Some(on) => on.to_owned(),
        None => words.formats().short_date(desk.today()),
    };
    let frame = desk.frame(opened, "words", label(words, "desk.words.title"));
    let (field, what) = mistake.unwrap_or_default();
    let data = json!({
        "languages": languages,
        "changed": changed,
        "people": people,
        "language": language,
        "on": on,
        "code": typed("code"),
        "saved": asked.field("saved").is_some(),
        "mistake": { "field": field, "what": what },
        "training": clinic.training,
    });
    opened.pages.page("words.html", &frame, data)
}

fn about(opened: &Opened, tag: &str, status: &WordingStatus) -> Value {
    let words = &opened.words;
    let (state, frame) = match (status.is_settled(), status.approved) {
        (true, _) => ("desk.words.approved", "clear"),
        (false, 0) => ("desk.words.draft", "open"),
        (false, _) => ("desk.words.partly", "open"),
    };
    let all = status.approved + status.changed.len() + status.never.len();
    json!({
        "tag": tag,
        "name": label(words, LabelId::language(tag).as_str()),
        "state": label(words, state),
        "frame": frame,
        "approved": status.approved,
        "changed": status.changed.len(),
        "never": status.never.len(),
        "all": all,
    })
}

/// The book of a language, to read.
pub(super) fn book(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let tag = asked.named.first().map_or("", String::as_str);
        let known = library::tags().any(|known| known == tag);
        let Some(language) = tag.parse::<LanguageIdentifier>().ok().filter(|_| known) else {
            let what = label(&opened.words, "desk.words.no-language");
            return desk.sorry(opened, StatusCode::NOT_FOUND, &what);
        };
        let made = opened.practice.wording_book(Some(&language));
        let written = made.and_then(|book| {
            let [name, _] = book.file_names();
            Ok((name, book.pages.pdf()?))
        });
        match written {
            Ok((name, bytes)) => Answer::File {
                kind: "application/pdf",
                bytes: Bytes::from(bytes),
                name: Some(name),
            },
            Err(error) => desk.sorry(
                opened,
                StatusCode::INTERNAL_SERVER_ERROR,
                &error.to_string(),
            ),
        }
    })
}

/// Records that somebody has read a book and approves its words.
pub(super) fn approve(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let words = &opened.words;
        let again = |field, what: String| screen(desk, opened, asked, Some((field, what)));
        let people = &opened.practice.clinic().practitioners;
        let by = asked.filled("by").unwrap_or_default();
        let Some(person) = people.iter().find(|person| person.id.as_str() == by) else {
            return again("by", label(words, "desk.words.who"));
        };
        let typed = asked.filled("on").unwrap_or_default();
        let on = crate::plan_form::typed_date(typed).filter(|day| *day <= desk.today());
        let Some(on) = on else {
            return again("on", label(words, "desk.words.when"));
        };
        let Ok(code) = DocumentCode::read(asked.filled("code").unwrap_or_default()) else {
            return again("code", label(words, "desk.words.no-code"));
        };
        let language = asked.filled("language").unwrap_or_default();
        let known = library::tags().any(|known| known == language);
        let Some(language) = language
            .parse::<LanguageIdentifier>()
            .ok()
            .filter(|_| known)
        else {
            return again("language", label(words, "desk.words.no-language"));
        };
        let approver = Approver {
            by: person.name.clone(),
            registration: person.registration.clone(),
            on,
        };
        match opened
            .practice
            .approve(Some(&language), &approver, &Read::Book(code))
        {
            Ok(_) => Answer::See("words?saved=1".to_owned()),
            Err(ApproveError::OtherWords { .. }) => {
                again("code", label(words, "desk.words.other-book"))
            }
            Err(error) => desk.sorry(
                opened,
                StatusCode::INTERNAL_SERVER_ERROR,
                &explained(&error),
            ),
        }
    })
}
