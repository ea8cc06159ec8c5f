//! Turns a composed paper into what a judge looks at: its lines of text with what each is, its sections, tables, lists and places to sign.
//! Invariant: every word of the paper's blocks is in one line of the view, in reading order; labels inside pictures are not lines.
//! Must not: judge, or look at pages.

use std::ops::Range;

use crate::compose::document::{Block, Item, ListStyle, Row, Tone};
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

/// A table with what is said just above it.
#[derive(Debug, Clone)]
pub struct Table {
    pub name: String,
    pub section: usize,
    pub above: String,
    pub header: Vec<String>,
    /// Mark and cells.
    pub rows: Vec<(Option<String>, Vec<String>)>,
    pub writing: bool,
}

/// A place to sign.
#[derive(Debug, Clone)]
pub struct Sign {
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
    /// Marks filled and with a point.
    pub shown: u32,
    pub per: u32,
    /// The number over it.
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
    pub pictures: Vec<Picture>,
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

fn texts(items: &[Item]) -> Vec<String> {
    items.iter().map(|item| rich::text_of(&item.text)).collect()
}

fn cells(row: &Row) -> Vec<String> {
    row.cells.iter().map(|c| rich::text_of_pieces(c)).collect()
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
        for (at, nested) in document.all_blocks().into_iter().enumerate() {
            view.block(nested.block, from(at)..from(nested.end));
        }
        view
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
                    let said = items.map(|one| rich::text_of(&one.item.text));
                    self.list(ListStyle::Bullet, said.collect());
                }
            }
            Block::Table {
                name,
                header,
                rows,
                writing,
                ..
            } => {
                for cell in rows.iter().flat_map(|row| &row.cells) {
                    lists_in(cell).for_each(|items| self.list(ListStyle::Bullet, items));
                }
                self.tables.push(Table {
                    name: name.clone(),
                    section: self.sections.len() - 1,
                    above: self.above(lines.start),
                    header: header.clone(),
                    rows: rows
                        .iter()
                        .map(|r| (r.mark.as_ref().map(ToString::to_string), cells(r)))
                        .collect(),
                    writing: *writing,
                });
            }
            Block::Panel { tone, title, .. } => {
                let said = &self.lines[lines.clone()];
                let text: Vec<&str> = said.iter().map(|line| line.text.as_str()).collect();
                self.panels.push(Panel {
                    tone: *tone,
                    title: title.clone(),
                    text: text.join("\n"),
                    from: lines.start,
                });
            }
            Block::Face { views, .. } => {
                views.iter().for_each(|face| self.picture(&face.alt, None));
            }
            Block::Arrays { groups, .. } => {
                for group in groups {
                    for array in &group.arrays {
                        let marks = Marks {
                            shown: array.filled + array.some,
                            per: group.per,
                            often: array.number.clone(),
                        };
                        self.picture(&array.alt, Some(marks));
                    }
                }
            }
            Block::Timeline(panel) => self.picture(&panel.alt, None),
            Block::QrCode { alt, .. } => self.picture(alt, None),
            Block::Sign {
                title,
                text,
                fields,
                ..
            } => self.signs.push(Sign {
                title: title.clone(),
                text: text.clone(),
                fields: fields.iter().map(|field| field.label.clone()).collect(),
            }),
            // the box of warning signs: whom to call, and for what
            Block::Bands { bands } => {
                for band in bands {
                    self.list(ListStyle::Bullet, texts(&band.signs));
                }
                let said = &self.lines[lines.clone()];
                let text: Vec<&str> = said.iter().map(|line| line.text.as_str()).collect();
                self.panels.push(Panel {
                    tone: Tone::Urgent,
                    title: bands
                        .first()
                        .map_or(String::new(), |band| band.action.clone()),
                    text: text.join("\n"),
                    from: lines.start,
                });
            }
            Block::Answers { .. }
            | Block::Quarters { .. }
            | Block::Recap { .. }
            | Block::Note { .. }
            | Block::Lines { .. }
            | Block::Fill { .. }
            | Block::NewPage
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
