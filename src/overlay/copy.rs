//! Turns the release's wording into files that a clinic can change and put into its overlay.
//!
//! Invariant: a file as written changes nothing when it is put into an overlay, and says which words it was copied from.
//!
//! Must not: write anything to disk.

use crate::overlay::words::{copy_line, release_line};
use crate::wording::library;

/// Name (`en/advice.md`) and text of every wording file of a language (`en`) and its countries.
pub fn files(base: &str) -> Vec<(String, String)> {
    library::files()
        .filter(|(tag, ..)| tag.split('-').next() == Some(base))
        .map(|(tag, file, text)| (format!("{tag}/{file}"), copied(base, text)))
        .collect()
}

fn copied(base: &str, text: &str) -> String {
    let mut statements = library::Statements::new();
    let mut problems = Vec::new();
    library::read("", text, &mut statements, &mut problems);
    let mut out = String::new();
    let title = text.lines().find_map(|line| line.strip_prefix("# "));
    out.push_str(&format!("# {}\n\n", title.unwrap_or("Wording")));
    out.push_str(&release_line(library::version(base)));
    out.push_str(
        "\n<!-- Change the words you want to change and leave the rest: what you leave as it is follows later releases. -->\n\
         <!-- The line under each name says which words of the release it was copied from; do not change it. -->\n",
    );
    // in the order of the file, which is an order people can follow
    for id in text.lines().filter_map(|line| line.strip_prefix("## ")) {
        let id = id.trim();
        if let Some(words) = statements.get(id) {
            out.push_str(&format!("\n## {id}\n\n{}\n\n{words}\n", copy_line(words)));
        }
    }
    out
}

/// The line under a name that says which words were copied.
pub fn line(words: &str) -> String {
    copy_line(words)
}
