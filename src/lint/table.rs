//! Turns the registry and the verdicts on the samples into the page of checks, `samples/checks.md`.
//! Invariant: every check of the registry has a row; a score stands beside the items it leaves out.
//! Must not: judge, or read files.

use std::fmt::Write as _;

use super::registry::{How, check, checks};
use super::{Judged, LEFT_OUT_NOTE, Scale, TextReport, Verdict, scores};
use crate::paper::PaperKind;

/// The verdicts on one paper of one sample.
pub struct Sample {
    /// "linden-court/news-reader.toml".
    pub name: String,
    pub paper: PaperKind,
    pub judged: Vec<Judged>,
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace('\n', " ")
}

fn verdict(number: &str, how: &[How], samples: &[Sample], texts: &[TextReport]) -> String {
    let mut said = Vec::new();
    for report in texts {
        if let Some(check) = report.checks.iter().find(|check| check.number == number) {
            said.push(format!(
                "words {}: {}",
                report.language,
                check.verdict.as_str()
            ));
        }
    }
    let count = |wanted: Verdict| {
        let all = samples.iter().flat_map(|sample| &sample.judged);
        all.filter(|judged| judged.number == number && judged.verdict == wanted)
            .count()
    };
    let (met, not, person) = (
        count(Verdict::Met),
        count(Verdict::NotMet),
        count(Verdict::NeedsPerson),
    );
    if how.contains(&How::Paper) {
        let mut papers = Vec::new();
        for (count, what) in [
            (met, "met"),
            (person, "program's part met"),
            (not, "not met"),
            (count(Verdict::NotJudged), "not judged"),
            (count(Verdict::NotApplicable), "does not arise"),
        ] {
            if count > 0 {
                papers.push(format!("{what} {count}"));
            }
        }
        said.push(format!("papers: {}", papers.join(", ")));
    }
    if how.contains(&How::Gate) {
        said.push("held for every paper".to_owned());
    }
    if how.contains(&How::Elsewhere) {
        said.push("held by a test".to_owned());
    }
    if said.is_empty() {
        said.push(
            how.iter()
                .map(|how| how.as_str())
                .collect::<Vec<_>>()
                .join(", "),
        );
    }
    said.join("; ")
}

