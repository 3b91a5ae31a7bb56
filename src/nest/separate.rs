//! Guided local search on a strip of fixed length: items may overlap and are moved, one at a time, until none does.

use super::board::{Board, Layout};
use super::movable::{Choice, Steps};
use super::random::Random;
use super::stop::Gate;
use crate::geometry::Point;

/// How long to try.
#[derive(Debug, Clone, Copy)]
pub(super) struct Patience {
    /// Passes over all overlapping items without any gain before a strike.
    pub(super) passes: usize,
    /// Strikes before giving up.
    pub(super) strikes: usize,
}

/// How many places are tried for every move.
#[derive(Debug, Clone, Copy)]
pub(super) struct Places {
    /// Anywhere on the strip.
    pub(super) anywhere: usize,
    /// Around where the item lies.
    pub(super) near: usize,
    /// At corners of no-fit polygons.
    pub(super) corners: usize,
}

/// Moves overlapping items until none overlaps or patience ends: the layout with the least overlap, and how much; 0 where
/// it is no more than touching.
pub(super) fn separate(
    board: &mut Board,
    random: &mut Random,
    gate: &Gate,
    patience: Patience,
    places: Places,
) -> (Layout, f64) {
    let touching = 1e-9 * (board.model.width + board.length);
    let mut best = (board.total_depth(), board.layout.clone());
    let (mut items, mut scratch) = (Vec::with_capacity(board.items()), Scratch::default());
    for _ in 0..patience.strikes {
        let mut passes = 0;
        while passes < patience.passes {
            if best.0 <= touching {
                return told(best, touching);
            }
            items.clear();
            items.extend((0..board.items()).filter(|&i| board.deepest(i) > 0.0));
            random.shuffle(&mut items);
            for &i in &items {
                if board.deepest(i) > 0.0 {
                    improve(board, random, i, places, &mut scratch);
                }
            }
            let total = board.total_depth();
            passes = if total < best.0 * 0.98 { 0 } else { passes + 1 };
            if total < best.0 {
                best.0 = total;
                best.1.clone_from(&board.layout);
            }
            board.reweigh();
            if gate.over(board.work) {
                return told(best, touching);
            }
        }
        board.load(&best.1, board.length);
    }
    told(best, touching)
}

fn told((overlap, layout): (f64, Layout), touching: f64) -> (Layout, f64) {
    (layout, if overlap <= touching { 0.0 } else { overlap })
}

/// A place tried: weighted overlap, option, place.
type Tried = (f64, usize, Point);

/// How many of the places tried are worth walking downhill from.
const KEPT: usize = 3;

/// Kept so that a move needs no new memory.
#[derive(Default)]
struct Scratch {
    /// The best places, the best first.
    kept: Vec<Tried>,
    /// Overlaps of one place: how deep, weighted, and the way out.
    overlaps: Vec<(f64, Point)>,
}

/// Moves one item to the best of many places tried, if it beats where it lies.
fn improve(board: &mut Board, random: &mut Random, i: usize, places: Places, scratch: &mut Scratch) {
    let now = board.weighted(i);
    let Scratch { kept, overlaps } = scratch;
    sample(board, random, i, places, kept);
    let here = (now, board.layout.option[i], board.layout.at[i]);
    // All are settled roughly, then the best finely.
    let mut best = settled(board, i, here, TUNING.rough, overlaps);
    for &tried in kept.iter() {
        if best.0 <= 0.0 {
            break;
        }
        let found = settled(board, i, tried, TUNING.rough, overlaps);
        if found.0 < best.0 {
            best = found;
        }
    }
    if best.0 > 0.0 {
        best = settled(board, i, best, TUNING.fine, overlaps);
    }
    if best.0 > 0.0 {
        best = descended(board, random, i, best);
    }
    if best.0 < now {
        board.put(i, best.1, best.2);
    }
}

fn sample(board: &mut Board, random: &mut Random, i: usize, places: Places, kept: &mut Vec<Tried>) {
    let Places { anywhere, near, corners } = places;
    let model = board.model;
    let options = &model.items[i].options;
    let at = board.layout.at[i];
    kept.clear();
    for k in 0..anywhere + near + corners {
        let option = random.below(options.len());
        let choice = &options[option];
        let p = if k < anywhere {
            let (low, high) = board.x_range(choice);
            board.inside(choice, Point { x: random.between(low, high), y: random.between(choice.low, choice.high) })
        } else if k < anywhere + near {
            let bounds = &model.forms[choice.form].bounds;
            let p = Point {
                x: at.x + bounds.length() * random.between(-0.5, 0.5),
                y: at.y + bounds.width() * random.between(-0.5, 0.5),
            };
            board.inside(choice, p)
        } else {
            match beside_another(board, random, i, choice) {
                Some(p) => p,
                None => continue,
            }
        };
        let limit = if kept.len() < KEPT { f64::INFINITY } else { kept[KEPT - 1].0 };
        let value = board.overlap(i, choice.form, p, limit);
        if value < limit {
            let place = kept.partition_point(|tried| tried.0 <= value);
            kept.insert(place, (value, option, p));
            kept.truncate(KEPT);
        }
    }
}

