//! Turns hostile and unusual names and texts into papers, and reads back what was printed.
//!
//! Invariant: a text is printed as typed, whole and in its own place, or refused with the character named; never changed.
//! Must not: put a real name in a plan.

mod literal;
mod long;
mod refused;
mod right_to_left;
mod scripts;

use crate::support::{laid_out, squeeze};
use beforehand::paper::PaperKind;
use beforehand::typeset::Typesetter;

const PAPERS: [&str; 4] = [
    "INV-1-2026-12-03-information.pdf",
    "INV-1-2026-12-03-consent.pdf",
    "INV-1-2026-12-03-aftercare.pdf",
    "INV-1-2026-12-03-clinician.pdf",
];

/// The whole text of the papers of a plan that must be accepted.
fn texts_of(plan: &str) -> Vec<(&'static str, Vec<String>)> {
    laid_out(plan, &Typesetter::embedded(), |papers| {
        assert!(!papers.is_stopped());
        assert_eq!(papers.papers.len(), PaperKind::ALL.len());
        papers
            .papers
            .iter()
            .map(|made| (made.kind.as_str(), made.pages.texts()))
            .collect()
    })
}

/// The identity stands on every page of every paper: on the first in its own grid, on the others in the running head.
fn is_on_every_page(name: &str, papers: &[(&'static str, Vec<String>)]) {
    let name = squeeze(name);
    for (paper, pages) in papers {
        for (index, page) in pages.iter().enumerate() {
            let found = squeeze(page).matches(&name).count();
            assert!(
                found > 0,
                "{name} is not on page {} of {paper}:\n{page}",
                index + 1
            );
        }
    }
}
