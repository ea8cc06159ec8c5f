//! Turns a day into its screen: who comes when, how far each visit is, what is printed and what waits for whom.
//! Invariant: every visit of the day stands in the list, and whatever is not printed stands once more beside who must act.
//! Must not: show or ask anything clinical.

use std::collections::BTreeMap;

use axum::http::StatusCode;
use jiff::civil::{Date, Time};
use serde::Serialize;
use serde_json::json;

use super::asking::{Answer, Asked};
use super::house::{Opened, code_of};
use super::{Desk, capital, label, line, take_home, to_answer};
use crate::compose::day::DayWords;
use crate::domain::LabelId;
use crate::practice::{Day, DayVisit, Practice, explained};
use crate::select::VisitState;
use crate::wording::{Wording, WordingError};

/// One visit as a line of the list.
#[derive(Debug, Serialize)]
struct Row {
    time: String,
    name: String,
    /// Record number, language, size of print.
    about: String,
    frame: &'static str,
    state: String,
    needs: Vec<String>,
    /// Where its mistakes are shown, for whom that is.
    mend: Option<String>,
    /// Its papers were made in this run of the desk, at this time.
    made: Option<String>,
    /// By which its information paper can be printed before the day.
    take_home: Option<String>,
}

/// Those that wait for the same.
#[derive(Debug, Serialize)]
struct Group {
    title: String,
    waiting: Vec<Waiting>,
    /// These wait for somebody who treats.
    practitioner: bool,
    /// Some of them are not on the lists of those who treat.
    lists: bool,
}

#[derive(Debug, Serialize)]
struct Waiting {
    time: String,
    name: String,
    why: String,
    mend: Option<String>,
}

/// Who must act before a visit's papers can be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Acts {
    Practitioner,
    TheDay,
    Words,
    Desk,
}

impl Acts {
    fn of(visit: &DayVisit) -> Option<Acts> {
        match visit.state() {
            VisitState::Ready => visit.papers_failed().then_some(Acts::Desk),
            VisitState::NotAsked(_) | VisitState::ToAnswer(_) | VisitState::Stopped => {
                Some(Acts::Practitioner)
            }
            VisitState::NotBefore(_) => Some(Acts::TheDay),
            VisitState::Unapproved => Some(Acts::Words),
            VisitState::Twice | VisitState::Mistakes(_) => Some(Acts::Desk),
        }
    }

    fn title(self) -> &'static str {
        match self {
            Acts::Practitioner => "desk.day.waits.practitioner",
            Acts::TheDay => "desk.day.waits.day",
            Acts::Words => "desk.day.waits.words",
            Acts::Desk => "desk.day.waits.desk",
        }
    }
}

/// How a state is framed: the frame grows with what stands against printing.
fn frame_of(state: VisitState) -> &'static str {
    match state {
        VisitState::Ready => "clear",
        VisitState::Unapproved | VisitState::NotAsked(_) | VisitState::ToAnswer(_) => "open",
        VisitState::NotBefore(_) => "wait",
        VisitState::Twice | VisitState::Mistakes(_) => "heavy",
        VisitState::Stopped => "stop",
    }
}

/// The day that was asked for, or tomorrow.
pub(super) fn wanted(desk: &Desk, opened: &Opened, asked: &Asked) -> Result<Date, String> {
    match asked.filled("date") {
        Some(text) => crate::plan_form::typed_date(text)
            .ok_or_else(|| line(&opened.words, "desk.day.no-day", json!({ "text": text }))),
        None => Ok(desk.today().tomorrow().unwrap_or(desk.today())),
    }
}

pub(super) fn show(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let date = match wanted(desk, opened, asked) {
            Ok(date) => date,
            Err(what) => return desk.sorry(opened, StatusCode::BAD_REQUEST, &what),
        };
        match screen(desk, opened, date) {
            Ok(answer) => answer,
            Err(what) => desk.sorry(opened, StatusCode::INTERNAL_SERVER_ERROR, &what),
        }
    })
}

