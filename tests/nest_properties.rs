//! The nester against references outside it: random problems checked with another polygon library, no-fit polygons against
//! unions of that library, rectangles cut up and found again.

use ellwand::geometry::{Bounds, Point, Pose, Shape, convex_difference, convex_parts, ring_area};
use ellwand::nest::nofit::NoFit;
use ellwand::nest::{
    Band, Effort, Failure, Item, Lines, Observer, Outcome, Placement, Problem, Settings, Silent, StopReason, Store,
    Way, least_possible, solve, solve_with,
};
use geo::{Area, ConvexHull, LineString, MultiPolygon, Polygon};
use geo_clipper::{Clipper, EndType, JoinType};
use proptest::prelude::*;

const QUICK: Settings = Settings::new(Effort::Quick, 1);

fn point(x: f64, y: f64) -> Point {
    Point { x, y }
}

fn polygon(shape: &Shape) -> Polygon {
    Polygon::new(LineString(shape.outline.clone()), vec![])
}

fn turned(turn: f64) -> Pose {
    Pose { mirrored: false, turn }
}

/// A shape seen from its middle: corners at growing angles, near and far.
fn star(radii: &[f64], size: f64) -> Shape {
    let n = radii.len() as f64;
    let outline = radii
        .iter()
        .enumerate()
        .map(|(k, radius)| {
            let (sine, cosine) = libm::sincos(std::f64::consts::TAU * k as f64 / n);
            point(cosine * radius * size, sine * radius * size)
        })
        .collect();
    Shape::new(outline, vec![])
}

fn any_shape() -> impl Strategy<Value = Shape> {
    (prop::collection::vec(0.25..1.0, 3..12), 20.0..120.0).prop_map(|(radii, size)| star(&radii, size))
}

fn any_convex() -> impl Strategy<Value = Shape> {
    any_shape().prop_map(|shape| {
        let mut hull = polygon(&shape).convex_hull().into_inner().0.0;
        hull.pop();
        Shape::new(hull, vec![])
    })
}

/// Columns of whole heights on a line, turned by quarters: the outline, every side of which runs as many others do, and the
/// lowest corners of the unit squares in it.
fn columns(heights: &[i32], quarters: u8) -> (Vec<Point>, Vec<(i32, i32)>) {
    let (mut upper, mut squares) = (Vec::new(), Vec::new());
    let mut x = 0;
    for &height in heights {
        upper.extend([(x, height), (x + 1, height)]);
        squares.extend((0..height).map(|y| (x, y)));
        x += 1;
    }
    let mut outline = vec![(0, 0), (x, 0)];
    outline.extend(upper.into_iter().rev());
    outline.dedup();
    for _ in 0..quarters {
        outline = outline.into_iter().map(|(x, y)| (-y, x)).collect();
        squares = squares.into_iter().map(|(x, y)| (-y - 1, x)).collect();
    }
    let outline = outline.into_iter().map(|(x, y)| point(f64::from(x), f64::from(y))).collect();
    (outline, squares)
}

fn any_columns() -> impl Strategy<Value = (Vec<Point>, Vec<(i32, i32)>)> {
    (prop::collection::vec(1..7, 1..7), 0_u8..4).prop_map(|(heights, quarters)| columns(&heights, quarters))
}

fn any_poses() -> impl Strategy<Value = Vec<Pose>> {
    let over = Pose { mirrored: true, turn: 180.0 };
    prop_oneof![
        Just(vec![turned(0.0)]),
        Just(vec![turned(0.0), turned(180.0)]),
        Just(vec![turned(90.0), turned(270.0)]),
        Just(vec![turned(0.0), over]),
        (0.0..360.0, any::<bool>()).prop_map(|(turn, mirrored)| vec![Pose { mirrored, turn }]),
    ]
}

/// Free, within a band, or pinned by the lowest point to the first edge.
fn banded(kind: u8, poses: Vec<Pose>, shape: &Shape, width: f64) -> (Band, Vec<Pose>) {
    match kind {
        0..=5 => (Band::Free, poses),
        6..=7 => {
            let (from, to) = (10.0, width - 40.0);
            (Band::Within { from, to }, poses)
        }
        _ => {
            let corners = shape.outline.iter().copied();
            let anchor = corners.min_by(|a, b| a.y.total_cmp(&b.y)).expect("a shape has corners");
            (Band::Pinned { anchor, y: 0.0 }, vec![Pose::AS_PRINTED])
        }
    }
}

