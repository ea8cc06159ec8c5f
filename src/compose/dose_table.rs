//! Turns planned doses into the check sheet's table of units, volumes and labels, and areas into the days of further treatments.
//! Invariant: units are never converted; a volume stands only where vial and diluent are known.
//! Must not: propose a dose, or leave out an area.

use serde_json::json;

use super::Composer;
use super::check_parts::{CheckPart, DoseRow};
use super::document::{Block, Item};
use crate::domain::{LabelId, Side};
use crate::select::{Basis, Comparison, LabelComparison, SelectedArea, Verdict, is_ready, vials};
use crate::wording::rich::Rich;
use crate::wording::{WordingError, rich};

impl Composer<'_, '_> {
    pub(super) fn doses(&self) -> Result<Option<Block>, WordingError> {
        if self.selection.areas.is_empty() {
            return Ok(None);
        }
        let areas = self.selection.areas.iter();
        let rows: Vec<DoseRow> = areas
            .map(|selected| self.dose_row(selected))
            .collect::<Result<_, _>>()?;
        let mut totals = Vec::new();
        for product in &self.selection.products {
            let areas = self.selection.areas.iter();
            let of_product = areas.filter(|a| a.product.id == product.id);
            let several = of_product.clone().count() > 1;
            let total: Option<f64> = of_product.map(|a| a.dose.total_units).sum();
            // the total of one area stands in its row
            if let Some(total) = total.filter(|_| several) {
                totals.push((
                    self.line("clinician.doses.total-of", json!({ "product": product.id }))?,
                    self.wording.formats().number(total),
                ));
            }
        }
        let header = [
            "clinician.doses.number",
            "clinician.doses.area",
            "clinician.doses.side",
            "clinician.doses.units",
            "clinician.doses.ml",
            "clinician.doses.label",
            "clinician.doses.given",
        ];
        Ok(Some(Block::Check(CheckPart::Doses {
            name: self.label("clinician.doses.table-name")?,
            header: header
                .into_iter()
                .map(|id| self.label(id))
                .collect::<Result<_, _>>()?,
            rows,
            totals,
            notes: self.dose_notes()?,
        })))
    }

    fn dose_row(&self, selected: &SelectedArea<'_>) -> Result<DoseRow, WordingError> {
        let formats = self.wording.formats();
        let dose = &selected.dose;
        let units = match dose.total_units {
            None => self.label("clinician.doses.units-open")?,
            Some(total) => formats.number(total),
        };
        let parted =
            json!({ "side": dose.side_units, "point": dose.point_units, "points": dose.points });
        let parted = match (dose.total_units, dose.side_units.or(dose.point_units)) {
            (Some(_), Some(_)) => self.line("clinician.doses.parted", parted)?,
            _ => String::new(),
        };
        let volume = match &dose.volume_ml {
            Some(volume) => formats.digits(volume),
            None if self.is_ready(selected) => self.label("clinician.doses.volume-ready")?,
            None => self.label("clinician.doses.volume-open")?,
        };
        Ok(DoseRow {
            number: selected.number.to_string(),
            area: self.area_name(&selected.area.id)?,
            product: match self.selection.products.len() {
                1 => String::new(),
                _ => selected.product.id.to_string(),
            },
            muscles: self.muscles_and_round(selected)?,
            side: self.side_words(selected.planned.side)?,
            units,
            parted,
            volume,
            label: self.label_range(selected)?,
            given: self.boxes_for_given(selected)?,
        })
    }

    /// What is given on the right and on the left of a muscle that both sides have is written down apart, in the order of the picture.
    fn boxes_for_given(&self, selected: &SelectedArea<'_>) -> Result<Vec<String>, WordingError> {
        let of_two = selected.area.sides.contains(&Side::Left);
        if selected.planned.side != Side::Both || !of_two {
            return Ok(vec![String::new()]);
        }
        ["clinician.doses.given-right", "clinician.doses.given-left"]
            .map(|id| self.label(id))
            .into_iter()
            .collect()
    }

    /// The muscles, which round of a course it is, and when the area was treated last.
    fn muscles_and_round(&self, selected: &SelectedArea<'_>) -> Result<String, WordingError> {
        let muscles = self.muscles(selected)?;
        let planned = selected.planned;
        if planned.round.is_none() && planned.previous.is_none() {
            return Ok(muscles);
        }
        let day = |day| self.wording.formats().short_date(day);
        self.line(
            "clinician.doses.round",
            json!({
                "muscles": muscles,
                "round": planned.round,
                "last": planned.previous.map(day),
            }),
        )
    }

    /// The muscles as the practice calls them, and in Latin where that is something else.
    fn muscles(&self, selected: &SelectedArea<'_>) -> Result<String, WordingError> {
        let latin: Vec<String> = selected
            .area
            .muscle
            .iter()
            .map(|muscle| {
                let name = &muscle.latin;
                name.strip_prefix("musculus ").unwrap_or(name).to_owned()
            })
            .collect();
        let latin = latin.join(", ");
        // a clinic's own area has no other name for its muscles
        let id = LabelId::muscles(&selected.area.id);
        if !self.wording.has(&id) {
            return Ok(latin);
        }
        let own = self.label(&id)?;
        if own.to_lowercase() == latin.to_lowercase() {
            return Ok(own);
        }
        self.line(
            "clinician.doses.muscles",
            json!({ "own": own, "latin": latin }),
        )
    }

