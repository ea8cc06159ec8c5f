//! Turns the tree of a plan file into a [`Visit`].
//!
//! Invariant: all mistakes of the file are collected in one pass; a `Visit` is made only when there is none.
//!
//! Must not: decide anything about treatment.

use std::collections::{BTreeMap, BTreeSet};

use crate::diagnose::{Code, Diagnostic, SourceFile};
use crate::domain::EarlierReason;
use crate::domain::{AreaId, FactId, PractitionerId, ProductId};
use crate::plan::asked;
use crate::plan::keys::{self, ANSWER, AREA, ASKED, EVENT, HISTORY, PATIENT, PRODUCT, VISIT};
use crate::plan::numbers::{ABSURD_UNITS, MOST_REVISIONS};
use crate::plan::order::Frame;
use crate::plan::plan_area::{Common, read_areas};
use crate::plan::reader::{Found, Reader, SHORT_MAX, Section, TEXT_MAX, value};
use crate::plan::shapes::MOST_IN_PLAN;
use crate::plan::tree::{self, Table, Value};
use crate::plan::words::with_stock;
use crate::plan::{
    Clinic, EarlierTreatment, Event, FactValue, Patient, Product, Visit, Vocabulary,
};

/// Reads a plan file.
///
/// With a clinic, its practitioners and stock are checked, and its language and stock fill what the plan leaves out.
///
/// # Errors
/// Every mistake of the file, in the order of the file; never an empty list.
pub fn read_plan(
    source: &SourceFile,
    vocabulary: &Vocabulary,
    clinic: Option<&Clinic>,
) -> Result<Visit, Vec<Diagnostic>> {
    let (mut reader, mut root) = open(source, vocabulary);
    if let Some(other) = other_file(source, &root, "patient", "clinic") {
        return Err(vec![other]);
    }
    keys::check(&mut reader, &mut root, &keys::PLAN);

    let patient_section = keys::one(&mut reader, &root, &PATIENT, true);
    let visit_section = keys::one(&mut reader, &root, &VISIT, true);
    let product_section = keys::one(&mut reader, &root, &PRODUCT, true);

    // the two dates first: the others are compared with them
    let frame = Frame {
        born: date(&mut reader, patient_section.as_ref(), "born", "1984-02-11"),
        visit: date(&mut reader, visit_section.as_ref(), "date", "2026-12-03"),
    };
    frame.check(&mut reader);
    let mut patient = patient_section
        .as_ref()
        .and_then(|section| read_patient(&mut reader, section, &frame, clinic));
    let mut facts = patient_section
        .as_ref()
        .map(|section| read_facts(&mut reader, section))
        .unwrap_or_default();
    let asked = keys::one(&mut reader, &root, &ASKED, false).and_then(|section| {
        asked::read_asked(
            &mut reader,
            &section,
            &frame,
            patient_section.as_ref(),
            &mut facts,
        )
    });
    if let Some(patient) = &mut patient {
        patient.facts = facts;
    }
    let product = product_section.and_then(|section| read_product(&mut reader, &section, clinic));
    let head = visit_section.map(|section| read_head(&mut reader, &section, &frame, clinic));

    let area_sections = keys::several(&mut reader, &root, &AREA);
    no_area(&mut reader, &root);
    let common = Common {
        frame: &frame,
        clinic,
        product: product.as_ref().map(|product| &product.name),
    };
    let areas = read_areas(&mut reader, &area_sections, &common);
    let events: Vec<_> = keys::several(&mut reader, &root, &EVENT)
        .iter()
        .map(|section| read_event(&mut reader, section, &frame))
        .collect();
    let history: Vec<_> = keys::several(&mut reader, &root, &HISTORY)
        .iter()
        .map(|section| read_earlier(&mut reader, section, &frame))
        .collect();

    let answers: Vec<_> = keys::several(&mut reader, &root, &ANSWER)
        .iter()
        .map(|section| asked::read_answer(&mut reader, section, &frame, clinic))
        .collect();

    reader.texts.sort_by_key(|text| text.span.start);
    let texts = std::mem::take(&mut reader.texts);
    let whole = || {
        let head = head?;
        Some(Visit {
            patient: patient?,
            date: value(frame.visit)?,
            time: head.time,
            informed_on: head.informed_on,
            informed_at: head.informed_at,
            practitioner: head.practitioner?,
            prescriber: head.prescriber,
            prescriber_saw_on: head.prescriber_saw_on,
            revision: head.revision,
            product: product?,
            areas: areas.into_iter().collect::<Option<_>>()?,
            events: events.into_iter().collect::<Option<_>>()?,
            history: history.into_iter().collect::<Option<_>>()?,
            asked,
            answers: answers.into_iter().collect::<Option<_>>()?,
            texts,
        })
    };
    reader.finish(whole())
}

