//! Reads words that must come from a list: sides, products, areas, languages, and whatever else the vocabulary holds.
//!
//! Invariant: a word that is returned is on its list, in the list's own spelling.
//!
//! Must not: accept a word because it is close to one; it only asks "did you mean".

use unic_langid::LanguageIdentifier;

use crate::diagnose::{Code, closest, echo, hint};
use crate::domain::{AreaId, Formulation, ProductId};
use crate::plan::language;
use crate::plan::reader::{Field, Found, Reader, SHORT_MAX};
use crate::plan::shapes::{MOST_OF_A_FACT, SIDES_OF_FACTS};
use crate::plan::tree::Value;
use crate::plan::{
    AreaWord, Clinic, FactKind, FactValue, FactWord, OtherToxinWord, Product, Side, Vocabulary,
};

impl<'a> Reader<'a> {
    /// A word of a list. `kind` completes "… is not a known …".
    pub fn word<'w>(
        &mut self,
        field: &Field,
        allowed: impl IntoIterator<Item = &'w str> + Clone,
        code: Code,
        kind: &str,
    ) -> Option<Found<String>> {
        let word = self.text(field, crate::plan::reader::TEXT_MAX)?;
        if allowed.clone().into_iter().any(|known| known == word.value) {
            return Some(word);
        }
        let remedy = hint(&word.value, allowed, kind);
        self.report(
            code,
            word.span,
            &word.path,
            format!("`{}` is not a known {kind}.", echo(&word.value)),
            remedy,
        );
        None
    }

    pub fn area_id(&mut self, field: &Field) -> Option<Found<&'a AreaWord>> {
        let vocabulary: &'a Vocabulary = self.vocabulary;
        let ids = vocabulary.areas.iter().map(|area| area.id.as_str());
        let id = self.word(field, ids, Code::UnknownArea, "area")?;
        vocabulary.area(&id.value).map(|area| field.found(area))
    }

    /// The areas of a list, each where it stands; what is no area has left a diagnostic behind.
    pub fn areas(&mut self, field: &Field, most: usize) -> Vec<Found<AreaId>> {
        let items = self.list(field, most, "[\"…\", \"…\"]");
        let areas = items.iter().filter_map(|item| {
            let area = self.area_id(item)?;
            Some(item.found(area.value.id.clone()))
        });
        areas.collect()
    }

    /// A product of the vocabulary that the clinic stocks, when it lists its stock.
    pub fn product(&mut self, field: &Field, clinic: Option<&Clinic>) -> Option<Found<ProductId>> {
        let vocabulary: &'a Vocabulary = self.vocabulary;
        let names = vocabulary
            .products
            .iter()
            .map(|product| product.id.as_str());
        if let Value::Text(word) = &field.node.value
            && let Some(toxin) = self.other_toxin_meant(word)
        {
            self.report(
                Code::OtherToxin,
                field.node.span.clone(),
                &field.path,
                format!(
                    "`{}` is a botulinum toxin type {}; treatments are planned with type A only.",
                    echo(word),
                    toxin.serotype
                ),
                format!(
                    "No risk, dose or licence of type {} is known here, so no papers can be made for it. \
                     An earlier treatment may name it.",
                    toxin.serotype
                ),
            );
            return None;
        }
        let name = self.word(field, names, Code::UnknownProduct, "product")?;
        if let Some(clinic) = clinic
            && !clinic.stock.is_empty()
            && clinic.stock.iter().all(|stock| stock.product != name.value)
        {
            let mut stocked: Vec<String> = clinic
                .stock
                .iter()
                .map(|s| format!("`{}`", s.product))
                .collect();
            stocked.dedup();
            self.report(
                Code::ProductNotInStock,
                name.span,
                &name.path,
                format!("The clinic file does not list `{}` in stock.", name.value),
                format!(
                    "Plan a product that is in stock ({}), or add this one to the clinic file.",
                    stocked.join(", ")
                ),
            );
            return None;
        }
        Some(Found {
            value: name.value.into(),
            span: name.span,
            path: name.path,
        })
    }

    /// Powder or ready-made liquid.
    pub fn formulation(&mut self, field: &Field) -> Option<Formulation> {
        let words = Formulation::ALL.map(Formulation::as_str);
        let word = self.word(field, words, Code::UnknownFormulation, "formulation")?;
        Formulation::from_word(&word.value)
    }

    /// What an earlier treatment used: a product, stocked or not, or another toxin under its non-proprietary name.
    pub fn earlier_product(&mut self, field: &Field) -> Option<Found<ProductId>> {
        let vocabulary: &'a Vocabulary = self.vocabulary;
        let Value::Text(word) = &field.node.value else {
            return self.product(field, None);
        };
        if let Some(toxin) = vocabulary.other_toxin(word.trim()) {
            return Some(field.found(toxin.id.clone()));
        }
        let Some(toxin) = self.other_toxin_meant(word) else {
            return self.product(field, None);
        };
        self.report(
            Code::UnknownProduct,
            field.node.span.clone(),
            &field.path,
            format!("`{}` is not a known product.", echo(word)),
            format!("Type {} is written `{}`.", toxin.serotype, toxin.id),
        );
        None
    }

    /// The toxin of another type that a word names, or that it is closer to than to any product.
    fn other_toxin_meant(&self, word: &str) -> Option<&'a OtherToxinWord> {
        let vocabulary: &'a Vocabulary = self.vocabulary;
        let word = word.trim();
        let others = &vocabulary.other_toxins;
        if let Some(toxin) = vocabulary.other_toxin(word) {
            return Some(toxin);
        }
        if vocabulary.product(&ProductId::from(word)).is_some() {
            return None;
        }
        if let Some(toxin) = others.iter().find(|toxin| toxin.is_type_of(word)) {
            return Some(toxin);
        }
        let products = vocabulary
            .products
            .iter()
            .map(|product| product.id.as_str());
        let all = products.chain(others.iter().map(|toxin| toxin.id.as_str()));
        vocabulary.other_toxin(closest(word, all)?)
    }

    /// A language with wording.
    pub fn language(&mut self, field: &Field) -> Option<LanguageIdentifier> {
        let tag = self.text(field, SHORT_MAX)?;
        let Ok(language) = tag.value.parse::<LanguageIdentifier>() else {
            self.report(
                Code::MalformedLanguage,
                tag.span,
                &tag.path,
                "This is not a language tag.",
                "Write the two or three letters of the language, and the country behind a hyphen if it matters: en, es, pt-BR.",
            );
            return None;
        };
        let vocabulary: &'a Vocabulary = self.vocabulary;
        let available = vocabulary.languages.iter().map(String::as_str);
        if language::choose(available, &language).is_some() {
            return Some(language);
        }
        let known: Vec<String> = vocabulary
            .languages
            .iter()
            .map(|tag| format!("`{tag}`"))
            .collect();
        self.report(
            Code::UnknownLanguage,
            tag.span,
            &tag.path,
            format!(
                "There is no wording in the language `{}`.",
                echo(&tag.value)
            ),
            format!(
                "Available: {}. No other language is put in its place.",
                known.join(", ")
            ),
        );
        None
    }

    /// A side out of those that are allowed here.
    pub fn side(&mut self, field: &Field, allowed: &[Side]) -> Option<Found<Side>> {
        let words = allowed.iter().map(|side| side.as_str());
        let written = self.text(field, SHORT_MAX)?;
        let side = Side::from_word(&written.value);
        if let Some(side) = side.filter(|side| allowed.contains(side)) {
            return Some(field.found(side));
        }
        let (code, problem, remedy) = if side.is_some() {
            (
                Code::SideNotAllowed,
                format!("This area has no side `{}`.", written.value),
                hint("", words, "side"),
            )
        } else {
            (
                Code::UnknownSide,
                format!("`{}` is not a known side.", echo(&written.value)),
                hint(&written.value, words, "side"),
            )
        };
        self.report(code, written.span, &written.path, problem, remedy);
        None
    }

    /// What a plan says about one fact.
    pub fn fact(&mut self, field: &Field, fact: &FactWord) -> Option<FactValue> {
        match (fact.kind, &field.node.value) {
            (_, Value::Broken) => None,
            (_, Value::Flag(false)) => Some(FactValue::No),
            (_, Value::Text(word)) if word == FactValue::NOT_SURE => Some(FactValue::NotSure),
            (FactKind::Flag, Value::Flag(true)) => Some(FactValue::Yes),
            (FactKind::Text, Value::Text(_)) => self
                .free_text(field, crate::plan::reader::TEXT_MAX)
                .map(|text| FactValue::Text(text.value)),
            (FactKind::Number, Value::Number { amount, .. })
                if amount.fract() == 0.0 && (0.0..=f64::from(MOST_OF_A_FACT)).contains(amount) =>
            {
                Some(match *amount as u32 {
                    0 => FactValue::No,
                    some => FactValue::Number(some),
                })
            }
            (FactKind::Side, Value::Text(word)) => {
                let side = Side::from_word(word).filter(|side| SIDES_OF_FACTS.contains(side));
                if side.is_none() {
                    let sides = SIDES_OF_FACTS.map(Side::as_str);
                    self.report(
                        Code::UnknownSide,
                        field.node.span.clone(),
                        &field.path,
                        format!(
                            "`{}` is not a side that `{}` can have.",
                            echo(word),
                            fact.id
                        ),
                        hint(word, sides, "side"),
                    );
                }
                side.map(FactValue::Side)
            }
            (kind, _) => {
                let wanted = match kind {
                    FactKind::Flag => "true or false, without quotation marks, or \"not-sure\"",
                    FactKind::Side => "\"left\", \"right\" or \"both\", false, or \"not-sure\"",
                    FactKind::Text => "a text in quotation marks, false, or \"not-sure\"",
                    FactKind::Number => "a whole number from 0 to 50, false, or \"not-sure\"",
                };
                let span = crate::plan::reader::opening(self.source, &field.node.span);
                self.report(
                    Code::FactOfWrongKind,
                    span,
                    &field.path,
                    format!("`{}` is given in the wrong way.", fact.id),
                    format!("Write {wanted}."),
                );
                None
            }
        }
    }
}

/// A product with what the clinic's stock says about it, where the plan leaves that out.
///
/// Only an unambiguous entry is used: when the clinic keeps two vial sizes and the plan names neither, nothing is filled in,
/// because a dilution must never be guessed.
pub(in crate::plan) fn with_stock(mut product: Product, clinic: Option<&Clinic>) -> Product {
    let Some(clinic) = clinic else {
        return product;
    };
    let mut fitting = clinic.stock.iter().filter(|stock| {
        stock.product == product.name
            && (product.vial_units.is_none() || stock.vial_units == product.vial_units)
            && (product.formulation.is_none()
                || stock.formulation.is_none()
                || stock.formulation == product.formulation)
    });
    if let (Some(stock), None) = (fitting.next(), fitting.next()) {
        product.vial_units = product.vial_units.or(stock.vial_units);
        product.formulation = product.formulation.or(stock.formulation);
        // nothing is put into a liquid, whatever the stock says of its powder
        if product.formulation != Some(Formulation::Liquid) {
            product.diluent_ml = product.diluent_ml.or(stock.diluent_ml);
        }
    }
    product
}
