//! What a fact, a side, a dose or a second area of the plan adds to the words of a patient's papers, or takes out of them.
//!
//! Must not: lay out pages; the papers are looked at as they are composed.

use beforehand::catalogue::Level;
use beforehand::compose::check_parts::CheckPart;
use beforehand::compose::{Block, Document};
use beforehand::paper::PaperKind;
use beforehand::select::Selection;

use crate::support::{self, ClinicFile, Plan, areas};

pub fn composed<R>(
    kind: PaperKind,
    plan: &Plan,
    look: impl FnOnce(&Selection<'_>, &Document) -> R,
) -> R {
    composed_at("GB-ENG", kind, plan, look)
}

pub fn composed_at<R>(
    region: &str,
    kind: PaperKind,
    plan: &Plan,
    look: impl FnOnce(&Selection<'_>, &Document) -> R,
) -> R {
    let clinic = ClinicFile::at(region).read();
    let visit = plan.read(&clinic);
    support::composed::composed(kind, &clinic, &visit, look)
}

/// All words of a paper.
pub fn told(kind: PaperKind, facts: &str, rest: &str) -> String {
    let plan = Plan {
        facts: facts.to_owned(),
        rest: rest.to_owned(),
        ..Plan::bare()
    };
    composed(kind, &plan, |_, document| words(document))
}

pub fn words(document: &Document) -> String {
    let lines = document.lines().into_iter().map(|line| line.text);
    lines.collect::<Vec<_>>().join("\n")
}

pub fn information(ids: &[&str], more: &str) -> String {
    told(PaperKind::Information, "", &areas(ids, more))
}

/// Whoever takes a blood thinner must not read a line that suggests a pain medicine beside the one that forbids it.
#[test]
fn an_instruction_that_forbids_stands_alone() {
    let plan = areas(["glabella"], "");
    let anybody = told(PaperKind::Aftercare, "", &plan);
    let thinner = "anticoagulant_or_antiplatelet = true";
    let thinned = told(PaperKind::Aftercare, thinner, &plan);
    let (suggested, forbidden) = ("is often suggested", "Do not take anything for pain");
    assert!(anybody.contains(suggested) && !anybody.contains(forbidden));
    assert!(thinned.contains(forbidden) && !thinned.contains(suggested));
}

#[test]
fn the_sheet_to_take_home_says_which_side_was_treated() {
    let one = "\n[[area]]\nid = \"depressor-labii-inferioris\"\nside = \"right\"\nreason = \"asymmetry\"\n";
    let one = told(PaperKind::Aftercare, "", one);
    assert!(one.contains("lower lip balance (your right side)"), "{one}");
    let both = told(PaperKind::Aftercare, "", &areas(["masseter"], ""));
    assert!(both.contains("Area: jaw muscle."), "{both}");
}

#[test]
fn the_risks_of_one_area_and_of_everybody_share_a_table() {
    let apart = "What can happen in every area";
    assert!(!information(&["masseter"], "").contains(apart));
    assert!(information(&["masseter", "glabella"], "").contains(apart));
}

#[test]
fn the_units_of_several_areas_are_added_up() {
    let both = information(&["glabella", "masseter"], "units = 20\n");
    assert!(both.contains("In all areas together: 40 units"), "{both}");
    let lead = "In all areas together";
    assert!(!information(&["glabella"], "units = 20\n").contains(lead));
    assert!(!information(&["glabella", "masseter"], "").contains(lead));
}

/// No serious case was confirmed at the official dose for these areas alone (C5): it says nothing of a plan with another area.
#[test]
fn what_was_confirmed_of_an_area_is_not_said_of_a_larger_plan() {
    let confirmed = "no serious case of this kind has been confirmed for frown lines";
    let not_counted = "We found no study that counted it for a plan like yours.";
    let alone = information(&["glabella"], "units = 20\n");
    assert!(alone.contains(confirmed) && !alone.contains(not_counted));
    for more in [
        information(&["glabella", "masseter"], "units = 20\n"),
        information(&["glabella"], "units = 30\n"),
    ] {
        assert!(more.contains(not_counted) && !more.contains("been confirmed"));
    }
}

#[test]
fn who_is_not_sure_is_asked_to_find_out() {
    let plan = areas(["glabella"], "");
    let unsure = told(
        PaperKind::Information,
        "heart_disease = \"not-sure\"",
        &plan,
    );
    let said = "You were not sure about this: “Do you have a disease of the heart, or have you had one?” The answer can change";
    assert!(unsure.contains(said), "{unsure}");
    let asked = told(PaperKind::CheckSheet, "heart_disease = \"not-sure\"", &plan);
    let question = "Heart disease: not sure. Do you treat with what you know now?";
    assert!(asked.contains(question), "{asked}");
}

/// Three months after the last treatment (C6, the label of onabotulinumtoxinA).
#[test]
fn a_treatment_too_soon_says_until_when_to_wait() {
    let soon = information(&["glabella"], "previous = 2026-10-20\n");
    let said = "The official advice is to wait until 20 January 2027 before the next one.";
    assert!(soon.contains(said), "{soon}");
}

/// Where nobody asked anything, whatever could forbid the treatment stands on the sheet itself.
/// A visit sooner than the official advice says so on the first side, and beside the initials.
#[test]
fn a_visit_too_soon_is_told_in_short_and_where_it_is_signed() {
    let lips = "\n[[area]]\nid = \"orbicularis-oris\"\nprevious = 2026-10-20\n";
    let chin = "\n[[area]]\nid = \"mentalis\"\n";
    let short = |rest: &str| told(PaperKind::Information, "", rest);
    let form = |rest: &str| told(PaperKind::Consent, "", rest);
    let until = "sooner than the official advice to wait until 20 January 2027.";
    assert!(short(lips).contains(&format!("This visit is {until}")));
    assert!(form(lips).contains(&format!("S{}", &until[1..])));
    let one_of_two = &format!("{lips}{chin}");
    let named = format!("For lines around the lips, this visit is {until}");
    assert!(short(one_of_two).contains(&named), "{}", short(one_of_two));
    assert_eq!(form(one_of_two).matches("ooner than").count(), 1);
    // another clinic's treatment is about all areas: said once
    let elsewhere =
        format!("{lips}{chin}\n[[history]]\ndate = 2026-10-20\nproduct = \"onabotulinumtoxinA\"\n");
    assert!(form(&elsewhere).contains(&format!("In every area, {until}")));
    assert_eq!(form(&elsewhere).matches("ooner than").count(), 1);
    // the longest wait counts
    let later = elsewhere.replacen("2026-10-20", "2026-11-05", 1);
    let all = "In every area, sooner than the official advice to wait until 5 February 2027.";
    assert!(form(&later).contains(all));
    assert_eq!(form(&later).matches("ooner than").count(), 1);
    let late = lips.replace("2026-10-20", "2026-06-20");
    assert!(!short(&late).contains(until) && !form(&late).contains("ooner than"));
}

#[test]
fn all_that_could_forbid_is_asked_on_the_sheet() {
    let plan = Plan {
        rest: areas(["glabella"], "units = 20\n"),
        ..Plan::bare()
    };
    composed(PaperKind::CheckSheet, &plan, |selection, document| {
        let open = selection.not_asked.iter();
        let forbid = open.filter(|open| open.level == Level::Stop).count();
        let asked = document.blocks.iter().find_map(|block| match block {
            Block::Check(CheckPart::Asked { rows, .. }) => Some(rows.len()),
            _ => None,
        });
        assert!(forbid > 8, "this plan could not tell: {forbid}");
        assert!(
            asked.is_some_and(|rows| rows >= forbid),
            "{asked:?} of {forbid}"
        );
    });
}

/// What the practitioner advised against is asked before anything else that can be answered.
#[test]
fn what_was_advised_against_is_asked_first() {
    let plan = Plan {
        facts: "speaks_publicly = true\nsinging = true".to_owned(),
        rest: areas(
            ["orbicularis-oris"],
            "stance = \"advise-against\"\nstance_because = \"Your voice is your work.\"\n",
        ),
        ..Plan::bare()
    };
    composed(PaperKind::CheckSheet, &plan, |selection, _| {
        let mut asks = selection.cautions.iter().filter(|c| c.level == Level::Ask);
        let first = asks.next().expect("it is asked");
        assert_eq!(first.id.to_string(), "advised-against");
        assert!(asks.count() >= 2);
    });
}

/// 320 units within three months and 104 more: the US label of onabotulinumtoxinA names 400 (C2).
#[test]
fn a_sum_above_the_label_is_told_to_the_patient() {
    let given = |units: u32| {
        let earlier = format!(
            "\n[[history]]\ndate = 2026-10-10\nproduct = \"onabotulinumtoxinA\"\nunits = {units}\nareas = [\"masseter\"]\n"
        );
        let plan = Plan {
            rest: areas(["glabella"], &format!("units = 100\n{earlier}")),
            ..Plan::bare()
        };
        let of = |kind| composed_at("US", kind, &plan, |_, document| words(document));
        [of(PaperKind::Information), of(PaperKind::Consent)]
    };
    let sum = "your plan comes to 420 units of onabotulinumtoxinA in 3 months";
    let signed = "With earlier doses, 420 units in 3 months: above the official 400.";
    let [above, form] = given(320);
    assert!(above.contains(sum), "{above}");
    assert!(form.contains(signed), "{form}");
    // in short too, with a reason that is owed, which is ticked; and nobody offers still more of it
    for said in [
        "it comes to 420 units in 3 months. The official limit is 400.",
        "Where your plan is not as the official advice says, we will tell you our reason before you sign.",
        "would add to doses that are already above the official limit",
    ] {
        assert!(above.contains(said), "{said}: {above}");
    }
    let told = "I have been told why my plan is not as the official advice says.";
    assert!(form.contains(told), "{form}");
    let alike = Plan {
        rest: areas(["glabella"], "units = 20\n"),
        ..Plan::bare()
    };
    let alike = |kind| composed_at("US", kind, &alike, |_, document| words(document));
    let (below, form) = (alike(PaperKind::Information), alike(PaperKind::Consent));
    assert!(!below.contains("our reason before you sign") && !form.contains(told));
    let [below, form] = given(20);
    assert!(!below.contains("your plan comes to") && !form.contains("With earlier doses"));
}

#[test]
fn the_weak_side_is_named_where_the_plan_names_it() {
    let lip = "\n[[area]]\nid = \"depressor-labii-inferioris\"\nside = \"right\"\nreason = \"asymmetry\"\n";
    let weak = "a weak side of the face";
    let left = told(PaperKind::Information, "facial_palsy = \"left\"", lip);
    assert!(
        left.contains(&format!("{weak} (your left side).")),
        "{left}"
    );
    let both = told(PaperKind::Information, "facial_palsy = \"both\"", lip);
    assert!(
        both.contains("You told us about your facial palsy. The plan"),
        "{both}"
    );
}

/// Without bands that stand out on effort nothing is to be expected (C16, C50): who signs must have read it.
#[test]
fn a_sign_that_was_looked_for_and_not_found_is_told() {
    let neck = areas(["platysma"], "");
    let (little, beside) = (
        "will probably do little or nothing for you.",
        "This will probably do little or nothing.",
    );
    let denied = told(PaperKind::Information, "bands_move = false", &neck);
    assert_eq!(denied.matches(little).count(), 2, "in short and in full");
    assert!(told(PaperKind::Consent, "bands_move = false", &neck).contains(beside));
    for facts in ["bands_move = true", ""] {
        assert!(!told(PaperKind::Information, facts, &neck).contains(little));
        assert!(!told(PaperKind::Consent, facts, &neck).contains(beside));
    }
}

/// In England onabotulinumtoxinA is licensed for frown lines and not for the chin (C11).
#[test]
fn what_the_product_is_not_licensed_for_stands_in_short() {
    let summary = |ids: &[&str]| {
        let told = information(ids, "");
        let end = told.find("Most serious").expect("a row of the summary");
        told[..end].to_owned()
    };
    assert!(summary(&["mentalis"]).contains("It is not licensed for this (off-label use)."));
    assert!(summary(&["glabella", "mentalis"]).contains("not licensed for chin"));
    assert!(!summary(&["glabella"]).contains("off-label"));
}

/// Whoever speaks or plays for others, where an area can weaken what they need for it.
#[test]
fn who_speaks_or_plays_for_others_is_told_to_try_at_home_first() {
    let said = "Try at home how you speak, sing or play";
    let lips = areas(["orbicularis-oris"], "");
    let forehead = areas(["forehead"], "");
    for facts in ["speaks_publicly = true", "wind_instrument = true"] {
        assert!(told(PaperKind::Aftercare, facts, &lips).contains(said));
        assert!(!told(PaperKind::Aftercare, facts, &forehead).contains(said));
    }
    assert!(!told(PaperKind::Aftercare, "", &lips).contains(said));
}

#[test]
fn a_sheet_does_not_say_that_nobody_had_anything_to_note_where_nobody_asked() {
    let sheet = |asked: &str| {
        told(
            PaperKind::CheckSheet,
            "",
            &format!("{asked}{}", areas(["platysma"], "")),
        )
    };
    let asked = "\n[asked]\non = 2026-11-20\nby = \"front desk\"\nno = [\"pregnant\"]\n";
    assert!(sheet(asked).contains("nothing else to note"));
    assert!(!sheet("").contains("nothing else to note"));
}

/// Frown lines and a gummy smile are kept up by different numbers of visits, and wait for the same day.
#[test]
fn the_day_until_which_to_wait_is_said_once_where_it_holds_for_all_areas() {
    let gum = "levator-labii-superioris-alaeque-nasi";
    let waits = |ids: &[&str]| {
        information(ids, "")
            .matches("The official advice is to wait")
            .count()
    };
    assert_eq!(waits(&["glabella", gum]), 1);
    // a course that is planned sooner is another matter
    assert_eq!(waits(&["glabella", gum, "orbicularis-oris"]), 3);
}

/// Of several areas each can be agreed to alone, so each has its price; of one it stands in what is ticked.
#[test]
fn the_form_has_the_price_of_each_of_several_areas() {
    let clinic = ClinicFile {
        rest: "[fees]\ncurrency = \"GBP\"\n[fees.area]\nglabella = 140\nmasseter = 320\n"
            .to_owned(),
        ..ClinicFile::default()
    }
    .read();
    let prices = |ids: &[&str]| {
        let visit = Plan {
            rest: areas(ids, ""),
            ..Plan::bare()
        }
        .read(&clinic);
        support::composed::composed(PaperKind::Consent, &clinic, &visit, |_, form| {
            let rows = form.blocks.iter().filter_map(|block| match block {
                Block::Recap { rows, .. } => Some(rows),
                _ => None,
            });
            let prices: Vec<String> = rows.flatten().map(|row| row.price.clone()).collect();
            (prices, words(form))
        })
    };
    let (each, form) = prices(&["glabella", "masseter"]);
    assert_eq!(each, ["£140", "£320"]);
    assert!(form.contains("its price (£460)"), "{form}");
    let (one, form) = prices(&["glabella"]);
    assert_eq!(one, [""]);
    assert!(form.contains("its price (£140)"), "{form}");
}

/// Nobody signs for a day that the treatment may spoil without having read it on the form.
#[test]
fn a_date_that_the_treatment_may_touch_is_ticked_on_the_form() {
    let event = |needs: &str| {
        let event = format!(
            "\n[[event]]\ndate = 2026-12-19\nwhat = \"live programme\"\nneeds = [{needs}]\n"
        );
        let plan = areas(["orbicularis-oris"], "") + &event;
        told(PaperKind::Consent, "", &plan)
    };
    let named = "I know what it can mean for 19 Dec 2026 (live programme).";
    let speech = event("\"speech\"");
    assert!(speech.contains(named), "{speech}");
    let eyes = event("\"eyes\"");
    assert!(!eyes.contains("live programme"), "{eyes}");
}

/// "At the official dose" told nobody whether theirs is.
#[test]
fn whoever_has_a_licensed_area_reads_whether_the_dose_is_the_official_one() {
    let of_units = |units: u32| {
        let plan = Plan {
            // the text for its own place names a dose (C12)
            product: "name = \"incobotulinumtoxinA\"".to_owned(),
            rest: format!("\n[[area]]\nid = \"glabella\"\nunits = {units}\n"),
            ..Plan::bare()
        };
        composed(PaperKind::Information, &plan, |_, paper| words(paper))
    };
    let kept = "Your dose is not above the official one.";
    assert!(of_units(20).contains(kept));
    let above = of_units(60);
    assert!(!above.contains(kept), "{above}");
    assert!(
        above.contains("That is so for the official dose. Yours is more for frown lines."),
        "{above}"
    );
}

#[test]
fn whoever_gets_milk_protein_is_asked_about_it_before_they_decide() {
    for (product, asked) in [("abobotulinumtoxinA", true), ("onabotulinumtoxinA", false)] {
        let plan = Plan {
            product: format!("name = \"{product}\""),
            rest: areas(["glabella"], ""),
            ..Plan::bare()
        };
        composed(PaperKind::Information, &plan, |_, document| {
            let said = words(document).contains("your allergies (also to cow’s milk protein)");
            assert_eq!(said, asked, "{product}");
        });
    }
}

/// Speaking, singing and playing for others ask the same of the lips.
#[test]
fn whoever_sings_tries_it_at_home_first() {
    let plan = areas(["orbicularis-oris"], "");
    for fact in ["speaks_publicly", "singing", "wind_instrument"] {
        let sheet = told(PaperKind::Aftercare, &format!("{fact} = true"), &plan);
        assert!(sheet.contains("Try at home"), "{fact}: {sheet}");
    }
    assert!(!told(PaperKind::Aftercare, "", &plan).contains("Try at home"));
}

/// Of several areas only some may touch a date: who can leave those out need not give up the day.
#[test]
fn a_date_names_the_area_that_touches_it() {
    let event = "\n[[event]]\ndate = 2026-12-19\nwhat = \"a broadcast\"\nneeds = [\"speech\"]\n";
    let mixed = format!("{}{event}", areas(["glabella", "orbicularis-oris"], ""));
    let mixed = told(PaperKind::Information, "", &mixed);
    let short = "the treatment (lines around the lips) may affect clear speech that day.";
    assert!(mixed.contains(short), "{mixed}");
    assert!(mixed.contains("or treat only the rest."), "{mixed}");
    let alone = format!("{}{event}", areas(["orbicularis-oris"], ""));
    let alone = told(PaperKind::Information, "", &alone);
    assert!(alone.contains("the treatment may affect clear speech that day."));
    assert!(!alone.contains("the rest."));
}

#[test]
fn what_is_thought_of_three_areas_is_summed_up() {
    let stances = ["advise", "neutral", "advise-against"];
    let planned = ["glabella", "forehead", "orbicularis-oris"];
    let rest: String = planned
        .iter()
        .zip(stances)
        .map(|(id, stance)| areas([*id], &format!("stance = \"{stance}\"\n")))
        .collect();
    let text = told(PaperKind::Information, "", &rest);
    let said =
        "Worth it: frown lines. As you like: forehead lines. I would not: lines around the lips.";
    assert!(text.contains(said), "{text}");
}

/// A batch that nobody knows yet is written down after the words to show: nobody reads out a gap.
#[test]
fn a_batch_that_is_not_known_is_a_line_and_no_gap_in_what_is_said() {
    let sheet = told(PaperKind::Aftercare, "", &areas(["glabella"], ""));
    assert!(
        sheet.contains("The product is onabotulinumtoxinA.”"),
        "{sheet}"
    );
    assert!(sheet.contains("Batch (lot):\u{a0}____________"), "{sheet}");
}

/// The patient reads of a bruise on the day for which the practitioner is told of it.
#[test]
fn a_bruise_that_may_show_on_a_date_is_told() {
    let on = |date: &str| {
        let event = format!(
            "\n[[event]]\ndate = {date}\nwhat = \"photographs\"\nneeds = [\"photographs\"]\n"
        );
        let plan = format!("{}{event}", areas(["glabella"], ""));
        told(PaperKind::Information, "", &plan)
    };
    let bruise = "A bruise from the visit may still show.";
    assert!(on("2026-12-09").contains(bruise));
    assert!(!on("2027-02-09").contains(bruise));
}

/// Whoever signs alone for an area reads there that an answer of their own matters for it.
#[test]
fn the_form_points_to_what_the_patient_told() {
    let plan = areas(["glabella"], "");
    let matters = "What you told us matters here: see “What matters in your case”.";
    assert!(told(PaperKind::Consent, "drooping_lid = true", &plan).contains(matters));
    assert!(!told(PaperKind::Consent, "", &plan).contains(matters));
    // of more areas once, for those it is about
    let three = areas(["glabella", "masseter", "mentalis"], "");
    let three = told(PaperKind::Consent, "drooping_lid = true", &three);
    assert!(
        three.contains("What you told us matters here (frown lines): see"),
        "{three}"
    );
}
