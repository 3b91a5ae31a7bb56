//! One start: construct, explore shorter and shorter strips, then compress.

use super::board::{Board, Layout, length_of};
use super::compact::{Task, compacted};
use super::model::Model;
use super::random::Random;
use super::separate::{Patience, Separated, separate};
use super::start::{constructed, order, row};
use super::stop::Watch;
use std::cell::Cell;

/// The share of the budget after which exploring gives way to compressing.
const EXPLORE: f64 = 0.8;

/// What all starts share.
pub(super) struct Task0<'a> {
    pub(super) model: &'a Model,
    pub(super) watch: &'a Watch<'a>,
    pub(super) bound: f64,
    /// Work per start; none where only time counts.
    pub(super) budget: Option<u64>,
    pub(super) seed: u64,
}

/// How a start ended.
#[derive(Clone)]
pub(super) struct Found {
    pub(super) layout: Layout,
    pub(super) length: f64,
    pub(super) work: u64,
    pub(super) bound_met: bool,
}

/// Says when a start is out of budget, out of time or called off.
pub(super) struct Gate<'a> {
    watch: &'a Watch<'a>,
    budget: Option<u64>,
    /// Work done off the board.
    extra: Cell<u64>,
    /// The share of the budget at which the present phase ends.
    until: Cell<f64>,
}

impl Gate<'_> {
    /// Whether the present phase must end, the board having done so much work.
    pub(super) fn over(&self, work: u64) -> bool {
        self.watch.over() || self.share(work) >= self.until.get()
    }

    fn share(&self, work: u64) -> f64 {
        match self.budget {
            Some(budget) => (work + self.extra.get()) as f64 / budget.max(1) as f64,
            None => self.watch.time_share().unwrap_or(1.0),
        }
    }

    fn spend(&self, work: u64) {
        self.extra.set(self.extra.get() + work);
    }
}

/// Runs a start to its end.
pub(super) fn run(task: &Task0, start: usize) -> Found {
    let mut random = Random::new(task.seed, start);
    let gate = Gate { watch: task.watch, budget: task.budget, extra: Cell::new(0), until: Cell::new(EXPLORE) };
    let row = row(task.model);
    let mut search = Search { task, start, gate: &gate, length: length_of(task.model, &row), best: row, spent: 0 };
    search.construct(&mut random);
    if !search.done(0) {
        let mut board = Board::new(task.model, search.best.clone(), search.length);
        search.explore(&mut board, &mut random);
        gate.until.set(1.0);
        search.compress(&mut board, &mut random);
        search.spent = board.work;
    }
    Found {
        bound_met: search.bound_met(),
        length: search.length,
        layout: search.best,
        work: search.spent + gate.extra.get(),
    }
}

struct Search<'a> {
    task: &'a Task0<'a>,
    start: usize,
    gate: &'a Gate<'a>,
    best: Layout,
    length: f64,
    spent: u64,
}

