//! Turns the risks of the planned areas and of every treatment into the section of what can go wrong, and into the names that are signed for.
//! Invariant: every risk the selection requires stands here once, those that need action at once first; all numbers of a paper
//! are out of the same many.
//! Must not: print a number that is not published, or leave out a risk because it has none.

use serde_json::json;

use super::document::{Block, Item, Named, Row, Tone};
use super::lead::lead_of;
use super::risk_lists::{RiskList, ToldRisk, per};
use super::{Composer, para};
use crate::catalogue::Counted;
use crate::domain::{AreaId, StatementId, gathered};
use crate::select::SelectedArea;
use crate::wording::phrases::Share;
use crate::wording::{Context, Piece, WordingError, rich};

/// So many areas have their risks parted on the form, into what was counted and what was not.
const PARTED: usize = 2;

/// A counted risk that matters most, with what its number is out of.
pub(super) struct Frequent {
    pub name: String,
    pub share: String,
    /// It counts people, not treatments.
    pub people: bool,
    /// "another product", where it was counted with none that the patient has.
    pub other_product: String,
    /// How many in the same form had it with a dummy injection, where that was counted.
    pub dummy: Option<String>,
}

/// The risks of one list as they are printed.
struct RiskTables {
    /// A table by frequency, the studies and what is drawn; empty where nobody counted any.
    counted: Vec<Block>,
    uncounted: Vec<Block>,
}

impl Composer<'_, '_> {
    pub(super) fn risks(
        &self,
        general: &Context,
        blocks: &mut Vec<Block>,
    ) -> Result<(), WordingError> {
        let catalogue = &self.selection.catalogue.general;
        let lists = self.lists();
        let per = per(&lists);
        blocks.push(self.heading(2, "consent.risks.heading")?);

        let at_once = json!({ "emergency": self.emergency() });
        let mut serious = vec![Block::Line {
            text: rich::plain(self.line("consent.risks.serious-lead", at_once)?),
        }];
        for risk in &catalogue.serious {
            let id = StatementId::serious(&risk.id);
            serious.push(self.statement(id, general)?);
        }
        blocks.push(Block::Panel {
            tone: Tone::Serious,
            title: self.label("consent.risks.serious")?,
            blocks: serious,
        });
        // what a dummy is, only where one follows
        let mut figures = general.clone();
        let compared = lists.iter().any(|list| list.is_compared());
        figures.insert("compared".to_owned(), compared.into());
        // treatments are not people, and some studies counted those
        let treatments = lists.iter().any(|list| list.counts_treatments());
        figures.insert("treatments".to_owned(), treatments.into());
        let figures = self.general_statement("figures", &figures)?;
        let pictures = self.arrays(&lists, per)?;
        let (everybody, areas) = lists
            .split_last()
            .expect("everybody's list is always there");
        if let ([selected], [list]) = (self.selection.areas.as_slice(), areas) {
            let name = self.area_name(&selected.area.id)?;
            let contexts = [&self.area_context(selected)?, general];
            let own_counted = list.any_was_counted();
            // of one area alone nothing needs telling apart: what is its own and what every treatment has stand in one table. Where
            // nobody counted what is its own, that comes first: nobody looks for it behind a headache
            let both = list.with(everybody);
            let shown = match own_counted {
                true => &both,
                false => {
                    let own = self.risk_table(&name, list, per, contexts, None)?;
                    blocks.extend(own.uncounted);
                    everybody
                }
            };
            let tables = self.risk_table(&name, shown, per, contexts, pictures)?;
            blocks.push(figures);
            blocks.extend(self.above_official_dose(selected, list.any_was_seen())?);
            blocks.extend([tables.counted, tables.uncounted].concat());
            return Ok(());
        }
        // what numbers say, before the first of them
        let mut figures = Some([vec![figures], pictures.into_iter().collect()].concat());
        for (selected, list) in self.selection.areas.iter().zip(areas) {
            let context = self.area_context(selected)?;
            let name = self.area_name(&selected.area.id)?;
            let tables = self.risk_table(&name, list, per, [&context, general], None)?;
            if !tables.counted.is_empty() {
                blocks.extend(figures.take().unwrap_or_default());
            }
            blocks.push(self.area_heading(selected)?);
            blocks.extend(self.above_official_dose(selected, list.any_was_seen())?);
            blocks.extend([tables.counted, tables.uncounted].concat());
        }
        let everyone = self.label("consent.risks.everyone")?;
        blocks.push(Block::heading(3, everyone));
        let everyone = self.label("consent.risks.everyone-short")?;
        blocks.extend(figures.unwrap_or_default());
        let tables = self.risk_table(&everyone, everybody, per, [general; 2], None)?;
        blocks.extend([tables.counted, tables.uncounted].concat());
        Ok(())
    }

    /// That studies of smaller doses leave open what a larger one risks. `seen`: something was seen there, so there are numbers.
    fn above_official_dose(
        &self,
        selected: &SelectedArea<'_>,
        seen: bool,
    ) -> Result<Option<Block>, WordingError> {
        let above = selected.is_above_label();
        let said = above.then(|| self.note("consent.risks.above-dose", json!({ "seen": seen })));
        said.transpose()
    }

