//! Pieces: what is refused, how grain and fold turn them, seams walked.

use ellwand::geometry::{Point, path_data};
use ellwand::piece::{Allowance, DartSource, Piece, PieceSource, build, seam_length};
use ellwand::units::{Unit, parse_length};
use proptest::prelude::*;

fn point(x: f64, y: f64) -> Point {
    Point { x, y }
}

fn source(outline: &str, points: &[(&str, f64, f64)], edges: &[(&str, &[&str])]) -> PieceSource {
    PieceSource {
        name: "piece".to_owned(),
        outline: path_data(outline, 1.0).expect("path data"),
        points: points.iter().map(|&(name, x, y)| (name.to_owned(), point(x, y))).collect(),
        edges: edges
            .iter()
            .map(|&(name, names)| (name.to_owned(), names.iter().map(|&n| n.to_owned()).collect()))
            .collect(),
        grain: Some([point(0.0, 0.0), point(0.0, 100.0)]),
        ..PieceSource::default()
    }
}

fn allowance(included: f64, edges: &[(&str, f64)]) -> Allowance {
    Allowance { included, edges: edges.iter().map(|&(name, by)| (name.to_owned(), by)).collect() }
}

/// The keys and causes of everything wrong with a source.
fn refused(source: &PieceSource) -> Vec<(String, String)> {
    let problems = build(source).expect_err("the piece is refused");
    problems.into_iter().map(|problem| (problem.place.keys, problem.cause)).collect()
}

const RECTANGLE: &str = "M 0 0 H 200 V 300 H 0 Z";

#[test]
fn the_grain_becomes_the_x_axis_and_points_to_the_top() {
    let piece = build(&source(RECTANGLE, &[], &[])).expect("a rectangle");
    let bounds = piece.shape.bounds();
    assert_eq!((bounds.length(), bounds.width()), (300.0, 200.0));
    assert!(piece.own_mirror.along_grain && piece.own_mirror.across_grain);
    assert!((piece.shape.area() - 60_000.0).abs() < 1e-9);
}

#[test]
fn a_clockwise_outline_is_turned_round() {
    let piece = build(&source("M 0 0 V 300 H 200 V 100 Z", &[], &[])).expect("a piece");
    assert!(piece.shape.area() > 0.0);
    assert_eq!(piece.own_mirror, ellwand::piece::OwnMirror::default());
}

#[test]
fn every_problem_of_a_piece_is_named_at_once() {
    let mut broken = source(RECTANGLE, &[("a", 0.0, 0.0), ("far", 50.0, 150.0)], &[("side", &["a", "far", "gone"])]);
    broken.grain = None;
    broken.fold = Some("nowhere".to_owned());
    broken.notches = vec![point(100.0, 150.0)];
    broken.allowance = allowance(10.0, &[("hem", 40.0)]);
    broken.darts = vec![DartSource { apex: point(100.0, 100.0), legs: [point(90.0, 0.0), point(110.0, 30.0)] }];
    let keys: Vec<String> = refused(&broken).into_iter().map(|(key, _)| key).collect();
    for key in ["grain", "points.far", "edges.side", "fold", "notches[0]", "allowance.edges.hem", "darts[0].legs"] {
        assert!(keys.iter().any(|k| k == key), "{key} in {keys:?}");
    }
}

#[test]
fn outlines_that_cannot_be_cut_are_refused() {
    for (outline, words) in [
        ("M 0 0 L 100 100 L 100 0 L 0 100 Z", "crosses or touches itself near x = 5.0 cm (2 in), y = 5.0 cm (2 in)"),
        ("M 0 0 L 100 0 L 100 80", "open: it ends 12.8 cm (5 in) from where it began"),
        ("M 0 0 L 100 0 L 200 0 Z", "encloses no cloth"),
        ("M 0 0 H 9 V 9 Z M 20 20 H 29 V 29 Z", "more than one closed line"),
        ("M 0 0 L 100 0 L 200 0 L 100 0 L 50 90 Z", "crosses or touches itself"),
    ] {
        let causes: Vec<String> = refused(&source(outline, &[], &[])).into_iter().map(|(_, cause)| cause).collect();
        assert!(causes.iter().any(|cause| cause.contains(words)), "{outline}: {causes:?}");
    }
}

