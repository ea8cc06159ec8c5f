//! Turns the name of a paper into everything that is true of it whatever the visit: for whom, in whose language, signed or not, on how many sides.
//! Invariant: whatever differs between papers is answered here or matched exhaustively; nobody tests for one paper by name.
//! Must not: know a visit, a sentence or a page.

use serde::{Deserialize, Serialize};

/// A kind of paper. Its text form stands in file names, records and the register, so it never changes.
///
/// ```
/// use beforehand::paper::{PaperKind, Reader};
///
/// assert_eq!(PaperKind::Consent.as_str(), "consent");
/// assert_eq!(PaperKind::CheckSheet.reader(), Reader::Practitioner);
/// assert_eq!("aftercare".parse(), Ok(PaperKind::Aftercare));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PaperKind {
    /// What the patient takes home and reads before deciding.
    Information,
    /// What the patient signs on the day.
    Consent,
    /// What the patient takes home.
    Aftercare,
    /// What the practitioner works through before treating.
    #[serde(rename = "clinician")]
    CheckSheet,
    /// What the check sheet rests on: every required statement with its page, licences, sources.
    Evidence,
}

/// Who a paper is written for, which also decides its language.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reader {
    /// In the patient's language; handed out.
    Patient,
    /// In the practice's language; never handed out.
    Practitioner,
}

/// A way in which a paper is set.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Edition {
    #[default]
    Ordinary,
    /// Set again at the size of the place, never scaled; the words are the same.
    LargePrint,
    /// In a language of the practice, for staff to read along; nothing in it can be signed or filled in.
    ReadingCopy,
}

/// Not the name of a paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownPaper;

impl std::fmt::Display for UnknownPaper {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let known = PaperKind::ALL.map(PaperKind::as_str).join(", ");
        write!(f, "there is no such paper; there are: {known}")
    }
}

impl std::error::Error for UnknownPaper {}

impl PaperKind {
    /// Every kind, in the order in which papers are made: a later one may say where an earlier one printed something.
    pub const ALL: [PaperKind; 5] = [
        PaperKind::Information,
        PaperKind::Consent,
        PaperKind::Aftercare,
        PaperKind::CheckSheet,
        PaperKind::Evidence,
    ];

