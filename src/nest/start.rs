//! First layouts: one item after another, each as far back on the strip as it goes.

use super::board::{Board, Layout};
use super::model::{Choice, Model};
use super::random::Random;
use crate::geometry::Point;

/// Items end to end, beyond all keep-outs: long, but valid whatever the items are.
pub(super) fn row(model: &Model) -> Layout {
    let mut x = 0.0_f64;
    for &form in &model.fixed {
        x = x.max(model.forms[form].bounds.max.x + model.gap);
    }
    let mut layout = Layout { option: vec![0; model.items.len()], at: Vec::with_capacity(model.items.len()) };
    for (i, item) in model.items.iter().enumerate() {
        let shortest = (0..item.options.len()).min_by(|&a, &b| {
            let length = |o: usize| model.forms[item.options[o].form].bounds.length();
            length(a).total_cmp(&length(b))
        });
        let option = shortest.unwrap_or(0);
        let choice = item.options[option];
        let bounds = &model.forms[choice.form].bounds;
        layout.option[i] = option;
        layout.at.push(Point { x: x - bounds.min.x, y: choice.low });
        x += bounds.length() + model.gap;
    }
    layout
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
    let low = board.x_range(choice.form).0;
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

/// Overlap up to this is touching: rounding in the no-fit polygons.
fn touching(board: &Board, form: usize) -> f64 {
    let bounds = &board.model.forms[form].bounds;
    3e-8 * (bounds.length() + bounds.width() + board.model.width)
}

fn slid(board: &mut Board, i: usize, choice: &Choice, walls: &[(Point, Point)], from: Point) -> Point {
    let low = board.x_range(choice.form).0;
    let touch = touching(board, choice.form);
    let mut p = from;
    for turn in 0..8 {
        let (way, room) = if turn % 2 == 0 {
            (Point { x: -1.0, y: 0.0 }, p.x - low)
        } else {
            (Point { x: 0.0, y: -1.0 }, p.y - choice.low)
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
