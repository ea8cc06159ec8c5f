//! The names of the blanks that sentences leave for values of the catalogue.
//! Invariant: what fills a blank and what checks a clinic's sentence use the same name.
//! Must not: know the values.

/// A blank of a sentence, as it is written in one.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Blank(String);

impl Blank {
    /// The key of a number within `n`: its id with underscores, because a hyphen is a minus there.
    pub fn number_key(id: &str) -> String {
        id.replace('-', "_")
    }

    /// A number of the catalogue: `n.some_number`.
    pub fn number(id: &str) -> Blank {
        Blank(format!("n.{}", Self::number_key(id)))
    }

    /// A span of time of an area: `w.wears_off`.
    pub fn window(key: &str) -> Blank {
        Blank(format!("w.{key}"))
    }
}

impl From<Blank> for String {
    fn from(blank: Blank) -> String {
        blank.0
    }
}
