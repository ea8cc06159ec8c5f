//! Turns made papers into finished files in memory: names, bytes, and the line of the register for each.
//! Invariant: under a `stop` no file for the patient comes out of here; file names hold the patient's name only where the clinic asks for it.
//! Must not: write to disk.

use rayon::prelude::*;

use super::{Failed, MakeError, Paper, Papers};
use crate::file_names::{self, CALENDAR};
use crate::paper::{Edition, PaperKind};
use crate::record::Entry;
use crate::select::Selection;
use crate::wording::library;

/// Something that can be asked for: a kind of paper, or the calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    Paper(PaperKind),
    Calendar,
}

impl Wanted {
    /// Everything there is, in the order it is written.
    pub fn all() -> impl Iterator<Item = Wanted> {
        PaperKind::ALL
            .into_iter()
            .map(Wanted::Paper)
            .chain([Wanted::Calendar])
    }

    /// As in file names.
    pub fn as_str(self) -> &'static str {
        match self {
            Wanted::Paper(kind) => kind.as_str(),
            Wanted::Calendar => CALENDAR,
        }
    }
}

/// What a finished file is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Content {
    Paper {
        kind: PaperKind,
        edition: Edition,
        /// Size of the body text in points.
        type_size: f64,
        pages: usize,
    },
    /// The same paper as one page for a telephone.
    PhonePage(PaperKind),
    Calendar,
}

impl std::fmt::Display for Content {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Content::Calendar => f.write_str(CALENDAR),
            Content::PhonePage(kind) => write!(f, "{}, page for a phone", kind.noun()),
            Content::Paper {
                kind,
                edition,
                type_size,
                pages,
            } => {
                write!(f, "{}{}", kind.noun(), edition.noun())?;
                if edition.is_large() {
                    write!(f, " ({type_size} pt)")?;
                }
                let noun = if *pages == 1 { "page" } else { "pages" };
                write!(f, ", {pages} {noun}")
            }
        }
    }
}

/// A finished file that is not yet written.
#[derive(Debug, Clone)]
pub struct PaperFile {
    /// Without a folder.
    pub name: String,
    pub bytes: Vec<u8>,
    pub content: Content,
    /// Its line in the register; a calendar has none.
    pub entry: Option<Entry>,
}

impl Papers<'_> {
    /// The finished files that may be written, or those of them that are wanted; an empty list wants all.
    ///
    /// # Errors
    /// A paper cannot be written as PDF, or the calendar cannot be worded.
    pub fn files(&self, only: &[Wanted]) -> Result<Vec<PaperFile>, MakeError> {
        let wanted = |name: Wanted| only.is_empty() || only.contains(&name);
        let papers = self.writable();
        let papers: Vec<&Paper> = papers
            .filter(|paper| wanted(Wanted::Paper(paper.kind)))
            .collect();
        // beside each other where there are cores: to write them as PDF takes a tenth of a visit
        let files: Result<Vec<_>, _> = papers
            .into_par_iter()
            .map(|paper| self.files_of(paper))
            .collect();
        let mut files: Vec<PaperFile> = files?.into_iter().flatten().collect();
        if wanted(Wanted::Calendar) {
            files.extend(self.calendar()?.map(|calendar| PaperFile {
                name: file_names::calendar(&self.selection),
                bytes: calendar.into_bytes(),
                content: Content::Calendar,
                entry: None,
            }));
        }
        Ok(files)
    }

    /// A paper as PDF, and as a page for a telephone where there is one.
    fn files_of(&self, paper: &Paper) -> Result<Vec<PaperFile>, MakeError> {
        let stem = self.file_stem(&name_of(paper));
        let file = |name: String, bytes: Vec<u8>, content: Content| {
            let mut entry = Entry::of(&paper.record, &paper.wording, name.clone(), &bytes);
            entry.made_from = self.made_from.clone();
            PaperFile {
                name,
                bytes,
                content,
                entry: Some(entry),
            }
        };
        let pages = Content::Paper {
            kind: paper.kind,
            edition: paper.edition,
            type_size: paper.document.type_size,
            pages: paper.pages.count(),
        };
        let mut files = vec![file(format!("{stem}.pdf"), paper.pages.pdf()?, pages)];
        if let Some(page) = &paper.phone_page {
            let content = Content::PhonePage(paper.kind);
            let page = page.clone().into_bytes();
            files.push(file(format!("{stem}.html"), page, content));
        }
        Ok(files)
    }

    /// The names that files of this visit can have which a stop forbids, in every edition and language: what may be left from
    /// an earlier run when nothing may be handed out now.
    pub fn names_under_no_stop(&self) -> Vec<String> {
        let mut names = self.names_of(|kind| !kind.survives_a_stop());
        names.push(file_names::calendar(&self.selection));
        names
    }

    /// The names that papers of this visit can have, in every edition and language.
    pub(super) fn names_of_papers(&self) -> Vec<String> {
        self.names_of(|_| true)
    }

    fn names_of(&self, wanted: impl Fn(PaperKind) -> bool) -> Vec<String> {
        let mut names = Vec::new();
        for edition in [Edition::Ordinary, Edition::LargePrint, Edition::ReadingCopy] {
            for kind in PaperKind::all_in(edition).filter(|kind| wanted(*kind)) {
                for language in library::tags() {
                    let stem = self.file_stem(&edition.in_file_name(kind, language));
                    names.push(format!("{stem}.pdf"));
                    if kind.has_phone_page(edition) {
                        names.push(format!("{stem}.html"));
                    }
                }
            }
        }
        // only reading copies are named by their language
        names.sort();
        names.dedup();
        names
    }

    /// The names of the papers of a visit that is not stopped, as they are without reading copies; the calendar is not among
    /// them.
    pub(super) fn names_made(
        selection: &Selection<'_>,
        large_print: bool,
    ) -> Vec<(PaperKind, String)> {
        let wanted = match large_print {
            true => Edition::LargePrint,
            false => Edition::Ordinary,
        };
        let mut names = Vec::new();
        for kind in PaperKind::ALL {
            let edition = kind.edition(wanted);
            let stem = file_names::stem(selection, &edition.in_file_name(kind, ""));
            names.push((kind, format!("{stem}.pdf")));
            if kind.has_phone_page(edition) {
                names.push((kind, format!("{stem}.html")));
            }
        }
        names
    }

    /// The name of one file, without its ending.
    fn file_stem(&self, paper: &str) -> String {
        file_names::stem(&self.selection, paper)
    }

    /// What the files of two visits must not share.
    pub(super) fn visit_stem(&self) -> String {
        self.file_stem("")
    }

    /// What stands against each paper, one sentence each, for whoever makes it.
    pub fn faults(&self) -> Vec<String> {
        let mut said = Vec::new();
        for paper in &self.papers {
            let name = format!("{}{}", paper.kind.noun(), paper.edition.noun());
            said.extend(paper.lacks.iter().map(|lack| format!("{name}: {lack}")));
        }
        said
    }
}

/// What stands for `{paper}` in the name of a paper's file.
fn name_of(paper: &Paper) -> String {
    paper.edition.in_file_name(paper.kind, paper.wording.base())
}

impl From<MakeError> for Failed {
    fn from(error: MakeError) -> Failed {
        Failed::doing("the papers could not be made", error)
    }
}
