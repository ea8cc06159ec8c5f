//! Turns a selection into the sheet the patient takes home.
//! Invariant: what to remember and the red flags come first; every instruction says until when, or that no time is set.
//! Must not: ask the patient to work anything out.

use serde_json::json;

use super::document::{Block, Item, ListStyle, Row, Timed, Tone};
use super::{Composer, values};
use crate::catalogue::{AdviceKind, Urgency};
use crate::domain::{LabelId, StatementId};
use crate::select::{AdviceEnd, DateRange, SelectedArea, review};
use crate::wording::{Context, WordingError, rich};

/// Rows of the diary the patient fills in.
const DIARY_ROWS: usize = 3;

/// Instructions that stand with the next dates, where they are looked for.
const NEXT: [&str; 2] = ["review-visit", "next-treatment"];

impl Composer<'_, '_> {
    pub(super) fn aftercare(&self) -> Result<Vec<Block>, WordingError> {
        let general = self.general_context()?;
        let mut blocks = vec![self.remember()?];
        blocks.push(self.urgent(&general)?);
        blocks.push(self.phones()?);
        blocks.push(self.done()?);
        for (kind, heading) in [
            (AdviceKind::Avoid, "aftercare.avoid.heading"),
            (AdviceKind::Do, "aftercare.do.heading"),
            (AdviceKind::Choice, "aftercare.choice.heading"),
        ] {
            self.advice(kind, heading, &general, &mut blocks)?;
        }
        blocks.push(self.general_statement("aftercare-honesty", &general)?);
        self.normal(&general, &mut blocks)?;
        self.when(&general, &mut blocks)?;
        blocks.push(self.diary()?);
        self.clinic_extra("clinic.aftercare.extra", &general, &mut blocks)?;
        blocks.push(self.flow(&["report", "informs-not-replaces"], &general)?);
        Ok(blocks)
    }

    fn remember(&self) -> Result<Block, WordingError> {
        let hands_off = self
            .selection
            .advice
            .iter()
            .find(|item| item.advice.id == "no-rubbing")
            .map_or(Ok(String::new()), |item| self.end_words(item.end))?;
        let items = [
            self.line(
                "aftercare.remember.breathing",
                json!({ "emergency": self.emergency() }),
            )?,
            self.line(
                "aftercare.remember.hands-off",
                json!({ "until": hands_off }),
            )?,
            self.label("aftercare.remember.call")?,
        ];
        Ok(Block::Panel {
            tone: Tone::Note,
            title: self.label("aftercare.remember")?,
            blocks: vec![Block::List {
                style: ListStyle::Bullet,
                columns: 1,
                items: items
                    .into_iter()
                    .map(|text| Item {
                        mark: None,
                        text: rich::bold(text),
                    })
                    .collect(),
            }],
        })
    }

    /// The end of an instruction inside a sentence: "18:30 on Thursday 3 December 2026"; empty when it has none.
    fn end_words(&self, end: AdviceEnd) -> Result<String, WordingError> {
        let formats = self.wording.formats();
        Ok(match end {
            AdviceEnd::Open | AdviceEnd::Span { .. } | AdviceEnd::Within(_) => String::new(),
            AdviceEnd::Day(day) => self.near(day),
            AdviceEnd::Clock(moment) => self.line(
                "aftercare.clock",
                json!({ "time": formats.time(moment.time()), "date": self.near(moment.date()) }),
            )?,
        })
    }

