//! Turns the dates of a selection into pictures of what happens when, and the review visit into a code for a phone.
//! Invariant: every date in a picture is in its alternative text and comes from the selection; what is shortened or left out of
//! a picture stands whole in the list below it; no area is drawn twice.
//! Must not: know sizes on paper, or tell a date that the table of dates does not.

use jiff::ToSpan;
use jiff::civil::Date;
use serde_json::json;

use super::document::{
    Block, DayMark, Flag, FlagStyle, Item, Lane, Phase, Row, Tick, TimelinePanel,
};
use super::{Composer, para};
use crate::calendar::code;
use crate::domain::{AreaId, gathered};
use crate::plan::Event;
use crate::select::{DateRange, ProposedRound, SelectedArea, review};
use crate::wording::{WordingError, rich};

/// Lanes of one picture: more would not stay together on a page that has anything else on it.
const LANES: usize = 4;
/// Longest event in a picture, in letters (wide ones count twice): four lines of large print.
const EVENT_LETTERS: usize = 56;
/// Most dates of the patient's own in a picture; the list has all.
const EVENTS: usize = 4;
/// The scale reaches this much further than what it must show, so that the last labels find room.
const MARGIN: f64 = 1.18;
/// An event later than this many days does not stretch the scale; it stands in the list.
const LATEST: i32 = 400;
/// A day stands at (day / span) to this power across the width, so that the first weeks get the room that their labels need.
const POWER: f64 = 0.62;
/// The two weeks in which most happens are in every picture.
const FIRST_DAYS: i32 = 14;

/// Areas with the same dates.
struct Group<'s, 'a> {
    areas: Vec<&'s SelectedArea<'a>>,
}

impl Group<'_, '_> {
    fn dates(&self) -> [Option<DateRange>; 4] {
        dates(self.areas[0])
    }

    /// When some see the effect end, sooner than it wears off as a rule.
    fn sooner(&self) -> Option<DateRange> {
        self.areas[0].windows.may_end
    }

    fn rounds(&self) -> &[ProposedRound] {
        &self.areas[0].rounds
    }
}

/// First change, full effect, wearing off, earliest repeat.
fn dates(area: &SelectedArea<'_>) -> [Option<DateRange>; 4] {
    let windows = area.windows;
    let repeat = area.earliest_repeat.map(|day| DateRange {
        first: day,
        last: day,
    });
    [
        windows.onset,
        windows.full_effect,
        windows.wears_off,
        repeat,
    ]
}

/// The earliest repeat, where all areas have the same.
fn one_repeat(groups: &[Group<'_, '_>]) -> Option<DateRange> {
    let first = groups.first()?.dates()[3];
    first.filter(|_| groups.iter().all(|group| group.dates()[3] == first))
}

/// The patient's dates of one day.
struct OwnDate {
    date: Date,
    what: String,
}

impl Composer<'_, '_> {
    /// The pictures of a visit, and below them the patient's dates that are not whole in them. Empty without any dates.
    pub(super) fn timeline(&self) -> Result<Vec<Block>, WordingError> {
        let mut groups = self.groups();
        groups.retain(|group| group.dates().iter().any(Option::is_some));
        if groups.is_empty() {
            return Ok(Vec::new());
        }
        let own = self.own_dates();
        let shown: Vec<&OwnDate> = own
            .iter()
            .filter(|own| self.day(own.date) <= LATEST)
            .take(EVENTS)
            .collect();
        let span = self.span(&groups, &shown);
        let repeat = one_repeat(&groups);
        let flags = self.flags(&shown, repeat)?;
        let intro = self.intro(&shown, span)?;
        let rounds = self.round_days().next().is_some();
        let note = self.note("timeline.note", json!({ "rounds": rounds }))?;
        let pictures = groups.len().div_ceil(LANES);
        // as many lanes in each as can be, and no picture with one lane after a full one
        let each = groups.len().div_ceil(pictures);
        let mut blocks = Vec::new();
        for part in groups.chunks(each) {
            let lanes: Result<Vec<Lane>, _> = part
                .iter()
                .map(|group| self.lane(group, repeat.is_none()))
                .collect();
            let lanes = lanes?;
            let mut panel = TimelinePanel {
                intro: intro.clone(),
                alt: String::new(),
                span,
                power: POWER,
                key: self.key(&lanes)?,
                ticks: self.ticks(span),
                flags: flags.clone(),
                lanes,
            };
            panel.say();
            blocks.push(Block::Timeline(panel));
        }
        // true of all pictures; a word of its own, so that the last of them is not too high for what is left of a side
        blocks.push(note);
        let whole =
            shown.len() == own.len() && own.iter().all(|own| shortened(&own.what).is_none());
        if !whole {
            blocks.push(self.own_list(&own)?);
        }
        Ok(blocks)
    }

