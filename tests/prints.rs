//! Prints that repeat: what is matched lies on the repeat in every layer of every fold, and takes no more cloth than the trade's
//! rules of thumb say. `plan` holds every plan against the checker, which finds the matched points again on the flat cloth.

mod common;

use common::{half_rectangle, loaded, planned, project_of, quick, rectangle, tried};
use ellwand::layout::Without;
use ellwand::nest::Effort;
use ellwand::plan::{Failure, Options, Silent, plan};
use proptest::prelude::*;
use serde_json::{Value, json};

/// A project whose cuts match.
fn matching(cloth: &Value, pieces: &Value, cuts: &Value, matches: &Value) -> Value {
    let mut project = project_of(cloth, pieces, cuts);
    project["matches"] = matches.clone();
    project
}

/// A rectangle with its lower left corner named and one corner cut off: not its own mirror image, either way.
fn panel(width: f64, length: f64) -> Value {
    json!({
        "outline": [[0, 0], [width, 0], [width, length - 1.0], [width - 0.5, length], [0, length]],
        "points": { "hem": [0, 0], "top": [0, length] },
        "grain": { "from": [1, 1], "to": [1, 2] },
    })
}

fn close(length: f64, expected: f64) -> bool {
    (length - expected).abs() <= 0.01
}

#[test]
fn curtains_with_a_repeat_are_cut_a_whole_repeat_apart() {
    // Common practice, no source: a drop of 114 in with a repeat of 11 in becomes 121 in, four drops 484 in. Cut one behind the
    // other from cloth of 54 in, each begins 121 in after the last; sold by whole repeats, 484 in are bought. Without the match
    // the same curtains take 4 x 114 = 456 in.
    let mut drop = rectangle(54.0, 114.0);
    drop["points"] = json!({ "hem": [0, 0] });
    let cloth = json!({
        "width": 54, "nap": true, "lay": "open", "sold_by": 11, "print": { "repeat_length": 11 },
    });
    let cuts = json!({ "drop": { "piece": "drop", "cloth": "main", "count": 4 } });
    let matches = json!({ "drops": { "points": ["drop.hem"], "along": "alike" } });
    let mut project = matching(&cloth, &json!({ "drop": drop }), &cuts, &matches);
    project["units"] = json!("in");
    let plan = planned(&project);
    let cloth = &plan.document.cloths[0];
    let mut starts: Vec<f64> =
        cloth.plies.iter().map(|ply| ply.outline.iter().map(|p| p[0]).fold(f64::MAX, f64::min) / 25.4).collect();
    starts.sort_by(f64::total_cmp);
    for (number, start) in starts.iter().enumerate() {
        assert!((start - 121.0 * number as f64).abs() < 1e-6, "{starts:?}");
    }
    assert!(close(cloth.buy.length / 25.4, 484.0), "{}", cloth.buy.length / 25.4);
    project["matches"] = json!({});
    assert!(close(planned(&project).document.cloths[0].length / 25.4, 456.0));
}

#[test]
fn side_seams_lie_level_on_every_lay() {
    // Two pairs, 20 x 47 cm and 22 x 43 cm, on cloth of 100 cm with a repeat of 10 cm; the hems level.
    let pieces = json!({ "front": panel(20.0, 47.0), "back": panel(22.0, 43.0) });
    let cuts = json!({
        "front": { "piece": "front", "cloth": "main", "count": 2, "mirrored": true },
        "back": { "piece": "back", "cloth": "main", "count": 2, "mirrored": true },
    });
    let matches = json!({ "sides": { "points": ["front.hem", "back.hem"], "along": "alike" } });
    for (lay, nap, length) in [
        // Side by side: as long as the longer.
        ("open", true, 470.0),
        ("lengthwise fold", true, 470.0),
        // Two halves of 42 cm across, both layers matched: 47 cm, cut, and the other begins a whole number of repeats on.
        ("crosswise cut and turned", true, 500.0 + 470.0),
        // The upper layer lies upside down, and even so.
        ("crosswise fold", false, 940.0),
    ] {
        let cloth = json!({ "lay": lay, "nap": nap, "print": { "repeat_length": 10 } });
        let plan = planned(&matching(&cloth, &pieces, &cuts, &matches));
        let found = plan.document.cloths[0].length;
        assert!((found - length).abs() < 0.5, "{lay}: {found}");
    }
}

