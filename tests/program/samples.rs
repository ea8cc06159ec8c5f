//! Turns every sample plan into papers and a check, as somebody trying the program would.
//!
//! Must not: write into `samples/`.

use std::os::unix::fs::PermissionsExt;
use std::path::Path;

use crate::support::samples::{clinic_beside, plans, shown, table};
use crate::support::{names_in, root, run};

fn must_be_refused(plan: &Path) -> bool {
    plan.ends_with("must-be-refused.toml")
}

#[test]
fn make_writes_the_papers_of_every_sample_and_nothing_else() {
    for plan in plans() {
        let (_, said) = table(&plan);
        let out = tempfile::tempdir().expect("a temporary folder");
        let shown = shown(&plan);
        let ran = run(
            root(),
            &["make", shown, "--out", out.path().to_str().expect("UTF-8")],
        );
        assert_eq!(
            ran.code,
            i32::from(must_be_refused(&plan)),
            "{shown}\n{}\n{}",
            ran.out,
            ran.err
        );
        assert_eq!(ran.err, "", "{shown}");

        let record = said["patient"]["record"].as_str().expect("a record");
        let date = said["visit"]["date"]
            .to_string()
            .trim_matches('"')
            .to_owned();
        let papers: &[&str] = if must_be_refused(&plan) {
            &["clinician.pdf"]
        } else {
            &[
                "aftercare.html",
                "aftercare.pdf",
                "calendar.ics",
                "clinician.pdf",
                "consent.pdf",
                "evidence.pdf",
                "information.html",
                "information.pdf",
            ]
        };
        let expected: Vec<String> = papers
            .iter()
            .map(|paper| format!("{record}-{date}-{paper}"))
            .collect();
        let mut all = expected.clone();
        all.push("register.jsonl".to_owned());
        assert_eq!(names_in(out.path()), all, "{shown}");
        for name in &expected {
            let path = out.path().join(name);
            assert!(
                ran.out.contains(&format!("wrote {} (", path.display())),
                "{shown}: {}",
                ran.out
            );
            let bytes = std::fs::read(&path).expect("the file was listed");
            let (head, tail): (&[u8], &[u8]) = if name.ends_with(".pdf") {
                (b"%PDF-1.", b"%%EOF")
            } else if name.ends_with(".html") {
                (b"<!doctype html>", b"</html>")
            } else {
                (b"BEGIN:VCALENDAR", b"END:VCALENDAR")
            };
            let whole = bytes.starts_with(head) && bytes.trim_ascii_end().ends_with(tail);
            assert!(whole, "{name}");
            let mode = path
                .metadata()
                .expect("the file was listed")
                .permissions()
                .mode();
            assert_eq!(mode & 0o777, 0o600, "{name} can be read by others");
        }
    }
}

#[test]
fn no_file_name_holds_a_part_of_the_patients_name() {
    for plan in plans() {
        let (_, said) = table(&plan);
        let out = tempfile::tempdir().expect("a temporary folder");
        run(
            root(),
            &[
                "make",
                shown(&plan),
                "--out",
                out.path().to_str().expect("UTF-8"),
            ],
        );
        let name = said["patient"]["name"]
            .as_str()
            .expect("a name")
            .to_lowercase();
        let parts: Vec<&str> = name
            .split(|c: char| !c.is_alphanumeric())
            .filter(|part| part.chars().count() > 2)
            .collect();
        assert!(parts.len() >= 2, "{name}");
        let files = names_in(out.path());
        assert!(!files.is_empty(), "{}", plan.display());
        for file in files {
            let file = file.to_lowercase();
            assert!(
                parts.iter().all(|part| !file.contains(part)),
                "{file} names {name}"
            );
        }
    }
}

#[test]
fn check_says_the_same_as_make_and_writes_nothing() {
    for plan in plans() {
        let here = tempfile::tempdir().expect("a temporary folder");
        let full = root().join(&plan);
        let ran = run(here.path(), &["check", full.to_str().expect("UTF-8")]);
        assert_eq!(
            ran.code,
            i32::from(must_be_refused(&plan)),
            "{}\n{}\n{}",
            plan.display(),
            ran.out,
            ran.err
        );
        assert_eq!(ran.err, "", "{}", plan.display());
        assert!(!ran.out.contains("MISSING"), "{}", ran.out);
        assert_eq!(
            ran.out.contains("\nStopped:"),
            must_be_refused(&plan),
            "{}",
            ran.out
        );
        assert_eq!(
            names_in(here.path()),
            Vec::<String>::new(),
            "{}",
            plan.display()
        );
    }
}

#[test]
fn every_sample_is_marked_as_invented_in_the_file_and_in_the_name() {
    for plan in plans() {
        let (text, said) = table(&plan);
        assert!(
            ["invented", "inventado", "inventada"]
                .iter()
                .any(|word| text.to_lowercase().contains(word)),
            "{}",
            plan.display()
        );
        // in the language of the clinic
        let is_marked = |name: &str| {
            ["(invented)", "(inventado)", "(inventada)"]
                .iter()
                .any(|mark| name.ends_with(mark))
        };
        let name = said["patient"]["name"].as_str().expect("a name");
        assert!(is_marked(name), "{}: {name}", plan.display());
        let (_, clinic) = table(&clinic_beside(&plan));
        let clinic_name = clinic["clinic"]["name"].as_str().expect("a name");
        assert!(is_marked(clinic_name), "{clinic_name}");
        for person in clinic["practitioner"].as_array().expect("practitioners") {
            let name = person["name"].as_str().expect("a name");
            assert!(is_marked(name), "{name}");
        }
    }
}

#[test]
fn check_of_the_news_reader() {
    let ran = run(root(), &["check", "samples/linden-court/news-reader.toml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    insta::assert_snapshot!(ran.out);
}

#[test]
fn make_of_the_plan_that_must_be_refused() {
    let out = tempfile::tempdir().expect("a temporary folder");
    let folder = out.path().to_str().expect("UTF-8");
    let ran = run(
        root(),
        &[
            "make",
            "samples/linden-court/must-be-refused.toml",
            "--out",
            folder,
        ],
    );
    assert_eq!(ran.code, 1, "{}", ran.err);
    insta::assert_snapshot!(ran.out.replace(folder, "OUT"));
}
