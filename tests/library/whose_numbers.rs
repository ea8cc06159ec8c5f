//! Which numbers of risks a patient's papers tell, of whom they are, and which of them stands in short.
//!
//! Must not: lay out pages; the papers are looked at as they are composed.

use beforehand::compose::Block;
use beforehand::paper::PaperKind;

use crate::support::{Plan, areas};
use crate::told::{composed, composed_at, information, told, words};

/// All figures of what every treatment risks are from studies of the upper face (C3, C9, C22, C23).
#[test]
fn what_was_counted_elsewhere_says_where() {
    let counted = "This was counted in the upper face.";
    assert!(information(&["orbicularis-oris"], "").contains(counted));
    // an area that has a number of its own is not told another one
    let mixed = information(&["glabella", "masseter"], "");
    assert!(!mixed.contains(counted));
    assert!(
        mixed.contains("For frown lines, we know only this number, counted in the upper face."),
        "{mixed}"
    );
    assert!(!information(&["glabella"], "").contains(counted));
    let drawn = |ids: &[&str]| {
        let plan = Plan {
            rest: areas(ids, ""),
            ..Plan::bare()
        };
        composed(PaperKind::Information, &plan, |_, document| {
            let mut blocks = document.blocks.iter();
            blocks.any(|block| matches!(block, Block::Arrays { .. }))
        })
    };
    assert!(drawn(&["glabella"]) && drawn(&["masseter"]));
    assert!(!drawn(&["orbicularis-oris"]), "nothing was counted there");
}

/// None of n leaves room for up to three in n (rule of three, D33, published): 3 in 916 are fewer than 1 in 100.
#[test]
fn nobody_in_a_study_is_not_rounded_up_to_one_in_a_hundred() {
    // not the lips, whose rounds are planned sooner than any label says
    let told = information(&["mentalis"], "");
    assert!(told.contains("None of 916 people"), "{told}");
    assert!(told.contains("but probably to fewer than 1 in 100."));
}

/// What happens as often without the medicine is probably not due to it, and must not look like the main risk.
#[test]
fn in_short_names_no_risk_that_is_as_frequent_with_a_dummy() {
    let plan = areas(["glabella", "lateral-canthus"], "");
    // pooled trials of frown lines: a headache in 11.3 of 100 with the medicine and in 11.4 with a dummy (C22)
    let text = told(PaperKind::Information, "", &plan);
    let mut lines = text.lines().skip_while(|line| *line != "In studies");
    let said = lines.nth(1).expect("something was counted");
    assert!(said.starts_with("Drooping eyelid: "), "{said}");
    assert!(!said.contains("11 in 100"), "{said}");
}

/// What is an area's own is not looked for behind a headache that was counted elsewhere; what was counted of the area stays first.
#[test]
fn an_areas_own_risks_come_before_those_of_every_treatment() {
    let lips = information(&["orbicularis-oris"], "");
    let at = |text: &str, words: &str| {
        text.find(words)
            .unwrap_or_else(|| panic!("{words} is not in {text}"))
    };
    assert!(at(&lips, "Trouble drinking through a straw.") < at(&lips, "Headache."));
    assert!(at(&lips, "Headache.") < at(&lips, "Weak muscles nearby."));
    let frown = information(&["glabella"], "");
    assert!(at(&frown, "Headache.") < at(&frown, "Double vision."));
}

/// Two products in one visit are told, each number with the product it was counted for.
#[test]
fn two_products_are_told_and_their_numbers_are_not_crossed() {
    let plan = Plan {
        product: "name = \"incobotulinumtoxinA\"".to_owned(),
        rest: "\n[[area]]\nid = \"glabella\"\nunits = 20\n[[area]]\nid = \"lateral-canthus\"\nside = \"both\"\nunits = 24\n\
               product = \"onabotulinumtoxinA\"\n"
            .to_owned(),
        ..Plan::bare()
    };
    let text = composed(PaperKind::Information, &plan, |_, paper| words(paper));
    assert!(
        text.contains("Your plan has two kinds of the medicine"),
        "{text}"
    );
    // crow's feet get onabotulinumtoxinA, and have no number for headache of their own: not that of the other product (C12)
    let headache = text
        .split("Headache. Your head may ache")
        .nth(1)
        .expect("a row");
    let row = &headache[..headache.find("A bruise.").expect("the next row")];
    assert!(
        row.contains("For crow’s feet, we know only this number, counted in the upper face."),
        "{row}"
    );
    assert!(
        row.contains("8 to 11 in 100") && !row.contains("\n11 in 100"),
        "{row}"
    );
    let sheet = composed(PaperKind::Aftercare, &plan, |_, paper| words(paper));
    let batches = "incobotulinumtoxinA, batch (lot):\u{a0}____________\nonabotulinumtoxinA, batch (lot):\u{a0}____________";
    assert!(sheet.contains(batches), "{sheet}");
    // of two, one that is known is not lost with the one that is not
    let plan = Plan {
        batch: "INVENTED-9".to_owned(),
        ..plan
    };
    let sheet = composed(PaperKind::Aftercare, &plan, |_, paper| words(paper));
    let batches = "incobotulinumtoxinA, batch (lot):\u{a0}INVENTED-9\nonabotulinumtoxinA, batch (lot):\u{a0}____________";
    assert!(sheet.contains(batches), "{sheet}");
}

