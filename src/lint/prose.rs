//! Turns text into natural frequencies, numbers in words and the marks by which a program guesses at voice and person.
//! Invariant: words and sentences are those of `split`; every list comes from the language's word file.
//! Must not: measure readability (that is `readability`), or hold a word of any language.

use super::readability;
use super::split::{sentences, words};
use super::words::Words;

/// The entries of a list that stand in a text as whole words, in the order of the list.
pub fn found<'l>(text: &str, list: &'l [String]) -> Vec<&'l str> {
    let lower = text.to_lowercase();
    list.iter()
        .map(String::as_str)
        .filter(|entry| place_of(&lower, entry).is_some())
        .collect()
}

/// Where a phrase begins in a text of lower case, as whole words.
pub fn place_of(lower: &str, phrase: &str) -> Option<usize> {
    let inner = |c: char| c.is_alphanumeric();
    let mut from = 0;
    while let Some(at) = lower[from..].find(phrase) {
        let at = from + at;
        let before = lower[..at].chars().next_back();
        let after = lower[at + phrase.len()..].chars().next();
        // a sign such as % needs no space before it
        let starts = !phrase.starts_with(inner) || !before.is_some_and(inner);
        let ends = !phrase.ends_with(inner) || !after.is_some_and(inner);
        if starts && ends {
            return Some(at);
        }
        from = at + phrase.chars().next().map_or(1, char::len_utf8);
    }
    None
}

fn lower_words(text: &str) -> Vec<String> {
    words(text).iter().map(|word| word.to_lowercase()).collect()
}

/// A form of "to be" and then a participle.
pub fn is_passive(sentence: &str, lists: &Words) -> bool {
    let passive = &lists.passive;
    let has = |list: &[String], word: &str| list.iter().any(|entry| entry == word);
    let words = lower_words(sentence);
    (0..words.len()).any(|at| {
        if !has(&passive.auxiliary, &words[at]) {
            return false;
        }
        let mut next = at + 1;
        while words.get(next).is_some_and(|w| has(&passive.between, w)) {
            next += 1;
        }
        words.get(next).is_some_and(|word| {
            let ends = passive
                .endings
                .iter()
                .any(|ending| word.ends_with(ending.as_str()) && word.len() > ending.len() + 1);
            !has(&passive.states, word) && (ends || has(&passive.participles, word))
        })
    })
}

/// Asks the reader to do something: begins with such a verb, at once or after a condition.
pub fn is_request(sentence: &str, lists: &Words) -> bool {
    let first_is = |part: &str, list: &str| {
        lower_words(part)
            .first()
            .is_some_and(|word| lists.list(list).contains(word))
    };
    if first_is(sentence, "imperative") {
        return true;
    }
    first_is(sentence, "condition")
        && sentence
            .split(',')
            .skip(1)
            .any(|part| first_is(part, "imperative"))
}

/// Speaks to the reader: as a request, as a bare "No ...", or by a word for the reader.
pub fn speaks_to_reader(sentence: &str, lists: &Words) -> bool {
    let bare = |word: &String| lists.list("bare_ban").contains(word);
    is_request(sentence, lists)
        || lower_words(sentence).first().is_some_and(bare)
        || lower_words(sentence)
            .iter()
            .any(|word| lists.list("reader").contains(word))
}

/// Three words or more in capitals in a row.
pub fn capitals(text: &str) -> Option<String> {
    let all = words(text);
    let capital = |word: &str| {
        word.chars().filter(|c| c.is_alphabetic()).count() >= 2
            && word.chars().all(|c| !c.is_lowercase())
            && !word.chars().any(|c| c.is_ascii_digit())
    };
    all.windows(3)
        .find(|three| three.iter().all(|word| capital(word)))
        .map(|three| three.join(" "))
}

/// A date in digits alone, such as 3/12/2026.
pub fn digit_date(text: &str) -> Option<&str> {
    text.split_whitespace().find_map(|piece| {
        let piece = piece.trim_matches(|c: char| !c.is_ascii_digit());
        let mark = piece.chars().find(|c| !c.is_ascii_digit())?;
        let parts: Vec<&str> = piece.split(mark).collect();
        let small = |part: &str, most: u32| {
            part.len() <= 2 && part.parse::<u32>().is_ok_and(|n| (1..=most).contains(&n))
        };
        let year = |part: &str| matches!(part.len(), 2 | 4) && part.parse::<u32>().is_ok();
        let date = "./-".contains(mark)
            && match parts.as_slice() {
                [a, b, c] if a.len() == 4 => year(a) && small(b, 12) && small(c, 31),
                [a, b, c] => small(a, 31) && small(b, 31) && year(c),
                _ => false,
            };
        date.then_some(piece)
    })
}

