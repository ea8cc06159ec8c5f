//! Turns a paper into a PEMAT-style score over the items that a program can judge.
//! Invariant: the score is always shown with the items left out, and never as a PEMAT rating by people.
//! Must not: count an item that only a person can judge.

use serde::Serialize;

use super::case::Case;
use super::language;
use super::prose;
use super::registry::{self, Scale};
use super::risks;
use super::view::Kind;
use super::{Finding, Judge, Judged, Place, Verdict};
use crate::compose::document::{ListStyle, Tone};
use crate::paper::PaperKind;

/// What has to stand beside every score.
pub const LEFT_OUT_NOTE: &str = "PEMAT-style, judged by program; not a PEMAT rating by people";

pub const JUDGES: &[(&str, Judge)] = &[
    ("PM-1", purpose),
    ("PM-2", nothing_distracting),
    ("PM-4", terms),
    ("PM-5", active_voice),
    ("PM-6", clear_numbers),
    ("PM-7", no_calculation),
    ("PM-8", short_pieces),
    ("PM-9", headings),
    ("PM-10", order),
    ("PM-11", summary),
    ("PM-12", visual_cues),
    ("PM-15", pictures_used),
    ("PM-17", pictures_titled),
    ("PM-19", tables),
    ("PM-20", action),
    ("PM-21", speaks_to_reader),
    ("PM-23", tool),
    ("PM-25", charts_explained),
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

/// Both scales from the verdicts of one paper.
pub fn scores(judged: &[Judged]) -> Vec<Score> {
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

fn no_words() -> Finding {
    Finding::not_applicable("no word list for this language")
}

fn purpose(case: &Case<'_>) -> Finding {
    let Some(words) = case.words else {
        return no_words();
    };
    let title = &case.sheet.document.title;
    let mut first = vec![title.as_str()];
    let mut count = 0;
    for line in language::prose_of(case) {
        if count >= 50 {
            break;
        }
        count += prose::words(line).len();
        first.push(line);
    }
    let mut missing = Vec::new();
    if prose::found(&first.join("\n"), words.list("procedure")).is_empty() {
        missing.push("title and first words do not name the treatment".to_owned());
    }
    let asks = first[1..]
        .iter()
        .flat_map(|line| prose::sentences(line))
        .any(|sentence| prose::is_request(sentence, words));
    if !asks {
        missing.push("title and first words ask for nothing".to_owned());
    }
    Finding::lacking("treatment and request in the first 50 words", missing)
}

/// What a search finds in the lines, the patient's own words aside.
fn searched(
    case: &Case<'_>,
    prose_only: bool,
    search: impl Fn(&str) -> Option<String>,
) -> Vec<Place> {
    let areas = case.selection.visit.areas.iter();
    let own: Vec<&str> = areas.filter_map(|area| area.aim.as_deref()).collect();
    let lines = case.view().lines.iter();
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

fn phrases(case: &Case<'_>, list: &str, prose_only: bool) -> Vec<Place> {
    let entries = case.words.map_or(&[][..], |words| words.list(list));
    searched(case, prose_only, |text| {
        let found = prose::found(text, entries);
        found.first().map(|word| (*word).to_owned())
    })
}

fn nothing_distracting(case: &Case<'_>) -> Finding {
    match case.words {
        Some(words) => Finding::of(
            format!(
                "none of {} promotional phrases",
                words.list("promotional").len()
            ),
            phrases(case, "promotional", false),
        ),
        None => no_words(),
    }
}

fn terms(case: &Case<'_>) -> Finding {
    let Some(words) = case.words else {
        return no_words();
    };
    let (used, missing) = language::unexplained(&language::prose_of(case), words);
    let places = missing
        .iter()
        .map(|t| Place::new("term", t.word.clone()))
        .collect();
    Finding::of(format!("{used} listed terms"), places)
}

fn active_voice(case: &Case<'_>) -> Finding {
    let Some(words) = case.words else {
        return no_words();
    };
    let (mut passive, mut all) = (0, 0);
    for line in language::prose_of(case) {
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

fn clear_numbers(case: &Case<'_>) -> Finding {
    let Some(words) = case.words else {
        return no_words();
    };
    let mut places = searched(case, true, |text| prose::number_word(text, words));
    places.extend(risks::one_denominator(case).places);
    for line in case.view().lines.iter().filter(|line| line.mark.is_some()) {
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

fn no_calculation(case: &Case<'_>) -> Finding {
    match case.words {
        Some(_) => Finding::of("nothing to work out", phrases(case, "calculation", true)),
        None => no_words(),
    }
}

fn short_pieces(case: &Case<'_>) -> Finding {
    let view = case.view();
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
            .map(|line| prose::words(&line.text).len())
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

fn headings(case: &Case<'_>) -> Finding {
    let view = case.view();
    let mut places = Vec::new();
    let (mut under, mut longest, mut title) = (0, 0, case.sheet.document.title.as_str());
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
            under += prose::words(&line.text).len();
            longest = longest.max(under);
            if before <= 120 && under > 120 {
                let title: String = title.chars().take(60).collect();
                places.push(Place::new(title, "more than 120 words under this heading"));
            }
        }
    }
    Finding::of(format!("at most {longest} words under one heading"), places)
}

fn order(case: &Case<'_>) -> Finding {
    let wanted: &[&str] = match case.sheet.paper {
        PaperKind::Aftercare => &["aftercare.urgent.heading", "aftercare.avoid.heading"],
        _ => &[
            "consent.planned.heading",
            "consent.what.heading",
            "consent.can.heading",
            "consent.risks.heading",
            "consent.choices.heading",
            "consent.decision.heading",
        ],
    };
    let mut places = Vec::new();
    let mut last = 0;
    for id in wanted {
        let title = case.label(id);
        match case.view().section_called(&title) {
            None => places.push(Place::new(title, "no such section")),
            Some(at) if at < last => places.push(Place::new(title, "stands too early")),
            Some(at) => last = at,
        }
    }
    Finding::of(format!("{} sections in order", wanted.len()), places)
}

fn summary(case: &Case<'_>) -> Finding {
    let panel = case
        .view()
        .panels
        .iter()
        .find(|panel| panel.tone == Tone::Note && panel.from == 0);
    let title = case.label("aftercare.remember");
    match panel.filter(|panel| panel.title == title) {
        None => Finding::lacking("none", vec!["no summary".to_owned()]),
        Some(panel) => {
            let words = prose::words(&panel.text).len();
            let long = if words > 60 {
                vec![format!("{words} words")]
            } else {
                Vec::new()
            };
            Finding::lacking(format!("{words} words"), long)
        }
    }
}

fn visual_cues(case: &Case<'_>) -> Finding {
    let sheet = case.sheet;
    let mut places = Vec::new();
    for page in 1..=case.pages() {
        let cue = sheet.geometry.stretches.iter().any(|s| {
            s.page == page && !s.furniture && (s.bold || ["•", "\u{2610}"].contains(&s.text.trim()))
        });
        if !cue {
            places.push(Place::on(page, "page", "no box, bold words or list"));
        }
    }
    // numbers in table cells are text too; the box of warning signs has to stand out as a whole
    let text = |line: &&super::Line| line.is_prose() || line.kind == Kind::Cell;
    let lines = case.view().lines.iter().filter(text);
    let (bold, all) = lines
        .filter(|line| !line.urgent)
        .fold((0, 0), |(bold, all), line| {
            (bold + line.bold_words, all + prose::words(&line.text).len())
        });
    let share = bold as f64 * 100.0 / f64::max(all as f64, 1.0);
    let figure = format!("{share:.1} in 100 words are bold");
    if share > 10.0 {
        places.push(Place::new("paper", figure.clone()));
    }
    Finding::of(figure, places)
}

fn pictures_used(case: &Case<'_>) -> Finding {
    let count = case.view().pictures.len();
    let missing = if count == 0 {
        vec!["no picture".to_owned()]
    } else {
        Vec::new()
    };
    Finding::lacking(format!("{count} pictures"), missing)
}

fn pictures_titled(case: &Case<'_>) -> Finding {
    let view = case.view();
    if view.pictures.is_empty() {
        return Finding::not_applicable("no picture");
    }
    let places = view
        .pictures
        .iter()
        .filter(|picture| prose::words(&picture.alternative).len() < 3)
        .map(|picture| {
            Place::new(
                view.sections[picture.section].clone(),
                "a picture without words",
            )
        })
        .collect();
    Finding::of(format!("{} pictures", view.pictures.len()), places)
}

fn tables(case: &Case<'_>) -> Finding {
    let tables = &case.view().tables;
    if tables.is_empty() {
        return Finding::not_applicable("no table");
    }
    let mut places = Vec::new();
    for table in tables {
        let long = table
            .header
            .iter()
            .map(|cell| prose::words(cell).len())
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

fn action(case: &Case<'_>) -> Finding {
    let Some(words) = case.words else {
        return no_words();
    };
    let count = language::prose_of(case)
        .iter()
        .flat_map(|line| prose::sentences(line))
        .filter(|sentence| prose::is_request(sentence, words))
        .count();
    let missing = if count == 0 {
        vec!["nothing to do is named".to_owned()]
    } else {
        Vec::new()
    };
    Finding::lacking(format!("{count} requests"), missing)
}

fn speaks_to_reader(case: &Case<'_>) -> Finding {
    match case.words {
        Some(words) => language::direct_judged(&language::marked(case), words),
        None => no_words(),
    }
}

fn tool(case: &Case<'_>) -> Finding {
    let view = case.view();
    let tables = view.tables.iter().filter(|table| table.writing).count();
    let lists = view
        .lists
        .iter()
        .filter(|list| list.style == ListStyle::Tick)
        .count();
    let missing = if tables + lists == 0 {
        vec!["no diary, checklist or box".to_owned()]
    } else {
        Vec::new()
    };
    Finding::lacking(
        format!("{tables} tables to fill in, {lists} lists to tick"),
        missing,
    )
}

fn charts_explained(case: &Case<'_>) -> Finding {
    let view = case.view();
    if view.pictures.is_empty() {
        return Finding::not_applicable("no chart");
    }
    let places = view
        .pictures
        .iter()
        .filter(|picture| prose::sentences(&picture.alternative).is_empty())
        .map(|picture| Place::new(view.sections[picture.section].clone(), "no sentence"))
        .collect();
    Finding::of(
        format!("{} pictures with a sentence", view.pictures.len()),
        places,
    )
}
