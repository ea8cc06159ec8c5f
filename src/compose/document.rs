//! The composed paper: sections and blocks in reading order, with the statement ids that must survive typesetting.
//! Invariant: plain data; whatever text it holds is printed as it stands.
//! Must not: know a typesetter or a language rule, or look anything up in the catalogue.

use serde::Serialize;

use super::check_parts::CheckPart;
use crate::catalogue::Side;
use crate::domain::StatementId;
use crate::plan::Logo;
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

/// Lanes of one picture in large print: with more, and dates of the patient's own, it would be higher than a page.
const LARGE_LANES: usize = 2;

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
    pub text: Rich,
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
}

/// One area on the form that is signed.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct RecapRow {
    pub number: String,
    pub area: String,
    pub side: String,
    pub dose: String,
    /// "Risks:".
    pub lead: String,
    /// The name of every risk, each under its own statement.
    pub names: Vec<Item>,
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
    /// Its only cell goes over all columns.
    pub wide: bool,
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

/// How the drawing stands on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FaceVariant {
    /// In a column of 66 mm beside the plan: one face, numbers only.
    Beside,
    /// Across the page: whole faces one below the other, with the areas' names outside the numbers.
    Page,
}

/// One face with what is planned on it. Places are in units of the drawing, from the middle of the face and the hairline's top.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct FaceView {
    /// Says zone by zone what is hatched, for who cannot see it.
    pub alt: String,
    /// Where the drawing is cut off.
    pub top: f64,
    pub bottom: f64,
    /// What stands at the left and at the right edge: whose side it is.
    pub words: [Rich; 2],
    pub zones: Vec<Zone>,
    pub rings: Vec<Ring>,
}

/// One hatched place.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Zone {
    /// Its name in the drawing; a round spot where the drawing has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The piece of it.
    pub side: Side,
    pub x: f64,
    pub y: f64,
}

/// A number in a column beside the face, and the straight line from it to its zone.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Ring {
    /// Number of the area, as in the table and the headings.
    pub number: String,
    /// Where its line ends.
    pub x: f64,
    pub y: f64,
    /// Middle of the ring.
    pub ring_x: f64,
    pub ring_y: f64,
    /// What stands outside it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<RingLabel>,
}

/// An area's name and side, once on a page.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct RingLabel {
    pub name: String,
    pub side: Rich,
}

/// How often one thing happened with one treatment, as marks.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct IconArray {
    /// "with the medicine"
    pub caption: String,
    /// "9 to 12 in 100"
    pub number: String,
    /// Marks of what was seen in every trial.
    pub filled: u32,
    /// Marks from the lowest to the highest figure: seen in some trials only.
    pub some: u32,
    /// What the marks say, in plain sentences, for who cannot see them.
    pub alt: String,
}

/// One risk: with the medicine, and beside it with a dummy where that was counted.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ArrayGroup {
    pub name: String,
    /// Marks in each array.
    pub per: u32,
    pub arrays: Vec<IconArray>,
    /// Where the dummy has no array of its own because it did as much.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub said: Option<String>,
}

/// What a mark of an array means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum MarkKind {
    Filled,
    /// A ring with a point.
    Some,
    Empty,
}

/// One picture of lanes over a common scale of days after the visit. All words are those of the paper's language.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct TimelinePanel {
    /// Says in full sentences what the picture shows.
    pub alt: String,
    /// The first part of it, which is that of every picture of the visit.
    #[serde(skip)]
    pub intro: String,
    /// Last day of the scale.
    pub span: i32,
    /// A day stands at (day / span) to this power across the width; below one, the first weeks get more room.
    pub power: f64,
    /// What the reader must know about the scale.
    pub note: String,
    /// What each kind of hatch means; only kinds that are drawn.
    pub key: Vec<(Phase, String)>,
    /// Days with a short stroke on the scale.
    pub days: Vec<i32>,
    pub ticks: Vec<Tick>,
    /// Dates through all lanes, in the order of time.
    pub flags: Vec<Flag>,
    pub lanes: Vec<Lane>,
}

impl TimelinePanel {
    /// Puts together what a screen reader says in place of the picture.
    pub fn say(&mut self) {
        let lanes = self.lanes.iter().map(|lane| lane.said.as_str());
        let all: Vec<&str> = std::iter::once(self.intro.as_str()).chain(lanes).collect();
        self.alt = all.join(" ");
    }

    /// The same lanes in several pictures, each with `most` of them at most.
    fn split(&self, most: usize) -> Vec<TimelinePanel> {
        let pictures = self.lanes.len().div_ceil(most).max(1);
        let each = self.lanes.len().div_ceil(pictures).max(1);
        let parts = self.lanes.chunks(each).map(|lanes| {
            let mut part = TimelinePanel {
                lanes: lanes.to_vec(),
                ..self.clone()
            };
            part.say();
            part
        });
        parts.collect()
    }
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
    /// Before this day the treatment is not repeated.
    Repeat,
}

/// Part of an effect's course.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phase {
    Starting,
    Full,
    Fading,
}

/// Areas whose effect keeps the same dates.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lane {
    pub name: String,
    /// Says in full sentences what the lane shows.
    #[serde(skip)]
    pub said: String,
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
    },
    /// Words in a line of their own over the whole width; no paragraph, and no statement.
    Line { text: Rich },
    /// Where numbers come from, in small type; never a statement.
    Note { pieces: Vec<Piece> },
    /// Lines to write on, with nothing under them.
    Lines { count: u8 },
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
    /// What happens when, drawn.
    Timeline(TimelinePanel),
    /// A code for a telephone's camera, with a sentence below it.
    QrCode {
        caption: String,
        /// Says in words what the code holds.
        alt: String,
        /// Modules across, without the quiet zone.
        side: usize,
        /// Runs of dark modules: column, row, length.
        runs: Vec<[usize; 3]>,
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

    /// A list one below the other.
    pub fn bullets(items: Vec<Item>) -> Block {
        Block::List {
            style: ListStyle::Bullet,
            items,
            columns: 1,
        }
    }
}

impl Document {
    /// Sets the paper in large print: the size, and pictures that still find room on a page in it.
    pub fn enlarge(&mut self, size: f64) {
        self.large = true;
        self.type_size = size;
        let blocks = std::mem::take(&mut self.blocks).into_iter();
        let split = |block| match block {
            Block::Timeline(panel) => panel
                .split(LARGE_LANES)
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
