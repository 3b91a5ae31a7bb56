//! Linings, facings, interfacings; pieces split, joined, lengthened, blended, mirrored out: through the project file, against
//! arithmetic.

mod common;

use common::project_of;
use ellwand::piece::{Piece, seam_length};
use ellwand::project::{self, Project};
use proptest::prelude::*;
use serde_json::{Value, json};

/// A skirt panel to the stitching lines: 60 wide, 80 long, 1 cm of allowance all round and 3 cm at the hem.
fn panel() -> Value {
    json!({
        "outline": [[-1, -3], [61, -3], [61, 81], [-1, 81]],
        "points": { "a": [-1, -3], "b": [61, -3], "c": [61, 81], "d": [-1, 81], "low": [-1, 30], "high": [61, 50] },
        "edges": { "hem": ["a", "b"], "side": ["b", "c"], "waist": ["c", "d"], "front": ["d", "a"] },
        "grain": { "from": [0, 0], "to": [0, 1] },
        "allowance": { "included": 1, "edges": { "hem": 3 } },
        "notches": [[61, 40], [30, 81]],
        "darts": [{ "apex": [40, 65], "legs": [[38.75, 81], [41.25, 81]] }]
    })
}

fn with_drafts(drafts: &Value) -> Result<Project, Vec<ellwand::error::Problem>> {
    let mut half = panel();
    half["fold"] = json!("front");
    half["outline"] = json!([[0, -3], [61, -3], [61, 81], [0, 81]]);
    half["points"]["a"] = json!([0, -3]);
    half["points"]["d"] = json!([0, 81]);
    half["points"]["low"] = json!([0, 30]);
    let mut larger = panel();
    larger["outline"] = json!([[-1, -3], [71, -3], [71, 81], [-1, 81]]);
    larger["points"]["b"] = json!([71, -3]);
    larger["points"]["c"] = json!([71, 81]);
    larger["points"]["high"] = json!([71, 50]);
    larger["notches"] = json!([[71, 40], [35, 81]]);
    let pieces = json!({ "panel": panel(), "half": half, "larger": larger });
    let cuts = json!({ "panel": { "piece": "panel", "cloth": "main" } });
    let mut document = project_of(&json!({}), &pieces, &cuts);
    document["drafts"] = drafts.clone();
    project::load(document.to_string().as_bytes(), "test.json", &[])
}

fn good(drafts: &Value) -> Project {
    with_drafts(drafts)
        .unwrap_or_else(|p| panic!("{}", p.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")))
}

fn sewn(piece: &Piece, edge: &str) -> f64 {
    seam_length(piece, edge).expect("an edge").sewn()
}

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 0.05, "{found} where {expected} was expected");
}

#[test]
fn a_lining_is_shorter_at_the_hem_and_less_its_facing() {
    let lining = json!({ "of": "panel", "makes": "l", "shorter": 2.5, "hem_allowance": 2, "facing": { "front": 8 } });
    let project = good(&json!({ "lining": { "lining": lining } }));
    let piece = &project.pieces["l"];
    near(sewn(piece, "hem"), 520.0);
    near(sewn(piece, "inner"), 775.0);
    near(sewn(piece, "side"), 775.0);
    // The dart's intake at the stitching line: 2.5 cm at 16 cm from the apex is 2.34 at 15.
    near(sewn(piece, "waist"), 520.0 - 25.0 * 15.0 / 16.0);
    // 52 x 77.5 with 1, 1, 1 and 2 cm: 54 x 80.5.
    near(piece.shape.area() / 10.0, 540.0 * 805.0 / 10.0);
    assert_eq!(piece.darts.len(), 1);
}

#[test]
fn a_facing_and_a_lining_meet_and_corners_are_rounded_as_asked() {
    let strip = json!({ "front": 8, "hem": 5 });
    let project = good(&json!({
        "facing": { "facing": { "of": "panel", "makes": "f", "along": strip, "round": 3 } },
        "lining": { "lining": { "of": "panel", "makes": "l", "facing": strip, "round": 3 } }
    }));
    let (facing, lining) = (&project.pieces["f"], &project.pieces["l"]);
    near(sewn(facing, "inner"), sewn(lining, "inner"));
    // Sharp, the inner line would be 75 + 52 cm.
    assert!(sewn(facing, "inner") < 1269.0 && sewn(facing, "inner") > 1240.0, "{}", sewn(facing, "inner"));
    near(sewn(facing, "waist"), 80.0);
    assert!(facing.points.contains_key("waist-inner") && facing.points.contains_key("side-inner"));
}

#[test]
fn interfacing_is_trimmed_to_the_stitching_lines() {
    let project = good(&json!({
        "whole": { "interfacing": { "of": "panel", "makes": "w" } },
        "strip": { "interfacing": { "of": "half", "makes": "s", "along": { "waist": 6 }, "allowance": 0.5 } }
    }));
    near(project.pieces["w"].shape.area() / 10.0, 600.0 * 800.0 / 10.0);
    let strip = &project.pieces["s"];
    assert!(strip.fold.is_some());
    // 60 x 6 with 0.5 cm all round but on the fold.
    near(strip.shape.area() / 10.0, 605.0 * 70.0 / 10.0);
}

