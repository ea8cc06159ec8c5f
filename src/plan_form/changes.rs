//! Turns what a form says other than its file into changes of the file's values.
//! Invariant: where the form says what the file said, however it is typed, there is no change.
//! Must not: know how a file is written.

use super::PlanForm;
use super::fields::{
    AREA, ASKED, COUNTED, DENIED, ID, ONCE, PATIENT, Part, fact as fact_field, said as said_field,
};
use super::reading::{denied, handles, id_of};
use super::values::{FactTyped, Typed, fact_shown_again, fact_typed, shown_again, typed};
use super::written::{Style, Table, Value};
use crate::plan::{FactWord, Vocabulary};

/// Where a key stands.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    pub part: &'static Part,
    /// Which entry of a part that is repeated.
    pub entry: Option<usize>,
}

/// What a new key stands behind, as far as it is there.
#[derive(Debug, Clone)]
pub(super) enum Behind {
    Everything,
    Keys(Vec<&'static str>),
}

impl Behind {
    pub fn takes(&self, key: &str) -> bool {
        match self {
            Behind::Everything => true,
            Behind::Keys(keys) => keys.contains(&key),
        }
    }
}

/// One change of a file.
#[derive(Debug, Clone)]
pub(super) enum Change {
    /// Gives a key this value; a new one stands behind those.
    Set {
        place: Place,
        key: String,
        value: Typed,
        behind: Behind,
    },
    Remove {
        place: Place,
        key: String,
    },
    /// Adds a fact to those that are denied.
    Deny(String),
    /// Takes a fact out of those that are denied.
    NotDenied(String),
    /// Takes a part away, or one entry of it.
    RemoveWhole(Place),
    /// Adds a part, or one entry of it.
    Add {
        part: &'static Part,
        entries: Vec<(String, Typed)>,
    },
}

/// Which fields are written anew although they say the same.
pub(super) type Forced<'f> = &'f dyn Fn(&str) -> bool;

/// What has to change in a file so that it says what the form says. `base` is the file's own form.
///
/// Changes of keys come first, then what is removed, the last first, so that each is right when those before it are made; then what is added.
pub(super) fn changes(
    root: &Table,
    base: &PlanForm,
    form: &PlanForm,
    vocabulary: &Vocabulary,
    forced: Forced<'_>,
) -> Vec<Change> {
    let mut all = Collected::default();
    let compared = Compared { base, form, forced };
    for part in ONCE {
        once(&mut all, root, &compared, part, vocabulary);
    }
    areas(&mut all, root, &compared);
    for part in COUNTED {
        counted(&mut all, root, &compared, part);
    }
    all.removed.reverse();
    [all.keys, all.removed, all.added].concat()
}

#[derive(Default)]
struct Collected {
    keys: Vec<Change>,
    removed: Vec<Change>,
    added: Vec<Change>,
}

struct Compared<'a> {
    base: &'a PlanForm,
    form: &'a PlanForm,
    forced: Forced<'a>,
}

/// A key that says something else now: its new value, or none.
type NewValue = (&'static super::fields::Shown, Option<Typed>);

impl Compared<'_> {
    fn differing(
        &self,
        part: &'static Part,
        name: impl Fn(&'static super::fields::Shown) -> String,
    ) -> Vec<NewValue> {
        let keys = part.keys.iter();
        keys.filter_map(|key| {
            let field = name(key);
            let (old, new) = (self.base.all(&field), self.form.all(&field));
            let value = typed(key.kind, new);
            let again = value.as_ref().map(|value| shown_again(key.kind, value));
            let same = old == new || again.unwrap_or_default() == old;
            (!same || (self.forced)(&field)).then_some((key, value))
        })
        .collect()
    }
}

/// The table of a part, where keys can be put into it.
fn usable<'t>(root: &'t Table, part: &Part) -> Option<&'t Table> {
    let table = root.one(part.name)?;
    (table.style != Style::Implied).then_some(table)
}

/// Something of this name that is no table: nothing can be put into it.
fn is_in_the_way(root: &Table, part: &Part) -> bool {
    root.get(part.name).is_some() && root.one(part.name).is_none()
}

/// The keys in front of one, in the order in which they are written.
fn before(part: &'static Part, key: &str) -> Behind {
    let own = part.keys.iter().map(|shown| shown.key);
    let own = own.take_while(|own| *own != key);
    Behind::Keys(std::iter::once(ID).chain(own).collect())
}

fn set_keys(all: &mut Collected, place: Place, table: &Table, values: Vec<NewValue>) {
    for (shown, value) in values {
        let key = shown.key.to_owned();
        match value {
            Some(value) => all.keys.push(Change::Set {
                place,
                behind: before(place.part, shown.key),
                key,
                value,
            }),
            None if table.get(shown.key).is_some() => {
                all.keys.push(Change::Remove { place, key });
            }
            None => {}
        }
    }
}

