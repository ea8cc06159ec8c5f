//! Turns a selection and a wording into one paper of each kind as plain documents.
//! Invariant: every statement is written under its own id exactly once; a paper is whole or an error names what is missing.
//! Must not: know the typesetter, or choose what is said (that is `select`).

mod aftercare;
mod annex;
mod bands;
mod block_parts;
pub mod book;
mod book_rows;
mod branding;
pub mod check_parts;
mod checkpoints;
mod clinician;
mod consent;
pub mod day;
pub mod day_slip;
mod decide;
pub mod document;
mod dose_table;
mod drawn_parts;
mod evidence;
mod figures;
mod information;
mod lead;
pub mod lines;
pub mod map;
pub mod pictures;
mod planned;
mod questions;
mod reading_copy;
mod risk_lists;
mod risks;
mod said;
mod said_to_patient;
mod short;
mod stop_sheet;
mod timeline;
mod unsigned;
mod view;
mod worked_out;

use serde_json::json;

use crate::catalogue::{Level, Region, WindowKind};
use crate::domain::{AreaId, Blank, LabelId, PageSize, ProductId, Side, StatementId};
use crate::paper::{Edition, PaperKind};
use crate::plan::Clinic;
use crate::select::{SelectedArea, Selection, review};
use crate::wording::{
    Approvals, Context, Formats, Piece, RecordedWording, WordingError, library, rich,
};

pub use book::{BookOfWords, wording_book};
pub use document::{Block, Document};
pub use lead::lead;
pub use reading_copy::reading_copy;
pub use said::{
    GivenAnswer, NotAskedLine, WordedCaution, cautions_said, not_asked_said, readiness_said,
};
pub use said_to_patient::{SaidToPatient, said_to_patient};
pub use worked_out::{
    Answered, DateGroup, DateLine, DoseLine, ToDecide, Unasked, WhyPrinted, WorkedOut, why_printed,
    worked_out,
};

/// Where each statement of the patient's papers was printed: paper and id to first page; the clinician's sheet shows it.
pub type Pages = std::collections::BTreeMap<(PaperKind, StatementId), usize>;

/// What later papers of a visit name of those made before them.
#[derive(Debug, Clone, Default)]
pub struct Made {
    pub pages: Pages,
    /// Document codes of the ordinary papers.
    pub codes: std::collections::BTreeMap<PaperKind, String>,
    /// Whether any of them is marked as a draft or for training.
    pub marked: bool,
}

/// Body text of ordinary print, in points (D35: 12 pt is the least for clear print).
pub const TYPE_SIZE: f64 = 12.0;

/// Type size of large print where our sources name none for the place: the larger of the two they name (D35, D38).
pub const LARGE_PRINT: f64 = 18.0;

/// Composes one paper in words that record what was filled: it is marked as a draft when any of it is not approved.
///
/// # Errors
/// A sentence is missing or cannot be filled.
pub fn compose(
    kind: PaperKind,
    edition: Edition,
    selection: &Selection<'_>,
    wording: RecordedWording<'_>,
    made: &Made,
    approvals: &Approvals,
) -> Result<Document, WordingError> {
    let composer = Composer { selection, wording };
    let blocks = match kind {
        PaperKind::Information => composer.information()?,
        PaperKind::Consent => composer.consent(made)?,
        PaperKind::Aftercare => composer.aftercare(None)?,
        PaperKind::CheckSheet => composer.check_sheet(&made.pages, None)?,
        PaperKind::Evidence => composer.evidence_annex(made)?,
    };
    // what stays with the practitioner says how the wording stands in its own words
    let draft = kind.is_handed_out() && !composer.wording.unapproved(approvals).is_empty();
    let mut document = composer.finished(kind, edition, blocks, draft)?;
    if made.marked && !kind.is_handed_out() {
        document.running_lines.notice = Some(composer.notice_of_state()?);
    }
    Ok(document)
}

/// Composes the aftercare sheet, with what is shown to others in the practice's language too.
///
/// # Errors
/// A sentence is missing or cannot be filled.
pub fn aftercare_sheet(
    edition: Edition,
    selection: &Selection<'_>,
    wording: RecordedWording<'_>,
    practices: RecordedWording<'_>,
    approvals: &Approvals,
) -> Result<Document, WordingError> {
    let composer = Composer { selection, wording };
    let blocks = composer.aftercare(Some(&practices))?;
    let draft = [&composer.wording, &practices]
        .iter()
        .any(|words| !words.unapproved(approvals).is_empty());
    composer.finished(PaperKind::Aftercare, edition, blocks, draft)
}

