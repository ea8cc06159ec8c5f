//! Plans saved by several at a time: one is written, the others are told, nothing is lost or half-written.
//!
//! Must not: assert how long anything takes.

use std::path::PathBuf;
use std::sync::Barrier;

use beforehand::practice::{Saved, new_plan_name, save_plan};
use jiff::civil::date;

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder")
}

fn text_of(path: &PathBuf) -> String {
    std::fs::read_to_string(path).expect("a plan")
}

#[test]
fn a_plan_is_saved_only_over_what_was_read() {
    let folder = folder();
    let path = folder.path().join("plan.toml");
    let save = |expected: Option<&str>, text: &str| {
        save_plan(&path, expected, text).expect("the disk works")
    };
    assert_eq!(save(Some("one"), "two"), Saved::Gone);
    assert_eq!(save(None, "one"), Saved::Written);
    assert_eq!(save(None, "other"), Saved::AlreadyThere);
    assert_eq!(save(Some("one"), "two"), Saved::Written);
    let now = Saved::ChangedMeanwhile {
        now: "two".to_owned(),
    };
    assert_eq!(save(Some("one"), "three"), now);
    // a byte order mark counts
    assert_eq!(save(Some("\u{feff}two"), "three"), now);
    assert_eq!(save(Some("two"), "two"), Saved::Written);
    assert_eq!(text_of(&path), "two");
    std::fs::remove_file(&path).expect("it is there");
    assert_eq!(save(Some("two"), "three"), Saved::Gone);
    let names = std::fs::read_dir(folder.path()).expect("a folder").count();
    assert_eq!(names, 0, "something was left behind");
    let nowhere = folder.path().join("no-folder/plan.toml");
    assert_eq!(
        save_plan(&nowhere, Some("x"), "y").expect("told"),
        Saved::Gone
    );
    assert!(save_plan(&nowhere, None, "y").is_err());
    assert!(save_plan(folder.path(), Some("x"), "y").is_err());
}

#[test]
fn of_many_who_save_at_once_one_is_written() {
    let folder = folder();
    let path = folder.path().join("plan.toml");
    for round in 0..20 {
        for expected in [None, Some("base")] {
            let _ = std::fs::remove_file(&path);
            if let Some(base) = expected {
                std::fs::write(&path, base).expect("the disk works");
            }
            let start = Barrier::new(8);
            let saved: Vec<(String, Saved)> = std::thread::scope(|scope| {
                let threads: Vec<_> = (0..8)
                    .map(|n| {
                        let (path, start) = (&path, &start);
                        scope.spawn(move || {
                            let text = format!("{round} {n} {}", "x".repeat(20_000));
                            start.wait();
                            let saved = save_plan(path, expected, &text).expect("the disk works");
                            (text, saved)
                        })
                    })
                    .collect();
                threads
                    .into_iter()
                    .map(|thread| thread.join().expect("no panic"))
                    .collect()
            });
            let written: Vec<&String> = saved
                .iter()
                .filter(|(_, saved)| *saved == Saved::Written)
                .map(|(text, _)| text)
                .collect();
            assert_eq!(written.len(), 1);
            assert_eq!(&text_of(&path), written[0]);
            for (_, saved) in saved.iter().filter(|(_, saved)| *saved != Saved::Written) {
                match expected {
                    None => assert_eq!(*saved, Saved::AlreadyThere),
                    Some(_) => assert_eq!(
                        *saved,
                        Saved::ChangedMeanwhile {
                            now: written[0].clone()
                        }
                    ),
                }
            }
        }
    }
    assert_eq!(
        std::fs::read_dir(folder.path()).expect("a folder").count(),
        1
    );
}

/// Another program that locks the folder is waited for, and what it has saved is seen.
#[cfg(unix)]
#[test]
fn a_folder_that_another_program_has_locked_is_waited_for() {
    let folder = folder();
    let path = folder.path().join("plan.toml");
    std::fs::write(&path, "base").expect("the disk works");
    let other = std::fs::File::open(folder.path()).expect("a folder");
    other.lock().expect("this system locks folders");
    std::thread::scope(|scope| {
        let saving =
            scope.spawn(|| save_plan(&path, Some("base"), "mine").expect("the disk works"));
        // long enough for a save that does not wait to be done
        std::thread::sleep(std::time::Duration::from_millis(300));
        assert_eq!(
            text_of(&path),
            "base",
            "it was written under another's lock"
        );
        std::fs::write(&path, "theirs").expect("the disk works");
        other.unlock().expect("ours");
        let now = "theirs".to_owned();
        assert_eq!(
            saving.join().expect("no panic"),
            Saved::ChangedMeanwhile { now }
        );
    });
}

