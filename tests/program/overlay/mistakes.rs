//! Every mistake an overlay can have is found where it stands, all at once, and nothing is written.

use std::collections::BTreeSet;

use beforehand::diagnose::Code;

use super::{SQUARE, desk, mistakes_at, put};
use crate::support::{self, names_in, root, run};

/// Case and expected mistakes; places were marked by hand.
fn cases() -> Vec<(String, Vec<String>)> {
    let folder = root().join("tests/mistakes/overlay");
    let text = std::fs::read_to_string(folder.join("expected.txt")).expect("the list of cases");
    let mut cases: Vec<_> = text
        .lines()
        .map(|line| {
            let (name, expected) = line.split_once(": ").expect("case: mistakes");
            let expected = expected.split(", ").map(str::to_owned).collect();
            (name.to_owned(), expected)
        })
        .collect();
    cases.sort();
    let listed: Vec<_> = cases.iter().map(|(name, _)| name.clone()).collect();
    let mut there = names_in(&folder);
    there.retain(|name| name != "expected.txt");
    assert_eq!(there, listed);
    cases
}

fn copy(from: &std::path::Path, desk: &std::path::Path, name: &str) {
    for entry in names_in(from) {
        let path = from.join(&entry);
        let inner = format!("{name}{entry}");
        if path.is_dir() {
            copy(&path, desk, &format!("{inner}/"));
        } else {
            put(desk, &inner, &std::fs::read(path).expect("a case"));
        }
    }
}

