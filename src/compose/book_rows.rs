//! Turns one statement into its row in the book of words: the words as they are printed, and what is to be known about them.
//! Invariant: blanks are filled by the catalogue's own values, or say in brackets what a visit puts there; no value is made up.
//! Must not: say that a statement is approved in other words than those it shows.

use std::collections::BTreeMap;

use serde_json::json;

use super::book::{BookOfWords, papers_named};
use super::check_parts::BookRow;
use super::decide::evidence_said;
use super::values;
use crate::catalogue::{Area, Catalogue, Evidence, Product, Region, WindowKind};
use crate::domain::{
    Blank, LabelId, ProductId, SourceId, Standing as Licensed, StatementId, StatementKind, family,
};
use crate::paper::PaperKind;
use crate::select::papers_of;
use crate::wording::{Standing, WordingError, choices, template};

/// A blank's name to what is printed there.
type Values = BTreeMap<String, String>;

/// What rows are made from.
pub(super) struct Rows<'b> {
    book: BookOfWords<'b>,
    pub(super) region: Option<&'b Region>,
    /// What every statement may be filled with.
    general: Values,
    /// The same for each area, by its id.
    areas: BTreeMap<&'b str, Values>,
    /// What a statement rests on, by its id.
    evidence: BTreeMap<String, &'b Evidence>,
    /// What a number or a span of time rests on, by the statement's area (or nothing) and the blank's name.
    numbers: BTreeMap<(&'b str, String), &'b Evidence>,
}

impl<'b> Rows<'b> {
    pub(super) fn new(book: BookOfWords<'b>) -> Result<Rows<'b>, WordingError> {
        let region = book.catalogue.region(&book.clinic.region);
        let mut rows = Rows {
            book,
            region,
            general: Values::new(),
            areas: BTreeMap::new(),
            evidence: resting_on(book.catalogue),
            numbers: BTreeMap::new(),
        };
        rows.general = rows.values_for_all()?;
        for area in &book.catalogue.areas {
            let values = rows.values_of(area)?;
            rows.areas.insert(area.id.as_str(), values);
        }
        Ok(rows)
    }

    fn values_for_all(&mut self) -> Result<Values, WordingError> {
        let BookOfWords {
            catalogue,
            clinic,
            wording,
            ..
        } = self.book;
        let mut found = Values::new();
        found.insert("sounds".to_owned(), wording.label("phrase.sounds")?);
        found.insert("clinic".to_owned(), clinic.name.clone());
        found.insert("phone".to_owned(), clinic.phone.clone());
        let place = wording.label(&LabelId::place(&clinic.region))?;
        found.insert("place_name".to_owned(), place);
        let serious = catalogue.general.serious.iter();
        let counted = serious.filter_map(|risk| risk.none_confirmed.as_ref());
        let names: Result<Vec<String>, _> = counted
            .flat_map(|counted| &counted.areas)
            .map(|area| wording.label(&LabelId::area_name(area)))
            .collect();
        let names = wording.inside_sentence(&wording.list_of_names(&names?));
        found.insert("none_confirmed".to_owned(), names);
        if let Some(region) = self.region {
            let numbers = wording.formats().or(&region.emergency.value);
            found.insert("emergency".to_owned(), numbers);
            if let Some(urgent) = &region.urgent {
                found.insert("urgent".to_owned(), urgent.value.clone());
            }
        }
        let report = self.region.and_then(|region| region.report.as_ref());
        let report = LabelId::report(report.map_or("local", |report| &report.value));
        found.insert("report_how".to_owned(), wording.label(&report)?);
        for number in &catalogue.general.number {
            let blank = String::from(Blank::number(&number.id));
            found.insert(blank.clone(), wording.number(number)?);
            self.numbers.insert(("", blank), &number.evidence);
        }
        Ok(found)
    }

    fn values_of(&mut self, area: &'b Area) -> Result<Values, WordingError> {
        let wording = self.book.wording;
        let id = area.id.as_str();
        let mut found = self.general.clone();
        let name = wording.label(&LabelId::area_name(&area.id))?;
        found.insert("area".to_owned(), name);
        if let Some(product) = self.product_of(area) {
            found.insert("product".to_owned(), product.to_string());
            for kind in WindowKind::ALL {
                if let Some(window) = area.window(kind, product) {
                    let blank = String::from(Blank::window(kind.key()));
                    found.insert(blank.clone(), wording.window(window)?);
                    self.numbers.insert((id, blank), &window.evidence);
                }
            }
        }
        for number in &area.number {
            let blank = String::from(Blank::number(&number.id));
            found.insert(blank.clone(), wording.number(number)?);
            self.numbers.insert((id, blank), &number.evidence);
        }
        if let Some(course) = &area.course {
            let said = wording.course(course)?;
            for part in ["rounds", "interval"] {
                let blank = String::from(Blank::course(part));
                let value = said[part].as_str().unwrap_or_default();
                found.insert(blank.clone(), value.to_owned());
                self.numbers.insert((id, blank), &course.evidence);
            }
        }
        Ok(found)
    }

    /// The first product that is licensed for an area here, or the first of all; none where nobody may be treated.
    pub(super) fn product_of(&self, area: &Area) -> Option<&'b ProductId> {
        let place = self
            .region
            .and_then(|region| region.licence_place.as_deref());
        let products = &self.book.catalogue.products;
        let licensed = |product: &&Product| {
            area.licence(&product.id, place)
                .is_some_and(|licence| licence.standing == Licensed::Licensed)
        };
        let first = products.iter().find(licensed).or(products.first())?;
        (!area.window.is_empty()).then_some(&first.id)
    }

