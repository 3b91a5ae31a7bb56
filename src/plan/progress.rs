//! Who is told how far the work on an order is, and what the observers of nests and of several searches pass on to him.

use std::sync::{Mutex, PoisonError};

use indexmap::IndexSet;

use super::Observer;
use crate::nest;

/// Who is told how far the order is, and where it stands in the whole.
#[derive(Clone, Copy)]
pub(super) struct Progress<'a> {
    pub(super) observer: &'a dyn Observer,
    pub(super) before: f64,
    pub(super) of: f64,
    pub(super) doing: &'a str,
}

impl Progress<'_> {
    /// Tells how much of the order is done, 0 to 1.
    pub(super) fn tell(&self, done: f64) {
        self.observer.progress(self.before + self.of * done, self.doing);
    }
}

/// Passes one nest's progress on as a part of the order.
pub(super) struct Listener<'a> {
    pub(super) progress: Progress<'a>,
    pub(super) from: f64,
    pub(super) to: f64,
}

impl nest::Observer for Listener<'_> {
    fn progress(&self, share_done: f64, _best_length: f64) {
        self.progress.tell(self.from + (self.to - self.from) * share_done);
    }

    fn cancelled(&self) -> bool {
        self.progress.observer.cancelled()
    }
}

/// Passes nothing on, but ends a nest once this says so.
pub(super) struct Silent<F>(pub(super) F);

impl<F: Fn() -> bool + Sync> nest::Observer for Silent<F> {
    fn progress(&self, _share_done: f64, _best_length: f64) {}

    fn cancelled(&self) -> bool {
        (self.0)()
    }
}

/// How far several searches are together, and what they are at.
pub(super) struct Tally<'a> {
    observer: &'a dyn Observer,
    /// Of each, how much of the whole it has done, and what it works on.
    parts: Mutex<Vec<(f64, Option<String>)>>,
}

impl<'a> Tally<'a> {
    /// Of so many searches that have done nothing yet.
    pub(super) fn new(observer: &'a dyn Observer, searches: usize) -> Self {
        Self { observer, parts: Mutex::new(vec![(0.0, None); searches]) }
    }

    /// One of the searches, as its observer.
    pub(super) fn part(&self, number: usize) -> Part<'_> {
        Part { tally: self, number }
    }

    /// One of them has done so much of the whole; what it works on, unless it has come to its end.
    pub(super) fn tell(&self, number: usize, done: f64, doing: Option<&str>) {
        let (all, doing) = {
            let mut parts = self.parts.lock().unwrap_or_else(PoisonError::into_inner);
            parts[number] = (done, doing.map(str::to_owned));
            let names: IndexSet<&str> = parts.iter().filter_map(|(_, doing)| doing.as_deref()).collect();
            let names: Vec<&str> = names.into_iter().collect();
            (parts.iter().map(|(done, _)| done).sum::<f64>().min(1.0), names.join(", "))
        };
        self.observer.progress(all, &doing);
    }
}

/// One of several searches, as its observer.
pub(super) struct Part<'a> {
    tally: &'a Tally<'a>,
    number: usize,
}

impl Observer for Part<'_> {
    fn progress(&self, done: f64, doing: &str) {
        self.tally.tell(self.number, done, Some(doing));
    }

    fn cancelled(&self) -> bool {
        self.tally.observer.cancelled()
    }
}
