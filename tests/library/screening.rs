//! What a patient says about health, medicines and age, with product, areas and place, into the cautions that must be raised.
//! Expected answers were decided from the texts named beside each case before the program was asked.
//!
//! Must not: lay out pages; doses, dates and diaries are in `reasoning.rs`.

use beforehand::catalogue::{Catalogue, Level, Rule};
use beforehand::diagnose::{Format, SourceFile};
use beforehand::domain::{CautionId, StatementId, Trigger};
use beforehand::papers;
use beforehand::plan;
use beforehand::select::select;
use beforehand::wording::library;

use crate::support::{ClinicFile, Plan, areas};

use Level::{Ask, Note, Stop};

const ABO: &str = "abobotulinumtoxinA";
const INCO: &str = "incobotulinumtoxinA";
const LETI: &str = "letibotulinumtoxinA";
const ONA: &str = "onabotulinumtoxinA";

/// Cautions of a visit on 3 December 2026. An area with two sides is planned on both.
fn raised(
    region: &str,
    product: &str,
    born: &str,
    facts: &[&str],
    areas: &[&str],
) -> Vec<(String, Level)> {
    let catalogue = Catalogue::embedded();
    let vocabulary = papers::vocabulary(catalogue);
    let clinic = format!(
        "[clinic]\nname = \"Invented\"\naddress = [\"Nowhere\"]\nphone = \"555 0101\"\nphone_out_of_hours = \"555 0102\"\n\
         region = \"{region}\"\nlanguage = \"en\"\ntime_zone = \"Europe/London\"\n\
         [[practitioner]]\nid = \"p\"\nname = \"P (invented)\"\nrole = \"doctor\"\nregistration = \"0\"\n"
    );
    let clinic =
        SourceFile::from_bytes("clinic.toml", clinic.as_bytes(), Format::Toml).expect("text");
    let clinic = plan::read_clinic(&clinic, &vocabulary).expect("a good clinic");
    let facts: String = facts.iter().map(|f| format!("{f} = true\n")).collect();
    let planned: String = areas
        .iter()
        .map(|id| {
            let both = catalogue.area(id).expect("a known area").sides.len() > 1;
            let side = if both { "side = \"both\"\n" } else { "" };
            format!("[[area]]\nid = \"{id}\"\n{side}")
        })
        .collect();
    let text = format!(
        "[patient]\nname = \"X (invented)\"\nborn = {born}\nrecord = \"1\"\n{facts}[visit]\npractitioner = \"p\"\n\
         date = 2026-12-03\ninformed_on = 2026-11-01\n[product]\nname = \"{product}\"\n{planned}"
    );
    let source = SourceFile::from_bytes("plan.toml", text.as_bytes(), Format::Toml).expect("text");
    let visit = plan::read_plan(&source, &vocabulary, Some(&clinic))
        .unwrap_or_else(|found| panic!("{found:#?}\n{text}"));
    let selection = select(catalogue, &clinic, &visit).expect("a selection");
    let cautions = selection.cautions.iter();
    cautions.map(|c| (c.id.to_string(), c.level)).collect()
}

/// Whoever is sent away hears why: each rule and trigger that can stop has its sentence for the patient, in every language.
#[test]
fn everything_that_can_stop_says_why_to_the_patient() {
    let catalogue = Catalogue::embedded();
    let stops = |rule: &&Rule| {
        let strict = rule
            .authority
            .iter()
            .any(|authority| authority.level == Stop);
        rule.level == Stop || strict
    };
    let rules = catalogue.rules.iter().filter(stops);
    let triggers = Trigger::ALL
        .into_iter()
        .filter(|trigger| trigger.may_stop());
    let ids: Vec<String> = rules
        .map(|rule| StatementId::because(&rule.id).to_string())
        .chain(triggers.map(|trigger| StatementId::because_of(&trigger.into()).to_string()))
        .collect();
    assert!(ids.len() > 15, "{ids:?}");
    for tag in library::tags() {
        let words = library::statements(tag).expect("the language reads");
        for id in &ids {
            assert!(words.contains_key(id), "{tag}: {id} is not worded");
        }
    }
    // the checker of the catalogue looks for it too
    let silent = crate::support::catalogue::with("rules.toml", |text| {
        text.replacen(
            "level = \"stop\"\ntells-patient = true",
            "level = \"stop\"",
            1,
        )
    });
    let found = silent.expect_err("a stop without a word");
    assert!(
        found[0].contains("says nothing to the patient"),
        "{found:?}"
    );
}

