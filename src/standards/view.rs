//! Turns a composed paper into what a judge looks at: its lines of text with what each is, its sections, tables, lists and places to sign.
//! Invariant: every word of the paper's blocks is in one line of the view, in reading order; labels inside pictures are not lines.
//! Must not: judge, or look at pages.

use crate::compose::Document;
use crate::compose::document::{Block, ListStyle, Tone};
use crate::domain::{AreaId, StatementId};
use crate::wording::{Piece, rich};

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
    /// Left of a value, above a panel or a place to write.
    Label,
    /// Right of a label.
    Value,
    /// The words that are signed.
    Signed,
}

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
            Kind::Heading(_) | Kind::Header | Kind::Label | Kind::Value => false,
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
    /// Marks filled and half filled.
    pub shown: u32,
    pub per: u32,
    /// The words in the cell beside it.
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
    paragraphs: usize,
}

/// Words of a heading in the line at most (ours); what is longer is a sentence in bold type.
const LEAD: usize = 8;

fn bold_words(rich: &rich::Rich) -> usize {
    rich.iter()
        .filter(|run| run.bold)
        .map(|run| super::prose::words(&run.text).len())
        .sum()
}

/// Begins with a few bold words that end as a heading does: "How long it lasts. ...", "Jaw muscle: ...".
fn has_lead(rich: &rich::Rich) -> bool {
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
    ends && (1..=LEAD).contains(&super::prose::words(&bold).len())
}

impl View {
    pub fn of(document: &Document) -> View {
        let mut view = View {
            sections: vec![document.title.clone()],
            ..View::default()
        };
        view.blocks(&document.blocks, false);
        view
    }

    fn say(
        &mut self,
        kind: Kind,
        text: &str,
        bold: usize,
        mark: Option<&StatementId>,
        urgent: bool,
    ) {
        self.paragraphs += 1;
        self.say_on(kind, text, bold, mark, urgent);
    }

    /// The same, in the paragraph of the line before.
    fn say_on(
        &mut self,
        kind: Kind,
        text: &str,
        bold: usize,
        mark: Option<&StatementId>,
        urgent: bool,
    ) {
        if text.trim().is_empty() {
            return;
        }
        self.lines.push(Line {
            paragraph: self.paragraphs,
            kind,
            text: text.to_owned(),
            bold_words: bold,
            mark: mark.map(ToString::to_string),
            section: self.sections.len() - 1,
            urgent,
            lead: false,
        });
    }

    /// The line said last begins with a heading of its own; nothing where no line was said.
    fn leads(&mut self, from: usize, lead: bool) {
        if let Some(line) = self.lines.get_mut(from) {
            line.lead = lead;
        }
    }

    fn pieces(&mut self, pieces: &[Piece], kind: Kind, mark: Option<&StatementId>, urgent: bool) {
        for piece in pieces {
            match piece {
                Piece::Para { text } => {
                    let from = self.lines.len();
                    self.say(kind, &rich::text_of(text), bold_words(text), mark, urgent);
                    self.leads(from, kind == Kind::Paragraph && has_lead(text));
                }
                Piece::List { items } => {
                    self.lists.push(List {
                        style: ListStyle::Bullet,
                        section: self.sections.len() - 1,
                        items: items.iter().map(rich::text_of).collect(),
                    });
                    for item in items {
                        self.say(
                            Kind::Item,
                            &rich::text_of(item),
                            bold_words(item),
                            mark,
                            urgent,
                        );
                    }
                }
            }
        }
    }

    fn picture(&mut self, alternative: &str, marks: Option<Marks>) {
        self.pictures.push(Picture {
            section: self.sections.len() - 1,
            alternative: alternative.to_owned(),
            marks,
        });
    }

    fn blocks(&mut self, blocks: &[Block], urgent: bool) {
        for block in blocks {
            self.block(block, urgent);
        }
    }

