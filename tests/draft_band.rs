//! The band drafted from a bodice, held against cones: a bodice that is a sector of a cone, cut open into a flat piece with
//! darts, must give back the exact ring sector.

mod common;

use common::bodice::{Bodice, Dart};
use ellwand::draft::{self, BandOptions, BandPart, Drafted, Measure};
use ellwand::geometry::ring::{distance, polyline_length};
use ellwand::geometry::{Point, ring_area};
use ellwand::piece::{Piece, seam_length};
use proptest::prelude::*;

const PLAIN: BandOptions = BandOptions { allowance: None, is_knit: false };

fn part(piece: &Piece, depth: f64) -> BandPart<'_> {
    BandPart { piece, waist: "waist", side: "side", depth, band: "band", bodice: "upper" }
}

fn drafted(piece: &Piece, depth: f64, options: &BandOptions) -> Drafted {
    draft::band(Some(&part(piece, depth)), None, options).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn sewn(piece: &Piece, edge: &str) -> f64 {
    seam_length(piece, edge).expect("an edge").sewn()
}

/// Every point of both long edges at its radius, and lengths and area of the ring sector (arithmetic): r t, (r + d) t and
/// t ((r + d)^2 - r^2) / 2.
fn assert_ring_sector(bodice: &Bodice, band: &Piece, depth: f64) {
    let centre = bodice.centre();
    let radii = [bodice.radius, bodice.radius + depth * bodice.outwards()];
    for (edge, radius) in [("lower", radii[0]), ("upper", radii[1])] {
        for &p in &band.edges[edge].points {
            assert!((distance(p, centre) - radius).abs() < 0.02, "{edge}: {p:?} {} {radius}", distance(p, centre));
        }
        let length = polyline_length(&band.edges[edge].points);
        assert!((length - radius * bodice.angle).abs() < 0.02, "{edge}: {length} {}", radius * bodice.angle);
    }
    let exact = bodice.angle * (radii[1] * radii[1] - radii[0] * radii[0]).abs() / 2.0;
    let area = ring_area(&band.shape.outline);
    assert!((area - exact).abs() < 1e-4 * exact, "{area} {exact}");
}

#[test]
fn a_cone_cut_into_darted_pieces_gives_its_own_ring_sector() {
    for outwards in [true, false] {
        for darts in [
            vec![],
            vec![Dart { at: 0.4, reach: 90.0, turn: 0.12 }],
            vec![Dart { at: 0.3, reach: 80.0, turn: 0.1 }, Dart { at: 0.65, reach: 120.0, turn: 0.16 }],
        ] {
            let bodice = Bodice { radius: 400.0, angle: 0.6, opens_downwards: outwards, height: 200.0, darts };
            let piece = bodice.piece(0.0);
            let drafted = drafted(&piece, 50.0, &PLAIN);
            assert_ring_sector(&bodice, &drafted.pieces[0], 50.0);
            assert_eq!(drafted.pieces[1].darts.len(), bodice.darts.len());
        }
    }
}

#[test]
fn edges_of_14_and_15_inches_and_a_depth_of_2_lie_on_a_radius_of_28() {
    // a h / (b - a) = 14 x 2 / 1 = 28 in, t = 0.5 rad (arithmetic).
    let inch = 25.4;
    let dart = Dart { at: 0.5, reach: 100.0, turn: 0.11 };
    let bodice = Bodice { radius: 28.0 * inch, angle: 0.5, opens_downwards: true, height: 200.0, darts: vec![dart] };
    let piece = bodice.piece(10.0);
    let band = &drafted(&piece, 2.0 * inch, &PLAIN).pieces[0];
    assert!((sewn(band, "lower") - 14.0 * inch).abs() < 0.1, "{}", sewn(band, "lower") / inch);
    assert!((sewn(band, "upper") - 15.0 * inch).abs() < 0.1, "{}", sewn(band, "upper") / inch);
}

#[test]
fn a_folded_dart_ends_on_the_new_line() {
    let dart = Dart { at: 0.5, reach: 110.0, turn: 0.15 };
    let bodice = Bodice { radius: 500.0, angle: 0.5, opens_downwards: false, height: 200.0, darts: vec![dart] };
    let piece = bodice.piece(0.0);
    let upper = &drafted(&piece, 40.0, &PLAIN).pieces[1];
    let dart = upper.darts[0];
    let legs = dart.legs.map(|leg| distance(leg, dart.apex));
    assert!((legs[0] - legs[1]).abs() < 0.01 && (legs[0] - 70.0).abs() < 0.05, "{legs:?}");
    // Where the outline crosses the dart's middle: mirrored in the leg next to the centre that place falls on the new line
    // itself, which there is nearly square to the leg.
    let line = &upper.edges["waist"].points;
    let towards = (dart.legs[0] + dart.legs[1]) / 2.0;
    let along = ellwand::geometry::stitching::crossing_along(line, dart.apex, towards).expect("the dart's middle");
    let middle = walked(line, along);
    let folded = ellwand::geometry::symmetry::reflected(middle, dart.apex, dart.legs[0]);
    assert!(line.windows(2).any(|pair| beside(folded, pair) < 0.1), "{folded:?}");
}

/// The point so far along a polyline.
fn walked(line: &[Point], mut along: f64) -> Point {
    for pair in line.windows(2) {
        let length = distance(pair[0], pair[1]);
        if along <= length {
            return pair[0] + (pair[1] - pair[0]) * (along / length);
        }
        along -= length;
    }
    line[line.len() - 1]
}

fn beside(p: Point, segment: &[Point]) -> f64 {
    ellwand::geometry::ring::along_polyline(segment, p).1
}

#[test]
fn a_dart_that_ends_inside_the_band_is_used_up_there() {
    let dart = Dart { at: 0.5, reach: 30.0, turn: 0.2 };
    let bodice = Bodice { radius: 500.0, angle: 0.5, opens_downwards: true, height: 200.0, darts: vec![dart] };
    let piece = bodice.piece(10.0);
    let intake = 2.0 * 30.0 * libm::sin(0.1);
    let drafted = drafted(&piece, 60.0, &PLAIN);
    let [band, upper] = &drafted.pieces[..] else { panic!("two pieces") };
    assert!(upper.darts.is_empty());
    // The chord between the legs is what the dart took at the waist.
    let waist = seam_length(&piece, "waist").expect("the waist");
    assert!((waist.darts - intake).abs() < 0.5, "{waist:?} {intake}");
    assert!((sewn(band, "lower") - waist.sewn()).abs() < 0.4);
    assert!((sewn(band, "upper") - sewn(upper, "waist")).abs() < 0.8);
    assert!(drafted.proofs.iter().any(|proof| proof.what.contains("1 darts lengthened")));
}

#[test]
fn a_knit_band_is_straight_and_as_long_as_the_waist() {
    let dart = Dart { at: 0.5, reach: 90.0, turn: 0.1 };
    let bodice = Bodice { radius: 900.0, angle: 0.3, opens_downwards: true, height: 200.0, darts: vec![dart] };
    let piece = bodice.piece(10.0);
    let band = &drafted(&piece, 50.0, &BandOptions { is_knit: true, ..PLAIN }).pieces[0];
    assert!((sewn(band, "lower") - 270.0).abs() < 0.1);
    assert!((sewn(band, "lower") - sewn(band, "upper")).abs() < 1e-6);
    assert!((sewn(band, "side") - 50.0).abs() < 1e-6);
    assert!((band.shape.area() - 70.0 * 290.0).abs() < 10.0, "{}", band.shape.area());
}

#[test]
fn side_seams_that_do_not_meet_are_refused_and_unequal_depths_that_do_are_not() {
    let bodice = Bodice { radius: 500.0, angle: 0.4, opens_downwards: true, height: 200.0, darts: vec![] };
    let piece = bodice.piece(10.0);
    let (front, back) = (part(&piece, 50.0), part(&piece, 56.0));
    let problems = draft::band(Some(&front), Some(&back), &PLAIN).expect_err("6 mm apart");
    assert!(problems[0].cause.contains("side seams"), "{problems:?}");
    let back = part(&piece, 51.0);
    assert!(draft::band(Some(&front), Some(&back), &PLAIN).is_ok(), "within 1/16 in");
}

#[test]
fn what_cannot_be_drawn_is_refused_in_words() {
    let dart = Dart { at: 0.5, reach: 90.0, turn: 0.1 };
    let bodice = Bodice { radius: 500.0, angle: 0.4, opens_downwards: true, height: 200.0, darts: vec![dart] };
    let piece = bodice.piece(10.0);
    let refused = |part: BandPart| draft::band(Some(&part), None, &PLAIN).expect_err("refused")[0].clone();
    assert!(refused(part(&piece, 230.0)).place.keys.starts_with("front.depth"));
    assert_eq!(refused(BandPart { waist: "hem", ..part(&piece, 40.0) }).place.keys, "front.waist");
    assert_eq!(refused(BandPart { side: "top", ..part(&piece, 40.0) }).place.keys, "front.side");
    let mut uneven = piece.clone();
    uneven.darts[0].apex.y += 30.0;
    assert!(refused(part(&uneven, 40.0)).cause.contains("legs"));
}

#[test]
fn a_piece_on_the_fold_stays_on_the_fold() {
    let bodice = Bodice { radius: 700.0, angle: 0.3, opens_downwards: true, height: 200.0, darts: vec![] };
    let piece = bodice.on_fold(10.0);
    for piece in &drafted(&piece, 50.0, &PLAIN).pieces {
        let fold = piece.fold.expect("a fold");
        assert_eq!(fold.from.y, fold.to.y);
    }
}

/// A front cut in one with its facing, which is folded back at the centre: the waist runs on beyond it, mirrored. The waist
/// slants, so that it has a corner there.
#[test]
fn a_facing_folded_back_at_the_centre_goes_on_in_the_band() {
    let file = r#"{
      "ellwand": 1, "name": "guide's jacket", "units": "mm",
      "cloths": { "main": { "width": 1500 } },
      "pieces": { "front": {
        "outline": "M -50 -3 L 0 0 L 90 -5.4 L 110 -6.6 L 240 -14.4 V 200 H -50 Z",
        "points": { "facing-waist": [-50, -3], "centre-waist": [0, 0], "side-waist": [240, -14.4], "underarm": [240, 200],
                    "facing-top": [-50, 200] },
        "edges": { "waist": ["facing-waist", "side-waist"], "side": ["side-waist", "underarm"],
                   "facing": ["facing-top", "facing-waist"], "waist-facing": ["facing-waist", "centre-waist"] },
        "grain": { "from": [20, 50], "to": [20, 150] },
        "notches": [[0, 0]],
        "darts": [{ "apex": [107.2, 114], "legs": [[90, -5.4], [110, -6.6]] }]
      } },
      "drafts": { "band": { "band": {
        "front": { "piece": "front", "makes": { "band": "band", "bodice": "upper" } }, "depth": 50
      } } },
      "cuts": { "front": { "piece": "upper", "cloth": "main", "count": 2, "mirrored": true },
                "band": { "piece": "band", "cloth": "main", "count": 2, "mirrored": true } }
    }"#;
    let project =
        ellwand::project::load(file.as_bytes(), "jacket.json", &[]).unwrap_or_else(|found| panic!("{found:?}"));
    let band = &project.pieces["band"];
    let (low, high) = (band.points["centre-waist"], band.points["centre-waist-upper"]);
    // The fold is square across the band: 50 mm and what the slant of 6 in 100 adds (arithmetic).
    assert!((distance(low, high) - 50.0 * libm::hypot(1.0, 0.06)).abs() < 0.01, "{low:?} {high:?}");
    // Folded back, the facing lies edge on edge on the band.
    for (edge, corner, fold) in [("lower", "facing-waist", low), ("upper", "facing-upper", high)] {
        let end = band.points[corner];
        assert!((distance(end, fold) - 50.0 * libm::hypot(1.0, 0.06)).abs() < 0.01, "{edge}");
        let folded = ellwand::geometry::symmetry::reflected(end, low, high);
        assert!(band.edges[edge].points.windows(2).any(|pair| beside(folded, pair) < 0.02), "{edge}");
    }
    // The bodice is marked on the same line.
    let [before, after] = ["front", "upper"].map(|piece| project.pieces[piece].points["centre-waist"].y);
    assert!((before - after).abs() < 0.01, "{before} {after}");
    assert_eq!((band.notches.len(), project.pieces["upper"].notches.len()), (2, 1));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    /// Whatever the darts, depth and allowance: the proofs hold (they are part of the draft), and against arithmetic the
    /// band is the sector of its cone wherever its darts reach above it.
    #[test]
    fn areas_and_lengths_are_kept(
        radius in 300.0..1500.0_f64,
        opens_downwards in any::<bool>(),
        width in 180.0..320.0_f64,
        depth in 20.0..70.0_f64,
        allowance in 0.0..16.0_f64,
        seeds in prop::collection::vec((0.1..0.9_f64, 15.0..150.0_f64, 0.02..0.14_f64), 0..4),
    ) {
        let mut darts: Vec<Dart> = seeds.iter().map(|&(at, reach, turn)| Dart { at, reach, turn }).collect();
        darts.sort_by(|a, b| a.at.total_cmp(&b.at));
        darts.dedup_by(|b, a| (b.at - a.at) * width < 45.0);
        let bodice = Bodice { radius, angle: width / radius, opens_downwards, height: 200.0, darts };
        let piece = bodice.piece(allowance);
        let drafted = drafted(&piece, depth, &PLAIN);
        let all_reach = bodice.darts.iter().all(|dart| dart.reach > depth + 1.0);
        let above = bodice.darts.iter().filter(|dart| dart.reach > depth).count();
        prop_assert_eq!(drafted.pieces[1].darts.len(), above);
        prop_assert!((sewn(&drafted.pieces[0], "lower") - width).abs() < 1.5875);
        if all_reach {
            let radius = radius + depth * bodice.outwards();
            prop_assert!((sewn(&drafted.pieces[0], "upper") - radius * bodice.angle).abs() < 0.2);
            let area = drafted.proofs.iter().find(|proof| proof.measure == Measure::Area).expect("an area");
            prop_assert!((area.expected - area.found).abs() < 20.0, "{}", area.in_words());
        }
    }
}