/// A trigger that stops although `may_stop` denies it would have no sentence to say.
#[test]
fn only_triggers_that_may_stop_do() {
    for (region, born, informed) in [
        ("SE", "1990-05-05", "informed_on = 2026-12-02"),
        ("SE", "1990-05-05", ""),
        ("GB-ENG", "2010-05-05", "informed_on = 2026-11-01"),
        ("DK", "2010-05-05", "informed_on = 2026-12-03"),
    ] {
        let clinic = ClinicFile::at(region).read();
        let visit = Plan {
            born: born.to_owned(),
            visit: informed.to_owned(),
            rest: areas(["glabella"], ""),
            ..Plan::bare()
        }
        .read(&clinic);
        let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
        let stops: Vec<&CautionId> = selection.stops().map(|caution| &caution.id).collect();
        assert!(!stops.is_empty(), "{region} {born} {informed}");
        for id in stops {
            let worded = match id {
                CautionId::Trigger(trigger) => trigger.may_stop(),
                CautionId::Rule(_) => true,
            };
            assert!(worded, "{region}: {id} stops and has nothing to say");
        }
    }
}

struct Case {
    region: &'static str,
    product: &'static str,
    facts: &'static [&'static str],
    areas: &'static [&'static str],
    must: &'static [(&'static str, Level)],
    must_not: &'static [&'static str],
}

const fn case(
    region: &'static str,
    product: &'static str,
    facts: &'static [&'static str],
    areas: &'static [&'static str],
    must: &'static [(&'static str, Level)],
    must_not: &'static [&'static str],
) -> Case {
    Case {
        region,
        product,
        facts,
        areas,
        must,
        must_not,
    }
}

const GLABELLA: &[&str] = &["glabella"];
const GUM: &str = "levator-labii-superioris-alaeque-nasi";