    /// The same dates as a table: one row for areas that share them.
    pub(super) fn dates_table(&self) -> Result<Option<Block>, WordingError> {
        let groups = self.groups();
        // one picture with every date beside its mark says all that the table would
        if groups.len() <= LANES && groups.iter().all(|g| g.dates().iter().any(Option::is_some)) {
            return Ok(None);
        }
        let mut rows = Vec::new();
        for group in groups {
            let mut cells = vec![para(self.names(&group)?)];
            let [onset, full, gone, repeat] = group.dates();
            for range in [onset, full, gone] {
                cells.push(para(self.cell(range)?));
            }
            // until when to wait is a day, and nothing is about it
            cells.push(para(match repeat {
                Some(_) if group.areas[0].sooner_than_label().is_some() => {
                    self.label("aftercare.when.as-planned")?
                }
                Some(until) => whole(self.wording.formats().short_date(until.first)),
                None => self.cell(None)?,
            }));
            rows.push(Row { mark: None, cells });
        }
        Ok(Some(Block::Table {
            name: self.label("aftercare.when.table-name")?,
            widths: vec![7, 5, 5, 5, 5],
            header: vec![
                self.label("aftercare.when.area")?,
                self.label("aftercare.when.onset")?,
                self.label("aftercare.when.full")?,
                self.label("aftercare.when.gone")?,
                self.label("aftercare.when.repeat")?,
            ],
            under: Vec::new(),
            rows,
        }))
    }

    /// "12 Dec to 15 Dec 2026", "about 24 Dec 2026".
    pub(super) fn cell(&self, range: Option<DateRange>) -> Result<String, WordingError> {
        let formats = self.wording.formats();
        let Some(range) = range else {
            return self.range(None);
        };
        if range.first == range.last {
            let date = whole(formats.short_date(range.first));
            return self.line("aftercare.when.about", json!({ "date": date }));
        }
        let first = if range.first.year() == range.last.year() {
            formats.short_day_month(range.first)
        } else {
            formats.short_date(range.first)
        };
        let (first, last) = (whole(first), whole(formats.short_date(range.last)));
        self.line("timeline.range", json!({ "first": first, "last": last }))
    }

    /// The last days on which the planned rounds may be.
    fn round_days(&self) -> impl Iterator<Item = i32> {
        let rounds = self.selection.areas.iter().flat_map(|area| &area.rounds);
        rounds.map(|round| self.day(round.when.last))
    }

    /// Areas by their dates and rounds, in printing order of the first of each.
    fn groups(&self) -> Vec<Group<'_, '_>> {
        let areas = self.selection.areas.iter();
        let dated = areas.map(|area| {
            let sooner = area.windows.may_end;
            ((dates(area), sooner, area.rounds.as_slice()), area)
        });
        let groups = gathered(dated).into_iter();
        groups.map(|(_, areas)| Group { areas }).collect()
    }

    /// Days from the visit.
    fn day(&self, date: Date) -> i32 {
        (date - self.selection.visit.date).get_days()
    }

    fn days(&self, range: DateRange) -> (i32, i32) {
        (self.day(range.first), self.day(range.last))
    }

    /// The patient's events, those of one day together, in the order of time.
    fn own_dates(&self) -> Vec<OwnDate> {
        let mut events: Vec<&Event> = self.selection.visit.events.iter().collect();
        events.sort_by_key(|event| event.date);
        let mut own: Vec<OwnDate> = Vec::new();
        for same_day in events.chunk_by(|a, b| a.date == b.date) {
            let what: Vec<String> = same_day.iter().map(|event| event.what.clone()).collect();
            own.push(OwnDate {
                date: same_day[0].date,
                what: self.wording.formats().and(&what),
            });
        }
        own
    }

    /// The last day of the scale.
    fn span(&self, groups: &[Group<'_, '_>], shown: &[&OwnDate]) -> i32 {
        let last = groups
            .iter()
            .flat_map(Group::dates)
            .chain([review(&self.selection.areas)])
            .flatten()
            .map(|range| self.day(range.last))
            .chain(self.round_days().filter(|day| *day <= LATEST))
            .chain(shown.iter().map(|own| self.day(own.date)))
            .max()
            .unwrap_or(FIRST_DAYS);
        (f64::from(last.max(FIRST_DAYS)) * MARGIN).ceil() as i32
    }

    /// What each hatch means, as far as it is drawn.
    fn key(&self, lanes: &[Lane]) -> Result<Vec<(Phase, String)>, WordingError> {
        let rises = lanes.iter().any(|lane| lane.rise.is_some());
        let falls = lanes
            .iter()
            .any(|lane| lane.rise.is_some() && lane.fall.is_some());
        let mut key = Vec::new();
        for (drawn, phase, id) in [
            (rises, Phase::Starting, "timeline.key.starting"),
            (rises, Phase::Full, "timeline.key.full"),
            (falls, Phase::Fading, "timeline.key.fading"),
        ] {
            if drawn {
                key.push((phase, self.label(id)?));
            }
        }
        Ok(key)
    }

