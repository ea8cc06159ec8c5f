//! Turns the files of a clinic's overlay folder into its own words, look and areas, or into every mistake in them.
//!
//! Invariant: what comes out without a mistake can be printed: every statement is known or called for, keeps the blanks the
//! release fills, and no built-in area loses a risk.
//!
//! Must not: read the disk (the caller hands in names and bytes), or fill anything in.

mod areas;
pub mod compare;
pub mod copy;
mod judge;
mod logo;
mod words;

use std::collections::{BTreeMap, BTreeSet};

use sha2::{Digest, Sha256};

use crate::catalogue::Catalogue;
use crate::diagnose::{Code, Diagnostic, Format, SourceFile, hint};
use crate::domain::{AreaId, digest, family};
use crate::plan::{self, Branding};
use crate::typeset::Fonts;
use crate::wording::library;

pub use logo::MAX_LOGO_BYTES;
pub use words::Entry;

/// Statements that only a clinic has: its own paragraph at the end of the consent form's and the aftercare sheet's text.
pub const HOOKS: [&str; 2] = ["clinic.consent.extra", "clinic.aftercare.extra"];

/// Statements no clinic can change: they say that nobody has approved the words.
pub const FIXED: [&str; 3] = ["paper.draft", "paper.training", "paper.no-place-to-sign"];

/// Name of the file with logo and colour.
const LOOK: &str = "look.toml";
const SOURCES: &str = "sources.toml";

/// One file of the folder.
#[derive(Debug, Clone)]
pub struct File {
    /// Seen from the overlay folder, with `/` between folders: `wording/en/advice.md`.
    pub name: String,
    /// As the user would name it, for messages.
    pub shown: String,
    pub bytes: Vec<u8>,
}

/// The mistakes of one file; without a source those of a file of which no line can be shown.
#[derive(Debug, Clone)]
pub struct Mistakes {
    pub source: Option<SourceFile>,
    pub found: Vec<Diagnostic>,
}

/// A clinic's overlay, as far as it could be read.
#[derive(Debug)]
pub struct Overlay {
    pub branding: Branding,
    /// The release's catalogue with the clinic's areas and sources; without them when they have mistakes.
    pub catalogue: Catalogue,
    /// Every statement of the folder's wording files, unchanged copies among them.
    pub entries: Vec<Entry>,
    /// Ids of the clinic's own areas; of those with mistakes the names of their files.
    pub areas: BTreeSet<AreaId>,
    /// The area's file as the user would name it.
    area_files: BTreeMap<AreaId, String>,
    pub mistakes: Vec<Mistakes>,
}

impl Overlay {
    /// No overlay: the release as it is.
    pub fn none() -> Overlay {
        Overlay {
            branding: Branding::default(),
            catalogue: Catalogue::embedded().clone(),
            entries: Vec::new(),
            areas: BTreeSet::new(),
            area_files: BTreeMap::new(),
            mistakes: Vec::new(),
        }
    }

    /// Whether every file of the folder is right.
    pub fn is_right(&self) -> bool {
        self.mistakes.is_empty()
    }

    /// Reads the files of an overlay folder.
    pub fn read(files: &[File], fonts: &Fonts) -> Overlay {
        let mut overlay = Overlay::none();
        let mut texts: Vec<(&File, SourceFile)> = Vec::new();
        for file in files {
            match place(&file.name) {
                Place::Picture | Place::Aside => continue,
                Place::Unknown(remedy) => overlay.whole(Diagnostic::of_file(
                    &file.shown,
                    Code::OverlayFile,
                    "This file is not part of an overlay.",
                    remedy,
                )),
                Place::Text => {
                    // the format is asked for, but a wording file is not read by it
                    match SourceFile::from_bytes(&file.shown, &file.bytes, Format::Toml) {
                        Ok(source) => texts.push((file, source)),
                        Err(diagnostic) => overlay.whole(*diagnostic),
                    }
                }
            }
        }
        overlay.areas_and_sources(&texts);
        overlay.words(&texts, fonts);
        overlay.look(&texts, files);
        if overlay.is_right() {
            overlay.branding.digest = overlay.digest(&texts);
        }
        overlay
    }

