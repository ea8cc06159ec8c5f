//! The arrays of marks as composed: as many marks as the published numbers say, the most telling risks first.
//!
//! Must not: take a number from the paper it looks at; expectations come from the catalogue.

use std::collections::BTreeSet;

use beforehand::catalogue::{Area, Catalogue, Side};
use beforehand::compose::document::ArrayGroup;
use beforehand::compose::pictures::{COLUMNS, MARKS, MOST_RISKS};
use beforehand::paper::PaperKind;

use crate::support::catalogue::{area, side_for, treatable};
use crate::support::pictures::{composed, plan, words};

/// The marks of a risk with and without the medicine, worked out from its figures by another way than the program's.
fn expected(area: &Area, product: &str, name: &str) -> Vec<[Option<(u32, u32)>; 2]> {
    let general = &Catalogue::embedded().general.risk;
    let mut found = Vec::new();
    for (owner, risk) in area
        .risk
        .iter()
        .map(|r| (area.id.as_str(), r))
        .chain(general.iter().map(|r| ("general", r)))
    {
        if lead(owner, &risk.id) != name {
            continue;
        }
        let any_own = risk
            .figure
            .iter()
            .any(|f| f.products.iter().any(|p| p == product));
        let figures: Vec<_> = risk
            .figure
            .iter()
            .filter(|f| !any_own || f.products.iter().any(|p| p == product))
            .collect();
        // in millionths, so that whole numbers are compared
        let marks = |parts: Vec<(f64, f64)>| -> (u32, u32) {
            let millionths = |n: f64| (n * 1e6).round() as i64;
            let low = parts
                .iter()
                .map(|p| millionths(p.0))
                .min()
                .expect("a figure");
            let high = parts
                .iter()
                .map(|p| millionths(p.1))
                .max()
                .expect("a figure");
            // less than one mark is said in words
            if high * 100 < 1_000_000 {
                return (0, 0);
            }
            let nearest = |n: i64| (n * 100 + 500_000) / 1_000_000;
            let (low, high) = (nearest(low), nearest(high));
            (low as u32, (high - low) as u32)
        };
        let share = |n: f64, per: u32| n / f64::from(per);
        let treated = figures.iter().map(|f| {
            let most = f.affected_high.unwrap_or(f.affected);
            (share(f.affected, f.per), share(most, f.per))
        });
        let dummy: Option<Vec<(f64, f64)>> = figures
            .iter()
            .map(|f| f.placebo.map(|p| (share(p, f.per), share(p, f.per))))
            .collect();
        found.push([Some(marks(treated.collect())), dummy.map(marks)]);
    }
    found
}

/// The bold beginning of a risk's sentence.
fn lead(owner: &str, risk: &str) -> String {
    let text = &words().statements()[&format!("{owner}.risk.{risk}")];
    let bold = text.split("**").nth(1).unwrap_or_default();
    bold.trim().trim_end_matches('.').to_owned()
}

