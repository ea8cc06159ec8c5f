//! Turns a laid-out paper and the list of what it must hold into what was printed, on which page, and what is wrong with it.
//! Invariant: a statement counts as printed only when exactly its composed words were laid out once, whole, on the page, in
//! the paper's language, large and dark enough to read; of everything else that was composed, nothing is lost.
//! Must not: change a document, or trust a mark without the words that follow it.

use std::collections::{BTreeMap, BTreeSet};

use crate::compose::document::Item;
use crate::compose::{Block, Document};
use crate::domain::StatementId;
use crate::typeset::{Laid, LaidRun, Pages};
use crate::wording::{Piece, rich};

/// Smallest type a required statement may be printed in, in points; table cells are set a little below the body.
pub const LEAST_SIZE: f64 = 11.0;
/// Contrast against white that text must have: WCAG 2 level AAA for body text.
pub const LEAST_CONTRAST: f64 = 7.0;
/// Room that must stay clear at each edge of the page, in points (1.5 cm; a copier cuts off less).
pub const LEAST_MARGIN: f64 = 42.5;

/// Where a statement is printed. Pages count from 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    pub first_page: usize,
    pub last_page: usize,
    /// Where it begins, in points from the left and the top edge.
    pub left: f64,
    pub baseline: f64,
}

/// Why a required statement does not count as printed.
#[derive(Debug, Clone, PartialEq)]
pub enum Fault {
    /// Its mark is nowhere in the pages.
    NotPlaced,
    /// The document has no words for it.
    Empty,
    /// It stands there more than once.
    Twice,
    /// Other words than the composed ones were laid out.
    OtherWords,
    /// Part of it lies outside the page or in its margin.
    OffPage { page: usize },
    /// Part of it may be cut off.
    Clipped { page: usize },
    /// Part of it is too faint to read.
    Faint { page: usize },
    /// Part of it is smaller than the least size.
    TooSmall { page: usize },
    /// Part of it is tagged with another language.
    OtherLanguage { found: String },
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Fault::NotPlaced => write!(f, "is not printed"),
            Fault::Empty => write!(f, "has no words"),
            Fault::Twice => write!(f, "is printed more than once"),
            Fault::OtherWords => write!(f, "is printed in other words than it was composed in"),
            Fault::OffPage { page } => write!(f, "leaves page {page}"),
            Fault::Clipped { page } => write!(f, "may be cut off on page {page}"),
            Fault::Faint { page } => write!(f, "is too faint on page {page}"),
            Fault::TooSmall { page } => write!(f, "is too small on page {page}"),
            Fault::OtherLanguage { found } => {
                write!(f, "is tagged as `{found}`, not as the paper's language")
            }
        }
    }
}

/// What was found of the required statements.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Coverage {
    /// Statements that are printed as they must be, with their places.
    pub printed: BTreeMap<StatementId, Place>,
    /// Statements that are not, each with the first thing wrong.
    pub faults: BTreeMap<StatementId, Fault>,
    /// Other words of the document, such as headings, labels and telephone numbers, that are not on the page.
    pub lost: Vec<(String, Fault)>,
}

impl Coverage {
    pub fn is_complete(&self) -> bool {
        self.faults.is_empty() && self.lost.is_empty()
    }

    /// Statement id to first page.
    pub fn pages(&self) -> BTreeMap<StatementId, usize> {
        self.printed
            .iter()
            .map(|(id, place)| (id.clone(), place.first_page))
            .collect()
    }
}