/// Composes the check sheet, with the words that `patients` has for the patient where the visit is stopped.
///
/// # Errors
/// A sentence is missing or cannot be filled.
pub fn check_sheet(
    selection: &Selection<'_>,
    wording: RecordedWording<'_>,
    patients: RecordedWording<'_>,
    made: &Made,
    approvals: &Approvals,
) -> Result<Document, WordingError> {
    let composer = Composer { selection, wording };
    let blocks = composer.check_sheet(&made.pages, Some(patients))?;
    let mut document = composer.document(PaperKind::CheckSheet, Edition::Ordinary, blocks)?;
    // whoever treats sees at once that the papers in the patient's hands are not to be signed in earnest
    // a stop sheet also says what is read out to the patient, and there may be no papers
    let read_out = selection.strictest() == Some(Level::Stop);
    let unapproved = || !composer.wording.unapproved(approvals).is_empty();
    if made.marked || (read_out && unapproved()) {
        document.running_lines.notice = Some(composer.notice_of_state()?);
    }
    Ok(document)
}

/// A selection in the words of one language.
pub(crate) struct Composer<'c, 'a> {
    selection: &'c Selection<'a>,
    wording: RecordedWording<'c>,
}

/// An object literal as a context.
pub(crate) fn values(value: serde_json::Value) -> Context {
    match value {
        serde_json::Value::Object(map) => map,
        other => unreachable!("contexts are objects, not {other}"),
    }
}

impl Composer<'_, '_> {
    /// A paper of these blocks, marked where it is a draft, in the type of its edition.
    fn finished(
        &self,
        kind: PaperKind,
        edition: Edition,
        blocks: Vec<Block>,
        draft: bool,
    ) -> Result<Document, WordingError> {
        let mut document = self.document(kind, edition, blocks)?;
        if draft {
            self.unapproved(&mut document)?;
        }
        if edition.is_large() {
            let size = self.selection.region.large_print.as_ref();
            document.enlarge(size.map_or(LARGE_PRINT, |size| size.value));
        }
        Ok(document)
    }

    /// Marks a paper whose words nobody has approved; without the clinic's leave it has no place to sign.
    fn unapproved(&self, document: &mut Document) -> Result<(), WordingError> {
        document.running_lines.notice = Some(self.notice_of_state()?);
        if self.selection.clinic.training {
            return Ok(());
        }
        let no_place = self
            .wording
            .pieces("paper.no-place-to-sign", &Context::new())?;
        let mut said = false;
        unsigned::strip_signing(&mut document.blocks, &mut |blocks: &mut Vec<Block>| {
            if !std::mem::replace(&mut said, true) {
                blocks.push(Block::Text {
                    mark: None,
                    pieces: no_place.clone(),
                });
            }
        });
        Ok(())
    }

    /// What stands at the head of a paper in words that nobody has approved.
    fn notice_of_state(&self) -> Result<String, WordingError> {
        self.label(match self.selection.clinic.training {
            true => "paper.training",
            false => "paper.draft",
        })
    }

    fn document(
        &self,
        kind: PaperKind,
        edition: Edition,
        blocks: Vec<Block>,
    ) -> Result<Document, WordingError> {
        let (selection, wording) = (self.selection, &self.wording);
        let visit = selection.visit;
        let formats = wording.formats();
        let made = selection.made_on();
        let size = page_size(selection.clinic, Some(selection.region));
        Ok(Document {
            paper: edition.recorded(kind),
            language: wording.tag().to_owned(),
            title: wording.label(kind.title())?,
            page_size: size,
            type_size: TYPE_SIZE,
            large: false,
            masthead: self.masthead(kind)?,
            date: (made.year(), made.month(), made.day()),
            running_lines: document::RunningLines {
                name: visit.patient.name.clone(),
                identity: vec![
                    self.line(
                        "identity.born",
                        json!({ "date": formats.short_date(visit.patient.born) }),
                    )?,
                    self.line("identity.record", json!({ "record": visit.patient.record }))?,
                ],
                paper: wording.label(kind.short_title())?,
                visit: self.line(
                    "identity.visit",
                    json!({ "date": formats.short_date(visit.date) }),
                )?,
                clinic: selection.clinic.name.clone(),
                wording: wording_line(&self.wording)?,
                notice: None,
                code: String::new(),
                page_of: page_of(&self.wording)?,
            },
            accent: selection.clinic.branding.accent.clone(),
            logo: branding::picture(selection.clinic),
            record: String::new(),
            calls: vec![
                self.emergency(),
                selection.clinic.phone.clone(),
                selection.clinic.phone_out_of_hours.clone(),
            ],
            blocks,
        })
    }