#[test]
fn a_piece_split_and_joined_again_is_the_same_piece() {
    let project = good(&json!({
        "split": { "split": { "of": "panel", "line": ["low", "high"], "makes": ["upper", "lower"], "allowance": 1.5 } },
        "join": { "join": { "one": "upper.split", "other": "lower.split", "makes": "again" } }
    }));
    let slanted = libm::hypot(600.0, 200.0);
    let (upper, lower) = (&project.pieces["upper"], &project.pieces["lower"]);
    near(sewn(upper, "split"), slanted);
    near(sewn(lower, "split"), slanted);
    near(sewn(upper, "side") + sewn(lower, "side"), 800.0);
    assert_eq!((upper.notches.len(), lower.notches.len()), (1, 1));
    let again = &project.pieces["again"];
    near(again.shape.area() / 10.0, 620.0 * 840.0 / 10.0);
    near(sewn(again, "hem"), 600.0);
}

#[test]
fn a_piece_is_lengthened_and_shortened_at_a_line() {
    let length =
        |by: f64, makes: &str| json!({ "length": { "of": "panel", "at": ["low", "high"], "by": by, "makes": makes } });
    let project = good(&json!({ "longer": length(4.0, "longer"), "shorter": length(-4.0, "shorter") }));
    for (name, by) in [("longer", 40.0), ("shorter", -40.0)] {
        let piece = &project.pieces[name];
        near(sewn(piece, "side"), 800.0 + by);
        near(piece.shape.area() / 10.0, 620.0 * (840.0 + by) / 10.0);
    }
}

#[test]
fn two_sizes_are_blended_between_two_heights() {
    let blend =
        json!({ "blend": { "upper": "panel", "lower": "larger", "between": ["low", "high"], "makes": "blended" } });
    let piece = &good(&json!({ "blended": blend })).pieces["blended"];
    near(sewn(piece, "waist"), sewn(piece, "hem") - 100.0 - 25.0 * 15.0 / 16.0);
    near(sewn(piece, "hem"), 700.0);
    // A smooth step of 10 cm over 20 cm, as much above its middle as below: 10 cm more over 33 + 20 / 2 cm; and the
    // allowance along the step, 1 cm wide, is longer by the step's length (by quadrature) less 20 cm.
    let steps = 10_000;
    let slope = |t: f64| 100.0 * 6.0 * t * (1.0 - t);
    let step = (0..steps).map(|i| libm::hypot(200.0, slope((f64::from(i) + 0.5) / f64::from(steps)))).sum::<f64>();
    let longer = step / f64::from(steps) - 200.0;
    near(piece.shape.area() / 100.0, (620.0 * 840.0 + 100.0 * 430.0 + 10.0 * longer) / 100.0);
}

#[test]
fn a_half_piece_is_mirrored_out() {
    let project = good(&json!({ "whole": { "mirror": { "of": "half", "makes": "whole" } } }));
    let whole = &project.pieces["whole"];
    assert!(whole.fold.is_none());
    near(whole.shape.area() / 10.0, 2.0 * 610.0 * 840.0 / 10.0);
    near(sewn(whole, "other side"), 800.0);
    assert_eq!((whole.notches.len(), whole.darts.len()), (4, 2));
}

#[test]
fn what_a_draft_makes_can_be_cut_and_sewn_and_drafted_further() {
    let mut document = project_of(
        &json!({}),
        &json!({ "panel": panel() }),
        &json!({ "lining": { "piece": "l", "cloth": "main" }, "strip": { "piece": "i", "cloth": "main" } }),
    );
    document["drafts"] = json!({
        "lining": { "lining": { "of": "panel", "makes": "l", "shorter": 2 } },
        "interfacing": { "interfacing": { "of": "l", "makes": "i", "along": { "hem": 5 } } }
    });
    document["seams"] = json!([["l.waist", "panel.waist"], ["i.hem", "l.hem"]]);
    document["choices"] =
        json!({ "length": { "long": {}, "short": { "drafts": { "lining": { "lining": { "shorter": 10 } } } } } });
    document["chosen"] = json!({ "length": "long" });
    let load =
        |choose: &[(String, String)]| project::load(document.to_string().as_bytes(), "t.json", choose).expect("good");
    near(sewn(&load(&[]).pieces["l"], "side"), 780.0);
    near(sewn(&load(&[("length".into(), "short".into())]).pieces["l"], "side"), 700.0);
    let project = load(&[]);
    assert!(project.drafts.values().flatten().all(ellwand::draft::Proof::holds));
    assert!(project.drafts["lining"].len() >= 3);
}