    /// The risks of one area, of everybody, or both (each filled from its own values): what was counted by frequency, the studies
    /// and what was drawn of it, and apart from that what nobody counted.
    fn risk_table(
        &self,
        name: &str,
        list: &RiskList<'_>,
        per: u32,
        [area, general]: [&Context; 2],
        pictures: Option<Block>,
    ) -> Result<RiskTables, WordingError> {
        let mut blocks = Vec::new();
        // of one area nobody needs telling under every head whose risks these are
        let whose = match self.selection.areas.len() {
            1 => String::new(),
            _ => name.to_owned(),
        };
        // a column that says of every risk that nobody counted it tells less than one sentence
        let compared = list.is_compared();
        let of_treatments = list.counts_treatments();
        let (mut counted, mut unknown) = (Vec::new(), Vec::new());
        let mut others = Vec::new();
        // studies in the order of the table, each with the risks it counted
        let mut studies: Vec<(String, String)> = Vec::new();
        for told in list.by_frequency() {
            let id = &told.id;
            let is_general = id.owner().area().is_none();
            let context = if is_general { general } else { area };
            let mut words = self.wording.pieces(id.wording(), context)?;
            let Some(studied) = self.studied_in(told)? else {
                unknown.push(Row {
                    mark: Some(id.clone()),
                    cells: vec![words],
                });
                continue;
            };
            let lead = lead_of(&words);
            let how_many = self.how_many(told, per, of_treatments)?;
            studies.push((studied, lead));
            if let Some(Piece::Para { text }) = words.last_mut() {
                for said in self.about_number(told, how_many.still)? {
                    text.extend(rich::plain(format!(" {said}")));
                }
            }
            let mut cells = vec![words, how_many.often];
            if compared {
                cells.push(how_many.dummy);
            }
            others.push(self.other_product(told)?);
            counted.push(Row {
                mark: Some(id.clone()),
                cells,
            });
        }
        let numbers = counted.len();
        if numbers > 0 {
            let mut header = vec![
                self.label("consent.risks.column-what")?,
                self.label("consent.risks.column-how-many")?,
            ];
            // what all numbers are of stands once, in the head
            let alike = others.iter().all(|other| *other == others[0]);
            let under_how_many = match of_treatments {
                false if alike && !others[0].is_empty() => {
                    let other = json!({ "other": others[0] });
                    self.line("consent.risks.under-other", other)?
                }
                _ => {
                    name_products(&others, &mut counted);
                    self.label(match of_treatments {
                        true => "consent.risks.under-treatments",
                        false => "consent.risks.under-how-many",
                    })?
                }
            };
            let mut under = vec![whose.clone(), under_how_many];
            if compared {
                header.push(self.label("consent.risks.column-dummy")?);
                under.push(self.label("consent.risks.under-dummy")?);
            }
            blocks.push(Block::Table {
                name: self.line("consent.risks.table-name", json!({ "area": name }))?,
                widths: match compared {
                    true => vec![100, 35, 35],
                    false => vec![128, 42],
                },
                header,
                under,
                rows: counted,
            });
            blocks.push(self.counted_where(studies, numbers, compared)?);
        }
        blocks.extend(pictures);
        let mut uncounted = Vec::new();
        // their head says on every side what has no number
        if !unknown.is_empty() {
            uncounted.push(Block::Table {
                name: self.line("consent.risks.table-uncounted", json!({ "area": name }))?,
                widths: vec![1],
                header: vec![self.label("consent.risks.no-figure")?],
                under: vec![whose],
                rows: unknown,
            });
        }
        Ok(RiskTables {
            counted: blocks,
            uncounted,
        })
    }

    /// Which studies counted the risks of a table, and whether a dummy's number is known of any.
    fn counted_where(
        &self,
        studies: Vec<(String, String)>,
        numbers: usize,
        compared: bool,
    ) -> Result<Block, WordingError> {
        let studies = gathered(studies);
        let mut said = Vec::new();
        for (studied, names) in &studies {
            let names = self.wording.list_of_names(names);
            said.push(self.line(
                "consent.risks.studied",
                json!({ "names": names, "studied": studied, "all": studies.len() == 1, "count": numbers }),
            )?);
        }
        if !compared {
            said.push(self.label("consent.risks.not-compared")?);
        }
        Ok(Block::Note {
            pieces: para(said.join(" ")),
        })
    }

    /// What a number does not mean, where it was counted, and for which areas it is: it stands after the words of the risk.
    fn about_number(
        &self,
        told: &ToldRisk<'_>,
        still: String,
    ) -> Result<Vec<String>, WordingError> {
        let is_number = still.is_empty();
        let elsewhere = told.id.owner().area().is_none() && !self.is_all_upper_face();
        let mut said: Vec<String> = (!is_number).then_some(still).into_iter().collect();
        match self.areas_without_own_number(told) {
            Some(areas) => {
                let areas = self.wording.inside_sentence(&self.area_names(&areas)?);
                let words = json!({ "areas": areas, "upper": is_number });
                said.push(self.line("consent.risks.elsewhere", words)?);
            }
            None if told.borrowed || elsewhere && is_number => {
                said.push(self.label("consent.risks.upper-face")?);
            }
            None => {}
        }
        Ok(said)
    }

