//! Reads `[[translation]]` of a clinic file: how a role, the opening hours or the clinic's own experience is said in another language.
//!
//! Invariant: each translates words that stand in the file, and no words have two translations into one language.
//!
//! Must not: judge how well something is translated, or choose the language of a paper.

use crate::diagnose::{Code, closest};
use crate::plan::Translation;
use crate::plan::keys::{self, TRANSLATION};
use crate::plan::reader::{Found, Reader, TEXT_MAX};
use crate::plan::tree::Table;

/// What is said in other languages of `words`, which are all that the file holds to be translated.
pub(in crate::plan) fn read_translations(
    reader: &mut Reader,
    root: &Table,
    words: &[String],
) -> Vec<Translation> {
    let mut all: Vec<(Translation, Found<String>)> = Vec::new();
    for section in &keys::several(reader, root, &TRANSLATION) {
        let text = reader
            .required(section, "text", "\"…\"")
            .and_then(|field| reader.free_text(&field, TEXT_MAX));
        let language = reader
            .required(section, "language", "\"es\"")
            .and_then(|field| reader.language(&field));
        let says = reader
            .required(section, "says", "\"…\"")
            .and_then(|field| reader.free_text(&field, TEXT_MAX));
        let (Some(text), Some(language), Some(says)) = (text, language, says) else {
            continue;
        };
        if !words.contains(&text.value) {
            let remedy = closest(&text.value, words.iter().map(String::as_str)).map_or_else(
                || {
                    "Copy the words from `role`, `opening_hours` or `[experience]` of this file."
                        .to_owned()
                },
                |meant| format!("Did you mean “{meant}”?"),
            );
            let says = "Nothing in this file says this, so nothing would be translated.";
            reader.report(
                Code::TranslationOfNothing,
                text.span,
                &text.path,
                says,
                remedy,
            );
            continue;
        }
        let translation = Translation {
            text: text.value.clone(),
            language: language.language.as_str().to_owned(),
            says: says.value,
        };
        let same = |(other, _): &&(Translation, Found<String>)| {
            other.text == translation.text && other.language == translation.language
        };
        match all.iter().find(same) {
            Some((_, first)) => {
                reader.report_second(
                    Code::TranslationTwice,
                    &text,
                    (first.span.clone(), "translated here first"),
                    "These words are translated twice into one language.",
                    "Keep the one that your papers should print.",
                );
            }
            None => all.push((translation, text)),
        }
    }
    all.into_iter()
        .map(|(translation, _)| translation)
        .collect()
}
