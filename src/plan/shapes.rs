//! Which tables and keys a plan holds, and what the value of a key can be there and in the clinic's files.
//!
//! Invariant: one table; the reader looks keys up in it, and `schema.rs` writes it down for other programs.
//!
//! Must not: hold a word of the catalogue; lists of words are named here and filled from the vocabulary.

use crate::diagnose::{Format, SourceFile};
use crate::domain::Side;
use crate::plan::clinic_shapes;
use crate::plan::numbers::{
    DILUENT_ML, MOST_POINTS, MOST_REVISIONS, MOST_ROUNDS, Range, VIAL_UNITS,
};
use crate::plan::reader::{SHORT_MAX, TEXT_MAX};

/// The keys of one table.
#[derive(Debug)]
pub(in crate::plan) struct Shape {
    /// Its key in the file.
    pub name: &'static str,
    /// How its heading is written; with double brackets it may come more than once.
    pub label: &'static str,
    /// What it is for, in a sentence for somebody who writes the file.
    pub about: &'static str,
    /// The file must have it, at least once.
    pub needed: bool,
    /// How often it is read; beyond that the file is something else.
    pub most: usize,
    pub keys: &'static [Key],
    pub more: More,
}

/// One key of a table.
#[derive(Debug)]
pub(in crate::plan) struct Key {
    pub name: &'static str,
    pub needed: bool,
    pub holds: Holds,
    /// What it is for, in a sentence for somebody who writes the file.
    pub about: &'static str,
}

/// Keys of a table that the catalogue names.
#[derive(Debug)]
pub(in crate::plan) enum More {
    No,
    /// Every fact about a patient, each given in its own way.
    Facts,
    /// Every area, each with a value like this.
    Areas(Holds),
}

/// What the value of a key must be.
#[derive(Debug, Clone, Copy)]
pub(in crate::plan) enum Holds {
    /// At most so many characters, and not nothing.
    Text(usize),
    Date,
    /// A day, or a month as text.
    DateOrMonth,
    Time,
    Flag,
    /// A number above zero, in units of the product.
    Units,
    Number(Range),
    /// A whole number from 1 to this.
    Count(u32),
    Word(List),
    /// Two numbers within the range, the smaller first, or a text.
    SpanOrText(Range),
    /// A list of words, at most so many.
    Words(List, usize),
    /// A text, or a list of at most so many.
    Lines(usize),
    /// A language tag that some wording serves.
    Language,
    /// Three capital letters.
    Currency,
    /// A group of numbers, each beside a word of the list.
    Numbers(List, Range),
}

/// A list of words, filled from the vocabulary and the clinic file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::plan) enum List {
    Areas,
    /// What a visit can be planned with; of a clinic that lists its stock, what is in it.
    Stocked,
    /// What a visit can be planned with.
    Products,
    /// The same, and what an earlier treatment may have used besides.
    EarlierProducts,
    /// Practitioners of the clinic, when one is known.
    Practitioners,
    Regions,
    Needs,
    Reasons,
    /// Why an earlier treatment was given.
    EarlierReasons,
    Advice,
    Sides,
    Stances,
    Formulations,
    Counting,
    PaperSizes,
    TimeZones,
    Allowances,
    /// Facts about a patient.
    Facts,
    /// Cautions that may ask something.
    Cautions,
    Decisions,
}

/// The sides a fact about a patient may have.
pub(in crate::plan) const SIDES_OF_FACTS: [Side; 3] = [Side::Left, Side::Right, Side::Both];

/// The greatest number a fact about a patient may be.
pub(in crate::plan) const MOST_OF_A_FACT: u32 = 50;
/// Most entries of one kind in a plan.
pub(in crate::plan) const MOST_IN_PLAN: usize = 50;

/// The keys of this name in a plan and in a clinic file.
fn keys_named(name: &str) -> impl Iterator<Item = &'static Key> {
    let tables = PLAN.into_iter().chain(clinic_shapes::CLINIC_FILE);
    let keys = tables.flat_map(|table| table.keys);
    keys.filter(move |key| key.name == name)
}

/// Some table has such a key.
pub(in crate::plan) fn is_a_key(name: &str) -> bool {
    keys_named(name).next().is_some()
}

/// A number stands behind this key wherever it may stand.
pub(in crate::plan) fn takes_a_number(name: &str) -> bool {
    let number = |key: &Key| matches!(key.holds, Holds::Units | Holds::Number(_) | Holds::Count(_));
    is_a_key(name) && keys_named(name).all(number)
}

pub(in crate::plan) const fn must(name: &'static str, holds: Holds, about: &'static str) -> Key {
    Key {
        name,
        needed: true,
        holds,
        about,
    }
}

