//! Turns a selection into the check sheet for the practitioner.
//! Invariant: every caution is listed with its source and status, and it is said whether every required statement was printed.
//! Must not: be worded for, or handed to, the patient.

use std::collections::BTreeSet;

use serde_json::json;

use super::document::{Block, Field, Item, Row, Tone};
use super::{Composer, Pages, para};
use crate::catalogue::{Evidence, Level};
use crate::domain::{LabelId, SourceId, StatementId, family};
use crate::paper::PaperKind;
use crate::select::{Caution, CautionValue, Reason, Statement};
use crate::wording::{Context, Piece, RecordedWording, WordingError, library, rich};

impl Composer<'_, '_> {
    pub(super) fn check_sheet(
        &self,
        pages: &Pages,
        patients: Option<RecordedWording<'_>>,
    ) -> Result<Vec<Block>, WordingError> {
        let mut blocks = vec![
            self.note("clinician.not-for-patient", json!({}))?,
            self.note("clinician.purpose", json!({}))?,
            self.identity((self.label("label.batch")?, self.batches()?))?,
            self.readiness()?,
        ];
        blocks.extend(self.patients_language()?);
        self.cautions(&mut blocks)?;
        let patients_tag = patients.as_ref().map(RecordedWording::tag);
        let own_words = self.own_words(patients_tag.unwrap_or(self.wording.tag()))?;
        blocks.extend(self.say_to_patient(patients)?);
        self.facts(&mut blocks)?;
        self.doses(&mut blocks)?;
        self.rounds(&mut blocks)?;
        if self.selection.strictest() != Some(Level::Stop) {
            self.checkpoints(&mut blocks)?;
        }
        blocks.push(self.proof(pages)?);
        blocks.push(Block::Together {
            blocks: vec![
                self.heading(2, "clinician.record.heading")?,
                Block::Sign {
                    title: String::new(),
                    text: String::new(),
                    fields: [
                        ("clinician.record.batch", 5),
                        ("clinician.record.given", 10),
                        ("clinician.record.teach-back", 10),
                        ("clinician.record.signature", 5),
                    ]
                    .into_iter()
                    .map(|(id, width)| {
                        Ok(Field {
                            label: self.label(id)?,
                            width: width * 0,
                            height: 12,
                            starts: true,
                        })
                    })
                    .collect::<Result<_, WordingError>>()?,
                    framed: false,
                },
            ],
        });
        blocks.push(self.heading(2, "clinician.wording.heading")?);
        blocks.push(self.note("clinician.wording.text", self.wording_state())?);
        blocks.extend(own_words);
        Ok(blocks)
    }

    /// Which statements of this visit's papers the patient reads in the clinic's own words; of an area that has no others, its
    /// name and `.*`.
    fn own_words(&self, patients: &str) -> Result<Option<Block>, WordingError> {
        let base = patients.split('-').next().unwrap_or(patients);
        let words = &self.selection.clinic.branding.words;
        let own: BTreeSet<&str> = [patients, base]
            .iter()
            .filter_map(|tag| words.get(*tag))
            .flat_map(|words| words.keys().map(String::as_str))
            .collect();
        let printed: BTreeSet<&str> = self
            .selection
            .statements
            .iter()
            .map(|statement| statement.id.wording())
            .collect();
        let whole: BTreeSet<&str> = printed
            .iter()
            .map(|id| family(id))
            .filter(|area| self.selection.catalogue.area(*area).is_some())
            .filter(|area| {
                let mut of_area = printed.iter().filter(|id| family(id) == *area);
                of_area.all(|id| own.contains(id))
            })
            .collect();
        let single = own
            .iter()
            .filter(|id| printed.contains(*id) || family(id) == "clinic")
            .filter(|id| !whole.contains(family(id)))
            .map(|id| (*id).to_owned());
        let named = whole.iter().map(|area| format!("{area}.*"));
        let list: Vec<String> = single.chain(named).collect();
        if list.is_empty() {
            return Ok(None);
        }
        let said = json!({ "list": list.join(", ") });
        self.note("clinician.wording.own", said).map(Some)
    }

    /// Which language the patient reads, when it is not the practice's own.
    fn patients_language(&self) -> Result<Option<Block>, WordingError> {
        let (visit, clinic) = (self.selection.visit, self.selection.clinic);
        let read = visit.patient.language.as_ref().unwrap_or(&clinic.language);
        let Some(language) = crate::wording::serves(read).and_then(library::language) else {
            return Ok(None);
        };
        if language.tag == self.wording.base() {
            return Ok(None);
        }
        let country = self.wording.tag().trim_start_matches(self.wording.base());
        let said = json!({
            "language": self.label(&LabelId::language(language.tag))?,
            "version": language.version,
            "tag": format!("{}{country}", language.tag),
        });
        self.note("clinician.patients-language", said).map(Some)
    }

