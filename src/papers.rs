//! Turns a visit and its clinic into laid-out papers, each held against what it must contain.
//! Invariant: no paper for the patient comes out of here with a required statement missing or under a `stop` caution.
//! Must not: read or write files, print, or exit.

use std::collections::BTreeMap;
use std::sync::Arc;

use unic_langid::LanguageIdentifier;

use crate::calendar;
use crate::catalogue::{Catalogue, Level, REASONS};
use crate::compose::{self, Document};
use crate::coverage::{self, Coverage};
use crate::plan::{AreaWord, Clinic, FactKind, FactWord, ProductWord, Side, Visit, Vocabulary};
use crate::record::Record;
use crate::select::{Paper, SelectError, Selection, select};
use crate::typeset::{Pages, TypesetError, Typesetter};
use crate::wording::{Approvals, Wording, WordingError};

/// One paper, laid out and checked.
pub struct Made {
    pub paper: Paper,
    /// The words it is in: the patient's language, or the practice's for its own sheet and for reading copies.
    pub wording: Arc<Wording>,
    pub document: Document,
    pub pages: Pages,
    pub coverage: Coverage,
    /// What the paper says about itself; its code stands on every page.
    pub record: Record,
}

/// Papers of one visit.
pub struct Papers<'a> {
    pub selection: Selection<'a>,
    /// The patient's language: consent form, aftercare sheet and calendar.
    pub wording: Arc<Wording>,
    /// The practice's language: check sheet, cautions, and whatever else the practice reads.
    pub practice: Arc<Wording>,
    /// Consent, aftercare and clinician's sheet, in this order.
    pub made: Vec<Made>,
    /// The patient's papers again in a language of the practice, where asked for.
    pub reading_copies: Vec<Made>,
    /// How the patient's papers are set; reading copies are in ordinary print.
    pub print: Print,
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
    use crate::catalogue::{FactKind as Kind, Side as AreaSide};
    let side = |side: &AreaSide| match side {
        AreaSide::Both => Side::Both,
        AreaSide::Left => Side::Left,
        AreaSide::Right => Side::Right,
        AreaSide::Midline => Side::Midline,
    };
    Vocabulary {
        areas: catalogue
            .areas
            .iter()
            .map(|area| AreaWord {
                id: area.id.clone(),
                sides: area.sides.iter().map(side).collect(),
            })
            .collect(),
        facts: catalogue
            .facts
            .iter()
            .map(|fact| FactWord {
                id: fact.id.clone(),
                kind: match fact.kind {
                    Kind::Flag => FactKind::Flag,
                    Kind::Side => FactKind::Side,
                    Kind::Text => FactKind::Text,
                },
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
        needs: catalogue.needs.iter().map(|need| need.id.clone()).collect(),
        reasons: REASONS.iter().map(|reason| (*reason).to_owned()).collect(),
    }
}

/// The country of a clinic (ISO 3166-1), which decides terms, emergency numbers and paper.
pub fn country_of(clinic: &Clinic) -> &str {
    clinic.region.split('-').next().unwrap_or(&clinic.region)
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
    Wording::with(language, country_of(clinic), &clinic.own.words)
}

/// Works out, composes and lays out all three papers in memory.
///
/// # Errors
/// See [`MakeError`].
pub fn make<'a>(
    catalogue: &'a Catalogue,
    clinic: &'a Clinic,
    visit: &'a Visit,
    approvals: &Approvals,
    typesetter: &Typesetter,
) -> Result<Papers<'a>, MakeError> {
    make_with(
        catalogue,
        clinic,
        visit,
        wording_for(visit, clinic)?,
        approvals,
        typesetter,
    )
}

/// Type size of large print where our sources name none for the place: the larger of the two they name (D35, D38).
pub const LARGE_PRINT: f64 = 18.0;

/// How the patient's papers are set. Large print is set again at its own size, never scaled; its words are the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Print {
    #[default]
    Ordinary,
    /// At the size of the place.
    Large,
}

