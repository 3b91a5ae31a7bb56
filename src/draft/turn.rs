//! Turning a part of a piece about a point, without trigonometry: from one direction to another.

use crate::geometry::Point;
use crate::geometry::ring::{cross, dot, unit};

/// A rigid motion of the plane: a turn, then a move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Turn {
    cosine: f64,
    sine: f64,
    shift: Point,
}

impl Turn {
    /// Nothing moves.
    pub(super) const NONE: Self = Self { cosine: 1.0, sine: 0.0, shift: Point { x: 0.0, y: 0.0 } };

    /// The turn about `centre` that brings the direction of `from` to that of `to`.
    pub(super) fn about(centre: Point, from: Point, to: Point) -> Self {
        let (Some(a), Some(b)) = (unit(from - centre), unit(to - centre)) else {
            return Self::NONE;
        };
        let turn = Self { cosine: dot(a, b), sine: cross(a, b), shift: Point::default() };
        Self { shift: centre - turn.apply(centre), ..turn }
    }

    /// The motion that lays the line from `a` to `b` along the line from `c` to `d`, beginning on beginning.
    pub(super) fn laying([a, b]: [Point; 2], [c, d]: [Point; 2]) -> Self {
        let turn = Self::about(Point::default(), b - a, d - c);
        Self { shift: c - turn.apply(a), ..turn }
    }

    /// A move without a turn.
    pub(super) fn moving(shift: Point) -> Self {
        Self { shift, ..Self::NONE }
    }

    pub(super) fn apply(self, p: Point) -> Point {
        Point { x: self.cosine * p.x - self.sine * p.y, y: self.sine * p.x + self.cosine * p.y } + self.shift
    }

    pub(super) fn line(self, line: &[Point]) -> Vec<Point> {
        line.iter().map(|&p| self.apply(p)).collect()
    }

    /// This motion after `first`.
    pub(super) fn after(self, first: Self) -> Self {
        Self {
            cosine: self.cosine * first.cosine - self.sine * first.sine,
            sine: self.sine * first.cosine + self.cosine * first.sine,
            shift: self.apply(first.shift),
        }
    }

    /// The motion that undoes this one.
    pub(super) fn back(self) -> Self {
        let turn = Self { cosine: self.cosine, sine: -self.sine, shift: Point::default() };
        Self { shift: turn.apply(self.shift) * -1.0, ..turn }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::coord;

    #[test]
    fn a_quarter_turn_and_back() {
        let centre = coord! {x: 2.0, y: 1.0};
        let turn = Turn::about(centre, coord! {x: 5.0, y: 1.0}, coord! {x: 2.0, y: 9.0});
        assert_eq!(turn.apply(coord! {x: 3.0, y: 1.0}), coord! {x: 2.0, y: 2.0});
        assert_eq!(turn.apply(centre), centre);
        let p = coord! {x: 7.0, y: -3.0};
        assert_eq!(turn.back().apply(turn.apply(p)), p);
        assert_eq!(turn.back().after(turn), Turn::NONE);
    }
}
