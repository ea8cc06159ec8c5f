//! Turns a composed document into pages and a tagged PDF (PDF/UA-1 with PDF/A-2a), and says where each statement was printed.
//! Invariant: the same document and fonts give the same bytes, on any machine and in any thread.
//! Must not: change a word. The only module that knows Typst.

mod fonts;
mod laid;
mod world;

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use sha2::{Digest, Sha256};
use typst::foundations::Smart;
use typst::layout::{Frame, FrameItem};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

use crate::compose::Document;

pub use fonts::Fonts;
pub use laid::{Laid, LaidRun, contrast_of};

/// Something the typesetter would not do. With our own templates this is a fault of the program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TypesetError(pub Vec<String>);

impl std::fmt::Display for TypesetError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "the typesetter refused the document: {}",
            self.0.join("; ")
        )
    }
}

impl std::error::Error for TypesetError {}

/// A laid-out paper.
pub struct Pages {
    document: PagedDocument,
    identity: String,
}

/// The typesetter with its fonts.
pub struct Typesetter {
    own: Option<world::Shop>,
}

impl Typesetter {
    /// With the embedded fonts only.
    pub fn embedded() -> Typesetter {
        Typesetter { own: None }
    }

    /// With the fonts of a folder beside the embedded ones.
    ///
    /// # Errors
    /// The folder cannot be read.
    pub fn with_fonts(folder: &Path) -> std::io::Result<Typesetter> {
        Ok(Typesetter {
            own: Some(world::Shop::new(Arc::new(Fonts::with_folder(folder)?))),
        })
    }

    /// With templates of the caller's in place of the embedded ones (all must be given), for tests that break one.
    pub fn with_templates<'t>(templates: impl Iterator<Item = (&'t str, &'t str)>) -> Typesetter {
        let fonts = Arc::new(Fonts::embedded());
        Typesetter {
            own: Some(world::Shop::with_templates(fonts, templates)),
        }
    }

    /// Name and text of the embedded templates.
    pub fn templates() -> &'static [(&'static str, &'static str)] {
        world::TEMPLATES
    }

    fn shop(&self) -> &world::Shop {
        self.own.as_ref().unwrap_or_else(|| world::Shop::embedded())
    }

    pub fn fonts(&self) -> &Fonts {
        self.shop().fonts()
    }

    /// Lays out a document.
    ///
    /// # Errors
    /// The templates cannot place what the document holds.
    pub fn typeset(&self, document: &Document) -> Result<Pages, TypesetError> {
        let data = serde_json::to_vec(document).expect("a document is strings, numbers and lists");
        let digest = Sha256::digest(&data);
        let identity = digest.iter().map(|byte| format!("{byte:02x}")).collect();
        let desk = world::Desk::new(self.shop(), data);
        let warned = typst::compile::<PagedDocument>(&desk);
        // without this the memory of a process grows by megabytes with every paper
        comemo::evict(5);
        let document = warned.output.map_err(messages)?;
        if !warned.warnings.is_empty() {
            return Err(messages(warned.warnings));
        }
        Ok(Pages { document, identity })
    }
}

fn messages(errors: impl IntoIterator<Item = typst::diag::SourceDiagnostic>) -> TypesetError {
    TypesetError(
        errors
            .into_iter()
            .map(|error| {
                let mut text = error.message.to_string();
                for hint in &error.hints {
                    text.push_str(&format!(" ({})", hint.v));
                }
                text
            })
            .collect(),
    )
}

impl Pages {
    /// How many pages there are.
    pub fn count(&self) -> usize {
        self.document.pages().len()
    }

    /// What was laid out under each statement id.
    pub fn statements(&self) -> BTreeMap<String, Laid> {
        laid::statements(&self.document)
    }

    /// Every run of text but running heads and feet, in the order it is drawn.
    pub fn runs(&self) -> Vec<LaidRun> {
        laid::runs(&self.document)
    }

    /// Width and height of each page in points.
    pub fn sizes(&self) -> Vec<(f64, f64)> {
        laid::sizes(&self.document)
    }

    /// The text of each page as it was laid out, runs in the order they were placed.
    pub fn texts(&self) -> Vec<String> {
        self.document
            .pages()
            .iter()
            .map(|page| {
                let mut text = String::new();
                walk(&page.frame, &mut text);
                text
            })
            .collect()
    }

    /// The tagged PDF, PDF/UA-1 and PDF/A-2a.
    ///
    /// # Errors
    /// The pages hold something these standards do not allow.
    pub fn pdf(&self) -> Result<Vec<u8>, TypesetError> {
        let standards = PdfStandards::new(&[PdfStandard::Ua_1, PdfStandard::A_2a])
            .expect("typst 0.15 allows PDF/UA-1 together with PDF/A-2a");
        let options = PdfOptions {
            ident: Smart::Custom(self.identity.clone()),
            creator: Smart::Custom(Some(format!("beforehand {}", env!("CARGO_PKG_VERSION")))),
            standards,
            ..PdfOptions::default()
        };
        typst_pdf::pdf(&self.document, &options).map_err(messages)
    }
}

fn walk(frame: &Frame, text: &mut String) {
    for (_, item) in frame.items() {
        match item {
            FrameItem::Group(group) => walk(&group.frame, text),
            FrameItem::Text(run) => {
                text.push_str(&run.text);
                text.push(' ');
            }
            _ => {}
        }
    }
}
