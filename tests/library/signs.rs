//! Turns every sentence that says what to do about a warning sign into the urgency it gives, in every language.
//!
//! Invariant: a sign has the urgency of its red flag, wherever it is spoken of.
//! Must not: be taken for a reading of the sentences; it looks for the words below and knows no others.

use std::collections::BTreeMap;

use beforehand::catalogue::{Catalogue, Urgency};
use beforehand::domain::StatementId;
use beforehand::paper::PaperKind;
use beforehand::select::select;
use beforehand::wording::library;

use crate::support::{ClinicFile, Plan, areas};

/// (sign of `general.toml`, words it is said with, in small letters).
type SignWords = &'static [(&'static str, &'static [&'static str])];

struct Language {
    tag: &'static str,
    signs: SignWords,
    same_day: &'static [&'static str],
    clinic: &'static [&'static str],
    /// The whole order to call the emergency number, small or with a capital, and of a thing that it is no cause for alarm.
    order: &'static str,
    expected: &'static str,
}

/// What an order to call the emergency number looks like before it is filled in, in any language.
const EMERGENCY: &str = "{{ emergency }}";

const LANGUAGES: &[Language] = &[
    Language {
        tag: "en",
        signs: &[
            ("trouble-breathing", &["breath"]),
            ("trouble-swallowing", &["swallow"]),
            (
                "slurred-speech",
                &[
                    "speech slurred",
                    "words are slurred",
                    "speech gets unclear",
                    "swallow, speak",
                ],
            ),
            ("hives", &["hives"]),
            (
                "swollen-face",
                &["swollen face", "tongue swell", "tongue may swell"],
            ),
            ("wheeze", &["wheez"]),
            (
                "faint-later",
                &[
                    "faint later",
                    "faint once you have left",
                    "faint after you have left",
                ],
            ),
            ("chest-pain", &["chest pain"]),
            ("uneven-heartbeat", &["heartbeat"]),
            ("weak-all-over", &["weak all over"]),
            ("double-vision", &["double"]),
            ("both-lids-droop", &["both eyelids"]),
            ("hoarse-voice", &["hoarse", "lost voice", "lose your voice"]),
            ("bladder", &["bladder control", "control of your bladder"]),
            (
                "face-drops-suddenly",
                &["one side of your face drops suddenly"],
            ),
            ("fast-swelling", &["grows fast", "fast swelling"]),
            ("eye-pain", &["eye pain", "eye hurts", "gritty"]),
            ("red-eye", &["red eye", "turns red", "turn red"]),
            ("eye-not-closing", &["will not close", "stays open"]),
            (
                "infection",
                &[
                    "redness that spreads",
                    "redness spreads",
                    " pus",
                    "fever",
                    "hot and sore",
                ],
            ),
            (
                "large-swelling",
                &[
                    "swelling that is large",
                    "swelling is large",
                    "where you were treated is large",
                ],
            ),
            (
                "one-lid-droops",
                &[
                    "one eyelid",
                    "or eyelid looks lower",
                    "lid droops",
                    "lid may hang",
                ],
            ),
            (
                "uneven-smile",
                &[
                    "uneven smile",
                    "smile turns uneven",
                    "smile is uneven",
                    "smile is more uneven",
                    "smile looks uneven",
                ],
            ),
            ("drooling", &["drool", "leak"]),
        ],
        same_day: &["the same day"],
        clinic: &["call us", "tell us", "ask us"],
        order: "call {{ emergency }} at once",
        expected: "that is expected",
    },
    Language {
        tag: "es",
        signs: &[
            ("trouble-breathing", &["respirar"]),
            ("trouble-swallowing", &["tragar"]),
            (
                "slurred-speech",
                &[
                    "hablar claro",
                    "habla deja de ser clara",
                    "tragar, hablar",
                    "habla clara",
                    "habla pastosa",
                    "arrastra todas las palabras",
                    "no se le entiende al hablar",
                    "se le entiende nada al hablar",
                    "se le entiende al hablar",
                ],
            ),
            ("hives", &["ronchas"]),
            (
                "swollen-face",
                &["cara o lengua hinchadas", "cara o la lengua"],
            ),
            ("wheeze", &["silbidos"]),
            (
                "faint-later",
                &[
                    "desmayo más tarde",
                    "se va a desmayar",
                    "siente que se desmaya",
                ],
            ),
            ("chest-pain", &["dolor en el pecho", "duele el pecho"]),
            ("uneven-heartbeat", &["latido"]),
            (
                "weak-all-over",
                &["debilidad en todo el cuerpo", "todo el cuerpo"],
            ),
            ("double-vision", &["doble"]),
            ("both-lids-droop", &["los dos párpados"]),
            ("hoarse-voice", &["ronca", "sin voz", "perder la voz"]),
            (
                "bladder",
                &[
                    "control de la vejiga",
                    "controlar la vejiga",
                    "no controla la vejiga",
                ],
            ),
            (
                "face-drops-suddenly",
                &["de repente se le cae un lado de la cara"],
            ),
            ("fast-swelling", &["crece rápido", "hincha rápido"]),
            (
                "eye-pain",
                &["ojo que duele", "ojo duele", "duele un ojo", "arenilla"],
            ),
            (
                "red-eye",
                &["arenilla o rojo", "se pone rojo", "se ponen rojos"],
            ),
            ("eye-not-closing", &["no cierra", "queda abierto"]),
            (
                "infection",
                &[
                    "enrojecimiento que se extiende",
                    "enrojecimiento se extiende",
                    " pus",
                    "fiebre",
                    "caliente y duele",
                ],
            ),
            ("large-swelling", &["muy hinchada", "hinchazón grande"]),
            (
                "one-lid-droops",
                &[
                    "un párpado o una ceja que cae",
                    "ve un párpado o una ceja más bajos",
                    "un párpado se cae",
                    "un párpado puede caer",
                    "cae un párpado",
                ],
            ),
            (
                "uneven-smile",
                &[
                    "sonrisa desigual",
                    "sonrisa se vuelve desigual",
                    "sonrisa es desigual",
                    "sonrisa es más desigual",
                    "sonrisa se ve más desigual",
                    "sonrisa se ve desigual",
                ],
            ),
            (
                "drooling",
                &["babeo", "la baba", "se le escapa", "puede escaparse"],
            ),
        ],
        same_day: &["el mismo día"],
        clinic: &["llámenos", "díganos", "díganoslo", "avise", "pregúntenos"],
        order: "llame al {{ emergency }} de inmediato",
        expected: "es lo esperado",
    },
];

