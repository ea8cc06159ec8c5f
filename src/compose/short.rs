//! Turns a selection into the box that answers first what most readers look for: what, when, the commonest, the worst, the choice.
//! Invariant: every answer is true of this plan, and its numbers and dates are those of the sections below.
//! Must not: take the place of a required statement.

use jiff::civil::Date;
use serde_json::json;

use super::Composer;
use super::document::{Answer, Block};
use crate::domain::{LabelId, Stance, Standing, gathered};
use crate::select::{SelectedArea, this_round};
use crate::wording::WordingError;
use crate::wording::rich::{self, Rich};

/// More areas than this are told together in what is planned.
const EACH: usize = 2;
/// What each of so many areas costs nearly everybody is said here: it is what a speaker or a flute player must not miss.
const COSTS: usize = 4;
/// More dates than these are told below only.
const DATES: usize = 2;

impl Composer<'_, '_> {
    pub(super) fn in_short(&self) -> Result<Block, WordingError> {
        let mut rows = vec![
            self.answer_of("information.short.what", self.short_what()?)?,
            self.answer_of("information.short.when", self.short_when()?)?,
            self.answer_of("information.short.notice", self.short_notice()?)?,
        ];
        for (label, answer) in [
            ("information.short.common", self.short_common()?),
            ("information.short.dates", self.short_dates()?),
            ("information.short.view", self.short_view()?),
            ("information.short.cost", self.short_cost()?),
            ("information.short.open", self.short_open()?),
        ] {
            if !answer.is_empty() {
                rows.push(self.answer_of(label, answer)?);
            }
        }
        let emergency = json!({ "emergency": self.emergency() });
        let serious = self.line("information.short.serious-value", emergency)?;
        let serious = vec![rich::plain(serious)];
        rows.push(self.answer_of("information.short.serious", serious)?);
        let choice = vec![rich::plain(self.label("information.short.choice-value")?)];
        rows.push(self.answer_of("information.short.choice", choice)?);
        Ok(Block::Answers {
            title: self.label("information.short.heading")?,
            rows,
        })
    }

    fn answer_of(&self, label: &str, lines: Vec<Rich>) -> Result<Answer, WordingError> {
        Ok(Answer {
            label: self.label(label)?,
            lines,
        })
    }

    /// One line of each area, with its name where there are several.
    fn of_each(
        &self,
        label: fn(&crate::domain::AreaId) -> LabelId,
    ) -> Result<Vec<Rich>, WordingError> {
        let mut said = Vec::new();
        for selected in &self.selection.areas {
            let context = self.area_context(selected)?;
            let sentence = self.wording.line(&label(&selected.area.id), &context)?;
            said.push(self.of_area(selected, sentence)?);
        }
        Ok(said)
    }

    /// What is said of an area, after its name where there are several.
    fn of_area(&self, selected: &SelectedArea<'_>, said: String) -> Result<Rich, WordingError> {
        if self.selection.areas.len() == 1 {
            return Ok(rich::plain(said));
        }
        let said = json!({ "area": self.area_name(&selected.area.id)?, "said": said });
        self.rich_line("information.short.of-area", said)
    }

    fn short_what(&self) -> Result<Vec<Rich>, WordingError> {
        let count = self.selection.areas.len();
        if count <= EACH {
            return self.of_each(LabelId::area_short);
        }
        let areas = self.wording.inside_sentence(&self.all_area_names()?);
        let many = self.line(
            "information.short.what-many",
            json!({ "count": count, "areas": areas }),
        )?;
        Ok(vec![rich::plain(many)])
    }

    /// From when until when: of each area where they are few, for times of several run together would be nobody's.
    fn short_when(&self) -> Result<Vec<Rich>, WordingError> {
        let areas = &self.selection.areas;
        if areas.len() <= EACH {
            return self.when_of_each();
        }
        let rounds = areas.iter().any(|area| !area.rounds.is_empty());
        let first = areas.iter().filter_map(|a| a.windows.onset);
        let full = areas.iter().filter_map(|a| a.windows.full_effect);
        let last = areas.iter().filter_map(|a| a.windows.wears_off);
        let day =
            |day: Option<Date>| day.map_or(String::new(), |day| self.wording.formats().date(day));
        let when = self.line(
            "information.short.when-value",
            json!({
                "first": day(first.map(|range| range.first).min()),
                "full": day(full.clone().map(|range| range.last).max()),
                "full_from": day(full.map(|range| range.last).min()),
                "gone": day(last.map(|range| range.last).max()),
                "rounds": rounds,
            }),
        )?;
        Ok(vec![rich::plain(when)])
    }

