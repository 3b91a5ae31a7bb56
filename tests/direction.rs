//! Which way pieces lie: bias, tilt, cloth alike on both faces. Each plan is held against the checker by `plan` itself.

mod common;

use common::{loaded, planned, project_of, rectangle, tried};
use ellwand::layout::Ply;
use serde_json::{Value, json};

fn close(length: f64, expected: f64) -> bool {
    (length - expected).abs() <= 0.005 * expected
}

/// A triangle that is not its own mirror image: square corner at the lower left.
fn triangle(width: f64, length: f64) -> Value {
    json!({ "outline": [[0, 0], [width, 0], [0, length]], "grain": { "from": [1, 1], "to": [1, 2] } })
}

/// How the threads run, seen from the piece: the turn, the other way round for a mirrored ply, upside down being the same.
fn threads(ply: &Ply) -> f64 {
    (if ply.mirrored { -ply.turn } else { ply.turn }).rem_euclid(180.0)
}

#[test]
fn a_mirrored_bias_pair_stays_mirrored() {
    // A bias-cut collar or skirt hangs alike on both sides only where the threads of its halves run as in a mirror (common
    // practice, no source). On every lay, with nap and without.
    for lay in ["open", "lengthwise fold", "partial fold", "crosswise fold", "crosswise cut and turned"] {
        for nap in [false, true] {
            if nap && lay == "crosswise fold" {
                continue;
            }
            let cuts = json!({
                "a": { "piece": "a", "cloth": "main", "count": 4, "mirrored": true, "grain": "bias" },
                "b": { "piece": "b", "cloth": "main", "count": 2, "mirrored": true, "grain": "bias" },
            });
            let pieces = json!({ "a": triangle(18.0, 30.0), "b": triangle(35.0, 20.0) });
            let plan = planned(&project_of(&json!({ "lay": lay, "nap": nap }), &pieces, &cuts));
            for cut in ["a", "b"] {
                let plies: Vec<&Ply> = plan.document.cloths[0].plies.iter().filter(|ply| ply.cut == cut).collect();
                assert!(plies.iter().all(|ply| ply.turn % 90.0 == 45.0));
                assert!(plies.iter().all(|ply| threads(ply) == threads(plies[0])), "{lay} {nap}: {plies:?}");
            }
        }
    }
}

#[test]
fn a_pair_on_both_biases_does_not_pass() {
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2, "mirrored": true, "grain": "bias" } });
    // As long as wide, so that the other bias of a square on its corner takes the same room.
    let pieces = json!({ "a": triangle(30.0, 30.0) });
    let project = loaded(&project_of(&json!({ "lay": "open" }), &pieces, &cuts));
    let plan = planned(&project_of(&json!({ "lay": "open" }), &pieces, &cuts));
    let list = ellwand::cut_list::resolve(&project).unwrap();
    let rules = ellwand::plan::rules(&project, &list);
    let faults = |document| ellwand::check::faults_against(&document, &rules, &project.pieces);
    assert_eq!(faults(plan.document.clone()), []);
    let mut other = plan.document;
    let ply = &mut other.cloths[0].plies[0];
    ply.turn = (ply.turn + 90.0) % 360.0;
    assert!(faults(other).iter().any(|fault| fault.what.contains("on the other bias")));
}

#[test]
fn either_bias_is_taken_for_what_is_not_mirrored() {
    // A strip of 6 x 100 cm on the bias takes (100 + 6) / sqrt 2 = 75.0 cm both ways; three side by side are 2 x 6 sqrt 2 wider,
    // 91.9 of 100 cm, and no longer.
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 3, "grain": "bias" } });
    let plan = planned(&project_of(&json!({ "lay": "open" }), &json!({ "a": rectangle(6.0, 100.0) }), &cuts));
    let plies = &plan.document.cloths[0].plies;
    assert!(plies.iter().all(|ply| ply.turn % 90.0 == 45.0));
    assert!(close(plan.document.cloths[0].length, 749.5), "{}", plan.document.cloths[0].length);
}

#[test]
fn a_tilt_is_used_and_no_more_of_it() {
    // Two right-angled wedges of 60 x 100 cm, one upside down, meet along their slants: a rectangle of 60 x 100. Their grain is
    // drawn 3 degrees off the long side, so that on the grain the rectangle lies askew.
    let wedge = json!({ "outline": [[0, 0], [60, 0], [0, 100]], "grain": { "from": [0, 0], "to": [-5.240_778, 100] } });
    let of = |tilt: f64| {
        let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2, "tilt": tilt } });
        let plan = planned(&project_of(&json!({ "lay": "open", "width": 61 }), &json!({ "a": wedge }), &cuts));
        for ply in &plan.document.cloths[0].plies {
            let off = ply.turn % 180.0;
            assert!(off.min(180.0 - off) <= tilt + 1e-6, "{}", ply.turn);
        }
        plan.document.cloths[0].length
    };
    // Askew it takes 60 cos 3 + 100 sin 3 = 65.2 cm of 61: they must slide apart, longer than even the 103 cm of one.
    assert!(close(of(3.0), 1000.0), "{}", of(3.0));
    assert!(of(0.0) > 1050.0, "{}", of(0.0));
}

#[test]
fn alike_on_both_faces_a_piece_may_lie_either_way_up() {
    // With nap, two right-angled wedges of 90 x 40 cm, none mirrored: not upside down, so on cloth of 100 cm they do not meet
    // along their slants and take more than 70 cm (see lays.rs). Alike on both faces one may be cut mirrored, but its slant
    // then lies on the other side; on the fold the two lie one under the other.
    let piece = json!({ "outline": [[0, 0], [45, 0], [0, 40]], "grain": { "from": [1, 1], "to": [1, 2] } });
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2 } });
    let of = |right_side: bool| {
        let cloth = json!({ "right_side": right_side, "nap": true });
        planned(&project_of(&cloth, &json!({ "a": piece }), &cuts))
    };
    assert_eq!(tried(&of(true), "lengthwise fold"), None);
    assert!(of(true).document.cloths[0].plies.iter().all(|ply| !ply.mirrored));
    assert!(close(tried(&of(false), "lengthwise fold").unwrap().0, 400.0));
}