fn language(tag: &str) -> &'static Language {
    LANGUAGES
        .iter()
        .find(|language| language.tag == tag)
        .unwrap_or_else(|| panic!("{tag} has no words for the signs"))
}

/// Each sign of the catalogue with the urgency of its red flag.
fn urgencies() -> BTreeMap<String, Urgency> {
    Catalogue::embedded()
        .general
        .red_flag
        .iter()
        .flat_map(|flag| flag.signs.iter().map(|sign| (sign.clone(), flag.urgency)))
        .collect()
}

fn holds(text: &str, words: &[&str]) -> bool {
    words.iter().any(|word| text.contains(word))
}

fn signs_in(language: &Language, sentence: &str) -> Vec<&'static str> {
    language
        .signs
        .iter()
        .filter(|(_, words)| holds(sentence, words))
        .map(|(sign, _)| *sign)
        .collect()
}

fn actions_in(language: &Language, sentence: &str) -> Vec<Urgency> {
    let said = [
        (Urgency::Emergency, sentence.contains(EMERGENCY)),
        (Urgency::SameDay, holds(sentence, language.same_day)),
        (Urgency::CallClinic, holds(sentence, language.clinic)),
    ];
    said.into_iter()
        .filter_map(|(urgency, here)| here.then_some(urgency))
        .collect()
}

