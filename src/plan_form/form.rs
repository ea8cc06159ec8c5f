//! Turns pairs of names and typed texts, as a page sends them, into one form, and back.
//! Invariant: no value is blank, and no name is without a value; what is left out and what is left empty are the same.
//! Must not: know what any field means.

use std::collections::BTreeMap;

/// What the fields of a form say: names of fields to typed texts, most of them one.
///
/// A form is a whole plan: a field that is not in it is empty. A page that shows a part begins with
/// [`PlanForm::of`] and sets its own fields in it.
///
/// ```
/// use beforehand::plan_form::PlanForm;
///
/// let mut form = PlanForm::from_pairs([
///     ("area".to_owned(), "glabella".to_owned()),
///     ("area".to_owned(), "forehead".to_owned()),
///     ("patient.name".to_owned(), "".to_owned()),
/// ]);
/// assert_eq!(form.all("area"), ["glabella", "forehead"]);
/// assert_eq!(form.get("patient.name"), None);
/// form.set("area", ["glabella"]);
/// assert_eq!(form.pairs().count(), 1);
/// ```
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PlanForm(BTreeMap<String, Vec<String>>);

impl PlanForm {
    /// A form with nothing in it: the form of a new plan.
    pub fn new() -> PlanForm {
        PlanForm::default()
    }

    /// What stands in a field; of several texts the first.
    pub fn get(&self, field: &str) -> Option<&str> {
        self.all(field).first().map(String::as_str)
    }

    /// Every text of a field, in order; none when it is empty.
    pub fn all(&self, field: &str) -> &[String] {
        self.0.get(field).map_or(&[], Vec::as_slice)
    }

    /// Puts these texts into a field, in place of what is there; blank ones are left out, and none empties it.
    pub fn set<T: Into<String>>(&mut self, field: &str, texts: impl IntoIterator<Item = T>) {
        let texts = texts.into_iter().map(Into::into);
        let texts: Vec<String> = texts
            .filter(|text: &String| !text.trim().is_empty())
            .collect();
        if texts.is_empty() {
            self.0.remove(field);
        } else {
            self.0.insert(field.to_owned(), texts);
        }
    }

    /// The form that a page sends; a name that comes twice is a field with two texts.
    pub fn from_pairs(pairs: impl IntoIterator<Item = (String, String)>) -> PlanForm {
        let mut form = PlanForm::default();
        for (field, text) in pairs {
            if !text.trim().is_empty() {
                form.0.entry(field).or_default().push(text);
            }
        }
        form
    }

    /// Every field with each of its texts, by name.
    pub fn pairs(&self) -> impl Iterator<Item = (&str, &str)> {
        let all = self.0.iter();
        all.flat_map(|(field, texts)| {
            texts
                .iter()
                .map(move |text| (field.as_str(), text.as_str()))
        })
    }

    /// The names of all fields that are not empty, sorted.
    pub fn fields(&self) -> impl Iterator<Item = &str> {
        self.0.keys().map(String::as_str)
    }

    /// The numbers `n` of `event.<n>.…`, `history.<n>.…` or `answer.<n>.…` that are in use, ascending.
    pub fn numbers(&self, group: &str) -> Vec<usize> {
        let mut numbers: Vec<usize> = self
            .fields()
            .filter_map(|field| field.strip_prefix(group)?.strip_prefix('.'))
            .filter_map(|rest| rest.split_once('.')?.0.parse().ok())
            .collect();
        numbers.sort_unstable();
        numbers.dedup();
        numbers
    }

    /// The fields of one area or one numbered entry (`area.masseter`, `event.0`), without that name and the dot behind it.
    pub fn part(&self, name: &str) -> BTreeMap<&str, &[String]> {
        let own = |field: &str| field.strip_prefix(name)?.strip_prefix('.').map(str::len);
        let fields = self.0.iter();
        fields
            .filter_map(|(field, texts)| {
                let length = own(field)?;
                Some((&field[field.len() - length..], texts.as_slice()))
            })
            .collect()
    }

    /// Empties every field of one area or one numbered entry.
    pub fn clear(&mut self, name: &str) {
        let inside = format!("{name}.");
        self.0.retain(|field, _| !field.starts_with(&inside));
    }
}
