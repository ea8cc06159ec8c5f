//! Turns the sentences of a paper into verdicts on how they are said: readability, length, voice, terms.
//! Invariant: labels, headings and places to write are not sentences; both readability figures are always shown.
//! Must not: hold a word of a language, or judge numbers.

use super::prose;
use super::readability::{Language, Readability, Target, marks_of, measure};
use super::review::Review;
use super::split::{Marks, sentences, words};
use super::words::{Term, Words};
use super::{Finding, Judge, NO_FORMULA, Place};
use crate::domain::{LabelId, StatementKind, kind_of};

pub const JUDGES: &[(&str, Judge)] = &[
    ("DC-29", Judge::Plain(readability)),
    ("DC-30", Judge::Plain(readability_by_section)),
    ("DC-32", Judge::Plain(length)),
    ("DC-33", Judge::Plain(sentence_length)),
    ("DC-34", Judge::Worded(active_and_direct)),
    ("DC-35", Judge::Worded(terms_explained)),
];

/// A text of fewer words is too short for a formula (ours).
pub const LEAST_WORDS: usize = 30;
/// Mean and longest sentence, in words (ours).
pub const SENTENCE: (f64, usize) = (15.0, 25);
/// Share of instructions that are active and direct, in 100 (ours).
pub const DIRECT: f64 = 80.0;

/// Terms that cannot be avoided: products, the drug, muscles, areas.
pub fn unavoidable(review: &Review<'_>) -> Vec<String> {
    terms(review.selection.catalogue, review.wording, review.words())
}

/// The same for a wording alone.
pub fn terms(
    catalogue: &crate::catalogue::Catalogue,
    wording: &crate::wording::Wording,
    words: Option<&Words>,
) -> Vec<String> {
    let mut all: Vec<String> = catalogue
        .products
        .iter()
        .map(|p| p.id.to_string())
        .collect();
    for area in &catalogue.areas {
        all.extend(wording.label(&LabelId::area_name(&area.id)));
        all.push(area.id.as_str().replace('-', " "));
        all.extend(area.muscle.iter().map(|muscle| muscle.latin.clone()));
    }
    all.extend(
        words
            .map_or(&[][..], |w| w.list("procedure"))
            .iter()
            .cloned(),
    );
    all.sort();
    all.dedup();
    all
}

/// Measures lines; none where we have no formula for the language.
pub fn measured(tag: &str, lines: &[&str], terms: &[String]) -> Option<Readability> {
    let terms: Vec<&str> = terms.iter().map(String::as_str).collect();
    Some(measure(Language::of(tag)?, lines, &terms))
}

/// Whether we hold a formula for a language.
pub fn has_formula(tag: &str) -> bool {
    Language::of(tag).is_some()
}

/// "Flesch–Kincaid grade 5.9 (all words 6.4), at most 6", and whether the target is reached without the unavoidable terms.
pub fn scored(found: &Readability) -> Option<(bool, String)> {
    let all = found.all_scores.first()?;
    let aside = found.set_aside_scores.first().unwrap_or(all);
    let target = match all.target? {
        Target::AtMost(most) => format!("at most {most}"),
        Target::Above(least) => format!("above {least}"),
    };
    let figure = format!(
        "{} {:.1} (all words {:.1}), {target}",
        all.formula, aside.value, all.value
    );
    Some((aside.met?, figure))
}

/// Lines of prose of the paper.
pub fn prose_of<'c>(review: &'c Review<'_>) -> Vec<&'c str> {
    review.paper.view.prose()
}

fn readability(review: &Review<'_>) -> Finding {
    let Some(found) = measured(
        review.wording.tag(),
        &prose_of(review),
        &unavoidable(review),
    ) else {
        return Finding::not_judged(NO_FORMULA);
    };
    match scored(&found) {
        None => Finding::lacking("", vec!["no text to measure".to_owned()]),
        Some((true, figure)) => Finding::met(figure),
        Some((false, figure)) => {
            Finding::not_met(figure.clone(), vec![Place::new("paper", figure)])
        }
    }
}

fn readability_by_section(review: &Review<'_>) -> Finding {
    let view = review.view();
    let terms = unavoidable(review);
    let mut parts: Vec<(String, Vec<&str>)> = view
        .sections
        .iter()
        .enumerate()
        .map(|(index, title)| (format!("section {title}"), view.prose_of(index)))
        .collect();
    for selected in &review.selection.areas {
        let id = &selected.area.id;
        parts.push((format!("area {id}"), view.prose_of_owner(id)));
    }
    let (mut judged, mut short, mut places) = (0, 0, Vec::new());
    for (name, lines) in parts {
        let Some(found) = measured(review.wording.tag(), &lines, &terms) else {
            return Finding::not_judged(NO_FORMULA);
        };
        if found.all.words < LEAST_WORDS {
            short += 1;
            continue;
        }
        judged += 1;
        if let Some((false, figure)) = scored(&found) {
            places.push(Place::new(name, figure));
        }
    }
    Finding::of(
        format!(
            "{} of {judged} sections and areas reach the target; {short} have fewer than {LEAST_WORDS} words",
            judged - places.len()
        ),
        places,
    )
}

fn length(review: &Review<'_>) -> Finding {
    let pages = review.pages();
    if review.paper.document.large {
        return Finding::not_applicable(format!("{pages} sides in large print"));
    }
    let areas = review.selection.areas.len();
    let Some(most) = review.paper.kind.sides(areas) else {
        return Finding::not_applicable(format!("{pages} sides; no limit for {areas} areas"));
    };
    let long = (pages > most).then(|| Place::new("paper", format!("{pages} sides")));
    Finding::of(
        format!("{pages} sides, {most} at most"),
        Vec::from_iter(long),
    )
}

