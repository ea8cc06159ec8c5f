//! Turns a selection into the one sheet that is signed: what is agreed to area by area, with the name of every risk, and every place to sign.
//! Invariant: nothing is pre-ticked; it stands alone: who, what, which side, which risks, and the paper that was read.
//! Must not: explain a risk (the information paper does).

use jiff::civil::Date;
use serde_json::json;

use super::document::{Block, Field, Item, ListStyle, RecapRow};
use super::{Composer, Made, values};
use crate::domain::{AreaId, LabelId, Stance, Standing, Trigger};
use crate::paper::PaperKind;
use crate::select::SelectedArea;
use crate::wording::{WordingError, rich};

/// So many areas leave the front side room for the reason of every view.
const FEW: usize = 2;
/// Millimetres of a box for initials.
const INITIALS: (u32, u32) = (20, 10);
/// Millimetres to write who was given a copy.
const COPY_TO: u32 = 33;

impl Composer<'_, '_> {
    pub(super) fn consent(&self, made: &Made) -> Result<Vec<Block>, WordingError> {
        let mut blocks = vec![self.identity((self.label("label.batch")?, self.batches()?))?];
        // of several areas the front side has no room that their risks and the views of them do not need
        if self.selection.areas.len() == 1 {
            blocks.push(Block::Line {
                text: rich::plain(self.label("consent.welcome")?),
            });
        }
        blocks.push(self.recap()?);
        blocks.push(self.heading(2, "consent.decision.heading")?);
        blocks.push(self.statements_to_tick(made)?);
        blocks.push(Block::Sign {
            title: self.label("consent.sign.patient")?,
            text: self.label("consent.sign.patient-text")?,
            fields: self.signature()?,
            framed: true,
        });
        blocks.push(Block::NewPage);
        self.photographs(&mut blocks)?;
        self.others_who_sign(&mut blocks)?;
        blocks.push(self.refusal()?);
        Ok(blocks)
    }

    /// The areas with side, dose, the names of their risks and the practitioner's own view.
    fn recap(&self) -> Result<Block, WordingError> {
        let mut rows = Vec::new();
        let alone = self.selection.areas.len() == 1;
        let matters = self.told_matters()?;
        for (selected, mut risks) in self.selection.areas.iter().zip(self.risk_names()?) {
            let with_reason = self.has_reason(selected);
            // units of two products cannot be compared, so each area names its own
            if let (Some(first), true) = (risks.first_mut(), self.selection.products.len() > 1) {
                first.lead = format!("{}. {}", selected.product.id, first.lead);
            }
            rows.push(RecapRow {
                number: selected.number.to_string(),
                area: self.area_name(&selected.area.id)?,
                // not every area need be agreed to; of one the price stands in what is ticked
                price: match self.selection.areas.len() {
                    1 => String::new(),
                    _ => self.money(selected.upkeep.and_then(|kept| kept.fee), 1),
                },
                side: self.side(selected.planned.side)?,
                dose: self.dose(selected)?,
                risks,
                notes: [
                    self.standing_named(selected)?,
                    self.sooner_named(selected)?,
                    self.no_sign_named(selected)?,
                    matters.clone().filter(|_| alone),
                ]
                .into_iter()
                .flatten()
                .collect(),
                view: self
                    .stance(selected, "consent.view", with_reason)?
                    .unwrap_or_default(),
            });
        }
        let mut header = Vec::new();
        for column in [
            "consent.recap.number",
            "consent.recap.area",
            "consent.recap.side",
            "consent.recap.dose",
            "consent.recap.initials",
        ] {
            header.push(self.label(column)?);
        }
        let mut notes = Vec::new();
        if let Some(earliest) = self.sooner_everywhere() {
            notes.push(self.sooner_than(earliest, true)?);
        }
        for caution in self.selection.raised(Trigger::CumulativeAbove) {
            let mut context = self.caution_context(caution)?;
            context.insert(
                "several".to_owned(),
                (self.selection.products.len() > 1).into(),
            );
            notes.push(
                self.wording
                    .line("consent.recap.above-cumulative", &context)?,
            );
        }
        // of several areas it is said once, for all that it is about
        notes.extend(matters.filter(|_| !alone));
        Ok(Block::Recap {
            name: self.label("consent.planned.table-name")?,
            header,
            rows,
            every: self.shared_risk_names()?,
            notes,
        })
    }