const CASES: &[Case] = &[
    // another disease of nerves or muscles: forbidden where the text says "generalised disorders" (C12, C121), asked elsewhere (C7)
    case(
        "US",
        INCO,
        &["other_nerve_or_muscle_disease"],
        GLABELLA,
        &[("other-neuromuscular-label", Stop)],
        &["other-neuromuscular"],
    ),
    case(
        "GB-ENG",
        LETI,
        &["other_nerve_or_muscle_disease"],
        GLABELLA,
        &[("other-neuromuscular-label", Stop)],
        &["other-neuromuscular"],
    ),
    case(
        "US",
        ONA,
        &["other_nerve_or_muscle_disease"],
        GLABELLA,
        &[("other-neuromuscular", Ask)],
        &["other-neuromuscular-label"],
    ),
    // named by no text: asked (memory)
    case(
        "US",
        LETI,
        &["past_botulism_or_guillain_barre"],
        GLABELLA,
        &[("past-botulism", Ask)],
        &["other-neuromuscular-label"],
    ),
    // abo and swallowing: the text names dysphagia and aspiration (C11, C124); near the mouth, and at the neck (C51), trouble swallowing is enough
    case(
        "GB-ENG",
        ABO,
        &["swallowing_difficulty"],
        GLABELLA,
        &[("swallowing", Ask)],
        &["swallowing-neck", "aspiration-abo"],
    ),
    case(
        "GB-ENG",
        ABO,
        &["swallowing_difficulty", "aspiration"],
        GLABELLA,
        &[("aspiration-abo", Stop)],
        &["swallowing-neck"],
    ),
    case(
        "GB-ENG",
        ABO,
        &["swallowing_difficulty"],
        &["mentalis"],
        &[("swallowing-abo", Stop)],
        &["swallowing"],
    ),
    // food in the airway alone, at the neck (C5 names it among those most at risk; practice)
    case(
        "GB-ENG",
        ONA,
        &["aspiration"],
        &["platysma"],
        &[("aspiration-neck", Stop)],
        &["aspiration"],
    ),
    // a bleeding disorder at the jaw and the neck: each has its own reason
    case(
        "GB-ENG",
        ONA,
        &["bleeding_disorder"],
        &["masseter", "platysma"],
        &[("bleeding-masseter", Ask), ("bleeding-neck", Ask)],
        &["bleeding"],
    ),
    // adding a deep area leaves the others their own question
    case(
        "GB-ENG",
        ONA,
        &["bleeding_disorder"],
        &["glabella", "masseter"],
        &[("bleeding", Ask), ("bleeding-masseter", Ask)],
        &["bleeding-neck"],
    ),
    // lips that do not meet, where a gummy smile can weaken their seal
    case(
        "GB-ENG",
        ONA,
        &["lips_apart_at_rest"],
        &["levator-labii-superioris-alaeque-nasi"],
        &[("lips-apart", Ask)],
        &[],
    ),
    // an effect that lasts long, where it could cost swallowing
    case(
        "US",
        "daxibotulinumtoxinA",
        &[],
        &["platysma"],
        &[("long-lasting-function", Ask)],
        &["long-lasting"],
    ),
    case(
        "US",
        "daxibotulinumtoxinA",
        &[],
        &["forehead"],
        &[("long-lasting", Note)],
        &["long-lasting-function"],
    ),
    case(
        "GB-ENG",
        ONA,
        &["swallowing_difficulty"],
        &["mentalis"],
        &[("swallowing", Ask)],
        &["swallowing-neck"],
    ),
    case(
        "GB-ENG",
        ONA,
        &["swallowing_difficulty"],
        &["platysma"],
        &[("swallowing-neck", Stop)],
        &["swallowing"],
    ),
    case(
        "GB-ENG",
        ONA,
        &["aspiration"],
        GLABELLA,
        &[("aspiration", Ask)],
        &["aspiration-abo"],
    ),
    // a blood thinner is asked about where the needle goes deep, noted elsewhere (memory, C58, C80)
    case(
        "GB-ENG",
        ONA,
        &["anticoagulant_or_antiplatelet"],
        GLABELLA,
        &[("blood-thinner", Note)],
        &["blood-thinner-deep"],
    ),
    case(
        "GB-ENG",
        ONA,
        &["anticoagulant_or_antiplatelet"],
        &["glabella", "masseter"],
        &[("blood-thinner-deep", Ask), ("blood-thinner", Note)],
        &[],
    ),
    case(
        "GB-ENG",
        ONA,
        &["anticoagulant_or_antiplatelet"],
        &["platysma"],
        &[("blood-thinner-deep", Ask)],
        &["blood-thinner"],
    ),
    // interactions (C7, second-hand)
    case(
        "GB-ENG",
        ONA,
        &["anticholinergics"],
        GLABELLA,
        &[("anticholinergics", Ask)],
        &["muscle-blocking-medicine"],
    ),
    case(
        "GB-ENG",
        ONA,
        &["operation_planned"],
        GLABELLA,
        &[("operation-planned", Ask)],
        &[],
    ),
    // doses add up (C7, C8); loss of effect and antibodies (C91, C11)
    case(
        "GB-ENG",
        ONA,
        &["toxin_for_an_illness", "earlier_loss_of_effect"],
        GLABELLA,
        &[
            ("toxin-for-an-illness", Ask),
            ("earlier-loss-of-effect", Ask),
        ],
        &[],
    ),
    // the forehead alone, with any product
    case(
        "GB-ENG",
        INCO,
        &[],
        &["forehead"],
        &[("forehead-alone", Ask)],
        &[],
    ),
    case(
        "GB-ENG",
        INCO,
        &[],
        &["forehead", "glabella"],
        &[],
        &["forehead-alone"],
    ),
    // areas that share lips or speech, or at the mouth the smile; away from the mouth a shared smile is a note
    case(
        "GB-ENG",
        ONA,
        &[],
        &[GUM, "orbicularis-oris"],
        &[("mouth-together", Ask)],
        &[],
    ),
    case(
        "GB-ENG",
        ONA,
        &[],
        &[GUM, "depressor-septi-nasi"],
        &[("mouth-together", Ask)],
        &[],
    ),
    case(
        "GB-ENG",
        ONA,
        &[],
        &["depressor-anguli-oris", "platysma"],
        &[("mouth-together", Ask)],
        &[],
    ),
    case(
        "GB-ENG",
        ONA,
        &[],
        &["mentalis"],
        &[],
        &["mouth-together", "smile-together"],
    ),
    case(
        "GB-ENG",
        ONA,
        &[],
        &["masseter", "depressor-anguli-oris"],
        &[("mouth-together", Ask)],
        &["smile-together"],
    ),
    case(
        "GB-ENG",
        ONA,
        &[],
        &["lateral-canthus", "orbicularis-oris"],
        &[("smile-together", Note)],
        &["mouth-together"],
    ),
    case(
        "GB-ENG",
        ONA,
        &[],
        &["glabella", "forehead"],
        &[],
        &["mouth-together", "smile-together"],
    ),
    case(
        "GB-ENG",
        ONA,
        &[],
        &["glabella", "nasalis", "masseter"],
        &[("smile-together", Note)],
        &["mouth-together"],
    ),
    case(
        "GB-ENG",
        ONA,
        &["lips_apart_at_rest"],
        &["depressor-anguli-oris"],
        &[("lips-apart", Ask)],
        &[],
    ),
    // before a jaw treatment (memory)
    case(
        "GB-ENG",
        ONA,
        &["jaw_joint_pain", "dentures", "osteoporosis"],
        &["masseter"],
        &[
            ("jaw-joint-pain", Ask),
            ("dentures", Ask),
            ("osteoporosis", Ask),
        ],
        &[],
    ),
    case(
        "GB-ENG",
        ONA,
        &["jaw_joint_pain", "dentures", "osteoporosis"],
        GLABELLA,
        &[],
        &["jaw-joint-pain", "dentures", "osteoporosis"],
    ),
    // UK and EU texts ask whether the lines matter to the patient (C11, C12, C121, C122, C126); those of the US do not
    case(
        "GB-WLS",
        ONA,
        &[],
        GLABELLA,
        &[("psychological-impact", Note)],
        &[],
    ),
    case(
        "DE",
        ONA,
        &[],
        GLABELLA,
        &[("psychological-impact", Note)],
        &[],
    ),
    case("US", ONA, &[], GLABELLA, &[], &["psychological-impact"]),
];

