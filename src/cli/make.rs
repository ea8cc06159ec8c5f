//! Turns plans into PDF files, a calendar file and a short report: what was written, and what the practitioner must look at.
//! Invariant: under a `stop` nothing for the patient is written; one plan's trouble does not hold up the others; files of
//! two plans never share a name.
//! Must not: write a paper that the register does not have, overwrite with a half, or put a patient's name into a file name.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use anyhow::Context;
use unic_langid::LanguageIdentifier;

use super::output::{Output, shown};
use super::read::{Read, Reading, read};
use super::{Outcome, PaperName, write};
use crate::papers::{self, Made, Papers, Print};
use crate::record::{Entry, register};
use crate::select::Paper;
use crate::wording::library;

/// What to make of the plans, and where it goes.
pub struct Wish<'w> {
    pub out: &'w Path,
    /// Empty: all.
    pub only: &'w [PaperName],
    /// The patient's papers in large print.
    pub large_print: bool,
    /// Also reading copies in this language.
    pub staff_copy: Option<&'w LanguageIdentifier>,
    /// The register, when it is not in the folder of the papers.
    pub register: Option<&'w Path>,
}

pub fn run(
    plans: &[PathBuf],
    wish: &Wish<'_>,
    clinic: Option<&Path>,
    fonts: Option<&Path>,
) -> anyhow::Result<Outcome> {
    let beside = wish.out.join(register::FILE_NAME);
    let register = wish.register.unwrap_or(&beside);
    let mut output = Output::default();
    let mut worst = Outcome::Fine;
    // file stem to the plan it was written for
    let mut taken: BTreeMap<String, String> = BTreeMap::new();
    for plan in plans {
        let made = match read(plan, clinic, fonts) {
            Ok(Reading::Mistakes(mistakes)) => {
                let count = mistakes.len();
                let noun = if count == 1 { "mistake" } else { "mistakes" };
                anstream::eprintln!(
                    "{}: {count} {noun}; nothing was written for this plan",
                    shown(plan)
                );
                Ok((Outcome::Unsettled, String::new()))
            }
            Ok(Reading::Fine(read)) => one(&read, plan, wish, register, &mut taken),
            Err(error) => Err(error),
        };
        let outcome = match made {
            Ok((outcome, report)) => {
                // the files are there whether or not anybody reads about them
                output.say(&report)?;
                outcome
            }
            Err(error) => {
                anstream::eprintln!("could not run: {}: {error:#}", shown(plan));
                Outcome::CouldNotRun
            }
        };
        worst = worst.max(outcome);
    }
    Ok(worst)
}

fn one(
    read: &Read,
    plan: &Path,
    wish: &Wish<'_>,
    register: &Path,
    taken: &mut BTreeMap<String, String>,
) -> anyhow::Result<(Outcome, String)> {
    let print = match wish.large_print {
        true => Print::Large,
        false => Print::Ordinary,
    };
    let wording =
        papers::wording_for(&read.visit, &read.clinic).context("the papers could not be worded")?;
    let mut papers = papers::make_in(
        &read.catalogue,
        &read.clinic,
        &read.visit,
        wording,
        &read.approvals,
        &read.typesetter,
        print,
    )
    .context("the papers could not be made")?;
    let same_language = match wish.staff_copy {
        Some(language) => !papers
            .add_reading_copies(language, &read.approvals, &read.typesetter)
            .context("the reading copies could not be made")?,
        None => false,
    };
    let stem = file_stem(&papers, "consent");
    if let Some(other) = taken.get(&stem) {
        anstream::eprintln!(
            "{}: the same record number and date as {other}; nothing was written for this plan. Put one visit into one plan.",
            shown(plan)
        );
        return Ok((Outcome::Unsettled, String::new()));
    }
    taken.insert(stem.clone(), shown(plan));

    let stopped = papers.is_stopped();
    let out = wish.out;
    let files = files(&papers, out, wish.only)?;
    let entries: Vec<Entry> = files.iter().filter_map(|file| file.entry.clone()).collect();
    // everything is finished in memory before the first file is written; a paper that is not in the register is not written
    write::replace_all_noted(
        files
            .iter()
            .map(|file| (file.path.as_path(), file.bytes.as_slice())),
        || {
            register::append(register, &entries).with_context(|| {
                format!(
                    "cannot use the register {} (--register FILE names another)",
                    shown(register)
                )
            })
        },
    )?;

    let mut report = String::new();
    let heading = if stopped {
        ": stopped. No papers for the patient were written."
    } else {
        ":"
    };
    writeln!(report, "{}{heading}", shown(plan))?;
    for file in &files {
        writeln!(report, "  wrote {} ({})", shown(&file.path), file.what)?;
    }
    if same_language {
        writeln!(
            report,
            "  no reading copy: the patient's own papers are in this language ({})",
            papers.wording.tag()
        )?;
    }
    if stopped {
        let mut earlier = vec![
            ("consent".to_owned(), "pdf"),
            ("aftercare".to_owned(), "pdf"),
            ("consent-large-print".to_owned(), "pdf"),
            ("aftercare-large-print".to_owned(), "pdf"),
            ("calendar".to_owned(), "ics"),
        ];
        for language in library::tags() {
            for paper in ["consent", "aftercare"] {
                earlier.push((format!("{paper}-staff-{language}"), "pdf"));
            }
        }
        for (paper, ending) in &earlier {
            let earlier = out.join(format!("{}.{ending}", file_stem(&papers, paper)));
            if earlier.exists() {
                writeln!(
                    report,
                    "  an earlier file is still there, do not use it: {}",
                    shown(&earlier)
                )?;
            }
        }
    }
    for made in papers.made.iter().chain(&papers.reading_copies) {
        for lack in &made.lacks {
            writeln!(report, "  stop  {}: {lack}", name(made))?;
        }
    }
    let cautions = papers.cautions().context("a caution could not be worded")?;
    if !cautions.is_empty() {
        writeln!(report, "  for the practitioner to look at:")?;
        for caution in &cautions {
            writeln!(report, "    {:<4}  {}", caution.level, caution.text)?;
        }
    }
    Ok((
        if stopped {
            Outcome::Unsettled
        } else {
            Outcome::Fine
        },
        report,
    ))
}

