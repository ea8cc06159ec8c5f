//! The composed paper: sections and blocks in reading order, with the statement ids that must survive typesetting.
//! Invariant: plain data; whatever text it holds is printed as it stands.
//! Must not: know a typesetter, a language rule or a catalogue.

use serde::Serialize;

use crate::wording::{Piece, Rich};

/// One paper, ready to be typeset.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Document {
    pub paper: &'static str,
    /// Language tag of the text: `en-GB`.
    pub language: String,
    pub title: String,
    /// Typst paper name: `a4`, `us-letter`.
    pub page_size: &'static str,
    /// Year, month, day the paper counts as made on.
    pub date: (i16, i8, i8),
    pub furniture: Furniture,
    /// What the file says about itself to programs; empty until it is stamped.
    pub record: String,
    pub blocks: Vec<Block>,
}

/// What stands on every page.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Furniture {
    /// Patient's name; printed in its own box so that its direction never turns what follows.
    pub name: String,
    /// Birth date, record number, visit date.
    pub identity: Vec<String>,
    pub clinic: String,
    pub wording: String,
    /// Said at the head of every page while the wording is not approved.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub notice: Option<String>,
    /// "Document code ABCD-EFGH-JKLM"; empty until it is stamped.
    pub code: String,
    /// "Page 1 of 4" cut at its two numbers.
    pub page_of: [String; 3],
}

/// A piece of text that carries a statement id where it has one.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Item {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mark: Option<String>,
    pub text: Rich,
}

/// One table row; cells from left to right.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Row {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mark: Option<String>,
    pub cells: Vec<Vec<Piece>>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ListStyle {
    Bullet,
    /// Blank boxes to tick by hand; never pre-ticked.
    Tick,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tone {
    /// Red-flag box: heavy border and a word label, never colour alone.
    Urgent,
    Note,
    /// Rare but serious: framed, may run over a page.
    Serious,
}

/// One picture of lanes over a common scale of days after the visit. All words are those of the paper's language.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct TimelinePanel {
    /// Says in full sentences what the picture shows.
    pub alt: String,
    /// Last day of the scale.
    pub span: i32,
    /// A day stands at (day / span) to this power across the width; below one, the first weeks get more room.
    pub power: f64,
    /// What the reader must know about the scale.
    pub note: String,
    /// Days with a short stroke on the scale.
    pub days: Vec<i32>,
    pub ticks: Vec<Tick>,
    /// Dates through all lanes, in the order of time.
    pub flags: Vec<Flag>,
    pub lanes: Vec<Lane>,
}

/// A named place on the scale.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Tick {
    pub day: i32,
    /// The first of a month; its name comes before others where there is not room for all.
    pub month: bool,
    pub label: String,
}

/// A day, or a range of days with both ends, with what it is and its dates in words.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DayMark {
    pub title: String,
    pub when: String,
    pub first: i32,
    pub last: i32,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Flag {
    #[serde(flatten)]
    pub mark: DayMark,
    pub style: FlagStyle,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FlagStyle {
    Visit,
    Review,
    /// The patient's own.
    Event,
}

/// Areas whose effect keeps the same dates.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lane {
    pub name: String,
    /// From the first change to the full effect; none when neither is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rise: Option<[i32; 2]>,
    /// While it wears off.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fall: Option<[i32; 2]>,
    pub marks: Vec<DayMark>,
}

/// One block of a paper.
#[derive(Debug, Clone, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Block {
    Heading {
        level: u8,
        text: String,
    },
    Text {
        #[serde(skip_serializing_if = "Option::is_none")]
        mark: Option<String>,
        pieces: Vec<Piece>,
    },
    List {
        style: ListStyle,
        items: Vec<Item>,
    },
    /// Label and value, two columns.
    Facts {
        rows: Vec<(String, String)>,
    },
    Table {
        /// Says in words what the table holds.
        name: String,
        /// Fractions of the line, one for each column; 0 = as wide as its text.
        widths: Vec<u32>,
        header: Vec<String>,
        rows: Vec<Row>,
        /// Room to write by hand: taller rows.
        writing: bool,
        /// What is written there is part of agreeing.
        #[serde(skip)]
        signing: bool,
    },
    Panel {
        tone: Tone,
        title: String,
        blocks: Vec<Block>,
    },
    /// Phone numbers, large.
    Phones {
        rows: Vec<(String, String)>,
    },
    /// What happens when, drawn.
    Timeline(TimelinePanel),
    /// A code for a telephone's camera, with a sentence beside it.
    QrCode {
        /// Says in words what the code holds.
        alt: String,
        /// Modules across, without the quiet zone.
        side: usize,
        /// Runs of dark modules: column, row, length.
        runs: Vec<[usize; 3]>,
        caption: String,
    },
    /// A signature block: the statement signed and lines to fill in.
    Sign {
        title: String,
        text: String,
        lines: Vec<String>,
    },
    /// Kept on one page.
    Together {
        blocks: Vec<Block>,
    },
}

impl Block {
    /// Every statement id in this block, in reading order.
    pub fn marks<'a>(&'a self, found: &mut Vec<&'a str>) {
        match self {
            Block::Text { mark, .. } => found.extend(mark.as_deref()),
            Block::List { items, .. } => {
                found.extend(items.iter().filter_map(|item| item.mark.as_deref()))
            }
            Block::Table { rows, .. } => {
                found.extend(rows.iter().filter_map(|row| row.mark.as_deref()))
            }
            Block::Panel { blocks, .. } | Block::Together { blocks } => {
                blocks.iter().for_each(|block| block.marks(found));
            }
            Block::Heading { .. }
            | Block::Facts { .. }
            | Block::Phones { .. }
            | Block::Timeline(_)
            | Block::QrCode { .. }
            | Block::Sign { .. } => {}
        }
    }
}

impl Document {
    /// Puts the record into the file and the line with the document code on every page.
    pub fn stamp(&mut self, record: String, code_line: String) {
        self.record = record;
        self.furniture.code = code_line;
    }

    /// Every statement id, in reading order.
    pub fn marks(&self) -> Vec<&str> {
        let mut found = Vec::new();
        self.blocks.iter().for_each(|block| block.marks(&mut found));
        found
    }
}
