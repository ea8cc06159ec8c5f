//! Turns the embedded `locales/` files into statements by language and id.
//! Invariant: within one language every id stands once and is not empty.
//! Must not: fill in values, or fall back from one language to another.

use std::collections::BTreeMap;

use crate::domain::digest;

/// Name and text of a wording file.
type File = (&'static str, &'static str);

/// Files of one folder under `locales/`.
macro_rules! files {
    ($tag:literal: $($name:literal),+ $(,)?) => {
        &[$(($name, include_str!(concat!("../../locales/", $tag, "/", $name)))),+]
    };
}

/// A complete language: the files that every language has, named here and nowhere else.
macro_rules! complete {
    ($tag:literal, $version:literal, review by $review_by:expr, $review:expr, names lowered $lowered:literal) => {
        Language {
            tag: $tag,
            version: $version,
            review_by: $review_by,
            review: $review,
            lowers_names: $lowered,
            files: files!($tag:
                "papers.md",
                "clinician.md",
                "staff.md",
                "pictures.md",
                "timeline.md",
                "phrases.md",
                "terms.md",
                "general.md",
                "advice.md",
                "calendar.md",
                "facts.md",
                "questions.md",
                "rules.md",
                "asks.md",
                "report.md",
                "book.md",
                "day.md",
                "areas/glabella.md",
                "areas/forehead.md",
                "areas/lateral-canthus.md",
                "areas/nasalis.md",
                "areas/levator-labii-superioris-alaeque-nasi.md",
                "areas/depressor-septi-nasi.md",
                "areas/orbicularis-oris.md",
                "areas/depressor-anguli-oris.md",
                "areas/depressor-labii-inferioris.md",
                "areas/mentalis.md",
                "areas/masseter.md",
                "areas/platysma.md",
                "areas/zygomaticus.md",
            ),
            desk: include_str!(concat!("../../locales/", $tag, "/desk.md")),
        }
    };
}

/// How far a language has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Review {
    /// Written with care, read by no qualified person.
    Draft,
    /// Read as a whole by a qualified person; a clinic's own approvals are another matter.
    Reviewed,
}

/// A language with complete wording.
#[derive(Debug)]
pub struct Language {
    /// BCP 47 tag without a country.
    pub tag: &'static str,
    /// Printed on every page, so in words of the language.
    pub version: &'static str,
    /// Year and month by which somebody must have read the words again; two years after they were issued (ours).
    pub review_by: (i32, u8),
    pub review: Review,
    /// Names of things begin with a capital at the beginning of a sentence only, as in English; not so in German.
    pub lowers_names: bool,
    files: &'static [File],
    /// The words of the desk. They are on no paper, so nobody approves them and no digest of a paper rests on them.
    desk: &'static str,
}

/// Languages with a complete wording. A new one is a line here and its folder.
pub const LANGUAGES: &[Language] = &[
    complete!("en", "2026-11, draft 1", review by (2028, 11), Review::Draft, names lowered true),
    complete!("es", "2026-11, borrador 1", review by (2028, 11), Review::Draft, names lowered true),
];

/// What a country says differently, by language and country.
const COUNTRIES: &[(&str, &[File])] = &[
    ("en-US", files!("en-US": "terms.md")),
    ("en-GB", files!("en-GB": "terms.md")),
    ("es-ES", files!("es-ES": "terms.md")),
    ("es-US", files!("es-US": "terms.md")),
];

/// Tag, name and text of every wording file.
pub fn files() -> impl Iterator<Item = (&'static str, &'static str, &'static str)> {
    let languages = LANGUAGES.iter().map(|l| (l.tag, l.files));
    languages
        .chain(COUNTRIES.iter().copied())
        .flat_map(|(tag, files)| files.iter().map(move |(name, text)| (tag, *name, *text)))
}

/// The tags of all complete languages.
pub fn tags() -> impl Iterator<Item = &'static str> + Clone {
    LANGUAGES.iter().map(|language| language.tag)
}

/// The tags with differences of a country: `en-US`.
pub fn countries() -> impl Iterator<Item = &'static str> {
    COUNTRIES.iter().map(|(tag, _)| *tag)
}

/// The complete language behind a tag such as `en-GB`.
pub fn language(tag: &str) -> Option<&'static Language> {
    let base = tag.split('-').next().unwrap_or(tag);
    LANGUAGES.iter().find(|language| language.tag == base)
}

/// The version of the wording behind a tag such as `en-GB`; empty for a language that is not complete.
pub fn version(tag: &str) -> &'static str {
    language(tag).map_or("", |language| language.version)
}

/// The year and the month in which the wording behind a tag was issued: two years before it is to be read again.
pub fn issued(tag: &str) -> (i16, i8) {
    language(tag).map_or((1970, 1), |language| {
        let (year, month) = language.review_by;
        let narrow = |number: i32| i16::try_from(number).unwrap_or(i16::MAX);
        (narrow(year - 2), i8::try_from(month).unwrap_or(1))
    })
}

/// "2028-11", the month by which the wording behind a tag is to be read again; empty for a language that is not complete.
pub fn review_by(tag: &str) -> String {
    language(tag).map_or(String::new(), |language| {
        let (year, month) = language.review_by;
        format!("{year}-{month:02}")
    })
}

/// Statement id to Markdown template.
pub type Statements = BTreeMap<String, String>;

/// All statements of one language tag, from its own files only.
///
/// # Errors
/// Every id that stands twice, is empty, or text before the first id.
pub fn statements(tag: &str) -> Result<Statements, Vec<String>> {
    let mut found = Statements::new();
    let mut problems = Vec::new();
    for (_, file, text) in files().filter(|(language, ..)| *language == tag) {
        read(&format!("{tag}/{file}"), text, &mut found, &mut problems);
    }
    if problems.is_empty() {
        Ok(found)
    } else {
        Err(problems)
    }
}

/// The words of the desk in a language, by their ids; they are none of its papers' statements.
///
/// # Errors
/// As [`statements`].
pub fn desk(tag: &str) -> Result<Statements, Vec<String>> {
    let mut found = Statements::new();
    let mut problems = Vec::new();
    let text = language(tag).map_or("", |language| language.desk);
    read(&format!("{tag}/desk.md"), text, &mut found, &mut problems);
    match problems.is_empty() {
        true => Ok(found),
        false => Err(problems),
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
    let mut digest = digest::sha256(text.as_bytes());
    digest.truncate(16);
    digest
}
