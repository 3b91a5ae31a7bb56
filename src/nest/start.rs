//! First layouts: one item after another, each as far back on the strip as it goes.

use super::board::{Board, Layout};
use super::model::Model;
use super::movable::Choice;
use super::random::Random;
use crate::geometry::Point;

/// Items end to end, beyond all keep-outs: long, but valid whatever the items are.
///
/// None where items held to one place along the strip do not lie there side by side.
pub(super) fn row(model: &Model) -> Option<Layout> {
    let mut layout =
        Layout { option: Vec::with_capacity(model.items.len()), at: Vec::with_capacity(model.items.len()) };
    let mut x = 0.0_f64;
    for &form in &model.fixed {
        x = x.max(model.forms[form].bounds.max.x + model.gap);
    }
    let mut held = Vec::new();
    let mut beside = 0.0_f64;
    for (i, item) in model.items.iter().enumerate() {
        let bounds = |o: usize| &model.forms[item.options[o].form].bounds;
        // Whatever may lie anywhere along the strip does; of what may not, the narrowest is taken.
        let free = |o: &usize| item.options[*o].along.is_none_or(|steps| !steps.single());
        let shortest =
            (0..item.options.len()).filter(free).min_by(|&a, &b| bounds(a).length().total_cmp(&bounds(b).length()));
        let narrowest =
            (0..item.options.len()).min_by(|&a, &b| bounds(a).width().total_cmp(&bounds(b).width())).unwrap_or(0);
        layout.option.push(shortest.unwrap_or(narrowest));
        layout.at.push(Point { x: 0.0, y: 0.0 });
        if shortest.is_none() {
            held.push(i);
        }
    }
    for &i in &held {
        let choice = model.items[i].options[layout.option[i]];
        let bounds = &model.forms[choice.form].bounds;
        let low = (beside - bounds.min.y).max(choice.low);
        let y = choice.across.map_or(low, |steps| steps.not_before(low));
        let at = Point { x: choice.along?.not_before(-bounds.min.x), y };
        if y > choice.high {
            return None;
        }
        beside = y + bounds.max.y + model.gap;
        x = x.max(at.x + bounds.max.x + model.gap);
        layout.at[i] = at;
    }
    for (i, item) in model.items.iter().enumerate().filter(|(i, _)| !held.contains(i)) {
        let choice = item.options[layout.option[i]];
        let bounds = &model.forms[choice.form].bounds;
        let at = choice.along.map_or(x - bounds.min.x, |steps| steps.not_before(x - bounds.min.x));
        layout.at[i] = Point { x: at, y: choice.low };
        x = at + bounds.max.x + model.gap;
    }
    (held.is_empty() || super::compact::holds(model, &layout)).then_some(layout)
}

/// Orders in which to place the items; the first few are fixed rules, the rest the same rules stirred by chance.
pub(super) fn order(model: &Model, number: usize, random: &mut Random) -> Vec<usize> {
    let sizes: Vec<f64> = model
        .items
        .iter()
        .map(|item| {
            let bounds = &model.forms[item.options[0].form].bounds;
            let size = match number % 3 {
                0 => item.area,
                1 => bounds.length() * bounds.length(),
                _ => bounds.width() * bounds.width(),
            };
            let stir = if number < 3 { 1.0 } else { 0.5 + random.share() };
            // Pinned items have the fewest places to go.
            if item.pinned { size * stir * 1e3 } else { size * stir }
        })
        .collect();
    let mut order: Vec<usize> = (0..sizes.len()).collect();
    order.sort_by(|&a, &b| sizes[b].total_cmp(&sizes[a]).then(a.cmp(&b)));
    order
}

/// Places the items in order, each where its far end lies furthest back; none where one found no place.
///
/// Places tried are the corners of no-fit polygons and their crossings with the edge of what the strip allows; the first free
/// ones slide back and sideways until they touch.
pub(super) fn constructed(model: &Model, order: &[usize]) -> Option<(Layout, u64)> {
    let mut board = Board::empty(model);
    let mut placed: Vec<usize> = (model.items.len()..board.total()).collect();
    for &i in order {
        let mut best: Option<((f64, f64), usize, Point)> = None;
        for (option, choice) in model.items[i].options.iter().enumerate() {
            let end = model.forms[choice.form].bounds.max.x;
            for p in places(&mut board, i, choice, &placed) {
                let worth = (p.x + end, p.y);
                if best.is_none_or(|(b, _, _)| worth < b) {
                    best = Some((worth, option, p));
                }
            }
        }
        let (_, option, p) = best?;
        board.put(i, option, p);
        placed.push(i);
    }
    Some((board.layout.clone(), board.work))
}

