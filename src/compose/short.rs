//! Turns a selection into the box that answers first what most readers look for: what, when, the commonest, the worst, the choice.
//! Invariant: every answer is true of this plan, and its numbers and dates are those of the sections below.
//! Must not: take the place of a required statement.

use jiff::civil::Date;
use serde_json::json;

use super::Composer;
use super::document::{Answer, Block};
use crate::domain::{AreaId, LabelId, Stance, Standing, Trigger, gathered};
use crate::select::{SelectedArea, this_round};
use crate::wording::WordingError;
use crate::wording::rich::{self, Rich};

/// Of more areas than this what was counted is told below only, and what is thought of them is told together.
const FEW: usize = 2;
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
            (
                "information.short.dates",
                self.dates_at_risk("information.short.dates-value")?
                    .into_iter()
                    .map(rich::plain)
                    .collect(),
            ),
            ("information.short.sooner", self.short_sooner()?),
            ("information.short.dose", self.short_dose()?),
            ("information.short.no-sign", self.short_no_sign()?),
            ("information.short.view", self.short_view()?),
            ("information.short.cost", self.short_cost()?),
            ("information.short.product", self.short_off_label()?),
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
    fn of_each(&self, label: fn(&AreaId) -> LabelId) -> Result<Vec<Rich>, WordingError> {
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
        if count == 1 {
            return self.of_each(LabelId::area_short);
        }
        let areas = self.wording.inside_sentence(&self.all_area_names()?);
        let many = self.line(
            "information.short.what-many",
            json!({ "count": count, "areas": areas }),
        )?;
        Ok(vec![rich::plain(many)])
    }

    /// From when until when; times that differ from area to area are told together, for each area's own stand below.
    fn short_when(&self) -> Result<Vec<Rich>, WordingError> {
        let areas = &self.selection.areas;
        let formats = self.wording.formats();
        let day = |day: Option<Date>| day.map_or(String::new(), |day| formats.date(day));
        let times = areas.iter().map(|selected| {
            let windows = &selected.windows;
            let times = [
                day(windows.onset.map(|range| range.first)),
                day(windows.full_effect.map(|range| range.last)),
                day(windows.wears_off.map(|range| range.last)),
            ];
            let sooner = windows.may_end.is_some();
            ((times, sooner, !selected.rounds.is_empty()), ())
        });
        if let [(([first, full, gone], sooner, rounds), _)] = gathered(times).as_slice() {
            let alike = json!({ "first": first, "full": full, "gone": gone, "sooner": sooner, "rounds": rounds });
            let when = self.line("information.short.when-area", alike)?;
            return Ok(vec![rich::plain(when)]);
        }
        let first = areas.iter().filter_map(|a| a.windows.onset);
        let full = areas.iter().filter_map(|a| a.windows.full_effect);
        let last = areas.iter().filter_map(|a| a.windows.wears_off);
        let when = self.line(
            "information.short.when-value",
            json!({
                "first": day(first.map(|range| range.first).min()),
                "full": day(full.clone().map(|range| range.last).max()),
                "full_from": day(full.map(|range| range.last).min()),
                "gone": day(last.map(|range| range.last).max()),
                "sooner": areas.iter().any(|area| area.windows.may_end.is_some()),
                "rounds": areas.iter().any(|area| !area.rounds.is_empty()),
            }),
        )?;
        Ok(vec![rich::plain(when)])
    }

    /// What the practitioner thinks of each of few areas, and that the reason stands below; of more, by what is thought of them.
    fn short_view(&self) -> Result<Vec<Rich>, WordingError> {
        let areas = &self.selection.areas;
        let mut said = Vec::new();
        if areas.len() <= FEW {
            for selected in areas {
                let words = "information.short.view-value";
                if let Some(pieces) = self.stance(selected, words, true)? {
                    said.push(self.of_area(selected, rich::text_of_pieces(&pieces))?);
                }
            }
            return Ok(said);
        }
        for (stance, words) in [
            (Stance::Advise, "information.short.view-advise"),
            (Stance::Neutral, "information.short.view-neutral"),
            (Stance::AdviseAgainst, "information.short.view-against"),
        ] {
            let alike = areas.iter().filter(|area| area.stance == Some(stance));
            let alike: Vec<AreaId> = alike.map(|area| area.area.id.clone()).collect();
            if !alike.is_empty() {
                let names = self.wording.inside_sentence(&self.area_names(&alike)?);
                said.push(self.rich_line(words, json!({ "areas": names }))?);
            }
        }
        // one after the other: the page has no room for a line of each
        let joined = said.join(&rich::plain(" ".to_owned())[..]);
        Ok(if joined.is_empty() {
            Vec::new()
        } else {
            vec![joined]
        })
    }

    /// The patient's own dates on which this may cost what they need that day; the first of them, in these words.
    pub(super) fn dates_at_risk(&self, words: &str) -> Result<Vec<String>, WordingError> {
        let mut said = Vec::new();
        for event in &self.selection.visit.events {
            let (touched, by) = self.touched_on(event)?;
            if !touched.is_empty() && said.len() < DATES {
                let day = json!({
                    "date": self.wording.formats().date(event.date),
                    "short_date": self.wording.formats().short_date(event.date),
                    "what": event.what,
                    "areas": self.names_unless_all(&by)?,
                    "touches": self.wording.formats().and(&touched),
                });
                said.push(self.line(words, day)?);
            }
        }
        Ok(said)
    }

    /// That this visit is sooner than the official advice: nobody may learn it only from the sections below.
    fn short_sooner(&self) -> Result<Vec<Rich>, WordingError> {
        let mut said = Vec::new();
        for (earliest, areas) in self.selection.sooner_than_advised() {
            let names = self.names_unless_all(&areas)?;
            let earliest = self.wording.formats().date(earliest);
            let words = json!({ "areas": names, "earliest": earliest });
            said.push(rich::plain(
                self.line("information.short.sooner-value", words)?,
            ));
        }
        Ok(said)
    }

    /// That an area gets more than the official dose, or this plan and earlier ones together more than the official limit: nobody may
    /// learn it only from the sections below.
    fn short_dose(&self) -> Result<Vec<Rich>, WordingError> {
        let areas = self.selection.areas.iter();
        let above = areas.filter(|area| area.is_above_label());
        let above: Vec<AreaId> = above.map(|area| area.area.id.clone()).collect();
        let mut said = self.short_of("information.short.dose-value", &above)?;
        for caution in self.selection.raised(Trigger::CumulativeAbove) {
            let context = self.caution_context(caution)?;
            said.push(rich::plain(
                self.wording.line("information.short.dose-sum", &context)?,
            ));
        }
        Ok(said)
    }

    /// Areas that will do little or nothing, because the sign that they need was looked for and is not there.
    fn short_no_sign(&self) -> Result<Vec<Rich>, WordingError> {
        let areas = self.selection.areas_without_their_sign();
        self.short_of("information.short.no-sign-value", &areas)
    }

    /// Areas for which the product is not licensed.
    fn short_off_label(&self) -> Result<Vec<Rich>, WordingError> {
        let areas = self.areas_standing(Standing::OffLabel);
        self.short_of("information.short.product-value", &areas)
    }

    fn areas_standing(&self, standing: Standing) -> Vec<AreaId> {
        let areas = self.selection.areas.iter();
        let areas = areas.filter(|selected| selected.standing() == standing);
        areas.map(|selected| selected.area.id.clone()).collect()
    }

    /// A sentence about some areas, which it names unless it is about all; nothing where there are none.
    fn short_of(&self, words: &str, areas: &[AreaId]) -> Result<Vec<Rich>, WordingError> {
        if areas.is_empty() {
            return Ok(Vec::new());
        }
        let said = json!({ "areas": self.names_unless_all(areas)? });
        Ok(vec![rich::plain(self.line(words, said)?)])
    }

    pub(super) fn names_unless_all(&self, areas: &[AreaId]) -> Result<String, WordingError> {
        if areas.len() == self.selection.areas.len() {
            return Ok(String::new());
        }
        Ok(self.wording.inside_sentence(&self.area_names(areas)?))
    }

    /// Areas of which nobody knows yet whether the product is licensed for them.
    fn short_open(&self) -> Result<Vec<Rich>, WordingError> {
        let areas = self.areas_standing(Standing::Unknown);
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
        let few = self.selection.areas.len() <= FEW;
        if !self.areas_were_counted() {
            let said = few.then(|| self.label("information.short.uncounted"));
            let said = said.transpose()?.map(rich::plain);
            return Ok(said.into_iter().collect());
        }
        let mut said = Vec::new();
        if few && let Some(frequent) = self.most_frequent()? {
            said.push(rich::plain(self.line(
                "information.short.counted",
                json!({
                    "name": frequent.name,
                    "share": self.wording.inside_sentence(&frequent.share),
                    "people": frequent.people,
                    "other_product": frequent.other_product,
                    "dummy": frequent.dummy.map_or(String::new(), |dummy| self.wording.inside_sentence(&dummy)),
                }),
            )?));
        }
        Ok(said)
    }
}
