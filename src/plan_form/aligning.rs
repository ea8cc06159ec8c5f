//! Turns the numbers of their events, earlier treatments and answers into the numbers that the base and mine use.
//! Invariant: each of their entries has one number; two get the same as one of the base's only if they were that one.
//! Must not: change what an entry says.

use std::collections::BTreeMap;

use super::PlanForm;
use super::fields::COUNTED;

/// Their form with numbers that can be compared, and the way back.
pub(super) struct Aligned {
    pub form: PlanForm,
    /// For each part: the number here to the number in their file.
    numbers: BTreeMap<&'static str, BTreeMap<usize, usize>>,
}

type Entry = BTreeMap<String, Vec<String>>;

fn entry(form: &PlanForm, part: &str, n: usize) -> Entry {
    let fields = form.part(&format!("{part}.{n}")).into_iter();
    fields
        .map(|(field, texts)| (field.to_owned(), texts.to_vec()))
        .collect()
}

/// How many fields two entries have in common.
fn in_common(one: &Entry, other: &Entry) -> usize {
    let same = one
        .iter()
        .filter(|(field, texts)| other.get(*field) == Some(*texts));
    same.count()
}

/// Matches their entries by what they say: the same first, then those that share the most, half of it at least.
pub(super) fn aligned(base: &PlanForm, mine: &PlanForm, theirs: &PlanForm) -> Aligned {
    let mut form = theirs.clone();
    let mut numbers = BTreeMap::new();
    for part in COUNTED {
        let name = part.name;
        let own = theirs.numbers(name);
        let matched = matched(name, base, mine, theirs);
        for n in &own {
            form.clear(&format!("{name}.{n}"));
        }
        for (here, there) in &matched {
            for (field, texts) in entry(theirs, name, *there) {
                form.set(&format!("{name}.{here}.{field}"), texts);
            }
        }
        numbers.insert(name, matched);
    }
    Aligned { form, numbers }
}

fn matched(
    name: &str,
    base: &PlanForm,
    mine: &PlanForm,
    theirs: &PlanForm,
) -> BTreeMap<usize, usize> {
    let (of_base, of_mine) = (base.numbers(name), mine.numbers(name));
    let mut left = theirs.numbers(name);
    let mut matched = BTreeMap::new();
    let mut pairs: Vec<(usize, usize, usize)> = Vec::new();
    for here in &of_base {
        for there in &left {
            let (old, new) = (entry(base, name, *here), entry(theirs, name, *there));
            let (common, most) = (in_common(&old, &new), old.len().max(new.len()));
            if common * 2 >= most {
                // what is the same goes before everything, then what stands at the same place
                let worth =
                    common * 4 + usize::from(old == new) * 1000 + usize::from(here == there);
                pairs.push((worth, *here, *there));
            }
        }
    }
    pairs.sort_by_key(|(worth, here, there)| (std::cmp::Reverse(*worth), *here, *there));
    for (_, here, there) in pairs {
        if !matched.contains_key(&here) && left.contains(&there) {
            matched.insert(here, there);
            left.retain(|other| *other != there);
        }
    }
    // what both added is the same when it says the same
    for here in of_mine.iter().filter(|n| !of_base.contains(n)) {
        let same = |there: &&usize| entry(theirs, name, **there) == entry(mine, name, *here);
        if let Some(there) = left.iter().find(same).copied() {
            matched.insert(*here, there);
            left.retain(|other| *other != there);
        }
    }
    let last = of_base.iter().chain(&of_mine).max();
    let free = last.map_or(0, |last| last + 1);
    matched.extend(
        left.into_iter()
            .enumerate()
            .map(|(n, there)| (free + n, there)),
    );
    matched
}

impl Aligned {
    /// A form in these numbers, in the numbers of their file; what is not in it comes behind its `counts` entries.
    pub fn back(&self, form: &PlanForm, count: impl Fn(&str) -> usize) -> PlanForm {
        let mut back = form.clone();
        for part in COUNTED {
            let name = part.name;
            let used = form.numbers(name);
            for n in &used {
                back.clear(&format!("{name}.{n}"));
            }
            let mut free = count(name);
            for here in used {
                let known = self.numbers.get(name).and_then(|known| known.get(&here));
                let there = known.copied().unwrap_or_else(|| {
                    free += 1;
                    free - 1
                });
                for (field, texts) in entry(form, name, here) {
                    back.set(&format!("{name}.{there}.{field}"), texts);
                }
            }
        }
        back
    }
}