    /// That the product is not licensed for this area, that nobody knows, or that it is and the dose is above the official one.
    fn standing_named(&self, selected: &SelectedArea<'_>) -> Result<Option<String>, WordingError> {
        let words = match selected.standing() {
            Standing::Licensed if selected.is_above_label() => "consent.recap.above-label",
            Standing::Licensed => return Ok(None),
            Standing::OffLabel => "consent.recap.off-label",
            Standing::Unknown => "consent.recap.licence-unknown",
        };
        self.label(words).map(Some)
    }

    /// That little is to be expected, where the sign that the area needs is not there.
    fn no_sign_named(&self, selected: &SelectedArea<'_>) -> Result<Option<String>, WordingError> {
        let without = self.selection.areas_without_their_sign();
        let without = without.contains(&selected.area.id);
        without
            .then(|| self.label("consent.recap.no-sign"))
            .transpose()
    }

    /// The areas about which an answer of the patient's own changes something, apart from those whose reason stands on the form; all,
    /// where it is about the whole visit.
    fn told_matters_for(&self) -> Vec<AreaId> {
        let because = self.selection.because.iter();
        let because: Vec<_> = because
            .filter(|because| !because.facts.is_empty())
            .collect();
        let matters = |selected: &&SelectedArea<'_>| {
            let mut because = because.iter();
            let reason = selected.planned.stance_because.is_some() && self.has_reason(selected);
            because.any(|because| {
                because.areas.is_empty() || !reason && because.areas.contains(&selected.area.id)
            })
        };
        let areas = self.selection.areas.iter().filter(matters);
        areas.map(|selected| selected.area.id.clone()).collect()
    }

    /// Whoever signs against advice signs beside its reason; of many areas other reasons stand in the information.
    fn has_reason(&self, selected: &SelectedArea<'_>) -> bool {
        self.selection.areas.len() <= FEW || selected.stance.is_some_and(Stance::is_against)
    }

    /// That something the patient told matters for areas of the plan; what it is stands in the information.
    fn told_matters(&self) -> Result<Option<String>, WordingError> {
        let areas = self.told_matters_for();
        if areas.is_empty() {
            return Ok(None);
        }
        let place = self.label("information.view.because")?;
        let areas = self.names_unless_all(&areas)?;
        let words = json!({ "areas": areas, "where": place });
        self.line("consent.recap.because", words).map(Some)
    }

    /// Until when the official advice is to wait, where this visit is sooner in each of several areas: then it is said once.
    fn sooner_everywhere(&self) -> Option<Date> {
        let areas = self.selection.areas.len();
        let waits = self.selection.sooner_than_advised().into_iter();
        let everywhere = waits.filter(|(_, of)| areas > 1 && of.len() == areas);
        everywhere.map(|(earliest, _)| earliest).max()
    }

    /// Until when the official advice is to wait, where this visit is sooner in this area, and longer than in all.
    fn sooner_named(&self, selected: &SelectedArea<'_>) -> Result<Option<String>, WordingError> {
        let waits = self.selection.sooner_than_advised().into_iter();
        let waits = waits.filter(|(_, areas)| areas.contains(&selected.area.id));
        let latest = waits.map(|(earliest, _)| earliest).max();
        latest
            .filter(|earliest| self.sooner_everywhere() != Some(*earliest))
            .map(|earliest| self.sooner_than(earliest, false))
            .transpose()
    }

    fn sooner_than(&self, earliest: Date, every: bool) -> Result<String, WordingError> {
        let earliest = self.wording.formats().date(earliest);
        let words = json!({ "earliest": earliest, "every": every });
        self.line("consent.recap.sooner", words)
    }

    fn dose(&self, selected: &SelectedArea<'_>) -> Result<String, WordingError> {
        match selected.dose.total_units {
            Some(units) => self.line(
                "consent.recap.dose-value",
                json!({ "total": units, "side": selected.dose.side_units }),
            ),
            None => self.label("consent.planned.units-open"),
        }
    }

    fn statements_to_tick(&self, made: &Made) -> Result<Block, WordingError> {
        let visit = self.selection.visit;
        let given = visit.informed_on;
        let given = given.map_or(String::new(), |day| self.wording.formats().short_date(day));
        let read = made.codes.get(&PaperKind::Information);
        let dates = self.dates_at_risk("consent.decision.date")?;
        let context = values(json!({
            "dates": self.wording.formats().and(&dates),
            "code": read.cloned().unwrap_or_default(),
            "given": given,
            "fee": self.visit_fee().unwrap_or_default(),
        }));
        let reason = self.selection.departs_from_advice();
        let mut ids = vec![
            "consent.decision.read",
            "consent.decision.know",
            "consent.decision.asked",
            "consent.decision.health",
        ];
        ids.extend(reason.then_some("consent.decision.reason"));
        // a form that tells of a departure from advice has no room for what anybody is asked
        ids.extend((!reason || !dates.is_empty()).then_some("consent.decision.work"));
        ids.push("consent.decision.time");
        let mut items = Vec::new();
        for id in ids {
            let text = self.wording.rich(id, &context)?;
            items.push(Item { mark: None, text });
        }
        Ok(Block::List {
            style: ListStyle::Tick,
            items,
            columns: 1,
        })
    }

    fn photographs(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let mut items = Vec::new();
        for id in [
            "consent.photos.record",
            "consent.photos.teaching",
            "consent.photos.public",
            "consent.photos.none",
        ] {
            items.push(Item {
                mark: None,
                text: rich::plain(self.label(id)?),
            });
        }
        let initials = Field {
            label: self.label("consent.recap.initials")?,
            width: INITIALS.0,
            height: INITIALS.1,
            starts: true,
        };
        blocks.push(Block::Together {
            blocks: vec![
                self.heading(2, "consent.photos.heading")?,
                self.note("consent.photos.intro", json!({}))?,
                Block::Beside {
                    blocks: vec![Block::List {
                        style: ListStyle::Tick,
                        items,
                        columns: 2,
                    }],
                    picture: Box::new(Block::Sign {
                        title: String::new(),
                        text: String::new(),
                        fields: vec![initials],
                        framed: false,
                    }),
                },
            ],
        });
        Ok(())
    }

    fn others_who_sign(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let who = self.practitioner_said();
        let sign = |line: &str| self.label(&LabelId::sign(line));
        let mut with_copy = self.signature()?;
        with_copy.push(Field::beside(sign("copy")?, COPY_TO));
        blocks.push(Block::Together {
            blocks: vec![
                self.heading(2, "consent.others.heading")?,
                // who treats stands on a draft too, which has no place to sign
                self.note("label.practitioner-value", who)?,
                Block::Sign {
                    title: self.label("consent.sign.practitioner")?,
                    text: self.label("consent.sign.practitioner-text")?,
                    fields: with_copy,
                    framed: false,
                },
            ],
        });
        let mut interpreter = vec![
            Field::beside(sign("language")?, 35).low().starting(),
            Field::beside(sign("name")?, 0).low(),
            Field::beside(sign("qualification")?, 0).low(),
        ];
        interpreter.extend(self.signature()?);
        blocks.push(Block::Sign {
            title: sign("interpreter")?,
            text: self.label("consent.interpreter.intro")?,
            fields: interpreter,
            framed: false,
        });
        blocks.push(Block::Sign {
            title: sign("representative")?,
            text: self.label("consent.representative.intro")?,
            fields: vec![
                Field::signature(sign("signature")?),
                Field::beside(sign("name-and-basis")?, 0),
                Field::beside(sign("date")?, 27),
            ],
            framed: false,
        });
        Ok(())
    }

    /// Saying no, and taking back a yes: two rows of the same form. What ends the form is with them, so that no side holds it alone.
    fn refusal(&self) -> Result<Block, WordingError> {
        let mut rows = Vec::new();
        for (lead, text) in [
            ("consent.refusal.lead", "consent.refusal.text"),
            ("consent.withdrawal.lead", "consent.withdrawal.text"),
        ] {
            rows.push(Block::Sign {
                title: self.label(lead)?,
                text: self.label(text)?,
                fields: vec![
                    Field::signature(self.label(&LabelId::sign("signature"))?),
                    Field::beside(self.label("consent.refusal.areas")?, 0),
                    Field::beside(self.label(&LabelId::sign("date-and-time"))?, 35),
                ],
                framed: false,
            });
        }
        rows.insert(0, self.heading(2, "consent.refusal.heading")?);
        rows.push(self.copy()?);
        Ok(Block::Together { blocks: rows })
    }

    /// What the patient gets; whom it was given to is beside the practitioner's signature.
    fn copy(&self) -> Result<Block, WordingError> {
        let mut said = vec![Item {
            mark: None,
            text: rich::bold(self.label("consent.copy.lead")?),
        }];
        said.extend(self.flow_items(&["copy"], &self.general_context()?)?);
        Ok(Block::Flow { items: said })
    }

    /// A signature with its date and time.
    fn signature(&self) -> Result<Vec<Field>, WordingError> {
        let sign = |line: &str| self.label(&LabelId::sign(line));
        Ok(vec![
            Field::signature(sign("signature")?),
            Field::beside(sign("date")?, 0),
            Field::beside(sign("time")?, 0),
        ])
    }
}