#[test]
fn a_fold_edge_must_be_straight_and_outermost() {
    let fold = |outline: &str, points: &[(&str, f64, f64)]| {
        let mut folded = source(outline, points, &[("centre", &["top", "bottom"])]);
        folded.fold = Some("centre".to_owned());
        folded
    };
    let corners = [("top", 0.0, 300.0), ("bottom", 0.0, 0.0)];
    // The edge bows 3 mm into the piece in its middle.
    let bowed = fold("M 0 0 H 200 V 300 H 0 L 3 150 Z", &corners);
    assert!(refused(&bowed)[0].1.contains("not straight: it bows by 3 mm (1/8 in)"), "{:?}", refused(&bowed));
    let over = fold("M 0 0 L -20 -10 H 200 V 300 H 0 Z", &corners);
    assert!(refused(&over)[0].1.contains("reaches 2.0 cm (3/4 in) over its own fold edge"), "{:?}", refused(&over));
    let named_backwards = source(RECTANGLE, &corners, &[("centre", &["bottom", "top"])]);
    let named_backwards = PieceSource { fold: Some("centre".to_owned()), ..named_backwards };
    assert!(refused(&named_backwards)[0].1.contains("not straight"));
}

#[test]
fn an_opening_above_the_fold_edge_is_not_cut_off() {
    // A back with a slit, and one with a keyhole: above the fold edge the outline lies on the fold line again. Unfolded, the
    // two sides of the opening would be one line.
    for outline in ["M 0 0 H 200 V 300 H 0 Z", "M 0 0 H 200 V 300 H 0 V 260 L 30 240 L 30 220 L 0 200 Z"] {
        let mut half = source(outline, &[("top", 0.0, 200.0), ("bottom", 0.0, 0.0)], &[("centre", &["top", "bottom"])]);
        half.fold = Some("centre".to_owned());
        let refused = refused(&half);
        assert_eq!(refused[0].0, "edges.centre");
        assert!(refused[0].1.contains("on the fold line again 10.0 cm (3 7/8 in) beyond the fold edge"), "{refused:?}");
    }
    // 1 mm inside the line it can be cut.
    let outline = "M 0 0 H 200 V 300 H 1 V 205 L 0 200 Z";
    let mut half = source(outline, &[("top", 0.0, 200.0), ("bottom", 0.0, 0.0)], &[("centre", &["top", "bottom"])]);
    half.fold = Some("centre".to_owned());
    let piece = build(&half).expect("a half with a slit");
    assert!((piece.shape.area() - (200.0 * 300.0 - 95.0 - 2.5)).abs() < 1e-9);
}

#[test]
fn a_fold_edge_slanted_to_the_grain_is_refused_with_the_angle() {
    let half = |grain: Point| {
        let corners = [("top", 0.0, 300.0), ("bottom", 0.0, 0.0)];
        let half = source(RECTANGLE, &corners, &[("centre", &["top", "bottom"])]);
        PieceSource { fold: Some("centre".to_owned()), grain: Some([point(50.0, 50.0), grain]), ..half }
    };
    // tan 10 degrees = 0.17633.
    let slanted = refused(&half(point(50.0 + 17.633, 150.0)));
    assert!(slanted[0].1.contains("10.0 degrees off the grain"), "{slanted:?}");
    for good in [point(50.0, 150.0), point(150.0, 50.0), point(150.0, 150.0)] {
        assert!(build(&half(good)).is_ok());
    }
}

#[test]
fn the_whole_of_a_half_has_twice_its_area() {
    let mut half = source(
        "M 0 0 H 200 V 150 C 180 180 150 200 120 300 H 0 Z",
        &[("top", 0.0, 300.0), ("bottom", 0.0, 0.0)],
        &[("centre", &["top", "bottom"])],
    );
    half.fold = Some("centre".to_owned());
    // A grain a hair off the fold is taken as parallel to it.
    half.grain = Some([point(20.0, 20.0), point(20.5, 220.0)]);
    let piece = build(&half).expect("a half");
    let fold = piece.fold.expect("a fold");
    assert_eq!(fold.from.y, fold.to.y);
    let whole = piece.whole().expect("a whole");
    assert!((whole.area() - 2.0 * piece.shape.area()).abs() < 1e-6);
    assert!((whole.bounds().width() - 400.0).abs() < 1e-9);
    assert_eq!(ellwand::geometry::self_contact(&whole.outline), None);
}

