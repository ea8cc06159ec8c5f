//! Turns right files into wrong ones, place by place: values, keys and lists of a tree, lines, bytes.
//!
//! Invariant: the same changes from the same seed.
//! Must not: know what a program makes of them.

use beforehand::plan::Vocabulary;
use toml::Value;

/// A generator of our own: the same cases on every machine (SplitMix64).
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self, below: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        // the remainder is below `below`, which fits
        ((z ^ (z >> 31)) % below.max(1) as u64) as usize
    }

    pub fn one_of<'t, T>(&mut self, all: &'t [T]) -> &'t T {
        &all[self.roll(all.len())]
    }

    pub fn chance(&mut self, in_ten: usize) -> bool {
        self.roll(10) < in_ten
    }
}

/// Texts that have broken programs before: other code, odd characters, lengths at the limits.
pub fn hostile_text(dice: &mut Dice) -> String {
    let fixed = [
        "",
        " ",
        "\u{200B}",
        "\u{202E}abc",
        "\u{FEFF}",
        "\u{0}",
        "a\nb",
        "\t",
        "{{ 7*7 }}",
        "{% for a in b %}",
        "#panic(\"x\")",
        "$x^2$ *b* _i_ `c`",
        "</pdf:Keywords>",
        "\\",
        "\"\"\"",
        "../../etc",
        "C:\\x",
        "e\u{301}\u{301}\u{301}",
        "👩‍👩‍👧",
        "مرحبا 123",
        "ﬁ",
        "ẞ İ ı",
        "9999-12-31",
        "0000-01-01",
        "-0",
        "1e308",
        "NaN",
        "true",
        "both",
        "masseter",
        "type B",
        "rimabotulinumtoxinB",
        "en-Latn-GB",
        "Europe/London",
        "{record}{date}{paper}",
    ];
    match dice.roll(8) {
        0 => "x".repeat([39, 40, 41, 199, 200, 201, 5000][dice.roll(7)]),
        1 => "é".repeat(dice.roll(300)),
        2 => char::from_u32(dice.roll(0x11_0000) as u32).map_or_else(String::new, String::from),
        _ => (*dice.one_of(&fixed)).to_owned(),
    }
}

pub fn hostile_value(dice: &mut Dice) -> Value {
    let numbers = [
        0.0,
        -0.0,
        0.1,
        0.5,
        1.0,
        2.5,
        20.0,
        99.9,
        100.0,
        1000.0,
        1e9,
        1e308,
        1e-308,
        -1.0,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::NAN,
        5e-324,
    ];
    let days = [
        "2026-12-03",
        "2024-02-29",
        "0001-01-01",
        "9999-12-31",
        "1900-01-01",
        "2026-12-31",
        "14:30:00",
        "00:00:00",
        "23:59:59",
        "2026-12-03T10:00:00Z",
    ];
    match dice.roll(8) {
        0 | 1 => Value::String(hostile_text(dice)),
        2 => Value::Float(*dice.one_of(&numbers)),
        3 => Value::Integer(*dice.one_of(&[
            0,
            1,
            2,
            3,
            20,
            21,
            50,
            100,
            1000,
            -1,
            i64::MAX,
            i64::MIN,
        ])),
        4 => Value::Boolean(dice.chance(5)),
        5 => Value::Datetime(dice.one_of(&days).parse().expect("a TOML date or time")),
        6 => Value::Array((0..dice.roll(4)).map(|_| hostile_value(dice)).collect()),
        _ => Value::Table(
            [(hostile_text(dice), Value::Integer(1))]
                .into_iter()
                .collect(),
        ),
    }
}

/// Every word of the catalogue, to put one where another stood.
pub fn words(vocabulary: &Vocabulary) -> Vec<String> {
    let mut words: Vec<String> = vocabulary
        .areas
        .iter()
        .map(|area| area.id.to_string())
        .collect();
    words.extend(
        vocabulary
            .products
            .iter()
            .map(|product| product.id.to_string()),
    );
    words.extend(vocabulary.facts.iter().map(|fact| fact.id.to_string()));
    words.extend(vocabulary.regions.iter().map(ToString::to_string));
    words.extend(vocabulary.needs.iter().cloned());
    words.extend(vocabulary.advice.iter().map(ToString::to_string));
    let fixed = [
        "both", "left", "right", "midline", "total", "side", "point", "advise", "neutral",
    ];
    words.extend(fixed.map(str::to_owned));
    words
}

/// Changes one place of a tree: a value, a key, an entry of a list.
pub fn mutate(value: &mut Value, other: &Value, words: &[String], dice: &mut Dice) {
    match value {
        Value::Table(table) if !table.is_empty() => {
            let keys: Vec<String> = table.keys().cloned().collect();
            let key = dice.one_of(&keys).clone();
            let in_other = other.get(&key);
            match dice.roll(12) {
                0 => drop(table.remove(&key)),
                1 => {
                    let moved = table.remove(&key).expect("it was listed");
                    let name = if dice.chance(5) {
                        dice.one_of(words).clone()
                    } else {
                        format!("{key}s")
                    };
                    table.insert(name, moved);
                }
                2 => {
                    table.insert(dice.one_of(words).clone(), Value::Boolean(true));
                }
                3 if in_other.is_some() => {
                    table.insert(key, in_other.expect("asked before").clone());
                }
                4 => {
                    table.insert(key, hostile_value(dice));
                }
                _ => {
                    let inner = table.get_mut(&key).expect("it was listed");
                    mutate(inner, in_other.unwrap_or(other), words, dice);
                }
            }
        }
        Value::Array(items) if !items.is_empty() => {
            let at = dice.roll(items.len());
            match dice.roll(10) {
                0 => drop(items.remove(at)),
                1 => items.push(items[at].clone()),
                2 if dice.chance(1) => *items = vec![items[at].clone(); 60],
                3 => items.reverse(),
                _ => mutate(&mut items[at], other, words, dice),
            }
        }
        Value::String(text) => match dice.roll(5) {
            0 => *text = hostile_text(dice),
            1 => *text = dice.one_of(words).clone(),
            2 => text.push_str(&hostile_text(dice)),
            3 => {
                let mut letters: Vec<char> = text.chars().collect();
                if letters.len() > 1 {
                    let at = dice.roll(letters.len() - 1);
                    letters.swap(at, at + 1);
                }
                *text = letters.into_iter().collect();
            }
            _ => {
                if let Value::String(own) = other {
                    text.clone_from(own);
                }
            }
        },
        Value::Integer(number) => {
            *number = match dice.roll(4) {
                0 => -*number,
                1 => number.saturating_mul(10),
                2 => number.saturating_add(1),
                _ => number.saturating_sub(1),
            }
        }
        Value::Float(number) => *number *= *dice.one_of(&[-1.0, 0.1, 10.0, 0.0, 1.5]),
        Value::Boolean(flag) => *flag = !*flag,
        whole => *whole = hostile_value(dice),
    }
}

