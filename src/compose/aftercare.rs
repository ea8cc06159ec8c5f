//! Turns a selection into the sheet the patient takes home.
//! Invariant: what to remember and the red flags come first; every instruction says until when, or that no time is set.
//! Must not: ask the patient to work anything out.

use serde_json::json;

use super::document::{Block, Field, Instruction, Item, ListStyle, Sign, Timed, Tone};
use super::{Composer, values};
use crate::catalogue::AdviceKind;
use crate::domain::{Side, StatementId};
use crate::select::{AdviceEnd, DateRange, SelectedArea, review};
use crate::wording::{Context, RecordedWording, WordingError, rich};

/// Rows of the diary the patient fills in, at least.
const DIARY_ROWS: u8 = 3;

/// Millimetres of the line for the review's day and time.
const REVIEW_LINE: u32 = 60;

/// Instructions that stand with the next dates, where they are looked for.
const NEXT: [&str; 2] = ["review-visit", "next-treatment"];

/// A day within so many of the visit needs no year.
const NEAR: i32 = 31;

impl Composer<'_, '_> {
    /// `practices`: the words of the practice, whose language is that of whoever is shown this sheet.
    pub(super) fn aftercare(
        &self,
        practices: Option<&RecordedWording<'_>>,
    ) -> Result<Vec<Block>, WordingError> {
        let general = self.general_context()?;
        let mut blocks = vec![self.treated()?, self.remember()?];
        blocks.push(self.bands(practices, &general)?);
        self.deadlines(&general, &mut blocks)?;
        self.normal(&general, &mut blocks)?;
        blocks.extend(self.next(&general)?);
        self.when(&mut blocks)?;
        self.clinic_extra("clinic.aftercare.extra", &general, &mut blocks)?;
        // last, for it is printed only where the side has room for it
        blocks.push(self.diary()?);
        Ok(blocks)
    }

    /// Whose sheet it is, what for, and the day.
    fn treated(&self) -> Result<Block, WordingError> {
        let visit = self.selection.visit;
        let whose = json!({
            "name": visit.patient.name,
            "record": visit.patient.record,
            "born": self.wording.formats().short_date(visit.patient.born),
            "date": self.wording.formats().date(visit.date),
            "count": self.selection.areas.len(),
            "areas": self.wording.inside_sentence(&self.areas_with_sides()?),
        });
        Ok(Block::Line {
            text: self.wording.rich("aftercare.whose", &values(whose))?,
        })
    }

    /// The areas, those of one side with their side: who helps in an emergency has to know which side was treated.
    fn areas_with_sides(&self) -> Result<String, WordingError> {
        let mut names = Vec::new();
        for selected in &self.selection.areas {
            let (name, side) = (self.area_name(&selected.area.id)?, selected.planned.side);
            names.push(match side {
                Side::Left | Side::Right => self.line(
                    "aftercare.area-side",
                    json!({ "area": name, "side": self.side(side)? }),
                )?,
                Side::Both | Side::Midline => name,
            });
        }
        Ok(self.wording.list_of_names(&names))
    }

    fn remember(&self) -> Result<Block, WordingError> {
        let mut advice = self.selection.advice.iter();
        let hands_off = advice.find(|item| item.advice.id == "no-rubbing");
        let (until, span) = match hands_off.map(|item| item.end) {
            Some(AdviceEnd::Span { amount, unit }) => (
                String::new(),
                self.wording.span(amount, amount, unit, false)?,
            ),
            Some(end) => (self.end_words(end)?, String::new()),
            None => Default::default(),
        };
        let items = [
            self.line(
                "aftercare.remember.breathing",
                json!({ "emergency": self.emergency() }),
            )?,
            self.line(
                "aftercare.remember.hands-off",
                json!({ "until": until, "span": span }),
            )?,
            self.label("aftercare.remember.call")?,
        ];
        Ok(Block::Panel {
            tone: Tone::Note,
            title: String::new(),
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
            AdviceEnd::Day(day) => {
                self.line("aftercare.day-end", json!({ "date": self.near(day) }))?
            }
            AdviceEnd::Clock(moment) => self.line(
                "aftercare.clock",
                json!({ "time": formats.time(moment.time()), "date": self.near(moment.date()) }),
            )?,
        })
    }

