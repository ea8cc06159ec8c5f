//! Turns the failure of a machine, with its chain of causes, into one line that ends in what the user can do.
//! Invariant: a refusal of the system is said in a sentence and never by the system's own number.
//! Must not: decide how a command goes on after it.

use std::io::{Error, ErrorKind};

/// The whole chain in one line, and behind a refusal of the system a sentence on what to do.
pub fn explained(error: &(dyn std::error::Error + 'static)) -> String {
    let mut parts: Vec<String> = Vec::new();
    for cause in std::iter::successors(Some(error), |cause| cause.source()) {
        if let Some(refusal) = cause.downcast_ref::<Error>() {
            let (problem, remedy) = explain(refusal);
            parts.push(problem);
            // what lies below is the same refusal in the system's own words
            return format!("{}. {remedy}", parts.join(": "));
        }
        parts.push(cause.to_string());
    }
    parts.join(": ")
}

/// What the system refused, and what to do about it.
fn explain(error: &Error) -> (String, &'static str) {
    let (problem, remedy) = match error.kind() {
        ErrorKind::NotFound => (
            "there is no such file or folder",
            "Check the name, and the folder you are in.",
        ),
        ErrorKind::PermissionDenied => (
            "you may not do this here",
            "Name another place, or ask whoever looks after this computer for the right to use this one.",
        ),
        ErrorKind::AlreadyExists => (
            "a file of that name is already there",
            "Name another one, or move that one away first.",
        ),
        ErrorKind::StorageFull => (
            "the disk is full",
            "Make room on it, then run the command again.",
        ),
        ErrorKind::QuotaExceeded => (
            "your share of the disk is used up",
            "Delete what you no longer need, then run the command again.",
        ),
        ErrorKind::FileTooLarge => (
            "the file is too large for this disk",
            "Name a place on another disk.",
        ),
        ErrorKind::ReadOnlyFilesystem => (
            "this disk can be read but not written",
            "Name a place on another disk.",
        ),
        ErrorKind::IsADirectory => ("this is a folder, not a file", "Name a file."),
        ErrorKind::NotADirectory => (
            "part of this path is a file, not a folder",
            "Check the path, folder by folder.",
        ),
        ErrorKind::InvalidFilename => (
            "this disk takes no such name",
            "Use a shorter name of letters, digits and hyphens.",
        ),
        ErrorKind::ResourceBusy | ErrorKind::ExecutableFileBusy | ErrorKind::Deadlock => (
            "another program is using it",
            "Close it there, then run the command again.",
        ),
        ErrorKind::Interrupted | ErrorKind::TimedOut | ErrorKind::WouldBlock => {
            ("there was no answer in time", "Run the command again.")
        }
        ErrorKind::HostUnreachable
        | ErrorKind::NetworkUnreachable
        | ErrorKind::NetworkDown
        | ErrorKind::NotConnected
        | ErrorKind::StaleNetworkFileHandle => (
            "the network folder cannot be reached",
            "Check the connection, then run the command again.",
        ),
        ErrorKind::InvalidData | ErrorKind::UnexpectedEof => (
            "the file is cut off or damaged",
            "Check that it is the right file, or take it from a backup.",
        ),
        ErrorKind::OutOfMemory => (
            "the computer has no memory left",
            "Close other programs, then run the command again.",
        ),
        ErrorKind::Unsupported => (
            "this place does not allow it",
            "Name a place on a disk of this computer.",
        ),
        _ => {
            let own_words = error.to_string();
            let problem = match own_words.rfind(" (os error ") {
                Some(end) => own_words[..end].to_owned(),
                None => own_words,
            };
            return (
                problem,
                "Check the place it names, then run the command again.",
            );
        }
    };
    (problem.to_owned(), remedy)
}

#[cfg(test)]
mod tests {
    use super::super::Failed;
    use super::*;

    fn refused(number: i32) -> String {
        let refusal = Error::from_raw_os_error(number);
        explained(&Failed::doing("cannot write papers/one.pdf", refusal))
    }

    /// Every number a system may give, far beyond those in use: a sentence behind each, the number in none.
    #[test]
    fn no_refusal_is_said_by_its_number() {
        for number in 0..200 {
            let said = refused(number);
            assert!(!said.contains("os error"), "{number}: {said}");
            assert!(said.starts_with("cannot write papers/one.pdf: "), "{said}");
            assert!(
                said.ends_with('.') && said.contains(". "),
                "{number}: {said}"
            );
        }
    }

    #[test]
    #[cfg(target_os = "linux")]
    fn the_usual_refusals_are_told_apart() {
        for (number, wanted) in [
            (2, "there is no such file"),
            (13, "you may not do this here"),
            (17, "already there"),
            (20, "not a folder"),
            (21, "this is a folder"),
            (26, "another program is using it"),
            (28, "the disk is full"),
            (30, "can be read but not written"),
            (36, "no such name"),
            (122, "your share of the disk"),
        ] {
            assert!(
                refused(number).contains(wanted),
                "{number}: {}",
                refused(number)
            );
        }
    }

    #[test]
    fn a_chain_without_a_refusal_stays_as_it_is() {
        let error = Failed::doing("plan.toml", Failed::because("no clinic file"));
        assert_eq!(explained(&error), "plan.toml: no clinic file");
    }
}
