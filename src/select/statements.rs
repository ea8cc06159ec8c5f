//! Turns a selection into the list of statements that must be printed, by paper.
//! Invariant: every risk of every planned area, every general and serious risk and every red flag is here; nothing is here twice.
//! Must not: say where on the page a statement goes.

use crate::catalogue::check::{AREA_CALL, AREA_STATEMENTS};
use crate::catalogue::{Evidence, Product, Risk};
use crate::domain::{Formulation, StatementId, StatementKind};
use crate::paper::PaperKind;

use super::{SelectedArea, Selection};

/// A sentence or paragraph that must be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Statement {
    /// Unique on its paper; says whose it is, whether it is a risk, and which wording fills it.
    pub id: StatementId,
    pub paper: PaperKind,
    pub evidence: Evidence,
}

/// Statements of `general.toml` that the information paper carries for every patient, in printing order.
pub const INFORMATION_GENERAL: &[&str] = &[
    "informs-not-replaces",
    "what-it-is",
    "how-given",
    "how-it-works",
    "not-permanent",
    "cannot-be-undone",
    "no-promise",
    "figures",
    "tell-us",
    "history-matters",
    "before-the-day",
    "not-tested-in-pregnancy",
    "breastfeeding",
    "units-not-interchangeable",
    "genuine-product",
    "repeats",
    "top-up",
    "long-term",
    "cost",
    "time-to-think",
    "stop-any-time",
    "your-reasons",
    "who-treats-you",
];

/// Statements of `general.toml` that the consent form carries for every patient.
pub const CONSENT_GENERAL: &[&str] = &["copy"];

/// Statements of `general.toml` that the aftercare sheet carries for every patient.
pub const AFTERCARE_GENERAL: &[&str] = &["aftercare-honesty", "report"];

/// An area's own sentences that go home with the patient; the others stand in the information paper.
const AFTERCARE_AREA: [&str; 2] = ["normal", AREA_CALL];

/// Every statement that must be printed.
pub fn list(selection: &Selection<'_>) -> Vec<Statement> {
    let mut list = List {
        selection,
        found: Vec::new(),
    };
    list.information();
    list.consent();
    list.aftercare();
    list.found
}

struct List<'s, 'a> {
    selection: &'s Selection<'a>,
    found: Vec<Statement>,
}

impl List<'_, '_> {
    fn add(&mut self, paper: PaperKind, id: StatementId, evidence: &Evidence) {
        self.found.push(Statement {
            id,
            paper,
            evidence: evidence.clone(),
        });
    }

    /// A general statement under an id of its own, which may say it for one area or product.
    fn general(&mut self, paper: PaperKind, id: StatementId) {
        let general = &self.selection.catalogue.general;
        let claim = general
            .statement
            .iter()
            .find(|claim| claim.id == id.name())
            .expect("the test `every_general_statement_the_papers_use_is_in_the_catalogue` holds these ids");
        self.add(paper, id, &claim.evidence);
    }

    fn information(&mut self) {
        let selection = self.selection;
        let paper = PaperKind::Information;
        for name in INFORMATION_GENERAL {
            self.general(paper, StatementId::general(name));
        }
        for product in &selection.products {
            let form = selection.visit.formulation_of(&product.id);
            for name in product_statements(product, form) {
                self.of_product(product, form, name);
            }
        }
        self.risks(paper, selection.general_risks());
        for choice in selection.choices() {
            self.add(paper, StatementId::choice(&choice.id), &choice.evidence);
        }
        for selected in &selection.areas {
            let id = &selected.area.id;
            self.of_area(paper, selected, |name| !AFTERCARE_AREA.contains(&name));
            for poor in &selected.area.poor_candidate {
                let id = StatementId::poor_candidate(id, &poor.id);
                self.add(paper, id, &poor.evidence);
            }
        }
        for licensed in selection.standings() {
            self.general(paper, licensed.id());
        }
        for because in &selection.because {
            let id = StatementId::because(&because.rule);
            self.add(paper, id, &because.evidence);
        }
    }

    /// What is signed for: every risk by its name.
    fn consent(&mut self) {
        let paper = PaperKind::Consent;
        self.risks(paper, self.selection.general_risks());
        for name in CONSENT_GENERAL {
            self.general(paper, StatementId::general(name));
        }
    }

