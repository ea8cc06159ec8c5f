//! What a clinic's overlay folder adds to its clinic file, as plain data.
//!
//! Invariant: none of its own; whoever reads the folder puts in only what was checked.
//!
//! Must not: open files, or know sentences of the program.

use std::collections::BTreeMap;
use std::sync::Arc;

/// A clinic's own words and look. Empty for a clinic without an overlay.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Branding {
    /// Digest of everything in the overlay that reaches a paper; empty without an overlay.
    pub digest: String,
    /// Language tag (`en`, `en-GB`) to statement id to words, only those that differ from the release's.
    pub words: BTreeMap<String, BTreeMap<String, String>>,
    /// `#` and six hexadecimal digits, dark enough for text.
    pub accent: Option<String>,
    pub logo: Option<Logo>,
}

/// A picture at the head of the first page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Logo {
    pub kind: LogoKind,
    pub bytes: Arc<[u8]>,
    /// What a screen reader says in its place; `None`: the clinic's name.
    pub text: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LogoKind {
    Svg,
    Png,
}

impl LogoKind {
    /// Ending of the file name, in small letters.
    pub fn ending(self) -> &'static str {
        match self {
            LogoKind::Svg => "svg",
            LogoKind::Png => "png",
        }
    }
}
