//! Turns invented clinics and plans into calendar files through the library, and their text into lines, components and values.
//!
//! Invariant: unfolding and finding are done here, without the code that wrote the file.
//! Must not: hold an expectation about a calendar.

use beforehand::calendar;
use beforehand::catalogue::Catalogue;
use beforehand::papers;
use beforehand::plan::{Clinic, Visit};
use beforehand::select::select;
use jiff::civil::DateTime;

use super::visit::{ClinicFile, Plan, areas, read_clinic, read_visit};

const NAME: &str = "Ottoline Fernsby (invented)";

pub fn clinic_toml(zone: &str, details: bool) -> String {
    ClinicFile {
        time_zone: zone.to_owned(),
        more: format!("calendar_details = {details}"),
        ..ClinicFile::default()
    }
    .toml()
}

pub fn plan_toml(when: &str, ids: &[&str]) -> String {
    Plan {
        name: NAME.to_owned(),
        record: "INV-77".to_owned(),
        rest: areas(ids, ""),
        ..Plan::when(when)
    }
    .toml()
}

pub const VISIT: &str = "date = 2026-12-03\ntime = 14:30\ninformed_on = 2026-11-26";

/// A clinic and a visit, read as a user would write them.
pub fn read(clinic: &str, plan: &str) -> (Clinic, Visit) {
    let clinic = read_clinic(clinic);
    let visit = read_visit(plan, &clinic);
    (clinic, visit)
}

pub fn written(clinic: &Clinic, visit: &Visit) -> String {
    let selection = select(Catalogue::embedded(), clinic, visit).expect("ids are known");
    let wording = papers::wording_for(visit, clinic).expect("English is complete");
    calendar::write(&selection, &wording.recorded()).expect("all sentences are there")
}

pub fn calendar(clinic: &str, plan: &str) -> String {
    let (clinic, visit) = read(clinic, plan);
    written(&clinic, &visit)
}

/// The content lines, unfolded.
pub fn lines(calendar: &str) -> Vec<String> {
    let text = calendar.strip_suffix("\r\n").expect("ends with CRLF");
    text.replace("\r\n ", "")
        .split("\r\n")
        .map(str::to_owned)
        .collect()
}

/// The content lines of each component of a kind.
pub fn components(calendar: &str, kind: &str) -> Vec<Vec<String>> {
    let (begin, end) = (format!("BEGIN:{kind}"), format!("END:{kind}"));
    let mut found: Vec<Vec<String>> = Vec::new();
    let mut inside = false;
    for line in lines(calendar) {
        if line == begin {
            inside = true;
            found.push(Vec::new());
        } else if line == end {
            inside = false;
        } else if inside {
            found.last_mut().expect("begun").push(line);
        }
    }
    found
}

pub fn events(calendar: &str) -> Vec<Vec<String>> {
    components(calendar, "VEVENT")
}

/// The value of the only such property of an event itself (not of its alarm).
pub fn value<'e>(event: &'e [String], property: &str) -> &'e str {
    event
        .iter()
        .take_while(|line| *line != "BEGIN:VALARM")
        .find_map(|line| line.strip_prefix(property)?.strip_prefix(':'))
        .unwrap_or_else(|| panic!("no {property} in {event:#?}"))
}

pub fn uids(calendar: &str) -> Vec<String> {
    events(calendar)
        .iter()
        .map(|e| value(e, "UID").to_owned())
        .collect()
}

pub fn moment(text: &str) -> DateTime {
    DateTime::strptime("%Y%m%dT%H%M%S", text).unwrap_or_else(|e| panic!("{text}: {e}"))
}
