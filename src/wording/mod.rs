//! Turns a statement id and its values into the sentences of one language.
//! Invariant: a missing statement or value is an error that names it; no value is ever read as Markdown or as a template.
//! Must not: decide what is printed, or know pages. The only module that knows MiniJinja and locale data.

pub mod approval;
pub mod library;
pub mod locale;
pub mod phrases;
pub mod rich;
pub mod template;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex};

use minijinja::value::{Kwargs, Serde, ValueKind};
use minijinja::{Environment, ErrorKind, Output, State, UndefinedBehavior, Value};
use unic_langid::LanguageIdentifier;

pub use approval::{Approval, Approvals, Standing};
pub use locale::Formats;
pub use rich::{Piece, Rich, Run};
pub use template::{Blanks, TemplateFault};

/// Words of a clinic's own, by language tag (`en`, `en-GB`) and statement id.
pub type OwnWords = BTreeMap<String, library::Statements>;

/// Steps a template may take. The longest of our own takes a few hundred; a clinic's has no loops either.
const FUEL: u64 = 20_000;

use crate::domain::term_of;
use crate::plan::language;

/// Values for one statement, by name.
pub type Context = serde_json::Map<String, serde_json::Value>;

/// A sentence that cannot be made.
#[derive(Debug, Clone)]
pub struct WordingError {
    pub language: String,
    pub statement: String,
    pub what: String,
}

impl std::fmt::Display for WordingError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "wording {}: statement `{}`: {}",
            self.language, self.statement, self.what
        )
    }
}

impl std::error::Error for WordingError {}

/// The sentences of one language as used in one country.
pub struct Wording {
    tag: String,
    statements: library::Statements,
    environment: Environment<'static>,
    terms: serde_json::Value,
    formats: Arc<Formats>,
    /// Statements filled since this was last emptied.
    used: Mutex<BTreeSet<String>>,
}

/// The wording language that serves a reader of this language, or none: never another one instead.
pub fn serves(language: &LanguageIdentifier) -> Option<&'static str> {
    language::choose(library::tags(), language)
}

impl Wording {
    /// The wording of `language` with the differences of `country` (ISO 3166-1) laid over it.
    ///
    /// # Errors
    /// The language is not available, a file is malformed, or ICU4X has no data for the locale.
    pub fn new(language: &LanguageIdentifier, country: &str) -> Result<Wording, WordingError> {
        Wording::with(language, country, &OwnWords::new())
    }

    /// The same with a clinic's own words over it.
    ///
    /// # Errors
    /// As `new`.
    pub fn with(
        language: &LanguageIdentifier,
        country: &str,
        own: &OwnWords,
    ) -> Result<Wording, WordingError> {
        let fail = |what: String| WordingError {
            language: language.to_string(),
            statement: "all".into(),
            what,
        };
        let base = serves(language).ok_or_else(|| {
            fail(format!(
                "not available; available: {}",
                library::tags().collect::<Vec<_>>().join(", ")
            ))
        })?;
        let mut statements = library::statements(base).map_err(|p| fail(p.join("; ")))?;
        let tag = format!("{base}-{country}");
        statements.extend(library::statements(&tag).map_err(|p| fail(p.join("; ")))?);
        for tag in [base, tag.as_str()] {
            statements.extend(own.get(tag).cloned().unwrap_or_default());
        }
        Wording::from_statements(&tag, statements)
    }

