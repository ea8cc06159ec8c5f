//! What an overlay changes on the papers, in approvals, in records, and in every command.

use beforehand::wording::library;

use super::{SQUARE, desk, mistakes_at, put};
use crate::support::{names_in, put as put_beside, read_back, root, run, squeeze};

const PLAN: &str = "samples/rowan-quay/smile-balance.toml";
const CLINIC: &str = "samples/rowan-quay/clinic.toml";

/// The sample clinic in a temporary folder.
fn rowan_quay() -> tempfile::TempDir {
    fn copy(from: &std::path::Path, to: &std::path::Path) {
        std::fs::create_dir_all(to).expect("a temporary folder");
        for name in names_in(from) {
            if from.join(&name).is_dir() {
                copy(&from.join(&name), &to.join(&name));
            } else {
                std::fs::copy(from.join(&name), to.join(&name)).expect("a sample");
            }
        }
    }
    let folder = tempfile::tempdir().expect("a temporary folder");
    copy(&root().join("samples/rowan-quay"), folder.path());
    folder
}

#[test]
fn logo_colour_words_and_area_reach_the_papers() {
    let out = tempfile::tempdir().expect("a temporary folder");
    let shown = out.path().to_str().expect("UTF-8");
    let ran = run(root(), &["make", PLAN, "--out", shown]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    for (paper, wanted) in [
        ("information", "We take no deposit."),
        ("information", "Few clinics treat this area"),
        ("information", "There is a second chair."),
        ("aftercare", "Our door code for the review visit"),
        ("aftercare", "The corner of your mouth hangs lower"),
        ("clinician", "musculus risorius"),
    ] {
        let pdf = out.path().join(format!("RQ-10021-2026-12-08-{paper}.pdf"));
        let bytes = std::fs::read(&pdf).expect("the paper");
        let Some(pages) = read_back(&pdf) else { return };
        let text = squeeze(&pages.concat());
        if paper != "clinician" {
            assert!(text.contains(&squeeze(wanted)), "{paper}: {wanted}");
        }
        assert!(bytes.len() > 10_000);
    }
    // which words are not the release's, and that all of an own area are
    let annex = read_back(&out.path().join("RQ-10021-2026-12-08-evidence.pdf")).expect("poppler");
    let annex = squeeze(&annex.concat());
    for own in ["clinic.consent.extra", "risorius.*"] {
        assert!(annex.contains(own), "{own}: {annex}");
    }
    assert!(!annex.contains("risorius.risk"), "{annex}");
    // the clinic's own times: 6 hours upright, 2 days without rubbing
    let pages = read_back(&out.path().join("RQ-10021-2026-12-08-aftercare.pdf")).expect("poppler");
    let text = squeeze(&pages.concat());
    assert!(text.contains("16:15"), "{text}");
    assert!(text.contains("Thu10Dec"), "{text}");
}

#[test]
fn the_same_overlay_gives_the_same_bytes_and_another_one_another_code() {
    let folder = rowan_quay();
    let make = |out: &str| {
        let ran = run(
            folder.path(),
            &[
                "make",
                "smile-balance.toml",
                "--out",
                out,
                "--only",
                "consent",
            ],
        );
        assert_eq!(ran.code, 0, "{}", ran.err);
        std::fs::read(
            folder
                .path()
                .join(out)
                .join("RQ-10021-2026-12-08-consent.pdf"),
        )
        .expect("a paper")
    };
    let first = make("one");
    assert!(first == make("two"), "the same clinic made other bytes");
    let logo = std::fs::read_to_string(folder.path().join("ours/logo.svg")).expect("a logo");
    put(
        folder.path(),
        "logo.svg",
        logo.replace("#8c1d2f", "#1d8c2f").as_bytes(),
    );
    let other = make("three");
    assert!(first != other, "another logo made the same bytes");
    let code = |out: &str| {
        let file = format!("{out}/RQ-10021-2026-12-08-consent.pdf");
        let ran = run(folder.path(), &["trace", &file, "--clinic", "clinic.toml"]);
        let line = ran
            .out
            .lines()
            .find(|l| l.contains("document code"))
            .map(str::to_owned);
        line.unwrap_or_else(|| panic!("{}", ran.out))
    };
    assert_eq!(code("one"), code("two"));
    assert_ne!(code("one"), code("three"));
}

#[test]
fn own_words_are_unapproved_until_somebody_approves_them() {
    let folder = desk(&[]);
    let approve = |ids: &[&str]| {
        let mut arguments = vec![
            "wording",
            "approve",
            "--by",
            "Dr A. Example (invented)",
            "--registration",
            "INVENTED-9",
            "--on",
            "2026-11-01",
        ];
        arguments.extend(ids);
        run(folder.path(), &arguments)
    };
    assert_eq!(approve(&[]).code, 0);
    assert_eq!(run(folder.path(), &["wording", "status"]).code, 0);
    put(
        folder.path(),
        "wording/en/a.md",
        b"## advice.no-rubbing\n\nHands off.\n\n## clinic.consent.extra\n\nOur own words.\n",
    );
    let status = run(folder.path(), &["wording", "status"]);
    assert_eq!(status.code, 1);
    assert!(
        status
            .out
            .contains("advice.no-rubbing (approved in other words by Dr A. Example"),
        "{}",
        status.out
    );
    assert!(
        status.out.contains("    clinic.consent.extra"),
        "{}",
        status.out
    );
    // `masseter` needs neither of the two beyond these papers: both are marked
    let clinic = std::fs::read_to_string(folder.path().join("clinic.toml")).expect("a clinic");
    put_beside(
        folder.path(),
        "clinic.toml",
        clinic.replace("allow_unapproved = \"training\"", ""),
    );
    let make = |out: &str| {
        let ran = run(folder.path(), &["make", "plan.toml", "--out", out]);
        assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
        let text = read_back(
            &folder
                .path()
                .join(out)
                .join("INV-1-2026-12-03-information.pdf"),
        )?;
        Some(text.concat())
    };
    let Some(draft) = make("draft") else { return };
    assert!(squeeze(&draft).contains("Ourownwords."), "{draft}");
    let notice = squeeze(&library::statements("en").expect("the release")["paper.draft"]);
    assert!(squeeze(&draft).contains(&notice), "{draft}");
    assert_eq!(
        approve(&["clinic.consent.extra", "advice.no-rubbing"]).code,
        0
    );
    assert_eq!(run(folder.path(), &["wording", "status"]).code, 0);
    let signed = make("signed").expect("poppler was here a moment ago");
    assert!(!squeeze(&signed).contains(&notice), "{signed}");
    // the draft has lost its places to sign
}

#[test]
fn a_record_says_that_an_overlay_was_used_and_trace_compares_with_it() {
    let folder = rowan_quay();
    let ran = run(
        folder.path(),
        &[
            "make",
            "smile-balance.toml",
            "--out",
            "p",
            "--only",
            "consent",
        ],
    );
    assert_eq!(ran.code, 0, "{}", ran.err);
    let file = "p/RQ-10021-2026-12-08-consent.pdf";
    let with = |clinic: &[&str]| {
        let mut arguments = vec!["trace", file];
        arguments.extend(clinic);
        run(folder.path(), &arguments)
    };
    let without = with(&[]);
    assert_eq!(without.code, 1);
    assert!(
        without.out.contains("made with a clinic's overlay"),
        "{}",
        without.out
    );
    let same = with(&["--clinic", "clinic.toml"]);
    assert_eq!(same.code, 0, "{}", same.out);
    assert!(same.out.contains("  overlay        "), "{}", same.out);
    let words = folder.path().join("ours/wording/en/areas/risorius.md");
    let text = std::fs::read_to_string(&words).expect("the area's words");
    std::fs::write(&words, text.replace("**Weak smile.**", "**Weaker smile.**")).expect("written");
    let changed = with(&["--clinic", "clinic.toml"]);
    assert_eq!(changed.code, 1);
    assert!(
        changed.out.contains("risorius.risk.weak-smile"),
        "{}",
        changed.out
    );
    // a clinic without one leaves no trace of one
    let plain = desk(&[]);
    let clinic = crate::support::clinic();
    put_beside(plain.path(), "clinic.toml", clinic);
    assert_eq!(
        run(plain.path(), &["make", "plan.toml", "--out", "p"]).code,
        0
    );
    let register =
        std::fs::read_to_string(plain.path().join("p/register.jsonl")).expect("a register");
    assert!(!register.contains("overlay"), "{register}");
}

#[test]
fn every_command_knows_an_area_of_the_clinics_own() {
    for (arguments, wanted) in [
        (vec!["areas", "--clinic", CLINIC], "Smile balance"),
        (
            vec!["areas", "risorius", "--clinic", CLINIC],
            "rowan-1  Rowan Quay Rooms (invented)",
        ),
        (
            vec!["facts", "speaks_publicly", "--clinic", CLINIC],
            "ask (risorius: may not be a good candidate)",
        ),
        (
            vec!["explain", PLAN, "risorius.risk.weak-smile"],
            "status: from memory, not checked",
        ),
        (vec!["explain", PLAN, "risorius.candid"], "source: rowan-1"),
        (vec!["check", PLAN], "risorius"),
    ] {
        let ran = run(root(), &arguments);
        assert_eq!(ran.code, 0, "{arguments:?}: {}", ran.err);
        assert!(ran.out.contains(wanted), "{arguments:?}: {}", ran.out);
    }
    assert_eq!(
        run(root(), &["areas", "risorius"]).code,
        1,
        "only this clinic has it"
    );
    let status = run(root(), &["wording", "status", "--clinic", CLINIC, "--all"]);
    assert!(
        status.out.contains("    risorius.risk.speech"),
        "{}",
        status.out
    );
}

/// The required risks of an area that only a clinic has are required like any other.
#[test]
fn the_risks_of_an_own_area_are_required() {
    let ran = run(root(), &["check", PLAN, "--format", "json"]);
    let report: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let risks: Vec<&str> = report["plans"][0]["required_risks"]
        .as_array()
        .expect("a list")
        .iter()
        .filter(|risk| risk["area"] == "risorius" && risk["page"].is_u64())
        .filter_map(|risk| risk["statement"].as_str())
        .collect();
    assert_eq!(risks.len(), 3, "{risks:?}");
}

#[test]
fn a_length_outside_the_range_met_in_practice_is_a_caution() {
    let folder = desk(&[]);
    let clinic = std::fs::read_to_string(folder.path().join("clinic.toml")).expect("a clinic");
    for (line, cautioned) in [
        ("hours = { stay-upright = 6 }", false),
        ("hours = { stay-upright = 7 }", true),
        ("days = { no-rubbing = 3 }", false),
        ("days = { no-rubbing = 4 }", true),
    ] {
        put_beside(
            folder.path(),
            "clinic.toml",
            format!("{clinic}\n[aftercare]\n{line}\n"),
        );
        let ran = run(folder.path(), &["check", "plan.toml", "--format", "json"]);
        let said = ran.out.contains("\"advice-length\"");
        assert_eq!(said, cautioned, "{line}: {}", ran.out);
    }
}

#[test]
fn pictures_are_told_to_screen_readers() {
    let folder = desk(&[
        (
            "look.toml",
            "[look]\nlogo = \"logo.svg\"\naccent = \"#0B4A54\"\n",
        ),
        ("logo.svg", SQUARE),
    ]);
    assert_eq!(mistakes_at(folder.path()), Vec::<String>::new());
    assert_eq!(
        run(
            folder.path(),
            &["make", "plan.toml", "--out", "p", "--only", "consent"]
        )
        .code,
        0
    );
    let bytes =
        std::fs::read(folder.path().join("p/INV-1-2026-12-03-consent.pdf")).expect("a paper");
    let plain = desk(&[]);
    assert_eq!(
        run(
            plain.path(),
            &["make", "plan.toml", "--out", "p", "--only", "consent"]
        )
        .code,
        0
    );
    let without =
        std::fs::read(plain.path().join("p/INV-1-2026-12-03-consent.pdf")).expect("a paper");
    let figures = |bytes: &[u8]| bytes.windows(7).filter(|w| w == b"/Figure").count();
    // structure elements may be compressed; then the count is none in both and other bytes are all that is told
    assert!(bytes != without && figures(&bytes) >= figures(&without));
}
