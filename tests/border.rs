//! Edges on a selvedge with a border print: hand-made cases on cloth of 100 cm, the arithmetic beside them. Each plan is held
//! against the checker by `plan` itself, which knows where the border is.

mod common;

use common::{half_rectangle, loaded, planned, project_of, quick, rectangle};
use ellwand::plan::{Failure, rules};
use ellwand::{check, cut_list};
use serde_json::{Value, json};

/// A rectangle with a hem and a side, one corner cut off so that it has one way up.
fn panel(width: f64, length: f64) -> Value {
    json!({
        "outline": [[0, 0], [width, 0], [width, length - 3.0], [width - 2.0, length], [0, length]],
        "points": { "a": [0, 0], "b": [width, 0], "c": [width, length - 3.0] },
        "edges": { "hem": ["a", "b"], "side": ["b", "c"] },
        "grain": { "from": [1, 1], "to": [1, 2] },
    })
}

fn cut(more: &Value) -> Value {
    let mut cut = json!({ "piece": "a", "cloth": "main", "grain": "crosswise", "border": "hem" });
    for (key, value) in more.as_object().expect("an object") {
        cut[key] = value.clone();
    }
    json!({ "a": cut })
}

fn length(cloth: &Value, cuts: &Value) -> f64 {
    let plan = planned(&project_of(cloth, &json!({ "a": panel(60.0, 40.0) }), cuts));
    plan.document.cloths[0].length
}

#[test]
fn hems_lie_one_beside_the_other_along_the_border() {
    // Two panels of 60 x 40 cut crosswise: side by side across the cloth, 40 + 40 <= 100, they take 60 cm of it. With both
    // hems on the one selvedge with the border they lie one behind the other: 120 cm. With a border on both selvedges: 60.
    let two = json!({ "count": 2 });
    let mut free = cut(&two);
    free["a"].as_object_mut().unwrap().remove("border");
    assert!((length(&json!({}), &free) - 600.0).abs() < 1.0);
    assert!((length(&json!({}), &cut(&two)) - 1200.0).abs() < 1.0);
    assert!((length(&json!({ "border": "both selvedges" }), &cut(&two)) - 600.0).abs() < 1.0);
    // With nap every top points away from the first selvedge, so the second gives nothing.
    assert!((length(&json!({ "border": "both selvedges", "nap": true }), &cut(&two)) - 1200.0).abs() < 1.0);
}

#[test]
fn a_pair_on_cloth_folded_across_has_the_border_on_both_layers() {
    // 60 cm on the fold, 120 flat, one placement; on a lengthwise fold the under layer has no border, so each is cut singly.
    let pair = cut(&json!({ "count": 2, "mirrored": true }));
    let plan = planned(&project_of(&json!({}), &json!({ "a": panel(60.0, 40.0) }), &pair));
    let cloth = &plan.document.cloths[0];
    assert_eq!(cloth.lay, "crosswise fold");
    assert!((cloth.length - 1200.0).abs() < 1.0, "{}", cloth.length);
    for ply in &cloth.plies {
        let least = ply.outline.iter().map(|p| p[1]).fold(f64::INFINITY, f64::min);
        assert!(least.abs() < 1e-6, "{least}");
    }
    let not_possible = &plan.notes.cloths[0].not_possible;
    assert!(not_possible.iter().any(|(lay, _)| lay == "lengthwise fold"), "{not_possible:?}");
}

#[test]
fn a_half_is_cut_whole_on_the_border() {
    // Half of 30 x 40: the whole hem of 60 cm lies on the selvedge.
    let mut half = half_rectangle(30.0, 40.0);
    half["points"]["corner"] = json!([30, 0]);
    half["edges"]["hem"] = json!(["bottom", "corner"]);
    let cuts = cut(&json!({ "on_fold": true }));
    let plan = planned(&project_of(&json!({}), &json!({ "a": half }), &cuts));
    let cloth = &plan.document.cloths[0];
    assert!((cloth.length - 600.0).abs() < 1e-6 && cloth.plies[0].across_fold, "{}", cloth.length);
}