/// Holds a laid-out paper against what it must hold.
pub fn check(required: &BTreeSet<&StatementId>, document: &Document, pages: &Pages) -> Coverage {
    let laid = pages.statements();
    let sizes = pages.sizes();
    let language = document.language.split('-').next().unwrap_or_default();
    let mut words = BTreeMap::new();
    document
        .blocks
        .iter()
        .for_each(|block| collect_words(block, &mut words));
    let mut coverage = Coverage::default();
    for id in required {
        let composed = words.get(*id).map(|lines| squeeze(&lines.concat()));
        // tables of large print are large print too
        let least = LEAST_SIZE.max(document.type_size * LEAST_SIZE / crate::compose::TYPE_SIZE);
        match judge(
            laid.get(id.as_str()),
            composed.as_deref(),
            &sizes,
            language,
            least,
        ) {
            Ok(place) => {
                coverage.printed.insert((*id).clone(), place);
            }
            Err(fault) => {
                coverage.faults.insert((*id).clone(), fault);
            }
        }
    }
    coverage.lost = lost(document, pages, &sizes);
    coverage
}

fn judge(
    laid: Option<&Laid>,
    composed: Option<&str>,
    sizes: &[(f64, f64)],
    language: &str,
    least: f64,
) -> Result<Place, Fault> {
    let composed = composed
        .filter(|words| !words.is_empty())
        .ok_or(Fault::Empty)?;
    let laid = laid.ok_or(Fault::NotPlaced)?;
    if laid.begins != 1 || laid.ends != 1 {
        return Err(if laid.begins > 1 {
            Fault::Twice
        } else {
            Fault::NotPlaced
        });
    }
    let first = laid.runs.first().ok_or(Fault::NotPlaced)?;
    let printed: String = laid.runs.iter().map(|run| squeeze(&run.text)).collect();
    if printed != composed {
        return Err(Fault::OtherWords);
    }
    for run in &laid.runs {
        let page = run.page;
        let size = sizes.get(page.wrapping_sub(1)).copied();
        if !in_margins(run, size.unwrap_or_default()) {
            return Err(Fault::OffPage { page });
        }
        if run.clipped {
            return Err(Fault::Clipped { page });
        }
        if run.contrast < LEAST_CONTRAST {
            return Err(Fault::Faint { page });
        }
        if run.size < least {
            return Err(Fault::TooSmall { page });
        }
        if run.language != language {
            return Err(Fault::OtherLanguage {
                found: run.language.clone(),
            });
        }
    }
    Ok(Place {
        first_page: laid.first_page,
        last_page: laid.last_page,
        left: first.left,
        baseline: first.baseline,
    })
}

/// What the document holds outside its statements and the pages do not, and what is drawn in the margin of a page.
fn lost(document: &Document, pages: &Pages, sizes: &[(f64, f64)]) -> Vec<(String, Fault)> {
    let runs = pages.runs();
    // in some languages a hyphen at the end of a line is drawn again on the next
    let squeeze = |text: &str| squeeze(text).replace('-', "");
    let drawn: String = runs.iter().map(|run| squeeze(&run.text)).collect();
    let mut wanted = Vec::new();
    let blocks = document.blocks.iter();
    blocks.for_each(|block| collect_others(block, &mut wanted));
    let is_there = |text: &str| {
        // words written from right to left are not drawn in the order they are read
        drawn.contains(&squeeze(text))
            || text
                .split_whitespace()
                .all(|word| word.chars().any(is_right_to_left) && drawn.contains(&squeeze(word)))
    };
    let mut found: Vec<(String, Fault)> = wanted
        .into_iter()
        .filter(|text| !is_there(text))
        .map(|text| (text, Fault::NotPlaced))
        .collect();
    for run in runs {
        let size = sizes.get(run.page.wrapping_sub(1)).copied();
        if !in_margins(&run, size.unwrap_or_default()) {
            let page = run.page;
            found.push((run.text, Fault::OffPage { page }));
        }
    }
    found
}

/// Letters of scripts that are written from right to left: Hebrew to Arabic, and their forms for presentation.
fn is_right_to_left(letter: char) -> bool {
    matches!(letter, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{feff}')
}

/// Whether a run keeps clear of the edges of its page.
fn in_margins(run: &LaidRun, (width, height): (f64, f64)) -> bool {
    let across = run.left >= LEAST_MARGIN && run.right <= width - LEAST_MARGIN;
    // the tallest letters of this face reach about three quarters of the size above the baseline
    let top = run.baseline - 0.75 * run.size;
    across && top >= LEAST_MARGIN && run.baseline <= height - LEAST_MARGIN
}

/// Text without white space and list bullets: lines break anywhere, and bullets are drawn by the template.
fn squeeze(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && *c != '•')
        .collect()
}

