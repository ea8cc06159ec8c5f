//! Turns a few words about an invented clinic and visit into files, the files into what the library reads, and that into papers.
//!
//! Invariant: a file that does not read fails the test with the program's own message.
//! Must not: name anybody who is not marked as invented, or hold an expectation about the papers.

use std::sync::Arc;

use beforehand::catalogue::Catalogue;
use beforehand::diagnose::{Diagnostic, Format, SourceFile, Style, render};
use beforehand::paper::PaperKind;
use beforehand::papers::{self, Inputs, MakeError, MakeOptions, Paper, Papers};
use beforehand::plan::{self, Clinic, Visit};
use beforehand::typeset::Typesetter;
use beforehand::wording::{Approvals, Wording};

use super::catalogue::area;

/// A text as a TOML string.
pub fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

/// What an invented clinic file says; the rest is the same in all.
pub struct ClinicFile {
    pub name: String,
    pub address: Vec<String>,
    pub region: String,
    pub language: String,
    pub time_zone: String,
    /// Further lines of `[clinic]`.
    pub more: String,
    pub person: String,
    pub role: String,
    /// What stands after the practitioner: `[[stock]]`.
    pub rest: String,
}

impl Default for ClinicFile {
    fn default() -> ClinicFile {
        ClinicFile {
            name: "Fern Bank Rooms (invented)".to_owned(),
            address: vec!["1 Example Row".to_owned()],
            region: "GB-ENG".to_owned(),
            language: "en".to_owned(),
            time_zone: "Europe/London".to_owned(),
            more: String::new(),
            person: "Ada One (invented)".to_owned(),
            role: "nurse prescriber".to_owned(),
            rest: String::new(),
        }
    }
}

impl ClinicFile {
    /// The same clinic under the rules of another place.
    pub fn at(region: &str) -> ClinicFile {
        ClinicFile {
            region: region.to_owned(),
            ..ClinicFile::default()
        }
    }

    pub fn toml(&self) -> String {
        let ClinicFile { more, rest, .. } = self;
        let address: Vec<String> = self.address.iter().map(|line| quoted(line)).collect();
        let address = address.join(", ");
        let [name, region, language] =
            [&self.name, &self.region, &self.language].map(|text| quoted(text));
        let [time_zone, person, role] =
            [&self.time_zone, &self.person, &self.role].map(|text| quoted(text));
        format!(
            "[clinic]\nname = {name}\naddress = [{address}]\nphone = \"01632 960 101\"\nphone_out_of_hours = \"01632 960 199\"\n\
             region = {region}\nlanguage = {language}\ntime_zone = {time_zone}\n{more}\n\
             [[practitioner]]\nid = \"a-one\"\nname = {person}\nrole = {role}\nregistration = \"INVENTED-1\"\n{rest}"
        )
    }

    pub fn read(&self) -> Clinic {
        read_clinic(&self.toml())
    }
}

/// The standing clinic file.
pub fn clinic() -> String {
    ClinicFile::default().toml()
}

/// What an invented plan says. Batch, aim, event and the first area are left out when they are empty.
pub struct Plan {
    pub name: String,
    pub born: String,
    pub record: String,
    /// Further lines of `[patient]`.
    pub facts: String,
    pub date: String,
    /// Further lines of `[visit]`, beside date and practitioner.
    pub visit: String,
    /// The lines of `[product]`, beside the batch.
    pub product: String,
    pub batch: String,
    /// The lines of the first `[[area]]`, beside the aim.
    pub area: String,
    pub aim: String,
    pub event: String,
    /// Whatever stands after: more areas, events, a history.
    pub rest: String,
}

impl Default for Plan {
    fn default() -> Plan {
        Plan {
            visit: "time = 14:30\ninformed_on = 2026-11-26".to_owned(),
            batch: "INVENTED-9".to_owned(),
            area: "id = \"masseter\"\nside = \"both\"\nunits = 50".to_owned(),
            aim: "a slimmer jaw line".to_owned(),
            event: "a walk in the hills".to_owned(),
            ..Plan::bare()
        }
    }
}

impl Plan {
    /// Patient, day, practitioner and product, and nothing that could be left out; it needs an area.
    pub fn bare() -> Plan {
        let empty = String::new;
        Plan {
            name: "Thea Quillfeather (invented)".to_owned(),
            born: "1984-02-11".to_owned(),
            record: "INV-1".to_owned(),
            facts: empty(),
            date: "2026-12-03".to_owned(),
            visit: empty(),
            product: "name = \"onabotulinumtoxinA\"".to_owned(),
            batch: empty(),
            area: empty(),
            aim: empty(),
            event: empty(),
            rest: empty(),
        }
    }

    /// A bare plan whose visit has these lines: the date, and what may follow.
    pub fn when(lines: &str) -> Plan {
        let (day, visit) = lines.split_once('\n').unwrap_or((lines, ""));
        let day = day.strip_prefix("date = ");
        Plan {
            date: day.expect("the date comes first").to_owned(),
            visit: visit.to_owned(),
            ..Plan::bare()
        }
    }

