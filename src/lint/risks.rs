//! Turns the risks of a paper into verdicts on how their numbers are told.
//! Invariant: a row is one risk with everything printed of it; the line above a table belongs to all its rows.
//! Must not: invent a number, or judge whether a number is right (that is `tests/library/published_values.rs`).

use super::prose;
use super::review::Review;
use super::view::Kind;
use super::words::Words;
use super::{Finding, Judge, Place};
use crate::catalogue::{Band, Counted, Risk, Time};
use crate::domain::{StatementId, StatementKind, group, kind_of};
use crate::wording::phrases::Share;

pub const JUDGES: &[(&str, Judge)] = &[
    ("DC-36", Judge::Worded(no_frequency_word_alone)),
    ("DC-37", Judge::Worded(word_fits_number)),
    ("DC-38", Judge::Worded(one_denominator)),
    ("DC-39", Judge::Worded(no_relative_risk_alone)),
    ("DC-40", Judge::Worded(time_window)),
    ("DC-41", Judge::Worded(both_ways)),
    ("DC-42", Judge::Worded(group_and_unknowns)),
    ("RF-2", Judge::Worded(word_fits_number)),
    ("RF-4", Judge::Plain(not_known_where_true)),
    ("RF-5", Judge::Worded(none_seen)),
    ("RF-6", Judge::Plain(order_of_risks)),
    ("RF-7", Judge::Worded(one_denominator)),
    ("RF-8", Judge::Worded(no_relative_risk_alone)),
    ("RF-9", Judge::Worded(window_and_group)),
    ("RF-10", Judge::Worded(both_ways)),
    ("RF-11", Judge::Worded(icon_array)),
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
    /// Index of its table.
    table: usize,
    text: String,
    /// The last cell: how often.
    often: &'c str,
    /// The line above the table.
    above: &'c str,
}

