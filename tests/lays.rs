//! Hand-made cases with a known least length for each lay, the arithmetic beside them, and random garments.

mod common;

use common::{half_rectangle, loaded, planned, project_of, quick, rectangle, tried};
use ellwand::nest::Effort;
use ellwand::plan::{Failure, Options, Silent, plan};
use proptest::prelude::*;
use serde_json::{Value, json};

fn close(length: f64, expected: f64) -> bool {
    (length - expected).abs() <= 0.005 * expected
}

#[test]
fn pairs_lie_one_under_the_other() {
    // Two pairs of 25 x 60 cm on cloth 100 cm wide. Open: four side by side, 60 cm. Folded to 50 cm: two side by side, 60 cm.
    // The same to buy; the fold needs two placements, open four.
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 4, "mirrored": true } });
    let plan = planned(&project_of(&json!({}), &json!({ "a": rectangle(25.0, 60.0) }), &cuts));
    assert!(close(tried(&plan, "open").unwrap().0, 600.0));
    assert!(close(tried(&plan, "lengthwise fold").unwrap().0, 600.0));
    let cloth = &plan.document.cloths[0];
    assert_eq!(cloth.lay, "lengthwise fold");
    assert_eq!(cloth.plies.iter().filter(|ply| ply.mirrored).count(), 2);
    assert!(plan.notes.cloths[0].why.contains("less cutting: 2 placements against 4"), "{}", plan.notes.cloths[0].why);
    assert!(cloth.least_possible > 599.99);
}

#[test]
fn a_half_lies_on_the_fold_and_is_whole_on_open_cloth() {
    // A half of 20 x 50 cm is a whole of 40 x 50 cm; two wholes side by side on open cloth: 50 cm. On the fold they cannot
    // share a place: one behind the other, 100 cm.
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2, "on_fold": true } });
    let plan = planned(&project_of(&json!({}), &json!({ "a": half_rectangle(20.0, 50.0) }), &cuts));
    assert!(close(tried(&plan, "open").unwrap().0, 500.0));
    assert!(close(tried(&plan, "lengthwise fold").unwrap().0, 1000.0));
    assert_eq!(plan.document.cloths[0].lay, "open");
    assert!(plan.document.cloths[0].plies.iter().all(|ply| ply.across_fold && !ply.mirrored));
}

#[test]
fn on_the_fold_the_fold_edge_lies_on_the_fold() {
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "on_fold": true } });
    let cloth = json!({ "lay": "lengthwise fold" });
    let plan = planned(&project_of(&cloth, &json!({ "a": half_rectangle(20.0, 50.0) }), &cuts));
    let cloth = &plan.document.cloths[0];
    assert_eq!((cloth.sections[0].fold.as_str(), cloth.sections[0].fold_lines[0]), ("lengthwise", 500.0));
    let across: Vec<f64> = cloth.plies[0].outline.iter().map(|p| p[1]).collect();
    let (low, high) = (across.iter().copied().fold(f64::MAX, f64::min), across.iter().copied().fold(0.0, f64::max));
    assert_eq!((low, high), (300.0, 700.0));
}

#[test]
fn what_a_fold_cannot_give_goes_to_an_open_section_at_the_end() {
    // Three plies of 45 x 30 cm that are not their own mirror image, none mirrored, and a pair of the same size: the pair
    // on the fold takes 30 cm, the three go to open cloth: two side by side and one behind, 60 cm.
    let slant = json!({ "outline": [[0, 0], [45, 0], [45, 30], [1, 30]], "grain": { "from": [1, 0], "to": [1, 1] } });
    let cuts = json!({
        "odd": { "piece": "slant", "cloth": "main", "count": 3 },
        "pair": { "piece": "slant", "cloth": "main", "count": 2, "mirrored": true },
    });
    let plan =
        planned(&project_of(&json!({ "lay": "lengthwise fold", "nap": true }), &json!({ "slant": slant }), &cuts));
    let cloth = &plan.document.cloths[0];
    assert!(close(cloth.length, 900.0), "{}", cloth.length);
    assert_eq!(cloth.sections.len(), 2);
    assert_eq!(cloth.sections[1].fold, "none");
    assert!(cloth.plies.iter().all(|ply| (ply.cut == "odd") == (ply.section == 1)));
}