fn any_problem() -> impl Strategy<Value = Problem> {
    let items = prop::collection::vec((0_usize..4, any_poses(), 0_u8..10), 1..9);
    let shapes = prop::collection::vec(any_shape(), 4);
    let keep_out = prop::collection::vec((any_shape(), 0.0..400.0, 0.0..300.0), 0..3);
    (items, shapes, keep_out, prop_oneof![Just(0.0), 0.5..15.0]).prop_map(|(items, shapes, keep_out, gap)| {
        let width = 300.0;
        let items = items
            .into_iter()
            .map(|(shape, poses, kind)| {
                let (band, poses) = banded(kind, poses, &shapes[shape], width);
                let mut way = Way::new(shape, poses, band);
                let lines = |every| Some(Lines { anchor: shapes[shape].outline[0], at: 33.0, every });
                match kind {
                    0 | 6 => way = way.turning(|_| (-7.0, 20.0)),
                    2 => way.along = lines(40.0),
                    3 => {
                        // Held to lines, it is not turned.
                        way = way.turning(|_| (-7.0, 20.0));
                        way.across = lines(25.0);
                    }
                    4 => (way.along, way.across) = (lines(64.0), lines(48.0)),
                    5 => {
                        // The same shape, or another at one edge.
                        let (band, poses) = banded(9, vec![], &shapes[0], width);
                        return Item { ways: vec![way, Way::new(0, poses, band)] };
                    }
                    _ => {}
                }
                way.into()
            })
            .collect();
        let keep_out = keep_out.into_iter().map(|(shape, x, y)| shape.placed(Pose::AS_PRINTED, point(x, y))).collect();
        Problem { width, gap, shapes, items, keep_out }
    })
}

/// Whether a pose is one of a way's, turned within its leeway.
fn may_lie(way: &Way, pose: Pose) -> bool {
    way.poses.iter().zip(&way.leeway).any(|(known, &(least, most))| {
        let off = (pose.turn - known.turn + 180.0).rem_euclid(360.0) - 180.0;
        known.mirrored == pose.mirrored && (*known == pose || (least - 1e-9..=most + 1e-9).contains(&off))
    })
}

/// Everything a layout must be, by means of a library the nester does not use.
fn verify(problem: &Problem, outcome: &Outcome) -> Result<(), String> {
    let placements = &outcome.solution.placements;
    if placements.len() != problem.items.len() {
        return Err("not every item is placed".into());
    }
    let mut shapes = Vec::new();
    let mut length = 0.0_f64;
    for (index, (item, placement)) in problem.items.iter().zip(placements).enumerate() {
        let Some(way) = item.ways.get(placement.way).filter(|way| may_lie(way, placement.pose)) else {
            return Err(format!("item {index} lies in a pose it may not take"));
        };
        let shape = problem.shapes[way.shape].placed(placement.pose, placement.at);
        on_lines(way, placement).map_err(|e| format!("item {index}: {e}"))?;
        let Bounds { min, max } = shape.bounds();
        let (from, to) = match way.band {
            Band::Within { from, to } => (from, to),
            Band::Free | Band::Pinned { .. } => (0.0, problem.width),
        };
        let off = [-min.x, from - min.y, max.y - to];
        if !off.iter().all(|&o| o <= 1e-6) {
            return Err(format!("item {index} is off its band by {off:?}"));
        }
        if let Band::Pinned { anchor, y } = way.band {
            let off = placement.pose.motion(placement.at).apply(anchor).y - y;
            if off.abs() > 1e-9 {
                return Err(format!("item {index} is off its line by {off}"));
            }
        }
        length = length.max(max.x);
        shapes.push(shape);
    }
    if (length - outcome.solution.length).abs() > 1e-6 {
        return Err(format!("the length is {length}, not {}", outcome.solution.length));
    }
    if outcome.least_possible > length + 1e-6 {
        return Err(format!("the bound {} exceeds the length {length}", outcome.least_possible));
    }
    shapes.extend(problem.keep_out.iter().cloned());
    for i in 0..placements.len() {
        for j in i + 1..shapes.len() {
            apart(&shapes[i], &shapes[j], problem.gap).map_err(|e| format!("items {i} and {j}: {e}"))?;
        }
    }
    Ok(())
}

