//! Turns a PDF into its words with their boxes, as poppler measures them, and finds words that lie on each other.
//!
//! Invariant: boxes are in points from the top left corner of their page.
//! Must not: know what a page should look like.

use std::path::Path;
use std::process::Command;

/// One word of a page.
#[derive(Debug, Clone)]
pub struct Word {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
    pub text: String,
}

/// One page with its size.
#[derive(Debug)]
pub struct Page {
    pub width: f64,
    pub height: f64,
    pub words: Vec<Word>,
}

/// The pages of a PDF; `None` when poppler is not here.
pub fn pages(pdf: &Path) -> Option<Vec<Page>> {
    if !super::has_tool("pdftotext") {
        return None;
    }
    let output = Command::new("pdftotext")
        .args(["-bbox", "-enc", "UTF-8"])
        .arg(pdf)
        .arg("-")
        .output()
        .expect("pdftotext runs");
    assert!(
        output.status.success(),
        "pdftotext could not read {}",
        pdf.display()
    );
    let xhtml = String::from_utf8(output.stdout).expect("UTF-8 was asked for");
    let mut pages: Vec<Page> = Vec::new();
    for line in xhtml.lines().map(str::trim) {
        let number = |key: &str| -> f64 {
            let start = line
                .find(&format!("{key}=\""))
                .expect("poppler gives every box four edges")
                + key.len()
                + 2;
            let end = start + line[start..].find('"').expect("attributes are closed");
            line[start..end].parse().expect("edges are numbers")
        };
        if line.starts_with("<page ") {
            pages.push(Page {
                width: number("width"),
                height: number("height"),
                words: Vec::new(),
            });
        } else if line.starts_with("<word ") {
            let text = line
                .split_once('>')
                .and_then(|(_, rest)| rest.strip_suffix("</word>"))
                .unwrap_or_default();
            let word = Word {
                left: number("xMin"),
                top: number("yMin"),
                right: number("xMax"),
                bottom: number("yMax"),
                text: text.to_owned(),
            };
            pages
                .last_mut()
                .expect("words stand on pages")
                .words
                .push(word);
        }
    }
    assert!(!pages.is_empty(), "{} has no pages", pdf.display());
    Some(pages)
}

impl Page {
    /// Pairs of words that are printed on each other.
    ///
    /// The box of a word reaches from ascender to descender, so boxes of neighbouring lines may touch; only the middle
    /// half of the height and all but half a point of the width is ink that must not be shared.
    pub fn collisions(&self) -> Vec<(&Word, &Word)> {
        let core = |word: &Word| {
            let quarter = (word.bottom - word.top) / 4.0;
            (
                word.left + 0.5,
                word.top + quarter,
                word.right - 0.5,
                word.bottom - quarter,
            )
        };
        let mut found = Vec::new();
        for (index, one) in self.words.iter().enumerate() {
            for other in &self.words[index + 1..] {
                let (a, b) = (core(one), core(other));
                if a.0 < b.2 && b.0 < a.2 && a.1 < b.3 && b.1 < a.3 {
                    found.push((one, other));
                }
            }
        }
        found
    }

    /// Words that reach into the outer `margin` points of the page, or beyond it.
    pub fn beyond(&self, margin: f64) -> Vec<&Word> {
        let (right, bottom) = (self.width - margin, self.height - margin);
        self.words
            .iter()
            .filter(|word| {
                // the box is higher than the ink, as above
                let quarter = (word.bottom - word.top) / 4.0;
                word.left < margin
                    || word.right > right
                    || word.top + quarter < margin
                    || word.bottom - quarter > bottom
            })
            .collect()
    }
}