/// Takes the file apart and starts a reader with the mistakes of writing.
pub(in crate::plan) fn open<'a>(
    source: &'a SourceFile,
    vocabulary: &'a Vocabulary,
) -> (Reader<'a>, Table) {
    let parsed = tree::parse(source);
    let reader = Reader {
        source,
        vocabulary,
        found: parsed.mistakes,
        texts: Vec::new(),
        damaged: parsed.damaged,
        excused: BTreeSet::new(),
    };
    (reader, parsed.root)
}

/// The one diagnostic for a file of the other kind, in place of a long list of what is missing in it.
pub(in crate::plan) fn other_file(
    source: &SourceFile,
    root: &Table,
    own: &str,
    other: &str,
) -> Option<Diagnostic> {
    let entry = root.get(other)?;
    if root.get(own).is_some() {
        return None;
    }
    let (is, wanted) = if other == "clinic" {
        ("a clinic file", "plan of a visit")
    } else {
        ("the plan of a visit", "clinic file")
    };
    let diagnostic = Diagnostic::new(
        source,
        Code::OtherFile,
        entry.key_span.clone(),
        format!("This looks like {is}."),
        format!("Give the {wanted} here; the two may have been exchanged."),
    );
    Some(diagnostic.at(other))
}

fn date(
    reader: &mut Reader,
    section: Option<&Section>,
    key: &str,
    example: &str,
) -> Option<Found<jiff::civil::Date>> {
    let field = reader.required(section?, key, example)?;
    reader.date(&field)
}

fn read_patient(
    reader: &mut Reader,
    section: &Section,
    frame: &Frame,
    clinic: Option<&Clinic>,
) -> Option<Patient> {
    let name = reader
        .required(section, "name", "\"…\"")
        .and_then(|field| reader.free_text(&field, TEXT_MAX));
    let record = reader
        .required(section, "record", "\"…\"")
        .and_then(|field| reader.free_text(&field, SHORT_MAX));
    let language = match reader.optional(section, "language") {
        Some(field) => reader.language(&field),
        None => clinic.map(|clinic| clinic.language.clone()),
    };
    let large_print = match reader.optional(section, "large_print") {
        Some(field) => reader.flag(&field)?,
        None => false,
    };
    Some(Patient {
        name: value(name)?,
        born: frame.born.as_ref()?.value,
        record: value(record)?,
        language,
        large_print,
        facts: BTreeMap::new(),
    })
}

/// What the patient was asked, whatever the answer.
fn read_facts(reader: &mut Reader, section: &Section) -> BTreeMap<FactId, FactValue> {
    let mut facts = BTreeMap::new();
    for fact in &reader.vocabulary.facts {
        if let Some(field) = reader.optional(section, fact.id.as_str())
            && let Some(said) = reader.fact(&field, fact)
        {
            facts.insert(fact.id.clone(), said);
        }
    }
    facts
}

/// What `[visit]` says beside its date.
struct Head {
    time: Option<jiff::civil::Time>,
    informed_on: Option<jiff::civil::Date>,
    informed_at: Option<jiff::civil::Time>,
    practitioner: Option<PractitionerId>,
    prescriber: Option<PractitionerId>,
    prescriber_saw_on: Option<jiff::civil::Date>,
    revision: Option<u32>,
}

/// Whether the clocks of a zone never show this time of this day.
fn skipped(zone: &str, moment: jiff::civil::DateTime) -> bool {
    let Ok(zone) = jiff::tz::TimeZoneDatabase::bundled().get(zone) else {
        return false;
    };
    moment
        .to_zoned_datetime(zone)
        .is_ok_and(|zoned| zoned.datetime() != moment)
}

