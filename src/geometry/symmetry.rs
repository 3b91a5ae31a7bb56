//! Shapes that are their own mirror image.

use geo::{Centroid, coord};

use super::ring::{dot, nearest_place, without_repeats};
use super::{Point, Shape};

/// How far a mirrored outline may stray and still count as the same, in mm: twice the flattening tolerance, since both
/// outlines may be off by one.
pub const MIRROR_TOLERANCE: f64 = 0.2;

/// The y of the line along x about which the ring is its own mirror image, within [`MIRROR_TOLERANCE`].
///
/// The only candidate is the line through the centroid. None where the outline differs from its reflection.
pub fn mirror_line(ring: &[Point]) -> Option<f64> {
    let outline = geo::Polygon::new(geo::LineString::new(ring.to_vec()), vec![]);
    let line = outline.centroid()?.y();
    ring.iter()
        .all(|p| {
            let mirrored = coord! {x: p.x, y: 2.0 * line - p.y};
            nearest_place(ring, mirrored).is_some_and(|place| place.distance <= MIRROR_TOLERANCE)
        })
        .then_some(line)
}

/// The same ring made exactly its own mirror image about y = `line`: the half above it, and that half reflected.
///
/// Moves the outline by no more than [`MIRROR_TOLERANCE`] where [`mirror_line`] found the line. None where the line
/// does not cut the ring in exactly two places.
pub fn made_symmetric(ring: &[Point], line: f64) -> Option<Vec<Point>> {
    let above = |p: Point| p.y > line;
    let crossing = |a: Point, b: Point| coord! {x: a.x + (b.x - a.x) * (line - a.y) / (b.y - a.y), y: line};
    let count = ring.len();
    let entries: Vec<usize> = (0..count).filter(|&i| !above(ring[i]) && above(ring[(i + 1) % count])).collect();
    let [entry] = entries[..] else {
        return None;
    };
    let mut half = vec![crossing(ring[entry], ring[(entry + 1) % count])];
    let mut index = (entry + 1) % count;
    while above(ring[index]) {
        half.push(ring[index]);
        index = (index + 1) % count;
    }
    half.push(crossing(ring[(index + count - 1) % count], ring[index]));
    let other = half[1..half.len() - 1].iter().rev().map(|p| coord! {x: p.x, y: 2.0 * line - p.y});
    let whole: Vec<Point> = half.iter().copied().chain(other).collect();
    Some(without_repeats(whole, 1e-9))
}

/// `p` reflected in the line through `a` and `b`.
pub fn reflected(p: Point, a: Point, b: Point) -> Point {
    if a.y == b.y {
        return coord! {x: p.x, y: 2.0 * a.y - p.y};
    }
    let along = b - a;
    let foot = a + along * (dot(p - a, along) / dot(along, along));
    foot * 2.0 - p
}

/// The shape and its reflection in its own edge from `from` to `to`, in one.
///
/// Both are points of the outline, one after the other; the rest of the outline lies to the left of them.
pub fn unfolded(half: &Shape, from: Point, to: Point) -> Shape {
    let start = half.outline.iter().position(|&p| p == to).unwrap_or(0);
    let mut outline: Vec<Point> = half.outline[start..].iter().chain(&half.outline[..start]).copied().collect();
    let other: Vec<Point> =
        outline.iter().rev().filter(|&&p| p != from && p != to).map(|&p| reflected(p, from, to)).collect();
    outline.extend(other);
    let mut holes = half.holes.clone();
    for hole in &half.holes {
        holes.push(hole.iter().rev().map(|&p| reflected(p, from, to)).collect());
    }
    Shape { outline, holes }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::ring_area;

    #[test]
    fn a_kite_is_its_own_mirror_image_and_a_wedge_is_not() {
        let kite =
            [coord! {x: 0.0, y: 3.0}, coord! {x: 5.0, y: -1.0}, coord! {x: 20.0, y: 3.05}, coord! {x: 5.0, y: 7.0}];
        let line = mirror_line(&kite).unwrap();
        let exact = made_symmetric(&kite, line).unwrap();
        for p in &exact {
            assert!(exact.iter().any(|q| q.x == p.x && (q.y - (2.0 * line - p.y)).abs() < 1e-12));
        }
        assert!((ring_area(&exact) - ring_area(&kite)).abs() < 1.0);
        let half =
            Shape::new(vec![coord! {x: 0.0, y: 0.0}, coord! {x: 20.0, y: 0.0}, coord! {x: 20.0, y: 7.0}], vec![]);
        let whole = unfolded(&half, half.outline[0], half.outline[1]);
        assert_eq!((whole.area(), whole.outline.len()), (140.0, 4));
        assert_eq!(mirror_line(&whole.outline), Some(0.0));
        let wedge = [coord! {x: 0.0, y: 0.0}, coord! {x: 20.0, y: 0.0}, coord! {x: 20.0, y: 7.0}];
        assert_eq!(mirror_line(&wedge), None);
    }
}
