//! Turns finished papers into one file to print on both sides: each paper begins on a front, with a blank back where it needs one.
//! Invariant: the pages are those of the papers, in order and unchanged; all are of one size.
//! Must not: claim to be a paper itself (it carries no record and no tags), or write files.

use std::sync::Arc;

use krilla::page::PageSettings;
use krilla::pdf::{Pdf, PdfDocument};
use krilla::{Document, SerializeSettings};

/// A finished paper, read, and how often it is printed.
#[derive(Debug)]
pub struct InPack {
    /// What it is called where it cannot be used.
    name: String,
    pdf: PdfDocument,
    /// Width and height of each page in points; at least one.
    sizes: Vec<(f32, f32)>,
    copies: usize,
}

impl InPack {
    /// Reads a paper.
    ///
    /// # Errors
    /// It is no PDF with pages.
    pub fn read(name: String, pdf: Vec<u8>, copies: usize) -> Result<InPack, PackError> {
        let Ok(pdf) = Pdf::new(Arc::new(pdf)) else {
            return Err(PackError::NotReadable(name));
        };
        let pages = pdf.pages().iter();
        let sizes: Vec<(f32, f32)> = pages.map(|page| page.render_dimensions()).collect();
        if sizes.is_empty() {
            return Err(PackError::NotReadable(name));
        }
        Ok(InPack {
            name,
            pdf: PdfDocument::new(Arc::new(pdf)),
            sizes,
            copies,
        })
    }

    /// Sheets that all its copies take, printed on both sides.
    pub fn sheets(&self) -> usize {
        self.copies * self.sizes.len().div_ceil(2)
    }
}

/// One file to print.
#[derive(Debug)]
pub struct Pack {
    pub pdf: Vec<u8>,
    pub sheets: usize,
}

impl Pack {
    /// Pages, blank backs among them.
    pub fn pages(&self) -> usize {
        2 * self.sheets
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

/// Puts papers together.
///
/// # Errors
/// See [`PackError`].
pub fn pack(papers: &[InPack]) -> Result<Pack, PackError> {
    let sheets = papers.iter().map(InPack::sheets).sum();
    let Some(first) = papers.first().filter(|_| sheets > 0) else {
        return Err(PackError::Empty);
    };
    let size = first.sizes[0];
    // half a point is less than any printer keeps to
    let alike = |one: &(f32, f32)| (one.0 - size.0).abs() < 0.5 && (one.1 - size.1).abs() < 0.5;
    let mut document = Document::new_with(SerializeSettings::default());
    for paper in papers {
        if !paper.sizes.iter().all(alike) {
            return Err(PackError::Sizes(first.name.clone(), paper.name.clone()));
        }
        let pages: Vec<usize> = (0..paper.sizes.len()).collect();
        for _ in 0..paper.copies {
            document.embed_pdf_pages(&paper.pdf, &pages);
            if pages.len() % 2 == 1 {
                let blank = PageSettings::from_wh(size.0, size.1)
                    .ok_or_else(|| PackError::NotReadable(paper.name.clone()))?;
                document.start_page_with(blank).finish();
            }
        }
    }
    let pdf = document
        .finish()
        .map_err(|error| PackError::Refused(format!("{error:?}")))?;
    Ok(Pack { pdf, sheets })
}
