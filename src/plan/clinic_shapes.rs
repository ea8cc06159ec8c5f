//! Which tables and keys a clinic file and a look file hold, and what each value must be.
//!
//! Invariant: one table; the reader looks keys up in it, and `schema.rs` writes it down for other programs.
//!
//! Must not: hold a word of the catalogue; lists of words are named here and filled from the vocabulary.

use crate::plan::clinic_file::BELIEVED_FEES;
use crate::plan::habits::{DAYS, HOURS, WEEKS};
use crate::plan::numbers::{DILUENT_ML, VIAL_UNITS};
use crate::plan::shapes::{Holds, List, More, SHORT, Shape, TEXT, may, must};

/// What a clinic may allow itself.
pub(in crate::plan) const ALLOWANCES: [&str; 1] = ["training"];
/// Most practitioners and stock entries.
pub(in crate::plan) const MOST_IN_CLINIC: usize = 200;
/// Most lines of an address.
pub(in crate::plan) const MOST_LINES: usize = 6;

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
        may(
            "opening_hours",
            SHORT,
            "When somebody answers the telephone, printed as written on every aftercare sheet.",
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
        may(
            "prescribes",
            Holds::Flag,
            "false: somebody else has to prescribe, and plans name who.",
        ),
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
            "formulation",
            Holds::Word(List::Formulations),
            "Whether it is a powder or a ready-made liquid.",
        ),
        may(
            "diluent_ml",
            Holds::Number(DILUENT_ML),
            "Millilitres of diluent put into one vial.",
        ),
        may(
            "licensed_for",
            Holds::Words(List::Areas, MOST_IN_CLINIC),
            "Areas that its official product information names; counts where the program does not know.",
        ),
        may(
            "off_label_for",
            Holds::Words(List::Areas, MOST_IN_CLINIC),
            "Areas that it does not name; counts where the program does not know.",
        ),
    ],
    more: More::No,
};
pub(in crate::plan) const TRANSLATION: Shape = Shape {
    name: "translation",
    label: "[[translation]]",
    about: "How a role, the opening hours or words of experience are said to patients who read another language.",
    needed: false,
    most: MOST_IN_CLINIC,
    keys: &[
        must("text", TEXT, "The words as this file has them."),
        must("language", Holds::Language, "The language of the papers."),
        must("says", TEXT, "What these papers print in their place."),
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
pub(in crate::plan) const VISITS: Shape = Shape {
    name: "visits",
    label: "[visits]",
    about: "What belongs to a visit in this clinic; of what is not said, the papers tell the patient to ask.",
    needed: false,
    most: 1,
    keys: &[
        may(
            "numbing",
            Holds::Flag,
            "true: the skin can be numbed before the injections.",
        ),
        may(
            "top_up",
            Holds::Flag,
            "true: a small further dose (a top-up) is offered; false: it is not.",
        ),
        may(
            "review_included",
            Holds::Flag,
            "true: the price of a visit pays for the review too.",
        ),
        may(
            "top_up_included",
            Holds::Flag,
            "true: the price of a visit pays for a top-up too.",
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
/// Its keys are area ids.
pub(in crate::plan) const EXPERIENCE: Shape = Shape {
    name: "experience",
    label: "[experience]",
    about: "How long the effect lasts in this clinic's own experience: weeks from and to, like [6, 8], or words. Printed as such beside what studies found.",
    needed: false,
    most: 1,
    keys: &[],
    more: More::Areas(Holds::SpanOrText(WEEKS)),
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

/// Everything a clinic file may hold.
pub(in crate::plan) const CLINIC_FILE: [&Shape; 9] = [
    &CLINIC,
    &PRACTITIONER,
    &STOCK,
    &TRANSLATION,
    &FEES,
    &VISITS,
    &AFTERCARE,
    &STANCE,
    &EXPERIENCE,
];
