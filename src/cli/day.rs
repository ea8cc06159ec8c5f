//! Turns a folder and a day into a list of that day's visits, their papers, one file to print, and what is missing from it.
//! Invariant: every visit of the day is in the list with its state, whatever becomes of the papers.
//! Must not: show anything clinical; decide which visits are ready.

use std::ffi::OsString;
use std::io::{BufRead, IsTerminal, Write};
use std::path::{Path, PathBuf};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use jiff::civil::Date;
use serde::Serialize;

use super::Outcome;
use super::open::{practice_with, show};
use super::output::{Output, shown};
use crate::compose::day::DayWords;
use crate::paper::PaperKind;
use crate::practice::{
    ClinicFiles, Copies, Day, DayPack, DayVisit, JSON_VERSION, Job, OutFolder, Practice, Worked,
    WorkerProgram, answer_to, work_on,
};
use crate::select::VisitState;

/// What is wanted of a day.
pub struct Request<'r> {
    pub folder: &'r Path,
    pub date: Date,
    /// Papers are made and go there.
    pub out: Option<&'r Path>,
    /// They go into this file to print.
    pub pack: Option<&'r Path>,
    pub copies: Copies,
    pub register: Option<&'r Path>,
    pub clinic: Option<&'r Path>,
    pub fonts: Option<&'r Path>,
    /// As many as cores unless it says otherwise.
    pub workers: Option<usize>,
    pub json: bool,
}

/// A day written in numbers, or in a word.
pub fn date(text: &str) -> Result<Date, String> {
    let today = || jiff::ZonedDateTime::now().date();
    match text {
        "today" => Ok(today()),
        "tomorrow" => today().tomorrow().map_err(|error| error.to_string()),
        text => text
            .parse()
            .map_err(|_| "a day is year-month-day (2026-12-03), `today` or `tomorrow`".to_owned()),
    }
}

/// `consent=1`.
pub fn copies(text: &str) -> Result<(PaperKind, usize), String> {
    let (paper, number) = text
        .split_once('=')
        .ok_or("say which paper and how often: consent=1")?;
    let kind = paper
        .parse::<PaperKind>()
        .map_err(|error| error.to_string())?;
    match number.parse() {
        Ok(number) if number <= 20 => Ok((kind, number)),
        _ => Err("the number of copies is a whole number up to 20".to_owned()),
    }
}

pub fn run(request: &Request<'_>) -> anyhow::Result<Outcome> {
    let clinic = clinic_file(request)?;
    let Some(practice) = practice_with(&clinic, request.fonts)? else {
        return Ok(Outcome::Unsettled);
    };
    let mut day = practice.day(request.folder, request.date)?;
    let mut output = Output::default();
    if day.visits.is_empty() {
        anstream::eprintln!("{}", nothing(request, &day));
        if request.json {
            output.json(&report(request, &practice, &day, None)?)?;
        }
        return Ok(Outcome::Unsettled);
    }
    for mistakes in day
        .visits
        .iter()
        .filter_map(|visit| visit.mistakes.as_ref())
    {
        show(mistakes);
    }
    if let Some(out) = request.out {
        let worked = make(request, &clinic, &day, out)?;
        day.worked(&worked);
    }
    let pack = match request.pack {
        Some(file) => Some(practice.pack(&day, &request.copies, file)?),
        None => None,
    };
    if request.json {
        output.json(&report(request, &practice, &day, pack.as_ref())?)?;
    } else {
        output.say(&list(request, &practice, &day, pack.as_ref())?)?;
    }
    let all = day.visits.iter().all(|visit| {
        visit.state() == VisitState::Ready && (request.out.is_none() || !visit.papers.is_empty())
    });
    Ok(Outcome::settled(all))
}

/// The clinic file that was named, or the one in the folder.
fn clinic_file(request: &Request<'_>) -> anyhow::Result<PathBuf> {
    if let Some(clinic) = request.clinic {
        return Ok(clinic.to_owned());
    }
    if !request.folder.is_dir() {
        anyhow::bail!(
            "{} is not a folder; name the folder that holds the plans",
            shown(request.folder)
        );
    }
    if let Some(clinic) = ClinicFiles::in_folder(request.folder) {
        return Ok(clinic);
    }
    let whole = request.folder.canonicalize().ok();
    match whole
        .as_deref()
        .and_then(Path::parent)
        .and_then(ClinicFiles::in_folder)
    {
        Some(above) => anyhow::bail!(
            "there is no clinic file in {}, but there is one in the folder above it: name it with --clinic {}",
            shown(request.folder),
            shown(&above)
        ),
        None => anyhow::bail!(
            "there is no clinic file in {}: put clinic.toml there or name one with --clinic FILE",
            shown(request.folder)
        ),
    }
}