fn of_items(items: &[Item], found: &mut BTreeMap<StatementId, Vec<String>>) {
    for item in items {
        if let Some(mark) = &item.mark {
            let words = found.entry(mark.clone()).or_default();
            words.push(rich::text_of(&item.text));
        }
    }
}

fn of(pieces: &[Piece]) -> Vec<String> {
    pieces
        .iter()
        .flat_map(|piece| match piece {
            Piece::Para { text } => vec![rich::text_of(text)],
            Piece::List { items } => items.iter().map(rich::text_of).collect(),
        })
        .collect()
}

/// The words of a block that belong to no statement, as they are to be read; pictures have words of their own.
fn collect_others(block: &Block, found: &mut Vec<String>) {
    let unmarked = |items: &[Item], found: &mut Vec<String>| {
        let items = items.iter().filter(|item| item.mark.is_none());
        found.extend(items.map(|item| rich::text_of(&item.text)));
    };
    match block {
        Block::Heading { text, .. } => found.push(text.clone()),
        Block::Text { mark: None, pieces } => found.extend(of(pieces)),
        Block::Text { mark: Some(_), .. } => {}
        Block::List { items, .. } | Block::Flow { items } => unmarked(items, found),
        Block::Schedule { rows } => {
            for row in rows {
                found.extend(row.lead.clone());
                unmarked(&row.items, found);
            }
        }
        Block::Facts { .. } | Block::Phones { .. } => {
            for (label, value) in block.labelled() {
                found.extend([label.clone(), value.clone()]);
            }
        }
        Block::Table { header, rows, .. } => {
            found.extend(header.iter().cloned());
            let rows = rows.iter().filter(|row| row.mark.is_none());
            found.extend(
                rows.flat_map(|row| row.cells.iter())
                    .flat_map(|cell| of(cell)),
            );
        }
        Block::Sign {
            title,
            text,
            fields,
        } => {
            found.extend([title.clone(), text.clone()]);
            found.extend(fields.iter().map(|field| field.label.clone()));
        }
        Block::Panel { title, blocks, .. } => {
            found.push(title.clone());
            blocks.iter().for_each(|block| collect_others(block, found));
        }
        Block::Together { blocks } => blocks.iter().for_each(|block| collect_others(block, found)),
        Block::Beside { blocks, picture } => {
            blocks.iter().for_each(|block| collect_others(block, found));
            collect_others(picture, found);
        }
        Block::Face { .. } | Block::Timeline(_) | Block::QrCode { .. } => {}
    }
}

fn collect_words(block: &Block, found: &mut BTreeMap<StatementId, Vec<String>>) {
    match block {
        Block::Text {
            mark: Some(mark),
            pieces,
        } => {
            found.entry(mark.clone()).or_default().extend(of(pieces));
        }
        Block::List { items, .. } | Block::Flow { items } => of_items(items, found),
        Block::Schedule { rows } => rows.iter().for_each(|row| of_items(&row.items, found)),
        Block::Table { rows, .. } => {
            for row in rows {
                if let Some(mark) = &row.mark {
                    let words = row.cells.iter().flat_map(|cell| of(cell));
                    found.entry(mark.clone()).or_default().extend(words);
                }
            }
        }
        Block::Panel { blocks, .. } | Block::Together { blocks } | Block::Beside { blocks, .. } => {
            blocks.iter().for_each(|block| collect_words(block, found));
        }
        Block::Text { mark: None, .. }
        | Block::Heading { .. }
        | Block::Facts { .. }
        | Block::Phones { .. }
        | Block::Face { .. }
        | Block::Timeline(_)
        | Block::QrCode { .. }
        | Block::Sign { .. } => {}
    }
}
