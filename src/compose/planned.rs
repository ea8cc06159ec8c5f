//! Turns the planned areas into the section "Your plan": where, why, which side, how much, beside the map.
//! Invariant: every planned area stands here once, under the number its zone and its risks carry.
//! Must not: say what a treatment does or risks.

use serde_json::json;

use super::document::Block;
use super::pictures::FOR_PATIENT;
use super::{Composer, para, values};
use crate::domain::LabelId;
use crate::select::SelectedArea;
use crate::wording::WordingError;

/// More areas than this would be longer than the map beside them.
const BESIDE: usize = 2;

impl Composer<'_, '_> {
    pub(super) fn planned(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "consent.planned.heading")?);
        let mut planned = Vec::new();
        for selected in &self.selection.areas {
            planned.push(self.one_planned(selected)?);
        }
        planned.extend(self.planned_together()?);
        match self.face(&FOR_PATIENT)? {
            Some(face) if self.selection.areas.len() <= BESIDE => blocks.push(Block::Beside {
                blocks: planned,
                picture: Box::new(face),
            }),
            face => {
                blocks.extend(planned);
                blocks.extend(face);
            }
        }
        Ok(())
    }

    /// The units of several areas together; nothing where one is open, or they are of two products, which do not add up.
    fn planned_together(&self) -> Result<Option<Block>, WordingError> {
        let areas = &self.selection.areas;
        let total: Option<f64> = areas.iter().map(|area| area.dose.total_units).sum();
        let (Some(total), true) = (total, areas.len() > 1 && self.selection.products.len() == 1)
        else {
            return Ok(None);
        };
        let text = self.rich_line("consent.planned.together", json!({ "total": total }))?;
        Ok(Some(Block::Line { text }))
    }

    /// Side and dose never leave the area they are of.
    fn one_planned(&self, selected: &SelectedArea<'_>) -> Result<Block, WordingError> {
        let area = &selected.area.id;
        let context = self.area_context(selected)?;
        let place = self.wording.line(&LabelId::area_where(area), &context)?;
        let aim = self.wording.line(&LabelId::area_aim(area), &context)?;
        let mut what = self.wording.pieces(
            "consent.planned.what",
            &values(json!({ "where": place, "aim": aim })),
        )?;
        if let Some(words) = &selected.planned.aim {
            what.extend(para(
                self.line("consent.planned.own-words", json!({ "words": words }))?,
            ));
        }
        let mut details = vec![
            (
                self.label("consent.planned.side")?,
                self.side(selected.planned.side)?,
            ),
            (
                self.label("consent.planned.units")?,
                self.units_planned(selected)?,
            ),
        ];
        if self.selection.products.len() > 1 {
            let product = selected.product.id.to_string();
            details.push((self.label("label.product")?, product));
        }
        if let Some(round) = selected.planned.round {
            let round = self.wording.formats().number(f64::from(round));
            details.push((self.label("consent.planned.round")?, round));
        }
        Ok(Block::Together {
            blocks: vec![
                self.area_heading(selected)?,
                Block::Text {
                    mark: None,
                    pieces: what,
                },
                Block::Facts {
                    lines: vec![details],
                },
            ],
        })
    }

    /// "6 in all", "50 (25 on each side)".
    fn units_planned(&self, selected: &SelectedArea<'_>) -> Result<String, WordingError> {
        match selected.dose.total_units {
            Some(units) => self.line(
                "consent.planned.units-value",
                json!({ "total": units, "side": selected.dose.side_units }),
            ),
            None => self.label("consent.planned.units-open"),
        }
    }
}
