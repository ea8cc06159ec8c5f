//! Turns what was made of a day's visits into one file to print, with a slip on top that says what is in it and what is not.
//! Invariant: the slip names every visit of the day once; what it says of sheets is what the file holds.
//! Must not: make papers, or print.

use std::path::{Path, PathBuf};

use super::day::{Copies, Day};
use super::day_work::Worked;
use super::failed::While;
use super::{Failed, MakeError, Practice, shown, writing};
use crate::compose::day::Need;
use crate::compose::day_slip::{self, DaySlip, Printed};
use crate::paper::PaperKind;
use crate::print_pack::{self, InPack};
use crate::select::VisitState;

/// A pack on disk.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct DayPack {
    pub file: PathBuf,
    /// Blank backs among them.
    pub pages: usize,
    pub sheets: usize,
    /// Visits whose papers are in it.
    pub visits: usize,
}

/// A visit's papers as they were read from disk.
struct Read {
    name: String,
    kind: PaperKind,
    bytes: Vec<u8>,
    copies: usize,
}

impl Day {
    /// Takes in what came of the visits that were ready, in their order: those that were not made say why.
    pub fn worked(&mut self, worked: &[Worked]) {
        let ready = self
            .visits
            .iter_mut()
            .filter(|visit| visit.row.state == VisitState::Ready);
        for (visit, worked) in ready.zip(worked) {
            match worked {
                Worked::Made { papers, before } => {
                    visit.papers = papers.clone();
                    visit.made_before = *before;
                }
                Worked::NotMade { why } => {
                    visit.row.needs.push(Need::NotMade { why: why.clone() });
                }
            }
        }
    }
}

impl Practice {
    /// Puts the papers of a day into one file to print.
    ///
    /// # Errors
    /// A paper cannot be read or put together with the others, or the file cannot be written; an older one is then as it was.
    pub fn pack(&self, day: &Day, copies: &Copies, file: &Path) -> Result<DayPack, Failed> {
        let mut all = Vec::new();
        for visit in &day.visits {
            let mut read = Vec::new();
            if !visit.papers.is_empty() {
                for (kind, copies) in copies.of(&visit.row) {
                    read.extend(paper_of(&visit.papers, kind, copies)?);
                }
            }
            all.push(read);
        }
        let papers = all.iter().flatten().map(|read| InPack {
            name: &read.name,
            pdf: &read.bytes,
            copies: read.copies,
        });
        let papers: Vec<InPack<'_>> = papers.collect();
        let cannot = |error| Failed::doing(format!("cannot make {}", shown(file)), error);
        // the slip says how many sheets follow it, so the papers are counted first
        let mut sheets = print_pack::sheets_of(&papers).map_err(cannot)?.into_iter();
        let visits: Vec<_> = day
            .visits
            .iter()
            .zip(&all)
            .map(|(visit, read)| {
                let printed = (!read.is_empty()).then(|| Printed {
                    papers: read.iter().map(|read| (read.kind, read.copies)).collect(),
                    sheets: sheets.by_ref().take(read.len()).sum(),
                });
                (visit.row.clone(), printed)
            })
            .collect();
        let slip = self.slip(day, &visits)?;
        let on_top = InPack {
            name: "the cover slip",
            pdf: &slip,
            copies: 1,
        };
        let whole: Vec<InPack<'_>> = [on_top].into_iter().chain(papers).collect();
        let pack = print_pack::pack(&whole).map_err(cannot)?;
        writing::replace_all(std::iter::once((file, pack.pdf.as_slice())))?;
        Ok(DayPack {
            file: file.to_owned(),
            pages: pack.pages(),
            sheets: pack.sheets.iter().sum(),
            visits: visits
                .iter()
                .filter(|(_, printed)| printed.is_some())
                .count(),
        })
    }

    fn slip(
        &self,
        day: &Day,
        visits: &[(crate::compose::day::DayRow, Option<Printed>)],
    ) -> Result<Vec<u8>, Failed> {
        let wording = self.own_wording().map_err(MakeError::from)?;
        let slip = DaySlip {
            catalogue: self.catalogue(),
            clinic: &self.clinic,
            date: day.date,
            visits,
        };
        let document = day_slip::slip(&slip, &wording.recorded()).map_err(MakeError::from)?;
        let pages = self
            .typesetter
            .typeset(&document)
            .map_err(MakeError::from)?;
        Ok(pages.pdf().map_err(MakeError::from)?)
    }
}

fn paper_of(
    papers: &[(PaperKind, PathBuf)],
    wanted: PaperKind,
    copies: usize,
) -> Result<Option<Read>, Failed> {
    let Some((kind, path)) = papers.iter().find(|(kind, _)| *kind == wanted) else {
        return Ok(None);
    };
    let bytes = std::fs::read(path).while_doing(|| format!("cannot read {}", shown(path)))?;
    Ok(Some(Read {
        name: shown(path),
        kind: *kind,
        bytes,
        copies,
    }))
}
