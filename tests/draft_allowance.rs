//! Allowance added to stitching lines: hand-made corners, and random outlines against the `geo-clipper` crate.

use ellwand::draft::{Corner, CutOutline, EdgeAllowance, cut_outline};
use ellwand::geometry::ring::{distance, nearest_place, vertex_or_place};
use ellwand::geometry::{Point, ring_area, self_contact};
use geo::{Area, LineString, MultiPolygon, Polygon};
use geo_clipper::{Clipper, EndType, JoinType};
use proptest::prelude::*;

fn point(x: f64, y: f64) -> Point {
    Point { x, y }
}

fn ring_of(points: &[(f64, f64)]) -> Vec<Point> {
    points.iter().map(|&(x, y)| point(x, y)).collect()
}

fn edge(ring: &[Point], from: Point, to: Point, by: f64, corner: Corner) -> EdgeAllowance {
    let place = |p| vertex_or_place(ring, p, 0.1).unwrap();
    EdgeAllowance { from: place(from), to: place(to), by, corner }
}

fn polygon(ring: &[Point]) -> Polygon<f64> {
    Polygon::new(LineString::new(ring.to_vec()), vec![])
}

fn has(cut: &CutOutline, p: Point) -> bool {
    cut.ring.iter().any(|&q| distance(p, q) < 1e-6)
}

/// A skirt panel that widens to its hem, on y = 0: sides lean out by 3 in 10.
fn panel() -> Vec<Point> {
    ring_of(&[(0.0, 0.0), (300.0, 0.0), (210.0, 300.0), (90.0, 300.0)])
}

#[test]
fn a_rectangle_grows_by_its_edges() {
    let ring = ring_of(&[(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)]);
    let fold = edge(&ring, ring[3], ring[0], 0.0, Corner::Extended);
    let hem = edge(&ring, ring[0], ring[1], 40.0, Corner::Squared);
    let cut = cut_outline(&ring, &[fold, hem], 15.0).unwrap();
    assert_eq!(cut.ring, ring_of(&[(0.0, -40.0), (215.0, -40.0), (215.0, 0.0), (215.0, 115.0), (0.0, 115.0)]));
    assert_eq!(cut.carried(ring[2]), point(215.0, 115.0));
    assert_eq!(cut.carried(point(120.0, 100.0)), point(120.0, 115.0));
    assert_eq!(cut.carried(point(0.0, 30.0)), point(0.0, 30.0));
}

#[test]
fn a_mitred_hem_is_the_panel_mirrored() {
    let ring = panel();
    let hem = edge(&ring, ring[0], ring[1], 40.0, Corner::Mitred);
    let cut = cut_outline(&ring, &[hem], 15.0).unwrap();
    // The side's cut line is 15 outside the line x = 300 - 0.3 y: it crosses y = 0 at 300 + 15 sqrt(1.09), and is
    // mirrored there (arithmetic).
    let start = 300.0 + 15.0 * 1.09_f64.sqrt();
    assert!(has(&cut, point(start, 0.0)), "{:?}", cut.ring);
    assert!(has(&cut, point(start - 0.3 * 40.0, -40.0)), "{:?}", cut.ring);
    assert!(has(&cut, point(300.0 - start, 0.0)) && has(&cut, point(300.0 - start + 12.0, -40.0)), "{:?}", cut.ring);
    assert_eq!(cut.ring.len(), 8 - 2);
    assert!(distance(cut.carried(ring[1]), point(start - 12.0, -40.0)) < 1e-6);
}

#[test]
fn a_squared_hem_ends_square() {
    let ring = panel();
    let hem = edge(&ring, ring[0], ring[1], 40.0, Corner::Squared);
    let cut = cut_outline(&ring, &[hem], 15.0).unwrap();
    let start = 300.0 + 15.0 * 1.09_f64.sqrt();
    assert!(has(&cut, point(start, 0.0)) && has(&cut, point(start, -40.0)), "{:?}", cut.ring);
    let extended = cut_outline(&ring, &[EdgeAllowance { corner: Corner::Extended, ..hem }], 15.0).unwrap();
    assert!(has(&extended, point(start + 12.0, -40.0)), "{:?}", extended.ring);
}

