//! Measured shapes against the trade's worked examples, and through the whole program.

use ellwand::draft::{
    BiasStrips, CirclePart, CircleSkirt, CurvedBand, Gore, Measured, Rectangle, Tie, TieEnd, Tier, Trapezium,
    bias_square, bias_strips, circle_skirt, curved_band, gathered_tier, gore, matched_drop, patch_pocket, rectangle,
    tie, trapezium, widths_needed,
};
use ellwand::geometry::{Point, Shape, ring_bounds};
use ellwand::piece::{Piece, build, seam_length};
use ellwand::plan::{self, Observer, Options};
use ellwand::project::{Project, load};
use kurbo::{ParamCurve, ParamCurveArclen, Shape as _};
use proptest::prelude::*;

const INCH: f64 = 25.4;

fn built(measured: &Measured) -> Piece {
    build(&measured.source).unwrap()
}

fn whole(measured: &Measured) -> Shape {
    let piece = built(measured);
    piece.whole().unwrap_or(piece.shape)
}

/// Extent across the grain and along it, in inches.
fn box_in_inches(measured: &Measured) -> (f64, f64) {
    let bounds = whole(measured).bounds();
    (bounds.width() / INCH, bounds.length() / INCH)
}

/// The exact length of a named edge that is one segment or more of the outline, from kurbo's own quadrature.
fn curve_length(measured: &Measured, edge: &str) -> f64 {
    let names = &measured.source.edges[edge];
    let at = |name: &String| measured.source.points[name];
    let (from, to) = (at(&names[0]), at(&names[names.len() - 1]));
    let near = |a: kurbo::Point, b: Point| (a.x - b.x).abs() + (a.y - b.y).abs() < 1e-6;
    let (mut length, mut on) = (0.0, false);
    for segment in measured.source.outline.segments() {
        on |= near(segment.start(), from);
        if on {
            length += segment.arclen(1e-9);
        }
        if on && near(segment.end(), to) {
            return length;
        }
    }
    panic!("{edge} is no stretch of the outline");
}

fn skirt(part: CirclePart, waist: f64, length: f64) -> Measured {
    let measures =
        CircleSkirt { part, waist: waist * INCH, length: length * INCH, panels: part.panels(), on_fold: true };
    circle_skirt(&measures).unwrap()
}

/// The radius of the waist, in inches: the fold begins on the circle, straight below the centre.
fn waist_radius(measured: &Measured) -> f64 {
    -measured.source.points["waist-fold"].y / INCH
}

#[test]
fn waists_of_circle_skirts_have_the_published_radii() {
    // Full circles for waists of 24 and 30 in: 3.82 and 4.775 in (reference.com).
    assert!((waist_radius(&skirt(CirclePart::Full, 24.0, 20.0)) - 3.82).abs() < 0.001);
    assert!((waist_radius(&skirt(CirclePart::Full, 30.0, 20.0)) - 4.775).abs() < 0.001);
    // Half W / pi, quarter 2 W / pi, three-quarter 2 W / 3 pi (arithmetic).
    let pi = std::f64::consts::PI;
    for (part, radius) in
        [(CirclePart::Half, 27.0 / pi), (CirclePart::Quarter, 54.0 / pi), (CirclePart::ThreeQuarter, 54.0 / (3.0 * pi))]
    {
        assert!((waist_radius(&skirt(part, 27.0, 22.0)) - radius).abs() < 1e-9);
    }
}

#[test]
fn circle_skirts_fill_the_worked_boxes() {
    // Waist 27, length 22 in, no allowances (arithmetic): full, two half circles in a square of 52.59; half, 30.59 x 61.19.
    let full = skirt(CirclePart::Full, 27.0, 22.0);
    let (across, along) = box_in_inches(&full);
    assert_eq!(full.count, 2);
    assert!((across - 52.59).abs() < 0.01 && (2.0 * along - 52.59).abs() < 0.01, "{across} {along}");
    let half = skirt(CirclePart::Half, 27.0, 22.0);
    let (across, along) = box_in_inches(&half);
    assert_eq!(half.count, 1);
    assert!((across - 61.19).abs() < 0.01 && (along - 30.59).abs() < 0.01, "{across} {along}");
}

