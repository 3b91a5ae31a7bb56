//! Every kind of fold: hand-made cases with a known least length, the arithmetic beside them. Each plan is held against the
//! checker by `plan` itself; the lengths are known because the pieces fill the cloth, or by the piece that sets them.

mod common;

use common::{half_rectangle, loaded, planned, project_of, rectangle, tried};
use ellwand::nest::Effort;
use ellwand::plan::{Options, Planned, Silent, plan};
use serde_json::{Value, json};

/// Within the half per cent that a known least length is to be reached by.
fn close(length: f64, expected: f64) -> bool {
    length >= expected - 1e-3 && length <= 1.005 * expected
}

/// A rectangle with one corner cut off: not its own mirror image, either way.
fn notched(width: f64, length: f64) -> Value {
    json!({
        "outline": [[0, 0], [width, 0], [width, length - 1.0], [width - 0.5, length], [0, length]],
        "grain": { "from": [1, 1], "to": [1, 2] },
    })
}

fn steady(project: &Value) -> Planned {
    let options = Options { effort: Effort::Steady, seconds: None, seed: 1 };
    plan(&loaded(project), &options, &Silent).unwrap_or_else(|failure| panic!("{failure:?}"))
}

#[test]
fn a_partial_fold_beats_the_lengthwise_fold() {
    // Cloth of 100 cm. A half of 15 x 60 on the fold, a pair of 15 x 60, two singles of 35 x 120 (35 is too wide to lie
    // beside the double 15 + 15 of a lengthwise fold, and singles are not folded at all).
    //   partial, 15 deep:  double: half, then pair: 60 + 60 = 120; single: 100 - 30 = 70 = 35 + 35, 120 long: all is full.
    //   lengthwise:        half and pair side by side, 60, then the singles on open cloth, 120: 180.
    //   open:              30 + 35 + 35 = 100, 120 long, but five times cut round instead of four.
    let pieces =
        json!({ "half": half_rectangle(15.0, 60.0), "pair": notched(15.0, 60.0), "single": notched(35.0, 120.0) });
    let cuts = json!({
        "half": { "piece": "half", "cloth": "main", "on_fold": true },
        "pair": { "piece": "pair", "cloth": "main", "count": 2, "mirrored": true },
        "single": { "piece": "single", "cloth": "main", "count": 2 },
    });
    let plan = steady(&project_of(&json!({ "nap": true }), &pieces, &cuts));
    assert!(close(tried(&plan, "partial fold").unwrap().0, 1200.0), "{:?}", tried(&plan, "partial fold"));
    assert!(close(tried(&plan, "lengthwise fold").unwrap().0, 1800.0), "{:?}", tried(&plan, "lengthwise fold"));
    let cloth = &plan.document.cloths[0];
    assert_eq!(cloth.lay, "partial fold");
    assert_eq!((cloth.sections[0].fold.as_str(), &cloth.sections[0].fold_lines[..]), ("partial", &[150.0][..]));
    let why = &plan.notes.cloths[0].why;
    assert!(why.contains("as much to buy as open, less cutting: 4 placements against 5"), "{why}");
}

#[test]
fn a_double_fold_beats_the_lengthwise_fold() {
    // Cloth of 100 cm. Two halves of 12.5 x 80, two pairs of 12.5 x 40, one single of 50 x 120.
    //   double, 12.5 deep on both sides: on each a half and a pair, 80 + 40 = 120; single between: 50 x 120: all is full.
    //   lengthwise: the pairs side by side, 40; then the halves cut whole beside the single on open cloth, 25 + 25 + 50 = 100,
    //   120 long: 160. (With both halves on the one fold it is 160 for these alone, and 120 for the single.)
    //   open: the same 120, seven times cut round instead of five.
    let pieces =
        json!({ "half": half_rectangle(12.5, 80.0), "pair": notched(12.5, 40.0), "single": notched(50.0, 120.0) });
    let cuts = json!({
        "half": { "piece": "half", "cloth": "main", "count": 2, "on_fold": true },
        "pair": { "piece": "pair", "cloth": "main", "count": 4, "mirrored": true },
        "single": { "piece": "single", "cloth": "main" },
    });
    let plan = steady(&project_of(&json!({ "nap": true }), &pieces, &cuts));
    assert!(close(tried(&plan, "double fold").unwrap().0, 1200.0), "{:?}", tried(&plan, "double fold"));
    assert!(close(tried(&plan, "lengthwise fold").unwrap().0, 1600.0), "{:?}", tried(&plan, "lengthwise fold"));
    let cloth = &plan.document.cloths[0];
    assert_eq!(cloth.lay, "double fold");
    assert_eq!((cloth.sections[0].fold.as_str(), &cloth.sections[0].fold_lines[..]), ("double", &[125.0, 875.0][..]));
}