    fn line(&self, id: &str, context: serde_json::Value) -> Result<String, WordingError> {
        self.wording.line(id, &values(context))
    }

    fn label(&self, id: &str) -> Result<String, WordingError> {
        self.wording.label(id)
    }

    fn heading(&self, level: u8, id: &str) -> Result<Block, WordingError> {
        Ok(Block::heading(level, self.label(id)?))
    }

    /// A paragraph that is not a required statement.
    fn note(&self, id: &str, context: serde_json::Value) -> Result<Block, WordingError> {
        Ok(Block::Text {
            mark: None,
            pieces: self.wording.pieces(id, &values(context))?,
        })
    }

    /// A required statement under its own id.
    fn statement(&self, id: StatementId, context: &Context) -> Result<Block, WordingError> {
        let pieces = self.wording.pieces(id.wording(), context)?;
        Ok(Block::Text {
            mark: Some(id),
            pieces,
        })
    }

    fn side(&self, side: Side) -> Result<String, WordingError> {
        self.label(&LabelId::side(side))
    }

    /// The patient's name for an area.
    fn area_name(&self, area: &AreaId) -> Result<String, WordingError> {
        self.label(&LabelId::area_name(area))
    }

    fn area_names(&self, areas: &[AreaId]) -> Result<String, WordingError> {
        let names: Result<Vec<String>, _> = areas.iter().map(|area| self.area_name(area)).collect();
        Ok(self.wording.list_of_names(&names?))
    }

    /// The names of the areas that something concerns; none named means the whole visit.
    fn concerned_area_names(&self, areas: &[AreaId]) -> Result<String, WordingError> {
        if areas.is_empty() {
            self.all_area_names()
        } else {
            self.area_names(areas)
        }
    }

    fn all_area_names(&self) -> Result<String, WordingError> {
        let areas = self.selection.areas.iter();
        let ids: Vec<AreaId> = areas.map(|a| a.area.id.clone()).collect();
        self.area_names(&ids)
    }

    fn product_names(&self) -> String {
        self.product_names_in(self.wording.formats())
    }

    fn product_names_in(&self, formats: &Formats) -> String {
        let names: Vec<String> = self
            .selection
            .products
            .iter()
            .map(|p| p.id.to_string())
            .collect();
        formats.and(&names)
    }

    fn emergency(&self) -> String {
        self.wording
            .formats()
            .or(&self.selection.region.emergency.value)
    }

    /// What every statement of an area may use: its name, product, side, windows, numbers and course.
    fn area_context(&self, selected: &SelectedArea<'_>) -> Result<Context, WordingError> {
        let area = selected.area;
        let mut windows = Context::new();
        for kind in WindowKind::ALL {
            if let Some(window) = area.window(kind, &selected.product.id) {
                windows.insert(kind.key().to_owned(), self.wording.window(window)?.into());
            }
        }
        let mut numbers = Context::new();
        for number in &area.number {
            numbers.insert(
                Blank::number_key(&number.id),
                self.wording.number(number)?.into(),
            );
        }
        let mut context = self.general_context()?;
        context.extend(values(json!({
            "area": self.area_name(&area.id)?,
            "product": selected.product.id,
            "side": selected.planned.side.as_str(),
            "round": selected.planned.round.unwrap_or(1),
            "w": windows,
            "n": numbers,
        })));
        if let Some(course) = &area.course {
            context.insert("course".to_owned(), self.wording.course(course)?);
        }
        Ok(context)
    }

