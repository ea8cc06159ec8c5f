//! Turns a form that was sent into a draft of a plan: what it began from, what it says now, and what is wrong with that.
//! Invariant: a draft is judged by the reader of plan files and by nothing else; what was typed is never lost.
//! Must not: write a file, or decide what may be saved.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use crate::desk::Desk;
use crate::desk::asking::Asked;
use crate::desk::house::{Opened, code_of};
use crate::diagnose::{Diagnostic, Format, SourceFile};
use crate::plan::Visit;
use crate::plan_form::{self, NotReadable, PlanForm};
use crate::practice::ReadError;

/// Names of the form that are no fields of a plan begin with one of these.
const OURS: [&str; 2] = ["desk.", "decide."];

/// A plan as somebody has it before them.
pub(super) struct Draft {
    /// What stands for its file in an address; none: it is new.
    pub code: Option<String>,
    /// Its file, without a folder.
    pub file: Option<String>,
    pub format: Format,
    /// The text that the form began from; empty: a new plan.
    pub base: String,
    pub form: PlanForm,
    /// What was typed beside questions that are not answered yet: by question, the parts of an answer.
    pub deciding: BTreeMap<String, PlanForm>,
    /// The question whose answer was to be recorded, and was not whole.
    pub incomplete: Option<String>,
}

/// What the reader of plans says of a draft.
pub(super) struct Judged {
    /// The draft as the text of a plan.
    pub text: String,
    pub source: Option<SourceFile>,
    pub visit: Option<Visit>,
    pub found: Vec<Diagnostic>,
}

impl Draft {
    /// A plan of the folder, as it is on disk.
    ///
    /// # Errors
    /// Its text cannot be taken apart.
    pub fn of_file(
        opened: &Opened,
        code: &str,
        file: &str,
        source: &SourceFile,
    ) -> Result<Draft, NotReadable> {
        Ok(Draft {
            code: Some(code.to_owned()),
            file: Some(file.to_owned()),
            format: source.format(),
            base: source.on_disk(),
            form: PlanForm::of(source, opened.practice.vocabulary())?,
            deciding: BTreeMap::new(),
            incomplete: None,
        })
    }

    /// A new plan that begins with this form.
    pub fn new(form: PlanForm) -> Draft {
        Draft {
            code: None,
            file: None,
            format: Format::Toml,
            base: String::new(),
            form,
            deciding: BTreeMap::new(),
            incomplete: None,
        }
    }

    /// The draft that was sent. Where only the front desk's part was sent, the rest is as in the file.
    pub fn sent(desk: &Desk, opened: &Opened, asked: &Asked) -> Draft {
        let code = asked.filled("desk.code").map(str::to_owned);
        let file = code.as_ref().and_then(|code| desk.file_of(code));
        let base = carried(asked.field("desk.base"));
        let format = match file.as_ref().map(PathBuf::from) {
            Some(file) => Format::of(&file).unwrap_or(Format::Toml),
            // it was taken away, and was one of the two
            None if base.trim_start().starts_with('{') => Format::Json,
            None => Format::Toml,
        };
        let of_plan = |(name, _): &&(String, String)| !OURS.iter().any(|own| name.starts_with(own));
        let sent = asked.fields.iter().filter(of_plan).cloned();
        let mut form = PlanForm::from_pairs(sent);
        let part = asked.field("desk.part").is_some();
        let began = form_of(opened, file.as_deref(), &base, format);
        if part {
            let mut whole = began.clone().unwrap_or_default();
            for field in super::fields::OF_THE_DESK {
                whole.set(field, form.all(field).iter().cloned());
            }
            form = whole;
        }
        let mut deciding: BTreeMap<String, PlanForm> = BTreeMap::new();
        if let Some(began) = began {
            in_order(&mut form, &began);
        }
        // to decide is not the front desk's
        for (name, value) in asked.fields.iter().filter(|_| !part) {
            let of = name
                .strip_prefix("decide.")
                .and_then(|rest| rest.split_once('.'));
            if let Some((question, part)) = of.filter(|_| !value.trim().is_empty()) {
                let entry = deciding.entry(question.to_owned()).or_default();
                entry.set(part, [value.as_str()]);
            }
        }
        let mut draft = Draft {
            code,
            file,
            format,
            base,
            form,
            deciding,
            incomplete: None,
        };
        draft.take_answers();
        let recorded = asked.filled("desk.record");
        let left = recorded.filter(|question| draft.deciding.contains_key(*question));
        draft.incomplete = left.map(str::to_owned);
        if let Some(place) = asked.filled("desk.forget").filter(|_| !part) {
            draft.form.clear(&format!("answer.{place}"));
        }
        draft
    }

