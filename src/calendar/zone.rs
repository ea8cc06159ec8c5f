//! Turns a time zone into the VTIMEZONE that an iCalendar file must carry for it (RFC 5545, section 3.6.5).
//! Invariant: whatever falls on the days asked for gets the offset that the embedded IANA data gives it, in any calendar program.
//! Must not: read the machine's own time zone data unless the embedded data lacks the zone; promise anything about later days.

use jiff::civil::{Date, DateTime, date};
use jiff::tz::{Offset, TimeZone, TimeZoneDatabase};
use jiff::{SignedDuration, Timestamp};

use super::ical::{self, Lines};

/// A stretch of time with one offset, by its beginning.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Observance {
    /// On the clock as it was before the change.
    pub onset: DateTime,
    pub from: Offset,
    pub to: Offset,
    pub name: String,
    pub daylight: bool,
}

/// The zone of an IANA name. The embedded data comes first, so that every machine writes the same bytes.
pub fn find(name: &str) -> Option<TimeZone> {
    TimeZoneDatabase::bundled()
        .get(name)
        .or_else(|_| TimeZone::get(name))
        .ok()
}

/// What holds from `first` to `last`: the observance in force at the beginning, then every change of the clock.
pub fn observances(zone: &TimeZone, first: Date, last: Date) -> Vec<Observance> {
    let (start, end) = (midnight(zone, first), midnight(zone, last));
    // a change at the very start belongs to the past
    let before = zone
        .preceding(
            start
                .checked_add(SignedDuration::from_nanos(1))
                .unwrap_or(start),
        )
        .next()
        .map(|change| observance(zone, change.timestamp()))
        // older offsets may hold odd seconds, which some calendar programs do not read (from memory)
        .filter(|observance| observance.onset >= epoch());
    let in_force = before.unwrap_or_else(|| {
        let info = zone.to_offset_info(start);
        Observance {
            onset: epoch().min(first.at(0, 0, 0, 0)),
            from: info.offset(),
            to: info.offset(),
            name: info.abbreviation().to_owned(),
            daylight: info.dst().is_dst(),
        }
    });
    let mut all = vec![in_force];
    all.extend(
        zone.following(start)
            .map(|change| change.timestamp())
            .take_while(|change| *change <= end)
            .map(|change| observance(zone, change)),
    );
    // Some zones (Ireland, Morocco) are recorded with a winter or Ramadan time below their standard time. To a reader of
    // calendars the later clock is the daylight one; the offsets stay as they are.
    if all.iter().any(|o| o.daylight && o.to < o.from) {
        for observance in &mut all {
            observance.daylight = !observance.daylight;
        }
    }
    all
}

/// Writes the VTIMEZONE of a zone under the name that the events use.
pub fn write(lines: &mut Lines, name: &str, observances: &[Observance]) {
    lines.begin("VTIMEZONE");
    lines.text("TZID", name);
    for observance in observances {
        let component = if observance.daylight {
            "DAYLIGHT"
        } else {
            "STANDARD"
        };
        lines.begin(component);
        lines.value("DTSTART", &ical::local(observance.onset));
        lines.value("TZOFFSETFROM", &utc_offset(observance.from));
        lines.value("TZOFFSETTO", &utc_offset(observance.to));
        lines.text("TZNAME", &observance.name);
        lines.end(component);
    }
    lines.end("VTIMEZONE");
}

/// A value of type UTC-OFFSET: `+0100`, with seconds only where there are any.
pub fn utc_offset(offset: Offset) -> String {
    let total = offset.seconds();
    let sign = if total < 0 { '-' } else { '+' };
    let (hours, minutes, seconds) = (total.abs() / 3600, total.abs() / 60 % 60, total.abs() % 60);
    if seconds == 0 {
        format!("{sign}{hours:02}{minutes:02}")
    } else {
        format!("{sign}{hours:02}{minutes:02}{seconds:02}")
    }
}

fn observance(zone: &TimeZone, change: Timestamp) -> Observance {
    let (old, new) = (
        zone.to_offset_info(change - SignedDuration::from_nanos(1)),
        zone.to_offset_info(change),
    );
    Observance {
        onset: old.offset().to_datetime(change),
        from: old.offset(),
        to: new.offset(),
        name: new.abbreviation().to_owned(),
        daylight: new.dst().is_dst(),
    }
}

fn midnight(zone: &TimeZone, day: Date) -> Timestamp {
    // only the last days of the year 9999 have no time stamp
    zone.to_timestamp(day.at(0, 0, 0, 0))
        .unwrap_or(if day < epoch().date() {
            Timestamp::MIN
        } else {
            Timestamp::MAX
        })
}

fn epoch() -> DateTime {
    date(1970, 1, 1).at(0, 0, 0, 0)
}
