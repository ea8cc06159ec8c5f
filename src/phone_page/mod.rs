//! Turns a composed paper into one self-contained page for a telephone.
//! Invariant: the page holds every composed word, once but for the list of its parts, each statement in an element that carries its id; it loads nothing and runs nothing.
//! Must not: look anything up, hold words for readers, or know a visit.

mod blocks;
mod drawing;
mod markup;
mod picker;
mod pictures;
mod reading;

use crate::compose::Document;
use crate::contrast;
use crate::plan::LogoKind;
use markup::{Markup, base64, part_name};

pub use picker::{Picked, face_to_pick};
pub use reading::{Read, check, read};

/// The meta element that carries the record.
pub const RECORD: &str = "beforehand-record";

/// Nothing is loaded from anywhere and nothing runs, whatever a text says.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; form-action 'none'; base-uri 'none'";

const STYLE: &str = include_str!("style.css");

/// The calendar of the visit. The page holds it itself, for it may be sent on alone.
pub struct CalendarLink<'l> {
    /// What a telephone may save it as.
    pub file: &'l str,
    /// RFC 5545, as in the file beside the page.
    pub calendar: &'l str,
    /// What the link says.
    pub words: &'l str,
}

/// The page of a stamped document: UTF-8, complete, well formed. `contents`: what the list of its parts is called.
pub fn render(document: &Document, contents: &str, calendar: Option<&CalendarLink<'_>>) -> String {
    let mut page = Markup::page(&document.language, &document.calls);
    page.element("html", &[("lang", &document.language)], |m| {
        m.element("head", &[], |m| head(m, document));
        m.element("body", &[], |m| {
            masthead(m, document);
            m.element("main", &[], |m| {
                m.said("h1", "", &document.title);
                let listed = blocks::contents(m, contents, &document.blocks);
                blocks::all(m, &document.blocks);
                if let Some(link) = calendar {
                    calendar_link(m, link);
                }
                bar(m, listed.then_some(contents), &document.masthead.phone);
            });
            foot(m, document);
        });
    });
    page.finish()
}

fn head(m: &mut Markup, document: &Document) {
    m.empty("meta", &[("charset", "utf-8")]);
    m.empty(
        "meta",
        &[
            ("http-equiv", "Content-Security-Policy"),
            ("content", POLICY),
        ],
    );
    m.empty(
        "meta",
        &[
            ("name", "viewport"),
            ("content", "width=device-width, initial-scale=1"),
        ],
    );
    // dates and doses are no telephone numbers
    m.empty(
        "meta",
        &[("name", "format-detection"), ("content", "telephone=no")],
    );
    m.empty(
        "meta",
        &[("name", "color-scheme"), ("content", "light dark")],
    );
    m.empty("meta", &[("name", RECORD), ("content", &document.record)]);
    let title = match &document.running_lines.notice {
        Some(notice) => format!("{notice} {}", document.title),
        None => document.title.clone(),
    };
    m.said("title", "", &title);
    let accent = document.accent.as_deref().and_then(contrast::hexadecimal);
    m.style(
        STYLE,
        accent.filter(|colour| contrast::of(*colour) >= contrast::TEXT),
    );
}

/// What kind of page it is, and whose clinic. Whose paper it is, its first lines say, and its foot.
fn masthead(m: &mut Markup, document: &Document) {
    let (head, lines) = (&document.masthead, &document.running_lines);
    m.element("header", &[], |m| {
        if let Some(notice) = &lines.notice {
            m.said("p", "notice", notice);
        }
        m.element("div", &[("class", "clinic")], |m| {
            if let Some(picture) = &document.logo {
                let kind = match picture.logo.kind {
                    LogoKind::Svg => "svg+xml",
                    LogoKind::Png => "png",
                };
                let source = format!("data:image/{kind};base64,{}", base64(&picture.logo.bytes));
                m.empty("img", &[("src", &source), ("alt", &picture.text)]);
            }
            m.element("div", &[], |m| {
                m.said("p", "name", &head.clinic);
                m.said("p", "small", &head.address);
                m.element("p", &[("class", "phone")], |m| {
                    m.callable("call", &head.phone)
                });
                if !head.phone_note.is_empty() {
                    m.said("p", "small", &head.phone_note);
                }
            });
        });
    });
}

fn foot(m: &mut Markup, document: &Document) {
    let lines = &document.running_lines;
    m.element("footer", &[], |m| {
        m.element("p", &[], |m| {
            m.said("strong", "", &lines.name);
            for part in &lines.identity {
                m.text(", ");
                m.said("span", "whole", part);
            }
        });
        for part in [&lines.paper, &lines.visit, &lines.code, &lines.wording] {
            if !part.is_empty() {
                m.said("p", "", part);
            }
        }
    });
}

fn calendar_link(m: &mut Markup, link: &CalendarLink<'_>) {
    let held = base64(link.calendar.as_bytes());
    let address = format!("data:text/calendar;charset=utf-8;base64,{held}");
    m.element("p", &[("class", "screen")], |m| {
        m.element(
            "a",
            &[
                ("class", "button"),
                ("href", &address),
                ("download", link.file),
            ],
            |m| m.plain(link.words),
        );
    });
}

/// Stays in sight wherever the reader is: whom to call, and the way back to the list of parts, where there is one.
fn bar(m: &mut Markup, contents: Option<&str>, phone: &str) {
    m.element("p", &[("class", "bar screen")], |m| {
        m.callable("", phone);
        if let Some(contents) = contents {
            m.element("a", &[("href", &format!("#{}", part_name(0)))], |m| {
                m.plain(contents)
            });
        }
    });
}
