//! Turns a composed document into pages and a tagged PDF (PDF/UA-1 with PDF/A-2a), and says where each statement was printed.
//! Invariant: the same document and fonts give the same bytes, on any machine and in any thread.
//! Must not: change a word. The only module that knows Typst.

mod colour;
mod fonts;
mod needs;
mod page_content;
mod unbroken;
mod world;

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, OnceLock};

use typst::foundations::Smart;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

use crate::compose::Document;
use crate::domain::digest;
use crate::plan::Logo;

pub use colour::contrast_of;
pub use fonts::Fonts;
pub use page_content::{PageContent, PagePart, Placed, Shape, TextRun};

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
    /// Read when first asked for.
    content: OnceLock<PageContent>,
}

/// The typesetter with its fonts.
pub struct Typesetter {
    own: Option<world::SharedWorld>,
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
            own: Some(world::SharedWorld::new(Arc::new(Fonts::with_folder(
                folder,
            )?))),
        })
    }

    /// With templates of the caller's in place of the embedded ones (all must be given), for tests that break one.
    pub fn with_templates<'t>(templates: impl Iterator<Item = (&'t str, &'t str)>) -> Typesetter {
        let fonts = Arc::new(Fonts::embedded());
        Typesetter {
            own: Some(world::SharedWorld::with_templates(fonts, templates)),
        }
    }

    /// Name and text of the embedded templates.
    pub fn templates() -> &'static [(&'static str, &'static str)] {
        world::TEMPLATES
    }

    /// Does what every process does once and no document changes: templates are parsed, the drawing is read. Typesetting does it
    /// by itself; whoever has something else to do first calls this on another thread meanwhile.
    pub fn prepare() {
        let world = world::DocumentWorld::of_drawing(world::SharedWorld::embedded());
        // what came of it is remembered by the typesetter
        let _ = typst::compile::<PagedDocument>(&world);
    }

    fn shared(&self) -> &world::SharedWorld {
        self.own
            .as_ref()
            .unwrap_or_else(|| world::SharedWorld::embedded())
    }

    pub fn fonts(&self) -> &Fonts {
        self.shared().fonts()
    }

    /// Lays out a document, once: the same measures for every paper of every patient.
    ///
    /// # Errors
    /// The templates cannot place what the document holds.
    pub fn typeset(&self, document: &Document) -> Result<Pages, TypesetError> {
        let data = data_of(document);
        let running = serde_json::to_vec(&document.running_lines).expect("strings");
        let identity = digest::sha256(&data);
        let picture = document
            .logo
            .as_ref()
            .map(|picture| (picture.file.clone(), picture.logo.bytes.to_vec()));
        let world = world::DocumentWorld::new(self.shared(), data, running, picture);
        let warned = typst::compile::<PagedDocument>(&world);
        // without this the memory of a process grows by megabytes with every paper
        comemo::evict(5);
        let document = warned.output.map_err(messages)?;
        if !warned.warnings.is_empty() {
            return Err(messages(warned.warnings));
        }
        Ok(Pages {
            document,
            identity,
            content: OnceLock::new(),
        })
    }
}

/// The document as the templates read it, with what they must look for in its words.
fn data_of(document: &Document) -> Vec<u8> {
    let mut data =
        serde_json::to_value(document).expect("a document is strings, numbers and lists");
    unbroken::hold_together(&mut data, &document.language, &document.calls);
    data["needs"] = serde_json::to_value(needs::Needs::of(&data)).expect("three flags");
    data.to_string().into_bytes()
}

/// Whether a logo can be drawn at all.
pub fn can_draw(logo: &Logo) -> bool {
    let name = format!("logo.{}", logo.kind.ending());
    let template = format!("#image(\"{name}\", height: 14mm)");
    let fonts = Arc::new(Fonts::embedded());
    let shared = world::SharedWorld::with_templates(
        fonts,
        std::iter::once(("paper.typ", template.as_str())),
    );
    let logo = Some((name, logo.bytes.to_vec()));
    let world = world::DocumentWorld::new(&shared, Vec::new(), Vec::new(), logo);
    let warned = typst::compile::<PagedDocument>(&world);
    // drawn, and in a shape that can be put on a page
    warned.warnings.is_empty()
        && warned
            .output
            .is_ok_and(|document| document.pages().len() == 1)
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

    /// Everything drawn, read once.
    pub fn content(&self) -> &PageContent {
        self.content
            .get_or_init(|| PageContent::read(&self.document))
    }

    /// What was laid out under each statement id.
    pub fn statements(&self) -> &BTreeMap<String, Placed> {
        &self.content().statements
    }

    /// Every run of text but running heads and feet, in the order it is drawn.
    pub fn runs(&self) -> Vec<&TextRun> {
        self.content().body().collect()
    }

    /// Width and height of each page in points.
    pub fn sizes(&self) -> &[(f64, f64)] {
        &self.content().sizes
    }

    /// The text of each page as it was laid out, runs in the order they were placed.
    pub fn texts(&self) -> Vec<String> {
        self.content().texts()
    }

    /// A page as a picture, counted from 1: outlines alone, so that it looks as it prints. None: there is no such page.
    #[cfg(feature = "desk")]
    pub fn picture(&self, page: usize) -> Option<String> {
        let page = self.document.pages().get(page.checked_sub(1)?)?;
        Some(typst_svg::svg(page, &typst_svg::SvgOptions::default()))
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
