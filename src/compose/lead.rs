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
    let composer = Composer { selection, wording };
    let area = statement.id.owner().area();
    let own = match selection
        .areas
        .iter()
        .find(|one| area == Some(&one.area.id))
    {
        Some(selected) => composer.area_context(selected)?,
        None => composer.general_context()?,
    };
    composer.name_of(statement, &own)
}

impl Composer<'_, '_> {
    /// The short name of a required statement; `own` is what every sentence of its area may name, or of the visit where it has none.
    pub(super) fn name_of(
        &self,
        statement: &Statement,
        own: &Context,
    ) -> Result<String, WordingError> {
        let (selection, id) = (self.selection, &statement.id);
        let mut context = own.clone();
        // what follows from the patient's answers names the areas it is about
        let mut because = selection.because.iter();
        if let Some(because) = because.find(|because| StatementId::because(&because.rule) == *id) {
            context = self.because_context(because, &context)?;
        }
        let owner = id.owner().product();
        let mut products = selection.products.iter();
        if let Some(product) = products.find(|product| owner == Some(&product.id)) {
            context = self.product_context(product, &context)?;
        }
        let standings = selection.standings();
        let standing = standings.iter().find(|licensed| licensed.id() == *id);
        if let Some(licensed) = standing {
            context = self.standing_context(licensed, &context)?;
        }
        let mut pieces = self.wording.pieces(id.wording(), &context)?;
        // it begins with the names of its areas, which say nothing of how the product stands
        if let (Some(_), Some(Piece::Para { text })) = (standing, pieces.first_mut()) {
            text.retain(|run| !run.bold);
        }
        Ok(lead_of(&pieces))
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
