//! Turns the embedded TOML files of this folder into one cross-checked `Catalogue`.
//! Invariant: after `Catalogue::embedded()` every id used is defined and every medical entry names its source and status.
//! Must not: read the disk at run time, hold sentences, or depend on any other layer.

pub mod band;
pub mod check;
mod check_risks;
mod checkpoint;
pub mod marks;
pub mod model;
pub mod shared_model;

use std::collections::BTreeMap;
use std::sync::OnceLock;

pub use band::Band;
pub use checkpoint::{Checkpoint, CheckpointFile, Moment};
pub use marks::{FaceMark, marks_for};
pub use model::*;
pub use shared_model::*;

use crate::domain::StatementId;

pub use crate::domain::{
    AdviceId, AreaId, Evidence, FactId, FactKind, Formulation, Function, Level, PageSize,
    ProductId, RegionId, RuleId, Side, SourceId, Standing, Status, TimeUnit, Urgency,
};

/// File name and content of every catalogue file, embedded.
const FILES: &[(&str, &str)] = &[
    ("sources.toml", include_str!("sources.toml")),
    ("general.toml", include_str!("general.toml")),
    ("advice.toml", include_str!("advice.toml")),
    ("facts.toml", include_str!("facts.toml")),
    ("rules.toml", include_str!("rules.toml")),
    ("needs.toml", include_str!("needs.toml")),
    ("checkpoints.toml", include_str!("checkpoints.toml")),
    ("products.toml", include_str!("products.toml")),
    ("regions.toml", include_str!("regions.toml")),
    ("areas/glabella.toml", include_str!("areas/glabella.toml")),
    ("areas/forehead.toml", include_str!("areas/forehead.toml")),
    (
        "areas/lateral-canthus.toml",
        include_str!("areas/lateral-canthus.toml"),
    ),
    ("areas/nasalis.toml", include_str!("areas/nasalis.toml")),
    (
        "areas/levator-labii-superioris-alaeque-nasi.toml",
        include_str!("areas/levator-labii-superioris-alaeque-nasi.toml"),
    ),
    (
        "areas/depressor-septi-nasi.toml",
        include_str!("areas/depressor-septi-nasi.toml"),
    ),
    (
        "areas/orbicularis-oris.toml",
        include_str!("areas/orbicularis-oris.toml"),
    ),
    (
        "areas/depressor-anguli-oris.toml",
        include_str!("areas/depressor-anguli-oris.toml"),
    ),
    (
        "areas/depressor-labii-inferioris.toml",
        include_str!("areas/depressor-labii-inferioris.toml"),
    ),
    ("areas/mentalis.toml", include_str!("areas/mentalis.toml")),
    ("areas/masseter.toml", include_str!("areas/masseter.toml")),
    ("areas/platysma.toml", include_str!("areas/platysma.toml")),
    (
        "areas/zygomaticus.toml",
        include_str!("areas/zygomaticus.toml"),
    ),
];

/// Reasons a plan may give for treating an area.
pub const REASONS: &[&str] = &["asymmetry", "appearance"];

/// Everything the program knows about areas, risks, advice, facts, products and places.
#[derive(Debug, Clone)]
pub struct Catalogue {
    pub sources: BTreeMap<SourceId, Source>,
    pub general: General,
    pub advice: Vec<Advice>,
    pub facts: Vec<Fact>,
    pub rules: Vec<Rule>,
    /// What an event of the patient's diary may need.
    pub needs: Vec<Need>,
    /// What the practitioner looks at around the injection.
    pub checkpoints: Vec<Checkpoint>,
    pub products: Vec<Product>,
    /// What an earlier treatment may have used besides the products.
    pub other_toxins: Vec<OtherToxin>,
    pub regions: Vec<Region>,
    /// In printing order.
    pub areas: Vec<Area>,
}

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct SourceFileToml {
    source: Vec<Source>,
}

/// A catalogue file that does not read, or an id that leads nowhere.
#[derive(Debug)]
pub struct CatalogueError(pub Vec<String>);

impl std::fmt::Display for CatalogueError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "the catalogue is not consistent:\n  {}",
            self.0.join("\n  ")
        )
    }
}

impl std::error::Error for CatalogueError {}