fn rows<'c>(review: &'c Review<'_>) -> Vec<Row<'c>> {
    let mut all = Vec::new();
    for (index, table) in review.paper.view.tables.iter().enumerate() {
        for (mark, cells) in &table.rows {
            let Some(mark) = mark
                .as_deref()
                .filter(|mark| kind_of(mark) == Some(StatementKind::Risk))
            else {
                continue;
            };
            all.push(Row {
                mark,
                table: index,
                text: cells.join("\n"),
                often: cells.last().map_or("", String::as_str),
                above: &table.above,
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
    let mut places = Vec::new();
    let mut said = Vec::new();
    let all = rows(review);
    for (index, table) in review.view().tables.iter().enumerate() {
        let mut wholes: Vec<f64> = all
            .iter()
            .filter(|row| row.table == index)
            .flat_map(|row| prose::frequencies(row.often, words))
            .map(|(_, per)| per)
            .collect();
        wholes.sort_by(f64::total_cmp);
        wholes.dedup();
        if wholes.len() > 1 {
            places.push(Place::new(table.name.clone(), format!("out of {wholes:?}")));
        }
        said.extend(wholes);
    }
    said.sort_by(f64::total_cmp);
    said.dedup();
    let said: Vec<String> = said.iter().map(|per| format!("{per}")).collect();
    Finding::of(
        format!("{} rows, out of {}", all.len(), said.join(" or ")),
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
        let own = |time: &String| row.text.contains(time) || row.above.contains(time);
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

/// A row whose number is a single one: "3 in 100", not a range and not "fewer than".
fn single(review: &Review<'_>, words: &Words, row: &Row<'_>) -> Option<(f64, f64)> {
    let (affected, per) = *prose::frequencies(row.often, words).first()?;
    let share = Share::whole(affected, affected, per as u32, per as u32);
    let said = |counted| {
        review
            .wording
            .share(share, counted)
            .is_ok_and(|said| said == row.often.trim())
    };
    (said(Counted::People) || said(Counted::Treatments)).then_some((affected, per))
}

fn both_ways(review: &Review<'_>, words: &Words) -> Finding {
    let said = review.fragment("figure.both-ways");
    let all = rows(review);
    let mut ranked: Vec<(f64, f64, &Row<'_>)> = all
        .iter()
        .filter_map(|row| single(review, words, row).map(|(affected, per)| (affected, per, row)))
        .collect();
    if ranked.is_empty() {
        return Finding::not_applicable("no risk with a single number");
    }
    // the most frequent of the whole form; of two that are as frequent, the one printed first (the sort is stable)
    ranked.sort_by(|a, b| (b.0 / b.1).total_cmp(&(a.0 / a.1)));
    ranked.truncate(3);
    let told = |(affected, per, row): &(f64, f64, &Row<'_>)| {
        let numbers = prose::frequencies(&row.text, words);
        !said.is_empty() && row.text.contains(&said) && numbers.contains(&(per - affected, *per))
    };
    let places: Vec<Place> = ranked
        .iter()
        .filter(|ranked| !told(ranked))
        .map(|(_, _, row)| Place::new(row.mark, format!("{} is said one way only", row.often)))
        .collect();
    Finding::of(
        format!(
            "{} of the top {}",
            ranked.len() - places.len(),
            ranked.len()
        ),
        places,
    )
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
    !names(&row.text) && !names(row.above)
}

/// Treatments were counted and neither the row nor the line above its table says so: the number would be read as people.
fn treatments_unsaid(words: &Words, known: &[(String, &Risk)], row: &Row<'_>) -> bool {
    let treatments = known.iter().any(|(id, risk)| {
        id == row.mark && risk.figure.iter().all(|f| f.counted == Counted::Treatments)
    });
    let says = |text: &str| words.has(text, "treatments");
    treatments && !says(&row.text) && !says(row.above)
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
    let view = review.view();
    let (none, above) = (
        review.label("figure.none"),
        review.label("consent.risks.no-figure"),
    );
    let table = rows(review);
    let mut places = Vec::new();
    let mut unknown = 0;
    for (id, risk) in risks(review) {
        let Some(at) = view
            .lines
            .iter()
            .position(|l| l.mark.as_deref() == Some(id.as_str()))
        else {
            places.push(Place::new(id, "not printed"));
            continue;
        };
        let row = table.iter().find(|row| row.mark == id);
        // a list of risks without numbers follows the line that says so
        let listed = view.lines[at].kind != Kind::Cell
            && view.lines[..at]
                .iter()
                .rev()
                .find(|line| !is_risk(line))
                .is_some_and(|line| !above.is_empty() && line.text == above);
        let says_none = listed || row.is_some_and(|row| row.often.contains(&none));
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

fn none_seen(review: &Review<'_>, words: &Words) -> Finding {
    let (none_of, none) = (
        review.fragment("figure.none-of"),
        review.label("figure.none-seen"),
    );
    let (zero, never) = (
        review.fragment("figure.zero"),
        review.label("figure.never-said"),
    );
    let mut places = Vec::new();
    let mut count = 0;
    for row in rows(review) {
        let seen = !prose::frequencies(row.often, words).is_empty();
        if seen || !(row.often.contains(&none_of) || row.often.contains(&none)) {
            continue;
        }
        count += 1;
        if !row.text.contains(&zero) && !row.text.contains(&never) {
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
    Finding::of(format!("{count} risks seen in nobody"), places)
}

/// As many marks as the number says, out of the same whole, and both in the words of the picture.
fn icon_array(review: &Review<'_>, words: &Words) -> Finding {
    let view = review.view();
    let (mut places, mut count) = (Vec::new(), 0);
    for picture in &view.pictures {
        let Some(marks) = &picture.marks else {
            continue;
        };
        count += 1;
        let numbers = |text: &str| -> Vec<f64> {
            text.split_whitespace().filter_map(prose::number).collect()
        };
        // none seen has no numerator to be read
        let said = prose::frequencies(&marks.often, words).first().copied();
        let (affected, per) = said.unwrap_or((0.0, f64::from(marks.per)));
        let alternative = numbers(&picture.alternative);
        let fits = f64::from(marks.shown) == affected
            && f64::from(marks.per) == per
            && alternative.contains(&per)
            && (affected == 0.0 || alternative.contains(&affected));
        if !fits {
            let found = format!(
                "{} of {} marks beside `{}`",
                marks.shown, marks.per, marks.often
            );
            places.push(Place::new(view.sections[picture.section].clone(), found));
        }
    }
    if count == 0 {
        return Finding::not_applicable("no picture of a share");
    }
    Finding::of(format!("{count} pictures of shares"), places)
}

fn order_of_risks(review: &Review<'_>) -> Finding {
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
    for selected in &review.selection.areas {
        let mut last = [None, None];
        for risk in &selected.risks {
            let id = StatementId::risk(&selected.area.id, &risk.id).to_string();
            let Some(position) = at(&id) else { continue };
            // those with a number and those without are two groups
            let group = &mut last[usize::from(risk.figure.is_empty())];
            if group.is_some_and(|before| position < before) {
                places.push(Place::new(id, "stands before one that matters more"));
            }
            *group = Some(position);
        }
    }
    Finding::of("serious first, then by weight and frequency", places)
}
