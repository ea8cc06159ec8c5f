//! Turns a composed paper into what a judge looks at: its lines of text with what each is, its sections, tables, lists and places to sign.
//! Invariant: every word of the paper's blocks is in one line of the view, in reading order; labels inside pictures are not lines.
//! Must not: judge, or look at pages.

use std::ops::Range;

use crate::compose::document::{Block, Item, ListStyle, RecapRow, Row, Sign as Mark, Tone};
use crate::compose::{Document, lines};
use crate::domain::{AreaId, StatementId};
use crate::wording::{Piece, Rich, rich};

pub use lines::Kind;

/// One paragraph, list entry, cell or label.
#[derive(Debug, Clone)]
pub struct Line {
    pub kind: Kind,
    pub text: String,
    /// How many of its words are bold.
    pub bold_words: usize,
    /// Statement id.
    pub mark: Option<String>,
    /// The heading of level 2 above it; the title before the first.
    pub section: usize,
    /// Lines of one paragraph have the same number.
    pub paragraph: usize,
    /// Inside the box with warning signs.
    pub urgent: bool,
    /// Begins with a heading set in bold type in the line itself, or is such a heading.
    pub lead: bool,
    /// Set in small type on purpose: where numbers come from, what a scale means.
    pub note: bool,
}

impl Line {
    /// Counts for readability: sentences, not labels. A cell that does not end as a sentence does is a label too.
    pub fn is_prose(&self) -> bool {
        // underscores are room to write
        if self.text.contains("____") {
            return false;
        }
        match self.kind {
            Kind::Paragraph | Kind::Item | Kind::Tick | Kind::Signed => true,
            Kind::Cell => self.text.trim_end().ends_with(['.', '?', '!', '”', '»']),
            Kind::Heading(_) | Kind::Header | Kind::Title | Kind::Label | Kind::Value => false,
        }
    }
}

/// A table with what is said just above it, and in the note just below it.
#[derive(Debug, Clone)]
pub struct Table {
    pub name: String,
    pub section: usize,
    pub above: String,
    pub below: String,
    pub header: Vec<String>,
    pub rows: Vec<TableRow>,
    pub writing: bool,
}

/// A row of a table.
#[derive(Debug, Clone, Default)]
pub struct TableRow {
    /// Statement id.
    pub mark: Option<String>,
    /// The bold words its first cell begins with, without their full stop; empty where it has none.
    pub name: String,
    pub cells: Vec<String>,
}

/// An area on the form that is signed.
#[derive(Debug, Clone)]
pub struct Agreed {
    pub area: String,
    /// Statements whose names stand there.
    pub marks: Vec<String>,
}

/// One urgency of the warning signs: how urgent, whom to call, for what.
#[derive(Debug, Clone)]
pub struct Band {
    pub action: String,
    /// Telephone numbers.
    pub numbers: Vec<String>,
    /// Statements of its signs.
    pub signs: Vec<String>,
}

/// An instruction in the table of deadlines.
#[derive(Debug, Clone)]
pub struct Instruction {
    pub sign: Mark,
    /// Statement id.
    pub mark: Option<String>,
}

/// A place to sign.
#[derive(Debug, Clone)]
pub struct Sign {
    pub section: usize,
    pub title: String,
    pub text: String,
    pub fields: Vec<String>,
}

/// A list.
#[derive(Debug, Clone)]
pub struct List {
    pub style: ListStyle,
    pub section: usize,
    pub items: Vec<String>,
}

/// A framed part.
#[derive(Debug, Clone)]
pub struct Panel {
    pub tone: Tone,
    pub title: String,
    pub text: String,
    /// Index of its first line.
    pub from: usize,
}

/// A picture and what is said of it in words.
#[derive(Debug, Clone)]
pub struct Picture {
    pub section: usize,
    pub alternative: String,
    pub marks: Option<Marks>,
}

/// What a picture of a share shows, and the number it stands beside.
#[derive(Debug, Clone)]
pub struct Marks {
    pub filled: u32,
    /// With a point: between the lowest and the highest figure.
    pub half: u32,
    pub per: u32,
    /// The number over it; empty where it stands alone.
    pub often: String,
}

