//! Mutated plans, clinic files, overlays, papers and registers: each gets an answer, none a panic.
//!
//! Invariant: the same inputs on every machine, from a seed; enough of them get past reading that what lies behind is tried too.
//! Must not: pass when nearly everything is refused at the door. The long run is ignored: `cargo test --test library hostile -- --ignored`.

mod mutate;

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

use beforehand::catalogue::{Catalogue, Restriction};
use beforehand::diagnose::{Diagnostic, Format, SourceFile, Style, render};
use beforehand::overlay::{File, Overlay};
use beforehand::paper::PaperKind;
use beforehand::papers;
use beforehand::plan::{Clinic, Visit, Vocabulary, read_clinic, read_plan};
use beforehand::practice::MakeOptions;
use beforehand::record::{self, Appender, DocumentCode, Entry, Record, Register};
use beforehand::select::select;
use beforehand::typeset::{Fonts, Typesetter};
use beforehand::wording::{Approvals, Wording, library};
use toml::Value;

use crate::support::composed::document;

use mutate::{Dice, hostile_text, json, mutate, mutate_json, mutate_lines, nudge, scramble, words};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn files_in(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder of this repository") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            files_in(&path, found);
        } else {
            found.push(path);
        }
    }
    found.sort();
}

/// The trees of all sample plans and clinic files.
fn seeds(clinics: bool) -> Vec<Value> {
    let mut files = Vec::new();
    files_in(&root().join("samples"), &mut files);
    let seeds: Vec<Value> = files
        .iter()
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .filter(|path| !path.components().any(|part| part.as_os_str() == "ours"))
        .filter(|path| path.ends_with("clinic.toml") == clinics)
        .map(|path| {
            let text = std::fs::read_to_string(path).expect("a sample");
            Value::Table(text.parse().expect("a sample is TOML"))
        })
        .collect();
    assert!(seeds.len() > 4, "the samples were not found");
    seeds
}

/// How many inputs there were, and how many of them got past reading.
#[derive(Debug, Default)]
struct Tally {
    tried: usize,
    read: usize,
}

/// Tries `budget` inputs; a panic is told with the input that made it.
fn run(name: &str, budget: usize, seed: u64, mut one: impl FnMut(&mut Dice, &mut Vec<u8>) -> bool) {
    let mut tally = Tally::default();
    for number in 0..budget {
        let mut dice = Dice(seed ^ (number as u64).wrapping_mul(0x5851_F42D_4C95_7F2D));
        let mut input = Vec::new();
        let answered = catch_unwind(AssertUnwindSafe(|| one(&mut dice, &mut input)));
        tally.tried += 1;
        match answered {
            Ok(read) => tally.read += usize::from(read),
            Err(_) => panic!(
                "{name}, input {number}, made the program panic:\n{}",
                String::from_utf8_lossy(&input)
            ),
        }
    }
    println!(
        "{name}: {} of {} inputs got past reading",
        tally.read, tally.tried
    );
    // both ways must be walked: mostly refused, or mostly accepted, would try half of the program only
    let (least, most) = (budget / 5, budget - budget / 20);
    assert!(
        (least..=most).contains(&tally.read),
        "{name}: {} of {} inputs got past reading",
        tally.read,
        tally.tried
    );
}

/// What every refusal must hold.
fn shown(found: &[Diagnostic], source: &SourceFile) {
    assert!(!found.is_empty(), "refused without a reason");
    for mistake in found {
        let span = mistake
            .span
            .clone()
            .expect("a mistake inside a file has a place");
        assert!(source.text().get(span).is_some(), "a place cuts the text");
        assert!(!mistake.problem.is_empty() && !mistake.remedy.is_empty());
    }
    assert!(render(found, source, Style::Plain).contains(found[0].code.as_str()));
}

/// A mutated tree as a file of either format.
fn file(
    tree: &mut Value,
    seeds: &[Value],
    words: &[String],
    dice: &mut Dice,
    input: &mut Vec<u8>,
) -> Option<SourceFile> {
    // half of them could have been meant
    if dice.chance(5) {
        for _ in 0..=dice.roll(3) {
            nudge(tree, dice);
        }
    } else {
        for _ in 0..=dice.roll(2) {
            let other = dice.one_of(seeds);
            mutate(tree, other, words, dice);
        }
    }
    let format = if dice.chance(4) {
        Format::Json
    } else {
        Format::Toml
    };
    *input = match format {
        Format::Json => json(tree).to_string().into_bytes(),
        Format::Toml => toml::to_string(tree).ok()?.into_bytes(),
    };
    if dice.chance(1) {
        scramble(input, dice);
    }
    SourceFile::from_bytes("case", input, format).ok()
}