#[test]
fn a_centre_lies_on_the_middle_of_a_motif() {
    // Cloth of 100 cm, repeat 12 cm, the first middle 3.5 cm from the selvedge: middles at 3.5, 15.5, ... and lines of symmetry
    // every 6 cm. A half of 20 cm: its centre on open cloth at 27.5, 39.5, 51.5, 63.5 or 75.5. Folded in the middle, at 50, it
    // cannot lie; folded at 45.5 or less it can, not at 41.5 though, where there is the middle between two motifs.
    let pieces = json!({ "a": half_rectangle(20.0, 50.0) });
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "on_fold": true } });
    let at = |hold: &str, lay: &str| {
        let matches = json!({ "centre": { "points": ["a.bottom"], "across": hold } });
        let cloth = json!({ "lay": lay, "print": { "repeat_width": 12, "middle": 3.5 } });
        quick(&matching(&cloth, &pieces, &cuts, &matches)).map(|plan| {
            let ys: Vec<f64> = plan.document.cloths[0].plies[0].outline.iter().map(|p| p[1]).collect();
            let (low, high) = (ys.iter().copied().fold(f64::MAX, f64::min), ys.iter().copied().fold(0.0, f64::max));
            f64::midpoint(low, high)
        })
    };
    for lay in ["open", "partial fold"] {
        assert!(close((at("middle", lay).unwrap() - 35.0).rem_euclid(120.0), 0.0), "{lay} {:?}", at("middle", lay));
        assert!(close((at("between", lay).unwrap() - 95.0).rem_euclid(120.0), 0.0), "{lay} {:?}", at("between", lay));
    }
    let Err(Failure::Problems(problems)) = at("middle", "lengthwise fold") else { panic!("planned") };
    assert!(problems[0].cause.contains("lengthwise fold"), "{}", problems[0].cause);
}

#[test]
fn unmatched_pieces_stay_free() {
    // Two fronts level with each other, one behind the other: 47 cm and the next repeat of 10 cm on, 50 + 47. Beside them a
    // strip of 97 cm in three pieces, unmatched, that no repeat would let lie so close: 3 x 32.3 cm.
    let pieces = json!({ "front": panel(60.0, 47.0), "strip": rectangle(40.0, 32.3) });
    let cuts = json!({
        "front": { "piece": "front", "cloth": "main", "count": 2 },
        "strip": { "piece": "strip", "cloth": "main", "count": 3 },
    });
    let matches = json!({ "level": { "points": ["front.hem"], "along": "alike" } });
    let cloth = json!({ "lay": "open", "nap": true, "print": { "repeat_length": 10 } });
    let plan = planned(&matching(&cloth, &pieces, &cuts, &matches));
    assert!(close(plan.document.cloths[0].length, 970.0), "{}", plan.document.cloths[0].length);
}

#[test]
fn a_repeat_shrinks_with_the_cloth() {
    // 10 cm as bought are 9 cm on the table: two of 47 cm lie 54 cm apart.
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2 } });
    let matches = json!({ "level": { "points": ["a.hem"], "along": "alike" } });
    let cloth = json!({ "lay": "open", "nap": true, "shrinkage": { "length": 10 }, "print": { "repeat_length": 10 } });
    let plan = planned(&matching(&cloth, &json!({ "a": panel(60.0, 47.0) }), &cuts, &matches));
    assert!(close(plan.document.cloths[0].length, 540.0 + 470.0), "{}", plan.document.cloths[0].length);
}

