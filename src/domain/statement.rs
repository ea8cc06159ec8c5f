//! The id of a statement: whose it is, of what kind, and its name; one text form for papers, records and the wording's files.
//! Invariant: the text is made from the parts and leads back to them, so that what was printed years ago is still found.
//! Must not: know which statements there are.

use std::borrow::Borrow;
use std::cmp::Ordering;
use std::hash::{Hash, Hasher};
use std::str::FromStr;

use serde::{Serialize, Serializer};

use super::{AdviceId, AreaId, CautionId, ProductId, RuleId, Standing};

/// Whose statement it is.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Owner {
    /// Said to every patient, or because of the patient's own facts.
    Everyone,
    /// One area's, or said once for each area.
    Area(AreaId),
    /// Said once for each product.
    Product(ProductId),
}

impl Owner {
    pub fn area(&self) -> Option<&AreaId> {
        match self {
            Owner::Area(id) => Some(id),
            Owner::Everyone | Owner::Product(_) => None,
        }
    }

    pub fn product(&self) -> Option<&ProductId> {
        match self {
            Owner::Product(id) => Some(id),
            Owner::Everyone | Owner::Area(_) => None,
        }
    }

    /// The area's or product's id; none for everyone.
    pub fn as_str(&self) -> Option<&str> {
        match self {
            Owner::Everyone => None,
            Owner::Area(id) => Some(id.as_str()),
            Owner::Product(id) => Some(id.as_str()),
        }
    }
}

/// What a statement is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum StatementKind {
    /// An area's own sentence: `<area>.can`.
    Area,
    /// `<area>.risk.<name>`, or for everyone `general.risk.<name>`.
    Risk,
    /// `general.serious.<name>`.
    Serious,
    /// Who gains little: `<area>.poor.<name>`.
    PoorCandidate,
    /// `general.<name>`; said once for each area or product it is `<owner>/general.<name>`.
    General,
    /// `choice.<name>`.
    Choice,
    /// `redflag.<name>`.
    RedFlag,
    /// What is normal afterwards: `normal.<name>`.
    Normal,
    /// What is expected, beside the emergency it looks like: `alike.<name>`.
    Alike,
    /// `advice.<name>`.
    Advice,
    /// What a rule says to the patient: `because.<name>`.
    Because,
    /// What a caution says to the practitioner: `rule.<name>`.
    Caution,
}

/// Families of statements that belong to no area; no area can have such a name.
const FAMILIES: [(&str, StatementKind); 8] = [
    ("general", StatementKind::General),
    ("choice", StatementKind::Choice),
    ("redflag", StatementKind::RedFlag),
    ("normal", StatementKind::Normal),
    ("alike", StatementKind::Alike),
    ("advice", StatementKind::Advice),
    ("because", StatementKind::Because),
    ("rule", StatementKind::Caution),
];

impl StatementKind {
    /// The families that speak to patients.
    pub const FOR_PATIENTS: [&'static str; 7] = [
        "general", "choice", "redflag", "normal", "alike", "advice", "because",
    ];
}

/// Names a statement on papers, in records and in reports. Sorted, compared and found by its text.
#[derive(Debug, Clone)]
pub struct StatementId {
    /// Made from the other three.
    text: String,
    owner: Owner,
    kind: StatementKind,
    name: String,
}

impl StatementId {
    fn new(owner: Owner, kind: StatementKind, name: &str) -> StatementId {
        let family = FAMILIES.iter().find(|(_, of)| *of == kind);
        let text = match (&owner, kind) {
            (Owner::Area(area), StatementKind::Area) => format!("{area}.{name}"),
            (Owner::Area(area), StatementKind::Risk) => format!("{area}.risk.{name}"),
            (Owner::Area(area), StatementKind::PoorCandidate) => format!("{area}.poor.{name}"),
            (_, StatementKind::Risk) => format!("general.risk.{name}"),
            (_, StatementKind::Serious) => format!("general.serious.{name}"),
            (owner, _) => {
                let (family, _) = family.expect("every other kind has its family");
                match owner.as_str() {
                    Some(owner) => format!("{owner}/{family}.{name}"),
                    None => format!("{family}.{name}"),
                }
            }
        };
        StatementId {
            text,
            owner,
            kind,
            name: name.to_owned(),
        }
    }

    /// An area's own sentence: `can`, `cannot`, `lasts`…
    pub fn of_area(area: &AreaId, name: &str) -> StatementId {
        Self::new(Owner::Area(area.clone()), StatementKind::Area, name)
    }

    pub fn risk(area: &AreaId, name: &str) -> StatementId {
        Self::new(Owner::Area(area.clone()), StatementKind::Risk, name)
    }

    pub fn poor_candidate(area: &AreaId, name: &str) -> StatementId {
        Self::new(
            Owner::Area(area.clone()),
            StatementKind::PoorCandidate,
            name,
        )
    }

    /// Said to every patient.
    pub fn general(name: &str) -> StatementId {
        Self::new(Owner::Everyone, StatementKind::General, name)
    }

