//! Turns our words and our finished papers into verdicts: every check of the registry, with a figure and a place.
//! Invariant: a check is called automatic only when a judge here has looked; what only a person can judge is never called met.
//! Must not: change a paper, decide what is printed, or call a PEMAT-style score a PEMAT rating.

mod case;
mod content;
mod edition;
mod home;
mod language;
mod layout;
mod lines;
mod pemat;
pub mod prose;
pub mod registry;
mod risks;
mod source;
pub mod table;
mod view;
pub mod words;

use serde::Serialize;

pub use case::{Case, Sheet, Subject};
pub use edition::{month_of, review_has_passed};
pub use language::formula_for;
pub use pemat::{LEFT_OUT_NOTE, Score, scores};
pub use registry::{Check, How, Scale, Scope, check, checks};
pub use source::{NUMBERS as TEXT_NUMBERS, TextReport, read_wording};
pub use view::{Kind, Line, List, Marks, Panel, Picture, Sign, Table, View};

use crate::paper::PaperKind;

/// What a judge found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    Met,
    NotMet,
    /// Does not arise in this paper.
    NotApplicable,
    /// The program's part is done; the rest is for a person.
    NeedsPerson,
}

impl Verdict {
    pub fn as_str(self) -> &'static str {
        match self {
            Verdict::Met => "met",
            Verdict::NotMet => "not met",
            Verdict::NotApplicable => "not applicable here",
            Verdict::NeedsPerson => "needs a person",
        }
    }
}

/// Where something stands, and what was found there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Place {
    /// Statement id, section or part of the page.
    pub at: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub page: Option<usize>,
    pub found: String,
}

/// A verdict with its figure and its places.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    pub verdict: Verdict,
    /// "mean 11.4 words, longest 22".
    pub figure: String,
    /// What is not as it should be.
    pub places: Vec<Place>,
}

impl Finding {
    pub fn met(figure: impl Into<String>) -> Finding {
        Finding {
            verdict: Verdict::Met,
            figure: figure.into(),
            places: Vec::new(),
        }
    }

    pub fn not_met(figure: impl Into<String>, places: Vec<Place>) -> Finding {
        Finding {
            verdict: Verdict::NotMet,
            figure: figure.into(),
            places,
        }
    }

    pub fn not_applicable(figure: impl Into<String>) -> Finding {
        Finding {
            verdict: Verdict::NotApplicable,
            figure: figure.into(),
            places: Vec::new(),
        }
    }

    /// Met when nothing was found amiss.
    pub fn of(figure: impl Into<String>, places: Vec<Place>) -> Finding {
        if places.is_empty() {
            Finding::met(figure)
        } else {
            Finding::not_met(figure, places)
        }
    }

    /// Met or not, with one place for each thing missing.
    pub fn lacking(figure: impl Into<String>, missing: Vec<String>) -> Finding {
        let places = missing
            .into_iter()
            .map(|found| Place::new("paper", found))
            .collect();
        Finding::of(figure, places)
    }
}

impl Place {
    pub fn new(at: impl Into<String>, found: impl Into<String>) -> Place {
        Place {
            at: at.into(),
            page: None,
            found: found.into(),
        }
    }

    pub fn on(page: usize, at: impl Into<String>, found: impl Into<String>) -> Place {
        Place {
            page: Some(page),
            ..Place::new(at, found)
        }
    }
}

/// One check, judged on one paper.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judged {
    pub number: &'static str,
    pub id: &'static str,
    pub verdict: Verdict,
    pub figure: String,
    pub places: Vec<Place>,
    /// The paper lacks something it must have.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub required: bool,
}

/// Judges one check on one paper.
pub type Judge = fn(&Case<'_>) -> Finding;

/// Every judge of finished papers with the number of its check.
pub fn judges() -> Vec<(&'static str, Judge)> {
    let mut all = Vec::new();
    all.extend_from_slice(layout::JUDGES);
    all.extend_from_slice(edition::JUDGES);
    all.extend_from_slice(content::JUDGES);
    all.extend_from_slice(language::JUDGES);
    all.extend_from_slice(risks::JUDGES);
    all.extend_from_slice(home::JUDGES);
    all.extend_from_slice(pemat::JUDGES);
    all.sort_by_key(|(number, _)| registry::order(number));
    all
}

/// Judges one of the patient's papers by every check that concerns it; checks no program judges are told as well.
pub fn judge(subject: &Subject<'_>, paper: PaperKind) -> Vec<Judged> {
    let Some(case) = subject.case(paper) else {
        return Vec::new();
    };
    let judges = judges();
    checks()
        .iter()
        .filter(|check| match check.scope {
            Scope::Consent => paper == PaperKind::Consent,
            Scope::Aftercare => paper == PaperKind::Aftercare,
            Scope::Both => paper != PaperKind::CheckSheet,
        })
        .filter_map(|check| {
            let finding = match judges.iter().find(|(number, _)| *number == check.number) {
                Some((_, judge)) => {
                    let mut finding = judge(&case);
                    // a person's part is still open when the program's part is met
                    if finding.verdict == Verdict::Met && check.judged.contains(&How::Person) {
                        finding.verdict = Verdict::NeedsPerson;
                    }
                    finding
                }
                None if check.judged.contains(&How::Person) => Finding {
                    verdict: Verdict::NeedsPerson,
                    figure: check.why.clone().unwrap_or_default(),
                    places: Vec::new(),
                },
                None => return None,
            };
            Some(Judged {
                number: &check.number,
                id: &check.id,
                required: check.required && finding.verdict == Verdict::NotMet,
                verdict: finding.verdict,
                figure: finding.figure,
                places: finding.places,
            })
        })
        .collect()
}
