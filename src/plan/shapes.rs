//! Which tables and keys a plan, a clinic file and a look file hold, and what each value must be.
//!
//! Invariant: one table; the reader looks keys up in it, and `schema.rs` writes it down for other programs.
//!
//! Must not: hold a word of the catalogue; lists of words are named here and filled from the vocabulary.

use crate::diagnose::{Format, SourceFile};
use crate::domain::Side;
use crate::plan::clinic_file::BELIEVED_FEES;
use crate::plan::habits::{DAYS, HOURS};
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
    Time,
    Flag,
    /// A number above zero, in units of the product.
    Units,
    Number(Range),
    /// A whole number from 1 to this.
    Count(u32),
    Word(List),
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
    Advice,
    Sides,
    Stances,
    Counting,
    PaperSizes,
    TimeZones,
    Allowances,
}

/// The sides a fact about a patient may have.
pub(in crate::plan) const SIDES_OF_FACTS: [Side; 3] = [Side::Left, Side::Right, Side::Both];
/// What a clinic may allow itself.
pub(in crate::plan) const ALLOWANCES: [&str; 1] = ["training"];

/// Most entries of one kind in a plan.
pub(in crate::plan) const MOST_IN_PLAN: usize = 50;
/// Most practitioners and stock entries.
const MOST_IN_CLINIC: usize = 200;
/// Most lines of an address.
pub(in crate::plan) const MOST_LINES: usize = 6;

/// Every table of a plan and of a clinic file.
const TABLES: [&Shape; 12] = [
    &PATIENT,
    &VISIT,
    &PRODUCT,
    &AREA,
    &EVENT,
    &HISTORY,
    &CLINIC,
    &PRACTITIONER,
    &STOCK,
    &FEES,
    &AFTERCARE,
    &STANCE,
];

fn keys_named(name: &str) -> impl Iterator<Item = &'static Key> {
    let keys = TABLES.into_iter().flat_map(|table| table.keys);
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

const fn must(name: &'static str, holds: Holds, about: &'static str) -> Key {
    Key {
        name,
        needed: true,
        holds,
        about,
    }
}

const fn may(name: &'static str, holds: Holds, about: &'static str) -> Key {
    Key {
        name,
        needed: false,
        holds,
        about,
    }
}

const TEXT: Holds = Holds::Text(TEXT_MAX);
const SHORT: Holds = Holds::Text(SHORT_MAX);

