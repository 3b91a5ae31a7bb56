//! Swaps of two items, from which the search sets out again after a failure.

use super::board::Board;
use super::model::Model;
use super::parting::close;
use super::random::Random;
use crate::geometry::Point;

/// How often to look for two items to swap.
const TRIES: usize = 20;

/// Swaps two items of different kinds that lie beside each other; none where all that do are of one kind.
pub(super) fn swap_neighbours(board: &mut Board, random: &mut Random) {
    for _ in 0..TRIES {
        let a = random.below(board.items());
        let others = neighbours(board, a);
        if !others.is_empty() {
            swap(board, a, others[random.below(others.len())]);
            return;
        }
    }
}

/// Swaps two of the large items that are of different kinds, wherever they lie.
pub(super) fn swap_large(board: &mut Board, random: &mut Random, large: &[usize]) {
    for _ in 0..TRIES {
        let (a, b) = (large[random.below(large.len())], large[random.below(large.len())]);
        if board.model.items[a].kind != board.model.items[b].kind {
            swap(board, a, b);
            return;
        }
    }
}

/// Items of another kind than `a` that lie beside it.
fn neighbours(board: &Board, a: usize) -> Vec<usize> {
    /// Of the width: nearer boxes lie beside each other.
    const NEAR: f64 = 0.01;
    let items = &board.model.items;
    let (here, near) = (Point { x: 0.0, y: 0.0 }, board.model.width * NEAR);
    (0..items.len())
        .filter(|&b| items[b].kind != items[a].kind && close(&board.box_of(a), &board.box_of(b), here, near))
        .collect()
}

/// The largest items, which make up most of the area.
pub(super) fn large(model: &Model) -> Vec<usize> {
    const MOST: f64 = 0.75;
    let mut large: Vec<usize> = (0..model.items.len()).collect();
    large.sort_by(|&a, &b| model.items[b].area.total_cmp(&model.items[a].area).then(a.cmp(&b)));
    let total: f64 = large.iter().map(|&i| model.items[i].area).sum();
    let mut sum = 0.0;
    let count = large
        .iter()
        .take_while(|&&i| {
            let more = sum < MOST * total;
            sum += model.items[i].area;
            more
        })
        .count();
    large.truncate(count.max(2));
    large
}

/// Puts the middles of two items where the other's was.
fn swap(board: &mut Board, a: usize, b: usize) {
    let middle = |board: &Board, i: usize| {
        let bounds = board.box_of(i);
        (bounds.min + bounds.max) / 2.0
    };
    let (at_a, at_b) = (middle(board, a), middle(board, b));
    for (i, to) in [(a, at_b), (b, at_a)] {
        let option = board.layout.option[i];
        let choice = board.model.items[i].options[option];
        let p = board.layout.at[i] + (to - middle(board, i));
        let p = board.inside(&choice, p);
        board.put(i, option, p);
    }
}