fn clinics(vocabulary: &Vocabulary) -> Vec<Clinic> {
    let text = |value: &Value| toml::to_string(value).expect("a sample is TOML");
    seeds(true)
        .iter()
        .filter_map(|seed| {
            let source = SourceFile::from_bytes("clinic.toml", text(seed).as_bytes(), Format::Toml);
            read_clinic(&source.expect("text"), vocabulary).ok()
        })
        .collect()
}

/// Plans that can be read go on through choosing and composing, as `make` does before it lays out pages.
fn plans(budget: usize, seed: u64) {
    let catalogue = Catalogue::embedded();
    let vocabulary = papers::vocabulary(catalogue);
    let (seeds, words, clinics) = (seeds(false), words(&vocabulary), clinics(&vocabulary));
    let mut wordings: BTreeMap<String, Wording> = BTreeMap::new();
    let typesetter = Typesetter::embedded();
    run("plans", budget, seed, |dice, input| {
        let mut tree = dice.one_of(&seeds).clone();
        let clinic = dice.one_of(&clinics);
        // the samples belong to several clinics: this one's practitioner treats, with what it stocks
        if dice.chance(9) {
            tree["visit"]["practitioner"] = Value::String(clinic.practitioners[0].id.to_string());
            if let Some(stock) = clinic.stock.first() {
                tree["product"]["name"] = Value::String(stock.product.to_string());
            }
        }
        let Some(source) = file(&mut tree, &seeds, &words, dice, input) else {
            return false;
        };
        let visit = match read_plan(&source, &vocabulary, Some(clinic)) {
            Ok(visit) => visit,
            Err(found) => {
                shown(&found, &source);
                return false;
            }
        };
        let selection =
            select(catalogue, clinic, &visit).expect("a plan that was read can be worked out");
        let wording =
            papers::wording_for(&visit, clinic).expect("a language that was read has words");
        let wording = wordings.entry(wording.tag().to_owned()).or_insert(wording);
        for paper in PaperKind::ALL {
            let document = document(paper, &selection, wording, &Approvals::none());
            let text = serde_json::to_string(&document).expect("a document is plain data");
            // a minus in front of nothing, and what is no number, are never printed
            for nonsense in ["-0 unit", "-0 mL", "NaN", " inf "] {
                assert!(
                    !text.contains(nonsense) || has(input, nonsense),
                    "{paper:?}: {nonsense}"
                );
            }
            let record = Record::of(paper, &selection, wording, &Approvals::none(), &document);
            let again: Record = serde_json::from_str(&record.line()).expect("its own line");
            assert_eq!(again, record);
        }
        if dice.roll(1000) == 0 {
            laid_out(&visit, clinic, &typesetter);
        }
        true
    });
}

/// The whole way, to the bytes of every file.
fn laid_out(visit: &Visit, clinic: &Clinic, typesetter: &Typesetter) {
    let inputs = papers::Inputs {
        catalogue: Catalogue::embedded(),
        clinic,
        visit,
        approvals: &Approvals::none(),
        typesetter,
    };
    let made = papers::make(inputs, &MakeOptions::default()).expect("a plan that was read");
    let files = made.files(&[]).expect("papers that were laid out");
    assert!(files.iter().any(|file| file.bytes.starts_with(b"%PDF")));
}

/// Typed by hand, a nonsense number is a text like any other.
fn has(input: &[u8], text: &str) -> bool {
    String::from_utf8_lossy(input).contains(text.trim())
}

fn clinic_files(budget: usize, seed: u64) {
    let catalogue = Catalogue::embedded();
    let vocabulary = papers::vocabulary(catalogue);
    let (seeds, words) = (seeds(true), words(&vocabulary));
    run("clinic files", budget, seed, |dice, input| {
        let mut tree = dice.one_of(&seeds).clone();
        let Some(source) = file(&mut tree, &seeds, &words, dice, input) else {
            return false;
        };
        match read_clinic(&source, &vocabulary) {
            Ok(clinic) => {
                assert!(!clinic.practitioners.is_empty() && !clinic.address.is_empty());
                let positive = |fee: &f64| fee.is_finite() && fee.is_sign_positive();
                assert!(
                    clinic
                        .fees
                        .iter()
                        .all(|fees| fees.area.values().all(positive))
                );
                true
            }
            Err(found) => {
                shown(&found, &source);
                false
            }
        }
    });
}

fn overlay_files() -> Vec<File> {
    let folder = root().join("samples/rowan-quay/ours");
    let mut paths = Vec::new();
    files_in(&folder, &mut paths);
    let files: Vec<File> = paths
        .iter()
        .map(|path| {
            let name = path
                .strip_prefix(&folder)
                .expect("inside")
                .to_string_lossy()
                .into_owned();
            File {
                shown: name.clone(),
                name,
                bytes: std::fs::read(path).expect("a sample"),
            }
        })
        .collect();
    assert!(files.len() > 4, "the overlay was not found");
    files
}