#[test]
fn panels_of_a_skirt_go_round_the_waist_and_are_as_large_as_their_share() {
    for part in [CirclePart::Full, CirclePart::ThreeQuarter, CirclePart::Half, CirclePart::Quarter] {
        let panel = skirt(part, 27.0, 22.0);
        let halves = 2.0 * panel.count as f64;
        assert!((curve_length(&panel, "waist") * halves - 27.0 * INCH).abs() < 1e-3);
        // Area (R^2 - r^2) pi share (arithmetic), against kurbo's integral of the curve.
        let inner = waist_radius(&panel) * INCH;
        let outer = inner + 22.0 * INCH;
        let area = std::f64::consts::PI * part.share() * (outer * outer - inner * inner);
        assert!((panel.source.outline.area() * halves - area).abs() < 1e-6 * area);
        let piece = built(&panel);
        assert!(piece.fold.is_some());
        let seams: f64 = ["waist", "hem"].iter().map(|edge| seam_length(&piece, edge).unwrap().sewn()).sum();
        let exact = curve_length(&panel, "waist") + curve_length(&panel, "hem");
        assert!((seams - exact).abs() < 0.001 * exact);
    }
}

#[test]
fn a_full_circle_in_one_panel_has_no_room_for_a_seam() {
    let measures = CircleSkirt { part: CirclePart::Full, waist: 700.0, length: 500.0, panels: 1, on_fold: true };
    let problem = circle_skirt(&measures).unwrap_err();
    assert_eq!(problem.place.keys, "panels");
    let four = circle_skirt(&CircleSkirt { panels: 4, on_fold: false, ..measures }).unwrap();
    assert_eq!(four.count, 4);
    assert!((curve_length(&four, "hem") * 4.0 - 700.0 - 1000.0 * std::f64::consts::PI).abs() < 1e-3);
    assert!(built(&four).own_mirror.along_grain);
}

#[test]
fn a_curved_band_is_the_worked_ring_sector() {
    // Edges 14 and 15 in, depth 2 in: inner radius a h / (b - a) = 28 in, angle 0.5 rad (arithmetic).
    let (inner, outer, depth) = (14.0 * INCH, 15.0 * INCH, 2.0 * INCH);
    let band = curved_band(&CurvedBand { inner, outer, depth, on_fold: false }).unwrap();
    let corner = band.source.points["inner-right"];
    let (x, y) = (28.0 * INCH * libm::sin(0.25), -28.0 * INCH * libm::cos(0.25));
    assert!((corner.x - x).abs() < 1e-9 && (corner.y - y).abs() < 1e-9);
    assert!((curve_length(&band, "inner") - inner).abs() < 1e-3);
    assert!((curve_length(&band, "outer") - outer).abs() < 1e-3);
    assert!((band.source.outline.area() - 29.0 * INCH * INCH).abs() < 0.1);
    let half = curved_band(&CurvedBand { inner, outer, depth, on_fold: true }).unwrap();
    assert!((whole(&half).area() - built(&band).shape.area()).abs() < 10.0);
    // Edges that are equally long make a straight band, with the same names.
    let straight = curved_band(&CurvedBand { inner: outer, outer, depth, on_fold: true }).unwrap();
    assert!((whole(&straight).area() - 30.0 * INCH * INCH).abs() < 1e-6);
    assert!(straight.source.edges.keys().eq(["fold", "outer", "side", "inner"].iter()));
    assert!(half.source.edges.keys().eq(["fold", "outer", "side", "inner"].iter()));
}

#[test]
fn bias_squares_follow_the_trades_rule() {
    // n = ceil(sqrt(T / 2w)), D = n w sqrt 2 + 1/2 in. 72 in of 2 in: n = 5, D = 14.64; a 12 in square can never give
    // more than 144 / 2 = 72. A 10 1/2 in square gives 96 1/2 in of 1 in strip where the bound says 110.
    let side = |total: f64, width: f64| box_in_inches(&bias_square(total * INCH, width * INCH).unwrap()).0;
    assert!((side(72.0, 2.0) - 14.642).abs() < 0.001);
    assert!(side(96.5, 1.0) <= 10.5 && side(110.0, 1.0) > 10.5);
    assert!(side(72.0, 2.0) > 12.0);
    // 2 n^2 w is the most that n gives: 98 in of 1 in strip need n = 7 and no more.
    assert!((side(98.0, 1.0) - (7.0 * std::f64::consts::SQRT_2 + 0.5)).abs() < 1e-9);
}

