//! Finding room: inside a piece for its label and grain arrow, outside for what does not fit.

use super::canvas::Words;
use super::list::Frame;
use super::polygon::{contains, crosses, distance_to_edge, edges, holds, overlap, rings};
use crate::geometry::{Point, Shape};

/// Clear space between a label and the edge of its piece, in mm.
const CLEAR: f64 = 0.7;
/// Half the breadth of a grain arrow, in mm.
const ARROW: f64 = 1.2;

/// Lines of text set as one block, each centred.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Block {
    pub(super) lines: Vec<Words>,
}

impl Block {
    pub(super) fn width(&self) -> f64 {
        self.lines.iter().map(Words::width).fold(0.0, f64::max)
    }

    pub(super) fn height(&self) -> f64 {
        self.lines.iter().map(Words::height).sum()
    }

    pub(super) fn frame(&self, centre: Point, turn: f64) -> Frame {
        Frame { centre, half_width: self.width() / 2.0, half_height: self.height() / 2.0, turn }
    }
}

/// The inside of a piece on paper, ready to be searched.
pub(super) struct Inside {
    shape: Shape,
    /// Points inside with their distance to the nearest edge, roomiest first.
    places: Vec<(f64, Point)>,
    /// Boxes that must stay free.
    obstacles: Vec<Frame>,
}

impl Inside {
    pub(super) fn new(shape: &Shape, obstacles: Vec<Frame>) -> Self {
        let shape = thinned(shape);
        let bounds = shape.bounds();
        let step = (bounds.length().max(bounds.width()) / 36.0).max(0.5);
        let mut places = Vec::new();
        let (across, down) = ((bounds.length() / step) as usize, (bounds.width() / step) as usize);
        for (i, j) in (0..=across.min(80)).flat_map(|i| (0..=down.min(80)).map(move |j| (i, j))) {
            let p = bounds.min + Point { x: (i as f64 + 0.5) * step, y: (j as f64 + 0.5) * step };
            if contains(&shape, p) {
                places.push((distance_to_edge(&shape, p), p));
            }
        }
        places.extend(spans(&shape).into_iter().map(|p| (distance_to_edge(&shape, p), p)));
        places.sort_by(|a, b| b.0.total_cmp(&a.0));
        Self { shape, places, obstacles }
    }

    /// The roomiest point inside; none for a shape without area.
    pub(super) fn middle(&self) -> Option<Point> {
        self.places.first().map(|&(_, p)| p)
    }

    fn is_free(&self, frame: &Frame) -> bool {
        !self.obstacles.iter().any(|o| overlap(o, frame)) && holds(&self.shape, frame)
    }

    /// Where a block of text fits at an angle.
    pub(super) fn block(&self, block: &Block, turn: f64) -> Option<Frame> {
        let least = block.width().min(block.height()) / 2.0;
        self.places
            .iter()
            .take_while(|(distance, _)| *distance >= least)
            .take(160)
            .map(|&(_, centre)| block.frame(centre, turn))
            .find(|frame| self.is_free(&frame.grown(CLEAR)))
    }

    /// Tail and head of a grain arrow clear of a label, pointing `turn` degrees, at least `least` mm long.
    pub(super) fn arrow(&self, turn: f64, least: f64, label: Option<&Frame>) -> Option<[Point; 2]> {
        let centre = label.map(|l| l.centre).or_else(|| self.middle())?;
        let mut near: Vec<(f64, Point)> = self
            .places
            .iter()
            .filter(|(distance, _)| *distance > ARROW * 0.9)
            .map(|&(_, p)| (libm::hypot(p.x - centre.x, p.y - centre.y), p))
            .collect();
        near.sort_by(|a, b| a.0.total_cmp(&b.0));
        let bounds = self.shape.bounds();
        let longest = (libm::hypot(bounds.length(), bounds.width()) * 0.5).min(45.0);
        let lengths =
            [1.0, 0.75, 0.55, 0.4, 0.28].map(|part| part * longest).into_iter().filter(|l| *l > least).chain([least]);
        for length in lengths {
            let frame = |centre| Frame { centre, half_width: length / 2.0, half_height: ARROW, turn };
            let fits = |f: &Frame| !label.is_some_and(|l| overlap(f, &l.grown(0.5))) && self.is_free(&f.grown(0.4));
            if let Some(found) = near.iter().take(400).map(|&(_, p)| frame(p)).find(fits) {
                return Some([found.at(-length / 2.0, 0.0), found.at(length / 2.0, 0.0)]);
            }
        }
        None
    }
}

