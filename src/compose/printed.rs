//! Turns what was printed where into the part of the check sheet that shows it: required risks and other statements, area by area.
//! Invariant: every required statement of the patient's papers is listed, printed or not.
//! Must not: decide what is required.

use serde_json::json;

use super::clinician::lead_of;
use super::document::{Block, Row};
use super::{Composer, Pages, para};
use crate::domain::AreaId;
use crate::select::Paper;
use crate::wording::{Context, WordingError};

impl Composer<'_, '_> {
    /// Area × required risk → page of the consent form.
    pub(super) fn coverage(
        &self,
        pages: &Pages,
        blocks: &mut Vec<Block>,
    ) -> Result<(), WordingError> {
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
                .filter(|s| s.paper == Paper::Consent && s.id.is_risk());
            for statement in risks.filter(|s| s.id.owner().area() == area) {
                let text = self.wording.pieces(statement.id.wording(), &context)?;
                let page = match pages.get(&(Paper::Consent, statement.id.clone())) {
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
            said.push(self.line(
                "clinician.coverage.other",
                json!({ "id": id, "paper": statement.paper.as_str(), "page": page }),
            )?);
        }
        Ok(said)
    }
}
