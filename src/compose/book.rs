//! Turns the wording of one language and country into a book for whoever approves it: every statement with its use, its source and
//! how it stands, and a place to sign.
//! Invariant: every statement of the wording stands in the book once, under its id; the words stand as they are today.
//! Must not: approve anything, know a visit, or choose which statements are worth reading.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::json;

use super::book_rows::Rows;
use super::check_parts::CheckPart;
use super::document::{Block, Document, Field, Item, Masthead, MastheadStyle, RunningLines};
use super::{TYPE_SIZE, branding, page_of, page_size, values, wording_line};
use crate::catalogue::Catalogue;
use crate::domain::{LabelId, SourceId, StatementId};
use crate::paper::PaperKind;
use crate::plan::Clinic;
use crate::wording::{Approvals, RecordedWording, Standing, WordingError, library, rich};

/// What the document calls itself in its data.
pub const BOOK: &str = "wording-book";

/// What a book is made from.
#[derive(Clone, Copy)]
pub struct BookOfWords<'b> {
    pub catalogue: &'b Catalogue,
    pub clinic: &'b Clinic,
    pub wording: &'b RecordedWording<'b>,
    pub approvals: &'b Approvals,
    /// As printed on its pages.
    pub code: &'b str,
}

/// The chapters of a book, in its order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Chapter {
    Everyone,
    Papers,
    Practice,
}

/// Where statements stand that belong to no area: what their ids begin with, the chapter, and the heading. In printing order.
const SECTIONS: &[(&str, Chapter, &str)] = &[
    ("general", Chapter::Everyone, "book.part.general"),
    ("general.serious", Chapter::Everyone, "book.part.serious"),
    ("general.risk", Chapter::Everyone, "book.part.risks"),
    ("choice", Chapter::Everyone, "book.part.choices"),
    ("because", Chapter::Everyone, "book.part.because"),
    ("redflag", Chapter::Everyone, "book.part.signs"),
    ("normal", Chapter::Everyone, "book.part.normal"),
    ("alike", Chapter::Everyone, "book.part.alike"),
    ("advice", Chapter::Everyone, "book.part.advice"),
    ("information", Chapter::Papers, "information.short-title"),
    ("consent", Chapter::Papers, "consent.short-title"),
    ("aftercare", Chapter::Papers, "aftercare.short-title"),
    ("calendar", Chapter::Papers, "book.part.calendar"),
    ("picture", Chapter::Papers, "book.part.pictures"),
    ("timeline", Chapter::Papers, "book.part.pictures"),
    ("code", Chapter::Papers, "book.part.pictures"),
    ("", Chapter::Papers, "book.part.common"),
    ("clinician", Chapter::Practice, "clinician.short-title"),
    ("evidence", Chapter::Practice, "evidence.short-title"),
    ("rule", Chapter::Practice, "book.part.cautions"),
    ("ask", Chapter::Practice, "book.part.cautions"),
    ("fact", Chapter::Practice, "book.part.questions"),
    ("question", Chapter::Practice, "book.part.questions"),
    ("muscle", Chapter::Practice, "book.part.practice"),
    ("status", Chapter::Practice, "book.part.practice"),
    ("licence-place", Chapter::Practice, "book.part.practice"),
    ("language", Chapter::Practice, "book.part.practice"),
    ("staff", Chapter::Practice, "book.part.practice"),
    ("day", Chapter::Practice, "book.part.practice"),
    ("book", Chapter::Practice, "book.part.book"),
];

/// The section whose ids begin most like this one; an id of no family we know may stand on any paper.
fn section_of(id: &str) -> usize {
    let begins = |beginning: &str| {
        let rest = id.strip_prefix(beginning);
        beginning.is_empty() || rest.is_some_and(|rest| rest.starts_with('.'))
    };
    let all = SECTIONS.iter().enumerate();
    let fitting = all.filter(|(_, (beginning, ..))| begins(beginning));
    let (_, (_, chapter, heading)) = fitting
        .max_by_key(|(_, (beginning, ..))| beginning.len())
        .expect("every id begins with nothing");
    SECTIONS
        .iter()
        .position(|(_, c, h)| (c, h) == (chapter, heading))
        .expect("it was found among them")
}

/// Composes the book.
///
/// # Errors
/// A sentence of the book's own is missing or cannot be filled.
pub fn wording_book(book: BookOfWords<'_>) -> Result<Document, WordingError> {
    let rows = Rows::new(book)?;
    let composer = Book { book, rows };
    let blocks = composer.blocks()?;
    composer.document(blocks)
}

