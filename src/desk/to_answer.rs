//! Turns what the front desk asks of those who treat into their lists, and the lists into the screen they answer from.
//! Invariant: a visit stands on a list until nothing in it is open; lists only grow, line by line, and a torn line costs itself.
//! Must not: answer a question.

use std::collections::BTreeSet;
use std::io::Write;
use std::path::Path;

use axum::http::StatusCode;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::asking::{Answer, Asked};
use super::house::{Opened, code_of};
use super::{Desk, capital, day, label, line};
use crate::compose::day::DayWords;
use crate::plan::Practitioner;
use crate::practice::{Day, DayVisit, Failed, explained};
use crate::select::VisitState;
use crate::wording::WordingError;

/// The file of the lists, beside the plans.
const FILE: &str = "lists.jsonl";

/// Visits of so many days from today on stand on the screen without being put there.
const DAYS_AHEAD: i32 = 14;

/// One visit on a list.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
struct Listed {
    plan: String,
    /// Year-month-day.
    date: String,
}

/// What was put on the lists.
#[derive(Debug, Default)]
pub(super) struct Lists(BTreeSet<Listed>);

impl Lists {
    /// The lists of a folder; lines that cannot be read are passed over.
    ///
    /// # Errors
    /// The file is there and cannot be read.
    pub fn read(folder: &Path) -> Result<Lists, Failed> {
        let path = folder.join(FILE);
        // a line can be torn in the middle of a letter
        match std::fs::read(&path) {
            Ok(bytes) => {
                let lines = bytes
                    .split(|byte| *byte == b'\n')
                    .filter_map(|line| serde_json::from_slice(line).ok());
                Ok(Lists(lines.collect()))
            }
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(Lists::default()),
            Err(error) => {
                let name = crate::practice::shown(&path);
                Err(Failed::doing(format!("cannot read {name}"), error))
            }
        }
    }

    pub fn has(&self, plan: &str, date: Date) -> bool {
        let plan = plan.to_owned();
        let date = date.to_string();
        self.0.contains(&Listed { plan, date })
    }
}

/// Puts the visits of a day that wait for somebody who treats on the lists.
pub(super) fn put(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let date = match day::wanted(desk, opened, asked) {
            Ok(date) => date,
            Err(what) => return desk.sorry(opened, StatusCode::BAD_REQUEST, &what),
        };
        match add(desk, opened, date) {
            Ok(()) => Answer::See(format!("day?date={date}")),
            Err(failed) => desk.sorry(
                opened,
                StatusCode::INTERNAL_SERVER_ERROR,
                &explained(&failed),
            ),
        }
    })
}

