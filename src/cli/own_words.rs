//! Turns `wording export` and `wording diff` into files a clinic can change, and into what it changed.
//!
//! Invariant: words are shown as they stand in the files.
//!
//! Must not: change an overlay.

use std::fmt::Write as _;
use std::path::Path;

use super::Outcome;
use super::open::clinic_files_as_they_are;
use super::output::{Output, shown};
use crate::diagnose;
use crate::overlay::compare::{Difference, Standing, differences};
use crate::overlay::copy;
use crate::practice::{ExportError, export_words};
use crate::wording::library;

/// Writes the release's wording of a language and its countries.
pub fn export(out: &Path, language: &str) -> anyhow::Result<Outcome> {
    let written = match export_words(out, language) {
        Ok(written) => written,
        Err(ExportError::UnknownLanguage) => {
            anstream::eprintln!(
                "no wording in the language `{}`; available: {}",
                diagnose::echo(language),
                library::tags().collect::<Vec<_>>().join(", ")
            );
            return Ok(Outcome::Unsettled);
        }
        Err(error @ ExportError::AlreadyThere { .. }) => {
            anstream::eprintln!("{error}. Name an empty folder with --out.");
            return Ok(Outcome::Unsettled);
        }
        Err(error) => return Err(error.into()),
    };
    Output::default().say(&format!(
        "wrote {written} files of the wording {language} (release {}) to {}\n\
         Put them into your overlay as wording/, change what you want to say otherwise, and leave or delete the rest.\n",
        library::version(language),
        shown(out)
    ))?;
    Ok(Outcome::Fine)
}

/// Shows what a clinic says in other words.
pub fn diff(clinic_path: &Path) -> anyhow::Result<Outcome> {
    let files = clinic_files_as_they_are(clinic_path)?;
    let Some((clinic, overlay)) = files.and_then(|files| Some((files.clinic?, files.overlay)))
    else {
        return Ok(Outcome::Unsettled);
    };
    let Some(folder) = &clinic.overlay else {
        anstream::eprintln!(
            "{} names no overlay; its papers use this release's words as they are",
            shown(clinic_path)
        );
        return Ok(Outcome::Fine);
    };
    let found = differences(&overlay);
    let copies = overlay.entries.iter().filter(|e| e.is_copy()).count();
    let count = |standing: Standing| found.iter().filter(|d| d.standing == standing).count();
    let mut out = String::new();
    writeln!(
        out,
        "{} against release {}",
        shown(&clinic_path.with_file_name("").join(folder)),
        library::version(&clinic.language.to_string())
    )?;
    for (what, number) in [
        (
            "in the clinic's words",
            count(Standing::Changed) + count(Standing::CopyUnknown),
        ),
        (
            "in the clinic's words, and the release has changed since",
            count(Standing::ReleaseChanged),
        ),
        ("only the clinic has", count(Standing::Extra)),
        ("not in this release", count(Standing::Gone)),
        ("untouched copies (they follow the release)", copies),
    ] {
        writeln!(out, "  {number:>4}  {what}")?;
    }
    for difference in &found {
        one(difference, &mut out)?;
    }
    Output::default().say(&out)?;
    let settled =
        overlay.is_right() && count(Standing::ReleaseChanged) == 0 && count(Standing::Gone) == 0;
    Ok(Outcome::settled(settled))
}

fn one(difference: &Difference<'_>, out: &mut String) -> std::fmt::Result {
    let entry = difference.entry;
    writeln!(out, "\n{} ({})", plain(&entry.id), plain(&entry.tag))?;
    let standing = match difference.standing {
        Standing::Changed => "the release still says what you copied",
        Standing::ReleaseChanged => {
            "THE RELEASE HAS CHANGED since you copied it: read both, then copy the line under the name anew"
        }
        Standing::CopyUnknown => "written without a copy: cannot tell whether the release changed",
        Standing::Extra => "only the clinic has this statement",
        Standing::Gone => "this release has no such statement: nothing prints it",
    };
    writeln!(out, "  {standing}")?;
    if let Some(release) = &entry.release {
        writeln!(out, "  copied from release {}", plain(release))?;
    }
    if let Some(words) = &difference.release {
        paragraph("release", words, out)?;
    }
    paragraph("clinic", &entry.text, out)?;
    if difference.standing == Standing::ReleaseChanged
        && let Some(words) = &difference.release
    {
        writeln!(out, "  the line for today's words: {}", copy::line(words))?;
    }
    Ok(())
}

/// Words under a label, each line set in.
fn paragraph(label: &str, words: &str, out: &mut String) -> std::fmt::Result {
    writeln!(out, "  {label}:")?;
    for line in words.lines() {
        writeln!(out, "      {}", plain(line))?;
    }
    Ok(())
}

/// Text from a file, for people: control characters are shown as escapes.
fn plain(text: &str) -> String {
    shown(Path::new(text))
}