fn overlays(budget: usize, seed: u64) {
    let (files, fonts) = (overlay_files(), Fonts::embedded());
    let words = words(&papers::vocabulary(Catalogue::embedded()));
    run("overlays", budget, seed, |dice, input| {
        let mut files = files.clone();
        for _ in 0..=dice.roll(2) {
            let at = dice.roll(files.len());
            let file = &mut files[at];
            let tree = || {
                String::from_utf8_lossy(&file.bytes)
                    .parse::<toml::Table>()
                    .ok()
            };
            match (
                dice.roll(5),
                file.name.rsplit_once('.').map(|(_, ending)| ending),
            ) {
                (0, _) => scramble(&mut file.bytes, dice),
                (1, _) => file.name = format!("{}{}", hostile_text(dice), file.name),
                (_, Some("toml")) => {
                    if let Some(table) = tree() {
                        let mut tree = Value::Table(table);
                        let other = tree.clone();
                        mutate(&mut tree, &other, &words, dice);
                        if let Ok(text) = toml::to_string(&tree) {
                            file.bytes = text.into_bytes();
                        }
                    }
                }
                (_, Some("md")) => mutate_lines(&mut file.bytes, dice),
                _ => scramble(&mut file.bytes, dice),
            }
            *input = [file.name.as_bytes(), b"\n", &file.bytes].concat();
        }
        let overlay = Overlay::read(&files, &fonts);
        for mistakes in &overlay.mistakes {
            match &mistakes.source {
                Some(source) => shown(&mistakes.found, source),
                None => assert!(!mistakes.found.is_empty()),
            }
        }
        if overlay.is_right() {
            let language = "en".parse().expect("a tag");
            Wording::with(&language, "GB", &overlay.branding.words)
                .expect("words without a mistake can be used");
        }
        overlay.is_right()
    });
}

fn a_record() -> serde_json::Value {
    let statements: BTreeMap<String, String> = [
        "masseter.risk.bruise",
        "general.mild-bleeding",
        "gone.for-good",
    ]
    .into_iter()
    .map(|id| (id.to_owned(), library::digest(id)))
    .collect();
    serde_json::json!({
        "beforehand-record": 1, "program": "0.1.0", "paper": "consent", "region": "GB-ENG",
        "wording": { "version": "1", "language": "en-GB", "digest": "0" },
        "catalogue": "0", "plan": "1", "content": "2", "made-on": "2026-11-26", "statements": statements,
    })
}

fn records(budget: usize, seed: u64) {
    let wording = Wording::new(&"en".parse().expect("a tag"), "GB").expect("words");
    run("records", budget, seed, |dice, input| {
        let mut record = a_record();
        if dice.chance(8) {
            mutate_json(&mut record, dice);
        }
        let line = record.to_string();
        let escaped = line
            .replace('&', "&amp;")
            .replace('<', "&lt;")
            .replace('"', "&quot;");
        let literal = line
            .replace('\\', "\\\\")
            .replace('(', "\\(")
            .replace(')', "\\)");
        let held = match dice.roll(3) {
            0 => format!("<x pdf:Keywords=\"{escaped}\"/>"),
            1 => format!("<pdf:Keywords>{escaped}</pdf:Keywords>"),
            _ => format!("3 0 obj<</Title(A letter)/Keywords ({literal})>>endobj"),
        };
        *input = format!("%PDF-1.7\n{held}\ntrailer<</Size 4>>\n%%EOF\n").into_bytes();
        if dice.chance(3) {
            scramble(input, dice);
        }
        match record::read(input) {
            Ok(record) => {
                let again: Record = serde_json::from_str(&record.line()).expect("its own line");
                assert_eq!(again, record);
                let code = record.code().to_string();
                assert_eq!(
                    DocumentCode::read(&code).map(|read| read.to_string()),
                    Ok(code)
                );
                record.differences(&wording);
                record.words(&wording);
                true
            }
            Err(error) => {
                assert!(!error.to_string().is_empty());
                false
            }
        }
    });
}

