//! Turns three versions of one plan (the one two people began with, mine, theirs) into what differs, and into one again.
//! Invariant: what only one side changed is kept; what both changed is never decided here, nor what belongs together and each
//! changed a part of: no dose comes out that nobody wrote.
//! Must not: write anything but onto their text, so that the remarks of the file now on disk survive.

use std::collections::{BTreeMap, BTreeSet};

use super::aligning::aligned;
use super::fields::{AREA, COUNTED, ONCE, Part};
use super::reading::{form_of, id_of};
use super::writing::{expected, without_mark};
use super::{NotReadable, PlanForm, write, written};
use crate::diagnose::Format;
use crate::plan::Vocabulary;

/// Who changed a field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Who {
    OnlyMine,
    OnlyTheirs,
    /// Both, and not to the same; or each a part of what belongs together, like the units of an area and how they are counted.
    Both,
}

/// One field in three versions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// Its name; `area.masseter` or `event.0` alone where one side has added or removed the whole of it.
    pub field: String,
    /// Its texts, of a fact its answer and its words; of a whole area or entry its fields, each as `units: 20`, and none where it is
    /// not there.
    pub base: Vec<String>,
    pub mine: Vec<String>,
    pub theirs: Vec<String>,
    pub who: Who,
}

/// Which side counts where both changed a field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    Mine,
    Theirs,
}

/// Why versions could not be made one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotMerged {
    NotReadable,
    /// Fields that both changed and of which nobody has said which counts.
    NotChosen(Vec<String>),
}

impl From<NotReadable> for NotMerged {
    fn from(_: NotReadable) -> NotMerged {
        NotMerged::NotReadable
    }
}

impl std::fmt::Display for NotMerged {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            NotMerged::NotReadable => NotReadable.fmt(f),
            NotMerged::NotChosen(fields) => {
                write!(f, "both changed {}", fields.join(", "))
            }
        }
    }
}

impl std::error::Error for NotMerged {}

/// What is compared as one.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Unit {
    Field(String),
    /// A fact with its words.
    Fact(String),
    /// A whole area or entry.
    Whole(String),
}

impl Unit {
    /// What it belongs together with. Who asked and when is about every fact: an answer that one side took down is not to stand
    /// under the name that the other one wrote.
    fn group(&self) -> Option<String> {
        match self {
            Unit::Field(field) => group_of(field),
            Unit::Fact(_) => group_of("asked.by"),
            Unit::Whole(_) => None,
        }
    }
}

/// Fields of one area that together say one dose; and others of which half of each says what nobody meant.
const TOGETHER: [(&str, &[&str]); 8] = [
    ("area", &["side", "units", "per", "points", "product"]),
    ("area", &["round", "previous", "last_time"]),
    ("area", &["stance", "because"]),
    ("event", &["date", "until"]),
    ("history", &["date", "reason", "product", "units", "areas"]),
    (
        "answer",
        &["to", "question", "decision", "because", "by", "on"],
    ),
    (
        "product",
        &["name", "vial_units", "formulation", "diluent_ml", "batch"],
    ),
    ("asked", &["on", "by"]),
];
/// The same of a visit.
const OF_VISIT: [&[&str]; 3] = [
    &["date", "time"],
    &["informed_on", "informed_at"],
    &["prescriber", "prescriber_saw_on"],
];

/// What a field belongs together with; none for one that stands alone.
fn group_of(field: &str) -> Option<String> {
    let (part, _) = field.split_once('.')?;
    let (owner, key) = field.rsplit_once('.')?;
    let own = TOGETHER.iter().filter(|(name, _)| *name == part);
    let lists: Vec<&[&str]> = match part {
        "visit" => OF_VISIT.to_vec(),
        _ => own.map(|(_, keys)| *keys).collect(),
    };
    let place = lists.iter().position(|keys| keys.contains(&key));
    place.map(|n| format!("{owner} {n}"))
}

/// What differs between three versions, by field; nothing for what both changed to the same.
///
/// `mine` is the form that began as the form of the base. Entries that are counted (`event`, `history`, `answer`) keep the base's
/// numbers: theirs are matched by what they say, and what each side added has a number of its own.
pub fn differences(
    base: &PlanForm,
    mine: &PlanForm,
    theirs: &PlanForm,
    vocabulary: &Vocabulary,
) -> Vec<Difference> {
    let mine = expected(base, mine, vocabulary);
    let theirs = aligned(base, &mine, theirs).form;
    let found = compared(base, &mine, &theirs);
    found
        .into_iter()
        .map(|(_, difference)| difference)
        .collect()
}

/// My changes written onto their text. `chosen` names the side for each field of [`differences`] that both changed.
///
/// # Errors
/// The fields that both changed and that are not chosen; or their text cannot be taken apart or changed safely.
pub fn merge(
    base: &PlanForm,
    mine: &PlanForm,
    theirs: &str,
    format: Format,
    chosen: &BTreeMap<String, Choice>,
    vocabulary: &Vocabulary,
) -> Result<String, NotMerged> {
    let (_, text) = without_mark(theirs);
    let root = written::read(text, format)?;
    let mine = expected(base, mine, vocabulary);
    let aligned = aligned(base, &mine, &form_of(&root, vocabulary));
    let found = compared(base, &mine, &aligned.form);
    let open: Vec<String> = found
        .iter()
        .filter(|(_, found)| found.who == Who::Both && !chosen.contains_key(&found.field))
        .map(|(_, found)| found.field.clone())
        .collect();
    if !open.is_empty() {
        return Err(NotMerged::NotChosen(open));
    }
    let mut whole = aligned.form.clone();
    for (unit, found) in found {
        let is_mine = match found.who {
            Who::OnlyMine => true,
            Who::OnlyTheirs => false,
            Who::Both => chosen.get(&found.field) == Some(&Choice::Mine),
        };
        if is_mine {
            take(&mut whole, &mine, &unit);
        }
    }
    let whole = aligned.back(&whole, |part| root.several(part).len());
    Ok(write(theirs, format, &whole, vocabulary)?)
}