    fn whole(&mut self, diagnostic: Diagnostic) {
        self.mistakes.push(Mistakes {
            source: None,
            found: vec![diagnostic],
        });
    }

    fn note(&mut self, source: &SourceFile, mut found: Vec<Diagnostic>) {
        if found.is_empty() {
            return;
        }
        found.sort_by_key(|d| (d.span.as_ref().map_or(0, |s| s.start), d.code));
        self.mistakes.push(Mistakes {
            source: Some(source.clone()),
            found,
        });
    }

    fn areas_and_sources(&mut self, texts: &[(&File, SourceFile)]) {
        let mut sources = Vec::new();
        for (_, source) in texts.iter().filter(|(file, _)| file.name == SOURCES) {
            match areas::read_sources(source) {
                Ok(found) => sources = found,
                Err(found) => self.note(source, found),
            }
        }
        let mut read = Vec::new();
        for (file, source) in texts.iter().filter(|(f, _)| f.name.starts_with("areas/")) {
            let stem = stem(&file.name);
            self.areas.insert(stem.into());
            self.area_files.insert(stem.into(), file.shown.clone());
            match areas::read_area(source, stem) {
                Ok(area) => read.push((source, area)),
                Err(found) => self.note(source, found),
            }
        }
        // each area by itself first, so that its problems are shown in its own file
        let mut fine = true;
        for (source, area) in &read {
            let found = areas::problems(source, area, &sources);
            fine &= found.is_empty();
            self.note(source, found);
        }
        if !fine {
            return;
        }
        let all = read.iter().map(|(_, area)| area.clone()).collect();
        match Catalogue::embedded().extended(sources, all) {
            Ok(catalogue) => self.catalogue = catalogue,
            Err(error) => {
                // what is left lies between two areas of the overlay
                if let Some((source, area)) = read.last() {
                    let found = areas::between(source, area, &error.0);
                    self.note(source, found);
                }
            }
        }
    }

    fn words(&mut self, texts: &[(&File, SourceFile)], fonts: &Fonts) {
        let mut judge = judge::Judge::new(&self.catalogue, &self.areas, fonts);
        let mut entries = Vec::new();
        for (file, source) in texts {
            let Some((tag, _)) = wording_place(&file.name) else {
                continue;
            };
            if !library::files().any(|(known, ..)| known == tag) {
                let mut known: Vec<&str> = library::files().map(|(tag, ..)| tag).collect();
                known.sort_unstable();
                known.dedup();
                self.mistakes.push(Mistakes {
                    source: None,
                    found: vec![Diagnostic::of_file(
                        &file.shown,
                        Code::OverlayLanguage,
                        "The program has no wording in this language, and an overlay cannot add one.",
                        hint(tag, known, "language"),
                    )],
                });
                continue;
            }
            let (found, mistakes) = words::read(source, tag);
            let mut mistakes = mistakes;
            for entry in found {
                mistakes.extend(judge.entry(source, &entry));
                entries.push(entry);
            }
            if !mistakes.is_empty() {
                mistakes.sort_by_key(|d| (d.span.as_ref().map_or(0, |s| s.start), d.code));
                self.mistakes.push(Mistakes {
                    source: Some(source.clone()),
                    found: mistakes,
                });
            }
        }
        for entry in entries.iter().filter(|entry| !entry.is_copy()) {
            self.branding
                .words
                .entry(entry.tag.clone())
                .or_default()
                .insert(entry.id.clone(), entry.text.clone());
        }
        self.entries = entries;
    }

    fn look(&mut self, texts: &[(&File, SourceFile)], files: &[File]) {
        let Some((_, source)) = texts.iter().find(|(file, _)| file.name == LOOK) else {
            return;
        };
        let look = match plan::read_look(source) {
            Ok(look) => look,
            Err(found) => return self.note(source, found),
        };
        self.branding.accent = look.accent;
        if let Some((path, span)) = look.logo {
            match logo::read(source, &path, span, look.logo_text, files) {
                Ok(logo) => self.branding.logo = Some(logo),
                Err(found) => self.note(source, vec![*found]),
            }
        }
    }

