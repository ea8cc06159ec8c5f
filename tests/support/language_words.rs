//! Turns a language into the words that its sentences must not use: numbers, frequencies, promises, wrong address.
//!
//! Invariant: a complete language has an entry here; without one every test that asks for it fails.
//! Must not: be taken for a style guide; these are only words that a machine can look for.

/// What is looked for in one language; all in small letters.
pub struct LanguageWords {
    pub tag: &'static str,
    /// Stands in the version of an unread wording.
    pub draft: &'static str,
    /// Numbers in words, and signs of numbers. "Two" is left out: two fingers, two sides, two grades are no findings.
    pub numbers: &'static [&'static str],
    /// Words for how often (document-standards K4 to K8).
    pub frequencies: &'static [&'static str],
    /// Phrases that hold such a word and mean something else.
    pub not_frequencies: &'static [&'static str],
    pub promises: &'static [&'static str],
    /// Words and stems that would tell a bystander of a treatment: "treat" stands for treated and treatment.
    pub medical: &'static [&'static str],
    /// Forms of address other than the one the language has settled on.
    pub wrong_address: &'static [&'static str],
}

const ALL: &[LanguageWords] = &[
    LanguageWords {
        tag: "en",
        draft: "draft",
        numbers: &[
            "three", "four", "five", "six", "seven", "eight", "nine", "ten", "twelve", "percent",
            "per cent", "%",
        ],
        frequencies: &[
            "rare",
            "rarely",
            "uncommon",
            "frequent",
            "frequently",
            "occasionally",
            "unlikely",
            "likely",
        ],
        // a comparison between two people, not a frequency
        not_frequencies: &["more likely"],
        promises: &[
            "guarantee",
            "painless",
            "anti-ageing",
            "anti-aging",
            "amazing",
            "youthful",
            "perfect",
        ],
        medical: &[
            "treat",
            "aftercare",
            "inject",
            "toxin",
            "botulin",
            "medicine",
            "medical",
            "effect",
            "wear off",
            "muscle",
            "wrinkle",
            "lines",
            "face",
            "facial",
            "lip",
            "brow",
            "eye",
            "neck",
            "jaw",
            "nose",
            "chin",
            "forehead",
            "massage",
            "alcohol",
            "exercise",
            "make-up",
            "upright",
            "units",
            "dose",
            "skin",
            "bruise",
            "doctor",
            "nurse",
            "clinic ",
            "patient",
        ],
        wrong_address: &[],
    },
    LanguageWords {
        tag: "es",
        draft: "borrador",
        numbers: &[
            "tres",
            "cuatro",
            "cinco",
            "seis",
            "siete",
            "ocho",
            "nueve",
            "diez",
            "doce",
            "quince",
            "por ciento",
            "%",
        ],
        frequencies: &[
            "raro",
            "rara",
            "raros",
            "raras",
            "raramente",
            "infrecuente",
            "frecuente",
            "frecuentes",
            "frecuentemente",
            "ocasionalmente",
            "improbable",
            "probable",
            "probablemente",
        ],
        not_frequencies: &[
            "más probable",
            "menos probable",
            // says who is at risk, not how often
            "es probable que el mayor riesgo",
        ],
        promises: &[
            "garantiz",
            "indoloro",
            "sin dolor alguno",
            "antienvejecimiento",
            "rejuvenec",
            "increíble",
            "perfect",
        ],
        medical: &[
            "trata",
            "cuidados",
            "inyec",
            "inyect",
            "toxina",
            "botul",
            "medic",
            "médic",
            "efecto",
            "músculo",
            "arruga",
            "líneas",
            "cara",
            "facial",
            "labio",
            "ceja",
            "ojo",
            "cuello",
            "mandíbula",
            "nariz",
            "mentón",
            "frente",
            "masaje",
            "alcohol",
            "ejercicio",
            "maquillaje",
            "unidades",
            "dosis",
            "piel",
            "moretón",
            "doctor",
            "enfermer",
            "paciente",
            "párpado",
            "mejilla",
            "frot",
        ],
        // usted throughout
        wrong_address: &[
            "tú", "ti", "contigo", "tu", "tus", "tienes", "puedes", "debes", "vosotros",
            "vosotras", "vuestro", "vuestra", "ustedes", "vos",
        ],
    },
];

/// The words to look for in a language.
pub fn of_language(tag: &str) -> &'static LanguageWords {
    ALL.iter()
        .find(|language| language.tag == tag)
        .unwrap_or_else(|| panic!("no words to look for in `{tag}`: add them to {}", file!()))
}

/// The words outside `{{ }}` and `{% %}`.
pub fn without_templates(text: &str) -> String {
    let mut outside = String::new();
    let mut depth = 0_i32;
    for c in text.chars() {
        match c {
            '{' => depth += 1,
            '}' => {
                depth -= 1;
                // what stands on either side is not one word
                if depth == 0 {
                    outside.push(' ');
                }
            }
            c if depth == 0 => outside.push(c),
            _ => {}
        }
    }
    outside
}

/// The words of a text, by letters.
pub fn words_of(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !c.is_alphabetic())
        .filter(|word| !word.is_empty())
}
