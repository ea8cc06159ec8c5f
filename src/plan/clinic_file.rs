//! Turns the tree of a clinic file into a [`Clinic`].
//!
//! Invariant: all mistakes of the file are collected in one pass; a `Clinic` is made only when there is none.
//!
//! Must not: open the font folder or anything else on disk.

use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};

use crate::diagnose::{Code, Diagnostic, SourceFile, echo};
use crate::domain::{AreaId, RegionId};
use crate::plan::clinic_shapes::{ALLOWANCES, MOST_LINES};
use crate::plan::habits::{
    AftercareHabits, VisitHabits, read_aftercare, read_experience, read_stances, read_visits,
};
use crate::plan::keys::{self, AFTERCARE, CLINIC, EXPERIENCE, FEES, PRACTITIONER, STANCE, VISITS};
use crate::plan::numbers::Range;
use crate::plan::plan_file::{open, other_file};
use crate::plan::reader::{Field, Found, Reader, SHORT_MAX, Section, TEXT_MAX, join, value};
use crate::plan::stock_file::read_stock;
use crate::plan::translation_file::read_translations;
use crate::plan::tree::{Table, Value};
use crate::plan::{Branding, Clinic, Experience, Fees, PageSize, Practitioner, Vocabulary};

/// Fees that are believed, in any currency.
pub(in crate::plan) const BELIEVED_FEES: Range = Range(0.0, 100_000_000.0);

/// Reads a clinic file.
///
/// # Errors
/// Every mistake of the file, in the order of the file; never an empty list.
pub fn read_clinic(
    source: &SourceFile,
    vocabulary: &Vocabulary,
) -> Result<Clinic, Vec<Diagnostic>> {
    let (mut reader, mut root) = open(source, vocabulary);
    if let Some(other) = other_file(source, &root, "clinic", "patient") {
        return Err(vec![other]);
    }
    keys::check(&mut reader, &mut root, &keys::CLINIC_FILE);

    let head = keys::one(&mut reader, &root, &CLINIC, true)
        .and_then(|section| read_head(&mut reader, &section));
    let practitioners = read_practitioners(&mut reader, &root);
    let (stock, licences) = read_stock(&mut reader, &root);
    let visits = keys::one(&mut reader, &root, &VISITS, false)
        .map(|section| read_visits(&mut reader, &section))
        .unwrap_or_default();
    let aftercare = keys::one(&mut reader, &root, &AFTERCARE, false)
        .map(|section| read_aftercare(&mut reader, &section))
        .unwrap_or_default();
    let stances = keys::one(&mut reader, &root, &STANCE, false)
        .map(|section| read_stances(&mut reader, &section))
        .unwrap_or_default();
    let experience = keys::one(&mut reader, &root, &EXPERIENCE, false)
        .map(|section| read_experience(&mut reader, &section))
        .unwrap_or_default();
    let mut own_words: Vec<String> = Vec::new();
    own_words.extend(
        head.iter()
            .filter_map(|clinic| clinic.opening_hours.clone()),
    );
    own_words.extend(
        practitioners
            .iter()
            .flatten()
            .map(|person| person.role.clone()),
    );
    own_words.extend(experience.values().filter_map(|seen| match seen {
        Experience::Words(words) => Some(words.clone()),
        Experience::Weeks(..) => None,
    }));
    let translations = read_translations(&mut reader, &root, &own_words);
    let fees =
        keys::one(&mut reader, &root, &FEES, false).map(|section| read_fees(&mut reader, &section));

    reader.texts.sort_by_key(|text| text.span.start);
    let texts = std::mem::take(&mut reader.texts);
    let whole = || {
        Some(Clinic {
            practitioners: practitioners.into_iter().collect::<Option<_>>()?,
            stock: stock.into_iter().collect::<Option<_>>()?,
            licences,
            translations,
            fees: match fees {
                Some(fees) => Some(fees?),
                None => None,
            },
            visits,
            aftercare,
            stances,
            experience,
            texts,
            ..head?
        })
    };
    reader.finish(whole())
}

