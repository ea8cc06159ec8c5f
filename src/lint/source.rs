//! Turns the wording of a language into verdicts on its own sentences: statement by statement and section by section.
//! Invariant: every statement a patient may read is looked at; values are filled with what the catalogue holds, else with a stand-in.
//! Must not: judge what only a finished paper shows, or look at the practitioner's own words.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::json;

use super::language;
use super::prose;
use super::readability::marks_of;
use super::split::{sentences, words};
use super::words::{self as lists, Words};
use super::{Finding, NO_FORMULA, NO_WORDS, Place, Verdict};
use crate::catalogue::{Catalogue, TimeUnit, WindowKind};
use crate::domain::{BlankName, LabelId, StatementId, StatementKind, family, group, kind_of};
use crate::gate::is_ticked;
use crate::wording::{Context, Wording, rich};

/// Words for the practitioner, for programs, or parts of other sentences.
const NOT_FOR_PATIENTS: &[&str] = &[
    "calendar",
    "clinician",
    "fact",
    "figure",
    "function",
    "identity",
    "label",
    "paper",
    "phrase",
    "place",
    "rule",
    "side",
    "term",
];

/// One statement as measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StatementReport {
    pub id: String,
    pub words: usize,
    pub sentences: usize,
    pub longest_sentence: usize,
    /// By the first formula of the language, without unavoidable terms; none for a text too short to measure.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub readability: Option<f64>,
    pub passive: usize,
    pub frequency_words: Vec<String>,
    pub terms: Vec<String>,
}

/// The statements of one area, or of one group for everybody.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SectionReport {
    pub section: String,
    pub statements: usize,
    pub words: usize,
    pub mean_sentence: f64,
    pub longest_sentence: usize,
    /// Passive sentences in 100.
    pub passive_share: f64,
    /// Both figures and the target.
    pub readability: String,
    /// None where the section is not judged: too short, or no formula for the language.
    pub reaches_target: Option<bool>,
}

/// One check on the words.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TextCheck {
    pub number: &'static str,
    pub verdict: Verdict,
    pub figure: String,
    pub places: Vec<Place>,
}

/// Everything found in the words of one language.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TextReport {
    pub language: String,
    pub checks: Vec<TextCheck>,
    pub sections: Vec<SectionReport>,
    pub statements: Vec<StatementReport>,
}

impl TextReport {
    pub fn is_met(&self) -> bool {
        self.checks
            .iter()
            .all(|check| check.verdict != Verdict::NotMet)
    }
}

/// A statement as a reader may see it.
struct Said {
    id: String,
    section: String,
    text: String,
}

/// The group a statement is measured in: its area, or its own kind.
fn section_of(catalogue: &Catalogue, id: &str) -> String {
    let (first, inside) = (family(id), group(id));
    if catalogue.area(first).is_some() {
        format!("area {first}")
    } else if inside == "consent.decision" || (first == "general" && inside != "general") {
        inside.to_owned()
    } else {
        first.to_owned()
    }
}

/// Reads the words of a language.
pub fn read_wording(catalogue: &Catalogue, wording: &Wording) -> TextReport {
    let said: Vec<Said> = wording
        .statements()
        .keys()
        .filter(|id| !NOT_FOR_PATIENTS.contains(&family(id)))
        .filter_map(|id| {
            let text = filled(catalogue, wording, id);
            // headings and labels are no sentences
            let sentence = text.trim_end().ends_with(['.', '?', '!', ':', '”', '»']);
            (sentence || text.contains('\n')).then(|| Said {
                section: section_of(catalogue, id),
                id: id.clone(),
                text,
            })
        })
        .collect();
    let lists = lists::of(wording.tag());
    let terms = language::terms(catalogue, wording, lists);
    let statements = said
        .iter()
        .map(|s| statement(wording, s, lists, &terms))
        .collect();
    let sections = sections(wording, &said, lists, &terms);
    TextReport {
        language: wording.tag().to_owned(),
        checks: checks(catalogue, wording, &said, lists, &sections),
        sections,
        statements,
    }
}

