//! Turns the catalogue's TOML files into typed data.
//! Invariant: every entry that says something medical carries `source` ids and a `status`; every number carries its unit.
//! Must not: hold sentences for readers (those live in `locales/`), or know plans, typesetting or the command line.

use crate::domain::{
    AdviceId, AreaId, Evidence, FactId, Function, ProductId, RegionId, Side, SourceId, Standing,
    TimeUnit,
};
use serde::{Deserialize, Serialize};

/// One entry of the source register.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// `C22` = clinical register 22, `D61` = document-standards register 61, `practice`, `memory`.
    pub id: SourceId,
    pub title: String,
    /// Law or guidance of this country (`SE`) or part of one (`GB-SCT`) alone; none: it is cited everywhere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
}

impl Source {
    /// Whether it is cited on papers made in this region.
    pub fn is_cited_in(&self, region: &RegionId) -> bool {
        let place = self.place.as_deref();
        place.is_none_or(|place| region.lies_in(place))
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Zone {
    UpperFace,
    Nose,
    LowerFace,
    Jaw,
    Neck,
}

impl Zone {
    /// As written in the catalogue.
    pub fn as_str(self) -> &'static str {
        match self {
            Zone::UpperFace => "upper-face",
            Zone::Nose => "nose",
            Zone::LowerFace => "lower-face",
            Zone::Jaw => "jaw",
            Zone::Neck => "neck",
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Restriction {
    None,
    /// Only to balance an asymmetry, not for looks.
    ReconstructiveOnly,
    DoNotTreat,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Muscle {
    /// Terminologia Anatomica name.
    pub latin: String,
    /// Part of the muscle, where only a part is meant.
    pub part: Option<String>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WindowKind {
    /// First change the patient can notice.
    Onset,
    FullEffect,
    /// When the result is looked at.
    Review,
    /// When the effect has gone.
    WearsOff,
    /// When a further round is usual.
    Repeat,
    /// How long it lasted at the most in studies or guides, where that is longer than `WearsOff`.
    MayLast,
    /// When some practitioners see it end, where that is sooner than `WearsOff`.
    MayEnd,
}

impl WindowKind {
    /// Windows every treatable area has.
    pub const REQUIRED: [WindowKind; 5] = [
        WindowKind::Onset,
        WindowKind::FullEffect,
        WindowKind::Review,
        WindowKind::WearsOff,
        WindowKind::Repeat,
    ];

    pub const ALL: [WindowKind; 7] = [
        WindowKind::Onset,
        WindowKind::FullEffect,
        WindowKind::Review,
        WindowKind::WearsOff,
        WindowKind::Repeat,
        WindowKind::MayLast,
        WindowKind::MayEnd,
    ];

    /// The name wording templates use: `w.onset`, `w.wears_off`.
    pub fn key(self) -> &'static str {
        match self {
            WindowKind::Onset => "onset",
            WindowKind::FullEffect => "full_effect",
            WindowKind::Review => "review",
            WindowKind::WearsOff => "wears_off",
            WindowKind::Repeat => "repeat",
            WindowKind::MayLast => "may_last",
            WindowKind::MayEnd => "may_end",
        }
    }
}

/// A span after treatment; `low` and `high` in `unit`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Window {
    pub kind: WindowKind,
    pub low: f64,
    pub high: f64,
    pub unit: TimeUnit,
    /// Print "about".
    #[serde(default)]
    pub about: bool,
    /// Holds for these products only; empty = for any.
    #[serde(default)]
    pub products: Vec<ProductId>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct FunctionalEffect {
    pub kind: Function,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// What a study counted: "665 people", "2,036 treatments".
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Counted {
    People,
    Treatments,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Study {
    /// A controlled trial.
    Trial,
    /// Several controlled trials, counted together.
    Pooled,
    /// A clinic's own series of patients, without a comparison group.
    Series,
    /// A figure printed on a product label.
    Label,
    /// A review that pools other studies.
    Review,
}

/// When the counted events happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Time {
    /// At some time during the study; the length was not in what we read.
    DuringStudy,
    FirstCycle,
    EachTreatment,
    Day14,
    Day30,
    Week2,
    Month3,
    Month6,
    Year1,
}

/// A published frequency: `affected` (to `affected-high`) out of `per`, with the comparison group's number where one exists.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Figure {
    pub affected: f64,
    pub affected_high: Option<f64>,
    pub per: u32,
    /// The same outcome in people who had a dummy injection, per the same `per`.
    pub placebo: Option<f64>,
    /// How many were studied (treated group).
    pub size: Option<u32>,
    pub counted: Counted,
    pub study: Study,
    pub time: Time,
    /// Products studied; empty = several or not said.
    #[serde(default)]
    pub products: Vec<ProductId>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

impl Figure {
    /// The largest share it gives, from 0 to 1.
    pub fn highest(&self) -> f64 {
        self.affected_high.unwrap_or(self.affected) / f64::from(self.per)
    }
}

/// What the patient must do about it; also the order of printing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Weight {
    /// Dangerous: act at once.
    Serious,
    /// Takes away something the patient needs (speech, chewing, sight) for a while.
    Function,
    /// Changes how the face looks or moves.
    Look,
    /// Passing discomfort at the site.
    Local,
}

/// A risk. In an area file every risk is a *required statement*: worded as `<area>.risk.<id>`.
/// In `general.toml`: `general.risk.<id>`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Risk {
    pub id: String,
    pub weight: Weight,
    /// Which functions it touches (for matching with the patient's work, music, diary).
    #[serde(default)]
    pub functions: Vec<Function>,
    #[serde(default)]
    pub figure: Vec<Figure>,
    /// The general risk that this one says for its area, with figures counted there; that one is then not printed again
    /// when every planned area says it.
    pub instead_of: Option<String>,
    /// Of a serious risk: where an official text says that no case was confirmed.
    pub none_confirmed: Option<NoneConfirmed>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// Areas in which no case of a serious risk was confirmed with a product in its official dose.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct NoneConfirmed {
    pub product: ProductId,
    pub areas: Vec<AreaId>,
}

/// An aftercare instruction this area calls for; the instruction itself is in `advice.toml`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct AdviceUse {
    pub id: AdviceId,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// Who gains little or is at more risk; worded as `<area>.poor.<id>`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PoorCandidate {
    pub id: String,
    /// Patient facts (ids of `facts.toml`) that show it.
    #[serde(default)]
    pub facts: Vec<FactId>,
    /// A fact that is a number shows it only above this.
    pub above: Option<u32>,
    /// Facts that show it when they were asked about and denied.
    #[serde(default)]
    pub denied: Vec<FactId>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// A sign without which nothing is to be gained; where it was looked for and denied, that is questioned.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct NeededSign {
    pub fact: FactId,
    #[serde(flatten)]
    pub evidence: Evidence,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DoseKind {
    /// On a product label.
    Label,
    /// Used in a published study.
    Study,
    /// An expert's or textbook's figure.
    Expert,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DosePer {
    Session,
    Side,
    Point,
    Band,
}

/// A dose that a source gives, in units of that product only.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Dose {
    pub product: ProductId,
    pub kind: DoseKind,
    /// Where the label holds: `US`, `UK`, `EU`, `CN`.
    pub place: Option<String>,
    pub low: f64,
    pub high: f64,
    /// Always `units`; spelt out so that no number stands without one.
    pub unit: DoseUnit,
    pub per: DosePer,
    /// Injection points, where given.
    pub points: Option<u32>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DoseUnit {
    Units,
}

/// Whether a product is licensed for this area in a place.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Licence {
    /// A product id, or `any`.
    pub product: String,
    /// `US`, `UK`, `EU`, `CN`, or `any`.
    pub place: String,
    pub standing: Standing,
    /// Year the licence was given, where a source says.
    pub since: Option<u16>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NumberUnit {
    /// So many in a hundred people.
    In100,
    Millimetres,
    Units,
    People,
    Hours,
    Days,
    Weeks,
    Months,
    Years,
    Rounds,
}

/// A number the wording quotes as `n.<id>` (hyphens become underscores).
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Number {
    pub id: String,
    pub low: f64,
    /// Same as `low` unless it is a range.
    pub high: f64,
    pub unit: NumberUnit,
    #[serde(default)]
    pub about: bool,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// Where a sentence of the wording comes from; worded as `<area>.<id>`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Claim {
    pub id: String,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// The rounds an area calls for.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Course {
    pub rounds_low: u32,
    pub rounds_high: u32,
    pub interval_low: f64,
    pub interval_high: f64,
    pub interval_unit: TimeUnit,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// One treatable area, or the no-treat zone.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Area {
    pub id: AreaId,
    /// Printing order, top of the face to the neck.
    pub order: u16,
    pub zone: Zone,
    pub sides: Vec<Side>,
    pub restriction: Claimed<Restriction>,
    #[serde(default)]
    pub muscle: Vec<Muscle>,
    #[serde(default)]
    pub window: Vec<Window>,
    #[serde(default)]
    pub effect: Vec<FunctionalEffect>,
    #[serde(default)]
    pub risk: Vec<Risk>,
    #[serde(default)]
    pub advice: Vec<AdviceUse>,
    #[serde(default)]
    pub needs_sign: Vec<NeededSign>,
    #[serde(default)]
    pub poor_candidate: Vec<PoorCandidate>,
    #[serde(default)]
    pub dose: Vec<Dose>,
    #[serde(default)]
    pub licence: Vec<Licence>,
    #[serde(default)]
    pub number: Vec<Number>,
    #[serde(default)]
    pub statement: Vec<Claim>,
    /// Places on the drawing of a face and neck.
    #[serde(default)]
    pub mark: Vec<super::FaceMark>,
    pub course: Option<Course>,
}

/// A value with its evidence.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Claimed<T> {
    pub value: T,
    #[serde(flatten)]
    pub evidence: Evidence,
}
