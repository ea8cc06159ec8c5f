//! Turns the wording of one language and country into the line a book of words is known by, and into its document code.
//! Invariant: two wordings have one code exactly when language, country, version and the words of every statement are the same.
//! Must not: say who approved the words, or depend on the day or the clinic beyond its words.

use serde::Serialize;

use super::DocumentCode;
use crate::domain::digest;
use crate::wording::Wording;

/// What a book says about itself. Written as one line of compact JSON.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct BookRecord {
    #[serde(rename = "beforehand-book")]
    pub format: u64,
    /// Language and country: `en-GB`.
    pub language: String,
    /// Version of the release's sentences.
    pub version: String,
    /// How many statements are in it.
    pub statements: usize,
    /// Digest of every id with the digest of its words, which is what an approval holds.
    pub words: String,
}

impl BookRecord {
    /// The record of the book that these words make.
    pub fn of(wording: &Wording) -> BookRecord {
        let statements = wording.statements();
        let digests: Vec<(&String, String)> = statements
            .keys()
            .filter_map(|id| Some((id, wording.digest(id)?)))
            .collect();
        let parts = digests
            .iter()
            .flat_map(|(id, words)| [id.as_bytes(), words.as_bytes()]);
        BookRecord {
            format: 1,
            language: wording.tag().to_owned(),
            version: wording.version().to_owned(),
            statements: digests.len(),
            words: digest::of_parts(parts),
        }
    }

    /// The one line of JSON that the book carries.
    pub fn line(&self) -> String {
        serde_json::to_string(self).expect("a record is strings and numbers")
    }

    /// The code printed on the book's pages.
    pub fn code(&self) -> DocumentCode {
        DocumentCode::of(&self.line())
    }
}
