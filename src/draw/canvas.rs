//! A sheet in the making: marks, and the boxes that text has taken.

use super::list::{Anchor, Frame, Line, Mark, Path, Placed, Sheet, Stroke, Text, Tone};
use super::polygon::overlap;
use super::text::{LINE, POINT, ems, shorten};
use crate::geometry::{Point, Shape, sine_cosine};

/// Black.
pub(super) const BLACK: Tone = 0.0;
/// White.
pub(super) const WHITE: Tone = 1.0;

/// A sheet in the making.
pub(super) struct Canvas {
    pub(super) marks: Vec<Mark>,
    pub(super) placements: Vec<Placed>,
    /// Boxes of all text so far.
    pub(super) taken: Vec<Frame>,
    width: f64,
    height: f64,
    margin: f64,
}

/// A line of text to be set: words, points, weight.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Words {
    pub(super) content: String,
    pub(super) points: f64,
    pub(super) bold: bool,
}

impl Words {
    pub(super) fn new(content: impl Into<String>, points: f64) -> Self {
        Self { content: content.into(), points, bold: false }
    }

    pub(super) fn bold(content: impl Into<String>, points: f64) -> Self {
        Self { content: content.into(), points, bold: true }
    }

    /// Width of its box in mm.
    pub(super) fn width(&self) -> f64 {
        ems(&self.content, self.bold) * self.points * POINT
    }

    /// Height of its box in mm.
    pub(super) fn height(&self) -> f64 {
        LINE * self.points * POINT
    }

    /// Shortened to a width in mm, and the whole where it was.
    pub(super) fn within(&self, width: f64) -> (Self, Option<String>) {
        let content = shorten(&self.content, self.bold, width / (self.points * POINT));
        let full = (content != self.content).then(|| self.content.clone());
        (Self { content, ..self.clone() }, full)
    }
}

impl Canvas {
    pub(super) fn new(width: f64, height: f64, margin: f64) -> Self {
        Self { marks: Vec::new(), placements: Vec::new(), taken: Vec::new(), width, height, margin }
    }

    pub(super) fn left(&self) -> f64 {
        self.margin
    }

    pub(super) fn right(&self) -> f64 {
        self.width - self.margin
    }

    pub(super) fn top(&self) -> f64 {
        self.margin
    }

    pub(super) fn bottom(&self) -> f64 {
        self.height - self.margin
    }

    pub(super) fn finish(self) -> Sheet {
        Sheet { width: self.width, height: self.height, marks: self.marks, placements: self.placements }
    }

    /// Whether a box is on the sheet and clear of all text.
    pub(super) fn is_free(&self, frame: &Frame) -> bool {
        let on_sheet = frame
            .corners()
            .iter()
            .all(|c| c.x >= self.left() && c.x <= self.right() && c.y >= self.top() && c.y <= self.bottom());
        on_sheet && !self.taken.iter().any(|other| overlap(frame, other))
    }

    /// Sets text in a box; the box is taken.
    pub(super) fn text(&mut self, words: &Words, frame: Frame, anchor: Anchor, full: Option<String>) {
        self.taken.push(frame);
        self.marks.push(Mark::Text(Text {
            content: words.content.clone(),
            full,
            frame,
            anchor,
            size: words.points * POINT,
            bold: words.bold,
        }));
    }

    /// Sets upright text with its box's left and top, shortened to a width; gives the right end.
    pub(super) fn text_at(&mut self, words: &Words, left: f64, top: f64, most: f64) -> f64 {
        let (words, full) = words.within(most);
        let width = words.width();
        self.text(&words, Frame::upright(left, top, width, words.height()), Anchor::Start, full);
        left + width
    }

    /// Sets upright text with its box's right and top, shortened to a width.
    pub(super) fn text_ending_at(&mut self, words: &Words, right: f64, top: f64, most: f64) {
        let (words, full) = words.within(most);
        let width = words.width();
        self.text(&words, Frame::upright(right - width, top, width, words.height()), Anchor::End, full);
    }

    pub(super) fn lines(&mut self, lines: Vec<Line>, width: f64, tone: Tone, dash: Option<[f64; 2]>) {
        if !lines.is_empty() {
            self.marks.push(Mark::Path(Path {
                lines,
                stroke: Some(Stroke { width, tone, dash }),
                fill: None,
                title: None,
            }));
        }
    }

    pub(super) fn line(&mut self, a: Point, b: Point, width: f64) {
        self.lines(vec![open(vec![a, b])], width, BLACK, None);
    }

    pub(super) fn area(&mut self, shape: &Shape, fill: Tone, title: Option<String>) {
        let lines = super::polygon::rings(shape).map(|ring| closed(ring.clone())).collect();
        self.marks.push(Mark::Path(Path { lines, stroke: None, fill: Some(fill), title }));
    }

    /// A filled arrow head with its tip at `tip`, pointing `turn` degrees (clockwise on paper).
    pub(super) fn head(&mut self, tip: Point, turn: f64, size: f64) {
        let (sine, cosine) = sine_cosine(turn);
        let (u, v) = (Point { x: cosine, y: sine }, Point { x: -sine, y: cosine });
        let back = tip - u * size;
        self.solid(vec![tip, back + v * (size * 0.36), back - u * (size * -0.22), back - v * (size * 0.36)]);
    }

    /// A filled disc.
    pub(super) fn dot(&mut self, at: Point, radius: f64) {
        let ring = (0..16).map(|i| {
            let (sine, cosine) = sine_cosine(f64::from(i) * 22.5);
            Point { x: at.x + radius * cosine, y: at.y + radius * sine }
        });
        self.solid(ring.collect());
    }

    fn solid(&mut self, ring: Vec<Point>) {
        self.marks.push(Mark::Path(Path { lines: vec![closed(ring)], stroke: None, fill: Some(BLACK), title: None }));
    }
}

/// A polyline.
pub(super) fn open(points: Vec<Point>) -> Line {
    Line { points, closed: false }
}

/// A ring.
pub(super) fn closed(points: Vec<Point>) -> Line {
    Line { points, closed: true }
}

/// A point.
pub(super) fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}
