//! Turns a composed paper into its lines of text in reading order, each with what it is, where it stands and its statement.
//! Invariant: every word of the paper's blocks is in one line, once; what a picture draws or says in place of itself is none.
//! Must not: leave out a block's words because nobody asks for them yet, or judge.

use super::document::{Block, Document, Item, ListStyle, Tone};
use crate::domain::StatementId;
use crate::wording::{Piece, Rich, rich};

/// What a line of text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Heading(u8),
    Paragraph,
    Item,
    /// Beside a box to tick.
    Tick,
    Cell,
    Header,
    /// Over a panel, a place to sign, or what is to be done until then.
    Title,
    /// Left of a value, or under a place to write.
    Label,
    /// Right of a label.
    Value,
    /// The words that are signed.
    Signed,
}

/// One paragraph, list entry, cell or label.
#[derive(Debug, Clone)]
pub struct Line<'d> {
    pub kind: Kind,
    /// Without its formatting; never empty.
    pub text: String,
    /// With its formatting, where it has any.
    pub rich: Option<&'d Rich>,
    pub statement: Option<&'d StatementId>,
    /// The headings of level 1 and 2 before it, its own counted.
    pub section: usize,
    /// Lines that are set in one paragraph have the same number.
    pub paragraph: usize,
    /// Inside the box with warning signs.
    pub urgent: bool,
    /// Its block, by its place among [`Document::all_blocks`].
    pub block: usize,
}

/// A block with the blocks inside it.
#[derive(Debug, Clone, Copy)]
pub struct Nested<'d> {
    pub block: &'d Block,
    /// One past the last block inside it, among [`Document::all_blocks`].
    pub end: usize,
}

impl Document {
    /// Every piece of text in reading order.
    pub fn lines(&self) -> Vec<Line<'_>> {
        self.read().lines
    }

    /// Every block in reading order, each before those inside it.
    pub fn all_blocks(&self) -> Vec<Nested<'_>> {
        self.read().blocks
    }

    /// Every statement id in reading order; one that goes over several lines is there once.
    pub fn statements(&self) -> Vec<&StatementId> {
        let lines = self.lines().into_iter();
        let mut found: Vec<&StatementId> = lines.filter_map(|line| line.statement).collect();
        found.dedup();
        found
    }

    fn read(&self) -> Reader<'_> {
        let mut reader = Reader::default();
        reader.blocks(&self.blocks, false);
        reader
    }
}

#[derive(Default)]
struct Reader<'d> {
    lines: Vec<Line<'d>>,
    blocks: Vec<Nested<'d>>,
    sections: usize,
    paragraphs: usize,
}

/// A line that is about to be read.
struct Said<'d> {
    kind: Kind,
    statement: Option<&'d StatementId>,
    urgent: bool,
}

impl<'d> Said<'d> {
    fn of(kind: Kind, urgent: bool) -> Self {
        Self::marked(kind, None, urgent)
    }

    fn marked(kind: Kind, statement: Option<&'d StatementId>, urgent: bool) -> Self {
        Self {
            kind,
            statement,
            urgent,
        }
    }
}

impl<'d> Reader<'d> {
    fn blocks(&mut self, blocks: &'d [Block], urgent: bool) {
        blocks.iter().for_each(|block| self.block(block, urgent));
    }

    fn line(&mut self, said: &Said<'d>, text: String, rich: Option<&'d Rich>) {
        if text.trim().is_empty() {
            return;
        }
        self.lines.push(Line {
            kind: said.kind,
            text,
            rich,
            statement: said.statement,
            section: self.sections,
            paragraph: self.paragraphs,
            urgent: said.urgent,
            block: self.blocks.len() - 1,
        });
    }

    fn plain(&mut self, kind: Kind, text: &str, urgent: bool) {
        self.paragraphs += 1;
        let said = Said::of(kind, urgent);
        self.line(&said, text.to_owned(), None);
    }

    fn rich(&mut self, said: &Said<'d>, text: &'d Rich) {
        self.paragraphs += 1;
        self.line(said, rich::text_of(text), Some(text));
    }