    /// The times of each area; once where they are the same.
    fn when_of_each(&self) -> Result<Vec<Rich>, WordingError> {
        let formats = self.wording.formats();
        let day = |day: Option<Date>| day.map_or(String::new(), |day| formats.date(day));
        let mut times = Vec::new();
        for selected in &self.selection.areas {
            let windows = &selected.windows;
            let of_area = json!({
                "first": day(windows.onset.map(|range| range.first)),
                "full": day(windows.full_effect.map(|range| range.last)),
                "gone": day(windows.wears_off.map(|range| range.last)),
                "rounds": !selected.rounds.is_empty(),
            });
            let of_area = self.line("information.short.when-area", of_area)?;
            times.push((of_area, selected));
        }
        let alike = gathered(times);
        let mut said = Vec::new();
        for (times, areas) in &alike {
            said.push(match areas.as_slice() {
                [selected] => self.of_area(selected, times.clone())?,
                _ => rich::plain(times.clone()),
            });
        }
        Ok(said)
    }

    /// What the practitioner thinks of one area alone, and that the reason stands below; of several only what is not advised,
    /// which nobody may overlook.
    fn short_view(&self) -> Result<Vec<Rich>, WordingError> {
        let alone = self.selection.areas.len() == 1;
        let mut said = Vec::new();
        for selected in &self.selection.areas {
            if alone || selected.stance != Some(Stance::Advise) {
                let words = "information.short.view-value";
                if let Some(pieces) = self.stance(selected, words, alone)? {
                    said.push(self.of_area(selected, rich::text_of_pieces(&pieces))?);
                }
            }
        }
        Ok(said)
    }

    /// The patient's own dates on which this may cost what they need that day.
    fn short_dates(&self) -> Result<Vec<Rich>, WordingError> {
        let mut said = Vec::new();
        for event in &self.selection.visit.events {
            let touched = self.touched_on(event)?;
            if !touched.is_empty() && said.len() < DATES {
                let day = json!({
                    "date": self.wording.formats().date(event.date),
                    "what": event.what,
                    "touches": self.wording.formats().and(&touched),
                });
                said.push(rich::plain(
                    self.line("information.short.dates-value", day)?,
                ));
            }
        }
        Ok(said)
    }

    /// Areas of which nobody knows yet whether the product is licensed for them.
    fn short_open(&self) -> Result<Vec<Rich>, WordingError> {
        let open = self.selection.areas.iter();
        let open = open.filter(|selected| selected.standing() == Standing::Unknown);
        let areas: Vec<_> = open.map(|selected| selected.area.id.clone()).collect();
        if areas.is_empty() {
            return Ok(Vec::new());
        }
        let areas = json!({ "areas": self.area_names(&areas)? });
        let said = self.line("information.short.open-value", areas)?;
        Ok(vec![rich::plain(said)])
    }

    /// The price of this visit, and of the course where one area alone is planned; nothing where the clinic file lacks a fee.
    fn short_cost(&self) -> Result<Vec<Rich>, WordingError> {
        let Some(fee) = self.visit_fee() else {
            return Ok(Vec::new());
        };
        let mut said = json!({ "fee": fee, "visits": "" });
        if let [selected] = self.selection.areas.as_slice()
            && let Some(course) = selected.course
            && course.treatments_high > 1
        {
            let (low, most) = (course.treatments_low, course.treatments_high);
            let visits = json!({ "low": low, "high": most });
            said = json!({
                "fee": fee,
                "visits": self.line("phrase.rounds", visits)?,
                "low": self.money(course.fee, low),
                "most": self.money(course.fee, most),
                "onward": this_round(selected.planned) > 1,
            });
        }
        Ok(vec![rich::plain(
            self.line("information.short.cost-value", said)?,
        )])
    }

    /// What the effect itself costs nearly everybody.
    fn short_notice(&self) -> Result<Vec<Rich>, WordingError> {
        match self.selection.areas.len() {
            ..=COSTS => self.of_each(LabelId::area_cost),
            _ => Ok(vec![rich::plain(
                self.label("information.short.cost-many")?,
            )]),
        }
    }

    /// What was counted most often, or that nothing of these areas was: a headache alone would look like the main risk. Of more
    /// areas the page has no room for it.
    fn short_common(&self) -> Result<Vec<Rich>, WordingError> {
        let mut said = Vec::new();
        if self.selection.areas.len() > EACH {
            return Ok(said);
        }
        if !self.areas_were_counted() {
            said.push(rich::plain(self.label("information.short.uncounted")?));
        } else if let Some(frequent) = self.most_frequent()? {
            said.push(rich::plain(self.line(
                "information.short.counted",
                json!({
                    "name": self.wording.inside_sentence(&frequent.name),
                    "share": self.wording.inside_sentence(&frequent.share),
                    "people": frequent.people,
                    "dummy": frequent.dummy.map_or(String::new(), |dummy| self.wording.inside_sentence(&dummy)),
                }),
            )?));
        }
        Ok(said)
    }
}
