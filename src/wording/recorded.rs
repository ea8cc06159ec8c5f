//! Turns a wording into one that remembers which of its statements were filled, and fills them.
//! Invariant: the only way to fill a statement; each is remembered, those that it takes in too; the wording itself never changes.
//! Must not: outlive the paper it was made for, be shared between threads, or decide what follows from what was filled.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use minijinja::context;
use minijinja::value::{Serde, Value, merge_maps};

use super::{Approvals, Context, Formats, Piece, Rich, Standing, Wording, WordingError, rich};

/// The sounds that lips are needed for, a phrase that any statement may use.
const SOUNDS: &str = "phrase.sounds";

/// A wording as one paper uses it.
pub struct RecordedWording<'w> {
    wording: &'w Wording,
    used: RefCell<BTreeSet<String>>,
}

impl<'w> RecordedWording<'w> {
    pub(super) fn new(wording: &'w Wording) -> RecordedWording<'w> {
        RecordedWording {
            wording,
            used: RefCell::default(),
        }
    }

    /// Language and country: `en-GB`.
    pub fn tag(&self) -> &'w str {
        self.wording.tag()
    }

    /// Language without the country: `en`.
    pub fn base(&self) -> &'w str {
        self.wording.base()
    }

    /// Version of this language's sentences; empty for a language that is not in the library.
    pub fn version(&self) -> &'static str {
        self.wording.version()
    }

    pub fn formats(&self) -> &'w Formats {
        self.wording.formats()
    }

    pub fn has(&self, id: &str) -> bool {
        self.wording.has(id)
    }

    /// Statement ids and templates, filled or not.
    pub fn statements(&self) -> &'w BTreeMap<String, String> {
        self.wording.statements()
    }

    /// How the words of a statement stand in a list of approvals.
    pub fn standing<'a>(&self, approvals: &'a Approvals, id: &str) -> Standing<'a> {
        approvals.standing(self.wording, id)
    }

    /// A name as it stands inside a sentence.
    pub fn inside_sentence(&self, name: &str) -> String {
        self.wording.inside_sentence(name)
    }

    /// Names as one list: "Masseter, chin and neck".
    pub fn list_of_names(&self, names: &[String]) -> String {
        self.wording.list_of_names(names)
    }

    /// The statements filled so far.
    pub fn used(&self) -> BTreeSet<String> {
        self.used.borrow().clone()
    }

    /// The statements filled so far whose words nobody has approved as they are.
    pub fn unapproved(&self, approvals: &Approvals) -> Vec<String> {
        approvals.unapproved(self.wording, self.used.borrow().iter())
    }

    fn fail(&self, id: &str, what: impl Into<String>) -> WordingError {
        WordingError {
            language: self.wording.tag.clone(),
            statement: id.to_owned(),
            what: what.into(),
        }
    }

    /// What every statement may use, worked out once for all papers: a statement is filled some thousand times for one visit.
    fn always(&self) -> Result<Value, WordingError> {
        let filled = || {
            let sounds = self.label(SOUNDS)?;
            let sounds = context! { sounds => sounds };
            Ok(merge_maps([self.wording.terms.clone(), sounds]))
        };
        let always = self.wording.always.get_or_init(filled).clone()?;
        self.used.borrow_mut().insert(SOUNDS.to_owned());
        Ok(always)
    }

    fn fill(&self, id: &str, context: &Context) -> Result<String, WordingError> {
        let template = self
            .wording
            .environment
            .get_template(id)
            .map_err(|_| self.fail(id, "is missing"))?;
        self.used.borrow_mut().insert(id.to_owned());
        let always = match id {
            SOUNDS => self.wording.terms.clone(),
            _ => self.always()?,
        };
        let values = merge_maps([Value::from(Serde(context)), always]);
        template.render(values).map_err(|error| {
            let mut what = error.to_string();
            let mut cause: Option<&dyn std::error::Error> = std::error::Error::source(&error);
            while let Some(inner) = cause {
                what.push_str(": ");
                what.push_str(&inner.to_string());
                cause = inner.source();
            }
            self.fail(id, what)
        })
    }

    /// The statement as paragraphs and lists.
    ///
    /// # Errors
    /// The statement is missing, needs a value it was not given, fills to nothing, or uses other Markdown.
    pub fn pieces(&self, id: &str, context: &Context) -> Result<Vec<Piece>, WordingError> {
        let filled = self.fill(id, context)?;
        let pieces = rich::parse(&filled).map_err(|what| self.fail(id, what))?;
        if rich::text_of_pieces(&pieces).trim().is_empty() {
            return Err(self.fail(id, "is empty once filled"));
        }
        Ok(pieces)
    }

    /// The statement as one paragraph.
    ///
    /// # Errors
    /// As `pieces`, and when it is more than one paragraph.
    pub fn rich(&self, id: &str, context: &Context) -> Result<Rich, WordingError> {
        match self.pieces(id, context)?.as_slice() {
            [Piece::Para { text }] => Ok(text.clone()),
            _ => Err(self.fail(id, "must be a single paragraph here")),
        }
    }

    /// The statement as one line without weights.
    ///
    /// # Errors
    /// As `rich`.
    pub fn line(&self, id: &str, context: &Context) -> Result<String, WordingError> {
        Ok(rich::text_of(&self.rich(id, context)?))
    }

    /// A label that needs no values.
    ///
    /// # Errors
    /// As `rich`.
    pub fn label(&self, id: &str) -> Result<String, WordingError> {
        self.line(id, &Context::new())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wording::library;

    #[test]
    fn what_is_filled_is_remembered_here_and_nowhere_else() {
        let wording = Wording::new(&"en".parse().expect("a tag"), "GB").expect("English");
        let (one, other) = (wording.recorded(), wording.recorded());
        one.label("label.name").expect("a label");
        wording.label("label.born").expect("a label");
        assert!(one.line("no.such-statement", &Context::new()).is_err());
        let used: Vec<String> = one.used().into_iter().collect();
        assert_eq!(used, ["label.name", "phrase.sounds"]);
        assert!(other.used().is_empty());
        assert_eq!(one.unapproved(&Approvals::none()), used);
    }

    #[test]
    fn a_wording_is_shared_between_threads_without_a_lock() {
        fn shared<T: Send + Sync>(_: &T) {}
        let wording = Wording::new(&"en".parse().expect("a tag"), "GB").expect("English");
        shared(&wording);
    }

    /// German writes its nouns with a capital wherever they stand.
    #[test]
    fn a_language_that_keeps_its_capitals_keeps_them_inside_a_sentence() {
        let names = ["Kaumuskel", "Kinn", "Hals"].map(str::to_owned);
        let list = |tag: &str| {
            let words = library::statements("en").expect("English");
            let wording = Wording::from_statements(tag, words).expect("a wording");
            wording.list_of_names(&names)
        };
        assert_eq!(list("de-DE"), "Kaumuskel, Kinn und Hals");
        assert_eq!(list("en-GB"), "Kaumuskel, kinn and hals");
        assert_eq!(list("es-ES"), "Kaumuskel, kinn y hals");
    }
}