/// A number as printed: group marks before three digits are dropped.
pub fn number(token: &str) -> Option<f64> {
    let token = token.trim_matches(|c: char| !c.is_ascii_digit());
    if token.is_empty() {
        return None;
    }
    let mut plain = String::new();
    let mut rest = token.chars().peekable();
    let groups = |text: &str| {
        let parts: Vec<&str> = text
            .split([',', '.', '\u{a0}', '\u{202f}', '\u{2009}'])
            .collect();
        parts.len() > 1
            && parts[0].len() <= 3
            && parts[1..]
                .iter()
                .all(|p| p.len() == 3 && p.chars().all(|c| c.is_ascii_digit()))
    };
    if groups(token) {
        plain = token.chars().filter(char::is_ascii_digit).collect();
    } else {
        while let Some(c) = rest.next() {
            match c {
                '0'..='9' => plain.push(c),
                '.' | ',' if rest.peek().is_some_and(char::is_ascii_digit) => plain.push('.'),
                _ => return None,
            }
        }
    }
    plain.parse().ok()
}

/// Tokens of a text; a space that does not break keeps the digits of one number together.
fn tokens(text: &str) -> Vec<String> {
    let marks: Vec<char> = text.chars().collect();
    let mut all = Vec::new();
    let mut token = String::new();
    for (at, c) in marks.iter().enumerate() {
        let digit = |at: Option<usize>| {
            at.and_then(|at| marks.get(at))
                .is_some_and(char::is_ascii_digit)
        };
        let joins = "\u{a0}\u{202f}\u{2009}".contains(*c)
            && digit(at.checked_sub(1))
            && (1..=3).all(|step| digit(Some(at + step)));
        if c.is_whitespace() && !joins {
            all.push(std::mem::take(&mut token));
        } else {
            token.extend(c.to_lowercase());
        }
    }
    all.push(token);
    all.retain(|token| !token.is_empty());
    all
}

/// Natural frequencies: the highest numerator and the denominator of each "2 to 5 in 100".
pub fn frequencies(text: &str, lists: &Words) -> Vec<(f64, f64)> {
    let tokens = tokens(text);
    let mut all = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        let Some(per) = number(token).filter(|per| per.fract() == 0.0 && *per >= 10.0) else {
            continue;
        };
        for phrase in &lists.out_of {
            let phrase: Vec<&str> = phrase.split(' ').collect();
            let Some(start) = at.checked_sub(phrase.len()) else {
                continue;
            };
            if (0..phrase.len()).any(|i| tokens[start + i] != phrase[i]) {
                continue;
            }
            if let Some(affected) = start.checked_sub(1).and_then(|i| number(&tokens[i])) {
                all.push((affected, per));
                break;
            }
        }
    }
    all
}

/// A number in words that a reader counts or compares with: before a unit (one word may stand between), or in "one in ten".
/// "Both", "two fingers" and the like only say which; they are not found.
pub fn number_word(text: &str, lists: &Words) -> Option<String> {
    // a number and its unit stand in one phrase; wide gaps part values that are set side by side
    text.split(['.', ',', ';', ':', '(', ')', '?', '!'])
        .flat_map(|part| part.split("  "))
        .find_map(|phrase| number_word_in(phrase, lists))
}

fn number_word_in(text: &str, lists: &Words) -> Option<String> {
    let words = lower_words(text);
    let is = |at: usize, list: &str| {
        let word = words.get(at);
        word.is_some_and(|word| lists.list(list).contains(word))
    };
    let digits = |at: usize| {
        let word = words.get(at);
        word.is_some_and(|word| word.chars().all(|c| c.is_ascii_digit()))
    };
    // how many words after `at` say "in" or "out of"
    let out_of = |at: usize| {
        lists.out_of.iter().find_map(|phrase| {
            let phrase: Vec<&str> = phrase.split(' ').collect();
            let here = words.get(at..at + phrase.len())?;
            (here == phrase).then_some(phrase.len())
        })
    };
    (0..words.len()).find_map(|at| {
        if !is(at, "number") {
            return out_of(at)
                .map(|length| at + length)
                // "1 in ten": the words between two numbers
                .filter(|next| is(*next, "number") && at > 0 && digits(at - 1))
                .map(|next| words[at - 1..=next].join(" "));
        }
        let unit = [at + 1, at + 2].into_iter().find(|next| is(*next, "unit"));
        let whole = out_of(at + 1)
            .map(|length| at + 1 + length)
            .filter(|next| is(*next, "number") || digits(*next));
        let last = unit.or(whole)?;
        Some(words[at..=last].join(" "))
    })
}

