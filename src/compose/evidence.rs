//! Turns what was printed where, and what it rests on, into the evidence annex for the practitioner.
//! Invariant: every required statement of the patient's papers is listed, printed or not, with its source and status.
//! Must not: decide what is required, or be handed to the patient.

use std::collections::BTreeSet;

use serde_json::json;

use super::clinician::lead_of;
use super::document::{Block, Item, Row};
use super::{Composer, Pages, para};
use crate::catalogue::Evidence;
use crate::domain::{AreaId, SourceId, StatementId};
use crate::paper::PaperKind;
use crate::wording::{Context, WordingError, rich};

impl Composer<'_, '_> {
    pub(super) fn evidence_annex(&self, pages: &Pages) -> Result<Vec<Block>, WordingError> {
        let mut blocks = vec![
            self.note("clinician.not-for-patient", json!({}))?,
            self.note("evidence.purpose", json!({}))?,
            self.full_identity()?,
        ];
        self.coverage(pages, &mut blocks)?;
        if !self.selection.areas.is_empty() {
            self.licence(&mut blocks)?;
        }
        self.sources(&mut blocks)?;
        Ok(blocks)
    }

    /// Area × required risk → page of the consent form.
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
        for (name, area, context) in groups {
            let mut rows = Vec::new();
            let risks = self
                .selection
                .statements
                .iter()
                .filter(|s| s.paper == PaperKind::Consent && s.id.is_risk());
            for statement in risks.filter(|s| s.id.owner().area() == area) {
                let text = self.wording.pieces(statement.id.wording(), &context)?;
                let page = match pages.get(&(PaperKind::Consent, statement.id.clone())) {
                    Some(page) => {
                        self.line("clinician.coverage.page-value", json!({ "page": page }))?
                    }
                    None => self.label("clinician.coverage.missing")?,
                };
                rows.push(Row {
                    mark: None,
                    array: None,
                    cells: vec![
                        para(lead_of(&text)),
                        para(page),
                        para(self.evidence(&statement.evidence)?),
                    ],
                });
            }
            let heading = Block::Heading {
                level: 3,
                text: name,
            };
            if opening.is_empty() {
                blocks.push(heading);
            } else {
                let mut together = std::mem::take(&mut opening);
                together.push(heading);
                blocks.push(Block::Together { blocks: together });
            }
            blocks.push(Block::Table {
                name: self.label("clinician.coverage.table-name")?,
                widths: vec![9, 2, 7],
                header: vec![
                    self.label("clinician.coverage.risk")?,
                    self.label("clinician.coverage.page")?,
                    self.label("clinician.coverage.source")?,
                ],
                rows,
                writing: false,
                signing: false,
            });
            let others = self.other_statements(area, pages)?;
            if !others.is_empty() {
                blocks.push(self.note(
                    "clinician.coverage.others",
                    json!({ "list": others.join(", ") }),
                )?);
            }
        }
        Ok(())
    }

    /// The required statements of an area (or of everybody) that are not risks, each with its paper and page.
    fn other_statements(
        &self,
        area: Option<&AreaId>,
        pages: &Pages,
    ) -> Result<Vec<String>, WordingError> {
        let mut said = Vec::new();
        for statement in self.selection.statements.iter().filter(|s| !s.id.is_risk()) {
            if statement.id.owner().area() != area {
                continue;
            }
            let page = match pages.get(&(statement.paper, statement.id.clone())) {
                Some(page) => page.to_string(),
                None => self.label("clinician.coverage.missing")?,
            };
            // a product's stand with everybody's, so they keep their product's name
            let id = match area {
                Some(_) => statement.id.short(),
                None => statement.id.as_str(),
            };
            let paper = self.label(statement.paper.short_title())?;
            said.push(self.line(
                "clinician.coverage.other",
                json!({ "id": id, "paper": paper, "page": page }),
            )?);
        }
        Ok(said)
    }

    fn licence(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let heading = self.line(
            "clinician.licence.heading",
            json!({ "region": self.place_name()? }),
        )?;
        blocks.push(Block::Heading {
            level: 2,
            text: heading,
        });
        let mut items = Vec::new();
        for selected in &self.selection.areas {
            let context = self.area_context(selected)?;
            let said = self.wording.pieces(
                StatementId::standing(&selected.area.id, selected.standing()).wording(),
                &context,
            )?;
            let mut text = rich::plain(rich::text_of_pieces(&said).replace('\n', " "));
            if let Some(licence) = selected.licence {
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
        for selected in &selection.areas {
            let area = selected.area;
            let figures = area.risk.iter().flat_map(|r| &r.figure);
            rests_on.extend(area.window.iter().map(|w| &w.evidence));
            rests_on.extend(area.number.iter().map(|n| &n.evidence));
            rests_on.extend(figures.map(|f| &f.evidence));
            rests_on.extend(selected.licence.iter().map(|l| &l.evidence));
        }
        let used: BTreeSet<&SourceId> = rests_on.iter().flat_map(|e| e.publications()).collect();
        let mut ordered: Vec<&SourceId> = used.into_iter().filter(|id| self.is_cited(id)).collect();
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