/// Signs to which a text gives another urgency than their red flag. An order belongs to the signs of its own sentence, or, where
/// that names none, to those of the sentences before it since the last order.
fn other_answers(language: &Language, text: &str) -> Vec<String> {
    let urgencies = urgencies();
    let lower = text.to_lowercase();
    let mut open: Vec<&str> = Vec::new();
    let mut found = Vec::new();
    for sentence in lower.split_inclusive(['.', '?']) {
        let here = signs_in(language, sentence);
        let actions = actions_in(language, sentence);
        if actions.is_empty() {
            open.extend(here);
            continue;
        }
        let meant = if here.is_empty() {
            std::mem::take(&mut open)
        } else {
            open.clear();
            here
        };
        for sign in meant {
            for action in &actions {
                if urgencies.get(sign) != Some(action) {
                    found.push(format!("{sign}: {action:?} in `{}`", sentence.trim()));
                }
            }
        }
    }
    found
}

#[test]
fn every_sign_has_one_urgency_in_every_language() {
    let mut wrong = Vec::new();
    for tag in library::tags().chain(library::countries()) {
        let language = language(tag.split('-').next().expect("a tag"));
        for (id, text) in library::statements(tag).expect("the language reads") {
            for other in other_answers(language, &text) {
                wrong.push(format!("{tag} {id}: {other}"));
            }
        }
    }
    assert!(wrong.is_empty(), "signs with two answers: {wrong:#?}");
}

/// Without this a sign could be renamed, or its words change, and the test above would look for nothing.
#[test]
fn every_sign_is_found_in_its_own_red_flag() {
    let catalogue = Catalogue::embedded();
    for tag in library::tags() {
        let language = language(tag);
        let statements = library::statements(tag).expect("the language reads");
        for flag in &catalogue.general.red_flag {
            let text = statements[&format!("redflag.{}", flag.id)].to_lowercase();
            let found = signs_in(language, &text);
            for sign in &flag.signs {
                assert!(
                    found.contains(&sign.as_str()),
                    "{tag}: redflag.{} does not say {sign}: {text}",
                    flag.id
                );
            }
            for sign in found {
                assert!(
                    flag.signs.iter().any(|own| own == sign),
                    "{tag}: redflag.{} says {sign}, which is not its sign: {text}",
                    flag.id
                );
            }
        }
        let known = urgencies();
        assert_eq!(language.signs.len(), known.len(), "{tag}");
        for (sign, _) in language.signs {
            assert!(
                known.contains_key(*sign),
                "{tag}: {sign} is no sign of the catalogue"
            );
        }
    }
}

/// What can be early botulism is an emergency: the signs of CDCHAN-00507 (C130) and of the US label (C2), both published.
#[test]
fn early_signs_of_botulism_are_an_emergency() {
    let urgencies = urgencies();
    for sign in [
        "double-vision",
        "both-lids-droop",
        "slurred-speech",
        "trouble-swallowing",
        "trouble-breathing",
        "weak-all-over",
        "hoarse-voice",
        "bladder",
    ] {
        assert_eq!(urgencies.get(sign), Some(&Urgency::Emergency), "{sign}");
    }
}

/// The emergency number in words other than the one order, which would make one emergency sound smaller than another.
fn other_orders(language: &Language, text: &str) -> usize {
    let lower = text.to_lowercase();
    lower.matches(EMERGENCY).count() - lower.matches(language.order).count()
}

#[test]
fn the_emergency_number_is_always_given_in_the_same_words() {
    for tag in library::tags().chain(library::countries()) {
        let language = language(tag.split('-').next().expect("a tag"));
        for (id, text) in library::statements(tag).expect("the language reads") {
            assert_eq!(other_orders(language, &text), 0, "{tag} {id}: {text}");
        }
    }
    assert_eq!(
        other_orders(language("en"), "Perhaps call {{ emergency }}."),
        1
    );
}

/// What is wrong with a statement that sets an expected effect beside an emergency; nothing, where it does that.
fn not_side_by_side(language: &Language, sign: &str, text: &str) -> Option<String> {
    let lower = text.to_lowercase();
    let end = format!(",** {}. ", language.expected);
    let parts = lower
        .strip_prefix("**")
        .and_then(|rest| rest.split_once(&end));
    let Some((mild, grave)) = parts else {
        return Some(format!("does not begin with what is {}", language.expected));
    };
    if !actions_in(language, mild).is_empty() || !signs_in(language, mild).is_empty() {
        return Some(format!("`{mild}` names a sign or an order"));
    }
    if !signs_in(language, grave).contains(&sign) {
        return Some(format!("`{grave}` does not name {sign}"));
    }
    (!grave.contains(language.order)).then(|| format!("`{grave}` gives no order"))
}

