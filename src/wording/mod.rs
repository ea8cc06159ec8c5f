//! Turns a statement id and its values into the sentences of one language.
//! Invariant: a missing statement or value is an error that names it; no value is ever read as Markdown or as a template.
//! Must not: decide what is printed, or know pages. The only module that knows MiniJinja and locale data.

pub mod accents;
pub mod approval;
pub mod choices;
pub mod library;
pub mod locale;
pub mod mention;
pub mod phrases;
mod recorded;
pub mod rich;
pub mod scan;
pub mod template;
pub(crate) mod unbroken;

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use minijinja::value::{Kwargs, Serde, ValueKind};
use minijinja::{Environment, ErrorKind, Output, State, UndefinedBehavior, Value};
use unic_langid::LanguageIdentifier;

pub use approval::{Approval, Approvals, Standing};
pub use locale::Formats;
pub use recorded::RecordedWording;
pub use rich::{Piece, Rich, Run};
pub use template::{Blanks, TemplateFault};

/// Words of a clinic's own, by language tag (`en`, `en-GB`) and statement id.
pub type OwnWords = BTreeMap<String, library::Statements>;

/// Steps a template may take. The longest of our own takes a few hundred; a clinic's has no loops either.
const FUEL: u64 = 20_000;

use crate::domain::{digest, term_of};
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

/// The sentences of one language as used in one country. Nothing in it changes, so that threads may share it.
pub struct Wording {
    tag: String,
    statements: library::Statements,
    environment: Environment<'static>,
    /// What every statement may use, in the form in which it is filled: `term`, and with it `sounds` when that was filled.
    terms: Value,
    always: OnceLock<Result<Value, WordingError>>,
    formats: Arc<Formats>,
    /// Worked out when first asked for: of each statement, and of all.
    digests: OnceLock<BTreeMap<String, String>>,
    whole_digest: OnceLock<String>,
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
            terms: Value::from(Serde(serde_json::json!({ "term": terms }))),
            always: OnceLock::new(),
            formats,
            digests: OnceLock::new(),
            whole_digest: OnceLock::new(),
        })
    }

    /// This wording with the words of the desk beside its own.
    ///
    /// # Errors
    /// The desk has no words in this language, or one of them is malformed.
    pub fn for_the_desk(&self) -> Result<Wording, WordingError> {
        let fail = |what: String| WordingError {
            language: self.tag.clone(),
            statement: "desk".into(),
            what,
        };
        let mut statements = library::desk(self.base()).map_err(|p| fail(p.join("; ")))?;
        statements.extend(self.statements.clone());
        Wording::from_statements(&self.tag, statements)
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

    /// Sixteen hexadecimal digits that change when the words of a statement change.
    pub fn digest(&self, id: &str) -> Option<String> {
        let of_all = || {
            let statements = self.statements.iter();
            statements
                .map(|(id, text)| (id.clone(), library::digest(text)))
                .collect()
        };
        self.digests.get_or_init(of_all).get(id).cloned()
    }

    /// Digest of all statements, headings and labels too.
    pub fn whole_digest(&self) -> &str {
        let parts = || {
            let statements = self.statements.iter();
            statements.flat_map(|(id, text)| [id.as_bytes(), text.as_bytes()])
        };
        self.whole_digest.get_or_init(|| digest::of_parts(parts()))
    }

    /// This wording for one paper, which remembers what was filled.
    pub fn recorded(&self) -> RecordedWording<'_> {
        RecordedWording::new(self)
    }

    /// A name as it stands inside a sentence, by the rule of the language.
    pub fn inside_sentence(&self, name: &str) -> String {
        match library::language(&self.tag) {
            Some(language) if language.lowers_names => lower_first(name),
            _ => name.to_owned(),
        }
    }

    /// Names as one list, in which only the first stands as at the beginning of a sentence: "Masseter, chin and neck".
    pub fn list_of_names(&self, names: &[String]) -> String {
        let first = names.first().cloned();
        let others = names.iter().skip(1).map(|name| self.inside_sentence(name));
        let list: Vec<String> = first.into_iter().chain(others).collect();
        self.formats.and(&list)
    }

    /// The statement as one line without weights, where nobody asks what was filled.
    ///
    /// # Errors
    /// As `RecordedWording::rich`.
    pub fn line(&self, id: &str, context: &Context) -> Result<String, WordingError> {
        self.recorded().line(id, context)
    }

    /// A label that needs no values.
    ///
    /// # Errors
    /// As `RecordedWording::rich`.
    pub fn label(&self, id: &str) -> Result<String, WordingError> {
        self.line(id, &Context::new())
    }
}

fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| {
        first.to_lowercase().chain(chars).collect()
    })
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
