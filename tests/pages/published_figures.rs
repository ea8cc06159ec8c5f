//! Outside check values on the page: the figures of trials, held against the words of the information paper.
//!
//! Must not: take a number from the program; every expected sentence was worked out from its source.

use beforehand::catalogue::Catalogue;
use beforehand::paper::PaperKind;
use beforehand::typeset::Typesetter;

use crate::support::{ClinicFile, Plan, laid_out_at, paper, squeeze};

const ONA: &str = "onabotulinumtoxinA";

/// The information paper as laid out, without white space.
fn information(region: &str, product: &str, areas: &str) -> String {
    let plan = Plan {
        product: format!("name = \"{product}\""),
        rest: areas.to_owned(),
        ..Plan::bare()
    };
    let clinic = ClinicFile::at(region).toml();
    laid_out_at(&clinic, &plan.toml(), &Typesetter::embedded(), |papers| {
        squeeze(&paper(papers, PaperKind::Information).pages.texts().concat())
    })
}

fn assert_says(text: &str, sentence: &str, source: &str) {
    assert!(
        text.contains(&squeeze(sentence)),
        "not printed: {sentence} ({source})"
    );
}

/// Masseter figures as printed: C18 (5.2 mm), C54 (2,036 sessions: chewing 30 in 100, bruise 2.5, bulging 0.49, sunken cheek 0.44, smile
/// 0.15 in 100). All published.
#[test]
fn masseter_figures_reach_the_page() {
    let text = information(
        "GB-ENG",
        ONA,
        "[[area]]\nid = \"masseter\"\nside = \"both\"\nunits = 50\n",
    );
    assert_says(
        &text,
        "5.2 mm narrower on average than with a dummy injection",
        "C18",
    );
    for share in ["30 in 100", "3 in 100", "Fewer than 1 in 100"] {
        assert_says(&text, share, "C54");
    }
    // what the shares are of stands once, in the head of the table, and how many there were below it
    assert_says(&text, "How often by treatment", "C54");
    assert_says(&text, "2,036 treatments", "C54");
}

/// Glabella with onabotulinumtoxinA: lid droop 2.4 (C22), 3 (C3) and 5.4 in 100 (C63, second-hand), each rounded to the nearest.
#[test]
fn lid_droop_is_shown_as_the_range_of_the_trials() {
    let text = information("GB-ENG", ONA, "[[area]]\nid = \"glabella\"\nunits = 20\n");
    assert_says(&text, "2 to 5 in 100", "C22, C3, C63");
    // daxibotulinumtoxinA: 2 in 100 on the label (C9), 0.9 in 100 treatments in the long-term study (C36): one denominator
    let text = information(
        "US",
        "daxibotulinumtoxinA",
        "[[area]]\nid = \"glabella\"\nunits = 40\n",
    );
    assert_says(&text, "1 to 2 in 100", "C9, C36");
}

/// Platysma: doctor and patient both saw a clear change in 32 in 100, and with placebo in 2 in 100 (C45, published).
#[test]
fn platysma_figures_reach_the_page() {
    let text = information(
        "US",
        ONA,
        "[[area]]\nid = \"platysma\"\nside = \"both\"\nunits = 36\n",
    );
    assert_says(
        &text,
        "doctor and patient both saw a clear change for 32 in 100 people",
        "C45",
    );
    assert_says(
        &text,
        "With a dummy injection, which holds no medicine, it was 2 in 100 people",
        "C45",
    );
}

/// Chin: 5 spreads to the lower lip in 120 treatments, 4.2 in 100 (C67, calculated).
#[test]
fn chin_figure_reaches_the_page() {
    let text = information("GB-ENG", ONA, "[[area]]\nid = \"mentalis\"\nunits = 6\n");
    assert_says(&text, "4 in 100 treatments", "C67");
}

/// Gummy smile: 3.42 mm less gum at 2 weeks (C59, published); lip lines: 16 to 20 weeks in a trial of 60 (C65, published).
#[test]
fn lip_and_gum_figures_reach_the_page() {
    let text = information(
        "GB-ENG",
        ONA,
        "[[area]]\nid = \"levator-labii-superioris-alaeque-nasi\"\nside = \"both\"\n[[area]]\nid = \"orbicularis-oris\"\n",
    );
    assert_says(&text, "3 mm", "C59");
    assert_says(&text, "In one trial with 60 people", "C65");
    assert_says(&text, "16 to 20 weeks", "C65");
}

/// Upper face, onabotulinumtoxinA 20 to 64 units: headache 11.3 against 11.4 in 100 in the glabella trials (C22, published).
#[test]
fn headache_comes_with_the_dummy_injections_number() {
    let text = information("GB-ENG", ONA, "[[area]]\nid = \"glabella\"\nunits = 20\n");
    assert_says(&text, "11 in 100", "C22");
    // the treated, and beside them the dummy
    assert!(text.matches("11in100").count() >= 2, "{text} (C22)");
}

/// Mouth corners: the usual time stands before the sooner one that some practitioners see (both common practice, no source).
#[test]
fn the_usual_time_of_the_mouth_corners_comes_before_the_sooner_one() {
    let text = information(
        "GB-ENG",
        ONA,
        "[[area]]\nid = \"depressor-anguli-oris\"\nside = \"both\"\n",
    );
    let at = |words: &str| text.find(&squeeze(words)).expect("printed");
    assert!(at("It usually wears off after") < at("about 6 to 7 weeks"));
}

/// Antibodies that block the effect: none of 916 people (C3, published); 14 had antibodies that only bind, which is not said here.
#[test]
fn antibodies_are_counted_as_those_that_block() {
    let text = information("GB-ENG", ONA, "[[area]]\nid = \"glabella\"\nunits = 20\n");
    assert_says(&text, "None of 916 people", "C3");
    let general = &Catalogue::embedded().general;
    let pain = general
        .risk
        .iter()
        .find(|r| r.id == "pain")
        .expect("a risk");
    assert!(
        pain.figure.is_empty(),
        "pain of the face (C3) is no figure for the needle"
    );
}
