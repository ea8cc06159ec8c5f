//! Turns a wished language and the languages there are into the one that serves the reader, or none (BCP 47, RFC 4647 lookup).
//!
//! Invariant: what serves has the reader's own primary language and script; a country never decides.
//!
//! Must not: fall back to any language that was not asked for.

use unic_langid::LanguageIdentifier;

/// The first of `available` that serves a reader of `wanted`: `es` for `es-MX` and `es-419`, nothing for `pt`.
///
/// A tag that names no script is taken to mean Latin letters, on both sides: `es-Latn` finds `es`, `es-Brai` does not. A
/// language in other letters names its script in its tag and then serves only readers who name it too: rather refused than
/// wrong.
pub fn choose<'l>(
    available: impl IntoIterator<Item = &'l str>,
    wanted: &LanguageIdentifier,
) -> Option<&'l str> {
    let script = |tag: &LanguageIdentifier| {
        tag.script
            .map_or("Latn".to_owned(), |s| s.as_str().to_owned())
    };
    available.into_iter().find(|known| {
        known.parse::<LanguageIdentifier>().is_ok_and(|known| {
            known.language == wanted.language && script(&known) == script(wanted)
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chosen(wanted: &str) -> Option<&'static str> {
        choose(["en", "es"], &wanted.parse().expect("a tag"))
    }

    // RFC 4647 section 3.4 (lookup): ranges are cut from the end until one is available
    #[test]
    fn a_country_or_a_region_of_the_world_finds_its_language() {
        for wanted in [
            "es",
            "es-MX",
            "es-419",
            "es-US",
            "es-Latn-MX",
            "ES-mx",
            "es_ES",
        ] {
            assert_eq!(chosen(wanted), Some("es"), "{wanted}");
        }
        for wanted in ["en", "en-AU", "en-Latn", "en-GB-oxendict"] {
            assert_eq!(chosen(wanted), Some("en"), "{wanted}");
        }
    }

    #[test]
    fn another_language_or_script_finds_nothing() {
        for wanted in [
            "pt", "pt-BR", "ca", "gl", "eu", "und", "es-Brai", "en-Shaw", "de",
        ] {
            assert_eq!(chosen(wanted), None, "{wanted}");
        }
    }
}
