//! Turns made papers into a report for another program or for reading: cautions, required statements with their pages, papers.
//! Invariant: plain data; pages come from the finished layout; every required statement is in it, printed or not.
//! Must not: word anything for patients, or judge how the papers read.

use serde::Serialize;

use super::{MakeError, NotAskedLine, Papers, WordedCaution};
use crate::compose::{self, SaidToPatient};
use crate::domain::{AreaId, ProductId, RegionId, SourceId, StatementId};
use crate::paper::PaperKind;
use crate::select::Readiness;

/// Version of the form of all JSON that the program writes. It grows when a name changes or goes; new names may come without.
/// Names are in `snake_case`, ids stand as in the files they come from. (The record that a paper carries and the register are
/// file formats of their own, with hyphens, because printed papers carry them.)
pub const JSON_VERSION: u32 = 1;

/// What is to be said of the papers of one visit.
#[derive(Debug, Clone, Serialize)]
pub struct VisitReport {
    pub stopped: bool,
    /// What stands against handing papers to the patient, one sentence each; `make` refuses for the same reasons.
    pub reasons: Vec<String>,
    /// Wording of what is handed out: `es-US`.
    pub language: String,
    /// Wording of what the practice reads.
    pub practice_language: String,
    pub region: RegionId,
    /// How far the plan is from being treated.
    pub readiness: Readiness,
    /// The same in a sentence.
    pub readiness_text: String,
    /// Strictest first.
    pub cautions: Vec<WordedCaution>,
    /// What matters for this plan and nobody asked, strictest first.
    pub not_asked: Vec<NotAskedLine>,
    /// A sentence for each answer of the plan that nothing in it asks for.
    pub idle_answers: Vec<String>,
    /// What to say to a patient who gets no papers; empty unless a caution stops the visit.
    pub say_to_patient: Vec<SaidToPatient>,
    pub required_risks: Vec<RiskLine>,
    pub required_statements: Vec<StatementLine>,
    pub papers: Vec<PaperLine>,
}

/// A required risk and where the consent form has it.
#[derive(Debug, Clone, Serialize)]
pub struct RiskLine {
    /// None: it is said at every visit.
    pub area: Option<AreaId>,
    pub statement: StatementId,
    /// Its name in the practice's language.
    pub text: String,
    /// None: it is not printed.
    pub page: Option<usize>,
    /// Page of the consent form on which it is named.
    pub named_on_page: Option<usize>,
    pub source: Vec<SourceId>,
    pub status: &'static str,
}

/// A required statement and where it is printed.
#[derive(Debug, Clone, Serialize)]
pub struct StatementLine {
    pub paper: PaperKind,
    pub area: Option<AreaId>,
    /// Said once for this product.
    pub product: Option<ProductId>,
    pub statement: StatementId,
    /// The wording it is filled from.
    pub wording: String,
    pub page: Option<usize>,
}

/// A paper and what is wrong with it.
#[derive(Debug, Clone, Serialize)]
pub struct PaperLine {
    pub paper: PaperKind,
    pub pages: usize,
    /// How many statements it must hold.
    pub required: usize,
    pub faults: Vec<FaultLine>,
    pub lost: Vec<LostLine>,
    /// Wording it is in.
    pub language: String,
}

/// A required statement that does not count as printed.
#[derive(Debug, Clone, Serialize)]
pub struct FaultLine {
    pub statement: StatementId,
    pub fault: String,
}

/// Other words that are missing from the pages.
#[derive(Debug, Clone, Serialize)]
pub struct LostLine {
    pub text: String,
    pub fault: String,
}

impl Papers<'_> {
    /// The report of these papers.
    ///
    /// # Errors
    /// A sentence cannot be filled.
    pub fn report(&self) -> Result<VisitReport, MakeError> {
        let selection = &self.selection;
        let (readiness_text, idle_answers) = self.readiness()?;
        let mut required_risks = Vec::new();
        for statement in self.risks() {
            required_risks.push(RiskLine {
                area: statement.id.owner().area().cloned(),
                statement: statement.id.clone(),
                text: compose::lead(selection, self.practice.recorded(), statement)?,
                page: self.page_of(statement),
                named_on_page: self.named_on(statement),
                source: statement.evidence.source.clone(),
                status: statement.evidence.status.as_str(),
            });
        }
        let required_statements = selection
            .statements
            .iter()
            .map(|statement| StatementLine {
                paper: statement.paper,
                area: statement.id.owner().area().cloned(),
                product: statement.id.owner().product().cloned(),
                statement: statement.id.clone(),
                wording: statement.id.wording().to_owned(),
                page: self.page_of(statement),
            })
            .collect();
        let papers = self
            .papers
            .iter()
            .map(|paper| PaperLine {
                paper: paper.kind,
                pages: paper.pages.count(),
                required: selection.required(paper.kind).len(),
                faults: paper
                    .coverage
                    .faults
                    .iter()
                    .map(|(statement, fault)| FaultLine {
                        statement: statement.clone(),
                        fault: fault.to_string(),
                    })
                    .collect(),
                lost: paper
                    .coverage
                    .lost
                    .iter()
                    .map(|(text, fault)| LostLine {
                        text: text.clone(),
                        fault: fault.to_string(),
                    })
                    .collect(),
                language: paper.wording.tag().to_owned(),
            })
            .collect();
        Ok(VisitReport {
            stopped: self.is_stopped(),
            reasons: self
                .verdict()
                .reasons
                .iter()
                .map(ToString::to_string)
                .collect(),
            language: self.wording.tag().to_owned(),
            practice_language: self.practice.tag().to_owned(),
            region: selection.region.id.clone(),
            readiness: selection.readiness(),
            readiness_text,
            cautions: self.cautions()?,
            not_asked: self.not_asked()?,
            idle_answers,
            say_to_patient: self.say_to_patient()?,
            required_risks,
            required_statements,
            papers,
        })
    }
}
