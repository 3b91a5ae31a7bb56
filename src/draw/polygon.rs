//! Questions about polygons that finding room and drawing need.

use super::list::Frame;
use crate::geometry::{Point, Shape};

/// The part of a ring on one side of an upright or level line: where `keep * (coordinate - at) >= 0`.
///
/// Parts that the line separates stay joined by edges along the line.
pub(super) fn clip(ring: &[Point], axis: Axis, at: f64, keep: f64) -> Vec<Point> {
    let side = |p: &Point| keep * (axis.of(p) - at);
    let mut out = Vec::with_capacity(ring.len() + 4);
    for (i, p) in ring.iter().enumerate() {
        let q = &ring[(i + 1) % ring.len()];
        let (a, b) = (side(p), side(q));
        if a >= 0.0 {
            out.push(*p);
        }
        if (a > 0.0 && b < 0.0) || (a < 0.0 && b > 0.0) {
            out.push(axis.with(*p + (*q - *p) * (a / (a - b)), at));
        }
    }
    out
}

/// A direction of the paper or the cloth.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Axis {
    X,
    Y,
}

impl Axis {
    pub(super) fn of(self, p: &Point) -> f64 {
        match self {
            Self::X => p.x,
            Self::Y => p.y,
        }
    }

    fn with(self, mut p: Point, value: f64) -> Point {
        match self {
            Self::X => p.x = value,
            Self::Y => p.y = value,
        }
        p
    }
}

/// The outline and all holes.
pub(super) fn rings(shape: &Shape) -> impl Iterator<Item = &Vec<Point>> {
    std::iter::once(&shape.outline).chain(&shape.holes)
}

/// The edges of all rings.
pub(super) fn edges(shape: &Shape) -> impl Iterator<Item = (Point, Point)> {
    rings(shape).flat_map(|ring| ring_edges(ring))
}

/// The edges of a ring.
pub(super) fn ring_edges(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    ring.iter().copied().zip(ring.iter().copied().cycle().skip(1))
}

/// Whether a point lies in a shape, holes taken out.
pub(super) fn contains(shape: &Shape, p: Point) -> bool {
    let mut inside = false;
    for (a, b) in edges(shape) {
        if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y) {
            inside = !inside;
        }
    }
    inside
}

/// The distance from a point to the nearest edge of a shape.
pub(super) fn distance_to_edge(shape: &Shape, p: Point) -> f64 {
    edges(shape).map(|(a, b)| distance_to_segment(p, a, b)).fold(f64::INFINITY, f64::min)
}

/// The distance from a point to a line segment.
pub(super) fn distance_to_segment(p: Point, a: Point, b: Point) -> f64 {
    let (ab, ap) = (b - a, p - a);
    let square = ab.x * ab.x + ab.y * ab.y;
    let t = if square > 0.0 { ((ab.x * ap.x + ab.y * ap.y) / square).clamp(0.0, 1.0) } else { 0.0 };
    let away = ap - ab * t;
    libm::hypot(away.x, away.y)
}

/// Whether a rectangle lies wholly in a shape, clear of its edges.
pub(super) fn holds(shape: &Shape, frame: &Frame) -> bool {
    contains(shape, frame.centre) && !edges(shape).any(|(a, b)| crosses(frame, a, b))
}

/// Whether a line segment touches a rectangle.
pub(super) fn crosses(frame: &Frame, a: Point, b: Point) -> bool {
    let (u, v) = frame.axes();
    let local = |p: Point| {
        let d = p - frame.centre;
        (d.x * u.x + d.y * u.y, d.x * v.x + d.y * v.y)
    };
    let ((ax, ay), (bx, by)) = (local(a), local(b));
    let (w, h) = (frame.half_width, frame.half_height);
    if ax.max(bx) < -w || ax.min(bx) > w || ay.max(by) < -h || ay.min(by) > h {
        return false;
    }
    // Separated by the line through the segment?
    let normal = (by - ay, ax - bx);
    let offset = normal.0 * ax + normal.1 * ay;
    offset.abs() <= normal.0.abs() * w + normal.1.abs() * h
}

/// Whether two rectangles overlap.
pub(super) fn overlap(one: &Frame, other: &Frame) -> bool {
    let corners = (one.corners(), other.corners());
    for axis in [one.axes().0, one.axes().1, other.axes().0, other.axes().1] {
        let span = |corners: &[Point; 4]| {
            let along = corners.map(|c| c.x * axis.x + c.y * axis.y);
            (along.into_iter().fold(f64::INFINITY, f64::min), along.into_iter().fold(f64::NEG_INFINITY, f64::max))
        };
        let (a, b) = (span(&corners.0), span(&corners.1));
        if a.1 <= b.0 || b.1 <= a.0 {
            return false;
        }
    }
    true
}

/// Degrees, clockwise on paper, of the direction in which a ring is longest; -90 < angle <= 90.
pub(super) fn long_axis(ring: &[Point]) -> f64 {
    // Second moments of the outline, each edge weighted by its length.
    let (mut weight, mut centre) = (0.0, Point { x: 0.0, y: 0.0 });
    for (a, b) in ring_edges(ring) {
        let length = libm::hypot(b.x - a.x, b.y - a.y);
        weight += length;
        centre = centre + (a + b) * (length / 2.0);
    }
    if weight <= 0.0 {
        return 0.0;
    }
    centre = centre / weight;
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for (a, b) in ring_edges(ring) {
        let length = libm::hypot(b.x - a.x, b.y - a.y);
        for p in [a, (a + b) / 2.0, b] {
            let d = p - centre;
            xx += length * d.x * d.x;
            xy += length * d.x * d.y;
            yy += length * d.y * d.y;
        }
    }
    upright(libm::atan2(2.0 * xy, xx - yy).to_degrees() / 2.0)
}

/// The turn brought to where text is not upside down: -90 <= angle < 90, so that level text rises when it is turned.
pub(super) fn upright(degrees: f64) -> f64 {
    let turn = (degrees + 90.0).rem_euclid(180.0) - 90.0;
    // A hair under 90 reads the same as -90: keep upright lines all one way.
    if turn > 89.0 { turn - 180.0 } else { turn }
}

/// Lines that fill a shape: pairs of fine lines, `gap` mm from pair to pair.
pub(super) fn hatch(shape: &Shape, turn: f64, gap: f64) -> Vec<[Point; 2]> {
    let frame = Frame { centre: Point { x: 0.0, y: 0.0 }, half_width: 0.0, half_height: 0.0, turn };
    let (u, v) = frame.axes();
    let down = |p: &Point| p.x * v.x + p.y * v.y;
    let (low, high) =
        shape.outline.iter().map(down).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), d| (l.min(d), h.max(d)));
    if !(high - low).is_finite() || (high - low) > 2000.0 {
        return Vec::new();
    }
    let mut lines = Vec::new();
    let (first, last) = ((low / gap).floor() as i64, (high / gap).ceil() as i64);
    for level in (first..=last).flat_map(|i| [i as f64 * gap, (i as f64 + 0.28) * gap]) {
        let mut cuts: Vec<f64> = edges(shape)
            .filter(|(a, b)| (down(a) > level) != (down(b) > level))
            .map(|(a, b)| {
                let p = a + (b - a) * ((level - down(&a)) / (down(&b) - down(&a)));
                p.x * u.x + p.y * u.y
            })
            .collect();
        cuts.sort_by(f64::total_cmp);
        lines.extend(cuts.chunks_exact(2).map(|c| [u * c[0] + v * level, u * c[1] + v * level]));
    }
    lines
}
