//! Turns one written token ("25", "9:30", "5mm", "NHS", "off-label") into the syllables a reader would speak.
//!
//! Invariant: numerals and abbreviations count as spoken, which is a counting rule of SMOG (S09 of the document standards,
//! published); a token with a letter or a digit has at least one syllable. How a clock time or a year is spoken is our own
//! choice (no source).
//!
//! Must not: know how a word of a language is spoken: that is in its [`Rules`].

use super::language::Rules;
use crate::lint::split::Use;

/// Whether a numeral stands before the token, and whether a reader would spell capitals out.
#[derive(Debug, Clone, Copy, Default)]
pub struct Around {
    pub after_numeral: bool,
    pub before_numeral: bool,
    /// "am", "h" or the like follows: "9:00 am" is "nine ay em", not "nine o'clock ay em".
    pub before_hours: bool,
    /// Words beside it are in capitals too: it is shouted, not an abbreviation.
    pub shouted: bool,
}

/// Syllables of one token, without the punctuation at its edges.
pub fn syllables(rules: &Rules, token: &str, around: Around) -> usize {
    say(rules, token, around)
        .iter()
        .map(|word| (rules.syllables)(word))
        .sum::<usize>()
        .max(1)
}

/// The token as small words.
fn say(rules: &Rules, token: &str, around: Around) -> Vec<String> {
    if let Some(spoken) = abbreviation(rules, token, around) {
        return words(spoken);
    }
    let mut out = Vec::new();
    let parts = segments(token);
    for (at, part) in parts.iter().enumerate() {
        match part {
            Part::Digits(digits) => {
                // "30th", "1.º"
                let mut behind = parts[at + 1..]
                    .iter()
                    .filter(|p| !matches!(p, Part::Sign('.')));
                let tail = match behind.next() {
                    Some(Part::Letters(letters)) => letters.to_lowercase(),
                    Some(Part::Sign(sign)) => sign.to_string(),
                    _ => String::new(),
                };
                out.extend(numeral(rules, digits, &tail, around));
            }
            Part::Letters(letters) => {
                let behind_digits = at > 0 && matches!(parts[at - 1], Part::Digits(_));
                if behind_digits && rules.ordinals.contains(&letters.to_lowercase().as_str()) {
                    continue;
                }
                let around = Around {
                    after_numeral: behind_digits,
                    shouted: around.shouted,
                    ..Around::default()
                };
                match abbreviation(rules, letters, around) {
                    Some(spoken) => out.extend(words(spoken)),
                    None => out.extend(letters_spoken(rules, letters, around.shouted)),
                }
            }
            Part::Sign(sign) => {
                let between = at > 0
                    && matches!(parts[at - 1], Part::Digits(_))
                    && matches!(parts.get(at + 1), Some(Part::Digits(_)));
                if matches!(sign, '-' | '–') {
                    if between {
                        out.push(rules.to.to_owned());
                    }
                } else if let Some((_, spoken)) = rules.signs.iter().find(|(s, _)| s == sign) {
                    out.extend(words(spoken));
                }
            }
        }
    }
    out
}

fn words(spoken: &str) -> Vec<String> {
    spoken.split_whitespace().map(str::to_owned).collect()
}

fn abbreviation(rules: &Rules, token: &str, around: Around) -> Option<&'static str> {
    let written = token.trim_end_matches('.').to_lowercase();
    let entry = rules
        .marks
        .abbreviations
        .iter()
        .find(|a| a.written == written)?;
    let applies = match entry.used {
        Use::Always => true,
        Use::Capitals => token.chars().all(|c| !c.is_lowercase()),
        Use::AfterNumeral => around.after_numeral,
        Use::BeforeNumeral => around.before_numeral && token.ends_with('.'),
        Use::Dotted => token.ends_with('.'),
    };
    applies.then_some(entry.spoken)
}

/// A word, or letters one by one: capitals only ("NHS", "GPs"), a lone consonant, or nothing but consonants.
fn letters_spoken(rules: &Rules, letters: &str, shouted: bool) -> Vec<String> {
    let stem = letters.strip_suffix('s').unwrap_or(letters);
    let capitals = stem.chars().count() >= 2 && stem.chars().all(char::is_uppercase);
    let short = stem.chars().count() <= 5;
    let small = letters.to_lowercase();
    let vowel = small.chars().any(|c| "aeiouyáéíóúü".contains(c));
    let is_spelled = capitals && short && !shouted && !rules.said_as_word.contains(&small.as_str())
        || !vowel && small.chars().all(char::is_alphabetic) && small.chars().count() <= 5;
    if !is_spelled {
        return vec![small];
    }
    let spelled = if capitals { stem } else { letters };
    spelled
        .to_lowercase()
        .chars()
        .flat_map(|letter| {
            let name = rules.letters.iter().find(|(l, _)| *l == letter);
            words(name.map_or("a", |(_, name)| name))
        })
        .collect()
}