impl Catalogue {
    /// The catalogue built into the program, read and cross-checked once per process.
    pub fn embedded() -> &'static Catalogue {
        static CATALOGUE: OnceLock<Catalogue> = OnceLock::new();
        CATALOGUE.get_or_init(|| {
            Catalogue::from_files(FILES.iter().copied()).expect(
                "the embedded catalogue is cross-checked by the test `catalogue_is_consistent`",
            )
        })
    }

    /// Names and texts of the embedded files, for digests and for tests that change one.
    pub fn files() -> &'static [(&'static str, &'static str)] {
        FILES
    }

    /// Reads and cross-checks catalogue files.
    ///
    /// # Errors
    /// Every file that does not parse and every id that leads nowhere, all at once.
    pub fn from_files<'a>(
        files: impl Iterator<Item = (&'a str, &'a str)>,
    ) -> Result<Catalogue, CatalogueError> {
        let mut problems = Vec::new();
        let mut sources = BTreeMap::new();
        let mut general = None;
        let (mut advice, mut facts, mut rules, mut needs) =
            (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        let mut checkpoints = Vec::new();
        let (mut products, mut other_toxins) = (Vec::new(), Vec::new());
        let (mut regions, mut areas) = (Vec::new(), Vec::<Area>::new());

        fn read<T: serde::de::DeserializeOwned>(
            name: &str,
            text: &str,
            problems: &mut Vec<String>,
        ) -> Option<T> {
            toml::from_str(text)
                .map_err(|error| problems.push(format!("{name}: {error}")))
                .ok()
        }

        for (name, text) in files {
            match name {
                "sources.toml" => {
                    for source in read::<SourceFileToml>(name, text, &mut problems)
                        .into_iter()
                        .flat_map(|f| f.source)
                    {
                        let id = source.id.clone();
                        if sources.insert(id.clone(), source).is_some() {
                            problems.push(format!("{name}: source {id} is listed twice"));
                        }
                    }
                }
                "general.toml" => general = read::<General>(name, text, &mut problems),
                "advice.toml" => {
                    advice = read::<AdviceFile>(name, text, &mut problems)
                        .map(|f| f.advice)
                        .unwrap_or_default();
                }
                "facts.toml" => {
                    facts = read::<FactFile>(name, text, &mut problems)
                        .map(|f| f.fact)
                        .unwrap_or_default()
                }
                "rules.toml" => {
                    rules = read::<RuleFile>(name, text, &mut problems)
                        .map(|f| f.rule)
                        .unwrap_or_default()
                }
                "needs.toml" => {
                    needs = read::<NeedFile>(name, text, &mut problems)
                        .map(|f| f.need)
                        .unwrap_or_default()
                }
                "checkpoints.toml" => {
                    checkpoints = read::<CheckpointFile>(name, text, &mut problems)
                        .map(|f| f.checkpoint)
                        .unwrap_or_default()
                }
                "products.toml" => {
                    (products, other_toxins) = read::<ProductFile>(name, text, &mut problems)
                        .map(|f| (f.product, f.other_toxin))
                        .unwrap_or_default();
                }
                "regions.toml" => {
                    regions = read::<RegionFile>(name, text, &mut problems)
                        .map(|f| f.region)
                        .unwrap_or_default();
                }
                _ => areas.extend(read::<Area>(name, text, &mut problems)),
            }
        }
        areas.sort_by_key(|area| area.order);
        advice.sort_by_key(|item: &Advice| item.order);
        let Some(general) = general else {
            problems.push("general.toml is missing or does not read".to_owned());
            return Err(CatalogueError(problems));
        };
        let catalogue = Catalogue {
            sources,
            general,
            advice,
            facts,
            rules,
            needs,
            checkpoints,
            products,
            other_toxins,
            regions,
            areas,
        };
        problems.extend(check::problems(&catalogue));
        if problems.is_empty() {
            Ok(catalogue)
        } else {
            Err(CatalogueError(problems))
        }
    }

    /// This catalogue with further sources and areas, cross-checked anew.
    ///
    /// # Errors
    /// Everything that does not fit, one sentence each.
    pub fn extended(
        &self,
        sources: Vec<Source>,
        areas: Vec<Area>,
    ) -> Result<Catalogue, CatalogueError> {
        let mut all = self.clone();
        let mut problems = Vec::new();
        for source in sources {
            let id = source.id.clone();
            if all.sources.insert(id.clone(), source).is_some() {
                problems.push(format!("source {id} is listed twice"));
            }
        }
        all.areas.extend(areas);
        all.areas.sort_by_key(|area| area.order);
        problems.extend(check::problems(&all));
        if problems.is_empty() {
            Ok(all)
        } else {
            Err(CatalogueError(problems))
        }
    }

    /// By its id or by a text that may be one; never by another kind of id. So are the others.
    pub fn area<Id: PartialEq<AreaId> + ?Sized>(&self, id: &Id) -> Option<&Area> {
        self.areas.iter().find(|area| *id == area.id)
    }

    pub fn product<Id: PartialEq<ProductId> + ?Sized>(&self, id: &Id) -> Option<&Product> {
        self.products.iter().find(|product| *id == product.id)
    }

    pub fn region<Id: PartialEq<RegionId> + ?Sized>(&self, id: &Id) -> Option<&Region> {
        self.regions.iter().find(|region| *id == region.id)
    }

    pub fn advice<Id: PartialEq<AdviceId> + ?Sized>(&self, id: &Id) -> Option<&Advice> {
        self.advice.iter().find(|item| *id == item.id)
    }
}

impl General {
    /// How fast a sign has to be seen to: that of the one red flag it stands under.
    pub fn urgency_of(&self, sign: &str) -> Option<Urgency> {
        let holds = |flag: &&RedFlag| flag.signs.iter().any(|own| own == sign);
        self.red_flag.iter().find(holds).map(|flag| flag.urgency)
    }

