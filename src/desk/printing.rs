//! Turns the ready visits of a day into one pile to print, while the page says how far it is.
//! Invariant: one pile of a day is made at a time; what is shown as done is on disk, and says what plans and clinic file say now.
//! Must not: decide which visits are ready, or what is in a pile.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard};

use axum::body::Bytes;
use axum::http::StatusCode;
use jiff::civil::{Date, Time};
use serde_json::{Value, json};

use super::asking::{Answer, Asked};
use super::house::{Opened, Stamp};
use super::{Desk, WorkersFor, day, label, line};
use crate::practice::{Copies, Day, DayPack, DayVisit, Job, OutFolder, Worked, explained, work_on};
use crate::select::VisitState;
use crate::wording::Wording;

/// The piles of this run of the desk, by day.
#[derive(Debug, Default)]
pub(super) struct Printings(Mutex<BTreeMap<Date, Arc<Printing>>>);

/// What a pile is made of: the files of the clinic, and every visit of the day as its file says and as it stands.
#[derive(Debug, PartialEq, Eq)]
struct MadeOf {
    clinic: Stamp,
    visits: Vec<(Job, VisitState)>,
}

impl MadeOf {
    fn now(opened: &Opened, day: &Day) -> MadeOf {
        let visits = day.visits.iter();
        MadeOf {
            clinic: opened.stamp.clone(),
            visits: visits.map(|visit| (visit.job(), visit.state())).collect(),
        }
    }
}

/// One pile, being made or made.
#[derive(Debug)]
pub(super) struct Printing {
    of: MadeOf,
    /// So many visits are in it.
    total: usize,
    stopping: AtomicBool,
    state: Mutex<State>,
}

#[derive(Debug, Default)]
struct State {
    /// What came of each plan so far, and when.
    worked: BTreeMap<PathBuf, (Worked, Time)>,
    /// Who was finished last.
    last: String,
    ended: Option<Result<DayPack, String>>,
}

impl Printings {
    fn all(&self) -> MutexGuard<'_, BTreeMap<Date, Arc<Printing>>> {
        self.0.lock().unwrap_or_else(|broken| broken.into_inner())
    }

    pub fn of(&self, date: Date) -> Option<Arc<Printing>> {
        self.all().get(&date).cloned()
    }

    /// A new pile, unless one of that day is being made.
    fn begin(&self, date: Date, of: MadeOf, total: usize) -> Option<Arc<Printing>> {
        let mut all = self.all();
        if all.get(&date).is_some_and(|printing| !printing.has_ended()) {
            return None;
        }
        let new = Arc::new(Printing {
            of,
            total,
            stopping: AtomicBool::new(false),
            state: Mutex::default(),
        });
        all.insert(date, new.clone());
        Some(new)
    }
}

impl Printing {
    fn state(&self) -> MutexGuard<'_, State> {
        self.state
            .lock()
            .unwrap_or_else(|broken| broken.into_inner())
    }

    fn has_ended(&self) -> bool {
        self.state().ended.is_some()
    }

    /// Tells a day what came of its visits.
    pub fn tell(&self, day: &mut Day) {
        let state = self.state();
        for visit in &mut day.visits {
            if let Some((Worked::NotMade { why }, _)) = state.worked.get(&visit.plan) {
                visit.not_made(why);
            }
        }
    }

    /// It was made, and something of the day has changed since.
    pub fn is_stale(&self, opened: &Opened, day: &Day) -> bool {
        self.has_ended() && self.of != MadeOf::now(opened, day)
    }

    /// When the papers of a visit were made, as its file and the clinic's are now.
    pub fn made_at(&self, opened: &Opened, visit: &DayVisit) -> Option<Time> {
        let job = visit.job();
        let is_same = self.of.visits.iter().any(|(made, _)| *made == job);
        if !is_same || self.of.clinic != opened.stamp {
            return None;
        }
        match self.state().worked.get(&visit.plan)? {
            (Worked::Made { .. }, at) => Some(*at),
            (Worked::NotMade { .. }, _) => None,
        }
    }

    /// How far it is, for a page.
    pub fn said(&self, words: &Wording) -> Value {
        let state = self.state();
        let done = state.worked.len();
        match &state.ended {
            None => json!({
                "running": true,
                "title": line(words, "desk.printing.title", json!({ "done": done, "total": self.total })),
                "done": done,
                "total": self.total,
                "last": state.last,
                "stopping": self.stopping.load(Ordering::Relaxed),
            }),
            Some(Ok(pack)) => json!({
                "running": false,
                "title": line(words, "desk.printing.ready", json!({ "sheets": pack.sheets })),
                "visits": pack.visits,
                "sheets": pack.sheets,
            }),
            Some(Err(why)) => json!({ "running": false, "failed": why }),
        }
    }
}

