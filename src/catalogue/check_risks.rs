//! Turns the risks of the catalogue into what is wrong with them.
//! Invariant: a risk that stands for another has figures of its own; every area and product that a risk names is there.
//! Must not: judge whether a figure is true.

use super::check::Check;
use super::{Area, AreaId, General, Risk};

impl Check<'_> {
    pub(super) fn risk_list(&mut self, at: &str, risks: &[Risk]) {
        self.unique(&format!("{at} risk"), risks.iter().map(|r| r.id.as_str()));
        for risk in risks {
            let at = format!("{at} risk {}", risk.id);
            self.evidence(&at, &risk.evidence);
            for figure in &risk.figure {
                let at = format!("{at} figure {}", figure.affected);
                self.evidence(&at, &figure.evidence);
                self.range(
                    &at,
                    figure.affected,
                    figure.affected_high.unwrap_or(figure.affected),
                );
                let most = figure
                    .affected_high
                    .unwrap_or(figure.affected)
                    .max(figure.placebo.unwrap_or(0.0));
                if most > f64::from(figure.per) {
                    self.say(format!("{at}: more than {} in {}", most, figure.per));
                }
                if ![100, 1_000, 10_000].contains(&figure.per) {
                    self.say(format!(
                        "{at}: per {} is not 100, 1,000 or 10,000",
                        figure.per
                    ));
                }
                for product in &figure.products {
                    self.product_id(&at, product);
                }
            }
        }
    }

    /// A risk can stand for a general one only with figures of its own.
    pub(super) fn instead_of(&mut self, area: &Area) {
        for risk in &area.risk {
            let Some(general) = &risk.instead_of else {
                continue;
            };
            let at = format!("{} risk {}", area.id, risk.id);
            if !self.catalogue.general.risk.iter().any(|r| r.id == *general) {
                self.say(format!("{at}: {general} is not a general risk"));
            }
            if risk.figure.is_empty() {
                self.say(format!(
                    "{at}: stands for {general} without a figure of its own"
                ));
            }
        }
    }

    /// Areas in which a general risk was counted, or whose place another choice can take.
    pub(super) fn where_said(&mut self, general: &General) {
        for risk in general.risk.iter().chain(&general.serious) {
            let at = format!("general risk {}", risk.id);
            let none = risk.none_confirmed.as_ref();
            none.into_iter()
                .for_each(|none| self.product_id(&at, &none.product));
            let counted = none.into_iter().flat_map(|none| &none.areas);
            self.area_ids(&at, counted);
        }
        for choice in &general.choice {
            self.area_ids(&format!("choice {}", choice.id), &choice.only_with);
        }
    }

    fn area_ids<'i>(&mut self, at: &str, areas: impl IntoIterator<Item = &'i AreaId>) {
        for area in areas {
            if self.catalogue.area(area).is_none() {
                self.say(format!("{at}: {area} is not an area"));
            }
        }
    }
}