    /// What the statements for every patient may use.
    fn general_context(&self) -> Result<Context, WordingError> {
        let mut numbers = Context::new();
        for number in &self.selection.catalogue.general.number {
            numbers.insert(
                Blank::number_key(&number.id),
                self.wording.number(number)?.into(),
            );
        }
        let report = self
            .selection
            .region
            .report
            .as_ref()
            .map_or("local", |report| report.value.as_str());
        let none_confirmed = self.selection.none_confirmed();
        let areas = self.selection.areas.iter();
        let pricks: Option<u32> = areas.map(|area| area.planned.points).sum();
        let mut sides = self.selection.areas.iter().map(|area| area.planned.side);
        let one_sided = sides.all(|side| matches!(side, Side::Left | Side::Right));
        let visits = &self.selection.clinic.visits;
        let review = match review(&self.selection.areas) {
            Some(days) => self.said("timeline.alt.when", Some(days))?,
            None => String::new(),
        };
        let said = |flag: Option<bool>| flag.map_or("", |yes| if yes { "yes" } else { "no" });
        Ok(values(json!({
            "product": self.product_names(),
            "products": self.product_names(),
            "areas": self.all_area_names()?,
            "n": numbers,
            "emergency": self.emergency(),
            "urgent": self.selection.region.urgent.as_ref().map_or("", |urgent| urgent.value.as_str()),
            "place_name": self.place_name()?,
            "none_confirmed": self.wording.inside_sentence(&self.area_names(&none_confirmed)?),
            "report_how": self.label(&LabelId::report(report))?,
            "several": self.selection.areas.len() > 1,
            "one_sided": one_sided,
            "milk": self.selection.holds_milk_protein(),
            "waits_differ": self.selection.waits_differ(),
            "sooner": self.selection.areas.iter().any(|area| area.sooner_than_label().is_some()),
            "pricks": pricks.unwrap_or_default(),
            "numbing": said(visits.numbing),
            "top_up": said(visits.top_up),
            "above_limit": self.selection.is_above_limit(),
            "review": review,
            "review_included": said(visits.review_included),
            "top_up_included": said(visits.top_up_included),
            "clinic": self.selection.clinic.name,
            "phone": self.selection.clinic.phone,
        })))
    }

    /// Who treats, in the clinic's own words.
    fn practitioner_said(&self) -> serde_json::Value {
        let person = self.selection.practitioner;
        json!({ "name": person.name, "role": self.in_language(&person.role), "registration": person.registration })
    }

    /// Words of the clinic's file in the language of the paper, where the clinic says them in it.
    fn in_language<'w>(&'w self, words: &'w str) -> &'w str {
        let clinic = self.selection.clinic;
        clinic.said_in(self.wording.base(), words)
    }

    /// The place of the clinic as it stands after "in".
    fn place_name(&self) -> Result<String, WordingError> {
        self.label(&LabelId::place(&self.selection.region.id))
    }

    /// Whom, when, by whom, with what, and one more thing that this paper needs.
    fn identity(&self, last: (String, String)) -> Result<Block, WordingError> {
        let visit = self.selection.visit;
        let formats = self.wording.formats();
        let time = visit.time.map_or(String::new(), |time| formats.time(time));
        let when = json!({ "date": formats.short_date(visit.date), "time": time });
        let who = vec![
            (self.label("label.name")?, visit.patient.name.clone()),
            (
                self.label("label.born")?,
                formats.short_date(visit.patient.born),
            ),
            (self.label("label.record")?, visit.patient.record.clone()),
            (
                self.label("label.visit")?,
                self.line("label.visit-value", when)?,
            ),
        ];
        let what = vec![
            self.practitioner_fact()?,
            (self.label("label.product")?, self.product_names()),
            last,
        ];
        let mut lines = vec![who, what];
        lines.extend(self.prescriber_fact()?.map(|fact| vec![fact]));
        Ok(Block::Facts { lines })
    }

    fn masthead(&self, kind: PaperKind) -> Result<document::Masthead, WordingError> {
        let clinic = self.selection.clinic;
        Ok(document::Masthead {
            style: match kind {
                PaperKind::Information | PaperKind::Aftercare => document::MastheadStyle::Full,
                PaperKind::Consent => document::MastheadStyle::Short,
                PaperKind::Evidence => document::MastheadStyle::Title,
                // its first part has the title
                PaperKind::CheckSheet => document::MastheadStyle::None,
            },
            clinic: clinic.name.clone(),
            address: clinic.address.join(", "),
            phone: clinic.phone.clone(),
            phone_note: self.phone_note(kind)?,
        })
    }

