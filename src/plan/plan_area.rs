//! Reads one `[[area]]` of a plan.
//!
//! Invariant: the side is one the area can have; units are above zero and below the product's limit of absurdity.
//!
//! Must not: know any area by name.

use crate::diagnose::{Code, Diagnostic};
use crate::domain::{AreaId, ProductId};
use crate::plan::habits::read_stance;
use crate::plan::numbers::{ABSURD_UNITS, MOST_POINTS, MOST_ROUNDS};
use crate::plan::order::Frame;
use crate::plan::reader::{Found, Reader, Section, TEXT_MAX, join, value};
use crate::plan::words::with_stock;
use crate::plan::{AreaWord, Clinic, Per, PlannedArea, Product, Side, Units};

/// What the areas of one plan have in common.
pub(in crate::plan) struct Common<'c> {
    pub frame: &'c Frame,
    pub clinic: Option<&'c Clinic>,
    /// Name of the product of the visit, if it could be read.
    pub product: Option<&'c ProductId>,
}

/// All areas; an area named twice is reported at its second place.
pub(in crate::plan) fn read_areas(
    reader: &mut Reader,
    sections: &[Section],
    common: &Common,
) -> Vec<Option<PlannedArea>> {
    let mut seen: Vec<Found<AreaId>> = Vec::new();
    let mut areas = Vec::new();
    for section in sections {
        let word = reader
            .required(section, "id", "\"…\"")
            .and_then(|field| reader.area_id(&field));
        if let Some(word) = &word {
            match seen.iter().find(|first| first.value == word.value.id) {
                Some(first) => {
                    let line = reader.source.position(first.span.start).line;
                    let twice = Diagnostic::new(
                        reader.source,
                        Code::AreaTwice,
                        word.span.clone(),
                        format!("`{}` is planned twice (first on line {line}).", first.value),
                        "Keep one entry; with the side \"both\" it covers both sides.",
                    );
                    let twice = twice.at(&word.path).also(
                        reader.source,
                        first.span.clone(),
                        "planned here first",
                    );
                    reader.found.push(twice);
                }
                None => seen.push(Found {
                    value: word.value.id.clone(),
                    span: word.span.clone(),
                    path: word.path.clone(),
                }),
            }
        }
        areas.push(read_area(reader, section, word.map(|w| w.value), common));
    }
    areas
}

fn read_area(
    reader: &mut Reader,
    section: &Section,
    word: Option<&AreaWord>,
    common: &Common,
) -> Option<PlannedArea> {
    let side = read_side(reader, section, word);
    let product = reader
        .optional(section, "product")
        .and_then(|field| reader.product(&field, common.clinic));
    let points = reader.optional(section, "points").and_then(|field| {
        reader.count(
            &field,
            MOST_POINTS,
            Code::PointsOutOfRange,
            "The number of injection points",
        )
    });
    let product_name = product.as_ref().map(|p| &p.value).or(common.product);
    let units = read_units(reader, section, side, points, product_name);
    if let (Some(units), Some(Side::Midline)) = (&units, side)
        && units.per == Per::Side
        && let Some(field) = reader.optional(section, "per")
    {
        reader.report(
            Code::PerSideWithoutSides,
            field.node.span.clone(),
            &field.path,
            "This area has no sides, so units cannot be counted per side.",
            "Write the units of the whole area and leave `per` out.",
        );
    }
    let aim = reader
        .optional(section, "aim")
        .and_then(|field| reader.free_text(&field, TEXT_MAX));
    let reasons = reader.vocabulary.reasons.iter().map(String::as_str);
    let reason = reader
        .optional(section, "reason")
        .and_then(|field| reader.word(&field, reasons, Code::UnknownReason, "reason"));
    let round = reader
        .optional(section, "round")
        .and_then(|field| reader.count(&field, MOST_ROUNDS, Code::RoundOutOfRange, "The round"));
    let previous = reader
        .optional(section, "previous")
        .and_then(|field| reader.date(&field));
    if let Some(previous) = &previous {
        common
            .frame
            .check_earlier(reader, previous, Code::PreviousImpossible);
    }
    let last_time = read_last_time(reader, section, round);
    let stance = reader
        .optional(section, "stance")
        .and_then(|field| read_stance(reader, &field));
    let stance_because = reader
        .optional(section, "stance_because")
        .and_then(|field| reader.free_text(&field, TEXT_MAX));
    // the visit's own product named again is the visit's product, with its dilution and batch
    let product = product.filter(|name| Some(&name.value) != common.product);
    let product = product.map(|name| {
        let product = Product {
            name: name.value,
            vial_units: None,
            formulation: None,
            diluent_ml: None,
            batch: None,
        };
        with_stock(product, common.clinic)
    });
    Some(PlannedArea {
        id: word?.id.clone(),
        side: side?,
        units,
        points,
        aim: value(aim),
        reason: value(reason),
        round,
        previous: value(previous),
        last_time,
        stance,
        stance_because: value(stance_because),
        product,
        span: section.heading.clone(),
    })
}