    /// What was decided, with a reason, becomes an answer of the plan; an older one to the same question goes.
    fn take_answers(&mut self) {
        let whole = |said: &PlanForm| {
            ["decision", "because", "by", "on", "to"]
                .iter()
                .all(|part| said.get(part).is_some())
        };
        let ready: Vec<String> = self
            .deciding
            .iter()
            .filter(|(_, said)| whole(said))
            .map(|(question, _)| question.clone())
            .collect();
        for question in ready {
            let Some(said) = self.deciding.remove(&question) else {
                continue;
            };
            let code = said.get("question").unwrap_or_default().to_owned();
            for place in self.form.numbers("answer") {
                let at = format!("answer.{place}");
                let same = self.form.get(&format!("{at}.to")) == said.get("to")
                    && self.form.get(&format!("{at}.question")) == Some(code.as_str());
                if same {
                    self.form.clear(&at);
                }
            }
            let next = self
                .form
                .numbers("answer")
                .last()
                .map_or(0, |last| last + 1);
            for part in ["to", "question", "decision", "because", "by", "on"] {
                self.form.set(
                    &format!("answer.{next}.{part}"),
                    said.all(part).iter().cloned(),
                );
            }
        }
    }

    /// The name a diagnostic gives it.
    fn name(&self) -> &str {
        self.file.as_deref().unwrap_or("plan.toml")
    }

    /// Reads the draft as the text it would be saved as.
    pub fn judge(&self, opened: &Opened) -> Judged {
        let vocabulary = opened.practice.vocabulary();
        let mut text = self.base.clone();
        // a place with a mistake is written anew, so that `"20"` becomes 20 although it looks the same in its field
        let base = source_of(self.file.as_deref(), &self.base, self.format);
        if let Some(base) = &base
            && let Err(ReadError::Mistakes(mistakes)) = opened.practice.read_source(base)
        {
            let fields: BTreeSet<String> = mistakes
                .iter()
                .filter_map(|found| plan_form::field_of(base, &found.path, vocabulary))
                .collect();
            let fields = fields.iter().map(String::as_str);
            if let Ok(mended) = plan_form::mend(&text, self.format, fields, vocabulary) {
                text = mended;
            }
        }
        if let Ok(written) = plan_form::write(&text, self.format, &self.form, vocabulary) {
            text = written;
        }
        judged(opened, self.name(), text, self.format)
    }

    /// Which field a mistake belongs to.
    pub fn field_of(&self, judged: &Judged, opened: &Opened, found: &Diagnostic) -> Option<String> {
        let source = judged.source.as_ref()?;
        plan_form::field_of(source, &found.path, opened.practice.vocabulary())
    }
}

/// What is ticked comes in the order of the page; where the file has it in another, that one is kept.
fn in_order(form: &mut PlanForm, began: &PlanForm) {
    let fields: Vec<String> = form.fields().map(str::to_owned).collect();
    for field in fields {
        let order = began.all(&field);
        if order.len() > 1 {
            let mut texts = form.all(&field).to_vec();
            let place = |text: &String| order.iter().position(|own| own == text);
            texts.sort_by_key(|text| place(text).unwrap_or(order.len()));
            form.set(&field, texts);
        }
    }
}

/// A text that went through the page and back: as a JSON text, for a browser writes line ends its own way.
pub(super) fn carried(field: Option<&str>) -> String {
    field
        .and_then(|text| serde_json::from_str(text).ok())
        .unwrap_or_default()
}

/// Reads a text as a plan.
pub(super) fn judged(opened: &Opened, name: &str, text: String, format: Format) -> Judged {
    let source = match SourceFile::from_bytes(name, text.as_bytes(), format) {
        Ok(source) => source,
        Err(found) => {
            return Judged {
                text,
                source: None,
                visit: None,
                found: vec![*found],
            };
        }
    };
    let (visit, found) = match opened.practice.read_source(&source) {
        Ok(visit) => (Some(visit), Vec::new()),
        Err(ReadError::Mistakes(mistakes)) => (None, mistakes.iter().cloned().collect()),
        // reading a text asks the machine for nothing
        Err(ReadError::Failed(_)) => (None, Vec::new()),
    };
    Judged {
        text,
        source: Some(source),
        visit,
        found,
    }
}

/// A text as a file; none where nothing is in it.
fn source_of(file: Option<&str>, text: &str, format: Format) -> Option<SourceFile> {
    SourceFile::from_bytes(file.unwrap_or("plan.toml"), text.as_bytes(), format).ok()
}

/// A text as the form that shows it; none where it cannot be taken apart.
pub(super) fn form_of(
    opened: &Opened,
    file: Option<&str>,
    text: &str,
    format: Format,
) -> Option<PlanForm> {
    let source = source_of(file, text, format)?;
    PlanForm::of(&source, opened.practice.vocabulary()).ok()
}

impl Desk {
    /// The plan of the folder that this stands for in an address.
    pub(super) fn file_of(&self, code: &str) -> Option<String> {
        let files = self.house.plan_files().ok()?;
        let secret = self.gateway.secret();
        files.into_iter().find(|file| code_of(secret, file) == code)
    }
}