fn read_head(
    reader: &mut Reader,
    section: &Section,
    frame: &Frame,
    clinic: Option<&Clinic>,
) -> Head {
    let time = reader
        .optional(section, "time")
        .and_then(|field| reader.time(&field));
    if let (Some(time), Some(clinic)) = (&time, clinic)
        && clinic.time_zone.is_none()
    {
        // without the zone, "24 hours" over a clock change would end at the wrong hour
        reader.report(
            Code::ClockWithoutZone,
            time.span.clone(),
            &time.path,
            "The plan gives a time of day, but the clinic file names no time zone.".to_owned(),
            "Add `time_zone`, for instance \"Europe/London\", under [clinic] in the clinic file, or leave the time out.".to_owned(),
        );
    }
    if let (Some(time), Some(visit), Some(zone)) = (
        &time,
        &frame.visit,
        clinic.and_then(|clinic| clinic.time_zone.as_deref()),
    ) && skipped(zone, visit.value.to_datetime(time.value))
    {
        reader.report(
            Code::ClockSkipped,
            time.span.clone(),
            &time.path,
            "The clocks go forward on that day and skip this time.",
            "Check the date and the time of the visit.",
        );
    }
    let informed = reader
        .optional(section, "informed_on")
        .and_then(|field| reader.date(&field));
    if let Some(informed) = &informed {
        frame.check_informed(reader, informed);
    }
    let informed_at = reader
        .optional(section, "informed_at")
        .and_then(|field| reader.time(&field));
    if let Some(at) = &informed_at {
        let same_day = informed.as_ref().zip(frame.visit.as_ref());
        let same_day = same_day.is_some_and(|(day, visit)| day.value == visit.value);
        let after = same_day && time.as_ref().is_some_and(|time| at.value > time.value);
        if section.table.get("informed_on").is_none() && !reader.damaged {
            reader.report(
                Code::InformedAtAlone,
                at.span.clone(),
                &at.path,
                "A time is given for the information, but not its day.",
                "Add `informed_on` with the day, or delete the line.",
            );
        } else if after {
            reader.report(
                Code::InformedAfterVisit,
                at.span.clone(),
                &at.path,
                "The information is given after the visit.",
                "Check both times, or delete the line.",
            );
        }
    }
    let prescriber = reader
        .optional(section, "prescriber")
        .and_then(|field| asked::practitioner(reader, &field, clinic));
    let saw_on = reader
        .optional(section, "prescriber_saw_on")
        .and_then(|field| reader.date(&field));
    if let Some(saw_on) = &saw_on {
        frame.check_said(
            reader,
            saw_on,
            Code::PrescriberImpossible,
            "The prescriber cannot have seen the patient",
        );
    }
    let practitioner = reader
        .required(section, "practitioner", "\"…\"")
        .and_then(|field| asked::practitioner(reader, &field, clinic));
    let revision = reader.optional(section, "revision").and_then(|field| {
        reader.count(
            &field,
            MOST_REVISIONS,
            Code::RevisionOutOfRange,
            "The revision",
        )
    });
    Head {
        time: value(time),
        informed_on: value(informed),
        informed_at: value(informed_at),
        practitioner: value(practitioner).map(PractitionerId::from),
        prescriber: value(prescriber).map(PractitionerId::from),
        prescriber_saw_on: value(saw_on),
        revision,
    }
}

fn read_product(
    reader: &mut Reader,
    section: &Section,
    clinic: Option<&Clinic>,
) -> Option<Product> {
    let name = reader
        .required(section, "name", "\"…\"")
        .and_then(|field| reader.product(&field, clinic));
    let vial_units = reader
        .optional(section, "vial_units")
        .and_then(|field| reader.vial(&field));
    let formulation = reader
        .optional(section, "formulation")
        .and_then(|field| reader.formulation(&field));
    let diluent_ml = reader
        .optional(section, "diluent_ml")
        .and_then(|field| reader.diluent(&field));
    let batch = reader
        .optional(section, "batch")
        .and_then(|field| reader.free_text(&field, SHORT_MAX));
    let product = Product {
        name: value(name)?,
        vial_units,
        formulation,
        diluent_ml,
        batch: value(batch),
    };
    Some(with_stock(product, clinic))
}

