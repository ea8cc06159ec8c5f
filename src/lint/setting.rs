//! Turns the lines of finished pages into verdicts on how they are set: size of type, length of lines, their distance.
//! Invariant: sizes come from what was drawn, never from the templates.
//! Must not: judge words, colours, or what must stand together (that is `layout`).

use super::lines;
use super::review::{Review, squeeze};
use super::split;
use super::view::Kind;
use super::{Finding, Judge, Place};

const MM: f64 = 72.0 / 25.4;
/// Least type size in points (L3: D35, published).
const LEAST_SIZE: f64 = 12.0;

/// Least size of labels, notes, captions and running lines (ours).
const LEAST_ASIDE: f64 = 9.0;

/// Least x-height in millimetres (L4: D36, published).
const LEAST_X_HEIGHT: f64 = 2.0;

/// Least and most mean length of a line (L14: D36, D41, published; 45 is ours).
const LINE: (f64, f64) = (45.0, 75.0);

/// The one distance of body lines, in type sizes: 16 pt for 12 pt (ours).
const PITCH: f64 = 16.0 / 12.0;

/// Two distances that are the same to the eye, in points.
const SAME: f64 = 0.1;

/// Least distance of lines, in type sizes (ours).
const LEADING: f64 = 1.2;

pub const JUDGES: &[(&str, Judge)] = &[
    ("DC-43", Judge::Plain(type_size)),
    ("DC-45", Judge::Plain(line_length)),
];

/// Words that are set in small type: labels, names of columns, notes, what is said of a telephone number.
fn small_words(review: &Review<'_>) -> String {
    let lines = review.view().lines.iter();
    let small = lines.filter(|line| line.note || line.kind == Kind::Label);
    let head = &review.paper.document.masthead;
    // on a form in one line
    let one = format!("{}, {}", head.clinic, head.address);
    let head = [&one, &head.address, &head.phone_note];
    let all = small.map(|line| &line.text).chain(head);
    // each by itself, so that no words are found across two of them
    all.map(|text| squeeze(text) + "\n").collect()
}

fn type_size(review: &Review<'_>) -> Finding {
    let small = small_words(review);
    let large = review.paper.document.large;
    let (mut read, mut aside, mut height) = (f64::MAX, f64::MAX, f64::MAX);
    let mut places: Vec<Place> = Vec::new();
    for stretch in &review.paper.content.runs {
        if !stretch.text.chars().any(char::is_alphanumeric) {
            continue;
        }
        let tall = stretch.x_height / MM;
        let is_read = stretch.size >= LEAST_SIZE - 0.01 && tall >= LEAST_X_HEIGHT - 0.005;
        let is_aside = stretch.part.is_running()
            || stretch.inside.contains(&"figure")
            || (stretch.statements.is_empty() && small.contains(&squeeze(&stretch.text)));
        if is_read {
            read = read.min(stretch.size);
            height = height.min(tall);
            continue;
        }
        if is_aside && !large {
            aside = aside.min(stretch.size);
            if stretch.size >= LEAST_ASIDE - 0.01 {
                continue;
            }
        }
        let at = if stretch.part.is_running() {
            "running head or foot"
        } else if is_aside {
            "label or note"
        } else {
            "body"
        };
        let found = format!(
            "{:.1} pt, x-height {tall:.2} mm: {}",
            stretch.size, stretch.text
        );
        // one place for each size on a page is enough
        let start = found.split(':').next().unwrap_or_default().to_owned();
        let known =
            |p: &Place| p.page == Some(stretch.page) && p.at == at && p.found.starts_with(&start);
        if !places.iter().any(known) {
            places.push(Place::on(stretch.page, at, found));
        }
    }
    let said = |size: f64| match size == f64::MAX {
        true => "none".to_owned(),
        false => format!("{size:.1} pt"),
    };
    Finding::of(
        format!(
            "what is read {} at least, x-height {height:.2} mm; labels and notes under 12 pt: {}",
            said(read),
            said(aside)
        ),
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
    // a form has sentences of one line each
    if !running.is_empty() && !review.paper.kind.is_signed() && !(LINE.0..=LINE.1).contains(&mean) {
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
    let wanted = review.paper.document.type_size * PITCH;
    let of_body =
        |pair: &&lines::Pair<'_>| (pair.line.size - review.paper.document.type_size).abs() < 0.05;
    let paragraphs = paragraphs(review);
    let mut pitches: Vec<f64> = Vec::new();
    for pair in pairs
        .iter()
        .filter(of_body)
        .filter(|pair| one_paragraph(&paragraphs, pair))
    {
        let distance = pair.next.baseline - pair.line.baseline;
        if !pitches.iter().any(|known| (known - distance).abs() < SAME) {
            pitches.push(distance);
            if (distance - wanted).abs() >= SAME {
                let start = start(&pair.line.text);
                let found = format!("lines {distance:.1} pt apart, not {wanted:.1}: {start}…");
                places.push(Place::on(pair.line.page, "pitch", found));
            }
        }
    }
    pitches.sort_by(f64::total_cmp);
    let pitches: Vec<String> = pitches.iter().map(|pitch| format!("{pitch:.1}")).collect();
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
            "mean {mean:.0} characters in {} full lines, longest {longest}, lines {leading:.2} type sizes apart at least, {} pt in the body",
            running.len(),
            pitches.join(" and "),
        ),
        places,
    )
}

/// The text of every paragraph and cell, without white space.
fn paragraphs(review: &Review<'_>) -> Vec<String> {
    let mut all: Vec<(usize, String)> = Vec::new();
    for line in &review.view().lines {
        let text = squeeze(&line.text);
        match all.last_mut() {
            Some((paragraph, known)) if *paragraph == line.paragraph => known.push_str(&text),
            _ => all.push((line.paragraph, text)),
        }
    }
    all.into_iter().map(|(_, text)| text).collect()
}

/// Whether a line and the next are of one paragraph: between two paragraphs there may be more room.
fn one_paragraph(paragraphs: &[String], pair: &lines::Pair<'_>) -> bool {
    let both = squeeze(&pair.line.text) + &squeeze(&pair.next.text);
    paragraphs.iter().any(|text| text.contains(&both))
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
