//! Turns a language into what the counting needs: how its words, numbers and abbreviations are spoken, where its sentences
//! end, and which published formulas apply.
//!
//! Invariant: a language is one [`Rules`] table and one line in [`Language::rules`]; nothing else knows it by name.
//!
//! Must not: hold a formula (see [`super::formula`]) or a sentence of the papers.

use super::{Counts, Language, Score, Target, english, formula, numbers, spanish};
use crate::lint::split::{Abbreviation, Marks, Use};

/// Everything the counting has to know about a language. A further language adds a table like [`ENGLISH`].
pub struct Rules {
    /// Syllables of a word of small letters.
    pub syllables: fn(&str) -> usize,
    /// A number in words; true when it was written without separators, as a year is.
    pub number: fn(u64, bool) -> String,
    /// A number in words as an ordinal, from the number and its words.
    pub ordinal: fn(u64, &str) -> String,
    /// Hour and minute in words; true when "am" or a word for "hours" follows.
    pub clock: fn(u64, u64, bool) -> String,
    /// What says that a clock time is one.
    pub hours: &'static [&'static str],
    /// What is written behind a numeral to make it an ordinal.
    pub ordinals: &'static [&'static str],
    /// The word for the decimal mark.
    pub point: &'static str,
    pub point_is_decimal: bool,
    /// The word for the dash in "5–10".
    pub to: &'static str,
    pub signs: &'static [(char, &'static str)],
    pub letters: &'static [(char, &'static str)],
    /// Capitals that are read as a word.
    pub said_as_word: &'static [&'static str],
    /// Numbers that are read digit by digit.
    pub digit_by_digit: &'static [&'static str],
    /// Where its sentences do not end.
    pub marks: Marks,
    pub scores: fn(&Counts) -> Vec<Score>,
}

impl Rules {
    /// Every word the tables above speak with, and those of numbers and clock times.
    pub fn spoken(&self) -> std::collections::BTreeSet<String> {
        let mut texts = vec![self.point.to_owned(), self.to.to_owned()];
        texts.extend(self.signs.iter().map(|(_, spoken)| (*spoken).to_owned()));
        texts.extend(self.letters.iter().map(|(_, name)| (*name).to_owned()));
        let short = self.marks.abbreviations.iter();
        texts.extend(short.map(|entry| entry.spoken.to_owned()));
        for value in (0..=100).chain([1_000, 1_000_000, 1_000_000_000]) {
            let number = (self.number)(value, false);
            texts.extend([(self.ordinal)(value, &number), number]);
        }
        texts.extend([0, 5, 30].map(|minute| (self.clock)(9, minute, false)));
        let words = texts.iter().flat_map(|text| text.split_whitespace());
        words.map(str::to_owned).collect()
    }
}

const fn short(
    written: &'static str,
    spoken: &'static str,
    used: Use,
    may_end: bool,
) -> Abbreviation {
    Abbreviation {
        written,
        spoken,
        used,
        may_end,
    }
}

impl Language {
    /// The language of a BCP 47 tag; nothing for one we have no rules for.
    ///
    /// Only the first subtag decides: "en-GB", "es-MX".
    pub fn of(bcp47_tag: &str) -> Option<Language> {
        let first = bcp47_tag.split(['-', '_']).next().unwrap_or_default();
        match first.to_ascii_lowercase().as_str() {
            "en" => Some(Language::English),
            "es" => Some(Language::Spanish),
            _ => None,
        }
    }

    pub(super) fn rules(self) -> &'static Rules {
        match self {
            Language::English => &ENGLISH,
            Language::Spanish => &SPANISH,
        }
    }
}

const UNIT: Use = Use::AfterNumeral;

