//! Turns the embedded `locales/` files into statements by language and id.
//! Invariant: within one language every id stands once and is not empty.
//! Must not: fill in values, or fall back from one language to another.

use std::collections::BTreeMap;

/// Language tag, file and text of every wording file.
pub const FILES: &[(&str, &str, &str)] = &[
    (
        "en",
        "papers.md",
        include_str!("../../locales/en/papers.md"),
    ),
    (
        "en",
        "clinician.md",
        include_str!("../../locales/en/clinician.md"),
    ),
    (
        "en",
        "pictures.md",
        include_str!("../../locales/en/pictures.md"),
    ),
    (
        "en",
        "phrases.md",
        include_str!("../../locales/en/phrases.md"),
    ),
    ("en", "terms.md", include_str!("../../locales/en/terms.md")),
    (
        "en",
        "general.md",
        include_str!("../../locales/en/general.md"),
    ),
    (
        "en",
        "advice.md",
        include_str!("../../locales/en/advice.md"),
    ),
    (
        "en",
        "calendar.md",
        include_str!("../../locales/en/calendar.md"),
    ),
    (
        "en",
        "timeline.md",
        include_str!("../../locales/en/timeline.md"),
    ),
    ("en", "facts.md", include_str!("../../locales/en/facts.md")),
    ("en", "rules.md", include_str!("../../locales/en/rules.md")),
    (
        "en",
        "report.md",
        include_str!("../../locales/en/report.md"),
    ),
    (
        "en",
        "areas/glabella.md",
        include_str!("../../locales/en/areas/glabella.md"),
    ),
    (
        "en",
        "areas/forehead.md",
        include_str!("../../locales/en/areas/forehead.md"),
    ),
    (
        "en",
        "areas/lateral-canthus.md",
        include_str!("../../locales/en/areas/lateral-canthus.md"),
    ),
    (
        "en",
        "areas/nasalis.md",
        include_str!("../../locales/en/areas/nasalis.md"),
    ),
    (
        "en",
        "areas/levator-labii-superioris-alaeque-nasi.md",
        include_str!("../../locales/en/areas/levator-labii-superioris-alaeque-nasi.md"),
    ),
    (
        "en",
        "areas/depressor-septi-nasi.md",
        include_str!("../../locales/en/areas/depressor-septi-nasi.md"),
    ),
    (
        "en",
        "areas/orbicularis-oris.md",
        include_str!("../../locales/en/areas/orbicularis-oris.md"),
    ),
    (
        "en",
        "areas/depressor-anguli-oris.md",
        include_str!("../../locales/en/areas/depressor-anguli-oris.md"),
    ),
    (
        "en",
        "areas/depressor-labii-inferioris.md",
        include_str!("../../locales/en/areas/depressor-labii-inferioris.md"),
    ),
    (
        "en",
        "areas/mentalis.md",
        include_str!("../../locales/en/areas/mentalis.md"),
    ),
    (
        "en",
        "areas/masseter.md",
        include_str!("../../locales/en/areas/masseter.md"),
    ),
    (
        "en",
        "areas/platysma.md",
        include_str!("../../locales/en/areas/platysma.md"),
    ),
    (
        "en",
        "areas/zygomaticus.md",
        include_str!("../../locales/en/areas/zygomaticus.md"),
    ),
    (
        "en-US",
        "terms.md",
        include_str!("../../locales/en-US/terms.md"),
    ),
    (
        "en-GB",
        "terms.md",
        include_str!("../../locales/en-GB/terms.md"),
    ),
];

/// Languages with a complete wording.
pub const LANGUAGES: &[&str] = &["en"];

/// Version of the wording of each language, printed on every page.
pub const VERSION: &str = "2026-11, draft 1";

/// Statement id to Markdown template.
pub type Statements = BTreeMap<String, String>;

/// All statements of one language tag, from its own files only.
///
/// # Errors
/// Every id that stands twice, is empty, or text before the first id.
pub fn statements(tag: &str) -> Result<Statements, Vec<String>> {
    let mut found = Statements::new();
    let mut problems = Vec::new();
    for (_, file, text) in FILES.iter().filter(|(language, ..)| *language == tag) {
        read(&format!("{tag}/{file}"), text, &mut found, &mut problems);
    }
    if problems.is_empty() {
        Ok(found)
    } else {
        Err(problems)
    }
}

/// Reads one wording file: a title line, then `## id` headings with their text.
pub fn read(file: &str, text: &str, into: &mut Statements, problems: &mut Vec<String>) {
    let mut current: Option<(String, String)> = None;
    let mut close = |current: Option<(String, String)>, problems: &mut Vec<String>| {
        if let Some((id, body)) = current {
            let body = body.trim().to_owned();
            if body.is_empty() {
                problems.push(format!("{file}: `{id}` has no text"));
            } else if into.insert(id.clone(), body).is_some() {
                problems.push(format!("{file}: `{id}` stands twice"));
            }
        }
    };
    for line in text.lines() {
        if let Some(id) = line.strip_prefix("## ") {
            close(current.take(), problems);
            current = Some((id.trim().to_owned(), String::new()));
        } else if let Some((_, body)) = &mut current {
            body.push_str(line);
            body.push('\n');
        } else if !line.trim().is_empty() && !line.starts_with("# ") {
            problems.push(format!("{file}: text before the first id: {line}"));
        }
    }
    close(current, problems);
}

/// The first sixteen hexadecimal digits of the SHA-256 of a statement's words.
pub fn digest(text: &str) -> String {
    use sha2::{Digest, Sha256};
    Sha256::digest(text.as_bytes())
        .iter()
        .take(8)
        .map(|byte| format!("{byte:02x}"))
        .collect()
}