    fn urgent(&self, general: &Context) -> Result<Block, WordingError> {
        let visit = self.selection.visit;
        let mut inside = Vec::new();
        for urgency in Urgency::ALL {
            let mut items = Vec::new();
            for flag in self
                .selection
                .catalogue
                .general
                .red_flag
                .iter()
                .filter(|flag| flag.urgency == urgency)
            {
                let id = StatementId::red_flag(&flag.id);
                items.push(Item {
                    text: self.wording.rich(id.wording(), general)?,
                    mark: Some(id),
                });
            }
            if items.is_empty() {
                continue;
            }
            let title = self.wording.line(&LabelId::urgency(urgency), general)?;
            inside.push(Block::Together {
                blocks: vec![
                    Block::Heading {
                        level: 3,
                        text: title,
                    },
                    Block::bullets(items),
                ],
            });
            if urgency == Urgency::SameDay {
                inside.push(Block::Text {
                    mark: None,
                    pieces: self
                        .wording
                        .pieces("aftercare.urgent.same-day-how", general)?,
                });
            }
        }
        inside.push(self.note(
            "aftercare.say",
            json!({ "product": self.product_names(), "date": self.wording.formats().date(visit.date) }),
        )?);
        Ok(Block::Together {
            blocks: vec![
                self.heading(2, "aftercare.urgent.heading")?,
                Block::Panel {
                    tone: Tone::Urgent,
                    title: String::new(),
                    blocks: inside,
                },
            ],
        })
    }

    fn phones(&self) -> Result<Block, WordingError> {
        let clinic = self.selection.clinic;
        let mut rows = vec![
            (self.label("aftercare.phones.clinic")?, clinic.phone.clone()),
            (
                self.label("aftercare.phones.out-of-hours")?,
                clinic.phone_out_of_hours.clone(),
            ),
        ];
        if let Some(urgent) = &self.selection.region.urgent {
            rows.push((self.label("aftercare.phones.urgent")?, urgent.value.clone()));
        }
        rows.push((self.label("aftercare.phones.emergency")?, self.emergency()));
        Ok(Block::Together {
            blocks: vec![
                self.heading(3, "aftercare.phones.heading")?,
                Block::Phones { rows },
            ],
        })
    }

    fn advice(
        &self,
        kind: AdviceKind,
        heading: &str,
        general: &Context,
        blocks: &mut Vec<Block>,
    ) -> Result<(), WordingError> {
        let mut rows: Vec<Timed> = Vec::new();
        let mut chosen: Vec<_> = self
            .selection
            .advice
            .iter()
            .filter(|item| item.advice.kind == kind && !NEXT.contains(&item.advice.id.as_str()))
            .collect();
        // the soonest end first; what has no end comes last
        chosen.sort_by_key(|item| (order_of(item.end), item.advice.order));
        for item in chosen {
            let id = StatementId::advice(&item.advice.id);
            let text = self.wording.rich(id.wording(), general)?;
            let lead = self.lead(kind, item.end)?;
            let entry = Item {
                mark: Some(id),
                text,
            };
            match rows.last_mut() {
                Some(row) if row.lead == lead => row.items.push(entry),
                _ => rows.push(Timed {
                    lead,
                    timed: !matches!(item.end, AdviceEnd::Open),
                    items: vec![entry],
                }),
            }
        }
        if rows.is_empty() {
            return Ok(());
        }
        // what is the patient's choice has no end, and reads as a paragraph
        if kind == AdviceKind::Choice && rows.iter().all(|row| row.lead.is_none()) {
            let mut items = vec![Item {
                mark: None,
                text: rich::bold(format!("{}:", self.label(heading)?)),
            }];
            items.extend(rows.into_iter().flat_map(|row| row.items));
            blocks.push(Block::Flow { items });
            return Ok(());
        }
        blocks.push(self.heading(2, heading)?);
        blocks.push(Block::Schedule { rows });
        Ok(())
    }

