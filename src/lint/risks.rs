//! Turns the risks of a paper into verdicts on how their numbers are told.
//! Invariant: a row is one risk with everything printed of it; the lines above a table belong to all its rows, the note below it to
//! those that it names.
//! Must not: invent a number, or judge whether a number is right (that is `tests/library/published_values.rs`).

use super::prose;
use super::readability::marks_of;
use super::review::Review;
use super::split::{Marks, sentences};
use super::view::Table;
use super::words::Words;
use super::{Finding, Judge, Place};
use crate::catalogue::{Band, Counted, Figure, Risk, Time, Weight};
use crate::domain::{ProductId, StatementId, StatementKind, family, gathered, group, kind_of};

pub const JUDGES: &[(&str, Judge)] = &[
    ("DC-36", Judge::Worded(no_frequency_word_alone)),
    ("DC-37", Judge::Worded(word_fits_number)),
    ("DC-38", Judge::Worded(one_denominator)),
    ("DC-39", Judge::Worded(no_relative_risk_alone)),
    ("DC-40", Judge::Worded(time_window)),
    ("DC-42", Judge::Worded(group_and_unknowns)),
    ("RF-2", Judge::Worded(word_fits_number)),
    ("RF-4", Judge::Plain(not_known_where_true)),
    ("RF-5", Judge::Worded(none_seen)),
    ("RF-6", Judge::Worded(order_of_risks)),
    ("RF-7", Judge::Worded(one_denominator)),
    ("RF-8", Judge::Worded(no_relative_risk_alone)),
    ("RF-9", Judge::Worded(window_and_group)),
];

/// Marks of statements that tell a risk or a sign.
const TELLS: [StatementKind; 5] = [
    StatementKind::Risk,
    StatementKind::Serious,
    StatementKind::RedFlag,
    StatementKind::Normal,
    StatementKind::Alike,
];

/// A risk in a table.
struct Row<'c> {
    mark: &'c str,
    text: String,
    /// The second cell: how often; empty where nobody counted it.
    often: &'c str,
    /// The third cell: with a dummy.
    dummy: &'c str,
    /// The lines above the table, and what the note below it says of this risk.
    said: String,
    /// It stands under the sentence that there is no count.
    uncounted: bool,
}

/// What the note under a table says of one risk: the sentences from the one that names it to the next that names others; all of it
/// where it names none.
fn note_on(marks: &Marks, table: &Table, name: &str) -> String {
    let names = |sentence: &str, name: &str| {
        !name.is_empty() && sentence.to_lowercase().contains(&name.to_lowercase())
    };
    let any = |sentence: &str| table.rows.iter().any(|row| names(sentence, &row.name));
    let mut own = !any(&table.below);
    let mut said: Vec<&str> = Vec::new();
    for sentence in sentences(marks, &table.below) {
        if any(sentence) {
            own = names(sentence, name);
        }
        if own {
            said.push(sentence);
        }
    }
    said.join(" ")
}

fn rows<'c>(review: &'c Review<'_>) -> Vec<Row<'c>> {
    let marks = marks_of(review.wording.tag());
    let no_count = review.label("consent.risks.no-figure");
    let mut all = Vec::new();
    for table in &review.paper.view.tables {
        let uncounted = !no_count.is_empty() && table.header.first() == Some(&no_count);
        for row in &table.rows {
            let cell = |at: usize| row.cells.get(at).map_or("", String::as_str);
            let Some(mark) = row.mark.as_deref() else {
                continue;
            };
            if kind_of(mark) != Some(StatementKind::Risk) {
                continue;
            }
            let note = note_on(marks, table, &row.name);
            all.push(Row {
                mark,
                text: row.cells.join("\n"),
                often: cell(1),
                dummy: cell(2),
                said: format!("{}\n{note}", table.above),
                uncounted,
            });
        }
    }
    all
}

/// Every risk or sign of the paper: mark and everything printed of it.
fn told(review: &Review<'_>) -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> = Vec::new();
    for line in &review.view().lines {
        let Some(mark) = line.mark.as_deref() else {
            continue;
        };
        if !kind_of(mark).is_some_and(|kind| TELLS.contains(&kind)) {
            continue;
        }
        match all.iter_mut().find(|(known, _)| known == mark) {
            Some((_, text)) => {
                text.push('\n');
                text.push_str(&line.text);
            }
            None => all.push((mark.to_owned(), line.text.clone())),
        }
    }
    all
}

fn has_digit(text: &str) -> bool {
    text.chars().any(|c| c.is_ascii_digit())
}

fn no_frequency_word_alone(review: &Review<'_>, words: &Words) -> Finding {
    let all = told(review);
    let mut places = Vec::new();
    for (mark, text) in &all {
        if let Some(word) = prose::found(text, words.list("frequency")).first()
            && !has_digit(text)
        {
            places.push(Place::new(mark, format!("`{word}` without a number")));
        }
    }
    Finding::of(format!("{} risks and signs read", all.len()), places)
}

