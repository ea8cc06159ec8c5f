//! Whatever is in a file, the reader answers: with a visit or with mistakes that can be shown, and never at length.

use crate::support::plan_reader::{clinic, good, vocabulary};
use beforehand::diagnose::{Format, SourceFile, Style, render};
use beforehand::plan::{Clinic, Vocabulary, read_clinic, read_plan};

/// Most lines that an answer may have, however much is wrong: a few for each of the mistakes that are shown.
const MOST_LINES: usize = 1_000;

/// Reads bytes as plan and clinic, and checks what every answer must hold. Returns how many mistakes there were.
fn answer(bytes: &[u8], format: Format, vocabulary: &Vocabulary, clinic: &Clinic) -> usize {
    let Ok(source) = SourceFile::from_bytes("case", bytes, format) else {
        return 1;
    };
    let mut mistakes = 0;
    let plan = read_plan(&source, vocabulary, Some(clinic)).err();
    let place = read_clinic(&source, vocabulary).err();
    for found in [plan, place].into_iter().flatten() {
        assert!(!found.is_empty(), "refused without a reason");
        mistakes += found.len();
        for d in &found {
            let span = d.span.clone().expect("a mistake inside a file has a place");
            assert!(
                source.text().get(span.clone()).is_some(),
                "{span:?} cuts the text"
            );
            assert_eq!(d.position, Some(source.position(span.start)));
            assert!(!d.problem.is_empty() && !d.remedy.is_empty());
        }
        let shown = render(&found, &source, Style::Plain);
        assert!(shown.contains(found[0].code.as_str()));
        // however much is wrong, a person can read the answer
        assert!(
            shown.lines().count() <= MOST_LINES,
            "{} lines",
            shown.lines().count()
        );
    }
    mistakes
}

#[test]
fn every_beginning_of_a_plan_gets_an_answer() {
    let (vocabulary, clinic) = (vocabulary(), clinic());
    for (name, format) in [
        ("plan.toml", Format::Toml),
        ("plan.json", Format::Json),
        ("clinic.toml", Format::Toml),
    ] {
        let text = good(name);
        let bytes = text.trim_end().as_bytes();
        for end in 0..bytes.len() {
            let mistakes = answer(&bytes[..end], format, &vocabulary, &clinic);
            // half a file is never both a plan and a clinic
            assert!(mistakes > 0, "{name} up to {end}");
        }
    }
}

#[test]
fn every_plan_with_one_byte_left_out_gets_an_answer() {
    let (vocabulary, clinic) = (vocabulary(), clinic());
    for (name, format) in [
        ("plan.toml", Format::Toml),
        ("plan.json", Format::Json),
        ("clinic.toml", Format::Toml),
    ] {
        let bytes = good(name).into_bytes();
        for at in 0..bytes.len() {
            let mut damaged = bytes.clone();
            damaged.remove(at);
            answer(&damaged, format, &vocabulary, &clinic);
        }
    }
}

/// Every byte replaced by signs that mean something, and by one that is no text.
#[test]
fn every_plan_with_one_byte_exchanged_gets_an_answer() {
    let (vocabulary, clinic) = (vocabulary(), clinic());
    for (name, format) in [("plan.toml", Format::Toml), ("plan.json", Format::Json)] {
        let bytes = good(name).into_bytes();
        for at in 0..bytes.len() {
            for by in *b"\"[]{}=,.-#\n\0\xFF" {
                let mut damaged = bytes.clone();
                damaged[at] = by;
                answer(&damaged, format, &vocabulary, &clinic);
            }
        }
    }
}

/// As much nonsense as a file may hold. No clock is asked: at these sizes a reader whose work grows with the square of the
/// input, or that recurses as deep as the text, does not come back.
#[test]
fn huge_and_deep_nonsense_is_answered_with_little() {
    let (vocabulary, clinic) = (vocabulary(), clinic());
    let keys: String = (0..20_000).map(|n| format!("key{n} = {n}\n")).collect();
    let json_keys: String = (0..20_000).map(|n| format!("\"key{n}\": {n},")).collect();
    let toml = [
        ("open brackets", "a = ".to_owned() + &"[".repeat(500_000)),
        ("open braces", "a = {a = ".repeat(60_000)),
        ("deep heading", format!("[{}a]", "a.".repeat(400_000))),
        ("deep key", format!("{}a = 1", "a.".repeat(400_000))),
        ("no sense", "x\n".repeat(100_000)),
        ("same key", "a=1\n".repeat(100_000)),
        ("same heading", "[a]\n".repeat(100_000)),
        ("unknown keys", format!("[patient]\n{keys}")),
        ("areas", "[[area]]\nid=\"glabella\"\n".repeat(30_000)),
        ("bells", "\u{7}\n".repeat(150_000)),
        ("one long line", format!("x = \"{}\"", "é".repeat(400_000))),
        ("open text", format!("x = \"\"\"{}", "a\n".repeat(400_000))),
    ];
    let json = [
        ("open brackets", "[".repeat(900_000)),
        ("open braces", "{\"a\":".repeat(150_000)),
        (
            "same key",
            format!("{{{}\"a\":1}}", "\"a\":1,".repeat(30_000)),
        ),
        (
            "unknown keys",
            format!("{{\"patient\":{{{json_keys}\"a\":1}}}}"),
        ),
        ("bells", "\u{7}".repeat(300_000)),
    ];
    let cases = toml.iter().map(|case| (case, Format::Toml));
    for ((name, text), format) in cases.chain(json.iter().map(|case| (case, Format::Json))) {
        assert!(
            answer(text.as_bytes(), format, &vocabulary, &clinic) > 0,
            "{name} ({format:?})"
        );
    }
}
