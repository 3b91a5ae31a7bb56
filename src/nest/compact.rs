//! The exact finish: linear programmes over separating lines push items apart and the strip together.
//!
//! Two convex parts are apart when some line parts them. With the direction of that line held for a moment, "stay apart by
//! the gap" is linear in the moves of the two items, so the best small move of all items at once is a linear programme (Li and
//! Milenkovic 1995). Lines are chosen anew at each new layout, until nothing is gained. True outlines are used throughout:
//! what comes out is exact, whatever the search simplified.

use super::board::{Layout, length_of};
use super::model::Model;
use super::parting::{Parting, near_parts};
use super::simplex::{Row, minimise};
use crate::geometry::Point;

/// Parts that overlap by no more than this are apart, in millimetres.
pub(super) const EXACT: f64 = 5e-7;
/// How far apart the programme aims to keep parts: above its own rounding.
pub(super) const AIM: f64 = 2e-8;

/// A layout without overlap that is still too long is given up once what it is too long by is more than so many times what
/// the last programme brought: gains dwindle.
const HOPE: f64 = 4.0;

/// What to do with a layout.
#[derive(Debug, Clone, Copy)]
pub(super) struct Task {
    /// The layout may be no longer than this.
    pub(super) longest: f64,
    /// Most programmes to solve.
    pub(super) rounds: usize,
    /// Furthest any item may move in one programme.
    pub(super) reach: f64,
}

/// Parts overlapping items and makes the layout as short as small moves can; the work done beside it. Asked between two
/// programmes, `stop` may end it early.
///
/// None where overlaps remain.
pub(super) fn compacted(
    model: &Model,
    layout: &Layout,
    task: &Task,
    stop: &dyn Fn() -> bool,
) -> (Option<(Layout, f64)>, u64) {
    let mut work = 0;
    let mut now = layout.clone();
    let mut reach = task.reach;
    let mut best: Option<(Layout, f64)> = None;
    let mut depth = deepest(model, &now);
    let mut length = length_of(model, &now);
    if depth <= EXACT && length <= task.longest {
        best = Some((now.clone(), length));
    }
    for _ in 0..task.rounds {
        if stop() {
            break;
        }
        let (next, done) = step(model, &now, reach, depth);
        work += done;
        let (next_depth, next_length) = (deepest(model, &next), length_of(model, &next));
        let parted = next_depth <= EXACT;
        let gained =
            if parted { depth > EXACT || next_length < length * (1.0 - 1e-6) } else { next_depth < depth * 0.9 };
        if parted && next_length <= task.longest && best.as_ref().is_none_or(|b| next_length < b.1) {
            best = Some((next.clone(), next_length));
        }
        let (too_long, gain) = (next_length - task.longest, (length - next_length).max(0.0));
        if parted && depth <= EXACT && too_long > HOPE * gain {
            break;
        }
        if gained {
            (now, depth, length) = (next, next_depth, next_length);
        } else if reach > task.reach / 10.0 {
            // A held line that should be let go, or rounding: smaller steps see better.
            reach /= 4.0;
        } else {
            break;
        }
    }
    (best, work)
}

/// Whether no two items overlap, the gap kept.
pub(super) fn holds(model: &Model, layout: &Layout) -> bool {
    deepest(model, layout) <= EXACT
}

/// How deep the deepest overlap of any two parts is, or how much of the gap is missing.
fn deepest(model: &Model, layout: &Layout) -> f64 {
    let mut deepest = 0.0_f64;
    for_pairs(model, layout, 0.0, |pair| {
        deepest = deepest.max(model.gap - pair.apart);
    });
    deepest
}

/// Two parts and the line that parts them best.
struct Pair {
    first: usize,
    second: usize,
    normal: Point,
    /// How far apart they are along the normal; negative where they overlap.
    apart: f64,
}

