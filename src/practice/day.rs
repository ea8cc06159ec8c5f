//! Turns a folder of plans and a day into the visits of that day: who comes when, how far each is, and what it still needs.
//! Invariant: every file of the folder that may be a plan of that day is a visit here, with mistakes or without; nothing is
//! written.
//! Must not: show anything clinical (a list for the front desk is made of it), or make papers.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::path::{Path, PathBuf};

use jiff::civil::{Date, Time};

use super::plan_folder::{Candidate, PlanFolder, Said, Unread};
use super::{Failed, Job, MakeError, Mistakes, Practice, ReadError, explained};
use crate::compose::day::{self, DayRow, Need};
use crate::domain::digest;
use crate::file_names;
use crate::paper::PaperKind;
use crate::plan::Visit;
use crate::select::{Selection, VisitState, select};
use crate::wording;

/// The visits of one day.
#[derive(Debug)]
pub struct Day {
    pub date: Date,
    /// By time, then by the names of their files; visits without a time come last.
    pub visits: Vec<DayVisit>,
    /// Plans in the folder whose visit is on another day.
    pub other_plans: usize,
}

/// One visit of a day.
#[derive(Debug)]
pub struct DayVisit {
    pub plan: PathBuf,
    pub row: DayRow,
    /// What is wrong with its files.
    pub mistakes: Option<Mistakes>,
    /// Its papers on disk; empty before they are made.
    pub papers: Vec<(PaperKind, PathBuf)>,
    /// They were there from an earlier run.
    pub made_before: bool,
    /// Digest of what the file said; empty where nobody could read it.
    looked_at: String,
}

impl DayVisit {
    fn new(plan: &Path, row: DayRow, mistakes: Option<Mistakes>) -> DayVisit {
        DayVisit {
            plan: plan.to_owned(),
            row,
            mistakes,
            papers: Vec::new(),
            made_before: false,
            looked_at: String::new(),
        }
    }

    /// What a worker is told.
    pub fn job(&self) -> Job {
        Job {
            plan: self.plan.clone(),
            looked_at: self.looked_at.clone(),
        }
    }

    /// A visit whose file nobody could read as a plan: what it says of itself, and what has to be done about it.
    fn unread(plan: &Path, said: &Said, need: Need, mistakes: Option<Mistakes>) -> DayVisit {
        let count = mistakes.as_ref().map_or(1, Mistakes::count);
        let time = said.time.as_deref();
        let row = DayRow {
            file: shown_name(plan),
            name: said.name.clone(),
            record: said.record.clone(),
            time: time.and_then(|time| time.parse::<Time>().ok()),
            practitioner: None,
            language: None,
            large_print: false,
            informed_before: None,
            state: VisitState::Mistakes(count),
            needs: vec![need],
        };
        DayVisit::new(plan, row, mistakes)
    }

    fn mistaken(plan: &Path, said: &Said, mistakes: Mistakes) -> DayVisit {
        let mistakes_in_it = mistakes.count();
        let need = Need::Mend {
            mistakes: mistakes_in_it,
        };
        DayVisit::unread(plan, said, need, Some(mistakes))
    }

    /// The file of one of its papers.
    pub(super) fn paper(&self, wanted: PaperKind) -> Option<&Path> {
        let mut papers = self.papers.iter();
        let (_, path) = papers.find(|(kind, _)| *kind == wanted)?;
        Some(path)
    }

    pub fn state(&self) -> VisitState {
        self.row.state
    }

    /// Its papers were begun and could not be made.
    pub fn papers_failed(&self) -> bool {
        let failed = |need: &Need| matches!(need, Need::NotMade { .. });
        self.row.needs.iter().any(failed)
    }

    /// Says that its papers were begun and could not be made; why, in a sentence without its full stop.
    pub fn not_made(&mut self, why: &str) {
        let why = why.to_owned();
        self.row.needs.push(Need::NotMade { why });
    }
}

