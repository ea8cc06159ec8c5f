//! Turns what was worked out for a visit into the one word that a day's list says of it.
//! Invariant: the word names what stands against it most; a visit is ready only when nothing is open.
//! Must not: read files, word anything, or know which papers there are.

use jiff::civil::Date;

use super::{Selection, place};
use crate::domain::{CautionId, Trigger};

/// How far a visit is from having its papers printed, the strictest last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum VisitState {
    /// Nothing is open.
    Ready,
    /// The words this patient reads are not approved.
    Unapproved,
    /// So many things that matter were not asked of the patient.
    NotAsked(usize),
    /// So many questions wait for the practitioner, those answered with "change the plan" among them.
    ToAnswer(usize),
    /// The place's time to think is not over.
    NotBefore(Date),
    /// It may not be treated as it is planned.
    Stopped,
    /// Another plan of the same day has the same record number.
    Twice,
    /// So many mistakes in its files.
    Mistakes(usize),
}

impl VisitState {
    /// As in JSON and in the ids of its words.
    pub fn as_str(self) -> &'static str {
        match self {
            VisitState::Ready => "ready",
            VisitState::Unapproved => "unapproved",
            VisitState::NotAsked(_) => "not-asked",
            VisitState::ToAnswer(_) => "to-answer",
            VisitState::NotBefore(_) => "not-before",
            VisitState::Stopped => "stopped",
            VisitState::Twice => "twice",
            VisitState::Mistakes(_) => "mistakes",
        }
    }

    /// How many things it counts, where it counts any: not asked, to answer, mistakes.
    pub fn count(self) -> Option<usize> {
        match self {
            VisitState::NotAsked(count)
            | VisitState::ToAnswer(count)
            | VisitState::Mistakes(count) => Some(count),
            VisitState::Ready
            | VisitState::Unapproved
            | VisitState::NotBefore(_)
            | VisitState::Stopped
            | VisitState::Twice => None,
        }
    }

    /// The first day on which the visit could be, where it is too soon.
    pub fn not_before(self) -> Option<Date> {
        match self {
            VisitState::NotBefore(date) => Some(date),
            _ => None,
        }
    }
}

impl Selection<'_> {
    /// The word for this visit, as far as its plan decides it.
    pub fn visit_state(&self) -> VisitState {
        let too_soon = CautionId::from(Trigger::TimeTooShort);
        let mut stops = self.stops().peekable();
        if stops.peek().is_some() {
            return match stops.all(|caution| caution.id == too_soon) {
                true => VisitState::NotBefore(place::soonest(self.region, self.visit, self.age)),
                false => VisitState::Stopped,
            };
        }
        let readiness = self.readiness();
        match (readiness.open + readiness.to_change, readiness.not_asked) {
            (0, 0) => VisitState::Ready,
            (0, not_asked) => VisitState::NotAsked(not_asked),
            (open, _) => VisitState::ToAnswer(open),
        }
    }
}
