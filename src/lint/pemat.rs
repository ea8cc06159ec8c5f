//! Turns a paper into a PEMAT-style score over the items that a program can judge.
//! Invariant: the score is always shown with the items left out, and never as a PEMAT rating by people.
//! Must not: count an item that only a person can judge.

use serde::Serialize;

use super::language;
use super::prose;
use super::readability::marks_of;
use super::registry::{self, Scale};
use super::review::Review;
use super::risks;
use super::split;
use super::view::Kind;
use super::words::Words;
use super::{Finding, Judge, Judged, Place, Verdict};
use crate::compose::document::{ListStyle, Tone};
use crate::paper::PaperKind;

/// What has to stand beside every score.
pub const LEFT_OUT_NOTE: &str = "PEMAT-style, judged by program; not a PEMAT rating by people";

pub const JUDGES: &[(&str, Judge)] = &[
    ("PM-1", Judge::Worded(purpose)),
    ("PM-2", Judge::Worded(nothing_distracting)),
    ("PM-4", Judge::Worded(terms)),
    ("PM-5", Judge::Worded(active_voice)),
    ("PM-6", Judge::Worded(clear_numbers)),
    ("PM-7", Judge::Worded(no_calculation)),
    ("PM-8", Judge::Plain(short_pieces)),
    ("PM-9", Judge::Plain(headings)),
    ("PM-10", Judge::Plain(order)),
    ("PM-11", Judge::Plain(summary)),
    ("PM-12", Judge::Plain(visual_cues)),
    ("PM-15", Judge::Plain(pictures_used)),
    ("PM-17", Judge::Plain(pictures_titled)),
    ("PM-19", Judge::Plain(tables)),
    ("PM-20", Judge::Worded(action)),
    ("PM-21", Judge::Worded(speaks_to_reader)),
    ("PM-23", Judge::Plain(tool)),
    ("PM-25", Judge::Plain(charts_explained)),
];

/// One scale of a paper's score.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Score {
    pub scale: Scale,
    pub met: usize,
    /// Items that were judged and arise in this paper.
    pub of: usize,
    /// Met in 100 of those judged.
    pub percent: f64,
    /// Items of the scale that no program judged, or that do not arise.
    pub left_out: Vec<&'static str>,
    pub note: &'static str,
}

/// Both scales from the verdicts of one paper; none of a paper that no item is about, as the form that is signed.
pub fn scores(judged: &[Judged]) -> Vec<Score> {
    let about = |check: &&registry::Check| {
        let found = judged.iter().any(|j| j.number == check.number);
        check.scale.is_some() && found
    };
    if registry::checks().iter().find(about).is_none() {
        return Vec::new();
    }
    [Scale::Understandability, Scale::Actionability]
        .into_iter()
        .map(|scale| {
            let items: Vec<&registry::Check> = registry::checks()
                .iter()
                .filter(|check| check.scale == Some(scale))
                .collect();
            let verdict = |number: &str| {
                judged
                    .iter()
                    .find(|j| j.number == number)
                    .map(|judged| judged.verdict)
            };
            let count = |wanted: Verdict| {
                items
                    .iter()
                    .filter(|item| verdict(&item.number) == Some(wanted))
                    .count()
            };
            let met = count(Verdict::Met);
            let of = met + count(Verdict::NotMet);
            Score {
                scale,
                met,
                of,
                percent: met as f64 * 100.0 / of.max(1) as f64,
                left_out: items
                    .iter()
                    .filter(|item| {
                        !matches!(verdict(&item.number), Some(Verdict::Met | Verdict::NotMet))
                    })
                    .map(|item| item.number.as_str())
                    .collect(),
                note: LEFT_OUT_NOTE,
            }
        })
        .collect()
}

fn purpose(review: &Review<'_>, words: &Words) -> Finding {
    let marks = marks_of(&words.language);
    let title = &review.paper.document.title;
    let mut first = vec![title.as_str()];
    let mut count = 0;
    for line in language::prose_of(review) {
        if count >= 50 {
            break;
        }
        count += split::words(line).len();
        first.push(line);
    }
    let mut missing = Vec::new();
    if prose::found(&first.join("\n"), words.list("procedure")).is_empty() {
        missing.push("title and first words do not name the treatment".to_owned());
    }
    let asks = first[1..]
        .iter()
        .flat_map(|line| split::sentences(marks, line))
        .any(|sentence| prose::is_request(sentence, words));
    if !asks {
        missing.push("title and first words ask for nothing".to_owned());
    }
    Finding::lacking("treatment and request in the first 50 words", missing)
}