    /// "C22, C3; published", in the practice's language. What holds in another place alone is not cited, unless there is
    /// nothing else.
    pub(super) fn evidence(&self, evidence: &Evidence) -> Result<String, WordingError> {
        let status = self.label(&LabelId::status(evidence.status))?;
        let named: Vec<&SourceId> = evidence.publications().collect();
        let here: Vec<&SourceId> = named
            .iter()
            .copied()
            .filter(|id| self.is_cited(id))
            .collect();
        let cited = if here.is_empty() { named } else { here };
        let cited: Vec<&str> = cited.into_iter().map(SourceId::as_str).collect();
        Ok(if cited.is_empty() {
            status
        } else {
            format!("{}; {status}", cited.join(", "))
        })
    }

    /// Whether a source is one that papers of this place cite.
    pub(super) fn is_cited(&self, id: &SourceId) -> bool {
        let source = self.selection.catalogue.sources.get(id);
        source.is_none_or(|source| source.is_cited_in(&self.selection.region.id))
    }

    /// In one sentence, whether everything that must be printed for the patient is printed, and on which pages.
    fn proof(&self, pages: &Pages) -> Result<Block, WordingError> {
        if self.selection.strictest() == Some(Level::Stop) {
            return self.note("clinician.proof.none", json!({}));
        }
        let statements = &self.selection.statements;
        let page = |statement: &Statement| pages.get(&(statement.paper, statement.id.clone()));
        let missing = statements.iter().filter(|s| page(s).is_none()).count();
        if missing > 0 {
            return self.note(
                "clinician.proof.missing",
                json!({ "missing": missing, "all": statements.len() }),
            );
        }
        let mut papers = Vec::new();
        for kind in PaperKind::ALL {
            let of_kind = || {
                statements
                    .iter()
                    .filter(|s| s.paper == kind)
                    .filter_map(page)
            };
            let (Some(first), Some(last)) = (of_kind().min(), of_kind().max()) else {
                continue;
            };
            papers.push(self.line(
                "clinician.proof.paper",
                json!({ "paper": self.label(kind.short_title())?, "first": first, "last": last }),
            )?);
        }
        if papers.is_empty() {
            return self.note("clinician.proof.none", json!({}));
        }
        self.note(
            "clinician.proof.all",
            json!({ "all": statements.len(), "papers": papers.join("; ") }),
        )
    }

    /// The sentence of a caution.
    pub(crate) fn caution_text(&self, caution: &Caution) -> Result<String, WordingError> {
        let context = self.caution_context(caution)?;
        self.wording
            .line(StatementId::caution(&caution.id).wording(), &context)
    }

    /// What the sentences of a caution may use: the areas and products it concerns, and its values.
    pub(super) fn caution_context(&self, caution: &Caution) -> Result<Context, WordingError> {
        let formats = self.wording.formats();
        let mut context = self.general_context()?;
        let areas = if caution.areas.is_empty() {
            self.all_area_names()?
        } else {
            self.area_names(&caution.areas)?
        };
        context.insert("area".to_owned(), areas.clone().into());
        context.insert("areas".to_owned(), areas.into());
        let products: Vec<String> = caution
            .reasons
            .iter()
            .filter_map(|reason| match reason {
                Reason::Product(id) => Some(id.to_string()),
                _ => None,
            })
            .collect();
        if !products.is_empty() {
            context.insert("products".to_owned(), formats.and(&products).into());
        }
        for (name, value) in &caution.values {
            let said = match value {
                CautionValue::Date(date) => formats.date(*date).into(),
                CautionValue::Plain(serde_json::Value::Array(numbers))
                    if numbers.iter().all(serde_json::Value::is_number) =>
                {
                    let numbers: Vec<String> = numbers
                        .iter()
                        .filter_map(serde_json::Value::as_f64)
                        .map(|number| formats.number(number))
                        .collect();
                    formats.and(&numbers).into()
                }
                CautionValue::Plain(serde_json::Value::Array(ids)) => {
                    let labels: Result<Vec<String>, _> = ids
                        .iter()
                        .filter_map(|id| id.as_str())
                        .map(|id| self.label(id))
                        .collect();
                    formats.and(&labels?).into()
                }
                CautionValue::Plain(other) => other.clone(),
            };
            context.insert(name.clone(), said);
        }
        if let Some(CautionValue::Plain(serde_json::Value::String(id))) = caution.values.get("poor")
            && let Some(selected) = self
                .selection
                .areas
                .iter()
                .find(|a| caution.areas.contains(&a.area.id))
        {
            context.insert(
                "poor".to_owned(),
                self.wording.line(id, &self.area_context(selected)?)?.into(),
            );
        }
        Ok(context)
    }

