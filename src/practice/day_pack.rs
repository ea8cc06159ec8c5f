//! Turns what was made of a day's visits into one file to print, with a slip on top that says what is in it and what is not.
//! Invariant: the slip names every visit of the day once; what it says of sheets is what the file holds.
//! Must not: make papers, or print.

use std::path::{Path, PathBuf};

use super::day::{Copies, Day};
use super::day_work::Worked;
use super::failed::While;
use super::{Failed, MakeError, Practice, shown, writing};
use crate::compose::day::DayRow;
use crate::compose::day_slip::{self, DaySlip, Printed};
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
                    if papers.iter().all(|(_, path)| path.exists()) {
                        visit.papers = papers.clone();
                        visit.made_before = *before;
                    } else {
                        let why = "its papers were there and are gone".to_owned();
                        visit.not_made(&why);
                    }
                }
                Worked::NotMade { why } => {
                    visit.not_made(why);
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
        let cannot = |error| Failed::doing(format!("cannot make {}", shown(file)), error);
        let mut papers = Vec::new();
        let mut visits = Vec::new();
        for visit in &day.visits {
            let mut printed = Printed::default();
            for (kind, copies) in copies.of(&visit.row) {
                let Some(path) = visit.paper(kind) else {
                    continue;
                };
                let bytes =
                    std::fs::read(path).while_doing(|| format!("cannot read {}", shown(path)))?;
                let paper = InPack::read(shown(path), bytes, copies).map_err(cannot)?;
                printed.sheets += paper.sheets();
                printed.papers.push((kind, copies));
                papers.push(paper);
            }
            let printed = Some(printed).filter(|printed| !printed.papers.is_empty());
            visits.push((visit.row.clone(), printed));
        }
        // the slip says how many sheets follow it, so it is made last and put on top
        let slip = self.slip(day, &visits)?;
        let slip = InPack::read("the cover slip".to_owned(), slip, 1).map_err(cannot)?;
        papers.insert(0, slip);
        let pack = print_pack::pack(&papers).map_err(cannot)?;
        writing::replace_all(std::iter::once((file, pack.pdf.as_slice())))?;
        let printed = visits.iter().filter(|(_, printed)| printed.is_some());
        Ok(DayPack {
            file: file.to_owned(),
            pages: pack.pages(),
            sheets: pack.sheets,
            visits: printed.count(),
        })
    }

    fn slip(&self, day: &Day, visits: &[(DayRow, Option<Printed>)]) -> Result<Vec<u8>, Failed> {
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
