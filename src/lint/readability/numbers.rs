//! Turns numbers and clock times into the words of a language, as a reader would say them.
//!
//! Invariant: every number below 10¹² has words; they are plain words that the syllable rules of the language know.
//! That numerals count as spoken is a rule of SMOG (S09, published); how years and times are spoken is our choice (no source).
//!
//! Must not: be printed; the papers take their numbers from the locale data.

const ENGLISH: [&str; 20] = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
];

const ENGLISH_TENS: [&str; 10] = [
    "", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety",
];

/// 2026 written plainly is a year ("twenty twenty-six"); with a separator it is an amount. No "and" after hundreds.
pub fn english(value: u64, is_plain: bool) -> String {
    if is_plain && ((1100..2000).contains(&value) || (2010..2100).contains(&value)) {
        let (high, low) = (english(value / 100, false), value % 100);
        return match low {
            0 => format!("{high} hundred"),
            1..=9 => format!("{high} oh {}", english(low, false)),
            _ => format!("{high} {}", english(low, false)),
        };
    }
    let group = |unit: u64, name: &str| {
        let head = format!("{} {name}", english(value / unit, false));
        match value % unit {
            0 => head,
            rest => format!("{head} {}", english(rest, false)),
        }
    };
    match value {
        0..=19 => ENGLISH[value as usize].to_owned(),
        20..=99 => {
            let tens = ENGLISH_TENS[(value / 10) as usize];
            match value % 10 {
                0 => tens.to_owned(),
                ones => format!("{tens} {}", ENGLISH[ones as usize]),
            }
        }
        100..=999 => group(100, "hundred"),
        1_000..=999_999 => group(1_000, "thousand"),
        1_000_000..=999_999_999 => group(1_000_000, "million"),
        _ => group(1_000_000_000, "billion"),
    }
}

/// "first", "twenty second", "thirtieth".
pub fn english_ordinal(_value: u64, words: &str) -> String {
    let (head, last) = words.rsplit_once(' ').unwrap_or(("", words));
    let last = match last {
        "one" => "first".to_owned(),
        "two" => "second".to_owned(),
        "three" => "third".to_owned(),
        "five" => "fifth".to_owned(),
        "eight" => "eighth".to_owned(),
        "nine" => "ninth".to_owned(),
        "twelve" => "twelfth".to_owned(),
        tens if tens.ends_with('y') => format!("{}ieth", tens.trim_end_matches('y')),
        other => format!("{other}th"),
    };
    format!("{head} {last}")
}

/// "nine thirty", "nine oh five", "nine o'clock", "fourteen hundred".
pub fn english_clock(hour: u64, minute: u64, is_followed: bool) -> String {
    let spoken = english(hour, false);
    match minute {
        0 if is_followed => spoken,
        0 if hour > 12 || hour == 0 => format!("{spoken} hundred"),
        0 => format!("{spoken} o'clock"),
        1..=9 => format!("{spoken} oh {}", english(minute, false)),
        _ => format!("{spoken} {}", english(minute, false)),
    }
}

const SPANISH: [&str; 30] = [
    "cero",
    "uno",
    "dos",
    "tres",
    "cuatro",
    "cinco",
    "seis",
    "siete",
    "ocho",
    "nueve",
    "diez",
    "once",
    "doce",
    "trece",
    "catorce",
    "quince",
    "dieciséis",
    "diecisiete",
    "dieciocho",
    "diecinueve",
    "veinte",
    "veintiuno",
    "veintidós",
    "veintitrés",
    "veinticuatro",
    "veinticinco",
    "veintiséis",
    "veintisiete",
    "veintiocho",
    "veintinueve",
];

const SPANISH_TENS: [&str; 10] = [
    "",
    "",
    "",
    "treinta",
    "cuarenta",
    "cincuenta",
    "sesenta",
    "setenta",
    "ochenta",
    "noventa",
];

const SPANISH_HUNDREDS: [&str; 10] = [
    "",
    "ciento",
    "doscientos",
    "trescientos",
    "cuatrocientos",
    "quinientos",
    "seiscientos",
    "setecientos",
    "ochocientos",
    "novecientos",
];

/// "treinta y cinco", "dos mil veintiséis"; a year is said like any number.
pub fn spanish(value: u64, _is_plain: bool) -> String {
    let join = |head: String, rest: u64| match rest {
        0 => head,
        rest => format!("{head} {}", spanish(rest, false)),
    };
    match value {
        0..=29 => SPANISH[value as usize].to_owned(),
        30..=99 => {
            let tens = SPANISH_TENS[(value / 10) as usize];
            match value % 10 {
                0 => tens.to_owned(),
                ones => format!("{tens} y {}", SPANISH[ones as usize]),
            }
        }
        100 => "cien".to_owned(),
        101..=999 => join(
            SPANISH_HUNDREDS[(value / 100) as usize].to_owned(),
            value % 100,
        ),
        1_000..=1_999 => join("mil".to_owned(), value % 1_000),
        2_000..=999_999 => join(
            format!("{} mil", spanish(value / 1_000, false)),
            value % 1_000,
        ),
        1_000_000..=1_999_999 => join("un millón".to_owned(), value % 1_000_000),
        _ => join(
            format!("{} millones", spanish(value / 1_000_000, false)),
            value % 1_000_000,
        ),
    }
}

/// "primero" to "décimo"; above that people say the number.
pub fn spanish_ordinal(value: u64, words: &str) -> String {
    const FIRST: [&str; 11] = [
        "", "primero", "segundo", "tercero", "cuarto", "quinto", "sexto", "séptimo", "octavo",
        "noveno", "décimo",
    ];
    match value {
        1..=10 => FIRST[value as usize].to_owned(),
        _ => words.to_owned(),
    }
}

/// "nueve treinta", "nueve horas"; without "horas" when it follows anyhow.
pub fn spanish_clock(hour: u64, minute: u64, is_followed: bool) -> String {
    let spoken = if hour == 1 {
        "una".to_owned()
    } else {
        spanish(hour, false)
    };
    match minute {
        0 if is_followed => spoken,
        0 => format!("{spoken} {}", if hour == 1 { "hora" } else { "horas" }),
        _ => format!("{spoken} {}", spanish(minute, false)),
    }
}
