//! Turns a list of plans into what came of each, worked on by several processes of this program at once.
//! Invariant: every plan gets one answer; a process that dies costs the plan it had, and another takes its place.
//! Must not: know what is done to a plan (that is `day_work`), or print.
//!
//! Processes and not threads: the typesetter keeps what it remembers in one place for the whole process, and two threads wait
//! for each other there (measured: two threads make as many papers as one).

use std::collections::VecDeque;
use std::ffi::OsString;
use std::io::{BufRead, BufReader, Write};
use std::path::PathBuf;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::{Mutex, mpsc};

use serde::{Deserialize, Serialize};

use super::day_work::Worked;
use super::failed::While;
use super::{Failed, explained, shown};

/// How a worker is started.
#[derive(Debug, Clone)]
pub struct WorkerProgram {
    pub program: PathBuf,
    pub arguments: Vec<OsString>,
}

/// One line to a worker.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Job {
    pub plan: PathBuf,
    /// Digest of what the file said when the day was looked through.
    pub looked_at: String,
}

/// One line from a worker.
#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Answer {
    Worked(Worked),
    /// The machine refused something; the others would be refused too.
    Failed(String),
}

/// A running worker.
struct Worker {
    child: Child,
    to: ChildStdin,
    from: BufReader<ChildStdout>,
}

impl Worker {
    fn start(program: &WorkerProgram) -> std::io::Result<Worker> {
        let mut child = Command::new(&program.program)
            .args(&program.arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            // one core each: the library that writes PDF files would take them all
            .env("RAYON_NUM_THREADS", "1")
            .spawn()?;
        let to = child.stdin.take().expect("it was piped");
        let from = BufReader::new(child.stdout.take().expect("it was piped"));
        Ok(Worker { child, to, from })
    }

    /// None: it died over this plan.
    fn ask(&mut self, job: &Job) -> Option<Answer> {
        let mut line = serde_json::to_string(job).ok()?;
        line.push('\n');
        self.to.write_all(line.as_bytes()).ok()?;
        self.to.flush().ok()?;
        let mut answer = String::new();
        self.from.read_line(&mut answer).ok()?;
        serde_json::from_str(&answer).ok()
    }

    /// It ends by itself when nothing more comes.
    fn end(self) {
        let Worker {
            mut child,
            to,
            from,
            ..
        } = self;
        drop((to, from));
        let _ = child.wait();
    }
}

/// How a process ended, for somebody who reads it in a list.
fn last_words(mut worker: Worker) -> String {
    let _ = worker.child.kill();
    match worker.child.wait() {
        Ok(status) => format!("the worker that made them was stopped ({status})"),
        Err(_) => "the worker that made them was stopped".to_owned(),
    }
}

/// Works on plans with `count` processes, as long as it may `go_on`; `told` hears of each as it is finished, by its place in the
/// list.
///
/// # Errors
/// No worker can be started, or the machine refused what every plan needs. What was finished before stays.
pub fn work_on(
    plans: &[Job],
    count: usize,
    program: &WorkerProgram,
    go_on: &(dyn Fn() -> bool + Sync),
    mut told: impl FnMut(usize, &Worked),
) -> Result<Vec<Worked>, Failed> {
    let waiting: Mutex<VecDeque<usize>> = Mutex::new((0..plans.len()).collect());
    let next = || {
        waiting
            .lock()
            .expect("nothing panics while it holds this")
            .pop_front()
    };
    let give_up = || {
        waiting
            .lock()
            .expect("nothing panics while it holds this")
            .clear()
    };
    let (tell, hear) = mpsc::channel::<Result<(usize, Worked), Failed>>();
    let mut done: Vec<Option<Worked>> = vec![None; plans.len()];
    let mut failed = None;
    std::thread::scope(|scope| {
        for _ in 0..count.clamp(1, plans.len().max(1)) {
            let (tell, next, give_up) = (tell.clone(), &next, &give_up);
            scope.spawn(move || {
                let mut worker: Option<Worker> = None;
                while let Some(at) = go_on().then(next).flatten() {
                    let said = answer(&mut worker, program, &plans[at]);
                    if said.is_err() {
                        give_up();
                    }
                    // the receiver lives as long as this scope
                    let _ = tell.send(said.map(|worked| (at, worked)));
                }
                if let Some(worker) = worker {
                    worker.end();
                }
            });
        }
        drop(tell);
        for said in hear {
            match said {
                Ok((at, worked)) => {
                    told(at, &worked);
                    done[at] = Some(worked);
                }
                Err(error) => failed = failed.take().or(Some(error)),
            }
        }
    });
    match failed {
        Some(failed) => Err(failed),
        None => Ok(done
            .into_iter()
            .map(|worked| {
                worked.unwrap_or_else(|| Worked::NotMade {
                    why: "the run was stopped before them".to_owned(),
                })
            })
            .collect()),
    }
}

fn answer(
    worker: &mut Option<Worker>,
    program: &WorkerProgram,
    job: &Job,
) -> Result<Worked, Failed> {
    if job.plan.to_str().is_none() {
        let why = "the name of its file is not plain text".to_owned();
        return Ok(Worked::NotMade { why });
    }
    let mut running = match worker.take() {
        Some(running) => running,
        None => Worker::start(program)
            .while_doing(|| format!("cannot start {}", shown(&program.program)))?,
    };
    match running.ask(job) {
        Some(Answer::Worked(worked)) => {
            *worker = Some(running);
            Ok(worked)
        }
        Some(Answer::Failed(why)) => {
            *worker = Some(running);
            Err(Failed::because(why))
        }
        None => Ok(Worked::NotMade {
            why: last_words(running),
        }),
    }
}

/// The answer of a worker to one line.
pub fn answer_to(line: &str, work: &mut dyn FnMut(&Job) -> Result<Worked, Failed>) -> String {
    let answer = match serde_json::from_str::<Job>(line) {
        Ok(job) => match work(&job) {
            Ok(worked) => Answer::Worked(worked),
            Err(failed) => Answer::Failed(explained(&failed)),
        },
        Err(error) => Answer::Failed(error.to_string()),
    };
    serde_json::to_string(&answer).expect("an answer is strings and paths that came as text")
}