fn nothing(request: &Request<'_>, day: &Day) -> String {
    let folder = shown(request.folder);
    match day.other_plans {
        0 => format!(
            "{folder} holds no plan. Put the plans of the visits there, or name the folder that holds them."
        ),
        1 => format!(
            "No visit on {} in {folder}; it holds 1 plan of another day. Look at --date, and at `date` under [visit] in the plan.",
            day.date
        ),
        others => format!(
            "No visit on {} in {folder}; it holds {others} plans of other days. Look at --date, and at `date` under [visit] in the plans.",
            day.date
        ),
    }
}

/// Makes the papers of those that are ready, with a bar on a terminal and a line for each elsewhere.
fn make(
    request: &Request<'_>,
    clinic: &Path,
    day: &Day,
    out: &Path,
) -> anyhow::Result<Vec<Worked>> {
    OutFolder::new(out, request.register).sweep();
    let ready: Vec<&DayVisit> = day.ready().collect();
    let plans: Vec<Job> = ready.iter().map(|visit| visit.job()).collect();
    if plans.is_empty() {
        return Ok(Vec::new());
    }
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let workers = request.workers.unwrap_or(cores);
    let program = WorkerProgram {
        program: std::env::current_exe()?,
        arguments: worker_arguments(request, clinic, out),
    };
    let terminal = std::io::stderr().is_terminal();
    let bar = ProgressBar::with_draw_target(
        Some(plans.len() as u64),
        match terminal {
            true => ProgressDrawTarget::stderr(),
            false => ProgressDrawTarget::hidden(),
        },
    );
    let style = ProgressStyle::with_template("{bar:30} {pos} of {len} visits  {msg}")?;
    bar.set_style(style.progress_chars("##-"));
    bar.tick();
    let mut finished = 0;
    let worked = work_on(&plans, workers, &program, &|| true, |at, worked| {
        finished += 1;
        let line = line_of(ready[at], worked);
        bar.inc(1);
        bar.set_message(line.clone());
        if !terminal {
            anstream::eprintln!("{finished} of {}: {line}", plans.len());
        }
    })?;
    bar.finish_and_clear();
    Ok(worked)
}

fn line_of(visit: &DayVisit, worked: &Worked) -> String {
    let record = visit.row.record.as_deref().unwrap_or_default();
    match worked {
        Worked::Made { before: true, .. } => format!("{record} made before"),
        Worked::Made { before: false, .. } => format!("{record} made"),
        Worked::NotMade { .. } => format!("{record} not made"),
    }
}

fn worker_arguments(request: &Request<'_>, clinic: &Path, out: &Path) -> Vec<OsString> {
    let mut arguments: Vec<OsString> = vec!["day-worker".into()];
    let mut say = |name: &str, value: &std::ffi::OsStr| {
        arguments.push(name.into());
        arguments.push(value.to_owned());
    };
    say("--date", request.date.to_string().as_ref());
    say("--clinic", clinic.as_os_str());
    say("--out", out.as_os_str());
    if let Some(register) = request.register {
        say("--register", register.as_os_str());
    }
    if let Some(fonts) = request.fonts {
        say("--fonts", fonts.as_os_str());
    }
    arguments
}

/// A worker of a day: a line in for each plan, a line out for what came of it.
pub fn worker(
    date: Date,
    clinic: &Path,
    out: &Path,
    register: Option<&Path>,
    fonts: Option<&Path>,
) -> anyhow::Result<Outcome> {
    let Some(practice) = practice_with(clinic, fonts)? else {
        return Ok(Outcome::Unsettled);
    };
    let mut folder = OutFolder::new(out, register);
    let mut work = |job: &Job| practice.work(job, date, &mut folder);
    for line in std::io::stdin().lock().lines() {
        let mut answer = answer_to(&line?, &mut work);
        answer.push('\n');
        let mut stdout = std::io::stdout().lock();
        stdout.write_all(answer.as_bytes())?;
        stdout.flush()?;
    }
    Ok(Outcome::Fine)
}

