//! Turns an overlay's `look.toml` into its colour and the name of its logo, and finds the overlay that a clinic file names.
//!
//! Invariant: a colour that comes out of here can be read as text on white paper; a file name stays inside the overlay.
//!
//! Must not: open the logo, or anything else on disk.

use std::ops::Range;
use std::path::PathBuf;

use crate::contrast;
use crate::diagnose::{Code, Diagnostic, SourceFile};
use crate::plan::Vocabulary;
use crate::plan::clinic_file::read_inside;
use crate::plan::keys::{self, CLINIC, LOOK};
use crate::plan::plan_file::open;
use crate::plan::reader::{Reader, SHORT_MAX, TEXT_MAX, value};

/// What `look.toml` says.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LookWords {
    /// `#` and six hexadecimal digits.
    pub accent: Option<String>,
    /// The logo's file, relative to the overlay, and where its name stands in `look.toml`.
    pub logo: Option<(PathBuf, Range<usize>)>,
    /// What a screen reader says in place of the logo.
    pub logo_text: Option<String>,
}

/// The overlay folder a clinic file names, and where; nothing when the file names none or cannot be read so far. Mistakes
/// are left to [`crate::plan::read_clinic`].
pub fn overlay_named(source: &SourceFile) -> Option<(PathBuf, Range<usize>)> {
    let vocabulary = Vocabulary::default();
    let (mut reader, root) = open(source, &vocabulary);
    let section = keys::one(&mut reader, &root, &CLINIC, false)?;
    let field = reader.optional(&section, "overlay")?;
    let span = field.node.span.clone();
    Some((read_inside(&mut reader, &field, "ours")?, span))
}

/// Reads `look.toml`.
///
/// # Errors
/// Every mistake of the file, in the order of the file; never an empty list.
pub fn read_look(source: &SourceFile) -> Result<LookWords, Vec<Diagnostic>> {
    let vocabulary = Vocabulary::default();
    let (mut reader, mut root) = open(source, &vocabulary);
    keys::check(&mut reader, &mut root, &[&LOOK]);
    let mut look = LookWords::default();
    if let Some(section) = keys::one(&mut reader, &root, &LOOK, true) {
        if let Some(field) = reader.optional(&section, "accent") {
            look.accent = reader
                .text(&field, SHORT_MAX)
                .and_then(|text| accent(&mut reader, text.value, text.span, &text.path));
        }
        if let Some(field) = reader.optional(&section, "logo") {
            let span = field.node.span.clone();
            look.logo = read_inside(&mut reader, &field, "logo.svg").map(|path| (path, span));
        }
        if let Some(field) = reader.optional(&section, "logo_text") {
            look.logo_text = value(reader.text(&field, TEXT_MAX));
        }
    }
    reader.finish(Some(look))
}

fn accent(reader: &mut Reader, colour: String, span: Range<usize>, path: &str) -> Option<String> {
    let Some(rgb) = contrast::hexadecimal(&colour) else {
        reader.report(
            Code::AccentMalformed,
            span,
            path,
            "This is not a colour as it is written here.",
            "Write # and six digits from 0 to 9 or a to f, like #0b4a54.",
        );
        return None;
    };
    let found = contrast::of(rgb);
    if found < contrast::TEXT {
        // rounded down, so that 6.999 is not shown as enough
        let shown = (found * 100.0).floor() / 100.0;
        reader.report(
            Code::AccentTooLight,
            span,
            path,
            format!(
                "This colour has a contrast of {shown:.2} to 1 on white paper; headings need {:.0} to 1.",
                contrast::TEXT
            ),
            "Choose a darker shade of it.",
        );
        return None;
    }
    Some(colour.to_ascii_lowercase())
}