#[test]
fn each_answer_raises_what_the_texts_say() {
    let mut wrong = Vec::new();
    for case in CASES {
        let at = format!(
            "{} {} {:?} {:?}",
            case.region, case.product, case.facts, case.areas
        );
        let found = raised(
            case.region,
            case.product,
            "1980-01-01",
            case.facts,
            case.areas,
        );
        for (id, level) in case.must {
            if !found.contains(&((*id).to_owned(), *level)) {
                wrong.push(format!("{at}: {id} ({level:?}) is not raised: {found:?}"));
            }
        }
        for id in case.must_not {
            if found.iter().any(|(raised, _)| raised == id) {
                wrong.push(format!("{at}: {id} is raised and should not be"));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Adults under 65: abo (C11, C124), inco (C12), prabo (C126), rela (C122). leti: under 75, forbidden from 75 (C121). ona: adults.
#[test]
fn upper_ages_of_labels() {
    let level = |product: &str, born: &str, id: &str| {
        let found = raised("GB-ENG", product, born, &[], GLABELLA);
        found
            .into_iter()
            .find(|(raised, _)| raised == id)
            .map(|f| f.1)
    };
    // the day before and the day of the 65th and the 75th birthday
    let (under_65, at_65, under_75, at_75) =
        ("1961-12-04", "1961-12-03", "1951-12-04", "1951-12-03");
    for product in [ABO, INCO, "prabotulinumtoxinA", "relabotulinumtoxinA"] {
        assert_eq!(level(product, under_65, "label-age-65"), None, "{product}");
        assert_eq!(
            level(product, at_65, "label-age-65"),
            Some(Ask),
            "{product}"
        );
    }
    for product in [ONA, LETI] {
        assert_eq!(level(product, at_65, "label-age-65"), None, "{product}");
    }
    assert_eq!(level(LETI, under_75, "label-age-75"), None);
    assert_eq!(level(LETI, at_75, "label-age-75"), Some(Stop));
}

/// UK texts (C11, C12, C121, C122, C124) and EU texts (C122, C125, C126, C127) ask for it; those of the US, and places whose texts were
/// not read, do not.
#[test]
fn whether_the_lines_matter_is_asked_wherever_the_texts_ask() {
    for region in &Catalogue::embedded().regions {
        let found = raised(region.id.as_str(), ONA, "1980-01-01", &[], GLABELLA);
        let asked = found.iter().any(|(id, _)| id == "psychological-impact");
        let texts = ["UK", "EU"]
            .map(Some)
            .contains(&region.licence_place.as_deref());
        assert_eq!(asked, texts, "{}", region.id);
    }
}

/// Wales and Northern Ireland: no law of their own was read, so the labels' age is asked about; Scotland: an Act not seen in force (C132).
#[test]
fn under_eighteen_in_the_nations_of_the_uk() {
    let found = |region: &str| raised(region, ONA, "2009-01-01", &[], GLABELLA);
    for region in ["GB-WLS", "GB-NIR"] {
        assert!(
            found(region).contains(&("label-age-18".to_owned(), Ask)),
            "{region}"
        );
    }
    assert!(found("GB-SCT").contains(&("age-under-minimum".to_owned(), Ask)));
    assert!(found("GB-ENG").contains(&("age-under-minimum".to_owned(), Stop)));
}
