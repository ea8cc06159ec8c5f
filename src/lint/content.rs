//! Turns the information paper and the form that is signed into verdicts on what they must hold: what, why, choices; places to sign.
//! Invariant: a required part counts only when it is composed and laid out.
//! Must not: judge numbers of risks (that is `risks`), or how something is said (that is `language`).

use super::prose;
use super::review::{PaperUnderReview, Review};
use super::view::{Kind, List, Sign};
use super::words::Words;
use super::{Finding, Judge, Place};
use crate::catalogue::{Risk, Standing};
use crate::compose::document::ListStyle;
use crate::domain::StatementId;
use crate::select::SelectedArea;
use crate::wording::Context;

pub const JUDGES: &[(&str, Judge)] = &[
    ("DC-5", Judge::Plain(dates_in_words)),
    ("DC-8", Judge::Worded(procedure_explained)),
    ("DC-10", Judge::Plain(benefits)),
    ("DC-11", Judge::Worded(risk_section)),
    ("DC-12", Judge::Plain(may_not_work)),
    ("DC-13", Judge::Plain(other_choices)),
    ("DC-14", Judge::Plain(repeats)),
    ("DC-15", Judge::Plain(off_label)),
    ("DC-16", Judge::Plain(cost)),
    ("DC-17", Judge::Plain(time_to_decide)),
    ("DC-20", Judge::Worded(interpreter)),
    ("DC-21", Judge::Plain(withdrawal)),
    ("DC-22", Judge::Plain(copy)),
    ("DC-23", Judge::Plain(aftercare_recorded)),
    ("DC-25", Judge::Plain(representative)),
    ("DC-26", Judge::Plain(photographs)),
    ("DC-27", Judge::Worded(observers)),
];

/// Room to write in a sentence.
const BLANK: &str = "____";

/// What a program that finds nothing to sign says of a draft.
const DRAFT: &str = "a draft has no place to sign";

fn dates_in_words(review: &Review<'_>) -> Finding {
    let patient = &review.selection.visit.patient;
    let places: Vec<Place> = review
        .view()
        .lines
        .iter()
        // a record number may look like anything
        .filter(|line| line.text != patient.record && line.text != patient.name)
        .filter_map(|line| {
            let date = prose::digit_date(&line.text)?;
            Some(Place::new(
                line.mark.clone().unwrap_or(line.text.clone()),
                date,
            ))
        })
        .collect();
    Finding::of(format!("{} dates in digits alone", places.len()), places)
}

fn procedure_explained(review: &Review<'_>, words: &Words) -> Finding {
    let title = &review.paper.document.title;
    let names = words.list("procedure");
    let marks = super::readability::marks_of(&words.language);
    let mut missing = Vec::new();
    if prose::found(title, names).is_empty() {
        missing.push(format!("the title does not name the treatment: {title}"));
    }
    for term in words.term.iter().filter(|term| names.contains(&term.word)) {
        if !super::language::is_explained(marks, &super::language::prose_of(review), term) {
            missing.push(format!("{} is not explained", term.word));
        }
    }
    Finding::lacking("named in the title and explained", missing)
}

/// The statements of a section are printed under its heading.
fn section(review: &Review<'_>, heading: &str, ids: &[String]) -> Finding {
    let title = review.label(heading);
    let mut missing = review.missing(ids.iter().map(String::as_str));
    match review.view().section_called(&title) {
        None => missing.push(format!("no section called `{title}`")),
        Some(section) => {
            let here = |id: &String| {
                let of = |line: &&super::Line| line.mark.as_ref() == Some(id);
                review
                    .view()
                    .lines
                    .iter()
                    .find(of)
                    .is_some_and(|line| line.section == section)
            };
            let elsewhere = ids
                .iter()
                .filter(|id| review.page_of(id).is_some() && !here(id));
            missing.extend(elsewhere.map(|id| format!("{id} stands in another section")));
        }
    }
    Finding::lacking(format!("{} statements under `{title}`", ids.len()), missing)
}