    // every kind of block is named, so that a new one cannot be left out of the checks without notice
    fn block(&mut self, block: &Block, urgent: bool) {
        let section = self.sections.len() - 1;
        match block {
            Block::Heading { level, text } => {
                if *level <= 2 {
                    self.sections.push(text.clone());
                }
                self.say(Kind::Heading(*level), text, 0, None, urgent);
            }
            Block::Text { mark, pieces } => {
                self.pieces(pieces, Kind::Paragraph, mark.as_ref(), urgent);
            }
            Block::List { style, items, .. } => {
                let kind = match style {
                    ListStyle::Tick => Kind::Tick,
                    ListStyle::Bullet => Kind::Item,
                };
                for item in items {
                    let text = rich::text_of(&item.text);
                    self.say(
                        kind,
                        &text,
                        bold_words(&item.text),
                        item.mark.as_ref(),
                        urgent,
                    );
                }
                self.lists.push(List {
                    style: *style,
                    section,
                    items: items.iter().map(|item| rich::text_of(&item.text)).collect(),
                });
            }
            Block::Flow { items } => {
                self.paragraphs += 1;
                let from = self.lines.len();
                for item in items {
                    let text = rich::text_of(&item.text);
                    let bold = bold_words(&item.text);
                    self.say_on(Kind::Paragraph, &text, bold, item.mark.as_ref(), urgent);
                }
                self.leads(from, items.first().is_some_and(|i| has_lead(&i.text)));
            }
            Block::Schedule { rows } => {
                for row in rows {
                    if let Some(lead) = &row.lead {
                        let from = self.lines.len();
                        self.say(Kind::Label, lead, 0, None, urgent);
                        self.leads(from, true);
                    }
                    for item in &row.items {
                        let text = rich::text_of(&item.text);
                        let bold = bold_words(&item.text);
                        self.say(Kind::Item, &text, bold, item.mark.as_ref(), urgent);
                    }
                    self.lists.push(List {
                        style: ListStyle::Bullet,
                        section,
                        items: row.items.iter().map(|i| rich::text_of(&i.text)).collect(),
                    });
                }
            }
            Block::Facts { .. } | Block::Phones { .. } => {
                for (label, value) in block.labelled() {
                    self.say(Kind::Label, label, 0, None, urgent);
                    self.say(Kind::Value, value, 0, None, urgent);
                }
            }
            Block::Table {
                name,
                header,
                rows,
                writing,
                ..
            } => {
                // the paragraphs just above that are no statement of their own
                let mut above: Vec<&str> = self
                    .lines
                    .iter()
                    .rev()
                    .take_while(|line| line.kind == Kind::Paragraph && line.mark.is_none())
                    .map(|line| line.text.as_str())
                    .collect();
                above.reverse();
                let above = above.join("\n");
                for cell in header {
                    self.say(Kind::Header, cell, 0, None, urgent);
                }
                for row in rows {
                    for cell in &row.cells {
                        self.pieces(cell, Kind::Cell, row.mark.as_ref(), urgent);
                    }
                }
                for row in rows {
                    if let Some(array) = &row.array {
                        let cells: Vec<String> =
                            row.cells.iter().map(|c| rich::text_of_pieces(c)).collect();
                        let marks = Marks {
                            shown: array.filled + array.half,
                            per: array.per,
                            often: cells.last().cloned().unwrap_or_default(),
                        };
                        self.picture(&array.alt, Some(marks));
                    }
                }
                self.tables.push(Table {
                    name: name.clone(),
                    section,
                    above,
                    header: header.clone(),
                    rows: rows
                        .iter()
                        .map(|row| {
                            let cells = row.cells.iter().map(|c| rich::text_of_pieces(c)).collect();
                            (row.mark.as_ref().map(ToString::to_string), cells)
                        })
                        .collect(),
                    writing: *writing,
                });
            }
            Block::Panel {
                tone,
                title,
                blocks,
            } => {
                let from = self.lines.len();
                let urgent = urgent || *tone == Tone::Urgent;
                self.say(Kind::Label, title, 0, None, urgent);
                self.leads(from, !title.trim().is_empty());
                self.blocks(blocks, urgent);
                let text: Vec<&str> = self.lines[from..].iter().map(|l| l.text.as_str()).collect();
                self.panels.push(Panel {
                    tone: *tone,
                    title: title.clone(),
                    text: text.join("\n"),
                    from,
                });
            }
            Block::Face { views, .. } => {
                for face in views {
                    self.picture(&face.alt, None);
                }
            }
            Block::Timeline(panel) => {
                self.picture(&panel.alt, None);
                self.say(Kind::Paragraph, &panel.note, 0, None, urgent);
            }
            Block::QrCode { alt, .. } => self.picture(alt, None),
            Block::Beside { blocks, picture } => {
                self.blocks(blocks, urgent);
                self.block(picture, urgent);
            }
            Block::Sign {
                title,
                text,
                fields,
            } => {
                let from = self.lines.len();
                self.say(Kind::Label, title, 0, None, urgent);
                self.leads(from, !title.trim().is_empty());
                self.say(Kind::Signed, text, 0, None, urgent);
                for field in fields {
                    self.say(Kind::Label, &field.label, 0, None, urgent);
                }
                self.signs.push(Sign {
                    title: title.clone(),
                    text: text.clone(),
                    fields: fields.iter().map(|field| field.label.clone()).collect(),
                });
            }
            Block::Together { blocks } => self.blocks(blocks, urgent),
        }
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

    /// Lines of the statements of one area.
    pub fn prose_of_owner(&self, owner: &AreaId) -> Vec<&str> {
        self.lines
            .iter()
            .filter(|line| {
                line.is_prose()
                    && line
                        .mark
                        .as_ref()
                        .and_then(|mark| mark.parse::<StatementId>().ok())
                        .is_some_and(|id| id.owner().area() == Some(owner))
            })
            .map(|line| line.text.as_str())
            .collect()
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
