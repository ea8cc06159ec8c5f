//! Turns one visit, its clinic and the catalogue into a `Selection`: everything that must be said, each item with the reason it is there.
//! Invariant: every required risk of every planned area is in `statements`; adding an area never removes one.
//! Must not: hold sentences, or know Markdown, pages or the command line.

mod advice;
mod cautions;
mod conditions;
mod course;
mod diary;
mod dilution;
mod doses;
pub mod explain;
mod interview;
mod labels;
mod place;
mod questions;
mod responsibility;
mod sides;
mod signs;
mod statements;
mod visit_state;
mod windows;

use std::collections::BTreeSet;

use jiff::civil::Date;

use crate::catalogue::{
    Alike, Area, Catalogue, Function, Licence, OtherChoice, Presence, Product, RedFlag, Region,
    Restriction, Risk, Standing,
};
use crate::domain::{
    AreaId, CautionId, PractitionerId, ProductId, RegionId, StatementId, Trigger, gathered,
};
use crate::paper::PaperKind;
use crate::plan::{Clinic, PlannedArea, Practitioner, Stance, Visit, age_on};

pub use advice::{AdviceEnd, SelectedAdvice, end_of, review};
pub use cautions::{Because, Caution, Reason, Value as CautionValue};
pub use conditions::facts_named;
pub use course::{CourseToEnd, ProposedRound, Upkeep, this_round};
pub use dilution::is_ready;
pub use doses::{Dose, TotalComparison, vials};
pub use interview::facts_for;
pub use labels::{Basis, Comparison, LabelComparison, Verdict};
pub use questions::{Given, Idle, NotAsked, Readiness, Standing as AnswerStanding};
pub use signs::is_shown;
pub use statements::{Statement, papers_of, product_statements};
pub use visit_state::VisitState;
pub use windows::{DateRange, WindowDates, after};

/// One planned area with what the catalogue knows of it.
#[derive(Debug, Clone)]
pub struct SelectedArea<'a> {
    /// 1, 2, 3... in printing order; the same number on every paper.
    pub number: usize,
    pub planned: &'a PlannedArea,
    pub area: &'a Area,
    pub product: &'a Product,
    /// None: our sources name no licence for this place, or none for this product there.
    pub licence: Option<&'a Licence>,
    /// What the practice found itself; counts where our sources do not say.
    pub looked_up: Option<Standing>,
    /// Most serious first, then most frequent.
    pub risks: Vec<&'a Risk>,
    pub windows: WindowDates,
    /// First day of another round: when the area calls for it, but not before the product's label allows.
    pub earliest_repeat: Option<Date>,
    /// First day on which the product's label allows another round.
    pub label_allows: Option<Date>,
    /// Rounds of the course still to come.
    pub rounds: Vec<ProposedRound>,
    /// The rest of a course that is meant to end.
    pub course: Option<CourseToEnd>,
    /// What it takes to keep the effect up; where there is a course, after its end.
    pub upkeep: Option<Upkeep>,
    /// The practitioner's own view.
    pub stance: Option<Stance>,
    pub dose: Dose,
}

impl SelectedArea<'_> {
    pub fn standing(&self) -> Standing {
        let known = self.licence.map(|licence| licence.standing);
        let said = if self.licence_is_looked_up() {
            self.looked_up
        } else {
            known
        };
        said.unwrap_or(Standing::Unknown)
    }

    /// The first day that the label of the product allows, where a round is planned before it.
    pub fn sooner_than_label(&self) -> Option<Date> {
        let next = self.rounds.first()?;
        self.label_allows.filter(|day| next.when.first < *day)
    }

    /// More units are planned than the label, or where there is none the studies, that the dose was held against.
    pub fn above_known_dose(&self) -> Option<&Comparison> {
        match &self.dose.label {
            LabelComparison::Compared(held) if held.verdict == Verdict::Above => Some(held),
            _ => None,
        }
    }

    /// More units are planned than the label, of this place or another, that the dose was held against.
    pub fn is_above_label(&self) -> bool {
        self.above_known_dose()
            .is_some_and(|held| held.basis != Basis::Studies)
    }

    /// The plan's units are held against the label of the place, and are not more than it says.
    pub fn keeps_own_label(&self) -> bool {
        matches!(
            &self.dose.label,
            LabelComparison::Compared(held)
                if held.basis == Basis::OwnLabel && held.verdict != Verdict::Above
        )
    }

    /// The practice's own finding counts, for our sources do not say.
    pub fn licence_is_looked_up(&self) -> bool {
        let known = self.licence.map(|licence| licence.standing);
        self.looked_up.is_some() && known.is_none_or(|standing| standing == Standing::Unknown)
    }

    /// It has a risk of its own in place of this general one.
    pub fn tells_itself(&self, general: &str) -> bool {
        let mut own = self.risks.iter();
        own.any(|risk| risk.instead_of.as_deref() == Some(general))
    }
}

