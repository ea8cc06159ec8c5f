//! Places the numbers of the planned areas in columns beside the drawing of a face, and leads a straight line from each to its zone.
//! Invariant: rings of a column keep their distance, names included, and no two lines cross; where that cannot be, nothing is placed.
//! Must not: draw, or know what an area is called in any language.

use super::document::FaceVariant;
use crate::catalogue::{FaceMark, Side};
use crate::wording::{Rich, rich};

/// Areas whose numbers find room beside one face.
pub const MOST_AREAS: usize = 6;

/// Letters of a name in one line beside the face: what a column of 32 mm holds in 12 pt bold.
const LETTERS: usize = 13;
/// Lines of the longest name.
const MOST_LINES: usize = 5;
/// A point in millimetres.
const POINT: f64 = 25.4 / 72.0;
/// From line to line of a name, in points.
const LINE: f64 = 16.0;
/// From ring to ring at least, in points.
pub const APART: f64 = 20.0;

/// The drawing on its page, in units of the drawing: the same at every size of type, because both grow together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Millimetres a unit at 12 pt.
    pub unit: f64,
    /// Where the drawing is cut off.
    pub top: f64,
    pub bottom: f64,
    /// Above it stand the words that tell right from left.
    pub free_from: f64,
    /// Middle of the columns, to both sides of the middle of the face.
    pub column: f64,
}

impl Frame {
    /// Room for what is wanted: the neck is shown only where it is planned. `wide_words`: what tells right from left is too wide
    /// to stand beside the head, and stands above it.
    pub fn around(variant: FaceVariant, wanted: &[Wanted<'_>], wide_words: bool) -> Frame {
        let deep = wanted.iter().any(|one| one.mark.place().1 > 103.0);
        let bottom = if deep { 131.0 } else { 114.0 };
        match variant {
            FaceVariant::Beside => Frame {
                unit: 0.46,
                top: if wide_words { -20.0 } else { -4.0 },
                bottom,
                free_from: if wide_words { 4.5 } else { 20.5 },
                column: 56.0,
            },
            FaceVariant::Page => Frame {
                unit: 0.86,
                top: -4.0,
                bottom: if deep { 131.0 } else { 118.0 },
                free_from: 10.0,
                column: 50.0,
            },
        }
    }

    /// Half the height that a number and its name take.
    fn half(&self, lines: usize) -> f64 {
        let points = (lines as f64 * LINE).max(APART);
        points * POINT / self.unit / 2.0
    }
}

/// One mark that needs a number.
#[derive(Debug, Clone, Copy)]
pub struct Wanted<'m> {
    pub number: usize,
    pub mark: &'m FaceMark,
    /// Lines of its area's name and side; none where only the number is printed.
    pub lines: usize,
}

/// One number in its column.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    pub number: usize,
    /// Whether the area's name stands beside this ring; beside one of its rings only.
    pub named: bool,
    /// Middle of the ring.
    pub ring: (f64, f64),
    /// Where its line ends.
    pub end: (f64, f64),
    /// Half the height it takes in its column.
    pub half: f64,
}

/// Whether the second line of these words, their last one, would reach the head of a face that stands beside the plan.
pub fn are_wide(words: &Rich) -> bool {
    // millimetres of a letter at 12 pt, and of the room
    let (regular, bold, room) = (2.2, 2.75, 16.0);
    let letter = if words.iter().any(|run| run.bold) {
        bold
    } else {
        regular
    };
    let text = rich::text_of(words);
    let last = text.split_whitespace().last().unwrap_or_default();
    last.chars().count() as f64 * letter > room
}

/// Lines that a text takes beside the face; rather one too many. A name that is longer than any we know of gets no more room than
/// the longest, so that the numbers of one area always fit beside a face.
pub fn lines_of(text: &str) -> usize {
    let mut lines = 1;
    let mut used = 0;
    for word in text.split_whitespace() {
        let letters = word.chars().count();
        if used > 0 && used + 1 + letters > LETTERS {
            lines += 1;
            used = letters;
        } else {
            used += letters + usize::from(used > 0);
        }
    }
    lines.min(MOST_LINES)
}

