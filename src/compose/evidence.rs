//! Turns what was printed where, and what it rests on, into the evidence annex for the practitioner.
//! Invariant: every required statement of the patient's papers is listed, printed or not, with its source and status.
//! Must not: decide what is required, or be handed to the patient.

use std::collections::BTreeSet;

use serde_json::json;

use super::check_parts::{CheckPart, StatementRow};
use super::decide::cited;
use super::document::{Block, Item};
use super::{Composer, Made, Pages};
use crate::catalogue::{Evidence, WindowKind};
use crate::domain::{AreaId, SourceId};
use crate::paper::PaperKind;
use crate::select::{LicensedAlike, Statement};
use crate::wording::{Context, WordingError, rich};

impl Composer<'_, '_> {
    pub(super) fn evidence_annex(&self, made: &Made) -> Result<Vec<Block>, WordingError> {
        let sheet = made.codes.get(&PaperKind::CheckSheet);
        let mut blocks = vec![
            self.note("clinician.not-for-patient", json!({}))?,
            self.note("evidence.purpose", json!({ "sheet": sheet }))?,
            self.identity((self.label("label.batch")?, self.batches()?))?,
        ];
        self.details(&mut blocks)?;
        self.coverage(&made.pages, &mut blocks)?;
        if !self.selection.areas.is_empty() {
            self.licence(&mut blocks)?;
        }
        self.sources(&mut blocks)?;
        self.wording_words(&mut blocks)?;
        Ok(blocks)
    }

    /// Every required statement by area, with the paper and the page it is on.
    fn coverage(&self, pages: &Pages, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        // heading and first words stay with the heading of the first table
        let mut opening = vec![
            self.heading(2, "clinician.coverage.heading")?,
            self.note("clinician.coverage.intro", json!({}))?,
        ];
        let everyone = self.label("clinician.coverage.everyone")?;
        let mut groups: Vec<(String, Option<&AreaId>, Context)> = Vec::new();
        for selected in &self.selection.areas {
            let name = format!(
                "{}. {}",
                selected.number,
                self.area_name(&selected.area.id)?
            );
            groups.push((name, Some(&selected.area.id), self.area_context(selected)?));
        }
        groups.push((everyone, None, self.general_context()?));
        for (name, area, own) in groups {
            let statements = self.selection.statements.iter();
            let of_area = statements.filter(|s| s.id.owner().area() == area);
            let rows = of_area.map(|statement| self.statement_row(statement, &own, pages));
            let heading = Block::heading(3, name);
            if opening.is_empty() {
                blocks.push(heading);
            } else {
                let mut together = std::mem::take(&mut opening);
                together.push(heading);
                blocks.push(Block::Together { blocks: together });
            }
            blocks.push(Block::Check(CheckPart::Statements {
                name: self.label("clinician.coverage.table-name")?,
                header: vec![
                    self.label("clinician.coverage.statement")?,
                    self.label("clinician.coverage.page")?,
                    self.label("clinician.coverage.source")?,
                ],
                rows: rows.collect::<Result<_, _>>()?,
            }));
        }
        Ok(())
    }

    fn statement_row(
        &self,
        statement: &Statement,
        own: &Context,
        pages: &Pages,
    ) -> Result<StatementRow, WordingError> {
        let id = &statement.id;
        let place = match pages.get(&(statement.paper, id.clone())) {
            Some(page) => self.line(
                "clinician.coverage.place",
                json!({ "paper": self.label(statement.paper.short_title())?, "page": page }),
            )?,
            None => self.label("clinician.coverage.missing")?,
        };
        Ok(StatementRow {
            words: self.name_of(statement, own)?,
            // the table of an area is under its name
            id: match id.owner().area() {
                Some(_) => id.short().to_owned(),
                None => id.to_string(),
            },
            place,
            source: self.evidence(&statement.evidence)?,
        })
    }

    fn licence(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let heading = self.line(
            "clinician.licence.heading",
            json!({ "region": self.place_name()? }),
        )?;
        blocks.push(Block::heading(2, heading));
        let general = self.general_context()?;
        let mut items = Vec::new();
        for selected in &self.selection.areas {
            let alone = LicensedAlike {
                product: selected.product.id.clone(),
                standing: selected.standing(),
                areas: vec![selected.area.id.clone()],
            };
            let context = self.standing_context(&alone, &general)?;
            let said = self.wording.pieces(alone.id().wording(), &context)?;
            let mut text = rich::plain(rich::text_of_pieces(&said).replace('\n', " "));
            if selected.licence_is_looked_up() {
                let here = self.label("clinician.licence.looked-up")?;
                text.extend(rich::plain(format!(" {here}")));
            } else if let Some(licence) = selected.licence {
                text.extend(rich::plain(format!(
                    " ({})",
                    self.evidence(&licence.evidence)?
                )));
            }
            items.push(Item { mark: None, text });
        }
        blocks.push(Block::bullets(items));
        Ok(())
    }

    fn sources(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let selection = self.selection;
        let mut rests_on: Vec<&Evidence> = Vec::new();
        rests_on.extend(selection.statements.iter().map(|s| &s.evidence));
        rests_on.extend(selection.cautions.iter().map(|c| &c.evidence));
        rests_on.extend(self.points().map(|point| &point.evidence));
        for selected in &selection.areas {
            let area = selected.area;
            let figures = area
                .risk
                .iter()
                .flat_map(|risk| self.figures_in(selected, risk).0);
            let product = &selected.product.id;
            let windows = WindowKind::ALL.into_iter();
            let windows = windows.filter_map(|kind| area.window(kind, product));
            rests_on.extend(windows.map(|w| &w.evidence));
            rests_on.extend(area.number.iter().map(|n| &n.evidence));
            rests_on.extend(figures.map(|f| &f.evidence));
            rests_on.extend(selected.licence.iter().map(|l| &l.evidence));
        }
        let used: BTreeSet<&SourceId> = rests_on
            .into_iter()
            .flat_map(|evidence| cited(evidence, |id| self.is_cited(id)))
            .collect();
        let mut ordered: Vec<&SourceId> = used.into_iter().collect();
        ordered.sort_by_key(|id| id.place());
        blocks.push(self.heading(2, "clinician.sources.heading")?);
        let items = ordered
            .into_iter()
            .filter_map(|id| selection.catalogue.sources.get(id))
            .map(|source| {
                let mut text = rich::bold(format!("{} ", source.id));
                text.extend(rich::plain(source.title.clone()));
                Item { mark: None, text }
            })
            .collect();
        blocks.push(Block::bullets(items));
        Ok(())
    }
}
