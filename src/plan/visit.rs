//! One planned visit as plain data.
//!
//! Invariant: kept by the reader, see [`crate::plan`]; the fields are public, and whoever builds a `Visit` by hand keeps
//! it too.
//!
//! Must not: hold anything the documents say. Those words come from the wording.

use std::collections::BTreeMap;
use std::ops::Range;

use jiff::civil::{Date, Time};
use unic_langid::LanguageIdentifier;

use crate::domain::{
    AreaId, CautionId, Decision, EarlierReason, FactId, Formulation, Per, PractitionerId,
    ProductId, QuestionCode, Side, Stance,
};

/// One visit, as planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// Who comes.
    pub patient: Patient,
    /// Day of the visit, in the clinic's place.
    pub date: Date,
    /// Time of the visit, in the clinic's place.
    pub time: Option<Time>,
    /// Day on which the patient was given the written information.
    pub informed_on: Option<Date>,
    /// Time of that day.
    pub informed_at: Option<Time>,
    /// Who prescribes, where it is not the one who treats; id in the clinic file.
    pub prescriber: Option<PractitionerId>,
    /// Day on which the prescriber saw the patient face to face.
    pub prescriber_saw_on: Option<Date>,
    /// Id of the practitioner in the clinic file.
    pub practitioner: PractitionerId,
    /// How often the papers of this visit have been made anew with changes; `None`: the first time.
    pub revision: Option<u32>,
    /// What is used, unless an area says otherwise.
    pub product: Product,
    /// At least one, in the order of the file; no area twice.
    pub areas: Vec<PlannedArea>,
    /// What the patient has planned, in the order of the file.
    pub events: Vec<Event>,
    /// Earlier botulinum toxin treatments, in the order of the file.
    pub history: Vec<EarlierTreatment>,
    /// Who asked the patient, and when; `None`: not recorded.
    pub asked: Option<Asked>,
    /// What the practitioner decided about questions, in the order of the file.
    pub answers: Vec<Answer>,
    /// Every free text of the file with its place.
    pub texts: Vec<UserText>,
}

impl Visit {
    /// The product used in an area: its own, or else that of the visit.
    pub fn product_of<'v>(&'v self, area: &'v PlannedArea) -> &'v Product {
        area.product.as_ref().unwrap_or(&self.product)
    }

    /// The form of a product at this visit, where the plan or the stock says it.
    pub fn formulation_of(&self, product: &ProductId) -> Option<Formulation> {
        let of_areas = self.areas.iter().map(|area| self.product_of(area));
        of_areas
            .filter(|used| used.name == *product)
            .find_map(|used| used.formulation)
    }
}

/// The patient.
#[derive(Debug, Clone, PartialEq)]
pub struct Patient {
    /// Name as written; up to 200 characters.
    pub name: String,
    /// Date of birth.
    pub born: Date,
    /// Record number, the second identifier; up to 40 characters.
    pub record: String,
    /// The patient's language, or else the clinic's; `None` only when the plan is silent and no clinic file was given.
    pub language: Option<LanguageIdentifier>,
    /// The patient's papers are wanted in large print.
    pub large_print: bool,
    /// Facts by id; a fact that the plan leaves out was not asked, which is never the same as "no".
    pub facts: BTreeMap<FactId, FactValue>,
}

/// Whole years on a day. Somebody born on 29 February has the birthday on 1 March in other years, the cautious choice.
pub fn age_on(born: Date, day: Date) -> i16 {
    let had_birthday = (day.month(), day.day()) >= (born.month(), born.day());
    day.year() - born.year() - i16::from(!had_birthday)
}

/// What a plan says about one fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FactValue {
    /// Asked, and it is not so.
    No,
    /// Asked, and the patient does not know.
    NotSure,
    /// Asked, and it is so.
    Yes,
    /// Left, right or both; never midline.
    Side(Side),
    /// The patient's or clinic's own words.
    Text(String),
    /// A whole number above zero; zero is read as `No`.
    Number(u32),
}

impl FactValue {
    /// How "the patient does not know" is written, whatever kind of fact it is.
    pub const NOT_SURE: &'static str = "not-sure";

    /// Whether it is so; `None` when the patient does not know.
    pub fn is_so(&self) -> Option<bool> {
        match self {
            FactValue::No => Some(false),
            FactValue::NotSure => None,
            FactValue::Yes | FactValue::Side(_) | FactValue::Text(_) | FactValue::Number(_) => {
                Some(true)
            }
        }
    }
}

/// A product with its dilution.
#[derive(Debug, Clone, PartialEq)]
pub struct Product {
    /// Non-proprietary name, from the vocabulary.
    pub name: ProductId,
    /// Units in one vial, in this product's own units.
    pub vial_units: Option<f64>,
    /// Powder or ready-made liquid; `None`: not said.
    pub formulation: Option<Formulation>,
    /// Diluent put into one vial, in millilitres.
    pub diluent_ml: Option<f64>,
    /// Batch (lot) number.
    pub batch: Option<String>,
}