    /// The words an area of the clinic's lacks in a language (`en`), as mistakes of the area's file.
    pub fn unworded(&self, base: &str, only: Option<&BTreeSet<AreaId>>) -> Vec<Diagnostic> {
        let mut found = Vec::new();
        let worded = self.branding.words.get(base);
        let wanted = crate::called_for::wording_ids(&self.catalogue);
        for area in &self.areas {
            let built_in = Catalogue::embedded().area(area).is_some();
            let known = self.catalogue.area(area).is_some() && !built_in;
            if !known || only.is_some_and(|only| !only.contains(area)) {
                continue;
            }
            let missing: Vec<&str> = wanted
                .iter()
                .filter(|id| *area == *family(id))
                .filter(|id| !worded.is_some_and(|words| words.contains_key(*id)))
                .map(String::as_str)
                .collect();
            if missing.is_empty() {
                continue;
            }
            let list = missing
                .iter()
                .map(|id| format!("`{id}`"))
                .collect::<Vec<_>>()
                .join(", ");
            found.push(Diagnostic::of_file(
                self.area_files.get(area).map_or("", String::as_str),
                Code::AreaUnworded,
                format!("This area has no words in the language `{base}` for {list}."),
                format!(
                    "Write them into wording/{base}/areas/{area}.md, each under `## ` and its name."
                ),
            ));
        }
        found
    }

    /// A digest of everything that reaches a paper: words that differ, look, areas and sources.
    fn digest(&self, texts: &[(&File, SourceFile)]) -> String {
        let mut digest = Sha256::new();
        let mut part = |bytes: &[u8]| {
            digest.update((bytes.len() as u64).to_be_bytes());
            digest.update(bytes);
        };
        for (tag, words) in &self.branding.words {
            for (id, text) in words {
                for words in [tag, id, text] {
                    part(words.as_bytes());
                }
            }
        }
        for (file, source) in texts {
            if file.name.starts_with("areas/") || file.name == SOURCES {
                part(file.name.as_bytes());
                part(source.text().as_bytes());
            }
        }
        part(
            self.branding
                .accent
                .as_deref()
                .unwrap_or_default()
                .as_bytes(),
        );
        if let Some(logo) = &self.branding.logo {
            part(&logo.bytes);
            part(logo.text.as_deref().unwrap_or_default().as_bytes());
        }
        digest::hexadecimal(&digest.finalize()[..8])
    }
}

enum Place {
    Text,
    Picture,
    /// Notes to oneself: files that start with a point, and README.
    Aside,
    Unknown(String),
}

/// What a file of this name is to an overlay.
fn place(name: &str) -> Place {
    let last = name.rsplit('/').next().unwrap_or(name);
    let lower = last.to_ascii_lowercase();
    if last.starts_with('.') || lower.starts_with("readme") {
        return Place::Aside;
    }
    let parts: Vec<&str> = name.split('/').collect();
    match parts.as_slice() {
        [LOOK | SOURCES] => Place::Text,
        ["areas", file] if file.ends_with(".toml") => Place::Text,
        ["wording", ..] if wording_place(name).is_some() => Place::Text,
        _ if lower.ends_with(".svg") || lower.ends_with(".png") => Place::Picture,
        [file] => Place::Unknown(match crate::diagnose::closest(file, [LOOK, SOURCES]) {
            Some(meant) => format!("Did you mean `{meant}`?"),
            None => layout(),
        }),
        _ => Place::Unknown(layout()),
    }
}

fn layout() -> String {
    format!(
        "An overlay holds {LOOK}, {SOURCES}, areas/NAME.toml, wording/LANGUAGE/NAME.md and wording/LANGUAGE/areas/NAME.md."
    )
}

/// Language tag and rest of the name of a wording file.
fn wording_place(name: &str) -> Option<(&str, &str)> {
    let (tag, rest) = name.strip_prefix("wording/")?.split_once('/')?;
    let inside = rest.strip_prefix("areas/").unwrap_or(rest);
    (inside.ends_with(".md") && !inside.contains('/') && !tag.is_empty()).then_some((tag, rest))
}

/// File name without folder and ending.
fn stem(name: &str) -> &str {
    let last = name.rsplit('/').next().unwrap_or(name);
    last.rsplit_once('.').map_or(last, |(stem, _)| stem)
}