pub(in crate::plan) const fn may(name: &'static str, holds: Holds, about: &'static str) -> Key {
    Key {
        name,
        needed: false,
        holds,
        about,
    }
}

pub(in crate::plan) const TEXT: Holds = Holds::Text(TEXT_MAX);
pub(in crate::plan) const SHORT: Holds = Holds::Text(SHORT_MAX);

pub(in crate::plan) const PATIENT: Shape = Shape {
    name: "patient",
    label: "[patient]",
    about: "Who comes, and what the patient told you: true, false or \"not-sure\". What is left out counts as not asked.",
    needed: true,
    most: 1,
    keys: &[
        must("name", TEXT, "The patient's name, as on the record."),
        must("born", Holds::Date, "Date of birth: year-month-day."),
        must("record", SHORT, "Record number, the second identifier."),
        may(
            "language",
            Holds::Language,
            "Language of the patient's papers, if it is not the clinic's own.",
        ),
        may(
            "large_print",
            Holds::Flag,
            "The patient's papers in large print.",
        ),
    ],
    more: More::Facts,
};
pub(in crate::plan) const VISIT: Shape = Shape {
    name: "visit",
    label: "[visit]",
    about: "When the visit is, and who treats.",
    needed: true,
    most: 1,
    keys: &[
        must("date", Holds::Date, "Day of the visit: year-month-day."),
        may(
            "time",
            Holds::Time,
            "Time of the visit with 24 hours; then the aftercare sheet says until what hour.",
        ),
        may(
            "informed_on",
            Holds::Date,
            "The day the written information was given.",
        ),
        may(
            "informed_at",
            Holds::Time,
            "The time it was given; counts where a waiting time is counted in hours.",
        ),
        must(
            "practitioner",
            Holds::Word(List::Practitioners),
            "Who treats: the id from the clinic file.",
        ),
        may(
            "prescriber",
            Holds::Word(List::Practitioners),
            "Who prescribes, if it is somebody else: the id from the clinic file.",
        ),
        may(
            "prescriber_saw_on",
            Holds::Date,
            "The day the prescriber saw the patient face to face: year-month-day.",
        ),
        may(
            "revision",
            Holds::Count(MOST_REVISIONS),
            "How often the papers of this visit were made anew with changes; left out the first time.",
        ),
    ],
    more: More::No,
};
pub(in crate::plan) const PRODUCT: Shape = Shape {
    name: "product",
    label: "[product]",
    about: "The botulinum toxin type A that is used, unless an area names another.",
    needed: true,
    most: 1,
    keys: &[
        must("name", Holds::Word(List::Stocked), "Non-proprietary name."),
        may(
            "vial_units",
            Holds::Number(VIAL_UNITS),
            "Units in one vial, in this product's own units; from the clinic's stock if left out.",
        ),
        may(
            "formulation",
            Holds::Word(List::Formulations),
            "Whether it is a powder or a ready-made liquid; from the clinic's stock if left out.",
        ),
        may(
            "diluent_ml",
            Holds::Number(DILUENT_ML),
            "Millilitres of diluent put into one vial; from the clinic's stock if left out.",
        ),
        may("batch", SHORT, "Batch (lot) number."),
    ],
    more: More::No,
};
pub(in crate::plan) const AREA: Shape = Shape {
    name: "area",
    label: "[[area]]",
    about: "One area to be treated; each area once.",
    needed: true,
    most: MOST_IN_PLAN,
    keys: &[
        must("id", Holds::Word(List::Areas), "Which area."),
        may(
            "side",
            Holds::Word(List::Sides),
            "Which side, the patient's left or right; needed where the area has more than one.",
        ),
        may(
            "units",
            Holds::Units,
            "Planned units, in the product's own units; left out while they are not decided.",
        ),
        may(
            "per",
            Holds::Word(List::Counting),
            "What the units are counted for: the whole area (total), each side, or each point.",
        ),
        may(
            "points",
            Holds::Count(MOST_POINTS),
            "Injection points of the whole area, both sides together.",
        ),
        may(
            "aim",
            TEXT,
            "What the patient wants, in the patient's own words.",
        ),
        may(
            "reason",
            Holds::Word(List::Reasons),
            "Why; some areas are treated for one reason only.",
        ),
        may(
            "round",
            Holds::Count(MOST_ROUNDS),
            "Which treatment of this area it is, 1 for the first.",
        ),
        may(
            "previous",
            Holds::Date,
            "The day this area was treated last: year-month-day.",
        ),
        may(
            "last_time",
            TEXT,
            "How that last treatment went, in the patient's or the practitioner's own words; printed.",
        ),
        may(
            "product",
            Holds::Word(List::Stocked),
            "Another product, for this area only.",
        ),
        may(
            "stance",
            Holds::Word(List::Stances),
            "The practitioner's own view of this area for this patient, printed with tact.",
        ),
        may(
            "stance_because",
            TEXT,
            "Why, in the practitioner's own words; printed beside the view.",
        ),
    ],
    more: More::No,
};
pub(in crate::plan) const EVENT: Shape = Shape {
    name: "event",
    label: "[[event]]",
    about: "Something the patient has planned.",
    needed: false,
    most: MOST_IN_PLAN,
    keys: &[
        must("date", Holds::Date, "When: year-month-day."),
        may(
            "until",
            Holds::Date,
            "The last day, if it goes on for several: year-month-day.",
        ),
        must("what", TEXT, "What, in the patient's own words."),
        may(
            "needs",
            Holds::Words(List::Needs, MOST_IN_PLAN),
            "What it needs of the face.",
        ),
    ],
    more: More::No,
};
pub(in crate::plan) const HISTORY: Shape = Shape {
    name: "history",
    label: "[[history]]",
    about: "An earlier treatment with botulinum toxin, here or elsewhere.",
    needed: false,
    most: MOST_IN_PLAN,
    keys: &[
        must(
            "date",
            Holds::DateOrMonth,
            "When: year-month-day, or \"year-month\" if the day is not known; a month counts as its last day.",
        ),
        may(
            "reason",
            Holds::Word(List::EarlierReasons),
            "Why, if known; what was given for an illness counts like the rest.",
        ),
        may(
            "product",
            Holds::Word(List::EarlierProducts),
            "Non-proprietary name, if known; type B too.",
        ),
        may(
            "units",
            Holds::Units,
            "Units of the whole treatment, in that product's own units, if known.",
        ),
        may(
            "areas",
            Holds::Words(List::Areas, MOST_IN_PLAN),
            "Which areas, if known.",
        ),
    ],
    more: More::No,
};
pub(in crate::plan) const ASKED: Shape = Shape {
    name: "asked",
    label: "[asked]",
    about: "Who asked the patient, and when. What is neither here nor under [patient] counts as not asked.",
    needed: false,
    most: 1,
    keys: &[
        must(
            "on",
            Holds::Date,
            "The day the patient was asked: year-month-day.",
        ),
        must("by", TEXT, "Who asked: a name or a role."),
        may(
            "no",
            Holds::Words(List::Facts, usize::MAX),
            "What the patient was asked and denied; the same as `= false` under [patient].",
        ),
    ],
    more: More::No,
};
pub(in crate::plan) const ANSWER: Shape = Shape {
    name: "answer",
    label: "[[answer]]",
    about: "What the practitioner decided about one question of this plan. A `stop` cannot be answered.",
    needed: false,
    most: MOST_IN_PLAN,
    keys: &[
        must(
            "to",
            Holds::Word(List::Cautions),
            "Which caution asks, by the name that `check` prints beside it.",
        ),
        may(
            "question",
            SHORT,
            "The question's code, as `check` prints it. Another code means that what it rested on has changed.",
        ),
        must(
            "decision",
            Holds::Word(List::Decisions),
            "What was decided: go ahead, change the plan first, or do not treat.",
        ),
        must("because", TEXT, "Why, in a sentence."),
        must(
            "by",
            Holds::Word(List::Practitioners),
            "Who decided: the id from the clinic file.",
        ),
        must(
            "on",
            Holds::Date,
            "The day of the decision: year-month-day.",
        ),
    ],
    more: More::No,
};