/// Begins the pile of a day.
pub(super) fn begin(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let date = match day::wanted(desk, opened, asked) {
            Ok(date) => date,
            Err(what) => return desk.sorry(opened, StatusCode::BAD_REQUEST, &what),
        };
        match start(desk, opened, date) {
            Ok(()) => Answer::See(format!("day?date={date}")),
            Err(what) => desk.sorry(opened, StatusCode::INTERNAL_SERVER_ERROR, &what),
        }
    })
}

fn start(desk: &Desk, opened: &Opened, date: Date) -> Result<(), String> {
    let day = opened
        .practice
        .day(desk.house.folder(), date)
        .map_err(|failed| explained(&failed))?;
    let ready = day.ready().count();
    let Some(clinic) = desk.house.clinic_file() else {
        return Ok(());
    };
    let of = MadeOf::now(opened, &day);
    let Some(printing) = (ready > 0)
        .then(|| desk.printing.begin(date, of, ready))
        .flatten()
    else {
        return Ok(());
    };
    let out = desk.house.papers();
    let program = (desk.workers)(WorkersFor {
        date,
        clinic: &clinic,
        out: &out,
    });
    let count = desk.worker_count;
    let clock = desk.clock.clone();
    let done = printing.clone();
    let house = desk.house.again();
    let words = opened.words.clone();
    let begun = std::thread::Builder::new()
        .name("pile".to_owned())
        .spawn(move || {
            let mut day = day;
            let jobs: Vec<Job> = day.ready().map(DayVisit::job).collect();
            let names: Vec<String> = day
                .ready()
                .map(|visit| {
                    let time = visit.row.time.map(|time| words.formats().time(time));
                    let who = visit.row.name.clone().unwrap_or_default();
                    time.map_or(who.clone(), |time| format!("{time} {who}"))
                })
                .collect();
            OutFolder::new(&out, None).sweep();
            let go_on = || !done.stopping.load(Ordering::Relaxed);
            let worked = work_on(&jobs, count, &program, &go_on, |at, worked| {
                let mut state = done.state();
                state.last = names[at].clone();
                state
                    .worked
                    .insert(jobs[at].plan.clone(), (worked.clone(), clock().time()));
            });
            let ended = worked
                .map_err(|failed| explained(&failed))
                .and_then(|worked| {
                    day.worked(&worked);
                    let Ok(opened) = house.open() else {
                        return Err(label(&words, "desk.printing.closed"));
                    };
                    let file = pile_of(&house.papers(), date);
                    opened
                        .practice
                        .pack(&day, &Copies::default(), &file)
                        .map_err(|failed| explained(&failed))
                });
            done.state().ended = Some(ended);
        });
    if let Err(error) = begun {
        printing.state().ended = Some(Err(error.to_string()));
    }
    Ok(())
}

/// The pile of a day on disk.
fn pile_of(papers: &Path, date: Date) -> PathBuf {
    papers.join(format!("{date}.pdf"))
}

/// How far the pile is, for the script of the page.
pub(super) fn progress(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let date = day::wanted(desk, opened, asked).unwrap_or_else(|_| desk.today());
        let said = desk
            .printing
            .of(date)
            .map(|printing| printing.said(&opened.words));
        Answer::Data(said.unwrap_or(Value::Null))
    })
}

/// Lets what is being worked on be finished, and begins nothing more.
pub(super) fn stop(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let date = day::wanted(desk, opened, asked).unwrap_or_else(|_| desk.today());
        if let Some(printing) = desk.printing.of(date) {
            printing.stopping.store(true, Ordering::Relaxed);
        }
        Answer::See(format!("day?date={date}"))
    })
}

/// The pile itself, to print.
pub(super) fn pile(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let date = day::wanted(desk, opened, asked).unwrap_or_else(|_| desk.today());
        let file = pile_of(&desk.house.papers(), date);
        let day = opened.practice.day(desk.house.folder(), date).ok();
        let printing = desk.printing.of(date);
        let is_of_now = printing
            .zip(day)
            .is_some_and(|(printing, day)| !printing.is_stale(opened, &day));
        match std::fs::read(&file) {
            Ok(bytes) if is_of_now => Answer::File {
                kind: "application/pdf",
                bytes: Bytes::from(bytes),
                name: Some(format!("{date}.pdf")),
            },
            Ok(_) | Err(_) => {
                let what = label(&opened.words, "desk.printing.gone");
                desk.sorry(opened, StatusCode::NOT_FOUND, &what)
            }
        }
    })
}