/// A finished file that is not yet written.
struct Finished {
    path: PathBuf,
    bytes: Vec<u8>,
    what: String,
    /// Its line in the register; a calendar has none.
    entry: Option<Entry>,
}

fn files(papers: &Papers<'_>, out: &Path, only: &[PaperName]) -> anyhow::Result<Vec<Finished>> {
    let wanted = |name: PaperName| only.is_empty() || only.contains(&name);
    let mut files = Vec::new();
    for made in papers.writable().filter(|made| wanted(made.paper.into())) {
        let what = name(made);
        let bytes = made
            .pages
            .pdf()
            .with_context(|| format!("the {what} could not be written as PDF"))?;
        let pages = made.pages.count();
        let noun = if pages == 1 { "page" } else { "pages" };
        let paper = match is_copy(made) {
            true => format!("{}-{}", made.document.paper, made.wording.base()),
            false => match is_large(papers, made) {
                true => format!("{}-large-print", made.document.paper),
                false => made.document.paper.to_owned(),
            },
        };
        let file = format!("{}.pdf", file_stem(papers, &paper));
        files.push(Finished {
            path: out.join(&file),
            entry: Some(Entry::of(&made.record, &made.wording, file, &bytes)),
            bytes,
            what: match is_large(papers, made) {
                true => format!(
                    "{what} in large print ({} pt), {pages} {noun}",
                    made.document.type_size
                ),
                false => format!("{what}, {pages} {noun}"),
            },
        });
    }
    if wanted(PaperName::Calendar) {
        let calendar = papers
            .calendar()
            .context("the calendar could not be worded")?;
        files.extend(calendar.map(|calendar| Finished {
            path: out.join(format!("{}.ics", file_stem(papers, "calendar"))),
            bytes: calendar.into_bytes(),
            what: "calendar".to_owned(),
            entry: None,
        }));
    }
    Ok(files)
}

/// Whether this is a copy for staff to read along.
fn is_copy(made: &Made) -> bool {
    made.document.paper != made.paper.as_str()
}

fn is_large(papers: &Papers<'_>, made: &Made) -> bool {
    papers.print == Print::Large && made.paper != Paper::Clinician && !is_copy(made)
}

fn name(made: &Made) -> &'static str {
    match (made.paper, is_copy(made)) {
        (Paper::Consent, false) => "consent form",
        (Paper::Consent, true) => "consent form, reading copy for staff",
        (Paper::Aftercare, false) => "aftercare sheet",
        (Paper::Aftercare, true) => "aftercare sheet, reading copy for staff",
        (Paper::Clinician, _) => "clinician's check sheet",
    }
}

/// The name of one file, without its ending: record number, date and paper, or the clinic's own pattern; the patient's name
/// only where that pattern asks for it. Letters, digits and hyphens are kept; anything else becomes its code between
/// underscores, so that no two record numbers give the same name.
fn file_stem(papers: &Papers<'_>, paper: &str) -> String {
    let visit = papers.selection.visit;
    let pattern = papers
        .selection
        .clinic
        .file_names
        .as_deref()
        .unwrap_or("{record}-{date}-{paper}");
    pattern
        .replace("{date}", &visit.date.to_string())
        .replace("{paper}", paper)
        .replace("{record}", &plain(&visit.patient.record))
        .replace("{name}", &plain(&visit.patient.name))
}

fn plain(text: &str) -> String {
    let mut plain = String::new();
    for c in text.chars() {
        if c.is_alphanumeric() || c == '-' {
            plain.push(c);
        } else {
            plain.push_str(&format!("_{:x}_", u32::from(c)));
        }
    }
    plain
}