fn entries(values: Vec<NewValue>) -> Vec<(String, Typed)> {
    let values = values.into_iter();
    values
        .filter_map(|(shown, value)| Some((shown.key.to_owned(), value?)))
        .collect()
}

fn once(
    all: &mut Collected,
    root: &Table,
    compared: &Compared<'_>,
    part: &'static Part,
    vocabulary: &Vocabulary,
) {
    let place = Place { part, entry: None };
    let values = compared.differing(part, |key| part.field(key));
    let facts = match part.name {
        name if name == PATIENT.name || name == ASKED.name => {
            FactChanges::of(root, compared, vocabulary)
        }
        _ => FactChanges::default(),
    };
    match usable(root, part) {
        Some(table) if part.name == ASKED.name && is_emptied(table, compared, &facts) => {
            all.removed.push(Change::RemoveWhole(place));
        }
        Some(table) => {
            set_keys(all, place, table, values);
            match part.name {
                name if name == PATIENT.name => all.keys.extend(facts.told(place)),
                name if name == ASKED.name => all.keys.extend(facts.list()),
                _ => {}
            }
        }
        None => {
            let mut new = entries(values);
            match part.name {
                name if name == PATIENT.name => new.extend(facts.told_new()),
                name if name == ASKED.name && !facts.denied.is_empty() => {
                    new.push((DENIED.to_owned(), Typed::Words(facts.denied)));
                }
                _ => {}
            }
            if !new.is_empty() {
                if is_in_the_way(root, part) {
                    all.removed.push(Change::RemoveWhole(place));
                }
                all.added.push(Change::Add { part, entries: new });
            }
        }
    }
}

/// Nothing would be left under `[asked]`, and it would be missing its two keys.
fn is_emptied(table: &Table, compared: &Compared<'_>, facts: &FactChanges) -> bool {
    let own = |form: &PlanForm| {
        ASKED
            .keys
            .iter()
            .any(|key| !form.all(&ASKED.field(key)).is_empty())
    };
    let only_known = table
        .entries
        .iter()
        .all(|entry| entry.key == DENIED || ASKED.keys.iter().any(|shown| shown.key == entry.key));
    let left = match table.get(DENIED).map(|entry| &entry.node.value) {
        Some(Value::List(items)) => items.len() > facts.not_denied.len(),
        Some(_) => true,
        None => false,
    };
    own(compared.base) && !own(compared.form) && only_known && !left && facts.denied.is_empty()
}

/// What happens to facts.
#[derive(Default)]
struct FactChanges {
    /// Under `[patient]`: the new value, or that the key goes.
    told: Vec<(String, Option<Typed>)>,
    denied: Vec<String>,
    not_denied: Vec<String>,
}

impl FactChanges {
    /// Each fact is kept where the file has it. One that is denied now goes into the list of `[asked]` where there is one, or will be;
    /// without it nobody says who asked, and the fact stands as false under `[patient]`.
    fn of(root: &Table, compared: &Compared<'_>, vocabulary: &Vocabulary) -> FactChanges {
        let denied = denied(root);
        let asked = root.one(ASKED.name);
        let list_is_wrong = asked
            .and_then(|asked| asked.get(DENIED))
            .is_some_and(|entry| !matches!(entry.node.value, Value::List(_)));
        let named = ASKED.keys.iter().any(|key| {
            let field = ASKED.field(key);
            !compared.form.all(&field).is_empty()
        });
        let has_asked = usable(root, &ASKED).is_some();
        let stays = has_asked
            && (named
                || !ASKED
                    .keys
                    .iter()
                    .any(|key| !compared.base.all(&ASKED.field(key)).is_empty()));
        let list_it = (named || stays) && !list_is_wrong;
        let patient = root.one(PATIENT.name);
        let mut changes = FactChanges::default();
        for fact in &vocabulary.facts {
            let id = fact.id.as_str();
            let Some(value) = changed_fact(compared, fact) else {
                continue;
            };
            let is_told = patient.is_some_and(|patient| patient.get(id).is_some());
            let is_denied = denied.iter().any(|word| word == id);
            let own = id.to_owned();
            match value {
                FactTyped::NotAsked => {
                    changes.not_denied.extend(is_denied.then(|| own.clone()));
                    changes.told.extend(is_told.then_some((own, None)));
                }
                FactTyped::No if is_denied => {
                    changes.told.extend(is_told.then_some((own, None)));
                }
                FactTyped::No if !is_told && list_it => changes.denied.push(own),
                FactTyped::No => changes
                    .told
                    .push((own, Some(Typed::Bare("false".to_owned())))),
                FactTyped::Value(value) => {
                    changes.not_denied.extend(is_denied.then(|| own.clone()));
                    changes.told.push((own, Some(value)));
                }
            }
        }
        changes
    }

