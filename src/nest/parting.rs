//! The line that parts two convex parts best: what the exact finish keeps them apart by.

use super::model::Part;
use crate::geometry::ring::dot;
use crate::geometry::{Bounds, Point};

/// The line that parts two parts best.
#[derive(Debug, Clone, Copy)]
pub(super) struct Parting {
    /// How far apart they are along the normal; negative where they overlap.
    pub(super) apart: f64,
    /// From the first to the second.
    pub(super) normal: Point,
    /// Whose side the line is along.
    pub(super) along: Along,
}

/// What a parting line lies along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Along {
    /// A side of the first part.
    First,
    /// A side of the second part.
    Second,
    /// Neither: it lies between two corners.
    Corners,
}

/// Calls `visit` with all parts of two items, the second moved by r, that are nearer than so much, and the line between them;
/// each item is the box about it and its parts.
pub(super) fn near_parts<'a>(
    first: (&Bounds, &'a [Part]),
    second: (&Bounds, &'a [Part]),
    r: Point,
    near: f64,
    corners: bool,
    mut visit: impl FnMut(&'a Part, &'a Part, Parting),
) {
    if !close(first.0, second.0, r, near) {
        return;
    }
    for a in first.1.iter().filter(|a| close(&a.bounds, second.0, r, near)) {
        for b in second.1.iter().filter(|b| close(&a.bounds, &b.bounds, r, near)) {
            if let Some(line) = parting(a, b, r, corners, near) {
                visit(a, b, line);
            }
        }
    }
}

/// Whether two boxes, the second moved by r, are nearer than so much along both axes.
pub(super) fn close(a: &Bounds, b: &Bounds, r: Point, near: f64) -> bool {
    a.min.x < b.max.x + r.x + near
        && b.min.x + r.x < a.max.x + near
        && a.min.y < b.max.y + r.y + near
        && b.min.y + r.y < a.max.y + near
}

/// How far apart a and b moved by r are along the line that parts them best; none where that is `near` or more.
///
/// Among the directions square to the sides the best one is the least move that parts them; for parts that are apart, the
/// nearest corners give one more (only of use with a gap).
fn parting(a: &Part, b: &Part, r: Point, corners: bool, near: f64) -> Option<Parting> {
    let mut best = Parting { apart: f64::NEG_INFINITY, normal: Point { x: 1.0, y: 0.0 }, along: Along::First };
    if let Some((apart, normal)) = best_side(a, b, |q, from| q + r - from, best.apart, near) {
        best = Parting { apart, normal, along: Along::First };
    }
    if best.apart >= near {
        return None;
    }
    if let Some((apart, normal)) = best_side(b, a, |p, from| p - from - r, best.apart, near) {
        best = Parting { apart, normal: -normal, along: Along::Second };
    }
    if corners && best.apart > 0.0 && best.apart < near {
        let mut nearest = (f64::INFINITY, best.normal);
        for &p in &a.corners {
            for &q in &b.corners {
                let d = q + r - p;
                let square = dot(d, d);
                if square < nearest.0 {
                    nearest = (square, d);
                }
            }
        }
        let normal = nearest.1 / nearest.0.sqrt().max(f64::MIN_POSITIVE);
        let (far, begin) = facing(a, b, r, normal);
        if begin - far > best.apart {
            best = Parting { apart: begin - far, normal, along: Along::Corners };
        }
    }
    (best.apart < near).then_some(best)
}

/// The side of a part beyond which all of another lies furthest, if that is further than so much: how far, and the side's
/// normal. The first that is good for `near` will do. `seen` gives a corner of the other as seen from where a side begins.
fn best_side(
    part: &Part,
    other: &Part,
    seen: impl Fn(Point, Point) -> Point,
    than: f64,
    near: f64,
) -> Option<(f64, Point)> {
    let (mut best, mut furthest, mut last) = (None, than, 0);
    for &(from, normal) in &part.sides {
        if let Some(apart) = least_above(furthest, &other.corners, &mut last, |q| dot(normal, seen(q, from))) {
            (best, furthest) = (Some((apart, normal)), apart);
            if apart >= near {
                break;
            }
        }
    }
    best
}

/// The least measure of some corners, if all are above a limit. Looks at the one that told last time first: from side to side
/// the corner that faces it changes little.
fn least_above(limit: f64, corners: &[Point], last: &mut usize, measure: impl Fn(Point) -> f64) -> Option<f64> {
    let mut least = f64::INFINITY;
    for k in (*last..corners.len()).chain(0..*last) {
        let value = measure(corners[k]);
        if value < least {
            least = value;
            *last = k;
            if value <= limit {
                return None;
            }
        }
    }
    Some(least)
}

/// Along a normal, where a ends and where b moved by r begins.
pub(super) fn facing(a: &Part, b: &Part, r: Point, normal: Point) -> (f64, f64) {
    let far = a.corners.iter().map(|&p| dot(normal, p)).fold(f64::NEG_INFINITY, f64::max);
    let near = b.corners.iter().map(|&q| dot(normal, q + r)).fold(f64::INFINITY, f64::min);
    (far, near)
}
