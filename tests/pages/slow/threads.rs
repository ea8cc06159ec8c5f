//! Several threads share one opened practice, and what they make is what one thread makes.
//!
//! Invariant: bytes and draft marks are compared, not counts.
//! Must not: let a thread have a practice of its own.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use beforehand::{MakeOptions, Papers, Practice};

const THREADS: usize = 8;
/// Each thread makes every plan once and more, while the others make others.
const VISITS: usize = 64;

/// What must not depend on who else is at work: every file to the byte, and the notice of every paper.
fn made(papers: &Papers<'_>) -> Vec<(String, Vec<u8>, Option<String>)> {
    let notices = papers
        .writable()
        .map(|paper| paper.document.running_lines.notice.clone());
    let files = papers.files(&[]).expect("files");
    files
        .into_iter()
        .zip(notices.chain([None]))
        .map(|(file, notice)| (file.name, file.bytes, notice))
        .collect()
}

fn plans(folder: &Path) -> Vec<PathBuf> {
    let mut plans: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("samples")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| {
            let name = path.file_name().and_then(|name| name.to_str());
            // the one with every area takes as long as all the others
            path.is_file() && !["clinic.toml", "everything.toml"].map(Some).contains(&name)
        })
        .collect();
    plans.sort();
    plans
}

#[test]
fn eight_threads_make_what_one_thread_makes() {
    let folder = crate::support::root().join("samples/linden-court");
    let practice = Practice::open(&folder.join("clinic.toml")).expect("a good clinic");
    let visits: Vec<_> = plans(&folder)
        .iter()
        .map(|plan| practice.read_plan(plan).expect("a good plan"))
        .collect();
    assert!(visits.len() > 4);
    let make = |visit| {
        practice
            .make(visit, &MakeOptions::default())
            .expect("papers")
    };
    let alone: Vec<_> = visits.iter().map(|visit| made(&make(visit))).collect();
    assert!(
        alone
            .iter()
            .flatten()
            .any(|(_, _, notice)| notice.is_some()),
        "no paper is marked, so no mark could be lost"
    );
    let next = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..THREADS {
            scope.spawn(|| {
                loop {
                    let number = next.fetch_add(1, Ordering::Relaxed);
                    if number >= VISITS {
                        return;
                    }
                    let which = number % visits.len();
                    let now = made(&make(&visits[which]));
                    assert!(now == alone[which], "visit {number} came out otherwise");
                }
            });
        }
    });
    assert!(next.load(Ordering::Relaxed) >= VISITS);
}