fn sentence_length(review: &Review<'_>) -> Finding {
    let lines: Vec<(String, &str)> = review
        .view()
        .lines
        .iter()
        .filter(|line| line.is_prose())
        .map(|line| {
            (
                line.mark.clone().unwrap_or_else(|| "text".into()),
                line.text.as_str(),
            )
        })
        .collect();
    sentences_judged(review.wording.tag(), &lines)
}

/// Judges the sentences of named lines.
pub fn sentences_judged(tag: &str, lines: &[(String, &str)]) -> Finding {
    let marks = marks_of(tag);
    let (mut number, mut all, mut longest) = (0, 0, 0);
    let mut places = Vec::new();
    for (name, text) in lines {
        for sentence in sentences(marks, text) {
            let count = words(sentence).len();
            number += 1;
            all += count;
            longest = longest.max(count);
            if count > SENTENCE.1 {
                places.push(Place::new(name, format!("{count} words: {sentence}")));
            }
        }
    }
    let mean = all as f64 / number.max(1) as f64;
    if mean > SENTENCE.0 {
        places.push(Place::new("all sentences", format!("mean {mean:.1} words")));
    }
    Finding::of(
        format!("mean {mean:.1} words in {number} sentences, longest {longest}"),
        places,
    )
}

/// Sentences that ask for something: the first of every instruction, and requests anywhere.
fn instructions<'l>(lines: &[(Option<&str>, &'l str)], lists: &Words) -> Vec<&'l str> {
    let marks = marks_of(&lists.language);
    let mut all = Vec::new();
    for (mark, text) in lines {
        let instruction = mark.and_then(kind_of) == Some(StatementKind::Advice);
        for (index, sentence) in sentences(marks, text).into_iter().enumerate() {
            // an instruction begins with what is to be done; what follows may say why
            if (instruction && index == 0) || prose::is_request(sentence, lists) {
                all.push(sentence);
            }
        }
    }
    all
}

/// How many of the sentences that ask for something are active and speak to the reader.
pub fn direct(lines: &[(Option<&str>, &str)], words: &Words) -> (usize, usize, Vec<String>) {
    let all = instructions(lines, words);
    let others: Vec<String> = all
        .iter()
        .filter(|s| prose::is_passive(s, words) || !prose::speaks_to_reader(s, words))
        .map(|s| (*s).to_owned())
        .collect();
    (all.len() - others.len(), all.len(), others)
}

pub fn direct_judged(lines: &[(Option<&str>, &str)], words: &Words) -> Finding {
    let (direct, all, others) = direct(lines, words);
    if all == 0 {
        return Finding::not_applicable("no sentence asks for anything");
    }
    let share = direct as f64 * 100.0 / all as f64;
    let figure = format!("{direct} of {all} sentences that ask for something ({share:.0} in 100)");
    if share >= DIRECT {
        return Finding::met(figure);
    }
    Finding::not_met(
        figure,
        others
            .into_iter()
            .map(|s| Place::new("sentence", s))
            .collect(),
    )
}

/// Lines of prose with their marks.
pub fn marked<'c>(review: &'c Review<'_>) -> Vec<(Option<&'c str>, &'c str)> {
    let lines = review
        .paper
        .view
        .lines
        .iter()
        .filter(|line| line.is_prose());
    lines
        .map(|line| (line.mark.as_deref(), line.text.as_str()))
        .collect()
}

fn active_and_direct(review: &Review<'_>, words: &Words) -> Finding {
    direct_judged(&marked(review), words)
}

/// Whether a term is explained where it is first used: in that sentence, the one before or the one after.
pub fn is_explained(marks: &Marks, lines: &[&str], term: &Term) -> bool {
    explained_in(&small_sentences(marks, lines), term)
}

fn small_sentences(marks: &Marks, lines: &[&str]) -> Vec<String> {
    let all = lines.iter().flat_map(|line| sentences(marks, line));
    all.map(str::to_lowercase).collect()
}

fn explained_in(sentences: &[String], term: &Term) -> bool {
    let first = sentences
        .iter()
        .position(|s| prose::place_of(s, &term.word).is_some());
    first.is_none_or(|first| {
        let near = &sentences[first.saturating_sub(1)..(first + 2).min(sentences.len())];
        near.iter()
            .any(|s| term.explained.iter().any(|word| s.contains(word.as_str())))
    })
}

/// Terms of the list that stand in the lines and are not explained there.
pub fn unexplained<'w>(lines: &[&str], words: &'w Words) -> (usize, Vec<&'w Term>) {
    let sentences = small_sentences(marks_of(&words.language), lines);
    let text = lines.join("\n").to_lowercase();
    let used: Vec<&Term> = words
        .term
        .iter()
        .filter(|term| prose::place_of(&text, &term.word).is_some())
        .collect();
    let count = used.len();
    let missing = used
        .into_iter()
        .filter(|term| !explained_in(&sentences, term))
        .collect();
    (count, missing)
}

fn terms_explained(review: &Review<'_>, words: &Words) -> Finding {
    let (used, missing) = unexplained(&prose_of(review), words);
    let places = missing
        .into_iter()
        .map(|term| {
            Place::new(
                "term",
                format!("`{}` is not explained at first use", term.word),
            )
        })
        .collect();
    Finding::of(
        format!("{used} of {} listed terms are used", words.term.len()),
        places,
    )
}
