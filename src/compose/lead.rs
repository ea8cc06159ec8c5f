//! Turns a required statement into its short name: the bold lead of its sentence, or its first sentence.
//! Invariant: the name is made of the words that the patient's paper has for this plan, whatever the statement is about.
//! Must not: repeat names that stand beside it anyway: the areas of a standing.

use super::Composer;
use crate::domain::StatementId;
use crate::select::{Selection, Statement};
use crate::wording::{Context, Piece, RecordedWording, WordingError, rich};

/// The short name of a required statement.
///
/// # Errors
/// The sentence is missing or cannot be filled.
pub fn lead(
    selection: &Selection<'_>,
    wording: RecordedWording<'_>,
    statement: &Statement,
) -> Result<String, WordingError> {
    Composer { selection, wording }.name_of(statement)
}

impl Composer<'_, '_> {
    /// The short name of a required statement.
    pub(super) fn name_of(&self, statement: &Statement) -> Result<String, WordingError> {
        let id = &statement.id;
        let mut pieces = self.wording.pieces(id.wording(), &self.values_of(id)?)?;
        let standings = self.selection.standings();
        let is_standing = standings.iter().any(|licensed| licensed.id() == *id);
        // it begins with the names of its areas, which say nothing of how the product stands
        if let (true, Some(Piece::Para { text })) = (is_standing, pieces.first_mut()) {
            text.retain(|run| !run.bold);
        }
        Ok(lead_of(&pieces))
    }

    /// What the sentence of a statement may name: the visit, its own area, its product, the answers it follows from.
    fn values_of(&self, id: &StatementId) -> Result<Context, WordingError> {
        let selection = self.selection;
        let owner = id.owner();
        let mut areas = selection.areas.iter();
        let mut context = match areas.find(|selected| owner.area() == Some(&selected.area.id)) {
            Some(selected) => self.area_context(selected)?,
            None => self.general_context()?,
        };
        let mut because = selection.because.iter();
        if let Some(because) = because.find(|because| StatementId::because(&because.rule) == *id) {
            context = self.because_context(because, &context)?;
        }
        let mut products = selection.products.iter();
        if let Some(product) = products.find(|product| owner.product() == Some(&product.id)) {
            context = self.product_context(product, &context)?;
        }
        let standings = selection.standings();
        if let Some(licensed) = standings.iter().find(|licensed| licensed.id() == *id) {
            context = self.standing_context(licensed, &context)?;
        }
        Ok(context)
    }
}

/// The bold lead of a sentence, where it is whole in itself, or else its first sentence.
pub(super) fn lead_of(pieces: &[Piece]) -> String {
    let Some(Piece::Para { text }) = pieces.first() else {
        return String::new();
    };
    match text.first() {
        Some(run) if run.bold && run.text.trim_end().ends_with('.') => {
            run.text.trim().trim_end_matches('.').to_owned()
        }
        _ => {
            let whole = rich::text_of(text);
            whole
                .split_inclusive(". ")
                .next()
                .unwrap_or_default()
                .trim()
                .to_owned()
        }
    }
}
