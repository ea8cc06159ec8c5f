//! Turns a selection into the list of statements that must be printed, by paper.
//! Invariant: every risk of every planned area, every general and serious risk and every red flag is here; nothing is here twice.
//! Must not: say where on the page a statement goes.

use crate::catalogue::{Claim, Risk, Standing, Status};

use super::Selection;
use crate::paper::PaperKind;

/// A sentence or paragraph that must be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Statement {
    /// Unique on its paper; for what is said once per area: `<area>/<wording id>`.
    pub id: String,
    /// The wording that fills it.
    pub wording: String,
    pub paper: PaperKind,
    /// The area it belongs to, if one.
    pub area: Option<String>,
    /// An area's required risk.
    pub risk: bool,
    pub source: Vec<String>,
    pub status: Status,
}

/// Statements of `general.toml` that the consent form carries for every patient, in printing order.
pub const CONSENT_GENERAL: &[&str] = &[
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
    "copy",
];

/// Statements of `general.toml` that the aftercare sheet carries for every patient.
pub const AFTERCARE_GENERAL: &[&str] = &["aftercare-honesty", "report", "informs-not-replaces"];

/// The wording that says how a product stands for an area.
pub fn licence_wording(standing: Standing) -> &'static str {
    match standing {
        Standing::Licensed => "licensed",
        Standing::OffLabel => "off-label",
        Standing::Unknown => "licence-unknown",
    }
}

/// Every statement that must be printed.
pub fn list(selection: &Selection<'_>) -> Vec<Statement> {
    let mut list = List {
        selection,
        found: Vec::new(),
    };
    list.consent();
    list.aftercare();
    list.found
}

struct List<'s, 'a> {
    selection: &'s Selection<'a>,
    found: Vec<Statement>,
}

impl List<'_, '_> {
    fn add(
        &mut self,
        paper: PaperKind,
        id: String,
        area: Option<&str>,
        risk: bool,
        source: &[String],
        status: Status,
    ) {
        let wording = id
            .split_once('/')
            .map_or(id.as_str(), |(_, wording)| wording)
            .to_owned();
        self.found.push(Statement {
            id,
            wording,
            paper,
            area: area.map(str::to_owned),
            risk,
            source: source.to_vec(),
            status,
        });
    }

    fn claim(&mut self, paper: PaperKind, id: String, area: Option<&str>, claim: &Claim) {
        self.add(paper, id, area, false, &claim.source, claim.status);
    }

    fn risk(&mut self, id: String, area: Option<&str>, risk: &Risk) {
        self.add(
            PaperKind::Consent,
            id,
            area,
            true,
            &risk.source,
            risk.status,
        );
    }

    fn general(&mut self, paper: PaperKind, prefix: Option<&str>, id: &str) {
        let general = &self.selection.catalogue.general;
        let claim = general
            .statement
            .iter()
            .find(|claim| claim.id == id)
            .cloned()
            .expect("the test `every_general_statement_the_papers_use_is_in_the_catalogue` holds these ids");
        let full = prefix.map_or_else(
            || format!("general.{id}"),
            |prefix| format!("{prefix}/general.{id}"),
        );
        self.claim(paper, full, prefix, &claim);
    }

    fn consent(&mut self) {
        let selection = self.selection;
        let general = &selection.catalogue.general;
        for id in CONSENT_GENERAL {
            self.general(PaperKind::Consent, None, id);
        }
        for product in &selection.products {
            for id in product_statements(product) {
                self.general(PaperKind::Consent, Some(&product.id), id);
            }
        }
        for risk in selection.general_risks() {
            self.risk(format!("general.risk.{}", risk.id), None, risk);
        }
        for risk in &general.serious {
            self.risk(format!("general.serious.{}", risk.id), None, risk);
        }
        for claim in &general.choice {
            self.claim(
                PaperKind::Consent,
                format!("choice.{}", claim.id),
                None,
                claim,
            );
        }
        for selected in &selection.areas {
            let id = selected.area.id.as_str();
            for claim in &selected.area.statement {
                if matches!(
                    claim.id.as_str(),
                    "can" | "cannot" | "lasts" | "candid" | "other-choices"
                ) {
                    self.claim(
                        PaperKind::Consent,
                        format!("{id}.{}", claim.id),
                        Some(id),
                        claim,
                    );
                }
            }
            for risk in &selected.area.risk {
                self.risk(format!("{id}.risk.{}", risk.id), Some(id), risk);
            }
            for poor in &selected.area.poor_candidate {
                self.add(
                    PaperKind::Consent,
                    format!("{id}.poor.{}", poor.id),
                    Some(id),
                    false,
                    &poor.source,
                    poor.status,
                );
            }
            self.general(
                PaperKind::Consent,
                Some(id),
                licence_wording(selected.standing()),
            );
        }
        for because in &selection.because {
            let id = format!("because.{}", because.rule);
            self.add(
                PaperKind::Consent,
                id,
                None,
                false,
                &because.source,
                because.status,
            );
        }
    }

    fn aftercare(&mut self) {
        let selection = self.selection;
        let general = &selection.catalogue.general;
        for flag in &general.red_flag {
            self.add(
                PaperKind::Aftercare,
                format!("redflag.{}", flag.id),
                None,
                false,
                &flag.source,
                flag.status,
            );
        }
        for claim in &general.normal {
            self.claim(
                PaperKind::Aftercare,
                format!("normal.{}", claim.id),
                None,
                claim,
            );
        }
        for selected in &selection.areas {
            let id = selected.area.id.as_str();
            for claim in &selected.area.statement {
                if matches!(claim.id.as_str(), "normal" | "call") {
                    self.claim(
                        PaperKind::Aftercare,
                        format!("{id}.{}", claim.id),
                        Some(id),
                        claim,
                    );
                }
            }
        }
        for item in &selection.advice {
            let advice = item.advice;
            self.add(
                PaperKind::Aftercare,
                format!("advice.{}", advice.id),
                None,
                false,
                &advice.source,
                advice.status,
            );
        }
        for id in AFTERCARE_GENERAL {
            self.general(PaperKind::Aftercare, None, id);
        }
    }
}

/// What the consent form says of a product's ingredients.
pub fn product_statements(product: &crate::catalogue::Product) -> Vec<&'static str> {
    use crate::catalogue::Presence;
    let mut found = vec![match product.human_albumin.value {
        Presence::Yes => "albumin",
        Presence::No => "no-albumin-listed",
        Presence::Unknown => "albumin-unknown",
    }];
    if product.milk_protein.value == Presence::Yes {
        found.push("milk-protein");
    }
    found.push("product-label-interval");
    found
}
