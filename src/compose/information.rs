//! Turns a selection into the paper that is read at home before anything is decided.
//! Invariant: every statement of `Selection::required(PaperKind::Information)` is written here once, risks of each area under its heading.
//! Must not: ask for a signature, or leave a section out because it is long.

use jiff::civil::Date;
use serde_json::json;

use super::document::{Block, Item, Quarter};
use super::{Composer, values};
use crate::catalogue::{Product, TimeUnit};
use crate::domain::{AreaId, LabelId, StatementId, gathered};
use crate::paper::PaperKind;
use crate::plan::Experience;
use crate::select::{
    Basis, LicensedAlike, SelectedArea, Upkeep, is_shown, product_statements, this_round,
};
use crate::wording::{Context, Piece, WordingError, rich};

/// Lines for the patient's own questions, at least.
const QUESTION_LINES: u8 = 2;

impl Composer<'_, '_> {
    pub(super) fn information(&self) -> Result<Vec<Block>, WordingError> {
        let mut blocks = vec![self.information_identity()?];
        let general = self.general_context()?;
        blocks.push(Block::Line {
            text: rich::bold(self.label("information.read-first")?),
        });
        blocks.push(self.in_short()?);
        self.planned(&mut blocks)?;
        self.view(&general, &mut blocks)?;
        blocks.push(self.heading(2, "consent.what.heading")?);
        blocks.push(self.flow(&["what-it-is", "how-it-works"], &general)?);
        blocks.push(self.flow(&["how-given"], &general)?);
        blocks.push(self.flow(
            &["not-permanent", "cannot-be-undone", "no-promise"],
            &general,
        )?);
        blocks.push(self.heading(2, "consent.can.heading")?);
        for selected in &self.selection.areas {
            self.benefits(selected, &mut blocks)?;
        }
        self.risks(&general, &mut blocks)?;
        blocks.push(self.heading(2, "consent.tell.heading")?);
        blocks.push(self.flow(&["tell-us", "history-matters"], &general)?);
        blocks.push(self.flow(&["not-tested-in-pregnancy", "breastfeeding"], &general)?);
        blocks.push(self.flow(&["before-the-day"], &general)?);
        self.choices(&general, &mut blocks)?;
        self.product(&general, &mut blocks)?;
        self.repeats(&general, &mut blocks)?;
        self.time(&general, &mut blocks)?;
        self.clinic_extra("clinic.consent.extra", &general, &mut blocks)?;
        blocks.push(Block::Questions {
            title: self.label("information.questions")?,
            count: QUESTION_LINES,
        });
        Ok(blocks)
    }

    /// Whom, when, by whom, with what, and when this paper was given.
    fn information_identity(&self) -> Result<Block, WordingError> {
        let given = match self.selection.visit.informed_on {
            Some(day) => self.wording.formats().short_date(day),
            None => self.label("label.blank")?,
        };
        self.identity((self.label("label.informed")?, given))
    }

    pub(super) fn general_statement(
        &self,
        id: &str,
        context: &Context,
    ) -> Result<Block, WordingError> {
        self.statement(StatementId::general(id), context)
    }

    /// Statements for everybody, one after the other in one paragraph.
    pub(super) fn flow(&self, ids: &[&str], context: &Context) -> Result<Block, WordingError> {
        Ok(Block::Flow {
            items: self.flow_items(ids, context)?,
        })
    }

    pub(super) fn flow_items(
        &self,
        ids: &[&str],
        context: &Context,
    ) -> Result<Vec<Item>, WordingError> {
        let mut items = Vec::new();
        for id in ids {
            let id = StatementId::general(id);
            items.push(Item {
                text: self.wording.rich(id.wording(), context)?,
                mark: Some(id),
            });
        }
        Ok(items)
    }

    pub(super) fn area_heading(&self, selected: &SelectedArea<'_>) -> Result<Block, WordingError> {
        Ok(Block::Heading {
            level: 3,
            text: self.area_name(&selected.area.id)?,
            number: Some(selected.number.to_string()),
        })
    }

