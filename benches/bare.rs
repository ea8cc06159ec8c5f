//! Turns the text of papers into pages with the same typesetter and nothing of ours: headings and paragraphs, no templates.
//!
//! Invariant: the same text, fonts, sizes and standards as the papers. Must not: use the program's own layout.

use std::sync::OnceLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

const TEMPLATE: &str = r#"
#set document(title: "Paper", date: datetime(year: 2026, month: 12, day: 3))
#set page(margin: 20mm)
#set text(font: "Noto Sans", size: 12pt, lang: "en", hyphenate: false)
#for (level, words) in json("data.json") { if level > 0 { heading(level: level, words) } else { par(words) } }
"#;

/// The texts of some papers.
pub struct Bare {
    texts: Vec<Vec<(u8, String)>>,
    pages: OnceLock<usize>,
}

struct OneWorld<'b> {
    data: &'b [u8],
}

struct Shared {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    main: Source,
}

fn id(name: &str) -> FileId {
    RootedPath::new(
        VirtualRoot::Project,
        VirtualPath::new(name).expect("a plain name"),
    )
    .intern()
}

fn shared() -> &'static Shared {
    static SHARED: OnceLock<Shared> = OnceLock::new();
    SHARED.get_or_init(|| {
        let files = [notosans::REGULAR_TTF, notosans::BOLD_TTF];
        let fonts: Vec<Font> = files
            .into_iter()
            .flat_map(|data| Font::iter(Bytes::new(data)))
            .collect();
        Shared {
            library: LazyHash::new(Library::builder().build()),
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
            main: Source::new(id("main.typ"), TEMPLATE.to_owned()),
        }
    })
}

impl World for OneWorld<'_> {
    fn library(&self) -> &LazyHash<Library> {
        &shared().library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &shared().book
    }

    fn main(&self) -> FileId {
        id("main.typ")
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        match id == shared().main.id() {
            true => Ok(shared().main.clone()),
            false => Err(FileError::AccessDenied),
        }
    }

    fn file(&self, _: FileId) -> FileResult<Bytes> {
        Ok(Bytes::new(self.data.to_vec()))
    }

    fn font(&self, index: usize) -> Option<Font> {
        shared().fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

impl Bare {
    pub fn new(texts: &[Vec<(u8, String)>]) -> Bare {
        // levels of headings must not be skipped
        let flat = |lines: &Vec<(u8, String)>| {
            let lines = lines.iter();
            lines
                .map(|(level, text)| ((*level).min(1), text.clone()))
                .collect()
        };
        Bare {
            texts: texts.iter().map(flat).collect(),
            pages: OnceLock::new(),
        }
    }

    /// Every text to pages and to a tagged PDF; `round` stands in every paragraph, so that nothing is remembered.
    pub fn compile(&self, round: usize) {
        let mut pages = 0;
        for text in &self.texts {
            let text: Vec<(u8, String)> = text
                .iter()
                .map(|(level, text)| (*level, format!("{text} {round}")))
                .collect();
            let data = &serde_json::to_vec(&text).expect("text");
            let compiled = typst::compile::<PagedDocument>(&OneWorld { data });
            comemo::evict(5);
            let document = compiled.output.expect("plain text compiles");
            let standards = PdfStandards::new(&[PdfStandard::Ua_1, PdfStandard::A_2a])
                .expect("these two go together");
            let options = PdfOptions {
                standards,
                ..PdfOptions::default()
            };
            std::hint::black_box(typst_pdf::pdf(&document, &options).expect("plain text"));
            pages += document.pages().len();
        }
        let _ = self.pages.set(pages);
    }

    pub fn pages(&self) -> usize {
        self.pages.get().copied().unwrap_or_default()
    }
}