    /// "Jaw muscle:", before what is said of an area.
    pub(super) fn area_lead(&self, selected: &SelectedArea<'_>) -> Result<String, WordingError> {
        let area = json!({ "area": self.area_name(&selected.area.id)? });
        self.line("aftercare.normal.area", area)
    }

    /// One table of everything with an end, the soonest first; what has none comes last.
    fn deadlines(&self, general: &Context, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let mut rows: Vec<Timed> = Vec::new();
        let mut chosen: Vec<_> = self
            .selection
            .advice
            .iter()
            .filter(|item| !NEXT.contains(&item.advice.id.as_str()))
            .collect();
        chosen.sort_by_key(|item| (order_of(item.end), item.advice.order));
        let by_the_clock = chosen
            .iter()
            .any(|item| matches!(item.end, AdviceEnd::Clock(_)));
        for item in chosen {
            let id = StatementId::advice(&item.advice.id);
            let text = self.wording.rich(id.wording(), general)?;
            let lead = self.lead(item.end)?;
            let instruction = Instruction {
                sign: match item.advice.kind {
                    AdviceKind::Do => Sign::Do,
                    AdviceKind::Avoid => Sign::DoNot,
                    AdviceKind::Choice => Sign::May,
                },
                item: Item {
                    mark: Some(id),
                    text,
                },
            };
            match rows.last_mut() {
                Some(row) if row.lead == lead => row.items.push(instruction),
                _ => rows.push(Timed {
                    lead,
                    open: matches!(item.end, AdviceEnd::Open),
                    items: vec![instruction],
                }),
            }
        }
        // how long the times are meant stands with them, before what has none
        let (open, timed): (Vec<_>, Vec<_>) = rows.into_iter().partition(|row| row.open);
        blocks.push(self.heading(2, "aftercare.until.heading")?);
        // whoever was treated later than planned must know before the first time of day
        if let Some(time) = self.selection.visit.time.filter(|_| by_the_clock) {
            let time = json!({ "time": self.wording.formats().time(time) });
            blocks.push(self.note("aftercare.until.counted", time)?);
        }
        if !timed.is_empty() {
            blocks.push(Block::Schedule { rows: timed });
        }
        blocks.push(self.flow(&["aftercare-honesty"], general)?);
        if !open.is_empty() {
            blocks.push(Block::Schedule { rows: open });
        }
        Ok(())
    }

    /// "18:30 on Thursday 3 December", what stands beside the instructions that end then.
    fn lead(&self, end: AdviceEnd) -> Result<String, WordingError> {
        let formats = self.wording.formats();
        match end {
            AdviceEnd::Open => self.label("aftercare.open"),
            AdviceEnd::Span { amount, unit } => self.line(
                "aftercare.for-span",
                json!({ "span": self.wording.span(amount, amount, unit, false)? }),
            ),
            AdviceEnd::Day(day) => {
                self.line("aftercare.until-day", json!({ "date": self.near(day) }))
            }
            AdviceEnd::Clock(moment) => self.line(
                "aftercare.until-clock",
                json!({ "time": formats.time(moment.time()), "date": self.near(moment.date()) }),
            ),
            AdviceEnd::Within(range) => {
                let (first, last) = (self.near(range.first), self.near(range.last));
                if range.first == range.last {
                    self.line("aftercare.within", json!({ "date": first }))
                } else {
                    self.line("aftercare.between", json!({ "first": first, "last": last }))
                }
            }
        }
    }