pub(in crate::plan) const PATIENT: Shape = Shape {
    name: "patient",
    label: "[patient]",
    about: "Who comes, and what the patient told you. What is left out counts as not told.",
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
        must(
            "practitioner",
            Holds::Word(List::Practitioners),
            "Who treats: the id from the clinic file.",
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
            "product",
            Holds::Word(List::Stocked),
            "Another product, for this area only.",
        ),
        may(
            "stance",
            Holds::Word(List::Stances),
            "The practitioner's own view of this area for this patient, printed with tact.",
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
        must("date", Holds::Date, "When: year-month-day."),
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
pub(in crate::plan) const CLINIC: Shape = Shape {
    name: "clinic",
    label: "[clinic]",
    about: "The clinic, as its papers name it.",
    needed: true,
    most: 1,
    keys: &[
        must("name", TEXT, "The clinic's name."),
        must(
            "address",
            Holds::Lines(MOST_LINES),
            "Postal address, line by line.",
        ),
        must(
            "phone",
            SHORT,
            "Telephone number for patients, printed as written.",
        ),
        must(
            "phone_out_of_hours",
            SHORT,
            "Telephone number when the clinic is closed, printed as written.",
        ),
        must(
            "region",
            Holds::Word(List::Regions),
            "Where the clinic is; decides paper, emergency numbers, least age, time to think and licences.",
        ),
        must(
            "language",
            Holds::Language,
            "Language of the clinic, and of patients whose plan names no other.",
        ),
        may(
            "paper",
            Holds::Word(List::PaperSizes),
            "Paper size, if it is not that of the region.",
        ),
        may(
            "time_zone",
            Holds::Word(List::TimeZones),
            "Time zone; needed when plans give a time of day.",
        ),
        may(
            "fonts",
            TEXT,
            "A folder beside this file with fonts for scripts that the built-in ones lack.",
        ),
        may(
            "calendar_details",
            Holds::Flag,
            "true: calendar entries say what they are about.",
        ),
        may(
            "allow_unapproved",
            Holds::Word(List::Allowances),
            "For training only: leaves room to sign under words that nobody has approved.",
        ),
        may(
            "approvals",
            TEXT,
            "The file of approvals, if it is not approvals.toml.",
        ),
        may(
            "file_names",
            SHORT,
            "Pattern of file names, with {record}, {date}, {paper} and, if you like, {name}.",
        ),
        may(
            "overlay",
            TEXT,
            "A folder beside this file with the clinic's own words, look and areas.",
        ),
    ],
    more: More::No,
};
pub(in crate::plan) const PRACTITIONER: Shape = Shape {
    name: "practitioner",
    label: "[[practitioner]]",
    about: "One practitioner of the clinic.",
    needed: true,
    most: MOST_IN_CLINIC,
    keys: &[
        must("id", SHORT, "A short name that plans use, like m-varga."),
        must("name", TEXT, "The name, as printed."),
        must("role", TEXT, "The role, as printed."),
        must("registration", TEXT, "Number at the professional register."),
    ],
    more: More::No,
};
pub(in crate::plan) const STOCK: Shape = Shape {
    name: "stock",
    label: "[[stock]]",
    about: "One product and vial size in stock, and how it is made up.",
    needed: false,
    most: MOST_IN_CLINIC,
    keys: &[
        must(
            "product",
            Holds::Word(List::Products),
            "Non-proprietary name.",
        ),
        may(
            "vial_units",
            Holds::Number(VIAL_UNITS),
            "Units in one vial, in this product's own units.",
        ),
        may(
            "diluent_ml",
            Holds::Number(DILUENT_ML),
            "Millilitres of diluent put into one vial.",
        ),
    ],
    more: More::No,
};
pub(in crate::plan) const FEES: Shape = Shape {
    name: "fees",
    label: "[fees]",
    about: "What a treatment costs; printed with what a year of upkeep would cost.",
    needed: false,
    most: 1,
    keys: &[
        must(
            "currency",
            Holds::Currency,
            "Three capital letters, like GBP, EUR or USD.",
        ),
        may(
            "area",
            Holds::Numbers(List::Areas, BELIEVED_FEES),
            "The fee of each area.",
        ),
    ],
    more: More::No,
};
pub(in crate::plan) const AFTERCARE: Shape = Shape {
    name: "aftercare",
    label: "[aftercare]",
    about: "What this clinic advises in its own way.",
    needed: false,
    most: 1,
    keys: &[
        may(
            "instead",
            Holds::Words(List::Advice, usize::MAX),
            "Of two instructions that contradict each other, the one this clinic gives.",
        ),
        may(
            "hours",
            Holds::Numbers(List::Advice, HOURS),
            "Its own times in hours, by instruction.",
        ),
        may(
            "days",
            Holds::Numbers(List::Advice, DAYS),
            "Its own times in days, by instruction.",
        ),
    ],
    more: More::No,
};
/// Its keys are area ids.
pub(in crate::plan) const STANCE: Shape = Shape {
    name: "stance",
    label: "[stance]",
    about: "The practitioner's own view of each area, printed with tact.",
    needed: false,
    most: 1,
    keys: &[],
    more: More::Areas(Holds::Word(List::Stances)),
};
/// The one part of an overlay's look.toml.
pub(in crate::plan) const LOOK: Shape = Shape {
    name: "look",
    label: "[look]",
    about: "Colour and logo of the clinic's papers.",
    needed: true,
    most: 1,
    keys: &[
        may(
            "accent",
            SHORT,
            "Colour of headings: # and six hexadecimal digits.",
        ),
        may("logo", TEXT, "The file of the logo."),
        may(
            "logo_text",
            TEXT,
            "What a screen reader says in place of the logo.",
        ),
    ],
    more: More::No,
};

/// Everything a plan file may hold.
pub(in crate::plan) const PLAN: [&Shape; 6] = [&PATIENT, &VISIT, &PRODUCT, &AREA, &EVENT, &HISTORY];
/// Everything a clinic file may hold.
pub(in crate::plan) const CLINIC_FILE: [&Shape; 6] =
    [&CLINIC, &PRACTITIONER, &STOCK, &FEES, &AFTERCARE, &STANCE];

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