    /// "Until 18:30 on Thu, 3 Dec", what stands beside the instructions that end then.
    fn lead(&self, kind: AdviceKind, end: AdviceEnd) -> Result<Option<String>, WordingError> {
        let formats = self.wording.formats();
        Ok(match end {
            AdviceEnd::Open if kind == AdviceKind::Choice => None,
            AdviceEnd::Open => Some(self.label("aftercare.open")?),
            AdviceEnd::Span { amount, unit } => Some(self.line(
                "aftercare.for-span",
                json!({ "span": self.wording.span(amount, amount, unit, false)? }),
            )?),
            AdviceEnd::Day(day) => {
                Some(self.line("aftercare.until-day", json!({ "date": self.near(day) }))?)
            }
            AdviceEnd::Clock(moment) => Some(self.line(
                "aftercare.until-clock",
                json!({ "time": formats.time(moment.time()), "date": self.near(moment.date()) }),
            )?),
            AdviceEnd::Within(range) => {
                let (first, last) = (self.near(range.first), self.near(range.last));
                Some(if range.first == range.last {
                    self.line("aftercare.within", json!({ "date": first }))?
                } else {
                    self.line("aftercare.between", json!({ "first": first, "last": last }))?
                })
            }
        })
    }

    /// A day of the column; the year is said once it is another one than that of the visit.
    fn near(&self, day: jiff::civil::Date) -> String {
        let formats = self.wording.formats();
        if day.year() == self.selection.visit.date.year() {
            formats.weekday_day(day)
        } else {
            formats.weekday_date(day)
        }
    }

