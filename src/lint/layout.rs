//! Turns the geometry of finished pages into verdicts on colours, running lines and what must stand together.
//! Invariant: sizes come from what was drawn, never from the templates.
//! Must not: judge words.

use std::collections::BTreeSet;

use super::prose;
use super::review::{Review, squeeze};
use super::view::{Kind, TableRow};
use super::{Finding, Judge, Place};
use crate::compose::document::Tone;
use crate::gate::identifiers_wanted;
use crate::typeset::Shape;

const MM: f64 = 72.0 / 25.4;
/// The thinnest frame of warning signs in points (ours).
const FRAME: f64 = 1.0;
/// What a full ground counts as.
const GROUND: f64 = f64::INFINITY;
/// Contrast of text, of large text and lines, and what is aimed at (D41, published).
const CONTRAST: (f64, f64, f64) = (4.5, 3.0, 7.0);
/// Clear edge in points: a quarter of an inch, which no office printer reaches (ours); `coverage` asks more of required words.
const MARGIN: f64 = 18.0;

pub const JUDGES: &[(&str, Judge)] = &[
    ("DC-2", Judge::Plain(identity_in_the_body)),
    ("DC-3", Judge::Plain(page_x_of_y)),
    ("DC-46", Judge::Plain(no_italics_or_capitals)),
    ("DC-47", Judge::Plain(contrast)),
    ("DC-48", Judge::Plain(not_by_colour_alone)),
    ("DC-50", Judge::Plain(structure)),
    ("DC-52", Judge::Plain(nothing_split)),
];

fn identifiers(review: &Review<'_>) -> Vec<String> {
    let patient = &review.selection.visit.patient;
    vec![
        patient.name.clone(),
        review.wording.formats().short_date(patient.born),
        patient.record.clone(),
    ]
}

/// How many identifiers stand in the body of the first page; the name has to be among them.
fn identity_in_the_body(review: &Review<'_>) -> Finding {
    let text = review.paper.squeezed(1, false);
    let names = ["name", "date of birth", "record number"];
    let missing: Vec<&str> = identifiers(review)
        .iter()
        .zip(names)
        .filter(|(id, _)| !text.contains(&squeeze(id)))
        .map(|(_, name)| name)
        .collect();
    let found = names.len() - missing.len();
    let wanted = identifiers_wanted(review.selection.region);
    let figure = format!("{found} of {} on page 1, {wanted} asked for", names.len());
    if found >= wanted && !missing.contains(&names[0]) {
        return Finding::met(figure);
    }
    let lacks = |name: &str| format!("the {name} is not in the body of page 1");
    Finding::lacking(figure, missing.into_iter().map(lacks).collect())
}

fn page_x_of_y(review: &Review<'_>) -> Finding {
    let [before, between, after] = &review.paper.document.running_lines.page_of;
    let total = review.pages();
    let mut places = Vec::new();
    for page in 1..=total {
        let wanted = squeeze(&format!("{before}{page}{between}{total}{after}"));
        if !review.paper.squeezed(page, true).contains(&wanted) {
            places.push(Place::on(
                page,
                "running foot",
                "page number or count missing",
            ));
        }
    }
    Finding::of(format!("{total} pages"), places)
}

fn no_italics_or_capitals(review: &Review<'_>) -> Finding {
    let content = &review.paper.content;
    let mut places: Vec<Place> = content
        .runs
        .iter()
        .filter(|s| s.italic)
        .map(|s| Place::on(s.page, "italics", s.text.clone()))
        .collect();
    for line in &review.view().lines {
        if let Some(run) = prose::capitals(&line.text) {
            places.push(Place::new(
                line.mark.clone().unwrap_or("capitals".into()),
                run,
            ));
        }
    }
    for shape in content.shapes.iter().filter(|s| s.bottom - s.top < 1.5) {
        let under = content.runs.iter().find(|s| {
            let below = shape.top - s.baseline;
            s.page == shape.page
                && (0.0..s.size * 0.25).contains(&below)
                && shape.left > s.left - 2.0
                && shape.right < s.right + 2.0
                && shape.right - shape.left > (s.right - s.left) * 0.3
        });
        if let Some(stretch) = under {
            places.push(Place::on(stretch.page, "underlined", stretch.text.clone()));
        }
    }
    Finding::of(
        format!(
            "{} stretches of text, none may be slanted or underlined",
            content.runs.len()
        ),
        places,
    )
}

