//! Turns every statement of every country into its digest and holds the list against the one that a person read last.
//!
//! Invariant: no word changes without a change of `tests/wording.lock`.
//! Must not: write it, unless BEFOREHAND_LOCK=write.

use beforehand::wording::library;

use crate::support::root;
use crate::support::wording::statements;

/// The words of every statement as they were last read by a person. Changing words means changing this file, knowingly:
/// run the tests once with BEFOREHAND_LOCK=write.
#[test]
fn the_wording_is_the_one_that_was_read_last() {
    let mut current = String::from(
        "# Digest of every statement by country. Written by: BEFOREHAND_LOCK=write cargo test --test library wording_lock\n",
    );
    // the oldest first, so that a new language is added at the end
    let mut tags: Vec<&str> = library::countries().collect();
    tags.sort_unstable();
    for tag in tags {
        for (id, text) in statements(tag) {
            current.push_str(&format!("{tag} {id} {}\n", library::digest(&text)));
        }
    }
    let path = root().join("tests/wording.lock");
    if std::env::var("BEFOREHAND_LOCK").as_deref() == Ok("write") {
        std::fs::write(&path, &current).expect("the lock file is written");
    }
    let locked = std::fs::read_to_string(&path).expect("the lock file");
    let changed: Vec<&str> = current
        .lines()
        .filter(|line| !locked.lines().any(|l| l == *line))
        .collect();
    assert!(
        changed.is_empty(),
        "words changed since they were last read: {changed:#?}"
    );
    assert_eq!(
        current.lines().count(),
        locked.lines().count(),
        "statements went away since they were last read"
    );
}
