//! Turns the embedded templates and one document's data into the file system the typesetter sees.
//! Invariant: the templates and `data.json` are the only files; there is no disk, no network, no package and no clock.
//! Must not: hold text of its own.

use std::sync::{Arc, OnceLock};

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Feature, Library, LibraryExt, World};

use super::fonts::Fonts;

/// The embedded templates, by name.
pub(super) const TEMPLATES: &[(&str, &str)] = &[
    ("paper.typ", include_str!("../../templates/paper.typ")),
    ("theme.typ", include_str!("../../templates/theme.typ")),
    ("parts.typ", include_str!("../../templates/parts.typ")),
    ("face.typ", include_str!("../../templates/face.typ")),
    ("icons.typ", include_str!("../../templates/icons.typ")),
    ("drawing.typ", include_str!("../../templates/drawing.typ")),
    ("timeline.typ", include_str!("../../templates/timeline.typ")),
];

const MAIN: &str = "paper.typ";
const DATA: &str = "data.json";

fn file_id(name: &str) -> FileId {
    let path = VirtualPath::new(name).expect("template names are plain file names");
    RootedPath::new(VirtualRoot::Project, path).intern()
}

/// What all documents of a process share: library, fonts, templates.
pub(super) struct Shop {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Arc<Fonts>,
    sources: Vec<Source>,
}

impl Shop {
    pub(super) fn new(fonts: Arc<Fonts>) -> Shop {
        Shop::with_templates(fonts, TEMPLATES.iter().copied())
    }

    pub(super) fn with_templates<'t>(
        fonts: Arc<Fonts>,
        templates: impl Iterator<Item = (&'t str, &'t str)>,
    ) -> Shop {
        // table summaries for screen readers are still behind this switch in typst 0.15
        let features = [Feature::A11yExtras].into_iter().collect();
        Shop {
            library: LazyHash::new(Library::builder().with_features(features).build()),
            book: LazyHash::new(fonts.book().clone()),
            fonts,
            sources: templates
                .map(|(name, text)| Source::new(file_id(name), text.to_owned()))
                .collect(),
        }
    }

    /// The shop with the embedded fonts, built once.
    pub(super) fn embedded() -> &'static Shop {
        static SHOP: OnceLock<Shop> = OnceLock::new();
        SHOP.get_or_init(|| Shop::new(Arc::new(Fonts::embedded())))
    }

    pub(super) fn fonts(&self) -> &Fonts {
        &self.fonts
    }
}

/// One document's world.
pub(super) struct Desk<'s> {
    shop: &'s Shop,
    data: Bytes,
}

impl<'s> Desk<'s> {
    pub(super) fn new(shop: &'s Shop, data: Vec<u8>) -> Desk<'s> {
        Desk {
            shop,
            data: Bytes::new(data),
        }
    }
}

impl World for Desk<'_> {
    fn library(&self) -> &LazyHash<Library> {
        &self.shop.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.shop.book
    }

    fn main(&self) -> FileId {
        file_id(MAIN)
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        self.shop
            .sources
            .iter()
            .find(|source| source.id() == id)
            .cloned()
            .ok_or_else(|| FileError::NotFound(id.vpath().get_without_slash().into()))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == file_id(DATA) {
            Ok(self.data.clone())
        } else {
            Err(FileError::AccessDenied)
        }
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.shop.fonts.get(index)
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}
