//! Outlines made ready for the search: fewer corners, the gap laid on, a hair of slack.

use crate::geometry::{Point, Pose, convex_difference, convex_parts, cross, ring_area};
use geo::algorithm::bool_ops::unary_union;
use geo::{LineString, Polygon};

/// A ring that holds `ring` and lies nowhere further than `tolerance` outside it, with as few corners as that allows.
///
/// Hollow corners are cut across and short sides are replaced by the meeting point of their neighbours, the smallest
/// change first, so everything the search finds to fit does fit.
pub(super) fn simplified_outward(ring: &[Point], tolerance: f64) -> Vec<Point> {
    // Each corner carries how far outside the true outline the ring may already lie about it.
    let mut corners: Vec<(Point, f64)> = ring.iter().map(|&p| (p, 0.0)).collect();
    while corners.len() > 4 {
        let mut changes: Vec<(f64, usize, Option<Point>)> = Vec::new();
        for k in 0..corners.len() {
            changes.extend(hollow_corner(&corners, k));
            changes.extend(short_side(&corners, k));
        }
        changes.retain(|change| change.0 <= tolerance);
        changes.sort_by(|a, b| a.0.total_cmp(&b.0));
        let Some(&(off, k, meeting)) = changes.iter().find(|&&(_, k, meeting)| stays_simple(&corners, k, meeting))
        else {
            break;
        };
        let n = corners.len();
        if let Some(point) = meeting {
            corners[k] = (point, off);
            corners.remove((k + 1) % n);
        } else {
            let (before, after) = ((k + n - 1) % n, (k + 1) % n);
            corners[before].1 = corners[before].1.max(off);
            corners[after].1 = corners[after].1.max(off);
            corners.remove(k);
        }
    }
    corners.into_iter().map(|(p, _)| p).collect()
}

/// The ring grown by `by` all round, corners rounded by twelve sides that lie outside the true rounding.
pub(super) fn grown(ring: &[Point], by: f64) -> Option<Vec<Point>> {
    const SIDES: usize = 12;
    let half = std::f64::consts::PI / SIDES as f64;
    let radius = by / libm::cos(half);
    let disc: Vec<Point> = (0..SIDES)
        .map(|k| {
            let (sine, cosine) = libm::sincos(half * (2 * k + 1) as f64);
            Point { x: radius * cosine, y: radius * sine }
        })
        .collect();
    let sums: Vec<Polygon> = convex_parts(ring)?.iter().map(|part| polygon(convex_difference(part, &disc))).collect();
    let whole = unary_union(&sums);
    let outer = whole.0.into_iter().next()?.into_inner().0;
    Some(open_ring(&outer.0))
}

/// The ring with every side moved inward by `by`, a distance far smaller than any side.
pub(super) fn shrunk(ring: &[Point], by: f64) -> Vec<Point> {
    let n = ring.len();
    let inward = |a: Point, b: Point| {
        let d = b - a;
        let length = libm::hypot(d.x, d.y).max(f64::MIN_POSITIVE);
        Point { x: -d.y / length, y: d.x / length }
    };
    (0..n)
        .map(|k| {
            let (a, b, c) = (ring[(k + n - 1) % n], ring[k], ring[(k + 1) % n]);
            let (u, v) = (inward(a, b), inward(b, c));
            // Sharp points would shoot inward a long way; held to five times the distance.
            let share = (1.0 + u.x * v.x + u.y * v.y).max(0.4);
            b + (u + v) * (by / share)
        })
        .collect()
}

/// A polygon of the geometry library from a ring.
pub(super) fn polygon(ring: Vec<Point>) -> Polygon {
    Polygon::new(LineString(ring), Vec::new())
}

/// A ring without the repeated first point and without points that stand on top of each other.
pub(super) fn open_ring(points: &[Point]) -> Vec<Point> {
    let mut ring = points.to_vec();
    ring.dedup();
    while ring.len() > 1 && ring.first() == ring.last() {
        ring.pop();
    }
    ring
}

