//! Turns the command line into library calls, their results into words on the terminal, and the outcome into an exit code.
//! Invariant: what is for reading or piping goes to stdout, messages to stderr; 0 fine, 1 something to settle, 2 could not run.
//! Must not: hold rules about areas, risks or pages. The only module that prints, exits, and knows clap and anyhow.

mod areas;
mod check;
mod completions;
mod day;
#[cfg(feature = "desk")]
mod desk;
mod explain;
mod facts;
mod lint;
mod make;
mod new;
mod open;
mod output;
mod own_words;
mod schema;
mod trace;
mod wording;
mod wording_command;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{CommandFactory, Parser, Subcommand, ValueEnum};
use unic_langid::LanguageIdentifier;

use crate::practice::{Approver, Copies, MakeOptions, Read, Wanted, explained};

use open::Practices;
use wording_command::WordingCommand;

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Outcome {
    Fine,
    /// Something the user must settle: a mistake in a file or a `stop` caution.
    Unsettled,
    /// Some plan could not be worked on at all.
    CouldNotRun,
}

impl Outcome {
    /// Fine, or something the user must settle.
    fn settled(settled: bool) -> Outcome {
        match settled {
            true => Outcome::Fine,
            false => Outcome::Unsettled,
        }
    }
}

#[derive(Debug, Parser)]
#[command(
    name = "beforehand",
    version,
    about = "Makes the consent form, the aftercare sheet and the clinician's check sheet for one visit.",
    long_about = "Makes the consent form, the aftercare sheet and the clinician's check sheet for one visit.\n\n\
        Write down who comes, when, and which areas are planned in a plan file, then run `beforehand make`.\n\
        The papers inform; they do not replace the conversation. The practitioner decides.",
    after_help = "Example:\n  beforehand make tomorrow.toml --out papers\n\n\
        Exit status: 0 fine; 1 something you must settle; 2 could not run.",
    arg_required_else_help = true
)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Write the papers and the calendar file for one or more plans.
    #[command(after_help = "Examples:\n  \
        beforehand make tomorrow.toml\n  \
        beforehand make plans/*.toml --out papers --clinic clinic.toml\n  \
        beforehand make tomorrow.toml --only consent,aftercare\n  \
        beforehand make tomorrow.toml --staff-copy en\n\n\
        The clinic file is clinic.toml (or clinic.json) beside the plan unless --clinic names another.")]
    Make {
        /// The plan files.
        #[arg(required = true, value_name = "PLAN")]
        plans: Vec<PathBuf>,
        /// The folder the papers go to; made if it is not there.
        #[arg(long, value_name = "DIR", default_value = ".")]
        out: PathBuf,
        /// Only these, separated by commas.
        #[arg(long, value_delimiter = ',', value_parser = wanted(), value_name = "PAPERS")]
        only: Vec<Wanted>,
        /// Also the patient's papers in this language, for the practice to read along; never for signing.
        #[arg(long, value_name = "LANGUAGE", value_parser = available)]
        staff_copy: Option<LanguageIdentifier>,
        /// The patient's papers in large print, set again at the size of the place (16 pt in the United Kingdom, 18 pt in the
        /// United States and wherever we know of no rule). The words are the same.
        #[arg(long)]
        large_print: bool,
        /// The register every paper is noted in: register.jsonl in the folder of the papers unless this names another.
        #[arg(long, value_name = "FILE")]
        register: Option<PathBuf>,
        #[command(flatten)]
        clinic: ClinicArguments,
    },
    /// Make nothing; show cautions and the page each required risk will be printed on.
    #[command(
        after_help = "Examples:\n  beforehand check tomorrow.toml\n  beforehand check tomorrow.toml --format json"
    )]
    Check {
        /// The plan files.
        #[arg(required = true, value_name = "PLAN")]
        plans: Vec<PathBuf>,
        /// For reading, or for another program.
        #[arg(long, value_enum, default_value = "text", value_name = "FORMAT")]
        format: Format,
        #[command(flatten)]
        clinic: ClinicArguments,
    },
    /// List the visits of a day, make their papers, put them into one file.
    #[command(after_help = "Examples:\n  \
        beforehand day plans --date tomorrow\n  \
        beforehand day plans --date 2026-12-03 --out papers --pack tomorrow.pdf\n  \
        beforehand day plans --date 2026-12-03 --format json\n\n\
        The pack begins with a slip that says what is in it, and what is not and why. Print it on both sides, turned on\n\
        the long edge: every paper begins on the front of a sheet. What was made before and has not changed is not made\n\
        again, so that a run that was broken off goes on where it stopped.\n\n\
        Exit status: 0 every visit of the day is ready, and its papers are made where they were wanted; 1 something you must\n\
        settle: a visit that is not ready, a mistake in a file, no visit on that day; 2 could not run.")]
    Day {
        /// The folder that holds the plans.
        #[arg(value_name = "FOLDER", default_value = ".")]
        folder: PathBuf,
        /// The day: year-month-day, `today` or `tomorrow`.
        #[arg(long, value_name = "DATE", value_parser = day::date)]
        date: jiff::civil::Date,
        /// Make the papers of the visits that are ready; they go into this folder.
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Put them into this one file to print.
        #[arg(long, value_name = "FILE", requires = "out")]
        pack: Option<PathBuf>,
        /// How often a paper is in the pack, as in consent=1; separated by commas. Usual are two of what is signed, one of the
        /// others, none of the evidence annex, and none of an information paper that was given on an earlier day.
        #[arg(long, value_delimiter = ',', value_parser = day::copies, value_name = "PAPER=NUMBER", requires = "pack")]
        copies: Vec<(crate::paper::PaperKind, usize)>,
        /// The register every paper is noted in: register.jsonl in the folder of the papers unless this names another.
        #[arg(long, value_name = "FILE")]
        register: Option<PathBuf>,
        /// So many papers are worked on at once: as many as this machine has cores unless this says otherwise.
        #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..=256))]
        workers: Option<u16>,
        /// For reading, or for another program.
        #[arg(long, value_enum, default_value = "text", value_name = "FORMAT")]
        format: Format,
        #[command(flatten)]
        clinic: ClinicArguments,
    },
    /// Open the folder as a page in the browser of this machine.
    #[cfg(feature = "desk")]
    #[command(after_help = "Examples:\n  \
        beforehand desk plans --open\n  \
        beforehand desk\n\n\
        The page is reached from this machine alone, at an address that is made anew each time. Papers go to the folder\n\
        `papers` in the folder of the plans. Ctrl-C ends it.")]
    Desk {
        /// The folder that holds the plans; in an empty one the page helps with a first start.
        #[arg(value_name = "FOLDER", default_value = ".")]
        folder: PathBuf,
        /// The clinic file, if it is not clinic.toml in the folder.
        #[arg(long, value_name = "FILE")]
        clinic: Option<PathBuf>,
        /// Open it in the browser.
        #[arg(long)]
        open: bool,
        /// The port; any that is free unless this names one.
        #[arg(
            long,
            value_name = "PORT",
            default_value_t = 0,
            hide_default_value = true
        )]
        port: u16,
        /// Takes this for today: year-month-day.
        #[arg(long, value_name = "DATE", value_parser = day::date, hide = true)]
        today: Option<jiff::civil::Date>,
    },
    /// What `day` starts to work on several plans at once.
    #[command(hide = true)]
    DayWorker {
        #[arg(long)]
        date: jiff::civil::Date,
        #[arg(long)]
        clinic: PathBuf,
        #[arg(long)]
        out: PathBuf,
        #[arg(long)]
        register: Option<PathBuf>,
        #[arg(long)]
        fonts: Option<PathBuf>,
    },
    /// List the areas, or everything known about one.
    #[command(
        after_help = "Examples:\n  beforehand areas\n  beforehand areas masseter\n  beforehand areas --clinic clinic.toml"
    )]
    Areas {
        /// One area, by the name the list shows.
        #[arg(value_name = "AREA")]
        area: Option<String>,
        /// A clinic file, to list the areas and words of its overlay too.
        #[arg(long, value_name = "FILE")]
        clinic: Option<PathBuf>,
    },
    /// List what a patient can tell you, and what each answer changes.
    #[command(after_help = "Examples:\n  beforehand facts\n  beforehand facts speaks_publicly")]
    Facts {
        /// One fact, by the name the list shows.
        #[arg(value_name = "FACT")]
        fact: Option<String>,
        /// A clinic file, to take its overlay in too.
        #[arg(long, value_name = "FILE")]
        clinic: Option<PathBuf>,
    },
    /// Show why something is in the papers of a plan, or why not.
    #[command(after_help = "Examples:\n  \
        beforehand explain tomorrow.toml\n  \
        beforehand explain tomorrow.toml masseter.risk.bruise\n  \
        beforehand explain tomorrow.toml myasthenia-gravis")]
    Explain {
        /// The plan file.
        #[arg(value_name = "PLAN")]
        plan: PathBuf,
        /// A statement or caution, by its name; without it all are listed.
        #[arg(value_name = "NAME")]
        id: Option<String>,
        #[command(flatten)]
        clinic: ClinicArguments,
    },
    /// Judge the wording, record who approved it, or show what is approved.
    #[command(
        subcommand,
        after_help = "Examples:\n  \
        beforehand wording check\n  \
        beforehand wording status --clinic clinic.toml\n  \
        beforehand wording approve --clinic clinic.toml --by \"Dr A. Example\" --registration 12345 --on 2026-12-01"
    )]
    Wording(WordingCommand),
    /// Show which words a paper was printed in, and what changed since.
    #[command(after_help = "Examples:\n  \
        beforehand trace papers/INV-1-2026-12-03-consent.pdf\n  \
        beforehand trace --code ABCD-EFGH-JKLM --register papers/register.jsonl\n\n\
        Exit status: 0 as made, and every statement reads the same today; 1 something you must settle; 2 could not run.")]
    Trace {
        /// A paper as a PDF file.
        #[arg(
            value_name = "FILE",
            required_unless_present = "code",
            conflicts_with = "code"
        )]
        file: Option<PathBuf>,
        /// The document code printed at the foot of every page.
        #[arg(long, value_name = "CODE")]
        code: Option<String>,
        /// The register: register.jsonl beside FILE, or with --code in this folder, unless this names another.
        #[arg(long, value_name = "FILE")]
        register: Option<PathBuf>,
        /// The clinic file, for a paper made with an overlay: its words of today are compared.
        #[arg(long, value_name = "FILE")]
        clinic: Option<PathBuf>,
        /// For reading, or for another program.
        #[arg(long, value_enum, default_value = "text", value_name = "FORMAT")]
        format: Format,
    },
    /// Write a plan to fill in.
    #[command(after_help = "Examples:\n  \
        beforehand new --area masseter --out tomorrow.toml\n  \
        beforehand new --area glabella --area forehead > tomorrow.toml")]
    New {
        /// An area to start with; give it again for more.
        #[arg(long = "area", value_name = "AREA")]
        areas: Vec<String>,
        /// The file to write; it must not be there yet. Without it the plan is printed.
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// Print a JSON Schema of the plan or the clinic file, for editors and other programs.
    #[command(after_help = "Examples:\n  \
        beforehand schema plan > plan.schema.json\n  \
        beforehand schema plan --clinic clinic.toml > plan.schema.json\n\n\
        An editor finds it by a first line `#:schema ./plan.schema.json` in a TOML file, or by an entry\n\
        \"$schema\": \"./plan.schema.json\" in a JSON file. With a clinic file it also lists the clinic's own areas,\n\
        practitioners and stock.")]
    Schema {
        /// Which file.
        #[arg(value_enum, value_name = "FILE")]
        file: schema::File,
        /// A clinic file, to list what that clinic has too.
        #[arg(long, value_name = "FILE")]
        clinic: Option<PathBuf>,
    },
    /// Print a script with which a shell completes commands and options.
    #[command(
        after_help = "Example:\n  beforehand completions bash > ~/.local/share/bash-completion/completions/beforehand"
    )]
    Completions {
        /// The shell.
        #[arg(value_enum, value_name = "SHELL")]
        shell: clap_complete::Shell,
    },
}

#[derive(Debug, clap::Args)]
struct ClinicArguments {
    /// The clinic file, if it is not clinic.toml beside the plan.
    #[arg(long, value_name = "FILE")]
    clinic: Option<PathBuf>,
    /// A folder with fonts for scripts that the built-in fonts lack.
    #[arg(long, value_name = "DIR")]
    fonts: Option<PathBuf>,
}

impl ClinicArguments {
    fn practices(&self) -> Practices {
        Practices::new(self.clinic.as_deref(), self.fonts.as_deref())
    }
}

/// What `--only` can ask for.
fn wanted() -> impl TypedValueParser<Value = Wanted> {
    PossibleValuesParser::new(Wanted::all().map(Wanted::as_str)).map(|name| {
        Wanted::all()
            .find(|wanted| wanted.as_str() == name)
            .expect("only these names are possible")
    })
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    Text,
    Json,
}

/// A language tag from the command line that some wording serves.
fn available(tag: &str) -> Result<LanguageIdentifier, String> {
    let known: Vec<&str> = crate::wording::library::tags().collect();
    match tag.parse::<LanguageIdentifier>() {
        Ok(language) if crate::wording::serves(&language).is_some() => Ok(language),
        Ok(_) => Err(format!(
            "there is no wording in this language; available: {}",
            known.join(", ")
        )),
        Err(_) => Err(format!(
            "this is not a language tag; available: {}",
            known.join(", ")
        )),
    }
}

/// The definition of the command line, for the manual page.
pub fn command() -> clap::Command {
    Arguments::command()
}

/// Runs the program on the command line of this process.
pub fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            let code = if error.use_stderr() { 2 } else { 0 };
            // nothing better can be done when even the help cannot be printed
            let _ = error.print();
            return ExitCode::from(code);
        }
    };
    let result = match arguments.command {
        Command::Make {
            plans,
            out,
            only,
            staff_copy,
            large_print,
            register,
            clinic,
        } => make::run(
            &make::Request {
                plans: &plans,
                out: &out,
                only: &only,
                options: MakeOptions {
                    large_print,
                    staff_copy,
                    ..MakeOptions::default()
                },
                register: register.as_deref(),
            },
            clinic.practices(),
        ),
        Command::Check {
            plans,
            format,
            clinic,
        } => check::run(&plans, format == Format::Json, clinic.practices()),
        Command::Day {
            folder,
            date,
            out,
            pack,
            copies,
            register,
            workers,
            format,
            clinic,
        } => {
            let mut wanted = Copies::default();
            for (kind, number) in copies {
                wanted.set(kind, number);
            }
            day::run(&day::Request {
                folder: &folder,
                date,
                out: out.as_deref(),
                pack: pack.as_deref(),
                copies: wanted,
                register: register.as_deref(),
                clinic: clinic.clinic.as_deref(),
                fonts: clinic.fonts.as_deref(),
                workers: workers.map(usize::from),
                json: format == Format::Json,
            })
        }
        #[cfg(feature = "desk")]
        Command::Desk {
            folder,
            clinic,
            open,
            port,
            today,
        } => desk::run(&folder, clinic.as_deref(), open, port, today),
        Command::DayWorker {
            date,
            clinic,
            out,
            register,
            fonts,
        } => day::worker(date, &clinic, &out, register.as_deref(), fonts.as_deref()),
        Command::Areas { area, clinic } => areas::run(area.as_deref(), clinic.as_deref()),
        Command::Facts { fact, clinic } => facts::run(fact.as_deref(), clinic.as_deref()),
        Command::Explain { plan, id, clinic } => {
            explain::run(&plan, id.as_deref(), clinic.practices())
        }
        Command::Wording(WordingCommand::Check {
            language,
            all,
            format,
        }) => lint::wording(&language, format == Format::Json, all),
        Command::Wording(WordingCommand::Status {
            clinic,
            language,
            all,
        }) => wording::status(&clinic, language.as_ref(), all),
        Command::Wording(WordingCommand::Approve {
            clinic,
            language,
            by,
            registration,
            on,
            book,
            statements,
        }) => wording::approve(
            &clinic,
            language.as_ref(),
            &Approver {
                by,
                registration,
                on,
            },
            &match book {
                Some(code) => Read::Book(code),
                None if statements.is_empty() => Read::All,
                None => Read::Statements(statements),
            },
        ),
        Command::Wording(WordingCommand::Book {
            clinic,
            language,
            out,
            fonts,
        }) => wording::book(&clinic, fonts.as_deref(), language.as_ref(), &out),
        Command::Wording(WordingCommand::Export { out, language }) => {
            own_words::export(&out, &language)
        }
        Command::Wording(WordingCommand::Diff { clinic }) => own_words::diff(&clinic),
        Command::Trace {
            file,
            code,
            register,
            clinic,
            format,
        } => trace::run(
            file.as_deref(),
            code.as_deref(),
            register.as_deref(),
            clinic.as_deref(),
            format == Format::Json,
        ),
        Command::New { areas, out } => new::run(&areas, out.as_deref()),
        Command::Schema { file, clinic } => schema::run(file, clinic.as_deref()),
        Command::Completions { shell } => completions::run(shell),
    };
    match result {
        Ok(Outcome::Fine) => ExitCode::SUCCESS,
        Ok(Outcome::Unsettled) => ExitCode::from(1),
        Ok(Outcome::CouldNotRun) => ExitCode::from(2),
        Err(error) => {
            anstream::eprintln!("could not run: {}", explained(error.as_ref()));
            ExitCode::from(2)
        }
    }
}