/// What a search finds in the lines, the patient's own words aside.
fn searched(
    review: &Review<'_>,
    prose_only: bool,
    search: impl Fn(&str) -> Option<String>,
) -> Vec<Place> {
    let areas = review.selection.visit.areas.iter();
    let own: Vec<&str> = areas.filter_map(|area| area.aim.as_deref()).collect();
    let lines = review.view().lines.iter();
    lines
        .filter(|line| !prose_only || line.is_prose())
        .filter(|line| !own.iter().any(|words| line.text.contains(words)))
        .filter_map(|line| {
            let found = search(&line.text)?;
            let at = line.mark.clone().unwrap_or_else(|| "text".into());
            Some(Place::new(at, format!("`{found}`: {}", line.text)))
        })
        .collect()
}

fn phrases(review: &Review<'_>, entries: &[String], prose_only: bool) -> Vec<Place> {
    searched(review, prose_only, |text| {
        let found = prose::found(text, entries);
        found.first().map(|word| (*word).to_owned())
    })
}

fn nothing_distracting(review: &Review<'_>, words: &Words) -> Finding {
    let promotional = words.list("promotional");
    Finding::of(
        format!("none of {} promotional phrases", promotional.len()),
        phrases(review, promotional, false),
    )
}

fn terms(review: &Review<'_>, words: &Words) -> Finding {
    let (used, missing) = language::unexplained(&language::prose_of(review), words);
    let places = missing
        .iter()
        .map(|t| Place::new("term", t.word.clone()))
        .collect();
    Finding::of(format!("{used} listed terms"), places)
}

fn active_voice(review: &Review<'_>, words: &Words) -> Finding {
    let (mut passive, mut all) = (0, 0);
    for line in language::prose_of(review) {
        let (some, of) = prose::voice(line, words);
        passive += some;
        all += of;
    }
    let share = passive as f64 * 100.0 / f64::max(all as f64, 1.0);
    let figure = format!("{passive} of {all} sentences passive ({share:.0} in 100)");
    if share <= 20.0 {
        Finding::met(figure)
    } else {
        Finding::not_met(figure.clone(), vec![Place::new("paper", figure)])
    }
}

fn clear_numbers(review: &Review<'_>, words: &Words) -> Finding {
    let mut places = searched(review, true, |text| prose::number_word(text, words));
    places.extend(risks::one_denominator(review, words).places);
    for line in review
        .view()
        .lines
        .iter()
        .filter(|line| line.mark.is_some())
    {
        let broken = line
            .text
            .split_whitespace()
            .filter(|piece| piece.ends_with(|c: char| c.is_ascii_digit() || ".,;:)".contains(c)))
            .find(|piece| prose::number(piece).is_some_and(|n| n.fract() != 0.0));
        if let Some(number) = broken {
            let at = line.mark.clone().unwrap_or_default();
            places.push(Place::new(at, format!("{number} is not whole")));
        }
    }
    Finding::of("whole numbers in digits", places)
}

fn no_calculation(review: &Review<'_>, words: &Words) -> Finding {
    let found = phrases(review, words.list("calculation"), true);
    Finding::of("nothing to work out", found)
}

fn short_pieces(review: &Review<'_>) -> Finding {
    let view = review.view();
    let mut places = Vec::new();
    let mut longest = 0;
    let mut at = 0;
    while at < view.lines.len() {
        let paragraph = view.lines[at].paragraph;
        let lines: Vec<_> = view.lines[at..]
            .iter()
            .take_while(|line| line.paragraph == paragraph)
            .collect();
        at += lines.len();
        if !matches!(
            lines[0].kind,
            Kind::Paragraph | Kind::Item | Kind::Tick | Kind::Cell
        ) {
            continue;
        }
        let words: usize = lines
            .iter()
            .map(|line| split::words(&line.text).len())
            .sum();
        longest = longest.max(words);
        if words > 60 {
            let name = lines[0].mark.clone().unwrap_or_else(|| "paragraph".into());
            places.push(Place::new(name, format!("{words} words in one paragraph")));
        }
    }
    let mut most = 0;
    for list in &view.lists {
        most = most.max(list.items.len());
        if list.items.len() > 7 {
            let section = view.sections[list.section].clone();
            places.push(Place::new(
                section,
                format!("{} points in one list", list.items.len()),
            ));
        }
    }
    Finding::of(
        format!("longest paragraph {longest} words, longest list {most} points"),
        places,
    )
}

