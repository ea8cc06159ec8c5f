//! Turns a visit and its clinic into laid-out papers, each held against what it must contain.
//! Invariant: no paper for the patient comes out of here that the gate does not let through.
//! Must not: read or write files, print, or exit.

use std::sync::Arc;

use rayon::prelude::*;
use unic_langid::LanguageIdentifier;

use crate::calendar;
use crate::catalogue::{Catalogue, REASONS};
use crate::compose::{self, Document};
use crate::coverage::{self, Coverage};
use crate::domain::{Level, Trigger};
use crate::file_names;
use crate::gate::{self, Lack, Verdict};
use crate::paper::{Edition, PaperKind, Reader};
use crate::phone_page::{self, CalendarLink};
use crate::plan::{
    AreaWord, CautionWord, Clinic, FactWord, OtherToxinWord, ProductWord, Visit, Vocabulary,
};
use crate::record::Record;
use crate::select::{SelectError, Selection, Statement, select};
use crate::typeset::{Pages, TypesetError, Typesetter};
use crate::wording::{Approvals, Wording, WordingError};

/// One paper, laid out and checked.
pub struct Paper {
    pub kind: PaperKind,
    pub edition: Edition,
    /// The words it is in: the patient's language, or the practice's for its own papers and for reading copies.
    pub wording: Arc<Wording>,
    pub document: Document,
    pub pages: Pages,
    /// The same words as one page for a telephone, where there is one.
    pub phone_page: Option<String>,
    pub coverage: Coverage,
    /// What stands against handing it out; see [`Papers::verdict`].
    pub lacks: Vec<Lack>,
    /// What the paper says about itself; its code stands on every page.
    pub record: Record,
}

/// Papers of one visit.
pub struct Papers<'a> {
    pub selection: Selection<'a>,
    /// The patient's language: what is handed out, and the calendar.
    pub wording: Arc<Wording>,
    /// The practice's language: the practitioner's own papers, cautions, and whatever else the practice reads.
    pub practice: Arc<Wording>,
    /// In the order of [`PaperKind::ALL`]; reading copies come last.
    pub papers: Vec<Paper>,
    /// Reading copies were asked for in the patient's own language, so there are none.
    pub needs_no_copy: bool,
    /// Digest of everything they were made from, where whoever made them knows all of it.
    pub made_from: Option<String>,
}

/// What papers are made from.
#[derive(Clone, Copy)]
pub struct Inputs<'a, 't> {
    pub catalogue: &'a Catalogue,
    pub clinic: &'a Clinic,
    pub visit: &'a Visit,
    pub approvals: &'t Approvals,
    pub typesetter: &'t Typesetter,
}

/// How papers are made; the default is ordinary print in the words of the release and of the clinic's overlay.
#[derive(Clone, Default)]
pub struct MakeOptions {
    /// The patient's papers in large print, also where the plan does not ask for it.
    pub large_print: bool,
    /// Also the patient's papers in this language, for staff to read along.
    pub staff_copy: Option<LanguageIdentifier>,
    /// Words for the patient in place of those that belong to the visit; where the practice reads the same language they are
    /// the practice's too.
    pub wording: Option<Arc<Wording>>,
    /// Words for the practice in place of the clinic's.
    pub practice_wording: Option<Arc<Wording>>,
}

/// Why papers could not be made. Each is a fault of the program or its data, not of the plan.
#[derive(Debug)]
pub enum MakeError {
    Select(SelectError),
    Wording(WordingError),
    Typeset(TypesetError),
}

