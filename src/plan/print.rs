//! What is matched on the print of a cloth, in the plan document's words.

use crate::cut_list::Matching;
use crate::layout::{ClothPlan, MatchPlan, MatchPoint, PlanPoint, Ply, PrintPlan, Without, plan_points, rounded};
use crate::project::{Hold, Match};

/// What is matched on a cloth. Where the motif lies along it is left open.
pub(super) fn print_plan(matching: &Matching) -> PrintPlan {
    let print = &matching.print;
    PrintPlan {
        repeat_length: print.repeat_length.map(rounded),
        repeat_width: print.repeat_width.map(rounded),
        middle_along: None,
        middle_across: rounded(print.middle),
        matches: matching.matches.iter().map(|(name, found)| match_plan(name, found)).collect(),
        without: None,
    }
}

fn match_plan(name: &str, found: &Match) -> MatchPlan {
    let word = |hold: Option<Hold>| hold.map(|hold| hold.name().to_owned());
    let points = found.points.iter().map(|point| MatchPoint {
        cut: point.cut.clone(),
        name: point.name.clone(),
        at: plan_points(&[point.at]).first().copied().unwrap_or(PlanPoint::default()),
    });
    MatchPlan { name: name.to_owned(), along: word(found.along), across: word(found.across), points: points.collect() }
}

/// The figures of a cloth on which nothing need match.
pub(super) fn without(cloth: &ClothPlan) -> Without {
    Without { lay: cloth.lay.clone(), length: cloth.length, buy: cloth.buy.length, rows: rows_stacked(&cloth.plies) }
}

/// How many plies lie one behind the other at most, each wholly behind the one before and partly across from it.
fn rows_stacked(plies: &[Ply]) -> usize {
    let range = |ply: &Ply, axis: usize| {
        let values = ply.outline.iter().map(|p| p[axis]);
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
    };
    let mut boxes: Vec<_> = plies.iter().map(|ply| (range(ply, 0), range(ply, 1))).collect();
    boxes.sort_by(|a, b| a.0.0.total_cmp(&b.0.0));
    // The longest row that ends with each ply.
    let mut rows: Vec<usize> = Vec::with_capacity(boxes.len());
    for (x, y) in &boxes {
        let before = boxes
            .iter()
            .zip(&rows)
            .filter(|((ox, oy), _)| ox.1 <= x.0 + SLIDE && oy.0 < y.1 - SLIDE && y.0 < oy.1 - SLIDE);
        rows.push(1 + before.map(|(_, row)| *row).max().unwrap_or(0));
    }
    rows.into_iter().max().unwrap_or(0)
}

/// Plies that reach into each other by less than this, in mm, only touch.
const SLIDE: f64 = 1e-3;