fn step(model: &Model, layout: &Layout, reach: f64, deepest: f64) -> (Layout, u64) {
    let n = layout.at.len();
    let end = length_of(model, layout);
    // Variables: x and y of every item, then the two of every programme.
    let (length, slack) = (2 * n, 2 * n + 1);
    let mut rows = Vec::new();
    for (i, p) in layout.at.iter().enumerate() {
        let choice = model.items[i].options[layout.option[i]];
        let bounds = &model.forms[choice.form].bounds;
        let (x, y) = (2 * i, 2 * i + 1);
        if choice.slides_along() {
            rows.push(Row::new(&[(x, 1.0)], (-bounds.min.x - p.x).max(-reach)));
            rows.push(Row::new(&[(x, -1.0)], -reach));
            rows.push(Row::new(&[(length, 1.0), (x, -1.0)], p.x + bounds.max.x));
        } else {
            rows.push(Row::new(&[(length, 1.0)], p.x + bounds.max.x));
        }
        if choice.slides_across() {
            rows.push(Row::new(&[(y, 1.0)], (choice.low - p.y).max(-reach)));
            rows.push(Row::new(&[(y, -1.0)], (p.y - choice.high).max(-reach)));
        }
    }
    let mut visits = 0;
    for_pairs(model, layout, 2.83 * reach, |pair| {
        visits += 1;
        let least = model.gap + AIM - pair.apart;
        let (i, j, normal) = (pair.first, pair.second, pair.normal);
        // No two moves within reach can bring these together.
        if -least > 2.0 * reach * (normal.x.abs() + normal.y.abs()) {
            return;
        }
        let mut row = Row::new(&[(slack, 1.0)], least);
        for (item, sign) in [(i, -1.0), (j, 1.0)] {
            if item < n {
                let choice = model.items[item].options[layout.option[item]];
                if choice.slides_along() {
                    row.add(2 * item, sign * normal.x);
                }
                if choice.slides_across() {
                    row.add(2 * item + 1, sign * normal.y);
                }
            }
        }
        rows.push(row);
    });
    let (z, work) = shortest(&mut rows, 2 * n, end, deepest, 40 * n + 200);
    let Some(z) = z else {
        return (layout.clone(), work);
    };
    let mut next = layout.clone();
    for (i, p) in next.at.iter_mut().enumerate() {
        let choice = model.items[i].options[layout.option[i]];
        let low = -model.forms[choice.form].bounds.min.x;
        if choice.slides_along() {
            p.x = (p.x + z[2 * i]).max(low);
        }
        if choice.slides_across() {
            p.y = (p.y + z[2 * i + 1]).clamp(choice.low, choice.high);
        }
    }
    (next, work + visits)
}

/// Solves the programme for a layout with such an end: so many variables that move items, then the length and how much overlap
/// is still let be, which counts far more; in at most so many steps. None where no numbers come out; and the work.
pub(super) fn shortest(
    rows: &mut Vec<Row>,
    moves: usize,
    end: f64,
    deepest: f64,
    max_steps: usize,
) -> (Option<Vec<f64>>, u64) {
    let (length, slack) = (moves, moves + 1);
    rows.push(Row::new(&[(slack, 1.0)], 0.0));
    let mut z = vec![0.0; moves + 2];
    z[length] = end;
    z[slack] = (deepest + 2.0 * AIM).max(0.0);
    let mut cost = vec![0.0; moves + 2];
    cost[length] = 1.0;
    cost[slack] = 1e4;
    let work = minimise(&cost, rows, &mut z, max_steps);
    (z.iter().all(|v| v.is_finite()).then_some(z), work)
}

/// Calls `visit` for all pairs of parts of different items that are nearer than the gap and `margin`.
fn for_pairs(model: &Model, layout: &Layout, margin: f64, mut visit: impl FnMut(Pair)) {
    let n = layout.at.len();
    let place = |k: usize| {
        if k < n {
            (model.items[k].options[layout.option[k]].form, layout.at[k])
        } else {
            (model.fixed[k - n], Point { x: 0.0, y: 0.0 })
        }
    };
    let near = model.gap + margin;
    for i in 0..n {
        let (form, p) = place(i);
        let form = &model.forms[form];
        for j in i + 1..n + model.fixed.len() {
            let (other, q) = place(j);
            let other = &model.forms[other];
            let (first, second) = ((&form.bounds, &form.parts[..]), (&other.bounds, &other.parts[..]));
            near_parts(first, second, q - p, near, model.gap > 0.0, |_, _, Parting { apart, normal, .. }| {
                visit(Pair { first: i, second: j, normal, apart });
            });
        }
    }
}