    fn benefits(
        &self,
        selected: &SelectedArea<'_>,
        blocks: &mut Vec<Block>,
    ) -> Result<(), WordingError> {
        let area = &selected.area.id;
        let context = self.area_context(selected)?;
        // one area alone is the whole section
        if self.selection.areas.len() > 1 {
            blocks.push(self.area_heading(selected)?);
        }
        let mut cells = Vec::new();
        for part in ["can", "cannot", "lasts", "candid"] {
            let mark = StatementId::of_area(area, part);
            cells.push(Quarter {
                title: self.label(&LabelId::lead(part))?,
                pieces: self.wording.pieces(mark.wording(), &context)?,
                mark,
                after: match part {
                    "lasts" => self.experience(area)?,
                    _ => Vec::new(),
                },
            });
        }
        blocks.push(Block::Quarters { cells });
        if selected.area.poor_candidate.is_empty() {
            return Ok(());
        }
        let mut items = Vec::new();
        for poor in &selected.area.poor_candidate {
            let id = StatementId::poor_candidate(area, &poor.id);
            let mut text = self.wording.rich(id.wording(), &context)?;
            if is_shown(self.selection.visit, poor) {
                let yours = self.label("consent.poor.yours")?;
                text.extend([rich::plain(" ".to_owned()), rich::bold(yours)].concat());
            }
            items.push(Item {
                text,
                mark: Some(id),
            });
        }
        // the list may go overleaf, away from the heading of its area
        let area = match self.selection.areas.len() {
            1 => String::new(),
            _ => self.area_name(area)?,
        };
        let lead = self.line(
            "consent.poor.heading",
            json!({ "area": area, "count": items.len() }),
        )?;
        let lead = Block::Text {
            mark: None,
            pieces: vec![Piece::Para {
                text: rich::bold(lead),
            }],
        };
        led_list(Some(lead), items, blocks);
        Ok(())
    }

