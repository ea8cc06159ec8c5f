//! Turns the picture that `look.toml` names into a logo, or into what stands against it.
//!
//! Invariant: a picture that comes out of here is small, is what its name says, draws itself without any other file, and the
//! typesetter has drawn it once.
//!
//! Must not: change the picture.

use std::ops::Range;
use std::path::Path;
use std::sync::Arc;

use crate::diagnose::{Code, Diagnostic, SourceFile, hint};
use crate::overlay::File;
use crate::plan::{Logo, LogoKind};
use crate::typeset;

/// Largest logo, in bytes: it is in every paper that is printed.
pub const MAX_LOGO_BYTES: u64 = 256 * 1024;
/// Most pixels along one edge. At the printed height of 14 mm this is far beyond what a printer shows.
const MAX_PIXELS: u32 = 4000;

/// What an SVG logo may not hold: other files, code, and letters (whose shape would hang on the fonts of the machine).
const REFUSED_IN_SVG: [(&str, &str); 7] = [
    ("<script", "a program"),
    ("<image", "another picture"),
    ("<foreignobject", "a web page"),
    ("<text", "text"),
    ("<!entity", "an abbreviation that stands for other text"),
    ("@import", "another style sheet"),
    ("url(http", "an address"),
];

pub(super) fn read(
    source: &SourceFile,
    path: &Path,
    span: Range<usize>,
    text: Option<String>,
    files: &[File],
) -> Result<Logo, Box<Diagnostic>> {
    let fail = |code, problem: String, remedy: String| {
        Box::new(Diagnostic::new(source, code, span.clone(), problem, remedy).at("look.logo"))
    };
    let name: String = path
        .components()
        .filter(|part| *part != std::path::Component::CurDir)
        .map(|part| part.as_os_str().to_string_lossy())
        .collect::<Vec<_>>()
        .join("/");
    let kind = [LogoKind::Svg, LogoKind::Png].into_iter().find(|kind| {
        name.to_ascii_lowercase()
            .ends_with(&format!(".{}", kind.ending()))
    });
    let Some(kind) = kind else {
        return Err(fail(
            Code::LogoUnusable,
            "A logo is an SVG or a PNG picture.".to_owned(),
            "Save it as one of these, with a name that ends in .svg or .png.".to_owned(),
        ));
    };
    let Some(file) = files.iter().find(|file| file.name == name) else {
        let known: Vec<&str> = files
            .iter()
            .map(|file| file.name.as_str())
            .filter(|name| name.ends_with(".svg") || name.ends_with(".png"))
            .collect();
        return Err(fail(
            Code::LogoMissing,
            "This picture is not in the overlay folder.".to_owned(),
            if known.is_empty() {
                "Put it beside look.toml.".to_owned()
            } else {
                hint(&name, known, "picture")
            },
        ));
    };
    if file.bytes.len() as u64 > MAX_LOGO_BYTES {
        return Err(fail(
            Code::LogoTooLarge,
            format!(
                "This picture has more than {} KiB; it is in every paper that is printed.",
                MAX_LOGO_BYTES / 1024
            ),
            "Save it smaller; it is printed 14 mm high.".to_owned(),
        ));
    }
    let unusable = |problem: String| {
        let remedy = "Save it again from a drawing program, as a plain picture.";
        fail(Code::LogoUnusable, problem, remedy.to_owned())
    };
    match kind {
        LogoKind::Png => {
            let (width, height) = png_size(&file.bytes)
                .ok_or_else(|| unusable("This file is not a PNG picture.".to_owned()))?;
            if width > MAX_PIXELS || height > MAX_PIXELS {
                return Err(fail(
                    Code::LogoTooLarge,
                    format!(
                        "This picture has {width} by {height} pixels; {MAX_PIXELS} along an edge is the most."
                    ),
                    "Save it smaller; it is printed 14 mm high.".to_owned(),
                ));
            }
        }
        LogoKind::Svg => {
            let drawn = std::str::from_utf8(&file.bytes)
                .map_err(|_| unusable("This picture is not saved as UTF-8 text.".to_owned()))?
                .to_ascii_lowercase();
            if let Some((_, what)) = REFUSED_IN_SVG.iter().find(|(tag, _)| drawn.contains(tag)) {
                return Err(fail(
                    Code::LogoUnusable,
                    format!("This picture holds {what}, which is not printed."),
                    "Take it out; turn letters into paths in the drawing program.".to_owned(),
                ));
            }
            if links(&drawn) {
                return Err(unusable("This picture points to another file.".to_owned()));
            }
        }
    }
    let logo = Logo {
        kind,
        bytes: Arc::from(file.bytes.as_slice()),
        text,
    };
    if !typeset::can_draw(&logo) {
        return Err(unusable(
            "This picture is broken; it cannot be drawn.".to_owned(),
        ));
    }
    Ok(logo)
}

/// Whether any `href` leads elsewhere than to a part of the same picture.
fn links(drawn: &str) -> bool {
    drawn.split("href").skip(1).any(|rest| {
        let target = rest
            .trim_start()
            .strip_prefix('=')
            .map(|rest| rest.trim_start().trim_start_matches(['"', '\'']));
        target.is_some_and(|target| !target.starts_with('#'))
    })
}

/// Width and height from the head of a PNG file (PNG specification, IHDR comes first).
fn png_size(bytes: &[u8]) -> Option<(u32, u32)> {
    let head = bytes.strip_prefix(b"\x89PNG\r\n\x1a\n")?;
    if head.get(4..8)? != b"IHDR" {
        return None;
    }
    let number = |at: usize| -> Option<u32> {
        Some(u32::from_be_bytes(head.get(at..at + 4)?.try_into().ok()?))
    };
    let size = (number(8)?, number(12)?);
    (size.0 > 0 && size.1 > 0).then_some(size)
}
