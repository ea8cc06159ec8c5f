//! Files that are no papers of this program: each gets an answer, none a panic or a false "as made".

use proptest::prelude::*;

use beforehand::record::{self, ReadError};

use super::{CONSENT, made, trace};
use crate::support::{Plan, laid_out, put, run};

/// A PDF by hand, with these keywords.
fn foreign(keywords: &str) -> Vec<u8> {
    format!(
        "%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n2 0 obj<</Type/Pages/Kids[]/Count 0>>endobj\n\
         3 0 obj<</Title(A letter)/Keywords{keywords}>>endobj\ntrailer<</Size 4/Root 1 0 R/Info 3 0 R>>\n%%EOF\n"
    )
    .into_bytes()
}

#[test]
fn other_files_are_named_for_what_they_are() {
    let desk = made();
    let papers = desk.path().join("papers");
    for (name, bytes, says) in [
        ("empty.pdf", Vec::new(), "not a PDF"),
        ("letter.txt", b"Dear all".to_vec(), "not a PDF"),
        ("zeros.pdf", vec![0; 5000], "not a PDF"),
        ("bare.pdf", b"%PDF-1.7".to_vec(), "carries no record"),
        (
            "letter.pdf",
            foreign("(letters, post)"),
            "carries no record",
        ),
        ("hex.pdf", foreign("<feff0041>"), "carries no record"),
        ("open.pdf", foreign("((((("), "carries no record"),
        (
            "cut.pdf",
            foreign("({\"beforehand-record\":1,\"program\":\"0.1.0\")"),
            "damaged",
        ),
        (
            "empty-record.pdf",
            foreign("({\"beforehand-record\":1})"),
            "damaged",
        ),
        (
            "no-number.pdf",
            foreign("({\"beforehand-record\":\"one\"})"),
            "damaged",
        ),
        (
            "newer.pdf",
            foreign("({\"beforehand-record\":2,\"more\":[]})"),
            "later version",
        ),
    ] {
        put(&papers, name, bytes);
        let (code, report) = trace(&papers, &[name]);
        assert_eq!(code, 1, "{name}: {report:#}");
        let problem = report["problem"].as_str().unwrap_or_default();
        assert!(problem.contains(says), "{name}: {problem}");
        assert_ne!(report["bytes"], "as-made", "{name}");
        let text = run(&papers, &["trace", name]);
        assert_eq!((text.code, text.err.as_str()), (1, ""), "{name}");
        assert!(text.out.starts_with(name), "{}", text.out);
    }
    for name in ["missing.pdf", ".", "/dev/zero", "/dev/null"] {
        let ran = run(&papers, &["trace", name]);
        assert_eq!(ran.code, 2, "{name}: {}", ran.out);
        assert!(ran.err.contains("cannot read"), "{name}: {}", ran.err);
    }
}

#[test]
fn a_record_is_found_however_other_programs_write_it_down() {
    let desk = made();
    let bytes = std::fs::read(desk.path().join("papers").join(CONSENT)).expect("a paper");
    let record = record::read(&bytes).expect("a record");
    let line = record.line();
    assert!(line.contains('"') && !line.contains(['(', '\\', '<', '&']));
    for written in [
        format!("%PDF-1.7\n<pdf:Keywords>{line}</pdf:Keywords>"),
        format!(
            "%PDF-1.7\n<pdf:Keywords>{}</pdf:Keywords>",
            line.replace('"', "&quot;")
        ),
        format!(
            "%PDF-1.7\n<rdf:Description pdf:Keywords=\"{}\"/>",
            line.replace('"', "&#34;")
        ),
        format!(
            "%PDF-1.7\n<rdf:Description pdf:Keywords=\"{}\"/>",
            line.replace('"', "&#x22;")
        ),
        format!("%PDF-1.7\n<</Keywords ({line})>>"),
        format!("%PDF-1.7\n<</Keywords({})>>", line.replace('"', "\\042")),
        format!("%PDF-1.7\n<</Keywords({})>>", line.replace('{', "\\{")),
        format!(
            "%PDF-1.7\n<pdf:Keywords>post</pdf:Keywords><</Keywords({})>>",
            line.replace("\"program\"", "\\\n\"program\"")
        ),
    ] {
        assert_eq!(record::read(written.as_bytes()), Ok(record.clone()));
    }
    // what was added later counts
    let mut later = record.clone();
    later.made_on = "2027-01-01".to_owned();
    let both = format!(
        "%PDF-1.7\n<pdf:Keywords>{line}</pdf:Keywords><pdf:Keywords>{}</pdf:Keywords>",
        later.line()
    );
    assert_eq!(record::read(both.as_bytes()), Ok(later));
}

