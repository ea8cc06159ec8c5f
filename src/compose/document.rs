//! The composed paper: sections and blocks in reading order, with the statement ids that must survive typesetting.
//! Invariant: plain data; whatever text it holds is printed as it stands.
//! Must not: know a typesetter or a language rule, or look anything up in the catalogue.

use serde::Serialize;

use super::check_parts::CheckPart;
use crate::domain::StatementId;
use crate::plan::Logo;
use crate::wording::{Piece, Rich};

pub use super::block_parts::*;
pub use super::drawn_parts::*;

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
    /// Large print: its own room between lines, and one below the other what else stands side by side.
    pub large: bool,
    pub masthead: Masthead,
    /// Year, month, day the paper counts as made on.
    pub date: (i16, i8, i8),
    /// Its name in the papers' data is older than its type, and stays: the document codes are taken from it.
    #[serde(rename = "furniture")]
    pub running_lines: RunningLines,
    /// Colour of headings and rules in place of the theme's own: `#` and six hexadecimal digits.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accent: Option<String>,
    /// The clinic's picture at the head of the first page.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub logo: Option<Picture>,
    /// What the file says about itself to programs; empty until it is stamped.
    pub record: String,
    /// Whom its sentences may say to call, each as they say it: "999 or 112".
    #[serde(skip)]
    pub calls: Vec<String>,
    pub blocks: Vec<Block>,
}

/// A picture and what a screen reader says in its place.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Picture {
    /// The name the typesetter finds it under.
    pub file: String,
    pub text: String,
    /// SHA-256 of the picture, so that papers with another picture have another digest.
    pub sha256: String,
    #[serde(skip)]
    pub logo: Logo,
}

/// What stands on every page.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct RunningLines {
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

/// One block of a paper.
#[derive(Debug, Clone, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Block {
    Heading {
        level: u8,
        text: String,
        /// Number of the area, as on the map.
        #[serde(skip_serializing_if = "Option::is_none")]
        number: Option<String>,
    },
    Text {
        #[serde(skip_serializing_if = "Option::is_none")]
        mark: Option<StatementId>,
        pieces: Vec<Piece>,
    },
    /// Words to be said aloud, in a language that need not be the paper's.
    Spoken {
        /// Tag without a country: `es`.
        language: String,
        pieces: Vec<Piece>,
    },
    /// Several statements in one paragraph.
    Flow { items: Vec<Item> },
    List {
        style: ListStyle,
        items: Vec<Item>,
        /// Short items may stand side by side.
        columns: u8,
    },
    /// What matters most, question by question.
    Answers { title: String, rows: Vec<Answer> },
    /// What is read against each other, two in a row.
    Quarters { cells: Vec<Quarter> },
    /// Whom to call for what, by urgency.
    Bands { bands: Vec<Band> },
    /// What is agreed to, area by area, with a box for initials each.
    Recap {
        name: String,
        /// Number, area, side, dose, initials.
        header: Vec<String>,
        rows: Vec<RecapRow>,
        /// Risks of every area.
        every: Vec<Named>,
        /// What else is to be known of every area.
        notes: Vec<String>,
    },
    /// Words in a line of their own over the whole width; no paragraph, and no statement.
    Line { text: Rich },
    /// Where numbers come from, in small type; never a statement.
    Note { pieces: Vec<Piece> },
    /// Lines to write on, with nothing under them.
    Lines { count: u8 },
    /// Lines for the reader's own questions, with their title: last on a paper, and only where its last side has room for them.
    Questions { title: String, count: u8 },
    /// An empty table to write in from day to day: last on a paper likewise, and only where its last side has room for `count` rows.
    Diary {
        /// Says in words what is written in it.
        name: String,
        header: Vec<String>,
        count: u8,
    },
    /// Lines to write on that agree to nothing.
    Fill { fields: Vec<Field> },
    /// What follows begins on a new page.
    NewPage,
    /// Instructions by the time they end: "Until 18:30" and what to do until then.
    Schedule { rows: Vec<Timed> },
    /// Labels and values; those that belong together stand in one line.
    Facts { lines: Vec<Vec<(String, String)>> },
    Table {
        /// Says in words what the table holds.
        name: String,
        /// Fractions of the line, one for each column; 0 = as wide as its text.
        widths: Vec<u32>,
        header: Vec<String>,
        /// A few small words under the names of the columns; empty where none has any.
        under: Vec<String>,
        rows: Vec<Row>,
    },
    Panel {
        tone: Tone,
        title: String,
        blocks: Vec<Block>,
    },
    /// What happens when, drawn.
    Timeline(TimelinePanel),
    /// A code for a telephone's camera, with a sentence below it.
    QrCode {
        caption: String,
        /// Says in words what the code holds.
        alt: String,
        /// Modules across, without the quiet zone.
        side: usize,
        /// The dark modules as one path in the notation of SVG, a module being one unit.
        outline: String,
    },
    /// A signature block: the statement signed and lines to fill in.
    Sign {
        title: String,
        text: String,
        fields: Vec<Field>,
        /// Framed, and at the foot of its page.
        framed: bool,
    },
    /// Our drawing of a face and neck with a hatched zone and its number for every planned area.
    Face {
        variant: FaceVariant,
        views: Vec<FaceView>,
    },
    /// The most frequent risks as marks out of a hundred.
    Arrays {
        /// Says what one mark stands for.
        intro: Vec<Piece>,
        key: Vec<(MarkKind, String)>,
        groups: Vec<ArrayGroup>,
    },
    /// A picture beside what belongs to it; below it where type is large.
    Beside {
        blocks: Vec<Block>,
        picture: Box<Block>,
    },
    /// Kept on one page.
    Together { blocks: Vec<Block> },
    /// What only the practitioner's papers have.
    Check(CheckPart),
}

impl Block {
    /// A heading without a number.
    pub fn heading(level: u8, text: String) -> Block {
        Block::Heading {
            level,
            text,
            number: None,
        }
    }

    /// A paragraph that is no statement.
    pub fn paragraph(text: impl Into<String>) -> Block {
        Block::Text {
            mark: None,
            pieces: super::para(text),
        }
    }

    /// A list one below the other.
    pub fn bullets(items: Vec<Item>) -> Block {
        Block::List {
            style: ListStyle::Bullet,
            items,
            columns: 1,
        }
    }
}

/// Type, in points, up to which what to remember and the signs of an emergency stand on one side.
const ABOVE_THE_SIGNS: f64 = 16.0;

impl Document {
    /// Sets the paper in large print: the size, and a picture for each lane, so that each finds room on a page.
    pub fn enlarge(&mut self, size: f64) {
        self.large = true;
        // larger than this the signs of an emergency take a whole side: what to remember goes below them, so that they find room on the
        // first
        let called = |block: &Block| matches!(block, Block::Bands { .. });
        if size > ABOVE_THE_SIGNS
            && let Some(at) = self.blocks.iter().position(called)
            && at > 0
            && matches!(self.blocks[at - 1], Block::Panel { .. })
        {
            self.blocks.swap(at - 1, at);
        }
        self.type_size = size;
        let blocks = std::mem::take(&mut self.blocks).into_iter();
        let split = |block| match block {
            Block::Timeline(panel) => panel
                .lane_by_lane()
                .into_iter()
                .map(Block::Timeline)
                .collect(),
            other => vec![other],
        };
        self.blocks = blocks.flat_map(split).collect();
    }

    /// Puts the record into the file and the line with the document code on every page.
    pub fn stamp(&mut self, record: String, code_line: String) {
        self.record = record;
        self.running_lines.code = code_line;
    }
}