/// The same with the patient's wording of the caller's; where the practice reads the same language, it is the practice's too.
///
/// # Errors
/// See [`MakeError`].
pub fn make_with<'a>(
    catalogue: &'a Catalogue,
    clinic: &'a Clinic,
    visit: &'a Visit,
    wording: Wording,
    approvals: &Approvals,
    typesetter: &Typesetter,
) -> Result<Papers<'a>, MakeError> {
    make_in(
        catalogue,
        clinic,
        visit,
        wording,
        approvals,
        typesetter,
        Print::Ordinary,
    )
}

/// The same, set as the reader needs it.
///
/// # Errors
/// See [`MakeError`].
pub fn make_in<'a>(
    catalogue: &'a Catalogue,
    clinic: &'a Clinic,
    visit: &'a Visit,
    wording: Wording,
    approvals: &Approvals,
    typesetter: &Typesetter,
    print: Print,
) -> Result<Papers<'a>, MakeError> {
    let selection = select(catalogue, clinic, visit)?;
    let wording = Arc::new(wording);
    let practice = match wording.tag() == practice_tag(clinic) {
        true => wording.clone(),
        false => Arc::new(practice_wording(clinic)?),
    };
    let mut made = Vec::new();
    let mut pages_so_far = BTreeMap::new();
    for paper in Paper::ALL {
        // a plan whose only areas must not be treated has nothing to tell a patient
        if selection.areas.is_empty() && paper != Paper::Clinician {
            continue;
        }
        let words = match paper {
            Paper::Consent | Paper::Aftercare => &wording,
            Paper::Clinician => &practice,
        };
        let mut document = compose::compose(
            paper,
            &selection,
            words.recorded(),
            &pages_so_far,
            approvals,
        )?;
        if print == Print::Large && paper != Paper::Clinician {
            let size = selection.region.large_print.as_ref();
            document.enlarge(size.map_or(LARGE_PRINT, |size| size.value));
        }
        let one = typeset_and_verify(paper, document, &selection, words, approvals, typesetter)?;
        pages_so_far.extend(
            one.coverage
                .pages()
                .into_iter()
                .map(|(id, page)| ((paper, id), page)),
        );
        made.push(one);
    }
    Ok(Papers {
        selection,
        wording,
        practice,
        made,
        reading_copies: Vec::new(),
        print,
    })
}

/// Language and country that the practice reads; empty when there is no wording in its language.
fn practice_tag(clinic: &Clinic) -> String {
    crate::wording::serves(&clinic.language).map_or(String::new(), |base| {
        format!("{base}-{}", country_of(clinic))
    })
}

/// Stamps a composed paper with its record, lays it out and holds it against what it must contain.
fn typeset_and_verify(
    paper: Paper,
    mut document: Document,
    selection: &Selection<'_>,
    wording: &Arc<Wording>,
    approvals: &Approvals,
    typesetter: &Typesetter,
) -> Result<Made, MakeError> {
    let record = Record::of(paper, selection, wording, approvals, &document);
    document.stamp(record.line(), code_line(&record, wording)?);
    let pages = typesetter.typeset(&document)?;
    let coverage = coverage::check(&selection.required(paper), &document, &pages);
    Ok(Made {
        paper,
        wording: wording.clone(),
        document,
        pages,
        coverage,
        record,
    })
}

/// "Document code ABCD-EFGH-JKLM" in the words of the paper.
fn code_line(record: &Record, wording: &Wording) -> Result<String, WordingError> {
    let mut context = crate::wording::Context::new();
    context.insert("code".to_owned(), record.code().to_string().into());
    wording.line("paper.code", &context)
}

