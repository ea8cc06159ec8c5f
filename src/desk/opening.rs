//! Turns the address of a desk into an open page in the browser.
//! Invariant: the secret of the address stands in a file that only its owner can read, never among the arguments of a process.
//! Must not: answer anything but where the desk begins.

use std::io::Write;

use serde_json::json;

use super::asking::{Answer, Asked};
use super::{Desk, label};
use crate::practice::Failed;

/// The door: a page that goes on to the day by itself. It may be opened from a file or another program, everything behind it
/// only from here.
pub(super) fn start(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let title = label(&opened.words, "desk.place.day");
        let frame = desk.frame(opened, "", title);
        opened.pages.page("start.html", &frame, json!({}))
    })
}

/// A file whose opening leads to the desk; it goes when it is dropped.
pub struct Doorway(
    #[allow(dead_code, reason = "it is held so that the file stays")] tempfile::NamedTempFile,
);

/// Opens the desk in the browser of whoever started the program.
///
/// # Errors
/// The file cannot be written, or there is no browser.
pub fn open_in_browser(address: &str) -> Result<Doorway, Failed> {
    let cannot = |error: std::io::Error| Failed::doing("cannot open the browser", error);
    // only its owner can read it
    let mut file = tempfile::Builder::new()
        .prefix("desk-")
        .suffix(".html")
        .tempfile()
        .map_err(cannot)?;
    // the address is digits, letters and a slash
    write!(
        file,
        "<!doctype html><meta charset=\"utf-8\"><title>Beforehand</title>\
         <meta name=\"referrer\" content=\"no-referrer\"><meta http-equiv=\"refresh\" content=\"0;url={address}\">\
         <p><a href=\"{address}\">The desk</a></p>"
    )
    .and_then(|()| file.flush())
    .map_err(cannot)?;
    opener::open(file.path()).map_err(|error| Failed::doing("cannot open the browser", error))?;
    Ok(Doorway(file))
}
