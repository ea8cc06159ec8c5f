//! Turns a draft into pictures of the pages that would be printed of it now.
//! Invariant: pages of the same layout as the papers; they are kept in memory only, a few at a time, and no register knows them.
//! Must not: write a file, or show a paper that may not be written.

use std::collections::{BTreeMap, VecDeque};
use std::sync::{Arc, Mutex};

use axum::body::Bytes;
use axum::http::StatusCode;
use serde::Serialize;
use serde_json::{Value, json};

use super::draft::Draft;
use crate::compose::WhyPrinted;
use crate::desk::asking::{Answer, Asked};
use crate::desk::house::Opened;
use crate::desk::{Desk, label, line};
use crate::domain::StatementId;
use crate::paper::PaperKind;
use crate::plan::Visit;
use crate::practice::MakeOptions;
use crate::typeset::{Pages, Placed};

/// So many drafts are kept: several visits may be open at once, and each is laid out anew while somebody types.
const KEPT: usize = 16;

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
    /// By statement.
    why: BTreeMap<String, WhyPrinted>,
}

impl Preview {
    /// The first place of a statement.
    fn place_of(&self, statement: &str) -> Option<(PaperKind, usize)> {
        self.papers.iter().find_map(|(kind, pages)| {
            let placed = pages.statements().get(statement)?;
            Some((*kind, placed.first_page))
        })
    }

    fn pages_of(&self, paper: &str) -> Option<&Pages> {
        let mut papers = self.papers.iter();
        let (_, pages) = papers.find(|(kind, _)| kind.as_str() == paper)?;
        Some(pages)
    }
}

/// Where a statement stands on a page, in points from its left upper corner: left, top, right, bottom.
fn frame_of(placed: &Placed, page: usize) -> Option<[f64; 4]> {
    placed
        .runs
        .iter()
        .filter(|run| run.page == page)
        .map(|run| {
            let (top, bottom) = (run.baseline - run.size, run.baseline + run.size * 0.35);
            [run.left, top, run.right, bottom]
        })
        .reduce(|a, b| {
            [
                a[0].min(b[0]),
                a[1].min(b[1]),
                a[2].max(b[2]),
                a[3].max(b[3]),
            ]
        })
}

/// The papers of a draft, for a page.
#[derive(Debug, Serialize)]
pub(super) struct ShownPapers {
    key: String,
    papers: Vec<ShownPaper>,
    /// Why there are none.
    problem: Option<String>,
    /// Where what is said of a caution is printed, for each that is printed.
    places: BTreeMap<String, PlaceOf>,
}

/// A place on a page, and its picture.
#[derive(Debug, Serialize)]
struct PlaceOf {
    said: String,
    picture: String,
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
        let mut kept = self
            .kept
            .lock()
            .unwrap_or_else(|broken| broken.into_inner());
        let at = kept.iter().position(|preview| preview.key == key)?;
        // what somebody still looks at is the last to go
        let found = kept.remove(at)?;
        kept.push_front(found.clone());
        Some(found)
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
    let why = practice
        .why_printed(visit)
        .map_err(|error| error.to_string())?;
    let why = why
        .into_iter()
        .map(|why| (why.statement.clone(), why))
        .collect();
    let preview = Arc::new(Preview { key, papers, why });
    desk.previews.keep(preview.clone());
    drop(one_at_a_time);
    Ok(preview)
}

/// The papers of a visit as they would be printed now.
pub(super) fn papers(desk: &Desk, opened: &Opened, visit: &Visit) -> ShownPapers {
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
            places: places(desk, opened, visit, &preview),
        },
        Err(problem) => ShownPapers {
            key: String::new(),
            papers: Vec::new(),
            problem: Some(problem),
            places: BTreeMap::new(),
        },
    }
}

/// Where each caution of a visit is printed.
fn places(
    desk: &Desk,
    opened: &Opened,
    visit: &Visit,
    preview: &Preview,
) -> BTreeMap<String, PlaceOf> {
    let cautions = opened.practice.cautions(visit).unwrap_or_default();
    let words = &opened.words;
    let mut places = BTreeMap::new();
    for caution in cautions {
        // what is said to the patient, or else what is said to whoever treats
        let said = [
            StatementId::because_of(&caution.id),
            StatementId::caution(&caution.id),
        ];
        let caution = caution.id.to_string();
        let found = said
            .iter()
            .find_map(|statement| Some((preview.place_of(statement.as_str())?, statement)));
        if let Some(((kind, page), statement)) = found {
            let paper = label(words, kind.short_title());
            let said = line(
                words,
                "desk.papers.alt",
                json!({ "paper": paper, "page": page }),
            );
            let (root, key, kind) = (desk.root(), &preview.key, kind.as_str());
            let picture = format!("{root}/visit/page/{key}/{kind}/{page}.svg?at={statement}");
            places.insert(caution, PlaceOf { said, picture });
        }
    }
    places
}