/// The whole page: the registry with a verdict on each check, then every figure of every sample.
pub fn page(samples: &[Sample], texts: &[TextReport]) -> String {
    let mut out = String::from(
        "# Document checks: every figure\n\nGenerated from `src/lint/registry.toml` and the samples by \
         `BEFOREHAND_CHECKS=write cargo test --test pages the_page_of_checks`. Do not edit.\n\nWhat the gate holds decides whether a paper \
         is written. Everything else is a note for whoever writes the words. A verdict by a program is not a certificate. \
         Limits marked \"ours\" were chosen by us and published by nobody.\n\n## The checks\n\n\
         | number | name | papers | asks | judged by | verdict | sources | status | ours | how the gate holds it | not by a program because |\n\
         |---|---|---|---|---|---|---|---|---|---|---|\n",
    );
    for check in checks() {
        let how: Vec<&str> = check.judged.iter().map(|how| how.as_str()).collect();
        let held = check
            .test
            .as_ref()
            .map_or(String::new(), |test| format!(" (`{test}`)"));
        let _ = writeln!(
            out,
            "| {} | {} | {} | {} | {}{held} | {} | {} | {} | {} | {} | {} |",
            check.number,
            check.id,
            check.scope.as_str(),
            cell(&check.says),
            how.join(", "),
            verdict(&check.number, &check.judged, samples, texts),
            check.sources.join(", "),
            check.status.as_str(),
            cell(check.ours.as_deref().unwrap_or("")),
            cell(check.gate.as_deref().unwrap_or("")),
            cell(check.why.as_deref().unwrap_or("")),
        );
    }
    out.push_str(
        "\n## Met by no sample\n\nWhere a limit collides with a sentence that reads well, the sentence stays, and the limit stands here.\n\n\
         | number | name | paper | samples |\n|---|---|---|---|\n",
    );
    for (number, paper, count) in met_by_none(samples) {
        let id = check(number).map_or("", |check| check.id.as_str());
        let _ = writeln!(out, "| {number} | {id} | {} | {count} |", paper.noun());
    }
    out.push_str(
        "\n## What was taken out\n\nA check that no paper can meet steers nobody. These parts were taken out of the checks above.\n\n\
         | number | what, and why |\n|---|---|\n",
    );
    for check in checks() {
        if let Some(why) = &check.taken_out {
            let _ = writeln!(out, "| {} | {} |", check.number, cell(why));
        }
    }
    for report in texts {
        let _ = writeln!(out, "\n## Our words, {}\n", report.language);
        out.push_str("| section | words | mean sentence | longest | passive in 100 | readability |\n|---|---|---|---|---|---|\n");
        for s in &report.sections {
            let _ = writeln!(
                out,
                "| {} | {} | {:.1} | {} | {:.0} | {} |",
                s.section,
                s.words,
                s.mean_sentence,
                s.longest_sentence,
                s.passive_share,
                s.readability
            );
        }
        out.push_str("\n| check | verdict | figure | where |\n|---|---|---|---|\n");
        for check in &report.checks {
            let _ = writeln!(
                out,
                "| {} | {} | {} | {} |",
                check.number,
                check.verdict.as_str(),
                cell(&check.figure),
                places(&check.places)
            );
        }
    }
    for sample in samples {
        let _ = writeln!(out, "\n## {}, {}\n", sample.name, sample.paper);
        for score in scores(&sample.judged) {
            let scale = match score.scale {
                Scale::Understandability => "understandability",
                Scale::Actionability => "actionability",
            };
            let _ = writeln!(
                out,
                "- {scale} {:.0} in 100 ({} of {} items; {LEFT_OUT_NOTE}; left out: {})",
                score.percent,
                score.met,
                score.of,
                score.left_out.join(", ")
            );
        }
        out.push_str("\n| check | verdict | figure | where |\n|---|---|---|---|\n");
        for judged in &sample.judged {
            let _ = writeln!(
                out,
                "| {} {} | {} | {} | {} |",
                judged.number,
                judged.id,
                judged.verdict.as_str(),
                cell(&judged.figure),
                places(&judged.places)
            );
        }
    }
    out
}

/// Checks that some samples of a paper miss and none meets, with how many miss them.
pub fn met_by_none(samples: &[Sample]) -> Vec<(&'static str, PaperKind, usize)> {
    let mut found = Vec::new();
    for check in checks() {
        for paper in PaperKind::ALL {
            let of_kind = samples.iter().filter(|sample| sample.paper == paper);
            let verdicts: Vec<Verdict> = of_kind
                .flat_map(|sample| &sample.judged)
                .filter(|judged| judged.number == check.number)
                .map(|judged| judged.verdict)
                .collect();
            let missed = verdicts.iter().filter(|v| **v == Verdict::NotMet).count();
            let met = |verdict: &Verdict| matches!(verdict, Verdict::Met | Verdict::NeedsPerson);
            if missed > 0 && !verdicts.iter().any(met) {
                found.push((check.number.as_str(), paper, missed));
            }
        }
    }
    found
}

/// At most five places in a line.
fn places(all: &[super::Place]) -> String {
    let mut said: Vec<String> = all
        .iter()
        .take(5)
        .map(|place| {
            let page = place
                .page
                .map_or(String::new(), |page| format!(" (page {page})"));
            format!("{}{page}: {}", cell(&place.at), cell(&place.found))
        })
        .collect();
    if all.len() > 5 {
        said.push(format!("and {} more", all.len() - 5));
    }
    said.join("; ")
}