    fn flags(
        &self,
        shown: &[&OwnDate],
        repeat: Option<DateRange>,
    ) -> Result<Vec<Flag>, WordingError> {
        let formats = self.wording.formats();
        let mut flags = vec![Flag {
            mark: DayMark {
                title: self.label("timeline.visit")?,
                when: formats.short_date(self.selection.visit.date),
                first: 0,
                last: 0,
            },
            style: FlagStyle::Visit,
        }];
        if let Some(range) = review(&self.selection.areas) {
            flags.push(Flag {
                mark: self.mark(self.label("timeline.review")?, range)?,
                style: FlagStyle::Review,
            });
        }
        for own in shown {
            let range = DateRange {
                first: own.date,
                last: own.date,
            };
            let title = shortened(&own.what).unwrap_or_else(|| own.what.clone());
            flags.push(Flag {
                mark: self.mark(title, range)?,
                style: FlagStyle::Event,
            });
        }
        if let Some(range) = repeat {
            flags.push(Flag {
                mark: self.mark(self.label(self.whose_wait(range.first))?, range)?,
                style: FlagStyle::Repeat,
            });
        }
        flags.sort_by_key(|flag| flag.mark.first);
        Ok(flags)
    }

    /// Who says to wait until this day: the label of a product, or the plan alone.
    fn whose_wait(&self, day: Date) -> &'static str {
        let mut areas = self.selection.areas.iter();
        match areas.any(|area| area.label_allows == Some(day)) {
            true => "timeline.official-wait",
            false => "timeline.planned-wait",
        }
    }

    fn mark(&self, title: String, range: DateRange) -> Result<DayMark, WordingError> {
        let formats = self.wording.formats();
        let first = formats.short_day_month(range.first);
        let when = if range.first == range.last {
            first
        } else {
            let last = formats.short_day_month(range.last);
            self.line("timeline.range", json!({ "first": first, "last": last }))?
        };
        let (first, last) = self.days(range);
        Ok(DayMark {
            title,
            when,
            first,
            last,
        })
    }

    fn names(&self, group: &Group<'_, '_>) -> Result<String, WordingError> {
        let ids: Vec<AreaId> = group.areas.iter().map(|a| a.area.id.clone()).collect();
        self.area_names(&ids)
    }

    fn lane(&self, group: &Group<'_, '_>, own_repeat: bool) -> Result<Lane, WordingError> {
        let dates = group.dates();
        let [onset, full, gone, _] = dates.map(|range| range.map(|range| self.days(range)));
        let mut marks = Vec::new();
        for (id, range) in [
            "aftercare.when.onset",
            "aftercare.when.full",
            "aftercare.when.gone",
        ]
        .into_iter()
        .zip(dates)
        .chain([("timeline.sooner", group.sooner())])
        {
            if let Some(range) = range {
                marks.push(self.mark(self.label(id)?, range)?);
            }
        }
        if let (true, Some(range)) = (own_repeat, dates[3]) {
            marks.push(self.mark(self.label(self.whose_wait(range.first))?, range)?);
        }
        for round in group.rounds() {
            if self.day(round.when.last) <= LATEST {
                let title = self.line("timeline.round", json!({ "round": round.round }))?;
                marks.push(self.mark(title, round.when)?);
            }
        }
        Ok(Lane {
            said: self.lane_said(group)?,
            name: self.names(group)?,
            rise: onset
                .or(full)
                .map(|(start, end)| [start, full.map_or(end, |(first, _)| first.max(start))]),
            fall: gone.map(|(first, last)| [first, last]),
            marks,
        })
    }

    /// The visit, one and two weeks after it, then the first of every month; January says its year.
    fn ticks(&self, span: i32) -> Vec<Tick> {
        let formats = self.wording.formats();
        let visit = self.selection.visit.date;
        let mut ticks = vec![];
        for day in [7, 14] {
            ticks.push(Tick {
                day,
                month: false,
                label: formats.short_day_month(visit.saturating_add(day.days())),
            });
        }
        let mut month = visit.first_of_month().saturating_add(1.month());
        while self.day(month) <= span {
            let label = if month.month() == 1 {
                formats.short_month_year(month)
            } else {
                formats.short_month(month)
            };
            ticks.push(Tick {
                day: self.day(month),
                month: true,
                label,
            });
            month = month.saturating_add(1.month());
        }
        ticks.sort_by_key(|tick| tick.day);
        ticks
    }

    /// Says in sentences what every picture shows: its scale, the review, the patient's own dates.
    fn intro(&self, shown: &[&OwnDate], span: i32) -> Result<String, WordingError> {
        let formats = self.wording.formats();
        let visit = self.selection.visit.date;
        let end = visit.saturating_add(span.days());
        let mut said = vec![self.line(
            "timeline.alt.scale",
            json!({ "visit": formats.date(visit), "end": formats.date(end) }),
        )?];
        if let Some(range) = review(&self.selection.areas) {
            let when = self.said("timeline.alt.days", Some(range))?;
            said.push(self.line("timeline.alt.review", json!({ "when": when }))?);
        }
        for own in shown {
            said.push(self.line(
                "timeline.alt.event",
                json!({ "date": formats.date(own.date), "what": own.what }),
            )?);
        }
        Ok(said.join(" "))
    }

    /// Says in sentences what a lane shows, with whole dates.
    fn lane_said(&self, group: &Group<'_, '_>) -> Result<String, WordingError> {
        let [onset, full, gone, repeat] = group.dates();
        let repeat = repeat.map_or(String::new(), |range| {
            self.wording.formats().date(range.first)
        });
        let mut said = vec![];
        said.push(self.line(
            "timeline.alt.lane",
            json!({
                "areas": self.names(group)?,
                "onset": self.said("timeline.alt.when", onset)?,
                "full": self.said("timeline.alt.when", full)?,
                "gone": self.said("timeline.alt.when", gone)?,
                "sooner": self.said("timeline.alt.when", group.sooner())?,
                "repeat": repeat,
            }),
        )?);
        for round in group.rounds() {
            let when = self.said("timeline.alt.when", Some(round.when))?;
            let round = json!({ "round": round.round, "when": when });
            said.push(self.line("timeline.alt.round", round)?);
        }
        Ok(said.join(" "))
    }

    /// A range inside a sentence; empty when there is none.
    pub(super) fn said(&self, id: &str, range: Option<DateRange>) -> Result<String, WordingError> {
        let Some(range) = range else {
            return Ok(String::new());
        };
        let (first, last) = self.ends(range);
        self.line(
            id,
            json!({
                "one_day": range.first == range.last,
                "first": first,
                "last": last,
            }),
        )
    }

    fn own_list(&self, own: &[OwnDate]) -> Result<Block, WordingError> {
        let formats = self.wording.formats();
        let mut items = Vec::new();
        for own in own {
            let text = self.line(
                "timeline.event",
                json!({ "date": formats.date(own.date), "what": own.what }),
            )?;
            items.push(Item {
                mark: None,
                text: rich::plain(text),
            });
        }
        Ok(Block::Together {
            blocks: vec![
                Block::paragraph(self.label("timeline.events")?),
                Block::bullets(items),
            ],
        })
    }

    /// The code that takes the review days into a phone; nothing when the plan has no review.
    pub(super) fn review_code(&self) -> Result<Option<Block>, WordingError> {
        let Some(code) = code::review_code(self.selection, &self.wording)? else {
            return Ok(None);
        };
        let when = self.said("timeline.alt.days", Some(code.days))?;
        Ok(Some(Block::QrCode {
            caption: self.line(
                "code.caption",
                json!({ "phone": self.selection.clinic.phone }),
            )?,
            alt: self.line("code.alt", json!({ "title": code.title, "when": when }))?,
            side: code.side,
            outline: code.outline,
        }))
    }
}

