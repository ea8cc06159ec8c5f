//! Turns a selection and a wording into a calendar file (RFC 5545) that the patient can take into a telephone.
//! Invariant: the patient's name is never in it; unless the clinic switched details on, no area, instruction or effect is either;
//! the same event of the same visit has the same UID each time the papers are made.
//! Must not: read a clock, or write into the file what the aftercare sheet does not say.

pub mod code;
mod entries;
pub mod ical;
pub mod zone;

use jiff::ToSpan;
use jiff::civil::{Date, DateTime};

use crate::domain::digest;
use crate::select::{DateRange, Selection};
use crate::wording::{RecordedWording, WordingError};
use ical::Lines;

/// One event.
struct Entry {
    kind: Kind,
    /// What tells it from others of its kind in the same visit; stays the same when the visit's papers are made anew.
    key: String,
    when: When,
    title: String,
    text: String,
    /// How long after the beginning of the event the telephone speaks up, as an RFC 5545 duration.
    alarm: Option<&'static str>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    Ends,
    Review,
    WearsOff,
    Repeat,
    Look,
}

impl Kind {
    /// In statement ids and in UIDs: changing one makes calendars show an event twice.
    fn as_str(self) -> &'static str {
        match self {
            Kind::Ends => "ends",
            Kind::Review => "review",
            Kind::WearsOff => "wears-off",
            Kind::Repeat => "repeat",
            Kind::Look => "look",
        }
    }
}

#[derive(Debug, Clone, Copy)]
enum When {
    /// Whole days, both included.
    Days(DateRange),
    /// A time on the clinic's clock.
    Moment(DateTime),
}

impl When {
    fn start(self) -> DateTime {
        match self {
            When::Days(days) => days.first.at(0, 0, 0, 0),
            When::Moment(moment) => moment,
        }
    }

    fn last_day(self) -> Date {
        match self {
            When::Days(days) => days.last,
            When::Moment(moment) => moment.date(),
        }
    }
}

/// Writes the calendar of a visit. A selection without areas has nothing to remember: ask only when there is one.
///
/// # Errors
/// A sentence is missing or cannot be filled.
pub fn write(
    selection: &Selection<'_>,
    wording: &RecordedWording<'_>,
) -> Result<String, WordingError> {
    let mut entries = entries::of(selection, wording)?;
    entries.sort_by(|a, b| (a.when.start(), a.kind, &a.key).cmp(&(b.when.start(), b.kind, &b.key)));

    let mut lines = Lines::default();
    head(&mut lines, wording);
    lines.value("CALSCALE", "GREGORIAN");
    // no METHOD: RFC 5546 (3.2.1, read second-hand) asks a published event for an ORGANIZER, RFC 5545 (3.8.4.3, from memory)
    // forbids one where nobody is invited; a plain file without a method is imported by UID all the same
    let zone = zone_of(selection, &entries, &mut lines);
    for entry in &entries {
        event(&mut lines, selection, entry, zone.as_deref());
    }
    lines.end("VCALENDAR");
    Ok(lines.finish())
}

/// Opens a calendar: the same lines in the file and in the code.
fn head(lines: &mut Lines, wording: &RecordedWording<'_>) {
    lines.begin("VCALENDAR");
    lines.value("VERSION", "2.0");
    let language = wording.tag().split('-').next().unwrap_or_default();
    lines.text(
        "PRODID",
        &format!(
            "-//Beforehand//Beforehand {}//{}",
            env!("CARGO_PKG_VERSION"),
            language.to_uppercase()
        ),
    );
}

/// A calendar with the review alone and only what a telephone needs of it, for the code.
fn review_lines(
    lines: &mut Lines,
    selection: &Selection<'_>,
    wording: &RecordedWording<'_>,
    entry: &Entry,
) {
    head(lines, wording);
    lines.begin("VEVENT");
    identity(lines, selection, entry);
    // nought is what it counts as when it is left out (section 3.8.7.4)
    if let Some(revision) = selection.visit.revision.filter(|revision| *revision > 0) {
        lines.value("SEQUENCE", &revision.to_string());
    }
    if let When::Days(range) = entry.when {
        days(lines, range);
    }
    lines.text("SUMMARY", &entry.title);
    lines.value("CLASS", "PRIVATE");
    lines.value("TRANSP", "TRANSPARENT");
    lines.end("VEVENT");
    lines.end("VCALENDAR");
}

/// Defines the clinic's time zone if an event needs it, and gives its name.
fn zone_of(selection: &Selection<'_>, entries: &[Entry], lines: &mut Lines) -> Option<String> {
    if !entries.iter().any(|e| matches!(e.when, When::Moment(_))) {
        return None;
    }
    let name = selection.clinic.time_zone.as_ref()?;
    let zone = zone::find(name)?;
    let first = entries.iter().map(|e| e.when.start().date()).min()?;
    let last = entries.iter().map(|e| e.when.last_day()).max()?;
    // a year either side: calendar programs ask about the surroundings of an event too
    let observances = zone::observances(
        &zone,
        first.saturating_sub(1.year()),
        last.saturating_add(1.year()),
    );
    zone::write(lines, name, &observances);
    Some(name.clone())
}

fn event(lines: &mut Lines, selection: &Selection<'_>, entry: &Entry, zone: Option<&str>) {
    lines.begin("VEVENT");
    identity(lines, selection, entry);
    lines.value("LAST-MODIFIED", &ical::utc_midnight(selection.made_on()));
    lines.value(
        "SEQUENCE",
        &selection.visit.revision.unwrap_or(0).to_string(),
    );
    match entry.when {
        When::Days(range) => days(lines, range),
        When::Moment(moment) => {
            // without a zone the time floats: the clock wherever the telephone is
            let name = zone.map_or("DTSTART".to_owned(), |zone| format!("DTSTART;TZID={zone}"));
            lines.value(&name, &ical::local(moment));
            lines.value("DURATION", "PT15M");
        }
    }
    lines.text("SUMMARY", &entry.title);
    lines.text("DESCRIPTION", &entry.text);
    lines.value("CLASS", "PRIVATE");
    lines.value("TRANSP", "TRANSPARENT");
    if let Some(after) = entry.alarm {
        lines.begin("VALARM");
        lines.value("ACTION", "DISPLAY");
        lines.text("DESCRIPTION", &entry.title);
        lines.value("TRIGGER", after);
        lines.end("VALARM");
    }
    lines.end("VEVENT");
}

/// Which event it is, and as of when.
fn identity(lines: &mut Lines, selection: &Selection<'_>, entry: &Entry) {
    lines.text("UID", &uid(selection, entry));
    lines.value("DTSTAMP", &ical::utc_midnight(selection.made_on()));
}

fn days(lines: &mut Lines, range: DateRange) {
    lines.value("DTSTART;VALUE=DATE", &ical::date(range.first));
    // DTEND is the first day that no longer belongs to the event (section 3.6.1)
    lines.value(
        "DTEND;VALUE=DATE",
        &ical::date(range.last.saturating_add(1.day())),
    );
}

/// The first 160 bits of a digest, so that the record number cannot be read in it.
fn uid(selection: &Selection<'_>, entry: &Entry) -> String {
    let visit = selection.visit;
    let named = format!(
        "{}\n{}\n{}\n{}",
        visit.patient.record,
        visit.date,
        entry.kind.as_str(),
        entry.key
    );
    let mut uid = digest::sha256(named.as_bytes());
    uid.truncate(40);
    uid
}