    /// How a product stands for some of the areas, said once for all of them.
    pub fn standing(product: &ProductId, standing: Standing) -> StatementId {
        Self::of_product(product, standing.statement())
    }

    /// A general statement said once for each product.
    pub fn of_product(product: &ProductId, name: &str) -> StatementId {
        Self::new(
            Owner::Product(product.clone()),
            StatementKind::General,
            name,
        )
    }

    pub fn general_risk(name: &str) -> StatementId {
        Self::new(Owner::Everyone, StatementKind::Risk, name)
    }

    pub fn serious(name: &str) -> StatementId {
        Self::new(Owner::Everyone, StatementKind::Serious, name)
    }

    pub fn choice(name: &str) -> StatementId {
        Self::new(Owner::Everyone, StatementKind::Choice, name)
    }

    pub fn red_flag(name: &str) -> StatementId {
        Self::new(Owner::Everyone, StatementKind::RedFlag, name)
    }

    pub fn normal(name: &str) -> StatementId {
        Self::new(Owner::Everyone, StatementKind::Normal, name)
    }

    /// What is expected, beside the emergency it looks like.
    pub fn alike(name: &str) -> StatementId {
        Self::new(Owner::Everyone, StatementKind::Alike, name)
    }

    pub fn advice(id: &AdviceId) -> StatementId {
        Self::new(Owner::Everyone, StatementKind::Advice, id.as_str())
    }

    pub fn because(rule: &RuleId) -> StatementId {
        Self::new(Owner::Everyone, StatementKind::Because, rule.as_str())
    }

    /// What is said to the patient of a caution, whatever raised it.
    pub fn because_of(id: &CautionId) -> StatementId {
        Self::new(Owner::Everyone, StatementKind::Because, id.as_str())
    }

    pub fn caution(id: &CautionId) -> StatementId {
        Self::new(Owner::Everyone, StatementKind::Caution, id.as_str())
    }

    pub fn as_str(&self) -> &str {
        &self.text
    }

    pub fn owner(&self) -> &Owner {
        &self.owner
    }

    pub fn kind(&self) -> StatementKind {
        self.kind
    }

    /// The last part: an id of the catalogue.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Something that can go wrong: an area's, or one for everyone.
    pub fn is_risk(&self) -> bool {
        matches!(self.kind, StatementKind::Risk | StatementKind::Serious)
    }

    /// The id of the words that fill it: what is said once for each area or product has its words once.
    pub fn wording(&self) -> &str {
        match self.kind {
            StatementKind::General => self.short(),
            _ => &self.text,
        }
    }

    /// The id without the area or product in front, for lists under the owner's own heading.
    pub fn short(&self) -> &str {
        // the owner's id and the sign after it, a full stop or a slash
        let start = self.owner.as_str().map_or(0, |owner| owner.len() + 1);
        &self.text[start..]
    }
}

impl Standing {
    /// The general statement that says so to a patient.
    pub fn statement(self) -> &'static str {
        match self {
            Standing::Licensed => "licensed",
            Standing::OffLabel => "off-label",
            Standing::Unknown => "licence-unknown",
        }
    }
}

/// What a statement's text names; none for other words.
pub fn kind_of(statement: &str) -> Option<StatementKind> {
    let id: Option<StatementId> = statement.parse().ok();
    id.map(|id| id.kind())
}

/// The id of the words behind a statement's text as a record has it; a text that is no statement's is its own.
pub fn wording_of(statement: &str) -> String {
    statement.parse::<StatementId>().map_or_else(
        |_| statement.to_owned(),
        |statement| statement.wording().to_owned(),
    )
}

/// A text that is no statement's id.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StatementIdError(String);

impl std::fmt::Display for StatementIdError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "`{}` is not the name of a statement", self.0)
    }
}

impl std::error::Error for StatementIdError {}

impl FromStr for StatementId {
    type Err = StatementIdError;

    /// Which areas there are only the catalogue knows, so what stands first and is no family is taken for an area.
    fn from_str(text: &str) -> Result<Self, StatementIdError> {
        let error = || StatementIdError(text.to_owned());
        let family = |word: &str| FAMILIES.iter().find(|(known, _)| *known == word);
        let plain = |part: &&str| {
            let allowed = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
            !part.is_empty() && part.chars().all(allowed)
        };
        let (owner, rest) = match text.split_once('/') {
            Some((owner, rest)) => (Some(owner), rest),
            None => (None, text),
        };
        let parts: Vec<&str> = rest.split('.').collect();
        if !parts.iter().chain(owner.as_ref()).all(plain) {
            return Err(error());
        }
        Ok(match (owner, parts.as_slice()) {
            // papers of older programs say how a product stands for each area. Areas are written in small letters; a product is
            // named with its serotype, a capital.
            (Some(owner), ["general", name]) => {
                let standing = Standing::ALL.into_iter().find(|s| s.statement() == *name);
                match standing {
                    Some(standing) if owner.chars().all(|c| !c.is_uppercase()) => Self::new(
                        Owner::Area(owner.into()),
                        StatementKind::General,
                        standing.statement(),
                    ),
                    _ => Self::of_product(&owner.into(), name),
                }
            }
            (None, ["general", "risk", name]) => Self::general_risk(name),
            (None, ["general", "serious", name]) => Self::serious(name),
            (None, [first, name]) => match family(first) {
                Some((_, kind)) => Self::new(Owner::Everyone, *kind, name),
                None => Self::of_area(&(*first).into(), name),
            },
            (None, [area, "risk", name]) if family(area).is_none() => {
                Self::risk(&(*area).into(), name)
            }
            (None, [area, "poor", name]) if family(area).is_none() => {
                Self::poor_candidate(&(*area).into(), name)
            }
            _ => return Err(error()),
        })
    }
}

