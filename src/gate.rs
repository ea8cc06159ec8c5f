//! Turns the papers of one visit into the answer whether they may be handed out, with every reason against it.
//! Invariant: `make` and `check` ask here and nowhere else, so what one refuses the other fails.
//! Must not: judge how something is said (that is `lint`), or believe that something was printed without reading the pages.

use serde::Serialize;

use crate::catalogue::{Level, Region};
use crate::compose::Document;
use crate::compose::document::Block;
use crate::compose::lines::{Kind, Line};
use crate::coverage::{Coverage, Drawn, Fault};
use crate::domain::{CautionId, LabelId, StatementId};
use crate::paper::{Edition, PaperKind};
use crate::select::Selection;
use crate::typeset::Pages;
use crate::wording::Wording;

/// Whether papers may be handed out: where there is no reason against it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Verdict {
    pub reasons: Vec<Reason>,
}

/// One thing that stands against handing papers to the patient.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// A caution of level `stop`, by its id.
    Stop(CautionId),
    /// A paper lacks what it must have.
    Lack {
        paper: PaperKind,
        edition: Edition,
        lack: Lack,
    },
}

/// What a paper lacks, or has and must not have.
#[derive(Debug, Clone, PartialEq)]
pub enum Lack {
    /// A required statement that is not printed as it must be.
    Statement { id: StatementId, fault: Fault },
    /// Other composed words that are not on the page.
    Words { text: String, fault: Fault },
    /// A page from 1 does not say whose paper it is.
    Identity {
        page: usize,
        found: usize,
        wanted: usize,
    },
    /// Somebody or something that has to be named.
    Unnamed { what: Named, text: String },
    /// A box that is ticked before the patient has it.
    Ticked { text: String },
    /// A form to be signed without a whole place for somebody to sign.
    NoPlaceToSign { who: Signer },
    /// A form with words that nobody has approved, and a place to sign.
    DraftToSign,
    /// The same of its page for a telephone.
    PhonePage(Box<Lack>),
}

/// What a paper has to name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Named {
    Clinic,
    ClinicAddress,
    ClinicPhone,
    OutOfHours,
    EmergencyNumber,
    Practitioner,
    PractitionerRole,
    Area,
    Product,
    Batch,
}

/// Who signs a consent form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Signer {
    Patient,
    Practitioner,
}

impl Verdict {
    /// Nothing stands against handing the papers out.
    pub fn is_open(&self) -> bool {
        self.reasons.is_empty()
    }
}

impl Named {
    fn as_str(self) -> &'static str {
        match self {
            Named::Clinic => "the clinic",
            Named::ClinicAddress => "the clinic's address",
            Named::ClinicPhone => "the clinic's telephone number",
            Named::OutOfHours => "the way to get help outside opening hours",
            Named::EmergencyNumber => "the emergency number of the place",
            Named::Practitioner => "the practitioner",
            Named::PractitionerRole => "the practitioner's role",
            Named::Area => "an area",
            Named::Product => "a product",
            Named::Batch => "the place for the batch number",
        }
    }
}

impl Signer {
    /// Last part of the ids of the words at this place to sign.
    fn id(self) -> &'static str {
        match self {
            Signer::Patient => "patient",
            Signer::Practitioner => "practitioner",
        }
    }
}

impl std::fmt::Display for Reason {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Reason::Stop(caution) => write!(f, "the caution {caution}"),
            Reason::Lack {
                paper,
                edition,
                lack,
            } => write!(f, "{}{}: {lack}", paper.noun(), edition.noun()),
        }
    }
}

impl std::fmt::Display for Lack {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Lack::Statement { id, fault } => write!(f, "the required statement {id} {fault}"),
            Lack::Words { text, fault } => write!(f, "`{text}` {fault}"),
            Lack::Identity {
                page,
                found,
                wanted,
            } => write!(
                f,
                "page {page} has {found} of the {wanted} identifiers it needs, the name among them"
            ),
            Lack::Unnamed { what, text } => {
                write!(f, "{} is not named: `{text}`", what.as_str())
            }
            Lack::Ticked { text } => write!(f, "a box is ticked beforehand: `{text}`"),
            Lack::NoPlaceToSign { who } => {
                let who = who.id();
                write!(f, "no place for the {who} to sign, with date and time")
            }
            Lack::PhonePage(lack) => write!(f, "on its page for a phone, {lack}"),
            Lack::DraftToSign => {
                write!(f, "its words are not approved, and it has a place to sign")
            }
        }
    }
}