/// One area of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedArea {
    /// From the vocabulary.
    pub id: AreaId,
    /// One of the sides this area can have.
    pub side: Side,
    /// Planned units, when decided.
    pub units: Option<Units>,
    /// Number of injection points of the whole area, when decided.
    pub points: Option<u32>,
    /// What the patient wants, in the patient's own words.
    pub aim: Option<String>,
    /// Why, from the vocabulary.
    pub reason: Option<String>,
    /// Which treatment of this area it is, 1 to 20; `None`: not said.
    pub round: Option<u32>,
    /// Day of the treatment before this one.
    pub previous: Option<Date>,
    /// How that treatment went, in the patient's or the practitioner's own words.
    pub last_time: Option<String>,
    /// The practitioner's own view of this area for this patient.
    pub stance: Option<Stance>,
    /// Why, in the practitioner's own words.
    pub stance_because: Option<String>,
    /// Another product for this area only; dilution from the clinic's stock, no batch number.
    pub product: Option<Product>,
    /// Bytes of the entry's heading in the plan file, for a later stage that has to point at it.
    pub span: Range<usize>,
}

/// An amount of units of one area, as the plan gives it. Units are the product's own and do not convert.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Units {
    /// The number written in the plan; above zero.
    pub amount: f64,
    /// What the number is counted for.
    pub per: Per,
    /// Injection points of the whole area, both sides together.
    pub points: Option<u32>,
}

impl Units {
    /// Units of the whole area: twice the amount when it is per side and both sides are treated; the amount times the
    /// points when it is per point (`None` when their number is not known).
    pub fn total(&self, side: Side) -> Option<f64> {
        match self.per {
            Per::Total => Some(self.amount),
            Per::Side if side == Side::Both => Some(self.amount * 2.0),
            Per::Side => Some(self.amount),
            Per::Point => self.points.map(|points| self.amount * f64::from(points)),
        }
    }
}

/// Something the patient has planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// On or after the day of the visit.
    pub date: Date,
    /// Its last day, when it goes on for several; after `date`.
    pub until: Option<Date>,
    /// In the patient's own words.
    pub what: String,
    /// What it needs of the face, from the vocabulary, each once.
    pub needs: Vec<String>,
}

impl Event {
    /// Its last day.
    pub fn last(&self) -> Date {
        self.until.unwrap_or(self.date)
    }
}

/// A botulinum toxin treatment before this visit.
#[derive(Debug, Clone, PartialEq)]
pub struct EarlierTreatment {
    /// Before the day of the visit. Of a month without a day its last, which is the cautious choice for intervals.
    pub date: Date,
    /// The plan names only the month.
    pub month_only: bool,
    /// Why it was given, if known.
    pub reason: Option<EarlierReason>,
    /// A product or another toxin of the vocabulary, if known.
    pub product: Option<ProductId>,
    /// Units of the whole treatment, if known.
    pub units: Option<f64>,
    /// From the vocabulary, each once; empty: not said.
    pub areas: Vec<AreaId>,
}

/// Who asked the patient about facts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// Not after the visit.
    pub on: Date,
    /// Name or role, as written.
    pub by: String,
}

/// What a practitioner decided about one question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// The caution that asks.
    pub to: CautionId,
    /// The code that the question had when it was answered; `None`: not written, so nobody can tell what it rested on.
    pub question: Option<QuestionCode>,
    pub decision: Decision,
    /// Why, in the practitioner's words.
    pub because: String,
    /// Id of a practitioner in the clinic file.
    pub by: PractitionerId,
    /// Not after the visit.
    pub on: Date,
}

/// A free text of the file, for a later stage that finds a character no font can print.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UserText {
    /// Where in the structure, e.g. `area[0].aim`.
    pub path: String,
    /// The text.
    pub text: String,
    /// Bytes of the value in the source text, quotation marks included.
    pub span: Range<usize>,
}

#[cfg(test)]
mod tests {
    use crate::plan::{Per, Side, Units, age_on};
    use jiff::civil::date;

    #[test]
    fn age_turns_on_the_birthday() {
        assert_eq!(age_on(date(2008, 12, 3), date(2026, 12, 2)), 17);
        assert_eq!(age_on(date(2008, 12, 3), date(2026, 12, 3)), 18);
        assert_eq!(age_on(date(2008, 2, 29), date(2026, 2, 28)), 17);
        assert_eq!(age_on(date(2008, 2, 29), date(2026, 3, 1)), 18);
        assert_eq!(age_on(date(2008, 2, 29), date(2028, 2, 29)), 20);
    }

    #[test]
    fn units_add_up_to_the_whole_area() {
        let units = |amount, per, points| Units {
            amount,
            per,
            points,
        };
        assert_eq!(units(50.0, Per::Total, None).total(Side::Both), Some(50.0));
        assert_eq!(units(25.0, Per::Side, None).total(Side::Both), Some(50.0));
        assert_eq!(units(25.0, Per::Side, None).total(Side::Left), Some(25.0));
        assert_eq!(units(4.0, Per::Side, None).total(Side::Midline), Some(4.0));
        assert_eq!(
            units(4.0, Per::Point, Some(6)).total(Side::Both),
            Some(24.0)
        );
        assert_eq!(
            units(4.0, Per::Point, Some(6)).total(Side::Left),
            Some(24.0)
        );
        assert_eq!(units(4.0, Per::Point, None).total(Side::Both), None);
    }
}