/// Each bad draft, the keys its problem is at, and words of it.
#[test]
fn bad_drafts_are_refused_at_their_place() {
    let of = |kind: &str, body: Value| json!({ "d": { kind: body } });
    for (drafts, keys, words) in [
        (json!({ "d": {} }), "drafts.d", "exactly one"),
        (json!({ "d": { "bnad": {} } }), "drafts.d.bnad", "not a known key"),
        (of("mirror", json!({ "of": "panle", "makes": "m" })), "drafts.d.mirror.of", "no piece"),
        (of("mirror", json!({ "of": "panel", "makes": "m" })), "drafts.d.mirror.of", "no fold edge"),
        (of("mirror", json!({ "of": "half", "makes": "panel" })), "drafts.d.mirror.makes", "already"),
        (of("lining", json!({ "of": "panel", "makes": "l.x" })), "drafts.d.lining.makes", "dot"),
        (
            of("lining", json!({ "of": "panel", "makes": "l", "shorter": 100 })),
            "drafts.d.lining.shorter",
            "does not reach",
        ),
        (
            of("lining", json!({ "of": "panel", "makes": "l", "hem": "ham", "shorter": 1 })),
            "drafts.d.lining.hem",
            "no edge",
        ),
        (
            of("facing", json!({ "of": "panel", "makes": "f", "along": { "front": 5, "side": 5 } })),
            "drafts.d.facing.along",
            "gap",
        ),
        (
            of("facing", json!({ "of": "panel", "makes": "f", "along": { "frnt": 5 } })),
            "drafts.d.facing.along.frnt",
            "no edge",
        ),
        (
            of("split", json!({ "of": "panel", "line": ["low", "lo"], "makes": ["x", "y"] })),
            "drafts.d.split.line[1]",
            "no point",
        ),
        (
            of("split", json!({ "of": "panel", "line": ["low", "low"], "makes": ["x", "y"] })),
            "drafts.d.split.line",
            "one place",
        ),
        (
            of("join", json!({ "one": "panel.side", "other": "half.waist", "makes": "j" })),
            "drafts.d.join.other",
            "long",
        ),
        (
            of("join", json!({ "one": "panel", "other": "half.side", "makes": "j" })),
            "drafts.d.join.one",
            "does not name",
        ),
        (
            of("length", json!({ "of": "panel", "at": ["low", "high"], "by": -60, "makes": "m" })),
            "drafts.d.length.by",
            "reach",
        ),
        (
            of("blend", json!({ "upper": "panel", "lower": "half", "between": ["low", "high"], "makes": "m" })),
            "drafts.d.blend.lower",
            "two sizes",
        ),
        (of("band", json!({ "depth": 5 })), "drafts.d.band", "no bodice"),
        (
            of(
                "band",
                json!({ "depth": 90, "front": { "piece": "panel", "waist": "hem", "makes": { "band": "b", "bodice": "u" } } }),
            ),
            "drafts.d.band.front.depth",
            "",
        ),
    ] {
        let problems = with_drafts(&drafts).err().unwrap_or_else(|| panic!("{drafts} was taken"));
        let found = problems.iter().find(|p| p.place.keys == keys && p.cause.contains(words));
        assert!(found.is_some(), "{drafts}: {problems:#?}");
        assert!(found.is_some_and(|p| p.place.line_column.is_some() && !p.hint.is_empty()));
    }
}

#[test]
fn a_draft_may_not_use_what_is_made_further_down() {
    let drafts = json!({
        "first": { "interfacing": { "of": "l", "makes": "i" } },
        "second": { "lining": { "of": "panel", "makes": "l" } }
    });
    let problems = with_drafts(&drafts).expect_err("the wrong order");
    assert!(problems[0].hint.contains("further down"), "{problems:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    /// Whatever the amounts, the parts of a piece are the whole, and the strips have the width asked for.
    #[test]
    fn parts_are_the_whole(width in 1.0..30.0_f64, shorter in 0.1..30.0_f64, allowance in 0.0..3.0_f64) {
        let project = good(&json!({
            "f": { "facing": { "of": "panel", "makes": "f", "along": { "front": width }, "allowance": allowance } },
            "l": { "lining": { "of": "panel", "makes": "l", "facing": { "front": width }, "shorter": shorter } },
            "i": { "interfacing": { "of": "panel", "makes": "i", "along": { "hem": width } } }
        }));
        near(sewn(&project.pieces["f"], "waist"), width * 10.0);
        near(sewn(&project.pieces["f"], "inner"), 800.0);
        near(project.pieces["f"].shape.area() / 100.0, (width * 10.0 + 10.0 + allowance * 10.0) * 840.0 / 100.0);
        near(sewn(&project.pieces["l"], "side"), 800.0 - shorter * 10.0);
        near(project.pieces["i"].shape.area() / 100.0, width * 6000.0 / 100.0);
    }
}
