//! Turns the published figures of a risk into what a table cell says: the number first, then whom it was seen in.
//! Invariant: one denominator for a whole table; figures for the patient's own product come before any other; nothing is said to be impossible.
//! Must not: invent a figure where none is published.

use serde_json::json;

use super::risk_lists::ToldRisk;
use super::{Composer, values};
use crate::catalogue::{Counted, Figure, Risk, Study, Time};
use crate::domain::{LabelId, ProductId};
use crate::wording::phrases::Share;
use crate::wording::{Piece, WordingError, rich};

/// Of fewer people than this, the rule of three leaves room for so much that its number helps nobody.
const FEW_ASKED: u32 = 60;

/// A share that is told out of a hundred, whatever stands beside it.
const LARGE: f64 = 0.1;

/// 100, unless most of the figures are below one in 100 and none is large; then 1,000, and so on. One for a whole paper: numbers
/// that are out of different amounts cannot be compared. A small figure among hundreds is said as "fewer than 1 in 100".
pub(super) fn denominator<'f>(figures: impl Iterator<Item = &'f Figure>) -> u32 {
    let shares: Vec<f64> = figures
        .map(Figure::highest)
        .filter(|share| *share > 0.0)
        .collect();
    let mostly_whole = |per: u32| {
        let below = shares
            .iter()
            .filter(|share| **share * f64::from(per) < 1.0 - 1e-9)
            .count();
        below * 2 <= shares.len()
    };
    // three in ten as 300 in 1,000 would sound like more
    if shares.iter().any(|share| *share >= LARGE) {
        return 100;
    }
    [100, 1_000]
        .into_iter()
        .find(|per| mostly_whole(*per))
        .unwrap_or(10_000)
}

/// Figures of what the patient has; where there are none, all of them.
pub(super) fn chosen<'r>(risk: &'r Risk, had: &[&ProductId]) -> Vec<&'r Figure> {
    let is_had = |figure: &&Figure| figure.products.iter().any(|product| had.contains(&product));
    let own: Vec<&Figure> = risk.figure.iter().filter(is_had).collect();
    if own.is_empty() {
        risk.figure.iter().collect()
    } else {
        own
    }
}

/// The figures of one risk taken together: least, most, out of `per`.
pub fn together(figures: &[&Figure], per: u32) -> Option<Share> {
    let low = figures
        .iter()
        .map(|f| f.affected / f64::from(f.per))
        .reduce(f64::min)?;
    let high = figures.iter().map(|f| f.highest()).reduce(f64::max)?;
    Some(Share::whole(
        low * f64::from(per),
        high * f64::from(per),
        per,
        per,
    ))
}

/// The share after a dummy injection, where every figure has one: then the range and the comparison mean the same studies.
pub(super) fn placebo(figures: &[&Figure], per: u32) -> Option<Share> {
    let all = figures.iter().all(|f| f.placebo.is_some());
    placebo_of_some(figures, per).filter(|_| all)
}

/// The share after a dummy injection in those studies that had one.
fn placebo_of_some(figures: &[&Figure], per: u32) -> Option<Share> {
    let compared = figures
        .iter()
        .filter_map(|f| Some(f.placebo? / f64::from(f.per)));
    let low = compared.clone().reduce(f64::min)?;
    let high = compared.reduce(f64::max)?;
    Some(Share::whole(
        low * f64::from(per),
        high * f64::from(per),
        per,
        per,
    ))
}

/// What a table says of one risk's frequency.
pub(super) struct FrequencyCells {
    /// The number, or that nobody had it.
    pub often: Vec<Piece>,
    /// The number after a dummy injection, or that there is none.
    pub dummy: Vec<Piece>,
    /// What a number of nobody does not mean; stands with the words of the risk, empty otherwise.
    pub still: String,
}

impl Composer<'_, '_> {
    /// How often a counted risk was seen, with the medicine and with a dummy. `of_treatments`: the table's head says that its
    /// shares are of treatments.
    pub(super) fn how_many(
        &self,
        told: &ToldRisk<'_>,
        per: u32,
        of_treatments: bool,
    ) -> Result<FrequencyCells, WordingError> {
        let Some(share) = told.share(per) else {
            return Ok(FrequencyCells {
                often: self.wording.pieces("figure.none", &values(json!({})))?,
                dummy: Vec::new(),
                still: String::new(),
            });
        };
        let counted = told.counted();
        let none_seen = share.high == 0.0 && !share.below_one;
        let mut still = String::new();
        let often = match (none_seen, studied_in_all(&told.figures)) {
            (false, _) if of_treatments => rich::bold(self.wording.share(share, Counted::People)?),
            (false, _) => rich::bold(self.wording.share(share, counted)?),
            (true, size) => {
                let seen = match size {
                    Some(size) => self.line(
                        "figure.none-of",
                        json!({ "size": size, "counted": counted_key(counted) }),
                    )?,
                    None => self.label("figure.none-seen")?,
                };
                still = match size {
                    // rule of three: none seen in n leaves room for up to 3/n (D33, published)
                    Some(_) if self.selection.course_departs_from_advice() => {
                        self.label("figure.zero-beyond")?
                    }
                    Some(size) => {
                        let upper = 3.0 / f64::from(size) * f64::from(per);
                        let whole = upper.ceil().clamp(1.0, f64::from(per));
                        self.line(
                            match size < FEW_ASKED {
                                true => "figure.zero-of-few",
                                false => "figure.zero",
                            },
                            json!({ "upper": whole, "per": per, "fewer": upper < whole }),
                        )?
                    }
                    None => String::new(),
                };
                rich::bold(seen)
            }
        };
        let all = told.figures.iter().all(|f| f.placebo.is_some());
        let dummy = match placebo_of_some(&told.figures, per) {
            Some(share) => self.line(
                "figure.placebo",
                json!({ "share": self.wording.share(share, counted)?, "all": all }),
            )?,
            None => self.label("figure.no-placebo")?,
        };
        Ok(FrequencyCells {
            often: vec![Piece::Para { text: often }],
            dummy: vec![Piece::Para {
                text: rich::plain(dummy),
            }],
            still,
        })
    }

