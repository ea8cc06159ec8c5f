//! Turns what a practitioner looks at around the injection into two short lists of the check sheet.
//! Invariant: whatever holds in this place and for these products is in one of them, with its source and status.
//! Must not: be worded for, or handed to, the patient.

use serde_json::json;

use super::Composer;
use super::document::{Block, Item, ListStyle};
use crate::catalogue::Moment;
use crate::domain::LabelId;
use crate::wording::{WordingError, rich};

impl Composer<'_, '_> {
    pub(super) fn checkpoints(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let mut context = self.general_context()?;
        for (moment, title, style) in [
            (
                Moment::Before,
                "clinician.checkpoints.before",
                ListStyle::Tick,
            ),
            (
                Moment::Know,
                "clinician.checkpoints.know",
                ListStyle::Bullet,
            ),
        ] {
            let mut items = Vec::new();
            for point in &self.selection.catalogue.checkpoints {
                let used = self.selection.products.iter().map(|product| &product.id);
                let Some(about) = point.about(&self.selection.region.id, used) else {
                    continue;
                };
                if point.moment != moment {
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
        }
        Ok(())
    }
}
