//! Turns a plan into "My view for you": the practitioner's stance on each area, what the patient's own dates mean, how the last round went,
//! and what the patient's own answers change.
//! Invariant: no view is invented: where the plan has none there is a line to write it on.
//! Must not: decide anything, or say what a caution says to the practitioner.

use jiff::civil::Date;
use serde_json::json;

use super::Composer;
use super::document::{Block, Tone};
use crate::catalogue::TimeUnit;
use crate::domain::{AreaId, FactId, LabelId, StatementId, Trigger, gathered};
use crate::plan::{Event, FactValue, Side};
use crate::select::{Basis, Because, Reason, SelectedArea};
use crate::wording::{Context, Piece, WordingError};

/// Where a date falls in the course of an effect.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Phase {
    Before,
    Starting,
    Full,
    Fading,
    After,
}

impl Phase {
    fn key(self) -> &'static str {
        match self {
            Phase::Before => "before",
            Phase::Starting => "starting",
            Phase::Full => "full",
            Phase::Fading => "fading",
            Phase::After => "after",
        }
    }

    /// There is an effect then, or it is on its way.
    fn is_felt(self) -> bool {
        matches!(self, Phase::Starting | Phase::Full | Phase::Fading)
    }
}

impl Composer<'_, '_> {
    pub(super) fn view(
        &self,
        general: &Context,
        blocks: &mut Vec<Block>,
    ) -> Result<(), WordingError> {
        let mut inside = Vec::new();
        let mut silent: Vec<AreaId> = Vec::new();
        for selected in &self.selection.areas {
            match self.stance(selected, "information.view.stance", true)? {
                Some(pieces) => inside.push(Block::Text { mark: None, pieces }),
                None => silent.push(selected.area.id.clone()),
            }
        }
        if !silent.is_empty() {
            let areas = self.area_names(&silent)?;
            let areas = self.wording.inside_sentence(&areas);
            inside.push(Block::Together {
                blocks: vec![
                    self.note("information.view.none", json!({ "areas": areas }))?,
                    Block::Lines { count: 2 },
                ],
            });
        }
        for index in 0..self.selection.visit.events.len() {
            inside.extend(self.event(index)?);
        }
        for selected in &self.selection.areas {
            inside.extend(self.last_round(selected)?);
        }
        let who = self.note("label.practitioner-value", self.practitioner_said())?;
        // whose view it is never stands alone on the next side
        let mut ending = match inside.pop() {
            Some(Block::Together { blocks }) => blocks,
            last => last.into_iter().collect(),
        };
        ending.push(who);
        inside.push(Block::Together { blocks: ending });
        blocks.push(self.heading(2, "information.view.heading")?);
        blocks.push(Block::Panel {
            tone: Tone::Note,
            title: String::new(),
            blocks: inside,
        });
        self.because(general, blocks)
    }

    /// What the patient's own answers change about this plan, apart from the practitioner's view: the rules say it, not a person.
    fn because(&self, general: &Context, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let mut said = Vec::new();
        for because in &self.selection.because {
            let context = self.because_context(because, general)?;
            said.push(self.statement(StatementId::because(&because.rule), &context)?);
        }
        said.extend(self.answers_matter(Trigger::NotSure, "information.view.not-sure")?);
        said.extend(self.answers_matter(Trigger::NoBenefit, "information.view.no-sign")?);
        said.extend(self.several_products()?);
        said.extend(self.above_cumulative()?);
        for selected in &self.selection.areas {
            said.extend(self.above_known_dose(selected)?);
        }
        if self.selection.course_departs_from_advice() {
            said.push(self.note("information.view.reason", json!({}))?);
        }
        if !said.is_empty() {
            blocks.push(Block::Panel {
                tone: Tone::Note,
                title: self.label("information.view.because")?,
                blocks: said,
            });
        }
        Ok(())
    }

    /// What a statement on the patient's own answers may use: the areas it is about, the side they named, and until when to wait.
    pub(super) fn because_context(
        &self,
        because: &Because,
        general: &Context,
    ) -> Result<Context, WordingError> {
        let mut context = general.clone();
        let areas = self.concerned_area_names(&because.areas)?;
        let areas = self.wording.inside_sentence(&areas);
        context.insert("area".to_owned(), areas.clone().into());
        context.insert("areas".to_owned(), areas.into());
        if let Some(side) = self.told_side(&because.facts) {
            let side = self.label(&LabelId::side(side))?;
            context.insert("told_side".to_owned(), side.into());
        }
        if let Some(day) = because.earliest {
            context.insert(
                "earliest".to_owned(),
                self.wording.formats().date(day).into(),
            );
        }
        Ok(context)
    }

