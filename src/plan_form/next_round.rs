//! Turns the form of an earlier visit into the form of the next one.
//! Invariant: nothing that the patient said about health, and nothing that was decided, comes along.
//! Must not: take what was planned for what was given.

use jiff::civil::Date;

use super::PlanForm;
use super::fields::{AREA, HISTORY, PRODUCT};
use crate::domain::{Per, Side};

/// What stays of the patient: who it is, and how the patient reads.
const PATIENT: [&str; 5] = [
    "patient.name",
    "patient.born",
    "patient.record",
    "patient.language",
    "patient.large_print",
];
/// What stays of an area, to begin with.
const OF_AREA: [&str; 5] = ["side", "units", "per", "points", "product"];

/// The form of a new visit on a day, from the form of an earlier one.
///
/// **What comes along:** who the patient is and how the patient reads; the product without its batch; each area with its side, its units and
/// how they are counted, as a place to begin from, and its own product, because units are that product's; the round, one more where
/// the earlier plan said which it was; as `previous` the day of the earlier visit. Earlier treatments stay: they happened, and doses of the last months are
/// added up from them. In front of them comes what the earlier plan was, one entry for each product, **to be corrected to what was
/// given**: a plan says what was intended, and only the record of the treatment says what happened.
///
/// **What does not:** every fact is not asked again (a pregnancy, a new medicine, a cold sore since then: an answer of last time is no
/// answer), and so are `asked`, events, answers and the day of the information, which belong to one visit; the aim, the reason and the stance
/// of an area, which are what somebody wanted or thought then; the batch, which is read off the vial; and who treats and prescribes,
/// who sign for this visit and no other.
///
/// Where units cannot be added up (they are not decided, or counted by points that are not written), the entry has none: a sum of a part would be taken for all.
pub fn next_round(earlier: &PlanForm, on: Date) -> PlanForm {
    let mut next = PlanForm::new();
    let mut keep = |field: &str| next.set(field, earlier.all(field).iter().cloned());
    PATIENT.into_iter().for_each(&mut keep);
    for key in PRODUCT.keys.iter().filter(|key| key.key != "batch") {
        keep(&PRODUCT.field(key));
    }
    next.set("visit.date", [on.to_string()]);
    let day = earlier.get("visit.date");
    let mut ticked: Vec<&str> = Vec::new();
    for (handle, id) in earlier.areas() {
        // what stands twice or without a name is mended in the earlier plan, not carried on
        if id != handle || id.is_empty() {
            continue;
        }
        ticked.push(id);
        let field = |key: &str| format!("{}.{id}.{key}", AREA.name);
        for key in OF_AREA {
            next.set(&field(key), earlier.all(&field(key)).iter().cloned());
        }
        let round = earlier
            .get(&field("round"))
            .and_then(|round| round.parse::<u32>().ok());
        next.set(&field("round"), round.map(|round| (round + 1).to_string()));
        next.set(&field("previous"), day);
    }
    next.set(AREA.name, ticked);
    history(earlier, &mut next);
    next
}

/// What was planned, by product, and behind it the earlier treatments as they stood.
fn history(earlier: &PlanForm, next: &mut PlanForm) {
    let mut number = 0;
    let mut products: Vec<Option<&str>> = Vec::new();
    for (handle, _) in earlier.areas() {
        let product = product_of(earlier, handle);
        if !products.contains(&product) {
            products.push(product);
        }
    }
    for product in products {
        let areas: Vec<(&str, &str)> = earlier
            .areas()
            .filter(|(handle, id)| !id.is_empty() && product_of(earlier, handle) == product)
            .collect();
        let totals: Option<Vec<f64>> = areas
            .iter()
            .map(|(handle, _)| total(earlier, handle))
            .collect();
        let field = |key: &str| format!("{}.{number}.{key}", HISTORY.name);
        next.set(&field("date"), earlier.get("visit.date"));
        next.set(&field("product"), product);
        next.set(
            &field("units"),
            totals.map(|totals| totals.iter().sum::<f64>().to_string()),
        );
        next.set(&field("areas"), areas.iter().map(|(_, id)| *id));
        number += 1;
    }
    for old in earlier.numbers(HISTORY.name) {
        for (key, texts) in earlier.part(&format!("{}.{old}", HISTORY.name)) {
            let field = format!("{}.{number}.{key}", HISTORY.name);
            next.set(&field, texts.iter().cloned());
        }
        number += 1;
    }
}

fn product_of<'f>(earlier: &'f PlanForm, handle: &str) -> Option<&'f str> {
    let own = earlier.get(&format!("{}.{handle}.product", AREA.name));
    own.or_else(|| earlier.get("product.name"))
}

/// Units of a whole area; none where they cannot be known.
fn total(earlier: &PlanForm, handle: &str) -> Option<f64> {
    let get = |key: &str| earlier.get(&format!("{}.{handle}.{key}", AREA.name));
    let amount: f64 = get("units")?.parse().ok()?;
    let per = match get("per") {
        Some(word) => Per::from_word(word)?,
        None => Per::default(),
    };
    match per {
        Per::Total => Some(amount),
        // without a side it has none, or the file is not right yet
        Per::Side => match Side::from_word(get("side")?)? {
            Side::Both => Some(amount * 2.0),
            Side::Left | Side::Right | Side::Midline => Some(amount),
        },
        Per::Point => Some(amount * f64::from(get("points")?.parse::<u32>().ok()?)),
    }
}