/// The pages of a form that is being filled in, as part of its page.
pub(in crate::desk) fn preview(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let draft = Draft::sent(desk, opened, asked);
        let judged = draft.judge(opened);
        let shown = judged
            .visit
            .as_ref()
            .map(|visit| papers(desk, opened, visit));
        let frame = desk.frame(opened, "", String::new());
        let data = json!({ "papers": shown });
        match opened.pages.fill("papers.html", &frame, &data) {
            Ok(html) => Answer::Data(json!({
                "papers": html,
                "places": shown.as_ref().map(|shown| &shown.places),
            })),
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
        let number: Option<usize> = page.trim_end_matches(".svg").parse().ok();
        let picture = desk
            .previews
            .find(key)
            .zip(number)
            .and_then(|(preview, number)| {
                let pages = preview.pages_of(paper)?;
                let picture = pages.picture(number)?;
                let at = asked.filled("at").and_then(|at| pages.statements().get(at));
                Some(match at.and_then(|placed| frame_of(placed, number)) {
                    Some(frame) => framed(&picture, frame),
                    None => picture,
                })
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

/// The picture of a page with a frame around one place of it.
fn framed(picture: &str, [left, top, right, bottom]: [f64; 4]) -> String {
    const AROUND: f64 = 4.0;
    let frame = format!(
        "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"none\" stroke=\"#0b4a54\" stroke-width=\"2.5\"/></svg>",
        left - AROUND,
        top - AROUND,
        right - left + 2.0 * AROUND,
        bottom - top + 2.0 * AROUND,
    );
    match picture.rsplit_once("</svg>") {
        Some((before, _)) => format!("{before}{frame}"),
        None => picture.to_owned(),
    }
}

/// What stands at a place of a page, given as parts of its width and height; without a place everything on the page, from the
/// top, for somebody who does not point.
pub(in crate::desk) fn at(desk: &Desk, asked: &Asked) -> Answer {
    desk.with_practice(asked, |opened| {
        let [key, paper, page] = asked.named.as_slice() else {
            return Answer::Sorry(StatusCode::NOT_FOUND, String::new());
        };
        let number: Option<usize> = page.parse().ok();
        let found = desk
            .previews
            .find(key)
            .zip(number)
            .and_then(|(preview, number)| {
                let pages = preview.pages_of(paper)?;
                let size = *pages.sizes().get(number.checked_sub(1)?)?;
                let mut there: Vec<Sentence<'_>> = pages
                    .statements()
                    .iter()
                    .filter_map(|(id, placed)| {
                        let frame = frame_of(placed, number)?;
                        Some(Sentence { id, placed, frame })
                    })
                    .collect();
                let part = |name: &str| asked.filled(name)?.parse::<f64>().ok();
                match part("x").zip(part("y")) {
                    Some((x, y)) => {
                        there.retain(|one| one.holds(x * size.0, y * size.1));
                        // of statements inside each other the smallest
                        let smallest = there.iter().min_by(|a, b| a.size().total_cmp(&b.size()))?;
                        Some(smallest.said(opened, &preview))
                    }
                    None => {
                        there.sort_by(|a, b| a.frame[1].total_cmp(&b.frame[1]));
                        Some(there.iter().map(|one| one.said(opened, &preview)).collect())
                    }
                }
            });
        Answer::Data(found.unwrap_or(Value::Null))
    })
}

/// A statement on one page.
struct Sentence<'p> {
    id: &'p str,
    placed: &'p Placed,
    /// Left, top, right, bottom.
    frame: [f64; 4],
}

impl Sentence<'_> {
    fn holds(&self, x: f64, y: f64) -> bool {
        let [left, top, right, bottom] = self.frame;
        (left..=right).contains(&x) && (top..=bottom).contains(&y)
    }

    fn size(&self) -> f64 {
        let [left, top, right, bottom] = self.frame;
        (right - left) * (bottom - top)
    }

    /// Its words, and why they are there.
    fn said(&self, opened: &Opened, preview: &Preview) -> Value {
        let text: Vec<&str> = self
            .placed
            .runs
            .iter()
            .flat_map(|run| run.text.split_whitespace())
            .collect();
        let why = preview.why.get(self.id);
        let because = why.map_or("", |why| &why.because);
        let words = &opened.words;
        json!({
            "statement": self.id,
            "text": text.join(" "),
            "why": match because.is_empty() {
                true => label(words, "desk.papers.every"),
                false => line(words, "desk.papers.because", json!({ "because": because })),
            },
            "source": why.map(|why| &why.source),
        })
    }
}
