//! Turns the catalogue files that concern every area (general risks, advice, facts, rules, products, regions) into typed data.
//! Invariant: as in `model`: evidence beside every medical entry, a unit beside every number.
//! Must not: decide anything; conditions are data here and are judged in `select`.

use serde::{Deserialize, Serialize};

use super::model::{Claim, Claimed, Number, Risk, Zone};
use crate::domain::{
    AdviceId, AreaId, Evidence, FactId, FactKind, Formulation, Function, Level, PageSize,
    ProductId, RegionId, RuleId, TimeUnit, Urgency,
};

/// `general.toml`: what holds for every treated area.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct General {
    /// Worded as `general.risk.<id>`.
    pub risk: Vec<Risk>,
    /// Worded as `general.serious.<id>`.
    pub serious: Vec<Risk>,
    /// Worded as `redflag.<id>`.
    pub red_flag: Vec<RedFlag>,
    /// What is normal afterwards; worded as `normal.<id>`.
    pub normal: Vec<Claim>,
    /// What is expected beside the emergency it looks like; worded as `alike.<id>`.
    pub alike: Vec<Alike>,
    /// Other choices, doing nothing first; worded as `choice.<id>`.
    pub choice: Vec<OtherChoice>,
    /// Everything else said to every patient; worded as `general.<id>`.
    pub statement: Vec<Claim>,
    #[serde(default)]
    pub number: Vec<Number>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct RedFlag {
    pub id: String,
    pub urgency: Urgency,
    /// The single signs it names. Each stands under one red flag only, so it has one urgency everywhere.
    #[serde(default)]
    pub signs: Vec<String>,
    /// Said when a planned area can take one of these away; with none, to everybody.
    #[serde(default)]
    pub functions: Vec<Function>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// An expected effect and an emergency that patients could take for each other, told apart in one statement.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Alike {
    pub id: String,
    /// The sign of a red flag that calls for the emergency number.
    pub sign: String,
    /// Said when a planned area can take one of these away for a while.
    pub functions: Vec<Function>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// What a patient can do instead.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct OtherChoice {
    pub id: String,
    /// It can only take the place of these areas, and is said where one of them is planned. Empty: always.
    #[serde(default)]
    pub only_with: Vec<AreaId>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AdviceKind {
    Do,
    Avoid,
    /// Neither needed nor forbidden; said because patients ask.
    Choice,
}

/// The date an instruction hangs on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Anchor {
    /// The day of the treatment.
    Visit,
    /// When all planned areas can be looked at.
    Review,
    /// The first day on which every planned area may be treated again.
    EarliestRepeat,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Proof {
    /// No trial was found.
    None,
    /// Trials or reviews disagree.
    Disputed,
    /// A label, regulator or professional body says so.
    Authority,
}

/// How long an instruction lasts: the range met in practice and the length printed unless the clinic sets another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Length {
    pub low: f64,
    pub high: f64,
    pub default: f64,
    pub unit: TimeUnit,
}

/// `advice.toml`: one aftercare instruction, worded as `advice.<id>`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Advice {
    pub id: AdviceId,
    pub order: u16,
    pub kind: AdviceKind,
    /// For every treatment; otherwise only where an area or zone calls for it, or one of the facts is so.
    #[serde(default)]
    pub every_visit: bool,
    #[serde(default)]
    pub facts: Vec<FactId>,
    /// With `facts`: only where a planned area can weaken one of these; empty: whatever is planned.
    #[serde(default)]
    pub functions: Vec<Function>,
    #[serde(default)]
    pub zones: Vec<Zone>,
    /// None: no end is given (for instance "call us before you stop a medicine").
    pub length: Option<Length>,
    /// Takes its date from the plan instead of a length.
    pub anchor: Option<Anchor>,
    pub proof: Proof,
    /// An instruction that says the opposite; a clinic chooses one.
    pub opposes: Option<AdviceId>,
    /// Where this one is said, that one is not: it would be read as leave to do what this one forbids.
    pub instead_of: Option<AdviceId>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct AdviceFile {
    pub advice: Vec<Advice>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FactGroup {
    Daily,
    Health,
    Medicines,
    Face,
    /// What is seen when the face moves, and what it is like.
    Signs,
    Feelings,
}

/// `facts.toml`: something the patient told us; worded as `fact.<id>` (short label).
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Fact {
    /// As written in a plan: `speaks_publicly`.
    pub id: FactId,
    pub kind: FactKind,
    pub group: FactGroup,
    /// Where it matters and nobody asked, it is asked on the check sheet itself, whatever else is.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub always_on_sheet: bool,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct FactFile {
    pub fact: Vec<Fact>,
}

/// A typed condition on one planned area at a time (or on the visit, when it names no area).
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Condition {
    All(Vec<Condition>),
    Any(Vec<Condition>),
    Not(Box<Condition>),
    /// The patient has this fact (a flag set, a side or a text given); open when it was not asked.
    Fact(FactId),
    /// The patient was asked and denied this fact; not so when nobody asked.
    Denied(FactId),
    Area(AreaId),
    Zone(Zone),
    /// The area can take this function away for a while.
    Function(Function),
    Product(ProductId),
    /// The product holds this: `human-albumin` or `milk-protein`.
    Contains(Ingredient),
    Region(RegionId),
    /// Age in whole years on the day of the visit.
    AgeUnder(u16),
    AgeAtLeast(u16),
    /// The plan gives this reason for the area.
    Reason(String),
    /// True for every planned area whose restriction is this one.
    Restriction(super::model::Restriction),
    RoundAtLeast(u32),
    /// This area was treated more recently than the label interval of its product (three months where none is known).
    PreviousWithinLabel(bool),
    /// Another area, or this one at another clinic, was treated more recently than the label interval.
    OtherWithinLabel(bool),
    /// The patient has this one-sided fact on a side that is planned.
    SameSide(FactId),
    /// Weeks since the last treatment of this area are fewer than this.
    WeeksSincePreviousUnder(u32),
    /// Weeks since the last botulinum toxin in any area are fewer than this.
    WeeksSinceAnyUnder(u32),
    /// This area is planned at the same visit.
    AlsoPlanned(AreaId),
    /// Another planned area can take away something that this area can take away too.
    SharesFunction(Sharing),
    /// More units than this are planned for the area, in the product's own units.
    UnitsAbove(f64),
    /// The plan names an earlier treatment, of a planned area or any other.
    EarlierTreatmentNamed(bool),
    /// An earlier treatment used this product or other toxin.
    EarlierProduct(ProductId),
}

/// What two planned areas have in common.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Sharing {
    /// One of these functions, at least.
    pub functions: Vec<Function>,
    /// The other area lies in one of these zones; empty: in any.
    #[serde(default)]
    pub zones: Vec<Zone>,
}