static ENGLISH: Rules = Rules {
    syllables: english::syllables,
    number: numbers::english,
    ordinal: numbers::english_ordinal,
    clock: numbers::english_clock,
    hours: &["am", "pm", "a.m", "p.m", "h", "hours", "o'clock"],
    ordinals: &["st", "nd", "rd", "th"],
    point: "point",
    point_is_decimal: true,
    to: "to",
    signs: &[
        ('%', "per cent"),
        ('£', "pounds"),
        ('$', "dollars"),
        ('€', "euros"),
        ('°', "degrees"),
        ('&', "and"),
        ('+', "plus"),
        ('=', "equals"),
        ('×', "times"),
        ('<', "less than"),
        ('>', "more than"),
    ],
    letters: &[
        ('a', "ay"),
        ('b', "bee"),
        ('c', "see"),
        ('d', "dee"),
        ('e', "ee"),
        ('f', "ef"),
        ('g', "gee"),
        ('h', "aitch"),
        ('i', "eye"),
        ('j', "jay"),
        ('k', "kay"),
        ('l', "el"),
        ('m', "em"),
        ('n', "en"),
        ('o', "oh"),
        ('p', "pee"),
        ('q', "cue"),
        ('r', "ar"),
        ('s', "ess"),
        ('t', "tee"),
        ('u', "you"),
        ('v', "vee"),
        ('w', "double you"),
        ('x', "ex"),
        ('y', "why"),
        ('z', "zed"),
    ],
    said_as_word: &["nice", "aids", "covid"],
    digit_by_digit: &["911", "999", "111", "112"],
    marks: Marks {
        abbreviations: &[
            short("dr", "doctor", Use::Always, false),
            short("mr", "mister", Use::Always, false),
            short("mrs", "missis", Use::Always, false),
            short("ms", "miz", Use::Always, false),
            short("prof", "professor", Use::Dotted, false),
            short("no", "number", Use::BeforeNumeral, false),
            short("nos", "numbers", Use::BeforeNumeral, false),
            short("e.g", "for example", Use::Always, false),
            short("i.e", "that is", Use::Always, false),
            short("vs", "versus", Use::Always, false),
            short("approx", "about", Use::Dotted, false),
            short("etc", "et cetera", Use::Always, true),
            short("a.m", "ay em", Use::Always, true),
            short("p.m", "pee em", Use::Always, true),
            short("am", "ay em", UNIT, true),
            short("pm", "pee em", UNIT, true),
            short("tel", "telephone", Use::Dotted, false),
            short("mm", "millimetres", Use::Always, true),
            short("cm", "centimetres", Use::Always, true),
            short("ml", "millilitres", Use::Always, true),
            short("mg", "milligrams", Use::Always, true),
            short("kg", "kilograms", Use::Always, true),
            short("min", "minutes", UNIT, true),
            short("h", "hours", UNIT, true),
            short("u", "units", UNIT, true),
        ],
        before_a_letter: &[
            "type",
            "vitamin",
            "hepatitis",
            "group",
            "plan",
            "part",
            "step",
            "figure",
        ],
    },
    scores: |c| {
        vec![
            score(
                "Flesch–Kincaid grade",
                formula::flesch_kincaid(c),
                Some(Target::AtMost(6.0)),
                "formula: S06, published; grade 6 at most: AMA (R2, S04), published-second-hand; AFP 2015;92:118, grade 5 to 6 (R3, S04), \
                 published-second-hand; NLM/NIH, grades 4 to 6, later 6 to 7 (R1, S01), published",
            ),
            score(
                "SMOG (exact formula)",
                formula::smog(c),
                None,
                "McLaughlin 1969 (S09), published-second-hand; for information, no target",
            ),
            score(
                "Flesch reading ease",
                formula::flesch_reading_ease(c),
                None,
                "S06, published; for information, no target",
            ),
        ]
    },
};