/// All numbers in their columns; none where they do not fit.
pub fn place(wanted: &[Wanted<'_>], frame: &Frame) -> Option<Vec<Placed>> {
    // the patient's right is on the left of the paper
    let (mut left, mut right): (Vec<Placed>, Vec<Placed>) = (Vec::new(), Vec::new());
    let height = |column: &[Placed]| -> f64 { column.iter().map(|one| one.half).sum() };
    let mut one_sided: Vec<&Wanted<'_>> = wanted.iter().filter(|one| sided(one)).collect();
    // the column of the patient's right comes first, so that it has the names of what is planned on both sides
    one_sided.sort_by_key(|one| one.mark.side != Side::Right);
    let named_on_right = |number, left: &[Placed]| left.iter().all(|one| one.number != number);
    for one in &one_sided {
        let on_left = one.mark.side == Side::Right;
        let named = one.lines > 0 && (on_left || named_on_right(one.number, &left));
        let placed = frame.ring(one, named, on_left);
        if on_left { &mut left } else { &mut right }.push(placed);
    }
    let mut middle: Vec<&Wanted<'_>> = wanted.iter().filter(|one| !sided(one)).collect();
    middle.sort_by(|a, b| a.mark.y.total_cmp(&b.mark.y));
    for one in middle {
        let on_left = height(&left) + 1e-9 < height(&right);
        let placed = frame.ring(one, one.lines > 0, on_left);
        if on_left { &mut left } else { &mut right }.push(placed);
    }
    let fits = arrange(&mut left, frame) && arrange(&mut right, frame);
    left.extend(right);
    fits.then_some(left)
}

fn sided(wanted: &Wanted<'_>) -> bool {
    matches!(wanted.mark.side, Side::Left | Side::Right)
}

impl Frame {
    fn ring(&self, wanted: &Wanted<'_>, named: bool, on_left: bool) -> Placed {
        let (x, y) = wanted.mark.place();
        // a zone over the middle may be reached from either side
        let x = if sided(wanted) {
            x
        } else if on_left {
            -x.abs()
        } else {
            x.abs()
        };
        Placed {
            number: wanted.number,
            named,
            ring: (if on_left { -self.column } else { self.column }, y),
            end: (x, y),
            half: self.half(if named { wanted.lines } else { 0 }),
        }
    }
}

/// Gives the rings of one column their heights: each as near to its zone as its neighbours allow, in an order in which no two
/// lines cross. False where the column is too short or no such order was found.
fn arrange(column: &mut [Placed], frame: &Frame) -> bool {
    column.sort_by(|a, b| a.end.1.total_cmp(&b.end.1));
    // two lines that cross change places; each change makes the lines shorter, so few are needed
    for _ in 0..=column.len() * column.len() {
        if !spread(column, frame) {
            return false;
        }
        let Some(at) = (1..column.len()).find(|at| cross(&column[at - 1], &column[*at])) else {
            let clear = |(at, one): (usize, &Placed)| column[..at].iter().all(|o| !cross(o, one));
            return column.iter().enumerate().all(clear);
        };
        column.swap(at - 1, at);
    }
    false
}

/// Heights in the given order: the least moves from the zones' own heights that keep all apart (pooled neighbours, least squares).
fn spread(column: &mut [Placed], frame: &Frame) -> bool {
    let (Some(first), Some(last)) = (column.first(), column.last()) else {
        return true;
    };
    // distances taken out, what is left must only not fall
    let mut offsets = vec![0.0];
    for pair in column.windows(2) {
        let before = offsets.last().copied().unwrap_or(0.0);
        offsets.push(before + pair[0].half + pair[1].half);
    }
    let all = offsets.last().copied().unwrap_or(0.0);
    let (low, high) = (frame.free_from + first.half, frame.bottom - last.half - all);
    if high < low {
        return false;
    }
    // runs of rings that stand together: the sum of their wishes, and how many they are
    let mut runs: Vec<(f64, usize)> = Vec::new();
    for (one, offset) in column.iter().zip(&offsets) {
        runs.push((one.end.1 - offset, 1));
        while let [.., (a, m), (b, n)] = runs[..]
            && a / m as f64 > b / n as f64
        {
            runs.truncate(runs.len() - 2);
            runs.push((a + b, m + n));
        }
    }
    let heights = runs
        .iter()
        .flat_map(|(sum, count)| std::iter::repeat_n(sum / *count as f64, *count));
    for ((one, offset), height) in column.iter_mut().zip(&offsets).zip(heights) {
        one.ring.1 = height.clamp(low, high) + offset;
    }
    true
}

/// Whether the lines of two numbers meet.
pub fn cross(one: &Placed, other: &Placed) -> bool {
    let reach = |p: &Placed| (p.ring.0.min(p.end.0), p.ring.0.max(p.end.0));
    let ((a, b), (c, d)) = (reach(one), reach(other));
    // one beside the other
    if b < c || d < a {
        return false;
    }
    // on which side of a line from `a` to `b` a point lies
    let side = |a: (f64, f64), b: (f64, f64), p: (f64, f64)| {
        (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0)
    };
    let parted =
        |a: &Placed, b: &Placed| side(a.ring, a.end, b.ring) * side(a.ring, a.end, b.end) > 0.0;
    !parted(one, other) && !parted(other, one)
}
