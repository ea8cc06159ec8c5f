//! Turns one plan of a day into its papers on disk, unless they are there already; done by as many workers as there are cores.
//! Invariant: a plan is read again before anything is made of it, and nothing is made of one that says something else than when
//! the day was looked through: the list and the slip name what stood in it then.
//! Must not: choose which plans are worked on, or put papers together.

use std::path::PathBuf;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{
    Failed, Job, MakeError, MakeOptions, OutFolder, Papers, Practice, ReadError, Written,
    clinic_files, explained, shown,
};
use crate::calendar;
use crate::domain::digest;
use crate::file_names;
use crate::paper::PaperKind;
use crate::select::{VisitState, select};

/// What came of one plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Worked {
    /// Its papers are on disk.
    Made {
        papers: Vec<(PaperKind, PathBuf)>,
        /// They were there from an earlier run, and nothing had to be made.
        before: bool,
    },
    /// There are none; why, in a sentence without its full stop.
    NotMade { why: String },
}

impl Practice {
    /// Makes the papers of one plan of a day in a folder.
    ///
    /// # Errors
    /// The machine refused something that will be refused for other plans too: the register, the folder.
    pub fn work(&self, job: &Job, date: Date, out: &mut OutFolder) -> Result<Worked, Failed> {
        let not_made = |why: &str| {
            Ok(Worked::NotMade {
                why: why.to_owned(),
            })
        };
        let source = match clinic_files::open(&job.plan) {
            Ok(Ok(source)) if digest::sha256(source.text().as_bytes()) == job.looked_at => source,
            Ok(_) => return not_made("the file was changed meanwhile; run the command again"),
            Err(failed) => return not_made(&explained(&failed)),
        };
        let visit = match self.read_source(&source) {
            Ok(visit) => visit,
            Err(ReadError::Mistakes(_)) => {
                return not_made("a file of the clinic was changed, and the plan has mistakes now");
            }
            Err(ReadError::Failed(failed)) => return not_made(&explained(&failed)),
        };
        let selection = select(self.catalogue(), &self.clinic, &visit).map_err(MakeError::from)?;
        if visit.date != date || self.state_of(&selection)?.0 != VisitState::Ready {
            return not_made(
                "a file of the clinic was changed, and the visit is not ready any more",
            );
        }
        let options = MakeOptions::default();
        let made_from = self.made_from(&visit, &options).map_err(MakeError::from)?;
        let words = self
            .wording(self.language_of(&visit))
            .map_err(MakeError::from)?;
        let calendar = calendar::write(&selection, &words.recorded()).map_err(MakeError::from)?;
        let calendar_name = file_names::calendar(&selection);
        let calendar = Some((calendar_name.as_str(), calendar.as_bytes()));
        let names = Papers::names_made(&selection, visit.patient.large_print);
        if let Some(files) = out.finished(&made_from, &names, calendar)? {
            return Ok(Worked::Made {
                papers: printable(files),
                before: true,
            });
        }
        let papers = match self.make_from(&visit, &options, made_from) {
            Ok(papers) => papers,
            Err(error) => return not_made(&error.to_string()),
        };
        if let Some(reason) = papers.verdict().reasons.first() {
            return not_made(&reason.to_string());
        }
        if !self.clinic.training && papers.has_draft() {
            return not_made("some of the words on the papers are not approved");
        }
        match out.write(&shown(&job.plan), &papers, &[])? {
            Written::Files { .. } => {
                let paths = names
                    .into_iter()
                    .map(|(kind, name)| (kind, out.folder().join(name)));
                Ok(Worked::Made {
                    papers: printable(paths.collect()),
                    before: false,
                })
            }
            Written::SameNames { plan } => {
                not_made(&format!("{plan} has the same record number and date"))
            }
            Written::OtherPatient { paper } => not_made(&format!(
                "{} is of another patient with the same record number",
                shown(&paper)
            )),
        }
    }
}

/// Pages for a telephone are not printed.
fn printable(files: Vec<(PaperKind, PathBuf)>) -> Vec<(PaperKind, PathBuf)> {
    let pdf = |(_, path): &(PaperKind, PathBuf)| path.extension().is_some_and(|e| e == "pdf");
    files.into_iter().filter(pdf).collect()
}