/// Every area with every product: no more risks than stand in a row, as many marks as the published figures say, the number above them.
#[test]
fn every_array_shows_its_published_number() {
    let (mut seen, mut ranges, mut compared, mut alike) = (0, 0, 0, 0);
    for product in &Catalogue::embedded().products {
        for area in treatable() {
            let text = plan(&[(area, area.sides[0])])
                .toml()
                .replace("onabotulinumtoxinA", product.id.as_str());
            let (_, groups, _) = composed(PaperKind::Information, &text);
            assert!(groups.len() <= MOST_RISKS, "{}", area.id);
            assert!(columns(&groups) <= COLUMNS, "{}", area.id);
            for group in &groups {
                let at = format!("{} with {}: {}", area.id, product.id, group.name);
                assert_eq!(group.per, MARKS, "{at}");
                let marks: Vec<(u32, u32)> =
                    group.arrays.iter().map(|a| (a.filled, a.some)).collect();
                let wanted = expected(area, product.id.as_str(), &group.name);
                let fits =
                    wanted
                        .iter()
                        .any(|[treated, dummy]| match (marks.as_slice(), &group.said) {
                            ([one], None) => Some(*one) == *treated && dummy.is_none(),
                            // the same, or less than one mark, is said in words
                            ([one], Some(_)) => {
                                Some(*one) == *treated
                                    && (dummy == treated || *dummy == Some((0, 0)))
                            }
                            ([one, two], None) => {
                                Some(*one) == *treated && Some(*two) == *dummy && dummy != treated
                            }
                            _ => false,
                        });
                assert!(
                    fits,
                    "{at}: {marks:?} {:?}, wanted one of {wanted:?}",
                    group.said
                );
                assert!(marks[0].0 + marks[0].1 >= 2, "{at}");
                for array in &group.arrays {
                    let (low, high) = (array.filled, array.filled + array.some);
                    let range = match (low == high, low) {
                        (true, _) => high.to_string(),
                        (false, 0) => format!("Up to {high}"),
                        (false, _) => format!("{low} to {high}"),
                    };
                    assert!(
                        array.number.starts_with(&format!("{range} in 100")),
                        "{at}: {}",
                        array.number
                    );
                    assert!(
                        array.alt.contains(&array.number) && array.alt.starts_with(&group.name),
                        "{at}: {}",
                        array.alt
                    );
                    let counted = format!("Of 100 marks, {low} ");
                    assert!(array.alt.contains(&counted), "{at}: {}", array.alt);
                    seen += 1;
                    ranges += u32::from(low != high);
                }
                compared += u32::from(group.arrays.len() == 2);
                alike += u32::from(group.said.is_some());
            }
            // what was counted with a dummy comes first, then what is most frequent
            let order = |g: &ArrayGroup| {
                let dummy = g.arrays.len() == 2 || g.said.is_some();
                (!dummy, 100 - g.arrays[0].filled - g.arrays[0].some)
            };
            assert!(
                groups.is_sorted_by_key(order),
                "{} with {}",
                area.id,
                product.id
            );
        }
    }
    assert!(
        seen >= 80 && ranges >= 10 && compared >= 10,
        "{seen} {ranges} {compared} {alike}"
    );
}

/// Columns of the row of pictures that these take.
fn columns(groups: &[ArrayGroup]) -> usize {
    let of = |group: &ArrayGroup| group.arrays.len() + usize::from(group.said.is_some());
    groups.iter().map(of).sum()
}

/// With several areas a risk is drawn once, with the area it was counted in, and no more than a row of them.
#[test]
fn a_form_for_all_areas_draws_a_row_of_risks() {
    let areas: Vec<(&Area, Side)> = treatable()
        .into_iter()
        .map(|a| (a, side_for(a, Side::Both)))
        .collect();
    let (_, groups, _) = composed(PaperKind::Information, &plan(&areas).toml());
    assert_eq!(columns(&groups), COLUMNS);
    let risks: BTreeSet<&str> = groups
        .iter()
        .map(|g| g.name.split(" (").next().unwrap_or_default())
        .collect();
    assert_eq!(risks.len(), groups.len(), "{risks:?}");
}

/// Published values after frown-line treatment with onabotulinumtoxinA (C22): headache 11.3 in 100, with a dummy 11.4. Bruises in two trials: 3.1 and 5.8 in 100, with a dummy 1.9 and 2.7. A paper has one denominator.
#[test]
fn published_shares_as_marks() {
    let arrays = |id: &str| {
        let area = area(id);
        composed(
            PaperKind::Information,
            &plan(&[(area, area.sides[0])]).toml(),
        )
        .1
    };
    let of = |groups: &[ArrayGroup], name: &str| {
        let group = groups.iter().find(|group| group.name == name)?;
        let marks = group.arrays.iter().map(|a| (a.filled, a.some));
        Some((marks.collect::<Vec<_>>(), group.said.is_some()))
    };
    let frown = arrays("glabella");
    assert_eq!(of(&frown, "Headache"), Some((vec![(11, 0)], true)));
    assert_eq!(of(&frown, "A bruise"), Some((vec![(3, 3), (2, 1)], false)));
    // a third that was compared has no room in the row, and is told in the table
    assert_eq!(of(&frown, "Heavy eyelids"), None);
    // 300 in 1,000 treatments, said and drawn out of a hundred like everything else of the paper (C54)
    let jaw = arrays("masseter");
    assert_eq!(of(&jaw, "Weaker bite"), Some((vec![(30, 0)], false)));
}