#[test]
fn bias_strips_lie_across_the_cloth_at_45_degrees() {
    // Across 44 in a strip is 44 sqrt 2 = 62.2 in long; joins of 1/4 in leave 61.5: 100 in takes 2, 124 in takes 3.
    let measures = BiasStrips { total: 2540.0, width: 2.0 * INCH, usable_width: 44.0 * INCH, seam: 0.25 * INCH };
    let strips = bias_strips(&measures).unwrap();
    assert_eq!(strips.count, 2);
    assert_eq!(bias_strips(&BiasStrips { total: 124.0 * INCH, ..measures }).unwrap().count, 3);
    let piece = built(&strips);
    let bounds = ring_bounds(&piece.shape.outline);
    assert!((bounds.width() / INCH - (50.0 / std::f64::consts::SQRT_2 + 0.5)).abs() < 1e-9);
    // The ends lie along the grain.
    let end = &piece.edges["end"];
    assert!((end.from.point.y - end.to.point.y).abs() < 1e-9);
    // Area: length between the joins, and what the joins take, by the width.
    let expected = (1270.0 + 0.5 * INCH * std::f64::consts::SQRT_2) * 2.0 * INCH;
    assert!((piece.shape.area() - expected).abs() < 1e-6);
}

#[test]
fn widths_and_drops_of_curtains_follow_the_worked_example() {
    // 84 x 2.5 + 15 = 225 in / 54 -> 5 drops x 88 = 440 in; a drop of 114 with a repeat of 11 becomes 121 (common
    // practice).
    let drops = widths_needed((84.0 * 2.5 + 15.0) * INCH, 54.0 * INCH, 0.0).unwrap();
    assert_eq!((drops, drops as f64 * 88.0), (5, 440.0));
    assert!((matched_drop(114.0, 11.0) - 121.0).abs() < 1e-9);
    assert!((matched_drop(121.0, 11.0) - 121.0).abs() < 1e-9);
    assert_eq!(matched_drop(114.0, 0.0), 114.0);
}

#[test]
fn straight_shapes_have_their_areas_and_edges() {
    let whole_one = rectangle(&Rectangle { width: 400.0, length: 300.0, on_fold: false }).unwrap();
    let half = rectangle(&Rectangle { width: 400.0, length: 300.0, on_fold: true }).unwrap();
    assert_eq!((whole(&whole_one).area(), whole(&half).area()), (120_000.0, 120_000.0));
    let panel = trapezium(&Trapezium { top: 200.0, bottom: 300.0, length: 500.0, on_fold: true }).unwrap();
    assert_eq!(whole(&panel).area(), 125_000.0);
    assert_eq!(seam_length(&built(&panel), "top").unwrap().cut, 100.0);
    let sash = tie(&Tie { length: 900.0, width: 50.0, end: TieEnd::Slanted }).unwrap();
    // Twice the width by the length, less the two corners of 50 by 50 that the point takes.
    assert_eq!(built(&sash).shape.area(), 100.0 * 900.0 - 50.0 * 50.0);
    assert!(built(&sash).own_mirror.along_grain);
    let pocket = patch_pocket(140.0, 160.0, 20.0).unwrap();
    // Each rounded corner takes (1 - pi / 4) r^2 (arithmetic).
    let area = 140.0 * 160.0 - 2.0 * (1.0 - std::f64::consts::FRAC_PI_4) * 400.0;
    assert!((pocket.source.outline.area() - area).abs() < 0.01);
    assert!((curve_length(&pocket, "round") - (2.0 * 140.0 + 100.0 + 20.0 * std::f64::consts::PI)).abs() < 1e-3);
    assert!(built(&pocket).own_mirror.along_grain);
    assert!(patch_pocket(140.0, 160.0, 71.0).is_err());
    let square = patch_pocket(140.0, 160.0, 0.0).unwrap();
    assert_eq!(built(&square).shape.area(), 140.0 * 160.0);
}

