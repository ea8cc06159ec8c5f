//! Turns the risks of a selection into lists, one for each area and one for everybody, each risk with the figures that count here.
//! Invariant: figures for what the patient has come before any other; a risk is in one list only.
//! Must not: put a figure into words, or leave out a risk that has none.

use std::collections::BTreeSet;

use super::Composer;
use super::figures::{chosen, counted_in, denominator, placebo, together};
use crate::catalogue::{Counted, Figure, Risk, Zone};
use crate::domain::{ProductId, StatementId};
use crate::select::SelectedArea;
use crate::wording::phrases::Share;

/// A risk as this patient is told it.
#[derive(Clone)]
pub(super) struct ToldRisk<'r> {
    pub id: StatementId,
    pub risk: &'r Risk,
    pub figures: Vec<&'r Figure>,
    /// An area's risk in figures of the general one, which were counted in the upper face.
    pub borrowed: bool,
    /// What the patient has where these figures are to be read: one product, or with several areas perhaps more.
    pub had: Vec<&'r ProductId>,
}

impl ToldRisk<'_> {
    pub fn share(&self, per: u32) -> Option<Share> {
        together(&self.figures, per)
    }

    /// The largest share that was counted, not rounded; less than nothing where nobody counted.
    fn highest(&self) -> f64 {
        let shares = self.figures.iter().map(|figure| figure.highest());
        shares.fold(-1.0, f64::max)
    }

    pub fn dummy(&self, per: u32) -> Option<Share> {
        placebo(&self.figures, per)
    }

    pub fn counted(&self) -> Counted {
        counted_in(&self.figures)
    }

    /// Of how many products the figures are, where the patient has none of them; 0 where one is theirs, or none is named.
    pub fn other_products(&self) -> usize {
        let named = self
            .figures
            .iter()
            .all(|figure| !figure.products.is_empty());
        let products = self.figures.iter().flat_map(|figure| &figure.products);
        let products: BTreeSet<&ProductId> = products.collect();
        let own = products.iter().any(|product| self.had.contains(product));
        if named && !own { products.len() } else { 0 }
    }

    /// It was seen as often after a dummy injection, so it is probably not due to the medicine. Where the figures lack a dummy, those
    /// of other products say it.
    pub fn is_as_frequent_with_dummy(&self) -> bool {
        fn compared<'f>(figures: impl Iterator<Item = &'f Figure>) -> Vec<(f64, f64)> {
            let compared =
                figures.filter_map(|f| Some((f.highest(), f.placebo? / f64::from(f.per))));
            compared.collect()
        }
        let mut shares = compared(self.figures.iter().copied());
        if shares.is_empty() {
            shares = compared(self.risk.figure.iter());
        }
        !shares.is_empty() && shares.iter().all(|(treated, dummy)| dummy >= treated)
    }
}

/// The risks of one table, in printing order.
pub(super) struct RiskList<'r> {
    pub risks: Vec<ToldRisk<'r>>,
}

impl<'r> RiskList<'r> {
    /// These risks, and those of another list behind them.
    pub fn with(&self, others: &Self) -> Self {
        RiskList {
            risks: [self.risks.as_slice(), others.risks.as_slice()].concat(),
        }
    }

    pub fn any_was_counted(&self) -> bool {
        self.risks.iter().any(|told| !told.figures.is_empty())
    }

    /// What was counted, people or treatments, of each risk that was seen in one at least.
    fn seen(&self) -> impl Iterator<Item = Counted> {
        let seen = self.risks.iter().filter(|told| told.highest() > 0.0);
        seen.map(ToldRisk::counted)
    }

    pub fn any_was_seen(&self) -> bool {
        self.seen().next().is_some()
    }

    /// Whether every share of the table is one of treatments, so that its head can say so once.
    pub fn counts_treatments(&self) -> bool {
        self.any_was_seen() && self.seen().all(|of| of == Counted::Treatments)
    }

    /// One of them was also counted with a dummy injection.
    pub fn is_compared(&self) -> bool {
        let mut figures = self.risks.iter().flat_map(|told| &told.figures);
        figures.any(|figure| figure.placebo.is_some())
    }

    /// The most frequent first; what nobody counted keeps its order at the end.
    pub fn by_frequency(&self) -> Vec<&ToldRisk<'r>> {
        // not rounded, or what was seen in few would stand behind what was seen in nobody; last what nobody counted
        let mut risks: Vec<_> = self.risks.iter().collect();
        risks.sort_by(|a, b| b.highest().total_cmp(&a.highest()));
        risks
    }
}

/// What all numbers of a paper are out of.
pub(super) fn per(lists: &[RiskList<'_>]) -> u32 {
    let all = lists.iter().flat_map(|list| &list.risks);
    denominator(all.flat_map(|told| told.figures.iter().copied()))
}

impl Composer<'_, '_> {
    /// A list for each area, and last the one for everybody.
    pub(super) fn lists(&self) -> Vec<RiskList<'_>> {
        let areas = self.selection.areas.iter();
        let mut lists: Vec<RiskList<'_>> = areas
            .map(|selected| {
                let told = selected.risks.iter().map(|risk| {
                    let (figures, borrowed) = self.figures_in(selected, risk);
                    ToldRisk {
                        id: StatementId::risk(&selected.area.id, &risk.id),
                        risk,
                        figures,
                        borrowed,
                        had: vec![&selected.product.id],
                    }
                });
                RiskList {
                    risks: told.collect(),
                }
            })
            .collect();
        let mut general = self.selection.general_risks();
        general.sort_by_key(|risk| risk.weight);
        let told = general.into_iter().map(|risk| {
            let mut had: Vec<&ProductId> = Vec::new();
            for area in self.without_own_number(risk) {
                if !had.contains(&&area.product.id) {
                    had.push(&area.product.id);
                }
            }
            ToldRisk {
                id: StatementId::general_risk(&risk.id),
                risk,
                figures: chosen(risk, &had),
                borrowed: false,
                had,
            }
        });
        lists.push(RiskList {
            risks: told.collect(),
        });
        lists
    }

    /// The figures that count for a risk of an area: those of the area with the patient's product; then, for what every treatment
    /// risks, those of that product wherever they were counted, which is the upper face (and then true); then those of the area with any
    /// product.
    pub(super) fn figures_in<'s>(
        &'s self,
        selected: &SelectedArea<'s>,
        risk: &'s Risk,
    ) -> (Vec<&'s Figure>, bool) {
        let product = &selected.product.id;
        let of_product = |figure: &Figure| figure.products.contains(product);
        let own = risk.figure.iter().any(of_product);
        let general = risk.instead_of.as_ref().and_then(|id| {
            let mut general = self.selection.catalogue.general.risk.iter();
            general.find(|general| general.id == *id)
        });
        match general {
            Some(general) if !own && selected.area.zone == Zone::UpperFace => {
                let borrowed = general.figure.iter().any(of_product);
                let told = if borrowed { general } else { risk };
                (chosen(told, &[product]), borrowed)
            }
            _ => (chosen(risk, &[product]), false),
        }
    }

    /// The areas that have no number of their own for a general risk.
    pub(super) fn without_own_number(
        &self,
        risk: &Risk,
    ) -> impl Iterator<Item = &SelectedArea<'_>> {
        let areas = self.selection.areas.iter();
        areas.filter(move |area| !area.tells_itself(&risk.id))
    }

    /// What every treatment risks was counted in studies of this part of the face alone.
    pub(super) fn is_all_upper_face(&self) -> bool {
        let mut areas = self.selection.areas.iter();
        areas.all(|selected| selected.area.zone == Zone::UpperFace)
    }
}
