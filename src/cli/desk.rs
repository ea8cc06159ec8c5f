//! Turns the command line into an opened desk: says its address, opens the browser, gives it the clock and this program's workers.
//! Invariant: the address goes to stdout, alone on its line, and the secret in it nowhere else.
//! Must not: know what the desk shows.

use std::ffi::OsString;
use std::path::Path;
use std::sync::Arc;

use jiff::civil::Date;

use super::Outcome;
use super::output::Output;
use crate::desk::{self, Options, WorkersFor};
use crate::practice::{WorkerProgram, explained};

pub fn run(
    folder: &Path,
    clinic: Option<&Path>,
    open: bool,
    port: u16,
    today: Option<Date>,
) -> anyhow::Result<Outcome> {
    let program = std::env::current_exe()?;
    let workers = move |work: WorkersFor<'_>| {
        let date = work.date.to_string();
        let arguments = [
            ("--date", date.as_ref()),
            ("--clinic", work.clinic.as_os_str()),
            ("--out", work.out.as_os_str()),
        ];
        let arguments =
            arguments
                .into_iter()
                .flat_map(|(name, value): (&str, &std::ffi::OsStr)| {
                    [OsString::from(name), value.to_owned()]
                });
        WorkerProgram {
            program: program.clone(),
            arguments: std::iter::once("day-worker".into())
                .chain(arguments)
                .collect(),
        }
    };
    let clock = move || {
        let now = jiff::ZonedDateTime::now().datetime();
        match today {
            Some(today) => today.to_datetime(now.time()),
            None => now,
        }
    };
    let options = Options {
        folder,
        clinic,
        port,
        clock: Arc::new(clock),
        workers: Box::new(workers),
        worker_count: std::thread::available_parallelism().map_or(1, usize::from),
    };
    // held until the end: the file that opened the browser goes with it
    let mut doorway = None;
    desk::serve(options, |address| {
        // a closed stdout does not end the desk
        let _ = Output::default().say(&format!("{address}\n"));
        anstream::eprintln!(
            "The desk is open at this address, on this machine alone. Ctrl-C ends it."
        );
        if open {
            match desk::open_in_browser(address) {
                Ok(opened) => doorway = Some(opened),
                Err(failed) => {
                    anstream::eprintln!("{}. Open the address yourself.", explained(&failed))
                }
            }
        }
    })?;
    Ok(Outcome::Fine)
}
