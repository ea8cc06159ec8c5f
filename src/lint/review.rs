//! Turns a selection, a wording and laid-out papers into what judges are handed: plain data, so that a test can spoil any part of it.
//! Invariant: a review holds one paper; the clinician's sheet and the information paper are at hand for the few checks that look for
//! something there.
//! Must not: judge.

use super::view::View;
use super::words::{self, Words};
use crate::compose::Document;
use crate::paper::PaperKind;
use crate::select::Selection;
use crate::typeset::{PageContent, Pages};
use crate::wording::{Context, Wording};

/// One paper with everything a judge looks at.
#[derive(Debug, Clone)]
pub struct PaperUnderReview {
    pub kind: PaperKind,
    pub document: Document,
    pub view: View,
    /// What was drawn, as read back from the pages.
    pub content: PageContent,
}

impl PaperUnderReview {
    pub fn new(paper: PaperKind, document: &Document, pages: &Pages) -> PaperUnderReview {
        PaperUnderReview {
            kind: paper,
            view: View::of(document),
            document: document.clone(),
            content: pages.content().clone(),
        }
    }

    /// Text of a page without white space and bullets: of its running lines, or of its body.
    pub fn squeezed(&self, page: usize, running: bool) -> String {
        self.content
            .runs
            .iter()
            .filter(|run| run.page == page && run.part.is_running() == running)
            .map(|run| squeeze(&run.text))
            .collect()
    }
}

/// The papers of one visit.
#[derive(Clone)]
pub struct VisitUnderReview<'a> {
    pub selection: &'a Selection<'a>,
    pub wording: &'a Wording,
    pub papers: Vec<PaperUnderReview>,
}

/// One paper before a judge.
#[derive(Clone, Copy)]
pub struct Review<'s> {
    pub selection: &'s Selection<'s>,
    pub wording: &'s Wording,
    pub paper: &'s PaperUnderReview,
    pub clinician: Option<&'s PaperUnderReview>,
    pub information: Option<&'s PaperUnderReview>,
}

/// Text without white space and bullets.
pub fn squeeze(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && *c != '•')
        .collect()
}

impl<'a> VisitUnderReview<'a> {
    /// From papers as they were made.
    pub fn new(
        selection: &'a Selection<'a>,
        wording: &'a Wording,
        made: impl Iterator<Item = (PaperKind, &'a Document, &'a Pages)>,
    ) -> VisitUnderReview<'a> {
        VisitUnderReview {
            selection,
            wording,
            papers: made
                .map(|(paper, document, pages)| PaperUnderReview::new(paper, document, pages))
                .collect(),
        }
    }

    fn paper(&self, kind: PaperKind) -> Option<&PaperUnderReview> {
        self.papers.iter().find(|paper| paper.kind == kind)
    }

    /// One paper as a judge is handed it; none when that paper was not made.
    pub fn review(&self, kind: PaperKind) -> Option<Review<'_>> {
        Some(Review {
            selection: self.selection,
            wording: self.wording,
            paper: self.paper(kind)?,
            clinician: self.paper(PaperKind::CheckSheet),
            information: self.paper(PaperKind::Information),
        })
    }
}

impl Review<'_> {
    pub fn view(&self) -> &View {
        &self.paper.view
    }

    pub fn pages(&self) -> usize {
        self.paper.content.sizes.len()
    }

    /// A label of the wording; empty where the wording has no such label.
    pub fn label(&self, id: &str) -> String {
        self.wording.label(id).unwrap_or_default()
    }

    /// A filled line of the wording; empty where it cannot be filled.
    pub fn line(&self, id: &str, context: &Context) -> String {
        self.wording.line(id, context).unwrap_or_default()
    }

    /// Lists of the paper's language; none where we have no list.
    pub fn words(&self) -> Option<&'static Words> {
        words::of(self.wording.tag())
    }

    /// The text stands in the paper's blocks, spaces aside.
    pub fn says(&self, text: &str) -> bool {
        !text.is_empty() && squeeze(&self.view().all_text()).contains(&squeeze(text))
    }

    /// First page of a statement.
    pub fn page_of(&self, id: &str) -> Option<usize> {
        self.paper
            .content
            .statements
            .get(id)
            .filter(|laid| laid.begins > 0)
            .map(|laid| laid.first_page)
    }

    /// The longest stretch of a statement that does not depend on a value: by it the statement is known again once filled.
    pub fn fragment(&self, id: &str) -> String {
        let Some(template) = self.wording.statements().get(id) else {
            return String::new();
        };
        let mut plain = String::new();
        let mut depth = 0_usize;
        let mut marks = template.chars().peekable();
        while let Some(c) = marks.next() {
            match (c, marks.peek()) {
                ('{', Some('{' | '%')) => {
                    depth += 1;
                    marks.next();
                    plain.push('\u{0}');
                }
                ('}' | '%', Some('}')) if depth > 0 => {
                    depth -= 1;
                    marks.next();
                }
                _ if depth == 0 => plain.push(c),
                _ => {}
            }
        }
        plain
            .split('\u{0}')
            .map(|part| part.replace("**", "").trim().to_owned())
            .max_by_key(|part| part.chars().count())
            .unwrap_or_default()
    }

    /// Statement ids that are neither in the blocks nor laid out.
    pub fn missing<'i>(&self, ids: impl IntoIterator<Item = &'i str>) -> Vec<String> {
        ids.into_iter()
            .filter(|id| self.view().statement(id).is_none() || self.page_of(id).is_none())
            .map(|id| format!("{id} is not printed"))
            .collect()
    }

    /// Words were left out because nobody approved them.
    pub fn is_draft(&self) -> bool {
        let notice = self.paper.document.running_lines.notice.as_deref();
        notice.is_some_and(|notice| notice == self.label("paper.draft"))
    }

    /// Made for training: marked, with places to sign.
    pub fn is_training(&self) -> bool {
        let notice = self.paper.document.running_lines.notice.as_deref();
        notice.is_some_and(|notice| notice == self.label("paper.training"))
    }
}
