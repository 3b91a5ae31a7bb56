//! Strip packing of irregular shapes, ignorant of garments.
//!
//! [`solve`] lays all items of a [`Problem`] on a strip as short as it can. A layout that holds exists from the first moment;
//! the search then shortens it until its work is done, its time is up, or the proved bound is met.

mod board;
mod bound;
mod compact;
mod convolution;
mod disturb;
mod manner;
mod model;
mod movable;
mod nearby;
pub mod nofit;
mod outline;
mod parting;
mod planes;
mod problem;
mod random;
mod search;
mod separate;
mod shake;
mod simplex;
mod start;
mod stop;
mod store;
mod table;
mod turning;

pub use bound::{least_possible, least_possible_with};
pub use problem::{Band, Failure, Item, Lines, Problem, Way};
pub use stop::{StopReason, Stopwatch};
pub use store::Store;

use crate::geometry::{Point, Pose, normal_turn};
use model::Model;
use stop::Watch;
use turning::Turned;

/// How hard to search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Counted in work; of no account where `seconds` is given.
    pub effort: Effort,
    /// Search for so long instead; results then depend on the machine.
    pub seconds: Option<f64>,
    /// Another seed, another search.
    pub seed: u64,
    /// The share of the effort's work to do; 0 to construct first layouts and leave it at that, whatever the time.
    pub portion: f64,
    /// A length that is short enough: the search ends once it is reached.
    pub enough: Option<f64>,
}

impl Settings {
    /// All the work of an effort under a seed, with no end in time.
    pub const fn new(effort: Effort, seed: u64) -> Self {
        Self { effort, seconds: None, seed, portion: 1.0, enough: None }
    }
}

/// How much work to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Effort {
    /// A first answer at once.
    Quick,
    /// A good answer soon.
    #[default]
    Steady,
    /// The best that patience gives.
    Thorough,
}

impl Effort {
    /// All efforts, the least first.
    pub const ALL: [Self; 3] = [Self::Quick, Self::Steady, Self::Thorough];

    /// Its name: "quick", "steady" or "thorough".
    pub fn name(self) -> &'static str {
        match self {
            Self::Quick => "quick",
            Self::Steady => "steady",
            Self::Thorough => "thorough",
        }
    }

    /// The effort of a name.
    pub fn parse(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|effort| effort.name() == name)
    }

    /// Work of one start, in evaluations of a pair.
    pub fn work(self) -> u64 {
        match self {
            Self::Quick => 800_000,
            Self::Steady => 8_000_000,
            Self::Thorough => 100_000_000,
        }
    }
}

/// Where an item lies: its shape mirrored and turned by `pose`, then moved by `at`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Which of the item's ways was taken.
    pub way: usize,
    /// One of that way's poses, turned within its leeway.
    pub pose: Pose,
    /// The move after it, in millimetres.
    pub at: Point,
}

/// A layout that holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// By item, in the order of the problem.
    pub placements: Vec<Placement>,
    /// Strip used, in millimetres.
    pub length: f64,
}

/// What a search came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The shortest layout found.
    pub solution: Solution,
    /// Proved: no layout is shorter, in millimetres.
    pub least_possible: f64,
    /// Why the search ended.
    pub stop: StopReason,
    /// Work done, in evaluations of a pair.
    pub work: u64,
}

/// Follows a search and may end it.
pub trait Observer: Sync {
    /// Told now and then: the share of the work or time that is used, 0 to 1, and the best length so far.
    fn progress(&self, share_done: f64, best_length: f64);

    /// Asked often: whether the search is to end with the best so far.
    fn cancelled(&self) -> bool;
}

/// An observer that neither looks nor cancels.
#[derive(Debug, Clone, Copy, Default)]
pub struct Silent;

impl Observer for Silent {
    fn progress(&self, _share_done: f64, _best_length: f64) {}

    fn cancelled(&self) -> bool {
        false
    }
}

/// Starts that search beside each other, whatever the number of threads, so that the result does not depend on it.
const STARTS: usize = 2;

/// Whether there is so little work that one start does it all: two would mostly construct.
fn is_little(budget: Option<u64>) -> bool {
    const LITTLE: u64 = 100_000;
    budget.is_some_and(|budget| budget < LITTLE)
}

/// Lays all items on the strip, as short as the settings allow.
///
/// Starts run in parallel on the caller's rayon pool; the same problem, effort and seed give the same outcome for any number
/// of threads, unless `seconds` is set or the observer cancels.
///
/// # Errors
/// Where the problem is none, or an item does not fit the strip: see [`Failure`].
pub fn solve(problem: &Problem, settings: &Settings, observer: &dyn Observer) -> Result<Outcome, Failure> {
    solve_with(&Store::new(), problem, settings, observer)
}

/// The same, with a store that keeps what several problems have in common.
///
/// # Errors
/// As for [`solve`].
pub fn solve_with(
    store: &Store,
    problem: &Problem,
    settings: &Settings,
    observer: &dyn Observer,
) -> Result<Outcome, Failure> {
    problem::check(problem)?;
    let budget = (settings.seconds.is_none() || settings.portion == 0.0)
        .then(|| (settings.effort.work() as f64 * settings.portion) as u64);
    let starts = if is_little(budget) { 1 } else { STARTS };
    let watch = Watch::new(observer, settings.seconds, starts);
    let model = Model::new(problem, store)?;
    let row = start::row(&model).ok_or(Failure::NoStart)?;
    let bound = bound::bound(problem, store);
    let task = search::Task {
        model: &model,
        watch: &watch,
        bound,
        enough: settings.enough.unwrap_or(0.0),
        budget,
        seed: settings.seed,
    };
    let (found, work) = search::run(&task, &row, starts);
    let length = found.length;
    let stop = if task.at_bound(length) {
        StopReason::BoundMet
    } else if task.met(length) {
        StopReason::Enough
    } else {
        watch.reason().unwrap_or(StopReason::WorkDone)
    };
    Ok(Outcome { solution: solution(&model, &found), least_possible: bound, stop, work })
}

fn solution(model: &Model, found: &Turned) -> Solution {
    let placements = model
        .items
        .iter()
        .zip(&found.layout.option)
        .zip(found.layout.at.iter().zip(&found.turns))
        .map(|((item, &option), (&at, &turn))| {
            let choice = item.options[option];
            let pose = model.forms[choice.form].pose;
            let pose = if turn == 0.0 { pose } else { Pose { turn: normal_turn(pose.turn + turn), ..pose } };
            Placement { way: choice.way, pose, at }
        })
        .collect();
    Solution { placements, length: found.length }
}

/// A number rounded down, 0 where it is below that or none, and at most 2^32 - 1: a cast by way of 32 bits takes a third of
/// the instructions, which the search notices.
#[inline]
fn rounded_down(v: f64) -> usize {
    v as u32 as usize
}
