//! Turns finished pages into everything that was drawn on them: stretches of text with their type, and shapes with their lines.
//! Invariant: every text run of every page is here, furniture too, in the order it was drawn; lengths in points from the top left.
//! Must not: know what a stretch says or which statement it belongs to (that is `laid`), or judge anything.

use typst::foundations::Value;
use typst::introspection::{Location, MetadataElem, Tag};
use typst::layout::{Abs, Frame, FrameItem, Point, Transform};
use typst::text::FontStyle;
use typst::visualize::{Curve, FillRule, Geometry as Shaped};
use typst_layout::PagedDocument;

use super::laid::{contrast, luminance};

/// A stretch of text in one type.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    pub text: String,
    /// From 1.
    pub page: usize,
    pub left: f64,
    pub right: f64,
    pub baseline: f64,
    pub size: f64,
    /// Height of a lower-case x in points.
    pub x_height: f64,
    pub italic: bool,
    pub bold: bool,
    /// Of the text against what lies behind it, by the formula of WCAG 2 (1 to 21).
    pub contrast: f64,
    /// In the running head or foot.
    pub furniture: bool,
    /// The innermost table, grid, list or other element it stands in, by the typesetter's name.
    pub inside: Vec<&'static str>,
}

/// A line, frame, rule or other shape.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    pub page: usize,
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
    /// Thickness and contrast against white of its line.
    pub stroke: Option<(f64, f64)>,
    /// Contrast against white of its filling.
    pub fill: Option<f64>,
    pub furniture: bool,
    pub inside: Vec<&'static str>,
}

/// Stretches that stand on one line without a gap.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    pub text: String,
    pub page: usize,
    pub left: f64,
    pub right: f64,
    pub baseline: f64,
    pub size: f64,
    pub inside: Vec<&'static str>,
}

/// Everything drawn on the pages of one paper.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Geometry {
    pub stretches: Vec<Stretch>,
    pub shapes: Vec<Drawn>,
    /// Pictures in pixels, by page.
    pub pictures: Vec<usize>,
}

struct Walk {
    found: Geometry,
    page: usize,
    furniture: bool,
    open: Vec<(Location, &'static str)>,
    /// Filled shapes of this page, latest last.
    behind: Vec<Filled>,
}

/// A filled shape, by what text on it is held against.
struct Filled {
    bounds: [f64; 4],
    luminance: f64,
    /// The outline of what is no rectangle, with the way from the page back to it.
    outline: Option<(Curve, FillRule, Transform)>,
}

impl Filled {
    /// The shape itself lies behind the point, not only the box around it: a face drawn as one outline leaves most of its box white.
    fn covers(&self, (x, y): (f64, f64)) -> bool {
        let [left, top, right, bottom] = self.bounds;
        let point = Point::new(Abs::pt(x), Abs::pt(y));
        (left..=right).contains(&x)
            && (top..=bottom).contains(&y)
            && self
                .outline
                .as_ref()
                .is_none_or(|(curve, rule, back)| curve.contains(*rule, point.transform(*back)))
    }
}

/// Reads the pages.
pub fn read(document: &PagedDocument) -> Geometry {
    let mut walk = Walk {
        found: Geometry::default(),
        page: 0,
        furniture: false,
        open: Vec::new(),
        behind: Vec::new(),
    };
    for (index, page) in document.pages().iter().enumerate() {
        walk.page = index + 1;
        walk.behind.clear();
        walk.frame(&page.frame, Transform::identity());
    }
    walk.found
}

impl Walk {
    fn frame(&mut self, frame: &Frame, transform: Transform) {
        for (position, item) in frame.items() {
            let here = transform.pre_concat(Transform::translate(position.x, position.y));
            match item {
                FrameItem::Group(group) => {
                    self.frame(&group.frame, here.pre_concat(group.transform));
                }
                FrameItem::Tag(Tag::Start(element, _)) => {
                    if let Some(metadata) = element.to_packed::<MetadataElem>() {
                        self.mark(&metadata.value);
                    } else if let Some(location) = element.location() {
                        self.open.push((location, element.elem().name()));
                    }
                }
                FrameItem::Tag(Tag::End(location, ..)) => {
                    self.open.retain(|(open, _)| open != location);
                }
                FrameItem::Text(text) => self.text(text, here),
                FrameItem::Shape(shape, _) => {
                    let bounds = shape.bbox(false);
                    let (first, last) = (bounds.min.transform(here), bounds.max.transform(here));
                    let bounds = [
                        first.x.to_pt().min(last.x.to_pt()),
                        first.y.to_pt().min(last.y.to_pt()),
                        first.x.to_pt().max(last.x.to_pt()),
                        first.y.to_pt().max(last.y.to_pt()),
                    ];
                    if let Some(fill) = shape.fill.as_ref().and_then(luminance) {
                        let outline = match &shape.geometry {
                            Shaped::Curve(curve) => here
                                .invert()
                                .map(|back| (curve.clone(), shape.fill_rule, back)),
                            Shaped::Line(_) | Shaped::Rect(_) => None,
                        };
                        self.behind.push(Filled {
                            bounds,
                            luminance: fill,
                            outline,
                        });
                    }
                    self.found.shapes.push(Drawn {
                        page: self.page,
                        left: bounds[0],
                        top: bounds[1],
                        right: bounds[2],
                        bottom: bounds[3],
                        stroke: shape
                            .stroke
                            .as_ref()
                            .map(|stroke| (stroke.thickness.to_pt(), contrast(&stroke.paint))),
                        fill: shape.fill.as_ref().map(contrast),
                        furniture: self.furniture,
                        inside: self.inside(),
                    });
                }
                FrameItem::Image(..) => self.found.pictures.push(self.page),
                FrameItem::Link(..) => {}
            }
        }
    }

    fn text(&mut self, text: &typst::text::TextItem, here: Transform) {
        let start = Point::zero().transform(here);
        let end = Point::with_x(text.width()).transform(here);
        let (left, right) = (
            start.x.to_pt().min(end.x.to_pt()),
            start.x.to_pt().max(end.x.to_pt()),
        );
        let baseline = start.y.to_pt();
        let size = text.size.to_pt();
        let info = text.font.font().info();
        let middle = (f64::midpoint(left, right), baseline - size * 0.25);
        let paper = self
            .behind
            .iter()
            .rev()
            .find(|filled| filled.covers(middle))
            .map_or(1.0, |filled| filled.luminance);
        let ink = luminance(&text.fill).unwrap_or(paper);
        self.found.stretches.push(Stretch {
            text: text.text.to_string(),
            page: self.page,
            left,
            right,
            baseline,
            size,
            x_height: text.font.metrics().x_height.at(text.size).to_pt(),
            italic: info.variant.style != FontStyle::Normal,
            bold: info.variant.weight.to_number() >= 600,
            contrast: (ink.max(paper) + 0.05) / (ink.min(paper) + 0.05),
            furniture: self.furniture,
            inside: self.inside(),
        });
    }

    fn inside(&self) -> Vec<&'static str> {
        self.open.iter().map(|(_, name)| *name).collect()
    }

    fn mark(&mut self, value: &Value) {
        let Value::Dict(dict) = value else { return };
        if let Ok(Value::Str(edge)) = dict.get("furniture") {
            self.furniture = edge.as_str() == "begin";
        }
    }
}