    /// What the answers to some questions mean for the patient, who reads them as they were asked: those of which they were not sure,
    /// so that they find it out before the visit, and those that say that an area gains nothing.
    fn answers_matter(&self, trigger: Trigger, words: &str) -> Result<Vec<Block>, WordingError> {
        let mut said = Vec::new();
        for caution in self.selection.raised(trigger) {
            let areas = self.concerned_area_names(&caution.areas)?;
            for reason in &caution.reasons {
                if let Reason::Fact(fact) = reason {
                    let question = self.label(&LabelId::question(fact))?;
                    said.push(self.note(words, json!({ "area": areas, "question": question }))?);
                }
            }
        }
        Ok(said)
    }

    /// The one side that the patient named, where one of these facts has a side.
    pub(super) fn told_side(&self, facts: &[FactId]) -> Option<Side> {
        let told = &self.selection.visit.patient.facts;
        facts.iter().find_map(|fact| match told.get(fact) {
            Some(FactValue::Side(side @ (Side::Left | Side::Right))) => Some(*side),
            _ => None,
        })
    }

    /// That the plan has more than one product: nobody may find that out from the table of units.
    fn several_products(&self) -> Result<Option<Block>, WordingError> {
        if self.selection.products.len() < 2 {
            return Ok(None);
        }
        let products = json!({ "products": self.product_names() });
        self.note("information.view.several-products", products)
            .map(Some)
    }

    /// That this plan and what was given in the months before come to more than the label of the product allows.
    fn above_cumulative(&self) -> Result<Vec<Block>, WordingError> {
        let above = self.selection.raised(Trigger::CumulativeAbove);
        let said = above.map(|caution| {
            let context = self.caution_context(caution)?;
            Ok(Block::Text {
                mark: None,
                pieces: self
                    .wording
                    .pieces("information.view.above-cumulative", &context)?,
            })
        });
        said.collect()
    }

    /// That more is planned than a label or a study knows: nobody may sign for it without having read so.
    fn above_known_dose(&self, selected: &SelectedArea<'_>) -> Result<Option<Block>, WordingError> {
        let Some(held) = selected.above_known_dose() else {
            return Ok(None);
        };
        let said = json!({
            "area": self.area_name(&selected.area.id)?,
            "planned": selected.dose.total_units,
            "label": held.high,
            "studies": held.basis == Basis::Studies,
        });
        self.note("information.view.above-known", said).map(Some)
    }

    /// How the last treatment of an area went; where the plan gives only its day, a line to write it on.
    fn last_round(&self, selected: &SelectedArea<'_>) -> Result<Option<Block>, WordingError> {
        let planned = selected.planned;
        if planned.previous.is_none() && planned.last_time.is_none() {
            return Ok(None);
        }
        let day = planned.previous;
        let said = json!({
            "area": self.area_name(&selected.area.id)?,
            "date": day.map_or(String::new(), |day| self.wording.formats().date(day)),
            "said": planned.last_time.clone().unwrap_or_default(),
        });
        let words = self.note("information.view.last-round", said)?;
        Ok(Some(match planned.last_time {
            Some(_) => words,
            None => Block::Together {
                blocks: vec![words, Block::Lines { count: 1 }],
            },
        }))
    }

    /// The practitioner's own view of one area; `with_reason`, in their own words where the plan has it.
    pub(super) fn stance(
        &self,
        selected: &SelectedArea<'_>,
        words: &str,
        with_reason: bool,
    ) -> Result<Option<Vec<Piece>>, WordingError> {
        let Some(stance) = selected.stance else {
            return Ok(None);
        };
        let said = json!({
            "area": self.area_name(&selected.area.id)?,
            "stance": self.label(&LabelId::stance(stance))?,
            "because": selected.planned.stance_because.as_ref().filter(|_| with_reason),
        });
        self.wording.pieces(words, &super::values(said)).map(Some)
    }

