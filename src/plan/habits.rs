//! Reads what a clinic does and sees in its own way: `[visits]`, `[aftercare]`, `[stance]` and `[experience]` of a clinic file.
//!
//! Invariant: only advice and areas of the vocabulary, hours above zero, stances that are known.
//!
//! Must not: judge whether a length lies within what the catalogue allows (that is a caution, not a mistake).

use std::collections::{BTreeMap, BTreeSet};

use crate::diagnose::{Code, echo, hint};
use crate::domain::{AdviceId, AreaId};
use crate::plan::numbers::Range;
use crate::plan::reader::{Field, Reader, Section, TEXT_MAX, join};
use crate::plan::tree::{Table, Value};
use crate::plan::{Experience, Stance};

/// How long an instruction may be given, in hours: up to a year.
pub(in crate::plan) const HOURS: Range = Range(0.25, 8760.0);
/// The same in days.
pub(in crate::plan) const DAYS: Range = Range(1.0, 365.0);

/// How many weeks an effect may last in a clinic's own experience: up to two years.
pub(in crate::plan) const WEEKS: Range = Range(0.5, 104.0);

/// A clinic's own choices about aftercare.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct AftercareHabits {
    /// Advice the clinic gives in place of the one it contradicts, by id.
    pub instead: BTreeSet<AdviceId>,
    /// Hours the clinic asks for, by advice id; a length written in days stands here as hours too.
    pub hours: BTreeMap<AdviceId, f64>,
}

/// What belongs to a visit in this clinic; `None`: the clinic file does not say, so the patient is told to ask.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct VisitHabits {
    /// The skin can be numbed before the injections.
    pub numbing: Option<bool>,
    /// A small further dose some days later is offered.
    pub top_up: Option<bool>,
    /// The price of a visit pays for the review too.
    pub review_included: Option<bool>,
    /// And for such a further dose.
    pub top_up_included: Option<bool>,
}

pub(in crate::plan) fn read_visits(reader: &mut Reader, section: &Section) -> VisitHabits {
    let mut said = |key| {
        let field = reader.optional(section, key)?;
        reader.flag(&field)
    };
    VisitHabits {
        numbing: said("numbing"),
        top_up: said("top_up"),
        review_included: said("review_included"),
        top_up_included: said("top_up_included"),
    }
}

pub(in crate::plan) fn read_aftercare(reader: &mut Reader, section: &Section) -> AftercareHabits {
    let mut habits = AftercareHabits::default();
    if let Some(field) = reader.optional(section, "instead") {
        let most = reader.vocabulary.advice.len();
        for item in reader.list(&field, most, "[\"rest-muscles\"]") {
            let known = reader.vocabulary.advice.iter().map(AdviceId::as_str);
            if let Some(word) = reader.word(&item, known, Code::UnknownAdvice, "advice") {
                habits.instead.insert(word.value.into());
            }
        }
    }
    for (key, unit, range, what) in [
        ("hours", 1.0, HOURS, "A time in hours"),
        ("days", 24.0, DAYS, "A time in days"),
    ] {
        if let Some(field) = reader.optional(section, key) {
            read_lengths(reader, &field, (unit, range, what), &mut habits.hours);
        }
    }
    habits
}

/// Lengths by advice, in hours or in days; `unit`: hours in one of them.
fn read_lengths(
    reader: &mut Reader,
    field: &Field,
    (unit, range, what): (f64, Range, &str),
    lengths: &mut BTreeMap<AdviceId, f64>,
) {
    let remedy = "Write the time beside the name of the advice.";
    let Some(table) = group(reader, field, remedy) else {
        return;
    };
    for entry in &table.entries {
        let at = join(&field.path, &entry.key);
        let span = entry.key_span.clone();
        if !reader.vocabulary.advice.iter().any(|id| *id == entry.key) {
            let known = reader.vocabulary.advice.iter().map(AdviceId::as_str);
            let remedy = hint(&entry.key, known, "advice");
            let problem = format!("`{}` is not a known advice.", echo(&entry.key));
            reader.report(Code::UnknownAdvice, span, &echo(&at), problem, remedy);
            continue;
        }
        if lengths.contains_key(entry.key.as_str()) {
            let problem = format!("`{}` has a time in hours and in days.", entry.key);
            let remedy = "Keep one of the two.";
            reader.report(Code::HoursAndDays, span, &at, problem, remedy);
            continue;
        }
        let field = Field {
            node: &entry.node,
            path: at,
        };
        if let Some(amount) = reader.number(&field, range, Code::HoursOutOfRange, what) {
            lengths.insert(entry.key.as_str().into(), amount * unit);
        }
    }
}

/// The practitioner's own view of each area.
pub(in crate::plan) fn read_stances(
    reader: &mut Reader,
    section: &Section,
) -> BTreeMap<AreaId, Stance> {
    let mut stances = BTreeMap::new();
    for entry in &section.table.entries {
        let field = Field {
            node: &entry.node,
            path: join(&section.path, &entry.key),
        };
        if let Some(stance) = read_stance(reader, &field) {
            stances.insert(entry.key.as_str().into(), stance);
        }
    }
    stances
}

/// How long an effect lasts in the clinic's own experience, for each area.
pub(in crate::plan) fn read_experience(
    reader: &mut Reader,
    section: &Section,
) -> BTreeMap<AreaId, Experience> {
    let mut experience = BTreeMap::new();
    for entry in &section.table.entries {
        let field = Field {
            node: &entry.node,
            path: join(&section.path, &entry.key),
        };
        if let Some(lasts) = read_lasting(reader, &field) {
            experience.insert(entry.key.as_str().into(), lasts);
        }
    }
    experience
}

/// Two numbers of weeks, the smaller first, or the clinic's own words.
fn read_lasting(reader: &mut Reader, field: &Field) -> Option<Experience> {
    let Value::List(items) = &field.node.value else {
        let words = reader.free_text(field, TEXT_MAX)?;
        return Some(Experience::Words(words.value));
    };
    let weeks: Vec<f64> = items
        .iter()
        .filter_map(|item| match item.value {
            Value::Number { amount, .. } => Some(amount),
            _ => None,
        })
        .collect();
    let Range(least, most) = WEEKS;
    match weeks[..] {
        [low, high] if items.len() == 2 && low <= high && least <= low && high <= most => {
            Some(Experience::Weeks(low, high))
        }
        _ => {
            reader.report(
                Code::ExperienceMalformed,
                field.node.span.clone(),
                &field.path,
                "This is neither two numbers of weeks nor words.",
                "Write the fewest and the most weeks, like [6, 8], or your own words in quotation marks.",
            );
            None
        }
    }
}

/// One stance, as written in a plan or a clinic file.
pub(in crate::plan) fn read_stance(reader: &mut Reader, field: &Field) -> Option<Stance> {
    let words = Stance::ALL.map(Stance::as_str);
    let word = reader.word(field, words, Code::UnknownStance, "stance")?;
    Stance::from_word(&word.value)
}

fn group<'t>(reader: &mut Reader, field: &Field<'t>, remedy: &str) -> Option<&'t Table> {
    match &field.node.value {
        Value::Table(table) => Some(table),
        _ => {
            reader.wrong_type(field, "a group of values", remedy);
            None
        }
    }
}
