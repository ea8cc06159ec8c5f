//! Finds what a person probably meant by a word that is not known, and says so.
//!
//! Invariant: a suggestion is always one of the allowed words; a word that is not close to any gets none.
//!
//! Must not: correct anything by itself. The person decides.

use crate::diagnose::character::is_refused;

/// How many allowed words are listed when none is close.
const LISTED: usize = 12;

/// The allowed word closest to `word`, if it is close enough to be a slip of the keyboard.
///
/// Case, hyphens, spaces and underscores do not count. Close enough: at most one edit per three letters
/// (Damerau-Levenshtein), and a Jaro-Winkler likeness of at least 0.8. Thresholds: tried by hand on the words of the
/// catalogue, no source.
pub fn closest<'a>(word: &str, allowed: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = plain(word);
    // strsim is quadratic in the length: a pasted page is no slip of the keyboard
    if wanted.is_empty() || wanted.chars().count() > 64 {
        return None;
    }
    let mut best: Option<(usize, &str)> = None;
    for candidate in allowed {
        let known = plain(candidate);
        let edits = strsim::damerau_levenshtein(&wanted, &known);
        let room = (wanted.chars().count().max(known.chars().count()) / 3).max(1);
        let close =
            edits == 0 || (edits <= room && strsim::jaro_winkler(&wanted, &known) >= 0.8);
        if close && best.is_none_or(|(fewest, _)| edits < fewest) {
            best = Some((edits, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// The sentence for a word that is not known: "Did you mean `x`?", or else the allowed words (the first dozen).
pub fn hint<'a>(
    word: &str,
    allowed: impl IntoIterator<Item = &'a str> + Clone,
    kind: &str,
) -> String {
    if let Some(meant) = closest(word, allowed.clone()) {
        return format!("Did you mean `{meant}`?");
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
        assert_eq!(closest("speaks-publicly", ["speaks_publicly"]), Some("speaks_publicly"));
    }

    #[test]
    fn a_stranger_gets_the_list_but_never_more_than_a_dozen() {
        assert_eq!(
            hint("knee", ["both", "left"], "side"),
            "Use one of these: `both`, `left`."
        );
        let many: Vec<String> = (0..30).map(|n| format!("word{n:02}x")).collect();
        let text = hint("knee", many.iter().map(String::as_str), "word");
        assert!(text.contains("`word11x`, and 18 more"), "{text}");
        assert!(!text.contains("word12x"), "{text}");
    }

    #[test]
    fn repeated_words_are_short_and_printable() {
        assert_eq!(echo("a\u{202E}b`"), "a\\u{202e}b\\u{60}");
        assert_eq!(echo(&"x".repeat(500)).chars().count(), 41);
    }
}
