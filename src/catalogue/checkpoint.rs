//! `checkpoints.toml`: what a practitioner looks at around the injection.
//! Invariant: each has a source and a status; where and when it holds is data.
//! Must not: decide anything, or be printed for the patient.

use serde::{Deserialize, Serialize};

use super::check::Check;
use crate::domain::{Evidence, ProductId, RegionId};

/// When a checkpoint is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Moment {
    /// Ticked before the injection.
    Before,
    /// Good to know: what patients ask, and what to do when something goes wrong.
    Know,
}

/// One thing to look at; worded as `clinician.check.<id>`.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Checkpoint {
    pub id: String,
    pub moment: Moment,
    /// Places where it holds; empty: everywhere.
    #[serde(default)]
    pub regions: Vec<RegionId>,
    /// Products it is about; empty: all.
    #[serde(default)]
    pub products: Vec<ProductId>,
    /// Only where a visit uses more than one product.
    #[serde(default)]
    pub mixed_products: bool,
    #[serde(flatten)]
    pub evidence: Evidence,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct CheckpointFile {
    pub checkpoint: Vec<Checkpoint>,
}

impl Checkpoint {
    /// The products of a visit it is about; `None` where it does not hold.
    pub fn about<'p>(
        &self,
        region: &RegionId,
        used: impl Iterator<Item = &'p ProductId> + Clone,
    ) -> Option<Vec<&'p ProductId>> {
        let here = self.regions.is_empty() || self.regions.contains(region);
        let mixed = !self.mixed_products || used.clone().count() > 1;
        let about: Vec<&ProductId> = used
            .filter(|id| self.products.is_empty() || self.products.contains(id))
            .collect();
        (here && mixed && (self.products.is_empty() || !about.is_empty())).then_some(about)
    }
}

impl Check<'_> {
    /// Sources, places and products of the checkpoints lead somewhere.
    pub(super) fn checkpoints(&mut self) {
        let list = &self.catalogue.checkpoints;
        self.unique("checkpoints", list.iter().map(|point| point.id.as_str()));
        for point in list {
            let at = format!("checkpoint {}", point.id);
            self.evidence(&at, &point.evidence);
            for region in &point.regions {
                if self.catalogue.region(region).is_none() {
                    self.say(format!("{at}: region {region} is not in regions.toml"));
                }
            }
            for product in &point.products {
                if self.catalogue.product(product).is_none() {
                    self.say(format!("{at}: product {product} is not in products.toml"));
                }
            }
        }
    }
}