static SPANISH: Rules = Rules {
    syllables: spanish::syllables,
    number: numbers::spanish,
    ordinal: numbers::spanish_ordinal,
    clock: numbers::spanish_clock,
    hours: &["a", "p", "a.m", "p.m", "h", "horas"],
    ordinals: &["º", "ª"],
    point: "coma",
    point_is_decimal: false,
    to: "a",
    signs: &[
        ('%', "por ciento"),
        ('£', "libras"),
        ('$', "dólares"),
        ('€', "euros"),
        ('°', "grados"),
        ('&', "y"),
        ('+', "más"),
        ('=', "igual"),
        ('×', "por"),
        ('<', "menos de"),
        ('>', "más de"),
    ],
    letters: &[
        ('a', "a"),
        ('b', "be"),
        ('c', "ce"),
        ('d', "de"),
        ('e', "e"),
        ('f', "efe"),
        ('g', "ge"),
        ('h', "hache"),
        ('i', "i"),
        ('j', "jota"),
        ('k', "ka"),
        ('l', "ele"),
        ('m', "eme"),
        ('n', "ene"),
        ('ñ', "eñe"),
        ('o', "o"),
        ('p', "pe"),
        ('q', "cu"),
        ('r', "erre"),
        ('s', "ese"),
        ('t', "te"),
        ('u', "u"),
        ('v', "uve"),
        ('w', "uve doble"),
        ('x', "equis"),
        ('y', "ye"),
        ('z', "zeta"),
    ],
    said_as_word: &["covid", "sida", "uci"],
    digit_by_digit: &[],
    marks: Marks {
        abbreviations: &[
            short("dr", "doctor", Use::Always, false),
            short("dra", "doctora", Use::Always, false),
            short("dres", "doctores", Use::Dotted, false),
            short("sr", "señor", Use::Always, false),
            short("sra", "señora", Use::Always, false),
            short("srta", "señorita", Use::Dotted, false),
            short("d", "don", Use::Dotted, false),
            short("dña", "doña", Use::Always, false),
            short("d.ª", "doña", Use::Always, false),
            short("ud", "usted", Use::Always, true),
            short("uds", "ustedes", Use::Always, true),
            short("vd", "usted", Use::Always, true),
            short("ee", "estados", Use::Capitals, false),
            short("uu", "unidos", Use::Capitals, true),
            short("eeuu", "estados unidos", Use::Always, true),
            short("ee.uu", "estados unidos", Use::Always, true),
            short("p", "por", Use::Dotted, false),
            short("ej", "ejemplo", Use::Dotted, false),
            short("p.ej", "por ejemplo", Use::Always, false),
            short("etc", "etcétera", Use::Always, true),
            short("núm", "número", Use::Dotted, false),
            short("n.º", "número", Use::Always, false),
            short("nº", "número", Use::Always, false),
            short("tel", "teléfono", Use::Dotted, false),
            short("aprox", "aproximadamente", Use::Dotted, false),
            short("máx", "máximo", Use::Dotted, true),
            short("mín", "mínimo", Use::Dotted, true),
            short("pág", "página", Use::Dotted, false),
            short("art", "artículo", Use::Dotted, false),
            short("a", "a", Use::Dotted, false),
            short("a.m", "a eme", Use::Always, true),
            short("p.m", "pe eme", Use::Always, true),
            short("m", "eme", Use::Dotted, true),
            short("mm", "milímetros", Use::Always, true),
            short("cm", "centímetros", Use::Always, true),
            short("ml", "mililitros", Use::Always, true),
            short("mg", "miligramos", Use::Always, true),
            short("kg", "kilogramos", Use::Always, true),
            short("min", "minutos", UNIT, true),
            short("h", "horas", UNIT, true),
            short("u", "unidades", UNIT, true),
        ],
        before_a_letter: &[
            "tipo",
            "vitamina",
            "hepatitis",
            "grupo",
            "plan",
            "parte",
            "paso",
            "figura",
        ],
    },
    scores: |c| {
        vec![
            score(
                "Szigriszt-Pazos (INFLESZ)",
                formula::szigriszt_pazos(c),
                Some(Target::Above(55.0)),
                "formula: S12 (Barrio-Cantalejo et al. 2008), published; above 55: R13 (S14), published",
            ),
            score(
                "Fernández-Huerta",
                formula::fernandez_huerta(c),
                None,
                "form: S13 (Law, LINGUIST List 22.2332), published; 60 for each word: seen in independent code; for \
                 information, no target",
            ),
        ]
    },
};

fn score(formula: &'static str, value: f64, target: Option<Target>, source: &'static str) -> Score {
    Score {
        formula,
        value,
        target,
        met: target.map(|target| target.is_met_by(value)),
        source,
    }
}