/// Areas in which one product stands alike before the law of the place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LicensedAlike {
    pub product: ProductId,
    pub standing: Standing,
    /// In printing order.
    pub areas: Vec<AreaId>,
}

impl LicensedAlike {
    /// The statement that says it.
    pub fn id(&self) -> StatementId {
        StatementId::standing(&self.product, self.standing)
    }
}

/// Everything that must be said at this visit.
#[derive(Debug, Clone)]
pub struct Selection<'a> {
    pub catalogue: &'a Catalogue,
    pub visit: &'a Visit,
    pub clinic: &'a Clinic,
    pub region: &'a Region,
    pub practitioner: &'a Practitioner,
    /// In printing order. Areas that must not or will not be treated are not here; they are `stop` cautions.
    pub areas: Vec<SelectedArea<'a>>,
    /// All products used, in order of first use.
    pub products: Vec<&'a Product>,
    pub advice: Vec<SelectedAdvice<'a>>,
    /// Strictest first.
    pub cautions: Vec<Caution>,
    /// What the patient's own facts add to the consent form.
    pub because: Vec<Because>,
    /// Facts that matter for this plan and that nobody asked about.
    pub not_asked: Vec<NotAsked>,
    /// Answers of the plan that no question of it asks for, by their place (from 0).
    pub idle_answers: Vec<(usize, Idle)>,
    /// Totals held against the totals on labels.
    pub totals: Vec<TotalComparison>,
    /// Every statement that must be printed, by paper, in no particular order of pages.
    pub statements: Vec<Statement>,
    /// Whole years on the day of the visit.
    pub age: i16,
    /// Full days the place asks for between written information and this visit.
    pub wait_days: Option<u16>,
}

/// A plan that reads well but does not fit the clinic or the catalogue it is used with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SelectError {
    /// The clinic file has no practitioner with this id.
    Practitioner(PractitionerId),
    /// The catalogue has no region with this id.
    Region(RegionId),
    /// The catalogue has no such product.
    Product(ProductId),
    /// The catalogue has no such area.
    Area(AreaId),
}

impl std::fmt::Display for SelectError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            SelectError::Practitioner(id) => {
                write!(f, "the clinic file has no practitioner `{id}`")
            }
            SelectError::Region(id) => write!(f, "the catalogue has no region `{id}`"),
            SelectError::Product(id) => write!(f, "the catalogue has no product `{id}`"),
            SelectError::Area(id) => write!(f, "the catalogue has no area `{id}`"),
        }
    }
}

impl std::error::Error for SelectError {}

