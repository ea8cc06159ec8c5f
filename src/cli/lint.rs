//! Turns the verdicts of `lint` into a section of `check` and into the report of `wording check`: notes for whoever writes the words.
//! Invariant: everything not met is named with its figure and place; the rest is counted.
//! Must not: judge anything.

use std::fmt::Write as _;

use anyhow::bail;
use serde_json::json;
use unic_langid::LanguageIdentifier;

use super::Outcome;
use super::output::Output;
use crate::catalogue::Catalogue;
use crate::diagnose;
use crate::lint::{self, Judged, LEFT_OUT_NOTE, Place, Scale, Verdict, VisitUnderReview};
use crate::paper::PaperKind;
use crate::papers::Papers;
use crate::wording::{Wording, library};

/// Places shown of one check.
const SHOWN: usize = 4;

/// The verdicts on the patient's papers of one plan.
pub struct DocumentChecks {
    pub papers: Vec<(PaperKind, Vec<Judged>)>,
}

impl DocumentChecks {
    pub fn of(papers: &Papers<'_>) -> DocumentChecks {
        let made = papers
            .papers
            .iter()
            .map(|paper| (paper.kind, &paper.document, &paper.pages));
        let subject = VisitUnderReview::new(&papers.selection, &papers.wording, made);
        DocumentChecks {
            papers: PaperKind::ALL
                .into_iter()
                .filter(|paper| paper.is_handed_out())
                .map(|paper| (paper, lint::judge(&subject, paper)))
                .filter(|(_, judged)| !judged.is_empty())
                .collect(),
        }
    }

    pub fn json(&self) -> serde_json::Value {
        let papers = self.papers.iter().map(|(paper, judged)| {
            json!({
                "paper": paper,
                "checks": judged,
                "pemat_style": lint::scores(judged),
            })
        });
        papers.collect()
    }

    pub fn print(&self, out: &mut String) -> std::fmt::Result {
        for (paper, judged) in &self.papers {
            let count = |verdict| judged.iter().filter(|j| j.verdict == verdict).count();
            writeln!(
                out,
                "\nFor whoever writes the words, {}: {} checks met, {} not met, {} not judged, {} not applicable here, {} need a person",
                paper.as_str(),
                count(Verdict::Met),
                count(Verdict::NotMet),
                count(Verdict::NotJudged),
                count(Verdict::NotApplicable),
                count(Verdict::NeedsPerson),
            )?;
            for judged in judged.iter().filter(|j| j.verdict == Verdict::NotMet) {
                writeln!(out, "  {} {}: {}", judged.number, judged.id, judged.figure)?;
                places(out, &judged.places)?;
            }
            for score in lint::scores(judged) {
                let scale = match score.scale {
                    Scale::Understandability => "understandability",
                    Scale::Actionability => "actionability",
                };
                writeln!(
                    out,
                    "  {scale} {:.0} in 100 ({LEFT_OUT_NOTE}; left out: {})",
                    score.percent,
                    score.left_out.join(", ")
                )?;
            }
        }
        Ok(())
    }
}

fn places(out: &mut String, places: &[Place]) -> std::fmt::Result {
    for place in places.iter().take(SHOWN) {
        let page = place
            .page
            .map_or(String::new(), |page| format!(", page {page}"));
        writeln!(
            out,
            "      {}{page}: {}",
            place.at,
            place.found.replace('\n', " ")
        )?;
    }
    if places.len() > SHOWN {
        writeln!(out, "      and {} more", places.len() - SHOWN)?;
    }
    Ok(())
}

/// `wording check`: our own sentences, statement by statement and section by section.
pub fn wording(language: &str, as_json: bool, all: bool) -> anyhow::Result<Outcome> {
    let Ok(tag) = language.parse::<LanguageIdentifier>() else {
        bail!(
            "`{}` is not a language tag such as en or en-GB",
            diagnose::echo(language)
        );
    };
    // without a country the words are those of the first country that has its own
    let country = tag
        .region
        .map(|region| region.as_str().to_owned())
        .or_else(|| {
            library::files().find_map(|(known, ..)| {
                known
                    .split_once('-')
                    .filter(|(l, _)| *l == tag.language.as_str())
                    .map(|(_, c)| c.to_owned())
            })
        });
    let wording = Wording::new(&tag, country.as_deref().unwrap_or("001"))?;
    let report = lint::read_wording(Catalogue::embedded(), &wording);
    let mut out = String::new();
    if as_json {
        out = serde_json::to_string_pretty(&report)?;
        out.push('\n');
    } else {
        writeln!(
            out,
            "Wording {}: {} statements",
            report.language,
            report.statements.len()
        )?;
        writeln!(
            out,
            "\nSections: words, mean sentence, longest, passive in 100, readability"
        )?;
        for s in &report.sections {
            writeln!(
                out,
                "  {:<48} {:>5} {:>5.1} {:>3} {:>3.0}  {}",
                s.section,
                s.words,
                s.mean_sentence,
                s.longest_sentence,
                s.passive_share,
                s.readability
            )?;
        }
        if all {
            writeln!(out, "\nStatements: words, sentences, longest, readability")?;
            for s in &report.statements {
                let grade = s
                    .readability
                    .map_or("-".to_owned(), |value| format!("{value:.1}"));
                writeln!(
                    out,
                    "  {:<60} {:>4} {:>3} {:>3} {grade:>6}{}{}",
                    s.id,
                    s.words,
                    s.sentences,
                    s.longest_sentence,
                    said(" frequency words: ", &s.frequency_words),
                    said(" terms: ", &s.terms),
                )?;
            }
        }
        writeln!(out, "\nChecks")?;
        for check in &report.checks {
            let says = lint::check(check.number).map_or("", |known| known.says.as_str());
            writeln!(
                out,
                "  {} {}: {}\n      {says}",
                check.number,
                check.verdict.as_str(),
                check.figure
            )?;
            places(&mut out, &check.places)?;
        }
    }
    Output::default().say(&out)?;
    Ok(if report.is_met() {
        Outcome::Fine
    } else {
        Outcome::Unsettled
    })
}

fn said(what: &str, all: &[String]) -> String {
    if all.is_empty() {
        String::new()
    } else {
        format!("{what}{}", all.join(", "))
    }
}
