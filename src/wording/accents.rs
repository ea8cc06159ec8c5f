//! Turns words into the same words with each accent behind its letter.
//! Invariant: Unicode Normalization Form D; nothing is left out.
//! Must not: decide what becomes of an accent.

use icu::normalizer::DecomposingNormalizerBorrowed;

/// A word with each accent behind its letter instead of on it.
pub fn parted(word: &str) -> String {
    let normalizer = DecomposingNormalizerBorrowed::new_nfd();
    normalizer.normalize(word).into_owned()
}

#[cfg(test)]
mod tests {
    use super::parted;

    #[test]
    fn an_accent_is_parted_from_its_letter() {
        let plain: String = parted("Lucía Núñez")
            .chars()
            .filter(char::is_ascii)
            .collect();
        assert_eq!(plain, "Lucia Nunez");
    }
}