struct Book<'b> {
    book: BookOfWords<'b>,
    rows: Rows<'b>,
}

impl Book<'_> {
    fn label(&self, id: &str) -> Result<String, WordingError> {
        self.book.wording.label(id)
    }

    fn line(&self, id: &str, context: serde_json::Value) -> Result<String, WordingError> {
        self.book.wording.line(id, &values(context))
    }

    fn heading(&self, level: u8, id: &str) -> Result<Block, WordingError> {
        Ok(Block::heading(level, self.label(id)?))
    }

    fn note(&self, id: &str, context: serde_json::Value) -> Result<Block, WordingError> {
        Ok(Block::Text {
            mark: None,
            pieces: self.book.wording.pieces(id, &values(context))?,
        })
    }

    fn blocks(&self) -> Result<Vec<Block>, WordingError> {
        let mut blocks = vec![
            self.note("book.purpose", json!({}))?,
            self.note("book.reading", json!({}))?,
        ];
        self.standing(&mut blocks)?;
        let areas = &self.book.catalogue.areas;
        let mut sections: BTreeMap<usize, Vec<&str>> = BTreeMap::new();
        let mut of_area: BTreeMap<usize, Vec<&str>> = BTreeMap::new();
        for id in self.in_order() {
            let family = crate::domain::family(id);
            match areas.iter().position(|area| family == area.id.as_str()) {
                Some(at) => of_area.entry(at).or_default().push(id),
                None => sections.entry(section_of(id)).or_default().push(id),
            }
        }
        let chapter = |chapter: Chapter, blocks: &mut Vec<Block>| -> Result<(), WordingError> {
            for (at, ids) in &sections {
                let (_, of, heading) = SECTIONS[*at];
                if of == chapter {
                    blocks.push(self.heading(3, heading)?);
                    blocks.push(self.table(ids)?);
                }
            }
            Ok(())
        };
        blocks.push(self.heading(2, "book.everyone")?);
        chapter(Chapter::Everyone, &mut blocks)?;
        for (at, ids) in &of_area {
            let area = &areas[*at];
            blocks.push(self.heading(2, &LabelId::area_name(&area.id))?);
            if let Some(product) = self.rows.product_of(area) {
                blocks.push(self.note("book.example", json!({ "product": product }))?);
            }
            blocks.push(self.table(ids)?);
        }
        blocks.push(self.heading(2, "book.papers")?);
        chapter(Chapter::Papers, &mut blocks)?;
        blocks.push(self.heading(2, "book.practice")?);
        chapter(Chapter::Practice, &mut blocks)?;
        self.sources(&mut blocks)?;
        self.signing(&mut blocks)?;
        Ok(blocks)
    }

    /// Every statement in the order of the catalogue, as papers have it; what is not in there follows by name.
    fn in_order(&self) -> Vec<&str> {
        let catalogue = self.book.catalogue;
        let areas = catalogue.areas.iter().flat_map(|area| {
            let labels = LabelId::of_area(&area.id).map(String::from);
            let said = area.statement_ids().map(|id| id.wording().to_owned());
            labels.into_iter().chain(said)
        });
        let general = catalogue.general.statement_ids();
        let advice = catalogue.advice.iter();
        let advice = advice.map(|advice| StatementId::advice(&advice.id));
        let others = general.chain(advice).map(|id| id.wording().to_owned());
        let known: Vec<String> = areas.chain(others).collect();
        let places: BTreeMap<&str, usize> = known
            .iter()
            .enumerate()
            .map(|(at, id)| (id.as_str(), at))
            .collect();
        let statements = self.book.wording.statements();
        let mut all: Vec<&str> = statements.keys().map(String::as_str).collect();
        all.sort_by_key(|id| (places.get(id).copied().unwrap_or(usize::MAX), *id));
        all
    }

    /// How many statements stand how, and which have changed.
    fn standing(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let BookOfWords {
            wording, approvals, ..
        } = self.book;
        let (mut approved, mut never) = (0, 0);
        let mut changed = Vec::new();
        for id in wording.statements().keys() {
            match wording.standing(approvals, id) {
                Standing::Approved(_) => approved += 1,
                Standing::Changed(_) => changed.push(id),
                Standing::Never => never += 1,
            }
        }
        blocks.push(self.note(
            "book.counts",
            json!({
                "total": wording.statements().len(), "approved": approved, "changed": changed.len(), "never": never,
            }),
        )?);
        if changed.is_empty() {
            return Ok(());
        }
        blocks.push(self.heading(2, "book.changed")?);
        let items = changed.into_iter().map(|id| {
            let mut text = rich::bold(format!("{id}. "));
            text.extend(rich::plain(self.rows.standing(id)?));
            Ok(Item { mark: None, text })
        });
        blocks.push(Block::bullets(items.collect::<Result<_, WordingError>>()?));
        Ok(())
    }

    fn table(&self, ids: &[&str]) -> Result<Block, WordingError> {
        let rows = ids.iter().map(|id| self.rows.row(id));
        Ok(Block::Check(CheckPart::Book {
            name: self.label("book.table-name")?,
            header: vec![self.label("book.words")?, self.label("book.about")?],
            rows: rows.collect::<Result<_, _>>()?,
        }))
    }

    /// Every source that is named in the book, with its title.
    fn sources(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let used: BTreeSet<&SourceId> = self.rows.sources().collect();
        let mut ordered: Vec<&SourceId> = used.into_iter().collect();
        ordered.sort_by_key(|id| id.place());
        let known = ordered.into_iter();
        let known = known.filter_map(|id| self.book.catalogue.sources.get(id));
        let items = known.map(|source| {
            let mut text = rich::bold(format!("{} ", source.id));
            text.extend(rich::plain(source.title.clone()));
            Item { mark: None, text }
        });
        blocks.push(self.heading(2, "book.sources")?);
        blocks.push(Block::bullets(items.collect()));
        Ok(())
    }

    fn signing(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let code = self.book.code;
        let sign = |line: &str| self.label(&LabelId::sign(line));
        blocks.push(Block::Together {
            blocks: vec![
                self.heading(2, "book.sign.heading")?,
                self.note("book.sign.doubts", json!({}))?,
                Block::Lines { count: 3 },
                Block::Sign {
                    title: String::new(),
                    text: self.line("book.sign.text", json!({ "code": code }))?,
                    fields: vec![
                        Field::signature(sign("signature")?),
                        Field::beside(self.label("book.sign.name")?, 0),
                        Field::beside(self.label("book.sign.registration")?, 80)
                            .starting()
                            .low(),
                        Field::beside(sign("date")?, 0).low(),
                    ],
                    framed: false,
                },
                self.note("book.sign.record", json!({}))?,
            ],
        });
        Ok(())
    }

    fn document(&self, blocks: Vec<Block>) -> Result<Document, WordingError> {
        let BookOfWords {
            clinic,
            wording,
            code,
            ..
        } = self.book;
        let language = self.label(&LabelId::language(wording.base()))?;
        let title = self.line(
            "book.title",
            json!({ "language": language, "tag": wording.tag() }),
        )?;
        let (year, month) = library::issued(wording.tag());
        Ok(Document {
            paper: BOOK,
            language: wording.tag().to_owned(),
            page_size: page_size(clinic, self.rows.region),
            type_size: TYPE_SIZE,
            large: false,
            masthead: Masthead {
                style: MastheadStyle::Short,
                clinic: clinic.name.clone(),
                address: clinic.address.join(", "),
                phone: clinic.phone.clone(),
                phone_note: String::new(),
            },
            // no clock and no visit: the month in which the words were issued
            date: (year, month, 1),
            running_lines: RunningLines {
                name: clinic.name.clone(),
                identity: vec![wording.tag().to_owned()],
                paper: self.label("book.short-title")?,
                clinic: clinic.name.clone(),
                visit: String::new(),
                wording: wording_line(wording)?,
                notice: None,
                code: self.line("paper.code", json!({ "code": code }))?,
                page_of: page_of(wording)?,
            },
            title,
            accent: clinic.branding.accent.clone(),
            logo: branding::picture(clinic),
            record: String::new(),
            calls: vec![clinic.phone.clone()],
            blocks,
        })
    }
}

/// The names of papers as a list.
pub(super) fn papers_named(
    wording: &RecordedWording<'_>,
    papers: &[PaperKind],
) -> Result<String, WordingError> {
    let names: Result<Vec<String>, _> = papers
        .iter()
        .map(|paper| wording.label(paper.short_title()))
        .collect();
    Ok(wording.list_of_names(&names?))
}
