//! Turns a paper for the patient into a copy of it, in the practice's language, that staff read along with.
//! Invariant: the same parts in the same order and with the same numbers as the patient's paper, and nothing to sign, tick or fill in.
//! Must not: be taken for the patient's own paper: every page says what it is.

use serde_json::json;

use super::document::{Block, ListStyle};
use super::{Composer, Document, Made, para};
use crate::domain::LabelId;
use crate::paper::{Edition, PaperKind};
use crate::select::Selection;
use crate::wording::{Approvals, Piece, RecordedWording, WordingError, rich};

/// Composes the reading copy of a paper for the patient whose own copy is in the language `patients` (`es`).
///
/// # Errors
/// A sentence is missing or cannot be filled, or `paper` is the practitioner's own.
pub fn reading_copy(
    kind: PaperKind,
    selection: &Selection<'_>,
    wording: RecordedWording<'_>,
    patients: &str,
    made: &Made,
    approvals: &Approvals,
) -> Result<Document, WordingError> {
    let composer = Composer { selection, wording };
    let blocks = match kind {
        PaperKind::Information => composer.information()?,
        PaperKind::Consent => composer.consent(made)?,
        PaperKind::Aftercare => composer.aftercare(None)?,
        PaperKind::CheckSheet | PaperKind::Evidence => {
            return Err(WordingError {
                language: composer.wording.tag().to_owned(),
                statement: "staff.title".to_owned(),
                what: format!("the {} has no reading copy", kind.noun()),
            });
        }
    };
    let blocks = composer.without_blanks(blocks)?;
    let mut document = composer.document(kind, Edition::ReadingCopy, blocks)?;
    for title in [&mut document.title, &mut document.running_lines.paper] {
        *title = composer.line("staff.title", json!({ "title": title }))?;
    }
    let mut notice = vec![composer.line(
        "staff.notice",
        json!({ "language": composer.label(&LabelId::language(patients))? }),
    )?];
    if !composer.wording.unapproved(approvals).is_empty() {
        notice.push(composer.label(if selection.clinic.training {
            "paper.training"
        } else {
            "paper.draft"
        })?);
    }
    document.running_lines.notice = Some(notice.join(" "));
    Ok(document)
}

impl Composer<'_, '_> {
    /// The blocks with words in the place of everything that is filled in by hand.
    fn without_blanks(&self, blocks: Vec<Block>) -> Result<Vec<Block>, WordingError> {
        let mut kept = Vec::new();
        for block in blocks {
            match block {
                Block::List {
                    style: ListStyle::Tick,
                    items,
                    ..
                } => {
                    kept.push(self.note("staff.tick", json!({}))?);
                    kept.push(Block::bullets(items));
                }
                Block::Diary { name, header, .. } => {
                    let columns = self.wording.formats().and(&header);
                    kept.push(
                        self.note("staff.table", json!({ "name": name, "columns": columns }))?,
                    );
                }
                Block::Sign {
                    title,
                    text,
                    fields,
                    ..
                } => {
                    let mut inside = Vec::new();
                    if !title.is_empty() {
                        inside.push(words(vec![Piece::Para {
                            text: rich::bold(title),
                        }]));
                    }
                    if !text.is_empty() {
                        inside.push(words(para(text)));
                    }
                    let lines: Vec<String> = fields.into_iter().map(|field| field.label).collect();
                    // labels hold commas of their own
                    let lines = lines.join(" · ");
                    inside.push(self.note("staff.sign", json!({ "lines": lines }))?);
                    kept.push(Block::Together { blocks: inside });
                }
                Block::Together { blocks } => kept.push(Block::Together {
                    blocks: self.without_blanks(blocks)?,
                }),
                Block::Panel {
                    tone,
                    title,
                    blocks,
                } => kept.push(Block::Panel {
                    tone,
                    title,
                    blocks: self.without_blanks(blocks)?,
                }),
                Block::Lines { .. } | Block::Questions { .. } => {}
                Block::Fill { fields } => {
                    let lines: Vec<String> = fields.into_iter().map(|field| field.label).collect();
                    kept.push(self.note("staff.sign", json!({ "lines": lines.join(" · ") }))?);
                }
                Block::Recap {
                    name,
                    mut header,
                    rows,
                    every,
                    notes,
                } => {
                    // nobody initials a copy to read along
                    header.truncate(super::RECAP_WITHOUT_INITIALS);
                    kept.push(Block::Recap {
                        name,
                        header,
                        rows,
                        every,
                        notes,
                    });
                }
                Block::Beside { blocks, picture } if matches!(*picture, Block::Sign { .. }) => {
                    kept.extend(self.without_blanks(blocks)?);
                    kept.extend(self.without_blanks(vec![*picture])?);
                }
                Block::Beside { blocks, picture } => kept.push(Block::Beside {
                    blocks: self.without_blanks(blocks)?,
                    picture,
                }),
                // named one by one: whether a new kind of block can be filled in must be decided here
                block @ (Block::Heading { .. }
                | Block::Text { .. }
                | Block::Spoken { .. }
                | Block::Flow { .. }
                | Block::Schedule { .. }
                | Block::List {
                    style: ListStyle::Bullet,
                    ..
                }
                | Block::Facts { .. }
                | Block::Table { .. }
                | Block::Answers { .. }
                | Block::Quarters { .. }
                | Block::Bands { .. }
                | Block::Line { .. }
            | Block::Note { .. }
                | Block::NewPage
                | Block::Timeline(_)
                | Block::QrCode { .. }
                | Block::Face { .. }
                | Block::Arrays { .. }
                // of the practitioner's papers there is no reading copy
                | Block::Check(_)) => kept.push(block),
            }
        }
        Ok(kept)
    }
}

fn words(pieces: Vec<Piece>) -> Block {
    Block::Text { mark: None, pieces }
}