#[test]
fn points_are_matched_at_the_stitching_line() {
    // Two panels level at the lower corner, whose hems have allowances of 4 and 1 cm: their cut edges then lie 3 cm apart, the
    // stitching lines whole repeats (Goodheart-Willcox, Successful Sewing, 2013: match at stitching lines, not cut edges).
    let with_hem = |hem: f64| {
        let mut piece = panel(40.0, 47.0);
        piece["points"] = json!({ "hem": [0, 0], "other": [40, 0], "top": [0, 47] });
        piece["edges"] = json!({ "hem": ["hem", "other"], "side": ["top", "hem"] });
        piece["allowance"] = json!({ "included": 1.5, "edges": { "hem": hem } });
        piece
    };
    let cuts = json!({ "a": { "piece": "a", "cloth": "main" }, "b": { "piece": "b", "cloth": "main" } });
    let matches = json!({ "level": { "points": ["a.hem", "b.hem"], "along": "alike" } });
    let cloth = json!({ "lay": "open", "nap": true, "width": 50, "print": { "repeat_length": 10 } });
    let pieces = json!({ "a": with_hem(4.0), "b": with_hem(1.0) });
    let plan = planned(&matching(&cloth, &pieces, &cuts, &matches));
    let print = plan.document.cloths[0].print.as_ref().unwrap();
    let at: Vec<f64> = print.matches[0].points.iter().map(|point| point.at[0]).collect();
    assert!(close(at[0] - at[1], 30.0), "{at:?}");
    let hem = |cut: &str| {
        let ply = plan.document.cloths[0].plies.iter().find(|ply| ply.cut == cut).unwrap();
        ply.outline.iter().map(|p| p[0]).fold(f64::MAX, f64::min)
    };
    assert!(close((hem("a") - hem("b") + 30.0).rem_euclid(100.0), 0.0), "{} {}", hem("a"), hem("b"));
}

#[test]
fn matches_that_cannot_be_are_refused_with_their_place() {
    let pieces = json!({ "a": panel(20.0, 47.0), "b": panel(20.0, 45.0) });
    let cuts = json!({
        "a": { "piece": "a", "cloth": "main" },
        "b": { "piece": "b", "cloth": "main" },
        "bias": { "piece": "b", "cloth": "main", "grain": "bias" },
    });
    let print = json!({ "print": { "repeat_length": 10 } });
    let refused = |cloth: &Value, matches: Value, place: &str, cause: &str| {
        let document = matching(cloth, &pieces, &cuts, &matches);
        let problems = ellwand::project::load(document.to_string().as_bytes(), "p.json", &[]);
        let problems = match problems {
            Err(problems) => problems,
            Ok(project) => match ellwand::cut_list::resolve(&project) {
                Err(problems) => problems,
                Ok(_) => panic!("{matches} was taken"),
            },
        };
        assert_eq!((problems[0].place.keys.as_str(), problems.len()), (place, 1), "{problems:?}");
        assert!(problems[0].cause.contains(cause), "{}", problems[0].cause);
    };
    let of = |points: Value| json!({ "m": { "points": points, "along": "alike" } });
    refused(&print, of(json!(["c.hem"])), "matches.m.points[0]", "no cut named \"c\"");
    refused(&print, of(json!(["a.him"])), "matches.m.points[0]", "no point named \"him\"");
    refused(&print, of(json!(["hem"])), "matches.m.points[0]", "does not name a point of a cut");
    refused(&print, of(json!(["a.hem", "bias.hem"])), "matches.m.points[1]", "not cut exactly along the cloth");
    refused(&json!({}), of(json!(["a.hem"])), "matches.m.along", "no \"repeat_length\"");
    refused(&print, json!({ "m": { "points": ["a.hem"] } }), "matches.m", "neither \"along\" nor \"across\"");
    let mut both = of(json!(["a.hem", "b.hem"]));
    both["n"] = json!({ "points": ["a.top", "b.top"], "along": "alike" });
    refused(&print, both, "matches.n", "contradicts the other matches of its cuts by 2.0 cm (3/4 in)");
}

