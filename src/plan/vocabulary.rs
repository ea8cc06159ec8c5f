//! The words a plan may use, as the caller knows them.
//!
//! Invariant: none of its own; whatever the caller puts in is what the reader accepts.
//!
//! Must not: hold any word itself. The catalogue does.

use crate::domain::{AdviceId, AreaId, CautionId, FactId, FactKind, ProductId, RegionId, Side};

/// All words a plan or clinic file may use.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Vocabulary {
    /// Areas of face and neck.
    pub areas: Vec<AreaWord>,
    /// What can be said about a patient.
    pub facts: Vec<FactWord>,
    /// Products, by non-proprietary name.
    pub products: Vec<ProductWord>,
    /// Botulinum toxins that only an earlier treatment may name.
    pub other_toxins: Vec<OtherToxinWord>,
    /// Regions, e.g. `GB-ENG`.
    pub regions: Vec<RegionId>,
    /// Languages with wording, as BCP 47 tags; matched by their primary language.
    pub languages: Vec<String>,
    /// What an event may need of a face, e.g. `speech`.
    pub needs: Vec<String>,
    /// Why an area is treated, when it matters.
    pub reasons: Vec<String>,
    /// Aftercare instructions a clinic may choose or give its own time.
    pub advice: Vec<AdviceId>,
    /// Cautions that a plan may be met with.
    pub cautions: Vec<CautionWord>,
}

/// One caution.
#[derive(Debug, Clone, PartialEq)]
pub struct CautionWord {
    /// As `check` prints it.
    pub id: CautionId,
    /// It always forbids, so nobody can answer it.
    pub stops: bool,
}

/// One area and the sides it can have.
#[derive(Debug, Clone, PartialEq)]
pub struct AreaWord {
    /// As written in a plan.
    pub id: AreaId,
    /// Allowed sides; with exactly one, a plan need not write it.
    pub sides: Vec<Side>,
}

/// One fact about a patient.
#[derive(Debug, Clone, PartialEq)]
pub struct FactWord {
    /// As written in a plan, under `[patient]`.
    pub id: FactId,
    /// How it is given.
    pub kind: FactKind,
}

/// One product.
#[derive(Debug, Clone, PartialEq)]
pub struct ProductWord {
    /// Non-proprietary name, as written in a plan.
    pub id: ProductId,
    /// More units than this in one area, in this product's own units, are a slip of the keyboard. Not a dose limit.
    pub absurd_above: f64,
}

/// A botulinum toxin of another type than those a visit can be planned with.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherToxinWord {
    /// Non-proprietary name, as it is read.
    pub id: ProductId,
    /// The letter of its type, e.g. `B`.
    pub serotype: String,
    /// Other ways in which records name it.
    pub also: Vec<String>,
    /// More units than this in one treatment, in its own units, are a slip of the keyboard. Not a dose limit.
    pub absurd_above: f64,
}

impl OtherToxinWord {
    /// Written in one of its ways.
    pub fn is_called(&self, word: &str) -> bool {
        self.id.as_str() == word || self.also.iter().any(|also| also == word)
    }

    /// The word ends as names of its type do, however the rest is spelt: `…toxinB`, `… type B`.
    pub fn is_type_of(&self, word: &str) -> bool {
        let letters: String = (word.chars().filter(|c| c.is_alphanumeric()))
            .flat_map(char::to_lowercase)
            .collect();
        let serotype = self.serotype.to_lowercase();
        let before = letters.strip_suffix(&serotype);
        before.is_some_and(|before| before.ends_with("toxin") || before.ends_with("type"))
    }
}

impl Vocabulary {
    /// The area with this id.
    pub fn area<Id: PartialEq<AreaId> + ?Sized>(&self, id: &Id) -> Option<&AreaWord> {
        self.areas.iter().find(|area| *id == area.id)
    }

    /// The other toxin written like this, in one of its ways.
    pub fn other_toxin(&self, word: &str) -> Option<&OtherToxinWord> {
        self.other_toxins.iter().find(|toxin| toxin.is_called(word))
    }

    /// The caution with this name.
    pub fn caution(&self, name: &str) -> Option<&CautionWord> {
        self.cautions.iter().find(|caution| caution.id == *name)
    }

    /// The product with this name.
    pub fn product(&self, id: &ProductId) -> Option<&ProductWord> {
        self.products.iter().find(|product| product.id == *id)
    }
}