impl std::fmt::Display for StatementId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(&self.text)
    }
}

impl PartialEq for StatementId {
    fn eq(&self, other: &Self) -> bool {
        self.text == other.text
    }
}

impl Eq for StatementId {}

impl PartialOrd for StatementId {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for StatementId {
    fn cmp(&self, other: &Self) -> Ordering {
        self.text.cmp(&other.text)
    }
}

impl Hash for StatementId {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.text.hash(state);
    }
}

impl Borrow<str> for StatementId {
    fn borrow(&self) -> &str {
        &self.text
    }
}

impl PartialEq<str> for StatementId {
    fn eq(&self, text: &str) -> bool {
        self.text == text
    }
}

impl PartialEq<&str> for StatementId {
    fn eq(&self, text: &&str) -> bool {
        self.text == *text
    }
}

impl PartialEq<String> for StatementId {
    fn eq(&self, text: &String) -> bool {
        self.text == *text
    }
}

impl Serialize for StatementId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::Trigger;

    #[test]
    fn every_text_form_leads_back_to_its_parts() {
        let (area, product) = (AreaId::from("masseter"), ProductId::from("toxin-A"));
        let rule = RuleId::from("sings");
        for (id, text, wording, short) in [
            (
                StatementId::of_area(&area, "can"),
                "masseter.can",
                "masseter.can",
                "can",
            ),
            (
                StatementId::risk(&area, "weak"),
                "masseter.risk.weak",
                "masseter.risk.weak",
                "risk.weak",
            ),
            (
                StatementId::poor_candidate(&area, "bleeds"),
                "masseter.poor.bleeds",
                "masseter.poor.bleeds",
                "poor.bleeds",
            ),
            (
                StatementId::general("cost"),
                "general.cost",
                "general.cost",
                "general.cost",
            ),
            (
                StatementId::standing(&product, Standing::OffLabel),
                "toxin-A/general.off-label",
                "general.off-label",
                "general.off-label",
            ),
            (
                StatementId::of_product(&product, "albumin"),
                "toxin-A/general.albumin",
                "general.albumin",
                "general.albumin",
            ),
            (
                StatementId::general_risk("pain"),
                "general.risk.pain",
                "general.risk.pain",
                "general.risk.pain",
            ),
            (
                StatementId::serious("spread"),
                "general.serious.spread",
                "general.serious.spread",
                "general.serious.spread",
            ),
            (
                StatementId::choice("none"),
                "choice.none",
                "choice.none",
                "choice.none",
            ),
            (
                StatementId::red_flag("voice"),
                "redflag.voice",
                "redflag.voice",
                "redflag.voice",
            ),
            (
                StatementId::normal("bumps"),
                "normal.bumps",
                "normal.bumps",
                "normal.bumps",
            ),
            (
                StatementId::alike("speech"),
                "alike.speech",
                "alike.speech",
                "alike.speech",
            ),
            (
                StatementId::advice(&"no-rubbing".into()),
                "advice.no-rubbing",
                "advice.no-rubbing",
                "advice.no-rubbing",
            ),
            (
                StatementId::because(&rule),
                "because.sings",
                "because.sings",
                "because.sings",
            ),
            (
                StatementId::caution(&Trigger::Diary.into()),
                "rule.diary",
                "rule.diary",
                "rule.diary",
            ),
        ] {
            assert_eq!(id.to_string(), text);
            assert_eq!((id.wording(), id.short()), (wording, short));
            assert_eq!(wording_of(text), wording);
            let back: StatementId = text.parse().expect("its own text");
            assert_eq!(
                (back.owner(), back.kind(), back.name()),
                (id.owner(), id.kind(), id.name()),
                "{text}"
            );
        }
    }

    #[test]
    fn what_is_no_statement_is_refused() {
        for text in [
            "",
            "general",
            "masseter",
            "masseter.",
            "general.risk.a.b",
            "choice.a.b",
            "choice.risk.a",
            "masseter.other.a",
            "a/b",
            "a/choice.b",
            "a/b/general.c",
            "ä.can",
        ] {
            assert!(text.parse::<StatementId>().is_err(), "{text}");
            assert_eq!(wording_of(text), text);
        }
    }
}