enum Part {
    /// Digits with the points, commas and colons between them.
    Digits(String),
    /// Letters with the apostrophes between them.
    Letters(String),
    Sign(char),
}

fn segments(token: &str) -> Vec<Part> {
    let letters: Vec<char> = token.chars().collect();
    let mut out = Vec::new();
    let mut at = 0;
    while at < letters.len() {
        let digit = letters[at].is_ascii_digit();
        let start = at;
        if digit || letters[at].is_alphabetic() && !matches!(letters[at], 'º' | 'ª') {
            let inside = |c: char| {
                if digit {
                    c.is_ascii_digit()
                } else {
                    c.is_alphabetic() && !matches!(c, 'º' | 'ª')
                }
            };
            let joins = |c: char| {
                if digit {
                    matches!(c, '.' | ',' | ':')
                } else {
                    c == '\''
                }
            };
            while at < letters.len()
                && (inside(letters[at])
                    || joins(letters[at]) && letters.get(at + 1).is_some_and(|c| inside(*c)))
            {
                at += 1;
            }
            let text: String = letters[start..at].iter().collect();
            out.push(if digit {
                Part::Digits(text)
            } else {
                Part::Letters(text)
            });
        } else {
            out.push(Part::Sign(letters[at]));
            at += 1;
        }
    }
    out
}

/// A numeral in words; `tail` is what stands directly behind it.
fn numeral(rules: &Rules, digits: &str, tail: &str, around: Around) -> Vec<String> {
    if let Some((hour, minute)) = digits.split_once(':')
        && let (Ok(hour), Ok(minute)) = (hour.parse::<u64>(), minute.parse::<u64>())
        && hour < 25
        && minute < 60
        && digits.len() - digits.find(':').expect("just split there") == 3
    {
        return words(&(rules.clock)(hour, minute, around.before_hours));
    }
    let (whole, fraction) = split_number(rules, digits);
    let one_by_one = whole.len() > 1 && whole.starts_with('0')
        || whole.len() > 4 && whole == digits
        || rules.digit_by_digit.contains(&digits);
    if one_by_one || whole.len() > 12 {
        return digit_names(rules, digits);
    }
    let value: u64 = whole.parse().expect("at most twelve digits, and no others");
    let is_plain = whole == digits;
    let mut out = words(&(rules.number)(value, is_plain));
    if let Some(fraction) = fraction {
        out.push(rules.point.to_owned());
        out.extend(digit_names(rules, &fraction));
    } else if rules.ordinals.contains(&tail) {
        out = words(&(rules.ordinal)(value, &out.join(" ")));
    }
    out
}

fn digit_names(rules: &Rules, digits: &str) -> Vec<String> {
    digits
        .chars()
        .filter_map(|c| c.to_digit(10))
        .flat_map(|d| words(&(rules.number)(u64::from(d), true)))
        .collect()
}

/// The digits before and behind the decimal mark. A mark with three digits behind it groups thousands, except a point in a
/// language that writes decimals with one.
fn split_number(rules: &Rules, digits: &str) -> (String, Option<String>) {
    let mut whole = String::new();
    let mut rest = digits;
    loop {
        let end = rest
            .find(|c: char| !c.is_ascii_digit())
            .unwrap_or(rest.len());
        whole.push_str(&rest[..end]);
        if end == rest.len() {
            return (whole, None);
        }
        let mark = rest.as_bytes()[end];
        let behind = &rest[end + 1..];
        let group = behind
            .find(|c: char| !c.is_ascii_digit())
            .unwrap_or(behind.len());
        let thousands =
            group == 3 && !(mark == b'.' && rules.point_is_decimal) && mark != b':' && whole != "0";
        if !thousands {
            let fraction = behind.chars().filter(char::is_ascii_digit).collect();
            return (whole, Some(fraction));
        }
        rest = behind;
    }
}
