//! Turns a statement's words into what they fail to mention, by the list of their language.
//!
//! Invariant: the release's own words fail to mention nothing.
//!
//! Must not: judge whether a sentence that speaks of its matter says the right thing about it (a person does).

use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Statement id to lists of words; of each list one must be mentioned.
pub type Mentions = BTreeMap<String, Vec<Vec<String>>>;

/// Language tag and text of every list.
const FILES: &[(&str, &str)] = &[
    ("en", include_str!("../../locales/en/must_mention.toml")),
    ("es", include_str!("../../locales/es/must_mention.toml")),
];

fn read() -> BTreeMap<&'static str, Mentions> {
    FILES
        .iter()
        .map(|(tag, text)| {
            let mentions = toml::from_str(text)
                .expect("the embedded lists are read by the test `every_list_is_whole`");
            (*tag, mentions)
        })
        .collect()
}

/// What statements must mention in the language of a tag such as `en-GB`; nothing for a language without a list.
pub fn of_language(tag: &str) -> &'static Mentions {
    static LISTS: OnceLock<BTreeMap<&'static str, Mentions>> = OnceLock::new();
    static NOTHING: Mentions = Mentions::new();
    let base = tag.split('-').next().unwrap_or(tag);
    LISTS.get_or_init(read).get(base).unwrap_or(&NOTHING)
}

/// The lists of which a text mentions no word.
pub fn missing(tag: &str, id: &str, text: &str) -> Vec<&'static [String]> {
    let lower = text.to_lowercase();
    let lists = of_language(tag).get(id).into_iter().flatten();
    lists
        .filter(|words| !words.iter().any(|word| mentions(&lower, word)))
        .map(Vec::as_slice)
        .collect()
}

/// Whether a word, or the beginning of one, stands in a text; both in small letters.
fn mentions(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        !before.is_some_and(char::is_alphanumeric)
    })
}

#[cfg(test)]
mod tests {
    use super::mentions;

    #[test]
    fn a_word_is_found_from_its_beginning_only() {
        assert!(mentions("**drooping lid.** it hangs.", "droop"));
        assert!(mentions("sounds like {{ sounds }}.", "{{ sounds }}"));
        assert!(!mentions("it can slip away.", "lip"));
        assert!(!mentions("you may be tired.", "red"));
    }
}