impl Day {
    /// Those whose papers can be made.
    pub fn ready(&self) -> impl Iterator<Item = &DayVisit> {
        let ready = |visit: &&DayVisit| visit.state() == VisitState::Ready;
        self.visits.iter().filter(ready)
    }
}

impl Practice {
    /// The visits of a day among the plans of a folder.
    ///
    /// # Errors
    /// The folder cannot be read, or a sentence cannot be filled.
    pub fn day(&self, folder: &Path, date: Date) -> Result<Day, Failed> {
        let plans = PlanFolder::read(folder, &(date..=date), &self.no_plans())?;
        self.day_of(date, &plans.candidates, plans.others)
    }

    /// The days from `first` to `last` on which somebody comes, in their order. A plan that does not say its day is on none.
    ///
    /// # Errors
    /// As [`Practice::day`].
    pub fn days(&self, folder: &Path, first: Date, last: Date) -> Result<Vec<Day>, Failed> {
        let plans = PlanFolder::read(folder, &(first..=last), &self.no_plans())?;
        let mut by_day: BTreeMap<Date, Vec<Candidate>> = BTreeMap::new();
        for candidate in plans.candidates {
            let said = candidate.said.date.as_deref();
            if let Some(day) = said.and_then(|said| said.parse().ok()) {
                by_day.entry(day).or_default().push(candidate);
            }
        }
        let days = by_day.iter();
        days.map(|(date, candidates)| self.day_of(*date, candidates, 0))
            .collect()
    }

    /// Files of the folder that are none of its plans.
    fn no_plans(&self) -> Vec<PathBuf> {
        let own = [
            Some(self.files.path().to_owned()),
            self.files.approvals_path(),
        ];
        own.into_iter().flatten().collect()
    }

    fn day_of(
        &self,
        date: Date,
        candidates: &[Candidate],
        other_plans: usize,
    ) -> Result<Day, Failed> {
        let mut visits = Vec::new();
        // the files of two visits must not share a name
        let mut taken: BTreeMap<String, PathBuf> = BTreeMap::new();
        for candidate in candidates {
            visits.extend(self.day_visit(candidate, date, &mut taken)?);
        }
        let time = |visit: &DayVisit| (visit.row.time.is_none(), visit.row.time);
        visits.sort_by(|a, b| time(a).cmp(&time(b)).then_with(|| a.plan.cmp(&b.plan)));
        Ok(Day {
            date,
            visits,
            other_plans,
        })
    }

    /// None: it is on another day.
    fn day_visit(
        &self,
        candidate: &Candidate,
        date: Date,
        taken: &mut BTreeMap<String, PathBuf>,
    ) -> Result<Option<DayVisit>, Failed> {
        let plan = &candidate.path;
        let source = match &candidate.source {
            Ok(source) => source,
            Err(Unread::Refused(diagnostic)) => {
                let mut mistakes = Mistakes::default();
                mistakes.add_bare(vec![diagnostic.clone()]);
                return Ok(Some(DayVisit::mistaken(plan, &candidate.said, mistakes)));
            }
            Err(Unread::Failed(failed)) => {
                let need = Need::Unreadable {
                    why: explained(failed),
                };
                return Ok(Some(DayVisit::unread(plan, &candidate.said, need, None)));
            }
        };
        let visit = match self.read_source(source) {
            Ok(visit) => visit,
            Err(ReadError::Mistakes(mistakes)) => {
                return Ok(Some(DayVisit::mistaken(plan, &candidate.said, mistakes)));
            }
            Err(ReadError::Failed(failed)) => return Err(failed),
        };
        if visit.date != date {
            return Ok(None);
        }
        let selection = select(self.catalogue(), &self.clinic, &visit).map_err(MakeError::from)?;
        let (state, needs) = self.state_of(&selection)?;
        let mut row = row_of(plan, &selection, state, needs);
        match taken.entry(file_names::stem(&selection, "")) {
            Entry::Vacant(free) => {
                free.insert(plan.clone());
            }
            Entry::Occupied(other) => {
                row.state = VisitState::Twice;
                row.needs = vec![Need::Twice {
                    other: shown_name(other.get()),
                }];
            }
        }
        Ok(Some(DayVisit {
            looked_at: digest::sha256(source.text().as_bytes()),
            ..DayVisit::new(plan, row, None)
        }))
    }