#[test]
fn a_crosswise_fold_takes_what_is_too_wide_for_half_the_cloth() {
    // A pair of 90 x 50 cm on cloth of 100: too wide for a lengthwise fold; one under the other on cloth folded across it takes
    // 2 x 50 cm and one placement, open cloth as much and two.
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2, "mirrored": true } });
    let plan = planned(&project_of(&json!({}), &json!({ "a": notched(90.0, 50.0) }), &cuts));
    let cloth = &plan.document.cloths[0];
    assert_eq!((cloth.lay.as_str(), &cloth.sections[0].fold_lines[..]), ("crosswise fold", &[500.0][..]));
    assert!(close(cloth.length, 1000.0));
    assert_eq!(tried(&plan, "lengthwise fold"), None);
    let turns: Vec<f64> = cloth.plies.iter().map(|ply| ply.turn).collect();
    assert!(turns == [0.0, 180.0] || turns == [180.0, 0.0], "the layers lie upside down to each other: {turns:?}");
}

#[test]
fn with_nap_the_cloth_is_cut_across_and_turned() {
    // The same with nap. A plain crosswise fold would turn the under layer upside down (University of Kentucky Extension
    // CT-MMB.181: every top the same way); cut across and turned, both tops point one way.
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2, "mirrored": true } });
    let plan = planned(&project_of(&json!({ "nap": true }), &json!({ "a": notched(90.0, 50.0) }), &cuts));
    let cloth = &plan.document.cloths[0];
    assert_eq!(cloth.lay, "crosswise cut and turned");
    assert!(close(cloth.length, 1000.0));
    assert!(cloth.plies.iter().all(|ply| ply.turn == 0.0));
    assert_eq!(cloth.plies.iter().filter(|ply| ply.mirrored).count(), 1);
    let refused = &plan.notes.cloths[0].not_possible;
    assert!(refused.iter().any(|(lay, why)| lay == "crosswise fold" && why.contains("upside down")), "{refused:?}");
}

#[test]
fn nothing_lies_on_the_fold_of_cloth_that_is_cut_and_turned() {
    // The pair is cut double, 2 x 50 cm; the half has no fold there and lies whole on open cloth behind: 30 cm more.
    let pieces = json!({ "a": notched(90.0, 50.0), "half": half_rectangle(20.0, 30.0) });
    let cuts = json!({
        "a": { "piece": "a", "cloth": "main", "count": 2, "mirrored": true },
        "half": { "piece": "half", "cloth": "main", "on_fold": true },
    });
    let cloth = json!({ "nap": true, "lay": "crosswise cut and turned" });
    let plan = planned(&project_of(&cloth, &pieces, &cuts));
    let cloth = &plan.document.cloths[0];
    assert!(close(cloth.length, 1300.0), "{}", cloth.length);
    assert_eq!(cloth.sections.iter().map(|s| s.fold.as_str()).collect::<Vec<_>>(), ["cut and turned", "none"]);
}

#[test]
fn a_half_whose_fold_edge_runs_across_lies_on_a_crosswise_fold() {
    // A half of 20 x 50 cm cut crosswise: its fold edge runs across the cloth. On the fold it takes 20 cm of double cloth, the
    // whole 40 cm; a pair of 90 x 30 cm needs 30 cm double. Side by side they do not fit (50 + 90 > 100): 20 + 30 cm, twice.
    let pieces = json!({ "half": half_rectangle(20.0, 50.0), "pair": notched(90.0, 30.0) });
    let cuts = json!({
        "half": { "piece": "half", "cloth": "main", "on_fold": true, "grain": "crosswise" },
        "pair": { "piece": "pair", "cloth": "main", "count": 2, "mirrored": true },
    });
    let plan = planned(&project_of(&json!({ "lay": "crosswise fold" }), &pieces, &cuts));
    let cloth = &plan.document.cloths[0];
    assert!(close(cloth.length, 1000.0), "{}", cloth.length);
    let whole = cloth.plies.iter().find(|ply| ply.across_fold).unwrap();
    let line = cloth.sections[0].fold_lines[0];
    let xs: Vec<f64> = whole.outline.iter().map(|p| p[0]).collect();
    let (low, high) = (xs.iter().copied().fold(f64::MAX, f64::min), xs.iter().copied().fold(0.0, f64::max));
    assert!((low + high - 2.0 * line).abs() < 1e-6 && (high - low - 400.0).abs() < 1e-6, "{low} {high} {line}");
}

