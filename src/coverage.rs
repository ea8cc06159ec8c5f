//! Turns a laid-out paper and the list of what it must hold into what was printed, on which page, and what is wrong with it.
//! Invariant: a statement counts as printed only when exactly its composed words were laid out once, whole, on the page, in
//! the paper's language, large and dark enough to read; of everything else that was composed, nothing is lost.
//! Must not: change a document, or trust a mark without the words that follow it.

use std::collections::{BTreeMap, BTreeSet};

use memchr::memmem;

use crate::compose::Document;
use crate::domain::StatementId;
use crate::typeset::{PageContent, PagePart, Pages, Placed, TextRun};

/// Smallest type a required statement may be printed in, in points; table cells are set a little below the body.
pub const LEAST_SIZE: f64 = 11.0;
/// Contrast that text must have against what lies behind it: WCAG 2 level AAA for body text.
pub const LEAST_CONTRAST: f64 = 7.0;
/// Bytes up to which a text is looked for as often as it was composed: a telephone number or a label stands in several places,
/// and one of them must not speak for another.
const SHORT: usize = 32;
/// Room that must stay clear at each edge of the page, in points (1.5 cm; a copier cuts off less).
pub const LEAST_MARGIN: f64 = 42.5;

/// Where a statement is printed. Pages count from 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    pub first_page: usize,
    pub last_page: usize,
    /// Where it begins, in points from the left and the top edge.
    pub left: f64,
    pub baseline: f64,
}

/// Why a required statement does not count as printed.
#[derive(Debug, Clone, PartialEq)]
pub enum Fault {
    /// Its mark is nowhere in the pages.
    NotPlaced,
    /// The document has no words for it.
    Empty,
    /// It stands there more than once.
    Twice,
    /// Other words than the composed ones were laid out.
    OtherWords,
    /// Part of it lies outside the page or in its margin.
    OffPage { page: usize },
    /// Part of it may be cut off.
    Clipped { page: usize },
    /// Part of it is too faint to read.
    Faint { page: usize },
    /// Part of it is smaller than the least size.
    TooSmall { page: usize },
    /// Part of it is tagged with another language.
    OtherLanguage { found: String },
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Fault::NotPlaced => write!(f, "is not printed"),
            Fault::Empty => write!(f, "has no words"),
            Fault::Twice => write!(f, "is printed more than once"),
            Fault::OtherWords => write!(f, "is printed in other words than it was composed in"),
            Fault::OffPage { page } => write!(f, "leaves page {page}"),
            Fault::Clipped { page } => write!(f, "may be cut off on page {page}"),
            Fault::Faint { page } => write!(f, "is too faint on page {page}"),
            Fault::TooSmall { page } => write!(f, "is too small on page {page}"),
            Fault::OtherLanguage { found } => {
                write!(f, "is tagged as `{found}`, not as the paper's language")
            }
        }
    }
}

/// What was found of the required statements.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Coverage {
    /// Statements that are printed as they must be, with their places.
    pub printed: BTreeMap<StatementId, Place>,
    /// Statements that are not, each with the first thing wrong.
    pub faults: BTreeMap<StatementId, Fault>,
    /// Other words of the document, such as headings, labels and telephone numbers, that are not on the page.
    pub lost: Vec<(String, Fault)>,
}

impl Coverage {
    pub fn is_complete(&self) -> bool {
        self.faults.is_empty() && self.lost.is_empty()
    }

    /// Statement id to first page.
    pub fn pages(&self) -> BTreeMap<StatementId, usize> {
        self.printed
            .iter()
            .map(|(id, place)| (id.clone(), place.first_page))
            .collect()
    }
}

/// Holds a laid-out paper against what it must hold.
pub fn check(required: &BTreeSet<&StatementId>, document: &Document, pages: &Pages) -> Coverage {
    let content = pages.content();
    let sizes = &content.sizes;
    let language = document.language.split('-').next().unwrap_or_default();
    let mut words: BTreeMap<&StatementId, String> = BTreeMap::new();
    // words of no statement: headings, labels, telephone numbers
    let mut others = Vec::new();
    let head = &document.masthead;
    if head.style.names_the_clinic() {
        others.extend([&head.clinic, &head.address, &head.phone].map(String::as_str));
    }
    let lines = document.lines();
    for line in &lines {
        match line.statement {
            Some(id) => words.entry(id).or_default().push_str(&line.text),
            None => others.push(line.text.as_str()),
        }
    }
    let mut coverage = Coverage::default();
    for id in required {
        let composed = words.get(*id).map(|words| squeeze(words));
        // tables of large print are large print too
        let least = LEAST_SIZE.max(document.type_size * LEAST_SIZE / crate::compose::TYPE_SIZE);
        let placed = content.statements.get(id.as_str());
        match judge(placed, composed.as_deref(), sizes, language, least) {
            Ok(place) => {
                coverage.printed.insert((*id).clone(), place);
            }
            Err(fault) => {
                coverage.faults.insert((*id).clone(), fault);
            }
        }
    }
    coverage.lost = lost(&others, content);
    coverage
}

