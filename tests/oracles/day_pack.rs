//! The file to print of a day: page by page the papers it is made of, each on a front, with a slip that names everybody.
//!
//! Must not: pass in CI when the readers are missing.

use std::path::Path;

use serde_json::Value;

use crate::support::{referee, root};

const DATE: &str = "2026-12-03";

fn beforehand(arguments: &[&str]) -> Value {
    let ran = std::process::Command::new(env!("CARGO_BIN_EXE_beforehand"))
        .args(arguments)
        .current_dir(root())
        .output()
        .expect("the program was built");
    serde_json::from_slice(&ran.stdout).expect("JSON")
}

/// The day of the README: its pack, and what the program says of it.
fn packed(folder: &Path, copies: &str) -> Value {
    let papers = folder.join("papers");
    let pack = folder.join("pack.pdf");
    beforehand(&[
        "day",
        "samples/bjorkviken/thursday",
        "--date",
        DATE,
        "--format",
        "json",
        "--out",
        papers.to_str().expect("UTF-8"),
        "--pack",
        pack.to_str().expect("UTF-8"),
        "--copies",
        copies,
    ])
}

/// The papers of a pack as the list has them: by visit, and of each visit in this order.
fn listed(day: &Value) -> Vec<(String, u64)> {
    let order = [
        "clinician",
        "evidence",
        "information",
        "consent",
        "aftercare",
    ];
    let mut list = Vec::new();
    for visit in day["visits"].as_array().expect("a list") {
        let papers = visit["papers"].as_array().expect("a list");
        for kind in order {
            for paper in papers.iter().filter(|paper| paper["paper"] == kind) {
                let file = Path::new(paper["file"].as_str().expect("a file"));
                let name = file.file_name().and_then(|n| n.to_str()).expect("a name");
                let copies = paper["copies"].as_u64().expect("a number");
                if copies > 0 {
                    list.push((name.to_owned(), copies));
                }
            }
        }
    }
    list
}

#[test]
fn a_pack_is_its_papers_page_by_page() {
    let Some(python) = referee::python("pypdfium2, pikepdf") else {
        return;
    };
    for (copies, visits) in [
        ("consent=2", 3),
        ("consent=1,information=1,aftercare=3,clinician=0", 3),
        ("consent=0,aftercare=0,evidence=1", 3),
    ] {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let day = packed(folder.path(), copies);
        let list = listed(&day);
        assert!(!list.is_empty());
        let mut reader = referee::script(&python, "pack.py");
        reader
            .arg(folder.path().join("pack.pdf"))
            .arg(folder.path().join("papers"));
        let judged = referee::judged(&mut reader, &serde_json::to_string(&list).expect("JSON"));
        assert!(
            judged.status.success(),
            "{copies}: {}",
            referee::said(&judged)
        );
        let read: Value = serde_json::from_slice(&judged.stdout).expect("one line of JSON");
        assert_eq!(read["pages"], day["pack"]["pages"], "{copies}");
        assert_eq!(day["pack"]["visits"], visits, "{copies}");
        // everybody stands on the slip, printed or not
        let slip: String = read["slip"]
            .as_str()
            .expect("text")
            .split_whitespace()
            .collect();
        for visit in day["visits"].as_array().expect("a list") {
            let record = visit["record"].as_str().expect("a record");
            assert_eq!(slip.matches(record).count(), 1, "{copies}: {record}");
        }
    }
}

/// The reader sees what it is there for: papers in another order, a copy too few, a paper of somebody else.
#[test]
fn a_pack_of_other_papers_is_noticed() {
    let Some(python) = referee::python("pypdfium2, pikepdf") else {
        return;
    };
    let folder = tempfile::tempdir().expect("a temporary folder");
    let day = packed(folder.path(), "consent=2");
    let list = listed(&day);
    let mut swapped = list.clone();
    swapped.swap(1, 2);
    let mut fewer = list.clone();
    fewer[1].1 = 1;
    let mut others = list.clone();
    others[1].0 = others[4].0.clone();
    for (what, list) in [("swapped", swapped), ("fewer", fewer), ("others", others)] {
        let mut reader = referee::script(&python, "pack.py");
        reader
            .arg(folder.path().join("pack.pdf"))
            .arg(folder.path().join("papers"));
        let judged = referee::judged(&mut reader, &serde_json::to_string(&list).expect("JSON"));
        assert!(!judged.status.success(), "{what}");
    }
}