/// How the last treatment went; nothing went before the first.
fn read_last_time(reader: &mut Reader, section: &Section, round: Option<u32>) -> Option<String> {
    let field = reader.optional(section, "last_time")?;
    let said = value(reader.free_text(&field, TEXT_MAX));
    if round == Some(1) {
        reader.report(
            Code::LastTimeOfFirst,
            field.node.span.clone(),
            &field.path,
            "This is the first round, and the plan says how the last one went.",
            "Write which round it is, or leave `last_time` out.",
        );
    }
    said
}

fn read_side(reader: &mut Reader, section: &Section, word: Option<&AreaWord>) -> Option<Side> {
    // of an unknown area nothing is known about sides, only how they are spelt
    let allowed = word.map_or(&Side::ALL[..], |word| &word.sides[..]);
    if let Some(field) = reader.optional(section, "side") {
        return value(reader.side(&field, allowed));
    }
    let word = word?;
    if let [only] = word.sides[..] {
        return Some(only);
    }
    if !reader.damaged && !reader.excused.contains(&join(&section.path, "side")) {
        let words: Vec<String> = word
            .sides
            .iter()
            .map(|side| format!("\"{}\"", side.as_str()))
            .collect();
        reader.report(
            Code::SideMissing,
            section.heading.clone(),
            &join(&section.path, "side"),
            format!("The side of `{}` is missing.", word.id),
            format!("Add `side` with {}.", words.join(" or ")),
        );
    }
    None
}

fn read_units(
    reader: &mut Reader,
    section: &Section,
    side: Option<Side>,
    points: Option<u32>,
    product: Option<&ProductId>,
) -> Option<Units> {
    let amount = reader
        .optional(section, "units")
        .and_then(|field| reader.units(&field));
    let per = read_per(reader, section);
    let written = |key: &str| section.table.get(key).is_some();
    let quiet = |reader: &Reader, key: &str| {
        reader.damaged || reader.excused.contains(&join(&section.path, key))
    };
    if let Some(per) = &per
        && per.value != Per::Total
        && !written("units")
        && !quiet(reader, "units")
    {
        reader.report(
            Code::UnitsMissing,
            per.span.clone(),
            &per.path,
            "It is said how units are counted, but not how many they are.",
            "Add `units` with the number, or delete `per`.",
        );
    }
    if let Some(per) = &per
        && per.value == Per::Point
        && !written("points")
        && !quiet(reader, "points")
    {
        reader.report(
            Code::PointsMissing,
            per.span.clone(),
            &per.path,
            "Units are counted for each point, but the number of points is missing.",
            "Add `points` with the number of injection points of the whole area, both sides together.",
        );
    }
    let amount = amount?;
    // a way of counting that could not be read says nothing about the whole area
    let known = per.is_some() || !written("per");
    let units = Units {
        amount: amount.value,
        per: value(per).unwrap_or_default(),
        points,
    };
    let limit = product
        .and_then(|name| reader.vocabulary.product(name))
        .map_or(ABSURD_UNITS, |product| product.absurd_above);
    let total = known
        .then(|| side.and_then(|side| units.total(side)))
        .flatten();
    reader.absurd(&amount, total.unwrap_or(units.amount), limit, "this area");
    Some(units)
}

fn read_per(reader: &mut Reader, section: &Section) -> Option<Found<Per>> {
    let field = reader.optional(section, "per")?;
    let words = Per::ALL.map(Per::as_str);
    let word = reader.word(&field, words, Code::UnknownPer, "way of counting units")?;
    Some(field.found(Per::from_word(&word.value)?))
}