fn of_areas(review: &Review<'_>, parts: &[&str]) -> Vec<String> {
    let areas = review.selection.areas.iter();
    areas
        .flat_map(|s| {
            parts
                .iter()
                .map(move |part| StatementId::of_area(&s.area.id, part).to_string())
        })
        .collect()
}

fn benefits(review: &Review<'_>) -> Finding {
    section(
        review,
        "consent.can.heading",
        &of_areas(review, &["can", "cannot"]),
    )
}

fn risk_section(review: &Review<'_>, words: &Words) -> Finding {
    let title = review.label("consent.risks.heading");
    let Some(section) = review.view().section_called(&title) else {
        return Finding::lacking("no section", vec![format!("no section called `{title}`")]);
    };
    let lines = review
        .view()
        .lines
        .iter()
        .filter(|line| line.section == section);
    let unknown = review.label("figure.none");
    let no_figure = review.label("consent.risks.no-figure");
    let numbered = lines
        .clone()
        .filter(|line| line.kind == Kind::Cell)
        .filter(|line| !prose::frequencies(&line.text, words).is_empty())
        .count();
    let said = lines
        .filter(|line| line.text == unknown || line.text == no_figure)
        .count();
    let figure = format!("{numbered} cells with a number, {said} times said that none is known");
    if numbered + said == 0 {
        Finding::lacking(
            figure,
            vec!["neither a number nor that none is known".to_owned()],
        )
    } else {
        Finding::met(figure)
    }
}

fn may_not_work(review: &Review<'_>) -> Finding {
    const FOR_EVERYONE: &str = "may-not-work";
    let mut ids = Vec::new();
    let general = review.selection.general_risks();
    if general.iter().any(|risk| risk.id == FOR_EVERYONE) {
        ids.push(StatementId::general_risk(FOR_EVERYONE).to_string());
    } else {
        // every area has a risk of its own that stands for it
        for selected in &review.selection.areas {
            let own = selected.risks.iter();
            let own = own.filter(|risk| risk.instead_of.as_deref() == Some(FOR_EVERYONE));
            let id = |risk: &&Risk| StatementId::risk(&selected.area.id, &risk.id).to_string();
            ids.extend(own.map(id));
        }
    }
    section(review, "consent.risks.heading", &ids)
}

fn other_choices(review: &Review<'_>) -> Finding {
    let ids: Vec<String> = review
        .selection
        .choices()
        .iter()
        .map(|c| StatementId::choice(&c.id).to_string())
        .collect();
    if ids.len() < 2 || !ids.iter().any(|id| id == "choice.nothing") {
        return Finding::lacking(
            format!("{} choices", ids.len()),
            vec!["two choices at least, one of them to do nothing".to_owned()],
        );
    }
    section(review, "consent.choices.heading", &ids)
}

fn repeats(review: &Review<'_>) -> Finding {
    section(
        review,
        "consent.repeats.heading",
        &["general.repeats".to_owned()],
    )
}

fn off_label(review: &Review<'_>) -> Finding {
    let outside: Vec<String> = review
        .selection
        .standings()
        .iter()
        .filter(|alike| alike.standing != Standing::Licensed)
        .map(|alike| alike.id().to_string())
        .collect();
    if outside.is_empty() {
        return Finding::not_applicable("every area is within the licence");
    }
    Finding::lacking(
        format!("said in {} statements", outside.len()),
        review.missing(outside.iter().map(String::as_str)),
    )
}

fn cost(review: &Review<'_>) -> Finding {
    let region = &review.selection.region.id;
    let areas = &review.selection.areas;
    let printed = |selected: &&SelectedArea<'_>| {
        let fee = selected.upkeep.and_then(|upkeep| upkeep.fee);
        let fees = review.selection.clinic.fees.as_ref();
        fee.zip(fees).is_some_and(|(fee, fees)| {
            review.says(&review.wording.formats().money(fee, &fees.currency))
        })
    };
    let priced = areas.iter().filter(printed).count();
    let figure = format!("a price for {priced} of {} areas", areas.len());
    // France: a quote from 300 euros; United States: an estimate for people who pay themselves (D58, D69)
    if region != "FR" && region != "US" {
        return Finding::not_applicable(format!("not asked for in {region}; {figure}"));
    }
    let unpriced = areas.iter().filter(|selected| !printed(selected));
    let places = unpriced
        .map(|s| {
            Place::new(
                s.area.id.as_str(),
                format!("no price, and {region} asks for one"),
            )
        })
        .collect();
    Finding::of(figure, places)
}

