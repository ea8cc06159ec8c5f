//! Turns what a screen knows into a page, by the templates of the desk and the words of its language.
//! Invariant: whatever is filled in is escaped; a word stands in `locales`, never in a template.
//! Must not: work anything out.

use std::sync::Arc;

use axum::http::StatusCode;
use minijinja::value::Kwargs;
use minijinja::{Environment, Error, ErrorKind, UndefinedBehavior};
use serde::Serialize;
use serde_json::json;

use super::Desk;
use super::asking::Answer;
use crate::wording::{Context, Wording};

/// Name and text of each template; the ending says that what is filled in is escaped.
const TEMPLATES: &[(&str, &str)] = &[
    (
        "frame.html",
        include_str!("../../templates/desk/frame.html"),
    ),
    (
        "parts.html",
        include_str!("../../templates/desk/parts.html"),
    ),
    (
        "start.html",
        include_str!("../../templates/desk/start.html"),
    ),
    ("day.html", include_str!("../../templates/desk/day.html")),
    (
        "to-answer.html",
        include_str!("../../templates/desk/to-answer.html"),
    ),
    (
        "visit.html",
        include_str!("../../templates/desk/visit.html"),
    ),
    (
        "beside.html",
        include_str!("../../templates/desk/beside.html"),
    ),
    (
        "papers.html",
        include_str!("../../templates/desk/papers.html"),
    ),
    (
        "as-text.html",
        include_str!("../../templates/desk/as-text.html"),
    ),
    (
        "changed.html",
        include_str!("../../templates/desk/changed.html"),
    ),
    (
        "next-round.html",
        include_str!("../../templates/desk/next-round.html"),
    ),
    (
        "look-up.html",
        include_str!("../../templates/desk/look-up.html"),
    ),
    (
        "words.html",
        include_str!("../../templates/desk/words.html"),
    ),
    (
        "first.html",
        include_str!("../../templates/desk/first.html"),
    ),
    (
        "sorry.html",
        include_str!("../../templates/desk/sorry.html"),
    ),
];

/// The templates, with the words of one language.
pub(super) struct Pages {
    environment: Environment<'static>,
}

/// What is around every screen.
pub(super) struct Frame<'f> {
    pub desk: &'f Desk,
    pub words: &'f Wording,
    /// The clinic's name; none before there is a clinic.
    pub practice: Option<&'f str>,
    /// Which of the four places this is, as in `desk.place.…`; empty: none.
    pub place: &'static str,
    pub title: String,
}

impl Pages {
    pub fn new(words: Arc<Wording>) -> Pages {
        let mut environment = Environment::new();
        environment.set_undefined_behavior(UndefinedBehavior::Strict);
        environment.add_function(
            "say",
            move |id: &str, values: Kwargs| -> Result<String, Error> {
                let mut context = Context::new();
                for name in values.args() {
                    let value: minijinja::Value = values.get(name)?;
                    let value = serde_json::to_value(&value).map_err(|error| {
                        Error::new(ErrorKind::BadSerialization, error.to_string())
                    })?;
                    context.insert(name.to_owned(), value);
                }
                words
                    .line(id, &context)
                    .map_err(|error| Error::new(ErrorKind::InvalidOperation, error.to_string()))
            },
        );
        for (name, text) in TEMPLATES {
            environment
                .add_template(name, text)
                .expect("the templates are our own, and a test fills each");
        }
        Pages { environment }
    }

    /// A whole page. What cannot be filled in is a fault of ours, and is said as one.
    pub fn page(&self, name: &str, frame: &Frame<'_>, data: impl Serialize) -> Answer {
        match self.fill(name, frame, data) {
            Ok(html) => Answer::Page(html),
            Err(error) => fault(&error),
        }
    }

    /// A page about something that could not be done.
    pub fn sorry(&self, status: StatusCode, frame: &Frame<'_>, what: &str) -> Answer {
        match self.fill("sorry.html", frame, json!({ "what": what })) {
            Ok(html) => Answer::Sorry(status, html),
            Err(error) => fault(&error),
        }
    }

    /// A part of a page.
    ///
    /// # Errors
    /// A fault of ours: a template names what it was not given.
    pub fn fill(
        &self,
        name: &str,
        frame: &Frame<'_>,
        data: impl Serialize,
    ) -> Result<String, Error> {
        let context = json!({
            "lang": frame.words.tag(),
            "root": frame.desk.root(),
            "practice": frame.practice,
            "place": frame.place,
            "title": frame.title,
            "folder": frame.desk.house.name(),
            "data": serde_json::to_value(data)
                .map_err(|error| Error::new(ErrorKind::BadSerialization, error.to_string()))?,
        });
        let template = self.environment.get_template(name)?;
        template.render(minijinja::value::Serde(&context))
    }
}

fn fault(error: &Error) -> Answer {
    let said = format!("This page could not be made. This is a fault of the program: {error:#}");
    Answer::Sorry(
        StatusCode::INTERNAL_SERVER_ERROR,
        said.replace('&', "&amp;").replace('<', "&lt;"),
    )
}