    /// Where areas of this plan have a number of their own for a general risk: those that have none, for which the general one is.
    pub(super) fn areas_without_own_number(&self, told: &ToldRisk<'_>) -> Option<Vec<AreaId>> {
        if told.id.owner().area().is_some() {
            return None;
        }
        let without = self.without_own_number(told.risk);
        let without: Vec<AreaId> = without.map(|area| area.area.id.clone()).collect();
        (without.len() < self.selection.areas.len()).then_some(without)
    }

    /// Whether a risk of one of the areas themselves was counted, apart from what every treatment has.
    pub(super) fn areas_were_counted(&self) -> bool {
        let lists = self.lists();
        let mut own = lists.iter().take(self.selection.areas.len());
        own.any(RiskList::any_was_counted)
    }

    /// The counted risk of an area's own that was seen most often; those of everybody were counted in other areas, and what is as
    /// frequent without the medicine is probably not due to it.
    pub(super) fn most_frequent(&self) -> Result<Option<Frequent>, WordingError> {
        let lists = self.lists();
        let per = per(&lists);
        let mut best: Option<(Share, &SelectedArea<'_>, &ToldRisk<'_>)> = None;
        for (selected, list) in self.selection.areas.iter().zip(&lists) {
            for told in &list.risks {
                let Some(share) = told.share(per) else {
                    continue;
                };
                let most = best.as_ref().map_or(0.0, |(share, ..)| share.high);
                if share.high > most && !told.is_as_frequent_with_dummy() {
                    best = Some((share, selected, told));
                }
            }
        }
        let Some((share, selected, told)) = best else {
            return Ok(None);
        };
        let context = self.area_context(selected)?;
        let counted = told.counted();
        Ok(Some(Frequent {
            name: lead_of(&self.wording.pieces(told.id.wording(), &context)?),
            share: self.wording.share(share, counted)?,
            people: counted == Counted::People,
            other_product: self.other_product(told)?,
            dummy: match told.dummy(per) {
                Some(dummy) => Some(self.wording.share(dummy, counted)?),
                None => None,
            },
        }))
    }

    /// The names of the risks of each area, each under its statement, in the order of the tables that explain them.
    pub(super) fn risk_names(&self) -> Result<Vec<Vec<Named>>, WordingError> {
        let lists = self.lists();
        let areas = self.selection.areas.iter().zip(&lists);
        // more areas than this share one sheet only without the words that part them
        let are_parted = self.selection.areas.len() <= PARTED;
        let named = areas.map(|(selected, list)| {
            let context = self.area_context(selected)?;
            // where all that was counted was seen in nobody there is no frequency to stand by
            let are_parted = are_parted && list.any_was_seen();
            let (counted, others): (Vec<_>, Vec<_>) = list
                .by_frequency()
                .into_iter()
                .partition(|told| are_parted && !told.figures.is_empty());
            let (first, then) = match counted.len() {
                0 => ("consent.recap.risks", "consent.recap.risks"),
                1 => ("consent.recap.risks", "consent.recap.uncounted"),
                _ => ("consent.recap.counted", "consent.recap.uncounted"),
            };
            let mut said = Vec::new();
            for (lead, risks) in [(first, counted), (then, others)] {
                if !risks.is_empty() {
                    said.push(Named {
                        lead: self.label(lead)?,
                        names: self
                            .risks_named(risks.into_iter().map(|told| told.id.clone()), &context)?,
                    });
                }
            }
            Ok(said)
        });
        named.collect()
    }

    /// The names of the risks of every treatment: the serious ones, then the others.
    pub(super) fn shared_risk_names(&self) -> Result<Vec<Named>, WordingError> {
        let general = self.general_context()?;
        let serious = self.selection.catalogue.general.serious.iter();
        let serious = serious.map(|risk| StatementId::serious(&risk.id));
        let others = self.selection.general_risks().into_iter();
        let others = others.map(|risk| StatementId::general_risk(&risk.id));
        let several = json!({ "several": self.selection.areas.len() > 1 });
        Ok(vec![
            Named {
                lead: self.line("consent.recap.serious", several.clone())?,
                names: self.risks_named(serious, &general)?,
            },
            Named {
                lead: self.line("consent.recap.others", several)?,
                names: self.risks_named(others, &general)?,
            },
        ])
    }

    fn risks_named(
        &self,
        ids: impl Iterator<Item = StatementId>,
        context: &Context,
    ) -> Result<Vec<Item>, WordingError> {
        ids.map(|id| {
            let name = lead_of(&self.wording.pieces(id.wording(), context)?);
            Ok(Item {
                text: rich::plain(self.wording.inside_sentence(&name)),
                mark: Some(id),
            })
        })
        .collect()
    }
}

/// Says under each number that it is of other products, where it is.
fn name_products(others: &[String], rows: &mut [Row]) {
    for (row, other) in rows.iter_mut().zip(others) {
        if !other.is_empty() {
            row.cells[1].extend(para(other.clone()));
        }
    }
}
