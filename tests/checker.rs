//! The checker finds what it is there to find: a good plan is spoiled in many ways, and each is noticed.

mod common;

use common::{half_rectangle, loaded, planned, project_of, rectangle};
use ellwand::layout::PlanDocument;
use ellwand::plan::rules;
use ellwand::{check, cut_list};
use proptest::prelude::*;
use serde_json::{Value, json};

/// A garment with a fold section, an open section, a half on the fold, a pair, and plies cut singly.
fn garment() -> Value {
    let slant = json!({
        "outline": [[0, 0], [45, 0], [45, 30], [1, 30]], "holes": ["M 20 10 L 20 14 L 24 14 Z"],
        "grain": { "from": [10, 0], "to": [10, 1] },
    });
    let pieces = json!({ "slant": slant, "half": half_rectangle(20.0, 25.0), "bar": rectangle(60.0, 10.0) });
    let cuts = json!({
        "pair": { "piece": "slant", "cloth": "main", "count": 2, "mirrored": true },
        "half": { "piece": "half", "cloth": "main", "on_fold": true },
        "bar": { "piece": "bar", "cloth": "main" },
    });
    let cloth = json!({ "nap": true, "gap": 0.5, "lay": "lengthwise fold", "sold_by": 10, "ends": 2, "shrinkage": { "length": 3 } });
    project_of(&cloth, &pieces, &cuts)
}

/// Everything found wrong, against the project too.
fn faults(document: &PlanDocument) -> Vec<String> {
    let project = loaded(&garment());
    let list = cut_list::resolve(&project).expect("a cut list");
    let found = check::faults_against(document, &rules(&project, &list), &project.pieces);
    found.iter().map(ToString::to_string).collect()
}

fn good() -> PlanDocument {
    planned(&garment()).document
}

#[test]
fn a_good_plan_holds() {
    assert_eq!(faults(&good()), Vec::<String>::new());
}

type Spoil = fn(&mut PlanDocument);

#[test]
fn every_way_of_spoiling_a_plan_is_noticed() {
    let spoils: Vec<(&str, Spoil, &str)> = vec![
        ("moved across", |d| move_ply(d, 0, 0.0, 1.0), "nothing under it"),
        ("moved along", |d| move_ply(d, 0, 0.01, 0.0), "nothing under it"),
        ("moved off the cloth", |d| move_ply(d, 0, 0.0, -2000.0), "across the cloth"),
        ("moved out of its section", |d| move_ply(d, 3, -6.0, 0.0), "reaches out of its section"),
        ("one on another", |d| d.cloths[0].plies[1].outline = d.cloths[0].plies[0].outline.clone(), "overlap"),
        ("a corner moved", |d| d.cloths[0].plies[0].outline[0][0] += 0.1, "not a copy"),
        ("a hole lost", |d| d.cloths[0].plies[0].holes.clear(), "not a copy"),
        ("no outline", |d| d.cloths[0].plies[0].outline.clear(), "no proper outline"),
        ("huge", |d| d.cloths[0].plies[0].outline[0][0] = 1e300, "no proper outline"),
        ("mirror forgotten", |d| flip(d, 0), "not a copy"),
        ("turned upside down", |d| d.cloths[0].plies[0].turn = 180.0, "grain or nap"),
        ("turned off grain", |d| d.cloths[0].plies[2].turn = 3.0, "grain or nap"),
        ("across the fold denied", |d| d.cloths[0].plies[2].across_fold = false, "half where the whole"),
        ("a ply lost", |d| drop(d.cloths[0].plies.remove(3)), "has 0 plies"),
        ("a ply twice", |d| d.cloths[0].plies.extend_from_within(3..), "not numbered"),
        ("another cut", |d| d.cloths[0].plies[3].cut = "sail".to_owned(), "nobody asked"),
        ("another piece", |d| d.cloths[0].plies[3].piece = "half".to_owned(), "not a copy"),
        ("unknown piece", |d| d.cloths[0].plies[3].piece = "sail".to_owned(), "does not have"),
        ("unknown section", |d| d.cloths[0].plies[3].section = 7, "which there is not"),
        ("shorter than it is", |d| d.cloths[0].length -= 1.0, "the plies reach"),
        ("a bound too high", |d| d.cloths[0].least_possible = 1e6, "proved least"),
        ("share", |d| d.cloths[0].used_share += 0.01, "share used"),
        ("too little bought", |d| d.cloths[0].buy.length -= 100.0, "to be bought"),
        ("too much bought", |d| d.cloths[0].buy.length += 100.0, "to be bought"),
        ("wider", |d| d.cloths[0].usable_width += 1.0, "usable width"),
        ("fold elsewhere", |d| d.cloths[0].sections[0].fold_lines[0] += 5.0, "do not fit"),
        ("sections apart", |d| d.cloths[0].sections[1].from += 1.0, "where the last ended"),
        ("another lay's name", |d| d.cloths[0].lay = "open".to_owned(), "do not list"),
        ("a better lay left", |d| add_better(d), "needs less"),
        ("no cloth", |d| d.cloths.clear(), "missing from the plan"),
        ("the cloth twice", |d| d.cloths.extend_from_within(..), "stands 2 times"),
        ("another version", |d| d.ellwand_plan = 2, "version 2"),
        ("another unit", |d| d.units = "cm".to_owned(), "a plan is in mm"),
        ("another piece's shape", |d| d.pieces["bar"].outline[0][0] -= 1.0, "not the project's"),
    ];
    for (name, spoil, words) in spoils {
        let mut document = good();
        spoil(&mut document);
        let found = faults(&document);
        assert!(found.iter().any(|fault| fault.contains(words)), "{name}: {words:?} in {found:#?}");
    }
}