    /// How each product is made up, how much of it is needed, and labelled totals.
    fn dose_notes(&self) -> Result<Vec<String>, WordingError> {
        let formats = self.wording.formats();
        let mut items = Vec::new();
        for product in &self.selection.products {
            let areas = self.selection.areas.iter();
            let of_product: Vec<&SelectedArea<'_>> =
                areas.filter(|a| a.product.id == product.id).collect();
            let used = of_product
                .first()
                .map(|a| self.selection.visit.product_of(a.planned));
            let mut said = Vec::new();
            if of_product.iter().any(|selected| self.is_ready(selected)) {
                said.push(self.line("clinician.doses.ready", json!({ "product": product.id }))?);
            } else if let Some((Some(vial), Some(ml))) =
                used.map(|used| (used.vial_units, used.diluent_ml))
            {
                said.push(self.line(
                    "clinician.doses.dilution",
                    json!({ "product": product.id, "vial": vial, "ml": ml, "tenth": vial / ml / 10.0 }),
                )?);
            } else {
                let product = json!({ "product": product.id });
                said.push(self.line("clinician.doses.made-up-open", product)?);
            }
            if let Some(vials) = vials(self.selection.visit, &self.selection.areas, &product.id) {
                said.push(self.line("clinician.doses.vials", json!({ "vials": vials }))?);
            }
            if !said.is_empty() {
                items.push(said.join(" "));
            }
        }
        for total in &self.selection.totals {
            let label = json!({
                "low": formats.number(total.label_low), "high": formats.number(total.label_high),
            });
            items.push(self.line(
                "clinician.doses.total",
                json!({
                    "areas": self.wording.inside_sentence(&self.area_names(&total.areas)?),
                    "product": total.product,
                    "label": self.line("clinician.doses.total-range", label)?,
                    "planned": total.planned_units,
                }),
            )?);
        }
        if self.selection.products.len() > 1 {
            items.push(self.label("clinician.doses.never-convert")?);
        }
        Ok(items)
    }

    /// Nothing is put into the vial of this area.
    fn is_ready(&self, selected: &SelectedArea<'_>) -> bool {
        is_ready(
            self.selection.visit.product_of(selected.planned),
            selected.product,
        )
    }

    /// Which side is treated: the slip that nobody can take back.
    pub(super) fn side_words(&self, side: Side) -> Result<String, WordingError> {
        self.label(match side {
            Side::Left => "clinician.doses.side-left",
            Side::Right => "clinician.doses.side-right",
            Side::Both => "clinician.doses.side-both",
            Side::Midline => "clinician.doses.side-midline",
        })
    }

    /// The first day of another treatment of each area, and where an area has a course its rounds and its end.
    pub(super) fn rounds(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let formats = self.wording.formats();
        let mut lines = Vec::new();
        for selected in &self.selection.areas {
            let area = self.area_name(&selected.area.id)?;
            if let Some(day) = selected.earliest_repeat {
                lines.push(self.line(
                    "clinician.rounds.not-before",
                    json!({ "area": area, "repeat": formats.date(day) }),
                )?);
            }
            for round in &selected.rounds {
                lines.push(self.line(
                    "clinician.rounds.line",
                    json!({
                        "area": area,
                        "round": round.round,
                        "when": self.range(Some(round.when))?,
                    }),
                )?);
            }
            if let Some(course) = selected.course {
                lines.push(self.line(
                    "clinician.rounds.look",
                    json!({ "area": area, "look": self.range(Some(course.look))? }),
                )?);
            }
        }
        if !lines.is_empty() {
            blocks.push(self.heading(2, "clinician.rounds.heading")?);
            let items = lines.into_iter().map(|text| Item {
                mark: None,
                text: rich::plain(text),
            });
            blocks.push(Block::bullets(items.collect()));
        }
        Ok(())
    }

    /// The labelled dose in a few words, with a word where the planned one lies outside.
    fn label_range(&self, selected: &SelectedArea<'_>) -> Result<Rich, WordingError> {
        let held = match &selected.dose.label {
            LabelComparison::Compared(held) => held,
            LabelComparison::NotPlanned | LabelComparison::NothingKnown => {
                return self.rich_line("clinician.doses.range-none", json!({}));
            }
        };
        let (verdict, basis, place) = self.compared(held)?;
        self.rich_line(
            "clinician.doses.range",
            json!({ "low": held.low, "high": held.high, "basis": basis, "place": place, "verdict": verdict, "whole": selected.dose.side_units.is_some() }),
        )
    }

    fn compared(
        &self,
        held: &Comparison,
    ) -> Result<(&'static str, &'static str, String), WordingError> {
        let verdict = match held.verdict {
            Verdict::Within => "within",
            Verdict::Above => "above",
            Verdict::Below => "below",
        };
        let (basis, place) = match &held.basis {
            Basis::OwnLabel => ("own", String::new()),
            Basis::OtherLabel(place) => ("other", self.label(&LabelId::licence_place(place))?),
            Basis::Studies => ("studies", String::new()),
        };
        Ok((verdict, basis, place))
    }

    /// How the planned dose stands to the labelled one, in a sentence.
    pub(super) fn label_text(&self, selected: &SelectedArea<'_>) -> Result<String, WordingError> {
        let held = match &selected.dose.label {
            LabelComparison::NotPlanned => return self.label("clinician.doses.units-open"),
            LabelComparison::NothingKnown => return self.label("clinician.doses.no-label"),
            LabelComparison::Compared(held) => held,
        };
        let (verdict, basis, place) = self.compared(held)?;
        self.line(
            &LabelId::dose(verdict),
            json!({ "low": held.low, "high": held.high, "basis": basis, "place": place }),
        )
    }
}
