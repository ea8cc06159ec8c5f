//! Turns the words of a practice in one language into the book that somebody reads before approving them, to print and as a page.
//! Invariant: both hold the words of the opened practice, and their one code is that of these words.
//! Must not: record an approval, or write files.

use std::path::{Path, PathBuf};

use unic_langid::LanguageIdentifier;

use super::{Failed, MakeError, Practice, writing};
use crate::compose::{self, BookOfWords, Document};
use crate::phone_page;
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
    /// The same words as one page for a browser.
    pub page: String,
}

impl WordingBook {
    /// Its files, without a folder: `wording-book-en-GB.pdf` to print and sign, `wording-book-en-GB.html` to read on a screen.
    pub fn file_names(&self) -> [String; 2] {
        let stem = format!("{}-{}", compose::book::BOOK, self.wording);
        [format!("{stem}.pdf"), format!("{stem}.html")]
    }

    /// Writes both files into a folder, in place of older ones.
    ///
    /// # Errors
    /// They cannot be written; older ones are then as they were.
    pub fn write(&self, folder: &Path) -> Result<[PathBuf; 2], Failed> {
        let bytes = self.pages.pdf().map_err(MakeError::from)?;
        let paths = self.file_names().map(|name| folder.join(name));
        let contents = [bytes.as_slice(), self.page.as_bytes()];
        writing::replace_all(paths.iter().map(PathBuf::as_path).zip(contents))?;
        Ok(paths)
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
        let contents = wording.label("paper.contents")?;
        let page = phone_page::render(&document, &contents, None);
        Ok(WordingBook {
            wording: wording.tag().to_owned(),
            code,
            statements: record.statements,
            document,
            pages,
            page,
        })
    }
}
