//! No-fit polygons: where a second outline may not lie beside a first.
//!
//! The no-fit polygon of outlines A and B is the set of all moves of B that make it overlap A: the Minkowski sum of A and
//! -B (Art 1966). How deep a move lies inside it is how far B
//! must move for the two to part.

use super::convolution::convolution;
use super::outline::{open_ring, polygon};
use super::planes::Planes;
use super::table::Table;
use crate::geometry::{Bounds, Point, convex_difference, ring_area, ring_bounds};
use geo::algorithm::bool_ops::unary_union;
use geo::{MultiPolygon, Polygon};
use std::sync::Arc;

/// A no-fit polygon, made ready for fast depths. Copies share their memory.
#[derive(Debug, Clone)]
pub struct NoFit {
    bounds: Bounds,
    finder: Finder,
    /// And a last one of no length, from which all is outside.
    sides: Arc<[Side]>,
}

/// How depths are found.
#[derive(Debug, Clone)]
enum Finder {
    /// Convex and of few sides: all are looked at.
    Planes(Planes),
    Table(Table),
}

/// A side of a no-fit polygon, its inside to the left.
#[derive(Debug, Clone, Copy)]
pub struct Side {
    /// Where it begins.
    pub from: Point,
    /// Its direction, of length 1.
    pub along: Point,
    /// Its length.
    pub length: f64,
    /// What to add to how far left of it a point before its beginning or beyond its end lies, so that what is over 0 is inside.
    begin: f64,
    end: f64,
}

/// What is nearest to a corner: a point beside a hollow corner is inside, beside any other outside.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Corner {
    Straight,
    Convex,
    Hollow,
}

/// How deep a point lies inside, and where the nearest way out leads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Depth {
    /// Distance to the boundary; 0 outside.
    pub depth: f64,
    /// From the point to the nearest point of the boundary.
    pub out: Point,
}

/// A first look at how deep a point lies inside.
#[derive(Debug, Clone, Copy)]
pub struct Rough {
    /// No more than the depth; the depth itself where `cell` is none.
    pub depth: f64,
    /// Where to look closer.
    pub cell: Option<usize>,
}

impl Depth {
    pub(super) const NONE: Self = Self { depth: 0.0, out: ZERO };
}

const ZERO: Point = Point { x: 0.0, y: 0.0 };

impl NoFit {
    /// The no-fit polygon of two simple outlines, both counter-clockwise; none where they are not simple enough for it.
    pub fn new(a: &[Point], b: &[Point]) -> Option<Self> {
        let mut curves = convolution(a, b)?;
        // The union takes its sense of winding from the first curve: one through an outermost point winds about the sum.
        let lowest = |curve: &[Point]| {
            let least = |p: &Point, q: &Point| p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y));
            curve.iter().copied().min_by(least)
        };
        let mut first = (0, Point { x: f64::INFINITY, y: f64::INFINITY });
        for (k, curve) in curves.iter().enumerate() {
            if let Some(p) = lowest(curve)
                && (p.x, p.y) < (first.1.x, first.1.y)
            {
                first = (k, p);
            }
        }
        curves.swap(0, first.0);
        let curves: Vec<Polygon> = curves.into_iter().map(polygon).collect();
        let made = Self::from_union(unary_union(&curves));
        // What comes out must reach as far as the outlines do, and be no smaller than either.
        let (p, q, r) = (ring_bounds(a), ring_bounds(b), made.bounds);
        let off = [
            r.min.x - (p.min.x - q.max.x),
            r.min.y - (p.min.y - q.max.y),
            r.max.x - (p.max.x - q.min.x),
            r.max.y - (p.max.y - q.min.y),
        ];
        let size = r.length().max(r.width());
        let whole = off.iter().all(|o| o.abs() <= 1e-6 * size)
            && made.area() >= ring_area(a) + ring_area(b) - 1e-6 * size * size;
        whole.then_some(made)
    }

    /// The no-fit polygon of two outlines, each given as its convex parts: slower, but good for any outline that has parts.
    pub fn of_parts(a: &[Vec<Point>], b: &[Vec<Point>]) -> Self {
        let mut sums = Vec::with_capacity(a.len() * b.len());
        for p in a {
            for q in b {
                sums.push(polygon(convex_difference(p, q)));
            }
        }
        Self::from_union(unary_union(&sums))
    }

    fn from_union(union: MultiPolygon) -> Self {
        let mut rings = Vec::new();
        for part in union {
            let (outer, holes) = part.into_inner();
            rings.push(outer.0);
            rings.extend(holes.into_iter().map(|hole| hole.0));
        }
        Self::from_rings(&rings)
    }

    /// From rings with the inside to their left.
    fn from_rings(rings: &[Vec<Point>]) -> Self {
        let mut bounds = ring_bounds(&[]);
        for ring in rings {
            let b = ring_bounds(ring);
            bounds.min.x = bounds.min.x.min(b.min.x);
            bounds.min.y = bounds.min.y.min(b.min.y);
            bounds.max.x = bounds.max.x.max(b.max.x);
            bounds.max.y = bounds.max.y.max(b.max.y);
        }
        let size = bounds.length().max(bounds.width());
        let rings: Vec<Vec<Point>> = rings.iter().map(|ring| without_straight_corners(ring, size * 1e-8)).collect();
        let mut sides: Vec<Side> = rings.iter().flat_map(|ring| sides_of(ring)).collect();
        let planes = if rings.len() == 1 { Planes::about(&sides) } else { None };
        let outside = f64::NEG_INFINITY;
        sides.push(Side { from: ZERO, along: Point { x: 1.0, y: 0.0 }, length: -1.0, begin: outside, end: outside });
        let finder = match planes {
            Some(planes) => Finder::Planes(planes),
            None => Finder::Table(Table::new(&bounds, &sides)),
        };
        Self { bounds, finder, sides: sides.into() }
    }

    /// The smallest upright rectangle about it.
    pub fn bounds(&self) -> Bounds {
        self.bounds
    }

    /// Its sides, inside to the left.
    pub fn sides(&self) -> &[Side] {
        &self.sides[..self.sides.len().saturating_sub(1)]
    }

    /// Area inside.
    pub fn area(&self) -> f64 {
        let twice: f64 = self
            .sides()
            .iter()
            .map(|side| {
                let (p, q) = (side.from - self.bounds.min, side.to() - self.bounds.min);
                p.x * q.y - p.y * q.x
            })
            .sum();
        twice / 2.0
    }

    /// How deep `r` lies inside; 0 outside.
    #[inline]
    pub fn depth(&self, r: Point) -> f64 {
        let rough = self.rough(r);
        rough.cell.map_or(rough.depth, |cell| self.depth_in(cell, r))
    }

    /// How deep `r` lies inside at least: faster than [`Self::depth`] where there is a table.
    #[allow(clippy::inline_always)] // The innermost loop of all, which a call makes 3 % slower; measured.
    #[inline(always)]
    pub fn rough(&self, r: Point) -> Rough {
        match &self.finder {
            Finder::Planes(planes) => Rough { depth: planes.depth(r), cell: None },
            Finder::Table(table) => match table.floor(r) {
                Some((depth, cell)) => Rough { depth, cell: Some(cell) },
                None => Rough { depth: 0.0, cell: None },
            },
        }
    }

    /// How deep `r` lies inside, the cell being that which [`Self::rough`] told of.
    #[inline]
    pub(super) fn depth_in(&self, cell: usize, r: Point) -> f64 {
        let Finder::Table(table) = &self.finder else {
            return 0.0;
        };
        match table.nearest(&self.sides, cell, r) {
            Some((square, inside, _)) => (if inside { square } else { 0.0 }).sqrt(),
            None => 0.0,
        }
    }

    /// How deep `r` lies inside, and the way out.
    #[inline]
    pub fn depth_and_way(&self, r: Point) -> Depth {
        match &self.finder {
            Finder::Planes(planes) => planes.depth_and_way(r),
            Finder::Table(table) => {
                let nearest = table.floor(r).and_then(|(_, cell)| table.nearest(&self.sides, cell, r));
                let Some((square, true, side)) = nearest else {
                    return Depth::NONE;
                };
                let side = &self.sides[side];
                let p = r - side.from;
                let t = (p.x * side.along.x + p.y * side.along.y).clamp(0.0, side.length);
                Depth { depth: square.sqrt(), out: side.along * t - p }
            }
        }
    }
}