fn no_area(reader: &mut Reader, root: &Table) {
    let (span, problem) = match root.get(AREA.name) {
        None => {
            if reader.damaged || reader.excused.contains(AREA.name) {
                return;
            }
            (keys::start_of(reader.source), "The plan names no area.")
        }
        Some(entry) => match &entry.node.value {
            Value::List(items) if items.is_empty() => {
                (entry.node.span.clone(), "The list of areas is empty.")
            }
            _ => return,
        },
    };
    let remedy = format!(
        "Add {} for each area to be treated.",
        AREA.written(reader.source)
    );
    reader.report(Code::NoArea, span, AREA.name, problem, remedy);
}

fn read_event(reader: &mut Reader, section: &Section, frame: &Frame) -> Option<Event> {
    let date = date(reader, Some(section), "date", "2026-12-19");
    if let Some(date) = &date {
        frame.check_event(reader, date);
    }
    let until = reader
        .optional(section, "until")
        .and_then(|field| reader.date(&field));
    if let Some(until) = &until {
        frame.check_until(reader, date.as_ref(), until);
    }
    let what = reader
        .required(section, "what", "\"…\"")
        .and_then(|field| reader.free_text(&field, TEXT_MAX));
    let mut needs: Vec<String> = Vec::new();
    if let Some(field) = reader.optional(section, "needs") {
        let known = reader.vocabulary.needs.iter().map(String::as_str);
        for item in reader.list(&field, MOST_IN_PLAN, "[\"…\", \"…\"]") {
            let need = reader.word(&item, known.clone(), Code::UnknownNeed, "need");
            if let Some(need) = value(need).filter(|need| !needs.contains(need)) {
                needs.push(need);
            }
        }
    }
    Some(Event {
        // an event of one day is one without an end
        until: value(until).filter(|last| date.as_ref().is_some_and(|date| date.value < *last)),
        date: value(date)?,
        what: value(what)?,
        needs,
    })
}

fn read_earlier(reader: &mut Reader, section: &Section, frame: &Frame) -> Option<EarlierTreatment> {
    let field = reader.required(section, "date", "2026-09-01");
    let month = field.as_ref().and_then(|field| frame.last_of_month(field));
    let month_only = month.is_some();
    let date = month.or_else(|| reader.date(&field?));
    if let Some(date) = &date {
        frame.check_earlier(reader, date, Code::HistoryImpossible);
    }
    let reasons = EarlierReason::ALL.map(EarlierReason::as_str);
    let reason = reader
        .optional(section, "reason")
        .and_then(|field| reader.word(&field, reasons, Code::UnknownReason, "reason"));
    // an earlier treatment may have used what the clinic does not stock
    let product = reader
        .optional(section, "product")
        .and_then(|field| reader.earlier_product(&field));
    let units = reader
        .optional(section, "units")
        .and_then(|field| reader.units(&field));
    let mut areas: Vec<AreaId> = Vec::new();
    if let Some(field) = reader.optional(section, "areas") {
        for area in reader.areas(&field, MOST_IN_PLAN) {
            if !areas.contains(&area.value) {
                areas.push(area.value);
            }
        }
    }
    if let Some(units) = &units {
        // the whole treatment: as many areas as it had, at least the general limit
        let vocabulary = reader.vocabulary;
        let known = |name: &Found<ProductId>| {
            let product = vocabulary.product(&name.value);
            let product = product.map(|product| product.absurd_above);
            product.or_else(|| Some(vocabulary.other_toxin(name.value.as_str())?.absurd_above))
        };
        let each = product.as_ref().and_then(known).unwrap_or(ABSURD_UNITS);
        let limit = (each * areas.len() as f64).max(ABSURD_UNITS);
        reader.absurd(units, units.value, limit, "one treatment");
    }
    Some(EarlierTreatment {
        date: value(date)?,
        month_only,
        reason: value(reason).and_then(|word| EarlierReason::from_word(&word)),
        product: value(product),
        units: value(units),
        areas,
    })
}