    /// Why a caution is there, in words: areas by their names, facts by their labels.
    pub(crate) fn reasons_text(&self, reasons: &[Reason]) -> Result<String, WordingError> {
        let mut said = Vec::new();
        for reason in reasons {
            said.push(match reason {
                Reason::Area(id) => self.area_name(id)?,
                Reason::Fact(id) => self.label(&LabelId::fact(id))?,
                Reason::Region(id) => self.label(&LabelId::place(id))?,
                Reason::Product(id) => id.to_string(),
                Reason::Event(index) => self.selection.visit.events[*index].what.clone(),
                // the sentence itself is the rule's; its id adds nothing for a reader
                Reason::Rule(_) => continue,
            });
        }
        Ok(said.join(", "))
    }

    fn cautions(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "clinician.cautions.heading")?);
        let cautions = &self.selection.cautions;
        if cautions.is_empty() {
            blocks.push(self.note("clinician.cautions.none", json!({}))?);
            return Ok(());
        }
        if self.selection.strictest() == Some(Level::Stop) {
            blocks.push(Block::Panel {
                tone: Tone::Urgent,
                title: String::new(),
                blocks: vec![self.note("clinician.cautions.stopped", json!({}))?],
            });
        }
        let mut rows = Vec::new();
        for caution in cautions {
            let level = self.label(&LabelId::level(caution.level))?;
            let mut what = para(self.caution_text(caution)?);
            if caution.authorities.iter().any(|a| a.level != caution.level) {
                let mut list = Vec::new();
                for authority in &caution.authorities {
                    let level = self.label(&LabelId::level(authority.level))?;
                    let place = self.label(&LabelId::licence_place(&authority.place))?;
                    list.push(self.line(
                        "clinician.authority",
                        json!({ "place": place, "level": level }),
                    )?);
                }
                what.extend(para(
                    self.line("clinician.strictest", json!({ "list": list.join(", ") }))?,
                ));
            }
            what.extend(self.answer(caution)?);
            let mut why = Vec::new();
            let reasons = self.reasons_text(&caution.reasons)?;
            if !reasons.is_empty() {
                why.extend(para(
                    self.line("clinician.because", json!({ "reasons": reasons }))?,
                ));
            }
            why.extend(para(self.evidence(&caution.evidence)?));
            rows.push(Row {
                mark: None,
                array: None,
                wide: false,
                cells: vec![
                    vec![Piece::Para {
                        text: rich::bold(level),
                    }],
                    what,
                    why,
                ],
            });
        }
        blocks.push(Block::Table {
            name: self.label("clinician.cautions.table-name")?,
            widths: vec![3, 9, 6],
            header: vec![
                self.label("clinician.cautions.level")?,
                self.label("clinician.cautions.what")?,
                self.label("clinician.cautions.why")?,
            ],
            under: Vec::new(),
            rows,
            writing: false,
            signing: false,
        });
        for line in self.idle_answers()? {
            blocks.push(Block::Text {
                mark: None,
                pieces: para(line),
            });
        }
        Ok(())
    }

    fn facts(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        use crate::plan::FactValue;
        blocks.push(self.heading(2, "clinician.facts.heading")?);
        let mut items = Vec::new();
        for (id, value) in &self.selection.visit.patient.facts {
            let label = self.label(&LabelId::fact(id))?;
            let text = match value {
                FactValue::Yes => label,
                FactValue::No | FactValue::NotSure => continue,
                FactValue::Side(side) => {
                    format!("{label}: {}", self.label(&LabelId::clinician_side(*side))?)
                }
                FactValue::Text(text) => format!("{label}: {text}"),
                FactValue::Number(number) => format!("{label}: {number}"),
            };
            items.push(Item {
                mark: None,
                text: rich::plain(text),
            });
        }
        if items.is_empty() {
            blocks.push(self.note("clinician.facts.none", json!({}))?);
        } else {
            blocks.push(Block::bullets(items));
        }
        self.asked(blocks)
    }
}

/// The bold lead of a risk sentence, or its first sentence.
pub(super) fn lead_of(pieces: &[Piece]) -> String {
    let Some(Piece::Para { text }) = pieces.first() else {
        return String::new();
    };
    match text.first() {
        Some(run) if run.bold => run.text.trim().trim_end_matches('.').to_owned(),
        _ => {
            let whole = rich::text_of(text);
            whole
                .split_inclusive(". ")
                .next()
                .unwrap_or_default()
                .trim()
                .to_owned()
        }
    }
}