/// Works out everything that must be said.
///
/// # Errors
/// The visit names something that the clinic or the catalogue does not have; a visit read with the catalogue's own
/// vocabulary and this clinic never does.
pub fn select<'a>(
    catalogue: &'a Catalogue,
    clinic: &'a Clinic,
    visit: &'a Visit,
) -> Result<Selection<'a>, SelectError> {
    let region = catalogue
        .region(&clinic.region)
        .ok_or_else(|| SelectError::Region(clinic.region.clone()))?;
    let practitioner = clinic
        .practitioner(&visit.practitioner)
        .ok_or_else(|| SelectError::Practitioner(visit.practitioner.clone()))?;

    let mut planned = Vec::new();
    for entry in &visit.areas {
        let area = catalogue
            .area(&entry.id)
            .ok_or_else(|| SelectError::Area(entry.id.clone()))?;
        let name = &visit.product_of(entry).name;
        let product = catalogue
            .product(name)
            .ok_or_else(|| SelectError::Product(name.clone()))?;
        planned.push((entry, area, product));
    }
    planned.sort_by_key(|(_, area, _)| area.order);

    let mut products: Vec<&Product> = Vec::new();
    for (_, _, product) in &planned {
        if !products.iter().any(|known| known.id == product.id) {
            products.push(product);
        }
    }

    let place = region.licence_place.as_deref();
    let mut areas = Vec::new();
    for (planned, area, product) in planned.iter().copied() {
        if area.restriction.value == Restriction::DoNotTreat
            || responsibility::stance(planned, clinic) == Some(Stance::WillNotDo)
        {
            continue;
        }
        let area_windows = windows::dates(area, product, visit.date);
        let label = product.label_interval(place);
        let label_allows = label.map(|i| after(visit.date, i.least, i.unit));
        areas.push(SelectedArea {
            number: areas.len() + 1,
            planned,
            area,
            product,
            licence: area.licence(&product.id, place),
            looked_up: clinic
                .licences
                .get(&(product.id.clone(), area.id.clone()))
                .copied(),
            risks: sorted_risks(area),
            windows: area_windows,
            earliest_repeat: area_windows
                .repeat
                .map(|range| range.first)
                .into_iter()
                .chain(label_allows)
                .max(),
            label_allows,
            rounds: course::proposed(area.course.as_ref(), planned, visit.date),
            stance: responsibility::stance(planned, clinic),
            course: course::to_end(area.course.as_ref(), planned, clinic, label, visit.date),
            upkeep: course::upkeep(area, product, clinic, label),
            dose: doses::dose(visit, planned, area, product, place),
        });
    }

    let age = age_on(visit.patient.born, visit.date);
    let advice = advice::merge(catalogue, clinic, visit, &areas);
    let totals = doses::totals(&areas, place);
    let together: Vec<&Area> = planned.iter().map(|(_, area, _)| *area).collect();
    let collected = cautions::collect(&cautions::Case {
        catalogue,
        clinic,
        visit,
        region,
        planned: &planned,
        together: &together,
        areas: &areas,
        advice: &advice,
        totals: &totals,
        age,
    });
    let mut selection = Selection {
        catalogue,
        visit,
        clinic,
        region,
        practitioner,
        areas,
        products,
        advice,
        cautions: collected.cautions,
        because: collected.because,
        not_asked: collected.not_asked,
        idle_answers: collected.idle,
        totals,
        statements: Vec::new(),
        age,
        wait_days: place::required_days(region, visit, age),
    };
    selection.statements = statements::list(&selection);
    Ok(selection)
}

/// Serious before inconvenient; within that the most frequent first; what has no figure keeps its place after those that have.
fn sorted_risks(area: &Area) -> Vec<&Risk> {
    let share = |risk: &Risk| -> u64 {
        let most = risk
            .figure
            .iter()
            .map(|f| f.affected_high.unwrap_or(f.affected) / f64::from(f.per))
            .fold(0.0_f64, f64::max);
        (most * 1_000_000.0) as u64
    };
    let mut risks: Vec<&Risk> = area.risk.iter().collect();
    risks.sort_by_key(|risk| (risk.weight, std::cmp::Reverse(share(risk))));
    risks
}