fn judge(
    placed: Option<&Placed>,
    composed: Option<&str>,
    sizes: &[(f64, f64)],
    language: &str,
    least: f64,
) -> Result<Place, Fault> {
    let composed = composed
        .filter(|words| !words.is_empty())
        .ok_or(Fault::Empty)?;
    let placed = placed.ok_or(Fault::NotPlaced)?;
    if placed.begins != 1 || placed.ends != 1 {
        return Err(if placed.begins > 1 {
            Fault::Twice
        } else {
            Fault::NotPlaced
        });
    }
    let first = placed.runs.first().ok_or(Fault::NotPlaced)?;
    let printed: String = placed.runs.iter().map(|run| squeeze(&run.text)).collect();
    if printed != composed {
        return Err(Fault::OtherWords);
    }
    for run in &placed.runs {
        let page = run.page;
        let size = sizes.get(page.wrapping_sub(1)).copied();
        if !in_margins(run, size.unwrap_or_default()) {
            return Err(Fault::OffPage { page });
        }
        if run.clipped {
            return Err(Fault::Clipped { page });
        }
        if run.contrast < LEAST_CONTRAST {
            return Err(Fault::Faint { page });
        }
        if run.size < least {
            return Err(Fault::TooSmall { page });
        }
        if run.language != language {
            return Err(Fault::OtherLanguage {
                found: run.language.clone(),
            });
        }
    }
    Ok(Place {
        first_page: placed.first_page,
        last_page: placed.last_page,
        left: first.left,
        baseline: first.baseline,
    })
}

/// Words outside statements that the pages do not hold, and what is drawn in the margin of a page.
fn lost(others: &[&str], content: &PageContent) -> Vec<(String, Fault)> {
    let drawn = Drawn::of(content.body().map(|run| run.text.as_str()));
    let composed = Drawn::of(others.iter().copied());
    let is_lost = |text: &&&str| match text.len() <= SHORT {
        true => drawn.times(text) < composed.times(text),
        false => !drawn.holds(text),
    };
    let mut found: Vec<(String, Fault)> = others
        .iter()
        .filter(is_lost)
        .map(|text| ((*text).to_owned(), Fault::NotPlaced))
        .collect();
    let feet = feet(content);
    for run in content.body() {
        let page = run.page;
        let size = content.sizes.get(page.wrapping_sub(1)).copied();
        let over_the_foot = feet.get(&page).is_some_and(|foot| run.baseline > *foot);
        if over_the_foot || !in_margins(run, size.unwrap_or_default()) {
            found.push((run.text.clone(), Fault::OffPage { page }));
        }
    }
    found
}

/// Where the running foot of each page begins, in points from the top.
fn feet(content: &PageContent) -> BTreeMap<usize, f64> {
    let mut feet = BTreeMap::new();
    let all = content.runs.iter();
    for run in all.filter(|run| run.part == PagePart::Foot) {
        let top = run.baseline - run.size;
        let foot = feet.entry(run.page).or_insert(top);
        *foot = top.min(*foot);
    }
    feet
}

/// What was drawn, as words are looked for in it.
pub struct Drawn(String);

impl Drawn {
    pub fn of<'t>(runs: impl Iterator<Item = &'t str>) -> Drawn {
        Drawn(runs.map(Drawn::squeeze).collect())
    }

    /// How often it was drawn, alone or within another text.
    fn times(&self, text: &str) -> usize {
        match Drawn::squeeze(text).as_str() {
            "" => 0,
            text => memmem::find_iter(self.0.as_bytes(), text).count(),
        }
    }

    // in some languages a hyphen at the end of a line is drawn again on the next
    fn squeeze(text: &str) -> String {
        squeeze(text).replace('-', "")
    }

    /// The text was drawn, wherever its lines break.
    pub fn holds(&self, text: &str) -> bool {
        memmem::find(self.0.as_bytes(), Drawn::squeeze(text).as_bytes()).is_some()
    }
}

/// Whether a run keeps clear of the edges of its page.
fn in_margins(run: &TextRun, (width, height): (f64, f64)) -> bool {
    let across = run.left >= LEAST_MARGIN && run.right <= width - LEAST_MARGIN;
    // the tallest letters of this face reach about three quarters of the size above the baseline
    let top = run.baseline - 0.75 * run.size;
    across && top >= LEAST_MARGIN && run.baseline <= height - LEAST_MARGIN
}

/// Text without white space and list bullets: lines break anywhere, and bullets are drawn by the template.
pub fn squeeze(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && *c != '•')
        .collect()
}
