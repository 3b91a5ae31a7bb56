//! Areas and offsets against the `geo` and `geo-clipper` crates on random polygons.

use ellwand::geometry::{Point, Shape, ring_area};
use ellwand::piece::{Allowance, PieceSource, build, seam_length};
use geo::{Area, ConvexHull, Euclidean, Length, LineString, MultiPoint, Polygon};
use geo_clipper::{Clipper, EndType, JoinType};
use indexmap::IndexMap;
use proptest::prelude::*;

/// A polygon that winds once round its middle: random radii at random steps of the angle.
fn star(radii: &[(f64, f64)]) -> Vec<Point> {
    let total: f64 = radii.iter().map(|(_, step)| step).sum();
    let mut angle = 0.0;
    radii
        .iter()
        .map(|&(radius, step)| {
            angle += step / total * std::f64::consts::TAU;
            Point { x: radius * libm::cos(angle), y: radius * libm::sin(angle) }
        })
        .collect()
}

fn radii(count: std::ops::Range<usize>) -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec((20.0..300.0_f64, 0.5..1.5_f64), count)
}

fn polygon(ring: &[Point]) -> Polygon<f64> {
    Polygon::new(LineString::new(ring.to_vec()), vec![])
}

/// A piece whose every side is a named edge.
fn piece_of(ring: &[Point], allowance: f64) -> PieceSource {
    let mut outline = kurbo::BezPath::new();
    outline.move_to((ring[0].x, ring[0].y));
    for p in &ring[1..] {
        outline.line_to((p.x, p.y));
    }
    outline.close_path();
    let points: IndexMap<String, Point> = ring.iter().enumerate().map(|(i, &p)| (i.to_string(), p)).collect();
    let side = |i: usize| (format!("side {i}"), vec![i.to_string(), ((i + 1) % ring.len()).to_string()]);
    PieceSource {
        name: "polygon".to_owned(),
        outline,
        points,
        edges: (0..ring.len()).map(side).collect(),
        grain: Some([Point { x: 0.0, y: 0.0 }, Point { x: 3.0, y: 4.0 }]),
        allowance: Allowance { included: allowance, edges: IndexMap::new() },
        ..PieceSource::default()
    }
}

proptest! {
    #[test]
    fn areas_agree_with_geo(radii in radii(3..40), far in -1e6..1e6_f64) {
        let ring: Vec<Point> = star(&radii).into_iter().map(|p| p + Point { x: far, y: -far }).collect();
        let expected = polygon(&ring).signed_area();
        prop_assert!((ring_area(&ring) - expected).abs() <= 1e-6 * expected.abs(), "{} {expected}", ring_area(&ring));
        let reversed: Vec<Point> = ring.iter().rev().copied().collect();
        let shape = Shape::new(reversed, vec![]);
        prop_assert!(shape.area() > 0.0);
    }

    /// All the stitching lines of a convex piece together are the outline that geo-clipper sets in by the allowance.
    #[test]
    fn stitching_lines_agree_with_geo_clipper(radii in radii(5..12), allowance in 1.0..15.0_f64) {
        let hull = MultiPoint::from(star(&radii).into_iter().map(geo::Point::from).collect::<Vec<_>>()).convex_hull();
        let ring: Vec<Point> = hull.exterior().0[..hull.exterior().0.len() - 1].to_vec();
        let inner = hull.offset(-allowance, JoinType::Miter(100.0), EndType::ClosedPolygon, 1e6);
        // Sides that the offset swallows whole have no stitching line to compare.
        prop_assume!(inner.0.len() == 1 && inner.0[0].exterior().0.len() == ring.len() + 1);
        let piece = build(&piece_of(&ring, allowance)).expect("a convex piece");
        // Corners of less than 8 degrees count as straight on: leave hulls with those out.
        let turns = |i: usize| {
            let at = |k: usize| ring[(i + k) % ring.len()];
            let (a, b) = (at(1) - at(0), at(2) - at(1));
            libm::atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y)
        };
        prop_assume!((0..ring.len()).all(|i| turns(i) > 0.16));
        let sewn: f64 = piece.edges.keys().map(|edge| seam_length(&piece, edge).expect("an edge").stitching).sum();
        let expected = Euclidean.length(inner.0[0].exterior());
        prop_assert!((sewn - expected).abs() < 1e-3, "{sewn} {expected}");
    }
}
