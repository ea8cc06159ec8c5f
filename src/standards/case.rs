//! Turns a selection, a wording and laid-out papers into what judges are handed: plain data, so that a test can spoil any part of it.
//! Invariant: a case holds one paper; the clinician's sheet is at hand for the few checks that look for something there.
//! Must not: judge.

use super::prose;
use super::view::View;
use super::words::{self, Words};
use crate::compose::Document;
use crate::paper::PaperKind;
use crate::select::Selection;
use crate::typeset::{PageContent, Pages};
use crate::wording::scan::{self, PartKind};
use crate::wording::{Context, Wording};

/// One paper with everything a judge looks at.
#[derive(Debug, Clone)]
pub struct Sheet {
    pub paper: PaperKind,
    pub document: Document,
    pub view: View,
    /// What was drawn, as read back from the pages.
    pub content: PageContent,
}

impl Sheet {
    pub fn new(paper: PaperKind, document: &Document, pages: &Pages) -> Sheet {
        Sheet {
            paper,
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
pub struct Subject<'a> {
    pub selection: &'a Selection<'a>,
    pub wording: &'a Wording,
    pub sheets: Vec<Sheet>,
}

/// One paper before a judge.
#[derive(Clone, Copy)]
pub struct Case<'s> {
    pub selection: &'s Selection<'s>,
    pub wording: &'s Wording,
    /// Lists of the paper's language; none where we have no list.
    pub words: Option<&'static Words>,
    pub sheet: &'s Sheet,
    pub clinician: Option<&'s Sheet>,
}

/// Text without white space and bullets.
pub fn squeeze(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && *c != '•')
        .collect()
}

impl<'a> Subject<'a> {
    /// From papers as they were made.
    pub fn new(
        selection: &'a Selection<'a>,
        wording: &'a Wording,
        made: impl Iterator<Item = (PaperKind, &'a Document, &'a Pages)>,
    ) -> Subject<'a> {
        Subject {
            selection,
            wording,
            sheets: made
                .map(|(paper, document, pages)| Sheet::new(paper, document, pages))
                .collect(),
        }
    }

    fn sheet(&self, paper: PaperKind) -> Option<&Sheet> {
        self.sheets.iter().find(|sheet| sheet.paper == paper)
    }

    /// One paper's case; none when that paper was not made.
    pub fn case(&self, paper: PaperKind) -> Option<Case<'_>> {
        Some(Case {
            selection: self.selection,
            wording: self.wording,
            words: words::of(self.wording.tag()),
            sheet: self.sheet(paper)?,
            clinician: self.sheet(PaperKind::CheckSheet),
        })
    }
}

impl Case<'_> {
    pub fn view(&self) -> &View {
        &self.sheet.view
    }

    pub fn pages(&self) -> usize {
        self.sheet.content.sizes.len()
    }

    /// A label of the wording; empty where the wording has no such label.
    pub fn label(&self, id: &str) -> String {
        self.wording.label(id).unwrap_or_default()
    }

    /// A filled line of the wording; empty where it cannot be filled.
    pub fn line(&self, id: &str, context: &Context) -> String {
        self.wording.line(id, context).unwrap_or_default()
    }

    /// An entry of a word list stands in the text; false where the language has no lists.
    pub fn has_word(&self, text: &str, list: &str) -> bool {
        self.words
            .is_some_and(|words| !prose::found(text, words.list(list)).is_empty())
    }

    /// The text stands in the paper's blocks, spaces aside.
    pub fn says(&self, text: &str) -> bool {
        !text.is_empty() && squeeze(&self.view().all_text()).contains(&squeeze(text))
    }

    /// First page of a statement.
    pub fn page_of(&self, id: &str) -> Option<usize> {
        self.sheet
            .content
            .statements
            .get(id)
            .filter(|placed| placed.begins > 0)
            .map(|placed| placed.first_page)
    }

    /// The longest stretch of a statement that does not depend on a value: by it the statement is known again once filled.
    pub fn fragment(&self, id: &str) -> String {
        let Some(template) = self.wording.statements().get(id) else {
            return String::new();
        };
        scan::parts(template)
            .into_iter()
            .filter(|part| part.kind == PartKind::Words)
            .map(|part| part.text.replace("**", "").trim().to_owned())
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
        let notice = self.sheet.document.running_lines.notice.as_deref();
        notice.is_some_and(|notice| notice == self.label("paper.draft"))
    }

    /// Made for training: marked, with places to sign.
    pub fn is_training(&self) -> bool {
        let notice = self.sheet.document.running_lines.notice.as_deref();
        notice.is_some_and(|notice| notice == self.label("paper.training"))
    }
}