fn registers(budget: usize, seed: u64) {
    let record: Record = serde_json::from_value(a_record()).expect("a record");
    let entry = |number: usize| Entry {
        code: record.code().to_string(),
        paper: "consent".to_owned(),
        file: format!("INV-{number}.pdf"),
        sha256: beforehand::domain::digest::sha256(&number.to_le_bytes()),
        made_on: "2026-11-26".to_owned(),
        made_from: None,
        record: record.clone(),
        words: BTreeMap::from([(library::digest("words"), "words".to_owned())]),
    };
    let folder = tempfile::tempdir().expect("a temporary folder");
    run("registers", budget, seed, |dice, input| {
        for number in 0..=dice.roll(4) {
            let mut line = serde_json::to_value(entry(number)).expect("plain data");
            if dice.chance(3) {
                mutate_json(&mut line, dice);
            }
            input.extend(format!("{line}\n").bytes());
        }
        if dice.chance(4) {
            scramble(input, dice);
        }
        let before = Register::parse(input);
        let path = folder.path().join("register.jsonl");
        std::fs::write(&path, &input).expect("a temporary folder");
        let added = entry(usize::MAX);
        Appender::new(&path)
            .append(std::slice::from_ref(&added))
            .expect("a register that is damaged is added to");
        let after = Register::open(&path).expect("it was written");
        let files = |register: &Register| -> Vec<String> {
            register
                .entries
                .iter()
                .map(|(_, entry)| entry.file.clone())
                .collect()
        };
        // what could be read can be read still, and the new line with it
        assert!(files(&after).starts_with(&files(&before)));
        assert!(
            after
                .entries
                .iter()
                .any(|(_, entry)| entry.file == added.file && entry.sha256 == added.sha256)
        );
        before.unreadable.is_empty() && !before.entries.is_empty()
    });
}

/// Nothing is planned for areas that are never treated: no sum is printed of it, with or without a minus.
#[test]
fn no_sum_is_printed_of_nothing() {
    let catalogue = Catalogue::embedded();
    let vocabulary = papers::vocabulary(catalogue);
    let clinic = &clinics(&vocabulary)[0];
    let never = catalogue
        .areas
        .iter()
        .find(|area| area.restriction.value == Restriction::DoNotTreat)
        .expect("some area is never treated");
    let (person, product) = (&clinic.practitioners[0].id, &vocabulary.products[0].id);
    let text = format!(
        "[patient]\nname = \"X (invented)\"\nborn = 1980-01-01\nrecord = \"1\"\n[visit]\ndate = 2026-12-03\n\
         practitioner = \"{person}\"\n[product]\nname = \"{product}\"\n[[area]]\nid = \"{}\"\nside = \"both\"\nunits = 4\n\
         [[history]]\ndate = 2026-10-20\n",
        never.id
    );
    let without_stock = Clinic {
        stock: Vec::new(),
        ..clinic.clone()
    };
    let source = SourceFile::from_bytes("plan.toml", text.as_bytes(), Format::Toml).expect("text");
    let visit = read_plan(&source, &vocabulary, Some(&without_stock))
        .unwrap_or_else(|found| panic!("{}", render(&found, &source, Style::Plain)));
    let selection = select(catalogue, &without_stock, &visit).expect("it can be worked out");
    let wording = papers::wording_for(&visit, &without_stock).expect("words");
    for kind in PaperKind::ALL {
        let document = document(kind, &selection, &wording, &Approvals::none());
        let text = serde_json::to_string(&document).expect("data");
        for minus in [" -0 ", " -0.", "\"-0"] {
            assert!(!text.contains(minus), "{kind:?}: {text}");
        }
    }
}

const SEED: u64 = 0x0BEF_04E4_A11D;

#[test]
fn hostile_plans_are_answered() {
    plans(400, SEED);
}

#[test]
fn hostile_clinic_files_are_answered() {
    clinic_files(400, SEED);
}

#[test]
fn hostile_overlays_are_answered() {
    overlays(120, SEED);
}

#[test]
fn hostile_records_are_answered() {
    records(600, SEED);
}

#[test]
fn hostile_registers_are_answered() {
    registers(300, SEED);
}

/// A million inputs in all, in five tests that run beside each other: `cargo test --release --test library hostile -- --ignored`.
mod for_long {
    use super::*;

    #[test]
    #[ignore = "the long run; takes an hour"]
    fn hostile_plans_are_answered_for_long() {
        plans(150_000, SEED + 1);
    }

    #[test]
    #[ignore = "the long run; takes an hour"]
    fn hostile_clinic_files_are_answered_for_long() {
        clinic_files(400_000, SEED + 1);
    }

    #[test]
    #[ignore = "the long run; takes an hour"]
    fn hostile_overlays_are_answered_for_long() {
        overlays(50_000, SEED + 1);
    }

    #[test]
    #[ignore = "the long run; takes an hour"]
    fn hostile_records_are_answered_for_long() {
        records(300_000, SEED + 1);
    }

    #[test]
    #[ignore = "the long run; takes an hour"]
    fn hostile_registers_are_answered_for_long() {
        registers(100_000, SEED + 1);
    }
}
