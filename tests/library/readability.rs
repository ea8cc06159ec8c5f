//! Turns published examples and small texts into counts and figures.
//! Invariant: each number has its source and status beside it; E… and D… are rows of the document standards, sections 1.3 and 1.4.
//! Must not: take a figure of our own for an expected value, except where a rule is our own and says so.

use beforehand::lint::readability::{
    Counts, Language, Target, counts, formula, measure, syllables,
};

use Language::{English, Spanish};

fn near(value: f64, expected: f64, by: f64) {
    assert!(
        (value - expected).abs() <= by,
        "{value} is not {expected} ± {by}"
    );
}

fn with_polysyllables(sentences: usize, polysyllables: usize) -> Counts {
    Counts {
        polysyllables,
        ..Counts::new(sentences, 300, 400)
    }
}

// ---- formulas ----

#[test]
fn english_examples_are_reached() {
    // E1 (S07), published second hand: 13 words, 24 syllables, one sentence: grade 11.3; recomputed 11.265
    let platypus = Counts::new(1, 13, 24);
    near(formula::flesch_kincaid(&platypus), 11.3, 0.05);
    near(formula::flesch_kincaid(&platypus), 11.265, 0.001);
    // E2, from memory: reading ease 37.5; recomputed 37.455
    near(formula::flesch_reading_ease(&platypus), 37.5, 0.05);
    // E3 (S07) and E4 (S08), published second hand: sentences of one word of one syllable
    let shortest = Counts::new(7, 7, 7);
    near(formula::flesch_reading_ease(&shortest), 121.22, 0.001);
    near(formula::flesch_kincaid(&shortest), -3.40, 0.001);
    // E5 (S08), published second hand: 5.7 words a sentence, 1.02 syllables a word
    let green = Counts::new(500, 2850, 2907);
    near(formula::flesch_kincaid(&green), -1.3, 0.05);
    // a published example whose place our notes do not name (so: from memory) says 75.10 and 5.90; the coefficients give
    // 75.07 and 5.95
    let example = Counts::new(34, 432, 607);
    near(formula::flesch_reading_ease(&example), 75.10, 0.04);
    near(formula::flesch_kincaid(&example), 5.90, 0.05);
    near(formula::flesch_kincaid(&example), 5.945, 0.001);
}

#[test]
fn smog_by_formula_and_by_hand() {
    // E6 (S09), published: 64 in 30 sentences is 11 by hand; calculated: 11.47 by the formula
    near(formula::smog_hand(&with_polysyllables(30, 64)), 11.0, 0.0);
    near(formula::smog(&with_polysyllables(30, 64)), 11.47, 0.005);
    // E7 (S09), published (by hand), calculated (formula)
    let formula_gives = [5.22, 6.26, 7.30, 8.34, 9.39, 10.43, 11.47, 12.52];
    for (root, exact) in (2..=9).zip(formula_gives) {
        let counts = with_polysyllables(30, root * root);
        near(formula::smog_hand(&counts), root as f64 + 3.0, 0.0);
        near(formula::smog(&counts), exact, 0.0051);
    }
}

#[test]
fn the_conversion_table_is_the_hand_rule() {
    // E8 (S09), published: the last count of each grade from 5 to 18
    let last = [6, 12, 20, 30, 42, 56, 72, 90, 110, 132, 156, 182, 210, 240];
    let mut furthest: f64 = 0.0;
    let mut first = 1;
    for (grade, last) in (5..).zip(last) {
        for polysyllables in first..=last {
            let counts = with_polysyllables(30, polysyllables);
            // with 1 and 2 words the table says 5, the rule 4 (E8, calculated)
            let expected = if polysyllables <= 2 { 4 } else { grade };
            near(formula::smog_hand(&counts), f64::from(expected), 0.0);
            furthest = furthest.max(formula::smog(&counts) - f64::from(grade));
        }
        first = last + 1;
    }
    // E8, calculated: the exact formula is up to 1.29 grades higher than the table
    near(furthest, 1.29, 0.005);
}

#[test]
fn smog_of_a_short_text_is_filled_up_to_thirty_sentences() {
    // S09, published: polysyllables/sentences · (30 − sentences) is added: 8 in 10 sentences: 8 + 0.8 · 20 = 24
    near(formula::smog_count(&with_polysyllables(10, 8)), 24.0, 1e-9);
    near(formula::smog_count(&with_polysyllables(60, 8)), 4.0, 1e-9);
    near(formula::smog_hand(&with_polysyllables(10, 8)), 8.0, 0.0);
}

