//! Who is told how far the work on an order is, and what a nest's observer passes on to him.

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
