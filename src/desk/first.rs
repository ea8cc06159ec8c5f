//! Turns an empty folder into one that opens: with an invented practice to look around in, or with a clinic file of one's own.
//! Invariant: nothing that is there is written over; a clinic file is written only when the reader of clinic files finds it right.
//! Must not: guess what a clinic does.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::http::StatusCode;
use jiff::ToSpan;
use jiff::civil::{Date, date};
use serde_json::{Value, json};
use unic_langid::LanguageIdentifier;

use super::asking::{Answer, Asked};
use super::page::{Frame, Pages};
use super::{Desk, label, mistake_in_file, mistake_said};
use crate::catalogue::Catalogue;
use crate::diagnose::{Format, SourceFile};
use crate::domain::LabelId;
use crate::practice::{ClinicFiles, create, explained};
use crate::wording::{Wording, accents, library, serves};
use crate::{papers, plan};

macro_rules! sample {
    ($folder:literal: $($name:literal),+ $(,)?) => {
        &[$(($name, include_str!(concat!("../../samples/", $folder, "/", $name)))),+]
    };
}

/// Files of an invented practice.
type Invented = &'static [(&'static str, &'static str)];

/// The invented day is this one; its dates are moved so that it is tomorrow.
const INVENTED_DAY: Date = date(2026, 12, 3);

/// Where somebody is who reads a language, as long as no clinic says it.
const ENGLISH: Invented = sample!("bjorkviken/thursday":
    "clinic.toml", "brattland.toml", "castellan.toml", "friday.toml", "lindqvist.toml", "ohrn.toml",
    "oyelowo.toml", "quintana.toml", "renn.toml", "vanterpool.toml");
const SPANISH: Invented = sample!("patio-verde": "clinic.toml", "locutora.toml", "mandibula.toml");

/// The words for a reader of whom only the browser's languages are known.
pub(super) fn words_for(asked: &Asked) -> Arc<Wording> {
    let wanted = asked.languages.split(',').filter_map(|one| {
        let tag = one.split(';').next().unwrap_or_default().trim();
        tag.parse::<LanguageIdentifier>().ok()
    });
    let base = wanted
        .filter_map(|language| serves(&language))
        .next()
        .unwrap_or("en");
    let country = if base == "es" { "ES" } else { "GB" };
    let language: LanguageIdentifier = base.parse().expect("a tag of the library");
    let words = Wording::new(&language, country).and_then(|words| words.for_the_desk());
    Arc::new(words.expect("the release's words are complete, and a test fills each"))
}

/// Shows a page before there is a practice.
fn page(
    desk: &Desk,
    asked: &Asked,
    title: &str,
    name: &str,
    data: impl FnOnce(&Wording) -> Value,
) -> Answer {
    let words = words_for(asked);
    let pages = Pages::new(words.clone());
    let frame = Frame {
        desk,
        words: &words,
        practice: None,
        place: "",
        title: label(&words, title),
    };
    pages.page(name, &frame, data(&words))
}

pub(super) fn show(desk: &Desk, asked: &Asked) -> Answer {
    if desk.house.clinic_file().is_some() {
        return Answer::See("day".to_owned());
    }
    form(desk, asked, &BTreeMap::new(), &[])
}

fn form(
    desk: &Desk,
    asked: &Asked,
    mistakes: &BTreeMap<String, Vec<String>>,
    elsewhere: &[String],
) -> Answer {
    let files = desk.house.plan_files().unwrap_or_default();
    page(desk, asked, "desk.first.title", "first.html", |words| {
        let text = |name: &str, id: &str, wide: u8| field(words, asked, mistakes, name, id, wide);
        let choice = |name: &str, id: &str, wide: u8, options: Vec<(String, String)>| {
            let mut field = text(name, id, wide);
            field["kind"] = "select".into();
            let chosen = asked.field(name).unwrap_or_default().to_owned();
            let options: Vec<Value> = options
                .into_iter()
                .map(|(value, label)| json!({ "chosen": value == chosen, "value": value, "label": label }))
                .collect();
            field["options"] = options.into();
            field
        };
        let catalogue = Catalogue::embedded();
        let regions = catalogue.regions.iter().map(|region| {
            let place = label(words, LabelId::place(&region.id).as_str());
            (region.id.to_string(), place)
        });
        let languages = library::tags().map(|tag| {
            (
                tag.to_owned(),
                label(words, LabelId::language(tag).as_str()),
            )
        });
        let none = || (String::new(), label(words, "desk.visit.choose"));
        let products = catalogue
            .products
            .iter()
            .map(|p| (p.id.to_string(), p.id.to_string()));
        let clinic = vec![
            text("clinic.name", "desk.first.name", 12),
            text("clinic.address.0", "desk.first.address", 12),
            text("clinic.address.1", "desk.first.address-2", 12),
            text("clinic.phone", "desk.first.phone", 6),
            text("clinic.phone_out_of_hours", "desk.first.closed", 6),
            text("clinic.opening_hours", "desk.first.hours", 12),
            choice(
                "clinic.region",
                "desk.first.region",
                6,
                std::iter::once(none()).chain(regions).collect(),
            ),
            choice(
                "clinic.language",
                "desk.first.language",
                6,
                languages.collect(),
            ),
            text("clinic.time_zone", "desk.first.zone", 12),
        ];
        let people: Vec<Vec<Value>> = (0..2)
            .map(|n| {
                vec![
                    text(&format!("practitioner.{n}.name"), "desk.first.person", 12),
                    text(&format!("practitioner.{n}.role"), "desk.first.role", 6),
                    text(
                        &format!("practitioner.{n}.registration"),
                        "desk.first.registration",
                        6,
                    ),
                ]
            })
            .collect();
        let products: Vec<(String, String)> = std::iter::once(none()).chain(products).collect();
        let stock: Vec<Vec<Value>> = (0..2)
            .map(|n| {
                vec![
                    choice(
                        &format!("stock.{n}.product"),
                        "desk.visit.product",
                        12,
                        products.clone(),
                    ),
                    text(&format!("stock.{n}.vial_units"), "desk.visit.vial", 6),
                    text(&format!("stock.{n}.diluent_ml"), "desk.visit.diluent", 6),
                ]
            })
            .collect();
        json!({
            "clinic": clinic,
            "people": people,
            "stock": stock,
            "empty": files.is_empty(),
            "plans": files.len(),
            "refused": !mistakes.is_empty() || !elsewhere.is_empty(),
            "elsewhere": elsewhere,
        })
    })
}

