//! What the front desk reads, and what it is told when there is nothing to print.

use super::{DATE, day, folder, put_ready, ready, sample, sample_plan, visits};
use crate::support::{names_in, put, root, run};

/// Nothing clinical is on the list: no area, no product, no dose, no fact, no caution.
#[test]
fn the_sample_day_is_listed_by_time_and_says_nothing_clinical() {
    let ran = run(
        root(),
        &["day", "samples/bjorkviken/thursday", "--date", DATE],
    );
    assert_eq!(ran.code, 1, "{}", ran.err);
    insta::assert_snapshot!(ran.out);
    // the patient's own words and the slips of a file are for whoever mends it, on the other stream
    for clinical in [
        "glabella", "Frown", "toxin", "units", "pregnan", "lid", "50",
    ] {
        assert!(!ran.out.contains(clinical), "{clinical} is on the list");
    }
    assert!(ran.err.contains("renn.toml"), "{}", ran.err);
}

#[test]
fn a_pack_has_the_ready_ones_and_a_list_says_so_to_programs() {
    let papers = tempfile::tempdir().expect("a temporary folder");
    let (out, pack) = (papers.path().join("papers"), papers.path().join("pack.pdf"));
    let out = out.to_str().expect("UTF-8");
    let arguments = ["--out", out, "--pack", pack.to_str().expect("UTF-8")];
    let visits = visits(&sample(), &arguments);
    for visit in &visits {
        let ready = visit["state"] == "ready";
        let papers = visit["papers"].as_array().expect("a list");
        assert_eq!(!papers.is_empty(), ready, "{visit}");
        for paper in papers {
            let file = paper["file"].as_str().expect("a file");
            assert!(std::fs::metadata(file).is_ok(), "{file}");
        }
    }
    assert_eq!(visits.iter().filter(|v| v["state"] == "ready").count(), 3);
    assert!(pack.is_file());
    // a stopped visit leaves nothing behind, not even its stop sheet: the practitioner makes that
    assert!(
        !names_in(std::path::Path::new(out))
            .iter()
            .any(|name| name.contains("BV-141"))
    );
}

#[test]
fn a_day_without_visits_says_what_to_look_at() {
    let empty = folder();
    let ran = day(empty.path(), &[]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("holds no plan"), "{}", ran.err);

    let other = folder();
    put(
        other.path(),
        "plan.toml",
        ready(1).replace(DATE, "2026-12-04"),
    );
    let ran = day(other.path(), &[]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("1 plan of another day"), "{}", ran.err);
    assert!(ran.err.contains("--date"), "{}", ran.err);
}

#[test]
fn a_folder_without_a_clinic_file_says_where_one_is() {
    let folder = folder();
    std::fs::create_dir(folder.path().join("plans")).expect("a folder");
    put(&folder.path().join("plans"), "plan.toml", ready(1));
    let ran = run(folder.path(), &["day", "plans", "--date", DATE]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("--clinic"), "{}", ran.err);
    let ran = run(
        folder.path(),
        &["day", "plans", "--date", DATE, "--clinic", "clinic.toml"],
    );
    assert_eq!(ran.code, 0, "{}", ran.err);

    std::fs::remove_file(folder.path().join("clinic.toml")).expect("it was there");
    let ran = run(folder.path(), &["day", "plans", "--date", DATE]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("clinic.toml"), "{}", ran.err);
    let ran = run(folder.path(), &["day", "nowhere", "--date", DATE]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("not a folder"), "{}", ran.err);
}

/// A plan that names people of another clinic is a mistake of that file, and holds nobody up.
#[test]
fn a_plan_of_another_clinic_is_a_mistake_in_that_file() {
    let folder = folder();
    put(folder.path(), "ours.toml", ready(1));
    put(
        folder.path(),
        "theirs.toml",
        ready(2).replace("e-lind", "m-varga"),
    );
    let visits = visits(folder.path(), &[]);
    let states: Vec<&str> = visits.iter().filter_map(|v| v["state"].as_str()).collect();
    assert_eq!(states, ["ready", "mistakes"]);
}

#[test]
fn what_is_no_plan_is_passed_over_and_what_cannot_be_read_is_not() {
    let folder = folder();
    put(folder.path(), "ready.toml", ready(1));
    put(folder.path(), "settings.toml", "colour = \"blue\"\n");
    put(folder.path(), "list.json", "[1, 2]");
    put(folder.path(), "notes.txt", "not a plan");
    put(folder.path(), ".hidden.toml", ready(2));
    put(folder.path(), "broken.toml", "[patient\nname = ");
    put(folder.path(), "bytes.toml", [0xff, 0xfe, 0x00]);
    let visits = visits(folder.path(), &[]);
    let mut named: Vec<(String, &str)> = visits
        .iter()
        .map(|visit| {
            let plan = visit["plan"].as_str().expect("text");
            (plan.to_owned(), visit["state"].as_str().expect("text"))
        })
        .collect();
    named.sort();
    assert_eq!(
        named,
        [
            ("./broken.toml".to_owned(), "mistakes"),
            ("./bytes.toml".to_owned(), "mistakes"),
            ("./ready.toml".to_owned(), "ready"),
        ]
    );
}

/// Who it is comes from a file that nobody could judge: nothing of it may steer the terminal.
#[test]
fn the_name_in_a_broken_plan_cannot_steer_the_terminal() {
    let folder = folder();
    let plan = sample_plan("renn.toml").replace(
        "Tobias Renn",
        "\\u001b[31mTobias\\u001b]0;gone\\u0007 \\u202eRenn",
    );
    put(folder.path(), "plan.toml", plan);
    let ran = day(folder.path(), &[]);
    for text in [&ran.out, &ran.err] {
        assert!(
            !text.contains('\u{1b}') && !text.contains('\u{7}'),
            "{text:?}"
        );
        assert!(!text.contains('\u{202e}'), "{text:?}");
    }
    assert!(ran.out.contains("Tobias"), "{}", ran.out);
}

#[test]
fn copies_and_days_are_read_or_refused() {
    let folder = folder();
    put_ready(folder.path(), 1);
    let told = |arguments: &[&str]| run(folder.path(), arguments);
    for bad in ["consent", "consent=many", "letter=1", "consent=21"] {
        let ran = told(&[
            "day", ".", "--date", DATE, "--out", "p", "--pack", "p.pdf", "--copies", bad,
        ]);
        assert_eq!(ran.code, 2, "{bad}");
    }
    assert_eq!(told(&["day", ".", "--date", "3 December"]).code, 2);
    assert_eq!(
        told(&["day", ".", "--date", DATE, "--pack", "p.pdf"]).code,
        2
    );
    for word in ["today", "tomorrow"] {
        // no visit on these days, which is said; the words themselves are understood
        assert_eq!(told(&["day", ".", "--date", word]).code, 1, "{word}");
    }
}
