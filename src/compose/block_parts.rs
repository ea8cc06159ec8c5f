//! The parts that blocks are made of: items, fields to write on, bands, rows, the head of a paper.
//! Invariant: plain data; whatever text it holds is printed as it stands.
//! Must not: know a typesetter or a language rule, or look anything up in the catalogue.

use serde::Serialize;

use crate::domain::StatementId;
use crate::wording::{Piece, Rich};

/// A piece of text that carries a statement id where it has one.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Item {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mark: Option<StatementId>,
    pub text: Rich,
}

/// A line to write on, with what to write under it.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Field {
    pub label: String,
    /// Millimetres it takes of the line; 0: what the others leave, shared with others of that kind.
    pub width: u32,
    /// Millimetres that the hand gets above the line.
    pub height: u32,
    /// It begins a new row.
    pub starts: bool,
}

impl Field {
    /// A place for a signature: 80 by 12 mm at the beginning of a row.
    pub fn signature(label: String) -> Field {
        Field {
            label,
            width: 80,
            height: 12,
            starts: true,
        }
    }

    /// A line of so many millimetres in the same row as the field before it; 0: what is left.
    pub fn beside(label: String, width: u32) -> Field {
        Field {
            label,
            width,
            height: 12,
            starts: false,
        }
    }

    /// Lower, for words in print rather than a signature.
    pub fn low(self) -> Field {
        Field { height: 9, ..self }
    }

    /// At the beginning of a row.
    pub fn starting(self) -> Field {
        Field {
            starts: true,
            ..self
        }
    }
}

/// What an instruction is; its mark stands beside its words, never in place of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sign {
    Do,
    DoNot,
    May,
}

/// Instructions that end at the same time.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Timed {
    /// "Until 18:30 on Thursday 3 December".
    pub lead: String,
    /// There is no end to it.
    pub open: bool,
    pub items: Vec<Instruction>,
}

/// One instruction with its mark.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Instruction {
    pub sign: Sign,
    pub item: Item,
}

/// A short question and its answer.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Answer {
    pub label: String,
    /// One below the other, where each area has its own.
    pub lines: Vec<Rich>,
}

/// One of the cells that are read against each other, each with its own name.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Quarter {
    pub title: String,
    pub mark: StatementId,
    pub pieces: Vec<Piece>,
    /// Said after it, of no statement.
    pub after: Vec<Piece>,
}

/// One urgency: whom to call on the left, for what on the right.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Band {
    pub rank: Rank,
    /// "Call at once".
    pub action: String,
    /// Numbers and words about them, from top to bottom.
    pub numbers: Vec<Number>,
    pub signs: Vec<Item>,
    pub sayings: Vec<Saying>,
}

/// Words that the reader says or shows to others, in the language of those others.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Saying {
    /// In the reader's language.
    pub lead: String,
    /// Of the words.
    pub language: String,
    pub words: String,
    /// Lines to write on after them, one for each product; none where nothing is left to write.
    pub to_write: Vec<String>,
}

/// How heavy a band is drawn; the order of urgency.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rank {
    First,
    Second,
    Third,
}

/// A line of the left side of a band.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Number {
    pub text: String,
    /// A telephone number, in large type.
    pub large: bool,
    /// Names telephone numbers; hours when somebody answers are none.
    pub calls: bool,
}

/// One area on the form that is signed.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct RecapRow {
    pub number: String,
    pub area: String,
    /// With its currency; empty where the sheet has one area, or the clinic no fee for it.
    pub price: String,
    pub side: String,
    pub dose: String,
    /// The name of every risk, each under its own statement: what was counted, the most frequent first, then what was not.
    pub risks: Vec<Named>,
    /// What is to be known beside the risks: that the product is not licensed for it, that this visit is sooner than advised.
    pub notes: Vec<String>,
    /// The practitioner's own view.
    pub view: Vec<Piece>,
}

/// Names of risks under one lead.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Named {
    pub lead: String,
    pub names: Vec<Item>,
}

/// What stands over the blocks of a paper.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Masthead {
    pub style: MastheadStyle,
    pub clinic: String,
    pub address: String,
    pub phone: String,
    /// Under the telephone number; empty where it says nothing.
    pub phone_note: String,
}

/// How much room the head of a paper takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum MastheadStyle {
    /// The clinic in one line, the title below it.
    Full,
    /// Clinic and title share one height.
    Short,
    /// The title alone.
    Title,
    /// Nothing: the first block has the title.
    None,
}

impl MastheadStyle {
    /// Whether name, address and telephone number of the clinic stand there.
    pub fn names_the_clinic(self) -> bool {
        match self {
            MastheadStyle::Full | MastheadStyle::Short => true,
            MastheadStyle::Title | MastheadStyle::None => false,
        }
    }
}

/// One table row; cells from left to right.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Row {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mark: Option<StatementId>,
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
