//! The search: starts construct, explore shorter and shorter strips, then compress, and meet between the phases.

use super::board::{Board, Layout, length_of};
use super::compact::{self, compacted};
use super::disturb::{large, swap_large, swap_neighbours};
use super::is_little;
use super::manner::{Manner, SHRINK, patience};
use super::model::Model;
use super::random::Random;
use super::separate::separate;
use super::shake::shaken;
use super::start::{constructed, order};
use super::stop::{Gate, Watch};
use super::turning::{Turned, turned};
use rayon::prelude::*;

/// What all starts share.
pub(super) struct Task<'a> {
    pub(super) model: &'a Model,
    pub(super) watch: &'a Watch<'a>,
    pub(super) bound: f64,
    /// A length that is short enough; 0 where none is.
    pub(super) enough: f64,
    /// Work per start; none where only time counts.
    pub(super) budget: Option<u64>,
    pub(super) seed: u64,
}

impl Task<'_> {
    /// Whether a length is the proved least.
    pub(super) fn at_bound(&self, length: f64) -> bool {
        length <= self.bound * (1.0 + 1e-7)
    }

    /// Whether there is no work beyond a first look.
    fn only_constructs(&self) -> bool {
        self.budget == Some(0)
    }

    /// Whether nothing shorter is to be looked for.
    pub(super) fn met(&self, length: f64) -> bool {
        self.at_bound(length) || length <= self.enough
    }
}

/// Runs all starts from a first layout to their end and gives the best layout, turned at last where items may be, and the work of all.
///
/// Each start goes its own way within a phase; between phases every start takes up the best layout of all. What a start does
/// depends on nothing but the seed, its number and those layouts, so the number of threads changes nothing.
pub(super) fn run(task: &Task, row: &Layout, starts: usize) -> (Turned, u64) {
    let mut all: Vec<Start> = (0..starts).map(|number| Start::new(task, row, number)).collect();
    let share = if task.model.turns() { 1.0 - TURNING } else { 1.0 };
    for (phase, until) in PHASES {
        all.par_iter_mut().for_each(|start| start.run(phase, until * share));
        let mut best = 0;
        for k in 1..starts {
            if all[k].length < all[best].length {
                best = k;
            }
        }
        let (layout, length) = (all[best].best.clone(), all[best].length);
        for start in &mut all {
            if start.length > length {
                start.best.clone_from(&layout);
                start.length = length;
            }
        }
    }
    let work: u64 = all.iter().map(|start| start.work).sum();
    let aside: Vec<Turned> = all.iter_mut().filter_map(|start| start.turned.take()).collect();
    let first = all.swap_remove(0);
    let plain = Turned::plain(&first.best, first.length);
    if task.met(first.length) || task.only_constructs() {
        return (plain, work);
    }
    let left = task.budget.map_or(u64::MAX, |budget| (budget as f64 * (1.0 - share) * starts as f64) as u64);
    let stop = |done: u64| task.watch.over() || done / STEPS > left;
    let (own, turning) = turned(task.model, plain, &stop);
    let best = aside.into_iter().fold(own, |a, b| if b.length < a.length { b } else { a });
    let mut random = first.random;
    let (found, shaking) = shaken(task.model, best, LAST_SHAKES, &mut random, &|done| stop(turning + done));
    (found, work + (turning + shaking) / STEPS)
}

#[derive(Debug, Clone, Copy)]
enum Phase {
    Construct,
    Explore,
    Compress,
}

/// The phases and the share of the budget at which each ends.
const PHASES: [(Phase, f64); 3] = [(Phase::Construct, 0.4), (Phase::Explore, EXPLORED), (Phase::Compress, 1.0)];

/// The share of the budget after which exploring gives way to compressing.
const EXPLORED: f64 = 0.8;

/// The share that is left for turning, where something may be turned.
const TURNING: f64 = 0.1;

/// Most layouts with some overlap left that are kept to start from again.
const POOL: usize = 200;

/// Steps of the finishing programmes that count as much as the evaluation of a pair. They take less time than that by now (see
/// DEVELOPERS.md), but patience and efforts were found with this.
const STEPS: u64 = 4;

/// What has been turned is shaken until so many times bring nothing; the best at last, until so many do.
const SHAKES: usize = 3;
const LAST_SHAKES: usize = 30;

/// The end of a descent is turned too if it is no longer than so many times the best, and as long as turning has not taken
/// more than this share of the work.
const WORTH_TURNING: f64 = 1.06;
const TURNED_BESIDE: f64 = 0.5;

/// Furthest that one programme of the exact finish may move an item, as a share of the width: wider, and outlines of many
/// sides take most of the time; narrower, and some shorten less.
const REACH: f64 = 0.01;