fn add(desk: &Desk, opened: &Opened, date: Date) -> Result<(), Failed> {
    let folder = desk.house.folder();
    let day = opened.practice.day(folder, date)?;
    let lists = Lists::read(folder)?;
    let mut lines = String::new();
    for visit in &day.visits {
        let waits = matches!(
            visit.state(),
            VisitState::NotAsked(_) | VisitState::ToAnswer(_) | VisitState::Stopped
        );
        let listed = Listed {
            plan: visit.row.file.clone(),
            date: date.to_string(),
        };
        if waits && !lists.0.contains(&listed) {
            lines.push_str(&serde_json::to_string(&listed).expect("a name and a day"));
            lines.push('\n');
        }
    }
    if lines.is_empty() {
        return Ok(());
    }
    let path = folder.join(FILE);
    let cannot = |error| {
        let name = crate::practice::shown(&path);
        Failed::doing(format!("cannot write {name}"), error)
    };
    // what is written behind a torn line would be torn with it
    if is_torn(&path).map_err(cannot)? {
        lines.insert(0, '\n');
    }
    // one write of whole lines at the end: two desks do not tear each other's
    let mut options = std::fs::OpenOptions::new();
    options.create(true).append(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(&path).map_err(cannot)?;
    file.write_all(lines.as_bytes()).map_err(cannot)?;
    file.sync_all().map_err(cannot)
}

/// Whether a file ends in the middle of a line.
fn is_torn(path: &Path) -> std::io::Result<bool> {
    match std::fs::read(path) {
        Ok(bytes) => Ok(bytes.last().is_some_and(|last| *last != b'\n')),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(false),
        Err(error) => Err(error),
    }
}

/// One visit that waits.
#[derive(Debug, Serialize)]
struct Todo {
    time: String,
    name: String,
    about: String,
    state: String,
    frame: &'static str,
    visit: String,
    /// The front desk asks for it.
    asked_for: bool,
    /// What to ask the patient.
    ask: Vec<String>,
    /// What to answer.
    answer: Vec<String>,
    /// What forbids it.
    stops: Vec<String>,
}

#[derive(Debug, Serialize)]
struct OfDay {
    title: String,
    visits: Vec<Todo>,
}

/// A visit as a line to open it by.
fn in_short(
    desk: &Desk,
    opened: &Opened,
    date: Date,
    visit: &DayVisit,
) -> Result<serde_json::Value, WordingError> {
    let words = &opened.words;
    let recorded = words.recorded();
    let time = visit.row.time.map(|time| words.formats().time(time));
    let mut when = vec![words.formats().weekday_day(date)];
    when.extend(time);
    Ok(json!({
        "when": when.join(", "),
        "name": visit.row.name.clone().unwrap_or_else(|| visit.row.file.clone()),
        "state": DayWords { wording: &recorded }.state(visit.state())?,
        "visit": format!("visit/{}", code_of(desk.gateway.secret(), &visit.row.file)),
    }))
}

pub(super) fn show(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| match screen(desk, opened, asked) {
        Ok(answer) => answer,
        Err(what) => desk.sorry(opened, StatusCode::INTERNAL_SERVER_ERROR, &what),
    })
}

/// The visits of one more day, to be opened: the next round of one begins months later.
fn of_another_day(
    desk: &Desk,
    opened: &Opened,
    asked: &Asked,
    days: &[Day],
) -> Result<Option<serde_json::Value>, String> {
    let Some(typed) = asked.filled("date") else {
        return Ok(None);
    };
    let words = &opened.words;
    let Some(date) = crate::plan_form::typed_date(typed) else {
        let problem = line(words, "desk.day.no-day", json!({ "text": typed }));
        return Ok(Some(json!({ "typed": typed, "problem": problem })));
    };
    let day = opened.practice.day(desk.house.folder(), date);
    let day = day.map_err(|failed| explained(&failed))?;
    // a file that does not say its day is on every one: it stands among those of these days already
    let elsewhere = |visit: &DayVisit| {
        let mut others = days.iter().filter(|other| other.date != date);
        others.any(|other| other.visits.iter().any(|one| one.plan == visit.plan))
    };
    let of_day = day.visits.iter().filter(|visit| !elsewhere(visit));
    let visits: Result<Vec<_>, WordingError> = of_day
        .map(|visit| in_short(desk, opened, date, visit))
        .collect();
    Ok(Some(json!({
        "typed": words.formats().short_date(date),
        "title": capital(&words.formats().weekday_date(date)),
        "visits": visits.map_err(|error| error.to_string())?,
    })))
}