    /// The word for a visit, and what stands against printing its papers.
    pub(super) fn state_of(
        &self,
        selection: &Selection<'_>,
    ) -> Result<(VisitState, Vec<Need>), Failed> {
        let mut state = selection.visit_state();
        let mut needs = day::needs_of(selection, state);
        if let Some(language) = self.unapproved(selection)? {
            needs.push(Need::Unapproved { language });
            state = state.max(VisitState::Unapproved);
        }
        Ok((state, needs))
    }

    /// The language of the patient's papers, where nobody has approved what must stand in them and the clinic does not train
    /// with such papers.
    fn unapproved(&self, selection: &Selection<'_>) -> Result<Option<String>, Failed> {
        if self.clinic.training {
            return Ok(None);
        }
        let language = self.language_of(selection.visit);
        let words = self.wording(language).map_err(MakeError::from)?;
        let mut statements = selection
            .statements
            .iter()
            .filter(|statement| statement.paper.is_handed_out());
        let approved = |id: &str| {
            let standing = self.approvals.standing(&words, id);
            matches!(standing, wording::Standing::Approved(_))
        };
        let all = statements.all(|statement| approved(statement.id.wording()));
        Ok((!all).then(|| words.base().to_owned()))
    }
}

/// The file's own name, for a list in which all files are in one folder.
fn shown_name(plan: &Path) -> String {
    super::shown(Path::new(plan.file_name().unwrap_or_default()))
}

fn row_of(plan: &Path, selection: &Selection<'_>, state: VisitState, needs: Vec<Need>) -> DayRow {
    let visit: &Visit = selection.visit;
    DayRow {
        file: shown_name(plan),
        name: Some(visit.patient.name.clone()),
        record: Some(visit.patient.record.clone()),
        time: visit.time,
        practitioner: Some(selection.practitioner.name.clone()),
        language: visit
            .patient
            .language
            .as_ref()
            .or(Some(&selection.clinic.language))
            .and_then(wording::serves)
            .map(str::to_owned),
        large_print: visit.patient.large_print,
        informed_before: visit.informed_on.filter(|informed| *informed < visit.date),
        state,
        needs,
    }
}

/// How often each paper is printed for a visit, where it differs from what is usual.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Copies(BTreeMap<PaperKind, usize>);

/// In this order the papers of one visit lie in the pile: the practitioner works through the first, the patient reads, signs
/// and takes home the others.
const IN_THE_PILE: [PaperKind; 5] = [
    PaperKind::CheckSheet,
    PaperKind::Evidence,
    PaperKind::Information,
    PaperKind::Consent,
    PaperKind::Aftercare,
];

impl Copies {
    /// Sets the number of one paper, for every visit.
    pub fn set(&mut self, kind: PaperKind, copies: usize) {
        self.0.insert(kind, copies);
    }

    /// The papers of a visit in the order of the pile, each with its number; papers that are not printed are left out. What the
    /// patient was given on an earlier day to read is not printed again.
    pub fn of(&self, row: &DayRow) -> Vec<(PaperKind, usize)> {
        let number = |kind: PaperKind| match self.0.get(&kind) {
            Some(copies) => *copies,
            None if kind.explains_risks() && row.informed_before.is_some() => 0,
            None => kind.copies(),
        };
        let all = IN_THE_PILE.into_iter().map(|kind| (kind, number(kind)));
        all.filter(|(_, copies)| *copies > 0).collect()
    }
}