/// The first few free places of a form, slid back.
fn places(board: &mut Board, i: usize, choice: &Choice, placed: &[usize]) -> Vec<Point> {
    const TRIED: usize = 3;
    let model = board.model;
    let low = board.x_range(choice).0;
    let mut corners = vec![Point { x: low, y: choice.low }, Point { x: low, y: choice.high }];
    let mut walls: Vec<(Point, Point)> = Vec::new();
    for &j in placed {
        let at = board.place_of(j);
        // As moves of this form: the pair is looked up with the placed item first.
        for (from, to) in model.sides(board.form(j), choice.form) {
            walls.push((from + at, to + at));
        }
    }
    for &(a, b) in &walls {
        corners.push(a);
        for y in [choice.low, choice.high] {
            if (a.y - y) * (b.y - y) < 0.0 {
                let x = a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y);
                corners.push(Point { x, y });
            }
        }
        if (a.x - low) * (b.x - low) < 0.0 {
            let y = a.y + (b.y - a.y) * (low - a.x) / (b.x - a.x);
            corners.push(Point { x: low, y });
        }
    }
    if choice.along.is_some() || choice.across.is_some() {
        corners = on_lines(choice, low, &walls, &corners);
    }
    let slop = 1e-9 * (1.0 + model.width);
    corners.retain(|p| p.x >= low - slop && p.y >= choice.low - slop && p.y <= choice.high + slop);
    for p in &mut corners {
        *p = Point { x: p.x.max(low), y: p.y.clamp(choice.low, choice.high) };
    }
    corners.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let touch = touching(board, choice.form);
    let mut found = Vec::new();
    for p in corners {
        if board.overlap(i, choice.form, p, touch) <= touch {
            found.push(slid(board, i, choice, &walls, p));
            if found.len() == TRIED {
                break;
            }
        }
    }
    found
}

/// Places on the lines of a choice: next to the corners, and where walls cross the lines.
fn on_lines(choice: &Choice, low: f64, walls: &[(Point, Point)], corners: &[Point]) -> Vec<Point> {
    // A wall that crosses more lines than this is tried at the first so many.
    const MOST: usize = 64;
    let mut found = Vec::new();
    for p in corners {
        let xs = choice.along.map_or(vec![p.x], |steps| vec![steps.not_after(p.x), steps.not_before(p.x)]);
        let ys = choice.across.map_or(vec![p.y], |steps| vec![steps.not_after(p.y), steps.not_before(p.y)]);
        found.extend(xs.iter().flat_map(|&x| ys.iter().map(move |&y| Point { x, y })));
    }
    for &(a, b) in walls {
        if let Some(steps) = choice.across {
            for y in steps.between(a.y.min(b.y).max(choice.low), a.y.max(b.y).min(choice.high)).take(MOST) {
                let x = a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y);
                let xs = choice.along.map_or(vec![x], |steps| vec![steps.not_after(x), steps.not_before(x)]);
                found.extend(xs.into_iter().map(|x| Point { x, y }));
            }
        } else if let Some(steps) = choice.along {
            for x in steps.between(a.x.min(b.x).max(low), a.x.max(b.x)).take(MOST) {
                found.push(Point { x, y: a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x) });
            }
        }
    }
    found.retain(|p| p.x.is_finite() && p.y.is_finite());
    found
}

/// Overlap up to this is touching: rounding in the no-fit polygons.
fn touching(board: &Board, form: usize) -> f64 {
    let bounds = &board.model.forms[form].bounds;
    3e-8 * (bounds.length() + bounds.width() + board.model.width)
}

fn slid(board: &mut Board, i: usize, choice: &Choice, walls: &[(Point, Point)], from: Point) -> Point {
    let low = board.x_range(choice).0;
    let touch = touching(board, choice.form);
    let mut p = from;
    for turn in 0..8 {
        let (way, room) = if turn % 2 == 0 {
            (Point { x: -1.0, y: 0.0 }, if choice.slides_along() { p.x - low } else { 0.0 })
        } else {
            (Point { x: 0.0, y: -1.0 }, if choice.slides_across() { p.y - choice.low } else { 0.0 })
        };
        let step =
            walls.iter().filter_map(|&(a, b)| entered(p, way, a, b)).filter(|&t| t > -touch).fold(room, f64::min);
        let q = p + way * step.max(0.0);
        if step <= touch || board.overlap(i, choice.form, q, touch) > touch {
            if turn > 0 {
                break;
            }
            continue;
        }
        p = q;
    }
    p
}

/// How far along `way` from `p` the side a-b is entered from outside (its inside is to the left).
fn entered(p: Point, way: Point, a: Point, b: Point) -> Option<f64> {
    let side = b - a;
    let facing = side.x * way.y - side.y * way.x;
    if facing <= 0.0 {
        return None;
    }
    let to = a - p;
    let t = (to.x * side.y - to.y * side.x) / -facing;
    let along = (to.x * way.y - to.y * way.x) / -facing;
    (-1e-9..=1.0 + 1e-9).contains(&along).then_some(t)
}
