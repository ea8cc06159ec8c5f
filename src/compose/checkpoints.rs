//! Turns what a practitioner looks at around the injection into two short lists of the evidence annex.
//! Invariant: whatever holds in this place and for these products is in one of them, with its source and status.
//! Must not: be worded for, or handed to, the patient.

use serde_json::json;

use super::Composer;
use super::document::{Block, Item, ListStyle};
use crate::catalogue::{Checkpoint, Moment};
use crate::domain::{LabelId, ProductId};
use crate::wording::{WordingError, rich};

impl Composer<'_, '_> {
    /// What is looked at around this injection.
    pub(super) fn points(&self) -> impl Iterator<Item = &Checkpoint> {
        let points = self.selection.catalogue.checkpoints.iter();
        points.filter(|point| self.about(point).is_some())
    }

    /// How many things there are to look at before the injection.
    pub(super) fn points_before(&self) -> usize {
        let points = self.points();
        points
            .filter(|point| point.moment == Moment::Before)
            .count()
    }

    /// The products that something to look at is about; none where it does not hold at this visit.
    fn about(&self, point: &Checkpoint) -> Option<Vec<&ProductId>> {
        let used = self.selection.products.iter().map(|product| &product.id);
        point.about(&self.selection.region.id, used)
    }

    /// What is looked at at this moment.
    pub(super) fn checkpoints(
        &self,
        wanted: Moment,
        blocks: &mut Vec<Block>,
    ) -> Result<(), WordingError> {
        let (title, style) = match wanted {
            Moment::Before => ("clinician.checkpoints.before", ListStyle::Tick),
            Moment::Know => ("clinician.checkpoints.know", ListStyle::Bullet),
        };
        let mut context = self.general_context()?;
        let mut items = Vec::new();
        for point in &self.selection.catalogue.checkpoints {
            let Some(about) = self.about(point) else {
                continue;
            };
            if point.moment != wanted {
                continue;
            }
            let products: Vec<String> = about.iter().map(ToString::to_string).collect();
            let products = self.wording.formats().and(&products);
            context.insert("products".to_owned(), products.into());
            let what = self
                .wording
                .line(&LabelId::checkpoint(&point.id), &context)?;
            let text = self.line(
                "clinician.checkpoints.item",
                json!({ "what": what, "evidence": self.evidence(&point.evidence)? }),
            )?;
            items.push(Item {
                mark: None,
                text: rich::plain(text),
            });
        }
        if !items.is_empty() {
            blocks.push(self.heading(2, title)?);
            blocks.push(Block::List {
                style,
                columns: 1,
                items,
            });
        }
        Ok(())
    }
}
