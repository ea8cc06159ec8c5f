//! What a clinic took from a release, changed, and finds again beside a later one.

use beforehand::wording::library;

use super::{desk, mistakes_at};
use crate::support::run;

#[test]
fn an_export_changes_nothing_until_somebody_changes_it() {
    let folder = desk(&[]);
    let ran = run(
        folder.path(),
        &["wording", "export", "--out", "ours/wording"],
    );
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(mistakes_at(folder.path()), Vec::<String>::new());
    let diff = run(folder.path(), &["wording", "diff"]);
    assert_eq!(diff.code, 0, "{}", diff.err);
    let count: usize = ["en", "en-GB", "en-US"]
        .iter()
        .map(|tag| library::statements(tag).expect("the release").len())
        .sum();
    assert!(
        diff.out.contains(&format!("{count:>6}  untouched copies")),
        "{}",
        diff.out
    );
    assert!(
        diff.out.contains("   0  in the clinic's words\n"),
        "{}",
        diff.out
    );

    // nothing that is there is written over
    let again = run(
        folder.path(),
        &["wording", "export", "--out", "ours/wording"],
    );
    assert_eq!(again.code, 1);
    assert!(again.err.contains("already there"), "{}", again.err);
    let unknown = run(
        folder.path(),
        &["wording", "export", "--out", "x", "--language", "eo"],
    );
    assert_eq!(unknown.code, 1);
    assert!(unknown.err.contains("available: en"), "{}", unknown.err);
}

#[test]
fn a_change_is_shown_beside_the_release() {
    let folder = desk(&[]);
    assert_eq!(
        run(
            folder.path(),
            &["wording", "export", "--out", "ours/wording"]
        )
        .code,
        0
    );
    let path = folder.path().join("ours/wording/en/advice.md");
    let text = std::fs::read_to_string(&path).expect("the export");
    let words = library::statements("en").expect("the release")["advice.no-rubbing"].clone();
    assert!(text.contains(&words));
    std::fs::write(&path, text.replace(&words, "Hands off the treated spots.")).expect("written");
    let diff = run(folder.path(), &["wording", "diff"]);
    assert_eq!(diff.code, 0, "{}", diff.err);
    for wanted in [
        "   1  in the clinic's words\n".to_owned(),
        "advice.no-rubbing (en)".to_owned(),
        "the release still says what you copied".to_owned(),
        format!("copied from release {}", library::version("en")),
        format!("  release:\n      {words}\n  clinic:\n      Hands off the treated spots.\n"),
    ] {
        assert!(diff.out.contains(&wanted), "{wanted}\n{}", diff.out);
    }
}

#[test]
fn a_release_that_changed_and_a_statement_that_is_gone_are_told() {
    let old = library::digest("What an older release said.");
    let words = format!(
        "# Ours\n\n<!-- beforehand release 2020-01 -->\n\n## advice.no-ice\n\n<!-- beforehand copy {old} -->\n\nNo ice, please.\n\n\
         ## advice.no-heat\n\n<!-- beforehand copy {old} -->\n\nWhat an older release said.\n"
    );
    let folder = desk(&[("wording/en/a.md", &words)]);
    // an untouched copy of older words follows the release
    assert_eq!(mistakes_at(folder.path()), Vec::<String>::new());
    let diff = run(folder.path(), &["wording", "diff"]);
    assert_eq!(diff.code, 1);
    let now = library::statements("en").expect("the release")["advice.no-ice"].clone();
    for wanted in [
        "   1  in the clinic's words, and the release has changed since",
        "   1  untouched copies",
        "THE RELEASE HAS CHANGED",
        "copied from release 2020-01",
        &now,
        "No ice, please.",
        &format!("<!-- beforehand copy {} -->", library::digest(&now)),
    ] {
        assert!(diff.out.contains(wanted), "{wanted}\n{}", diff.out);
    }
    let folder = desk(&[(
        "wording/en/a.md",
        "## advice.no-moonlight\n\nStay in at night.\n",
    )]);
    let diff = run(folder.path(), &["wording", "diff"]);
    assert_eq!(diff.code, 1);
    assert!(
        diff.out.contains("   1  not in this release"),
        "{}",
        diff.out
    );
    assert!(diff.err.contains("P809"), "{}", diff.err);
}

#[test]
fn a_clinic_without_an_overlay_has_nothing_to_compare() {
    let folder = crate::support::desk();
    let diff = run(folder.path(), &["wording", "diff"]);
    assert_eq!((diff.code, diff.out.as_str()), (0, ""));
    assert!(diff.err.contains("names no overlay"), "{}", diff.err);
}