fn on_lines(way: &Way, placement: &Placement) -> Result<(), String> {
    for (lines, axis) in [(way.along, (|p| p.x) as fn(Point) -> f64), (way.across, |p| p.y)] {
        let Some(lines) = lines else { continue };
        let off = axis(placement.pose.motion(placement.at).apply(lines.anchor)) - lines.at;
        let off = if lines.every > 0.0 { off - (off / lines.every).round() * lines.every } else { off };
        if off.abs() > 1e-6 {
            return Err(format!("off {lines:?} by {off}"));
        }
    }
    Ok(())
}

fn apart(a: &Shape, b: &Shape, gap: f64) -> Result<(), String> {
    const FACTOR: f64 = 1e6;
    let overlap = polygon(a).intersection(&polygon(b), FACTOR).unsigned_area();
    if overlap > 0.001 {
        return Err(format!("overlap of {overlap} mm2"));
    }
    if gap > 0.0 {
        // Grown by a hair less than the gap, they must still not meet.
        let wide = polygon(a).offset(gap - 1e-4, JoinType::Round(1e-4 * FACTOR), EndType::ClosedPolygon, FACTOR);
        let overlap = wide.intersection(&MultiPolygon(vec![polygon(b)]), FACTOR).unsigned_area();
        if overlap > 0.001 {
            return Err(format!("the gap falls short over {overlap} mm2"));
        }
    }
    Ok(())
}