    /// A wording from statements already read: for overlays, and for tests that change one.
    ///
    /// # Errors
    /// A statement is malformed, or ICU4X has no data for the tag (language and country: `en-GB`).
    pub fn from_statements(
        tag: &str,
        statements: library::Statements,
    ) -> Result<Wording, WordingError> {
        let tag = tag.to_owned();
        let fail = |what: String| WordingError {
            language: tag.clone(),
            statement: "all".into(),
            what,
        };
        let formats = Arc::new(Formats::new(&tag).map_err(fail)?);

        let mut environment = Environment::new();
        environment.set_undefined_behavior(UndefinedBehavior::Strict);
        environment.set_fuel(Some(FUEL));
        let for_numbers = formats.clone();
        environment
            .set_formatter(move |out, state, value| write_value(out, state, value, &for_numbers));
        let for_plural = formats.clone();
        environment.add_function(
            "plural",
            move |n: f64, forms: Kwargs| -> Result<String, minijinja::Error> {
                let wanted = for_plural.plural(n);
                let other: String = forms.get("other")?;
                for category in ["zero", "one", "two", "few", "many"] {
                    let form: Option<String> = forms.get(category)?;
                    if category == wanted
                        && let Some(form) = form
                    {
                        return Ok(form);
                    }
                }
                Ok(other)
            },
        );
        let mut terms = serde_json::Map::new();
        for (id, text) in &statements {
            if let Some(term) = term_of(id) {
                terms.insert(term.to_owned(), text.clone().into());
            }
            environment
                .add_template_owned(id.clone(), text.clone())
                .map_err(|error| WordingError {
                    language: tag.clone(),
                    statement: id.clone(),
                    what: error.to_string(),
                })?;
        }
        Ok(Wording {
            tag,
            statements,
            environment,
            terms: terms.into(),
            formats,
            used: Mutex::default(),
        })
    }

    /// Language and country: `en-GB`.
    pub fn tag(&self) -> &str {
        &self.tag
    }

    /// Language without the country: `en`.
    pub fn base(&self) -> &str {
        self.tag.split('-').next().unwrap_or(&self.tag)
    }

    /// Version of this language's sentences; empty for a language that is not in the library.
    pub fn version(&self) -> &'static str {
        library::language(&self.tag).map_or("", |language| language.version)
    }

    pub fn formats(&self) -> &Formats {
        &self.formats
    }

    /// Statement ids and templates, country differences laid over the language.
    pub fn statements(&self) -> &BTreeMap<String, String> {
        &self.statements
    }

    pub fn has(&self, id: &str) -> bool {
        self.statements.contains_key(id)
    }

    /// The statements filled since the last call, and forgets them.
    pub fn take_used(&self) -> BTreeSet<String> {
        std::mem::take(
            &mut self
                .used
                .lock()
                .expect("no filling panics while it holds this"),
        )
    }

    /// Sixteen hexadecimal digits that change when the words of a statement change.
    pub fn digest(&self, id: &str) -> Option<String> {
        self.statements.get(id).map(|text| library::digest(text))
    }

    fn fail(&self, id: &str, what: impl Into<String>) -> WordingError {
        WordingError {
            language: self.tag.clone(),
            statement: id.to_owned(),
            what: what.into(),
        }
    }

    fn fill(&self, id: &str, context: &Context) -> Result<String, WordingError> {
        let template = self
            .environment
            .get_template(id)
            .map_err(|_| self.fail(id, "is missing"))?;
        self.used
            .lock()
            .expect("no filling panics while it holds this")
            .insert(id.to_owned());
        let mut values = context.clone();
        values.insert("term".to_owned(), self.terms.clone());
        if id != "phrase.sounds" {
            values.insert(
                "sounds".to_owned(),
                self.line("phrase.sounds", &Context::new())?.into(),
            );
        }
        template.render(Serde(&values)).map_err(|error| {
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

/// Writes a value into a statement as text: numbers by the locale, strings escaped, anything else refused.
fn write_value(
    out: &mut Output,
    _: &mut State,
    value: &Value,
    formats: &Formats,
) -> Result<(), minijinja::Error> {
    let text = match value.kind() {
        ValueKind::String => rich::escape(value.as_str().unwrap_or_default()),
        ValueKind::Number => {
            let number = f64::try_from(value.clone())?;
            rich::escape(&formats.number(number))
        }
        ValueKind::Undefined => return Err(ErrorKind::UndefinedError.into()),
        kind => {
            return Err(minijinja::Error::new(
                ErrorKind::InvalidOperation,
                format!("a value of kind {kind} cannot be printed"),
            ));
        }
    };
    out.write_str(&text).map_err(minijinja::Error::from)
}
