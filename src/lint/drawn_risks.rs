//! Turns the drawings of risks out of a hundred into verdicts on what they show and what is said in their place.
//! Invariant: a drawing is held to its own marks, to the number over it and to the words for who cannot see it.
//! Must not: judge which risks are drawn, or whether a number is right.

use super::prose;
use super::review::Review;
use super::view::{Marks, Picture, View};
use super::words::Words;
use super::{Finding, Judge, Place};

pub const JUDGES: &[(&str, Judge)] = &[
    ("DC-41", Judge::Plain(both_ways)),
    ("RF-10", Judge::Plain(both_ways)),
    ("RF-11", Judge::Worded(icon_array)),
];

/// The risks that are drawn say in words how many marks are filled, how many have a point, and how many are empty.
fn both_ways(review: &Review<'_>) -> Finding {
    let view = review.view();
    let (mut places, mut count) = (Vec::new(), 0);
    for (picture, marks) in drawn(view) {
        count += 1;
        let said = numbers(&picture.alternative);
        let empty = marks.per.saturating_sub(marks.filled + marks.half);
        // of none, nothing is said but that it is none
        let missing = [marks.filled, marks.half, empty]
            .into_iter()
            .filter(|number| *number > 0 && !said.contains(&f64::from(*number)))
            .count();
        if missing > 0 {
            let found = format!("said one way only: {}", picture.alternative);
            places.push(Place::new(view.sections[picture.section].clone(), found));
        }
    }
    if count == 0 {
        return Finding::not_applicable("no picture of a share");
    }
    let figure = format!("{} of {count} drawn risks", count - places.len());
    Finding::of(figure, places)
}

/// The pictures that are drawn with marks, each with them.
fn drawn(view: &View) -> impl Iterator<Item = (&Picture, &Marks)> {
    let pictures = view.pictures.iter();
    pictures.filter_map(|picture| Some((picture, picture.marks.as_ref()?)))
}

fn numbers(text: &str) -> Vec<f64> {
    text.split_whitespace().filter_map(prose::number).collect()
}

/// As many marks as the number says, out of the same whole, and both in the words of the picture.
fn icon_array(review: &Review<'_>, words: &Words) -> Finding {
    let view = review.view();
    let (mut places, mut count) = (Vec::new(), 0);
    for (picture, marks) in drawn(view) {
        count += 1;
        // none seen has no numerator to be read
        let said = prose::frequencies(&marks.often, words).first().copied();
        let shown = f64::from(marks.filled + marks.half);
        let alternative = numbers(&picture.alternative);
        // one that stands alone is held to its own words
        let (affected, per) = match (said, marks.often.is_empty()) {
            (Some(said), _) => said,
            (None, true) => (shown, f64::from(marks.per)),
            (None, false) => (0.0, f64::from(marks.per)),
        };
        let fits = shown == affected
            && f64::from(marks.per) == per
            && alternative.contains(&per)
            && (affected == 0.0 || alternative.contains(&affected));
        if !fits {
            let found = format!(
                "{} of {} marks beside `{}`",
                shown,
                marks.per,
                if marks.often.is_empty() {
                    &picture.alternative
                } else {
                    &marks.often
                }
            );
            places.push(Place::new(view.sections[picture.section].clone(), found));
        }
    }
    if count == 0 {
        return Finding::not_applicable("no picture of a share");
    }
    Finding::of(format!("{count} pictures of shares"), places)
}
