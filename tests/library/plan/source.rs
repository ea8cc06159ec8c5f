//! Files that are no plans at all: each is refused in its own words, and without being read when it is huge.

use std::fs;

use crate::support::plan_reader::{good, right};
use beforehand::diagnose::{Code, Diagnostic, OpenError, SourceFile, Style, render_bare};

fn refused(bytes: &[u8], name: &str) -> Diagnostic {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join(name);
    fs::write(&path, bytes).expect("a writable folder");
    match SourceFile::open(&path) {
        Err(OpenError::Refused(diagnostic)) => *diagnostic,
        other => panic!("{name} was not refused: {other:?}"),
    }
}

#[test]
fn latin_1_is_refused_with_the_place_of_the_byte() {
    let found = refused(
        b"[patient]\r\nname = \"Jos\xC3\xA9 Pe\xF1a\"\r\n",
        "plan.toml",
    );
    assert_eq!(found.code, Code::NotUtf8);
    assert_eq!((found.line(), found.column()), (Some(2), Some(16)));
    assert!(found.problem.contains("byte 27 "), "{}", found.problem);
    let text = render_bare(&[found], Style::Plain);
    assert!(text.contains("plan.toml:2:16"), "{text}");
}

#[test]
fn the_byte_order_mark_is_counted_in_the_byte_but_not_shown_in_a_plan() {
    let found = refused(b"\xEF\xBB\xBFa\xFF", "plan.json");
    assert!(found.problem.contains("byte 4 "), "{}", found.problem);

    let marked = format!("\u{FEFF}{}", good("plan.toml"));
    assert_eq!(
        right("plan.toml", &marked),
        right("plan.toml", &good("plan.toml"))
    );
    let marked = format!("\u{FEFF}{}", good("plan.json"));
    assert_eq!(
        right("plan.json", &marked),
        right("plan.json", &good("plan.json"))
    );
}

#[test]
fn empty_files_are_refused() {
    for bytes in [&b""[..], b" \r\n\t\n", b"\xEF\xBB\xBF", b"\xEF\xBB\xBF\n"] {
        assert_eq!(
            refused(bytes, "plan.toml").code,
            Code::EmptyFile,
            "{bytes:?}"
        );
    }
}

#[test]
fn other_names_are_refused_and_both_right_ones_named() {
    for name in ["plan.yaml", "plan", "plan.toml.bak", ".toml"] {
        let found = refused(b"a = 1", name);
        assert_eq!(found.code, Code::UnknownExtension, "{name}");
        assert!(found.remedy.contains(".toml") && found.remedy.contains(".json"));
    }
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("PLAN.TOML");
    fs::write(&path, "a = 1").expect("a writable folder");
    assert!(SourceFile::open(&path).is_ok());
}

#[test]
fn a_folder_is_refused_even_when_it_is_named_like_a_plan() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("plan.toml");
    fs::create_dir(&path).expect("a writable folder");
    let Err(OpenError::Refused(found)) = SourceFile::open(&path) else {
        panic!("a folder was read")
    };
    assert_eq!(found.code, Code::NotAFile);
    assert!(found.problem.contains("folder"));
}

#[test]
fn one_mebibyte_is_read_and_one_byte_more_is_not() {
    let mut text = b"#".repeat(1024 * 1024);
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("plan.toml");
    fs::write(&path, &text).expect("a writable folder");
    assert!(SourceFile::open(&path).is_ok());
    text.push(b'#');
    assert_eq!(refused(&text, "plan.toml").code, Code::TooLarge);
}

/// A file with holes: it says that it has a terabyte, more than any memory holds, and has none of it on disk. Whoever read it
/// would not come back.
#[test]
fn a_terabyte_is_refused_without_being_read() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("plan.json");
    let file = fs::File::create(&path).expect("a writable folder");
    file.set_len(1 << 40).expect("a file with holes");
    let Err(OpenError::Refused(found)) = SourceFile::open(&path) else {
        panic!("the file was read")
    };
    assert_eq!(found.code, Code::TooLarge);
}

#[test]
fn a_missing_file_is_an_error_of_the_machine_with_its_cause() {
    let error = SourceFile::open("not-there/plan.toml").expect_err("there is no such file");
    assert!(matches!(&error, OpenError::Io { .. }));
    assert!(error.to_string().contains("not-there/plan.toml"));
    assert!(std::error::Error::source(&error).is_some());
}

#[test]
fn a_file_name_cannot_hide_anything_in_the_output() {
    let source = SourceFile::from_bytes(
        "a\u{202E}lmot.\u{1B}[2J.toml",
        b"x = 1",
        beforehand::diagnose::Format::Toml,
    )
    .expect("a text");
    assert_eq!(source.name(), "a\\u{202e}lmot.\\u{1b}[2J.toml");
}