    pub fn named(name: &str) -> Plan {
        Plan {
            name: name.to_owned(),
            ..Plan::default()
        }
    }

    pub fn toml(&self) -> String {
        let Plan {
            born,
            facts,
            date,
            visit,
            product,
            rest,
            ..
        } = self;
        let [name, record] = [&self.name, &self.record].map(|text| quoted(text));
        let line = |key: &str, text: &str| match text {
            "" => String::new(),
            text => format!("{key} = {}\n", quoted(text)),
        };
        let (batch, aim) = (line("batch", &self.batch), line("aim", &self.aim));
        let area = match self.area.as_str() {
            "" => String::new(),
            lines => format!("[[area]]\n{lines}\n{aim}\n"),
        };
        let event = match line("what", &self.event).as_str() {
            "" => String::new(),
            what => {
                format!(
                    "[[event]]\ndate = 2026-12-19\n{what}needs = [\"chewing\", \"speech\", \"smile\"]\n"
                )
            }
        };
        format!(
            "# invented\n[patient]\nname = {name}\nborn = {born}\nrecord = {record}\n{facts}\n\
             [visit]\ndate = {date}\n{visit}\npractitioner = \"a-one\"\n\n\
             [product]\n{product}\n{batch}\n{area}{event}{rest}"
        )
    }

    pub fn read(&self, clinic: &Clinic) -> Visit {
        read_visit(&self.toml(), clinic)
    }
}

/// `[[area]]` entries of these areas, on both sides where there are two, each with these further lines.
pub fn areas<S: AsRef<str>>(ids: impl IntoIterator<Item = S>, more: &str) -> String {
    ids.into_iter()
        .map(|id| {
            let id = id.as_ref();
            // an area with one place to be treated in has no side to choose
            let side = match area(id).sides.len() {
                1 => "",
                _ => "side = \"both\"\n",
            };
            format!("\n[[area]]\nid = \"{id}\"\n{side}{more}")
        })
        .collect()
}

fn source(name: &str, text: &str) -> SourceFile {
    SourceFile::from_bytes(name, text.as_bytes(), Format::Toml).expect("test files are not empty")
}

/// What was read of a file that must be right.
pub fn read_right<T>(read: Result<T, Vec<Diagnostic>>, file: &SourceFile) -> T {
    read.unwrap_or_else(|found| panic!("{}\n{}", render(&found, file, Style::Plain), file.text()))
}

/// A clinic file that must be right.
pub fn read_clinic(text: &str) -> Clinic {
    let file = source("clinic.toml", text);
    let vocabulary = papers::vocabulary(Catalogue::embedded());
    read_right(plan::read_clinic(&file, &vocabulary), &file)
}

/// A plan that must be right.
pub fn read_visit(text: &str, clinic: &Clinic) -> Visit {
    let file = source("plan.toml", text);
    let vocabulary = papers::vocabulary(Catalogue::embedded());
    read_right(plan::read_plan(&file, &vocabulary, Some(clinic)), &file)
}

/// The papers of a visit with these approvals, or why they cannot be made.
pub fn make<'a>(
    clinic: &'a Clinic,
    visit: &'a Visit,
    approvals: &Approvals,
    typesetter: &Typesetter,
    options: &MakeOptions,
) -> Result<Papers<'a>, MakeError> {
    let from = Inputs {
        catalogue: Catalogue::embedded(),
        clinic,
        visit,
        approvals,
        typesetter,
    };
    papers::make(from, options)
}

/// The same in these words.
pub fn in_words(wording: Wording) -> MakeOptions {
    MakeOptions {
        wording: Some(Arc::new(wording)),
        ..MakeOptions::default()
    }
}

/// The papers of a visit, in words that nobody approved.
pub fn papers_of<'a>(clinic: &'a Clinic, visit: &'a Visit, typesetter: &Typesetter) -> Papers<'a> {
    let options = MakeOptions::default();
    make(clinic, visit, &Approvals::none(), typesetter, &options)
        .unwrap_or_else(|error| panic!("{error}"))
}

/// The paper of a kind.
pub fn paper<'m>(papers: &'m Papers<'_>, kind: PaperKind) -> &'m Paper {
    papers.paper(kind).expect("the paper is made")
}

/// Lays the papers of a plan out and shows them to `look`.
pub fn laid_out<R>(plan: &str, typesetter: &Typesetter, look: impl FnOnce(&Papers<'_>) -> R) -> R {
    laid_out_at(&clinic(), plan, typesetter, look)
}

/// The same at a clinic of the test's own.
pub fn laid_out_at<R>(
    clinic: &str,
    plan: &str,
    typesetter: &Typesetter,
    look: impl FnOnce(&Papers<'_>) -> R,
) -> R {
    let clinic = read_clinic(clinic);
    let visit = read_visit(plan, &clinic);
    look(&papers_of(&clinic, &visit, typesetter))
}
