//! Turns the embedded templates and one document's data into the file system the typesetter sees.
//! Invariant: the templates, `data.json`, `running.json` and one picture are the only files; there is no disk, no network, no package and no clock.
//! Must not: hold text of its own.

use std::borrow::Cow;
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
    ("check.typ", include_str!("../../templates/check.typ")),
    ("face.typ", include_str!("../../templates/face.typ")),
    ("forms.typ", include_str!("../../templates/forms.typ")),
    ("rich.typ", include_str!("../../templates/rich.typ")),
    ("icons.typ", include_str!("../../templates/icons.typ")),
    ("outlines.typ", include_str!("../../templates/outlines.typ")),
    ("drawing.typ", include_str!("../../templates/drawing.typ")),
    ("timeline.typ", include_str!("../../templates/timeline.typ")),
];

const MAIN: &str = "paper.typ";
/// The largest of the templates; it reads no document.
const DRAWING: &str = "outlines.typ";
const DATA: &str = "data.json";
/// What stands on every page, in a file of its own, so that a page's head reads little.
const RUNNING: &str = "running.json";

fn file_id(name: &str) -> FileId {
    let path = VirtualPath::new(name).expect("template names are plain file names");
    RootedPath::new(VirtualRoot::Project, path).intern()
}

/// The typesetter's own functions, built once in a process.
fn library() -> &'static LazyHash<Library> {
    static LIBRARY: OnceLock<LazyHash<Library>> = OnceLock::new();
    LIBRARY.get_or_init(|| {
        // table summaries for screen readers are still behind this switch in typst 0.15
        let features = [Feature::A11yExtras].into_iter().collect();
        LazyHash::new(Library::builder().with_features(features).build())
    })
}

/// A template, parsed when it is first asked for: not every one is used by every paper.
struct Template {
    id: FileId,
    text: Cow<'static, str>,
    parsed: OnceLock<Source>,
}

impl Template {
    fn new(name: &str, text: Cow<'static, str>) -> Template {
        Template {
            id: file_id(name),
            text,
            parsed: OnceLock::new(),
        }
    }

    fn source(&self) -> &Source {
        self.parsed
            .get_or_init(|| Source::new(self.id, self.text.clone().into_owned()))
    }
}

/// The embedded templates, each parsed once in a process.
fn embedded() -> &'static [Template] {
    static EMBEDDED: OnceLock<Vec<Template>> = OnceLock::new();
    EMBEDDED.get_or_init(|| {
        let template = |&(name, text): &(&str, &'static str)| Template::new(name, text.into());
        TEMPLATES.iter().map(template).collect()
    })
}

/// What all documents of a process share: fonts and templates.
pub(super) struct SharedWorld {
    book: LazyHash<FontBook>,
    fonts: Arc<Fonts>,
    /// In place of the embedded templates.
    own: Option<Vec<Template>>,
}

impl SharedWorld {
    pub(super) fn new(fonts: Arc<Fonts>) -> SharedWorld {
        SharedWorld {
            book: LazyHash::new(fonts.book().clone()),
            fonts,
            own: None,
        }
    }

    pub(super) fn with_templates<'t>(
        fonts: Arc<Fonts>,
        templates: impl Iterator<Item = (&'t str, &'t str)>,
    ) -> SharedWorld {
        SharedWorld {
            own: Some(
                templates
                    .map(|(name, text)| Template::new(name, text.to_owned().into()))
                    .collect(),
            ),
            ..SharedWorld::new(fonts)
        }
    }

    /// The one with the embedded fonts, built once.
    pub(super) fn embedded() -> &'static SharedWorld {
        static SHARED: OnceLock<SharedWorld> = OnceLock::new();
        SHARED.get_or_init(|| SharedWorld::new(Arc::new(Fonts::embedded())))
    }

    pub(super) fn fonts(&self) -> &Fonts {
        &self.fonts
    }

    fn templates(&self) -> &[Template] {
        self.own.as_deref().unwrap_or_else(|| embedded())
    }
}

/// One document's world.
pub(super) struct DocumentWorld<'s> {
    shared: &'s SharedWorld,
    data: Bytes,
    running: Bytes,
    /// The one picture a document may have, by name.
    picture: Option<(String, Bytes)>,
    main: &'static str,
}

impl<'s> DocumentWorld<'s> {
    pub(super) fn new(
        shared: &'s SharedWorld,
        data: Vec<u8>,
        running: Vec<u8>,
        picture: Option<(String, Vec<u8>)>,
    ) -> DocumentWorld<'s> {
        DocumentWorld {
            shared,
            data: Bytes::new(data),
            running: Bytes::new(running),
            picture: picture.map(|(name, bytes)| (name, Bytes::new(bytes))),
            main: MAIN,
        }
    }

    /// The world of the drawing, which belongs to no document.
    pub(super) fn of_drawing(shared: &'s SharedWorld) -> DocumentWorld<'s> {
        DocumentWorld {
            main: DRAWING,
            ..DocumentWorld::new(shared, Vec::new(), Vec::new(), None)
        }
    }
}

impl World for DocumentWorld<'_> {
    fn library(&self) -> &LazyHash<Library> {
        library()
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.shared.book
    }

    fn main(&self) -> FileId {
        file_id(self.main)
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        self.shared
            .templates()
            .iter()
            .find(|template| template.id == id)
            .map(|template| template.source().clone())
            .ok_or_else(|| FileError::NotFound(id.vpath().get_without_slash().into()))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == file_id(DATA) {
            return Ok(self.data.clone());
        }
        if id == file_id(RUNNING) {
            return Ok(self.running.clone());
        }
        match &self.picture {
            Some((name, bytes)) if id == file_id(name) => Ok(bytes.clone()),
            _ => Err(FileError::AccessDenied),
        }
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.shared.fonts.get(index)
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}