    fn choices(&self, general: &Context, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "consent.choices.heading")?);
        let mut items = Vec::new();
        for choice in self.selection.choices() {
            let id = StatementId::choice(&choice.id);
            items.push(Item {
                text: self.wording.rich(id.wording(), general)?,
                mark: Some(id),
            });
        }
        for selected in &self.selection.areas {
            let id = StatementId::of_area(&selected.area.id, "other-choices");
            let mut text = self
                .wording
                .rich(id.wording(), &self.area_context(selected)?)?;
            let name = self.area_name(&selected.area.id)?;
            let lead = self.line("consent.choices.area", json!({ "area": name }))?;
            text.insert(
                0,
                rich::Run {
                    text: format!("{lead}. "),
                    bold: true,
                },
            );
            items.push(Item {
                mark: Some(id),
                text,
            });
        }
        led_list(None, items, blocks);
        Ok(())
    }

    /// What the sentences of a product may use: its name, and the least time between treatments that its label names here.
    pub(super) fn product_context(
        &self,
        product: &Product,
        general: &Context,
    ) -> Result<Context, WordingError> {
        let mut context = general.clone();
        context.insert("product".to_owned(), product.id.as_str().into());
        let place = self.selection.region.licence_place.as_deref();
        if let Some(interval) = product.label_interval(place) {
            let (least, unit) = (interval.least, interval.unit);
            let span = self.wording.span(least, least, unit, false)?;
            context.insert("interval".to_owned(), span.into());
        }
        Ok(context)
    }

    fn product(&self, general: &Context, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "consent.product.heading")?);
        for product in &self.selection.products {
            let context = self.product_context(product, general)?;
            let mut items = vec![Item {
                mark: None,
                text: rich::bold(format!("{}.", product.id)),
            }];
            let form = self.selection.visit.formulation_of(&product.id);
            for id in product_statements(product, form) {
                let id = StatementId::of_product(&product.id, id);
                items.push(Item {
                    text: self.wording.rich(id.wording(), &context)?,
                    mark: Some(id),
                });
            }
            blocks.push(Block::Flow { items });
        }
        blocks.push(self.flow(&["units-not-interchangeable", "genuine-product"], general)?);

        for licensed in self.selection.standings() {
            let context = self.standing_context(&licensed, general)?;
            blocks.push(self.statement(licensed.id(), &context)?);
        }
        Ok(())
    }

    /// Under the telephone number at the head of a paper that is read at home: when somebody answers it, where the clinic says so;
    /// else what it is for.
    pub(super) fn phone_note(&self, kind: PaperKind) -> Result<String, WordingError> {
        if !kind.is_handed_out() {
            return Ok(String::new());
        }
        match &self.selection.clinic.opening_hours {
            Some(hours) => self.open(hours),
            None => self.label("masthead.phone"),
        }
    }

    /// What a statement on how a product stands may use: the product, and the areas it stands like that for.
    pub(super) fn standing_context(
        &self,
        licensed: &LicensedAlike,
        general: &Context,
    ) -> Result<Context, WordingError> {
        let mut context = general.clone();
        let areas = self.area_names(&licensed.areas)?;
        context.insert("product".to_owned(), licensed.product.as_str().into());
        context.insert("area".to_owned(), areas.into());
        let planned = self.selection.areas.iter();
        let planned = planned.filter(|one| licensed.areas.contains(&one.area.id));
        let (mut kept, mut above, mut open) = (Vec::new(), Vec::new(), Vec::new());
        for one in planned {
            let is_above = one
                .above_known_dose()
                .is_some_and(|held| held.basis == Basis::OwnLabel);
            let held = match (one.keeps_own_label(), is_above) {
                (true, _) => &mut kept,
                (false, true) => &mut above,
                (false, false) => &mut open,
            };
            held.push(one.area.id.clone());
        }
        let names = |areas: &[AreaId]| -> Result<String, WordingError> {
            Ok(self.wording.inside_sentence(&self.area_names(areas)?))
        };
        let all_kept = above.is_empty() && open.is_empty();
        context.insert("keeps_label".to_owned(), all_kept.into());
        context.insert("above".to_owned(), (!above.is_empty()).into());
        context.insert("areas".to_owned(), names(&above)?.into());
        context.insert("kept_for".to_owned(), names(&kept)?.into());
        context.insert("open_for".to_owned(), names(&open)?.into());
        Ok(context)
    }

    /// How long it lasts in the clinic's own experience, if the clinic says so: beside the sentence that quotes studies.
    fn experience(&self, area: &AreaId) -> Result<Vec<Piece>, WordingError> {
        let Some(lasts) = self.selection.clinic.experience.get(area) else {
            return Ok(Vec::new());
        };
        let said = match lasts {
            Experience::Weeks(low, high) => {
                let span = self.wording.span(*low, *high, TimeUnit::Weeks, false)?;
                json!({ "span": span })
            }
            Experience::Words(words) => json!({ "words": self.in_language(words) }),
        };
        self.wording.pieces("consent.experience", &values(said))
    }

    fn repeats(&self, general: &Context, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "consent.repeats.heading")?);
        blocks.push(Block::Line {
            text: self.price()?,
        });
        // areas of which the same is true are told together, and what is true of all of them once
        let areas = self.selection.areas.iter();
        let said: Result<Vec<_>, WordingError> = areas
            .map(|selected| {
                let said = (self.again(selected)?, self.kept_up(selected, false)?);
                Ok((said, selected))
            })
            .collect();
        let groups = gathered(said?);
        let first = groups.first().and_then(|((again, _), _)| again.clone());
        let same = groups.iter().all(|((again, _), _)| *again == first);
        let mut rounds = self.selection.areas.iter().flat_map(|one| &one.rounds);
        let shared = first.filter(|_| groups.len() > 1 && same && rounds.next().is_none());
        if let Some(again) = &shared {
            blocks.push(Block::paragraph(again));
        }
        for ((again, mut kept_up), alike) in groups {
            if alike.len() > 1 {
                kept_up = self.kept_up(alike[0], true)?;
            }
            let again = again.filter(|_| shared.is_none());
            let said: Vec<String> = again.into_iter().chain(kept_up).collect();
            if said.is_empty() {
                continue;
            }
            let areas: Vec<_> = alike.iter().map(|one| one.area.id.clone()).collect();
            let lead = Block::Text {
                mark: None,
                pieces: vec![Piece::Para {
                    text: rich::bold(self.area_names(&areas)?),
                }],
            };
            let items = said.into_iter().map(|said| Item {
                mark: None,
                text: rich::plain(said),
            });
            led_list(Some(lead), items.collect(), blocks);
        }
        if let Some(total) = self.total_a_year()? {
            blocks.push(Block::paragraph(total));
        }
        blocks.push(self.flow(&["repeats", "long-term"], general)?);
        blocks.push(self.flow(&["top-up", "cost"], general)?);
        Ok(())
    }

    /// What keeping the effect up in all of several areas costs in a year; nothing where the clinic file lacks a fee.
    fn total_a_year(&self) -> Result<Option<String>, WordingError> {
        let areas = &self.selection.areas;
        let of = |visits: fn(&Upkeep) -> u32| {
            let kept = areas.iter().map(|area| area.upkeep);
            let kept =
                kept.map(|kept| kept.and_then(|kept| Some(kept.fee? * f64::from(visits(&kept)))));
            kept.sum::<Option<f64>>()
        };
        let (Some(low), Some(high), Some(fees), true) = (
            of(|kept| kept.visits_low),
            of(|kept| kept.visits_high),
            self.selection.clinic.fees.as_ref(),
            areas.len() > 1,
        ) else {
            return Ok(None);
        };
        let formats = self.wording.formats();
        let said = json!({
            "low": formats.money(low, &fees.currency),
            "high": formats.money(high, &fees.currency),
        });
        self.line("consent.repeats.total", said).map(Some)
    }

    /// What all areas of this visit cost; none where the clinic file lacks a fee.
    pub(super) fn visit_fee(&self) -> Option<String> {
        let fees = self.selection.areas.iter();
        let fees = fees.map(|area| area.upkeep.and_then(|kept| kept.fee));
        let total = fees.sum::<Option<f64>>()?;
        let currency = &self.selection.clinic.fees.as_ref()?.currency;
        Some(self.wording.formats().money(total, currency))
    }

    /// What this visit costs, or a line to write it on where the clinic file does not have every area's fee.
    fn price(&self) -> Result<Vec<rich::Run>, WordingError> {
        let said = json!({ "fee": self.visit_fee().unwrap_or_default() });
        self.wording.rich("consent.repeats.price", &values(said))
    }

    /// So many times this fee; empty where the clinic file has none.
    pub(super) fn money(&self, fee: Option<f64>, times: u32) -> String {
        let formats = self.wording.formats();
        match (fee, &self.selection.clinic.fees) {
            (Some(fee), Some(fees)) => formats.money(fee * f64::from(times), &fees.currency),
            _ => String::new(),
        }
    }

    /// For one area: the first day of another treatment, and the rounds that are planned, in one line.
    fn again(&self, selected: &SelectedArea<'_>) -> Result<Option<String>, WordingError> {
        let mut said = self.rounds_said(selected)?;
        said.extend(self.sooner_said(selected, "consent.repeats.sooner")?);
        Ok((!said.is_empty()).then(|| said.join(" ")))
    }

    /// For one area: the course with its cost and its end, and apart from it what keeping the effect up takes in a year. When it
    /// wears off was said above. `each`: it is told of several areas at once.
    fn kept_up(
        &self,
        selected: &SelectedArea<'_>,
        each: bool,
    ) -> Result<Vec<String>, WordingError> {
        let times =
            |low: u32, high: u32| self.line("phrase.rounds", json!({ "low": low, "high": high }));
        let several = self.selection.areas.len() > 1;
        let this_round = this_round(selected.planned);
        let mut said = Vec::new();
        if let Some(course) = selected.course {
            said.push(self.line(
                "consent.repeats.course",
                json!({
                    "visits": times(course.treatments_low, course.treatments_high)?,
                    "high": course.treatments_high,
                    "round": this_round,
                    "each": each,
                    "several": several,
                    "fee": self.money(course.fee, 1),
                    "fee_low": self.money(course.fee, course.treatments_low),
                    "fee_high": self.money(course.fee, course.treatments_high),
                    "look": self.said("timeline.alt.when", Some(course.look))?,
                }),
            )?);
        }
        if let Some(upkeep) = selected.upkeep {
            said.push(self.line(
                "consent.repeats.year",
                json!({
                    "visits": times(upkeep.visits_low, upkeep.visits_high)?,
                    "high": upkeep.visits_high,
                    "course": selected.course.is_some(),
                    "each": each,
                    "several": several,
                    "fee": self.money(upkeep.fee, 1),
                    "fee_low": self.money(upkeep.fee, upkeep.visits_low),
                    "fee_high": self.money(upkeep.fee, upkeep.visits_high),
                }),
            )?);
        }
        Ok(said)
    }

    /// The first day of another treatment, and the rounds that are planned, sooner than that or not: the same words on every
    /// paper.
    pub(super) fn rounds_said(
        &self,
        selected: &SelectedArea<'_>,
    ) -> Result<Vec<String>, WordingError> {
        let label = selected.label_allows;
        let sooner = selected.sooner_than_label();
        let next = selected.rounds.first();
        // the clinic's own wait needs no words beside a round that is planned for its last day
        let told =
            |day: Date| label != Some(day) && next.is_some_and(|next| next.when.first == day);
        let wait = sooner.or(selected.earliest_repeat);
        let again = wait.filter(|day| !told(*day)).map(|day| {
            self.line(
                "consent.repeats.again",
                json!({
                    "repeat": self.wording.formats().date(day),
                    "official": label == Some(day),
                    "sooner": sooner.is_some(),
                }),
            )
        });
        let course = selected.area.course.as_ref();
        let meant = course.map_or(0, |course| course.rounds_low);
        let rounds = selected.rounds.iter().map(|round| {
            self.line(
                "consent.repeats.round",
                json!({
                    "round": round.round,
                    "when": self.said("timeline.alt.when", Some(round.when))?,
                    "perhaps": round.round > meant,
                }),
            )
        });
        // nobody is told to wait until a day and then of a round before it
        match sooner {
            Some(_) => rounds.chain(again).collect(),
            None => again.into_iter().chain(rounds).collect(),
        }
    }

    /// What `label` says of rounds sooner than the label of the product allows; nothing where none is.
    pub(super) fn sooner_said(
        &self,
        selected: &SelectedArea<'_>,
        label: &str,
    ) -> Result<Option<String>, WordingError> {
        let sooner = selected.sooner_than_label();
        sooner.map(|_| self.label(label)).transpose()
    }

    fn time(&self, general: &Context, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let visit = self.selection.visit;
        let formats = self.wording.formats();
        blocks.push(self.heading(2, "consent.time.heading")?);
        let mut context = general.clone();
        if let Some(days) = self.selection.wait_days {
            let days =
                self.wording
                    .span(f64::from(days), f64::from(days), TimeUnit::Days, false)?;
            context.insert("days".to_owned(), days.into());
        }
        // who has read a view of every area has been told
        let viewed = self
            .selection
            .areas
            .iter()
            .all(|area| area.stance.is_some());
        context.insert("viewed".to_owned(), viewed.into());
        let mut items = vec![Item {
            mark: None,
            text: rich::plain(match visit.informed_on {
                Some(day) => self.line(
                    "consent.time.informed",
                    json!({ "informed": formats.weekday_date(day) }),
                )?,
                None => self.label("consent.time.not-recorded")?,
            }),
        }];
        items.extend(self.flow_items(&["time-to-think", "your-reasons"], &context)?);
        blocks.push(Block::Flow { items });
        blocks.push(self.flow(&["stop-any-time"], &context)?);
        blocks.push(self.flow(&["who-treats-you", "informs-not-replaces"], &context)?);
        Ok(())
    }
}

/// A list, and its lead if it has one. A short list stays whole; of a longer one the lead and its first two items stay together, and its
/// last two, so that no page begins or ends with a single line of it.
pub(super) fn led_list(lead: Option<Block>, mut items: Vec<Item>, blocks: &mut Vec<Block>) {
    let mut rest = match items.len() {
        0..=4 => Vec::new(),
        _ => items.split_off(2),
    };
    let last = rest.split_off(rest.len().saturating_sub(2));
    blocks.push(Block::Together {
        blocks: lead.into_iter().chain([Block::bullets(items)]).collect(),
    });
    if !rest.is_empty() {
        blocks.push(Block::bullets(rest));
    }
    if !last.is_empty() {
        blocks.push(Block::Together {
            blocks: vec![Block::bullets(last)],
        });
    }
}
