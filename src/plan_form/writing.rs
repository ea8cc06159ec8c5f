//! Turns a text and a form into the text with those places changed where the form says something else.
//! Invariant: `write(text, of(text))` is `text`, byte for byte; what is returned reads back as the form.
//! Must not: change what the form does not know.

use std::collections::{BTreeMap, BTreeSet};

use super::changes::{Change, Forced, changes};
use super::fields::{AREA, COUNTED, ONCE, Part, fact as fact_field, said as said_field};
use super::reading::{form_of, id_of};
use super::values::{fact_shown_again, fact_typed, shown_again, typed};
use super::{NotReadable, PlanForm, json_text, toml_text, written};
use crate::diagnose::Format;
use crate::plan::Vocabulary;

/// The base text with those places changed where the form says something other than the base said.
///
/// An empty base is a new plan, in the order and look of our samples. An empty field takes its key away, an area that is no longer
/// ticked or an `event`, `history` or `answer` without a field takes its whole entry away, with the remarks that belong to it. A
/// remark behind a key that is taken away stays, on its own line. JSON is written anew when anything in it changes: in the same order, but
/// with our spaces.
///
/// # Errors
/// The base cannot be taken apart, or it is written in a way in which it cannot be changed safely: what was written is read again,
/// and must say what the form says.
pub fn write(
    base: &str,
    format: Format,
    form: &PlanForm,
    vocabulary: &Vocabulary,
) -> Result<String, NotReadable> {
    let (mark, text) = without_mark(base);
    let root = written::read(text, format)?;
    let said = form_of(&root, vocabulary);
    let changes = changes(&root, &said, form, vocabulary, &|_| false);
    if changes.is_empty() {
        return Ok(base.to_owned());
    }
    let text = apply(text, format, &changes)?;
    let again = form_of(&written::read(&text, format)?, vocabulary);
    if comparable(&again) != comparable(&expected(&said, form, vocabulary)) {
        return Err(NotReadable);
    }
    Ok(format!("{mark}{text}"))
}

/// The text with these fields written anew, as they are shown: a number that stood in quotation marks becomes a number, a date
/// that was a text a date, a key with nothing behind it goes.
///
/// The form cannot tell `20` from `"20"`, so [`write`](write()) leaves such a place alone. Whoever saves a file with mistakes gives the fields
/// of those mistakes ([`field_of`](super::field_of)) here first.
///
/// # Errors
/// The text cannot be taken apart, or not be changed safely.
pub fn mend<'f>(
    base: &str,
    format: Format,
    fields: impl IntoIterator<Item = &'f str>,
    vocabulary: &Vocabulary,
) -> Result<String, NotReadable> {
    let fields: BTreeSet<&str> = fields.into_iter().collect();
    let (mark, text) = without_mark(base);
    let root = written::read(text, format)?;
    let said = form_of(&root, vocabulary);
    let forced: Forced<'_> = &|field| fields.contains(field);
    let changes = changes(&root, &said, &said, vocabulary, forced);
    let text = apply(text, format, &changes)?;
    written::read(&text, format)?;
    Ok(format!("{mark}{text}"))
}

/// More changes than a form with every field of a plan can make; each is a fresh look at the text.
const MOST_CHANGES: usize = 1000;

fn apply(text: &str, format: Format, changes: &[Change]) -> Result<String, NotReadable> {
    if changes.is_empty() {
        return Ok(text.to_owned());
    }
    if changes.len() > MOST_CHANGES {
        return Err(NotReadable);
    }
    match format {
        Format::Toml => toml_text::apply(text, changes),
        Format::Json => json_text::apply(text, changes),
    }
}

/// A byte order mark, and the text behind it.
pub(super) fn without_mark(text: &str) -> (&str, &str) {
    text.split_at(text.len() - text.trim_start_matches('\u{FEFF}').len())
}

/// The form as it will read once it is written: `3 Dec 2026` as `2026-12-03`, `2,5` as `2.5`, `not-asked` as nothing, without the
/// fields of areas that are not ticked and without fields that no plan has.
pub fn settled(form: &PlanForm, vocabulary: &Vocabulary) -> PlanForm {
    expected(&PlanForm::new(), form, vocabulary)
}

/// What a form reads as once it is written over a file whose own form is `said`: what is the same stays as it is there.
pub(super) fn expected(said: &PlanForm, form: &PlanForm, vocabulary: &Vocabulary) -> PlanForm {
    let mut out = PlanForm::new();
    let keys = |out: &mut PlanForm, part: &Part, name: &dyn Fn(&super::fields::Shown) -> String| {
        for key in part.keys {
            let field = name(key);
            let (old, new) = (said.all(&field), form.all(&field));
            match typed(key.kind, new) {
                Some(value) if old != new => out.set(&field, shown_again(key.kind, &value)),
                _ => out.set(&field, new.iter().cloned()),
            }
        }
    };
    for part in ONCE {
        keys(&mut out, part, &|key| part.field(key));
    }
    for fact in &vocabulary.facts {
        let (answer, said_of) = (fact_field(fact.id.as_str()), said_field(fact.id.as_str()));
        let is_same = [&answer, &said_of]
            .iter()
            .all(|field| said.all(field) == form.all(field));
        if is_same {
            out.set(&answer, form.all(&answer).iter().cloned());
            out.set(&said_of, form.all(&said_of).iter().cloned());
            continue;
        }
        let value = fact_typed(fact.kind, form.get(&answer), form.get(&said_of));
        let (again, said_again) = fact_shown_again(fact.kind, &value);
        out.set(&answer, [again]);
        out.set(&said_of, said_again);
    }
    let mut ticked: Vec<String> = Vec::new();
    for handle in form.all(AREA.name) {
        let known = said.all(AREA.name).contains(handle) || !id_of(handle).is_empty();
        if known && !ticked.contains(handle) {
            keys(&mut out, &AREA, &|key| AREA.field_of(handle, key));
            ticked.push(handle.clone());
        }
    }
    out.set(AREA.name, ticked);
    for part in COUNTED {
        for n in form.numbers(part.name) {
            keys(&mut out, part, &|key| part.field_of(&n.to_string(), key));
        }
    }
    out
}

/// The fields of one area or entry.
type Fields = BTreeMap<String, Vec<String>>;

/// A form without the numbers of its entries and without what tells two areas of one name apart.
fn comparable(form: &PlanForm) -> (Fields, BTreeSet<(String, Fields)>, Vec<Vec<Fields>>) {
    let own = |part: BTreeMap<&str, &[String]>| -> Fields {
        let part = part.into_iter();
        part.map(|(field, texts)| (field.to_owned(), texts.to_vec()))
            .collect()
    };
    let is_once = |field: &str| {
        let part = field.split('.').next().unwrap_or(field);
        part == "fact" || ONCE.iter().any(|once| once.name == part)
    };
    let once = form.fields().filter(|field| is_once(field));
    let once = once.map(|field| (field.to_owned(), form.all(field).to_vec()));
    let areas = form.all(AREA.name).iter();
    let areas = areas.map(|handle| {
        let fields = own(form.part(&format!("{}.{handle}", AREA.name)));
        (id_of(handle).to_owned(), fields)
    });
    let counted = COUNTED.iter().map(|part| {
        let numbers = form.numbers(part.name).into_iter();
        numbers
            .map(|n| own(form.part(&format!("{}.{n}", part.name))))
            .collect()
    });
    (once.collect(), areas.collect(), counted.collect())
}
