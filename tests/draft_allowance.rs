//! Allowance added to stitching lines: hand-made corners, and random outlines against the `geo-clipper` crate.

use ellwand::draft::{Corner, CutOutline, EdgeAllowance, cut_outline};
use ellwand::geometry::ring::{distance, nearest_place, stretch, vertex_or_place};
use ellwand::geometry::{Point, ring_area, self_contact};
use ellwand::piece::{Piece, seam_length};
use ellwand::project::load;
use geo::{Area, Contains, LineString, MultiPolygon, Polygon};
use geo_clipper::{Clipper, EndType, JoinType};
use proptest::prelude::*;

fn point(x: f64, y: f64) -> Point {
    Point { x, y }
}

/// A point by its distance from the origin and its direction in radians.
fn polar(radius: f64, turn: f64) -> Point {
    let (sine, cosine) = libm::sincos(turn);
    point(radius * cosine, radius * sine)
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
        (0..=200).map(|k| from + (to - from) * f64::from(k) / 200.0).map(|turn| polar(radius, turn)).collect()
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
    assert!(distance(cut.carried(ring[100]), polar(740.0, 0.75)) < 0.05);
}

#[test]
fn a_tight_inner_curve_is_trimmed() {
    // A slot with a round end of radius 5, 30 wide at its mouth; 12 all round.
    let mut ring = ring_of(&[(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (130.0, 100.0), (105.0, 50.0)]);
    ring.extend((1..32).map(|k| {
        let turn = -std::f64::consts::PI * f64::from(k) / 32.0;
        point(100.0, 50.0) + polar(5.0, turn)
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
        point(100.0, 100.0) + polar(40.0, turn)
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

/// A piece of a project in mm, as built.
fn piece(json: &str) -> Result<Piece, ellwand::error::Problems> {
    let text = format!(
        "{{ \"ellwand\": 1, \"units\": \"mm\", \"cloths\": {{ \"main\": {{ \"width\": 1500 }} }}, \"pieces\": {{ \"p\": {{ {json} }} }},
        \"cuts\": {{ \"p\": {{ \"piece\": \"p\", \"cloth\": \"main\" }} }} }}"
    );
    load(text.as_bytes(), "apron.json", &[]).map(|mut project| project.pieces.swap_remove("p").unwrap())
}

/// Half a bodice front on the fold, by its stitching line: neck curve, shoulder, armhole curve, side, waist with a dart.
const BODICE: &str =
    "\"outline\": \"M 0 0 L 230 10 L 240 200 C 190 210 180 280 190 360 L 80 400 C 75 330 40 310 0 310 Z\",
    \"points\": { \"cf-waist\": [0, 0], \"side-waist\": [230, 10], \"underarm\": [240, 200], \"tip\": [190, 360],
        \"neck\": [80, 400], \"cf-neck\": [0, 310], \"bust\": [100, 180] },
    \"edges\": { \"waist\": [\"cf-waist\", \"side-waist\"], \"side\": [\"side-waist\", \"underarm\"],
        \"armhole\": [\"underarm\", \"tip\"], \"shoulder\": [\"tip\", \"neck\"], \"neckline\": [\"neck\", \"cf-neck\"],
        \"centre\": [\"cf-neck\", \"cf-waist\"] },
    \"fold\": \"centre\", \"grain\": { \"from\": [30, 20], \"to\": [30, 200] }, \"notches\": [[235, 105], [192.5, 253.75]],
    \"darts\": [{ \"apex\": [100, 150], \"legs\": [[85, 3.7], [115, 5]] }]";

#[test]
fn a_bodice_keeps_both_lines() {
    let allowance = "\"allowance\": { \"add\": 15, \"edges\": { \"neckline\": 6, \"waist\": 20, \"centre\": 30 } }";
    let cut = piece(&format!("{BODICE}, {allowance}")).unwrap();
    let sewn = piece(BODICE).unwrap();
    // The fold has no allowance, whatever is written, and runs on to the cut lines of neck and waist.
    let fold = cut.fold.unwrap();
    assert!((distance(fold.from, fold.to) - (310.0 + 20.0 * (1.0_f64 + 1.0 / (23.0 * 23.0)).sqrt() + 6.0)).abs() < 0.3);
    assert_eq!(fold.from.y, fold.to.y);
    // Every seam is as long as its stitching line, which is what was given (flattened more finely, so a hair longer); the
    // dart takes what it took.
    for edge in ["waist", "side", "armhole", "shoulder", "neckline"] {
        let (given, kept) = (seam_length(&sewn, edge).unwrap(), seam_length(&cut, edge).unwrap());
        assert!((0.0..0.1).contains(&(kept.stitching - given.cut + 1e-9)), "{edge}: {given:?} {kept:?}");
        assert!((given.darts - kept.darts).abs() < 1e-6, "{edge}: {given:?} {kept:?}");
    }
    assert!(seam_length(&cut, "waist").unwrap().darts > 29.0);
    // Notches go square out to the cut line; points inside the piece stay.
    for (inner, outer) in sewn.notches.iter().zip(&cut.notches) {
        assert!((distance(*inner, *outer) - 15.0).abs() < 0.05, "{inner:?} {outer:?}");
        assert!(nearest_place(&cut.shape.outline, *outer).unwrap().distance < 1e-6);
    }
    assert!(distance(sewn.points["bust"], cut.points["bust"]) < 1e-9);
    assert!(distance(sewn.points["tip"], cut.points["tip"]) > 15.0);
    for leg in cut.darts[0].legs {
        assert!(nearest_place(&cut.shape.outline, leg).unwrap().distance < 1e-6);
    }
}

#[test]
fn half_scale_doubles_outline_and_allowance_alike() {
    let allowance = "\"allowance\": { \"add\": 15, \"edges\": { \"neckline\": 6, \"waist\": 20 }, \"corners\": { \"waist\": \"squared\" } }";
    let once = piece(&format!("{BODICE}, {allowance}")).unwrap();
    let twice = piece(&format!("{BODICE}, {allowance}, \"scale\": 2")).unwrap();
    // 3/8 in at half scale is 3/16 in (common practice): areas go by four, lengths by two.
    assert!((twice.shape.area() - 4.0 * once.shape.area()).abs() < 0.001 * twice.shape.area());
    assert_eq!((twice.allowance.included, twice.allowance.edges["waist"]), (30.0, 40.0));
    for edge in ["waist", "armhole"] {
        let (one, two) = (seam_length(&once, edge).unwrap(), seam_length(&twice, edge).unwrap());
        assert!((two.sewn() - 2.0 * one.sewn()).abs() < 0.1, "{one:?} {two:?}");
    }
    for (name, &p) in &once.points {
        assert!(distance(twice.points[name], p * 2.0) < 0.2, "{name}");
    }
    assert!(distance(twice.darts[0].apex, once.darts[0].apex * 2.0) < 1e-9);
    assert!(distance(twice.notches[0], once.notches[0] * 2.0) < 0.1);
    // An outline that includes its allowance is scaled with it.
    let included = "\"allowance\": { \"included\": 15, \"edges\": { \"waist\": 20 } }";
    let once = piece(&format!("{BODICE}, {included}")).unwrap();
    let twice = piece(&format!("{BODICE}, {included}, \"scale\": 2")).unwrap();
    assert_eq!((twice.allowance.included, twice.allowance.edges["waist"]), (30.0, 40.0));
    let (one, two) = (seam_length(&once, "side").unwrap(), seam_length(&twice, "side").unwrap());
    assert!((two.sewn() - 2.0 * one.sewn()).abs() < 0.1, "{one:?} {two:?}");
}

#[test]
fn a_known_stitching_line_agrees_with_the_one_found_from_the_cut_line() {
    let allowance = "\"allowance\": { \"add\": 15, \"edges\": { \"neckline\": 6, \"waist\": 20 } }";
    let known = piece(&format!("{BODICE}, {allowance}")).unwrap();
    let found = Piece { stitching: None, ..known.clone() };
    for edge in ["waist", "side", "armhole", "shoulder", "neckline"] {
        let (known, found) = (seam_length(&known, edge).unwrap(), seam_length(&found, edge).unwrap());
        assert!((known.stitching - found.stitching).abs() < 0.05, "{edge}: {known:?} {found:?}");
        assert!((known.darts - found.darts).abs() < 0.05, "{edge}: {known:?} {found:?}");
    }
}

#[test]
fn a_neck_that_meets_its_fold_at_a_slant_runs_on_along_the_fold() {
    // A V neck, and a hem that runs down to the fold: neither cut line may cross it.
    for hem in [-40, 0, 40] {
        let json = format!(
            "\"outline\": [[0, 0], [200, {hem}], [200, 300], [0, 230]], \"points\": {{ \"a\": [0, 230], \"b\": [0, 0], \"c\": [200, {hem}] }},
            \"edges\": {{ \"fold\": [\"a\", \"b\"], \"hem\": [\"b\", \"c\"] }}, \"fold\": \"fold\",
            \"grain\": {{ \"from\": [9, 9], \"to\": [9, 90] }},
            \"allowance\": {{ \"add\": 10, \"edges\": {{ \"hem\": 40 }}, \"corners\": {{ \"hem\": \"mitred\" }} }}"
        );
        let cut = piece(&json).unwrap();
        let slant = |rise: f64, by: f64| by * (1.0 + rise * rise).sqrt();
        let expected = 230.0 + slant(70.0 / 200.0, 10.0) + slant(f64::from(hem) / 200.0, 40.0);
        let fold = cut.fold.unwrap();
        assert!((distance(fold.from, fold.to) - expected).abs() < 1e-6, "{hem}: {fold:?} {expected}");
    }
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
                polar(radius, angle)
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
                    .map(|(n, (size, phase))| size * libm::sin((n + 2) as f64 * turn + phase) / (n + 2) as f64)
                    .sum();
                let r = radius * (1.0 + 0.4 * wave);
                polar(r, turn)
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
        prop_assume!(ring.iter().all(|&p| distance(cut.carried(p), p) < 3.9 * by));
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

    /// Different allowances on different edges: the cut line is sound, holds the stitching line, and gives each edge all
    /// of its allowance but near the ends, where corners are cut off.
    #[test]
    fn every_edge_gets_its_own_allowance(
        ring in prop_oneof![star(), smooth()],
        shares in prop::collection::vec((0.0..1.0_f64, 0.0..40.0_f64, 0_usize..3), 2..5),
        rest in 0.0..30.0_f64,
    ) {
        prop_assume!(self_contact(&ring).is_none());
        let edges = edges_of(&ring, &shares);
        let Ok(cut) = cut_outline(&ring, &edges, rest) else { return Ok(()) };
        prop_assert!(self_contact(&cut.ring).is_none());
        let outside = polygon(&ring).difference(&polygon(&cut.ring), 1e5).unsigned_area();
        prop_assert!(outside < 0.05, "{outside} square mm outside");
        for &p in &ring {
            prop_assert!(nearest_place(&cut.ring, cut.carried(p)).unwrap().distance < 1e-6);
        }
        let ends: Vec<Point> = edges.iter().flat_map(|edge| [edge.from.point, edge.to.point]).collect();
        let region = polygon(&cut.ring);
        for edge in &edges {
            for pair in stretch(&ring, edge.from, edge.to).windows(2) {
                let middle = (pair[0] + pair[1]) / 2.0;
                if ends.iter().all(|&end| distance(end, middle) > 120.0) {
                    let along = (pair[1] - pair[0]) / distance(pair[0], pair[1]);
                    let out = middle + point(along.y, -along.x) * edge.by;
                    let is_inside = region.contains(&geo::Point::from(out));
                    prop_assert!(is_inside || nearest_place(&cut.ring, out).unwrap().distance < 0.01, "{out:?} {edge:?}");
                }
            }
        }
    }

    /// Between the offsets by the least and by the widest allowance, on outlines without sharp corners.
    #[test]
    fn different_allowances_lie_between_the_least_and_the_widest(
        ring in smooth(),
        shares in prop::collection::vec((0.0..1.0_f64, 1.0..40.0_f64, 0_usize..1), 2..5),
        rest in 1.0..30.0_f64,
    ) {
        prop_assume!(self_contact(&ring).is_none());
        let edges = edges_of(&ring, &shares);
        let Ok(cut) = cut_outline(&ring, &edges, rest) else { return Ok(()) };
        let by = edges.iter().map(|edge| edge.by).chain([rest]);
        let (least, widest) = (by.clone().fold(f64::INFINITY, f64::min), by.fold(0.0, f64::max));
        let cut = MultiPolygon::new(vec![polygon(&cut.ring)]);
        let missing = reference(&ring, least).difference(&cut, 1e5).unsigned_area();
        prop_assert!(missing < 0.1, "{missing} square mm too little");
        let over = cut.difference(&reference(&ring, widest), 1e5).unsigned_area();
        prop_assert!(over < 0.1, "{over} square mm too much");
    }
}

/// Stretches between some points of a ring, each with its own allowance.
fn edges_of(ring: &[Point], shares: &[(f64, f64, usize)]) -> Vec<EdgeAllowance> {
    let corners = [Corner::Extended, Corner::Mitred, Corner::Squared];
    let mut at: Vec<usize> = shares.iter().map(|share| (share.0 * ring.len() as f64) as usize).collect();
    at.sort_unstable();
    at.dedup();
    at.windows(2)
        .zip(shares)
        .map(|(ends, share)| edge(ring, ring[ends[0]], ring[ends[1]], share.1, corners[share.2]))
        .collect()
}