impl Side {
    /// Where it ends.
    pub fn to(&self) -> Point {
        self.from + self.along * self.length
    }

    /// Squared distance from `r`, and whether `r` is inside should this side be the nearest.
    #[inline]
    pub(super) fn seen_from(&self, r: Point) -> (f64, bool) {
        let p = r - self.from;
        let t = p.x * self.along.x + p.y * self.along.y;
        let left = self.along.x * p.y - self.along.y * p.x;
        let (before, beyond) = (-t, t - self.length);
        let over = before.max(beyond).max(0.0);
        let lift = if before > 0.0 { self.begin } else { 0.0 };
        let lift = if beyond > 0.0 { self.end } else { lift };
        (left * left + over * over, left + lift > 0.0)
    }
}

impl Corner {
    /// What is added to how far left a point lies.
    fn lift(self) -> f64 {
        match self {
            Self::Straight => 0.0,
            Self::Convex => f64::NEG_INFINITY,
            Self::Hollow => f64::INFINITY,
        }
    }

    fn between(u: Point, v: Point) -> Self {
        let turn = u.x * v.y - u.y * v.x;
        let ahead = u.x * v.x + u.y * v.y;
        if ahead > 0.0 && turn.abs() < 1e-4 {
            Self::Straight
        } else if turn > 0.0 {
            Self::Convex
        } else {
            Self::Hollow
        }
    }
}

fn without_straight_corners(ring: &[Point], tolerance: f64) -> Vec<Point> {
    let mut ring = open_ring(ring);
    loop {
        let n = ring.len();
        if n < 3 {
            return Vec::new();
        }
        let straight = (0..n).find(|&k| {
            let (a, b, c) = (ring[(k + n - 1) % n], ring[k], ring[(k + 1) % n]);
            let (u, d) = (b - a, c - a);
            let length = libm::hypot(d.x, d.y);
            libm::hypot(u.x, u.y) <= tolerance
                || (length > tolerance
                    && (u.x * d.y - u.y * d.x).abs() <= tolerance * length
                    && u.x * d.x + u.y * d.y >= 0.0
                    && u.x * d.x + u.y * d.y <= length * length)
        });
        match straight {
            Some(k) => {
                ring.remove(k);
            }
            None => return ring,
        }
    }
}

fn sides_of(ring: &[Point]) -> Vec<Side> {
    let n = ring.len();
    let along: Vec<(Point, f64)> = (0..n)
        .map(|k| {
            let d = ring[(k + 1) % n] - ring[k];
            let length = libm::hypot(d.x, d.y);
            (d / length, length)
        })
        .collect();
    (0..n)
        .map(|k| Side {
            from: ring[k],
            along: along[k].0,
            length: along[k].1,
            begin: Corner::between(along[(k + n - 1) % n].0, along[k].0).lift(),
            end: Corner::between(along[k].0, along[(k + 1) % n].0).lift(),
        })
        .collect()
}