    /// "another product", where the figures of a risk are of none that the patient has; empty otherwise.
    pub(super) fn other_product(&self, told: &ToldRisk<'_>) -> Result<String, WordingError> {
        match told.other_products() {
            0 => Ok(String::new()),
            count => self.line("figure.other-product", json!({ "count": count })),
        }
    }

    /// "in trials of x with 665 people, over different times": whom the figures of a risk were seen in, as the end of a sentence, so
    /// without a full stop; none where there is no figure.
    pub(super) fn studied_in(&self, told: &ToldRisk<'_>) -> Result<Option<String>, WordingError> {
        let (figures, had) = (told.figures.as_slice(), told.had.as_slice());
        if figures.is_empty() {
            return Ok(None);
        }
        let counted = told.counted();
        let mut products: Vec<String> = figures
            .iter()
            .flat_map(|f| f.products.iter().map(ToString::to_string))
            .collect();
        products.sort();
        products.dedup();
        let several = products.is_empty() || figures.iter().any(|f| f.products.is_empty());
        let is_had = |product: &String| had.iter().any(|had| **had == *product.as_str());
        let other_product = told.other_products() > 0;
        // the patient's own product and no other needs no name; of two of theirs the one that was counted has to be named
        let one_product = self.selection.products.len() == 1;
        let own_product = !several && one_product && products.iter().all(is_had);
        // of two products one may be the patient's in another area
        let for_areas = match self.areas_without_own_number(told).filter(|_| !one_product) {
            Some(areas) => self.wording.inside_sentence(&self.area_names(&areas)?),
            None => String::new(),
        };
        let names = if several {
            self.label("figure.products-many")?
        } else {
            self.wording.formats().and(&products)
        };
        let is_trial = |f: &&Figure| matches!(f.study, Study::Trial | Study::Pooled);
        let kind = if figures.iter().all(is_trial) {
            "trial"
        } else if figures.iter().any(|f| f.study != figures[0].study) {
            "mixed"
        } else if figures.iter().all(|f| f.study == Study::Series) {
            "series"
        } else if figures.iter().all(|f| f.study == Study::Label) {
            "label"
        } else if figures.iter().all(|f| f.study == Study::Review) {
            "review"
        } else {
            "trial"
        };
        let size = studied_in_all(figures);
        let time = match figures {
            [first, rest @ ..] if rest.iter().all(|f| f.time == first.time) => time_key(first.time),
            _ => Some("several"),
        };
        let time = match time {
            // the phrase starts with a comma, which must touch the word before it
            Some(key) => self.label(&LabelId::study_time(key))?,
            None => String::new(),
        };
        self.line(
            "figure.studied",
            json!({
                "kind": kind,
                "many": figures.len() > 1 || figures[0].study == Study::Pooled,
                "products": names,
                "size": size,
                "counted": counted_key(counted),
                "time": time,
                "other_product": other_product,
                "here": !one_product,
                "for_areas": for_areas,
                "own_product": own_product,
            }),
        )
        .map(Some)
    }
}

/// How many were studied in all figures together; people and treatments are never added up.
fn studied_in_all(figures: &[&Figure]) -> Option<u32> {
    let same = figures.iter().all(|f| f.counted == figures[0].counted);
    figures.iter().map(|f| f.size.filter(|_| same)).sum()
}

pub(super) fn counted_in(figures: &[&Figure]) -> Counted {
    if figures.iter().all(|f| f.counted == Counted::Treatments) {
        Counted::Treatments
    } else {
        Counted::People
    }
}

fn counted_key(counted: Counted) -> &'static str {
    match counted {
        Counted::People => "people",
        Counted::Treatments => "treatments",
    }
}

/// The phrase for a time; none for the whole study, which `general.figures` says for all numbers without a time.
fn time_key(time: Time) -> Option<&'static str> {
    match time {
        Time::DuringStudy => None,
        Time::FirstCycle => Some("first-cycle"),
        Time::EachTreatment => Some("each-treatment"),
        Time::Day14 => Some("day14"),
        Time::Day30 => Some("day30"),
        Time::Week2 => Some("week2"),
        Time::Month3 => Some("month3"),
        Time::Month6 => Some("month6"),
        Time::Year1 => Some("year1"),
    }
}