/// The gate of one visit: stops among its cautions, and what its papers lack.
pub fn judge<'l>(
    selection: &Selection<'_>,
    papers: impl Iterator<Item = (PaperKind, Edition, &'l [Lack])>,
) -> Verdict {
    let stops = selection
        .cautions
        .iter()
        .filter(|caution| caution.level == Level::Stop)
        .map(|caution| Reason::Stop(caution.id.clone()));
    let lacks = papers.flat_map(|(paper, edition, lacks)| {
        let lack = move |lack: &Lack| Reason::Lack {
            paper,
            edition,
            lack: lack.clone(),
        };
        lacks.iter().map(lack)
    });
    Verdict {
        reasons: stops.chain(lacks).collect(),
    }
}

/// One laid-out paper as the gate looks at it.
pub struct Sheet<'s, 'a> {
    pub kind: PaperKind,
    pub edition: Edition,
    pub selection: &'s Selection<'a>,
    pub wording: &'s Wording,
    pub document: &'s Document,
    pub pages: &'s Pages,
    pub coverage: &'s Coverage,
}

impl Sheet<'_, '_> {
    /// Everything a paper lacks that it must have before it is handed out; what stays with the practitioner only has to be whole.
    pub fn lacks(&self) -> Vec<Lack> {
        let faults = self.coverage.faults.iter();
        let mut found: Vec<Lack> = faults
            .map(|(id, fault)| Lack::Statement {
                id: id.clone(),
                fault: fault.clone(),
            })
            .collect();
        let lost = self.coverage.lost.iter();
        found.extend(lost.map(|(text, fault)| Lack::Words {
            text: text.clone(),
            fault: fault.clone(),
        }));
        if !self.kind.is_handed_out() {
            return found;
        }
        let lines = self.document.lines();
        found.extend(self.identity());
        found.extend(self.unnamed(&lines));
        found.extend(ticked(&lines));
        // nothing is signed on a copy to read along
        if self.kind.is_signed() && self.edition != Edition::ReadingCopy {
            found.extend(self.signing());
        }
        found
    }

    /// Pages that do not say whose paper it is: the first in its own grid, the others in the running head.
    fn identity(&self) -> Vec<Lack> {
        let patient = &self.selection.visit.patient;
        let others = [
            self.wording.formats().short_date(patient.born),
            patient.record.clone(),
        ];
        let wanted = identifiers_wanted(self.selection.region);
        let heads = whose(self.pages);
        let short = heads.iter().enumerate().filter_map(|(index, drawn)| {
            let named = drawn.holds(&patient.name);
            let found = usize::from(named) + others.iter().filter(|id| drawn.holds(id)).count();
            (!named || found < wanted).then_some(Lack::Identity {
                page: index + 1,
                found,
                wanted,
            })
        });
        short.collect()
    }

