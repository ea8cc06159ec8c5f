//! Reads numbers: units, vials, diluent, points, rounds, fees.
//!
//! Invariant: a number that is returned is finite and within the range stated at its function.
//!
//! Must not: judge a dose. The limits here catch slips of the keyboard, nothing else; all are from memory, without source.

use crate::diagnose::Code;
use crate::plan::reader::{Field, Found, Reader};
use crate::plan::tree::Value;

/// Largest number of units believed when the product's own limit is not known.
pub(in crate::plan) const ABSURD_UNITS: f64 = 1000.0;

/// The least and the greatest number that is accepted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::plan) struct Range(pub f64, pub f64);

/// Units of one vial.
pub(in crate::plan) const VIAL_UNITS: Range = Range(1.0, 1000.0);
/// Diluent in one vial, in millilitres.
pub(in crate::plan) const DILUENT_ML: Range = Range(0.1, 20.0);
/// Most injection points of one area.
pub(in crate::plan) const MOST_POINTS: u32 = 100;
/// Most treatments of one area.
pub(in crate::plan) const MOST_ROUNDS: u32 = 20;
/// Most revisions of the papers of one visit.
pub(in crate::plan) const MOST_REVISIONS: u32 = 1000;

impl Reader<'_> {
    /// An amount of units above zero. Whether it is absurd is for the caller, who knows what it counts.
    pub fn units(&mut self, field: &Field) -> Option<Found<f64>> {
        let span = field.node.span.clone();
        let remedy = match &field.node.value {
            Value::Number { amount, .. } if amount.is_finite() => {
                if *amount < 0.0 {
                    let (problem, remedy) = (
                        "There cannot be fewer than no units.",
                        "Delete the minus sign.",
                    );
                    self.report(Code::UnitsNegative, span, &field.path, problem, remedy);
                    return None;
                }
                if *amount == 0.0 {
                    let problem = "Zero units are no treatment.";
                    let remedy =
                        "Write the planned units, or delete the line if they are not decided.";
                    self.report(Code::UnitsZero, span, &field.path, problem, remedy);
                    return None;
                }
                return Some(field.found(*amount));
            }
            Value::Number { .. } => "Write a plain number, like 50 or 2.5.",
            Value::Text(text) if text.trim().parse::<f64>().is_ok_and(f64::is_finite) => {
                "Take the quotation marks away."
            }
            Value::Text(_) => "Write it in digits, without quotation marks, like 50 or 2.5.",
            _ => {
                self.wrong_type(field, "a number", "Write it like 50 or 2.5.");
                return None;
            }
        };
        self.report(
            Code::UnitsNotANumber,
            span,
            &field.path,
            "These units are not a number.",
            remedy,
        );
        None
    }

    /// Reports units that nobody can mean. `counted` is what they come to for all of what `of` names.
    pub fn absurd(&mut self, units: &Found<f64>, counted: f64, limit: f64, of: &str) {
        if counted > limit {
            self.report(
                Code::UnitsAbsurd,
                units.span.clone(),
                &units.path,
                format!("This comes to {counted} units for {of}; more than {limit} is taken for a slip of the keyboard."),
                "Check the number, the decimal point, and whether it is meant for the whole area, each side or each point.",
            );
        }
    }

    /// A number within a range, its ends included.
    pub fn number(
        &mut self,
        field: &Field,
        Range(low, high): Range,
        code: Code,
        what: &str,
    ) -> Option<f64> {
        let Value::Number { amount, .. } = field.node.value else {
            self.wrong_type(
                field,
                "a number",
                "Write it in digits, without quotation marks.",
            );
            return None;
        };
        if (low..=high).contains(&amount) {
            // a minus in front of nothing would be printed: "-0"
            return Some(amount + 0.0);
        }
        self.report(
            code,
            field.node.span.clone(),
            &field.path,
            format!("{what} must be between {low} and {high}."),
            "Check the number and its decimal point.",
        );
        None
    }

    /// A whole number within `1..=high`.
    pub fn count(&mut self, field: &Field, high: u32, code: Code, what: &str) -> Option<u32> {
        match field.node.value {
            Value::Number { amount, .. }
                if amount.fract() == 0.0 && amount >= 1.0 && amount <= f64::from(high) =>
            {
                // whole and small, so nothing is lost
                Some(amount as u32)
            }
            Value::Number { amount, .. } if amount.is_finite() && amount.fract() != 0.0 => {
                self.report(
                    Code::WrongType,
                    field.node.span.clone(),
                    &field.path,
                    "This should be a whole number.",
                    "Write it without decimals.",
                );
                None
            }
            Value::Number { .. } => {
                self.report(
                    code,
                    field.node.span.clone(),
                    &field.path,
                    format!("{what} must be between 1 and {high}."),
                    "Check the number.",
                );
                None
            }
            _ => {
                self.wrong_type(field, "a whole number", "Write it in digits, like 2.");
                None
            }
        }
    }

    /// Units of one vial.
    pub fn vial(&mut self, field: &Field) -> Option<f64> {
        self.number(field, VIAL_UNITS, Code::VialOutOfRange, "Units in a vial")
    }

    /// Diluent in a vial.
    pub fn diluent(&mut self, field: &Field) -> Option<f64> {
        self.number(
            field,
            DILUENT_ML,
            Code::DiluentOutOfRange,
            "Millilitres of diluent in a vial",
        )
    }
}