/// The part `[clinic]`, as a clinic without people, stock and fees.
fn read_head(reader: &mut Reader, section: &Section) -> Option<Clinic> {
    let name = reader
        .required(section, "name", "\"…\"")
        .and_then(|field| reader.free_text(&field, TEXT_MAX));
    let address = reader
        .required(section, "address", "[\"…\", \"…\"]")
        .map(|field| read_address(reader, &field));
    let phone = phone(reader, section, "phone");
    let phone_out_of_hours = phone_out_of_hours(reader, section);
    let opening_hours = reader
        .optional(section, "opening_hours")
        .and_then(|field| value(reader.free_text(&field, SHORT_MAX)));
    let vocabulary = reader.vocabulary;
    let regions = vocabulary.regions.iter().map(RegionId::as_str);
    let region = reader
        .required(section, "region", "\"GB-ENG\"")
        .and_then(|field| reader.word(&field, regions, Code::UnknownRegion, "region"));
    let language = reader
        .required(section, "language", "\"en\"")
        .and_then(|field| reader.language(&field));
    let sizes = PageSize::ALL.map(PageSize::as_str);
    let paper = reader
        .optional(section, "paper")
        .and_then(|field| reader.word(&field, sizes, Code::UnknownPaper, "paper size"))
        .and_then(|word| PageSize::from_word(&word.value));
    let time_zone = reader
        .optional(section, "time_zone")
        .and_then(|field| read_time_zone(reader, &field));
    let fonts = reader
        .optional(section, "fonts")
        .and_then(|field| read_inside(reader, &field, "fonts"));
    let calendar_details = match reader.optional(section, "calendar_details") {
        None => false,
        Some(field) => reader.flag(&field)?,
    };
    let training = match reader.optional(section, "allow_unapproved") {
        None => Some(false),
        Some(field) => {
            let word = reader.word(&field, ALLOWANCES, Code::UnknownAllowance, "allowance");
            word.map(|_| true)
        }
    };
    let approvals = reader
        .optional(section, "approvals")
        .and_then(|field| read_inside(reader, &field, "approvals.toml"));
    let overlay = reader
        .optional(section, "overlay")
        .and_then(|field| read_inside(reader, &field, "ours"));
    let file_names = reader
        .optional(section, "file_names")
        .and_then(|field| read_file_names(reader, &field));
    Some(Clinic {
        name: value(name)?,
        address: address?,
        phone: phone?,
        phone_out_of_hours: phone_out_of_hours?,
        opening_hours,
        region: value(region)?.into(),
        language: language?,
        paper,
        time_zone,
        fonts,
        calendar_details,
        training: training?,
        approvals,
        file_names,
        overlay,
        branding: Branding::default(),
        visits: VisitHabits::default(),
        aftercare: AftercareHabits::default(),
        stances: BTreeMap::new(),
        experience: BTreeMap::new(),
        practitioners: Vec::new(),
        stock: Vec::new(),
        licences: BTreeMap::new(),
        translations: Vec::new(),
        fees: None,
        texts: Vec::new(),
    })
}

fn read_address(reader: &mut Reader, field: &Field) -> Vec<String> {
    if matches!(field.node.value, Value::Text(_)) {
        return reader
            .free_text(field, TEXT_MAX)
            .map(|line| line.value)
            .into_iter()
            .collect();
    }
    if matches!(&field.node.value, Value::List(lines) if lines.is_empty()) {
        reader.report(
            Code::TextEmpty,
            field.node.span.clone(),
            &field.path,
            "The address has no lines.",
            "Write at least one line in quotation marks.",
        );
    }
    let lines = reader.list(field, MOST_LINES, "[\"…\", \"…\"]");
    lines
        .iter()
        .filter_map(|line| value(reader.free_text(line, TEXT_MAX)))
        .collect()
}