#[test]
fn a_sleeve_that_narrows_gets_a_hem_that_widens() {
    let ring = ring_of(&[(30.0, 0.0), (170.0, 0.0), (200.0, 100.0), (0.0, 100.0)]);
    let hem = edge(&ring, ring[0], ring[1], 30.0, Corner::Mitred);
    let cut = cut_outline(&ring, &[hem], 10.0).unwrap();
    // The side's line is x = 170 + 0.3 y.
    let start = 170.0 + 10.0 * 1.09_f64.sqrt();
    assert!(has(&cut, point(start, 0.0)) && has(&cut, point(start + 9.0, -30.0)), "{:?}", cut.ring);
    assert_eq!(cut.ring.len(), 6);
}

#[test]
fn a_curved_hem_is_mitred_too() {
    // A half circle skirt's panel: quarter of a ring, radii 200 and 700, with the hem outside.
    let arc = |radius: f64, from: f64, to: f64| -> Vec<Point> {
        (0..=200)
            .map(|k| from + (to - from) * f64::from(k) / 200.0)
            .map(|turn| point(radius * turn.cos(), radius * turn.sin()))
            .collect()
    };
    let mut ring = arc(700.0, 0.0, 1.5);
    ring.extend(arc(200.0, 1.5, 0.0));
    let hem = edge(&ring, ring[0], ring[200], 40.0, Corner::Mitred);
    let cut = cut_outline(&ring, &[hem], 15.0).unwrap();
    assert!(self_contact(&cut.ring).is_none());
    // The side leaves the hem at a right angle, so its mirror image runs straight on; the tangent of the hem at the
    // corner is off by half a chord, 0.00375 rad.
    let corner = cut.carried(ring[0]);
    assert!((corner.y + 15.0).abs() < 40.0 * 0.0076 && (corner.x - 740.0).abs() < 0.2, "{corner:?}");
    assert!(distance(cut.carried(ring[100]), point(740.0 * 0.75_f64.cos(), 740.0 * 0.75_f64.sin())) < 0.05);
}

