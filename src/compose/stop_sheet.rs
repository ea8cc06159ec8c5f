//! Turns a visit that is stopped into the sheet that says so: the reasons with what would mend them, and what is said to the patient.
//! Invariant: every caution that says stop is on it with a number, strictest and first raised first.
//! Must not: name pages of papers that were not made, or be handed to the patient.

use serde_json::json;

use super::Composer;
use super::check_parts::{CheckPart, StopReason};
use super::decide::in_two;
use super::document::Block;
use crate::domain::LabelId;
use crate::select::Caution;
use crate::wording::{RecordedWording, WordingError};

impl Composer<'_, '_> {
    pub(super) fn stop_sheet(
        &self,
        patients: Option<RecordedWording<'_>>,
    ) -> Result<Vec<Block>, WordingError> {
        let stops = self.selection.stops().enumerate();
        let rows = stops.map(|(at, caution)| self.stop_reason(at + 1, caution));
        let mut blocks = vec![
            Block::Check(CheckPart::Stop {
                word: self.label("clinician.stop.word")?,
                sentence: self.label("clinician.stop.sentence")?,
                note: self.label("clinician.stop.note")?,
                identity: self.whose("clinician.stop.visit")?,
            }),
            Block::Check(CheckPart::Reasons {
                rows: rows.collect::<Result<_, _>>()?,
            }),
        ];
        blocks.extend(self.say_to_patient(patients)?);
        Ok(blocks)
    }

    fn stop_reason(&self, number: usize, caution: &Caution) -> Result<StopReason, WordingError> {
        let (what, mend) = in_two(&self.caution_text(caution)?);
        let mut why = vec![self.rests_on(caution)?];
        why.extend(self.strictest_of(caution)?);
        Ok(StopReason {
            number: number.to_string(),
            what,
            mend,
            why: why.join(" "),
        })
    }

    /// What each authority says, where they differ.
    pub(super) fn strictest_of(&self, caution: &Caution) -> Result<Option<String>, WordingError> {
        if caution.authorities.iter().all(|a| a.level == caution.level) {
            return Ok(None);
        }
        let mut list = Vec::new();
        for authority in &caution.authorities {
            let level = self.label(&LabelId::level(authority.level))?;
            list.push(self.line(
                "clinician.authority",
                json!({ "place": authority.place, "level": level }),
            )?);
        }
        let said = json!({ "list": list.join(", ") });
        self.line("clinician.strictest", said).map(Some)
    }
}