    /// What the paper has to name and does not; that what it names is printed, coverage has shown.
    fn unnamed(&self, lines: &[Line<'_>]) -> Vec<Lack> {
        let selection = self.selection;
        let (clinic, person) = (selection.clinic, selection.practitioner);
        let head = &self.document.masthead;
        let head = [&head.clinic, &head.address, &head.phone];
        let words = lines.iter().map(|line| line.text.as_str());
        let said = Drawn::of(head.into_iter().map(String::as_str).chain(words));
        let mut wanted = vec![
            (Named::Clinic, clinic.name.clone()),
            (Named::ClinicPhone, clinic.phone.clone()),
        ];
        let address = clinic.address.iter();
        wanted.extend(address.map(|line| (Named::ClinicAddress, line.clone())));
        // a wording without such a label names nothing
        let label = |id: &str| self.wording.label(id).unwrap_or_default();
        match self.kind {
            PaperKind::Information | PaperKind::Consent => {
                wanted.push((Named::Practitioner, person.name.clone()));
                wanted.push((
                    Named::PractitionerRole,
                    clinic.said_in(self.wording.base(), &person.role).to_owned(),
                ));
                if self.kind == PaperKind::Consent {
                    wanted.push((Named::Batch, label("label.batch")));
                }
                for selected in &selection.areas {
                    let id = LabelId::area_name(&selected.area.id);
                    wanted.push((Named::Area, label(&id)));
                }
                let products = selection.products.iter();
                wanted.extend(products.map(|product| (Named::Product, product.id.to_string())));
            }
            PaperKind::Aftercare => {
                wanted.push((Named::OutOfHours, clinic.phone_out_of_hours.clone()));
                // any of them will do
                let numbers = &selection.region.emergency.value;
                if !numbers.iter().any(|number| said.holds(number)) {
                    wanted.push((Named::EmergencyNumber, numbers.join(", ")));
                }
            }
            PaperKind::CheckSheet | PaperKind::Evidence => {}
        }
        let unsaid = wanted
            .into_iter()
            .filter(|(_, text)| text.is_empty() || !said.holds(text));
        unsaid
            .map(|(what, text)| Lack::Unnamed { what, text })
            .collect()
    }

    /// Places to sign: whole on a form that may be signed, none on a draft.
    fn signing(&self) -> Vec<Lack> {
        let label = |id: &str| self.wording.label(id).unwrap_or_default();
        let draft = self.document.running_lines.notice.as_deref() == Some(&label("paper.draft"));
        let blocks = self.document.all_blocks();
        let places: Vec<(&str, Vec<&str>)> = blocks
            .iter()
            .filter_map(|nested| match nested.block {
                Block::Sign { title, fields, .. } => {
                    let labels = fields.iter().map(|field| field.label.as_str());
                    Some((title.as_str(), labels.collect()))
                }
                _ => None,
            })
            .collect();
        if draft {
            return Vec::from_iter((!places.is_empty()).then_some(Lack::DraftToSign));
        }
        let parts = ["signature", "date", "time"].map(|part| label(&LabelId::sign(part)));
        let whole = |who: &Signer| {
            let wanted = label(&LabelId::sign(who.id()));
            places.iter().any(|(title, fields)| {
                *title == wanted && parts.iter().all(|part| fields.contains(&part.as_str()))
            })
        };
        [Signer::Patient, Signer::Practitioner]
            .into_iter()
            .filter(|who| !whole(who))
            .map(|who| Lack::NoPlaceToSign { who })
            .collect()
    }
}

/// Identifiers the place asks for on every page: Australia's first standard names three (D88, second-hand).
pub fn identifiers_wanted(region: &Region) -> usize {
    match region.id.as_str() {
        "AU" => 3,
        _ => 2,
    }
}

/// What was drawn on the first page, and in the running head and foot of each other one.
fn whose(pages: &Pages) -> Vec<Drawn> {
    let drawn = &pages.content().runs;
    (1..=pages.count())
        .map(|page| {
            let runs = drawn
                .iter()
                .filter(|run| run.page == page && (page == 1 || run.part.is_running()));
            Drawn::of(runs.map(|run| run.text.as_str()))
        })
        .collect()
}

/// Signs of a box that is ticked or crossed.
const TICKED: [char; 8] = ['☑', '☒', '✓', '✔', '✗', '✘', '🗹', '🗸'];

/// A text that says by a sign that something is chosen.
pub fn is_ticked(text: &str) -> bool {
    text.contains(TICKED) || text.contains("[x]") || text.contains("[X]")
}

/// Boxes whose own words are ticked. The boxes themselves are drawn by the template, empty; what a patient wrote elsewhere
/// ticks no box.
fn ticked(lines: &[Line<'_>]) -> Vec<Lack> {
    let boxes = lines.iter().filter(|line| line.kind == Kind::Tick);
    boxes
        .filter(|line| is_ticked(&line.text))
        .map(|line| Lack::Ticked {
            text: line.text.clone(),
        })
        .collect()
}