#[test]
fn cloth_alike_on_both_faces_gives_two_plies_where_none_is_mirrored() {
    let slant = json!({ "outline": [[0, 0], [45, 0], [45, 30], [1, 30]], "grain": { "from": [1, 0], "to": [1, 1] } });
    let cuts = json!({ "a": { "piece": "slant", "cloth": "main", "count": 2 } });
    let of = |right_side: bool| {
        planned(&project_of(&json!({ "right_side": right_side }), &json!({ "slant": slant }), &cuts))
    };
    assert!(close(tried(&of(false), "lengthwise fold").unwrap().0, 300.0));
    let plan = of(true);
    assert_eq!(tried(&plan, "lengthwise fold"), None);
    // Nor does any other fold give two unmirrored plies.
    assert_eq!(plan.notes.cloths[0].not_possible.len(), 4);
}

#[test]
fn a_piece_that_is_its_own_mirror_image_needs_no_mirroring() {
    // Two rectangles, none mirrored: one placement on the fold, and neither is called mirrored.
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2 } });
    let plan =
        planned(&project_of(&json!({ "lay": "lengthwise fold" }), &json!({ "a": rectangle(40.0, 30.0) }), &cuts));
    let cloth = &plan.document.cloths[0];
    assert!(close(cloth.length, 300.0));
    assert!(cloth.plies.iter().all(|ply| !ply.mirrored));
}

/// Every symmetry that a piece can have, cut mirrored and not, with every grain on every kind of cloth: the plan holds (`plan`
/// asks the checker), and no more plies are called mirrored than the cut asks for.
#[test]
fn pieces_that_are_their_own_mirror_image_hold_whatever_the_grain_and_the_nap() {
    let of = |outline: Value| json!({ "outline": outline, "grain": { "from": [0, 0], "to": [0, 1] } });
    let pieces = json!({
        "none": of(json!([[0, 0], [30, 0], [22, 25], [10, 25]])),
        "along": of(json!([[0, 0], [30, 0], [20, 25], [10, 25]])),
        "across": of(json!([[0, 0], [30, 0], [20, 12], [30, 24], [0, 24]])),
        "both": rectangle(30.0, 24.0),
    });
    for piece in ["none", "along", "across", "both"] {
        for grain in ["lengthwise", "crosswise", "bias", "any"] {
            for (nap, mirrored) in [(false, false), (false, true), (true, false), (true, true)] {
                let cut = json!({ "piece": piece, "cloth": "main", "count": 2, "mirrored": mirrored, "grain": grain });
                let planned = planned(&project_of(&json!({ "nap": nap }), &pieces, &json!({ "a": cut })));
                let plies = &planned.document.cloths[0].plies;
                assert_eq!(plies.iter().filter(|ply| ply.mirrored).count(), usize::from(mirrored));
            }
        }
    }
}

/// Two trapezia cut across cloth with nap, both unmirrored: on a fold their tops would point at each other, and the nap would
/// run to the left of one and to the right of the other. A rectangle turned end for end is itself again: it may.
#[test]
fn across_cloth_with_nap_a_fold_gives_two_unmirrored_only_of_what_can_be_turned_end_for_end() {
    let trapezium =
        json!({ "outline": [[0, 0], [30, 0], [20, 25], [10, 25]], "grain": { "from": [0, 0], "to": [0, 1] } });
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2, "grain": "crosswise" } });
    let on_fold = |piece: Value| {
        let planned = planned(&project_of(&json!({ "nap": true }), &json!({ "a": piece }), &cuts));
        assert!(planned.document.cloths[0].plies.iter().all(|ply| ply.turn == 90.0 && !ply.mirrored));
        tried(&planned, "lengthwise fold")
    };
    assert_eq!(on_fold(trapezium), None);
    assert!(close(on_fold(rectangle(30.0, 25.0)).expect("a fold").0, 300.0));
}

