//! Turns the README and the guide into a run of every command and file they show, in a copy of the samples.
//!
//! Invariant: blocks run top to bottom in one folder, as a reader would; `cargo run --` is the program that was built.
//! Must not: run `cargo test`, fetch anything, or write into the repository.

use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Command, Stdio};

use crate::support::{self, names_in, put, root};
use beforehand::PaperKind;
use beforehand::catalogue::Catalogue;
use beforehand::diagnose::{Format, SourceFile, Style, render};
use beforehand::papers::vocabulary;
use beforehand::plan::{read_clinic, read_plan};

const README: &str = "README.md";
/// What is written for users, from short to long.
const PAGES: [&str; 2] = [README, "samples/guide.md"];

fn page(name: &str) -> String {
    std::fs::read_to_string(root().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// A fenced block: its language, its line on the page, its text.
struct Fenced {
    language: String,
    line: usize,
    text: String,
}

fn blocks(page: &str) -> Vec<Fenced> {
    let mut found: Vec<Fenced> = Vec::new();
    let mut inside = false;
    for (index, line) in page.lines().enumerate() {
        if let Some(language) = line.trim_start().strip_prefix("```") {
            if !inside {
                found.push(Fenced {
                    language: language.trim().to_owned(),
                    line: index + 1,
                    text: String::new(),
                });
            }
            inside = !inside;
        } else if inside {
            let block = found.last_mut().expect("a block was opened");
            block.text.push_str(line);
            block.text.push('\n');
        }
    }
    assert!(!inside, "a block is never closed");
    found
}

/// Commands of a block with the output that is shown below each, and the line of each on the page.
fn commands(block: &Fenced) -> Vec<(usize, String, Vec<String>)> {
    let prompts = block.language == "console";
    let mut found: Vec<(usize, String, Vec<String>)> = Vec::new();
    let mut goes_on = false;
    for (index, line) in block.text.lines().enumerate() {
        let command = if prompts {
            line.strip_prefix("$ ")
        } else {
            Some(line)
        };
        match command {
            _ if goes_on => found
                .last_mut()
                .expect("a command goes on")
                .1
                .push_str(&format!("\n{line}")),
            Some(command) if command.trim().is_empty() || command.trim_start().starts_with('#') => {
            }
            Some(command) => found.push((block.line + 1 + index, command.to_owned(), Vec::new())),
            None => {
                if let Some(last) = found.last_mut() {
                    last.2.push(line.trim_end().to_owned());
                }
            }
        }
        goes_on = (goes_on || command.is_some()) && line.ends_with('\\');
    }
    found
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir(to).expect("a temporary folder");
    for name in names_in(from) {
        let (from, to) = (from.join(&name), to.join(&name));
        if from.is_dir() {
            copy(&from, &to)
        } else {
            std::fs::copy(&from, &to)
                .map(drop)
                .expect("a sample can be copied")
        }
    }
}

/// A folder with the samples, and programs that stand in for cargo and git.
fn workplace() -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a temporary folder");
    copy(&root().join("samples"), &place.path().join("samples"));
    let programs = place.path().join(".programs");
    std::fs::create_dir(&programs).expect("a temporary folder");
    let binary = env!("CARGO_BIN_EXE_beforehand");
    std::os::unix::fs::symlink(binary, programs.join("beforehand")).expect("a temporary folder");
    let cargo = format!(
        "#!/bin/sh\n[ \"$1\" = run ] || exit 0\nwhile [ $# -gt 0 ] && [ \"$1\" != -- ]; do shift; done\n\
         [ $# -gt 0 ] && shift\nexec '{binary}' \"$@\"\n"
    );
    for (name, text) in [("cargo", cargo.as_str()), ("git", "#!/bin/sh\nexit 0\n")] {
        let path = put(&programs, name, text);
        std::fs::set_permissions(path, PermissionsExt::from_mode(0o755)).expect("our own file");
    }
    place
}

#[test]
fn every_command_of_the_readme_and_the_guide_does_what_it_says() {
    for name in PAGES {
        runs_as_it_says(name);
    }
}

/// Runs the commands of one page, top to bottom in one folder.
fn runs_as_it_says(name: &str) {
    let text = page(name);
    let place = workplace();
    let path = format!(
        "{}:{}",
        place.path().join(".programs").display(),
        std::env::var("PATH").unwrap_or_else(|_| "/usr/bin:/bin".to_owned())
    );
    let mut of_the_program = 0;
    for block in blocks(&text)
        .iter()
        .filter(|b| b.language == "sh" || b.language == "console")
    {
        for (line, command, shown) in commands(block) {
            // going into the clone is where we are; what the continuous integration runs is not run inside itself
            let skipped = ["cd ", "git clone", ".ci/", "./.ci/", "tests/", "./tests/"];
            if skipped
                .iter()
                .any(|start| command.trim_start().starts_with(start))
            {
                continue;
            }
            of_the_program +=
                usize::from(command.contains("cargo run") || command.contains("beforehand "));
            let output = Command::new("sh")
                .args(["-c", &command])
                .current_dir(place.path())
                .env("PATH", &path)
                .stdin(Stdio::null())
                .output()
                .expect("a shell");
            let said = format!(
                "{}{}",
                String::from_utf8_lossy(&output.stdout),
                String::from_utf8_lossy(&output.stderr)
            );
            // a command that is meant to be refused says so in a comment: `# exit 1`
            let wanted = command
                .rsplit_once("# exit ")
                .and_then(|(_, code)| code.trim().parse().ok())
                .unwrap_or(0);
            assert_eq!(
                output.status.code(),
                Some(wanted),
                "{name}:{line}: {command}\n{said}"
            );
            let mut rest = said.as_str();
            for wanted in shown
                .iter()
                .filter(|l| !l.is_empty() && !["…", "..."].contains(&l.trim()))
            {
                let Some((_, after)) = rest.split_once(wanted.as_str()) else {
                    panic!("{name}:{line}: {command}\ndoes not print\n{wanted}\nbut\n{said}");
                };
                rest = after;
            }
        }
    }
    assert!(
        of_the_program >= 2,
        "{name} shows two commands of the program at least, found {of_the_program}"
    );
}

#[test]
fn the_first_command_makes_every_paper() {
    let readme = page(README);
    let (line, command, _) = blocks(&readme)
        .iter()
        .filter(|b| b.language == "sh" || b.language == "console")
        .flat_map(commands)
        .find(|(_, command, _)| command.contains(" make "))
        .expect("README.md shows `make`");
    let place = workplace();
    let out = command
        .split_whitespace()
        .skip_while(|word| *word != "--out")
        .nth(1);
    let out = place.path().join(out.unwrap_or("."));
    let status = Command::new("sh")
        .args(["-c", &command])
        .current_dir(place.path())
        .env(
            "PATH",
            format!("{}:/usr/bin:/bin", place.path().join(".programs").display()),
        )
        .output()
        .expect("a shell")
        .status;
    assert!(status.success(), "README.md:{line}: {command}");
    let papers: Vec<String> = names_in(&out)
        .into_iter()
        .filter(|name| name.ends_with(".pdf"))
        .collect();
    assert_eq!(papers.len(), PaperKind::ALL.len(), "{papers:?}");
    for kind in PaperKind::ALL {
        let ending = format!("-{kind}.pdf");
        assert!(papers.iter().any(|name| name.ends_with(&ending)));
        // the README says what to open
        assert!(readme.contains(&ending), "README.md does not name {ending}");
    }
}

#[test]
fn every_toml_block_is_a_plan_or_a_clinic() {
    for name in PAGES {
        holds_plans_and_clinics(name);
    }
}

fn holds_plans_and_clinics(name: &str) {
    let text = page(name);
    let vocabulary = vocabulary(Catalogue::embedded());
    let blocks = blocks(&text);
    let toml: Vec<&Fenced> = blocks.iter().filter(|b| b.language == "toml").collect();
    assert!(!toml.is_empty(), "{name} shows no plan");
    let source = |name: &str, text: &str| {
        SourceFile::from_bytes(name, text.as_bytes(), Format::Toml)
            .unwrap_or_else(|error| panic!("{name}: {error:?}"))
    };
    let is_clinic = |block: &Fenced| {
        block
            .text
            .parse::<toml::Table>()
            .unwrap_or_else(|e| panic!("{name}:{}: {e}", block.line))
            .contains_key("clinic")
    };
    let mut clinics = Vec::new();
    for block in toml.iter().filter(|block| is_clinic(block)) {
        let file = source(&format!("{name}:{}", block.line), &block.text);
        match read_clinic(&file, &vocabulary) {
            Ok(clinic) => clinics.push(clinic),
            Err(found) => panic!("{}", render(&found, &file, Style::Plain)),
        }
    }
    // plans belong to the clinic that is shown first
    let clinic = clinics
        .first()
        .unwrap_or_else(|| panic!("{name} shows no clinic"));
    for block in toml.iter().filter(|block| !is_clinic(block)) {
        let file = source(&format!("{name}:{}", block.line), &block.text);
        if let Err(found) = read_plan(&file, &vocabulary, Some(clinic)) {
            panic!("{}", render(&found, &file, Style::Plain));
        }
    }
}

#[test]
fn the_mistake_the_readme_shows_is_what_the_program_says() {
    let readme = page(README);
    let shown: Vec<Fenced> = blocks(&readme)
        .into_iter()
        .filter(|block| block.text.starts_with("error["))
        .collect();
    for block in shown {
        // the line with the mistake follows the line number and a bar: `16 | id = "maseter"`
        let mistake = block
            .text
            .lines()
            .find_map(|line| {
                line.split_once(" | ")
                    .filter(|(number, _)| number.trim().parse::<u32>().is_ok())
            })
            .map(|(_, line)| line.trim())
            .expect("the line with the mistake is shown");
        let folder = support::desk();
        let plan = support::Plan::default()
            .toml()
            .replace("id = \"masseter\"", mistake);
        assert!(
            plan.contains(mistake),
            "README.md:{}: another mistake than a wrong area",
            block.line
        );
        put(folder.path(), "tomorrow.toml", plan);
        let ran = support::run(folder.path(), &["make", "tomorrow.toml"]);
        assert_eq!(ran.code, 1);
        // line numbers and the room they take depend on the file around the mistake
        let plain = |text: &str| -> Vec<String> {
            text.lines()
                .map(|line| {
                    line.chars()
                        .filter(|c| !c.is_ascii_digit() && *c != ' ')
                        .collect()
                })
                .collect()
        };
        let said = plain(&ran.err);
        for line in plain(&block.text) {
            assert!(
                said.contains(&line),
                "README.md:{}: not what is said:\n{}",
                block.line,
                ran.err
            );
        }
    }
}

/// The name by which a link finds a heading.
fn anchor(heading: &str) -> String {
    heading
        .trim_start_matches('#')
        .trim()
        .to_lowercase()
        .chars()
        .filter(|c| c.is_alphanumeric() || "-_ ".contains(*c))
        .map(|c| if c == ' ' { '-' } else { c })
        .collect()
}

#[test]
fn every_link_leads_somewhere() {
    for name in PAGES {
        let from = root().join(name);
        for piece in page(name).split("](").skip(1) {
            let link = piece.split([')', ' ']).next().unwrap_or_default();
            if link.contains("://") {
                continue;
            }
            let (file, place) = link.split_once('#').unwrap_or((link, ""));
            let target = match file {
                "" => from.clone(),
                file => from.with_file_name(file),
            };
            assert!(target.exists(), "{name} points at {link}: no such file");
            if !place.is_empty() {
                let text = std::fs::read_to_string(&target).expect("a page of text");
                let found = text
                    .lines()
                    .filter(|line| line.starts_with('#'))
                    .any(|line| anchor(line) == place);
                assert!(found, "{name} points at {link}: no such heading");
            }
        }
    }
}

#[test]
fn every_command_that_is_named_is_one() {
    let mut named = 0;
    for name in PAGES {
        for piece in page(name).split("`beforehand ").skip(1) {
            let words = piece.split('`').next().unwrap_or_default();
            // what is in capitals or brackets stands for something else
            let command: Vec<&str> = words
                .split_whitespace()
                .take_while(|word| word.chars().all(|c| c.is_ascii_lowercase()))
                .collect();
            if command.is_empty() {
                continue;
            }
            let mut arguments = vec!["help"];
            // `schema plan` has a choice of files, not commands
            arguments.extend(&command[..command.len().min(2)]);
            if command[0] != "wording" {
                arguments.truncate(2);
            }
            let ran = support::run(root(), &arguments);
            assert_eq!(ran.code, 0, "{name}: beforehand {words}: {}", ran.err);
            named += 1;
        }
    }
    assert!(named >= 14, "{named} commands are named");
}