    /// The batch number of each product, in the order of the products; where it is not known yet, room to write it.
    fn batches(&self) -> Result<String, WordingError> {
        self.batches_in(&self.wording)
    }

    /// The batches of a product that the plan names, each once.
    fn batches_of(&self, product: &ProductId) -> Vec<String> {
        let areas = self.selection.areas.iter();
        let used = areas.map(|selected| self.selection.visit.product_of(selected.planned));
        let mut known: Vec<String> = used
            .filter(|used| used.name == *product)
            .filter_map(|used| used.batch.clone())
            .collect();
        known.dedup();
        known
    }

    /// The plan names a batch of every product.
    fn batches_known(&self) -> bool {
        let mut products = self.selection.products.iter();
        products.all(|product| !self.batches_of(&product.id).is_empty())
    }

    fn batches_in(&self, wording: &RecordedWording<'_>) -> Result<String, WordingError> {
        let mut batches = Vec::new();
        for product in &self.selection.products {
            let mut known = self.batches_of(&product.id);
            match known.is_empty() {
                true => batches.push(wording.label("label.blank")?),
                false => batches.append(&mut known),
            }
        }
        Ok(wording.formats().and(&batches))
    }

    fn practitioner_fact(&self) -> Result<(String, String), WordingError> {
        let person = self.selection.practitioner;
        Ok((self.label("label.practitioner")?, person.name.clone()))
    }

    /// Who prescribes and when they saw the patient, where it is somebody else.
    fn prescriber_fact(&self) -> Result<Option<(String, String)>, WordingError> {
        let visit = self.selection.visit;
        let named = visit.prescriber.as_ref();
        let named = named.filter(|id| **id != visit.practitioner);
        let Some(person) = named.and_then(|id| self.selection.clinic.practitioner(id)) else {
            return Ok(None);
        };
        let saw_on = visit.prescriber_saw_on;
        let saw_on = saw_on.map(|day| self.wording.formats().short_date(day));
        let value = self.line(
            "label.prescriber-value",
            json!({
                "name": person.name, "role": self.in_language(&person.role), "registration": person.registration,
                "saw_on": saw_on.unwrap_or_default(),
            }),
        )?;
        Ok(Some((self.label("label.prescriber")?, value)))
    }
}

/// The paper a clinic prints on: its own choice, or that of its place.
fn page_size(clinic: &Clinic, region: Option<&Region>) -> &'static str {
    let of_place = region.map(|region| region.paper.value);
    clinic.paper.or(of_place).unwrap_or(PageSize::A4).as_str()
}

/// Version, language and date of review of these words.
fn wording_state(wording: &RecordedWording<'_>) -> serde_json::Value {
    let tag = wording.tag();
    json!({ "version": wording.version(), "language": tag, "review": library::review_by(tag) })
}

/// The same in a line, as it stands at the foot.
fn wording_line(wording: &RecordedWording<'_>) -> Result<String, WordingError> {
    wording.line("paper.wording", &values(wording_state(wording)))
}

/// "Page x of y" with the numbers cut out; the typesetter puts them in.
fn page_of(wording: &RecordedWording<'_>) -> Result<[String; 3], WordingError> {
    // two private-use characters, which no wording and no plan can hold, stand in for the numbers
    let numbers = json!({ "page": "\u{f8f0}", "total": "\u{f8f1}" });
    let line = wording.line("paper.page-of", &values(numbers))?;
    let (before, rest) = line.split_once('\u{f8f0}').unwrap_or((&line, ""));
    let (between, after) = rest.split_once('\u{f8f1}').unwrap_or((rest, ""));
    Ok([before.to_owned(), between.to_owned(), after.to_owned()])
}

/// Columns of the areas that are agreed to, without the box for initials.
const RECAP_WITHOUT_INITIALS: usize = 4;

/// A paragraph of plain text.
pub(crate) fn para(text: impl Into<String>) -> Vec<Piece> {
    vec![Piece::Para {
        text: rich::plain(text),
    }]
}
