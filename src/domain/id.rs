//! Names of things in the catalogue and the clinic as types of their own: an area's name is never taken for a product's.
//! Invariant: an id is its text and nothing else; it compares, sorts and hashes like it.
//! Must not: check that anything has that name (the catalogue and the plan reader do).

use std::borrow::Borrow;
use std::convert::Infallible;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

macro_rules! id {
    ($($(#[$meta:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$meta])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(String);

        impl $name {
            /// As written in files and on papers.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(&self.0)
            }
        }

        impl FromStr for $name {
            type Err = Infallible;

            fn from_str(text: &str) -> Result<Self, Infallible> {
                Ok($name(text.to_owned()))
            }
        }

        impl From<&str> for $name {
            fn from(text: &str) -> Self {
                $name(text.to_owned())
            }
        }

        impl From<String> for $name {
            fn from(text: String) -> Self {
                $name(text)
            }
        }

        impl Borrow<str> for $name {
            fn borrow(&self) -> &str {
                &self.0
            }
        }

        impl AsRef<str> for $name {
            fn as_ref(&self) -> &str {
                &self.0
            }
        }

        id!(@compares $name, str, &str, String);
    )+};
    (@compares $name:ident, $($text:ty),+) => {$(
        impl PartialEq<$text> for $name {
            fn eq(&self, text: &$text) -> bool {
                let text: &str = text.as_ref();
                self.0 == text
            }
        }

        impl PartialEq<$name> for $text {
            fn eq(&self, id: &$name) -> bool {
                id == self
            }
        }
    )+};
}

id! {
    /// An area of face or neck: `masseter`.
    AreaId,
    /// A product, by its non-proprietary name.
    ProductId,
    /// Something a patient can tell: `speaks_publicly`.
    FactId,
    /// The place of a clinic (ISO 3166): `GB-ENG`.
    RegionId,
    /// An entry of the rules.
    RuleId,
    /// An aftercare instruction.
    AdviceId,
    /// A source: `C22`, `D61`; [`SourceId::PRACTICE`] and [`SourceId::MEMORY`] stand for none.
    SourceId,
    /// Somebody who treats, by the id in the clinic file.
    PractitionerId,
}

impl RegionId {
    /// The country (ISO 3166-1), which decides terms, emergency numbers and the size of the sheets.
    pub fn country(&self) -> &str {
        self.0.split('-').next().unwrap_or(&self.0)
    }

    /// Whether it is the place of this name or a part of it: `GB-ENG` lies in `GB`.
    pub fn lies_in(&self, place: &str) -> bool {
        let rest = self.0.strip_prefix(place);
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
    }
}

impl SourceId {
    const PRACTICE: &'static str = "practice";
    const MEMORY: &'static str = "memory";

    /// Common practice, without a published source.
    pub fn practice() -> SourceId {
        SourceId(Self::PRACTICE.to_owned())
    }

    /// Believed, not checked.
    pub fn memory() -> SourceId {
        SourceId(Self::MEMORY.to_owned())
    }

    /// Where it stands in a list of sources: the registers one after the other, each by its numbers.
    pub fn place(&self) -> (Option<char>, u32) {
        let digits: String = self.0.chars().filter(char::is_ascii_digit).collect();
        (self.0.chars().next(), digits.parse().unwrap_or(0))
    }

    /// Something that was published and can be looked up.
    pub fn is_publication(&self) -> bool {
        self.0 != Self::PRACTICE && self.0 != Self::MEMORY
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_is_found_sorted_and_written_by_its_text() {
        let ids: std::collections::BTreeMap<AreaId, u8> =
            [("masseter".into(), 1), ("glabella".into(), 2)].into();
        assert_eq!(ids.get("masseter"), Some(&1));
        let written = serde_json::to_string(&ids).expect("text and numbers");
        assert_eq!(written, r#"{"glabella":2,"masseter":1}"#);
        assert_eq!(format!("{:<10}|", AreaId::from("nose")), "nose      |");
    }

    #[test]
    fn only_publications_can_be_looked_up() {
        assert!(SourceId::from("C22").is_publication());
        assert!(!SourceId::practice().is_publication());
        assert!(!SourceId::memory().is_publication());
    }
}