/// Holds the depth of `b` moved by `r` in `a` against the distance to the boundary, measured side by side.
fn depth_is_a_distance(a: &Shape, b: &Shape, r: Point) -> Result<(), TestCaseError> {
    let nofit = NoFit::new(&a.outline, &b.outline).expect("stars are simple");
    let away = |from: Point, to: Point| {
        let d = to - from;
        let t = (((r.x - from.x) * d.x + (r.y - from.y) * d.y) / (d.x * d.x + d.y * d.y)).clamp(0.0, 1.0);
        libm::hypot(r.x - from.x - t * d.x, r.y - from.y - t * d.y)
    };
    let distance = nofit.sides().iter().map(|s| away(s.from, s.to())).fold(f64::INFINITY, f64::min);
    let moved = b.placed(Pose::AS_PRINTED, r);
    let overlap = polygon(a).intersection(&polygon(&moved), 1e6).unsigned_area();
    let depth = nofit.depth(r);
    if overlap > 1e-3 {
        prop_assert!((depth - distance).abs() < 1e-6, "overlapping: {depth} instead of {distance}");
    } else if distance > 1e-2 {
        prop_assert_eq!(depth, 0.0, "apart");
    }
    let rough = nofit.rough(r);
    prop_assert!(rough.depth <= depth, "a rough look says {}, deeper than {depth}", rough.depth);
    prop_assert!(rough.cell.is_some() || rough.depth == depth);
    let way = nofit.depth_and_way(r);
    prop_assert!((libm::hypot(way.out.x, way.out.y) - way.depth).abs() < 1e-9);
    prop_assert!((way.depth - depth).abs() < 1e-9);
    prop_assert!(nofit.depth(r + way.out) < 1e-6, "the way does not lead out");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_layout_holds(problem in any_problem(), seed in 0_u64..1000) {
        match solve(&problem, &Settings { seed, ..QUICK }, &Silent) {
            Ok(outcome) => {
                if let Err(message) = verify(&problem, &outcome) {
                    prop_assert!(false, "{message}");
                }
                prop_assert_eq!(outcome.least_possible, least_possible(&problem).unwrap());
            }
            Err(failure) => prop_assert!(matches!(failure, Failure::DoesNotFit { .. }), "{failure}"),
        }
    }

    #[test]
    fn what_a_store_knows_changes_nothing(problem in any_problem(), wider in 1.01..1.5_f64, gap in 0.0..5.0_f64) {
        let store = Store::new();
        let settings = Settings { portion: 0.1, ..QUICK };
        let other_width = Problem { width: problem.width * wider, ..problem.clone() };
        let other_gap = Problem { gap: problem.gap + gap, ..problem.clone() };
        for problem in [&problem, &other_width, &other_gap, &problem] {
            let knowing = solve_with(&store, problem, &settings, &Silent);
            prop_assert_eq!(knowing, solve(problem, &settings, &Silent));
        }
    }

    #[test]
    fn no_fit_polygons_are_minkowski_sums(a in any_shape(), b in any_shape()) {
        let nofit = NoFit::new(&a.outline, &b.outline).expect("stars are simple");
        let (p, q) = (convex_parts(&a.outline).unwrap(), convex_parts(&b.outline).unwrap());
        let of_parts = NoFit::of_parts(&p, &q);
        // The reference: triangles of a fan about the middle, which both shapes are stars about, summed pairwise.
        let mut whole = MultiPolygon(vec![]);
        for s in triangles(&a) {
            for t in triangles(&b) {
                let sum = Polygon::new(LineString(convex_difference(&s, &t)), vec![]);
                whole = whole.union(&MultiPolygon(vec![sum]), 1e5);
            }
        }
        let area = whole.unsigned_area();
        for made in [nofit, of_parts] {
            prop_assert!((made.area() - area).abs() < 1e-5 * area, "{} instead of {}", made.area(), area);
        }
    }

    /// The reference: unit squares counted.
    #[test]
    fn so_are_those_of_outlines_that_run_alike((a, some) in any_columns(), (b, others) in any_columns()) {
        let nofit = NoFit::new(&a, &b).expect("columns are simple");
        let mut squares = std::collections::BTreeSet::new();
        for p in &some {
            for q in &others {
                let (x, y) = (p.0 - q.0, p.1 - q.1);
                squares.extend([(x - 1, y - 1), (x, y - 1), (x - 1, y), (x, y)]);
            }
        }
        let area = squares.len() as f64;
        prop_assert!((nofit.area() - area).abs() < 1e-5 * area, "{} instead of {area}", nofit.area());
    }

    #[test]
    fn depths_are_distances_to_the_boundary(a in any_shape(), b in any_shape(), x in -1.0..1.0, y in -1.0..1.0) {
        depth_is_a_distance(&a, &b, point(x * 240.0, y * 240.0))?;
    }

    #[test]
    fn so_are_those_of_convex_outlines(a in any_convex(), b in any_convex(), x in -1.0..1.0, y in -1.0..1.0) {
        depth_is_a_distance(&a, &b, point(x * 160.0, y * 160.0))?;
    }

    #[test]
    fn convex_parts_cover(a in any_shape()) {
        let parts = convex_parts(&a.outline).unwrap();
        let sum: f64 = parts.iter().map(|part| ring_area(part)).sum();
        prop_assert!((sum - a.area()).abs() < 1e-9 * a.area());
        let mut whole = MultiPolygon(vec![]);
        for part in parts {
            whole = whole.union(&MultiPolygon(vec![Polygon::new(LineString(part), vec![])]), 1e6);
        }
        prop_assert!((whole.unsigned_area() - a.area()).abs() < 1e-3);
    }

    #[test]
    fn nothing_panics(
        numbers in prop::collection::vec(prop_oneof![Just(f64::NAN), Just(1e308), Just(0.0), Just(-1.0), -50.0..50.0], 12),
        width in prop_oneof![Just(f64::INFINITY), Just(0.0), Just(1e-300), 1.0..100.0],
    ) {
        let outline: Vec<Point> = numbers.chunks(2).map(|c| point(c[0], c[1])).collect();
        let shapes = vec![Shape { outline, holes: vec![] }];
        let problem = Problem { width, gap: 0.0, shapes, items: vec![free(0, &[Pose::AS_PRINTED])], keep_out: vec![] };
        if let Ok(outcome) = solve(&problem, &QUICK, &Silent) {
            prop_assert!(outcome.solution.length.is_finite());
        }
    }
}

fn triangles(shape: &Shape) -> Vec<Vec<Point>> {
    let n = shape.outline.len();
    (0..n).map(|k| vec![point(0.0, 0.0), shape.outline[k], shape.outline[(k + 1) % n]]).collect()
}

fn free(shape: usize, poses: &[Pose]) -> Item {
    Way::new(shape, poses.to_vec(), Band::Free).into()
}