    /// What the effect is expected to be like on a date of the patient's own; areas that are alike are told together.
    fn event(&self, index: usize) -> Result<Vec<Block>, WordingError> {
        let event = &self.selection.visit.events[index];
        let groups = self.phases_on(event);
        let alone = groups.len() == 1;
        let mut bruises = self.selection.raised(Trigger::DiaryBruise);
        let bruise = bruises.any(|caution| caution.reasons.contains(&Reason::Event(index)));
        let last = groups.len().saturating_sub(1);
        let mut said = Vec::new();
        for (at, ((phase, days), areas)) in groups.into_iter().enumerate() {
            let (touches, by) = match phase.is_felt() {
                true => self.touched(event, &areas)?,
                false => (Vec::new(), Vec::new()),
            };
            // those that are named before the sentence need not be named in it again
            let touching = match by.len() == areas.len() {
                true => String::new(),
                false => self.names_unless_all(&by)?,
            };
            let days = f64::from(days);
            let areas = if alone {
                String::new()
            } else {
                self.area_names(&areas)?
            };
            said.push(self.note(
                "information.view.event",
                json!({
                    "what": event.what,
                    "date": self.wording.formats().weekday_date(event.date),
                    "areas": areas,
                    "phase": phase.key(),
                    "days": days,
                    "span": self.wording.span(days, days, TimeUnit::Days, false)?,
                    "touches": self.wording.formats().and(&touches),
                    "touching": touching,
                    "bruise": bruise && at == last,
                    "phone": self.selection.clinic.phone,
                }),
            )?);
        }
        Ok(said)
    }

    /// Where the day of an event falls for each area, areas that are alike together.
    fn phases_on(&self, event: &Event) -> Vec<((Phase, i32), Vec<AreaId>)> {
        let areas = self.selection.areas.iter();
        gathered(areas.filter_map(|selected| {
            let found = phase(selected, event.date)?;
            Some((found, selected.area.id.clone()))
        }))
    }

    /// What an event needs of the face that the effect may weaken on that day, and the areas whose treatment may.
    pub(super) fn touched_on(
        &self,
        event: &Event,
    ) -> Result<(Vec<String>, Vec<AreaId>), WordingError> {
        let felt = self.phases_on(event).into_iter();
        let felt = felt.filter(|((phase, _), _)| phase.is_felt());
        let areas: Vec<AreaId> = felt.flat_map(|(_, areas)| areas).collect();
        self.touched(event, &areas)
    }

    /// What an event needs of the face that these areas may weaken, and which of them.
    fn touched(
        &self,
        event: &Event,
        areas: &[AreaId],
    ) -> Result<(Vec<String>, Vec<AreaId>), WordingError> {
        let selection = self.selection;
        let needed = selection.catalogue.needs.iter();
        let needed = needed.filter(|need| event.needs.contains(&need.id));
        let (mut found, mut by) = (Vec::new(), Vec::new());
        for function in needed.flat_map(|need| need.functions.iter().copied()) {
            let of_these = selection.areas.iter();
            let of_these = of_these.filter(|selected| areas.contains(&selected.area.id));
            let touching = of_these.filter(|selected| selected.area.touches(function));
            let touching: Vec<AreaId> = touching.map(|selected| selected.area.id.clone()).collect();
            let label = self.label(&LabelId::function(function))?;
            if !touching.is_empty() && !found.contains(&label) {
                found.push(label);
            }
            by.extend(touching);
        }
        let in_plan = selection.areas.iter().map(|selected| &selected.area.id);
        let by = in_plan.filter(|id| by.contains(id)).cloned().collect();
        Ok((found, by))
    }
}

/// Where a day falls, and how many days after the first day of full effect.
fn phase(selected: &SelectedArea<'_>, day: Date) -> Option<(Phase, i32)> {
    let windows = &selected.windows;
    let (onset, full, gone) = (windows.onset?, windows.full_effect?, windows.wears_off?);
    let since = (day - full.last).get_days();
    Some(if day < onset.first {
        (Phase::Before, 0)
    } else if day < full.last {
        (Phase::Starting, 0)
    } else if day < gone.first {
        (Phase::Full, since)
    } else if day <= gone.last {
        (Phase::Fading, 0)
    } else {
        (Phase::After, 0)
    })
}