fn statement(
    wording: &Wording,
    said: &Said,
    lists: Option<&Words>,
    terms: &[String],
) -> StatementReport {
    let marks = marks_of(wording.tag());
    // each line is a paragraph of its own
    let paragraphs: Vec<&str> = said.text.lines().collect();
    let sentences = paragraphs.iter().flat_map(|text| sentences(marks, text));
    let lengths: Vec<usize> = sentences.map(|s| words(s).len()).collect();
    let count: usize = lengths.iter().sum();
    let readability = language::measured(wording.tag(), &paragraphs, terms)
        .filter(|_| count >= language::LEAST_WORDS)
        .and_then(|found| found.set_aside_scores.first().map(|score| score.value));
    let lower = said.text.to_lowercase();
    StatementReport {
        id: said.id.clone(),
        words: count,
        sentences: lengths.len(),
        longest_sentence: lengths.into_iter().max().unwrap_or(0),
        readability,
        passive: lists.map_or(0, |lists| {
            let voices = paragraphs.iter().map(|text| prose::voice(text, lists).0);
            voices.sum()
        }),
        frequency_words: lists
            .map(|lists| prose::found(&said.text, lists.list("frequency")))
            .unwrap_or_default()
            .into_iter()
            .map(str::to_owned)
            .collect(),
        terms: lists
            .map_or(&[][..], |lists| &lists.term)
            .iter()
            .filter(|term| prose::place_of(&lower, &term.word).is_some())
            .map(|term| term.word.clone())
            .collect(),
    }
}

fn sections(
    wording: &Wording,
    said: &[Said],
    lists: Option<&Words>,
    terms: &[String],
) -> Vec<SectionReport> {
    let marks = marks_of(wording.tag());
    let mut groups: BTreeMap<&str, Vec<&Said>> = BTreeMap::new();
    for s in said {
        groups.entry(&s.section).or_default().push(s);
    }
    groups
        .into_iter()
        .map(|(section, said)| {
            let texts: Vec<&str> = said.iter().flat_map(|s| s.text.lines()).collect();
            let all: Vec<usize> = texts
                .iter()
                .flat_map(|text| sentences(marks, text))
                .map(|s| words(s).len())
                .collect();
            let count: usize = all.iter().sum();
            let passive: usize = lists.map_or(0, |l| {
                texts.iter().map(|text| prose::voice(text, l).0).sum()
            });
            let found = language::measured(wording.tag(), &texts, terms);
            let scored = found.as_ref().and_then(language::scored);
            let short = count < language::LEAST_WORDS;
            SectionReport {
                section: section.to_owned(),
                statements: said.len(),
                words: count,
                mean_sentence: count as f64 / all.len().max(1) as f64,
                longest_sentence: all.iter().copied().max().unwrap_or(0),
                passive_share: passive as f64 * 100.0 / all.len().max(1) as f64,
                reaches_target: scored.as_ref().map(|(met, _)| *met).filter(|_| !short),
                readability: match scored {
                    Some((_, figure)) if !short => figure,
                    Some((_, figure)) => format!("{figure}; too short to judge"),
                    None => NO_FORMULA.to_owned(),
                },
            }
        })
        .collect()
}