fn sample_problem() -> Problem {
    let radii = [
        [1.0, 0.5, 0.9, 0.6, 1.0, 0.4, 0.8, 0.9],
        [0.9, 0.9, 0.5, 0.9, 0.9, 0.3, 0.7, 1.0],
        [0.6, 1.0, 0.6, 1.0, 0.6, 1.0, 0.6, 1.0],
    ];
    Problem {
        width: 300.0,
        gap: 2.0,
        shapes: radii.iter().map(|r| star(r, 70.0)).collect(),
        items: (0..12).map(|k| free(k % 3, &[turned(0.0), turned(180.0)])).collect(),
        keep_out: vec![],
    }
}

#[test]
fn one_thread_and_two_give_the_same() {
    let problem = sample_problem();
    let [one, two] = [1, 2].map(|threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| solve(&problem, &QUICK, &Silent).unwrap())
    });
    assert_eq!(one, two);
    verify(&problem, &one).unwrap();
}

struct CancelAtOnce;

impl Observer for CancelAtOnce {
    fn progress(&self, _share_done: f64, _best_length: f64) {}

    fn cancelled(&self) -> bool {
        true
    }
}

#[test]
fn cancelled_at_once_there_is_a_layout() {
    let problem = sample_problem();
    let outcome = solve(&problem, &QUICK, &CancelAtOnce).unwrap();
    assert_eq!(outcome.stop, StopReason::Cancelled);
    verify(&problem, &outcome).unwrap();
}

#[test]
fn no_time_at_all_gives_a_layout() {
    let problem = sample_problem();
    let settings = Settings { seconds: Some(0.0), ..QUICK };
    let outcome = solve(&problem, &settings, &Silent).unwrap();
    assert_eq!(outcome.stop, StopReason::TimeUp);
    verify(&problem, &outcome).unwrap();
}

#[test]
fn more_effort_is_no_worse() {
    let problem = sample_problem();
    let quick = solve(&problem, &QUICK, &Silent).unwrap();
    let effort = Effort::Steady;
    let steady = solve(&problem, &Settings { effort, ..QUICK }, &Silent).unwrap();
    verify(&problem, &steady).unwrap();
    assert!(steady.solution.length <= quick.solution.length * 1.005);
    assert!(steady.work > quick.work);
}

#[test]
fn squares_meet_the_bound_and_stop() {
    let corners = [(0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0)];
    let problem = Problem {
        width: 100.0,
        gap: 0.0,
        shapes: vec![Shape::new(corners.map(|(x, y)| point(x, y)).to_vec(), vec![])],
        items: vec![free(0, &[turned(0.0)]); 8],
        keep_out: vec![],
    };
    let outcome = solve(&problem, &QUICK, &Silent).unwrap();
    assert_eq!(outcome.stop, StopReason::BoundMet);
    assert!((outcome.solution.length - 200.0).abs() < 1e-4);
    verify(&problem, &outcome).unwrap();
}

/// A rectangle of 600 x 400 cut by straight lines into six pieces, each moved to its own origin.
fn jigsaw(lines: &[(f64, f64)]) -> Vec<Shape> {
    let mut pieces = vec![vec![point(0.0, 0.0), point(600.0, 0.0), point(600.0, 400.0), point(0.0, 400.0)]];
    for &(share, angle) in lines {
        // The largest piece is cut in two through a point near its middle.
        pieces.sort_by(|a, b| ring_area(b).total_cmp(&ring_area(a)));
        let piece = pieces.remove(0);
        let middle = piece.iter().fold(point(0.0, 0.0), |sum, &p| sum + p) / piece.len() as f64;
        let through = middle + (piece[0] - middle) * (share - 0.5);
        let (sine, cosine) = libm::sincos(angle);
        let side = |p: Point| (p.x - through.x) * sine - (p.y - through.y) * cosine;
        for sign in [1.0, -1.0] {
            let mut half = Vec::new();
            for k in 0..piece.len() {
                let (a, b) = (piece[k], piece[(k + 1) % piece.len()]);
                let (u, v) = (sign * side(a), sign * side(b));
                if u >= 0.0 {
                    half.push(a);
                }
                if u * v < 0.0 {
                    half.push(a + (b - a) * (u / (u - v)));
                }
            }
            pieces.push(half);
        }
    }
    pieces.into_iter().map(|piece| Shape::new(piece.iter().map(|&p| p - piece[0]).collect(), vec![])).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_rectangle_cut_up_is_found_again(lines in prop::collection::vec((0.3..0.7, 0.0..3.1), 5)) {
        let shapes = jigsaw(&lines);
        let items = (0..shapes.len()).map(|k| free(k, &[turned(0.0)])).collect();
        let problem = Problem { width: 400.0, gap: 0.0, shapes, items, keep_out: vec![] };
        let settings = Settings { effort: Effort::Steady, ..QUICK };
        let outcome = solve(&problem, &settings, &Silent).unwrap();
        if let Err(message) = verify(&problem, &outcome) {
            prop_assert!(false, "{message}");
        }
        prop_assert!(outcome.solution.length < 660.0, "{}", outcome.solution.length);
    }
}