    /// As in file names, records and the register.
    pub fn as_str(self) -> &'static str {
        match self {
            PaperKind::Information => "information",
            PaperKind::Consent => "consent",
            PaperKind::Aftercare => "aftercare",
            PaperKind::CheckSheet => "clinician",
            PaperKind::Evidence => "evidence",
        }
    }

    /// What it is called on the terminal, in English.
    pub fn noun(self) -> &'static str {
        match self {
            PaperKind::Information => "information paper",
            PaperKind::Consent => "consent form",
            PaperKind::Aftercare => "aftercare sheet",
            PaperKind::CheckSheet => "clinician's check sheet",
            PaperKind::Evidence => "evidence annex",
        }
    }

    pub fn reader(self) -> Reader {
        match self {
            PaperKind::Information | PaperKind::Consent | PaperKind::Aftercare => Reader::Patient,
            PaperKind::CheckSheet | PaperKind::Evidence => Reader::Practitioner,
        }
    }

    /// Whether it is given to the patient. Such a paper is never written under a `stop`, and says so when nobody has approved
    /// its words.
    pub fn is_handed_out(self) -> bool {
        self.reader() == Reader::Patient
    }

    /// Whether it is written even under a `stop`. What is handed out is not, nor what says on which pages of that something stands.
    pub fn survives_a_stop(self) -> bool {
        match self {
            PaperKind::CheckSheet => true,
            PaperKind::Information
            | PaperKind::Consent
            | PaperKind::Aftercare
            | PaperKind::Evidence => false,
        }
    }

    /// Whether it tells what can go wrong in full; what is signed only names it.
    pub fn explains_risks(self) -> bool {
        match self {
            PaperKind::Information => true,
            PaperKind::Consent
            | PaperKind::Aftercare
            | PaperKind::CheckSheet
            | PaperKind::Evidence => false,
        }
    }

    /// Whether the patient agrees to something on it.
    pub fn is_signed(self) -> bool {
        match self {
            PaperKind::Consent => true,
            PaperKind::Information
            | PaperKind::Aftercare
            | PaperKind::CheckSheet
            | PaperKind::Evidence => false,
        }
    }

    /// Sides that it keeps to for so many areas; none where it is as long as it needs to be.
    pub fn sides(self, areas: usize) -> Option<usize> {
        let further = areas.saturating_sub(4).div_ceil(4);
        match self {
            PaperKind::Information => (areas <= 1).then_some(4),
            // one sheet for up to four areas, a side more for every four after them
            PaperKind::Consent => Some(2 + further),
            PaperKind::Aftercare => (areas <= 4).then_some(2),
            PaperKind::CheckSheet | PaperKind::Evidence => None,
        }
    }

    /// How often it is printed for a visit: what is signed twice, so that the patient takes one home; the annex is read on a
    /// screen.
    pub fn copies(self) -> usize {
        match self {
            PaperKind::Consent => 2,
            PaperKind::Information | PaperKind::Aftercare | PaperKind::CheckSheet => 1,
            PaperKind::Evidence => 0,
        }
    }

    /// The wording of its title.
    pub fn title(self) -> &'static str {
        match self {
            PaperKind::Information => "information.title",
            PaperKind::Consent => "consent.title",
            PaperKind::Aftercare => "aftercare.title",
            PaperKind::CheckSheet => "clinician.title",
            PaperKind::Evidence => "evidence.title",
        }
    }

    /// The wording of its name at the foot of each page.
    pub fn short_title(self) -> &'static str {
        match self {
            PaperKind::Information => "information.short-title",
            PaperKind::Consent => "consent.short-title",
            PaperKind::Aftercare => "aftercare.short-title",
            PaperKind::CheckSheet => "clinician.short-title",
            PaperKind::Evidence => "evidence.short-title",
        }
    }

    /// Whether there is such an edition of it: large print and reading copies are for what patients are handed.
    pub fn comes_in(self, edition: Edition) -> bool {
        match edition {
            Edition::Ordinary => true,
            Edition::LargePrint | Edition::ReadingCopy => self.is_handed_out(),
        }
    }

    /// Whether it is also made as one page for a telephone: what is read at home. A telephone enlarges by itself, and nothing
    /// is signed on one.
    pub fn has_phone_page(self, edition: Edition) -> bool {
        match (self, edition) {
            (PaperKind::Information | PaperKind::Aftercare, Edition::Ordinary) => true,
            (
                PaperKind::Information | PaperKind::Aftercare,
                Edition::LargePrint | Edition::ReadingCopy,
            )
            | (PaperKind::Consent | PaperKind::CheckSheet | PaperKind::Evidence, _) => false,
        }
    }

    /// The edition it is made in where this one is wanted.
    pub fn edition(self, wanted: Edition) -> Edition {
        match self.comes_in(wanted) {
            true => wanted,
            false => Edition::Ordinary,
        }
    }

    /// The kinds that there are in this edition.
    pub fn all_in(edition: Edition) -> impl Iterator<Item = PaperKind> {
        PaperKind::ALL
            .into_iter()
            .filter(move |kind| kind.comes_in(edition))
    }
}

impl std::fmt::Display for PaperKind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.as_str())
    }
}

impl std::str::FromStr for PaperKind {
    type Err = UnknownPaper;

    fn from_str(text: &str) -> Result<PaperKind, UnknownPaper> {
        PaperKind::ALL
            .into_iter()
            .find(|kind| kind.as_str() == text)
            .ok_or(UnknownPaper)
    }
}

impl Edition {
    /// What a paper of this edition calls itself in its record. Large print says the same as ordinary print, so it is no
    /// other paper.
    pub fn recorded(self, kind: PaperKind) -> &'static str {
        match (self, kind) {
            (Edition::Ordinary | Edition::LargePrint, kind) => kind.as_str(),
            (Edition::ReadingCopy, PaperKind::Information) => "information-staff",
            (Edition::ReadingCopy, PaperKind::Consent) => "consent-staff",
            (Edition::ReadingCopy, PaperKind::Aftercare) => "aftercare-staff",
            // there are none of these (`PaperKind::comes_in`)
            (Edition::ReadingCopy, PaperKind::CheckSheet | PaperKind::Evidence) => kind.as_str(),
        }
    }

    /// What stands for `{paper}` in a file name; `language` is that of a reading copy.
    pub fn in_file_name(self, kind: PaperKind, language: &str) -> String {
        match self {
            Edition::Ordinary => kind.as_str().to_owned(),
            Edition::LargePrint => format!("{kind}-large-print"),
            Edition::ReadingCopy => format!("{}-{language}", self.recorded(kind)),
        }
    }

    /// What it adds to the name of a paper on the terminal.
    pub fn noun(self) -> &'static str {
        match self {
            Edition::Ordinary => "",
            Edition::LargePrint => " in large print",
            Edition::ReadingCopy => ", reading copy for staff",
        }
    }

    pub fn is_large(self) -> bool {
        match self {
            Edition::LargePrint => true,
            Edition::Ordinary | Edition::ReadingCopy => false,
        }
    }
}