#[test]
fn nap_keeps_tops_one_way() {
    // Right triangles of 90 x 40 cm on cloth 100 cm wide. Turned end for end two make a rectangle of 90 x 40 cm. With nap they
    // cannot: two of 90 cm do not lie side by side, and behind each other they can at best be slid into one another.
    let triangle = json!({ "outline": [[0, 0], [90, 0], [0, 40]], "grain": { "from": [1, 1], "to": [1, 2] } });
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2 } });
    let of = |nap: bool| planned(&project_of(&json!({ "nap": nap, "lay": "open" }), &json!({ "a": triangle }), &cuts));
    assert!(close(of(false).document.cloths[0].length, 400.0), "{}", of(false).document.cloths[0].length);
    let napped = of(true);
    assert!(napped.document.cloths[0].plies.iter().all(|ply| ply.turn == 0.0));
    // Slid by 10 cm across, the room there is, the second begins where the first's slope allows: 40 x 80 / 90 cm on.
    assert!(napped.document.cloths[0].length > 700.0, "{}", napped.document.cloths[0].length);
}

#[test]
fn the_gap_is_kept_across_the_fold_and_between_sections() {
    // On the fold, 2 cm apart: the pair lies 1 cm from the fold, so its two plies are 2 cm apart. Half the cloth is 50 cm: a
    // 30 cm pair and a 20 cm half on the fold do not fit beside each other with 2 cm between: 25 + 2 + 25 cm long.
    let cuts = json!({
        "pair": { "piece": "pair", "cloth": "main", "count": 2, "mirrored": true },
        "half": { "piece": "half", "cloth": "main", "on_fold": true },
        "single": { "piece": "single", "cloth": "main" },
    });
    let pieces =
        json!({ "pair": rectangle(30.0, 25.0), "half": half_rectangle(20.0, 25.0), "single": rectangle(60.0, 10.0) });
    let plan = planned(&project_of(&json!({ "gap": 2, "lay": "lengthwise fold" }), &pieces, &cuts));
    let cloth = &plan.document.cloths[0];
    // 52 cm folded, 2 cm between the sections, 10 cm open.
    assert!(close(cloth.length, 640.0), "{}", cloth.length);
}

#[test]
fn grain_turns_pieces() {
    // 30 x 90 cm: lengthwise four... three side by side take 90 cm, crosswise they lie across: 3 x 30 cm.
    let of = |grain: &str| {
        let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2, "grain": grain } });
        planned(&project_of(&json!({ "lay": "open" }), &json!({ "a": rectangle(30.0, 90.0) }), &cuts))
    };
    assert!(close(of("lengthwise").document.cloths[0].length, 900.0));
    assert!(close(of("crosswise").document.cloths[0].length, 600.0));
    assert!(close(of("any").document.cloths[0].length, 600.0));
    let bias = of("bias");
    assert!(bias.document.cloths[0].plies.iter().all(|ply| ply.turn % 90.0 == 45.0));
}

#[test]
fn a_piece_that_fits_no_lay_is_named_with_both_sizes() {
    let cuts = json!({ "wide": { "piece": "wide", "cloth": "main" } });
    let failure = quick(&project_of(&json!({}), &json!({ "wide": rectangle(120.0, 30.0) }), &cuts));
    let Err(Failure::Problems(problems)) = failure else {
        panic!("{failure:?}");
    };
    assert_eq!(problems[0].place.keys, "cuts.wide");
    assert!(
        problems[0].cause.contains("1.20 m (1 1/4 yd) across the cloth, which has 1.00 m"),
        "{}",
        problems[0].cause
    );
    // Where both sizes print alike, the difference tells.
    let failure = quick(&project_of(&json!({}), &json!({ "wide": rectangle(100.2, 30.0) }), &cuts));
    let Err(Failure::Problems(problems)) = failure else {
        panic!("{failure:?}");
    };
    assert!(problems[0].cause.contains(": 2 mm (1/8 in) too wide"), "{}", problems[0].cause);
}