fn phone_out_of_hours(reader: &mut Reader, section: &Section) -> Option<String> {
    phone(reader, section, "phone_out_of_hours")
}

/// A telephone number is printed as written; that somebody can dial it is all that is checked.
fn phone(reader: &mut Reader, section: &Section, key: &str) -> Option<String> {
    let field = reader.required(section, key, "\"…\"")?;
    let text = reader.free_text(&field, SHORT_MAX)?;
    // three digits: the shortest emergency numbers
    if text.value.chars().filter(|c| c.is_numeric()).count() < 3 {
        reader.report(
            Code::MalformedPhone,
            text.span,
            &text.path,
            "This telephone number has fewer than three digits.",
            "Write the number a patient should dial.",
        );
        return None;
    }
    Some(text.value)
}

fn read_time_zone(reader: &mut Reader, field: &Field) -> Option<String> {
    let name = reader.text(field, SHORT_MAX)?;
    let database = jiff::tz::TimeZoneDatabase::bundled();
    if let Ok(zone) = database.get(&name.value) {
        // in the database's own spelling; capital letters do not count when it is looked up
        return Some(zone.iana_name().map_or(name.value, str::to_owned));
    }
    if database.is_definitively_empty() {
        // a machine without time zone data is no mistake of the clinic file
        return Some(name.value);
    }
    let all: Vec<String> = database
        .available()
        .map(|known| known.to_string())
        .collect();
    let remedy = crate::diagnose::closest(&name.value, all.iter().map(String::as_str)).map_or(
        "Write it as continent and city, like Europe/London.".to_owned(),
        |meant| format!("Did you mean `{meant}`?"),
    );
    reader.report(
        Code::UnknownTimeZone,
        name.span,
        &name.path,
        format!("`{}` is not a known time zone.", echo(&name.value)),
        remedy,
    );
    None
}

/// A folder or file that belongs to the clinic and lies inside its folder.
pub(in crate::plan) fn read_inside(
    reader: &mut Reader,
    field: &Field,
    example: &str,
) -> Option<PathBuf> {
    let folder = reader.text(field, TEXT_MAX)?;
    let inside = |component| matches!(component, Component::Normal(_) | Component::CurDir);
    // a drive letter or backslash is an ordinary name on some systems, so it is looked for by hand
    let foreign = folder.value.contains(['\\', ':']);
    if !foreign && Path::new(&folder.value).components().all(inside) {
        return Some(PathBuf::from(folder.value));
    }
    reader.report(
        Code::FontsOutside,
        folder.span,
        &folder.path,
        "This must be inside the folder of the clinic file.",
        format!(
            "Write its name as seen from the clinic file, with / between folders, like {example}."
        ),
    );
    None
}

/// A pattern for file names that keeps the papers of two visits apart.
fn read_file_names(reader: &mut Reader, field: &Field) -> Option<String> {
    let pattern = reader.text(field, SHORT_MAX)?;
    let mut rest = pattern.value.clone();
    for part in ["{record}", "{date}", "{paper}", "{name}"] {
        rest = rest.replace(part, "");
    }
    let whole = ["{record}", "{date}", "{paper}"]
        .iter()
        .all(|part| pattern.value.contains(part));
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.' | ' ');
    if whole && rest.chars().all(plain) && !pattern.value.starts_with('.') {
        return Some(pattern.value);
    }
    reader.report(
        Code::FileNames,
        pattern.span,
        &pattern.path,
        "This is not a pattern for file names.",
        "Use {record}, {date} and {paper}, if you like {name}, and between them letters, digits, hyphens, points or spaces.",
    );
    None
}