/// The list on the terminal.
fn list(
    request: &Request<'_>,
    practice: &Practice,
    day: &Day,
    pack: Option<&DayPack>,
) -> anyhow::Result<String> {
    let wording = practice.own_wording()?;
    let recorded = wording.recorded();
    let words = DayWords { wording: &recorded };
    let formats = recorded.formats();
    let mut out = format!("{}\n\n", formats.weekday_date(day.date));
    let mut rows = Vec::new();
    for visit in &day.visits {
        let row = &visit.row;
        let who = match (&row.record, &row.name) {
            (None, None) => row.file.clone(),
            (record, name) => [record.clone(), name.clone()]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join("  "),
        };
        let time = row.time.map(|time| formats.time(time)).unwrap_or_default();
        rows.push((time, words.state(row.state)?, who, words.needs(row)?));
    }
    let widest = |texts: &mut dyn Iterator<Item = &String>| {
        let widths = texts.map(|text| text.chars().count());
        widths.max().unwrap_or_default()
    };
    let time_width = widest(&mut rows.iter().map(|(time, ..)| time));
    let state_width = widest(&mut rows.iter().map(|(_, state, ..)| state));
    for (time, state, who, needs) in &rows {
        out.push_str(&format!(
            "  {time:>time_width$}  {state:<state_width$}  {who}\n"
        ));
        if !needs.is_empty() {
            let indent = time_width + state_width + 6;
            out.push_str(&format!("{:indent$}{needs}\n", ""));
        }
    }
    out.push('\n');
    out.push_str(&summary(request, day, pack));
    Ok(out)
}

fn counted(count: usize, one: &str, several: &str) -> String {
    match count {
        1 => format!("1 {one}"),
        count => format!("{count} {several}"),
    }
}

fn summary(request: &Request<'_>, day: &Day, pack: Option<&DayPack>) -> String {
    let visits = counted(day.visits.len(), "visit", "visits");
    let ready = day.ready().count();
    let mut out = format!("{visits}, {ready} ready.\n");
    if let Some(folder) = request.out.filter(|_| ready > 0) {
        let made = day.visits.iter().filter(|visit| !visit.papers.is_empty());
        let (before, now): (Vec<&DayVisit>, Vec<&DayVisit>) =
            made.partition(|visit| visit.made_before);
        out.push_str(&format!(
            "Papers of {} made in {}",
            counted(now.len(), "visit", "visits"),
            shown(folder)
        ));
        if !before.is_empty() {
            out.push_str(&format!("; those of {} were there already", before.len()));
        }
        out.push_str(".\n");
    }
    if let Some(pack) = pack {
        out.push_str(&format!(
            "To print: {} ({}, {}; on both sides, turned on the long edge).\n",
            shown(&pack.file),
            counted(pack.visits, "visit", "visits"),
            counted(pack.sheets, "sheet", "sheets"),
        ));
    }
    out
}

/// What `--format json` prints.
#[derive(Serialize)]
struct Report<'r> {
    version: u32,
    date: String,
    visits: Vec<VisitLine>,
    other_plans: usize,
    pack: Option<&'r DayPack>,
}

#[derive(Serialize)]
struct VisitLine {
    plan: String,
    name: Option<String>,
    record: Option<String>,
    time: Option<String>,
    practitioner: Option<String>,
    language: Option<String>,
    large_print: bool,
    state: &'static str,
    /// What the state counts: things not asked, questions, mistakes.
    count: Option<usize>,
    /// The first day on which it could be.
    not_before: Option<String>,
    state_text: String,
    needs: Vec<String>,
    papers: Vec<PaperLine>,
    made_before: bool,
}

#[derive(Serialize)]
struct PaperLine {
    paper: PaperKind,
    file: String,
    /// How often it is in the pack.
    copies: usize,
}

fn report<'r>(
    request: &Request<'_>,
    practice: &Practice,
    day: &Day,
    pack: Option<&'r DayPack>,
) -> anyhow::Result<Report<'r>> {
    let wording = practice.own_wording()?;
    let recorded = wording.recorded();
    let words = DayWords { wording: &recorded };
    let mut visits = Vec::new();
    for visit in &day.visits {
        let row = &visit.row;
        let needs: Result<Vec<String>, _> = row.needs.iter().map(|need| words.need(need)).collect();
        let copies = request.copies.of(row);
        let papers = visit.papers.iter().map(|(kind, path)| PaperLine {
            paper: *kind,
            file: shown(path),
            copies: copies
                .iter()
                .find(|(of, _)| of == kind)
                .map_or(0, |(_, copies)| *copies),
        });
        visits.push(VisitLine {
            plan: shown(&visit.plan),
            name: row.name.clone(),
            record: row.record.clone(),
            time: row.time.map(|time| time.strftime("%H:%M").to_string()),
            practitioner: row.practitioner.clone(),
            language: row.language.clone(),
            large_print: row.large_print,
            state: row.state.as_str(),
            count: row.state.count(),
            not_before: row.state.not_before().map(|date| date.to_string()),
            state_text: words.state(row.state)?,
            needs: needs?,
            papers: papers.collect(),
            made_before: visit.made_before,
        });
    }
    Ok(Report {
        version: JSON_VERSION,
        date: day.date.to_string(),
        visits,
        other_plans: day.other_plans,
        pack,
    })
}