#[test]
fn a_pair_too_wide_for_half_the_cloth_is_named_with_both_sizes() {
    let cuts = json!({
        "odd": { "piece": "narrow", "cloth": "main" },
        "wide": { "piece": "wide", "cloth": "main", "count": 2, "mirrored": true },
    });
    let pieces = json!({ "narrow": rectangle(10.0, 10.0), "wide": rectangle(50.1, 30.0) });
    let Err(Failure::Problems(problems)) = quick(&project_of(&json!({ "lay": "lengthwise fold" }), &pieces, &cuts))
    else {
        panic!("planned");
    };
    assert_eq!(problems[0].place.keys, "cuts.wide");
    let words = "50.1 cm (19 3/4 in) across the cloth, half the cloth has 50.0 cm";
    assert!(problems[0].cause.contains(words), "{}", problems[0].cause);
}

#[test]
fn a_half_cut_without_a_fold_is_warned_of() {
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2, "mirrored": true } });
    let plan = planned(&project_of(&json!({}), &json!({ "a": half_rectangle(20.0, 50.0) }), &cuts));
    assert!(plan.notes.cloths[0].warnings[0].contains("cut as halves"), "{:?}", plan.notes.cloths[0].warnings);
}

#[test]
fn a_cut_can_be_held_to_a_lay() {
    let cuts = json!({
        "a": { "piece": "a", "cloth": "main", "count": 2, "mirrored": true, "lay": "open" },
        "b": { "piece": "a", "cloth": "main", "count": 2, "mirrored": true, "lay": "lengthwise fold" },
    });
    let plan = planned(&project_of(&json!({}), &json!({ "a": rectangle(40.0, 30.0) }), &cuts));
    let cloth = &plan.document.cloths[0];
    assert_eq!(cloth.lay, "lengthwise fold");
    assert!(cloth.plies.iter().all(|ply| (ply.cut == "a") == (ply.section == 1)));
    assert_eq!(plan.notes.cloths[0].not_possible[0].0, "open");
}

/// A random convex-ish piece, sometimes given as half.
fn piece() -> impl Strategy<Value = (Value, bool)> {
    (8.0..45.0_f64, 8.0..45.0_f64, prop::array::uniform4(0.0..0.6_f64), any::<bool>()).prop_map(
        |(width, length, cuts, is_half)| {
            let [a, b, c, d] = cuts;
            // Left edge straight (the fold, if it has one); the right side cut back and hollowed.
            let outline = json!([
                [0.0, 0.0],
                [width * (1.0 - a), 0.0],
                [width, length * b],
                [width * (1.0 - c), length * (0.6 + b * 0.3)],
                [width * (1.0 - d * 0.5), length],
                [0.0, length]
            ]);
            let mut piece = json!({ "outline": outline, "grain": { "from": [1, 1], "to": [1, 2] } });
            piece["points"] = json!({ "top": [0.0, length], "bottom": [0.0, 0.0] });
            if is_half {
                piece["edges"] = json!({ "centre": ["top", "bottom"] });
                piece["fold"] = json!("centre");
            }
            (piece, is_half)
        },
    )
}

/// Sometimes a print: its repeats, where its middle lies, and how it is matched along the cloth and perhaps across.
fn print() -> impl Strategy<Value = Option<(f64, f64, f64, &'static str, Option<&'static str>)>> {
    let hold = || prop::sample::select(vec!["alike", "middle", "between"]);
    prop::option::of((2.0..30.0_f64, 2.0..30.0_f64, 0.0..10.0_f64, hold(), prop::option::of(hold())))
}

/// Sometimes the cloth is there already: a length of it in cm, with holes and stains (place and size).
fn in_hand() -> impl Strategy<Value = Option<(f64, Vec<[f64; 4]>)>> {
    let flaw = (0.0..100.0_f64, 0.0..80.0_f64, 0.5..12.0_f64, 0.5..12.0_f64);
    let flaw = flaw.prop_map(|(x, y, length, width)| [x, y, x + length, y + width]);
    prop::option::weighted(0.25, (120.0..400.0_f64, prop::collection::vec(flaw, 0..4)))
}

