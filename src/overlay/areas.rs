//! Turns an overlay's area and source files into catalogue entries, and the catalogue's own problems into places in them.
//!
//! Invariant: a built-in area is never replaced, and a source of the release never renamed.
//!
//! Must not: judge medicine beyond what `catalogue::check` does for the release's own files.

use std::ops::Range;

use crate::catalogue::{Area, Catalogue, Source};
use crate::diagnose::{Code, Diagnostic, SourceFile, echo};
use crate::domain::family;
use crate::wording::library;

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct SourceEntries {
    source: Vec<Source>,
}

/// Reads `sources.toml`.
pub(super) fn read_sources(source: &SourceFile) -> Result<Vec<Source>, Vec<Diagnostic>> {
    let read: SourceEntries =
        toml::from_str(source.text()).map_err(|e| vec![unread(source, &e, Code::OverlaySource)])?;
    let known = &Catalogue::embedded().sources;
    let mut found = Vec::new();
    for (index, entry) in read.source.iter().enumerate() {
        let earlier = read.source[..index].iter().any(|e| e.id == entry.id);
        let problem = if known.contains_key(&entry.id) {
            "This is the number of a source of the release, which stays what it is."
        } else if earlier {
            "This source is listed twice."
        } else if entry.title.trim().is_empty() {
            "This source has no title."
        } else {
            continue;
        };
        found.push(
            Diagnostic::new(
                source,
                Code::OverlaySource,
                quoted(source, entry.id.as_str()).unwrap_or(0..0),
                problem,
                "Give each source a name of its own, like ours-1, and say in the title what it is.",
            )
            .at(format!("source[{index}]")),
        );
    }
    if found.is_empty() {
        Ok(read.source)
    } else {
        Err(found)
    }
}

/// Reads an area file; its id must be the name of the file and not one the release has.
pub(super) fn read_area(source: &SourceFile, stem: &str) -> Result<Area, Vec<Diagnostic>> {
    let area: Area =
        toml::from_str(source.text()).map_err(|e| vec![unread(source, &e, Code::AreaData)])?;
    let span = quoted(source, area.id.as_str()).unwrap_or(0..0);
    let fail = |code, problem: String, remedy: &str| {
        Err(vec![
            Diagnostic::new(source, code, span.clone(), problem, remedy).at("id"),
        ])
    };
    if Catalogue::embedded().area(&area.id).is_some() {
        return fail(
            Code::AreaBuiltIn,
            format!(
                "`{}` is built in; its risks and numbers cannot be replaced.",
                echo(area.id.as_str())
            ),
            "Give your area another name; the words of a built-in area are changed in a wording file.",
        );
    }
    if is_taken(area.id.as_str()) {
        return fail(
            Code::AreaData,
            format!(
                "`{}` is the first part of other statements' names.",
                echo(area.id.as_str())
            ),
            "Give your area another name.",
        );
    }
    if area.id != stem {
        return fail(
            Code::AreaData,
            format!(
                "The area is called `{}`, its file `{}`.",
                echo(area.id.as_str()),
                echo(stem)
            ),
            "Give both the same name.",
        );
    }
    Ok(area)
}

/// `general.…`, `rule.…`, `term.…`: an area of that name would own them.
fn is_taken(id: &str) -> bool {
    id == "clinic"
        || library::tags().any(|tag| {
            library::statements(tag)
                .is_ok_and(|words| words.keys().any(|known| family(known) == id))
        })
}

/// What the catalogue's check says about one area beside the release.
pub(super) fn problems(source: &SourceFile, area: &Area, sources: &[Source]) -> Vec<Diagnostic> {
    match Catalogue::embedded().extended(sources.to_vec(), vec![area.clone()]) {
        Ok(_) => Vec::new(),
        Err(error) => between(source, area, &error.0),
    }
}

