//! What blocks draw: the map of planned zones, marks out of a hundred, and what happens when.
//! Invariant: plain data; every drawing says in words what it shows.
//! Must not: know a typesetter, or work out where something stands.

use serde::Serialize;

use crate::catalogue::Side;
use crate::wording::Rich;

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
    /// What each kind of hatch means; only kinds that are drawn.
    pub key: Vec<(Phase, String)>,
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

    /// The same lanes in a picture each.
    pub(super) fn lane_by_lane(&self) -> Vec<TimelinePanel> {
        let parts = self.lanes.iter().map(|lane| {
            let mut part = TimelinePanel {
                lanes: vec![lane.clone()],
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