    fn told(self, place: Place) -> Vec<Change> {
        let told = self.told.into_iter();
        told.map(|(key, value)| match value {
            Some(value) => Change::Set {
                place,
                key,
                value,
                behind: Behind::Everything,
            },
            None => Change::Remove { place, key },
        })
        .collect()
    }

    fn told_new(self) -> impl Iterator<Item = (String, Typed)> {
        let told = self.told.into_iter();
        told.filter_map(|(key, value)| Some((key, value?)))
    }

    fn list(self) -> Vec<Change> {
        let gone = self.not_denied.into_iter().map(Change::NotDenied);
        gone.chain(self.denied.into_iter().map(Change::Deny))
            .collect()
    }
}

/// What a form says about a fact where it says something else than the file.
fn changed_fact(compared: &Compared<'_>, fact: &FactWord) -> Option<FactTyped> {
    let (answer, said) = (fact_field(fact.id.as_str()), said_field(fact.id.as_str()));
    let of = |form: &PlanForm| {
        let own = |field: &str| form.get(field).map(str::to_owned);
        (own(&answer), own(&said))
    };
    let (old, new) = (of(compared.base), of(compared.form));
    let value = fact_typed(fact.kind, new.0.as_deref(), new.1.as_deref());
    let (again, said_again) = fact_shown_again(fact.kind, &value);
    let again = (Some(again).filter(|again| !again.is_empty()), said_again);
    let forced = (compared.forced)(&answer) || (compared.forced)(&said);
    ((old != new && old != again) || forced).then_some(value)
}

fn areas(all: &mut Collected, root: &Table, compared: &Compared<'_>) {
    let nodes = root.several(AREA.name);
    let old = handles(&nodes);
    let ticked = compared.form.all(AREA.name);
    for (n, (node, handle)) in nodes.iter().zip(&old).enumerate() {
        let place = Place {
            part: &AREA,
            entry: Some(n),
        };
        if !ticked.contains(handle) {
            all.removed.push(Change::RemoveWhole(place));
        } else if let Some(table) = node.table() {
            let values = compared.differing(&AREA, |key| AREA.field_of(handle, key));
            set_keys(all, place, table, values);
        }
    }
    let mut added: Vec<&String> = Vec::new();
    for handle in ticked {
        if !old.contains(handle) && !added.contains(&handle) && !id_of(handle).is_empty() {
            added.push(handle);
        }
    }
    if !added.is_empty() && is_in_the_way(root, &AREA) && nodes.is_empty() {
        clear_the_way(all, &AREA, root);
    }
    for handle in added {
        let values = compared.differing(&AREA, |key| AREA.field_of(handle, key));
        let id = (ID.to_owned(), Typed::Text(id_of(handle).to_owned()));
        all.added.push(Change::Add {
            part: &AREA,
            entries: std::iter::once(id).chain(entries(values)).collect(),
        });
    }
}

/// Takes away what stands under the name of a part and is neither a table nor a list.
fn clear_the_way(all: &mut Collected, part: &'static Part, root: &Table) {
    let is_list = root
        .get(part.name)
        .is_some_and(|entry| matches!(entry.node.value, Value::List(_)));
    if !is_list {
        all.removed
            .push(Change::RemoveWhole(Place { part, entry: None }));
    }
}

fn counted(all: &mut Collected, root: &Table, compared: &Compared<'_>, part: &'static Part) {
    let nodes = root.several(part.name);
    let name = |n: usize| format!("{}.{n}", part.name);
    for (n, node) in nodes.iter().enumerate() {
        let place = Place {
            part,
            entry: Some(n),
        };
        let was = !compared.base.part(&name(n)).is_empty();
        if was && compared.form.part(&name(n)).is_empty() {
            all.removed.push(Change::RemoveWhole(place));
        } else if let Some(table) = node.table() {
            let values = compared.differing(part, |key| part.field_of(&n.to_string(), key));
            set_keys(all, place, table, values);
        }
    }
    let new = compared.form.numbers(part.name);
    let new: Vec<usize> = new.into_iter().filter(|n| *n >= nodes.len()).collect();
    if !new.is_empty() && is_in_the_way(root, part) && nodes.is_empty() {
        clear_the_way(all, part, root);
    }
    for n in new {
        let values = compared.differing(part, |key| part.field_of(&n.to_string(), key));
        let entries = entries(values);
        if !entries.is_empty() {
            all.added.push(Change::Add { part, entries });
        }
    }
}
