//! Turns the visits of one day and what was printed of them into the slip that lies on top of the pile.
//! Invariant: every visit of the day stands on it once, either with its papers or with the reason why it has none.
//! Must not: name anything clinical, or know a file or a printer.

use jiff::civil::Date;
use serde_json::json;

use super::day::{DayRow, DayWords};
use super::document::{Block, Document, Masthead, MastheadStyle, Row, RunningLines};
use super::{TYPE_SIZE, branding, page_of, page_size, values, wording_line};
use crate::catalogue::Catalogue;
use crate::domain::LabelId;
use crate::paper::PaperKind;
use crate::plan::Clinic;
use crate::wording::{Piece, RecordedWording, WordingError, rich};

/// What the document calls itself in its data.
pub const SLIP: &str = "day-slip";

/// What lies in the pile of one visit.
#[derive(Debug, Clone, Default)]
pub struct Printed {
    /// In the order of the pile, each with its number of copies.
    pub papers: Vec<(PaperKind, usize)>,
    pub sheets: usize,
}

/// What a slip is made from.
pub struct DaySlip<'s> {
    pub catalogue: &'s Catalogue,
    pub clinic: &'s Clinic,
    pub date: Date,
    /// By time, each with what was printed of it; none: it is not in the pile.
    pub visits: &'s [(DayRow, Option<Printed>)],
}

/// Composes the slip in the practice's words.
///
/// # Errors
/// A sentence is missing or cannot be filled.
pub fn slip(slip: &DaySlip<'_>, wording: &RecordedWording<'_>) -> Result<Document, WordingError> {
    let words = DayWords { wording };
    let composer = Slip { slip, words };
    let blocks = composer.blocks()?;
    composer.document(blocks)
}

struct Slip<'s> {
    slip: &'s DaySlip<'s>,
    words: DayWords<'s>,
}

