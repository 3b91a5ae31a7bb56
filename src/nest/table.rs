//! A table over the bounds of a no-fit polygon: for every cell the few sides that can be the nearest.

use super::nofit::Side;
use super::rounded_down;
use crate::geometry::{Bounds, Point};
use std::sync::Arc;

/// Finds the nearest side of a no-fit polygon fast. It keeps numbers of sides; those who ask bring the sides. Copies share
/// their memory.
#[derive(Debug, Clone)]
pub(super) struct Table {
    origin: Point,
    scale: Point,
    columns: usize,
    rows: usize,
    /// Per cell the sides that can be nearest: two numbers of [`BITS`] bits, the same twice where there is one, or [`LIST`]
    /// and where in `lists` they are, first how many. A cell wholly outside has the last side.
    cells: Arc<[u32]>,
    lists: Arc<[u32]>,
    /// Per cell how deep all of it lies at least, in units of `unit`, rounded down; [`OUTSIDE`] where it is wholly outside.
    floors: Arc<[u8]>,
    unit: f64,
}

const CELLS: f64 = 1024.0;
const BLOCK: usize = 8;
const LIST: u32 = 1 << 31;
const BITS: u32 = 15;
const OUTSIDE: u8 = u8::MAX;
/// The deepest floor.
const DEEPEST: u8 = u8::MAX - 1;

impl Table {
    /// For sides within some bounds, the last of which is one from which all is outside.
    pub(super) fn new(bounds: &Bounds, sides: &[Side]) -> Self {
        let (length, width) = (bounds.length(), bounds.width());
        let nothing = Point { x: 0.0, y: 0.0 };
        let mut made = Self {
            origin: bounds.min,
            scale: nothing,
            columns: 0,
            rows: 0,
            cells: Arc::default(),
            lists: Arc::default(),
            floors: Arc::default(),
            // No place is deeper than half the lesser extent.
            unit: 0.5 * length.min(width) / f64::from(DEEPEST),
        };
        if sides.len() > 1 && length.max(width).is_finite() && length > 0.0 && width > 0.0 {
            let ratio = (length / width).clamp(1.0 / 16.0, 16.0);
            made.columns = (CELLS * ratio).sqrt().ceil() as usize;
            made.rows = (CELLS / ratio).sqrt().ceil() as usize;
            made.scale = Point { x: made.columns as f64 / length, y: made.rows as f64 / width };
            made.fill(sides);
        }
        made
    }

    /// The cell that a point lies in; none outside of all.
    #[inline]
    fn cell_of(&self, r: Point) -> Option<usize> {
        let x = (r.x - self.origin.x) * self.scale.x;
        let y = (r.y - self.origin.y) * self.scale.y;
        if !(x >= 0.0 && y >= 0.0) {
            return None;
        }
        let (column, row) = (rounded_down(x), rounded_down(y));
        (column < self.columns && row < self.rows).then(|| row * self.columns + column)
    }

    /// How deep a point lies at least, and the cell that tells how deep exactly; none where it is surely outside.
    #[inline]
    pub(super) fn floor(&self, r: Point) -> Option<(f64, usize)> {
        let cell = self.cell_of(r)?;
        let floor = *self.floors.get(cell)?;
        (floor != OUTSIDE).then(|| (f64::from(floor) * self.unit, cell))
    }

    /// Of a point in a cell, the squared distance to the nearest side, whether it is seen from inside, and which it is.
    #[inline]
    pub(super) fn nearest(&self, sides: &[Side], cell: usize, r: Point) -> Option<(f64, bool, usize)> {
        let cell = *self.cells.get(cell)?;
        if cell < LIST {
            // Two sides always, without a branch that depends on them: nothing would foretell it.
            let (a, b) = (cell as usize & ((1 << BITS) - 1), (cell >> BITS) as usize);
            let (first, second) = (sides[a].seen_from(r), sides[b].seen_from(r));
            let nearer = second.0 < first.0;
            return Some(if nearer { (second.0, second.1, b) } else { (first.0, first.1, a) });
        }
        let (&count, list) = self.lists.get((cell - LIST) as usize..)?.split_first()?;
        let mut best = (f64::INFINITY, false, 0);
        for &index in &list[..count as usize] {
            let (square, inside) = sides[index as usize].seen_from(r);
            if square < best.0 {
                best = (square, inside, index as usize);
            }
        }
        Some(best)
    }

    fn fill(&mut self, sides: &[Side]) {
        let all: Vec<u32> = (0..sides.len() as u32 - 1).collect();
        let mut lists = Vec::new();
        let outside = cell(&[all.len() as u32], &mut lists);
        let mut cells = vec![outside; self.columns * self.rows];
        let mut floors = vec![OUTSIDE; cells.len()];
        for row in (0..self.rows).step_by(BLOCK) {
            for column in (0..self.columns).step_by(BLOCK) {
                let last = ((column + BLOCK).min(self.columns), (row + BLOCK).min(self.rows));
                let (some, _, _) = self.candidates(sides, &all, (column, row), last);
                for r in row..last.1 {
                    for c in column..last.0 {
                        let (few, distance, inside) = self.candidates(sides, &some, (c, r), (c + 1, r + 1));
                        let half = libm::hypot(0.5 / self.scale.x, 0.5 / self.scale.y);
                        if inside || distance <= half * 1.000_001 {
                            cells[r * self.columns + c] = cell(&few, &mut lists);
                            let least = if inside { (distance - half * 1.000_001) / self.unit } else { 0.0 };
                            floors[r * self.columns + c] = (least * 0.999_999).clamp(0.0, f64::from(DEEPEST)) as u8;
                        }
                    }
                }
            }
        }
        (self.cells, self.lists, self.floors) = (cells.into(), lists.into(), floors.into());
    }

    /// The sides that can be nearest to some point of a block of cells; and of its middle, the distance and whether it is inside.
    fn candidates(
        &self,
        sides: &[Side],
        from: &[u32],
        low: (usize, usize),
        high: (usize, usize),
    ) -> (Vec<u32>, f64, bool) {
        let cell = Point { x: 1.0 / self.scale.x, y: 1.0 / self.scale.y };
        let middle = Point {
            x: self.origin.x + (low.0 + high.0) as f64 / 2.0 * cell.x,
            y: self.origin.y + (low.1 + high.1) as f64 / 2.0 * cell.y,
        };
        let half = libm::hypot((high.0 - low.0) as f64 / 2.0 * cell.x, (high.1 - low.1) as f64 / 2.0 * cell.y);
        let seen: Vec<(f64, bool)> = from.iter().map(|&index| sides[index as usize].seen_from(middle)).collect();
        let (square, inside) = seen.iter().fold((f64::INFINITY, false), |best, &s| if s.0 < best.0 { s } else { best });
        let reach = (square.sqrt() + 2.0 * half) * 1.000_001;
        let few = from.iter().zip(&seen).filter(|(_, s)| s.0 <= reach * reach).map(|(&index, _)| index).collect();
        (few, square.sqrt(), inside)
    }
}

/// What a cell keeps of a few sides; longer lists of them are put behind the others.
fn cell(few: &[u32], lists: &mut Vec<u32>) -> u32 {
    match *few {
        [a] if a < 1 << BITS => a | a << BITS,
        [a, b] if a.max(b) < 1 << BITS => a | b << BITS,
        _ => {
            let place = lists.len() as u32;
            lists.push(few.len() as u32);
            lists.extend(few);
            LIST + place
        }
    }
}
