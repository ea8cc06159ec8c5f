//! Turns the words of a practice in one language into the book that somebody reads before approving them.
//! Invariant: the book holds the words of the opened practice, and its code is that of these words.
//! Must not: record an approval, or write files.

use std::path::{Path, PathBuf};

use unic_langid::LanguageIdentifier;

use super::{Failed, MakeError, Practice, writing};
use crate::compose::{self, BookOfWords, Document};
use crate::record::DocumentCode;
use crate::record::book::BookRecord;
use crate::typeset::Pages;

/// A finished book of words.
pub struct WordingBook {
    /// Language and country: `en-GB`.
    pub wording: String,
    pub code: DocumentCode,
    pub statements: usize,
    pub document: Document,
    pub pages: Pages,
}

impl WordingBook {
    /// Its file, without a folder: `wording-book-en-GB.pdf`.
    pub fn file_name(&self) -> String {
        let stem = format!("{}-{}", compose::book::BOOK, self.wording);
        format!("{stem}.pdf")
    }

    /// Writes it into a folder, in place of an older one.
    ///
    /// # Errors
    /// It cannot be written; an older one is then as it was.
    pub fn write(&self, folder: &Path) -> Result<PathBuf, Failed> {
        let bytes = self.pages.pdf().map_err(MakeError::from)?;
        let path = folder.join(self.file_name());
        writing::replace_all(std::iter::once((path.as_path(), bytes.as_slice())))?;
        Ok(path)
    }
}

impl Practice {
    /// The book of the words in the practice's own language, or in another that its patients read.
    ///
    /// # Errors
    /// No wording in that language, or a sentence of the book's own cannot be filled.
    pub fn wording_book(
        &self,
        language: Option<&LanguageIdentifier>,
    ) -> Result<WordingBook, MakeError> {
        let wording = self.words_in(language)?;
        let record = BookRecord::of(&wording);
        let code = record.code();
        let mut document = compose::wording_book(BookOfWords {
            catalogue: self.catalogue(),
            clinic: self.clinic(),
            wording: &wording.recorded(),
            approvals: &self.approvals,
            code: &code.to_string(),
        })?;
        document.record = record.line();
        let pages = self.typesetter.typeset(&document)?;
        Ok(WordingBook {
            wording: wording.tag().to_owned(),
            code,
            statements: record.statements,
            document,
            pages,
        })
    }
}
