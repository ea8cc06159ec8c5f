//! Turns the red flags of a selection into whom to call for what, and what to say to whoever comes.
//! Invariant: each sign stands in one band alone, beside the number for it.
//! Must not: say what is normal, or by when anything is over.

use serde_json::json;

use super::document::{Band, Block, Item, Number, Rank, Saying};
use super::{Composer, values};
use crate::catalogue::Urgency;
use crate::catalogue::check::AREA_CALL;
use crate::domain::{LabelId, StatementId};
use crate::wording::{Context, RecordedWording, WordingError, rich};

impl Composer<'_, '_> {
    /// Whom to call for what: each sign once, its number in the same band.
    pub(super) fn bands(
        &self,
        practices: Option<&RecordedWording<'_>>,
        general: &Context,
    ) -> Result<Block, WordingError> {
        let mut bands = Vec::new();
        for urgency in Urgency::ALL {
            let mut signs = match urgency {
                Urgency::CallClinic => self.signs_of_areas()?,
                Urgency::Emergency | Urgency::SameDay => Vec::new(),
            };
            let told = self.selection.red_flags().into_iter();
            for flag in told.filter(|flag| flag.urgency == urgency) {
                let id = StatementId::red_flag(&flag.id);
                signs.push(Item {
                    text: self.wording.rich(id.wording(), general)?,
                    mark: Some(id),
                });
            }
            if signs.is_empty() {
                continue;
            }
            bands.push(Band {
                rank: match urgency {
                    Urgency::Emergency => Rank::First,
                    Urgency::SameDay => Rank::Second,
                    Urgency::CallClinic => Rank::Third,
                },
                action: self.wording.line(&LabelId::urgency(urgency), general)?,
                numbers: self.numbers(urgency, general)?,
                signs,
                sayings: match urgency {
                    Urgency::Emergency => self.sayings(practices)?,
                    Urgency::SameDay | Urgency::CallClinic => Vec::new(),
                },
            });
        }
        Ok(Block::Bands { bands })
    }

    /// What to call the clinic for in each planned area.
    fn signs_of_areas(&self) -> Result<Vec<Item>, WordingError> {
        let mut signs = Vec::new();
        for selected in &self.selection.areas {
            let mut own = selected.area.statement.iter();
            if !own.any(|claim| claim.id == AREA_CALL) {
                continue;
            }
            let id = StatementId::of_area(&selected.area.id, AREA_CALL);
            let context = self.area_context(selected)?;
            let mut text = rich::bold(self.area_lead(selected)?);
            text.extend(rich::plain(" ".to_owned()));
            text.extend(self.wording.rich(id.wording(), &context)?);
            signs.push(Item {
                mark: Some(id),
                text,
            });
        }
        Ok(signs)
    }

    /// What was injected, said to somebody who does not know: in the patient's words, and in the practice's where those are in
    /// another language, for that is what is spoken in the place.
    fn sayings(
        &self,
        practices: Option<&RecordedWording<'_>>,
    ) -> Result<Vec<Saying>, WordingError> {
        let other = practices.filter(|other| other.base() != self.wording.base());
        let mut sayings = vec![Saying {
            lead: self.label("aftercare.say")?,
            language: self.wording.base().to_owned(),
            words: self.what_was_injected(&self.wording, other.is_none())?,
            to_write: Vec::new(),
        }];
        if let Some(other) = other {
            let language = self.label(&LabelId::language(other.base()))?;
            sayings.push(Saying {
                lead: self.line("aftercare.say-in", json!({ "language": language }))?,
                language: other.base().to_owned(),
                words: self.what_was_injected(other, true)?,
                to_write: Vec::new(),
            });
        }
        if !self.batches_known()
            && let Some(last) = sayings.last_mut()
        {
            let several = self.selection.products.len() > 1;
            for used in &self.selection.products {
                let batch = match self.batches_of(&used.id) {
                    known if known.is_empty() => self.label("label.blank")?,
                    known => known.join(", "),
                };
                let product = if several { used.id.as_str() } else { "" };
                let words = json!({ "product": product, "batch": batch });
                last.to_write
                    .push(self.line("aftercare.batch-to-write", words)?);
            }
        }
        Ok(sayings)
    }

    /// `with_batch`: which batch it was is said too, where all are known; once is enough.
    fn what_was_injected(
        &self,
        wording: &RecordedWording<'_>,
        with_batch: bool,
    ) -> Result<String, WordingError> {
        let formats = wording.formats();
        let batch = match with_batch && self.batches_known() {
            true => self.batches_in(wording)?,
            false => String::new(),
        };
        let said = json!({
            "batch": batch,
            "count": self.selection.products.len(),
            "product": self.product_names_in(formats),
            "date": formats.date(self.selection.visit.date),
        });
        wording.line("aftercare.said", &values(said))
    }

    fn numbers(&self, urgency: Urgency, general: &Context) -> Result<Vec<Number>, WordingError> {
        let clinic = self.selection.clinic;
        let mut general = general.clone();
        let closed = clinic.phone_out_of_hours.as_str();
        general.insert("closed".to_owned(), closed.into());
        let large = |text: String| Number {
            text,
            large: true,
            calls: true,
        };
        let small = |id: &str| -> Result<Number, WordingError> {
            Ok(Number {
                text: self.wording.line(id, &general)?,
                large: false,
                calls: true,
            })
        };
        Ok(match urgency {
            Urgency::Emergency => vec![
                large(self.emergency()),
                small("aftercare.bands.weeks-later")?,
            ],
            Urgency::SameDay => vec![
                large(clinic.phone.clone()),
                small("aftercare.bands.no-answer")?,
            ],
            Urgency::CallClinic => {
                let mut numbers = vec![large(clinic.phone.clone())];
                if let Some(hours) = &clinic.opening_hours {
                    numbers.push(Number {
                        text: self.open(hours)?,
                        large: false,
                        calls: false,
                    });
                }
                numbers.push(small("aftercare.bands.closed")?);
                numbers.push(large(clinic.phone_out_of_hours.clone()));
                numbers
            }
        })
    }

    /// When somebody answers the telephone.
    pub(super) fn open(&self, hours: &str) -> Result<String, WordingError> {
        // "9" and "am" stay on one line
        let hours = self.in_language(hours);
        let hours = hours.replace(" am", "\u{a0}am").replace(" pm", "\u{a0}pm");
        self.line("aftercare.bands.open", json!({ "hours": hours }))
    }
}