fn checks(
    catalogue: &Catalogue,
    wording: &Wording,
    said: &[Said],
    lists: Option<&Words>,
    sections: &[SectionReport],
) -> Vec<TextCheck> {
    let mut all: Vec<(&'static str, Finding)> = Vec::new();
    let each = |judge: &dyn Fn(&Said) -> Option<String>| -> Vec<Place> {
        said.iter()
            .filter_map(|s| judge(s).map(|found| Place::new(&s.id, found)))
            .collect()
    };
    let count = said.len();
    let places = each(&|s| prose::digit_date(&s.text).map(str::to_owned));
    all.push(("DC-5", Finding::of(format!("{count} statements"), places)));
    let places = each(&|s| is_ticked(&s.text).then(|| s.text.clone()));
    all.push(("DC-28", Finding::of(format!("{count} statements"), places)));
    let places: Vec<Place> = sections
        .iter()
        .filter(|section| section.reaches_target == Some(false))
        .map(|section| Place::new(&section.section, section.readability.clone()))
        .collect();
    let judged = sections.iter().filter_map(|section| section.reaches_target);
    let judged = judged.count();
    all.push((
        "DC-30",
        match language::has_formula(wording.tag()) {
            true => Finding::of(
                format!(
                    "{} of {judged} sections reach the target; {} are too short to judge",
                    judged - places.len(),
                    sections.len() - judged
                ),
                places,
            ),
            false => Finding::not_judged(NO_FORMULA),
        },
    ));
    let lines: Vec<(String, &str)> = said
        .iter()
        .flat_map(|s| s.text.lines().map(|line| (s.id.clone(), line)))
        .collect();
    all.push(("DC-33", language::sentences_judged(wording.tag(), &lines)));
    let places = each(&|s| {
        let markup = without_values(&wording.statements()[&s.id]);
        // what is escaped is printed; underscores in a row are room to write
        let markup = markup.replace("**", "").replace("\\_", "");
        let slanted = markup.contains(['_', '*']) && !markup.contains("__");
        prose::capitals(&s.text).or(slanted.then(|| "italics".to_owned()))
    });
    all.push(("DC-46", Finding::of(format!("{count} statements"), places)));
    if let Some(lists) = lists {
        let marked: Vec<(Option<&str>, &str)> = said
            .iter()
            .flat_map(|s| s.text.lines().map(|line| (Some(s.id.as_str()), line)))
            .collect();
        all.push(("DC-34", language::direct_judged(&marked, lists)));
        all.push(("DC-35", terms_explained(said, lists)));
        let places = each(&|s| {
            let tells = matches!(
                kind_of(&s.id),
                Some(StatementKind::Risk | StatementKind::Serious)
            );
            let word = prose::found(&s.text, lists.list("frequency"))
                .first()
                .copied()?;
            let numbered =
                s.text.chars().any(|c| c.is_ascii_digit()) || has_figure(catalogue, &s.id);
            (tells && !numbered).then(|| format!("`{word}` without a number"))
        });
        all.push(("DC-36", Finding::of(format!("{count} statements"), places)));
        let places = each(&|s| {
            let word = prose::found(&s.text, lists.list("relative"))
                .first()
                .copied()?;
            let numbered = !prose::frequencies(&s.text, lists).is_empty();
            (!numbered).then(|| format!("`{word}` without the plain number"))
        });
        all.push(("DC-39", Finding::of(format!("{count} statements"), places)));
        let places = each(&|s| {
            let advice = kind_of(&s.id) == Some(StatementKind::Advice);
            let word = ["number", "calculation"]
                .iter()
                .find_map(|list| prose::found(&s.text, lists.list(list)).first().copied())?;
            advice.then(|| format!("says `{word}`"))
        });
        all.push(("DC-56", Finding::of(format!("{count} statements"), places)));
    } else {
        all.extend(NEED_WORDS.map(|number| (number, Finding::not_judged(NO_WORDS))));
    }
    all.sort_by_key(|(number, _)| super::registry::order(number));
    all.into_iter()
        .map(|(number, finding)| TextCheck {
            number,
            verdict: finding.verdict,
            figure: finding.figure,
            places: finding.places,
        })
        .collect()
}

/// The numbers of the checks that are judged on our words.
pub const NUMBERS: &[&str] = &[
    "DC-5", "DC-28", "DC-30", "DC-33", "DC-34", "DC-35", "DC-36", "DC-39", "DC-46", "DC-56",
];

/// Those of them that need the word lists of the language.
const NEED_WORDS: [&str; 5] = ["DC-34", "DC-35", "DC-36", "DC-39", "DC-56"];

/// The catalogue holds a number for this risk.
fn has_figure(catalogue: &Catalogue, id: &str) -> bool {
    let Ok(id) = id.parse::<StatementId>() else {
        return false;
    };
    let risks = match id.owner().area().and_then(|area| catalogue.area(area)) {
        Some(area) => &area.risk,
        None => &catalogue.general.risk,
    };
    let known = risks.iter().find(|r| r.id == id.name());
    id.kind() == StatementKind::Risk && known.is_some_and(|risk| !risk.figure.is_empty())
}

/// A term has to be explained in the section that uses it, or in what every consent form says.
fn terms_explained(said: &[Said], lists: &Words) -> Finding {
    let marks = marks_of(&lists.language);
    let mut places = Vec::new();
    let mut used = 0;
    for term in &lists.term {
        let of = |section: &dyn Fn(&str) -> bool| -> Vec<&str> {
            said.iter()
                .filter(|s| section(&s.section))
                .flat_map(|s| s.text.lines())
                .collect()
        };
        let explained_for_all = said
            .iter()
            .filter(|s| s.section.starts_with("general"))
            .filter(|s| prose::place_of(&s.text.to_lowercase(), &term.word).is_some())
            .any(|s| {
                let lines: Vec<&str> = s.text.lines().collect();
                language::is_explained(marks, &lines, term)
            });
        let mut sections: Vec<&str> = said
            .iter()
            .filter(|s| prose::place_of(&s.text.to_lowercase(), &term.word).is_some())
            .map(|s| s.section.as_str())
            .collect();
        sections.dedup();
        used += usize::from(!sections.is_empty());
        for section in sections {
            if !explained_for_all && !language::is_explained(marks, &of(&|s| s == section), term) {
                places.push(Place::new(
                    section,
                    format!("`{}` is not explained", term.word),
                ));
            }
        }
    }
    Finding::of(
        format!("{used} of {} listed terms are used", lists.term.len()),
        places,
    )
}

/// The template without what stands between its braces.
fn without_values(template: &str) -> String {
    let mut out = String::new();
    let mut rest = template;
    while let Some(at) = rest.find("{{").into_iter().chain(rest.find("{%")).min() {
        out.push_str(&rest[..at]);
        let close = if rest[at..].starts_with("{{") {
            "}}"
        } else {
            "%}"
        };
        match rest[at..].find(close) {
            Some(end) => rest = &rest[at + end + 2..],
            None => return out,
        }
    }
    out + rest
}

/// The text of a statement with values from the catalogue; the first branch of every condition.
pub fn filled(catalogue: &Catalogue, wording: &Wording, id: &str) -> String {
    let template = wording.statements().get(id).map_or("", String::as_str);
    let mut out = String::new();
    let mut rest = template;
    // how deep inside branches that are not taken
    let mut hidden = 0_usize;
    let mut open: Vec<bool> = Vec::new();
    while let Some(at) = rest.find("{{").into_iter().chain(rest.find("{%")).min() {
        if hidden == 0 {
            out.push_str(&rest[..at]);
        }
        let is_value = rest[at..].starts_with("{{");
        let close = if is_value { "}}" } else { "%}" };
        let Some(end) = rest[at..].find(close) else {
            break;
        };
        let inside = rest[at + 2..at + end].trim();
        rest = &rest[at + end + 2..];
        if is_value {
            if hidden == 0 {
                out.push_str(&rich::escape(&value(catalogue, wording, id, inside)));
            }
        } else if inside.starts_with("if ") {
            open.push(hidden > 0);
            hidden += usize::from(hidden > 0);
        } else if inside.starts_with("elif") || inside == "else" {
            // the first branch was taken
            if open.last() == Some(&false) && hidden == 0 {
                hidden = 1;
            }
        } else if inside == "endif" && (open.pop() == Some(true) || hidden == 1) {
            hidden = hidden.saturating_sub(1);
        }
    }
    if hidden == 0 {
        out.push_str(rest);
    }
    rich::parse(&out).map_or(out, |pieces| rich::text_of_pieces(&pieces))
}

fn value(catalogue: &Catalogue, wording: &Wording, id: &str, name: &str) -> String {
    let context = |value: serde_json::Value| match value {
        serde_json::Value::Object(map) => map,
        _ => Context::new(),
    };
    let span = || {
        wording
            .span(2.0, 4.0, TimeUnit::Weeks, false)
            .unwrap_or_default()
    };
    let area = catalogue.area(family(id));
    if let Some(rest) = name.strip_prefix("plural(") {
        let other = rest
            .split("other=\"")
            .nth(1)
            .and_then(|o| o.split('"').next());
        return other.unwrap_or_default().to_owned();
    }
    if name.parse::<f64>().is_ok() {
        return name.to_owned();
    }
    match BlankName::from(name) {
        BlankName::Term(term) => wording.label(&LabelId::term(term)).unwrap_or_default(),
        BlankName::Window(key) => area
            .and_then(|area| {
                let kind = WindowKind::ALL.into_iter().find(|kind| kind.key() == key)?;
                let window = catalogue
                    .products
                    .iter()
                    .find_map(|p| area.window(kind, &p.id))?;
                wording.window(window).ok()
            })
            .unwrap_or_else(span),
        BlankName::Number(key) => {
            let numbers = area.map_or(&catalogue.general.number, |area| &area.number);
            numbers
                .iter()
                .find(|number| number.id == key)
                .and_then(|number| wording.number(number).ok())
                .unwrap_or_else(span)
        }
        BlankName::Course("rounds") => wording
            .line("phrase.rounds", &context(json!({ "low": 2, "high": 3 })))
            .unwrap_or_default(),
        BlankName::Course(_) => span(),
        BlankName::Other(name) => match name {
            "sounds" => wording.label("phrase.sounds").unwrap_or_default(),
            "product" => catalogue
                .products
                .first()
                .map_or(String::new(), |p| p.id.to_string()),
            "area" | "areas" | "name" => {
                let first = catalogue.areas.first();
                let name = first.and_then(|area| wording.label(&LabelId::area_name(&area.id)).ok());
                name.unwrap_or_default()
            }
            "days" | "interval" | "span" | "repeat" => span(),
            "date" | "first" | "last" | "until" | "when" | "informed" | "visit" | "earliest"
            | "review" => wording.formats().date(jiff::civil::date(2026, 12, 3)),
            "report_how" => wording.label("report.local").unwrap_or_default(),
            _ => "3".to_owned(),
        },
    }
}