    /// Names of risks in one paragraph, after their lead.
    fn named(&mut self, lead: &str, names: &'d [Item], urgent: bool) {
        self.plain(Kind::Label, lead, urgent);
        self.flow(names, urgent);
    }

    /// Statements that run on in one paragraph.
    fn flow(&mut self, items: &'d [Item], urgent: bool) {
        self.paragraphs += 1;
        for item in items {
            let said = Said::marked(Kind::Paragraph, item.mark.as_ref(), urgent);
            self.line(&said, rich::text_of(&item.text), Some(&item.text));
        }
    }

    fn items(&mut self, kind: Kind, items: &'d [Item], urgent: bool) {
        for item in items {
            let said = Said::marked(kind, item.mark.as_ref(), urgent);
            self.rich(&said, &item.text);
        }
    }

    fn pieces(&mut self, said: &Said<'d>, pieces: &'d [Piece]) {
        for piece in pieces {
            match piece {
                Piece::Para { text } => self.rich(said, text),
                Piece::List { items } => {
                    let said = Said {
                        kind: Kind::Item,
                        ..*said
                    };
                    items.iter().for_each(|item| self.rich(&said, item));
                }
            }
        }
    }

    // every kind of block is named, so that the words of a new one cannot be left out without notice
    fn block(&mut self, block: &'d Block, urgent: bool) {
        let at = self.blocks.len();
        self.blocks.push(Nested { block, end: at + 1 });
        match block {
            Block::Heading {
                level,
                text,
                number,
            } => {
                if let Some(number) = number {
                    self.plain(Kind::Label, number, urgent);
                }
                self.sections += usize::from(*level <= 2);
                self.plain(Kind::Heading(*level), text, urgent);
            }
            Block::Text { mark, pieces } => {
                let said = Said::marked(Kind::Paragraph, mark.as_ref(), urgent);
                self.pieces(&said, pieces);
            }
            Block::Spoken { pieces, .. } | Block::Note { pieces } => {
                let said = Said::of(Kind::Paragraph, urgent);
                self.pieces(&said, pieces);
            }
            Block::Flow { items } => self.flow(items, urgent),
            Block::List { style, items, .. } => {
                let kind = match style {
                    ListStyle::Tick => Kind::Tick,
                    ListStyle::Bullet => Kind::Item,
                };
                self.items(kind, items, urgent);
            }
            Block::Schedule { rows } => {
                for row in rows {
                    self.plain(Kind::Title, &row.lead, urgent);
                    for instruction in &row.items {
                        self.items(Kind::Item, std::slice::from_ref(&instruction.item), urgent);
                    }
                }
            }
            Block::Answers { title, rows } => {
                self.plain(Kind::Title, title, urgent);
                for row in rows {
                    self.plain(Kind::Label, &row.label, urgent);
                    let said = Said::of(Kind::Paragraph, urgent);
                    row.lines.iter().for_each(|line| self.rich(&said, line));
                }
            }
            Block::Quarters { cells } => {
                for cell in cells {
                    self.plain(Kind::Title, &cell.title, urgent);
                    let said = Said::marked(Kind::Paragraph, Some(&cell.mark), urgent);
                    self.pieces(&said, &cell.pieces);
                    let said = Said::of(Kind::Paragraph, urgent);
                    self.pieces(&said, &cell.after);
                }
            }
            // whom to call, and for what: the box with warning signs
            Block::Bands { bands } => {
                for band in bands {
                    self.plain(Kind::Title, &band.action, true);
                    for number in &band.numbers {
                        let kind = if number.large {
                            Kind::Value
                        } else {
                            Kind::Label
                        };
                        self.plain(kind, &number.text, true);
                    }
                    self.items(Kind::Item, &band.signs, true);
                    for saying in &band.sayings {
                        self.plain(Kind::Label, &saying.lead, true);
                        self.plain(Kind::Paragraph, &saying.words, true);
                        for line in &saying.to_write {
                            self.plain(Kind::Label, line, true);
                        }
                    }
                }
            }
            Block::Recap {
                header,
                rows,
                every,
                notes,
                ..
            } => {
                for cell in header {
                    self.plain(Kind::Header, cell, urgent);
                }
                for row in rows {
                    self.plain(Kind::Label, &row.number, urgent);
                    self.plain(Kind::Title, &row.area, urgent);
                    self.plain(Kind::Value, &row.price, urgent);
                    self.plain(Kind::Value, &row.side, urgent);
                    self.plain(Kind::Value, &row.dose, urgent);
                    for named in &row.risks {
                        self.named(&named.lead, &named.names, urgent);
                    }
                    let said = Said::of(Kind::Paragraph, urgent);
                    for note in &row.notes {
                        self.plain(Kind::Paragraph, note, urgent);
                    }
                    self.pieces(&said, &row.view);
                }
                for named in every {
                    self.named(&named.lead, &named.names, urgent);
                }
                for note in notes {
                    self.plain(Kind::Paragraph, note, urgent);
                }
            }
            Block::Line { text } => {
                let said = Said::of(Kind::Paragraph, urgent);
                self.rich(&said, text);
            }
            Block::Fill { fields } => {
                for field in fields {
                    self.plain(Kind::Label, &field.label, urgent);
                }
            }
            // a title that may have no room is no required line
            Block::Lines { .. }
            | Block::Questions { .. }
            | Block::Diary { .. }
            | Block::NewPage => {}
            Block::Facts { lines } => {
                for (label, value) in lines.iter().flatten() {
                    self.plain(Kind::Label, label, urgent);
                    self.plain(Kind::Value, value, urgent);
                }
            }
            Block::Table {
                header,
                under,
                rows,
                ..
            } => {
                for (index, cell) in header.iter().enumerate() {
                    let below = under.get(index).map_or("", String::as_str);
                    self.plain(Kind::Header, cell, urgent);
                    self.plain(Kind::Label, below, urgent);
                }
                for row in rows {
                    let said = Said::marked(Kind::Cell, row.mark.as_ref(), urgent);
                    row.cells.iter().for_each(|cell| self.pieces(&said, cell));
                }
            }
            Block::Panel {
                tone,
                title,
                blocks,
            } => {
                let urgent = urgent || *tone == Tone::Urgent;
                self.plain(Kind::Title, title, urgent);
                self.blocks(blocks, urgent);
            }
            Block::Timeline(panel) => {
                for (_, words) in &panel.key {
                    self.plain(Kind::Label, words, urgent);
                }
            }
            Block::QrCode { caption, .. } => self.plain(Kind::Paragraph, caption, urgent),
            Block::Arrays { intro, key, groups } => {
                let said = Said::of(Kind::Paragraph, urgent);
                self.pieces(&said, intro);
                for (_, words) in key {
                    self.plain(Kind::Label, words, urgent);
                }
                for group in groups {
                    self.plain(Kind::Title, &group.name, urgent);
                    for array in &group.arrays {
                        self.plain(Kind::Label, &array.caption, urgent);
                        self.plain(Kind::Value, &array.number, urgent);
                    }
                    if let Some(said) = &group.said {
                        self.plain(Kind::Paragraph, said, urgent);
                    }
                }
            }
            Block::Face { .. } => {}
            Block::Sign {
                title,
                text,
                fields,
                ..
            } => {
                self.plain(Kind::Title, title, urgent);
                self.plain(Kind::Signed, text, urgent);
                for field in fields {
                    self.plain(Kind::Label, &field.label, urgent);
                }
            }
            Block::Beside { blocks, picture } => {
                self.blocks(blocks, urgent);
                self.block(picture, urgent);
            }
            Block::Together { blocks } => self.blocks(blocks, urgent),
            Block::Check(part) => {
                for words in part.words() {
                    self.sections += usize::from(matches!(words.kind, Kind::Heading(..=2)));
                    self.paragraphs += 1;
                    let said = Said::of(words.kind, urgent);
                    self.line(&said, words.text, words.rich);
                }
                if let Some(picture) = part.picture() {
                    self.block(picture, urgent);
                }
            }
        }
        self.blocks[at].end = self.blocks.len();
    }
}
