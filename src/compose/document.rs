//! The composed paper: sections and blocks in reading order, with the statement ids that must survive typesetting.
//! Invariant: plain data; whatever text it holds is printed as it stands.
//! Must not: know a typesetter or a language rule, or look anything up in the catalogue.

use serde::Serialize;

use crate::catalogue::View;
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
    /// Size of the body text in points; everything on the page follows from it.
    pub type_size: f64,
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
    /// Birth date and record number.
    pub identity: Vec<String>,
    /// What this paper is, in a few words.
    pub paper: String,
    pub clinic: String,
    /// The day of the visit.
    pub visit: String,
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

/// A line to write on, with what to write under it.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Field {
    pub label: String,
    /// Share of the line it takes, beside the other fields.
    pub width: u32,
}

impl Field {
    /// A line of its own, with the label before it.
    pub const WHOLE: u32 = 100;
    /// Two such in a line.
    pub const HALF: u32 = 50;
}

/// Instructions that end at the same time.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Timed {
    /// "Until 18:30 on Thursday, 3 December 2026"; none where it is the patient's choice.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lead: Option<String>,
    pub items: Vec<Item>,
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

/// One view of the drawing. Places are parts of its width (from the left) and of its height (from the top).
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct FaceView {
    pub view: View,
    /// The drawing of the right side turned round, to show the left.
    pub mirrored: bool,
    /// What the rings say, in words, for who cannot see them.
    pub alt: String,
    /// Front: what stands at the left and the right edge; from the side: which side it is.
    pub words: Vec<String>,
    pub rings: Vec<Ring>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Ring {
    /// Number of the area, as in the table and the headings.
    pub number: String,
    /// The place itself.
    pub x: f64,
    pub y: f64,
    /// Middle of the ring.
    pub ring_x: f64,
    pub ring_y: f64,
    /// A line leads from the ring to a dot at the place.
    pub leader: bool,
}

/// One array of marks: so many filled, so many half filled, the rest empty.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct IconArray {
    pub name: String,
    /// `people` or `treatments`: what one mark stands for.
    pub counted: &'static str,
    /// People (or treatments) in whom it was seen in every study.
    pub filled: u32,
    /// Those between the lowest and the highest figure.
    pub half: u32,
    /// What the marks say, in one or two plain sentences; printed below.
    pub sentence: String,
    /// The same for who cannot see them.
    pub alt: String,
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
    /// Several statements in one paragraph.
    Flow {
        items: Vec<Item>,
    },
    List {
        style: ListStyle,
        items: Vec<Item>,
        /// Short items may stand side by side.
        columns: u8,
    },
    /// Instructions by the time they end: "Until 18:30" and what to do until then.
    Schedule {
        rows: Vec<Timed>,
    },
    /// Label and value; short ones stand two in a line.
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
    /// A signature block: the statement signed and lines to fill in.
    Sign {
        title: String,
        text: String,
        fields: Vec<Field>,
    },
    /// Our drawing of a face and neck with a numbered ring at every planned place.
    Face {
        views: Vec<FaceView>,
        /// Diameter of a ring in units of the drawing.
        ring: f64,
    },
    /// "Out of a hundred": arrays of marks side by side, all with the same number of marks.
    Icons {
        /// Marks of each array.
        per: u32,
        arrays: Vec<IconArray>,
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
            Block::List { items, .. } | Block::Flow { items } => {
                found.extend(items.iter().filter_map(|item| item.mark.as_deref()))
            }
            Block::Schedule { rows } => {
                let items = rows.iter().flat_map(|row| &row.items);
                found.extend(items.filter_map(|item| item.mark.as_deref()));
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
            | Block::Face { .. }
            | Block::Icons { .. }
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