/// The ids of all words the catalogue calls for on the papers.
pub fn wording_ids(catalogue: &Catalogue) -> std::collections::BTreeSet<String> {
    let mut wanted = std::collections::BTreeSet::new();
    for area in &catalogue.areas {
        wanted.extend(["name", "where", "aim"].map(|part| format!("{}.{part}", area.id)));
        wanted.extend(
            area.statement
                .iter()
                .map(|s| format!("{}.{}", area.id, s.id)),
        );
        wanted.extend(
            area.risk
                .iter()
                .map(|r| format!("{}.risk.{}", area.id, r.id)),
        );
        wanted.extend(
            area.poor_candidate
                .iter()
                .map(|p| format!("{}.poor.{}", area.id, p.id)),
        );
    }
    let general = &catalogue.general;
    wanted.extend(
        general
            .risk
            .iter()
            .map(|r| format!("general.risk.{}", r.id)),
    );
    wanted.extend(
        general
            .serious
            .iter()
            .map(|r| format!("general.serious.{}", r.id)),
    );
    wanted.extend(general.red_flag.iter().map(|f| format!("redflag.{}", f.id)));
    wanted.extend(general.normal.iter().map(|c| format!("normal.{}", c.id)));
    wanted.extend(general.choice.iter().map(|c| format!("choice.{}", c.id)));
    wanted.extend(
        general
            .statement
            .iter()
            .map(|c| format!("general.{}", c.id)),
    );
    wanted.extend(catalogue.advice.iter().map(|a| format!("advice.{}", a.id)));
    for rule in &catalogue.rules {
        wanted.extend(rule.tells_patient.then(|| format!("because.{}", rule.id)));
    }
    wanted
}

/// What does not fit between a catalogue and a wording: entries without words, and words without an entry.
pub fn mismatches(catalogue: &Catalogue, wording: &Wording) -> Vec<String> {
    let wanted = wording_ids(catalogue);
    let owned = |id: &str| {
        [
            "general.", "redflag.", "normal.", "choice.", "advice.", "because.",
        ]
        .iter()
        .any(|p| id.starts_with(p))
            || catalogue
                .areas
                .iter()
                .any(|area| id.starts_with(&format!("{}.", area.id)))
    };
    let unworded = wanted
        .iter()
        .filter(|id| !wording.has(id))
        .map(|id| format!("{id} has no words"));
    let unwanted = wording
        .statements()
        .keys()
        .filter(|id| owned(id) && !wanted.contains(*id))
        .map(|id| format!("{id} is worded, but nothing in the catalogue calls for it"));
    unworded.chain(unwanted).collect()
}

impl Papers<'_> {
    /// Adds the patient's papers in `language` for staff to read along; false when the patient's own are in that language.
    ///
    /// # Errors
    /// See [`MakeError`]; also when there is no wording in that language.
    pub fn add_reading_copies(
        &mut self,
        language: &LanguageIdentifier,
        approvals: &Approvals,
        typesetter: &Typesetter,
    ) -> Result<bool, MakeError> {
        if crate::wording::serves(language) == Some(self.wording.base()) {
            return Ok(false);
        }
        let words = if crate::wording::serves(language) == Some(self.practice.base()) {
            self.practice.clone()
        } else {
            Arc::new(wording_in(language, self.selection.clinic)?)
        };
        for paper in [Paper::Consent, Paper::Aftercare] {
            if self.selection.areas.is_empty() {
                continue;
            }
            let patients = self.wording.base();
            let copy = compose::reading_copy(
                paper,
                &self.selection,
                words.recorded(),
                patients,
                approvals,
            )?;
            let made =
                typeset_and_verify(paper, copy, &self.selection, &words, approvals, typesetter)?;
            self.reading_copies.push(made);
        }
        Ok(true)
    }

    /// Something stands against handing papers to the patient: a `stop` caution or a required statement not printed.
    pub fn is_stopped(&self) -> bool {
        let mut all = self.made.iter().chain(&self.reading_copies);
        self.selection.strictest() == Some(Level::Stop)
            || all.any(|made| !made.coverage.is_complete())
    }

    /// The papers that may be written: all, or under a stop only the practitioner's own sheet.
    pub fn writable(&self) -> impl Iterator<Item = &Made> {
        let stopped = self.is_stopped();
        self.made
            .iter()
            .chain(&self.reading_copies)
            .filter(move |made| !stopped || made.paper == Paper::Clinician)
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
    pub fn cautions(&self) -> Result<Vec<SaidCaution>, WordingError> {
        compose::cautions_said(&self.selection, self.practice.recorded())
    }
}

pub use compose::SaidCaution;
