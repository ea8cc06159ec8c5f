//! Finds what a person probably meant by a word that is not known, and says so.
//!
//! Invariant: a suggestion is always one of the allowed words; a word that is not close to any gets none.
//!
//! Must not: correct anything by itself. The person decides.

use crate::diagnose::character::is_refused;

/// How many allowed words are listed when none is close.
const LISTED: usize = 16;

/// The one allowed word that `word` was probably meant to be; `None` when no word is close, or more than one is.
///
/// Case, hyphens, spaces and underscores do not count. Close: at most one edit per three letters (Damerau-Levenshtein), and
/// a Jaro-Winkler likeness of at least 0.8; a second word within one edit of the closest makes it a matter of doubt.
/// Thresholds: tried by hand on words like those of the catalogue, no source.
pub fn closest<'a>(word: &str, allowed: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    match close(word, allowed)[..] {
        [only] => Some(only),
        _ => None,
    }
}

/// All words about equally close, the closest first. Names of products differ in few letters, and the wrong one must not be
/// put forward as the only one.
fn close<'a>(word: &str, allowed: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let wanted = plain(word);
    // strsim is quadratic in the length: a pasted page is no slip of the keyboard
    if wanted.is_empty() || wanted.chars().count() > 64 {
        return Vec::new();
    }
    let mut near: Vec<(usize, &str)> = Vec::new();
    for candidate in allowed {
        let known = plain(candidate);
        let edits = strsim::damerau_levenshtein(&wanted, &known);
        let room = (wanted.chars().count().max(known.chars().count()) / 3).max(1);
        if edits == 0 || (edits <= room && strsim::jaro_winkler(&wanted, &known) >= 0.8) {
            near.push((edits, candidate));
        }
    }
    near.sort_by_key(|(edits, _)| *edits);
    let fewest = near.first().map_or(0, |(edits, _)| *edits);
    let doubt = if fewest == 0 { 0 } else { fewest + 1 };
    near.retain(|(edits, _)| *edits <= doubt);
    near.into_iter().map(|(_, candidate)| candidate).collect()
}

/// The sentence for a word that is not known: "Did you mean `x`?", or else the allowed words (no more than can be read through).
pub fn hint<'a>(
    word: &str,
    allowed: impl IntoIterator<Item = &'a str> + Clone,
    kind: &str,
) -> String {
    let near = close(word, allowed.clone());
    if !near.is_empty() {
        let near: Vec<String> = near.iter().take(3).map(|w| format!("`{w}`")).collect();
        return format!("Did you mean {}?", near.join(" or "));
    }
    let mut words: Vec<&str> = allowed.into_iter().collect();
    if words.is_empty() {
        return format!("No {kind} is known here, so leave this out.");
    }
    let more = words.len().saturating_sub(LISTED);
    words.truncate(LISTED);
    let list = words
        .iter()
        .map(|w| format!("`{w}`"))
        .collect::<Vec<_>>()
        .join(", ");
    if more > 0 {
        format!("Use one of these: {list}, and {more} more.")
    } else if words.len() == 1 {
        format!("Use {list}.")
    } else {
        format!("Use one of these: {list}.")
    }
}

/// A word of the file, safe to repeat inside a sentence: shortened, and with unprintable characters escaped.
pub fn echo(word: &str) -> String {
    let mut out = String::new();
    for (count, c) in word.chars().enumerate() {
        if count == 40 {
            out.push('…');
            break;
        }
        if is_refused(c) || c == '`' {
            out.extend(c.escape_unicode());
        } else {
            out.push(c);
        }
    }
    out
}

fn plain(word: &str) -> String {
    word.trim()
        .chars()
        .map(|c| if matches!(c, '-' | ' ') { '_' } else { c })
        .flat_map(char::to_lowercase)
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::diagnose::{closest, echo, hint};

    const WORDS: [&str; 5] = ["glabella", "masseter", "mentalis", "both", "left"];

    #[test]
    fn slips_are_recognised_and_strangers_are_not() {
        assert_eq!(closest("masetter", WORDS), Some("masseter"));
        assert_eq!(closest("Glabela", WORDS), Some("glabella"));
        assert_eq!(closest("BOTH", WORDS), Some("both"));
        assert_eq!(closest("lfet", WORDS), Some("left"));
        assert_eq!(closest("knee", WORDS), None);
        assert_eq!(closest("right", WORDS), None);
        assert_eq!(closest("", WORDS), None);
        assert_eq!(closest(&"masseter".repeat(200), WORDS), None);
        assert_eq!(
            closest("speaks-publicly", ["speaks_publicly"]),
            Some("speaks_publicly")
        );
    }

    #[test]
    fn a_stranger_gets_the_list_but_never_a_longer_one_than_can_be_read_through() {
        assert_eq!(
            hint("knee", ["both", "left"], "side"),
            "Use one of these: `both`, `left`."
        );
        let many: Vec<String> = (0..30).map(|n| format!("word{n:02}x")).collect();
        let text = hint("knee", many.iter().map(String::as_str), "word");
        assert!(text.contains("`word15x`, and 14 more"), "{text}");
        assert!(!text.contains("word16x"), "{text}");
    }

    #[test]
    fn names_that_are_easily_mixed_up_are_all_put_forward() {
        let products = [
            "onabotulinumtoxinA",
            "abobotulinumtoxinA",
            "incobotulinumtoxinA",
        ];
        assert_eq!(
            closest("onabotulinumtoxin", products),
            Some("onabotulinumtoxinA")
        );
        assert_eq!(closest("obobotulinumtoxinA", products), None);
        assert_eq!(
            hint("obobotulinumtoxinA", products, "product"),
            "Did you mean `abobotulinumtoxinA` or `onabotulinumtoxinA`?"
        );
    }

    #[test]
    fn repeated_words_are_short_and_printable() {
        assert_eq!(echo("a\u{202E}b`"), "a\\u{202e}b\\u{60}");
        assert_eq!(echo(&"x".repeat(500)).chars().count(), 41);
    }
}
