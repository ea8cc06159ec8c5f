//! Turns the embedded templates into a typesetter whose templates differ in one place.
//!
//! Invariant: a change that finds nothing to change fails.
//! Must not: know what a change breaks.

use beforehand::typeset::Typesetter;

/// The text of an embedded template.
pub fn template(name: &str) -> &'static str {
    let mut all = Typesetter::templates().iter();
    let found = all.find(|(template, _)| *template == name);
    found.expect("an embedded template").1
}

/// The embedded templates with some words of them replaced: the file, the words taken out, the words put in.
pub fn with_changes(changes: &[(&str, &str, &str)]) -> Typesetter {
    let templates: Vec<(&str, String)> = Typesetter::templates()
        .iter()
        .map(|(name, text)| {
            let mut text = (*text).to_owned();
            for (_, from, to) in changes.iter().filter(|(file, ..)| file == name) {
                assert!(text.contains(from), "{name} no longer holds {from}");
                text = text.replacen(from, to, 1);
            }
            (*name, text)
        })
        .collect();
    for (file, ..) in changes {
        assert!(
            templates.iter().any(|(name, _)| name == file),
            "{file} is no template"
        );
    }
    Typesetter::with_templates(templates.iter().map(|(name, text)| (*name, text.as_str())))
}