impl Search<'_> {
    fn bound_met(&self) -> bool {
        self.length <= self.task.bound * (1.0 + 1e-7)
    }

    fn done(&self, work: u64) -> bool {
        self.bound_met() || self.gate.over(work)
    }

    /// Takes a layout whose exact form is shorter than the best so far.
    fn take(&mut self, layout: &Layout, longest: f64, work: u64) -> bool {
        let task = Task { longest, rounds: 12, reach: self.task.model.width * 0.02, only_part: false };
        let (found, done) = compacted(self.task.model, layout, &task);
        self.gate.spend(done / 4);
        let Some((layout, length)) = found else {
            return false;
        };
        if length < self.length {
            self.best = layout;
            self.length = length;
            self.task.watch.tell(self.start, self.gate.share(work), length);
            return true;
        }
        false
    }

    fn construct(&mut self, random: &mut Random) {
        let orders = match self.task.model.items.len() {
            0..=30 => 6,
            31..=60 => 3,
            _ => 1,
        };
        let mut found: Option<(f64, Layout)> = None;
        for number in 0..orders {
            if self.gate.watch.over() {
                return;
            }
            let order = order(self.task.model, number + self.start * orders, random);
            if let Some((layout, work)) = constructed(self.task.model, &order) {
                self.gate.spend(work);
                let length = length_of(self.task.model, &layout);
                if found.as_ref().is_none_or(|f| length < f.0) {
                    found = Some((length, layout));
                }
            }
        }
        if let Some((_, layout)) = found {
            self.take(&layout, self.length, 0);
        }
    }

    /// Shrinks the strip a little after every success; after a failure goes back to a layout with little overlap and disturbs it.
    fn explore(&mut self, board: &mut Board, random: &mut Random) {
        const SHRINK: f64 = 0.001;
        let patience = Patience { passes: 60, strikes: 2 };
        let mut pool: Vec<(f64, Layout)> = Vec::new();
        let mut target = self.shrunk(SHRINK);
        self.shrink_board(board, random, target);
        while !self.done(board.work) {
            self.task.watch.tell(self.start, self.gate.share(board.work), self.length);
            match separate(board, random, self.gate, patience) {
                Separated::Done => {
                    let layout = board.layout.clone();
                    if self.take(&layout, target, board.work) {
                        pool.clear();
                        target = self.shrunk(SHRINK);
                        self.shrink_board(board, random, target);
                    } else {
                        disturb(board, random);
                    }
                }
                Separated::Stuck(layout, overlap) => {
                    if overlap < 0.01 * board.model.width && self.take(&layout, target, board.work) {
                        pool.clear();
                        target = self.shrunk(SHRINK);
                        self.shrink_board(board, random, target);
                        continue;
                    }
                    let place = pool.partition_point(|p| p.0 <= overlap);
                    pool.insert(place, (overlap, layout));
                    pool.truncate(12);
                    // The lower the overlap, the likelier.
                    let pick = random.share() * random.share();
                    let chosen = pool[(pick * pool.len() as f64) as usize].1.clone();
                    board.load(&chosen);
                    disturb(board, random);
                }
            }
        }
    }

    /// Small and ever smaller cuts off the best layout, each tried anew from it.
    fn compress(&mut self, board: &mut Board, random: &mut Random) {
        let patience = Patience { passes: 40, strikes: 3 };
        while !self.done(board.work) {
            let share = ((self.gate.share(board.work) - EXPLORE) / (1.0 - EXPLORE)).clamp(0.0, 1.0);
            let shrink = 0.0005 + (0.00001 - 0.0005) * share;
            let target = self.shrunk(shrink);
            self.shrink_board(board, random, target);
            match separate(board, random, self.gate, patience) {
                Separated::Done => {
                    let layout = board.layout.clone();
                    self.take(&layout, target, board.work);
                }
                Separated::Stuck(layout, overlap) => {
                    if overlap < 0.01 * board.model.width {
                        self.take(&layout, target, board.work);
                    }
                }
            }
            self.task.watch.tell(self.start, self.gate.share(board.work), self.length);
        }
    }

    fn shrunk(&self, by: f64) -> f64 {
        (self.length * (1.0 - by)).max(self.task.bound)
    }

    /// The best layout, cut somewhere and pushed together to the target length.
    fn shrink_board(&self, board: &mut Board, random: &mut Random, target: f64) {
        board.length = self.length;
        board.load(&self.best);
        let cut = random.between(0.0, self.length);
        board.resize(target, cut);
    }
}

/// Swaps two large items of different kinds.
fn disturb(board: &mut Board, random: &mut Random) {
    let model = board.model;
    let mut large: Vec<usize> = (0..board.items()).collect();
    large.sort_by(|&a, &b| model.items[b].area.total_cmp(&model.items[a].area).then(a.cmp(&b)));
    let total: f64 = large.iter().map(|&i| model.items[i].area).sum();
    // Those that make up most of the area.
    let mut sum = 0.0;
    let count = large
        .iter()
        .take_while(|&&i| {
            let more = sum < 0.75 * total;
            sum += model.items[i].area;
            more
        })
        .count();
    large.truncate(count.max(2));
    for _ in 0..20 {
        let (a, b) = (large[random.below(large.len())], large[random.below(large.len())]);
        if model.items[a].kind != model.items[b].kind {
            swap(board, a, b);
            return;
        }
    }
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