fn word_fits_number(review: &Review<'_>, words: &Words) -> Finding {
    let (mut places, mut worded, mut numbers) = (Vec::new(), 0, 0);
    for row in rows(review) {
        let all = prose::frequencies(row.often, words);
        numbers += all.len();
        let mut rest = row.text.to_lowercase();
        for entry in &words.band {
            let Some(at) = prose::place_of(&rest, &entry.word) else {
                continue;
            };
            // a longer phrase is taken out before the words in it are looked for
            rest.replace_range(at..at + entry.word.len(), " ");
            worded += 1;
            let fits = all.iter().any(|(affected, per)| {
                Band::of(*affected, *per as u32).is_some_and(|band| band.as_str() == entry.band)
            });
            if !fits {
                let found = format!("`{}` beside `{}`", entry.word, row.often);
                places.push(Place::new(row.mark, found));
            }
        }
    }
    if worded == 0 {
        return Finding::met(format!("{numbers} numbers, no word of a band"));
    }
    Finding::of(format!("{worded} words beside {numbers} numbers"), places)
}

pub(super) fn one_denominator(review: &Review<'_>, words: &Words) -> Finding {
    let all = rows(review);
    let wholes_of = |row: &Row<'_>| -> Vec<f64> {
        let cells = [row.often, row.dummy].into_iter();
        cells
            .flat_map(|cell| prose::frequencies(cell, words))
            .map(|(_, per)| per)
            .collect()
    };
    let mut said: Vec<f64> = all.iter().flat_map(wholes_of).collect();
    let count = said.len();
    said.sort_by(f64::total_cmp);
    said.dedup();
    // the one that most rows have is not the odd one
    let rows_with = |whole: &f64| {
        all.iter()
            .filter(|row| wholes_of(row).contains(whole))
            .count()
    };
    let usual = said.iter().copied().max_by_key(rows_with);
    let places = all
        .iter()
        .flat_map(|row| {
            let odd = wholes_of(row).into_iter();
            let odd = odd.filter(|per| Some(*per) != usual);
            odd.map(|per| Place::new(row.mark, format!("out of {per}")))
        })
        .collect();
    let said: Vec<String> = said.iter().map(|per| format!("{per}")).collect();
    Finding::of(
        format!("{count} numbers, out of {}", said.join(" or ")),
        places,
    )
}

fn no_relative_risk_alone(review: &Review<'_>, words: &Words) -> Finding {
    let mut places = Vec::new();
    for line in review.view().lines.iter().filter(|line| line.is_prose()) {
        if let Some(word) = prose::found(&line.text, words.list("relative")).first()
            && prose::frequencies(&line.text, words).is_empty()
        {
            let at = line.mark.clone().unwrap_or("text".into());
            places.push(Place::new(
                at,
                format!("`{word}` without the plain number: {}", line.text),
            ));
        }
    }
    Finding::of("no comparison alone", places)
}

/// The phrases by which a number says over what time it was counted.
fn times(review: &Review<'_>) -> Vec<String> {
    review
        .wording
        .statements()
        .keys()
        .filter(|id| group(id) == "figure.time")
        .map(|id| review.label(id))
        .map(|text| text.trim_matches([',', ' ']).to_owned())
        .filter(|text| !text.is_empty())
        .collect()
}

fn numbered<'r, 'c>(words: &Words, all: &'r [Row<'c>]) -> Vec<&'r Row<'c>> {
    all.iter()
        .filter(|row| !prose::frequencies(row.often, words).is_empty())
        .collect()
}

/// What is said once for all numbers: in what, and over what time, they were counted.
const SAID_ONCE: &str = "general.figures";

/// Says which rows say over what time their number was counted.
struct Windows<'c> {
    phrases: Vec<String>,
    /// Line of the statement that numbers without a time of their own count the whole study; none where it is not printed or says otherwise.
    said_once: Option<usize>,
    risks: Vec<(String, &'c Risk)>,
}

