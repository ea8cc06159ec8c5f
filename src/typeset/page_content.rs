//! Turns finished pages into everything that was drawn on them: text runs with their statement, element, colour and place, and shapes.
//! Invariant: the only walk over the pages; every run of every page is here, running lines too, in the order it was drawn
//! (words of scripts written from right to left: in the order they are read); lengths in points from the left and the top edge of the page.
//! Must not: know which statements are required, look at the document the pages were made from, or judge anything.

use std::collections::BTreeMap;

use typst::foundations::Value;
use typst::introspection::{Location, MetadataElem, Tag};
use typst::layout::{Abs, Frame, FrameItem, Point, Transform};
use typst::text::{FontStyle, TextItem};
use typst::visualize::{Curve, FillRule, Geometry};
use typst_layout::PagedDocument;

use super::colour::{contrast, luminance};

/// Which part of its page something stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PagePart {
    #[default]
    Body,
    /// The lines that run at the head of every page.
    Head,
    /// The lines that run at the foot of every page.
    Foot,
}

impl PagePart {
    /// In a running head or foot.
    pub fn is_running(self) -> bool {
        self != PagePart::Body
    }
}

/// A stretch of text in one type.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct TextRun {
    pub text: String,
    /// From 1.
    pub page: usize,
    /// Ids of the statements that are open here, the innermost last; none in running lines, which belong to no statement.
    pub statements: Vec<String>,
    pub part: PagePart,
    /// The tables, grids, lists and other elements it stands in, by the typesetter's names, the innermost last.
    pub inside: Vec<&'static str>,
    pub left: f64,
    pub right: f64,
    pub baseline: f64,
    pub size: f64,
    /// Height of a lower-case x.
    pub x_height: f64,
    pub italic: bool,
    pub bold: bool,
    /// Of the text against what lies behind it, by the formula of WCAG 2 (1 to 21).
    pub contrast: f64,
    /// ISO 639 code the text is tagged with.
    pub language: String,
    /// Drawn inside something that may cut it off.
    pub clipped: bool,
}

/// A line, frame, rule or other shape.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// From 1.
    pub page: usize,
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
    /// Thickness and contrast against white of its line.
    pub stroke: Option<(f64, f64)>,
    /// Contrast against white of its filling.
    pub fill: Option<f64>,
    pub part: PagePart,
    pub inside: Vec<&'static str>,
}

/// What was laid out under one statement id.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Placed {
    /// How often the id begins; more than once means it was laid out twice.
    pub begins: usize,
    pub ends: usize,
    pub first_page: usize,
    pub last_page: usize,
    pub runs: Vec<TextRun>,
}

/// Everything drawn on the pages of one paper.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PageContent {
    /// Width and height of each page.
    pub sizes: Vec<(f64, f64)>,
    /// In the order they are drawn.
    pub runs: Vec<TextRun>,
    pub shapes: Vec<Shape>,
    /// Pictures that are placed whole and not drawn by the templates (a logo, the code for a telephone), by page.
    pub pictures: Vec<usize>,
    /// By statement id.
    pub statements: BTreeMap<String, Placed>,
}

impl PageContent {
    /// Reads the pages.
    pub(super) fn read(document: &PagedDocument) -> PageContent {
        let mut walk = Walk::default();
        for (index, page) in document.pages().iter().enumerate() {
            let frame = &page.frame;
            walk.page = index + 1;
            walk.behind.clear();
            let size = (frame.width().to_pt(), frame.height().to_pt());
            walk.found.sizes.push(size);
            walk.frame(frame, Transform::identity(), false);
        }
        walk.found
    }

    /// Every run but those of running heads and feet, in the order it is drawn.
    pub fn body(&self) -> impl Iterator<Item = &TextRun> {
        self.runs.iter().filter(|run| !run.part.is_running())
    }

    /// The text of each page, its runs parted by spaces in the order they are drawn.
    pub fn texts(&self) -> Vec<String> {
        let mut texts = vec![String::new(); self.sizes.len()];
        for run in &self.runs {
            let text = &mut texts[run.page - 1];
            text.push_str(&run.text);
            text.push(' ');
        }
        texts
    }
}