/// Sentences with a box to tick.
fn to_tick<'c>(review: &'c Review<'_>) -> impl Iterator<Item = &'c str> {
    let lines = review.paper.view.lines.iter();
    lines
        .filter(|line| line.kind == Kind::Tick)
        .map(|line| line.text.as_str())
}

fn time_to_decide(review: &Review<'_>) -> Finding {
    let (visit, formats) = (review.selection.visit, review.wording.formats());
    let mut missing = Vec::new();
    let informed = visit.informed_on;
    match informed {
        Some(day) => {
            let said = [
                formats.weekday_date(day),
                formats.date(day),
                formats.short_date(day),
            ];
            if !to_tick(review).any(|text| said.iter().any(|day| text.contains(day))) {
                missing.push("no sentence to tick has the day of information".to_owned());
            }
        }
        None => {
            if !to_tick(review).any(|text| text.contains(BLANK)) {
                missing.push("no sentence to tick has room for the day of information".to_owned());
            }
        }
    }
    let dated = field(review, "consent.sign.date");
    if !dated && !review.is_draft() {
        missing.push("no place for the day of consent".to_owned());
    }
    let days = informed.map(|day| (visit.date - day).get_days());
    let figure = match (review.selection.wait_days, days) {
        (None, Some(days)) => {
            let noun = if days == 1 { "day" } else { "days" };
            format!("{days} {noun}; the place names no least time")
        }
        (None, None) => "day of information to be written in; the place names no least time".into(),
        (Some(least), days) => {
            if days.is_none_or(|days| days < i32::from(least)) {
                missing.push(format!("less than the {least} days of the place"));
            }
            format!(
                "{} days, {least} asked for",
                days.map_or("no".into(), |d| d.to_string())
            )
        }
    };
    Finding::lacking(figure, missing)
}

/// Whether some place to sign has this among its fields.
fn field(review: &Review<'_>, id: &str) -> bool {
    let mut signs = review.view().signs.iter();
    signs.any(|sign| has_field(review, sign, id))
}

/// Whether a place to sign has this among its fields.
fn has_field(review: &Review<'_>, sign: &Sign, id: &str) -> bool {
    let label = review.label(id);
    !label.is_empty() && sign.fields.contains(&label)
}

fn block<'c>(review: &'c Review<'_>, id: &str) -> Option<&'c Sign> {
    let title = review.label(id);
    review
        .paper
        .view
        .signs
        .iter()
        .find(|sign| sign.title == title)
}

fn interpreter(review: &Review<'_>, words: &Words) -> Finding {
    if review.is_draft() {
        return Finding::not_applicable(DRAFT);
    }
    let Some(own) = block(review, "consent.sign.interpreter") else {
        return Finding::lacking("no block", vec!["no place for an interpreter".to_owned()]);
    };
    let section = review.view().sections.get(own.section);
    let text = format!(
        "{} {} {}",
        section.map_or("", String::as_str),
        own.title,
        own.text
    );
    let asks = |id: &str| has_field(review, own, id);
    let mut missing = Vec::new();
    for (what, there) in [
        (
            "whether one is needed",
            words.has(&text, "interpreter_needed"),
        ),
        ("the language", asks("consent.sign.language")),
        ("the name", asks("consent.sign.name")),
        ("the qualification", asks("consent.sign.qualification")),
        ("a signature", asks("consent.sign.signature")),
        ("the day", asks("consent.sign.date")),
    ] {
        if !there {
            missing.push(format!("the interpreter's block does not ask for {what}"));
        }
    }
    Finding::lacking("a block of its own", missing)
}