/// Compressing ends after so many failures on end.
const VAIN_CUTS: usize = 200;

struct Start<'a> {
    task: &'a Task<'a>,
    number: usize,
    random: Random,
    best: Layout,
    length: f64,
    /// The shortest of what came of turning the ends of descents.
    turned: Option<Turned>,
    work: u64,
}

impl<'a> Start<'a> {
    fn new(task: &'a Task<'a>, row: &Layout, number: usize) -> Self {
        let best = row.clone();
        Self {
            task,
            number,
            random: Random::new(task.seed, number),
            length: length_of(task.model, &best),
            best,
            turned: None,
            work: 0,
        }
    }

    fn run(&mut self, phase: Phase, until: f64) {
        let gate = Gate::new(self.task.watch, self.task.budget, self.work, until);
        let mut random = self.random.clone();
        let mut search = Search {
            task: self.task,
            start: self.number,
            gate: &gate,
            best: self.best.clone(),
            length: self.length,
            present: self.best.clone(),
            reached: self.length,
            began: 0,
            gained: self.work,
            turned: self.turned.take(),
            turning: 0,
        };
        let mut on_board = 0;
        if matches!(phase, Phase::Construct) {
            search.construct(&mut random);
        } else if !search.done(0) {
            let mut board = Board::new(self.task.model, search.best.clone(), search.length);
            match phase {
                Phase::Compress => {
                    search.compress(&mut board, &mut random);
                    if !search.done(board.work) && search.begin_anew(board.work, &mut random) {
                        search.explore(&mut board, &mut random);
                    }
                }
                _ => search.explore(&mut board, &mut random),
            }
            on_board = board.work;
        }
        self.best = search.best;
        self.length = search.length;
        self.turned = search.turned;
        self.random = random;
        self.work = gate.spent(on_board);
    }
}

struct Search<'a> {
    task: &'a Task<'a>,
    start: usize,
    gate: &'a Gate<'a>,
    best: Layout,
    length: f64,
    /// The best layout of the present descent, and its length.
    present: Layout,
    reached: f64,
    /// The work after which the present descent began, and after which it last got shorter.
    began: u64,
    gained: u64,
    /// The shortest of what came of turning the ends of descents, and the work that turning them took.
    turned: Option<Turned>,
    turning: u64,
}