impl Slip<'_> {
    fn cell(&self, text: String) -> Vec<Piece> {
        let text = rich::plain(text);
        vec![Piece::Para { text }]
    }

    fn text(&self, id: &str, context: serde_json::Value) -> Result<Block, WordingError> {
        Ok(Block::Text {
            mark: None,
            pieces: self.words.wording.pieces(id, &values(context))?,
        })
    }

    fn time(&self, row: &DayRow) -> String {
        let formats = self.words.wording.formats();
        row.time.map_or(String::new(), |time| formats.time(time))
    }

    /// Name and record number, or the file where nobody could read who it is.
    fn who(&self, row: &DayRow) -> String {
        let said = [row.name.as_deref(), row.record.as_deref()];
        let said: Vec<&str> = said.into_iter().flatten().collect();
        match said.is_empty() {
            true => row.file.clone(),
            false => said.join(", "),
        }
    }

    fn papers(&self, row: &DayRow, printed: &Printed) -> Result<String, WordingError> {
        let mut said = Vec::new();
        for (kind, copies) in &printed.papers {
            let paper = self.words.paper(*kind)?;
            said.push(match copies {
                1 => paper,
                copies => self.words.line(
                    "day.slip.copies",
                    json!({ "paper": paper, "count": copies }),
                )?,
            });
        }
        let mut papers = vec![
            self.words
                .line("day.slip.papers", json!({ "papers": said.join(", ") }))?,
        ];
        if let Some(language) = row
            .language
            .as_deref()
            .filter(|language| *language != self.words.wording.base())
        {
            let language = self.words.label(&LabelId::language(language))?;
            papers.push(
                self.words
                    .line("day.slip.language", json!({ "language": language }))?,
            );
        }
        if row.large_print {
            papers.push(self.words.label("day.slip.large-print")?);
        }
        let explained = printed.papers.iter().any(|(kind, _)| kind.explains_risks());
        if let Some(informed) = row.informed_before.filter(|_| !explained) {
            let date = self.words.wording.formats().weekday_day(informed);
            papers.push(
                self.words
                    .line("day.slip.informed", json!({ "date": date }))?,
            );
        }
        Ok(papers.join(" "))
    }

    fn blocks(&self) -> Result<Vec<Block>, WordingError> {
        let visits = self.slip.visits;
        let printed = visits.iter().filter_map(|(_, printed)| printed.as_ref());
        let (in_pile, sheets) = printed.fold((0, 0), |(visits, sheets), printed| {
            (visits + 1, sheets + printed.sheets)
        });
        let missing = visits.len() - in_pile;
        let counts = json!({ "visits": in_pile, "sheets": sheets, "missing": missing });
        let mut blocks = vec![self.text("day.slip.counts", counts)?];
        if in_pile > 0 {
            blocks.push(self.text("day.slip.how", json!({}))?);
        }
        blocks.push(self.text("day.slip.keep", json!({}))?);
        blocks.push(Block::heading(2, self.words.label("day.slip.missing")?));
        if missing == 0 {
            blocks.push(self.text("day.slip.nothing-missing", json!({}))?);
        } else {
            blocks.push(self.missing()?);
        }
        if in_pile > 0 {
            blocks.push(Block::heading(2, self.words.label("day.slip.printed")?));
            blocks.push(self.printed()?);
        }
        Ok(blocks)
    }

    fn missing(&self) -> Result<Block, WordingError> {
        let mut rows = Vec::new();
        for (row, printed) in self.slip.visits {
            if printed.is_some() {
                continue;
            }
            rows.push(vec![
                self.cell(self.time(row)),
                self.cell(self.who(row)),
                self.cell(self.words.state(row.state)?),
                self.cell(self.words.needs(row)?),
            ]);
        }
        let header = ["time", "patient", "state", "needs"];
        self.table("day.slip.missing", header, vec![0, 5, 4, 9], rows)
    }

    fn printed(&self) -> Result<Block, WordingError> {
        let mut rows = Vec::new();
        for (row, printed) in self.slip.visits {
            let Some(printed) = printed else {
                continue;
            };
            let sheets = self.words.wording.formats().number(printed.sheets as f64);
            rows.push(vec![
                self.cell(self.time(row)),
                self.cell(self.who(row)),
                self.cell(self.papers(row, printed)?),
                self.cell(sheets),
            ]);
        }
        let header = ["time", "patient", "papers", "sheets"];
        self.table("day.slip.printed", header, vec![0, 6, 10, 0], rows)
    }

    fn table(
        &self,
        name: &str,
        header: [&str; 4],
        widths: Vec<u32>,
        rows: Vec<Vec<Vec<Piece>>>,
    ) -> Result<Block, WordingError> {
        let header: Result<Vec<String>, _> = header
            .iter()
            .map(|column| self.words.label(&LabelId::day_column(column)))
            .collect();
        let row = |cells| Row { mark: None, cells };
        Ok(Block::Table {
            name: self.words.label(name)?,
            widths,
            header: header?,
            under: Vec::new(),
            rows: rows.into_iter().map(row).collect(),
        })
    }

    fn document(&self, blocks: Vec<Block>) -> Result<Document, WordingError> {
        let (clinic, date) = (self.slip.clinic, self.slip.date);
        let wording = self.words.wording;
        let formats = wording.formats();
        let region = self.slip.catalogue.region(&clinic.region);
        Ok(Document {
            paper: SLIP,
            language: wording.tag().to_owned(),
            title: self.words.line(
                "day.slip.title",
                json!({ "date": formats.weekday_date(date) }),
            )?,
            page_size: page_size(clinic, region),
            type_size: TYPE_SIZE,
            large: false,
            masthead: Masthead {
                style: MastheadStyle::Title,
                clinic: clinic.name.clone(),
                address: clinic.address.join(", "),
                phone: clinic.phone.clone(),
                phone_note: String::new(),
            },
            date: (date.year(), date.month(), date.day()),
            running_lines: RunningLines {
                name: clinic.name.clone(),
                identity: Vec::new(),
                paper: self.words.label("day.slip.short-title")?,
                clinic: clinic.name.clone(),
                visit: formats.short_date(date),
                wording: wording_line(wording)?,
                notice: None,
                code: String::new(),
                page_of: page_of(wording)?,
            },
            accent: clinic.branding.accent.clone(),
            logo: branding::picture(clinic),
            record: String::new(),
            calls: vec![clinic.phone.clone()],
            blocks,
        })
    }
}
