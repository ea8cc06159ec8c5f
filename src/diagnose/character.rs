//! Decides which characters no text of a user may hold, and names them.
//!
//! Invariant: a character that a person can read, and the joiners that Persian, Hindi and emoji spelling needs
//! (U+200C, U+200D), are never refused; a character that hides, reorders or breaks text always is.
//!
//! Must not: judge whether a font can print the character; a later stage does that.

/// Whether `c` may not stand in any text: control characters (tabs and line breaks among them), characters that steer
/// the direction of text (Unicode bidirectional controls, UAX #9; list from memory), invisible fillers, private use,
/// noncharacters, unassigned characters, and the mark left by damaged text (U+FFFD).
pub fn is_refused(c: char) -> bool {
    match c {
        ' '..='~' => false,
        c if c.is_control() => true,
        // direction marks, embeddings, overrides, isolates, and the Arabic letter mark
        '\u{200E}'
        | '\u{200F}'
        | '\u{061C}'
        | '\u{202A}'..='\u{202E}'
        | '\u{2066}'..='\u{2069}' => true,
        // zero width space, line and paragraph separator, word joiner and invisible operators, byte order mark
        '\u{200B}' | '\u{2028}' | '\u{2029}' | '\u{2060}'..='\u{2064}' | '\u{FEFF}' => true,
        // soft hyphen, grapheme joiner, Hangul fillers, Mongolian separator, blank braille cell: they print as nothing
        '\u{AD}' | '\u{34F}' | '\u{115F}' | '\u{1160}' | '\u{180E}' | '\u{2800}' | '\u{3164}'
        | '\u{FFA0}' => true,
        // deprecated format characters, interlinear annotation, object replacement, damaged text
        '\u{206A}'..='\u{206F}' | '\u{FFF9}'..='\u{FFFD}' => true,
        // language tags: invisible, and able to carry hidden words
        '\u{E0000}'..='\u{E0FFF}' => true,
        c => is_private(c) || is_noncharacter(c) || !is_assigned(c),
    }
}

/// The character as a person can look it up, e.g. `U+202E RIGHT-TO-LEFT OVERRIDE`.
pub fn character_name(c: char) -> String {
    let code = format!("U+{:04X}", c as u32);
    let known = match c {
        '\0' => Some("NULL"),
        '\t' => Some("TAB"),
        '\n' => Some("LINE BREAK"),
        '\r' => Some("CARRIAGE RETURN"),
        '\u{1B}' => Some("ESCAPE"),
        '\u{7F}' => Some("DELETE"),
        c if c.is_control() => Some("control character"),
        c if is_private(c) => Some("private use character"),
        c if is_noncharacter(c) => Some("noncharacter"),
        _ => None,
    };
    match (known, unicode_names2::name(c)) {
        (Some(known), _) => format!("{code} {known}"),
        (None, Some(name)) => format!("{code} {name}"),
        (None, None) => format!("{code} (unassigned)"),
    }
}

fn is_private(c: char) -> bool {
    matches!(c, '\u{E000}'..='\u{F8FF}' | '\u{F0000}'..='\u{FFFFD}' | '\u{100000}'..='\u{10FFFD}')
}

fn is_noncharacter(c: char) -> bool {
    let n = c as u32;
    (0xFDD0..=0xFDEF).contains(&n) || n & 0xFFFE == 0xFFFE
}

/// The name table has no names for Tangut, whose characters are assigned all the same (blocks from memory).
fn is_assigned(c: char) -> bool {
    matches!(c, '\u{17000}'..='\u{187FF}' | '\u{18D00}'..='\u{18D1E}')
        || unicode_names2::name(c).is_some()
}

#[cfg(test)]
mod tests {
    use crate::diagnose::{character_name, is_refused};

    #[test]
    fn readable_text_of_many_scripts_is_accepted() {
        let text = "José Ñandú Ångström Łukasz Δημήτρης Юлия محمد דָּוִד देवी 王小明 김민준 ญ \u{17000} می‌خواهم 👩‍⚕️ #panic(\"x\") *b* $x$ <b> \u{A0}";
        let refused: Vec<_> = text
            .chars()
            .filter(|c| is_refused(*c))
            .map(character_name)
            .collect();
        assert!(refused.is_empty(), "{refused:?}");
    }

    #[test]
    fn what_hides_or_reorders_is_refused_and_named() {
        for (c, name) in [
            ('\u{202E}', "U+202E RIGHT-TO-LEFT OVERRIDE"),
            ('\u{2066}', "U+2066 LEFT-TO-RIGHT ISOLATE"),
            ('\u{200F}', "U+200F RIGHT-TO-LEFT MARK"),
            ('\u{FEFF}', "U+FEFF ZERO WIDTH NO-BREAK SPACE"),
            ('\u{FFFD}', "U+FFFD REPLACEMENT CHARACTER"),
            ('\0', "U+0000 NULL"),
            ('\n', "U+000A LINE BREAK"),
            ('\t', "U+0009 TAB"),
            ('\u{85}', "U+0085 control character"),
            ('\u{E000}', "U+E000 private use character"),
            ('\u{FDD0}', "U+FDD0 noncharacter"),
            ('\u{1FFFE}', "U+1FFFE noncharacter"),
            ('\u{10FFFD}', "U+10FFFD private use character"),
            ('\u{378}', "U+0378 (unassigned)"),
            ('\u{E0041}', "U+E0041 TAG LATIN CAPITAL LETTER A"),
        ] {
            assert!(is_refused(c), "{c:?}");
            assert_eq!(character_name(c), name);
        }
    }
}