/// One paper as a judge sees it.
#[derive(Debug, Clone, Default)]
pub struct View {
    pub lines: Vec<Line>,
    /// The title, then every heading of level 2.
    pub sections: Vec<String>,
    pub tables: Vec<Table>,
    pub signs: Vec<Sign>,
    pub lists: Vec<List>,
    pub panels: Vec<Panel>,
    pub bands: Vec<Band>,
    pub instructions: Vec<Instruction>,
    pub agreed: Vec<Agreed>,
    pub pictures: Vec<Picture>,
    /// Empty lines to write on.
    pub room: usize,
}

/// Words of a heading in the line at most (ours); what is longer is a sentence in bold type.
const LEAD: usize = 8;

fn bold_words(rich: &Rich) -> usize {
    rich.iter()
        .filter(|run| run.bold)
        .map(|run| super::split::words(&run.text).len())
        .sum()
}

/// Begins with a few bold words that end as a heading does: "How long it lasts. ...", "Jaw muscle: ...".
fn has_lead(rich: &Rich) -> bool {
    let bold: String = rich
        .iter()
        .take_while(|run| run.bold)
        .map(|run| run.text.as_str())
        .collect();
    let rest: String = rich
        .iter()
        .skip_while(|run| run.bold)
        .map(|run| run.text.as_str())
        .collect();
    let ends = bold.trim_end().ends_with(['.', ':', '?', '!'])
        || rest.starts_with([':', '.'])
        || rest.trim().is_empty();
    ends && (1..=LEAD).contains(&super::split::words(&bold).len())
}