#[cfg(unix)]
#[test]
fn who_may_read_a_plan_stays_and_links_lead_nowhere_else() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let (folder, outside) = (folder(), folder());
    let path = folder.path().join("plan.toml");
    let mode = |path: &PathBuf| {
        std::fs::metadata(path)
            .expect("it is there")
            .permissions()
            .mode()
            & 0o777
    };
    assert_eq!(
        save_plan(&path, None, "one").expect("the disk works"),
        Saved::Written
    );
    assert_eq!(mode(&path), 0o600, "a new plan is for its owner alone");
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o640)).expect("ours");
    assert_eq!(
        save_plan(&path, Some("one"), "two").expect("the disk works"),
        Saved::Written
    );
    assert_eq!(mode(&path), 0o640);

    let target = outside.path().join("theirs.toml");
    std::fs::write(&target, "theirs").expect("the disk works");
    let link = folder.path().join("link.toml");
    symlink(&target, &link).expect("a link");
    assert!(save_plan(&link, Some("theirs"), "mine").is_err());
    assert_eq!(text_of(&target), "theirs");
    assert_eq!(
        save_plan(&link, None, "mine").expect("told"),
        Saved::AlreadyThere
    );
    let dangling = folder.path().join("dangling.toml");
    symlink(outside.path().join("nothing.toml"), &dangling).expect("a link");
    assert_eq!(
        save_plan(&dangling, None, "mine").expect("told"),
        Saved::AlreadyThere
    );
    assert_eq!(
        save_plan(&dangling, Some("x"), "mine").expect("told"),
        Saved::Gone
    );
    assert!(!outside.path().join("nothing.toml").exists());
    // a link inside the folder is followed, and stays one
    let inside = folder.path().join("inside.toml");
    symlink("plan.toml", &inside).expect("a link");
    assert_eq!(
        save_plan(&inside, Some("two"), "three").expect("the disk works"),
        Saved::Written
    );
    assert_eq!(text_of(&path), "three");
    assert!(inside.symlink_metadata().expect("a link").is_symlink());
}

#[test]
fn names_of_files_say_the_day_and_nothing_clinical() {
    let folder = folder();
    let day = Some(date(2026, 12, 3));
    let name = |patient: &str| {
        let path = new_plan_name(folder.path(), day, patient);
        assert_eq!(path.parent(), Some(folder.path()));
        path.file_name()
            .expect("a name")
            .to_str()
            .expect("ASCII")
            .to_owned()
    };
    for (patient, wanted) in [
        ("Perpetua Lindqvist (invented)", "2026-12-03-lindqvist.toml"),
        ("Åsa Öhrn", "2026-12-03-ohrn.toml"),
        (
            "Nuria Peñalver Ibáñez (inventada)",
            "2026-12-03-ibanez.toml",
        ),
        ("Solveig Abernathy-Ruiz", "2026-12-03-abernathy-ruiz.toml"),
        ("../../etc/passwd", "2026-12-03-etcpasswd.toml"),
        ("..\\..\\x", "2026-12-03-x.toml"),
        ("a/../b c:d\0e", "2026-12-03-cde.toml"),
        ("王小明", "2026-12-03-patient.toml"),
        ("", "2026-12-03-patient.toml"),
        ("-- --", "2026-12-03-patient.toml"),
        ("o\u{301}", "2026-12-03-o.toml"),
        ("Ödön 王", "2026-12-03-odon.toml"),
    ] {
        assert_eq!(name(patient), wanted, "{patient}");
    }
    assert!(name(&"x".repeat(500)).len() < 60);
    for wanted in [
        "2026-12-03-ohrn.toml",
        "2026-12-03-ohrn-2.toml",
        "2026-12-03-ohrn-3.toml",
    ] {
        let path = new_plan_name(folder.path(), day, "Åsa Öhrn");
        assert!(path.ends_with(wanted));
        assert_eq!(
            save_plan(&path, None, "x").expect("the disk works"),
            Saved::Written
        );
    }
    assert!(new_plan_name(folder.path(), None, "Con").ends_with("visit-con.toml"));
}