#[test]
fn an_edge_that_cannot_lie_on_a_selvedge_is_refused_with_by_how_much() {
    let curved = json!({
        "outline": "M 0 0 C 20 -4 40 -4 60 0 L 60 40 L 0 40 Z", "points": { "a": [0, 0], "b": [60, 0] },
        "edges": { "hem": ["a", "b"] }, "grain": { "from": [1, 1], "to": [1, 2] },
    });
    let slanted = json!({
        "outline": [[0, 0], [60, 2], [60, 40], [0, 40]], "points": { "a": [0, 0], "b": [60, 2] },
        "edges": { "hem": ["a", "b"] }, "grain": { "from": [1, 5], "to": [1, 6] },
    });
    let inner = json!({
        "outline": [[0, 5], [20, 5], [20, 0], [60, 0], [60, 40], [0, 40]], "points": { "a": [0, 5], "b": [20, 5] },
        "edges": { "hem": ["a", "b"] }, "grain": { "from": [1, 6], "to": [1, 7] },
    });
    let refused = |piece: Value, cuts: Value| match quick(&project_of(&json!({}), &json!({ "a": piece }), &cuts)) {
        Err(Failure::Problems(problems)) => problems[0].clone(),
        other => panic!("{other:?}"),
    };
    // The curve's height is 3/4 of its handles': 3 cm.
    for (piece, words) in [
        (curved, "is not straight: it bows by 3.0 cm (1 1/8 in)"),
        (slanted, "over its length of 60.0 cm (23 5/8 in) it runs 2.0 cm (3/4 in) off"),
        (inner, "the piece reaches 5.0 cm (2 in) beyond its edge \"hem\""),
    ] {
        let problem = refused(piece, cut(&json!({})));
        assert_eq!(problem.place.keys, "cuts.a.border");
        assert!(problem.cause.contains(words), "{}", problem.cause);
    }
    let across = refused(panel(60.0, 40.0), cut(&json!({ "grain": "lengthwise" })));
    assert!(across.cause.contains("it runs 60.0 cm (23 5/8 in) off"), "{}", across.cause);
    let unknown = refused(panel(60.0, 40.0), cut(&json!({ "border": "hemm" })));
    assert!(unknown.cause.contains("no edge named \"hemm\"") && unknown.hint.contains("hem, side"), "{unknown:?}");
}

#[test]
fn the_side_of_a_piece_may_lie_on_a_selvedge_too() {
    // Cut lengthwise its straight side runs along the cloth, to either selvedge as it is turned; on the first it has to.
    let cuts = cut(&json!({ "grain": "lengthwise", "border": "side" }));
    let panel = json!({
        "outline": [[0, 0], [60, 0], [60, 40], [0, 37]], "points": { "b": [60, 0], "c": [60, 40] },
        "edges": { "side": ["b", "c"] }, "grain": { "from": [1, 1], "to": [1, 2] },
    });
    let plan = planned(&project_of(&json!({ "nap": true }), &json!({ "a": panel }), &cuts));
    assert!((plan.document.cloths[0].length - 400.0).abs() < 1e-6);
}

#[test]
fn the_checker_notices_a_ply_off_the_border() {
    let document =
        project_of(&json!({}), &json!({ "a": panel(60.0, 40.0), "b": rectangle(5.0, 5.0) }), &cut(&json!({})));
    let project = loaded(&document);
    let mut plan = planned(&document).document;
    let list = cut_list::resolve(&project).unwrap();
    let faults = |plan: &_| check::faults_against(plan, &rules(&project, &list), &project.pieces);
    assert_eq!(faults(&plan), []);
    for point in &mut plan.cloths[0].plies[0].outline {
        point[1] += 1.0;
    }
    let found = faults(&plan);
    assert!(found.iter().any(|fault| fault.what.contains("does not lie on the border")), "{found:?}");
}