    /// A day of the column; the year is said once it is another one than that of the visit, and of a day far from it.
    fn near(&self, day: jiff::civil::Date) -> String {
        let formats = self.wording.formats();
        let visit = self.selection.visit.date;
        if day.year() == visit.year() && (day - visit).get_days() <= NEAR {
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
        blocks.push(self.flow(&["report"], general)?);
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

    /// What is normal in one area.
    fn area_flow(&self, selected: &SelectedArea<'_>) -> Result<Block, WordingError> {
        let context = self.area_context(selected)?;
        let id = StatementId::of_area(&selected.area.id, "normal");
        let lead = Item {
            mark: None,
            text: rich::bold(self.area_lead(selected)?),
        };
        let normal = Item {
            text: self.wording.rich(id.wording(), &context)?,
            mark: Some(id),
        };
        Ok(Block::Flow {
            items: vec![lead, normal],
        })
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
                let (first, last) = self.ends(range);
                self.line(
                    "aftercare.when.range",
                    json!({ "first": first, "last": last }),
                )
            }
        }
    }

    /// The first day and the last; where they differ, a year that is that of both is said once.
    pub(super) fn ends(&self, range: DateRange) -> (String, String) {
        let formats = self.wording.formats();
        let first = if range.first.year() == range.last.year() && range.first != range.last {
            formats.day_month(range.first)
        } else {
            formats.date(range.first)
        };
        (first, formats.date(range.last))
    }

    fn when(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "aftercare.when.heading")?);
        blocks.extend(self.timeline()?);
        blocks.extend(self.dates_table()?);
        Ok(())
    }

    /// The review, room for its day and hour, no earlier treatment than this, and the rounds that are planned.
    fn next(&self, general: &Context) -> Result<Vec<Block>, WordingError> {
        let on = review(&self.selection.areas);
        // then there is something to look for, but not yet the result
        let areas = self.selection.areas.iter();
        let early = areas.filter(|selected| {
            let full = selected.windows.full_effect;
            on.zip(full).is_some_and(|(on, full)| on.last < full.first)
        });
        let early: Vec<_> = early.map(|selected| selected.area.id.clone()).collect();
        let early_in = match early.len() == self.selection.areas.len() {
            true => String::new(),
            false => self.area_names(&early)?,
        };
        let mut review_items = vec![Item {
            mark: None,
            text: self.wording.rich(
                "aftercare.next.review",
                &values(json!({
                    "practitioner": self.selection.practitioner.name,
                    "review": self.said("timeline.alt.when", on)?,
                    "early": !early.is_empty(),
                    "areas": self.wording.inside_sentence(&early_in),
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
                AdviceEnd::Day(day) => {
                    Some(self.line("aftercare.next.until", json!({ "date": self.near(day) }))?)
                }
                end => Some(self.lead(end)?),
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
        let mut courses = Vec::new();
        for selected in &self.selection.areas {
            let Some(course) = selected.course else {
                continue;
            };
            let mut said = self.rounds_said(selected)?;
            let look = self.said("timeline.alt.when", Some(course.look))?;
            let look = json!({ "look": look });
            said.extend(self.sooner_said(selected, "aftercare.next.sooner")?);
            said.push(self.line("aftercare.next.course", look)?);
            let lead = rich::bold(self.area_lead(selected)?);
            let words = rich::plain(said.join(" "));
            courses.push(Block::Flow {
                items: [lead, words].map(|text| Item { mark: None, text }).into(),
            });
        }
        let review_items = Block::Flow {
            items: review_items,
        };
        let on_line = Block::Fill {
            fields: vec![Field {
                label: self.label("aftercare.next.review-write")?,
                width: REVIEW_LINE,
                height: 9,
                starts: true,
            }],
        };
        let mut blocks = vec![Block::Together {
            blocks: vec![review_items, on_line],
        }];
        blocks.extend(later);
        if let Some(code) = self.review_code()? {
            blocks = vec![Block::Beside {
                blocks,
                picture: Box::new(code),
            }];
        }
        blocks.insert(0, self.heading(2, "aftercare.next.heading")?);
        let mut all = vec![Block::Together { blocks }];
        all.extend(courses);
        Ok(all)
    }

    fn diary(&self) -> Result<Block, WordingError> {
        Ok(Block::Diary {
            name: self.label("aftercare.diary.table-name")?,
            header: vec![
                self.label("aftercare.diary.day")?,
                self.label("aftercare.diary.notice")?,
                self.label("aftercare.diary.question")?,
            ],
            count: DIARY_ROWS,
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