#[test]
fn spanish_vector_is_reached_and_the_traps_are_not() {
    // D1, calculated: 100 words, 8 sentences, 205 syllables
    let d1 = Counts::new(8, 100, 205);
    near(formula::szigriszt_pazos(&d1), 66.62, 0.005);
    near(formula::fernandez_huerta(&d1), 71.09, 0.005);
    // the two forms that are printed wrongly (0.1, S13, published), and English coefficients on Spanish text
    let per_hundred_taken_per_word = 206.84 - 0.60 * 2.05 - 1.02 * 12.5;
    let sentences_for_words = 206.84 - 60.0 * 2.05 - 1.02 * 8.0;
    near(per_hundred_taken_per_word, 192.86, 0.005);
    near(sentences_for_words, 75.68, 0.005);
    near(formula::flesch_reading_ease(&d1), 20.72, 0.005);
    for trap in [
        per_hundred_taken_per_word,
        sentences_for_words,
        formula::flesch_reading_ease(&d1),
    ] {
        assert!((formula::fernandez_huerta(&d1) - trap).abs() > 4.0);
    }
    // shorter sentences must be easier
    assert!(formula::fernandez_huerta(&Counts::new(16, 100, 205)) > formula::fernandez_huerta(&d1));
}

#[test]
fn inflesz_reaches_55_up_to_the_calculated_lengths() {
    // D2, calculated: syllables a word, longest mean sentence
    for (syllables, words) in [(1.9, 33.5), (2.0, 27.2), (2.1, 21.0), (2.2, 14.8)] {
        let sentences = 10_000;
        let total = (words * sentences as f64) as usize;
        let at = Counts::new(
            sentences,
            total,
            (syllables * total as f64).round() as usize,
        );
        near(formula::szigriszt_pazos(&at), 55.0, 0.06);
    }
}

// ---- sentences and words ----

fn shape(language: Language, text: &str) -> (usize, usize) {
    let counts = counts(language, &[text]);
    (counts.sentences, counts.words)
}

#[test]
fn english_sentences_end_where_a_reader_stops() {
    for (text, expected) in [
        ("Rest now. Do not rub!", (2, 5)),
        ("Is it sore? Call us… Then wait.", (3, 7)),
        ("See Dr. Able today.", (1, 4)),
        ("See Dr. J. Able today. Bring No. 5 along.", (2, 9)),
        ("Did you smoke? No. Did you drink? No.", (4, 8)),
        ("The dose is 2.5 units. That is small.", (2, 8)),
        ("Botulinum toxin type A. It is a drug.", (2, 8)),
        ("Avoid heat, e.g. a sauna.", (1, 5)),
        ("Come at 9 a.m. The door is open.", (2, 8)),
        ("Come at 9 a.m. on Monday.", (1, 6)),
        (
            "onabotulinumtoxinA helps. onabotulinumtoxinA fades.",
            (2, 4),
        ),
        ("Do this:\n- rest well\n- drink water", (3, 6)),
        ("A long line\nthat goes on.", (1, 6)),
        ("1. Rest now.", (1, 3)),
        ("“Stop!” she said.", (1, 3)),
        ("Ice it – then rest — and wait.", (1, 6)),
        ("It fell by 5 % in 10 000 people.", (1, 7)),
        ("It fell by 5 % in 10\u{a0}000 people.", (1, 7)),
        ("", (0, 0)),
        (" – … ", (0, 0)),
    ] {
        // an ordinary space inside a number is two words; only the thin and the hard one are known to group
        let expected = if text.contains("10 000") {
            (1, 8)
        } else {
            expected
        };
        assert_eq!(shape(English, text), expected, "{text:?}");
    }
}

#[test]
fn spanish_sentences_end_where_a_reader_stops() {
    for (text, expected) in [
        ("¿Le duele? ¡Llame ya! Gracias.", (3, 5)),
        ("Vive en EE. UU. desde 2020.", (1, 6)),
        ("Vive en EE. UU. Trabaja allí.", (2, 6)),
        ("Evite el calor, p. ej. una sauna.", (1, 7)),
        ("La Dra. Pérez y el Sr. Gil.", (1, 7)),
        ("Venga a las 9:30 a. m. Después descanse.", (2, 8)),
        ("La dosis es 2,5 unidades. Es poco.", (2, 7)),
        ("Es toxina botulínica tipo A. Es un fármaco.", (2, 8)),
        ("El n.º 5 está libre.", (1, 5)),
    ] {
        assert_eq!(shape(Spanish, text), expected, "{text:?}");
    }
}

