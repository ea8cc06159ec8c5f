//! Turns plans, clinics and spoilt layouts into proof that `make` refuses exactly what `check` fails.
//!
//! Invariant: both programs are run on the same folder; a refusal is held against the reason the gate gives.
//! Must not: know how the gate looks for something, only what papers must have.

use std::path::{Path, PathBuf};

use crate::support::{Plan, desk, names_in, put, root, run};
use beforehand::catalogue::Catalogue;
use beforehand::diagnose::{Format, SourceFile};
use beforehand::domain::Trigger;
use beforehand::gate::{Lack, Named, Reason, Signer};
use beforehand::paper::PaperKind;
use beforehand::papers::{self, Inputs, MakeOptions, Papers};
use beforehand::plan::{self, Clinic, Visit};
use beforehand::typeset::Typesetter;
use beforehand::wording::{Approval, Approvals};

/// Exit codes of `check` and of `make`, and whether a paper for the patient was written.
fn both(folder: &Path, plan: &Path) -> (i32, i32, bool) {
    let plan = plan.to_str().expect("UTF-8");
    let out = tempfile::tempdir().expect("a temporary folder");
    let check = run(folder, &["check", plan]);
    let make = run(
        folder,
        &["make", plan, "--out", out.path().to_str().expect("UTF-8")],
    );
    let written = names_in(out.path())
        .iter()
        .any(|name| name.contains("consent") || name.contains("aftercare"));
    (check.code, make.code, written)
}

fn plans() -> Vec<PathBuf> {
    let mut found = Vec::new();
    for folder in std::fs::read_dir(root().join("samples")).expect("samples") {
        let Ok(files) = std::fs::read_dir(folder.expect("an entry").path()) else {
            continue;
        };
        let files = files.map(|file| file.expect("an entry").path());
        found.extend(files.filter(|path| {
            let text = std::fs::read_to_string(path).unwrap_or_default();
            text.contains("[visit]") || text.contains("\"visit\"")
        }));
    }
    found.sort();
    found
}

#[test]
fn check_fails_exactly_where_make_refuses() {
    let mut refused = 0;
    let plans = plans();
    assert!(plans.len() >= 15, "{} samples", plans.len());
    for plan in plans {
        let (check, make, written) = both(root(), &plan);
        assert_eq!(check, make, "{}", plan.display());
        assert_eq!(check == 0, written, "{}", plan.display());
        refused += usize::from(!written);
    }
    assert!(refused > 0, "no sample is refused");
    // a patient whose own words hold a sign of a tick, and a name that is not drawn from left to right: notes of the lint
    // failed the one and let the other write
    let ticked = Plan {
        aim: "[x] a slimmer jaw line".to_owned(),
        ..Plan::default()
    };
    for (what, plan) in [
        ("a tick in the aim", ticked),
        ("a name from right to left", Plan::named("דנה כהן")),
    ] {
        let desk = desk();
        let plan = put(desk.path(), "plan.toml", plan.toml());
        assert_eq!(both(desk.path(), &plan), (0, 0, true), "{what}");
    }
}

/// A clinic whose own words tick a box, on the consent form and in a signable one alike.
#[test]
fn a_ticked_box_in_a_clinics_own_words_is_refused_by_both() {
    let desk = desk();
    let clinic = std::fs::read_to_string(desk.path().join("clinic.toml")).expect("a clinic");
    let clinic = clinic.replacen("[clinic]\n", "[clinic]\noverlay = \"ours\"\n", 1);
    put(desk.path(), "clinic.toml", &clinic);
    let folder = desk.path().join("ours/wording/en");
    std::fs::create_dir_all(&folder).expect("a temporary folder");
    put(
        &folder,
        "own.md",
        "## consent.photos.none\n\n☑ No photographs\n",
    );
    let plan = put(desk.path(), "plan.toml", Plan::default().toml());
    let checked = run(desk.path(), &["check", "plan.toml"]);
    assert!(
        checked
            .out
            .contains("a box is ticked beforehand: `☑ No photographs`"),
        "{}{}",
        checked.out,
        checked.err
    );
    assert_eq!(both(desk.path(), &plan), (1, 1, false));
}

fn read(plan: &str) -> (Clinic, Visit) {
    let vocabulary = papers::vocabulary(Catalogue::embedded());
    let source = |path: &Path| {
        let bytes = std::fs::read(path).expect("a sample");
        SourceFile::from_bytes(&path.display().to_string(), &bytes, Format::Toml).expect("text")
    };
    let path = root().join("samples").join(plan);
    let clinic = source(&path.with_file_name("clinic.toml"));
    let clinic = plan::read_clinic(&clinic, &vocabulary).expect("a good clinic");
    let visit = plan::read_plan(&source(&path), &vocabulary, Some(&clinic)).expect("a good plan");
    (clinic, visit)
}