impl Condition {
    /// Every function that it asks several areas to share.
    pub fn shared_functions(&self) -> Vec<Function> {
        let mut found = match self {
            Condition::All(parts) | Condition::Any(parts) => {
                parts.iter().flat_map(Condition::shared_functions).collect()
            }
            Condition::SharesFunction(sharing) => sharing.functions.clone(),
            _ => Vec::new(),
        };
        found.sort_unstable();
        found.dedup();
        found
    }

    fn any_part(&self, test: &impl Fn(&Condition) -> bool) -> bool {
        match self {
            Condition::All(parts) | Condition::Any(parts) => {
                parts.iter().any(|part| part.any_part(test))
            }
            Condition::Not(part) => part.any_part(test),
            leaf => test(leaf),
        }
    }

    /// Looks at the time since an earlier treatment.
    pub fn is_about_interval(&self) -> bool {
        self.any_part(&|c| {
            matches!(
                c,
                Condition::PreviousWithinLabel(true) | Condition::OtherWithinLabel(true)
            )
        })
    }

    /// Looks at the product or what it contains.
    pub fn is_about_product(&self) -> bool {
        self.any_part(&|c| matches!(c, Condition::Product(_) | Condition::Contains(_)))
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ingredient {
    HumanAlbumin,
    MilkProtein,
}

/// What one authority says; the strictest wins and the clinician's sheet says so.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Authority {
    /// `US`, `UK`, `EU`.
    pub place: String,
    pub level: Level,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// `rules.toml`: patient, plan and place collide. Worded as `rule.<id>` (to the practitioner)
/// and, when `tells-patient`, `because.<id>` (to the patient).
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Rule {
    pub id: RuleId,
    pub when: Condition,
    pub level: Level,
    #[serde(default)]
    pub tells_patient: bool,
    /// Said once for the visit, not once per area.
    #[serde(default)]
    pub once: bool,
    #[serde(default)]
    pub authority: Vec<Authority>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

impl Rule {
    /// The strictest level that any authority gives it.
    pub fn strictest(&self) -> Level {
        let levels = self.authority.iter().map(|authority| authority.level);
        levels.fold(self.level, Level::max)
    }
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct RuleFile {
    pub rule: Vec<Rule>,
}

/// `needs.toml`: what an event needs of the face.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Need {
    /// As written in a plan: `speech`.
    pub id: String,
    pub functions: Vec<Function>,
    /// Aftercare instructions that speak against it while they hold.
    #[serde(default)]
    pub advice: Vec<AdviceId>,
    /// A fresh bruise would matter too.
    #[serde(default)]
    pub bruise: bool,
    #[serde(flatten)]
    pub evidence: Evidence,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct NeedFile {
    pub need: Vec<Need>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Presence {
    Yes,
    No,
    /// Our sources do not say.
    Unknown,
}

/// A statement of one label on the least time between treatments.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct LabelInterval {
    /// `US`, `UK`, `EU`.
    pub place: String,
    pub least: f64,
    pub unit: TimeUnit,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// One form in which a product is sold.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Form {
    pub formulation: Formulation,
    /// What this form holds, where that is not what stands for the product as a whole.
    pub human_albumin: Option<Claimed<Presence>>,
    pub milk_protein: Option<Claimed<Presence>>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// A vial size that a source names.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct VialSize {
    pub units: f64,
    pub unit: super::model::DoseUnit,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// How strong a label or trial makes the product up.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Dilution {
    pub place: String,
    /// The vial and what is put into it; none where the source states the strength alone.
    pub vial_units: Option<f64>,
    pub diluent_ml: Option<f64>,
    /// Units in each 0.1 mL, as the source states it.
    pub units_per_tenth_ml: f64,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// What a label says about doses added up over time.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct CumulativeLimit {
    pub place: String,
    /// Most units within `months`; none where the label only says to add them up.
    pub units: Option<f64>,
    pub unit: super::model::DoseUnit,
    pub months: u16,
    /// Which version of the label says so.
    pub label_version: String,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// A labelled total for a set of areas treated in one session.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct LabelTotal {
    pub place: String,
    pub areas: Vec<AreaId>,
    pub low: f64,
    pub high: f64,
    pub unit: super::model::DoseUnit,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// `products.toml`: a botulinum toxin type A, by non-proprietary name.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Product {
    /// The non-proprietary name, also its id.
    pub id: ProductId,
    /// More units than this in one area is taken for a slip of the keyboard, not for a dose.
    pub absurd_above: f64,
    pub units_interchangeable: Claimed<bool>,
    /// Of forms that hold different things, the one that holds more: it counts where the plan does not say which is used.
    pub human_albumin: Claimed<Presence>,
    pub milk_protein: Claimed<Presence>,
    /// The forms it is sold in; one at least.
    pub form: Vec<Form>,
    /// Vial sizes that a source names, beside those of `dilution`.
    #[serde(default)]
    pub vial: Vec<VialSize>,
    #[serde(default)]
    pub interval: Vec<LabelInterval>,
    #[serde(default)]
    pub dilution: Vec<Dilution>,
    #[serde(default)]
    pub label_total: Vec<LabelTotal>,
    #[serde(default)]
    pub cumulative: Vec<CumulativeLimit>,
    /// How long the effect was seen to last at the most, in whatever area it was studied, where that is longer than usual.
    pub longest: Option<Longest>,
}

/// A long-lasting effect.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Longest {
    pub weeks: u16,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// `products.toml`: a botulinum toxin that no visit can be planned with, but that an earlier treatment may have used.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct OtherToxin {
    /// The non-proprietary name, also its id.
    pub id: ProductId,
    /// The letter of its type, `B`.
    pub serotype: String,
    /// Other ways in which records name it; read as the id.
    #[serde(default)]
    pub also: Vec<String>,
    /// More units than this in one treatment, in its own units, are taken for a slip of the keyboard, not for a dose.
    pub absurd_above: f64,
    #[serde(flatten)]
    pub evidence: Evidence,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ProductFile {
    pub product: Vec<Product>,
    pub other_toxin: Vec<OtherToxin>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DateOrder {
    DayMonthYear,
    MonthDayYear,
    YearMonthDay,
}

/// The least age for a cosmetic injection.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct MinimumAge {
    pub years: u16,
    /// Below it: `stop` where law forbids, `ask` where it is guidance, a label or a proposal.
    pub below: Level,
    /// Not seen to be in force: a proposal, or an Act whose commencement was not read.
    #[serde(default)]
    pub proposal: bool,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// Days that must pass between written information and treatment.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct TimeToThink {
    pub days: u16,
    /// The days of information and of treatment themselves do not count.
    #[serde(default)]
    pub full_days: bool,
    /// Holds only for patients younger than this.
    pub only_under: Option<u16>,
    /// Not asked again for the same treatment within so many months.
    pub exempt_repeat_months: Option<u16>,
    #[serde(flatten)]
    pub evidence: Evidence,
}

/// `regions.toml`: what depends on the place of the clinic. A missing entry means: our sources name no figure.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Region {
    /// BCP 47 / ISO 3166-2: `US`, `GB-ENG`.
    pub id: RegionId,
    pub name: String,
    /// Whose licences apply: `US`, `UK`, `EU`; none where our sources name no licence.
    pub licence_place: Option<String>,
    pub emergency: Claimed<Vec<String>>,
    /// Advice line for urgent matters that are not an emergency.
    pub urgent: Option<Claimed<String>>,
    pub paper: Claimed<PageSize>,
    /// Type size of large print in points; none where our sources name none for this place.
    pub large_print: Option<Claimed<f64>>,
    pub date_order: Claimed<DateOrder>,
    pub minimum_age: Option<MinimumAge>,
    pub time_to_think: Option<TimeToThink>,
    /// Whoever prescribes has to see the patient face to face.
    pub face_to_face: Option<Claimed<bool>>,
    /// Guidance on treating although the practitioner advises against it.
    pub against_advice: Option<Claimed<bool>>,
    /// Where side effects are reported: a wording id `report.<id>`.
    pub report: Option<Claimed<String>>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct RegionFile {
    pub region: Vec<Region>,
}