fn field(
    words: &Wording,
    asked: &Asked,
    mistakes: &BTreeMap<String, Vec<String>>,
    name: &str,
    id: &str,
    wide: u8,
) -> Value {
    json!({
        "name": name,
        "label": label(words, id),
        "kind": "text",
        "value": asked.field(name).unwrap_or_default(),
        "options": [],
        "note": "",
        "mistakes": mistakes.get(name).cloned().unwrap_or_default(),
        "wide": wide,
    })
}

/// Puts an invented practice into the folder.
pub(super) fn try_out(desk: &Desk, asked: &Asked) -> Answer {
    let there = desk.house.plan_files().unwrap_or_default();
    if desk.house.clinic_file().is_some() || !there.is_empty() {
        return Answer::See("day".to_owned());
    }
    let spanish = words_for(asked).base() == "es";
    let invented = if spanish { SPANISH } else { ENGLISH };
    let tomorrow = desk.today().tomorrow().unwrap_or(desk.today());
    let days = (tomorrow - INVENTED_DAY).get_days();
    // the clinic file last: a folder that has one is no longer empty
    for (name, text) in invented.iter().rev() {
        let text = moved(text, days);
        if let Err(failed) = create(&desk.house.folder().join(name), text.as_bytes()) {
            return desk.plain_sorry(asked, &explained(&failed));
        }
    }
    Answer::See("day".to_owned())
}

/// A plan with all its days moved but those of birth.
fn moved(text: &str, days: i32) -> String {
    let mut out = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        if line.trim_start().starts_with("born") {
            out.push_str(line);
            continue;
        }
        let mut rest = line;
        while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
            out.push_str(&rest[..at]);
            rest = &rest[at..];
            let read = rest.get(..10).and_then(|text| text.parse::<Date>().ok());
            let day = read.and_then(|day| day.checked_add(days.days()).ok());
            let taken = match day {
                Some(day) => {
                    out.push_str(&day.to_string());
                    10
                }
                None => {
                    let end = rest
                        .find(|c: char| !c.is_ascii_digit())
                        .unwrap_or(rest.len());
                    out.push_str(&rest[..end]);
                    end
                }
            };
            rest = &rest[taken..];
        }
        out.push_str(rest);
    }
    out
}

/// Writes the clinic file of the form.
pub(super) fn write_clinic(desk: &Desk, asked: &Asked) -> Answer {
    if desk.house.clinic_file().is_some() {
        return Answer::See("day".to_owned());
    }
    let text = clinic_text(asked);
    let vocabulary = papers::vocabulary(Catalogue::embedded());
    let source = SourceFile::from_bytes("clinic.toml", text.as_bytes(), Format::Toml);
    let read = match &source {
        Ok(source) => plan::read_clinic(source, &vocabulary).map(drop),
        Err(found) => Err(vec![(**found).clone()]),
    };
    match read {
        Ok(()) => match create(&desk.house.folder().join("clinic.toml"), text.as_bytes()) {
            Ok(()) => Answer::See("day".to_owned()),
            Err(failed) => desk.plain_sorry(asked, &explained(&failed)),
        },
        Err(found) => {
            let words = words_for(asked);
            let mut mistakes: BTreeMap<String, Vec<String>> = BTreeMap::new();
            let mut elsewhere = Vec::new();
            for mistake in found {
                let what = mistake_said(&words, &mistake);
                match field_of(&mistake.path) {
                    Some(field) => mistakes.entry(field).or_default().push(what),
                    None => elsewhere.push(what),
                }
            }
            form(desk, asked, &mistakes, &elsewhere)
        }
    }
}

