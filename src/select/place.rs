//! Turns birth date, information date and region rules into cautions about age and time to think.
//! Invariant: a rule is applied only where the catalogue names one, with its source; the tool gives no legal advice.
//! Must not: invent a waiting time where none is known.

use jiff::ToSpan;
use jiff::civil::Date;

use crate::catalogue::{Evidence, Level, Region, TimeUnit};
use crate::domain::{LabelId, Standing, Trigger};
use crate::plan::Visit;

use super::SelectedArea;
use super::cautions::{Caution, Reason};
use super::conditions::{days_between, last_treated};
use super::windows::after;

/// Too young for the region's rule.
pub fn age_caution(region: &Region, age: i16) -> Option<Caution> {
    let rule = region.minimum_age.as_ref()?;
    if i32::from(age) >= i32::from(rule.years) {
        return None;
    }
    Some(
        Caution::new(Trigger::AgeUnderMinimum, rule.below, &rule.evidence)
            .because(Reason::Region(region.id.clone()))
            .with("age", age.into())
            .with("minimum", rule.years.into())
            .with("proposal", rule.proposal.into())
            .with(
                "region",
                serde_json::json!([LabelId::place(&region.id).as_str()]),
            ),
    )
}

/// Areas of which neither our sources nor the practice say whether the product is licensed for them. The patient reads that this
/// is open, so somebody has to be asked to close it.
pub fn licence_cautions(areas: &[SelectedArea<'_>]) -> Vec<Caution> {
    let open = areas
        .iter()
        .filter(|selected| selected.standing() == Standing::Unknown);
    open.map(|selected| {
        let evidence = selected.licence.map(|licence| licence.evidence.clone());
        let evidence = evidence.unwrap_or_else(Evidence::common_practice);
        Caution::new(Trigger::LicenceNotKnown, Level::Ask, &evidence)
            .because(Reason::Area(selected.area.id.clone()))
            .because(Reason::Product(selected.product.id.clone()))
            .with("product", selected.product.id.as_str().into())
    })
    .collect()
}

/// Full days this visit must wait after the written information; none where no rule is known or the rule exempts it.
pub fn required_days(region: &Region, visit: &Visit, age: i16) -> Option<u16> {
    let rule = region.time_to_think.as_ref()?;
    if rule
        .only_under
        .is_some_and(|years| i32::from(age) >= i32::from(years))
    {
        return None;
    }
    if let Some(months) = rule.exempt_repeat_months {
        let limit = visit.date.checked_sub(i64::from(months).months()).ok()?;
        let recent = |a| last_treated(visit, a).is_some_and(|last| last >= limit);
        if visit.areas.iter().all(recent) {
            return None;
        }
    }
    Some(rule.days)
}

/// The first day on which this visit could be: no sooner than the information was given and the place's wait is over. When
/// it was given is not always known; then nothing is known of the days before the visit.
pub fn soonest(region: &Region, visit: &Visit, age: i16) -> Date {
    let Some(informed) = visit.informed_on else {
        return visit.date;
    };
    let rule = region.time_to_think.as_ref();
    let rule = rule.filter(|_| required_days(region, visit, age).is_some());
    let wait = rule.map_or(0, |rule| rule.days + u16::from(rule.full_days));
    after(informed, f64::from(wait), TimeUnit::Days)
}

/// Not enough time between the written information and the visit, or nobody said when it was given.
pub fn time_caution(region: &Region, visit: &Visit, age: i16) -> Option<Caution> {
    let rule = region
        .time_to_think
        .as_ref()
        .filter(|_| required_days(region, visit, age).is_some());
    let Some(rule) = rule else {
        // no fixed time holds here: only information given on the day itself is worth a word
        return (visit.informed_on? == visit.date).then(|| {
            Caution::new(
                Trigger::TimeSameDay,
                Level::Note,
                &Evidence::common_practice(),
            )
            .because(Reason::Region(region.id.clone()))
        });
    };
    let base = |id: Trigger, level| {
        Caution::new(id, level, &rule.evidence)
            .because(Reason::Region(region.id.clone()))
            .with("days", rule.days.into())
            .with("full", rule.full_days.into())
            .with(
                "region",
                serde_json::json!([LabelId::place(&region.id).as_str()]),
            )
    };
    let Some(informed) = visit.informed_on else {
        return Some(base(Trigger::TimeNotRecorded, Level::Stop));
    };
    // full days: the day of information and the day of treatment themselves do not count
    let wait = i64::from(rule.days) + i64::from(rule.full_days);
    let earliest = after(informed, wait as f64, TimeUnit::Days);
    // days that are not full ones end at the hour at which they began, where both hours are known
    let hour = visit
        .informed_at
        .filter(|_| !rule.full_days)
        .zip(visit.time)
        .filter(|(informed_at, time)| visit.date == earliest && time < informed_at)
        .map(|(informed_at, _)| informed_at);
    (days_between(informed, visit.date) < wait || hour.is_some()).then(|| {
        base(Trigger::TimeTooShort, Level::Stop)
            .with_date("informed", informed)
            .with_date("earliest", earliest)
            .with(
                "hour",
                hour.map(|hour| hour.strftime("%H:%M").to_string())
                    .unwrap_or_default()
                    .into(),
            )
    })
}
