//! Line pitch, places to sign, boxes for initials and numbers to call, measured in the finished file by an outside reader.
//!
//! Every sample is measured by `papers`; here the reader shows that it notices other measures. Must not: pass in CI when the
//! reader is missing.

use beforehand::catalogue::Side;
use beforehand::paper::PaperKind;
use beforehand::typeset::Typesetter;

use crate::support::catalogue::area;
use crate::support::pictures::plan;
use crate::support::templates::with_changes;
use crate::support::{clinic, laid_out_at, paper, referee};

/// What the reader has against a paper of one area; nothing where it is not installed.
fn faults(kind: PaperKind, typesetter: &Typesetter, areas: &str) -> Option<Vec<String>> {
    let python = referee::python("pdfplumber")?;
    let text = plan(&[(area("orbicularis-oris"), Side::Both)]).toml();
    let file = referee::scratch(&format!("measures-{kind}.pdf"));
    // with room to sign in words that nobody has approved
    let clinic = clinic().replacen("[clinic]", "[clinic]\nallow_unapproved = \"training\"", 1);
    laid_out_at(&clinic, &text, typesetter, |papers| {
        let pdf = paper(papers, kind)
            .pages
            .pdf()
            .expect("the standards are met");
        std::fs::write(&file, pdf).expect("the scratch folder can be written");
    });
    let said = referee::script(&python, "measures.py")
        .arg(&file)
        .args([kind.as_str(), areas])
        .output()
        .expect("the reader starts");
    assert!(said.status.success(), "{}", referee::said(&said));
    Some(serde_json::from_slice(&said.stdout).expect("one line of JSON"))
}

#[test]
fn other_measures_are_noticed() {
    use PaperKind::{Aftercare, Consent, Information};
    let sound = Typesetter::embedded();
    for kind in [Information, Consent, Aftercare] {
        let Some(found) = faults(kind, &sound, "1") else {
            return;
        };
        assert_eq!(found, Vec::<String>::new(), "{kind}");
    }
    // boxes for initials that are not there
    assert!(!faults(Consent, &sound, "9").expect("it is here").is_empty());
    for (kind, file, from, to) in [
        (
            Information,
            "theme.typ",
            "#let gap = scaled(4pt)",
            "#let gap = scaled(4.6pt)",
        ),
        (
            Aftercare,
            "forms.typ",
            "at(raised(22pt), raised(26pt)",
            "at(raised(18pt), raised(22pt)",
        ),
        (
            Consent,
            "forms.typ",
            "height: field.height * size",
            "height: field.height * 0.8 * size",
        ),
    ] {
        let changed = with_changes(&[(file, from, to)]);
        let found = faults(kind, &changed, "1").expect("it is here");
        assert!(
            !found.is_empty(),
            "{kind}: {file} was changed, and nothing is noticed"
        );
    }
}