fn headings(review: &Review<'_>) -> Finding {
    let view = review.view();
    let mut places = Vec::new();
    let (mut under, mut longest, mut title) = (0, 0, review.paper.document.title.as_str());
    for line in &view.lines {
        if matches!(line.kind, Kind::Heading(_)) {
            under = 0;
            title = &line.text;
        } else {
            if line.lead {
                under = 0;
                title = &line.text;
            }
            let before = under;
            under += split::words(&line.text).len();
            longest = longest.max(under);
            if before <= 120 && under > 120 {
                let title: String = title.chars().take(60).collect();
                places.push(Place::new(title, "more than 120 words under this heading"));
            }
        }
    }
    Finding::of(format!("at most {longest} words under one heading"), places)
}

fn order(review: &Review<'_>) -> Finding {
    let view = review.view();
    let mut places = Vec::new();
    let wanted: &[&str] = match review.paper.kind {
        PaperKind::Aftercare => {
            let urgent = view.lines.iter().position(|line| line.urgent);
            let title = review.label("aftercare.until.heading");
            let until = view.lines.iter().position(|line| line.text == title);
            match (urgent, until) {
                (None, _) => places.push(Place::new("paper", "no warning signs")),
                (Some(urgent), Some(until)) if until < urgent => {
                    places.push(Place::new(title, "stands before the warning signs"));
                }
                _ => {}
            }
            &[
                "aftercare.until.heading",
                "aftercare.normal.heading",
                "aftercare.next.heading",
                "aftercare.when.heading",
            ]
        }
        _ => &[
            "consent.planned.heading",
            "consent.what.heading",
            "consent.can.heading",
            "consent.risks.heading",
            "consent.choices.heading",
            "consent.time.heading",
        ],
    };
    let mut last = 0;
    for id in wanted {
        let title = review.label(id);
        match view.section_called(&title) {
            None => places.push(Place::new(title, "no such section")),
            Some(at) if at < last => places.push(Place::new(title, "stands too early")),
            Some(at) => last = at,
        }
    }
    Finding::of(format!("{} sections in order", wanted.len()), places)
}

/// Words of a summary at most (ours): of three things to remember, and of five questions with their answers.
const SUMMARY: (usize, usize) = (60, 120);

fn summary(review: &Review<'_>) -> Finding {
    let view = review.view();
    // before the first heading: what comes later sums up nothing
    let first = |panel: &&super::Panel| {
        let line = view.lines.get(panel.from);
        panel.tone == Tone::Note && line.is_some_and(|line| line.section == 0)
    };
    let most = match review.paper.kind {
        PaperKind::Aftercare => SUMMARY.0,
        _ => SUMMARY.1,
    };
    match view.panels.iter().find(first) {
        None => Finding::lacking("none", vec!["no summary".to_owned()]),
        Some(panel) => {
            let words = split::words(&panel.text).len();
            let long = match words > most {
                true => vec![format!("{words} words")],
                false => Vec::new(),
            };
            Finding::lacking(format!("{words} words, {most} at most"), long)
        }
    }
}

