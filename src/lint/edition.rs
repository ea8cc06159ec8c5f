//! Turns the running head and foot into verdicts on which edition of the words a paper has: version, month of issue, review, approval.
//! Invariant: what counts stands on every page, in large print once at the end; the month of issue is the one in the words' version.
//! Must not: judge the words themselves, or take the day from the machine's clock.

use jiff::civil::Date;

use super::review::{Review, squeeze};
use super::words::Words;
use super::{Finding, Judge, Place};
use crate::wording::library;

pub const JUDGES: &[(&str, Judge)] = &[
    ("DC-4", Judge::Worded(version_and_dates)),
    ("DC-59", Judge::Plain(standing_of_the_words)),
];

/// A year and a month of it (1 to 12).
pub type Month = (i32, u8);

/// Four digits, a hyphen and two digits at the start of a text: "2026-11, draft 1".
pub fn month_of(text: &str) -> Option<Month> {
    let (year, rest) = text.split_once('-')?;
    let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
    let month = digits.parse().ok().filter(|m| (1..=12).contains(m))?;
    if year.len() != 4 || digits.len() != 2 {
        return None;
    }
    Some((year.parse().ok()?, month))
}

/// Whether a visit lies after the month by which the words were to be reviewed; that month itself is in time.
pub fn review_has_passed((year, month): Month, visit: Date) -> bool {
    (i32::from(visit.year()), visit.month().unsigned_abs()) > (year, month)
}

/// The month that follows one of the words for a review, as a page prints it: "review by Nov 2028", "2028-11".
fn review_month(review: &Review<'_>, words: &Words, running: &str) -> Option<Month> {
    let text = running.to_lowercase();
    let after = words.list("review_by").iter().find_map(|words| {
        let words = squeeze(words);
        text.find(&words).map(|at| &text[at + words.len()..])
    })?;
    if let Some(month) = month_of(after) {
        return Some(month);
    }
    let formats = review.wording.formats();
    (1..=12_u8).find_map(|month| {
        let name = formats.short_month(jiff::civil::date(2000, month as i8, 1));
        let rest = after.strip_prefix(&squeeze(&name).to_lowercase())?;
        // the rest of a month in full, and what stands between month and year
        let rest = rest.trim_start_matches(|c: char| c.is_alphabetic() || ".,".contains(c));
        let year = rest.get(..4)?;
        Some((year.parse().ok()?, month))
    })
}

fn version_and_dates(review: &Review<'_>, words: &Words) -> Finding {
    let running = &review.paper.document.running_lines;
    let issued = month_of(library::version(review.wording.tag()));
    let issued = issued.map_or(String::new(), |(year, month)| format!("{year}-{month:02}"));
    // in large print the foot has no room; what stands once stands at the end, in the body
    let large = review.paper.document.large;
    let total = review.pages();
    let pages: Vec<String> = (1..=total)
        .map(|page| {
            let end = match large && page == total {
                true => review.paper.squeezed(page, false),
                false => String::new(),
            };
            review.paper.squeezed(page, true) + &end
        })
        .collect();
    let reviews: Vec<Option<Month>> = pages
        .iter()
        .map(|text| review_month(review, words, text))
        .collect();
    let has = |wanted: &str| -> Vec<bool> {
        let wanted = squeeze(wanted);
        pages
            .iter()
            .map(|text| !wanted.is_empty() && text.contains(&wanted))
            .collect()
    };
    let mut places = Vec::new();
    let mut lacking = 0;
    for (what, every_page, found) in [
        ("document code", true, has(&running.code)),
        ("version of the words", !large, has(&running.wording)),
        ("month of issue", !large, has(&issued)),
        (
            "month by which the words are to be reviewed",
            !large,
            reviews.iter().map(Option::is_some).collect(),
        ),
    ] {
        let on = found.iter().filter(|found| **found).count();
        let first = match every_page {
            true => found.iter().position(|found| !found),
            false => (on == 0).then_some(pages.len().saturating_sub(1)),
        };
        if let Some(first) = first {
            lacking += 1;
            places.push(Place::on(
                first + 1,
                if every_page { "running foot" } else { "end" },
                format!("{what}: on {on} of {} pages", pages.len()),
            ));
        }
    }
    let figure = match large {
        true => format!("{} of 4, three of them once at the end", 4 - lacking),
        false => format!("{} of 4 on every page", 4 - lacking),
    };
    let visit = review.selection.visit.date;
    let passed = reviews
        .iter()
        .position(|month| month.is_some_and(|month| review_has_passed(month, visit)));
    if let Some(page) = passed {
        places.push(Place::on(
            page + 1,
            "running foot",
            format!("the visit on {visit} lies after the month of review"),
        ));
    }
    Finding::of(figure, places)
}

fn standing_of_the_words(review: &Review<'_>) -> Finding {
    let running = &review.paper.document.running_lines;
    let mut missing = Vec::new();
    let tagged = running
        .wording
        .contains(library::version(review.wording.tag()))
        && running.wording.contains(review.wording.tag());
    if !tagged {
        missing.push("version or language of the words".to_owned());
    }
    let pages = (1..=review.pages()).filter(|page| {
        let text = review.paper.squeezed(*page, true);
        running
            .notice
            .as_ref()
            .is_none_or(|n| text.contains(&squeeze(n)))
    });
    let pages = pages.count();
    if pages < review.pages() {
        missing.push(format!(
            "the notice stands on {pages} of {} pages",
            review.pages()
        ));
    }
    if review.is_draft() && !review.view().signs.is_empty() && review.paper.kind.is_signed() {
        missing.push("a draft with a place to sign".to_owned());
    }
    let standing = if review.is_draft() {
        "draft, marked on every page"
    } else if review.is_training() {
        "for training, marked on every page"
    } else {
        "approved"
    };
    Finding::lacking(format!("{}; {standing}", running.wording), missing)
}