impl std::fmt::Display for MakeError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            MakeError::Select(error) => error.fmt(f),
            MakeError::Wording(error) => error.fmt(f),
            MakeError::Typeset(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for MakeError {}

impl From<SelectError> for MakeError {
    fn from(error: SelectError) -> Self {
        MakeError::Select(error)
    }
}

impl From<WordingError> for MakeError {
    fn from(error: WordingError) -> Self {
        MakeError::Wording(error)
    }
}

impl From<TypesetError> for MakeError {
    fn from(error: TypesetError) -> Self {
        MakeError::Typeset(error)
    }
}

/// The words a plan may use, from the catalogue and the wording.
pub fn vocabulary(catalogue: &Catalogue) -> Vocabulary {
    Vocabulary {
        areas: catalogue
            .areas
            .iter()
            .map(|area| AreaWord {
                id: area.id.clone(),
                sides: area.sides.clone(),
            })
            .collect(),
        facts: catalogue
            .facts
            .iter()
            .map(|fact| FactWord {
                id: fact.id.clone(),
                kind: fact.kind,
            })
            .collect(),
        products: catalogue
            .products
            .iter()
            .map(|product| ProductWord {
                id: product.id.clone(),
                absurd_above: product.absurd_above,
            })
            .collect(),
        other_toxins: catalogue
            .other_toxins
            .iter()
            .map(|toxin| OtherToxinWord {
                id: toxin.id.clone(),
                serotype: toxin.serotype.clone(),
                also: toxin.also.clone(),
                absurd_above: toxin.absurd_above,
            })
            .collect(),
        regions: catalogue
            .regions
            .iter()
            .map(|region| region.id.clone())
            .collect(),
        languages: crate::wording::library::tags().map(str::to_owned).collect(),
        advice: catalogue
            .advice
            .iter()
            .map(|advice| advice.id.clone())
            .collect(),
        cautions: catalogue
            .rules
            .iter()
            .map(|rule| CautionWord {
                id: (&rule.id).into(),
                stops: rule.strictest() == Level::Stop,
            })
            .chain(Trigger::ALL.into_iter().map(|trigger| CautionWord {
                id: trigger.into(),
                stops: trigger.always_stops(),
            }))
            .collect(),
        needs: catalogue.needs.iter().map(|need| need.id.clone()).collect(),
        reasons: REASONS.iter().map(|reason| (*reason).to_owned()).collect(),
    }
}

/// The country of a clinic (ISO 3166-1), which decides terms, emergency numbers and paper.
pub fn country_of(clinic: &Clinic) -> &str {
    clinic.region.country()
}

/// The wording for this patient at this clinic: the patient's language, the country of the clinic.
///
/// # Errors
/// No wording in that language.
pub fn wording_for(visit: &Visit, clinic: &Clinic) -> Result<Wording, WordingError> {
    let language = visit.patient.language.as_ref().unwrap_or(&clinic.language);
    wording_in(language, clinic)
}

/// The wording for the practice itself: the language and the country of the clinic.
///
/// # Errors
/// No wording in that language.
pub fn practice_wording(clinic: &Clinic) -> Result<Wording, WordingError> {
    wording_in(&clinic.language, clinic)
}

/// The wording of a clinic in a language, with the clinic's own words.
///
/// # Errors
/// No wording in that language.
pub fn wording_in(
    language: &unic_langid::LanguageIdentifier,
    clinic: &Clinic,
) -> Result<Wording, WordingError> {
    Wording::with(language, country_of(clinic), &clinic.branding.words)
}

/// Works out, composes and lays out every paper of a visit in memory.
///
/// # Errors
/// See [`MakeError`].
pub fn make<'a>(from: Inputs<'a, '_>, options: &MakeOptions) -> Result<Papers<'a>, MakeError> {
    let Inputs {
        catalogue,
        clinic,
        visit,
        ..
    } = from;
    let selection = select(catalogue, clinic, visit)?;
    let wording = match &options.wording {
        Some(wording) => wording.clone(),
        None => Arc::new(wording_for(visit, clinic)?),
    };
    let practice = match &options.practice_wording {
        Some(practice) => practice.clone(),
        None if wording.tag() == practice_tag(clinic) => wording.clone(),
        None => Arc::new(practice_wording(clinic)?),
    };
    let mut made = Papers {
        selection,
        wording,
        practice,
        papers: Vec::new(),
        needs_no_copy: false,
        made_from: None,
    };
    let edition = match options.large_print || visit.patient.large_print {
        true => Edition::LargePrint,
        false => Edition::Ordinary,
    };
    let mut so_far = compose::Made::default();
    // what is handed out first: the practitioner's papers say where those printed what
    let (handed_out, kept): (Vec<PaperKind>, Vec<PaperKind>) = PaperKind::ALL
        .into_iter()
        .partition(|kind| kind.is_handed_out());
    for kinds in [handed_out, kept] {
        let mut composed = Vec::new();
        for kind in kinds {
            // a plan whose only areas must not be treated has nothing to tell a patient
            if made.selection.areas.is_empty() && kind.is_handed_out() {
                continue;
            }
            let stamped = made.composed(kind, kind.edition(edition), &so_far, from)?;
            so_far.marked |= stamped.document.running_lines.notice.is_some();
            so_far.codes.insert(kind, stamped.record.code().to_string());
            composed.push(stamped);
        }
        // beside each other, where there is a second core
        let papers: Result<Vec<Paper>, MakeError> = composed
            .into_par_iter()
            .map(|stamped| made.typeset_and_verify(stamped, from))
            .collect();
        for paper in papers? {
            let pages = paper.coverage.pages().into_iter();
            let kind = paper.kind;
            so_far
                .pages
                .extend(pages.map(|(id, page)| ((kind, id), page)));
            made.papers.push(paper);
        }
    }
    if let Some(language) = &options.staff_copy {
        made.add_reading_copies(language, from, &so_far)?;
    }
    Ok(made)
}

/// Language and country that the practice reads; empty when there is no wording in its language.
fn practice_tag(clinic: &Clinic) -> String {
    crate::wording::serves(&clinic.language).map_or(String::new(), |base| {
        format!("{base}-{}", country_of(clinic))
    })
}

/// "Document code ABCD-EFGH-JKLM" in the words of the paper.
fn code_line(record: &Record, wording: &Wording) -> Result<String, WordingError> {
    let mut context = crate::wording::Context::new();
    context.insert("code".to_owned(), record.code().to_string().into());
    wording.line("paper.code", &context)
}

/// A composed paper that bears its record and is not laid out yet.
struct Stamped {
    kind: PaperKind,
    edition: Edition,
    document: Document,
    wording: Arc<Wording>,
    record: Record,
}

impl Papers<'_> {
    /// Composes a paper in the words of whoever reads it, and stamps it with its record.
    fn composed(
        &self,
        kind: PaperKind,
        edition: Edition,
        so_far: &compose::Made,
        from: Inputs<'_, '_>,
    ) -> Result<Stamped, MakeError> {
        let words = match kind.reader() {
            Reader::Patient => &self.wording,
            Reader::Practitioner => &self.practice,
        };
        let document = match kind {
            PaperKind::CheckSheet => compose::check_sheet(
                &self.selection,
                words.recorded(),
                self.wording.recorded(),
                so_far,
                from.approvals,
            )?,
            PaperKind::Aftercare => compose::aftercare_sheet(
                edition,
                &self.selection,
                words.recorded(),
                self.practice.recorded(),
                from.approvals,
            )?,
            _ => compose::compose(
                kind,
                edition,
                &self.selection,
                words.recorded(),
                so_far,
                from.approvals,
            )?,
        };
        self.stamp(kind, edition, document, words.clone(), from)
    }

    /// Stamps a composed paper with its record.
    fn stamp(
        &self,
        kind: PaperKind,
        edition: Edition,
        mut document: Document,
        wording: Arc<Wording>,
        from: Inputs<'_, '_>,
    ) -> Result<Stamped, MakeError> {
        let record = Record::of(kind, &self.selection, &wording, from.approvals, &document);
        document.stamp(record.line(), code_line(&record, &wording)?);
        Ok(Stamped {
            kind,
            edition,
            document,
            wording,
            record,
        })
    }

    /// Lays a paper out and holds it against what it must contain.
    fn typeset_and_verify(
        &self,
        stamped: Stamped,
        from: Inputs<'_, '_>,
    ) -> Result<Paper, MakeError> {
        let Stamped {
            kind,
            edition,
            document,
            wording,
            record,
        } = stamped;
        let pages = from.typesetter.typeset(&document)?;
        let required = self.selection.required(kind);
        let coverage = coverage::check(&required, &document, &pages);
        let sheet = gate::Sheet {
            kind,
            edition,
            selection: &self.selection,
            wording: &wording,
            document: &document,
            pages: &pages,
            coverage: &coverage,
        };
        let mut lacks = sheet.lacks();
        let mut page = None;
        if kind.has_phone_page(edition) {
            let link = CalendarLink {
                file: &file_names::calendar(&self.selection),
                calendar: &calendar::write(&self.selection, &wording.recorded())?,
                words: &wording.label("paper.calendar")?,
            };
            let contents = wording.label("paper.contents")?;
            let made = phone_page::render(&document, &contents, Some(&link));
            lacks.extend(
                phone_page::check(&required, &document, &made)
                    .into_iter()
                    .map(|lack| Lack::PhonePage(Box::new(lack))),
            );
            page = Some(made);
        }
        Ok(Paper {
            kind,
            edition,
            wording,
            document,
            pages,
            phone_page: page,
            coverage,
            lacks,
            record,
        })
    }

    /// Adds the patient's papers in `language` for staff to read along, unless the patient's own are in that language.
    fn add_reading_copies(
        &mut self,
        language: &LanguageIdentifier,
        from: Inputs<'_, '_>,
        so_far: &compose::Made,
    ) -> Result<(), MakeError> {
        let base = crate::wording::serves(language);
        if base == Some(self.wording.base()) {
            self.needs_no_copy = true;
            return Ok(());
        }
        let words = if base == Some(self.practice.base()) {
            self.practice.clone()
        } else {
            Arc::new(wording_in(language, self.selection.clinic)?)
        };
        if self.selection.areas.is_empty() {
            return Ok(());
        }
        for kind in PaperKind::all_in(Edition::ReadingCopy) {
            let patients = self.wording.base();
            let copy = compose::reading_copy(
                kind,
                &self.selection,
                words.recorded(),
                patients,
                so_far,
                from.approvals,
            )?;
            let copy = self.stamp(kind, Edition::ReadingCopy, copy, words.clone(), from)?;
            let paper = self.typeset_and_verify(copy, from)?;
            self.papers.push(paper);
        }
        Ok(())
    }

    /// The paper of this kind as the visit needs it, not a reading copy.
    pub fn paper(&self, kind: PaperKind) -> Option<&Paper> {
        self.papers
            .iter()
            .find(|paper| paper.kind == kind && paper.edition != Edition::ReadingCopy)
    }

    /// The copies for staff to read along.
    pub fn reading_copies(&self) -> impl Iterator<Item = &Paper> {
        self.papers
            .iter()
            .filter(|paper| paper.edition == Edition::ReadingCopy)
    }

    /// The risks that must be told, each once, as the paper tells them that explains them.
    pub fn risks(&self) -> impl Iterator<Item = &Statement> {
        let all = self.selection.statements.iter();
        all.filter(|s| s.id.is_risk() && s.paper.explains_risks())
    }

    /// The first page of the form that is signed on which a risk is named.
    pub fn named_on(&self, risk: &Statement) -> Option<usize> {
        let form = self
            .papers
            .iter()
            .find(|paper| paper.kind.is_signed() && paper.edition != Edition::ReadingCopy)?;
        let place = form.coverage.printed.get(&risk.id)?;
        Some(place.first_page)
    }

    /// The first page on which a required statement is printed.
    pub fn page_of(&self, statement: &Statement) -> Option<usize> {
        let printed = &self.paper(statement.paper)?.coverage.printed;
        printed.get(&statement.id).map(|place| place.first_page)
    }

    /// Whether papers may be handed to the patient, with every reason against it. `make` and `check` both go by this.
    pub fn verdict(&self) -> Verdict {
        let lacks = self.papers.iter();
        let lacks = lacks.map(|paper| (paper.kind, paper.edition, paper.lacks.as_slice()));
        gate::judge(&self.selection, lacks)
    }

    /// Something stands against handing papers to the patient.
    pub fn is_stopped(&self) -> bool {
        !self.verdict().is_open()
    }

    /// A paper for the patient says that it is a draft.
    pub fn has_draft(&self) -> bool {
        self.papers.iter().any(|paper| {
            paper.kind.is_handed_out()
                && paper.edition != Edition::ReadingCopy
                && paper.document.running_lines.notice.is_some()
        })
    }

    /// The papers that may be written: all, or under a stop only those that survive one.
    pub fn writable(&self) -> impl Iterator<Item = &Paper> {
        let stopped = self.is_stopped();
        self.papers
            .iter()
            .filter(move |paper| !stopped || paper.kind.survives_a_stop())
    }

    /// The patient's calendar file; none under a stop.
    ///
    /// # Errors
    /// A sentence cannot be filled.
    pub fn calendar(&self) -> Result<Option<String>, WordingError> {
        if self.is_stopped() || self.selection.areas.is_empty() {
            return Ok(None);
        }
        calendar::write(&self.selection, &self.wording.recorded()).map(Some)
    }

    /// The sentence of every caution in the practice's language, strictest first, with its level and reasons.
    ///
    /// # Errors
    /// A sentence cannot be filled.
    pub fn cautions(&self) -> Result<Vec<WordedCaution>, WordingError> {
        compose::cautions_said(&self.selection, self.practice.recorded())
    }

    /// What nobody asked of what matters for this plan, in the practice's language, strictest first.
    ///
    /// # Errors
    /// A label is missing.
    pub fn not_asked(&self) -> Result<Vec<NotAskedLine>, WordingError> {
        compose::not_asked_said(&self.selection, self.practice.recorded())
    }

    /// How far the plan is from being treated, in a sentence; and one for each answer that nothing asks for.
    ///
    /// # Errors
    /// A label is missing.
    pub fn readiness(&self) -> Result<(String, Vec<String>), WordingError> {
        compose::readiness_said(&self.selection, self.practice.recorded())
    }

    /// What is said to a patient whose visit is stopped; empty where none is.
    ///
    /// # Errors
    /// A sentence is missing or cannot be filled.
    pub fn say_to_patient(&self) -> Result<Vec<compose::SaidToPatient>, WordingError> {
        compose::said_to_patient(
            &self.selection,
            self.wording.recorded(),
            self.practice.recorded(),
        )
    }
}

pub use compose::{GivenAnswer, NotAskedLine, WordedCaution};