/// A checker that lets everything pass is none: plies moved off the repeat, or by half of it, are found.
#[test]
fn the_checker_finds_what_lies_off_the_repeat() {
    let pieces = json!({ "a": panel(40.0, 47.0) });
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2, "mirrored": true } });
    let matches = json!({ "level": { "points": ["a.hem"], "along": "middle", "across": "between" } });
    let cloth = json!({
        "lay": "open", "nap": true, "width": 150, "print": { "repeat_length": 10, "repeat_width": 8 },
    });
    let project = matching(&cloth, &pieces, &cuts, &matches);
    let document = planned(&project).document;
    assert_eq!(ellwand::check::faults(&document), []);
    for (dx, dy, way) in [(0.6, 0.0, "along"), (0.0, 0.6, "across"), (50.0, 0.0, "along"), (0.0, -40.0, "across")] {
        let mut moved = document.clone();
        for point in &mut moved.cloths[0].plies[1].outline {
            *point = [point[0] + dx, point[1] + dy];
        }
        let faults = ellwand::check::faults(&moved);
        let words = format!("mm {way} the cloth");
        assert!(faults.iter().any(|fault| fault.what.contains(&words)), "{dx} {dy}: {faults:?}");
    }
    // A plan that leaves a match out is not what was asked for.
    let mut without = document;
    without.cloths[0].print = None;
    let project = loaded(&project);
    let list = ellwand::cut_list::resolve(&project).unwrap();
    let rules = ellwand::plan::rules(&project, &list);
    let faults = ellwand::check::faults_against(&without, &rules, &project.pieces);
    assert!(faults.iter().any(|fault| fault.what.contains("matched on its print")), "{faults:?}");
}

#[test]
fn open_cloth_never_needs_more_than_a_fold_with_a_print_either() {
    let pieces = json!({ "front": panel(20.0, 47.0), "back": half_rectangle(22.0, 43.0) });
    let cuts = json!({
        "front": { "piece": "front", "cloth": "main", "count": 2, "mirrored": true },
        "back": { "piece": "back", "cloth": "main", "on_fold": true },
    });
    let matches = json!({
        "sides": { "points": ["front.hem", "back.bottom"], "along": "alike" },
        "centre": { "points": ["back.top", "front.hem"], "across": "middle" },
    });
    let cloth = json!({ "print": { "repeat_length": 16, "repeat_width": 12, "middle": 2 } });
    let plan = planned(&matching(&cloth, &pieces, &cuts, &matches));
    let open = tried(&plan, "open").unwrap().0;
    assert!(plan.document.cloths[0].tried.iter().all(|tried| open <= tried.length));
}

/// The demo: side seams level, both centres on the middle of the check, what that costs, and a table of lays tried.
#[test]
fn the_check_skirt_matches_and_says_what_that_costs() {
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/demo/check-skirt/project.json");
    let bytes = std::fs::read(file).expect("the demo is there");
    let project = ellwand::project::load(&bytes, "project.json", &[]).expect("the demo is good");
    let options = Options { effort: Effort::Quick, ..Options::default() };
    let plan = plan(&project, &options, &Silent).expect("the demo can be planned");
    let main = &plan.document.cloths[0];
    assert_eq!(main.tried.len(), 5);
    let print = main.print.as_ref().expect("it is matched");
    assert_eq!(print.matches.iter().map(|found| found.name.as_str()).collect::<Vec<_>>(), ["side seams", "centres"]);
    let without = print.without.as_ref().expect("it is compared");
    assert!(without.length <= main.length && without.buy <= main.buy.length);
    let told = ellwand::report::summary(&plan.document, &plan.notes);
    for words in ["Matched on a repeat of", "Without matching:", "Rules of thumb", "the layout begins"] {
        assert!(told.contains(words), "{words}: {told}");
    }
}

