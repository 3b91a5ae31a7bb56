//! A convex no-fit polygon of few sides, as what lies left of every side: no table is as fast.

use super::nofit::{Depth, Side};
use crate::geometry::Point;
use std::sync::Arc;

/// Most sides; found by measuring.
const MOST: usize = 16;
/// How many sides are looked at in one go.
const LANES: usize = 4;

/// The sides of a convex no-fit polygon, in rows of four, the last filled up with sides that nothing is near to.
#[derive(Debug, Clone)]
pub(super) struct Planes {
    rows: Arc<[Row]>,
}

/// Four sides: `x * r.x + y * r.y + c` is how far left of each a point r lies.
#[derive(Debug, Clone)]
struct Row {
    x: [f64; LANES],
    y: [f64; LANES],
    c: [f64; LANES],
}

impl Planes {
    /// None unless the sides, in their order, go once round a convex polygon and are few enough.
    pub(super) fn about(sides: &[Side]) -> Option<Self> {
        if !(3..=MOST).contains(&sides.len()) || !is_convex(sides) {
            return None;
        }
        let rows = sides.chunks(LANES).map(Row::new).collect();
        Some(Self { rows })
    }

    /// How deep `r` lies inside; 0 outside.
    #[inline]
    pub(super) fn depth(&self, r: Point) -> f64 {
        // Comparisons, not `f64::min`, which must mind what is not a number and is slower for it.
        let lesser = |a: f64, b: f64| if a < b { a } else { b };
        let mut least = [f64::INFINITY; LANES];
        for row in self.rows.iter() {
            for (k, least) in least.iter_mut().enumerate() {
                *least = lesser(row.left(k, r), *least);
            }
        }
        let [a, b, c, d] = least;
        let depth = lesser(lesser(a, b), lesser(c, d));
        if depth > 0.0 { depth } else { 0.0 }
    }

    /// How deep `r` lies inside, and the way out.
    #[inline]
    pub(super) fn depth_and_way(&self, r: Point) -> Depth {
        let mut least = (f64::INFINITY, Point { x: 0.0, y: 0.0 });
        for row in self.rows.iter() {
            for k in 0..LANES {
                let left = row.left(k, r);
                if left < least.0 {
                    least = (left, Point { x: row.x[k], y: row.y[k] });
                }
            }
        }
        let (depth, inward) = least;
        if depth > 0.0 { Depth { depth, out: inward * -depth } } else { Depth::NONE }
    }
}

impl Row {
    fn new(sides: &[Side]) -> Self {
        let mut row = Self { x: [0.0; LANES], y: [0.0; LANES], c: [f64::INFINITY; LANES] };
        for (k, side) in sides.iter().enumerate() {
            let (x, y) = (-side.along.y, side.along.x);
            row.x[k] = x;
            row.y[k] = y;
            row.c[k] = -(x * side.from.x + y * side.from.y);
        }
        row
    }

    #[inline]
    fn left(&self, k: usize, r: Point) -> f64 {
        self.x[k] * r.x + self.y[k] * r.y + self.c[k]
    }
}

fn is_convex(sides: &[Side]) -> bool {
    let mut turned = 0.0;
    for (k, side) in sides.iter().enumerate() {
        let (u, v) = (side.along, sides[(k + 1) % sides.len()].along);
        let turn = libm::atan2(u.x * v.y - u.y * v.x, u.x * v.x + u.y * v.y);
        if turn < 0.0 {
            return false;
        }
        turned += turn;
    }
    // Once round, not twice.
    turned < 1.5 * std::f64::consts::TAU
}
