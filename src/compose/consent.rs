//! Turns a selection into the consent form.
//! Invariant: every statement of `Selection::required(Paper::Consent)` is written here once, risks of each area under its heading.
//! Must not: pre-tick anything, or leave a section out because it is long.

use serde_json::json;

use super::document::{Block, Item, ListStyle, Row, Tone};
use super::figures::denominator;
use super::{Composer, para, values};
use crate::catalogue::{Risk, TimeUnit};
use crate::select::{SelectedArea, licence_wording, product_statements};
use crate::wording::{Context, Piece, WordingError, rich};

impl Composer<'_, '_> {
    pub(super) fn consent(&self) -> Result<Vec<Block>, WordingError> {
        let mut blocks = vec![self.note(
            "consent.subtitle",
            json!({ "areas": self.all_area_names()? }),
        )?];
        blocks.push(self.identity(true)?);
        let general = self.general_context()?;
        blocks.push(Block::Panel {
            tone: Tone::Note,
            title: self.label("consent.read-first")?,
            blocks: vec![self.general_statement("informs-not-replaces", &general)?],
        });
        self.planned(&mut blocks)?;
        blocks.push(self.heading(2, "consent.what.heading")?);
        for id in [
            "what-it-is",
            "how-given",
            "how-it-works",
            "not-permanent",
            "cannot-be-undone",
            "no-promise",
        ] {
            blocks.push(self.general_statement(id, &general)?);
        }
        blocks.push(self.heading(2, "consent.can.heading")?);
        for selected in &self.selection.areas {
            self.benefits(selected, &mut blocks)?;
        }
        self.risks(&general, &mut blocks)?;
        blocks.push(self.heading(2, "consent.tell.heading")?);
        for id in [
            "tell-us",
            "history-matters",
            "not-tested-in-pregnancy",
            "breastfeeding",
        ] {
            blocks.push(self.general_statement(id, &general)?);
        }
        self.choices(&general, &mut blocks)?;
        self.product(&general, &mut blocks)?;
        self.repeats(&general, &mut blocks)?;
        self.time(&general, &mut blocks)?;
        self.clinic_extra("clinic.consent.extra", &general, &mut blocks)?;
        self.decision(&mut blocks)?;
        Ok(blocks)
    }

    pub(super) fn general_statement(
        &self,
        id: &str,
        context: &Context,
    ) -> Result<Block, WordingError> {
        let id = format!("general.{id}");
        self.statement(&id, &id, context)
    }