fn hollow_corner(corners: &[(Point, f64)], k: usize) -> Option<(f64, usize, Option<Point>)> {
    let n = corners.len();
    let (a, b, c) = (corners[(k + n - 1) % n], corners[k], corners[(k + 1) % n]);
    if cross(a.0, b.0, c.0) > 0.0 {
        return None;
    }
    let off = b.1.max(a.1).max(c.1) + to_segment(b.0, a.0, c.0);
    Some((off, k, None))
}

fn short_side(corners: &[(Point, f64)], k: usize) -> Option<(f64, usize, Option<Point>)> {
    let n = corners.len();
    let (a, b, c, d) = (corners[(k + n - 1) % n], corners[k], corners[(k + 1) % n], corners[(k + 2) % n]);
    if cross(a.0, b.0, c.0) <= 0.0 || cross(b.0, c.0, d.0) <= 0.0 {
        return None;
    }
    let (u, v) = (b.0 - a.0, c.0 - d.0);
    let turn = u.x * v.y - u.y * v.x;
    // The neighbours' lines must meet on the outer side: together they turn less than half round.
    if turn >= -1e-9 * libm::hypot(u.x, u.y) * libm::hypot(v.x, v.y) {
        return None;
    }
    let w = d.0 - a.0;
    let t = (w.x * v.y - w.y * v.x) / turn;
    let meeting = a.0 + u * t;
    if t < 1.0 {
        return None;
    }
    let off = b.1.max(c.1) + to_segment(meeting, b.0, c.0);
    Some((off, k, Some(meeting)))
}

fn to_segment(p: Point, a: Point, b: Point) -> f64 {
    let d = b - a;
    let square = d.x * d.x + d.y * d.y;
    let t = if square > 0.0 { (((p.x - a.x) * d.x + (p.y - a.y) * d.y) / square).clamp(0.0, 1.0) } else { 0.0 };
    libm::hypot(p.x - a.x - t * d.x, p.y - a.y - t * d.y)
}

/// Whether the sides that a change makes keep clear of all other sides.
fn stays_simple(corners: &[(Point, f64)], k: usize, meeting: Option<Point>) -> bool {
    let n = corners.len();
    let at = |i: usize| corners[i % n].0;
    let before = at(k + n - 1);
    let (new, skip): (Vec<(Point, Point)>, Vec<usize>) = match meeting {
        None => (vec![(before, at(k + 1))], vec![k + n - 1, k]),
        Some(m) => (vec![(at(k), m), (m, at(k + 1))], vec![k + n - 1, k, k + 1]),
    };
    let skip: Vec<usize> = skip.into_iter().map(|s| s % n).collect();
    (0..n).filter(|i| !skip.contains(i)).all(|i| {
        let (p, q) = (at(i), at(i + 1));
        new.iter().all(|&(a, b)| {
            let shared = p == a || p == b || q == a || q == b;
            shared || !touch(a, b, p, q)
        })
    }) && {
        let ring: Vec<Point> = corners.iter().map(|c| c.0).collect();
        ring_area(&ring) > 0.0
    }
}

fn touch(a: Point, b: Point, p: Point, q: Point) -> bool {
    let (c1, c2) = (cross(a, b, p), cross(a, b, q));
    let (c3, c4) = (cross(p, q, a), cross(p, q, b));
    let apart = a.x.max(b.x) < p.x.min(q.x)
        || p.x.max(q.x) < a.x.min(b.x)
        || a.y.max(b.y) < p.y.min(q.y)
        || p.y.max(q.y) < a.y.min(b.y);
    !apart && c1 * c2 <= 0.0 && c3 * c4 <= 0.0
}

/// A ring in a pose, still counter-clockwise.
pub(super) fn posed(ring: &[Point], pose: Pose) -> Vec<Point> {
    let motion = pose.motion(Point { x: 0.0, y: 0.0 });
    let mut points: Vec<Point> = ring.iter().map(|&p| motion.apply(p)).collect();
    if pose.mirrored {
        points.reverse();
    }
    points
}