fn approved(clinic: &Clinic, visit: &Visit) -> Approvals {
    let wording = papers::wording_for(visit, clinic).expect("a wording");
    let ids = wording.statements().keys();
    let statements = ids.filter_map(|id| Some((id.clone(), wording.digest(id)?)));
    Approvals {
        approval: vec![Approval {
            language: wording.tag().to_owned(),
            by: "Dr A. Example (invented)".to_owned(),
            registration: "INVENTED-9".to_owned(),
            on: "2026-11-01".to_owned(),
            statements: statements.collect(),
        }],
    }
}

fn make<'a>(clinic: &'a Clinic, visit: &'a Visit, approvals: &Approvals) -> Papers<'a> {
    let from = Inputs {
        catalogue: Catalogue::embedded(),
        clinic,
        visit,
        approvals,
        typesetter: &Typesetter::embedded(),
    };
    papers::make(from, &MakeOptions::default()).expect("papers")
}

/// What the gate says of a paper that was changed after it was composed.
fn lacks(
    papers: &Papers<'_>,
    kind: PaperKind,
    typesetter: &Typesetter,
    change: impl FnOnce(&mut beforehand::compose::Document),
) -> Vec<Lack> {
    let made = papers.paper(kind).expect("made");
    let mut document = made.document.clone();
    change(&mut document);
    let pages = typesetter.typeset(&document).expect("pages");
    let required = papers.selection.required(kind);
    let coverage = beforehand::coverage::check(&required, &document, &pages);
    let sheet = beforehand::gate::Sheet {
        kind,
        edition: made.edition,
        selection: &papers.selection,
        wording: &made.wording,
        document: &document,
        pages: &pages,
        coverage: &coverage,
    };
    sheet.lacks()
}

/// Every kind of lack, each by one thing taken from papers that lack nothing.
#[test]
fn each_part_of_the_gate_can_refuse() {
    use beforehand::compose::Block;
    let (clinic, visit) = read("linden-court/news-reader.toml");
    let typesetter = Typesetter::embedded();
    let approvals = approved(&clinic, &visit);
    let papers = make(&clinic, &visit, &approvals);
    assert_eq!(papers.verdict().reasons, Vec::<Reason>::new());

    fn without(blocks: &mut Vec<Block>, gone: fn(&Block) -> bool) {
        blocks.retain(|block| !gone(block));
        for block in blocks {
            match block {
                Block::Panel { blocks, .. }
                | Block::Together { blocks }
                | Block::Beside { blocks, .. } => without(blocks, gone),
                _ => {}
            }
        }
    }
    let signs: fn(&Block) -> bool = |block| matches!(block, Block::Sign { .. });
    let found = lacks(&papers, PaperKind::Consent, &typesetter, |d| {
        without(&mut d.blocks, signs)
    });
    for who in [Signer::Patient, Signer::Practitioner] {
        assert!(found.contains(&Lack::NoPlaceToSign { who }), "{found:?}");
    }
    // the same places in a draft
    let draft = papers.wording.label("paper.draft").expect("a label");
    let found = lacks(&papers, PaperKind::Consent, &typesetter, |d| {
        d.running_lines.notice = Some(draft)
    });
    assert_eq!(found, [Lack::DraftToSign]);

    let labels: fn(&Block) -> bool = |b| matches!(b, Block::Facts { .. } | Block::Bands { .. });
    for (paper, wanted) in [
        (PaperKind::Consent, Named::Batch),
        (PaperKind::Aftercare, Named::OutOfHours),
    ] {
        let found = lacks(&papers, paper, &typesetter, |d| {
            without(&mut d.blocks, labels)
        });
        let named = |lack: &Lack| matches!(lack, Lack::Unnamed { what, .. } if *what == wanted);
        assert!(found.iter().any(named), "{wanted:?}: {found:?}");
    }

    // a running head with another name
    let found = lacks(&papers, PaperKind::Aftercare, &typesetter, |d| {
        d.running_lines.name = "Somebody Else".to_owned();
    });
    let pages: Vec<usize> = found
        .iter()
        .map(|lack| match lack {
            Lack::Identity { page, .. } => *page,
            other => panic!("{other:?}"),
        })
        .collect();
    let made = papers.paper(PaperKind::Aftercare);
    assert_eq!(
        pages,
        // the first page has its own names and dates
        (2..=made.expect("made").pages.count()).collect::<Vec<_>>()
    );
    // one identifier beside the name is enough here, none is not
    let few = |left: usize| {
        lacks(&papers, PaperKind::Aftercare, &typesetter, |d| {
            d.running_lines.identity.truncate(left);
        })
    };
    assert!(few(1).is_empty() && !few(0).is_empty());

    // a statement that is not composed is a reason too
    let found = lacks(&papers, PaperKind::Consent, &typesetter, |d| {
        d.blocks.truncate(3)
    });
    assert!(
        found
            .iter()
            .any(|lack| matches!(lack, Lack::Statement { .. }))
    );
}

#[test]
fn a_stop_is_a_reason_with_its_caution() {
    let (clinic, visit) = read("bjorkviken/must-be-refused.toml");
    let papers = make(&clinic, &visit, &Approvals::none());
    let reasons = papers.verdict().reasons;
    assert_eq!(reasons, [Reason::Stop(Trigger::TimeTooShort.into())]);
}