/// `practitioner[0].name` stands in the field `practitioner.0.name`; what has no field of its own at the first of its kind.
fn field_of(path: &str) -> Option<String> {
    let field = path.replace('[', ".").replace(']', "");
    match field.as_str() {
        "" => None,
        "clinic" => Some("clinic.name".to_owned()),
        "clinic.address" => Some("clinic.address.0".to_owned()),
        "practitioner" => Some("practitioner.0.name".to_owned()),
        "stock" => Some("stock.0.product".to_owned()),
        field if field.ends_with(".id") => Some(field.replace(".id", ".name")),
        field => Some(field.to_owned()),
    }
}

/// The clinic file that the form says. What cannot be a number stands in quotation marks, for the reader to point at.
fn clinic_text(asked: &Asked) -> String {
    use std::fmt::Write as _;
    let quoted = |text: &str| toml::Value::from(text).to_string();
    let mut out = String::from("[clinic]\n");
    let mut put = |key: &str, value: Option<&str>| {
        if let Some(value) = value {
            let _ = writeln!(out, "{key} = {}", quoted(value));
        }
    };
    put("name", asked.filled("clinic.name"));
    let address: Vec<String> = ["clinic.address.0", "clinic.address.1"]
        .iter()
        .filter_map(|name| asked.filled(name))
        .map(quoted)
        .collect();
    for key in [
        "phone",
        "phone_out_of_hours",
        "opening_hours",
        "region",
        "language",
        "time_zone",
    ] {
        put(key, asked.filled(&format!("clinic.{key}")));
    }
    if !address.is_empty() {
        let _ = writeln!(out, "address = [{}]", address.join(", "));
    }
    for n in 0..2 {
        let part = |key: &str| asked.filled(&format!("practitioner.{n}.{key}"));
        let Some(name) = part("name").or(part("role")).or(part("registration")) else {
            continue;
        };
        let _ = writeln!(
            out,
            "\n[[practitioner]]\nid = {}",
            quoted(&short_name(name, n))
        );
        for key in ["name", "role", "registration"] {
            if let Some(value) = part(key) {
                let _ = writeln!(out, "{key} = {}", quoted(value));
            }
        }
    }
    for n in 0..2 {
        let part = |key: &str| asked.filled(&format!("stock.{n}.{key}"));
        let Some(product) = part("product") else {
            continue;
        };
        let _ = writeln!(out, "\n[[stock]]\nproduct = {}", quoted(product));
        for key in ["vial_units", "diluent_ml"] {
            if let Some(value) = part(key) {
                let number = value.replace(',', ".");
                let number = number
                    .parse::<f64>()
                    .map(|_| number)
                    .unwrap_or(quoted(value));
                let _ = writeln!(out, "{key} = {number}");
            }
        }
    }
    out
}

/// The id of somebody new: the last word of the name in plain letters, and which one it is.
fn short_name(name: &str, n: usize) -> String {
    let plain = |word: &str| -> String {
        // an accent is no reason to lose the letter under it
        accents::parted(word)
            .chars()
            .filter(char::is_ascii_alphabetic)
            .map(|c| c.to_ascii_lowercase())
            .collect()
    };
    // "(invented)" is no name
    let outside = name.split('(').next().unwrap_or(name);
    let named = outside
        .split_whitespace()
        .rev()
        .map(plain)
        .find(|word| word.len() > 1);
    format!("{}-{}", named.unwrap_or_else(|| "person".to_owned()), n + 1)
}

/// A clinic file with mistakes: what is wrong in it, line by line. It is mended by hand.
pub(super) fn mistakes(desk: &Desk, asked: &Asked, files: &ClinicFiles) -> Answer {
    let answer = page(
        desk,
        asked,
        "desk.first.mistakes",
        "as-text.html",
        |words| {
            let mistakes: Vec<Value> = files
                .mistakes
                .iter()
                .map(|found| mistake_in_file(words, found))
                .collect();
            let text = std::fs::read_to_string(files.path()).unwrap_or_default();
            let lines: Vec<&str> = text.lines().collect();
            json!({ "file": crate::practice::shown(files.path()), "mistakes": mistakes, "lines": lines })
        },
    );
    match answer {
        Answer::Page(html) => Answer::Sorry(StatusCode::CONFLICT, html),
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_move_and_births_do_not() {
        let text =
            "born = 1990-09-09\ndate = 2026-12-03\nunits = 50 # 20261203\nwhen = \"2026-12\"\n";
        let wanted =
            "born = 1990-09-09\ndate = 2027-01-02\nunits = 50 # 20261203\nwhen = \"2026-12\"\n";
        assert_eq!(moved(text, 30), wanted);
    }
}
