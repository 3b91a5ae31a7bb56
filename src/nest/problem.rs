//! What is to be packed, and under which rules.

use crate::geometry::{Point, Pose, Shape};

/// Pack all items on a strip 0 <= y <= width, x >= 0, as short as possible.
#[derive(Debug, Clone)]
pub struct Problem {
    /// Width of the strip.
    pub width: f64,
    /// Least distance between two items.
    pub gap: f64,
    /// The distinct shapes; items refer to them by index.
    pub shapes: Vec<Shape>,
    /// What is to be placed, each once.
    pub items: Vec<Item>,
    /// Stretches of the strip that no item may touch, as shapes fixed in place.
    pub keep_out: Vec<Shape>,
}

/// One shape to be placed once.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Index into the problem's shapes.
    pub shape: usize,
    /// How it may lie; at least one.
    pub poses: Vec<Pose>,
    /// Where across the strip it may lie.
    pub band: Band,
}

/// Where across the strip an item may lie.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Band {
    /// Anywhere within the strip.
    Free,
    /// All of it within `from..=to`.
    Within {
        /// Least y.
        from: f64,
        /// Greatest y.
        to: f64,
    },
    /// The shape's own point `anchor` lies exactly on the line y = `y` (a fold, a selvedge).
    Pinned {
        /// A point in the shape's own coordinates.
        anchor: Point,
        /// The line it must lie on.
        y: f64,
    },
}