/// What is expected and the emergency it resembles stand in one statement, so that no page can part them.
#[test]
fn an_expected_effect_stands_beside_the_emergency_it_resembles() {
    let catalogue = Catalogue::embedded();
    for tag in library::tags() {
        let language = language(tag);
        let statements = library::statements(tag).expect("the language reads");
        for alike in &catalogue.general.alike {
            let text = &statements[&format!("alike.{}", alike.id)];
            assert_eq!(
                not_side_by_side(language, &alike.sign, text),
                None,
                "{tag} {}",
                alike.id
            );
        }
    }
    let english = language("en");
    for text in [
        "If only some sounds are unclear, that is expected. All your words are slurred: call {{ emergency }} at once.",
        "**If only some sounds are unclear,** that is fine. All your words are slurred: call {{ emergency }} at once.",
        "**If all your words are slurred,** that is expected. All your words are slurred: call {{ emergency }} at once.",
        "**If only some sounds are unclear,** that is expected. You see double: call {{ emergency }} at once.",
        "**If only some sounds are unclear,** that is expected. All your words are slurred: call us.",
    ] {
        assert!(
            not_side_by_side(english, "slurred-speech", text).is_some(),
            "{text}"
        );
    }
}

/// Which signs are likely to be taken for what is expected after which area was decided beside the areas' own effects.
#[test]
fn each_area_brings_the_emergencies_it_resembles() {
    for (area, wanted) in [
        ("orbicularis-oris", vec!["speech", "smile"]),
        ("mentalis", vec!["speech", "smile"]),
        ("depressor-anguli-oris", vec!["speech", "smile"]),
        ("glabella", vec!["lids"]),
        ("forehead", vec!["lids"]),
        ("lateral-canthus", vec!["lids", "smile"]),
        ("masseter", vec!["smile", "bite"]),
        ("platysma", vec!["smile", "neck"]),
        ("nasalis", vec!["smile"]),
    ] {
        let clinic = ClinicFile::default().read();
        let plan = Plan {
            rest: areas([area], ""),
            ..Plan::bare()
        };
        let visit = plan.read(&clinic);
        let selection = select(Catalogue::embedded(), &clinic, &visit).expect("a selection");
        let said: Vec<&str> = selection.alikes().iter().map(|a| a.id.as_str()).collect();
        assert_eq!(said, wanted, "{area}");
        let required = selection.required(PaperKind::Aftercare);
        for id in wanted {
            assert!(required.contains(&StatementId::alike(id)), "{area}: {id}");
        }
    }
}

#[test]
fn two_answers_are_found() {
    let english = language("en");
    let spanish = language("es");
    for (language, text) in [
        (english, "If you are hoarse, see a doctor the same day."),
        (english, "You may see double. Do not drive. Call us."),
        (
            english,
            "An eye that will not close? Call {{ emergency }} at once.",
        ),
        (
            english,
            "Call us if your neck is weak. A swelling that grows fast: see a doctor the same day.",
        ),
        (spanish, "Si tiene la voz ronca, llámenos."),
        (
            spanish,
            "Puede verlo todo doble. Pida atención médica el mismo día.",
        ),
    ] {
        assert_eq!(other_answers(language, text).len(), 1, "{text}");
    }
    for (language, text) in [
        (
            english,
            "If you are hoarse, call {{ emergency }} at once. Call us if drink leaks.",
        ),
        (
            english,
            "You may see double. Do not drive. Call {{ emergency }} at once.",
        ),
        (
            spanish,
            "Si un ojo duele, pida atención médica el mismo día.",
        ),
    ] {
        assert_eq!(
            other_answers(language, text),
            Vec::<String>::new(),
            "{text}"
        );
    }
}