#[test]
fn no_beginning_of_a_paper_is_taken_for_another_paper() {
    laid_out(
        &Plan::default().toml(),
        &beforehand::typeset::Typesetter::embedded(),
        |papers| {
            let bytes = papers.papers[1].pages.pdf().expect("a PDF");
            let whole = record::read(&bytes).expect("a record");
            let at = |wanted: &[u8]| {
                bytes
                    .windows(wanted.len())
                    .position(|window| window == wanted)
                    .expect("it is there")
            };
            let (information, packet) = (at(b"/Keywords("), at(b"<pdf:Keywords>"));
            let (mut none, mut cut, mut found) = (0, 0, 0);
            let coarse = (0..bytes.len()).step_by(4001);
            let fine = [information, packet]
                .into_iter()
                .flat_map(|start| (start.saturating_sub(3)..start + 4000).step_by(13));
            for end in coarse.chain(fine).filter(|end| *end <= bytes.len()) {
                match record::read(&bytes[..end]) {
                    Ok(record) => {
                        assert_eq!(record, whole, "cut at {end}");
                        found += 1;
                    }
                    Err(ReadError::Damaged(_)) => cut += 1,
                    Err(_) => none += 1,
                }
            }
            assert!(none > 5 && cut > 50 && found > 0, "{none} {cut} {found}");
        },
    );
}

proptest! {
    #[test]
    fn no_bytes_make_it_panic(
        before in proptest::collection::vec(any::<u8>(), 0..200),
        opening in prop::sample::select(vec![
            "", "/Keywords(", "<pdf:Keywords>", "pdf:Keywords=\"", "<pdf:Keywords>{\"beforehand-record\":",
            "/Keywords({\"beforehand-record\":1,", "<pdf:Keywords>&#", "/Keywords(\\"
        ]),
        after in proptest::collection::vec(any::<u8>(), 0..200),
    ) {
        let bytes = [b"%PDF-1.7\n".as_slice(), &before, opening.as_bytes(), &after].concat();
        prop_assert!(record::read(&bytes).is_err());
    }

    #[test]
    fn no_markup_makes_it_panic(inside in "[&#;x0-9a-z<>{}\":,()\\\\é]{0,60}") {
        for (open, close) in [("<pdf:Keywords>", "</pdf:Keywords>"), ("/Keywords(", ")")] {
            let bytes = format!("%PDF-1.7\n{open}{{\"beforehand-record\":{inside}{close}");
            prop_assert!(record::read(bytes.as_bytes()).is_err());
        }
    }
}

#[test]
fn a_hostile_record_cannot_steer_a_terminal() {
    let desk = made();
    let papers = desk.path().join("papers");
    let bytes = std::fs::read(papers.join(CONSENT)).expect("a paper");
    let line = record::read(&bytes)
        .expect("a record")
        .line()
        .replace("GB-ENG", "\\\\u001b[31mGB\\\\u0007");
    put(&papers, "steer.pdf", foreign(&format!("({line})")));
    let ran = run(&papers, &["trace", "steer.pdf"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.out.contains("\\u{1b}[31mGB\\u{7}"), "{}", ran.out);
    assert!(!ran.out.contains(['\u{1b}', '\u{7}']));
}
