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

    /// Something about the rounds of a course: `course.rounds`.
    pub fn course(part: &str) -> Blank {
        Blank(format!("course.{part}"))
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

/// What a blank's name says it is filled with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BlankName<'b> {
    /// A word that differs by country.
    Term(&'b str),
    /// A span of time of an area, by its key.
    Window(&'b str),
    /// A number of the catalogue, by its id.
    Number(String),
    /// Something about the rounds of a course.
    Course(&'b str),
    /// Any other value.
    Other(&'b str),
}

impl<'b> From<&'b str> for BlankName<'b> {
    fn from(name: &'b str) -> Self {
        match name.split_once('.') {
            Some(("term", term)) => BlankName::Term(term),
            Some(("w", key)) => BlankName::Window(key),
            Some(("n", key)) => BlankName::Number(key.replace('_', "-")),
            Some(("course", part)) => BlankName::Course(part),
            _ => BlankName::Other(name),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_blank_leads_back_to_what_fills_it() {
        let number = String::from(Blank::number("side-effects"));
        assert_eq!(number, "n.side_effects");
        assert_eq!(
            BlankName::from(number.as_str()),
            BlankName::Number("side-effects".to_owned())
        );
        let window = String::from(Blank::window("wears_off"));
        assert_eq!(
            BlankName::from(window.as_str()),
            BlankName::Window("wears_off")
        );
        assert_eq!(BlankName::from("product"), BlankName::Other("product"));
    }
}
