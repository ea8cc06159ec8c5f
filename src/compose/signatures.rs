//! Turns a selection into the last part of the consent form: decision, initials, photographs, signatures, refusal.
//! Invariant: nothing is pre-ticked; every signature has a date and a time beside it and stands on one page.
//! Must not: state a risk (those come before, in `consent`).

use serde_json::json;

use super::document::{Block, Item, ListStyle, Row};
use super::{Composer, para, values};
use crate::wording::{WordingError, rich};

impl Composer<'_, '_> {
    pub(super) fn decision(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "consent.decision.heading")?);
        let mut items = Vec::new();
        for id in [
            "told",
            "risks",
            "health",
            "work",
            "choices",
            "time",
            "stop",
            "aftercare",
        ] {
            let context = values(self.wording_state());
            let text = self
                .wording
                .rich(&format!("consent.decision.{id}"), &context)?;
            items.push(Item { mark: None, text });
        }
        blocks.push(self.note("consent.decision.intro", json!({}))?);
        blocks.push(Block::List {
            style: ListStyle::Tick,
            items,
        });

        let mut rows = Vec::new();
        for selected in &self.selection.areas {
            let area = self.line(
                "consent.risks.area",
                json!({ "number": selected.number, "area": self.area_name(&selected.area.id)? }),
            )?;
            rows.push(Row {
                mark: None,
                cells: vec![para(area), Vec::new()],
            });
        }
        blocks.push(Block::Together {
            blocks: vec![
                self.heading(3, "consent.initials.heading")?,
                self.note("consent.initials.intro", json!({}))?,
                Block::Table {
                    name: self.label("consent.initials.table-name")?,
                    widths: vec![3, 2],
                    header: vec![
                        self.label("consent.initials.area")?,
                        self.label("consent.initials.agree")?,
                    ],
                    rows,
                    writing: true,
                    signing: true,
                },
            ],
        });

        let mut photographs = Vec::new();
        for id in ["record", "teaching", "public", "none"] {
            photographs.push(Item {
                mark: None,
                text: rich::plain(self.label(&format!("consent.photos.{id}"))?),
            });
        }
        blocks.push(Block::Together {
            blocks: vec![
                self.heading(3, "consent.photos.heading")?,
                self.note("consent.photos.intro", json!({}))?,
                Block::List {
                    style: ListStyle::Tick,
                    items: photographs,
                },
            ],
        });

        blocks.push(Block::Together {
            blocks: vec![
                self.heading(3, "consent.sign.heading")?,
                self.sign(
                    "patient",
                    &["name", "signature", "date", "time"],
                    "consent.sign.patient-text",
                )?,
            ],
        });
        blocks.push(self.sign(
            "practitioner",
            &["name", "role", "signature", "date", "time"],
            "consent.sign.practitioner-text",
        )?);
        blocks.push(self.sign(
            "interpreter",
            &["name", "language", "signature", "date", "time"],
            "consent.interpreter.intro",
        )?);
        blocks.push(Block::Sign {
            title: self.label("consent.sign.representative")?,
            text: String::new(),
            lines: self.labels(&["name", "basis", "signature", "date", "time"])?,
        });
        blocks.push(self.general_statement("copy", &self.general_context()?)?);
        blocks.push(Block::Sign {
            title: self.label("consent.sign.copy")?,
            text: String::new(),
            lines: self.labels(&["name", "date"])?,
        });
        let mut refusal = vec![self.label("consent.refusal.areas")?];
        refusal.extend(self.labels(&["name", "signature", "date", "time"])?);
        blocks.push(Block::Together {
            blocks: vec![
                self.heading(3, "consent.refusal.heading")?,
                Block::Sign {
                    title: self.label("consent.sign.patient")?,
                    text: self.label("consent.refusal.text")?,
                    lines: refusal,
                },
            ],
        });
        Ok(())
    }

    fn labels(&self, lines: &[&str]) -> Result<Vec<String>, WordingError> {
        lines
            .iter()
            .map(|line| self.label(&format!("consent.sign.{line}")))
            .collect()
    }

    fn sign(&self, who: &str, lines: &[&str], text: &str) -> Result<Block, WordingError> {
        Ok(Block::Sign {
            title: self.label(&format!("consent.sign.{who}"))?,
            text: self.label(text)?,
            lines: self.labels(lines)?,
        })
    }
}
