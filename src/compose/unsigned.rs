//! Turns the blocks of a paper into those of one that nobody can sign.
//! Invariant: what agrees to nothing stays; whether a new kind of block can be signed must be decided here.
//! Must not: mark the paper, or say why it cannot be signed.

use super::RECAP_WITHOUT_INITIALS;
use super::document::Block;

/// Takes every place to sign out of blocks; `instead` is told once where the first stood.
pub(super) fn strip_signing(blocks: &mut Vec<Block>, instead: &mut impl FnMut(&mut Vec<Block>)) {
    let mut kept = Vec::new();
    for mut block in blocks.drain(..) {
        match &mut block {
            Block::Sign { .. } => instead(&mut kept),
            Block::Recap { header, .. } => {
                // the box for initials is part of agreeing
                header.truncate(RECAP_WITHOUT_INITIALS);
                kept.push(block);
            }
            Block::Beside { blocks, picture } => {
                strip_signing(blocks, instead);
                match picture.as_ref() {
                    Block::Sign { .. } => kept.append(blocks),
                    _ => kept.push(block),
                }
            }
            Block::Together { blocks } | Block::Panel { blocks, .. } => {
                strip_signing(blocks, instead);
                // a heading over nothing is no section
                let bare = |block: &Block| matches!(block, Block::Heading { .. });
                if !blocks.iter().all(bare) {
                    kept.push(block);
                }
            }
            Block::Heading { .. }
            | Block::Text { .. }
            | Block::Spoken { .. }
            | Block::Flow { .. }
            | Block::List { .. }
            | Block::Schedule { .. }
            | Block::Facts { .. }
            | Block::Table { .. }
            | Block::Answers { .. }
            | Block::Quarters { .. }
            | Block::Bands { .. }
            | Block::Line { .. }
            | Block::Note { .. }
            | Block::Lines { .. }
            | Block::Questions { .. }
            | Block::Diary { .. }
            | Block::Fill { .. }
            | Block::NewPage
            | Block::Timeline(_)
            | Block::QrCode { .. }
            | Block::Face { .. }
            | Block::Arrays { .. }
            | Block::Check(_) => kept.push(block),
        }
    }
    *blocks = kept;
}