    /// The row of a statement.
    pub(super) fn row(&self, id: &str) -> Result<BookRow, WordingError> {
        let wording = self.book.wording;
        let text = &wording.statements()[id];
        let of_area = self.areas.get(family(id));
        let filled = of_area.unwrap_or(&self.general);
        let words = choices::with_choices(text, |name| self.value(filled, name));
        let mut about = Vec::new();
        let statement = self.statement(id);
        let papers = match &statement {
            Some(statement) => papers_of(statement),
            None => self.papers_of_label(id),
        };
        if !papers.is_empty() {
            let papers = papers_named(wording, &papers)?;
            about.push(self.line("book.used", json!({ "papers": papers }))?);
        }
        if let Some(statement) = &statement {
            about.extend(self.areas_of(statement)?);
        }
        if let Some(evidence) = self.evidence.get(id) {
            about.push(self.evidence_line("book.rests-on", evidence)?);
        }
        let numbers = self.numbers_in(id, text);
        if !numbers.is_empty() {
            let together = Evidence::together(numbers.iter().copied());
            about.push(self.evidence_line("book.numbers", &together)?);
        }
        if self.is_own(id) {
            about.push(wording.label("book.own")?);
        }
        about.push(self.standing(id)?);
        Ok(BookRow {
            words,
            id: id.to_owned(),
            about,
        })
    }

    /// What the id names, where the catalogue calls for it; a label is no statement.
    fn statement(&self, id: &str) -> Option<StatementId> {
        let known = self.evidence.contains_key(id);
        let because = id.parse().ok().filter(|id: &StatementId| {
            matches!(id.kind(), StatementKind::Because | StatementKind::Caution)
        });
        match known {
            true => id.parse().ok(),
            false => because,
        }
    }

    /// Where the labels of an area stand; where others do, their heading says.
    fn papers_of_label(&self, id: &str) -> Vec<PaperKind> {
        let Some(area) = self.book.catalogue.area(family(id)) else {
            return Vec::new();
        };
        match id == LabelId::area_name(&area.id).as_str() {
            true => PaperKind::ALL.to_vec(),
            false => vec![PaperKind::Information],
        }
    }

    /// What is printed in a blank, or what a visit puts there.
    fn value(&self, filled: &Values, name: &str) -> String {
        let statements = self.book.wording.statements();
        if let Some(value) = filled.get(name).or_else(|| statements.get(name)) {
            return value.clone();
        }
        let placeholder = LabelId::blank(&name.replace('.', "-"));
        match statements.get(placeholder.as_str()) {
            Some(placeholder) => format!("[{placeholder}]"),
            None => "[…]".to_owned(),
        }
    }

    /// For which areas something is said that stands outside them.
    fn areas_of(&self, statement: &StatementId) -> Result<Option<String>, WordingError> {
        let BookOfWords {
            catalogue, wording, ..
        } = self.book;
        let of: Box<dyn Fn(&Area) -> bool> = match statement.kind() {
            StatementKind::Advice => {
                let advice = catalogue.advice.iter();
                let Some(advice) = advice.clone().find(|a| a.id.as_str() == statement.name())
                else {
                    return Ok(None);
                };
                if advice.every_visit {
                    return wording.label("book.every-area").map(Some);
                }
                Box::new(|area| {
                    let called = area.advice.iter().any(|call| call.id == advice.id);
                    called || advice.zones.contains(&area.zone)
                })
            }
            StatementKind::Alike | StatementKind::RedFlag => {
                let general = &catalogue.general;
                let (name, is_flag) =
                    (statement.name(), statement.kind() == StatementKind::RedFlag);
                let functions = if is_flag {
                    let mut flags = general.red_flag.iter();
                    flags.find(|one| one.id == name).map(|one| &one.functions)
                } else {
                    let mut alikes = general.alike.iter();
                    alikes.find(|one| one.id == name).map(|one| &one.functions)
                };
                let Some(functions) = functions else {
                    return Ok(None);
                };
                if functions.is_empty() {
                    return wording.label("book.every-area").map(Some);
                }
                Box::new(|area| area.touches_any(functions))
            }
            _ => return Ok(None),
        };
        let names: Result<Vec<String>, _> = catalogue
            .areas
            .iter()
            .filter(|area| of(area))
            .map(|area| wording.label(&LabelId::area_name(&area.id)))
            .collect();
        let names = names?;
        if names.is_empty() {
            return Ok(None);
        }
        let list = wording.list_of_names(&names);
        self.line("book.areas", json!({ "areas": list })).map(Some)
    }