#[test]
fn what_does_not_fit_is_named() {
    let tall = Shape::new(vec![point(0.0, 0.0), point(10.0, 0.0), point(10.0, 120.0)], vec![]);
    let mut problem = Problem {
        width: 100.0,
        gap: 0.0,
        shapes: vec![tall],
        items: vec![free(0, &[turned(0.0), turned(180.0)])],
        keep_out: vec![],
    };
    let failure = Failure::DoesNotFit { item: 0, least_width: 120.0, room: 100.0 };
    assert_eq!(solve(&problem, &QUICK, &Silent), Err(failure));
    problem.items[0].ways[0].poses.clear();
    assert_eq!(solve(&problem, &QUICK, &Silent), Err(Failure::NoPose { item: 0 }));
    problem.items[0] = free(7, &[turned(0.0)]);
    assert_eq!(solve(&problem, &QUICK, &Silent), Err(Failure::NoSuchShape { item: 0 }));
    problem.items.clear();
    assert_eq!(solve(&problem, &QUICK, &Silent).unwrap().solution.length, 0.0);
}

#[test]
fn a_stick_turns_until_it_is_as_wide_as_the_strip() {
    let stick = Shape::new(vec![point(0.0, 0.0), point(100.0, 0.0), point(100.0, 5.0), point(0.0, 5.0)], vec![]);
    // From flat it is longer before it is shorter: the steps of a wide leeway are poses.
    let way = Way::new(0, vec![turned(0.0), turned(30.0)], Band::Free).turning(|_| (-30.0, 30.0));
    let problem = Problem { width: 80.0, gap: 0.0, shapes: vec![stick], items: vec![way.into()], keep_out: vec![] };
    let outcome = solve(&problem, &QUICK, &Silent).unwrap();
    verify(&problem, &outcome).unwrap();
    // As long as the turn t allows: 100 sin t + 5 cos t = 80; the diagonal stands at atan(5 / 100) to the side.
    let diagonal = libm::hypot(100.0, 5.0);
    let t = libm::asin(80.0 / diagonal) - libm::atan2(5.0, 100.0);
    let (sine, cosine) = libm::sincos(t);
    let least = 100.0 * cosine + 5.0 * sine;
    assert!((outcome.solution.length - least).abs() < 1e-3, "{} for {least}", outcome.solution.length);
}

#[test]
fn small_tilts_close_a_wedge() {
    // Two halves of a bar cut aslant, each held 2 degrees off: turned back they are the bar again.
    let cut = |points: &[(f64, f64)]| Shape::new(points.iter().map(|&(x, y)| point(x, y)).collect(), vec![]);
    let first = cut(&[(0.0, 0.0), (120.0, 0.0), (80.0, 50.0), (0.0, 50.0)]);
    let second = cut(&[(120.0, 0.0), (200.0, 0.0), (200.0, 50.0), (80.0, 50.0)]);
    let way = |shape, turn| Way::new(shape, vec![turned(turn)], Band::Free).turning(|_| (-3.0, 3.0)).into();
    let items = vec![way(0, 2.0), way(1, 358.0)];
    let problem = Problem { width: 60.0, gap: 0.0, shapes: vec![first, second], items, keep_out: vec![] };
    let held = Problem {
        items: vec![
            Way::new(0, vec![turned(2.0)], Band::Free).into(),
            Way::new(1, vec![turned(358.0)], Band::Free).into(),
        ],
        ..problem.clone()
    };
    let (outcome, stiff) = (solve(&problem, &QUICK, &Silent).unwrap(), solve(&held, &QUICK, &Silent).unwrap());
    verify(&problem, &outcome).unwrap();
    assert!(outcome.solution.length <= 200.0 + 1e-3, "{}", outcome.solution.length);
    assert!(stiff.solution.length > outcome.solution.length + 0.5, "{}", stiff.solution.length);
}