/// The passive sentences and all sentences.
pub fn voice(text: &str, lists: &Words) -> (usize, usize) {
    let marks = readability::marks_of(&lists.language);
    let all = sentences(marks, text);
    let passive = all.iter().filter(|s| is_passive(s, lists)).count();
    (passive, all.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lint::words;

    fn en() -> &'static Words {
        words::of("en-GB").expect("English lists")
    }

    fn es() -> &'static Words {
        words::of("es").expect("Spanish lists")
    }

    #[test]
    fn passives_are_told_from_states() {
        for (text, passive) in [
            ("Your skin is cleaned by the nurse.", true),
            ("It cannot be taken out.", true),
            ("It was not properly tested.", true),
            ("We clean your skin.", false),
            ("You are worried.", false),
            ("Go to bed if it is red.", false),
        ] {
            assert_eq!(is_passive(text, en()), passive, "{text}");
        }
        assert!(is_passive("La piel es limpiada.", es()));
        assert!(!is_passive("Está embarazada.", es()));
    }

    #[test]
    fn requests_are_found_after_a_condition_too() {
        for (text, request) in [
            ("Call us.", true),
            ("If it hurts, call us.", true),
            ("You should call us.", false),
            ("It hurts.", false),
        ] {
            assert_eq!(is_request(text, en()), request, "{text}");
        }
        assert!(is_request("Si le duele, llame a la clínica.", es()));
    }

    #[test]
    fn natural_frequencies_are_read_in_both_languages() {
        assert_eq!(frequencies("2 to 5 in 100 people", en()), [(5.0, 100.0)]);
        assert_eq!(
            frequencies("3 in 1,000. None of 665 people", en()),
            [(3.0, 1000.0)]
        );
        assert_eq!(
            frequencies("Menos de 1 de cada 1.000 personas", es()),
            [(1.0, 1000.0)]
        );
        assert_eq!(frequencies("3 de cada 1\u{202f}000", es()), [(3.0, 1000.0)]);
        assert_eq!(frequencies("on 3 December in 2026", en()), []);
    }

    #[test]
    fn number_words_count_before_a_unit_or_in_a_frequency() {
        for (text, found) in [
            ("Wait two days.", Some("two days")),
            ("Wait two full days.", Some("two full days")),
            ("Two in a hundred people.", Some("hundred people")),
            ("Two in hundred people.", Some("two in hundred")),
            ("It helped 1 in ten.", Some("1 in ten")),
            ("For two grades or more", Some("two grades")),
            ("You may see two of one thing.", None),
            (
                "You still see lines when two fingers spread the skin.",
                None,
            ),
        ] {
            assert_eq!(number_word(text, en()).as_deref(), found, "{text}");
        }
        for (text, found) in [
            ("Espere dos días.", Some("dos días")),
            ("Dos de cada diez personas.", Some("dos de cada diez")),
            ("Lado los dos lados   Unidades 4", None),
            ("los dos párpados caídos", None),
        ] {
            assert_eq!(number_word(text, es()).as_deref(), found, "{text}");
        }
    }

    #[test]
    fn dates_in_digits_and_capitals_are_found() {
        assert_eq!(digit_date("on 3/12/2026."), Some("3/12/2026"));
        assert_eq!(digit_date("2026-12-03"), Some("2026-12-03"));
        assert_eq!(digit_date("01632 960 101, 24/7, 1.000.000"), None);
        assert_eq!(
            capitals("READ THIS NOW please").as_deref(),
            Some("READ THIS NOW")
        );
        assert_eq!(capitals("the US FDA says"), None);
    }

    #[test]
    fn phrases_are_found_as_whole_words() {
        let list = ["rare".to_owned(), "%".to_owned()];
        assert_eq!(found("It is Rare.", &list), ["rare"]);
        assert_eq!(found("5% had it", &list), ["%"]);
        assert!(found("rarely", &list).is_empty());
    }
}
