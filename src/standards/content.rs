//! Turns a consent form into verdicts on what it must hold: who, what, why, choices, places to sign.
//! Invariant: a required part counts only when it is composed and laid out.
//! Must not: judge numbers of risks (that is `risks`), or how something is said (that is `language`).

use super::case::Case;
use super::prose;
use super::view::{Kind, List, Sign};
use super::{Finding, Judge, Place};
use crate::catalogue::Standing;
use crate::compose::document::ListStyle;
use crate::domain::{CautionId, LabelId, StatementId, Trigger};
use crate::select::SelectedArea;
use crate::wording::library;

pub const JUDGES: &[(&str, Judge)] = &[
    ("DC-5", dates_in_words),
    ("DC-6", clinic_named),
    ("DC-7", practitioner_named),
    ("DC-8", procedure_explained),
    ("DC-9", area_product_batch),
    ("DC-10", benefits),
    ("DC-11", risk_section),
    ("DC-12", may_not_work),
    ("DC-13", other_choices),
    ("DC-14", repeats),
    ("DC-15", off_label),
    ("DC-16", cost),
    ("DC-17", time_to_decide),
    ("DC-19", age),
    ("DC-20", interpreter),
    ("DC-21", withdrawal),
    ("DC-22", copy),
    ("DC-23", aftercare_recorded),
    ("DC-24", signature_blocks),
    ("DC-25", representative),
    ("DC-26", photographs),
    ("DC-27", observers),
    ("DC-28", nothing_ticked),
];

/// What a program that finds nothing to sign says of a draft.
const DRAFT: &str = "a draft has no place to sign";