fn garment() -> impl Strategy<Value = Value> {
    let cut =
        (piece(), 1..4_usize, any::<bool>(), 1..3_usize, prop::sample::select(vec!["lengthwise", "crosswise", "any"]));
    let lay = prop::sample::select(vec![
        "best",
        "best",
        "best",
        "lengthwise fold",
        "partial fold",
        "double fold",
        "crosswise fold",
        "crosswise cut and turned",
    ]);
    let cloth = (any::<bool>(), any::<bool>(), prop::sample::select(vec![0.0, 0.5]), 95.0..150.0_f64, lay);
    (prop::collection::vec(cut, 1..5), cloth, print(), in_hand()).prop_map(|(cuts, cloth, print, in_hand)| {
        let (nap, right_side, gap, width, lay) = cloth;
        let (mut pieces, mut list) = (json!({}), json!({}));
        for (index, ((piece, is_half), count, mirrored, layers, grain)) in cuts.into_iter().enumerate() {
            let name = format!("piece {index}");
            let count = if mirrored && !is_half { 2 * count } else { count };
            list[&name] = json!({
                "piece": name, "cloth": "main", "count": count, "mirrored": mirrored && !is_half, "on_fold": is_half,
                "layers": layers, "grain": grain,
            });
            pieces[&name] = piece;
        }
        let lay = if lay == "best" { json!("best") } else { json!(["open", lay]) };
        let cloth = json!({ "nap": nap, "right_side": right_side, "gap": gap, "width": width, "lay": lay });
        let mut project = project_of(&cloth, &pieces, &list);
        if let Some((repeat_length, repeat_width, middle, along, across)) = print {
            // Whatever lies along the cloth matches at its lower left corner, which is on the fold of a half.
            let lengthwise = list.as_object().into_iter().flatten().filter(|(_, cut)| cut["grain"] == "lengthwise");
            let points: Vec<Value> = lengthwise.map(|(name, _)| json!(format!("{name}.bottom"))).collect();
            let main = &mut project["cloths"]["main"];
            main["print"] = json!({ "repeat_length": repeat_length, "repeat_width": repeat_width, "middle": middle });
            if !points.is_empty() {
                let mut matched = json!({ "points": points, "along": along });
                if let Some(across) = across {
                    matched["across"] = json!(across);
                }
                project["matches"] = json!({ "corners": matched });
            }
        }
        if let Some((length, flaws)) = in_hand {
            let flaws: Vec<Value> =
                flaws.iter().map(|[x, y, far, high]| json!({ "rectangle": [[x, y], [far, high]] })).collect();
            project["cloths"]["main"]["have"] = json!([{ "length": length, "flaws": flaws }]);
        }
        project
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// Whatever is cut, on whatever cloth, bought or in hand with its flaws, however it lies: `plan` holds every plan against
    /// the checker itself, and of cloth to buy open never needs more than the best fold. One in a hundred is searched with all
    /// the work of an effort, the others for as long as it takes to try a few arrangements.
    #[test]
    fn random_garments_pass_the_checker(garment in garment(), deep in 0..100) {
        let options = Options { effort: Effort::Quick, seconds: (deep > 0).then_some(0.03), seed: 1 };
        match plan(&loaded(&garment), &options, &Silent) {
            Ok(planned) if !planned.notes.hand.is_empty() => {
                let hand = &planned.notes.hand[0];
                let bought = planned.document.cloths.iter().any(|cloth| cloth.in_hand.is_none());
                prop_assert_eq!(hand.fits, !bought);
                prop_assert_eq!(hand.fits, hand.left_over.is_empty());
            }
            Ok(planned) => {
                let open = tried(&planned, "open").expect("open cloth is always tried");
                for tried in &planned.document.cloths[0].tried {
                    prop_assert!(open.0 <= tried.length);
                }
            }
            Err(Failure::Problems(problems)) => {
                // Only what is too wide for the cloth may be refused.
                prop_assert!(problems.iter().all(|problem| problem.cause.contains("across the cloth")), "{problems:?}");
            }
            Err(Failure::Faults(faults)) => prop_assert!(false, "{faults:?}"),
        }
    }
}
