//! One clinic as plain data.
//!
//! Invariant: kept by the reader, see [`crate::plan`].
//!
//! Must not: hold rules of a region; it only names the region.

use std::collections::BTreeMap;
use std::path::PathBuf;

use unic_langid::LanguageIdentifier;

use crate::domain::{
    AreaId, Formulation, PageSize, PractitionerId, ProductId, RegionId, Stance, Standing,
};
use crate::plan::{AftercareHabits, Branding, UserText, VisitHabits};

/// What a clinic file says.
#[derive(Debug, Clone, PartialEq)]
pub struct Clinic {
    /// Name as printed.
    pub name: String,
    /// One to six lines.
    pub address: Vec<String>,
    /// In opening hours.
    pub phone: String,
    /// Outside them.
    pub phone_out_of_hours: String,
    /// When somebody answers the first of them, in words of the clinic; `None`: not said.
    pub opening_hours: Option<String>,
    /// From the vocabulary, e.g. `GB-ENG`.
    pub region: RegionId,
    /// For patients whose plan names no language.
    pub language: LanguageIdentifier,
    /// `None`: not said, the region decides.
    pub paper: Option<PageSize>,
    /// IANA name, known to the machine's time zone data, e.g. `Europe/London`.
    pub time_zone: Option<String>,
    /// Folder with further fonts, relative to the clinic file and inside its folder.
    pub fonts: Option<PathBuf>,
    /// Calendar entries may say what they are about; `false`: a phone's lock screen is public.
    pub calendar_details: bool,
    /// Unapproved wording may be printed with room to sign, marked as not for use with patients.
    pub training: bool,
    /// File with the approvals of the wording, relative to the clinic file; `None`: `approvals.toml` beside it, if there.
    pub approvals: Option<PathBuf>,
    /// How files are named: `{record}`, `{date}`, `{paper}` and, if the clinic wants it, `{name}`; `None`: record, date, paper.
    pub file_names: Option<String>,
    /// Folder with the clinic's own look, words and areas, relative to the clinic file and inside its folder.
    pub overlay: Option<PathBuf>,
    /// What that folder holds, put in by whoever read it; empty from the clinic file alone.
    pub branding: Branding,
    /// What belongs to a visit here.
    pub visits: VisitHabits,
    /// The clinic's own choices about aftercare.
    pub aftercare: AftercareHabits,
    /// The practitioner's view of an area for every patient, by area id.
    pub stances: BTreeMap<AreaId, Stance>,
    /// How long the effect lasts in this clinic's own experience, by area id.
    pub experience: BTreeMap<AreaId, Experience>,
    /// At least one; no id twice.
    pub practitioners: Vec<Practitioner>,
    /// Empty: the clinic lists no stock, and any product may be planned.
    pub stock: Vec<Stock>,
    /// What the practice itself found in official product information; asked only where the catalogue holds no licence.
    pub licences: Licences,
    /// Its own words in other languages.
    pub translations: Vec<Translation>,
    /// What treatments cost, if the clinic says so.
    pub fees: Option<Fees>,
    /// Every free text of the file with its place.
    pub texts: Vec<UserText>,
}

impl Clinic {
    /// The practitioner with this id.
    pub fn practitioner(&self, id: &PractitionerId) -> Option<&Practitioner> {
        self.practitioners.iter().find(|person| person.id == *id)
    }

    /// Words of this file that papers in a language print as they stand, because it does not say them in that language.
    pub fn untranslated<'w>(&'w self, language: &str, person: &'w Practitioner) -> Vec<&'w str> {
        let mut words = vec![person.role.as_str()];
        words.extend(self.opening_hours.as_deref());
        words.retain(|words| self.translated(language, words).is_none());
        words
    }

    /// Words of this file as they are said in a language; as they stand, where the file does not translate them.
    pub fn said_in<'w>(&'w self, language: &str, words: &'w str) -> &'w str {
        self.translated(language, words).unwrap_or(words)
    }

    fn translated(&self, language: &str, words: &str) -> Option<&str> {
        let mut all = self.translations.iter();
        let found = all.find(|one| one.text == words && one.language == language);
        found.map(|one| one.says.as_str())
    }
}

/// Whether a product is licensed for an area, as a practice looked it up; never `Unknown`.
pub type Licences = BTreeMap<(ProductId, AreaId), Standing>;

/// How long an effect lasts in a clinic's own experience; never a study.
#[derive(Debug, Clone, PartialEq)]
pub enum Experience {
    /// From so many to so many weeks.
    Weeks(f64, f64),
    /// The clinic's own words, printed as written in every language.
    Words(String),
}

/// Somebody who treats.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Practitioner {
    /// Letters, digits and hyphens; plans refer to it.
    pub id: PractitionerId,
    /// As printed.
    pub name: String,
    /// As printed, e.g. a profession.
    pub role: String,
    /// As printed: registration with the professional body.
    pub registration: String,
    /// May prescribe; `None`: the clinic file does not say.
    pub prescribes: Option<bool>,
}

/// The clinic's own words in another language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Translation {
    /// As the clinic file has them.
    pub text: String,
    /// Of the papers; its country does not count.
    pub language: String,
    /// As printed there.
    pub says: String,
}

/// A product the clinic keeps, and how it makes it up.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// From the vocabulary.
    pub product: ProductId,
    /// Units in one vial, in this product's own units.
    pub vial_units: Option<f64>,
    /// Powder or ready-made liquid; `None`: not said.
    pub formulation: Option<Formulation>,
    /// Diluent put into one vial, in millilitres.
    pub diluent_ml: Option<f64>,
}

/// What treatments cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Fees {
    /// Three capital letters as in ISO 4217; whether such a currency exists is not checked.
    pub currency: String,
    /// Fee for each area, by area id, in that currency.
    pub area: BTreeMap<AreaId, f64>,
}
