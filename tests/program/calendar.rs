//! The calendar of every area, and what `make` writes and when.

use std::os::unix::fs::PermissionsExt;

use beforehand::catalogue::Catalogue;

use crate::support::calendar_file::{
    VISIT, calendar, clinic_toml, components, events, lines, plan_toml, read, value, written,
};
use crate::support::{desk, finish, names_in, program, put, root, run};

#[test]
fn every_area_gives_a_calendar() {
    for area in &Catalogue::embedded().areas {
        if area.id == "zygomaticus" {
            continue;
        }
        let calendar = calendar(
            &clinic_toml("Europe/London", true),
            &plan_toml(VISIT, &[area.id.as_str()]),
        );
        assert!(events(&calendar).len() >= 6, "{}", area.id);
        assert_eq!(
            components(&calendar, "VALARM").len(),
            events(&calendar)
                .iter()
                .filter(|event| value(event, "SUMMARY").contains("instructions"))
                .count()
        );
    }
}

#[test]
fn make_writes_the_calendar_beside_the_papers_and_alone() {
    let desk = desk();
    put(
        desk.path(),
        "clinic.toml",
        clinic_toml("Europe/London", false),
    );
    put(desk.path(), "plan.toml", plan_toml(VISIT, &["forehead"]));
    let all = run(desk.path(), &["make", "plan.toml", "--out", "all"]);
    assert_eq!(all.code, 0, "{}", all.err);
    let names = [
        "aftercare.html",
        "aftercare.pdf",
        "calendar.ics",
        "clinician.pdf",
        "consent.pdf",
        "evidence.pdf",
        "information.html",
        "information.pdf",
    ]
    .map(|end| format!("INV-77-2026-12-03-{end}"));
    let mut all: Vec<&str> = names.iter().map(String::as_str).collect();
    all.push("register.jsonl");
    assert_eq!(names_in(&desk.path().join("all")), all);

    let other = ["TZ", "TZDIR", "LANG"];
    let alone = finish(
        program(desk.path())
            .args(["make", "plan.toml", "--only", "calendar", "--out", "alone"])
            .envs(other.map(|name| (name, "Asia/Tokyo"))),
    );
    assert_eq!(alone.code, 0, "{}", alone.err);
    assert_eq!(names_in(&desk.path().join("alone")), [names[2].clone()]);
    assert!(
        alone.out.contains("-calendar.ics (calendar)"),
        "{}",
        alone.out
    );
    let path = desk.path().join("alone").join(&names[2]);
    assert_eq!(
        path.metadata().expect("written").permissions().mode() & 0o777,
        0o600
    );
    // the same bytes, whatever the machine is set to, and those of the library
    let bytes = std::fs::read(&path).expect("written");
    assert_eq!(
        bytes,
        std::fs::read(desk.path().join("all").join(&names[2])).expect("written")
    );
    let (clinic, visit) = read(
        &clinic_toml("Europe/London", false),
        &plan_toml(VISIT, &["forehead"]),
    );
    assert_eq!(
        String::from_utf8(bytes).expect("UTF-8"),
        written(&clinic, &visit)
    );

    // named papers only: no calendar
    let papers = run(
        desk.path(),
        &["make", "plan.toml", "--only", "consent", "--out", "papers"],
    );
    assert_eq!(papers.code, 0, "{}", papers.err);
    assert_eq!(
        names_in(&desk.path().join("papers")),
        [names[4].as_str(), "register.jsonl"]
    );
}

#[test]
fn under_a_stop_there_is_no_calendar() {
    let desk = desk();
    put(
        desk.path(),
        "clinic.toml",
        clinic_toml("Europe/London", false),
    );
    put(
        desk.path(),
        "plan.toml",
        plan_toml(VISIT, &["forehead", "zygomaticus"]),
    );
    for only in ["calendar", "calendar,consent"] {
        let ran = run(
            desk.path(),
            &["make", "plan.toml", "--only", only, "--out", "out"],
        );
        assert_eq!(ran.code, 1, "{}", ran.out);
        assert_eq!(names_in(&desk.path().join("out")), Vec::<String>::new());
    }
}

#[test]
fn the_calendar_of_the_news_reader_with_details() {
    let text = |name: &str| {
        std::fs::read_to_string(root().join("samples/linden-court").join(name)).expect("a sample")
    };
    let (mut clinic, visit) = read(&text("clinic.toml"), &text("news-reader.toml"));
    clinic.calendar_details = true;
    let calendar = lines(&written(&clinic, &visit)).join("\n");
    insta::assert_snapshot!(calendar.replace(env!("CARGO_PKG_VERSION"), "VERSION"));
}