fn contrast(review: &Review<'_>) -> Finding {
    let mut places = Vec::new();
    let (mut text, mut lines) = (21.0_f64, 21.0_f64);
    for s in &review.paper.content.runs {
        if s.text.trim().is_empty() {
            continue;
        }
        let large = s.size >= 18.0 || (s.bold && s.size >= 14.0);
        let wanted = if large { CONTRAST.1 } else { CONTRAST.0 };
        text = text.min(s.contrast);
        if s.contrast < wanted {
            places.push(Place::on(
                s.page,
                "text",
                format!("{:.1} to 1: {}", s.contrast, s.text),
            ));
        }
    }
    for shape in &review.paper.content.shapes {
        let thin = (shape.bottom - shape.top).min(shape.right - shape.left) < 3.0;
        let line = shape
            .stroke
            .filter(|(thickness, _)| *thickness > 0.0)
            .map(|(_, contrast)| contrast)
            .or(shape.fill.filter(|_| thin));
        // a white line on white parts two shapes of a drawing; there is nothing to see in it
        if let Some(contrast) = line.filter(|contrast| *contrast > 1.05) {
            lines = lines.min(contrast);
            if contrast < CONTRAST.1 {
                places.push(Place::on(shape.page, "line", format!("{contrast:.1} to 1")));
            }
        }
    }
    let aim = if text >= CONTRAST.2 {
        "the aim of 7 is met"
    } else {
        "below the aim of 7"
    };
    Finding::of(
        format!("text {text:.1} to 1 at least ({aim}), lines {lines:.1} to 1"),
        places,
    )
}

/// A shape that a run of text stands in, wide enough to be a frame or a ground, and what of it can be seen.
fn framed(review: &Review<'_>, mark: &str) -> Option<f64> {
    let content = &review.paper.content;
    let run = content.statements.get(mark)?.runs.first()?;
    let around = |shape: &&Shape| {
        shape.page == run.page
            && !shape.part.is_running()
            && shape.right - shape.left > 200.0
            && shape.left <= run.left
            && shape.right >= run.right
            && shape.top <= run.baseline - run.x_height
            && shape.bottom >= run.baseline
    };
    let seen = |shape: &Shape| {
        let ground = shape.fill.filter(|fill| *fill >= CONTRAST.1);
        let frame = shape.stroke.filter(|(_, contrast)| *contrast >= CONTRAST.1);
        // a full ground is heavier than any frame
        ground
            .map(|_| GROUND)
            .or(frame.map(|(thickness, _)| thickness))
    };
    content
        .shapes
        .iter()
        .filter(around)
        .filter_map(seen)
        .reduce(f64::max)
}

fn not_by_colour_alone(review: &Review<'_>) -> Finding {
    let bands = &review.view().bands;
    if bands.is_empty() {
        return Finding::not_applicable("no warning signs in this paper");
    }
    let mut places = Vec::new();
    let mut drawn = Vec::new();
    for (index, band) in bands.iter().enumerate() {
        let name = match band.action.trim() {
            "" => {
                let name = format!("band {}", index + 1);
                places.push(Place::new(name.clone(), "no word says how urgent it is"));
                name
            }
            action => action.to_owned(),
        };
        let weight = band.signs.iter().find_map(|mark| framed(review, mark));
        match weight {
            Some(weight) if weight >= FRAME => drawn.push(match weight == GROUND {
                true => "full ground".to_owned(),
                false => format!("{weight:.1} pt"),
            }),
            _ => places.push(Place::new(
                name,
                "neither a frame of 1 pt or more nor a full ground",
            )),
        }
    }
    let figure = format!("{} bands with words: {}", bands.len(), drawn.join(", "));
    Finding::of(figure, places)
}

fn structure(review: &Review<'_>) -> Finding {
    let view = review.view();
    let mut places = Vec::new();
    let mut last = 1;
    let mut headings = 0;
    if review.paper.document.title.trim().is_empty() {
        places.push(Place::new("title", "the paper has no title"));
    }
    for line in &view.lines {
        if let Kind::Heading(level) = line.kind {
            headings += 1;
            if level > last + 1 || level == 1 {
                let found = format!("heading of level {level} after level {last}");
                places.push(Place::new(line.text.clone(), found));
            }
            last = level;
        }
    }
    for table in &view.tables {
        let named = !table.name.trim().is_empty() && !table.header.is_empty();
        let full = table
            .rows
            .iter()
            .all(|row| row.cells.len() == table.header.len());
        if !named || !full || table.header.iter().any(|cell| cell.trim().is_empty()) {
            places.push(Place::new(
                table.name.clone(),
                "no name, or a column without a header",
            ));
        }
    }
    for picture in view
        .pictures
        .iter()
        .filter(|p| p.alternative.trim().is_empty())
    {
        places.push(Place::new(
            view.sections[picture.section].clone(),
            "a picture without words",
        ));
    }
    let language = review
        .paper
        .document
        .language
        .split('-')
        .next()
        .unwrap_or_default();
    for (id, laid) in &review.paper.content.statements {
        if let Some(run) = laid.runs.iter().find(|run| run.language != language) {
            places.push(Place::on(
                run.page,
                id.clone(),
                format!("tagged `{}`", run.language),
            ));
        }
    }
    Finding::of(
        format!(
            "{headings} headings, {} tables, {} pictures, all tagged `{language}`",
            view.tables.len(),
            view.pictures.len()
        ),
        places,
    )
}

