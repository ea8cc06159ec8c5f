//! Turns the geometry of finished pages into verdicts on type, lines, colours, furniture and what must stand together.
//! Invariant: sizes come from what was drawn, never from the templates.
//! Must not: judge words.

use super::lines;
use super::prose;
use super::review::{Review, squeeze};
use super::split;
use super::view::Kind;
use super::{Finding, Judge, Place};
use crate::compose::document::Tone;

/// Least type size in points (L3: D35, published).
const LEAST_SIZE: f64 = 12.0;
/// Least x-height in millimetres (L4: D36, published).
const LEAST_X_HEIGHT: f64 = 2.0;
const MM: f64 = 72.0 / 25.4;
/// Least and most mean length of a line (L14: D36, D41, published; 45 is ours).
const LINE: (f64, f64) = (45.0, 75.0);
/// Least distance of lines, in type sizes (ours).
const LEADING: f64 = 1.2;
/// Contrast of text, of large text and lines, and what is aimed at (D41, published).
const CONTRAST: (f64, f64, f64) = (4.5, 3.0, 7.0);
/// Clear edge in points: a quarter of an inch, which no office printer reaches (ours); `coverage` asks more of required words.
const MARGIN: f64 = 18.0;

pub const JUDGES: &[(&str, Judge)] = &[
    ("DC-2", Judge::Plain(identity_in_the_body)),
    ("DC-3", Judge::Plain(page_x_of_y)),
    ("DC-43", Judge::Plain(type_size)),
    ("DC-45", Judge::Plain(line_length)),
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

fn identity_in_the_body(review: &Review<'_>) -> Finding {
    let text = review.paper.squeezed(1, false);
    let names = ["name", "date of birth", "record number"];
    let missing: Vec<String> = identifiers(review)
        .iter()
        .zip(names)
        .filter(|(id, _)| !text.contains(&squeeze(id)))
        .map(|(_, name)| format!("the {name} is not in the body of page 1"))
        .collect();
    Finding::lacking(format!("{} of 3 on page 1", 3 - missing.len()), missing)
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

fn type_size(review: &Review<'_>) -> Finding {
    let (mut size, mut height) = (f64::MAX, f64::MAX);
    let mut places: Vec<Place> = Vec::new();
    for stretch in &review.paper.content.runs {
        if !stretch.text.chars().any(char::is_alphanumeric) {
            continue;
        }
        let tall = stretch.x_height / MM;
        size = size.min(stretch.size);
        height = height.min(tall);
        if stretch.size < LEAST_SIZE - 0.01 || tall < LEAST_X_HEIGHT - 0.005 {
            let at = if stretch.part.is_running() {
                "running head or foot"
            } else {
                "body"
            };
            let found = format!(
                "{:.1} pt, x-height {tall:.2} mm: {}",
                stretch.size, stretch.text
            );
            // one place for each size on a page is enough
            let start = found.split(':').next().unwrap_or_default().to_owned();
            let known = |p: &Place| {
                p.page == Some(stretch.page) && p.at == at && p.found.starts_with(&start)
            };
            if !places.iter().any(known) {
                places.push(Place::on(stretch.page, at, found));
            }
        }
    }
    Finding::of(
        format!("smallest {size:.1} pt, x-height {height:.2} mm"),
        places,
    )
}

/// By what a line is found again on its page.
fn start(text: &str) -> String {
    text.trim().chars().take(40).collect()
}

fn line_length(review: &Review<'_>) -> Finding {
    let all = lines::of(&review.paper.content);
    let pairs = lines::filled(&all, &review.paper.content);
    let length = |text: &str| text.trim().chars().count();
    // what is not half as wide as the widest is a cell or a column, not running text
    let widest = pairs
        .iter()
        .map(|p| p.edge - p.line.left)
        .fold(0.0, f64::max);
    let running: Vec<_> = pairs
        .iter()
        .filter(|p| p.edge - p.line.left > widest / 2.0)
        .collect();
    let mut places = Vec::new();
    let count = running.len().max(1) as f64;
    let mean = running.iter().map(|p| length(&p.line.text)).sum::<usize>() as f64 / count;
    if !running.is_empty() && !(LINE.0..=LINE.1).contains(&mean) {
        places.push(Place::new(
            "running text",
            format!("mean {mean:.0} characters"),
        ));
    }
    let longest = all.iter().map(|line| length(&line.text)).max().unwrap_or(0);
    let at_edge = running
        .iter()
        .filter(|p| p.edge - p.line.right < 0.5)
        .count();
    if running.len() >= 10 && at_edge * 10 > running.len() * 6 {
        places.push(Place::new("running text", "set to both edges"));
    }
    let mut leading = f64::MAX;
    for pair in &pairs {
        let distance = (pair.next.baseline - pair.line.baseline) / pair.line.size;
        leading = leading.min(distance);
        if distance < LEADING - 0.005 && places.len() < 12 {
            let start = start(&pair.line.text);
            let found = format!("lines {distance:.2} type sizes apart: {start}…");
            places.push(Place::on(pair.line.page, "lines", found));
        }
    }
    for (page, word) in split_words(review, &pairs) {
        places.push(Place::on(
            page,
            "word",
            format!("{word} is split over two lines"),
        ));
    }
    let leading = if leading == f64::MAX { 0.0 } else { leading };
    Finding::of(
        format!(
            "mean {mean:.0} characters in {} full lines, longest {longest}, lines {leading:.2} apart at least",
            running.len(),
        ),
        places,
    )
}

/// Words of the paper whose letters were parted by the end of a line; a break at a hyphen that is in the text is none.
fn split_words(review: &Review<'_>, pairs: &[lines::Pair<'_>]) -> Vec<(usize, String)> {
    let text = review.view().all_text().to_lowercase();
    let known: std::collections::BTreeSet<&str> = split::words(&text).into_iter().collect();
    pairs
        .iter()
        .filter_map(|pair| {
            let (line, next) = (pair.line.text.to_lowercase(), pair.next.text.to_lowercase());
            let line = line.trim_end().trim_end_matches(['-', '‐']);
            if !line.ends_with(char::is_alphabetic) {
                return None;
            }
            let (last, first) = (
                split::words(line).pop()?,
                split::words(&next).into_iter().next()?,
            );
            let joined = format!("{last}{first}");
            let apart = known.contains(last) && known.contains(first);
            (known.contains(joined.as_str()) && !apart).then_some((pair.line.page, joined))
        })
        .collect()
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

fn not_by_colour_alone(review: &Review<'_>) -> Finding {
    let view = review.view();
    let Some(panel) = view.panels.iter().find(|panel| panel.tone == Tone::Urgent) else {
        return Finding::not_applicable("no box of warning signs in this paper");
    };
    let heading = |at: Option<usize>| {
        at.and_then(|at| view.lines.get(at))
            .is_some_and(|line| matches!(line.kind, Kind::Heading(_)))
    };
    let worded = !panel.title.is_empty() || heading(panel.from.checked_sub(1));
    let page = view.lines[panel.from..]
        .iter()
        .filter(|line| line.urgent)
        .find_map(|line| line.mark.as_deref().and_then(|mark| review.page_of(mark)));
    let border = review
        .paper
        .content
        .shapes
        .iter()
        .filter(|shape| Some(shape.page) == page && !shape.part.is_running())
        .filter(|shape| shape.bottom - shape.top > 60.0 && shape.right - shape.left > 200.0)
        .filter_map(|shape| shape.stroke)
        .filter(|(_, contrast)| *contrast >= CONTRAST.1)
        .map(|(thickness, _)| thickness)
        .fold(0.0_f64, f64::max);
    let mut missing = Vec::new();
    if !worded {
        missing.push("the box has no word that says what it is".to_owned());
    }
    if border < 1.0 {
        missing.push("the box has no border of 1 pt or more".to_owned());
    }
    Finding::lacking(
        format!("word label and a border of {border:.1} pt"),
        missing,
    )
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
            .all(|(_, cells)| cells.len() == table.header.len());
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
        for (mark, cells) in &table.rows {
            rows += 1;
            let text = squeeze(&cells.concat());
            let over = match mark
                .as_ref()
                .and_then(|mark| paper.content.statements.get(mark))
            {
                Some(laid) => laid.first_page != laid.last_page,
                None => !text.is_empty() && !texts.iter().any(|page| page.contains(&text)),
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
    Finding::of(
        format!(
            "{wanted}, {} places to sign and {rows} table rows whole",
            view.signs.len()
        ),
        places,
    )
}
