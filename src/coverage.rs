//! Turns a laid-out paper and the list of what it must hold into what was printed, on which page, and what was not.
//! Invariant: a statement counts as printed only when its mark was placed *and* its words were laid out on that page.
//! Must not: change a document, or trust the composer's own list of marks.

use std::collections::{BTreeMap, BTreeSet};

use crate::compose::{Block, Document};
use crate::typeset::{Pages, Place};
use crate::wording::Piece;

/// What was found of the required statements.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Coverage {
    /// Printed statements with their places.
    pub printed: BTreeMap<String, Place>,
    /// Required, but not placed, or its words are not on the page.
    pub missing: BTreeSet<String>,
}

impl Coverage {
    pub fn is_complete(&self) -> bool {
        self.missing.is_empty()
    }

    /// Statement id to first page.
    pub fn pages(&self) -> BTreeMap<String, usize> {
        self.printed
            .iter()
            .map(|(id, place)| (id.clone(), place.first_page))
            .collect()
    }
}

/// Holds a laid-out paper against what it must hold.
pub fn check(required: &BTreeSet<&str>, document: &Document, pages: &Pages) -> Coverage {
    let places = pages.places();
    let texts: Vec<String> = pages.texts().iter().map(|text| squeeze(text)).collect();
    let mut words = BTreeMap::new();
    document
        .blocks
        .iter()
        .for_each(|block| collect_words(block, &mut words));
    let mut coverage = Coverage::default();
    for id in required {
        let said = words.get(*id).filter(|lines| !lines.is_empty());
        match (places.get(*id), said) {
            (Some(place), Some(lines))
                if lines.iter().all(|line| is_laid_out(line, place, &texts)) =>
            {
                coverage.printed.insert((*id).to_owned(), *place);
            }
            _ => {
                coverage.missing.insert((*id).to_owned());
            }
        }
    }
    coverage
}

/// Text without white space: line breaks and runs fall anywhere.
fn squeeze(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

/// The line stands on one of the statement's pages, or breaks over two of them.
fn is_laid_out(line: &str, place: &Place, texts: &[String]) -> bool {
    let line = squeeze(line);
    if line.is_empty() {
        return false;
    }
    let on = |page: usize| texts.get(page.wrapping_sub(1)).map_or("", String::as_str);
    (place.first_page..=place.last_page).any(|page| on(page).contains(&line))
        || (place.first_page..place.last_page).any(|page| {
            line.char_indices().skip(1).any(|(cut, _)| {
                on(page).contains(&line[..cut]) && on(page + 1).contains(&line[cut..])
            })
        })
}

fn collect_words(block: &Block, found: &mut BTreeMap<String, Vec<String>>) {
    let of = |pieces: &[Piece]| -> Vec<String> {
        pieces
            .iter()
            .flat_map(|piece| match piece {
                Piece::Para { text } => vec![crate::wording::rich::text_of(text)],
                Piece::List { items } => items.iter().map(crate::wording::rich::text_of).collect(),
            })
            .collect()
    };
    match block {
        Block::Text {
            mark: Some(mark),
            pieces,
        } => {
            found.insert(mark.clone(), of(pieces));
        }
        Block::List { items, .. } => {
            for item in items {
                if let Some(mark) = &item.mark {
                    found.insert(
                        mark.clone(),
                        vec![crate::wording::rich::text_of(&item.text)],
                    );
                }
            }
        }
        Block::Table { rows, .. } => {
            for row in rows {
                if let Some(mark) = &row.mark {
                    found.insert(
                        mark.clone(),
                        row.cells.iter().flat_map(|cell| of(cell)).collect(),
                    );
                }
            }
        }
        Block::Panel { blocks, .. } | Block::Together { blocks } => {
            blocks.iter().for_each(|block| collect_words(block, found));
        }
        Block::Text { mark: None, .. }
        | Block::Heading { .. }
        | Block::Facts { .. }
        | Block::Phones { .. }
        | Block::Sign { .. } => {}
    }
}