/// The lines as a judge may change them.
fn owned(lines: &[lines::Line<'_>]) -> Vec<Line> {
    let mut last = None;
    lines
        .iter()
        .map(|line| {
            let first = last != Some(line.paragraph);
            last = Some(line.paragraph);
            let lead = match (line.kind, line.rich) {
                (Kind::Title, _) => true,
                // only what opens a paragraph can be over it
                (Kind::Paragraph, Some(rich)) => first && has_lead(rich),
                _ => false,
            };
            Line {
                kind: line.kind,
                text: line.text.clone(),
                bold_words: line.rich.map_or(0, bold_words),
                mark: line.statement.map(ToString::to_string),
                section: line.section,
                paragraph: line.paragraph,
                urgent: line.urgent,
                lead,
                note: false,
            }
        })
        .collect()
}

/// The lists among the pieces of a text.
fn lists_in(pieces: &[Piece]) -> impl Iterator<Item = Vec<String>> {
    pieces.iter().filter_map(|piece| match piece {
        Piece::List { items } => Some(items.iter().map(rich::text_of).collect()),
        Piece::Para { .. } => None,
    })
}

fn joined(lines: &[Line]) -> String {
    let texts: Vec<&str> = lines.iter().map(|line| line.text.as_str()).collect();
    texts.join("\n")
}

fn texts(items: &[Item]) -> Vec<String> {
    items.iter().map(|item| rich::text_of(&item.text)).collect()
}

fn cells(row: &Row) -> Vec<String> {
    row.cells.iter().map(|c| rich::text_of_pieces(c)).collect()
}

fn marks(items: &[Item]) -> Vec<String> {
    let marks = items.iter().filter_map(|item| item.mark.as_ref());
    marks.map(ToString::to_string).collect()
}

/// The bold words a row begins with, by which the note under its table names it.
fn bold_start(row: &Row) -> String {
    let Some(Piece::Para { text }) = row.cells.first().and_then(|cell| cell.first()) else {
        return String::new();
    };
    let bold = text.iter().take_while(|run| run.bold);
    let bold: String = bold.map(|run| run.text.as_str()).collect();
    bold.trim().trim_end_matches(['.', ':']).to_owned()
}

impl View {
    pub fn of(document: &Document) -> View {
        let lines = document.lines();
        // index of the first line of a block, or of what follows where it has none
        let from = |block: usize| lines.partition_point(|line| line.block < block);
        let mut view = View {
            sections: vec![document.title.clone()],
            lines: owned(&lines),
            ..View::default()
        };
        let blocks = document.all_blocks();
        for (at, nested) in blocks.iter().enumerate() {
            view.block(nested.block, from(at)..from(nested.end));
            // the studies of a table's numbers stand just under it
            if let (Block::Table { .. }, Some(next)) = (nested.block, blocks.get(nested.end))
                && matches!(next.block, Block::Note { .. })
                && let Some(table) = view.tables.last_mut()
            {
                table.below = joined(&view.lines[from(nested.end)..from(next.end)]);
            }
        }
        view
    }

    fn panel(&mut self, tone: Tone, title: &str, lines: Range<usize>) {
        self.panels.push(Panel {
            tone,
            title: title.to_owned(),
            text: joined(&self.lines[lines.clone()]),
            from: lines.start,
        });
    }

    fn small(&mut self, lines: Range<usize>) {
        self.lines[lines]
            .iter_mut()
            .for_each(|line| line.note = true);
    }

    fn picture(&mut self, alternative: &str, marks: Option<Marks>) {
        self.pictures.push(Picture {
            section: self.sections.len() - 1,
            alternative: alternative.to_owned(),
            marks,
        });
    }

    fn list(&mut self, style: ListStyle, items: Vec<String>) {
        self.lists.push(List {
            style,
            section: self.sections.len() - 1,
            items,
        });
    }

    /// Takes up what a block is beside its lines. Every kind of block is named, so that a new one cannot be left out of the
    /// checks without notice.
    fn block(&mut self, block: &Block, lines: Range<usize>) {
        match block {
            Block::Heading { level, text, .. } => {
                if *level <= 2 {
                    self.sections.push(text.clone());
                }
            }
            Block::Text { pieces, .. } | Block::Spoken { pieces, .. } => {
                lists_in(pieces).for_each(|items| self.list(ListStyle::Bullet, items));
            }
            Block::List { style, items, .. } => self.list(*style, texts(items)),
            Block::Schedule { rows } => {
                for row in rows {
                    let items = row.items.iter();
                    let said = items.clone().map(|one| rich::text_of(&one.item.text));
                    self.list(ListStyle::Bullet, said.collect());
                    self.instructions.extend(items.map(|one| Instruction {
                        sign: one.sign,
                        mark: one.item.mark.as_ref().map(ToString::to_string),
                    }));
                }
            }
            Block::Table {
                name, header, rows, ..
            } => {
                for cell in rows.iter().flat_map(|row| &row.cells) {
                    lists_in(cell).for_each(|items| self.list(ListStyle::Bullet, items));
                }
                self.tables.push(Table {
                    name: name.clone(),
                    section: self.sections.len() - 1,
                    above: self.above(lines.start),
                    below: String::new(),
                    header: header.clone(),
                    rows: rows
                        .iter()
                        .map(|row| TableRow {
                            mark: row.mark.as_ref().map(ToString::to_string),
                            name: bold_start(row),
                            cells: cells(row),
                        })
                        .collect(),
                    writing: false,
                });
            }
            Block::Panel { tone, title, .. } => self.panel(*tone, title, lines),
            Block::Face { views, .. } => {
                views.iter().for_each(|face| self.picture(&face.alt, None));
            }
            Block::Arrays { groups, .. } => {
                for group in groups {
                    for array in &group.arrays {
                        let marks = Marks {
                            filled: array.filled,
                            half: array.some,
                            per: group.per,
                            often: array.number.clone(),
                        };
                        self.picture(&array.alt, Some(marks));
                    }
                }
            }
            Block::Timeline(panel) => {
                self.picture(&panel.alt, None);
                self.small(lines);
            }
            Block::QrCode { alt, .. } => self.picture(alt, None),
            Block::Sign {
                title,
                text,
                fields,
                ..
            } => self.signs.push(Sign {
                section: self.sections.len() - 1,
                title: title.clone(),
                text: text.clone(),
                fields: fields.iter().map(|field| field.label.clone()).collect(),
            }),
            // the box of warning signs: whom to call, and for what
            Block::Bands { bands } => {
                for band in bands {
                    self.list(ListStyle::Bullet, texts(&band.signs));
                    let numbers = band.numbers.iter().filter(|number| number.large);
                    self.bands.push(Band {
                        action: band.action.clone(),
                        numbers: numbers.map(|number| number.text.clone()).collect(),
                        signs: marks(&band.signs),
                    });
                }
                let first = bands.first().map_or("", |band| band.action.as_str());
                self.panel(Tone::Urgent, first, lines);
            }
            Block::Answers { title, .. } => self.panel(Tone::Note, title, lines),
            Block::Recap {
                name, header, rows, ..
            } => {
                // names of risks in a row are no sentences
                let names = self.lines[lines].iter_mut();
                names
                    .filter(|line| line.mark.is_some())
                    .for_each(|line| line.kind = Kind::Value);
                self.agreed.extend(rows.iter().map(|row| Agreed {
                    area: row.area.clone(),
                    marks: row.risks.iter().flat_map(|one| marks(&one.names)).collect(),
                }));
                let of = |row: &RecapRow| {
                    let said = [&row.number, &row.area, &row.side, &row.dose];
                    let mut cells: Vec<String> = said.into_iter().cloned().collect();
                    // the box for initials
                    cells.resize(header.len(), String::new());
                    TableRow {
                        cells,
                        ..TableRow::default()
                    }
                };
                self.tables.push(Table {
                    name: name.clone(),
                    section: self.sections.len() - 1,
                    above: String::new(),
                    below: String::new(),
                    header: header.clone(),
                    rows: rows.iter().map(of).collect(),
                    writing: true,
                });
            }
            Block::Diary {
                name,
                header,
                count,
            } => self.tables.push(Table {
                name: name.clone(),
                section: self.sections.len() - 1,
                above: String::new(),
                below: String::new(),
                header: header.clone(),
                rows: vec![
                    TableRow {
                        cells: vec![String::new(); header.len()],
                        ..TableRow::default()
                    };
                    usize::from(*count)
                ],
                writing: true,
            }),
            Block::Note { .. } => self.small(lines),
            Block::Lines { count } | Block::Questions { count, .. } => {
                self.room += usize::from(*count)
            }
            Block::Fill { fields } => self.room += fields.len(),
            Block::Quarters { .. }
            | Block::NewPage
            | Block::Line { .. }
            | Block::Flow { .. }
            | Block::Facts { .. }
            | Block::Beside { .. }
            | Block::Together { .. }
            | Block::Check(_) => {}
        }
    }

    /// The paragraphs just above a line that are no statement of their own.
    fn above(&self, line: usize) -> String {
        let plain = |line: &&Line| line.kind == Kind::Paragraph && line.mark.is_none();
        let mut above: Vec<&str> = self.lines[..line]
            .iter()
            .rev()
            .take_while(plain)
            .map(|line| line.text.as_str())
            .collect();
        above.reverse();
        above.join("\n")
    }

    /// Lines that count for readability, of one section.
    pub fn prose_of(&self, section: usize) -> Vec<&str> {
        self.lines
            .iter()
            .filter(|line| line.section == section && line.is_prose())
            .map(|line| line.text.as_str())
            .collect()
    }

    /// All lines that count for readability.
    pub fn prose(&self) -> Vec<&str> {
        self.lines
            .iter()
            .filter(|line| line.is_prose())
            .map(|line| line.text.as_str())
            .collect()
    }

    /// Lines of the statements of one owner (an area id), joined by statement.
    pub fn prose_of_owner(&self, owner: &AreaId) -> Vec<&str> {
        let of_owner = |line: &&Line| {
            let id = line.mark.as_deref().and_then(|mark| mark.parse().ok());
            line.is_prose() && id.is_some_and(|id: StatementId| id.owner().area() == Some(owner))
        };
        let lines = self.lines.iter().filter(of_owner);
        lines.map(|line| line.text.as_str()).collect()
    }

    /// The words of a statement, all its lines.
    pub fn statement(&self, mark: &str) -> Option<String> {
        let lines: Vec<&str> = self
            .lines
            .iter()
            .filter(|line| line.mark.as_deref() == Some(mark))
            .map(|line| line.text.as_str())
            .collect();
        (!lines.is_empty()).then(|| lines.join("\n"))
    }

    pub fn all_text(&self) -> String {
        let lines: Vec<&str> = self.lines.iter().map(|line| line.text.as_str()).collect();
        lines.join("\n")
    }

    /// Index of the first line of a section.
    pub fn section_called(&self, title: &str) -> Option<usize> {
        self.sections.iter().position(|section| section == title)
    }
}