    /// Every statement for everyone that words are needed for.
    pub fn statement_ids(&self) -> impl Iterator<Item = StatementId> {
        let risks = self.risk.iter().map(|r| StatementId::general_risk(&r.id));
        let serious = self.serious.iter().map(|r| StatementId::serious(&r.id));
        let flags = self.red_flag.iter().map(|f| StatementId::red_flag(&f.id));
        let normal = self.normal.iter().map(|c| StatementId::normal(&c.id));
        let alike = self.alike.iter().map(|a| StatementId::alike(&a.id));
        let choices = self.choice.iter().map(|c| StatementId::choice(&c.id));
        let others = self.statement.iter().map(|c| StatementId::general(&c.id));
        risks
            .chain(serious)
            .chain(flags)
            .chain(normal)
            .chain(alike)
            .chain(choices)
            .chain(others)
    }
}

impl Product {
    /// The form a vial of it has: as the plan or the stock says, or else the only one it is sold in.
    pub fn formulation(&self, said: Option<Formulation>) -> Option<Formulation> {
        match (said, self.form.as_slice()) {
            (None, [only]) => Some(only.formulation),
            (said, _) => said,
        }
    }

    fn form(&self, said: Option<Formulation>) -> Option<&Form> {
        let formulation = self.formulation(said)?;
        self.form
            .iter()
            .find(|form| form.formulation == formulation)
    }

    /// Whether it holds human albumin in this form; where the form is not known, what the product as a whole is taken for.
    pub fn human_albumin(&self, said: Option<Formulation>) -> &Claimed<Presence> {
        self.form(said)
            .and_then(|form| form.human_albumin.as_ref())
            .unwrap_or(&self.human_albumin)
    }

    /// Whether it holds milk protein in this form; where the form is not known, what the product as a whole is taken for.
    pub fn milk_protein(&self, said: Option<Formulation>) -> &Claimed<Presence> {
        self.form(said)
            .and_then(|form| form.milk_protein.as_ref())
            .unwrap_or(&self.milk_protein)
    }

    /// Its forms hold different things, and the plan does not say which of them is used.
    pub fn is_form_open(&self, said: Option<Formulation>) -> bool {
        self.formulation(said).is_none()
            && self
                .form
                .iter()
                .any(|form| form.human_albumin.is_some() || form.milk_protein.is_some())
    }

    /// The label interval of a place; where that place has none, the longest we know.
    pub fn label_interval(&self, place: Option<&str>) -> Option<&LabelInterval> {
        let hours = |i: &LabelInterval| i.least * i.unit.hours();
        self.interval
            .iter()
            .find(|interval| Some(interval.place.as_str()) == place)
            .or_else(|| {
                self.interval
                    .iter()
                    .max_by(|a, b| hours(a).total_cmp(&hours(b)))
            })
    }
}

impl Area {
    /// Every fact that may speak against the area: signs it needs, and what shows a poor candidate, told or denied.
    pub fn speaking_facts(&self) -> impl Iterator<Item = &FactId> {
        let needed = self.needs_sign.iter().map(|sign| &sign.fact);
        let poor = self.poor_candidate.iter();
        needed.chain(poor.flat_map(|poor| poor.facts.iter().chain(&poor.denied)))
    }

    /// It can take one of these functions away for a while.
    pub fn touches_any(&self, functions: &[Function]) -> bool {
        functions.iter().any(|function| self.touches(*function))
    }

    /// It can take this function away for a while.
    pub fn touches(&self, function: Function) -> bool {
        self.effect.iter().any(|effect| effect.kind == function)
    }

    /// Every statement of the area that words are needed for.
    pub fn statement_ids(&self) -> impl Iterator<Item = StatementId> {
        let own = self.statement.iter();
        let own = own.map(|claim| StatementId::of_area(&self.id, &claim.id));
        let risks = self.risk.iter();
        let risks = risks.map(|risk| StatementId::risk(&self.id, &risk.id));
        let poor = self.poor_candidate.iter();
        let poor = poor.map(|poor| StatementId::poor_candidate(&self.id, &poor.id));
        own.chain(risks).chain(poor)
    }

    /// The window of this kind for a product: the product's own if there is one, else the one for any product.
    pub fn window<Id: PartialEq<ProductId> + ?Sized>(
        &self,
        kind: WindowKind,
        product: &Id,
    ) -> Option<&Window> {
        let of_kind = || self.window.iter().filter(move |w| w.kind == kind);
        of_kind()
            .find(|w| w.products.iter().any(|p| *product == *p))
            .or_else(|| of_kind().find(|w| w.products.is_empty()))
    }

    /// The standing of a product for this area under the licences of `place`; the most particular entry wins.
    pub fn licence(&self, product: &ProductId, place: Option<&str>) -> Option<&Licence> {
        let place = place?;
        let fits = |wanted: &str, given: &str| wanted == given || wanted == "any";
        self.licence
            .iter()
            .filter(|l| fits(&l.product, product.as_str()) && fits(&l.place, place))
            .max_by_key(|l| (l.product != "any") as u8 * 2 + (l.place != "any") as u8)
    }
}