/// Everything a plan file may hold.
pub(in crate::plan) const PLAN: [&Shape; 8] = [
    &PATIENT, &ASKED, &VISIT, &PRODUCT, &AREA, &EVENT, &HISTORY, &ANSWER,
];
impl Shape {
    /// The key of this name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }

    /// The names of its keys.
    pub fn names(&self) -> impl Iterator<Item = &'static str> + Clone + use<> {
        self.keys.iter().map(|key| key.name)
    }

    /// Whether it may come more than once.
    pub fn is_repeated(&self) -> bool {
        self.label.starts_with("[[")
    }

    /// The table's name as a user of this file format writes it.
    pub fn shown(&self, source: &SourceFile) -> String {
        match source.format() {
            Format::Toml => self.label.to_owned(),
            Format::Json => format!("\"{}\"", self.name),
        }
    }

    /// How the table is written into a file of this format.
    pub fn written(&self, source: &SourceFile) -> String {
        match (source.format(), self.is_repeated()) {
            (Format::Toml, false) => format!("the heading {}, and its values below it", self.label),
            (Format::Toml, true) => {
                format!(
                    "the heading {} with double brackets, and its values below it",
                    self.label
                )
            }
            (Format::Json, false) => format!("\"{}\": {{ … }}", self.name),
            (Format::Json, true) => format!("\"{}\": [ {{ … }} ]", self.name),
        }
    }
}
