//! The authoring lint: turns our words and our finished papers into notes for whoever writes the words: every check of the
//! registry, with a figure and a place.
//! Invariant: a check is called automatic only when a judge here has looked; what only a person can judge is never called met.
//! A judge that lacks what it needs for a language says "not judged".
//! Must not: change a paper, decide what is printed or handed out (that is `gate`), be used by anything but `cli`, or call a PEMAT-style score a PEMAT rating.

mod aftercare;
mod content;
mod drawn_risks;
mod edition;
mod language;
mod layout;
mod lines;
mod pemat;
pub mod prose;
pub mod readability;
pub mod registry;
mod review;
mod risks;
mod setting;
mod source;
pub mod split;
pub mod table;
mod view;
pub mod words;

use serde::Serialize;

pub use edition::{month_of, review_has_passed};
pub use pemat::{LEFT_OUT_NOTE, Score, scores};
pub use registry::{Check, How, Scale, Scope, check, checks};
pub use review::{PaperUnderReview, Review, VisitUnderReview};
pub use source::{NUMBERS as TEXT_NUMBERS, TextReport, read_wording};
pub use view::{
    Agreed, Band, Instruction, Kind, Line, List, Marks, Panel, Picture, Sign, Table, TableRow, View,
};

use crate::paper::PaperKind;
use words::Words;

/// What a judge found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    Met,
    NotMet,
    /// Does not arise in this paper.
    NotApplicable,
    /// We hold no word list or formula for the language.
    NotJudged,
    /// The program's part is done; the rest is for a person.
    NeedsPerson,
}

impl Verdict {
    pub fn as_str(self) -> &'static str {
        match self {
            Verdict::Met => "met",
            Verdict::NotMet => "not met",
            Verdict::NotApplicable => "not applicable here",
            Verdict::NotJudged => "not judged",
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

    /// We lack what it takes to judge it in this language.
    pub fn not_judged(lacking: impl Into<String>) -> Finding {
        Finding {
            verdict: Verdict::NotJudged,
            figure: lacking.into(),
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
}

/// What a judge says of a language without a file in `words/`.
pub const NO_WORDS: &str = "no word list for this language";
/// What a judge says of a language without a formula in `readability`.
pub const NO_FORMULA: &str = "no formula for this language";

/// Judges one check on one paper, by what it needs for that.
#[derive(Clone, Copy)]
pub enum Judge {
    Plain(fn(&Review<'_>) -> Finding),
    /// Needs the word lists of the paper's language.
    Worded(fn(&Review<'_>, &Words) -> Finding),
}

impl Judge {
    pub fn judge(self, review: &Review<'_>) -> Finding {
        match self {
            Judge::Plain(judge) => judge(review),
            Judge::Worded(judge) => match review.words() {
                Some(words) => judge(review, words),
                None => Finding::not_judged(NO_WORDS),
            },
        }
    }
}

/// Every judge of finished papers with the number of its check.
pub fn judges() -> Vec<(&'static str, Judge)> {
    let mut all = Vec::new();
    all.extend_from_slice(layout::JUDGES);
    all.extend_from_slice(setting::JUDGES);
    all.extend_from_slice(edition::JUDGES);
    all.extend_from_slice(content::JUDGES);
    all.extend_from_slice(language::JUDGES);
    all.extend_from_slice(risks::JUDGES);
    all.extend_from_slice(drawn_risks::JUDGES);
    all.extend_from_slice(aftercare::JUDGES);
    all.extend_from_slice(pemat::JUDGES);
    all.sort_by_key(|(number, _)| registry::order(number));
    all
}

/// Judges one of the patient's papers by every check that concerns it; checks no program judges are told as well.
pub fn judge(subject: &VisitUnderReview<'_>, paper: PaperKind) -> Vec<Judged> {
    let Some(review) = subject.review(paper) else {
        return Vec::new();
    };
    let judges = judges();
    checks()
        .iter()
        .filter(|check| check.scope.covers(paper))
        .filter_map(|check| {
            let finding = match judges.iter().find(|(number, _)| *number == check.number) {
                Some((_, judge)) => {
                    let mut finding = judge.judge(&review);
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
                verdict: finding.verdict,
                figure: finding.figure,
                places: finding.places,
            })
        })
        .collect()
}
