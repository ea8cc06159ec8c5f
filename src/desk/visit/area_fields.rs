//! Turns the areas of a draft into boxes to tick and the fields of each.
//! Invariant: every area that may be treated has its box, and an area that the file names and nobody knows keeps its own.
//! Must not: choose a side or a dose.

use super::fields::{AreaFields, Fields};
use crate::catalogue::{REASONS, Restriction};
use crate::domain::{LabelId, Per, Side, Stance};

impl Fields<'_> {
    pub fn areas(&self) -> Vec<AreaFields> {
        let planned = self.draft.form.all("area");
        let catalogue = self.opened.practice.catalogue();
        let mut areas: Vec<AreaFields> = catalogue
            .areas
            .iter()
            .filter(|area| {
                area.restriction.value != Restriction::DoNotTreat
                    || planned.iter().any(|id| area.id == *id)
            })
            .map(|area| self.area(area.id.as_str(), &area.sides, area.restriction.value))
            .collect();
        // what the file names and nobody knows stays, with its mistake
        for id in planned {
            if !areas.iter().any(|area| area.id == *id) {
                areas.push(self.area(id, &Side::ALL, Restriction::None));
            }
        }
        let planned = areas.iter_mut().filter(|area| area.planned);
        for (before, area) in planned.enumerate() {
            area.number = Some(before + 1);
        }
        areas
    }

    fn area(&self, id: &str, sides: &[Side], restriction: Restriction) -> AreaFields {
        let at = |key: &str| format!("area.{id}.{key}");
        let words = self.words();
        let known = self
            .opened
            .practice
            .catalogue()
            .areas
            .iter()
            .find(|area| area.id == *id);
        let name = match known {
            Some(area) => self.label(LabelId::area_name(&area.id).as_str()),
            None => id.to_owned(),
        };
        let muscles = known
            .map(|area| LabelId::muscles(&area.id))
            .filter(|id| words.has(id.as_str()));
        let side = |side: &Side| {
            let id = format!("desk.side.{}", side.as_str());
            (side.as_str().to_owned(), self.label(&id))
        };
        let mut chosen = self.choices(&at("side"), sides.iter().map(side));
        if let [only] = chosen.as_mut_slice() {
            // the same for the only side there is
            if !only.chosen {
                only.value = String::new();
            }
            only.chosen = true;
        }
        let per = Per::ALL.map(|per| {
            let id = format!("desk.per.{}", per.as_str());
            (per.as_str().to_owned(), self.label(&id))
        });
        let per = per.into_iter().filter(|(value, _)| {
            value != Per::Side.as_str() || sides.iter().any(|side| *side != Side::Midline)
        });
        let mut counted = self.select(&at("per"), "desk.area.per", 3, per);
        // what is usual is not written into a file that does not say it
        if !counted.options.iter().any(|option| option.chosen)
            && let Some(usual) = counted.options.first_mut()
        {
            usual.chosen = true;
            usual.value = String::new();
        }
        let reasons = REASONS.iter().map(|reason| {
            (
                (*reason).to_owned(),
                self.label(&format!("desk.reason.{reason}")),
            )
        });
        let stances = Stance::ALL.map(|stance| {
            let id = format!("desk.stance.{}", stance.as_str());
            (stance.as_str().to_owned(), self.label(&id))
        });
        let own = self
            .or_none("desk.area.product-same")
            .chain(self.products());
        let mut fields = vec![
            self.number(&at("units"), "desk.area.units", 3),
            counted,
            self.number(&at("points"), "desk.area.points", 3),
            self.number(&at("round"), "desk.area.round", 3),
            self.text(&at("aim"), "desk.area.aim", 12),
            self.select(
                &at("stance"),
                "desk.area.stance",
                5,
                self.or_none("desk.area.stance-none").chain(stances),
            ),
            self.text(&at("because"), "desk.area.because", 7),
            self.day(&at("previous"), "desk.area.previous", 4),
            self.text(&at("last_time"), "desk.area.last_time", 8),
            self.select(
                &at("reason"),
                "desk.area.reason",
                6,
                self.or_none("desk.area.reason-none").chain(reasons),
            ),
            self.select(&at("product"), "desk.area.product", 6, own),
        ];
        if restriction == Restriction::ReconstructiveOnly
            && let Some(reason) = fields.iter_mut().find(|field| field.name == at("reason"))
        {
            reason.note = self.label("desk.area.reason-needed");
        }
        AreaFields {
            id: id.to_owned(),
            name,
            muscles: muscles
                .map(|id| self.label(id.as_str()))
                .unwrap_or_default(),
            planned: self
                .draft
                .form
                .all("area")
                .iter()
                .any(|planned| planned == id),
            number: None,
            sides: chosen,
            side_mistakes: self.mistakes_of(&at("side")),
            fields,
        }
    }
}
