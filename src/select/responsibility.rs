//! Turns the practitioner's own view of each area, and who prescribes, into cautions.
//! Invariant: what the practitioner will not do is never on a paper for the patient; whose guidance asks for something is said.
//! Must not: judge whether a view is right, or know who may prescribe where (the clinic file says who does).

use crate::catalogue::{Evidence, Level, Region};
use crate::domain::{LabelId, Trigger};
use crate::plan::{Clinic, PlannedArea, Stance, Visit};

use super::cautions::{Caution, Reason};

/// The view of an area: the plan's, or else the clinic's.
pub fn stance(planned: &PlannedArea, clinic: &Clinic) -> Option<Stance> {
    let clinics = || clinic.stances.get(&planned.id).copied();
    planned.stance.or_else(clinics)
}

/// What follows from the views of the planned areas.
pub fn stances<'p>(
    planned: impl Iterator<Item = &'p PlannedArea>,
    clinic: &Clinic,
    region: &Region,
) -> Vec<Caution> {
    let mut found = Vec::new();
    for planned in planned {
        let because = planned.stance_because.clone().unwrap_or_default();
        match (stance(planned, clinic), &region.against_advice) {
            (Some(Stance::WillNotDo), _) => found.push(
                Caution::new(
                    Trigger::WillNotDo,
                    Level::Stop,
                    &Evidence::common_practice(),
                )
                .because(Reason::Area(planned.id.clone()))
                .with("because", because.into()),
            ),
            (Some(Stance::AdviseAgainst), guidance) => {
                let evidence = guidance.as_ref().map(|guidance| guidance.evidence.clone());
                let evidence = evidence.unwrap_or_else(Evidence::common_practice);
                let mut caution = Caution::new(Trigger::AdvisedAgainst, Level::Ask, &evidence)
                    .because(Reason::Area(planned.id.clone()))
                    .with("because", because.into())
                    .with("guidance", guidance.is_some().into());
                if guidance.is_some() {
                    caution = caution.because(Reason::Region(region.id.clone()));
                }
                found.push(caution);
            }
            (Some(Stance::Neutral | Stance::Advise) | None, _) => {}
        }
    }
    found
}

/// Who prescribes, where that is not the one who injects.
pub fn prescriber(visit: &Visit, clinic: &Clinic, region: &Region) -> Option<Caution> {
    let injector = clinic.practitioner(&visit.practitioner)?;
    let named = visit.prescriber.as_ref();
    if named.is_none_or(|id| *id == visit.practitioner) {
        let evidence = region.face_to_face.as_ref();
        let evidence =
            evidence.map_or_else(Evidence::common_practice, |rule| rule.evidence.clone());
        return (injector.prescribes == Some(false)).then(|| {
            Caution::new(Trigger::PrescriberNotNamed, Level::Ask, &evidence)
                .because(Reason::Region(region.id.clone()))
                .with("injector", injector.name.clone().into())
        });
    }
    let rule = region.face_to_face.as_ref()?;
    let person = clinic.practitioner(named?)?;
    visit.prescriber_saw_on.is_none().then(|| {
        Caution::new(Trigger::PrescriberNotSeen, Level::Ask, &rule.evidence)
            .because(Reason::Region(region.id.clone()))
            .with("prescriber", person.name.clone().into())
            .with(
                "region",
                serde_json::json!([LabelId::place(&region.id).as_str()]),
            )
    })
}
