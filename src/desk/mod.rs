//! Turns an opened folder into a page in the browser of this machine: the day, visits, looking up, the words, a first start.
//! Invariant: what it shows and writes is what `practice` says and writes; a visit is a plan file, before and after.
//! Must not: be reached from another machine or another page, keep anything of a patient outside the folder, print, or read a
//! clock but the one it is given.

mod asking;
mod assets;
mod day;
mod first;
mod gateway;
mod house;
mod look_up;
mod opening;
mod page;
mod printing;
mod server;
mod take_home;
mod to_answer;
mod visit;
mod words;

use std::path::Path;
use std::sync::Arc;

use axum::Router;
use axum::http::StatusCode;
use jiff::civil::Date;
use serde_json::{Value, json};

use crate::diagnose::Diagnostic;
use crate::practice::{Failed, WorkerProgram, explained};
use crate::wording::Wording;

use asking::{Answer, Asked, get, post};
use gateway::Gateway;
use house::{Closed, House, Opened};
use page::{Frame, Pages};

pub use opening::open_in_browser;

/// What the day and the hour are.
pub type Clock = Arc<dyn Fn() -> jiff::civil::DateTime + Send + Sync>;

/// How the workers of a day are started.
pub type Workers = Box<dyn Fn(WorkersFor<'_>) -> WorkerProgram + Send + Sync>;

/// What the workers of a day work with.
#[derive(Debug, Clone, Copy)]
pub struct WorkersFor<'w> {
    pub date: Date,
    pub clinic: &'w Path,
    pub out: &'w Path,
}

/// How a desk is opened.
pub struct Options<'o> {
    /// The folder with the plans.
    pub folder: &'o Path,
    /// The clinic file, if it is not in the folder.
    pub clinic: Option<&'o Path>,
    /// 0: any that is free.
    pub port: u16,
    pub clock: Clock,
    pub workers: Workers,
    /// So many at once.
    pub worker_count: usize,
}

/// Everything one desk knows.
struct Desk {
    gateway: Arc<Gateway>,
    house: House,
    clock: Clock,
    workers: Workers,
    worker_count: usize,
    printing: printing::Printings,
    previews: visit::Previews,
}

/// Opens the desk, says its address, and answers until the process is told to stop.
///
/// # Errors
/// The folder is none, the port is taken, or the system refuses what a server needs.
pub fn serve(options: Options<'_>, opened: impl FnOnce(&str)) -> Result<(), Failed> {
    let folder = options.folder;
    if !folder.is_dir() {
        let name = crate::practice::shown(folder);
        return Err(Failed::because(format!("{name} is not a folder")));
    }
    let port = server::Port::open(options.port)?;
    let gateway = Gateway::new(port.number)
        .map_err(|error| Failed::doing("the system has no random numbers", error.to_string()))?;
    let gateway = Arc::new(gateway);
    let address = gateway.address();
    let desk = Desk {
        gateway: gateway.clone(),
        house: House::new(folder, options.clinic),
        clock: options.clock,
        workers: options.workers,
        worker_count: options.worker_count,
        printing: printing::Printings::default(),
        previews: visit::Previews::default(),
    };
    let router = router(Arc::new(desk), gateway);
    opened(&address);
    port.answer(router)
}