fn visual_cues(review: &Review<'_>) -> Finding {
    let paper = review.paper;
    let mut places = Vec::new();
    for page in 1..=review.pages() {
        let cue = paper.content.runs.iter().any(|s| {
            s.page == page
                && !s.part.is_running()
                && (s.bold || ["•", "\u{2610}"].contains(&s.text.trim()))
        });
        if !cue {
            places.push(Place::on(page, "page", "no box, bold words or list"));
        }
    }
    // numbers in table cells are text too; warning signs and what to remember have to stand out as a whole
    let view = review.view();
    let first = view.panels.iter().find(|panel| panel.tone == Tone::Note);
    let remember = first.map_or(0..0, |panel| {
        panel.from..panel.from + panel.text.lines().count()
    });
    let text = |line: &super::Line| line.is_prose() || line.kind == Kind::Cell;
    let lines = view.lines.iter().enumerate();
    let (bold, all) = lines
        .filter(|(at, line)| text(line) && !line.urgent && !remember.contains(at))
        .map(|(_, line)| line)
        .fold((0, 0), |(bold, all), line| {
            (bold + line.bold_words, all + split::words(&line.text).len())
        });
    let share = bold as f64 * 100.0 / f64::max(all as f64, 1.0);
    let figure = format!("{share:.1} in 100 words are bold");
    // in an information paper the name of every risk is bold
    if share > 10.0 && review.paper.kind == PaperKind::Aftercare {
        places.push(Place::new("paper", figure.clone()));
    }
    Finding::of(figure, places)
}

fn pictures_used(review: &Review<'_>) -> Finding {
    let count = review.view().pictures.len();
    let missing = if count == 0 {
        vec!["no picture".to_owned()]
    } else {
        Vec::new()
    };
    Finding::lacking(format!("{count} pictures"), missing)
}

fn pictures_titled(review: &Review<'_>) -> Finding {
    let view = review.view();
    if view.pictures.is_empty() {
        return Finding::not_applicable("no picture");
    }
    let places = view
        .pictures
        .iter()
        .filter(|picture| split::words(&picture.alternative).len() < 3)
        .map(|picture| {
            Place::new(
                view.sections[picture.section].clone(),
                "a picture without words",
            )
        })
        .collect();
    Finding::of(format!("{} pictures", view.pictures.len()), places)
}

fn tables(review: &Review<'_>) -> Finding {
    let tables = &review.view().tables;
    if tables.is_empty() {
        return Finding::not_applicable("no table");
    }
    let mut places = Vec::new();
    for table in tables {
        let long = table
            .header
            .iter()
            .map(|cell| split::words(cell).len())
            .max()
            .unwrap_or(0);
        if table.header.is_empty() || table.header.len() > 5 || long > 6 {
            let found = format!(
                "{} columns, header cells of {long} words",
                table.header.len()
            );
            places.push(Place::new(table.name.clone(), found));
        }
    }
    Finding::of(format!("{} tables", tables.len()), places)
}

fn action(review: &Review<'_>, words: &Words) -> Finding {
    let marks = marks_of(&words.language);
    let count = language::prose_of(review)
        .iter()
        .flat_map(|line| split::sentences(marks, line))
        .filter(|sentence| prose::is_request(sentence, words))
        .count();
    let missing = if count == 0 {
        vec!["nothing to do is named".to_owned()]
    } else {
        Vec::new()
    };
    Finding::lacking(format!("{count} requests"), missing)
}

fn speaks_to_reader(review: &Review<'_>, words: &Words) -> Finding {
    language::direct_judged(&language::marked(review), words)
}

fn tool(review: &Review<'_>) -> Finding {
    let view = review.view();
    let tables = view.tables.iter().filter(|table| table.writing).count();
    let lists = view
        .lists
        .iter()
        .filter(|list| list.style == ListStyle::Tick)
        .count();
    let missing = if tables + lists + view.room == 0 {
        vec!["no diary, checklist, box or line".to_owned()]
    } else {
        Vec::new()
    };
    Finding::lacking(
        format!(
            "{tables} tables to fill in, {lists} lists to tick, {} lines to write on",
            view.room
        ),
        missing,
    )
}

fn charts_explained(review: &Review<'_>) -> Finding {
    let marks = marks_of(review.wording.tag());
    let view = review.view();
    if view.pictures.is_empty() {
        return Finding::not_applicable("no chart");
    }
    let places = view
        .pictures
        .iter()
        .filter(|picture| split::sentences(marks, &picture.alternative).is_empty())
        .map(|picture| Place::new(view.sections[picture.section].clone(), "no sentence"))
        .collect();
    Finding::of(
        format!("{} pictures with a sentence", view.pictures.len()),
        places,
    )
}