    fn planned(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "consent.planned.heading")?);
        let formats = self.wording.formats();
        let mut rows = Vec::new();
        for selected in &self.selection.areas {
            let area = &selected.area.id;
            let name = self.area_name(area)?;
            let context = self.area_context(selected)?;
            let mut what = vec![Piece::Para {
                text: self.wording.rich(
                    "consent.planned.where-value",
                    &values(json!({ "name": name, "where": self.wording.line(&format!("{area}.where"), &context)? })),
                )?,
            }];
            let aim = self.wording.line(&format!("{area}.aim"), &context)?;
            what.extend(para(
                self.line("consent.planned.aim", json!({ "aim": aim }))?,
            ));
            if let Some(words) = &selected.planned.aim {
                what.extend(para(
                    self.line("consent.planned.own-words", json!({ "words": words }))?,
                ));
            }
            let units = match selected.dose.total_units {
                Some(units) => self.line(
                    "consent.planned.units-value",
                    json!({ "total": units, "side": selected.dose.side_units }),
                )?,
                None => self.label("consent.planned.units-open")?,
            };
            rows.push(Row {
                mark: None,
                cells: vec![
                    para(selected.number.to_string()),
                    what,
                    para(self.side(selected.planned.side)?),
                    para(units),
                    para(formats.number(f64::from(selected.planned.round.unwrap_or(1)))),
                ],
            });
        }
        blocks.push(Block::Table {
            name: self.label("consent.planned.table-name")?,
            widths: vec![0, 1, 0, 0, 0],
            header: vec![
                self.label("consent.planned.number")?,
                self.label("consent.planned.where")?,
                self.label("consent.planned.side")?,
                self.label("consent.planned.units")?,
                self.label("consent.planned.round")?,
            ],
            rows,
            writing: false,
            signing: false,
        });
        Ok(())
    }

    fn area_heading(&self, selected: &SelectedArea<'_>) -> Result<Block, WordingError> {
        let text = self.line(
            "consent.risks.area",
            json!({ "number": selected.number, "area": self.area_name(&selected.area.id)? }),
        )?;
        Ok(Block::Heading { level: 3, text })
    }

    fn benefits(
        &self,
        selected: &SelectedArea<'_>,
        blocks: &mut Vec<Block>,
    ) -> Result<(), WordingError> {
        let area = &selected.area.id;
        let context = self.area_context(selected)?;
        blocks.push(self.area_heading(selected)?);
        for part in ["can", "cannot", "lasts", "candid"] {
            let id = format!("{area}.{part}");
            let mut pieces = self.wording.pieces(&id, &context)?;
            let lead = self.label(&format!("consent.lead.{part}"))?;
            if let Some(Piece::Para { text }) = pieces.first_mut() {
                text.insert(
                    0,
                    rich::Run {
                        text: format!("{lead} "),
                        bold: true,
                    },
                );
            }
            blocks.push(Block::Text {
                mark: Some(id),
                pieces,
            });
        }
        if let Some(stance) = selected.upkeep.and_then(|upkeep| upkeep.stance) {
            blocks.push(self.note(&format!("consent.stance.{}", stance.as_str()), json!({}))?);
        }
        if selected.area.poor_candidate.is_empty() {
            return Ok(());
        }
        let intro = self.line(
            "consent.poor.heading",
            json!({ "area": self.area_name(area)? }),
        )?;
        let mut items = Vec::new();
        for poor in &selected.area.poor_candidate {
            let id = format!("{area}.poor.{}", poor.id);
            items.push(Item {
                text: self.wording.rich(&id, &context)?,
                mark: Some(id),
            });
        }
        blocks.push(Block::Together {
            blocks: vec![
                Block::Text {
                    mark: None,
                    pieces: vec![Piece::Para {
                        text: rich::bold(intro),
                    }],
                },
                Block::List {
                    style: ListStyle::Bullet,
                    items,
                },
            ],
        });
        Ok(())
    }

    fn risk_table(
        &self,
        name: &str,
        risks: &[&Risk],
        product: &str,
        context: &Context,
        id: impl Fn(&Risk) -> String,
    ) -> Result<Vec<Block>, WordingError> {
        let per = denominator(risks, product);
        // both frames for the most frequent risk of the table that has a single figure
        let most = risks
            .iter()
            .max_by(|a, b| {
                let share = |r: &Risk| {
                    r.figure
                        .iter()
                        .map(|f| f.affected / f64::from(f.per))
                        .fold(0.0_f64, f64::max)
                };
                share(a).total_cmp(&share(b))
            })
            .map(|risk| risk.id.as_str());
        let mut all = Vec::new();
        for risk in risks {
            all.push(self.how_many(risk, product, per, most == Some(risk.id.as_str()))?);
        }
        // when every number comes from the same studies, that is said once, above the table
        let mut studies: Vec<&String> = all.iter().filter_map(|h| h.studied.as_ref()).collect();
        let figures = studies.len();
        studies.dedup();
        let same = match studies.as_slice() {
            [one] if figures > 1 => Some((*one).clone()),
            _ => None,
        };
        let mut rows = Vec::new();
        for (risk, how_many) in risks.iter().zip(all) {
            let id = id(risk);
            let mut what = self.wording.pieces(&id, context)?;
            let mut detail = how_many.detail;
            if let (Some(studied), None) = (how_many.studied, &same) {
                detail = format!("{detail} {studied}");
            }
            if !detail.trim().is_empty() {
                what.extend(para(detail.trim()));
            }
            rows.push(Row {
                mark: Some(id),
                cells: vec![what, how_many.cell],
            });
        }
        let mut blocks = Vec::new();
        if let Some(studied) = same {
            blocks.push(self.note("consent.risks.same-studies", json!({ "studied": studied }))?);
        }
        blocks.push(Block::Table {
            name: self.line("consent.risks.table-name", json!({ "area": name }))?,
            widths: vec![13, 4],
            header: vec![
                self.label("consent.risks.column-what")?,
                self.label("consent.risks.column-how-many")?,
            ],
            rows,
            writing: false,
            signing: false,
        });
        Ok(blocks)
    }

    fn risks(&self, general: &Context, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let catalogue = &self.selection.catalogue.general;
        let first_product = self
            .selection
            .products
            .first()
            .map_or("", |product| product.id.as_str());
        blocks.push(self.heading(2, "consent.risks.heading")?);
        blocks.push(self.general_statement("figures", general)?);

        let mut serious = Vec::new();
        for risk in &catalogue.serious {
            let id = format!("general.serious.{}", risk.id);
            serious.push(self.statement(&id, &id, general)?);
        }
        blocks.push(self.heading(3, "consent.risks.serious")?);
        blocks.push(Block::Panel {
            tone: Tone::Serious,
            title: String::new(),
            blocks: serious,
        });

        for selected in &self.selection.areas {
            let context = self.area_context(selected)?;
            blocks.push(self.area_heading(selected)?);
            blocks.extend(self.risk_table(
                &self.area_name(&selected.area.id)?,
                &selected.risks,
                &selected.product.id,
                &context,
                |risk| format!("{}.risk.{}", selected.area.id, risk.id),
            )?);
        }

        let everyone = self.label("consent.risks.everyone")?;
        let mut all: Vec<&Risk> = catalogue.risk.iter().collect();
        all.sort_by_key(|risk| risk.weight);
        blocks.push(Block::Heading {
            level: 3,
            text: everyone.clone(),
        });
        blocks.extend(
            self.risk_table(&everyone, &all, first_product, general, |risk| {
                format!("general.risk.{}", risk.id)
            })?,
        );

        if !self.selection.because.is_empty() {
            blocks.push(self.heading(3, "consent.risks.because")?);
            let mut items = Vec::new();
            for because in &self.selection.because {
                let id = format!("because.{}", because.rule);
                let mut context = general.clone();
                let areas = if because.areas.is_empty() {
                    self.all_area_names()?
                } else {
                    self.area_names(&because.areas)?
                };
                context.insert("area".to_owned(), areas.clone().into());
                context.insert("areas".to_owned(), areas.into());
                items.push(Item {
                    text: self.wording.rich(&id, &context)?,
                    mark: Some(id),
                });
            }
            blocks.push(Block::List {
                style: ListStyle::Bullet,
                items,
            });
        }
        Ok(())
    }

    fn choices(&self, general: &Context, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "consent.choices.heading")?);
        let mut items = Vec::new();
        for choice in &self.selection.catalogue.general.choice {
            let id = format!("choice.{}", choice.id);
            items.push(Item {
                text: self.wording.rich(&id, general)?,
                mark: Some(id),
            });
        }
        blocks.push(Block::List {
            style: ListStyle::Bullet,
            items,
        });
        for selected in &self.selection.areas {
            let id = format!("{}.other-choices", selected.area.id);
            let mut pieces = self.wording.pieces(&id, &self.area_context(selected)?)?;
            let name = self.area_name(&selected.area.id)?;
            let lead = self.line("consent.choices.area", json!({ "area": name }))?;
            if let Some(Piece::Para { text }) = pieces.first_mut() {
                text.insert(
                    0,
                    rich::Run {
                        text: format!("{lead}. "),
                        bold: true,
                    },
                );
            }
            blocks.push(Block::Text {
                mark: Some(id),
                pieces,
            });
        }
        Ok(())
    }

    fn product(&self, general: &Context, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "consent.product.heading")?);
        let place = self.selection.region.licence_place.as_deref();
        for product in &self.selection.products {
            let mut context = general.clone();
            context.insert("product".to_owned(), product.id.clone().into());
            if let Some(interval) = product.label_interval(place) {
                let span =
                    self.wording
                        .span(interval.least, interval.least, interval.unit, false)?;
                context.insert("interval".to_owned(), span.into());
            }
            for id in product_statements(product) {
                let wording = format!("general.{id}");
                blocks.push(self.statement(
                    &format!("{}/{wording}", product.id),
                    &wording,
                    &context,
                )?);
            }
        }
        blocks.push(self.general_statement("units-not-interchangeable", general)?);
        blocks.push(self.general_statement("genuine-product", general)?);

        blocks.push(self.heading(3, "consent.product.licence-heading")?);
        for selected in &self.selection.areas {
            let wording = format!("general.{}", licence_wording(selected.standing()));
            let context = self.area_context(selected)?;
            blocks.push(self.statement(
                &format!("{}/{wording}", selected.area.id),
                &wording,
                &context,
            )?);
        }
        Ok(())
    }

    fn repeats(&self, general: &Context, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "consent.repeats.heading")?);
        for id in ["repeats", "top-up", "long-term"] {
            blocks.push(self.general_statement(id, general)?);
        }
        let mut items = Vec::new();
        for selected in &self.selection.areas {
            let mut text = rich::bold(format!("{}. ", self.area_name(&selected.area.id)?));
            text.extend(rich::plain(self.repeat_line(selected)?));
            items.push(Item { mark: None, text });
        }
        blocks.push(Block::List {
            style: ListStyle::Bullet,
            items,
        });
        blocks.push(self.general_statement("cost", general)?);
        Ok(())
    }

    /// When it wears off, the rounds proposed, visits and cost of a year, for one area.
    fn repeat_line(&self, selected: &SelectedArea<'_>) -> Result<String, WordingError> {
        let formats = self.wording.formats();
        let context = self.area_context(selected)?;
        let mut said = vec![self.line(
            "consent.repeats.again",
            json!({
                "wears_off": context["w"]["wears_off"],
                "repeat": context["w"]["repeat"],
            }),
        )?];
        if let Some(course) = context.get("course") {
            said.push(self.line(
                "consent.repeats.course",
                json!({ "rounds": course["rounds"], "interval": course["interval"] }),
            )?);
        }
        for round in &selected.rounds {
            said.push(self.line(
                "consent.repeats.round",
                json!({ "round": round.round, "when": self.range(Some(round.when))? }),
            )?);
            if let Some(earliest) = selected.label_allows
                && round.when.first < earliest
                && round.round == selected.rounds[0].round
            {
                said.push(self.line(
                    "consent.repeats.sooner",
                    json!({ "earliest": formats.date(earliest) }),
                )?);
            }
        }
        if let Some(upkeep) = selected.upkeep {
            let visits = self.line(
                "phrase.rounds",
                json!({ "low": upkeep.visits_low, "high": upkeep.visits_high }),
            )?;
            said.push(self.line(
                "consent.repeats.year",
                json!({ "visits": visits, "high": upkeep.visits_high }),
            )?);
            if let (Some(fee), Some(fees)) = (upkeep.fee, &self.selection.clinic.fees) {
                let money = |amount: f64| formats.money(amount, &fees.currency);
                said.push(self.line("consent.repeats.fee", json!({ "amount": money(fee) }))?);
                said.push(self.line(
                    "consent.repeats.fee-year",
                    json!({
                        "low": money(fee * f64::from(upkeep.visits_low)),
                        "high": money(fee * f64::from(upkeep.visits_high)),
                    }),
                )?);
            }
        }
        Ok(said.join(" "))
    }

    fn time(&self, general: &Context, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let visit = self.selection.visit;
        let formats = self.wording.formats();
        blocks.push(self.heading(2, "consent.time.heading")?);
        blocks.push(match visit.informed_on {
            Some(day) => self.note(
                "consent.time.informed",
                json!({ "informed": formats.weekday_date(day), "visit": formats.weekday_date(visit.date) }),
            )?,
            None => self.note("consent.time.not-recorded", json!({}))?,
        });
        let mut context = general.clone();
        if let Some(days) = self.selection.wait_days {
            let days =
                self.wording
                    .span(f64::from(days), f64::from(days), TimeUnit::Days, false)?;
            context.insert("days".to_owned(), days.into());
        }
        for id in [
            "time-to-think",
            "stop-any-time",
            "your-reasons",
            "who-treats-you",
        ] {
            blocks.push(self.general_statement(id, &context)?);
        }
        Ok(())
    }
}

/// Area names start with a capital; inside a sentence they do not.
pub(super) fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| {
        first.to_lowercase().chain(chars).collect()
    })
}
