//! Turns a selection into the last part of the consent form: decision, initials, photographs, signatures, refusal.
//! Invariant: nothing is pre-ticked; every signature has a date and a time beside it and stands on one page.
//! Must not: state a risk (those come before, in `consent`).

use serde_json::json;

use super::document::{Block, Field, Item, ListStyle};
use super::{Composer, values};
use crate::domain::LabelId;
use crate::wording::{Piece, WordingError, rich};

impl Composer<'_, '_> {
    pub(super) fn decision(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "consent.decision.heading")?);
        let mut items = Vec::new();
        for id in [
            "consent.decision.told",
            "consent.decision.risks",
            "consent.decision.health",
            "consent.decision.work",
            "consent.decision.choices",
            "consent.decision.aftercare",
        ] {
            let context = values(self.wording_state());
            let text = self.wording.rich(id, &context)?;
            items.push(Item { mark: None, text });
        }
        blocks.push(self.note("consent.decision.intro", json!({}))?);
        blocks.push(Block::List {
            style: ListStyle::Tick,
            items,
            columns: 1,
        });

        let mut photographs = Vec::new();
        for id in [
            "consent.photos.record",
            "consent.photos.teaching",
            "consent.photos.public",
            "consent.photos.none",
        ] {
            photographs.push(Item {
                mark: None,
                text: rich::plain(self.label(id)?),
            });
        }
        blocks.push(Block::Together {
            blocks: vec![
                self.led("consent.photos.heading", "consent.photos.intro")?,
                Block::List {
                    style: ListStyle::Tick,
                    items: photographs,
                    columns: 2,
                },
            ],
        });

        let mut patient = Vec::new();
        for selected in &self.selection.areas {
            let area = self.line(
                "consent.risks.area",
                json!({ "number": selected.number, "area": self.area_name(&selected.area.id)? }),
            )?;
            patient.push(Field {
                label: self.line("consent.sign.initials", json!({ "area": area }))?,
                width: Field::HALF,
            });
        }
        patient.extend(self.fields(&["name", "signature", "date", "time"])?);
        patient.push(Field {
            label: self.label("consent.sign.representative")?,
            width: Field::WHOLE,
        });
        blocks.push(Block::Sign {
            title: self.label("consent.sign.patient")?,
            text: self.label("consent.sign.patient-text")?,
            fields: patient,
        });
        let mut practitioner = self.fields(&["name", "role", "signature", "date", "time"])?;
        // with another language between them an interpreter is to be expected; otherwise a line is enough
        let languages = self.selection.visit.patient.language.as_ref();
        let interpreted = languages
            .is_some_and(|language| language.language != self.selection.clinic.language.language);
        if !interpreted {
            practitioner.push(Field {
                label: self.label("consent.sign.interpreter-line")?,
                width: Field::WHOLE,
            });
        }
        blocks.push(Block::Sign {
            title: self.label("consent.sign.practitioner")?,
            text: self.label("consent.sign.practitioner-text")?,
            fields: practitioner,
        });
        if interpreted {
            blocks.push(Block::Sign {
                title: self.label("consent.sign.interpreter")?,
                text: self.label("consent.interpreter.intro")?,
                fields: self.fields(&[
                    "interpreter-name",
                    "language",
                    "signature",
                    "date",
                    "time",
                ])?,
            });
        }
        let mut copy = vec![Field {
            label: self.label("consent.sign.copy")?,
            width: 5,
        }];
        copy.extend(self.fields(&["date"])?);
        blocks.push(Block::Together {
            blocks: vec![
                self.general_statement("copy", &self.general_context()?)?,
                Block::Sign {
                    title: String::new(),
                    text: String::new(),
                    fields: copy,
                },
            ],
        });
        let mut refusal = vec![Field {
            label: self.label("consent.refusal.areas")?,
            width: 5,
        }];
        refusal.extend(self.fields(&["signature", "date", "time"])?);
        blocks.push(Block::Sign {
            title: self.label("consent.refusal.heading")?,
            text: self.label("consent.refusal.text")?,
            fields: refusal,
        });
        Ok(())
    }

    /// Lines to write on; a name needs more room than an hour.
    fn fields(&self, lines: &[&str]) -> Result<Vec<Field>, WordingError> {
        lines
            .iter()
            .map(|line| {
                Ok(Field {
                    label: self.label(&LabelId::sign(line))?,
                    width: match *line {
                        "time" => 2,
                        "date" | "role" | "basis" | "language" => 3,
                        _ => 5,
                    },
                })
            })
            .collect()
    }

    /// A short heading and its sentence in one line.
    fn led(&self, heading: &str, text: &str) -> Result<Block, WordingError> {
        let mut said = rich::bold(format!("{}. ", self.label(heading)?));
        said.extend(rich::plain(self.label(text)?));
        Ok(Block::Text {
            mark: None,
            pieces: vec![Piece::Para { text: said }],
        })
    }
}
