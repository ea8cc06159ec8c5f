//! Turns invented clinics and plans into calendar files through the library, and their text into lines, components and values.
//!
//! Invariant: unfolding and finding are done here, without the code that wrote the file.
//! Must not: hold an expectation about a calendar.

use beforehand::calendar;
use beforehand::catalogue::{Catalogue, Side};
use beforehand::diagnose::{Format, SourceFile};
use beforehand::papers;
use beforehand::plan::{Clinic, Visit, read_clinic, read_plan};
use beforehand::select::select;
use jiff::civil::DateTime;

const NAME: &str = "Ottoline Fernsby (invented)";

pub fn clinic_toml(zone: &str, details: bool) -> String {
    format!(
        "[clinic]\nname = \"Fern Bank Rooms (invented)\"\naddress = [\"1 Example Row\"]\nphone = \"01632 960 101\"\n\
         phone_out_of_hours = \"01632 960 199\"\nregion = \"GB-ENG\"\nlanguage = \"en\"\ntime_zone = \"{zone}\"\n\
         calendar_details = {details}\n\n[[practitioner]]\nid = \"a-one\"\nname = \"Ada One (invented)\"\n\
         role = \"nurse prescriber\"\nregistration = \"INVENTED-1\"\n"
    )
}

pub fn plan_toml(when: &str, areas: &[&str]) -> String {
    let areas: String = areas
        .iter()
        .map(|id| {
            // areas of the midline have no side to choose, the others are treated on both
            let area = Catalogue::embedded().area(id).expect("a known area");
            let side = if area.sides.contains(&Side::Midline) {
                ""
            } else {
                "side = \"both\"\n"
            };
            format!("[[area]]\nid = \"{id}\"\n{side}")
        })
        .collect();
    format!(
        "# invented\n[patient]\nname = \"{NAME}\"\nborn = 1984-02-11\nrecord = \"INV-77\"\n\n[visit]\n{when}\n\
         practitioner = \"a-one\"\n\n[product]\nname = \"onabotulinumtoxinA\"\n\n{areas}"
    )
}

pub const VISIT: &str = "date = 2026-12-03\ntime = 14:30\ninformed_on = 2026-11-26";

/// A clinic and a visit, read as a user would write them.
pub fn read(clinic: &str, plan: &str) -> (Clinic, Visit) {
    let vocabulary = papers::vocabulary(Catalogue::embedded());
    let source = |name: &str, text: &str| {
        SourceFile::from_bytes(name, text.as_bytes(), Format::Toml).expect("not empty")
    };
    let clinic = read_clinic(&source("clinic.toml", clinic), &vocabulary).expect("a good clinic");
    let visit =
        read_plan(&source("plan.toml", plan), &vocabulary, Some(&clinic)).expect("a good plan");
    (clinic, visit)
}

pub fn written(clinic: &Clinic, visit: &Visit) -> String {
    let selection = select(Catalogue::embedded(), clinic, visit).expect("ids are known");
    let wording = papers::wording_for(visit, clinic).expect("English is complete");
    calendar::write(&selection, &wording).expect("all sentences are there")
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