#[test]
fn gores_go_round_and_hang_level() {
    let panel = gore(&Gore { waist: 700.0, hem: 1900.0, length: 600.0, panels: 6, on_fold: false }).unwrap();
    assert_eq!(panel.count, 6);
    assert!((curve_length(&panel, "waist") * 6.0 - 700.0).abs() < 1e-3);
    assert!((curve_length(&panel, "hem") * 6.0 - 1900.0).abs() < 1e-3);
    assert!((curve_length(&panel, "left") - 600.0).abs() < 1e-9);
    let bounds = whole(&panel).bounds();
    assert!(bounds.length() > 600.0 && bounds.length() < 625.0);
    assert_eq!(
        gore(&Gore { waist: 700.0, hem: 600.0, length: 600.0, panels: 6, on_fold: false }).unwrap_err().place.keys,
        "hem"
    );
}

fn project(measured: &str, more: &str, cut: &str) -> Result<Project, ellwand::error::Problems> {
    let text = format!(
        "{{ \"ellwand\": 1, \"units\": \"in\", \"cloths\": {{ \"main\": {{ \"width\": 44, \"nap\": true, \"lay\": \"open\" }} }},
        \"pieces\": {{ \"panel\": {{ \"measured\": {measured} {more} }} }},
        \"cuts\": {{ \"panel\": {{ \"piece\": \"panel\", \"cloth\": \"main\" {cut} }} }} }}"
    );
    load(text.as_bytes(), "tiers.json", &[])
}

struct Quiet;

impl Observer for Quiet {
    fn progress(&self, _: f64, _: &str) {}

    fn cancelled(&self) -> bool {
        false
    }
}

fn yards_to_buy(project: &Project) -> (f64, f64) {
    let planned = plan::plan(project, &Options::default(), &Quiet).unwrap();
    let cloth = &planned.document.cloths[0];
    (cloth.length / INCH, cloth.buy.length / 914.4)
}

#[test]
fn gathered_tiers_need_what_the_worked_example_says() {
    // Panels = ceil(needed / (usable width - 2 seams)); 2 x 49 = 98 in = 2.72 yd, to buy 2 3/4; 3 x 49 = 147 in = 4.08 yd,
    // to buy 4 1/8, not 4 (arithmetic).
    let tier = |edge: f64| Tier {
        edge: edge * INCH,
        fullness: 1.5,
        depth: 48.0 * INCH,
        usable_width: 44.0 * INCH,
        seam: 0.5 * INCH,
    };
    assert_eq!(gathered_tier(&tier(57.0)).unwrap().count, 2);
    assert_eq!(gathered_tier(&tier(86.0 / 1.5)).unwrap().count, 2);
    assert_eq!(gathered_tier(&tier(86.1 / 1.5)).unwrap().count, 3);
    let of = |edge: f64, count: usize| {
        let measured = format!(
            "{{ \"shape\": \"gathered tier\", \"edge\": {edge}, \"fullness\": 1.5, \"depth\": 48, \"usable_width\": 44, \"seam\": 0.5 }}"
        );
        project(&measured, ", \"allowance\": { \"add\": 0.5 }", &format!(", \"count\": {count}"))
    };
    let two = yards_to_buy(&of(57.0, 2).unwrap());
    assert!((two.0 - 98.0).abs() < 0.01 && (two.1 - 2.75).abs() < 1e-6, "{two:?}");
    let three = yards_to_buy(&of(85.0, 3).unwrap());
    assert!((three.0 - 147.0).abs() < 0.01 && (three.1 - 4.125).abs() < 1e-6, "{three:?}");
    let problems = of(85.0, 2).unwrap_err();
    assert!(problems[0].cause.contains("ask for 3") && problems[0].hint.contains("\"count\": 3"), "{problems:?}");
}