fn router(desk: Arc<Desk>, gateway: Arc<Gateway>) -> Router {
    let root = gateway.root();
    let inside = Router::new()
        .route("/desk.css", get(assets::style))
        .route("/desk.js", get(assets::script))
        .route("/mark.svg", get(assets::mark))
        .route("/day", get(day::show))
        .route("/day/print", post(printing::begin))
        .route("/day/printing", get(printing::progress))
        .route("/day/stop", post(printing::stop))
        .route("/day/pile", get(printing::pile))
        .route("/day/information", post(take_home::make))
        .route("/day/lists", post(to_answer::put))
        .route("/to-answer", get(to_answer::show))
        .route("/visit/new", get(visit::new))
        .route("/visit/work-out", post(visit::work_out))
        .route("/visit/preview", post(visit::preview))
        .route("/visit/page/{preview}/{paper}/{page}", get(visit::page))
        .route("/visit/at/{preview}/{paper}/{page}", get(visit::at))
        .route("/visit/save", post(visit::save))
        .route("/visit/merge", post(visit::merge))
        .route("/visit/{code}", get(visit::show))
        .route("/visit/{code}/next", get(visit::next_round))
        .route("/look-up", get(look_up::show).merge(post(look_up::look)))
        .route("/words", get(words::show))
        .route("/words/book/{language}", get(words::book))
        .route("/words/approve", post(words::approve))
        .route("/first", get(first::show))
        .route("/first/try", post(first::try_out))
        .route("/first/clinic", post(first::write_clinic));
    Router::new()
        // a nested `/` would be the root without its last stroke
        .route(&format!("{root}/"), get(opening::start))
        .nest(&root, inside)
        .fallback(|| async { (StatusCode::NOT_FOUND, "Nothing is here.") })
        .layer(axum::middleware::from_fn_with_state(
            gateway,
            gateway::guard,
        ))
        .with_state(desk)
}

impl Desk {
    /// What stands before every path.
    fn root(&self) -> String {
        self.gateway.root()
    }

    fn today(&self) -> Date {
        (self.clock)().date()
    }

    /// Shows a screen of the opened practice, or why there is none.
    fn with_practice(&self, asked: &Asked, screen: impl FnOnce(&Opened) -> Answer) -> Answer {
        match self.house.open() {
            Ok(opened) => screen(&opened),
            Err(Closed::Empty) => Answer::See("first".to_owned()),
            Err(Closed::Mistakes(files)) => first::mistakes(self, asked, &files),
            Err(Closed::Failed(failed)) => self.plain_sorry(asked, &explained(&failed)),
        }
    }

    /// The frame of a screen of the practice.
    fn frame<'f>(&'f self, opened: &'f Opened, place: &'static str, title: String) -> Frame<'f> {
        Frame {
            desk: self,
            words: &opened.words,
            practice: Some(&opened.practice.clinic().name),
            place,
            title,
        }
    }

    /// What could not be done, on a page of the practice.
    fn sorry(&self, opened: &Opened, status: StatusCode, what: &str) -> Answer {
        let title = label(&opened.words, "desk.sorry.title");
        let frame = self.frame(opened, "", title);
        opened.pages.sorry(status, &frame, what)
    }

    /// The same where there is no practice.
    fn plain_sorry(&self, asked: &Asked, what: &str) -> Answer {
        let words = first::words_for(asked);
        let pages = Pages::new(words.clone());
        let frame = Frame {
            desk: self,
            words: &words,
            practice: None,
            place: "",
            title: label(&words, "desk.sorry.title"),
        };
        pages.sorry(StatusCode::INTERNAL_SERVER_ERROR, &frame, what)
    }
}

/// A word of the desk that needs no values; the id itself where it is missing, which a test forbids.
fn label(words: &Wording, id: &str) -> String {
    words.label(id).unwrap_or_else(|_| id.to_owned())
}

/// A word of the desk with values.
fn line(words: &Wording, id: &str, values: Value) -> String {
    let values = match values {
        Value::Object(map) => map,
        other => unreachable!("values are objects, not {other}"),
    };
    words.line(id, &values).unwrap_or_else(|_| id.to_owned())
}

/// A mistake in words for whoever fills in a form.
fn mistake_said(words: &Wording, found: &Diagnostic) -> String {
    label(words, &format!("desk.mistake.{}", found.code.as_str()))
}

/// A mistake for whoever mends a file by hand: where, in words of the desk, and what the program says of it elsewhere, in
/// English, where that names what was written and what may be meant.
fn mistake_in_file(words: &Wording, found: &Diagnostic) -> Value {
    // what is wrong with a value is said as at its field
    let of_value = (b'3'..=b'6').contains(&found.code.as_str().as_bytes()[1]);
    json!({
        "file": found.file,
        "line": found.line(),
        "what": mistake_said(words, found),
        "exactly": (!of_value).then(|| format!("{} {}", found.problem, found.remedy)),
    })
}

/// "Go ahead", "Jueves": words that stand on a paper inside a sentence, and here at the beginning of a line.
fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(chars).collect()
    })
}