#[test]
fn each_paragraph_ends_a_sentence() {
    let found = counts(
        English,
        &["no full stop here", "nor here", "One. Two words."],
    );
    assert_eq!(
        (found.sentences, found.words, found.longest_sentence),
        (4, 9, 4)
    );
}

// ---- syllables; the dictionaries are asked in tests/oracles/readability.rs ----

#[test]
fn english_syllables() {
    for (number, words) in [
        (
            1,
            "jaw months eyes smoothed treat lines droops “p” A aren't we'll aches tongue",
        ),
        (
            2,
            "muscle forehead eyelid bruising didn't nurse's needle handled bruises treated review QR GPs",
        ),
        (3, "masseter injection area everyone off-label NHS"),
        (4, "botulinum emergency ability"),
        (5, "paracetamol myasthenia"),
        (9, "onabotulinumtoxinA"),
    ] {
        for word in words.split(' ') {
            assert_eq!(syllables(English, word), number, "{word}");
        }
    }
}

#[test]
fn spanish_syllables() {
    for (number, words) in [
        (1, "muy rey que y p buey huir cuál guion Dios"),
        (
            2,
            "país guía leyes viuda huida agua cuidar prohibir m ahí construir leáis",
        ),
        (
            3,
            "pingüino prohibido vihuela músculo cuídate oíais desahucio leíais",
        ),
        (4, "aéreo mandíbula averiguáis leíamos cuídatelo"),
        (5, "electricidad botulínica"),
    ] {
        for word in words.split(' ') {
            assert_eq!(syllables(Spanish, word), number, "{word}");
        }
    }
}

#[test]
fn numerals_and_abbreviations_count_as_spoken() {
    // a rule of SMOG (S09, published); which words are spoken is our own choice where there are several
    for (language, text, spoken) in [
        (English, "25", "twenty five"),
        (English, "1,250", "one thousand two hundred fifty"),
        (English, "2026", "twenty twenty six"),
        (English, "2.5", "two point five"),
        (English, "5–10", "five to ten"),
        (English, "9:30", "nine thirty"),
        (English, "9:00", "nine o'clock"),
        (English, "9:05 am", "nine oh five ay em"),
        (English, "14:00", "fourteen hundred"),
        (English, "911", "nine one one"),
        (
            English,
            "555 0101",
            "five hundred fifty five zero one zero one",
        ),
        (English, "30th", "thirtieth"),
        (English, "50%", "fifty per cent"),
        (English, "£300", "three hundred pounds"),
        (English, "5mm", "five millimetres"),
        (English, "5 mm", "five millimetres"),
        (English, "Dr", "doctor"),
        (Spanish, "25", "veinticinco"),
        (Spanish, "1.250", "mil doscientos cincuenta"),
        (Spanish, "2026", "dos mil veintiséis"),
        (Spanish, "2,5", "dos coma cinco"),
        (Spanish, "5–10", "cinco a diez"),
        (Spanish, "9:30", "nueve treinta"),
        (Spanish, "9:00 h", "nueve horas"),
        (Spanish, "9:00 a. m.", "nueve a eme"),
        (Spanish, "5 %", "cinco por ciento"),
        (Spanish, "50 ml", "cincuenta mililitros"),
        (Spanish, "EE. UU.", "estados unidos"),
        (Spanish, "p. ej.", "por ejemplo"),
        (Spanish, "1.º", "primero"),
    ] {
        assert_eq!(
            syllables(language, text),
            syllables(language, spoken),
            "{text} is spoken {spoken}"
        );
    }
    assert_eq!(counts(English, &["Wait 25 days."]).polysyllables, 1);
    assert_eq!(
        syllables(English, "I am well"),
        3,
        "am is a word unless a numeral stands before it"
    );
}

// ---- the whole ----