fn read_practitioners(reader: &mut Reader, root: &Table) -> Vec<Option<Practitioner>> {
    let sections = keys::several(reader, root, &PRACTITIONER);
    let empty = match root.get(PRACTITIONER.name).map(|entry| &entry.node) {
        None if reader.damaged || reader.excused.contains(PRACTITIONER.name) => None,
        None => Some(keys::start_of(reader.source)),
        Some(node) => {
            matches!(&node.value, Value::List(items) if items.is_empty()).then(|| node.span.clone())
        }
    };
    if let Some(span) = empty {
        let remedy = format!(
            "Add {} for each practitioner: id, name, role, registration.",
            PRACTITIONER.written(reader.source)
        );
        reader.report(
            Code::NoPractitioner,
            span,
            PRACTITIONER.name,
            "The clinic file names no practitioner.",
            remedy,
        );
    }
    let mut seen: Vec<Found<String>> = Vec::new();
    let mut people = Vec::new();
    for section in &sections {
        let id = read_id(reader, section);
        if let Some(id) = &id {
            match seen.iter().find(|first| first.value == id.value) {
                Some(first) => {
                    reader.report_second(
                        Code::PractitionerTwice,
                        id,
                        (first.span.clone(), "used here first"),
                        "Two practitioners have this id.",
                        "Give each practitioner an id of their own.",
                    );
                }
                None => seen.push(id.clone()),
            }
        }
        let [name, role, registration] = ["name", "role", "registration"].map(|key| {
            let field = reader.required(section, key, "\"…\"")?;
            value(reader.free_text(&field, TEXT_MAX))
        });
        let prescribes = reader
            .optional(section, "prescribes")
            .and_then(|field| reader.flag(&field));
        let person = || {
            Some(Practitioner {
                id: id?.value.into(),
                name: name?,
                role: role?,
                registration: registration?,
                prescribes,
            })
        };
        people.push(person());
    }
    people
}

fn read_id(reader: &mut Reader, section: &Section) -> Option<Found<String>> {
    let field = reader.required(section, "id", "\"…\"")?;
    let id = reader.text(&field, SHORT_MAX)?;
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.');
    if id.value.chars().all(plain) {
        return Some(id);
    }
    reader.report(
        Code::MalformedId,
        id.span,
        &id.path,
        "This id holds something besides letters, digits, hyphens, underscores and points.",
        "Write a short name like m-varga.",
    );
    None
}

fn read_fees(reader: &mut Reader, section: &Section) -> Option<Fees> {
    let currency = reader
        .required(section, "currency", "\"GBP\"")
        .and_then(|field| reader.text(&field, SHORT_MAX));
    if let Some(currency) = &currency {
        let code = &currency.value;
        if code.len() != 3 || !code.bytes().all(|b| b.is_ascii_uppercase()) {
            reader.report(
                Code::MalformedCurrency,
                currency.span.clone(),
                &currency.path,
                "A currency is written as three capital letters.",
                "Write it like GBP, EUR or USD.",
            );
        }
    }
    let mut area = BTreeMap::new();
    if let Some(field) = reader.optional(section, "area") {
        match &field.node.value {
            Value::Table(table) => area = read_area_fees(reader, table, &field.path),
            _ => reader.wrong_type(
                &field,
                "a group of values",
                "Write the fee of each area beside the area's id.",
            ),
        }
    }
    Some(Fees {
        currency: value(currency)?,
        area,
    })
}

fn read_area_fees(reader: &mut Reader, table: &Table, path: &str) -> BTreeMap<AreaId, f64> {
    let mut fees = BTreeMap::new();
    for entry in &table.entries {
        let at = join(path, &entry.key);
        if reader.vocabulary.area(&entry.key).is_none() {
            let ids = reader.vocabulary.areas.iter().map(|area| area.id.as_str());
            let remedy = crate::diagnose::hint(&entry.key, ids, "area");
            reader.report(
                Code::UnknownArea,
                entry.key_span.clone(),
                &echo(&at),
                format!("`{}` is not a known area.", echo(&entry.key)),
                remedy,
            );
            continue;
        }
        let field = Field {
            node: &entry.node,
            path: at,
        };
        if let Some(fee) = reader.number(&field, BELIEVED_FEES, Code::FeeOutOfRange, "A fee") {
            fees.insert(entry.key.as_str().into(), fee);
        }
    }
    fees
}
