//! What keeps a ring from being the outline of a shape.

use super::Point;
use super::ring::{cross, dot};

/// The first place, in the order of x, where a ring crosses or touches itself or turns straight back; none for a simple
/// ring of three points or more.
pub fn self_contact(ring: &[Point]) -> Option<Point> {
    let count = ring.len();
    let segment = |i: usize| (ring[i], ring[(i + 1) % count]);
    let mut order: Vec<usize> = (0..count).collect();
    let left = |i: usize| segment(i).0.x.min(segment(i).1.x);
    let right = |i: usize| segment(i).0.x.max(segment(i).1.x);
    order.sort_by(|&i, &j| left(i).total_cmp(&left(j)).then(i.cmp(&j)));
    let mut open: Vec<usize> = Vec::new();
    for &i in &order {
        open.retain(|&j| right(j) >= left(i));
        for &j in &open {
            let (first, second) = if i < j { (i, j) } else { (j, i) };
            if let Some(point) = contact(segment(first), segment(second), neighbours(first, second, count)) {
                return Some(point);
            }
        }
        open.push(i);
    }
    None
}

/// How two segments of a ring, the first before the second, share a corner.
#[derive(Clone, Copy, PartialEq)]
enum Shared {
    Nothing,
    /// The second begins where the first ends.
    Corner,
    /// The first begins where the second ends: the ring's closing corner.
    ClosingCorner,
}

fn neighbours(first: usize, second: usize, count: usize) -> Shared {
    if second == first + 1 {
        Shared::Corner
    } else if first == 0 && second == count - 1 {
        Shared::ClosingCorner
    } else {
        Shared::Nothing
    }
}

fn contact((a, b): (Point, Point), (c, d): (Point, Point), shared: Shared) -> Option<Point> {
    match shared {
        Shared::Corner => turns_back(a, b, d).then_some(b),
        Shared::ClosingCorner => turns_back(c, d, b).then_some(d),
        Shared::Nothing => {
            let side = |p: Point, q: Point, r: Point| cross(q - p, r - p);
            let (c_side, d_side, a_side, b_side) = (side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b));
            if c_side * d_side < 0.0 && a_side * b_side < 0.0 {
                let share = c_side / (c_side - d_side);
                return Some(c + (d - c) * share);
            }
            let on = |p: Point, q: Point, r: Point, turn: f64| turn == 0.0 && dot(p - r, q - r) <= 0.0;
            [(on(a, b, c, c_side), c), (on(a, b, d, d_side), d), (on(c, d, a, a_side), a), (on(c, d, b, b_side), b)]
                .into_iter()
                .find_map(|(touches, point)| touches.then_some(point))
        }
    }
}

fn turns_back(a: Point, b: Point, c: Point) -> bool {
    cross(b - a, c - b) == 0.0 && dot(b - a, c - b) <= 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::Validation;
    use geo::coord;
    use proptest::prelude::*;

    #[test]
    fn a_bow_tie_crosses_in_its_middle() {
        let bow =
            [coord! {x: 0.0, y: 0.0}, coord! {x: 10.0, y: 10.0}, coord! {x: 10.0, y: 0.0}, coord! {x: 0.0, y: 10.0}];
        assert_eq!(self_contact(&bow), Some(coord! {x: 5.0, y: 5.0}));
    }

    #[test]
    fn a_spike_turns_back() {
        let spike = [
            coord! {x: 0.0, y: 0.0},
            coord! {x: 10.0, y: 0.0},
            coord! {x: 20.0, y: 0.0},
            coord! {x: 10.0, y: 0.0},
            coord! {x: 5.0, y: 8.0},
        ];
        assert!(self_contact(&spike).is_some());
    }

    proptest! {
        /// The `geo` crate's validity check is the reference; it allows spikes, which cannot be cut, so those are left out.
        #[test]
        fn agrees_with_geo(points in prop::collection::vec((0_i32..12, 0_i32..12), 3..9)) {
            let ring: Vec<Point> = points.iter().map(|&(x, y)| coord! {x: f64::from(x), y: f64::from(y)}).collect();
            let distinct = crate::geometry::ring::without_repeats(ring.clone(), 0.0);
            prop_assume!(distinct.len() == ring.len());
            let count = ring.len();
            prop_assume!((0..count).all(|i| !turns_back(ring[i], ring[(i + 1) % count], ring[(i + 2) % count])));
            let polygon = geo::Polygon::new(geo::LineString::new(ring.clone()), vec![]);
            prop_assert_eq!(self_contact(&ring).is_none(), polygon.is_valid());
        }
    }
}