#[test]
fn the_gap_is_kept_on_every_fold() {
    // Pairs of 40 x 30 cm, 2 cm apart, on cloth of 100 cm.
    //   lengthwise: half of it, 50, less 1 cm from the fold: one pair, 30.
    //   double, 25 deep at most: too wide. Partial: 41 deep, one pair: 30.
    //   crosswise: two layers, 1 cm from the fold each: 30 + 2 + 30. Cut and turned: the same.
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2, "mirrored": true } });
    for (lay, nap, length) in [
        ("lengthwise fold", false, 300.0),
        ("partial fold", false, 300.0),
        ("crosswise fold", false, 620.0),
        ("crosswise cut and turned", true, 620.0),
    ] {
        let cloth = json!({ "gap": 2, "nap": nap, "lay": lay });
        let plan = planned(&project_of(&cloth, &json!({ "a": notched(40.0, 30.0) }), &cuts));
        assert!(close(plan.document.cloths[0].length, length), "{lay}: {}", plan.document.cloths[0].length);
    }
}

#[test]
fn cut_and_turned_behind_another_section_keeps_the_gap_too() {
    // A cut held to a lengthwise fold (30 cm), 2 cm, then what is held to cut-and-turned cloth: 50 + 2 + 50 cm.
    let pieces = json!({ "narrow": notched(40.0, 30.0), "wide": notched(90.0, 50.0) });
    let cuts = json!({
        "narrow": { "piece": "narrow", "cloth": "main", "count": 2, "mirrored": true, "lay": "lengthwise fold" },
        "wide": {
            "piece": "wide", "cloth": "main", "count": 2, "mirrored": true, "lay": "crosswise cut and turned",
        },
    });
    let plan = planned(&project_of(&json!({ "gap": 2, "nap": true, "lay": "lengthwise fold" }), &pieces, &cuts));
    let cloth = &plan.document.cloths[0];
    assert_eq!(cloth.sections.iter().map(|s| s.fold.as_str()).collect::<Vec<_>>(), ["lengthwise", "cut and turned"]);
    assert!(close(cloth.length, 300.0 + 20.0 + 1020.0), "{}", cloth.length);
}

#[test]
fn one_cut_single_beside_the_fold_may_save_what_the_fold_wastes() {
    // Cloth of 100 cm, nap: a half of 40 x 100 on the fold leaves 10 cm of double cloth beside it, and a pair of 20 x 50 does
    // not lie there: behind it, 150 cm. Folded in by 40 cm there are 20 cm single beside it: the pair lies there, one behind
    // the other, 100 cm in all, cut singly.
    let pieces = json!({ "half": half_rectangle(40.0, 100.0), "pair": notched(20.0, 50.0) });
    let cuts = json!({
        "half": { "piece": "half", "cloth": "main", "on_fold": true },
        "pair": { "piece": "pair", "cloth": "main", "count": 2, "mirrored": true },
    });
    let plan = planned(&project_of(&json!({ "nap": true }), &pieces, &cuts));
    assert!(close(tried(&plan, "lengthwise fold").unwrap().0, 1500.0));
    assert!(close(tried(&plan, "partial fold").unwrap().0, 1000.0), "{:?}", tried(&plan, "partial fold"));
    assert!(plan.document.cloths[0].length < 1005.0);
}

#[test]
fn a_step_that_is_nearly_saved_is_told() {
    // 50.3 cm of cloth sold by the centimetre: 51 cm, and 3 mm over 50.
    let cuts = json!({ "a": { "piece": "a", "cloth": "main" } });
    let plan = planned(&project_of(&json!({}), &json!({ "a": rectangle(90.0, 50.3) }), &cuts));
    let warnings = &plan.notes.cloths[0].warnings;
    assert!(
        warnings.iter().any(|w| w.contains("only 3 mm (1/8 in) over what 0.50 m (5/8 yd) would do")),
        "{warnings:?}"
    );
}