#[test]
fn an_edge_must_run_counter_clockwise_through_its_points() {
    let points = [("a", 0.0, 0.0), ("b", 200.0, 0.0), ("c", 200.0, 300.0)];
    let piece = build(&source(RECTANGLE, &points, &[("l", &["a", "b", "c"])])).expect("in order");
    assert!((seam_length(&piece, "l").expect("an edge").cut - 500.0).abs() < 1e-9);
    let wrong = refused(&source(RECTANGLE, &points, &[("l", &["a", "c", "b"])]));
    assert!(wrong[0].1.contains("\"c\" does not come where the edge names it"), "{wrong:?}");
}

/// A bodice-like piece with a dart of 30 mm at the cut edge of its waist.
fn darted(scale: f64, included: f64) -> Piece {
    let s = |v: f64| v * scale;
    let outline = format!("M 0 0 H {} L {} {} H 0 Z", s(250.0), s(270.0), s(300.0));
    let mut darted = source(&outline, &[("cf", 0.0, 0.0), ("side", s(250.0), 0.0)], &[("waist", &["cf", "side"])]);
    darted.allowance = allowance(included, &[]);
    darted.darts =
        vec![DartSource { apex: point(s(120.0), s(160.0)), legs: [point(s(105.0), 0.0), point(s(135.0), 0.0)] }];
    build(&darted).expect("a darted piece")
}

#[test]
fn a_dart_takes_in_what_lies_between_its_legs_at_the_stitching_line() {
    let length = seam_length(&darted(1.0, 10.0), "waist").expect("a waist");
    // The legs close in from 30 mm to nothing over 160 mm: 10 mm up they are 30 x 150/160 apart (arithmetic).
    assert!((length.darts - 30.0 * 150.0 / 160.0).abs() < 1e-9, "{length:?}");
    assert!((length.cut - 250.0).abs() < 1e-9);
}

#[test]
fn a_half_scale_pattern_halves_its_allowance_too() {
    // Common practice, no source: a half-scale pattern has 3/16 in where the full size has 3/8 in.
    let full = parse_length("3/8 in", Unit::Inch).expect("a length");
    let half = parse_length("3/16 in", Unit::Inch).expect("a length");
    assert_eq!(half * 2.0, full);
    let (whole, small) = (darted(1.0, full), darted(0.5, half));
    let length = |piece| seam_length(piece, "waist").expect("a waist");
    assert!((length(&whole).sewn() - 2.0 * length(&small).sewn()).abs() < 1e-9);
}

proptest! {
    /// The stitching line of a rectangle with any allowances is what arithmetic says.
    #[test]
    fn rectangles_are_walked_exactly(width in 60.0..900.0_f64, height in 60.0..900.0_f64, a in 0.0..25.0_f64, b in 0.0..25.0_f64, hem in 0.0..50.0_f64) {
        let corners = [("sw", 0.0, 0.0), ("se", width, 0.0), ("ne", width, height), ("nw", 0.0, height)];
        let edges: [(&str, &[&str]); 3] = [("hem", &["sw", "se"]), ("side", &["se", "ne"]), ("top", &["ne", "nw"])];
        let mut rectangle = source(&format!("M 0 0 H {width} V {height} H 0 Z"), &corners, &edges);
        rectangle.allowance = allowance(a, &[("hem", hem), ("side", b)]);
        prop_assume!(hem + a + 1.0 < height && a + b + 1.0 < width);
        let piece = build(&rectangle).expect("a rectangle");
        let length = |edge| seam_length(&piece, edge).expect("an edge").stitching;
        prop_assert!((length("hem") - (width - a - b)).abs() < 1e-6);
        prop_assert!((length("side") - (height - hem - a)).abs() < 1e-6);
        prop_assert!((length("top") - (width - a - b)).abs() < 1e-6);
    }

    /// Nothing that comes in makes the geometry panic, and what is accepted has area and closed edges.
    #[test]
    fn random_paths_never_panic(numbers in prop::collection::vec(-300.0..300.0_f64, 6..24), fold in any::<bool>()) {
        let corners: Vec<String> = numbers.chunks_exact(2).map(|p| format!("{} {}", p[0], p[1])).collect();
        let outline = format!("M {} Z", corners.join(" L "));
        let points = [("a", numbers[0], numbers[1]), ("b", numbers[2], numbers[3])];
        let mut random = source(&outline, &points, &[("e", &["a", "b"])]);
        random.fold = fold.then(|| "e".to_owned());
        random.allowance = allowance(12.0, &[]);
        if let Ok(piece) = build(&random) {
            prop_assert!(piece.shape.area() > 0.0);
            prop_assert!(seam_length(&piece, "e").is_some_and(|length| length.stitching.is_finite()));
        }
    }
}