    fn numbers_in(&self, id: &str, text: &str) -> Vec<&'b Evidence> {
        let used = template::examine(text).map(|blanks| blanks.names);
        let of = self
            .areas
            .get_key_value(family(id))
            .map_or("", |(id, _)| *id);
        let used = used.unwrap_or_default().into_iter();
        used.filter_map(|name| {
            let own = self.numbers.get(&(of, name.clone()));
            own.or_else(|| self.numbers.get(&("", name))).copied()
        })
        .collect()
    }

    /// Whether the clinic says it in words of its own.
    fn is_own(&self, id: &str) -> bool {
        let BookOfWords {
            clinic, wording, ..
        } = self.book;
        [wording.tag(), wording.base()].iter().any(|tag| {
            let own = clinic.branding.words.get(*tag);
            own.is_some_and(|words| words.contains_key(id))
        })
    }

    /// "Approved by … on …", "Changed since …", "Never approved".
    pub(super) fn standing(&self, id: &str) -> Result<String, WordingError> {
        let BookOfWords {
            wording, approvals, ..
        } = self.book;
        let (line, approval) = match wording.standing(approvals, id) {
            Standing::Approved(approval) => ("book.standing.approved", approval),
            Standing::Changed(approval) => ("book.standing.changed", approval),
            Standing::Never => return wording.label("book.standing.never"),
        };
        // a list that somebody wrote by hand may hold another form of date
        let on = approval.on.parse().map_or_else(
            |_| approval.on.clone(),
            |date| wording.formats().short_date(date),
        );
        self.line(line, json!({ "by": approval.by, "on": on }))
    }

    /// Every source that a row may name.
    pub(super) fn sources(&self) -> impl Iterator<Item = &'b SourceId> {
        let all = self.evidence.values().chain(self.numbers.values());
        let named = all.flat_map(|evidence| evidence.publications());
        named.filter(|id| self.is_cited(id))
    }

    fn is_cited(&self, id: &SourceId) -> bool {
        let source = self.book.catalogue.sources.get(id);
        source.is_none_or(|source| source.is_cited_in(&self.book.clinic.region))
    }

    fn evidence_line(&self, id: &str, evidence: &Evidence) -> Result<String, WordingError> {
        let said = evidence_said(self.book.wording, evidence, |id| self.is_cited(id))?;
        self.line(id, json!({ "evidence": said }))
    }

    fn line(&self, id: &str, context: serde_json::Value) -> Result<String, WordingError> {
        self.book.wording.line(id, &values(context))
    }
}

/// What every statement of the catalogue rests on.
fn resting_on(catalogue: &Catalogue) -> BTreeMap<String, &Evidence> {
    let mut found = BTreeMap::new();
    let mut add = |id: StatementId, evidence| {
        found.insert(String::from(id.wording()), evidence);
    };
    for area in &catalogue.areas {
        for claim in &area.statement {
            add(StatementId::of_area(&area.id, &claim.id), &claim.evidence);
        }
        for risk in &area.risk {
            add(StatementId::risk(&area.id, &risk.id), &risk.evidence);
        }
        for poor in &area.poor_candidate {
            add(
                StatementId::poor_candidate(&area.id, &poor.id),
                &poor.evidence,
            );
        }
    }
    let general = &catalogue.general;
    for risk in &general.risk {
        add(StatementId::general_risk(&risk.id), &risk.evidence);
    }
    for risk in &general.serious {
        add(StatementId::serious(&risk.id), &risk.evidence);
    }
    for flag in &general.red_flag {
        add(StatementId::red_flag(&flag.id), &flag.evidence);
    }
    for alike in &general.alike {
        add(StatementId::alike(&alike.id), &alike.evidence);
    }
    for choice in &general.choice {
        add(StatementId::choice(&choice.id), &choice.evidence);
    }
    for (claims, id) in [
        (
            &general.normal,
            StatementId::normal as fn(&str) -> StatementId,
        ),
        (&general.statement, StatementId::general),
    ] {
        for claim in claims {
            add(id(&claim.id), &claim.evidence);
        }
    }
    for advice in &catalogue.advice {
        add(StatementId::advice(&advice.id), &advice.evidence);
    }
    for rule in &catalogue.rules {
        add(StatementId::caution(&(&rule.id).into()), &rule.evidence);
        if rule.tells_patient {
            add(StatementId::because(&rule.id), &rule.evidence);
        }
    }
    found
}