fn screen(desk: &Desk, opened: &Opened, date: Date) -> Result<Answer, String> {
    let practice: &Practice = &opened.practice;
    let mut day = practice
        .day(desk.house.folder(), date)
        .map_err(|failed| explained(&failed))?;
    let printing = desk.printing.of(date);
    let stale = printing
        .as_ref()
        .is_some_and(|printing| printing.is_stale(opened, &day));
    if let Some(printing) = printing.as_ref().filter(|_| !stale) {
        printing.tell(&mut day);
    }
    let words = &opened.words;
    let formats = words.formats();
    let fault = |error: WordingError| error.to_string();
    let said = Said {
        desk,
        words,
        recorded: &words.recorded(),
    };
    let rows: Result<Vec<Row>, WordingError> = day
        .visits
        .iter()
        .map(|visit| {
            let made = printing
                .as_ref()
                .and_then(|printing| printing.made_at(opened, visit));
            said.row(visit, made)
        })
        .collect();
    let lists = to_answer::Lists::read(desk.house.folder()).map_err(|failed| explained(&failed))?;
    let groups = said.groups(&day, &lists).map_err(fault)?;
    let ready = day.ready().count();
    let neighbour = |day: Option<Date>, id: &str| {
        day.map(|day| json!({ "date": day.to_string(), "said": line(words, id, json!({ "day": formats.weekday_day(day) })) }))
    };
    let which = match (date - desk.today()).get_days() {
        0 => label(words, "desk.day.today"),
        1 => label(words, "desk.day.tomorrow"),
        days if days > 0 => line(words, "desk.day.in-days", json!({ "days": days })),
        days => line(words, "desk.day.days-ago", json!({ "days": -days })),
    };
    let frame = desk.frame(opened, "day", capital(&formats.weekday_date(date)));
    let progress = match &printing {
        Some(_) if stale => Some(json!({ "running": false, "stale": true })),
        printing => printing.as_ref().map(|printing| printing.said(words)),
    };
    let data = json!({
        "which": which,
        "date": date.to_string(),
        "typed": formats.short_date(date),
        "before": neighbour(date.yesterday().ok(), "desk.day.back-to"),
        "after": neighbour(date.tomorrow().ok(), "desk.day.on-to"),
        "rows": rows.map_err(fault)?,
        "groups": groups,
        "ready": ready,
        "not_ready": day.visits.len() - ready,
        "other_plans": day.other_plans,
        "printing": progress,
        "training": practice.clinic().training,
    });
    Ok(opened.pages.page("day.html", &frame, data))
}

/// A number and the word after it stay on one line: no "5" at the end of one and "December" on the next.
fn unparted(text: &str) -> String {
    let mut said = String::with_capacity(text.len());
    let mut before = ' ';
    for c in text.chars() {
        let parts = c == ' ' && before.is_ascii_digit();
        said.push(if parts { '\u{a0}' } else { c });
        before = c;
    }
    said
}

/// The words of the list.
struct Said<'s> {
    desk: &'s Desk,
    words: &'s Wording,
    recorded: &'s crate::wording::RecordedWording<'s>,
}

impl Said<'_> {
    fn day_words(&self) -> DayWords<'_> {
        DayWords {
            wording: self.recorded,
        }
    }

    fn name_of(&self, visit: &DayVisit) -> String {
        let row = &visit.row;
        row.name.clone().unwrap_or_else(|| row.file.clone())
    }

    fn time_of(&self, visit: &DayVisit) -> String {
        let time = visit.row.time.map(|time| self.words.formats().time(time));
        time.unwrap_or_else(|| "–".to_owned())
    }

    /// The desk may mend who comes and when; where its file is told apart from the others it is shown.
    fn mend(&self, visit: &DayVisit) -> Option<String> {
        let code = code_of(self.desk.gateway.secret(), &visit.row.file);
        matches!(visit.state(), VisitState::Mistakes(_)).then(|| format!("visit/{code}?part=desk"))
    }

    fn row(&self, visit: &DayVisit, made: Option<Time>) -> Result<Row, WordingError> {
        let row = &visit.row;
        let mut about: Vec<String> = row.record.iter().cloned().collect();
        if let Some(language) = &row.language {
            about.push(self.words.label(LabelId::language(language).as_str())?);
        }
        if row.large_print {
            about.push(label(self.words, "desk.day.large-print"));
        }
        let needs: Result<Vec<String>, WordingError> = row
            .needs
            .iter()
            .map(|need| Ok(unparted(&self.day_words().need(need)?)))
            .collect();
        let made = made.map(|at| self.words.formats().time(at));
        Ok(Row {
            time: self.time_of(visit),
            name: self.name_of(visit),
            about: about.join(" · "),
            frame: frame_of(row.state),
            state: unparted(&self.day_words().state(row.state)?),
            needs: needs?,
            mend: self.mend(visit),
            made,
            take_home: take_home::offered(self.desk, visit),
        })
    }

    fn groups(&self, day: &Day, lists: &to_answer::Lists) -> Result<Vec<Group>, WordingError> {
        let mut by: BTreeMap<Acts, Vec<&DayVisit>> = BTreeMap::new();
        for visit in &day.visits {
            if let Some(acts) = Acts::of(visit) {
                by.entry(acts).or_default().push(visit);
            }
        }
        let mut groups = Vec::new();
        for (acts, visits) in by {
            let waiting: Result<Vec<Waiting>, WordingError> =
                visits.iter().map(|visit| self.waiting(visit)).collect();
            let listed = visits
                .iter()
                .all(|visit| lists.has(&visit.row.file, day.date));
            groups.push(Group {
                title: line(self.words, acts.title(), json!({ "count": visits.len() })),
                waiting: waiting?,
                practitioner: acts == Acts::Practitioner,
                lists: acts == Acts::Practitioner && !listed,
            });
        }
        Ok(groups)
    }

    fn waiting(&self, visit: &DayVisit) -> Result<Waiting, WordingError> {
        let state = self.day_words().state(visit.state())?;
        let why = match &visit.row.practitioner {
            Some(who) => line(
                self.words,
                "desk.day.who-why",
                json!({ "who": who, "why": self.words.inside_sentence(&state) }),
            ),
            None => state,
        };
        Ok(Waiting {
            time: self.time_of(visit),
            name: self.name_of(visit),
            why: unparted(&why),
            mend: self.mend(visit),
        })
    }
}