/// Cuts of rectangles on open cloth with nap, all level with each other: by the trade's rule (common practice, no source) they take
/// at most a repeat for each row stacked more, since each may be pushed on to the next repeat behind what was pushed before it;
/// and never less than without the match.
fn rectangles() -> impl Strategy<Value = (Value, f64)> {
    let cut = (10.0..70.0_f64, 10.0..60.0_f64, 1..4_usize);
    (prop::collection::vec(cut, 1..5), 3.0..25.0_f64).prop_map(|(list, repeat)| {
        let (mut pieces, mut cuts, mut points) = (json!({}), json!({}), Vec::new());
        for (index, (width, length, count)) in list.into_iter().enumerate() {
            let name = format!("piece {index}");
            pieces[&name] = rectangle(width, length);
            pieces[&name]["points"] = json!({ "hem": [0, 0] });
            cuts[&name] = json!({ "piece": name, "cloth": "main", "count": count });
            points.push(format!("{name}.hem"));
        }
        let cloth = json!({ "nap": true, "lay": "open", "print": { "repeat_length": repeat } });
        let matches = json!({ "hems": { "points": points, "along": "alike" } });
        (matching(&cloth, &pieces, &cuts, &matches), repeat)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn a_repeat_for_each_row_stacked_is_enough((project, repeat) in rectangles()) {
        let options = Options { effort: Effort::Quick, seconds: Some(0.2), seed: 1 };
        let plan = plan(&loaded(&project), &options, &Silent).expect("it fits");
        let cloth = &plan.document.cloths[0];
        let Some(Without { length, rows, .. }) = cloth.print.as_ref().and_then(|print| print.without.clone()) else {
            return Err(TestCaseError::fail("what it takes without the match is missing"));
        };
        let extra = cloth.length - length;
        prop_assert!(extra >= 0.0, "{extra}");
        prop_assert!(extra <= repeat * 10.0 * rows as f64 + 1e-6, "{extra} of {} x {rows}", repeat * 10.0);
    }
}

#[test]
fn what_matches_lies_alike_on_two_lengths_in_hand() {
    // Two fronts and two backs, level with each other, too many for either length of 110 cm: each takes two, one behind the
    // other; the repeat may begin anywhere on each, the hems lie at the same place of it on both.
    let pieces = json!({ "front": panel(60.0, 47.0), "back": panel(60.0, 44.0) });
    let cuts = json!({
        "front": { "piece": "front", "cloth": "main", "count": 2 },
        "back": { "piece": "back", "cloth": "main", "count": 2 },
    });
    let matches = json!({ "sides": { "points": ["front.hem", "back.top"], "along": "alike" } });
    let cloth = json!({
        "lay": "open", "nap": true, "print": { "repeat_length": 10 }, "have": [{ "length": 110 }, { "length": 110 }],
    });
    let project = matching(&cloth, &pieces, &cuts, &matches);
    let document = planned(&project).document;
    assert_eq!(document.cloths.len(), 2);
    assert_eq!(document.cloths.iter().map(|cloth| cloth.plies.len()).sum::<usize>(), 4);
    // Half a repeat off on the second length is found.
    let mut moved = document;
    let middle = moved.cloths[1].print.as_mut().unwrap().middle_along.as_mut().unwrap();
    *middle += 50.0;
    let faults = ellwand::check::faults(&moved);
    assert!(faults.iter().any(|fault| fault.what.contains("is off by 50 mm along")), "{faults:?}");
}

#[test]
fn a_fold_across_keeps_the_middle_where_there_is_a_gap() {
    // The corners on the middle of a motif, or between two, and pieces 0.5 cm apart: 0.25 cm from the fold on either layer.
    let pieces = json!({ "a": panel(80.0, 23.0), "b": panel(41.0, 8.0) });
    let cuts = json!({
        "a": { "piece": "a", "cloth": "main", "count": 2, "mirrored": true },
        "b": { "piece": "b", "cloth": "main", "count": 4, "mirrored": true },
    });
    for (hold, right_side) in [("middle", true), ("between", true), ("middle", false)] {
        let matches = json!({ "corners": { "points": ["a.hem", "b.hem"], "along": hold } });
        let cloth = json!({
            "lay": "crosswise fold", "gap": 0.5, "right_side": right_side, "print": { "repeat_length": 3 },
        });
        let plan = planned(&matching(&cloth, &pieces, &cuts, &matches));
        assert_eq!(plan.document.cloths[0].sections[0].fold, "crosswise");
    }
}
