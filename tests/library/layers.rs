//! Modules import in one direction only: each may use those listed before it, never one listed after it.
//!
//! Must not: be satisfied by a module it does not know (every module of `src` must be listed).

use std::path::{Path, PathBuf};

/// From the ground up.
const LAYERS: &[&str] = &[
    "paper",
    "diagnose",
    "contrast",
    "domain",
    "catalogue",
    "plan",
    "select",
    "wording",
    "called_for",
    "plan_form",
    "calendar",
    "compose",
    "typeset",
    "print_pack",
    "coverage",
    "gate",
    "phone_page",
    "record",
    "file_names",
    "papers",
    "overlay",
    "practice",
    "lint",
    "desk",
    "cli",
];

/// Crates that no layer but these may name.
const OWNED: &[(&str, &[&str])] = &[
    ("typst", &["typeset"]),
    ("typst_pdf", &["typeset"]),
    ("typst_layout", &["typeset"]),
    ("typst_svg", &["typeset"]),
    ("krilla", &["print_pack"]),
    ("indicatif", &["cli"]),
    // sentences of the papers, and pages of the desk
    ("minijinja", &["wording", "desk"]),
    ("icu", &["wording"]),
    ("pulldown_cmark", &["wording"]),
    ("qrcode", &["calendar"]),
    ("toml_edit", &["plan_form"]),
    ("axum", &["desk"]),
    ("tokio", &["desk"]),
    ("hyper", &["desk"]),
    ("hyper_util", &["desk"]),
    ("getrandom", &["desk"]),
    ("form_urlencoded", &["desk"]),
    ("opener", &["desk"]),
    ("clap", &["cli"]),
    ("anyhow", &["cli"]),
    ("rayon", &["practice", "papers"]),
    ("mimalloc", &["main"]),
];

fn files(path: &Path, found: &mut Vec<PathBuf>) {
    if path.is_dir() {
        for entry in std::fs::read_dir(path).expect("a folder") {
            files(&entry.expect("an entry").path(), found);
        }
    } else if path.extension().is_some_and(|e| e == "rs") {
        found.push(path.to_owned());
    }
}

fn layer_of(path: &Path) -> String {
    let relative = path
        .strip_prefix(Path::new(env!("CARGO_MANIFEST_DIR")).join("src"))
        .expect("under src");
    let first = relative
        .components()
        .next()
        .expect("a file")
        .as_os_str()
        .to_string_lossy()
        .into_owned();
    first.trim_end_matches(".rs").to_owned()
}

fn sources() -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    files(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("src"),
        &mut found,
    );
    found
        .into_iter()
        .map(|path| {
            (
                path.clone(),
                std::fs::read_to_string(path).expect("a source file"),
            )
        })
        .collect()
}

#[test]
fn layers_import_one_way() {
    let mut checked = 0;
    for (path, text) in sources() {
        let layer = layer_of(&path);
        if layer == "lib" || layer == "main" {
            continue;
        }
        let own = LAYERS.iter().position(|l| *l == layer);
        let own = own.unwrap_or_else(|| panic!("{}: layer {layer} is not listed", path.display()));
        for (number, line) in text.lines().enumerate() {
            let Some(at) = line.find("crate::") else {
                continue;
            };
            if line.trim_start().starts_with("//") {
                continue;
            }
            let used: String = line[at + "crate::".len()..]
                .chars()
                .take_while(|c| c.is_alphanumeric() || *c == '_')
                .collect();
            let Some(other) = LAYERS.iter().position(|l| *l == used) else {
                continue;
            };
            checked += 1;
            assert!(
                other <= own,
                "{}:{}: {layer} must not use {used}",
                path.display(),
                number + 1
            );
        }
    }
    assert!(checked > 50, "only {checked} imports were read");
}

/// The core is everything but the lint and the command line: no paper depends on how its words are judged.
#[test]
fn only_the_command_line_uses_the_lint() {
    let mut used = 0;
    for (path, text) in sources() {
        let names_it = text.contains("crate::lint") || text.contains("beforehand::lint");
        match layer_of(&path).as_str() {
            "lint" => {}
            "cli" => used += usize::from(names_it),
            _ => assert!(!names_it, "{} names the lint", path.display()),
        }
    }
    assert!(used > 0, "nothing uses the lint");
}

/// Whether a line of code names a library: as `library::`, not behind a path or as the end of another word.
fn names(line: &str, library: &str) -> bool {
    let whole = format!("{library}::");
    line.match_indices(&whole).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        before.is_none_or(|c| !c.is_alphanumeric() && !"_:".contains(c))
    })
}

/// A crate of the manifest that nobody owns here could be named anywhere.
#[test]
fn what_is_owned_is_used_by_its_owner() {
    let sources = sources();
    for (library, owners) in OWNED {
        for owner in *owners {
            let used = sources.iter().any(|(path, text)| {
                layer_of(path) == *owner && text.lines().any(|line| names(line, library))
            });
            assert!(used, "{owner} owns {library} and does not use it");
        }
    }
}

/// The page in the browser is one way to the practice, the command line another; nothing below either knows it.
#[test]
fn only_the_command_line_opens_the_desk() {
    for (path, text) in sources() {
        if !["desk", "cli"].contains(&layer_of(&path).as_str()) {
            assert!(
                !text.contains("crate::desk"),
                "{} names the desk",
                path.display()
            );
        }
    }
}

#[test]
fn each_outside_library_stays_in_its_layer() {
    for (path, text) in sources() {
        let layer = layer_of(&path);
        for (library, owners) in OWNED {
            if owners.contains(&layer.as_str()) {
                continue;
            }
            let found = text
                .lines()
                .any(|line| !line.trim_start().starts_with("//") && names(line, library));
            assert!(
                !found,
                "{} names {library}, which belongs to {owners:?}",
                path.display()
            );
        }
    }
}

/// Whether a paper is a draft hangs on what was filled for it, so that nothing may be filled unrecorded.
#[test]
fn what_is_composed_is_filled_by_a_recorded_wording() {
    let mut read = 0;
    for (path, text) in sources() {
        if !["compose", "calendar"].contains(&layer_of(&path).as_str()) {
            continue;
        }
        read += 1;
        let names = text.split(|c: char| !c.is_alphanumeric() && c != '_');
        let code = names.filter(|name| *name == "Wording").count();
        assert_eq!(code, 0, "{} names Wording", path.display());
    }
    assert!(read > 10, "only {read} files were read");
}

#[test]
fn only_the_command_line_prints_and_exits() {
    for (path, text) in sources() {
        if ["cli", "main"].contains(&layer_of(&path).as_str()) {
            continue;
        }
        // an example in a comment may print
        let code: Vec<&str> = text
            .lines()
            .filter(|line| !line.trim_start().starts_with("//"))
            .collect();
        let text = code.join("\n");
        for forbidden in [
            "println!",
            "eprintln!",
            "process::exit",
            "std::env::",
            // the time of a file is no clock
            "SystemTime::now",
            "Instant::now",
            "ZonedDateTime::now",
        ] {
            assert!(
                !text.contains(forbidden),
                "{} has {forbidden}",
                path.display()
            );
        }
    }
}

#[test]
fn every_file_says_what_it_is_and_stays_readable() {
    for (path, text) in sources() {
        assert!(
            text.starts_with("//!"),
            "{} does not open with //!",
            path.display()
        );
        let lines = text.lines().count();
        assert!(lines <= 600, "{} has {lines} lines", path.display());
    }
}
