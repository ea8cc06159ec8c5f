//! Every sample paper carries its record, says its code on every page, and is known again; a changed one is not.

use std::path::Path;
use std::process::Command;

use beforehand::record::{self, Record};
use beforehand::typeset::Typesetter;

use super::{CONSENT, lines, made, trace};
use crate::support::{Plan, has_tool, laid_out, names_in, put, read_back, root, run, samples};

fn record_of(pdf: &Path) -> Record {
    let bytes = std::fs::read(pdf).expect("a paper");
    record::read(&bytes).unwrap_or_else(|error| panic!("{}: {error}", pdf.display()))
}

/// What stands in the metadata: the XMP packet and the information dictionary.
fn metadata(pdf: &Path) -> String {
    let text = String::from_utf8_lossy(&std::fs::read(pdf).expect("a paper")).into_owned();
    let packet = text.find("<?xpacket begin").expect("a packet");
    let end = text.find("<?xpacket end").expect("its end");
    let keywords = text.find("/Keywords(").expect("keywords");
    let object = keywords + text[keywords..].find("endobj").expect("its end");
    format!("{}{}", &text[packet..end], &text[keywords..object])
}

#[test]
fn every_sample_paper_is_known_again() {
    for file in samples::plans() {
        let out = tempfile::tempdir().expect("a temporary folder");
        let folder = out.path().to_str().expect("UTF-8");
        let plan = samples::shown(&file);
        run(root(), &["make", plan, "--out", folder]);
        let (_, table) = samples::table(&file);
        let patient = &table["patient"];
        let born = patient["born"].to_string();
        let mut personal = vec![
            patient["record"].as_str().expect("a record").to_owned(),
            born.trim_matches('"').to_owned(),
        ];
        let name = patient["name"].as_str().expect("a name");
        let parts = name.split(|c: char| !c.is_alphanumeric());
        personal.extend(
            parts
                .filter(|part| part.chars().count() > 2 && *part != "invented")
                .map(str::to_owned),
        );

        let papers: Vec<String> = names_in(out.path())
            .into_iter()
            .filter(|name| name.ends_with(".pdf"))
            .collect();
        assert!(!papers.is_empty(), "{plan}");
        // pages for a telephone are noted too
        let pages = names_in(out.path()).into_iter();
        let pages = pages.filter(|name| name.ends_with(".html")).count();
        assert_eq!(
            lines(&out.path().join("register.jsonl")).len(),
            papers.len() + pages
        );
        for paper in &papers {
            // a clinic's own words are known only with its own folder
            let clinic = root().join(samples::clinic_beside(&file));
            let asked = [paper, "--clinic", clinic.to_str().expect("UTF-8")];
            let own = std::fs::read_to_string(&clinic).is_ok_and(|text| text.contains("overlay"));
            let (code, report) = trace(out.path(), if own { &asked } else { &asked[..1] });
            assert_eq!(code, 0, "{report:#}");
            assert_eq!(report["bytes"], "as-made", "{paper}");
            assert_eq!(report["today"]["changed"], serde_json::json!([]));
            let kind = paper.trim_end_matches(".pdf").rsplit('-').next();
            assert_eq!(report["record"]["paper"].as_str(), kind);

            let pdf = out.path().join(paper);
            let metadata = metadata(&pdf);
            for word in &personal {
                assert!(!metadata.contains(word.as_str()), "{paper}: {word}");
            }
            let record = record_of(&pdf);
            // PDF/A-2 (ISO 19005-2, 6.1.13) allows 32767 bytes in a string; room is left for a larger library
            assert!(record.line().len() < 20_000, "{}", record.line().len());
            let shown = report["code"].as_str().expect("a code");
            assert_eq!(record.code().to_string(), shown);
            let mut asked = vec!["--code", shown];
            if own {
                asked.extend(["--clinic", clinic.to_str().expect("UTF-8")]);
            }
            let (code, by_code) = trace(out.path(), &asked);
            assert_eq!(code, 0, "{by_code:#}");
            assert_eq!(by_code["record"], report["record"]);
            assert_eq!(by_code["register"][0]["file"], paper.as_str());
            if let Some(pages) = read_back(&pdf) {
                for (number, page) in pages.iter().enumerate() {
                    assert!(page.contains(shown), "{paper}, page {}", number + 1);
                }
            }
        }
    }
}

#[test]
fn the_record_holds_every_required_statement_with_the_digest_of_its_words() {
    laid_out(&Plan::default().toml(), &Typesetter::embedded(), |papers| {
        let mut checked = 0;
        for made in &papers.papers {
            let pdf = made.pages.pdf().expect("a PDF");
            let record = record::read(&pdf).expect("a record");
            assert_eq!(record, made.record);
            let kept: Vec<&str> = record.statements.keys().map(String::as_str).collect();
            let required = papers.selection.required(made.kind);
            let required: Vec<&str> = required.into_iter().map(|id| id.as_str()).collect();
            assert_eq!(kept, required);
            for statement in papers
                .selection
                .statements
                .iter()
                .filter(|statement| statement.paper == made.kind)
            {
                let words = &papers.wording.statements()[statement.id.wording()];
                assert_eq!(
                    record.statements[statement.id.as_str()],
                    beforehand::wording::library::digest(words)
                );
                checked += 1;
            }
        }
        assert!(checked > 60, "{checked}");
    });
}