impl<'c> Windows<'c> {
    fn of(review: &'c Review<'_>, words: &Words) -> Windows<'c> {
        let is = |line: &&super::Line| line.mark.as_deref() == Some(SAID_ONCE);
        let lines = &review.paper.view.lines;
        let printed = review.page_of(SAID_ONCE).is_some();
        let text = review.view().statement(SAID_ONCE).unwrap_or_default();
        Windows {
            phrases: times(review),
            said_once: lines
                .iter()
                .position(|line| is(&line))
                .filter(|_| printed && words.has(&text, "whole_study")),
            risks: risks(review),
        }
    }

    /// Why a row does not say over what time; none where it does.
    fn lacks(&self, review: &Review<'_>, row: &Row<'_>) -> Option<&'static str> {
        let own = |time: &String| row.text.contains(time) || row.said.contains(time);
        if self.phrases.iter().any(own) {
            return None;
        }
        let lines = &review.view().lines;
        let at = lines
            .iter()
            .position(|l| l.mark.as_deref() == Some(row.mark));
        let above = |said: &usize| at.is_none_or(|at| *said < at);
        if self.said_once.filter(above).is_none() {
            return Some("does not say over what time");
        }
        // what is said once must be true of this number too
        let known = self.risks.iter().find(|(id, _)| id == row.mark);
        let during = |risk: &Risk| risk.figure.iter().any(|f| f.time == Time::DuringStudy);
        known
            .is_some_and(|(_, risk)| !during(risk))
            .then_some("counts another time than the whole study and does not say which")
    }
}

fn time_window(review: &Review<'_>, words: &Words) -> Finding {
    let all = rows(review);
    let numbered = numbered(words, &all);
    if numbered.is_empty() {
        return Finding::not_applicable("no risk with a number in a table");
    }
    let windows = Windows::of(review, words);
    let places = numbered
        .iter()
        .filter_map(|row| {
            windows
                .lacks(review, row)
                .map(|why| Place::new(row.mark, why))
        })
        .collect();
    Finding::of(format!("{} numbers", numbered.len()), places)
}

fn without_group(review: &Review<'_>, words: &Words, row: &Row<'_>) -> bool {
    let many = review.label("figure.products-many");
    let names = |text: &str| {
        text.contains(&many)
            || words.has(text, "study")
            || review
                .selection
                .catalogue
                .products
                .iter()
                .any(|p| text.contains(p.id.as_str()))
    };
    !names(&row.text) && !names(&row.said)
}

/// Treatments were counted and neither the row nor what is said of it around its table says so: the number would be read as people.
fn treatments_unsaid(words: &Words, known: &[(String, &Risk)], row: &Row<'_>) -> bool {
    let treatments = known.iter().any(|(id, risk)| {
        id == row.mark && risk.figure.iter().all(|f| f.counted == Counted::Treatments)
    });
    let says = |text: &str| words.has(text, "treatments");
    treatments && !says(&row.text) && !says(&row.said)
}

fn group_and_unknowns(review: &Review<'_>, words: &Words) -> Finding {
    let all = rows(review);
    let numbered = numbered(words, &all);
    let mut places: Vec<Place> = numbered
        .iter()
        .filter(|row| without_group(review, words, row))
        .map(|row| Place::new(row.mark, "does not say in whom it was seen"))
        .collect();
    let known = risks(review);
    places.extend(
        numbered
            .iter()
            .filter(|row| treatments_unsaid(words, &known, row))
            .map(|row| Place::new(row.mark, "does not say that treatments were counted")),
    );
    places.extend(not_known_where_true(review).places);
    places.extend(none_seen(review, words).places);
    Finding::of(
        format!("{} numbers with their group", numbered.len()),
        places,
    )
}

fn window_and_group(review: &Review<'_>, words: &Words) -> Finding {
    let all = rows(review);
    let windows = Windows::of(review, words);
    let numbered = numbered(words, &all);
    let places = numbered
        .iter()
        .filter(|row| windows.lacks(review, row).is_some() || without_group(review, words, row))
        .map(|row| Place::new(row.mark, "time or group missing"))
        .collect();
    Finding::of(format!("{} numbers", numbered.len()), places)
}

/// Every risk the paper must hold with the id it is printed under.
fn risks<'c>(review: &'c Review<'_>) -> Vec<(String, &'c Risk)> {
    let mut all = Vec::new();
    for selected in &review.selection.areas {
        for risk in &selected.risks {
            all.push((
                StatementId::risk(&selected.area.id, &risk.id).to_string(),
                *risk,
            ));
        }
    }
    for risk in review.selection.general_risks() {
        all.push((StatementId::general_risk(&risk.id).to_string(), risk));
    }
    all
}

fn is_risk(line: &super::Line) -> bool {
    line.mark.as_deref().and_then(kind_of) == Some(StatementKind::Risk)
}

fn not_known_where_true(review: &Review<'_>) -> Finding {
    let none = review.label("figure.none");
    let table = rows(review);
    let mut places = Vec::new();
    let mut unknown = 0;
    for (id, risk) in risks(review) {
        let Some(row) = table.iter().find(|row| row.mark == id) else {
            places.push(Place::new(id, "not in a table of risks"));
            continue;
        };
        let says_none = row.uncounted || (!none.is_empty() && row.often.contains(&none));
        unknown += usize::from(says_none);
        if says_none != risk.figure.is_empty() {
            let found = if says_none {
                "the catalogue has a number, and the paper says that none is known"
            } else {
                "no number is known, and the paper does not say so"
            };
            places.push(Place::new(id, found));
        }
    }
    Finding::of(
        format!("{unknown} risks without a published number"),
        places,
    )
}