/// The shape without points that make no difference on paper.
fn thinned(shape: &Shape) -> Shape {
    let thin = |ring: &Vec<Point>| {
        let mut out: Vec<Point> = Vec::new();
        for p in ring {
            if out.last().is_none_or(|q| libm::hypot(p.x - q.x, p.y - q.y) > 0.2) {
                out.push(*p);
            }
        }
        if out.len() < 3 { ring.clone() } else { out }
    };
    Shape { outline: thin(&shape.outline), holes: shape.holes.iter().map(thin).collect() }
}

/// Middles of the widest stretches along some level and upright lines: points inside even the thinnest sliver.
fn spans(shape: &Shape) -> Vec<Point> {
    let bounds = shape.bounds();
    let mut found = Vec::new();
    for i in 0..15 {
        let part = (f64::from(i) + 0.5) / 15.0;
        let y = bounds.min.y + part * bounds.width();
        let mut cuts: Vec<f64> = edges(shape)
            .filter(|(a, b)| (a.y > y) != (b.y > y))
            .map(|(a, b)| a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y))
            .collect();
        cuts.sort_by(f64::total_cmp);
        found.extend(cuts.chunks_exact(2).map(|c| Point { x: f64::midpoint(c[0], c[1]), y }));
        let x = bounds.min.x + part * bounds.length();
        let mut cuts: Vec<f64> = edges(shape)
            .filter(|(a, b)| (a.x > x) != (b.x > x))
            .map(|(a, b)| a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x))
            .collect();
        cuts.sort_by(f64::total_cmp);
        found.extend(cuts.chunks_exact(2).map(|c| Point { x, y: f64::midpoint(c[0], c[1]) }));
    }
    found
}

/// Side of a cell of the map, in mm.
const CELL: f64 = 0.8;

/// A map of the sheet in cells: what is taken, and by which piece.
pub(super) struct Map {
    across: usize,
    down: usize,
    blocked: Vec<bool>,
    owner: Vec<u32>,
    leaders: Vec<[Point; 2]>,
    labels: Vec<Frame>,
    /// Blocked cells above and to the left, for counting in a rectangle.
    sums: Vec<u32>,
}

impl Map {
    /// A map of a sheet, free within `body` only.
    pub(super) fn new(width: f64, height: f64, body: &Frame) -> Self {
        let (across, down) = ((width / CELL) as usize + 1, (height / CELL) as usize + 1);
        let mut map = Self {
            across,
            down,
            blocked: vec![false; across * down],
            owner: vec![0; across * down],
            leaders: Vec::new(),
            labels: Vec::new(),
            sums: Vec::new(),
        };
        let [from, _, to, _] = body.corners();
        for j in 0..down {
            for i in 0..across {
                let (x, y) = (i as f64 * CELL, j as f64 * CELL);
                map.blocked[j * across + i] = x < from.x || y < from.y || x + CELL > to.x || y + CELL > to.y;
            }
        }
        map
    }

    fn cell(&self, p: Point) -> Option<usize> {
        let (i, j) = ((p.x / CELL).floor(), (p.y / CELL).floor());
        let on = i >= 0.0 && j >= 0.0 && i < self.across as f64 && j < self.down as f64;
        on.then(|| j as usize * self.across + i as usize)
    }

    /// Takes the cells along a line.
    pub(super) fn block_line(&mut self, a: Point, b: Point) {
        let steps = (libm::hypot(b.x - a.x, b.y - a.y) / (CELL * 0.4)).ceil().clamp(1.0, 10_000.0);
        for i in 0..=steps as usize {
            if let Some(cell) = self.cell(a + (b - a) * (i as f64 / steps)) {
                self.blocked[cell] = true;
            }
        }
    }

    /// Takes the cells of a piece.
    pub(super) fn block_shape(&mut self, shape: &Shape, owner: u32) {
        for ring in rings(shape) {
            for (a, b) in super::polygon::ring_edges(ring) {
                self.block_line(a, b);
            }
        }
        let bounds = shape.bounds();
        for j in self.range(bounds.min.y, bounds.max.y, self.down) {
            for i in self.range(bounds.min.x, bounds.max.x, self.across) {
                let p = Point { x: (i as f64 + 0.5) * CELL, y: (j as f64 + 0.5) * CELL };
                if contains(shape, p) {
                    self.blocked[j * self.across + i] = true;
                    self.owner[j * self.across + i] = owner;
                }
            }
        }
    }