/// Width and height in points of the papers we print on (A4 by ISO 216, US letter 8.5 by 11 inches).
fn size_of(page_size: &str) -> Option<(f64, f64)> {
    match page_size {
        "a4" => Some((210.0 * MM, 297.0 * MM)),
        "us-letter" => Some((612.0, 792.0)),
        _ => None,
    }
}

fn nothing_split(review: &Review<'_>) -> Finding {
    let paper = review.paper;
    let mut places = Vec::new();
    let wanted = review.selection.clinic.paper;
    let wanted = wanted
        .unwrap_or(review.selection.region.paper.value)
        .as_str();
    let size = size_of(wanted);
    for (index, found) in paper.content.sizes.iter().enumerate() {
        let fits = size
            .is_some_and(|size| (size.0 - found.0).abs() < 1.0 && (size.1 - found.1).abs() < 1.0);
        if !fits {
            let found = format!("{:.0} by {:.0} pt, not {wanted}", found.0, found.1);
            places.push(Place::on(index + 1, "page size", found));
        }
    }
    for s in &paper.content.runs {
        let (width, height) = paper
            .content
            .sizes
            .get(s.page - 1)
            .copied()
            .unwrap_or_default();
        let inside = s.left >= MARGIN
            && s.right <= width - MARGIN
            && s.baseline - s.size * 0.8 >= MARGIN
            && s.baseline <= height - MARGIN;
        if !inside && !s.text.trim().is_empty() {
            places.push(Place::on(s.page, "margin", s.text.clone()));
        }
    }
    let texts: Vec<String> = (1..=review.pages())
        .map(|page| paper.squeezed(page, false))
        .collect();
    let view = review.view();
    for panel in view.panels.iter().filter(|p| p.tone == Tone::Urgent) {
        let mut pages: Vec<usize> = view.lines[panel.from..]
            .iter()
            .filter(|line| line.urgent)
            .filter_map(|line| paper.content.statements.get(line.mark.as_deref()?))
            .flat_map(|laid| [laid.first_page, laid.last_page])
            .collect();
        pages.sort_unstable();
        pages.dedup();
        if pages.len() > 1 {
            places.push(Place::on(
                pages[0],
                "warning box",
                format!("runs over pages {pages:?}"),
            ));
        }
    }
    for sign in &view.signs {
        let parts: Vec<String> = [&sign.title, &sign.text]
            .into_iter()
            .chain(&sign.fields)
            .map(|part| squeeze(part))
            .filter(|part| !part.is_empty())
            .collect();
        let whole = |text: &String| {
            // each part once, in whatever order the layout puts the fields
            let start = parts.first().and_then(|first| text.find(first.as_str()));
            start.is_some_and(|start| {
                parts
                    .iter()
                    .all(|part| text[start..].contains(part.as_str()))
            })
        };
        if !texts.iter().any(whole) {
            let name = if sign.title.is_empty() {
                sign.fields.join(", ")
            } else {
                sign.title.clone()
            };
            places.push(Place::new(
                "signature block",
                format!("{name} is not on one page"),
            ));
        }
    }
    let mut rows = 0;
    for table in &view.tables {
        for TableRow { mark, cells, .. } in &table.rows {
            rows += 1;
            let over = match mark
                .as_ref()
                .and_then(|mark| paper.content.statements.get(mark))
            {
                Some(laid) => laid.first_page != laid.last_page,
                None => {
                    let cells: Vec<String> = cells.iter().map(|cell| squeeze(cell)).collect();
                    let whole = |page: &String| cells.iter().all(|cell| page.contains(cell));
                    !texts.iter().any(whole)
                }
            };
            if over {
                let first: String = cells.concat().chars().take(40).collect();
                places.push(Place::new(
                    table.name.clone(),
                    format!("row {first}… runs over a page"),
                ));
            }
        }
    }
    for agreed in &view.agreed {
        let laid = agreed.marks.iter();
        let laid = laid.filter_map(|mark| paper.content.statements.get(mark));
        let pages: BTreeSet<usize> = laid
            .flat_map(|laid| [laid.first_page, laid.last_page])
            .collect();
        let area = squeeze(&agreed.area);
        let named = |page: &usize| texts.get(page - 1).is_some_and(|text| text.contains(&area));
        if pages.len() > 1 || !pages.iter().all(named) {
            places.push(Place::new(
                agreed.area.clone(),
                format!("the area and its risks do not stand on one page, but on {pages:?}"),
            ));
        }
    }
    Finding::of(
        format!(
            "{wanted}, {} places to sign and {rows} table rows whole",
            view.signs.len()
        ),
        places,
    )
}
