//! Turns what stands behind `wording` on the command line into one of its commands.
//! Invariant: each says in its help what it does, with an example and its exit statuses.
//! Must not: run one.

use std::path::PathBuf;

use clap::Subcommand;
use unic_langid::LanguageIdentifier;

use super::{Format, available};
use crate::record::DocumentCode;

#[derive(Debug, Subcommand)]
pub enum WordingCommand {
    /// Judge our own sentences: readability, sentence lengths, frequency words, passives, terms.
    #[command(after_help = "Examples:\n  \
        beforehand wording check\n  \
        beforehand wording check --language en-US --all\n\n\
        Exit status: 0 every check is met; 1 some are not; 2 could not run.")]
    Check {
        /// Language of the wording, with a country if it matters: en, en-GB.
        #[arg(long, value_name = "TAG", default_value = "en")]
        language: String,
        /// Show every statement.
        #[arg(long)]
        all: bool,
        /// For reading, or for another program.
        #[arg(long, value_enum, default_value = "text", value_name = "FORMAT")]
        format: Format,
    },
    /// Show which statements are approved, changed since, or never approved.
    #[command(after_help = "Example:\n  beforehand wording status --clinic clinic.toml")]
    Status {
        /// The clinic file; its language and region decide which wording.
        #[arg(long, value_name = "FILE", default_value = "clinic.toml")]
        clinic: PathBuf,
        /// Another language than the clinic's own, for patients who read it.
        #[arg(long, value_name = "LANGUAGE", value_parser = available)]
        language: Option<LanguageIdentifier>,
        /// List every statement that was never approved.
        #[arg(long)]
        all: bool,
    },
    /// Make a book of every statement, for whoever approves them: words, use, source, what has changed, a place to sign.
    #[command(
        after_help = "Examples:\n  beforehand wording book --clinic clinic.toml\n  beforehand wording book --language es --out papers\n\n\
        It is written twice: as a PDF to print and sign, and as one HTML page to read on a screen, with the same code. \
        The page loads nothing.\n\n\
        Exit status: 0 written; 1 a mistake in the clinic's files; 2 could not run."
    )]
    Book {
        /// The clinic file; its language and region decide which wording.
        #[arg(long, value_name = "FILE", default_value = "clinic.toml")]
        clinic: PathBuf,
        /// Another language than the clinic's own, for patients who read it.
        #[arg(long, value_name = "LANGUAGE", value_parser = available)]
        language: Option<LanguageIdentifier>,
        /// The folder the book goes to; made if it is not there.
        #[arg(long, value_name = "DIR", default_value = ".")]
        out: PathBuf,
        /// A folder with fonts for scripts that the built-in fonts lack.
        #[arg(long, value_name = "DIR")]
        fonts: Option<PathBuf>,
    },
    /// Record that a qualified person has read statements and approves them.
    #[command(after_help = "Examples:\n  \
        beforehand wording approve --by \"Dr A. Example\" --registration 12345 --on 2026-12-01 --book ABCD-EFGH-JKLM\n  \
        beforehand wording approve --by \"Dr A. Example\" --registration 12345 --on 2026-12-01\n  \
        beforehand wording approve --by \"Dr A. Example\" --registration 12345 --on 2026-12-01 masseter.risk.bruise\n\n\
        Exit status: 0 recorded; 1 something to settle: no such statement, or the words are not those of the book; \
        2 could not run.")]
    Approve {
        /// The clinic file; its language and region decide which wording.
        #[arg(long, value_name = "FILE", default_value = "clinic.toml")]
        clinic: PathBuf,
        /// Another language than the clinic's own, for patients who read it.
        #[arg(long, value_name = "LANGUAGE", value_parser = available)]
        language: Option<LanguageIdentifier>,
        /// Name of the person who read the words.
        #[arg(long, value_name = "NAME")]
        by: String,
        /// That person's number at the professional register.
        #[arg(long, value_name = "NUMBER")]
        registration: String,
        /// The day of approval: year-month-day.
        #[arg(long, value_name = "DATE")]
        on: jiff::civil::Date,
        /// The document code of the book that was read: all its statements, if the words are still those of the book.
        #[arg(long, value_name = "CODE", value_parser = DocumentCode::read, conflicts_with = "statements")]
        book: Option<DocumentCode>,
        /// Only these statements; without any, and without a book, all of them.
        #[arg(value_name = "STATEMENT")]
        statements: Vec<String>,
    },
    /// Write the wording as files that a clinic can change and put into its overlay.
    #[command(
        after_help = "Example:\n  beforehand wording export --out ours/wording\n\n\
        Exit status: 0 written; 1 no such language, or a file is already there; 2 could not run."
    )]
    Export {
        /// The folder the files go to: one folder for each language and country in it.
        #[arg(long, value_name = "DIR")]
        out: PathBuf,
        /// The language.
        #[arg(long, value_name = "LANGUAGE", default_value = "en")]
        language: String,
    },
    /// Show what a clinic's overlay says in other words than this release.
    #[command(
        after_help = "Example:\n  beforehand wording diff --clinic clinic.toml\n\n\
        Exit status: 0 every change rests on the release's words of today; 1 something to settle: the release has changed \
        words since they were copied, a statement is gone, or a file has a mistake; 2 could not run."
    )]
    Diff {
        /// The clinic file.
        #[arg(long, value_name = "FILE", default_value = "clinic.toml")]
        clinic: PathBuf,
    },
}
