//! Turns finished pages into what was laid out of each statement: its runs with page, place, size, colour and language.
//! Invariant: reads the pages themselves, in the order they are drawn; text of running heads and feet belongs to no statement.
//! Must not: know which statements are required, or look at the document the pages were made from.

use std::collections::BTreeMap;

use typst::foundations::Value;
use typst::introspection::{MetadataElem, Tag};
use typst::layout::{Frame, FrameItem, Point, Transform};
use typst::visualize::{Color, Paint};
use typst_layout::PagedDocument;

use crate::contrast::against_white;

/// A stretch of laid-out text. Lengths in points, from the left and the top edge of its page.
#[derive(Debug, Clone, PartialEq)]
pub struct LaidRun {
    pub text: String,
    /// From 1.
    pub page: usize,
    pub left: f64,
    pub right: f64,
    pub baseline: f64,
    pub size: f64,
    /// Drawn inside something that may cut it off.
    pub clipped: bool,
    /// Contrast of the text against white paper, by the formula of WCAG 2 (1 to 21).
    pub contrast: f64,
    /// ISO 639 code the text is tagged with.
    pub language: String,
}

/// What was laid out under one statement id.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Laid {
    /// How often the id begins; more than once means it was laid out twice.
    pub begins: usize,
    pub ends: usize,
    pub first_page: usize,
    pub last_page: usize,
    pub runs: Vec<LaidRun>,
}

/// Width and height of every page in points.
pub fn sizes(document: &PagedDocument) -> Vec<(f64, f64)> {
    let size = |frame: &Frame| (frame.width().to_pt(), frame.height().to_pt());
    document
        .pages()
        .iter()
        .map(|page| size(&page.frame))
        .collect()
}

/// Everything laid out under a statement id, by id.
pub fn statements(document: &PagedDocument) -> BTreeMap<String, Laid> {
    let mut walk = Walk::new();
    walk.document(document);
    walk.found
}

/// Everything laid out but running heads and feet, in the order it is drawn.
pub fn runs(document: &PagedDocument) -> Vec<LaidRun> {
    let mut walk = Walk {
        whole: Some(Vec::new()),
        ..Walk::new()
    };
    walk.document(document);
    walk.whole.unwrap_or_default()
}

struct Walk {
    /// Every run, when asked for.
    whole: Option<Vec<LaidRun>>,
    found: BTreeMap<String, Laid>,
    open: Vec<String>,
    /// Inside a running head or foot.
    furniture: bool,
    page: usize,
}

impl Walk {
    fn new() -> Walk {
        Walk {
            whole: None,
            found: BTreeMap::new(),
            open: Vec::new(),
            furniture: false,
            page: 0,
        }
    }

    fn document(&mut self, document: &PagedDocument) {
        for (index, page) in document.pages().iter().enumerate() {
            self.page = index + 1;
            self.frame(&page.frame, Transform::identity(), false);
        }
    }

    fn frame(&mut self, frame: &Frame, transform: Transform, clipped: bool) {
        for (position, item) in frame.items() {
            let here = transform.pre_concat(Transform::translate(position.x, position.y));
            match item {
                FrameItem::Group(group) => {
                    let inner = here.pre_concat(group.transform);
                    self.frame(&group.frame, inner, clipped || group.clip.is_some());
                }
                FrameItem::Tag(Tag::Start(element, _)) => {
                    if let Some(metadata) = element.to_packed::<MetadataElem>() {
                        self.mark(&metadata.value);
                    }
                }
                FrameItem::Text(text) => {
                    if self.furniture || (self.open.is_empty() && self.whole.is_none()) {
                        continue;
                    }
                    let start = Point::zero().transform(here);
                    let end = Point::with_x(text.width()).transform(here);
                    let run = LaidRun {
                        text: text.text.to_string(),
                        page: self.page,
                        left: start.x.to_pt().min(end.x.to_pt()),
                        right: start.x.to_pt().max(end.x.to_pt()),
                        baseline: start.y.to_pt(),
                        size: text.size.to_pt(),
                        clipped,
                        contrast: contrast(&text.fill),
                        language: text.lang.as_str().to_owned(),
                    };
                    if let Some(whole) = &mut self.whole {
                        whole.push(run.clone());
                    }
                    for id in &self.open {
                        if let Some(laid) = self.found.get_mut(id) {
                            // its mark may still stand at the end of the page before
                            if laid.runs.is_empty() {
                                laid.first_page = run.page;
                            }
                            laid.runs.push(run.clone());
                        }
                    }
                }
                _ => {}
            }
        }
    }

    fn mark(&mut self, value: &Value) {
        let Value::Dict(dict) = value else { return };
        let text = |key: &str| match dict.get(key) {
            Ok(Value::Str(text)) => Some(text.as_str().to_owned()),
            _ => None,
        };
        match (text("furniture"), text("statement"), text("edge")) {
            (Some(edge), ..) => self.furniture = edge == "begin",
            (None, Some(id), Some(edge)) if edge == "begin" => {
                let laid = self.found.entry(id.clone()).or_default();
                laid.begins += 1;
                if laid.first_page == 0 {
                    laid.first_page = self.page;
                }
                laid.last_page = self.page;
                self.open.push(id);
            }
            (None, Some(id), Some(_)) => {
                if let Some(laid) = self.found.get_mut(&id) {
                    laid.ends += 1;
                    laid.last_page = self.page;
                }
                self.open.retain(|open| *open != id);
            }
            _ => {}
        }
    }
}

/// WCAG 2 contrast against white; anything that is not a plain colour counts as invisible.
pub(super) fn contrast(paint: &Paint) -> f64 {
    luminance(paint).map_or(1.0, against_white)
}

/// WCAG 2 relative luminance of a colour as it shows on white paper; none for anything that is not a plain colour.
pub(super) fn luminance(paint: &Paint) -> Option<f64> {
    let Paint::Solid(color) = paint else {
        return None;
    };
    let rgb = color.to_rgb();
    Some(crate::contrast::luminance(
        f64::from(rgb.red),
        f64::from(rgb.green),
        f64::from(rgb.blue),
        f64::from(rgb.alpha),
    ))
}

/// The contrast of a grey or coloured text on white, for tests and for accent colours.
pub fn contrast_of(red: u8, green: u8, blue: u8) -> f64 {
    contrast(&Paint::Solid(Color::from_u8(red, green, blue, 255)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Anchors of the WCAG formula (document-standards, section 3): #767676 4.54, #777777 4.48, #595959 7.00, black 21.
    #[test]
    fn contrast_follows_wcag() {
        for (grey, expected) in [
            (0x76, 4.54),
            (0x77, 4.48),
            (0x59, 7.00),
            (0x94, 3.03),
            (0x00, 21.0),
        ] {
            let found = contrast_of(grey, grey, grey);
            assert!((found - expected).abs() < 0.006, "{grey:x}: {found}");
        }
        assert!((contrast_of(255, 255, 255) - 1.0).abs() < 1e-9);
    }
}
