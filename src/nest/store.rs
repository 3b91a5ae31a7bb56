//! What was worked out for shapes once and may be wanted again: outlines made ready, no-fit polygons, integrals of slices.

use super::Failure;
use super::bound::Integrals;
use super::model::Outline;
use super::movable::number_of;
use super::nofit::NoFit;
use crate::geometry::{Pose, Shape};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Keeps outlines, no-fit polygons and what bounds are made of, so that several problems with the same shapes work them out
/// once.
///
/// It changes how long [`solve`](super::solve) takes, never what comes out.
#[derive(Debug, Default)]
pub struct Store(Mutex<Kept>);

#[derive(Debug, Default)]
struct Kept {
    shapes: Vec<Shape>,
    /// Each with the number of its shape, and the gap.
    outlines: Vec<(usize, f64, Arc<Outline>)>,
    nofits: BTreeMap<PairKey, NoFit>,
    integrals: BTreeMap<SliceKey, Integrals>,
}

/// Two outlines of the store, in the order that the problem has them in, and the pose of the second as the first sees it.
pub(super) type PairKey = (usize, usize, bool, i64);

/// A shape of the store in a pose, whether it may be turned, and the width and the gap that its slices are seen against.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct SliceKey {
    shape: usize,
    mirrored: bool,
    turns: bool,
    /// Turn, width and gap, bit for bit.
    bits: [u64; 3],
}

impl SliceKey {
    pub(super) fn new(shape: usize, pose: Pose, turns: bool, width: f64, gap: f64) -> Self {
        Self { shape, mirrored: pose.mirrored, turns, bits: [pose.turn, width, gap].map(f64::to_bits) }
    }
}

impl Store {
    /// An empty store.
    pub fn new() -> Self {
        Self::default()
    }

    /// The number and the outline of a shape under a gap, made ready now if it is new.
    pub(super) fn outline(
        &self,
        shape: &Shape,
        gap: f64,
        make: impl FnOnce() -> Result<Outline, Failure>,
    ) -> Result<(usize, Arc<Outline>), Failure> {
        let mut kept = self.kept();
        let shape = number_of(&mut kept.shapes, shape);
        if let Some(known) = kept.outlines.iter().position(|(s, g, _)| *g == gap && *s == shape) {
            return Ok((known, Arc::clone(&kept.outlines[known].2)));
        }
        let outline = Arc::new(make()?);
        kept.outlines.push((shape, gap, Arc::clone(&outline)));
        Ok((kept.outlines.len() - 1, outline))
    }

    /// The number of each shape, whatever the gap.
    pub(super) fn numbers(&self, shapes: &[Shape]) -> Vec<usize> {
        let known = &mut self.kept().shapes;
        shapes.iter().map(|shape| number_of(known, shape)).collect()
    }

    /// Integrals of slices, made now if they are new.
    pub(super) fn integrals(&self, key: SliceKey, make: impl FnOnce() -> Integrals) -> Integrals {
        let known = self.kept().integrals.get(&key).cloned();
        known.unwrap_or_else(|| {
            let made = make();
            self.kept().integrals.insert(key, Arc::clone(&made));
            made
        })
    }

    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A no-fit polygon that was kept.
    pub(super) fn nofit(&self, key: &PairKey) -> Option<NoFit> {
        self.kept().nofits.get(key).cloned()
    }

    /// Keeps no-fit polygons.
    pub(super) fn keep(&self, made: impl IntoIterator<Item = (PairKey, NoFit)>) {
        self.kept().nofits.extend(made);
    }
}