fn screen(desk: &Desk, opened: &Opened, asked: &Asked) -> Result<Answer, String> {
    let by = asked.filled("by");
    let words = &opened.words;
    let practice = &opened.practice;
    let people = &practice.clinic().practitioners;
    let whole = |failed: Failed| explained(&failed);
    let today = desk.today();
    let last = today
        .checked_add(jiff::Span::new().days(DAYS_AHEAD))
        .unwrap_or(today);
    let lists = Lists::read(desk.house.folder()).map_err(whole)?;
    let mut days = practice
        .days(desk.house.folder(), today, last)
        .map_err(whole)?;
    // a file that does not say its day is on none of them; it must be seen by somebody who can mend it
    let mut first = practice.day(desk.house.folder(), today).map_err(whole)?;
    let known = |visit: &DayVisit| {
        let all = days.iter().flat_map(|day| &day.visits);
        all.into_iter().any(|other| other.plan == visit.plan)
    };
    first.visits.retain(|visit| !known(visit));
    match days.first_mut().filter(|day| day.date == today) {
        Some(day) => day.visits.extend(first.visits),
        None if first.visits.is_empty() => {}
        None => days.insert(0, first),
    }
    let another = of_another_day(desk, opened, asked, &days)?;
    let mut of_each = vec![0; people.len()];
    let chosen = people
        .iter()
        .position(|person| Some(person.id.as_str()) == by);
    let mut shown = Vec::new();
    let mut every = Vec::new();
    for day in &days {
        let mut visits = Vec::new();
        for visit in &day.visits {
            let waits = matches!(
                visit.state(),
                VisitState::NotAsked(_) | VisitState::ToAnswer(_) | VisitState::Stopped
            );
            every.push(in_short(desk, opened, day.date, visit).map_err(|error| error.to_string())?);
            let mistaken = matches!(visit.state(), VisitState::Mistakes(_));
            if !waits && !mistaken {
                continue;
            }
            // a file with mistakes may not even say who treats; everybody sees it
            let of = |person: &&Practitioner| visit.row.practitioner.as_ref() == Some(&person.name);
            let at = people.iter().position(|person| of(&person));
            match at {
                Some(at) => of_each[at] += 1,
                None => of_each.iter_mut().for_each(|count| *count += 1),
            }
            if chosen.is_some() && at.is_some() && chosen != at {
                continue;
            }
            let worked_out = practice.worked_out_of(&visit.plan).map_err(whole)?;
            let recorded = words.recorded();
            let day_words = DayWords { wording: &recorded };
            let fault = |error: WordingError| error.to_string();
            let (mut ask, mut answer, mut stops) = (Vec::new(), Vec::new(), Vec::new());
            if let Some(worked_out) = worked_out {
                ask.extend(worked_out.not_asked.into_iter().map(|fact| fact.text));
                for asks in worked_out.questions {
                    if asks.asks_for_a_change() {
                        let said = json!({ "text": asks.text });
                        answer.push(line(words, "desk.answer.to-change", said));
                    } else if asks.answered.is_none() {
                        answer.push(asks.text);
                    }
                }
                stops.extend(worked_out.stops.into_iter().map(|stop| stop.text));
            }
            visits.push(Todo {
                time: visit
                    .row
                    .time
                    .map(|time| words.formats().time(time))
                    .unwrap_or_default(),
                name: visit
                    .row
                    .name
                    .clone()
                    .unwrap_or_else(|| visit.row.file.clone()),
                about: visit.row.record.clone().unwrap_or_default(),
                state: day_words.state(visit.state()).map_err(fault)?,
                frame: match visit.state() {
                    VisitState::Stopped => "stop",
                    VisitState::Mistakes(_) => "heavy",
                    _ => "open",
                },
                visit: format!("visit/{}", code_of(desk.gateway.secret(), &visit.row.file)),
                asked_for: lists.has(&visit.row.file, day.date),
                ask,
                answer,
                stops,
            });
        }
        // what the front desk asks for comes first, the rest by time
        visits.sort_by_key(|todo| !todo.asked_for);
        if !visits.is_empty() {
            shown.push(OfDay {
                title: capital(&words.formats().weekday_date(day.date)),
                visits,
            });
        }
    }
    let people: Vec<_> = people
        .iter()
        .zip(&of_each)
        .map(|(person, count)| {
            json!({ "id": person.id.as_str(), "name": person.name, "count": count,
                "said": line(words, "desk.answer.person", json!({ "who": person.name, "count": count })) })
        })
        .collect();
    let count: usize = shown.iter().map(|day| day.visits.len()).sum();
    let title = match chosen {
        Some(at) => line(
            words,
            "desk.answer.of",
            json!({ "who": practice.clinic().practitioners[at].name, "count": count }),
        ),
        None => line(words, "desk.answer.all", json!({ "count": count })),
    };
    let frame = desk.frame(opened, "to-answer", label(words, "desk.place.to-answer"));
    Ok(opened.pages.page(
        "to-answer.html",
        &frame,
        json!({ "title": title, "people": people, "chosen": by, "days": shown, "all": every, "ahead": DAYS_AHEAD, "another": another }),
    ))
}