#[derive(Default)]
struct Walk {
    found: PageContent,
    page: usize,
    part: PagePart,
    /// Elements around this place, the innermost last.
    elements: Vec<(Location, &'static str)>,
    /// Statements around this place.
    statements: Vec<String>,
    /// Filled shapes of this page, latest last.
    behind: Vec<Filled>,
    /// Where the words that are written from right to left begin among the runs, when the walk is among such words.
    turned: Option<usize>,
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

impl Walk {
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
                    } else if let Some(location) = element.location() {
                        self.elements.push((location, element.elem().name()));
                    }
                }
                FrameItem::Tag(Tag::End(location, ..)) => {
                    self.elements.retain(|(open, _)| open != location);
                }
                FrameItem::Text(text) => self.text(text, here, clipped),
                FrameItem::Shape(shape, _) => self.shape(shape, here),
                FrameItem::Image(..) => self.found.pictures.push(self.page),
                FrameItem::Link(..) => {}
            }
        }
    }

    fn text(&mut self, text: &TextItem, here: Transform, clipped: bool) {
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
        let run = TextRun {
            text: text.text.to_string(),
            page: self.page,
            statements: match self.part {
                PagePart::Body => self.statements.clone(),
                PagePart::Head | PagePart::Foot => Vec::new(),
            },
            part: self.part,
            inside: self.inside(),
            left,
            right,
            baseline,
            size,
            x_height: text.font.metrics().x_height.at(text.size).to_pt(),
            italic: info.variant.style != FontStyle::Normal,
            bold: info.variant.weight.to_number() >= 600,
            contrast: (ink.max(paper) + 0.05) / (ink.min(paper) + 0.05),
            language: text.lang.as_str().to_owned(),
            clipped,
        };
        self.found.runs.push(run);
        if self.turned.is_none() {
            self.place(self.found.runs.len() - 1);
        }
    }

    /// Puts the runs from this one on under the statements they belong to.
    fn place(&mut self, from: usize) {
        for run in &self.found.runs[from..] {
            for id in &run.statements {
                let placed = self.found.statements.entry(id.clone()).or_default();
                // its mark may still stand at the end of the page before
                if placed.runs.is_empty() {
                    placed.first_page = run.page;
                }
                placed.runs.push(run.clone());
            }
        }
    }

    /// Brings words that are written from right to left into the order they are read: in each of their lines from the right.
    /// They stand in one box, so that all of them are on one page.
    fn turn(&mut self, begins: bool) {
        if begins {
            self.turned.get_or_insert(self.found.runs.len());
            return;
        }
        let Some(from) = self.turned.take() else {
            return;
        };
        let drawn = &mut self.found.runs[from..];
        for line in drawn.chunk_by_mut(|before, after| before.baseline == after.baseline) {
            line.sort_by(|one, other| other.left.total_cmp(&one.left));
        }
        self.place(from);
    }

    fn shape(&mut self, shape: &typst::visualize::Shape, here: Transform) {
        let bounds = shape.bbox(false);
        let (first, last) = (bounds.min.transform(here), bounds.max.transform(here));
        let bounds = [
            first.x.to_pt().min(last.x.to_pt()),
            first.y.to_pt().min(last.y.to_pt()),
            first.x.to_pt().max(last.x.to_pt()),
            first.y.to_pt().max(last.y.to_pt()),
        ];
        if let Some(luminance) = shape.fill.as_ref().and_then(luminance) {
            let outline = match &shape.geometry {
                Geometry::Curve(curve) => here
                    .invert()
                    .map(|back| (curve.clone(), shape.fill_rule, back)),
                Geometry::Line(_) | Geometry::Rect(_) => None,
            };
            self.behind.push(Filled {
                bounds,
                luminance,
                outline,
            });
        }
        let [left, top, right, bottom] = bounds;
        // a drawing that was made larger as a whole has its lines made larger too
        let grown = (here.sx.get() * here.sy.get() - here.kx.get() * here.ky.get()).abs();
        self.found.shapes.push(Shape {
            page: self.page,
            left,
            top,
            right,
            bottom,
            stroke: shape.stroke.as_ref().map(|stroke| {
                (
                    grown.sqrt() * stroke.thickness.to_pt(),
                    contrast(&stroke.paint),
                )
            }),
            fill: shape.fill.as_ref().map(contrast),
            part: self.part,
            inside: self.inside(),
        });
    }

    fn inside(&self) -> Vec<&'static str> {
        self.elements.iter().map(|(_, name)| *name).collect()
    }

    /// What the templates say about a place: `(running: "head" or "foot", edge: …)`, `(statement: id, edge: …)` or
    /// `(turned: true, edge: …)`, where the edge is `begin` or `end`.
    fn mark(&mut self, value: &Value) {
        let Value::Dict(dict) = value else { return };
        let text = |key: &str| match dict.get(key) {
            Ok(Value::Str(text)) => Some(text.as_str()),
            _ => None,
        };
        let Some(edge) = text("edge") else { return };
        let begins = edge == "begin";
        if let Some(running) = text("running") {
            self.part = match running {
                _ if !begins => PagePart::Body,
                "foot" => PagePart::Foot,
                _ => PagePart::Head,
            };
        } else if let Some(id) = text("statement") {
            self.statement(id, begins);
        } else if dict.get("turned").is_ok() {
            self.turn(begins);
        }
    }

    fn statement(&mut self, id: &str, begins: bool) {
        if begins {
            let placed = self.found.statements.entry(id.to_owned()).or_default();
            placed.begins += 1;
            if placed.first_page == 0 {
                placed.first_page = self.page;
            }
            placed.last_page = self.page;
            self.statements.push(id.to_owned());
            return;
        }
        // an end without a beginning places nothing
        if let Some(placed) = self.found.statements.get_mut(id) {
            placed.ends += 1;
            placed.last_page = self.page;
        }
        self.statements.retain(|open| open != id);
    }
}
