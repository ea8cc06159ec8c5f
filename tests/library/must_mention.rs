//! What statements must mention, as data: every statement that matters has its list in every language, the release's own words
//! meet it, and words that speak of nothing do not.
//!
//! Must not: judge what the sentences say beyond the words looked for.

use std::collections::BTreeSet;

use beforehand::catalogue::Catalogue;
use beforehand::domain::{AreaId, StatementId};
use beforehand::wording::{library, mention};

/// (language, words that speak of no risk, sign or limit of any area).
const HOLLOW: [(&str, &str); 2] = [
    (
        "en",
        "**All fine.** It can happen, and it passes by itself. Ask.",
    ),
    (
        "es",
        "**Todo bien.** Puede pasar y se arregla con el tiempo. Pregunte.",
    ),
];

/// What nobody may be left untold: risks, signs, limits, who gains little, when to call.
fn wanted() -> BTreeSet<String> {
    let catalogue = Catalogue::embedded();
    let general = catalogue.general.statement_ids().filter(|id| {
        let text = id.as_str();
        id.is_risk() || text.starts_with("redflag.") || text.starts_with("alike.")
    });
    let in_areas = catalogue.areas.iter().flat_map(|area| {
        let said = |id: &StatementId| {
            let parts = ["cannot", "call"].map(|part| StatementId::of_area(&area.id, part));
            id.is_risk() || parts.contains(id) || is_poor(&area.id, id)
        };
        area.statement_ids().filter(said).collect::<Vec<_>>()
    });
    general.chain(in_areas).map(|id| id.to_string()).collect()
}

fn is_poor(area: &AreaId, id: &StatementId) -> bool {
    *id == StatementId::poor_candidate(area, id.name())
}

#[test]
fn every_list_is_whole() {
    let known = beforehand::called_for::wording_ids(Catalogue::embedded());
    for tag in library::tags() {
        let lists = mention::of_language(tag);
        let listed: BTreeSet<String> = lists.keys().cloned().collect();
        let missing: Vec<_> = wanted().difference(&listed).cloned().collect();
        assert!(
            missing.is_empty(),
            "{tag}: nothing to mention in {missing:#?}"
        );
        for (id, groups) in lists {
            assert!(known.contains(id), "{tag}: {id} is no statement");
            assert!(!groups.is_empty(), "{tag}: {id}");
            for words in groups {
                assert!(!words.is_empty(), "{tag}: {id}");
                for word in words {
                    assert_eq!(*word, word.to_lowercase(), "{tag}: {id} never finds {word}");
                    assert!(word.trim() == word && !word.is_empty(), "{tag}: {id}");
                }
            }
        }
    }
}

#[test]
fn every_language_asks_for_as_much() {
    let english = mention::of_language("en");
    for tag in library::tags() {
        let own = mention::of_language(tag);
        for (id, groups) in english {
            let count = own.get(id).map(Vec::len);
            assert_eq!(count, Some(groups.len()), "{tag}: {id}");
        }
        assert_eq!(own.len(), english.len(), "{tag}");
    }
}

#[test]
fn the_releases_own_words_mention_everything() {
    let mut lacking = Vec::new();
    for tag in library::tags().chain(library::countries()) {
        for (id, text) in library::statements(tag).expect("the language reads") {
            for words in mention::missing(tag, &id, &text) {
                lacking.push(format!("{tag} {id}: none of {words:?} in: {text}"));
            }
        }
    }
    assert!(lacking.is_empty(), "{lacking:#?}");
}

/// Every single entry finds fault with words that speak of nothing, so none of them is met by accident.
#[test]
fn hollow_words_are_found_everywhere() {
    for tag in library::tags() {
        let hollow = HOLLOW.iter().find(|(language, _)| *language == tag);
        let (_, hollow) = hollow.unwrap_or_else(|| panic!("{tag} has no hollow words"));
        for (id, groups) in mention::of_language(tag) {
            let missing = mention::missing(tag, id, hollow);
            assert_eq!(missing.len(), groups.len(), "{tag} {id}: {missing:?}");
        }
    }
}

/// What another area says is not what this one must say.
#[test]
fn half_of_what_must_be_mentioned_is_not_enough() {
    for (tag, id, text, missing) in [
        (
            "en",
            "mentalis.risk.weak-mouth-closing",
            "**Your mouth.** Straws may be hard.",
            2,
        ),
        (
            "en",
            "general.serious.distant-spread",
            "**Weakness.** You may see double.",
            4,
        ),
        (
            "es",
            "platysma.risk.hoarse-voice",
            "**La voz.** Puede cambiar.",
            1,
        ),
        (
            "es-US",
            "masseter.risk.hollow-cheek",
            "**Mejillas.** Se ven otras.",
            1,
        ),
    ] {
        let found = mention::missing(tag, id, text);
        assert_eq!(found.len(), missing, "{tag} {id}: {found:?}");
    }
}