fn withdrawal(review: &Review<'_>) -> Finding {
    let id = "general.stop-any-time";
    Finding::lacking("said", review.missing([id]))
}

fn copy(review: &Review<'_>) -> Finding {
    if review.is_draft() {
        return Finding::not_applicable(DRAFT);
    }
    let label = review.label("consent.sign.copy");
    let line = review
        .view()
        .signs
        .iter()
        .find(|sign| has_field(review, sign, "consent.sign.copy"));
    let missing = match line {
        None => vec![format!("no line `{label}`")],
        Some(sign) if !has_field(review, sign, "consent.sign.date") => {
            vec![format!("no day beside `{label}`")]
        }
        Some(_) => Vec::new(),
    };
    Finding::lacking("a line with room for the name and the day", missing)
}

/// The code that the running line of a paper ends with: "ABCD-EFGH-JKLM".
fn code_of<'c>(review: &Review<'_>, paper: &'c PaperUnderReview) -> &'c str {
    let mut empty = Context::new();
    empty.insert("code".to_owned(), "".into());
    let lead = review.line("paper.code", &empty);
    let line = paper.document.running_lines.code.as_str();
    line.strip_prefix(lead.trim()).unwrap_or(line).trim()
}

fn aftercare_recorded(review: &Review<'_>) -> Finding {
    let mut missing = Vec::new();
    let title = review.fragment("aftercare.short-title").to_lowercase();
    if title.is_empty() || !to_tick(review).any(|text| text.to_lowercase().contains(&title)) {
        missing.push(format!("no sentence to tick names the `{title}`"));
    }
    let code = review.information.map(|read| code_of(review, read));
    match code.filter(|code| !code.is_empty()) {
        None => missing.push("the information paper has no code".to_owned()),
        Some(code) if !to_tick(review).any(|text| text.contains(code)) => {
            missing.push(format!(
                "no sentence to tick has {code}, the code of the information paper"
            ));
        }
        Some(_) => {}
    }
    Finding::lacking("information by its code, aftercare by its name", missing)
}

fn representative(review: &Review<'_>) -> Finding {
    if review.is_draft() {
        return Finding::not_applicable(DRAFT);
    }
    let missing = match block(review, "consent.sign.representative") {
        None => vec!["no place for somebody who signs for the patient".to_owned()],
        Some(sign) if !has_field(review, sign, "consent.sign.name-and-basis") => {
            vec!["no room for the basis on which they do".to_owned()]
        }
        Some(_) => Vec::new(),
    };
    Finding::lacking("a block with the basis", missing)
}

fn ticks<'c>(review: &'c Review<'_>) -> impl Iterator<Item = &'c List> {
    let lists = review.paper.view.lists.iter();
    lists.filter(|list| list.style == ListStyle::Tick)
}

fn photographs(review: &Review<'_>) -> Finding {
    let uses = [
        "consent.photos.record",
        "consent.photos.teaching",
        "consent.photos.public",
        "consent.photos.none",
    ];
    let labels: Vec<String> = uses.iter().map(|id| review.label(id)).collect();
    let best = ticks(review)
        .map(|list| {
            labels
                .iter()
                .filter(|label| list.items.contains(label))
                .count()
        })
        .max()
        .unwrap_or(0);
    let mut missing = Vec::new();
    if best < uses.len() {
        missing.push(format!(
            "{best} of {} choices about photographs",
            uses.len()
        ));
    }
    if !review.says(&review.label("consent.photos.intro")) {
        missing.push("not said that it is a separate choice".to_owned());
    }
    Finding::lacking(format!("{best} boxes, none ticked"), missing)
}

fn observers(review: &Review<'_>, words: &Words) -> Finding {
    let lines = review.view().lines.iter();
    let line = lines.clone().find(|line| words.has(&line.text, "observer"));
    let missing = match line {
        None => vec!["nothing about people who watch or learn".to_owned()],
        Some(line) if !words.has(&line.text, "observer_refuse") => {
            vec!["no right to refuse beside it".to_owned()]
        }
        Some(_) => Vec::new(),
    };
    Finding::lacking("said, with the right to refuse", missing)
}
