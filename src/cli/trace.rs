//! Turns what is known of a paper into words on the terminal.
//! Invariant: text that comes from a file is shown with its control characters escaped.
//! Must not: work anything out.

use std::fmt::Write as _;
use std::path::Path;

use super::Outcome;
use super::open::clinic_files;
use super::output::{Output, shown};
use crate::plan::Branding;
use crate::practice::{Bytes, Today, Trace};
use crate::record::Record;

pub fn run(
    file: Option<&Path>,
    code: Option<&str>,
    register: Option<&Path>,
    clinic: Option<&Path>,
    json: bool,
) -> anyhow::Result<Outcome> {
    let own = match clinic {
        None => Branding::default(),
        Some(path) => match clinic_files(path)? {
            Some(files) => files.overlay.branding,
            None => return Ok(Outcome::Unsettled),
        },
    };
    let trace = match (file, code) {
        (Some(file), _) => Trace::of_file(file, register, &own)?,
        (None, Some(code)) => Trace::of_code(code, register, &own)?,
        (None, None) => unreachable!("clap asks for one of the two"),
    };
    if json {
        Output::default().json(&trace)?;
    } else {
        Output::default().say(&text_of(&trace)?)?;
    }
    Ok(Outcome::settled(trace.is_settled()))
}

/// Text from a file, for people: control characters are shown as escapes.
fn plain(text: &str) -> String {
    shown(Path::new(text))
}

/// Several lines, set in under a label.
fn block(text: &str) -> String {
    let lines: Vec<String> = text.lines().map(plain).collect();
    lines.join("\n          ")
}

/// What is known of a paper, for reading.
fn text_of(trace: &Trace) -> Result<String, std::fmt::Error> {
    let mut out = String::new();
    if let Some(problem) = &trace.problem {
        writeln!(out, "{}: {}.", trace.asked, plain(problem))?;
    } else {
        writeln!(out, "{}", trace.asked)?;
    }
    if let Some(record) = &trace.record {
        printed(trace, record, &mut out)?;
    }
    let bytes = match trace.bytes {
        Bytes::AsMade => "as made",
        Bytes::Changed => "CHANGED since it was made: the register has this paper with other bytes",
        Bytes::OtherOfThisName => {
            "NOT as made here: the register has a paper of this name, but with another code"
        }
        Bytes::NotInRegister => "no register entry: cannot tell whether it is as made",
        Bytes::NoRegister => "no register: cannot tell whether it is as made (--register FILE)",
        Bytes::NoFile => "",
    };
    if trace.record.is_some() && !bytes.is_empty() {
        writeln!(out, "  bytes          {bytes}")?;
    }
    for line in &trace.register {
        let file = plain(&line.file);
        writeln!(out, "  in register    line {}: {file}", line.line)?;
    }
    for line in &trace.unreadable_lines {
        writeln!(out, "  in register    line {line} cannot be read")?;
    }
    if let (Some(record), Some(today)) = (&trace.record, &trace.today) {
        text_of_today(today, record, &mut out)?;
    }
    Ok(out)
}

fn printed(trace: &Trace, record: &Record, out: &mut String) -> std::fmt::Result {
    if let Some(code) = &trace.code {
        writeln!(out, "  document code  {code}")?;
    }
    let wording = &record.wording;
    for (label, value) in [
        ("paper", record.paper.clone()),
        ("made on", format!("{} (as given)", record.made_on)),
        ("made by", format!("beforehand {}", record.program)),
        (
            "wording",
            format!("{} ({})", wording.version, wording.language),
        ),
        ("region", record.region.clone()),
    ] {
        writeln!(out, "  {label:<13}  {}", plain(&value))?;
    }
    if let Some(overlay) = &record.overlay {
        writeln!(out, "  overlay        {} (digest)", plain(overlay))?;
    }
    match &record.approvals {
        Some(approvals) => {
            for approval in approvals {
                writeln!(out, "  approved       {}", plain(approval))?;
            }
        }
        None if record.statements.is_empty() => {}
        None => writeln!(out, "  approved       by nobody")?,
    }
    Ok(())
}

fn text_of_today(today: &Today, record: &Record, out: &mut String) -> std::fmt::Result {
    if !today.comparable {
        return writeln!(
            out,
            "  today          no wording {}: cannot compare",
            plain(&record.wording.language)
        );
    }
    let count = record.statements.len();
    let changed = today.changed.len();
    if count == 0 {
        writeln!(
            out,
            "  today          this paper has no required statements to compare (wording {})",
            today.wording
        )?;
    } else if changed == 0 {
        writeln!(
            out,
            "  today          all {count} required statements read the same (wording {})",
            today.wording
        )?;
    } else {
        writeln!(
            out,
            "  today          {changed} of {count} required statements and their terms read differently (wording {})",
            today.wording
        )?;
    }
    if today.other_words_changed {
        writeln!(
            out,
            "  note           other words of this language have changed: headings, labels or sentences of other papers"
        )?;
    }
    if today.catalogue_changed {
        writeln!(
            out,
            "  note           the catalogue has changed: numbers and dates that sentences are filled with may differ"
        )?;
    }
    if today.overlay_differs && record.overlay.is_some() {
        writeln!(
            out,
            "  note           this paper was made with a clinic's overlay, and not with the words it is compared with; --clinic FILE compares with that clinic's words of today"
        )?;
    } else if today.overlay_differs {
        writeln!(
            out,
            "  note           this paper was made without an overlay; it is compared with the words of one"
        )?;
    }
    for change in &today.changed {
        let then = match &change.then {
            Some(words) => block(words),
            None => format!(
                "(the register does not have these words; digest {})",
                plain(&change.digest)
            ),
        };
        let now = match &change.now {
            Some(words) => block(words),
            None => "(no such statement today)".to_owned(),
        };
        writeln!(out, "\n  {}", plain(&change.id))?;
        writeln!(out, "    then  {then}\n    now   {now}")?;
    }
    Ok(())
}
