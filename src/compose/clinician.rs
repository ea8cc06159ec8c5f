//! Turns a selection into the check sheet for the practitioner: one page that says who, what, which side, what to decide and what is missing.
//! Invariant: every question and every planned area is on it, and it is said whether every required statement was printed.
//! Must not: be worded for, or handed to, the patient.

use serde_json::json;

use super::check_parts::{Batch, CheckPart, Labelled, Status};
use super::document::Block;
use super::{Composer, Pages, values};
use crate::catalogue::Level;
use crate::paper::PaperKind;
use crate::plan::age_on;
use crate::select::Statement;
use crate::wording::{RecordedWording, WordingError, rich};

impl Composer<'_, '_> {
    pub(super) fn check_sheet(
        &self,
        pages: &Pages,
        patients: Option<RecordedWording<'_>>,
    ) -> Result<Vec<Block>, WordingError> {
        if self.selection.strictest() == Some(Level::Stop) {
            return self.stop_sheet(patients);
        }
        let mut blocks = vec![self.head()?, self.decide()?];
        blocks.extend(self.doses()?);
        blocks.extend(self.asked()?);
        blocks.push(self.sign_off()?);
        blocks.push(self.proof(pages)?);
        Ok(blocks)
    }

    fn head(&self) -> Result<Block, WordingError> {
        let person = self.selection.practitioner;
        let mut people = vec![(self.label("label.practitioner")?, person.name.clone())];
        people.extend(self.prescriber_fact()?);
        Ok(Block::Check(CheckPart::Head {
            note: self.label("clinician.not-for-patient")?,
            status: Some(self.status()?),
            identity: self.whose("label.visit")?,
            people,
            batches: self.batches_to_write()?,
        }))
    }

    /// Patient, birth and age, record, visit.
    pub(super) fn whose(&self, visit_label: &str) -> Result<Vec<Labelled>, WordingError> {
        let visit = self.selection.visit;
        let formats = self.wording.formats();
        let born = visit.patient.born;
        let born = json!({
            "date": formats.short_date(born),
            "age": age_on(born, visit.date),
        });
        let time = visit.time.map_or(String::new(), |time| formats.time(time));
        let when = json!({ "date": formats.short_date(visit.date), "time": time });
        Ok(vec![
            (self.label("label.patient")?, visit.patient.name.clone()),
            (
                self.label("clinician.head.born-label")?,
                self.line("clinician.head.born", born)?,
            ),
            (self.label("label.record")?, visit.patient.record.clone()),
            (
                self.label(visit_label)?,
                self.line("label.visit-value", when)?,
            ),
        ])
    }

    /// For each product a box for the batch, with what the plan knows, and one for the expiry.
    fn batches_to_write(&self) -> Result<Vec<Batch>, WordingError> {
        let product = self.label("label.product")?;
        let (batch, expiry) = (
            self.label("label.batch")?,
            self.label("clinician.head.expiry")?,
        );
        let products = self.selection.products.iter();
        Ok(products
            .map(|used| Batch {
                product: (product.clone(), used.id.to_string()),
                batch: (batch.clone(), self.batches_of(&used.id).join(", ")),
                expiry: expiry.clone(),
            })
            .collect())
    }

    /// How many questions are left, or what nobody asked, or nothing.
    fn status(&self) -> Result<Status, WordingError> {
        let readiness = self.selection.readiness();
        let left = readiness.open + readiness.to_change;
        let (number, words) = match (left, readiness.not_asked) {
            (0, 0) => (0, "clinician.status.ready"),
            (0, not_asked) => (not_asked, "clinician.status.not-asked"),
            (left, _) => (left, "clinician.status.decide"),
        };
        let cautions = &self.selection.cautions;
        let of_level = |level| cautions.iter().filter(|c| c.level == level).count();
        let said = json!({
            "asks": of_level(Level::Ask),
            "answered": left == 0,
            "done": of_level(Level::Ask).saturating_sub(left),
            "notes": of_level(Level::Note),
        });
        Ok(Status {
            number: number.to_string(),
            words: self.line(words, json!({ "not_asked": readiness.not_asked }))?,
            detail: self.line("clinician.status.detail", said)?,
        })
    }

    fn sign_off(&self) -> Result<Block, WordingError> {
        let person = self.selection.practitioner;
        let readiness = self.selection.readiness();
        let who = json!({ "name": person.name, "role": self.in_language(&person.role) });
        Ok(Block::Check(CheckPart::SignOff {
            ticks: vec![
                self.rich_line(
                    "clinician.record.today",
                    json!({ "not_asked": readiness.not_asked, "several": readiness.open > 1 }),
                )?,
                self.rich_line("clinician.record.teach-back", json!({}))?,
                self.rich_line(
                    "clinician.before",
                    json!({ "count": self.points_before(), "areas": self.selection.areas.len() }),
                )?,
            ],
            fields: vec![
                self.line("clinician.record.signature", who)?,
                self.label("clinician.record.date")?,
                self.label("clinician.record.time")?,
            ],
            overleaf: self.label("clinician.record.overleaf")?,
        }))
    }

    /// In one sentence, whether everything that must be printed for the patient is printed, and on which pages.
    fn proof(&self, pages: &Pages) -> Result<Block, WordingError> {
        let statements = &self.selection.statements;
        let page = |statement: &Statement| pages.get(&(statement.paper, statement.id.clone()));
        let missing = statements.iter().filter(|s| page(s).is_none()).count();
        let proof = |whole, text| Ok(Block::Check(CheckPart::Proof { whole, text }));
        if missing > 0 {
            let said = json!({ "missing": missing, "all": statements.len() });
            return proof(false, self.rich_line("clinician.proof.missing", said)?);
        }
        let mut papers = Vec::new();
        for kind in PaperKind::ALL {
            let of_kind = || {
                let of_kind = statements.iter().filter(|s| s.paper == kind);
                of_kind.filter_map(page)
            };
            let (Some(first), Some(last)) = (of_kind().min(), of_kind().max()) else {
                continue;
            };
            let name = self
                .wording
                .inside_sentence(&self.label(kind.short_title())?);
            papers.push(self.line(
                "clinician.proof.paper",
                json!({ "paper": name, "first": first, "last": last }),
            )?);
        }
        let said = json!({ "all": statements.len(), "papers": papers.join(", ") });
        proof(true, self.rich_line("clinician.proof.all", said)?)
    }

    /// A wording of one paragraph with its formatting.
    pub(super) fn rich_line(
        &self,
        id: &str,
        context: serde_json::Value,
    ) -> Result<rich::Rich, WordingError> {
        self.wording.rich(id, &values(context))
    }
}