impl<'a> Selection<'a> {
    /// The risks of every treatment that this patient has to be told apart from those of the areas: all, but for those
    /// that each planned area says itself with figures of its own.
    pub fn general_risks(&self) -> Vec<&'a Risk> {
        let said = |id: &str| {
            !self.areas.is_empty() && self.areas.iter().all(|area| area.tells_itself(id))
        };
        let all = self.catalogue.general.risk.iter();
        all.filter(|risk| !said(&risk.id)).collect()
    }

    /// Whether one of these areas is planned; true where none is named.
    fn is_told_with(&self, areas: &[AreaId]) -> bool {
        let mut planned = self.areas.iter();
        areas.is_empty() || planned.any(|one| areas.contains(&one.area.id))
    }

    /// What this patient can do instead.
    pub fn choices(&self) -> Vec<&'a OtherChoice> {
        let all = self.catalogue.general.choice.iter();
        all.filter(|choice| self.is_told_with(&choice.only_with))
            .collect()
    }

    /// The cautions that this trigger raised.
    pub fn raised(&self, trigger: Trigger) -> impl Iterator<Item = &Caution> {
        let id = CautionId::from(trigger);
        self.cautions.iter().filter(move |caution| caution.id == id)
    }

    /// More is planned for this visit than official texts or studies know, or it is sooner than they advise.
    pub fn departs_from_advice(&self) -> bool {
        let mut areas = self.areas.iter();
        !self.sooner_than_advised().is_empty()
            || self.is_above_limit()
            || areas.any(|area| area.above_known_dose().is_some())
    }

    /// Some of the course departs from official advice: this visit, or a round that is planned sooner than the label allows.
    pub fn course_departs_from_advice(&self) -> bool {
        let mut areas = self.areas.iter();
        self.departs_from_advice() || areas.any(|area| area.sooner_than_label().is_some())
    }

    /// This plan and what was given in the months before come to more than the label of a product allows.
    pub fn is_above_limit(&self) -> bool {
        self.raised(Trigger::CumulativeAbove).next().is_some()
    }

    /// The planned areas, where with the official dose of their product no case of a serious risk was confirmed in any of them; none
    /// where one is planned with more than that dose, all together are, or another area adds its own: then it says nothing.
    pub fn none_confirmed(&self) -> Vec<AreaId> {
        let serious = self.catalogue.general.serious.iter();
        let known: Vec<_> = serious
            .filter_map(|risk| risk.none_confirmed.as_ref())
            .collect();
        let covered = |selected: &&SelectedArea<'_>| {
            known.iter().any(|one| {
                one.product == selected.product.id
                    && one.areas.contains(&selected.area.id)
                    && selected.above_known_dose().is_none()
            })
        };
        let all_covered = self.areas.iter().all(|selected| covered(&selected));
        let mut totals = self.totals.iter();
        if !all_covered || totals.any(|total| total.planned_units > total.label_high) {
            return Vec::new();
        }
        self.areas.iter().map(|one| one.area.id.clone()).collect()
    }

    /// Whether the areas have not all the same day before which they should not be treated again.
    pub fn waits_differ(&self) -> bool {
        let days = self.areas.iter().filter_map(|area| area.earliest_repeat);
        days.collect::<BTreeSet<_>>().len() > 1
    }

    /// Until when the official advice is to wait, where this visit is sooner, with the areas it is about.
    pub fn sooner_than_advised(&self) -> Vec<(Date, Vec<AreaId>)> {
        let told = self.because.iter();
        let waits = told.filter_map(|because| {
            let areas = match because.areas.as_slice() {
                // the whole visit
                [] => self.areas.iter().map(|one| one.area.id.clone()).collect(),
                areas => areas.to_vec(),
            };
            Some((because.earliest?, areas))
        });
        waits.collect()
    }

    /// Areas that need a sign which was looked for and is not there.
    pub fn areas_without_their_sign(&self) -> Vec<AreaId> {
        let cautions = self.raised(Trigger::NoBenefit);
        let areas: BTreeSet<&AreaId> = cautions.flat_map(|caution| &caution.areas).collect();
        let planned = self.areas.iter().map(|one| &one.area.id);
        planned.filter(|id| areas.contains(id)).cloned().collect()
    }

    /// One of the products at least holds milk protein, as it is used at this visit.
    pub fn holds_milk_protein(&self) -> bool {
        let mut products = self.products.iter();
        products.any(|product| {
            let form = self.visit.formulation_of(&product.id);
            product.milk_protein(form).value == Presence::Yes
        })
    }

    /// How each product stands, areas that are alike together.
    pub fn standings(&self) -> Vec<LicensedAlike> {
        let stands = self.areas.iter().map(|selected| {
            let standing = (selected.product.id.clone(), selected.standing());
            (standing, selected.area.id.clone())
        });
        gathered(stands)
            .into_iter()
            .map(|((product, standing), areas)| LicensedAlike {
                product,
                standing,
                areas,
            })
            .collect()
    }

    /// Whether a planned area can take one of these away for a while.
    fn can_weaken(&self, functions: &[Function]) -> bool {
        let mut areas = self.areas.iter();
        areas.any(|selected| selected.area.touches_any(functions))
    }

    /// The signs to look out for after this visit: those that can come from any area, and those of what is planned.
    pub fn red_flags(&self) -> Vec<&'a RedFlag> {
        let all = self.catalogue.general.red_flag.iter();
        all.filter(|flag| flag.functions.is_empty() || self.can_weaken(&flag.functions))
            .collect()
    }

    /// What is expected after this visit that could be taken for an emergency.
    pub fn alikes(&self) -> Vec<&'a Alike> {
        let all = self.catalogue.general.alike.iter();
        all.filter(|alike| self.can_weaken(&alike.functions))
            .collect()
    }

    /// The cautions that stop the visit.
    pub fn stops(&self) -> impl Iterator<Item = &Caution> {
        let stops = |caution: &&Caution| caution.level == crate::catalogue::Level::Stop;
        self.cautions.iter().filter(stops)
    }

    /// The strictest caution, if any.
    pub fn strictest(&self) -> Option<crate::catalogue::Level> {
        self.cautions.iter().map(|caution| caution.level).max()
    }

    /// The ids that must be printed on a paper.
    pub fn required(&self, paper: PaperKind) -> BTreeSet<&StatementId> {
        self.statements
            .iter()
            .filter(|s| s.paper == paper)
            .map(|s| &s.id)
            .collect()
    }

    /// The day the papers count as made on: given, never taken from the machine's clock.
    pub fn made_on(&self) -> Date {
        self.visit.informed_on.unwrap_or(self.visit.date)
    }
}
