//! Turns the risks of the planned areas and of every treatment into the form's section of what can go wrong.
//! Invariant: every risk the selection requires stands here once, those that need action at once first, each number with its studies.
//! Must not: print a number that is not published, or leave out a risk because it has none.

use std::collections::BTreeSet;

use serde_json::json;

use super::Composer;
use super::consent::led_list;
use super::document::{Block, Item, Row, Tone};
use super::figures::{FrequencyStyle, chosen, denominator, together};
use crate::catalogue::Risk;
use crate::domain::{ProductId, StatementId};
use crate::wording::{Context, Piece, WordingError, rich};

/// The most frequent risks that are said both ways, how many have it and how many do not (K13 and C41 of the document standards; three: ours).
const BOTH_WAYS: usize = 3;

/// Studies told in fewer letters than this stand in every row: a line of their own would save nothing.
const WORTH_A_LINE: usize = 24;

/// The risks of one table in printing order with their statement ids, and what their numbers are out of.
pub(super) struct Numbered<'r> {
    pub risks: Vec<(StatementId, &'r Risk)>,
    pub product: &'r ProductId,
    pub per: u32,
}

impl<'r> Numbered<'r> {
    fn new(risks: Vec<(StatementId, &'r Risk)>, product: &'r ProductId) -> Self {
        let all: Vec<&Risk> = risks.iter().map(|(_, risk)| *risk).collect();
        let per = denominator(&all, product);
        Self {
            risks,
            product,
            per,
        }
    }
}

/// The ids of the most frequent risks of a form that have one number; of equals, those printed first.
fn most_frequent(lists: &[Numbered<'_>]) -> BTreeSet<StatementId> {
    let mut all: Vec<(f64, &StatementId)> = lists
        .iter()
        .flat_map(|list| {
            list.risks.iter().filter_map(|(id, risk)| {
                let share = together(&chosen(risk, list.product), list.per)?;
                let one_number = share.low == share.high && share.high > 0.0 && !share.below_one;
                one_number.then(|| (share.high / f64::from(share.per), id))
            })
        })
        .collect();
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    all.into_iter()
        .take(BOTH_WAYS)
        .map(|(_, id)| id.clone())
        .collect()
}

impl Composer<'_, '_> {
    /// A list for each area, and last the one for everybody.
    pub(super) fn lists(&self) -> Vec<Numbered<'_>> {
        let mut lists: Vec<Numbered<'_>> = self
            .selection
            .areas
            .iter()
            .map(|selected| {
                let id = |risk: &Risk| StatementId::risk(&selected.area.id, &risk.id);
                let risks = selected.risks.iter().map(|risk| (id(risk), *risk));
                Numbered::new(risks.collect(), &selected.product.id)
            })
            .collect();
        let mut general = self.selection.general_risks();
        general.sort_by_key(|risk| risk.weight);
        let risks = general
            .into_iter()
            .map(|risk| (StatementId::general_risk(&risk.id), risk));
        let first_product = self
            .selection
            .products
            .first()
            .expect("a visit has an area, and each area its product");
        lists.push(Numbered::new(risks.collect(), &first_product.id));
        lists
    }

    pub(super) fn risks(
        &self,
        general: &Context,
        blocks: &mut Vec<Block>,
    ) -> Result<(), WordingError> {
        let catalogue = &self.selection.catalogue.general;
        let lists = self.lists();
        let both_ways = most_frequent(&lists);
        blocks.push(self.heading(2, "consent.risks.heading")?);
        blocks.push(self.general_statement("figures", general)?);

        let mut serious = Vec::new();
        for risk in &catalogue.serious {
            let id = StatementId::serious(&risk.id);
            serious.push(self.statement(id, general)?);
        }
        blocks.push(Block::Panel {
            tone: Tone::Serious,
            title: self.label("consent.risks.serious")?,
            blocks: serious,
        });

        blocks.extend(self.arrays(&lists)?);

        let (everybody, areas) = lists
            .split_last()
            .expect("everybody's list is always there");
        for (selected, list) in self.selection.areas.iter().zip(areas) {
            let context = self.area_context(selected)?;
            let name = self.area_name(&selected.area.id)?;
            blocks.push(self.area_heading(selected)?);
            blocks.extend(self.risk_table(&name, list, &context, &both_ways)?);
        }

        let everyone = self.label("consent.risks.everyone")?;
        blocks.push(Block::Heading {
            level: 3,
            text: everyone.clone(),
        });
        blocks.extend(self.risk_table(&everyone, everybody, general, &both_ways)?);

        if !self.selection.because.is_empty() {
            blocks.push(self.heading(3, "consent.risks.because")?);
            let mut items = Vec::new();
            for because in &self.selection.because {
                let id = StatementId::because(&because.rule);
                let mut context = general.clone();
                let areas = if because.areas.is_empty() {
                    self.all_area_names()?
                } else {
                    self.area_names(&because.areas)?
                };
                context.insert("area".to_owned(), areas.clone().into());
                context.insert("areas".to_owned(), areas.into());
                items.push(Item {
                    text: self.wording.rich(id.wording(), &context)?,
                    mark: Some(id),
                });
            }
            blocks.push(Block::bullets(items));
        }
        Ok(())
    }

    /// The risks of one area, or of everybody: those without a number as a list, the others as a table.
    fn risk_table(
        &self,
        name: &str,
        list: &Numbered<'_>,
        context: &Context,
        both_ways: &BTreeSet<StatementId>,
    ) -> Result<Vec<Block>, WordingError> {
        let (product, per) = (list.product, list.per);
        let studied: Vec<Option<String>> = list
            .risks
            .iter()
            .map(|(_, risk)| self.studied_in(risk, product))
            .collect::<Result<_, _>>()?;
        // when every number comes from the same studies, that is said once, above the table, with what was counted
        let mut said: Vec<&String> = studied.iter().flatten().collect();
        let figures = said.len();
        said.dedup();
        let same = match said.as_slice() {
            [one] if figures > 1 && one.chars().count() >= WORTH_A_LINE => Some((*one).clone()),
            _ => None,
        };
        let (mut rows, mut unknown) = (Vec::new(), Vec::new());
        for ((id, risk), studied) in list.risks.iter().zip(studied) {
            let id = id.clone();
            let Some(studied) = studied else {
                unknown.push(Item {
                    text: self.wording.rich(id.wording(), context)?,
                    mark: Some(id),
                });
                continue;
            };
            let how_many = self.how_many(
                risk,
                product,
                per,
                &FrequencyStyle {
                    both_ways: both_ways.contains(&id),
                    unit_said: same.is_some(),
                },
            )?;
            let mut what = self.wording.pieces(id.wording(), context)?;
            let mut detail = how_many.detail;
            if same.is_none() {
                detail = format!("{detail} {studied}");
            }
            if let Some(Piece::Para { text }) = what.last_mut() {
                text.extend(rich::plain(format!(" {}", detail.trim())));
            }
            rows.push(Row {
                mark: Some(id),
                array: None,
                cells: vec![what, how_many.cell],
            });
        }
        let mut blocks = Vec::new();
        // without a number there is nothing to set beside the risk: that is said once, above all of them
        if !unknown.is_empty() {
            let lead = self.note("consent.risks.no-figure", json!({}))?;
            led_list(lead, unknown, &mut blocks);
        }
        if rows.is_empty() {
            return Ok(blocks);
        }
        if let Some(studied) = same {
            blocks.push(self.note("consent.risks.same-studies", json!({ "studied": studied }))?);
        }
        blocks.push(Block::Table {
            name: self.line("consent.risks.table-name", json!({ "area": name }))?,
            widths: self.widths(&rows),
            header: vec![
                self.label("consent.risks.column-what")?,
                self.label("consent.risks.column-how-many")?,
            ],
            rows,
            writing: false,
            signing: false,
        });
        Ok(blocks)
    }

    /// Room for the words and for the number beside them; a long number gets more, so that it stands in one line.
    fn widths(&self, rows: &[Row]) -> Vec<u32> {
        let longest = rows
            .iter()
            .filter_map(|row| row.cells.last())
            .map(|cell| rich::text_of_pieces(cell).chars().count())
            .filter(|length| *length <= 19)
            .max();
        if longest > Some(15) {
            vec![25, 9]
        } else {
            vec![26, 8]
        }
    }
}
