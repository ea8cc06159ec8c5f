//! Turns what the check sheet has no room for into the first parts of the evidence annex.
//! Invariant: every caution stands there in full, with what each authority says, its answer and its source.
//! Must not: repeat what the check sheet says in full, or be handed to the patient.

use std::collections::BTreeSet;

use serde_json::json;

use super::document::{Block, Item, Row};
use super::{Composer, para};
use crate::catalogue::Moment;
use crate::domain::{LabelId, family};
use crate::wording::{Piece, WordingError, rich};

impl Composer<'_, '_> {
    /// What is looked at before the injection, what nobody asked, cautions, doses and rounds, in this order.
    pub(super) fn details(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        self.checkpoints(Moment::Before, blocks)?;
        self.asked_in_full(blocks)?;
        self.asked_already(blocks)?;
        self.cautions_in_full(blocks)?;
        self.doses_in_full(blocks)?;
        self.rounds(blocks)?;
        self.checkpoints(Moment::Know, blocks)
    }

    /// What is so or uncertain, what was seen, and what the patient said no to.
    fn asked_already(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let mut lines = vec![self.told()?];
        lines.extend(self.seen()?);
        let denied = self.denied()?;
        if !denied.is_empty() {
            let denied = json!({ "facts": denied.join("; ") });
            lines.push(self.rich_line("clinician.asked.denied", denied)?);
        }
        blocks.push(self.heading(2, "clinician.facts.heading")?);
        // without its first words a list of what was denied reads as one of what is so: it is never parted
        blocks.extend(lines.into_iter().map(|text| Block::Together {
            blocks: vec![Block::Text {
                mark: None,
                pieces: vec![Piece::Para { text }],
            }],
        }));
        Ok(())
    }

    fn cautions_in_full(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        if !self.selection.cautions.is_empty() {
            blocks.push(self.heading(2, "clinician.cautions.heading")?);
            let cautions = self.selection.cautions.iter();
            let rows = cautions.map(|caution| {
                let level = self.label(&LabelId::level(caution.level))?;
                let mut what = para(self.caution_text(caution)?);
                if let Some(differing) = self.strictest_of(caution)? {
                    what.extend(para(differing));
                }
                if let Some(answer) = self.answer_rich(caution)? {
                    what.push(Piece::Para { text: answer });
                }
                let level = Piece::Para {
                    text: rich::bold(level),
                };
                Ok(Row {
                    mark: None,
                    cells: vec![vec![level], what, para(self.rests_on(caution)?)],
                })
            });
            blocks.push(Block::Table {
                name: self.label("clinician.cautions.table-name")?,
                widths: vec![0, 10, 6],
                header: vec![
                    self.label("clinician.cautions.level")?,
                    self.label("clinician.cautions.what")?,
                    self.label("clinician.cautions.why")?,
                ],
                under: Vec::new(),
                rows: rows.collect::<Result<_, WordingError>>()?,
            });
        }
        for line in self.idle_answers()? {
            blocks.push(Block::paragraph(line));
        }
        Ok(())
    }

    /// How each planned dose stands to the labelled one, and volumes before rounding.
    fn doses_in_full(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        let formats = self.wording.formats();
        let mut items = Vec::new();
        for selected in &self.selection.areas {
            let dose = &selected.dose;
            let mut said = vec![self.line(
                "clinician.doses.beside-label",
                json!({
                    "area": self.area_name(&selected.area.id)?,
                    "said": self.label_text(selected)?,
                }),
            )?];
            if let (Some(volume), Some(exact)) = (&dose.volume_ml, &dose.volume_ml_exact)
                && volume != exact
            {
                said.push(self.line(
                    "clinician.doses.volume-exact",
                    json!({ "volume": formats.digits(volume), "exact": formats.digits(exact) }),
                )?);
            }
            items.push(Item {
                mark: None,
                text: rich::plain(said.join(" ")),
            });
        }
        if !items.is_empty() {
            blocks.push(self.heading(2, "clinician.doses.heading")?);
            blocks.push(Block::bullets(items));
        }
        Ok(())
    }

    /// How far the wording has been looked at, and which words are the clinic's own.
    pub(super) fn wording_words(&self, blocks: &mut Vec<Block>) -> Result<(), WordingError> {
        blocks.push(self.heading(2, "clinician.wording.heading")?);
        blocks.push(self.note(
            "clinician.wording.text",
            super::wording_state(&self.wording),
        )?);
        blocks.extend(self.own_words(&self.patients_tag())?);
        Ok(())
    }

    /// Which statements of this visit's papers the patient reads in the clinic's own words; of an area that has no others, its
    /// name and `.*`.
    fn own_words(&self, patients: &str) -> Result<Option<Block>, WordingError> {
        let base = patients.split('-').next().unwrap_or(patients);
        let words = &self.selection.clinic.branding.words;
        let own: BTreeSet<&str> = [patients, base]
            .iter()
            .filter_map(|tag| words.get(*tag))
            .flat_map(|words| words.keys().map(String::as_str))
            .collect();
        let printed: BTreeSet<&str> = self
            .selection
            .statements
            .iter()
            .map(|statement| statement.id.wording())
            .collect();
        let whole: BTreeSet<&str> = printed
            .iter()
            .map(|id| family(id))
            .filter(|area| self.selection.catalogue.area(*area).is_some())
            .filter(|area| {
                let mut of_area = printed.iter().filter(|id| family(id) == *area);
                of_area.all(|id| own.contains(id))
            })
            .collect();
        let single = own
            .iter()
            .filter(|id| printed.contains(*id) || family(id) == "clinic")
            .filter(|id| !whole.contains(family(id)))
            .map(|id| (*id).to_owned());
        let named = whole.iter().map(|area| format!("{area}.*"));
        let list: Vec<String> = single.chain(named).collect();
        if list.is_empty() {
            return Ok(None);
        }
        let said = json!({ "list": list.join(", ") });
        self.note("clinician.wording.own", said).map(Some)
    }
}
