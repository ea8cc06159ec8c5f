//! Turns plans with an earlier treatment into what the information paper says of it.
//!
//! Invariant: words of the plan are quoted as they stand; where there are none there is a line to write on.
//! Must not: lay out pages; the paper is looked at as it is composed.

use beforehand::compose::Block;
use beforehand::paper::PaperKind;

use crate::support::composed::composed;
use crate::support::{ClinicFile, Plan};

/// The words of the paper that speak of an earlier treatment, and how many lines to write on there are in all.
fn said(more: &str) -> (Vec<String>, u32) {
    let clinic = ClinicFile::default().read();
    let plan = Plan {
        area: format!(
            "id = \"masseter\"\nside = \"both\"\nunits = 50\nstance = \"advise\"\n{more}"
        ),
        ..Plan::bare()
    };
    let visit = plan.read(&clinic);
    composed(PaperKind::Information, &clinic, &visit, |_, document| {
        let lines = document.lines().into_iter().map(|line| line.text);
        let told = lines.filter(|text| text.contains("how it went for you"));
        (told.collect(), to_write(&document.blocks))
    })
}

fn to_write(blocks: &[Block]) -> u32 {
    let of = |block: &Block| match block {
        Block::Lines { count } => u32::from(*count),
        Block::Together { blocks } | Block::Panel { blocks, .. } => to_write(blocks),
        _ => 0,
    };
    blocks.iter().map(of).sum()
}

#[test]
fn how_the_last_round_went_is_quoted_or_left_to_be_written() {
    let (nothing, lines) = said("");
    assert!(nothing.is_empty(), "{nothing:?}");

    let (day_alone, with_a_line) = said("previous = 2026-05-20\n");
    assert_eq!(day_alone.len(), 1);
    assert!(
        day_alone[0].ends_with("This is how it went for you:"),
        "{day_alone:?}"
    );
    assert_eq!(with_a_line, lines + 1);

    let words = "last_time = \"Slimmer; *tough* food was hard.\"\n";
    let (quoted, without) = said(&format!("previous = 2026-05-20\n{words}"));
    assert_eq!(
        quoted,
        [
            "Jaw muscle: your last treatment here was on 20 May 2026. This is how it went for you: “Slimmer; *tough* food was hard.”"
        ]
    );
    assert_eq!(without, lines);

    let (no_day, without) = said(words);
    assert_eq!(
        no_day,
        [
            "Jaw muscle: you have had this treatment here before. This is how it went for you: “Slimmer; *tough* food was hard.”"
        ]
    );
    assert_eq!(without, lines);
}