/// Changes one place of a tree to something that a careful person could have written: what lies behind the reader is tried with it.
pub fn nudge(value: &mut Value, dice: &mut Dice) {
    match value {
        Value::Table(table) if !table.is_empty() => {
            let keys: Vec<String> = table.keys().cloned().collect();
            let key = dice.one_of(&keys).clone();
            nudge(table.get_mut(&key).expect("it was listed"), dice);
        }
        Value::Array(items) if !items.is_empty() => {
            let at = dice.roll(items.len());
            match items[at] {
                Value::String(_) if items.len() > 1 => drop(items.remove(at)),
                _ => nudge(&mut items[at], dice),
            }
        }
        Value::Integer(number) => *number = number.saturating_add(dice.roll(9) as i64 + 1),
        Value::Float(number) => *number *= *dice.one_of(&[0.5, 1.5, 2.0]),
        Value::Boolean(flag) => *flag = !*flag,
        Value::Datetime(moment) => {
            if let Some(date) = &mut moment.date {
                date.day = dice.roll(28) as u8 + 1;
            }
        }
        // a word of a closed list is left alone
        _ => {}
    }
}

/// TOML as JSON text; numbers that JSON lacks become texts.
pub fn json(value: &Value) -> serde_json::Value {
    match value {
        Value::Datetime(moment) => moment.to_string().into(),
        Value::Float(number) if !number.is_finite() => number.to_string().into(),
        Value::Array(items) => items.iter().map(json).collect(),
        Value::Table(table) => {
            let entries = table.iter().map(|(key, value)| (key.clone(), json(value)));
            serde_json::Value::Object(entries.collect())
        }
        other => serde_json::to_value(other).expect("a plain value"),
    }
}

/// Changes bytes without regard to what they mean.
pub fn scramble(bytes: &mut Vec<u8>, dice: &mut Dice) {
    if bytes.is_empty() {
        return;
    }
    let at = dice.roll(bytes.len());
    match dice.roll(6) {
        0 => drop(bytes.remove(at)),
        1 => bytes.insert(at, *dice.one_of(b"\"[]{}=,.-#\n\r\t\0\xFF\xC3'\\&;<>()%/")),
        2 => bytes[at] ^= 1 << dice.roll(8),
        3 => bytes.truncate(at),
        4 => {
            let end = (at + dice.roll(40)).min(bytes.len());
            let piece = bytes[at..end].to_vec();
            let to = dice.roll(bytes.len());
            bytes.splice(to..to, piece);
        }
        _ => {
            let end = (at + dice.roll(40)).min(bytes.len());
            bytes.drain(at..end);
        }
    }
}

/// Whole lines of a wording file, or pieces of templates, put where they do not belong.
pub fn mutate_lines(bytes: &mut Vec<u8>, dice: &mut Dice) {
    let text = String::from_utf8_lossy(bytes).into_owned();
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let at = dice.roll(lines.len());
    match dice.roll(6) {
        0 if !lines.is_empty() => drop(lines.remove(at)),
        1 if !lines.is_empty() => lines.insert(at, lines[at].clone()),
        2 => lines.insert(at, format!("## {}", hostile_text(dice))),
        3 => lines.insert(at, "## advice.no-rubbing\n\nDo not rub.\n".to_owned()),
        4 => lines.insert(at, hostile_text(dice)),
        _ => {
            let piece = [
                "{{ area }}",
                "{{ x",
                "{% if x %}",
                "{% endif %}",
                "{{ plural(n, one=\"a\", other=\"b\") }}",
                "**",
                "[a](b)",
                "<b>",
                "|a|b|",
            ];
            let piece = dice.one_of(&piece);
            if let Some(line) = lines.get_mut(at) {
                line.push_str(piece);
            }
        }
    }
    *bytes = lines.join("\n").into_bytes();
}

/// Changes one place of a JSON tree.
pub fn mutate_json(value: &mut serde_json::Value, dice: &mut Dice) {
    match value {
        serde_json::Value::Object(map) if !map.is_empty() && dice.chance(8) => {
            let keys: Vec<String> = map.keys().cloned().collect();
            let key = dice.one_of(&keys);
            if dice.chance(1) {
                map.shift_remove(key);
            } else {
                mutate_json(map.get_mut(key).expect("it was listed"), dice);
            }
        }
        serde_json::Value::Object(map) => {
            map.insert(hostile_text(dice), serde_json::json!([1, null]));
        }
        serde_json::Value::String(text) if dice.chance(8) => *text = hostile_text(dice),
        whole => *whole = json(&hostile_value(dice)),
    }
}
