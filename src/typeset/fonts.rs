//! Turns the embedded font files, and a folder the user asks for, into the fonts of the typesetter.
//! Invariant: without a folder the same fonts on every machine; the machine's own fonts are never looked at.
//! Must not: print, or choose a font for a text (the template names the families).

use std::path::Path;

use sha2::{Digest, Sha256};
use typst::foundations::Bytes;
use typst::text::{Font, FontBook};

use crate::domain::digest::hexadecimal;

/// Fonts the program carries: one family for Latin, Greek and Cyrillic, a second for the scripts it lacks.
fn embedded() -> [&'static [u8]; 4] {
    [
        notosans::REGULAR_TTF,
        notosans::BOLD_TTF,
        dejavu::sans::regular(),
        dejavu::sans::bold(),
    ]
}

/// All fonts in use and what they cover.
#[derive(Debug, Clone)]
pub struct Fonts {
    fonts: Vec<Font>,
    book: FontBook,
    /// SHA-256 of the folder's fonts in hexadecimal digits; empty without a folder.
    digest: String,
}

impl Fonts {
    /// The embedded fonts only.
    pub fn embedded() -> Fonts {
        let fonts: Vec<Font> = embedded()
            .into_iter()
            .flat_map(|data| Font::iter(Bytes::new(data)))
            .collect();
        let book = FontBook::from_fonts(&fonts);
        Fonts {
            fonts,
            book,
            digest: String::new(),
        }
    }

    /// The embedded fonts and every `.ttf`, `.otf` and `.ttc` file of a folder, in the order of their names.
    ///
    /// # Errors
    /// The folder or one of its fonts cannot be read.
    pub fn with_folder(folder: &Path) -> std::io::Result<Fonts> {
        let mut files: Vec<_> = std::fs::read_dir(folder)?.collect::<Result<Vec<_>, _>>()?;
        files.sort_by_key(std::fs::DirEntry::file_name);
        let mut fonts = Fonts::embedded().fonts;
        let mut digest = Sha256::new();
        for file in files {
            let path = file.path();
            let is_font = path
                .extension()
                .and_then(|extension| extension.to_str())
                .is_some_and(|extension| {
                    ["ttf", "otf", "ttc"].contains(&extension.to_ascii_lowercase().as_str())
                });
            if is_font {
                let bytes = std::fs::read(path)?;
                digest.update(&bytes);
                fonts.extend(Font::iter(Bytes::new(bytes)));
            }
        }
        let book = FontBook::from_fonts(&fonts);
        Ok(Fonts {
            fonts,
            book,
            digest: hexadecimal(&digest.finalize()),
        })
    }

    /// What tells a folder's fonts from others; empty for the embedded ones alone.
    pub fn digest(&self) -> &str {
        &self.digest
    }

    pub(super) fn book(&self) -> &FontBook {
        &self.book
    }

    pub(super) fn get(&self, index: usize) -> Option<Font> {
        self.fonts.get(index).cloned()
    }

    /// The first character of a text that no loaded font can draw. White space needs no glyph.
    pub fn missing(&self, text: &str) -> Option<char> {
        text.chars().filter(|c| !c.is_whitespace()).find(|c| {
            !self
                .fonts
                .iter()
                .any(|font| font.info().coverage.contains(u32::from(*c)))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scripts_the_embedded_fonts_carry_and_lack() {
        let fonts = Fonts::embedded();
        for carried in [
            "Ines Aldana",
            "Žofie Ångström",
            "Ελένη",
            "Анна",
            "أحمد",
            "רות",
            "☐ “p” ½ …",
        ] {
            assert_eq!(fonts.missing(carried), None, "{carried}");
        }
        assert_eq!(fonts.missing("Li 李"), Some('李'));
        assert_eq!(fonts.missing("สมชาย"), Some('ส'));
        assert_eq!(fonts.missing("आशा"), Some('आ'));
        assert_eq!(fonts.missing("김"), Some('김'));
    }
}
