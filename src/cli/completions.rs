//! Turns the command line into a script with which a shell completes it, on stdout.
//! Invariant: it is made from the same definition that is parsed.
//! Must not: write into a shell's own files; the user decides where the script goes.

use clap::CommandFactory;
use clap_complete::Shell;

use super::output::Output;
use super::{Arguments, Outcome};

pub fn run(shell: Shell) -> anyhow::Result<Outcome> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "beforehand", &mut script);
    let script = String::from_utf8(script).expect("the command line is defined in UTF-8");
    Output::default().say(&script)?;
    Ok(Outcome::Fine)
}
