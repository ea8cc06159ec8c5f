//! Turns the names of the desk's own files into their bytes.
//! Invariant: the files are in the program; no path of the disk is ever made of a name that was asked for.
//! Must not: hold anything of a patient or a practice.

use axum::body::Bytes;

use super::Desk;
use super::asking::{Answer, Asked};

fn file(kind: &'static str, text: &'static str) -> Answer {
    Answer::File {
        kind,
        bytes: Bytes::from_static(text.as_bytes()),
        name: None,
    }
}

pub(super) fn style(_: &Desk, _: &Asked) -> Answer {
    file(
        "text/css; charset=utf-8",
        include_str!("../../templates/desk/desk.css"),
    )
}

pub(super) fn script(_: &Desk, _: &Asked) -> Answer {
    file(
        "text/javascript; charset=utf-8",
        include_str!("../../templates/desk/desk.js"),
    )
}

/// The desk's own mark, beside the title in a browser's bar.
pub(super) fn mark(_: &Desk, _: &Asked) -> Answer {
    file(
        "image/svg+xml",
        include_str!("../../templates/desk/mark.svg"),
    )
}