/// A date that does not break over two lines.
fn whole(date: String) -> String {
    date.replace(' ', "\u{a0}")
}

/// A text cut between words, where it is too long for a picture.
fn shortened(text: &str) -> Option<String> {
    // letters of the scripts of East Asia are twice as wide
    let width = |c: char| if c >= '\u{1100}' { 2 } else { 1 };
    if text.chars().map(width).sum::<usize>() <= EVENT_LETTERS {
        return None;
    }
    let mut used = 0;
    let kept: String = text
        .chars()
        .take_while(|c| {
            used += width(*c);
            used < EVENT_LETTERS
        })
        .collect();
    // not in the middle of a word, unless that word is most of it
    let cut = match kept.rfind(char::is_whitespace) {
        Some(at) if at > kept.len() / 2 => &kept[..at],
        _ => &kept,
    };
    let end = |c: char| c.is_whitespace() || c == ',' || c == ';';
    Some(format!("{}\u{a0}…", cut.trim_end_matches(end)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_events_are_cut_between_words() {
        assert_eq!(shortened("live election programme"), None);
        assert_eq!(
            shortened("a very long event name that nobody can print on any picture").as_deref(),
            Some("a very long event name that nobody can print on any\u{a0}…")
        );
        let one_word = shortened(&"W".repeat(60)).expect("too long");
        assert_eq!(one_word.chars().count(), EVENT_LETTERS - 1 + 2);
        let wide = shortened(&"演".repeat(40)).expect("too wide");
        assert!(wide.chars().count() < 30, "{wide}");
    }
}
