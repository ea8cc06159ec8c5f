//! Turns finished papers into one file to print on both sides: each paper begins on a front, with a blank back where it needs one.
//! Invariant: the pages are those of the papers, in order and unchanged; all are of one size.
//! Must not: claim to be a paper itself (it carries no record and no tags), or write files.

use std::sync::Arc;

use krilla::page::PageSettings;
use krilla::pdf::{Pdf, PdfDocument};
use krilla::{Document, SerializeSettings};

/// A finished paper and how often it is printed.
#[derive(Debug, Clone, Copy)]
pub struct InPack<'p> {
    /// What it is called where it cannot be used.
    pub name: &'p str,
    pub pdf: &'p [u8],
    pub copies: usize,
}

/// One file to print.
#[derive(Debug)]
pub struct Pack {
    pub pdf: Vec<u8>,
    /// Sheets that each paper of the list takes, all its copies together.
    pub sheets: Vec<usize>,
}

impl Pack {
    /// Pages, blank backs among them.
    pub fn pages(&self) -> usize {
        2 * self.sheets.iter().sum::<usize>()
    }
}

/// Why papers cannot be put into one file.
#[derive(Debug, PartialEq, Eq)]
pub enum PackError {
    /// This file is no PDF that can be read.
    NotReadable(String),
    /// These two papers have pages of different sizes.
    Sizes(String, String),
    /// Nothing is to be printed.
    Empty,
    /// The writer would not write it.
    Refused(String),
}

impl std::fmt::Display for PackError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            PackError::NotReadable(name) => write!(f, "{name} is not a PDF file that can be read"),
            PackError::Sizes(one, other) => write!(
                f,
                "{one} and {other} are for different sizes of paper; print them apart"
            ),
            PackError::Empty => f.write_str("there is nothing to print"),
            PackError::Refused(why) => write!(f, "the pages cannot be put together: {why}"),
        }
    }
}

impl std::error::Error for PackError {}

/// Sheets of so many pages, printed on both sides.
pub fn sheets(pages: usize) -> usize {
    pages.div_ceil(2)
}

/// The sheets that each of these papers takes, all its copies together.
///
/// # Errors
/// A paper cannot be read.
pub fn sheets_of(papers: &[InPack<'_>]) -> Result<Vec<usize>, PackError> {
    let sheets = papers.iter().map(|paper| {
        let pages = read(paper)?.pages().len();
        Ok(paper.copies * sheets(pages))
    });
    sheets.collect()
}

fn read(paper: &InPack<'_>) -> Result<Pdf, PackError> {
    let unreadable = || PackError::NotReadable(paper.name.to_owned());
    let pdf = Pdf::new(Arc::new(paper.pdf.to_vec())).map_err(|_| unreadable())?;
    match pdf.pages().is_empty() {
        true => Err(unreadable()),
        false => Ok(pdf),
    }
}

/// Puts papers together.
///
/// # Errors
/// See [`PackError`].
pub fn pack(papers: &[InPack<'_>]) -> Result<Pack, PackError> {
    let mut document = Document::new_with(SerializeSettings::default());
    let mut size: Option<(&str, (f32, f32))> = None;
    let mut taken = Vec::new();
    for paper in papers {
        let pdf = read(paper)?;
        let sizes: Vec<(f32, f32)> = pdf
            .pages()
            .iter()
            .map(|page| page.render_dimensions())
            .collect();
        let (name, size) = *size.get_or_insert((paper.name, sizes[0]));
        // half a point is less than any printer keeps to
        let alike = |one: &(f32, f32)| (one.0 - size.0).abs() < 0.5 && (one.1 - size.1).abs() < 0.5;
        if !sizes.iter().all(alike) {
            return Err(PackError::Sizes(name.to_owned(), paper.name.to_owned()));
        }
        let pages: Vec<usize> = (0..sizes.len()).collect();
        let pdf = PdfDocument::new(Arc::new(pdf));
        for _ in 0..paper.copies {
            document.embed_pdf_pages(&pdf, &pages);
            if pages.len() % 2 == 1 {
                let blank = PageSettings::from_wh(size.0, size.1)
                    .ok_or_else(|| PackError::NotReadable(paper.name.to_owned()))?;
                document.start_page_with(blank).finish();
            }
        }
        taken.push(paper.copies * sheets(pages.len()));
    }
    if taken.iter().sum::<usize>() == 0 {
        return Err(PackError::Empty);
    }
    let pdf = document
        .finish()
        .map_err(|error| PackError::Refused(format!("{error:?}")))?;
    Ok(Pack { pdf, sheets: taken })
}
