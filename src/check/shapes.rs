//! Shapes of a plan: read back, compared, intersected.

use geo::{Area, LineString, Polygon};
use geo_clipper::Clipper;

use super::PLACE_TOLERANCE;
use super::figures::MOST_EXTENT;
use crate::geometry::ring::distance;
use crate::geometry::{Point, Shape, ring_area};
use crate::layout::{PlanPiece, PlanPoint, Ply};

/// The plan's own step of 1e-6 mm as the boolean operations' unit: nothing is rounded away.
const UNITS_PER_MM: f64 = 1e6;

pub(super) fn points(ring: &[PlanPoint]) -> Vec<Point> {
    ring.iter().map(|&[x, y]| Point { x, y }).collect()
}

/// A ply's shape; none where its rings are no rings of cloth.
pub(super) fn ply_shape(ply: &Ply) -> Option<Shape> {
    shape(&ply.outline, &ply.holes)
}

/// A piece's shape; none where its rings are no rings of cloth.
pub(super) fn piece_shape(piece: &PlanPiece) -> Option<Shape> {
    shape(&piece.outline, &piece.holes)
}

fn shape(outline: &[PlanPoint], holes: &[Vec<PlanPoint>]) -> Option<Shape> {
    let shape = Shape { outline: points(outline), holes: holes.iter().map(|hole| points(hole)).collect() };
    let measured = |p: &Point| p.x.abs() <= MOST_EXTENT && p.y.abs() <= MOST_EXTENT;
    let rings = std::iter::once(&shape.outline).chain(&shape.holes);
    let sound = rings.clone().all(|ring| ring.len() >= 3 && ring.iter().all(measured))
        && ring_area(&shape.outline) > 0.0
        && shape.holes.iter().all(|hole| ring_area(hole) < 0.0);
    sound.then_some(shape)
}

pub(super) fn polygon(shape: &Shape) -> Polygon<f64> {
    let closed = |ring: &Vec<Point>| LineString::new(ring.clone());
    Polygon::new(closed(&shape.outline), shape.holes.iter().map(closed).collect())
}

/// The area that two shapes share, in square mm.
pub(super) fn shared_area(a: &Polygon<f64>, b: &Polygon<f64>) -> f64 {
    a.intersection(b, UNITS_PER_MM).unsigned_area()
}

/// Whether two rings are the same but for where they begin.
pub(super) fn same_ring(a: &[Point], b: &[Point]) -> bool {
    let count = a.len();
    count == b.len()
        && (0..count).any(|start| (0..count).all(|i| distance(a[i], b[(start + i) % count]) <= PLACE_TOLERANCE))
}

/// Whether every corner of one ring lies at a corner of the other, and the other way about.
pub(super) fn same_corners(a: &[Point], b: &[Point]) -> bool {
    let within = |a: &[Point], b: &[Point]| a.iter().all(|p| b.iter().any(|q| distance(*p, *q) <= PLACE_TOLERANCE));
    within(a, b) && within(b, a)
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::BooleanOps;
    use proptest::prelude::*;

    fn star(radii: &[f64], at: Point) -> Shape {
        let step = std::f64::consts::TAU / radii.len() as f64;
        let corner = |(i, radius): (usize, &f64)| {
            at + Point { x: radius * libm::cos(i as f64 * step), y: radius * libm::sin(i as f64 * step) }
        };
        Shape::new(radii.iter().enumerate().map(corner).collect(), vec![])
    }

    proptest! {
        /// The `geo` crate's boolean operations, a different algorithm, are the reference.
        #[test]
        fn shared_areas_agree_with_geo(
            a in prop::collection::vec(10.0..300.0_f64, 3..30),
            b in prop::collection::vec(10.0..300.0_f64, 3..30),
            x in -200.0..200.0_f64,
            y in -200.0..200.0_f64,
        ) {
            let (a, b) = (polygon(&star(&a, Point { x: 0.0, y: 0.0 })), polygon(&star(&b, Point { x, y })));
            let reference = BooleanOps::intersection(&a, &b).unsigned_area();
            prop_assert!((shared_area(&a, &b) - reference).abs() <= 0.001, "{} {reference}", shared_area(&a, &b));
        }
    }
}
