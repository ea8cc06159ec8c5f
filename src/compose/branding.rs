//! Turns what a clinic adds of its own into blocks: its logo, and its paragraph at the end of a paper's text.
//!
//! Invariant: without an overlay nothing is added.
//!
//! Must not: put the clinic's words under a required statement's id.

use super::Composer;
use super::document::{Block, Picture, Tone};
use crate::domain::digest;
use crate::plan::Clinic;
use crate::wording::{Context, WordingError};

/// The clinic's logo; a screen reader says the clinic's name unless the clinic gave another text.
pub(super) fn picture(clinic: &Clinic) -> Option<Picture> {
    let logo = clinic.branding.logo.clone()?;
    Some(Picture {
        file: format!("logo.{}", logo.kind.ending()),
        text: logo.text.clone().unwrap_or_else(|| clinic.name.clone()),
        sha256: digest::sha256(&logo.bytes),
        logo,
    })
}

impl Composer<'_, '_> {
    /// The clinic's own paragraph, under the clinic's name; nothing when it has none. `id`: one of `overlay::HOOKS`.
    pub(super) fn clinic_extra(
        &self,
        id: &str,
        general: &Context,
        blocks: &mut Vec<Block>,
    ) -> Result<(), WordingError> {
        if self.wording.has(id) {
            blocks.push(Block::Panel {
                tone: Tone::Note,
                title: self.selection.clinic.name.clone(),
                blocks: vec![Block::Text {
                    mark: None,
                    pieces: self.wording.pieces(id, general)?,
                }],
            });
        }
        Ok(())
    }
}
