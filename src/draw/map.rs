//! Finding room outside the pieces: a map of the sheet in cells.

use super::list::Frame;
use super::polygon::{contains, crosses, overlap, rings};
use crate::geometry::{Point, Shape};

/// Side of a cell of the map, in mm.
const CELL: f64 = 0.8;
/// How many of the nearest free places are tried.
const MOST_PLACES: usize = 1500;

/// A box with a line from it to what it speaks of.
#[derive(Debug, Clone, Copy)]
pub(super) struct Joined {
    pub(super) frame: Frame,
    pub(super) line: [Point; 2],
}

/// A map of the sheet in cells: what is taken, and by which piece.
#[derive(Clone)]
pub(super) struct Map {
    across: usize,
    down: usize,
    blocked: Vec<bool>,
    owner: Vec<u32>,
    leaders: Vec<[Point; 2]>,
    labels: Vec<Frame>,
    /// Blocked cells above and to the left, for counting in a rectangle.
    sums: Vec<u32>,
    is_summed: bool,
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
            is_summed: false,
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
        self.is_summed = false;
        let steps = (libm::hypot(b.x - a.x, b.y - a.y) / (CELL * 0.4)).ceil().clamp(1.0, 10_000.0);
        for i in 0..=steps as usize {
            if let Some(cell) = self.cell(a + (b - a) * (i as f64 / steps)) {
                self.blocked[cell] = true;
            }
        }
    }

    /// Takes a rectangle that is not to be crossed without need.
    pub(super) fn block_area(&mut self, frame: &Frame) {
        let shape = Shape { outline: frame.corners().to_vec(), holes: Vec::new() };
        self.block_shape(&shape, u32::MAX);
    }

    /// Takes the cells of a piece.
    pub(super) fn block_shape(&mut self, shape: &Shape, owner: u32) {
        self.is_summed = false;
        for ring in rings(shape) {
            for (a, b) in super::polygon::ring_edges(ring) {
                self.block_line(a, b);
            }
        }
        let bounds = shape.bounds();
        for j in Self::range(bounds.min.y, bounds.max.y, self.down) {
            for i in Self::range(bounds.min.x, bounds.max.x, self.across) {
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
        self.is_summed = false;
        let corners = frame.corners();
        let ring = Shape { outline: corners.to_vec(), holes: Vec::new() };
        let bounds = ring.bounds();
        for j in Self::range(bounds.min.y, bounds.max.y, self.down) {
            for i in Self::range(bounds.min.x, bounds.max.x, self.across) {
                let cell = Frame::upright(i as f64 * CELL, j as f64 * CELL, CELL, CELL);
                if overlap(&cell, frame) {
                    self.blocked[j * self.across + i] = true;
                }
            }
        }
        self.labels.push(*frame);
    }

    fn range(low: f64, high: f64, most: usize) -> std::ops::Range<usize> {
        let low = (low / CELL).floor().clamp(0.0, most as f64) as usize;
        let high = ((high / CELL).floor() + 1.0).clamp(0.0, most as f64) as usize;
        low..high
    }

    fn sum(&mut self) {
        if std::mem::replace(&mut self.is_summed, true) {
            return;
        }
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

    /// The best free place for a box of this size, joined by a line to `target`, which lies in the piece `owner`; with its
    /// cost in mm. The line keeps off all text and other such lines, and off other pieces where it can.
    pub(super) fn outside(&mut self, width: f64, height: f64, target: Point, owner: u32) -> Option<(f64, Joined)> {
        let mut best: Option<(f64, Joined)> = None;
        for (length, frame) in self.free(width, height, target) {
            if best.is_some_and(|b| b.0 <= length) {
                break;
            }
            let line = [touch(&frame, target), target];
            if let Some(over) = self.over(line, owner) {
                let cost = length + 2.0 * over;
                if best.is_none_or(|b| cost < b.0) {
                    best = Some((cost, Joined { frame, line }));
                }
            }
        }
        best
    }

    /// Takes the place of a box and its line.
    pub(super) fn take(&mut self, Joined { frame, line }: Joined) {
        self.block_frame(&frame);
        self.block_line(line[0], line[1]);
        self.leaders.push(line);
    }

    /// The free place for a box of this size that is nearest to a point. The place is taken.
    pub(super) fn anywhere(&mut self, width: f64, height: f64, near: Point) -> Option<Frame> {
        let (_, frame) = self.free(width, height, near).into_iter().next()?;
        self.block_frame(&frame);
        Some(frame)
    }

    /// The free places for a box of this size that are nearest to a point, with their distance, nearest first.
    fn free(&mut self, width: f64, height: f64, near: Point) -> Vec<(f64, Frame)> {
        self.sum();
        let cells = |extent: f64| (extent / CELL).ceil() as usize + 1;
        let (w, h) = (cells(width), cells(height));
        let mut places = Vec::new();
        if w > self.across || h > self.down {
            return Vec::new();
        }
        let frame = |(i, j): (usize, usize)| {
            let left = i as f64 * CELL + (w as f64 * CELL - width) / 2.0;
            let top = j as f64 * CELL + (h as f64 * CELL - height) / 2.0;
            Frame::upright(left, top, width, height)
        };
        let wide = self.across + 1;
        for j in 0..=self.down - h {
            for i in (0..=self.across - w).step_by(2) {
                let taken = self.sums[(j + h) * wide + i + w] + self.sums[j * wide + i]
                    - self.sums[j * wide + i + w]
                    - self.sums[(j + h) * wide + i];
                if taken == 0 {
                    let nearest = touch(&frame((i, j)), near);
                    places.push((libm::hypot(nearest.x - near.x, nearest.y - near.y), (i, j)));
                }
            }
        }
        // Ties are broken by place, so that the choice is one on every machine.
        let order = |a: &(f64, (usize, usize)), b: &(f64, (usize, usize))| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
        if places.len() > MOST_PLACES {
            places.select_nth_unstable_by(MOST_PLACES, order);
            places.truncate(MOST_PLACES);
        }
        places.sort_by(order);
        places.into_iter().map(|(distance, place)| (distance, frame(place))).collect()
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