    /// What holds for one product rests on what was read of that product, not of the others that the sentence fits.
    fn of_product(&mut self, product: &Product, form: Option<Formulation>, name: &'static str) {
        let id = StatementId::of_product(&product.id, name);
        let place = self.selection.region.licence_place.as_deref();
        let own = match name {
            "milk-protein" => Some(&product.milk_protein(form).evidence),
            "product-label-interval" => product.label_interval(place).map(|of| &of.evidence),
            _ => Some(&product.human_albumin(form).evidence),
        };
        self.general(PaperKind::Information, id);
        let said = self.found.last_mut().expect("it was just added");
        if let Some(own) = own {
            said.evidence = match name {
                // how small the risk of an infection is was read for albumin, whatever it is in
                "albumin" => Evidence::together([own, &said.evidence]),
                _ => own.clone(),
            };
        }
    }

    /// Every risk of every treatment and of every planned area.
    fn risks<'r>(&mut self, paper: PaperKind, general: impl IntoIterator<Item = &'r Risk>) {
        let selection = self.selection;
        for risk in &selection.catalogue.general.serious {
            self.add(paper, StatementId::serious(&risk.id), &risk.evidence);
        }
        for risk in general {
            self.add(paper, StatementId::general_risk(&risk.id), &risk.evidence);
        }
        for selected in &selection.areas {
            for risk in &selected.area.risk {
                let id = StatementId::risk(&selected.area.id, &risk.id);
                self.add(paper, id, &risk.evidence);
            }
        }
    }

    /// An area's own sentences that belong on a paper.
    fn of_area(
        &mut self,
        paper: PaperKind,
        selected: &SelectedArea<'_>,
        belongs: impl Fn(&str) -> bool,
    ) {
        let area = selected.area;
        let known = |name: &str| AREA_STATEMENTS.contains(&name) || name == AREA_CALL;
        for claim in &area.statement {
            if known(&claim.id) && belongs(&claim.id) {
                let id = StatementId::of_area(&area.id, &claim.id);
                self.add(paper, id, &claim.evidence);
            }
        }
    }

    fn aftercare(&mut self) {
        let selection = self.selection;
        let paper = PaperKind::Aftercare;
        let general = &selection.catalogue.general;
        for flag in selection.red_flags() {
            self.add(paper, StatementId::red_flag(&flag.id), &flag.evidence);
        }
        for claim in &general.normal {
            self.add(paper, StatementId::normal(&claim.id), &claim.evidence);
        }
        for alike in selection.alikes() {
            self.add(paper, StatementId::alike(&alike.id), &alike.evidence);
        }
        for selected in &selection.areas {
            self.of_area(paper, selected, |name| AFTERCARE_AREA.contains(&name));
        }
        for item in &selection.advice {
            let advice = item.advice;
            self.add(paper, StatementId::advice(&advice.id), &advice.evidence);
        }
        for name in AFTERCARE_GENERAL {
            self.general(paper, StatementId::general(name));
        }
    }
}

/// The papers on which a statement stands where a visit calls for it, in the order they are made.
pub fn papers_of(id: &StatementId) -> Vec<PaperKind> {
    use PaperKind::{Aftercare, CheckSheet, Consent, Information};
    let listed = |names: &[&str]| names.contains(&id.name());
    match id.kind() {
        StatementKind::Area if listed(&AFTERCARE_AREA) => vec![Aftercare],
        StatementKind::Area | StatementKind::PoorCandidate | StatementKind::Choice => {
            vec![Information]
        }
        StatementKind::Risk | StatementKind::Serious => vec![Information, Consent],
        StatementKind::RedFlag
        | StatementKind::Normal
        | StatementKind::Alike
        | StatementKind::Advice => vec![Aftercare],
        // where the visit is stopped, the check sheet has it to be read out
        StatementKind::Because => vec![Information, CheckSheet],
        StatementKind::Caution => vec![CheckSheet],
        StatementKind::General => {
            let of = |names: &[&str], paper| listed(names).then_some(paper);
            let found = [
                of(INFORMATION_GENERAL, Information),
                of(CONSENT_GENERAL, Consent),
                of(AFTERCARE_GENERAL, Aftercare),
            ];
            let found: Vec<PaperKind> = found.into_iter().flatten().collect();
            match found.is_empty() {
                // said of a product
                true => vec![Information],
                false => found,
            }
        }
    }
}

/// What the information paper says of a product's ingredients, in the form that is used.
pub fn product_statements(product: &Product, form: Option<Formulation>) -> Vec<&'static str> {
    use crate::catalogue::Presence;
    let mut found = vec![match product.human_albumin(form).value {
        Presence::Yes => "albumin",
        Presence::No => "no-albumin-listed",
        Presence::Unknown => "albumin-unknown",
    }];
    if product.milk_protein(form).value == Presence::Yes {
        found.push("milk-protein");
    }
    found.push("product-label-interval");
    found
}