fn dates_in_words(case: &Case<'_>) -> Finding {
    let patient = &case.selection.visit.patient;
    let places: Vec<Place> = case
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

fn clinic_named(case: &Case<'_>) -> Finding {
    let clinic = case.selection.clinic;
    let missing: Vec<String> = [("name", &clinic.name), ("telephone", &clinic.phone)]
        .into_iter()
        .chain(clinic.address.iter().map(|line| ("address", line)))
        .filter(|(_, text)| !case.says(text))
        .map(|(what, text)| format!("{what} of the clinic: {text}"))
        .collect();
    Finding::lacking("name, address and telephone", missing)
}

fn practitioner_named(case: &Case<'_>) -> Finding {
    let person = case.selection.practitioner;
    let missing = [("name", &person.name), ("role", &person.role)]
        .into_iter()
        .filter(|(_, text)| !case.says(text))
        .map(|(what, _)| format!("{what} of the practitioner"))
        .collect();
    Finding::lacking("name and role", missing)
}

fn procedure_explained(case: &Case<'_>) -> Finding {
    let Some(words) = case.words else {
        return Finding::not_applicable("no word list for this language");
    };
    let title = &case.sheet.document.title;
    let names = words.list("procedure");
    let mut missing = Vec::new();
    if prose::found(title, names).is_empty() {
        missing.push(format!("the title does not name the treatment: {title}"));
    }
    for term in words.term.iter().filter(|term| names.contains(&term.word)) {
        if !super::language::is_explained(&super::language::prose_of(case), term) {
            missing.push(format!("{} is not explained", term.word));
        }
    }
    Finding::lacking("named in the title and explained", missing)
}

fn area_product_batch(case: &Case<'_>) -> Finding {
    let mut missing = Vec::new();
    for selected in &case.selection.areas {
        let name = case.label(&LabelId::area_name(&selected.area.id));
        if !case.says(&name) {
            missing.push(format!("area {}", selected.area.id));
        }
    }
    for product in &case.selection.products {
        if !case.says(product.id.as_str()) {
            missing.push(format!("product {}", product.id));
        }
    }
    if !case.says(&case.label("label.batch")) {
        missing.push("a place for the batch number".to_owned());
    }
    Finding::lacking(
        format!(
            "{} areas, {} products, batch number",
            case.selection.areas.len(),
            case.selection.products.len()
        ),
        missing,
    )
}

/// The statements of a section are printed under its heading.
fn section(case: &Case<'_>, heading: &str, ids: &[String]) -> Finding {
    let title = case.label(heading);
    let mut missing = case.missing(ids.iter().map(String::as_str));
    match case.view().section_called(&title) {
        None => missing.push(format!("no section called `{title}`")),
        Some(section) => {
            let here = |id: &String| {
                let of = |line: &&super::Line| line.mark.as_ref() == Some(id);
                case.view()
                    .lines
                    .iter()
                    .find(of)
                    .is_some_and(|line| line.section == section)
            };
            let elsewhere = ids
                .iter()
                .filter(|id| case.page_of(id).is_some() && !here(id));
            missing.extend(elsewhere.map(|id| format!("{id} stands in another section")));
        }
    }
    Finding::lacking(format!("{} statements under `{title}`", ids.len()), missing)
}

fn of_areas(case: &Case<'_>, parts: &[&str]) -> Vec<String> {
    let areas = case.selection.areas.iter();
    areas
        .flat_map(|s| {
            parts
                .iter()
                .map(move |part| StatementId::of_area(&s.area.id, part).to_string())
        })
        .collect()
}

fn benefits(case: &Case<'_>) -> Finding {
    section(
        case,
        "consent.can.heading",
        &of_areas(case, &["can", "cannot"]),
    )
}

fn risk_section(case: &Case<'_>) -> Finding {
    let title = case.label("consent.risks.heading");
    let Some(section) = case.view().section_called(&title) else {
        return Finding::lacking("no section", vec![format!("no section called `{title}`")]);
    };
    let lines = case
        .view()
        .lines
        .iter()
        .filter(|line| line.section == section);
    let unknown = case.label("figure.none");
    let no_figure = case.label("consent.risks.no-figure");
    let numbered = lines
        .clone()
        .filter(|line| line.kind == Kind::Cell)
        .filter(|line| {
            case.words
                .is_some_and(|w| !prose::frequencies(&line.text, w).is_empty())
        })
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

fn may_not_work(case: &Case<'_>) -> Finding {
    section(
        case,
        "consent.risks.heading",
        &["general.risk.may-not-work".to_owned()],
    )
}

fn other_choices(case: &Case<'_>) -> Finding {
    let general = &case.selection.catalogue.general;
    let ids: Vec<String> = general
        .choice
        .iter()
        .map(|c| StatementId::choice(&c.id).to_string())
        .collect();
    if ids.len() < 2 || !ids.iter().any(|id| id == "choice.nothing") {
        return Finding::lacking(
            format!("{} choices", ids.len()),
            vec!["two choices at least, one of them to do nothing".to_owned()],
        );
    }
    section(case, "consent.choices.heading", &ids)
}

fn repeats(case: &Case<'_>) -> Finding {
    section(
        case,
        "consent.repeats.heading",
        &["general.repeats".to_owned()],
    )
}

fn off_label(case: &Case<'_>) -> Finding {
    let outside: Vec<String> = case
        .selection
        .areas
        .iter()
        .filter(|s| s.standing() != Standing::Licensed)
        .map(|s| StatementId::standing(&s.area.id, s.standing()).to_string())
        .collect();
    if outside.is_empty() {
        return Finding::not_applicable("every area is within the licence");
    }
    Finding::lacking(
        format!("said for {} areas", outside.len()),
        case.missing(outside.iter().map(String::as_str)),
    )
}

fn cost(case: &Case<'_>) -> Finding {
    let region = &case.selection.region.id;
    let areas = &case.selection.areas;
    let printed = |selected: &&SelectedArea<'_>| {
        let fee = selected.upkeep.and_then(|upkeep| upkeep.fee);
        let fees = case.selection.clinic.fees.as_ref();
        fee.zip(fees).is_some_and(|(fee, fees)| {
            case.says(&case.wording.formats().money(fee, &fees.currency))
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

fn time_to_decide(case: &Case<'_>) -> Finding {
    let (visit, formats) = (case.selection.visit, case.wording.formats());
    let mut missing = Vec::new();
    let blank = case.label("consent.time.not-recorded");
    let informed = match visit.informed_on {
        Some(day) => {
            if !case.says(&formats.weekday_date(day)) && !case.says(&formats.date(day)) {
                missing.push("the day of information is not printed".to_owned());
            }
            Some(day)
        }
        None => {
            if !case.says(&blank) {
                missing.push("no place for the day of information".to_owned());
            }
            None
        }
    };
    let dated = case
        .view()
        .signs
        .iter()
        .any(|s| s.fields.contains(&case.label("consent.sign.date")));
    if !dated && !case.is_draft() {
        missing.push("no place for the day of consent".to_owned());
    }
    let days = informed.map(|day| (visit.date - day).get_days());
    let figure = match (case.selection.wait_days, days) {
        (None, Some(days)) => format!("{days} days; the place names no least time"),
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

fn age(case: &Case<'_>) -> Finding {
    let age = case.selection.age;
    match &case.selection.region.minimum_age {
        None => Finding::met(format!(
            "{age} years; our sources name no least age for the place"
        )),
        Some(least) if i32::from(age) >= i32::from(least.years) => {
            Finding::met(format!("{age} years, least {}", least.years))
        }
        Some(least) => {
            let raised = case
                .selection
                .cautions
                .iter()
                .any(|c| c.id == CautionId::from(Trigger::AgeUnderMinimum));
            let missing = if raised {
                Vec::new()
            } else {
                vec!["younger than the place allows, and no caution says so".to_owned()]
            };
            Finding::lacking(format!("{age} years, least {}", least.years), missing)
        }
    }
}

/// Whether some place to sign has this among its fields.
fn field(case: &Case<'_>, id: &str) -> bool {
    let label = case.label(id);
    !label.is_empty()
        && case
            .view()
            .signs
            .iter()
            .any(|sign| sign.fields.contains(&label))
}

fn block<'c>(case: &'c Case<'_>, id: &str) -> Option<&'c Sign> {
    let title = case.label(id);
    case.sheet
        .view
        .signs
        .iter()
        .find(|sign| sign.title == title)
}

fn interpreter(case: &Case<'_>) -> Finding {
    if case.is_draft() {
        return Finding::not_applicable(DRAFT);
    }
    let own = block(case, "consent.sign.interpreter");
    let line = field(case, "consent.sign.interpreter-line");
    if own.is_none() && !line {
        return Finding::lacking("no line", vec!["no place for an interpreter".to_owned()]);
    }
    let text = match own {
        Some(sign) => format!("{} {} {}", sign.title, sign.text, sign.fields.join(" ")),
        None => case.label("consent.sign.interpreter-line"),
    };
    let named = |id: &str| own.is_some_and(|sign| sign.fields.contains(&case.label(id)));
    let mut missing = Vec::new();
    for (what, there) in [
        (
            "whether one is needed",
            // a block of its own is there because the languages differ
            own.is_some() || case.has_word(&text, "interpreter_needed"),
        ),
        (
            "the language",
            named("consent.sign.language")
                || text
                    .to_lowercase()
                    .contains(&case.label("consent.sign.language").to_lowercase()),
        ),
        (
            "the qualification",
            case.has_word(&text, "interpreter_qualification"),
        ),
    ] {
        if !there {
            missing.push(format!("the interpreter's line does not ask for {what}"));
        }
    }
    Finding::lacking(
        if own.is_some() {
            "a block of its own"
        } else {
            "one line"
        },
        missing,
    )
}

fn withdrawal(case: &Case<'_>) -> Finding {
    let id = "general.stop-any-time";
    Finding::lacking("said", case.missing([id]))
}

fn copy(case: &Case<'_>) -> Finding {
    if case.is_draft() {
        return Finding::not_applicable(DRAFT);
    }
    let label = case.label("consent.sign.copy");
    let there = field(case, "consent.sign.copy") || block(case, "consent.sign.copy").is_some();
    let missing = if there {
        Vec::new()
    } else {
        vec![format!("no line `{label}`")]
    };
    Finding::lacking("a line with room for the name", missing)
}

fn aftercare_recorded(case: &Case<'_>) -> Finding {
    let tag = case.wording.tag();
    let line = case
        .view()
        .lines
        .iter()
        .find(|line| line.text.contains(library::version(tag)) && line.text.contains(tag));
    let title = case.fragment("aftercare.short-title").to_lowercase();
    let missing = match line {
        None => vec!["no line with version and language of the aftercare sheet".to_owned()],
        Some(line) if !title.is_empty() && !line.text.to_lowercase().contains(&title) => {
            vec![format!("the line does not name the `{title}`")]
        }
        Some(_) => Vec::new(),
    };
    Finding::lacking("title, version and language", missing)
}

fn signature_blocks(case: &Case<'_>) -> Finding {
    if case.is_draft() {
        return Finding::not_applicable(DRAFT);
    }
    let mut missing = Vec::new();
    for (who, more) in [("patient", None), ("practitioner", Some("role"))] {
        let Some(sign) = block(case, &LabelId::sign(who)) else {
            missing.push(format!("no place for the {who} to sign"));
            continue;
        };
        for part in ["signature", "date", "time"].into_iter().chain(more) {
            if !sign.fields.contains(&case.label(&LabelId::sign(part))) {
                missing.push(format!("{who}: no line for the {part}"));
            }
        }
    }
    Finding::lacking("patient and practitioner, each with date and time", missing)
}

fn representative(case: &Case<'_>) -> Finding {
    if case.is_draft() {
        return Finding::not_applicable(DRAFT);
    }
    let there = field(case, "consent.sign.representative")
        || block(case, "consent.sign.representative").is_some();
    let missing = if there {
        Vec::new()
    } else {
        vec!["no place for somebody who signs for the patient".to_owned()]
    };
    Finding::lacking("a line with the basis", missing)
}

fn ticks<'c>(case: &'c Case<'_>) -> impl Iterator<Item = &'c List> {
    let lists = case.sheet.view.lists.iter();
    lists.filter(|list| list.style == ListStyle::Tick)
}

fn photographs(case: &Case<'_>) -> Finding {
    let uses = [
        "consent.photos.record",
        "consent.photos.teaching",
        "consent.photos.public",
        "consent.photos.none",
    ];
    let labels: Vec<String> = uses.iter().map(|id| case.label(id)).collect();
    let best = ticks(case)
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
    if !case.says(&case.label("consent.photos.intro")) {
        missing.push("not said that it is a separate choice".to_owned());
    }
    Finding::lacking(format!("{best} boxes, none ticked"), missing)
}

fn observers(case: &Case<'_>) -> Finding {
    let lines = case.view().lines.iter();
    let line = lines
        .clone()
        .find(|line| case.has_word(&line.text, "observer"));
    let missing = match line {
        None => vec!["nothing about people who watch or learn".to_owned()],
        Some(line) if !case.has_word(&line.text, "observer_refuse") => {
            vec!["no right to refuse beside it".to_owned()]
        }
        Some(_) => Vec::new(),
    };
    Finding::lacking("said, with the right to refuse", missing)
}

/// Signs of a box that is ticked or crossed.
const TICKED: [char; 8] = ['☑', '☒', '✓', '✔', '✗', '✘', '🗹', '🗸'];

pub fn ticked(text: &str) -> bool {
    text.contains(TICKED) || text.contains("[x]") || text.contains("[X]")
}

fn nothing_ticked(case: &Case<'_>) -> Finding {
    let mut places: Vec<Place> = case
        .sheet
        .geometry
        .stretches
        .iter()
        .filter(|s| ticked(&s.text))
        .map(|s| Place::on(s.page, "box", s.text.clone()))
        .collect();
    let lines = case.view().lines.iter().filter(|line| ticked(&line.text));
    places.extend(lines.map(|line| Place::new("box", line.text.clone())));
    let boxes: usize = ticks(case).map(|list| list.items.len()).sum();
    Finding::of(format!("{boxes} boxes, none ticked"), places)
}