/// A plan of frown lines with this product.
fn frown_lines(product: &str) -> Plan {
    Plan {
        product: format!("name = \"{product}\""),
        rest: areas(["glabella"], ""),
        ..Plan::bare()
    }
}

/// A headache with incobotulinumtoxinA was counted in the whole upper face (C39: 11.4 of 100), and of frown lines with others alone
/// (C9, C22): the patient's own product comes first.
#[test]
fn a_number_of_the_own_product_comes_before_those_of_the_area() {
    let row = |product: &str| {
        let text = composed(PaperKind::Information, &frown_lines(product), |_, paper| {
            words(paper)
        });
        let row = text.split("Headache. Please ask").nth(1).expect("a row");
        row[..row.find("Drooping eyelid.").expect("the next row")].to_owned()
    };
    let own = row("incobotulinumtoxinA");
    assert!(
        own.contains("11 in 100") && !own.contains("6 to 11"),
        "{own}"
    );
    // nobody counted it with this one
    let none = row("abobotulinumtoxinA");
    assert!(none.contains("6 to 11 in 100\nother products"), "{none}");
    // one of its studies had a dummy, the other is a label without one
    assert!(none.contains("11 in 100 in some studies"), "{none}");
}

/// Nobody may take a number of another product for that of their own, neither in short nor under a picture.
#[test]
fn a_number_of_another_product_says_so() {
    let seen = |product: &str| {
        composed(PaperKind::Information, &frown_lines(product), |_, paper| {
            let text = words(paper);
            let mut short = text.lines().skip_while(|line| *line != "In studies");
            let short = short.nth(1).expect("something was counted").to_owned();
            let mut drawn = Vec::new();
            for block in &paper.blocks {
                if let Block::Arrays { groups, .. } = block {
                    let first = |name: &str, caption: &str| format!("{name}, {caption}");
                    drawn.extend(
                        groups
                            .iter()
                            .map(|group| first(&group.name, &group.arrays[0].caption)),
                    );
                }
            }
            (short, drawn)
        })
    };
    let (short, drawn) = seen("incobotulinumtoxinA");
    assert_eq!(
        short,
        "Drooping eyelid: up to 5 in 100 people with other products."
    );
    assert!(
        drawn.contains(&"Heavy eyelids, another product".to_owned()),
        "{drawn:?}"
    );
    let (short, drawn) = seen("onabotulinumtoxinA");
    assert!(!short.contains("other product"), "{short}");
    assert!(
        !drawn.is_empty() && drawn.iter().all(|one| one.ends_with(", with the medicine")),
        "{drawn:?}"
    );
}

/// The numbers of neck bands come from the official dose, 36 units (C45): nobody who gets more may read "not seen" as theirs.
#[test]
fn numbers_of_smaller_doses_say_that_they_may_be_too_low() {
    let neck = |units: u32| {
        let area = format!("\n[[area]]\nid = \"platysma\"\nside = \"both\"\nunits = {units}\n");
        let plan = Plan {
            rest: area,
            ..Plan::bare()
        };
        composed_at("US", PaperKind::Information, &plan, |_, paper| words(paper))
    };
    let (too_low, short) = (
        "What was not seen in studies may still happen with it.",
        "It is more than the official dose.",
    );
    let (open, bound) = (
        "Nobody counted it with doses or waits like yours.",
        "Though nobody had it there, it may happen, but probably to fewer than 1 in 100.",
    );
    let above = neck(40);
    assert!(above.contains(too_low) && above.contains(short), "{above}");
    assert!(above.contains(open) && !above.contains(bound), "{above}");
    let at_label = neck(36);
    assert!(!at_label.contains(too_low) && !at_label.contains(short));
    assert!(
        !at_label.contains(open) && at_label.contains(bound),
        "{at_label}"
    );
}