#[test]
fn every_case_yields_exactly_what_it_expects() {
    let mut wrong = String::new();
    for (name, mut expected) in cases() {
        let desk = desk(&[]);
        let case = root()
            .join("tests/mistakes/overlay")
            .join(&name)
            .join("ours");
        copy(&case, desk.path(), "");
        let mut found = mistakes_at(desk.path());
        found.sort();
        expected.sort();
        if found != expected {
            let said = run(desk.path(), &["check", "plan.toml"]).err;
            wrong += &format!("{name}:\n  expected {expected:?}\n  found    {found:?}\n{said}\n");
        }
        let made = run(desk.path(), &["make", "plan.toml", "--out", "papers"]);
        assert_eq!(
            (made.code, names_in(&desk.path().join("papers")).len()),
            (1, 0),
            "{name}"
        );
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// Whoever rewords a risk until it is none is told which words are missing.
#[test]
fn hollow_words_are_answered_with_what_is_missing() {
    let desk = desk(&[]);
    let case = root().join("tests/mistakes/overlay/statement_hollow/ours");
    copy(&case, desk.path(), "");
    insta::assert_snapshot!(run(desk.path(), &["check", "plan.toml"]).err);
}

/// Those that need a folder, a link or a large file are made below.
#[test]
fn every_overlay_code_is_made_by_some_case() {
    let made: BTreeSet<String> = cases()
        .into_iter()
        .flat_map(|(_, expected)| expected)
        .filter_map(|mistake| mistake.split(' ').nth(1).map(str::to_owned))
        .collect();
    let of_folders = [Code::OverlayFolder, Code::LogoTooLarge].map(Code::as_str);
    let missing: Vec<&str> = Code::all()
        .iter()
        .map(|code| code.as_str())
        .filter(|code| {
            code.starts_with("P8") && !made.contains(*code) && !of_folders.contains(code)
        })
        .collect();
    assert!(missing.is_empty(), "no case makes {missing:?}");
}

#[test]
fn a_folder_that_is_missing_or_leads_out_is_refused() {
    let desk = desk(&[]);
    std::fs::remove_dir(desk.path().join("ours")).expect("empty");
    assert_eq!(mistakes_at(desk.path()), ["clinic.toml P801 8:11"]);
    let outside = tempfile::tempdir().expect("a temporary folder");
    std::os::unix::fs::symlink(outside.path(), desk.path().join("ours")).expect("a link");
    assert_eq!(mistakes_at(desk.path()), ["clinic.toml P801 8:11"]);
    // a file in its place
    std::fs::remove_file(desk.path().join("ours")).expect("a link");
    std::fs::write(desk.path().join("ours"), "x").expect("a file");
    assert_eq!(mistakes_at(desk.path()), ["clinic.toml P801 8:11"]);
}

#[test]
fn names_that_lead_out_of_the_clinic_folder_are_refused() {
    for named in ["../ours", "/tmp", "a/../../b", "C:/ours", "a\\b"] {
        let folder = desk(&[]);
        let clinic = std::fs::read_to_string(folder.path().join("clinic.toml")).expect("a clinic");
        let changed = clinic.replace("overlay = \"ours\"", &format!("overlay = '{named}'"));
        support::put(folder.path(), "clinic.toml", changed);
        assert_eq!(
            mistakes_at(folder.path()),
            ["clinic.toml P711 8:11"],
            "{named}"
        );
    }
}

#[test]
fn links_out_of_the_overlay_are_never_followed() {
    let secret = tempfile::tempdir().expect("a temporary folder");
    std::fs::write(secret.path().join("x.md"), "## advice.no-ice\n\nSECRET.\n").expect("a file");
    let folder = desk(&[]);
    let inside = folder.path().join("ours/wording/en");
    std::fs::create_dir_all(&inside).expect("a folder");
    std::os::unix::fs::symlink(secret.path().join("x.md"), inside.join("x.md")).expect("a link");
    std::os::unix::fs::symlink(secret.path(), folder.path().join("ours/areas")).expect("a link");
    std::os::unix::fs::symlink(inside.join("nowhere"), inside.join("y.md")).expect("a link");
    let mut found = mistakes_at(folder.path());
    found.sort();
    assert_eq!(
        found,
        [
            "ours/areas P801 -:-",
            "ours/wording/en/x.md P801 -:-",
            "ours/wording/en/y.md P802 -:-"
        ]
    );
    let said = run(folder.path(), &["check", "plan.toml"]);
    assert!(!said.err.contains("SECRET"), "{}", said.err);
}

#[test]
fn a_link_that_stays_inside_the_clinic_folder_is_fine() {
    let folder = desk(&[("look.toml", "[look]\nlogo = \"logo.svg\"\n")]);
    support::put(folder.path(), "drawing.svg", SQUARE);
    std::os::unix::fs::symlink("../drawing.svg", folder.path().join("ours/logo.svg"))
        .expect("a link");
    assert_eq!(mistakes_at(folder.path()), Vec::<String>::new());
}

#[test]
fn large_pictures_are_refused_by_bytes_and_by_pixels() {
    let folder = desk(&[("look.toml", "[look]\nlogo = \"logo.svg\"\n")]);
    let huge = SQUARE.replace("/>", &format!("/><!--{}-->", "x".repeat(300_000)));
    put(folder.path(), "logo.svg", huge.as_bytes());
    assert_eq!(mistakes_at(folder.path()), ["ours/look.toml P806 2:8"]);

    let folder = desk(&[("look.toml", "[look]\nlogo = \"logo.png\"\n")]);
    let mut head = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
    head.extend(50_000_u32.to_be_bytes());
    head.extend(50_000_u32.to_be_bytes());
    head.extend([8, 6, 0, 0, 0]);
    put(folder.path(), "logo.png", &head);
    assert_eq!(mistakes_at(folder.path()), ["ours/look.toml P806 2:8"]);
    // of a size that is believed, but with nothing behind its head
    head[16..24].copy_from_slice(&[0, 0, 0, 9, 0, 0, 0, 9]);
    put(folder.path(), "logo.png", &head);
    assert_eq!(mistakes_at(folder.path()), ["ours/look.toml P807 2:8"]);
}

/// Clinic file, plan and overlay are read in one go.
#[test]
fn mistakes_of_all_files_are_shown_together() {
    let folder = desk(&[
        ("look.toml", "[look]\naccent = \"#777777\"\n"),
        ("wording/en/a.md", "## advice.no-ise\n\nNo ice.\n"),
    ]);
    let plan = support::Plan {
        area: "id = \"maseter\"\nside = \"both\"\nunits = 50".to_owned(),
        ..support::Plan::default()
    };
    support::put(folder.path(), "plan.toml", plan.toml());
    let found = mistakes_at(folder.path());
    let codes: Vec<&str> = found.iter().filter_map(|m| m.split(' ').nth(1)).collect();
    assert_eq!(codes, ["P809", "P804", "P606"], "{found:?}");
    let said = run(folder.path(), &["check", "plan.toml"]).err;
    for wanted in [
        "--> ours/wording/en/a.md:1:4",
        "Did you mean `advice.no-ice`?",
        "4.47 to 1 on white paper; headings need 7 to 1",
        "^^^",
    ] {
        assert!(said.contains(wanted), "{wanted}\n{said}");
    }
}

#[test]
fn one_advice_has_one_length() {
    let folder = desk(&[]);
    let clinic = std::fs::read_to_string(folder.path().join("clinic.toml")).expect("a clinic");
    let both = "[aftercare]\nhours = { no-rubbing = 30 }\ndays = { no-rubbing = 2 }\n";
    support::put(folder.path(), "clinic.toml", format!("{clinic}\n{both}"));
    let found = mistakes_at(folder.path());
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains(" P715 "), "{found:?}");
}