/// A place where the item touches another with two corners or a corner in a corner: a corner of their no-fit polygon.
fn beside_another(board: &Board, random: &mut Random, i: usize, choice: &Choice) -> Option<Point> {
    let j = random.below(board.total());
    if j == i {
        return None;
    }
    let relation = board.model.relation(choice.form, board.form(j));
    let sides = board.model.nofit(relation).sides();
    let side = sides.get(random.below(sides.len()))?;
    let p = board.place_of(j) - relation.back(side.from);
    let q = board.inside(choice, p);
    let on_lines = choice.along.is_some() || choice.across.is_some();
    (on_lines || q == p).then_some(q)
}

/// Moves an item out of single overlaps, or of two at once, as long as that lessens the whole; at most so many times.
fn settled(board: &mut Board, i: usize, from: Tried, rounds: usize, found: &mut Vec<(f64, Point)>) -> Tried {
    let (mut value, option, mut p) = from;
    let choice = &board.model.items[i].options[option];
    for _ in 0..rounds {
        value = board.overlaps(i, choice.form, p, found);
        if found.is_empty() {
            return (0.0, option, p);
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut best = (value, p);
        for way in ways(found) {
            let q = board.inside(choice, p + way);
            let tried = board.overlap(i, choice.form, q, best.0);
            if tried < best.0 {
                best = (tried, q);
            }
        }
        if best.0 >= value * (1.0 - 1e-3) {
            (value, p) = best;
            break;
        }
        (value, p) = best;
    }
    (value, option, p)
}

/// Walks downhill by steps that shrink.
fn descended(board: &mut Board, random: &mut Random, i: usize, from: Tried) -> Tried {
    let (mut value, option, mut p) = from;
    let choice = &board.model.items[i].options[option];
    let bounds = &board.model.forms[choice.form].bounds;
    let size = bounds.length().min(bounds.width());
    let mut step = size * TUNING.first_step;
    let last = size * TUNING.last_step;
    while step > last {
        // Never less than from one line to the next.
        let least = |steps: Option<Steps>| step.max(steps.map_or(0.0, Steps::every));
        let (x, y) = (least(choice.along), least(choice.across));
        let way = match random.below(if choice.high > choice.low { 4 } else { 1 }) {
            0 => Point { x, y: 0.0 },
            1 => Point { x: 0.0, y },
            2 => Point { x, y },
            _ => Point { x, y: -y },
        };
        let mut better = false;
        for q in [p + way, p - way] {
            let q = board.inside(choice, q);
            let tried = board.overlap(i, choice.form, q, value);
            if tried < value {
                (value, p) = (tried, q);
                better = true;
                break;
            }
        }
        if value <= 0.0 {
            break;
        }
        step *= if better { 1.1 } else { 0.5 };
    }
    (value, option, p)
}

/// Moves worth trying against a list of overlaps, the heaviest first: out of one of them, or of two at once.
fn ways(found: &[(f64, Point)]) -> impl Iterator<Item = Point> {
    const MOST: usize = 4;
    const HAIR: f64 = 1.0 + 1e-7;
    let few = &found[..found.len().min(MOST)];
    let single = few.iter().map(|f| f.1 * HAIR);
    let double = (1..few.len()).flat_map(move |b| (0..b).filter_map(move |a| both(few[a].1, few[b].1)));
    single.chain(double)
}

/// The move that ends two overlaps at once, each by its own depth along its own way out.
fn both(u: Point, v: Point) -> Option<Point> {
    let (uu, vv) = (u.x * u.x + u.y * u.y, v.x * v.x + v.y * v.y);
    let turn = u.x * v.y - u.y * v.x;
    let square = turn * turn;
    if square <= 1e-6 * uu * vv {
        return None;
    }
    // w.u = uu and w.v = vv.
    let w = Point { x: (uu * v.y - vv * u.y) / turn, y: (vv * u.x - uu * v.x) / turn };
    Some(w * (1.0 + 1e-7))
}

/// The numbers of the local search; all found by measuring.
struct Tuning {
    /// Most moves out of overlaps, for every place tried and for the best of them.
    rough: usize,
    fine: usize,
    /// First and last step of the descent, as shares of the item's lesser extent.
    first_step: f64,
    last_step: f64,
}

const TUNING: Tuning = Tuning { rough: 2, fine: 6, first_step: 0.05, last_step: 0.002 };