impl Search<'_> {
    fn done(&self, work: u64) -> bool {
        self.task.met(self.length) || self.gate.over(work)
    }

    /// Takes a layout whose exact form is shorter than the best so far.
    fn take(&mut self, layout: &Layout, longest: f64, work: u64) -> bool {
        let task = compact::Task { longest, rounds: 12, reach: self.task.model.width * REACH };
        let (found, done) = compacted(self.task.model, layout, &task, &|| self.task.watch.over());
        self.gate.spend(done / STEPS);
        let Some((layout, length)) = found else {
            return false;
        };
        if length >= self.reached {
            return false;
        }
        self.gained = self.gate.spent(work);
        self.reached = length;
        self.present = layout;
        if length < self.length {
            self.length = length;
            self.best.clone_from(&self.present);
            self.task.watch.tell(self.start, self.gate.share(work), length);
        }
        true
    }

    /// The same for a layout whose overlap may still be parted exactly.
    fn take_if_slight(&mut self, layout: &Layout, overlap: f64, longest: f64, board: &Board) -> bool {
        overlap < 0.01 * board.model.width && self.take(layout, longest, board.work)
    }

    fn construct(&mut self, random: &mut Random) {
        let orders = match self.task.model.items.len() {
            // A first look, or little more: each of the rules once.
            _ if is_little(self.task.budget) => 3,
            0..=30 => 6,
            31..=60 => 3,
            _ => 1,
        };
        let mut found: Option<(f64, Layout)> = None;
        for number in 0..orders {
            if self.task.watch.over() {
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
            self.take(&layout, self.reached, 0);
        }
    }

    /// Shrinks the strip a little after every success; after a failure cuts the best elsewhere, or goes back to a layout with
    /// little overlap, and swaps two items. Once that has gone on in vain for long, begins anew elsewhere.
    fn explore(&mut self, board: &mut Board, random: &mut Random) {
        let patience = patience(board.items(), 80 + 2 * board.items(), 2);
        let large = large(self.task.model);
        let mut pool: Vec<(f64, Layout)> = Vec::new();
        let manner = Manner::of(self.task.model);
        let (mut vain, mut shortest) = (0, self.shortest());
        let mut failures = 0;
        let mut cut = manner.first_cut;
        let mut target = self.shrunk(cut);
        self.shrink_board(board, random, target);
        while !self.done(board.work) {
            self.task.watch.tell(self.start, self.gate.share(board.work), self.length);
            let (layout, overlap) = separate(board, random, self.gate, patience, manner.places);
            let mut gained = self.take_if_slight(&layout, overlap, target, board);
            if !gained && failures > manner.failures && self.stalled(board.work, manner.stall) {
                self.turn_present(board.work, random);
                vain = if self.shortest() < shortest { 0 } else { vain + 1 };
                shortest = self.shortest();
                if vain == manner.descents {
                    break;
                }
                if self.begin_anew(board.work, random) {
                    gained = true;
                    cut = manner.first_cut;
                }
            }
            if gained {
                pool.clear();
                failures = 0;
                target = self.shrunk(cut);
                self.shrink_board(board, random, target);
                continue;
            }
            failures += 1;
            if cut > SHRINK {
                cut = (cut / 2.0).max(SHRINK);
                target = self.shrunk(cut);
            }
            let place = pool.partition_point(|p| p.0 <= overlap);
            pool.insert(place, (overlap, layout));
            pool.truncate(POOL);
            let way = random.below(3);
            if way == 0 {
                self.shrink_board(board, random, target);
            } else {
                // The lower the overlap, the likelier.
                let pick = random.share() * random.share();
                board.load(&pool[(pick * pool.len() as f64) as usize].1, target);
                board.forget();
            }
            if way == 2 {
                swap_large(board, random, &large);
            } else {
                swap_neighbours(board, random);
            }
        }
    }

    /// Small and ever smaller cuts off the best layout, each tried anew from it, until that seems in vain.
    fn compress(&mut self, board: &mut Board, random: &mut Random) {
        let patience = patience(board.items(), 40, 3);
        let places = Manner::of(self.task.model).places;
        let mut failures = 0;
        while !self.done(board.work) && failures < VAIN_CUTS {
            let share = ((self.gate.share(board.work) - EXPLORED) / (1.0 - EXPLORED)).clamp(0.0, 1.0);
            let shrink = 0.0005 + (0.00001 - 0.0005) * share;
            let target = self.shrunk(shrink);
            self.shrink_board(board, random, target);
            let (layout, overlap) = separate(board, random, self.gate, patience, places);
            failures = if self.take_if_slight(&layout, overlap, target, board) { 0 } else { failures + 1 };
            self.task.watch.tell(self.start, self.gate.share(board.work), self.length);
        }
    }

    /// Whether the present descent has gone without gain for more than so many times the work that it took to come where it is.
    fn stalled(&self, work: u64, stall: u64) -> bool {
        self.gate.spent(work) - self.gained > stall * (self.gained - self.began)
    }

    /// The length of the best so far, turned or not.
    fn shortest(&self) -> f64 {
        self.turned.as_ref().map_or(f64::INFINITY, |turned| turned.length).min(self.length)
    }

    /// Turns the items of the present layout, where they may be: what is shortest turned need not be shortest before.
    fn turn_present(&mut self, work: u64, random: &mut Random) {
        let model = self.task.model;
        let share = self.turning as f64 / self.gate.spent(work) as f64;
        if !model.turns() || self.reached > self.length * WORTH_TURNING || share > TURNED_BESIDE {
            return;
        }
        let stop = |done: u64| self.gate.over(work + done / STEPS);
        let (found, turning) = turned(model, Turned::plain(&self.present, self.reached), &stop);
        let (found, shaking) = shaken(model, found, SHAKES, random, &|done| stop(turning + done));
        let done = (turning + shaking) / STEPS;
        self.turning += done;
        self.gate.spend(done);
        if self.turned.as_ref().is_none_or(|best| found.length < best.length) {
            self.turned = Some(found);
        }
    }

    /// Begins a descent from a layout in another order; false where there was none.
    fn begin_anew(&mut self, work: u64, random: &mut Random) -> bool {
        let order = order(self.task.model, 3 + random.below(3), random);
        let Some((layout, done)) = constructed(self.task.model, &order) else {
            return false;
        };
        self.began = self.gate.spent(work);
        self.gained = self.began;
        self.gate.spend(done);
        let before = std::mem::replace(&mut self.reached, f64::INFINITY);
        let length = length_of(self.task.model, &layout);
        let taken = self.take(&layout, length * 1.01, work);
        if !taken {
            self.reached = before;
        }
        taken
    }

    fn shrunk(&self, by: f64) -> f64 {
        (self.reached * (1.0 - by)).max(self.task.bound)
    }

    /// The present layout, cut somewhere and pushed together to the target length.
    fn shrink_board(&self, board: &mut Board, random: &mut Random, target: f64) {
        board.load(&self.present, self.reached);
        let cut = random.between(0.0, self.reached);
        board.resize(target, cut);
        board.forget();
    }
}
