//! Turns a draft into pictures of the pages that would be printed of it now.
//! Invariant: pages of the same layout as the papers; they are kept in memory only, a few at a time, and no register knows them.
//! Must not: write a file, or show a paper that may not be written.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex};

use axum::body::Bytes;
use axum::http::StatusCode;
use serde::Serialize;
use serde_json::json;

use super::draft::Draft;
use crate::desk::asking::{Answer, Asked};
use crate::desk::house::Opened;
use crate::desk::{Desk, label, line};
use crate::paper::PaperKind;
use crate::plan::Visit;
use crate::practice::MakeOptions;
use crate::typeset::Pages;

/// So many drafts are kept; a page of an older one is made anew when it is asked for.
const KEPT: usize = 4;

/// The papers of drafts that were looked at last.
#[derive(Default)]
pub(in crate::desk) struct Previews {
    kept: Mutex<VecDeque<Arc<Preview>>>,
    /// Papers are laid out one draft after the other: the typesetter's memory is one for the process.
    laying_out: Mutex<()>,
}

struct Preview {
    /// Digest of everything it was made from.
    key: String,
    papers: Vec<(PaperKind, Pages)>,
}

/// The papers of a draft, for a page.
#[derive(Debug, Serialize)]
pub(super) struct ShownPapers {
    key: String,
    papers: Vec<ShownPaper>,
    /// Why there are none.
    problem: Option<String>,
}

#[derive(Debug, Serialize)]
struct ShownPaper {
    name: String,
    about: String,
    paper: &'static str,
    pages: Vec<usize>,
}

impl Previews {
    fn find(&self, key: &str) -> Option<Arc<Preview>> {
        let kept = self
            .kept
            .lock()
            .unwrap_or_else(|broken| broken.into_inner());
        kept.iter().find(|preview| preview.key == key).cloned()
    }

    fn keep(&self, preview: Arc<Preview>) {
        let mut kept = self
            .kept
            .lock()
            .unwrap_or_else(|broken| broken.into_inner());
        kept.retain(|other| other.key != preview.key);
        kept.push_front(preview);
        kept.truncate(KEPT);
    }
}

/// Lays out the papers of a visit, or finds them laid out.
fn laid_out(desk: &Desk, opened: &Opened, visit: &Visit) -> Result<Arc<Preview>, String> {
    let options = MakeOptions::default();
    let practice = &opened.practice;
    let made_from = practice
        .made_from(visit, &options)
        .map_err(|error| error.to_string())?;
    // a digest: letters and digits, short enough for an address
    let key = made_from.chars().take(32).collect::<String>();
    if let Some(known) = desk.previews.find(&key) {
        return Ok(known);
    }
    let one_at_a_time = desk
        .previews
        .laying_out
        .lock()
        .unwrap_or_else(|broken| broken.into_inner());
    if let Some(known) = desk.previews.find(&key) {
        return Ok(known);
    }
    let papers = practice
        .make(visit, &options)
        .map_err(|error| error.to_string())?;
    let writable: Vec<PaperKind> = papers.writable().map(|paper| paper.kind).collect();
    let papers = papers
        .papers
        .into_iter()
        .filter(|paper| writable.contains(&paper.kind))
        .map(|paper| (paper.kind, paper.pages))
        .collect();
    let preview = Arc::new(Preview { key, papers });
    desk.previews.keep(preview.clone());
    drop(one_at_a_time);
    Ok(preview)
}

/// The papers of a visit as they would be printed now.
pub(super) fn papers(
    desk: &Desk,
    opened: &Opened,
    visit: &Visit,
    _at: Option<&str>,
) -> ShownPapers {
    let words = &opened.words;
    match laid_out(desk, opened, visit) {
        Ok(preview) => ShownPapers {
            key: preview.key.clone(),
            papers: preview
                .papers
                .iter()
                .map(|(kind, pages)| ShownPaper {
                    name: label(words, kind.short_title()),
                    about: line(
                        words,
                        "desk.papers.pages",
                        json!({ "count": pages.count() }),
                    ),
                    paper: kind.as_str(),
                    pages: (1..=pages.count()).collect(),
                })
                .collect(),
            problem: None,
        },
        Err(problem) => ShownPapers {
            key: String::new(),
            papers: Vec::new(),
            problem: Some(problem),
        },
    }
}

/// The pages of a form that is being filled in, as part of its page.
pub(in crate::desk) fn preview(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let draft = Draft::sent(desk, opened, asked);
        let judged = draft.judge(opened);
        let shown = judged
            .visit
            .as_ref()
            .map(|visit| papers(desk, opened, visit, None));
        let frame = desk.frame(opened, "", String::new());
        match opened
            .pages
            .fill("papers.html", &frame, json!({ "papers": shown }))
        {
            Ok(html) => Answer::Data(json!({ "papers": html })),
            Err(error) => Answer::Sorry(StatusCode::INTERNAL_SERVER_ERROR, error.to_string()),
        }
    })
}

/// One page as a picture.
pub(in crate::desk) fn page(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let [key, paper, page] = asked.named.as_slice() else {
            return Answer::Sorry(StatusCode::NOT_FOUND, String::new());
        };
        let picture = desk.previews.find(key).and_then(|preview| {
            let (_, pages) = preview
                .papers
                .iter()
                .find(|(kind, _)| kind.as_str() == paper)?;
            pages.picture(page.trim_end_matches(".svg").parse().ok()?)
        });
        match picture {
            Some(picture) => Answer::File {
                kind: "image/svg+xml",
                bytes: Bytes::from(picture),
                name: None,
            },
            None => {
                let what = label(&opened.words, "desk.papers.gone");
                desk.sorry(opened, StatusCode::NOT_FOUND, &what)
            }
        }
    })
}