#[test]
fn another_patient_plan_clinic_or_paper_has_another_code() {
    let of = |plan: &Plan| -> Vec<String> {
        laid_out(&plan.toml(), &Typesetter::embedded(), |papers| {
            papers
                .papers
                .iter()
                .map(|made| made.record.code().to_string())
                .collect()
        })
    };
    let mut codes = Vec::new();
    for plan in [
        Plan::default(),
        Plan::named("Otto Brambling (invented)"),
        Plan {
            record: "INV-2".to_owned(),
            ..Plan::default()
        },
        Plan {
            date: "2026-12-04".to_owned(),
            ..Plan::default()
        },
        Plan {
            batch: "INVENTED-8".to_owned(),
            ..Plan::default()
        },
    ] {
        let again = of(&plan);
        assert_eq!(again, of(&plan), "the same plan has the same codes");
        codes.extend(again);
    }
    let count = codes.len();
    codes.sort();
    codes.dedup();
    assert_eq!((codes.len(), count), (25, 25), "{codes:?}");

    // a paper that differs only in the clinic's telephone
    let desk = made();
    let clinic = std::fs::read_to_string(desk.path().join("clinic.toml")).expect("a clinic");
    put(
        desk.path(),
        "clinic.toml",
        clinic.replace("960 101", "960 102"),
    );
    let ran = run(desk.path(), &["make", "plan.toml", "--out", "other"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let code = |folder: &str| record_of(&desk.path().join(folder).join(CONSENT)).code();
    assert_ne!(code("papers"), code("other"));
    // comments and the order of keys are not what a plan says
    let plan = |folder: &str| record_of(&desk.path().join(folder).join(CONSENT)).plan;
    let toml = format!("# another comment\n{}", Plan::default().toml());
    put(desk.path(), "plan.toml", toml);
    run(desk.path(), &["make", "plan.toml", "--out", "third"]);
    assert_eq!(plan("papers"), plan("third"));
}

#[test]
fn a_changed_byte_is_noticed_wherever_it_is() {
    let desk = made();
    let path = desk.path().join("papers").join(CONSENT);
    let bytes = std::fs::read(&path).expect("a paper");
    let step = bytes.len() / 12;
    let mut verdicts = std::collections::BTreeSet::new();
    let places = (0..bytes.len()).step_by(step).chain([bytes.len() - 1]);
    for at in places {
        let mut other = bytes.clone();
        other[at] ^= 1;
        std::fs::write(&path, &other).expect("our own folder");
        let (code, report) = trace(desk.path(), &[&format!("papers/{CONSENT}")]);
        assert_eq!(code, 1, "byte {at}: {report:#}");
        assert_ne!(report["bytes"], "as-made", "byte {at}");
        verdicts.insert(report["bytes"].to_string());
    }
    assert!(verdicts.contains("\"changed\""), "{verdicts:?}");
    for (what, other) in [
        ("longer", [bytes.as_slice(), b"\n"].concat()),
        ("shorter", bytes[..bytes.len() - 1].to_vec()),
    ] {
        std::fs::write(&path, &other).expect("our own folder");
        let (code, report) = trace(desk.path(), &[&format!("papers/{CONSENT}")]);
        assert_eq!((code, &report["bytes"]), (1, &"changed".into()), "{what}");
    }
    std::fs::write(&path, &bytes).expect("our own folder");
    let (code, report) = trace(desk.path(), &[&format!("papers/{CONSENT}")]);
    assert_eq!((code, &report["bytes"]), (0, &"as-made".into()));
}

#[test]
fn an_altered_record_is_not_taken_for_the_paper() {
    let desk = made();
    let path = desk.path().join("papers").join(CONSENT);
    let bytes = std::fs::read(&path).expect("a paper");
    // the day in the record, in both places, by one of the same length
    let mut altered = bytes.clone();
    let mut done = 0;
    for at in 0..altered.len() - 10 {
        if &altered[at..at + 10] == b"2026-11-26" {
            altered[at..at + 10].copy_from_slice(b"2025-11-26");
            done += 1;
        }
    }
    assert!(done >= 2, "{done}");
    std::fs::write(&path, altered).expect("our own folder");
    let (code, report) = trace(desk.path(), &[&format!("papers/{CONSENT}")]);
    assert_eq!(code, 1);
    assert_eq!(report["record"]["made_on"], "2025-11-26");
    assert_eq!(report["bytes"], "other-of-this-name", "{report:#}");
}

#[test]
fn without_an_entry_it_says_that_it_cannot_tell() {
    let desk = made();
    let path = format!("papers/{CONSENT}");
    std::fs::remove_file(desk.path().join("papers/register.jsonl")).expect("it was written");
    let (code, report) = trace(desk.path(), &[&path]);
    assert_eq!((code, &report["bytes"]), (1, &"no-register".into()));
    put(desk.path(), "papers/register.jsonl", "# begun anew\n");
    let (code, report) = trace(desk.path(), &[&path]);
    assert_eq!((code, &report["bytes"]), (1, &"not-in-register".into()));
    // a register that was asked for must be there
    let ran = run(
        desk.path(),
        &["trace", &path, "--register", "nowhere.jsonl"],
    );
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(ran.err.contains("nowhere.jsonl"), "{}", ran.err);
}

#[test]
fn a_paper_another_program_wrote_anew_keeps_its_record_but_is_changed() {
    if !has_tool("qpdf") {
        return;
    }
    let desk = made();
    let papers = desk.path().join("papers");
    let before = record_of(&papers.join(CONSENT));
    for (n, options) in [
        vec!["--linearize"],
        vec!["--qdf", "--object-streams=disable"],
        vec!["--object-streams=generate", "--compress-streams=y"],
    ]
    .iter()
    .enumerate()
    {
        let other = format!("copy-{n}.pdf");
        let status = Command::new("qpdf")
            .args(options)
            .args([papers.join(CONSENT), papers.join(&other)])
            .status()
            .expect("qpdf runs");
        assert!(status.success());
        let (code, report) = trace(&papers, &[&other]);
        assert_eq!(
            (code, &report["bytes"]),
            (1, &"changed".into()),
            "{options:?}"
        );
        assert_eq!(record_of(&papers.join(&other)), before, "{options:?}");
    }
}

#[test]
fn whatever_changes_in_a_plan_changes_its_digest() {
    let plain = Plan {
        facts: "singing = true\nfacial_palsy = \"left\"".to_owned(),
        ..Plan::default()
    }
    .toml()
        + "\n[[history]]\ndate = 2026-06-01\nproduct = \"onabotulinumtoxinA\"\nunits = 40\nareas = [\"masseter\"]\n";
    let digest = |toml: &str| {
        laid_out(toml, &Typesetter::embedded(), |papers| {
            papers.papers[0].record.plan.clone()
        })
    };
    let mut seen = std::collections::BTreeMap::from([(digest(&plain), "the plan itself")]);
    for (old, new) in [
        ("Thea Quillfeather", "Thea Quillfeathers"),
        ("1984-02-11", "1984-02-12"),
        ("INV-1\"", "INV-3\""),
        ("singing = true", "singing = false"),
        ("singing = true\n", ""),
        ("\"left\"", "\"right\""),
        ("date = 2026-12-03", "date = 2026-12-02"),
        ("time = 14:30", "time = 14:31"),
        ("time = 14:30\n", ""),
        ("informed_on = 2026-11-26", "informed_on = 2026-11-25"),
        ("practitioner = ", "revision = 2\npractitioner = "),
        ("INVENTED-9", "INVENTED-8"),
        ("batch = ", "vial_units = 100\nbatch = "),
        ("batch = ", "diluent_ml = 2.5\nbatch = "),
        ("units = 50", "units = 51"),
        ("units = 50", "units = 25\nper = \"side\""),
        ("units = 50", "units = 50\npoints = 6"),
        ("units = 50", "units = 50\nround = 2"),
        ("units = 50", "units = 50\nprevious = 2026-06-01"),
        ("units = 50", "units = 50\nlast_time = \"It went well.\""),
        ("units = 50", "units = 50\nstance = \"neutral\""),
        ("units = 50", "units = 50\nreason = \"appearance\""),
        ("side = \"both\"", "side = \"left\""),
        ("a slimmer jaw line", "a slimmer jaw"),
        ("date = 2026-12-19", "date = 2026-12-20"),
        ("a walk in the hills", "a walk in the hill"),
        ("\"chewing\", ", ""),
        ("date = 2026-06-01", "date = 2026-06-02"),
        ("units = 40", "units = 41"),
        ("areas = [\"masseter\"]", "areas = [\"platysma\"]"),
    ] {
        assert!(plain.contains(old), "{old}");
        let changed = plain.replacen(old, new, 1);
        if let Some(other) = seen.insert(digest(&changed), new) {
            panic!("{new:?} has the digest of {other:?}");
        }
    }
    // and what is no part of what it says does not
    for (old, new) in [
        ("units = 50", "units = 50.0"),
        ("units = 50", "units  =  50 # so many"),
    ] {
        let same = digest(&plain.replacen(old, new, 1));
        assert_eq!(seen.get(&same), Some(&"the plan itself"), "{new}");
    }
}
