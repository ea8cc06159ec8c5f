//! Turns planned doses into the check sheet's table of units, volumes and labels, and areas into the days of further treatments.
//! Invariant: units are never converted; a volume stands only where vial and diluent are known.
//! Must not: propose a dose, or leave out an area.

use serde_json::json;

use super::document::{Block, Item, ListStyle, Row};
use super::pictures::FOR_PRACTITIONER;
use super::{Composer, para, values};
use crate::domain::{LabelId, Side};
use crate::select::{Basis, LabelComparison, SelectedArea, Verdict, is_ready, vials};
use crate::wording::{Piece, WordingError, rich};

impl Composer<'_, '_> {
    pub(super) fn doses(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let formats = self.wording.formats();
        blocks.push(self.heading(2, "clinician.doses.heading")?);
        let mut rows = Vec::new();
        for selected in &self.selection.areas {
            let dose = &selected.dose;
            let units = match dose.total_units {
                None => self.label("clinician.doses.units-open")?,
                Some(total) => self.line(
                    "clinician.doses.units-value",
                    json!({ "total": total, "side": dose.side_units, "point": dose.point_units, "points": dose.points }),
                )?,
            };
            let volume = match (&dose.volume_ml, &dose.volume_ml_exact) {
                (Some(volume), Some(exact)) if volume == exact => self.line(
                    "clinician.doses.volume-value",
                    json!({ "volume": formats.digits(volume) }),
                )?,
                (Some(volume), Some(exact)) => self.line(
                    "clinician.doses.volume-exact",
                    json!({ "volume": formats.digits(volume), "exact": formats.digits(exact) }),
                )?,
                _ if self.is_ready(selected) => self.label("clinician.doses.volume-ready")?,
                _ => self.label("clinician.doses.volume-open")?,
            };
            let mut area = para(format!(
                "{}. {}",
                selected.number,
                self.area_name(&selected.area.id)?
            ));
            area.extend(self.side_words(selected)?);
            rows.push(Row {
                mark: None,
                array: None,
                wide: false,
                cells: vec![
                    area,
                    para(units),
                    para(volume),
                    para(self.label_text(selected)?),
                ],
            });
        }
        blocks.push(Block::Table {
            name: self.label("clinician.doses.table-name")?,
            widths: vec![5, 5, 3, 5],
            header: vec![
                self.label("clinician.doses.area")?,
                self.label("clinician.doses.units")?,
                self.label("clinician.doses.volume")?,
                self.label("clinician.doses.label")?,
            ],
            under: Vec::new(),
            rows,
            writing: false,
            signing: false,
        });
        blocks.extend(self.face(&FOR_PRACTITIONER)?);
        let mut items = Vec::new();
        for product in &self.selection.products {
            let of_product: Vec<&SelectedArea<'_>> = self
                .selection
                .areas
                .iter()
                .filter(|a| a.product.id == product.id)
                .collect();
            let used = of_product
                .iter()
                .map(|a| self.selection.visit.product_of(a.planned))
                .next();
            if of_product.iter().any(|selected| self.is_ready(selected)) {
                items.push(self.line("clinician.doses.ready", json!({ "product": product.id }))?);
            } else if let Some((Some(vial), Some(ml))) =
                used.map(|used| (used.vial_units, used.diluent_ml))
            {
                items.push(self.line(
                    "clinician.doses.dilution",
                    json!({ "product": product.id, "vial": vial, "ml": ml, "tenth": vial / ml / 10.0 }),
                )?);
            }
            if let Some(vials) = vials(self.selection.visit, &self.selection.areas, &product.id) {
                items.push(self.line(
                    "clinician.doses.vials",
                    json!({ "product": product.id, "vials": vials }),
                )?);
            }
            // of areas that are never treated nothing is planned, and nothing is no sum
            let total: Option<f64> = of_product.iter().map(|a| a.dose.total_units).sum();
            if let Some(total) = total.filter(|_| !of_product.is_empty()) {
                items.push(self.line(
                    "clinician.doses.sum",
                    json!({ "product": product.id, "total": total }),
                )?);
            }
        }
        for total in &self.selection.totals {
            let label = if total.label_low == total.label_high {
                formats.number(total.label_high)
            } else {
                self.wording.line(
                    "clinician.doses.total-range",
                    &values(json!({ "low": total.label_low, "high": total.label_high })),
                )?
            };
            items.push(self.line(
                "clinician.doses.total",
                json!({
                    "areas": self.area_names(&total.areas)?,
                    "product": total.product,
                    "label": label,
                    "planned": total.planned_units,
                }),
            )?);
        }
        items.push(self.label("clinician.doses.never-convert")?);
        blocks.push(Block::List {
            style: ListStyle::Bullet,
            columns: 1,
            items: items
                .into_iter()
                .map(|text| Item {
                    mark: None,
                    text: rich::plain(text),
                })
                .collect(),
        });
        Ok(())
    }

    /// Nothing is put into the vial of this area.
    fn is_ready(&self, selected: &SelectedArea<'_>) -> bool {
        is_ready(
            self.selection.visit.product_of(selected.planned),
            selected.product,
        )
    }

    /// Which side is treated, where there are two: the slip that nobody can take back.
    fn side_words(&self, selected: &SelectedArea<'_>) -> Result<Vec<Piece>, WordingError> {
        let id = match selected.planned.side {
            _ if selected.area.sides.len() < 2 => return Ok(Vec::new()),
            Side::Left => "clinician.doses.side-left",
            Side::Right => "clinician.doses.side-right",
            Side::Both => "clinician.doses.side-both",
            Side::Midline => return Ok(Vec::new()),
        };
        self.wording.pieces(id, &values(json!({})))
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

    fn label_text(&self, selected: &SelectedArea<'_>) -> Result<String, WordingError> {
        let held = match &selected.dose.label {
            LabelComparison::NotPlanned => return self.label("clinician.doses.units-open"),
            LabelComparison::NothingKnown => return self.label("clinician.doses.no-label"),
            LabelComparison::Compared(held) => held,
        };
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
        self.line(
            &LabelId::dose(verdict),
            json!({ "low": held.low, "high": held.high, "basis": basis, "place": place }),
        )
    }
}