/// Problems of the catalogue's check as mistakes of this file.
pub(super) fn between(source: &SourceFile, area: &Area, problems: &[String]) -> Vec<Diagnostic> {
    problems
        .iter()
        .map(|problem| {
            let (subject, said) = problem
                .split_once(": ")
                .unwrap_or((area.id.as_str(), problem));
            let at = subject
                .strip_prefix(area.id.as_str())
                .unwrap_or(subject)
                .trim();
            let sentence = if at.is_empty() {
                format!("This area does not fit: {said}.")
            } else {
                format!("The entry `{}` does not fit: {said}.", echo(at))
            };
            Diagnostic::new(
                source,
                Code::AreaData,
                place(source, subject, said),
                sentence,
                "Compare it with a built-in area: `beforehand areas NAME` shows what each holds.",
            )
            .at(if at.is_empty() {
                "area".to_owned()
            } else {
                echo(at)
            })
        })
        .collect()
}

/// Where a problem's words stand in the file: what it says about first, then what it is about, from the most particular.
fn place(source: &SourceFile, subject: &str, said: &str) -> Range<usize> {
    let trimmed = |word: &str| word.trim_matches(['`', ',', '.', ':']).to_owned();
    let of_subject = subject
        .split_whitespace()
        .rev()
        .map(trimmed)
        .find_map(|word| quoted(source, &word))
        .unwrap_or(0..0);
    let mut words = said.split_whitespace().map(trimmed);
    while let Some(word) = words.next() {
        if ["source", "fact", "product", "advice", "order"].contains(&word.as_str())
            && let Some(next) = words.next()
            && let Some(found) = quoted_after(source, &next, of_subject.start)
                .or_else(|| quoted(source, &next))
                .or_else(|| number(source, &word, &next))
        {
            return found;
        }
    }
    of_subject
}

/// The first place where a word stands in quotation marks.
fn quoted(source: &SourceFile, word: &str) -> Option<Range<usize>> {
    quoted_after(source, word, 0)
}

/// The same from a byte on.
fn quoted_after(source: &SourceFile, word: &str, from: usize) -> Option<Range<usize>> {
    let wanted = format!("\"{word}\"");
    let at = from + source.text().get(from..)?.find(&wanted)?;
    Some(at..at + wanted.len())
}

fn number(source: &SourceFile, key: &str, number: &str) -> Option<Range<usize>> {
    let wanted = format!("{key} = {number}");
    let at = source.text().find(&wanted)?;
    Some(at..at + wanted.len())
}

fn unread(source: &SourceFile, error: &toml::de::Error, code: Code) -> Diagnostic {
    let message = error.message().replace('\n', " ");
    let span = error.span().unwrap_or(0..0);
    Diagnostic::new(
        source,
        code,
        named_in_entry(source.text(), &span, &message).unwrap_or(span),
        format!("This cannot be read: {message}."),
        "Compare it with the files that DEVELOPERS.md names under \"an area\".",
    )
    .at("area")
}

/// The key or value that a message names. Where evidence stands among other keys, serde points at the whole entry.
fn named_in_entry(text: &str, entry: &Range<usize>, message: &str) -> Option<Range<usize>> {
    let rest = text.get(entry.start..)?;
    let end = match rest.chars().next()? {
        '[' => rest.find("\n[").unwrap_or(rest.len()),
        '{' => entry.len(),
        _ => return None,
    };
    let word = message.split('`').nth(1)?;
    let found = if message.starts_with("unknown field") {
        let is_key = |at: &usize| {
            let before = rest[..*at].trim_end_matches([' ', '\t']);
            let after = rest[at + word.len()..].trim_start_matches([' ', '\t']);
            before.ends_with(['\n', '{', ',']) && after.starts_with('=')
        };
        let at = rest[..end]
            .match_indices(word)
            .map(|(at, _)| at)
            .find(is_key)?;
        at..at + word.len()
    } else if message.starts_with("unknown variant") {
        let wanted = format!("\"{word}\"");
        let at = rest[..end].find(&wanted)?;
        at..at + wanted.len()
    } else {
        return None;
    };
    Some(entry.start + found.start..entry.start + found.end)
}