/// Counted and seen in nobody, by the figures of the patient's own product; by all where it has none.
fn is_seen_in_nobody(risk: &Risk, product: &ProductId) -> bool {
    let own = |figure: &&Figure| figure.products.contains(product);
    let none = |figure: &Figure| figure.highest() == 0.0;
    match risk.figure.iter().any(|figure| own(&figure)) {
        true => risk.figure.iter().filter(own).all(none),
        false => !risk.figure.is_empty() && risk.figure.iter().all(none),
    }
}

/// The risks of the paper that were counted and seen in nobody.
fn seen_in_nobody(review: &Review<'_>) -> Vec<String> {
    let selection = review.selection;
    let mut all = Vec::new();
    for selected in &selection.areas {
        let own = selected.risks.iter();
        let own = own.filter(|risk| is_seen_in_nobody(risk, &selected.product.id));
        all.extend(own.map(|risk| StatementId::risk(&selected.area.id, &risk.id).to_string()));
    }
    if let Some(first) = selection.products.first() {
        let general = selection.general_risks().into_iter();
        let general = general.filter(|risk| is_seen_in_nobody(risk, &first.id));
        all.extend(general.map(|risk| StatementId::general_risk(&risk.id).to_string()));
    }
    all
}

fn none_seen(review: &Review<'_>, words: &Words) -> Finding {
    let said = [
        review.fragment("figure.zero"),
        review.fragment("figure.zero-of-few"),
        review.fragment("figure.zero-beyond"),
        review.label("figure.none-seen"),
    ];
    let wanted = seen_in_nobody(review);
    let mut places = Vec::new();
    for row in rows(review) {
        let says = |text: &String| !text.is_empty() && row.text.contains(text);
        if wanted.iter().any(|id| id == row.mark) && !said.iter().any(says) {
            places.push(Place::new(
                row.mark,
                "none seen, without how many it may still be",
            ));
        }
    }
    for line in &review.view().lines {
        if words.has(&line.text, "no_risk") {
            let at = line.mark.clone().unwrap_or("text".into());
            places.push(Place::new(at, format!("promises safety: {}", line.text)));
        }
    }
    Finding::of(format!("{} risks seen in nobody", wanted.len()), places)
}

fn order_of_risks(review: &Review<'_>, words: &Words) -> Finding {
    let view = review.view();
    let mut places = Vec::new();
    let at = |id: &str| {
        view.lines
            .iter()
            .position(|l| l.mark.as_deref() == Some(id))
    };
    let first = view.lines.iter().position(is_risk);
    for risk in &review.selection.catalogue.general.serious {
        let id = StatementId::serious(&risk.id).to_string();
        if at(&id)
            .zip(first)
            .is_some_and(|(serious, other)| serious > other)
        {
            places.push(Place::new(id, "stands after other risks"));
        }
    }
    let table = rows(review);
    // of each area, whatever tables its rows stand in
    for (_, own) in gathered(table.iter().map(|row| (family(row.mark), row))) {
        let astray = own
            .iter()
            .filter(|row| row.uncounted != row.often.is_empty());
        places
            .extend(astray.map(|row| {
                Place::new(row.mark, "stands on the wrong side of what nobody counted")
            }));
        for pair in own.windows(2) {
            let [before, after] = pair else { continue };
            let out_of_place = match (before.uncounted, after.uncounted) {
                (false, false) => share(before, words) < share(after, words),
                (false, true) => false,
                (true, false) => true,
                (true, true) => rank(review, before) > rank(review, after),
            };
            if out_of_place {
                places.push(Place::new(
                    after.mark,
                    "stands after one that comes below it",
                ));
            }
        }
    }
    Finding::of(
        "serious first, then the most frequent, then what nobody counted",
        places,
    )
}

/// The largest number that a row says of how often.
fn share(row: &Row<'_>, words: &Words) -> f64 {
    let said = prose::frequencies(row.often, words).into_iter();
    said.map(|(affected, per)| affected / per)
        .fold(0.0, f64::max)
}

/// The place of a risk in the order of how much it matters: those of an area are chosen in that order.
fn rank(review: &Review<'_>, row: &Row<'_>) -> Option<(Option<Weight>, usize)> {
    let all = risks(review);
    let at = all.iter().position(|(id, _)| id == row.mark)?;
    let id: StatementId = row.mark.parse().ok()?;
    let weight = id.owner().area().is_none().then_some(all[at].1.weight);
    Some((weight, at))
}