#[test]
fn a_measured_piece_takes_allowance_and_is_cut_on_the_fold() {
    let measured = "{ \"shape\": \"circle skirt\", \"part\": \"half\", \"waist\": 27, \"length\": 12 }";
    let more = ", \"allowance\": { \"add\": 0.5, \"edges\": { \"hem\": 1 }, \"corners\": { \"hem\": \"mitred\" } }";
    let project = project(measured, more, ", \"on_fold\": true").unwrap();
    let piece = &project.pieces["panel"];
    let whole = piece.whole().unwrap();
    // The waist is sewn along its own measure whatever is cut: a quarter circle of radius 27 / pi.
    let waist = seam_length(piece, "waist").unwrap();
    assert!((waist.sewn() - 27.0 * INCH / 2.0).abs() < 0.2, "{waist:?}");
    assert!(waist.cut < waist.sewn());
    // Cut radius 27 / pi + 12 + 1, and 1/2 in beyond the centre.
    let radius = 27.0 / std::f64::consts::PI + 13.0;
    let bounds = whole.bounds();
    assert!((bounds.width() / INCH - 2.0 * radius).abs() < 0.05, "{bounds:?} {radius}");
    assert!((bounds.length() / INCH - radius - 0.5).abs() < 0.05, "{bounds:?} {radius}");
    let on_open = self::project(measured, more, "").unwrap_err();
    assert!(on_open[0].hint.contains("on_fold"), "{on_open:?}");
}

#[test]
fn a_pocket_with_allowance_is_still_its_own_mirror_image() {
    let measured = "{ \"shape\": \"patch pocket\", \"width\": 6, \"length\": 7, \"radius\": 1 }";
    let more = ", \"allowance\": { \"add\": 0.375, \"edges\": { \"top\": 1 }, \"corners\": { \"top\": \"squared\" } }";
    let piece = project(measured, more, "").unwrap().pieces.swap_remove("panel").unwrap();
    assert!(piece.own_mirror.along_grain);
    // 6 3/4 by 8 3/8 in less the two corners, now of radius 1 3/8; the hem as wide as the sides (arithmetic).
    let area = 6.75 * 8.375 - 2.0 * (1.0 - std::f64::consts::FRAC_PI_4) * 1.375 * 1.375;
    // Chords within 0.1 mm of the two quarter circles, 110 mm long together, may leave out 11 square mm, 0.017 square in.
    assert!((piece.shape.area() / INCH / INCH - area).abs() < 0.017, "{} {area}", piece.shape.area() / INCH / INCH);
    assert!(piece.shape.outline.len() < 40, "{} points", piece.shape.outline.len());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Whatever the measures, a shape is a sound piece or an error that names one of them.
    #[test]
    fn every_shape_is_sound_or_refused(
        a in prop_oneof![1.0..2000.0_f64, Just(0.0), Just(f64::NAN), Just(1e9)],
        b in 1.0..3000.0_f64,
        c in 1.0..1500.0_f64,
        panels in 0_usize..9,
        on_fold in any::<bool>(),
    ) {
        let parts = [CirclePart::Full, CirclePart::ThreeQuarter, CirclePart::Half, CirclePart::Quarter];
        let shapes = [
            rectangle(&Rectangle { width: a, length: b, on_fold }),
            trapezium(&Trapezium { top: a, bottom: b, length: c, on_fold }),
            gore(&Gore { waist: a, hem: b, length: c, panels, on_fold }),
            circle_skirt(&CircleSkirt { part: parts[panels % 4], waist: a, length: b, panels, on_fold }),
            curved_band(&CurvedBand { inner: a, outer: b, depth: c, on_fold }),
            bias_strips(&BiasStrips { total: b, width: a, usable_width: c, seam: panels as f64 }),
            bias_square(a, c),
            gathered_tier(&Tier { edge: a, fullness: 1.0 + panels as f64, depth: b, usable_width: c, seam: 5.0 }),
            tie(&Tie { length: a, width: b, end: if on_fold { TieEnd::Slanted } else { TieEnd::Square } }),
            patch_pocket(b, c, a),
        ];
        for (number, shape) in shapes.into_iter().enumerate() {
            match shape {
                Ok(measured) => {
                    prop_assert!(measured.count >= 1);
                    prop_assert!(build(&measured.source).is_ok(), "{number}: {:?}", build(&measured.source).unwrap_err());
                }
                Err(problem) => prop_assert!(!problem.place.keys.is_empty() && !problem.hint.is_empty(), "{problem:?}"),
            }
        }
    }
}
