//! The words every layer shares: ids as types, what a statement's id is made of, evidence, and the closed lists of words.
//! Invariant: each id and each word has one text form, written and read here and nowhere else.
//! Must not: hold data or sentences, or know which areas, products or places there are (the catalogue does).

mod blank;
mod caution;
pub mod digest;
mod evidence;
mod gathered;
mod id;
mod label;
mod question;
mod statement;
mod words;

pub use blank::{Blank, BlankName};
pub use caution::{CautionId, Trigger};
pub use evidence::{Evidence, Status};
pub use gathered::gathered;
pub use id::{AdviceId, AreaId, FactId, PractitionerId, ProductId, RegionId, RuleId, SourceId};
pub use label::{LabelId, family, group, term_of};
pub use question::QuestionCode;
pub use statement::{Owner, StatementId, StatementIdError, StatementKind, kind_of, wording_of};
pub use words::{
    Decision, EarlierReason, FactKind, Formulation, Function, Level, PageSize, Per, Side, Stance,
    Standing, TimeUnit, Urgency,
};