#[test]
fn a_tight_inner_curve_is_trimmed() {
    // A slot with a round end of radius 5, 30 wide at its mouth; 12 all round.
    let mut ring = ring_of(&[(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (130.0, 100.0), (105.0, 50.0)]);
    ring.extend((1..32).map(|k| {
        let turn = -std::f64::consts::PI * f64::from(k) / 32.0;
        point(100.0 + 5.0 * turn.cos(), 50.0 + 5.0 * turn.sin())
    }));
    ring.extend(ring_of(&[(95.0, 50.0), (70.0, 100.0), (0.0, 100.0)]));
    let cut = cut_outline(&ring, &[], 12.0).unwrap();
    check_uniform(&ring, &cut.ring, 12.0);
    // On the middle line, where the cut lines 12 inside x = 105 + (y - 50) / 2 and its mirror image meet.
    let meeting = 50.0 - 2.0 * (5.0 - 12.0 * 1.25_f64.sqrt());
    assert!(cut.ring.iter().any(|&p| distance(p, point(100.0, meeting)) < 1e-4), "{meeting} {:?}", cut.ring);
}

#[test]
fn an_opening_that_closes_is_an_error() {
    // A keyhole: a round hole of radius 40 reached by a slit 10 wide.
    let mut ring = ring_of(&[(0.0, 0.0), (200.0, 0.0), (200.0, 200.0), (105.0, 200.0), (105.0, 139.7)]);
    ring.extend((1..64).map(|k| {
        let turn = 1.445_468 - (std::f64::consts::TAU - 0.250_656) * f64::from(k) / 64.0;
        point(100.0 + 40.0 * turn.cos(), 100.0 + 40.0 * turn.sin())
    }));
    ring.extend(ring_of(&[(95.0, 139.7), (95.0, 200.0), (0.0, 200.0)]));
    let error = cut_outline(&ring, &[], 15.0).unwrap_err();
    assert!(error.contains("close"), "{error}");
    assert!(cut_outline(&ring, &[], 4.0).is_ok());
}

#[test]
fn what_is_no_allowance_is_refused() {
    assert!(cut_outline(&panel(), &[], -1.0).is_err());
    assert!(cut_outline(&panel(), &[], f64::NAN).is_err());
    assert!(cut_outline(&panel()[..2], &[], 1.0).is_err());
    let backwards: Vec<Point> = panel().into_iter().rev().collect();
    assert!(cut_outline(&backwards, &[], 1.0).is_err());
}

/// The same amount all round by `geo-clipper`, which works on whole numbers: here of 1e-5 mm.
fn reference(ring: &[Point], by: f64) -> MultiPolygon<f64> {
    polygon(ring).offset(by, JoinType::Miter(4.0), EndType::ClosedPolygon, 1e5)
}

/// Areas agree, and no point of either ring lies further than 0.01 mm from the other (Hausdorff distance).
fn check_uniform(ring: &[Point], cut: &[Point], by: f64) {
    assert!(self_contact(cut).is_none());
    let expected = reference(ring, by);
    assert_eq!(expected.0.len(), 1);
    let outline = &expected.0[0].exterior().0;
    let area = expected.unsigned_area();
    assert!((ring_area(cut) - area).abs() <= 0.01 * outline.len() as f64 + 1e-5 * area, "{} {area}", ring_area(cut));
    let far =
        |from: &[Point], to: &[Point]| from.iter().map(|&p| nearest_place(to, p).unwrap().distance).fold(0.0, f64::max);
    assert!(far(cut, outline) < 0.01, "{} {cut:?} {outline:?}", far(cut, outline));
    assert!(far(outline, cut) < 0.01, "{} {cut:?} {outline:?}", far(outline, cut));
}

/// A polygon that winds once round its middle: random radii at random steps of the angle, in mm.
fn star() -> impl Strategy<Value = Vec<Point>> {
    prop::collection::vec((60.0..300.0_f64, 0.3..1.0_f64), 4..14).prop_map(|radii| {
        let total: f64 = radii.iter().map(|(_, step)| step).sum();
        let mut angle = 0.0;
        radii
            .iter()
            .map(|&(radius, step)| {
                angle += std::f64::consts::TAU * step / total;
                point(radius * angle.cos(), radius * angle.sin())
            })
            .collect()
    })
}

/// The same with its corners drawn as curves of many short chords.
fn smooth() -> impl Strategy<Value = Vec<Point>> {
    (prop::collection::vec((-1.0..1.0_f64, 0.0..6.3_f64), 1..7), 100.0..300.0_f64).prop_map(|(waves, radius)| {
        (0..360)
            .map(|k| {
                let turn = f64::from(k).to_radians();
                let wave: f64 = waves
                    .iter()
                    .enumerate()
                    .map(|(n, (size, phase))| size * ((n + 2) as f64 * turn + phase).sin() / (n + 2) as f64)
                    .sum();
                let r = radius * (1.0 + 0.4 * wave);
                point(r * turn.cos(), r * turn.sin())
            })
            .collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn a_uniform_allowance_is_an_offset(ring in prop_oneof![star(), smooth()], by in 1.0..40.0_f64) {
        prop_assume!(self_contact(&ring).is_none());
        match cut_outline(&ring, &[], by) {
            Ok(cut) => check_uniform(&ring, &cut.ring, by),
            Err(error) => prop_assert!(!reference(&ring, by).0[0].interiors().is_empty(), "{error}"),
        }
    }

    /// Setting the cut line in again gives the stitching line back, wherever nothing had to be trimmed or cut off.
    #[test]
    fn the_stitching_line_comes_back(ring in star(), by in 1.0..30.0_f64) {
        prop_assume!(self_contact(&ring).is_none());
        let cut = cut_outline(&ring, &[], by);
        prop_assume!(cut.as_ref().is_ok_and(|cut| cut.ring.len() == ring.len()));
        let cut = cut.unwrap();
        let count = ring.len();
        for i in 0..count {
            prop_assume!(distance(cut.carried(ring[i]), ring[i]) < 3.9 * by);
        }
        let back = reference(&cut.ring, -by);
        prop_assert_eq!(back.0.len(), 1);
        let outline = &back.0[0].exterior().0;
        for &p in &ring {
            prop_assert!(nearest_place(outline, p).unwrap().distance < 0.01, "{p:?}");
        }
        for &p in outline {
            prop_assert!(nearest_place(&ring, p).unwrap().distance < 0.01, "{p:?}");
        }
    }
}