    fn normal(&self, general: &Context, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "aftercare.normal.heading")?);
        let mut items = Vec::new();
        for claim in &self.selection.catalogue.general.normal {
            let id = StatementId::normal(&claim.id);
            items.push(Item {
                text: self.wording.rich(id.wording(), general)?,
                mark: Some(id),
            });
        }
        blocks.push(Block::Flow { items });
        for selected in &self.selection.areas {
            blocks.push(self.area_flow(selected)?);
        }
        blocks.extend(self.alikes(general)?);
        Ok(())
    }

    /// What is expected, each beside the emergency that it could be taken for.
    fn alikes(&self, general: &Context) -> Result<Option<Block>, WordingError> {
        let mut items = Vec::new();
        for alike in self.selection.alikes() {
            let id = StatementId::alike(&alike.id);
            items.push(Item {
                text: self.wording.rich(id.wording(), general)?,
                mark: Some(id),
            });
        }
        if items.is_empty() {
            return Ok(None);
        }
        Ok(Some(Block::bullets(items)))
    }

    /// What is normal in one area, and when to call because of it.
    fn area_flow(&self, selected: &SelectedArea<'_>) -> Result<Block, WordingError> {
        let context = self.area_context(selected)?;
        let lead = self.line(
            "aftercare.normal.area",
            json!({ "area": self.area_name(&selected.area.id)? }),
        )?;
        let mut items = vec![Item {
            mark: None,
            text: rich::bold(lead),
        }];
        for part in ["normal", "call"] {
            let id = StatementId::of_area(&selected.area.id, part);
            items.push(Item {
                text: self.wording.rich(id.wording(), &context)?,
                mark: Some(id),
            });
        }
        Ok(Block::Flow { items })
    }

    pub(super) fn range(&self, range: Option<DateRange>) -> Result<String, WordingError> {
        let formats = self.wording.formats();
        match range {
            None => self.label("label.blank"),
            Some(range) if range.first == range.last => self.line(
                "aftercare.when.about",
                json!({ "date": formats.date(range.first) }),
            ),
            Some(range) => {
                // the year is said once when it is the same
                let first = if range.first.year() == range.last.year() {
                    formats.day_month(range.first)
                } else {
                    formats.date(range.first)
                };
                self.line(
                    "aftercare.when.range",
                    json!({ "first": first, "last": formats.date(range.last) }),
                )
            }
        }
    }

    fn when(&self, general: &Context, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "aftercare.when.heading")?);
        blocks.extend(self.timeline()?);
        blocks.extend(self.dates_table()?);
        blocks.push(self.next(general)?);
        Ok(())
    }

    /// The review, room for its day and hour, and no earlier treatment than this.
    fn next(&self, general: &Context) -> Result<Block, WordingError> {
        let mut review_items = vec![Item {
            mark: None,
            text: self.wording.rich(
                "aftercare.next.review",
                &values(json!({
                    "practitioner": self.selection.practitioner.name,
                    "review": self.range(review(&self.selection.areas))?,
                })),
            )?,
        }];
        let mut later = Vec::new();
        for item in &self.selection.advice {
            if !NEXT.contains(&item.advice.id.as_str()) {
                continue;
            }
            let id = StatementId::advice(&item.advice.id);
            let text = self.wording.rich(id.wording(), general)?;
            // the review was dated in the line before
            let lead = match item.end {
                AdviceEnd::Within(_) => None,
                end => self.lead(item.advice.kind, end)?,
            };
            let Some(lead) = lead else {
                review_items.push(Item {
                    mark: Some(id),
                    text,
                });
                continue;
            };
            let lead = Item {
                mark: None,
                text: rich::bold(format!("{lead}:")),
            };
            let words = Item {
                mark: Some(id),
                text,
            };
            later.push(Block::Flow {
                items: vec![lead, words],
            });
        }
        review_items.push(Item {
            mark: None,
            text: rich::plain(self.label("aftercare.next.review-write")?),
        });
        for selected in &self.selection.areas {
            let Some(course) = selected.course else {
                continue;
            };
            let end = self.line(
                "aftercare.next.course",
                json!({
                    "area": self.area_name(&selected.area.id)?,
                    "look": self.range(Some(course.look))?,
                }),
            )?;
            later.push(Block::Flow {
                items: vec![Item {
                    mark: None,
                    text: rich::plain(end),
                }],
            });
        }
        let mut blocks = vec![
            self.heading(2, "aftercare.next.heading")?,
            Block::Flow {
                items: review_items,
            },
        ];
        blocks.extend(later);
        if let Some(code) = self.review_code()? {
            blocks = vec![Block::Beside {
                blocks,
                picture: Box::new(code),
            }];
        }
        Ok(Block::Together { blocks })
    }

    /// What was planned, for whom, where: the sheet's own copy; "planned", because it is printed before the visit.
    /// The clinic's phone stands above, larger; who sees the patient next stands with the review.
    fn done(&self) -> Result<Block, WordingError> {
        let mut facts = self.identity()?;
        if let Block::Facts { lines } = &mut facts {
            lines.push(vec![self.clinic_fact()?]);
            lines.push(vec![(self.label("label.planned")?, self.all_area_names()?)]);
        }
        Ok(facts)
    }

    fn diary(&self) -> Result<Block, WordingError> {
        let rows = (0..DIARY_ROWS)
            .map(|_| Row {
                mark: None,
                array: None,
                cells: vec![Vec::new(), Vec::new(), Vec::new()],
            })
            .collect();
        Ok(Block::Together {
            blocks: vec![Block::Table {
                name: self.label("aftercare.diary.table-name")?,
                widths: vec![1, 3, 3],
                header: vec![
                    self.label("aftercare.diary.day")?,
                    self.label("aftercare.diary.notice")?,
                    self.label("aftercare.diary.question")?,
                ],
                rows,
                writing: true,
                signing: false,
            }],
        })
    }
}

/// Ends in the order of time: spans by their length, then clock times and days, then what has no end.
fn order_of(end: AdviceEnd) -> (u8, i64) {
    match end {
        AdviceEnd::Span { amount, unit } => (0, (amount * unit.hours()) as i64),
        AdviceEnd::Clock(moment) => (
            1,
            minutes(moment.date()) + i64::from(moment.hour()) * 60 + i64::from(moment.minute()),
        ),
        // a day ends at midnight
        AdviceEnd::Day(day) => (1, minutes(day) + 24 * 60),
        AdviceEnd::Within(range) => (1, minutes(range.first)),
        AdviceEnd::Open => (2, 0),
    }
}

fn minutes(day: jiff::civil::Date) -> i64 {
    let epoch = jiff::civil::date(2000, 1, 1);
    i64::from((day - epoch).get_days()) * 24 * 60
}