    /// Takes the cells of a box of text.
    pub(super) fn block_frame(&mut self, frame: &Frame) {
        let corners = frame.corners();
        let ring = Shape { outline: corners.to_vec(), holes: Vec::new() };
        let bounds = ring.bounds();
        for j in self.range(bounds.min.y, bounds.max.y, self.down) {
            for i in self.range(bounds.min.x, bounds.max.x, self.across) {
                let cell = Frame::upright(i as f64 * CELL, j as f64 * CELL, CELL, CELL);
                if overlap(&cell, frame) {
                    self.blocked[j * self.across + i] = true;
                }
            }
        }
        self.labels.push(*frame);
    }

    fn range(&self, low: f64, high: f64, most: usize) -> std::ops::Range<usize> {
        let low = (low / CELL).floor().clamp(0.0, most as f64) as usize;
        let high = ((high / CELL).floor() + 1.0).clamp(0.0, most as f64) as usize;
        low..high
    }

    fn sum(&mut self) {
        let wide = self.across + 1;
        self.sums = vec![0; wide * (self.down + 1)];
        for j in 0..self.down {
            for i in 0..self.across {
                let own = u32::from(self.blocked[j * self.across + i]);
                self.sums[(j + 1) * wide + i + 1] =
                    own + self.sums[j * wide + i + 1] + self.sums[(j + 1) * wide + i] - self.sums[j * wide + i];
            }
        }
    }

    /// The best free place for a box of this size, joined by a line to `target`, which lies in the piece `owner`.
    ///
    /// The line keeps off all text and other such lines. The place is taken.
    pub(super) fn outside(
        &mut self,
        width: f64,
        height: f64,
        target: Point,
        owner: u32,
    ) -> Option<(Frame, [Point; 2])> {
        self.sum();
        let cells = |extent: f64| (extent / CELL).ceil() as usize + 1;
        let (w, h) = (cells(width), cells(height));
        if w > self.across || h > self.down {
            return None;
        }
        let wide = self.across + 1;
        let mut places = Vec::new();
        for j in 0..=self.down - h {
            for i in 0..=self.across - w {
                let taken = self.sums[(j + h) * wide + i + w] + self.sums[j * wide + i]
                    - self.sums[j * wide + i + w]
                    - self.sums[(j + h) * wide + i];
                if taken == 0 {
                    let left = i as f64 * CELL + (w as f64 * CELL - width) / 2.0;
                    let top = j as f64 * CELL + (h as f64 * CELL - height) / 2.0;
                    let frame = Frame::upright(left, top, width, height);
                    let line = [touch(&frame, target), target];
                    places.push((libm::hypot(line[0].x - target.x, line[0].y - target.y), frame, line));
                }
            }
        }
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut best: Option<(f64, Frame, [Point; 2])> = None;
        for (length, frame, line) in places {
            if best.is_some_and(|b| b.0 <= length) {
                break;
            }
            if let Some(over) = self.over(line, owner) {
                let cost = length + 1.5 * over;
                if best.is_none_or(|b| cost < b.0) {
                    best = Some((cost, frame, line));
                }
            }
        }
        let (_, frame, line) = best?;
        self.block_frame(&frame);
        self.block_line(line[0], line[1]);
        self.leaders.push(line);
        Some((frame, line))
    }

    /// How many mm of a line run over other pieces; none where it meets text or another such line.
    fn over(&self, [a, b]: [Point; 2], owner: u32) -> Option<f64> {
        if self.labels.iter().any(|label| crosses(&label.grown(0.3), a, b)) {
            return None;
        }
        if self.leaders.iter().any(|&[c, d]| meet(a, b, c, d)) {
            return None;
        }
        let steps = (libm::hypot(b.x - a.x, b.y - a.y) / CELL).ceil().clamp(1.0, 2000.0);
        let foreign = (0..=steps as usize)
            .filter_map(|i| self.cell(a + (b - a) * (i as f64 / steps)))
            .filter(|&cell| self.owner[cell] != 0 && self.owner[cell] != owner)
            .count();
        Some(foreign as f64 * CELL)
    }
}

/// The point of an upright box nearest to a point.
fn touch(frame: &Frame, p: Point) -> Point {
    let (c, w, h) = (frame.centre, frame.half_width, frame.half_height);
    Point { x: p.x.clamp(c.x - w, c.x + w), y: p.y.clamp(c.y - h, c.y + h) }
}

/// Whether two segments cross or touch.
fn meet(a: Point, b: Point, c: Point, d: Point) -> bool {
    let side = |p: Point, q: Point, r: Point| (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
    side(a, b, c) * side(a, b, d) <= 0.0 && side(c, d, a) * side(c, d, b) <= 0.0
}
