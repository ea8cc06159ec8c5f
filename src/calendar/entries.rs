//! Turns a selection into the events of its calendar, with the words for each.
//! Invariant: every date comes from the selection; what the telephone shows follows the clinic's choice about details.
//! Must not: know the file format, or repeat an instruction whose end has no date.

use jiff::civil::{Date, DateTime};
use serde_json::json;

use super::{Entry, Kind, When, zone};
use crate::catalogue::AdviceKind;
use crate::domain::{LabelId, StatementId};
use crate::select::{AdviceEnd, DateRange, SelectedAdvice, SelectedArea, Selection, review};
use crate::wording::{Context, RecordedWording, WordingError, rich};

/// From midnight to a time of day at which a reminder is welcome.
const MORNING: &str = "PT9H";
const AT_ONCE: &str = "PT0S";

/// Every event, in no particular order.
pub(super) fn of(
    selection: &Selection<'_>,
    wording: &RecordedWording<'_>,
) -> Result<Vec<Entry>, WordingError> {
    let words = Words { selection, wording };
    let mut entries = Vec::new();
    if let Some(days) = review(&selection.areas) {
        let names: Result<Vec<String>, _> = selection.areas.iter().map(|a| words.area(a)).collect();
        let areas = wording.formats().and(&names?);
        entries.push(words.days(Kind::Review, "", days, &areas)?);
    }
    for selected in &selection.areas {
        let (id, name) = (&selected.area.id, words.area(selected)?);
        if let Some(days) = selected.windows.wears_off {
            entries.push(words.days(Kind::WearsOff, id.as_str(), days, &name)?);
        }
        if let Some(day) = selected.earliest_repeat {
            let days = DateRange {
                first: day,
                last: day,
            };
            entries.push(words.days(Kind::Repeat, id.as_str(), days, &name)?);
        }
    }
    for selected in &selection.areas {
        if let Some(course) = selected.course {
            let name = words.area(selected)?;
            entries.push(words.days(Kind::Look, selected.area.id.as_str(), course.look, &name)?);
        }
    }
    for (end, group) in groups(selection) {
        entries.push(words.end(end, &group)?);
    }
    Ok(entries)
}

/// The end of a group of instructions.
#[derive(Debug, Clone, Copy, PartialEq)]
enum End {
    Day(Date),
    Clock(DateTime),
}

/// Instructions that end at the same moment. A length without a time of treatment has no date and is left to the sheet;
/// what hangs on the review or the next treatment has its own event.
fn groups<'s, 'a>(selection: &'s Selection<'a>) -> Vec<(End, Vec<&'s SelectedAdvice<'a>>)> {
    let mut groups: Vec<(End, Vec<&SelectedAdvice<'_>>)> = Vec::new();
    let dated = selection
        .advice
        .iter()
        .filter(|item| item.advice.kind != AdviceKind::Choice && item.advice.anchor.is_none());
    for item in dated {
        let end = match item.end {
            AdviceEnd::Day(day) => End::Day(day),
            AdviceEnd::Clock(moment) => End::Clock(moment),
            AdviceEnd::Open | AdviceEnd::Span { .. } | AdviceEnd::Within(_) => continue,
        };
        match groups.iter_mut().find(|(known, _)| *known == end) {
            Some((_, items)) => items.push(item),
            None => groups.push((end, vec![item])),
        }
    }
    groups
}

struct Words<'s, 'a> {
    selection: &'s Selection<'a>,
    wording: &'s RecordedWording<'s>,
}

impl Words<'_, '_> {
    fn area(&self, selected: &SelectedArea<'_>) -> Result<String, WordingError> {
        self.wording.label(&LabelId::area_name(&selected.area.id))
    }

    fn days(
        &self,
        kind: Kind,
        key: &str,
        days: DateRange,
        area: &str,
    ) -> Result<Entry, WordingError> {
        let formats = self.wording.formats();
        let context = self.context(json!({
            "area": area,
            "one_day": days.first == days.last,
            "first": formats.date(days.first),
            "last": formats.date(days.last),
        }));
        Ok(Entry {
            kind,
            key: key.to_owned(),
            when: When::Days(days),
            title: self.say(kind, "title", &context)?,
            text: self.lines(vec![self.say(kind, "text", &context)?], &context)?,
            alarm: None,
        })
    }

    fn end(&self, end: End, group: &[&SelectedAdvice<'_>]) -> Result<Entry, WordingError> {
        let formats = self.wording.formats();
        let (when, date, time, alarm) = match end {
            End::Day(day) => {
                let days = DateRange {
                    first: day,
                    last: day,
                };
                (When::Days(days), day, String::new(), MORNING)
            }
            End::Clock(moment) => (
                When::Moment(moment),
                moment.date(),
                formats.time(moment.time()),
                AT_ONCE,
            ),
        };
        let context = self.context(json!({ "time": time, "date": formats.date(date) }));
        let mut said = vec![self.say(Kind::Ends, "text", &context)?];
        if self.selection.clinic.calendar_details {
            for item in group {
                let id = StatementId::advice(&item.advice.id);
                let sentence = rich::text_of(&self.wording.rich(id.wording(), &context)?);
                said.push(format!("- {sentence}"));
            }
        }
        Ok(Entry {
            kind: Kind::Ends,
            key: self.length(end),
            when,
            title: self.say(Kind::Ends, "title", &context)?,
            text: self.lines(said, &context)?,
            alarm: Some(alarm),
        })
    }

    /// How long after the treatment a group ends. It names the group: it stays when the hour of the visit is moved, when an
    /// area adds an instruction to the group, or when another group comes in between.
    fn length(&self, end: End) -> String {
        let visit = self.selection.visit;
        match end {
            End::Day(day) => format!("{} days", (day - visit.date).get_days()),
            End::Clock(moment) => {
                let start = visit.date.to_datetime(visit.time.unwrap_or_default());
                let zone = self.selection.clinic.time_zone.as_deref();
                let elapsed = zone
                    .and_then(zone::find)
                    .and_then(|zone| {
                        let (from, to) = (zone.to_timestamp(start), zone.to_timestamp(moment));
                        Some(to.ok()?.duration_since(from.ok()?))
                    })
                    .unwrap_or_else(|| moment.duration_since(start));
                format!("{} seconds", elapsed.as_secs())
            }
        }
    }

    /// A sentence in the tone that the clinic chose.
    fn say(&self, kind: Kind, part: &str, context: &Context) -> Result<String, WordingError> {
        let tone = if self.selection.clinic.calendar_details {
            "detailed"
        } else {
            "neutral"
        };
        let id = LabelId::calendar(tone, kind.as_str(), part);
        self.wording.line(&id, context)
    }

    fn lines(&self, mut said: Vec<String>, context: &Context) -> Result<String, WordingError> {
        said.push(self.wording.line("calendar.footer", context)?);
        Ok(said.join("\n"))
    }

    /// What every sentence may use: the given values, and who to call about which visit.
    fn context(&self, given: serde_json::Value) -> Context {
        let (clinic, visit) = (self.selection.clinic, self.selection.visit);
        let serde_json::Value::Object(mut context) = given else {
            unreachable!("contexts are written as objects in this file")
        };
        context.insert("clinic".to_owned(), clinic.name.clone().into());
        context.insert("phone".to_owned(), clinic.phone.clone().into());
        let emergency = &self.selection.region.emergency.value;
        let emergency = self.wording.formats().or(emergency);
        context.insert("emergency".to_owned(), emergency.into());
        let date = self.wording.formats().date(visit.date);
        context.insert("visit".to_owned(), date.into());
        context
    }
}