/// Puts what one form says about a unit into another.
fn take(into: &mut PlanForm, from: &PlanForm, unit: &Unit) {
    match unit {
        Unit::Field(field) => into.set(field, from.all(field).iter().cloned()),
        Unit::Fact(field) => {
            for field in [field.clone(), format!("{field}.said")] {
                into.set(&field, from.all(&field).iter().cloned());
            }
        }
        Unit::Whole(name) => {
            into.clear(name);
            for (field, texts) in from.part(name) {
                into.set(&format!("{name}.{field}"), texts.iter().cloned());
            }
            let Some(handle) = name.strip_prefix("area.") else {
                return;
            };
            let mut ticked: Vec<String> = into.all(AREA.name).to_vec();
            ticked.retain(|other| other != handle);
            if from.all(AREA.name).iter().any(|other| other == handle) {
                ticked.push(handle.to_owned());
            }
            into.set(AREA.name, ticked);
        }
    }
}

fn compared(base: &PlanForm, mine: &PlanForm, theirs: &PlanForm) -> Vec<(Unit, Difference)> {
    let forms = [base, mine, theirs];
    let units = units(forms);
    let groups = |form: &PlanForm| -> BTreeSet<String> {
        let changed = units
            .iter()
            .filter(|unit| texts(base, unit) != texts(form, unit));
        changed.filter_map(Unit::group).collect()
    };
    let (of_mine, of_theirs) = (groups(mine), groups(theirs));
    // each changed a part of what belongs together: somebody has to look at all of it
    let is_mixed = |unit: &Unit| {
        let group = unit.group();
        group.is_some_and(|group| of_mine.contains(&group) && of_theirs.contains(&group))
    };
    let found = units.iter().filter_map(|unit| {
        let [base, mine, theirs] = forms.map(|form| texts(form, unit));
        let who = match (base != mine, base != theirs) {
            _ if mine == theirs => return None,
            _ if matches!(unit, Unit::Field(_)) && is_mixed(unit) => Who::Both,
            (true, true) => Who::Both,
            (true, false) => Who::OnlyMine,
            (false, _) => Who::OnlyTheirs,
        };
        let (Unit::Field(field) | Unit::Fact(field) | Unit::Whole(field)) = unit;
        let difference = Difference {
            field: field.clone(),
            base,
            mine,
            theirs,
            who,
        };
        Some((unit.clone(), difference))
    });
    found.collect()
}

/// Everything that can differ, in the order of a plan.
fn units(forms: [&PlanForm; 3]) -> Vec<Unit> {
    let mut units = Vec::new();
    for part in ONCE {
        units.extend(part.keys.iter().map(|key| Unit::Field(part.field(key))));
    }
    let fields = forms.iter().flat_map(|form| form.fields());
    let facts: BTreeSet<&str> = fields
        .filter_map(|field| field.strip_prefix("fact."))
        .map(|fact| fact.strip_suffix(".said").unwrap_or(fact))
        .collect();
    units.extend(facts.iter().map(|fact| Unit::Fact(format!("fact.{fact}"))));
    let mut handles: Vec<&String> = Vec::new();
    for handle in forms.iter().flat_map(|form| form.all(AREA.name)) {
        if !handles.contains(&handle) {
            handles.push(handle);
        }
    }
    for handle in handles {
        let is_there = |form: &PlanForm| form.all(AREA.name).contains(handle);
        units.extend(of_entry(&AREA, handle, forms.map(is_there)));
    }
    for part in COUNTED {
        let numbers = forms.iter().flat_map(|form| form.numbers(part.name));
        for n in numbers.collect::<BTreeSet<usize>>() {
            let is_there = |form: &PlanForm| form.numbers(part.name).contains(&n);
            units.extend(of_entry(part, &n.to_string(), forms.map(is_there)));
        }
    }
    units
}

/// The fields of an area or entry that mine and theirs have, or the whole of one that a side has not.
fn of_entry(part: &'static Part, entry: &str, there: [bool; 3]) -> Vec<Unit> {
    match there {
        [_, true, true] => {
            let keys = part.keys.iter();
            keys.map(|key| Unit::Field(part.field_of(entry, key)))
                .collect()
        }
        _ => vec![Unit::Whole(format!("{}.{entry}", part.name))],
    }
}

fn texts(form: &PlanForm, unit: &Unit) -> Vec<String> {
    match unit {
        Unit::Field(field) => form.all(field).to_vec(),
        Unit::Fact(field) => {
            let said = form.all(&format!("{field}.said"));
            [form.all(field), said].concat()
        }
        Unit::Whole(name) => {
            let area = name.strip_prefix("area.");
            let area = area.filter(|area| form.all(AREA.name).iter().any(|own| own == area));
            let part = form.part(name);
            let fields = part
                .iter()
                .map(|(field, texts)| format!("{field}: {}", texts.join(", ")));
            let id = area.map(|handle| format!("id: {}", id_of(handle)));
            id.into_iter().chain(fields).collect()
        }
    }
}
