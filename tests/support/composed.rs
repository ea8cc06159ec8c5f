//! Turns an invented clinic and visit into a paper as it is composed: blocks with their words, not laid out.
//!
//! Invariant: composed as the program does it, in the words of the visit's own language.
//! Must not: hold an expectation about the papers.

use beforehand::catalogue::Catalogue;
use beforehand::compose::{self, Document};
use beforehand::paper::{Edition, PaperKind};
use beforehand::papers;
use beforehand::plan::{Clinic, Visit};
use beforehand::select::{Selection, select};
use beforehand::wording::{Approvals, Wording};

/// What a look at the selection of a visit and at one of its papers finds.
pub fn composed<R>(
    kind: PaperKind,
    clinic: &Clinic,
    visit: &Visit,
    look: impl FnOnce(&Selection<'_>, &Document) -> R,
) -> R {
    let wording = papers::wording_for(visit, clinic).expect("words");
    let selection = select(Catalogue::embedded(), clinic, visit).expect("a selection");
    look(
        &selection,
        &document(kind, &selection, &wording, &Approvals::none()),
    )
}

/// One paper of a selection in these words, as it is printed where nothing was asked for.
pub fn document(
    kind: PaperKind,
    selection: &Selection<'_>,
    wording: &Wording,
    approvals: &Approvals,
) -> Document {
    let (edition, made) = (Edition::Ordinary, Default::default());
    let words = wording.recorded();
    let composed = compose::compose(kind, edition, selection, words, &made, approvals);
    composed.unwrap_or_else(|error| panic!("{kind:?} cannot be composed: {error}"))
}