#[test]
fn a_text_worked_out_by_hand() {
    // We in-ject a drug. (5) It makes the mus-cle re-lax. (7) Call us at once! (4): 13 words, 16 syllables, 3 sentences
    let found = measure(
        English,
        &[
            "We inject a drug. It makes the muscle relax.",
            "Call us at once!",
        ],
        &[],
    );
    assert_eq!(
        found.all,
        Counts {
            longest_sentence: 5,
            ..Counts::new(3, 13, 16)
        }
    );
    let grade = found.all_scores[0];
    near(
        grade.value,
        0.39 * 13.0 / 3.0 + 11.8 * 16.0 / 13.0 - 15.59,
        1e-9,
    );
    assert_eq!(
        (grade.target, grade.met),
        (Some(Target::AtMost(6.0)), Some(true))
    );
    assert_eq!(found.set_aside, found.all, "nothing to set aside");
}

#[test]
fn a_target_is_judged_unrounded() {
    assert!(Target::AtMost(6.0).is_met_by(6.0) && !Target::AtMost(6.0).is_met_by(6.001));
    assert!(Target::Above(55.0).is_met_by(55.001) && !Target::Above(55.0).is_met_by(55.0));
    let hard = "Extraordinarily complicated pharmacological considerations necessitate comprehensive individualised deliberation.";
    assert_eq!(
        measure(English, &[hard], &[]).all_scores[0].met,
        Some(false)
    );
    assert_eq!(
        measure(
            Spanish,
            &[&hard.replace("deliberation", "deliberación")],
            &[]
        )
        .all_scores[0]
            .met,
        Some(false)
    );
}

#[test]
fn terms_set_aside_leave_every_sentence_as_long_as_it_is() {
    let text = ["The masseter gets botulinum toxin type A today. Masseters relax. Your jaw rests."];
    let terms = ["botulinum toxin", "Botulinum toxin type A", "masseter"];
    let found = measure(English, &text, &terms);
    assert_eq!(
        found.unavoidable_found, 3,
        "the longest term wins, a plural is the same term"
    );
    assert_eq!(found.set_aside.words, found.all.words);
    assert_eq!(found.set_aside.sentences, found.all.sentences);
    assert_eq!(found.set_aside.longest_sentence, found.all.longest_sentence);
    assert_eq!(found.set_aside.words_set_aside, 6);
    // The gets to-day re-lax your jaw rests
    assert_eq!(found.set_aside.syllables, 9);
    assert!(found.set_aside_scores[0].value < found.all_scores[0].value);

    // a term of short words makes the rest no easier: its own syllables are left out, too
    let padded = measure(
        English,
        &["Extraordinary considerations go on in it."],
        &["go on in it"],
    );
    assert!(padded.set_aside_scores[0].value > padded.all_scores[0].value);
}

#[test]
fn a_term_is_not_found_across_sentences_or_inside_words() {
    let found = measure(
        English,
        &["It is toxin. Type A is one. Antitoxin is not."],
        &["toxin type A", "toxi"],
    );
    assert_eq!(found.unavoidable_found, 0);
}

#[test]
fn nothing_to_read_gives_no_figure() {
    let empty = measure(English, &["", " – "], &["masseter"]);
    assert!(empty.all_scores.is_empty() && empty.set_aside_scores.is_empty());
    let terms_only = measure(English, &["Masseter."], &["masseter"]);
    assert_eq!(
        (
            terms_only.all_scores.len(),
            terms_only.set_aside_scores.len()
        ),
        (3, 0)
    );
}

#[test]
fn a_language_tag_finds_its_rules_and_no_other() {
    assert_eq!(Language::of("en-GB"), Some(English));
    assert_eq!(Language::of("es-MX"), Some(Spanish));
    assert_eq!(Language::of("ES"), Some(Spanish));
    for unknown in ["pt", "est", "", "e", "eng"] {
        assert_eq!(Language::of(unknown), None, "{unknown}");
    }
}

#[test]
fn odd_text_is_counted_without_a_fall() {
    for text in [
        "£",
        "%%%",
        "1:2:3",
        "99:99",
        "1.2.3.4",
        "00",
        "12345678901234567890",
        "a.b.c",
        "½ µg",
        "日本語 العربية",
        "'s",
        "’",
        "n't",
        "5 - 6",
        "º",
        "e\u{301}",
    ] {
        for language in [English, Spanish] {
            let found = measure(language, &[text], &[text, ""]);
            assert!(
                found.all.syllables >= found.all.words,
                "{text:?}: {found:?}"
            );
        }
    }
}
