//! Turns the cautions that stop a visit into what the practitioner says to the patient, who gets no paper.
//! Invariant: each caution that says stop has its sentence, in the patient's own language and beside it in the practice's.
//! Must not: be printed on a paper that is handed out.

use serde_json::json;

use super::document::Block;
use super::{Composer, values};
use crate::domain::{CautionId, LabelId, StatementId};
use crate::select::{Caution, Selection};
use crate::wording::{Piece, RecordedWording, WordingError, rich};

/// A sentence for a patient who cannot be treated as planned.
#[derive(Debug, Clone, serde::Serialize)]
pub struct SaidToPatient {
    /// The caution that stops the visit.
    pub caution: CautionId,
    /// Language and country of the sentence: `es-US`.
    pub language: String,
    pub text: String,
    /// The same in the practice's language; none where the patient reads that language too.
    pub practice_text: Option<String>,
}

/// What is said to the patient of every caution that stops, strictest and first raised first.
///
/// # Errors
/// A sentence is missing or cannot be filled.
pub fn said_to_patient(
    selection: &Selection<'_>,
    patients: RecordedWording<'_>,
    practices: RecordedWording<'_>,
) -> Result<Vec<SaidToPatient>, WordingError> {
    let differs = patients.base() != practices.base();
    let patients = Composer {
        selection,
        wording: patients,
    };
    let practices = Composer {
        selection,
        wording: practices,
    };
    let text = |composer: &Composer<'_, '_>, caution: &Caution| {
        let said = composer.because_pieces(caution)?;
        Ok(rich::text_of_pieces(&said))
    };
    let stops = selection.stops();
    stops
        .map(|caution| {
            Ok(SaidToPatient {
                caution: caution.id.clone(),
                language: patients.wording.tag().to_owned(),
                text: text(&patients, caution)?,
                practice_text: match differs {
                    true => Some(text(&practices, caution)?),
                    false => None,
                },
            })
        })
        .collect()
}

impl Composer<'_, '_> {
    /// The sentence for the patient of a caution.
    fn because_pieces(&self, caution: &Caution) -> Result<Vec<Piece>, WordingError> {
        let id = StatementId::because_of(&caution.id);
        self.wording
            .pieces(id.wording(), &self.caution_context(caution)?)
    }

    /// What to say to a patient whose visit is stopped; nothing where none is.
    pub(super) fn say_to_patient(
        &self,
        patients: Option<RecordedWording<'_>>,
    ) -> Result<Vec<Block>, WordingError> {
        let selection = self.selection;
        if selection.stops().next().is_none() {
            return Ok(Vec::new());
        }
        let other = patients
            .filter(|words| words.base() != self.wording.base())
            .map(|wording| Composer { selection, wording });
        let mut blocks = vec![
            self.heading(2, "clinician.say.heading")?,
            self.note("clinician.say.intro", json!({}))?,
        ];
        for caution in selection.stops() {
            let own = self.because_pieces(caution)?;
            let Some(other) = &other else {
                blocks.push(Block::Spoken {
                    language: self.wording.base().to_owned(),
                    pieces: own,
                });
                continue;
            };
            let language = self.label(&LabelId::language(self.wording.base()))?;
            let beside = values(json!({
                "language": language,
                "text": rich::text_of_pieces(&own),
            }));
            blocks.push(Block::Together {
                blocks: vec![
                    Block::Spoken {
                        language: other.wording.base().to_owned(),
                        pieces: other.because_pieces(caution)?,
                    },
                    Block::Text {
                        mark: None,
                        pieces: self.wording.pieces("clinician.say.beside", &beside)?,
                    },
                ],
            });
        }
        Ok(blocks)
    }
}
