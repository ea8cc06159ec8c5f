//! One wording shared by several threads: what one paper fills never decides whether another is a draft.
//!
//! Must not: typeset; the marks and the places to sign stand in the composed paper.

use std::collections::BTreeMap;

use beforehand::catalogue::Catalogue;
use beforehand::compose::{Block, Document};
use beforehand::diagnose::{Format, SourceFile};
use beforehand::paper::PaperKind;
use beforehand::papers;
use beforehand::plan::{read_clinic, read_plan};
use beforehand::select::select;
use beforehand::wording::{Approval, Approvals, Wording};

use crate::support::composed::document;
use crate::support::{Plan, clinic};

const THREADS: usize = 8;
/// Papers that each thread composes.
const ROUNDS: usize = 16;

/// Approvals of these statements of a wording.
fn approving<'s>(wording: &Wording, ids: impl Iterator<Item = &'s String>) -> Approvals {
    let statements: BTreeMap<String, String> = ids
        .filter_map(|id| Some((id.clone(), wording.digest(id)?)))
        .collect();
    Approvals {
        approval: vec![Approval {
            language: wording.tag().to_owned(),
            by: "Dr A. Example (invented)".to_owned(),
            registration: "INVENTED-9".to_owned(),
            on: "2026-11-01".to_owned(),
            statements,
        }],
    }
}

/// Whether a paper is marked as a draft, and whether there is a place to sign.
fn standing(document: &Document) -> (bool, bool) {
    fn signs(blocks: &[Block]) -> bool {
        blocks.iter().any(|block| match block {
            Block::Sign { .. } => true,
            Block::Together { blocks }
            | Block::Panel { blocks, .. }
            | Block::Beside { blocks, .. } => signs(blocks),
            _ => false,
        })
    }
    let draft = document.running_lines.notice.is_some();
    (draft, signs(&document.blocks))
}

#[test]
fn threads_that_share_a_wording_mark_their_own_drafts_and_no_others() {
    let catalogue = Catalogue::embedded();
    let vocabulary = papers::vocabulary(catalogue);
    let source = |name: &str, text: &str| {
        SourceFile::from_bytes(name, text.as_bytes(), Format::Toml).expect("not empty")
    };
    let clinic = read_clinic(&source("clinic.toml", &clinic()), &vocabulary).expect("a clinic");
    let plan = source("plan.toml", &Plan::default().toml());
    let visit = read_plan(&plan, &vocabulary, Some(&clinic)).expect("a plan");
    let selection = select(catalogue, &clinic, &visit).expect("a selection");
    let wording = papers::wording_for(&visit, &clinic).expect("words");

    // all that the consent form says, the same without one sentence, and nothing at all
    let everything = approving(&wording, wording.statements().keys());
    let but_one = approving(
        &wording,
        wording
            .statements()
            .keys()
            .filter(|id| *id != "masseter.can"),
    );
    let cases = [
        (PaperKind::Information, &everything, (false, false)),
        (PaperKind::Information, &but_one, (true, false)),
        (PaperKind::Consent, &everything, (false, true)),
        (PaperKind::Consent, &Approvals::none(), (true, false)),
        (PaperKind::Aftercare, &everything, (false, false)),
    ];
    let alone = cases.map(|(paper, approvals, marks)| {
        let document = document(paper, &selection, &wording, approvals);
        assert_eq!(standing(&document), marks, "{}", paper.as_str());
        serde_json::to_string(&document).expect("plain data")
    });
    let wrong: usize = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..THREADS)
            .map(|thread| {
                let (selection, wording, cases, alone) = (&selection, &wording, &cases, &alone);
                scope.spawn(move || {
                    let differs = |round: &usize| {
                        let at = (thread + round) % cases.len();
                        let (paper, approvals, _) = cases[at];
                        let document = document(paper, selection, wording, approvals);
                        serde_json::to_string(&document).expect("plain data") != alone[at]
                    };
                    (0..ROUNDS).filter(differs).count()
                })
            })
            .collect();
        let ended = threads.into_iter().map(|thread| thread.join());
        ended.map(|wrong| wrong.expect("no thread fails")).sum()
    });
    assert_eq!(wrong, 0, "of {} papers", THREADS * ROUNDS);
}
