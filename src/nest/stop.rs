//! When to stop: the work is done, time is up, or the caller said so. The only place that reads a clock.

use super::Observer;
use std::cell::Cell;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// Why a search ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StopReason {
    /// All the work of the chosen effort was done.
    WorkDone,
    /// The layout is as short as the proved bound: nothing shorter exists.
    BoundMet,
    /// The layout is as short as was asked for.
    Enough,
    /// The time given was used up.
    TimeUp,
    /// The observer asked for an end.
    Cancelled,
}

/// The time that is left for several searches one after the other.
#[derive(Debug, Clone, Copy)]
pub struct Stopwatch(Option<(Instant, f64)>);

impl Stopwatch {
    /// Starts to count down from so many seconds; without them it never reads the clock.
    #[allow(clippy::disallowed_methods)] // Only asked for by a caller that gives a time.
    pub fn start(seconds: Option<f64>) -> Self {
        Self(seconds.map(|seconds| (Instant::now(), seconds)))
    }

    /// Seconds left, none where no time was given.
    pub fn left(&self) -> Option<f64> {
        self.0.map(|(began, seconds)| (seconds - began.elapsed().as_secs_f64()).max(0.0))
    }
}

/// Watches the clock and the caller for all starts at once, and tells the caller how far they are.
pub(super) struct Watch<'a> {
    observer: &'a dyn Observer,
    began: Option<(Instant, Duration)>,
    time_up: AtomicBool,
    cancelled: AtomicBool,
    told: Mutex<Told>,
}

struct Told {
    shares: Vec<f64>,
    best: f64,
}

impl<'a> Watch<'a> {
    /// Starts the clock where a time is given.
    #[allow(clippy::disallowed_methods)] // Only asked for by a caller that gives a time.
    pub(super) fn new(observer: &'a dyn Observer, seconds: Option<f64>, starts: usize) -> Self {
        let limit = seconds.map(|s| Duration::try_from_secs_f64(s.max(0.0)).unwrap_or(Duration::MAX));
        Self {
            observer,
            began: limit.map(|limit| (Instant::now(), limit)),
            time_up: AtomicBool::new(false),
            cancelled: AtomicBool::new(false),
            told: Mutex::new(Told { shares: vec![0.0; starts], best: f64::INFINITY }),
        }
    }

    /// Whether the search must end now.
    pub(super) fn over(&self) -> bool {
        if self.cancelled.load(Ordering::Relaxed) || self.time_up.load(Ordering::Relaxed) {
            return true;
        }
        if self.observer.cancelled() {
            self.cancelled.store(true, Ordering::Relaxed);
            return true;
        }
        if self.time_share().is_some_and(|share| share >= 1.0) {
            self.time_up.store(true, Ordering::Relaxed);
            return true;
        }
        false
    }

    /// The share of the time that is used, where a time was given.
    #[allow(clippy::disallowed_methods)] // As above.
    pub(super) fn time_share(&self) -> Option<f64> {
        let (began, limit) = self.began?;
        Some(began.elapsed().as_secs_f64() / limit.as_secs_f64().max(1e-9))
    }

    /// Why the search was cut short, if it was.
    pub(super) fn reason(&self) -> Option<StopReason> {
        if self.cancelled.load(Ordering::Relaxed) {
            Some(StopReason::Cancelled)
        } else if self.time_up.load(Ordering::Relaxed) {
            Some(StopReason::TimeUp)
        } else {
            None
        }
    }

    /// Tells the observer how far a start is; lengths that are no improvement over all starts leave the best as it was.
    pub(super) fn tell(&self, start: usize, share: f64, length: f64) {
        let Ok(mut told) = self.told.lock() else {
            return;
        };
        if let Some(place) = told.shares.get_mut(start) {
            *place = share.clamp(*place, 1.0);
        }
        told.best = told.best.min(length);
        let mean = told.shares.iter().sum::<f64>() / told.shares.len().max(1) as f64;
        self.observer.progress(mean, told.best);
    }
}

/// Says when a start must leave its phase: out of budget, out of time or called off.
pub(super) struct Gate<'a> {
    watch: &'a Watch<'a>,
    budget: Option<u64>,
    /// Work done off the board.
    extra: Cell<u64>,
    /// The share of the budget at which the phase ends.
    until: f64,
}

impl<'a> Gate<'a> {
    /// For a start that has done so much work, in a phase that ends at a share of its budget, or of the time without one.
    pub(super) fn new(watch: &'a Watch<'a>, budget: Option<u64>, work: u64, until: f64) -> Self {
        Self { watch, budget, extra: Cell::new(work), until }
    }

    /// Whether the present phase must end, the board having done so much work.
    pub(super) fn over(&self, work: u64) -> bool {
        self.watch.over() || self.share(work) >= self.until
    }

    /// The share of the budget, or of the time, that is used up.
    pub(super) fn share(&self, work: u64) -> f64 {
        match self.budget {
            Some(budget) => self.spent(work) as f64 / budget.max(1) as f64,
            None => self.watch.time_share().unwrap_or(1.0),
        }
    }

    /// All the work so far, the board having done so much.
    pub(super) fn spent(&self, work: u64) -> u64 {
        work + self.extra.get()
    }

    /// Counts work that is done off the board.
    pub(super) fn spend(&self, work: u64) {
        self.extra.set(self.extra.get() + work);
    }
}
