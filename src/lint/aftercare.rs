//! Turns an aftercare sheet into verdicts: warning signs first, whom to call, what to do, what comes next.
//! Invariant: places are read from the pages, words from the composed sheet.
//! Must not: judge another paper.

use super::prose;
use super::review::{Review, squeeze};
use super::words::{self, Words};
use super::{Finding, Judge, Place};
use crate::catalogue::AdviceKind;
use crate::compose::document::{Sign, Tone};
use crate::domain::{StatementId, StatementKind, kind_of};
use crate::select;

pub const JUDGES: &[(&str, Judge)] = &[
    ("DC-53", Judge::Worded(warning_box)),
    ("DC-55", Judge::Plain(expected_course)),
    ("DC-56", Judge::Worded(do_and_do_not)),
    ("DC-57", Judge::Worded(follow_up)),
    ("DC-58", Judge::Plain(three_things)),
];

fn warning_box(review: &Review<'_>, words: &Words) -> Finding {
    let view = review.view();
    let Some(panel) = view.panels.iter().find(|panel| panel.tone == Tone::Urgent) else {
        return Finding::lacking("no box", vec!["no box of warning signs".to_owned()]);
    };
    let flags = review.selection.red_flags();
    let mut places: Vec<Place> = Vec::new();
    for flag in &flags {
        let id = StatementId::red_flag(&flag.id).to_string();
        match review.page_of(&id) {
            Some(1) => {}
            Some(page) => places.push(Place::on(page, id, "not on page 1")),
            None => places.push(Place::new(id, "not printed")),
        }
    }
    let text = &panel.text;
    if !words.has(text, "weeks") {
        places.push(Place::new(
            "warning box",
            "does not say that signs may come weeks later",
        ));
    }
    let emergency = &review.selection.region.emergency.value;
    if !emergency
        .iter()
        .any(|number| text.contains(number.as_str()))
    {
        places.push(Place::new("warning box", "no emergency number"));
    }
    for band in &view.bands {
        let number = |text: &String| text.chars().any(|c| c.is_ascii_digit());
        if !band.numbers.iter().any(number) {
            places.push(Place::new(band.action.clone(), "no number to call"));
        }
    }
    Finding::of(
        format!("{} signs, up to weeks later, whom to call", flags.len()),
        places,
    )
}

fn expected_course(review: &Review<'_>) -> Finding {
    let mut missing = review.missing(["redflag.worry", "normal.slow-start"]);
    let dated = review.view().tables.iter().any(|table| {
        let dates = |cells: &Vec<String>| {
            cells
                .iter()
                .filter(|cell| cell.chars().any(|c| c.is_ascii_digit()))
                .count()
        };
        table.rows.iter().any(|row| dates(&row.cells) >= 2)
    });
    if !dated && review.view().pictures.is_empty() {
        missing.push("no times of what to expect".to_owned());
    }
    Finding::lacking("times for each area, and worry is reason enough", missing)
}

fn do_and_do_not(review: &Review<'_>, words: &Words) -> Finding {
    let mut places = Vec::new();
    let marked = &review.view().instructions;
    for (kind, sign, what) in [
        (AdviceKind::Do, Sign::Do, "to do"),
        (AdviceKind::Avoid, Sign::DoNot, "not to do"),
    ] {
        let all = review.selection.advice.iter();
        let ids = all
            .filter(|item| item.advice.kind == kind)
            .map(|item| StatementId::advice(&item.advice.id).to_string());
        let found: Vec<Option<Sign>> = ids
            .map(|id| {
                let own = marked.iter().find(|one| one.mark.as_ref() == Some(&id))?;
                if own.sign != sign {
                    places.push(Place::new(
                        id,
                        format!("has not the mark of what is {what}"),
                    ));
                }
                Some(own.sign)
            })
            .collect();
        // the next visit stands with its date
        if !found.is_empty() && found.iter().all(Option::is_none) {
            places.push(Place::new(
                "paper",
                format!("nothing in the table is {what}"),
            ));
        }
    }
    let mut count = 0;
    for line in &review.view().lines {
        let Some(mark) = line
            .mark
            .as_deref()
            .filter(|mark| kind_of(mark) == Some(StatementKind::Advice))
        else {
            continue;
        };
        count += 1;
        for list in ["number", "calculation"] {
            if let Some(word) = prose::found(&line.text, words.list(list)).first() {
                places.push(Place::new(mark, format!("says `{word}`: {}", line.text)));
            }
        }
    }
    if count == 0 {
        places.push(Place::new("paper", "no instruction at all"));
    }
    Finding::of(format!("{count} instructions"), places)
}

fn follow_up(review: &Review<'_>, words: &Words) -> Finding {
    let person = &review.selection.practitioner.name;
    let title = review.label("aftercare.next.heading");
    let section = review.view().section_called(&title);
    let text: Vec<&str> = review
        .view()
        .lines
        .iter()
        .filter(|line| Some(line.section) == section)
        .map(|line| line.text.as_str())
        .collect();
    let text = text.join("\n");
    let dated = select::review(&review.selection.areas)
        .is_some_and(|range| text.contains(&range.last.year().to_string()));
    let mut missing = Vec::new();
    for (what, there) in [
        ("when", dated),
        ("with whom", squeeze(&text).contains(&squeeze(person))),
        ("what to bring", words.has(&text, "bring")),
    ] {
        if !there {
            missing.push(format!("the next visit does not say {what}"));
        }
    }
    Finding::lacking("date, person and what to bring", missing)
}

fn three_things(review: &Review<'_>) -> Finding {
    let view = review.view();
    let mut missing = Vec::new();
    match view.panels.iter().find(|panel| panel.tone == Tone::Note) {
        None => missing.push("no box of what to remember".to_owned()),
        Some(panel) => {
            let points = panel.text.lines().filter(|line| *line != panel.title);
            let points = points.count();
            if points != 3 {
                missing.push(format!("{points} points"));
            }
            // whose sheet it is may come first
            let name = &review.selection.visit.patient.name;
            let before = &view.lines[..panel.from];
            if !before.iter().all(|line| line.text.contains(name)) {
                missing.push("something stands before the box".to_owned());
            }
        }
    }
    // that sheet is in the practice's language, whatever the patient's is
    let of_practice = review.clinician.map(|sheet| {
        let lists = words::of(&sheet.document.language);
        lists.map(|words| words.has(&sheet.view.all_text(), "own_words"))
    });
    if of_practice == Some(None) {
        return Finding::not_judged(super::NO_WORDS);
    }
    if of_practice != Some(Some(true)) {
        missing.push("no line on the clinician's sheet for the patient saying it back".to_owned());
    }
    Finding::lacking(
        "three points first, and a line on the clinician's sheet",
        missing,
    )
}
