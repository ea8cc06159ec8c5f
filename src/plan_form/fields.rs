//! The one table of fields: which key of which part of a plan each shows, and what is typed into it.
//! Invariant: every key that a plan can have is here, but the id of an area and the list of denied facts, which the form shows in
//! its own way.
//! Must not: know how a value is written.

/// What is typed into a field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Words of one's own, or one of a list.
    Text,
    Date,
    /// A day, or a month alone.
    DateOrMonth,
    Time,
    Number,
    /// `yes`, or nothing.
    Flag,
    /// Several words of a list.
    Words,
}

/// One field and the key it shows.
#[derive(Debug)]
pub(super) struct Shown {
    /// The end of the field's name.
    pub field: &'static str,
    pub key: &'static str,
    pub kind: Kind,
}

/// One part of a plan.
#[derive(Debug)]
pub(super) struct Part {
    /// Its key in the file, and the beginning of its fields' names.
    pub name: &'static str,
    /// It comes as often as somebody needs it.
    pub repeated: bool,
    /// In the order in which they are written.
    pub keys: &'static [Shown],
}

const fn same(key: &'static str, kind: Kind) -> Shown {
    Shown {
        field: key,
        key,
        kind,
    }
}

pub(super) const PATIENT: Part = Part {
    name: "patient",
    repeated: false,
    keys: &[
        same("name", Kind::Text),
        same("born", Kind::Date),
        same("record", Kind::Text),
        same("language", Kind::Text),
        same("large_print", Kind::Flag),
    ],
};
pub(super) const ASKED: Part = Part {
    name: "asked",
    repeated: false,
    keys: &[same("on", Kind::Date), same("by", Kind::Text)],
};
pub(super) const VISIT: Part = Part {
    name: "visit",
    repeated: false,
    keys: &[
        same("date", Kind::Date),
        same("time", Kind::Time),
        same("informed_on", Kind::Date),
        same("informed_at", Kind::Time),
        same("practitioner", Kind::Text),
        same("prescriber", Kind::Text),
        same("prescriber_saw_on", Kind::Date),
        same("revision", Kind::Number),
    ],
};
pub(super) const PRODUCT: Part = Part {
    name: "product",
    repeated: false,
    keys: &[
        same("name", Kind::Text),
        same("vial_units", Kind::Number),
        same("formulation", Kind::Text),
        same("diluent_ml", Kind::Number),
        same("batch", Kind::Text),
    ],
};
pub(super) const AREA: Part = Part {
    name: "area",
    repeated: true,
    keys: &[
        same("side", Kind::Text),
        same("units", Kind::Number),
        same("per", Kind::Text),
        same("points", Kind::Number),
        same("aim", Kind::Text),
        same("reason", Kind::Text),
        same("round", Kind::Number),
        same("previous", Kind::Date),
        same("last_time", Kind::Text),
        same("product", Kind::Text),
        same("stance", Kind::Text),
        Shown {
            field: "because",
            key: "stance_because",
            kind: Kind::Text,
        },
    ],
};
pub(super) const EVENT: Part = Part {
    name: "event",
    repeated: true,
    keys: &[
        same("date", Kind::Date),
        same("until", Kind::Date),
        same("what", Kind::Text),
        same("needs", Kind::Words),
    ],
};
pub(super) const HISTORY: Part = Part {
    name: "history",
    repeated: true,
    keys: &[
        same("date", Kind::DateOrMonth),
        same("reason", Kind::Text),
        same("product", Kind::Text),
        same("units", Kind::Number),
        same("areas", Kind::Words),
    ],
};
pub(super) const ANSWER: Part = Part {
    name: "answer",
    repeated: true,
    keys: &[
        same("to", Kind::Text),
        same("question", Kind::Text),
        same("decision", Kind::Text),
        same("because", Kind::Text),
        same("by", Kind::Text),
        same("on", Kind::Date),
    ],
};

/// What comes once, in the order of our samples.
pub(super) const ONCE: [&Part; 4] = [&PATIENT, &ASKED, &VISIT, &PRODUCT];
/// What is counted: its fields have a number in their names.
pub(super) const COUNTED: [&Part; 3] = [&EVENT, &HISTORY, &ANSWER];
/// Everything, in the order in which a new plan has it.
pub(super) const ORDER: [&Part; 8] = [
    &PATIENT, &ASKED, &VISIT, &PRODUCT, &AREA, &EVENT, &HISTORY, &ANSWER,
];

/// The list of denied facts under `[asked]`.
pub(super) const DENIED: &str = "no";
/// The key with an area's name.
pub(super) const ID: &str = "id";

impl Part {
    /// The name of a field of a part that comes once.
    pub fn field(&self, shown: &Shown) -> String {
        format!("{}.{}", self.name, shown.field)
    }

    /// The name of a field of one entry: of an area by its handle, else by its number.
    pub fn field_of(&self, entry: &str, shown: &Shown) -> String {
        format!("{}.{entry}.{}", self.name, shown.field)
    }

    /// The names of the parts that are written before this one.
    pub fn before(&self) -> Vec<&'static str> {
        let names = ORDER.iter().map(|part| part.name);
        names.take_while(|name| *name != self.name).collect()
    }
}

/// The name of the field that says whether a fact is so.
pub(super) fn fact(id: &str) -> String {
    format!("fact.{id}")
}

/// The name of the field with the words or the number of a fact.
pub(super) fn said(id: &str) -> String {
    format!("fact.{id}.said")
}
