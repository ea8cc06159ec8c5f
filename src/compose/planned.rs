//! Turns the planned areas into the first part of the consent form: where, why, which side, how much, beside the drawing.
//! Invariant: every planned area stands here once, under the number its ring and its risks carry.
//! Must not: say what a treatment does or risks (those come after, in `consent`).

use serde_json::json;

use super::document::{Block, Item, Row, Tone};
use super::pictures::FOR_PATIENT;
use super::{Composer, para, values};
use crate::domain::LabelId;
use crate::select::SelectedArea;
use crate::wording::{Context, Piece, WordingError, rich};

/// More areas than this stand in a table with the drawing below it.
const BESIDE: usize = 3;

/// One planned area in words.
struct Planned {
    number: usize,
    /// "Frown lines: the muscles between your brows."
    what: Vec<Piece>,
    side: String,
    units: String,
    /// Only where the plan names one.
    round: Option<String>,
}

impl Composer<'_, '_> {
    pub(super) fn planned(
        &self,
        general: &Context,
        blocks: &mut Vec<Block>,
    ) -> Result<(), WordingError> {
        let mut first = vec![Item {
            mark: None,
            text: rich::bold(self.label("consent.read-first")?),
        }];
        first.extend(self.flow_items(&["informs-not-replaces"], general)?);
        let read_first = Block::Panel {
            tone: Tone::Note,
            title: String::new(),
            blocks: vec![Block::Flow { items: first }],
        };
        let heading = self.heading(2, "consent.planned.heading")?;
        let planned: Result<Vec<Planned>, _> = self
            .selection
            .areas
            .iter()
            .map(|a| self.one_planned(a))
            .collect();
        let planned = planned?;
        let face = self.face(&FOR_PATIENT)?;
        match face {
            Some(face) if planned.len() <= BESIDE => {
                let mut left = self.planned_list(planned)?;
                left.insert(0, read_first);
                blocks.push(heading);
                blocks.push(Block::Beside {
                    blocks: left,
                    picture: Box::new(face),
                });
            }
            face => {
                blocks.push(read_first);
                blocks.push(heading);
                blocks.push(self.planned_table(planned)?);
                blocks.extend(face);
            }
        }
        Ok(())
    }

    fn one_planned(&self, selected: &SelectedArea<'_>) -> Result<Planned, WordingError> {
        let area = &selected.area.id;
        let context = self.area_context(selected)?;
        let place = self.wording.line(&LabelId::area_where(area), &context)?;
        let mut what = vec![Piece::Para {
            text: self.wording.rich(
                "consent.planned.where-value",
                &values(json!({ "name": self.area_name(area)?, "where": place })),
            )?,
        }];
        let aim = self.wording.line(&LabelId::area_aim(area), &context)?;
        what.extend(para(
            self.line("consent.planned.aim", json!({ "aim": aim }))?,
        ));
        if let Some(words) = &selected.planned.aim {
            what.extend(para(
                self.line("consent.planned.own-words", json!({ "words": words }))?,
            ));
        }
        let units = match selected.dose.total_units {
            Some(units) => self.line(
                "consent.planned.units-value",
                json!({ "total": units, "side": selected.dose.side_units }),
            )?,
            None => self.label("consent.planned.units-open")?,
        };
        Ok(Planned {
            number: selected.number,
            what,
            side: self.side(selected.planned.side)?,
            units,
            round: selected
                .planned
                .round
                .map(|round| self.wording.formats().number(f64::from(round))),
        })
    }

    /// Few areas: one after the other, at the side of the drawing.
    fn planned_list(&self, planned: Vec<Planned>) -> Result<Vec<Block>, WordingError> {
        let mut blocks = Vec::new();
        for one in planned {
            let mut pieces = one.what;
            if let Some(Piece::Para { text }) = pieces.first_mut() {
                let number = format!("{}. ", one.number);
                text.splice(0..0, rich::bold(number));
            }
            let mut details = vec![
                ("consent.planned.side", one.side),
                ("consent.planned.units", one.units),
            ];
            details.extend(one.round.map(|round| ("consent.planned.round", round)));
            let mut said = Vec::new();
            for (label, value) in details {
                said.extend(rich::bold(format!("{} ", self.label(label)?)));
                said.extend(rich::plain(format!("{value}   ")));
            }
            if let Some(last) = said.last_mut() {
                last.text.truncate(last.text.trim_end().len());
            }
            pieces.push(Piece::Para { text: said });
            blocks.push(Block::Text { mark: None, pieces });
        }
        Ok(blocks)
    }

    /// Many areas: a table, with a column for the rounds where the plan names one.
    fn planned_table(&self, planned: Vec<Planned>) -> Result<Block, WordingError> {
        let rounds = planned.iter().any(|one| one.round.is_some());
        let (mut widths, mut header) = (vec![0, 7, 2, 2], Vec::new());
        for column in [
            "consent.planned.number",
            "consent.planned.where",
            "consent.planned.side",
            "consent.planned.units",
        ] {
            header.push(self.label(column)?);
        }
        if rounds {
            widths.push(0);
            header.push(self.label("consent.planned.round")?);
        }
        let row = |one: Planned| {
            let mut cells = vec![
                para(one.number.to_string()),
                one.what,
                para(one.side),
                para(one.units),
            ];
            if rounds {
                cells.push(para(one.round.unwrap_or_else(|| "1".to_owned())));
            }
            Row {
                mark: None,
                array: None,
                cells,
            }
        };
        Ok(Block::Table {
            name: self.label("consent.planned.table-name")?,
            widths,
            header,
            rows: planned.into_iter().map(row).collect(),
            writing: false,
            signing: false,
        })
    }
}