/// Two plies nearer to each other than the gap, though they do not overlap.
#[test]
fn a_gap_not_kept_is_noticed() {
    let mut document = good();
    let bar = document.cloths[0].plies.iter().position(|ply| ply.cut == "bar").expect("the bar");
    // The open section begins a gap behind the folded one: 3 mm back it is still behind it, but too near.
    let boundary = document.cloths[0].sections[0].to;
    move_ply(&mut document, bar, -3.0, 0.0);
    document.cloths[0].sections[0].to = boundary;
    assert!(faults(&document).iter().any(|fault| fault.contains("the gap is 5 mm")), "{:#?}", faults(&document));
}

fn move_ply(document: &mut PlanDocument, index: usize, x: f64, y: f64) {
    let ply = &mut document.cloths[0].plies[index];
    for point in ply.outline.iter_mut().chain(ply.holes.iter_mut().flatten()) {
        *point = [point[0] + x, point[1] + y];
    }
}

fn flip(document: &mut PlanDocument, index: usize) {
    let ply = &mut document.cloths[0].plies[index];
    ply.mirrored = !ply.mirrored;
}

fn add_better(document: &mut PlanDocument) {
    let mut tried = document.cloths[0].tried[0].clone();
    "open".clone_into(&mut tried.lay);
    tried.buy -= 100.0;
    document.cloths[0].tried.push(tried);
}

/// Values put in the place of others, some of them as bad as JSON allows.
fn value() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        prop_oneof![-1e3..1e3_f64, Just(1e308), Just(-1e308), Just(0.0), Just(1e-300)].prop_map(Value::from),
        any::<u64>().prop_map(Value::from),
        "[a-z]{0,5}".prop_map(Value::from),
        Just(json!([])),
        Just(json!([[0, 0], [1, 1]])),
        Just(json!({})),
    ]
}

/// Replaces the value that a list of numbers leads to.
fn replace(target: &mut Value, steps: &[usize], by: Value) {
    let inner = match (steps, &mut *target) {
        ([step, ..], Value::Array(items)) if !items.is_empty() => {
            let index = step % items.len();
            items.get_mut(index)
        }
        ([step, ..], Value::Object(members)) if !members.is_empty() => {
            let index = step % members.len();
            members.values_mut().nth(index)
        }
        _ => None,
    };
    match inner {
        Some(inner) => replace(inner, &steps[1..], by),
        None => *target = by,
    }
}

#[test]
fn no_spoiled_plan_makes_it_panic() {
    let good = serde_json::to_value(good()).expect("JSON");
    let change = (prop::collection::vec(any::<prop::sample::Index>(), 1..9), value());
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    runner
        .run(&prop::collection::vec(change, 1..4), |changes| {
            let mut spoiled = good.clone();
            for (steps, by) in changes {
                let steps: Vec<usize> = steps.iter().map(|index| index.index(1000)).collect();
                replace(&mut spoiled, &steps, by);
            }
            if let Ok(document) = serde_json::from_value::<PlanDocument>(spoiled) {
                let _ = faults(&document);
            }
            Ok(())
        })
        .expect("no panic");
}
